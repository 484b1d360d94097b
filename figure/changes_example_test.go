package figure_test

import (
	"fmt"

	"example.com/keyorder/figure"
	"example.com/keyorder/spelling"
	"example.com/keyorder/spelling/chord"
)

// A cell is stated from the root of each chord: its 6 is that of dorian, of
// mixolydian and of major, which are one scale here.
func ExampleFigure_Over() {
	cell := figure.MustParse("3 5 1 6")
	f, err := cell.Over(figure.MustParseChanges("{2 m7} {5 7} {1 maj7}:8"))
	fmt.Println(f, err)
	for _, key := range []string{"C4", "Eb4"} {
		tonic := spelling.MustParse(key)
		for c := range f.Chords(tonic.Name()) {
			fmt.Print(c, " ")
		}
		fmt.Print("are played as")
		for _, n := range f.AppendNotes(nil, tonic) {
			fmt.Print(" ", n.Name())
		}
		fmt.Println()
	}
	_, err = figure.MustParse("3 5 1 6").Over(figure.MustParseChanges("{1 +}"))
	fmt.Println(err)
	// Output:
	// 3 5 1 6 over {2 m7} {5 7} {1 maj7}:8 <nil>
	// Dm7 G7 Cmaj7 are played as F A D B B D G E E G C A
	// Fm7 B♭7 E♭maj7 are played as A♭ C F D D F B♭ G G B♭ E♭ C
	// change 1: degree 6: neither the chord {1 +} nor a scale beside it has a plain 6; write n6 for that of the major scale, or say which with b or #
}

// Progressions are read by the names that players call them by.
func ExampleForms() {
	for c := range figure.Forms() {
		f := figure.MustParse("1 over " + c.Plain() + " in minor")
		fmt.Print(c, ":")
		for ch := range f.Chords(spelling.MustParseName("C")) {
			fmt.Print(" ", ch)
		}
		fmt.Println()
	}
	// Output:
	// 2-5-1: Dm7 G7 Cmaj7
	// minor 2-5-1: Dm7♭5 G7♭9 Cm6
	// 1-6-2-5: Cmaj7 Am7 Dm7 G7
	// 1-6-2-5 with 7b9: Cmaj7 A7♭9 Dm7 G7
	// diatonic sevenths: Cm7 Dm7(♭5) E♭maj7 Fm7 Gm7 A♭maj7 B♭7
	// blues: C7 C7 C7 C7 F7 F7 C7 C7 G7 F7 C7 G7
	// jazz blues: C7 F7 C7 C7 F7 F♯dim7 C7 A7♭9 Dm7 G7 C7 G7
	// minor blues: Cm7 Cm7 Cm7 Cm7 Fm7 Fm7 Cm7 Cm7 A♭7 G7alt Cm7 G7alt
}

func ExampleChanges() {
	c := figure.ChangesOf(
		figure.Change{Chord: figure.Chord{Root: figure.MustParseDegree("4"), Suffix: "maj7"}},
		figure.Change{Chord: figure.Chord{Root: figure.MustParseDegree("5"), Suffix: "7/4"}, Length: figure.Whole},
	)
	fmt.Println(c)
	blues, err := figure.ParseChanges("blues:6") // bars of three quarters
	list, _ := blues.In(figure.Major)
	fmt.Println(blues, err, len(list), list[0].Chord.Suffix, list[0].Length)
	_, err = figure.ParseChanges("2-6-1")
	fmt.Println(err)
	// Output:
	// {4 maj7} {5 7/4}:8
	// blues:6 <nil> 12 7 3/4
	// changes "2-6-1": changes are chords such as {2 m7} {5 7} {1 maj7}:8, or one of 2-5-1, minor 2-5-1, 1-6-2-5, 1-6-2-5 with 7b9, diatonic sevenths, blues, jazz blues, minor blues
}

func ExampleVariation() {
	f := figure.MustParse("3 5 1:2 6")
	for _, text := range []string{"retrograde", "inversion about 3", "rotation 1", "displaced 1/8", "rhythm 3 1 0 1", "octave down 4", "in dorian"} {
		v, err := figure.ParseVariation(text)
		if err != nil {
			fmt.Println(err)
			continue
		}
		varied, err := v.Apply(f)
		fmt.Printf("%v: %v, %v\n", v, varied, err)
	}
	// Output:
	// retrograde: 6 1:2 5 3, <nil>
	// inversion about 3: 3 1 5:2 ↓7, <nil>
	// rotation 1: 5 1:2 6 3, <nil>
	// displaced 1/8: 0 3 5 1:2 6, <nil>
	// rhythm 3 1 0 1: 3:3 5 0 1 6:3, <nil>
	// octave down 4: 3 5 1:2 ↓6, <nil>
	// in dorian: 3 5 1:2 6 in dorian, <nil>
}

func ExampleFigure_InRhythm() {
	f, err := figure.MustParse("5 2 b3:2 1").InRhythm(figure.Quarter, figure.Eighth, -figure.Eighth)
	fmt.Println(f, err)
	// Output:
	// 5:2 2 0 ♭3:2 1 0 <nil>
}

// Which scales hold a chord, and which one usage sets beside it.
func ExampleScalesHolding() {
	q, _ := chord.ParseQuality("7#9")
	for s, letters := range figure.ScalesHolding(q) {
		fmt.Println(s, letters)
	}
	s, ok := figure.UsualScale(q)
	fmt.Println(s, ok)
	// Output:
	// octatonic half-whole false
	// bebop dorian false
	// chromatic false
	// octatonic half-whole true
}

func ExampleScale_Mode() {
	for n := range 7 {
		s, _ := figure.HarmonicMinor.Mode(n + 1)
		fmt.Println(s.Formula(), "is", s)
	}
	// Output:
	// 1 2 b3 4 5 b6 7 is harmonic minor
	// 1 b2 b3 4 b5 6 b7 is locrian natural 6
	// 1 2 3 4 #5 6 7 is ionian #5
	// 1 2 b3 #4 5 6 b7 is dorian #4
	// 1 b2 3 4 5 b6 b7 is phrygian dominant
	// 1 #2 3 #4 5 6 7 is lydian #2
	// 1 b2 b3 b4 b5 b6 bb7 is super-locrian bb7
}

// A bass in a figure is a degree, and moves with it.
func ExampleChordEvent_Chord() {
	f := figure.MustParse("{1 maj7/3} 5 1 {5 7b9} 4")
	for e := range f.Chords(spelling.MustParseName("Bb")) {
		c, err := e.Chord()
		fmt.Println(e, "has the root", c.Root(), "and the bass", c.Bass(), err)
	}
	// Output:
	// B♭maj7/D has the root B♭ and the bass D <nil>
	// F7♭9 has the root F and the bass F <nil>
}
