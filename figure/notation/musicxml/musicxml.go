// Package musicxml writes a score as MusicXML 4.0, the open format in which
// notation programs exchange scores, and reads scores of any version and writer.
//
// [Write] takes a [notation.Score] and writes the partwise form, bar by bar as
// [notation.Score.PartBars] yields them, so that a long score needs no more
// memory than a short one. Every statement is written as it is placed, whatever a
// page shows. Notes are those that the part reads, and each part says how its
// instrument transposes and when its clef changes. What is said to all players,
// titles, tempo, swing and the numbers of sections, stands in the first part
// alone, marked as the whole system's. [WriteLaidOut] adds where systems and
// pages begin.
//
// A chord symbol is shown as it was typed, and says what it means too, as
// [chord.ParseOn] reads it: {5 7b9} is shown as 7♭9 and is a dominant with
// an added ninth, lowered by one. What that cannot read is of the kind "other",
// with its text alone. All text is escaped.
//
// [Read] gives the notes of each part with their letters, tied ones as one, its bars,
// keys and meters, chord symbols and transposition; what it does not read it says.
// [Part.Events] gives some bars as a figure can be made of them.
//
// The tests compare what is written with the notation; outside the module it
// is validated against the published schema of the W3C Music Notation
// Community Group.
package musicxml

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/notation"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
	"example.com/keyorder/spelling/chord"
)

// Write writes the score with the given parts in that order, or with all of
// them if none is given. Parts keep their numbers in the score: the second is P2
// even if it is written alone.
//
// The error is a *fault.ValueError where the score has no such part, as the zero
// Score has none, or where a part is given twice; nothing is written then.
// Otherwise it is the first error of w, after which nothing more is written. A
// note below C0 or above B9, which MusicXML has not, is written in octave 0 or
// 9.
func Write(w io.Writer, s *notation.Score, parts ...drill.Part) error {
	return WriteLaidOut(w, s, nil, parts...)
}

// WriteLaidOut writes what Write does, with the breaks of a layout, such as
// staff.Layout.Plan gives, in their order. A system of the layout that begins with no bar of the
// score is left out.
func WriteLaidOut(w io.Writer, s *notation.Score, systems []notation.System, parts ...drill.Part) error {
	if len(parts) == 0 {
		parts = s.Parts()
	}
	for n, p := range parts {
		if p.Index() >= len(s.Parts()) || slices.ContainsFunc(parts[:n], func(q drill.Part) bool { return q.Index() == p.Index() }) {
			return &fault.ValueError{Setting: "part", Value: strconv.Itoa(p.Index() + 1), Want: fmt.Sprintf("the score has %d parts, and each is written once", len(s.Parts()))}
		}
	}
	if len(parts) == 0 {
		return &fault.ValueError{Setting: "score", Want: "a score has at least one part; make it with notation.New"}
	}
	x := writer{w: w, alone: len(parts) == 1, language: s.Options().Language}
	x.text(`<?xml version="1.0" encoding="UTF-8"?>` + "\n")
	x.text(`<score-partwise version="4.0">` + "\n")
	if title := s.Options().Title; title != "" {
		x.text("<work><work-title>").escaped(title).text("</work-title></work>\n")
	}
	x.text("<identification><encoding><software>keyorder</software></encoding></identification>\n<part-list>\n")
	groups := 0
	for n, part := range parts {
		p, i := part.Index(), part.Instrument()
		if size := grouped(parts, n); size > 0 && (n == 0 || !together(parts[n-1], part)) {
			groups++
			x.text(`<part-group type="start" number="`).number(groups).text(`"><group-symbol>bracket</group-symbol><group-barline>`).text(through(i.Family)).text("</group-barline></part-group>\n")
		}
		x.text(`<score-part id="P`).number(p + 1).text(`"><part-name>`).escaped(i.Name).text("</part-name>")
		x.text(`<score-instrument id="P`).number(p + 1).text(`-I1"><instrument-name>`).escaped(i.Name).text("</instrument-name></score-instrument>")
		x.text(`<midi-instrument id="P`).number(p + 1).text(`-I1"><midi-channel>`).number(channel(p)).text("</midi-channel><midi-program>").number(int(max(min(i.Program, 128), 1))).text("</midi-program></midi-instrument></score-part>\n")
		if grouped(parts, n) > 0 && (n+1 == len(parts) || !together(part, parts[n+1])) {
			x.text(`<part-group type="stop" number="`).number(groups).text("\"/>\n")
		}
	}
	x.text("</part-list>\n")
	for n, p := range parts {
		x.text(`<part id="P`).number(p.Index() + 1).text("\">\n")
		x.top, x.staves, x.plan = n == 0, s.Staves(p), systems
		// Bars of rest wait for the first that is none, since how many they are
		// stands before them.
		var rests []notation.Bar
		flush := func() {
			for k := range rests {
				count := 0
				if k == 0 && x.alone && len(rests) > 1 {
					count = len(rests)
				}
				x.bar(&rests[k], s, p.Instrument(), count)
				x.flush()
			}
			rests = rests[:0]
		}
		for b := range s.PartBars(p) {
			if !b.Rests() || x.begins(b.Number) > 0 || len(rests) == longestRest {
				flush()
			}
			if rests = append(rests, b); !b.Rests() || b.End != notation.BarlineSingle {
				flush()
			}
			if x.err != nil {
				return x.err
			}
		}
		flush()
		x.text("</part>\n")
	}
	x.text("</score-partwise>\n").flush()
	return x.err
}

