// Package cycle puts the twelve keys in order.
//
// Add one interval to a key again and again and you come back to it, after
// twelve keys, or six, four, three or two. What was left out is reached by
// starting again on the next key: minor thirds make three cycles of four. An
// [Order] is the twelve keys, each once, cut into such cycles. [By] makes the
// eleven orders by a constant interval, [Alternate] those by a repeating
// pattern, [Of] takes any order of the twelve, and [Parse] reads what a player
// asks for: "m3", "down by fourths", "wedge".
//
// Played closed, a cycle ends with its first key once more. Closed, the eleven
// orders make each of the 132 moves from one key to another exactly once, so
// that whoever plays all eleven has practised every change of key there is.
//
// Played every day, one order is a rut: its moves come again and again, and the
// others never. A [Tally] counts the 132, and [Freshest] finds the order that
// makes those made least; [AllInterval], [Square], [Loops] and [Shuffle] are more
// orders to take them from.
//
// A [Route] is the keys of a practice session in sections, at most [MaxKeys] of
// them: an order, a few keys repeated, a pattern that meets keys twice.
// [ParseRoute] reads one from words too.
//
// Keys are pitch classes here; spelling, direction and register come later.
package cycle

import (
	"fmt"
	"iter"

	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
)

// An Order is the twelve keys, each once, cut into cycles. Orders compare with
// ==. The zero value is no order, and IsValid says so: it has no cycles, and
// nothing to play.
type Order struct {
	keys [12]pitch.Class
	cuts uint16 // bit k is set where a cycle begins at keys[k]
}

// By returns the order that adds one interval again and again, from C. Where
// it comes back to its first key before all twelve are played, the next cycle
// starts on the first key not yet played, counting up from the first key of
// the order, whatever the direction of the step. By(interval.PerfectUnison) is
// twelve cycles of one key.
func By(step interval.Interval) Order {
	var o Order
	var played [12]bool
	n := 0
	for start := range pitch.Class(12) {
		if played[start] {
			continue
		}
		o.cuts |= 1 << n
		for k := start; !played[k]; k = k.T(step.Semitones()) {
			played[k] = true
			o.keys[n] = k
			n++
		}
	}
	return o
}

// maxPattern is the greatest number of steps in a pattern: twelve can make any
// order of the twelve keys that is closed.
const maxPattern = 12

// Alternate returns the order that adds the steps in turn, again and again,
// from C: up a fourth, down a minor third, up a fourth, …. A pattern has 1 to 12
// steps; one that repeats inside itself is first reduced. It must run through
// all twelve keys and come back to the first one as it ends. The error is a
// *fault.ValueError; where a key comes too soon there is a *PatternError in it,
// which says which.
func Alternate(steps ...interval.Interval) (Order, error) {
	if len(steps) == 0 || len(steps) > maxPattern {
		return Order{}, &fault.ValueError{Setting: "pattern", Value: fmt.Sprintf("%d steps", len(steps)), Want: fmt.Sprintf("a pattern has 1 to %d steps", maxPattern)}
	}
	steps = reduced(steps)
	refuse := func(e PatternError) (Order, error) {
		return Order{}, &fault.ValueError{Setting: "pattern", Value: patternText(steps), Err: &e}
	}
	o := Order{cuts: 1}
	var place [12]int // one more than the key's place in the order
	key := pitch.Class(0)
	for n := range 12 {
		if place[key] > 0 {
			return refuse(PatternError{key, n - place[key] + 1, n})
		}
		o.keys[n] = key
		place[key] = n + 1
		key = key.T(steps[n%len(steps)].Semitones())
	}
	if key != 0 || 12%len(steps) != 0 {
		return refuse(PatternError{key, 12 - place[key] + 1, 12})
	}
	return o, nil
}

// reduced returns the steps that a pattern repeats inside itself, by their sound.
func reduced(steps []interval.Interval) []interval.Interval {
	return steps[:period(len(steps), func(i, j int) bool {
		return pitch.ClassOf(steps[i].Semitones()) == pitch.ClassOf(steps[j].Semitones())
	})]
}

func patternText(steps []interval.Interval) string {
	b := []byte(steps[0].String())
	for _, s := range steps[1:] {
		b = append(append(b, ','), s.String()...)
	}
	return string(b)
}

// period returns the length of the shortest pattern that n things repeat: n,
// which is at least 1, where there is none shorter.
func period(n int, same func(i, j int) bool) int {
	for p := 1; ; p++ {
		whole := n%p == 0
		for k := p; whole && k < n; k++ {
			whole = same(k, k-p)
		}
		if whole {
			return p
		}
	}
}

// Of returns the order that plays the given keys in one run. It takes the
// twelve keys, each once; otherwise the error is a *fault.ValueError that says
// which is missing or comes twice.
func Of(keys ...pitch.Class) (Order, error) {
	o, _, want := of(keys)
	if want != "" {
		return Order{}, &fault.ValueError{Setting: "keys", Value: classText(keys), Want: want}
	}
	return o, nil
}

