package staff

import (
	"example.com/keyorder/figure/drill"
)

// Slurs lie on the side of the noteheads where all stems go up, otherwise above;
// accents on the side of the notehead, outside the staff. (Common practice.)

const (
	accentHalf = 0.7 // half its width
	accentRise = 0.4 // half its height
	slurGap    = 0.5 // from what is drawn to a slur
)

// accents draws the accents of a bar.
func (s *System) accents(columns []column, x []float64) {
	for n := range columns {
		c := &columns[n]
		if !c.symbol.Marks.Has(drill.MarkAccent) {
			continue
		}
		y := min(c.top, -2) - 0.3 - accentRise
		if c.stem && !c.down {
			y = max(c.bottom, 2) + 0.3 + accentRise
		}
		c.top, c.bottom = min(c.top, y-accentRise), max(c.bottom, y+accentRise)
		s.marks = append(s.marks, mark{kind: accentMark, x: x[n], y: y, column: -1})
	}
}

// slurs draws the slurs of the system, and those from the one before and to the
// next as far as they go here.
func (s *System) slurs() {
	var under []*column
	var at []float64
	open, from := false, 0.0
	first := 0
	for b := range s.bars {
		m := &s.bars[b]
		lower := 0.0
		if m.Staff == 1 {
			lower = s.lower
		}
		for k := range m.columns {
			c := &m.columns[k]
			marks := c.symbol.Marks
			on := marks.Has(drill.MarkSlurOn) || marks.Has(drill.MarkSlurEnd)
			if !on {
				continue
			}
			if marks.Has(drill.MarkSlurBegin) || !open {
				open, under, at = true, under[:0], at[:0]
				if from = s.x[first+k]; !marks.Has(drill.MarkSlurBegin) {
					from = s.starts[0] - 0.2 // from the system before
				}
			}
			under, at = append(under, c), append(at, s.x[first+k])
			if marks.Has(drill.MarkSlurEnd) {
				s.slur(under, at, from, s.x[first+k], lower)
				open = false
			}
		}
		if open && b+1 == len(s.bars) {
			s.slur(under, at, from, s.line-0.2, lower)
		}
		first += len(m.columns)
	}
}

// slur draws a slur from one place to another over the columns under it, on a
// staff so much lower than the upper one.
func (s *System) slur(under []*column, at []float64, from, to, lower float64) {
	side := 1.0 // below
	for _, c := range under {
		if c.down || !c.stem {
			side = -1
		}
	}
	edge := func(c *column) float64 {
		if side < 0 {
			return c.top - slurGap
		}
		return c.bottom + slurGap
	}
	y, y2 := edge(under[0]), edge(under[len(under)-1])
	width := max(to-from, 0.1)
	bow := min(0.35+0.07*width, 1.4)
	for n := range under {
		// As high over the line between the ends as a parabola that clears it.
		part := (at[n] - from) / width
		if part < 0.05 || part > 0.95 {
			continue
		}
		over := side * (edge(under[n]) - (y + part*(y2-y)))
		bow = max(bow, min(over/(4*part*(1-part)), 5))
	}
	s.marks = append(s.marks, mark{kind: slurMark, x: from, y: y + lower, x2: to, y2: y2 + lower, bow: -side * bow, column: -1})
}

// appendSlur appends a slur, two curves from end to end.
func appendSlur(b []byte, m *mark) []byte {
	const thick = 0.1
	outer, inner := m.bow*4/3, m.bow*4/3
	if m.bow > 0 {
		outer, inner = outer+thick, inner-thick
	} else {
		outer, inner = outer-thick, inner+thick
	}
	in := min(0.3*(m.x2-m.x), 6)
	rise := (m.y2 - m.y) * in / (m.x2 - m.x)
	b = appendPoint(b, m.x, m.y)
	b = append(b, 'C')
	b = appendPoint(b, m.x+in, m.y+rise-outer)
	b = appendPoint(b, m.x2-in, m.y2-rise-outer)
	b = appendPoint(b, m.x2, m.y2)
	b = append(b, 'C')
	b = appendPoint(b, m.x2-in, m.y2-rise-inner)
	b = appendPoint(b, m.x+in, m.y+rise-inner)
	b = appendPoint(b, m.x, m.y)
	return append(b, 'Z')
}

// appendAccent appends an accent, a wedge open to the left.
func appendAccent(b []byte, m *mark) []byte {
	const thick = 0.18
	b = appendPoint(b, m.x-accentHalf, m.y-accentRise)
	for _, p := range [5][2]float64{{accentHalf, 0}, {-accentHalf, accentRise}, {-accentHalf, accentRise - thick}, {accentHalf - 2.4*thick, 0}, {-accentHalf, -accentRise + thick}} {
		b = append(b, 'L')
		b = appendPoint(b, m.x+p[0], m.y+p[1])
	}
	return append(b, 'Z')
}
