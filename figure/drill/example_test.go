package drill_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/interval"
	"example.com/keyorder/spelling"
)

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// A figure by minor thirds for a trumpet in its first years.
func Example() {
	d, err := drill.New(drill.Settings{
		Figure: must(figure.Parse("1 3 2 5")),
		Route:  cycle.By(interval.MinorThird).Closed(),
		Parts:  []drill.Instrument{must(drill.Find("B♭ trumpet", drill.LevelFirstYears))},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(d.Len(), "statements,", d.Bars(), "bars,", d.Duration())
	var events []figure.Event
	for s := range d.Parts()[0].Statements() {
		if s.Section > 0 {
			break
		}
		fmt.Print("bar ", int(1+s.Onset/figure.Whole), ", ", s.Written.Name(), ":")
		events = s.AppendEvents(events[:0])
		for _, e := range events {
			fmt.Print(" ", e.Note)
		}
		fmt.Println()
	}
	// Output:
	// 15 statements, 30 bars, 1m30s
	// bar 1, C: C4 E4 D4 G4
	// bar 3, E♭: E♭4 G4 F4 B♭4
	// bar 5, G♭: G♭4 B♭4 A♭4 D♭5
	// bar 7, A: A4 C♯5 B4 E5
	// bar 9, C: C5
}

// A range too narrow for all twelve keys is refused, and the error says what
// would fit; or the keys are left out.
func ExampleNew() {
	s := drill.Settings{
		Figure: must(figure.Parse("1 3 2 5 8")),
		Route:  cycle.By(interval.MajorThird).Closed(),
		Parts:  []drill.Instrument{must(drill.Find("trumpet", drill.LevelFirstYears))},
	}
	_, err := drill.New(s)
	var fit *drill.FitError
	if errors.As(err, &fit) {
		fmt.Println(fit.Instrument.Name, "goes from", fit.Instrument.Low, "to", fit.Instrument.High)
		fmt.Println("span:", fit.Span, "first key that does not fit:", fit.Key, "with", fit.Note)
		fmt.Println("would do for all:", fit.Low, "to", fit.High)
	}
	s.LeaveOut = true
	d := must(drill.New(s))
	fmt.Println("left out:", d.Parts()[0].LeftOut())
	// Output:
	// trumpet in B♭ goes from A3 to E5
	// span: 12 first key that does not fit: A♭ with A♭5
	// would do for all: A3 to A♭5
	// left out: [A♭ F G♭ G]
}

func ExampleFind() {
	for _, name := range []string{"tenor sax", "Horn in F", "trumpet Bb3-E5", "clay flute: down M2 D4-B5"} {
		i, err := drill.Find(name, drill.LevelComfortable)
		fmt.Println(i.Name, "reads", i.Low, "to", i.High, "and sounds", i.Sounding, err)
	}
	_, err := drill.Find("ukelele", drill.LevelComfortable)
	fmt.Println(err)
	// Output:
	// tenor saxophone in B♭ reads B♭3 to D6 and sounds -M9 <nil>
	// horn in F reads F3 to G5 and sounds -P5 <nil>
	// trumpet in B♭ reads B♭3 to E5 and sounds -M2 <nil>
	// clay flute reads D4 to B5 and sounds -M2 <nil>
	// instrument "ukelele": no instrument is called just that; near it: ukulele, baritone ukulele
}

// Instruments that no list has are written by value.
func ExampleInstrument() {
	i := drill.Instrument{
		Name: "clay flute", Low: spelling.MustParse("E4"), High: spelling.MustParse("C6"),
		Sounding: -interval.MinorThird, Family: drill.FamilyWoodwind, Program: 80, // an ocarina's sound
	}
	d := must(drill.New(drill.Settings{
		Figure: must(figure.Parse("1 3 5")), Route: cycle.MustParseRoute("05"), Parts: []drill.Instrument{i}, Reading: drill.ReadingConcert,
	}))
	for s := range d.Parts()[0].Statements() {
		fmt.Println("sounds in", s.Sounding.Name(), "and reads in", s.Written.Name())
	}
	// Output:
	// sounds in C and reads in E♭
	// sounds in F and reads in A♭
}

// Concert keys for two instruments: what each reads, and the join from the
// last note of one statement to the first of the next.
func ExamplePart() {
	d := must(drill.New(drill.Settings{
		Figure: must(figure.Parse("1 3 2 5")),
		Route:  cycle.MustParseRoute("(048)"),
		Parts: []drill.Instrument{
			must(drill.Find("flute", drill.LevelComfortable)),
			must(drill.Find("alto saxophone", drill.LevelComfortable)),
		},
		Rest: drill.Rest(figure.Half),
	}))
	for _, p := range d.Parts() {
		fmt.Println(p.Instrument().Name)
		for s := range p.Statements() {
			fmt.Print("  ", d.After(s.Onset).Round(100*time.Millisecond), " in ", s.Written)
			if j, ok := s.Join(); ok {
				fmt.Print(", joined by ", j.Interval())
			}
			if s.Respelled {
				fmt.Print(", respelled: it sounds in ", s.Sounding.Name())
			}
			if s.Held {
				fmt.Print(", held")
			}
			fmt.Println()
		}
	}
	// Output:
	// flute
	//   0s in C5
	//   3s in E5, joined by -m3
	//   6s in A♭5, joined by -A2
	//   9s in C6, joined by -m3, held
	// alto saxophone in E♭
	//   0s in A4
	//   3s in D♭5, joined by -A2, respelled: it sounds in E
	//   6s in F5, joined by -m3
	//   9s in A5, joined by -m3, held
}

func ExampleStatement_MarshalJSON() {
	d := must(drill.New(drill.Settings{
		Figure: must(figure.Parse("{1 m7} 1 b3:2 in dorian")),
		Route:  cycle.MustParseRoute("03"),
		Parts:  []drill.Instrument{must(drill.Find("trumpet", drill.LevelComfortable))},
	}))
	for s := range d.Parts()[0].Statements() {
		if s.Index == 1 {
			fmt.Println(string(must(json.MarshalIndent(s, "", "  "))))
		}
	}
	// Output:
	// {
	//   "index": 1,
	//   "section": 0,
	//   "onset": "2",
	//   "length": "2",
	//   "written": "Eb4",
	//   "sounding": "C#4",
	//   "join": "P1",
	//   "respelled": true,
	//   "notes": [
	//     {
	//       "onset": "0",
	//       "length": "1/8",
	//       "note": "Eb4",
	//       "key": 61,
	//       "index": 0
	//     },
	//     {
	//       "onset": "1/8",
	//       "length": "1/4",
	//       "note": "Gb4",
	//       "key": 64,
	//       "index": 1
	//     }
	//   ],
	//   "chords": [
	//     {
	//       "onset": "0",
	//       "root": "Eb",
	//       "suffix": "m7"
	//     }
	//   ]
	// }
}

// Settings are kept and sent as JSON; what is zero may be left out.
func ExampleSettings() {
	var s drill.Settings
	err := json.Unmarshal([]byte(`{
		"title": "Every Tuesday",
		"figure": "v5 v7 | 1 4 2:2",
		"route": "(0369)/(147T)",
		"parts": [{"name": "recorder", "low": "C4", "high": "A6", "sounding": "P1", "clef": "treble"}],
		"meter": "3+2/8",
		"tempo": 132,
		"rest": "none",
		"padding": "run on"
	}`), &s)
	fmt.Println(err)
	d := must(drill.New(s))
	fmt.Println(d.Len(), "statements,", d.Bars(), "bars of", s.Meter)
	fmt.Println(string(must(json.Marshal(drill.Settings{Figure: s.Figure, Route: s.Route, Parts: s.Parts}))))
	// Output:
	// <nil>
	// 10 statements, 15 bars of 5/8
	// {"figure":"v5 v7 | 1 4 2:2","route":"(0369)/(147T)","parts":[{"name":"recorder","low":"C4","high":"A6","sounding":"P1","clef":"treble"}],"meter":"4/4"}
}

func ExampleParseMeter() {
	for _, text := range []string{"4/4", "6/8", "7/8", "3+2+2/8"} {
		m, err := drill.ParseMeter(text)
		fmt.Println(m, "has beats of", m.Grouping(), "and counts", m.Counted(), err)
	}
	_, err := drill.ParseMeter("4/5")
	fmt.Println(err)
	// Output:
	// 4/4 has beats of 1+1+1+1 and counts 1/4 <nil>
	// 6/8 has beats of 3+3 and counts 3/8 <nil>
	// 7/8 has beats of 2+2+3 and counts 1/8 <nil>
	// 3+2+2/8 has beats of 3+2+2 and counts 1/8 <nil>
	// meter "4/5": a meter is a number of note values over 2, 4, 8 or 16, as 4/4, 6/8 or 3+2/8
}
