package figure

import (
	"cmp"
	"slices"

	"example.com/keyorder/cycle"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/spelling"
)

// Key returns the key on a tonic with the signature that music in the scale is
// written with: for the modes of the major scale that of the major scale with
// the same notes, for others that of minor if they have a minor third and no
// major one, and that of major if not.
func (s Scale) Key(tonic spelling.Name) spelling.Key {
	places := 0 // of the major tonic from the mode's, on the line of fifths
	switch s {
	case Lydian:
		places = 1
	case Mixolydian:
		places = -1
	case Dorian:
		places = -2
	case Phrygian:
		places = -4
	case Locrian:
		places = -5
	default:
		above := s.intervals()
		if slices.Contains(above, interval.MinorThird) && !slices.Contains(above, interval.MajorThird) {
			places = -3
		}
	}
	return spelling.Key{Tonic: tonic, Signature: spelling.Major(tonic + spelling.Name(places)).Signature}
}

// BySignature returns the twelve keys of the scale by the number of sharps or
// flats in their signatures (see Key), flats before sharps where two have as
// many, from the key with the fewest: from C for major, A for minor, D for
// dorian. The names in prefer go before those that Tonics gives.
func (s Scale) BySignature(prefer ...spelling.Name) cycle.Order {
	var keys []pitch.Class
	signs := func(k pitch.Class) int { return int(s.Key(s.Tonics(prefer...)[k]).Signature) }
	for k := range pitch.Class(12) {
		keys = append(keys, k)
	}
	slices.SortStableFunc(keys, func(a, b pitch.Class) int {
		m, n := signs(a), signs(b)
		return cmp.Or(cmp.Compare(max(m, -m), max(n, -n)), cmp.Compare(m, n))
	})
	o, _ := cycle.Of(keys...) // the twelve, each once
	return o
}
