package main

import (
	"errors"
	"fmt"
	"os"
	"runtime"

	"example.com/keyorder/examples/internal/logbook"
	"example.com/keyorder/examples/internal/say"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/pitch"
)

// logPath returns where the practice log stands that examples/today keeps.
func (o *options) logPath() (string, error) {
	return o.LogPath(runtime.GOOS, os.Getenv)
}

// figureNamed returns the figure that has a name in the plan that was shown last.
func (o *options) figureNamed(name string) (figure.Figure, bool) {
	path, err := o.logPath()
	if err != nil {
		return figure.Figure{}, false
	}
	k, _, err := logbook.ReadKept(path)
	if err != nil {
		return figure.Figure{}, false
	}
	i, ok := k.Figure(name)
	return i.Figure, ok
}

// readBlock takes what -block asks for from the plan that was shown last: the
// figure, the keys, the instrument and, where no flag says otherwise, the tempo
// and the rest.
func (s *sheet) readBlock() error {
	for _, name := range []string{"figure", "notes", "take", "part", "bars", "key", "scale", "orders", "keys", "from", "for", "level", "meter", "written", "concert", "leave-out"} {
		if s.set[name] {
			return fmt.Errorf("-%s: -block takes that from the plan; write one of them", name)
		}
	}
	path, err := s.logPath()
	if err != nil {
		return given("block", err)
	}
	k, ok, err := logbook.ReadKept(path)
	if err != nil {
		return given("block", err)
	} else if !ok {
		return errors.New("-block: no plan was shown yet; go run ./examples/today shows one")
	}
	place, ok := k.Block(s.block)
	if !ok {
		return fmt.Errorf("-block: %d: the plan of %v has blocks 1 to %d", s.block, k.Plan.Settings.Date, k.Blocks())
	}
	b := k.Plan.Blocks[place]
	s.planned = &b
	s.figure, s.parts, s.meter = b.Drill.Figure, b.Drill.Parts, b.Drill.Meter.String()
	if !s.set["tempo"] {
		s.Tempo = b.Drill.Tempo
	}
	if s.title == "" {
		s.title = fmt.Sprintf("Block %d of %v: %s", b.Number, k.Plan.Settings.Date, b.Drill.Title)
		if v := b.Variation.String(); v != "" {
			s.title += " varied, " + v
		}
	}
	return nil
}

// blockOrder returns the keys of the block, as an order in words if they are a
// whole one.
func (s *sheet) blockOrder(name func(pitch.Class) string) say.Order {
	o := say.Order{Text: s.planned.Order, Title: fmt.Sprintf("keys of block %d of the plan", s.planned.Number), Route: s.planned.Drill.Route}
	for _, first := range o.Route.Run() {
		known, err := say.Orders(o.Text, say.Start{Scale: s.figure.Scale(), First: first, Asked: true, Name: name})
		if err == nil && len(known) == 1 && (o.Route.Equal(known[0].Order.Closed()) || o.Route.Equal(known[0].Order.Open())) {
			known[0].Route = o.Route
			return known[0]
		}
		break
	}
	return o
}

// blockRest returns the rest of the block, or what the sound needs if that is
// longer.
func (s *sheet) blockRest(set drill.Settings) drill.Rest {
	length := func(r drill.Rest) figure.Length {
		switch r {
		case 0:
			return set.Meter.Bar()
		case drill.NoRest:
			return 0
		}
		return figure.Length(r)
	}
	sound := playback.RestFor(s.playback, set)
	if length(sound) > length(s.planned.Drill.Rest) {
		return sound
	}
	return s.planned.Drill.Rest
}
