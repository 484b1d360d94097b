package main

import (
	"fmt"
	"io"
)

// A table counts mutants by operator and by what became of them.
type table map[string]counts

type counts struct{ mutants, killed, timedOut, lived, equivalent int }

// score is the share of mutants that were noticed, of those that can be.
func (c counts) score() float64 {
	if c.mutants == c.equivalent {
		return 100
	}
	return 100 * float64(c.killed+c.timedOut) / float64(c.mutants-c.equivalent)
}

func (c *counts) add(d counts) {
	c.mutants += d.mutants
	c.killed += d.killed
	c.timedOut += d.timedOut
	c.lived += d.lived
	c.equivalent += d.equivalent
}

// add adds the counts of another table; the first may be nil.
func (t *table) add(u table) {
	if *t == nil {
		*t = table{}
	}
	for op, d := range u {
		c := (*t)[op]
		c.add(d)
		(*t)[op] = c
	}
}

func (p *pkg) table() table {
	t := table{}
	for _, m := range p.mutants {
		c := counts{mutants: 1}
		switch {
		case m.fate == killed:
			c.killed++
		case m.fate == timedOut:
			c.timedOut++
		case m.reason != "":
			c.equivalent++
		default:
			c.lived++
		}
		t.add(table{m.operator: c})
	}
	return t
}

func (t table) print(w io.Writer) {
	fmt.Fprintf(w, "%-12s %8s %8s %10s %8s %11s %8s\n", "operator", "mutants", "killed", "timed out", "lived", "equivalent", "score")
	row := func(name string, c counts) {
		fmt.Fprintf(w, "%-12s %8d %8d %10d %8d %11d %6.1f %%\n", name, c.mutants, c.killed, c.timedOut, c.lived, c.equivalent, c.score())
	}
	var total counts
	for _, op := range operators {
		row(op, t[op])
		total.add(t[op])
	}
	row("all", total)
}

// printSurvivors prints each mutant that lived and is not listed as equivalent.
func (p *pkg) printSurvivors(w io.Writer) {
	for _, m := range p.mutants {
		if m.fate != lived || m.reason != "" {
			continue
		}
		note := ""
		if len(m.quick)+len(m.slow) == 0 {
			note = "  (no test comes here)"
		}
		fmt.Fprintf(w, "%v: %s: %s%s\n", m.position, functionName(m.function), m.change, note)
	}
}
