// Package accompaniment gives a drill a band: bass, chords and a drone under each
// statement, from its downbeat to its end.
//
// A [Band] says who plays and how. The chords are those of the figure: {2 m7}
// before an event, until the next one. A pianist's left hand leaves the root to
// the bass and plays the notes that make the chord what it is, the third and the
// seventh, with a colour, a ninth or a thirteenth; and it moves from chord to
// chord as little as it can. So the voicings of a whole drill are chosen together,
// by a shortest path from the first chord to the last, as the octaves of
// statements are in package drill. A figure without chords can have a drone only.
//
// Nothing is drawn by chance: the same drill has the same accompaniment.
package accompaniment

import (
	"encoding"
	"fmt"
	"iter"
	"strconv"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling/chord"
)

// Bass says what the bass plays, between E1 and C3. Its text is none, roots and
// fifths or walking.
type Bass uint8

// What the bass plays. Under a chord with another bass note (C/E) it plays that
// note alone.
const (
	BassNone Bass = iota // nothing
	// BassRoots plays the root on each change and then, at each barline and, where
	// a bar has an even number of beats, at each half bar, the chord's own fifth
	// and the root in turn. So where changes come by the half bar it plays roots
	// only.
	BassRoots
	// BassWalking plays on every beat: the root on each change and on each first
	// beat, notes of the chord on strong beats, and on the last weak beat before a
	// root a note a half or a whole step from it.
	BassWalking
)

// Comping says when the chords are struck. Its text is none, whole notes, 2 and
// 4 or 1 and the and of 2. A chord that would not be struck in its time is struck
// where it comes.
type Comping uint8

// When the chords are struck.
const (
	CompingNone       Comping = iota // never
	CompingWhole                     // on each change and on each barline, and held
	CompingTwoAndFour                // on the second and the fourth beat, for a beat; in 4/4 only
	CompingOneAndTwo                 // on the first beat and half a beat after the second, for a beat; in meters with at least two beats that are halved
)

// Rests says what the band does in the rests between statements. Its text is
// wait, keep time or dominant.
type Rests uint8

// What the band does in rests.
const (
	RestsWait     Rests = iota // nothing
	RestsTime                  // it goes on with the chord that was last
	RestsDominant              // it plays the dominant seventh of the key that comes next, in the rest before it
)

// A Band says what the accompaniment is. The zero value is none. Bands compare
// with ==.
type Band struct {
	Bass   Bass    `json:"bass,omitempty"`
	Chords Comping `json:"chords,omitempty"`
	// Drone holds the tonic, with the fifth where the figure's scale has a perfect
	// one.
	Drone bool  `json:"drone,omitempty"`
	Rests Rests `json:"rests,omitempty"`
	// Level is how loud the band is where the model is 1, up to 1; 0 means 0.5.
	Level float64 `json:"band_level,omitempty"`
}

// Loudness returns the level of the band with the default filled in.
func (b Band) Loudness() float64 {
	if b.Level == 0 {
		return 0.5
	}
	return b.Level
}

// A Layer is one of the voices of the accompaniment. The zero value is none of
// them: a note that a part plays. Its text is part, bass, chords or drone.
type Layer uint8

// The layers.
const (
	LayerPart Layer = iota // not the accompaniment
	LayerBass
	LayerChords
	LayerDrone
)

// The registers, as key numbers that sound.
const (
	lowestBass, highestBass   pitch.Number = 28, 48 // E1 to C3
	lowestChord, highestChord pitch.Number = 48, 69 // C3 to A4
	overALowPart              pitch.Number = 55     // G3
	lowestDrone               pitch.Number = 40     // E2; the tonic lies within an octave above
)

// A Note is a note of the accompaniment.
type Note struct {
	Onset  figure.Length // from the beginning of the drill
	Length figure.Length
	Layer  Layer
	Key    pitch.Number // that sounds
}

// An Accompaniment is the band under one drill. It does not change and may be
// used by many goroutines at once. The zero value is silent.
type Accompaniment struct {
	band       Band
	bar        figure.Length
	beat       figure.Length
	beats      []figure.Length // where they begin in a bar
	halves     []figure.Length // where its halves begin, or the whole bar where it has none
	strikes    []figure.Length // where chords are struck
	fifth      bool            // the drone has it
	statements []statement
	changes    []change // of all statements, in time
}

// A statement is what the band needs to know of one.
type statement struct {
	first, end int           // its changes
	lead       int           // the change that leads to it, or 0
	length     figure.Length // from its downbeat
	tonic      pitch.Class
	joined     bool // the next one begins where it ends
}

// A change is a chord that begins.
type change struct {
	at      figure.Length // from the statement's downbeat
	chord   chord.Chord   // as it sounds, whatever its spelling
	colour  interval.Set  // what the scale beside it adds
	bass    pitch.Number
	voicing []pitch.Number
}

