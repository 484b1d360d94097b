package main

import (
	"bytes"
	"cmp"
	"fmt"
	"io"
	"iter"
	"slices"
	"strings"
	"unicode/utf8"

	"example.com/keyorder/cycle"
	"example.com/keyorder/examples/internal/disk"
	"example.com/keyorder/examples/internal/output"
	"example.com/keyorder/examples/internal/say"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/practice"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/spelling"
)

// print writes the sheet, and its files if -out asks for them.
func (s *sheet) print(stdout io.Writer) error {
	var files []disk.File
	if s.out != "" {
		output.Outlive()
		var err error
		if files, err = s.files(); err != nil {
			return err
		}
	}
	// The files are written even if nobody reads what is printed.
	if err := s.writeText(stdout, s.answers); files == nil {
		return err
	}
	return s.writeFiles(files, stdout)
}

// writeText writes the sheet as text, with every note of every key or without.
func (s *sheet) writeText(out io.Writer, answers bool) error {
	w := new(bytes.Buffer)
	p := func(format string, args ...any) {
		io.WriteString(w, s.Text(fmt.Sprintf(format, args...)))
	}
	if s.title != "" {
		p("%s\n\n", s.title)
	}
	p("Play     %s\n", s.figureText())
	if t := s.variedText(); t != "" {
		p("varied   %s\n", t)
	}
	if s.taken != nil {
		p("from     %s\n", s.taken.From)
	}
	p("in %-5s %s\n", s.keyName(s.firstKey()), s.notesIn(s.firstKey(), true))
	switch {
	case len(s.parts) > 1 || s.parts[0].Sounding != interval.PerfectUnison:
		p("for      %s; the keys are %s\n", s.partNames(), s.reading())
	case s.named:
		p("for      %s\n", s.partNames())
	}
	if t := s.marksText(); t != "" {
		p("marks    %s\n", t)
	}
	for _, t := range s.soundText() {
		p("sound    %s\n", t)
	}
	for _, h := range s.hints() {
		p("note     %s\n", h)
	}
	told := map[string]bool{} // the changes of a key
	for n, o := range s.orders {
		d := s.drills[n]
		p("\n%s\n", s.heading(o, d))
		p("%s\n", s.joins(d))
		if line := s.sounds(o, d); line != "" {
			p("%s\n", line)
		}
		p("\n")
		if answers {
			s.writeAnswers(w, d)
		} else {
			s.writeKeys(w, d)
			s.writeChanges(w, s.changes(d, told))
		}
		for part := range s.parts {
			if t := s.leftOut(d, part); t != "" {
				p("\n%s\n", t)
			}
		}
	}
	if len(s.parts) > 1 {
		s.writeCalls(w)
	}
	statements, bars, time := total(s.drills)
	p("\n%s: %s, %s, %s in %v at %d.\n", s.each(), plural(statements, "statement"), plural(bars, "bar"), say.Minutes(time), s.settings.Meter, s.Tempo)
	if all := s.eleven(); all != nil && s.settings.Closing != drill.ClosingOpen {
		statements, _, time := total(all)
		made := fmt.Sprintf("%d of the 132 moves between keys", s.moves(all))
		if s.moves(all) == 132 {
			made = "each of the 132 moves between keys once"
		}
		p("All eleven orders (-orders all) would be %s, %s, with %s.\n", plural(statements, "statement"), say.Minutes(time), made)
	}
	if line := s.judges(s.orders...); line != "" {
		p("\n%s\n", s.judgedText(len(s.orders)))
		fmt.Fprintln(w, line) // as it is typed
	}
	p("\n")
	for _, c := range practice.Cautions() {
		p("%s\n", c)
	}
	_, err := out.Write(w.Bytes())
	return err
}

// judgedText says what the command that judges a take of so many orders is for.
func (s *sheet) judgedText(orders int) string {
	text := "Record yourself"
	if len(s.parts) > 1 {
		text += " on the " + s.parts[0].Name
	}
	if orders > 1 {
		return text + ", all orders in a row, and have the take judged; for one of them name that order alone:"
	}
	return text + " and have the take judged:"
}

