// Package interval is the algebra of musical intervals.
//
// An interval is the distance between two written notes. It has two
// coordinates: how many letters it moves (C to E is two steps) and how many
// semitones it sounds (C to E is four). Its usual number counts both ends: two
// steps are a third. A major third is (2, 4), a diminished fourth (3, 4): they
// sound alike and are written differently, and that is why one number is not
// enough.
//
// An [Interval] packs both coordinates into one integer, so intervals add,
// subtract and compare with Go's own operators, as durations do:
//
//	interval.MajorThird + interval.MinorThird == interval.PerfectFifth
//	interval.Octave - interval.MinorThird     == interval.MajorSixth
//	-2 * interval.MajorSecond                 // down a major third
//
// Everything else in this module is built on that: transposing a written note
// is one addition, which keeps the spelling right in every key.
//
// Intervals are written and read as m3, P4 or -A9, see [Parse], and put in words
// as "minor third", see [Interval.Name] and [Interval.Motion]. A [Quality] is
// what stands before the number. The errors are those of package fault.
//
// A [Set] is a scale or the quality of a chord: intervals above a root, with
// their octaves forgotten and their letters kept.
package interval

import (
	"cmp"
	"fmt"

	"example.com/keyorder/pitch/fault"
)

// An Interval is a musical interval, upward if positive and downward if
// negative. The zero value is the perfect unison.
//
// Its value is steps·2¹⁶ + semitones, so that +, - and multiplication by a
// whole number act on letter steps and semitones at once. Arithmetic wraps as
// it does for a time.Duration. The text forms hold for interval numbers up to
// 99 and up to seven-fold augmented or diminished.
//
// A bare integer constant is an interval too, of so many semitones on one
// letter: Interval(3) is a triply augmented unison, not a third. Write
// MinorThird.
type Interval int32

// unit is the value of one letter step.
const unit = 1 << 16

// The intervals up to two octaves by their usual names. Source of the sizes:
// the textbooks named in testdata/intervals.tsv, against which every one of
// them is tested.
const (
	PerfectUnison    Interval = 0*unit + 0
	AugmentedUnison  Interval = 0*unit + 1 // the chromatic semitone
	DiminishedSecond Interval = 1*unit + 0 // the enharmonic change, as C♯ to D♭
	MinorSecond      Interval = 1*unit + 1 // the diatonic semitone
	MajorSecond      Interval = 1*unit + 2
	AugmentedSecond  Interval = 1*unit + 3
	DiminishedThird  Interval = 2*unit + 2
	MinorThird       Interval = 2*unit + 3
	MajorThird       Interval = 2*unit + 4
	AugmentedThird   Interval = 2*unit + 5
	DiminishedFourth Interval = 3*unit + 4
	PerfectFourth    Interval = 3*unit + 5
	AugmentedFourth  Interval = 3*unit + 6
	DiminishedFifth  Interval = 4*unit + 6
	PerfectFifth     Interval = 4*unit + 7
	AugmentedFifth   Interval = 4*unit + 8
	DiminishedSixth  Interval = 5*unit + 7
	MinorSixth       Interval = 5*unit + 8
	MajorSixth       Interval = 5*unit + 9
	AugmentedSixth   Interval = 5*unit + 10

	DiminishedSeventh Interval = 6*unit + 9
	MinorSeventh      Interval = 6*unit + 10
	MajorSeventh      Interval = 6*unit + 11
	AugmentedSeventh  Interval = 6*unit + 12
	DiminishedOctave  Interval = 7*unit + 11
	Octave            Interval = 7*unit + 12 // the perfect octave
	AugmentedOctave   Interval = 7*unit + 13

	DiminishedNinth      = Octave + DiminishedSecond
	MinorNinth           = Octave + MinorSecond
	MajorNinth           = Octave + MajorSecond
	AugmentedNinth       = Octave + AugmentedSecond
	DiminishedTenth      = Octave + DiminishedThird
	MinorTenth           = Octave + MinorThird
	MajorTenth           = Octave + MajorThird
	AugmentedTenth       = Octave + AugmentedThird
	DiminishedEleventh   = Octave + DiminishedFourth
	PerfectEleventh      = Octave + PerfectFourth
	AugmentedEleventh    = Octave + AugmentedFourth
	DiminishedTwelfth    = Octave + DiminishedFifth
	PerfectTwelfth       = Octave + PerfectFifth
	AugmentedTwelfth     = Octave + AugmentedFifth
	DiminishedThirteenth = Octave + DiminishedSixth
	MinorThirteenth      = Octave + MinorSixth
	MajorThirteenth      = Octave + MajorSixth
	AugmentedThirteenth  = Octave + AugmentedSixth
	DiminishedFourteenth = Octave + DiminishedSeventh
	MinorFourteenth      = Octave + MinorSeventh
	MajorFourteenth      = Octave + MajorSeventh
	AugmentedFourteenth  = Octave + AugmentedSeventh
	DiminishedFifteenth  = Octave + DiminishedOctave
	DoubleOctave         = Octave + Octave // the perfect fifteenth
	AugmentedFifteenth   = Octave + AugmentedOctave
)

