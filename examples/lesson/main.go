// Lesson is a class hour on keys and their orders: it prints seven short steps
// and works out every number in them before the pupils' eyes.
//
//	go run ./examples/lesson                      the whole hour
//	go run ./examples/lesson Eb4 D#4 B#3          with notes of your own
//	go run ./examples/lesson -figure "1 3 2 5"    with a figure of your own
//	go run ./examples/lesson -step 3              one step of it
//	go run ./examples/lesson -plain               without the signs ♭ and ♯
//	go run ./examples/lesson -quiz 10 -seed 3     ten questions
//
// The steps stand in steps.go, each a function of at most 30 lines that needs
// nothing but the library: paste one into a file of the class's own, change it
// and run it.
//
// The quiz starts easy and grows harder. The same seed asks the same questions.
// Answers may be typed as Eb or E♭, F# or F♯, m3 or -m3; a note that sounds
// right and has the wrong letter gets its own remark. An empty line passes, and
// shows the answer and the reason, so that
//
//	yes "" | go run ./examples/lesson -quiz 10 -seed 3
//
// prints the whole sheet with its answers for the teacher.
package main

import (
	"bufio"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"

	"example.com/keyorder/figure"
	"example.com/keyorder/spelling"
)

func main() { os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }

const maxQuestions = 200

// options are what the command line asks for.
type options struct {
	figure    figure.Figure
	notes     []spelling.Note
	step      int // 0 for all
	questions int // 0 for the lesson
	seed      uint64
	plain     bool
}

// run is the program. It returns the exit status: 2 for input that is not
// accepted, 1 where the output cannot be written.
func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	o, err := parse(args)
	if errors.Is(err, flag.ErrHelp) {
		if _, err := fmt.Fprintln(stdout, usage); err != nil {
			fmt.Fprintf(stderr, "lesson: %v\n", err)
			return 1
		}
		return 0
	}
	if err != nil {
		fmt.Fprintf(stderr, "lesson: %v\n", err)
		return 2
	}
	out := bufio.NewWriter(stdout)
	w := io.Writer(out)
	if o.plain {
		w = plainWriter{out}
	}
	if o.questions > 0 {
		err = quiz(w, out.Flush, stdin, o)
	} else {
		lesson(w, o)
	}
	if err != nil {
		fmt.Fprintf(stderr, "lesson: %v\n", err)
		return 2
	}
	if err := out.Flush(); err != nil {
		fmt.Fprintf(stderr, "lesson: %v\n", err)
		return 1
	}
	return 0
}

const usage = `lesson [-figure "1 b3 5"] [-step N] [-plain] [note ...]    a class hour
lesson -quiz 10 [-seed 1] [-figure "1 b3 5"] [-plain]    questions to answer
notes are written Eb4, F#3 or B♭4; steps go from 1 to 7`

// parse reads the command line. Flags and notes may stand in any order.
func parse(args []string) (o options, err error) {
	fs := flag.NewFlagSet("lesson", flag.ContinueOnError)
	fs.SetOutput(io.Discard)
	text := fs.String("figure", "1 b3 5", "")
	step := fs.String("step", "0", "")
	questions := fs.String("quiz", "0", "")
	seed := fs.String("seed", "1", "")
	fs.BoolVar(&o.plain, "plain", false, "")
	var notes []string
	for more := true; more; more = fs.NArg() > 0 {
		if err := fs.Parse(args); errors.Is(err, flag.ErrHelp) {
			return o, err
		} else if err != nil {
			return o, fmt.Errorf("%.80s; accepted are -figure, -step, -quiz, -seed, -plain and notes such as Eb4", err)
		}
		if fs.NArg() > 0 {
			notes, args = append(notes, fs.Arg(0)), fs.Args()[1:]
		}
	}
	set := map[string]bool{}
	fs.Visit(func(f *flag.Flag) { set[f.Name] = true })

	if o.figure, err = figure.Parse(*text); err != nil {
		return o, fmt.Errorf("-figure: %w", err)
	}
	if o.figure.NoteCount() == 0 {
		return o, fmt.Errorf("-figure: %.60q has no note; a figure is degrees such as 1 b3 5", *text)
	}
	for _, n := range notes {
		note, err := spelling.Parse(n)
		if err != nil {
			return o, err
		}
		o.notes = append(o.notes, note)
	}
	if o.step, err = strconv.Atoi(*step); set["step"] && (err != nil || o.step < 1 || o.step > len(steps)) {
		return o, fmt.Errorf("-step: %.60q is not a step; they are numbered from 1 to %d", *step, len(steps))
	}
	if o.questions, err = strconv.Atoi(*questions); set["quiz"] && (err != nil || o.questions < 1 || o.questions > maxQuestions) {
		return o, fmt.Errorf("-quiz: %.60q is not a number of questions from 1 to %d", *questions, maxQuestions)
	}
	if o.seed, err = strconv.ParseUint(*seed, 10, 64); err != nil {
		return o, fmt.Errorf("-seed: %.60q is not a whole number from 0 to %d", *seed, uint64(1<<64-1))
	}
	if o.questions > 0 && (o.step > 0 || len(o.notes) > 0) {
		return o, errors.New("-quiz makes up its own questions; -step and notes belong to the lesson")
	}
	if o.notes == nil {
		o.notes = []spelling.Note{spelling.MustParse("Eb4"), spelling.MustParse("D#4"), spelling.MustParse("Cb4")}
	}
	return o, nil
}

// steps are the lesson, in the order of the hour.
var steps = [...]struct {
	title string
	show  func(io.Writer, options)
}{
	{"One note, two ways to forget", func(w io.Writer, o options) { square(w, o.notes) }},
	{"Intervals and their inversions", func(w io.Writer, o options) { inversions(w) }},
	{"Why a wide interval repeats a narrow one backward", func(w io.Writer, o options) { backward(w) }},
	{"How many cycles", func(w io.Writer, o options) { cycles(w) }},
	{"Every change of key there is", func(w io.Writer, o options) { moves(w) }},
	{"What an order makes of a figure", func(w io.Writer, o options) { composites(w, o.figure) }},
	{"From one statement to the next", func(w io.Writer, o options) { joins(w, o.figure) }},
}

func lesson(w io.Writer, o options) {
	for n, s := range steps {
		if o.step == 0 || o.step == n+1 {
			fmt.Fprintf(w, "%d. %s\n\n", n+1, s.title)
			s.show(w, o)
			fmt.Fprintln(w)
		}
	}
}

// A plainWriter writes accidentals and other signs in ASCII. What is written
// to it at once is whole characters.
type plainWriter struct{ w io.Writer }

func (p plainWriter) Write(b []byte) (int, error) {
	plain := strings.NewReplacer("♭", "b", "♯", "#", "𝄫", "bb", "𝄪", "##", "♮", "n", "−", "-", "·", "*", "×", "x", "…", "...")
	_, err := plain.WriteString(p.w, string(b))
	return len(b), err
}
