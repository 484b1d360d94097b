package main

import (
	"bytes"
	"errors"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"go/types"
	"os"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"example.com/keyorder/figure"
	"example.com/keyorder/interval"
	"example.com/keyorder/spelling"
)

// try runs the program.
func try(t *testing.T, stdin string, args ...string) (out, errs string, status int) {
	t.Helper()
	var stdout, stderr bytes.Buffer
	status = run(args, strings.NewReader(stdin), &stdout, &stderr)
	return stdout.String(), stderr.String(), status
}

// ok runs the program and expects it to do well.
func ok(t *testing.T, stdin string, args ...string) string {
	t.Helper()
	out, errs, status := try(t, stdin, args...)
	if status != 0 || errs != "" {
		t.Fatalf("%q: status %d, %s", args, status, errs)
	}
	return out
}

func wants(t *testing.T, out string, lines ...string) {
	t.Helper()
	for _, line := range lines {
		if !strings.Contains(out, line) {
			t.Errorf("%q is missing in\n%s", line, out)
		}
	}
}

// TestEveryStepCanBePasted checks that each step is a function of at most 30
// lines, which taken alone uses nothing but its parameters, the language and
// the packages that its file imports.
func TestEveryStepCanBePasted(t *testing.T) {
	source, err := os.ReadFile("steps.go")
	if err != nil {
		t.Fatal(err)
	}
	fset := token.NewFileSet()
	file, err := parser.ParseFile(fset, "steps.go", source, parser.ParseComments)
	if err != nil {
		t.Fatal(err)
	}
	known := map[string]bool{}
	for _, i := range file.Imports {
		path, _ := strconv.Unquote(i.Path.Value)
		if first, _, _ := strings.Cut(path, "/"); strings.Contains(first, ".") && first != "example.com" {
			t.Errorf("steps.go imports %s", path)
		}
		known[path[strings.LastIndex(path, "/")+1:]] = true
	}
	functions := 0
	for _, d := range file.Decls {
		f, isFunc := d.(*ast.FuncDecl)
		if !isFunc {
			if g := d.(*ast.GenDecl); g.Tok != token.IMPORT {
				t.Errorf("%v: a step cannot take this along", fset.Position(g.Pos()))
			}
			continue
		}
		functions++
		if f.Doc == nil {
			t.Errorf("%s does not say what it does", f.Name)
		}
		text := string(source[fset.Position(f.Pos()).Offset:fset.Position(f.End()).Offset])
		if n := strings.Count(text, "\n") + 1; n > 30 {
			t.Errorf("%s has %d lines", f.Name, n)
		}
		alone, err := parser.ParseFile(token.NewFileSet(), "", "package p\n"+text, 0)
		if err != nil {
			t.Fatal(err)
		}
		for _, id := range alone.Unresolved {
			if !known[id.Name] && types.Universe.Lookup(id.Name) == nil {
				t.Errorf("%s needs %s, which stands elsewhere", f.Name, id.Name)
			}
		}
	}
	if functions != len(steps) {
		t.Errorf("%d functions for %d steps", functions, len(steps))
	}
}

// TestLesson checks the hour as a whole: all its steps, and numbers that are
// known from elsewhere (elementary group theory; Cohn 1988 for what is heard).
func TestLesson(t *testing.T) {
	out := ok(t, "")
	for n, s := range steps {
		wants(t, out, fmt.Sprintf("%d. %s\n", n+1, s.title))
		one := ok(t, "", "-step", strconv.Itoa(n+1))
		if !strings.HasPrefix(one, fmt.Sprintf("%d. ", n+1)) {
			t.Errorf("-step %d shows\n%s", n+1, one)
		}
		wants(t, out, one)
	}
	wants(t, out,
		"160 statements make 132 of them", "at least 1 and at most 1 times", "left open: 104",
		"In 11 of 11 orders", "0369/147T/258E",
		"Of 14 intervals, 14 make an octave",
		"heard in all: 8, 0134679T, octatonic", "heard in all: 6, 03478E, hexatonic", "heard in all: 6, 013679, no name in this list",
	)
	if strings.Contains(out, "false") {
		t.Errorf("a check in the lesson fails:\n%s", out)
	}
	if strings.Contains(out, "%!") {
		t.Errorf("a verb in the lesson is wrong:\n%s", out)
	}
}

