package listening

import (
	"iter"
	"math"
	"slices"
	"time"

	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
)

const (
	// maxDelay is the greatest delay of the sound that is learned.
	maxDelay = 250 * time.Millisecond
	// patience is how long after a statement's end it is judged.
	patience = 300 * time.Millisecond
	learned  = 16 // notes from which the delay is known
	// maxTuning is how far from A4 = 440 Hz the player's own tuning is followed, in cents.
	maxTuning = 30.0
)

// Options say how a Judge hears.
type Options struct {
	Strictness Strictness
	// Offset is when the line began, in the time of the notes: see [Offset].
	Offset time.Duration
	// Keys says that the notes come from keys and not from sound, so that chords
	// are heard. From sound, a statement with chords is never said to be clean.
	Keys bool
	// Alone says that the sound has nothing of what the line itself sounds: its
	// player wears headphones. Without it, what begins with a cue, an answer or the
	// accompaniment, in the same key, may be that one.
	Alone bool
}

// A Judge holds what is heard against the statements of a part, as a line has
// them due. It is used by one goroutine at a time.
type Judge struct {
	o      Options
	all    *cursor
	coming *asked // the statement that is not judged yet
	dues   *cursor
	due    *asked // the statement that is due
	heard  []Note // that are not judged yet, in the time of the line
	delays []time.Duration
	tuning []float64 // of the notes that were right, in cents
	align  aligner
}

// NewJudge returns a Judge for a part of a line, one of [playback.Line.Parts]. The
// error is a *fault.ValueError: there is no line or no part, or the strictness is
// none of the constants.
func NewJudge(l *playback.Line, p drill.Part, o Options) (*Judge, error) {
	if _, err := o.Strictness.MarshalText(); err != nil {
		return nil, err
	}
	if l == nil {
		return nil, &fault.ValueError{Setting: "line", Want: "a judge needs a line"}
	}
	if p == (drill.Part{}) {
		return nil, &fault.ValueError{Setting: "part", Want: "a judge needs a part of the line, one of its Parts"}
	}
	j := &Judge{o: o}
	j.all, j.dues = newCursor(l, p), newCursor(l, p)
	j.coming, j.due = j.all.next(), j.dues.next()
	j.align.strictness = o.Strictness
	return j, nil
}

// Hear is told a note, in the order of onsets but for those that begin together.
// A note of the same onset and pitch as one before is that one, as it went on.
func (j *Judge) Hear(n Note) {
	n.end = max(n.end, n.Off)
	n.On -= j.o.Offset
	n.Off -= j.o.Offset
	n.end -= j.o.Offset
	j.heard = tell(j.heard, n)
}

// tell adds a note to others, or puts it in the place of the one that it is.
func tell(all []Note, n Note) []Note {
	for k := len(all) - 1; k >= 0 && all[k].On >= n.On; k-- {
		if all[k].On == n.On && math.Abs(all[k].Cents-n.Cents) < 80 {
			all[k] = n
			return all
		}
	}
	return append(all, n)
}

// Due returns the notes of the statement that is due at a time, in the time of
// the notes, which must not go back; see [Ear.Expect].
func (j *Judge) Due(at time.Duration) pitch.Set {
	at -= j.o.Offset
	for j.due != nil && at >= j.due.until-patience/2 {
		j.due = j.dues.next()
	}
	if j.due == nil || at < j.due.begin-patience/2 {
		return 0
	}
	return j.due.set
}

// Says yields what can be said by now, in the time of the notes: each statement
// once, 300 ms after its end.
func (j *Judge) Says(now time.Duration) iter.Seq[Say] {
	return func(yield func(Say) bool) {
		for j.coming != nil && j.coming.end+patience <= now-j.o.Offset {
			a := j.coming
			j.coming = j.all.next()
			if !yield(j.judge(a)) {
				return
			}
		}
	}
}

