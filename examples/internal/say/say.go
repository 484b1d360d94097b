// Package say puts what the library computes into English for the example
// programs: intervals, orders, and the names that orders can be asked for by.
package say

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/spelling"
)

// Interval returns an interval's name without its direction: "minor third",
// "fourth", "half step".
func Interval(i interval.Interval) string {
	i = i.Abs()
	switch i {
	case interval.MinorSecond:
		return "half step"
	case interval.MajorSecond:
		return "whole step"
	case interval.AugmentedFourth, interval.DiminishedFifth:
		return "tritone"
	}
	ordinals := []string{"unison", "second", "third", "fourth", "fifth", "sixth", "seventh", "octave", "ninth", "tenth", "eleventh", "twelfth", "thirteenth", "fourteenth", "double octave"}
	name := fmt.Sprintf("interval of %d", i.Number())
	if n := i.Number(); n <= len(ordinals) {
		name = ordinals[n-1]
	}
	if q := i.Quality(); q != interval.Perfect {
		name = q.String() + " " + name
	}
	return name
}

// Moved returns an interval with its direction: "up a minor third", "down an
// octave", "the same note".
func Moved(i interval.Interval) string {
	if i == interval.PerfectUnison {
		return "the same note"
	}
	name := Interval(i)
	article := "a"
	if strings.ContainsRune("aeio", rune(name[0])) {
		article = "an"
	}
	return fmt.Sprintf("%s %s %s", direction(i), article, name)
}

// Sounds returns how far up or down so many semitones are, by the commonest
// name: "up a minor third", "down 2 octaves and a fourth".
func Sounds(semitones int) string {
	up := max(semitones, -semitones)
	names := strings.Fields("P1 m2 M2 m3 M3 P4 A4 P5 m6 M6 m7 M7")
	name := Moved(interval.MustParse(names[up%12]))
	switch octaves := up / 12; {
	case semitones == 0:
		return name
	case octaves == 1 && up%12 == 0:
		name = "up an octave"
	case octaves == 1:
		name = "up an octave and" + strings.TrimPrefix(name, "up")
	case octaves > 1 && up%12 == 0:
		name = fmt.Sprintf("up %d octaves", octaves)
	case octaves > 1:
		name = fmt.Sprintf("up %d octaves and%s", octaves, strings.TrimPrefix(name, "up"))
	}
	if semitones < 0 {
		name = "down" + strings.TrimPrefix(name, "up")
	}
	return name
}

// Times returns how often: "once", "twice", "3 times".
func Times(n int) string {
	switch n {
	case 1:
		return "once"
	case 2:
		return "twice"
	}
	return fmt.Sprintf("%d times", n)
}

func direction(i interval.Interval) string {
	if i.Sign() < 0 {
		return "down"
	}
	return "up"
}

// by returns the title of an order by one interval: "up by minor thirds".
func by(i interval.Interval) string {
	return fmt.Sprintf("%s by %ss", direction(i), Interval(i))
}

// An Order is an order of keys that was asked for, with its words.
type Order struct {
	Text  string // as it was asked for
	Title string // "up by minor thirds"
	Alike string // what makes the same keys: "down by major sixths"; may be empty
	Order cycle.Order
	Route cycle.Route // the order as it is to be played
}

// Eleven returns the eleven orders by a constant interval in the usual way of
// asking for them.
func Eleven() []string {
	return strings.Fields("m2 -m2 M2 -M2 m3 -m3 M3 -M3 P4 -P4 A4")
}

// plainNames are orders by a constant interval as players ask for them.
func plainNames(word string) string {
	word, down := strings.CutPrefix(word, "-")
	step := map[string]string{
		"half-steps": "m2", "whole-steps": "M2", "minor-thirds": "m3", "major-thirds": "M3", "fourths": "P4", "tritones": "A4", "fifths": "P5",
	}[word]
	if step != "" && down {
		return "-" + step
	}
	return step
}

// Names says which words ask for orders, beside intervals, patterns and the
// twelve keys themselves.
const Names = "half-steps, whole-steps, minor-thirds, major-thirds, fourths, tritones, fifths (-fourths for down), all, wedge, signs, balanced, square, loops, everymove, shuffle:7 (any number), fresh"

// A Start says in which keys orders are asked for.
type Start struct {
	Scale  figure.Scale             // whose keys they are
	Prefer []spelling.Name          // names that go before those that the scale gives
	First  pitch.Class              // the first key
	Asked  bool                     // the first key was asked for: orders with one of their own begin there too
	Name   func(pitch.Class) string // a key's name, for titles and errors
	Played cycle.Tally              // the moves made so far, for "fresh"
}

// Orders reads orders separated by spaces: intervals, patterns, twelve keys or
// one of Names.
func Orders(text string, s Start) ([]Order, error) {
	words := strings.Fields(text)
	if len(words) == 0 {
		return nil, fmt.Errorf("no order in %q; write an interval such as m3, a pattern such as P4,-m3, or one of %s", text, Names)
	}
	const most = 64
	var out []Order
	for _, w := range words {
		orders, err := order(w, s)
		var pe *cycle.PatternError
		if errors.As(err, &pe) {
			return nil, fmt.Errorf("%.60q: from %s, %s comes again after %d keys, when %d of the 12 have been played; a pattern runs through all 12, as P4,-m3 does", w, s.Name(s.First), s.Name(pe.Key.T(int(s.First))), pe.After, pe.Played)
		}
		var bad *cycle.Error
		if errors.As(err, &bad) {
			return nil, fmt.Errorf("%.60q at character %d: %s; or one of %s", w, bad.At+1, bad.Reason, Names)
		}
		if err != nil {
			return nil, err
		}
		if out = append(out, orders...); len(out) > most {
			return nil, fmt.Errorf("%d orders and more; at most %d at a time", len(out), most)
		}
	}
	return out, nil
}

