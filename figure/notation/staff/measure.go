package staff

import (
	"example.com/keyorder/figure/notation"
	"example.com/keyorder/spelling"
)

// A bar is first measured: what stands in it is drawn about the columns of its
// symbols, which have no place yet. Stems of beamed notes, beams, ties and
// triplets wait until the columns have one.

// A kind is a kind of mark.
type kind uint8

const (
	headMark kind = iota // glyphs, at x, y
	accidentalMark
	signatureMark
	restMark
	dotMark
	flagMark
	clefMark
	meterMark
	idleMark    // a rest of the other staff of two
	multiMark   // a rest of several bars, from x to x2
	countMark   // how many they are
	braceMark   // from y to y2, its point at x
	groupMark   // a bracket, from x, y to x2, y2 without its ends
	numberMark  // the 3 of a triplet, small
	tempoMark   // the note of a tempo, small
	changeMark  // a clef that comes within a system, small
	beamMark    // from x, y to x2, y2 along its middle
	tieMark     // from x, y to x2, y, its middle at height y2
	slurMark    // from x, y to x2, y2, its middle by bow above the line between
	accentMark  // its middle at x, y
	stemMark    // strokes from x, y to x2, y2
	ledgerMark  //
	barlineMark //
	edgeMark    // the line before the two staves of a grand staff
	lineMark    // the lines of the staff
	thickMark   // the thick stroke of a final barline
	bracketMark //
	frameMark   // a frame about a section's number
	kinds
)

// A mark is one thing that is drawn, words aside.
type mark struct {
	kind         kind
	glyph        glyph
	column       int32 // the column of a system that it belongs to, or −1
	x, y, x2, y2 float64
	bow          float64
}

// box returns the box that a mark lies in.
func (m *mark) box() box {
	small := func(size float64) box {
		b := shapes()[m.glyph].box
		return box{m.x + b.left*size, m.y + b.top*size, m.x + b.right*size, m.y + b.bottom*size}
	}
	between := box{min(m.x, m.x2), min(m.y, m.y2), max(m.x, m.x2), max(m.y, m.y2)}
	wider := func(x, y float64) box {
		return box{between.left - x, between.top - y, between.right + x, between.bottom + y}
	}
	switch m.kind {
	case multiMark:
		return box{m.x, m.y - 1, m.x2, m.y + 1}
	case groupMark:
		return box{m.x, m.y - bracketReach, m.x2 + bracketGap, m.y2 + bracketReach}
	case numberMark:
		w := small(numberSize).right - small(numberSize).left
		return box{m.x - 0.1, m.y - numberSize, m.x + w + 0.1, m.y + numberSize}
	case tempoMark:
		return small(tempoSize)
	case changeMark:
		return small(changeSize)
	case beamMark:
		return wider(0, beamWidth/2)
	case braceMark, tieMark, frameMark:
		return between
	case slurMark:
		middle := (m.y+m.y2)/2 - m.bow
		return box{m.x, min(between.top, middle), m.x2, max(between.bottom, middle)}
	case accentMark:
		return box{m.x - accentHalf, m.y - accentRise, m.x + accentHalf, m.y + accentRise}
	case stemMark, ledgerMark, barlineMark, edgeMark, lineMark, thickMark, bracketMark:
		w := m.kind.width() / 2
		if m.x == m.x2 {
			return wider(w, 0)
		}
		return wider(0, w)
	}
	return shapes()[m.glyph].box.at(m.x, m.y)
}

// width returns how thick the strokes of a kind are.
func (k kind) width() float64 {
	switch k {
	case stemMark:
		return stemWidth
	case ledgerMark:
		return ledgerWidth
	case barlineMark, edgeMark:
		return barlineWidth
	case thickMark:
		return thickWidth
	}
	return lineWidth
}

// Measures of strokes and distances.
const (
	lineWidth    = 0.11
	stemWidth    = 0.12
	ledgerWidth  = 0.16
	barlineWidth = 0.18
	thickWidth   = 0.5
	beamWidth    = 0.5
	beamStep     = 0.75 // from one beam or flag to the next
	stemLength   = 3.5  // an octave
	ledgerReach  = 0.3  // of a ledger line beyond the notehead
	hookLength   = 1.1
)

// A column is a symbol measured about its origin, the middle of a notehead.
type column struct {
	symbol      *notation.Symbol
	marks       []mark
	left, right float64 // how far it reaches
	top, bottom float64 // likewise
	low, high   int     // staff positions of the lowest and highest notehead
	stem, down  bool
}

