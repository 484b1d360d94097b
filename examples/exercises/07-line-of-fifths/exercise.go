// Exercise 7: where a key lies on the line of fifths.
//
// Write the names of notes in a row so that each is a perfect fifth above the one
// to its left:
//
//	… E♭ B♭ F C G D A E B F♯ C♯ …
//
// The letters come again and again, F C G D A E B, each time with one sharp more.
// Give C the place 0, G 1, F −1. The place of a tonic is then the signature of
// its major key: so many sharps, or flats where it is negative.
//
// Write Place for names such as "C", "F#", "Bb", "Abb", "Cx" (x is a double sharp).
// For a text that is no name, ok is false.
//
//	go test -tags exercise ./examples/exercises/07-line-of-fifths
package fifths

// Place returns the place of a name on the line of fifths, C being 0.
func Place(name string) (place int, ok bool) {
	return 0, false // your turn
}
