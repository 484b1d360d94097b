package chord

import "example.com/keyorder/interval"

// The members of a chord by their degree in the major scale above the root.
const (
	n1 = interval.Root
	n2 = n1 << 2
	n3 = n1 << 4
	n4 = n1 >> 1
	n5 = n1 << 1
	n6 = n1 << 3
	n7 = n1 << 5

	// A flat lies seven places lower on the line of fifths, a sharp seven higher.
	b2, b3, b5, b7 = n2 >> 7, n3 >> 7, n5 >> 7, n7 >> 7
	s2, s4, s5     = n2 << 7, n4 << 7, n5 << 7
	bb7            = b7 >> 7
)

// bit returns the member with a number, 1 to 13, altered by so many semitones
// against the major scale. Where a set does not hold it, or the number is none
// of these, it is empty.
func bit(number, alteration int) interval.Set {
	if number < 1 || number > 13 {
		return 0
	}
	natural := [...]interval.Set{n1, n2, n3, n4, n5, n6, n7}[(number-1)%7]
	if alteration < 0 {
		return natural >> (-7 * alteration)
	}
	return natural << (7 * alteration)
}

// forms returns the members on the letter of a natural one, at most doubly
// altered: as many as a set holds.
func forms(natural interval.Set) interval.Set {
	return natural>>14 | natural>>7 | natural | natural<<7 | natural<<14
}

// has reports whether the quality has any of the members.
func has(q, members interval.Set) bool { return q&members != 0 }

type triad uint8

const (
	major triad = iota
	minor
	diminished
	augmented
	halfDiminished // a diminished triad whose seventh is minor; written m7(♭5)
	power          // root and fifth
)

// A stem is what stands of a symbol before its brackets: a triad and a figure.
type stem struct {
	triad  triad
	maj    bool  // the seventh is a major one
	figure uint8 // 0 for a triad, 6, 7, 9, 11, 13, sixNine
	sus    uint8 // 0, or the member that stands for a major triad's third: 2 or 4
}

const sixNine = 69

// set returns the quality that the stem means.
func (s stem) set() interval.Set {
	q := n1
	switch {
	case s.sus == 2:
		q |= n2 | n5
	case s.sus == 4:
		q |= n4 | n5
	case s.triad == major:
		q |= n3 | n5
	case s.triad == minor:
		q |= b3 | n5
	case s.triad == diminished, s.triad == halfDiminished:
		q |= b3 | b5
	case s.triad == augmented:
		q |= n3 | s5
	case s.triad == power:
		q |= n5
	}
	return q | s.stacked()
}

// stacked returns what the figure adds to the triad.
func (s stem) stacked() interval.Set {
	var q interval.Set
	switch s.figure {
	case 0:
		return 0
	case 6:
		return n6
	case sixNine:
		return n6 | n2
	}
	switch {
	case s.maj:
		q = n7
	case s.triad == diminished:
		q = bb7
	default:
		q = b7
	}
	if s.figure >= 9 {
		q |= n2
	}
	// With a major third a thirteenth leaves the eleventh out.
	minorThird := s.triad == minor || s.triad == diminished || s.triad == halfDiminished
	if s.figure == 11 || s.figure == 13 && minorThird {
		q |= n4
	}
	if s.figure == 13 {
		q |= n6
	}
	return q
}

// stemOf returns the stem under which a quality is written. What the stem does
// not mean, the brackets say.
func stemOf(q interval.Set) stem {
	var s stem
	switch {
	case q == n1|n5:
		return stem{triad: power}
	case has(q, n3):
	case has(q, b3):
		s.triad = minor
	case has(q, n4):
		s.sus = 4
	case has(q, n2):
		s.sus = 2
	}
	s.figure, s.maj = s.figureOf(q)
	switch fifth := q & (b5 | n5 | s5); {
	case s.triad == minor && fifth == b5 && has(q, bb7) && !has(q, b7|n7):
		s.triad, s.figure = diminished, 7
	case s.triad == minor && fifth == b5 && (s.figure == 0 || s.maj):
		s.triad = diminished
	case has(q, n3) && fifth == s5 && s.figure == 0 || q == n1|n3|s5|b7:
		s.triad = augmented
	}
	return s
}

// figureOf returns the figure of a quality, and whether its seventh is major.
func (s stem) figureOf(q interval.Set) (figure uint8, maj bool) {
	ninth := has(q, n2) && s.sus != 2
	if !has(q, b7|n7) {
		switch {
		case !has(q, n6):
			return 0, false
		case ninth:
			return sixNine, false
		}
		return 6, false
	}
	anyNinth := ninth || has(q, b2|s2)
	eleventh := has(q, n4) && s.sus != 4
	switch {
	case has(q, n6) && anyNinth && (s.triad != minor || eleventh || has(q, s4)):
		figure = 13
	case eleventh && anyNinth:
		figure = 11
	case ninth:
		figure = 9
	default:
		figure = 7
	}
	return figure, !has(q, b7)
}
