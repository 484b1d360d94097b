package notation

import (
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
)

// What the tests, which are external, see of the inside.

const Step = step

var Signature = signature

func (s *Score) Drills() []*drill.Drill { return s.drills }

// ValuesOf returns the values of a note or a rest as a bar has them.
func ValuesOf(m drill.Meter, from, to figure.Length, notes []Note) (values []Value) {
	g := gridOf(m, false)
	for _, p := range g.values(piece{from: from, to: to, notes: notes}, nil) {
		values = append(values, p.value)
	}
	return values
}

// BarAround returns a bar with notes at a place and rests around them.
func BarAround(m drill.Meter, from, to figure.Length, notes []Note) Bar {
	g := gridOf(m, false)
	var pieces []piece
	for _, p := range []piece{{from: 0, to: from}, {from: from, to: to, notes: notes}, {from: to, to: g.bar}} {
		if p.from < p.to {
			pieces = append(pieces, p)
		}
	}
	b := Bar{Number: 1, Meter: m}
	for _, p := range g.split(pieces, nil) {
		b.Symbols = append(b.Symbols, Symbol{Onset: p.from, Length: p.to - p.from, Value: p.value, Notes: p.notes, Triplet: p.group})
	}
	g.beam(b.Symbols)
	return b
}
