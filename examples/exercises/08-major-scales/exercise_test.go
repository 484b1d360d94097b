//go:build exercise

package scales_test

import (
	"strings"
	"testing"

	. "example.com/keyorder/examples/exercises/08-major-scales"
)

// The fifteen major scales: Robert Hutchinson, Music Theory for the 21st-Century
// Classroom (open textbook), chapter Major Scales and Key Signatures; E♭ and the
// others that are named there checked with Catherine Schmidt-Jones, Understanding
// Basic Music Theory, chapter The Circle of Fifths.
var table = []string{
	"Cb Db Eb Fb Gb Ab Bb", "Gb Ab Bb Cb Db Eb F", "Db Eb F Gb Ab Bb C", "Ab Bb C Db Eb F G",
	"Eb F G Ab Bb C D", "Bb C D Eb F G A", "F G A Bb C D E", "C D E F G A B", "G A B C D E F#",
	"D E F# G A B C#", "A B C# D E F# G#", "E F# G# A B C# D#", "B C# D# E F# G# A#",
	"F# G# A# B C# D# E#", "C# D# E# F# G# A# B#",
}

func TestTable(t *testing.T) {
	for _, want := range table {
		tonic, _, _ := strings.Cut(want, " ")
		if got := strings.Join(Major(tonic), " "); got != want {
			t.Errorf("Major(%q) = %s, want %s", tonic, got, want)
		}
	}
}

func TestEachLetterOnce(t *testing.T) {
	for _, row := range table {
		tonic, _, _ := strings.Cut(row, " ")
		names := Major(tonic)
		if len(names) != 7 {
			t.Errorf("Major(%q) has %d names, want 7", tonic, len(names))
			continue
		}
		letters := map[byte]bool{}
		for _, n := range names {
			if n == "" {
				t.Fatalf("Major(%q) = %q has a name without a letter", tonic, names)
			}
			letters[n[0]] = true
		}
		if len(letters) != 7 {
			t.Errorf("Major(%q) = %v has %d letters, want each of the seven", tonic, names, len(letters))
		}
	}
}

// The scale a fifth up has the same notes but for its seventh, which is raised.
func TestAFifthUp(t *testing.T) {
	for n := range len(table) - 1 {
		tonic, _, _ := strings.Cut(table[n], " ")
		up, _, _ := strings.Cut(table[n+1], " ")
		here, there := Major(tonic), Major(up)
		common := 0
		for _, a := range here {
			for _, b := range there {
				if a == b {
					common++
				}
			}
		}
		if common != 6 {
			t.Errorf("%s and %s major have %d names in common, want 6", tonic, up, common)
		}
	}
}
