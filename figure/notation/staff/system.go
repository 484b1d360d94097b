package staff

import (
	"iter"
	"math"

	"example.com/keyorder/figure/notation"
)

// A System is what stands on one line of a page: a few whole bars of the part,
// after their clef and signature. The zero value has no bars and cannot be
// written.
type System struct {
	ruler  *ruler
	name   string  // of the part
	width  float64 // of the drawing
	line   float64 // of the staff, where the drawing is not made smaller
	scale  float64 // how much smaller it is drawn to fit, 1 if it fits
	bars   []measured
	next   *measured // the bar after
	swing  bool
	gaps   []gap
	starts []float64 // where each bar begins
	x      []float64 // where each column stands
	marks  []mark    // those that no column has
	texts  []word
	around box // all marks
}

// Systems yields the systems from the first to the last, each a new one. It can
// be run again and again, and a long part takes no more memory than a short one.
func (l *Layout) Systems() iter.Seq[*System] {
	return func(yield func(*System) bool) {
		for s := range l.spaced() {
			s.draw()
			if !yield(s) {
				return
			}
		}
	}
}

// Bars returns the numbers of the first and the last bar, as [notation.Bar] has
// them, or 0 and 0 for the zero System.
func (s *System) Bars() (first, last int) {
	if len(s.bars) == 0 {
		return 0, 0
	}
	return s.bars[0].Number, s.bars[len(s.bars)-1].Number
}

// Opens reports whether a drill begins with this system. No drill begins inside
// one.
func (s *System) Opens() bool { return len(s.bars) > 0 && s.bars[0].Opens }

// Width returns the width of the drawing in millimetres: that of the paper
// between its margins.
func (s *System) Width() float64 { return s.width * millimetres }

// Height returns the height of the drawing in millimetres.
func (s *System) Height() float64 { return (s.around.bottom - s.around.top) * s.scale * millimetres }

// draw puts everything in its place.
func (s *System) draw() {
	s.signs()
	s.words()
	s.around = box{0, -2.2, s.line, 2.2}
	for m := range s.all() {
		s.around = s.around.union(m.box)
	}
	for _, w := range s.texts {
		s.around = s.around.union(w.box())
	}
	s.around.top -= 0.2
	s.around.bottom += 0.2
}

// all yields all marks, those of the columns first.
func (s *System) all() iter.Seq[*mark] {
	return func(yield func(*mark) bool) {
		for b := range s.bars {
			for k := range s.bars[b].columns {
				marks := s.bars[b].columns[k].marks
				for n := range marks {
					if !yield(&marks[n]) {
						return
					}
				}
			}
		}
		for n := range s.marks {
			if !yield(&s.marks[n]) {
				return
			}
		}
	}
}

// put draws a glyph.
func (s *System) put(k kind, g glyph, x, y float64) {
	s.marks = append(s.marks, mark{kind: k, glyph: g, x: x, y: y, box: s.ruler.shapes[g].box.at(x, y), column: -1})
}

// stroke draws a straight stroke.
func (s *System) stroke(k kind, x, y, x2, y2 float64) {
	w := k.width() / 2
	b := box{min(x, x2), min(y, y2), max(x, x2), max(y, y2)}
	if x == x2 {
		b.left, b.right = b.left-w, b.right+w
	} else {
		b.top, b.bottom = b.top-w, b.bottom+w
	}
	s.marks = append(s.marks, mark{kind: k, x: x, y: y, x2: x2, y2: y2, box: b, column: -1})
}

// signs draws all but words.
func (s *System) signs() {
	s.marks = make([]mark, 0, 24+2*len(s.x))
	for y := -2.0; y <= 2; y++ {
		s.stroke(lineMark, 0, y, s.line, y)
	}
	x := 0.5
	clef := s.ruler.clef
	clefBox := s.ruler.shapes[clef.glyph].box
	s.put(clefMark, clef.glyph, x-clefBox.left, clef.y)
	x += clefBox.right - clefBox.left
	if first := &s.bars[0]; first.Signature != 0 {
		x = s.putSignature(x+0.6, first.Signature, 0)
	}
	if s.bars[0].Opens {
		s.putMeter(x+0.8, s.bars[0].Meter)
	}
	column := 0
	for n := range s.bars {
		m := &s.bars[n]
		end := s.line - tail(s.next)
		if n+1 < len(s.bars) {
			end = s.starts[n+1]
		}
		s.barline(m, end)
		start := s.starts[n]
		if n > 0 && m.NewSignature {
			start = s.putSignature(start+0.7, m.Signature, s.bars[n-1].Signature)
		}
		x := s.x[column : column+len(m.columns)]
		for k := range m.columns {
			c := &m.columns[k]
			dx := x[k]
			if c.symbol.FullBar {
				dx = (start+end-m.endWidth())/2 + headHalf - (c.right+headHalf)/2
			}
			for n := range c.marks {
				m := &c.marks[n]
				m.x += dx
				m.x2 += dx
				m.box = m.box.at(dx, 0)
				m.column = int32(column + k)
			}
		}
		for k := 0; k < len(m.columns); k++ {
			if m.columns[k].symbol.Beams[0] == notation.BeamBegins {
				from := k
				for k+1 < len(m.columns) && m.columns[k].symbol.Beams[0] != notation.BeamEnds {
					k++
				}
				s.beam(m.columns[from:k+1], x[from:k+1], column+from)
			}
		}
		s.triplets(m.columns, x)
		column += len(m.columns)
	}
	if s.next != nil && s.next.NewSignature {
		s.putSignature(s.line-tail(s.next)+0.7, s.next.Signature, s.bars[len(s.bars)-1].Signature)
	}
	s.ties()
}

