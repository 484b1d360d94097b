package smf

import (
	"testing"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/playback"
)

// TestLawAccentsAreLouder: the notes of a part that are accented, and no others,
// are louder than those of a part without accents.
func TestLawAccentsAreLouder(t *testing.T) {
	for _, accents := range []drill.Accents{drill.AccentsNone, drill.AccentsGroups, drill.AccentsBeats} {
		l := line(t, playback.Options{Mode: playback.ModeModel}, drill.Settings{
			Figure: figure.MustParse("1:3 5 4 2 3:2"), Route: cycle.MustParse("m3").Closed(), Articulation: drill.ArticulationSlurredInTwos, Accents: accents,
		})
		var want []bool
		for turn := range l.Turns(0) {
			for n := range l.Notes(turn, l.Parts()[0]) {
				want = append(want, n.Marks.Has(drill.MarkAccent))
			}
		}
		notes := written(t, l).Parts()[0].Notes
		if len(notes) != len(want) {
			t.Fatalf("%d notes, want %d", len(notes), len(want))
		}
		loud := 0
		for k, n := range notes {
			if want[k] {
				loud++
			}
			if velocity := int(n.Velocity); want[k] != (velocity > noteVelocity) || velocity < noteVelocity {
				t.Errorf("%v, note %d: velocity %d, accented %v", accents, k, velocity, want[k])
			}
		}
		if (loud == 0) != (accents == drill.AccentsNone) {
			t.Errorf("%v: %d accents", accents, loud)
		}
	}
}
