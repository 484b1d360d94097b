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

// PartBars yields the bars of a part, one at a time, each with slices of its
// own. The part may be that of any drill of the score; for a part that the score
// has not it yields nothing. It can be run again and again, and a long score
// takes no more memory than a short one.
func (s *Score) PartBars(p drill.Part) iter.Seq[Bar] {
	return func(yield func(Bar) bool) {
		if p.Index() >= len(s.Parts()) {
			return
		}
		number, signature := 0, 0
		clef := choiceOf(p.Instrument()).clefs[0]
		if runs := s.passages[p.Index()]; runs != nil {
			clef = runs[0][0].clef // the first bar's is not new
		}
		for n, d := range s.drills {
			w := writer{score: s, drill: d, settings: d.Settings(), bar: number, signature: signature, clef: clef, yield: yield}
			if runs := s.passages[p.Index()]; runs != nil {
				w.passages = runs[n]
			}
			w.meter = w.settings.Meter
			w.grid = gridOf(w.meter, s.o.ByBeat)
			w.write(d.Parts()[p.Index()])
			if w.stopped {
				return
			}
			number, signature, clef = w.bar, w.signature, w.clef
		}
	}
}

// A piece is a stretch of a bar: notes or a rest.
type piece struct {
	from, to figure.Length // from the beginning of the bar
	notes    []Note        // none for a rest
	value    Value
	group    Group
	marks    drill.Marks
}

type writer struct {
	score    *Score
	drill    *drill.Drill
	settings drill.Settings
	meter    drill.Meter
	sounds   sounding
	grid     grid
	yield    func(Bar) bool
	stopped  bool

	bar     int           // bars written before this one
	start   figure.Length // where the bar begins in the drill
	now     figure.Length // up to where it is filled
	pieces  []piece
	cut     []piece        // the bar's pieces as single values
	events  []figure.Event // of the statement that is written
	marks   []drill.Marks  // of its events, if the drill has any
	chorded bool           // the figure has chords
	// What is not yet reached, from the beginning of the drill.
	labels   []Label
	section  int           // the last one met
	sections []mark        // beginnings of sections, with their numbers
	doubles  []mark        // ends of sections
	ended    figure.Length // the last of them
	keys     []mark        // signatures
	spans    []spoken
	passages []passage

	signature int
	clef      drill.Clef
	staff     int
	inForce   map[int]int // accidentals of this bar by staff position
	before    map[int]int // those of the bar before
}

// spoken is when a statement sounds, and where its downbeat is.
type spoken struct{ from, downbeat, to figure.Length }

// A mark is something that is written at a place in the drill.
type mark struct {
	at    figure.Length
	value int
}

func (w *writer) write(p drill.Part) {
	w.inForce, w.before = map[int]int{}, map[int]int{}
	w.sounds = soundingOf(w.settings)
	for range w.settings.Figure.Chords(0) {
		w.chorded = true
		break
	}
	var last drill.Statement
	for s := range p.Statements() {
		if s.Index > 0 {
			w.statement(last, s.Section != last.Section)
		}
		if w.stopped {
			return
		}
		last = s
	}
	w.statement(last, true)
	w.fill(w.drill.Length(), nil, 0)
}

// chords labels the chords of a statement.
func (w *writer) chords(s drill.Statement) {
	for c := range s.Chords() {
		w.labels = append(w.labels, Label{s.Onset + c.Onset, LabelKindChord, c.Root, c.Suffix})
	}
}

