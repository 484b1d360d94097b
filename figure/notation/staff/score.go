package staff

import (
	"iter"
	"slices"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/notation"
	"example.com/keyorder/pitch/fault"
)

// A score has all parts, one below the other. Their bars are combined into one,
// which is laid out as that of a part is: what begins at one time stands below each
// other, with the room that the part asks for that needs most. So all parts break
// at the same bars. Then each part is drawn in the places that were found.

// scoreStaff is the height of a staff in a score, and that for large print.
// Guidelines ask for 4 mm at least.
const (
	scoreStaff      = 5.0
	largeScoreStaff = 9.0
)

// NewScore returns the layout of all parts of a score, one below the other, each in
// its clef and transposition with its name before it. A line joins the staves at
// the left, and a bracket holds them together; the barlines go through all of them,
// but not between the staves of singers. A bar of rest is one with others where all
// parts rest. The zero value of Options.Staff stands for 5 mm, in large print for 9.
// A score of one part is that part as [New] lays it out. The errors are those of New.
func NewScore(s *notation.Score, o Options) (*Layout, error) {
	parts := s.Parts()
	if len(parts) == 0 {
		return nil, &fault.ValueError{Setting: "score", Want: "the zero score has no parts"}
	}
	if o.Staff == 0 && len(parts) > 1 {
		if o.Staff = scoreStaff; o.Large {
			o.Staff = largeScoreStaff
		}
	}
	l, err := New(s, parts[0], o)
	if err != nil || len(parts) == 1 {
		return l, err
	}
	l.parts, l.rulers = parts, make([]ruler, len(parts))
	for n, p := range parts {
		l.rulers[n] = l.ruler
		l.rulers[n].staves = s.Staves(p)
		if !o.Bare {
			for _, line := range nameLines(p) {
				l.indent = max(l.indent, nameText.width(line))
			}
		}
	}
	l.indent += bracketRoom
	return l, nil
}

// nameLines returns the name of a part in the lines that it stands in before its
// staff: the instrument, and what it is in.
func nameLines(p drill.Part) []string {
	name := clip(p.Instrument().Name, 24)
	for n := len(name) - 4; n > 0; n-- {
		if name[n:n+4] == " in " {
			return []string{name[:n], name[n+1:]}
		}
	}
	return []string{name}
}

// Measures of the bracket: what it takes with the names' distance from it, how far it
// stands from the staves, how thick it is and how far its ends reach beyond them.
const (
	bracketRoom  = 2.2
	bracketGap   = 0.5
	bracketWidth = 0.45
	bracketReach = 0.6
	partsGap     = 0.8 // between what is drawn of a part and of the next
	partsLeast   = 8.0 // from middle line to middle line at least
)

// name returns whose staves they are.
func (l *Layout) name() string {
	if l.parts != nil {
		return "score"
	}
	return l.part.Instrument().Name
}

// rows yields the bars of all parts side by side, the same slice again and again.
func (l *Layout) rows() iter.Seq[[]notation.Bar] {
	return func(yield func([]notation.Bar) bool) {
		row := make([]notation.Bar, 1, max(len(l.parts), 1))
		if l.parts == nil {
			for b := range l.score.PartBars(l.part) {
				if row[0] = b; !yield(row) {
					return
				}
			}
			return
		}
		row = row[:len(l.parts)]
		var others []func() (notation.Bar, bool)
		for _, p := range l.parts[1:] {
			next, stop := iter.Pull(l.score.PartBars(p))
			defer stop()
			others = append(others, next)
		}
		for b := range l.score.PartBars(l.parts[0]) {
			row[0] = b
			for n, next := range others {
				row[n+1], _ = next() // all parts have as many bars
			}
			if !yield(row) {
				return
			}
		}
	}
}

