package smf_test

import (
	"bytes"
	"fmt"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/figure/playback/smf"
	"example.com/keyorder/interval"
	"example.com/keyorder/spelling"
)

// A drill as the bytes of a MIDI file.
func Example() {
	flute, err := drill.Find("flute", drill.LevelComfortable)
	if err != nil {
		fmt.Println(err)
		return
	}
	d, err := drill.New(drill.Settings{
		Title:  "By fourths",
		Figure: figure.MustParse("1 3 2 5"),
		Route:  cycle.By(interval.PerfectFourth).Closed(),
		Parts:  []drill.Instrument{flute},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	line, err := playback.New([]*drill.Drill{d}, playback.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	var file bytes.Buffer // or a file of your own
	if err := smf.Write(&file, line); err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%q\n", file.Bytes()[:14])
	fmt.Printf("%q\n", file.Bytes()[22:36])
	// Output:
	// "MThd\x00\x00\x00\x06\x00\x01\x00\x03\x03\xc0"
	// "\x00\xff\x03\nBy fourths"
}

// A figure taken from a bar of a MIDI file.
func ExampleRead() {
	horn, err := drill.Find("horn", drill.LevelComfortable)
	if err != nil {
		fmt.Println(err)
		return
	}
	d, err := drill.New(drill.Settings{
		Figure: figure.MustParse("5 2 b3:2 1 in dorian"),
		Route:  cycle.By(interval.MajorThird).Closed(),
		Parts:  []drill.Instrument{horn},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	line, err := playback.New([]*drill.Drill{d}, playback.Options{Mode: playback.ModeModel})
	if err != nil {
		fmt.Println(err)
		return
	}
	var written bytes.Buffer // or a file of your own
	if err := smf.Write(&written, line); err != nil {
		fmt.Println(err)
		return
	}
	file, err := smf.Read(&written)
	if err != nil {
		fmt.Println(err)
		return
	}
	part := file.Parts()[0]
	fmt.Println(part.Name, part.Notes[0], file.At(part.Notes[0].On))
	// The first bar is counted. A file has no letters: F dorian gives them.
	tonic := spelling.MustParseName("F")
	events, err := file.Events(part, 2, 2, tonic, figure.Dorian)
	if err != nil {
		fmt.Println(err)
		return
	}
	f, at, err := figure.FromEvents(events, nil, tonic, figure.Dorian)
	fmt.Println(f, "from", at, err)
	fmt.Println(len(file.Remarks), "remarks")
	// Output:
	// horn in F {3840 4320 1 80 60} 3s
	// 5 2 3:2 1 in dorian from F3 <nil>
	// 0 remarks
}
