package interval

import (
	"fmt"
	"strconv"
	"strings"

	"example.com/keyorder/pitch/fault"
)

const (
	maxNumber = 99 // the largest interval number with a text form
	maxAlter  = 7  // the most-fold augmented or diminished with a text form
)

// String returns the interval as textbooks write it: "m3", "P5", "AA4",
// "M9", and with a minus sign downward, "-m3". Outside the text forms
// (numbers beyond 99, more than seven-fold altered) it shows the two integers.
func (i Interval) String() string {
	b, err := i.AppendText(nil)
	if err != nil {
		return fmt.Sprintf("%d steps %d semitones", i.Steps(), i.Semitones())
	}
	return string(b)
}

// GoString returns what one would type, for %#v.
func (i Interval) GoString() string {
	b, err := i.AppendText(nil)
	if err != nil {
		return fmt.Sprintf("interval.Of(%d, %d)", i.Steps(), i.Semitones())
	}
	return "interval.MustParse(" + strconv.Quote(string(b)) + ")"
}

// AppendText implements encoding.TextAppender. It appends what String
// returns; the error, a *fault.ValueError, is that of an interval without a text
// form.
func (i Interval) AppendText(b []byte) ([]byte, error) {
	steps := i.Steps() * i.Sign() // not those of Abs, which may wrap
	alter := i.Semitones()*i.Sign() - natural(steps)
	q := qualityOf(steps, alter)
	if steps >= maxNumber || q.times() > maxAlter {
		return b, &fault.ValueError{
			Setting: "interval",
			Value:   fmt.Sprintf("%d steps %d semitones", i.Steps(), i.Semitones()),
			Want:    "the text forms go to the 99th and to seven-fold augmented or diminished",
		}
	}
	if i.Sign() < 0 {
		b = append(b, '-')
	}
	for range q.times() {
		b = append(b, "dmPMA"[min(max(q, Diminished), Augmented)-Diminished])
	}
	return strconv.AppendInt(b, int64(steps+1), 10), nil
}

// MarshalText implements encoding.TextMarshaler; see AppendText.
func (i Interval) MarshalText() ([]byte, error) { return i.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler; see Parse.
func (i *Interval) UnmarshalText(text []byte) error {
	v, err := Parse(string(text))
	if err == nil {
		*i = v
	}
	return err
}

// MustParse is Parse for text known to be good, as in tests and tables. It
// panics if the text is not an interval.
func MustParse(s string) Interval {
	i, err := Parse(s)
	if err != nil {
		panic(err)
	}
	return i
}

// Parse reads an interval as textbooks write it: P1 m2 M2 m3 M3 P4 A4 d5 P5
// m6 M6 m7 M7 P8, compounds such as M9, and up to seven A or d in a row. A
// minus sign (ASCII or typographic) takes it downward, a plus sign is allowed.
// A unison off pitch may be written d1 or -d1; it prints as -A1 or A1. The
// error is a *fault.SyntaxError.
func Parse(s string) (Interval, error) {
	fail := func(rest, want string) (Interval, error) {
		return 0, &fault.SyntaxError{What: "interval", Input: s, At: len(s) - len(rest), Want: want}
	}
	const example = "write an interval such as m3, P4, A4, M9, or -m3 for down"
	rest, down := s, false
	for _, minus := range []string{"-", "−"} {
		if r, ok := strings.CutPrefix(rest, minus); ok {
			rest, down = r, true
			break
		}
	}
	if !down {
		rest = strings.TrimPrefix(rest, "+")
	}
	if rest == "" || !strings.Contains("PMmAd", rest[:1]) {
		return fail(rest, example)
	}
	letter := rest[0]
	digits := strings.TrimLeft(rest, rest[:1])
	times := len(rest) - len(digits)
	if times > 1 && letter != 'A' && letter != 'd' {
		return fail(rest[1:], "only A and d can be repeated")
	}
	if times > maxAlter {
		return fail(rest[maxAlter:], "at most seven A or d in a row")
	}
	for k := range len(digits) {
		if digits[k] < '0' || digits[k] > '9' {
			return fail(digits[k:], "after the quality comes a number from 1 to 99")
		}
	}
	n, err := strconv.Atoi(digits)
	if err != nil || n > maxNumber || digits[0] == '0' {
		return fail(digits, "after the quality comes a number from 1 to 99")
	}
	q := Perfect
	switch letter {
	case 'M':
		q = Major
	case 'm':
		q = Minor
	case 'A':
		q = Augmented + Quality(times-1)
	case 'd':
		q = Diminished - Quality(times-1)
	}
	alter, ok := q.alteration(n - 1)
	if !ok {
		return fail(rest, fmt.Sprintf("there is no %v interval %d; %s", q, n, wantQuality(n-1)))
	}
	i := Of(n-1, natural(n-1)+alter)
	if down {
		i = -i
	}
	return i, nil
}