// sounding returns the bar of a part that does not rest, if there is one, with what
// has to be known of the others.
func sounding(row []notation.Bar) notation.Bar {
	b := row[0]
	for n := range row[1:] {
		o := &row[n+1]
		if b.Symbols[0].FullBar && !o.Symbols[0].FullBar {
			b.Symbols = o.Symbols
		}
		if len(b.Labels) == 0 || b.Labels[0].Kind == notation.LabelKindRest && len(o.Labels) > 0 {
			b.Labels = o.Labels
		}
		b.Section = max(b.Section, o.Section)
		b.Seam = max(b.Seam, o.Seam)
		b.NewSignature = b.NewSignature || o.NewSignature
		b.NewClef = b.NewClef || o.NewClef
	}
	return b
}

// measure measures the bars of all parts, which come after signatures.
func (l *Layout) measure(b notation.Bar, row []notation.Bar, previous []int, from *stock) measured {
	if l.parts == nil {
		return l.ruler.bar(b, previous[0], from)
	}
	m := measured{Bar: b, count: 1, parts: make([]measured, len(row))}
	for n := range row {
		p := l.rulers[n].bar(row[n], previous[n], from)
		m.parts[n] = p
		m.head, m.change, m.turn = max(m.head, p.head+l.indent), max(m.change, p.change), max(m.turn, p.turn)
	}
	m.combine(l.ruler.near)
	return m
}

// combine works out what bars of all parts have in common: a column for each time at
// which something begins, and the room between them.
func (m *measured) combine(near float64) {
	var onsets []figure.Length
	for n := range m.parts {
		p := &m.parts[n]
		if p.End, p.count = m.End, m.count; m.count > 1 {
			p.columns[0].marks = nil
		}
		p.space(near)
		if !p.Symbols[0].FullBar {
			for _, s := range p.Symbols {
				onsets = append(onsets, s.Onset)
			}
		}
	}
	slices.Sort(onsets)
	onsets = slices.Compact(onsets)
	if len(onsets) == 0 {
		onsets = append(onsets, 0)
	} else {
		symbols := make([]notation.Symbol, len(onsets))
		for n, at := range onsets {
			end := m.Meter.Bar()
			if n+1 < len(onsets) {
				end = onsets[n+1]
			}
			symbols[n] = notation.Symbol{Onset: at, Length: end - at, Notes: m.notesAt(at)}
		}
		m.Symbols = symbols
	}
	m.columns, m.gaps = make([]column, len(onsets)), make([]gap, len(onsets))
	for n := range onsets {
		m.columns[n].symbol = &m.Symbols[n]
		m.gaps[n].natural = near * naturalGap(m.Symbols[n].Length)
	}
	m.gaps[len(onsets)-1].fixed = m.endWidth()
	m.lead, m.words = 0, nil
	for n := range m.parts {
		m.lead = max(m.lead, m.parts[n].lead)
	}
	for n := range m.parts {
		p := &m.parts[n]
		if p.Symbols[0].FullBar {
			if len(onsets) == 1 && m.Symbols[0].FullBar {
				m.gaps[0].natural = p.gaps[0].natural
			}
			widen(m.gaps, 0, len(onsets), p.lead+p.gaps[0].least+p.gaps[0].fixed-m.lead)
		} else {
			for k := range p.columns {
				from, to := m.at(p, k), len(onsets)
				if k+1 < len(p.columns) {
					to = m.at(p, k+1)
				}
				widen(m.gaps, from, to, p.gaps[k].least+p.gaps[k].fixed)
			}
		}
		// Over the bars there is room for the words of the part that has most.
		for k, w := range p.words {
			if w.column = m.at(p, w.column); k == len(m.words) {
				m.words = append(m.words, w)
			} else {
				m.words[k].width = max(m.words[k].width, w.width)
			}
		}
	}
	m.sum()
}

// at returns the column of all parts that one of a part stands in.
func (m *measured) at(p *measured, column int) int {
	n, _ := slices.BinarySearchFunc(m.Symbols, p.Symbols[column].Onset, func(s notation.Symbol, at figure.Length) int { return int(s.Onset - at) })
	return n
}

