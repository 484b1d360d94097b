package cycle

import (
	"fmt"

	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
)

// Square returns the row-complete square of an all-interval order: its twelve
// transpositions, to be played open, one a day. In twelve days, 144 statements,
// they make each of the 132 moves exactly once and put each key once in each
// place of the row. The days begin on the keys of the row as it plays them, so
// that the square is the same read down as across. For an order that is not
// all-interval the error is a *fault.ValueError. (Williams 1949; Gordon 1961)
func Square(row Order) ([12]Order, error) {
	if err := row.refuseRow(); err != nil {
		return [12]Order{}, err
	}
	var square [12]Order
	for day, k := range row.keys {
		square[day] = row.From(k)
	}
	return square, nil
}

// refuseRow says why the order is not all-interval, if it is not.
func (o Order) refuseRow() error {
	text, _ := o.AppendText(nil)
	refuse := func(why string) error {
		return &fault.ValueError{Setting: "row", Value: string(text), Want: why + "; a row for the square makes eleven different intervals in one run, as 014295E38T76 does"}
	}
	if !o.IsValid() {
		return refuse("there are no keys")
	}
	if o.Cycles() > 1 {
		return refuse("the order is cut into cycles")
	}
	var made [12]Move // the move by each interval
	for m := range o.Moves(false) {
		first := &made[m.Semitones()]
		if *first != (Move{}) {
			return refuse(fmt.Sprintf("from %v to %v is the same interval as from %v to %v", m.From, m.To, first.From, first.To))
		}
		*first = m
	}
	return nil
}

// BalancedRow returns the row to make a square of where there is no reason to
// take another, from C: C D♭ E D A F B E♭ A♭ B♭ G G♭. Keys two apart are
// balanced in its square too: no two days go from the same key to the same
// other key two statements later. Of the 3856 all-interval orders from a first
// key only this one and its multiples by 5, 7 and 11 do that; in the wedge's
// square such pairs come again day after day.
func BalancedRow() Order {
	return Order{[12]pitch.Class{0, 1, 4, 2, 9, 5, 11, 3, 8, 10, 7, 6}, 1}
}