func order(word string, s Start) ([]Order, error) {
	first := s.First
	open := func(title string, o cycle.Order) Order {
		o = o.From(first)
		return Order{Text: word, Title: title, Order: o, Route: o.Open()}
	}
	kind, seed, seeded := strings.Cut(word, ":")
	switch {
	case word == "all":
		return Orders11(first), nil
	case word == "wedge":
		return []Order{open("the wedge, closing in from both sides", cycle.Wedge())}, nil
	case word == "signs":
		return bySignature(word, s)
	case word == "balanced":
		return []Order{open("a balanced row, each interval once", cycle.BalancedRow())}, nil
	case word == "square":
		days, err := cycle.Square(cycle.BalancedRow().From(first))
		var out []Order
		for n, o := range days {
			out = append(out, Order{word, fmt.Sprintf("day %d of 12, a balanced row", n+1), "", o, o.Open()})
		}
		return out, err
	case word == "loops":
		var out []Order
		for n, o := range cycle.Loops() {
			o = o.From(first)
			out = append(out, Order{word, fmt.Sprintf("loop %d of 11 through all twelve keys", n+1), "", o, o.Closed()})
		}
		return out, nil
	case word == "everymove":
		return []Order{{Text: word, Title: "every move between two keys once, in one run", Route: cycle.EveryMove(first)}}, nil
	case word == "fresh":
		all := Orders11(first)
		routes := make([]cycle.Route, len(all))
		for n, o := range all {
			routes[n] = o.Route
		}
		fresh := all[cycle.Freshest(s.Played, routes...)]
		fresh.Title += ", the freshest order"
		return []Order{fresh}, nil
	case seeded && kind == "shuffle":
		n, err := strconv.ParseUint(seed, 10, 64)
		if err != nil {
			return nil, fmt.Errorf("%.60q: after shuffle: comes a whole number, the same one for the same order, as shuffle:7", word)
		}
		return []Order{open("shuffled, number "+seed, cycle.Shuffle(n))}, nil
	}
	if step := plainNames(word); step != "" {
		word = step
	}
	o, err := cycle.Parse(word)
	if err != nil {
		return nil, err
	}
	steps := intervals(word)
	if len(steps) > 0 || s.Asked {
		o = o.From(first)
	}
	c := Order{Text: word, Title: "in an order of your own", Order: o, Route: o.Closed()}
	switch {
	case len(steps) == 1:
		c.Title, c.Alike = by(steps[0]), alike(steps[0])
	case len(steps) > 1:
		var there, back []string
		for _, s := range steps {
			there = append(there, Moved(s))
			back = append(back, Moved(otherWay(s)))
		}
		c.Title = strings.Join(there, ", ") + ", in turn"
		c.Alike = strings.Join(back, ", ") + ", in turn"
	case o.Pattern() == nil: // no step of its own leads back to the first key
		c.Route = o.Open()
	}
	return []Order{c}, nil
}

// bySignature is the order by the number of sharps or flats. From a key that is
// asked for it goes on to those with more, and from the most to the fewest.
func bySignature(word string, s Start) ([]Order, error) {
	c := Order{Text: word, Title: "by the number of sharps or flats"}
	bySigns := s.Scale.BySignature(s.Prefer...)
	all := bySigns[:]
	if n := slices.Index(all, s.First); s.Asked && n > 0 {
		all = append(slices.Clone(all[n:]), all[:n]...)
		signs := s.Scale.Key(s.Scale.Tonics(s.Prefer...)[s.First]).Signature
		c.Title += fmt.Sprintf(", from the %d of %s on", max(signs, -signs), s.Name(s.First))
	}
	var err error
	if c.Order, err = cycle.Of(all...); err != nil {
		return nil, err
	}
	c.Route = c.Order.Open()
	return []Order{c}, nil
}

// Orders11 returns the eleven orders from a first key, each cycle closed.
func Orders11(first pitch.Class) []Order {
	var out []Order
	for _, w := range Eleven() {
		one, err := order(w, Start{First: first})
		if err == nil {
			out = append(out, one...)
		}
	}
	return out
}

// intervals returns the steps of a pattern, reduced if it repeats inside itself,
// or none for twelve keys.
func intervals(word string) []interval.Interval {
	var steps []interval.Interval
	for _, part := range strings.Split(word, ",") {
		i, err := interval.Parse(part)
		if err != nil {
			return nil
		}
		steps = append(steps, i)
	}
	for n := 1; n < len(steps); n++ {
		if len(steps)%n == 0 && slices.Equal(steps[n:], steps[:len(steps)-n]) {
			return steps[:n]
		}
	}
	return steps
}

// otherWay returns the interval that reaches the same key the other way round.
func otherWay(i interval.Interval) interval.Interval {
	if i.Sign() < 0 {
		return i.Abs().Simple().Inversion()
	}
	return -i.Simple().Inversion()
}

func alike(i interval.Interval) string {
	if i.Semitones()%12 == 0 {
		return ""
	}
	return by(otherWay(i))
}

// Minutes returns a duration as a player says it: "45 s", "3 min", "16 min".
func Minutes(d time.Duration) string {
	if d < time.Minute {
		return fmt.Sprintf("%d s", int(d.Round(time.Second).Seconds()))
	}
	if d < 10*time.Minute {
		s := int(d.Round(time.Second).Seconds())
		return fmt.Sprintf("%d:%02d min", s/60, s%60)
	}
	return fmt.Sprintf("%d min", int(d.Round(time.Minute).Minutes()))
}
