// Listen hears a take and says of each statement whether it was clean, or what
// was wrong.
//
//	go run ./examples/listen -for trumpet -figure "3 5 1 6" -orders P4 -tempo 120 take.wav
//	go run ./examples/listen -for piano -orders m3 -json take.mid
//	go run ./examples/listen -block 2 -log take.wav
//	go run ./examples/listen -idea idea.wav -tempo 100 -key C
//
// The flags that say what was asked for are those of examples/sheet, and stand
// before the file. The take may begin any time before the count-in, or up to two
// bars after its beginning. Wear headphones: of a loudspeaker the answers are heard
// as well. With -log the verdicts go into the practice log, unless hardly anything of
// the take fits what was asked for. With -idea a figure is made of what was played:
// of sound one note at a time is heard, and chords in a take of sound are not judged;
// a MIDI file is read as sheet -take reads it. The sound is only read: nothing of it is
// kept.
package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"

	"example.com/keyorder/examples/internal/asked"
	"example.com/keyorder/examples/internal/flags"
	"example.com/keyorder/examples/internal/output"
	"example.com/keyorder/figure/listening"
)

func main() { os.Exit(run(os.Args[1:], os.Stdout, os.Stderr)) }

// run is the program: it returns the exit status, 2 for bad input, 1 where what
// it prints cannot be written.
func run(args []string, stdout, stderr io.Writer) int {
	out := &output.Writer{To: stdout}
	o, err := parseFlags(args, stderr)
	switch {
	case errors.Is(err, flag.ErrHelp):
		return 0
	case err != nil:
	case o.idea != "":
		err = o.printIdea(out)
	default:
		err = o.judge(out, stderr)
	}
	if err == nil {
		err = out.Err()
	}
	if err == nil {
		return 0
	}
	fmt.Fprintf(stderr, "listen: %v\n", err)
	if out.Err() != nil {
		return 1
	}
	return 2
}

// options are the flags as they were given.
type options struct {
	asked.Flags
	take       string // the file
	strictness listening.Strictness
	json       bool
	log        logFlag
	idea, key  string
	bars       string
	part       int
}

const about = `hears a take, a file of sound (WAVE) or MIDI, and judges it.

The file stands last, after the flags. It may begin any time before the count-in, or
up to two bars after its beginning. Wear headphones, or the answers of a loudspeaker
are heard as well. In sound one note at a time is heard: chords are judged in a MIDI
file only.`

func parseFlags(args []string, stderr io.Writer) (*options, error) {
	o := new(options)
	f := flag.NewFlagSet("listen", flag.ContinueOnError)
	o.Define(f)
	f.Lookup("language").Usage += ", for -key, -keys, -from, -names and -notes, and for the keys and the notes that are printed; -json has English ones"
	f.TextVar(&o.strictness, "charge", listening.StrictnessRhythm, "what is charged: notes (their order only), `rhythm` (notes, and when they come: within a third of the shortest note, at least 60 and at most 120 ms), or strict (half of that, 30 to 60 ms)")
	f.BoolVar(&o.json, "json", false, "print an object for each statement, one a line; of an idea one")
	f.Var(&o.log, "log", "add the verdicts to the practice log, -log=FILE to that one; -block and figures by name are those beside it")
	f.StringVar(&o.idea, "idea", "", "make a figure of what was played in this `file`, in the counted -tempo if that is given: of sound, one note at a time; a MIDI file or a score is read as sheet -take reads it")
	f.StringVar(&o.key, "key", "", "the `key` of the idea, as C or \"Eb dorian\": the written one of sound, that of the file of others (default the file's, of sound the one that fits best)")
	f.IntVar(&o.part, "part", 1, "the `number` of the part in the file of an idea")
	f.StringVar(&o.bars, "bars", "", "the `bars` of the file of an idea, as 3 or 3-4 (default all that have notes)")
	if _, err := flags.ParseFiles(f, args, about, stderr); err != nil {
		return o, err
	}
	o.Log = o.log.file
	if err := o.checkFiles(f.Args()); err != nil {
		return o, err
	}
	if o.idea != "" {
		return o, o.checkIdea(f)
	}
	for _, name := range []string{"key", "part", "bars"} {
		if o.Given(name) {
			return o, fmt.Errorf("-%s is of an idea, and goes with -idea; -keys or -from say where a route begins", name)
		}
	}
	o.take = f.Arg(0)
	return o, nil
}

// checkFiles refuses what is no single file.
func (o *options) checkFiles(files []string) error {
	wanted := 1
	if o.idea != "" {
		wanted = 0
	}
	late := slices.IndexFunc(files, func(text string) bool { return len(text) > 1 && text[0] == '-' })
	switch {
	case len(files) < wanted:
		return errors.New("name the file of the take: a WAVE file or a MIDI file; -h lists the flags")
	case len(files) == wanted:
		return nil
	case o.log.on && o.log.file == "" && late < 0 && len(files) == 2:
		return fmt.Errorf("-log takes its file with =: write -log=%.60s", files[0])
	case late >= 0:
		return fmt.Errorf("%.60q: flags stand before the file, which is the last", files[late])
	}
	return fmt.Errorf("%.60q is one file too many; put what belongs to a flag in quotes, as \"alto saxophone\"", files[len(files)-1])
}

// ideaFlags are the flags that go with -idea.
var ideaFlags = strings.Fields("idea for tempo key part bars language plain json")

// checkIdea refuses the flags that say what was asked for.
func (o *options) checkIdea(f *flag.FlagSet) (err error) {
	f.Visit(func(f *flag.Flag) {
		switch {
		case err != nil || slices.Contains(ideaFlags, f.Name):
		case f.Name == "log" || f.Name == "charge":
			err = fmt.Errorf("-%s: an idea is not judged", f.Name)
		default:
			err = fmt.Errorf("-%s says what was asked for, and an idea is what was played; with -idea go -%s", f.Name, strings.Join(ideaFlags[1:], ", -"))
		}
	})
	if err == nil && o.Given("tempo") && o.Tempo == 0 {
		err = errors.New("-tempo: 0 beats a minute; the tempo of an idea goes from 30 to 300")
	}
	return err
}

// A logFlag is -log, alone or with a file.
type logFlag struct {
	on   bool
	file string
}

func (l *logFlag) String() string   { return l.file }
func (l *logFlag) IsBoolFlag() bool { return true }

func (l *logFlag) Set(text string) error {
	switch text {
	case "true":
		l.on = true
	case "false":
		*l = logFlag{}
	case "":
		return errors.New("name the file, or write -log alone")
	default:
		*l = logFlag{true, text}
	}
	return nil
}
