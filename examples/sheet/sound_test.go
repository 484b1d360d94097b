package main

import (
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"example.com/keyorder/figure/accompaniment"
	"example.com/keyorder/figure/playback"
	"pgregory.net/rapid"
)

// TestLawSoundWords holds what the sheet says of the sound to what sounds.
func TestLawSoundWords(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var line *playback.Line
		s := anySheetOf(t, sheetFigures, func(s *sheet) bool { // the rests may be too short, which is said where files are written
			l, err := playback.New(s.drills, s.playback)
			line = l
			return err == nil
		})
		says := strings.Join(s.soundText(), "\n")
		layers := map[accompaniment.Layer]bool{}
		between, own, rests := map[accompaniment.Layer]bool{}, 0, 0
		model := map[playback.Who]bool{}
		for turn := range line.Turns(0) {
			if turn.Who == playback.WhoFree {
				bar := playback.TimeOf(s.settings.Meter.Bar())
				if own++; turn.Next >= 0 && turn.End-turn.Begin != bar*playback.Time(s.playback.Free) {
					t.Fatalf("a free turn of %d ticks", turn.End-turn.Begin)
				}
			}
			if turn.Who == playback.WhoRest && turn.Next >= 0 {
				rests++
			}
			for n := range line.Notes(turn) {
				if layers[n.Layer] = true; n.Layer == accompaniment.LayerPart && n.Index >= 0 {
					model[turn.Who] = true
				}
				if turn.Who == playback.WhoRest && turn.Next >= 0 {
					between[n.Layer] = true
				}
			}
		}
		for words, happens := range map[string]bool{
			"bass": layers[accompaniment.LayerBass], "chords on": layers[accompaniment.LayerChords], "drone": layers[accompaniment.LayerDrone],
			"silent between": s.hasBand() && rests > 0 && s.playback.Rests == accompaniment.RestsWait,
		} {
			if strings.Contains(says, words) != happens {
				t.Fatalf("%q says %q, and it happens: %v", says, words, happens)
			}
		}
		if strings.Contains(says, "silent between") && (between[accompaniment.LayerBass] || between[accompaniment.LayerChords] || between[accompaniment.LayerDrone]) {
			t.Fatalf("%q: %v sound between the keys", says, between)
		}
		if got := strings.Contains(s.each()+s.how(true)[0], "your own"); got != (own > 0) {
			t.Fatalf("%q, %q: %d free turns", s.each(), s.how(true)[0], own)
		}
		for words, who := range map[string]playback.Who{"hear the next tonic": playback.WhoModel, "with you throughout": playback.WhoBoth} {
			if strings.Contains(s.modeText(), words) != model[who] {
				t.Fatalf("%q: the notes sound in %v", s.modeText(), model)
			}
		}
		checkClicks(t, s, line, says)
	})
}

// checkClicks: the click is where it is said to be.
func checkClicks(t *rapid.T, s *sheet, line *playback.Line, says string) {
	m := s.settings.Meter
	bar, beat := playback.TimeOf(m.Bar()), playback.TimeOf(m.Counted())
	silent := 0
	if strings.Contains(says, "the last bar of every four") {
		silent = 1
	}
	if found := regexp.MustCompile(`the last (\d) bars of every four`).FindStringSubmatch(says); found != nil {
		silent, _ = strconv.Atoi(found[1])
	}
	var from, to playback.Time // of a drill after its count-in
	heard := map[playback.Time]bool{}
	for turn := range line.Turns(0) {
		if turn.Who == playback.WhoCount {
			from = turn.Begin + (turn.End-turn.Begin)/bar*bar
			continue
		}
		for c := range line.Clicks(turn) {
			if c.Time < from {
				continue // beside the pickup, the count-in goes on
			}
			at := c.Time - from
			heard[at/bar%4] = true
			to = max(to, at)
			switch in := at % bar; {
			case strings.Contains(says, "click is on 2 and 4") && in != beat && in != 3*beat,
				strings.Contains(says, "first beat") && in != 0,
				int(at/bar%4) >= 4-silent:
				t.Fatalf("%q: a click in bar %d, %d ticks after its beginning", says, at/bar+1, in)
			}
		}
	}
	if to >= 4*bar && len(heard) != 4-silent {
		t.Fatalf("%q: clicks in %v of every four bars", says, heard)
	}
}

