package listening

import (
	"slices"
	"time"
)

const (
	background = 16.0 // decibels below the player's notes where what is heard is none of them
	echo       = 11.0 // and where it was heard before, or the line sounds it
	soundOff   = 80 * time.Millisecond
)

// listen leaves out of what was heard what is too soft to be the player's: what a
// loudspeaker leaks, what a string or a room has left of a note. Of the rest it
// says what may be the line's own sound, and what a note heard before that comes
// again. It reports whether something is left that is not the line's.
func (a *aligner) listen(leaks bool) bool {
	usual := a.usual()
	kept := a.heard[:0:0]
	a.leaked = a.leaked[:0]
	var before *Note // left out at last
	others, same := 0, 0
	for k := range a.heard {
		n := a.heard[k]
		begins, sounds := false, false
		if leaks {
			begins, sounds = a.asked.sounds(n)
		}
		soft := n.Level < usual-background || n.Level < usual-echo && (begins || sounds || a.heardBefore(k))
		if soft || begins && a.swells(k) {
			before = &a.heard[k]
			continue
		}
		if before != nil && n.On-before.end < 20*time.Millisecond && n.Key() == before.Key() && n.Level > before.Level+5 {
			n.Sure = max(n.Sure, 0.9) // not that one again, but the player's
		}
		before = nil
		kept, a.leaked = append(kept, n), append(a.leaked, begins)
		switch {
		case n.Sure < 0.5:
		case !begins:
			others++
		case a.asked.inTime(n, a.strictness):
			same++
		}
	}
	a.heard, a.again = kept, a.again[:0]
	for k := range kept {
		a.again = append(a.again, a.comesAgain(k))
	}
	return others > 0 || 2*same > len(a.asked.notes)
}

// usual returns the level that the player's notes have: the median of as many of
// the loudest as are due.
func (a *aligner) usual() float64 {
	var levels []float64
	for _, n := range a.heard {
		if n.Sure >= 0.3 {
			levels = append(levels, n.Level)
		}
	}
	slices.Sort(levels)
	if len(levels) == 0 {
		return floorLevel
	}
	return median(levels[max(0, len(levels)-len(a.asked.notes)):])
}

// heardBefore reports whether the key of heard note k sounded in the second and a
// half before it, louder.
func (a *aligner) heardBefore(k int) bool {
	n := a.heard[k]
	for _, b := range a.heard[:k] {
		if b.Key() == n.Key() && n.On-b.On < 1500*time.Millisecond && b.Level > n.Level+6 {
			return true
		}
	}
	return false
}

// swells reports whether heard note k goes on in the same key much louder: what
// came before was not the player's.
func (a *aligner) swells(k int) bool {
	if k+1 == len(a.heard) {
		return false
	}
	n, next := a.heard[k], a.heard[k+1]
	return next.Key() == n.Key() && next.On-n.end < 20*time.Millisecond && next.Level > n.Level+5
}

// inTime reports whether a heard note may be one that is due, in time.
func (a *asked) inTime(n Note, s Strictness) bool {
	for _, d := range a.notes {
		if late := d.late(n.On); late >= -a.tolerance(s) && late <= a.tolerance(s)+maxDelay {
			return true
		}
	}
	return false
}

// sounds reports whether a heard note begins with one that the line sounds, in any
// octave of its key or as a part of it, and whether the line sounds it at all, or something it is a
// whole part of.
func (a *asked) sounds(n Note) (begins, sounds bool) {
	for _, o := range a.own {
		h, key := int(n.Key()), int(o.key)
		same := (h-key)%12 == 0
		if (same || under(key, h) || under(h, key)) && n.On > o.from-40*time.Millisecond && n.On < o.from+soundOff {
			begins = true
		}
		if (same || under(h, key)) && n.On > o.from-40*time.Millisecond && n.On < o.to+maxDelay {
			sounds = true
		}
	}
	return begins, sounds
}
