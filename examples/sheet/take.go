package main

import (
	"fmt"
	"strings"

	"example.com/keyorder/examples/internal/idea"
)

// readTake takes the figure from some bars of a file, in the key that is asked for
// or that the file says; from sound, as the first instrument of the sheet played it,
// to the count of -tempo if it is given.
func (s *sheet) readTake() error {
	for _, name := range []string{"figure", "notes", "scale"} {
		if s.set[name] {
			return fmt.Errorf("-%s: -take takes that from the file; write one of them", name)
		}
	}
	player, _, _ := strings.Cut(s.For, ",")
	a := idea.Asking{File: s.takeFile, Part: s.takePart, PartSet: s.set["part"], Bars: s.takeBars, Key: s.takeKey, Language: s.language, For: player, Name: s.name}
	if s.set["tempo"] {
		a.Tempo = s.Tempo
	}
	t, err := idea.Read(a)
	if err != nil {
		return given("take", err)
	}
	s.figure = t.Figure
	if t.Meter != "" && !s.set["meter"] {
		s.meter = t.Meter
	}
	s.taken = &t
	return nil
}
