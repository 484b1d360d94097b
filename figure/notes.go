package figure

import (
	"fmt"
	"strings"

	"example.com/keyorder/spelling"
)

// FromNotes reads a figure from the names of its notes in one key, with the
// text form of [Parse] otherwise: "Bb C D F:2", "G4 F#4 | {Dm7} D4". Letters may
// be small. A note without an octave number is the one nearest by letter to
// the note before it, and the first one lies in the octave of middle C. The
// figure counts from the tonic's lowest occurrence among the notes or, where none
// has all notes in reach, from the one next below the lowest letter; that tonic
// is returned with the figure. Degrees come out bare where the scale allows. The
// error is a *fault.SyntaxError; its At is the place in s.
func FromNotes(s string, tonic spelling.Name, scale Scale) (Figure, spelling.Note, error) {
	fail := func(err error) (Figure, spelling.Note, error) { return Figure{}, 0, err }
	r := newReader("notes", s, scale)
	if want := refusal(scale.Set()); want != "" {
		return fail(scale.refused(want))
	}
	if err := r.read(); err != nil {
		return fail(err)
	}
	notes, err := r.spelled()
	if err != nil {
		return fail(err)
	}
	anchor := lowestTonic(notes, tonic)
	for _, e := range r.events {
		it := Item{Length: e.length}
		if e.chordAt > 0 {
			c, err := r.spelledChord(e, tonic)
			if err != nil {
				return fail(err)
			}
			it.Chord = &c
		}
		for at := range e.words() {
			d, ok := degreeIn(r.figure.scale, anchor.To(notes[0]))
			if !ok {
				return fail(r.fail(at, fmt.Sprintf("%v lies too far from the tonic %v to be a degree", notes[0], anchor)))
			}
			it.Degrees = append(it.Degrees, d)
			notes = notes[1:]
		}
		if err := r.figure.add(it); err != nil {
			return fail(r.within(e.at, err))
		}
	}
	r.figure.settle()
	return r.figure, anchor, nil
}

// spelled returns the notes of all events.
func (r *reader) spelled() ([]spelling.Note, error) {
	notes := make([]spelling.Note, 0, r.notes)
	previous := noteBefore
	for _, e := range r.events {
		for at, word := range e.words() {
			n, want := parseNote(word, previous)
			if want != "" {
				return nil, r.fail(at, want)
			}
			notes = append(notes, n)
			previous = n
		}
	}
	return notes, nil
}

// spelledChord reads a chord by the name of its root.
func (r *reader) spelledChord(e event, tonic spelling.Name) (Chord, error) {
	const want = "a chord begins with the name of its root, as {Dm7}"
	if e.chord == "" {
		return Chord{}, r.fail(e.chordAt, want)
	}
	_, suffix, err := spelling.CutAccidentals(e.chord[1:])
	if err != nil {
		return Chord{}, r.fail(e.chordAt, want)
	}
	root, err := spelling.ParseName(e.chord[:len(e.chord)-len(suffix)])
	if err != nil {
		return Chord{}, r.fail(e.chordAt, want)
	}
	d, ok := degreeIn(r.figure.scale, tonic.To(root))
	if !ok {
		return Chord{}, r.fail(e.chordAt, fmt.Sprintf("its root lies too far from %v to be a degree", tonic))
	}
	if quality, bass := cutBass(suffix); isBassName(bass) {
		name, _ := spelling.ParseName(bass)
		b, ok := degreeIn(r.figure.scale, tonic.To(name))
		if !ok {
			return Chord{}, r.fail(e.chordAt, fmt.Sprintf("its bass lies too far from %v to be a degree", tonic))
		}
		suffix = quality + "/" + b.Plain()
	}
	return r.suffixed(e, d, suffix)
}

// noteBefore stands for the note before the first one.
const noteBefore spelling.Note = -1 << 31

// parseNote reads a note, or a name without octave as the nearest such note to
// the previous one. Where it cannot it says what would be right.
func parseNote(word string, previous spelling.Note) (n spelling.Note, want string) {
	letter := -1
	if word != "" {
		letter = strings.IndexByte("CDEFGABcdefgab", word[0]) // of two octaves
	}
	if letter < 0 {
		return n, "a note is a letter from A to G, as in C, Eb or F#4; 0 is a rest"
	}
	alteration, octave, err := spelling.CutAccidentals(word[1:])
	if err != nil || octave != "" {
		n, err := spelling.Parse(word)
		if err != nil {
			want = "a note is a letter, accidentals and perhaps an octave, as in C, Eb or F#4"
		}
		return n, want
	}
	name := spelling.NameOf(spelling.Letter(letter%7), alteration)
	if previous == noteBefore {
		return name.In(4), ""
	}
	up := (int(name.Letter()) - int(previous.Letter()) + 7) % 7
	at := previous.Octave()
	if int(previous.Letter())+up > 6 {
		at++
	}
	if up > 3 {
		at--
	}
	return name.In(at), ""
}

// lowestTonic returns the tonic to count from. Low is here what has a low letter:
// degrees count letters.
func lowestTonic(notes []spelling.Note, tonic spelling.Name) spelling.Note {
	lower := func(n, m spelling.Note) bool { return n.To(m).Steps() > 0 }
	var lowest, found spelling.Note
	is := false
	for k, n := range notes {
		if k == 0 || lower(n, lowest) {
			lowest = n
		}
		if n.Name() == tonic && (!is || lower(n, found)) {
			found, is = n, true
		}
	}
	if is && found.To(lowest).Steps() >= minStep {
		return found
	}
	below := tonic.In(lowest.Octave())
	if lower(lowest, below) {
		below = tonic.In(lowest.Octave() - 1)
	}
	return below
}
