package main

import (
	"fmt"
	"io"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"example.com/keyorder/examples/internal/disk"
)

// filesOf returns the sheet of some flags with its files.
func filesOf(t *testing.T, args ...string) (*sheet, []disk.File) {
	t.Helper()
	o, err := parseFlags(append([]string{"-out", "out"}, args...), io.Discard)
	if err != nil {
		t.Fatal(err)
	}
	s, err := newSheet(o, io.Discard)
	if err != nil {
		t.Fatal(err)
	}
	files, err := s.files()
	if err != nil {
		t.Fatal(err)
	}
	return s, files
}

// textOf returns what a file holds.
func textOf(t *testing.T, files []disk.File, name string) string {
	t.Helper()
	var b strings.Builder
	for _, f := range files {
		if f.Name == name {
			if err := f.Write(&b); err != nil {
				t.Fatal(err)
			}
		}
	}
	return b.String()
}

// TestPrintedPages holds how many pages a sheet has on paper.
func TestPrintedPages(t *testing.T) {
	for _, c := range []struct {
		args  []string
		pages int
	}{
		{nil, 1},
		{[]string{"-for", "trumpet", "-prompt-only"}, 1},
		{[]string{"-for", "trumpet", "-orders", "all"}, 2},
		{[]string{"-for", "trumpet", "-orders", "all", "-full"}, 5},
		{[]string{"-for", "trumpet", "-level", "full", "-figure", "3 5 1 6 over diatonic sevenths", "-orders", "P4", "-signatures", "-large", "-answers"}, 9},
		{[]string{"-for", fourteen, "-handouts"}, 1},
		{[]string{"-for", "clarinet", "-language", "german"}, 1},
		{[]string{"-for", fourteen, "-handouts", "-orders", "P4"}, 1},
	} {
		if s, _ := filesOf(t, c.args...); s.printed != c.pages {
			t.Errorf("%q: %d pages, want %d", c.args, s.printed, c.pages)
		}
	}
}

const fourteen = "flute, flute, oboe, clarinet, clarinet, bass clarinet, alto saxophone, tenor saxophone, trumpet, trumpet, horn, trombone, euphonium, tuba"

// TestLawWhatIsPrintedIsComplete: with several orders the answers have each key
// once, with -full and in the files for other programs every statement.
func TestLawWhatIsPrintedIsComplete(t *testing.T) {
	for _, args := range [][]string{{"-orders", "M3 P4"}, {"-orders", "all", "-for", "horn"}, {"-keys", "Bb Eb F#"}, {"-orders", "m3 -m3", "-pad", "run", "-figure", "3 5 1 6 4:2"}} {
		for _, full := range []bool{false, true} {
			if full {
				args = append(slices.Clone(args), "-full")
			}
			s, files := filesOf(t, args...)
			keys := regexp.MustCompile(`font-weight="bold">(?:back to )?[A-G][♭♯]?<`)
			all, once := 0, map[string]bool{}
			for _, d := range s.drills {
				all += d.Len()
				for st := range d.Parts()[0].Statements() {
					once[st.Written.Name().String()] = true
				}
			}
			want := all
			if len(s.drills) > 1 && !full {
				want = len(once)
			}
			html := textOf(t, files, "index.html")
			_, answers, _ := strings.Cut(html, "<h2>Answers")
			// Each stands there for paper and for a small screen.
			if got := len(keys.FindAllString(answers, -1)); got != 2*want {
				t.Errorf("%q: the page shows %d statements, want %d", args, got, 2*want)
			}
			words := regexp.MustCompile(`<words font-weight="bold">(?:back to )?[A-G][♭♯]?</words>`)
			if got := len(words.FindAllString(textOf(t, files, "sheet.musicxml"), -1)); got != all {
				t.Errorf("%q: the score has %d statements, want %d", args, got, all)
			}
		}
	}
}

