package staff

import (
	"errors"
	"io"
	"testing"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/notation"
	"example.com/keyorder/interval"
)

// elevenOrders is the score of a figure through the eleven orders, 160
// statements, each followed by a bar of rest.
func elevenOrders(b *testing.B) *notation.Score {
	b.Helper()
	var drills []*drill.Drill
	for semitones := 1; semitones <= 11; semitones++ {
		d, err := drill.New(drill.Settings{
			Title: "By one interval", Figure: figure.MustParse("1:3 5 4 2 3:2"),
			Route: cycle.By(interval.Of(0, semitones)).Closed(), Parts: []drill.Instrument{part(b, "flute")},
		})
		if err != nil {
			b.Fatal(err)
		}
		drills = append(drills, d)
	}
	score, err := notation.New(drills, notation.Options{})
	if err != nil {
		b.Fatal(err)
	}
	return score
}

// BenchmarkBars walks the bars that BenchmarkSystems and BenchmarkPages draw.
func BenchmarkBars(b *testing.B) {
	score := elevenOrders(b)
	b.ReportAllocs()
	b.ResetTimer()
	for range b.N {
		for range score.PartBars(score.Parts()[0]) {
		}
	}
}

func benchmark(b *testing.B, draw func(*Layout) error) {
	score := elevenOrders(b)
	b.ReportAllocs()
	b.ResetTimer()
	for range b.N {
		l, err := New(score, score.Parts()[0], Options{})
		if err != nil {
			b.Fatal(err)
		}
		if err := draw(l); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkNew(b *testing.B) { benchmark(b, func(*Layout) error { return nil }) }

func BenchmarkSystems(b *testing.B) {
	benchmark(b, func(l *Layout) (err error) {
		for s := range l.Systems() {
			err = errors.Join(err, s.WriteSVG(io.Discard))
		}
		return err
	})
}

func BenchmarkPages(b *testing.B) {
	benchmark(b, func(l *Layout) (err error) {
		for p := range l.Pages() {
			err = errors.Join(err, p.WriteSVG(io.Discard))
		}
		return err
	})
}
