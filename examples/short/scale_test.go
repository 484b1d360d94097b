package short_test

import (
	"fmt"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/interval"
	"example.com/keyorder/spelling"
)

// A scale and a transposing instrument of one's own, in 7/8.
func Example_ownScaleAndInstrument() {
	scale, err := figure.ParseScale("1 b2 3 #4 5 b7")
	if err != nil {
		fmt.Println(err)
		return
	}
	seven, err := drill.ParseMeter("3+2+2/8")
	if err != nil {
		fmt.Println(err)
		return
	}
	pipe := drill.Instrument{ // sounds a minor sixth above what is written
		Name: "reed pipe in A♭", Low: spelling.MustParse("G3"), High: spelling.MustParse("E5"),
		Sounding: interval.MinorSixth, Family: drill.FamilyWoodwind,
	}
	f, err := figure.Parse("5:3 4:2 3 2 in " + scale.Formula())
	if err != nil {
		fmt.Println(err)
		return
	}
	d, err := drill.New(drill.Settings{
		Figure: f, Route: cycle.By(interval.MajorThird).Closed(), Parts: []drill.Instrument{pipe}, Meter: seven, LeaveOut: true,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	part := d.Parts()[0]
	fmt.Println(d.Len(), "statements,", d.Bars(), "bars of", d.Settings().Meter, "without", part.LeftOut())
	for st := range part.Statements() {
		var notes []spelling.Note
		for _, e := range st.Events() {
			notes = append(notes, e.Note)
		}
		if fmt.Println(st.Written.Name(), "sounds in", st.Sounding.Name(), notes); st.Index == 2 {
			break
		}
	}
	// Output:
	// 16 statements, 32 bars of 3+2+2/8 without []
	// C sounds in A♭ [G4 F♯4 E4 D♭4]
	// E sounds in C [B4 A♯4 G♯4 F4]
	// A♭ sounds in E [E♭4 D4 C4 B𝄫3]
}
