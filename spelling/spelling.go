// Package spelling writes pitches with letters and accidentals, and keeps the
// writing right when they are transposed.
//
// A [Note] is a written note such as E♭4. It lies on the grid of intervals:
// letter steps and semitones above C−1, key number 0. A [Name] is a note with
// its octave forgotten; all names lie on one line, the line of fifths, … B♭ F C
// G D A E B F♯ …, with C as 0. A note can also forget its letter, and is then a
// key number, a [pitch.Number]. Both ways lead to one pitch class:
//
//	            Note  (steps, semitones)        E♭4
//	          /                          \
//	Name = 7·semitones − 12·steps         Number = semitones
//	         −3                             63
//	          \                          /
//	           Class = 7·Name mod 12       3
//
// Up and Down move a note or a name by an interval, To gives the interval
// between two. Since all of it is adding, E♭ up a major third is G and D♯ up a
// major third is F𝄪, with no table of exceptions. A [Policy] can make the
// result easier to read, at the price of its letter. A [Key] is a tonic with a
// signature.
//
// Notes, names and keys print with ♭ and ♯; the text that is stored has b and #.
// [Parse], [ParseName] and [ParseKey] read both; a [Language] names notes and keys
// as German, French, Italian or Spanish do. The errors are those of package
// fault.
package spelling

import (
	"iter"

	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
)

// A Letter is one of the seven note letters, in the order C D E F G A B. The
// zero value is C. Methods take a letter above B modulo seven.
type Letter uint8

// The seven letters.
const (
	LetterC Letter = iota
	LetterD
	LetterE
	LetterF
	LetterG
	LetterA
	LetterB
)

// String returns the letter.
func (l Letter) String() string { k := l % 7; return "CDEFGAB"[k : k+1] }

// A Name is the name of a note without its octave, such as E♭, as its place on
// the line of fifths: F is −1, C 0, G 1, E♭ −3, F♯ 6. The zero value is C.
// Names compare with ==, and E♭ and D♯ are different.
//
// Every int16 is a name; the text forms hold for names with up to seven flats
// or sharps. Source of the line of fifths and its arithmetic: Temperley 2001,
// Brinkman 1986.
type Name int16

// NameOf returns the name with a letter and an alteration in semitones: −1 for
// a flat, 1 for a sharp, 2 for a double sharp.
func NameOf(l Letter, alteration int) Name {
	return Name([7]int8{0, 2, 4, -1, 1, 3, 5}[l%7]) + Name(7*alteration)
}

// Letter returns the name's letter.
func (n Name) Letter() Letter { return Letter(mod(4*int(n), 7)) }

// Alteration returns the semitones by which the name's accidentals raise
// (positive) or lower (negative) its letter.
func (n Name) Alteration() int { return floorDiv(int(n)+1, 7) }

// Class returns the pitch class, which forgets the spelling.
func (n Name) Class() pitch.Class { return pitch.Class(mod(7*int(n), 12)) }

// Up returns the name an interval above.
func (n Name) Up(i interval.Interval) Name { return n + Name(i.Fifths()) }

// Down returns the name an interval below.
func (n Name) Down(i interval.Interval) Name { return n - Name(i.Fifths()) }

// To returns the interval from n up to the nearest place above it that has the
// name m, by letter: a second to a seventh, or a unison, which may be
// augmented or diminished. n.Up(n.To(m)) is m.
func (n Name) To(m Name) interval.Interval {
	q := int(m) - int(n)
	steps := mod(4*q, 7)
	return interval.Of(steps, (q+12*steps)/7)
}

// In returns the note with this name in an octave of scientific pitch
// notation, in which octave 4 begins at middle C. The letter decides: B♯3
// sounds as C4 does.
func (n Name) In(octave int) Note {
	// Above C lies what is so many fifths and letters up: see Fifths of Interval.
	l := int(n.Letter())
	return Note(interval.Of(l, (int(n)+12*l)/7) + interval.Octave.Times(octave+1))
}

// A Note is a written note with its octave, such as E♭4: the interval from C−1
// up to it. The zero value is C−1. Notes compare with ==, and E♭4 and D♯4 are
// different. The text forms hold for octaves −99 to 99 and up to seven flats
// or sharps.
type Note int32

// Name returns the note's name, which forgets the octave.
func (n Note) Name() Name { return Name(interval.Interval(n).Fifths()) }

// Number returns the note's key number, which forgets the letter.
func (n Note) Number() pitch.Number { return pitch.Number(int16(n)) }

// Octave returns the octave of scientific pitch notation that the note is
// written in: 4 for C♭4, though it sounds as B3 does.
func (n Note) Octave() int { return floorDiv(n.steps(), 7) - 1 }

// Letter returns the note's letter.
func (n Note) Letter() Letter { return Letter(mod(n.steps(), 7)) }

// Alteration returns the semitones by which the note's accidentals raise
// (positive) or lower (negative) its letter.
func (n Note) Alteration() int { return n.Name().Alteration() }

