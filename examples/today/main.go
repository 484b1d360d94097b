// Today plans a day's practice, records what was played, and shows which moves
// between keys are still to be made.
//
//	go run ./examples/today              the plan of the day
//	go run ./examples/today -done        record it, block by block
//	go run ./examples/today -undo        take the last record back
//	go run ./examples/today -moves       the table of the 132 moves
//	go run ./examples/today -demo        the plan or the table with an invented log
//	go run ./examples/today -class 7b    the logs of a class, a file a pupil: pupil by key and tempo
//
// The log is a text file, one line for each block played (see package practice).
// It stands in the user's data folder unless -log says where: below
// $XDG_DATA_HOME or ~/.local/share, on Windows below %AppData%, on macOS below
// ~/Library/Application Support, as keyorder/practice.jsonl.
//
// The plan that was shown last is kept beside it, as practice.jsonl.plan. What
// -done records is recorded of that plan, each block once, and the figures, the
// instrument and the other settings go on, from day to day, until flags name
// others. The sheet program takes blocks and figures from it, too.
//
// A line is written at one go and brought to the disk. Where that fails half way,
// the next run of -done moves the torn beginning to a file of the same name with
// .torn after it; what -undo takes back goes to one with .undone. While they run
// they hold a lock on the log, so that a second one is refused: with flock on
// Linux, macOS and the BSDs, by opening the file for itself alone on Windows.
// Elsewhere there is none; then a torn beginning stays where it is and is named
// as a line that is not read, and nothing is taken back.
package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"runtime"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/practice"

	"example.com/keyorder/examples/internal/flags"
	"example.com/keyorder/examples/internal/logbook"
	"example.com/keyorder/examples/internal/output"
	"example.com/keyorder/examples/internal/say"
)

func main() {
	output.Outlive()
	os.Exit(run(os.Args[1:], world{os.Stdin, os.Stdout, os.Stderr, time.Now(), runtime.GOOS, os.Getenv}))
}

// A world is what the program needs from outside.
type world struct {
	in       io.Reader
	out, err io.Writer
	now      time.Time
	system   string // as runtime.GOOS
	env      func(string) string
}

// options are the flags.
type options struct {
	flags.Player
	done, undo, moves, demo, concert bool
	figures, stage, vary, class      string
	out, from, date, failed          string
	minutes, block, clean, of, goal  int
	seed                             uint64
	set                              map[string]bool
	now, day                         practice.Date // the day that it is, and the one that is meant
	settings                         practice.Settings
	names                            naming
}

// planFlags are the flags that make the plan. What they set is kept.
var planFlags = []string{"figures", "vary", "for", "level", "stage", "minutes", "tempo", "goal", "seed"}

// usageError is an input that is refused, with exit status 2.
type usageError struct{ error }

func badUsage(format string, args ...any) error { return usageError{fmt.Errorf(format, args...)} }

// run returns the exit status: 0, 1 where a file cannot be read or written, or 2
// where the input is refused.
func run(args []string, w world) int {
	out := &output.Writer{To: w.out}
	w.out = out
	err := today(args, w)
	if err == nil || errors.Is(err, flag.ErrHelp) {
		err = out.Err()
	}
	var usage usageError
	switch {
	case err == nil:
		return 0
	case errors.As(err, &usage):
		fmt.Fprintln(w.err, "today:", err)
		return 2
	}
	fmt.Fprintln(w.err, "today:", err)
	return 1
}

