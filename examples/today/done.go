package main

import (
	"bufio"
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"

	"example.com/keyorder/examples/internal/logbook"
	"example.com/keyorder/examples/internal/say"
	"example.com/keyorder/figure/practice"
)

// record writes what was played of the plan that was shown to the log: one block from the
// flags, or all that the player says in the terminal.
func record(o *options, w world, l *logFile, p practice.Plan) error {
	var blocks []int // the places of those that are played
	for i, b := range p.Blocks {
		if !b.Pause {
			blocks = append(blocks, i)
		}
	}
	if len(blocks) == 0 {
		return badUsage("the plan has no block: no figure fits; see the plan without -done")
	}
	r := recorder{o, w, l, p, map[string]int{}}
	if o.set["clean"] {
		return r.fromFlags(blocks)
	}
	fmt.Fprintln(w.out, o.names.text("What you say is recorded for "+p.Settings.Instrument.Name+"."))
	return r.ask(blocks)
}

type recorder struct {
	o     *options
	w     world
	l     *logFile
	p     practice.Plan
	clean map[string]int // clean passes of each figure
}

// entry returns the entry of a block of the plan with its result.
func (r recorder) entry(block, clean, of int, failed string) (practice.Entry, error) {
	e := r.p.Entry(block)
	if of == 0 {
		of = e.Played
	}
	if of < 1 || of > e.Played || clean < 0 || clean > of {
		return e, fmt.Errorf("%d of %d clean: the block has %d statements, and no more are clean than are played", clean, of, e.Played)
	}
	e.Clean, e.Played = clean, of
	var err error
	e.FailedKeys, e.FailedMoves, err = parseFailed(failed, e.Route)
	if err == nil && clean == of && failed != "" {
		err = fmt.Errorf("%.60q: all %d statements were clean, so that none failed", failed, of)
	}
	return e, err
}

func (r recorder) fromFlags(blocks []int) error {
	done := logbook.Recorded(r.p, r.l.Log)
	n := r.o.block
	if !r.o.set["block"] {
		for n = 1; n <= len(blocks) && done[blocks[n-1]].Entry >= 0; n++ {
		}
		if n > len(blocks) {
			return badUsage("all %d blocks of the day are recorded", len(blocks))
		}
	}
	if n < 1 || n > len(blocks) {
		return badUsage("block %d: the plan has blocks 1 to %d", n, len(blocks))
	}
	if d := done[blocks[n-1]]; d.Entry >= 0 && !d.Part {
		e := r.l.Entries[d.Entry]
		return badUsage("block %d is recorded already, %d of %d clean; -undo takes the last record back", n, e.Clean, e.Played)
	}
	e, err := r.entry(blocks[n-1], r.o.clean, r.o.of, r.o.failed)
	if err != nil {
		return usageError{err}
	}
	return r.write(n, blocks[n-1], e)
}

func (r recorder) say(format string, args ...any) {
	fmt.Fprint(r.w.out, r.o.names.text(fmt.Sprintf(format, args...)))
}

// write records a block.
func (r recorder) write(n, block int, e practice.Entry) error {
	if err := r.l.append(e); err != nil {
		return err
	}
	r.say("Recorded: block %d, %d of %d clean.\n", n, e.Clean, e.Played)
	if e.Clean == e.Played {
		name := r.p.Blocks[block].Drill.Title
		if r.clean[name]++; r.clean[name] == 3 {
			r.say("That is three clean passes of %s: leave it for another day.\n", name)
		}
	}
	return nil
}

// ask asks for each block that is not recorded, until the player or the input
// ends.
func (r recorder) ask(blocks []int) error {
	in := bufio.NewScanner(r.w.in)
	done := logbook.Recorded(r.p, r.l.Log)
	left := 0
	for n, block := range blocks {
		if done[block].Entry >= 0 {
			continue
		}
		left++
		b := r.p.Blocks[block]
		title := b.Drill.Title
		if v := b.Variation.String(); v != "" {
			title += " varied, " + v
		}
		r.say("\nBlock %d of %d: %s, %s, tempo %d\n  %s\n", n+1, len(blocks), title, say.Block(b, r.p.Settings.Stage), b.Drill.Tempo,
			strings.Join(r.o.names.sections(b.Drill.Route, b.Drill.Figure.Scale().Tonics()), "  /  "))
		all := b.Drill.Route.Len()
		for {
			r.say("How many of the %d statements were clean? (a number; 9 of 11 if you stopped early; empty: not played; end: no more)\n> ", all)
			if !in.Scan() {
				r.say("\n")
				return in.Err()
			}
			answer := strings.TrimSpace(in.Text())
			if answer == "" {
				break
			}
			if answer == "end" {
				return nil
			}
			e, err := r.answered(block, answer, in)
			if err != nil {
				r.say("%v\n", err)
				continue
			}
			if err := r.write(n+1, block, e); err != nil {
				return err
			}
			break
		}
	}
	if left == 0 {
		r.say("All %d blocks of the day are recorded.\n", len(blocks))
	}
	return nil
}

// answered reads an answer, and asks what failed if something did.
func (r recorder) answered(block int, answer string, in *bufio.Scanner) (practice.Entry, error) {
	first, second, stopped := strings.Cut(answer, "of")
	clean, err := strconv.Atoi(strings.TrimSpace(first))
	of := 0
	if err == nil && stopped {
		if of, err = strconv.Atoi(strings.TrimSpace(second)); of == 0 {
			of = -1
		}
	}
	if err != nil {
		return practice.Entry{}, fmt.Errorf("%.60q: a number is wanted, as 9, or 9 of 11", answer)
	}
	e, err := r.entry(block, clean, of, "")
	if err != nil || e.Clean == e.Played {
		return e, err
	}
	for {
		r.say("Which keys or moves were not? (as E Bb C>F; empty: not known)\n> ")
		if !in.Scan() {
			return e, nil
		}
		if e, err = r.entry(block, clean, of, strings.TrimSpace(in.Text())); err == nil {
			return e, nil
		}
		r.say("%v\n", err)
	}
}

// importLog takes over the entries of another log that are not in this one yet.
func importLog(o *options, w world, l *logFile) error {
	var in io.Reader = w.in
	name := "standard input"
	if o.from != "-" {
		f, err := os.Open(o.from)
		if err != nil {
			return usageError{err}
		}
		defer f.Close()
		in, name = f, o.from
	}
	from, err := practice.Read(in)
	if err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	logbook.Report(name, from, o.now, w.err)
	// An entry that is there is not taken again, however often the file is.
	have := map[string]int{}
	key := func(e practice.Entry) string {
		text, _ := e.MarshalJSON()
		return string(text)
	}
	for _, e := range l.Entries {
		have[key(e)]++
	}
	taken, known := 0, 0
	for _, e := range from.Entries {
		if k := key(e); have[k] > 0 {
			have[k]--
			known++
			continue
		}
		if err := l.append(e); err != nil {
			return err
		}
		taken++
	}
	fmt.Fprintf(w.out, "Recorded %d entries from %s; %d were there before.\n", taken, name, known)
	if bad := from.Bad; bad > 0 || from.Torn != nil {
		return badUsage("%s: not all of it could be read; what could is recorded", name)
	}
	return nil
}
