package logbook

import (
	"example.com/keyorder/cycle"
	"example.com/keyorder/figure/practice"
)

// A Record is what a log has of a block of a plan.
type Record struct {
	Entry int  // its place in the log, −1 if there is none
	Part  bool // it has some of the block's moves only
}

// Recorded returns what a log has of each block of a plan: what records it, as
// [practice.Plan.Done] says, or else an entry of the same day, figure, variation and
// instrument whose moves are all the block's: from another first key, or without those
// of which whoever listened could not tell. Of several it is the one with most moves.
// No entry records two blocks.
func Recorded(p practice.Plan, l practice.Log) []Record {
	out := make([]Record, len(p.Blocks))
	taken := map[int]bool{}
	for n, i := range p.Done(l) {
		out[n].Entry = i
		taken[i] = true
	}
	for n, b := range p.Blocks {
		if b.Pause || out[n].Entry >= 0 {
			continue
		}
		want, most := p.Entry(n), 0
		for i := range l.Entries {
			e := &l.Entries[i]
			if taken[i] || e.Date != want.Date || e.Instrument != want.Instrument || e.Variation != want.Variation || !e.Figure.Equal(want.Figure) || e.Block > 0 && e.Block != b.Number {
				continue
			}
			if made, all := covers(b.Drill.Route, e.Route); made >= most && made > 0 {
				out[n], most = Record{Entry: i, Part: !all}, made
			}
		}
		taken[out[n].Entry] = true
	}
	return out
}

// covers returns how many moves a route makes if they are all another's, and whether
// these are all of them; otherwise 0.
func covers(whole, r cycle.Route) (made int, all bool) {
	var of, by cycle.Tally
	of.AddAll(whole.Moves())
	for m := range r.Moves() {
		if m.From == m.To { // a key again, as one learns it
			continue
		}
		if of.Count(m) == 0 {
			return 0, false
		}
		by.Add(m)
	}
	return by.Made(), by.Made() == of.Made()
}
