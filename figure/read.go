package figure

import (
	"iter"
	"slices"

	"example.com/keyorder/interval"
	"example.com/keyorder/spelling"
)

// Reading respells notes, never sounds. A chord and the notes under it, up to
// the next chord, stay together: they move by whole enharmonic turns (twelve
// places on the line of fifths), or not at all. What is then left is respelled
// note by note.

// AppendRead appends what In returns, respelled as a policy says. It does not
// allocate where dst has room.
//
// Usual changes two things. A chord whose root is no everyday name moves with its
// notes, as it does in easy reading, but where its root is a note of the scale with
// one accidental: in A♭ {♭2 maj7} is Amaj7 and not B𝄫maj7, in G♯ minor {5 7} stays
// D♯7. And in a scale that players name by a chord's root (the minor blues,
// altered, octatonic and whole-tone scales) double accidentals, C♭ and F♭ become
// plain notes: E♭ minor blues is E♭ G♭ A♭ A B♭ D♭. A chord on such a root moves
// with its notes.
//
// Easy moves a chord with its notes where its root is no everyday name, those
// from G♭ to G♯ on the line of fifths: F♭maj7 becomes Emaj7. It moves a chord on
// a flat or sharp, too, where its notes have a double accidental and the other
// everyday name leaves neither one nor C♭, F♭, E♯ or B♯: D♭m7♭5 becomes C♯m7♭5.
// Of the notes that are left double accidentals are respelled, and what Usual
// respells: Fdim7 stays, and is F A♭ C♭ D.
func (f Figure) AppendRead(dst []Event, tonic spelling.Note, p spelling.Policy) []Event {
	from := len(dst)
	dst = f.AppendIn(dst, tonic)
	r := reading{p, f.scale, f.scale.namedByChord()}
	if r.strict() || r.chordsOnly() && len(f.chords) == 0 {
		return dst
	}
	events := dst[from:]
	for k := -1; k < len(f.chords); k++ {
		first, end := f.under(k)
		var turn interval.Interval
		if k >= 0 {
			turn = r.turn(f.chords[k], f.notes[first:end], tonic.Name())
		}
		if turn == 0 && r.chordsOnly() {
			continue
		}
		for n := first; n < end; n++ {
			events[n].Note = r.note(events[n].Note.Up(turn))
		}
	}
	return dst
}

// ReadChords yields what Chords yields, respelled as AppendRead says.
func (f Figure) ReadChords(tonic spelling.Name, p spelling.Policy) iter.Seq[ChordEvent] {
	return func(yield func(ChordEvent) bool) {
		r := reading{p, f.scale, f.scale.namedByChord()}
		for k, c := range f.chords {
			first, end := f.under(k)
			var turn interval.Interval
			if !r.strict() {
				turn = r.turn(c, f.notes[first:end], tonic)
			}
			if !yield(c.on(tonic, turn)) {
				return
			}
		}
	}
}

// under returns which notes stand under a chord, or before the first for −1.
func (f *Figure) under(k int) (first, end int) {
	if k >= 0 {
		first = f.chords[k].first
	}
	if k+1 < len(f.chords) {
		return first, f.chords[k+1].first
	}
	return first, len(f.notes)
}

// A reading reads the notes of a scale by a policy.
type reading struct {
	policy       spelling.Policy
	scale        Scale
	namedByChord bool
}

func (r reading) strict() bool { return r.policy == spelling.PolicyStrict }

// chordsOnly reports whether chords alone are respelled, with their notes.
func (r reading) chordsOnly() bool { return r.policy == spelling.PolicyUsual && !r.namedByChord }

// note returns a note as it is read where its chord stays.
func (r reading) note(n spelling.Note) spelling.Note {
	switch {
	case r.chordsOnly():
		return spelling.PolicyEasy.Note(n)
	case !r.namedByChord || r.policy == spelling.PolicyEasyWhiteKeys:
		return r.policy.Note(n)
	}
	if name := n.Name(); name == spelling.NameOf(spelling.LetterE, 1) || name == spelling.NameOf(spelling.LetterB, 1) {
		return n
	}
	return spelling.PolicyEasyWhiteKeys.Note(n)
}

// turn returns the interval, an enharmonic one, by which a chord and the notes
// under it move.
func (r reading) turn(c chordAt, under []note, tonic spelling.Name) interval.Interval {
	root := tonic.Up(c.above)
	trouble := func(turn interval.Interval) (doubles, letters int) {
		for n := range under {
			switch name := tonic.Up(under[n].above).Up(turn); {
			case name < spelling.NameOf(spelling.LetterF, -1) || name > spelling.NameOf(spelling.LetterB, 1):
				doubles++
			case name < lowestRoot || name > spelling.NameOf(spelling.LetterA, 1): // C♭ F♭ E♯ B♯
				letters++
			}
		}
		return doubles, letters
	}
	stays := root >= lowestRoot && root <= highestRoot
	switch {
	case r.chordsOnly():
		a := root.Alteration()
		stays = stays || -1 <= a && a <= 1 && r.scale.Set().Has(c.above)
	case r.policy == spelling.PolicyUsual:
		stays = r.note(root.In(0)).Name() == root
	}
	doubles, _ := trouble(0)
	if stays && (doubles == 0 || root.Alteration() == 0 || r.policy == spelling.PolicyUsual) {
		return 0
	}
	// Each sound has one everyday name or two. Of two the one that leaves less
	// trouble is better, and then the nearer.
	var best interval.Interval
	var least [3]int
	found := false
	for to := lowestRoot; to <= highestRoot; to++ {
		if to == root || to.Class() != root.Class() {
			continue
		}
		turn := interval.DiminishedSecond.Times((int(root) - int(to)) / 12)
		doubles, letters := trouble(turn)
		if stays && doubles+letters > 0 {
			continue
		}
		cost := [...]int{doubles, letters, max(int(root-to), int(to-root))}
		if !found || slices.Compare(cost[:], least[:]) < 0 {
			best, least, found = turn, cost, true
		}
	}
	return best
}

// Chords are called by names between these on the line of fifths.
const (
	lowestRoot  = spelling.Name(-6) // G♭
	highestRoot = spelling.Name(8)  // G♯
)
