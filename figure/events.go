package figure

import (
	"cmp"
	"fmt"
	"slices"

	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
)

// FromEvents returns the figure that has the given notes and chord symbols: of
// what [Figure.In] and [Figure.Chords] give it is the figure again, or the one
// that counts from another octave of the tonic. The tonic to count from is chosen
// as [FromNotes] does and returned with the figure; degrees come out bare where
// the scale allows, and what lies between the notes is rests. A note's Index does
// not count.
//
// What a figure cannot say is made simpler: notes that begin together last as
// long as the longest of them, a note ends where the next begins, of two with one
// sound the first counts, and a chord that begins under a note that goes on is
// left out. Whoever must know compares with In and Chords.
//
// The error is a *fault.ValueError: where there is no note, where none follows the
// downbeat or one goes on over it, or where a note lies too far from the tonic.
func FromEvents(events []Event, chords []ChordEvent, tonic spelling.Name, scale Scale) (Figure, spelling.Note, error) {
	fail := func(err error) (Figure, spelling.Note, error) { return Figure{}, 0, err }
	if want := refusal(scale.Set()); want != "" {
		return fail(scale.refused(want))
	}
	if len(events) == 0 {
		return fail(&fault.ValueError{Setting: "figure", Want: "a figure has at least one note"})
	}
	events = slices.Clone(events)
	slices.SortStableFunc(events, func(a, b Event) int { return cmp.Compare(a.Onset, b.Onset) })
	chords = slices.Clone(chords)
	slices.SortStableFunc(chords, func(a, b ChordEvent) int { return cmp.Compare(a.Onset, b.Onset) })
	notes := make([]spelling.Note, len(events))
	for n, e := range events {
		notes[n] = e.Note
	}
	b := builder{figure: Figure{scale: scale}, tonic: tonic, anchor: lowestTonic(notes, tonic), chords: chords}
	b.now = int64(min(0, events[0].Onset))
	if len(chords) > 0 {
		b.now = min(b.now, int64(chords[0].Onset))
	}
	for len(events) > 0 {
		n := 1
		for n < len(events) && events[n].Onset == events[0].Onset {
			n++
		}
		if err := b.group(events[:n], events[n:]); err != nil {
			return fail(err)
		}
		events = events[n:]
	}
	if b.now <= 0 {
		return fail(&fault.ValueError{Setting: "figure", Want: "at least one note follows the downbeat"})
	}
	b.figure.settle()
	return b.figure, b.anchor, nil
}

// A builder puts a figure together from what is heard one after another.
type builder struct {
	figure Figure
	tonic  spelling.Name
	anchor spelling.Note
	chords []ChordEvent // that are still to come
	now    int64        // from the downbeat, up to where the figure reaches
}

// group adds the notes of one onset, and the rest before them; after are those that
// are still to come.
func (b *builder) group(together, after []Event) error {
	onset := int64(together[0].Onset)
	for b.now < onset {
		to := min(onset, b.now+int64(MaxLength))
		if b.now < 0 {
			to = min(to, 0)
		}
		for _, c := range b.chords {
			if at := int64(c.Onset); at > b.now {
				to = min(to, at)
			}
		}
		if err := b.add(Item{Length: Length(to - b.now)}); err != nil {
			return err
		}
	}
	it := Item{}
	for n, e := range together {
		if it.Length = max(it.Length, e.Length); slices.ContainsFunc(together[:n], func(d Event) bool { return d.Note.Number() == e.Note.Number() }) {
			continue
		}
		d, ok := degreeIn(b.figure.scale, b.anchor.To(e.Note))
		if !ok {
			return &fault.ValueError{Setting: "note", Value: e.Note.String(), Want: fmt.Sprintf("it lies too far from the tonic %v to be a degree", b.anchor)}
		}
		it.Degrees = append(it.Degrees, d)
	}
	if len(after) > 0 {
		it.Length = Length(min(int64(it.Length), int64(after[0].Onset)-onset))
	}
	if onset < 0 && onset+int64(it.Length) > 0 {
		return &fault.ValueError{Setting: "note", Value: together[0].Note.String(), Want: "it goes on over the downbeat, where a figure has a new event"}
	}
	return b.add(it)
}

// add adds an item, with the chord that begins there.
func (b *builder) add(it Item) error {
	for ; len(b.chords) > 0 && int64(b.chords[0].Onset) <= b.now; b.chords = b.chords[1:] {
		c := b.chords[0]
		if int64(c.Onset) < b.now {
			continue
		}
		d, ok := degreeIn(b.figure.scale, b.tonic.To(c.Root))
		if !ok {
			return &fault.ValueError{Setting: "chord", Value: c.String(), Want: fmt.Sprintf("its root lies too far from %v to be a degree", b.tonic)}
		}
		it.Chord = &Chord{d, c.Suffix}
	}
	if b.now < 0 {
		b.figure.before++
	}
	b.now += int64(it.Length)
	return b.figure.add(it)
}

// Spell names a key of the keyboard in a scale on a tonic: a note of the scale has
// the scale's letter, and of the other names it is the one nearest to the tonic
// on the line of fifths, up to the raised fourth: in C major D♭ E♭ F♯ A♭ B♭
// (common practice, no source). Every key has a name; its sound is the key's.
func (s Scale) Spell(tonic spelling.Name, key pitch.Number) spelling.Note {
	above := (int(key) - int(tonic.Class())) % 12
	name := tonic + spelling.Name((above*7%12+17)%12-5)
	for i := range s.Set().Intervals() {
		if (i.Semitones()-above)%12 == 0 {
			name = tonic.Up(i)
		}
	}
	low := name.In(4)
	return name.In(4 + (int(key)-int(low.Number()))/12)
}
