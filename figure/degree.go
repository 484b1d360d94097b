package figure

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"example.com/keyorder/interval"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
)

// A Degree is a degree of a scale, as a player counts it: 1 is the tonic, 3
// the third above, 8 and up lie above the octave, a v in front puts it an
// octave down. The zero value is the tonic.
//
// A bare number takes the form that the scale has. An explicit one, with an
// accidental in front, is stated against the major scale whatever the scale,
// as chord symbols do: b3, #4, n7. [Degree.Above] gives its interval.
type Degree struct {
	// Step is the number of letters above the tonic: 0 for 1, 2 for 3, 7 for
	// 8, −1 for ↓7. It goes from −21 (↓↓↓1) to 98 (99).
	Step int8
	// Alteration is what the accidental of an explicit degree adds to the
	// major scale, in semitones, −7 to 7. A bare degree has none.
	Alteration int8
	// Explicit says that the degree has an accidental or a natural in front.
	Explicit bool
}

const (
	maxBelow         = 3 // octaves down
	minStep, maxStep = -7 * maxBelow, 98
	maxAlteration    = 7
)

// degreeAt returns the explicit degree that lies an interval above the tonic.
func degreeAt(i interval.Interval) Degree {
	return Degree{int8(i.Steps()), int8(alterationOf(i)), true}
}

// degreeIn returns the degree that lies an interval above the tonic, bare if
// it can be in the scale; ok is false where it lies outside the degrees.
func degreeIn(s Scale, i interval.Interval) (d Degree, ok bool) {
	step, alteration := i.Steps(), alterationOf(i)
	if step < minStep || step > maxStep || alteration < -maxAlteration || alteration > maxAlteration {
		return Degree{}, false
	}
	if a, ok := s.bare(step); ok && a == alteration {
		return Degree{Step: int8(step)}, true
	}
	return degreeAt(i), true
}

// refusal says why the fields are no degree, or nothing where they are one.
func (d Degree) refusal() string {
	if d.Step < minStep || d.Step > maxStep || d.Alteration < -maxAlteration || d.Alteration > maxAlteration || !d.Explicit && d.Alteration != 0 {
		return "a degree has steps −21 to 98, alteration −7 to 7, and is explicit if altered"
	}
	return ""
}

func (d Degree) refused(want string) error {
	return &fault.ValueError{Setting: "degree", Value: d.Plain(), Want: want}
}

// Above returns the interval of the degree above the tonic of a scale. The
// error, a *fault.ValueError, says what to write where the scale has no such
// bare degree.
func (d Degree) Above(s Scale) (interval.Interval, error) {
	if want := d.refusal(); want != "" {
		return 0, d.refused(want)
	}
	alteration := int(d.Alteration)
	if !d.Explicit {
		a, ok := s.bare(int(d.Step))
		if !ok {
			natural := Degree{Step: d.Step, Explicit: true}
			return 0, d.refused(fmt.Sprintf("the %v scale (%s) has no plain %s; write %s for that of the major scale, or say which with b or #", s, s.Formula(), d.Plain(), natural.Plain()))
		}
		alteration = a
	}
	return above(int(d.Step), alteration), nil
}

// String returns the degree with ↓ ♭ ♯ ♮: "♭3", "↓♮7".
func (d Degree) String() string { return string(d.append(nil, false)) }

// Plain returns the degree with v b # n: "b3", "vn7".
func (d Degree) Plain() string { return string(d.append(nil, true)) }

// GoString returns what one would type, for %#v.
func (d Degree) GoString() string {
	if d.refusal() != "" {
		return fmt.Sprintf("figure.Degree{Step: %d, Alteration: %d, Explicit: %t}", d.Step, d.Alteration, d.Explicit)
	}
	return "figure.MustParseDegree(" + strconv.Quote(d.Plain()) + ")"
}

func (d Degree) append(b []byte, plain bool) []byte {
	down, flat, sharp, natural := "↓", "♭", "♯", "♮"
	if plain {
		down, flat, sharp, natural = "v", "b", "#", "n"
	}
	octave := min(floorDiv(int(d.Step), 7), 0)
	for range -octave {
		b = append(b, down...)
	}
	for range -d.Alteration {
		b = append(b, flat...)
	}
	for range d.Alteration {
		b = append(b, sharp...)
	}
	if d.Explicit && d.Alteration == 0 {
		b = append(b, natural...)
	}
	return strconv.AppendInt(b, int64(int(d.Step)-7*octave+1), 10)
}

// AppendText implements encoding.TextAppender. It appends what Plain returns,
// and is a *fault.ValueError where a degree is out of bounds, or altered and not
// explicit.
func (d Degree) AppendText(b []byte) ([]byte, error) {
	if want := d.refusal(); want != "" {
		return b, d.refused(want)
	}
	return d.append(b, true), nil
}

// MarshalText implements encoding.TextMarshaler; see AppendText.
func (d Degree) MarshalText() ([]byte, error) { return d.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler; see [ParseDegree].
func (d *Degree) UnmarshalText(text []byte) error {
	v, err := ParseDegree(string(text))
	if err == nil {
		*d = v
	}
	return err
}

// MustParseDegree is [ParseDegree] for text known to be good. It panics if the
// text is not a degree.
func MustParseDegree(s string) Degree {
	d, err := ParseDegree(s)
	if err != nil {
		panic(err)
	}
	return d
}

// ParseDegree reads a degree: up to three ↓ or v for octaves down, an accidental
// (b # n or ♭ ♯ ♮, doubled too), and a number from 1 to 99. The error is a
// *fault.SyntaxError.
func ParseDegree(s string) (Degree, error) {
	rest := strings.TrimLeft(s, "v↓")
	below := utf8.RuneCountInString(s[:len(s)-len(rest)])
	fail := func(rest, want string) (Degree, error) {
		return Degree{}, &fault.SyntaxError{What: "degree", Input: s, At: len(s) - len(rest), Want: want}
	}
	if below > maxBelow {
		return fail(s, "at most three v, for three octaves down")
	}
	signs := rest
	rest, natural := cutNatural(rest)
	alteration, number, err := spelling.CutAccidentals(rest)
	if err != nil {
		return fail(number, "a degree has flats or sharps, at most seven, and not both")
	}
	if _, late := cutNatural(number); late || natural && number != rest {
		return fail(signs, "a natural stands alone before the number, as n7")
	}
	if number == "" {
		number = s // which is no degree at all
	}
	n, err := strconv.Atoi(number)
	if err != nil || n > maxStep+1 || !isDigit(number[0]) || number[0] == '0' {
		return fail(number, "a degree is a number from 1 to 99, as 5, b3 or #4, with v in front for an octave down, as v7")
	}
	return Degree{int8(n - 1 - 7*below), int8(alteration), natural || number != rest}, nil
}

func cutNatural(s string) (rest string, ok bool) {
	if rest, ok = strings.CutPrefix(s, "n"); ok {
		return rest, true
	}
	return strings.CutPrefix(s, "♮")
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }
