package fault_test

import (
	"errors"
	"fmt"

	"example.com/keyorder/pitch/fault"
)

// tempo is a function that refuses, as those of the other packages do.
func tempo(beats int) error {
	if beats > 400 {
		return &fault.ValueError{Setting: "tempo", Value: fmt.Sprint(beats), Want: "a tempo goes up to 400 beats a minute"}
	}
	return nil
}

func Example() {
	err := tempo(900)
	fmt.Println(err)

	var value *fault.ValueError
	if errors.As(err, &value) {
		fmt.Println("the setting to mend is", value.Setting)
	}
	// Output:
	// tempo 900: a tempo goes up to 400 beats a minute
	// the setting to mend is tempo
}

func ExampleSyntaxError() {
	err := &fault.SyntaxError{What: "figure", Input: "5 2 q3", At: 4, Want: "a degree is a number from 1 to 99"}
	fmt.Println(err)
	// Output:
	// figure "5 2 q3" at character 5: a degree is a number from 1 to 99
}
