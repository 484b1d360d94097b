package outside

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/listening"
	"example.com/keyorder/interval"
	"example.com/keyorder/outside/takes"
	"example.com/keyorder/pitch"
	"example.com/keyorder/spelling"
)

var ideas = flag.Int("ideas", 24, "random ideas in the trial of ideas")

// TestIdeas has random one-bar ideas played on sampled instruments, each once and
// to a count, and reads them as figures. The last note's length does not count.
func TestIdeas(t *testing.T) {
	dir := *soundCache
	if dir == "" {
		dir = t.TempDir()
	} else if err := os.MkdirAll(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	names := []string{"flute", "clarinet", "trumpet", "alto saxophone", "guitar", "piano"}
	count, right := map[string]int{}, map[string]int{}
	for n := range *ideas {
		r := rand.New(rand.NewPCG(*firstSeed+uint64(n), 11))
		name := names[n%len(names)]
		i, err := drill.Find(name, drill.LevelComfortable)
		if err != nil {
			t.Fatal(err)
		}
		rhythm := []string{"eighths", "dotted", "triplets", "sixteenths", "rests"}[n/len(names)%5]
		tempo := 60 + r.IntN(81)
		f := idea(t, r, rhythm)
		low := i.Low.Up(i.Sounding).Number()
		tonic := figure.Major.Tonics()[(low + pitch.Number(r.IntN(8))).Class()].In(0)
		for tonic.Number() < low {
			tonic = tonic.Up(interval.Octave)
		}
		var notes []takes.Sounding
		whole := 4 * 60e9 / float64(tempo)
		for _, e := range f.In(tonic) {
			on := 500*time.Millisecond + time.Duration(float64(e.Onset)/192*whole+4e7*r.Float64()-2e7)
			notes = append(notes, takes.Sounding{On: on, Off: on + time.Duration((0.8+0.15*r.Float64())*float64(e.Length)/192*whole), Key: e.Note.Number(), Cents: 20*r.Float64() - 10, Loud: 90})
		}
		set := []string{"fluid", "timgm"}[r.IntN(2)]
		sound, err := takes.Render(dir, fmt.Sprintf("idea-%d-%s", *firstSeed+uint64(n), set), set, notes, i.Program, false)
		if err != nil {
			t.Fatal(err)
		}
		var heard []listening.Note
		ear, err := listening.NewEar(takes.Rate, i.Low.Up(i.Sounding).Number(), i.High.Up(i.Sounding).Number(), func(n listening.Note) {
			if k := len(heard) - 1; k >= 0 && heard[k].On == n.On {
				heard[k] = n
				return
			}
			heard = append(heard, n)
		})
		if err != nil {
			t.Fatal(err)
		}
		ear.Write(sound)
		ear.Close()
		got, err := listening.Idea(heard, listening.Asking{Tempo: float64(tempo), Key: tonic.Name(), InKey: true})
		rows := []string{rhythm, "all", name}
		if rhythm == "eighths" && isWind(name) {
			rows = append(rows, "eighths, winds")
		}
		same := err == nil && sameIdea(f, tonic, got.Figure, got.Tonic)
		for _, row := range rows {
			if count[row]++; same {
				right[row]++
			}
		}
		if !same && *verbose {
			t.Logf("%s %s %d at %d, %s: %v is read as %v, %v%s", name, set, *firstSeed+uint64(n), tempo, rhythm, f, got.Figure, err, besides(notes, heard, 0, time.Hour))
		}
	}
	var lines []string
	for rhythm, n := range count {
		lines = append(lines, fmt.Sprintf("%-14s %3d of %3d, %3.0f %%", rhythm, right[rhythm], n, 100*float64(right[rhythm])/float64(n)))
	}
	slices.Sort(lines)
	t.Logf("exactly right\n%s", strings.Join(lines, "\n"))
	for row, goal := range map[string]float64{"all": 0.85, "eighths, winds": 0.95} {
		most := int((1 - goal) * float64(count[row]))
		if !*whole {
			most = takes.Most(count[row], 1-goal, 0.99)
		}
		if wrong := count[row] - right[row]; wrong > most {
			t.Errorf("%s: %d of %d are wrong, where %d may be", row, wrong, count[row], most)
		}
	}
}

// idea draws a bar.
func idea(t *testing.T, r *rand.Rand, rhythm string) figure.Figure {
	q, e, s := figure.Quarter, figure.Eighth, figure.Sixteenth
	beats := map[string][][]figure.Length{
		"eighths":    {{e, e}, {q}, {e, e}},
		"dotted":     {{e + s, s}, {q}, {e, e}},
		"triplets":   {{q / 3, q / 3, q / 3}, {q}, {e, e}},
		"sixteenths": {{s, s, s, s}, {e, s, s}, {q}, {e, e}},
		"rests":      {{e, -e}, {e, e}, {q}},
	}[rhythm]
	var items []figure.Item
	step := 0
	for range 4 {
		for _, l := range beats[r.IntN(len(beats))] {
			it := figure.Item{Length: max(l, -l)}
			if l > 0 {
				step = (step + 1 + r.IntN(5)) % 7 // no note twice
				it.Degrees = []figure.Degree{{Step: int8(step)}}
			}
			items = append(items, it)
		}
	}
	f, err := figure.New(figure.Major, 0, 0, items...)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// sameIdea reports whether two figures are one in sound, but for how long the
// last note is.
func sameIdea(f figure.Figure, a spelling.Note, g figure.Figure, b spelling.Note) bool {
	x, y := f.In(a), g.In(b)
	if len(x) != len(y) {
		return false
	}
	for n := range x {
		if x[n].Onset-x[0].Onset != y[n].Onset-y[0].Onset || x[n].Note.Number() != y[n].Note.Number() || n+1 < len(x) && x[n].Length != y[n].Length {
			return false
		}
	}
	return true
}
