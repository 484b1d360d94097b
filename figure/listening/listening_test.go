package listening

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
	"pgregory.net/rapid"
)

func TestText(t *testing.T) {
	var s Strictness
	var v Verdict
	var k Kind
	for _, c := range []struct {
		value interface {
			fmt.Stringer
			MarshalText() ([]byte, error)
		}
		read interface{ UnmarshalText([]byte) error }
		text string
	}{
		{StrictnessRhythm, &s, "rhythm"}, {StrictnessNotes, &s, "notes"}, {StrictnessStrict, &s, "strict"},
		{VerdictNotPlayed, &v, "not played"}, {VerdictUnclear, &v, "unclear"}, {KindWrong, &k, "wrong"}, {KindKey, &k, "key"},
	} {
		text, err := c.value.MarshalText()
		if err != nil || string(text) != c.text || c.value.String() != c.text {
			t.Errorf("%v is written as %q, %v", c.value, text, err)
		}
		if err := c.read.UnmarshalText([]byte(strings.ToUpper(c.text))); err != nil {
			t.Error(err)
		}
	}
	if s != StrictnessStrict || v != VerdictUnclear || k != KindKey {
		t.Error(s, v, k)
	}
}

func TestRefused(t *testing.T) {
	var refused *fault.ValueError
	_, l := plain(t, "3 5 1 6", 120, 1)
	var many []Note
	for n := range MaxIdea + 1 {
		many = append(many, NoteOf(60, 9, time.Duration(n)*time.Second, time.Duration(n+1)*time.Second))
	}
	if _, ok := Offset(nil, l.Parts()[0], many); ok {
		t.Error("no line has an offset")
	}
	if _, ok := Offset(l, drill.Part{}, many); ok {
		t.Error("no part has an offset")
	}
	for n, err := range []error{
		second(NewTracker(7999, 60, 72, nil)), second(NewTracker(192001, 60, 72, nil)),
		second(NewEar(44100, 72, 60, nil)), second(NewEar(44100, -1, 60, nil)), second(NewEar(44100, 60, 128, nil)),
		second(NewJudge(l, l.Parts()[0], Options{Strictness: 9})), second(NewJudge(nil, l.Parts()[0], Options{})), second(NewJudge(l, drill.Part{}, Options{})),
		second(Idea(nil, Asking{})), second(Idea([]Note{NoteOf(60, 9, 0, 1e9)}, Asking{Tempo: 5})), second(Idea([]Note{NoteOf(60, 9, 0, 1e9)}, Asking{Tempo: math.NaN()})),
		second(Idea(make([]Note, MaxIdea+1), Asking{})), second(Idea(many, Asking{})),
	} {
		if !errors.As(err, &refused) {
			t.Errorf("%d: %v", n, err)
		}
	}
}

func second[T any](_ T, err error) error { return err }

// plain returns a line for a flute, one statement for each key from C upward.
func plain(t testing.TB, text string, tempo, keys int) (order, *playback.Line) {
	t.Helper()
	flute, err := drill.Find("flute", drill.LevelFull)
	if err != nil {
		t.Fatal(err)
	}
	o := order{figure: text, instrument: flute, tempo: tempo, swing: 1}
	for k := range keys {
		o.keys = append(o.keys, pitch.Class(k%12))
	}
	l, ok := o.line(playback.ModeModel)
	if !ok {
		t.Fatalf("%v does not fit", o)
	}
	return o, l
}

// notes returns the notes of a line as they are due.
func notes(l *playback.Line) (all []Note) {
	for turn := range l.Turns(0) {
		for n := range l.Notes(turn) {
			all = append(all, NoteOf(n.Key, 90, l.At(n.On), l.At(n.Off)))
		}
	}
	return all
}

// judged returns the says on notes.
func judged(t testing.TB, l *playback.Line, o Options, notes []Note) []Say {
	t.Helper()
	j, err := NewJudge(l, l.Parts()[0], o)
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range notes {
		j.Hear(n)
	}
	return slices.Collect(j.Says(time.Hour))
}