// TestLawChangesOnTheSheet: what stands over the bars of a key is what the band plays
// in that key, by the statement's own chords, and no label reads as a chord.
func TestLawChangesOnTheSheet(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anySheetOf(t, overChanges, func(s *sheet) bool {
			_, _, over := s.figure.Changes()
			return over
		})
		for _, d := range s.drills {
			keys := s.changes(d, map[string]bool{})
			for st := range d.Parts()[0].Statements() {
				if st.Held {
					continue
				}
				var symbols []string
				for _, c := range s.chordsIn(d, st) {
					symbols = append(symbols, c.String())
				}
				if s.key(st) == st.Written.Name() && !st.Rests {
					var want []string
					for c := range st.Chords() {
						want = append(want, c.String())
					}
					if !slices.Equal(symbols, want) {
						t.Fatalf("in %v are told %v, want %v", st.Written, symbols, want)
					}
				}
				found := slices.ContainsFunc(keys, func(k keyChanges) bool {
					var in []string
					for _, b := range k.Bars {
						for _, word := range strings.Fields(strings.ReplaceAll(b, "/ ", "")) {
							if word != "/" && (len(in) == 0 || in[len(in)-1] != word) {
								in = append(in, word)
							}
						}
					}
					return k.Key == "in "+s.name(s.key(st)) && slices.Equal(in, slices.Compact(slices.Clone(symbols)))
				})
				if !found {
					t.Fatalf("%v, the changes of %v, are not told in %v", symbols, s.key(st), keys)
				}
			}
		}
	})
}

// TestBars: read by hand.
func TestBars(t *testing.T) {
	for _, c := range []struct{ figure, meter, want string }{
		{"3 1 over {2 m7}:4 {5 7}:4 {1 maj7}:8", "4/4", "Dm7 G7 | Cmaj7"},
		{"3 1 over {2 m7}:6 {5 7}:2 {1 maj7}:8", "4/4", "Dm7 / / G7 | Cmaj7"},
		{"3 1 over {2 m7}:12 {5 7}:4", "4/4", "Dm7 | Dm7 G7"},
		{"3 1 over {2 m7} {5 7} {1 6}", "3/4", "Dm7 G7 C6"},
		{"3 1 over {2 m7}:3 {5 7}:5", "4/4", "Dm7 G7"},
		{"3 1 over {2 m7}:3 {5 7}:3", "6/8", "Dm7 G7"},
	} {
		o, err := parseFlags([]string{"-figure", c.figure, "-meter", c.meter, "-keys", "C"}, nil)
		if err != nil {
			t.Fatal(err)
		}
		s, err := newSheet(o, nil)
		if err != nil {
			t.Fatal(err)
		}
		if got := s.changes(s.drills[0], map[string]bool{}); len(got) != 1 || got[0].Key != "in C" || strings.Join(got[0].Bars, " | ") != c.want {
			t.Errorf("%s in %s: %v, want %s", c.figure, c.meter, got, c.want)
		}
	}
}

// TestChorusHasNoRest: without further flags no rest comes between choruses, and
// the sheet says so; with them it says what there is.
func TestChorusHasNoRest(t *testing.T) {
	for _, c := range []struct {
		args []string
		each string
		says bool
	}{
		{nil, "12 bars a key:", true},
		{[]string{"-sound", "answer"}, "12 bars a key and 12 bars of rest:", false},
		{[]string{"-sound", "click"}, "12 bars a key:", false},
		{[]string{"-rest", "2"}, "12 bars a key and 2 bars of rest:", false},
		{[]string{"-free", "12"}, "12 bars a key and 12 bars of rest, 12 bars of it your own in the same key:", false},
	} {
		out, errs, status := sheetOf(append([]string{"-figure", "3 5 1 6 over minor blues", "-keys", "D G"}, c.args...)...)
		if status != 0 || !strings.Contains(out, "\n"+c.each) || strings.Contains(out, "the sound plays with you") != c.says {
			t.Errorf("%q: %d, %s%s", c.args, status, errs, out)
		}
	}
}

