package cycle

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
)

// An Error says which keys or which text are no order or no route, and what
// would be.
type Error struct {
	Input  string // what was given
	At     int    // where in it the trouble lies, as a byte offset; −1 if it was no text but a value
	Reason string // what would be right there
}

// Error implements error.
func (e *Error) Error() string {
	if e.At < 0 {
		return fmt.Sprintf("cycle: %.60s: %s", e.Input, e.Reason)
	}
	return fmt.Sprintf("cycle: %.60q at character %d: %s", e.Input, utf8.RuneCountInString(e.Input[:min(e.At, len(e.Input))])+1, e.Reason)
}

// A PatternError says why a pattern of steps is no order: it meets a key a
// second time before all twelve are played, or it has them all and does not
// come back to the first key as the pattern ends.
type PatternError struct {
	Pattern string      // the steps, reduced if the pattern repeats inside itself
	Key     pitch.Class // the key that comes twice, counted from C as 0
	After   int         // how many keys after its first time
	Played  int         // how many different keys were played by then
}

// Error implements error.
func (e *PatternError) Error() string {
	again := fmt.Sprintf("from C, key %v (counting C as 0) comes again after %d keys", e.Key, e.After)
	if e.Played == 12 {
		return fmt.Sprintf("cycle: %.60q: %s; a pattern that has played all 12 comes back to C just as it ends, as P4,-m3 does", e.Pattern, again)
	}
	return fmt.Sprintf("cycle: %.60q: %s, with %d still to play; a pattern runs through all 12, as P4,-m3 does", e.Pattern, again, 12-e.Played)
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

// Parse reads an order: an interval, as "m3" or "-M3", which is taken with By;
// a pattern of intervals with commas, as "P4,-m3", which is taken with
// Alternate and so reduced if it repeats inside itself, "P4,P4" to P4; or all twelve keys with strokes between cycles, as
// "0369/147T/258E". The error is an *Error or a *PatternError.
func Parse(s string) (Order, error) {
	if s != "" && strings.Contains("0123456789TE/", s[:1]) {
		return parseKeys(s)
	}
	var steps []interval.Interval
	at := 0
	for _, part := range strings.Split(s, ",") {
		if len(steps) == MaxPattern {
			return Order{}, &Error{s, at, fmt.Sprintf("a pattern has at most %d steps", MaxPattern)}
		}
		i, err := interval.Parse(part)
		if err != nil {
			e := &Error{s, at, "an order is an interval such as m3 or -M3, a pattern such as P4,-m3, or twelve keys such as 0369/147T/258E"}
			if bad, ok := err.(*fault.SyntaxError); ok && strings.IndexAny(part, "PMmAd-+−") == 0 {
				e.At, e.Reason = at+bad.At, bad.Want
			}
			return Order{}, e
		}
		steps = append(steps, i)
		at += len(part) + 1
	}
	if len(steps) == 1 {
		return By(steps[0]), nil
	}
	return Alternate(steps...)
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
			return Order{}, &Error{s, n, "an order is twelve keys, 0 to 9, T and E, each once, with single strokes between cycles, as 0369/147T/258E"}
		}
		keys, places = append(keys, k), append(places, n)
	}
	o, err := Of(keys...)
	if bad, ok := err.(*Error); ok {
		places = append(places, len(s))
		at := len(keys)
		if at == 12 {
			at = bad.At
		}
		return Order{}, &Error{s, places[at], bad.Reason}
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

// ParseRoute reads a route as String writes it. No text is the empty route.
// The error is an *Error.
func ParseRoute(s string) (Route, error) {
	const want = "a route is keys, 0 to 9, T and E, with strokes between sections and closed sections in parentheses, as (0369)/(147T)/05"
	if s == "" {
		return Route{}, nil
	}
	if len(s) > 4*MaxKeys {
		return Route{}, &Error{s, len(s), fmt.Sprintf("a route has at most %d keys", MaxKeys)}
	}
	var sections []Section
	at := 0
	for _, text := range strings.Split(s, "/") {
		keys, closed := strings.CutPrefix(text, "(")
		if closed && !strings.HasSuffix(keys, ")") {
			return Route{}, &Error{s, at + len(text), "a closed section ends with )"}
		}
		if closed {
			at++
			keys = keys[:len(keys)-1]
		}
		sec := Section{make([]pitch.Class, 0, len(keys)), closed}
		for n := range len(keys) {
			k, err := pitch.ParseClass(keys[n : n+1])
			if err != nil {
				return Route{}, &Error{s, at + n, want}
			}
			sec.Keys = append(sec.Keys, k)
		}
		if len(keys) == 0 {
			return Route{}, &Error{s, at, want}
		}
		sections = append(sections, sec)
		at += len(text) + 1
		if closed {
			at--
		}
	}
	return NewRoute(sections...)
}
