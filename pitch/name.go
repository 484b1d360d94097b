package pitch

import "sync"

// The twelve classes as bits, so that the table below reads as theory texts
// write chords and scales.
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

const rooted, rootless = true, false

// names are the names in common use, each with one of its sets, from the root
// or tonic where it has one. No two are transpositions of each other. Where the
// trade has several names for one set the most general is chosen: the seven
// modes of the major scale are diatonic. Common practice, no source, but for
// the scales, which are those of package figure. A mode of limited transposition
// is what its name says: it has fewer than twelve. Rooted names stand on one of
// the notes: a minor seventh chord has a root and melodic minor a tonic, while
// octatonic and diatonic name the notes alone.
var names = [...]struct {
	set  Set
	name string
	root bool
}{
	{n0 | n6, "tritone", rootless},

	{n0 | n1 | n2, "chromatic trichord", rootless},
	{n0 | n4 | n7, "major triad", rooted},
	{n0 | n3 | n7, "minor triad", rooted},
	{n0 | n3 | n6, "diminished triad", rooted},
	{n0 | n4 | n8, "augmented triad", rooted},
	{n0 | n5 | n7, "suspended fourth", rooted},

	{n0 | n1 | n2 | n3, "chromatic tetrachord", rootless},
	{n0 | n2 | n4 | n5, "major tetrachord", rooted},
	{n0 | n2 | n3 | n5, "minor tetrachord", rooted},
	{n0 | n1 | n3 | n5, "phrygian tetrachord", rooted},
	{n0 | n1 | n4 | n5, "harmonic tetrachord", rooted},
	{n0 | n2 | n4 | n6, "whole-tone tetrachord", rootless},
	{n0 | n1 | n4 | n6, "all-interval tetrachord", rootless},
	{n0 | n2 | n5 | n6, "all-interval tetrachord", rootless},
	{n0 | n1 | n3 | n7, "all-interval tetrachord", rootless},
	{n0 | n4 | n6 | n7, "all-interval tetrachord", rootless},
	{n0 | n4 | n7 | nE, "major seventh chord", rooted},
	{n0 | n4 | n7 | nT, "dominant seventh chord", rooted},
	{n0 | n3 | n7 | nT, "minor seventh chord", rooted}, // of its third, a major sixth chord
	{n0 | n3 | n7 | nE, "minor-major seventh chord", rooted},
	{n0 | n3 | n6 | nT, "half-diminished seventh chord", rooted}, // of its third, a minor sixth chord
	{n0 | n3 | n6 | n9, "diminished seventh chord", rooted},
	{n0 | n4 | n8 | nE, "augmented major seventh chord", rooted},
	{n0 | n4 | n8 | nT, "augmented seventh chord", rooted},
	{n0 | n4 | n6 | nT, "French sixth", rooted}, // also a dominant seventh with a flat fifth
	{n0 | n5 | n7 | nT, "suspended seventh chord", rooted},
	{n0 | n2 | n4 | n7, "major added ninth chord", rooted},
	{n0 | n2 | n3 | n7, "minor added ninth chord", rooted},

	{n0 | n1 | n2 | n3 | n4, "chromatic pentachord", rootless},
	{n0 | n2 | n4 | n7 | n9, "pentatonic", rootless},
	{n0 | n2 | n4 | n7 | nE, "major ninth chord", rooted},
	{n0 | n2 | n4 | n7 | nT, "dominant ninth chord", rooted},
	{n0 | n2 | n3 | n7 | nT, "minor ninth chord", rooted},
	{n0 | n1 | n4 | n7 | nT, "dominant seventh flat ninth chord", rooted},
	{n0 | n3 | n4 | n7 | nT, "dominant seventh sharp ninth chord", rooted},

	{n0 | n1 | n2 | n3 | n4 | n5, "chromatic hexachord", rootless},
	{n0 | n2 | n4 | n5 | n7 | n9, "diatonic hexachord", rootless},
	{n0 | n2 | n4 | n6 | n8 | nT, "whole-tone", rootless},
	{n0 | n1 | n4 | n5 | n8 | n9, "hexatonic", rootless},
	{n0 | n3 | n5 | n6 | n7 | nT, "blues", rooted},
	{n0 | n1 | n5 | n6 | n7 | nE, "mode of limited transposition", rootless},

	{n0 | n2 | n4 | n5 | n7 | n9 | nE, "diatonic", rootless},
	{n0 | n2 | n3 | n5 | n7 | n9 | nE, "melodic minor", rooted},
	{n0 | n2 | n3 | n5 | n7 | n8 | nE, "harmonic minor", rooted},
	{n0 | n2 | n4 | n5 | n7 | n8 | nE, "harmonic major", rooted},

	{n0 | n1 | n3 | n4 | n6 | n7 | n9 | nT, "octatonic", rootless},
	{n0 | n2 | n4 | n5 | n7 | n9 | nT | nE, "bebop dominant", rooted},
	{n0 | n2 | n4 | n5 | n7 | n8 | n9 | nE, "bebop major", rooted},
	{n0 | n1 | n2 | n5 | n6 | n7 | n8 | nE, "mode of limited transposition", rootless},
	{n0 | n2 | n4 | n5 | n6 | n8 | nT | nE, "mode of limited transposition", rootless},

	{n0 | n2 | n3 | n4 | n6 | n7 | n8 | nT | nE, "mode of limited transposition", rootless},
	{n0 | n1 | n2 | n3 | n5 | n6 | n7 | n8 | n9 | nE, "mode of limited transposition", rootless},
	{Aggregate, "chromatic", rootless},
}

// Name returns a name in common use for the set and its transpositions, as
// "minor triad", "octatonic" or "diatonic", or no text where it is not in the
// list here, which holds no intervals but the tritone and no chords of more
// than five notes. Chords and scales with the same notes share a name: a minor
// seventh chord is also the sixth chord of the major key above it, and the
// diatonic collection has seven modes. Roots tells on which notes it stands.
func (s Set) Name() string {
	k, _ := s.named()
	if k < 0 {
		return ""
	}
	return names[k].name
}

// Roots returns the classes on which the set has its Name: 9 for 0479, which
// has the notes of the minor seventh chord on 9 and not of one on 0. A
// symmetrical chord has several. It is empty where the set has no name here, or
// one that speaks of no root, as octatonic.
func (s Set) Roots() Set {
	k, first := s.named()
	if k < 0 || !names[k].root {
		return 0
	}
	from, _ := names[k].set.normal()
	return s.TSymmetry().T(int(first) - int(from))
}

// named returns the place of the set's name in the table, or −1, and the class
// on which its normal order begins.
func (s Set) named() (k int, first Class) {
	first, form := s.normal()
	if k, ok := nameOf()[form]; ok {
		return k, first
	}
	return -1, first
}

// nameOf returns the places of the names in the table by what their normal order
// is, begun on 0. The list is made once.
var nameOf = sync.OnceValue(func() map[Set]int {
	all := make(map[Set]int, len(names))
	for k, n := range names {
		_, form := n.set.normal()
		all[form] = k
	}
	return all
})
