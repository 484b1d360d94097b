package idea

import (
	"encoding/binary"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"example.com/keyorder/figure"
	"example.com/keyorder/spelling"
)

// A press is a key that is pressed, in ticks of 1/480 of a quarter, and for how long.
type press struct{ key, at, long int }

// midi writes a MIDI file: a track of its head, and the presses one after another.
func midi(t *testing.T, head string, presses ...press) string {
	t.Helper()
	type event struct{ at, on, key int }
	var events []event
	for _, p := range presses {
		events = append(events, event{p.at, 1, p.key}, event{p.at + p.long, 0, p.key})
	}
	slices.SortStableFunc(events, func(a, b event) int { return (a.at-b.at)*2 + a.on - b.on })
	track, now := []byte(head), 0
	for _, e := range events {
		wait := e.at - now
		now = e.at
		if wait >= 128 {
			track = append(track, byte(0x80|wait>>7))
		}
		track = append(track, byte(wait&0x7f), byte(0x80|e.on<<4), byte(e.key), 0x40)
	}
	track = append(track, 0, 0xff, 0x2f, 0)
	file := []byte("MThd\x00\x00\x00\x06\x00\x00\x00\x01\x01\xe0MTrk")
	file = append(binary.BigEndian.AppendUint32(file, uint32(len(track))), track...)
	path := filepath.Join(t.TempDir(), "idea.mid")
	if err := os.WriteFile(path, file, 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

const (
	tempo100 = "\x00\xff\x51\x03\x09\x27\xc0"
	inEFlat  = "\x00\xff\x59\x02\xfd\x00"
)

// TestPlayed: what was played on keys lies off the grid of written music, and is brought
// there, in the file's tempo or the one that was counted, in its key or one that fits.
func TestPlayed(t *testing.T) {
	late := []press{{67, 13, 230}, {70, 251, 210}, {63, 470, 250}, {72, 733, 400}}
	for _, c := range []struct {
		head  string
		asked Asking
		want  string
		tonic spelling.Name
		tempo float64
		note  string
	}{
		{tempo100 + inEFlat, Asking{}, "3 5 1 6:2", spelling.MustParseName("Eb"), 100, "a quarter at 100; -tempo says what was counted"},
		{tempo100 + inEFlat, Asking{Tempo: 200}, "3:2 5:2 1:2 6:3", spelling.MustParseName("Eb"), 200, "a quarter at 200"},
		{tempo100, Asking{}, "v5 v7 v3 1:2 in natural minor", spelling.MustParseName("C"), 100, "it may be in G natural minor too"},
		{tempo100 + inEFlat, Asking{Key: "c minor"}, "v5 v7 v3 1:2 in natural minor", spelling.MustParseName("C"), 100, "it was played, not written"},
		{tempo100, Asking{Key: "si bémol dorian", Language: spelling.LanguageFrench}, "v6 1 v4 2:2 in dorian", spelling.MustParseName("Bb"), 100, "it was played, not written"},
	} {
		c.asked.File, c.asked.Part, c.asked.Name = midi(t, c.head, late...), 1, func(n spelling.Name) string { return n.String() }
		got, err := Read(c.asked)
		if err != nil || !got.Figure.Equal(figure.MustParse(c.want)) || got.Tonic != c.tonic || got.Tempo != c.tempo || got.Meter != "" || !got.Played || !strings.Contains(strings.Join(got.Notes, "\n"), c.note) {
			t.Errorf("%q, %+v: %v, %+v", c.head, c.asked, err, got)
		}
	}
	// what is on the grid is read, whatever the tempo
	got, err := Read(Asking{Part: 1, File: midi(t, tempo100+inEFlat, press{67, 0, 240}, press{70, 240, 480}), Tempo: 200, Name: func(spelling.Name) string { return "" }})
	if err != nil || got.Figure.String() != "3 5:2" || got.Played || got.Meter != "4/4" || got.Tempo != 100 {
		t.Errorf("%v, %+v", err, got)
	}
	// chords are not heard as an idea
	_, err = Read(Asking{Part: 1, File: midi(t, tempo100, press{67, 13, 230}, press{70, 20, 230}), Name: func(spelling.Name) string { return "" }})
	if err == nil || !strings.Contains(err.Error(), "lies off the grid") {
		t.Error(err)
	}
	for _, key := range []string{"H", "Q dorian", "C sharpish"} {
		if _, err := Read(Asking{File: "none.mid", Key: key}); err == nil || !strings.HasPrefix(err.Error(), "-key: ") {
			t.Errorf("%q: %v", key, err)
		}
	}
}
