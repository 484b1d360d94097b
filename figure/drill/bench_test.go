package drill_test

import (
	"testing"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	. "example.com/keyorder/figure/drill"
	"example.com/keyorder/interval"
	"example.com/keyorder/spelling"
)

// elevenOrders is a drill of all eleven orders, closed: 160 statements of four
// notes.
func elevenOrders(t testing.TB, policy spelling.Policy) *Drill {
	var routes []cycle.Route
	for semitones := 1; semitones <= 11; semitones++ {
		routes = append(routes, cycle.By(interval.Of(0, semitones)).Closed())
	}
	route, err := cycle.Concat(routes...)
	if err != nil {
		t.Fatal(err)
	}
	return newDrill(t, Settings{Figure: parseFigure(t, "1 3 2 5"), Route: route, Parts: []Instrument{find(t, "trumpet", LevelComfortable)}, Closing: ClosingFull, Policy: policy})
}

// play walks all statements of a drill with their notes.
func play(d *Drill, buf []figure.Event) (statements, notes int) {
	for s := range d.Parts()[0].Statements() {
		buf = s.AppendEvents(buf[:0])
		statements++
		notes += len(buf)
	}
	return statements, notes
}

// TestStatementsDoNotAllocate: walking 160 statements with their notes takes no
// more memory than walking 13.
func TestStatementsDoNotAllocate(t *testing.T) {
	for _, policy := range []spelling.Policy{spelling.PolicyUsual, spelling.PolicyStrict, spelling.PolicyEasy, spelling.PolicyEasyWhiteKeys} {
		long := elevenOrders(t, policy)
		if statements, notes := play(long, nil); statements != 160 || notes != 640 {
			t.Errorf("%d statements of %d notes, want 160 of 640", statements, notes)
		}
		one := long.Settings()
		one.Route = cycle.By(interval.PerfectFourth).Closed()
		short := newDrill(t, one)
		buf := make([]figure.Event, 0, 4)
		a := testing.AllocsPerRun(100, func() { play(short, buf) })
		b := testing.AllocsPerRun(100, func() { play(long, buf) })
		if a != b || a > 4 {
			t.Errorf("%v: %v allocations for 13 statements, %v for 160", policy, a, b)
		}
		// nor does a figure of many notes, respelled or not
		wide := one
		wide.Figure = parseFigure(t, "1 4 2 6 3 7 5 8 1 4 2 6 3 7 5 8 1 4 2 6 b5 bb7 #4 ##1")
		wideDrill := newDrill(t, wide)
		buf = make([]figure.Event, 0, 24)
		if n := testing.AllocsPerRun(100, func() { play(wideDrill, buf) }); n != a {
			t.Errorf("%v: %v allocations for 24 notes a statement, %v for four", policy, n, a)
		}
	}
}

// BenchmarkElevenOrders walks all statements of the eleven orders with their
// notes, BenchmarkElevenOrdersPlain does so with key numbers and times as plain
// integers, worked out beforehand.
func BenchmarkElevenOrders(b *testing.B) {
	d := elevenOrders(b, spelling.PolicyStrict)
	buf := make([]figure.Event, 0, 4)
	b.ReportAllocs()
	for range b.N {
		play(d, buf)
	}
}

func BenchmarkElevenOrdersPlain(b *testing.B) {
	d := elevenOrders(b, spelling.PolicyStrict)
	type event struct{ onset, length, note, index int }
	var tonics, onsets []int
	for s := range d.Parts()[0].Statements() {
		tonics, onsets = append(tonics, int(s.Written.Number())), append(onsets, int(s.Onset))
	}
	offsets := [...]int{0, 2, 4, 7}
	buf := make([]event, 0, 4)
	notes := 0
	b.ReportAllocs()
	for range b.N {
		for n, tonic := range tonics {
			buf = buf[:0]
			for k, o := range offsets {
				buf = append(buf, event{onsets[n] + 24*k, 24, tonic + o, k})
			}
			notes += len(buf)
		}
	}
	if notes != 640*b.N {
		b.Fatal(notes)
	}
}

func BenchmarkNew(b *testing.B) {
	s := elevenOrders(b, spelling.PolicyStrict).Settings()
	b.ReportAllocs()
	for range b.N {
		if _, err := New(s); err != nil {
			b.Fatal(err)
		}
	}
}
