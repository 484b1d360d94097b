//go:build exercise

package clock_test

import (
	"testing"

	. "example.com/keyorder/examples/exercises/02-clock"
	"pgregory.net/rapid"
)

var (
	anyTurn = rapid.IntRange(-40, 40)
	anyKey  = rapid.IntRange(0, 11)
)

func TestExamples(t *testing.T) {
	// Counted by hand on the face of a clock.
	for _, c := range []struct{ n, key, turned, flipped int }{
		{0, 0, 0, 0}, {0, 4, 4, 8}, {5, 9, 2, 8}, {-3, 1, 10, 8}, {12, 7, 7, 5},
	} {
		if got := T(c.n, c.key); got != c.turned {
			t.Errorf("T(%d, %d) = %d, want %d: go %d round the clock from %d", c.n, c.key, got, c.turned, c.n, c.key)
		}
		if got := I(c.n, c.key); got != c.flipped {
			t.Errorf("I(%d, %d) = %d, want %d: %d below 0, then %d round the clock", c.n, c.key, got, c.flipped, c.key, c.n)
		}
	}
}

func TestTurnsAdd(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, n, c := anyTurn.Draw(t, "m"), anyTurn.Draw(t, "n"), anyKey.Draw(t, "key")
		if got := T(n, c); got < 0 || got > 11 {
			t.Fatalf("T(%d, %d) = %d, want a key from 0 to 11", n, c, got)
		}
		if got, want := T(m, T(n, c)), T(m+n, c); got != want {
			t.Fatalf("key %d turned by %d and then by %d is %d, but turned by %d it is %d", c, n, m, got, m+n, want)
		}
	})
}

func TestFlippingTwiceComesBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, c := anyTurn.Draw(t, "n"), anyKey.Draw(t, "key")
		if got := I(n, I(n, c)); got != c {
			t.Fatalf("I(%d, I(%d, %d)) = %d: a flip done twice brings key %d back", n, n, c, got, c)
		}
	})
}

func TestTwoFlipsAreATurn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m, n := anyTurn.Draw(t, "m"), anyTurn.Draw(t, "n")
		if got := I(n, 0); got < 0 || got > 11 {
			t.Fatalf("I(%d, 0) = %d, want a key from 0 to 11", n, got)
		}
		by := I(m, I(n, 0))
		for c := range 12 {
			if got, want := I(m, I(n, c)), T(by, c); got != want {
				t.Fatalf("flips by %d and then %d take key 0 to %d and key %d to %d: the same turn would take it to %d", n, m, by, c, got, want)
			}
		}
	})
}

// There are twelve turns and twelve flips, and no two of the 24 do the same.
func TestTwentyFour(t *testing.T) {
	seen := map[[12]int]bool{}
	for n := range 12 {
		var turned, flipped [12]int
		for c := range 12 {
			turned[c], flipped[c] = T(n, c), I(n, c)
		}
		seen[turned], seen[flipped] = true, true
	}
	if len(seen) != 24 {
		t.Errorf("the twelve turns and the twelve flips do %d different things, want 24", len(seen))
	}
}
