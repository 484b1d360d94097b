package main

import (
	"bytes"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"example.com/keyorder/cycle"
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
	var files []file
	if s.out != "" {
		var err error
		if files, err = s.files(); err != nil {
			return err
		}
	}
	if err := s.writeText(stdout, s.answers); err != nil || files == nil {
		return err
	}
	return s.writeFiles(files, stdout)
}

// writeText writes the sheet as text, with every note of every key or without.
func (s *sheet) writeText(out io.Writer, answers bool) error {
	w := new(bytes.Buffer)
	p := func(format string, args ...any) {
		io.WriteString(w, s.text(fmt.Sprintf(format, args...)))
	}
	if s.title != "" {
		p("%s\n\n", s.title)
	}
	p("Play     %s\n", s.figureText())
	p("in %-5s %s\n", s.keyName(s.firstKey()), s.notesIn(s.firstKey(), true))
	if len(s.parts) > 1 || s.parts[0].Sounding != interval.PerfectUnison {
		p("for      %s; the keys are %s\n", s.partNames(), s.reading())
	}
	for _, h := range s.hints() {
		p("note     %s\n", h)
	}
	for n, o := range s.orders {
		d := s.drills[n]
		p("\n%s\n", s.heading(o))
		p("%s\n", s.joins(d))
		if line := s.sounds(o); line != "" {
			p("%s\n", line)
		}
		p("\n")
		if answers {
			s.writeAnswers(w, d)
		} else {
			s.writeKeys(w, d)
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
	p("\n%s: %s, %s, %s in %v at %d.\n", s.each(), plural(statements, "statement"), plural(bars, "bar"), say.Minutes(time), s.settings.Meter, s.tempo)
	if all := s.eleven(); all != nil && s.settings.Closing != drill.CloseOpen {
		statements, _, time := total(all)
		made := fmt.Sprintf("%d of the 132 moves between keys", s.moves(all))
		if s.moves(all) == 132 {
			made = "each of the 132 moves between keys once"
		}
		p("All eleven orders (-orders all) would be %s, %s, with %s.\n", plural(statements, "statement"), say.Minutes(time), made)
	}
	p("\n")
	for _, c := range practice.Cautions() {
		p("%s\n", c)
	}
	_, err := out.Write(w.Bytes())
	return err
}

// leftOut says which keys a part leaves out, if any.
func (s *sheet) leftOut(d *drill.Drill, part int) string {
	var names []string
	for _, n := range d.LeftOut(part) {
		names = append(names, s.name(n))
	}
	if names == nil {
		return ""
	}
	return fmt.Sprintf("%s leaves out what does not fit: %s", s.parts[part].Name, strings.Join(names, " "))
}

// moves counts the different moves from key to key that drills make.
func (s *sheet) moves(drills []*drill.Drill) int {
	var made cycle.Moves
	for _, d := range drills {
		var last drill.Statement
		for st := range d.Statements(0) {
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
	m := s.settings.Meter
	f := s.figure
	played := f.Length() - f.Pickup()
	for st := range s.drills[0].Statements(0) {
		rest := max(0, st.Length-(played+m.Bar()-1)/m.Bar()*m.Bar())
		if rest == 0 {
			return bars(played, m) + " a key"
		}
		return bars(played, m) + " a key and " + bars(rest, m) + " of rest"
	}
	return ""
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
func (s *sheet) firstKey() spelling.Name {
	for _, k := range s.orders[0].Route.Run() {
		return s.keys[k]
	}
	return s.first
}

func (s *sheet) keyName(n spelling.Name) string { return s.name(n) }

// notesIn writes the figure on a tonic by the names of its notes, with lengths
// if timed.
func (s *sheet) notesIn(tonic spelling.Name, timed bool) string {
	var b strings.Builder
	notes := s.figure.AppendNotes(nil, tonic.In(4))
	at := figure.Length(0)
	chord := map[figure.Length]string{}
	for c := range s.figure.Chords(tonic) {
		c.Root = s.policy.Name(c.Root)
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
			b.WriteString(s.policy.Name(notes[k].Name()).String())
			k++
		}
		if len(it.Degrees) == 0 {
			b.WriteByte('r')
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
func (s *sheet) heading(o say.Order) string {
	t := strings.ToUpper(o.Title[:1]) + o.Title[1:]
	if o.Order.IsValid() {
		lengths := map[int]bool{}
		for n := range o.Order.Cycles() {
			lengths[len(o.Order.Cycle(n))] = true
		}
		if len(lengths) == 1 {
			t += fmt.Sprintf(": %s of %s", plural(o.Order.Cycles(), "cycle"), plural(len(o.Order.Cycle(0)), "key"))
		} else {
			t += fmt.Sprintf(": %s", plural(o.Order.Cycles(), "cycle"))
		}
	}
	if o.Alike != "" {
		t += "; the same keys as " + o.Alike
	}
	return t + "."
}

// joins says what leads from one statement to the next, for the first part, by
// how far it sounds.
func (s *sheet) joins(d *drill.Drill) string {
	var found []int
	times := map[int]int{}
	for st := range d.Statements(0) {
		if n := st.Join.Semitones(); st.Joined {
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
	return say.Sounds(semitones)
}

// sounds says what the figure and the keys of a cycle sound like together.
func (s *sheet) sounds(o say.Order) string {
	if !o.Order.IsValid() || o.Order.Cycles() == 12 {
		return ""
	}
	set := s.figure.Composite(o.Order.Cycle(0)...)
	switch {
	case set == pitch.Aggregate:
		return "Each cycle with the figure: all twelve notes."
	case set.Name() != "":
		return fmt.Sprintf("Each cycle with the figure: %s.", set.Name())
	}
	return fmt.Sprintf("Each cycle with the figure: %d notes, %v counted from C as 0 in the first.", set.Len(), set)
}

// keyLines returns the keys of a drill by name, a line for each section or for
// twelve keys of it.
func (s *sheet) keyLines(d *drill.Drill) (lines [][]string) {
	last := -1
	for st := range d.Statements(0) {
		name := s.text(s.name(s.key(st)))
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
		width = max(width, utf8.RuneCountInString(s.text(s.name(n))))
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
	for st := range d.Statements(0) {
		if st.Section != last {
			fmt.Fprintln(w)
		}
		last = st.Section
		key := s.key(st)
		name := s.text(s.name(key))
		switch {
		case st.Held:
			fmt.Fprintf(w, "  back to %s: its first note, held\n", name)
		case st.Return:
			fmt.Fprintf(w, "  back to %s   %s\n", name, s.text(s.notesIn(key, false)))
		default:
			fmt.Fprintf(w, "  %s   %s\n", s.pad(name), s.text(s.notesIn(key, false)))
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
	d := s.drills[0]
	for p := range s.parts {
		n := 0
		for st := range d.Statements(p) {
			if p == 0 {
				rows = append(rows, []string{s.text(s.name(st.Sounding.Name()))})
			}
			t := s.text(s.name(st.Written.Name()))
			if st.Rests {
				t = "rests"
			}
			rows[n] = append(rows[n], t)
			n++
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
		head = append(head, s.text(i.Name))
	}
	fmt.Fprint(w, "\nWhat each part reads:\n\n")
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
	if keys := s.doubles(s.keys); len(keys) > 0 && !s.easy {
		t := fmt.Sprintf("Double sharps or flats in %s: -easy respells them", strings.Join(keys, " "))
		for scale, names := range figure.CommonScales() {
			if s.options.scale == "" && s.figure.Scale() == figure.Major && s.fits(scale) && len(s.doubles(scale.Tonics())) == 0 {
				t += fmt.Sprintf("; -scale \"%s\" names the keys so that there are none", names[0])
				break
			}
		}
		hints = append(hints, t+".")
	}
	for _, e := range s.figure.In(0) {
		if i := interval.Interval(e.Note); i.Class() == 0 && i.Steps()%7 != 0 {
			hints = append(hints, "A raised 7 sounds as the tonic here: accidentals count from the major scale, and n7 is its seventh.")
			break
		}
	}
	for _, i := range s.parts {
		if i.Family == drill.Woodwind || i.Family == drill.Brass || i.Family == drill.Voice {
			for it := range s.figure.Items() {
				if len(it.Degrees) > 1 {
					return append(hints, i.Name+": one note at a time; the figure has several at once.")
				}
			}
		}
	}
	return hints
}

// doubles returns the keys in which the figure has double sharps or flats.
func (s *sheet) doubles(keys [12]spelling.Name) (in []string) {
	for _, k := range keys {
		for _, n := range s.figure.AppendNotes(nil, k.In(4)) {
			if a := n.Alteration(); a > 1 || a < -1 {
				in = append(in, s.name(k))
				break
			}
		}
	}
	return in
}

// fits reports whether a scale has all notes of the figure as they are spelled.
func (s *sheet) fits(scale figure.Scale) bool {
	for _, n := range s.figure.AppendNotes(nil, 0) {
		if !slices.ContainsFunc(slices.Collect(scale.Intervals()), func(i interval.Interval) bool { return i.Fifths() == int(n.Name()) }) {
			return false
		}
	}
	return true
}
