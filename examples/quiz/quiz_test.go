package main

import (
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"example.com/keyorder/spelling"
	"example.com/keyorder/spelling/chord"
)

// What follows computes the model answers once more, from the words of the
// question alone. It uses nothing of the library: letters and half steps are
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
			for _, q := range questions(topics[:8], level, spelling.LanguageEnglish, seed, 8) {
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

// By ear: the sounding notes say the answer.
func TestListeningAnswers(t *testing.T) {
	for seed := range uint64(200) {
		for level := 1; level <= 3; level++ {
			for _, q := range questions(topics[8:], level, spelling.LanguageEnglish, seed, 3) {
				var keys []int
				for _, e := range q.heard.figure.In(q.heard.tonic) {
					keys = append(keys, int(e.Note.Number()))
				}
				switch {
				case level == 3:
					want := map[string]string{"4 3": "major", "3 4": "minor", "3 3": "diminished", "4 4": "augmented"}[fmt.Sprint(keys[1]-keys[0], keys[2]-keys[1])]
					if q.answer != want {
						t.Errorf("%v sounds and the answer is %s, want %s", keys, q.answer, want)
					}
				default:
					if _, h := width(t, q.answer); keys[1]-keys[0] != h {
						t.Errorf("%v sounds and the answer is %s", keys, q.answer)
					}
				}
			}
		}
	}
}

// Every model answer is read as right, whoever writes it.
func TestModelAnswersAreRight(t *testing.T) {
	for seed := range uint64(60) {
		for level := 1; level <= 3; level++ {
			for _, q := range questions(topics[:], level, spelling.LanguageEnglish, seed, 9) {
				for _, text := range []string{q.answer, strings.ToLower(q.answer[:1]) + q.answer[1:], " " + q.answer + " ", ascii(q.answer)} {
					if q.topic == "chords" && !strings.HasPrefix(text, q.answer[:1]) && strings.HasPrefix(text, "b") {
						continue // b and B
					}
					if m, remark := q.grade(answers{}, text); m != right {
						t.Errorf("%s\n%q is marked %d: %s", q.ask, text, m, remark)
					}
				}
			}
		}
	}
}

func ascii(s string) string {
	return strings.NewReplacer("♭", "b", "♯", "#", "𝄫", "bb", "𝄪", "##").Replace(s)
}

func TestAnswersAsPeopleWriteThem(t *testing.T) {
	a := answers{}
	for text, want := range map[string]string{
		"major third": "M3", "M3": "M3", "maj 3rd": "M3", "a min. third": "m3", "Perfect Fifth": "P5", "fifth": "P5", "half step": "m2",
		"diminished seventh": "d7", "aug 4": "A4", "octave": "P8", "minor 10th": "m10", "minor third (m3)": "m3",
		"maj3": "M3", "minor-third": "m3", "P 5": "P5", "p5": "P5", "m 3rd": "m3", "5th": "P5", "half-step": "m2", "It is a minor third.": "m3", "unison": "P1",
	} {
		if got, ok := a.interval(text); !ok || got.String() != want {
			t.Errorf("%q is read as %v, %t, want %s", text, got, ok, want)
		}
	}
	for _, text := range []string{"", "third", "major", "major fifth", "blue", "perfect third", "7"} {
		if got, ok := a.interval(text); ok {
			t.Errorf("%q is read as the interval %v, want none", text, got)
		}
	}
	for text, want := range map[string]string{
		"F sharp": "F♯", "F#": "F♯", "f-sharp": "F♯", "e flat": "E♭", "B double flat": "B𝄫", "Bb": "B♭", "G natural": "G", "A♭": "A♭", "D double-flat": "D𝄫",
		"Eflat": "E♭", "Fsharp": "F♯", "F #": "F♯", "E b": "E♭", "the note F#.": "F♯", "b": "B", "bb": "B♭", "a": "A", "A flat": "A♭", "it is G": "G",
	} {
		if got, ok := a.name(text); !ok || got.String() != want {
			t.Errorf("%q is read as %v, %t, want %s", text, got, ok, want)
		}
	}
	for text, want := range map[string]int{
		"3 flats": -3, "three flats": -3, "3b": -3, "none": 0, "1 sharp": 1, "F# C#": 2, "Bb, Eb, Ab": -3, "no sharps or flats": 0, "4♯": 4,
		"3 sharps, F# C# G#": 3, "2 sharps (F# and C#)": 2, "one flat: Bb": -1, "no flats": 0, "3 Sharps.": 3,
	} {
		if got, ok := a.signature(text); !ok || got != want {
			t.Errorf("%q is read as %d, %t, want %d", text, got, ok, want)
		}
	}
	for _, text := range []string{"8 flats", "Bb Ab", "many", "C"} {
		if got, ok := a.signature(text); ok {
			t.Errorf("%q is read as the signature %d, want none", text, got)
		}
	}
	for text, want := range map[string]string{
		"C minor seventh": "Cm7", "cm7": "Cm7", "F sharp diminished": "F♯dim", "Bb": "B♭", "E flat major seventh": "E♭maj7", "g half-diminished": "Gm7(♭5)",
		"C minor 7": "Cm7", "C major 7": "Cmaj7", "Bb dominant 7": "B♭7", "E diminished 7th": "Edim7", "C minor 6th": "Cm6", "Bflat minor": "B♭m", "a minor": "Am",
	} {
		if got, ok := a.chord(text); !ok || got.String() != want {
			t.Errorf("%q is read as %v, %t, want %s", text, got, ok, want)
		}
	}
	for text, want := range map[string]string{
		"C-Eb-G": "C E♭ G", "C, E flat & G": "C E♭ G", "C/Eb/G": "C E♭ G", "CEbG": "C E♭ G", "e-flat g b-flat": "E♭ G B♭", "C. D. E.": "C D E", "they are F A C.": "F A C",
	} {
		if got, ok := a.names(text); !ok || (maker{}).list(got) != want {
			t.Errorf("%q is read as %v, %t, want %s", text, got, ok, want)
		}
	}
	for text, want := range map[string]string{
		"Am": "A minor", "F#m": "F♯ minor", "Cmin": "C minor", "the key of A": "A major", "A major key": "A major", "A Major.": "A major", "a flat minor": "A♭ minor",
	} {
		if got, _, ok := a.key(text); !ok || got.String() != want {
			t.Errorf("%q is read as %v, %t, want %s", text, got, ok, want)
		}
	}
	for text, want := range map[string]int{"4.": 4, "four keys": 4, "after 4": 4, "It is 4": 4, "nineteen": 19} {
		if m, _ := number(want)(a, text); m != right {
			t.Errorf("%q is not read as %d", text, want)
		}
	}
	for _, text := range []string{"m", "a minor triad", "Minor chord", "min."} {
		if m, _ := triadIs(chord.MustParse("Cm"))(a, text); m != right {
			t.Errorf("%q is not read as minor", text)
		}
	}
	if m, _ := triadIs(chord.MustParse("C"))(a, "M"); m != right {
		t.Error("M is not read as major")
	}
}

// In every language the model answers are read as right, and so are they in English
// but for B, which a German reader would have to guess.
func TestModelAnswersInOtherLanguages(t *testing.T) {
	for l := spelling.LanguageGerman; l <= spelling.LanguageSpanish; l++ {
		for seed := range uint64(30) {
			for level := 1; level <= 3; level++ {
				english := questions(topics[:], level, spelling.LanguageEnglish, seed, 9)
				for n, q := range questions(topics[:], level, l, seed, 9) {
					if m, remark := q.grade(answers{l}, q.answer); m != right {
						t.Errorf("%v: %s\n%q is marked %d: %s", l, q.ask, q.answer, m, remark)
					}
					if e := english[n].answer; !strings.Contains(strings.ToUpper(e), "B") || l != spelling.LanguageGerman {
						if m, remark := q.grade(answers{l}, e); m != right {
							t.Errorf("%v: %s\n%q is marked %d: %s", l, q.ask, e, m, remark)
						}
					}
				}
			}
		}
	}
	for text, want := range map[string]spelling.Language{"Fis": spelling.LanguageGerman, "fa dièse": spelling.LanguageFrench, "fa diesis": spelling.LanguageItalian, "fa sostenido": spelling.LanguageSpanish} {
		if n, ok := (answers{want}).name(text); !ok || n.String() != "F♯" {
			t.Errorf("%q is read as %v, %t", text, n, ok)
		}
	}
	if n, ok := (answers{spelling.LanguageGerman}).name("B"); ok {
		t.Errorf("a bare B is guessed to be %v", n)
	}
	if out := quizzed(t, "B\n", "-topics", "staff", "-questions", "1", "-language", "german"); !strings.Contains(out, "write H or B♭") {
		t.Errorf("nothing says how a B is to be written:\n%s", out)
	}
	out := filepath.Join(t.TempDir(), "class")
	quizzed(t, "", "-out", out, "-pupils", "Ana,Bo:german,Cem:french,Dora:italian", "-topics", "scales")
	text, err := os.ReadFile(filepath.Join(out, "answers.html"))
	if err != nil {
		t.Fatal(err)
	}
	for _, word := range []string{" F♯", "Fis", "fa", "sol"} {
		if !strings.Contains(string(text), word) {
			t.Errorf("no %q among the answers of a class of four languages", word)
		}
	}
}

// The right sound with the wrong letter is told apart; the wrong kind of answer
// is no answer.
func TestMarks(t *testing.T) {
	find := func(ask string) question {
		for seed := range uint64(500) {
			for level := 1; level <= 3; level++ {
				for _, q := range questions(topics[:], level, spelling.LanguageEnglish, seed, 9) {
					if strings.HasPrefix(q.ask, ask) {
						return q
					}
				}
			}
		}
		t.Fatalf("no question is %q", ask)
		return question{}
	}
	for _, c := range []struct {
		ask, text string
		want      mark
	}{
		{"Which note lies a minor third (m3) above E?", "G", right},
		{"Which note lies a minor third (m3) above E?", "F##", slip},
		{"Which note lies a minor third (m3) above E?", "Ab", wrong},
		{"Which note lies a minor third (m3) above E?", "major", unread},
		{"How many half steps are there in a minor third (m3)?", "three", right},
		{"How many half steps are there in a minor third (m3)?", "3 half steps", right},
		{"How many half steps are there in a minor third (m3)?", "G", unread},
		{"Which interval leads from E up to the next G?", "augmented second", slip},
		{"Write the seven notes of the scale F major", "f g a bb c d e f", right},
		{"Write the seven notes of the scale F major", "F G A A# C D E", slip},
		{"Write the seven notes of the scale F major", "F G A B C D E", wrong},
		{"How many sharps or flats are in the key signature of D major?", "F# C#", right},
		{"How many sharps or flats are in the key signature of D major?", "2 flats", wrong},
		{"Which major key has 2 sharps?", "D", right},
		{"Which major key has 2 sharps?", "D minor", wrong},
		{"Which notes are in the chord Dm,", "A F D", right},
	} {
		if got, _ := find(c.ask).grade(answers{}, c.text); got != c.want {
			t.Errorf("%s %q is marked %d, want %d", c.ask, c.text, got, c.want)
		}
	}
}

// quizzed runs the program.
func quizzed(t *testing.T, stdin string, args ...string) string {
	t.Helper()
	var out, errs strings.Builder
	if code := run(args, strings.NewReader(stdin), &out, &errs); code != 0 {
		t.Fatalf("quiz %v ends with %d: %s", args, code, errs.String())
	}
	return out.String()
}

// An answer of the wrong kind is asked for once more, then counted.
func TestAskedAgainOnce(t *testing.T) {
	out := quizzed(t, "blue\nblue\n\n", "-topics", "intervals", "-questions", "2")
	if strings.Count(out, intervalForm)+strings.Count(out, numberForm) != 1 {
		t.Errorf("the first question is not asked again once:\n%s", out)
	}
	if !strings.Contains(out, "That is no answer to it.") || !strings.Contains(out, "wrong or skipped: 2, not answered: 0") {
		t.Errorf("what is no answer is not counted as wrong:\n%s", out)
	}
}

// A row of marks is added to what the file has, whatever its last line ends with.
func TestMarksFile(t *testing.T) {
	file := filepath.Join(t.TempDir(), "marks.csv")
	q := questions(topics[:1], 1, spelling.LanguageEnglish, 4, 2)
	quizzed(t, q[0].answer+"\n"+q[1].answer+"\n", "-topics", "intervals", "-questions", "2", "-seed", "4", "-pupil", "Ana", "-marks", file)
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(file, text[:len(text)-1], 0o666); err != nil {
		t.Fatal(err)
	}
	quizzed(t, "\n", "-topics", "intervals", "-questions", "2", "-pupil", "Bo, the second", "-marks", file)
	if text, err = os.ReadFile(file); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(strings.NewReader(string(text))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	want := [][]string{
		header(2),
		{"Ana", "4", "2", "0", "0", "0", "right", "right"},
		{"Bo, the second", "1", "0", "0", "1", "1", "wrong", ""},
	}
	if !slices.EqualFunc(rows, want, slices.Equal) {
		t.Errorf("the file of marks has %q, want %q", rows, want)
	}
}

// The sheets of a class of five: each pupil's own questions, no answer among
// them, and marks for the answers that were typed.
func TestClass(t *testing.T) {
	dir, typed := filepath.Join(t.TempDir(), "class"), t.TempDir()
	names := []string{"Ana", "Bo", "Cem", "Dora", "Emil"}
	all := questions(topics[:], 2, spelling.LanguageEnglish, 11, 18)
	var lines []string
	for n, q := range all {
		if n == 3 {
			lines = append(lines, "I do not know")
		} else {
			lines = append(lines, q.answer)
		}
	}
	if err := os.WriteFile(filepath.Join(typed, "Bo.txt"), []byte(strings.Join(lines, "\r\n")), 0o666); err != nil {
		t.Fatal(err)
	}
	quizzed(t, "", "-out", dir, "-pupils", strings.Join(names, ","), "-level", "2", "-seed", "10", "-questions", "18", "-answers", typed)
	text := func(name string) string {
		b, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		return string(b)
	}
	asked, answered := text("questions.html"), text("answers.html")
	for n, name := range names {
		if !strings.Contains(asked, fmt.Sprintf("<h1>%s <small>(questions %d)", name, 10+n)) || !strings.Contains(answered, "Answers for "+name) {
			t.Errorf("%s has no page", name)
		}
	}
	if n := strings.Count(asked, "<li>"); n != 5*18 {
		t.Errorf("the sheets have %d questions, want 90", n)
	}
	if i, err := newItem(1, question{ask: "E𝄫?", answer: "F𝄪"}); err != nil || i.Ask != "E♭♭?" || i.Answer != "F♯♯" {
		t.Errorf("a double accidental is one sign, which few fonts have: %v, %v", i, err)
	}
	if !strings.Contains(asked, "color: CanvasText") {
		t.Error("a staff is black in the dark")
	}
	if strings.Contains(asked, "<b>") || strings.Contains(asked, "<text") || strings.Contains(asked, "<title>C") {
		t.Error("an answer stands among the questions")
	}
	for n := range 18 {
		if all[n].heard != nil {
			if sound := text("Bo-" + soundName(n)); !strings.HasPrefix(sound, "RIFF") {
				t.Errorf("question %d has no sound", n+1)
			}
		}
	}
	rows, err := csv.NewReader(strings.NewReader(text("marks.csv"))).ReadAll()
	if err != nil || len(rows) != 6 {
		t.Fatalf("marks.csv has %d rows, want 6: %v", len(rows), err)
	}
	if got := rows[2][:6]; !slices.Equal(got, []string{"Bo", "11", "17", "0", "1", "0"}) {
		t.Errorf("Bo has %v", got)
	}
	if rows[1][2] != "" {
		t.Errorf("Ana has marks without answers: %v", rows[1])
	}
}

func TestBadInput(t *testing.T) {
	for _, args := range [][]string{
		{"-level", "4"}, {"-questions", "0"}, {"-topics", "fish"}, {"-pupils", "Ana"}, {"-pupil", "Ana"}, {"-topics", "listening"},
		{"-out", "x", "-marks", "y"}, {"-out", "x", "-pupils", "A,A"}, {"-out", "x", "-pupils", "a/b,a-b"},
	} {
		var out, errs strings.Builder
		if code := run(args, strings.NewReader(""), &out, &errs); code != 2 || !strings.HasPrefix(errs.String(), "quiz: ") {
			t.Errorf("quiz %v ends with %d and says %q", args, code, errs.String())
		}
	}
}

// At the first level a scale has three sharps or flats at most, and no order goes
// by more than a fifth.
func TestEasyIsEasy(t *testing.T) {
	for seed := range uint64(100) {
		for _, q := range questions(topics[2:7], 1, spelling.LanguageEnglish, seed, 10) {
			if q.topic == "scales" && strings.Count(q.answer, "♭")+strings.Count(q.answer, "♯") > 3 {
				t.Errorf("%s is asked at level 1", q.ask)
			}
			if q.topic == "cycles" {
				if _, h := width(t, q.ask); h > 7 {
					t.Errorf("%s is asked at level 1", q.ask)
				}
			}
		}
	}
}
