package notation_test

import (
	"fmt"
	"log"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/notation"
	"example.com/keyorder/interval"
	"example.com/keyorder/spelling"
)

// minorThirds returns a drill of a figure by minor thirds.
func minorThirds(text string) *drill.Drill {
	trumpet, err := drill.Find("trumpet", drill.LevelComfortable)
	if err != nil {
		log.Fatal(err)
	}
	d, err := drill.New(drill.Settings{
		Title:  "Up by minor thirds",
		Figure: figure.MustParse(text),
		Route:  cycle.By(interval.MinorThird).Closed(),
		Parts:  []drill.Instrument{trumpet},
	})
	if err != nil {
		log.Fatal(err)
	}
	return d
}

func Example() {
	score, err := notation.New([]*drill.Drill{minorThirds("{1 m7} 1 b3:3 5:3 b7")}, notation.Options{})
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(score.Parts()[0].Instrument().Name, score.Bars(), "bars")
	for bar := range score.PartBars(score.Parts()[0]) {
		fmt.Print(bar.Number)
		for _, l := range bar.Labels {
			fmt.Print(" ", l)
		}
		fmt.Println(",", bar.End)
		if bar.Number == 10 {
			break
		}
	}
	// Output:
	// trumpet in B♭ 30 bars
	// 1 in C Cm7, single
	// 2, single
	// 3 in E♭ E♭m7, single
	// 4, single
	// 5 in G♭ G♭m7, single
	// 6, single
	// 7 in A Am7, single
	// 8, single
	// 9 back to C Cm7, single
	// 10, double
}

// The noteheads and rests of a bar, as they stand on the page.
func ExampleScore_PartBars() {
	score, err := notation.New([]*drill.Drill{minorThirds("{1 m7} 1 b3:3 5:3 b7")}, notation.Options{})
	if err != nil {
		log.Fatal(err)
	}
	for bar := range score.PartBars(score.Parts()[0]) {
		for _, s := range bar.Symbols {
			fmt.Printf("%v: 1/%d", s.Onset, s.Value.Base)
			if s.Value.Dots > 0 {
				fmt.Print(" dotted")
			}
			for _, n := range s.Notes {
				fmt.Print(" ", n.Note)
				switch n.Accidental {
				case notation.AccidentalShown:
					fmt.Print(" with its sign")
				case notation.AccidentalCautionary:
					fmt.Print(" with its sign as a reminder")
				}
			}
			fmt.Println()
		}
		break
	}
	// Output:
	// 0: 1/8 C4
	// 1/8: 1/4 dotted E♭4 with its sign
	// 1/2: 1/4 dotted G4
	// 7/8: 1/8 B♭4 with its sign
}

// Which noteheads show a note of the figure, to mark them while it sounds.
func ExampleNote() {
	score, err := notation.New([]*drill.Drill{minorThirds("5:6 2:5 b3:3 in dorian")}, notation.Options{})
	if err != nil {
		log.Fatal(err)
	}
	heads := map[[2]int]int{}
	for bar := range score.PartBars(score.Parts()[0]) {
		for _, s := range bar.Symbols {
			for _, n := range s.Notes {
				heads[[2]int{n.Statement, n.Index}]++
			}
		}
	}
	for index := range 3 {
		fmt.Println("note", index, "of statement 1:", heads[[2]int{1, index}], "noteheads")
	}
	// Output:
	// note 0 of statement 1: 1 noteheads
	// note 1 of statement 1: 2 noteheads
	// note 2 of statement 1: 2 noteheads
}

func ExampleValue() {
	for _, v := range []notation.Value{{Base: 2, Dots: 1}, {Base: 8, Triplet: true}, {Base: 16}} {
		fmt.Printf("1/%d, %d dots, in a triplet: %v, %d flags\n", v.Base, v.Dots, v.Triplet, v.Flags())
	}
	// Output:
	// 1/2, 1 dots, in a triplet: false, 0 flags
	// 1/8, 0 dots, in a triplet: true, 1 flags
	// 1/16, 0 dots, in a triplet: false, 2 flags
}

// Labels are drawn in a style for their kind.
func ExampleLabel() {
	f := spelling.MustParseName("F")
	for _, l := range []notation.Label{
		{Kind: notation.LabelKindKey, Name: f},
		{Kind: notation.LabelKindReturn, Name: f},
		{Kind: notation.LabelKindRest, Name: f},
		{Kind: notation.LabelKindChanges, Name: f},
		{Kind: notation.LabelKindChord, Name: f, Text: "m7"},
	} {
		fmt.Printf("%v: %v, bold %v\n", l.Kind, l, l.Kind != notation.LabelKindChord)
	}
	// Output:
	// key: F, bold true
	// return: back to F, bold true
	// rest: F (rest), bold true
	// changes: in F, bold true
	// chord: Fm7, bold false
}
