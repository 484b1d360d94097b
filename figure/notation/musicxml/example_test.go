package musicxml_test

import (
	"bytes"
	"fmt"
	"strings"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/notation"
	"example.com/keyorder/figure/notation/musicxml"
)

func Example() {
	horn, err := drill.Find("horn", drill.LevelComfortable)
	if err != nil {
		fmt.Println(err)
		return
	}
	d, err := drill.New(drill.Settings{
		Figure: figure.MustParse("1:3 5 4 2 3:2"),
		Route:  cycle.MustParse("-m3").Closed(),
		Parts:  []drill.Instrument{horn},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	score, err := notation.New([]*drill.Drill{d}, notation.Options{Title: "Down by minor thirds"})
	if err != nil {
		fmt.Println(err)
		return
	}
	var file bytes.Buffer
	err = musicxml.Write(&file, score)
	fmt.Println(bytes.Count(file.Bytes(), []byte("<measure")), "bars", err)
	// Output: 30 bars <nil>
}

// A figure with its chords, taken from two bars of a score.
func ExampleRead() {
	score := `<score-partwise><part-list><score-part id="P1"><part-name>viola</part-name></score-part></part-list><part id="P1">
<measure number="0"><attributes><divisions>2</divisions><key><fifths>-2</fifths><mode>dorian</mode></key></attributes>
<note><grace/><pitch><step>A</step><octave>4</octave></pitch></note>
<note><pitch><step>G</step><octave>4</octave></pitch><duration>1</duration></note></measure>
<measure number="1"><harmony><root><root-step>C</root-step></root><kind>minor-seventh</kind></harmony>
<note><pitch><step>E</step><alter>-1</alter><octave>4</octave></pitch><duration>3</duration></note>
<note><pitch><step>C</step><octave>4</octave></pitch><duration>1</duration></note></measure>
</part></score-partwise>`
	file, err := musicxml.Read(strings.NewReader(score))
	if err != nil {
		fmt.Println(err)
		return
	}
	part := file.Parts[0]
	key := part.Bars[0].Key
	events, chords, err := part.Events(1, 2)
	if err != nil {
		fmt.Println(err)
		return
	}
	f, tonic, err := figure.FromEvents(events, chords, key.Tonic, figure.Dorian)
	fmt.Println(f, "from", tonic, err)
	fmt.Println(file.Remarks)
	// Output:
	// 5 | {1 m7} 3:3 1 in dorian from C4 <nil>
	// [grace notes, left out: 1]
}
