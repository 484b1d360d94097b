package cycle

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"example.com/keyorder/interval"
	"example.com/keyorder/pitch/fault"
)

// Title returns the order in words, whatever its first key: "up by minor
// thirds", by the narrower way; "up a fourth, down a minor third, in turn";
// "the wedge, closing in from both sides". Other orders in one run have their
// number if they are all-interval, and the rest are "in an order of their own".
// The zero value is "no order". See Alike for the other way.
func (o Order) Title() string {
	if steps := o.usual(); steps != nil {
		return titleOf(steps)
	}
	switch {
	case !o.IsValid():
		return "no order"
	case o.From(0) == Wedge():
		return "the wedge, closing in from both sides"
	case o.From(0) == BalancedRow():
		return "a balanced row, each interval once"
	case o.IsAllInterval():
		return fmt.Sprintf("all-interval order %d of %d", o.AllIntervalNumber(), AllIntervalCount)
	}
	return "in an order of their own"
}

// Alike returns the title of the same order the other way round: "down by major
// sixths" where Title is "up by minor thirds". It is empty if there is none.
func (o Order) Alike() string { return titleOf(otherWay(o.usual())) }

// usual returns the steps of the order's pattern, each by the narrower way; a
// tritone goes up.
func (o Order) usual() []interval.Interval {
	var steps []interval.Interval
	for _, up := range o.Pattern() {
		if up > 6 {
			up -= 12
		}
		steps = append(steps, interval.Usual(up))
	}
	return steps
}

// TitleOf returns in words what the text of an order asks for, and what else
// makes the same keys, which may be empty: "up by fifths" and "down by fourths"
// for "P5", where Title knows only the keys. It reads what Parse reads, and
// "everymove" as ParseRoute does. The error is Parse's.
func TitleOf(text string) (title, alike string, err error) {
	switch {
	case isKeys(text):
		o, err := parseKeys(text)
		if err != nil {
			return "", "", err
		}
		return o.Title(), o.Alike(), nil
	case isEveryMove(text):
		return "every move between two keys once, in one run", "", nil
	}
	r, err := read(text)
	if err != nil {
		return "", "", err
	}
	if r.seed != "" {
		return "shuffled, number " + r.seed, "", nil
	}
	if r.steps == nil {
		return r.order.Title(), "", nil
	}
	return titleOf(r.steps), titleOf(otherWay(r.steps)), nil
}

// titleOf returns the title of the order that adds the steps in turn.
func titleOf(steps []interval.Interval) string {
	if len(steps) == 1 {
		direction := "up"
		if steps[0].Sign() < 0 {
			direction = "down"
		}
		return fmt.Sprintf("%s by %ss", direction, steps[0].Name())
	}
	var b strings.Builder
	for _, s := range steps {
		b.WriteString(s.Motion() + ", ")
	}
	if b.Len() > 0 {
		b.WriteString("in turn")
	}
	return b.String()
}

// otherWay returns the steps that reach the same keys from the other side, or
// none if they stay where they are.
func otherWay(steps []interval.Interval) []interval.Interval {
	var other []interval.Interval
	for _, s := range steps {
		if s.Semitones()%12 == 0 {
			return nil
		}
		other = append(other, s.Abs().Simple().Inversion().Times(-s.Sign()))
	}
	return other
}

// A reading is an order that was read from text other than keys.
type reading struct {
	order Order
	steps []interval.Interval // of an order by an interval or a pattern
	seed  string              // of a shuffle
}

const wantOrder = "an order is an interval such as m3 or -M3, a pattern such as P4,-m3, twelve keys such as 0369/147T/258E, or words such as down by fourths, chromatic, wedge, shuffle:7"

// read reads an order from text other than keys.
func read(s string) (reading, error) {
	refuse := func(at int, want string) (reading, error) {
		return reading{}, &fault.SyntaxError{What: "order", Input: s, At: at, Want: want}
	}
	name, number, numbered := strings.Cut(s, ":")
	switch name = fold(name); {
	case name == "wedge" && !numbered:
		return reading{order: Wedge()}, nil
	case name == "balanced" && !numbered:
		return reading{order: BalancedRow()}, nil
	case name == "shuffle":
		seed, err := strconv.ParseUint(number, 10, 64)
		if err != nil {
			return refuse(min(len("shuffle:"), len(s)), "after shuffle: comes a whole number, the same one for the same order, as shuffle:7")
		}
		return reading{order: Shuffle(seed), seed: number}, nil
	case name == "all interval":
		n, err := strconv.Atoi(number)
		if err != nil {
			return refuse(min(len("all-interval:"), len(s)), fmt.Sprintf("after all-interval: comes the order's number, 1 to %d, as all-interval:1234", AllIntervalCount))
		}
		o, err := AllIntervalAt(n, 0)
		return reading{order: o}, err
	}
	var steps []interval.Interval
	at := 0
	for _, part := range strings.Split(s, ",") {
		if len(steps) > 0 && at+len(part) == len(s) && fold(part) == "in turn" {
			break // as titles end
		}
		if len(steps) == maxPattern {
			return refuse(at, fmt.Sprintf("a pattern has at most %d steps", maxPattern))
		}
		i, err := readStep(part)
		if err != nil {
			return refuse(at+err.At, err.Want)
		}
		steps = append(steps, i)
		at += len(part) + 1
	}
	if len(steps) == 1 {
		return reading{order: By(steps[0]), steps: steps}, nil
	}
	o, err := Alternate(steps...)
	return reading{order: o, steps: reduced(steps)}, err
}