// of makes an order, or says what would be right from which key on.
func of(keys []pitch.Class) (o Order, at int, want string) {
	if len(keys) != 12 {
		return Order{}, len(keys), fmt.Sprintf("an order has all 12 keys, not %d", len(keys))
	}
	o.cuts = 1
	var played [12]bool
	for n, k := range keys {
		if k > 11 {
			return Order{}, n, fmt.Sprintf("keys are 0 to 11, not %d", uint8(k))
		}
		if played[k] {
			return Order{}, n, fmt.Sprintf("key %v comes twice; an order has each of the 12 keys once", k)
		}
		played[k] = true
		o.keys[n] = k
	}
	return o, at, ""
}

// classText returns keys as text, of many keys the first.
func classText(keys []pitch.Class) string {
	b := make([]byte, 0, 13)
	for _, k := range keys[:min(len(keys), 13)] {
		b, _ = k.AppendText(b)
	}
	return string(b)
}

// IsValid reports whether the order is one, as the zero value is not.
func (o Order) IsValid() bool { return o.cuts != 0 }

// Keys returns the twelve keys as they are played.
func (o Order) Keys() [12]pitch.Class { return o.keys }

// Cycles returns the number of cycles.
func (o Order) Cycles() int {
	n := 0
	for range o.lengths() {
		n++
	}
	return n
}

// lengths yields the place where each cycle starts and the one after its end.
func (o Order) lengths() iter.Seq2[int, int] {
	return func(yield func(int, int) bool) {
		for from := 0; from < 12 && o.cuts != 0; {
			to := from + 1
			for to < 12 && o.cuts&(1<<to) == 0 {
				to++
			}
			if !yield(from, to) {
				return
			}
			from = to
		}
	}
}

// Cycle returns the keys of cycle n, which goes from 0 to Cycles() − 1; for
// any other n it returns nil.
func (o Order) Cycle(n int) []pitch.Class {
	for from, to := range o.lengths() {
		if n == 0 {
			return o.keys[from:to:to] // of this copy of the order
		}
		n--
	}
	return nil
}

// Run yields the keys in the order in which they are played, each with the
// number of its cycle from 0. Closed, each cycle of more than one key ends
// with its first key once more. It does not allocate.
func (o Order) Run(closed bool) iter.Seq2[int, pitch.Class] {
	return func(yield func(int, pitch.Class) bool) { o.run(closed, yield) }
}

func (o *Order) run(closed bool, yield func(int, pitch.Class) bool) {
	cycle := 0
	for from, to := range o.lengths() {
		if !play(cycle, o.keys[from:to], closed, yield) {
			return
		}
		cycle++
	}
}

// Moves yields the moves from key to key inside the cycles, with the move back
// to each first key if closed. The step from one cycle to the next is no move.
// It does not allocate.
func (o Order) Moves(closed bool) iter.Seq[Move] {
	return func(yield func(Move) bool) {
		var m mover
		o.run(closed, func(cycle int, k pitch.Class) bool { return m.to(cycle, k, yield) })
	}
}

// From returns the same order from another first key: every key transposed so
// that the order begins on k.
func (o Order) From(k pitch.Class) Order {
	by := int(k) - int(o.keys[0])
	if !o.IsValid() {
		return o
	}
	for n := range o.keys {
		o.keys[n] = o.keys[n].T(by)
	}
	return o
}

// Reverse returns the order with each cycle the other way round, from the same
// first key: played closed, it makes the same moves backward. Reversing twice
// gives the order back.
func (o Order) Reverse() Order {
	r := o
	for from, to := range o.lengths() {
		for n := from + 1; n < to; n++ {
			r.keys[n] = o.keys[from+to-n]
		}
	}
	return r
}

// Retrograde returns the whole order backward, from its last key to its first,
// with the cuts between the same keys.
func (o Order) Retrograde() Order {
	var r Order
	for from, to := range o.lengths() {
		r.cuts |= 1 << (12 - to)
		for n := from; n < to; n++ {
			r.keys[11-n] = o.keys[n]
		}
	}
	return r
}

// Pattern returns the shortest pattern of steps that all cycles repeat when
// they are played closed, in semitones up, 0 to 11: one step for an order made
// by By, the steps for one made by Alternate. It is nil where there is none
// shorter than a cycle; such an order has no step of its own that would lead
// back to its first key.
func (o Order) Pattern() []int {
	var pattern []int
	for from, to := range o.lengths() {
		steps := make([]int, to-from)
		for n := range steps {
			next := from + (n+1)%len(steps)
			steps[n] = Move{o.keys[from+n], o.keys[next]}.Semitones()
		}
		p := period(len(steps), func(i, j int) bool { return steps[i] == steps[j] })
		if p == len(steps) && p > 1 {
			return nil
		}
		if pattern == nil {
			pattern = steps[:p]
		}
		if len(pattern) != p {
			return nil
		}
		for n := range p {
			if steps[n] != pattern[n] {
				return nil
			}
		}
	}
	return pattern
}
