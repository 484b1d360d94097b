package listening

import (
	"math"
	"slices"
	"time"
)

// What an alignment costs.
const (
	costMissing = 1.0
	costWrong   = 1.1
	costLate    = 0.7 // for the room that a note has

	weak = 0.3 // a Note that is less sure may be none
	tail = 6.0 // decibels below a note where what leads up to it is no part of it
	// blendAlone is how long a blend lasts that only the note after it is a multiple of.
	blendAlone = 150 * time.Millisecond
	// A note comes again in a room within againGap, softer by againSofter decibels, for
	// less than againLong, itself through another one for less than againThrough; a
	// swell of it is softer by swellSofter.
	againGap     = 500 * time.Millisecond
	againLong    = 250 * time.Millisecond
	againThrough = 150 * time.Millisecond
	againSofter  = 2.0
	swellSofter  = 1.5
)

// A pair is a note that is due with one that was heard; −1 stands for none.
type pair struct{ due, heard int }

// An aligner holds notes that are due against notes that were heard: the
// cheapest way, by the edit distance, where a note may be right, another, missing
// or extra, and to be late costs too.
type aligner struct {
	asked      *asked
	heard      []Note
	leaked     []bool // which of them may be the line's own sound
	again      []bool // which of them may be what a room or a swell has of one before
	strictness Strictness
	cost       [][]float64
	pairs      []pair
	delay      time.Duration
	tuning     float64 // of the player, in cents
	octave     int     // in which the statement is played, beside what was asked
}

// octaveFree returns how far a pitch is from a key, the octave left out, in
// cents, and the octaves.
func octaveFree(cents float64, key float64) (off float64, octaves int) {
	d := cents - 100*key
	o := math.Round(d / 1200)
	return d - 1200*o, int(o)
}

// right reports whether heard note j is a key.
func (a *aligner) right(j, key int) bool {
	off, _ := octaveFree(a.cents(j, key), float64(key))
	return math.Abs(off) <= 50
}

// nearly reports whether heard note j is a key but for a pitch between two.
func (a *aligner) nearly(j, key int) bool {
	off, _ := octaveFree(a.cents(j, key), float64(key))
	return math.Abs(off) <= 65
}

// masked reports whether there is something in the place of a note that it may
// have in common with another one, which sounded on.
func (a *aligner) masked(d *due, delay time.Duration, semitones int) bool {
	for _, h := range a.heard {
		late := d.late(h.On - delay)
		if h.Sure < 0.5 && late > -d.room/2 && late < d.room*3/4 && under(int(h.Key()), int(d.key)+semitones) {
			return true
		}
	}
	return false
}

// phantom reports whether heard note j may be nothing but what one due note, or
// two together, have beside their pitch: a whole part or a multiple of the
// frequency of the one that is due then, or of one of its neighbours.
func (a *aligner) phantom(j, due, semitones int) bool {
	h := int(a.heard[j].Key())
	for n := max(0, due-1); n < min(len(a.asked.notes), due+2); n++ {
		key := int(a.asked.notes[n].key) + semitones + 12*a.octave
		if h >= 0 && (under(h, key) || under(key, h)) && (h-key)%12 != 0 {
			return true
		}
	}
	return false
}

// trim leaves out what was heard from a time on.
func (a *aligner) trim(from time.Duration) {
	k := len(a.heard)
	for k > 0 && a.heard[k-1].On >= from {
		k--
	}
	a.heard, a.leaked, a.again = a.heard[:k], a.leaked[:k], a.again[:k]
}

// cents returns the pitch of heard note j in the player's own tuning: where it
// goes on in another that is no note of its own, the one of the two that is
// nearer to a key.
func (a *aligner) cents(j, key int) float64 {
	cents := a.heard[j].Cents - a.tuning
	if j+1 < len(a.heard) {
		n, next := a.heard[j], a.heard[j+1]
		if next.Sure < weak && next.On-n.end < 15*time.Millisecond && next.end-next.On >= 50*time.Millisecond && math.Abs(next.Cents-n.Cents) < 100 {
			off, _ := octaveFree(cents, float64(key))
			other, _ := octaveFree(next.Cents-a.tuning, float64(key))
			if math.Abs(other) < math.Abs(off) {
				return next.Cents - a.tuning
			}
		}
	}
	return cents
}