// leftOut says which keys a part leaves out, if any.
func (s *sheet) leftOut(d *drill.Drill, part int) string {
	var names []string
	for _, n := range d.Parts()[part].LeftOut() {
		names = append(names, s.name(n))
	}
	if names == nil {
		return ""
	}
	return fmt.Sprintf("%s leaves out what does not fit: %s", s.parts[part].Name, strings.Join(names, " "))
}

// moves counts the different moves from key to key that drills make.
func (s *sheet) moves(drills []*drill.Drill) int {
	var made cycle.Tally
	for _, d := range drills {
		var last drill.Statement
		for st := range d.Parts()[0].Statements() {
			if st.Index > 0 && st.Section == last.Section {
				made.Add(cycle.Move{From: last.Sounding.Name().Class(), To: st.Sounding.Name().Class()})
			}
			last = st
		}
	}
	return made.Made()
}

// figureText is the figure in degrees with its scale and unit in words.
func (s *sheet) figureText() string {
	t := s.figure.String()
	if s.figure.Scale() == figure.Major {
		t += "   in major"
	}
	if s.figure.Unit() == figure.Eighth {
		t += ", in eighths"
	}
	return t
}

// unitText says what a length of 1 is.
func (s *sheet) unitText() string {
	switch s.figure.Unit() {
	case figure.Quarter:
		return "quarters"
	case figure.Eighth:
		return "eighths"
	case figure.Sixteenth:
		return "sixteenths"
	case figure.Quarter / 3:
		return "eighths of triplets"
	}
	return "notes of " + s.figure.Unit().String()
}

// each says how long a key takes.
func (s *sheet) each() string {
	var least, most figure.Length
	for _, d := range s.drills {
		var last drill.Statement
		for st := range d.Parts()[0].Statements() {
			// The last of a section may be longer, to end with a full bar.
			if st.Index > 0 && !last.Held && (st.Section == last.Section || s.settings.Padding == drill.PaddingBar) {
				least, most = min(cmp.Or(least, last.Length), last.Length), max(most, last.Length)
			}
			last = st
		}
		if most == 0 {
			least, most = last.Length, last.Length // a key alone
		}
	}
	m := s.settings.Meter
	played := (s.figure.Length() + m.Bar() - 1) / m.Bar() * m.Bar()
	switch {
	case least < most:
		return lengthText(least, m) + " to " + lengthText(most, m) + " from key to key" + s.ownText()
	case s.figure.Pickup() > 0 || s.settings.Padding != drill.PaddingBar:
		return lengthText(least, m) + " from key to key" + s.ownText()
	case least == played:
		return bars(played, m) + " a key"
	}
	return bars(played, m) + " a key and " + bars(least-played, m) + " of rest" + s.ownText()
}

// silences returns the least and the greatest rest between two keys, if there
// are two.
func (s *sheet) silences() (least, most figure.Length, ok bool) {
	var begin, end figure.Length
	for n, e := range s.figure.In(0) {
		if n == 0 {
			begin = e.Onset
		}
		end = max(end, e.Onset+e.Length)
	}
	for _, d := range s.drills {
		var last drill.Statement
		for st := range d.Parts()[0].Statements() {
			if st.Index > 0 {
				silence := last.Length - end
				if last.Held {
					silence = last.Length - s.settings.Meter.Bar()
				}
				if !st.Held {
					silence += begin
				}
				if !ok {
					least, ok = silence, true
				}
				least, most = min(least, silence), max(most, silence)
			}
			last = st
		}
	}
	return least, most, ok
}

