package main

import (
	"bufio"
	"fmt"
	"io"
	"strings"

	"example.com/keyorder/examples/internal/logbook"
	"example.com/keyorder/examples/internal/say"
	"example.com/keyorder/figure/practice"
)

const width = 66 // characters of a line

// A look says what stands in a printed plan beside the plan itself.
type look struct {
	cautions bool
	sheet    string // the command that prints sheets of the plan's blocks, if there is one
}

// printPlan prints a plan to be read at arm's length: short lines, wide apart.
func printPlan(to io.Writer, p practice.Plan, l practice.Log, n naming, with look) error {
	out := bufio.NewWriter(to)
	put := func(format string, args ...any) { fmt.Fprintln(out, n.text(fmt.Sprintf(format, args...))) }
	s := p.Settings
	put("%v %v · %d minutes · %s · %v", s.Date.Weekday(), s.Date, s.Minutes, s.Instrument.Name, s.Stage)
	put("Keys are those that the player reads.")
	cautions := practice.Cautions()
	if with.cautions {
		put("")
	} else {
		cautions = nil
	}
	for _, c := range cautions {
		for i, line := range words(c, width-4) {
			put("  %s %s", [...]string{"*", " "}[min(i, 1)], line)
		}
	}
	done := logbook.Recorded(p, l)
	recorded := false
	told := map[string]bool{} // the reasons that stand further up
	tell := func(of, what string, why fmt.Stringer) {
		text := what + ": " + why.String()
		if told[of+text] {
			return
		}
		told[of+text] = true
		for i, line := range words(text, width-9) {
			put("%*s%s", 9+2*min(i, 1), "", line)
		}
	}
	for i, b := range p.Blocks {
		put("")
		if b.Pause {
			put("%6s   PAUSE, %s minutes", clock(b.Start), clock(b.Length))
			tell("", "why", b.Why.Length)
			continue
		}
		marks := ""
		if b.Test {
			marks += "   TEST"
		}
		if done[i].Entry >= 0 {
			recorded = true
			marks += "   " + doneText(done[i], l)
		}
		heading, f := b.Drill.Title, n.figure(b.Drill.Figure)
		if n.text(heading) == n.figure(p.Entry(i).Figure) {
			heading = "figure" // it has no name
		}
		put("%6s   %d   %s%s", clock(b.Start), b.Number, strings.ToUpper(heading), marks)
		if v := b.Variation.String(); v != "" {
			put("         varied: %s", v)
		}
		for _, line := range words(f, width-9) {
			put("         %s", line)
		}
		put("         %s, tempo %d", say.Block(b, s.Stage), b.Drill.Tempo)
		put("")
		for _, line := range wrap(n.sections(b.Drill.Route, b.Drill.Figure.Scale().Tonics()), "  /  ", width-9) {
			for _, short := range wrap(strings.Split(line, "  "), "  ", width-9) {
				put("         %s", short)
			}
		}
		if with.sheet != "" {
			fmt.Fprintf(out, "         %s -block %d\n", with.sheet, b.Number)
		}
		put("")
		name := b.Drill.Title
		tell(name, "figure", b.Why.Figure)
		if b.Variation.String() != "" {
			tell(fmt.Sprint(i), "varied", b.Why.Varied)
		}
		tell(fmt.Sprint(i), "keys", b.Why.Keys)
		tell(name, fmt.Sprintf("tempo %d", b.Drill.Tempo), b.Why.Tempo)
		tell("", "rest of "+say.Rest(b), b.Why.Rest)
		tell(name, "how often", b.Why.Length)
	}
	put("")
	put("%6s   end", clock(p.Length()))
	for _, a := range p.Aside {
		if len(a.Keys) == 0 {
			aside(put, "Left aside, "+a.Idea.Name+": "+a.Reason.String())
			continue
		}
		var keys []string
		for _, k := range a.Keys {
			keys = append(keys, n.name(k))
		}
		aside(put, "Left aside, "+a.Idea.Name+" in "+strings.Join(keys, " ")+": "+a.Reason.String())
	}
	for _, note := range p.Remarks {
		aside(put, note.String())
	}
	if len(p.Blocks) > 0 && !recorded && with.sheet != "" {
		aside(put, "Record it with -done.")
	}
	return out.Flush()
}

// doneText says what is recorded of a block.
func doneText(r logbook.Record, l practice.Log) string {
	what := "DONE"
	if r.Part {
		what = "DONE IN PART"
	}
	e := l.Entries[r.Entry]
	return fmt.Sprintf("%s, %d of %d clean", what, e.Clean, e.Played)
}

func aside(put func(string, ...any), text string) {
	put("")
	for _, line := range words(text, width) {
		put("%s", line)
	}
}