// beamed reports whether a column's stem ends at a beam.
func (c *column) beamed() bool { return c.symbol.Beams[0] != notation.BeamNone }

// A measured bar, or a rest of several bars.
type measured struct {
	notation.Bar
	count   int // of bars
	clef    clef
	columns []column
	lead    float64    // from the barline before to the first origin
	gaps    []gap      // from each origin to the next, the last to the barline
	natural float64    // the width with all gaps as they are best
	least   float64    // the least width
	change  float64    // the width of a new signature after a barline
	turn    float64    // the width of a new clef before a barline
	head    float64    // the width of what stands before the bar at the beginning of a system
	words   []over     // in time
	line    bool       // it begins four bars of a statement that is made of fours
	parts   []measured // of a score
}

// A gap is the distance between two columns: natural as the time between them
// asks, but not less than least, and fixed on top for what stands between.
type gap struct{ least, natural, fixed float64 }

// A ruler measures the bars of a part.
type ruler struct {
	shapes   *[glyphs]shape
	staves   int
	near     float64           // by how much notes stand nearer than usual
	bare     bool              // no words
	language spelling.Language // of keys
	clef     clef              // of the bar
}

// farthest is the farthest staff position drawn, which no key number exceeds
// in any clef.
const farthest = 48

// position returns a note's place on the staff, in steps above the middle line.
func (r *ruler) position(n spelling.Note) int {
	return max(-farthest, min(farthest, notation.Position(r.clef.Clef, n)))
}

func yOf(position int) float64 { return -float64(position) / 2 }

// bar measures a bar that comes after a signature.
func (r ruler) bar(b notation.Bar, previous int, from *stock) measured {
	r.clef = clefOf(b.Clef)
	m := measured{Bar: b, count: 1, clef: r.clef, columns: take(&from.columns, len(b.Symbols)), gaps: take(&from.gaps, len(b.Symbols))}
	notes := 0
	for n := range b.Symbols {
		m.columns[n] = r.columnOf(&b.Symbols[n])
		notes += max(len(b.Symbols[n].Notes), 1)
	}
	m.turnStems()
	marks := take(&from.marks, 5*notes)[:0]
	for n := range m.columns {
		// Each column has its marks in one run, of the bar's while there is room.
		c := &m.columns[n]
		c.marks = marks[len(marks):]
		r.measure(c)
		if len(c.marks) <= cap(marks)-len(marks) {
			marks = marks[:len(marks)+len(c.marks)]
		}
		c.marks = c.marks[:len(c.marks):len(c.marks)]
	}
	from.marks = from.marks[:len(from.marks)-(cap(marks)-len(marks))] // what is left is the next bar's
	if !r.bare {
		m.words = m.over(from, r.language)
	}
	m.head = r.headWidth(&b)
	if b.NewSignature {
		m.change = 0.7 + r.signatureWidth(b.Signature, previous)
	}
	if b.NewClef {
		box := r.shapes[m.clef.glyph].box
		m.turn = (box.right-box.left)*changeSize + 0.8
	}
	m.space(r.near)
	return m
}

// A stock is room for the columns, gaps and marks of many bars, which is asked
// for in large pieces.
type stock struct {
	columns []column
	gaps    []gap
	marks   []mark
	words   []over
}

// take takes a number of zero elements from a stock.
func take[T any](from *[]T, n int) []T {
	if cap(*from)-len(*from) < n {
		*from = make([]T, 0, max(n, min(2*cap(*from), 256), 64))
	}
	at := len(*from)
	*from = (*from)[:at+n]
	return (*from)[at : at+n : at+n]
}

// columnOf returns a symbol's column, with how low and high its notes stand.
func (r *ruler) columnOf(s *notation.Symbol) column {
	c := column{symbol: s}
	if len(s.Notes) == 0 {
		return c
	}
	c.stem = s.Value.Base >= 2
	c.low, c.high = farthest, -farthest
	for _, note := range s.Notes {
		p := r.position(note.Note)
		c.low, c.high = min(c.low, p), max(c.high, p)
	}
	return c
}

// turnStems turns the stems of each group of a bar one way, as the note decides
// that is farthest from the middle line.
func (m *measured) turnStems() {
	for n := 0; n < len(m.columns); {
		end := n + 1
		for end < len(m.columns) && m.columns[n].beamed() && m.columns[end-1].symbol.Beams[0] != notation.BeamEnds {
			end++
		}
		low, high := farthest, -farthest
		for _, c := range m.columns[n:end] {
			low, high = min(low, c.low), max(high, c.high)
		}
		for ; n < end; n++ {
			m.columns[n].down = high >= -low
		}
	}
}
