package staff

import (
	"fmt"
	"io"
	"iter"
	"math"
	"slices"

	"example.com/keyorder/figure/notation"
	"example.com/keyorder/pitch/fault"
)

// A Page is a page of paper with systems on it. The zero value has none and
// cannot be written.
type Page struct {
	layout  *Layout
	number  int
	systems []*System
	tops    []float64 // of the systems, in millimetres
}

// Distances on a page, in millimetres.
const (
	headingHeight = 12.0
	footingHeight = 7.0
	betweenGap    = 3.5 // between systems
	blockGap      = 2.0 // and more before a block
	drillGap      = 5.0 // and more before a drill
	mostGap       = 6.0 // and at most so much more to fill the page, before a block twice that
)

// How bad it is to turn the page after a system: not at all between sections; in
// a rest, which gives a hand time; while playing. And how bad a page is that is
// empty, by the square of the part that is, and a last page of one system.
const (
	turnInRest    = 0.2
	turnPlaying   = 1.0
	emptyPage     = 1.5
	loneSystem    = 1.0
	pagesTogether = 3 // how many pages are laid out at a time
)

// Pages yields the pages from the first to the last. They turn between sections
// or in a rest, as well as that can be done with full pages. At the head of the
// first stand the title of the score and the name of the part, at the foot of
// each the name of the part and the number of the page. A text too long for its
// place is cut, and a system too high for a page is drawn smaller. It can be run
// again and again.
func (l *Layout) Pages() iter.Seq[*Page] {
	return func(yield func(*Page) bool) {
		paper := l.options.Paper
		number := 1
		room := func(page int) float64 { // of a page, by how many come before it
			r := paper.Height - 2*paper.Margin - footingHeight
			if page == 0 && number == 1 {
				r -= headingHeight
			}
			return r
		}
		var stack []*System
		var p pile
		height := 0.0
		// turn yields the first page of those that the systems make.
		turn := func(all bool) bool {
			end := p.pages(room)[0]
			if !yield(l.page(number, stack[:end], p, all && end == len(stack))) {
				return false
			}
			number++
			stack, p = stack[end:], p[end:]
			height = p.height(0, len(p))
			return true
		}
		for s := range l.Systems() {
			s.shrink(paper.Height - 2*paper.Margin - footingHeight - headingHeight)
			stack, p = append(stack, s), append(p, s.piled())
			if height += p[len(p)-1].height; height > pagesTogether*room(0) {
				if !turn(false) {
					return
				}
			}
		}
		for len(stack) > 0 {
			if !turn(true) {
				return
			}
		}
	}
}

// Plan returns which systems stand on which pages, for files that other programs
// lay out.
func (l *Layout) Plan() []notation.System {
	var all []notation.System
	for p := range l.Pages() {
		for _, s := range p.systems {
			first, last := s.Bars()
			all = append(all, notation.System{First: first, Last: last, Page: p.number})
		}
	}
	return all
}

// A pile is systems one below the other, as far as it matters where pages end.
type pile []piled

type piled struct {
	height, gap float64 // the gap is that before it
	turn        float64 // how bad it is to turn after it
}

func (s *System) piled() piled {
	p := piled{height: s.Height(), gap: betweenGap, turn: turnPlaying}
	if s.begins {
		p.gap += blockGap
	}
	if s.Opens() {
		p.gap += drillGap
	}
	last := s.bars[len(s.bars)-1].Symbols
	switch {
	case s.ends:
		p.turn = 0
	case len(last[len(last)-1].Notes) == 0:
		p.turn = turnInRest
	}
	return p
}

// height returns how high some systems are with the gaps between them.
func (p pile) height(from, to int) float64 {
	h := 0.0
	for n := from; n < to; n++ {
		if h += p[n].height; n > from {
			h += p[n].gap
		}
	}
	return h
}

// page says how bad a page of some systems is in a room, infinitely so if they
// have no room; one always has.
func (p pile) page(from, to int, room float64) float64 {
	empty := 1 - p.height(from, to)/room
	switch {
	case empty < 0 && to-from > 1:
		return math.Inf(1)
	case to < len(p):
		return emptyPage*empty*empty + p[to-1].turn
	case from > 0 && to-from == 1:
		return loneSystem
	}
	return 0
}