func today(args []string, w world) error {
	o, err := parse(args, w)
	if err != nil {
		return err
	}
	if o.demo {
		return demo(o, w)
	}
	if o.class != "" {
		return showClass(o, w)
	}
	path, err := o.LogPath(w.system, w.env)
	if err != nil {
		return usageError{err}
	}
	switch {
	case o.undo:
		return withLog(path, o, w, func(l *logFile) error { return l.undo(path, o, w) })
	case o.from != "":
		return withLog(path, o, w, func(l *logFile) error { return importLog(o, w, l) })
	}
	kept, shown, err := logbook.ReadKept(path)
	if err != nil {
		return err
	}
	if o.done {
		if err := o.meant(kept, shown); err != nil {
			return err
		}
		return withLog(path, o, w, func(l *logFile) error { return record(o, w, l, kept.Plan) })
	}
	l, err := logbook.Read(path, o.now, w.err)
	if err != nil {
		return err
	}
	if err := o.settle(l, kept.Plan.Settings, shown); err != nil {
		return err
	}
	if o.moves {
		return showMoves(o, w, l)
	}
	p, err := practice.NewPlan(o.settings, l)
	if err != nil {
		return usageError{err}
	}
	sheet := "go run ./examples/sheet"
	if o.Log != "" {
		sheet += " -log " + say.Quoted(o.Log)
	}
	// What was shown is kept. The cautions stand once a day.
	told := kept.Shown == o.now
	err = printPlan(w.out, p, l, o.names, look{cautions: !told, sheet: sheet})
	if err == nil {
		kept.Shown = o.now
	}
	kept.Plan = p
	return errors.Join(err, logbook.Keep(path, kept))
}

// demo shows the invented log.
func demo(o *options, w world) error {
	l := demoLog()
	if err := o.settle(practice.Log{}, practice.Settings{}, false); err != nil {
		return err
	}
	fmt.Fprintf(w.out, "%s\n\n", demoNote)
	if o.moves {
		return showMoves(o, w, l)
	}
	p, err := practice.NewPlan(o.settings, l)
	if err != nil {
		return usageError{err}
	}
	return printPlan(w.out, p, l, o.names, look{cautions: true})
}

// withLog opens the log for writing while something is done with it.
func withLog(path string, o *options, w world, do func(*logFile) error) error {
	l, err := openLog(path, o.now, w.err)
	if err != nil {
		return err
	}
	return errors.Join(do(l), l.Close())
}

// meant refuses to record what was not shown: the plan that is kept must be that
// of the day.
func (o *options) meant(k logbook.Kept, shown bool) error {
	for _, name := range planFlags {
		if o.set[name] {
			return badUsage("-%s makes a plan; -done records the one that was shown last, with its figures and instrument", name)
		}
	}
	switch day := k.Plan.Settings.Date; {
	case !shown:
		return badUsage("no plan was shown yet: see it first, without -done")
	case day != o.day && o.set["date"]:
		return badUsage("the plan that was shown last is that of %v, not of %v", day, o.day)
	case day != o.day:
		return badUsage("the plan that was shown last is that of %v: record it with -date %v, or see today's first, without -done", day, day)
	}
	return nil
}

// parse reads the flags as far as they do not depend on the log.
func parse(args []string, w world) (*options, error) {
	o := new(options)
	f := flag.NewFlagSet("today", flag.ContinueOnError)
	o.Define(f, "the `instrument`, as trumpet, or with a range of one's own: trumpet Bb3-E5; at first that of the log's last entry",
		"where the figures begin that the log has nothing of,", "")
	f.BoolVar(&o.done, "done", false, "record what was played of the plan that was shown: asks for each block, or takes -block and -clean, or -from")
	f.BoolVar(&o.undo, "undo", false, "take the last record back")
	f.BoolVar(&o.moves, "moves", false, "show the table of moves between keys, and the order that fills most of its gaps")
	f.BoolVar(&o.demo, "demo", false, "use an invented log of three weeks instead of one's own")
	f.StringVar(&o.class, "class", "", "show the logs of a `folder`, a file a pupil, called after the pupil: the fastest clean tempo in each key, of any figure or of those of -figures")
	f.BoolVar(&o.concert, "concert", false, "with -class, show keys as they sound in place of those that each pupil reads")
	f.StringVar(&o.figures, "figures", say.OwnFigures, "the `figures` to practise, each as name = degrees or degrees alone, with ; between them; what this flag and -for, -level, -stage, -vary, -minutes, -tempo, -goal and -seed set goes on until they set something else")
	f.StringVar(&o.vary, "vary", say.OwnVariations, "the `variations` that the plan may take of each figure, with ; between them, in the second pass of a day once the last first try was clean; a figure that cannot be varied in one of the ways has the others; it goes on as -figures does, \"\" is none")
	f.StringVar(&o.stage, "stage", "", "the `stage`: few keys, constant orders or mixed rows (at first that of the log's last entry on the instrument, or constant orders)")
	f.IntVar(&o.goal, "goal", 120, "the tempo that none goes beyond, in `beats` a minute")
	f.IntVar(&o.minutes, "minutes", 15, "the `minutes` there are, as a part of a session")
	f.Uint64Var(&o.seed, "seed", 1, "a `number` that varies what would be as good another way")
	f.StringVar(&o.date, "date", "", "the `day`, as 2025-03-02 (default: today)")
	f.StringVar(&o.out, "out", "", "a `folder` to write to: with -moves moves.svg, with -class class.html")
	f.StringVar(&o.from, "from", "", "with -done, a `file` of log lines to take over, as another program saved them; - for standard input")
	f.IntVar(&o.block, "block", 0, "with -done, the `number` of the block that was played (default: the first not recorded)")
	f.IntVar(&o.clean, "clean", 0, "with -done, `how many` statements were clean")
	f.IntVar(&o.of, "of", 0, "with -clean, `how many` statements were played (default: all)")
	f.StringVar(&o.failed, "failed", "", "with -clean, the `keys and moves` that were not, as \"E Bb C>F\"")
	var err error
	o.set, err = flags.Parse(f, args, "plans a day's practice, records it, and shows which moves between keys are still to be made.", w.out)
	switch {
	case errors.Is(err, flag.ErrHelp):
		return nil, err
	case err != nil:
		return nil, usageError{err}
	}
	return o, o.check(w)
}

