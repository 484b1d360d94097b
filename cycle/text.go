package cycle

import (
	"fmt"
	"strconv"
	"strings"

	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
)

// A PatternError says why a pattern of steps is no order: it meets a key a
// second time before all twelve are played, or it has them all and does not
// come back to the first key as the pattern ends. It comes inside a
// *fault.ValueError, which holds the pattern.
type PatternError struct {
	Key    pitch.Class // the key that comes twice, counted from C as 0
	After  int         // how many keys after its first time
	Played int         // how many different keys were played by then
}

// Error implements error.
func (e *PatternError) Error() string {
	again := fmt.Sprintf("from C, key %v (counting C as 0) comes again after %d keys", e.Key, e.After)
	if e.Played == 12 {
		return again + "; a pattern that has played all 12 comes back to C just as it ends, as P4,-m3 does"
	}
	return fmt.Sprintf("%s, with %d still to play; a pattern runs through all 12, as P4,-m3 does", again, 12-e.Played)
}

// String returns the order in the form "0369/147T/258E": keys as theory texts
// write them, a stroke between cycles. For the zero value it returns "no
// order".
func (o Order) String() string {
	if !o.IsValid() {
		return "no order"
	}
	b, _ := o.AppendText(nil)
	return string(b)
}

// GoString returns what one would type, for %#v.
func (o Order) GoString() string {
	if !o.IsValid() {
		return "cycle.Order{}"
	}
	return "cycle.MustParse(" + strconv.Quote(o.String()) + ")"
}

// AppendText implements encoding.TextAppender. It appends what String returns,
// and nothing for the zero value.
func (o Order) AppendText(b []byte) ([]byte, error) {
	for from, to := range o.lengths() {
		if from > 0 {
			b = append(b, '/')
		}
		for _, k := range o.keys[from:to] {
			b, _ = k.AppendText(b)
		}
	}
	return b, nil
}

