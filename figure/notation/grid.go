package notation

import (
	"slices"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
)

// A grid knows the places in a bar: how strong each is, where notes may not be
// hidden, what is beamed together.
type grid struct {
	bar       figure.Length
	middle    figure.Length   // the middle of a bar of four beats, or 0
	grouped   bool            // the beats are dotted or uneven
	strengths []uint8         // of every place, in steps of the grid
	beams     []figure.Length // where groups of beams begin
	joined    []span          // stretches in which plain eighths have one beam
}

// step is the finest of the straight grid, a 64th.
const step = figure.Whole / 64

// The strengths of places: the barline is strongest, then the middle of a bar
// of four, the beats, and what lies between: the halves of a beat, or its
// thirds if it is dotted, and then by halves.
const (
	onBar = iota
	onMiddle
	onBeat
	between // and more, the finer the weaker
	offGrid = between + 9
)

// gridOf returns the grid of a meter. By the beat there is no beam for more.
func gridOf(m drill.Meter, byBeat bool) grid {
	g := grid{bar: m.Bar(), strengths: make([]uint8, m.Bar()/step+1)}
	unit := figure.Whole / figure.Length(m.Unit())
	singles := true
	at := figure.Length(0)
	for n := range m.Beats() {
		beat := m.Beat(n)
		if n == 2 && m.Beats() == 4 && 2*at == g.bar {
			g.middle = at
		}
		singles = singles && beat == unit
		g.grouped = g.grouped || dotted(beat) || beat != m.Beat(0)
		part := beat / 2
		if dotted(beat) {
			part = beat / 3
		}
		for s := uint8(between); part >= step; part /= 2 {
			for p := at; p < at+beat; p += part {
				if g.strengths[p/step] == 0 {
					g.strengths[p/step] = s
				}
			}
			s++
		}
		g.strengths[at/step] = onBeat
		// Notes are beamed by the beat, those of beats of more quarters than one
		// by quarters.
		by := beat
		if beat%figure.Quarter == 0 {
			by = figure.Quarter
		}
		for p := at; p < at+beat; p += by {
			g.beams = append(g.beams, p)
		}
		at += beat
	}
	g.strengths[g.middle/step] = onMiddle // no middle is at 0, which is stronger
	g.strengths[0], g.strengths[g.bar/step] = onBar, onBar
	if !byBeat {
		g.join(m)
	}
	if by := figure.Quarter; singles && unit < by {
		// Beats of single eighths are beamed by quarters, three of them as one.
		if g.bar < 2*by {
			by = g.bar
		}
		g.beams = nil
		for at := figure.Length(0); at < g.bar; at += by {
			g.beams = append(g.beams, at)
		}
	}
	return g
}

// join finds the stretches in which plain eighths have one beam: each half note
// of a bar or a beat that divides into them, and three quarters that are the
// whole of one.
func (g *grid) join(m drill.Meter) {
	within := func(from, to figure.Length) {
		switch l := to - from; {
		case l == 3*figure.Quarter:
			g.joined = append(g.joined, span{from, to})
		case l%figure.Half == 0:
			for ; from < to; from += figure.Half {
				g.joined = append(g.joined, span{from, from + figure.Half})
			}
		}
	}
	if m.Unit() == 4 && m.Beats() == m.Number() && m.Beats() <= 4 {
		within(0, m.Bar())
	}
	at := figure.Length(0)
	for n := range m.Beats() {
		within(at, at+m.Beat(n))
		at += m.Beat(n)
	}
}

// dotted reports whether a length of the grid is that of dotted notes.
func dotted(l figure.Length) bool { return l%(3*step) == 0 }

// strength returns the strength of a place on the grid.
func (g *grid) strength(at figure.Length) int { return int(g.strengths[at/step]) }

