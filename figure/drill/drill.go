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
	"fmt"
	"iter"
	"slices"
	"strings"
	"time"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/spelling"
)

// A Closing says how a closed section comes back to its first key. Its text
// is held, full or open.
type Closing uint8

// The closings.
const (
	CloseHeld Closing = iota // one note only, that on the downbeat or the first after it, held for a bar: the move is made and the ear hears the cycle close
	CloseFull                // the whole figure once more
	CloseOpen                // not at all
)

// A Path says how the octaves of the statements are chosen. Its text is follow
// or near. Where two ways are as good, the line keeps to the middle of the
// range, and then lies lower.
type Path uint8

// The paths.
const (
	// Follow moves the tonic the shorter way round from key to key, a tritone
	// up and the next one back down, and breaks the line by an octave as
	// little as it can: a rising section starts low, a falling one high.
	Follow Path = iota
	// Near keeps the joins smallest: from the last note of one statement to
	// the first of the next.
	Near
)

// A Padding says where the next statement can begin. Its text is bar, beat or
// run on. Each section ends with a full bar whatever the padding.
type Padding uint8

// The paddings.
const (
	ToBar  Padding = iota // on the next bar
	ToBeat                // on the next beat
	RunOn                 // at once, over the barline
)

// A Reading says what the keys of the route mean to the parts. Its text is
// usual, written or concert.
type Reading uint8

// The readings.
const (
	Usual   Reading = iota // written keys for one instrument, concert keys for several
	Written                // the keys that the first part reads
	Concert                // the keys that sound
)

// A Rest is the least silence after a statement, as a length. The zero value
// is a bar. Its text is that of a figure.Length, or none, or a bar.
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
// text.
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
	// several parts, that part rests. If not set, New refuses them.
	LeaveOut bool `json:"leave_out,omitempty"`
}

// A Drill is a figure taken along a route, placed for its parts and set in
// time. It does not change and may be used by many goroutines at once.
type Drill struct {
	s        Settings
	steps    []step // the keys that are played
	parts    []part
	concert  [12]spelling.Name // the names of the sounding keys
	rest     figure.Length
	first    figure.Length // the downbeat of the first statement
	length   figure.Length // of the whole drill, in full bars
	keep     figure.Length // from a statement's downbeat to the next, before padding
	keepHeld figure.Length // the same for a held return
	held     [2]int        // the notes of a held return, from the one to before the other
	heldAt   figure.Length // where the figure has them
	// semitones from the tonic to the figure's first note, its last, and the
	// first of a held return
	begin, end, heldBegin int
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
}

// key is what the figure's spelling is in a key.
type key struct {
	// from the written tonic to the first note, the last, and the first of a
	// held return, as they are read
	begin, end, held interval.Interval
	// that the letters do not match, for the whole figure and for a held return
	respelled, heldRespelled bool
}

const rests int8 = -128

// New works a drill out. The error is an *Error where a setting is out of
// bounds, and a *FitError where a key does not fit an instrument and LeaveOut
// is not set, or no key fits.
func New(s Settings) (*Drill, error) {
	if s.Tempo == 0 {
		s.Tempo = 80
	}
	s.Parts, s.Names, s.Prefer = slices.Clone(s.Parts), slices.Clone(s.Names), slices.Clone(s.Prefer)
	d := &Drill{s: s}
	switch s.Rest {
	case 0:
		d.rest = s.Meter.Bar()
	case NoRest:
	default:
		d.rest = figure.Length(s.Rest)
	}
	if err := d.check(); err != nil {
		return nil, err
	}
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
	for p := range d.parts {
		d.place(p)
	}
	return d, nil
}

