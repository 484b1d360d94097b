package notation_test

import (
	"testing"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/notation"
)

// TestLawSlursBeginAndEndOnNotes: through all bars of a part a slur begins on a
// note, goes on over notes without a rest, and ends on another note of the same
// statement; of tied noteheads the first begins it and has the accent, the last
// ends it. What is tongued has no marks.
func TestLawSlursBeginAndEndOnNotes(t *testing.T) {
	flute, err := drill.Find("flute", drill.LevelFull)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range []string{"1:3 5 4 2 3:2", "1 3 2 4:2 2 3 1:4", "v5 | 1 9 2 8 0 6:2/3 5:2/3 4:2/3 3", "1+3 5:9 2 2 3:12"} {
		for _, articulation := range []drill.Articulation{drill.ArticulationTongued, drill.ArticulationSlurred, drill.ArticulationSlurredInTwos} {
			for _, accents := range []drill.Accents{drill.AccentsNone, drill.AccentsGroups, drill.AccentsBeats} {
				d, err := drill.New(drill.Settings{Figure: figure.MustParse(f), Route: cycle.MustParse("M3").Closed(), Parts: []drill.Instrument{flute}, Articulation: articulation, Accents: accents})
				if err != nil {
					t.Fatal(err)
				}
				score, err := notation.New([]*drill.Drill{d}, notation.Options{})
				if err != nil {
					t.Fatal(err)
				}
				want := map[drill.Marks]int{}
				for s := range d.Parts()[0].Statements() {
					last := figure.Length(-1)
					for n, m := range s.Marks() {
						if e := s.Events()[n]; e.Onset != last { // notes that sound together are one symbol
							count(want, m)
							last = e.Onset
						}
					}
				}
				got := map[drill.Marks]int{}
				open, statement := false, 0
				for b := range score.PartBars(score.Parts()[0]) {
					for _, s := range b.Symbols {
						count(got, s.Marks)
						if len(s.Notes) == 0 {
							if open || s.Marks != 0 {
								t.Errorf("%s, %v: a slur or a mark on a rest in bar %d", f, articulation, b.Number)
							}
							continue
						}
						n := s.Notes[0]
						if s.Marks.Has(drill.MarkSlurBegin) {
							if open || n.TieIn {
								t.Errorf("%s, %v: a slur begins inside another or a note in bar %d", f, articulation, b.Number)
							}
							open, statement = true, n.Statement
						}
						under := s.Marks.Has(drill.MarkSlurOn) || s.Marks.Has(drill.MarkSlurEnd)
						if under != open || open && n.Statement != statement || s.Marks.Has(drill.MarkAccent) && n.TieIn {
							t.Errorf("%s, %v: %v in bar %d", f, articulation, s.Marks, b.Number)
						}
						if s.Marks.Has(drill.MarkSlurEnd) {
							if open = false; n.TieOut {
								t.Errorf("%s, %v: a slur ends inside a note in bar %d", f, articulation, b.Number)
							}
						}
					}
				}
				if open {
					t.Errorf("%s, %v: a slur has no end", f, articulation)
				}
				for _, m := range []drill.Marks{drill.MarkSlurBegin, drill.MarkSlurEnd, drill.MarkAccent} {
					if got[m] != want[m] {
						t.Errorf("%s, %v, %v: %d of mark %d, want %d", f, articulation, accents, got[m], m, want[m])
					}
				}
			}
		}
	}
}

func count(n map[drill.Marks]int, m drill.Marks) {
	for _, one := range []drill.Marks{drill.MarkSlurBegin, drill.MarkSlurEnd, drill.MarkAccent} {
		if m.Has(one) {
			n[one]++
		}
	}
}