// TestLawTrackerFindsPitch: of a tone with partials the pitch is found within 2
// cents, its level within 1 dB, at any rate.
func TestLawTrackerFindsPitch(t *testing.T) {
	few(t, 40, func(t *rapid.T) {
		rate := rapid.SampledFrom([]int{8000, 11025, 16000, 22050, 44100, 48000, 96000, 192000}).Draw(t, "rate")
		key := rapid.Float64Range(40, 80).Draw(t, "key")
		level := rapid.Float64Range(-40, 0).Draw(t, "level")
		hz := 440 * math.Exp2((key-69)/12)
		x := make([]float32, rate/2)
		for n := range x {
			w := 2 * math.Pi * hz * float64(n) / float64(rate)
			x[n] = float32(math.Pow(10, level/20) * (0.9*math.Sin(w) + 0.4*math.Sin(2*w+1) + 0.2*math.Sin(3*w)))
		}
		frames := 0
		tracker, err := NewTracker(rate, 40, 84, func(f Frame) {
			if f.At < 100*time.Millisecond || f.At > 380*time.Millisecond {
				return
			}
			frames++
			if math.Abs(f.Cents-100*key) > 2 || f.Clarity < 0.95 || math.Abs(f.Level-level) > 1 {
				t.Fatalf("key %.2f at %d Hz, %.1f dB: heard %.2f, clarity %.3f, %.1f dB", key, rate, level, f.Cents/100, f.Clarity, f.Level)
			}
		})
		if err != nil {
			t.Fatal(err)
		}
		tracker.Write(x)
		if frames < 50 || tracker.Now() < 400*time.Millisecond {
			t.Fatalf("%d frames up to %v", frames, tracker.Now())
		}
	})
}

// TestNoNumber: what is no finite number is silence.
func TestNoNumber(t *testing.T) {
	_, l := plain(t, "3 5 1 6", 120, 1)
	x := sound(t, l, 44100)
	want := fmt.Sprint(heard(t, l, x, 44100, Options{}, blocks))
	for k, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		x[40000+k] = float32(bad)
	}
	if got := fmt.Sprint(heard(t, l, x, 44100, Options{}, blocks)); got != want {
		t.Errorf("with numbers that are none: %s, not %s", got, want)
	}
}

// TestIdeaOfAnEar: notes that are told again, as an Ear does, make the same idea.
func TestIdeaOfAnEar(t *testing.T) {
	var once, twice []Note
	at := time.Duration(0)
	for n, key := range []pitch.Number{62, 65, 69, 67, 60} {
		long := time.Duration(1+n%2) * 300 * time.Millisecond
		note := NoteOf(key, 90, at, at+long)
		first := note
		first.Off = first.On + 120*time.Millisecond
		once, twice = append(once, note), append(twice, first, note)
		at += long
	}
	want, err := Idea(once, Asking{Tempo: 100})
	if err != nil {
		t.Fatal(err)
	}
	if got, err := Idea(twice, Asking{Tempo: 100}); err != nil || fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("%v, %v, not %v", got, err, want)
	}
}

