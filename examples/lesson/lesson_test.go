package main

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"example.com/keyorder/figure"
)

// ran runs the program and expects it to do well.
func ran(t *testing.T, args ...string) string {
	t.Helper()
	var out, errs strings.Builder
	if code := run(args, &out, &errs); code != 0 {
		t.Fatalf("lesson %q ends with %d: %s", args, code, errs.String())
	}
	return out.String()
}

var figures = []string{"1:3 5 4 2 3:2", "3 5 1 6", "5 2 b3:2 1 in dorian", "b2 v7 | 1 4 2 by 1/16", "1+3 6+8:3"}

// Every unit has all that a class needs, whatever the figure: what it is for, a
// picture, a task with a result, three questions with answers, its words in the
// glossary. No proof stands there as a bare true.
func TestUnits(t *testing.T) {
	for _, l := range levels {
		if len(l.units) != 7 {
			t.Errorf("%s has %d units, want 7", l.name, len(l.units))
		}
		for n, make := range l.units {
			for _, text := range figures {
				u, err := make(figure.MustParse(text))
				if err != nil {
					t.Errorf("%s, unit %d, figure %s: %v", l.name, n+1, text, err)
					continue
				}
				for part, has := range map[string]bool{
					"title": u.Title != "", "aim": u.Able != "", "picture": len(u.Pictures) > 0, "task": u.Task != "", "result": len(u.Result) > 0,
					"idea": u.Idea != "", "formula": u.Formula != "", "words": len(u.Words) > 0,
				} {
					if !has {
						t.Errorf("%s, unit %d has no %s", l.name, n+1, part)
					}
				}
				if len(u.Questions) != 3 {
					t.Errorf("%s, unit %d has %d questions, want three", l.name, n+1, len(u.Questions))
				}
				for _, q := range u.Questions {
					if q.Question == "" || q.Answer == "" {
						t.Errorf("%s, unit %d: question %q, answer %q", l.name, n+1, q.Question, q.Answer)
					}
				}
				if got := glossary([]unit{u}); len(got) != len(u.Words) {
					t.Errorf("%s, unit %d: of its words %q the glossary has %v", l.name, n+1, u.Words, got)
				}
				for _, r := range u.Result {
					if strings.Contains(r, "true") || strings.Contains(r, "%!") {
						t.Errorf("%s, unit %d: result %q", l.name, n+1, r)
					}
				}
			}
		}
	}
}

// The numbers in it, counted by hand; those of cycles and moves stand in any
// course on modular arithmetic (common practice, no source).
func TestResults(t *testing.T) {
	for _, c := range []struct {
		args []string
		want []string
	}{
		{[]string{"-unit", "1"}, []string{"In C it is C G F D E.", "8 are C D E F G A B C"}},
		{[]string{"-unit", "2"}, []string{"In D it is D A G E F♯.", "In D they are F♯ C♯."}},
		{[]string{"-unit", "3"}, []string{"C to E has 4 half steps: a major third.", "E to G has 3 half steps: a minor third."}},
		{[]string{"-unit", "4"}, []string{"3 in D is F♯", "4 in D♭ is G♭", "are one and the same key of the piano"}},
		{[]string{"-unit", "5"}, []string{"A trumpet player reads C and B♭ is heard", "trumpet in B♭ reads G.", "alto saxophone in E♭ reads D.", "horn in F reads C.", "flute reads F."}},
		{[]string{"-unit", "6"}, []string{"By three: 4 keys and home; 8 are missed. 3 cycles", "By five: all 12 keys"}},
		{[]string{"-unit", "7"}, []string{"C: C G F D E", "E: E B A F♯ G♯", "A♭: A♭ E♭ D♭ B♭ C"}},
		{[]string{"-unit", "7", "-figure", "3 5 1 6"}, []string{"E: G♯ B E C♯", "For example 3 5 1 6"}},
		{[]string{"-level", "student", "-unit", "1"}, []string{"E♭4 lies (2, 3)", "D♯4 lies (1, 3)", "F♭4 lies (3, 4)"}},
		{[]string{"-level", "student", "-unit", "3"}, []string{"−3 places, three to the left: C to E♭, F to A♭, B to D, A to C"}},
		{[]string{"-level", "student", "-unit", "4"}, []string{"Dm7 has D F A C", "at home in C major, F major, B♭ major."}},
		{[]string{"-level", "student", "-unit", "5"}, []string{"n = 1: 1 cycle of 12 keys", "n = 2: 2 cycles of 6 keys", "n = 3: 3 cycles of 4 keys", "n = 4: 4 cycles of 3 keys", "n = 5: 1 cycle of 12 keys", "n = 6: 6 cycles of 2 keys"}},
		{[]string{"-level", "student", "-unit", "6"}, []string{"12 × 11 = 132", "160 statements and make 132 different moves", "left open they make 104"}},
		{[]string{"-level", "student", "-unit", "7", "-figure", "1 b3 5"}, []string{"by 3 half steps: 8 notes, octatonic", "by 6 half steps: 6 notes"}},
	} {
		out := strings.Join(strings.Fields(ran(t, c.args...)), " ")
		for _, w := range c.want {
			if !strings.Contains(out, w) {
				t.Errorf("lesson %q does not say %q:\n%s", c.args, w, out)
			}
		}
	}
}

