package main

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"example.com/keyorder/examples/internal/say"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/playback"
)

// setDrills makes a drill of every order.
func (s *sheet) setDrills() error {
	set := drill.Settings{
		Figure: s.figure, Parts: s.parts, Tempo: s.Tempo, Policy: s.policy, Names: s.called, Prefer: s.prefer, LeaveOut: s.leaveOut,
		Articulation: s.articulation, Accents: s.accents,
	}
	if s.near {
		set.Path = drill.PathNear
	}
	if s.Tempo == 0 {
		return errors.New("-tempo: 0 beats a minute; the tempo goes from 10 to 500")
	}
	if s.written && s.concert {
		return errors.New("-written and -concert say the opposite; write one of them")
	}
	if s.written {
		set.Reading = drill.ReadingWritten
	}
	if s.concert {
		set.Reading = drill.ReadingConcert
	}
	if err := set.Meter.UnmarshalText([]byte(s.meter)); err != nil {
		return given("meter", err)
	}
	if err := set.Closing.UnmarshalText([]byte(s.closing)); err != nil {
		return given("close", err)
	}
	padding := s.padding
	if padding == "run" {
		padding = "run on"
	}
	if err := set.Padding.UnmarshalText([]byte(padding)); err != nil {
		return given("pad", err)
	}
	if err := s.readSound(); err != nil {
		return err
	}
	set.Rest = playback.RestFor(s.playback, set)
	if s.planned != nil {
		set.Rest = s.blockRest(set)
	}
	if s.rest != "" {
		bars, err := strconv.Atoi(s.rest)
		if err != nil || bars < 0 || bars > 16 {
			return fmt.Errorf("-rest: %q: the rest is a number of bars, 0 to 16", s.rest)
		}
		if set.Rest = drill.Rest(bars) * drill.Rest(set.Meter.Bar()); bars == 0 {
			set.Rest = drill.NoRest
		}
	}
	s.settings = set
	for _, o := range s.orders {
		d, err := s.drill(o)
		if err != nil {
			return err
		}
		if err := s.checkSound(d); err != nil {
			return err
		}
		s.drills = append(s.drills, d)
	}
	return nil
}

func (s *sheet) drill(o say.Order) (*drill.Drill, error) {
	set := s.settings
	set.Title, set.Route = o.Title, o.Route
	d, err := drill.New(set)
	var fit *drill.FitError
	if errors.As(err, &fit) {
		var ways []string
		if wider := say.Wider(fit); wider != "" {
			ways = append(ways, "-level "+wider+", has all twelve")
		}
		if len(fit.Fit) > 0 {
			ways = append(ways, "-leave-out leaves out the others")
		}
		if len(ways) > 0 {
			return nil, fmt.Errorf("%w (%s)", err, strings.Join(ways, "; "))
		}
	}
	return d, err
}

// total adds up drills.
func total(drills []*drill.Drill) (statements, bars int, time time.Duration) {
	for _, d := range drills {
		statements += d.Len()
		bars += d.Bars()
		time += d.Duration()
	}
	return statements, bars, time
}

// eleven returns the drills of all eleven orders, or none where they do not
// fit.
func (s *sheet) eleven() []*drill.Drill {
	var all []*drill.Drill
	for _, o := range say.Orders11(s.first.Class()) {
		d, err := s.drill(o)
		if err != nil {
			return nil
		}
		all = append(all, d)
	}
	return all
}

func plural(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
