// Package asked reads from a command line what is to be played: a figure, an
// instrument, orders of keys and how they are set in time. Its flags are those of
// examples/sheet.
package asked

import (
	"errors"
	"flag"
	"fmt"
	"os"
	"runtime"
	"slices"
	"strconv"
	"strings"

	"example.com/keyorder/cycle"
	"example.com/keyorder/examples/internal/flags"
	"example.com/keyorder/examples/internal/logbook"
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
	Language                       spelling.Language
	vary                           flags.Variations
	block, free                    int
	f                              *flag.FlagSet
}

// Define defines the flags, all but -log.
func (s *Flags) Define(f *flag.FlagSet) {
	s.f = f
	s.DefineWithoutLog(f, "the `instrument`, perhaps with a range: \"trumpet Bb3-E5\"", "the tempo")
	f.StringVar(&s.figure, "figure", DefaultFigure, "the figure in scale `degrees` or its name in the plan of examples/today, as \"1 5 b3:2 4 in dorian by 1/16\"")
	f.StringVar(&s.notes, "notes", "", "the figure as the `names` of its notes in the first key, as \"C F Eb Bb\"")
	f.StringVar(&s.scale, "scale", "", "the `scale` of the figure, as dorian (default major)")
	f.StringVar(&s.orders, "orders", "m3", "`orders` separated by spaces: intervals (\"m2 -m2\"), patterns (\"P4,-m3\"), twelve keys (\"0369/147T/258E\"), or "+strings.TrimSuffix(say.Names, ", fresh")+"; in words with semicolons between (\"down by fourths; whole steps\")")
	f.StringVar(&s.keys, "keys", "", "just these `keys`, in this order, as \"Bb Eb F Ab\"")
	f.StringVar(&s.from, "from", "", "the first `key`")
	f.StringVar(&s.names, "names", "", "what keys are `called`, as \"Eb Ab F#\", or flats")
	f.StringVar(&s.meter, "meter", "4/4", "the `meter`, as 3/4, 6/8, 3+2/8")
	f.StringVar(&s.rest, "rest", "", "the rest after each key in `bars`: 1, 2, 0 (default 1, or what the sound needs)")
	f.StringVar(&s.closing, "close", "held", "how a cycle comes `back` to its first key: held, full, open")
	f.StringVar(&s.padding, "pad", "bar", "where the next key `begins`: on the next bar, on the next beat, run on")
	f.StringVar(&s.sound, "sound", "answer", "what was heard while it was `played`: answer, call, model, click")
	f.IntVar(&s.free, "free", 0, "so many `bars` in the same key that were your own after each key; they are not judged")
	f.Func("swing", "the first eighth of a beat to the second as a `ratio`, 2:1 or 1.5 (default 1, straight)", s.readSwing)
	f.Var(&s.vary, "vary", "the figure `varied`, one way after the other with ; between them: retrograde, inversion about 3, rotation 1, displaced 1/8, rhythm 3 1 2, octave up 2, in dorian, first 3; several are logged as a figure of its own")
	f.IntVar(&s.block, "block", 0, "what was played is the block of this `number` of the plan that examples/today showed last")
	flags.Language(f, &s.Language)
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

// Given reports whether a flag was given.
func (s *Flags) Given(name string) bool {
	given := false
	s.f.Visit(func(f *flag.Flag) { given = given || f.Name == name })
	return given
}

// Name writes the name of a note or a key as the player reads it.
func (s *Flags) Name(n spelling.Name) string { return s.Text(s.Language.Name(n)) }

// Left returns the flags that say what is played and were left out, each with what
// it then is: "-tempo 80".
func (s *Flags) Left() (all []string) {
	instead := map[string]string{"figure": "notes", "orders": "keys"}
	for _, name := range []string{"for", "figure", "orders", "tempo", "sound", "close"} {
		if s.Given(name) || s.Given(instead[name]) || s.Given("block") && name != "sound" && name != "close" {
			continue
		}
		value := s.f.Lookup(name).DefValue
		if strings.Contains(value, " ") {
			value = strconv.Quote(value)
		}
		all = append(all, "-"+name+" "+value)
	}
	return all
}

// given wraps an error with the flag that caused it.
func given(name string, err error) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf("-%s: %w", name, err)
}

