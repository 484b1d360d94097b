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
