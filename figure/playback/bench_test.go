package playback

import (
	"testing"

	"example.com/keyorder/pitch"
)

// BenchmarkEvents walks everything of a line of two parts.
// BenchmarkEventsPlain does the arithmetic of the same events with plain
// integers, from statements that are worked out before.

func BenchmarkEvents(b *testing.B) {
	l := mustLine(b, Options{}, repeated(b, 10))
	var sum Time
	b.ReportAllocs()
	for range b.N {
		sum = 0
		for e := range l.Events() {
			sum += e.Time + Time(e.Key)
		}
	}
	if want := plainSum(plainStatements(l)); sum != want {
		b.Fatalf("the sum is %d, plain %d", sum, want)
	}
}

func BenchmarkEventsPlain(b *testing.B) {
	statements := plainStatements(mustLine(b, Options{}, repeated(b, 10)))
	for range b.N {
		plainSum(statements)
	}
}

type plainStatement struct {
	downbeat, bars Time
	keys           []pitch.Number // those of the cue and of the answer, or of a held return
}

func plainStatements(l *Line) []plainStatement {
	var out []plainStatement
	for p := range l.Parts() {
		for s := range l.Drill(0).Statements(p) {
			st := plainStatement{downbeat: 3840 + ticks(s.Onset), bars: ticks(s.Length) / 3840}
			for _, e := range s.Events() {
				st.keys = append(st.keys, s.SoundingNumber(e.Note))
			}
			out = append(out, st)
		}
	}
	return out
}

// plainSum adds the times of all events and the keys of the notes, for a
// figure of four eighths with its answer a bar later.
func plainSum(statements []plainStatement) (sum Time) {
	sum += 960 + 1920 + 2880 // the count-in
	for n, s := range statements {
		sum += s.downbeat + Time(s.keys[0]) // cue or held return
		if len(s.keys) > 1 {
			for k, key := range s.keys {
				sum += s.downbeat + 3840 + Time(k)*480 + Time(key)
			}
		}
		if n >= len(statements)/2 { // clicks are there once, not for each part
			continue
		}
		if n%5 == 0 {
			sum += s.downbeat // the section
		}
		for beat := range 4 * s.bars {
			sum += s.downbeat + beat*960
		}
	}
	return sum
}
