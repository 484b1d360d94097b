package drill

import (
	"slices"

	"example.com/keyorder/figure"
)

// An Articulation says how the notes of a figure are joined. Its text is tongued,
// slurred or slurred in twos.
//
// A slur joins notes that follow each other without a rest, two at least, inside
// one statement. It never joins a note with the same note again, which has to be
// begun anew; so do chords.
type Articulation uint8

// The articulations.
const (
	ArticulationTongued       Articulation = iota // each note for itself, as bowed one by one too
	ArticulationSlurred                           // as many notes as there are between rests
	ArticulationSlurredInTwos                     // two and two, from the first note, or the second where the first is off the beat
)

// Accents say which notes are accented. Its text is none, groups or beats. A held
// return has none.
type Accents uint8

// The accents.
const (
	AccentsNone   Accents = iota
	AccentsGroups         // the first note under each slur and, where no slur lies, the first note on each beat
	AccentsBeats          // each note on a beat
)

// Marks are what is marked on a note; they add up. The zero value is a plain note.
type Marks uint8

// The marks.
const (
	MarkSlurBegin Marks = 1 << iota // a slur begins on the note
	MarkSlurEnd                     // a slur ends on the note
	MarkSlurOn                      // the note is under a slur that goes on to the next
	MarkAccent
)

// Has reports whether all of some marks are there.
func (m Marks) Has(some Marks) bool { return m&some == some }

// Marks returns what is marked on each note that Events returns, in the same
// order. Notes that sound together have the same marks.
func (s Statement) Marks() []Marks { return s.AppendMarks(nil) }

// AppendMarks appends what Marks returns. It does not allocate where dst has room.
func (s Statement) AppendMarks(dst []Marks) []Marks {
	d := s.part.drill
	if d == nil || s.Rests {
		return dst
	}
	from := len(dst)
	if s.Held {
		for range d.held[1] - d.held[0] {
			dst = append(dst, 0)
		}
		return dst
	}
	for range d.events {
		dst = append(dst, 0)
	}
	marks := dst[from:]
	d.slur(marks, s.Onset)
	for n, e := range d.events {
		beat := d.s.Accents != AccentsNone && d.onBeat(s.Onset+e.Onset)
		switch under := marks[n]; {
		case beat && (d.s.Accents == AccentsBeats || under == 0), d.s.Accents == AccentsGroups && under.Has(MarkSlurBegin):
			marks[n] |= MarkAccent
		}
	}
	return dst
}

// slur marks the slurs of a statement with its downbeat at an onset.
func (d *Drill) slur(marks []Marks, onset figure.Length) {
	if d.s.Articulation == ArticulationTongued {
		return
	}
	twos := d.s.Articulation == ArticulationSlurredInTwos
	// What sounds together goes from one index to before the other.
	from, to := 0, d.together(0)
	open := false                                 // whether a slur leads to it
	alone := !d.onBeat(onset + d.events[0].Onset) // whether it stands alone, in twos
	for from < len(d.events) {
		next := d.together(to)
		joins := next > to && d.joins(from, to, next)
		var m Marks
		if open {
			m |= MarkSlurEnd
		}
		if joins && !(twos && (open || alone)) {
			m |= MarkSlurOn
			if m &^= MarkSlurEnd; !open {
				m |= MarkSlurBegin
			}
		}
		for n := from; n < to; n++ {
			marks[n] = m
		}
		open = m.Has(MarkSlurOn)
		alone = !joins && next > to && !d.onBeat(onset+d.events[to].Onset)
		from, to = to, next
	}
}

// together returns the index after the last note that sounds together with one.
func (d *Drill) together(from int) int {
	to := from
	for to < len(d.events) && d.events[to].Onset == d.events[from].Onset {
		to++
	}
	return to
}

// joins reports whether a slur can lead from the notes at from to those at to,
// which end at end: there is no rest between, and they are not the same again.
func (d *Drill) joins(from, to, end int) bool {
	a, b := d.events[from:to], d.events[to:end]
	if a[0].Onset+a[0].Length != b[0].Onset {
		return false
	}
	return len(a) != len(b) || slices.ContainsFunc(a, func(e figure.Event) bool {
		return !slices.ContainsFunc(b, func(f figure.Event) bool { return e.Note.Number() == f.Note.Number() })
	})
}

// onBeat reports whether a time, counted from the beginning of the drill, is on
// a beat.
func (d *Drill) onBeat(at figure.Length) bool {
	at %= d.s.Meter.Bar()
	for n := 0; at > 0; n++ {
		at -= d.s.Meter.Beat(n)
	}
	return at == 0
}