// align returns the cheapest alignment where all was heard later by delay and
// played higher by semitones. The pairs are in order.
func (a *aligner) align(delay time.Duration, semitones int) (float64, []pair) {
	a.delay = delay
	n, m := len(a.asked.notes), len(a.heard)
	for len(a.cost) <= n {
		a.cost = append(a.cost, nil)
	}
	for i := 0; i <= n; i++ {
		for len(a.cost[i]) <= m {
			a.cost[i] = append(a.cost[i], 0)
		}
		for j := 0; j <= m; j++ {
			switch {
			case i == 0 && j == 0:
				a.cost[i][j] = 0
			default:
				best := math.Inf(1)
				if i > 0 {
					best = a.cost[i-1][j] + costMissing
				}
				if j > 0 {
					best = min(best, a.cost[i][j-1]+a.extra(j-1))
				}
				if i > 0 && j > 0 {
					best = min(best, a.cost[i-1][j-1]+a.match(i-1, j-1, delay, semitones))
				}
				a.cost[i][j] = best
			}
		}
	}
	a.pairs = a.pairs[:0]
	for i, j := n, m; i > 0 || j > 0; {
		switch {
		case i > 0 && j > 0 && a.cost[i][j] == a.cost[i-1][j-1]+a.match(i-1, j-1, delay, semitones):
			i, j = i-1, j-1
			a.pairs = append(a.pairs, pair{i, j})
		case j > 0 && a.cost[i][j] == a.cost[i][j-1]+a.extra(j-1):
			j--
			a.pairs = append(a.pairs, pair{-1, j})
		default:
			i--
			a.pairs = append(a.pairs, pair{i, -1})
		}
	}
	for i, j := 0, len(a.pairs)-1; i < j; i, j = i+1, j-1 {
		a.pairs[i], a.pairs[j] = a.pairs[j], a.pairs[i]
	}
	return a.cost[n][m], a.pairs
}

func (a *aligner) extra(j int) float64 {
	if a.after(j) {
		return 0.1
	}
	if a.goesOn(j) || a.again[j] {
		return 0.1 + 0.5*a.heard[j].Sure
	}
	return 0.1 + 0.9*a.heard[j].Sure
}

// after reports whether heard note j comes when the statement is over: what it
// has no use for is no part of it, but an answer perhaps.
func (a *aligner) after(j int) bool {
	return a.heard[j].On-a.delay >= a.asked.end-40*time.Millisecond
}

// goesOn reports whether heard note j follows at once on the same note, in any
// octave; what is too short and unsure to be one does not come between.
func (a *aligner) goesOn(j int) bool {
	n, b := a.heard[j], j-1
	for b > 0 && a.trace(b) {
		b--
	}
	if b < 0 {
		return false
	}
	before := a.heard[b]
	off, _ := octaveFree(n.Cents, before.Cents/100)
	return math.Abs(off) < 50 && n.On-a.heard[j-1].end < 20*time.Millisecond
}

// trace reports whether heard note j is too short and unsure to be one.
func (a *aligner) trace(j int) bool {
	n := a.heard[j]
	return n.Sure < weak && n.end-n.On < 50*time.Millisecond
}

// tailOf reports whether heard note j is the last of the note before it, which ends
// with a trace of another pitch, much softer.
func (a *aligner) tailOf(j int) bool {
	return j > 0 && a.trace(j) && a.heard[j].On-a.heard[j-1].end < 15*time.Millisecond && a.heard[j].Level < a.heard[j-1].Level-tail
}

// comesAgain reports whether heard note j, if it is not due, is likelier what a room or a
// swell has of a note heard before than one of its own: softer, at once or, if it is
// short, not long after; or that note itself, through which such a one was heard. It
// knows of those before j.
func (a *aligner) comesAgain(j int) bool {
	n := a.heard[j]
	if a.goesOn(j) {
		return n.Level < a.heard[j-1].Level-swellSofter
	}
	if j >= 2 && a.heard[j-2].Key() == n.Key() && n.Level < a.heard[j-2].Level+1 && n.On-a.heard[j-2].end < againThrough && (a.heard[j-1].Sure < 0.5 || a.again[j-1]) {
		return true
	}
	for _, b := range a.heard[:j] {
		if b.Sure >= weak && (b.Key()-n.Key())%12 == 0 && n.On-b.end < againGap && n.Level < b.Level-againSofter {
			return !n.sounds && n.end-n.On < againLong
		}
	}
	return false
}

// blend returns the note to which heard note k, which no note that is due has, leads
// up as what that one and the one before, which rings on, have in common: it is at a
// whole part of the frequency of one of them, struck again or not. It returns −1
// where k is none.
func (a *aligner) blend(k int) int {
	next := k + 1
	for next < len(a.heard) && a.heard[next].Key() == a.heard[k].Key() && a.goesOn(next) {
		next++
	}
	if next == len(a.heard) || a.paired(k) {
		return -1
	}
	n, to := a.heard[k], a.heard[next]
	long := to.On - n.On
	if to.On-a.heard[next-1].end > 15*time.Millisecond || long >= 300*time.Millisecond {
		return -1
	}
	ringing := k > 0 && n.On-a.heard[k-1].end <= 15*time.Millisecond && under(int(n.Key()), int(a.heard[k-1].Key()))
	if ringing || long < blendAlone && under(int(n.Key()), int(to.Key())) {
		return next
	}
	return -1
}

