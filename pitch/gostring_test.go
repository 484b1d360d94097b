package pitch_test

import (
	"fmt"
	"testing"

	. "example.com/keyorder/pitch"
)

// TestGoString: %#v is what one would type. The law of it, for all values, stands
// in package figuretest.
func TestGoString(t *testing.T) {
	for want, v := range map[string]any{
		`pitch.Class(11)`:                    Class(11),
		`pitch.MustParseSet("037")`:          SetOf(0, 3, 7),
		`pitch.MustParseSet("0123456789TE")`: Aggregate,
		`pitch.Set(4096)`:                    Aggregate + 1,
		`pitch.MustParseSet("")`:             Set(0),
	} {
		if got := fmt.Sprintf("%#v", v); got != want {
			t.Errorf("%s, want %s", got, want)
		}
	}
}
