package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"example.com/keyorder/figure/notation/musicxml"
	"example.com/keyorder/figure/playback/smf"
	"example.com/keyorder/figure/playback/wav"
)

// TestChanges runs the program and reads back what it writes: the line is the same in
// every key, and over the changes that were read by hand.
func TestChanges(t *testing.T) {
	source, err := os.ReadFile("main.go")
	if n := bytes.Count(source, []byte("\n")); err != nil || n > 60 {
		t.Errorf("the program has %d lines, %v; it was to have 60 at most", n, err)
	}
	dir := filepath.Join(t.TempDir(), "out")
	out, err := exec.Command("go", "run", ".", dir).CombinedOutput()
	if err != nil || !strings.HasPrefix(string(out), "15 keys, ") {
		t.Fatalf("%v: %s", err, out)
	}
	open := func(name string) *os.File {
		f, err := os.Open(filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { f.Close() })
		return f
	}
	m, err := smf.Read(open("changes.mid"))
	if err != nil || len(m.Tracks) < 3 {
		t.Errorf("%v: no part, bass and chords in %+v", err, m)
	}
	if _, err := wav.Read(open("changes.wav")); err != nil {
		t.Error(err)
	}
	if text, err := os.ReadFile(filepath.Join(dir, "changes-1.svg")); err != nil || !bytes.Contains(text, []byte("<svg")) {
		t.Errorf("%v", err)
	}
	score, err := musicxml.Read(open("changes.musicxml"))
	if err != nil || len(score.Parts) != 1 {
		t.Fatalf("%v, %+v", err, score)
	}
	p := score.Parts[0]
	var chords []string
	for _, c := range p.Chords[:6] { // the chords in C and in A
		chords = append(chords, c.String())
	}
	if got := strings.Join(chords, " "); got != "C6 E♭maj7 A♭7 A6 Cmaj7 F7" {
		t.Errorf("the chords are %s", got)
	}
	var notes []string
	for _, n := range p.Notes[:21] {
		notes = append(notes, n.Note.Name().String())
	}
	// Over E♭maj7, which C major does not hold, and over A♭7 the notes are those of the
	// chord, and where it has none those of the scale that usage sets beside it.
	if got := strings.Join(notes, " "); got != "E G C D A G E G B♭ E♭ F C B♭ G C E♭ A♭ B♭ F E♭ C" {
		t.Errorf("the notes are %s", got)
	}
}
