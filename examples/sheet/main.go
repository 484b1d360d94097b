// Sheet prints a practice sheet: a figure through the twelve keys in one order
// or several.
//
//	go run ./examples/sheet
//	go run ./examples/sheet -figure "1 4 b3 b7 in dorian" -orders "M2 -P4" -answers
//	go run ./examples/sheet -for "trumpet, alto saxophone" -out sheet
//
// Without -answers the sheet is a prompt for practice from memory: degrees and
// keys only. With -out it also writes the sheet as files to read and to play
// along with, all of them or none: they are made in a folder beside, .NAME.writing,
// which then takes the place of the one that is there. -take takes the figure from
// bars of a MIDI file or of a score, -block a block of the plan that examples/today
// showed last. go run ./examples/sheet -h lists the flags.
package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.com/keyorder/cycle"
	"example.com/keyorder/examples/internal/flags"
	"example.com/keyorder/examples/internal/idea"
	"example.com/keyorder/examples/internal/logbook"
	"example.com/keyorder/examples/internal/output"
	"example.com/keyorder/examples/internal/say"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/figure/practice"
	"example.com/keyorder/pitch"
	"example.com/keyorder/spelling"
)

func main() { os.Exit(run(os.Args[1:], os.Stdout, os.Stderr)) }

// run is the program: it returns the exit status, 2 for bad input, 1 where what
// it prints cannot be written or where it is interrupted.
func run(args []string, stdout, stderr io.Writer) int {
	out := &output.Writer{To: stdout}
	o, err := parseFlags(args, stderr)
	if errors.Is(err, flag.ErrHelp) {
		return 0
	}
	if err == nil {
		var s *sheet
		if s, err = newSheet(o, stderr); err == nil {
			err = s.print(out)
		}
	}
	if err == nil && out.Err() != nil {
		err = fmt.Errorf("%w; the files are in %s", out.Err(), o.out)
	}
	if err != nil {
		fmt.Fprintf(stderr, "sheet: %v\n", err)
	}
	switch {
	case err == nil:
		return 0
	case out.Err() != nil || errors.Is(err, errInterrupted):
		return 1
	}
	return 2
}

// options are the flags as they were given.
type options struct {
	flags.Player
	figure, notes, scale   string
	orders, keys, from     string
	names                  string
	answers, easy, strict  bool
	meter, rest, closing   string
	padding                string
	sound                  string
	swing                  float64
	heard                  playback.Options // the clicks, the free turn and the band
	articulation           drill.Articulation
	accents                drill.Accents
	vary                   flags.Variations
	language               spelling.Language
	written, concert, near bool
	leaveOut, signatures   bool
	promptOnly             bool
	block                  int
	takeFile               string
	takePart               int
	takeBars, takeKey      string
	title, out             string
	pages
	set   map[string]bool   // the flags that were given
	given map[string]string // what they were given
}

const defaultFigure = "1:3 5 4 2 3:2"

