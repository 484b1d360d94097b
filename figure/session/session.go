// Package session is one practice session as text and JSON, for a screen in any
// language: settings in, a plan out, the player's say in, a report and log lines
// out.
//
// [Settings] are those of a drill and of its sound, in their own JSON, and the
// orders that are played one after another. [New] works the session out, after
// it has told what it costs; [Session.Plan] is what a screen shows and plays:
// turns and their times, keys, clicks, notes. Each statement gets a [Verdict],
// from the player or from whoever listens, which can be overruled. Meanwhile the
// tempo can change; the whole state can be kept at any moment and gone on with
// later ([Session.AppendState], [Resume]). [Session.Report] says what came of it,
// and has the lines for the practice log.
//
// Sessions are independent of each other: a program may have as many as it
// likes. A Session may be used by one goroutine at a time.
package session

import (
	"context"
	"encoding/json"
	"fmt"
	"strconv"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/internal/enum"
	"example.com/keyorder/figure/listening"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/figure/practice"
	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
)

// Settings say what is played in a session, by one player. Their JSON is that of
// a drill's settings and of playback's options:
//
//	{"drill": {"figure": "3 5 1 6", "parts": ["trumpet"], "tempo": 96},
//	 "orders": ["(0369)/(147T)/(258E)"], "playback": {"mode": "model"}}
type Settings struct {
	// Drill is what all orders have in common: its Title and Route are those of
	// the orders, and it has one part.
	Drill    drill.Settings   `json:"drill"`
	Orders   []Order          `json:"orders"` // 1 to MaxOrders
	Playback playback.Options `json:"playback"`
	// Variation is how the drill's figure is varied, if it is: what is played is
	// logged as a variation of that figure.
	Variation figure.Variation `json:"variation"`
	// Planned says of which block of a day's plan it is, if it is one.
	Planned *Planned `json:"planned,omitempty"`
}

// A Planned is a block of a [practice.Plan], as the log names it: its number, and
// the stage of the plan.
type Planned struct {
	Block int            `json:"block"`
	Stage practice.Stage `json:"stage"`
}

// MaxOrders is the greatest number of orders in a session.
const MaxOrders = 64

// An Order is a route through keys with its names. In JSON it may be the text of
// a route alone, as cycle.ParseRoute reads it, which is then its name too.
type Order struct {
	Name  string      `json:"name,omitempty"`  // short, for the log: "-M2"
	Title string      `json:"title,omitempty"` // in words: "down by whole steps"
	Route cycle.Route `json:"route"`
}

// UnmarshalJSON implements json.Unmarshaler.
func (o *Order) UnmarshalJSON(text []byte) error {
	var word string
	if json.Unmarshal(text, &word) == nil {
		route, err := cycle.ParseRoute(word)
		if err == nil {
			*o = Order{Name: word, Title: word, Route: route}
		}
		return err
	}
	type fields Order // without this method
	return json.Unmarshal(text, (*fields)(o))
}

// A Verdict is what is said of a statement that was played. Its text is unsaid,
// clean, not clean or unclear.
type Verdict uint8

// The verdicts.
const (
	VerdictUnsaid   Verdict = iota // nobody has said anything
	VerdictClean                   // all of it was right
	VerdictNotClean                // something was wrong
	VerdictUnclear                 // whoever listened could not tell: not charged, not counted as clean
)

func verdicts() []string { return []string{"unsaid", "clean", "not clean", "unclear"} }

// String returns the verdict's text.
func (v Verdict) String() string { return enum.Text(v, "Verdict", verdicts()) }

// AppendText implements encoding.TextAppender; see MarshalText.
func (v Verdict) AppendText(b []byte) ([]byte, error) {
	return enum.Append(b, v, "Verdict", verdicts())
}

