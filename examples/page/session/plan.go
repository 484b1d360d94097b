package session

import (
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.com/keyorder/cycle"
	"example.com/keyorder/cycle/diagram"
	"example.com/keyorder/examples/internal/say"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/notation"
	"example.com/keyorder/figure/notation/staff"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/pitch"
	"example.com/keyorder/spelling"
)

// A Plan is what a page shows and plays. All times are in seconds from the
// beginning of the first count-in. Its JSON has beside these fields the lists
// clicks, each [time, 1 if accented], and notes, each [time, length, key number]; Choices has the
// frequency of each key.
type Plan struct {
	Figure     string      `json:"figure"`
	Instrument string      `json:"instrument"`
	Meter      string      `json:"meter"`
	Tempo      int         `json:"tempo"`
	Rest       string      `json:"rest"`
	Sound      string      `json:"sound"` // beside the click: click for nothing, answer or model
	Show       string      `json:"show"`  // when the answer is shown: ask or after
	Duration   float64     `json:"duration"`
	Minutes    string      `json:"minutes"`
	LeftOut    []string    `json:"left_out,omitempty"`
	Orders     []Order     `json:"orders"`
	Statements []Statement `json:"statements"`
}

// An Order is one order of the plan.
type Order struct {
	Title   string  `json:"title"`
	Alike   string  `json:"alike,omitempty"`
	Begin   float64 `json:"begin"`    // of its count-in
	CountIn float64 `json:"count_in"` // length
}

// A Statement is the figure in one key.
type Statement struct {
	Key    string  `json:"key"`  // "E♭"
	Said   string  `json:"said"` // "E flat"
	Order  int     `json:"order"`
	Cycle  int     `json:"cycle"`
	Return bool    `json:"return,omitempty"` // the first key of a cycle again
	Held   bool    `json:"held,omitempty"`   // one note only
	Move   string  `json:"move,omitempty"`   // from the last note of the one before
	Start  float64 `json:"start"`            // of the pickup, if there is one
	End    float64 `json:"end"`              // of the last note
}

// said puts a name into words for a screen reader.
func said(n spelling.Name) string {
	return strings.NewReplacer("𝄫", " double flat", "𝄪", " double sharp", "♭", " flat", "♯", " sharp").Replace(n.String())
}

// Plan returns the plan of the session.
func (s *Session) Plan() Plan {
	set := s.drills[0].Settings()
	p := Plan{
		Figure: s.figure.String(), Instrument: s.part.Name, Meter: set.Meter.String(), Tempo: set.Tempo, Rest: set.Rest.String(),
		Sound: s.line.Options().Mode.String(), Show: s.show,
		Duration: s.line.Duration().Seconds(), Minutes: say.Minutes(s.line.Duration()),
	}
	at := func(t playback.Time) float64 { return s.line.At(t).Seconds() }
	for count := range s.line.Turns(0) {
		if count.Who != playback.WhoCount {
			continue
		}
		d, o := s.drills[count.Drill], s.orders[count.Drill]
		for _, n := range d.Parts()[0].LeftOut() {
			if !slices.Contains(p.LeftOut, n.String()) {
				p.LeftOut = append(p.LeftOut, n.String())
			}
		}
		begin := count.Begin + playback.TimeOf(set.Meter.Bar()) // a bar of count-in
		p.Orders = append(p.Orders, Order{o.Title, o.Alike, at(count.Begin), at(begin) - at(count.Begin)})
		for st := range d.Parts()[0].Statements() {
			out := Statement{
				Key: st.Written.Name().String(), Said: said(st.Written.Name()), Order: count.Drill, Cycle: st.Section,
				Return: st.Return, Held: st.Held,
				Start: at(begin + playback.TimeOf(st.Begin())), End: at(begin + playback.TimeOf(st.End())),
			}
			if j, ok := st.Join(); ok {
				out.Move = say.Moved(j.Interval())
			}
			p.Statements = append(p.Statements, out)
		}
	}
	return p
}

// AppendJSON appends the plan with its clicks and notes as JSON. The long lists
// are written by hand: that takes a tenth of the time.
func (s *Session) AppendJSON(b []byte) ([]byte, error) {
	head, err := json.Marshal(s.Plan())
	if err != nil {
		return b, err
	}
	b = append(slices.Grow(b, 1<<18), head[:len(head)-1]...)
	b = append(b, `,"clicks":[`...)
	for t := range s.line.Turns(0) {
		for c := range s.line.Clicks(t) {
			b = appendSeconds(append(b, '['), s.line.At(c.Time))
			if c.Accent {
				b = append(b, ",1],"...)
			} else {
				b = append(b, ",0],"...)
			}
		}
	}
	b = append(trimComma(b), `],"notes":[`...)
	for t := range s.line.Turns(0) {
		for n := range s.line.Notes(t) {
			start := s.line.At(n.On)
			b = appendSeconds(append(b, '['), start)
			b = appendSeconds(append(b, ','), s.line.At(n.Off)-start)
			b = strconv.AppendInt(append(b, ','), int64(n.Key), 10)
			b = append(b, "],"...)
		}
	}
	return append(trimComma(b), "]}"...), nil
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
	b = append(strconv.AppendInt(b, micro/1e6, 10), '.')
	for unit := int64(1e5); unit > 0; unit /= 10 {
		b = append(b, byte('0'+micro/unit%10))
	}
	return b
}

// An Answer is what to play in a statement.
type Answer struct {
	Notes string   `json:"notes"` // "E♭ F G B♭"
	SVG   []string `json:"svg"`   // its staff, line by line
}

// Answer returns what to play in statement n.
func (s *Session) Answer(n int) (Answer, error) {
	d, n, err := s.find(n)
	if err != nil {
		return Answer{}, err
	}
	for st := range d.Parts()[0].Statements() {
		if st.Index == n {
			staves, err := s.staves(d, st)
			return Answer{notes(st), staves}, err
		}
	}
	return Answer{}, nil
}

// staves draws a statement, without the rest that follows.
func (s *Session) staves(d *drill.Drill, st drill.Statement) ([]string, error) {
	set := d.Settings()
	route, err := cycle.NewRoute(cycle.Section{Keys: []pitch.Class{st.Written.Name().Class()}})
	if err != nil {
		return nil, err
	}
	set.Route, set.Prefer, set.Rest, set.LeaveOut, set.Title = route, []spelling.Name{st.Written.Name()}, drill.NoRest, false, ""
	// With the statement's own notes for a range there is but one place for it.
	low, high := s.figure.Span()
	part := s.part
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

// Circle returns the circle of keys with the move to statement n as SVG.
func (s *Session) Circle(n int) (string, error) {
	d, at, err := s.find(n)
	if err != nil {
		return "", err
	}
	set := d.Settings()
	o := diagram.Options{Route: set.Route, Names: s.keys, Title: set.Title}
	if set.Closing == drill.ClosingOpen {
		o.Route = opened(o.Route)
	}
	section, from := -1, pitch.Class(0)
	for st := range d.Parts()[0].Statements() {
		to := st.Written.Name().Class()
		if st.Index == at {
			if st.Section == section {
				o.Move = cycle.Move{From: from, To: to}
			}
			break
		}
		section, from = st.Section, to
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

// find returns the drill that has statement n of the session, counted from 0,
// and its number there.
func (s *Session) find(n int) (*drill.Drill, int, error) {
	left := n
	for _, d := range s.drills {
		if left >= 0 && left < d.Len() {
			return d, left, nil
		}
		left -= d.Len()
	}
	return nil, 0, &Error{"", fmt.Errorf("there is no statement %d", n)}
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
