package main

import (
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// TestVariationsFromDayToDay: after a clean day the plan takes a variation, records it
// as one of its figure, takes the next one another day, and -vary chooses them.
func TestVariationsFromDayToDay(t *testing.T) {
	log := []string{"-log", filepath.Join(t.TempDir(), "log.jsonl")}
	day := func(day int, more ...string) string { return okOn(t, day, "", append(slices.Clone(log), more...)...) }
	variations := func() (all []string) {
		for _, e := range logged(t, log[1]).Entries {
			if e.Figure.Plain() != "3 5 1 6" {
				t.Errorf("%v was logged", e.Figure)
			}
			if v := e.Variation.String(); v != "" {
				all = append(all, v)
			}
		}
		return all
	}
	if out := day(2, "-figures", "turn = 3 5 1 6", "-minutes", "6", "-for", "flute", "-vary", "octave up 2; displaced 1/8"); strings.Contains(out, "varied") {
		t.Errorf("a new figure is varied:\n%s", out)
	}
	day(2, "-done", "-clean", "16")
	out := day(4)
	if strings.Count(out, "varied: octave up 2\n         3 12 1 6\n") != 1 {
		t.Fatalf("the plan has no variation:\n%s", out)
	}
	if out := day(4, "-done", "-clean", "6", "-of", "6", "-block", "2"); !strings.Contains(out, "block 2, 6 of 6") {
		t.Error(out)
	}
	if got := variations(); !slices.Equal(got, []string{"octave up 2"}) {
		t.Errorf("logged are %q", got)
	}
	if out := day(4); !strings.Contains(out, "DONE, 6 of 6 clean") {
		t.Errorf("the varied block is not shown as done:\n%s", out)
	}
	if out := day(7); !strings.Contains(out, "varied: displaced 1/8\n         0 3 5 1 6\n") {
		t.Errorf("another day takes another:\n%s", out)
	}
	if out := day(8, "-vary", ""); strings.Contains(out, "varied") {
		t.Errorf("none is none:\n%s", out)
	}
	if out := day(8, "-figures", "turn = 3 5 1 6"); strings.Contains(out, "varied") {
		t.Errorf("none goes on:\n%s", out)
	}
	if out := day(8, "-vary", "rotation 1"); !strings.Contains(out, "varied: rotation 1\n         5 1 6 3\n") {
		t.Errorf("rotation:\n%s", out)
	}
	if out := day(8, "-undo"); !strings.Contains(out, "3 5 1 6 varied, octave up 2, on the flute") {
		t.Error(out)
	}
	for vary, want := range map[string]string{"backward": `variation "backward"`, "octave up 9": "-vary: none of the figures can be varied by octave up 9"} {
		if r := doOn(8, "", append(slices.Clone(log), "-figures", "3 5 1 6", "-vary", vary)...); r.status != 2 || !strings.Contains(r.err, want) {
			t.Errorf("%s: %+v", vary, r)
		}
	}
}
