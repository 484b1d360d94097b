// Package asked reads from a command line what is to be played: a figure, an
// instrument, orders of keys and how they are set in time. Its flags are those of
// examples/sheet.
package asked

import (
	"errors"
	"flag"
	"fmt"
	"strconv"
	"strings"

	"example.com/keyorder/cycle"
	"example.com/keyorder/examples/internal/flags"
	"example.com/keyorder/examples/internal/say"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/figure/session"
	"example.com/keyorder/pitch"
	"example.com/keyorder/spelling"
)

// DefaultFigure is the figure where none is given.
const DefaultFigure = "1:3 5 4 2 3:2"

// Flags are the flags as they were given.
type Flags struct {
	flags.Player
	figure, notes, scale           string
	orders, keys, from, names      string
	meter, rest, closing, padding  string
	sound                          string
	swing                          float64
	easy, strict                   bool
	written, concert, near, leaves bool
}

// Define defines the flags, all but -log.
func (s *Flags) Define(f *flag.FlagSet) {
	s.DefineWithoutLog(f, "the `instrument`, perhaps with a range: \"trumpet Bb3-E5\"", "the tempo")
	f.StringVar(&s.figure, "figure", DefaultFigure, "the figure in scale `degrees`, as \"1 5 b3:2 4 in dorian by 1/16\"")
	f.StringVar(&s.notes, "notes", "", "the figure as the `names` of its notes in the first key, as \"C F Eb Bb\"")
	f.StringVar(&s.scale, "scale", "", "the `scale` of the figure, as dorian (default major)")
	f.StringVar(&s.orders, "orders", "m3", "`orders` separated by spaces: intervals (\"m2 -m2\"), patterns (\"P4,-m3\"), twelve keys (\"0369/147T/258E\"), or "+say.Names+"; in words with semicolons between (\"down by fourths; whole steps\")")
	f.StringVar(&s.keys, "keys", "", "just these `keys`, in this order, as \"Bb Eb F Ab\"")
	f.StringVar(&s.from, "from", "", "the first `key`")
	f.StringVar(&s.names, "names", "", "what keys are `called`, as \"Eb Ab F#\", or flats")
	f.StringVar(&s.meter, "meter", "4/4", "the `meter`, as 3/4, 6/8, 3+2/8")
	f.StringVar(&s.rest, "rest", "", "the rest after each key in `bars`: 1, 2, 0 (default 1, or what the sound needs)")
	f.StringVar(&s.closing, "close", "held", "how a cycle comes `back` to its first key: held, full, open")
	f.StringVar(&s.padding, "pad", "bar", "where the next key `begins`: on the next bar, on the next beat, run on")
	f.StringVar(&s.sound, "sound", "answer", "what was heard while it was `played`: answer, call, model, click")
	f.Func("swing", "the first eighth of a beat to the second as a `ratio`, 2:1 or 1.5 (default 1, straight)", s.readSwing)
	f.BoolVar(&s.easy, "easy", false, "respell double sharps and flats for easy reading")
	f.BoolVar(&s.strict, "strict", false, "spell every scale with its own letters")
	f.BoolVar(&s.written, "written", false, "typed keys are those that the player reads (the default)")
	f.BoolVar(&s.concert, "concert", false, "typed keys are those that sound")
	f.BoolVar(&s.near, "near", false, "keep the joins between keys small, rather than the line of the keys")
	f.BoolVar(&s.leaves, "leave-out", false, "leave out keys that do not fit the instrument")
}

func (s *Flags) readSwing(text string) error {
	long, short, two := strings.Cut(text, ":")
	a, err := strconv.ParseFloat(strings.TrimSpace(long), 64)
	b := 1.0
	if err == nil && two {
		b, err = strconv.ParseFloat(strings.TrimSpace(short), 64)
	}
	if v := a / b; err != nil || !(v >= 1 && v <= playback.MaxSwing) {
		return fmt.Errorf("the first eighth of a beat to the second goes from 1, straight, to %d:1", playback.MaxSwing)
	}
	s.swing = a / b
	return nil
}

// given wraps an error with the flag that caused it.
func given(name string, err error) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf("-%s: %w", name, err)
}

// Instrument returns the instrument that was named.
func (s *Flags) Instrument() (drill.Instrument, error) {
	level, err := s.Level()
	if err != nil {
		return drill.Instrument{}, err
	}
	i, err := drill.Find(s.For, level)
	return i, given("for", err)
}

// Key returns the key of -from.
func (s *Flags) Key() (n spelling.Name, ok bool, err error) {
	if s.from == "" {
		return 0, false, nil
	}
	n, err = spelling.ParseName(s.from)
	return n, err == nil, given("from", err)
}

