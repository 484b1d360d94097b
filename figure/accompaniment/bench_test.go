package accompaniment

import (
	"testing"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/interval"
)

// blues is a chorus of twelve bars, as jazz players have it; the notes do not
// matter.
const blues = "{1 7} 5:8 {4 7} 1:8 {1 7} 5:16 {4 7} 1:8 {#4 dim7} 1:8 {1 7} 5:8 {6 7b9} 3:8 {2 m7} 4:8 {5 7} 2:8 {1 7} 3:4 {6 7b9} 5:4 {2 m7} 4:4 {5 7} 2:4 in mixolydian"

// BenchmarkBlues voices a blues in twelve keys and their return;
// BenchmarkBluesPlain finds the same path among plain numbers, with what one step
// costs worked out before.
func BenchmarkBlues(b *testing.B) {
	d := mustDrill(b, drill.Settings{Figure: figure.MustParse(blues), Route: cycle.By(interval.PerfectFourth).Closed(), Rest: drill.NoRest}, "trumpet")
	b.ReportAllocs()
	b.ResetTimer()
	for range b.N {
		mustNew(b, d, Band{Bass: BassWalking, Chords: CompingWhole})
	}
}

func BenchmarkBluesPlain(b *testing.B) {
	d := mustDrill(b, drill.Settings{Figure: figure.MustParse(blues), Route: cycle.By(interval.PerfectFourth).Closed(), Rest: drill.NoRest}, "trumpet")
	a := mustNew(b, d, Band{Bass: BassWalking, Chords: CompingWhole})
	var steps [][][]int // from each candidate of a change to each of the next
	for k := 1; k < len(a.changes); k++ {
		to := len(candidates(a.changes[k].classes(), lowestChord, highestChord))
		var step [][]int
		for n := range candidates(a.changes[k-1].classes(), lowestChord, highestChord) {
			step = append(step, make([]int, to))
			for m := range to {
				step[n][m] = n * m
			}
		}
		steps = append(steps, step)
	}
	b.ResetTimer()
	for range b.N {
		var ahead [16]int
		for k := len(steps) - 1; k >= 0; k-- {
			var here [16]int
			for n, row := range steps[k] {
				here[n] = 1 << 30
				for m, c := range row {
					here[n] = min(here[n], c+ahead[m])
				}
			}
			ahead = here
		}
	}
}
