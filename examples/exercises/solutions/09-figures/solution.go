// One way to solve the exercise of the same name.
package figures

// A Degree is a note of the major scale, moved by half steps.
type Degree struct {
	Number     int // from 1; 8 is an octave above 1
	Accidental int // half steps: b −1, # 1
}

// Play returns the keys of the keyboard that a figure has on a tonic.
func Play(figure []Degree, tonic int) []int {
	scale := [...]int{0, 2, 4, 5, 7, 9, 11}
	var keys []int
	for _, d := range figure {
		n := d.Number - 1
		keys = append(keys, tonic+12*(n/7)+scale[n%7]+d.Accidental)
	}
	return keys
}
