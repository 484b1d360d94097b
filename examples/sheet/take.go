package main

import (
	"fmt"
	"math"
	"strings"

	"example.com/keyorder/examples/internal/idea"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
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
		a.Tempo = int(math.Round(float64(s.Tempo) * s.quarters()))
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
	s.takeTempo()
	return nil
}

// quarters returns how many quarters a beat of the sheet's meter has, as the tempo
// counts beats.
func (s *sheet) quarters() float64 {
	var m drill.Meter
	if err := m.UnmarshalText([]byte(s.meter)); err != nil {
		return 1 // which is said where the meter is read
	}
	return float64(m.Counted()) / float64(figure.Quarter)
}

// takeTempo takes the tempo of the file, or the one that was found in it, unless
// -tempo says another.
func (s *sheet) takeTempo() {
	t := s.taken
	if t.Tempo == 0 || s.set["tempo"] {
		return
	}
	beats := math.Round(t.Tempo / s.quarters())
	if beats < drill.MinTempo || beats > drill.MaxTempo {
		t.Notes = append(t.Notes, fmt.Sprintf("its tempo of %.0f cannot be had here, which goes from %d to %d: it is %d; -tempo says another", beats, drill.MinTempo, drill.MaxTempo, s.Tempo))
		return
	}
	s.Tempo = int(beats)
	t.Notes = append(t.Notes, fmt.Sprintf("the tempo is that of the file, %d; -tempo says another", s.Tempo))
}
