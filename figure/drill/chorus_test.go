package drill_test

import (
	. "example.com/keyorder/figure/drill"
	"slices"
	"testing"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/spelling"
)

// TestLawAChorusEndsOnTheNextDominant: over the blues one key follows the other
// without a rest, and the last bar of each has the dominant of the key that comes
// next, in this cycle or the next, as each part reads it; the last of all its own.
func TestLawAChorusEndsOnTheNextDominant(t *testing.T) {
	for _, test := range []struct{ figure, meter, route, suffix string }{
		{"3 5 1 6 over blues", "4/4", "fourths", "7"},
		{"3 5 1 6 over jazz blues:6", "3/4", "minor thirds", "7"},
		{"3 5 1 6 over minor blues in minor", "4/4", "-whole-steps", "7alt"},
	} {
		for _, closing := range []Closing{ClosingHeld, ClosingFull, ClosingOpen} {
			meter, err := ParseMeter(test.meter)
			if err != nil {
				t.Fatal(err)
			}
			s := Settings{
				Figure: figure.MustParse(test.figure), Route: cycle.MustParse(test.route).Closed(), Meter: meter, Closing: closing,
				Parts: []Instrument{find(t, "flute", LevelFull), find(t, "clarinet", LevelFull)},
			}
			d, err := New(s)
			if err != nil {
				t.Fatal(err)
			}
			again, err := New(d.Settings())
			if err != nil || again.Length() != d.Length() || d.Settings().Rest != NoRest {
				t.Errorf("%s: the settings make %v of %v, %v", test.figure, again.Length(), d.Length(), err)
			}
			s.Rest = Rest(meter.Bar())
			if rested, err := New(s); err != nil || rested.Length() != d.Length()+meter.Bar()*figure.Length(d.Len()) {
				t.Errorf("%s: with a bar of rest %v, without %v, %v", test.figure, rested.Length(), d.Length(), err)
			}
			for _, p := range d.Parts() {
				all := slices.Collect(p.Statements())
				for n, st := range all {
					chords := slices.Collect(st.Chords())
					for c := range st.Chords() { // a caller may stop
						if c != chords[0] {
							t.Errorf("%s: first comes %v", test.figure, c)
						}
						break
					}
					if st.Held {
						if len(chords) != 1 || chords[0].Root != st.Written.Name() || st.Length != meter.Bar() {
							t.Errorf("%s: the held return has %v, and lasts %v", test.figure, chords, st.Length)
						}
						continue
					}
					next := st
					if n+1 < len(all) {
						next = all[n+1]
					}
					last := chords[len(chords)-1]
					if st.Length != 12*meter.Bar() || len(chords) != 12 || last.Onset != 11*meter.Bar() {
						t.Errorf("%s: statement %d lasts %v and ends on %v at %v", test.figure, n, st.Length, last, last.Onset)
					}
					for k, c := range chords {
						own := slices.Collect(s.Figure.ReadChords(st.Written.Name(), spelling.PolicyUsual))[k]
						if k == 11 {
							own = slices.Collect(s.Figure.ReadChords(next.Written.Name(), spelling.PolicyUsual))[k]
							if c.Suffix != test.suffix || c.Root.Class() != next.Written.Name().Class().T(7) {
								t.Errorf("%s: before %v the last bar has %v", test.figure, next.Written, c)
							}
						}
						if c != own {
							t.Errorf("%s: bar %d of %v has %v, want %v", test.figure, k+1, st.Written, c, own)
						}
					}
					for _, e := range st.Events() {
						if e.Onset+e.Length > 11*meter.Bar() {
							t.Errorf("%s: a note in the last bar of %v", test.figure, st.Written)
						}
					}
				}
			}
		}
	}
}

// TestChangesKeepTheirRest: what is no chorus has the usual bar of rest, and each
// key the chords of its own.
func TestChangesKeepTheirRest(t *testing.T) {
	d, err := New(Settings{
		Figure: figure.MustParse("3 5 1 6 over 2-5-1"), Route: cycle.MustParse("fourths").Open(), Parts: []Instrument{find(t, "flute", LevelFull)},
	})
	if err != nil {
		t.Fatal(err)
	}
	var got string
	for st := range d.Parts()[0].Statements() {
		if st.Length != 3*figure.Whole {
			t.Errorf("%v lasts %v", st.Written, st.Length)
		}
		if st.Index < 3 {
			for c := range st.Chords() {
				got += c.String() + " "
			}
		}
	}
	if want := "Dm7 G7 Cmaj7 Gm7 C7 Fmaj7 Cm7 F7 B♭maj7 "; got != want {
		t.Errorf("%s, want %s", got, want)
	}
}
