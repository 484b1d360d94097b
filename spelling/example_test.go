package spelling_test

import (
	"errors"
	"fmt"

	"example.com/keyorder/interval"
	"example.com/keyorder/pitch/fault"
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

func ExampleParse() {
	n, err := spelling.Parse("Fx5")
	fmt.Println(n, n.Plain(), err)
	_, err = spelling.Parse("Eb#4")
	fmt.Println(err)
	var text *fault.SyntaxError
	fmt.Println(errors.As(err, &text))
	// Output:
	// F𝄪5 F##5 <nil>
	// note "Eb#4" at character 3: a note has flats or sharps, not both
	// true
}

func ExamplePolicy() {
	n := spelling.MustParse("B3").Up(interval.AugmentedSixth)
	fmt.Println(n, "or, easier to read,", spelling.PolicyEasy.Note(n))
	below := spelling.MustParseName("Ab").Down(interval.MajorThird)
	for _, p := range []spelling.Policy{spelling.PolicyEasy, spelling.PolicyEasyWhiteKeys} {
		fmt.Printf("%v: %v\n", p, p.Name(below))
	}
	// Output:
	// G𝄪4 or, easier to read, A4
	// easy: F♭
	// easy white keys: E
}

func ExampleKey() {
	k := spelling.MustParseKey("c minor")
	fmt.Print(k, ":")
	for n := range k.Accidentals() {
		fmt.Print(" ", n)
	}
	fmt.Println(";", k == spelling.Minor(k.Tonic), k.IsMinor(), k.IsMajor())

	// A key of another mode is a tonic with its signature.
	text, err := spelling.Key{Tonic: spelling.MustParseName("Eb"), Signature: -5}.MarshalText()
	fmt.Printf("%s, %v\n", text, err)
	// Output:
	// C minor: B♭ E♭ A♭; true true false
	// Eb, 5 flats, <nil>
}

// Names and keys in the languages of those who read them.
func ExampleLanguage() {
	eFlat := spelling.MustParseName("Eb")
	for l := spelling.LanguageEnglish; l <= spelling.LanguageSpanish; l++ {
		fmt.Println(l.Name(eFlat), "·", l.Words(eFlat), "·", l.Key(spelling.Minor(eFlat)))
	}
	n, err := spelling.LanguageFrench.ParseName("fa dièse")
	fmt.Println(n, err)
	_, err = spelling.LanguageGerman.ParseName("B")
	fmt.Println(err)
	// Output:
	// E♭ · E flat · E♭ minor
	// Es · Es · es-Moll
	// mi♭ · mi bémol · mi bémol mineur
	// mi♭ · mi bemolle · mi bemolle minore
	// mi♭ · mi bemol · mi bemol menor
	// F♯ <nil>
	// note name "B": a B alone is B flat in German names and B natural in English ones: write B♭ or H
}
