package figure

import (
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
)

// A Scale is a set of intervals above a tonic, within an octave: 1 2 b3 4 5 6 b7
// for dorian. Scales compare with ==. The zero value is the major scale.
//
// The constants are the scales in common use; [ParseScale] reads them by name
// and any other by its degrees, [ScaleOf] makes one of an [interval.Set]. The
// number of a Scale is its set with the members of the major scale turned over
// (exclusive or), so that no number but 0 is the major scale. A number that is
// no scale has no notes to rely on: [New] and MarshalText refuse it.
type Scale uint32

// The bits of the degrees that the common scales use, as [interval.Set] has
// them: from the tonic one bit up for each fifth, so that a flat is seven bits
// down.
const (
	n1                     = Scale(interval.Root)
	n2, n3, n4, n5, n6, n7 = n1 << 2, n1 << 4, n1 >> 1, n1 << 1, n1 << 3, n1 << 5
	b2, b3, b4, b5, b6, b7 = n2 >> 7, n3 >> 7, n4 >> 7, n5 >> 7, n6 >> 7, n7 >> 7
	s2, s4, s5, bb7        = n2 << 7, n4 << 7, n5 << 7, b7 >> 7

	// major is what a Scale's bits are the difference from.
	major = n1 | n2 | n3 | n4 | n5 | n6 | n7
)

// The scales in common use, under the names that textbooks use; [ParseScale] knows
// their second names too. Source: the textbooks named in testdata/scales.tsv,
// against which every one is tested, but for Altered: it is spelled as the
// altered dominant chord is, with the chord's third and both ninths (common
// practice, no source), and sounds as SuperLocrian, which has a letter for each
// degree as the textbooks print it. The last four are from memory: of bebop dorian
// there are other forms, and chromatic has its raised fourth and the other degrees
// lowered.
const (
	Major         Scale = 0 // ionian
	Dorian              = (n1 | n2 | b3 | n4 | n5 | n6 | b7) ^ major
	Phrygian            = (n1 | b2 | b3 | n4 | n5 | b6 | b7) ^ major
	Lydian              = (n1 | n2 | n3 | s4 | n5 | n6 | n7) ^ major
	Mixolydian          = (n1 | n2 | n3 | n4 | n5 | n6 | b7) ^ major
	NaturalMinor        = (n1 | n2 | b3 | n4 | n5 | b6 | b7) ^ major // aeolian
	Locrian             = (n1 | b2 | b3 | n4 | b5 | b6 | b7) ^ major
	HarmonicMinor       = (n1 | n2 | b3 | n4 | n5 | b6 | n7) ^ major
	MelodicMinor        = (n1 | n2 | b3 | n4 | n5 | n6 | n7) ^ major // ascending

	DorianFlat2           = (n1 | b2 | b3 | n4 | n5 | n6 | b7) ^ major
	LydianAugmented       = (n1 | n2 | n3 | s4 | s5 | n6 | n7) ^ major
	LydianDominant        = (n1 | n2 | n3 | s4 | n5 | n6 | b7) ^ major
	MixolydianFlat6       = (n1 | n2 | n3 | n4 | n5 | b6 | b7) ^ major
	LocrianSharp2         = (n1 | n2 | b3 | n4 | b5 | b6 | b7) ^ major
	SuperLocrian          = (n1 | b2 | b3 | b4 | b5 | b6 | b7) ^ major
	Altered               = (n1 | b2 | s2 | n3 | s4 | s5 | b7) ^ major
	PhrygianDominant      = (n1 | b2 | n3 | n4 | n5 | b6 | b7) ^ major
	HarmonicMajor         = (n1 | n2 | n3 | n4 | n5 | b6 | n7) ^ major
	MajorPentatonic       = (n1 | n2 | n3 | n5 | n6) ^ major
	MinorPentatonic       = (n1 | b3 | n4 | n5 | b7) ^ major
	MinorBlues            = (n1 | b3 | n4 | b5 | n5 | b7) ^ major
	WholeTone             = (n1 | n2 | n3 | s4 | s5 | b7) ^ major
	OctatonicHalfWhole    = (n1 | b2 | b3 | n3 | s4 | n5 | n6 | b7) ^ major
	OctatonicWholeHalf    = (n1 | n2 | b3 | n4 | s4 | s5 | n6 | n7) ^ major
	AugmentedHexatonic3_1 = (n1 | s2 | n3 | n5 | s5 | n7) ^ major
	AugmentedHexatonic1_3 = (n1 | b2 | n3 | n4 | s5 | n6) ^ major
	BebopDominant         = (n1 | n2 | n3 | n4 | n5 | n6 | b7 | n7) ^ major
	BebopMajor            = (n1 | n2 | n3 | n4 | n5 | s5 | n6 | n7) ^ major
	BebopDorian           = (n1 | n2 | b3 | n3 | n4 | n5 | n6 | b7) ^ major
	DoubleHarmonic        = (n1 | b2 | n3 | n4 | n5 | b6 | n7) ^ major
	HungarianMinor        = (n1 | n2 | b3 | s4 | n5 | b6 | n7) ^ major
	Chromatic             = (n1 | b2 | n2 | b3 | n3 | n4 | s4 | n5 | b6 | n6 | b7 | n7) ^ major
)

