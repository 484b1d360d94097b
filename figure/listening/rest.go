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

// part tells a note from the one before it that rings on. The two together come
// again only after a longer time, but the sound less itself a period of the old
// note ago has nothing of that one, and what it repeats after is the new one's
// period (de Cheveigné 1993).
func (t *Tracker) part(f *Frame, main int, x []float32) {
	period := t.rate / t.hertz(f.Cents/100)
	if t.rings.period > 0 && period > 1.4*t.rings.period {
		if other := t.other(x, period, f.Clarity); other > 0 {
			f.Cents = t.centsOf(other)
			f.peaks[main].cents = f.Cents
			return
		}
	}
	if f.Clarity >= 0.9 {
		t.rings.alone(period, f.Level)
	}
}

// other returns the period of what is left of the sound without the note that
// rings on, 0 where there is none that is clear and shorter than that of both.
func (t *Tracker) other(x []float32, period, clarity float64) float64 {
	t.rings.without(x)
	t.square(t.rings.rest)
	longest := min(int(1.1*period)+2, t.longest)
	t.compare(t.rings.rest, longest)
	highest := alike
	for lag := t.shortest; lag < longest; lag++ {
		if t.peaks(lag) {
			_, height := t.top(lag)
			highest = max(highest, min(height, 1))
		}
	}
	least := max(0.9*highest, alike)
	if !isMultiple(period / t.rings.period) {
		least = max(0.97*highest, 0.9*clarity, alike)
	}
	for lag := t.shortest; lag < longest; lag++ {
		if !t.peaks(lag) {
			continue
		}
		if at, height := t.top(lag); height >= least {
			if at > 0.9*period {
				return 0
			}
			return t.refine(at, height)
		}
	}
	return 0
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
