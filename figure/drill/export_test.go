package drill

import (
	"time"

	"example.com/keyorder/figure"
)

// What the tests, which are external, see of the inside.

// Of returns the statement as one of another part.
func (s Statement) Of(p Part) Statement { s.part = p; return s }

func (i Instrument) Check() error { return i.check() }

var Changes = changes

var RoundUp = roundUp

func (s Settings) After(l figure.Length) time.Duration { return s.after(l) }
