// Package say puts what the library computes into English for the example
// programs: orders, and the names that orders can be asked for by.
package say

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
)

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

// Names says which words ask for orders, beside intervals, patterns and the
// twelve keys themselves.
const Names = "half-steps, whole-steps, minor-thirds, major-thirds, fourths, tritones, fifths (-fourths for down), all, wedge, signs, balanced, square, loops, everymove, shuffle:7 (any number), all-interval:12 (1 to 3856), fresh"

// A Start says in which keys orders are asked for.
type Start struct {
	Scale  figure.Scale             // whose keys they are
	Prefer []spelling.Name          // names that go before those that the scale gives
	First  pitch.Class              // the first key
	Asked  bool                     // the first key was asked for: orders with one of their own begin there too
	Name   func(pitch.Class) string // a key's name, for titles and errors
	Played cycle.Tally              // the moves made so far, for "fresh"
}

// Orders reads a text as one order: an interval, a pattern, twelve keys, one of
// Names, or a title. What is no order is several, with semicolons between, or
// commas and spaces, or spaces.
func Orders(text string, s Start) ([]Order, error) {
	all := strings.Trim(strings.Join(strings.Fields(text), " "), " ,;")
	if all == "" {
		return nil, fmt.Errorf("no order in %q; write an interval such as m3, a pattern such as P4,-m3, or one of %s", text, Names)
	}
	return addOrders(nil, all, s)
}

// Words returns the words of a text of orders, such as fresh.
func Words(text string) []string {
	return strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == ',' || r == ';' })
}

// addOrders adds the orders of a text to others.
func addOrders(out []Order, text string, s Start) ([]Order, error) {
	const most = 64
	one, wrong := order(untitled(text), s)
	if wrong == nil {
		if out = append(out, one...); len(out) > most {
			return nil, fmt.Errorf("%d orders and more; at most %d at a time", len(out), most)
		}
		return out, nil
	}
	wrong = explain(text, wrong, s)
	for _, between := range [...]string{";", ", ", " "} {
		parts := strings.Split(text, between)
		if len(parts) == 1 {
			continue
		}
		if between == " " && !slices.ContainsFunc(parts, func(p string) bool { _, err := order(p, s); return err == nil }) {
			return nil, wrong // one order, mistyped
		}
		for _, part := range parts {
			if part = strings.Trim(part, " ,"); part == "" {
				continue
			}
			var err error
			if out, err = addOrders(out, part, s); err != nil {
				return nil, err
			}
		}
		return out, nil
	}
	return nil, wrong
}

// explain says what is wrong with a text that is no order.
func explain(text string, err error, s Start) error {
	var pe *cycle.PatternError
	if errors.As(err, &pe) {
		return fmt.Errorf("%.60q: from %s, %s comes again after %d keys, when %d of the 12 have been played; a pattern runs through all 12, as P4,-m3 does", text, s.Name(s.First), s.Name(pe.Key.T(int(s.First))), pe.After, pe.Played)
	}
	var read *fault.SyntaxError
	if errors.As(err, &read) {
		return fmt.Errorf("%w; or one of all, signs, square, loops, everymove, fresh", err)
	}
	return err
}

// untitled returns what to ask for an order with that has a title which package
// cycle does not read; other texts stay.
func untitled(text string) string {
	const freshest, shuffled, signs = ", the freshest order", "shuffled, number ", "by the number of sharps or flats"
	title := strings.ToLower(text)
	if strings.HasSuffix(title, freshest) {
		return text[:len(text)-len(freshest)]
	}
	if n, ok := strings.CutPrefix(title, shuffled); ok {
		return "shuffle:" + n
	}
	if n, ok := strings.CutPrefix(title, "all-interval order "); ok {
		n, _, _ = strings.Cut(n, " of ")
		return "all-interval:" + n
	}
	if after, ok := strings.CutPrefix(title, signs); ok && (after == "" || after[0] == ',') {
		return "signs"
	}
	for _, t := range [...][2]string{
		{"all", "the eleven orders, one after another"},
		{"wedge", "the wedge, closing in from both sides"}, {"wedge", "closing in from both sides"},
		{"balanced", "a balanced row, each interval once"}, {"balanced", "a balanced row"},
		{"square", "twelve rows of one square, one after another"},
		{"loops", "eleven loops through all twelve keys"},
		{"everymove", "every move between two keys once, in one run"}, {"everymove", "all 132 moves in one run"},
		{"fresh", "what you have practised least"},
	} {
		if title == t[1] {
			return t[0]
		}
	}
	return text
}

func order(word string, s Start) ([]Order, error) {
	first := s.First
	switch word {
	case "all":
		return Orders11(first), nil
	case "signs":
		return bySignature(word, s)
	case "square":
		days, err := cycle.Square(cycle.BalancedRow().From(first))
		var out []Order
		for n, o := range days {
			out = append(out, Order{word, fmt.Sprintf("day %d of 12, a balanced row", n+1), "", o, o.Open()})
		}
		return out, err
	case "loops":
		var out []Order
		for n, o := range cycle.Loops() {
			o = o.From(first)
			out = append(out, Order{word, fmt.Sprintf("loop %d of 11 through all twelve keys", n+1), "", o, o.Closed()})
		}
		return out, nil
	case "fresh":
		all := Orders11(first)
		routes := make([]cycle.Route, len(all))
		for n, o := range all {
			routes[n] = o.Route
		}
		fresh := all[cycle.Freshest(s.Played, routes...)]
		fresh.Title += ", the freshest order"
		return []Order{fresh}, nil
	}
	title, alike, err := cycle.TitleOf(word)
	if err != nil {
		return nil, err
	}
	o, err := cycle.Parse(word)
	if err != nil { // one run that is no order of twelve
		r, err := cycle.ParseRoute(word)
		return []Order{{Text: word, Title: title, Route: r.From(first)}}, err
	}
	if strings.ContainsAny(word[:1], "0123456789TE") { // keys, which begin as they are typed
		if s.Asked {
			o = o.From(first)
		}
		r := o.Open()
		if o.Pattern() != nil { // it leads back to the first key
			r = o.Closed()
		}
		return []Order{{word, "in an order of your own", "", o, r}}, nil
	}
	r, err := cycle.ParseRoute(word)
	return []Order{{word, title, alike, o.From(first), r.From(first)}}, err
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

// Wider names the comfortable or the full range of an instrument that has a figure in
// all twelve keys, where that of the error has not: "full, B♭3 to F6". It is empty where
// neither has, and where the range of the error is the player's own.
func Wider(e *drill.FitError) string {
	wider, own := "", true
	for level := range drill.LevelHighSchool + 1 {
		i, err := drill.Find(e.Instrument.Name, level)
		if err != nil {
			continue
		}
		own = own && (i.Low != e.Instrument.Low || i.High != e.Instrument.High)
		if wide := i.Low.To(i.High).Semitones() >= e.Span+11; wide && wider == "" && (level == drill.LevelComfortable || level == drill.LevelFull) {
			wider = fmt.Sprintf("%v, %v to %v", level, i.Low, i.High)
		}
	}
	if own {
		return ""
	}
	return wider
}
