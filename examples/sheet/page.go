package main

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"math"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"example.com/keyorder/cycle/diagram"
	"example.com/keyorder/examples/internal/say"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/notation"
	"example.com/keyorder/figure/notation/staff"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/figure/practice"
	"example.com/keyorder/interval"
)

//go:embed page.html
var pageText string

// A page is what index.html is made of.
type page struct {
	Title, Degrees, Scale, First, Notes string
	Large, Pupil, Score                 bool
	Reading                             string // what the keys mean, where that matters
	Hints                               []string
	Calls                               [][]string      // a row for each part, the keys that sound first
	Reader                              string          // whose staff the first one is, where that matters
	Staff, Narrow                       []template.HTML // the second on a small screen
	How, Cautions                       []string
	Beside                              bool           // how and the cautions stand beside the circle
	Prompts                             []prompt       // by printed page
	Changes                             [][]keyChanges // by printed page
	Answers                             []answerPage
	Handouts, Files                     []string
}

// A prompt is a printed page of orders, and what answers have room on it.
type prompt struct {
	Advice  bool // how and the cautions stand on it, above the orders
	Orders  []orderPage
	Compact bool
	Answers []answerPage
	Judges  judgment // of the only order, on the last page
}

// A judgment is the command that judges a take, and what is said of it.
type judgment struct {
	Text, Command string
	Room          bool // there is room for it on paper
}

type orderPage struct {
	Heading, Alike, Joins, Sounds string
	Circle                        template.HTML
	Lines                         [][]string
	LeftOut                       []string
	Sound                         string
	Times                         []link
	Judges                        judgment // of each of several orders
}

type link struct{ Link, Text string }

type answerPage struct {
	Title           string
	Systems, Narrow []template.HTML // the second on a small screen, all on the first page
	More            []answerPage    // on the same page
}

// What is printed fits A4 and US Letter with margins of 15 mm. Lengths are in
// millimetres.
const (
	printedWidth  = 180.0
	printedHeight = 243.0
	narrowWidth   = 92.0 // of a staff on the screen of a phone
	headHeight    = 9.0  // of the title of staves
	scoreGap      = 4.0  // between the systems of a score
	lineHeight    = 4.7
	smallHeight   = 4.0 // of a line of advice
	circleWidth   = 50.0
	rowHeight     = 7.0 // of a row of keys
	compactHeight = 5.6 // of one in two columns
	tempoStaff    = 9.0 // the height of the staff of the figure
)

// A pen tells whose pages are drawn: the whole class's, or those of one part.
type pen struct {
	score   *notation.Score // of all statements
	shown   *notation.Score // of what the answers show
	part    int             // of the first instrument of the sheet in the scores
	answers bool
}

// A row is a system on paper: its height, and whether a statement begins with it.
type row struct {
	height float64
	begins bool
}

// allParts stands for all parts of a score, one below the other.
const allParts = -1

// systems draws a part, or all, for paper and for a small screen.
func (s *sheet) systems(score *notation.Score, part int, o staff.Options) (wide, narrow []template.HTML, rows []row, err error) {
	o.Large = s.large
	begins := map[int]bool{}
	for b := range score.PartBars(score.Parts()[max(part, 0)]) {
		begins[b.Number] = b.Seam == notation.SeamStatements
	}
	for _, width := range []float64{printedWidth, narrowWidth} {
		o.Paper = staff.Paper{Width: width, Height: printedHeight - headHeight}
		if width == narrowWidth {
			o.Staff = 7
			if s.large {
				o.Staff = 9
			}
		}
		var l *staff.Layout
		if part != allParts {
			l, err = staff.New(score, score.Parts()[part], o)
		} else {
			if width == narrowWidth {
				o.Staff *= 5.0 / 7 // as scores and parts are on paper
			}
			l, err = staff.NewScore(score, o)
		}
		if err != nil {
			return nil, nil, nil, err
		}
		for sys := range l.Systems() {
			text, err := svg(sys.WriteSVG)
			if err != nil {
				return nil, nil, nil, err
			}
			if width == narrowWidth {
				narrow = append(narrow, text)
			} else {
				first, _ := sys.Bars()
				wide, rows = append(wide, text), append(rows, row{sys.Height(), begins[first]})
			}
		}
	}
	return wide, narrow, rows, nil
}

// svg collects an SVG that the library writes, which is safe to put into a page.
func svg(write func(io.Writer) error) (template.HTML, error) {
	var b strings.Builder
	err := write(&b)
	return template.HTML(b.String()), err
}