// longestRest is how many bars of rest are written as one.
const longestRest = 999

// together reports whether two parts side by side are of one family.
func together(a, b drill.Part) bool {
	f := a.Instrument().Family
	return f != drill.FamilyOther && f == b.Instrument().Family
}

// grouped returns how many parts stand in the group of one, 0 if it stands alone.
func grouped(parts []drill.Part, n int) int {
	from, to := n, n+1
	for from > 0 && together(parts[from-1], parts[n]) {
		from--
	}
	for to < len(parts) && together(parts[n], parts[to]) {
		to++
	}
	if to-from < 2 {
		return 0
	}
	return to - from
}

// through says whether barlines go through the staves of a family: not between
// the words of singers.
func through(f drill.Family) string {
	if f == drill.FamilyVoice {
		return "no"
	}
	return "yes"
}

// channel returns the MIDI channel of a part, from 1, which leaves out that of
// percussion.
func channel(part int) int {
	if part >= 9 {
		part++
	}
	return part%16 + 1
}

// A writer collects the text of a bar and writes it at once.
type writer struct {
	w        io.Writer
	buf      []byte
	err      error
	alone    bool // one part is written
	top      bool // this is the first part
	staves   int
	page     int // of the system before
	plan     []notation.System
	language spelling.Language // of keys
}

// begins returns the page of the system of the layout that begins with a bar, or
// 0 if none does.
func (x *writer) begins(bar int) int {
	n, found := slices.BinarySearchFunc(x.plan, bar, func(s notation.System, bar int) int { return s.First - bar })
	if !found {
		return 0
	}
	return x.plan[n].Page
}

func (x *writer) flush() {
	if x.err == nil {
		_, x.err = x.w.Write(x.buf)
	}
	x.buf = x.buf[:0]
}

func (x *writer) text(s string) *writer {
	x.buf = append(x.buf, s...)
	return x
}

func (x *writer) number(n int) *writer {
	x.buf = strconv.AppendInt(x.buf, int64(n), 10)
	return x
}

// escaped writes text as XML character data that is safe in attributes too.
// What XML does not allow becomes the replacement character.
func (x *writer) escaped(s string) *writer {
	for _, r := range s {
		switch {
		case r == '&':
			x.text("&amp;")
		case r == '<':
			x.text("&lt;")
		case r == '>':
			x.text("&gt;")
		case r == '"':
			x.text("&quot;")
		case r < ' ' && r != '\t' && r != '\n', r == 0xFFFE, r == 0xFFFF:
			x.text("\uFFFD")
		default:
			x.buf = utf8.AppendRune(x.buf, r)
		}
	}
	return x
}

