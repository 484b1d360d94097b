// Package drill takes a figure along a route of keys: placed for an
// instrument, written in its keys and set in time.
//
// [Settings] say what to play: a figure, a route, one or more instruments, a
// meter, a tempo, a rest between keys. [New] works out the rest of it, once:
// in which octave each statement lies, so that nothing leaves the range and the
// line moves as the keys do; how each part writes each key; when each statement
// comes. A [Drill] then yields its [Statement] values, one for each key that is
// played, as often as one asks.
//
// Nothing is bent to fit: a statement is always the figure, transposed. Where a
// key does not fit the instrument, New says so and says what would.
//
// Playing can injure. The usual advice: warm up, pause about five minutes in
// every half hour, raise the load slowly, stop on pain and ask a qualified
// professional.
package drill

import (
	"context"
	"encoding"
	"fmt"
	"slices"
	"strconv"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
)

// A Closing says how a closed section comes back to its first key. Its text
// is held, full or open.
type Closing uint8

// The closings.
const (
	ClosingHeld Closing = iota // one note only, that on the downbeat or the first after it, held for a bar: the move is made and the ear hears the cycle close
	ClosingFull                // the whole figure once more
	ClosingOpen                // not at all
)

// A Path says how the octaves of the statements are chosen. Its text is follow
// or near. Where two ways are as good, the line keeps to the middle of the
// range, and then lies lower. The parts of a drill are placed together, in octaves
// or unison: they break the line together wherever their ranges allow it, along
// the line that breaks least for all; where a range does not allow it, one part
// leads and the others keep their distance from it until their range ends.
type Path uint8

// The paths.
const (
	// PathFollow moves the tonic the shorter way round from key to key, a tritone
	// up and the next one back down, and breaks the line by an octave as
	// little as it can: a rising section starts low, a falling one high.
	PathFollow Path = iota
	// PathNear keeps the joins smallest: from the last note of one statement to
	// the first of the next.
	PathNear
)

// A Padding says where the next statement can begin. Its text is bar, beat or
// run on. Each section ends with a full bar whatever the padding.
type Padding uint8

// The paddings.
const (
	PaddingBar   Padding = iota // on the next bar
	PaddingBeat                 // on the next beat
	PaddingRunOn                // at once, over the barline
)

// A Reading says what the keys of the route mean to the parts. Its text is
// usual, written or concert.
type Reading uint8

// The readings.
const (
	ReadingUsual   Reading = iota // written keys for one instrument, concert keys for several
	ReadingWritten                // the keys that the first part reads
	ReadingConcert                // the keys that sound
)

// A Rest is the least silence after a statement, as a length. The zero value
// is a bar, but over a chorus none, see [figure.Figure.Chorus]. Its text is that of a figure.Length, or none, or a bar.
type Rest figure.Length

// NoRest is no silence at all.
const NoRest Rest = -1

// The bounds of a drill.
const (
	MinTempo  = 10      // beats a minute
	MaxTempo  = 500     // beats a minute
	MaxParts  = 15      // as many as MIDI has channels beside percussion
	MaxLength = 1 << 30 // of the whole drill, in parts of 1/192 of a whole note
)

