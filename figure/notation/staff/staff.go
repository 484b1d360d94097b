// Package staff draws the bars of a score as staves, in SVG.
//
// Engraving is arithmetic. A bar is measured first: what stands about each
// note, how near the next one may come, how far from it the time between them
// asks it to be, which grows more slowly than the time itself. Then bars are
// gathered into systems, a system being what stands on one line of the page, so
// that none is crowded or thin and most end where a section does; the room left
// over goes between the notes. Only then has everything its place, and beams,
// ties and labels are drawn.
//
// A [Layout] draws one part of a score for a [Paper]. Its Systems are SVG
// documents to be set one below the other in a page of one's own, which can
// then break between any two; its Pages are whole pages. Staves are 7 mm high,
// in one colour: black, or what the CSS property color of the svg element says.
// All shapes are this package's own drawings, and no font is needed but for
// words.
package staff

import (
	"fmt"

	"example.com/keyorder/figure/notation"
)

// Space is the distance between two lines of a staff, in millimetres.
const Space = 7.0 / 4

// A Paper is a size of paper with a margin on all sides, in millimetres. The
// zero value stands for A4.
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
		return &Error{"", fmt.Sprintf("%g by %g mm, margin %g mm: between its margins a paper is %d to %d mm wide and high",
			p.Width, p.Height, p.Margin, narrow, wide)}
	}
	return nil
}

// An Error says why a part of a score cannot be drawn.
type Error struct {
	Input  string // the text that was given; empty where it was none, or a value
	Reason string // what would be right
}

// Error implements error.
func (e *Error) Error() string {
	if e.Input == "" {
		return "staff: " + e.Reason
	}
	return fmt.Sprintf("staff: %.60q: %s", e.Input, e.Reason)
}

// Options say how a part is drawn.
type Options struct {
	Paper Paper
	// Bars is how many bars are drawn, from the first; 0 means all.
	Bars int
}

// A Layout lays one part of a score out on paper. It may be used by many
// goroutines at once. The zero value has no systems and no pages.
type Layout struct {
	score   *notation.Score
	part    int
	options Options
	ruler   ruler
}

// New returns the layout of a part of a score, counted from 0. The error is an
// *Error where there is no such part, or the paper is too small.
func New(s *notation.Score, part int, o Options) (*Layout, error) {
	if s.Parts() == 0 {
		return nil, &Error{"", "a score without parts has no staves; make it with notation.New"}
	}
	if part < 0 || part >= s.Parts() {
		return nil, &Error{"", fmt.Sprintf("part %d: the parts of this score go from 0 to %d", part, s.Parts()-1)}
	}
	if o.Paper == (Paper{}) {
		o.Paper = A4()
	}
	if err := o.Paper.check(); err != nil {
		return nil, err
	}
	if o.Bars < 0 {
		return nil, &Error{"", fmt.Sprintf("%d bars: 0 bars means all, a number so many", o.Bars)}
	}
	all := shapes()
	return &Layout{s, part, o, ruler{&all, s.Part(part).Clef}}, nil
}

// width returns the width of a system.
func (l *Layout) width() float64 { return (l.options.Paper.Width - 2*l.options.Paper.Margin) / Space }
