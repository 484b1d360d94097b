package drill

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"example.com/keyorder/figure"
	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
)

// A FitError says why a figure cannot be played in all the keys asked for on
// an instrument, and what would fit. [New] gives it inside a *fault.ValueError;
// errors.As finds it there. Keys and notes are as the part reads them.
type FitError struct {
	Instrument Instrument      // with the range that is too narrow
	Span       int             // semitones from the figure's lowest to its highest note
	Key        spelling.Name   // the first key of the route that does not fit
	Note       spelling.Note   // the figure's first note there that is too high where the lowest just fits
	Fit        []spelling.Name // the keys that do fit, upward from C
	Low, High  spelling.Note   // a range in which all twelve keys would fit; both zero where none is wide enough
}

// Error returns all of it in one sentence for a player.
func (e *FitError) Error() string {
	i := e.Instrument
	var fit []string
	for _, n := range e.Fit {
		fit = append(fit, n.String())
	}
	keys := "no key fits"
	if len(fit) > 0 {
		keys = "these keys fit: " + strings.Join(fit, " ")
	}
	text := fmt.Sprintf("the figure spans %d semitones and the range goes from %v to %v, %d semitones: in %v, %v lies outside; %s; all twelve need a range of %d semitones",
		e.Span, i.Low, i.High, i.Low.To(i.High).Semitones(), e.Key, e.Note, keys, e.Span+11)
	if e.Low == e.High {
		return text + ", more than there is"
	}
	return fmt.Sprintf("%s, as from %v to %v", text, e.Low, e.High)
}

// reach is the range of written tonics, as key numbers, at which notes that
// lie between low and high semitones from the tonic fit an instrument.
func (i Instrument) reach(low, high int) (from, to int) {
	return int(i.Low.Number()) - low, int(i.High.Number()) - high
}

// lowest returns the lowest number of a class from a number upward.
func lowest(c pitch.Class, from int) int {
	return from + int(pitch.ClassOf(int(c)-from))
}

// fit finds the keys that do not fit the parts and lays out those that are
// played. With a single part those that do not fit are left out.
func (d *Drill) fit() error {
	low, high := d.s.Figure.Span()
	var skip [12]bool
	for p := range d.parts {
		pt := &d.parts[p]
		from, to := pt.reach(low.Semitones(), high.Semitones())
		var missing [12]bool // by the key of the route
		none := true
		for _, k := range d.s.Route.Run() {
			c := d.writtenClass(p, k)
			if lowest(c, from) <= to {
				none = false
			} else if !missing[k] {
				missing[k] = true
				pt.out = append(pt.out, pt.written[c])
			}
		}
		if len(pt.out) > 0 && (none || !d.s.LeaveOut) {
			return &fault.ValueError{Setting: "instrument", Value: pt.Name, Err: pt.fitError(pt.out[0], d.s.Figure)}
		}
		if len(d.parts) == 1 {
			skip = missing
		}
	}
	d.walk(skip)
	return nil
}

func (p *part) fitError(key spelling.Name, f figure.Figure) *FitError {
	low, high := f.Span()
	from, to := p.reach(low.Semitones(), high.Semitones())
	e := &FitError{Instrument: p.Instrument, Span: high.Semitones() - low.Semitones(), Key: key}
	for c := range pitch.Class(12) {
		if lowest(c, from) <= to {
			e.Fit = append(e.Fit, p.written[c])
		}
	}
	for _, n := range f.AppendNotes(nil, withNumber(key, lowest(key.Class(), from))) {
		if n.Number() > p.High.Number() {
			e.Note = n
			break
		}
	}
	// The wider range keeps the low note, unless it would go up beyond the
	// notes that there are, and is spelled as a scale would be.
	named := func(number int) spelling.Note {
		return withNumber(figure.Major.Tonics()[pitch.ClassOf(number)], number)
	}
	need := e.Span + 11
	bottom, top := max(0, -p.down), min(127, 127-p.down)
	switch at := int(p.Low.Number()); {
	case need > top-bottom:
	case at+need <= top:
		e.Low, e.High = p.Low, named(at+need)
	default:
		e.Low, e.High = named(top-need), named(top)
	}
	return e
}

