package staff

import (
	"fmt"
	"io"
	"iter"

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
	drillGap      = 5.0 // and more before a drill
	mostGap       = 6.0 // and at most so much more to fill the page
)

// Pages yields the pages from the first to the last. At the head of the first
// stand the title of the score and the name of the part, at the foot of each the
// name of the part and the number of the page. A text too long for its place is
// cut, and a system too high for a page is drawn smaller. It can be run again
// and again.
func (l *Layout) Pages() iter.Seq[*Page] {
	return func(yield func(*Page) bool) {
		paper := l.options.Paper
		p := &Page{layout: l, number: 1}
		y := paper.Margin + headingHeight
		bottom := paper.Height - paper.Margin - footingHeight
		for s := range l.Systems() {
			s.shrink(bottom - paper.Margin - headingHeight)
			if len(p.systems) > 0 {
				y += betweenGap
				if s.Opens() {
					y += drillGap
				}
			}
			if y+s.Height() > bottom && len(p.systems) > 0 {
				p.fill(bottom)
				if !yield(p) {
					return
				}
				p = &Page{layout: l, number: p.number + 1}
				y = paper.Margin
			}
			p.systems = append(p.systems, s)
			p.tops = append(p.tops, y)
			y += s.Height()
		}
		if len(p.systems) > 0 {
			yield(p)
		}
	}
}

// shrink makes a system smaller that is higher than a page.
func (s *System) shrink(most float64) {
	if h := s.Height(); h > most {
		s.scale *= most / h
	}
}

// fill moves the systems of a full page apart to reach its foot.
func (p *Page) fill(bottom float64) {
	last := len(p.systems) - 1
	if last == 0 {
		return
	}
	gap := min((bottom-p.tops[last]-p.systems[last].Height())/float64(last), mostGap)
	for n := range p.tops {
		p.tops[n] += gap * float64(n)
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
	paper, title, name := l.options.Paper, l.score.Options().Title, l.part.Instrument().Name
	heading := name
	if title != "" {
		heading = title + ", " + name
	}
	room := 0
	for _, s := range p.systems {
		room += s.room()
	}
	b := make([]byte, 0, room)
	b = appendHead(b, paper.Width, paper.Height, fmt.Sprintf("%s, page %d", heading, p.number), describe(p.systems...))
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
	if p.number == 1 {
		// In half the width each, however long they are.
		half := (paper.Width - 2*paper.Margin) / 2
		write(5, paper.Margin, paper.Margin+5, "start", clip(title, half*1.2/5))
		write(4, paper.Width-paper.Margin, paper.Margin+5, "end", clip(name, half*0.75/4))
	}
	write(3, paper.Width/2, paper.Height-paper.Margin, "middle", fmt.Sprintf("%s, page %d", clip(name, 30), p.number))
	for n, s := range p.systems {
		b = s.appendAt(b, paper.Margin, p.tops[n])
	}
	b = append(b, "</svg>\n"...)
	_, err := w.Write(b)
	return err
}