// TestLawBackwardIsSpelledByItsIntervals reads the third step, letter by letter:
// from each key the interval leads to the next, and = to what the sheet calls it.
func TestLawBackwardIsSpelledByItsIntervals(t *testing.T) {
	out := ok(t, "", "-step", "3")
	names := figure.Major.Tonics()
	for _, line := range regexp.MustCompile(`(?m)^up (\S+): (.*)$`).FindAllStringSubmatch(out, -1) {
		step := interval.MustParse(line[1])
		var at spelling.Name
		for n, word := range strings.Fields(line[2]) {
			written, called, turns := strings.Cut(word, "=")
			reached := spelling.MustParseName(written)
			if n > 0 && reached != at.Up(step) {
				t.Errorf("%s: from %v to %v is %v", line[0], at, reached, at.To(reached))
			}
			if at = reached; turns {
				at = spelling.MustParseName(called)
			}
			if at != names[at.Class()] || at.Class() != reached.Class() {
				t.Errorf("%s: %s is no key of the sheet, or not the same", line[0], word)
			}
		}
		if at != 0 {
			t.Errorf("%s does not come back", line[0])
		}
	}
	wants(t, out, "up M2: C D E F♯=G♭ A♭ B♭ C\n", "  11 up and 1 down are an octave apart")
	if regexp.MustCompile(`-\d+ (up|down)`).MatchString(out) {
		t.Errorf("an interval goes down backward:\n%s", out)
	}
}

// TestNames: what has a name on another note than the tonic is not called by it
// alone (common practice, no source: C E G A is a chord of A), and what has no
// name in the library's list may well have one in the trade.
func TestNames(t *testing.T) {
	for f, want := range map[string]string{
		"5 3 6 1":         ": the same notes as the minor seventh chord on 9, set class",
		"2 5 1":           ": the same notes as the suspended fourth on 7, set class",
		"3 1 b7 2 #4 6 5": ": the same notes as the melodic minor on 7, set class",
		"5 b3 b7 1":       ": minor seventh chord, set class",
		"6 4 2 b6":        ": no name in this list, set class",
		"5 1":             ": no name in this list, set class",
		"b6 4 2 7":        ": the same notes as the diminished seventh chord on 258E, set class",
	} {
		wants(t, ok(t, "", "-figure", f, "-step", "6"), want)
	}
}

// TestSquareOfThePupilsNotes has notes written both ways and in any place among
// the flags.
func TestSquareOfThePupilsNotes(t *testing.T) {
	out := ok(t, "", "Fx5", "-step", "1", "B♭3")
	wants(t, out,
		"F𝄪5 lies 45 letters and 79 semitones from C-1.",
		"7·79 - 12·45 = 13, counted in fifths from C. That is the name F𝄪.", "7·13 modulo 12 = 7.", "79 modulo 12 = 7.",
		"B♭3 lies 34 letters and 58 semitones", "7·-2 modulo 12 = 10",
	)
	if strings.Contains(out, "E♭4") {
		t.Error("the usual notes are there too")
	}
	wants(t, ok(t, "", "-step", "1", "Eb4", "D#4"), "E♭4 and D♯4 are one key on the keyboard and 12 fifths apart.")
}

func TestFigureOfOnesOwn(t *testing.T) {
	out := ok(t, "", "-figure", "3 4 1", "-step", "7")
	wants(t, out,
		"plus the first note, M3, less the last, P1",
		"by m6: tonics [C4 A♭3 E3 C3], contour [3 2 1 0]\n    C4-C4 (P1, 0) A♭3-G♯3 (-d2, 0) E3-E3 (P1, 0)\n    joins on one note: 3 of 3\n",
	)
	wants(t, ok(t, "", "-figure", "1 3 5 7", "-step", "6"), "major seventh chord, set class 4-20, intervals 101220",
		"keys: 3; 2·3 = 6\n    heard in all: 6, 03478E, hexatonic")
}

func TestPlain(t *testing.T) {
	for _, args := range [][]string{{"-plain"}, {"-plain", "E𝄫4", "F𝄪4", "-figure", "1 ♭3 ♯4 ♮7"}, {"-plain", "-quiz", "60"}} {
		out := ok(t, strings.Repeat("\n", 60), args...)
		for k, r := range out {
			if r >= utf8.RuneSelf {
				t.Errorf("%q prints %q in %q", args, r, out[max(0, k-20):min(len(out), k+20)])
				break
			}
		}
	}
	wants(t, ok(t, "", "-plain", "Ebb4", "-step", "1"), "the name Ebb")
}