// instrument returns the instrument that was named. Whoever names none is not bound
// by the range of one.
func (s *Flags) instrument(f figure.Figure) (drill.Instrument, error) {
	level, err := s.Level()
	if err != nil {
		return drill.Instrument{}, err
	}
	i, err := drill.Find(s.For, level)
	if low, high := f.Span(); err == nil && !s.Given("for") && i.Low.To(i.High).Semitones() < high.Semitones()-low.Semitones()+12 {
		i, err = drill.Find(s.For, drill.LevelFull)
	}
	return i, given("for", err)
}

// Read works out what is asked for: the settings of a session.
func (s *Flags) Read() (set session.Settings, err error) {
	d, o := &set.Drill, &set.Playback
	if s.Given("block") {
		if set, err = s.readBlock(); err != nil {
			return set, err
		}
	} else {
		d.Tempo = s.Tempo
		if d.Prefer, err = s.preferred(); err != nil {
			return set, err
		}
		if d.Figure, err = s.readFigure(d.Prefer); err != nil {
			return set, err
		}
	}
	idea := d.Figure
	if set.Variation != (figure.Variation{}) {
		d.Figure, err = set.Variation.Apply(idea)
	} else if d.Figure, err = s.vary.Apply(idea); err == nil && len(s.vary) == 1 {
		set.Variation = s.vary[0]
	}
	if err != nil {
		return set, err
	}
	d.LeaveOut, o.Swing, o.Free = s.leaves, s.swing, s.free
	if s.names != "" {
		if d.Names, err = flags.Preference(s.Language, s.names); err != nil {
			return set, given("names", err)
		}
	}
	if set.Planned == nil {
		i, err := s.instrument(d.Figure)
		if err != nil {
			return set, err
		}
		d.Parts = []drill.Instrument{i}
	}
	if err := s.readTime(&set); err != nil {
		return set, err
	}
	if set.Planned == nil {
		orders, err := s.readOrders(d)
		if err != nil {
			return set, err
		}
		for _, order := range orders {
			set.Orders = append(set.Orders, session.Order{Name: order.Text, Title: order.Title, Route: order.Route})
		}
	}
	if set.Variation != (figure.Variation{}) {
		d.Figure = idea // a session varies it
	}
	return set, nil
}

// taken are the flags in whose place a block of the plan stands.
var taken = []string{"figure", "notes", "scale", "orders", "keys", "from", "for", "level", "meter", "written", "concert", "leave-out", "vary"}

// readBlock returns a block of the plan that was shown last, as sheet -block plays it:
// with the closing, the sound and the names of the flags.
func (s *Flags) readBlock() (set session.Settings, err error) {
	for _, name := range taken {
		if s.Given(name) {
			return set, fmt.Errorf("-%s: -block takes that from the plan; write one of them", name)
		}
	}
	path, err := s.LogPath(runtime.GOOS, os.Getenv)
	if err != nil {
		return set, given("block", err)
	}
	k, ok, err := logbook.ReadKept(path)
	if err != nil {
		return set, given("block", err)
	} else if !ok {
		return set, errors.New("-block: no plan was shown yet; go run ./examples/today shows one")
	}
	place, ok := k.Block(s.block)
	if !ok {
		return set, fmt.Errorf("-block: %d: the plan of %v has blocks 1 to %d", s.block, k.Plan.Settings.Date, k.Blocks())
	}
	b := k.Plan.Blocks[place]
	set.Drill = drill.Settings{Figure: k.Plan.Entry(place).Figure, Parts: b.Drill.Parts, Tempo: b.Drill.Tempo, Meter: b.Drill.Meter, Rest: b.Drill.Rest}
	if s.Given("tempo") {
		set.Drill.Tempo = s.Tempo
	}
	set.Orders = []session.Order{{Name: b.Order, Title: say.Block(b, k.Plan.Settings.Stage), Route: b.Drill.Route}}
	set.Variation, set.Planned = b.Variation, &session.Planned{Block: b.Number, Stage: k.Plan.Settings.Stage}
	return set, nil
}

