package notation

import (
	"slices"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
)

// A grid knows the places in a bar: how strong each is, where notes may not be
// hidden, what is beamed together.
type grid struct {
	bar    figure.Length
	beats  []figure.Length // where the beats begin
	middle figure.Length   // the middle of a bar of four beats, or 0
	three  bool            // the beats divide by three
	cell   figure.Length   // what a triplet is looked for in
	beams  []figure.Length // where groups of beams begin
}

func gridOf(m drill.Meter) grid {
	g := grid{bar: m.Bar(), three: m.Compound(), cell: figure.Quarter}
	at := figure.Length(0)
	for n := range m.Beats() {
		g.beats = append(g.beats, at)
		at += m.Beat(n)
	}
	if len(g.beats) == 4 && g.beats[2]*2 == g.bar {
		g.middle = g.beats[2]
	}
	if m.Unit() >= 8 {
		g.cell = figure.Whole / figure.Length(m.Unit())
	}
	g.beams = g.beats
	if m.Unit() >= 8 && m.Beat(0) < figure.Quarter {
		// Beats of single eighths are beamed by quarters, three of them as one.
		g.beams = nil
		by := figure.Quarter
		if g.bar < 2*by {
			by = g.bar
		}
		for at := figure.Length(0); at < g.bar; at += by {
			g.beams = append(g.beams, at)
		}
	}
	return g
}

// The strengths of places: the barline is strongest, then the middle of a bar
// of four, the beats, and what lies between by halves.
const (
	onBar = iota
	onMiddle
	onBeat
	between // and more, the finer the weaker
	offGrid = between + 9
)

func (g grid) strength(at figure.Length) int {
	switch {
	case at%g.bar == 0:
		return onBar
	case g.middle > 0 && at == g.middle:
		return onMiddle
	}
	beat := figure.Length(0)
	length := g.bar
	for n, b := range g.beats {
		if b <= at {
			beat, length = b, g.bar-b
			if n+1 < len(g.beats) {
				length = g.beats[n+1] - b
			}
		}
	}
	if at == beat {
		return onBeat
	}
	// Uneven groups divide by eighths, dotted beats by three, others by two.
	part := length / 2
	if length%9 == 0 || length > figure.Quarter && length%figure.Half != 0 {
		part = length / 3
		if length%9 != 0 {
			part = figure.Eighth
		}
	}
	for s := between; part >= 3; s++ {
		if (at-beat)%part == 0 {
			return s
		}
		part /= 2
	}
	return offGrid
}

// strongest returns the strength of the strongest place inside a stretch.
func (g grid) strongest(from, to figure.Length) int {
	best := offGrid
	for at := (from/3 + 1) * 3; at < to; at += 3 {
		best = min(best, g.strength(at))
	}
	return best
}

// valueOf returns the value that lasts so many half parts of a figure.Length.
func valueOf(halves int) (Value, bool) {
	for base := 1; base <= 128; base *= 2 {
		switch whole := 384 / base; halves {
		case whole:
			return Value{Base: uint8(base)}, true
		case whole * 3 / 2:
			if whole%2 == 0 {
				return Value{Base: uint8(base), Dots: 1}, true
			}
		}
	}
	return Value{}, false
}

// single reports whether a stretch can be written as one value where it
// stands.
func (g grid) single(from, to figure.Length, rest bool) (Value, bool) {
	v, ok := valueOf(2 * int(to-from))
	if !ok {
		return Value{}, false
	}
	begins, inside := g.strength(from), g.strongest(from, to)
	if rest {
		// A rest hides no beat but that of a half bar, and is dotted only as a
		// whole dotted beat.
		dotted := v.Dots > 0 && !(g.three && begins <= onBeat && inside > onBeat)
		wide := inside <= onBeat && !(begins <= onMiddle && inside == onBeat && g.middle > 0 && to-from == g.middle)
		return v, !dotted && !wide && begins <= inside
	}
	if begins <= inside {
		return v, true
	}
	// A syncopation: the place inside lies in the middle of the value and is
	// the next stronger one.
	mid := (from + to) / 2
	if v.Dots == 0 && begins == inside+1 && g.strength(mid) == inside && !(g.three && inside <= onBeat) {
		return v, true
	}
	return Value{}, false
}

// values cuts a straight stretch into single values.
func (g grid) values(p piece, out []piece) []piece {
	rest := len(p.notes) == 0
	if v, ok := g.single(p.from, p.to, rest); ok {
		p.value = v
		return append(out, p)
	}
	// Cut at the strongest place inside, at the last one that leaves a single
	// value before it.
	strength := g.strongest(p.from, p.to)
	cut := figure.Length(0)
	for at := (p.from/3 + 1) * 3; at < p.to; at += 3 {
		if g.strength(at) != strength {
			continue
		}
		if _, ok := g.single(p.from, at, rest); ok || cut == 0 {
			cut = at
		}
	}
	if cut == 0 {
		return tripletValues(p, out) // shorter than the grid: it cannot be straight
	}
	a, b := p.cutAt(cut)
	return g.values(b, g.values(a, out))
}

