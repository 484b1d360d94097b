package figure

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"example.com/keyorder/pitch/fault"
)

// A Length is a length or a place in time, in parts of a whole note: 1/192 of
// one, which divides sixty-fourths and triplets down to thirty-seconds. The zero
// value is no length, or the downbeat.
type Length int32

// Common lengths. A dotted quarter is Quarter*3/2, an eighth of a triplet
// Quarter/3.
const (
	Whole     Length = 192
	Half      Length = 96
	Quarter   Length = 48
	Eighth    Length = 24
	Sixteenth Length = 12
)

// String returns the length as a fraction of a whole note: "1/8", "3/16", "2".
func (l Length) String() string { return string(l.append(nil, Whole)) }

// GoString returns what one would type, for %#v.
func (l Length) GoString() string {
	n, d := reduce(int(l), int(Whole))
	switch {
	case l < -MaxLength || l > MaxLength || l == 0:
		return fmt.Sprintf("figure.Length(%d)", int32(l))
	case d == 1:
		return fmt.Sprintf("%d*figure.Whole", n)
	}
	return fmt.Sprintf("%d*figure.Whole/%d", n, d)
}

// append appends the length in units, as a whole number or a fraction.
func (l Length) append(b []byte, unit Length) []byte {
	n, d := reduce(int(l), int(unit))
	b = strconv.AppendInt(b, int64(n), 10)
	if d > 1 {
		b = strconv.AppendInt(append(b, '/'), int64(d), 10)
	}
	return b
}

// AppendText implements encoding.TextAppender. It appends what String returns.
// There is no error.
func (l Length) AppendText(b []byte) ([]byte, error) { return l.append(b, Whole), nil }

// MarshalText implements encoding.TextMarshaler; see String.
func (l Length) MarshalText() ([]byte, error) { return l.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler; see [ParseLength].
func (l *Length) UnmarshalText(text []byte) error {
	v, err := ParseLength(string(text))
	if err == nil {
		*l = v
	}
	return err
}

// ParseLength reads a length as a number or fraction of whole notes, as "1/8"
// or "2", with a minus sign for a place before the downbeat. It is a multiple
// of 1/192; otherwise the error is a *fault.SyntaxError.
func ParseLength(s string) (Length, error) {
	size, minus := strings.CutPrefix(s, "-")
	l, ok := fraction(size, Whole, math.MaxInt32)
	if !ok {
		return 0, &fault.SyntaxError{What: "length", Input: s, Want: "a length is a fraction of a whole note such as 1/8 or 3/16, a multiple of 1/192"}
	}
	if minus {
		l = -l
	}
	return l, nil
}

// fraction reads "n" or "n/d" of at most ten digits each, and returns so many
// times the unit. It refuses what is no whole multiple of 1/192 of a whole note
// or more than most.
func fraction(s string, unit, most Length) (l Length, ok bool) {
	top, bottom, over := strings.Cut(s, "/")
	if !over {
		bottom = "1"
	}
	n, d := digits(top)*int64(unit), digits(bottom)
	if n < 0 || d < 1 || n%d != 0 || n/d > int64(most) {
		return l, false
	}
	return Length(n / d), true
}

// digits returns the value of one to ten digits, or −1.
func digits(s string) int64 {
	if len(s) == 0 || len(s) > 10 || strings.Trim(s, "0123456789") != "" {
		return -1
	}
	n, _ := strconv.ParseInt(s, 10, 64)
	return n
}

func reduce(n, d int) (int, int) {
	a, b := max(n, -n), d
	for b != 0 {
		a, b = b, a%b
	}
	return n / a, d / a
}