// The terminal form has lines of fewer than eighty characters, and with -plain
// nothing but ASCII.
func TestTerminal(t *testing.T) {
	for _, l := range levels {
		for _, f := range figures {
			for _, line := range strings.Split(ran(t, "-level", l.name, "-figure", f), "\n") {
				if utf8.RuneCountInString(line) >= 80 {
					t.Errorf("%s with %s: %q has %d characters", l.name, f, line, utf8.RuneCountInString(line))
				}
			}
			for _, r := range ran(t, "-level", l.name, "-figure", f, "-plain") {
				if r > 126 {
					t.Errorf("%s with %s: -plain prints %q", l.name, f, r)
				}
			}
		}
	}
}

// On the class's page the results are closed and the answers are not there; the
// teacher's page has both.
func TestPages(t *testing.T) {
	for _, l := range levels {
		dir := filepath.Join(t.TempDir(), "lesson")
		ran(t, "-level", l.name, "-out", dir, "-figure", "3 5 1 6")
		read := func(name string) string {
			b, err := os.ReadFile(filepath.Join(dir, name))
			if err != nil {
				t.Fatal(err)
			}
			return string(b)
		}
		class, teacher := read("lesson.html"), read("teacher.html")
		if strings.Contains(class, "<details open>") || strings.Count(teacher, "<details open>") != 7 {
			t.Errorf("%s: results are open for the class, or closed for the teacher", l.name)
		}
		for n, make := range l.units {
			u, err := make(figure.MustParse("3 5 1 6"))
			if err != nil {
				t.Fatal(err)
			}
			if u.heard != nil && !strings.HasPrefix(read("unit-"+string(rune('1'+n))+".wav"), "RIFF") {
				t.Errorf("%s: unit %d has no sound", l.name, n+1)
			}
			for _, q := range u.Questions {
				if !strings.Contains(teacher, "<b>"+q.Answer+"</b>") && !strings.ContainsAny(q.Answer, "'\"&<") {
					t.Errorf("%s: the teacher misses the answer %q", l.name, q.Answer)
				}
			}
		}
		if strings.Contains(class, "<b>") && strings.Count(class, "<b>") != 7 {
			t.Errorf("%s: the class's page has more in bold than its seven tasks", l.name)
		}
	}
}

