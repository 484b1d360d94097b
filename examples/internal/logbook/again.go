package logbook

import (
	"fmt"
	"slices"
	"strings"

	"example.com/keyorder/figure/practice"
)

// Again says what a log had of the drills of lines that are added to it, on the same
// day: the same result, as where a take is recorded twice, or another one. It says
// nothing where there is none.
func Again(before practice.Log, lines string) string {
	added, err := practice.Read(strings.NewReader(lines))
	if err != nil {
		return "" // which is said where the log is read next
	}
	var same, other []string
	for _, e := range added.Entries {
		of, last := &other, ""
		for _, b := range before.Entries {
			if !sameDrill(b, e) {
				continue
			}
			last = fmt.Sprintf("%d of %d clean", b.Clean, b.Played)
			if b.Clean == e.Clean && b.Played == e.Played && slices.Equal(b.FailedKeys, e.FailedKeys) && slices.Equal(b.FailedMoves, e.FailedMoves) {
				of = &same
				break
			}
		}
		if last != "" {
			*of = append(*of, last)
		}
	}
	switch {
	case len(same) > 0:
		return "The log had the same of today already, " + strings.Join(same, "; ") + ". If it was this take, go run ./examples/today -undo takes an entry back."
	case len(other) > 0:
		return "The log had this drill of today already, " + strings.Join(other, "; ") + "."
	}
	return ""
}

// sameDrill reports whether two entries are of one drill on one day.
func sameDrill(a, b practice.Entry) bool {
	return a.Date == b.Date && a.Instrument == b.Instrument && a.Tempo == b.Tempo && a.Variation == b.Variation && a.Figure.Equal(b.Figure) && a.Route.Equal(b.Route)
}
