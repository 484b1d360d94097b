// Package takes draws practice takes whose faults are known, has a synthesizer
// that is not ours sound them, and counts what a judge says of them.
package takes

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"time"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/accompaniment"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/pitch"
)

// Winds are the wind and brass of the trial, Others the rest.
var (
	Winds  = []string{"flute", "clarinet", "alto saxophone", "tenor saxophone", "trumpet", "horn", "trombone"}
	Others = []string{"violin", "cello", "guitar", "piano", "bass guitar"}
)

// Tempos and figures of the trial, the latter of our own making.
var (
	Tempos  = []int{80, 120, 160}
	Figures = []string{
		"1:3 5 4 2 3:2", "3 5 1 6", "5 2 b3:2 1", "1 4 b3:2 b7 in dorian",
		"5 5 3:2 6 1:2", "1 8 5:2 6 3:2", "v5 v7 | 1 4 2:2", "2:1/2 4:1/2 1 6:2 3",
	}
)

// A Truth is what was done to a statement.
type Truth struct {
	Fault     string // empty for a clean one, else wrong, missing, extra, late, key or swap
	Note      int    // of the figure, from 0
	Semitones int    // of a wrong note, another key
	Statement int
}

// A Sounding is a note as it is played.
type Sounding struct {
	On, Off time.Duration
	Key     pitch.Number
	Cents   float64 // beside the key
	Loud    int     // velocity
}

// A Take is what a player plays along a line.
type Take struct {
	Instrument drill.Instrument
	Line       *playback.Line
	Part       drill.Part
	Tempo      int
	Figure     string
	Latency    time.Duration
	Truths     []Truth
	Notes      []Sounding
	Vibrato    bool
}

// Draw draws a take of six keys. What is drawn depends on the seed alone.
func Draw(seed uint64, name string, mode playback.Mode) (*Take, error) {
	r := rand.New(rand.NewPCG(seed, 7))
	t := &Take{Tempo: Tempos[r.IntN(len(Tempos))], Figure: Figures[r.IntN(len(Figures))]}
	var err error
	if t.Instrument, err = drill.Find(name, drill.LevelComfortable); err != nil {
		return nil, err
	}
	var keys []pitch.Class
	for _, k := range r.Perm(12)[:6] {
		keys = append(keys, pitch.Class(k))
	}
	route, err := cycle.NewRoute(cycle.Section{Keys: keys})
	if err != nil {
		return nil, err
	}
	options := playback.Options{Mode: mode}
	text := t.Figure
	if mode == playback.ModeAnswer {
		options.Band = accompaniment.Band{Bass: accompaniment.BassRoots, Chords: accompaniment.CompingWhole}
		text = harmonised(text)
	}
	s := drill.Settings{Figure: figure.MustParse(text), Route: route, Parts: []drill.Instrument{t.Instrument}, Tempo: t.Tempo, LeaveOut: true}
	s.Rest = playback.RestFor(options, s)
	d, err := drill.New(s)
	if err != nil {
		return nil, err
	}
	if t.Line, err = playback.New([]*drill.Drill{d}, options); err != nil {
		return nil, err
	}
	t.Part = d.Parts()[0]
	t.Latency = time.Duration(r.IntN(120)) * time.Millisecond
	t.Vibrato = r.IntN(3) == 0 && !strings.Contains("guitar piano bass guitar", name)
	for turn := range t.Line.Turns(0) {
		if turn.Who == playback.WhoYou || turn.Who == playback.WhoBoth {
			if st, ok := t.Line.Statement(turn, t.Part); ok && !st.Rests {
				t.play(r, turn, st)
			}
		}
	}
	return t, nil
}

// harmonised is a figure over the chord of its tonic, for a band to play.
func harmonised(text string) string {
	chord := "{1 maj7} "
	if strings.Contains(text, "b3") {
		chord = "{1 m7} "
	}
	if pickup, rest, ok := strings.Cut(text, "| "); ok {
		return pickup + "| " + chord + rest
	}
	return chord + text
}

