// Package notation writes drills down: bars of notes and rests, with their
// note values, ties, beams, accidentals and labels, ready to be engraved.
//
// A [Score] holds one or more drills, one after another, and [Score.PartBars]
// yields the bars of a part, one staff for each part. In a [Bar] every note and
// rest is a [Symbol] with a written [Value]. A length that no single value has
// is written as several, tied, and so is what crosses a barline. Only a
// syncopation hides the middle of a bar; triplets are found where the lengths
// make them. A note has its accidental once in a bar, and again as a reminder
// where a reader would doubt: in another octave, or in the bar after.
//
// Each statement has a [Label] with its key and, where the figure has them, its
// chords. The first bar of a section, its pickup included, has the section's
// number. A double barline ends a section, a final one a drill. Where a note would
// need more ledger lines than [LedgerBudget] a part goes to another clef that its
// players read, between statements and for two of them at least; an instrument of
// the keyboard goes to the other staff. All this is common practice of engravers
// (no source), unless it is said elsewhere.
//
// Package musicxml writes a score as a file, package staff draws it.
package notation

import (
	"slices"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/internal/enum"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
)

// Options say how drills are written. The zero value writes no title, straight
// eighths and accidentals without key signatures.
type Options struct {
	Title string // of the whole score; each drill has its own, see [Bar]
	// Swing marks the score to be played with swung eighths; they are written
	// straight.
	Swing bool
	// Signatures writes a key signature for each key in place of accidentals,
	// where the downbeat of a statement is a bar's; from the first bar on, the
	// first statement's.
	Signatures bool
	// ByBeat beams each beat by itself, for beginners. Otherwise plain eighths
	// that fill a half of a 4/4 bar have one beam, and so on; see [Beam].
	ByBeat bool
	// Language is that of the names of keys in labels, see [Label.In]. Chords have
	// letters in every language.
	Language spelling.Language
}

// A Score is one or more drills to be written down. It does not change, and many
// goroutines may use it at once. The zero value has no parts and no bars.
type Score struct {
	o        Options
	drills   []*drill.Drill
	passages [][][]passage // by part, then by drill; none where there is one clef
	staves   []int         // by part
}

// New returns the score of the drills, one after another. The error is a
// *fault.ValueError if there is no drill, one is nil, or [drill.Sequence] does
// not let them follow each other.
func New(drills []*drill.Drill, o Options) (*Score, error) {
	if len(drills) == 0 {
		return nil, &fault.ValueError{Setting: "score", Want: "a score has at least one drill"}
	}
	if err := drill.Sequence(drills...); err != nil {
		return nil, err
	}
	s := &Score{o: o, drills: slices.Clone(drills)}
	for part := range s.Parts() {
		all, n := staves(s.drills, part)
		s.passages, s.staves = append(s.passages, all), append(s.staves, n)
	}
	return s, nil
}

// Staves returns how many staves a part is written on: two where its instrument
// is written on a grand staff and the part needs both, otherwise one. It is 0
// for a part that the score has not.
func (s *Score) Staves(p drill.Part) int {
	if p.Index() >= len(s.staves) {
		return 0
	}
	return s.staves[p.Index()]
}

// Options returns the options of the score.
func (s *Score) Options() Options { return s.o }

// Parts returns the parts of the score, as the first drill has them. The other
// drills have the same, but for their ranges.
func (s *Score) Parts() []drill.Part {
	if len(s.drills) == 0 {
		return nil
	}
	return s.drills[0].Parts()
}

// Bars returns the number of bars, the same for every part.
func (s *Score) Bars() int {
	n := 0
	for _, d := range s.drills {
		n += d.Bars()
	}
	return n
}

// A Barline is the line at the end of a bar.
type Barline uint8

// The barlines.
const (
	BarlineSingle Barline = iota // between two bars of a section
	BarlineDouble                // the end of a section, before the bar of the next one's pickup where nothing else is in it
	BarlineFinal                 // the end of a drill
)

// String returns the barline's name: "single", "double", "final".
func (b Barline) String() string { return enum.Text(b, "Barline", barlines()) }

// A Seam says what a barline lies between: what a page would part that breaks
// there. A statement that the part rests in begins, and is then a rest.
type Seam uint8

