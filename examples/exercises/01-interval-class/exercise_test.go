//go:build exercise

package intervalclass_test

import (
	"testing"

	. "example.com/keyorder/examples/exercises/01-interval-class"
	"pgregory.net/rapid"
)

func TestExamples(t *testing.T) {
	// By the definition in the exercise: the shorter way round, counted by hand.
	for _, c := range []struct{ a, b, want int }{
		{60, 60, 0}, {60, 61, 1}, {60, 67, 5}, {60, 66, 6}, {60, 72, 0}, {71, 60, 1}, {-1, 12, 1}, {62, 57, 5},
	} {
		if got := Class(c.a, c.b); got != c.want {
			t.Errorf("Class(%d, %d) = %d, want %d: count the half steps up and down without octaves, take the fewer", c.a, c.b, got, c.want)
		}
	}
}

var key = rapid.IntRange(-200, 200)

func class(t *rapid.T, a, b int) int {
	got := Class(a, b)
	if got < 0 || got > 6 {
		t.Fatalf("Class(%d, %d) = %d: there is always a way of 6 half steps or fewer, and none of fewer than 0", a, b, got)
	}
	return got
}

func TestNeverMoreThanATritone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := key.Draw(t, "a"), key.Draw(t, "b")
		class(t, a, b)
	})
}

func TestBothWaysAreOne(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := key.Draw(t, "a"), key.Draw(t, "b")
		if there, back := class(t, a, b), class(t, b, a); there != back {
			t.Fatalf("Class(%d, %d) = %d but Class(%d, %d) = %d: there and back are as far", a, b, there, b, a, back)
		}
	})
}

func TestOctavesDoNotCount(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b, octaves := key.Draw(t, "a"), key.Draw(t, "b"), rapid.IntRange(-5, 5).Draw(t, "octaves")
		if near, far := class(t, a, b), class(t, a, b+12*octaves); near != far {
			t.Fatalf("Class(%d, %d) = %d but %d octaves on it is %d: a letter is the same in every octave", a, b, near, octaves, far)
		}
	})
}

func TestMovingBothChangesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b, n := key.Draw(t, "a"), key.Draw(t, "b"), rapid.IntRange(-30, 30).Draw(t, "half steps")
		if here, there := class(t, a, b), class(t, a+n, b+n); here != there {
			t.Fatalf("Class(%d, %d) = %d, but with both %d half steps on it is %d", a, b, here, n, there)
		}
	})
}
