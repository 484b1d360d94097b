//go:build exercise

package figures_test

import (
	"slices"
	"testing"

	. "example.com/keyorder/examples/exercises/09-figures"
	"pgregory.net/rapid"
)

func TestExamples(t *testing.T) {
	// Read off a keyboard by hand.
	for _, c := range []struct {
		text   string
		figure []Degree
		tonic  int
		want   []int
	}{
		{"3 5 1 6 in C", []Degree{{3, 0}, {5, 0}, {1, 0}, {6, 0}}, 60, []int{64, 67, 60, 69}},
		{"3 5 1 6 in F", []Degree{{3, 0}, {5, 0}, {1, 0}, {6, 0}}, 65, []int{69, 72, 65, 74}},
		{"5 2 b3 8 in D", []Degree{{5, 0}, {2, 0}, {3, -1}, {8, 0}}, 62, []int{69, 64, 65, 74}},
		{"#4 9 14 in B♭", []Degree{{4, 1}, {9, 0}, {14, 0}}, 58, []int{64, 72, 81}},
	} {
		if got := play(t, c.figure, c.tonic); !slices.Equal(got, c.want) {
			t.Errorf("%s: got %v, want %v", c.text, got, c.want)
		}
	}
}

var (
	degree = rapid.Custom(func(t *rapid.T) Degree {
		return Degree{rapid.IntRange(1, 21).Draw(t, "number"), rapid.IntRange(-1, 1).Draw(t, "accidental")}
	})
	figure = rapid.SliceOfN(degree, 1, 8)
	tonic  = rapid.IntRange(36, 84)
)

// play calls Play, and says of what if it panics.
func play(t interface{ Fatalf(string, ...any) }, f []Degree, tonic int) []int {
	keys := func() []int {
		defer func() {
			if p := recover(); p != nil {
				t.Fatalf("Play(%v, %d) panics: %v", f, tonic, p)
			}
		}()
		return Play(f, tonic)
	}()
	if len(keys) != len(f) {
		t.Fatalf("Play(%v, %d) has %d keys, want one for each of the %d notes", f, tonic, len(keys), len(f))
	}
	return keys
}

// The same figure on another tonic is the same figure, all of it moved.
func TestTransposing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f, from, n := figure.Draw(t, "figure"), tonic.Draw(t, "tonic"), rapid.IntRange(-12, 12).Draw(t, "half steps")
		here, there := play(t, f, from), play(t, f, from+n)
		for i := range here {
			if there[i]-here[i] != n {
				t.Fatalf("note %d of %v is %d on %d and %d on %d: it should have moved by %d half steps, as the tonic did", i+1, f, here[i], from, there[i], from+n, n)
			}
		}
	})
}

func TestOctaves(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d, on := degree.Draw(t, "degree"), tonic.Draw(t, "tonic")
		low, high := play(t, []Degree{d}, on)[0], play(t, []Degree{{d.Number + 7, d.Accidental}}, on)[0]
		if high-low != 12 {
			t.Fatalf("%d and %d on %d are %d half steps apart, want an octave, 12", d.Number, d.Number+7, on, high-low)
		}
	})
}

func TestAccidentals(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d, on := degree.Draw(t, "degree"), tonic.Draw(t, "tonic")
		plain, moved := play(t, []Degree{{d.Number, 0}}, on)[0], play(t, []Degree{d}, on)[0]
		if moved-plain != d.Accidental {
			t.Fatalf("an accidental of %d moves note %d by %d half steps", d.Accidental, d.Number, moved-plain)
		}
	})
}