func parseFlags(args []string, stderr io.Writer) (options, error) {
	var o options
	f := flag.NewFlagSet("sheet", flag.ContinueOnError)
	o.Define(f, "one or several `instruments`, separated by commas, each perhaps with a range: \"trumpet Bb3-E5, alto saxophone\"",
		"the tempo", " that is read for -block, the order fresh and figures by name")
	f.StringVar(&o.figure, "figure", "", "the figure in scale `degrees` or its name in the plan of examples/today, as \"1 5 b3:2 4 in dorian by 1/16\"; b3, n7 and #4 are stated against the major scale whatever the scale (default \""+defaultFigure+"\")")
	f.StringVar(&o.notes, "notes", "", "the figure as the `names` of its notes in the first key, as \"C F Eb Bb\"")
	f.StringVar(&o.takeFile, "take", "", "the figure from a `file`: MIDI (.mid) or a score (.musicxml, .xml, .mxl), with its meter, or sound (.wav) that was played once to the count of -tempo")
	f.IntVar(&o.takePart, "part", 1, "the `number` of the part that -take reads; a voice or a staff of its own is one")
	f.StringVar(&o.takeBars, "bars", "", "the `bars` that -take reads, as 3 or 3-4: as a score numbers them, or counted from the first of a MIDI file (default all that have notes)")
	f.StringVar(&o.takeKey, "key", "", "the `key` in which -take reads notes, as the part has them, as Eb or \"D dorian\" (default the file's)")
	f.StringVar(&o.scale, "scale", "", "the `scale` of the figure, as dorian (default major)")
	f.StringVar(&o.orders, "orders", "", "`orders` separated by spaces: intervals (\"m2 -m2\"), patterns (\"P4,-m3\"), twelve keys (\"0369/147T/258E\"), or "+say.Names+"; in words with semicolons between (\"down by fourths; whole steps\")"+" (default \"m3\")")
	f.StringVar(&o.keys, "keys", "", "just these `keys`, in this order, as \"Bb Eb F Ab\"")
	f.StringVar(&o.from, "from", "", "the first `key` (default C, or the first of twelve keys as they are typed)")
	f.StringVar(&o.names, "names", "", "what keys are `called`, as \"Eb Ab F#\", or flats (default as players of the scale call them); each part takes it for the keys that it reads")
	f.BoolVar(&o.answers, "answers", false, "print every note of every key")
	f.BoolVar(&o.easy, "easy", false, "respell double sharps and flats for easy reading, a chord and its notes together")
	f.BoolVar(&o.strict, "strict", false, "spell every scale with its own letters; without it blues, altered, octatonic and whole-tone scales have no double sharps or flats, C♭ or F♭")
	f.StringVar(&o.meter, "meter", "4/4", "the `meter`, as 3/4, 6/8, 3+2/8")
	f.StringVar(&o.rest, "rest", "", "the rest after each key in `bars`: 1, 2, 0 (default 1, or what the sound needs)")
	f.StringVar(&o.closing, "close", "held", "how a cycle comes `back` to its first key: held, full, open")
	f.StringVar(&o.padding, "pad", "bar", "where the next key `begins`: on the next bar, on the next beat, run on")
	o.defineSound(f)
	f.Var(&o.vary, "vary", "the figure `varied`, one way after the other with ; between them, or given again: retrograde, inversion about 3, rotation 1, displaced 1/8, rhythm 3 1 2, octave up 2, in dorian, first 3; over changes the cell is")
	flags.Language(f, &o.language)
	f.Lookup("language").Usage += ", for -keys, -from, -names, -notes and -key, and for the keys and the notes of the sheet; chord symbols, staves and all other words are English"
	f.BoolVar(&o.written, "written", false, "typed keys are those that the player reads (the default for one instrument)")
	f.BoolVar(&o.concert, "concert", false, "typed keys are those that sound (the default for several instruments)")
	f.BoolVar(&o.near, "near", false, "keep the joins between keys small, rather than the line of the keys")
	f.BoolVar(&o.leaveOut, "leave-out", false, "leave out keys that do not fit an instrument, and name them")
	f.BoolVar(&o.signatures, "signatures", false, "write key signatures in the notation")
	f.IntVar(&o.block, "block", 0, "play the block of this `number` of the plan that examples/today showed last")
	f.BoolVar(&o.promptOnly, "prompt-only", false, "leave the answers out of the page and of the text file")
	f.StringVar(&o.title, "title", "", "a `title` for the sheet")
	o.pages.define(f)
	f.StringVar(&o.out, "out", "", "also write the sheet as files into this `folder`")
	var err error
	if o.set, err = flags.Parse(f, args, "prints a figure through the twelve keys, as a practice sheet.", stderr); err != nil {
		return o, err
	}
	o.given = map[string]string{}
	f.Visit(func(fl *flag.Flag) {
		o.given[fl.Name] = fl.Value.String()
		if fl.Value.String() == "" && fl.Name != "title" {
			err = fmt.Errorf("-%s \"\": it is empty; -h shows what it may be", fl.Name)
		}
	})
	if err != nil {
		return o, err
	}
	return o, nil
}