// Of returns the interval that moves so many letter steps and sounds so many
// semitones, both upward if positive. Both are taken modulo 2¹⁶, as arithmetic
// on an Interval wraps.
func Of(steps, semitones int) Interval {
	return Interval(int32(steps)*unit + int32(int16(semitones)))
}

// Semitones returns the number of semitones, negative for a downward interval
// (and for a diminished second narrowed once more, which is written upward and
// sounds downward).
func (i Interval) Semitones() int { return int(int16(i)) }

// Steps returns the number of letter steps: 2 for any third up, −2 for any
// third down, 0 for a unison.
func (i Interval) Steps() int { return int((int32(i) - int32(int16(i))) >> 16) }

// Number returns the interval number as textbooks count it, both ends
// included: 1 for a unison, 3 for a third, 8 for an octave. It has no sign.
func (i Interval) Number() int { return abs(i.Steps()) + 1 }

// Sign returns −1 for a downward interval, 1 for an upward one and 0 for the
// perfect unison: the sign of the letter steps, or of the semitones where
// there are no steps.
func (i Interval) Sign() int {
	if d := i.Steps(); d != 0 {
		return sign(d)
	}
	return sign(i.Semitones())
}

// Abs returns the interval taken upward.
func (i Interval) Abs() Interval { return i.Times(i.Sign()) }

// Times returns the interval added to itself n times. It is for a variable n;
// with a constant, write 2*interval.MajorSecond.
func (i Interval) Times(n int) Interval { return i * Interval(n) }

// Quality returns the quality: perfect, major, minor, or augmented or
// diminished so many times.
func (i Interval) Quality() Quality {
	steps := i.Steps() * i.Sign() // not those of Abs, which may wrap
	return qualityOf(steps, i.Semitones()*i.Sign()-natural(steps))
}

// Octaves returns the whole octaves that Simple takes away, with the sign of
// the interval: 1 for a tenth, 0 for a third and for a plain octave, −1 for a
// tenth down.
func (i Interval) Octaves() int {
	d := i.Steps()
	return sign(d) * ((abs(d) - 1) / 7)
}

// Simple returns the simple part of a compound interval: a third for a tenth,
// in the same direction. An octave is simple, so an octave and a double octave
// both give an octave. Simple plus Octaves octaves is the interval again.
func (i Interval) Simple() Interval { return i - Octave.Times(i.Octaves()) }

// Inversion returns what makes an octave with the interval, Octave − i: a sixth
// for a third. For an interval wider than an octave textbooks mean the inversion
// of its simple part, i.Simple().Inversion(). Inverting twice gives the interval
// back.
func (i Interval) Inversion() Interval { return Octave - i }

// IntervalClass returns the interval class, 0 to 6: the semitones to the nearest
// octave or unison. An interval, its negative, its inversion and its compounds
// share one class.
func (i Interval) IntervalClass() int {
	s := mod12(i.Semitones())
	return min(s, 12-s)
}

// Fifths returns how far the interval moves along the line of fifths: 1 for a
// perfect fifth up or a fourth down, −3 for a minor third up, 0 for octaves.
// It is 7·semitones − 12·steps.
func (i Interval) Fifths() int { return 7*i.Semitones() - 12*i.Steps() }

