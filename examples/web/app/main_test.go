//go:build js && wasm

package main

import (
	"errors"
	"strings"
	"syscall/js"
	"testing"

	"example.com/keyorder/pitch/fault"
)

// A fault of the program is told as an error, and it goes on with everything else.
func TestLawAFaultEndsNothing(t *testing.T) {
	calls := 0
	f := function(func(given texts) ([]byte, error) {
		calls++
		switch given.at(0) {
		case "nil":
			var none *app
			return none.close(given)
		case "index":
			return []byte(given[7]), nil
		case "refused":
			return nil, &fault.ValueError{Setting: "tempo", Value: "x", Err: errors.New("no number")}
		}
		return []byte(`"fine"`), nil
	})
	defer f.Release()
	for _, given := range []string{"nil", "index", "refused", "", "nil", ""} {
		out := f.Invoke(given).String()
		switch {
		case given == "" && out != `"fine"`:
			t.Errorf("after a fault it says %s", out)
		case given == "refused" && !strings.Contains(out, `"field":"tempo"`):
			t.Errorf("what is refused is told as %s", out)
		case (given == "nil" || given == "index") && !strings.Contains(out, `{"error":{"field":"","text":"The program made a mistake: `):
			t.Errorf("%s is told as %s", given, out)
		}
		if !js.Global().Get("JSON").Call("parse", out).Truthy() {
			t.Errorf("%s is no JSON", out)
		}
	}
	if calls != 6 {
		t.Errorf("%d calls", calls)
	}
}
