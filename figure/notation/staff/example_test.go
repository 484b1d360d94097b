package staff_test

import (
	"fmt"
	"strings"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/notation"
	"example.com/keyorder/figure/notation/staff"
	"example.com/keyorder/interval"
)

// score is 1 3 2 5 by minor thirds for a flute.
func score() *notation.Score {
	flute, err := drill.Find("flute", drill.LevelComfortable)
	if err != nil {
		panic(err)
	}
	d, err := drill.New(drill.Settings{
		Figure: figure.MustParse("1 3 2 5"), Route: cycle.By(interval.MinorThird).Closed(), Parts: []drill.Instrument{flute},
	})
	if err != nil {
		panic(err)
	}
	s, err := notation.New([]*drill.Drill{d}, notation.Options{Title: "Minor thirds up"})
	if err != nil {
		panic(err)
	}
	return s
}

// The pages of a part, to be printed as they are.
func Example() {
	l, err := staff.New(score(), score().Parts()[0], staff.Options{Paper: staff.Letter()})
	if err != nil {
		fmt.Println(err)
		return
	}
	for page := range l.Pages() {
		var svg strings.Builder
		if err := page.WriteSVG(&svg); err != nil {
			fmt.Println(err)
			return
		}
		first, last := page.Bars()
		fmt.Printf("page %d, bars %d to %d\n", page.Number(), first, last)
		fmt.Println(strings.Split(svg.String(), "\n")[1])
	}
	// Output:
	// page 1, bars 1 to 30
	// <title>Minor thirds up, flute, page 1</title>
}

// The first key alone, for a page of one's own: the first two bars, on a
// narrow line that a phone shows whole.
func ExampleLayout_Systems() {
	l, err := staff.New(score(), score().Parts()[0], staff.Options{Paper: staff.Paper{Width: 90, Height: 300}, Bars: 2})
	if err != nil {
		fmt.Println(err)
		return
	}
	for system := range l.Systems() {
		var svg strings.Builder
		if err := system.WriteSVG(&svg); err != nil {
			fmt.Println(err)
			return
		}
		first, last := system.Bars()
		fmt.Printf("bars %d to %d, %.0f mm wide\n", first, last, system.Width())
		fmt.Println(strings.Split(svg.String(), "\n")[2])
	}
	// Output:
	// bars 1 to 2, 90 mm wide
	// <desc>Keys: C.</desc>
}
