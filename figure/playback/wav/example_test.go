package wav_test

import (
	"bytes"
	"fmt"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/figure/playback/wav"
	"example.com/keyorder/interval"
)

// A drill as sound, tuned to 442 Hz.
func Example() {
	flute, err := drill.Find("flute", drill.LevelComfortable)
	if err != nil {
		fmt.Println(err)
		return
	}
	d, err := drill.New(drill.Settings{
		Figure: figure.MustParse("1 3 2 5"),
		Route:  cycle.By(interval.PerfectFourth).Closed(),
		Parts:  []drill.Instrument{flute},
		Tempo:  120,
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
	options := wav.Options{A4: 442}
	size, err := wav.Size(line, options)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%v, %.1f MB\n", line.Duration(), float64(size)/1e6)
	var file bytes.Buffer // or a file of your own
	if err := wav.Write(&file, line, options); err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%q, %d bytes\n", file.Bytes()[:4], file.Len())
	// Output:
	// 54s, 4.8 MB
	// "RIFF", 4762844 bytes
}
