//go:build exercise

package spelling_test

import (
	"fmt"
	"strings"
	"testing"

	. "example.com/keyorder/examples/exercises/05-spelling"
	"pgregory.net/rapid"
)

// Some rows of the examples of Integrated Music Theory 2019-20, an open textbook,
// lesson 2a.
func TestExamples(t *testing.T) {
	for _, c := range []struct {
		name               string
		from               Note
		letters, halfSteps int
		want               Note
	}{
		{"a minor second above A4", Note{5, 0, 4}, 1, 1, Note{6, -1, 4}},                   // B♭4
		{"a major third above C5", Note{0, 0, 5}, 2, 4, Note{2, 0, 5}},                     // E5
		{"an augmented sixth above F4", Note{3, 0, 4}, 5, 10, Note{1, 1, 5}},               // D♯5
		{"an augmented fourth below E5", Note{2, 0, 5}, -3, -6, Note{6, -1, 4}},            // B♭4
		{"a diminished second above A♯4", Note{5, 1, 4}, 1, 0, Note{6, -1, 4}},             // B♭4
		{"an augmented ninth above A2", Note{5, 0, 2}, 8, 15, Note{6, 1, 3}},               // B♯3
		{"a diminished seventh above C4", Note{0, 0, 4}, 6, 9, Note{6, -2, 4}},             // B𝄫4
		{"a major seventh above B♭3", Note{6, -1, 3}, 6, 11, Note{5, 0, 4}},                // A4
		{"a minor second above B4, across the octave", Note{6, 0, 4}, 1, 1, Note{0, 0, 5}}, // C5
	} {
		if got := up(t, c.from, c.letters, c.halfSteps); got != c.want {
			t.Errorf("%s: Up(%v, %d, %d) = %s, want %s", c.name, c.from, c.letters, c.halfSteps, text(got), text(c.want))
		}
	}
}

var note = rapid.Custom(func(t *rapid.T) Note {
	return Note{rapid.IntRange(0, 6).Draw(t, "letter"), rapid.IntRange(-2, 2).Draw(t, "accidental"), rapid.IntRange(0, 8).Draw(t, "octave")}
})

func key(n Note) int {
	return 12*n.Octave + [7]int{0, 2, 4, 5, 7, 9, 11}[n.Letter] + n.Accidental
}

// interval draws letters and half steps that go together.
func interval(t *rapid.T) (letters, halfSteps int) {
	letters = rapid.IntRange(-12, 12).Draw(t, "letters")
	return letters, letters*12/7 + rapid.IntRange(-1, 1).Draw(t, "more half steps")
}

// text writes a note as people do, and as Go does.
func text(n Note) string {
	if n.Letter < 0 || n.Letter > 6 || n.Accidental < -9 || n.Accidental > 9 {
		return fmt.Sprint(n)
	}
	sign := strings.Repeat("♯", max(n.Accidental, 0)) + strings.Repeat("♭", max(-n.Accidental, 0))
	return fmt.Sprintf("%c%s%d %v", "CDEFGAB"[n.Letter], sign, n.Octave, n)
}

// up calls Up, and says of what if it panics.
func up(t interface{ Fatalf(string, ...any) }, n Note, letters, halfSteps int) Note {
	got := func() Note {
		defer func() {
			if p := recover(); p != nil {
				t.Fatalf("Up(%v, %d, %d) panics: %v", n, letters, halfSteps, p)
			}
		}()
		return Up(n, letters, halfSteps)
	}()
	if got.Letter < 0 || got.Letter > 6 {
		t.Fatalf("Up(%v, %d, %d) = %v: letters go from 0, C, to 6, B", n, letters, halfSteps, got)
	}
	return got
}

func TestLettersAndHalfStepsBothCount(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := note.Draw(t, "note")
		letters, halfSteps := interval(t)
		got := up(t, n, letters, halfSteps)
		if d := 7*(got.Octave-n.Octave) + got.Letter - n.Letter; d != letters {
			t.Fatalf("Up(%v, %d, %d) = %s, which is %d letters away", n, letters, halfSteps, text(got), d)
		}
		if d := key(got) - key(n); d != halfSteps {
			t.Fatalf("Up(%v, %d, %d) = %s, which is %d half steps away", n, letters, halfSteps, text(got), d)
		}
	})
}

func TestUpAndDownIsHome(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := note.Draw(t, "note")
		letters, halfSteps := interval(t)
		if got := up(t, up(t, n, letters, halfSteps), -letters, -halfSteps); got != n {
			t.Fatalf("from %s up by %d letters and %d half steps and down again is %s", text(n), letters, halfSteps, text(got))
		}
	})
}
