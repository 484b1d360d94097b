package figure_test

import (
	"errors"
	. "example.com/keyorder/figure"
	"example.com/keyorder/figure/figuretest"
	"slices"
	"strings"
	"testing"

	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
	"pgregory.net/rapid"
)

// events returns the notes and the chords of a figure.
func events(f Figure, tonic spelling.Note) ([]Event, []ChordEvent) {
	return f.In(tonic), slices.Collect(f.Chords(tonic.Name()))
}

// TestLawEventsToFigureToEvents: a figure is told by its notes and chords.
func TestLawEventsToFigureToEvents(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := drawn(figuretest.Figure).Draw(t, "figure")
		tonic := drawn(figuretest.Tonic).Draw(t, "tonic")
		notes, chords := events(f, tonic)
		last := 0
		for n, it := range slices.Collect(f.Items()) {
			if len(it.Degrees) > 0 {
				last = n
			}
		}
		if len(notes) == 0 || last < Before(f) {
			if _, _, err := FromEvents(notes, nil, tonic.Name(), f.Scale()); err == nil {
				t.Fatalf("%v has no note after its downbeat and is read", f)
			}
			return
		}
		end := notes[len(notes)-1].Onset
		before := slices.DeleteFunc(slices.Clone(chords), func(c ChordEvent) bool { return c.Onset > end })
		got, anchor, err := FromEvents(notes, chords, tonic.Name(), f.Scale())
		if err != nil {
			least, most := 0, 0
			for it := range f.Items() {
				for _, d := range it.Degrees {
					least, most = min(least, int(d.Step)), max(most, int(d.Step))
				}
			}
			if strings.Contains(err.Error(), "too far") && most-least > MaxStep-7 {
				return // counted from a tonic below all notes, the highest is out of reach
			}
			t.Fatalf("%v: %v", f, err)
		}
		notesAgain, chordsAgain := events(got, anchor)
		if !slices.Equal(notes, notesAgain) || !slices.Equal(before, chordsAgain) {
			t.Fatalf("%v gives\n%v %v\nread as %v:\n%v %v", f, notes, chords, got, notesAgain, chordsAgain)
		}
		if got.Scale() != f.Scale() || anchor.Name() != tonic.Name() || got.Pickup() > f.Pickup() {
			t.Fatalf("%v is read as %v from %v", f, got, anchor)
		}
		for it := range got.Items() {
			for _, d := range it.Degrees {
				bare := Degree{Step: d.Step}
				here, _ := d.Above(f.Scale())
				if plain, err := bare.Above(f.Scale()); err == nil && plain == here && d.Explicit {
					t.Fatalf("%v has %v, which could be bare", got, d)
				}
			}
		}
	})
}

