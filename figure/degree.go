package figure

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"example.com/keyorder/interval"
)

// A Degree is a degree of a scale, as a player counts it: 1 is the tonic, 3
// the third above, 8 and up lie above the octave, a v in front puts it an
// octave down. The zero value is the tonic.
//
// A bare number takes the form that the scale has. An explicit one, with an
// accidental in front, is stated against the major scale whatever the scale,
// as chord symbols do: b3, #4, n7.
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
	maxDegree     = 99
	maxBelow      = 3 // octaves down
	maxAlteration = 7

	boundsOfDegrees = "a degree has steps −21 to 98, alteration −7 to 7, and is explicit if altered"
)

// degreeAt returns the explicit degree that lies an interval above the tonic.
func degreeAt(i interval.Interval, explicit bool) Degree {
	step := i.Steps()
	return Degree{int8(step), int8(i.Semitones() - naturalSemitones(step)), explicit}
}

// degreeIn returns the degree that lies an interval above the tonic, bare if
// it can be in the scale; ok is false where it lies outside the degrees.
func degreeIn(s Scale, i interval.Interval) (d Degree, ok bool) {
	step := i.Steps()
	alteration := i.Semitones() - naturalSemitones(step)
	if step < -7*maxBelow || step >= maxDegree || alteration < -maxAlteration || alteration > maxAlteration {
		return Degree{}, false
	}
	if a, ok := s.bare((step%7 + 7) % 7); ok && a == alteration {
		return Degree{Step: int8(step)}, true
	}
	return degreeAt(i, true), true
}

// Above returns the interval of the degree above the tonic of a scale. The
// error, an *Error, says what to write where the scale has no such bare
// degree.
func (d Degree) Above(s Scale) (interval.Interval, error) {
	step := int(d.Step)
	alteration := int(d.Alteration)
	if step < -7*maxBelow || step >= maxDegree || alteration < -maxAlteration || alteration > maxAlteration || !d.Explicit && alteration != 0 {
		return 0, &Error{Input: fmt.Sprintf("%+v", d), At: -1, Reason: boundsOfDegrees}
	}
	if !d.Explicit {
		a, ok := s.bare((step%7 + 7) % 7)
		if !ok {
			natural := Degree{Step: d.Step, Explicit: true}
			return 0, &Error{Input: d.Plain(), At: -1, Reason: fmt.Sprintf("the %v scale (%s) has no plain %s; write %s for that of the major scale, or say which with b or #", s, s.Formula(), d.Plain(), natural.Plain())}
		}
		alteration = a
	}
	return interval.Of(step, naturalSemitones(step)+alteration), nil
}

// String returns the degree with ↓ ♭ ♯ ♮: "♭3", "↓♮7".
func (d Degree) String() string {
	return strings.NewReplacer("v", "↓", "b", "♭", "#", "♯", "n", "♮").Replace(d.Plain())
}

// Plain returns the degree with v b # n, as ParseDegree reads it: "b3", "vn7".
func (d Degree) Plain() string {
	below := 0
	if d.Step < 0 {
		below = (6 - int(d.Step)) / 7
	}
	var b strings.Builder
	b.WriteString(strings.Repeat("v", below))
	if d.Explicit && d.Alteration == 0 {
		b.WriteByte('n')
	}
	sign := "#"
	n := int(d.Alteration)
	if n < 0 {
		sign, n = "b", -n
	}
	b.WriteString(strings.Repeat(sign, n))
	b.WriteString(strconv.Itoa(int(d.Step) + 7*below + 1))
	return b.String()
}

// MarshalText implements encoding.TextMarshaler; see Plain. A degree out of
// bounds, or altered and not explicit, is an *Error.
func (d Degree) MarshalText() ([]byte, error) {
	text := d.Plain()
	if again, err := ParseDegree(text); err != nil || again != d {
		return nil, &Error{Input: fmt.Sprintf("%+v", d), At: -1, Reason: boundsOfDegrees}
	}
	return []byte(text), nil
}

// UnmarshalText implements encoding.TextUnmarshaler; see ParseDegree.
func (d *Degree) UnmarshalText(text []byte) error {
	v, err := ParseDegree(string(text))
	if err == nil {
		*d = v
	}
	return err
}

// ParseDegree reads a degree: up to three ↓ or v for octaves down, an accidental
// (b # n or ♭ ♯ ♮, doubled too), and a number from 1 to 99. The error is an
// *Error.
func ParseDegree(s string) (Degree, error) {
	const want = "a degree is a number from 1 to 99, as 5, b3 or #4, with v in front for an octave down, as v7"
	rest := strings.TrimLeft(s, "v↓")
	below := utf8.RuneCountInString(s[:len(s)-len(rest)])
	var d Degree
	alteration := 0
	for rest != "" && (rest[0] < '0' || rest[0] > '9') {
		r, size := utf8.DecodeRuneInString(rest)
		step := 0
		switch r {
		case 'b', '♭':
			step = -1
		case '𝄫':
			step = -2
		case '#', '♯':
			step = 1
		case 'x', '𝄪':
			step = 2
		case 'n', '♮':
			if d.Explicit {
				return Degree{}, &Error{s, len(s) - len(rest), "a natural stands alone before the number, as n7"}
			}
		default:
			return Degree{}, &Error{s, len(s) - len(rest), want}
		}
		if alteration*step < 0 || d.Explicit && alteration == 0 {
			return Degree{}, &Error{s, len(s) - len(rest), "a degree has flats, sharps or a natural, not two of them"}
		}
		alteration += step
		if alteration < -maxAlteration || alteration > maxAlteration {
			return Degree{}, &Error{s, len(s) - len(rest), "at most seven flats or sharps"}
		}
		d.Explicit = true
		rest = rest[size:]
	}
	number, err := strconv.Atoi(rest)
	if err != nil || number < 1 || number > maxDegree || rest[0] == '0' {
		return Degree{}, &Error{s, len(s) - len(rest), want}
	}
	if below > maxBelow {
		return Degree{}, &Error{s, 0, "at most three v, for three octaves down"}
	}
	d.Step, d.Alteration = int8(number-1-7*below), int8(alteration)
	return d, nil
}
