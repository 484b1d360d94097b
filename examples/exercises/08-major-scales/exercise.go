// Exercise 8: the major scale in every key.
//
// A major scale goes up by whole and half steps: 2 2 1 2 2 2 1. That alone gives
// keys of the keyboard. Written down, it has each letter once, in order: E♭ major
// is E♭ F G A♭ B♭ C D, not D♯ F G G♯ A♯ C D.
//
// Write Major. The tonic is a letter, with "b" or "#" after it if there is one,
// such as "Eb", and so are the seven names that it gives. It is enough for the
// fifteen keys that have a signature, C♭ to C♯.
//
//	go test -tags exercise ./examples/exercises/08-major-scales
package scales

// Major returns the seven names of the major scale on a tonic.
func Major(tonic string) []string {
	return nil // your turn
}
