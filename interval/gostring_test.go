package interval_test

import (
	"fmt"
	"testing"

	. "example.com/keyorder/interval"
)

// TestGoString: %#v is what one would type. The law of it, for all values, stands
// in package figuretest.
func TestGoString(t *testing.T) {
	for want, v := range map[string]any{
		`interval.MustParse("-m3")`: -MinorThird,
		`interval.Of(700, 1)`:       Of(700, 1),
	} {
		if got := fmt.Sprintf("%#v", v); got != want {
			t.Errorf("%s, want %s", got, want)
		}
	}
}
