// Package chord reads and writes chord symbols, and knows which notes they mean.
//
// A [Chord] is a root, a quality and a bass. The quality is what is left of a
// chord when its root is forgotten: the set of intervals above it, its root
// among them (see [interval.Set]). So E♭m7 and Am7 have one quality, P1 m3 P5
// m7, and a chord moves to another root without a thought for its quality. The
// bass is the root, another note of the chord, or a foreign one: C/E, B♭/C.
//
// Charts write one chord in many ways: Cmaj7, CM7, CΔ7. [Parse] reads them all,
// and each chord prints in one form: a bare 7, 9, 11 or 13 has a minor seventh,
// what is altered stands in brackets, as in C7(♭9). Where charts disagree, C2
// is read as Cadd9 and C7alt as C7(♯5,♯9). What could be read in two ways is
// refused, with what is near.
//
// A set forgets octaves. [Chord.Members] tells 9, 11 and 13 from 2, 4 and 6 by
// the rest of the chord, as players do. Which scales hold a chord is not
// known here: ask those of package figure, by their sets of intervals.
//
// Sources: the textbooks and lists named in testdata/chords.tsv, against which
// every symbol is tested.
package chord

import (
	"iter"

	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/spelling"
)

// A Chord is a chord with its spelling and without octaves. The zero value is
// the note C alone. Chords compare with ==.
type Chord struct {
	root  spelling.Name
	bass  int16        // the place above the root on the line of fifths
	above interval.Set // the quality without its root
}

// Of returns the chord on a root with a quality, in root position. The root is
// a note of every chord, whether the quality has it or not.
func Of(root spelling.Name, quality interval.Set) Chord {
	return Chord{root: root, above: quality &^ interval.Root}
}

// Over returns the chord with another note in the bass: one of its own for an
// inversion, the root for root position, or a foreign one.
func (c Chord) Over(bass spelling.Name) Chord {
	c.bass = int16(bass - c.root)
	return c
}

// Root returns the chord's root.
func (c Chord) Root() spelling.Name { return c.root }

// Quality returns the intervals above the root, with the unison and without a
// foreign bass.
func (c Chord) Quality() interval.Set { return c.above | interval.Root }

// Bass returns the lowest note, which is the root unless another was given.
func (c Chord) Bass() spelling.Name { return c.root + spelling.Name(c.bass) }

// Up returns the chord an interval above: every note of it moves by the
// interval. Everyday gives its root an everyday name.
func (c Chord) Up(i interval.Interval) Chord {
	c.root = c.root.Up(i)
	return c
}

// Down returns the chord an interval below.
func (c Chord) Down(i interval.Interval) Chord { return c.Up(-i) }

// Everyday returns the chord on a root with an everyday name: a natural, or one
// of D♭ C♯ E♭ F♯ G♭ A♭ G♯ B♭ (common practice, no source). A chord that has one
// stays as it is; otherwise all its notes are respelled with the root: E𝄫maj7
// is Dmaj7 and D♯m7 is E♭m7.
func (c Chord) Everyday() Chord {
	const low, high = -6, 8 // G♭ and G♯: those names stand side by side
	for c.root < low {
		c.root += 12
	}
	for c.root > high {
		c.root -= 12
	}
	return c
}

// PitchSet returns the pitch classes of the chord's notes, the bass among them.
func (c Chord) PitchSet() pitch.Set {
	return c.Quality().PitchSet().T(int(c.root.Class())).Union(pitch.SetOf(c.Bass().Class()))
}

// Notes yields the names of the notes, each once: the bass, then the others
// from the root up, in thirds. It does not allocate.
func (c Chord) Notes() iter.Seq[spelling.Name] {
	return func(yield func(spelling.Name) bool) {
		if !yield(c.Bass()) {
			return
		}
		for i := range c.Members() {
			if n := c.root.Up(i); n != c.Bass() && !yield(n) {
				return
			}
		}
	}
}

// Members yields the intervals of the chord above its root, upward, each in the
// octave that its number in the chord tells: a major second is M2 in Csus2 and
// M9 in C9, a fourth P4 in Csus4 and P11 in Cm11, a sixth M6 in C6 and M13 in
// C13. A foreign bass is not among them. It does not allocate.
func (c Chord) Members() iter.Seq[interval.Interval] {
	return func(yield func(interval.Interval) bool) {
		q := c.Quality()
		for steps, alteration := range stemOf(q).members(q) {
			if !yield(member(steps, alteration)) {
				return
			}
		}
	}
}

// member returns the interval of so many letter steps up, altered by so many
// semitones against the major scale.
func member(steps, alteration int) interval.Interval {
	place := int(spelling.NameOf(spelling.Letter(steps%7), alteration))
	return interval.Of(steps, (place+12*steps)/7)
}

// members yields the members of a quality that has the stem, or of a part of
// it: the letter steps of each above the root and how it is altered against the
// major scale, upward, lowered before raised ones.
func (s stem) members(q interval.Set) iter.Seq2[int, int] {
	return func(yield func(int, int) bool) {
		for steps := range 13 {
			for alteration := -2; alteration <= 2; alteration++ {
				here := s.octave(steps%7, alteration) == steps/7
				if here && has(q, bit(steps+1, alteration)) && !yield(steps, alteration) {
					return
				}
			}
		}
	}
}

// octave returns in which octave above the root, 0 or 1, a chord has its member
// of so many letter steps within the octave.
func (s stem) octave(steps, alteration int) int {
	up := false
	switch steps {
	case 0: // a lowered root is a diminished octave
		up = alteration < 0
	case 1:
		up = s.sus != 2 || alteration != 0
	case 3:
		up = s.sus != 4 || alteration != 0
	case 5:
		up = s.figure >= 7 && s.figure != sixNine
	}
	if up {
		return 1
	}
	return 0
}
