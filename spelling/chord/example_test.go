package chord_test

import (
	"errors"
	"fmt"

	"example.com/keyorder/interval"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
	"example.com/keyorder/spelling/chord"
)

func Example() {
	c := chord.MustParse("Ebmin7b5")
	fmt.Println(c, "has the notes", names(c), "and the quality", c.Quality())
	up := c.Up(interval.MajorThird)
	fmt.Println(up, names(up), up.PitchSet())
	// Output:
	// E♭m7(♭5) has the notes [E♭ G♭ B𝄫 D♭] and the quality P1 m3 d5 m7
	// Gm7(♭5) [G B♭ D♭ F] 157T
}

func names(c chord.Chord) (all []string) {
	for n := range c.Notes() {
		all = append(all, n.String())
	}
	return all
}

func ExampleParse() {
	for _, text := range []string{"CΔ", "C-7", "Co7", "C7-9", "C2", "C6/9", "C7alt", "Bb/C"} {
		fmt.Print(chord.MustParse(text), ";")
	}
	fmt.Println()

	_, err := chord.Parse("Cmaj8")
	fmt.Println(err)
	var text *fault.SyntaxError
	fmt.Println(errors.As(err, &text))
	// Output:
	// Cmaj7;Cm7;Cdim7;C7(♭9);Cadd9;C6/9;C7(♯5,♯9);B♭/C;
	// chord "Cmaj8" at character 5: near it are Cmaj7, Cmaj7(#5), Cmaj7(b5), Cmaj9
	// true
}

// A chord is put together from a root, a quality and a bass, and taken apart.
func ExampleOf() {
	q, _ := interval.SetOf(interval.PerfectUnison, interval.MinorThird, interval.DiminishedFifth, interval.MinorSeventh)
	c := chord.Of(spelling.MustParseName("Eb"), q).Over(spelling.MustParseName("Db"))
	fmt.Println(c, "or", c.Plain())
	fmt.Println(c.Root(), c.Suffix(), c.Bass())

	again, _ := chord.ParseQuality(c.PlainSuffix())
	fmt.Println(c.PlainSuffix(), again == c.Quality())
	// Output:
	// E♭m7(♭5)/D♭ or Ebm7(b5)/Db
	// E♭ m7(♭5) D♭
	// m7(b5) true
}

func ExampleParseQuality() {
	q, err := chord.ParseQuality("7(b9)")
	fmt.Println(q, err)
	dorian := interval.MustParseSet("P1 M2 m3 P4 P5 M6 m7")
	m7, _ := chord.ParseQuality("m7")
	fmt.Println(m7.SubsetOf(dorian), q.SubsetOf(dorian))
	// Output:
	// P1 m2 M3 P5 m7 <nil>
	// true false
}

// A suffix on its root: the flat of the fifth is none of the root.
func ExampleParseOn() {
	for _, suffix := range []string{"b5", "m7/E", "6/9"} {
		c, err := chord.ParseOn(spelling.MustParseName("D"), suffix)
		fmt.Println(c, names(c), err)
	}
	// Output:
	// D(♭5) [D F♯ A♭] <nil>
	// Dm7/E [E D F A C] <nil>
	// D6/9 [D F♯ A B E] <nil>
}

func ExampleChord_Members() {
	for _, text := range []string{"Csus2", "Cadd9", "C6", "C13"} {
		fmt.Print(text, ":")
		for i := range chord.MustParse(text).Members() {
			fmt.Print(" ", i)
		}
		fmt.Println()
	}
	// Output:
	// Csus2: P1 M2 P5
	// Cadd9: P1 M3 P5 M9
	// C6: P1 M3 P5 M6
	// C13: P1 M3 P5 m7 M9 M13
}

func ExampleChord_Everyday() {
	c := chord.MustParse("Dbm7").Down(interval.MajorThird)
	fmt.Println(c, names(c))
	fmt.Println(c.Everyday(), names(c.Everyday()))
	// Output:
	// B𝄫m7 [B𝄫 D𝄫 F♭ A𝄫]
	// Am7 [A C E G]
}

func ExampleChord_Kind() {
	kind, degrees := chord.MustParse("C7(b9,no5)").Kind()
	fmt.Println(kind)
	for _, d := range degrees {
		fmt.Println(d.Change, d.Number, d.Alter)
	}
	// Output:
	// dominant
	// subtract 5 0
	// add 9 -1
}
