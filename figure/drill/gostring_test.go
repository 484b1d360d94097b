package drill_test

import (
	"fmt"
	"testing"

	. "example.com/keyorder/figure/drill"
)

// TestGoString: %#v is what one would type. The law of it, for all values, stands
// in package figuretest.
func TestGoString(t *testing.T) {
	for want, v := range map[string]any{
		`drill.MustParseMeter("2+3/8")`: MustParseMeter("2+3/8"),
		`drill.Meter{}`:                 MustParseMeter("4/4"),
	} {
		if got := fmt.Sprintf("%#v", v); got != want {
			t.Errorf("%s, want %s", got, want)
		}
	}
}