// check refuses flags that do not go together, and reads those that are values.
func (o *options) check(w world) error {
	for _, f := range []struct {
		name, need string
		there      bool
	}{
		{"out", "-moves or -class", o.moves || o.class != ""}, {"concert", "-class", o.class != ""}, {"from", "-done", o.done}, {"block", "-done", o.done}, {"clean", "-done", o.done},
		{"block", "-clean", o.set["clean"]}, {"of", "-clean", o.set["clean"]}, {"failed", "-clean", o.set["clean"]},
	} {
		if o.set[f.name] && !f.there {
			return badUsage("-%s goes with %s", f.name, f.need)
		}
	}
	switch {
	case o.done && o.moves:
		return badUsage("-done and -moves are two runs")
	case o.undo && len(o.set) > o.count("undo", "log", "plain", "demo"):
		return badUsage("-undo goes with no other flag but -log and -plain")
	case (o.done || o.undo) && o.demo:
		return badUsage("the demo log is not written to; -done and -undo go with a log of one's own")
	case o.demo && o.Log != "":
		return badUsage("-demo and -log are two logs")
	case o.set["class"] && o.class == "":
		return badUsage("-class: name the folder of the logs")
	case o.class != "" && len(o.set) > o.count("class", "concert", "figures", "out", "plain"):
		return badUsage("-class goes with no other flag but -concert, -figures, -out and -plain")
	case o.set["from"] && o.set["clean"]:
		return badUsage("-from takes all from its file; -clean does not go with it")
	}
	if o.minutes < 1 {
		return badUsage("minutes %d: a plan is for 1 to %d minutes", o.minutes, practice.MaxMinutes)
	}
	if !utf8.ValidString(o.figures) {
		return badUsage("%.60q: figures are text in UTF-8", o.figures)
	}
	o.now = practice.DateOf(w.now)
	o.day = o.now
	if o.demo {
		o.day = demoDay
	}
	if o.date != "" {
		var err error
		if o.day, err = practice.ParseDate(o.date); err != nil {
			return usageError{err}
		}
	}
	if o.demo && !o.set["for"] {
		o.For = demoInstrument
	}
	o.names = naming{plain: o.Plain}
	s := &o.settings
	var err error
	if s.Instrument, err = o.find(o.For); err != nil {
		return err
	}
	for _, text := range strings.Split(o.figures, ";") {
		var i practice.Idea
		if name, degrees, named := strings.Cut(text, "="); named {
			i.Name, text = strings.TrimSpace(name), degrees
			if _, err := figure.Parse(i.Name); err == nil {
				return badUsage("%.60q: a figure's name is none if it can be read as a figure", i.Name)
			}
		}
		if i.Figure, err = figure.Parse(strings.TrimSpace(text)); err != nil {
			return usageError{err}
		}
		s.Ideas = append(s.Ideas, i)
	}
	return o.varied(s.Ideas)
}