// play plays a statement, with or without a fault.
func (t *Take) play(r *rand.Rand, turn playback.Turn, st drill.Statement) {
	truth := Truth{Statement: turn.Statement}
	begin := t.Line.At(turn.Begin)
	after := func(l figure.Length) time.Duration { return t.Line.Drills()[turn.Drill].After(l-st.Begin()) + begin }
	var notes []Sounding
	for _, e := range st.Events() {
		notes = append(notes, Sounding{On: after(st.Onset + e.Onset), Off: after(st.Onset + e.Onset + e.Length), Key: st.SoundingNumber(e.Note), Loud: 80 + r.IntN(25)})
	}
	eighth := after(st.Begin()+figure.Eighth) - begin
	if r.IntN(2) == 0 {
		notes = t.spoil(r, &truth, notes, eighth)
	}
	for k := range notes {
		n := &notes[k]
		n.Cents = 30*r.Float64() - 15
		n.On += time.Duration((40*r.Float64() - 20) * 1e6)
	}
	for k := range notes {
		n := &notes[k]
		off := n.Off
		if k+1 < len(notes) {
			off = min(off, notes[k+1].On)
		}
		part := 0.8 + 0.2*r.Float64()
		if k+1 < len(notes) && notes[k+1].Key == n.Key {
			part = min(part, 0.9) // the tongue, the bow, the finger comes anew
		}
		n.Off = n.On + time.Duration(float64(off-n.On)*part)
		n.On += t.Latency
		n.Off += t.Latency
	}
	t.Notes = append(t.Notes, notes...)
	t.Truths = append(t.Truths, truth)
}

// spoil does one thing wrong.
func (t *Take) spoil(r *rand.Rand, truth *Truth, notes []Sounding, eighth time.Duration) []Sounding {
	long := func(n Sounding) bool { return n.Off-n.On >= eighth*9/10 }
	sign := 1 - 2*r.IntN(2)
	for {
		k := r.IntN(len(notes))
		truth.Note = k
		switch r.IntN(6) {
		case 0:
			truth.Fault, truth.Semitones = "wrong", sign*[]int{1, 2, 5}[r.IntN(3)]
			notes[k].Key += pitch.Number(truth.Semitones)
			return notes
		case 1:
			truth.Fault = "missing"
			return append(notes[:k], notes[k+1:]...)
		case 2:
			n := notes[k]
			key := n.Key + pitch.Number(sign*(1+r.IntN(4)))
			if !long(n) || k+1 < len(notes) && notes[k+1].Key == key {
				continue
			}
			truth.Fault = "extra"
			half := (n.On + n.Off) / 2
			notes[k].Off = half
			out := append([]Sounding{}, notes[:k+1]...)
			out = append(out, Sounding{On: half, Off: n.Off, Key: key, Loud: n.Loud})
			return append(out, notes[k+1:]...)
		case 3:
			if !long(notes[k]) {
				continue
			}
			truth.Fault = "late"
			notes[k].On += eighth / 2
			return notes
		case 4:
			truth.Fault, truth.Semitones = "key", sign*(1+r.IntN(5))
			for i := range notes {
				notes[i].Key += pitch.Number(truth.Semitones)
			}
			return notes
		case 5:
			if k+1 >= len(notes) {
				continue
			}
			a, b := &notes[k], &notes[k+1]
			if b.On != a.Off || a.Off-a.On == b.Off-b.On {
				continue
			}
			truth.Fault, truth.Note = "swap", k+1
			b.On = a.On + b.Off - b.On
			a.Off = b.On
			return notes
		}
	}
}

// Name says which take it is.
func (t *Take) Name(seed uint64, set string) string {
	return fmt.Sprintf("%s-%d-%s", strings.ReplaceAll(t.Instrument.Name, " ", "-"), seed, set)
}
