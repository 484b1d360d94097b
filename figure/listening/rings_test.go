package listening

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/pitch"
)

// A tone is a sound in steady partials.
type tone struct {
	key      float64
	on, off  float64 // seconds
	after    float64 // how long it rings on, falling by 20 dB
	loud     float64
	partials []float64
}

// tones returns what several tones sound together.
func tones(rate int, seconds float64, all ...tone) []float32 {
	x := make([]float32, int(seconds*float64(rate)))
	for _, o := range all {
		for n := int(o.on * float64(rate)); n < int((o.off+o.after)*float64(rate)); n++ {
			s := float64(n)/float64(rate) - o.on
			loud := o.loud * min(s/0.01, 1)
			if over := s + o.on - o.off; over > 0 {
				loud *= math.Pow(10, -over/o.after)
			}
			for p, strength := range o.partials {
				w := 2 * math.Pi * float64(p+1) * 440 * math.Exp2((o.key-69)/12)
				x[n] += float32(loud * strength * math.Sin(w*s+float64(p*p)))
			}
		}
	}
	return x
}

// TestBrightTones: a tone whose high partials are the strongest has many periods
// that nearly fit; its own is among those that are kept.
func TestBrightTones(t *testing.T) {
	for _, partials := range [][]float64{{0.1, 0, 0, 0, 0, 0, 0, 0.3}, {0.05, 0, 0.05, 0, 0, 0, 0, 0, 0.1, 0.3}, {0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0.2, 0.3}} {
		for key := 50; key <= 62; key++ {
			if raced && key%6 != 0 {
				continue
			}
			frames, kept := 0, 0
			tracker, err := NewTracker(44100, 49, 81, func(f Frame) {
				if f.At < 100*time.Millisecond || f.At > 300*time.Millisecond {
					return
				}
				frames++
				if slices.ContainsFunc(f.peaks[:f.n], func(p peak) bool { return math.Abs(p.cents-100*float64(key)) < 10 && p.height > 0.95 }) {
					kept++
				}
			})
			if err != nil {
				t.Fatal(err)
			}
			tracker.Write(tones(44100, 0.4, tone{float64(key), 0, 0.4, 0, 0.5, partials}))
			if kept != frames {
				t.Errorf("key %d with partials of %v: its period is kept in %d frames of %d", key, partials, kept, frames)
			}
		}
	}
}

// TestRingsOn: of two notes that sound together, the one before ringing on, both
// are heard, at any interval but an octave, and nothing that they have in common.
func TestRingsOn(t *testing.T) {
	partials := []float64{0.5, 0.3, 0.2, 0.1, 0.05}
	for step := -9; step <= 9; step++ {
		if step == 0 || raced && step%4 != 0 {
			continue
		}
		first, second := 72.0, 72+float64(step)
		x := tones(44100, 2, tone{first, 0.2, 0.7, 0.6, 0.3, partials}, tone{second, 0.7, 1.2, 0.1, 0.3, partials})
		heard := told(t, 53, 96, x)
		var keys []pitch.Number
		for _, n := range heard {
			if n.Sure >= 0.5 && n.On < 1100*time.Millisecond {
				keys = append(keys, n.Key())
			}
		}
		if want := []pitch.Number{72, pitch.Number(second)}; !slices.Equal(keys, want) {
			t.Errorf("%+d: heard %v of %v, %+v", step, keys, want, heard)
		} else if by := heard[len(heard)-1].On; len(heard) == 2 && (by < 650*time.Millisecond || by > 850*time.Millisecond) {
			t.Errorf("%+d: it begins at %v", step, by)
		}
	}
}

