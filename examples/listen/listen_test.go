package main

import (
	"bytes"
	"encoding/json"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/figure/playback/smf"
	"example.com/keyorder/figure/playback/wav"
	"example.com/keyorder/figure/practice"
)

func listen(args ...string) (stdout, stderr string, status int) {
	var out, errs bytes.Buffer
	status = run(args, &out, &errs)
	return out.String(), errs.String(), status
}

// takes writes a take of a figure as sound and as MIDI.
func takes(t *testing.T, text, route string, tempo int) (sound, midi string) {
	t.Helper()
	return takesOf(t, "trumpet", figure.MustParse(text), route, tempo)
}

// takesOf is takes of any instrument.
func takesOf(t *testing.T, player string, f figure.Figure, route string, tempo int) (sound, midi string) {
	t.Helper()
	i, err := drill.Find(player, drill.LevelComfortable)
	if err != nil {
		t.Fatal(err)
	}
	r, err := cycle.ParseRoute(route)
	if err != nil {
		t.Fatal(err)
	}
	return written(t, drill.Settings{Figure: f, Route: r, Parts: []drill.Instrument{i}, Tempo: tempo, Closing: drill.ClosingFull})
}

// written writes a take of a drill as sound and as MIDI.
func written(t *testing.T, set drill.Settings) (sound, midi string) {
	t.Helper()
	d, err := drill.New(set)
	if err != nil {
		t.Fatal(err)
	}
	return played(t, d, playback.Options{Mode: playback.ModeModel})
}