// TestNothingIsAllocated: an ear allocates nothing while it hears.
func TestNothingIsAllocated(t *testing.T) {
	_, l := plain(t, "3 5 1 6", 160, 1)
	x := sound(t, l, 44100)
	e, err := NewEar(44100, 60, 96, func(Note) {})
	if err != nil {
		t.Fatal(err)
	}
	if n := testing.AllocsPerRun(2, func() { e.Write(x) }); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

// TestCharges: what each strictness charges.
func TestCharges(t *testing.T) {
	_, l := plain(t, "3 5 1 6", 120, 1) // the tolerance is 83 ms
	for _, c := range []struct {
		by                    time.Duration // of the third note
		notes, rhythm, strict string
	}{
		{0, "clean", "clean", "clean"},
		{35 * time.Millisecond, "clean", "clean", "clean"},
		{50 * time.Millisecond, "clean", "clean", "not clean; late 2"},
		{-50 * time.Millisecond, "clean", "clean", "not clean; early 2"},
		{70 * time.Millisecond, "clean", "clean", "not clean; late 2"},
		{100 * time.Millisecond, "clean", "not clean; late 2", "not clean; late 2"},
		{-100 * time.Millisecond, "clean", "not clean; early 2", "not clean; early 2"},
	} {
		heard := notes(l)
		heard[2].On += c.by
		for s, want := range map[Strictness]string{StrictnessNotes: c.notes, StrictnessRhythm: c.rhythm, StrictnessStrict: c.strict} {
			if got := words(judged(t, l, Options{Strictness: s, Keys: true}, heard)); !slices.Equal(got, []string{want}) {
				t.Errorf("%v by %v: %q, want %q", s, c.by, got, want)
			}
		}
	}
}

// TestTolerance: a third of the shortest note, at least 60 and at most 120 ms.
func TestTolerance(t *testing.T) {
	for _, c := range []struct {
		figure string
		tempo  int
		want   time.Duration
	}{
		{"3 5 1 6", 60, 120 * time.Millisecond}, {"3 5 1 6", 120, 250 * time.Millisecond / 3}, {"3 5 1 6", 200, 60 * time.Millisecond},
		{"3 5:1/2 1:1/2 6", 100, 60 * time.Millisecond}, {"1 0:3 3", 100, 100 * time.Millisecond},
	} {
		_, l := plain(t, c.figure, c.tempo, 1)
		a := newCursor(l, l.Parts()[0]).next()
		if got := a.tolerance(StrictnessRhythm); (got - c.want).Abs() > time.Microsecond {
			t.Errorf("%s at %d: %v, want %v", c.figure, c.tempo, got, c.want)
		}
		if got := a.tolerance(StrictnessStrict); (got - c.want/2).Abs() > time.Microsecond {
			t.Errorf("strict, %s at %d: %v", c.figure, c.tempo, got)
		}
	}
}

// TestSwing: an off-beat is right from straight to 3:1.
func TestSwing(t *testing.T) {
	o, _ := plain(t, "3:2 5:2 1 6", 100, 2)
	o.swing = 2
	l, _ := o.line(playback.ModeModel)
	quarter := 600 * time.Millisecond
	for _, c := range []struct {
		at   float64 // of a quarter
		want string
	}{{0.5, "clean"}, {0.58, "clean"}, {0.667, "clean"}, {0.75, "clean"}, {0.3, "not clean; early 3"}} {
		heard := notes(l)
		for n := range heard {
			if n%4 == 3 {
				heard[n].On = heard[n-1].On + time.Duration(c.at*float64(quarter))
			}
		}
		if got := words(judged(t, l, Options{Keys: true}, heard)); got[1] != c.want {
			t.Errorf("off-beats at %v of a quarter: %q, want %q", c.at, got, c.want)
		}
	}
}

// TestDelayAndDrift: one fixed delay up to 250 ms and a clock that drifts by 0.1 %
// are learned, and a late note is late all the same.
func TestDelayAndDrift(t *testing.T) {
	_, l := plain(t, "3 5 1 6", 120, 40)
	for _, delay := range []time.Duration{0, 60 * time.Millisecond, 250 * time.Millisecond} {
		for _, drift := range []float64{-0.001, 0, 0.001} {
			heard := notes(l)
			for n := range heard {
				heard[n].On = time.Duration(float64(heard[n].On)*(1+drift)) + delay
			}
			heard[4*30+2].On += 110 * time.Millisecond
			for n, s := range judged(t, l, Options{Keys: true}, heard) {
				want := "clean"
				if n == 30 {
					want = "not clean; late 2"
				}
				if got := words([]Say{s})[0]; got != want {
					t.Fatalf("delay %v, drift %v: statement %d is %q, want %q", delay, drift, n+1, got, want)
				}
			}
		}
	}
}

// TestRushing: who rushes is told how much.
func TestRushing(t *testing.T) {
	_, l := plain(t, "3 5 1 6", 120, 2)
	heard := notes(l)
	for n := range heard {
		heard[n].On -= time.Duration(n%4) * 10 * time.Millisecond // 80 ms in the eight eighths of a bar
	}
	for _, s := range judged(t, l, Options{Keys: true}, heard) {
		if s.Verdict != VerdictClean || (s.Drag+80*time.Millisecond).Abs() > time.Millisecond {
			t.Errorf("%v, %v", s.Verdict, s.Drag)
		}
	}
}

// TestFaults: what is heard, and what is said of it.
func TestFaults(t *testing.T) {
	_, l := plain(t, "3 5 1 6", 120, 2)
	up := func(notes []Note, cents float64) []Note {
		for n := range notes {
			notes[n].Cents += cents
		}
		return notes
	}
	for _, c := range []struct {
		what  string
		heard func([]Note) []Note // of what is due in the first statement
		want  string
	}{
		{"nothing", func(n []Note) []Note { return nil }, "not played"},
		{"all", func(n []Note) []Note { return n }, "clean"},
		{"an octave higher", func(n []Note) []Note { return up(n, 1200) }, "clean"},
		{"two octaves lower", func(n []Note) []Note { return up(n, -2400) }, "clean"},
		{"sharp", func(n []Note) []Note { return up(n, 40) }, "clean"},
		{"in D", func(n []Note) []Note { return up(n, 200) }, "not clean; key -1 +2"},
		{"in G, an octave lower", func(n []Note) []Note { return up(n, 700-1200) }, "not clean; key -1 -5"},
		{"the second a half step lower", func(n []Note) []Note { n[1].Cents -= 100; return n }, "not clean; wrong 1 heard 6"},
		{"the first left out", func(n []Note) []Note { return n[1:] }, "not clean; missing 0"},
		{"two left out", func(n []Note) []Note { return slices.Delete(n, 1, 3) }, "not clean; missing 1; missing 2"},
		{"a note before", func(n []Note) []Note {
			return append([]Note{NoteOf(70, 90, n[0].On-120*time.Millisecond, n[0].On)}, n...)
		}, "not clean; extra -1 heard T"},
		{"a note between", func(n []Note) []Note {
			return slices.Insert(n, 2, NoteOf(70, 90, n[1].On+125*time.Millisecond, n[2].On))
		}, "not clean; extra 1 heard T"},
		{"what is none", func(n []Note) []Note {
			x := NoteOf(70, 90, n[1].On+125*time.Millisecond, n[2].On)
			x.Sure = 0.2
			return slices.Insert(n, 2, x)
		}, "clean"},
		{"one that is hardly heard", func(n []Note) []Note { n[1].Sure = 0.2; return n }, "unclear"},
		{"one between two keys", func(n []Note) []Note { n[1].Cents -= 55; return n }, "unclear"},
		{"the last much later", func(n []Note) []Note { n[3].On += 180 * time.Millisecond; return n }, "not clean; late 3"},
	} {
		due := notes(l)
		heard := append(c.heard(slices.Clone(due[:4])), due[4:]...)
		if got := words(judged(t, l, Options{Keys: true}, heard)); got[0] != c.want || got[1] != "clean" {
			t.Errorf("%s: %q, want %q", c.what, got, c.want)
		}
	}
	s := judged(t, l, Options{Keys: true}, up(notes(l), 1200))[0]
	if s.Notes[0].Octaves != 1 || s.Notes[0].Cents != 0 {
		t.Errorf("%+v", s.Notes)
	}
}

// TestChords: from keys a chord is judged, from sound it is never clean.
func TestChords(t *testing.T) {
	_, l := plain(t, "1+3+5:2 1+4+6:2", 100, 2)
	due := notes(l)
	if got := words(judged(t, l, Options{Keys: true}, due)); !slices.Equal(got, []string{"clean", "clean"}) {
		t.Errorf("%q", got)
	}
	if got := words(judged(t, l, Options{}, due)); !slices.Equal(got, []string{"unclear", "unclear"}) {
		t.Errorf("from sound: %q", got)
	}
	if got := words(judged(t, l, Options{Keys: true}, slices.Delete(due, 1, 2))); got[0] != "not clean; missing 1" || got[1] != "clean" {
		t.Errorf("%q", got)
	}
	due = notes(l)
	due[4].Cents += 100
	if got := words(judged(t, l, Options{Keys: true}, due)); got[0] != "not clean; wrong 4 heard 6" {
		t.Errorf("%q", got)
	}
	// in any order within a chord
	due = notes(l)
	due[0].On, due[2].On = due[0].On+30*time.Millisecond, due[2].On-10*time.Millisecond
	slices.SortStableFunc(due, func(a, b Note) int { return cmp.Compare(a.On, b.On) })
	if got := words(judged(t, l, Options{Keys: true}, due)); got[0] != "clean" {
		t.Errorf("%q", got)
	}
}

// TestOffset: where nothing fits, none is found.
func TestOffset(t *testing.T) {
	_, l := plain(t, "3 5 1 6", 120, 4)
	if _, ok := Offset(l, l.Parts()[0], nil); ok {
		t.Error("of nothing there is an offset")
	}
	other := notes(l)
	for n := range other {
		other[n].Cents = 7000 + 100*float64(n%2)
	}
	if _, ok := Offset(l, l.Parts()[0], other); ok {
		t.Error("of other notes there is an offset")
	}
	for _, by := range []time.Duration{-1900 * time.Millisecond, 0, 4 * time.Second, time.Minute} {
		heard := notes(l)
		for n := range heard {
			heard[n].On += by
		}
		if got, ok := Offset(l, l.Parts()[0], heard); !ok || (got-by).Abs() > time.Millisecond {
			t.Errorf("%v is found as %v, %v", by, got, ok)
		}
	}
}

// TestOffsetInSwing: off-beats that swing do not move the offset.
func TestOffsetInSwing(t *testing.T) {
	for _, swing := range []float64{1.5, 2, 3} {
		for _, tempo := range []int{90, 152, 180} {
			o, _ := plain(t, "3 5 1 6:2 2", tempo, 4)
			o.swing = swing
			l, ok := o.line(playback.ModeModel)
			if !ok {
				t.Fatal(o)
			}
			if got, ok := Offset(l, l.Parts()[0], notes(l)); !ok || got.Abs() > time.Millisecond {
				t.Errorf("swing %v at %d: found as %v, %v", swing, tempo, got, ok)
			}
		}
	}
}

// TestOffsetBesideALoudspeaker: the line's own cues and answers, heard as well as the
// player or alone, are not taken for the player, nor the player for them.
func TestOffsetBesideALoudspeaker(t *testing.T) {
	o, _ := plain(t, "3 5 1 6", 120, 5)
	for _, mode := range []playback.Mode{playback.ModeAnswer, playback.ModeCall} {
		l, ok := o.line(mode)
		if !ok {
			t.Fatal(mode)
		}
		var mine []Note
		for c := newCursor(l, l.Parts()[0]); ; {
			a := c.next()
			if a == nil {
				break
			}
			for n, d := range a.notes {
				if k := len(mine) % 3; n == 2 && k != 0 { // two of three statements have a wrong note
					d.key += pitch.Number(k)
				}
				mine = append(mine, NoteOf(d.key, 90, d.from, d.from+200*time.Millisecond))
			}
		}
		for _, by := range []time.Duration{-1500 * time.Millisecond, 0, 2 * time.Second, 10 * time.Second} {
			for name, heard := range map[string][]Note{"the player": mine, "both": append(notes(l), mine...), "the line": notes(l)} {
				if name == "the line" && mode == playback.ModeCall {
					continue // which is what a player would play who begins earlier
				}
				heard = slices.Clone(heard)
				for n := range heard {
					heard[n].On += by
				}
				slices.SortStableFunc(heard, func(a, b Note) int { return cmp.Compare(a.On, b.On) })
				if got, ok := Offset(l, l.Parts()[0], heard); !ok || (got-by).Abs() > time.Millisecond {
					t.Errorf("%v, %s, %v later: found as %v, %v", mode, name, by, got, ok)
				}
			}
		}
	}
}

// TestDue: what is due is favoured from a little before a statement until the next.
func TestDue(t *testing.T) {
	_, l := plain(t, "3 5 1 6", 120, 2)
	j, err := NewJudge(l, l.Parts()[0], Options{Offset: time.Second})
	if err != nil {
		t.Fatal(err)
	}
	first := pitch.SetOf(0, 4, 7, 9)
	for _, c := range []struct {
		at   time.Duration
		want pitch.Set
	}{{0, 0}, {2800 * time.Millisecond, 0}, {3 * time.Second, first}, {6 * time.Second, first}, {7 * time.Second, first.T(1)}, {time.Hour * 2, 0}} {
		if got := j.Due(c.at); got != c.want {
			t.Errorf("at %v %v is due, want %v", c.at, got, c.want)
		}
	}
}

// TestLawIdeas: ideas of eighths, sixteenths, triplets and rests, played with a
// jitter of up to 15 ms, come out as they were, in their key.
func TestLawIdeas(t *testing.T) {
	few(t, 60, func(t *rapid.T) {
		rhythm := rapid.SampledFrom([]string{"8", "16", "3"}).Draw(t, "rhythm")
		tempo := rapid.IntRange(60, 120).Draw(t, "tempo")
		var items []figure.Item
		for beat := range 4 {
			parts := []figure.Length{figure.Eighth, figure.Eighth}
			if beat%2 == 1 {
				switch rhythm {
				case "16":
					parts = []figure.Length{figure.Eighth * 3 / 2, figure.Sixteenth}
				case "3":
					parts = []figure.Length{figure.Quarter / 3, figure.Quarter / 3, figure.Quarter / 3}
				}
			}
			for _, l := range parts {
				items = append(items, figure.Item{Length: l, Degrees: []figure.Degree{{Step: int8(rapid.IntRange(0, 7).Draw(t, "step"))}}})
			}
		}
		items[0].Degrees = []figure.Degree{{}}
		f, err := figure.New(figure.Major, 0, 0, items...)
		if err != nil {
			t.Fatal(err)
		}
		tonic := spelling.MustParse("D4")
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		whole := 4 * 60e9 / float64(tempo)
		var heard []Note
		for _, e := range f.In(tonic) {
			on := time.Duration(float64(e.Onset)/192*whole + 3e7*r.Float64())
			heard = append(heard, NoteOf(e.Note.Number(), 80, on, on+time.Duration(0.85*float64(e.Length)/192*whole)))
		}
		got, err := Idea(heard, Asking{Tempo: float64(tempo), Key: tonic.Name(), InKey: true})
		if err != nil {
			t.Fatal(err)
		}
		if a, b := got.Figure.In(got.Tonic), f.In(tonic); !slices.Equal(onsets(a), onsets(b)) || !slices.Equal(got.Figure.AppendNotes(nil, got.Tonic), f.AppendNotes(nil, tonic)) {
			t.Fatalf("%v at %d is read as %v", f, tempo, got.Figure)
		}
	})
}

func onsets(events []figure.Event) (all []figure.Length) {
	for _, e := range events {
		all = append(all, e.Onset)
	}
	return all
}

// played returns a figure as notes.
func played(f figure.Figure, tonic string, tempo float64) (heard []Note) {
	whole := 4 * 60e9 / tempo
	for _, e := range f.In(spelling.MustParse(tonic)) {
		on := time.Duration(float64(e.Onset) / 192 * whole)
		heard = append(heard, NoteOf(e.Note.Number(), 80, on, on+time.Duration(0.9*float64(e.Length)/192*whole)))
	}
	return heard
}

// TestKeysOfIdeas: the key that is found, and the runner-up.
func TestKeysOfIdeas(t *testing.T) {
	for _, c := range []struct{ figure, tonic, second string }{
		{"1:3 5 4 2 3:2", "Eb4", "A♭"}, {"1 4 3:2 7 5 1:2 in natural minor", "A4", ""}, {"3 5 1:2 7 6 0:2 1", "F4", ""},
	} {
		f := figure.MustParse(c.figure)
		r, err := Idea(played(f, c.tonic, 90), Asking{Tempo: 90})
		if err != nil || !r.Figure.Equal(f) || r.Tonic.Name() != spelling.MustParse(c.tonic).Name() {
			t.Errorf("%v in %s is read as %v in %v, %v", f, c.tonic, r.Figure, r.Tonic, err)
		}
		if c.second != "" && r.Second.String() != c.second {
			t.Errorf("%v in %s: the runner-up is %v", f, c.tonic, r.Second)
		}
	}
	// in the key that was asked for, of an instrument that transposes
	r, err := Idea(played(figure.MustParse("1 3 5:2"), "Bb4", 90), Asking{Key: spelling.MustParseName("G"), InKey: true, Tempo: 90, Sounding: -spelling.MustParse("Bb3").To(spelling.MustParse("C4"))})
	if err != nil || r.Figure.Plain() != "v4 v6 1:2" {
		t.Errorf("%v, %v", r.Figure, err)
	}
}

// TestFreeTempo: where no tempo was counted, one is found in which the notes lie.
func TestFreeTempo(t *testing.T) {
	f := figure.MustParse("1:2 5 4 2:2 3 1 3:3")
	for _, tempo := range []float64{72, 96, 120, 138} {
		r, err := Idea(played(f, "C4", tempo), Asking{})
		if err != nil || !r.Figure.Equal(f) || math.Abs(r.Tempo-tempo) > 3 {
			t.Errorf("at %v: %v at %v, %v", tempo, r.Figure, r.Tempo, err)
		}
	}
	if r, err := Idea([]Note{NoteOf(60, 80, 0, 1e9)}, Asking{}); err != nil || r.Figure.NoteCount() != 1 {
		t.Error(r, err)
	}
}
