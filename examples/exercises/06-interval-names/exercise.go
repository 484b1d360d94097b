// Exercise 6: what an interval is called.
//
// The number of an interval counts letters, both ends included: from C to E are
// three letters, a third. The half steps decide its quality. Unisons, fourths,
// fifths and octaves are perfect (P) at 0, 5, 7 and 12 half steps; seconds, thirds,
// sixths and sevenths are major (M) at 2, 4, 9 and 11, and minor (m) one half step
// below. One half step above perfect or major is augmented (A), one below perfect
// or minor is diminished (d).
//
// Write Name. It gives the short form: P5, m3, A4. What has none of the five
// qualities, or is no interval up to an octave, gives no text.
//
//	go test -tags exercise ./examples/exercises/06-interval-names
package names

// Name returns the short name of the interval that goes up so many letters, 0 to
// 7, and so many half steps. Other letters give no text.
func Name(letters, halfSteps int) string {
	return "" // your turn
}