// A cost is what a way of placing statements costs: first what the path
// counts, then the distance from the middle of the range, then the height.
type cost struct{ path, middle, height int }

func (a cost) plus(b cost) cost {
	return cost{a.path + b.path, a.middle + b.middle, a.height + b.height}
}

func (a cost) less(b cost) bool {
	switch {
	case a.path != b.path:
		return a.path < b.path
	case a.middle != b.middle:
		return a.middle < b.middle
	}
	return a.height < b.height
}

// A way is the best way to place all statements up to one of them, with its
// tonic in one octave, if there is any.
type way struct {
	cost
	open bool // whether there is one
}

func (w way) better(than way) bool { return w.open && (!than.open || w.less(than.cost)) }

// A slot is a statement to be placed, as it sounds: the key numbers its tonic
// can have go from from to to in octaves, none if it rests.
type slot struct {
	class      pitch.Class
	low        int // the lowest tonic that fits, of any class
	from, to   int
	begin, end int // semitones from its tonic to its first and last note
	middle     int // twice the tonic that would lie in the middle of the range
	wanted     int // how far Follow moves the tonic to come here
}

func (s slot) rests() bool { return s.to < s.from }

// octaves is how many octaves a statement that does not rest can lie in, and
// tonic where its tonic is in one of them, counted from the lowest.
func (s slot) octaves() int         { return (s.to-s.from)/12 + 1 }
func (s slot) tonic(octave int) int { return s.from + 12*octave }

// alone is the cost of a statement by itself, with its tonic at a number.
func (s slot) alone(tonic int) cost {
	m := 2*tonic - s.middle
	return cost{middle: max(m, -m), height: tonic}
}

// after is the cost of coming to a statement from the one before. Inside a
// section no tonic moves more than an octave.
func (s slot) after(before slot, from, to int, path Path) (c cost, ok bool) {
	move := to - from
	if move > 12 || move < -12 {
		return cost{}, false
	}
	if path == PathNear {
		move += s.begin - before.end
	} else {
		move -= s.wanted
	}
	return cost{path: max(move, -move)}, true
}

// place chooses the octaves of the statements, section by section: those of all
// parts together.
func (d *Drill) place(ctx context.Context) error {
	for p := range d.parts {
		d.parts[p].octaves = make([]int8, 0, len(d.steps))
	}
	slots, tonics := make([][]slot, len(d.parts)), make([][]int, len(d.parts))
	var s search
	for from := 0; from < len(d.steps); {
		if err := ctx.Err(); err != nil {
			return err
		}
		to := from + 1
		for to < len(d.steps) && !d.steps[to].first {
			to++
		}
		for p := range d.parts {
			slots[p] = d.slots(slots[p][:0], p, d.steps[from:to])
		}
		s.together(tonics, slots, d.s.Path)
		for p := range d.parts {
			pt := &d.parts[p]
			for n, st := range d.steps[from:to] {
				octave := rests
				if !slots[p][n].rests() {
					octave = int8(withNumber(pt.written[d.writtenClass(p, st.key)], tonics[p][n]-pt.down).Octave())
				}
				pt.octaves = append(pt.octaves, octave)
			}
		}
		from = to
	}
	return nil
}

// slots appends the statements of a section as a part has to place them, as
// they sound.
func (d *Drill) slots(dst []slot, p int, steps []step) []slot {
	pt := &d.parts[p]
	low, high := d.s.Figure.Span()
	from, to := pt.reach(low.Semitones(), high.Semitones())
	heldFrom, heldTo := pt.reach(d.heldSpan[0], d.heldSpan[1])
	var last pitch.Class
	up, joined := true, false
	for _, st := range steps {
		c := d.soundingClass(st.key)
		s := slot{class: c, low: from + pt.down, to: to + pt.down, begin: d.begin, end: d.end, middle: from + to + 2*pt.down}
		s.from = lowest(c, s.low)
		// A key that does not fit rests when it comes back, too.
		if st.back && d.s.Closing == ClosingHeld && !s.rests() {
			s.low, s.to, s.begin = heldFrom+pt.down, heldTo+pt.down, d.heldBegin
			s.from = lowest(c, s.low)
		}
		if joined && !s.rests() {
			s.wanted = int(pitch.ClassOf(int(c) - int(last)))
			if s.wanted > 6 || s.wanted == 6 && !up {
				s.wanted -= 12
			}
			if s.wanted == 6 || s.wanted == -6 {
				up = !up
			}
		}
		if !s.rests() {
			last, joined = c, true
		}
		dst = append(dst, s)
	}
	return dst
}