func TestRefuses(t *testing.T) {
	long := strings.Repeat("x", 1<<16)
	for _, test := range []struct {
		args []string
		want []string // what is given, and what is accepted
	}{
		{[]string{"H4"}, []string{`lesson: note "H4": `, "a letter from A to G"}},
		{[]string{"Eb"}, []string{`"Eb" at character 3`, "octave"}},
		{[]string{long}, []string{"xxx"}},
		{[]string{"-figure", "1 b3 x"}, []string{`"1 b3 x" at character 6`, "figure"}},
		{[]string{"-figure", ""}, []string{`-figure: figure: a figure has at least one event`}},
		{[]string{"-figure", "0 0"}, []string{`"0 0" has no note`, "1 b3 5"}},
		{[]string{"-figure", long}, []string{"xxx"}},
		{[]string{"-figure"}, []string{"needs an argument: -figure", "accepted are"}},
		{[]string{"-step", "8"}, []string{`"8"`, "from 1 to 7"}},
		{[]string{"-step", "0"}, []string{`"0"`, "from 1 to 7"}},
		{[]string{"-step", "two"}, []string{`"two"`, "from 1 to 7"}},
		{[]string{"-quiz", "0"}, []string{`"0"`, "from 1 to 200"}},
		{[]string{"-quiz", "201"}, []string{`"201"`, "from 1 to 200"}},
		{[]string{"-quiz", "many"}, []string{`"many"`, "from 1 to 200"}},
		{[]string{"-seed", "-1"}, []string{`"-1"`, "from 0 to 18446744073709551615"}},
		{[]string{"-quiz", "3", "Eb4"}, []string{"-quiz", "belong to the lesson"}},
		{[]string{"-quiz", "3", "-step", "2"}, []string{"-quiz", "belong to the lesson"}},
		{[]string{"-slow"}, []string{"-slow", "accepted are -figure, -step, -quiz, -seed, -plain"}},
		{[]string{"-" + long}, []string{"xxx", "accepted are"}},
		{[]string{"-plain=perhaps"}, []string{`"perhaps"`, "-plain"}},
	} {
		out, errs, status := try(t, "", test.args...)
		switch {
		case status != 2:
			t.Errorf("%.80q: status %d, %.400q, out %.80q: want 2", test.args, status, errs, out)
		case out != "":
			t.Errorf("%.80q: status %d, %.400q, out %.80q: it prints", test.args, status, errs, out)
		case strings.Count(errs, "\n") != 1:
			t.Errorf("%.80q: status %d, %.400q, out %.80q: not one line", test.args, status, errs, out)
		case len(errs) > 400:
			t.Errorf("%.80q: status %d, %.400q, out %.80q: a long message", test.args, status, errs, out)
		case !strings.HasPrefix(errs, "lesson: "):
			t.Errorf("%.80q: status %d, %.400q, out %.80q: the program is not named first", test.args, status, errs, out)
		}
		wants(t, errs, test.want...)
	}
}

func TestHelp(t *testing.T) {
	wants(t, ok(t, "", "-h"), "-quiz 10", "-figure", "steps go from 1 to "+strconv.Itoa(len(steps)))
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("no room") }

func TestOutputThatCannotBeWritten(t *testing.T) {
	for _, args := range [][]string{{}, {"-quiz", "2"}} {
		var stderr bytes.Buffer
		if status := run(args, strings.NewReader("1\n"), full{}, &stderr); status != 1 || !strings.Contains(stderr.String(), "no room") {
			t.Errorf("%q: status %d, %s", args, status, &stderr)
		}
	}
}