func (s *sheet) page(by pen, sounds, files []string) (*page, error) {
	p := &page{
		Title: s.Text(s.title), Degrees: s.Text(s.figure.String()), Cautions: practice.Cautions(), Files: files,
		First: s.Text(s.name(s.firstKey())), Notes: s.Text(s.notesIn(s.firstKey(), true)), Large: s.large,
	}
	whom := s.partNames()
	if len(s.parts) > 4 {
		whom = fmt.Sprintf("%d players", len(s.parts)) // whom the table names
	}
	p.Scale = s.Text(fmt.Sprintf("In %v, %s, :2 for two of them. For %s.", s.figure.Scale(), s.unitText(), whom))
	if len(s.parts) > 1 || s.parts[0].Sounding != interval.PerfectUnison {
		p.Reading = s.Text("The keys are " + s.reading() + ".")
	}
	if t := s.variedText(); t != "" {
		p.Hints = append(p.Hints, s.Text("The figure is varied "+t+"."))
	}
	for _, h := range s.hints() {
		p.Hints = append(p.Hints, s.Text(h))
	}
	if len(s.parts) > 1 {
		p.Calls = s.callTable()
	}
	for _, h := range s.how(slices.ContainsFunc(sounds, func(name string) bool { return name != "" })) {
		p.How = append(p.How, s.Text(h))
	}
	if p.Title == "" {
		p.Title = "Practice sheet"
	}
	height, err := s.firstStaff(p, by)
	if err != nil {
		return nil, err
	}
	var orders []orderPage
	for n, o := range s.orders {
		op, err := s.orderPage(n, o, sounds[n])
		if err != nil {
			return nil, err
		}
		orders = append(orders, op)
	}
	p.Beside = len(orders) == 1 && !s.large
	room := s.lay(p, orders, height)
	p.Changes = s.changePages()
	left := room // on the last page of prompts
	if by.answers {
		for part := range s.parts {
			if room, err = s.addAnswers(p, by, part, room); err != nil {
				return nil, err
			}
			if len(p.Answers) == 0 {
				left = room
			}
		}
	}
	if len(orders) == 1 && sounds[0] != "" {
		j := judgment{Text: s.judgedText(1), Command: s.judges(s.orders...)}
		j.Room = s.words(printedWidth, lineHeight, j.Text+" "+j.Command)+lineHeight <= left
		p.Prompts[len(p.Prompts)-1].Judges = j
	}
	return p, nil
}

// words returns how high some text is in print, in a column so wide, with lines
// so high: a letter takes less than two fifths of the height of its line.
func (s *sheet) words(width, line float64, text ...string) (height float64) {
	if s.large {
		line *= 1.5
	}
	for _, t := range text {
		if n := utf8.RuneCountInString(t); n > 0 {
			height += line * math.Ceil(float64(n)*line*0.43/width)
		}
	}
	return height
}

// lay puts the orders on printed pages, by heights that are estimated on the safe
// side, and returns how much of the last one is free.
func (s *sheet) lay(p *page, orders []orderPage, staff float64) (room float64) {
	advice := func(width float64) float64 {
		return max(s.words(width, smallHeight, p.How...), s.words(width, smallHeight, p.Cautions...)) + 6
	}
	room = printedHeight - 12 - staff - s.words(printedWidth, 9, p.Degrees) -
		s.words(printedWidth, lineHeight, p.Scale+p.Reading, p.First+p.Notes+p.Reader+"In : ; ") - s.words(printedWidth, lineHeight, p.Hints...)
	if len(p.Calls) > 0 {
		room -= 8 + float64(len(p.Calls))*s.words(printedWidth, 5, "x")
	}
	page := prompt{Compact: several(s.orders), Advice: !p.Beside}
	if page.Advice {
		height := advice(84)
		if height > room {
			p.Prompts, room = append(p.Prompts, prompt{}), printedHeight
		}
		room -= height
	}
	step := 1
	if page.Compact {
		step = 2
	}
	for from := 0; from < len(orders); from += step {
		height := 0.0
		some := orders[from:min(from+step, len(orders))]
		for _, o := range some {
			height = max(height, s.orderHeight(p, &o, page.Compact && len(some) == 2, advice))
		}
		if height > room && len(page.Orders)+len(p.Prompts) > 0 || height > room && height > printedHeight/3 {
			p.Prompts, page.Orders, page.Advice, room = append(p.Prompts, page), nil, false, printedHeight
		}
		page.Orders = append(page.Orders, some...)
		room -= height
	}
	p.Prompts = append(p.Prompts, page)
	return room
}

