package drill

import (
	"iter"
	"slices"

	"example.com/keyorder/figure"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/spelling"
	"example.com/keyorder/spelling/chord"
)

// A Part is one instrument of a drill, with what was worked out for it. Parts
// compare with ==. The zero Part has no statements.
type Part struct {
	drill *Drill
	index int
}

// Parts returns the parts of the drill, in the order of its settings. A drill
// that New made has at least one.
func (d *Drill) Parts() []Part {
	parts := make([]Part, len(d.parts))
	for n := range parts {
		parts[n] = Part{d, n}
	}
	return parts
}

// data returns what was worked out for the part, or nil for the zero Part.
func (p Part) data() *part {
	if p.drill == nil {
		return nil
	}
	return &p.drill.parts[p.index]
}

// Index counts the parts of the drill from 0.
func (p Part) Index() int { return p.index }

// Instrument returns the part's instrument, as the settings give it.
func (p Part) Instrument() Instrument {
	if pt := p.data(); pt != nil {
		return pt.Instrument
	}
	return Instrument{}
}

// LeftOut returns the keys that the part leaves out because they do not fit, as
// it reads them, in the order of the route.
func (p Part) LeftOut() []spelling.Name {
	if pt := p.data(); pt != nil {
		return slices.Clone(pt.out)
	}
	return nil
}

// Statements yields the statements of the part, from the first. It can be run
// again and again and allocates nothing for each statement.
func (p Part) Statements() iter.Seq[Statement] {
	return func(yield func(Statement) bool) {
		if p.drill == nil {
			return
		}
		for n := range p.drill.steps {
			var s Statement
			p.fill(&s, n)
			if !yield(s) {
				return
			}
		}
	}
}

// Statement returns a statement of the part by its index, in constant time; ok
// is false for an index that the drill has not.
func (p Part) Statement(index int) (s Statement, ok bool) {
	if p.drill == nil || index < 0 || index >= len(p.drill.steps) {
		return Statement{}, false
	}
	p.fill(&s, index)
	return s, true
}

// fill makes an empty statement statement n, which the drill has.
func (p Part) fill(s *Statement, n int) {
	d, pt := p.drill, &p.drill.parts[p.index]
	st := d.steps[n]
	s.Index, s.Section, s.part = n, st.section, p
	s.Onset, s.Length = d.onsets[n], d.onsets[n+1]-d.onsets[n]
	s.Return, s.Held, s.Rests = st.back, d.isHeld(st), pt.octaves[n] == rests
	octave := interval.PerfectUnison
	if !s.Rests {
		octave = interval.Octave.Times(int(pt.octaves[n]) - 4)
	}
	k := &pt.keys[pt.reads[st.key]]
	s.Written, s.Sounding = k.written.Up(octave), k.sounding.Up(octave)
	if s.Respelled = k.respelled; s.Held {
		s.Respelled = k.heldRespelled
	}
}

// isHeld reports whether one note only is played in a step.
func (d *Drill) isHeld(st step) bool { return st.back && d.s.Closing == ClosingHeld }

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

	part Part
}

// Part returns the part that plays the statement.
func (s Statement) Part() Part { return s.part }

// Begin returns when the statement begins, its pickup included, counted as
// Onset is. A held return has no pickup.
func (s Statement) Begin() figure.Length {
	if s.part.drill == nil || s.Held {
		return s.Onset
	}
	return s.Onset - s.part.drill.s.Figure.Pickup()
}

// End returns when the statement ends and its rest begins, counted as Onset is.
func (s Statement) End() figure.Length {
	d := s.part.drill
	switch {
	case d == nil:
		return s.Onset
	case s.Held:
		return s.Onset + d.s.Meter.Bar()
	}
	return s.Begin() + d.s.Figure.Length()
}