// most is more than the octaves from the lowest note that there can be to the
// highest.
const most = 13

// come returns the best way to a statement with its tonic in one octave, given
// those to the statement before, and from which of that one's octaves it comes.
func (s slot) come(octave int, before slot, ways *[most]way, path Path) (best way, from int8) {
	tonic := s.tonic(octave)
	for n := range before.octaves() {
		c, ok := s.after(before, before.tonic(n), tonic, path)
		if w := (way{c.plus(ways[n].cost), ok && ways[n].open}); w.better(best) {
			best, from = w, int8(n)
		}
	}
	best.cost = best.plus(s.alone(tonic))
	return best, from
}

// A search holds what is used again from section to section.
type search struct {
	came    [][most]int8 // from which octave before each is reached best
	shared  []slot       // what all parts have room for
	line    []int        // a line that parts follow
	best    []int        // the best so far
	follows []int        // what is only counted
}

// shortest appends the tonics of a section, placed by a shortest path through
// their possible octaves. Where a statement rests it appends what means nothing.
func (r *search) shortest(dst []int, slots []slot, path Path) []int {
	r.came = append(r.came[:0], make([][most]int8, len(slots))...)
	var ways [most]way // to the last statement that does not rest
	var last *slot
	for n := range slots {
		s := &slots[n]
		if s.rests() {
			continue
		}
		var next [most]way
		for o := range s.octaves() {
			if last == nil {
				next[o] = way{s.alone(s.tonic(o)), true}
			} else {
				next[o], r.came[n][o] = s.come(o, *last, &ways, path)
			}
		}
		ways, last = next, s
	}
	octave := 0
	for o := range ways {
		if ways[o].better(ways[octave]) {
			octave = o
		}
	}
	dst = append(dst, make([]int, len(slots))...)
	out := dst[len(dst)-len(slots):]
	for n, s := range slices.Backward(slots) {
		if !s.rests() {
			out[n] = s.tonic(octave)
			octave = int(r.came[n][octave])
		}
	}
	return dst
}

// together places a section for all parts, so that they break octaves together: in
// octaves or unison throughout if that can be; otherwise one part leads, and the
// others follow it until their range ends.
func (r *search) together(tonics [][]int, slots [][]slot, path Path) {
	for p := range tonics {
		tonics[p] = tonics[p][:0]
	}
	if !r.parallel(tonics, slots, path) {
		r.led(tonics, slots, path)
	}
}

// parallel places a section so that all parts keep their distance, if it can:
// along the best line through the part of their ranges that they share, octaves
// aside.
func (r *search) parallel(tonics [][]int, slots [][]slot, path Path) (ok bool) {
	for _, part := range slots {
		if slices.ContainsFunc(part, slot.rests) {
			return false
		}
	}
	var best cost
	var tried [12]bool
	for _, part := range slots {
		// The shared range begins where that of some part does.
		low := pitch.ClassOf(part[0].low)
		if tried[low] {
			continue
		}
		tried[low] = true
		if c, found := r.within(int(low), slots, path); found && (!ok || c.less(best)) {
			best, ok = c, true
			r.best, r.line = r.line, r.best
		}
	}
	for p, part := range slots {
		if ok {
			by, _ := nearest(part, r.best)
			for _, t := range r.best {
				tonics[p] = append(tonics[p], t+by)
			}
		}
	}
	return ok
}

