package wav_test

import (
	"bytes"
	"fmt"
	"io"

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

// The loudest sample of a file, read block by block.
func ExampleRead() {
	horn, err := drill.Find("horn", drill.LevelComfortable)
	if err != nil {
		fmt.Println(err)
		return
	}
	d, err := drill.New(drill.Settings{
		Figure: figure.MustParse("1 4 b3:2 b7 in dorian"),
		Route:  cycle.By(interval.MajorSecond).Open(),
		Parts:  []drill.Instrument{horn},
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
	if err := wav.Write(&file, line, wav.Options{}); err != nil {
		fmt.Println(err)
		return
	}
	sound, err := wav.Read(&file)
	if err != nil {
		fmt.Println(err)
		return
	}
	samples, loudest := 0, float32(0)
	block := make([]float32, 1024)
	for {
		n, err := sound.Read(block)
		for _, x := range block[:n] {
			loudest = max(loudest, x, -x)
		}
		samples += n
		if err == io.EOF {
			break
		}
		if err != nil {
			fmt.Println(err)
			return
		}
	}
	fmt.Printf("%d s, %d bits, up to %.2f of full scale\n", samples/sound.Rate, sound.Bits, loudest)
	fmt.Println(len(sound.Remarks()), "remarks")
	// Output:
	// 75 s, 16 bits, up to 0.61 of full scale
	// 0 remarks
}
