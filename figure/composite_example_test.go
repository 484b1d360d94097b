package figure_test

import (
	"fmt"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/interval"
	"example.com/keyorder/spelling"
)

func ExampleFigure_Composite() {
	f := figure.MustParse("1 b3 5")
	for _, step := range []interval.Interval{interval.MinorThird, interval.MajorThird} {
		keys := cycle.By(step).Cycle(0)
		all := f.Composite(keys...)
		fmt.Println("by", step, "on", keys, "it sounds", all, all.Name())
	}
	// Output:
	// by m3 on [0 3 6 9] it sounds 0134679T octatonic
	// by M3 on [0 4 8] it sounds 03478E hexatonic
}

func ExampleFigure_Effects() {
	f := figure.MustParse("1 b3 5")
	for _, e := range f.Effects() {
		if e.Step.Semitones() <= 6 {
			fmt.Println(e.Step, "new", e.New, "in common", e.Common, "together", e.Composite.Name(), e.Composite)
		}
	}
	// Output:
	// m2 new 3 in common 0 together chromatic 0123456789TE
	// M2 new 3 in common 0 together chromatic 0123456789TE
	// A4 new 3 in common 0 together  013679
	// P4 new 2 in common 1 together chromatic 0123456789TE
	// m3 new 2 in common 1 together octatonic 0134679T
	// M3 new 2 in common 1 together hexatonic 03478E
}

// Down by major thirds, 3 4 1 begins each time on the note that it ended on,
// once with another letter.
func ExampleFigure_Joins() {
	f := figure.MustParse("3 4 1")
	var tonics []spelling.Note
	for _, text := range []string{"C4", "Ab3", "E3", "C3"} {
		tonic, _ := spelling.Parse(text)
		tonics = append(tonics, tonic)
	}
	for j := range f.Joins(tonics...) {
		fmt.Println(j.Last, "to", j.First, "is", j.Interval(), "in common", j.Common, "free ride", j.IsUnison())
	}
	fmt.Println(figure.Contour(tonics...))
	// Output:
	// C4 to C4 is P1 in common 0 free ride true
	// A♭3 to G♯3 is -d2 in common 8 free ride true
	// E3 to E3 is P1 in common 4 free ride true
	// [3 2 1 0]
}
