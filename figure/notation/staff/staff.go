// Package staff draws the bars of a score as staves, in SVG.
//
// A bar is measured first: what stands about each note, how near the next note
// may come, and how far off it should be for the time between the two. That
// distance grows with the time, but more slowly. Then bars are laid out a section
// at a time, which begins a system, what stands on one line of the page. A system
// holds whole statements with their rests. Where those of a section have the same
// bars they stand in columns, below each other, and the return to the first key
// stands last. Bars of rest are narrow, several are one, and none end a drill.
// Pages turn between sections or in a rest. Of all layouts the one is taken that
// is least bad. Only then has everything its place, and beams, ties and labels
// are drawn.
//
// A [Layout] draws one part of a [notation.Score], or all of them one below the
// other, for a [Paper]. Each [System]
// of [Layout.Systems] is an SVG document, to be set one below the other in a
// page of one's own, which can then break between any two; each [Page] of
// [Layout.Pages] is a whole page. Lengths are in millimetres, and a staff is 7
// of them high if nothing else is asked for. [Layout.Plan] says what stands where,
// for other programs. All is drawn in one colour: black, or what the CSS property
// color of the svg element says. All shapes are this package's own drawings,
// and no font is needed but for words.
package staff

import (
	"fmt"
	"strconv"
	"sync"

	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/notation"
	"example.com/keyorder/pitch/fault"
)

// The height of a staff in millimetres, and that for large print. Guidelines of
// librarians and music schools ask for 7 to 8 in parts. For large print no
// figure is agreed on; advice is to try what the reader likes, with notes nearer
// to each other and strokes thicker than the staff alone would have them.
const (
	usualStaff = 7.0
	largeStaff = 14.0
	mostStaff  = 30.0
	largeNear  = 0.75
	largeInk   = 1.4
)

// A Paper is a size of paper with a margin on all sides, in millimetres. Between
// its margins it is 60 to 2000 mm wide and high. The zero value stands for A4.
type Paper struct{ Width, Height, Margin float64 }

// A4 returns A4 upright, 210 by 297 mm (ISO 216), with a margin of 15 mm.
func A4() Paper { return Paper{210, 297, 15} }

// Letter returns US Letter upright, 8½ by 11 inches, with a margin of 15 mm.
func Letter() Paper { return Paper{215.9, 279.4, 15} }

// check refuses sizes that hold no system.
func (p Paper) check() error {
	const narrow, wide = 60, 2000
	w, h := p.Width-2*p.Margin, p.Height-2*p.Margin
	if !(w >= narrow && w <= wide && h >= narrow && h <= wide && p.Margin >= 0) {
		return &fault.ValueError{Setting: "paper", Value: fmt.Sprintf("%g by %g mm, margin %g mm", p.Width, p.Height, p.Margin),
			Want: fmt.Sprintf("between its margins a paper is %d to %d mm wide and high", narrow, wide)}
	}
	return nil
}

// Options say how a part is drawn. The zero value draws all of it on A4.
type Options struct {
	Paper Paper
	// Bars is how many bars are drawn, from the first; 0 means all, and so does
	// a number beyond the last.
	Bars int
	// Staff is the height of a staff in millimetres, up to 30. The zero value
	// stands for 7, which guidelines for parts ask for at least, and in large
	// print for 14.
	Staff float64
	// Large is large print: thicker strokes, notes nearer to each other for
	// their size, and bold words.
	Large bool
	// Bare leaves out all words: keys, chords, sections, tempo, titles and the
	// numbers of bars, so that nothing says what the notes are.
	Bare bool
}

// A Layout lays one part of a score out on paper, or all of them. It does not change, and many
// goroutines may use it at once. The zero value has no systems and no pages.
type Layout struct {
	score   *notation.Score
	part    drill.Part
	options Options
	ruler   ruler
	parts   []drill.Part // of a score, with the rulers of each
	rulers  []ruler
	indent  float64 // what stands before the staves of a score
	desks   *sync.Pool
}

// A desk is room to write a drawing in, used again and again.
type desk struct {
	text  []byte
	marks []*mark
	boxes []box
}

// clear puts the desk back, with nothing on it.
func (d *desk) clear(to *sync.Pool) {
	clear(d.marks[:cap(d.marks)])
	to.Put(d)
}

// New returns the layout of a part of a score. The part may be that of any drill
// of the score. The error is a *fault.ValueError where the score has no such
// part, as the zero Score has none, the paper is too small or too large, the
// number of bars is negative, or a staff too high.
func New(s *notation.Score, p drill.Part, o Options) (*Layout, error) {
	if p.Index() >= len(s.Parts()) {
		return nil, &fault.ValueError{Setting: "part", Value: strconv.Itoa(p.Index() + 1), Want: fmt.Sprintf("the score has %d parts", len(s.Parts()))}
	}
	if o.Paper == (Paper{}) {
		o.Paper = A4()
	}
	if err := o.Paper.check(); err != nil {
		return nil, err
	}
	if o.Bars < 0 {
		return nil, &fault.ValueError{Setting: "bars", Value: strconv.Itoa(o.Bars), Want: "0 bars means all, a number so many"}
	}
	if o.Staff == 0 {
		if o.Staff = usualStaff; o.Large {
			o.Staff = largeStaff
		}
	}
	if !(o.Staff >= 1 && o.Staff <= mostStaff) {
		return nil, &fault.ValueError{Setting: "staff", Value: fmt.Sprintf("%g mm", o.Staff), Want: fmt.Sprintf("a staff is 1 to %g mm high", mostStaff)}
	}
	near := 1.0
	if o.Large {
		near = largeNear
	}
	return &Layout{score: s, part: p, options: o, ruler: ruler{shapes: shapes(), staves: s.Staves(p), near: near, bare: o.Bare, language: s.Options().Language}, desks: &sync.Pool{New: func() any { return new(desk) }}}, nil
}

// unit returns how many millimetres a space is.
func (l *Layout) unit() float64 { return l.options.Staff / 4 }

// width returns the width of a system.
func (l *Layout) width() float64 {
	return (l.options.Paper.Width - 2*l.options.Paper.Margin) / l.unit()
}