// Read works out what is asked for: the settings of a session.
func (s *Flags) Read() (set session.Settings, err error) {
	d, o := &set.Drill, &set.Playback
	d.Tempo, d.LeaveOut, o.Swing = s.Tempo, s.leaves, s.swing
	if d.Prefer, err = s.preferred(); err != nil {
		return set, err
	}
	if d.Figure, err = s.readFigure(d.Prefer); err != nil {
		return set, err
	}
	if s.names != "" {
		if d.Names, err = figure.ParsePreference(s.names); err != nil {
			return set, given("names", err)
		}
	}
	i, err := s.Instrument()
	if err != nil {
		return set, err
	}
	d.Parts = []drill.Instrument{i}
	if err := s.readTime(d, o); err != nil {
		return set, err
	}
	orders, err := s.readOrders(d)
	for _, order := range orders {
		set.Orders = append(set.Orders, session.Order{Name: order.Text, Title: order.Title, Route: order.Route})
	}
	return set, err
}

// preferred returns the keys as they were typed.
func (s *Flags) preferred() ([]spelling.Name, error) {
	if s.keys != "" && s.from != "" {
		return nil, errors.New("-from and -keys both give the first key; write one of them")
	}
	if n, ok, err := s.Key(); err != nil || ok {
		return []spelling.Name{n}, err
	}
	var all []spelling.Name
	for _, word := range strings.FieldsFunc(s.keys, func(r rune) bool { return r == ' ' || r == ',' }) {
		n, err := spelling.ParseName(word)
		if err != nil {
			return nil, given("keys", err)
		}
		all = append(all, n)
	}
	return all, nil
}

func (s *Flags) readFigure(prefer []spelling.Name) (figure.Figure, error) {
	var scale figure.Scale
	text := s.figure
	if s.scale != "" {
		var err error
		if scale, err = figure.ParseScale(s.scale); err != nil {
			return figure.Figure{}, given("scale", err)
		}
		text += " in " + scale.String()
	}
	if s.notes == "" {
		f, err := figure.Parse(text)
		return f, given("figure", err)
	}
	var first spelling.Name
	if len(prefer) > 0 {
		first = prefer[0]
	}
	f, _, err := figure.FromNotes(s.notes, first, scale)
	return f, given("notes", err)
}

func (s *Flags) readTime(set *drill.Settings, o *playback.Options) error {
	switch {
	case s.Tempo == 0:
		return errors.New("-tempo: 0 beats a minute; the tempo goes from 10 to 500")
	case s.written && s.concert:
		return errors.New("-written and -concert say the opposite; write one of them")
	case s.easy && s.strict:
		return errors.New("-easy and -strict say the opposite; write one of them")
	case s.written:
		set.Reading = drill.ReadingWritten
	case s.concert:
		set.Reading = drill.ReadingConcert
	}
	if s.near {
		set.Path = drill.PathNear
	}
	if s.easy {
		set.Policy = spelling.PolicyEasy
	}
	if s.strict {
		set.Policy = spelling.PolicyStrict
	}
	padding := s.padding
	if padding == "run" {
		padding = "run on"
	}
	for _, f := range []struct {
		name, text string
		to         interface{ UnmarshalText([]byte) error }
	}{{"meter", s.meter, &set.Meter}, {"close", s.closing, &set.Closing}, {"pad", padding, &set.Padding}, {"sound", s.sound, &o.Mode}} {
		if err := f.to.UnmarshalText([]byte(f.text)); err != nil {
			return given(f.name, err)
		}
	}
	if set.Rest = playback.RestFor(*o, *set); s.rest != "" {
		bars, err := strconv.Atoi(s.rest)
		if err != nil || bars < 0 || bars > 16 {
			return fmt.Errorf("-rest: %q: the rest is a number of bars, 0 to 16", s.rest)
		}
		if set.Rest = drill.Rest(bars) * drill.Rest(set.Meter.Bar()); bars == 0 {
			set.Rest = drill.NoRest
		}
	}
	return nil
}

func (s *Flags) readOrders(set *drill.Settings) ([]say.Order, error) {
	names := set.Figure.Scale().Tonics(append(append([]spelling.Name(nil), set.Names...), set.Prefer...)...)
	if s.keys != "" {
		var section cycle.Section
		for _, n := range set.Prefer {
			section.Keys = append(section.Keys, n.Class())
		}
		route, err := cycle.NewRoute(section)
		return []say.Order{{Text: s.keys, Title: "your keys", Route: route}}, given("keys", err)
	}
	start := say.Start{Scale: set.Figure.Scale(), Prefer: set.Prefer, Asked: s.from != "", Name: func(c pitch.Class) string { return s.Text(names[c].String()) }}
	if len(set.Prefer) > 0 {
		start.First = set.Prefer[0].Class()
	}
	orders, err := say.Orders(s.orders, start)
	return orders, given("orders", err)
}