// orderHeight returns how high an order is in print.
func (s *sheet) orderHeight(p *page, o *orderPage, half bool, advice func(float64) float64) float64 {
	size := 1.0
	if s.large {
		size = 1.5
	}
	larger, letter := 1.0, 2.4
	key := func(name string) float64 { // the width of a key with its box
		return (4.2 + letter*float64(max(utf8.RuneCountInString(name), 2))) * larger
	}
	compact := several(s.orders)
	width, row := printedWidth-circleWidth-6, rowHeight
	if compact {
		width, row = printedWidth, compactHeight
		if half {
			width = (printedWidth - 8) / 2
		}
	} else {
		larger, letter = 1.2, 2.1
	}
	height := 0.0
	for _, line := range o.Lines {
		at, rows := 0.0, 1.0
		add := func(w float64) {
			if at += w * size; at > width {
				at, rows = w*size, rows+1
			}
		}
		for _, k := range line {
			if name, back := strings.CutPrefix(k, "back to "); back {
				add(key(name) + 13)
			} else {
				add(key(k))
			}
		}
		if !compact {
			add(49)
		}
		height += rows * row * size
	}
	height += s.words(width, lineHeight, o.LeftOut...)
	if compact {
		if !half && len(s.orders)%2 == 1 { // in two columns
			height = math.Ceil(float64(len(o.Lines))/2) * compactHeight * size
		}
		// A heading with its blanks, of which so many letters stand on a line.
		letters := float64(utf8.RuneCountInString(o.Heading)) + 13
		return height + 5.2*size*math.Ceil(letters*size/(54*width/86)) + 3
	}
	if p.Beside {
		height += advice((width - 6) / 2)
	}
	legend := 0.0
	if n := strings.Count(string(o.Circle), `font-size`) - 12; n > 0 {
		legend = 8*float64(n) + 1
	}
	return max(height, circleWidth*(100+legend)/100) + s.words(printedWidth, 5.6, o.Heading+o.Alike) + s.words(printedWidth, lineHeight, o.Joins+" "+o.Sounds) + 5
}

// callTable is the call sheet, a row for each part.
func (s *sheet) callTable() [][]string {
	rows := [][]string{{"concert"}}
	for _, i := range s.parts {
		rows = append(rows, []string{s.Text(i.Name)})
	}
	for _, key := range s.calls() {
		for n, t := range key {
			rows[n] = append(rows[n], t)
		}
	}
	return rows
}

// pages returns the number of pages when printed.
func (p *page) pages() int { return len(p.Prompts) + len(p.Changes) + len(p.Answers) }

// how says in which way the sheet is to be played, with its sound files or without.
func (s *sheet) how(sound bool) []string {
	set := s.drills[0].Settings()
	time := fmt.Sprintf("Tempo %d in %v", set.Tempo, set.Meter)
	if least, most, ok := s.silences(); ok {
		switch {
		case most == 0:
			time += ", no rest between the keys"
		case least == 0:
			time += ", between the keys " + lengthText(most, set.Meter) + " of rest at most"
		default:
			time += ", at least " + lengthText(least, set.Meter) + " of rest after each key" + s.ownText()
			if least >= set.Meter.Bar() && s.playback.Free == 0 {
				time += ", to breathe and to hear the next one"
			}
		}
	}
	how := []string{time + ".", s.ends()}
	if sound {
		how = append(append(how, s.modeText()), s.soundText()...)
	}
	if t := s.marksText(); t != "" {
		how = append(how, "Played "+t+".")
	}
	return append(how, "From memory: say the next key, hear it, then play. About three clean passes, then come back another day.")
}

// ends says how the cycles and other runs of keys end.
func (s *sheet) ends() string {
	back, others := 0, 0
	for _, d := range s.drills {
		var last drill.Statement
		for st := range d.Parts()[0].Statements() {
			if st.Index > 0 && st.Section != last.Section && !last.Return {
				others++
			}
			if last = st; st.Return {
				back++
			}
		}
		if !last.Return {
			others++
		}
	}
	what := "hold " + s.heldNote()
	if s.settings.Closing == drill.ClosingFull {
		what = "play it once more"
	}
	switch {
	case back == 0:
		return "Do not go back to a first key: each run of keys ends on its last."
	case others > 0:
		return "Where it says “back to”, go back to that key and " + what + "; the other runs of keys end on their last."
	}
	return "At the end of each cycle go back to its first key and " + what + "."
}

func bars(l figure.Length, m drill.Meter) string {
	return plural(int((l+m.Bar()-1)/m.Bar()), "bar")
}

// firstStaff draws the figure in the first key, large, as the first part that
// plays it reads it, and returns how high it is. Where that may not be clear it
// says whose the staff is, and how much of a long figure it shows.
func (s *sheet) firstStaff(p *page, by pen) (height float64, err error) {
	f := s.figure
	m := s.settings.Meter
	n := int((f.Pickup()+m.Bar()-1)/m.Bar() + (f.Length()-f.Pickup()+m.Bar()-1)/m.Bar())
	const most = 4
	part, st := 0, drill.Statement{}
	for part = range s.parts {
		if st = first(s.drills[0].Parts()[part].Statements()); !st.Rests {
			break
		}
	}
	var says []string
	if i := s.parts[part]; len(s.parts) > 1 || i.Sounding != interval.PerfectUnison {
		says = append(says, fmt.Sprintf("the staff is as the %s reads it, in %s", i.Name, s.name(st.Written.Name())))
	}
	if st.Rests {
		says = append(says, "it rests in this key")
	}
	if n > most {
		says = append(says, fmt.Sprintf("the staff shows the first %d bars", most))
	}
	p.Reader = s.Text(strings.Join(says, "; "))
	// What key it is stands above it, chords would be missed.
	o := staff.Options{Bars: min(n, most), Bare: true}
	for range f.ReadChords(0, s.policy) {
		o.Bare = false
	}
	if o.Bars < 3 && !s.large {
		o.Staff = tempoStaff
	}
	var rows []row
	p.Staff, p.Narrow, rows, err = s.systems(by.score, by.part+part, o)
	for _, r := range rows {
		height += r.height
	}
	return height + 2, err
}

