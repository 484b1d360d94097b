package cycle_test

import (
	"fmt"
	"testing"

	. "example.com/keyorder/cycle"
)

// TestGoString: %#v is what one would type. The law of it, for all values, stands
// in package figuretest.
func TestGoString(t *testing.T) {
	for want, v := range map[string]any{
		`cycle.MustParse("0369/147T/258E")`: By(3),
		`cycle.Order{}`:                     Order{},
		`cycle.MustParseRoute("(07)/3")`:    MustParseRoute("(07)/3"),
		`cycle.Route{}`:                     Route{},
	} {
		if got := fmt.Sprintf("%#v", v); got != want {
			t.Errorf("%s, want %s", got, want)
		}
	}
}