// bar writes a bar, the first of so many of rest if rests is not 0.
func (x *writer) bar(b *notation.Bar, s *notation.Score, i drill.Instrument, rests int) {
	x.text(`<measure number="`).number(b.Number).text("\">\n")
	if page := x.begins(b.Number); page > 0 {
		switch {
		case b.Number == 1:
		case page > x.page:
			x.text("<print new-page=\"yes\"/>\n")
		default:
			x.text("<print new-system=\"yes\"/>\n")
		}
		x.page = page
	}
	if b.Opens || b.NewSignature || b.NewClef || rests > 0 {
		x.attributes(b, i, rests)
	}
	if b.Opens && x.top {
		x.opening(b, s.Options())
	}
	if b.Staff == 1 {
		x.idle(b, 1)
	}
	labels := b.Labels
	for n := range b.Symbols {
		sym := &b.Symbols[n]
		if at := b.SectionOnset - sym.Onset; x.top && b.Section > 0 && at >= 0 && at < sym.Length {
			x.direction(true).text("<rehearsal>").number(b.Section).text("</rehearsal></direction-type>").offset(at).text("</direction>\n")
		}
		for len(labels) > 0 && labels[0].Onset < sym.Onset+sym.Length {
			x.label(labels[0], labels[0].Onset-sym.Onset)
			labels = labels[1:]
		}
		x.symbol(sym, b.Staff+1)
	}
	if b.Staff == 0 && x.staves > 1 {
		x.idle(b, 2)
	}
	if style := barStyle(b.End); style != "" {
		x.text(`<barline location="right"><bar-style>`).text(style).text("</bar-style></barline>\n")
	}
	x.text("</measure>\n")
}

// idle writes the rest of the staff of two that rests; the voice of the upper
// one comes first.
func (x *writer) idle(b *notation.Bar, staff int) {
	back := func() {
		x.text("<backup><duration>").number(int(b.Meter.Bar())).text("</duration></backup>\n")
	}
	if staff == 2 {
		back()
	}
	x.text(`<note><rest measure="yes"/><duration>`).number(int(b.Meter.Bar())).text("</duration><voice>").number(staff).text("</voice><staff>").number(staff).text("</staff></note>\n")
	if staff == 1 {
		back()
	}
}

// direction begins a direction above the staff, that of the whole system if it
// is for all players.
func (x *writer) direction(all bool) *writer {
	x.text(`<direction placement="above"`)
	if all {
		x.text(` system="only-top"`)
	}
	return x.text("><direction-type>")
}

func (x *writer) attributes(b *notation.Bar, i drill.Instrument, rests int) {
	x.text("<attributes>")
	if b.Number == 1 {
		x.text("<divisions>").number(int(figure.Quarter)).text("</divisions>")
	}
	if b.Opens || b.NewSignature {
		x.text("<key><fifths>").number(b.Signature).text("</fifths></key>")
	}
	if b.Opens {
		beats := strconv.Itoa(b.Meter.Number())
		if b.Meter.String() != beats+"/"+strconv.Itoa(b.Meter.Unit()) {
			beats = b.Meter.Grouping()
		}
		x.text("<time><beats>").text(beats).text("</beats><beat-type>").number(b.Meter.Unit()).text("</beat-type></time>")
	}
	if b.Number == 1 && x.staves > 1 {
		x.text("<staves>").number(x.staves).text("</staves>").clef(drill.ClefTreble, 1).clef(drill.ClefBass, 2)
	} else if b.Number == 1 || b.NewClef {
		x.clef(b.Clef, 0)
	}
	if b.Number == 1 {
		if i.Sounding != interval.PerfectUnison {
			octaves := i.Sounding.Steps() / 7
			rest := i.Sounding - interval.Octave.Times(octaves)
			x.text("<transpose><diatonic>").number(rest.Steps()).text("</diatonic><chromatic>").number(rest.Semitones()).text("</chromatic>")
			if octaves != 0 {
				x.text("<octave-change>").number(octaves).text("</octave-change>")
			}
			x.text("</transpose>")
		}
	}
	if rests > 0 {
		x.text("<measure-style><multiple-rest>").number(rests).text("</multiple-rest></measure-style>")
	}
	x.text("</attributes>\n")
}

// clef writes the clef of a staff, by its number where there are two.
func (x *writer) clef(c drill.Clef, staff int) *writer {
	x.text("<clef")
	if staff > 0 {
		x.text(` number="`).number(staff).text(`"`)
	}
	sign := "<sign>G</sign><line>2</line>"
	switch c {
	case drill.ClefBass:
		sign = "<sign>F</sign><line>4</line>"
	case drill.ClefAlto:
		sign = "<sign>C</sign><line>3</line>"
	case drill.ClefTenor:
		sign = "<sign>C</sign><line>4</line>"
	case drill.ClefTrebleOctave:
		sign += "<clef-octave-change>-1</clef-octave-change>"
	}
	return x.text(">").text(sign).text("</clef>")
}