// MarshalText implements encoding.TextMarshaler; see AppendText.
func (o Order) MarshalText() ([]byte, error) { return o.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler. It reads what Parse reads,
// and the zero value from no text.
func (o *Order) UnmarshalText(text []byte) error {
	if len(text) == 0 {
		*o = Order{}
		return nil
	}
	v, err := Parse(string(text))
	if err == nil {
		*o = v
	}
	return err
}

// MustParse is Parse for text known to be good. It panics if the text is not
// an order.
func MustParse(s string) Order {
	o, err := Parse(s)
	if err != nil {
		panic(err)
	}
	return o
}

// Parse reads an order from C, or twelve keys from the first of them:
//
//   - an interval, as "m3" or "-M3", which is taken with By;
//   - the interval in words, as "minor thirds", "fourths", "half steps",
//     "chromatic", "circle of fifths", down with a minus or the word, as
//     "-whole-steps" or "down by whole steps";
//   - a pattern of these with commas, as "P4,-m3" or "up a fourth, down a minor
//     third", which is taken with Alternate;
//   - a row by its name: "wedge", "balanced", "shuffle:7" with any seed,
//     "all-interval:1234" with its number;
//   - all twelve keys with strokes between cycles, as "0369/147T/258E".
//
// In words, capitals do not matter and a hyphen is a space. The error is a
// *fault.SyntaxError, or a *fault.ValueError where a pattern or a number is read
// and refused.
func Parse(s string) (Order, error) {
	if isKeys(s) {
		return parseKeys(s)
	}
	r, err := read(s)
	return r.order, err
}

func parseKeys(s string) (Order, error) {
	var keys []pitch.Class
	var places []int // of the keys in the text
	cuts := uint16(1)
	for n := range len(s) {
		if s[n] == '/' && len(keys) > 0 && n+1 < len(s) && s[n+1] != '/' && len(keys) < 12 {
			cuts |= 1 << len(keys)
			continue
		}
		k, err := pitch.ParseClass(s[n : n+1])
		if err != nil || len(keys) == 12 {
			return Order{}, &fault.SyntaxError{What: "order", Input: s, At: n, Want: "an order is twelve keys, 0 to 9, T and E, each once, with single strokes between cycles, as 0369/147T/258E"}
		}
		keys, places = append(keys, k), append(places, n)
	}
	o, at, want := of(keys)
	if want != "" {
		places = append(places, len(s))
		return Order{}, &fault.SyntaxError{What: "order", Input: s, At: places[at], Want: want}
	}
	o.cuts = cuts
	return o, nil
}

// String returns the route with its sections between strokes, closed sections
// in parentheses as theory writes cycles: "(0369)/(147T)/05".
func (r Route) String() string {
	b, _ := r.AppendText(nil)
	return string(b)
}

// GoString returns what one would type, for %#v.
func (r Route) GoString() string {
	if r.Len() == 0 {
		return "cycle.Route{}"
	}
	return "cycle.MustParseRoute(" + strconv.Quote(r.String()) + ")"
}

// AppendText implements encoding.TextAppender. It appends what String returns,
// which is nothing for the empty route.
func (r Route) AppendText(b []byte) ([]byte, error) {
	from := 0
	for n, to := range r.ends {
		if n > 0 {
			b = append(b, '/')
		}
		if r.closed[n] {
			b = append(b, '(')
		}
		for _, k := range r.keys[from:to] {
			b, _ = k.AppendText(b)
		}
		if r.closed[n] {
			b = append(b, ')')
		}
		from = to
	}
	return b, nil
}

// MarshalText implements encoding.TextMarshaler; see AppendText.
func (r Route) MarshalText() ([]byte, error) { return r.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler; see ParseRoute.
func (r *Route) UnmarshalText(text []byte) error {
	v, err := ParseRoute(string(text))
	if err == nil {
		*r = v
	}
	return err
}

// MustParseRoute is ParseRoute for text known to be good. It panics if the text
// is not a route.
func MustParseRoute(s string) Route {
	r, err := ParseRoute(s)
	if err != nil {
		panic(err)
	}
	return r
}

// ParseRoute reads a route as String writes it, or one in words, from C:
// "everymove" for EveryMove, or an order by an interval, a pattern or a name as
// Parse reads them, "fourths" or "wedge". By an interval or a pattern each cycle
// is closed; a row is open, since nothing in it leads back. No text is the empty
// route. The error is a *fault.SyntaxError or a *fault.ValueError, as Parse's is.
func ParseRoute(s string) (Route, error) {
	switch {
	case s == "":
		return Route{}, nil
	case isKeys(s):
		return parseSections(s)
	case isEveryMove(s):
		return EveryMove(0), nil
	}
	r, err := read(s)
	if err != nil {
		return Route{}, err
	}
	return r.order.route(len(r.steps) > 0), nil
}

func parseSections(s string) (Route, error) {
	refuse := func(at int, want string) (Route, error) {
		return Route{}, &fault.SyntaxError{What: "route", Input: s, At: at, Want: want}
	}
	const want = "a route is keys, 0 to 9, T and E, with strokes between sections and closed sections in parentheses, as (0369)/(147T)/05"
	if len(s) > 4*MaxKeys {
		return refuse(len(s), fmt.Sprintf("a route has at most %d keys", MaxKeys))
	}
	var sections []Section
	at := 0
	for _, text := range strings.Split(s, "/") {
		keys, closed := strings.CutPrefix(text, "(")
		if closed && !strings.HasSuffix(keys, ")") {
			return refuse(at+len(text), "a closed section ends with )")
		}
		if closed {
			at++
			keys = keys[:len(keys)-1]
		}
		sec := Section{make([]pitch.Class, 0, len(keys)), closed}
		for n := range len(keys) {
			k, err := pitch.ParseClass(keys[n : n+1])
			if err != nil {
				return refuse(at+n, want)
			}
			sec.Keys = append(sec.Keys, k)
		}
		if len(keys) == 0 {
			return refuse(at, want)
		}
		sections = append(sections, sec)
		at += len(text) + 1
		if closed {
			at--
		}
	}
	return NewRoute(sections...)
}