// pages returns after which systems the pages end, so that the sum of what is
// bad about them is least. Rooms are by how many pages come before.
func (p pile) pages(room func(page int) float64) []int {
	type way struct {
		cost float64
		from int
	}
	ways := make([]way, len(p)+1)
	for end := 1; end <= len(p); end++ {
		ways[end].cost = math.Inf(1)
		for from := end - 1; from >= 0; from-- {
			page := min(from, 1) // the first page alone has a room of its own
			cost := p.page(from, end, room(page))
			if math.IsInf(cost, 1) {
				break
			}
			if cost += ways[from].cost; cost < ways[end].cost {
				ways[end] = way{cost, from}
			}
		}
	}
	var ends []int
	for n := len(p); n > 0; n = ways[n].from {
		ends = append(ends, n)
	}
	slices.Reverse(ends)
	return ends
}

// page returns a page with its systems in their places, spread over it; the last
// one only if it is nearly full.
func (l *Layout) page(number int, systems []*System, p pile, last bool) *Page {
	paper := l.options.Paper
	out := &Page{layout: l, number: number, systems: slices.Clone(systems)}
	y, weights := paper.Margin, 0.0
	if number == 1 {
		y += headingHeight
	}
	weight := func(n int) float64 {
		switch {
		case n == 0:
			return 0
		case systems[n].begins:
			return 2
		}
		return 1
	}
	for n := range systems {
		weights += weight(n)
	}
	room := paper.Height - paper.Margin - footingHeight - y
	more := 0.0
	if left := room - p.height(0, len(systems)); weights > 0 && (!last || left < room/5) {
		more = max(0, min(left/weights, mostGap))
	}
	for n := range systems {
		if n > 0 {
			y += p[n].gap + more*weight(n)
		}
		out.tops = append(out.tops, y)
		y += systems[n].Height()
	}
	return out
}

// shrink makes a system smaller that is higher than a page.
func (s *System) shrink(most float64) {
	if h := s.Height(); h > most {
		s.scale *= most / h
		for _, p := range s.parts {
			p.scale = s.scale
		}
	}
}

// Number returns the number of the page, from 1, or 0 for the zero Page.
func (p *Page) Number() int { return p.number }

// Bars returns the numbers of the first and the last bar on the page, or 0 and 0
// for the zero Page.
func (p *Page) Bars() (first, last int) {
	if len(p.systems) == 0 {
		return 0, 0
	}
	first, _ = p.systems[0].Bars()
	_, last = p.systems[len(p.systems)-1].Bars()
	return first, last
}

// WriteSVG writes the page as an SVG document of the size of the paper, in one
// piece. The error is a *fault.ValueError for the zero Page, or that of w.
func (p *Page) WriteSVG(w io.Writer) error {
	if p.layout == nil {
		return &fault.ValueError{Setting: "page", Want: "the zero page has nothing to write; take one from a layout's Pages"}
	}
	l := p.layout
	paper, title, name := l.options.Paper, l.score.Options().Title, l.name()
	heading := name
	if title != "" {
		heading = title + ", " + name
	}
	d := l.desks.Get().(*desk)
	defer d.clear(l.desks)
	b := appendHead(d.text[:0], paper.Width, paper.Height, fmt.Sprintf("%s, page %d", heading, p.number), describe(p.systems...))
	write := func(size, x, y float64, anchor, text string) {
		b = append(b, `<text x="`...)
		b = appendNumber(b, x)
		b = append(b, `" y="`...)
		b = appendNumber(b, y)
		b = append(b, `" font-size="`...)
		b = appendNumber(b, size)
		b = fmt.Appendf(b, `" font-family="sans-serif" text-anchor="%s" fill="currentColor">`, anchor)
		b = appendEscaped(b, text)
		b = append(b, "</text>\n"...)
	}
	if p.number == 1 && !l.options.Bare {
		// In half the width each, however long they are.
		half := (paper.Width - 2*paper.Margin) / 2
		write(5, paper.Margin, paper.Margin+5, "start", clip(title, half*1.2/5))
		write(4, paper.Width-paper.Margin, paper.Margin+5, "end", clip(name, half*0.75/4))
	}
	write(3, paper.Width/2, paper.Height-paper.Margin, "middle", fmt.Sprintf("%s, page %d", clip(name, 30), p.number))
	for n, s := range p.systems {
		b = s.appendAt(b, paper.Margin, p.tops[n], d)
	}
	d.text = append(b, "</svg>\n"...)
	_, err := w.Write(d.text)
	return err
}
