package figure_test

import (
	"testing"

	"example.com/keyorder/cycle"
	. "example.com/keyorder/figure"
	"example.com/keyorder/pitch"
	"example.com/keyorder/spelling"
	"pgregory.net/rapid"
)

// TestLawBySignature: in every common scale, whatever names the player prefers,
// the twelve keys come with ever more sharps or flats, flats first.
func TestLawBySignature(t *testing.T) {
	var scales []Scale
	for s := range CommonScales() {
		scales = append(scales, s)
	}
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.SampledFrom(scales).Draw(t, "scale")
		prefer := rapid.SliceOfN(rapid.Map(rapid.IntRange(-8, 12), func(n int) spelling.Name { return spelling.Name(n) }), 0, 4).Draw(t, "prefer")
		names := s.Tonics(prefer...)
		o := s.BySignature(prefer...)
		last := 0
		for n, k := range o {
			signature := int(s.Key(names[k]).Signature)
			signs := max(signature, -signature)
			if n > 0 && (signs < max(last, -last) || signature == -last && last > 0) {
				t.Fatalf("%v: %v after a signature of %d: %v", s, names[k], last, o)
			}
			last = signature
		}
	})
	if got, want := Major.BySignature(), cycle.BySignature().Keys(); got != want {
		t.Errorf("major %v, want %v", got, want)
	}
	for scale, first := range map[Scale]pitch.Class{NaturalMinor: 9, HarmonicMinor: 9, Dorian: 2, Mixolydian: 7, Lydian: 5, Phrygian: 4} {
		if got, want := scale.BySignature(), cycle.BySignature().From(first).Keys(); got != want {
			t.Errorf("%v %v, want %v", scale, got, want)
		}
	}
}

// TestLawKeyOfAMode: the signature of a mode of the major scale alters the notes
// of the scale and no others.
func TestLawKeyOfAMode(t *testing.T) {
	for _, s := range []Scale{Major, Dorian, Phrygian, Lydian, Mixolydian, NaturalMinor, Locrian} {
		for tonic := spelling.Name(-7); tonic <= 7; tonic++ {
			key := s.Key(tonic)
			for i := range s.Set().Intervals() {
				if n := tonic.Up(i); key.Alteration(n.Letter()) != n.Alteration() {
					t.Errorf("%v %v has %v, and its key %+v", tonic, s, n, key)
				}
			}
		}
	}
	for scale, want := range map[Scale]int8{MinorBlues: -3, MelodicMinor: -3, HarmonicMajor: 0, WholeTone: 0, BebopMajor: 0} {
		if got := scale.Key(0); got != (spelling.Key{Signature: want}) {
			t.Errorf("%v: %+v", scale, got)
		}
	}
}

// TestKeyOfOtherScales: a scale that is no mode of the major scale has the
// signature of minor where it has a minor third and no major one, and else that of
// major.
func TestKeyOfOtherScales(t *testing.T) {
	for text, want := range map[string]string{
		"1 b2 b3 5 b6": "C, 3 flats", "1 b3 4 b5 5 b7": "C, 3 flats", "1 2 4 5": "C, 0 sharps", "1 b3 3 5": "C, 0 sharps", "1 b2 3 4 5 b6 7": "C, 0 sharps",
		"1 b2 4": "C, 0 sharps",
	} {
		key := MustParseScale(text).Key(0)
		if wanted := spelling.MustParseKey(want); key != wanted {
			t.Errorf("%s in C is written in %v, want %v", text, key, wanted)
		}
	}
}
