package session

import (
	"bytes"
	"encoding/json"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.com/keyorder/cycle"
	"example.com/keyorder/cycle/diagram"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/notation"
	"example.com/keyorder/figure/notation/staff"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/pitch"
	"example.com/keyorder/spelling"
)

// A Plan is what a screen shows and plays. All times are in seconds from the
// beginning of the first count-in, in the tempos that the session has now.
// Session.AppendJSON writes beside these fields the lists clicks, each [time, 1 if
// accented], and notes, each [time, length, key number, 1 if it is a cue, layer]: 0
// is the part, 1 the bass, 2 the chords and 3 the drone of the band, so that a screen
// can give each a level of its own. What later versions add comes after these.
type Plan struct {
	Settings   Settings    `json:"settings"`
	Duration   float64     `json:"duration"`
	LeftOut    []string    `json:"left_out,omitempty"` // keys that do not fit
	Orders     []Run       `json:"orders"`
	Statements []Statement `json:"statements"`
	Turns      []Turn      `json:"turns"`
}

// A Run is one order of the plan.
type Run struct {
	Title   string  `json:"title"`
	Begin   float64 `json:"begin"`    // of its count-in
	CountIn float64 `json:"count_in"` // until the first note
}

// A Statement is the figure in one key.
type Statement struct {
	Key    string  `json:"key"`  // "E♭"
	Said   string  `json:"said"` // "E flat"
	Order  int     `json:"order"`
	Cycle  int     `json:"cycle"`
	Turn   int     `json:"turn"`             // its first
	Return bool    `json:"return,omitempty"` // the first key of a cycle again
	Held   bool    `json:"held,omitempty"`   // one note only
	Join   string  `json:"join,omitempty"`   // from the last note of the one before to its first: "-m3"
	Start  float64 `json:"start"`            // of the pickup, if there is one
	End    float64 `json:"end"`              // of the last note
	Chords []Chord `json:"chords,omitempty"` // as the player reads them
	// Verdict is what was said of it so far.
	Verdict Verdict `json:"verdict"`
	// Judged says that a judge said it and not the player.
	Judged bool `json:"judged,omitempty"`
}

// A Chord is a chord symbol of a statement, from a time on.
type Chord struct {
	At     float64 `json:"at"`
	Symbol string  `json:"symbol"` // "E♭m7"
}

// A Turn is a turn of the line with its times in seconds.
type Turn struct {
	playback.Turn
	Statement int     `json:"statement"` // through all orders, −1 in a count-in
	At        float64 `json:"at"`
	To        float64 `json:"to"`
}

var spoken = strings.NewReplacer("𝄫", " double flat", "𝄪", " double sharp", "♭", " flat", "♯", " sharp")

// said puts a name into words for a screen reader.
func said(n spelling.Name) string { return spoken.Replace(n.String()) }

// Plan returns the plan of the session.
func (s *Session) Plan() Plan {
	p := Plan{Settings: s.Settings(), Duration: s.line.Duration().Seconds(), Turns: make([]Turn, 0, s.turns), Statements: make([]Statement, 0, s.Len())}
	at := func(t playback.Time) float64 { return s.line.At(t).Seconds() }
	for n, d := range s.drills {
		p.Orders = append(p.Orders, Run{Title: s.settings.Orders[n].Title})
		for _, k := range d.Parts()[0].LeftOut() {
			if !slices.Contains(p.LeftOut, k.String()) {
				p.LeftOut = append(p.LeftOut, k.String())
			}
		}
	}
	begun := -1
	for t := range s.line.Turns(0) {
		n := s.statement(t)
		p.Turns = append(p.Turns, Turn{t, n, at(t.Begin), at(t.End)})
		run := &p.Orders[t.Drill]
		if begun != t.Drill {
			begun, run.Begin = t.Drill, at(t.Begin)
		}
		if n < len(p.Statements) {
			continue
		}
		st, _ := s.line.Statement(t, s.part)
		if st.Index == 0 {
			run.CountIn = at(t.Begin) - run.Begin
		}
		out := Statement{
			Key: st.Written.Name().String(), Said: said(st.Written.Name()), Order: t.Drill, Cycle: st.Section, Turn: t.Index,
			Return: st.Return, Held: st.Held, Start: at(t.Begin), End: at(t.Begin + playback.TimeOf(st.End()-st.Begin())), Verdict: s.verdict(n), Judged: s.verdicts[n] == VerdictUnsaid && s.heard[n] != VerdictUnsaid,
		}
		if j, ok := st.Join(); ok {
			out.Join = j.Interval().String()
		}
		downbeat := t.Begin
		if !st.Held {
			downbeat += playback.TimeOf(s.settings.Drill.Figure.Pickup())
		}
		for c := range st.Chords() {
			out.Chords = append(out.Chords, Chord{at(downbeat + playback.TimeOf(c.Onset)), c.String()})
		}
		p.Statements = append(p.Statements, out)
	}
	return p
}

