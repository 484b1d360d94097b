package main

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/figure/playback/wav"
)

// TestTakeOfSound takes the idea from what was played on a trumpet, in the key
// that the trumpeter reads. The last note sounds on through its rest.
func TestTakeOfSound(t *testing.T) {
	trumpet, err := drill.Find("trumpet", drill.LevelComfortable)
	if err != nil {
		t.Fatal(err)
	}
	route, err := cycle.ParseRoute("0")
	if err != nil {
		t.Fatal(err)
	}
	d, err := drill.New(drill.Settings{Figure: figure.MustParse("1:3 5 4 2 3:2"), Route: route, Parts: []drill.Instrument{trumpet}, Tempo: 100, Closing: drill.ClosingFull})
	if err != nil {
		t.Fatal(err)
	}
	l, err := playback.New([]*drill.Drill{d}, playback.Options{Mode: playback.ModeModel})
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := wav.Write(&b, l, wav.Options{}); err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "idea.wav")
	if err := os.WriteFile(file, b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	const upbeat = `note     from sound the first note stands on beat 1; an upbeat has | behind it, as -figure "1:3 | 5 4 2 3:10"`
	const played, from = "Play     1:3 5 4 2 3:10   in major, in eighths", "from     idea.wav, heard as trumpet in B♭ in C, a quarter at 100"
	for _, c := range []struct {
		args, want []string
	}{
		{[]string{"-tempo", "100", "-key", "D"}, []string{"Play     ↓♭7:3 4 ♭3 1 2:10   in major, in eighths", "from     idea.wav, heard as trumpet in B♭ in D, a quarter at 100"}},
		{[]string{"-tempo", "100"}, []string{played, from, "note     it may be in F major too; -key says which it is"}},
		{nil, []string{played, from, upbeat, "note     it may be in F major too; -key says which it is", "note     its tempo was found; -tempo says what was counted", "note     the tempo is that of the file, 100; -tempo says another"}},
		{[]string{"-meter", "6/8"}, []string{played, from, "note     the tempo is that of the file, 67; -tempo says another"}},
		// A beat of 6/8 is three eighths.
		{[]string{"-meter", "6/8", "-tempo", "66"}, []string{played, "from     idea.wav, heard as trumpet in B♭ in C, a quarter at 99"}},
	} {
		got := headOf(t, append([]string{"-for", "trumpet", "-take", file}, c.args...)...)
		for _, want := range c.want {
			if !slices.Contains(got, want) {
				t.Errorf("%q: no %q in\n%q", c.args, want, got)
			}
		}
	}
	for args, want := range map[string]string{"": " in 4/4 at 100.\n", "-tempo 99": " in 4/4 at 99.\n", "-meter 6/8": " in 6/8 at 67.\n"} {
		if out, errs, _ := sheetOf(append(strings.Fields(args), "-for", "trumpet", "-take", file)...); !strings.Contains(out, want) {
			t.Errorf("%s: no %q in\n%s%s", args, want, out, errs)
		}
	}
	if out, errs, status := sheetOf("-for", "kazoo", "-take", file); status != 2 || out != "" || !strings.Contains(errs, `instrument "kazoo"`) {
		t.Errorf("%d, %s%s", status, out, errs)
	}
}
