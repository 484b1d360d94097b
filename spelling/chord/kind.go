package chord

import (
	"math/bits"

	"example.com/keyorder/interval"
)

// A Degree is a note by which a chord differs from its kind.
type Degree struct {
	Number int // 2 to 13, as Members tells them; 1 or 8 for an altered root
	// Alter is in semitones: against the note that the kind has where it is
	// altered, and otherwise, as MusicXML counts, against a dominant chord on the
	// root, whose seventh is minor.
	Alter  int
	Change string // what it does to the kind, as MusicXML's degree-type says: "add", "alter" or "subtract"
}

// Kind returns what a writer of MusicXML needs beside root and bass: the kind,
// one of the standard's kind-values, and the degrees by which the chord differs
// from it, upward. C7(♭9) is a dominant with an added 9, lowered by one.
// Source: MusicXML 4.0, the documentation of kind-value and degree-alter in
// musicxml.xsd.
func (c Chord) Kind() (kind string, degrees []Degree) {
	q := c.Quality()
	s := stemOf(q)
	kind, base := s.kind(q)
	for steps, alteration := range s.members(q | base) {
		here := bit(steps+1, alteration)
		letter := forms(bit(steps+1, 0))
		lost, more := base&letter&^q, q&letter&^base
		instead := more & -more // the lowest of them takes the place of what is lost
		switch {
		case here == lost && more == 0:
			degrees = append(degrees, Degree{steps + 1, 0, "subtract"})
		case here == lost:
			degrees = append(degrees, Degree{steps + 1, (place(instead) - place(lost)) / 7, "alter"})
		case !has(more, here) || lost != 0 && here == instead:
		case steps == 6:
			degrees = append(degrees, Degree{steps + 1, alteration + 1, "add"})
		default:
			degrees = append(degrees, Degree{steps + 1, alteration, "add"})
		}
	}
	return kind, degrees
}

func place(one interval.Set) int { return bits.TrailingZeros32(uint32(one)) }

// kind returns the standard's kind of a quality that has the stem, and the
// members that the standard gives it.
func (s stem) kind(q interval.Set) (string, interval.Set) {
	switch {
	case s.triad == power:
		return "power", s.set()
	case s.sus == 4:
		return "suspended-fourth", n1 | n4 | n5
	case s.sus == 2:
		return "suspended-second", n1 | n2 | n5
	case s.triad == augmented && s.figure == 7:
		return "augmented-seventh", s.set()
	case s.triad == augmented:
		return "augmented", n1 | n3 | s5
	case s.triad == diminished && s.figure == 7 && !s.maj:
		return "diminished-seventh", n1 | b3 | b5 | bb7
	case s.triad == diminished:
		return "diminished", n1 | b3 | b5
	case s.triad == minor && s.figure >= 7 && s.figure != sixNine && q&(b5|n5|s5) == b5:
		return "half-diminished", n1 | b3 | b5 | b7
	case s.triad == minor && s.maj:
		return "major-minor", n1 | b3 | n5 | n7
	}
	family := "dominant"
	switch {
	case s.triad == minor:
		family = "minor"
	case s.maj || s.figure < 7 || s.figure == sixNine:
		family = "major"
	}
	base := stem{triad: s.triad, maj: s.maj, figure: s.figure}
	switch s.figure {
	case 0:
		return family, base.set()
	case 6, sixNine:
		base.figure = 6
		return family + "-sixth", base.set()
	case 7:
		if family == "dominant" {
			return family, base.set()
		}
		return family + "-seventh", base.set()
	case 9:
		return family + "-ninth", base.set()
	case 11:
		return family + "-11th", base.set()
	}
	return family + "-13th", base.set() | n4 // the standard's have the eleventh
}
