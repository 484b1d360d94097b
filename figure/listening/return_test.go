package listening

import (
	"testing"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/playback"
)

// TestSilentReturn: where a loudspeaker sounds the cues and the answers and nobody
// plays, no statement is played, nor a return, which is one note.
func TestSilentReturn(t *testing.T) {
	horn, err := drill.Find("horn in F", drill.LevelComfortable)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range []string{"v5 | 1:2 b3 5 4:3 v7 in dorian", "1:2 b3 5 4 in dorian", "5 1:2 b3 4"} {
		for _, order := range []string{"0369", "02468T", "05T3816E4927"} {
			d, err := drill.New(drill.Settings{Figure: figure.MustParse(f), Route: cycle.MustParseRoute("(" + order + ")"), Parts: []drill.Instrument{horn}, Tempo: 100, Closing: drill.ClosingHeld})
			if err != nil {
				t.Fatal(err)
			}
			settings := d.Settings()
			settings.Rest = playback.RestFor(playback.Options{Mode: playback.ModeAnswer}, settings)
			if d, err = drill.New(settings); err != nil {
				t.Fatal(err)
			}
			l, err := playback.New([]*drill.Drill{d}, playback.Options{Mode: playback.ModeAnswer})
			if err != nil {
				t.Fatal(err)
			}
			for _, w := range heard(t, l, sound(t, l, 44100), 44100, Options{}, blocks) {
				if w.Verdict != VerdictNotPlayed {
					t.Errorf("%q, %s, turn %d: %v, %v %v", f, order, w.Turn, w.Verdict, w.Faults, w.Notes)
				}
			}
		}
	}
}

// TestNoGap: of keys that follow each other without a rest none takes the first note
// of the next, before the delay is known either.
func TestNoGap(t *testing.T) {
	alto, err := drill.Find("alto saxophone", drill.LevelComfortable)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range []string{"1 4 5 2 6 5 3 1", "2 2 5 4 3:2 6:2"} {
		d, err := drill.New(drill.Settings{Figure: figure.MustParse(f), Route: cycle.MustParseRoute("(05T3816E4927)"), Parts: []drill.Instrument{alto}, Tempo: 120, Rest: drill.NoRest})
		if err != nil {
			t.Fatal(err)
		}
		l, err := playback.New([]*drill.Drill{d}, playback.Options{Mode: playback.ModeModel})
		if err != nil {
			t.Fatal(err)
		}
		for n, w := range words(heard(t, l, sound(t, l, 44100), 44100, Options{}, blocks)) {
			if w != "clean" {
				t.Errorf("%q, statement %d: %s", f, n+1, w)
			}
		}
		var keys []Note
		for turn := range l.Turns(0) {
			for n := range l.Notes(turn, l.Parts()[0]) {
				if n.Index >= 0 {
					keys = append(keys, NoteOf(n.Key, 90, l.At(n.On), l.At(n.Off)))
				}
			}
		}
		for n, w := range words(judged(t, l, Options{Alone: true, Keys: true}, keys)) {
			if w != "clean" {
				t.Errorf("%q by keys, statement %d: %s", f, n+1, w)
			}
		}
	}
}
