// Package hearing has what the practice page does with a microphone, or with the
// keys of a keyboard: it follows a session and says in words how each statement
// was played, it waits for a note that is held, and it makes a figure of an idea
// that was played. What it hears stays where it runs.
//
// A [Listener] is told the sound, or the keys, as they come. All times are in
// seconds of its own clock: of sound, from the first sample on.
package hearing

import (
	"context"
	"fmt"
	"math"
	"slices"
	"time"

	"example.com/keyorder/examples/web/form"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/listening"
	"example.com/keyorder/figure/practice"
	"example.com/keyorder/figure/session"
	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
)

const (
	mostNotes = 4096 // that are kept
	heldBeats = 2    // how long a note is held that is waited for
	tremble   = 0.05 // seconds
	// A note that is struck again so soon, as a swell may seem to be, is held on.
	heldOn = 60 * time.Millisecond
	// A note whose end is so near was told while it sounds.
	sounds = 30 * time.Millisecond
)

// A Listener hears one player. It is used by one goroutine at a time.
type Listener struct {
	instrument drill.Instrument
	ear        *listening.Ear   // nil where keys are told
	now        time.Duration    // where keys are told
	notes      []listening.Note // each as it was told at last
	sounding   sounding

	session *session.Session // that is followed, or nil
	judge   *listening.Judge
	follows Following
	said    int // the last turn of which something was said

	awaited pitch.Class
	hold    time.Duration // how long it is to sound; 0 where nothing is waited for
}

// A sounding is a note that sounds now.
type sounding struct {
	on    bool
	key   pitch.Number
	since time.Duration
}

// A Heard is what there is to tell by a time.
type Heard struct {
	Now  float64 `json:"now"`
	Says []Say   `json:"says,omitempty"`
	// Held is when the note that was waited for began: see [Listener.Await].
	Held float64 `json:"held,omitempty"`
	// Note is the key that sounds, 0 for none.
	Note pitch.Number `json:"note,omitempty"`
}

// A Say is what is said of a statement.
type Say struct {
	Turn    int               `json:"turn"` // of the session's plan
	Verdict listening.Verdict `json:"verdict"`
	Words   string            `json:"words"` // "third note: G"
}

// New returns a Listener for an instrument, as a player writes it, and a rate of
// samples; 0 is for keys. The error is a *fault.SyntaxError or a *fault.ValueError.
func New(instrument string, rate int) (*Listener, error) {
	i, err := drill.Find(instrument, drill.LevelFull)
	if err != nil {
		return nil, err
	}
	l := &Listener{instrument: i}
	if rate == 0 {
		return l, nil
	}
	low, high := i.Low.Up(i.Sounding).Number(), i.High.Up(i.Sounding).Number()
	if usual, err := drill.Find(i.Name, drill.LevelFull); err == nil { // beside a range of the player's own
		low, high = min(low, usual.Low.Up(i.Sounding).Number()), max(high, usual.High.Up(i.Sounding).Number())
	}
	if l.ear, err = listening.NewEar(rate, low, high, l.tell); err != nil {
		return nil, err
	}
	l.ear.Expect(func(at time.Duration) pitch.Set {
		if l.judge == nil {
			return 0
		}
		return l.judge.Due(at)
	})
	return l, nil
}

// A Following says how a session is followed.
type Following struct {
	Offset float64              `json:"offset"` // when its plan began
	From   float64              `json:"from"`   // the time of the plan before which nothing is said
	Alone  bool                 `json:"alone"`  // the player wears headphones
	Charge listening.Strictness `json:"charge"`
}

// Follow judges a session from now on; state is as session.Session.AppendState
// writes it. A session that is followed already, with the same offset but for what
// a clock trembles, goes on in another tempo: what was heard of it still counts, and
// is not said again. The error is that of session.Resume.
func (l *Listener) Follow(state string, f Following) error {
	goesOn := l.session != nil && math.Abs(l.follows.Offset-f.Offset) < tremble
	if goesOn {
		f.Offset = l.follows.Offset
	}
	s, err := resume(state)
	if err != nil {
		return err
	}
	line := s.Line()
	judge, err := listening.NewJudge(line, line.Parts()[0], listening.Options{Strictness: f.Charge, Offset: seconds(f.Offset), Keys: l.ear == nil, Alone: f.Alone})
	if err != nil {
		return err
	}
	if !goesOn {
		l.said, l.notes = -1, nil
	}
	l.session, l.judge, l.follows = s, judge, f
	for _, n := range l.notes {
		judge.Hear(n)
	}
	return nil
}