// readStep reads an interval as a symbol or in words.
func readStep(s string) (interval.Interval, *fault.SyntaxError) {
	text := strings.TrimSpace(s)
	from := strings.Index(s, text)
	i, err := interval.Parse(text)
	if err == nil {
		return i, nil
	}
	var bad *fault.SyntaxError
	if isSymbol(text) && errors.As(err, &bad) {
		return i, &fault.SyntaxError{At: from + bad.At, Want: bad.Want}
	}
	text, down := cutMinus(text)
	words := strings.Fields(fold(text))
	// A direction stands first or last: "down by fourths", "fourths down".
	if n := len(words); n > 0 && !down && isDirection(words[n-1]) {
		words = append(words[n-1:], words[:n-1]...)
	}
	if len(words) > 0 && !down && isDirection(words[0]) {
		down = words[0] == "down"
		words = words[1:]
	}
	for len(words) > 0 && slices.Contains(fillers[:], words[0]) {
		words = words[1:]
	}
	i, want := named(strings.Join(words, " "))
	if want != "" {
		return i, &fault.SyntaxError{At: from, Want: want}
	}
	if down {
		i = -i
	}
	return i, nil
}

// named returns the upward interval with a name, in the singular or the plural,
// or what would be right.
func named(name string) (i interval.Interval, want string) {
	name = strings.TrimPrefix(strings.TrimSuffix(name, "s"), "perfect ")
	switch name {
	case "chromatic", "semitone", "minor second":
		return interval.MinorSecond, ""
	case "whole tone", "major second":
		return interval.MajorSecond, ""
	case "augmented fourth":
		return interval.AugmentedFourth, ""
	case "diminished fifth":
		return interval.DiminishedFifth, ""
	case "second", "third", "sixth", "seventh":
		return i, fmt.Sprintf("say which %ss: minor %ss or major %ss", name, name, name)
	}
	first, last := 1, 15
	if at := strings.IndexAny(name, "0123456789"); at >= 0 { // "major 17th"
		n, _ := strconv.ParseUint(strings.TrimRight(name[at:], "dhnrst"), 10, 8)
		first, last = int(n), int(n)
	}
	for number := first; number <= last; number++ {
		for q := interval.Diminished; q <= interval.Augmented; q++ {
			if i, err := interval.New(q, number); err == nil && i.Sign() >= 0 && i.Name() == name {
				return i, ""
			}
		}
	}
	return i, wantOrder
}

// fold returns words in lower case with single spaces between them, for which
// hyphens may stand too.
func fold(s string) string {
	return strings.Join(strings.Fields(strings.ReplaceAll(strings.ToLower(s), "-", " ")), " ")
}

func cutMinus(s string) (rest string, minus bool) {
	if rest, minus = strings.CutPrefix(s, "-"); !minus {
		rest, minus = strings.CutPrefix(s, "−")
	}
	return rest, minus
}

// fillers are words that stand before an interval: "the circle of fifths".
var fillers = [...]string{"by", "a", "an", "the", "circle", "cycle", "of"}

func isDirection(word string) bool { return word == "up" || word == "down" }

// isSymbol reports whether text is meant as an interval such as m3, and not as
// a word: a quality and a number, or hardly more than a quality.
func isSymbol(s string) bool {
	s, _ = cutMinus(s)
	number := strings.TrimLeft(s, "PMmAd")
	return number != s && (number == "" || number[0] >= '0' && number[0] <= '9' || len(s) == 2)
}

func isEveryMove(s string) bool {
	s = fold(s)
	return s == "everymove" || s == "every move"
}

// isKeys reports whether text is meant as keys, and not as words.
func isKeys(s string) bool {
	const keys = "0123456789/()"
	switch {
	case s == "":
		return false
	case strings.ContainsRune(keys, rune(s[0])) || strings.Trim(s, keys+"TEte") == "":
		return true
	}
	return strings.ContainsRune("TE", rune(s[0])) && strings.IndexAny(s[1:], keys+"TE") == 0
}