// varied gives ideas the variations of -vary, each those that it can have.
func (o *options) varied(ideas []practice.Idea) error {
	for _, text := range strings.Split(o.vary, ";") {
		if strings.TrimSpace(o.vary) == "" {
			break
		}
		v, err := figure.ParseVariation(text)
		if err != nil {
			return usageError{err}
		}
		taken := 0
		var refused error
		for n := range ideas {
			if _, err := v.Apply(ideas[n].Figure); err != nil {
				refused = err
				continue
			}
			ideas[n].Variations = append(ideas[n].Variations, v)
			taken++
		}
		if taken == 0 && o.set["vary"] {
			return badUsage("-vary: none of the figures can be varied by %v: %v", v, refused)
		}
	}
	return nil
}

// count counts those of some flags that were given.
func (o *options) count(names ...string) (n int) {
	for _, name := range names {
		if o.set[name] {
			n++
		}
	}
	return n
}

// find finds an instrument at the level of the flags.
func (o *options) find(name string) (drill.Instrument, error) {
	level, err := o.Level()
	if err != nil {
		return drill.Instrument{}, usageError{err}
	}
	i, err := drill.Find(name, level)
	if err != nil {
		return i, usageError{err}
	}
	return i, nil
}

// settle makes the settings of the plan: first what the flags say, then what was
// kept of the plan before, if there is one, then what the log says.
func (o *options) settle(l practice.Log, kept practice.Settings, shown bool) error {
	s := &o.settings
	s.Date, s.Minutes, s.Seed, s.Stage = o.day, o.minutes, o.seed, practice.StageConstantOrders
	if shown {
		if !o.set["minutes"] {
			s.Minutes = kept.Minutes
		}
		if !o.set["seed"] {
			s.Seed = kept.Seed
		}
		switch {
		case !o.set["figures"]:
			s.Ideas = slices.Clone(kept.Ideas)
			if o.set["vary"] {
				for n := range s.Ideas {
					s.Ideas[n].Variations = nil
				}
				if err := o.varied(s.Ideas); err != nil {
					return err
				}
			}
		case !o.set["vary"] && !slices.ContainsFunc(kept.Ideas, func(i practice.Idea) bool { return i.Variations != nil }):
			for n := range s.Ideas {
				s.Ideas[n].Variations = nil // as it was chosen before
			}
		}
	}
	for n := range s.Ideas {
		i := &s.Ideas[n]
		for _, k := range kept.Ideas {
			if k.Figure.Equal(i.Figure) {
				i.Tempo, i.Goal = k.Tempo, k.Goal
			}
		}
		if o.set["tempo"] {
			i.Tempo = o.Tempo
		}
		if o.set["goal"] {
			i.Goal = o.goal
		}
	}
	if err := o.settleInstrument(l, kept.Instrument, kept.Date, shown); err != nil {
		return err
	}
	if shown && kept.Instrument.Name == s.Instrument.Name {
		s.Stage = kept.Stage
	} else {
		for _, e := range l.Entries {
			if e.Instrument == s.Instrument.Name && e.Date < s.Date {
				s.Stage = e.Stage
			}
		}
	}
	if o.stage != "" {
		if err := s.Stage.UnmarshalText([]byte(o.stage)); err != nil {
			return usageError{err}
		}
	}
	return nil
}

// settleInstrument takes the instrument that was planned for or, if another was
// played since then, that one. The range is the player's unless -level says
// another.
func (o *options) settleInstrument(l practice.Log, planned drill.Instrument, on practice.Date, shown bool) error {
	s := &o.settings
	if o.set["for"] {
		return nil
	}
	name := planned.Name
	if n := len(l.Entries); n > 0 && (!shown || l.Entries[n-1].Date > on) {
		name = l.Entries[n-1].Instrument
	}
	switch {
	case name == "":
		return nil
	case shown && name == planned.Name && !o.set["level"]:
		s.Instrument = planned
		return nil
	}
	i, err := o.find(name)
	if err == nil {
		s.Instrument = i
	} else if shown && name == planned.Name {
		return err
	}
	return nil
}
