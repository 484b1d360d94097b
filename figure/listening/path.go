package listening

import (
	"math"

	"example.com/keyorder/pitch"
)

const (
	lag        = 20   // frames until a state is decided
	toNote     = 2.2  // what a change of state costs, in frames that are wholly right
	silent     = 0.62 // what a frame without a clear pitch is worth as silence
	gate       = 42   // decibels below what is loud
	favour     = 0.2  // what a note that is due is worth more
	floorLevel = -85  // decibels; what lies lower is silence
)

// A path decides for every frame which key sounds, or none: the most likely way
// through the candidates of all frames, where a change costs something
// (Viterbi's method), looking ahead by a fixed number of frames.
type path struct {
	low    int // the key of state 1
	score  []float64
	next   []float64
	emit   []float64
	back   [lag + 1][]uint8
	frames int
	loud   float64 // decibels, going down slowly
	due    pitch.Set
}

func newPath(low, high int) path {
	n := high - low + 2
	p := path{low: low, score: make([]float64, n), next: make([]float64, n), emit: make([]float64, n), loud: floorLevel}
	for k := range p.back {
		p.back[k] = make([]uint8, n)
	}
	return p
}

// weigh says how well each state fits a frame.
func (p *path) weigh(f *Frame) {
	clear(p.emit)
	p.loud = max(p.loud-0.01, f.Level)
	p.emit[0] = silent
	if f.Level < p.loud-gate || f.Level < floorLevel {
		p.emit[0] = 1.2
	}
	highest, main := 0.0, -1
	for _, k := range f.peaks[:f.n] {
		highest = max(highest, k.height)
	}
	for n, k := range f.peaks[:f.n] {
		w, due, early := k.height, k.height, 0.0
		switch {
		case main < 0 && k.height >= 0.9*highest:
			main = n
		case main < 0: // higher than what is most likely
			early = 0.1
		case multiple(f.peaks[main].cents - k.cents):
			w, due = 0.5*w, 0.75*due
			if f.peaks[main].cents-k.cents < 1300 { // an octave: by how much better it fits
				w += 4 * max(0, k.height-f.peaks[main].height)
			}
		default:
			w, due = 0.75*w, 0.95*due
		}
		key := k.cents / 100
		for s := int(math.Floor(key)) - p.low + 1; s <= int(math.Floor(key))-p.low+2; s++ {
			if s < 1 || s >= len(p.emit) {
				continue
			}
			off := key - float64(s-1+p.low)
			v := w - early
			if p.due.Has(pitch.Number(s - 1 + p.low).Class()) {
				v = (1 + favour) * due
			}
			v *= 1 - 0.6*off*off
			p.emit[s] = max(p.emit[s], v)
		}
	}
}

// multiple reports whether a lag this many cents longer is a multiple.
func multiple(cents float64) bool { return isMultiple(math.Exp2(cents / 1200)) }

func isMultiple(times float64) bool {
	whole := math.Round(times)
	return whole >= 2 && math.Abs(times-whole) < 0.03*whole
}

// add takes a frame and returns the key of the frame lag frames before it, or
// −1 for silence.
func (p *path) add(f *Frame) (key int) {
	p.weigh(f)
	best := 0
	for s, v := range p.score {
		if v > p.score[best] {
			best = s
		}
	}
	back := p.back[p.frames%len(p.back)]
	top := p.score[best]
	for s, v := range p.score {
		back[s] = uint8(s)
		if v < top-toNote {
			v, back[s] = top-toNote, uint8(best)
		}
		p.next[s] = v - top + p.emit[s]
	}
	p.score, p.next = p.next, p.score
	p.frames++
	state := 0
	for s, v := range p.score {
		if v > p.score[state] {
			state = s
		}
	}
	for n := 0; n < lag && n < p.frames; n++ {
		state = int(p.back[(p.frames-1-n)%len(p.back)][state])
	}
	if state == 0 {
		return -1
	}
	return state - 1 + p.low
}
