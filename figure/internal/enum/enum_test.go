package enum

import (
	"errors"
	"testing"

	"example.com/keyorder/pitch/fault"
)

type tide uint8

var tides = []string{"ebb", "flow", "slack water"}

// TestLawText: a name reads as the value that it was written for, in any case,
// and a value without a name has no text.
func TestLawText(t *testing.T) {
	for v := range tide(255) {
		text, err := Append(nil, v, "Tide", tides)
		if int(v) >= len(tides) {
			var refused *fault.ValueError
			switch {
			case !errors.As(err, &refused):
				t.Errorf("%d is written as %q, %v: no such error", v, text, err)
			case refused.Setting != "tide":
				t.Errorf("%d is written as %q, %v: it names %q", v, text, err, refused.Setting)
			case len(text) > 0:
				t.Errorf("%d is written as %q, %v: there is text all the same", v, text, err)
			}
			continue
		}
		if err != nil || string(text) != Text(v, "Tide", tides) {
			t.Errorf("%d is written as %q, %v", v, text, err)
		}
		again := tide(99)
		if err := Set(&again, text, "Tide", tides); err != nil || again != v {
			t.Errorf("%q is read as %d, %v", text, again, err)
		}
	}
	if got := Text(tide(99), "Tide", tides); got != "Tide(99)" {
		t.Errorf("99 prints %s", got)
	}
	var v tide
	if err := Set(&v, []byte("Slack Water"), "Tide", tides); err != nil || v != 2 {
		t.Error(v, err)
	}
	var unread *fault.SyntaxError
	if err := Set(&v, []byte("neap"), "Tide", tides); v != 2 || !errors.As(err, &unread) || err.Error() != `tide "neap": it is one of ebb, flow, slack water` {
		t.Error(err)
	}
}
