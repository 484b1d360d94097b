package output_test

import (
	"io"
	"testing"

	"example.com/keyorder/cycle"
	"example.com/keyorder/cycle/diagram"
	"example.com/keyorder/examples/internal/output/outputtest"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/notation"
	"example.com/keyorder/figure/notation/musicxml"
	"example.com/keyorder/figure/notation/staff"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/figure/playback/smf"
	"example.com/keyorder/figure/playback/wav"
	"example.com/keyorder/figure/practice"
	"example.com/keyorder/spelling"
)

// TestLawAFailingWriterIsTold: whatever the library writes, a writer that fails,
// at whichever call and after whichever byte, has its error returned, and is left
// alone from then on. The pages and call sheets of a program are tried where the
// program is.
func TestLawAFailingWriterIsTold(t *testing.T) {
	flute, err := drill.Find("flute", drill.LevelComfortable)
	if err != nil {
		t.Fatal(err)
	}
	horn, err := drill.Find("horn", drill.LevelComfortable)
	if err != nil {
		t.Fatal(err)
	}
	d, err := drill.New(drill.Settings{
		Title: "Two ♯ & <one>", Figure: figure.MustParse("v7 | {1 m7} 3+5 b2:1/2 6:2 in dorian"),
		Route: cycle.MustParseRoute("(06)/1"), Parts: []drill.Instrument{flute, horn}, Tempo: 500, Rest: drill.NoRest,
	})
	if err != nil {
		t.Fatal(err)
	}
	score, err := notation.New([]*drill.Drill{d}, notation.Options{Title: "Two ♯ & <one>"})
	if err != nil {
		t.Fatal(err)
	}
	line, err := playback.New([]*drill.Drill{d}, playback.Options{Mode: playback.ModeModel})
	if err != nil {
		t.Fatal(err)
	}
	layout, err := staff.New(score, score.Parts()[1], staff.Options{})
	if err != nil {
		t.Fatal(err)
	}
	entry := practice.Entry{
		Date: 20000, Minutes: 5, Figure: d.Settings().Figure, Order: "\"tritone\"", Route: d.Settings().Route, Instrument: "flute",
		First: spelling.MustParse("Eb5"), Tempo: 90, Played: 3, Clean: 2,
	}
	formats := map[string]func(io.Writer) error{
		"MusicXML":             func(w io.Writer) error { return musicxml.Write(w, score) },
		"MusicXML of one part": func(w io.Writer) error { return musicxml.Write(w, score, score.Parts()[1]) },
		"MIDI":                 func(w io.Writer) error { return smf.Write(w, line) },
		"diagram":              func(w io.Writer) error { return diagram.Write(w, diagram.Options{Route: d.Settings().Route}) },
		"entry":                func(w io.Writer) error { return practice.AppendEntry(w, entry) },
	}
	for s := range layout.Systems() {
		formats["system"] = s.WriteSVG
	}
	for p := range layout.Pages() {
		formats["page"] = p.WriteSVG
	}
	for name, write := range formats {
		if err := outputtest.Check(write, 1000); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	// Every call, and the bytes here and there, as there are some hundred thousand.
	if err := outputtest.Check(func(w io.Writer) error { return wav.Write(w, line, wav.Options{}) }, 100); err != nil {
		t.Errorf("WAV: %v", err)
	}
}
