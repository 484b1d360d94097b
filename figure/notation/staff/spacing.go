package staff

import (
	"math"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/notation"
)

// naturalGap returns the best distance from a note of a length to the next: it
// grows as the square root of the length.
func naturalGap(l figure.Length) float64 {
	return 3.7 * math.Sqrt(float64(l)/float64(figure.Quarter))
}

// Widths of rests, which are the same whatever stands beside them: from the
// barline to a bar's rest and from there to the next, and of several bars.
const (
	restLead  = 2.2
	restWidth = 3.4
	multiLead = 1.2
	multiMost = 9.0
)

// space works out the gaps of a bar.
func (m *measured) space(near float64) {
	if m.parts != nil {
		m.combine(near)
		return
	}
	const clear = 0.42
	last := len(m.columns) - 1
	for n := range m.columns {
		c := &m.columns[n]
		g := &m.gaps[n]
		*g = gap{natural: near * naturalGap(c.symbol.Length)}
		if n < last {
			g.least = c.right + clear + m.columns[n+1].left
		} else {
			g.least = c.right + 0.8
			g.fixed = m.endWidth()
		}
	}
	m.lead = max(1.8, 0.9+m.columns[0].left)
	switch {
	case m.count > 1:
		m.lead, m.gaps[0].least, m.gaps[0].natural = multiLead, multiMost, 0
	case m.Rests():
		m.lead, m.gaps[0].least, m.gaps[0].natural = restLead, restWidth, 0
	case m.columns[0].symbol.FullBar:
		m.gaps[0].natural = 4.5
	}
	bars := [1]measured{*m}
	bars[0].words = m.words[:max(len(m.words)-1, 0)] // the last may reach over the barline
	spread(m.gaps, bars[:])
	m.sum()
}

// sum adds the gaps of a bar up.
func (m *measured) sum() {
	m.natural, m.least = m.lead, m.lead
	for _, g := range m.gaps {
		m.natural += max(g.least, g.natural) + g.fixed
		m.least += g.least + g.fixed
	}
}

// join returns the width of what comes between a bar and the one before in the
// same system: a new clef and a new signature.
func (m *measured) join() float64 { return m.turn + m.change }

// endWidth returns the width of the barline.
func (m *measured) endWidth() float64 {
	switch m.End {
	case notation.BarlineDouble:
		return 0.6
	case notation.BarlineFinal:
		return 1.1
	}
	return barlineWidth
}

// stretch returns the factor by which the natural gaps are drawn apart or
// pressed together, as far as their least widths let them, to fill a width.
func stretch(gaps []gap, width float64) float64 {
	// With each round more gaps are at their least, until none is added.
	for by, before := 1e9, -1; ; {
		room, natural, least := width, 0.0, 0
		for _, g := range gaps {
			room -= g.fixed
			if g.natural*by < g.least {
				room -= g.least
				least++
			} else {
				natural += g.natural
			}
		}
		if least <= before || natural == 0 {
			return by
		}
		by, before = max(room/natural, 0), least
	}
}

// A run is a whole number of bars that fill a width of their own.
type run struct {
	bars  int
	width float64
	ends  bool // a block ends with it
}

// space returns a system with its columns in their places, its bars in runs. A
// width of 0 is that of all that is left of the line, if that does not draw the
// bars too far apart.
func (l *Layout) space(bars []measured, next *measured, runs ...run) *System {
	s := &System{ruler: &l.ruler, desks: l.desks, name: l.name(), swing: l.score.Options().Swing, staves: l.ruler.staves, unit: l.unit(), large: l.options.Large,
		width: l.width(), scale: 1, bars: bars, next: next, runs: runs}
	if l.parts != nil {
		s.score = l
	}
	columns := 0
	for n := range bars {
		columns += len(bars[n].columns)
	}
	places := make([]float64, columns+len(bars))
	s.gaps, s.x, s.starts = make([]gap, 0, columns), places[:0:columns], places[columns:columns]
	for n := range bars {
		s.gaps = append(s.gaps, bars[n].gaps...)
	}
	x := bars[0].head
	first, from := 0, 0
	for n, r := range runs {
		part := bars[first : first+r.bars]
		to := from
		fixed := 0.0
		for b := range part {
			fixed += part[b].lead
			if b > 0 {
				fixed += part[b].join()
			} else if n > 0 {
				fixed += part[b].change
			}
			to += len(part[b].columns)
		}
		ends := n+1 == len(runs)
		if ends {
			fixed += warning(next)
		} else {
			fixed += bars[first+r.bars].turn
		}
		gaps := s.gaps[from:to]
		if r.width == 0 { // columns have the room for their words
			l.write(gaps, part)
			r.width = s.width - x
			s.flows = true
		}
		least := fixed
		for _, g := range gaps {
			least += g.least + g.fixed
		}
		by := 0.0
		if least > r.width+tiny {
			s.scale = min(s.scale, s.width/(x+least))
		} else if by = stretch(gaps, r.width-fixed); s.flows && r.ends && by > fullest {
			by = 1.1
		}
		for b := range part {
			if b > 0 || n > 0 {
				x += part[b].turn
			}
			s.starts = append(s.starts, x)
			if b > 0 || n > 0 {
				x += part[b].change
			}
			x += part[b].lead
			for range part[b].columns {
				s.x = append(s.x, x)
				g := &s.gaps[len(s.x)-1]
				x += max(g.least, g.natural*by) + g.fixed
			}
		}
		first, from = first+r.bars, to
	}
	s.line = x + warning(next)
	return s
}

// tiny is what rounding may add to a width.
const tiny = 1e-6

// spread sees to it that the words over bars have room, each before the next of
// its row and the last before the end.
func spread(gaps []gap, bars []measured) {
	for _, chords := range [2]bool{false, true} {
		from, need, column := -1, 0.0, 0
		for b := range bars {
			for _, w := range bars[b].words {
				if (w.style == chordText) != chords {
					continue
				}
				if at := column + w.column; at > from {
					widen(gaps, from, at, need)
					from, need = at, 0
				}
				need += w.width + labelGap
			}
			column += len(bars[b].columns)
		}
		widen(gaps, from, column, need)
	}
}

// widen sees to it that the gaps from one column to another add up to a width.
func widen(gaps []gap, from, to int, need float64) {
	if from < 0 || from >= to {
		return
	}
	natural := 0.0
	for _, g := range gaps[from:to] {
		need -= g.fixed
		natural += g.natural
	}
	if natural == 0 { // rests alone
		gaps[from].least = max(gaps[from].least, need)
		return
	}
	for n := from; n < to; n++ {
		gaps[n].least = max(gaps[n].least, need*gaps[n].natural/natural)
	}
}
