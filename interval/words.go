package interval

import (
	"fmt"
	"strings"
)

// Usual returns the interval by which so many semitones are commonly written: a
// fourth for 5, a minor third down for −3, an octave and a major second for 14.
// Six are an augmented fourth. The letters are those of common practice, no
// source; where a context gives them, take it instead.
func Usual(semitones int) Interval {
	simple := [...]Interval{
		PerfectUnison, MinorSecond, MajorSecond, MinorThird, MajorThird, PerfectFourth, AugmentedFourth,
		PerfectFifth, MinorSixth, MajorSixth, MinorSeventh, MajorSeventh,
	}[abs(semitones%12)]
	return Octave.Times(semitones/12) + simple.Times(sign(semitones))
}

// Name returns the interval in the textbook's words, without its direction:
// "minor third", "fourth", "augmented ninth". A perfect interval goes without
// the word perfect, a minor second is a half step, a major one a whole step,
// and six semitones on a fourth or a fifth are a tritone. Beyond the fifteenth
// the number is in figures: "major 17th". For the plural add an s. An interval
// without a text form, see [Interval.String], has no words either, and shows
// its two integers.
//
// Source: the names in testdata/intervals.tsv; half step, whole step and
// tritone are common practice, no source.
func (i Interval) Name() string {
	if _, err := i.AppendText(nil); err != nil {
		return i.String()
	}
	switch i.Abs() {
	case MinorSecond:
		return "half step"
	case MajorSecond:
		return "whole step"
	case AugmentedFourth, DiminishedFifth:
		return "tritone"
	case DoubleOctave:
		return "double octave"
	}
	name := ordinal(i.Number())
	if q := i.Quality(); q != Perfect {
		name = q.String() + " " + name
	}
	return name
}

// Motion returns the interval in words with its direction, as what a melody does
// from one note to the next: "up a minor third", "down an octave", "up 2 octaves
// and a whole step", and "the same note" for a perfect unison. What is wider
// than an octave is told as octaves and the rest. An interval without a text
// form shows its two integers.
func (i Interval) Motion() string {
	if _, err := i.AppendText(nil); err != nil {
		return i.String()
	}
	direction := "up "
	switch i.Sign() {
	case 0:
		return "the same note"
	case -1:
		direction = "down "
	}
	octaves, rest := i.Abs().Octaves(), i.Abs().Simple()
	if rest == Octave {
		octaves, rest = octaves+1, PerfectUnison
	}
	var parts []string
	switch octaves {
	case 0:
	case 1:
		parts = append(parts, "an octave")
	default:
		parts = append(parts, fmt.Sprintf("%d octaves", octaves))
	}
	if rest != PerfectUnison {
		parts = append(parts, article(rest.Name()))
	}
	return direction + strings.Join(parts, " and ")
}

// article returns a name with a or an before it.
func article(name string) string {
	if strings.ContainsRune("aeio", rune(name[0])) {
		return "an " + name
	}
	return "a " + name // a unison too
}

// ordinal returns the word for an interval number.
func ordinal(number int) string {
	words := [...]string{
		"unison", "second", "third", "fourth", "fifth", "sixth", "seventh", "octave", "ninth", "tenth",
		"eleventh", "twelfth", "thirteenth", "fourteenth", "fifteenth",
	}
	if number <= len(words) {
		return words[number-1]
	}
	ending := "th"
	switch number % 10 {
	case 1:
		ending = "st"
	case 2:
		ending = "nd"
	case 3:
		ending = "rd"
	}
	return fmt.Sprintf("%d%s", number, ending)
}