// TestLawPromptOnlyHasNoAnswers: nothing outside the folder of the answers shows
// the notes of more than the first key, and what shows them is all there.
func TestLawPromptOnlyHasNoAnswers(t *testing.T) {
	for _, args := range [][]string{{"-prompt-only"}, {"-prompt-only", "-for", "flute, horn"}, {"-handouts", "-for", "flute, horn"}} {
		s, files := filesOf(t, args...)
		inside := 0
		for _, f := range files {
			if strings.HasPrefix(f.Name, answersFolder) {
				inside++
				continue
			}
			if strings.HasSuffix(f.Name, ".wav") {
				continue // to play along with
			}
			text := textOf(t, files, f.Name)
			if strings.HasSuffix(f.Name, "xml") || strings.HasSuffix(f.Name, ".mid") || strings.Contains(text, "Answers") || s.promptOnly && strings.Contains(text, answersFolder) || strings.Contains(text, "B   B F♯") {
				t.Errorf("%q: %s has answers", args, f.Name)
			}
		}
		if inside < 3 || len(textOf(t, files, answersFolder+"sheet.musicxml")) == 0 {
			t.Errorf("%q: %d files of answers", args, inside)
		}
	}
}

// TestCircleInALanguage: the circle names the keys as the rows beside it do.
func TestCircleInALanguage(t *testing.T) {
	_, files := filesOf(t, "-for", "clarinet", "-language", "german")
	_, circle, _ := strings.Cut(textOf(t, files, "index.html"), `<div class="circle">`)
	circle, _, _ = strings.Cut(circle, "</svg>")
	for name, want := range map[string]bool{"Des": true, "H": true, "B♭": true, "D♭": false, "B": false} {
		if got := strings.Contains(circle, ">"+name+"<"); got != want {
			t.Errorf("%s stands on the circle: %v", name, got)
		}
	}
}

// TestAnswersInALanguage: staves and files name the keys as the rows do.
func TestAnswersInALanguage(t *testing.T) {
	_, files := filesOf(t, "-for", "clarinet", "-language", "german")
	for name, end := range map[string]string{"index.html": "</text>", "sheet.musicxml": "</words>"} {
		text := textOf(t, files, name)
		if _, answers, ok := strings.Cut(text, "<h2>Answers"); ok {
			text = answers
		}
		for word, want := range map[string]bool{">Es": true, ">H": true, ">back to Des": true, ">E♭": false, ">B": false, ">back to D♭": false} {
			if got := strings.Contains(text, word+end); got != want {
				t.Errorf("%s has %s: %v", name, word, got)
			}
		}
	}
}

// TestScore: a score of a class has a system of all parts for each run of bars, each
// part with its name and its keys, among the answers where these stand apart; of the
// class of fourteen every system fits a page.
func TestScore(t *testing.T) {
	for _, c := range []struct {
		args []string
		name string
	}{
		{[]string{"-for", "trumpet, alto saxophone, viola"}, "score.html"},
		{[]string{"-for", "trumpet, horn", "-handouts", "-orders", "P4 m3"}, answersFolder + "score.html"},
		{[]string{"-for", "flute, tuba", "-prompt-only", "-orders", "P4 m3", "-full"}, answersFolder + "score.html"},
		{[]string{"-for", fourteen, "-large"}, "score.html"},
	} {
		s, files := filesOf(t, append([]string{"-score"}, c.args...)...)
		text := textOf(t, files, c.name)
		wide := regexp.MustCompile(`(?s)<div class="wide">(.*?)</div>`).FindAllStringSubmatch(text, -1)
		systems, statements := 0, 0
		for _, page := range wide {
			here := strings.Count(page[1], "<svg")
			systems += here
			height := 2 * headHeight
			for _, m := range regexp.MustCompile(`<svg [^>]*height="([0-9.]+)mm"`).FindAllStringSubmatch(page[1], -1) {
				h, err := strconv.ParseFloat(m[1], 64)
				if err != nil {
					t.Fatal(err)
				}
				height += h + scoreGap
			}
			if height > printedHeight+scoreGap {
				t.Errorf("%q: a page of the score is %v mm high", c.args, height)
			}
			for _, i := range s.parts {
				name, _, _ := strings.Cut(i.Name, " in ")
				if n := strings.Count(page[1], ">"+name+"<"); n < here {
					t.Errorf("%q: %s stands %d times before %d systems", c.args, name, n, here)
				}
			}
			statements += len(regexp.MustCompile(`font-weight="bold">(?:back to )?[A-G][♭♯]?<`).FindAllString(page[1], -1))
		}
		shown, err := s.shown()
		if err != nil {
			t.Fatal(err)
		}
		want := 0
		for _, d := range shown {
			want += d.Len() * len(s.parts)
		}
		if systems == 0 || statements != want || len(wide) != s.scored {
			t.Errorf("%q: %d systems on %d pages, %d are said, with %d statements, want %d", c.args, systems, len(wide), s.scored, statements, want)
		}
	}
	if out, errs, status := sheetOf("-score", "-out", fmt.Sprint(t.TempDir(), "/out")); status != 2 || !strings.Contains(errs, "-score: it is for several instruments") {
		t.Errorf("status %d, %s%s", status, errs, out)
	}
}

