package main

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// What follows computes the model answers once more, from the words of the
// question alone. It imports nothing of the library: letters and half steps are
// counted on their fingers.

var signs = map[string]int{"": 0, "♭": -1, "♯": 1, "𝄫": -2, "𝄪": 2, "♭𝄫": -3, "♯𝄪": 3, "𝄫♭": -3, "𝄪♯": 3}

// spelled is a letter, C 0 to B 6, and the half steps of its accidentals.
type spelled struct{ letter, alter int }

var white = [...]int{0, 2, 4, 5, 7, 9, 11}

func read(t *testing.T, s string) spelled {
	t.Helper()
	letter := strings.Index("CDEFGAB", s[:1])
	alter, ok := signs[s[1:]]
	if letter < 0 || !ok {
		t.Fatalf("%q is no note", s)
	}
	return spelled{letter, alter}
}

func (s spelled) String() string {
	for sign, alter := range signs {
		if alter == s.alter && sign != "♭𝄫" && sign != "♯𝄪" {
			return "CDEFGAB"[s.letter:s.letter+1] + sign
		}
	}
	return fmt.Sprint(s.letter, s.alter)
}

// up goes up so many letters and half steps.
func (s spelled) up(letters, halfSteps int) spelled {
	to := s.letter + letters
	octaves := 0
	for ; to > 6; to -= 7 {
		octaves++
	}
	for ; to < 0; to += 7 {
		octaves--
	}
	return spelled{to, white[s.letter] + s.alter + halfSteps - white[to] - 12*octaves}
}

// width returns letters and half steps of an interval in brackets, as (m3).
func width(t *testing.T, ask string) (letters, halfSteps int) {
	t.Helper()
	m := regexp.MustCompile(`\(([PMmAd])(\d+)\)`).FindStringSubmatch(ask)
	if m == nil {
		t.Fatalf("%q names no interval", ask)
	}
	number, _ := strconv.Atoi(m[2])
	letters = number - 1
	halfSteps = white[letters%7] + 12*(letters/7)
	perfect := letters%7 == 0 || letters%7 == 3 || letters%7 == 4
	switch {
	case m[1] == "m" || m[1] == "d" && perfect:
		halfSteps--
	case m[1] == "d":
		halfSteps -= 2
	case m[1] == "A":
		halfSteps++
	}
	return letters, halfSteps
}

func intervalText(letters, halfSteps int) string {
	numbers := []string{"unison", "second", "third", "fourth", "fifth", "sixth", "seventh", "octave"}
	perfect := letters == 0 || letters == 3 || letters == 4 || letters == 7
	base := halfSteps - append(white[:], 12)[letters]
	qualities := map[int][2]string{0: {"major", "M"}, -1: {"minor", "m"}, 1: {"augmented", "A"}, -2: {"diminished", "d"}}
	if perfect {
		qualities = map[int][2]string{0: {"perfect", "P"}, 1: {"augmented", "A"}, -1: {"diminished", "d"}}
	}
	q := qualities[base]
	return fmt.Sprintf("%s %s (%s%d)", q[0], numbers[letters], q[1], letters+1)
}

// sharps counts the fifths from C to a major tonic.
func sharps(s spelled) int { return [...]int{0, 2, 4, -1, 1, 3, 5}[s.letter] + 7*s.alter }

func keyCycle(step int) (n int) {
	for k := step % 12; ; k = (k + step) % 12 {
		n++
		if k == 0 {
			return n
		}
	}
}

// Letters above the root and half steps of chords and scales: the rows of the
// tables of chords and scales that textbooks agree on (see the sources beside
// the tables of packages chord and figure), typed in here by hand.
var shapes = map[string][][2]int{
	"": {{2, 4}, {4, 7}}, "m": {{2, 3}, {4, 7}}, "dim": {{2, 3}, {4, 6}}, "+": {{2, 4}, {4, 8}},
	"maj7": {{2, 4}, {4, 7}, {6, 11}}, "m7": {{2, 3}, {4, 7}, {6, 10}}, "7": {{2, 4}, {4, 7}, {6, 10}},
	"m7(♭5)": {{2, 3}, {4, 6}, {6, 10}}, "dim7": {{2, 3}, {4, 6}, {6, 9}}, "6": {{2, 4}, {4, 7}, {5, 9}}, "m6": {{2, 3}, {4, 7}, {5, 9}},
	"7(♭9)": {{2, 4}, {4, 7}, {6, 10}, {8, 13}}, "7(♯9)": {{2, 4}, {4, 7}, {6, 10}, {8, 15}},

	"major": {{1, 2}, {2, 4}, {3, 5}, {4, 7}, {5, 9}, {6, 11}}, "natural minor": {{1, 2}, {2, 3}, {3, 5}, {4, 7}, {5, 8}, {6, 10}},
	"harmonic minor": {{1, 2}, {2, 3}, {3, 5}, {4, 7}, {5, 8}, {6, 11}}, "melodic minor": {{1, 2}, {2, 3}, {3, 5}, {4, 7}, {5, 9}, {6, 11}},
	"dorian": {{1, 2}, {2, 3}, {3, 5}, {4, 7}, {5, 9}, {6, 10}}, "mixolydian": {{1, 2}, {2, 4}, {3, 5}, {4, 7}, {5, 9}, {6, 10}},
	"phrygian": {{1, 1}, {2, 3}, {3, 5}, {4, 7}, {5, 8}, {6, 10}}, "lydian": {{1, 2}, {2, 4}, {3, 6}, {4, 7}, {5, 9}, {6, 11}},
}

