// Exercise 3: add an interval until you are home.
//
// Start on a key, 0 to 11, and go up by the same number of half steps again and
// again. Sooner or later you stand on the first key once more. Up by minor
// thirds (3) from C that takes four keys: C E♭ G♭ A, and home. Up by fourths (5)
// it takes all twelve.
//
// Write Cycle. It gives the keys in the order in which they come, the first one
// once, at the beginning. A step may be negative (down), larger than an octave,
// or 0, which stays: one key. Bring every key back to 0 to 11 before you compare
// it, or your loop may never end; in Go, -2 % 12 is -2. Before you run the tests, say how many keys the cycle of each step
// has, and what that has to do with 12.
//
//	go test -tags exercise ./examples/exercises/03-cycles
package cycles

// Cycle returns the keys, 0 to 11, that come from first by adding step half
// steps, up to the one before first comes again.
func Cycle(first, step int) []int {
	return nil // your turn
}
