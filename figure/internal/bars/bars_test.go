package bars

import (
	"slices"
	"testing"

	"example.com/keyorder/figure"
)

func TestFromDownbeat(t *testing.T) {
	const bar = figure.Whole
	for _, c := range []struct {
		name       string
		at, length []figure.Length // of notes
		chords     []figure.Length
		bar        figure.Length
		want       []figure.Length // onsets
		wantChords []figure.Length
	}{
		{"half a bar of rest", []figure.Length{bar / 2, bar}, []figure.Length{24, 24}, []figure.Length{0, bar / 2, bar}, bar, []figure.Length{-bar / 2, 0}, []figure.Length{-bar / 2, 0}},
		{"less rest", []figure.Length{bar/2 - 1, bar}, []figure.Length{24, 24}, []figure.Length{0}, bar, []figure.Length{bar/2 - 1, bar}, []figure.Length{0}},
		{"a short bar", []figure.Length{0, 48}, []figure.Length{48, 24}, nil, 48, []figure.Length{-48, 0}, nil},
		{"nothing after it", []figure.Length{bar / 2}, []figure.Length{24}, nil, bar, []figure.Length{bar / 2}, nil},
		{"nothing before it", []figure.Length{bar}, []figure.Length{24}, nil, bar, []figure.Length{bar}, nil},
		{"held over", []figure.Length{bar / 2, bar}, []figure.Length{bar/2 + 1, 24}, nil, bar, []figure.Length{bar / 2, bar}, nil},
		{"up to it", []figure.Length{bar / 2, bar}, []figure.Length{bar / 2, 24}, nil, bar, []figure.Length{-bar / 2, 0}, nil},
	} {
		var events []figure.Event
		for n, at := range c.at {
			events = append(events, figure.Event{Onset: at, Length: c.length[n]})
		}
		var chords []figure.ChordEvent
		for _, at := range c.chords {
			chords = append(chords, figure.ChordEvent{Onset: at})
		}
		var got, gotChords []figure.Length
		events, chords = FromDownbeat(events, chords, c.bar, bar)
		for _, e := range events {
			got = append(got, e.Onset)
		}
		for _, e := range chords {
			gotChords = append(gotChords, e.Onset)
		}
		if !slices.Equal(got, c.want) || !slices.Equal(gotChords, c.wantChords) {
			t.Errorf("%s: %v, chords %v; want %v, %v", c.name, got, gotChords, c.want, c.wantChords)
		}
	}
}
