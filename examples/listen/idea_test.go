package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/notation"
	"example.com/keyorder/figure/notation/musicxml"
)

// TestIdea: an idea becomes a figure, in the key that fits, that the file says or that
// is asked for, and the command for its sheet is printed. The last note of a line
// sounds on through its rest, and is as long here.
func TestIdea(t *testing.T) {
	sound, midi := takes(t, "1:3 5 4 2 3:2", "0", 100)
	const sheet = "\ngo run ./examples/sheet -figure "
	upbeat := func(figure string) string {
		return fmt.Sprintf("note from sound the first note stands on beat 1; an upbeat has | behind it, as -figure %q\n", figure)
	}
	for _, c := range []struct {
		file string
		args []string
		want string
	}{
		{sound, []string{"-tempo", "100"}, "1:3 5 4 2 3:10\nfrom C, tempo 100\nnote it may be in F major too; -key says which it is\n" + upbeat("1:3 | 5 4 2 3:10") + sheet + `"1:3 5 4 2 3:10" -from C -for trumpet -tempo 100` + "\n"},
		{sound, []string{"-tempo", "100", "-key", "F major", "-plain"}, "v5:3 2 1 v6 v7:10\nfrom F, tempo 100\n" + upbeat("v5:3 | 2 1 v6 v7:10") + sheet + `"v5:3 2 1 v6 v7:10" -from F -for trumpet -tempo 100` + "\n"},
		{sound, nil, "1:3 5 4 2 3:10\nfrom C, tempo 100\nnote it may be in F major too; -key says which it is\n" + upbeat("1:3 | 5 4 2 3:10") + "note its tempo was found; -tempo says what was counted\n" + sheet + `"1:3 5 4 2 3:10" -from C -for trumpet -tempo 100` + "\n"},
		{midi, nil, "1:3 5 4 2 3:10\nfrom B♭ as the file has it, C for the trumpet in B♭, in 4/4, tempo 100\nnote the file has the signature of B♭ major: it is read in B♭; -key names another, as -key \"G minor\"\n" + sheet + `"1:3 5 4 2 3:10" -from C -for trumpet -tempo 100` + "\n"},
		{midi, []string{"-key", "Es", "-language", "german", "-tempo", "90"}, "↓5:3 2 1 ↓6 ↓7:10\nfrom Es as the file has it, F for the trumpet in B♭, in 4/4, tempo 90\n" + sheet + `"v5:3 2 1 v6 v7:10" -from F -for trumpet -tempo 90 -language german` + "\n"},
		{midi, []string{"-bars", "2-2", "-json"}, `{"figure":"1:3 5 4 2 3:10","key":"C","meter":"4/4","tempo":100,"notes":["the file has the signature of B♭ major: it is read in B♭; -key names another, as -key \"G minor\""]}` + "\n"},
	} {
		out, errs, status := listen(append(append([]string{"-for", "trumpet"}, c.args...), "-idea", c.file)...)
		if status != 0 || errs != "" || out != c.want {
			t.Errorf("%q, %s: %d, %s%s\nwant %s", c.args, filepath.Base(c.file), status, out, errs, c.want)
		}
	}
}

// TestIdeaOfAFile: tempo, meter, bars, pickup, key, chords and what sounds together are
// those of the file, in MIDI and in a score.
func TestIdeaOfAFile(t *testing.T) {
	flute, err := drill.Find("flute", drill.LevelFull)
	if err != nil {
		t.Fatal(err)
	}
	route, err := cycle.ParseRoute("2")
	if err != nil {
		t.Fatal(err)
	}
	three, err := drill.MeterOf(3, 4)
	if err != nil {
		t.Fatal(err)
	}
	set := drill.Settings{Figure: figure.MustParse("5 | {2 m7} 1+5:3 4 b3:2 1:6"), Route: route, Parts: []drill.Instrument{flute}, Tempo: 72, Meter: three}
	_, midi := written(t, set)
	d, err := drill.New(set)
	if err != nil {
		t.Fatal(err)
	}
	score, err := notation.New([]*drill.Drill{d}, notation.Options{Signatures: true})
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := musicxml.Write(&b, score); err != nil {
		t.Fatal(err)
	}
	xml := filepath.Join(t.TempDir(), "take.musicxml")
	if err := os.WriteFile(xml, b.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		want string
		args []string
	}{
		{"5 | 1+5:3 4 ♭3:2 1:12\nfrom D, in 3/4, tempo 72\n", []string{"-bars", "2-4", "-idea", midi}},
		{"5 | 1+5:3 4 3:2 1:12 in dorian\nfrom D, in 3/4, tempo 72\n", []string{"-key", "D dorian", "-bars", "2-4", "-idea", midi}},
		{"5 | {2 m7} 1+5:3 4 ♭3:2 1:6\nfrom D, in 3/4, tempo 72\n", []string{"-bars", "1-3", "-idea", xml}},
	} {
		if out, errs, status := listen(c.args...); status != 0 || errs != "" || !strings.HasPrefix(out, c.want) || !strings.Contains(out, " -meter 3/4") {
			t.Errorf("%q: %d, %s%s\nwant %s", c.args, status, out, errs, c.want)
		}
	}
}

// TestIdeaCountsBeats: the tempo counts the beats of the meter, in 6/8 dotted quarters.
func TestIdeaCountsBeats(t *testing.T) {
	flute, err := drill.Find("flute", drill.LevelFull)
	if err != nil {
		t.Fatal(err)
	}
	meter, err := drill.ParseMeter("6/8")
	if err != nil {
		t.Fatal(err)
	}
	route, err := cycle.ParseRoute("2")
	if err != nil {
		t.Fatal(err)
	}
	_, midi := written(t, drill.Settings{Figure: figure.MustParse("3:2 5 1:3"), Route: route, Parts: []drill.Instrument{flute}, Tempo: 60, Meter: meter})
	out, errs, status := listen("-idea", midi)
	if status != 0 || errs != "" || !strings.Contains(out, ", in 6/8, tempo 60\n") || !strings.Contains(out, " -meter 6/8 -tempo 60") {
		t.Error(status, out, errs)
	}
}
