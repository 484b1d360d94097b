package spelling_test

import (
	"fmt"

	"example.com/keyorder/interval"
	"example.com/keyorder/spelling"
)

func Example() {
	n := spelling.MustParse("Eb4")
	fmt.Println(n, n.Up(interval.MajorThird), n.Down(interval.MinorThird))

	// The square: two ways to the pitch class.
	fmt.Println("name", int(n.Name()), "number", n.Number())
	fmt.Println(n.Name().Class() == n.Number().Class())
	// Output:
	// E♭4 G4 C4
	// name -3 number 63
	// true
}

func ExampleName() {
	ds, eb := spelling.MustParseName("D#"), spelling.MustParseName("Eb")
	fmt.Println(ds == eb, ds.Class() == eb.Class())
	fmt.Println(ds.Up(interval.MajorThird), eb.Up(interval.MajorThird))
	// Output:
	// false true
	// F𝄪 G
}

func ExampleNote_To() {
	fmt.Println(spelling.MustParse("C4").To(spelling.MustParse("Eb5")))
	// Output: m10
}

func ExamplePolicy() {
	n := spelling.MustParse("B3").Up(interval.AugmentedSixth)
	fmt.Println(n, "or, easier to read,", spelling.PolicyEasy.Note(n))
	// Output: G𝄪4 or, easier to read, A4
}

func ExampleKey() {
	k := spelling.Minor(spelling.MustParseName("C"))
	fmt.Print(k, ":")
	for n := range k.Accidentals() {
		fmt.Print(" ", n)
	}
	// Output: C minor: B♭ E♭ A♭
}