// within finds the best line through the range that begins at a number and ends
// where the first of the parts' ranges does, each of them shifted by octaves so
// that it begins there or just below.
func (r *search) within(low int, slots [][]slot, path Path) (c cost, ok bool) {
	r.shared = append(r.shared[:0], slots[0]...)
	for n := range r.shared {
		s := &r.shared[n]
		s.low, s.to = math.MinInt, math.MaxInt
		for _, part := range slots {
			by := low - part[0].low - int(pitch.ClassOf(low-part[0].low))
			s.low, s.to = max(s.low, part[n].low+by), min(s.to, part[n].to+by)
		}
		s.from = lowest(s.class, s.low)
		s.middle = r.shared[0].low + r.shared[0].to
		if s.rests() {
			return c, false
		}
	}
	r.line = r.shortest(r.line[:0], r.shared, path)
	for n := range r.line[1:] {
		move, _ := r.shared[n+1].after(r.shared[n], r.line[n], r.line[n+1], path)
		c.path += move.path
	}
	for _, part := range slots {
		_, own := nearest(part, r.line)
		c = c.plus(own)
	}
	return c, true
}

// nearest returns by how many octaves, in semitones, a line is shifted so that it
// lies nearest to the middle of a part's range, and what that costs. There must
// be a way.
func nearest(part []slot, line []int) (by int, best cost) {
	found := false
	for t := part[0].from; t <= part[0].to; t += 12 {
		shift, c, fits := t-line[0], cost{}, true
		for n, s := range part {
			fits = fits && line[n]+shift >= s.from && line[n]+shift <= s.to
			c = c.plus(s.alone(line[n] + shift))
		}
		if fits && (!found || c.less(best)) {
			by, best, found = shift, c, true
		}
	}
	return by, best
}

// led places a section so that one part leads, as it would alone, and the others
// keep their distance from it until their range ends. The leader is the one that
// is left least often, of two the first.
func (r *search) led(tonics [][]int, slots [][]slot, path Path) {
	least := -1
	for leader := range slots {
		r.line = r.shortest(r.line[:0], slots[leader], path)
		fill(r.line, slots[leader])
		left := 0
		for p := range slots {
			if p != leader {
				n := 0
				r.follows, n = follow(r.follows[:0], slots[p], r.line)
				left += n
			}
		}
		if least < 0 || left < least {
			least = left
			r.best = append(r.best[:0], r.line...)
		}
	}
	for p := range slots {
		tonics[p], _ = follow(tonics[p], slots[p], r.best)
	}
}

// fill gives a line tonics where it rests, each the shorter way from one beside
// it.
func fill(line []int, slots []slot) {
	first := slices.IndexFunc(slots, func(s slot) bool { return !s.rests() })
	if first < 0 { // it rests throughout
		first, line[0] = 0, lowest(slots[0].class, 0)
	}
	beside := func(n, m int) {
		if line[n] = lowest(slots[n].class, line[m]); line[n] > line[m]+6 {
			line[n] -= 12
		}
	}
	for n := first - 1; n >= 0; n-- {
		beside(n, n+1)
	}
	for n := first + 1; n < len(line); n++ {
		if slots[n].rests() {
			beside(n, n-1)
		}
	}
}

// follow appends the tonics of a part that keeps its distance from a line until
// its range ends, and then changes it so that it keeps the new one longest; and
// how often it does. No tonic moves more than an octave.
func follow(dst []int, part []slot, line []int) (tonics []int, left int) {
	from := len(dst)
	dst = append(dst, make([]int, len(part))...)
	out := dst[from:]
	last := -1 // the statement before that does not rest
	for n, s := range part {
		if s.rests() {
			continue
		}
		if last >= 0 {
			if t := out[last] + line[n] - line[last]; t >= s.from && t <= s.to && t-out[last] <= 12 && out[last]-t <= 12 {
				out[n], last = t, n
				continue
			}
			left++
		}
		longest, best := -1, cost{}
		for t := s.from; t <= s.to; t += 12 {
			if last >= 0 && (t-out[last] > 12 || out[last]-t > 12) {
				continue
			}
			if run, c := keeps(part[n:], line[n:], t-line[n]), s.alone(t); run > longest || run == longest && c.less(best) {
				longest, best, out[n] = run, c, t
			}
		}
		last = n
	}
	return dst, left
}

// keeps counts the statements for which a part can keep its distance from a
// line.
func keeps(part []slot, line []int, by int) int {
	last := 0
	for n, s := range part {
		if s.rests() {
			continue
		}
		if t := line[n] + by; t < s.from || t > s.to || line[n]-line[last] > 12 || line[last]-line[n] > 12 {
			return n
		}
		last = n
	}
	return len(part)
}
