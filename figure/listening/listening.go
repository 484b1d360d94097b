// Package listening hears what was played and holds it against what was asked.
//
// A [Tracker] takes samples as they come and gives the pitch every 5 ms; an [Ear]
// makes [Note] values of that. A [Judge] knows a line and a part of it: it is
// told the notes, from an Ear or from the keys of a keyboard, and gives a [Say]
// on each statement once it is over: clean, or which notes were wrong, missing,
// extra, early or late, or unclear where it could not be heard well enough. What
// was said is never changed later. [Offset] finds where a whole take begins.
// [Idea] makes a figure of notes that were played to a count.
//
// An octave off is right, and told; intonation is told and not charged; where
// notes end is not judged. The delay of the sound and the drift of its clock are
// learned. The methods are published ones (McLeod & Wyvill 2005; de Cheveigné &
// Kawahara 2002), the code is this module's own. No recording of a human player
// could be had to try it: it was tried with sampled instruments.
//
// Sound never leaves this package, and none of it is kept.
package listening

import (
	"math"
	"time"

	"example.com/keyorder/figure/internal/enum"
	"example.com/keyorder/pitch"
)

// A Strictness says what is charged. The zero value is StrictnessRhythm. Its
// text is rhythm, notes or strict.
type Strictness uint8

// The degrees of strictness.
const (
	StrictnessRhythm Strictness = iota // notes, and their onsets within a third of the figure's shortest note, at least 60 and at most 120 ms
	StrictnessNotes                    // the notes and their order only
	StrictnessStrict                   // notes, and their onsets within half of that
)

// A Verdict is what is said of a statement. Its text is not played, clean, not
// clean or unclear.
type Verdict uint8

// The verdicts.
const (
	VerdictNotPlayed Verdict = iota // nothing was heard: it is not judged
	VerdictClean                    // all of it was right
	VerdictNotClean                 // something was wrong
	VerdictUnclear                  // it could not be heard well enough: not charged, not counted as clean
)

// A Kind is a kind of fault. Its text is wrong, missing, extra, early, late or
// key.
type Kind uint8

// The kinds of faults.
const (
	KindWrong   Kind = iota // another note
	KindMissing             // no note
	KindExtra               // a note that is none of the figure
	KindEarly
	KindLate
	KindKey // all of the statement in another key
)

func strictnesses() []string { return []string{"rhythm", "notes", "strict"} }
func verdicts() []string     { return []string{"not played", "clean", "not clean", "unclear"} }
func kinds() []string        { return []string{"wrong", "missing", "extra", "early", "late", "key"} }

// A Fault is one thing that was wrong in a statement.
type Fault struct {
	Kind Kind
	// Note is which note of the figure it is, from 0; of an extra note the one
	// before it, −1 where it came before the first; −1 for KindKey.
	Note int
	// Heard is the key that was heard instead, for KindWrong and KindExtra.
	Heard pitch.Number
	// By is how much later than due the note came, for KindEarly and KindLate;
	// negative if early.
	By time.Duration
	// Semitones is how far above the right key the statement was played, −5 to
	// 6, for KindKey.
	Semitones int
}

// A Heard is a note of a statement that was right or nearly so, as it was heard.
type Heard struct {
	Note    int           // of the figure, from 0
	By      time.Duration // later than due, the learned delay left out
	Cents   float64       // above the tempered pitch
	Octaves int           // above the octave that was asked for
}

// A Say is what is said of a statement.
type Say struct {
	Turn      int // of the line
	Drill     int // of the line, from 0
	Statement int // of the drill, from 0
	Verdict   Verdict
	Faults    []Fault // in the order of the notes
	Notes     []Heard // the notes that were played in time or not, in the right key
	// Drag is how much later the notes came at the end of a bar than at its
	// beginning, as far as a statement tells: negative if the player rushed.
	Drag time.Duration
	// Delay is by how much all notes came later than due, as learned so far.
	Delay time.Duration
}

// String returns the text.
func (s Strictness) String() string { return enum.Text(s, "Strictness", strictnesses()) }

// AppendText implements encoding.TextAppender; see MarshalText.
func (s Strictness) AppendText(b []byte) ([]byte, error) {
	return enum.Append(b, s, "Strictness", strictnesses())
}

// MarshalText implements encoding.TextMarshaler; see String. A value that is
// none of the constants is a *fault.ValueError.
func (s Strictness) MarshalText() ([]byte, error) { return s.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler, in any case. The error is a
// *fault.SyntaxError.
func (s *Strictness) UnmarshalText(text []byte) error {
	return enum.Set(s, text, "Strictness", strictnesses())
}

// String returns the verdict's text.
func (v Verdict) String() string { return enum.Text(v, "Verdict", verdicts()) }

// AppendText implements encoding.TextAppender; see MarshalText.
func (v Verdict) AppendText(b []byte) ([]byte, error) {
	return enum.Append(b, v, "Verdict", verdicts())
}

// MarshalText implements encoding.TextMarshaler; see String. A value that is
// none of the constants is a *fault.ValueError.
func (v Verdict) MarshalText() ([]byte, error) { return v.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler, in any case. The error is a
// *fault.SyntaxError.
func (v *Verdict) UnmarshalText(text []byte) error { return enum.Set(v, text, "Verdict", verdicts()) }

// String returns the kind's text.
func (k Kind) String() string { return enum.Text(k, "Kind", kinds()) }

// AppendText implements encoding.TextAppender; see MarshalText.
func (k Kind) AppendText(b []byte) ([]byte, error) { return enum.Append(b, k, "Kind", kinds()) }

// MarshalText implements encoding.TextMarshaler; see String. A value that is
// none of the constants is a *fault.ValueError.
func (k Kind) MarshalText() ([]byte, error) { return k.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler, in any case. The error is a
// *fault.SyntaxError.
func (k *Kind) UnmarshalText(text []byte) error { return enum.Set(k, text, "Kind", kinds()) }

// NoteOf returns the note of a key that was pressed, with a velocity of 1 to 127.
func NoteOf(key pitch.Number, velocity uint8, on, off time.Duration) Note {
	return Note{On: on, Off: off, Cents: 100 * float64(key), Level: 40 * math.Log10(float64(max(velocity, 1))/127), Sure: 1, end: off}
}
