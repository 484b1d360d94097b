package interval_test

import (
	"errors"
	"fmt"

	"example.com/keyorder/interval"
	"example.com/keyorder/pitch/fault"
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
	// interval "m5": there is no minor interval 5; write P5, A5 or d5 (up to seven A or d)
}

func ExampleNew() {
	i, err := interval.New(interval.Augmented+1, 4) // doubly augmented
	fmt.Println(i, err)
	_, err = interval.New(interval.Minor, 5)
	fmt.Println(err)
	var value *fault.ValueError
	fmt.Println(errors.As(err, &value))
	// Output:
	// AA4 <nil>
	// interval "minor 5": write P5, A5 or d5 (up to seven A or d)
	// true
}

func ExampleInterval_Name() {
	for _, i := range []interval.Interval{interval.MinorThird, -interval.MajorSecond, interval.MajorNinth} {
		fmt.Printf("%s: %s\n", i.Name(), i.Motion())
	}
	// Output:
	// minor third: up a minor third
	// whole step: down a whole step
	// major ninth: up an octave and a whole step
}

// Seven semitones down, without a context that would give the letters.
func ExampleUsual() {
	fmt.Println(interval.Usual(-7), interval.Usual(-7).Motion())
	// Output: -P5 down a fifth
}

func ExampleQuality() {
	fmt.Println(interval.DiminishedSeventh.Quality(), "inverts to", -interval.DiminishedSeventh.Quality())
	for _, q := range []interval.Quality{interval.Diminished, interval.Minor, interval.Perfect, interval.Major, interval.Augmented} {
		if i, err := interval.New(q, 5); err == nil {
			fmt.Println(q, "fifth:", i)
		}
	}
	// Output:
	// diminished inverts to augmented
	// diminished fifth: d5
	// perfect fifth: P5
	// augmented fifth: A5
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

func ExampleSetOf() {
	triad, _ := interval.SetOf(interval.PerfectUnison, interval.MinorThird, interval.PerfectFifth)
	fmt.Println(triad, triad.Len(), triad.Has(interval.MinorTenth), triad.Without(interval.PerfectFifth))

	_, err := interval.SetOf(interval.DiminishedThird - interval.AugmentedUnison)
	fmt.Println(err)
	// Output:
	// P1 m3 P5 3 true P1 m3
	// interval "dd3": a set holds what is at most once augmented or diminished, and AA1 AA2 AA4 AA5 dd4 dd5 dd8
}

// Two triads a whole step apart are six notes of a scale, which reads as one.
func ExampleParseSet() {
	triad, err := interval.ParseSet("P1 M3 P5")
	fmt.Println(triad, err)
	above, _ := triad.Shift(interval.MajorSecond)
	fmt.Print("together:")
	for i := range triad.Union(above).Intervals() {
		fmt.Print(" ", i)
	}
	fmt.Println()
	_, err = interval.ParseSet("P1 M3 M10")
	fmt.Println(err)
	// Output:
	// P1 M3 P5 <nil>
	// together: P1 M2 M3 A4 P5 M6
	// set of intervals "P1 M3 M10" at character 7: M10 comes twice; a set has each interval once, whatever its octave
}