// TestSilentBetweenOrders: two orders of one key each have no rest but the one that
// leads from the first to the second.
func TestSilentBetweenOrders(t *testing.T) {
	for orders, says := range map[string]bool{"M2 wedge": true, "M2": false} {
		args := []string{"-figure", "3 5 1 6 over 2-5-1", "-vary", "rotation 1; octave up 1", "-for", "trumpet", "-leave-out", "-orders", orders, "-sound", "click", "-drone"}
		out, errs, status := sheetOf(args...)
		if status != 0 || strings.Contains(out, "silent between the keys") != says {
			t.Errorf("%q: %d, %s%s", args, status, errs, out)
		}
	}
}

// TestLanguages: keys and notes are read and written in each language, and are the
// same as in English.
func TestLanguages(t *testing.T) {
	make := func(args ...string) *sheet {
		o, err := parseFlags(args, nil)
		if err != nil {
			t.Fatal(err)
		}
		s, err := newSheet(o, nil)
		if err != nil {
			t.Fatal(err)
		}
		return s
	}
	want := make("-keys", "Eb B F#", "-notes", "{Cm7} Eb G+Bb:2 | D5 0 C:3/2", "-names", "Db")
	for _, c := range []struct{ language, keys, notes, names, first, last string }{
		{"german", "Es H Fis", "{Cm7} Es G+B♭:2 | D5 0 c:3/2", "Des", "Es", "Fis"},
		{"french", "mi bémol, si, fa dièse", "{Cm7} mib sol+si♭:2 | D5 0 do:3/2", "réb", "mi♭", "fa♯"},
		{"italian", "mi bemolle si fa#", "{Cm7} mi♭ sol+sib:2 | D5 0 do:3/2", "reb", "mi♭", "fa♯"},
		{"spanish", "mi bemol si fa#", "{Cm7} mi♭ sol+sib:2 | D5 0 do:3/2", "reb", "mi♭", "fa♯"},
		{"english", "E♭ B F♯", "{Cm7} Eb G+Bb:2 | D5 0 C:3/2", "Db", "E♭", "F♯"},
	} {
		s := make("-language", c.language, "-keys", c.keys, "-notes", c.notes, "-names", c.names)
		if !s.figure.Equal(want.figure) || !s.orders[0].Route.Equal(want.orders[0].Route) || !slices.Equal(s.called, want.called) || !slices.Equal(s.prefer, want.prefer) {
			t.Errorf("%s: %v, %v, %v, want %v, %v, %v", c.language, s.figure, s.prefer, s.called, want.figure, want.prefer, want.called)
		}
		if first, last := s.name(s.prefer[0]), s.name(s.prefer[2]); first != c.first || last != c.last {
			t.Errorf("%s: %s and %s, want %s and %s", c.language, first, last, c.first, c.last)
		}
	}
	if got := make("-language", "french", "-from", "si bémol", "-names", "flats").firstKey(); got.Plain() != "Bb" {
		t.Errorf("the first key is %v", got)
	}
}

// TestShortRests: where the rest that is asked for has no room for the sound, what has
// is said, and has.
func TestShortRests(t *testing.T) {
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{"-figure", "3 5 1 6 over minor 2-5-1", "-rest", "1"}, "; leave -rest out, or write -rest 2, or -sound model, which needs no rest\n"},
		{[]string{"-figure", "v5 | 1 5 2 b3:2 1", "-rest", "0", "-meter", "3/4", "-sound", "call"}, "; leave -rest out, or write -rest 3, or -sound model, which needs no rest\n"},
		{[]string{"-free", "3", "-rest", "2"}, "; leave -rest out, or write -rest 4\n"},
		{[]string{"-free", "3", "-rest", "2", "-sound", "model"}, "; leave -rest out, or write -rest 3\n"},
	} {
		with := func(more ...string) (string, int) {
			_, errs, status := sheetOf(append(append([]string{"-keys", "Eb D", "-out", filepath.Join(t.TempDir(), "out")}, c.args...), more...)...)
			return errs, status
		}
		errs, status := with()
		if status != 2 || !strings.HasSuffix(errs, c.want) || !strings.Contains(errs, "its rests are too short for ") {
			t.Errorf("%q: status %d, %s", c.args, status, errs)
			continue
		}
		_, bars, _ := strings.Cut(errs, "write -rest ")
		if errs, status := with("-rest", bars[:1]); status != 0 {
			t.Errorf("%q, -rest %s: %s", c.args, bars[:1], errs)
		}
		if errs, status := with("-sound", "model"); strings.Contains(c.want, "model") && status != 0 {
			t.Errorf("%q, -sound model: %s", c.args, errs)
		}
	}
}
