// Package pitch knows pitches by number, as a keyboard does: without letters.
//
// A [Class] is one of the twelve pitch classes, the note with its octave and
// its spelling forgotten: C is 0, C♯ and D♭ are both 1, B is 11. Theory texts
// write ten and eleven as T and E. Two families of operations move the twelve
// around: transposition Tn adds n, inversion In subtracts from n.
//
// A [Number] is a key on the keyboard, numbered as MIDI does: middle C (C4 in
// scientific pitch notation) is 60, and every semitone is one more. A number
// has a class, an octave and, once a tuning pitch for A4 is chosen, a
// frequency. Notes with letters stand in package spelling, which sits above.
//
// A [Set] is any of the 4096 collections of pitch classes, a bit for each of
// the twelve: chords and scales with their order forgotten. It has what set
// theory asks of one: the prime form, which all its transpositions and
// inversions share ([Set.RahnPrime], [Set.FortePrime]), the count of its
// intervals by class ([Vector]), symmetries, [Set.ForteNumber]; and the name
// that it has in common use ([Set.Name]).
//
// Text that cannot be read is a *fault.SyntaxError.
package pitch

import (
	"math"
	"strconv"
	"strings"

	"example.com/keyorder/pitch/fault"
)

// A Class is a pitch class, 0 for C to 11 for B. The zero value is C. Methods
// take a class above 11 as the class it is modulo 12.
type Class uint8

// ClassOf returns the pitch class of a whole number of semitones above or
// below C: the number modulo 12.
func ClassOf(semitones int) Class { return Class((semitones%12 + 12) % 12) }

// T returns the class transposed by n semitones, the operation theory texts
// write Tn: c + n modulo 12. T(12) is the identity.
func (c Class) T(n int) Class { return ClassOf(int(c) + n%12) }

// I returns the class inverted with index n, the operation theory texts write
// In: n − c modulo 12. Doing it twice gives the class back.
func (c Class) I(n int) Class { return ClassOf(n%12 - int(c)) }

// digits are the twelve classes as theory texts write them.
const digits = "0123456789TE"

// String returns the class as theory texts write it: 0 to 9, T for ten, E for
// eleven.
func (c Class) String() string { k := c % 12; return digits[k : k+1] }

// GoString returns what one would type, for %#v.
func (c Class) GoString() string { return "pitch.Class(" + strconv.Itoa(int(c)) + ")" }

// AppendText implements encoding.TextAppender. It appends what String returns.
func (c Class) AppendText(b []byte) ([]byte, error) { return append(b, digits[c%12]), nil }

// MarshalText implements encoding.TextMarshaler; see String.
func (c Class) MarshalText() ([]byte, error) { return c.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler; see ParseClass.
func (c *Class) UnmarshalText(text []byte) error {
	v, err := ParseClass(string(text))
	if err == nil {
		*c = v
	}
	return err
}

// ParseClass reads a pitch class as theory texts write it: 0 to 9, T or 10, E
// or 11, in either case, so that E is 11 and no note name; package spelling reads
// names. The error is a *fault.SyntaxError.
func ParseClass(s string) (Class, error) {
	switch s {
	case "10":
		return 10, nil
	case "11":
		return 11, nil
	}
	if len(s) == 1 {
		if k := strings.Index(digits, strings.ToUpper(s)); k >= 0 {
			return Class(k), nil
		}
	}
	return 0, &fault.SyntaxError{What: "pitch class", Input: s, Want: "a class is 0 to 9, T (ten) or E (eleven), with C as 0"}
}

// A Number is a key number as MIDI counts them: 60 is middle C, 69 the A
// above it. The zero value is C−1, the lowest of MIDI's 128 keys. Numbers
// outside 0 to 127 are pitches all the same; IsValid tells them apart.
type Number int16

// IsValid reports whether the number is one of MIDI's 128 keys, 0 to 127.
func (n Number) IsValid() bool { return 0 <= n && n <= 127 }

// Class returns the pitch class of the key.
func (n Number) Class() Class { return ClassOf(int(n)) }

// Octave returns the octave in scientific pitch notation, in which middle C,
// key 60, begins octave 4.
func (n Number) Octave() int { return floorDiv12(int(n)) - 1 }

// Hertz returns the frequency in hertz in equal temperament, where a4 is the
// frequency of A above middle C (key 69), in hertz. [A440] is the standard
// one. An octave is exactly twice the frequency.
func (n Number) Hertz(a4 float64) float64 {
	return math.Ldexp(a4*ratios[n.Class()], n.Octave()-4)
}

// A440 is the standard tuning frequency of A4 in hertz. Source: the published
// tables named in testdata/frequencies.tsv, among them that of the CRC Handbook
// of Chemistry and Physics.
const A440 = 440.0

// ratios are the frequencies of the twelve classes in the octave of A, as
// ratios to it: 2^((class − 9)/12).
var ratios = [12]float64{
	0.59460355750136053336,
	0.62996052494743658238,
	0.66741992708501718242,
	0.70710678118654752440,
	0.74915353843834074940,
	0.79370052598409973738,
	0.84089641525371454303,
	0.89089871814033930474,
	0.94387431268169349664,
	1,
	1.05946309435929526456,
	1.12246204830937298143,
}

func floorDiv12(n int) int { return (n - int(ClassOf(n))) / 12 }