// opening writes what stands over the first bar of an order.
func (x *writer) opening(b *notation.Bar, o notation.Options) {
	if b.Title != "" {
		x.direction(true).text(`<words font-weight="bold">`).escaped(b.Title).text("</words></direction-type></direction>\n")
	}
	counted := b.Meter.Counted()
	x.direction(true).text("<metronome><beat-unit>")
	whole := counted
	if counted%9 == 0 { // a dotted beat
		whole = counted * 2 / 3
	}
	x.text(typeName(uint8(figure.Whole / whole))).text("</beat-unit>")
	if whole != counted {
		x.text("<beat-unit-dot/>")
	}
	x.text("<per-minute>").number(b.Tempo).text(`</per-minute></metronome></direction-type><sound tempo="`)
	x.buf = strconv.AppendFloat(x.buf, float64(b.Tempo)*float64(counted)/float64(figure.Quarter), 'f', -1, 64)
	x.text("\"/></direction>\n")
	if o.Swing {
		x.direction(true).text("<words>swing</words></direction-type><sound><swing><first>2</first><second>1</second><swing-type>eighth</swing-type></swing></sound></direction>\n")
	}
}

func (x *writer) label(l notation.Label, offset figure.Length) {
	if l.Kind == notation.LabelKindChord {
		x.harmony(l, offset)
		return
	}
	x.direction(false).text(`<words font-weight="bold">`).escaped(l.In(x.language)).text("</words></direction-type>").offset(offset).text("</direction>\n")
}

// harmony writes a chord symbol: what was typed, and what it means. A suffix that
// cannot be read is of the kind other.
func (x *writer) harmony(l notation.Label, offset figure.Length) {
	kind, degrees, typed := "other", []chord.Degree(nil), l.Text
	c, err := chord.ParseOn(l.Name, l.Text)
	if err == nil {
		kind, degrees = c.Kind()
	}
	slash := err == nil && c.Bass() != c.Root()
	if slash { // the bass is printed by its own element
		typed = typed[:strings.LastIndexByte(typed, '/')]
	}
	x.text("<harmony><root><root-step>").text(l.Name.Letter().String()).text("</root-step>")
	if a := l.Name.Alteration(); a != 0 {
		x.text("<root-alter>").number(a).text("</root-alter>")
	}
	x.text(`</root><kind text="`).escaped(typed).text(`">`).text(kind).text("</kind>")
	if slash {
		x.text("<bass><bass-step>").text(c.Bass().Letter().String()).text("</bass-step>")
		if a := c.Bass().Alteration(); a != 0 {
			x.text("<bass-alter>").number(a).text("</bass-alter>")
		}
		x.text("</bass>")
	}
	for _, d := range degrees { // not printed, since the kind's text says them
		x.text(`<degree print-object="no"><degree-value>`).number(d.Number).text("</degree-value><degree-alter>").number(d.Alter).text("</degree-alter><degree-type>").text(string(d.Change)).text("</degree-type></degree>")
	}
	x.offset(offset).text("</harmony>\n")
}

func (x *writer) offset(l figure.Length) *writer {
	if l > 0 {
		x.text("<offset>").number(int(l)).text("</offset>")
	}
	return x
}

// symbol writes a symbol on a staff, of which there may be one only.
func (x *writer) symbol(s *notation.Symbol, staff int) {
	if len(s.Notes) == 0 {
		x.text("<note><rest")
		if s.FullBar {
			x.text(` measure="yes"`)
		}
		x.text("/><duration>").number(int(s.Length)).text("</duration>").voice(staff)
		if !s.FullBar {
			x.value(s.Value)
		}
		x.modification(s.Value)
		x.staff(staff)
		if s.Triplet != notation.GroupOutside && s.Triplet != notation.GroupInside {
			x.text("<notations>").tuplet(s.Triplet).text("</notations>")
		}
		x.text("</note>\n")
		return
	}
	for n := range s.Notes {
		x.note(s, n, staff)
	}
}

