package listening

import (
	"math"
	"time"

	"example.com/keyorder/pitch"
)

// A Note is a note that was heard.
type Note struct {
	On, Off time.Duration
	Cents   float64 // 100 for each key number: 6900 is A4 at 440 Hz
	Level   float64 // in decibels below full scale
	// Sure says how sure it is that this is a note of its own, from 0 to 1: a
	// slide into the next note, a slip of the octave, a swell on a long note are
	// less sure. A key of a keyboard is 1.
	Sure float64
	// end is when something else was heard: Off, or later where the note died away.
	end time.Duration
	// sounds is whether it has not ended, as far as was heard.
	sounds bool
}

// Key returns the key that is nearest to the note's pitch.
func (n Note) Key() pitch.Number { return pitch.Number(math.Round(n.Cents / 100)) }

const (
	history     = 128  // frames that are kept
	look        = 18   // frames in which the beginning of a note is looked for
	soon        = 24   // frames after which a note that goes on is told
	scoop       = 55   // cents by which the beginning of one note is off at most
	slide       = 14   // frames that a slide into a note takes at most
	decay       = 0.15 // decibels that a string loses in a frame, at most
	released    = 9    // decibels below what it would have where a note has been let go
	falling     = 3    // and where it is being let go
	mixed       = 40   // frames that two notes sound as a third at most
	quieter     = 3    // decibels that a note that rings on has lost at least
	muchQuieter = 6    // and from which on it does, whatever rises but the level
	foot        = 10   // decibels below a note's level where it begins
)

// An Ear hears notes in the sound of one voice: a Tracker, and what makes notes
// of its frames. A note is told as soon as it is sure, and told again, with the
// same On, when it has ended.
type Ear struct {
	tracker *Tracker
	path    path
	tell    func(Note)
	expect  func(time.Duration) pitch.Set
	frames  [history]Frame
	keys    [history]int16
	count   int // frames heard
	done    int // frames decided
	now     segment
	before  segment // the one before it, perhaps not told yet
	last    int     // the frame of the onset that was told last
}

// A segment is a run of frames with one key.
type segment struct {
	key      int // −1 for silence
	from, to int // frames
	on       int // the frame of its onset, perhaps before from
	attack   float64
	dip      float64 // the least clarity about its beginning
	drop     float64 // by how much the level went down before, in decibels
	swell    float64 // and by how much it rose after that
	long     int     // frames of the one before
	run      int     // the frame from which the key has sounded, struck again or not
	held     float64 // the level that a note held on would have, in decibels
	knee     int     // the frame up to which it was held
	off      int     // and up to which its level was not that of a note let go
	earlier  int     // the key before it, but for its own
	past     float64 // the level that one had
	rings    bool    // it sounded before the one before, too, louder, and was not struck
	again    bool    // the one before, which it follows at once, is the same key or an octave of it
	told     bool
	loud     float64 // the level that was told
	pending  bool    // to be told when it is known what follows
	after    int     // the key before it, or −1
}

// NewEar returns an Ear for sound of a rate and an instrument's keys, as they
// sound. It calls tell for each note, in the order of time. The error is that of
// NewTracker.
func NewEar(rate int, low, high pitch.Number, tell func(Note)) (*Ear, error) {
	e := &Ear{tell: tell, now: segment{key: -1}, before: segment{key: -1}}
	var err error
	if e.tracker, err = NewTracker(rate, low, high, e.frame); err != nil {
		return nil, err
	}
	e.path = newPath(max(int(low)-margin, 0), int(high)+margin)
	return e, nil
}

// Expect has the Ear favour some notes a little where the sound leaves a doubt:
// those that are due at a time, as [Judge.Due] says.
func (e *Ear) Expect(due func(at time.Duration) pitch.Set) { e.expect = due }

// Write hears samples, as Tracker.Write takes them.
func (e *Ear) Write(samples []float32) { e.tracker.Write(samples) }

// Close ends the sound: it tells what is left.
func (e *Ear) Close() {
	silence := make([]float32, e.tracker.in.factor*int(0.4*e.tracker.rate))
	e.Write(silence)
}

// Now returns the time up to which all notes that have begun are told, but for
// those that are still too short.
func (e *Ear) Now() time.Duration { return e.tracker.timeOf(int64(e.done)) }

func (e *Ear) at(frame int) *Frame { return &e.frames[frame%history] }

func (e *Ear) frame(f Frame) {
	*e.at(e.count) = f
	e.count++
	if e.path.due = 0; e.expect != nil {
		e.path.due = e.expect(f.At)
	}
	key := e.path.add(&f)
	if e.count <= lag {
		return
	}
	e.keys[e.done%history] = int16(key)
	e.done++
	e.step(e.done-1, key)
}