// notesAt returns the notes that sound in some part from a time on.
func (m *measured) notesAt(at figure.Length) []notation.Note {
	for n := range m.parts {
		for _, s := range m.parts[n].Symbols {
			if s.Onset <= at && at < s.Onset+s.Length && len(s.Notes) > 0 {
				return s.Notes
			}
		}
	}
	return nil
}

// stack makes the systems of the parts and puts them one below the other.
func (s *System) stack() {
	l := s.score
	at := 0.0
	for n := range l.parts {
		p := &System{ruler: &l.rulers[n], desks: s.desks, staves: l.rulers[n].staves, unit: s.unit, large: s.large, width: s.width, scale: s.scale,
			line: s.line - l.indent, swing: s.swing, below: n > 0}
		column := 0
		for b := range s.bars {
			m := &s.bars[b]
			own := m.parts[n]
			own.change, own.turn, own.head = m.change, m.turn, m.head-l.indent
			p.bars, p.starts = append(p.bars, own), append(p.starts, s.starts[b]-l.indent)
			for k := range own.columns {
				p.x = append(p.x, s.x[column+m.at(&own, k)]-l.indent)
			}
			column += len(m.columns)
		}
		if s.next != nil {
			own := s.next.parts[n]
			own.change, own.turn = s.next.change, s.next.turn
			p.next = &own
		}
		p.draw()
		if n > 0 {
			before := s.parts[n-1]
			last := s.tops[n-1]
			at = max(last+before.lower+partsLeast, last+before.around.bottom+partsGap-p.around.top)
		}
		s.parts, s.tops = append(s.parts, p), append(s.tops, at)
	}
}

// join draws a score: its parts, and what joins them.
func (s *System) join() {
	s.stack()
	l := s.score
	last := len(s.parts) - 1
	bottom := func(n int) float64 { return s.tops[n] + s.parts[n].lower + 2 }
	s.stroke(edgeMark, l.indent, -2, l.indent, bottom(last))
	x := l.indent - bracketGap - bracketWidth
	s.marks = append(s.marks, mark{kind: groupMark, x: x, y: -2, x2: x + bracketWidth, y2: bottom(last), column: -1})
	for n, p := range s.parts {
		if !s.ruler.bare {
			lines := nameLines(l.parts[n])
			for k, line := range lines {
				s.texts = append(s.texts, nameText.word(line, 0, s.tops[n]+p.lower/2+nameText.size()*(0.35+float64(k)-float64(len(lines)-1)/2)))
			}
		}
		voices := drill.FamilyVoice
		if n == last || l.parts[n].Instrument().Family == voices || l.parts[n+1].Instrument().Family == voices {
			continue
		}
		for b := range s.bars {
			s.barline(&s.bars[b], s.end(b), bottom(n), s.tops[n+1]-2)
		}
	}
	s.around = box{0, -2 - bracketReach, s.line, bottom(last) + bracketReach}
	for n, p := range s.parts {
		s.around = s.around.union(p.around.at(l.indent, s.tops[n]))
	}
	for _, w := range s.texts {
		s.around = s.around.union(w.box())
	}
	s.around.top -= 0.2
	s.around.bottom += 0.2
}

// appendBracket appends a bracket: a thick stroke whose ends turn to the staves.
func appendBracket(b []byte, m *mark) []byte {
	tip := m.x2 + bracketGap
	b = appendPoint(b, m.x, m.y-bracketReach/2)
	b = append(b, 'Q')
	b = appendPoint(b, m.x2, m.y-bracketReach/2)
	b = appendPoint(b, tip, m.y-bracketReach)
	b = append(b, 'Q')
	b = appendPoint(b, m.x2+bracketGap/2, m.y)
	b = appendPoint(b, m.x2, m.y)
	b = appendTo(b, 'V', m.y2)
	b = append(b, 'Q')
	b = appendPoint(b, m.x2+bracketGap/2, m.y2)
	b = appendPoint(b, tip, m.y2+bracketReach)
	b = append(b, 'Q')
	b = appendPoint(b, m.x2, m.y2+bracketReach/2)
	b = appendPoint(b, m.x, m.y2+bracketReach/2)
	return append(b, 'Z')
}
