package exercises

import (
	"encoding/json"
	"flag"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

var all = flag.Bool("all", false, "try every exercise, which takes a minute")

// run runs the tests of exercises as a student does, with their stubs or, in their
// place, with the solutions.
func run(t *testing.T, folders []string, solved bool) (passed bool, output string) {
	t.Helper()
	args := []string{"test", "-tags", "exercise", "-count", "1"}
	if solved {
		replace := map[string]string{}
		for _, f := range folders {
			replace[absolute(t, f, "exercise.go")] = absolute(t, "solutions", f, "solution.go")
		}
		overlay := filepath.Join(t.TempDir(), "overlay.json")
		text, err := json.Marshal(map[string]any{"Replace": replace})
		if err == nil {
			err = os.WriteFile(overlay, text, 0o666)
		}
		if err != nil {
			t.Fatal(err)
		}
		args = append(args, "-overlay", overlay)
	}
	for _, f := range folders {
		args = append(args, "./"+f)
	}
	text, err := exec.Command("go", args...).CombinedOutput()
	return err == nil, string(text)
}

func absolute(t *testing.T, parts ...string) string {
	t.Helper()
	p, err := filepath.Abs(filepath.Join(parts...))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// folders returns the folders of the exercises, or one of them.
func folders(t *testing.T) []string {
	t.Helper()
	found, err := filepath.Glob("[0-9][0-9]-*")
	if err != nil || len(found) != 10 {
		t.Fatalf("%d exercises are found, want ten: %v", len(found), err)
	}
	if !*all {
		return []string{"03-cycles"}
	}
	return found
}

func TestSolutionsPass(t *testing.T) {
	if ok, output := run(t, folders(t), true); !ok {
		t.Errorf("not every solution passes:\n%s", output)
	}
}

// Each test of each exercise fails on the stub, and says what it wanted.
func TestStubsFail(t *testing.T) {
	for _, f := range folders(t) {
		ok, output := run(t, []string{f}, false)
		if ok {
			t.Errorf("%s passes with nothing written", f)
			continue
		}
		tests, err := os.ReadFile(filepath.Join(f, "exercise_test.go"))
		if err != nil {
			t.Fatal(err)
		}
		for _, line := range strings.Split(string(tests), "\n") {
			name, isTest := strings.CutPrefix(line, "func Test")
			if name, _, _ = strings.Cut(name, "("); isTest && !strings.Contains(output, "--- FAIL: Test"+name) {
				t.Errorf("%s: Test%s does not fail with nothing written", f, name)
			}
		}
		if strings.Contains(output, "panic:") {
			t.Errorf("%s: a test panics instead of saying what it wanted:\n%s", f, output)
		}
	}
}

// A solution has fewer than forty lines of code and does not use the library.
func TestSolutionsAreShort(t *testing.T) {
	found, err := filepath.Glob("solutions/*/solution.go")
	if err != nil || len(found) != 10 {
		t.Fatalf("%d solutions are found, want ten: %v", len(found), err)
	}
	for _, p := range found {
		text, err := os.ReadFile(p)
		if err != nil {
			t.Fatal(err)
		}
		lines := 0
		for _, l := range strings.Split(string(text), "\n") {
			if l = strings.TrimSpace(l); l != "" && !strings.HasPrefix(l, "//") {
				lines++
			}
		}
		if lines >= 40 {
			t.Errorf("%s has %d lines of code, want fewer than forty", p, lines)
		}
		if strings.Contains(string(text), "keyorder") {
			t.Errorf("%s uses the library", p)
		}
	}
}