// A ratio is a flag such as 2:1 or 1.5.
type ratio float64

func (r *ratio) String() string { return fmt.Sprint(float64(*r)) }

// Set reads the ratio. The error says what would be right, as the flag package
// quotes what was given.
func (r *ratio) Set(text string) error {
	long, short, two := strings.Cut(text, ":")
	a, err := strconv.ParseFloat(strings.TrimSpace(long), 64)
	b := 1.0
	if err == nil && two {
		b, err = strconv.ParseFloat(strings.TrimSpace(short), 64)
	}
	if v := a / b; err != nil || !(v >= 1 && v <= playback.MaxSwing) {
		return fmt.Errorf("the first eighth of a beat to the second goes from 1, straight, to %d:1", playback.MaxSwing)
	}
	*r = ratio(a / b)
	return nil
}

// A sheet is what the flags ask for, worked out.
type sheet struct {
	options
	figure   figure.Figure
	idea     figure.Figure // before -vary
	policy   spelling.Policy
	parts    []drill.Instrument
	named    bool          // the player named the instruments
	first    spelling.Name // the first key as typed or as the scale names it
	prefer   []spelling.Name
	called   []spelling.Name // as -names has it
	orders   []say.Order
	keys     [12]spelling.Name // the keys as the route gives them
	settings drill.Settings    // of every order, without its route
	playback playback.Options

	stderr     io.Writer
	soundBytes int64 // of the sound files
	printed    int   // pages of index.html
	handed     int   // pages to hand out
	scored     int   // pages of the score

	drills  []*drill.Drill  // one for each order
	planned *practice.Block // that of -block
	taken   *idea.Idea      // that of -take
}

func newSheet(o options, stderr io.Writer) (*sheet, error) {
	s := &sheet{options: o, stderr: stderr}
	for _, step := range []func() error{s.readFigure, s.varied, s.readParts, s.readOrders, s.setDrills} {
		if err := step(); err != nil {
			return nil, err
		}
	}
	return s, nil
}

// given wraps an error with the flag that caused it.
func given(name string, err error) error {
	if err == nil {
		return nil
	}
	return fmt.Errorf("-%s: %w", name, err)
}

func (s *sheet) readFigure() error {
	switch {
	case s.easy && s.strict:
		return given("easy", errors.New("give -easy or -strict, not both"))
	case s.easy:
		s.policy = spelling.PolicyEasy
	case s.strict:
		s.policy = spelling.PolicyStrict
	}
	if s.set["block"] {
		return s.readBlock()
	}
	for _, name := range []string{"part", "bars", "key"} {
		if s.set[name] && s.takeFile == "" {
			return fmt.Errorf("-%s: it goes with -take, which names a file", name)
		}
	}
	if s.takeFile != "" {
		if err := s.readFirst(); err != nil {
			return err
		}
		return s.readTake()
	}
	if s.options.figure != "" && s.notes != "" {
		return errors.New("-figure and -notes both give the figure; write one of them")
	}
	text, where := s.options.figure, "figure"
	if text == "" {
		text = defaultFigure
	}
	scale := figure.Major
	if s.scale != "" {
		var err error
		if scale, err = figure.ParseScale(s.scale); err != nil {
			return given("scale", err)
		}
		for _, t := range []string{s.options.figure, s.notes} {
			if strings.Contains(t, " in ") {
				return fmt.Errorf("-scale: the figure %.60q names its scale already; name it once", t)
			}
		}
		text += " in " + scale.String()
	}
	if err := s.readFirst(); err != nil {
		return err
	}
	var err error
	if s.notes != "" {
		where = "notes"
		var notes string
		if notes, err = flags.EnglishNotes(s.language, s.notes); err == nil {
			s.figure, _, err = figure.FromNotes(notes, s.first, scale)
		}
	} else {
		s.figure, err = figure.Parse(text)
	}
	if err != nil && s.notes == "" && s.scale == "" {
		if f, ok := s.figureNamed(s.options.figure); ok {
			s.figure, err = f, nil
		}
	}
	return given(where, err)
}

