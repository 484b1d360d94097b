package interval_test

import (
	"fmt"

	"example.com/keyorder/interval"
)

func Example() {
	fifth := interval.MajorThird + interval.MinorThird
	fmt.Println(fifth, fifth.Semitones(), "semitones")
	fmt.Println(interval.Octave - interval.MinorThird)
	fmt.Println(-2 * interval.MajorSecond)

	// The same sound, written differently.
	fmt.Println(interval.AugmentedSecond == interval.MinorThird)
	fmt.Println(interval.AugmentedSecond.Semitones() == interval.MinorThird.Semitones())
	// Output:
	// P5 7 semitones
	// M6
	// -M3
	// false
	// true
}

func ExampleInterval() {
	i := interval.MinorTenth
	fmt.Println(i, i.Quality(), i.Number())
	fmt.Println(i.Simple(), i.Octaves(), i.Simple().Inversion(), i.IntervalClass())
	// Output:
	// m10 minor 10
	// m3 1 M6 3
}

func ExampleParse() {
	i, err := interval.Parse("-m3")
	fmt.Println(i.Steps(), i.Semitones(), err)
	_, err = interval.Parse("m5")
	fmt.Println(err)
	// Output:
	// -2 -3 <nil>
	// interval: "m5" at character 1: there is no minor interval 5; write P5, A5 or d5 (up to seven A or d)
}

func ExampleNew() {
	i, err := interval.New(interval.Augmented+1, 4) // doubly augmented
	fmt.Println(i, err)
	// Output:
	// AA4 <nil>
}

func ExampleQuality() {
	fmt.Println(interval.DiminishedSeventh.Quality(), "inverts to", -interval.DiminishedSeventh.Quality())
	// Output:
	// diminished inverts to augmented
}

func ExampleSet() {
	minor := interval.MustParseSet("P1 m3 P5")
	seventh, _ := minor.With(interval.MinorSeventh)
	fmt.Println(seventh, seventh.PitchSet(), minor.SubsetOf(seventh))

	// The major scale moved down by its second degree is dorian, its mode there.
	major := interval.MustParseSet("P1 M2 M3 P4 P5 M6 M7")
	dorian, ok := major.Shift(-interval.MajorSecond)
	fmt.Println(dorian, ok)
	fmt.Println(seventh.SubsetOf(dorian), seventh.SubsetOf(major))
	// Output:
	// P1 m3 P5 m7 037T true
	// P1 M2 m3 P4 P5 M6 m7 true
	// true false
}
