//go:build exercise

package cycles_test

import (
	"slices"
	"testing"

	. "example.com/keyorder/examples/exercises/03-cycles"
	"pgregory.net/rapid"
)

func TestExamples(t *testing.T) {
	// Counted by hand on the face of a clock.
	for _, c := range []struct {
		first, step int
		want        []int
	}{
		{0, 3, []int{0, 3, 6, 9}},
		{1, 4, []int{1, 5, 9}},
		{2, 6, []int{2, 8}},
		{0, -2, []int{0, 10, 8, 6, 4, 2}},
		{7, 0, []int{7}},
		{0, 5, []int{0, 5, 10, 3, 8, 1, 6, 11, 4, 9, 2, 7}},
	} {
		if got := Cycle(c.first, c.step); !slices.Equal(got, c.want) {
			t.Errorf("Cycle(%d, %d) = %v, want %v", c.first, c.step, got, c.want)
		}
	}
}

func cycle(t *rapid.T) (first, step int, keys []int) {
	first, step = rapid.IntRange(0, 11).Draw(t, "first"), rapid.IntRange(-30, 30).Draw(t, "step")
	if keys = Cycle(first, step); len(keys) == 0 {
		t.Fatalf("Cycle(%d, %d) is empty: it has the first key at least", first, step)
	}
	return first, step, keys
}

func TestEachStepIsTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		first, step, keys := cycle(t)
		for n, k := range keys {
			next := keys[(n+1)%len(keys)] // after the last comes the first
			if (next-k-step)%12 != 0 {
				t.Fatalf("Cycle(%d, %d) = %v: from %d to %d is no step of %d", first, step, keys, k, next, step)
			}
		}
	})
}

func TestNoKeyComesTwice(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		first, step, keys := cycle(t)
		seen := map[int]bool{}
		for _, k := range keys {
			if k < 0 || k > 11 {
				t.Fatalf("Cycle(%d, %d) = %v: %d is no key from 0 to 11", first, step, keys, k)
			}
			if seen[k] {
				t.Fatalf("Cycle(%d, %d) = %v: key %d comes twice", first, step, keys, k)
			}
			seen[k] = true
		}
	})
}

// The length of a cycle divides 12, and does not depend on where it begins.
func TestLength(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		first, step, keys := cycle(t)
		if 12%len(keys) != 0 {
			t.Fatalf("Cycle(%d, %d) has %d keys, which does not divide 12", first, step, len(keys))
		}
		if other := Cycle((first+1)%12, step); len(other) != len(keys) {
			t.Fatalf("Cycle(%d, %d) has %d keys, from the next key it has %d", first, step, len(keys), len(other))
		}
	})
}

func TestDownIsUpBackwards(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		first, step, up := cycle(t)
		down := Cycle(first, -step)
		want := slices.Clone(up)
		slices.Reverse(want[1:])
		if !slices.Equal(down, want) {
			t.Fatalf("Cycle(%d, %d) = %v, but Cycle(%d, %d) = %v: the way down is the way up backwards, from the same key", first, step, up, first, -step, down)
		}
	})
}
