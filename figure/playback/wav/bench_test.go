package wav

import (
	"io"
	"math"
	"testing"
	"time"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/interval"
)

// BenchmarkWrite renders a drill in answer mode for one part;
// BenchmarkWritePlain adds up the partials of the same notes with a sine for
// each sample. The ratio to real time is reported.

func benchmarkLine(b *testing.B) *playback.Line {
	return mustLine(b, playback.Options{}, drill.Settings{Figure: figure.MustParse("1:3 5 4 2 3:2"), Route: cycle.By(interval.MinorThird).Closed()})
}

func BenchmarkWrite(b *testing.B) {
	l := benchmarkLine(b)
	b.ReportAllocs()
	for range b.N {
		if err := Write(io.Discard, l, Options{}); err != nil {
			b.Fatal(err)
		}
	}
	realTime(b, l)
}

func BenchmarkWritePlain(b *testing.B) {
	l := benchmarkLine(b)
	for range b.N {
		out := make([]float64, int(l.Duration().Seconds()*44100)+1)
		for e := range l.Events(0) {
			if e.Kind != playback.KindNoteOn {
				continue
			}
			from, to := l.At(e.Note.On).Seconds(), l.At(e.Note.Off).Seconds()
			for n := int(from * 44100); n < int(to*44100); n++ {
				t := float64(n)/44100 - from
				for k := 1.0; k <= maxPartials; k++ {
					out[n] += math.Sin(2*math.Pi*k*e.Note.Key.Hertz(440)*t) * math.Exp(-k*t)
				}
			}
		}
	}
	realTime(b, l)
}

func realTime(b *testing.B, l *playback.Line) {
	each := b.Elapsed() / time.Duration(b.N)
	b.ReportMetric(float64(l.Duration())/float64(each), "×real-time")
}
