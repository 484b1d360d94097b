package drill

// What the tests, which are external, see of the inside.

// Of returns the statement as one of another part.
func (s Statement) Of(p Part) Statement { s.part = p; return s }

func (i Instrument) Check() error { return i.check() }

var Changes = changes
