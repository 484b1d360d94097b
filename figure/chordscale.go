package figure

import (
	"iter"

	"example.com/keyorder/interval"
)

// ScalesHolding yields the scales with a constant that hold a chord on their
// tonic by its sound, in the order of [CommonScales], and with each whether it
// holds the chord by its letters too: whether the quality is a subset of
// [Scale.Set]. Usage goes by sound: the half-whole octatonic has a lowered third
// and no raised second, and stands beside 7(♯9).
func ScalesHolding(quality interval.Set) iter.Seq2[Scale, bool] {
	sounds := quality.PitchSet()
	return func(yield func(Scale, bool) bool) {
		for k := range commonScales {
			set := commonScales[k].scale.Set()
			if set.PitchSet()&sounds == sounds && !yield(commonScales[k].scale, quality.SubsetOf(set)) {
				return
			}
		}
	}
}

// UsualScale returns the scale that usage sets beside a chord of the quality
// first, where usage has one: dorian for m7, mixolydian for 7. Common practice in
// teaching, not a rule; the sources stand in testdata/chord-scales.tsv, whose
// first row for each chord this is. They set altered beside 7alt, which is the
// quality of 7(♯5,♯9).
func UsualScale(quality interval.Set) (s Scale, ok bool) {
	q := Scale(quality)
	for _, u := range usualScales {
		if u.chord == q {
			return u.scale, true
		}
	}
	return Major, false
}

// usualScales are the first rows of testdata/chord-scales.tsv, the chords as
// their members in the octave.
var usualScales = [...]struct{ chord, scale Scale }{
	{n1 | n3 | n5, Major},
	{n1 | n3 | n5 | n6, Major},                         // 6
	{n1 | n3 | n5 | n6 | n2, Major},                    // 6/9
	{n1 | n3 | n5 | n7, Major},                         // maj7
	{n1 | n3 | n5 | n7 | n2, Major},                    // maj9
	{n1 | n3 | n5 | n7 | s4, Lydian},                   // maj7(#11)
	{n1 | n3 | n5 | n7 | n2 | s4, Lydian},              // maj9(#11)
	{n1 | n3 | n5 | n7 | n2 | s4 | n6, Lydian},         // maj13(#11)
	{n1 | n3 | b5 | n7, Lydian},                        // maj7(b5)
	{n1 | n3 | s5 | n7, LydianAugmented},               // maj7(#5)
	{n1 | b3 | n5, Dorian},                             // m
	{n1 | b3 | n5 | n6, Dorian},                        // m6
	{n1 | b3 | n5 | n6 | n2, Dorian},                   // m6/9
	{n1 | b3 | n5 | b7, Dorian},                        // m7
	{n1 | b3 | n5 | b7 | n2, Dorian},                   // m9
	{n1 | b3 | n5 | b7 | n2 | n4, Dorian},              // m11
	{n1 | b3 | n5 | b7 | n2 | n4 | n6, Dorian},         // m13
	{n1 | b3 | s5 | b7, NaturalMinor},                  // m7(#5)
	{n1 | b3 | n5 | n7, MelodicMinor},                  // m(maj7)
	{n1 | b3 | n5 | n7 | n2, MelodicMinor},             // m(maj9)
	{n1 | b3 | b5 | b7, Locrian},                       // m7(b5)
	{n1 | b3 | b5 | b7 | n2, LocrianSharp2},            // m9(b5)
	{n1 | b3 | b5 | b7 | n2 | n4, LocrianSharp2},       // m11(b5)
	{n1 | b3 | b5 | bb7, OctatonicWholeHalf},           // dim7
	{n1 | b3 | b5, OctatonicWholeHalf},                 // dim
	{n1 | b3 | b5 | n7, OctatonicWholeHalf},            // dim(maj7)
	{n1 | n3 | n5 | b7, Mixolydian},                    // 7
	{n1 | n3 | n5 | b7 | n2, Mixolydian},               // 9
	{n1 | n3 | n5 | b7 | n2 | n6, Mixolydian},          // 13
	{n1 | n4 | n5 | b7, Mixolydian},                    // 7sus4
	{n1 | n4 | n5 | b7 | n2, Mixolydian},               // 9sus4
	{n1 | n4 | n5 | b7 | n2 | n6, Mixolydian},          // 13sus4
	{n1 | n4 | n5, Mixolydian},                         // sus4
	{n1 | n4 | n5 | b7 | b2, Phrygian},                 // 7sus(b9)
	{n1 | n4 | n5 | b7 | b2 | n6, DorianFlat2},         // 13sus(b9)
	{n1 | n3 | n5 | b7 | s4, LydianDominant},           // 7(#11)
	{n1 | n3 | n5 | b7 | n2 | s4, LydianDominant},      // 9(#11)
	{n1 | n3 | n5 | b7 | n2 | s4 | n6, LydianDominant}, // 13(#11)
	{n1 | n3 | b5 | b7, WholeTone},                     // 7(b5)
	{n1 | n3 | s5 | b7, WholeTone},                     // +7
	{n1 | n3 | n5 | b7 | b6, MixolydianFlat6},          // 7(b13)
	{n1 | n3 | n5 | b7 | b2, OctatonicHalfWhole},       // 7(b9)
	{n1 | n3 | n5 | b7 | s2, OctatonicHalfWhole},       // 7(#9)
	{n1 | n3 | b5 | b7 | b2, OctatonicHalfWhole},       // 7(b5,b9)
	{n1 | n3 | s5 | b7 | s2, Altered},                  // 7(#5,#9), 7alt
	{n1 | n3 | s5 | b7 | b2, Altered},                  // 7(#5,b9)
	{n1 | n3 | b5 | b7 | s2, Altered},                  // 7(b5,#9)
	{n1 | n3 | n5 | b7 | s2 | s4, OctatonicHalfWhole},  // 7(#9,#11)
	{n1 | n3 | n5 | b7 | b2 | n6, OctatonicHalfWhole},  // 13(b9)
}

// Mode returns the scale that begins on the nth note of the scale, counted from
// 1 upward, and goes through the same notes: the second of major is dorian. It
// has the letters of the scale, or, where no name belongs to those, the letters
// of the named scale that sounds so, if there is one. ok is false where there is
// no such note, or where the mode has no name and no letters for a Scale.
func (s Scale) Mode(n int) (mode Scale, ok bool) {
	set := s.Set()
	for i := range set.Intervals() {
		if n--; n != 0 {
			continue
		}
		if letters, within := set.Shift(-i); within {
			var err error
			mode, err = ScaleOf(letters)
			for c := range named {
				if err == nil && c.scale == mode {
					return mode, true
				}
			}
			ok = err == nil
		}
		sounds := set.PitchSet().T(-i.Semitones())
		for c := range named {
			if c.scale.Set().PitchSet() == sounds {
				return c.scale, true
			}
		}
		return mode, ok
	}
	return Major, false
}
