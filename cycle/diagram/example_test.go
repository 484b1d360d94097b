package diagram_test

import (
	"fmt"
	"strings"

	"example.com/keyorder/cycle"
	"example.com/keyorder/cycle/diagram"
	"example.com/keyorder/interval"
)

func Example() {
	var svg strings.Builder
	err := diagram.Write(&svg, diagram.Options{
		Route: cycle.By(interval.MinorThird).Closed(),
		Title: "Minor thirds up",
		Move:  cycle.Move{From: 3, To: 6},
	})
	_, text, _ := strings.Cut(svg.String(), "<desc>")
	text, _, _ = strings.Cut(text, "</desc>")
	fmt.Println(strings.ReplaceAll(text, ". ", ".\n"), err)
	// Output:
	// Clockwise from C at the top by half steps.
	// Section 1: C, E♭, G♭, A and back to C.
	// Section 2: D♭, E, G, B♭ and back to D♭.
	// Section 3: D, F, A♭, B and back to D.
	// Marked is the move from E♭ to G♭. <nil>
}

// With the keys in fifths round the circle, the order by fifths runs along it.
func ExampleOptions() {
	var svg strings.Builder
	err := diagram.Write(&svg, diagram.Options{
		Route:    cycle.MustParseRoute("circle of fifths"),
		ByFifths: true,
	})
	_, text, _ := strings.Cut(svg.String(), "<desc>")
	text, _, _ = strings.Cut(text, "</desc>")
	fmt.Println(strings.ReplaceAll(text, ". ", ".\n"), err)
	// Output:
	// Clockwise from C at the top by fifths.
	// Section 1: C, G, D, A, E, B, G♭, D♭, A♭, E♭, B♭, F and back to C. <nil>
}
