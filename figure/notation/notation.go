// Package notation writes drills down: bars of notes and rests, with their
// note values, ties, beams, accidentals and labels, ready to be engraved.
//
// A [Score] holds one or more drills, one after another, and yields the bars of
// each part, one staff a part. In a [Bar] every note and rest is a [Symbol] with
// a written value: lengths that no single value has are tied, nothing crosses a
// barline, the middle of a bar is hidden by syncopations only, triplets are
// found by themselves. Accidentals are those that a reader needs: once in a bar,
// and cautionary ones in another octave or in the bar after.
//
// Over each statement stands its key and, where the figure has them, its
// chords, over its first statement the number of a section, pickup included; a
// double barline ends each section, a final one each order. Package
// musicxml writes a score as a file, package staff draws it.
package notation

import (
	"slices"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
)

// Options say how drills are written.
type Options struct {
	Title string
	// Swing marks the score to be played with swung eighths; they are written
	// straight.
	Swing bool
	// Signatures writes a key signature for each key in place of accidentals,
	// where the downbeat of a statement is a bar's; from the first bar on, the
	// first statement's.
	Signatures bool
}

// A Score is one or more drills to be written down. It may be used by many
// goroutines at once. The zero value has no parts and no bars.
type Score struct {
	o      Options
	drills []*drill.Drill
}

// New returns the score of the drills, one after another, as drill.Sequence
// allows. The error is a *fault.ValueError.
func New(drills []*drill.Drill, o Options) (*Score, error) {
	if len(drills) == 0 {
		return nil, &fault.ValueError{Setting: "score", Want: "a score has at least one drill"}
	}
	if err := drill.Sequence(drills...); err != nil {
		return nil, err
	}
	return &Score{o, slices.Clone(drills)}, nil
}

// Options returns the options of the score.
func (s *Score) Options() Options { return s.o }

// Parts returns the parts of the score, as the first drill has them.
func (s *Score) Parts() []drill.Part {
	if len(s.drills) == 0 {
		return nil
	}
	return s.drills[0].Parts()
}

// Bars returns the number of bars.
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
	BarlineSingle Barline = iota
	BarlineDouble         // the end of a section, before the bar of the next one's pickup where nothing else is in it
	BarlineFinal          // the end of an order
)

// A Bar is a bar of one part.
type Bar struct {
	Number int // from 1, through the whole score
	Meter  drill.Meter
	// Opens says that an order begins here, whose name is Title: the meter
	// and the tempo, in beats a minute as Meter.Counted counts them, are shown.
	Opens bool
	Title string
	Tempo int
	// Section is the number of the section that begins here, from 1 in each
	// order, or 0; SectionOnset is where in the bar, with its pickup.
	Section      int
	SectionOnset figure.Length
	// Signature is the key signature, sharps positive, flats negative;
	// NewSignature says that it changes here.
	Signature    int
	NewSignature bool
	Symbols      []Symbol // fill the bar exactly
	Labels       []Label  // in time
	End          Barline
}

// A Symbol is a note, notes that sound together, or a rest.
type Symbol struct {
	Onset  figure.Length // from the beginning of the bar
	Length figure.Length
	Value  Value
	Notes  []Note // lowest on the staff first; none for a rest
	// FullBar says that it is the rest of a whole bar, whatever the meter.
	FullBar bool
	// Triplet says where the symbol stands in a group of a triplet.
	Triplet Group
	// Beams are the symbol's beams, from the one farthest from the notehead.
	Beams [5]Beam
}

// A Note is a notehead.
type Note struct {
	Note spelling.Note
	// Accidental says what stands before it.
	Accidental Accidental
	// TieIn and TieOut say that it is tied from the one before and to the next.
	TieIn, TieOut bool
	// Statement and Index say which statement of its drill and which note of
	// the figure it is.
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

// A Group says where in a group of symbols one stands.
type Group uint8

// The places in a group.
const (
	GroupOutside Group = iota
	GroupBegins
	GroupInside
	GroupEnds
)

// A Beam is the state of one beam at a symbol.
type Beam uint8

// The states of a beam.
const (
	BeamNone Beam = iota
	BeamBegins
	BeamGoesOn
	BeamEnds
	BeamHookForward  // a short beam to the right
	BeamHookBackward // a short beam to the left
)

// A Value is a written note value: Base 1 for a whole note, 2 for a half, down
// to 128, dotted or not, or as part of a triplet, where three take the time of
// two.
type Value struct {
	Base    uint8
	Dots    uint8
	Triplet bool
}

// Flags returns how many flags or beams the value has: 1 for an eighth.
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
	LabelKindKey    LabelKind = iota // the key of a statement, Name
	LabelKindReturn                  // the first key of a section again, Name
	LabelKindRest                    // a key that the part leaves out, Name
	LabelKindChord                   // a chord symbol, of root Name and suffix Text
)

// A Label stands over the staff.
type Label struct {
	Onset figure.Length // from the beginning of the bar
	Kind  LabelKind
	Name  spelling.Name
	Text  string
}

// String returns the label as it is written: "E♭", "back to C", "C (rest)",
// "Fm7".
func (l Label) String() string {
	switch l.Kind {
	case LabelKindReturn:
		return "back to " + l.Name.String()
	case LabelKindRest:
		return l.Name.String() + " (rest)"
	}
	return l.Name.String() + l.Text
}

// signature returns the key signature for a scale on a tonic, 7 sharps or flats
// at most.
func signature(scale figure.Scale, tonic spelling.Name) int {
	return max(-7, min(7, int(scale.Key(tonic).Signature)))
}