func (s spelled) stack(shape string) string {
	out := s.String()
	for _, w := range shapes[shape] {
		out += " " + s.up(w[0], w[1]).String()
	}
	return out
}

const noteText = `([A-G][♭♯𝄫𝄪]*)`

var kinds = []struct {
	ask    *regexp.Regexp
	answer func(t *testing.T, ask string, m []string) string
}{
	{regexp.MustCompile(`^How many half steps are there in`), func(t *testing.T, ask string, _ []string) string {
		_, h := width(t, ask)
		return strconv.Itoa(h)
	}},
	{regexp.MustCompile(`^Which interval leads from ` + noteText + ` up to the next ` + noteText), func(t *testing.T, _ string, m []string) string {
		from, to := read(t, m[1]), read(t, m[2])
		letters := (to.letter - from.letter + 7) % 7
		h := white[to.letter] + to.alter - white[from.letter] - from.alter
		if to.letter < from.letter {
			h += 12
		}
		return intervalText(letters, h)
	}},
	{regexp.MustCompile(`^What is the inversion`), func(t *testing.T, ask string, _ []string) string {
		l, h := width(t, ask)
		return intervalText(7-l, 12-h)
	}},
	{regexp.MustCompile(`has the keys that another has going down`), func(t *testing.T, ask string, _ []string) string {
		l, h := width(t, ask)
		return intervalText(7-l, 12-h)
	}},
	{regexp.MustCompile(`^How many sharps or flats are in the key signature of ` + noteText + ` (major|minor)`), func(t *testing.T, _ string, m []string) string {
		n := sharps(read(t, m[1]))
		if m[2] == "minor" {
			n -= 3
		}
		switch {
		case n == 0:
			return "no sharps or flats"
		case n == 1:
			return "1 sharp"
		case n == -1:
			return "1 flat"
		case n < 0:
			return fmt.Sprintf("%d flats", -n)
		}
		return fmt.Sprintf("%d sharps", n)
	}},
	{regexp.MustCompile(`^Which major key has (?:(no)|(\d) (sharp|flat))`), func(t *testing.T, _ string, m []string) string {
		n, _ := strconv.Atoi("0" + m[2])
		if m[3] == "flat" {
			n = -n
		}
		for letter := range 7 {
			for alter := -1; alter <= 1; alter++ {
				if s := (spelled{letter, alter}); sharps(s) == n {
					return s.String() + " major"
				}
			}
		}
		return ""
	}},
	{regexp.MustCompile(`^Which key is the relative minor of ` + noteText), func(t *testing.T, _ string, m []string) string {
		return read(t, m[1]).up(-2, -3).String() + " minor"
	}},
	{regexp.MustCompile(`^Write the seven notes of the scale ` + noteText + ` (.*), from`), func(t *testing.T, _ string, m []string) string {
		return read(t, m[1]).stack(m[2])
	}},
	{regexp.MustCompile(`^Which notes are in the chord ` + noteText + `(.*), from`), func(t *testing.T, _ string, m []string) string {
		return read(t, m[1]).stack(m[2])
	}},
	{regexp.MustCompile(`^Which chord has the notes (` + noteText + ` .*), from`), func(t *testing.T, _ string, m []string) string {
		root := read(t, m[2])
		for symbol := range shapes {
			if !strings.Contains("major natural minor harmonic minor melodic minor", symbol) || symbol == "" || symbol == "m" {
				if root.stack(symbol) == m[1] {
					return root.String() + symbol
				}
			}
		}
		return ""
	}},
	{regexp.MustCompile(`^The figure (.*), counted in the major scale, is played in ` + noteText), func(t *testing.T, _ string, m []string) string {
		tonic := read(t, m[2])
		var out []string
		for _, d := range strings.Fields(m[1]) {
			flat := strings.HasPrefix(d, "♭")
			number, _ := strconv.Atoi(strings.TrimPrefix(d, "♭"))
			n := tonic.up(number-1, white[number-1])
			if flat {
				n.alter--
			}
			out = append(out, n.String())
		}
		return strings.Join(out, " ")
	}},
	{regexp.MustCompile(`^Which note lies .* (above|below) ` + noteText + `\?`), func(t *testing.T, ask string, m []string) string {
		l, h := width(t, ask)
		if m[1] == "below" {
			l, h = -l, -h
		}
		return read(t, m[2]).up(l, h).String()
	}},
	{regexp.MustCompile(`^An? (.*) reads ` + noteText + `\. Which`), func(t *testing.T, _ string, m []string) string {
		w := pitchOf(t, m[1])
		return read(t, m[2]).up(-w[0], -w[1]).String()
	}},
	{regexp.MustCompile(`^A class hears ` + noteText + `\. What does an? (.*) read`), func(t *testing.T, _ string, m []string) string {
		w := pitchOf(t, m[2])
		return read(t, m[1]).up(w[0], w[1]).String()
	}},
	{regexp.MustCompile(`after how many keys`), func(t *testing.T, ask string, _ []string) string {
		_, h := width(t, ask)
		return strconv.Itoa(keyCycle(h))
	}},
	{regexp.MustCompile(`into how many cycles`), func(t *testing.T, ask string, _ []string) string {
		_, h := width(t, ask)
		return strconv.Itoa(12 / keyCycle(h))
	}},
	{regexp.MustCompile(`^An order goes up .* has come to ` + noteText + ` major`), func(t *testing.T, ask string, m []string) string {
		l, h := width(t, ask)
		to := read(t, m[1]).up(l, h)
		if n := sharps(to); n < -7 { // no signature has eight flats: a diminished second lower
			to = to.up(-1, 0)
		} else if n > 7 {
			to = to.up(1, 0)
		}
		return to.String() + " major"
	}},
	{regexp.MustCompile(`^In the (\w+) clef a note( with a (flat|sharp) before it)? (stands .*)\. Which`), func(t *testing.T, _ string, m []string) string {
		bottom := map[string]int{"treble": 2, "bass": 4, "alto": 3, "tenor": 1}[m[1]]
		at := map[string]int{
			"on the second ledger line below the staff": -4, "below the first ledger line under the staff": -3, "on the first ledger line below the staff": -2,
			"in the space below the staff": -1, "on the first line from below": 0, "in the first space from below": 1, "on the second line from below": 2,
			"in the second space from below": 3, "on the third line from below": 4, "in the third space from below": 5, "on the fourth line from below": 6,
			"in the fourth space from below": 7, "on the fifth line from below": 8, "in the space above the staff": 9,
			"on the first ledger line above the staff": 10, "above the first ledger line over the staff": 11,
		}
		place, ok := at[strings.TrimPrefix(m[4], "stands ")]
		if !ok {
			t.Fatalf("%q is no place on a staff", m[4])
		}
		return spelled{(bottom + place + 7) % 7, map[string]int{"flat": -1, "sharp": 1}[m[3]]}.String()
	}},
}