func (s *System) barline(m *measured, end float64) {
	switch m.End {
	case notation.BarlineDouble:
		s.stroke(barlineMark, end-barlineWidth/2, -2, end-barlineWidth/2, 2)
		s.stroke(barlineMark, end-0.6+barlineWidth/2, -2, end-0.6+barlineWidth/2, 2)
	case notation.BarlineFinal:
		s.stroke(thickMark, end-thickWidth/2, -2, end-thickWidth/2, 2)
		s.stroke(barlineMark, end-1.1+barlineWidth/2, -2, end-1.1+barlineWidth/2, 2)
	default:
		s.stroke(barlineMark, end-barlineWidth/2, -2, end-barlineWidth/2, 2)
	}
}

// beam draws the stems of a group and its beams.
func (s *System) beam(group []column, x []float64, first int) {
	last := len(group) - 1
	// Heights are counted toward the beam, so that up and down are one.
	way := -1.0
	if group[0].down {
		way = 1
	}
	height := func(n int) float64 {
		if group[n].down {
			return yOf(group[n].low)
		}
		return -yOf(group[n].high)
	}
	at := func(n int) float64 { return x[n] + group[n].stemX() }
	width := at(last) - at(0)

	// The slant: half the interval from the first note to the last, a space at
	// most and never steep; none where a note between reaches farther.
	rise := max(-1, min(1, (height(last)-height(0))/2), -width/4)
	rise = math.Trunc(min(rise, width/4)*4) / 4
	for n := 1; n < last; n++ {
		if height(n) >= max(height(0), height(last)) {
			rise = 0
		}
	}
	slope := rise / width
	begin := 0.0
	for n := range group {
		length := 3.0
		if beams := group[n].symbol.Value.Flags(); beams > 1 {
			length += 0.25 + beamStep*float64(beams-2)
		}
		reach := max(height(n)+length, 0)
		begin = max(begin, reach-slope*(at(n)-at(0)))
	}
	begin = math.Ceil(begin*4) / 4
	y := func(x float64) float64 { return way * (begin + slope*(x-at(0))) }

	for n := range group {
		c := &group[n]
		stem := c.stemAt(y(at(n)) - way*0.1)
		c.top, c.bottom = min(c.top, y(at(n))), max(c.bottom, y(at(n)))
		stem.x, stem.x2 = at(n), at(n)
		stem.box = stem.box.at(x[n], 0)
		stem.column = int32(first + n)
		s.marks = append(s.marks, stem)
	}
	draw := func(level, n int, from, to float64) {
		down := way * (beamWidth/2 + beamStep*float64(level))
		y1, y2 := y(from)-down, y(to)-down
		s.marks = append(s.marks, mark{kind: beamMark, x: from, y: y1, x2: to, y2: y2, column: int32(first + n),
			box: box{from, min(y1, y2) - beamWidth/2, to, max(y1, y2) + beamWidth/2}})
	}
	const half = stemWidth / 2
	for level := range group[0].symbol.Beams {
		from := 0
		for n := range group {
			switch group[n].symbol.Beams[level] {
			case notation.BeamBegins:
				from = n
			case notation.BeamEnds:
				draw(level, from, at(from)-half, at(n)+half)
			case notation.BeamHookForward:
				draw(level, n, at(n)-half, at(n)+min(hookLength, (at(n+1)-at(n))/2))
			case notation.BeamHookBackward:
				draw(level, n, at(n)-min(hookLength, (at(n)-at(n-1))/2), at(n)+half)
			}
		}
	}
}