// TestStruckAgain: a note that was struck again in the place of another is a wrong
// one, the same note held on is not.
func TestStruckAgain(t *testing.T) {
	_, l := plain(t, "3 5 1 6", 120, 1)
	for _, c := range []struct {
		what  string
		level float64
		long  time.Duration
		want  string
	}{
		{"struck again", 0, 230 * ms, "not clean; wrong 2 heard 7"},
		{"ringing on", -8, 230 * ms, "not clean; missing 2"},
		{"touched", 0, 90 * ms, "not clean; missing 2"},
		{"struck again, with a trace of it after", 0, 231 * ms, "not clean; wrong 2 heard 7"},
		{"struck again, and not over when it is judged", 0, 120 * ms, "not clean; wrong 2 heard 7"},
		{"held on, and not over when it is judged", 0, 120 * ms, "not clean; missing 2"},
	} {
		n := notes(l)
		n[1].end = n[2].On
		n[2] = Note{On: n[2].On, Off: n[2].On + c.long, Cents: n[1].Cents, Level: n[1].Level + c.level}
		if n[2].sounds = strings.HasSuffix(c.what, "judged"); strings.HasPrefix(c.what, "struck") {
			n[2].Sure = 0.5
		}
		if strings.HasSuffix(c.what, "after") {
			end := n[2].Off
			n = slices.Insert(n, 3, Note{On: end, Off: end + 10*ms, end: end + 10*ms, Cents: n[1].Cents, Level: n[1].Level - 3})
		}
		if got := words(judged(t, l, Options{Alone: true}, n)); got[0] != c.want {
			t.Errorf("%s: %q, want %q", c.what, got[0], c.want)
		}
	}
}

// TestNextTooSoon: a wrong note that is the next one, which is struck again in time,
// is wrong, and the next one not early.
func TestNextTooSoon(t *testing.T) {
	euphonium, err := drill.Find("euphonium in Bb", drill.LevelComfortable)
	if err != nil {
		t.Fatal(err)
	}
	o := order{figure: "2:1/2 4:1/2 1 6:2 3", instrument: euphonium, keys: []pitch.Class{8, 4}, tempo: 157, swing: 1}
	l, _ := o.line(playback.ModeModel)
	o.figure = "2:1/2 bbbbb4:1/2 1 6:2 3"
	played, _ := o.line(playback.ModeModel)
	for n, s := range heard(t, l, sound(t, played, 44100), 44100, Options{}, blocks) {
		if w := words([]Say{s}); len(s.Faults) != 1 || s.Faults[0].Kind != KindWrong || s.Faults[0].Note != 1 {
			t.Errorf("statement %d is %q", n+1, w)
		}
	}
}

// TestComesAgain: a note that is heard again where none is due, softer, is what a room or
// a swell has of it; as loud, or from keys, it is an extra one.
func TestComesAgain(t *testing.T) {
	_, l := plain(t, "3 5 1 6", 120, 1)
	for _, c := range []struct {
		what  string
		place int // of the first, which comes again after the next, or at once where it is the next
		level float64
		long  time.Duration
		keys  bool
		want  string
	}{
		{"through the next note, softer", 0, -3, 80 * ms, false, "clean"},
		{"through the next note, as loud", 0, 0, 80 * ms, false, "not clean; extra 1 heard 4"},
		{"softer, but long", 0, -3, 400 * ms, false, "not clean; extra 1 heard 4"},
		{"softer, from keys", 0, -3, 80 * ms, true, "not clean; extra 1 heard 4"},
		{"a swell", 1, -2, 150 * ms, false, "clean"},
		{"struck twice", 1, 0, 150 * ms, false, "not clean; extra 1 heard 7"},
	} {
		n := notes(l)
		n[1].Off, n[1].end = n[1].On+100*ms, n[1].On+100*ms
		on := n[1].end
		n = slices.Insert(n, 2, Note{On: on, Off: on + c.long, end: on + c.long, Cents: n[c.place].Cents, Level: n[0].Level + c.level, Sure: 1})
		if c.place == 0 && !c.keys && c.want == "clean" { // and the next one sounds on through it
			n = slices.Insert(n, 3, Note{On: n[2].end, Off: n[2].end + 60*ms, end: n[2].end + 60*ms, Cents: n[1].Cents, Level: n[1].Level, Sure: 1})
		}
		if got := words(judged(t, l, Options{Alone: true, Keys: c.keys}, n)); got[0] != c.want {
			t.Errorf("%s: %q, want %q", c.what, got[0], c.want)
		}
	}
}

