package staff

import (
	"math/bits"
	"slices"

	"example.com/keyorder/figure/drill"
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
	numberMark  // the 3 of a triplet, small
	tempoMark   // the note of a tempo, small
	beamMark    // from x, y to x2, y2 along its middle
	tieMark     // from x, y to x2, y, its middle at height y2
	stemMark    // strokes from x, y to x2, y2
	ledgerMark  //
	barlineMark //
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
	box          box
}

// width returns how thick the strokes of a kind are.
func (k kind) width() float64 {
	switch k {
	case stemMark:
		return stemWidth
	case ledgerMark:
		return ledgerWidth
	case barlineMark:
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

// A measured bar.
type measured struct {
	notation.Bar
	columns []column
	lead    float64 // from the barline before to the first origin
	gaps    []gap   // from each origin to the next, the last to the barline
	natural float64 // the width with all gaps as they are best
	least   float64 // the least width
	change  float64 // the width of a new signature after a barline
	head    float64 // the width of what stands before the bar at the beginning of a system
	words   []over  // in time
}

// A gap is the distance between two columns: natural as the time between them
// asks, but not less than least, and fixed on top for what stands between.
type gap struct{ least, natural, fixed float64 }

// ruler measures the bars of a part.
type ruler struct {
	shapes *[glyphs]shape
	clef   drill.Clef
}

// middle returns the diatonic number of the note on the middle line.
func middle(c drill.Clef) int {
	switch c {
	case drill.ClefBass:
		return 3*7 + int(spelling.LetterD)
	case drill.ClefAlto:
		return 4*7 + int(spelling.LetterC)
	case drill.ClefTrebleOctave:
		return 3*7 + int(spelling.LetterB)
	}
	return 4*7 + int(spelling.LetterB)
}

// farthest is the farthest staff position drawn, which no key number exceeds
// in any clef.
const farthest = 48

// position returns a note's place on the staff, in steps above the middle line.
func (r *ruler) position(n spelling.Note) int {
	return max(-farthest, min(farthest, n.Octave()*7+int(n.Letter())-middle(r.clef)))
}

func yOf(position int) float64 { return -float64(position) / 2 }

// bar measures a bar that comes after a signature.
func (r *ruler) bar(b notation.Bar, previous int) measured {
	m := measured{Bar: b, columns: make([]column, len(b.Symbols)), gaps: make([]gap, len(b.Symbols))}
	for n := range b.Symbols {
		c := &m.columns[n]
		c.symbol = &b.Symbols[n]
		if notes := c.symbol.Notes; len(notes) > 0 {
			c.low, c.high = farthest, -farthest
			for _, note := range notes {
				p := r.position(note.Note)
				c.low, c.high = min(c.low, p), max(c.high, p)
			}
			c.stem = c.symbol.Value.Base >= 2
		}
	}
	for n := 0; n < len(m.columns); {
		end := n + 1
		for end < len(m.columns) && m.columns[n].beamed() && m.columns[end-1].symbol.Beams[0] != notation.BeamEnds {
			end++
		}
		low, high := farthest, -farthest
		for _, c := range m.columns[n:end] {
			low, high = min(low, c.low), max(high, c.high)
		}
		for k := n; k < end; k++ {
			m.columns[k].down = high >= -low
		}
		n = end
	}
	notes := 0
	for _, s := range b.Symbols {
		notes += max(len(s.Notes), 1)
	}
	marks := make([]mark, 0, 2*notes+2*len(b.Symbols))
	for n := range m.columns {
		// Each column has its marks in one run, of the bar's while there is room.
		c := &m.columns[n]
		c.marks = marks[len(marks):]
		r.column(c)
		if len(c.marks) <= cap(marks)-len(marks) {
			marks = marks[:len(marks)+len(c.marks)]
		}
		c.marks = c.marks[:len(c.marks):len(c.marks)]
	}
	m.words = m.over()
	m.head = r.headWidth(&b)
	if b.NewSignature {
		m.change = 0.7 + r.signatureWidth(b.Signature, previous)
	}
	m.space()
	return m
}

// add appends a glyph to a column.
func (r *ruler) add(c *column, k kind, g glyph, x, y float64) box {
	b := r.shapes[g].box.at(x, y)
	c.marks = append(c.marks, mark{kind: k, glyph: g, x: x, y: y, box: b})
	c.left, c.right = max(c.left, -b.left), max(c.right, b.right)
	c.top, c.bottom = min(c.top, b.top), max(c.bottom, b.bottom)
	return b
}

func (r *ruler) column(c *column) {
	s := c.symbol
	c.top, c.bottom = 99, -99
	if len(s.Notes) == 0 {
		r.rest(c)
		return
	}
	head, half := blackHead, headHalf
	switch s.Value.Base {
	case 1:
		head, half = wholeHead, wholeHalf
	case 2:
		head = halfHead
	}

	// Noteheads, lowest first: of two a step apart, one stands on the other
	// side of the stem.
	var places [8]struct {
		position int
		x        float64
	}
	heads := places[:0]
	for _, note := range s.Notes {
		heads = append(heads, struct {
			position int
			x        float64
		}{r.position(note.Note), 0})
	}
	aside := 2*half - stemWidth
	if c.down {
		for n := len(heads) - 2; n >= 0; n-- {
			if heads[n+1].position-heads[n].position <= 1 && heads[n+1].x == 0 {
				heads[n].x = -aside
			}
		}
	} else {
		for n := 1; n < len(heads); n++ {
			if heads[n].position-heads[n-1].position <= 1 && heads[n-1].x == 0 {
				heads[n].x = aside
			}
		}
	}
	var room [24]box // what accidentals must not touch
	taken := room[:0]
	for _, h := range heads {
		b := r.add(c, headMark, head, h.x, yOf(h.position))
		taken = append(taken, box{b.left - 0.25, b.top, b.right, b.bottom})
	}
	headsRight := c.right
	for p := 6; p <= max(c.high, -c.low); p += 2 {
		for _, side := range [2]int{1, -1} {
			left, right := 9.0, -9.0
			for _, h := range heads {
				if h.position*side >= p {
					left, right = min(left, h.x-half-ledgerReach), max(right, h.x+half+ledgerReach)
				}
			}
			if left < right {
				y := yOf(p * side)
				c.marks = append(c.marks, mark{kind: ledgerMark, x: left, y: y, x2: right, y2: y,
					box: box{left, y - ledgerWidth/2, right, y + ledgerWidth/2}})
				c.left, c.right = max(c.left, -left-ledgerReach/2), max(c.right, right-ledgerReach/2)
				taken = append(taken, box{left - 0.1, y - 0.1, right, y + 0.1})
			}
		}
	}
	r.accidentals(c, taken)

	if c.stem && !c.beamed() {
		flags := s.Value.Flags()
		length := stemLength
		if flags > 1 {
			length += 0.25 + beamStep*float64(flags-2)
		}
		stem := c.stemTo(length)
		x := stem.x - stemWidth/2
		c.marks = append(c.marks, stem)
		c.top, c.bottom = min(c.top, stem.box.top), max(c.bottom, stem.box.bottom)
		outer, inner, step := flagUp, moreFlagUp, beamStep
		if c.down {
			outer, inner, step = flagDown, moreFlagDown, -beamStep
		}
		// The flag nearest to the notehead is the long one.
		for n := range flags {
			g := inner
			if n == flags-1 {
				g = outer
			}
			r.add(c, flagMark, g, x, stem.y2+step*float64(n))
		}
	}
	if s.Value.Dots > 0 {
		x := headsRight + 0.42
		if !c.down && c.stem && !c.beamed() && s.Value.Flags() > 0 {
			x = c.right + 0.3
		}
		var used [8]int
		places := used[:0]
		for n, h := range slices.Backward(heads) {
			p := h.position
			if n+1 < len(heads) && heads[n+1].position == p {
				continue // two on one line or space have one dot
			}
			if p%2 == 0 {
				p++
			}
			for slices.Contains(places, p) {
				p -= 2
			}
			places = append(places, p)
			r.dots(c, x, yOf(p))
		}
	}
	for n := len(c.marks) - 1; n >= 0 && c.marks[n].kind == dotMark; n-- {
		headsRight = max(headsRight, c.marks[n].box.right)
	}
	for _, note := range s.Notes {
		if note.TieOut { // room for a tie between the noteheads
			c.right = max(c.right, headsRight+1)
		}
	}
}

func (r *ruler) dots(c *column, x, y float64) {
	for n := range c.symbol.Value.Dots {
		r.add(c, dotMark, dot, x+0.6*float64(n), y)
	}
}

// stemX returns where the stem stands about the origin.
func (c *column) stemX() float64 {
	if c.down {
		return -headHalf + stemWidth/2
	}
	return headHalf - stemWidth/2
}

// stemTo returns the stem of a length beyond the nearest notehead; it reaches
// at least the middle line.
func (c *column) stemTo(length float64) mark {
	if c.down {
		return c.stemAt(max(yOf(c.low)+length, 0))
	}
	return c.stemAt(min(yOf(c.high)-length, 0))
}

// stemAt returns the stem that ends at a height.
func (c *column) stemAt(tip float64) mark {
	x, y := c.stemX(), yOf(c.low)-stemRise
	if c.down {
		y = yOf(c.high) + stemRise
	}
	return mark{kind: stemMark, x: x, y: y, x2: x, y2: tip,
		box: box{x - stemWidth/2, min(y, tip), x + stemWidth/2, max(y, tip)}}
}

func (r *ruler) rest(c *column) {
	g := wholeRest
	switch base := c.symbol.Value.Base; {
	case c.symbol.FullBar || base <= 1:
	case base == 2:
		g = halfRest
	case base == 4:
		g = quarterRest
	default:
		g = eighthRest + glyph(min(bits.Len8(base)-4, 4))
	}
	b := r.shapes[g].box
	r.add(c, restMark, g, -headHalf-b.left, 0)
	r.dots(c, c.right+0.4, -0.5)
	c.left = headHalf
}

// accidentals puts the accidentals of notes that sound together before the
// noteheads, each as near as what is there lets it: the highest first, then
// the lowest, and so inward.
func (r *ruler) accidentals(c *column, taken []box) {
	for low, high := 0, len(c.symbol.Notes)-1; low <= high; {
		n := high
		if len(c.symbol.Notes)-1-high > low {
			n = low
			low++
		} else {
			high--
		}
		note := c.symbol.Notes[n]
		if note.Accidental == notation.AccidentalHidden {
			continue
		}
		var run [16]glyph
		sign := signs(run[:0], note.Note.Alteration(), note.Accidental == notation.AccidentalCautionary)
		around, width := r.run(sign)
		y := yOf(r.position(note.Note))
		right := -headHalf
		for moved := true; moved; {
			moved = false
			here := box{right - width, y + around.top, right, y + around.bottom}
			for _, b := range taken {
				if here.meets(b) && b.left < right {
					right, moved = b.left, true
					break
				}
			}
		}
		x := right - width
		for _, g := range sign {
			b := r.shapes[g].box
			r.add(c, accidentalMark, g, x-b.left, y)
			x += b.right - b.left + signGap(g)
		}
		taken = append(taken, box{right - width - 0.12, y + around.top, right, y + around.bottom})
	}
}

// signs appends the glyphs of an accidental, left to right: natural, flats, a
// sharp before double sharps, in parentheses if it is cautionary.
func signs(dst []glyph, alteration int, cautionary bool) []glyph {
	if cautionary {
		dst = append(dst, openParenthesis)
	}
	switch a := max(-10, min(10, alteration)); {
	case a == 0:
		dst = append(dst, natural)
	case a < 0:
		for range -a {
			dst = append(dst, flat)
		}
	default:
		if a%2 == 1 {
			dst = append(dst, sharp)
		}
		for range a / 2 {
			dst = append(dst, doubleSharp)
		}
	}
	if cautionary {
		dst = append(dst, closeParenthesis)
	}
	return dst
}

// signGap returns the space after a glyph of an accidental.
func signGap(g glyph) float64 {
	if g == flat {
		return -0.04
	}
	return 0.1
}

// run returns the height of glyphs in a row, as a box, and their width.
func (r *ruler) run(row []glyph) (box, float64) {
	around, width := nowhere(), 0.0
	for n, g := range row {
		b := r.shapes[g].box
		around = around.union(b)
		width += b.right - b.left
		if n+1 < len(row) {
			width += signGap(g)
		}
	}
	return around, width
}
