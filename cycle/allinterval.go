package cycle

import (
	"fmt"
	"iter"
	"math/bits"
	"strconv"

	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
)

// AllInterval yields the all-interval orders from a first key: those whose
// eleven moves are eleven different intervals, each open, in one run. There are
// 3856, and the last key is always a tritone from the first. Counted up from
// the first key, their keys come in ascending order: the first is 0132…, the
// last 0E9T…, and the order in the same place from the end is the inversion.
// It does not allocate.
func AllInterval(first pitch.Class) iter.Seq[Order] {
	return func(yield func(Order) bool) { allInterval(first, yield) }
}

func allInterval(first pitch.Class, yield func(Order) bool) {
	s := newRowSearch(first)
	s.place(1, 0, allButFirst&^(1<<6), allButFirst, yield)
}

// AllIntervalCount is the number of all-interval orders from one first key.
const AllIntervalCount = 3856

// AllIntervalAt returns an all-interval order by its number, 1 to
// AllIntervalCount, its place among those that [AllInterval] yields;
// [Order.AllIntervalNumber] is the way back. For another number the error is a
// *fault.ValueError.
func AllIntervalAt(number int, first pitch.Class) (Order, error) {
	if number < 1 || number > AllIntervalCount {
		return Order{}, &fault.ValueError{Setting: "all-interval order", Value: strconv.Itoa(number), Want: fmt.Sprintf("they are numbered 1 to %d", AllIntervalCount)}
	}
	second := 11
	for smaller[second] >= number {
		second--
	}
	s := newRowSearch(first)
	n := smaller[second]
	s.second(second, func(Order) bool { n++; return n < number })
	return s.row, nil
}

// AllIntervalNumber returns the number of an all-interval order, for
// AllIntervalAt with its first key. For another order it returns 0.
func (o Order) AllIntervalNumber() int {
	if !o.IsAllInterval() {
		return 0
	}
	second := Move{o.keys[0], o.keys[1]}.Semitones()
	n := smaller[second]
	s := newRowSearch(o.keys[0])
	s.second(second, func(row Order) bool { n++; return row != o })
	return n
}

// smaller is how many orders have a second key that is fewer semitones above the
// first: each tells where its part of the search begins.
var smaller = [12]int{0, 0, 382, 738, 1162, 1546, 1928, 1928, 2310, 2694, 3118, 3474}

// newRowSearch begins on a first key, and ends a tritone away from it.
func newRowSearch(first pitch.Class) rowSearch {
	s := rowSearch{row: Order{cuts: 1}}
	for up := range s.key {
		s.key[up] = first.T(up)
	}
	s.row.keys[0], s.row.keys[11] = s.key[0], s.key[6]
	return s
}

// second searches the orders whose second key is up semitones above the first.
func (s *rowSearch) second(up int, yield func(Order) bool) {
	s.row.keys[1] = s.key[up]
	s.place(2, up, allButFirst&^(1<<6|1<<up), allButFirst&^(1<<up), yield)
}

// allButFirst is a set of keys or of intervals, bit k for k semitones up, with
// all in it but the first key, or the unison.
const allButFirst = 1<<12 - 1<<1

// A rowSearch is an all-interval order in the making.
type rowSearch struct {
	row Order
	key [12]pitch.Class // so many semitones above the first key
}

// place fills the row from place n on, after the key that lies from semitones
// above the first. The keys and the intervals left are sets: those turned round
// by from are the keys that the intervals lead to. The key a tritone from the
// first waits for the last place; the interval that leads there is always the
// one left, since all eleven add up to 66 semitones, a tritone modulo 12.
func (s *rowSearch) place(n, from int, keys, intervals uint, yield func(Order) bool) bool {
	for next := keys & (intervals<<from | intervals>>(12-from)); next != 0; next &= next - 1 {
		k := bits.TrailingZeros(next)
		s.row.keys[n] = s.key[k]
		var more bool
		if n == 10 {
			more = yield(s.row)
		} else {
			more = s.place(n+1, k, keys&^(1<<k), intervals&^(1<<((k-from+12)%12)), yield)
		}
		if !more {
			return false
		}
	}
	return true
}

// IsAllInterval reports whether the order is one of the all-interval orders:
// in one run, and its eleven moves, played open, are eleven different
// intervals.
func (o Order) IsAllInterval() bool {
	made := 0
	for m := range o.Moves(false) {
		made |= 1 << m.Semitones()
	}
	return made == allButFirst
}

// Wedge returns the order that closes in from both sides, from C: C B D♭ B♭ D
// A E♭ A♭ E G F G♭. It is an all-interval order. The moves go up and down in
// turn, from a major seventh to a half step, each a half step smaller than the
// one before.
func Wedge() Order {
	return Order{[12]pitch.Class{0, 11, 1, 10, 2, 9, 3, 8, 4, 7, 5, 6}, 1}
}

// BySignature returns the twelve major keys by the number of accidentals in
// their key signatures, flats before sharps, with G♭ for the last: C F G B♭ D
// E♭ A A♭ E D♭ B G♭. It is the wedge with every key times 7, and so an
// all-interval order too. BySignature().From(9) does the same for the minor
// keys, from A.
func BySignature() Order {
	return Order{[12]pitch.Class{0, 5, 7, 10, 2, 3, 9, 8, 4, 1, 11, 6}, 1}
}