func (s *sheet) orderPage(n int, o say.Order, sound string) (orderPage, error) {
	d := s.drills[n]
	heading, alike, _ := strings.Cut(s.heading(o, d), "; ")
	op := orderPage{Heading: s.Text(heading), Alike: s.Text(alike), Joins: s.Text(s.joins(d)), Sounds: s.Text(s.sounds(o, d)), Sound: sound}
	if len(s.parts) > 4 {
		op.Joins = "" // those of one player of many
	}
	op.Lines = s.keyLines(d)
	if len(s.orders) > 1 && sound != "" {
		op.Judges = judgment{Text: s.judgedText(1), Command: s.judges(o)}
	}
	for part := range s.parts {
		if t := s.leftOut(d, part); t != "" {
			op.LeftOut = append(op.LeftOut, s.Text(t))
		}
	}
	var err error
	op.Circle, err = svg(func(w io.Writer) error {
		return diagram.Write(w, diagram.Options{Route: s.played(d), Names: s.keys, Language: s.language, Title: op.Heading})
	})
	if err != nil {
		return op, err
	}
	var first []string // the first key of each section
	for st := range d.Parts()[0].Statements() {
		for len(first) <= st.Section {
			first = append(first, s.Text(s.name(s.key(st))))
		}
	}
	line, err := playback.New([]*drill.Drill{d}, s.playback)
	if err != nil {
		return op, err
	}
	section := -1
	for t := range line.Turns(0) {
		if st, ok := line.Statement(t, d.Parts()[0]); ok && st.Section != section {
			section = st.Section
			at := line.At(t.Begin)
			op.Times = append(op.Times, link{
				fmt.Sprintf("%s#t=%.2f", sound, at.Seconds()),
				fmt.Sprintf("%s from %s", clock(at), first[section]),
			})
		}
	}
	return op, nil
}

// clock writes a time as minutes and seconds.
func clock(d time.Duration) string {
	n := int(d.Seconds())
	return fmt.Sprintf("%d:%02d", n/60, n%60)
}

// addAnswers adds the staves of a part, on the page that is begun if all of them
// have room there, otherwise as many systems on a page as fit: a page does not turn
// within a statement that has room on one. It returns how much room is left.
func (s *sheet) addAnswers(p *page, by pen, part int, room float64) (float64, error) {
	wide, narrow, rows, err := s.systems(by.shown, by.part+part, staff.Options{})
	if err != nil {
		return 0, err
	}
	title := "Answers"
	if len(by.shown.Parts()) > 1 || s.named {
		title += ", " + s.parts[part].Name
	}
	if len(s.drills) > 1 && !s.full {
		title += ", each key once"
	}
	head := headHeight
	if s.large {
		head *= 1.7
	}
	total := head
	for _, r := range rows {
		total += r.height
	}
	if total <= room {
		a := answerPage{Title: s.Text(title), Systems: wide, Narrow: narrow}
		if len(p.Answers) == 0 {
			last := &p.Prompts[len(p.Prompts)-1]
			last.Answers = append(last.Answers, a)
		} else {
			last := &p.Answers[len(p.Answers)-1]
			last.More = append(last.More, a)
		}
		return room - total, nil
	}
	room = -1
	for n, r := range rows {
		need := r.height
		for k := n + 1; r.begins && k < len(rows) && !rows[k].begins; k++ {
			need += rows[k].height
		}
		if r.height > room || need > room && need <= printedHeight-head {
			p.Answers = append(p.Answers, answerPage{Title: s.Text(title)})
			if n == 0 {
				p.Answers[len(p.Answers)-1].Narrow = narrow
				title += ", continued"
			}
			room = printedHeight - head
		}
		room -= r.height
		last := &p.Answers[len(p.Answers)-1]
		last.Systems = append(last.Systems, wide[n])
	}
	return room, nil
}

// writePage writes index.html.
func writePage(w io.Writer, p *page) error {
	t, err := template.New("page").Parse(pageText)
	if err != nil {
		return err
	}
	return t.Execute(w, p)
}
