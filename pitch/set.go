package pitch

import (
	"iter"
	"math/bits"
)

// A Set is a set of pitch classes: a chord or a scale with its order, its
// octaves and its spelling forgotten. Bit n stands for class n. Sets compare
// with ==. The zero value is the empty set. Methods pass over bits above 11.
type Set uint16

// Aggregate is the set of all twelve pitch classes, as theory texts call it.
const Aggregate Set = 1<<12 - 1

// SetOf returns the set of the given classes, each taken modulo 12.
func SetOf(classes ...Class) Set {
	var s Set
	for _, c := range classes {
		s |= 1 << (c % 12)
	}
	return s
}

// Has reports whether the class is in the set.
func (s Set) Has(c Class) bool { return s&(1<<(c%12)) != 0 }

// Len returns the number of classes in the set, its cardinality.
func (s Set) Len() int { return bits.OnesCount16(uint16(s & Aggregate)) }

// Classes yields the classes of the set, upward from 0. It does not allocate.
func (s Set) Classes() iter.Seq[Class] {
	return func(yield func(Class) bool) { s.from(0, yield) }
}

// from yields the classes of the set upward from c, round to below c.
func (s Set) from(c Class, yield func(Class) bool) {
	for n := range 12 {
		if k := c.T(n); s.Has(k) && !yield(k) {
			return
		}
	}
}

// IsSubsetOf reports whether every class of the set is in t, as those of a chord
// are in its scale. The empty set is a subset of all.
func (s Set) IsSubsetOf(t Set) bool { return s&^t&Aggregate == 0 }

// Union returns the classes that are in either set.
func (s Set) Union(t Set) Set { return (s | t) & Aggregate }

// Intersection returns the classes that are in both sets.
func (s Set) Intersection(t Set) Set { return s & t & Aggregate }

// Complement returns the classes that are not in the set. Its set class is the
// complement class, with the same ordinal in Forte's list: 9-11 for 3-11.
func (s Set) Complement() Set { return ^s & Aggregate }

// T returns the set transposed by n semitones, the operation Tn of [Class.T].
func (s Set) T(n int) Set {
	k := ClassOf(n)
	s &= Aggregate
	return (s<<k | s>>(12-k)) & Aggregate
}

// I returns the set inverted with index n, the operation In of [Class.I].
func (s Set) I(n int) Set {
	return s.mirrored().T(int(ClassOf(n)) + 1)
}

// mirrored returns the set with class c at 11 − c, which is I(11).
func (s Set) mirrored() Set { return Set(bits.Reverse16(uint16(s)) >> 4) }

// Combine returns the transpositional combination of two sets: all sums,
// modulo 12, of a class of the one and a class of the other. It is the union of
// s transposed by each class of t, and of t transposed by each class of s.
// Source: Cohn 1988.
func (s Set) Combine(t Set) Set {
	var sum Set
	for c := range t.Classes() {
		sum |= s.T(int(c))
	}
	return sum
}

// CommonTones returns the number of classes that the set shares with itself
// transposed by n semitones.
func (s Set) CommonTones(n int) int { return (s & s.T(n)).Len() }

// TSymmetry returns the n for which Tn maps the set onto itself, gathered in a
// set: 048 for an augmented triad, 0 alone for a set without transpositional
// symmetry. A set has 12/TSymmetry().Len() different transpositions.
func (s Set) TSymmetry() Set {
	var ns Set
	for n := range 12 {
		if s.T(n) == s&Aggregate {
			ns |= 1 << n
		}
	}
	return ns
}

// ISymmetry returns the n for which In maps the set onto itself, gathered in a
// set, which is empty where the set has no inversional symmetry.
func (s Set) ISymmetry() Set {
	var ns Set
	for n := range 12 {
		if s.I(n) == s&Aggregate {
			ns |= 1 << n
		}
	}
	return ns
}