// readFirst reads the first key, which -keys may give too.
func (s *sheet) readFirst() error {
	if s.options.keys != "" {
		var err error
		if s.prefer, err = s.keysIn(s.options.keys); err != nil {
			return given("keys", err)
		}
		if len(s.prefer) == 0 {
			return fmt.Errorf("-keys %q: write keys such as \"Bb Eb F Ab\"", s.options.keys)
		}
		s.first = s.prefer[0]
	}
	if s.from != "" {
		if s.options.keys != "" {
			return errors.New("-from and -keys both give the first key; write one of them")
		}
		n, err := s.language.ParseName(s.from)
		if err != nil {
			return given("from", err)
		}
		s.first, s.prefer = n, []spelling.Name{n}
	}
	return nil
}

func (s *sheet) readOrders() error {
	if s.options.names != "" {
		var err error
		if s.called, err = s.preference(s.options.names); err != nil {
			return given("names", err)
		}
	}
	s.keys = s.tonics(s.figure.Scale())
	name := func(c pitch.Class) string { return s.name(s.keys[c]) }
	if s.options.keys != "" {
		if s.options.orders != "" {
			return errors.New("-orders and -keys both give the keys; write one of them")
		}
		var keys []pitch.Class
		for _, n := range s.prefer {
			keys = append(keys, n.Class())
		}
		r, err := cycle.NewRoute(cycle.Section{Keys: keys})
		s.orders = []say.Order{{Text: s.options.keys, Title: "your keys", Route: r}}
		return given("keys", err)
	}
	if s.planned != nil {
		s.orders = []say.Order{s.blockOrder(name)}
		return nil
	}
	text := s.options.orders
	if text == "" {
		text = "m3"
	}
	start := say.Start{Scale: s.figure.Scale(), Prefer: s.preferred(), First: s.first.Class(), Asked: s.from != "", Name: name}
	if slices.Contains(say.Words(text), "fresh") {
		l, err := s.readLog()
		if err != nil {
			return given("orders", err)
		}
		clean, failed := l.Tally(s.parts[0].Name)
		clean.Merge(failed)
		start.Played = clean
	}
	var err error
	s.orders, err = say.Orders(text, start)
	return given("orders", err)
}

// preferred are the names of keys that go before those of the scale.
func (s *sheet) preferred() []spelling.Name { return append(slices.Clone(s.called), s.prefer...) }

// tonics returns the names of the keys in a scale, those that were typed as
// they were typed.
func (s *sheet) tonics(scale figure.Scale) [12]spelling.Name {
	return scale.Tonics(s.preferred()...)
}

// readLog reads the practice log.
func (s *sheet) readLog() (practice.Log, error) {
	path, err := s.logPath()
	if err != nil {
		return practice.Log{}, err
	}
	return logbook.Read(path, practice.DateOf(time.Now()), s.stderr)
}

func (s *sheet) readParts() error {
	if s.planned != nil {
		return nil
	}
	level, err := s.Level()
	if err != nil {
		return err
	}
	if s.named = s.set["for"]; !s.named {
		// Whoever names no instrument is not bound by the range of one.
		if i, err := drill.Find(s.For, level); err == nil {
			if low, high := s.figure.Span(); i.Low.To(i.High).Semitones() < high.Semitones()-low.Semitones()+12 {
				level = drill.LevelFull
			}
		}
	}
	for _, text := range strings.Split(s.For, ",") {
		i, err := drill.Find(text, level)
		if err != nil {
			return given("for", err)
		}
		s.parts = append(s.parts, i)
	}
	return nil
}

// name writes a name as the sheet does.
func (s *sheet) name(n spelling.Name) string {
	return s.Text(s.language.Name(n))
}
