package drill

import (
	"fmt"
	"strings"

	"example.com/keyorder/figure"
	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
)

// A FitError says why a figure cannot be played in all the keys asked for on
// an instrument, and what would fit.
type FitError struct {
	Instrument Instrument
	Span       int             // semitones from the figure's lowest to its highest note
	Key        spelling.Name   // the first key that does not fit, as the part reads it
	Note       spelling.Note   // the figure's first note outside the range there
	Fit        []spelling.Name // the keys that do fit, upward from C
	Low, High  spelling.Note   // a range in which all twelve keys would fit; both zero where none is wide enough
}

// Error implements error.
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

// A slot is a statement to be placed: the key numbers its tonic can have go
// from from to to in octaves, none if it rests.
type slot struct {
	from, to   int
	begin, end int // semitones from its tonic to its first and last note
	middle     int // twice the tonic that would lie in the middle of the range
	wanted     int // how far Follow moves the tonic to come here
}

func (s slot) rests() bool { return s.to < s.from }

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
	up, joined := true, false
	for _, st := range d.steps {
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

// octaves places the statements of a section by a shortest path through their
// possible octaves.
func octaves(slots []slot, keys []pitch.Class, names *[12]spelling.Name, path Path) []int8 {
	const most = 13                        // octaves between the lowest and the highest note there can be
	came := make([][most]int8, len(slots)) // from which octave before each is reached best
	var costs [most]cost
	before := -1 // the last statement that does not rest
	for n, s := range slots {
		if s.rests() {
			continue
		}
		var next [most]cost
		for j := 0; s.from+12*j <= s.to; j++ {
			tonic := s.from + 12*j
			next[j] = s.alone(tonic)
			if before < 0 {
				continue
			}
			b := slots[before]
			found := false
			var best cost
			for i := 0; b.from+12*i <= b.to; i++ {
				c, ok := s.after(b, b.from+12*i, tonic, path)
				if c = c.plus(costs[i]); ok && costs[i].path >= 0 && (!found || c.less(best)) {
					best, found = c, true
					came[n][j] = int8(i)
				}
			}
			next[j] = next[j].plus(best)
			if !found {
				next[j] = cost{path: -1} // cannot be reached
			}
		}
		costs, before = next, n
	}
	out := make([]int8, len(slots))
	at := -1
	for n := len(slots) - 1; n >= 0; n-- {
		s := slots[n]
		if s.rests() {
			out[n] = rests
			continue
		}
		if at < 0 {
			for j := 0; s.from+12*j <= s.to; j++ {
				if costs[j].path >= 0 && (at < 0 || costs[j].less(costs[at])) {
					at = j
				}
			}
		}
		note := withNumber(names[keys[n]], s.from+12*at)
		out[n] = int8(note.Octave())
		at = int(came[n][at])
	}
	return out
}