// TestTraceIsNoNote: a frame between two keys in which a note ends is not the next
// one, right or wrong, which is missing.
func TestTraceIsNoNote(t *testing.T) {
	for _, c := range []struct {
		instrument, figure, played string
		tempo                      int
	}{
		{"flute", "5 2 b3:2 1", "5 2 0:2 1", 60},
		{"alto flute in G", "v5 v7 | 1 4 2:2", "v5 v7 | 0 4 2:2", 120},
	} {
		flute, err := drill.Find(c.instrument, drill.LevelComfortable)
		if err != nil {
			t.Fatal(err)
		}
		o := order{figure: c.figure, instrument: flute, keys: []pitch.Class{7, 5, 1, 11, 10}, tempo: c.tempo, swing: 1}
		l, _ := o.line(playback.ModeModel)
		o.figure = c.played
		played, _ := o.line(playback.ModeModel)
		for n, w := range words(heard(t, l, sound(t, played, 44100), 44100, Options{}, blocks)) {
			if w != "not clean; missing 2" {
				t.Errorf("%v: statement %d is %q", o, n+1, w)
			}
		}
	}
}

// TestTails: what is left of a note, and what is too short to be one, is none of
// what follows: a late note stays late, another octave's extra note an extra one.
func TestTails(t *testing.T) {
	_, l := plain(t, "3 5 1 6", 120, 1)
	note := func(key, level float64, on, off time.Duration, sure float64) Note {
		return Note{On: on, Off: off, end: off, Cents: 100 * key, Level: level, Sure: sure}
	}
	due := notes(l)
	key, level, on := due[2].Cents/100, due[2].Level, due[2].On
	for _, c := range []struct {
		what  string
		heard func([]Note) []Note
		want  string
	}{
		{"a soft tail before a late note", func(n []Note) []Note {
			n[2].On += 120 * ms
			return slices.Insert(n, 2, note(key-19, level-9, on, n[2].On, 1))
		}, "not clean; late 2"},
		{"a blend before a note in time", func(n []Note) []Note {
			n[2].On += 120 * ms
			return slices.Insert(n, 2, note(key-19, level-3, on, n[2].On, 1))
		}, "clean"},
		{"a blend struck again before a note in time", func(n []Note) []Note {
			n[2].On += 140 * ms
			return slices.Insert(n, 2, note(key-19, level-3, on, on+100*ms, 0.4), note(key-19, level-3, on+100*ms, n[2].On, 0.8))
		}, "clean"},
		{"an extra note an octave and a fifth below the next", func(n []Note) []Note {
			n[1].Off, n[1].end = n[2].On-160*ms, n[2].On-160*ms
			return slices.Insert(n, 2, note(key-19, level, n[2].On-160*ms, n[2].On, 1))
		}, "unclear"},
		{"an extra note after a trace of its octave", func(n []Note) []Note {
			n[2].Off, n[2].end = on+110*ms, on+110*ms
			return slices.Insert(n, 3, note(key-16, level, on+110*ms, on+130*ms, 0), note(key-4, level, on+130*ms, n[3].On, 0.6))
		}, "not clean; extra 2 heard 8"},
	} {
		if got := words(judged(t, l, Options{Alone: true}, c.heard(notes(l)))); got[0] != c.want {
			t.Errorf("%s: %q, want %q", c.what, got[0], c.want)
		}
	}
}

// TestBackAgain: a note that comes again after another one, just as loud and slurred,
// is one of its own; what is left of it, softer, is not.
func TestBackAgain(t *testing.T) {
	partials := []float64{0.5, 0.3, 0.2}
	for _, c := range []struct {
		loud float64
		want int // sure notes
	}{{0.3, 3}, {0.1, 2}} {
		x := tones(44100, 1.5, tone{72, 0.2, 0.6, 0.03, 0.3, partials}, tone{76, 0.6, 1, 0.03, 0.3, partials}, tone{72, 1, 1.3, 0.03, c.loud, partials})
		sure := 0
		e, err := NewEar(44100, 60, 96, func(n Note) {
			if n.Sure >= 0.5 && n.Off-n.On > 200*ms {
				sure++
			}
		})
		if err != nil {
			t.Fatal(err)
		}
		e.Write(x)
		e.Close()
		if sure != c.want {
			t.Errorf("at %v it is heard as %d notes", c.loud, sure)
		}
	}
}