// lengthText says a length in bars and in notes: "2 bars", "1 bar and 3
// eighths", "5 sixteenths".
func lengthText(l figure.Length, m drill.Meter) string {
	whole, rest := l/m.Bar(), l%m.Bar()
	var words []string
	if whole > 0 {
		words = append(words, plural(int(whole), "bar"))
	}
	for _, u := range []struct {
		length figure.Length
		name   string
	}{{figure.Quarter, "quarter"}, {figure.Eighth, "eighth"}, {figure.Sixteenth, "sixteenth"}, {1, ""}} {
		if rest == 0 || rest%u.length != 0 {
			continue
		}
		if u.name == "" {
			words = append(words, rest.String()+" of a whole note")
		} else {
			words = append(words, plural(int(rest/u.length), u.name))
		}
		break
	}
	return strings.Join(words, " and ")
}

// heldNote says which of the figure's notes a held return holds.
func (s *sheet) heldNote() string {
	for _, d := range s.drills {
		for p := range s.parts {
			for st := range d.Parts()[p].Statements() {
				if !st.Held || st.Rests {
					continue
				}
				held, note := st.Events(), "note"
				if len(held) > 1 {
					note = "notes"
				}
				all := s.figure.In(st.Written)
				if all[0].Note.Number() == held[0].Note.Number() {
					return "its first " + note
				}
				for _, e := range all {
					if e.Onset == 0 {
						return "the " + note + " on its downbeat"
					}
				}
				return "the first " + note + " after its downbeat"
			}
		}
	}
	return "its first note"
}

func (s *sheet) partNames() string {
	var names []string
	for _, i := range s.parts {
		names = append(names, fmt.Sprintf("%s (%v to %v)", i.Name, i.Low, i.High))
	}
	return strings.Join(names, ", ")
}

// reading says what the keys on the sheet mean.
func (s *sheet) reading() string {
	if s.written || !s.concert && len(s.parts) == 1 {
		if len(s.parts) > 1 {
			return "those that " + s.parts[0].Name + " reads"
		}
		return "those you read"
	}
	return "concert keys"
}

// firstKey is the first key that is played.
func (s *sheet) firstKey() spelling.Name { return s.firstKeyOf(s.drills[0]) }

func (s *sheet) firstKeyOf(d *drill.Drill) spelling.Name {
	return s.key(first(d.Parts()[0].Statements()))
}

// first returns the first statement, which every drill has.
func first(statements iter.Seq[drill.Statement]) drill.Statement {
	for st := range statements {
		return st
	}
	return drill.Statement{}
}

// played is the route of a drill as it is played: without the keys that are left
// out, and closed where a section is played back to its first key.
func (s *sheet) played(d *drill.Drill) cycle.Route {
	var sections []cycle.Section
	last := -1
	for st := range d.Parts()[0].Statements() {
		if st.Section != last {
			sections = append(sections, cycle.Section{})
		}
		last = st.Section
		if in := &sections[len(sections)-1]; st.Return {
			in.Closed = true
		} else {
			in.Keys = append(in.Keys, s.key(st).Class())
		}
	}
	r, err := cycle.NewRoute(sections...)
	if err != nil {
		return d.Settings().Route // not reached: what a drill plays is a route
	}
	return r
}

func (s *sheet) keyName(n spelling.Name) string { return s.name(n) }

// notesIn writes the figure on a tonic by the names of its notes, with lengths
// if timed.
func (s *sheet) notesIn(tonic spelling.Name, timed bool) string {
	return s.notesUnder(tonic, timed, slices.Collect(s.figure.ReadChords(tonic, s.policy)))
}

