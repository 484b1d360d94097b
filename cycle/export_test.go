package cycle

// What the tests, which are external, see of the inside.

type SplitMix = splitMix

func (g *SplitMix) Next() uint64 { return g.next() }

func (m *Tally) AddTimes(mv Move, n uint32) { m.add(mv, n) }

var IsEveryMove = isEveryMove