// strongest returns the strength of the strongest place inside a stretch.
func (g *grid) strongest(from, to figure.Length) int {
	best := offGrid
	for at := (from/step + 1) * step; at < to; at += step {
		best = min(best, g.strength(at))
	}
	return best
}

// valueOf returns the value that lasts so many half parts of a figure.Length.
func valueOf(halves int) (Value, bool) {
	for _, base := range [...]int{1, 2, 4, 8, 16, 32, 64, 128} {
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
// stands: it begins at a place at least as strong as all that it hides, or is a
// syncopation.
func (g *grid) single(from, to figure.Length, rest bool) (Value, bool) {
	v, ok := valueOf(2 * int(to-from))
	if !ok {
		return Value{}, false
	}
	begins, inside, ends := g.strength(from), g.strongest(from, to), g.strength(to)
	switch {
	case rest && inside <= onBeat:
		// A rest hides no beat but that of a half bar.
		return v, !g.grouped && begins <= onMiddle && to-from == g.middle
	case rest:
		// It is dotted only as a whole dotted beat, and begins with the beat
		// or part of it that it belongs to.
		return v, begins < inside && (v.Dots == 0 || begins <= onBeat && ends <= onBeat)
	case g.grouped && inside <= onBeat:
		// Where beats are dotted or uneven, only whole beats are hidden.
		return v, begins <= inside && ends <= onBeat
	case begins <= inside:
		return v, true
	}
	// A syncopation comes one step weaker than the place that it hides, which
	// lies in the middle of the value, or at the first third of a dotted one.
	// That one lasts until a stronger place, unless it hides no beat.
	hidden := (from + to) / 2
	if v.Dots > 0 {
		hidden = from + (to-from)/3
	}
	long := v.Dots > 0 && inside <= onBeat && ends >= inside
	return v, begins == inside+1 && g.strength(hidden) == inside && !long
}

// values cuts a straight stretch into single values.
func (g *grid) values(p piece, out []piece) []piece {
	rest := len(p.notes) == 0
	if v, ok := g.single(p.from, p.to, rest); ok {
		p.value = v
		return append(out, p)
	}
	// Cut at the strongest place inside, at the last one that leaves a single
	// value before it.
	strength := g.strongest(p.from, p.to)
	cut := figure.Length(0)
	for at := p.from + step; at < p.to; at += step {
		if g.strength(at) != strength {
			continue
		}
		if _, ok := g.single(p.from, at, rest); ok || cut == 0 {
			cut = at
		}
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

// A span is a stretch of a bar that is written as a triplet.
type span struct{ from, to figure.Length }

// split appends the pieces of a bar, cut into single values, and finds its triplets.
func (g *grid) split(pieces, out []piece) []piece {
	spans := g.triplets(pieces, span{0, g.bar}, nil)
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
			out = s.values(a, out)
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
	case p.from == s.from:
		return GroupBegins
	case p.to == s.to:
		return GroupEnds
	}
	return GroupInside
}

// values cuts a stretch inside a triplet into values: at the next of its thirds,
// and what begins on one, or reaches none, by the largest value.
func (s span) values(p piece, out []piece) []piece {
	third := (s.to - s.from) / 3
	for {
		v, ok := valueOf(3 * int(p.to-p.from))
		v.Triplet = true
		if ok && (v.Dots == 0 || len(p.notes) > 0) {
			p.value = v
			return append(out, p)
		}
		off := (p.from - s.from) % third
		cut := p.from - off + third
		if off == 0 || cut >= p.to {
			for at := p.from; at < p.to; at++ {
				if v, ok := valueOf(3 * int(at-p.from)); ok && v.Dots == 0 {
					cut = at
				}
			}
		}
		var a piece
		a, p = p.cutAt(cut)
		out = s.values(a, out)
	}
}

// triplets adds the spans inside a stretch that must be written as triplets:
// the widest that divide by three, and where none does a quarter or less.
func (g *grid) triplets(pieces []piece, in span, out []span) []span {
	switch size := in.to - in.from; {
	case !in.crooked(pieces):
		return out
	case in.divides(pieces):
		return append(out, in)
	case size <= figure.Quarter && !dotted(size):
		if mid := in.from + size/2; in.halves(pieces) {
			return g.triplets(pieces, span{mid, in.to}, g.triplets(pieces, span{in.from, mid}, out))
		}
		return append(out, in)
	}
	strength := g.strongest(in.from, in.to)
	next := func(at figure.Length) figure.Length {
		for at += step; at < in.to && g.strength(at) > strength; {
			at += step
		}
		return min(at, in.to)
	}
	for at := in.from; at < in.to; {
		one := span{at, next(at)}
		if two := (span{at, next(one.to)}); two.crooked(pieces) && two.divides(pieces) {
			one = two
		}
		out = g.triplets(pieces, one, out)
		at = one.to
	}
	return out
}

// begins reports whether a piece begins at a place.
func begins(pieces []piece, at figure.Length) bool {
	return slices.ContainsFunc(pieces, func(p piece) bool { return p.from == at })
}

// crooked reports whether something begins inside a stretch off the straight
// grid.
func (s span) crooked(pieces []piece) bool {
	return slices.ContainsFunc(pieces, func(p piece) bool { return p.from > s.from && p.from < s.to && p.from%step != 0 })
}

// divides reports whether all that begins inside a stretch, where something is off
// the straight grid, divides it by three, and no rest in it is longer than a third.
func (s span) divides(pieces []piece) bool {
	if _, ok := valueOf(2 * int(s.to-s.from)); !ok {
		return false
	}
	third := (s.to - s.from) / 3
	return !slices.ContainsFunc(pieces, func(p piece) bool {
		from, to := max(p.from, s.from), min(p.to, s.to)
		return from < to && ((from-s.from)%third != 0 || len(p.notes) == 0 && to-from > third)
	})
}

// halves reports whether a stretch is two triplets rather than one: something
// begins in its middle, and it is not the second of three parts that is cut
// there. What is shorter than a sixteenth is one.
func (s span) halves(pieces []piece) bool {
	size := s.to - s.from
	is := func(sixth figure.Length) bool { return begins(pieces, s.from+size*sixth/6) }
	return size%(4*step) == 0 && is(3) && !(is(2) && is(4) && !(is(1) && is(5)))
}

// beam joins the flags of the symbols in each group of the bar, across no part
// of a triplet.
func (g *grid) beam(symbols []Symbol) {
	for n := 0; n < len(symbols); {
		end := n + 1
		for end < len(symbols) && flagged(symbols[n]) && flagged(symbols[end]) && g.together(symbols, end) {
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

func flagged(s Symbol) bool { return len(s.Notes) > 0 && s.Value.Flags() > 0 }

// together reports whether a symbol is beamed with the one before, if both have
// flags.
func (g *grid) together(symbols []Symbol, n int) bool {
	a, b := symbols[n-1], symbols[n]
	if b.Triplet == GroupBegins || a.Triplet == GroupEnds {
		return false
	}
	group, _ := slices.BinarySearch(g.beams, a.Onset+1)
	next, _ := slices.BinarySearch(g.beams, b.Onset+1)
	return group == next || slices.ContainsFunc(g.joined, func(s span) bool {
		return a.Onset >= s.from && b.Onset < s.to && s.plain(symbols)
	})
}

// plain reports whether a stretch holds plain eighths and nothing else.
func (s span) plain(symbols []Symbol) bool {
	at := s.from
	for _, b := range symbols {
		if b.Onset >= s.from && b.Onset < s.to {
			if b.Onset != at || len(b.Notes) == 0 || b.Value != (Value{Base: 8}) {
				return false
			}
			at += b.Length
		}
	}
	return at == s.to
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
			*b = BeamHookForward
		default:
			*b = BeamHookBackward
		}
	}
}
