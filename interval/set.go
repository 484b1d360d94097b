package interval

import (
	"fmt"
	"iter"
	"math/bits"
	"strconv"
	"strings"

	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
)

// A Set is a set of intervals above a root with their octaves forgotten, so
// that a ninth is a second: a scale above its tonic, the quality of a chord. It
// keeps letters: the set of an augmented fourth is not that of a diminished
// fifth. Sets compare with ==. The zero value is the empty set.
//
// With octaves forgotten an interval is its place on the line of fifths, see
// [Interval.Fifths], and a Set has one bit for each place from −15 to 16 about
// the root: bit 15 for the root itself, bit 16 for the perfect fifth, bit 12
// for the minor third. That window holds every interval that is at most once
// augmented or diminished, and the doubly augmented unison, second, fourth and
// fifth and the doubly diminished octave, fourth and fifth.
type Set uint32

// Root is the set of the root alone, the perfect unison. Shifted by places it
// makes constants: Root<<4 is the major third, Root>>3 the minor third.
const Root Set = 1 << 15

// The ends of the window on the line of fifths.
const lowest, highest = -15, 16

// outside says which intervals a Set does not hold.
const outside = "a set holds what is at most once augmented or diminished, and AA1 AA2 AA4 AA5 dd4 dd5 dd8"

// bit returns the set of one interval, or nothing where it is outside the
// window.
func (i Interval) bit() Set {
	q := i.Fifths()
	if q < lowest || q > highest {
		return 0
	}
	return 1 << (q - lowest)
}

// SetOf returns the set of the given intervals. The error, a *fault.ValueError,
// names the first that lies outside the window.
func SetOf(intervals ...Interval) (Set, error) {
	var s Set
	for _, i := range intervals {
		b := i.bit()
		if b == 0 {
			return 0, &fault.ValueError{Setting: "interval", Value: i.String(), Want: outside}
		}
		s |= b
	}
	return s, nil
}

// Has reports whether the interval, in any octave, is in the set.
func (s Set) Has(i Interval) bool { return s&i.bit() != 0 }

// With returns the set with an interval added; ok is false, and the set as it
// was, where the interval lies outside the window.
func (s Set) With(i Interval) (t Set, ok bool) {
	b := i.bit()
	return s | b, b != 0
}

// Without returns the set without an interval.
func (s Set) Without(i Interval) Set { return s &^ i.bit() }

// Union returns the intervals that are in either set.
func (s Set) Union(t Set) Set { return s | t }

// SubsetOf reports whether every interval of the set is in t: a chord lies in a
// scale by its letters, for one.
func (s Set) SubsetOf(t Set) bool { return s&^t == 0 }

// Len returns the number of intervals in the set.
func (s Set) Len() int { return bits.OnesCount32(uint32(s)) }

// Shift returns the set with every interval moved up by i. Moved down by one of
// its own intervals, a scale is its mode on that degree. Where one of them
// would leave the window, nothing is cut: ok is false and the set is as it was.
func (s Set) Shift(i Interval) (t Set, ok bool) {
	q := i.Fifths()
	if q < 0 {
		t = s >> -q
		ok = t<<-q == s
	} else {
		t = s << q
		ok = t>>q == s
	}
	if !ok {
		return s, false
	}
	return t, true
}

// PitchSet returns the pitch classes of the set above a root on C, which
// forgets the letters: class = 7·place mod 12.
func (s Set) PitchSet() pitch.Set {
	var classes pitch.Set
	for ; s != 0; s &= s - 1 {
		q := bits.TrailingZeros32(uint32(s)) + lowest
		classes |= 1 << mod12(7*q)
	}
	return classes
}

// Intervals yields the intervals of the set, upward from the root, each as the
// smallest that does not sound below it: a major second for a ninth, a
// diminished octave for a diminished unison. Of two that sound the same the
// lower letter comes first. It does not allocate.
func (s Set) Intervals() iter.Seq[Interval] {
	return func(yield func(Interval) bool) {
		for semitones := range 13 {
			for steps := range 8 {
				i := Of(steps, semitones)
				if i >= Octave { // a unison or second again
					break
				}
				if s.Has(i) && !yield(i) {
					return
				}
			}
		}
	}
}

// String returns the intervals, upward: "P1 m3 P5". The empty set is "∅".
func (s Set) String() string {
	if s == 0 {
		return "∅"
	}
	b, _ := s.AppendText(nil)
	return string(b)
}

// GoString returns what one would type, for %#v.
func (s Set) GoString() string {
	b, _ := s.AppendText(nil)
	return "interval.MustParseSet(" + strconv.Quote(string(b)) + ")"
}

// AppendText implements encoding.TextAppender. It appends what String returns,
// and nothing for the empty set. There is no error.
func (s Set) AppendText(b []byte) ([]byte, error) {
	first := true
	for i := range s.Intervals() {
		if !first {
			b = append(b, ' ')
		}
		first = false
		b, _ = i.AppendText(b)
	}
	return b, nil
}

// MarshalText implements encoding.TextMarshaler; see AppendText.
func (s Set) MarshalText() ([]byte, error) { return s.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler; see ParseSet.
func (s *Set) UnmarshalText(text []byte) error {
	v, err := ParseSet(string(text))
	if err == nil {
		*s = v
	}
	return err
}

// MustParseSet is ParseSet for text known to be good, as in tests and tables.
// It panics if the text is not a set.
func MustParseSet(text string) Set {
	s, err := ParseSet(text)
	if err != nil {
		panic(err)
	}
	return s
}

// ParseSet reads a set: intervals as [Parse] reads them, in any order, with
// spaces between, each once: "P1 m3 P5". Octaves are forgotten, so that M9 is
// M2. No text and "∅" are the empty set. The error is a *fault.SyntaxError.
func ParseSet(text string) (Set, error) {
	if text == "∅" {
		return 0, nil
	}
	var s Set
	refuse := func(at int, want string) (Set, error) {
		return 0, &fault.SyntaxError{What: "set of intervals", Input: text, At: at, Want: want}
	}
	at := 0
	for at < len(text) {
		if text[at] == ' ' {
			at++
			continue
		}
		word, _, _ := strings.Cut(text[at:], " ")
		i, err := Parse(word)
		if err != nil {
			bad := err.(*fault.SyntaxError)
			return refuse(at+bad.At, bad.Want)
		}
		b := i.bit()
		if b == 0 {
			return refuse(at, outside)
		}
		if s&b != 0 {
			return refuse(at, fmt.Sprintf("%s comes twice; a set has each interval once, whatever its octave", word))
		}
		s |= b
		at += len(word)
	}
	return s, nil
}
