package say

import (
	"strconv"
	"strings"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/practice"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
)

// What a plan begins with while nobody has figures of their own: figures, each with its
// name, and the variations that it may take of them.
const (
	OwnFigures    = "settle = 1:3 5 4 2 3:2; sway = 4 2 5 1:2 in dorian; reach = 1 6 5 7:2 in mixolydian"
	OwnVariations = "retrograde; inversion; rotation 1"
)

// Block describes the keys of a block of a plan.
func Block(b practice.Block, stage practice.Stage) string {
	switch {
	case b.Weak:
		return "moves that failed of late"
	case b.Order == "":
		return "a few keys, again and again, then in turn"
	case stage == practice.StageMixedRows:
		return "a row of all eleven intervals"
	}
	return Step(b.Order)
}

// Step describes an order by one interval: "down by fourths".
func Step(step string) string {
	i, err := interval.Parse(step)
	if err != nil {
		return step
	}
	way := "up"
	if i < 0 {
		i, way = -i, "down"
	}
	steps := [...]string{"unisons", "half steps", "whole steps", "minor thirds", "major thirds", "fourths", "tritones"}
	return way + " by " + steps[min(i.Semitones(), 6)]
}

// Sections returns the keys of each section of a route, a closed one with its first
// key in parentheses at the end.
func Sections(r cycle.Route, name func(pitch.Class) string) []string {
	var all []string
	for s := range r.Sections() {
		var keys []string
		for _, k := range s.Keys {
			keys = append(keys, name(k))
		}
		if s.Closed && len(keys) > 1 {
			keys = append(keys, "("+keys[0]+")")
		}
		all = append(all, strings.Join(keys, "  "))
	}
	return all
}

// Rest returns the rest of a block in bars, if it is of full bars.
func Rest(b practice.Block) string {
	rest, bar := figure.Length(b.Drill.Rest), b.Drill.Meter.Bar()
	switch {
	case rest == 0 || rest == bar:
		return "a bar"
	case rest%bar == 0:
		return strconv.Itoa(int(rest/bar)) + " bars"
	}
	return rest.String() + " of a whole note"
}

// Whole reports whether an entry of a log is of the whole figure, varied or not, and
// not of its beginning alone, as one learns it.
func Whole(e *practice.Entry) bool {
	f, err := e.Variation.Apply(e.Figure)
	return err != nil || f.NoteCount() >= e.Figure.NoteCount()
}