// statement writes a statement; the rest after it is written with the next.
func (w *writer) statement(s drill.Statement, endsSection bool) {
	w.events = s.AppendEvents(w.events[:0])
	if w.marked() {
		w.marks = s.AppendMarks(w.marks[:0])
	}
	events := w.events
	begins, ends := w.sounds.of(s)
	span := spoken{begins, s.Onset, ends}
	if s.Rests { // nothing of it is parted, nor the section before it for a pickup that it has not
		at := max(begins, w.ended)
		span = spoken{at, at, at + 1}
	}
	w.spans = append(w.spans, span)
	kind := LabelKindKey
	switch {
	case s.Rests:
		kind = LabelKindRest
	case s.Return:
		kind = LabelKindReturn
	}
	key := len(w.labels)
	w.labels = append(w.labels, Label{begins, kind, s.Written.Name(), ""})
	if w.chorded {
		w.chords(s)
	}
	if kind == LabelKindKey && len(w.labels) > key+1 {
		w.labels[key].Kind = LabelKindChanges
	}
	slices.SortStableFunc(w.labels, func(a, b Label) int { return int(a.Onset - b.Onset) })
	if w.section != s.Section+1 {
		w.section = s.Section + 1
		w.sections = append(w.sections, mark{begins, w.section})
	}
	if endsSection {
		w.ended = w.sectionEnds(s)
		w.doubles = append(w.doubles, mark{at: w.ended})
	}
	if w.score.o.Signatures && !s.Rests {
		at := s.Onset
		if s.Index == 0 {
			at = 0 // its pickup has its signature, too
		}
		w.keys = append(w.keys, mark{at, signature(w.settings.Figure.Scale(), s.Written.Name())})
	}
	all := make([]Note, 0, len(events))
	for n := 0; n < len(events); {
		from := len(all)
		e := events[n]
		var marks drill.Marks
		if len(w.marks) > n {
			marks = w.marks[n]
		}
		for n < len(events) && events[n].Onset == e.Onset {
			all = append(all, Note{Note: events[n].Note, Statement: s.Index, Index: events[n].Index})
			n++
		}
		notes := all[from:len(all):len(all)]
		slices.SortFunc(notes, func(a, b Note) int { return int(a.Note - b.Note) })
		w.fill(s.Onset+e.Onset, nil, 0)
		w.fill(s.Onset+e.Onset+e.Length, notes, marks)
	}
}

// sectionEnds returns the barline that ends the section of its last statement:
// that before the pickup of what follows, or where the statement, its rests
// included, lasts longer, the downbeat.
func (w *writer) sectionEnds(s drill.Statement) figure.Length {
	f := w.settings.Figure
	ends, next := s.Onset+f.Length()-f.Pickup(), s.Onset+s.Length
	if s.Held {
		ends = s.Onset + w.grid.bar
	}
	if next == w.drill.Length() {
		return next
	}
	if before := (next - w.sounds.lead) / w.grid.bar * w.grid.bar; before >= ends {
		return before
	}
	return next
}

// marked reports whether notes of the drill have marks.
func (w *writer) marked() bool {
	return w.settings.Articulation != drill.ArticulationTongued || w.settings.Accents != drill.AccentsNone
}

// tied returns the marks of one of the noteheads that are tied: of the first
// those that begin, of the last those that end.
func tied(m drill.Marks, n Note) drill.Marks {
	if n.TieIn {
		m &^= drill.MarkSlurBegin | drill.MarkAccent
	}
	if n.TieOut && m.Has(drill.MarkSlurEnd) {
		m = m&^drill.MarkSlurEnd | drill.MarkSlurOn
	}
	return m
}