// played writes a take of a drill that is heard in some way.
func played(t *testing.T, d *drill.Drill, o playback.Options) (sound, midi string) {
	t.Helper()
	l, err := playback.New([]*drill.Drill{d}, o)
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	sound, midi = filepath.Join(dir, "take.wav"), filepath.Join(dir, "take.mid")
	for path, write := range map[string]func(io.Writer) error{
		sound: func(w io.Writer) error { return wav.Write(w, l, wav.Options{}) },
		midi:  func(w io.Writer) error { return smf.Write(w, l) },
	} {
		var b bytes.Buffer
		if err := write(&b); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return sound, midi
}

var asks = []string{"-for", "trumpet", "-figure", "3 5 1 6", "-keys", "C Eb Gb A", "-tempo", "120", "-close", "full", "-sound", "model"}

// TestShortRest: a rest that is too short is told with what has room.
func TestShortRest(t *testing.T) {
	_, midi := takes(t, "3 5 1 6", "0369", 120)
	_, errs, status := listen("-figure", "3 5 1 6 5 2 4 1:2", "-meter", "3/4", "-rest", "1", midi)
	if status != 2 || !strings.Contains(errs, "write -rest 2, or -sound model") {
		t.Error(status, errs)
	}
}

// TestWords: what is printed of a clean take, and of one with faults, from sound
// and from MIDI.
func TestWords(t *testing.T) {
	for played, want := range map[string][4]string{
		"3 5 1 6":           {"  1  C   clean", "  2  E♭  clean", "  3  G♭  clean", "  4  A   clean"},
		"3 5 1 b6":          {"  1  C   note 4 was A♭, not A", "  2  E♭  note 4 was B, not C", "  3  G♭  note 4 was D, not E♭", "  4  A   note 4 was F, not F♯"},
		"3 0 1 6":           {"  1  C   note 2 was missing", "", "", ""},
		"3 5:1/2 4:1/2 1 6": {"  1  C   an extra F after note 2", "  2  E♭  an extra A♭ after note 2", "", ""},
		"3 5:3/2 1:1/2 6":   {"  1  C   note 3 came 125 ms late", "", "", ""},
		"#4 6 2 7 0":        {"  1  C   you played in D", "  2  E♭  you played in F", "  3  G♭  you played in A♭", "  4  A   you played in B"},
	} {
		sound, midi := takes(t, played, "0369", 120)
		for _, file := range []string{sound, midi} {
			out, errs, status := listen(append(asks, file)...)
			if status != 0 || errs != "" {
				t.Errorf("%s: status %d, %s", played, status, errs)
			}
			lines := strings.Split(out, "\n")
			for n, w := range want {
				if len(lines) < 5 || w != "" && nearly(lines[n]) != nearly(w) {
					t.Errorf("%s, %s: %q, want %q", filepath.Base(file), played, lines, w)
				}
			}
		}
	}
}

// nearly forgets the last digit of milliseconds.
func nearly(line string) string {
	if at := strings.Index(line, " ms"); at > 0 {
		return line[:at-1] + line[at:]
	}
	return line
}

// TestSummary: the last line.
func TestSummary(t *testing.T) {
	_, midi := takes(t, "3 5 1 6", "0369", 120)
	out, _, _ := listen(append(asks, midi)...)
	if lines := strings.Split(strings.TrimSpace(out), "\n"); lines[4] != "4 of 4 clean. Cents of notes 1: +0, 2: +0, 3: +0, 4: +0. You neither rushed nor dragged." {
		t.Error(lines[4])
	}
}

// TestJSON: the objects are those that the documentation shows.
func TestJSON(t *testing.T) {
	sound, midi := takes(t, "3 0 1 b6", "0369", 120)
	want := []string{
		`{"statement":1,"key":"C","clean":false,"faults":[{"note":2,"kind":"missing"},{"note":4,"kind":"wrong","heard":"Ab"}]}`,
		`{"statement":2,"key":"Eb","clean":false,"faults":[{"note":2,"kind":"missing"},{"note":4,"kind":"wrong","heard":"B"}]}`,
	}
	for _, file := range []string{sound, midi} {
		out, errs, status := listen(append(asks, "-json", file)...)
		lines := strings.Split(out, "\n")
		if status != 0 || errs != "" || len(lines) != 5 || lines[0] != want[0] || lines[1] != want[1] {
			t.Errorf("%d, %s, %s", status, out, errs)
		}
		for _, l := range lines[:4] {
			if !json.Valid([]byte(l)) {
				t.Error(l)
			}
		}
	}
}

// TestLog: the verdicts go into the log, with the keys that failed.
func TestLog(t *testing.T) {
	_, midi := takes(t, "3 5 1 b6", "0369", 120)
	log := filepath.Join(t.TempDir(), "deep", "log.jsonl")
	out, errs, status := listen(append(asks, "-log="+log, midi)...)
	if status != 0 || errs != "" || !strings.HasSuffix(out, "Recorded in "+log+", in 1 entry.\n") {
		t.Fatal(status, out, errs)
	}
	if out, _, _ := listen(append(asks, "-log="+log, midi)...); !strings.Contains(out, "\nThe log had the same of today already, ") {
		t.Errorf("the second time it says %s", out)
	}
	f, err := os.Open(log)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	l, err := practice.Read(f)
	if err != nil || len(l.Entries) != 2 || l.Bad != 0 {
		t.Fatal(l, err)
	}
	if e := l.Entries[0]; e.Played != 4 || e.Clean != 0 || e.FailedKeys.String() != "0" || e.FailedMoves.String() != "03 36 69" || !e.FirstTry || l.Entries[1].FirstTry {
		t.Errorf("%+v", e)
	}
}

// TestRefused: what is wrong is said, and no more.
func TestRefused(t *testing.T) {
	sound, midi := takes(t, "3 5 1 6", "0", 120)
	text := filepath.Join(t.TempDir(), "text.wav")
	if err := os.WriteFile(text, []byte("no sound at all"), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		want string
		args []string
	}{
		{"name the file of the take", nil},
		{"is one file too many", []string{sound, midi}},
		{"is one file too many", []string{"-idea", sound, midi}},
		{"no such file", []string{"missing.wav"}},
		{"it is neither sound (WAVE) nor MIDI; record it as WAV (PCM), or export it as MIDI (.mid)", []string{text}},
		{"-key is of an idea", []string{"-key", "C", sound}},
		{"-bars is of an idea", []string{"-bars", "2", sound}},
		{"-part is of an idea", []string{"-part", "2", sound}},
		{`"-for": flags stand before the file, which is the last`, []string{midi, "-for", "trumpet"}},
		{`"-plain": flags stand before the file`, []string{"-idea", midi, "C", "-plain"}},
		{`-log takes its file with =: write -log=practice.jsonl`, []string{"-log", "practice.jsonl", midi}},
		{"neither a MIDI file (.mid) nor a score", []string{"-json", "-idea", text}},
		{"-swing says what was asked for", []string{"-swing", "2:1", "-idea", midi}},
		{"-figure says what was asked for", []string{"-figure", "1", "-idea", midi}},
		{"-orders says what was asked for", []string{"-orders", "P4", "-idea", midi}},
		{"-charge: an idea is not judged", []string{"-charge", "strict", "-idea", midi}},
		{"0 beats a minute", []string{"-tempo", "0", "-idea", midi}},
		{`invalid value "abc" for flag -tempo: it is a whole number of beats a minute, from 10 to 500`, []string{"-tempo", "abc", midi}},
		{`invalid value "abc" for flag -block: it is a number`, []string{"-block", "abc", midi}},
		{`invalid boolean value "abc" for -json: it is true or false`, []string{"-json=abc", midi}},
		{"-figure and -notes both give the figure", []string{"-figure", "3 5 1 6", "-notes", "C", midi}},
		{"-orders and -keys both give the keys", []string{"-orders", "P4", "-keys", "C", midi}},
		{"names its scale already", []string{"-figure", "3 5 1 6 in dorian", "-scale", "minor", midi}},
		{"-orders: which order was fresh is not known any more", []string{"-orders", "P4 fresh", midi}},
		{"-vary: ", []string{"-figure", "3 5 1 6", "-vary", "octave up 9", midi}},
		{"-notes: ", []string{"-language", "german", "-notes", "B", midi}},
		{"-language", []string{"-language", "elvish", midi}},
		{"-block: no plan was shown yet", []string{"-block", "1", "-log=" + text + ".none", midi}},
		{"-orders: -block takes that from the plan", []string{"-block", "1", "-orders", "P4", midi}},
		{"-vary: -block takes that from the plan", []string{"-block", "1", "-vary", "retrograde", midi}},
		{"-log: an idea is not judged", []string{"-log", "-idea", sound}},
		{"-key: note name \"H\"", []string{"-key", "H", "-idea", sound}},
		{"-for: ", []string{"-for", "kazoo", sound}},
		{"-for: ", []string{"-for", "kazoo", "-idea", sound}},
		{"-figure: ", []string{"-figure", "x", sound}},
		{"-notes: ", []string{"-notes", "x", sound}},
		{"-scale: ", []string{"-scale", "x", sound}},
		{"-orders: ", []string{"-orders", "x", sound}},
		{"-keys: ", []string{"-keys", "x", sound}},
		{"-from: ", []string{"-from", "x", sound}},
		{"-from and -keys", []string{"-from", "C", "-keys", "D", sound}},
		{"-names: ", []string{"-names", "x", sound}},
		{"-meter: ", []string{"-meter", "x", sound}},
		{"-rest: ", []string{"-rest", "17", sound}},
		{"-close: ", []string{"-close", "x", sound}},
		{"-pad: ", []string{"-pad", "x", sound}},
		{"-sound: ", []string{"-sound", "x", sound}},
		{"-swing", []string{"-swing", "4", sound}},
		{"-charge", []string{"-charge", "x", sound}},
		{"-log", []string{"-log=", sound}},
		{"-level: ", []string{"-level", "x", sound}},
		{"-tempo: ", []string{"-tempo", "0", sound}},
		{"-written and -concert", []string{"-written", "-concert", sound}},
		{"-easy and -strict", []string{"-easy", "-strict", sound}},
		{"tempo", []string{"-tempo", "5", "-idea", sound}},
	} {
		out, errs, status := listen(c.args...)
		if status != 2 || out != "" || !strings.HasPrefix(errs, "listen: ") || !strings.Contains(errs, c.want) {
			t.Errorf("%q: %d, %q, %q", c.args, status, out, errs)
		}
	}
	if _, help, status := listen("-h"); status != 0 || !strings.HasPrefix(help, "listen hears a take") {
		t.Error(status, help)
	}
}