func TestBadInput(t *testing.T) {
	for _, args := range [][]string{{"-level", "master"}, {"-unit", "8"}, {"-unit", "-1"}, {"-figure", "1 x"}, {"-figure", "3"}, {"-fish"}} {
		var out, errs strings.Builder
		if code := run(args, &out, &errs); code != 2 || !strings.HasPrefix(errs.String(), "lesson: ") {
			t.Errorf("lesson %q ends with %d and says %q", args, code, errs.String())
		}
	}
}

// A word of the glossary stands in the unit that explains it, and in none before.
func TestWordsAreExplained(t *testing.T) {
	for _, l := range levels {
		known := map[string]bool{}
		var units []unit
		for _, make := range l.units {
			u, err := make(figure.MustParse(figures[0]))
			if err != nil {
				t.Fatal(err)
			}
			units = append(units, u)
		}
		for n, u := range units {
			text := strings.Join(slices.Concat([]string{u.Title, u.Able, u.Task, u.Idea, u.Formula}, u.Result), " ")
			for _, p := range slices.Concat(u.Pictures, u.Shown) {
				text += " " + p.Caption
			}
			for _, q := range u.Questions {
				text += " " + q.Question + " " + q.Answer
			}
			text = strings.NewReplacer("white keys", "", "black key", "", "keys of the piano", "", "key of the piano", "").Replace(text)
			says := func(word string) bool {
				return regexp.MustCompile(`(?i)\b` + regexp.QuoteMeta(word) + `s?\b`).MatchString(text)
			}
			for _, w := range u.Words {
				if !says(w) {
					t.Errorf("%s, unit %d explains %q and does not say it", l.name, n+1, w)
				}
				known[w] = true
			}
			for _, g := range glossary(units) {
				if !known[g.Word] && says(g.Word) {
					t.Errorf("%s, unit %d says %q, which is explained later", l.name, n+1, g.Word)
				}
			}
		}
	}
}

// A pupil reads what the signs of his figure mean, those and no others; every
// figure is counted in the major scale.
func TestSigns(t *testing.T) {
	for text, want := range map[string][]string{
		"3 5 1 6":              {},
		"1:3 5 4 2 3:2":        {"colon"},
		"b2 v7 | 1 4 2":        {"♭", "↓", "|"},
		"1 0 10:2 3+5":         {"colon", "+", "0 is"},
		"3 5 1 b7:2 in dorian": {"colon", "♭"},
	} {
		out := strings.Join(strings.Fields(ran(t, "-unit", "1", "-figure", text)), " ")
		_, out, _ = strings.Cut(out, "Task:")
		out, _, _ = strings.Cut(out, "Sing it")
		_, out, _ = strings.Cut(out, "Here is a tune: ")
		_, out, _ = strings.Cut(out, ". ")
		for _, sign := range []string{"colon", "♭", "♯", "↓", "|", "+", "0 is"} {
			if says := strings.Contains(out, sign); says != slices.Contains(want, sign) {
				t.Errorf("%s: of %s the task says: %s", text, sign, out)
			}
		}
	}
	if out := ran(t, "-unit", "1", "-figure", "3 5 1 b7:2 in dorian"); !strings.Contains(out, "♭3 5 1 ♭7:2") || !strings.Contains(out, "E♭ G C B♭") {
		t.Errorf("a figure in dorian is not counted in the major scale:\n%s", out)
	}
}

// What a task asks for stands with its result: nothing before it gives it away.
func TestPicturesOfResults(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "lesson")
	ran(t, "-out", dir)
	page, err := os.ReadFile(filepath.Join(dir, "lesson.html"))
	if err != nil {
		t.Fatal(err)
	}
	for _, caption := range []string{"two of the numbers fall on black keys", "1 3 5 in D", "three squares", "what the trumpet reads when"} {
		before, _, ok := strings.Cut(string(page), caption)
		if !ok || strings.LastIndex(before, "<details>") < strings.LastIndex(before, "<section>") {
			t.Errorf("%q stands before the result of its unit, or nowhere", caption)
		}
	}
}