// fill writes notes with their marks, or a rest, from where the score is filled up to a time in
// the drill.
func (w *writer) fill(to figure.Length, notes []Note, marks drill.Marks) {
	bar := w.grid.bar
	for begun := false; w.now < to && !w.stopped; begun = true {
		end := min(to, w.start+bar)
		p := piece{from: w.now - w.start, to: end - w.start, notes: notes, marks: marks}
		if begun {
			p.notes = slices.Clone(notes)
		}
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
	bar := w.grid.bar
	end := w.start + bar
	b := Bar{Number: w.bar + 1, Meter: w.meter, Tempo: w.settings.Tempo, Opens: w.start == 0}
	if b.Opens {
		b.Title = w.settings.Title
	}
	for ; len(w.sections) > 0 && w.sections[0].at < end; w.sections = past(w.sections, 1) {
		b.Section, b.SectionOnset = w.sections[0].value, w.sections[0].at-w.start
	}
	for ; len(w.keys) > 0 && w.keys[0].at < end; w.keys = past(w.keys, 1) {
		if k := w.keys[0]; k.at == w.start && k.value != w.signature {
			w.signature, b.NewSignature = k.value, true
		}
	}
	b.Signature = w.signature
	b.Seam = w.seam()
	for len(w.passages) > 0 && w.passages[0].from <= w.start {
		b.NewClef = w.passages[0].clef != w.clef && w.passages[0].staff == w.staff
		w.clef, w.staff = w.passages[0].clef, w.passages[0].staff
		w.passages = w.passages[1:]
	}
	b.Clef, b.Staff = w.clef, w.staff
	for ; len(w.labels) > 0 && w.labels[0].Onset < end; w.labels = past(w.labels, 1) {
		w.labels[0].Onset -= w.start
		b.Labels = append(b.Labels, w.labels[0])
	}
	for ; len(w.doubles) > 0 && w.doubles[0].at == end; w.doubles = past(w.doubles, 1) {
		b.End = BarlineDouble
	}
	if end == w.drill.Length() {
		b.End = BarlineFinal
	}
	b.Symbols = w.symbols()
	w.bar++
	w.start = end
	w.pieces = w.pieces[:0]
	if !w.yield(b) {
		w.stopped = true
	}
}

// past takes the first elements out of a slice, which keeps its room.
func past[T any](s []T, n int) []T { return append(s[:0], s[n:]...) }

// seam returns what lies about the barline that begins the bar.
func (w *writer) seam() Seam {
	w.spans = slices.DeleteFunc(w.spans, func(s spoken) bool { return s.to <= w.start })
	seam := SeamRest
	for _, s := range w.spans {
		switch {
		case s.from < w.start && w.start <= s.downbeat:
			seam = max(seam, SeamPickup)
		case s.from < w.start:
			return SeamStatement
		case s.from >= w.start && s.from < w.start+w.grid.bar && seam == SeamRest:
			seam = SeamStatements
		}
	}
	if w.start == 0 {
		return SeamStatements
	}
	return seam
}

// symbols returns the bar's pieces as symbols.
func (w *writer) symbols() []Symbol {
	clear(w.before)
	w.inForce, w.before = w.before, w.inForce
	if len(w.pieces) == 1 && len(w.pieces[0].notes) == 0 {
		return []Symbol{{Length: w.grid.bar, Value: Value{Base: 1}, FullBar: true}}
	}
	w.cut = w.grid.split(w.pieces, w.cut[:0])
	out := make([]Symbol, 0, len(w.cut))
	for _, p := range w.cut {
		s := Symbol{Onset: p.from, Length: p.to - p.from, Value: p.value, Notes: p.notes, Triplet: p.group}
		if p.marks != 0 {
			s.Marks = tied(p.marks, s.Notes[0])
		}
		for n := range s.Notes {
			s.Notes[n].Accidental = w.accidental(s.Notes[n])
			if at := place(s.Notes[n].Note); n > 0 && at == place(s.Notes[n-1].Note) {
				w.inForce[at] = unsure
			}
		}
		out = append(out, s)
	}
	w.grid.beam(out)
	return out
}

// unsure stands for the accidentals of two notes on one line or space.
const unsure = 100

// place returns the line or space that a note stands on, counted upward.
func place(n spelling.Note) int { return n.Octave()*7 + int(n.Letter()) }

// accidental says whether a note needs its accidental, and remembers it.
func (w *writer) accidental(n Note) Accidental {
	if n.TieIn {
		return AccidentalHidden
	}
	at := place(n.Note)
	need := n.Note.Alteration()
	inForce, set := w.inForce[at]
	if !set {
		inForce = spelling.Key{Signature: int8(w.signature)}.Alteration(n.Note.Letter())
	}
	w.inForce[at] = need
	if need != inForce {
		return AccidentalShown
	}
	if set {
		return AccidentalHidden
	}
	if past, was := w.before[at]; was && past != need {
		return AccidentalCautionary
	}
	for other, past := range w.inForce {
		if (other-at)%7 == 0 && past != need {
			return AccidentalCautionary
		}
	}
	return AccidentalHidden
}