// rise returns by how much the level rises about a frame, in decibels: of all
// of the sound or of its higher part.
func (e *Ear) rise(n int) float64 {
	low, lowBright := math.Inf(1), math.Inf(1)
	for k := max(0, n-6); k <= n; k++ {
		low, lowBright = min(low, e.at(k).Level), min(lowBright, e.at(k).bright)
	}
	low, lowBright = max(low, e.path.loud-60), max(lowBright, e.path.loud-60)
	high, highBright := e.at(n+2).Level, e.at(n+2).bright
	return max(high-low, highBright-lowBright)
}

// louder is rise for the level of all of the sound alone.
func (e *Ear) louder(n int) float64 {
	low := math.Inf(1)
	for k := max(0, n-6); k <= n; k++ {
		low = min(low, e.at(k).Level)
	}
	return max(e.at(n+2).Level, e.at(n+4).Level) - max(low, e.path.loud-60)
}

// dip returns the least clarity about a frame.
func (e *Ear) dip(n int) float64 {
	v := 1.0
	for k := max(0, n-5); k <= n+4; k++ {
		v = min(v, e.at(k).Clarity)
	}
	return v
}

// attackAt returns the strongest rise between two frames, and where it is.
func (e *Ear) attackAt(from, to int) (strength float64, at int) {
	at = from
	for n := max(0, from); n <= to && n+2 < e.count; n++ {
		if r := e.rise(n); r > strength {
			strength, at = r, n
		}
	}
	return strength, at
}

// step takes a decided frame.
func (e *Ear) step(n, key int) {
	if key == e.now.key {
		if key >= 0 {
			e.repeat(n)
		}
	} else {
		e.begin(n, key)
	}
	e.now.to = n + 1
	level := e.at(n).Level
	e.now.held = max(level, e.now.held-decay)
	switch {
	case level >= e.now.held-falling:
		e.now.knee, e.now.off = n+1, n+1
	case level >= e.now.held-released:
		e.now.off = n + 1
	}
	e.settle(n)
}

// repeat begins the key again where it was struck again.
func (e *Ear) repeat(n int) {
	if n-e.now.from < 9 || n < 12 || n-e.now.from < mixed && under(e.now.key, e.now.after) {
		return
	}
	r := e.rise(n)
	if r < 2.5 {
		return
	}
	for k := n - 5; k <= n+5; k++ {
		if q := e.rise(k); q > r || q == r && k < n {
			return
		}
	}
	e.begin(n, e.now.key)
}

// begin begins a segment.
func (e *Ear) begin(n, key int) {
	before := e.now
	e.end(n)
	e.now = segment{key: key, from: n, on: n, run: n, after: before.key, earlier: before.key, past: e.loudest(max(before.run, e.count-history+4), n), held: math.Inf(-1)}
	e.now.again = key >= 0 && before.key >= 0 && (key-before.key)%12 == 0
	if !e.now.again {
		e.now.attack, _ = e.attackAt(n-6, n+6)
		e.now.rings = key >= 0 && key == before.earlier && (e.now.attack < 3 && e.loudest(n, n+12) < before.past-quieter || e.falls(n, before.past-muchQuieter))
		switch {
		case key >= 0 && before.key >= 0:
			e.now.on = e.rises(e.broken(n, before.key, before.run), n)
		case key >= 0:
			e.now.on = e.rose(n, before.from)
		}
		return
	}
	if key != before.key {
		e.now.rings = e.falls(n, e.loudest(max(before.from, e.count-history+4), n)-quieter)
	} else {
		e.now.run, e.now.earlier, e.now.past = before.run, before.earlier, before.past
	}
	e.now.attack, e.now.dip = e.louder(n), e.dip(n)
	low, high := math.Inf(1), math.Inf(-1)
	for k := max(0, n-6); k <= n; k++ {
		if l := e.at(k).Level; l < low {
			low, e.now.on = l, k
		}
	}
	for k := max(before.from+2, n-40); k < n-2; k++ {
		high = max(high, e.at(k).Level)
	}
	e.now.drop, e.now.long = high-low, n-before.from
}

// falls reports whether the level after a frame is below another and does not rise
// there: what sounds is not struck.
func (e *Ear) falls(n int, below float64) bool {
	level := e.loudest(n+4, n+16)
	return level < below && level < e.softest(n-6, n+5)+3
}

// rose returns where a note begins that follows silence: where the level rose, before
// the pitch was clear.
func (e *Ear) rose(n, from int) int {
	from = max(from, n-soon)
	high := e.loudest(n, n+4)
	for k := n; k > from; k-- {
		if e.at(k-1).Level < high-foot {
			return k
		}
	}
	return n
}