// Settings say what is to be played. Only Figure, Route and Parts must be
// given. Its JSON form is that of its fields, the figure, route and meter as
// text; a part may be a text too, as [Instrument.UnmarshalJSON] reads it.
type Settings struct {
	Title  string        `json:"title,omitempty"`
	Figure figure.Figure `json:"figure"`
	Route  cycle.Route   `json:"route"`
	Parts  []Instrument  `json:"parts"`
	Meter  Meter         `json:"meter"`
	// Tempo is in beats a minute, as Meter.Counted counts them, from MinTempo
	// to MaxTempo; 0 means 80.
	Tempo int `json:"tempo,omitempty"`
	// Rest is the least silence after a statement, padding included; a pickup
	// is taken from it.
	Rest    Rest    `json:"rest,omitempty"`
	Closing Closing `json:"closing,omitempty"`
	Path    Path    `json:"path,omitempty"`
	Padding Padding `json:"padding,omitempty"`
	Reading Reading `json:"reading,omitempty"`
	// Articulation says how the notes are joined, Accents which are accented.
	Articulation Articulation `json:"articulation,omitempty"`
	Accents      Accents      `json:"accents,omitempty"`
	// Policy says how far spelling gives way to easy reading, as
	// figure.Figure.AppendRead does it.
	Policy spelling.Policy `json:"policy,omitempty"`
	// Names is how the players want keys to be called, as F♯ for G♭: each part
	// takes them for the keys that it reads, before the names that the scale
	// gives. See figure.ParsePreference. Prefer are names for keys of the
	// route, as they were typed, and go before Names. All have at most a double
	// accidental.
	Names  []spelling.Name `json:"names,omitempty"`
	Prefer []spelling.Name `json:"prefer,omitempty"`
	// LeaveOut allows keys that do not fit an instrument to be left out; with
	// several parts, that part rests. If not set, New refuses them; where
	// none fits it does so anyway.
	LeaveOut bool `json:"leave_out,omitempty"`
}

// A Drill is a figure taken along a route, placed for its parts and set in
// time. It does not change and may be used by many goroutines at once.
type Drill struct {
	s       Settings
	steps   []step // the keys that are played
	parts   []part
	concert [12]spelling.Name // the names of the sounding keys
	events  []figure.Event    // of the figure, on some tonic
	onsets  []figure.Length   // of the statements' downbeats, and the end of the last
	held    [2]int            // the notes of a held return, from the one to before the other
	// semitones from the tonic to the figure's first note, its last, and the
	// first of a held return
	begin, end, heldBegin int
	heldSpan              [2]int // and those to the lowest and the highest of that
}

// A step is a key that is played.
type step struct {
	key     pitch.Class // as the route gives it
	section int         // of the route
	first   bool        // of its section
	back    bool        // the return to the first key of a closed section
}

// part is an instrument and what was worked out for it.
type part struct {
	Instrument
	written [12]spelling.Name // names of the keys it reads, by their class
	down    int               // semitones from written to sounding, negative downward
	octaves []int8            // of each statement's written tonic; rests where it rests
	out     []spelling.Name   // the written keys it leaves out
	keys    [12]key           // those it reads, by their class
	reads   [12]pitch.Class   // the class of the key it reads for each key of the route
}

// key is what the figure's spelling is in a key.
type key struct {
	written, sounding spelling.Note // the tonic in octave 4, and how that sounds
	// from the written tonic to the first note, the last, and the first of a
	// held return, as they are read
	begin, end, held interval.Interval
	// that the letters do not match, for the whole figure and for a held return
	respelled, heldRespelled bool
}

const rests int8 = -128

// New works a drill out. The error is a *fault.ValueError: a setting is out of
// bounds, or a key does not fit an instrument and LeaveOut is not set, or no
// key fits; then a *FitError in it tells what would.
func New(s Settings) (*Drill, error) { return build(context.Background(), s) }

// fill fills in the tempo where none is given.
func (s *Settings) fill() {
	if s.Tempo == 0 {
		s.Tempo = 80
	}
}

func build(ctx context.Context, s Settings) (*Drill, error) {
	s.fill()
	if err := s.check(); err != nil {
		return nil, err
	}
	s.Parts, s.Names, s.Prefer = slices.Clone(s.Parts), slices.Clone(s.Names), slices.Clone(s.Prefer)
	d := &Drill{s: s}
	scale := s.Figure.Scale()
	// Preferred names are those of the keys as the route gives them.
	all := append(slices.Clone(s.Names), s.Prefer...)
	for _, i := range s.Parts {
		d.parts = append(d.parts, part{Instrument: i, written: scale.Tonics(s.Names...), down: i.Sounding.Semitones()})
	}
	d.concert = scale.Tonics(s.Names...)
	if d.soundingClass(0) == 0 {
		d.concert = scale.Tonics(all...)
	}
	for p := range d.parts {
		if d.writtenClass(p, 0) == 0 {
			d.parts[p].written = scale.Tonics(all...)
		}
	}
	d.read()
	if err := d.fit(); err != nil {
		return nil, err
	}
	if err := d.setTimes(); err != nil {
		return nil, err
	}
	if err := d.place(ctx); err != nil {
		return nil, err
	}
	return d, nil
}

