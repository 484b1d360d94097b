package notation

import (
	"math"
	"slices"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/spelling"
)

// Clefs are chosen for whole passages, all of a drill together: what costs least
// by a shortest path. A passage is a statement, or several that no barline
// parts.

// LedgerBudget is how many ledger lines a note may need before a part changes to
// another clef that its players read. More than three are commonly held too hard
// to read (an encyclopedia and a festival's guidelines for parts).
const LedgerBudget = 3

// Position returns where a note stands on a staff with a clef, in steps above
// its middle line.
func Position(c drill.Clef, n spelling.Note) int {
	middle := 4*7 + int(spelling.LetterB)
	switch c {
	case drill.ClefBass:
		middle = 3*7 + int(spelling.LetterD)
	case drill.ClefAlto:
		middle = 4*7 + int(spelling.LetterC)
	case drill.ClefTrebleOctave:
		middle = 3*7 + int(spelling.LetterB)
	case drill.ClefTenor:
		middle = 3*7 + int(spelling.LetterA)
	}
	return place(n) - middle
}

// Ledgers returns how many ledger lines a note needs in a clef.
func Ledgers(c drill.Clef, n spelling.Note) int {
	p := Position(c, n)
	return max(0, max(p, -p)/2-2)
}

// A passage is a run of statements that begins with a bar of its own.
type passage struct {
	from       figure.Length // the barline that it begins at
	statements int           // that are played
	section    bool          // a section begins with it, other than the first
	costs      []int         // in each clef of the choice
	clef       drill.Clef
	staff      int
}

// A choice is what the passages of a drill can be written in: clefs of one
// staff, the usual one first, or the two staves of a grand staff.
type choice struct {
	clefs []drill.Clef
	grand bool
}

func choiceOf(i drill.Instrument) choice {
	if i.Grand {
		return choice{[]drill.Clef{drill.ClefTreble, drill.ClefBass}, true}
	}
	c := choice{clefs: []drill.Clef{i.Clef}}
	for also := range i.Also.All() {
		if also != i.Clef {
			c.clefs = append(c.clefs, also)
		}
	}
	// Where both would do, a low part goes to the tenor clef before the treble.
	slices.SortStableFunc(c.clefs[1:], func(a, b drill.Clef) int { return int(b) - int(a) })
	return c
}

// What a choice costs: a ledger line over the budget is worse than any number of
// changes, and a statement away from the usual clef costs something, so that
// the part comes back to it. On a grand staff every ledger line counts.
const (
	costOver    = 1 << 20
	costChange  = 4
	costAway    = 1
	costSection = -1 // less where a section begins
)

// cost returns what it costs to write a note in a clef of a choice.
func (c choice) cost(clef int, n spelling.Note) int {
	lines := Ledgers(c.clefs[clef], n)
	cost := max(0, lines-LedgerBudget) * costOver
	if c.grand {
		cost += lines
	}
	return cost
}

// passages returns the passages of a part of a drill with their clefs.
func (c choice) passages(set drill.Settings, p drill.Part) []passage {
	var all []passage
	var events []figure.Event
	sounds := soundingOf(set)
	var ends figure.Length
	var section int
	for s := range p.Statements() {
		from, to := sounds.of(s)
		if barline := from / sounds.bar * sounds.bar; len(all) == 0 || barline >= ends {
			all = append(all, passage{from: barline, section: s.Section != section, costs: make([]int, len(c.clefs))})
		}
		section, ends = s.Section, to
		if s.Rests {
			continue
		}
		now := &all[len(all)-1]
		now.statements++
		events = s.AppendEvents(events[:0])
		for clef := range c.clefs {
			for _, e := range events {
				now.costs[clef] += c.cost(clef, e.Note)
			}
			if clef > 0 && !c.grand {
				now.costs[clef] += costAway
			}
		}
	}
	c.choose(all)
	return all
}

// choose gives each passage its clef, so that the sum of what they and the
// changes cost is least. On one staff a clef holds for two statements at least.
func (c choice) choose(all []passage) {
	least, played := 2, 0
	if c.grand {
		least = 1
	}
	for _, p := range all {
		played += p.statements
	}
	least = min(least, played)
	// A state is a clef with how many statements it has held for, up to least.
	type state struct{ cost, from int }
	states := len(c.clefs) * (least + 1)
	paths := make([][]state, len(all)+1) // to the beginning of each passage, and to the end
	for n := range paths {
		paths[n] = slices.Repeat([]state{{cost: math.MaxInt}}, states)
	}
	for clef := range c.clefs {
		paths[0][clef*(least+1)] = state{}
	}
	for n, p := range all {
		reach := func(clef, held, cost, from int) {
			to := &paths[n+1][clef*(least+1)+min(held, least)]
			if cost += p.costs[clef]; cost < to.cost {
				*to = state{cost, from}
			}
		}
		for clef := range c.clefs {
			for k, s := range paths[n] {
				if s.cost == math.MaxInt {
					continue
				}
				was, held := k/(least+1), k%(least+1)
				change := costChange
				if p.section {
					change += costSection
				}
				switch {
				case was == clef:
					reach(clef, held+p.statements, s.cost, k)
				case held == least:
					reach(clef, p.statements, s.cost+change, k)
				}
			}
		}
	}
	best := least
	for k, s := range paths[len(all)] {
		if k%(least+1) == least && s.cost < paths[len(all)][best].cost {
			best = k
		}
	}
	for n := len(all) - 1; n >= 0; n-- {
		clef := best / (least + 1)
		all[n].clef = c.clefs[clef]
		if c.grand {
			all[n].staff = clef
		}
		best = paths[n+1][best].from
	}
}

// A sounding tells when statements sound, the rests between their notes included.
type sounding struct{ bar, lead, length figure.Length }

func soundingOf(s drill.Settings) sounding {
	o := sounding{bar: s.Meter.Bar(), length: 1} // the downbeat is its own, even if it rests
	for n, e := range s.Figure.In(0) {
		if n == 0 {
			o.lead = max(0, -e.Onset)
		}
		o.length = max(o.length, e.Onset+e.Length)
	}
	return o
}

// of returns from when to when a statement sounds.
func (o sounding) of(s drill.Statement) (from, to figure.Length) {
	if s.Held {
		return s.Onset, s.Onset + o.bar
	}
	return s.Onset - o.lead, s.Onset + o.length
}

// staves chooses the clefs and staves of a part, by drill, and says how many
// staves it has: where all lies on one staff of a grand staff it has that alone.
func staves(drills []*drill.Drill, part int) (all [][]passage, staves int) {
	c := choiceOf(drills[0].Parts()[part].Instrument())
	if len(c.clefs) == 1 {
		return nil, 1
	}
	var upper, lower bool
	for _, d := range drills {
		run := c.passages(d.Settings(), d.Parts()[part])
		for _, p := range run {
			upper = upper || p.staff == 0 && p.statements > 0
			lower = lower || p.staff == 1
		}
		all = append(all, run)
	}
	if upper && lower {
		return all, 2
	}
	for _, run := range all {
		for n := range run {
			run[n].staff = 0
		}
	}
	return all, 1
}
