// Customdrill scripts a drill that no flag of the other programs offers: two
// figures in turn, in an order of our own, in a range that narrows by a whole
// step each time round. Run it with: go run ./examples/customdrill
package main

import (
	"bufio"
	"fmt"
	"log"
	"os"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/interval"
)

func main() {
	// MustParse is for text that we know is right.
	figures := []figure.Figure{
		figure.MustParse("1 4 b3 b7 in dorian"),
		figure.MustParse("b7 b3 4 1 in dorian"),
	}

	// The order: up a fourth and down a minor third, in turn, cut into runs of
	// four keys. A Section is a run; it is closed if it ends on its first key.
	keys := cycle.MustParse("P4,-m3").Keys()

	// An Instrument is a value like any other: this copy is ours to change.
	horn, err := drill.Find("horn", drill.LevelFull)
	check(err)

	out := bufio.NewWriter(os.Stdout)
	for round := range 3 {
		for n := 0; n < len(keys); n += 4 { // four keys at a time
			route, err := cycle.NewRoute(cycle.Section{Keys: keys[n : n+4]})
			check(err)
			d, err := drill.New(drill.Settings{
				Figure: figures[(n/4+round)%len(figures)],
				Route:  route,
				Parts:  []drill.Instrument{horn},
				Path:   drill.PathNear,
			})
			check(err)
			for s := range d.Parts()[0].Statements() {
				fmt.Fprintf(out, "round %d, %-2v %v", round+1, s.Written.Name(), s.Written)
				for _, e := range s.Events() {
					fmt.Fprintf(out, " %v", e.Note)
				}
				fmt.Fprintln(out)
			}
		}
		horn.Low = horn.Low.Up(interval.MajorSecond)
		horn.High = horn.High.Down(interval.MajorSecond)
	}
	check(out.Flush()) // which tells of what went wrong in between, too
}

// check ends the program where something went wrong, and says what.
func check(err error) {
	if err != nil {
		log.Fatal("customdrill: ", err)
	}
}