// MarshalText implements encoding.TextMarshaler; see String. A value that is
// none of the constants is a *fault.ValueError.
func (v Verdict) MarshalText() ([]byte, error) { return v.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler, in any case. The error is a
// *fault.SyntaxError.
func (v *Verdict) UnmarshalText(text []byte) error { return enum.Set(v, text, "Verdict", verdicts()) }

// A Session is one drill, or several in a row, to be played and shown, and what
// was said of it so far.
type Session struct {
	settings Settings      // with the figure as it is played
	idea     figure.Figure // the figure before it was varied
	log      practice.Log  // what was practised before
	keys     [12]spelling.Name
	part     drill.Part // of the first drill
	drills   []*drill.Drill
	first    []int // of each drill, the number of its first statement; and how many there are
	line     *playback.Line
	verdicts []Verdict // of the statements, by the player
	heard    []Verdict // by a judge
	turns    int       // how many there are
	turn     int       // that the player has come to
	tempos   []change
}

// A change of tempo, from a turn on.
type change struct {
	Turn  int `json:"turn"`
	Beats int `json:"beats"`
}

// Cost returns what the session costs at most: the sum of its drills, count-ins
// included. It takes no more time than a walk along the routes. The error is a
// *fault.ValueError.
func (s Settings) Cost() (drill.Cost, error) {
	var total drill.Cost
	if len(s.Orders) == 0 || len(s.Orders) > MaxOrders {
		return total, &fault.ValueError{Setting: "orders", Value: strconv.Itoa(len(s.Orders)), Want: fmt.Sprintf("a session has 1 to %d orders of keys", MaxOrders)}
	}
	if n := len(s.Drill.Parts); n != 1 {
		return total, &fault.ValueError{Setting: "parts", Value: strconv.Itoa(n), Want: "a session is for one player"}
	}
	var err error
	if s.Drill.Figure, err = s.Variation.Apply(s.Drill.Figure); err != nil {
		return total, refusedVariation(s.Variation, err)
	}
	for _, o := range s.Orders {
		d := s.drill(o)
		c, err := d.Cost()
		if err != nil {
			return total, err
		}
		total.Statements += c.Statements
		total.Notes += c.Notes
		total.Duration += c.Duration
	}
	return total, nil
}

func refusedVariation(v figure.Variation, err error) error {
	return &fault.ValueError{Setting: "variation", Value: v.String(), Err: err}
}

// drill returns the settings of the drill of an order.
func (s *Settings) drill(o Order) drill.Settings {
	d := s.Drill
	d.Title, d.Route = o.Title, o.Route
	return d
}

// New works a session out. It refuses what costs more than most, a field of
// which is no limit where it is 0, before any work, and gives up with the
// context's error when that is done. The log is what was practised before. The
// error is a *fault.ValueError.
func New(ctx context.Context, set Settings, most drill.Cost, log practice.Log) (*Session, error) {
	cost, err := set.Cost()
	if err != nil {
		return nil, err
	}
	refuse := func(value, want string) error {
		return &fault.ValueError{Setting: "orders", Value: value, Want: want + "; take fewer orders, or a shorter figure or rest"}
	}
	switch {
	case most.Statements > 0 && cost.Statements > most.Statements:
		return nil, refuse(fmt.Sprintf("%d statements", cost.Statements), fmt.Sprintf("at most %d are played here", most.Statements))
	case most.Notes > 0 && cost.Notes > most.Notes:
		return nil, refuse(fmt.Sprintf("%d notes", cost.Notes), fmt.Sprintf("at most %d are played here", most.Notes))
	case most.Duration > 0 && cost.Duration > most.Duration:
		return nil, refuse(cost.Duration.String(), fmt.Sprintf("a session takes at most %v here", most.Duration))
	}
	s := &Session{settings: set, idea: set.Drill.Figure, log: log, first: []int{0}}
	if set.Drill.Figure, err = set.Variation.Apply(s.idea); err != nil {
		return nil, refusedVariation(set.Variation, err)
	}
	s.settings.Drill.Figure = set.Drill.Figure
	for _, o := range set.Orders {
		d, err := drill.Within(ctx, drill.Cost{}, set.drill(o))
		if err != nil {
			return nil, err
		}
		s.drills = append(s.drills, d)
		s.first = append(s.first, s.first[len(s.first)-1]+d.Len())
	}
	if s.line, err = playback.New(s.drills, set.Playback); err != nil {
		return nil, err
	}
	s.part = s.drills[0].Parts()[0]
	s.keys = set.Drill.Figure.Scale().Tonics(append(append([]spelling.Name(nil), set.Drill.Names...), set.Drill.Prefer...)...)
	s.verdicts, s.heard = make([]Verdict, s.Len()), make([]Verdict, s.Len())
	for range s.line.Turns(0) {
		s.turns++
	}
	return s, nil
}

// Settings returns the settings of the session, with the tempo and rest of its
// drills filled in.
func (s *Session) Settings() Settings {
	set := s.settings
	set.Drill = s.drills[0].Settings()
	set.Drill.Title, set.Drill.Route, set.Drill.Figure = "", cycle.Route{}, s.idea
	return set
}

// Played returns the figure as it is played, varied if that was asked for.
func (s *Session) Played() figure.Figure { return s.settings.Drill.Figure }

// Line returns the session as it is heard, in the tempo that it has now.
func (s *Session) Line() *playback.Line { return s.line }

// Len returns the number of statements of all drills together. Where a statement
// is asked for by a number, they count from 0 through all drills.
func (s *Session) Len() int { return s.first[len(s.first)-1] }

// statement returns the number of a turn's statement, or −1 in a count-in.
func (s *Session) statement(t playback.Turn) int {
	if t.Statement < 0 {
		return -1
	}
	return s.first[t.Drill] + t.Statement
}

// find returns a statement by its number.
func (s *Session) find(n int) (drill.Statement, error) {
	if n < 0 || n >= s.Len() {
		return drill.Statement{}, &fault.ValueError{Setting: "statement", Value: strconv.Itoa(n), Want: fmt.Sprintf("the session has statements 0 to %d", s.Len()-1)}
	}
	d := 0
	for n >= s.first[d+1] {
		d++
	}
	st, _ := s.drills[d].Parts()[0].Statement(n - s.first[d])
	return st, nil
}

func (s *Session) turnOf(turn int) (playback.Turn, error) {
	t, ok := s.line.Turn(turn)
	if !ok {
		return t, &fault.ValueError{Setting: "turn", Value: strconv.Itoa(turn), Want: "the session has no such turn"}
	}
	return t, nil
}

// Go says that the player has come to a turn: statements before it were played.
// One past the last turn is the end. It may go back as well.
func (s *Session) Go(turn int) error {
	if _, err := s.turnOf(turn); err != nil && turn != s.turns {
		return err
	}
	s.turn = turn
	return nil
}

// Turn returns the turn that the player has come to, by [Session.Go] or by what
// was said, where a session that is gone on with begins: a turn of a statement
// begins again with its first.
func (s *Session) Turn() int { return s.turn }

// Say says how the statement of a turn was played, in the place of what was said
// before; of a statement of the plan it is any turn, as Statement.Turn. The player
// has then come at least to the turn that brings the next one: see [Session.Turn].
// The error is a *fault.ValueError for a turn without a statement.
func (s *Session) Say(turn int, v Verdict) error {
	t, err := s.turnOf(turn)
	if err != nil {
		return err
	}
	if _, err := v.MarshalText(); err != nil {
		return err
	}
	n := s.statement(t)
	if n < 0 {
		return &fault.ValueError{Setting: "turn", Value: strconv.Itoa(turn), Want: "in a count-in nothing is played"}
	}
	s.verdicts[n] = v
	if v != VerdictUnsaid {
		s.reach(t)
	}
	return nil
}

// Hear takes what a judge says of a statement as its verdict, unless the player
// says something, before or after: that goes before it, and VerdictUnsaid takes
// it back. Of a statement that was not played nothing is said. The error is that
// of Say.
func (s *Session) Hear(say listening.Say) error {
	t, err := s.turnOf(say.Turn)
	if err != nil {
		return err
	}
	n := s.statement(t)
	if n < 0 {
		return &fault.ValueError{Setting: "turn", Value: strconv.Itoa(say.Turn), Want: "in a count-in nothing is played"}
	}
	switch say.Verdict {
	case listening.VerdictClean:
		s.heard[n] = VerdictClean
	case listening.VerdictNotClean:
		s.heard[n] = VerdictNotClean
	case listening.VerdictUnclear:
		s.heard[n] = VerdictUnclear
	default:
		s.heard[n] = VerdictUnsaid
		return nil
	}
	s.reach(t)
	return nil
}

// reach says that a statement of a turn was played.
func (s *Session) reach(t playback.Turn) {
	next := t.Next
	if next < 0 {
		next = s.turns
	}
	s.turn = max(s.turn, next)
}

// verdict returns what was said of a statement, by the player or else by a judge.
func (s *Session) verdict(n int) Verdict {
	if v := s.verdicts[n]; v != VerdictUnsaid {
		return v
	}
	return s.heard[n]
}

// saidOf returns what was said of the statements from one to before another.
func (s *Session) saidOf(from, to int) []Verdict {
	all := make([]Verdict, 0, to-from)
	for n := from; n < to; n++ {
		all = append(all, s.verdict(n))
	}
	return all
}

// SetTempo has the session go on, from a turn, in another tempo, in beats a
// minute as the meter counts them. What was played keeps its own. The error is a
// *fault.ValueError.
func (s *Session) SetTempo(turn, beats int) error {
	t, err := s.turnOf(turn)
	if err != nil {
		return err
	}
	line, err := s.line.InTempo(t.Begin, beats)
	if err != nil {
		return err
	}
	s.line = line
	for n, c := range s.tempos {
		if c.Turn >= turn {
			s.tempos = s.tempos[:n]
			break
		}
	}
	s.tempos = append(s.tempos, change{turn, beats})
	return nil
}

// played returns how many statements were played: those before the turn that the
// player has come to, and those of which something was said.
func (s *Session) played() int {
	n := s.Len() // at the end
	if t, ok := s.line.Turn(s.turn); ok {
		if n = s.first[t.Drill]; t.Statement >= 0 {
			n += t.Statement
		}
	}
	for k := range s.verdicts {
		if s.verdict(k) != VerdictUnsaid {
			n = max(n, k+1)
		}
	}
	return n
}

// A state is a session as it is kept.
type state struct {
	Version  int       `json:"version"`
	Settings Settings  `json:"settings"`
	Turn     int       `json:"turn"`
	Verdicts []Verdict `json:"verdicts,omitempty"` // up to the last that was said
	Heard    []Verdict `json:"heard,omitempty"`    // by a judge, the same
	Tempos   []change  `json:"tempos,omitempty"`
}

// stateVersion is that of the newest states that are read. A session that is varied
// or planned is written as 2, which no older program takes for another; others as 1.
const stateVersion = 2

// AppendState appends the session as JSON, to be kept and gone on with: its
// settings, the turn that it has come to, what was said, and the tempos. The log
// is kept by whoever has it.
func (s *Session) AppendState(dst []byte) ([]byte, error) {
	st := state{Version: 1, Settings: s.Settings(), Turn: s.turn, Verdicts: upToLast(s.verdicts), Heard: upToLast(s.heard), Tempos: s.tempos}
	if s.settings.Variation != (figure.Variation{}) || s.settings.Planned != nil {
		st.Version = stateVersion
	}
	text, err := json.Marshal(st)
	if err != nil {
		return dst, err
	}
	return append(dst, text...), nil
}

// upToLast returns the verdicts up to the last that was said.
func upToLast(v []Verdict) []Verdict {
	n := len(v)
	for n > 0 && v[n-1] == VerdictUnsaid {
		n--
	}
	return v[:n]
}

// Resume returns the session that AppendState has written, as it was, if it
// costs no more than most. The error is a *fault.SyntaxError where the state is
// none, or a *fault.ValueError.
func Resume(ctx context.Context, text []byte, most drill.Cost, log practice.Log) (*Session, error) {
	var st state
	if err := json.Unmarshal(text, &st); err != nil {
		return nil, &fault.SyntaxError{What: "session", Input: string(text), Want: "it is a session as it was kept: " + err.Error()}
	}
	if st.Version < 1 || st.Version > stateVersion {
		return nil, &fault.ValueError{Setting: "version", Value: strconv.Itoa(st.Version), Want: fmt.Sprintf("a kept session of version 1 to %d is read here", stateVersion)}
	}
	s, err := New(ctx, st.Settings, most, log)
	if err != nil {
		return nil, err
	}
	if n := max(len(st.Verdicts), len(st.Heard)); n > s.Len() {
		return nil, &fault.ValueError{Setting: "verdicts", Value: strconv.Itoa(n), Want: fmt.Sprintf("the session has %d statements", s.Len())}
	}
	copy(s.verdicts, st.Verdicts)
	copy(s.heard, st.Heard)
	for _, c := range st.Tempos {
		if err := s.SetTempo(c.Turn, c.Beats); err != nil {
			return nil, err
		}
	}
	return s, s.Go(st.Turn)
}

// classOf returns the key of a statement as the player reads it.
func classOf(st drill.Statement) pitch.Class { return st.Written.Name().Class() }