// AppendJSON appends the plan with its clicks and notes as JSON. The long lists
// are written by hand: that takes a tenth of the time.
func (s *Session) AppendJSON(b []byte) ([]byte, error) {
	p := s.Plan()
	turns := p.Turns
	p.Turns = nil
	head, err := json.Marshal(p)
	if err != nil {
		return b, err
	}
	b = append(slices.Grow(b, 1<<19), bytes.TrimSuffix(head, []byte(`"turns":null}`))...)
	b = append(b, `"turns":[`...)
	for _, t := range turns {
		b = appendTurn(b, t)
	}
	b = append(trimComma(b), `],"clicks":[`...)
	var clicks []playback.Click
	for t := range s.line.Turns(0) {
		clicks = s.line.AppendClicks(clicks[:0], t)
		for _, c := range clicks {
			b = appendSeconds(append(b, '['), s.line.At(c.Time))
			if c.Accent {
				b = append(b, ",1],"...)
			} else {
				b = append(b, ",0],"...)
			}
		}
	}
	b = append(trimComma(b), `],"notes":[`...)
	var notes []playback.Note
	for t := range s.line.Turns(0) {
		notes = s.line.AppendNotes(notes[:0], t)
		for _, n := range notes {
			start := s.line.At(n.On)
			b = appendSeconds(append(b, '['), start)
			b = appendSeconds(append(b, ','), s.line.At(n.Off)-start)
			b = strconv.AppendInt(append(b, ','), int64(n.Key), 10)
			cue := byte('0')
			if n.IsCue() {
				cue = '1'
			}
			b = append(b, ',', cue, ',', '0'+byte(n.Layer), ']', ',')
		}
	}
	return append(trimComma(b), "]}"...), nil
}

// appendTurn appends a turn as json.Marshal writes it, and a comma.
func appendTurn(b []byte, t Turn) []byte {
	b = strconv.AppendInt(append(b, `{"index":`...), int64(t.Index), 10)
	b = strconv.AppendInt(append(b, `,"drill":`...), int64(t.Drill), 10)
	b = strconv.AppendInt(append(b, `,"next":`...), int64(t.Next), 10)
	b = append(append(append(b, `,"who":"`...), t.Who.String()...), '"')
	b = strconv.AppendInt(append(b, `,"begin":`...), int64(t.Begin), 10)
	b = strconv.AppendInt(append(b, `,"end":`...), int64(t.End), 10)
	b = strconv.AppendInt(append(b, `,"statement":`...), int64(t.Statement), 10)
	b = strconv.AppendFloat(append(b, `,"at":`...), t.At, 'f', -1, 64)
	b = strconv.AppendFloat(append(b, `,"to":`...), t.To, 'f', -1, 64)
	return append(b, "},"...)
}

func trimComma(b []byte) []byte {
	if b[len(b)-1] == ',' {
		b = b[:len(b)-1]
	}
	return b
}

// appendSeconds appends a time in seconds, to a microsecond.
func appendSeconds(b []byte, d time.Duration) []byte {
	micro := d.Microseconds()
	digits := [...]byte{'.', 6: 0}
	for k, rest := 6, uint32(micro%1e6); k > 0; k, rest = k-1, rest/10 {
		digits[k] = byte('0' + rest%10)
	}
	return append(strconv.AppendInt(b, micro/1e6, 10), digits[:]...)
}

