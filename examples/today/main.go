// Today plans a day's practice, records what was played, and shows which moves
// between keys are still to be made.
//
//	go run ./examples/today              the plan of the day
//	go run ./examples/today -done        record it, block by block
//	go run ./examples/today -moves       the table of the 132 moves
//	go run ./examples/today -demo        any of it with an invented log
//
// The plan depends on the log before the day, the day and the flags, so that
// -done with the same flags asks for the same blocks. The log is a text file
// that only grows, one line for each block played (see package practice). It
// stands in the user's data folder unless -log says where: below
// $XDG_DATA_HOME or ~/.local/share, on Windows below %AppData%, on macOS below
// ~/Library/Application Support, as keyorder/practice.jsonl.
//
// A line is written at one go and brought to the disk. Where that fails half way,
// the next run of -done moves the torn beginning to a file of the same name with
// .torn after it. While -done runs it holds a lock on the log, so that a second
// one is refused: with flock on Linux, macOS and the BSDs, by opening the file
// for itself alone on Windows. Elsewhere there is none; then a torn beginning
// stays where it is and is named as a line that is not read.
package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"runtime"
	"strings"
	"time"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/practice"

	"example.com/keyorder/examples/internal/logbook"
)

func main() {
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

// ownFigures are those to begin with.
const ownFigures = "settle = 1:3 5 4 2 3:2; sway = 4 2 5 1:2 in dorian; reach = 1 6 5 7:2 in mixolydian"

// options are the flags.
type options struct {
	done, moves, demo, plain          bool
	figures, instrument, level, stage string
	log, out, from, date, failed      string
	minutes, block, clean, of         int
	seed                              uint64
	set                               map[string]bool
	settings                          practice.Settings
	names                             naming
}

// usageError is an input that is refused, with exit status 2.
type usageError struct{ error }

func badUsage(format string, args ...any) error { return usageError{fmt.Errorf(format, args...)} }

// run returns the exit status: 0, 1 where a file cannot be read or written, or 2
// where the input is refused.
func run(args []string, w world) int {
	err := today(args, w)
	var usage usageError
	switch {
	case err == nil:
		return 0
	case errors.Is(err, flag.ErrHelp):
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
	path := o.log
	if path == "" && !o.demo {
		if path, err = logbook.Path(w.system, w.env); err != nil {
			return usageError{err}
		}
	}
	if o.done {
		l, err := openLog(path, w.err)
		if err != nil {
			return err
		}
		if o.from != "" {
			err = importLog(o, w, l)
		} else {
			err = record(o, w, l)
		}
		return errors.Join(err, l.Close())
	}
	l := practice.Log{}
	if o.demo {
		l = demoLog()
	} else if l, err = logbook.Read(path, w.err); err != nil {
		return err
	}
	if err := o.settle(l); err != nil {
		return err
	}
	if o.demo {
		fmt.Fprintf(w.out, "%s\n\n", demoNote)
	}
	if o.moves {
		return showMoves(o, w, l)
	}
	p, err := practice.NewPlan(o.settings, l)
	if err != nil {
		return usageError{err}
	}
	return printPlan(w.out, p, l, o.names)
}

// parse reads the flags as far as they do not depend on the log.
func parse(args []string, w world) (*options, error) {
	o := &options{set: map[string]bool{}}
	f := flag.NewFlagSet("today", flag.ContinueOnError)
	f.SetOutput(io.Discard)
	f.BoolVar(&o.done, "done", false, "record what was played: asks for each block, or takes -block and -clean, or -from")
	f.BoolVar(&o.moves, "moves", false, "show the table of moves between keys, and the order that fills most of its gaps")
	f.BoolVar(&o.demo, "demo", false, "use an invented log of three weeks instead of one's own")
	f.BoolVar(&o.plain, "plain", false, "plain letters and signs only, as Bb for B♭")
	f.StringVar(&o.figures, "figures", ownFigures, "the `figures` to practise, each as name = degrees or degrees alone, with ; between them")
	f.StringVar(&o.instrument, "for", "piano", "the `instrument`, as trumpet, or with a range of one's own: trumpet Bb3-E5; if not given, that of the log's last entry")
	f.StringVar(&o.level, "level", "comfortable", "the `range` of the instrument: first years, comfortable or full")
	f.StringVar(&o.stage, "stage", "", "the `stage`: few keys, constant orders or mixed rows (default: that of the last entry, or constant orders)")
	f.IntVar(&o.minutes, "minutes", 15, "the `minutes` there are, as a part of a session")
	f.Uint64Var(&o.seed, "seed", 1, "a `number` that varies what would be as good another way")
	f.StringVar(&o.date, "date", "", "the `day`, as 2025-03-02 (default: today)")
	f.StringVar(&o.log, "log", "", "the log `file` (default: in the user's data folder)")
	f.StringVar(&o.out, "out", "", "with -moves, a `folder` to write moves.svg to")
	f.StringVar(&o.from, "from", "", "with -done, a `file` of log lines to take over, as another program saved them; - for standard input")
	f.IntVar(&o.block, "block", 0, "with -done, the `number` of the block that was played (default: the first not recorded)")
	f.IntVar(&o.clean, "clean", 0, "with -done, `how many` statements were clean")
	f.IntVar(&o.of, "of", 0, "with -clean, `how many` statements were played (default: all)")
	f.StringVar(&o.failed, "failed", "", "with -clean, the `keys and moves` that were not, as \"E Bb C>F\"")
	if err := f.Parse(args); errors.Is(err, flag.ErrHelp) {
		fmt.Fprintln(w.out, "today plans a day's practice, records it, and shows which moves between keys are still to be made.\n\nFlags:")
		f.SetOutput(w.out)
		f.PrintDefaults()
		return nil, err
	} else if err != nil {
		return nil, usageError{err}
	}
	f.Visit(func(f *flag.Flag) { o.set[f.Name] = true })
	if f.NArg() > 0 {
		return nil, badUsage("%.60q: there are flags only; figures with spaces stand in quotation marks, as -figures \"1 3 2 5\"", f.Arg(0))
	}
	return o, o.check(w)
}

// check refuses flags that do not go together, and reads those that are values.
func (o *options) check(w world) error {
	for _, f := range []struct {
		name, need string
		there      bool
	}{
		{"out", "-moves", o.moves}, {"from", "-done", o.done}, {"block", "-done", o.done}, {"clean", "-done", o.done},
		{"block", "-clean", o.set["clean"]}, {"of", "-clean", o.set["clean"]}, {"failed", "-clean", o.set["clean"]},
	} {
		if o.set[f.name] && !f.there {
			return badUsage("-%s goes with %s", f.name, f.need)
		}
	}
	switch {
	case o.done && o.moves:
		return badUsage("-done and -moves are two runs")
	case o.done && o.demo:
		return badUsage("the demo log is not written to; -done goes with a log of one's own")
	case o.demo && o.log != "":
		return badUsage("-demo and -log are two logs")
	case o.set["from"] && o.set["clean"]:
		return badUsage("-from takes all from its file; -clean does not go with it")
	}
	s := &o.settings
	s.Minutes, s.Seed = o.minutes, o.seed
	if o.minutes < 1 {
		return badUsage("%d minutes: a plan is for 1 to %d", o.minutes, practice.MaxMinutes)
	}
	s.Date = practice.DateOf(w.now)
	if o.demo {
		s.Date = demoDay
	}
	if o.date != "" {
		var err error
		if s.Date, err = practice.ParseDate(o.date); err != nil {
			return usageError{err}
		}
	}
	if o.demo && !o.set["for"] {
		o.instrument = demoInstrument
	}
	var level drill.Level
	if err := level.UnmarshalText([]byte(o.level)); err != nil {
		return usageError{err}
	}
	var err error
	if s.Instrument, err = drill.Find(o.instrument, level); err != nil {
		return usageError{err}
	}
	for _, text := range strings.Split(o.figures, ";") {
		var i practice.Idea
		if name, degrees, named := strings.Cut(text, "="); named {
			i.Name, text = strings.TrimSpace(name), degrees
		}
		if i.Figure, err = figure.Parse(strings.TrimSpace(text)); err != nil {
			return usageError{err}
		}
		s.Ideas = append(s.Ideas, i)
	}
	o.names = naming{plain: o.plain}
	return nil
}

// settle fills in what may come from the log: the instrument of its last entry,
// and the stage of the last one on the instrument.
func (o *options) settle(l practice.Log) error {
	s := &o.settings
	if n := len(l.Entries); n > 0 && !o.set["for"] && !o.demo {
		var level drill.Level
		if err := level.UnmarshalText([]byte(o.level)); err != nil {
			return usageError{err}
		}
		if i, err := drill.Find(l.Entries[n-1].Instrument, level); err == nil {
			s.Instrument = i
		}
	}
	s.Stage = practice.ConstantOrders
	for _, e := range l.Entries {
		if e.Instrument == s.Instrument.Name && e.Date < s.Date {
			s.Stage = e.Stage
		}
	}
	if o.stage != "" {
		if err := s.Stage.UnmarshalText([]byte(o.stage)); err != nil {
			return usageError{err}
		}
	}
	return nil
}
