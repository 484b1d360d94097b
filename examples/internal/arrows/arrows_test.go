// Package arrows holds the test that packages import downward only.
package arrows

import (
	"os/exec"
	"slices"
	"strings"
	"testing"
)

// order lists the library's packages from the top; each may import those
// below it. DEVELOPERS.md explains the list.
var order = strings.Fields(`
	figure/session
	figure/practice
	figure/listening
	figure/notation/musicxml figure/notation/staff
	figure/notation
	figure/playback/smf figure/playback/wav
	figure/playback
	figure/figuretest
	figure/accompaniment
	figure/drill
	figure/internal/bars
	figure/internal/enum
	cycle/diagram
	figure spelling/chord cycle spelling interval pitch pitch/fault`)

func TestArrows(t *testing.T) {
	module := goList(t, "-m")[0]
	for _, line := range goList(t, "-f", "{{.ImportPath}} {{join .Imports \" \"}}", module+"/...") {
		words := strings.Fields(line)
		from := strings.TrimPrefix(words[0], module+"/")
		if strings.HasPrefix(from, "examples/") {
			continue
		}
		at := slices.Index(order, from)
		if at < 0 {
			t.Errorf("%s is not in the list of packages", from)
		}
		for _, imported := range words[1:] {
			to, own := strings.CutPrefix(imported, module+"/")
			switch {
			case !own && strings.Contains(imported, "."):
				t.Errorf("%s imports %s, which is not in the standard library", from, imported)
			case own && to == "figure/figuretest":
				t.Errorf("%s imports %s, which is for tests", from, imported)
			case own && slices.Index(order, to) <= at:
				t.Errorf("%s imports %s, which does not lie below it", from, to)
			}
		}
	}
}

func goList(t *testing.T, args ...string) []string {
	t.Helper()
	out, err := exec.Command("go", append([]string{"list"}, args...)...).CombinedOutput()
	if err != nil {
		t.Fatalf("go list %v: %v\n%s", args, err, out)
	}
	return strings.Split(strings.TrimSpace(string(out)), "\n")
}
