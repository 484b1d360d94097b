package listening

import (
	"cmp"
	"math"
	"slices"
	"time"

	"example.com/keyorder/figure/accompaniment"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/playback"
)

const (
	offsetBars  = 2   // how long after the line's beginning a take may begin, in bars
	offsetNotes = 120 // of the player, that are compared
	near        = 60 * time.Millisecond
	ownWeight   = 0.97 // of a note that the line sounds, where one of the player weighs 1
)

// Offset returns when a line began in the time of the notes that were heard of a
// whole take, for [Options]: the take may begin any time before the line, or up to
// two bars after its beginning, and have the line's own cues and answers in it. ok
// is false where too few of the notes fit anywhere, in the keys that are asked for
// or all in others.
func Offset(l *playback.Line, p drill.Part, heard []Note) (offset time.Duration, ok bool) {
	if l == nil || p == (drill.Part{}) {
		return 0, false
	}
	var mine []due
	var bar time.Duration
	c := newCursor(l, p)
	for a := c.next(); a != nil && len(mine) < offsetNotes; a = c.next() {
		mine, bar = append(mine, a.notes...), max(bar, a.bar)
	}
	all := append(mine, ownDues(l, mine)...)
	slices.SortStableFunc(all, func(a, b due) int { return cmp.Compare(a.from, b.from) })
	var sure []Note
	for _, n := range heard {
		if n.Sure >= 0.5 && len(sure) < 2*offsetNotes {
			sure = append(sure, n)
		}
	}
	best := 0.0
	for k := range 12 {
		at, fit := offsetOf(all, sure, offsetBars*bar+maxDelay)
		if k > 0 {
			fit *= 0.75 // in other keys only where that fits far better
		}
		if fit > best {
			best, offset = fit, at
		}
		for n := range all {
			if !all[n].own {
				all[n].key++
			}
		}
	}
	if best < 2.2 || best < 0.3*float64(min(len(all), len(sure))) {
		return 0, false
	}
	return offset, true
}

// ownDues returns the cues and the answers of a line, which a loudspeaker leaks, as
// far as the player's notes are compared.
func ownDues(l *playback.Line, mine []due) (own []due) {
	for t := range l.Turns(0) {
		if len(mine) == 0 || l.At(t.Begin) > mine[len(mine)-1].to {
			break
		}
		if t.Who == playback.WhoYou || t.Who == playback.WhoBoth {
			continue
		}
		for n := range l.Notes(t) {
			if n.Layer == accompaniment.LayerPart {
				own = append(own, due{key: n.Key, from: l.At(n.On), to: l.At(n.On), own: true})
			}
		}
	}
	return own
}

// offsetOf returns the offset where most of the notes fit, and how many do. The take
// begins at most so much after the line.
func offsetOf(notes []due, heard []Note, most time.Duration) (offset time.Duration, best float64) {
	for _, d := range notes[:min(len(notes), offsetNotes/2)] {
		for _, n := range heard[:min(len(heard), offsetNotes/2)] {
			at := n.On - d.from
			if !same(n, d) || at < -most {
				continue
			}
			// Where two fit as well, the one that is nearer to the line's beginning.
			if fit := fits(notes, heard, at) - 0.1*min(1, math.Abs(float64(at))/float64(most)); fit > best+1e-9 {
				best, offset = fit, at
			}
		}
	}
	var late []time.Duration
	for _, d := range notes {
		for _, n := range heard {
			if by := n.On - offset - d.from; d.from == d.to && same(n, d) && by > -near && by < near {
				late = append(late, by)
			}
		}
	}
	return offset + middle(late), best
}

func same(n Note, d due) bool {
	off, _ := octaveFree(n.Cents, float64(d.key))
	return math.Abs(off) <= 60
}

// fits counts the notes that were heard where they are due, an offset later, those
// that were heard more closely a little more, those of the line itself a little less.
func fits(notes []due, heard []Note, offset time.Duration) float64 {
	sum := 0.0
	from := 0
	for _, d := range notes {
		for from < len(heard) && heard[from].On-offset < d.from-near {
			from++
		}
		best := 0.0
		for _, n := range heard[from:] {
			by := d.late(n.On - offset)
			if by > near {
				break
			}
			if same(n, d) {
				best = max(best, 1-0.3*math.Abs(float64(by))/float64(near))
			}
		}
		if d.own {
			best *= ownWeight
		}
		sum += best
	}
	return sum
}
