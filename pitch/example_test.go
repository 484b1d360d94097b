package pitch_test

import (
	"fmt"

	"example.com/keyorder/pitch"
)

func Example() {
	e := pitch.Number(64) // E above middle C
	fmt.Println(e.Class(), e.Octave())
	fmt.Printf("%.2f Hz\n", e.Hertz(pitch.A440))
	// Output:
	// 4 4
	// 329.63 Hz
}

func ExampleClass() {
	b := pitch.Class(11)
	fmt.Println(b, "up a fourth", b.T(5), "mirrored about C", b.I(0))
	// Output:
	// E up a fourth 4 mirrored about C 1
}

func ExampleNumber_Hertz() {
	a := pitch.Number(57)
	fmt.Println(a.Hertz(pitch.A440), a.Hertz(442))
	// Output:
	// 220 221
}
