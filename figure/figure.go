// Package figure holds musical ideas that belong to no key: scale degrees and
// a rhythm.
//
// A [Figure] is a few notes counted from a tonic, as a player writes them
// down:
//
//	1:3 5 4 2 3:2                       eighths in major, the first three times as long
//	b2 v7 | 1 4 2 in dorian by 1/16     two sixteenths before the downbeat
//
// A number is a letter: 3 is always the third letter, the tonic's being the
// first. A bare number takes the form that the scale has; one with an
// accidental counts from the major scale, whatever the scale. [Figure.In] puts
// the figure on a tonic and gives the notes, spelled; whatever the tonic, the
// intervals between them are the same, in letters and in semitones.
//
// A figure can be a cell that is stated over [Changes], from the root of each
// chord, and it has variations, each a [Variation] with a text.
//
//	3 5 1 6 over {2 m7} {5 7} {1 maj7}:8     the root of each chord is the 1
//
// A [Scale] is a set of such degrees. It also says how the twelve keys are called
// ([Scale.Tonics]): G♭ and not F♯ for major, C♯ and not D♭ for minor.
//
// Text that is no figure, scale, degree or length is a *fault.SyntaxError, which
// says where and what to write instead.
package figure

import (
	"fmt"
	"iter"
	"slices"
	"strconv"

	"example.com/keyorder/interval"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
)

// MaxLength is the longest that one event lasts.
const MaxLength = 64 * Whole

const (
	maxNotes  = 4096 // events, and notes
	wantFewer = "a figure has at most 4096 events and as many notes"
)

// A Chord is a chord symbol that moves with the figure. The zero value is the
// chord on the tonic with nothing after its root, a major triad.
type Chord struct {
	Root Degree
	// Suffix is what follows the root, as typed: "m7"; at most 32 bytes, without
	// braces. Where it ends in a stroke and a degree from 1 to 7, that is the bass:
	// "maj7/3" on 1 is Cmaj7/E in C. The bass counts from the tonic, as the root
	// does.
	Suffix string
}

// An Item is one event of a figure as it is written: a note, a rest, or notes
// that sound together.
type Item struct {
	Degrees []Degree // what sounds together, no two of the same sound; none for a rest
	Length  Length   // 1 to MaxLength
	Chord   *Chord   // the chord that begins here, if one does
}

// A Figure is a short musical idea in scale degrees and rhythm. It does not
// change; it may be used by many goroutines at once. [Figure.Equal] compares two.
// The zero value is the empty figure, without notes and without length.
type Figure struct {
	scale  Scale
	unit   Length // what a length of 1 means in the text; 0 for an eighth
	before int    // items before the downbeat
	items  []Item
	notes  []note
	chords []chordAt
	length Length
	pickup Length
	over   *over // what the figure was made of, if that is a cell and changes
}

// note is a note of the figure with all that does not depend on the tonic.
type note struct {
	above         interval.Interval
	onset, length Length
}

type chordAt struct {
	onset  Length
	above  interval.Interval
	suffix string // as it is shown, without the bass
	bass   interval.Interval
	slash  bool // that there is a bass
	first  int  // the first note under it
}

// New returns the figure with the given items, of which the first before come
// before the downbeat. A length of 1 in its text is unit, or an eighth if
// unit is 0. New copies what it is given. The error is a *fault.ValueError, with
// another for the item inside: a bare degree that the scale has not, a length out
// of bounds, the same sound twice at once, more than 4096 events or notes.
func New(scale Scale, unit Length, before int, items ...Item) (Figure, error) {
	if want := refusal(scale.Set()); want != "" {
		return Figure{}, scale.refused(want)
	}
	if unit < 0 || unit > MaxLength {
		return Figure{}, &fault.ValueError{Setting: "unit", Value: unit.String(), Want: "the unit is a note value such as 1/8, at most 64 whole notes"}
	}
	if before < 0 || before >= len(items) {
		return Figure{}, &fault.ValueError{Setting: "events before the downbeat", Value: strconv.Itoa(before), Want: fmt.Sprintf("at least one event follows the downbeat; there are %d in all", len(items))}
	}
	f := Figure{scale: scale, unit: unit, before: before}
	for n, it := range items {
		if err := f.add(it.clone()); err != nil {
			return Figure{}, &fault.ValueError{Setting: "event " + strconv.Itoa(n+1), Err: err}
		}
	}
	f.settle()
	return f, nil
}

func (it Item) clone() Item {
	it.Degrees = slices.Clone(it.Degrees)
	if it.Chord != nil {
		it.Chord = &Chord{it.Chord.Root, it.Chord.Suffix}
	}
	return it
}

