package listening

import (
	"math"
	"time"

	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/playback"
)

const (
	offsetBars  = 2   // how far a take may begin from the line, in bars
	offsetNotes = 120 // notes that are compared
	near        = 60 * time.Millisecond
)

// Offset returns when a line began in the time of the notes that were heard of a
// whole take, for [Options]: the take may begin up to two bars before the line
// or after it. ok is false where too few of the notes fit anywhere, in the keys
// that are asked for or all in others.
func Offset(l *playback.Line, p drill.Part, heard []Note) (offset time.Duration, ok bool) {
	var notes []due
	var bar time.Duration
	c := newCursor(l, p)
	for a := c.next(); a != nil && len(notes) < offsetNotes; a = c.next() {
		notes, bar = append(notes, a.notes...), max(bar, a.bar)
	}
	var sure []Note
	for _, n := range heard {
		if n.Sure >= 0.5 && len(sure) < 2*offsetNotes {
			sure = append(sure, n)
		}
	}
	best := 0.0
	for k := range 12 {
		at, fit := offsetOf(notes, sure, offsetBars*bar+maxDelay)
		if k > 0 {
			fit *= 0.75 // in other keys only where that fits far better
		}
		if fit > best {
			best, offset = fit, at
		}
		for n := range notes {
			notes[n].key++
		}
	}
	if best < 2.2 || best < 0.3*float64(min(len(notes), len(sure))) {
		return 0, false
	}
	return offset, true
}

// offsetOf returns the offset, up to so much, where most of the notes fit, and how
// many do.
func offsetOf(notes []due, heard []Note, most time.Duration) (offset time.Duration, best float64) {
	for _, d := range notes[:min(len(notes), offsetNotes/2)] {
		for _, n := range heard[:min(len(heard), offsetNotes/2)] {
			at := n.On - d.from
			if !same(n, d) || at > most || at < -most {
				continue
			}
			// Where two fit as well, the one that is nearer to the line's beginning.
			if fit := fits(notes, heard, at) - 0.1*math.Abs(float64(at))/float64(most); fit > best+1e-9 {
				best, offset = fit, at
			}
		}
	}
	var late []time.Duration
	for _, d := range notes {
		for _, n := range heard {
			if by := n.On - offset - d.from; same(n, d) && by > -near && by < near {
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

// fits counts the notes that were heard where they are due, an offset later,
// those that were heard more closely a little more.
func fits(notes []due, heard []Note, offset time.Duration) float64 {
	sum := 0.0
	from := 0
	for _, d := range notes {
		for from < len(heard) && heard[from].On-offset < d.from-near {
			from++
		}
		best := 0.0
		for _, n := range heard[from:] {
			by := n.On - offset - d.from
			if by > near {
				break
			}
			if same(n, d) {
				best = max(best, 1-0.3*math.Abs(float64(by))/float64(near))
			}
		}
		sum += best
	}
	return sum
}
