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
