package cycle

import (
	"fmt"
	"iter"
	"slices"

	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
)

// MaxKeys is the greatest number of keys that a Route holds.
const MaxKeys = 1 << 16

// A Section is a run of keys in a Route. Closed, a section of more than one
// key is played back to its first key.
type Section struct {
	Keys   []pitch.Class
	Closed bool
}

// A Route is what is played in a practice session: keys, in sections. A key
// may come any number of times. The zero value is empty. A Route does not
// change; Equal compares two.
type Route struct {
	keys   []pitch.Class
	ends   []int // one past the last key of each section
	closed []bool
}

// NewRoute returns a route of the given sections, whose keys it copies. The
// error is a *fault.ValueError: each section has at least one key, keys are 0 to
// 11, and the whole has at most MaxKeys.
func NewRoute(sections ...Section) (Route, error) {
	var r Route
	for n, s := range sections {
		refuse := func(want string) (Route, error) {
			return Route{}, &fault.ValueError{Setting: fmt.Sprintf("section %d", n+1), Value: classText(s.Keys), Want: want}
		}
		if len(s.Keys) == 0 {
			return refuse("a section has at least one key")
		}
		for _, k := range s.Keys {
			if k > 11 {
				return refuse(fmt.Sprintf("keys are 0 to 11, not %d", uint8(k)))
			}
		}
		if len(r.keys)+len(s.Keys) > MaxKeys {
			return refuse(fmt.Sprintf("a route has at most %d keys", MaxKeys))
		}
		r.keys = append(r.keys, s.Keys...)
		r.ends = append(r.ends, len(r.keys))
		r.closed = append(r.closed, s.Closed)
	}
	return r, nil
}

// Closed returns the route that plays the order with each cycle a closed
// section.
func (o Order) Closed() Route { return o.route(true) }

// Open returns the route that plays the order with each cycle an open section.
func (o Order) Open() Route { return o.route(false) }

func (o Order) route(closed bool) Route {
	var r Route
	for from, to := range o.lengths() {
		r.keys = append(r.keys, o.keys[from:to]...)
		r.ends = append(r.ends, to)
		r.closed = append(r.closed, closed)
	}
	return r
}

// Concat returns the routes one after the other. The error is a
// *fault.ValueError where they have more than MaxKeys keys together.
func Concat(routes ...Route) (Route, error) {
	var all []Section
	for _, r := range routes {
		all = slices.AppendSeq(all, r.Sections())
	}
	return NewRoute(all...)
}

// Sections yields the sections. Their keys are copies.
func (r Route) Sections() iter.Seq[Section] {
	return func(yield func(Section) bool) {
		from := 0
		for n, to := range r.ends {
			if !yield(Section{slices.Clone(r.keys[from:to]), r.closed[n]}) {
				return
			}
			from = to
		}
	}
}

// Run yields the keys in the order in which they are played, each with the
// number of its section from 0. A closed section of more than one key ends
// with its first key once more. It does not allocate.
func (r Route) Run() iter.Seq2[int, pitch.Class] {
	return func(yield func(int, pitch.Class) bool) { r.run(yield) }
}

func (r *Route) run(yield func(int, pitch.Class) bool) {
	from := 0
	for n, to := range r.ends {
		if !play(n, r.keys[from:to], r.closed[n], yield) {
			return
		}
		from = to
	}
}

// Len returns the number of keys that Run yields.
func (r Route) Len() int {
	n := 0
	for range r.Run() {
		n++
	}
	return n
}

// Moves yields the moves from key to key inside the sections. The step from
// one section to the next is no move. A key played twice in a row is a move
// from it to itself. It does not allocate.
func (r Route) Moves() iter.Seq[Move] {
	return func(yield func(Move) bool) {
		var m mover
		r.run(func(section int, k pitch.Class) bool { return m.to(section, k, yield) })
	}
}

// From returns the same route from another first key: every key transposed so
// that the route begins on k.
func (r Route) From(k pitch.Class) Route {
	if len(r.keys) == 0 {
		return r
	}
	by := int(k) - int(r.keys[0])
	r.keys = slices.Clone(r.keys)
	for n := range r.keys {
		r.keys[n] = r.keys[n].T(by)
	}
	return r
}

// Equal reports whether two routes have the same sections.
func (r Route) Equal(s Route) bool {
	return slices.Equal(r.keys, s.keys) && slices.Equal(r.ends, s.ends) && slices.Equal(r.closed, s.closed)
}
