// Package show draws a few notes on a staff, and lets them be heard, for the
// example programs that teach: a figure on one tonic, at one place.
package show

import (
	"io"
	"strings"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/notation"
	"example.com/keyorder/figure/notation/staff"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/figure/playback/wav"
	"example.com/keyorder/pitch"
	"example.com/keyorder/spelling"
)

// one returns a drill of one statement that leaves no choice of octave.
func one(f figure.Figure, tonic spelling.Note, clef drill.Clef) (*drill.Drill, error) {
	low, high := tonic, tonic
	for _, e := range f.In(tonic) {
		if e.Note.Number() < low.Number() {
			low = e.Note
		}
		if e.Note.Number() > high.Number() {
			high = e.Note
		}
	}
	route, err := cycle.NewRoute(cycle.Section{Keys: []pitch.Class{tonic.Name().Class()}})
	if err != nil {
		return nil, err
	}
	return drill.New(drill.Settings{
		Figure: f, Route: route, Rest: drill.NoRest,
		Names: []spelling.Name{tonic.Name()},
		Parts: []drill.Instrument{{Name: "staff", Low: low, High: high, Clef: clef}},
	})
}

// Staff draws a figure on a tonic as SVG, so wide in millimetres, without the
// names of notes and keys.
func Staff(f figure.Figure, tonic spelling.Note, clef drill.Clef, width float64) (string, error) {
	d, err := one(f, tonic, clef)
	if err != nil {
		return "", err
	}
	score, err := notation.New([]*drill.Drill{d}, notation.Options{})
	if err != nil {
		return "", err
	}
	layout, err := staff.New(score, score.Parts()[0], staff.Options{Paper: staff.Paper{Width: width, Height: 80}, Bare: true})
	if err != nil {
		return "", err
	}
	var b strings.Builder
	for s := range layout.Systems() {
		if err := s.WriteSVG(&b); err != nil {
			return "", err
		}
	}
	return b.String(), nil
}

// Text writes double flats and sharps as two signs: few fonts have one sign for them.
func Text(s string) string { return strings.NewReplacer("𝄫", "♭♭", "𝄪", "♯♯").Replace(s) }

// Sound writes a figure on each of some tonics, one after another, as a WAV file.
func Sound(w io.Writer, f figure.Figure, tonics ...spelling.Note) error {
	var drills []*drill.Drill
	for _, t := range tonics {
		d, err := one(f, t, drill.ClefTreble)
		if err != nil {
			return err
		}
		drills = append(drills, d)
	}
	l, err := playback.New(drills, playback.Options{Mode: playback.ModeModel, CountIn: playback.NoCountIn})
	if err != nil {
		return err
	}
	return wav.Write(w, l, wav.Options{})
}
