package listening_test

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"time"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/listening"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/figure/playback/wav"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
)

// trumpet returns a line of four keys for a trumpet.
func trumpet(text string) (*playback.Line, drill.Instrument, error) {
	i, err := drill.Find("trumpet", drill.LevelComfortable)
	if err != nil {
		return nil, i, err
	}
	d, err := drill.New(drill.Settings{
		Figure: figure.MustParse(text), Route: cycle.By(interval.MinorThird).Open(), Parts: []drill.Instrument{i}, Tempo: 120,
	})
	if err != nil {
		return nil, i, err
	}
	l, err := playback.New([]*drill.Drill{d}, playback.Options{Mode: playback.ModeModel})
	return l, i, err
}

// A take, here of the library's own sound with one wrong note, is heard as it
// comes and judged statement by statement.
func Example() {
	line, instrument, err := trumpet("3 5 1 6")
	if err != nil {
		fmt.Println(err)
		return
	}
	played, _, err := trumpet("3 5 1 b6")
	if err != nil {
		fmt.Println(err)
		return
	}
	var file bytes.Buffer // or a microphone
	if err := wav.Write(&file, played, wav.Options{}); err != nil {
		fmt.Println(err)
		return
	}
	sound, err := wav.Read(&file)
	if err != nil {
		fmt.Println(err)
		return
	}
	judge, err := listening.NewJudge(line, line.Parts()[0], listening.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	low, high := instrument.Low.Up(instrument.Sounding).Number(), instrument.High.Up(instrument.Sounding).Number()
	ear, err := listening.NewEar(sound.Rate, low, high, judge.Hear)
	if err != nil {
		fmt.Println(err)
		return
	}
	ear.Expect(judge.Due)
	samples := make([]float32, 1024)
	for n := 0; n < 4; {
		got, err := sound.Read(samples)
		ear.Write(samples[:got])
		for say := range judge.Says(ear.Now()) {
			fmt.Print("statement ", say.Statement+1, ": ", say.Verdict)
			for _, f := range say.Faults {
				fmt.Print(", note ", f.Note+1, " ", f.Kind, ", heard ", f.Heard.Class())
			}
			fmt.Println()
			n++
		}
		if errors.Is(err, io.EOF) {
			break
		}
	}
	// Output:
	// statement 1: not clean, note 4 wrong, heard 6
	// statement 2: not clean, note 4 wrong, heard 9
	// statement 3: not clean, note 4 wrong, heard 0
	// statement 4: not clean, note 4 wrong, heard 3
}

// The same judge hears a keyboard, here one that leaves the second note out.
func ExampleJudge() {
	line, _, err := trumpet("3 5 1 6")
	if err != nil {
		fmt.Println(err)
		return
	}
	judge, err := listening.NewJudge(line, line.Parts()[0], listening.Options{Keys: true})
	if err != nil {
		fmt.Println(err)
		return
	}
	for t := range line.Turns(0) {
		for n := range line.Notes(t) {
			if n.Index != 1 && t.Statement == 0 {
				judge.Hear(listening.NoteOf(n.Key, 90, line.At(n.On), line.At(n.Off)))
			}
		}
	}
	for say := range judge.Says(8 * time.Second) {
		fmt.Println(say.Statement, say.Verdict, say.Faults)
	}
	// Output:
	// 0 not clean [{missing 1 0 0s 0}]
	// 1 not played []
}

func ExampleIdea() {
	var notes []listening.Note
	at := time.Duration(0)
	for _, n := range []struct {
		key    pitch.Number
		eighth int
	}{{60, 3}, {67, 1}, {65, 2}, {62, 1}, {64, 2}} {
		length := time.Duration(n.eighth) * 300 * time.Millisecond
		notes = append(notes, listening.NoteOf(n.key, 90, at, at+length*9/10))
		at += length
	}
	r, err := listening.Idea(notes, listening.Asking{Tempo: 100})
	fmt.Println(r.Figure, r.Tonic, r.Second, err)
	// Output: 1:3 5 4:2 2 3:2 C4 F <nil>
}
