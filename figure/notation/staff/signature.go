package staff

import "example.com/keyorder/figure/drill"

// A clef is a clef's glyph and what it makes of the staff.
type clef struct {
	drill.Clef
	glyph glyph
	y     float64 // of the line that it names
	lower int     // how many steps lower than in the treble clef signatures stand
}

func clefOf(c drill.Clef) clef {
	switch c {
	case drill.ClefBass:
		return clef{c, bassClef, -1, 2}
	case drill.ClefAlto:
		return clef{c, altoClef, 0, 1}
	case drill.ClefTenor:
		return clef{c, altoClef, -1, -1}
	case drill.ClefTrebleOctave:
		return clef{c, octaveTrebleClef, 1, 0}
	}
	return clef{c, trebleClef, 1, 0}
}

// signed is a glyph of a key signature at its place on the staff.
type signed struct {
	glyph    glyph
	position int
}

// signature appends the signs of a key signature, sharps positive, flats
// negative. No signature after another one is as many naturals.
func (c clef) signature(dst []signed, signature, previous int) []signed {
	// Positions in the treble clef. In the tenor clef sharps keep to the staff.
	sharps := [7]int{4, 1, 5, 2, -1, 3, 0}
	flats := [7]int{0, 3, -1, 2, -2, 1, -3}
	if c.Clef == drill.ClefTenor {
		sharps = [7]int{-3, 1, -2, 2, -1, 3, 0}
	}
	sign := sharp
	if signature == 0 {
		signature, sign = previous, natural
	} else if signature < 0 {
		sign = flat
	}
	places := sharps
	if signature < 0 {
		signature, places = -signature, flats
	}
	for _, p := range places[:min(signature, 7)] {
		dst = append(dst, signed{sign, p - c.lower})
	}
	return dst
}

func (r *ruler) signatureWidth(signature, previous int) float64 {
	var signs [7]signed
	width := 0.0
	for _, s := range (clef{}).signature(signs[:0], signature, previous) {
		b := r.shapes[s.glyph].box
		width += b.right - b.left + 0.12
	}
	return max(width-0.12, 0)
}

// putSignature draws a key signature from x on, on every staff.
func (s *System) putSignature(x float64, clefs []clef, signature, previous int) float64 {
	var signs [7]signed
	at := x
	for n, c := range clefs {
		x = at
		for _, g := range c.signature(signs[:0], signature, previous) {
			b := s.ruler.shapes[g.glyph].box
			s.put(signatureMark, g.glyph, x-b.left, yOf(g.position)+s.lower*float64(n))
			x += b.right - b.left + 0.12
		}
	}
	return x
}

const digitGap = 0.16 // between the digits of a time signature

// meterRows returns the two rows of a time signature.
func (r *ruler) meterRows(m drill.Meter) (upper, lower []glyph) {
	text := m.String()
	for n := range len(text) {
		switch c := text[n]; c {
		case '/':
			upper, lower = lower, nil
		case '+':
			lower = append(lower, plus)
		default:
			lower = append(lower, digit0+glyph(c-'0'))
		}
	}
	return upper, lower
}

func (r *ruler) rowWidth(row []glyph) float64 {
	w := 0.0
	for _, g := range row {
		b := r.shapes[g].box
		w += b.right - b.left + digitGap
	}
	return w - digitGap
}

func (r *ruler) meterWidth(m drill.Meter) float64 {
	upper, lower := r.meterRows(m)
	return max(r.rowWidth(upper), r.rowWidth(lower))
}

// putMeter draws a time signature that ends at x, on every staff.
func (s *System) putMeter(x float64, m drill.Meter) {
	upper, lower := s.ruler.meterRows(m)
	width := max(s.ruler.rowWidth(upper), s.ruler.rowWidth(lower))
	x -= width
	for staff := range s.staves {
		for n, row := range [2][]glyph{upper, lower} {
			at := x + (width-s.ruler.rowWidth(row))/2
			for _, g := range row {
				b := s.ruler.shapes[g].box
				s.put(meterMark, g, at-b.left, float64(2*n-1)+s.lower*float64(staff))
				at += b.right - b.left + digitGap
			}
		}
	}
}
