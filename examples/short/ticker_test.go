package short_test

import (
	"fmt"
	"iter"
	"time"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/interval"
)

// Real-time play from a ticker, with the next key known ahead. The ticker here
// is a made-up one; time.NewTicker serves as well.
func Example_ticker() {
	flute, err := drill.Find("flute", drill.LevelComfortable)
	if err != nil {
		fmt.Println(err)
		return
	}
	d, err := drill.New(drill.Settings{
		Figure: figure.MustParse("3:4 1:4"), Route: cycle.By(interval.PerfectFourth).Open(), Parts: []drill.Instrument{flute}, Tempo: 240,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	line, err := playback.New([]*drill.Drill{d}, playback.Options{Mode: playback.ModeModel, CountIn: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	next, stop := iter.Pull(line.Events(0))
	defer stop()
	e, ok := next()
	for now := time.Duration(0); ok && now < 3*time.Second; now += 10 * time.Millisecond {
		for ; ok && line.At(e.Time) <= now; e, ok = next() {
			switch e.Kind {
			case playback.KindTurn:
				coming, _ := line.Turn(e.Turn.Next)
				st, _ := line.Statement(coming, line.Parts()[0])
				fmt.Println(now, "turn:", e.Turn.Who, "- then", st.Written.Name(), "at", line.At(coming.Begin))
			case playback.KindNoteOn:
				fmt.Println(now, "on", e.Note.Key)
			case playback.KindNoteOff:
				fmt.Println(now, "off", e.Note.Key)
			}
		}
	}
	// Output:
	// 0s turn: count - then C at 1s
	// 1s turn: both - then F at 3s
	// 1s on 64
	// 1.5s off 64
	// 1.5s on 60
	// 2s off 60
	// 2s turn: rest - then F at 3s
}