// New works the accompaniment of a drill out. The error is a *fault.ValueError: a
// setting is out of bounds, the meter has no such beats, a chord symbol cannot be
// read, or nothing would sound, as the figure has no chords and no drone is asked
// for.
func New(d *drill.Drill, b Band) (*Accompaniment, error) {
	s := d.Settings()
	a := &Accompaniment{band: b, bar: s.Meter.Bar(), beat: s.Meter.Counted(), fifth: s.Figure.Scale().Set().Has(interval.PerfectFifth)}
	if err := b.check(s.Meter); err != nil {
		return nil, err
	}
	a.measure(s.Meter)
	if b.Bass == BassNone && b.Chords == CompingNone && !b.Drone || len(d.Parts()) == 0 {
		return a, nil
	}
	if err := a.read(d); err != nil {
		return nil, err
	}
	if len(a.changes) == 0 && !b.Drone {
		return nil, &fault.ValueError{Setting: "accompaniment", Value: s.Figure.Plain(), Want: "the figure has no chords, as {2 m7}, so that a drone only can sound"}
	}
	a.place(playsLow(d))
	return a, nil
}

func (b Band) check(m drill.Meter) error {
	refuse := func(setting, value, want string) error {
		return &fault.ValueError{Setting: setting, Value: value, Want: want}
	}
	for _, choice := range []encoding.TextMarshaler{b.Bass, b.Chords, b.Rests} {
		if _, err := choice.MarshalText(); err != nil {
			return err
		}
	}
	switch {
	case !(b.Level >= 0 && b.Level <= 1):
		return refuse("level of the band", strconv.FormatFloat(b.Level, 'g', -1, 64), "it is up to 1, which is as loud as the model; 0 is the usual")
	case b.Chords == CompingTwoAndFour && m != (drill.Meter{}):
		return refuse("chords", b.Chords.String(), fmt.Sprintf("only 4/4 has its chords on 2 and 4, not %v; choose whole notes", m))
	case b.Chords == CompingOneAndTwo && (m.Compound() || m.Beat(1) != m.Counted() || m.Unit() > 4):
		return refuse("chords", b.Chords.String(), fmt.Sprintf("%v has no and of 2; choose whole notes", m))
	}
	return nil
}

// measure finds the places in a bar.
func (a *Accompaniment) measure(m drill.Meter) {
	var at figure.Length
	for n := range m.Beats() {
		if n == 0 || m.Beats()%2 == 0 && n == m.Beats()/2 {
			a.halves = append(a.halves, at)
		}
		a.beats = append(a.beats, at)
		at += m.Beat(n)
	}
	switch a.band.Chords {
	case CompingWhole:
		a.strikes = a.beats[:1]
	case CompingTwoAndFour:
		a.strikes = []figure.Length{a.beats[1], a.beats[3]}
	case CompingOneAndTwo:
		a.strikes = []figure.Length{0, a.beats[1] + a.beat/2}
	}
}

// read reads the changes of all statements.
func (a *Accompaniment) read(d *drill.Drill) error {
	f := d.Settings().Figure
	for n := range d.Len() {
		st := sounding(d, n)
		tonic := st.Sounding.Name()
		s := statement{first: len(a.changes), length: st.End() - st.Onset, tonic: tonic.Class(), joined: st.End() == st.Onset+st.Length}
		chords := f.Chords(st.Written.Name())
		if st.Held {
			chords = st.Chords() // that of the tonic
		}
		for e := range chords {
			c, err := e.Chord()
			if err != nil {
				return &fault.ValueError{Setting: "figure", Err: err}
			}
			at := max(e.Onset, 0)
			if k := len(a.changes) - 1; k >= s.first && a.changes[k].at == at {
				a.changes = a.changes[:k] // both begin before the downbeat
			}
			c = c.Up(st.Written.To(st.Sounding))
			a.changes = append(a.changes, change{at: at, chord: c, colour: beside(c, tonic, f.Scale())})
		}
		s.end = len(a.changes)
		a.statements = append(a.statements, s)
		if a.band.Rests == RestsDominant && n > 0 && s.first < s.end {
			c := chord.Of(tonic.Up(interval.PerfectFifth), dominant)
			a.statements[n].lead = len(a.changes)
			a.changes = append(a.changes, change{chord: c, colour: beside(c, tonic, f.Scale())})
		}
	}
	return nil
}

// sounding returns a statement as the first part has it that does not rest.
func sounding(d *drill.Drill, n int) (st drill.Statement) {
	for _, p := range d.Parts() {
		if st, _ = p.Statement(n); !st.Rests {
			break
		}
	}
	return st
}

// playsLow reports whether the middle of what a part plays lies below the G
// under middle C: then the chords make room for it.
func playsLow(d *drill.Drill) bool {
	low, high := d.Settings().Figure.Span()
	for _, p := range d.Parts() {
		lowest, highest := pitch.Number(127), pitch.Number(0)
		for st := range p.Statements() {
			if tonic := st.Sounding.Number(); !st.Rests {
				lowest = min(lowest, tonic+pitch.Number(low.Semitones()))
				highest = max(highest, tonic+pitch.Number(high.Semitones()))
			}
		}
		if lowest+highest < 2*overALowPart { // not so where it rests throughout
			return true
		}
	}
	return false
}