// Set returns the intervals of the scale above its tonic. Its Intervals are the
// notes upward, its Len is their number; moved down by one of them it is the mode
// that begins there.
func (s Scale) Set() interval.Set { return interval.Set(s ^ major) }

// ScaleOf returns the scale with the given intervals above its tonic. The perfect
// unison is one of them, no other has the letter of the tonic, and no two sound
// the same. Otherwise the error is a *fault.ValueError.
func ScaleOf(set interval.Set) (Scale, error) {
	if want := refusal(set); want != "" {
		return Major, &fault.ValueError{Setting: "scale", Value: set.String(), Want: want}
	}
	return Scale(set) ^ major, nil
}

// What a set of intervals lacks to be a scale.
const (
	wantTonic    = "a scale has its tonic, 1"
	wantInOctave = "the degrees of a scale lie from its tonic, a plain 1, to below the octave"
	wantOnce     = "a scale has each sound once"
)

// refusal says why a set is no scale, or nothing where it is one.
func refusal(set interval.Set) string {
	switch unison := set.Has; {
	case !unison(above(0, 0)):
		return wantTonic
	case unison(above(0, -2)), unison(above(0, -1)), unison(above(0, 1)), unison(above(0, 2)):
		return wantInOctave
	case set.PitchSet().Len() < set.Len():
		return wantOnce
	}
	return ""
}

// above returns the interval from a tonic to what stands so many letters above
// it, altered by so many semitones against the major scale. To state a degree
// against the major scale is to name a note of C major with its accidental.
func above(step, alteration int) interval.Interval {
	octave := floorDiv(step, 7)
	letter := spelling.Letter(step - 7*octave)
	return spelling.Note(0).To(spelling.NameOf(letter, alteration).In(octave - 1)) // 0 is C−1
}

// alterationOf returns what an interval above a tonic adds to the major scale, in
// semitones.
func alterationOf(i interval.Interval) int { return spelling.Note(0).Up(i).Alteration() }

// bare returns the alteration of a bare number in the scale: none if the scale
// has the plain form, or else its only form there. Of the two seconds of the
// altered scale a plain 2 is the lower, as chord symbols take b9 before #9.
func (s Scale) bare(step int) (alteration int, ok bool) {
	set := s.Set()
	if s == Altered && set.Has(above(step, -1)) && set.Has(above(step, 1)) {
		return -1, true
	}
	return plainForm(set, 0, step)
}

// plainForm returns the alteration of a number that counts from a root, an interval
// above a set's own: none if the set has the plain form, or else its only form
// there.
func plainForm(set interval.Set, root interval.Interval, step int) (alteration int, ok bool) {
	if set.Has(root + above(step, 0)) {
		return 0, true
	}
	forms := 0
	for a := -2; a <= 2; a++ {
		if set.Has(root + above(step, a)) {
			forms++
			alteration = a
		}
	}
	return alteration, forms == 1
}

func floorDiv(a, b int) int {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}
