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

// minorThirds returns a drill of four notes by minor thirds.
func minorThirds() *drill.Drill {
	trumpet, err := drill.Find("trumpet", drill.LevelComfortable)
	if err != nil {
		log.Fatal(err)
	}
	d, err := drill.New(drill.Settings{
		Title:  "Up by minor thirds",
		Figure: figure.MustParse("{1 m7} 1 b3:3 5:3 b7"),
		Route:  cycle.By(interval.MinorThird).Closed(),
		Parts:  []drill.Instrument{trumpet},
	})
	if err != nil {
		log.Fatal(err)
	}
	return d
}

func Example() {
	score, err := notation.New([]*drill.Drill{minorThirds()}, notation.Options{})
	if err != nil {
		log.Fatal(err)
	}
	fmt.Println(score.Parts()[0].Instrument().Name, score.Bars(), "bars")
	for bar := range score.PartBars(score.Parts()[0]) {
		fmt.Print(bar.Number)
		for _, l := range bar.Labels {
			fmt.Print(" ", l)
		}
		if bar.End == notation.BarlineDouble {
			fmt.Print(", a section ends")
		}
		fmt.Println()
		if bar.Number == 10 {
			break
		}
	}
	// Output:
	// trumpet in B♭ 30 bars
	// 1 C Cm7
	// 2
	// 3 E♭ E♭m7
	// 4
	// 5 G♭ G♭m7
	// 6
	// 7 A Am7
	// 8
	// 9 back to C Cm7
	// 10, a section ends
}

func ExampleScore_PartBars() {
	score, err := notation.New([]*drill.Drill{minorThirds()}, notation.Options{})
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
				if n.Accidental == notation.AccidentalShown {
					fmt.Print(", accidental")
				}
				if n.TieOut {
					fmt.Print(", tied")
				}
			}
			fmt.Println()
		}
		break
	}
	// Output:
	// 0: 1/8 C4
	// 1/8: 1/4 dotted E♭4, accidental
	// 1/2: 1/4 dotted G4
	// 7/8: 1/8 B♭4, accidental
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

func ExampleLabel() {
	f := spelling.MustParseName("F")
	fmt.Println(notation.Label{Kind: notation.LabelKindKey, Name: f})
	fmt.Println(notation.Label{Kind: notation.LabelKindReturn, Name: f})
	fmt.Println(notation.Label{Kind: notation.LabelKindChord, Name: f, Text: "m7"})
	// Output:
	// F
	// back to F
	// Fm7
}