// triplets draws the number of each triplet, and a bracket where no beam
// holds just its notes together.
func (s *System) triplets(columns []column, x []float64) {
	from := 0
	for n := range columns {
		switch columns[n].symbol.Triplet {
		case notation.GroupBegins:
			from = n
		case notation.GroupEnds:
			s.triplet(columns[from:n+1], x[from:n+1])
		}
	}
}

func (s *System) triplet(group []column, x []float64) {
	last := len(group) - 1
	beamed := group[0].symbol.Beams[0] == notation.BeamBegins && group[last].symbol.Beams[0] == notation.BeamEnds
	below, top, bottom := false, -2.0, 2.0
	for n := range group {
		c := &group[n]
		beamed = beamed && (n == 0 || n == last || c.symbol.Beams[0] == notation.BeamGoesOn)
		if len(c.symbol.Notes) > 0 {
			below = c.down
		}
	}
	for n := range group {
		c := &group[n]
		below = below && (c.down || len(c.symbol.Notes) == 0)
		top, bottom = min(top, c.top), max(bottom, c.bottom)
	}
	y, hook := top-1, 0.6
	if below {
		y, hook = bottom+1, -0.6
	}
	left, right := x[0]-headHalf, x[last]+max(headHalf, min(group[last].right, 2))
	middle := (left + right) / 2
	if beamed {
		middle = (x[0]+x[last])/2 + group[0].stemX()
		if below {
			y = max(y-0.1, 2.8)
		}
	} else {
		left, right = min(left, middle-1.2), max(right, middle+1.2)
		for _, b := range [4][4]float64{
			{left, y + hook, left, y}, {left, y, middle - 0.7, y},
			{middle + 0.7, y, right, y}, {right, y, right, y + hook},
		} {
			s.stroke(bracketMark, b[0], b[1], b[2], b[3])
		}
	}
	b := s.ruler.shapes[digit0+3].box
	w := (b.right - b.left) * numberSize / 2
	s.marks = append(s.marks, mark{kind: numberMark, glyph: digit0 + 3, x: middle - w, y: y, column: -1,
		box: box{middle - w - 0.1, y - numberSize, middle + w + 0.1, y + numberSize}})
}

// ties draws the ties, those from the system before and to the next as well.
func (s *System) ties() {
	columns := make([]*column, 0, len(s.x))
	for b := range s.bars {
		for k := range s.bars[b].columns {
			columns = append(columns, &s.bars[b].columns[k])
		}
	}
	for n, c := range columns {
		for k, note := range c.symbol.Notes {
			if n == 0 && note.TieIn {
				x, y, side := s.tieEnd(c, k, c.down, -1)
				s.tie(max(x-2.4, s.starts[0]-0.2), x, y, side)
			}
			if !note.TieOut {
				continue
			}
			if n+1 == len(columns) {
				x, y, side := s.tieEnd(c, k, c.down, 1)
				s.tie(x, s.line-tail(s.next)-0.2, y, side)
				continue
			}
			next := columns[n+1]
			down := c.down || c.down != next.down
			for k2, to := range next.symbol.Notes {
				if to.Note == note.Note && to.TieIn {
					x, y, side := s.tieEnd(c, k, down, 1)
					x2, _, _ := s.tieEnd(next, k2, down, -1)
					s.tie(x, x2, y, side)
				}
			}
		}
	}
}

// tieEnd returns where a tie leaves a notehead (way 1) or comes to it (−1), and
// to which side it curves: away from the stem, or of notes that sound together
// outward.
func (s *System) tieEnd(c *column, k int, down bool, way float64) (x, y, side float64) {
	notes := len(c.symbol.Notes)
	side = 1
	if 2*k > notes-1 || 2*k == notes-1 && down {
		side = -1
	}
	head := &c.marks[k]
	if notes == 1 && (c.symbol.Value.Dots == 0 || way < 0) {
		return head.x + way*0.15*(head.box.right-head.box.left), head.y + side*0.68, side
	}
	x = head.x
	for n := range c.marks {
		if m := &c.marks[n]; m.kind == headMark || m.kind == dotMark && way > 0 {
			if way > 0 {
				x = max(x, m.box.right+0.15)
			} else {
				x = min(x, m.box.left-0.15)
			}
		}
	}
	if notes == 1 {
		return x, head.y + side*0.68, side
	}
	return x, head.y + side*0.25, side
}

func (s *System) tie(x, x2, y, side float64) {
	high := y + side*min(0.3+0.08*(x2-x), 1.1)
	s.marks = append(s.marks, mark{kind: tieMark, x: x, y: y, x2: x2, y2: high, column: -1,
		box: box{x, min(y, high), x2, max(y, high)}})
}
