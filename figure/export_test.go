package figure

import (
	"pgregory.net/rapid"

	"example.com/keyorder/interval"
)

// What the tests, which are external, see of the inside.

const (
	MinStep       = minStep
	MaxStep       = maxStep
	MaxAlteration = maxAlteration
	MaxNotes      = maxNotes
	NoTonic       = Scale(n1) // as no scale is
)

func DegreeIn(s Scale, i interval.Interval) (Degree, bool) { return degreeIn(s, i) }

func DegreeAt(i interval.Interval) Degree { return degreeAt(i) }

func NamedByChord(s Scale) bool { return s.namedByChord() }

// Before is how many items stand before the downbeat.
func Before(f Figure) int { return f.before }

// What external tests hand to the internal ones, which cannot import figuretest
// themselves.
var (
	Update    *bool
	AnyFigure *rapid.Generator[Figure]
	AnyScale  *rapid.Generator[Scale]
	AnyDegree func(Scale) *rapid.Generator[Degree]
)
