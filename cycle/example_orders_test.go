package cycle_test

import (
	"fmt"

	"example.com/keyorder/cycle"
	"example.com/keyorder/interval"
)

func ExampleAllInterval() {
	n := 0
	for o := range cycle.AllInterval(0) {
		if n < 3 {
			fmt.Println(o)
		}
		n++
	}
	fmt.Println(n)
	// Output:
	// 01327T84E596
	// 013295T47E86
	// 01329748E5T6
	// 3856
}

func ExampleSquare() {
	square, err := cycle.Square(cycle.BalancedRow())
	if err != nil {
		fmt.Println(err)
		return
	}
	var made cycle.Tally
	for _, day := range square {
		fmt.Println(day)
		made.AddAll(day.Moves(false))
	}
	fmt.Println(made.Made(), "of 132 moves in", made.Total())

	_, err = cycle.Square(cycle.By(interval.PerfectFourth))
	fmt.Println(err)
	// Output:
	// 014295E38T76
	// 1253T6049E87
	// 4586193702ET
	// 2364E715T098
	// 9T1E62805743
	// 56972T48130E
	// E03184T27965
	// 34750826E1T9
	// 890T517E4632
	// TE2073916854
	// 78E9406T3521
	// 67T83E592410
	// 132 of 132 moves in 132
	// row 05T3816E4927: from 5 to T is the same interval as from 0 to 5; a row for the square makes eleven different intervals in one run, as 014295E38T76 does
}

func ExampleLoops() {
	var made cycle.Tally
	for _, loop := range cycle.Loops() {
		fmt.Println(loop)
		made.AddAll(loop.Moves(true))
	}
	fmt.Println(made.Made(), "of 132 moves in", made.Total())
	// Output:
	// 0123456789TE
	// 05T3816E4927
	// 07294E6183T5
	// 0ET987654321
	// 082T469715E3
	// 06T84257E139
	// 04T17362E958
	// 0268T79E5314
	// 0T2475193E86
	// 037T648591E2
	// 0963528E741T
	// 132 of 132 moves in 132
}

func ExampleEveryMove() {
	r := cycle.EveryMove(10)
	var made cycle.Tally
	made.AddAll(r.Moves())
	fmt.Println(r.Len(), "statements,", made.Made(), "moves")
	fmt.Printf("%.40s…\n", r)
	// Output:
	// 133 statements, 132 moves
	// TE0123456789T3816E492705T507294E6183T987…
}

// The number of an all-interval order is enough to find it again.
func ExampleAllIntervalAt() {
	for day := 1000; day <= 1002; day++ {
		o, err := cycle.AllIntervalAt(day, 0)
		fmt.Println(o, o.Title(), err)
	}
	fmt.Println("the wedge is number", cycle.Wedge().AllIntervalNumber())
	_, err := cycle.AllIntervalAt(4000, 0)
	fmt.Println(err)
	// Output:
	// 0387E1T42956 all-interval order 1000 of 3856 <nil>
	// 038917524ET6 all-interval order 1001 of 3856 <nil>
	// 0389574T21E6 all-interval order 1002 of 3856 <nil>
	// the wedge is number 3509
	// all-interval order 4000: they are numbered 1 to 3856
}

// Backward, the wedge opens from the middle; from C again it is the same order.
func ExampleWedge() {
	w := cycle.Wedge()
	fmt.Println(w, w.IsAllInterval())
	fmt.Println(w.Retrograde(), w.Retrograde().From(0) == w)
	// Output:
	// 0E1T29384756 true
	// 65748392T1E0 true
}

func ExampleBySignature() {
	fmt.Println("major keys", cycle.BySignature())
	fmt.Println("minor keys", cycle.BySignature().From(9))
	// Output:
	// major keys 057T239841E6
	// minor keys 9247E0651T83
}

func ExampleShuffle() {
	fmt.Println(cycle.Shuffle(1))
	fmt.Println(cycle.Shuffle(2))
	fmt.Println(cycle.Shuffle(2).From(0), "from C")
	// Output:
	// 4679E3T12085
	// E7580629314T
	// 0869173T425E from C
}

// The circle of fourths every day for twelve days: many statements, few moves.
func ExampleTally() {
	fourths := cycle.By(interval.PerfectFourth)
	var made cycle.Tally
	for range 12 {
		made.AddAll(fourths.Moves(true))
	}
	fmt.Println(made.Total(), "moves,", made.Made(), "different")
	fmt.Printf("over keys %.2f of %.2f bits\n", made.KeyEntropy(), cycle.MaxKeyEntropy)
	fmt.Printf("over intervals %.2f of %.2f bits\n", made.IntervalEntropy(), cycle.MaxIntervalEntropy)
	fmt.Println("C to F", made.Count(cycle.Move{From: 0, To: 5}), "times")
	for m := range made.Missing() {
		fmt.Println("never from", m.From, "to", m.To)
		break
	}
	fmt.Printf("%.17s…\n", made)
	// Output:
	// 144 moves, 12 different
	// over keys 3.58 of 3.58 bits
	// over intervals 0.00 of 3.46 bits
	// C to F 12 times
	// never from 0 to 1
	// 05:12 16:12 27:12…
}

func ExampleFreshest() {
	names := []string{"fourths", "fifths", "minor thirds"}
	var candidates []cycle.Route
	for _, step := range []interval.Interval{interval.PerfectFourth, interval.PerfectFifth, interval.MinorThird} {
		candidates = append(candidates, cycle.By(step).Closed())
	}
	var made cycle.Tally
	for day := 1; day <= 4; day++ {
		n := cycle.Freshest(made, candidates...)
		fmt.Println("day", day, names[n])
		made.AddAll(candidates[n].Moves())
	}
	// Output:
	// day 1 fourths
	// day 2 fifths
	// day 3 minor thirds
	// day 4 fourths
}
