package cycle_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	. "example.com/keyorder/cycle"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch/fault"
	"github.com/google/go-cmp/cmp"
)

// TestLawSquareIsComplete takes every one of the 3856 orders: in its square
// every move comes once, and every key once in every place (Williams 1949;
// Gordon 1961), both down and across.
func TestLawSquareIsComplete(t *testing.T) {
	n := 0
	for r := range AllInterval(5) {
		n++
		square, err := Square(r)
		if err != nil {
			t.Fatal(err)
		}
		if square[0] != r {
			t.Fatalf("the first day is %v, want %v", square[0], r)
		}
		var across, down Tally
		var times [12][12]int // of a key in a place
		for day, o := range square {
			if o.From(r.Keys()[0]) != r {
				t.Fatalf("%v is no transposition of %v", o, r)
			}
			across.AddAll(o.Moves(false))
			for place, k := range o.Keys() {
				times[place][k]++
				if day > 0 {
					down.Add(Move{From: square[day-1].Keys()[place], To: k})
				}
				if square[place].Keys()[day] != k {
					t.Fatalf("the square of %v does not read the same down as across", r)
				}
			}
		}
		if across.Made() != 132 || across.Total() != 132 || down != across {
			t.Fatalf("the square of %v makes %d moves, %d different", r, across.Total(), across.Made())
		}
		for place := range times {
			for k, c := range times[place] {
				if c != 1 {
					t.Fatalf("the square of %v has key %d in place %d %d times", r, k, place, c)
				}
			}
		}
	}
	if n != 3856 {
		t.Errorf("%d squares", n)
	}
}

// twoApart returns how many different ordered pairs of keys two apart the
// square of a row has, of the 120 places where there is one.
func twoApart(t *testing.T, r Order) int {
	square, err := Square(r)
	if err != nil {
		t.Fatal(err)
	}
	pairs := map[Move]bool{}
	for _, o := range square {
		for n := 2; n < 12; n++ {
			pairs[Move{From: o.Keys()[n-2], To: o.Keys()[n]}] = true
		}
	}
	return len(pairs)
}

// TestLawFourRowsAreBalanced finds the rows whose squares never repeat a pair
// two apart (computed when the design was written).
func TestLawFourRowsAreBalanced(t *testing.T) {
	var got, want []string
	for r := range AllInterval(0) {
		if twoApart(t, r) == 120 {
			got = append(got, r.String())
		}
	}
	for _, by := range []int{1, 5, 7, 11} {
		keys := times(row{0, 1, 4, 2, 9, 5, 11, 3, 8, 10, 7, 6}, by)
		want = append(want, inOneRun(keys).String())
	}
	slices.Sort(got)
	slices.Sort(want)
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
	if r := BalancedRow(); r.String() != "014295E38T76" || twoApart(t, r) != 120 {
		t.Errorf("%v has %d pairs two apart", r, twoApart(t, r))
	}
	if n := twoApart(t, Wedge()); n != 24 { // by a half step up or down only
		t.Errorf("the wedge has %d pairs two apart", n)
	}
}

func TestSquareRefuses(t *testing.T) {
	for _, c := range []struct {
		row  Order
		want string
	}{
		{Order{}, `row: there are no keys; a row for`},
		{By(interval.MinorThird), `row 0369/147T/258E: the order is cut into cycles`},
		{By(interval.PerfectFourth), `row 05T3816E4927: from 5 to T is the same interval as from 0 to 5`},
		{MustParse("014295E38T67"), `row 014295E38T67: from T to 6 is the same interval as from 9 to 5`},
		{MustParse("0E1T2938475/6"), `row 0E1T2938475/6: the order is cut into cycles`},
		{MustParse("0132594T6E87"), `row 0132594T6E87: from 8 to 7 is the same interval as from 3 to 2`},
		{MustParse("0E1T29384756").Retrograde().From(3), ""},
	} {
		square, err := Square(c.row)
		if c.want == "" {
			if err != nil {
				t.Errorf("%v: %v", c.row, err)
			}
			continue
		}
		var e *fault.ValueError
		switch {
		case !errors.As(err, &e):
			t.Errorf("%v: %v\nwant %s…: no such error", c.row, err, c.want)
		case !strings.HasPrefix(err.Error(), c.want):
			t.Errorf("%v: %v\nwant %s…: other words", c.row, err, c.want)
		case square != [12]Order{}:
			t.Errorf("%v: %v\nwant %s…: there is a square all the same", c.row, err, c.want)
		}
	}
}