// reckon answers a question as a pupil does who counts on fingers, without the
// library: letters and semitones from a table of its own.
func reckon(t *testing.T, ask string) string {
	white := map[byte]int{'C': 0, 'D': 2, 'E': 4, 'F': 5, 'G': 7, 'A': 9, 'B': 11}
	perfectOrMajor := []int{0, 2, 4, 5, 7, 9, 11, 12}
	semitones := func(name string) int {
		n := white[name[0]]
		return n + strings.Count(name, "♯") - strings.Count(name, "♭") + 2*strings.Count(name, "𝄪") - 2*strings.Count(name, "𝄫")
	}
	size := func(i string) (letters, semis int) {
		letters = int(i[1]-'0') - 1
		perfect := strings.Contains("1458", i[1:])
		return letters, perfectOrMajor[letters] + map[string]int{"P": 0, "M": 0, "m": -1, "A": 1, "dtrue": -1, "dfalse": -2}[map[bool]string{
			true: fmt.Sprint("d", perfect), false: i[:1]}[i[0] == 'd']]
	}
	spell := func(letters, semis int) string {
		letters, octaves := ((letters%7)+7)%7, 0
		name := "CDEFGAB"[letters : letters+1]
		off := ((semis-white[name[0]]+6)%12+12+12*octaves)%12 - 6
		return name + strings.Repeat("b", max(0, -off)) + strings.Repeat("#", max(0, off))
	}
	named := func(letters, semis int) string {
		for _, q := range []string{"P", "M", "m", "A", "d"} {
			i := q + strconv.Itoa(letters+1)
			if strings.Contains("145", i[1:]) != (q == "P") && (q == "P" || q == "M" || q == "m") {
				continue
			}
			if l, s := size(i); l == letters && s == semis {
				return i
			}
		}
		return ""
	}
	inWords := regexp.MustCompile(`\(([PMmAd][1-8])\)`)
	note := regexp.MustCompile(`[A-G][♭♯𝄫𝄪]*`)
	i, letters, semis := "", 0, 0
	if m := inWords.FindStringSubmatch(ask); m != nil {
		i = m[1]
		letters, semis = size(i)
		ask = strings.Replace(ask, m[0], "", 1)
	}
	gcd := func(a, b int) int {
		for b != 0 {
			a, b = b, a%b
		}
		return a
	}
	switch {
	case strings.HasPrefix(ask, "How many semitones"):
		return strconv.Itoa(semis)
	case strings.HasPrefix(ask, "What is the inversion"):
		return named(7-letters, 12-semis)
	case strings.HasPrefix(ask, "Which interval"):
		ends := note.FindAllString(strings.TrimPrefix(strings.Split(ask, "?")[0], "Which"), 2)
		letter := func(n string) int { return strings.IndexByte("CDEFGAB", n[0]) }
		return named((letter(ends[1])-letter(ends[0])+7)%7, (semitones(ends[1])-semitones(ends[0])+12)%12)
	case strings.HasPrefix(ask, "Which note"):
		from := note.FindString(strings.TrimPrefix(ask, "Which"))
		way := 1
		if strings.Contains(ask, "below") {
			way = -1
		}
		return spell(strings.IndexByte("CDEFGAB", from[0])+way*letters, semitones(from)+way*semis)
	case strings.HasPrefix(ask, "Going up"):
		return strconv.Itoa(gcd(semis, 12))
	case strings.HasPrefix(ask, "An order"):
		from := note.FindString(strings.TrimPrefix(ask, "An"))
		return spell(strings.IndexByte("CDEFGAB", from[0])+letters, semitones(from)+semis)
	case strings.HasPrefix(ask, "The figure 1 ♭3 5 is played in "):
		heard := map[int]bool{}
		for _, key := range note.FindAllString(strings.TrimPrefix(ask, "The figure"), -1) {
			for _, n := range []int{0, 3, 7} {
				heard[(semitones(key)+n+12)%12] = true
			}
		}
		return strconv.Itoa(len(heard))
	}
	t.Fatalf("what does %q ask?", ask)
	return ""
}

func asked(t *testing.T, seed, n int) []question {
	f, err := figure.Parse("1 b3 5")
	if err != nil {
		t.Fatal(err)
	}
	return questions(options{figure: f, questions: n, seed: uint64(seed)})
}

// TestLawRightAnswersAreRight answers questions by counting on fingers and by
// what the quiz itself says is right, in ASCII and Unicode.
func TestLawRightAnswersAreRight(t *testing.T) {
	kinds := map[string]int{}
	for seed := range 30 {
		for _, q := range asked(t, seed, 40) {
			kinds[q.ask[:12]]++
			plain := strings.NewReplacer("♭", "b", "♯", "#", "𝄫", "bb", "𝄪", "x").Replace(q.answer)
			for _, text := range []string{q.answer, plain, reckon(t, q.ask)} {
				if m, remark := q.grade(text); m != right {
					t.Errorf("%s %q is marked %d: %s", q.ask, text, m, remark)
				}
			}
			for _, text := range []string{"?", "H", "-", "99999999999999999999", "E♭4", "minor", "\xff"} {
				if m, remark := q.grade(text); m != unread || remark == "" {
					t.Errorf("%s %q is marked %d: %s", q.ask, text, m, remark)
				}
			}
		}
	}
	if len(kinds) != 7 {
		t.Errorf("kinds of questions: %v", kinds)
	}
}

