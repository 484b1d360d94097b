package drill

import (
	"fmt"
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
	Key        spelling.Name   // the first key that does not fit
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

// A slot is a statement to be placed: the key numbers its tonic can have go
// from from to to in octaves, none if it rests.
type slot struct {
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

// place chooses the octaves of a part's statements, section by section.
func (d *Drill) place(p int) {
	pt := &d.parts[p]
	low, high := d.s.Figure.Span()
	from, to := pt.reach(low.Semitones(), high.Semitones())
	heldNotes := d.s.Figure.In(0)[d.held[0]:d.held[1]]
	heldLow, heldHigh := int(heldNotes[0].Note.Number()), int(heldNotes[0].Note.Number())
	for _, e := range heldNotes {
		heldLow, heldHigh = min(heldLow, int(e.Note.Number())), max(heldHigh, int(e.Note.Number()))
	}
	heldFrom, heldTo := pt.reach(heldLow, heldHigh)
	span := low.Semitones() + high.Semitones()
	middle := int(pt.Low.Number()) + int(pt.High.Number()) - span

	placed := make([]int8, 0, len(d.steps))
	var slots []slot
	var keys []pitch.Class
	flush := func() {
		placed = append(placed, octaves(slots, keys, &pt.written, d.s.Path)...)
		slots, keys = slots[:0], keys[:0]
	}
	var last pitch.Class
	var up, joined bool
	for _, st := range d.steps { // the first of which is the first of a section
		if st.first {
			flush()
			up, joined = true, false
		}
		c := d.writtenClass(p, st.key)
		s := slot{lowest(c, from), to, d.begin, d.end, middle, 0}
		// A key that does not fit rests when it comes back, too.
		if st.back && d.s.Closing == ClosingHeld && !s.rests() {
			s.from, s.to, s.begin = lowest(c, heldFrom), heldTo, d.heldBegin
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
		slots, keys = append(slots, s), append(keys, c)
	}
	flush()
	pt.octaves = placed
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

// octaves places the statements of a section by a shortest path through their
// possible octaves.
func octaves(slots []slot, keys []pitch.Class, names *[12]spelling.Name, path Path) []int8 {
	came := make([][most]int8, len(slots)) // from which octave before each is reached best
	var ways [most]way                     // to the last statement that does not rest
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
				next[o], came[n][o] = s.come(o, *last, &ways, path)
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
	out := make([]int8, len(slots))
	for n, s := range slices.Backward(slots) {
		if s.rests() {
			out[n] = rests
			continue
		}
		out[n] = int8(withNumber(names[keys[n]], s.tonic(octave)).Octave())
		octave = int(came[n][octave])
	}
	return out
}
