package playback_test

import (
	"encoding/json"
	"fmt"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/interval"
)

// Five notes through the twelve keys by minor thirds, with the model in the
// rests.
func Example() {
	flute, err := drill.Find("flute", drill.Comfortable)
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
	settings.Rest = playback.RestFor(playback.Answer, settings)
	d, err := drill.New(settings)
	if err != nil {
		fmt.Println(err)
		return
	}
	line, err := playback.New(playback.Options{Swing: 2}, d)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(line.Duration(), "with the count-in")
	for e := range line.Events() {
		switch e.Kind {
		case playback.DrillStart:
			fmt.Println(line.Drill(e.Drill).Settings().Title)
		case playback.SectionStart:
			fmt.Printf("%6d section %d in %v\n", e.Time, e.Section+1, e.Name)
		case playback.Click:
			fmt.Printf("%6d click\n", e.Time)
		case playback.Note:
			fmt.Printf("%6d       key %d, note %d of statement %d\n", e.Time, e.Key, e.Index+1, e.Statement+1)
		}
		if e.Time >= 3*3840 {
			break
		}
	}
	// Output:
	// 1m33s with the count-in
	// Minor thirds
	//      0 click
	//    960 click
	//   1920 click
	//   2880 click
	//   3840 section 1 in C
	//   3840 click
	//   3840       key 72, note 1 of statement 1
	//   4800 click
	//   5760 click
	//   6720 click
	//   7680 click
	//   7680       key 72, note 1 of statement 1
	//   8320       key 76, note 2 of statement 1
	//   8640 click
	//   8640       key 74, note 3 of statement 1
	//   9280       key 79, note 4 of statement 1
	//   9600 click
	//   9600       key 72, note 5 of statement 1
	//  10560 click
	//  11520 click
}

// A figure of five beats needs two bars of rest for the model to answer.
func ExampleRestFor() {
	s := drill.Settings{Figure: figure.MustParse("1:2 2:2 3:2 5:2 1:2")}
	fmt.Println(playback.RestFor(playback.Answer, s))
	s.Meter, _ = drill.MeterOf(5, 4)
	fmt.Println(playback.RestFor(playback.Answer, s))
	fmt.Println(playback.RestFor(playback.Model, s))
	// Output:
	// 2
	// 5/4
	// a bar
}

func ExampleOptions() {
	var o playback.Options
	err := json.Unmarshal([]byte(`{"mode": "call", "clicks": "2 and 4", "swing": 1.5}`), &o)
	fmt.Println(o.Mode, o.Clicks, o.Swing, err)
	// Output: call 2 and 4 1.5 <nil>
}
