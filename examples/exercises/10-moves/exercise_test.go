//go:build exercise

package moves_test

import (
	"slices"
	"testing"

	. "example.com/keyorder/examples/exercises/10-moves"
)

func TestExamples(t *testing.T) {
	// By minor thirds: C E♭ G♭ A, D♭ E G B♭, D F A♭ B, counted by hand.
	want := []Move{
		{0, 3}, {3, 6}, {6, 9}, {9, 0}, {1, 4}, {4, 7}, {7, 10}, {10, 1}, {2, 5}, {5, 8}, {8, 11}, {11, 2},
	}
	if got := Moves(3, true); !slices.Equal(got, want) {
		t.Errorf("Moves(3, true) = %v, want %v", got, want)
	}
	want = []Move{{0, 6}, {1, 7}, {2, 8}, {3, 9}, {4, 10}, {5, 11}}
	if got := Moves(6, false); !slices.Equal(got, want) {
		t.Errorf("Moves(6, false) = %v, want %v: not closed, a tritone makes one move a cycle", got, want)
	}
}

func TestEachMoveIsTheStep(t *testing.T) {
	for step := 1; step <= 11; step++ {
		moves := Moves(step, true)
		if len(moves) != 12 {
			t.Fatalf("Moves(%d, true) has %d moves, want 12: one from each key", step, len(moves))
		}
		for _, m := range moves {
			if (m.To-m.From-step)%12 != 0 {
				t.Errorf("Moves(%d, true): from %d to %d is no step of %d", step, m.From, m.To, step)
			}
		}
	}
}

func TestEveryMoveOnce(t *testing.T) {
	times := map[Move]int{}
	for step := 1; step <= 11; step++ {
		for _, m := range Moves(step, true) {
			times[m]++
		}
	}
	for from := range 12 {
		for to := range 12 {
			if n := times[Move{from, to}]; from != to && n != 1 {
				t.Fatalf("the eleven closed orders go from %d to %d %d times, want once", from, to, n)
			}
		}
	}
}

func TestMissing(t *testing.T) {
	if got := Missing(true); got != 0 {
		t.Errorf("Missing(true) = %d, want 0", got)
	}
	// 12 moves less one for each cycle; 1+2+3+4+1+6+1+4+3+2+1 = 28 cycles.
	if got := Missing(false); got != 28 {
		t.Errorf("Missing(false) = %d, want 28: every cycle that is not closed leaves one move out", got)
	}
}