func (x *writer) note(s *notation.Symbol, n, staff int) {
	note := &s.Notes[n]
	x.text("<note>")
	if n > 0 {
		x.text("<chord/>")
	}
	x.text("<pitch><step>").text(note.Note.Letter().String()).text("</step>")
	if a := note.Note.Alteration(); a != 0 {
		x.text("<alter>").number(a).text("</alter>")
	}
	x.text("<octave>").number(max(0, min(9, note.Note.Octave()))).text("</octave></pitch><duration>").number(int(s.Length)).text("</duration>")
	if note.TieIn {
		x.text(`<tie type="stop"/>`)
	}
	if note.TieOut {
		x.text(`<tie type="start"/>`)
	}
	x.voice(staff).value(s.Value)
	if note.Accidental != notation.AccidentalHidden {
		if sign := accidentalName(note.Note); sign != "" {
			x.text("<accidental")
			if note.Accidental == notation.AccidentalCautionary {
				x.text(` cautionary="yes" parentheses="yes"`)
			}
			x.text(">").text(sign).text("</accidental>")
		}
	}
	x.modification(s.Value)
	x.staff(staff)
	if n == 0 {
		for level, b := range s.Beams {
			if b != notation.BeamNone {
				x.text(`<beam number="`).number(level + 1).text(`">`).text(beamName(b)).text("</beam>")
			}
		}
	}
	triplet := n == 0 && s.Triplet != notation.GroupOutside && s.Triplet != notation.GroupInside
	if note.TieIn || note.TieOut || triplet || n == 0 && s.Marks&^drill.MarkSlurOn != 0 {
		x.text("<notations>")
		if note.TieIn {
			x.text(`<tied type="stop"/>`)
		}
		if note.TieOut {
			x.text(`<tied type="start"/>`)
		}
		if triplet {
			x.tuplet(s.Triplet)
		}
		if n == 0 {
			x.marks(s.Marks)
		}
		x.text("</notations>")
	}
	x.text("</note>\n")
}

// marks writes slurs and accents.
func (x *writer) marks(m drill.Marks) {
	if m.Has(drill.MarkSlurEnd) {
		x.text(`<slur type="stop" number="1"/>`)
	}
	if m.Has(drill.MarkSlurBegin) {
		x.text(`<slur type="start" number="1"/>`)
	}
	if m.Has(drill.MarkAccent) {
		x.text("<articulations><accent/></articulations>")
	}
}

// voice writes the voice of a staff, which has its number.
func (x *writer) voice(staff int) *writer { return x.text("<voice>").number(staff).text("</voice>") }

// staff writes on which of two staves a note stands.
func (x *writer) staff(n int) {
	if x.staves > 1 {
		x.text("<staff>").number(n).text("</staff>")
	}
}

func (x *writer) value(v notation.Value) *writer {
	x.text("<type>").text(typeName(v.Base)).text("</type>")
	for range v.Dots {
		x.text("<dot/>")
	}
	return x
}

func (x *writer) modification(v notation.Value) {
	if v.Triplet {
		x.text("<time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes></time-modification>")
	}
}

func (x *writer) tuplet(g notation.Group) *writer {
	if g == notation.GroupBegins {
		x.text(`<tuplet type="start"/>`)
	}
	if g == notation.GroupEnds {
		x.text(`<tuplet type="stop"/>`)
	}
	return x
}

// typeName returns the standard's name of a note value.
func typeName(base uint8) string {
	switch base {
	case 1:
		return "whole"
	case 2:
		return "half"
	case 4:
		return "quarter"
	case 8:
		return "eighth"
	case 16:
		return "16th"
	case 32:
		return "32nd"
	case 64:
		return "64th"
	}
	return "128th"
}

// barStyle returns the standard's name of a barline, none for the usual one.
func barStyle(b notation.Barline) string {
	switch b {
	case notation.BarlineDouble:
		return "light-light"
	case notation.BarlineFinal:
		return "light-heavy"
	}
	return ""
}

// beamName returns the standard's name of the state of a beam.
func beamName(b notation.Beam) string {
	switch b {
	case notation.BeamBegins:
		return "begin"
	case notation.BeamGoesOn:
		return "continue"
	case notation.BeamEnds:
		return "end"
	case notation.BeamHookForward:
		return "forward hook"
	}
	return "backward hook"
}

// accidentalName returns the standard's name of a note's accidental; there is
// none beyond triple ones.
func accidentalName(n spelling.Note) string {
	switch n.Alteration() {
	case -3:
		return "triple-flat"
	case -2:
		return "flat-flat"
	case -1:
		return "flat"
	case 0:
		return "natural"
	case 1:
		return "sharp"
	case 2:
		return "double-sharp"
	case 3:
		return "triple-sharp"
	}
	return ""
}