func TestFromEvents(t *testing.T) {
	note := func(name string, onset, length Length) Event {
		return Event{Onset: onset, Length: length, Note: spelling.MustParse(name)}
	}
	chord := func(root, suffix string, onset Length) ChordEvent {
		return ChordEvent{onset, spelling.MustParseName(root), suffix}
	}
	const e, q = Eighth, Quarter
	for _, c := range []struct {
		events []Event
		chords []ChordEvent
		tonic  string
		scale  Scale
		want   string
		anchor string
	}{
		{[]Event{note("E4", 0, e), note("G4", e, e), note("C4", q, q)}, nil, "C", Major, "3 5 1:2", "C4"},
		{[]Event{note("C4", q, q), note("E4", 0, e), note("G4", e, e)}, nil, "C", Major, "3 5 1:2", "C4"},                                             // in any order
		{[]Event{note("G4", 0, e), note("Bb4", q, e)}, nil, "Eb", Major, "3 0 5", "Eb4"},                                                              // a rest between
		{[]Event{note("G4", q, e)}, nil, "C", Major, "0:2 5", "C4"},                                                                                   // and before
		{[]Event{note("B3", -e, e), note("C4", 0, q)}, nil, "C", Major, "v7 | 1:2", "C4"},                                                             // a pickup
		{[]Event{note("B3", -q, e), note("C4", e, q)}, nil, "C", Major, "v7 0 | 0 1:2", "C4"},                                                         // with rests on both sides
		{[]Event{note("C4", 0, q), note("E4", 0, e), note("G4", q, e)}, nil, "C", Major, "1+3:2 5", "C4"},                                             // the longest of a chord
		{[]Event{note("C4", 0, Whole), note("E4", e, e)}, nil, "C", Major, "1 3", "C4"},                                                               // cut by the next
		{[]Event{note("C#4", 0, e), note("Db4", 0, q)}, nil, "C#", Major, "1:2", "C#4"},                                                               // one sound
		{[]Event{note("F4", 0, e), note("Ab4", e, e)}, []ChordEvent{chord("D", "m7b5", 0)}, "C", NaturalMinor, "{2 m7b5} 4 6 in natural minor", "C4"}, // bare by the scale
		{[]Event{note("F4", 0, q), note("A4", q, q)}, []ChordEvent{chord("D", "m7", 0), chord("G", "7", e), chord("C", "", q)}, "C", Major, "{2 m7} 4:2 {1} 6:2", "C4"},
		{[]Event{note("F4", q, q)}, []ChordEvent{chord("D", "m7", e), chord("Db", "7", e)}, "C", Major, "0 {b2 7} 0 4:2", "C4"},                  // the last of two
		{[]Event{note("F4", 0, q), note("A4", q, q)}, []ChordEvent{chord("D", "m7", 0), chord("G", "7", e)}, "C", Major, "{2 m7} 4:2 6:2", "C4"}, // under a note
		{[]Event{note("F4", 0, q)}, []ChordEvent{chord("G", "7", -e)}, "C", Major, "{5 7} 0 | 4:2", "C4"},
		{[]Event{note("F4", 0, q)}, []ChordEvent{chord("G", "7", q)}, "C", Major, "4:2", "C4"}, // after the last note
		{[]Event{note("F4", q, q)}, []ChordEvent{chord("C", "", e), chord("G", "7", 0)}, "C", Major, "{5 7} 0 {1} 0 4:2", "C4"},
		{[]Event{note("C4", 100*Whole, e)}, nil, "C", Major, "0:512 0:288 1", "C4"}, // a rest of more than 64 whole notes
	} {
		events, chords := slices.Clone(c.events), slices.Clone(c.chords)
		f, anchor, err := FromEvents(c.events, c.chords, spelling.MustParseName(c.tonic), c.scale)
		if !slices.Equal(events, c.events) || !slices.Equal(chords, c.chords) {
			t.Errorf("what was given is changed: %v %v", c.events, c.chords)
		}
		if err != nil || f.Plain() != c.want || anchor.Plain() != c.anchor {
			t.Errorf("%v %v: %q from %v, %v; want %q from %s", c.events, c.chords, f.Plain(), anchor, err, c.want, c.anchor)
		}
	}
	high := spelling.LetterC
	for _, c := range []struct {
		events []Event
		chords []ChordEvent
		scale  Scale
		want   string
	}{
		{nil, nil, Major, "figure: a figure has at least one note"},
		{[]Event{note("C4", -e, e)}, nil, Major, "at least one note follows the downbeat"},
		{[]Event{note("C4", -e, q)}, nil, Major, "note \"C4\": it goes on over the downbeat"},
		{[]Event{note("C4", -e, e+1)}, nil, Major, "note \"C4\": it goes on over the downbeat"},
		{[]Event{note("C4", 0, 0)}, nil, Major, "an event lasts from 1/192"},
		{[]Event{note("C4", 0, MaxLength+1)}, nil, Major, "an event lasts from 1/192"},
		{[]Event{note("C4", 1<<31-1, e)}, nil, Major, "a figure has at most 4096 events"},
		{[]Event{note("C4", 0, e), {e, e, spelling.NameOf(high, 0).In(40), 0}}, nil, Major, "it lies too far from the tonic C4 to be a degree"},
		{[]Event{note("C4", 0, e)}, []ChordEvent{{0, 99, "7"}}, Major, "its root lies too far from C to be a degree"},
		{[]Event{note("C4", 0, e)}, []ChordEvent{{0, 0, "{"}}, Major, "chord suffix"},
		{[]Event{note("C4", 0, e)}, nil, NoTonic, "a scale has its tonic"},
	} {
		var e *fault.ValueError
		if f, anchor, err := FromEvents(c.events, c.chords, 0, c.scale); !errors.As(err, &e) || !strings.Contains(err.Error(), c.want) || !f.Equal(Figure{}) || anchor != 0 {
			t.Errorf("%v: %v from %v, %v, want %q", c.events, f, anchor, err, c.want)
		}
	}
}

// TestLawSpell: a key has the name that the scale has for it, on every tonic, and
// always its own sound.
func TestLawSpell(t *testing.T) {
	for s := range CommonScales() {
		for tonic := spelling.NameOf(spelling.LetterC, -1); tonic <= spelling.NameOf(spelling.LetterC, 1); tonic++ {
			for key := pitch.Number(-13); key <= 141; key++ {
				if key == 141 {
					key = 1000
				}
				n := s.Spell(tonic, key)
				if n.Number() != key {
					t.Fatalf("%v on %v: %d is %v", s, tonic, key, n)
				}
				in, far := false, n.Name()-tonic
				for i := range s.Set().Intervals() {
					if tonic.Up(i).Class() == key.Class() {
						if in = true; tonic.Up(i) != n.Name() {
							t.Fatalf("%v on %v: %d is %v, not %v", s, tonic, key, n, tonic.Up(i))
						}
					}
				}
				if !in && (far < -5 || far > 6) {
					t.Fatalf("%v on %v: %d is %v", s, tonic, key, n)
				}
			}
		}
	}
	// common practice, no source
	for key, want := range map[pitch.Number]string{60: "C4", 61: "Db4", 63: "Eb4", 66: "F#4", 68: "Ab4", 70: "Bb4", 0: "C-1"} {
		if n := Major.Spell(0, key); n.Plain() != want {
			t.Errorf("%d is %v, want %s", key, n, want)
		}
	}
}
