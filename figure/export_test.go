package figure

import "example.com/keyorder/interval"

// What the tests, which are external, see of the inside.

const (
	MinStep       = minStep
	MaxStep       = maxStep
	MaxAlteration = maxAlteration
	MaxNotes      = maxNotes
)

func DegreeIn(s Scale, i interval.Interval) (Degree, bool) { return degreeIn(s, i) }

func DegreeAt(i interval.Interval) Degree { return degreeAt(i) }

func NamedByChord(s Scale) bool { return s.namedByChord() }
