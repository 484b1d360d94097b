package main

import (
	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/practice"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
)

const (
	demoNote       = "Demo: the player and the log are invented."
	demoInstrument = "trumpet"
	demoFirst      = practice.Date(20150) // Monday 2025-03-03
	demoDay        = demoFirst + 21
)

// demoLog is the log of three weeks of a player who does not exist: a trumpeter
// who for a week takes one figure round the circle of fourths, then follows the
// plan for two weeks with Sundays off, and finds E and B hard.
func demoLog() practice.Log {
	trumpet, err := drill.Find(demoInstrument, drill.LevelComfortable)
	if err != nil {
		return practice.Log{}
	}
	s := practice.Settings{Instrument: trumpet, Stage: practice.StageConstantOrders, Seed: 1}
	for _, text := range []string{"1:3 5 4 2 3:2", "4 2 5 1:2 in dorian", "1 6 5 7:2 in mixolydian"} {
		s.Ideas = append(s.Ideas, practice.Idea{Figure: figure.MustParse(text)})
	}
	var l practice.Log
	tries := 0
	// Every third try at a hard key fails in the second week, every fifth later.
	play := func(e practice.Entry, failing int) {
		for m := range e.Moves() {
			if m.To != 4 && m.To != 11 {
				continue
			}
			if tries++; tries%failing == 0 {
				e.Clean--
				e.FailedMoves = append(e.FailedMoves, m)
			}
		}
		l.Entries = append(l.Entries, e)
	}
	for day := range practice.Date(21) {
		s.Date = demoFirst + day
		switch {
		case day%7 == 6:
		case day < 7:
			fourths := cycle.By(interval.PerfectFourth).Closed()
			for pass := range 5 {
				e := practice.Entry{
					Date: s.Date, Minutes: 2, Figure: s.Ideas[0].Figure, Order: "P4", Route: fourths, Instrument: trumpet.Name,
					First: figure.Major.Tonics()[pitch.Class(0)].In(4), Stage: practice.StageConstantOrders, Tempo: 80, Rest: drill.Rest(figure.Whole),
					Clean: fourths.Len(), Played: fourths.Len(), FirstTry: pass == 0,
				}
				play(e, 4)
			}
		default:
			p, err := practice.NewPlan(s, l)
			if err != nil {
				return l
			}
			for n, b := range p.Blocks {
				if !b.Pause {
					play(p.Entry(n), int(day)/4+1)
				}
			}
		}
	}
	return l
}
