package short_test

import (
	"fmt"

	"example.com/keyorder/pitch"
)

// All 4096 sets of pitch classes: how many classes there are up to transposition
// and inversion, and how many pairs of them, of sets of one size, share a vector.
func Example_allSets() {
	primes := map[pitch.Set]int{}
	type like struct {
		vector pitch.Vector
		size   int
	}
	vectors := map[like]map[pitch.Set]bool{}
	for s := pitch.Set(0); s <= pitch.Aggregate; s++ {
		prime := s.RahnPrime()
		primes[prime]++
		l := like{s.Vector(), s.Len()}
		if vectors[l] == nil {
			vectors[l] = map[pitch.Set]bool{}
		}
		vectors[l][prime] = true
	}
	sets, shared, largest := 0, 0, 0
	for _, n := range primes {
		sets += n
		largest = max(largest, n)
	}
	for _, same := range vectors {
		if len(same) > 1 {
			shared++
		}
	}
	fmt.Println(sets, "sets in", len(primes), "classes of at most", largest, "sets;", shared, "pairs share a vector")
	// Output:
	// 4096 sets in 224 classes of at most 24 sets; 23 pairs share a vector
}
