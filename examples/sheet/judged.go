package main

import (
	"cmp"
	"flag"
	"io"
	"maps"
	"slices"
	"strconv"
	"strings"

	"example.com/keyorder/examples/internal/asked"
	"example.com/keyorder/examples/internal/say"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/figure/session"
)

// listenFlags are the flags of examples/listen that say what was played, first those
// that are told first.
func listenFlags() (*asked.Flags, *flag.FlagSet) {
	a, f := new(asked.Flags), flag.NewFlagSet("listen", flag.ContinueOnError)
	a.Define(f)
	f.StringVar(&a.Log, "log", "", "")
	f.SetOutput(io.Discard)
	return a, f
}

var toldFirst = []string{"for", "level", "block", "figure", "vary", "orders", "keys", "from", "names", "language", "meter", "tempo", "rest", "sound"}

// judges returns the command that has examples/listen judge a take of some orders, all
// that are told of a figure with those flags that are not as usual; or nothing where
// its flags cannot say what the sheet has. Of several players it is the first one's.
func (s *sheet) judges(orders ...say.Order) string {
	values := maps.Clone(s.given)
	heard := s.playedTo()
	if heard.Mode != s.playback.Mode {
		values["sound"] = heard.Mode.String()
	}
	if heard.Swing == 1 {
		delete(values, "swing")
	}
	delete(values, "notes")
	delete(values, "scale")
	if s.planned != nil {
		if line := s.judgesWith(values, orders); line != "" {
			return line
		}
		delete(values, "block")
		delete(values, "log")
		i := s.parts[0]
		values["for"] = i.Name + " " + i.Low.Plain() + "-" + i.High.Plain()
	} else {
		delete(values, "log")
	}
	values["figure"] = s.idea.Plain()
	values["tempo"] = strconv.Itoa(s.Tempo)
	values["meter"] = s.settings.Meter.String()
	if len(s.parts) > 1 {
		values["for"], _, _ = strings.Cut(values["for"], ",")
		if !s.written {
			values["concert"] = "true"
		}
	}
	first := ""
	for _, k := range orders[0].Route.Run() {
		first = s.name(s.keys[k])
		break
	}
	var names, rows []string
	for _, o := range orders {
		names, rows = append(names, o.Text), append(rows, o.Order.String())
	}
	for _, text := range []string{values["orders"], strings.Join(names, "; "), strings.Join(rows, "; ")} {
		if slices.Contains(say.Words(text), "fresh") {
			continue // on another day it would be another
		}
		for _, from := range []string{values["from"], "", first} {
			with := maps.Clone(values)
			with["orders"], with["from"] = text, from
			if s.options.keys != "" {
				with["orders"], with["from"] = "", ""
			}
			if line := s.judgesWith(with, orders); line != "" {
				return line
			}
		}
	}
	return ""
}

// playedTo is what sounds while the sheet is played: where there can be no such sound
// files, without swing, or with nothing but the notes.
func (s *sheet) playedTo() playback.Options {
	o := s.playback
	for _, try := range []func(){func() {}, func() { o.Swing = 1 }, func() { o.Mode, o.Swing = playback.ModeModel, s.swing }, func() { o.Swing = 1 }} {
		try()
		if _, err := playback.New(s.drills, o); err == nil {
			break
		}
	}
	return o
}

// judgesWith is judges with these flags, as far as listen has them, and the rest where
// it is not what listen takes.
func (s *sheet) judgesWith(values map[string]string, orders []say.Order) string {
	rests := []string{values["rest"]}
	if s.rest == "" {
		bar := drill.Rest(s.settings.Meter.Bar())
		bars := int(max(cmp.Or(s.settings.Rest, bar), 0) / bar)
		rests = append(rests, strconv.Itoa(bars), strconv.Itoa(bars+1))
	}
	for _, rest := range rests {
		values["rest"] = rest
		a, f := listenFlags()
		var names []string
		f.VisitAll(func(known *flag.Flag) {
			value := values[known.Name]
			usual := value == known.DefValue && known.Name != "for" && !(known.Name == "sound" && s.figure.Chorus())
			if value != "" && !usual {
				names = append(names, known.Name)
			}
		})
		place := func(name string) int {
			if n := slices.Index(toldFirst, name); n >= 0 {
				return n
			}
			return len(toldFirst)
		}
		slices.SortStableFunc(names, func(a, b string) int { return place(a) - place(b) })
		var args []string
		line := "go run ./examples/listen"
		for _, name := range names {
			value := values[name]
			arg := []string{"-" + name, value}
			said := "-" + name + " " + say.Quoted(value)
			switch _, alone := f.Lookup(name).Value.(interface{ IsBoolFlag() bool }); {
			case alone:
				arg, said = arg[:1], "-"+name
			case name == "log":
				arg, said = []string{"-log=" + value}, "-log="+say.Quoted(value)
			}
			args, line = append(args, arg...), line+" "+said
		}
		if f.Parse(args) != nil {
			continue
		}
		if set, err := a.Read(); err == nil && s.asks(set, orders) {
			return line + " take.wav"
		}
	}
	return ""
}

// asks reports whether the settings of a session are what the first player of the
// sheet plays.
func (s *sheet) asks(set session.Settings, orders []say.Order) bool {
	heard := s.playedTo()
	if len(set.Orders) != len(orders) || set.Playback.Mode != heard.Mode || cmp.Or(set.Playback.Swing, 1) != heard.Swing {
		return false
	}
	for n, o := range orders {
		if !set.Orders[n].Route.Equal(o.Route) {
			return false
		}
	}
	one := set.Drill
	f, err := set.Variation.Apply(one.Figure)
	if err != nil {
		return false
	}
	one.Figure, one.Route = f, orders[0].Route
	got, err := drill.New(one)
	if err != nil {
		return false
	}
	want, err := s.drill(orders[0])
	return err == nil && sameTake(want, got, len(s.parts) > 1)
}

// sameTake reports whether the first parts of two drills have the same notes at the
// same time; in any octave, where it does not matter.
func sameTake(a, b *drill.Drill, anyOctave bool) bool {
	sa, sb := a.Settings(), b.Settings()
	if a.Len() != b.Len() || sa.Tempo != sb.Tempo || sa.Meter != sb.Meter || !sa.Figure.Equal(sb.Figure) {
		return false
	}
	var others []drill.Statement
	for st := range b.Parts()[0].Statements() {
		others = append(others, st)
	}
	for st := range a.Parts()[0].Statements() {
		o := others[st.Index]
		if st.Section != o.Section || st.Onset != o.Onset || st.Return != o.Return || st.Held != o.Held || st.Rests != o.Rests ||
			st.Written.Name() != o.Written.Name() || st.Sounding.Name() != o.Sounding.Name() || !anyOctave && st.Written != o.Written {
			return false
		}
	}
	return true
}