// An Answer is what to play in a statement.
type Answer struct {
	Notes string   `json:"notes"` // "E♭ F G B♭"
	SVG   []string `json:"svg"`   // its staff, line by line
}

// Answer returns what to play in a statement. The error is a *fault.ValueError
// for a number that no statement has.
func (s *Session) Answer(n int) (Answer, error) {
	st, err := s.find(n)
	if err != nil {
		return Answer{}, err
	}
	staves, err := s.staves(st, s.tempoOf(n))
	return Answer{notes(st), staves}, err
}

// tempoOf returns the tempo in which a statement sounds last.
func (s *Session) tempoOf(n int) int {
	tempo := s.settings.Drill.Tempo
	if len(s.tempos) == 0 {
		return tempo
	}
	for t := range s.line.Turns(0) {
		if k := s.statement(t); k > n {
			break
		} else if k == n && t.Who != playback.WhoRest {
			tempo = s.line.Tempo(t.Begin)
		}
	}
	return tempo
}

// staves draws a statement in a tempo, without the rest that follows.
func (s *Session) staves(st drill.Statement, tempo int) ([]string, error) {
	set := s.settings.Drill
	set.Tempo = tempo
	route, err := cycle.NewRoute(cycle.Section{Keys: []pitch.Class{classOf(st)}})
	if err != nil {
		return nil, err
	}
	set.Route, set.Prefer, set.Rest, set.LeaveOut = route, []spelling.Name{st.Written.Name()}, drill.NoRest, false
	set.Title, set.Reading, set.Closing = "", drill.ReadingWritten, drill.ClosingOpen
	// With the statement's own notes for a range there is but one place for it.
	low, high := set.Figure.Span()
	part := s.part.Instrument()
	part.Low, part.High = st.Written.Up(low), st.Written.Up(high)
	set.Parts = []drill.Instrument{part}
	one, err := drill.New(set)
	if err != nil {
		return nil, err
	}
	score, err := notation.New([]*drill.Drill{one}, notation.Options{})
	if err != nil {
		return nil, err
	}
	l, err := staff.New(score, score.Parts()[0], staff.Options{Paper: staff.Paper{Width: paperWidth, Height: 2 * paperWidth}})
	if err != nil {
		return nil, err
	}
	var out []string
	for system := range l.Systems() {
		var b strings.Builder
		if err := system.WriteSVG(&b); err != nil {
			return nil, err
		}
		out = append(out, b.String())
	}
	return out, nil
}

// paperWidth is how wide a staff is drawn, in millimetres: it can be read on a
// phone.
const paperWidth = 70

// Circle returns the circle of keys with the move to a statement as SVG. The
// error is a *fault.ValueError for a number that no statement has.
func (s *Session) Circle(n int) (string, error) {
	st, err := s.find(n)
	if err != nil {
		return "", err
	}
	o := diagram.Options{Names: s.keys}
	for k, d := range s.drills {
		if n >= s.first[k] {
			o.Route, o.Title = d.Settings().Route, d.Settings().Title
		}
	}
	if s.settings.Drill.Closing == drill.ClosingOpen {
		o.Route = opened(o.Route)
	}
	if before, err := s.find(n - 1); err == nil && st.Index > 0 && before.Section == st.Section {
		o.Move = cycle.Move{From: classOf(before), To: classOf(st)}
	}
	var b strings.Builder
	err = diagram.Write(&b, o)
	return b.String(), err
}

// opened returns the route with no section played back to its first key.
func opened(r cycle.Route) cycle.Route {
	var sections []cycle.Section
	for section := range r.Sections() {
		section.Closed = false
		sections = append(sections, section)
	}
	if out, err := cycle.NewRoute(sections...); err == nil {
		return out
	}
	return r
}

// notes writes the notes of a statement, those that sound together joined.
func notes(st drill.Statement) string {
	var b strings.Builder
	var onset figure.Length
	for n, e := range st.Events() {
		switch {
		case n > 0 && e.Onset == onset:
			b.WriteByte('+')
		case n > 0:
			b.WriteByte(' ')
		}
		onset = e.Onset
		b.WriteString(e.Note.Name().String())
	}
	return b.String()
}