func (s *Settings) check() error {
	refuse := func(setting, value, want string) error {
		return &fault.ValueError{Setting: setting, Value: value, Want: want}
	}
	switch {
	case s.Figure.NoteCount() == 0:
		return refuse("figure", s.Figure.Plain(), "a drill needs a figure with at least one note")
	case s.Route.Len() == 0:
		return refuse("route", "", "a drill needs a route of at least one key")
	case len(s.Parts) == 0 || len(s.Parts) > MaxParts:
		return refuse("parts", strconv.Itoa(len(s.Parts)), fmt.Sprintf("a drill is for 1 to %d instruments", MaxParts))
	case s.Tempo < MinTempo || s.Tempo > MaxTempo:
		return refuse("tempo", strconv.Itoa(s.Tempo), fmt.Sprintf("the tempo goes from %d to %d beats a minute", MinTempo, MaxTempo))
	case s.Rest < NoRest || s.rest() > figure.MaxLength:
		return refuse("rest", figure.Length(s.Rest).String(), "the rest goes from none to 64 whole notes")
	}
	if _, err := s.Policy.MarshalText(); err != nil {
		return &fault.ValueError{Setting: "policy", Err: err}
	}
	for _, choice := range []encoding.TextMarshaler{s.Closing, s.Path, s.Padding, s.Reading, s.Articulation, s.Accents} {
		if _, err := choice.MarshalText(); err != nil {
			return err
		}
	}
	for _, n := range append(slices.Clone(s.Names), s.Prefer...) {
		if a := n.Alteration(); a < -2 || a > 2 {
			return refuse("preferred name", n.String(), "a preferred name has at most a double accidental")
		}
	}
	for _, i := range s.Parts {
		if err := i.check(); err != nil {
			return err
		}
	}
	return nil
}

// soundingClass returns the concert key of a key of the route.
func (d *Drill) soundingClass(k pitch.Class) pitch.Class {
	if d.s.Reading == ReadingWritten || d.s.Reading == ReadingUsual && len(d.parts) == 1 {
		return k.T(d.parts[0].down)
	}
	return k
}

// writtenClass returns the key that a part reads for a key of the route.
func (d *Drill) writtenClass(p int, k pitch.Class) pitch.Class {
	return d.soundingClass(k).T(-d.parts[p].down)
}

// walk lays out the keys of the route as they are played, without those that
// are to be skipped.
func (d *Drill) walk(skip [12]bool) {
	section := 0
	for sec := range d.s.Route.Sections() {
		keys := slices.DeleteFunc(sec.Keys, func(k pitch.Class) bool { return skip[k] })
		for n, k := range keys {
			d.steps = append(d.steps, step{key: k, section: section, first: n == 0})
		}
		if sec.Closed && len(keys) > 1 && d.s.Closing != ClosingOpen {
			d.steps = append(d.steps, step{key: keys[0], section: section, back: true})
		}
		section++
	}
}

// Settings returns the settings of the drill with the default tempo and rest
// filled in. New makes the same drill of them.
func (d *Drill) Settings() Settings {
	s := d.s
	if s.Rest == 0 {
		if s.Rest = Rest(s.rest()); s.Rest == 0 {
			s.Rest = NoRest
		}
	}
	s.Parts, s.Names, s.Prefer = slices.Clone(s.Parts), slices.Clone(s.Names), slices.Clone(s.Prefer)
	return s
}
