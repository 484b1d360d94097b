package spelling_test

import (
	"fmt"
	"testing"

	. "example.com/keyorder/spelling"
)

// TestGoString: %#v is what one would type. The law of it, for all values, stands
// in package figuretest.
func TestGoString(t *testing.T) {
	for want, v := range map[string]any{
		`spelling.MustParse("Eb4")`:     MustParse("E♭4"),
		`spelling.MustParseName("F##")`: MustParseName("F𝄪"),
		`spelling.Name(-300)`:           Name(-300),
		`spelling.Note(100000000)`:      Note(100000000),
	} {
		if got := fmt.Sprintf("%#v", v); got != want {
			t.Errorf("%s, want %s", got, want)
		}
	}
}
