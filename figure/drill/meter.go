package drill

import (
	"fmt"
	"strconv"
	"strings"

	"example.com/keyorder/figure"
	"example.com/keyorder/pitch/fault"
)

// A Meter is a time signature. Meters compare with ==. The zero value is 4/4.
//
// The beats of 2/4, 3/4 or 4/4 are quarters, those of 6/8, 9/8 and 12/8 dotted
// quarters. Other meters in eighths or sixteenths are groups of two, three or
// four, as 3+2/8; a beat is then a group, and where the groups are uneven the
// tempo counts the eighths. Groups may be written in any meter: 6/4 has six
// quarters, 3+3/4 two dotted halves.
type Meter struct {
	groups [maxGroups]uint8 // note values in each beat; 0 ends them
	unit   uint8            // 2, 4, 8 or 16
}

const maxGroups = 12

// MeterOf returns the meter of so many note values in a bar, as MeterOf(6, 8)
// for 6/8. 5/8 is grouped 3+2, 7/8 2+2+3. The error is a
// *fault.SyntaxError.
func MeterOf(number, unit int) (Meter, error) {
	return ParseMeter(fmt.Sprintf("%d/%d", number, unit))
}

func (m Meter) orDefault() Meter {
	if m.unit == 0 {
		return Meter{[maxGroups]uint8{1, 1, 1, 1}, 4}
	}
	return m
}

// Number returns the upper number of the time signature.
func (m Meter) Number() int {
	n := 0
	for _, g := range m.orDefault().groups {
		n += int(g)
	}
	return n
}

// Unit returns the lower number of the time signature: 4 for quarters.
func (m Meter) Unit() int { return int(m.orDefault().unit) }

// Bar returns the length of a bar.
func (m Meter) Bar() figure.Length {
	return figure.Length(m.Number()) * figure.Whole / figure.Length(m.Unit())
}

// Beats returns the number of beats in a bar.
func (m Meter) Beats() int {
	n := 0
	for _, g := range m.orDefault().groups {
		if g > 0 {
			n++
		}
	}
	return n
}

// Beat returns the length of beat n of the bar, from 0 to Beats() − 1; for any
// other n it returns 0.
func (m Meter) Beat(n int) figure.Length {
	if n < 0 || n >= maxGroups {
		return 0
	}
	m = m.orDefault()
	return figure.Length(m.groups[n]) * figure.Whole / figure.Length(m.unit)
}

// Compound reports whether every beat is a dotted note, as in 6/8.
func (m Meter) Compound() bool { return m.groups[0] == 3 && m.even() }

// even reports whether all beats have one length.
func (m Meter) even() bool {
	for _, g := range m.groups {
		if g != 0 && g != m.groups[0] {
			return false
		}
	}
	return true
}

// Counted returns the note value that the tempo counts: the beat, or where the
// beats are uneven the lower number of the time signature.
func (m Meter) Counted() figure.Length {
	if m.even() { // as the zero Meter is
		return m.Beat(0)
	}
	return figure.Whole / figure.Length(m.unit)
}

// String returns the time signature, with its groups where they are not the
// usual ones: "4/4", "6/8", "2+3/8".
func (m Meter) String() string {
	m = m.orDefault()
	plain := fmt.Sprintf("%d/%d", m.Number(), m.unit)
	if usual, err := ParseMeter(plain); err == nil && usual.orDefault() == m {
		return plain
	}
	return m.Grouping() + "/" + strconv.Itoa(int(m.unit))
}

// GoString returns what one would type, for %#v.
func (m Meter) GoString() string {
	if m == (Meter{}) {
		return "drill.Meter{}"
	}
	return "drill.MustParseMeter(" + strconv.Quote(m.String()) + ")"
}

// Grouping returns the upper number as a sum of the groups, as "3+2".
func (m Meter) Grouping() string {
	var parts []string
	for _, g := range m.orDefault().groups {
		if g > 0 {
			parts = append(parts, strconv.Itoa(int(g)))
		}
	}
	return strings.Join(parts, "+")
}

// MarshalText implements encoding.TextMarshaler; see String.
func (m Meter) MarshalText() ([]byte, error) { return []byte(m.String()), nil }

// UnmarshalText implements encoding.TextUnmarshaler; see ParseMeter.
func (m *Meter) UnmarshalText(text []byte) error {
	v, err := ParseMeter(string(text))
	if err == nil {
		*m = v
	}
	return err
}

// MustParseMeter is ParseMeter for text known to be good. It panics if the text
// is not a meter.
func MustParseMeter(s string) Meter {
	m, err := ParseMeter(s)
	if err != nil {
		panic(err)
	}
	return m
}

// ParseMeter reads a time signature: "4/4", "6/8", or with groups "3+2/8". The
// lower number is 2, 4, 8 or 16, the upper one 1 to 12, or over 8 and 16 up to
// 36 in threes; or it is the sum of at most twelve groups of one to four. The
// error is a *fault.SyntaxError.
func ParseMeter(s string) (Meter, error) {
	fail := func(reason string) (Meter, error) {
		return Meter{}, &fault.SyntaxError{What: "meter", Input: s, Want: reason}
	}
	const want = "a meter is a number of note values over 2, 4, 8 or 16, as 4/4, 6/8 or 3+2/8"
	upper, lower, _ := strings.Cut(s, "/")
	unit, _ := strconv.Atoi(lower) // where it is no number it is none of these
	if unit != 2 && unit != 4 && unit != 8 && unit != 16 || lower[0] == '+' || len(s) > 40 {
		return fail(want)
	}
	m := Meter{unit: uint8(unit)}
	var groups []int
	for _, part := range strings.Split(upper, "+") {
		n, err := strconv.Atoi(part)
		if err != nil || n < 1 || n > 36 {
			return fail(want)
		}
		groups = append(groups, n)
	}
	if len(groups) == 1 {
		if groups = usualGroups(groups[0], unit); groups == nil {
			return fail("the upper number is 1 to 12, or up to 36 in threes over 8 and 16")
		}
	} else {
		for _, g := range groups {
			if g > 4 {
				return fail("the groups of a meter have one to four note values, as in 3+2/8")
			}
		}
	}
	if len(groups) > maxGroups {
		return fail("a bar has at most 12 beats")
	}
	for n, g := range groups {
		m.groups[n] = uint8(g)
	}
	if m == (Meter{}).orDefault() {
		m = Meter{} // 4/4 has one value only
	}
	return m, nil
}

// usualGroups returns the usual grouping of a bar, or nil.
func usualGroups(number, unit int) []int {
	size := 1
	if unit > 4 {
		switch {
		case number%3 == 0 && number > 3:
			size = 3
		case number == 5:
			return []int{3, 2}
		case number == 7:
			return []int{2, 2, 3}
		case number == 8, number == 10:
			size = 2
		case number == 11:
			return []int{3, 3, 3, 2}
		}
	}
	if number/size > maxGroups {
		return nil
	}
	groups := make([]int, number/size)
	for n := range groups {
		groups[n] = size
	}
	return groups
}