// add appends an item at the end, counting onsets from the first item. The item
// is the figure's from then on. The error is a *fault.ValueError.
func (f *Figure) add(it Item) error {
	if it.Length < 1 || it.Length > MaxLength {
		return &fault.ValueError{Setting: "length", Value: it.Length.String(), Want: "an event lasts from 1/192 of a whole note to 64 whole notes"}
	}
	if len(f.items) >= maxNotes || len(f.notes)+len(it.Degrees) > maxNotes {
		return &fault.ValueError{Setting: "figure", Want: wantFewer}
	}
	from := len(f.notes)
	for _, d := range it.Degrees {
		above, err := d.Above(f.scale)
		if err != nil {
			return err
		}
		for _, other := range f.notes[from:] {
			if other.above.Semitones() == above.Semitones() {
				return d.refused("the same note twice at once")
			}
		}
		f.notes = append(f.notes, note{above, f.length, it.Length})
	}
	if c := it.Chord; c != nil {
		at, err := c.at(f.scale)
		if err != nil {
			return err
		}
		at.onset, at.first = f.length, from
		f.chords = append(f.chords, at)
	}
	f.items = append(f.items, it)
	f.length += it.Length
	return nil
}

// settle moves the onsets so that they count from the downbeat.
func (f *Figure) settle() {
	for _, it := range f.items[:f.before] {
		f.pickup += it.Length
	}
	for n := range f.notes {
		f.notes[n].onset -= f.pickup
	}
	for n := range f.chords {
		f.chords[n].onset -= f.pickup
	}
}

// Scale returns the scale that bare degrees are taken from and that names the
// keys.
func (f Figure) Scale() Scale { return f.scale }

// Unit returns the note value that a length of 1 means in the figure's text.
func (f Figure) Unit() Length {
	if f.unit == 0 {
		return Eighth
	}
	return f.unit
}

// Length returns the length of the whole figure, its pickup included.
func (f Figure) Length() Length { return f.length }

// Pickup returns the length of what comes before the downbeat.
func (f Figure) Pickup() Length { return f.pickup }

// NoteCount returns the number of notes, those that sound together each counted.
func (f Figure) NoteCount() int { return len(f.notes) }

// Items yields the events as they are written. Their slices are copies.
func (f Figure) Items() iter.Seq[Item] {
	return func(yield func(Item) bool) {
		for _, it := range f.items {
			if !yield(it.clone()) {
				return
			}
		}
	}
}

// Span returns the intervals from the tonic to the lowest and to the highest
// note, by their sound; of two that sound the same, to the first. They are both 0
// where there are no notes.
func (f Figure) Span() (low, high interval.Interval) {
	for k, n := range f.notes {
		if k == 0 || n.above.Semitones() < low.Semitones() {
			low = n.above
		}
		if k == 0 || n.above.Semitones() > high.Semitones() {
			high = n.above
		}
	}
	return low, high
}

// An Event is a note of a figure on a tonic.
type Event struct {
	Onset  Length // from the downbeat; negative in a pickup
	Length Length
	Note   spelling.Note
	Index  int // which note of the figure it is, from 0 as they are written
}

// In returns the notes of the figure on a tonic, in time. Notes that sound
// together have one onset; rests are what lies between.
func (f Figure) In(tonic spelling.Note) []Event {
	return f.AppendIn(make([]Event, 0, len(f.notes)), tonic)
}

// AppendIn appends what In returns. It does not allocate where dst has room.
func (f Figure) AppendIn(dst []Event, tonic spelling.Note) []Event {
	for k := range f.notes {
		n := &f.notes[k]
		dst = append(dst, Event{n.onset, n.length, tonic.Up(n.above), k})
	}
	return dst
}

// AppendNotes appends the notes of the figure on a tonic without their times.
// It does not allocate where dst has room.
func (f Figure) AppendNotes(dst []spelling.Note, tonic spelling.Note) []spelling.Note {
	dst = slices.Grow(dst, len(f.notes))
	to := dst[len(dst) : len(dst)+len(f.notes)]
	for k := range to {
		to[k] = tonic.Up(f.notes[k].above)
	}
	return dst[:len(dst)+len(to)]
}

// Equal reports whether two figures have the same scale, events and pickup, and
// are made of the same cell and changes if they are made so. The unit, which only
// says how the text is written, does not count.
func (f Figure) Equal(g Figure) bool {
	return f.scale == g.scale && f.before == g.before && f.over.equal(g.over) && slices.EqualFunc(f.items, g.items, func(a, b Item) bool {
		return a.Length == b.Length && slices.Equal(a.Degrees, b.Degrees) &&
			(a.Chord == nil) == (b.Chord == nil) && (a.Chord == nil || *a.Chord == *b.Chord)
	})
}