// The seams, from the best one to break at to the worst.
const (
	SeamStatements Seam = iota // two statements, of which one begins in the bar; and the beginning of a drill
	SeamRest                   // a statement and more of the rest after it
	SeamPickup                 // a pickup and its downbeat
	SeamStatement              // two parts of a statement
)

// String returns the seam's name: "statements", "rest", "pickup", "statement".
func (s Seam) String() string { return enum.Text(s, "Seam", seams()) }

// A Bar is a bar of one part.
type Bar struct {
	Number int // from 1, through the whole score
	Meter  drill.Meter
	// Opens says that a drill begins here: meter and tempo are shown, and
	// Title, which is the drill's own and empty in all other bars.
	Opens bool
	Title string
	Tempo int // in beats a minute, as Meter.Counted counts them
	// Section is the number of the section that begins here, from 1 in each
	// drill, or 0 where none does. SectionOnset is where it begins, from the
	// beginning of the bar, with its pickup.
	Section      int
	SectionOnset figure.Length
	// Signature is the key signature, sharps positive, flats negative;
	// NewSignature says that it changes here.
	Signature    int
	NewSignature bool
	// Clef is the clef of the staff that the symbols stand on, NewClef says that
	// the part changes to it here, which it does between statements only. Staff
	// is 1 for the lower staff of two, the other one resting meanwhile, and
	// otherwise 0.
	Clef    drill.Clef
	NewClef bool
	Staff   int
	// Seam says what lies on the two sides of the barline before the bar.
	Seam    Seam
	Symbols []Symbol // one after another, from the beginning of the bar to its end
	Labels  []Label  // in the order of their onsets
	End     Barline
}

// A Symbol is a note, notes that sound together, or a rest.
type Symbol struct {
	Onset  figure.Length // from the beginning of the bar
	Length figure.Length
	Value  Value
	Notes  []Note // lowest on the staff first; none for a rest
	// FullBar says that it is a rest for the whole bar, which is written as a
	// whole rest in every meter: its Value is that, its Length the bar's.
	FullBar bool
	// Triplet says where the symbol stands in a group of a triplet.
	Triplet Group
	// Marks are the slurs that begin, go on and end with the symbol, and its accent.
	// Of tied noteheads the first has the accent and the beginning of a slur, the
	// last its end (common practice, no source).
	Marks drill.Marks
	// Beams are the symbol's beams, from that of eighths, which lies farthest
	// from the notehead, to that of 128ths.
	Beams [5]Beam
}

// A Note is a notehead.
type Note struct {
	Note spelling.Note // as the part reads it
	// Accidental says what stands before it.
	Accidental Accidental
	// TieIn and TieOut say that it is tied from the notehead before and to the
	// next.
	TieIn, TieOut bool
	// Statement is the Index of its drill.Statement, Index that of its
	// figure.Event: all noteheads of a note, tied to each other, have the same.
	Statement, Index int
}

// An Accidental says whether a note's accidental is written.
type Accidental uint8

// What can stand before a notehead. Which sign it is follows from the note.
const (
	AccidentalHidden     Accidental = iota // nothing
	AccidentalShown                        // the note's accidental
	AccidentalCautionary                   // the accidental as a reminder
)

// String returns the accidental's name: "hidden", "shown", "cautionary".
func (a Accidental) String() string { return enum.Text(a, "Accidental", accidentals()) }

// A Group says where in a group of symbols, such as a triplet, one stands.
type Group uint8

// The places in a group, which has at least two symbols.
const (
	GroupOutside Group = iota // in no group
	GroupBegins
	GroupInside
	GroupEnds
)

// String returns the group's name: "outside", "begins", "inside", "ends".
func (g Group) String() string { return enum.Text(g, "Group", groups()) }

// A Beam is the state of one beam at a symbol.
//
// Beams show the beats, dotted ones too. Plain eighths that fill a half of a bar
// in 4/4 or 2/2, or all of a bar in 2/4 or 3/4, have one beam; a half that
// holds anything else is beamed by quarters. No beam crosses the middle of a
// bar of four, and none joins notes of a triplet to others. (Two open courses
// and a theory handbook agree; 2/2 and triplets of less than a beat are common
// practice, no source.)
type Beam uint8

// The states of a beam.
const (
	BeamNone         Beam = iota // no beam
	BeamBegins                   // it goes to the next symbol
	BeamGoesOn                   // from the one before to the next
	BeamEnds                     // from the one before
	BeamHookForward              // a short beam to the right
	BeamHookBackward             // a short beam to the left
)

