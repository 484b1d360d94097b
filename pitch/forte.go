package pitch

import (
	"fmt"
	"iter"
	"slices"
	"strconv"
	"strings"
	"sync"

	"example.com/keyorder/pitch/fault"
)

// ordinals are the numbers that Forte gives to the set classes of 0 to 6 notes,
// which no rule yields. A row holds those of one cardinality, in the order of
// their prime forms after Rahn as numbers. A class of more than six notes has
// the ordinal of its complement. Source: Forte 1973 for 3 to 9 notes; the
// others as the encyclopedic list named in testdata/set-classes.tsv has them.
var ordinals = [7][]uint8{
	{1},
	{1},
	{1, 2, 3, 4, 5, 6},
	{1, 2, 3, 6, 4, 7, 5, 8, 10, 9, 11, 12},
	{1, 2, 3, 4, 11, 10, 7, 5, 13, 12, 15, 21, 8, 6, 29, 14, 18, 22, 17, 16, 23, 9, 19, 24, 20, 27, 26, 25, 28},
	{1, 2, 3, 4, 9, 10, 8, 6, 12, 5, 36, 16, 11, 14, 24, 23, 18, 7, 19, 13, 17, 38, 27, 25, 21, 26, 37, 15, 29, 28,
		30, 33, 20, 22, 31, 32, 34, 35},
	{1, 2, 3, 4, 36, 9, 11, 10, 8, 5, 12, 13, 6, 37, 40, 15, 14, 39, 41, 22, 24, 21, 43, 25, 23, 16, 38, 17, 19, 18,
		26, 7, 42, 46, 27, 45, 44, 28, 47, 49, 48, 34, 33, 31, 32, 30, 29, 50, 20, 35},
}

// SetClasses yields the prime form, after Rahn, of each of the 224 classes that
// the sets fall into when transpositions and inversions count as the same: by
// cardinality from the empty set to the aggregate, then as numbers.
func SetClasses() iter.Seq[Set] {
	return func(yield func(Set) bool) {
		for _, primes := range primesOf() {
			for _, p := range primes {
				if !yield(p) {
					return
				}
			}
		}
	}
}

// primesOf returns for each cardinality its prime forms, the smallest number
// first. The list is made once.
var primesOf = sync.OnceValue(func() [][]Set {
	all := make([][]Set, 13)
	for p := Set(0); p <= Aggregate; p++ {
		if p.RahnPrime() == p {
			all[p.Len()] = append(all[p.Len()], p)
		}
	}
	return all
})

// small returns the set or its complement, whichever has at most six notes.
func (s Set) small() Set {
	if s.Len() > 6 {
		return s.Complement()
	}
	return s & Aggregate
}

// ForteNumber returns the name of the set's class in Forte's list: the
// cardinality and an ordinal, with a Z where another class has the same
// interval-class vector, as "3-11" or "6-Z29". Source: Forte 1973, and for
// fewer than 3 or more than 9 notes the numbering that has become usual.
func (s Set) ForteNumber() string {
	b := strconv.AppendInt(nil, int64(s.Len()), 10)
	b = append(b, '-')
	if _, ok := s.ZPartner(); ok {
		b = append(b, 'Z')
	}
	return string(strconv.AppendInt(b, int64(s.ordinal()), 10))
}

// ordinal returns the number of the set's class among those of its cardinality.
func (s Set) ordinal() uint8 {
	prime := s.small().RahnPrime()
	return ordinals[prime.Len()][slices.Index(primesOf()[prime.Len()], prime)]
}

// ZPartner returns the prime form, after Rahn, of the other class that has the
// same interval-class vector as the set's own, and whether there is one.
func (s Set) ZPartner() (Set, bool) {
	prime, vector := s.RahnPrime(), s.Vector()
	for _, p := range primesOf()[s.Len()] {
		if p != prime && p.Vector() == vector {
			return p, true
		}
	}
	return 0, false
}

// ParseForte reads a Forte number, as "3-11" or "6-Z29", and returns the prime
// form of the class after Rahn. The Z may be small or left out. The error is a
// *fault.SyntaxError.
func ParseForte(text string) (Set, error) {
	fail := func(rest, want string) (Set, error) {
		return 0, &fault.SyntaxError{What: "Forte number", Input: text, At: len(text) - len(rest), Want: want}
	}
	left, right, ok := strings.Cut(text, "-")
	size, sizeOK := number(left)
	if !ok || !sizeOK || size > 12 {
		return fail(text, "it is a cardinality from 0 to 12, a hyphen and an ordinal, such as 3-11 or 6-Z29")
	}
	few := min(size, 12-size)
	row := ordinals[few]
	digits := strings.TrimLeft(right, "Zz")
	ordinal, ok := number(digits)
	place := slices.Index(row, uint8(ordinal))
	if !ok || place < 0 || len(right)-len(digits) > 1 {
		return fail(right, fmt.Sprintf("the classes of cardinality %d go from %[1]d-1 to %[1]d-%d, with or without a Z", size, len(row)))
	}
	s := primesOf()[few][place]
	if size > few {
		s = s.Complement().RahnPrime()
	}
	if _, z := s.ZPartner(); !z && digits != right {
		return fail(right, s.ForteNumber()+" has no Z")
	}
	return s, nil
}

// number reads a whole number of one or two digits without a leading zero.
func number(s string) (int, bool) {
	n, err := strconv.ParseUint(s, 10, 0)
	return int(n), err == nil && len(s) <= 2 && (len(s) == 1 || s[0] != '0')
}
