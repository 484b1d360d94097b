// Package bars says where the downbeat of an idea lies that is taken from bars of
// written music.
package bars

import "example.com/keyorder/figure"

// FromDownbeat moves the onsets of notes and chords, which count from the
// beginning of their first bar, so that they count from the downbeat. It is the
// beginning of the second bar where what stands before is a pickup: where the first
// bar is shorter than its meter, or its first half is empty; and where a note begins
// after it and none goes on over it. Otherwise it is that of the first bar.
// Chords before a pickup are left out.
func FromDownbeat(events []figure.Event, chords []figure.ChordEvent, bar, meter figure.Length) ([]figure.Event, []figure.ChordEvent) {
	first, after := bar, false
	for _, e := range events {
		if e.Onset < bar && e.Onset+e.Length > bar {
			return events, chords
		}
		first, after = min(first, e.Onset), after || e.Onset >= bar
	}
	if first == bar || !after || bar >= meter && first*2 < bar {
		return events, chords
	}
	for n := range events {
		events[n].Onset -= bar
	}
	kept := chords[:0]
	for _, c := range chords {
		if c.Onset >= first {
			c.Onset -= bar
			kept = append(kept, c)
		}
	}
	return events, kept
}