// judge says what there is to say on a statement, and forgets its notes.
func (j *Judge) judge(a *asked) Say {
	s := Say{Turn: a.turn.Index, Drill: a.turn.Drill, Statement: a.turn.Statement}
	known := len(j.delays) >= learned/2
	before := j.known()
	half := max(min(a.shortest, a.quarter)/2, a.tolerance(StrictnessRhythm)) + 30*time.Millisecond // no cue before it
	from, last := a.begin-half, min(a.end+patience, a.until-half)
	to := last
	if known {
		from, to = from+before, to+before
	} else {
		to += maxDelay
	}
	j.heard = slices.DeleteFunc(j.heard, func(n Note) bool { return n.On < from })
	count := 0
	sure := false
	for count < len(j.heard) && j.heard[count].On < to {
		sure = sure || j.heard[count].Sure >= 0.5
		count++
	}
	if !sure {
		return s
	}
	j.align.asked, j.align.heard, j.align.leaked, j.align.again = a, j.heard[:count], make([]bool, count), make([]bool, count)
	if j.o.Keys {
		a.together(j.heard[:count])
	} else if !j.align.listen(!j.o.Alone) {
		j.heard = slices.Delete(j.heard, 0, count)
		return s
	}
	delay := before
	if !known {
		delay = j.search()
		for count > 0 && j.heard[count-1].On >= last+delay { // the next statement has it
			count--
		}
		j.align.trim(last + delay)
	}
	j.align.octave = 0
	cost, _ := j.align.align(delay, 0)
	semitones := j.otherKey(cost, delay)
	if semitones == 0 {
		_, pairs := j.align.align(delay, 0)
		j.align.octave = j.octave(pairs)
	}
	_, pairs := j.align.align(delay, semitones)
	delay = middle(append(j.lates(pairs, delay, semitones), j.recent()...))
	if semitones == 0 {
		cost, _ = j.align.align(delay, 0)
		semitones = j.otherKey(cost, delay)
	}
	_, pairs = j.align.align(delay, semitones)
	if !j.o.Keys {
		pairs = j.align.restruck(pairs)
	}
	s.Delay = delay
	j.say(&s, pairs, delay, semitones)
	if own := j.lates(pairs, delay, semitones); len(own) >= 2 {
		j.learn(own, s.Notes)
	}
	j.heard = slices.Delete(j.heard, 0, count)
	return s
}

// learn takes the delays and the pitches of the notes that were right as the
// player's.
func (j *Judge) learn(delays []time.Duration, notes []Heard) {
	const most = 64
	j.delays = append(j.delays, delays...)
	j.delays = slices.Delete(j.delays, 0, max(0, len(j.delays)-most))
	for _, n := range notes {
		j.tuning = append(j.tuning, n.Cents)
	}
	j.tuning = slices.Delete(j.tuning, 0, max(0, len(j.tuning)-most))
	if len(j.tuning) >= learned/2 {
		j.align.tuning = max(-maxTuning, min(median(slices.Clone(j.tuning)), maxTuning))
	}
}

// octave returns the octave in which most notes were played, beside what was
// asked.
func (j *Judge) octave(pairs []pair) int {
	var count [9]int
	for _, p := range pairs {
		if p.due < 0 || p.heard < 0 {
			continue
		}
		d, h := j.align.asked.notes[p.due], j.align.heard[p.heard]
		if _, o := octaveFree(h.Cents, float64(d.key)); j.align.right(p.heard, int(d.key)) && o >= -4 && o <= 4 {
			count[o+4]++
		}
	}
	best := 4
	for o, c := range count {
		if c > count[best] {
			best = o
		}
	}
	return best - 4
}

// recent returns the last delays.
func (j *Judge) recent() []time.Duration {
	return slices.Clone(j.delays[max(0, len(j.delays)-learned):])
}

// known returns the delay that is known so far.
func (j *Judge) known() time.Duration { return middle(j.recent()) }

// search returns the delay with which the first statements fit best.
func (j *Judge) search() time.Duration {
	best, at := math.Inf(1), time.Duration(0)
	for d := -60 * time.Millisecond; d <= maxDelay+40*time.Millisecond; d += 10 * time.Millisecond {
		cost, _ := j.align.align(d, 0)
		for k := -5; k <= 6; k++ {
			if other, _ := j.align.align(d, k); k != 0 {
				cost = min(cost, other+1)
			}
		}
		cost += 0.1 * math.Abs(d.Seconds()-0.06) / 0.1 // as most sound cards are
		if cost < best-1e-9 {
			best, at = cost, d
		}
	}
	return at
}

// lates returns by how much the notes that were right were later than due, the
// delay included, as far as that can be the delay.
func (j *Judge) lates(pairs []pair, delay time.Duration, semitones int) (all []time.Duration) {
	for _, p := range pairs {
		if p.due < 0 || p.heard < 0 {
			continue
		}
		d, h := &j.align.asked.notes[p.due], j.align.heard[p.heard]
		late := d.late(h.On - delay)
		if late += delay; !j.align.leaked[p.heard] && j.align.right(p.heard, int(d.key)+semitones) && late > -maxDelay && late < 2*maxDelay {
			all = append(all, late)
		}
	}
	return all
}

// middle sorts the values and returns the mean of those near the median.
func middle(v []time.Duration) time.Duration {
	if len(v) == 0 {
		return 0
	}
	slices.Sort(v)
	median := (v[len(v)/2] + v[(len(v)-1)/2]) / 2
	sum, count := time.Duration(0), time.Duration(0)
	for _, d := range v {
		if d > median-40*time.Millisecond && d < median+40*time.Millisecond {
			sum, count = sum+d, count+1
		}
	}
	if count == 0 {
		return median
	}
	return sum / count
}