// broken returns the frame at which a key ceased to be alone, before another one
// was clear: there the next note begins, in what is left of the one before.
func (e *Ear) broken(n, key, from int) int {
	from = max(from+4, n-look)
	clear, least := 0.0, 1.0
	for k := from; k <= n; k++ {
		h := e.height(k, key)
		clear, least = max(clear, h), min(least, h)
	}
	for k := n; k > from; k-- {
		if e.height(k-1, key) > clear-max(0.08, 0.3*(clear-least)) {
			return k
		}
	}
	return n
}

// rises returns where a note begins whose beginning lies between two frames: while
// the level falls it is the note before that dies away.
func (e *Ear) rises(from, to int) int {
	least := from
	for k := from; k <= to; k++ {
		if e.at(k).Level < e.at(least).Level {
			least = k
		}
	}
	low := e.at(least).Level
	if e.at(from).Level > low+3 && e.at(min(to+4, e.count-1)).Level > low+3 {
		return least
	}
	return from
}

// height returns how well a key fits a frame.
func (e *Ear) height(n, key int) float64 {
	f := e.at(n)
	v := 0.0
	for _, p := range f.peaks[:f.n] {
		if math.Abs(p.cents-100*float64(key)) < 70 {
			v = max(v, p.height)
		}
	}
	return v
}

// end ends the segment that sounds.
func (e *Ear) end(n int) {
	if e.now.key < 0 {
		return
	}
	e.flush()
	e.before = e.now
	e.before.to = n
	e.before.pending = true
}

// settle tells what is known by now.
func (e *Ear) settle(n int) {
	if b := &e.before; b.pending {
		follows := e.now.key >= 0 && e.now.from == b.to
		switch {
		case b.told || n-b.to >= 10 && (!follows || n-b.to >= 16):
			e.flush()
		case follows && n-b.to >= 10 && e.leads(b):
			// It is the beginning of the note that sounds now.
			e.now.on, e.now.after = b.on, b.after
			e.now.attack = max(e.now.attack, b.attack)
			if e.now.again = b.after >= 0 && (e.now.key-b.after)%12 == 0; e.now.again {
				e.now.dip, e.now.drop, e.now.long = b.dip, b.drop, b.long
			}
			b.pending = false
		}
	}
	if e.now.key >= 0 && !e.now.told && e.now.to-e.now.from >= soon && (e.now.to-e.now.from >= mixed || !under(e.now.key, e.now.after)) {
		e.flush()
		e.tellNote(&e.now)
		e.now.told = true
	}
}

// leads reports whether a segment is no note but the beginning of the one that
// sounds now: a slide, or what two notes have in common while one dies away.
func (e *Ear) leads(b *segment) bool {
	long, step := b.to-b.run, e.now.key-b.key
	switch {
	case under(b.key, e.now.key) && under(b.key, b.after):
		return long < mixed
	case step >= -2 && step <= 2 && step != 0 && long < soon && e.level(b) < e.level(&e.now)-8:
		return true
	case (step == 1 || step == -1) && long < soon && math.Abs(e.cents(&e.now)-e.cents(b)) < scoop:
		return true
	case e.now.again:
		return step != 0 && long < soon && e.now.attack < 3 // an octave of the same note
	case e.now.attack >= 4:
		return false
	case step == 1 || step == -1:
		return long < soon && math.Abs(e.cents(&e.now)-e.cents(b)) < 75 || long < slide
	case step >= -3 && step <= 3 || under(b.key, e.now.key):
		return long < slide
	}
	return false
}

func (e *Ear) flush() {
	if e.before.pending {
		e.before.pending = false
		e.tellNote(&e.before)
	}
}

// tellNote tells a segment as a note.
func (e *Ear) tellNote(s *segment) {
	if !s.told {
		s.swell = e.loudest(s.on, min(s.on+soon, e.now.to)) - e.at(s.on).Level
		s.on = max(e.loudFrom(s), e.last+1)
		e.last = s.on
	}
	first, last := e.inner(s)
	to := s.to
	if e.now.key == s.key && e.now.run == s.run {
		to = e.now.to // it goes on, struck again or not
	}
	clarity := 0.0
	for n := first; n < max(last, to); n++ {
		clarity = max(clarity, e.height(n, s.key))
	}
	note := Note{On: e.at(s.on).At, Off: e.tracker.timeOf(int64(s.letGo())), end: e.tracker.timeOf(int64(s.to)), Cents: e.cents(s), Level: e.level(s)}
	if s.on <= e.count-history {
		note.On = e.tracker.timeOf(int64(s.on))
	}
	if s.told {
		note.Level = max(note.Level, s.loud) // its beginning is forgotten
	}
	s.loud = note.Level
	note.Sure, note.sounds = e.sure(s, to, clarity), s == &e.now
	e.tell(note)
}

