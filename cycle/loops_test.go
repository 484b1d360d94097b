package cycle_test

import (
	"slices"
	"testing"

	. "example.com/keyorder/cycle"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"github.com/google/go-cmp/cmp"
)

// TestLawLoopsShareOutTheMoves checks that the eleven loops make each of the
// 132 moves once, from any first key (the loops were computed when the design
// was written; a set of them is a decomposition of the complete directed graph
// on twelve points into Hamiltonian cycles).
func TestLawLoopsShareOutTheMoves(t *testing.T) {
	for first := range pitch.Class(12) {
		var m Tally
		statements := 0
		for n, o := range Loops() {
			switch again, err := Of(slices.Collect(values(o))...); {
			case err != nil:
				t.Errorf("loop %d, %v, is no order of one cycle from C: %v: its keys make none", n, o, err)
			case again != o:
				t.Errorf("loop %d, %v, is no order of one cycle from C: %v: its keys make another", n, o, err)
			case o.Keys()[0] != 0:
				t.Errorf("loop %d, %v, is no order of one cycle from C: %v: it begins elsewhere", n, o, err)
			}
			m.AddAll(o.From(first).Moves(true))
			statements += o.Closed().Len()
		}
		if m.Made() != 132 || m.Total() != 132 || statements != 143 {
			t.Errorf("from %v: %d moves, %d different, %d statements", first, m.Total(), m.Made(), statements)
		}
	}
}

// TestTableLoops compares with the loops as they were found.
func TestTableLoops(t *testing.T) {
	want := []string{
		By(interval.MinorSecond).String(), By(interval.PerfectFourth).String(), By(interval.PerfectFifth).String(), By(interval.MajorSeventh).String(),
		"082T469715E3", "06T84257E139", "04T17362E958", "0268T79E5314", "0T2475193E86", "037T648591E2", "0963528E741T",
	}
	var got []string
	for _, o := range Loops() {
		got = append(got, o.String())
	}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Error(diff)
	}
}

// TestLawEveryMove checks the run of 133 statements (an Eulerian circuit of the
// complete directed graph: each key has eleven moves in and eleven out).
func TestLawEveryMove(t *testing.T) {
	for first := range pitch.Class(12) {
		r := EveryMove(first)
		sections := slices.Collect(r.Sections())
		again, err := NewRoute(sections...)
		switch {
		case err != nil:
			t.Fatalf("from %v: %v, %v: its sections make no route", first, r, err)
		case !again.Equal(r):
			t.Fatalf("from %v: %v, %v: its sections make another", first, r, err)
		case !r.Equal(EveryMove(first)):
			t.Fatalf("from %v: %v, %v: made again it is another", first, r, err)
		case !r.Equal(EveryMove(first + 12)):
			t.Fatalf("from %v: %v, %v: from the same key an octave up it is another", first, r, err)
		}
		switch {
		case len(sections) != 1:
			t.Errorf("from %v: %v, %d statements: %d sections", first, r, r.Len(), len(sections))
		case sections[0].Closed:
			t.Errorf("from %v: %v, %d statements: it is closed", first, r, r.Len())
		case r.Len() != 133:
			t.Errorf("from %v: %v, %d statements: not 133", first, r, r.Len())
		case sections[0].Keys[0] != first:
			t.Errorf("from %v: %v, %d statements: the first is %v", first, r, r.Len(), sections[0].Keys[0])
		case sections[0].Keys[132] != first:
			t.Errorf("from %v: %v, %d statements: the last is %v", first, r, r.Len(), sections[0].Keys[132])
		}
		var m Tally
		m.AddAll(r.Moves())
		if m.Made() != 132 || m.Total() != 132 {
			t.Errorf("from %v: %d moves, %d different", first, m.Total(), m.Made())
		}
		for n := 0; n < 132; n += 12 {
			if _, err := Of(sections[0].Keys[n : n+12]...); err != nil {
				t.Errorf("from %v: statements %d to %d: %v", first, n+1, n+12, err)
			}
		}
	}
}
