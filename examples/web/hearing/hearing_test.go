package hearing

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"
	"math"
	"slices"
	"strings"
	"testing"

	"example.com/keyorder/examples/web/form"
	"example.com/keyorder/figure/listening"
	"example.com/keyorder/figure/playback/wav"
	"example.com/keyorder/figure/session"
	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
)

const rate = 44100

// open opens a session; the settings that are not given are of a short drill.
func open(t testing.TB, given map[string]string) (*session.Session, string) {
	t.Helper()
	settings := map[string]string{"figure": "3 5 1 6", "meter": "2/4", "tempo": "150", "keys": "C Eb F Bb", "instrument": "trumpet", "sound": "model"}
	for k, v := range given {
		settings[k] = v
	}
	text, err := json.Marshal(settings)
	if err != nil {
		t.Fatal(err)
	}
	s, err := form.New(context.Background(), text, "")
	if err != nil {
		t.Fatal(err)
	}
	state, err := s.AppendState(nil)
	if err != nil {
		t.Fatal(err)
	}
	return s, string(state)
}

// sound returns a session as it sounds.
func sound(t testing.TB, s *session.Session) (all []float32) {
	t.Helper()
	var b bytes.Buffer
	if err := wav.Write(&b, s.Line(), wav.Options{Rate: rate}); err != nil {
		t.Fatal(err)
	}
	w, err := wav.Read(&b)
	if err != nil {
		t.Fatal(err)
	}
	block := make([]float32, 4096)
	for {
		n, err := w.Read(block)
		all = append(all, block[:n]...)
		if errors.Is(err, io.EOF) {
			return all
		}
		if err != nil {
			t.Fatal(err)
		}
	}
}

// hear plays sound to a listener and returns all that it says, in the sound's
// last second or in the second of silence after it.
func hear(l *Listener, sound []float32) (says []string, held []float64) {
	for from := 0; from < len(sound)+rate; from += 1024 {
		block := make([]float32, 1024)
		if from < len(sound) {
			copy(block, sound[from:])
		}
		h := l.Write(block)
		for _, s := range h.Says {
			says = append(says, s.Verdict.String()+": "+s.Words)
		}
		if h.Held > 0 {
			held = append(held, h.Held)
		}
	}
	return says, held
}

