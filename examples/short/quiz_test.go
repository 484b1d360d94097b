package short_test

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/spelling"
)

// askKeys asks which key comes next in an all-interval order that has a number,
// so that a class can have one each and the teacher the list.
func askKeys(number int, in io.Reader, out io.Writer) (right int, err error) {
	row, err := cycle.AllIntervalAt(number, spelling.MustParseName("C").Class())
	if err != nil {
		return 0, err
	}
	names := figure.Major.Tonics()
	answers := bufio.NewScanner(in)
	for m := range row.Moves(false) {
		fmt.Fprintf(out, "From %v up %d half steps:\n", names[m.From], m.Semitones())
		if !answers.Scan() {
			break
		}
		switch got, err := spelling.ParseName(answers.Text()); {
		case err != nil:
			fmt.Fprintln(out, err)
		case got.Class() == m.To:
			fmt.Fprintln(out, "Right.")
			right++
		default:
			fmt.Fprintln(out, "No,", names[m.To])
		}
	}
	return right, answers.Err()
}

// A quiz of keys from an all-interval order by its number.
func Example_quiz() {
	var out strings.Builder
	right, err := askKeys(1234, strings.NewReader("E\nEb\nH\n"), &out)
	fmt.Println(out.String())
	fmt.Println(right, "right", err)
	row, _ := cycle.AllIntervalAt(1234, 0)
	fmt.Println(row, row.AllIntervalNumber())
	// Output:
	// From C up 4 half steps:
	// Right.
	// From E up 10 half steps:
	// No, D
	// From D up 5 half steps:
	// note name "H": a note name begins with a letter from A to G, as in C, E♭ or F#
	// From G up 8 half steps:
	//
	// 1 right <nil>
	// 0427398E1T56 1234
}
