// Exercise 5: an interval up, with the right letter.
//
// A written note has a letter, an accidental and an octave. An interval goes up
// so many letters and so many half steps, and both must be right: a minor third
// is two letters and three half steps, so that a minor third above F is A♭. G♯
// is the same key of the keyboard and the wrong letter.
//
// Letters are numbers, C 0, D 1 … B 6; the accidental counts half steps, ♯ 1 and
// ♭ −1; the octave changes between B and C. The white keys C D E F G A B lie 0 2
// 4 5 7 9 11 half steps above C.
//
// Write Up. First find the letter and the octave, then ask which accidental makes
// the half steps come out. Letters may lead far down: in Go, -1 % 7 is -1.
//
//	go test -tags exercise ./examples/exercises/05-spelling
package spelling

// A Note is a written note.
type Note struct {
	Letter     int // C 0 … B 6
	Accidental int // half steps: ♯ 1, ♭ −1
	Octave     int // C4 to B4 is octave 4
}

// Up returns the note so many letters and half steps above n, below it where
// they are negative.
func Up(n Note, letters, halfSteps int) Note {
	return Note{Letter: -1} // your turn
}
