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

// space works out the gaps of a bar.
func (m *measured) space() {
	const clear = 0.42
	last := len(m.columns) - 1
	for n := range m.columns {
		c := &m.columns[n]
		g := &m.gaps[n]
		g.natural = naturalGap(c.symbol.Length)
		if c.symbol.FullBar {
			g.natural = 4.5
		}
		if n < last {
			g.least = c.right + clear + m.columns[n+1].left
		} else {
			g.least = c.right + 0.8
			g.fixed = m.endWidth()
		}
	}
	bars := [1]measured{*m}
	if last := len(m.words) - 1; last >= 0 && m.words[last].column > 0 {
		bars[0].words = m.words[:last] // the last may reach over the barline
	}
	spread(m.gaps, bars[:])
	m.lead = max(1.8, 0.9+m.columns[0].left)
	m.natural, m.least = m.lead, m.lead
	for _, g := range m.gaps {
		m.natural += max(g.least, g.natural) + g.fixed
		m.least += g.least + g.fixed
	}
}

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
	for by, before := math.Inf(1), -1; ; {
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
		if least == before || natural == 0 {
			return by
		}
		by, before = max(room/natural, 0), least
	}
}

// space returns a system with its columns in their places.
func (l *Layout) space(bars []measured, next *measured) *System {
	s := &System{ruler: &l.ruler, name: l.part.Instrument().Name, swing: l.score.Options().Swing,
		width: l.width(), scale: 1, bars: bars, next: next}
	columns := 0
	for n := range bars {
		columns += len(bars[n].columns)
	}
	s.gaps, s.x, s.starts = make([]gap, 0, columns), make([]float64, 0, columns), make([]float64, 0, len(bars))
	for n := range bars {
		s.gaps = append(s.gaps, bars[n].gaps...)
		last := &s.gaps[len(s.gaps)-1]
		if n+1 < len(bars) {
			last.fixed += bars[n+1].change + bars[n+1].lead
		} else {
			last.fixed += tail(s.next)
		}
	}
	spread(s.gaps, bars)
	head := bars[0].head
	begin := head + bars[0].lead
	if bars[0].Opens {
		w := s.tempoWord(&bars[0])
		widen(s.gaps, 0, len(s.gaps), w.x+w.width-begin)
	}
	least := begin
	for _, g := range s.gaps {
		least += g.least + g.fixed
	}
	by := 0.0
	if least > s.width {
		s.scale = s.width / least
	} else if by = stretch(s.gaps, s.width-begin); s.next == nil && by > fullest {
		by = 1.1
	}
	x := begin
	n := 0
	s.starts = append(s.starts, head)
	for b := range bars {
		for range bars[b].columns {
			s.x = append(s.x, x)
			g := s.gaps[n]
			x += max(g.least, g.natural*by) + g.fixed
			n++
		}
		if b+1 < len(bars) {
			s.starts = append(s.starts, x-bars[b+1].lead-bars[b+1].change)
		}
	}
	s.line = x
	return s
}

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
	for n := from; n < to; n++ {
		gaps[n].least = max(gaps[n].least, need*gaps[n].natural/natural)
	}
}