// Join returns the passage from the last note of the statement before to the
// first note of this one, as the part reads them: of notes that sound together,
// the one that the figure names last or first. ok is false at the beginning of
// a section and beside a rest, where there is none.
func (s Statement) Join() (j figure.Join, ok bool) {
	d := s.part.drill
	if d == nil || d.steps[s.Index].first || s.Rests {
		return figure.Join{}, false
	}
	before, _ := s.part.Statement(s.Index - 1)
	if before.Rests {
		return figure.Join{}, false
	}
	keys := &s.part.data().keys
	from, to := &keys[before.Written.Name().Class()], &keys[s.Written.Name().Class()]
	first := to.begin
	if s.Held {
		first = to.held
	}
	set := d.s.Figure.Set()
	return figure.Join{
		From: before.Written, To: s.Written, Last: before.Written.Up(from.end), First: s.Written.Up(first),
		Common: set.T(int(before.Written.Number())).Intersection(set.T(int(s.Written.Number()))),
	}, true
}

// Events returns the notes of the statement as the part reads them. Onsets
// count from the downbeat of the statement.
func (s Statement) Events() []figure.Event { return s.AppendEvents(nil) }

// AppendEvents appends what Events returns. It does not allocate where dst has
// room for the figure's notes.
func (s Statement) AppendEvents(dst []figure.Event) []figure.Event {
	if s.part.drill == nil || s.Rests {
		return dst
	}
	d := s.part.drill
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
// are none where it has none. A held return has the figure's last chord on the
// tonic, or if there is none the tonic's triad in the scale. Over a chorus the last chord is that of the key which
// comes next, in this section or another, see [figure.Figure.Chorus]; at the end
// of the drill it is that of the statement's own.
func (s Statement) Chords() iter.Seq[figure.ChordEvent] {
	return func(yield func(figure.ChordEvent) bool) {
		if s.part.drill == nil || s.Rests {
			return
		}
		d := s.part.drill
		all := d.s.Figure.ReadChords(s.Written.Name(), d.s.Policy)
		switch {
		case !s.Held && d.s.Figure.Chorus():
			s.turning(all, yield)
			return
		case !s.Held:
			all(yield)
			return
		}
		tonic := s.Written.Name()
		home := figure.ChordEvent{Root: tonic, Suffix: chord.Of(tonic, triad(d.s.Figure.Scale().Set())).Suffix()}
		found := false
		for c := range all {
			if found = true; c.Root.Class() == tonic.Class() {
				home.Root, home.Suffix = c.Root, c.Suffix
			}
		}
		if found {
			yield(home)
		}
	}
}

// triad returns the quality of the triad that a scale has on its tonic.
func triad(scale interval.Set) interval.Set {
	quality := interval.Root
	for _, forms := range [][]interval.Interval{
		{interval.MajorThird, interval.MinorThird},
		{interval.PerfectFifth, interval.DiminishedFifth, interval.AugmentedFifth},
	} {
		for _, i := range forms {
			if scale.Has(i) {
				quality, _ = quality.With(i)
				break
			}
		}
	}
	return quality
}

// turning yields the chords of a chorus, the last of them as the next key has it.
func (s Statement) turning(all iter.Seq[figure.ChordEvent], yield func(figure.ChordEvent) bool) {
	next, ok := s.part.Statement(s.Index + 1)
	if !ok {
		next = s
	}
	var last figure.ChordEvent
	for last = range s.part.drill.s.Figure.ReadChords(next.Written.Name(), s.part.drill.s.Policy) {
	}
	for c := range all {
		if c.Onset == last.Onset {
			c = last
		}
		if !yield(c) {
			return
		}
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
	d.events = events
	d.held = held(events)
	for n := range d.parts {
		p := &d.parts[n]
		for k := range p.reads {
			p.reads[k] = d.writtenClass(n, pitch.Class(k))
		}
		for c, name := range p.written {
			tonic := name.In(4)
			strict, read := f.In(tonic), f.AppendRead(nil, tonic, d.s.Policy)
			k := &p.keys[c]
			k.written = tonic
			k.sounding = withNumber(d.concert[pitch.Class(c).T(p.down)], int(tonic.Number())+p.down)
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
	notes := events[d.held[0]:d.held[1]]
	d.heldSpan = [2]int{int(notes[0].Note.Number()), int(notes[0].Note.Number())}
	for _, e := range notes {
		d.heldSpan = [2]int{min(d.heldSpan[0], int(e.Note.Number())), max(d.heldSpan[1], int(e.Note.Number()))}
	}
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
	to := from
	for to < len(events) && events[to].Onset == events[from].Onset {
		to++
	}
	return [2]int{from, to}
}