// notesUnder writes the figure on a tonic under some chords.
func (s *sheet) notesUnder(tonic spelling.Name, timed bool, chords []figure.ChordEvent) string {
	var b strings.Builder
	notes := s.figure.AppendRead(nil, tonic.In(4), s.policy)
	at := figure.Length(0)
	chord := map[figure.Length]string{}
	for _, c := range chords {
		chord[c.Onset+s.figure.Pickup()] = c.String()
	}
	k := 0
	for it := range s.figure.Items() {
		if at > 0 {
			b.WriteByte(' ')
		}
		if at == s.figure.Pickup() && at > 0 {
			b.WriteString("| ")
		}
		if c, ok := chord[at]; ok {
			fmt.Fprintf(&b, "{%s} ", c)
		}
		for n := range it.Degrees {
			if n > 0 {
				b.WriteByte('+')
			}
			b.WriteString(s.language.Name(notes[k].Note.Name()))
			k++
		}
		if len(it.Degrees) == 0 {
			b.WriteByte('0')
		}
		if timed && it.Length != s.figure.Unit() {
			b.WriteString(lengthInUnits(it.Length, s.figure.Unit()))
		}
		at += it.Length
	}
	return b.String()
}

// lengthInUnits writes a length as it stands after a note: ":2", ":3/2".
func lengthInUnits(l, unit figure.Length) string {
	a, b := l, unit
	for b != 0 {
		a, b = b, a%b
	}
	if unit == a {
		return fmt.Sprintf(":%d", l/a)
	}
	return fmt.Sprintf(":%d/%d", l/a, unit/a)
}

// heading says what an order is: its title, its cycles, what it equals.
func (s *sheet) heading(o say.Order, d *drill.Drill) string {
	t := strings.ToUpper(o.Title[:1]) + o.Title[1:]
	r := s.played(d)
	if keys(r) < keys(o.Route) {
		t += ", less the keys left out"
	}
	if o.Order.IsValid() {
		alike, length := true, 0
		for section := range r.Sections() {
			alike = alike && (length == 0 || length == len(section.Keys))
			length = len(section.Keys)
		}
		t += ": " + plural(len(slices.Collect(r.Sections())), piece(o)) + " of "
		if alike {
			t += plural(length, "key")
		} else {
			t += plural(keys(r), "key") + " in all"
		}
	}
	if o.Alike != "" {
		t += "; the same keys as " + o.Alike
	}
	return t + "."
}

// keys returns the number of keys in a route.
func keys(r cycle.Route) (n int) {
	for section := range r.Sections() {
		n += len(section.Keys)
	}
	return n
}

// piece is what a section of an order is called: a cycle where it can be played
// back to its first key as it went on before.
func piece(o say.Order) string {
	for section := range o.Route.Sections() {
		if section.Closed {
			return "cycle"
		}
	}
	return "run"
}

// joins says what leads from one statement to the next, for the first part, by
// how far it sounds.
func (s *sheet) joins(d *drill.Drill) string {
	var found []int
	times := map[int]int{}
	for st := range d.Parts()[0].Statements() {
		if j, ok := st.Join(); ok {
			n := j.Interval().Semitones()
			if times[n] == 0 {
				found = append(found, n)
			}
			times[n]++
		}
	}
	lead := "From the last note of one key to the first of the next: "
	if len(s.parts) > 1 {
		lead = "For the " + s.parts[0].Name + ", from the last note of one key to the first of the next: "
	}
	const most = 4
	switch {
	case len(found) == 0:
		return "No joins: each key stands alone."
	case len(found) > most:
		return fmt.Sprintf("%s%d ways, between %s and %s.", lead, len(found), joinText(slices.Min(found)), joinText(slices.Max(found)))
	case len(found) == 1:
		return lead + joinText(found[0]) + "."
	}
	var parts []string
	for _, n := range found {
		parts = append(parts, fmt.Sprintf("%s (%s)", joinText(n), say.Times(times[n])))
	}
	return lead + strings.Join(parts, ", ") + "."
}

func joinText(semitones int) string {
	if semitones == 0 {
		return "the same note, a free ride"
	}
	return interval.Usual(semitones).Motion()
}

