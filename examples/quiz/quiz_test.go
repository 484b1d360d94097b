package main

import (
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"example.com/keyorder/spelling"
	"example.com/keyorder/spelling/chord"
)

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

// TestMarksTheQuestionsHandedOut: answers are marked by the questions that the
// pupils have, or not at all.
func TestMarksTheQuestionsHandedOut(t *testing.T) {
	dir, typed := t.TempDir(), t.TempDir()
	made := []string{"-out", dir, "-pupils", "Ana,Bo", "-topics", "intervals", "-level", "2"}
	quizzed(t, "", made...)
	if err := os.WriteFile(filepath.Join(typed, "Ana.txt"), []byte("m3\n"), 0o666); err != nil {
		t.Fatal(err)
	}
	handed, err := os.ReadFile(filepath.Join(dir, questionsName))
	if err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{
		{"-out", dir, "-pupils", "Ana,Bo", "-answers", typed}, {"-out", dir, "-pupils", "Bo,Ana", "-topics", "intervals", "-level", "2", "-answers", typed},
		append(slices.Clone(made), "-answers", filepath.Join(typed, "none")),
	} {
		var out, errs strings.Builder
		if code := run(args, strings.NewReader(""), &out, &errs); code != 1 || !strings.Contains(errs.String(), "-answers") {
			t.Errorf("quiz %q ends with %d and says %q", args, code, errs.String())
		}
		if now, err := os.ReadFile(filepath.Join(dir, questionsName)); err != nil || string(now) != string(handed) {
			t.Fatalf("quiz %q wrote other questions, %v", args, err)
		}
	}
	if out := quizzed(t, "", append(made, "-answers", typed)...); !strings.Contains(out, "Marked are 1 of 2. "+typed+" has no Bo.txt.") {
		t.Error(out)
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
