package accompaniment

import (
	"fmt"
	"testing"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/interval"
)

func TestTry(t *testing.T) {
	i, _ := drill.Find("trumpet", drill.LevelFull)
	for _, f := range []string{
		"{2 m7} 2 3 6 4 5 4 3 2 {5 7} v7 2 4 6 5 4 2 v7 {1 maj7} 1:8",
		"{2 m7b5} 2 3 6 4 5 4 3 2 {5 7b9} 5 2 4 6 5 4 2 3 {1 m6} 1:8 in harmonic minor",
		"{1 7} 1:8 {4 7} 1:8 {1 7} 1:16 {4 7} 1:8 {#4 dim7} 1:8 {1 7} 1:8 {6 7b9} 1:8 {2 m7} 1:8 {5 7} 1:8 {1 7} 1:4 {6 7} 1:4 {2 m7} 1:4 {5 7} 1:4",
	} {
		d, err := drill.New(drill.Settings{Figure: figure.MustParse(f), Route: cycle.By(interval.PerfectFourth).Closed(), Parts: []drill.Instrument{i}})
		if err != nil {
			t.Fatal(err)
		}
		a, err := New(d, Band{Bass: BassWalking, Chords: CompingWhole, Drone: true})
		if err != nil {
			t.Fatal(err)
		}
		for n := range 2 {
			s := a.statements[n]
			for k := s.first; k < s.end; k++ {
				c := a.changes[k]
				fmt.Print(c.chord, " ", c.bass, " ", c.voicing, "; ")
			}
			fmt.Println()
			for _, x := range a.AppendStatement(nil, n, 0, s.length) {
				if x.Layer == LayerBass {
					fmt.Print(x.Key, " ")
				}
			}
			fmt.Println()
		}
	}
}

func BenchmarkBlues(b *testing.B) {
	i, _ := drill.Find("trumpet", drill.LevelFull)
	d, err := drill.New(drill.Settings{Figure: figure.MustParse("{1 7} 1:8 {4 7} 1:8 {1 7} 1:16 {4 7} 1:8 {#4 dim7} 1:8 {1 7} 1:8 {6 7b9} 1:8 {2 m7} 1:8 {5 7} 1:8 {1 7} 1:4 {6 7} 1:4 {2 m7} 1:4 {5 7} 1:4"), Route: cycle.By(interval.PerfectFourth).Closed(), Parts: []drill.Instrument{i}})
	if err != nil {
		b.Fatal(err)
	}
	for range b.N {
		New(d, Band{Bass: BassWalking, Chords: CompingWhole, Drone: true})
	}
}