// sounds says what the figure and the keys of a cycle sound like together, if
// all cycles sound alike.
func (s *sheet) sounds(o say.Order, d *drill.Drill) string {
	var first pitch.Set
	several := false
	for section := range s.played(d).Sections() {
		set := s.figure.Composite(section.Keys...)
		several = several || len(section.Keys) > 1
		if first == 0 {
			first = set
		}
		if !alike(first, set) {
			return ""
		}
	}
	if !o.Order.IsValid() || !several {
		return ""
	}
	t := "Each " + piece(o) + " with the figure: "
	roots := slices.Collect(first.Roots().Classes())
	switch key := s.firstKeyOf(d).Class(); {
	case first == pitch.Aggregate:
		return t + "all twelve notes."
	case !s.theory:
		return fmt.Sprintf("%s%d different notes.", t, first.Len())
	case first.Name() == "":
		return fmt.Sprintf("%s%d notes, %v counted from C as 0 in the first.", t, first.Len(), first)
	case len(roots) > 0 && !slices.Contains(roots, key):
		return fmt.Sprintf("%sthe same notes as the %s on %s in the first.", t, first.Name(), s.name(s.keys[roots[0]]))
	}
	return t + first.Name() + "."
}

// alike reports whether one set is the other transposed.
func alike(a, b pitch.Set) bool {
	for n := range 12 {
		if a.T(n) == b {
			return true
		}
	}
	return false
}

// keyLines returns the keys of a drill by name, a line for each section or for
// twelve keys of it.
func (s *sheet) keyLines(d *drill.Drill) (lines [][]string) {
	last := -1
	for st := range d.Parts()[0].Statements() {
		name := s.Text(s.name(s.key(st)))
		if st.Return {
			name = "back to " + name
		}
		if n := len(lines); st.Section != last || len(lines[n-1]) == 12 && !st.Return {
			lines = append(lines, nil)
		}
		last = st.Section
		lines[len(lines)-1] = append(lines[len(lines)-1], name)
	}
	return lines
}

// pad makes a name as wide as the widest of the keys.
func (s *sheet) pad(name string) string {
	width := 0
	for _, n := range s.keys {
		width = max(width, utf8.RuneCountInString(s.Text(s.name(n))))
	}
	return name + strings.Repeat(" ", max(0, width-utf8.RuneCountInString(name)))
}

// writeKeys writes the keys of a drill, a section or twelve keys a line.
func (s *sheet) writeKeys(w io.Writer, d *drill.Drill) {
	for _, line := range s.keyLines(d) {
		for n := range line {
			line[n] = s.pad(line[n])
		}
		fmt.Fprintln(w, "  "+strings.TrimRight(strings.Join(line, "  "), " "))
	}
}

// writeAnswers writes the keys of a drill with their notes, a key a line.
func (s *sheet) writeAnswers(w io.Writer, d *drill.Drill) {
	last := 0
	for st := range d.Parts()[0].Statements() {
		if st.Section != last {
			fmt.Fprintln(w)
		}
		last = st.Section
		key := s.key(st)
		name, chords := s.name(key), s.hasChords()
		label := s.pad(name)
		if chords {
			label = "in " + label
		}
		switch {
		case st.Held:
			fmt.Fprintf(w, "  back to %s: %s, held\n", name, s.heldNote())
		case st.Return:
			fmt.Fprintf(w, "  back to %s   %s\n", name, s.Text(s.notesUnder(key, false, s.chordsIn(d, st))))
		default:
			fmt.Fprintf(w, "  %s   %s\n", label, s.Text(s.notesUnder(key, false, s.chordsIn(d, st))))
		}
	}
}

// key returns the key of a statement as the sheet's keys are read.
func (s *sheet) key(st drill.Statement) spelling.Name {
	if s.written || !s.concert && len(s.parts) == 1 {
		return st.Written.Name()
	}
	return st.Sounding.Name()
}

// calls is the call sheet of a class: a row for each key that sounds, with what
// each part calls it.
func (s *sheet) calls() (rows [][]string) {
	for _, d := range s.drills {
		from := len(rows)
		for p := range s.parts {
			n := from
			for st := range d.Parts()[p].Statements() {
				if p == 0 {
					rows = append(rows, []string{s.Text(s.name(st.Sounding.Name()))})
				}
				t := s.Text(s.name(st.Written.Name()))
				if st.Rests {
					t = "rests"
				}
				rows[n] = append(rows[n], t)
				n++
			}
		}
	}
	seen := map[string]bool{}
	return slices.DeleteFunc(rows, func(r []string) bool {
		again := seen[r[0]]
		seen[r[0]] = true
		return again
	})
}

