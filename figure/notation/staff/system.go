package staff

import (
	"iter"
	"math"
	"strconv"
	"sync"

	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/notation"
)

// A System is what stands on one line of a page: a few whole bars of the part,
// after their clef and signature. The zero value has no bars and cannot be
// written.
type System struct {
	ruler  *ruler
	staves int
	unit   float64 // millimetres to a space
	large  bool
	begins bool    // the first of a block
	ends   bool    // the last
	name   string  // of the part
	width  float64 // of the drawing
	line   float64 // of the staff, where the drawing is not made smaller
	scale  float64 // how much smaller it is drawn to fit, 1 if it fits
	bars   []measured
	next   *measured // the bar after
	swing  bool
	runs   []run
	flows  bool // it is not in columns
	gaps   []gap
	starts []float64 // where each bar begins
	x      []float64 // where each column stands
	marks  []mark    // those that no column has
	texts  []word
	lower  float64 // from the middle line of the upper of two staves to that of the lower
	boxes  []box   // of the marks, while words are put over them
	around box     // all marks and words
	score  *Layout // of a score, whose parts are drawn with their middle lines at tops
	parts  []*System
	tops   []float64
	below  bool // a part of a score that is not the first
	desks  *sync.Pool
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
	end := &s.bars[len(s.bars)-1]
	return s.bars[0].Number, end.Number + end.count - 1
}

// Opens reports whether a drill begins with this system. No drill begins inside
// one.
func (s *System) Opens() bool { return len(s.bars) > 0 && s.bars[0].Opens }

// Width returns the width of the drawing in millimetres: that of the paper
// between its margins.
func (s *System) Width() float64 { return s.width * s.unit }

// Height returns the height of the drawing in millimetres.
func (s *System) Height() float64 { return (s.around.bottom - s.around.top) * s.scale * s.unit }

// draw puts everything in its place.
func (s *System) draw() {
	if s.score != nil {
		s.join()
		return
	}
	s.signs()
	d := s.desks.Get().(*desk)
	s.boxes = d.boxes[:0]
	for m := range s.all() {
		s.boxes = append(s.boxes, m.box())
	}
	s.words()
	s.around = box{0, -2.2, s.line, 2.2}
	for _, b := range s.boxes {
		s.around = s.around.union(b)
	}
	for _, w := range s.texts {
		s.around = s.around.union(w.box())
	}
	s.around.top -= 0.2
	s.around.bottom += 0.2
	d.boxes, s.boxes = s.boxes, nil
	s.desks.Put(d)
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
	s.marks = append(s.marks, mark{kind: k, glyph: g, x: x, y: y, column: -1})
}

// write draws a mark among the words.
func (s *System) write(m mark) {
	m.column = -1
	s.marks, s.boxes = append(s.marks, m), append(s.boxes, m.box())
}

// stroke draws a straight stroke.
func (s *System) stroke(k kind, x, y, x2, y2 float64) {
	s.marks = append(s.marks, mark{kind: k, x: x, y: y, x2: x2, y2: y2, column: -1})
}

// clefs appends the clefs of the staves where a bar stands.
func (s *System) clefs(dst []clef, m *measured) []clef {
	if s.staves > 1 {
		return append(dst, clefOf(drill.ClefTreble), clefOf(drill.ClefBass))
	}
	return append(dst, m.clef)
}

