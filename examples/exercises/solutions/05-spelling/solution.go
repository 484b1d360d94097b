// One way to solve the exercise of the same name.
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
	up := n
	up.Accidental = 0
	for up.Letter += letters; up.Letter > 6; up.Letter -= 7 {
		up.Octave++
	}
	for ; up.Letter < 0; up.Letter += 7 {
		up.Octave--
	}
	up.Accidental = key(n) + halfSteps - key(up)
	return up
}

// key returns the key of the keyboard that a note stands for.
func key(n Note) int {
	white := [...]int{0, 2, 4, 5, 7, 9, 11}
	return 12*n.Octave + white[n.Letter] + n.Accidental
}
