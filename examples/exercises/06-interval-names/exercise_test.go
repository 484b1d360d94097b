//go:build exercise

package names_test

import (
	"strings"
	"testing"

	. "example.com/keyorder/examples/exercises/06-interval-names"
)

// From the summary table of Catherine Schmidt-Jones, Understanding Basic Music
// Theory, chapter Interval, and the table of Open Music Theory, chapter Intervals
// and dyads (both open textbooks): name, letters, half steps.
var table = []struct {
	name               string
	letters, halfSteps int
}{
	{"P1", 0, 0}, {"A1", 0, 1}, {"d2", 1, 0}, {"m2", 1, 1}, {"M2", 1, 2}, {"A2", 1, 3},
	{"d3", 2, 2}, {"m3", 2, 3}, {"M3", 2, 4}, {"A3", 2, 5}, {"d4", 3, 4}, {"P4", 3, 5}, {"A4", 3, 6},
	{"d5", 4, 6}, {"P5", 4, 7}, {"A5", 4, 8}, {"d6", 5, 7}, {"m6", 5, 8}, {"M6", 5, 9}, {"A6", 5, 10},
	{"d7", 6, 9}, {"m7", 6, 10}, {"M7", 6, 11}, {"A7", 6, 12}, {"d8", 7, 11}, {"P8", 7, 12},
}

// name calls Name, and says of what if it panics.
func name(t *testing.T, letters, halfSteps int) string {
	defer func() {
		if p := recover(); p != nil {
			t.Fatalf("Name(%d, %d) panics: %v", letters, halfSteps, p)
		}
	}()
	return Name(letters, halfSteps)
}

func TestTable(t *testing.T) {
	for _, c := range table {
		if got := name(t, c.letters, c.halfSteps); got != c.name {
			t.Errorf("Name(%d, %d) = %q, want %q", c.letters, c.halfSteps, got, c.name)
		}
	}
}

func TestNothingElseHasAName(t *testing.T) {
	if name(t, 4, 7) == "" {
		t.Fatal("not even the perfect fifth has a name yet")
	}
	names := map[[2]int]bool{{0, -1}: true, {7, 13}: true} // d1 and A8 are in dispute or rare
	for _, c := range table {
		names[[2]int{c.letters, c.halfSteps}] = true
	}
	for letters := -2; letters <= 9; letters++ {
		for halfSteps := -3; halfSteps <= 16; halfSteps++ {
			if got := name(t, letters, halfSteps); got != "" && !names[[2]int{letters, halfSteps}] {
				t.Errorf("Name(%d, %d) = %q, want no text: it has none of the five qualities, or is wider than an octave", letters, halfSteps, got)
			}
		}
	}
}

// An interval and its inversion make an octave: their numbers add up to nine,
// minor becomes major, diminished becomes augmented, perfect stays perfect.
func TestInversion(t *testing.T) {
	other := map[byte]byte{'P': 'P', 'm': 'M', 'M': 'm', 'A': 'd', 'd': 'A'}
	for _, c := range table {
		if c.name == "A1" || c.name == "d8" || c.name == "A7" || c.name == "d2" {
			continue // their inversions stand at the edge of the octave
		}
		got, inverted := name(t, c.letters, c.halfSteps), name(t, 7-c.letters, 12-c.halfSteps)
		if got == "" || inverted == "" {
			t.Fatalf("%s or its inversion has no name yet", c.name)
		}
		if inverted[0] != other[got[0]] || int(got[1]-'0')+int(inverted[1]-'0') != 9 {
			t.Errorf("%s turned over is %s, want %c%d", got, inverted, other[got[0]], 9-int(got[1]-'0'))
		}
	}
}

// A half step wider, on the same letters, goes one quality up.
func TestWider(t *testing.T) {
	for _, c := range table {
		scale := "dmMA"
		if strings.Contains("1458", c.name[1:]) {
			scale = "dPA"
		}
		got, wider := name(t, c.letters, c.halfSteps), name(t, c.letters, c.halfSteps+1)
		if got == "" {
			t.Fatalf("%s has no name yet", c.name)
		}
		at := strings.IndexByte(scale, got[0])
		if at >= 0 && at+1 < len(scale) && wider != "" && wider[0] != scale[at+1] {
			t.Errorf("a half step wider than %s is %s, want %c%s", got, wider, scale[at+1], got[1:])
		}
	}
}
