package main

import (
	"flag"
	"fmt"
	"slices"

	"example.com/keyorder/cycle"
	"example.com/keyorder/examples/internal/say"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/notation"
	"example.com/keyorder/pitch"
)

// pages are the flags that say how the sheet is printed.
type pages struct {
	full, large, theory, handouts, score bool
	byBeat                               beaming
}

func (p *pages) define(f *flag.FlagSet) {
	f.BoolVar(&p.full, "full", false, "print every statement of several orders, not the twelve keys once; the files for other programs always have every one")
	f.BoolVar(&p.large, "large", false, "large print: staves of twice the size and large words")
	f.Var(&p.byBeat, "beams", "how eighths are beamed: by half a `bar` where they fill it, or by beat (default half bar)")
	f.BoolVar(&p.theory, "theory", false, "name the sets of notes that the cycles make as theorists do")
	f.BoolVar(&p.score, "score", false, "with -out: a score of several instruments, all parts below each other, with the answers")
	f.BoolVar(&p.handouts, "handouts", false, "with -out: a page to hand out to each player of a class, in the keys that the player reads, and the teacher's page; answers in a folder of their own")
}

// beaming is whether each beat has a beam of its own.
type beaming bool

func (b *beaming) String() string {
	if *b {
		return "beat"
	}
	return "half bar"
}

func (b *beaming) Set(text string) error {
	switch text {
	case "beat":
		*b = true
	case "half bar":
		*b = false
	default:
		return fmt.Errorf("it is one of half bar, beat")
	}
	return nil
}

// notation returns the options of what is written down.
func (s *sheet) notation() notation.Options {
	return notation.Options{Title: s.heads(), Swing: s.swing > 1, Signatures: s.signatures, ByBeat: bool(s.byBeat), Language: s.language}
}

// shown returns the drills that the answers show: every statement as it is
// placed, or of several orders each key once. Rests between the statements are
// left out where the statements stay what they are.
func (s *sheet) shown() ([]*drill.Drill, error) {
	if len(s.drills) > 1 && !s.full {
		d, err := s.once()
		return []*drill.Drill{d}, err
	}
	drills := slices.Clone(s.drills)
	for n, d := range drills {
		set := d.Settings()
		if set.Rest = drill.NoRest; set.Padding == drill.PaddingBar {
			if without, err := drill.New(set); err == nil && same(d, without) {
				d = without
			}
		}
		if len(drills) == 1 { // its title stands over its keys
			set = d.Settings()
			set.Title = ""
			if untitled, err := drill.New(set); err == nil {
				d = untitled
			}
		}
		drills[n] = d
	}
	return drills, nil
}

// once returns a drill of each key of the sheet once, by half steps from the
// first.
func (s *sheet) once() (*drill.Drill, error) {
	set := s.settings
	var heard pitch.Set
	first := -1
	for _, d := range s.drills {
		for _, k := range d.Settings().Route.Run() {
			heard |= pitch.SetOf(k)
			if first < 0 {
				first = int(k)
			}
		}
	}
	var keys []pitch.Class
	for n := range 12 {
		if k := pitch.ClassOf(first + n); heard.Has(k) {
			keys = append(keys, k)
		}
	}
	var err error
	if set.Route, err = cycle.NewRoute(cycle.Section{Keys: keys}); err != nil {
		return nil, err
	}
	set.Title, set.Padding, set.Closing = "", drill.PaddingBar, drill.ClosingOpen
	rest := set.Rest
	set.Rest = drill.NoRest
	d, err := drill.New(set)
	if err != nil {
		set.Rest = rest
		d, err = drill.New(set)
	}
	return d, err
}

// same reports whether two drills have the same notes in the same order.
func same(a, b *drill.Drill) bool {
	if a.Len() != b.Len() {
		return false
	}
	for p, part := range a.Parts() {
		var all []drill.Statement
		for st := range b.Parts()[p].Statements() {
			all = append(all, st)
		}
		for st := range part.Statements() {
			if o := all[st.Index]; st.Written != o.Written || st.Held != o.Held || st.Rests != o.Rests || !slices.Equal(st.Events(), o.Events()) {
				return false
			}
		}
	}
	return true
}

// several reports whether the orders are so many that they stand in two columns,
// without their circles on paper.
func several(orders []say.Order) bool { return len(orders) > 2 }