// TestLawEnharmonicSlips gives every spelling of the right sound: one is right,
// the others are slips, and every other sound is wrong; a key is right as well
// under the name that the sheets give it, which are those of the major keys.
func TestLawEnharmonicSlips(t *testing.T) {
	notes, keys, turns := 0, 0, 0
	names := figure.Major.Tonics()
	for seed := range 10 {
		for _, q := range asked(t, seed, 40) {
			note := strings.HasPrefix(q.ask, "Which note")
			if note {
				notes++
			} else if strings.HasPrefix(q.ask, "An order") {
				keys++
			} else {
				continue
			}
			want, err := spelling.ParseName(strings.TrimSuffix(q.answer, " major"))
			if err != nil {
				t.Fatal(err)
			}
			for n := spelling.Name(-12); n <= 18; n++ {
				m, remark := q.grade(n.Plain())
				switch {
				case n == want:
					if m != right || remark != "" {
						t.Errorf("%s %v: %d %s", q.ask, n, m, remark)
					}
				case n.Class() == want.Class() && !note && slices.Contains(names[:], n):
					turns++
					if m != right || !strings.Contains(remark, "enharmonic change") || !strings.Contains(q.why, "The sheet calls that key "+n.String()+",") {
						t.Errorf("%s %v: %d %s", q.ask, n, m, remark)
					}
				case n.Class() == want.Class():
					if m != slip || !strings.HasPrefix(remark, "Right sound, wrong letter: ") {
						t.Errorf("%s %v: %d %s", q.ask, n, m, remark)
					}
				case m != wrong:
					t.Errorf("%s %v: %d %s", q.ask, n, m, remark)
				}
			}
		}
	}
	if notes == 0 || turns == 0 || turns == keys {
		t.Errorf("%d notes and %d keys asked for, %d of these with an enharmonic change", notes, keys, turns)
	}
	for _, q := range asked(t, 1, 40) {
		if q.answer == "m3" || q.answer == "M3" {
			if m, remark := q.grade(map[string]string{"m3": "A2", "M3": "d4"}[q.answer]); m != slip || !strings.HasPrefix(remark, "Right sound") {
				t.Errorf("%s: %d %s", q.ask, m, remark)
			}
		}
	}
}

func TestSameSeedSameQuestions(t *testing.T) {
	asks := func(seed, n int) (all []string) {
		for _, q := range asked(t, seed, n) {
			all = append(all, q.ask)
		}
		return all
	}
	if !slices.Equal(asks(7, 20), asks(7, 20)) {
		t.Error("one seed asks different questions")
	}
	if slices.Equal(asks(7, 20), asks(8, 20)) {
		t.Error("two seeds ask the same questions")
	}
	// as long as there are others, none comes twice
	if all := asks(7, 20); len(slices.Compact(slices.Sorted(slices.Values(all)))) != 20 {
		t.Errorf("a question comes twice: %q", all)
	}
	if len(asks(7, maxQuestions)) != maxQuestions {
		t.Error("not as many as asked for")
	}
}

// TestPupil plays a pupil who answers well, slips, errs, types nonsense, passes
// and leaves.
func TestPupil(t *testing.T) {
	qs := asked(t, 5, 9)
	var lines []string
	for k, q := range qs[:7] {
		switch k {
		case 0:
			lines = append(lines, "many", "  "+q.answer+"  ")
		case 1:
			lines = append(lines, "m2")
		case 2:
			lines = append(lines, "")
		case 3: // the other spelling of the same sound
			want, _ := spelling.ParseName(q.answer)
			lines = append(lines, (want + 12).String())
		default:
			lines = append(lines, q.answer)
		}
	}
	out := ok(t, strings.Join(lines, "\n")+"\n", "-quiz", "9", "-seed", "5")
	wants(t, out,
		"Write a whole number, such as 4.\n> Right.\n"+qs[0].why,
		"No: m2 moves 1 letter and 1 semitone. The answer is "+qs[1].answer+".\n"+qs[1].why,
		"Passed. The answer is "+qs[2].answer+".",
		"Right sound, wrong letter: ",
		"8 of 9. "+qs[7].ask,
		"Right: 4, right in sound only: 1, wrong or passed: 2, not answered: 2.\n",
	)
	if strings.Contains(out, qs[7].why) || strings.Contains(out, qs[8].ask) {
		t.Errorf("it goes on after the answers end:\n%s", out)
	}
}

// TestTeacher prints the sheet with its answers.
func TestTeacher(t *testing.T) {
	out := ok(t, strings.Repeat("\n", 9), "-quiz", "9", "-seed", "5")
	for _, q := range asked(t, 5, 9) {
		wants(t, out, q.ask, "Passed. The answer is "+q.answer+".\n"+q.why)
	}
	wants(t, out, "Right: 0, right in sound only: 0, wrong or passed: 9, not answered: 0.")
}

func TestAnswerWithoutEnd(t *testing.T) {
	out, errs, status := try(t, strings.Repeat("x", 1<<20), "-quiz", "2")
	if status != 2 || strings.Count(errs, "\n") != 1 || !strings.Contains(errs, "one short line") {
		t.Errorf("status %d, %q, %q", status, errs, out)
	}
}