// String returns the beam's name: "none", "begins", "goes on", "ends", "hook
// forward", "hook backward".
func (b Beam) String() string { return enum.Text(b, "Beam", beams()) }

// A Value is a written note value. The zero value is none.
type Value struct {
	Base    uint8 // 1 for a whole note, 2 for a half, 4, 8, 16, 32, 64 or 128
	Dots    uint8 // 0, or 1, which makes it half as long again
	Triplet bool  // three of them take the time of two
}

// Flags returns how many flags or beams the value has: 0 for a quarter and
// longer, 1 for an eighth, 5 for a 128th.
func (v Value) Flags() int {
	n := 0
	for b := v.Base; b > 4; b /= 2 {
		n++
	}
	return n
}

// A LabelKind says what a label is.
type LabelKind uint8

// The kinds of labels.
const (
	LabelKindKey     LabelKind = iota // the key of a statement, Name
	LabelKindReturn                   // the first key of a section again, Name
	LabelKindRest                     // a key that the part leaves out, Name
	LabelKindChord                    // a chord symbol, of root Name and suffix Text
	LabelKindChanges                  // the key of a statement that has chords, Name, which is not one of them
)

// String returns the kind's name: "key", "return", "rest", "chord", "changes".
func (k LabelKind) String() string { return enum.Text(k, "LabelKind", labelKinds()) }

// A Label stands over the staff.
type Label struct {
	Onset figure.Length // from the beginning of the bar
	Kind  LabelKind
	Name  spelling.Name // as the part reads it: the key's tonic, the chord's root
	Text  string        // a chord's suffix as figure.ChordEvent has it, otherwise empty
}

// String returns the label as it is written: "E♭", "back to C", "C (rest)",
// "Fm7", "in E♭".
func (l Label) String() string { return l.In(spelling.LanguageEnglish) }

// In returns the label with its key named in a language: "Es", "back to do". A
// chord is the same in all of them.
func (l Label) In(language spelling.Language) string {
	name := language.Name(l.Name)
	switch l.Kind {
	case LabelKindReturn:
		return "back to " + name
	case LabelKindRest:
		return name + " (rest)"
	case LabelKindChanges:
		return "in " + name
	case LabelKindChord:
		return l.Name.String() + l.Text
	}
	return name
}

func barlines() []string    { return []string{"single", "double", "final"} }
func accidentals() []string { return []string{"hidden", "shown", "cautionary"} }
func groups() []string      { return []string{"outside", "begins", "inside", "ends"} }
func beams() []string {
	return []string{"none", "begins", "goes on", "ends", "hook forward", "hook backward"}
}
func seams() []string      { return []string{"statements", "rest", "pickup", "statement"} }
func labelKinds() []string { return []string{"key", "return", "rest", "chord", "changes"} }

// signature returns the key signature for a scale on a tonic, 7 sharps or flats
// at most: of the modes and of the minor scales their own, otherwise the one that
// leaves the fewest notes of the scale altered, the nearest to its own of several.
func signature(scale figure.Scale, tonic spelling.Name) int {
	own := max(-7, min(7, int(scale.Key(tonic).Signature)))
	if scale == figure.HarmonicMinor || scale == figure.MelodicMinor {
		return own
	}
	altered := func(signature int) (n int) {
		for i := range scale.Set().Intervals() {
			if note := tonic.Up(i); note.Alteration() != (spelling.Key{Signature: int8(signature)}).Alteration(note.Letter()) {
				n++
			}
		}
		return n
	}
	best, least := own, altered(own)
	for s := -7; s <= 7; s++ {
		far := max(s-own, own-s)
		if n := altered(s); n < least || n == least && far < max(best-own, own-best) {
			best, least = s, n
		}
	}
	return best
}

// Rests reports whether the bar is a rest of the part and nothing else is to be
// said in it, so that it can be one rest with those beside it.
func (b *Bar) Rests() bool {
	return len(b.Symbols) == 1 && b.Symbols[0].FullBar && len(b.Labels) == 0 && b.Section == 0 && !b.Opens && !b.NewSignature && !b.NewClef
}

// A System says which bars stand in one system of a part's layout, by their
// numbers, and on which page it stands, from 1. The rests at the end of a drill
// may stand in none.
type System struct{ First, Last, Page int }
