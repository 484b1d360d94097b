package short_test

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// TestSixtyLines holds what is promised of the programs here: sixty lines at
// most, without blank lines, comments and what an Example prints.
func TestSixtyLines(t *testing.T) {
	files, err := filepath.Glob("*_test.go")
	if err != nil || len(files) < 6 {
		t.Fatal(files, err)
	}
	for _, name := range files {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		lines := 0
		for _, line := range strings.Split(string(text), "\n") {
			if line = strings.TrimSpace(line); line != "" && !strings.HasPrefix(line, "//") {
				lines++
			}
		}
		if name != "short_test.go" && lines > 60 {
			t.Errorf("%s has %d lines", name, lines)
		}
	}
}

// TestReadmeCompiles takes the README's ten lines of Go as they stand there, and
// runs them.
func TestReadmeCompiles(t *testing.T) {
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	code := regexp.MustCompile("(?s)## Ten lines of Go\n.*?```go\n(.*?)```").FindSubmatch(readme)
	if code == nil {
		t.Fatal("the README has no ten lines of Go")
	}
	if n := strings.Count(string(code[1]), "\n"); n > 10 {
		t.Errorf("they are %d lines", n)
	}
	imports := map[string]string{"cycle.": "cycle", "figure.": "figure", "drill.": "figure/drill", "interval.": "interval", "playback.": "figure/playback"}
	program := "package main\n\nimport (\n\t\"fmt\"\n\t\"log\"\n"
	for use, path := range imports {
		if strings.Contains(string(code[1]), use) {
			program += "\t\"example.com/keyorder/" + path + "\"\n"
		}
	}
	program += ")\n\nfunc main() {\n" + string(code[1]) + "}\n"
	dir, err := os.MkdirTemp(".", "readme")
	if err != nil {
		t.Fatal(err)
	}
	defer os.RemoveAll(dir)
	if err := os.WriteFile(filepath.Join(dir, "main.go"), []byte(program), 0o644); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("go", "run", "./"+dir).CombinedOutput()
	if err != nil || !strings.Contains(string(out), "C4 ") {
		t.Errorf("%v\n%s\n%s", err, out, program)
	}
}
