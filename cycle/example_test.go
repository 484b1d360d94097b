package cycle_test

import (
	"fmt"

	"example.com/keyorder/cycle"
	"example.com/keyorder/interval"
)

func Example() {
	o := cycle.By(interval.MinorThird)
	for n := range o.Cycles() {
		fmt.Println("cycle", n+1, o.Cycle(n), "and back to", o.Cycle(n)[0])
	}

	moves := map[cycle.Move]int{}
	for semitones := 1; semitones <= 11; semitones++ {
		for m := range cycle.By(interval.Of(0, semitones)).Moves(true) {
			moves[m]++
		}
	}
	fmt.Println("the eleven orders make", len(moves), "moves")
	// Output:
	// cycle 1 [0 3 6 9] and back to 0
	// cycle 2 [1 4 7 T] and back to 1
	// cycle 3 [2 5 8 E] and back to 2
	// the eleven orders make 132 moves
}

func ExampleOrder() {
	o := cycle.By(interval.MajorThird)
	fmt.Println(o, "in", o.Cycles(), "cycles of", len(o.Cycle(0)))
	fmt.Println(o.From(2), "from D")
	fmt.Println(o.Reverse(), "is by major thirds down:", o.Reverse() == cycle.By(-interval.MajorThird))
	// Output:
	// 048/159/26T/37E in 4 cycles of 3
	// 26T/37E/480/591 from D
	// 084/195/2T6/3E7 is by major thirds down: true
}

func ExampleAlternate() {
	fmt.Println(cycle.Alternate(interval.PerfectFourth, -interval.MinorThird))
	_, err := cycle.Alternate(interval.PerfectFourth, -interval.MajorSecond)
	fmt.Println(err)
	// Output:
	// 0527496E81T3 <nil>
	// pattern "P4,-M2": from C, key 0 (counting C as 0) comes again after 8 keys, with 4 still to play; a pattern runs through all 12, as P4,-m3 does
}

func ExampleParse() {
	for _, text := range []string{"-P4", "P4,-m3", "0369/147T/258E"} {
		o, err := cycle.Parse(text)
		fmt.Println(o, o.Pattern(), err)
	}
	// Output:
	// 07294E6183T5 [7] <nil>
	// 0527496E81T3 [5 9] <nil>
	// 0369/147T/258E [3] <nil>
}

func ExampleRoute() {
	// Four keys in a row, then minor thirds with each cycle closed.
	few, err := cycle.ParseRoute("T358")
	if err != nil {
		fmt.Println(err)
		return
	}
	r, err := cycle.Concat(few, cycle.By(interval.MinorThird).Closed())
	fmt.Println(r, r.Len(), err)
	// Output: T358/(0369)/(147T)/(258E) 19 <nil>
}