// preferred returns the keys as they were typed.
func (s *Flags) preferred() ([]spelling.Name, error) {
	switch {
	case s.keys != "" && s.from != "":
		return nil, errors.New("-from and -keys both give the first key; write one of them")
	case s.keys != "" && s.Given("orders"):
		return nil, errors.New("-orders and -keys both give the keys; write one of them")
	case s.from != "":
		n, err := s.Language.ParseName(s.from)
		return []spelling.Name{n}, given("from", err)
	case s.keys != "":
		all, err := s.Language.ParseNames(s.keys)
		if err == nil && len(all) == 0 {
			err = fmt.Errorf("%q: write keys such as \"Bb Eb F Ab\"", s.keys)
		}
		return all, given("keys", err)
	}
	return nil, nil
}

func (s *Flags) readFigure(prefer []spelling.Name) (figure.Figure, error) {
	if s.notes != "" && s.Given("figure") {
		return figure.Figure{}, errors.New("-figure and -notes both give the figure; write one of them")
	}
	var scale figure.Scale
	text := s.figure
	if s.scale != "" {
		var err error
		if scale, err = figure.ParseScale(s.scale); err != nil {
			return figure.Figure{}, given("scale", err)
		}
		for _, t := range []string{s.figure, s.notes} {
			if strings.Contains(t, " in ") {
				return figure.Figure{}, fmt.Errorf("-scale: the figure %.60q names its scale already; name it once", t)
			}
		}
		text += " in " + scale.String()
	}
	if s.notes == "" {
		f, err := figure.Parse(text)
		if err != nil && s.scale == "" {
			if named, ok := s.named(); ok {
				return named, nil
			}
		}
		return f, given("figure", err)
	}
	var first spelling.Name
	if len(prefer) > 0 {
		first = prefer[0]
	}
	notes, err := flags.EnglishNotes(s.Language, s.notes)
	if err != nil {
		return figure.Figure{}, given("notes", err)
	}
	f, _, err := figure.FromNotes(notes, first, scale)
	return f, given("notes", err)
}

// named returns the figure of a name in the plan that was shown last.
func (s *Flags) named() (figure.Figure, bool) {
	path, err := s.LogPath(runtime.GOOS, os.Getenv)
	if err != nil {
		return figure.Figure{}, false
	}
	k, _, err := logbook.ReadKept(path)
	if err != nil {
		return figure.Figure{}, false
	}
	i, ok := k.Figure(s.figure)
	return i.Figure, ok
}

func (s *Flags) readTime(all *session.Settings) error {
	set, o := &all.Drill, &all.Playback
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
	if set.Figure.Chorus() && !s.Given("sound") {
		s.sound = playback.ModeModel.String()
	}
	padding := s.padding
	if padding == "run" {
		padding = "run on"
	}
	type setting struct {
		name, text string
		to         interface{ UnmarshalText([]byte) error }
	}
	settings := []setting{{"close", s.closing, &set.Closing}, {"pad", padding, &set.Padding}, {"sound", s.sound, &o.Mode}}
	if all.Planned == nil {
		settings = append(settings, setting{"meter", s.meter, &set.Meter})
	}
	for _, f := range settings {
		if err := f.to.UnmarshalText([]byte(f.text)); err != nil {
			return given(f.name, err)
		}
	}
	planned := set.Rest
	if needs := playback.RestFor(*o, *set); all.Planned == nil || barsOf(needs, set.Meter) > barsOf(planned, set.Meter) {
		set.Rest = needs
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
	return nil
}

// barsOf returns how long a rest is.
func barsOf(r drill.Rest, m drill.Meter) figure.Length {
	switch r {
	case 0:
		return m.Bar()
	case drill.NoRest:
		return 0
	}
	return figure.Length(r)
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
	start := say.Start{Scale: set.Figure.Scale(), Prefer: set.Prefer, Asked: s.from != "", Name: func(c pitch.Class) string { return s.Name(names[c]) }}
	if len(set.Prefer) > 0 {
		start.First = set.Prefer[0].Class()
	}
	if slices.Contains(say.Words(s.orders), "fresh") {
		return nil, given("orders", errors.New("which order was fresh is not known any more, as it goes by the log; write the one that the sheet names"))
	}
	orders, err := say.Orders(s.orders, start)
	return orders, given("orders", err)
}