// Leave follows nothing any more, and waits for nothing.
func (l *Listener) Leave() { l.session, l.judge, l.hold = nil, nil, 0 }

// Await waits for the first note of the statement of a turn, in any octave, to be
// held for two beats. The error is that of session.Resume, or a
// *fault.ValueError for a turn that has none.
func (l *Listener) Await(state string, turn int) error {
	s, err := resume(state)
	if err != nil {
		return err
	}
	line := s.Line()
	t, ok := line.Turn(turn)
	st, found := line.Statement(t, line.Parts()[0])
	if !ok || !found {
		return &fault.ValueError{Setting: "turn", Value: fmt.Sprint(turn), Want: "a statement is to be waited for"}
	}
	l.awaited = st.SoundingNumber(st.Events()[0].Note).Class()
	l.hold = time.Duration(heldBeats * 60e9 / float64(line.Tempo(t.Begin)))
	l.sounding.on = false // what sounds already was not asked for
	return nil
}

func resume(state string) (*session.Session, error) {
	return session.Resume(context.Background(), []byte(state), form.Most(), practice.Log{})
}

// Write hears samples of one channel, full scale being −1 to 1.
func (l *Listener) Write(samples []float32) Heard {
	l.ear.Write(samples)
	return l.heard(l.ear.Now())
}

// Press is told a key that was pressed; the velocity goes from 1 to 127.
func (l *Listener) Press(key pitch.Number, velocity uint8, at float64) {
	on := seconds(at)
	l.keep(listening.NoteOf(key, velocity, on, on+sounds))
	l.sounding = sounding{true, key, on}
}

// Release is told that a key was let go.
func (l *Listener) Release(key pitch.Number) {
	if l.sounding.key == key {
		l.sounding.on = false
	}
}

// At returns what there is to tell by a time, where keys are told.
func (l *Listener) At(now float64) Heard {
	l.now = max(l.now, seconds(now))
	return l.heard(l.now)
}

// tell is told a note by the ear.
func (l *Listener) tell(n listening.Note) {
	again := len(l.notes) > 0 && l.notes[len(l.notes)-1].On == n.On
	on := !again && n.Sure > 0 && l.ear.Now()-n.Off < sounds
	switch before := l.sounding; {
	case on && before.key == n.Key() && len(l.notes) > 0 && n.On-l.notes[len(l.notes)-1].Off < heldOn:
		l.sounding.on = true // since it began
	case on:
		l.sounding = sounding{true, n.Key(), n.On}
	default:
		l.sounding.on = false
	}
	if again {
		l.notes = l.notes[:len(l.notes)-1]
	}
	l.keep(n)
}

func (l *Listener) keep(n listening.Note) {
	if len(l.notes) == mostNotes {
		l.notes = slices.Delete(l.notes, 0, mostNotes/2)
	}
	l.notes = append(l.notes, n)
	if l.judge != nil {
		l.judge.Hear(n)
	}
}

func (l *Listener) heard(now time.Duration) Heard {
	h := Heard{Now: now.Seconds()}
	if s := l.sounding; s.on {
		h.Note = s.key
		if l.hold > 0 && s.key.Class() == l.awaited && now-s.since >= l.hold {
			h.Held, l.hold = s.since.Seconds(), 0
		}
	}
	if l.judge == nil {
		return h
	}
	line := l.session.Line()
	for s := range l.judge.Says(now) {
		turn, _ := line.Turn(s.Turn)
		if s.Turn <= l.said || line.At(turn.Begin) < seconds(l.follows.From)-time.Millisecond {
			continue
		}
		l.said = s.Turn
		h.Says = append(h.Says, Say{s.Turn, s.Verdict, l.words(s)})
	}
	return h
}

// An Idea is an idea as it was played.
type Idea struct {
	Figure string  `json:"figure"` // with its scale
	First  string  `json:"first"`  // the key in which it was played
	Tempo  float64 `json:"tempo"`
}

// Idea makes a figure of what was played from a time on, to a count of so many
// quarters a minute. The error is a *fault.ValueError.
func (l *Listener) Idea(from, tempo float64) (Idea, error) {
	var played []listening.Note
	for _, n := range l.notes {
		if n.On >= seconds(from) {
			played = append(played, n)
		}
	}
	r, err := listening.Idea(played, listening.Asking{Tempo: tempo, Sounding: l.instrument.Sounding})
	if err != nil {
		return Idea{}, err
	}
	return Idea{r.Figure.String(), r.Tonic.Name().String(), math.Round(r.Tempo)}, nil
}

func seconds(s float64) time.Duration { return time.Duration(math.Round(s * 1e9)) }