// A set is written in as many ways as it has transpositions and inversions.
// The prime form is the one that is packed closest, counted from 0. With class
// n at bit n, the two usual rules are comparisons of whole numbers:
//
// Both want the smallest span, which is the lowest top bit. Among equal spans,
// Rahn compares from the right: of two forms, the one with the smaller last
// different note comes first. That note is the highest bit in which they
// differ, and so Rahn's prime form is simply the smallest number.
//
// Forte compares from the left: the form with the smaller first different note
// comes first. Read each form backward, top to bottom, and that is the larger
// number. Read backward, a form is an inversion, so one of the forms again;
// Forte's prime form is the largest number of the smallest span, read backward.

// twice returns the set and an inversion of it, each written twice on end, so
// that their twelve rotations are the low twelve bits of twelve shifts.
func (s Set) twice() (set, inversion uint32) {
	s &= Aggregate
	i := s.mirrored()
	return uint32(s)<<12 | uint32(s), uint32(i)<<12 | uint32(i)
}

// RahnPrime returns the prime form of the set as Rahn defines it: of the sets
// that transposition and inversion make of it and that begin on 0, those of the
// smallest span, and of these the one packed to the left, as compared from its
// last note. It is the smallest of them as a number. It does not allocate.
// Source: Rahn 1980.
func (s Set) RahnPrime() Set {
	a, b := s.twice()
	best := a // no less than any of them
	for range 12 {
		best = min(best, a&uint32(Aggregate), b&uint32(Aggregate))
		a, b = a>>1, b>>1
	}
	return Set(best)
}

// FortePrime returns the prime form of the set as Forte defines it, which
// compares from the first note. It differs from RahnPrime in six of the 224
// set classes. It does not allocate. Source: Forte 1973.
func (s Set) FortePrime() Set {
	span := bits.Len16(uint16(s.RahnPrime()))
	limit := uint32(1) << span
	a, b := s.twice()
	var best uint32
	for range 12 {
		// Below the limit the difference wraps round: a form of a wider span
		// never beats one of this span. The low bits stay those of the form.
		best = max(best, a&uint32(Aggregate)-limit, b&uint32(Aggregate)-limit)
		a, b = a>>1, b>>1
	}
	return Set(bits.Reverse16(uint16(best)) >> (16 - span))
}

// normal returns the class on which the normal order begins and the set
// transposed so that it begins on 0: the smallest of its rotations.
func (s Set) normal() (first Class, form Set) {
	form = s
	for n := range Class(12) {
		if t := s.T(-int(n)); t < form {
			first, form = n, t
		}
	}
	return first, form
}

// NormalOrder yields the classes of the set in normal order: the way round the
// circle with the smallest span from first note to last, and among these the
// one packed to the left, compared as RahnPrime does; where a symmetrical set
// has several, the one that begins on the lowest class. It does not allocate.
func (s Set) NormalOrder() iter.Seq[Class] {
	return func(yield func(Class) bool) {
		first, _ := s.normal()
		s.from(first, yield)
	}
}

// A Vector is an interval-class vector: how many of the intervals between the
// notes of a set belong to each class from 1, the semitone, to 6, the tritone.
// Vectors compare with ==. The zero value is that of a set of fewer than two
// notes. A Vector packs four bits for each class, from the lowest bits up.
type Vector uint32

// Count returns how many intervals belong to a class, which goes from 1 to 6;
// for any other it returns 0.
func (v Vector) Count(class int) int {
	if class < 1 || class > 6 {
		return 0
	}
	return int(v >> (4 * (class - 1)) & 15)
}

// String returns the six counts in theory's compact form, with T, E and C for
// ten, eleven and twelve: "001110" for a triad.
func (v Vector) String() string {
	var b [6]byte
	for n := range b {
		b[n] = "0123456789TEC???"[v.Count(n+1)]
	}
	return string(b[:])
}

// Vector returns the interval-class vector of the set. It does not allocate.
func (s Set) Vector() Vector {
	set, _ := s.twice()
	low := uint32(s & Aggregate)
	count := func(n int) Vector { return Vector(bits.OnesCount32(low & (set >> n))) }
	tritones := Vector(bits.OnesCount32(low & (set >> 6) & 0b111111)) // counted one way only
	return count(1) | count(2)<<4 | count(3)<<8 | count(4)<<12 | count(5)<<16 | tritones<<20
}