// restruck has a missing note be another one where the note before it was struck
// again in its place: whoever plays a wrong note may play the last one, or the next.
func (a *aligner) restruck(pairs []pair) []pair {
	near := func(due, heard int) bool {
		return a.asked.notes[due].late(a.heard[heard].On-a.delay).Abs() < a.asked.tolerance(StrictnessRhythm)
	}
	for i := 0; i < len(pairs); i++ {
		if pairs[i].heard >= 0 {
			continue
		}
		// the next note, early in its place, and struck again in time
		if i+2 < len(pairs) && pairs[i+1].due >= 0 && pairs[i+1].heard >= 0 && pairs[i+2].due < 0 {
			next, again := pairs[i+1], pairs[i+2].heard
			if a.goesOn(again) && near(pairs[i].due, next.heard) && !near(next.due, next.heard) && near(next.due, again) {
				pairs[i].heard, pairs[i+1].heard = next.heard, again
				pairs = slices.Delete(pairs, i+2, i+3)
				continue
			}
		}
		// what was heard beside it and is none of the others
		from, to := i, i
		for from > 0 && pairs[from-1].due < 0 {
			from--
		}
		for to+1 < len(pairs) && pairs[to+1].due < 0 {
			to++
		}
		for k := from; k <= to; k++ {
			if k == i || !a.goesOn(pairs[k].heard) {
				continue
			}
			h, d := pairs[k].heard, &a.asked.notes[pairs[i].due]
			if near(pairs[i].due, h) && a.heard[h].Level > a.heard[h-1].Level-3 && (a.heard[h].sounds && a.heard[h].Sure >= weak || a.heard[h].end-a.heard[h].On > d.room/2) {
				pairs[i].heard = h
				pairs = slices.Delete(pairs, k, k+1)
				i--
				break
			}
		}
	}
	return pairs
}

// both reports whether heard note j is what a note that is due and the one before
// it, which rings on, have in common: a whole part of the frequencies of both.
func (a *aligner) both(j, due, semitones int) bool {
	h, up := int(a.heard[j].Key()), semitones+12*a.octave
	return due > 0 && under(h, int(a.asked.notes[due].key)+up) && under(h, int(a.asked.notes[due-1].key)+up)
}

// paired reports whether the last alignment has a note for heard note k.
func (a *aligner) paired(k int) bool {
	for _, p := range a.pairs {
		if p.heard == k {
			return p.due >= 0
		}
	}
	return false
}

// lateness returns by how much heard note j came later than due. Where something
// unsure, or a blend, leads up to it, the note began there, unless that is much
// softer: then it is what is left of the note before.
func (a *aligner) lateness(j int, d *due, delay time.Duration) time.Duration {
	by := d.late(a.heard[j].On - delay)
	for k := j - 1; k >= 0 && by > 0; k-- {
		n := a.heard[k]
		if n.Level < a.heard[j].Level-tail {
			break
		}
		unsure := n.Sure < 0.5 && a.heard[k+1].On-n.end <= 15*time.Millisecond && !a.goesOn(k) && a.heard[j].On-n.On <= 30*time.Millisecond
		if !unsure && a.blend(k) != j {
			break
		}
		if earlier := d.late(n.On - delay); earlier.Abs() < by.Abs() {
			by = earlier
		}
	}
	return by
}

func (a *aligner) match(i, j int, delay time.Duration, semitones int) float64 {
	d, h := &a.asked.notes[i], &a.heard[j]
	late := math.Abs(float64(d.late(h.On-delay))) / float64(d.room)
	if a.strictness == StrictnessNotes {
		late *= 0.1
	}
	switch {
	case a.tailOf(j):
		return math.Inf(1)
	case a.right(j, int(d.key)+semitones):
		if late > 1.2 {
			return math.Inf(1)
		}
		_, octave := octaveFree(h.Cents, float64(int(d.key)+semitones))
		cost := costLate*late + 0.8*(1-h.Sure)
		if octave != a.octave {
			cost += 0.3
		}
		return cost
	case late > 0.7:
		return math.Inf(1)
	}
	if a.nearly(j, int(d.key)+semitones) {
		return 0.5 + costLate*late
	}
	return costWrong + costLate*late + 0.5*(1-h.Sure)
}
