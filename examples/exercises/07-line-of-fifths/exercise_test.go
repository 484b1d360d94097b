//go:build exercise

package fifths_test

import (
	"testing"

	. "example.com/keyorder/examples/exercises/07-line-of-fifths"
)

// The fifteen major keys and their signatures: Robert Hutchinson, Music Theory
// for the 21st-Century Classroom (open textbook), chapter Major Scales and Key
// Signatures.
var keys = []string{"Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#"}

func TestSignatures(t *testing.T) {
	for n, k := range keys {
		if got, ok := Place(k); got != n-7 || !ok {
			t.Errorf("Place(%q) = %d, %t, want %d, true: that many sharps in %s major, or flats where it is negative", k, got, ok, n-7, k)
		}
	}
}

func TestFurtherOut(t *testing.T) {
	// Counted on from C♯ and back from C♭ by hand.
	for name, want := range map[string]int{"G#": 8, "Fb": -8, "B#": 12, "Bbb": -9, "Fx": 13, "F##": 13, "Abb": -11} {
		if got, ok := Place(name); got != want || !ok {
			t.Errorf("Place(%q) = %d, %t, want %d, true", name, got, ok, want)
		}
	}
}

// A sharp is seven places to the right, a flat seven to the left.
func TestAccidentals(t *testing.T) {
	for _, letter := range []string{"F", "C", "G", "D", "A", "E", "B"} {
		plain, ok := Place(letter)
		if !ok {
			t.Errorf("Place(%q) is not ok", letter)
			continue
		}
		for accidental, want := range map[string]int{"#": 7, "b": -7, "##": 14, "x": 14, "bb": -14} {
			if got, _ := Place(letter + accidental); got-plain != want {
				t.Errorf("from %s to %s are %d places, want %d", letter, letter+accidental, got-plain, want)
			}
		}
	}
}

func TestNoNames(t *testing.T) {
	if _, ok := Place("C"); !ok {
		t.Error(`Place("C") is not ok`)
	}
	for _, text := range []string{"", "H", "c", "#", "C!", "Cb#", "C flat"} {
		if got, ok := Place(text); ok {
			t.Errorf("Place(%q) = %d, true, want false: it is no name", text, got)
		}
	}
}