func (d *Drill) check() error {
	s := &d.s
	refuse := func(format string, values ...any) error { return &Error{Reason: fmt.Sprintf(format, values...)} }
	switch {
	case s.Figure.Notes() == 0:
		return &Error{Input: s.Figure.Plain(), Reason: "a drill needs a figure with at least one note"}
	case s.Route.Len() == 0:
		return refuse("a drill needs a route of at least one key")
	case len(s.Parts) == 0 || len(s.Parts) > MaxParts:
		return refuse("%d parts: a drill is for 1 to %d instruments", len(s.Parts), MaxParts)
	case s.Tempo < MinTempo || s.Tempo > MaxTempo:
		return refuse("tempo %d: the tempo goes from %d to %d beats a minute", s.Tempo, MinTempo, MaxTempo)
	case s.Rest < NoRest || d.rest > figure.MaxLength:
		return refuse("rest %v: the rest goes from none to 64 whole notes", figure.Length(s.Rest))
	case s.Closing > CloseOpen:
		return refuse("%v: the closing is one of %s", s.Closing, strings.Join(closings(), ", "))
	case s.Path > Near:
		return refuse("%v: the path is one of %s", s.Path, strings.Join(paths(), ", "))
	case s.Padding > RunOn:
		return refuse("%v: the padding is one of %s", s.Padding, strings.Join(paddings(), ", "))
	case s.Reading > Concert:
		return refuse("%v: the reading is one of %s", s.Reading, strings.Join(readings(), ", "))
	case s.Policy > spelling.EasyWhiteKeys:
		return refuse("%v: the policy is usual, strict, easy or easy white keys", s.Policy)
	}
	for _, n := range append(slices.Clone(s.Names), s.Prefer...) {
		if a := n.Alteration(); a < -2 || a > 2 {
			return refuse("%v: a preferred name has at most a double accidental", n)
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
	if d.s.Reading == Written || d.s.Reading == Usual && len(d.parts) == 1 {
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
		if sec.Closed && len(keys) > 1 && d.s.Closing != CloseOpen {
			d.steps = append(d.steps, step{key: keys[0], section: section, back: true})
		}
		section++
	}
}

// setTimes works out when the statements come.
func (d *Drill) setTimes() error {
	bar := d.s.Meter.Bar()
	f := d.s.Figure
	gap := max(d.rest, f.Pickup())
	d.keep = f.Length() - f.Pickup() + gap
	d.keepHeld = bar + gap
	d.first = roundUp(f.Pickup(), bar)
	total := int64(d.first)
	for st := range d.Statements(0) {
		total += int64(st.Length)
		if total > MaxLength {
			return &Error{Reason: fmt.Sprintf("%d statements: the drill is too long to be played; shorten the route, the figure or the rest", len(d.steps))}
		}
	}
	d.length = figure.Length(total)
	return nil
}

func roundUp(l, unit figure.Length) figure.Length {
	if rest := l % unit; rest > 0 {
		return l + unit - rest
	}
	return l
}

// padded returns the length of a statement that begins at a place in the bar,
// padded as the settings say.
func (d *Drill) padded(onset, keep figure.Length, lastOfSection bool) figure.Length {
	m := d.s.Meter
	bar := m.Bar()
	end := onset + keep
	switch {
	case lastOfSection || d.s.Padding == ToBar:
		end = roundUp(end, bar)
	case d.s.Padding == ToBeat:
		at := end / bar * bar
		for n := 0; at < end; n++ {
			at += m.Beat(n % m.Beats())
		}
		end = at
	}
	return end - onset
}

// A Statement is the figure in one key, as one part plays it.
type Statement struct {
	// Index counts the statements from 0, Section the sections of the route,
	// those that are left out too.
	Index   int
	Section int
	// Onset is the downbeat of the statement, counted from the beginning of
	// the drill; a pickup comes before it. Length is the time until the
	// downbeat of the next statement, rest included.
	Onset  figure.Length
	Length figure.Length
	// Written and Sounding are the tonic as the part reads it and as it
	// sounds.
	Written  spelling.Note
	Sounding spelling.Note
	// Join is the interval from the last note of the statement before to the
	// first note of this one, as the part reads them (of notes that sound
	// together, the one that the figure names last or first); Joined says that
	// there is one, as there is not at the beginning of a section or beside a
	// rest.
	Join   interval.Interval
	Joined bool
	// Return says that this is a closed section's first key again, Held that
	// only one note is played there, that on the downbeat or the first after it.
	Return bool
	Held   bool
	// Rests says that the key does not fit the part, which rests meanwhile; its
	// written tonic is then in octave 4.
	Rests bool
	// Respelled says that the letters do not match: the written key is not
	// called after the sounding one, or a note that the part reads is respelled
	// for easy reading.
	Respelled bool

	drill *Drill
	part  int
}

// Statements yields the statements of a part, from 0. It can be run again and
// again and allocates nothing for each statement. A part that the drill has
// not yields none.
func (d *Drill) Statements(part int) iter.Seq[Statement] {
	return func(yield func(Statement) bool) {
		if part < 0 || part >= len(d.parts) {
			return
		}
		d.statements(part, yield)
	}
}

func (d *Drill) statements(part int, yield func(Statement) bool) {
	p := &d.parts[part]
	onset := d.first
	var before Statement
	var lastKey pitch.Class
	for n, st := range d.steps {
		s := Statement{Index: n, Section: st.section, Onset: onset, drill: d, part: part, Return: st.back}
		s.Held = st.back && d.s.Closing == CloseHeld
		keep := d.keep
		if s.Held {
			keep = d.keepHeld
		}
		s.Length = d.padded(onset, keep, n+1 == len(d.steps) || d.steps[n+1].first)
		octave := int8(4)
		if len(p.octaves) > 0 { // not while the times are worked out
			octave = p.octaves[n]
		}
		if s.Rests = octave == rests; s.Rests {
			octave = 4
		}
		c := d.writtenClass(part, st.key)
		s.Written = p.written[c].In(int(octave))
		s.Sounding = withNumber(d.concert[c.T(p.down)], int(s.Written.Number())+p.down)
		if !st.first && !before.Rests && !s.Rests {
			last, first := p.keys[lastKey].end, p.keys[c].begin
			if s.Held {
				first = p.keys[c].held
			}
			s.Join, s.Joined = before.Written.Up(last).To(s.Written.Up(first)), true
		}
		lastKey = c
		if s.Respelled = p.keys[c].respelled; s.Held {
			s.Respelled = p.keys[c].heldRespelled
		}
		if !yield(s) {
			return
		}
		onset += s.Length
		before = s
	}
}

// withNumber returns the note of a name that has a key number.
func withNumber(n spelling.Name, number int) spelling.Note {
	low := n.In(-1)
	return n.In((number-int(low.Number()))/12 - 1)
}

// read finds out which notes a held return has, and how the parts read the
// figure in their keys.
func (d *Drill) read() {
	f := d.s.Figure
	events := f.In(0)
	d.held = held(events)
	d.heldAt = events[d.held[0]].Onset
	for n := range d.parts {
		p := &d.parts[n]
		for c, name := range p.written {
			tonic := name.In(4)
			strict, read := f.In(tonic), f.AppendRead(nil, tonic, d.s.Policy)
			k := &p.keys[c]
			k.begin, k.end, k.held = tonic.To(read[0].Note), tonic.To(read[len(read)-1].Note), tonic.To(read[d.held[0]].Note)
			k.respelled = name.Up(p.Sounding) != d.concert[pitch.Class(c).T(p.down)]
			k.heldRespelled = k.respelled
			for n, e := range read {
				if e.Note != strict[n].Note {
					k.respelled = true
					k.heldRespelled = k.heldRespelled || n >= d.held[0] && n < d.held[1]
				}
			}
		}
	}
	k := &d.parts[0].keys[0] // semitones are those of every key
	d.begin, d.end, d.heldBegin = k.begin.Semitones(), k.end.Semitones(), k.held.Semitones()
}

// held returns which notes of a figure a held return has: those on the
// downbeat, or the first after it, or where there are none after it the last
// before it.
func held(events []figure.Event) [2]int {
	from := len(events) - 1
	for from > 0 && (events[from-1].Onset >= 0 || events[from-1].Onset == events[from].Onset) {
		from--
	}
	to := from + 1
	for to < len(events) && events[to].Onset == events[from].Onset {
		to++
	}
	return [2]int{from, to}
}

// Events returns the notes of the statement as the part reads them. Onsets
// count from the downbeat of the statement.
func (s Statement) Events() []figure.Event { return s.AppendEvents(nil) }

// AppendEvents appends what Events returns. It does not allocate where dst has
// room for the figure's notes.
func (s Statement) AppendEvents(dst []figure.Event) []figure.Event {
	if s.drill == nil || s.Rests {
		return dst
	}
	d := s.drill
	from := len(dst)
	dst = d.s.Figure.AppendRead(dst, s.Written, d.s.Policy)
	if s.Held {
		dst = append(dst[:from], dst[from+d.held[0]:from+d.held[1]]...)
		for n := from; n < len(dst); n++ {
			dst[n].Onset, dst[n].Length = 0, d.s.Meter.Bar()
		}
	}
	return dst
}

// SoundingNumber returns the key number at which a note that the part reads
// sounds.
func (s Statement) SoundingNumber(n spelling.Note) pitch.Number {
	return n.Number() + s.Sounding.Number() - s.Written.Number()
}

// Chords yields the chord symbols of the figure as the part reads them, which
// are none where it has none. A held return has the one that its note stands
// under, if there is one.
func (s Statement) Chords() iter.Seq[figure.ChordEvent] {
	return func(yield func(figure.ChordEvent) bool) {
		if s.drill == nil || s.Rests {
			return
		}
		d := s.drill
		all := d.s.Figure.ReadChords(s.Written.Name(), d.s.Policy)
		if !s.Held {
			all(yield)
			return
		}
		var over figure.ChordEvent
		found := false
		for c := range all {
			if c.Onset <= d.heldAt {
				over, found = c, true
			}
		}
		if over.Onset = 0; found {
			yield(over)
		}
	}
}

// Part returns an instrument of the drill; parts count from 0 to Parts() − 1.
// For any other n it returns the zero value.
func (d *Drill) Part(n int) Instrument {
	if n < 0 || n >= len(d.parts) {
		return Instrument{}
	}
	return d.parts[n].Instrument
}

// Parts returns the number of parts.
func (d *Drill) Parts() int { return len(d.parts) }

// Settings returns the settings of the drill with the default tempo and rest
// filled in. New makes the same drill of them.
func (d *Drill) Settings() Settings {
	s := d.s
	if s.Rest == 0 {
		s.Rest = Rest(d.rest)
	}
	s.Parts, s.Names, s.Prefer = slices.Clone(s.Parts), slices.Clone(s.Names), slices.Clone(s.Prefer)
	return s
}

// LeftOut returns the keys that a part leaves out because they do not fit, as
// it reads them, in the order of the route. A part that the drill has not
// leaves none out.
func (d *Drill) LeftOut(part int) []spelling.Name {
	if part < 0 || part >= len(d.parts) {
		return nil
	}
	return slices.Clone(d.parts[part].out)
}

// Len returns the number of statements.
func (d *Drill) Len() int { return len(d.steps) }

// Length returns the length of the whole drill, which is a number of full
// bars.
func (d *Drill) Length() figure.Length { return d.length }

// Bars returns the number of bars.
func (d *Drill) Bars() int { return int(d.length / d.s.Meter.Bar()) }

// Duration returns how long the drill takes at its tempo, a count-in not
// included.
func (d *Drill) Duration() time.Duration { return d.After(d.length) }

// After returns the time that a length takes at the tempo of the drill.
func (d *Drill) After(l figure.Length) time.Duration {
	perMinute := figure.Length(d.s.Tempo) * d.s.Meter.Counted()
	if perMinute == 0 {
		return 0 // the zero Drill
	}
	// In two steps, as long drills have more nanoseconds times beats than an
	// int64.
	minutes, rest := l/perMinute, l%perMinute
	return time.Duration(minutes)*time.Minute + time.Duration(rest)*time.Minute/time.Duration(perMinute)
}
