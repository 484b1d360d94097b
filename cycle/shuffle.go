package cycle

// Shuffle returns an order in one run, shuffled from a seed. Every order of the
// twelve keys is as likely as any other, and the same seed gives the same order
// on every machine and in every version, so that a seed written on a sheet is
// enough to print the sheet again.
//
// Starting with the keys from C up, the key in place n, for n from 12 down to
// 2, changes places with the one in place r+1, where r is the next output x of
// SplitMix64, started from the seed, modulo n. An x below 2⁶⁴ modulo n is passed
// over, which keeps the remainders equally likely. (SplitMix64: Steele, Lea and
// Flood 2014)
func Shuffle(seed uint64) Order {
	o := Order{cuts: 1}
	for n := range o.keys {
		o.keys[n] = o.keys[0].T(n)
	}
	g := splitMix(seed)
	for n := uint64(12); n > 1; n-- {
		x := g.next()
		for x < -n%n {
			x = g.next()
		}
		r := x % n
		o.keys[n-1], o.keys[r] = o.keys[r], o.keys[n-1]
	}
	return o
}

// A splitMix is the state of the generator SplitMix64.
type splitMix uint64

func (g *splitMix) next() uint64 {
	*g += 0x9E3779B97F4A7C15
	z := uint64(*g)
	z = (z ^ z>>30) * 0xBF58476D1CE4E5B9
	z = (z ^ z>>27) * 0x94D049BB133111EB
	return z ^ z>>31
}
