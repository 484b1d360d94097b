package notation

import (
	"iter"
	"slices"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/spelling"
)

// Part bars are made in one walk over the statements: a writer lays their
// notes and the rests between end to end, cuts them at the barlines, and turns
// each full bar into symbols.

// PartBars yields the bars of a part, from 0, one at a time. It can be run
// again and again. A part that the score has not yields none.
func (s *Score) PartBars(part int) iter.Seq[Bar] {
	return func(yield func(Bar) bool) {
		if part < 0 || part >= s.Parts() {
			return
		}
		number := 0
		for _, d := range s.drills {
			w := writer{score: s, drill: d, settings: d.Settings(), bar: number, yield: yield}
			w.meter = w.settings.Meter
			w.write(part)
			if w.stopped {
				return
			}
			number += d.Bars()
		}
	}
}

// A piece is a stretch of a bar: notes or a rest.
type piece struct {
	from, to figure.Length // from the beginning of the bar
	notes    []Note        // none for a rest
	value    Value
	group    Group
}

type writer struct {
	score    *Score
	drill    *drill.Drill
	settings drill.Settings
	meter    drill.Meter
	yield    func(Bar) bool
	stopped  bool

	bar     int           // bars written before this one
	start   figure.Length // where the bar begins in the drill
	now     figure.Length // up to where it is filled
	pieces  []piece
	labels  []Label         // from the beginning of the drill, not yet written
	doubles []figure.Length // ends of sections not yet reached
	section []figure.Length // beginnings of sections not yet reached
	keys    []keyAt         // signatures not yet reached

	signature int
	inForce   map[int]int // accidentals of this bar by staff position
	before    map[int]int // those of the bar before
}

type keyAt struct {
	at        figure.Length
	signature int
}

func (w *writer) write(part int) {
	w.inForce, w.before = map[int]int{}, map[int]int{}
	var last drill.Statement
	any := false
	for s := range w.drill.Statements(part) {
		if any {
			w.statement(last, s.Section != last.Section)
		}
		if w.stopped {
			return
		}
		last, any = s, true
	}
	if any {
		w.statement(last, true)
	}
	if !w.stopped {
		w.fill(w.drill.Length(), nil)
	}
}

// statement writes a statement; the rest after it is written with the next.
func (w *writer) statement(s drill.Statement, endsSection bool) {
	events := s.Events()
	begins := s.Onset
	if len(events) > 0 {
		begins += min(0, events[0].Onset)
	}
	kind := KeyLabel
	switch {
	case s.Rests:
		kind = RestLabel
	case s.Return:
		kind = ReturnLabel
	}
	w.labels = append(w.labels, Label{begins, kind, s.Written.Name(), ""})
	for c := range s.Chords() {
		w.labels = append(w.labels, Label{s.Onset + c.Onset, ChordLabel, c.Root, c.Suffix})
	}
	slices.SortStableFunc(w.labels, func(a, b Label) int { return int(a.Onset - b.Onset) })
	if s.Section >= len(w.section) {
		for s.Section > len(w.section) {
			w.section = append(w.section, -1)
		}
		w.section = append(w.section, s.Onset)
	}
	if w.score.o.Signatures && !s.Rests {
		w.keys = append(w.keys, keyAt{s.Onset, signature(w.settings.Figure.Scale(), s.Written.Name())})
	}
	if endsSection {
		w.doubles = append(w.doubles, s.Onset+s.Length)
	}
	for n := 0; n < len(events); {
		var notes []Note
		e := events[n]
		for n < len(events) && events[n].Onset == e.Onset {
			notes = append(notes, Note{Note: events[n].Note, Statement: s.Index, Index: events[n].Index})
			n++
		}
		slices.SortFunc(notes, func(a, b Note) int { return int(a.Note - b.Note) })
		w.fill(s.Onset+e.Onset, nil)
		w.fill(s.Onset+e.Onset+e.Length, notes)
	}
}

// fill writes notes, or a rest, from where the score is filled up to a time in
// the drill.
func (w *writer) fill(to figure.Length, notes []Note) {
	bar := w.meter.Bar()
	for begun := false; w.now < to && !w.stopped; begun = true {
		end := min(to, w.start+bar)
		p := piece{from: w.now - w.start, to: end - w.start, notes: slices.Clone(notes)}
		for n := range p.notes {
			p.notes[n].TieIn, p.notes[n].TieOut = begun, end < to
		}
		w.pieces = append(w.pieces, p)
		if w.now = end; end == w.start+bar {
			w.flush()
		}
	}
}

// flush turns the full bar into symbols and yields it.
func (w *writer) flush() {
	bar := w.meter.Bar()
	end := w.start + bar
	b := Bar{Number: w.bar + 1, Meter: w.meter, Tempo: w.settings.Tempo, Opens: w.start == 0}
	if b.Opens {
		b.Title = w.settings.Title
	}
	for n, at := range w.section {
		if at >= w.start && at < end {
			b.Section = n + 1
			w.section[n] = -1
		}
	}
	for len(w.keys) > 0 && w.keys[0].at < end {
		if k := w.keys[0]; k.at == w.start && k.signature != w.signature {
			w.signature, b.NewSignature = k.signature, true
		}
		w.keys = w.keys[1:]
	}
	b.Signature = w.signature
	for len(w.labels) > 0 && w.labels[0].Onset < end {
		l := w.labels[0]
		l.Onset -= w.start
		b.Labels = append(b.Labels, l)
		w.labels = w.labels[1:]
	}
	if len(w.doubles) > 0 && w.doubles[0] == end {
		b.End = Double
		w.doubles = w.doubles[1:]
	}
	if end == w.drill.Length() {
		b.End = Final
	}
	b.Symbols = w.symbols()
	w.bar++
	w.start = end
	w.pieces = w.pieces[:0]
	if !w.yield(b) {
		w.stopped = true
	}
}

// symbols returns the bar's pieces as symbols.
func (w *writer) symbols() []Symbol {
	clear(w.before)
	w.inForce, w.before = w.before, w.inForce
	grid := gridOf(w.meter)
	if len(w.pieces) == 1 && len(w.pieces[0].notes) == 0 {
		return []Symbol{{Length: grid.bar, Value: Value{Base: 1}, FullBar: true}}
	}
	var out []Symbol
	for _, p := range grid.split(w.pieces) {
		s := Symbol{Onset: p.from, Length: p.to - p.from, Value: p.value, Notes: p.notes, Triplet: p.group}
		for n := range s.Notes {
			s.Notes[n].Accidental = w.accidental(s.Notes[n])
		}
		out = append(out, s)
	}
	grid.beam(out)
	return out
}

// accidental says whether a note needs its accidental, and remembers it.
func (w *writer) accidental(n Note) Accidental {
	if n.TieIn {
		return Hidden
	}
	at := int(n.Note.Octave())*7 + int(n.Note.Letter())
	need := n.Note.Alteration()
	inForce, set := w.inForce[at]
	if !set {
		inForce = spelling.Key{Signature: int8(w.signature)}.Alteration(n.Note.Letter())
	}
	w.inForce[at] = need
	if need != inForce {
		return Shown
	}
	if past, was := w.before[at]; !set && was && past != need {
		return Cautionary
	}
	return Hidden
}