// otherKey returns how far above the right key the statement was played, or 0.
func (j *Judge) otherKey(cost float64, delay time.Duration) int {
	best := 0
	least := cost - 1 // to be in another key is a fault
	for k := -5; k <= 6; k++ {
		if k == 0 {
			continue
		}
		c, pairs := j.align.align(delay, k)
		fit := 0
		for _, p := range pairs {
			if p.due >= 0 && p.heard >= 0 && j.align.right(p.heard, int(j.align.asked.notes[p.due].key)+k) {
				fit++
			}
		}
		if c < least && fit >= 2 && 3*fit >= 2*len(j.align.asked.notes) {
			best, least = k, c
		}
	}
	return best
}

// say makes faults of an alignment, and the verdict of the faults.
func (j *Judge) say(s *Say, pairs []pair, delay time.Duration, semitones int) {
	a := j.align.asked
	tolerance := a.tolerance(j.o.Strictness)
	unclear := false
	if semitones != 0 {
		s.Faults = append(s.Faults, Fault{Kind: KindKey, Note: -1, Semitones: semitones})
	}
	last, due := -1, -1
	for _, p := range pairs {
		due = max(due, p.due)
		switch {
		case p.due < 0:
			h := j.align.heard[p.heard]
			if !j.counts(p.heard) || !j.o.Keys && j.align.blend(p.heard) >= 0 {
				break
			}
			if !j.o.Keys && j.align.phantom(p.heard, due, semitones) {
				unclear = true
				break
			}
			s.Faults = append(s.Faults, Fault{Kind: KindExtra, Note: last, Heard: h.Key()})
		case p.heard < 0:
			last = a.notes[p.due].index
			if j.align.masked(&a.notes[p.due], delay, semitones) {
				unclear = true
				break
			}
			s.Faults = append(s.Faults, Fault{Kind: KindMissing, Note: last})
		default:
			d, h := &a.notes[p.due], j.align.heard[p.heard]
			last = d.index
			if !j.align.right(p.heard, int(d.key)+semitones) {
				if !j.o.Keys && j.align.both(p.heard, p.due, semitones) {
					unclear = unclear || d.late(h.On-delay).Abs() > tolerance
					break
				}
				if h.Sure < 0.5 && !j.align.goesOn(p.heard) || j.align.nearly(p.heard, int(d.key)+semitones) || !j.o.Keys && j.align.phantom(p.heard, p.due, semitones) {
					unclear = true
					break
				}
				s.Faults = append(s.Faults, Fault{Kind: KindWrong, Note: last, Heard: h.Key()})
				break
			}
			if h.Sure < weak {
				unclear = true
			}
			off, octaves := octaveFree(j.align.cents(p.heard, int(d.key)+semitones)+j.align.tuning, float64(int(d.key)+semitones))
			by := j.align.lateness(p.heard, d, delay)
			s.Notes = append(s.Notes, Heard{Note: last, By: by, Cents: off, Octaves: octaves})
			if j.o.Strictness != StrictnessNotes && h.Sure >= weak && (by > tolerance || by < -tolerance && !j.align.leaked[p.heard]) {
				kind := KindLate
				if by < 0 {
					kind = KindEarly
				}
				s.Faults = append(s.Faults, Fault{Kind: kind, Note: last, By: by})
			}
		}
		if p.due >= 0 && a.notes[p.due].chord && !j.o.Keys {
			unclear = true
		}
	}
	switch {
	case len(s.Faults) > 0:
		s.Verdict = VerdictNotClean
	case unclear:
		s.Verdict = VerdictUnclear
	default:
		s.Verdict = VerdictClean
	}
	s.Drag = drag(a, s.Notes)
}

// counts reports whether a heard note that is none of the statement is surely a
// note: one that strikes again what sounds already must be surer, and is taken
// for the click where one is due.
func (j *Judge) counts(k int) bool {
	n := j.align.heard[k]
	if j.align.after(k) || j.align.leaked[k] || j.align.again[k] {
		return false
	}
	if j.align.goesOn(k) {
		return n.Sure >= 0.8 && !j.align.asked.clicked(n.On-j.known())
	}
	return n.Sure >= 0.5
}

// drag returns by how much the notes came later and later, in a bar: the slope of
// the straight line through them, by least squares.
func drag(a *asked, notes []Heard) time.Duration {
	var n, x, y, xx, xy float64
	for _, h := range notes {
		for _, d := range a.notes {
			if d.index == h.Note {
				at, by := (d.from - a.begin).Seconds(), h.By.Seconds()
				n, x, y, xx, xy = n+1, x+at, y+by, xx+at*at, xy+at*by
				break
			}
		}
	}
	if n < 3 || n*xx-x*x < 1e-9 {
		return 0
	}
	return time.Duration((n*xy - x*y) / (n*xx - x*x) * float64(a.bar))
}