// writeCalls writes the call sheet.
func (s *sheet) writeCalls(w io.Writer) {
	head := []string{"concert"}
	for _, i := range s.parts {
		head = append(head, s.Text(i.Name))
	}
	varied := ""
	if len(s.vary) > 0 {
		varied = ", the figure varied by " + s.Text(s.byText())
	}
	fmt.Fprintf(w, "\nWhat each part reads%s:\n\n", varied)
	for _, row := range append([][]string{head}, s.calls()...) {
		line := ""
		for n, t := range row {
			line += "  " + t + strings.Repeat(" ", max(0, utf8.RuneCountInString(head[n])-utf8.RuneCountInString(t)))
		}
		fmt.Fprintln(w, strings.TrimRight(line, " "))
	}
}

// hints are what a player may not have expected of the figure.
func (s *sheet) hints() (hints []string) {
	if s.taken != nil {
		hints = slices.Clone(s.taken.Notes)
	}
	if t := s.chorusText(); t != "" {
		hints = append(hints, t)
	}
	var heard pitch.Set // the keys that are played
	for _, d := range s.drills {
		for st := range d.Parts()[0].Statements() {
			heard |= pitch.SetOf(s.key(st).Class())
		}
	}
	if keys := s.doubles(s.keys, heard); len(keys) > 0 && !s.easy {
		t := fmt.Sprintf("Double sharps or flats in %s: -easy respells them", strings.Join(keys, " "))
		for scale, names := range figure.CommonScales() {
			if s.taken == nil && s.options.scale == "" && s.figure.Scale() == figure.Major && s.fits(scale) && len(s.doubles(s.tonics(scale), heard)) == 0 {
				t += fmt.Sprintf("; -scale \"%s\" names the keys so that there are none", names[0])
				break
			}
		}
		hints = append(hints, t+".")
	}
	for _, e := range s.figure.In(0) {
		if i := interval.Interval(e.Note); i.IntervalClass() == 0 && spelling.Name(i.Fifths()).Letter() == spelling.LetterB {
			hints = append(hints, "A raised 7 sounds as the tonic here: accidentals count from the major scale, and n7 is its seventh.")
			break
		}
	}
	for _, i := range s.parts {
		if i.Family == drill.FamilyWoodwind || i.Family == drill.FamilyBrass || i.Family == drill.FamilyVoice {
			for it := range s.figure.Items() {
				if len(it.Degrees) > 1 {
					return append(hints, i.Name+": one note at a time; the figure has several at once.")
				}
			}
		}
	}
	return hints
}

// doubles returns those of the keys that are played in which the figure has
// double sharps or flats.
func (s *sheet) doubles(keys [12]spelling.Name, heard pitch.Set) (in []string) {
	for c := range heard.Classes() {
		k := keys[c]
		for _, e := range s.figure.AppendRead(nil, k.In(4), s.policy) {
			if a := e.Note.Alteration(); a > 1 || a < -1 {
				in = append(in, s.name(k))
				break
			}
		}
	}
	return in
}

// fits reports whether a scale has all notes of the figure as they are spelled, and
// leaves its notes and chords what they are.
func (s *sheet) fits(scale figure.Scale) bool {
	notes := s.figure.AppendNotes(nil, 0)
	for _, n := range notes {
		if !scale.Set().Has(spelling.Note(0).To(n)) {
			return false
		}
	}
	f, err := s.figure.InScale(scale)
	return err == nil && slices.Equal(f.AppendNotes(nil, 0), notes) &&
		slices.Equal(slices.Collect(f.Chords(0)), slices.Collect(s.figure.Chords(0)))
}