// natural returns the semitones of the perfect or major interval of so many
// steps upward.
func natural(steps int) int {
	return 12*(steps/7) + int([7]int8{0, 2, 4, 5, 7, 9, 11}[steps%7])
}

// isPerfect reports whether intervals of so many steps upward are unisons,
// fourths, fifths or their compounds.
func isPerfect(steps int) bool {
	return 1<<(steps%7)&(1<<0|1<<3|1<<4) != 0
}

// A Quality is the quality of an interval. The zero value is perfect.
//
// Negating a quality gives that of the inversion: Minor is −Major, and n-fold
// diminished is −(n-fold augmented). Doubly augmented is Augmented+1, triply
// augmented Augmented+2, doubly diminished Diminished−1.
type Quality int16

// The five common qualities.
const (
	Diminished Quality = -2
	Minor      Quality = -1
	Perfect    Quality = 0
	Major      Quality = 1
	Augmented  Quality = 2
)

// qualityOf returns the quality of an interval that is alter semitones wider
// than the perfect or major one of its steps.
func qualityOf(steps, alter int) Quality {
	switch perfect := isPerfect(steps); {
	case alter > 0:
		return Augmented + Quality(alter-1)
	case perfect && alter == 0:
		return Perfect
	case perfect:
		return Diminished + Quality(alter+1)
	case alter == 0:
		return Major
	}
	return Minor + Quality(alter+1) // minor, then diminished
}

// alteration is the inverse of qualityOf; ok is false where an interval of so
// many steps cannot have the quality, as a fifth cannot be major.
func (q Quality) alteration(steps int) (alter int, ok bool) {
	switch {
	case q >= Augmented:
		return int(q-Augmented) + 1, true
	case q <= Diminished && isPerfect(steps):
		return int(q-Diminished) - 1, true
	case q <= Diminished:
		return int(q-Diminished) - 2, true
	case q == Perfect:
		return 0, isPerfect(steps)
	case q == Major:
		return 0, !isPerfect(steps)
	}
	return -1, !isPerfect(steps) // minor
}

// times returns how many times augmented or diminished, 1 for the others.
func (q Quality) times() int {
	return max(int(q)-int(Augmented), int(Diminished)-int(q), 0) + 1
}

// String returns the quality in words: "perfect", "minor", "doubly
// augmented"; beyond triply, "4-fold diminished".
func (q Quality) String() string {
	name, n := "augmented", q.times()
	switch {
	case q == Perfect:
		return "perfect"
	case q == Major:
		return "major"
	case q == Minor:
		return "minor"
	case q < 0:
		name = "diminished"
	}
	switch n {
	case 1:
		return name
	case 2:
		return "doubly " + name
	case 3:
		return "triply " + name
	}
	return fmt.Sprintf("%d-fold %s", n, name)
}

// New returns the interval with a quality and a number, as New(Minor, 3) for a
// minor third. A negative number goes down. The error, a *fault.ValueError, says
// which qualities the number can have.
func New(q Quality, number int) (Interval, error) {
	refuse := func(want string) (Interval, error) {
		return 0, &fault.ValueError{Setting: "interval", Value: fmt.Sprintf("%v %d", q, number), Want: want}
	}
	steps := abs(number) - 1
	if steps < 0 || steps >= maxNumber {
		return refuse("an interval number goes from 1 to 99 (or −1 to −99 downward)")
	}
	alter, ok := q.alteration(steps)
	if !ok || q.times() > maxAlter {
		return refuse(wantQuality(steps))
	}
	return Of(steps, natural(steps)+alter).Times(sign(number)), nil
}

// wantQuality says which qualities an interval of so many steps can have.
func wantQuality(steps int) string {
	n := steps + 1
	if isPerfect(steps) {
		return fmt.Sprintf("write P%d, A%d or d%d (up to seven A or d)", n, n, n)
	}
	return fmt.Sprintf("write m%d, M%d, A%d or d%d (up to seven A or d)", n, n, n, n)
}

func mod12(n int) int { return (n%12 + 12) % 12 }

func abs(n int) int { return max(n, -n) }

func sign(n int) int { return cmp.Compare(n, 0) }
