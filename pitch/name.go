package pitch

// The twelve classes as bits, so that the table below reads as the trade writes
// chords and scales.
const (
	n0 Set = 1 << iota
	n1
	n2
	n3
	n4
	n5
	n6
	n7
	n8
	n9
	nT
	nE
)

// names are the names in common use, each with one of its sets, from the root
// or tonic where it has one. No two are transpositions of each other. Where the
// trade has several names for one set the most general is chosen: the seven
// modes of the major scale are diatonic. Common practice, no source, but for
// the scales, which are those of package figure, and the modes of limited
// transposition, which are numbered as Messiaen 1944 does (from memory; the
// tests count their transpositions).
var names = [...]struct {
	set  Set
	name string
}{
	{n0 | n6, "tritone"},

	{n0 | n1 | n2, "chromatic trichord"},
	{n0 | n4 | n7, "major triad"},
	{n0 | n3 | n7, "minor triad"},
	{n0 | n3 | n6, "diminished triad"},
	{n0 | n4 | n8, "augmented triad"},
	{n0 | n5 | n7, "suspended fourth"},

	{n0 | n1 | n2 | n3, "chromatic tetrachord"},
	{n0 | n2 | n4 | n5, "major tetrachord"},
	{n0 | n2 | n3 | n5, "minor tetrachord"},
	{n0 | n1 | n3 | n5, "phrygian tetrachord"},
	{n0 | n1 | n4 | n5, "harmonic tetrachord"},
	{n0 | n2 | n4 | n6, "whole-tone tetrachord"},
	{n0 | n1 | n4 | n6, "all-interval tetrachord"},
	{n0 | n2 | n5 | n6, "all-interval tetrachord"},
	{n0 | n1 | n3 | n7, "all-interval tetrachord"},
	{n0 | n4 | n6 | n7, "all-interval tetrachord"},
	{n0 | n4 | n7 | nE, "major seventh chord"},
	{n0 | n4 | n7 | nT, "dominant seventh chord"},
	{n0 | n3 | n7 | nT, "minor seventh chord"}, // of its third, a major sixth chord
	{n0 | n3 | n7 | nE, "minor-major seventh chord"},
	{n0 | n3 | n6 | nT, "half-diminished seventh chord"}, // of its third, a minor sixth chord
	{n0 | n3 | n6 | n9, "diminished seventh chord"},
	{n0 | n4 | n8 | nE, "augmented major seventh chord"},
	{n0 | n4 | n8 | nT, "augmented seventh chord"},
	{n0 | n4 | n6 | nT, "French sixth"}, // also a dominant seventh with a flat fifth
	{n0 | n5 | n7 | nT, "suspended seventh chord"},
	{n0 | n2 | n4 | n7, "major added ninth chord"},
	{n0 | n2 | n3 | n7, "minor added ninth chord"},

	{n0 | n1 | n2 | n3 | n4, "chromatic pentachord"},
	{n0 | n2 | n4 | n7 | n9, "pentatonic"},
	{n0 | n2 | n4 | n7 | nE, "major ninth chord"},
	{n0 | n2 | n4 | n7 | nT, "dominant ninth chord"},
	{n0 | n2 | n3 | n7 | nT, "minor ninth chord"},
	{n0 | n1 | n4 | n7 | nT, "dominant seventh flat ninth chord"},
	{n0 | n3 | n4 | n7 | nT, "dominant seventh sharp ninth chord"},

	{n0 | n1 | n2 | n3 | n4 | n5, "chromatic hexachord"},
	{n0 | n2 | n4 | n5 | n7 | n9, "diatonic hexachord"},
	{n0 | n2 | n4 | n6 | n8 | nT, "whole-tone"}, // the first mode of limited transposition
	{n0 | n1 | n4 | n5 | n8 | n9, "hexatonic"},
	{n0 | n3 | n5 | n6 | n7 | nT, "blues"},
	{n0 | n1 | n5 | n6 | n7 | nE, "fifth mode of limited transposition"},

	{n0 | n2 | n4 | n5 | n7 | n9 | nE, "diatonic"},
	{n0 | n2 | n3 | n5 | n7 | n9 | nE, "melodic minor"},
	{n0 | n2 | n3 | n5 | n7 | n8 | nE, "harmonic minor"},
	{n0 | n2 | n4 | n5 | n7 | n8 | nE, "harmonic major"},

	{n0 | n1 | n3 | n4 | n6 | n7 | n9 | nT, "octatonic"}, // the second
	{n0 | n2 | n4 | n5 | n7 | n9 | nT | nE, "bebop dominant"},
	{n0 | n2 | n4 | n5 | n7 | n8 | n9 | nE, "bebop major"},
	{n0 | n1 | n2 | n5 | n6 | n7 | n8 | nE, "fourth mode of limited transposition"},
	{n0 | n2 | n4 | n5 | n6 | n8 | nT | nE, "sixth mode of limited transposition"},

	{n0 | n2 | n3 | n4 | n6 | n7 | n8 | nT | nE, "third mode of limited transposition"},
	{n0 | n1 | n2 | n3 | n5 | n6 | n7 | n8 | n9 | nE, "seventh mode of limited transposition"},
	{Aggregate, "chromatic"},
}

// Name returns what the trade calls the set and its transpositions, as "minor
// triad", "octatonic" or "diatonic", or no text where it has no name in common
// use. Chords and scales with the same notes share one: a minor seventh chord
// is also the sixth chord of the major key above it, and the diatonic
// collection has seven modes.
func (s Set) Name() string {
	_, form := s.normal()
	for k := range names {
		if n := &names[k]; n.set.Len() == s.Len() {
			if _, f := n.set.normal(); f == form {
				return n.name
			}
		}
	}
	return ""
}
