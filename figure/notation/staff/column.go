package staff

import (
	"math"
	"math/bits"
	"slices"

	"example.com/keyorder/figure/notation"
)

// A column is measured in layers, each about what is there before: noteheads,
// ledger lines, accidentals, the stem with its flags, dots, room for ties.

// measure measures a column. The stem of a beamed one waits for its beam.
func (r *ruler) measure(c *column) {
	c.top, c.bottom = math.Inf(1), math.Inf(-1)
	if len(c.symbol.Notes) == 0 {
		r.rest(c)
		return
	}
	var heads [8]head
	var boxes [24]box
	stack := r.stack(c, heads[:0])
	taken := r.noteheads(c, stack, boxes[:0])
	right := c.right
	taken = c.ledgers(stack, taken)
	r.accidentals(c, taken)
	if c.stem && !c.beamed() {
		r.stem(c)
	}
	if c.symbol.Value.Dots > 0 {
		right = r.headDots(c, stack, right)
	}
	for _, note := range c.symbol.Notes {
		if note.TieOut { // room for a tie between the noteheads
			c.right = max(c.right, right+1)
		}
	}
}

// A head is where a notehead of a column stands.
type head struct {
	position int
	x        float64 // about the origin
}

// head returns the notehead of a column and half its width.
func (c *column) head() (g glyph, half float64) {
	switch c.symbol.Value.Base {
	case 1:
		return wholeHead, wholeHalf
	case 2:
		return halfHead, headHalf
	}
	return blackHead, headHalf
}

// stack appends the heads of a column, lowest first: of two a step apart, one
// stands on the other side of the stem.
func (r *ruler) stack(c *column, heads []head) []head {
	for _, note := range c.symbol.Notes {
		heads = append(heads, head{position: r.position(note.Note)})
	}
	_, half := c.head()
	aside := 2*half - stemWidth
	if c.down {
		for n := len(heads) - 2; n >= 0; n-- {
			if heads[n+1].position-heads[n].position <= 1 && heads[n+1].x == 0 {
				heads[n].x = -aside
			}
		}
		return heads
	}
	for n := 1; n < len(heads); n++ {
		if heads[n].position-heads[n-1].position <= 1 && heads[n-1].x == 0 {
			heads[n].x = aside
		}
	}
	return heads
}

// noteheads draws the heads. It appends the room that they take, which
// accidentals must not touch.
func (r *ruler) noteheads(c *column, heads []head, taken []box) []box {
	g, _ := c.head()
	for _, h := range heads {
		b := r.add(c, headMark, g, h.x, yOf(h.position))
		taken = append(taken, box{b.left - 0.25, b.top, b.right, b.bottom})
	}
	return taken
}

// ledgers draws the ledger lines, each as long as the heads on it and beyond it
// ask, and appends the room that they take.
func (c *column) ledgers(heads []head, taken []box) []box {
	_, half := c.head()
	for p := 6; p <= max(c.high, -c.low); p += 2 {
		for _, side := range [2]int{1, -1} {
			left, right := math.Inf(1), math.Inf(-1)
			for _, h := range heads {
				if h.position*side >= p {
					left, right = min(left, h.x-half-ledgerReach), max(right, h.x+half+ledgerReach)
				}
			}
			if left > right {
				continue
			}
			y := yOf(p * side)
			c.marks = append(c.marks, mark{kind: ledgerMark, x: left, y: y, x2: right, y2: y})
			c.left, c.right = max(c.left, -left-ledgerReach/2), max(c.right, right-ledgerReach/2)
			taken = append(taken, box{left - 0.1, y - 0.1, right, y + 0.1})
		}
	}
	return taken
}

// stem draws a stem that ends at no beam, and its flags.
func (r *ruler) stem(c *column) {
	flags := c.symbol.Value.Flags()
	length := stemLength
	if flags > 1 {
		length += 0.25 + beamStep*float64(flags-2)
	}
	stem := c.stemTo(length)
	c.marks = append(c.marks, stem)
	c.top, c.bottom = min(c.top, stem.y, stem.y2), max(c.bottom, stem.y, stem.y2)
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
		r.add(c, flagMark, g, stem.x-stemWidth/2, stem.y2+step*float64(n))
	}
}

// headDots draws the dots of the heads, in the spaces beside or above them, and
// returns how far to the right they reach. Before them is how far the heads do.
func (r *ruler) headDots(c *column, heads []head, right float64) float64 {
	x := right + 0.42
	if !c.down && c.stem && !c.beamed() && c.symbol.Value.Flags() > 0 {
		x = c.right + 0.3
	}
	var places [8]int
	used := places[:0]
	for n, h := range slices.Backward(heads) {
		p := h.position
		if n+1 < len(heads) && heads[n+1].position == p {
			continue // two on one line or space have one dot
		}
		if p%2 == 0 {
			p++
		}
		for slices.Contains(used, p) {
			p -= 2
		}
		used = append(used, p)
		right = max(right, r.dots(c, x, yOf(p)))
	}
	return right
}

// dots draws the dots of one head or rest and returns how far they reach.
func (r *ruler) dots(c *column, x, y float64) (right float64) {
	for n := range c.symbol.Value.Dots {
		right = r.add(c, dotMark, dot, x+0.6*float64(n), y).right
	}
	return right
}

// add appends a glyph to a column.
func (r *ruler) add(c *column, k kind, g glyph, x, y float64) box {
	b := r.shapes[g].box.at(x, y)
	c.marks = append(c.marks, mark{kind: k, glyph: g, x: x, y: y})
	c.left, c.right = max(c.left, -b.left), max(c.right, b.right)
	c.top, c.bottom = min(c.top, b.top), max(c.bottom, b.bottom)
	return b
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
	return mark{kind: stemMark, x: x, y: y, x2: x, y2: tip}
}

// rest draws a rest.
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
