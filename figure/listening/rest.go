package listening

import "math"

const (
	gone   = 20  // decibels by which a note that rings on has died away
	steady = 8   // frames in which a note has been alone
	alike  = 0.7 // how alike to itself what is left must be
)

// A ringing is the last note that was heard alone, which may ring on.
type ringing struct {
	period float64
	level  float64
	next   float64   // the last period
	run    int       // frames in which it has been
	rest   []float32 // the sound of a frame without the note
}

// part tells a note from the one before it that rings on. The sound less itself a
// period of the old note ago has nothing of that one, and what it repeats after is
// the new one's period (de Cheveigné 1993). The two together come again only after
// a longer time, a multiple of the old period, or nearly so: then the new one's is
// a clear part of that. Or they are not clear together: then it is one more
// candidate.
func (t *Tracker) part(f *Frame, main int, x []float32) {
	period := t.rate / t.hertz(f.Cents/100)
	switch {
	case t.rings.period > 0 && period > 1.4*t.rings.period:
		least := 0.9
		if !isMultiple(period / t.rings.period) {
			least = 0.97
		}
		other, height := t.other(x, int(1.1*period)+2, least)
		if other > 0 && other <= 0.9*period && (least == 0.9 || height >= 0.9*f.Clarity) {
			f.Cents = t.centsOf(other)
			f.peaks[main].cents = f.Cents
			return
		}
	case t.rings.period > 0 && f.Clarity < alike:
		if other, height := t.other(x, t.longest, 0.97); other > 0 && !isMultiple(t.rings.period/other) {
			f.insert(peak{t.centsOf(other), height})
		}
	}
	if f.Clarity >= 0.9 {
		t.rings.alone(period, f.Level)
	}
}

// other returns the shortest period, up to one, of what is left of the sound without
// the note that rings on, and how clear it is: where it is nearly as clear as any.
// It is 0 where there is none.
func (t *Tracker) other(x []float32, longest int, nearly float64) (period, height float64) {
	t.rings.without(x)
	t.square(t.rings.rest)
	longest = min(longest, t.longest)
	t.compare(t.rings.rest, longest)
	highest := alike
	for lag := t.shortest; lag < longest; lag++ {
		if t.peaks(lag) {
			_, height := t.top(lag)
			highest = max(highest, min(height, 1))
		}
	}
	for lag := t.shortest; lag < longest; lag++ {
		if !t.peaks(lag) {
			continue
		}
		if at, height := t.top(lag); height >= max(nearly*highest, alike) {
			return t.refine(at, height), min(height, 1)
		}
	}
	return 0, 0
}

// fade forgets the note where it has died away.
func (r *ringing) fade(level float64) {
	if r.period > 0 && level < r.level-gone {
		r.period, r.run = 0, 0
	}
}

// alone follows the note that sounds alone.
func (r *ringing) alone(period, level float64) {
	if math.Abs(period-r.next) < 0.03*period {
		r.run++
	} else {
		r.run = 1
	}
	if r.next = period; r.run >= steady {
		r.period, r.level = period, level
	}
}

// without leaves in rest what is left of a sound less itself a period of the note
// ago, by Lagrange's interpolation through four samples.
func (r *ringing) without(x []float32) {
	whole := int(r.period)
	u := float32(r.period - float64(whole))
	a, b, c, d := -u*(u-1)*(u-2)/6, (u+1)*(u-1)*(u-2)/2, -(u+1)*u*(u-2)/2, (u+1)*u*(u-1)/6
	clear(r.rest)
	for n := whole + 2; n < len(x); n++ {
		k := n - whole
		r.rest[n] = x[n] - a*x[k+1] - b*x[k] - c*x[k-1] - d*x[k-2]
	}
}
