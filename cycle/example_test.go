package cycle_test

import (
	"encoding/json"
	"errors"
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
	for n, key := range o.Run(true) {
		if n < 2 {
			fmt.Print(key, " ")
		}
	}
	fmt.Println("are the first two cycles, played back to their first keys")
	// Output:
	// 048/159/26T/37E in 4 cycles of 3
	// 26T/37E/480/591 from D
	// 084/195/2T6/3E7 is by major thirds down: true
	// 0 4 8 0 1 5 9 1 are the first two cycles, played back to their first keys
}

func ExampleAlternate() {
	fmt.Println(cycle.Alternate(interval.PerfectFourth, -interval.MinorThird))
	_, err := cycle.Alternate(interval.PerfectFourth, -interval.MajorSecond)
	fmt.Println(err)
	var again *cycle.PatternError
	if errors.As(err, &again) {
		fmt.Println("key", again.Key, "comes again after", again.After, "keys, when", again.Played, "were played")
	}
	// Output:
	// 0527496E81T3 <nil>
	// pattern "P4,-M2": from C, key 0 (counting C as 0) comes again after 8 keys, with 4 still to play; a pattern runs through all 12, as P4,-m3 does
	// key 0 comes again after 8 keys, when 8 were played
}

func ExampleParse() {
	for _, text := range []string{"-P4", "down by fourths", "circle of fifths", "P4,-m3", "wedge", "0369/147T/258E"} {
		o, err := cycle.Parse(text)
		fmt.Println(o, o.Pattern(), err)
	}
	_, err := cycle.Parse("thirds")
	fmt.Println(err)
	// Output:
	// 07294E6183T5 [7] <nil>
	// 07294E6183T5 [7] <nil>
	// 07294E6183T5 [7] <nil>
	// 0527496E81T3 [5 9] <nil>
	// 0E1T29384756 [] <nil>
	// 0369/147T/258E [3] <nil>
	// order "thirds": say which thirds: minor thirds or major thirds
}

func ExampleOrder_Title() {
	for _, text := range []string{"m3", "circle of fifths", "P4,-m3", "0E1T29384756", "all-interval:7"} {
		o := cycle.MustParse(text)
		fmt.Print(o.Title())
		if alike := o.Alike(); alike != "" {
			fmt.Print("; the same keys as ", alike)
		}
		fmt.Println()
	}
	// Output:
	// up by minor thirds; the same keys as down by major sixths
	// down by fourths; the same keys as up by fifths
	// up a fourth, down a minor third, in turn; the same keys as down a fifth, up a major sixth, in turn
	// the wedge, closing in from both sides
	// all-interval order 7 of 3856
}

// The order's text still knows what was asked for, which its keys do not.
func ExampleTitleOf() {
	for _, text := range []string{"circle of fifths", "shuffle:7"} {
		title, alike, err := cycle.TitleOf(text)
		fmt.Printf("%q %q %v\n", title, alike, err)
	}
	// Output:
	// "up by fifths" "down by fourths" <nil>
	// "shuffled, number 7" "" <nil>
}

// Settings that come as JSON name a route as a player does.
func ExampleRoute_UnmarshalText() {
	var settings struct{ Route cycle.Route }
	for _, text := range []string{`{"route":"minor thirds"}`, `{"route":"wedge"}`, `{"route":"(05)/27"}`} {
		err := json.Unmarshal([]byte(text), &settings)
		fmt.Println(settings.Route, "from D", settings.Route.From(2), err)
	}
	// Output:
	// (0369)/(147T)/(258E) from D (258E)/(3690)/(47T1) <nil>
	// 0E1T29384756 from D 21304E5T6978 <nil>
	// (05)/27 from D (27)/49 <nil>
}

func ExampleRoute() {
	// Four keys in a row, then minor thirds with each cycle closed.
	r, err := cycle.Concat(cycle.MustParseRoute("T358"), cycle.By(interval.MinorThird).Closed())
	fmt.Println(r, r.Len(), err)
	// Output: T358/(0369)/(147T)/(258E) 19 <nil>
}