// cutAt cuts a piece in two, tied.
func (p piece) cutAt(at figure.Length) (a, b piece) {
	a, b = p, p
	a.to, b.from = at, at
	a.notes, b.notes = slices.Clone(p.notes), slices.Clone(p.notes)
	for n := range p.notes {
		a.notes[n].TieOut, b.notes[n].TieIn = true, true
	}
	return a, b
}

// tripletValues cuts a stretch inside a triplet into values, the largest
// first.
func tripletValues(p piece, out []piece) []piece {
	for most := p.to; ; most-- {
		v, ok := valueOf(3 * int(most-p.from))
		if !ok {
			continue
		}
		v.Triplet = true
		if most == p.to {
			p.value = v
			return append(out, p)
		}
		a, b := p.cutAt(most)
		a.value = v
		out = append(out, a)
		p, most = b, b.to+1
	}
}

// A span is a stretch of a bar that is written as a triplet.
type span struct{ from, to figure.Length }

// split cuts the pieces of a bar into single values and finds its triplets.
func (g grid) split(pieces []piece) []piece {
	var edges []figure.Length
	for _, p := range pieces[1:] {
		edges = append(edges, p.from)
	}
	spans := g.triplets(edges)
	var out []piece
	for _, p := range pieces {
		for _, s := range spans {
			if p.from >= p.to || s.to <= p.from || p.to <= s.from {
				continue
			}
			var a piece
			if p.from < s.from {
				a, p = p.cutAt(s.from)
				out = g.values(a, out)
			}
			a, p = p, piece{}
			if a.to > s.to {
				a, p = a.cutAt(s.to)
			}
			first := len(out)
			out = tripletValues(a, out)
			for n := first; n < len(out); n++ {
				out[n].group = s.place(out[n])
			}
		}
		if p.from < p.to {
			out = g.values(p, out)
		}
	}
	return out
}

// place says where in the triplet a piece stands.
func (s span) place(p piece) Group {
	switch {
	case p.from == s.from && p.to == s.to:
		return Alone
	case p.from == s.from:
		return Begins
	case p.to == s.to:
		return Ends
	}
	return Inside
}

// triplets returns the spans that must be written as triplets, given the
// places inside the bar where something begins.
func (g grid) triplets(edges []figure.Length) []span {
	var spans []span
	done := figure.Length(0)
	for at := figure.Length(0); at < g.bar; at += g.cell {
		if at < done || !crooked(edges, at, at+g.cell) {
			continue
		}
		s := span{at, at + g.cell}
		// Wider triplets, of quarters or halves, where nothing else stands.
		for size := 4 * g.cell; size > g.cell; size /= 2 {
			if at%size == 0 && at+size <= g.bar && thirds(edges, at, size) {
				s.to = at + size
				break
			}
		}
		if s.to == at+g.cell {
			spans = append(spans, narrow(edges, s)...)
		} else {
			spans = append(spans, s)
		}
		done = s.to
	}
	return spans
}

// crooked reports whether something begins inside a stretch, off the straight
// grid.
func crooked(edges []figure.Length, from, to figure.Length) bool {
	return slices.ContainsFunc(edges, func(e figure.Length) bool { return e > from && e < to && (e-from)%3 != 0 })
}

// thirds reports whether all that begins inside a stretch divides it by three.
func thirds(edges []figure.Length, from, size figure.Length) bool {
	any := false
	for _, e := range edges {
		if e > from && e < from+size {
			any = true
			if (e-from)%(size/3) != 0 {
				return false
			}
		}
	}
	return any && size%3 == 0
}

// narrow halves a span as long as something begins in its middle.
func narrow(edges []figure.Length, s span) []span {
	if !crooked(edges, s.from, s.to) {
		return nil
	}
	half := (s.to - s.from) / 2
	mid := s.from + half
	if half%6 == 0 && slices.Contains(edges, mid) {
		return append(narrow(edges, span{s.from, mid}), narrow(edges, span{mid, s.to})...)
	}
	return []span{s}
}

// beam joins the flags of the symbols in each group of the bar.
func (g grid) beam(symbols []Symbol) {
	group := func(s Symbol) int {
		n := 0
		for n+1 < len(g.beams) && g.beams[n+1] <= s.Onset {
			n++
		}
		return n
	}
	flagged := func(s Symbol) bool { return len(s.Notes) > 0 && s.Value.Flags() > 0 }
	for n := 0; n < len(symbols); {
		end := n + 1
		for flagged(symbols[n]) && end < len(symbols) && flagged(symbols[end]) && group(symbols[end]) == group(symbols[n]) {
			end++
		}
		if end-n > 1 {
			for level := range symbols[n].Beams {
				beamLevel(symbols[n:end], level)
			}
		}
		n = end
	}
}

// beamLevel writes one level of a group's beams, 0 for that of eighths.
func beamLevel(group []Symbol, level int) {
	has := func(n int) bool { return n >= 0 && n < len(group) && group[n].Value.Flags() > level }
	for n := range group {
		if !has(n) {
			continue
		}
		b := &group[n].Beams[level]
		switch before, after := has(n-1), has(n+1); {
		case before && after:
			*b = BeamGoesOn
		case before:
			*b = BeamEnds
		case after:
			*b = BeamBegins
		case n == 0:
			*b = HookForward
		default:
			*b = HookBackward
		}
	}
}