func listen(t testing.TB, instrument string, rate int) *Listener {
	t.Helper()
	l, err := New(instrument, rate)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// TestWordsOfSound: what is said of takes that were played otherwise than asked.
func TestWordsOfSound(t *testing.T) {
	_, asked := open(t, nil)
	for played, want := range map[string][]string{
		"3 5 1 6":           {"clean: clean", "clean: clean", "clean: clean", "clean: clean"},
		"3 5 2 6":           {"not clean: third note: D", "not clean: third note: F", "not clean: third note: G", "not clean: third note: C"},
		"3 0 1 6":           {"not clean: second note missing", "not clean: second note missing", "not clean: second note missing", "not clean: second note missing"},
		"3 5:1/2 4:1/2 1 6": {"not clean: F too many, after the second note"},
		"#4 6 2 7":          {"not clean: you played in D", "not clean: you played in F", "not clean: you played in G", "not clean: you played in C"},
		"3 0 2 b6":          {"not clean: second note missing; third note: D; and 1 more"},
	} {
		s, _ := open(t, map[string]string{"figure": played})
		l := listen(t, "trumpet", rate)
		if err := l.Follow(asked, Following{}); err != nil {
			t.Fatal(err)
		}
		if got, _ := hear(l, sound(t, s)); len(got) != 4 || !slices.Equal(got[:len(want)], want) {
			t.Errorf("%s: %q, want %q", played, got, want)
		}
	}
	l := listen(t, "trumpet", rate)
	if err := l.Follow(asked, Following{}); err != nil {
		t.Fatal(err)
	}
	if got, _ := hear(l, make([]float32, 10*rate)); !slices.Equal(got, slices.Repeat([]string{"not played: nothing heard"}, 4)) {
		t.Errorf("of silence: %q", got)
	}
}

// TestFrom: of what comes before a time nothing is said, and an offset moves all.
func TestFrom(t *testing.T) {
	s, state := open(t, nil)
	l := listen(t, "trumpet", rate)
	if err := l.Follow(state, Following{Offset: 0.7, From: s.Plan().Statements[2].Start - 0.1}); err != nil {
		t.Fatal(err)
	}
	if got, _ := hear(l, append(make([]float32, 7*rate/10), sound(t, s)...)); !slices.Equal(got, []string{"clean: clean", "clean: clean"}) {
		t.Errorf("from the third statement on: %q", got)
	}
}

// press tells a listener all notes of a session, each so much later, and returns
// what it says, statement by statement.
func press(l *Listener, s *session.Session, from, to, later float64) (says []string) {
	line := s.Line()
	for turn := range line.Turns(0) {
		for n := range line.Notes(turn) {
			at := line.At(n.On).Seconds() + later
			if at < from || at >= to {
				continue
			}
			for _, s := range l.At(at).Says {
				says = append(says, s.Verdict.String())
			}
			l.Press(n.Key, 90, at)
			l.Release(n.Key)
		}
	}
	if to < line.Duration().Seconds() {
		return says
	}
	for _, s := range l.At(line.Duration().Seconds() + 3).Says {
		says = append(says, s.Verdict.String())
	}
	return says
}

// TestKeys: keys are judged as sound is, and chords too.
func TestKeys(t *testing.T) {
	for _, figure := range []string{"3 5 1 6", "1+3+5 2+4 1:2"} {
		s, state := open(t, map[string]string{"figure": figure, "instrument": "piano"})
		l := listen(t, "piano", 0)
		if err := l.Follow(state, Following{Offset: 2}); err != nil {
			t.Fatal(err)
		}
		if got := press(l, s, 0, 1e9, 2.08); !slices.Equal(got, slices.Repeat([]string{"clean"}, 4)) {
			t.Errorf("%s: %q", figure, got)
		}
	}
}

// TestAnotherTempo: a session that goes on in another tempo says each statement
// once, and what was heard before the change counts.
func TestAnotherTempo(t *testing.T) {
	s, state := open(t, map[string]string{"instrument": "piano"})
	plan := s.Plan()
	l := listen(t, "piano", 0)
	if err := l.Follow(state, Following{}); err != nil {
		t.Fatal(err)
	}
	middle := plan.Statements[1].Start + 0.25 // the second has begun
	says := press(l, s, 0, middle, 0)
	if len(says) > 1 {
		t.Fatalf("before the second ends: %q", says)
	}
	if err := s.SetTempo(plan.Statements[2].Turn, 110); err != nil {
		t.Fatal(err)
	}
	slower, err := s.AppendState(nil)
	if err != nil {
		t.Fatal(err)
	}
	if err := l.Follow(string(slower), Following{Offset: 0.01}); err != nil {
		t.Fatal(err)
	}
	says = append(says, press(l, s, middle, 1e9, 0)...)
	if !slices.Equal(says, slices.Repeat([]string{"clean"}, 4)) {
		t.Errorf("in another tempo: %q", says)
	}
	l.Leave()
	if h := l.At(1e6); len(h.Says) > 0 {
		t.Errorf("what is left says %v", h)
	}
}

// tone is a note with partials, swelling a little as breath does.
func tone(key float64, long float64) []float32 {
	x := make([]float32, int(long*rate))
	hz := 440 * math.Exp2((key-69)/12)
	for n := range x {
		at := float64(n) / rate
		env := min(1, 30*at, 30*(long-at)) * (0.2 + 0.03*math.Sin(2*math.Pi*3*at))
		for k := 1.0; k <= 4; k++ {
			x[n] += float32(env / k * math.Sin(2*math.Pi*hz*k*at))
		}
	}
	return x
}

// TestAwait: the first note of the key that comes, held for two beats in any octave,
// is told once; shorter ones and others are not.
func TestAwait(t *testing.T) {
	s, state := open(t, nil)
	first := s.Plan().Statements[0].Turn
	silence := make([]float32, rate/2)
	for name, c := range map[string]struct {
		key  float64
		long float64
		want bool
	}{
		"the note": {62, 1.2, true}, "an octave higher": {74, 1.2, true}, "a little flat": {61.8, 1.2, true},
		"too short": {62, 0.7, false}, "another": {64, 2, false},
	} { // two beats at 150 take 0.8 s; E for a trumpet sounds D
		l := listen(t, "trumpet", rate)
		if err := l.Await(state, first); err != nil {
			t.Fatal(err)
		}
		_, held := hear(l, slices.Concat(silence, tone(c.key, c.long), silence))
		switch {
		case len(held) > 1, len(held) == 1 != c.want:
			t.Errorf("%s: held at %v", name, held)
		case c.want && math.Abs(held[0]-0.5) > 0.03:
			t.Errorf("%s: held since %.3f", name, held[0])
		}
	}
	twice := listen(t, "trumpet", rate)
	if err := twice.Await(state, first); err != nil {
		t.Fatal(err)
	}
	if _, held := hear(twice, slices.Concat(silence, tone(62, 0.5), silence, tone(62, 0.5), silence)); len(held) > 0 {
		t.Errorf("two short notes are held since %v", held)
	}
	l := listen(t, "trumpet", 0)
	if err := l.Await(state, first); err != nil {
		t.Fatal(err)
	}
	l.Press(64, 80, 1)
	l.Release(64)
	l.Press(62, 80, 2)
	if h := l.At(2.7); h.Held != 0 || h.Note != 62 {
		t.Errorf("%+v", h)
	}
	if h := l.At(2.81); h.Held != 2 {
		t.Errorf("%+v", h)
	}
	if h := l.At(3); h.Held != 0 {
		t.Errorf("told again: %+v", h)
	}
}

// TestIdea: an idea comes back as the figure that was played, in its key.
func TestIdea(t *testing.T) {
	for _, figure := range []string{"1:3 5 4 2 3:2", "3 5 1 6 5 1:3"} {
		s, _ := open(t, map[string]string{"figure": figure, "keys": "Eb", "meter": "4/4", "tempo": "100", "instrument": "alto saxophone"})
		l := listen(t, "alto saxophone", rate)
		hear(l, sound(t, s))
		start := s.Plan().Statements[0].Start
		idea, err := l.Idea(start-0.2, 100)
		if err != nil || !strings.HasPrefix(idea.Figure, figure[:len(figure)-1]) || idea.First != "E♭" || idea.Tempo != 100 {
			t.Errorf("%s: %+v, %v", figure, idea, err)
		}
		if _, err := l.Idea(start+60, 100); err == nil {
			t.Error("silence is an idea")
		}
	}
}

func TestRefused(t *testing.T) {
	_, state := open(t, nil)
	l := listen(t, "trumpet", rate)
	var syntax *fault.SyntaxError
	var value *fault.ValueError
	for n, err := range []error{second(New("spoon", rate)), second(New("trumpet", 7)), l.Follow("x", Following{}), l.Follow(state, Following{Charge: 9}),
		l.Await("x", 0), l.Await(state, 0), l.Await(state, 999), second(l.Idea(0, 5))} {
		if !errors.As(err, &syntax) && !errors.As(err, &value) {
			t.Errorf("%d: %v", n, err)
		}
	}
}

func second[T any](_ T, err error) error { return err }

// TestNotesAreBounded: who is left alone with a microphone fills no memory.
func TestNotesAreBounded(t *testing.T) {
	l := listen(t, "piano", 0)
	for n := range 3 * mostNotes {
		l.Press(pitch.Number(60+n%2), 90, float64(n))
	}
	if len(l.notes) > mostNotes || l.notes[len(l.notes)-1].On != seconds(3*mostNotes-1) {
		t.Errorf("%d notes", len(l.notes))
	}
}

func TestOrdinals(t *testing.T) {
	for n, want := range map[int]string{1: "first", 3: "third", 12: "twelfth", 13: "13th", 21: "21st", 22: "22nd", 33: "33rd", 24: "24th", 111: "111th", 113: "113th", 121: "121st"} {
		if got := ordinal(n); got != want {
			t.Errorf("%d is %s, want %s", n, got, want)
		}
	}
}

// TestEarlyAndLate: by how much, to ten milliseconds.
func TestEarlyAndLate(t *testing.T) {
	s, state := open(t, map[string]string{"instrument": "piano"})
	for by, want := range map[float64]string{0.1: "third note 100 ms late", -0.1: "third note 100 ms early"} {
		l := listen(t, "piano", 0)
		if err := l.Follow(state, Following{Charge: listening.StrictnessRhythm}); err != nil {
			t.Fatal(err)
		}
		line := s.Line()
		count := 0
		for turn := range line.Turns(0) {
			for n := range line.Notes(turn) {
				at := line.At(n.On).Seconds()
				if count++; count == 11 {
					at += by
				}
				l.Press(n.Key, 90, at)
			}
		}
		if got := l.At(100).Says[2].Words; got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}
