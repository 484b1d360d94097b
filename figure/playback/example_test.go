package playback_test

import (
	"encoding/json"
	"fmt"
	"time"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/accompaniment"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/interval"
)

// Five notes through the twelve keys by minor thirds, with the model in the
// rests.
func Example() {
	flute, err := drill.Find("flute", drill.LevelComfortable)
	if err != nil {
		fmt.Println(err)
		return
	}
	settings := drill.Settings{
		Title:  "Minor thirds",
		Figure: figure.MustParse("1 3 2 5 1:4"),
		Route:  cycle.By(interval.MinorThird).Closed(),
		Parts:  []drill.Instrument{flute},
	}
	settings.Rest = playback.RestFor(playback.Options{}, settings)
	d, err := drill.New(settings)
	if err != nil {
		fmt.Println(err)
		return
	}
	line, err := playback.New([]*drill.Drill{d}, playback.Options{Swing: 2})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(line.Duration(), "with the count-in")
	for t := range line.Turns(0) {
		if t.Index > 3 {
			break
		}
		fmt.Print("at ", line.At(t.Begin), ": ", t.Who)
		if st, ok := line.Statement(t, d.Parts()[0]); ok {
			fmt.Print(", in ", st.Written.Name())
		}
		fmt.Println()
		for n := range line.Notes(t) {
			fmt.Println(" ", line.At(n.On), "to", line.At(n.Off), "key", n.Key, "cue:", n.IsCue())
		}
	}
	// Output:
	// 1m33s with the count-in
	// at 0s: count
	//   2.25s to 3s key 72 cue: true
	// at 3s: you, in C
	// at 6s: model, in C
	//   6s to 6.5s key 72 cue: false
	//   6.5s to 6.75s key 76 cue: false
	//   6.75s to 7.25s key 74 cue: false
	//   7.25s to 7.5s key 79 cue: false
	//   7.5s to 9s key 72 cue: false
	// at 9s: you, in E♭
}

// What a player sees at any moment: whose turn it is, and which key comes next.
func ExampleLine_TurnAt() {
	flute, err := drill.Find("flute", drill.LevelComfortable)
	if err != nil {
		fmt.Println(err)
		return
	}
	d, err := drill.New(drill.Settings{
		Figure: figure.MustParse("3 5 1 6"), Route: cycle.By(interval.PerfectFourth).Open(), Parts: []drill.Instrument{flute},
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
	for at := time.Duration(0); at < 12*time.Second; at += 2500 * time.Millisecond {
		now, _ := line.TurnAt(at)
		next, _ := line.Turn(now.Next)
		st, _ := line.Statement(next, d.Parts()[0])
		fmt.Println(at, now.Who, "and then", st.Written.Name())
	}
	// Output:
	// 0s count and then C
	// 2.5s count and then C
	// 5s rest and then F
	// 7.5s rest and then F
	// 10s both and then B♭
}

// A figure of five beats needs two bars of rest for the model to answer.
func ExampleRestFor() {
	s := drill.Settings{Figure: figure.MustParse("1:2 2:2 3:2 5:2 1:2")}
	fmt.Println(playback.RestFor(playback.Options{}, s))
	s.Meter, _ = drill.MeterOf(5, 4)
	fmt.Println(playback.RestFor(playback.Options{}, s))
	fmt.Println(playback.RestFor(playback.Options{Mode: playback.ModeModel}, s))
	// Output:
	// 2
	// 5/4
	// a bar
}

// Bass and chords under the player, the dominant of the next key in each rest, and
// two bars of each key for the player's own after every statement.
func ExampleOptions_band() {
	trombone, err := drill.Find("trombone", drill.LevelComfortable)
	if err != nil {
		fmt.Println(err)
		return
	}
	var o playback.Options
	if err := json.Unmarshal([]byte(`{"mode": "model", "free": 2, "bass": "walking", "chords": "2 and 4", "rests": "dominant"}`), &o); err != nil {
		fmt.Println(err)
		return
	}
	s := drill.Settings{
		Figure: figure.MustParse("{5 7} v7 2 4 5 {1 maj7} 3:4"), Route: cycle.By(interval.PerfectFifth).Open(), Parts: []drill.Instrument{trombone},
	}
	s.Rest = playback.RestFor(o, s) + drill.Rest(figure.Whole)
	d, err := drill.New(s)
	if err != nil {
		fmt.Println(err)
		return
	}
	line, err := playback.New([]*drill.Drill{d}, o)
	if err != nil {
		fmt.Println(err)
		return
	}
	for t := range line.Turns(1) {
		if t.Index > 3 {
			break
		}
		fmt.Print(t.Who, ":")
		for _, n := range line.AppendBand(nil, t, accompaniment.LayerBass) {
			fmt.Print(" ", n.Key)
		}
		fmt.Println()
	}
	// Output:
	// both: 31 34 36 40
	// free: 31 34 36 33 31 34 36 40
	// rest: 38 42 45 40
}

func ExampleOptions() {
	var o playback.Options
	err := json.Unmarshal([]byte(`{"mode": "call", "clicks": "2 and 4", "swing": 1.5}`), &o)
	fmt.Println(o.Mode, o.Clicks, o.Swing, err)
	// Output: call 2 and 4 1.5 <nil>
}
