package playback_test

import (
	"testing"

	. "example.com/keyorder/figure/playback"
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
		for e := range l.Events(0) {
			switch e.Kind {
			case KindClick:
				sum += e.Time
			case KindNoteOn:
				sum += e.Time + Time(e.Note.Key)
			}
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
	cue            Time           // its tonic and the time it is heard at; 0 after a held return, which leaves no rest
	keys           []pitch.Number // those of the answer
}

func plainStatements(l *Line) []plainStatement {
	var out []plainStatement
	for _, p := range l.Parts() {
		held := false
		for s := range p.Statements() {
			st := plainStatement{downbeat: 3840 + TimeOf(s.Onset), bars: TimeOf(s.Length) / 3840}
			if !held {
				st.cue = st.downbeat - 960 + Time(s.Sounding.Number())
			}
			held = s.Held
			for _, e := range s.Events() {
				st.keys = append(st.keys, s.SoundingNumber(e.Note))
			}
			out = append(out, st)
		}
	}
	return out
}

// plainSum adds the times of all clicks and notes and the keys of the notes, for
// a figure of four eighths with its answer a bar later.
func plainSum(statements []plainStatement) (sum Time) {
	sum += 960 + 1920 + 2880 // the count-in
	for n, s := range statements {
		sum += s.cue
		for k, key := range s.keys {
			sum += s.downbeat + 3840 + Time(k)*480 + Time(key)
		}
		if n >= len(statements)/2 { // clicks are there once, not for each part
			continue
		}
		for beat := range 4 * s.bars {
			sum += s.downbeat + beat*960
		}
	}
	return sum
}
