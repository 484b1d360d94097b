package main

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"slices"
	"strings"
	"time"

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
	Reading                             string // what the keys mean, where that matters
	Hints                               []string
	Calls                               [][]string // a row for each part, the keys that sound first
	Reader                              string     // whose staff the first one is, where that matters
	Staff                               template.HTML
	How, Cautions                       []string
	Prompts                             [][]orderPage  // by printed page
	Changes                             [][]keyChanges // by printed page
	Answers                             []answerPage
	Files                               []string
}

type orderPage struct {
	Heading, Joins, Sounds string
	Circle                 template.HTML
	Lines                  [][]string
	LeftOut                []string
	Sound                  string
	Times                  []link
}

type link struct{ Link, Text string }

type answerPage struct {
	Title   string
	Systems []template.HTML
}

// What is printed fits A4 and US Letter with margins of 15 mm.
const (
	printedWidth  = 180.0
	printedHeight = 245.0
	headHeight    = 14.0 // of the title of a page of staves
	lineHeight    = 5.5
	circleWidth   = 52.0
)

// svg collects an SVG that the library writes, which is safe to put into a page.
func svg(write func(io.Writer) error) (template.HTML, error) {
	var b strings.Builder
	err := write(&b)
	return template.HTML(b.String()), err
}

func (s *sheet) page(score *notation.Score, sounds, files []string) (*page, error) {
	p := &page{
		Title: s.Text(s.title), Degrees: s.Text(s.figure.String()), Cautions: practice.Cautions(), Files: files,
		First: s.Text(s.name(s.firstKey())), Notes: s.Text(s.notesIn(s.firstKey(), true)),
	}
	p.Scale = s.Text(fmt.Sprintf("In %v, %s, :2 for two of them. For %s.", s.figure.Scale(), s.unitText(), s.partNames()))
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
	for _, h := range s.how() {
		p.How = append(p.How, s.Text(h))
	}
	if p.Title == "" {
		p.Title = "Practice sheet"
	}
	var err error
	if p.Staff, p.Reader, err = s.firstStaff(score); err != nil {
		return nil, err
	}
	// What fits on a printed page is estimated, on the safe side.
	letters := float64(len(p.Degrees)*2 + len(p.Scale) + len(p.Notes) + len(p.Reader) + len(p.Reading) + len(strings.Join(p.Hints, "")))
	lines := letters/90 + 1.3*float64(len(p.Calls)+len(p.Hints))
	room := printedHeight - 100 - s.staffHeight - lines*lineHeight
	prompt := []orderPage{}
	for n, o := range s.orders {
		op, err := s.orderPage(n, o, sounds[n])
		if err != nil {
			return nil, err
		}
		legend := 0.0
		if n := len(slices.Collect(o.Route.Sections())); n > 1 && n <= 12 {
			legend = 6 * float64(n)
		}
		lines := 0
		for _, l := range op.Lines {
			lines += 1 + len(l)/13 // the thirteenth key may wrap
		}
		height := 35 + max(circleWidth*(100+legend)/100, 1.3*lineHeight*float64(lines))
		if height > room {
			p.Prompts, prompt, room = append(p.Prompts, prompt), nil, printedHeight
		}
		prompt = append(prompt, op)
		room -= height
	}
	p.Prompts = append(p.Prompts, prompt)
	p.Changes = s.changePages()
	if !s.promptOnly {
		for part := range s.parts {
			if err := s.addAnswers(p, score, part); err != nil {
				return nil, err
			}
		}
	}
	return p, nil
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

// how says in which way the sheet is to be played.
func (s *sheet) how() []string {
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
	how := []string{time + ".", s.ends(), s.modeText()}
	how = append(how, s.soundText()...)
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

// firstStaff draws the figure in the first key, as the first part that plays it
// reads it. Where that may not be clear it says whose the staff is, and how much
// of a long figure it shows.
func (s *sheet) firstStaff(score *notation.Score) (drawn template.HTML, reader string, err error) {
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
	l, err := staff.New(score, score.Parts()[part], staff.Options{Paper: staff.Paper{Width: printedWidth, Height: printedHeight}, Bars: min(n, most)})
	if err != nil {
		return "", "", err
	}
	for sys := range l.Systems() {
		s.staffHeight = sys.Height()
		drawn, err = svg(sys.WriteSVG)
		break
	}
	return drawn, s.Text(strings.Join(says, "; ")), err
}

func (s *sheet) orderPage(n int, o say.Order, sound string) (orderPage, error) {
	d := s.drills[n]
	op := orderPage{Heading: s.Text(s.heading(o, d)), Joins: s.Text(s.joins(d)), Sounds: s.Text(s.sounds(o, d)), Sound: sound}
	op.Lines = s.keyLines(d)
	for part := range s.parts {
		if t := s.leftOut(d, part); t != "" {
			op.LeftOut = append(op.LeftOut, s.Text(t))
		}
	}
	var err error
	op.Circle, err = svg(func(w io.Writer) error {
		return diagram.Write(w, diagram.Options{Route: s.played(d), Names: s.keys, Title: op.Heading})
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

// addAnswers adds the staves of a part, as many systems on a page as fit.
func (s *sheet) addAnswers(p *page, score *notation.Score, part int) error {
	l, err := staff.New(score, score.Parts()[part], staff.Options{Paper: staff.Paper{Width: printedWidth, Height: printedHeight - headHeight}})
	if err != nil {
		return err
	}
	title := "Answers, " + s.parts[part].Name
	room := -1.0
	for sys := range l.Systems() {
		if sys.Height() > room {
			p.Answers = append(p.Answers, answerPage{Title: s.Text(title)})
			title = "Answers, " + s.parts[part].Name + ", continued"
			room = printedHeight - headHeight
		}
		room -= sys.Height()
		text, err := svg(sys.WriteSVG)
		if err != nil {
			return err
		}
		last := &p.Answers[len(p.Answers)-1]
		last.Systems = append(last.Systems, text)
	}
	return nil
}

// writePage writes index.html.
func writePage(w io.Writer, p *page) error {
	t, err := template.New("page").Parse(pageText)
	if err != nil {
		return err
	}
	return t.Execute(w, p)
}
