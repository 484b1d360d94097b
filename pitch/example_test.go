package pitch_test

import (
	"errors"
	"fmt"
	"slices"

	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
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

func ExampleSet() {
	triad := pitch.SetOf(9, 0, 4)
	fmt.Println(triad, triad.Name(), slices.Collect(triad.NormalOrder()))
	fmt.Println(triad.ForteNumber(), triad.RahnPrime(), triad.Vector())
	fmt.Println(triad.I(7), "is", triad.I(7).Name())
	// Output:
	// 049 minor triad [9 0 4]
	// 3-11 037 001110
	// 37T is major triad
}

// The notes of C E G A are those of a chord on A.
func ExampleSet_Roots() {
	sixth := pitch.SetOf(0, 4, 7, 9)
	fmt.Println(sixth.Name(), "on", sixth.Roots())
	// Output: minor seventh chord on 9
}

// A minor triad on each of C, E♭, F♯ and A: what is heard is all their notes.
func ExampleSet_Combine() {
	triad, keys := pitch.MustParseSet("037"), pitch.MustParseSet("0369")
	all := keys.Combine(triad)
	fmt.Println(all, all.Name())
	fmt.Println("a triad and the next share", triad.CommonTones(3), "note")
	// Output:
	// 0134679T octatonic
	// a triad and the next share 1 note
}

func ExampleSet_ZPartner() {
	a := pitch.MustParseSet("0146")
	b, _ := a.ZPartner()
	fmt.Println(a.ForteNumber(), a.Vector())
	fmt.Println(b.ForteNumber(), b.Vector(), b)
	// Output:
	// 4-Z15 111111
	// 4-Z29 111111 0137
}

func ExampleParseForte() {
	s, _ := pitch.ParseForte("6-Z29")
	fmt.Println(s.RahnPrime(), "after Rahn,", s.FortePrime(), "after Forte")
	fmt.Println("complement class", s.Complement().ForteNumber())
	// Output:
	// 023679 after Rahn, 013689 after Forte
	// complement class 6-Z50
}

func ExampleParseSet() {
	s, err := pitch.ParseSet("0369")
	fmt.Println(s.Has(6), s.Has(7), err)
	_, err = pitch.ParseSet("0,3,6,9")
	fmt.Println(err)
	var text *fault.SyntaxError
	fmt.Println(errors.As(err, &text))
	// Output:
	// true false <nil>
	// set of pitch classes "0,3,6,9" at character 2: a set is written with the digits 0 to 9, T (ten) and E (eleven) and nothing between, as 0369
	// true
}

// A diminished seventh chord has four transpositions onto itself, and so only
// three different ones.
func ExampleSet_TSymmetry() {
	s := pitch.MustParseSet("0369")
	fmt.Println("T", s.TSymmetry(), "I", s.ISymmetry(), "different:", 12/s.TSymmetry().Len())
	// Output: T 0369 I 0369 different: 3
}

// The classes of three notes with a tritone in them.
func ExampleSetClasses() {
	for s := range pitch.SetClasses() {
		if s.Len() == 3 && s.Vector().Count(6) > 0 {
			fmt.Println(s.ForteNumber(), s, s.Vector())
		}
	}
	// Output:
	// 3-5 016 100011
	// 3-8 026 010101
	// 3-10 036 002001
}
