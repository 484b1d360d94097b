package listening

import (
	"slices"
	"testing"
	"time"

	"example.com/keyorder/figure/accompaniment"
	"example.com/keyorder/figure/playback"
)

const ms = time.Millisecond

// TestLeak: what a loudspeaker leaks, and what rings on, is none of the player's
// notes; a note of the player's own is.
func TestLeak(t *testing.T) {
	o, plainLine := plain(t, "3 5 1 6", 120, 1)
	l, err := playback.New(plainLine.Drills(), playback.Options{Mode: playback.ModeModel, Band: accompaniment.Band{Drone: true}})
	if err != nil {
		t.Fatal(err, o)
	}
	var due []Note // E G C A
	for turn := range l.Turns(0) {
		for n := range l.Notes(turn, l.Parts()[0]) {
			due = append(due, NoteOf(n.Key, 90, l.At(n.On), l.At(n.Off)))
		}
	}
	if len(due) != 4 {
		t.Fatalf("%d notes are due", len(due))
	}
	note := func(key int, level float64, on, off time.Duration) Note {
		return Note{On: on, Off: off, end: off, Cents: 100 * float64(key), Level: level, Sure: 1}
	}
	level, key, on := due[0].Level, int(due[0].Key()), due[0].On
	for _, c := range []struct {
		what        string
		heard       func([]Note) []Note
		want, alone string
	}{
		{"the drone", func(n []Note) []Note { return append([]Note{note(key-16, level-5, on-20*ms, on)}, n...) }, "clean", "not clean; extra -1 heard 0"},
		{"another note", func(n []Note) []Note { return append([]Note{note(key-15, level-5, on-20*ms, on)}, n...) }, "not clean; extra -1 heard 1", "not clean; extra -1 heard 1"},
		{"a much softer note", func(n []Note) []Note { return append([]Note{note(key-15, level-20, on-20*ms, on)}, n...) }, "clean", "clean"},
		{"an echo", func(n []Note) []Note { return slices.Insert(n, 3, note(key, level-13, n[2].On+120*ms, n[3].On)) }, "clean", "clean"},
		{"a soft note that was not heard before", func(n []Note) []Note { return slices.Insert(n, 3, note(key+1, level-13, n[2].On+120*ms, n[3].On)) }, "not clean; extra 2 heard 5", "not clean; extra 2 heard 5"},
		{"a note that begins in a part of it", func(n []Note) []Note {
			begin := n[3].On
			n[3].On += 120 * ms
			return slices.Insert(n, 3, note(int(n[3].Key())-19, level, begin, n[3].On))
		}, "clean", "clean"},
		{"a late note", func(n []Note) []Note { n[3].On += 120 * ms; return n }, "not clean; late 3", "not clean; late 3"},
		{"nothing but the drone", func([]Note) []Note { return []Note{note(key-16, level, on, on+200*ms)} }, "not played", "not clean; missing 1; missing 2; missing 3"},
	} {
		for _, alone := range []bool{false, true} {
			want := c.want
			if alone {
				want = c.alone
			}
			if got := words(judged(t, l, Options{Alone: alone}, c.heard(slices.Clone(due)))); !slices.Equal(got, []string{want}) {
				t.Errorf("%s, alone %v: %q, want %q", c.what, alone, got, want)
			}
		}
	}
}

// TestAnHour: a judge keeps no more of an hour than of a minute.
func TestAnHour(t *testing.T) {
	o, _ := plain(t, "3 5 1 6", 60, 12)
	for len(o.keys) < 900 {
		o.keys = append(o.keys, o.keys[:12]...)
	}
	l, ok := o.line(playback.ModeModel)
	if !ok || l.Duration() < time.Hour {
		t.Fatal(ok, l.Duration())
	}
	j, err := NewJudge(l, l.Parts()[0], Options{})
	if err != nil {
		t.Fatal(err)
	}
	says, most := 0, 0
	for _, n := range notes(l) {
		j.Hear(n)
		for s := range j.Says(n.On) {
			if says++; s.Verdict != VerdictClean {
				t.Fatalf("statement %d is %v, %v", s.Statement, s.Verdict, s.Faults)
			}
		}
		most = max(most, cap(j.heard)+cap(j.delays)+cap(j.tuning)+cap(j.align.pairs))
	}
	if says < 890 || most > 512 {
		t.Errorf("%d says; it keeps %d values", says, most)
	}
}