// Up returns the note an interval above. It keeps the interval's letters as
// well as its semitones.
func (n Note) Up(i interval.Interval) Note { return n + Note(i) }

// Down returns the note an interval below.
func (n Note) Down(i interval.Interval) Note { return n - Note(i) }

// To returns the interval from n to m, negative if m is written lower.
// n.Up(n.To(m)) is m.
func (n Note) To(m Note) interval.Interval { return interval.Interval(m - n) }

func (n Note) steps() int { return interval.Interval(n).Steps() }

// A Policy says how far spelling gives way to easy reading. Respelling changes
// letters and never the pitch class or the key number. Its methods respell a
// name or a note that stands alone; package figure, which knows scales and
// chords, says what becomes of the notes of a figure. Its text is usual,
// strict, easy or easy white keys.
type Policy uint8

const (
	// PolicyUsual is strict but under a chord whose root is no everyday name, as
	// B𝄫7, and in scales that players name by a chord's root, as the minor blues,
	// where double accidentals, C♭ and F♭ are read as plain notes. It is the zero
	// value, and strict for what stands alone.
	PolicyUsual Policy = iota
	// PolicyStrict keeps one letter for each scale degree, double accidentals
	// included. It is what transposition gives.
	PolicyStrict
	// PolicyEasy respells double accidentals (and wider ones): B𝄫 as A, F𝄪 as G.
	// Under a chord symbol the chord and its notes move as a whole, if they
	// move.
	PolicyEasy
	// PolicyEasyWhiteKeys is Easy and then respells C♭, F♭, E♯ and B♯ as well, under
	// chords too.
	PolicyEasyWhiteKeys
)

// Name returns a name that stands alone, respelled as the policy says.
func (p Policy) Name(n Name) Name { return n + 12*Name(p.turns(n)) }

// Note returns a note that stands alone, respelled as the policy says.
func (p Policy) Note(n Note) Note {
	return n - Note(interval.DiminishedSecond.Times(p.turns(n.Name())))
}

// turns returns how many enharmonic turns of twelve fifths up bring the name
// into the part of the line that the policy reads.
func (p Policy) turns(n Name) int {
	low, high := NameOf(LetterF, -1), NameOf(LetterB, 1) // the single accidentals
	switch p {
	case PolicyEasy:
	case PolicyEasyWhiteKeys:
		low, high = NameOf(LetterG, -1), NameOf(LetterA, 1)
	default:
		return 0
	}
	switch {
	case n < low:
		return (int(low) - int(n) + 11) / 12
	case n > high:
		return -((int(n) - int(high) + 11) / 12)
	}
	return 0
}

// A Key is a tonic with a key signature. The zero value is C with no sharps
// and no flats, C major.
type Key struct {
	Tonic Name
	// Signature is the number of sharps, or if negative of flats; more than
	// seven are not usually written.
	Signature int8
}

// Major returns the major key on a tonic. Its signature is the tonic's place
// on the line of fifths, or the nearest that a Signature holds.
func Major(tonic Name) Key { return Key{tonic, clampInt8(int(tonic))} }

// Minor returns the minor key on a tonic, with the signature of the major key
// three places lower on the line of fifths.
func Minor(tonic Name) Key { return Key{tonic, clampInt8(int(tonic) - 3)} }

// IsMajor reports whether the signature is that of the major key on the tonic.
func (k Key) IsMajor() bool { return k == Major(k.Tonic) }

// IsMinor reports whether the signature is that of the minor key on the tonic.
func (k Key) IsMinor() bool { return k == Minor(k.Tonic) }

// Alteration returns what the signature does to a letter, in semitones: −1 for
// B under one flat or more, 1 for F under one sharp or more.
func (k Key) Alteration(l Letter) int {
	// The seven names of the key stand on the line of fifths from the one
	// below the signature's major tonic to the fifth one above it.
	return floorDiv(int(k.Signature)+5-int(NameOf(l, 0)), 7)
}

// Accidentals yields the notes that the signature alters, in the order in
// which signatures are written: F♯ C♯ G♯ … or B♭ E♭ A♭ …. Of more than seven
// sharps or flats, which are not usually written, the later stand for the
// earlier ones on their letters: G♯ major, with eight sharps, has C♯ G♯ D♯ A♯ E♯
// B♯ F𝄪.
func (k Key) Accidentals() iter.Seq[Name] {
	return func(yield func(Name) bool) {
		n := int(k.Signature)
		for i := max(0, n-7); i < n; i++ {
			if !yield(NameOf(LetterF, 1) + Name(i)) {
				return
			}
		}
		for i := max(0, -n-7); i < -n; i++ {
			if !yield(NameOf(LetterB, -1) - Name(i)) {
				return
			}
		}
	}
}

func clampInt8(n int) int8 { return int8(max(-128, min(127, n))) }

func mod(n, m int) int { return (n%m + m) % m }

func floorDiv(n, m int) int { return (n - mod(n, m)) / m }