// Band returns what the accompaniment was made with.
func (a *Accompaniment) Band() Band { return a.band }

// AppendStatement appends the notes under a statement whose downbeat is at a time
// of the drill, up to another time: its changes, again and again where the time
// is longer than the bars that they fill. Times count from the beginning of the
// drill. The notes come layer by layer, each in the order of time.
func (a *Accompaniment) AppendStatement(dst []Note, index int, downbeat, to figure.Length) []Note {
	if index < 0 || index >= len(a.statements) || downbeat >= to {
		return dst
	}
	s := &a.statements[index]
	round := (s.length + a.bar - 1) / a.bar * a.bar
	for _, layer := range [...]Layer{LayerBass, LayerChords} {
		for from := downbeat; from < to; from += round {
			for k := s.first; k < s.end; k++ {
				begin, end, next := from+a.changes[k].at, from+round, k+1
				if next < s.end {
					end = from + a.changes[next].at
				} else if next = s.first; end >= to { // nothing comes again
					next = a.after(index)
				}
				if end > to {
					end, next = to, -1
				}
				dst = a.appendChord(dst, layer, k, begin, end, next)
			}
		}
	}
	return a.appendDrone(dst, s.tonic, downbeat, to)
}

// after returns the change that follows a statement at once, or −1.
func (a *Accompaniment) after(index int) int {
	if a.statements[index].joined && index+1 < len(a.statements) {
		return a.statements[index+1].first
	}
	return -1
}

// AppendRest appends what sounds in a rest after a statement, from a time of the
// drill to another; leads says that the next statement follows it.
func (a *Accompaniment) AppendRest(dst []Note, index int, from, to figure.Length, leads bool) []Note {
	if index < 0 || index >= len(a.statements) || from >= to {
		return dst
	}
	switch s := &a.statements[index]; a.band.Rests {
	case RestsTime:
		if s.first < s.end {
			dst = a.appendChord(dst, LayerBass, s.end-1, from, to, -1)
			dst = a.appendChord(dst, LayerChords, s.end-1, from, to, -1)
		}
		return a.appendDrone(dst, s.tonic, from, to)
	case RestsDominant:
		if !leads || index+1 >= len(a.statements) {
			return dst
		}
		if next := &a.statements[index+1]; next.lead > 0 {
			dst = a.appendChord(dst, LayerBass, next.lead, from, to, next.first)
			dst = a.appendChord(dst, LayerChords, next.lead, from, to, next.first)
		}
	}
	return dst
}

func (a *Accompaniment) appendDrone(dst []Note, tonic pitch.Class, from, to figure.Length) []Note {
	if !a.band.Drone {
		return dst
	}
	key := inOctave(tonic, lowestDrone)
	dst = append(dst, Note{from, to - from, LayerDrone, key})
	if a.fifth {
		dst = append(dst, Note{from, to - from, LayerDrone, key + 7})
	}
	return dst
}

// appendChord appends what a layer plays on change k from a time to another, when
// change next follows, or none for −1.
func (a *Accompaniment) appendChord(dst []Note, layer Layer, k int, from, to figure.Length, next int) []Note {
	c := &a.changes[k]
	switch {
	case from >= to:
		return dst
	case layer == LayerChords && a.band.Chords != CompingNone:
		return a.appendComping(dst, c, from, to)
	case layer == LayerBass && a.band.Bass == BassRoots:
		return a.appendRoots(dst, c, from, to)
	case layer == LayerBass && a.band.Bass == BassWalking && next >= 0:
		return a.appendWalk(dst, c, from, to, a.changes[next].bass)
	case layer == LayerBass && a.band.Bass == BassWalking:
		return a.appendWalk(dst, c, from, to, none)
	}
	return dst
}

func (a *Accompaniment) appendComping(dst []Note, c *change, from, to figure.Length) []Note {
	at := from
	struck := a.band.Chords == CompingWhole // from the beginning
	strike := func(end figure.Length) {
		if a.band.Chords != CompingWhole {
			end = min(end, at+a.beat)
		}
		for _, key := range c.voicing {
			dst = append(dst, Note{at, end - at, LayerChords, key})
		}
	}
	for next := range a.places(a.strikes, from, to) {
		if struck && at < next {
			strike(next)
		}
		at, struck = next, true
	}
	strike(to)
	return dst
}

// places yields the times of a drill that lie at some places of a bar, from a time
// to before another.
func (a *Accompaniment) places(inBar []figure.Length, from, to figure.Length) iter.Seq[figure.Length] {
	return func(yield func(figure.Length) bool) {
		for bar := from / a.bar * a.bar; ; bar += a.bar {
			for _, at := range inBar {
				if at += bar; at >= to || at >= from && !yield(at) {
					return
				}
			}
		}
	}
}