// pitchOf returns by how much an instrument in a pitch sounds lower: in E♭ a
// sixth, in B♭ a second, in F a fifth. Octaves make no difference to a name.
func pitchOf(t *testing.T, name string) [2]int {
	t.Helper()
	for pitch, w := range map[string][2]int{"in E♭": {5, 9}, "in B♭": {1, 2}, "in F": {4, 7}} {
		if strings.HasSuffix(name, pitch) {
			return w
		}
	}
	t.Fatalf("%q says no pitch", name)
	return [2]int{}
}

// Ten thousand questions have the answers that their own words ask for.
func TestTenThousandAnswers(t *testing.T) {
	asked := map[string]int{}
	for seed := range uint64(420) {
		for level := 1; level <= 3; level++ {
			for _, q := range questions(topics[:8], level, 0, seed, 8) {
				found := false
				for n, k := range kinds {
					m := k.ask.FindStringSubmatch(q.ask)
					if m == nil {
						continue
					}
					found = true
					asked[kinds[n].ask.String()]++
					if want := k.answer(t, q.ask, m); q.answer != want {
						t.Errorf("%s\nThe model answer is %s, counted it is %s.", q.ask, q.answer, want)
					}
					break
				}
				if !found {
					t.Errorf("%q is of no kind that is checked", q.ask)
				}
			}
		}
	}
	total := 0
	for _, k := range kinds {
		if asked[k.ask.String()] < 20 {
			t.Errorf("%v was asked %d times only", k.ask, asked[k.ask.String()])
		}
		total += asked[k.ask.String()]
	}
	if total < 10_000 {
		t.Errorf("%d questions were checked, want 10000", total)
	}
}
