package main

import (
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write testdata anew")

// tried returns what is printed about the package in testdata/tiny, without the
// seconds.
func tried(t *testing.T, s settings) (string, error) {
	t.Helper()
	s.root, s.parallel = "testdata/tiny", 2
	if s.seed == 0 {
		s.seed = 1
	}
	var out strings.Builder
	err := mutate(&out, s, []string{"."})
	return regexp.MustCompile(`, \d+ s\n`).ReplaceAllString(out.String(), "\n"), err
}

// TestSurvivors holds all that is printed against testdata/tiny.txt, which was
// read by hand: every mutant of the function without a test, and of the others
// those that were left alive on purpose.
func TestSurvivors(t *testing.T) {
	got, err := tried(t, settings{})
	if err != nil {
		t.Fatal(err)
	}
	if *update {
		if err := os.WriteFile("testdata/tiny.txt", []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile("testdata/tiny.txt")
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

func TestSample(t *testing.T) {
	all, err := tried(t, settings{})
	if err != nil {
		t.Fatal(err)
	}
	known := map[string]bool{}
	for _, line := range strings.Split(all, "\n") {
		known[line] = true
	}
	one, _ := tried(t, settings{sample: 20, seed: 1})
	again, _ := tried(t, settings{sample: 20, seed: 1})
	other, _ := tried(t, settings{sample: 20, seed: 2})
	if one != again || one == other || !strings.Contains(one, ": 20 of ") {
		t.Errorf("seed 1:\n%s\nagain:\n%s\nseed 2:\n%s", one, again, other)
	}
	for _, line := range strings.Split(one, "\n") {
		if strings.HasPrefix(line, "tiny.go:") && !known[line] {
			t.Errorf("%s is not among all survivors", line)
		}
	}
}

func TestEquivalents(t *testing.T) {
	list := filepath.Join(t.TempDir(), "list")
	write := func(text string) {
		t.Helper()
		if err := os.WriteFile(list, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	write(`# a comment
tiny.go larger
if a > b {
a > b → a >= b
Equal numbers are the same number.

tiny.go total
sum += k
sum += k → sum -= k
A test kills this one.

tiny.go larger
if b > a {
a > b → a >= b
There is no such line.

elsewhere.go larger
if b > a {
a > b → a >= b
Another package.
`)
	out, err := tried(t, settings{list: list})
	if err == nil {
		t.Fatal("no error")
	}
	for _, want := range []string{
		"line 12 is no mutant: tiny.go larger | if b > a { | a > b → a >= b\n",
		"has 2 of ", "more than 2 %",
		"tiny.go:19:7: a test notices: sum += k → sum -= k",
	} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("%v\nwithout %q", err, want)
		}
	}
	if strings.Contains(out, "a > b → a >= b") {
		t.Error("an equivalent mutant is printed as a survivor")
	}
	write("tiny.go larger\nif a > b {\n")
	if _, err := tried(t, settings{list: list}); err == nil || !strings.Contains(err.Error(), "four lines") {
		t.Errorf("half an entry: %v", err)
	}
}

// TestNothingToTry has no tests left, and no package.
func TestNothingToTry(t *testing.T) {
	if _, err := tried(t, settings{skip: "."}); err == nil || !strings.Contains(err.Error(), "no test passes") {
		t.Errorf("%v", err)
	}
	if err := mutate(&strings.Builder{}, settings{root: "testdata/tiny"}, []string{"./nowhere"}); err == nil {
		t.Error("no such package, no error")
	}
}
