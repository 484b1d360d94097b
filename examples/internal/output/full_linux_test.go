package output

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// TestEveryProgram runs each program of examples with an output that is always
// full, as Linux has one: none takes that for success, and each says why.
func TestEveryProgram(t *testing.T) {
	full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer full.Close()
	list, err := exec.Command("go", "list", "-f", "{{if eq .Name \"main\"}}{{.ImportPath}}{{end}}", "example.com/keyorder/examples/...").Output()
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	take := filepath.Join(dir, "take.mid") // one note
	if err := os.WriteFile(take, []byte("MThd\x00\x00\x00\x06\x00\x00\x00\x01\x00\x60MTrk\x00\x00\x00\x0c\x00\x90\x3c\x40\x60\x80\x3c\x40\x00\xff\x2f\x00"), 0o644); err != nil {
		t.Fatal(err)
	}
	runs := map[string][]string{
		"changes":     {filepath.Join(dir, "changes")},
		"customdrill": {""},
		"embed":       {""},
		"lesson":      {"", "-unit 3", "-h", "-out " + filepath.Join(dir, "lesson")},
		"listen":      {take, "-json " + take, "-idea " + take},
		"page":        {"-port 0", "-out " + filepath.Join(dir, "out")},
		"quiz":        {"", "-h", "-out " + filepath.Join(dir, "quiz")},
		"sheet":       {"", "-answers", "-orders all", "-out " + filepath.Join(dir, "out")},
		"today":       {"-demo", "-demo -moves", "-h", "-log " + filepath.Join(dir, "log")},
	}
	in := map[string]string{"embed": `{"figure":"3 5 1 6","route":"(0369)","parts":[{"low":"C4","high":"A6"}]}`, "quiz": "\n\n"}
	paths, bin := strings.Fields(string(list)), filepath.Join(dir, "bin")
	// All at once, and without what a debugger reads, which takes long to link.
	build := exec.Command("go", append([]string{"build", "-ldflags=-s -w", "-o", bin + string(filepath.Separator)}, paths...)...)
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	for _, path := range paths {
		name := filepath.Base(path)
		if len(runs[name]) == 0 {
			t.Errorf("nothing runs %s", path)
		}
		for _, args := range runs[name] {
			var errs bytes.Buffer
			c := exec.Command(filepath.Join(bin, name), strings.Fields(args)...)
			c.Stdin, c.Stdout, c.Stderr = strings.NewReader(in[name]), full, &errs
			c.Run()
			if lines := strings.Split(strings.TrimSpace(errs.String()), "\n"); c.ProcessState.ExitCode() != 1 || !slices.ContainsFunc(lines, func(l string) bool {
				return strings.Contains(l, name+": ") && strings.Contains(l, "no space left on device")
			}) {
				t.Errorf("%s %s: status %d, %s", name, args, c.ProcessState.ExitCode(), errs.String())
			}
		}
	}
}
