// Lesson is a class hour on keys and their orders, on pages to look at, to hear
// and to print.
//
//	go run ./examples/lesson -out lesson                     for pupils of about thirteen
//	go run ./examples/lesson -out lesson -level student      for first-year students
//	go run ./examples/lesson -out lesson -figure "3 5 1 6"   with an idea of your own
//	go run ./examples/lesson -level student -unit 5          one unit, in the terminal
//
// With -out there are lesson.html, in which each result stands behind its task and
// is not printed; teacher.html, with all results and the answers to the questions;
// and a sound for each unit that has something to hear. More questions, with marks,
// come from examples/quiz.
//
// Every number, name and picture in it is worked out by the library as the pages
// are written. The units for pupils stand in pupil.go, those for students in
// student.go, each a function that needs nothing but the library.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"

	"example.com/keyorder/examples/internal/disk"
	"example.com/keyorder/examples/internal/flags"
	"example.com/keyorder/examples/internal/output"
	"example.com/keyorder/figure"
)

func main() { os.Exit(run(os.Args[1:], os.Stdout, os.Stderr)) }

// A level has its units and the words that they explain.
type level struct {
	name, title string
	units       []func(figure.Figure) (unit, error)
}

var levels = [...]level{
	{"pupil", "Tunes by numbers", pupilUnits},
	{"student", "Keys, orders and moves", studentUnits},
}

// options are what the command line asks for.
type options struct {
	level  level
	figure figure.Figure
	unit   int // 0 for all
	out    string
	plain  bool
}

// run is the program. It returns the exit status: 2 for what is not accepted, 1
// where something cannot be written.
func run(args []string, stdout, stderr io.Writer) int {
	out := &output.Writer{To: stdout}
	o, err := parse(args, out)
	if errors.Is(err, flag.ErrHelp) {
		err = nil
	} else if err != nil {
		fmt.Fprintf(stderr, "lesson: %v\n", err)
		return 2
	} else if err = o.write(out); err != nil {
		fmt.Fprintf(stderr, "lesson: %v\n", err)
		return 1
	}
	if out.Err() != nil {
		fmt.Fprintf(stderr, "lesson: %v\n", out.Err())
		return 1
	}
	return 0
}

func parse(args []string, help io.Writer) (o options, err error) {
	f := flag.NewFlagSet("lesson", flag.ContinueOnError)
	name := f.String("level", "pupil", "for whom: pupil or student")
	text := f.String("figure", "1:3 5 4 2 3:2", "the idea that the lesson takes through the keys, in `degrees`")
	f.IntVar(&o.unit, "unit", 0, "one unit alone, by its `number`")
	f.StringVar(&o.out, "out", "", "write pages and sounds into this `folder`")
	f.BoolVar(&o.plain, "plain", false, "without the signs ♭ and ♯")
	if _, err := flags.Parse(f, args, "A class hour on keys and their orders.", help); err != nil {
		return o, err
	}
	for _, l := range levels {
		if l.name == *name {
			o.level = l
		}
	}
	if o.level.units == nil {
		return o, fmt.Errorf("-level: %.40q is none; there are pupil and student", *name)
	}
	if o.unit < 0 || o.unit > len(o.level.units) {
		return o, fmt.Errorf("-unit %d is none; they are numbered from 1 to %d", o.unit, len(o.level.units))
	}
	if o.figure, err = figure.Parse(*text); err != nil {
		return o, fmt.Errorf("-figure: %w", err)
	}
	if o.level.name == "pupil" {
		if o.figure, err = inMajor(o.figure); err != nil {
			return o, fmt.Errorf("-figure: in the major scale, the scale of the pupils' lesson: %w", err)
		}
	}
	if o.figure.NoteCount() < 2 {
		return o, fmt.Errorf("-figure: %.60q has fewer than two notes; an idea is degrees such as 3 5 1 6", *text)
	}
	return o, nil
}

// write makes the units and prints them, or writes their pages.
func (o options) write(w io.Writer) error {
	var units []unit
	for n, make := range o.level.units {
		if o.unit != 0 && o.unit != n+1 {
			continue
		}
		u, err := make(o.figure)
		if err != nil {
			return fmt.Errorf("unit %d with the figure %v: %w", n+1, o.figure, err)
		}
		u.Number = n + 1
		units = append(units, u)
	}
	if o.out == "" {
		return printUnits(w, units, o.plain)
	}
	var files []disk.File
	for n := range units {
		u := &units[n]
		if u.heard != nil {
			u.Sound = fmt.Sprintf("unit-%d.wav", u.Number)
			files = append(files, disk.File{Name: u.Sound, Write: u.heard})
		}
	}
	p := page{Title: o.level.title, Units: units, Glossary: glossary(units)}
	teacher := p
	teacher.Teacher = true
	files = append(files,
		disk.File{Name: "lesson.html", Write: func(w io.Writer) error { return pageTemplate.Execute(w, p) }},
		disk.File{Name: "teacher.html", Write: func(w io.Writer) error { return pageTemplate.Execute(w, teacher) }})
	if err := disk.WriteFolder(context.Background(), o.out, files); err != nil {
		return err
	}
	_, err := fmt.Fprintf(w, "%s has lesson.html, %d units for the class, and teacher.html, with the results and answers.\n", o.out, len(units))
	return err
}