// TestLawAPlayersPageHasThatPlayersKeys: each player of a class has a page,
// one if there is one order, the rows on it are the keys that the part reads, in the order in
// which it plays them, and no other key is named on it.
func TestLawAPlayersPageHasThatPlayersKeys(t *testing.T) {
	for _, args := range [][]string{
		{"-for", fourteen, "-orders", "P4"},
		{"-for", "trumpet, alto saxophone, horn", "-keys", "Bb Eb F Ab"},
		{"-for", "alto saxophone, flute", "-keys", "A D F#", "-written"},
		{"-for", "clarinet, viola, tuba", "-orders", "signs M3", "-from", "Eb", "-names", "flats", "-scale", "dorian"},
	} {
		s, files := filesOf(t, append([]string{"-handouts"}, args...)...)
		pages := 0
		for part := range s.parts {
			text := textOf(t, files, handoutFolder+s.partFile(part)+".html")
			if text == "" {
				t.Fatalf("%q: no page for %s", args, s.parts[part].Name)
			}
			pages += strings.Count(text, `<section class="sheet">`)
			var want []string
			allowed := map[string]bool{}
			for _, d := range s.drills {
				for st := range d.Parts()[part].Statements() {
					name := st.Written.Name().String()
					if allowed[name] = true; st.Return {
						name = "back to " + name
					}
					want = append(want, name)
				}
			}
			var got []string
			for _, m := range regexp.MustCompile(`<i class="box"></i>([^<]*)<`).FindAllStringSubmatch(text, -1) {
				got = append(got, m[1])
			}
			if !slices.Equal(got, want) {
				t.Errorf("%q: %s has the keys\n%q, want\n%q", args, s.parts[part].Name, got, want)
			}
			for _, m := range regexp.MustCompile(`(?:In|in|from|on) ([A-G][♭♯]?)\b[^♭♯]`).FindAllStringSubmatch(strings.NewReplacer(s.parts[part].Name, "the instrument", "Clockwise from C", "").Replace(text), -1) {
				if !allowed[m[1]] {
					t.Errorf("%q: the page of %s says %q", args, s.parts[part].Name, m[0])
				}
			}
			// The answers have the clef and the notes of the part in the class.
			if answers := textOf(t, files, answersFolder+s.partFile(part)+".html"); !strings.Contains(answers, "<h2>Answers, "+s.parts[part].Name) {
				t.Errorf("%q: no answers for %s", args, s.parts[part].Name)
			}
		}
		if one := len(s.orders) == 1; one && pages != len(s.parts) || s.handed != pages {
			t.Errorf("%q: %d pages for %d players, and %d are said", args, pages, len(s.parts), s.handed)
		}
		if index := textOf(t, files, "index.html"); strings.Count(index, `href="`+handoutFolder) != len(s.parts) || !strings.Contains(index, "What each part reads") {
			t.Errorf("%q: the teacher's page has no table or not all links", args)
		}
	}
	if out, errs, status := sheetOf("-handouts", "-out", fmt.Sprint(t.TempDir(), "/out")); status != 2 || !strings.Contains(errs, "-handouts: it is for a class") {
		t.Errorf("status %d, %s%s", status, errs, out)
	}
}

// TestPagesTurnBetweenChoruses: each page of answers begins with a key, or the way back to one.
func TestPagesTurnBetweenChoruses(t *testing.T) {
	_, files := filesOf(t, "-for", "trumpet", "-level", "full", "-figure", "3 5 1 6 over jazz blues", "-orders", "P4")
	pages := strings.Split(textOf(t, files, "index.html"), "<h2>Answers")[1:]
	for n, page := range pages {
		page, _, _ = strings.Cut(page, `class="narrow"`)
		if _, keys, _ := strings.Cut(page, "<desc>"); !strings.HasPrefix(keys, "Keys: ") {
			t.Errorf("page %d of the answers begins with %.20q", n+1, keys)
		}
	}
	if len(pages) < 4 {
		t.Errorf("the answers have %d pages", len(pages))
	}
}
