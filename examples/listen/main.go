// Listen hears a take and says of each statement whether it was clean, or what
// was wrong.
//
//	go run ./examples/listen -for trumpet -figure "3 5 1 6" -orders P4 -tempo 120 take.wav
//	go run ./examples/listen -for piano -orders m3 -json take.mid
//	go run ./examples/listen -idea idea.wav -tempo 100 -key C
//
// The flags that say what was asked for are those of examples/sheet. The take may
// begin up to two bars before the count-in or after its beginning. With -log the
// verdicts go into the practice log. With -idea a figure is made of what was
// played. The sound is only read: nothing of it is kept.
package main

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"os"

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
		err = o.printIdea(out, stderr)
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
	set        map[string]bool
}

func parseFlags(args []string, stderr io.Writer) (*options, error) {
	o := new(options)
	f := flag.NewFlagSet("listen", flag.ContinueOnError)
	o.Define(f)
	f.TextVar(&o.strictness, "charge", listening.StrictnessRhythm, "what is charged: notes (their order only), `rhythm` too, or strict, with half its tolerance")
	f.BoolVar(&o.json, "json", false, "print an object for each statement, one a line")
	f.Var(&o.log, "log", "add the verdicts to the practice log; -log=`file` says which")
	f.StringVar(&o.idea, "idea", "", "make a figure of what was played in this `file`, in the counted -tempo if that is given")
	f.StringVar(&o.key, "key", "", "the written `key` of the idea, as C or \"Eb dorian\" (default the one that fits best)")
	var err error
	if o.set, err = flags.ParseFiles(f, args, "hears a take, a file of sound or MIDI, and judges it.", stderr); err != nil {
		return o, err
	}
	switch {
	case o.idea != "" && f.NArg() > 0, o.idea == "" && f.NArg() > 1:
		return o, fmt.Errorf("%.60q is one file too many; put what belongs to a flag in quotes, as \"alto saxophone\"", f.Arg(f.NArg()-1))
	case o.idea != "" && o.log.on:
		return o, errors.New("-log: an idea is not judged")
	case o.idea == "" && o.key != "":
		return o, errors.New("-key is the key of an idea; -keys or -from say where a route begins")
	case o.idea == "" && f.NArg() == 0:
		return o, errors.New("name the file of the take: a WAVE file or a MIDI file; -h lists the flags")
	}
	o.take = f.Arg(0)
	return o, nil
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
