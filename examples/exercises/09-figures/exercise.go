// Exercise 9: an idea that belongs to no key.
//
// Players keep a short idea as numbers: 3 5 1 6 is the third note of the scale, the
// fifth, the first, the sixth. In C that is E G C A, in F it is A C F D. The
// numbers stay, the key changes. Numbers from 8 on lie above the octave: 8 is
// the tonic again, 10 the third. An accidental moves a note by half steps, so
// that b3 is a half step below the third note of the major scale.
//
// Write Play. It gives the keys of the keyboard, C4 being 60, of a figure over the
// major scale on a tonic, which is a key of the keyboard too. Mind 7 and 14: numbers count from
// 1, and % counts from 0.
//
//	go test -tags exercise ./examples/exercises/09-figures
package figures

// A Degree is a note of the major scale, moved by half steps.
type Degree struct {
	Number     int // from 1; 8 is an octave above 1
	Accidental int // half steps: b −1, # 1
}

// Play returns the keys of the keyboard that a figure has on a tonic.
func Play(figure []Degree, tonic int) []int {
	return nil // your turn
}