// letGo returns the frame at which a note was let go: where the line along which its
// level falls begins, if it has fallen far enough.
func (s *segment) letGo() int {
	if s.off >= s.to {
		return s.to
	}
	return s.knee - (s.off-s.knee)*falling/(released-falling)
}

// loudFrom returns the frame at which a note is heard well: something much softer
// that was there before is not its beginning.
func (e *Ear) loudFrom(s *segment) int {
	high := math.Inf(-1)
	end := min(s.to, s.from+16)
	for n := s.on; n < end; n++ {
		high = max(high, e.at(n).Level)
	}
	for n := s.on; n < end; n++ {
		if e.at(n).Level > high-foot {
			return n
		}
	}
	return s.on
}

// inner returns the frames of a segment that are still kept, without its edges,
// which have something of the neighbours.
func (e *Ear) inner(s *segment) (first, last int) {
	first, last = max(s.from, e.count-history+4), s.to
	if last-first > 12 {
		first, last = first+4, last-2
	}
	return first, last
}

// level returns the greatest level of a segment.
func (e *Ear) level(s *segment) float64 { return e.loudest(e.inner(s)) }

// loudest returns the greatest level of the frames from one up to another.
func (e *Ear) loudest(from, to int) float64 {
	v := math.Inf(-1)
	for n := from; n < to; n++ {
		v = max(v, e.at(n).Level)
	}
	return v
}

// softest returns the least level of the frames from one up to another.
func (e *Ear) softest(from, to int) float64 {
	v := math.Inf(1)
	for n := max(0, from); n < to; n++ {
		v = min(v, e.at(n).Level)
	}
	return v
}

// cents returns the median of a segment's pitch.
func (e *Ear) cents(s *segment) float64 {
	var all [64]float64
	count := 0
	first, last := e.inner(s)
	every := max(1, (last-first+len(all)-1)/len(all))
	for n := first; n < last; n += every {
		f := e.at(n)
		best, off := 0.0, 70.0
		for _, p := range f.peaks[:f.n] {
			if d := math.Abs(p.cents - 100*float64(s.key)); d < off {
				best, off = p.cents, d
			}
		}
		if off < 70 {
			all[count] = best
			count++
		}
	}
	if count == 0 {
		return 100 * float64(s.key)
	}
	return median(all[:count])
}

// sure says how sure it is that a segment is a note, which goes on up to a frame.
func (e *Ear) sure(s *segment, to int, clarity float64) float64 {
	long := float64(to-min(s.on, s.from)) * hopTime
	v := ramp(long, 0.03, 0.07) * ramp(clarity, 0.5, 0.8)
	if s.again {
		octave := 0.0 // that it is another octave says something
		if s.key != s.after {
			octave = 0.6 * ramp(long, 0.05, 0.1)
			if s.rings {
				octave *= 0.6
			}
		}
		valley := min(s.attack, s.drop)
		struck := max(ramp(valley, 3, 6)*ramp(1-s.dip, 0.04, 0.12), 0.6*ramp(valley, 4, 8), 0.5*ramp(valley, 1, 2)*ramp(1-s.dip, 0.15, 0.3), 0.4*ramp(min(s.swell, s.drop), 2, 3.5))
		v *= struck * ramp(float64(s.long)*hopTime, 0.08, 0.13)
		v = max(v, octave)
	}
	if s.rings && !s.again {
		v *= 0.4
	}
	before, next := under(s.key, s.after), under(s.key, e.keyAt(s.to+2))
	if long < 0.1 && (before || next) || long < 0.2 && before && next {
		v *= 0.4
	}
	return v
}

// keyAt returns the key of a frame, −1 where it is not decided.
func (e *Ear) keyAt(n int) int {
	if n >= e.done || n < 0 {
		return -1
	}
	return int(e.keys[n%history])
}

// under reports whether a key is a whole part of another one's frequency, which
// two notes that sound together have in common.
func under(key, other int) bool {
	switch other - key {
	case 12, 19, 24, 28, 31, 34, 36:
		return other >= 0
	}
	return false
}

func ramp(x, from, to float64) float64 { return max(0, min((x-from)/(to-from), 1)) }

// median sorts the values and returns the middle one.
func median(v []float64) float64 {
	for i := 1; i < len(v); i++ {
		for k := i; k > 0 && v[k] < v[k-1]; k-- {
			v[k], v[k-1] = v[k-1], v[k]
		}
	}
	if n := len(v) / 2; len(v)%2 == 1 {
		return v[n]
	} else {
		return (v[n-1] + v[n]) / 2
	}
}