// signs draws all but words.
func (s *System) signs() {
	s.marks = make([]mark, 0, 14+len(s.x)*s.staves)
	var bounds []int // which of the marks are each bar's, on two staves
	if s.staves > 1 {
		bounds = make([]int, 0, len(s.bars)+1)
	}
	column := 0
	for n := range s.bars {
		m := &s.bars[n]
		if s.staves > 1 {
			bounds = append(bounds, len(s.marks))
		}
		start, end := s.starts[n], s.end(n)
		if n > 0 {
			start += m.change
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
		s.accents(m.columns, x)
		s.triplets(m.columns, x)
		s.ties(n, column)
		if m.count > 1 {
			s.multi(m, start, end-m.endWidth())
		}
		column += len(m.columns)
	}
	if s.staves > 1 {
		s.part(append(bounds, len(s.marks)))
	}
	s.slurs()
	s.frame()
}

// end returns where the barline of a bar ends.
func (s *System) end(n int) float64 {
	if n+1 < len(s.bars) {
		return s.starts[n+1]
	}
	return s.line - signatureWarning(s.next)
}

// gaps between staves, from what is drawn on one to the lines of the other, and
// at least from middle line to middle line.
const (
	stavesLeast = 9.0
	stavesGap   = 0.8
)

// part moves what stands on the lower staff down, far enough from the upper one,
// and draws the rests of the staves that rest.
func (s *System) part(bounds []int) {
	s.lower = stavesLeast
	bar := func(n int, do func(m *mark)) {
		for k := range s.bars[n].columns {
			marks := s.bars[n].columns[k].marks
			for i := range marks {
				do(&marks[i])
			}
		}
		for i := bounds[n]; i < bounds[n+1]; i++ {
			do(&s.marks[i])
		}
	}
	for n := range s.bars {
		bar(n, func(m *mark) {
			if s.bars[n].Staff == 0 {
				s.lower = max(s.lower, m.box().bottom+stavesGap+2)
			} else {
				s.lower = max(s.lower, stavesGap+2-m.box().top)
			}
		})
	}
	s.lower = math.Ceil(s.lower)
	for n := range s.bars {
		m := &s.bars[n]
		y := s.lower
		if m.Staff == 1 {
			bar(n, func(m *mark) { m.y, m.y2 = m.y+y, m.y2+y })
			y = 0
		}
		start, end := s.starts[n], s.end(n)-m.endWidth()
		if n > 0 {
			start += m.change
		}
		if m.count > 1 {
			from := len(s.marks)
			s.multi(m, start, end)
			for i := range s.marks[from:] {
				m := &s.marks[from+i]
				m.y, m.y2 = m.y+y, m.y2+y
			}
			continue
		}
		b := s.ruler.shapes[wholeRest].box
		s.put(idleMark, wholeRest, (start+end)/2-(b.left+b.right)/2, y)
	}
}

// frame draws what all staves have: lines, clefs, signatures, meter, barlines.
func (s *System) frame() {
	left := 0.0
	if s.staves > 1 {
		left = braceWidth
		y, y2 := -2.0, s.lower+2
		s.marks = append(s.marks, mark{kind: braceMark, x: 0.1, y: y, x2: left - 0.25, y2: y2, column: -1})
		s.stroke(edgeMark, left, y, left, y2)
	}
	var both [2]clef
	clefs := s.clefs(both[:0], &s.bars[0])
	x := left + 0.5
	after := x
	for n, c := range clefs {
		top := s.lower * float64(n)
		for y := -2.0; y <= 2; y++ {
			s.stroke(lineMark, left, top+y, s.line, top+y)
		}
		b := s.ruler.shapes[c.glyph].box
		s.put(clefMark, c.glyph, x-b.left, top+c.y)
		after = max(after, x+b.right-b.left)
	}
	if first := &s.bars[0]; first.Signature != 0 {
		s.putSignature(after+0.6, clefs, first.Signature, 0)
	}
	if s.bars[0].Opens {
		s.putMeter(s.bars[0].head+0.3, s.bars[0].Meter)
	}
	for n := range s.bars {
		m := &s.bars[n]
		s.barline(m, s.end(n), -2, 2+s.lower)
		if n == 0 {
			continue
		}
		if m.NewSignature {
			s.putSignature(s.starts[n]+0.7, clefs, m.Signature, s.bars[n-1].Signature)
		}
		if m.NewClef {
			s.putTurn(m, s.starts[n]-s.bars[n-1].endWidth())
		}
	}
	if s.next == nil {
		return
	}
	last := &s.bars[len(s.bars)-1]
	if s.next.NewSignature {
		s.putSignature(s.end(len(s.bars)-1)+0.7, clefs, s.next.Signature, last.Signature)
	}
	if s.next.NewClef {
		s.putTurn(s.next, s.end(len(s.bars)-1)-last.endWidth())
	}
}

// changeSize is the size of a clef that comes within a system.
const changeSize = 0.75

// putTurn draws the new clef of a bar before the barline, which begins at x.
func (s *System) putTurn(m *measured, x float64) {
	b := s.ruler.shapes[m.clef.glyph].box
	x -= b.right*changeSize + 0.4
	s.marks = append(s.marks, mark{kind: changeMark, glyph: m.clef.glyph, x: x, y: m.clef.y, column: -1})
}

// multi draws a rest of several bars between two places, and their number.
func (s *System) multi(m *measured, from, to float64) {
	const aside = 0.9
	s.marks = append(s.marks, mark{kind: multiMark, x: from + aside, x2: to - aside, column: -1})
	text := strconv.Itoa(m.count)
	width := -digitGap
	for n := range len(text) {
		width += s.ruler.clefWidth(digit0+glyph(text[n]-'0')) + digitGap
	}
	x := (from + to - width) / 2
	for n := range len(text) {
		g := digit0 + glyph(text[n]-'0')
		s.put(countMark, g, x-s.ruler.shapes[g].box.left, -3.6)
		x += s.ruler.clefWidth(g) + digitGap
	}
}

// barline draws the barline of a bar, which ends at a place, from top to bottom.
func (s *System) barline(m *measured, end, top, bottom float64) {
	line := func(k kind, x float64) { s.stroke(k, x, top, x, bottom) }
	switch m.End {
	case notation.BarlineDouble:
		line(barlineMark, end-barlineWidth/2)
		line(barlineMark, end-0.6+barlineWidth/2)
	case notation.BarlineFinal:
		line(thickMark, end-thickWidth/2)
		line(barlineMark, end-1.1+barlineWidth/2)
	default:
		line(barlineMark, end-barlineWidth/2)
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
		stem.column = int32(first + n)
		s.marks = append(s.marks, stem)
	}
	draw := func(level, n int, from, to float64) {
		down := way * (beamWidth/2 + beamStep*float64(level))
		y1, y2 := y(from)-down, y(to)-down
		s.marks = append(s.marks, mark{kind: beamMark, x: from, y: y1, x2: to, y2: y2, column: int32(first + n)})
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
	s.marks = append(s.marks, mark{kind: numberMark, glyph: digit0 + 3, x: middle - w, y: y, column: -1})
}

// ties draws the ties out of the notes of a bar, and those from the system
// before and to the next as well.
func (s *System) ties(bar, first int) {
	m := &s.bars[bar]
	for k := range m.columns {
		c := &m.columns[k]
		next := (*column)(nil)
		if k+1 < len(m.columns) {
			next = &m.columns[k+1]
		} else if bar+1 < len(s.bars) {
			next = &s.bars[bar+1].columns[0]
		}
		for n, note := range c.symbol.Notes {
			if first+k == 0 && note.TieIn {
				x, y, side := s.tieEnd(c, n, 0, c.down, -1)
				s.tie(max(x-2.4, s.starts[0]-0.2), x, y, side)
			}
			if !note.TieOut {
				continue
			}
			if next == nil {
				x, y, side := s.tieEnd(c, n, 0, c.down, 1)
				s.tie(x, max(s.line-warning(s.next)-0.2, x+0.6), y, side)
				continue
			}
			down := c.down || c.down != next.down
			for n2, to := range next.symbol.Notes {
				if to.Note == note.Note && to.TieIn {
					x, y, side := s.tieEnd(c, n, 0, down, 1)
					dx := 0.0
					if k+1 == len(m.columns) { // whose marks are not yet in their places
						dx = s.x[first+k+1]
					}
					x2, _, _ := s.tieEnd(next, n2, dx, down, -1)
					s.tie(x, x2, y, side)
				}
			}
		}
	}
}

// tieEnd returns where a tie leaves a notehead (way 1) or comes to it (−1), and
// to which side it curves: away from the stem, or of notes that sound together
// outward.
func (s *System) tieEnd(c *column, k int, dx float64, down bool, way float64) (x, y, side float64) {
	notes := len(c.symbol.Notes)
	side = 1
	if 2*k > notes-1 || 2*k == notes-1 && down {
		side = -1
	}
	head := &c.marks[k]
	around := head.box()
	if notes == 1 && (c.symbol.Value.Dots == 0 || way < 0) {
		return dx + head.x + way*0.15*(around.right-around.left), head.y + side*0.68, side
	}
	x = head.x
	for n := range c.marks {
		if m := &c.marks[n]; m.kind == headMark || m.kind == dotMark && way > 0 {
			if way > 0 {
				x = max(x, m.box().right+0.15)
			} else {
				x = min(x, m.box().left-0.15)
			}
		}
	}
	x += dx
	if notes == 1 {
		return x, head.y + side*0.68, side
	}
	return x, head.y + side*0.25, side
}

func (s *System) tie(x, x2, y, side float64) {
	high := y + side*min(0.3+0.08*(x2-x), 1.1)
	s.marks = append(s.marks, mark{kind: tieMark, x: x, y: y, x2: x2, y2: high, column: -1})
}
