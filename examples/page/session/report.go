package session

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"strings"

	"example.com/keyorder/cycle"
	"example.com/keyorder/examples/internal/say"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/practice"
	"example.com/keyorder/pitch"
)

// What a player can say of a statement.
const (
	Clean    = 'c'
	NotClean = 'n'
	Unjudged = '-'
)

// A Played is what was played of a session.
type Played struct {
	// Says has Clean, NotClean or Unjudged for each statement that was played.
	Says    string  `json:"says"`
	Date    string  `json:"date"` // as 2025-03-02
	Seconds float64 `json:"seconds"`
}

// A Report is what came of a session.
type Report struct {
	// Log has the lines for the practice log: an entry for each order, of the
	// statements that were judged.
	Log string `json:"log"`
	// Keys names the rows and columns of the table. A row is the key that a
	// move leaves, a column the one that it reaches.
	Keys  [12]string   `json:"keys"`
	Said  [12]string   `json:"said"`
	Table [12][12]Cell `json:"table"`
	// Moves were made in this session, Clean of them clean at least once; Made
	// of the 132 were ever clean, this session and the log together.
	Moves int `json:"moves"`
	Clean int `json:"clean"`
	Made  int `json:"made"`
	// Freshest is the order of the eleven that fills most gaps: Fills moves.
	Freshest      string `json:"freshest"`
	FreshestTitle string `json:"freshest_title"`
	Fills         int    `json:"fills"`
	Problem       string `json:"problem,omitempty"` // of the log
}

// A Cell is how a move stands.
type Cell struct {
	Ever string `json:"ever"` // clean, not clean, played or empty
	Now  string `json:"now"`  // the same, of this session
}

// Report returns what came of the session. The error is an *Error.
func (s *Session) Report(p Played) (Report, error) {
	var r Report
	total := 0
	for _, d := range s.drills {
		total += d.Len()
	}
	if len(p.Says) > total {
		return r, &Error{"", fmt.Errorf("there are %d says; the session has %d statements", len(p.Says), total)}
	}
	for _, c := range []byte(p.Says) {
		if c != Clean && c != NotClean && c != Unjudged {
			return r, &Error{"", fmt.Errorf("%.60q is no list of says; it has %c, %c and %c", p.Says, Clean, NotClean, Unjudged)}
		}
	}
	date, err := practice.ParseDate(p.Date)
	if err != nil {
		return r, &Error{"", err}
	}
	r.Problem = problem(s.log, date)
	var log bytes.Buffer
	var clean, failed, unjudged cycle.Tally
	says := p.Says
	for n, d := range s.drills {
		played := says[:min(len(says), d.Len())]
		says = says[len(played):]
		count(d, played, &clean, &failed, &unjudged)
		e, ok := s.entry(n, played)
		if !ok {
			continue
		}
		e.Date = date
		if share := p.Seconds * float64(e.Played) / float64(len(p.Says)); share > 0 {
			e.Minutes = int(min(max(1, math.Round(share/60)), practice.MaxMinutes))
		}
		e.FirstTry = log.Len() == 0 && s.firstTry(date)
		if err := practice.AppendEntry(&log, e); err != nil {
			return r, &Error{"", err}
		}
	}
	r.Log = log.String()
	s.fill(&r, clean, failed, unjudged)
	return r, nil
}

// problem says what of a log does not count, to whoever lives on the day now.
func problem(l practice.Log, now practice.Date) string {
	var all []string
	if l.Bad > 0 {
		all = append(all, fmt.Sprintf("Of what was saved, %d lines are not read: %v.", l.Bad, l.Problems[0]))
	}
	if l.Torn != nil {
		all = append(all, fmt.Sprintf("What was saved ended with the beginning of a line, %.40q, which is not read.", l.Torn))
	}
	if l.Older > 0 {
		all = append(all, fmt.Sprintf("Of what was saved, the oldest %d entries do not count.", l.Older))
	}
	for _, e := range l.Entries {
		if e.Date > now {
			all = append(all, fmt.Sprintf("What was saved has entries of the future, one of %v.", e.Date))
			break
		}
	}
	return strings.Join(all, " ")
}

// Keep returns a log with the lines of a session: in the place of the lines that
// it had, if the log has those, and else at the end, after the end of a line.
func Keep(log, had, lines string) string {
	if at := strings.LastIndex(log, had); had != "" && at >= 0 {
		return log[:at] + lines + log[at+len(had):]
	}
	if lines != "" && log != "" && !strings.HasSuffix(log, "\n") && !strings.HasSuffix(log, "\r") {
		log += "\n"
	}
	return log + lines
}

// count counts the moves that were played of a drill, by what was said of the
// statement that each led to.
func count(d *drill.Drill, says string, clean, failed, unjudged *cycle.Tally) {
	into := map[byte]*cycle.Tally{Clean: clean, NotClean: failed, Unjudged: unjudged}
	section, from := -1, pitch.Class(0)
	for st := range d.Parts()[0].Statements() {
		if st.Index >= len(says) {
			return
		}
		to := st.Written.Name().Class()
		if st.Section == section {
			into[says[st.Index]].Add(cycle.Move{From: from, To: to})
		}
		section, from = st.Section, to
	}
}

// firstTry reports whether the log has nothing of the figure on that day.
func (s *Session) firstTry(date practice.Date) bool {
	for _, e := range s.log.Entries {
		if e.Date == date && e.Instrument == s.part.Name && e.Figure.Equal(s.figure) {
			return false
		}
	}
	return true
}

// entry returns the log entry of a drill, of which so much was played. It has
// the whole route if all that was played was judged; else the statements that
// were, for of the others nothing is known. There is none if none was judged.
func (s *Session) entry(n int, says string) (practice.Entry, bool) {
	d := s.drills[n]
	set := d.Settings()
	e := practice.Entry{
		Figure: s.figure, Order: s.orders[n].Text, Instrument: s.part.Name, Stage: stage(s.orders[n].Order), Tempo: set.Tempo, Rest: set.Rest,
	}
	whole := true
	for _, c := range []byte(says) {
		whole = whole && c != Unjudged
	}
	var reached [12]bool // by a clean move
	var sections []cycle.Section
	section, from, gap := -1, pitch.Class(0), true
	for st := range d.Parts()[0].Statements() {
		to := st.Written.Name().Class()
		switch played := st.Index < len(says); {
		case played && says[st.Index] != Unjudged:
			if e.Played == 0 {
				e.First = st.Written
			}
			e.Played++
			// Where a key between is left out, the same may come twice: no move.
			switch moved := st.Section == section && to != from; {
			case says[st.Index] == Clean:
				e.Clean++
				reached[to] = reached[to] || moved
			case moved:
				e.FailedMoves = append(e.FailedMoves, cycle.Move{From: from, To: to})
			default:
				e.FailedKeys = append(e.FailedKeys, to)
			}
		case !played && whole:
		default:
			gap, section, from = true, st.Section, to
			continue
		}
		if gap || st.Section != section {
			sections = append(sections, cycle.Section{})
		}
		last := &sections[len(sections)-1]
		if st.Return && !gap && len(last.Keys) > 1 && last.Keys[0] == to {
			last.Closed = true
		} else {
			last.Keys = append(last.Keys, to)
		}
		gap, section, from = false, st.Section, to
	}
	if e.Played == 0 {
		return e, false
	}
	// A failed key would spoil the clean move back to it as well.
	e.FailedKeys = slices.DeleteFunc(e.FailedKeys, func(k pitch.Class) bool { return reached[k] })
	route, err := cycle.NewRoute(sections...)
	e.Route = route
	return e, err == nil
}

// stage returns the stage of practice that an order belongs to.
func stage(o cycle.Order) practice.Stage {
	if len(o.Pattern()) == 1 {
		return practice.StageConstantOrders
	}
	return practice.StageMixedRows
}

// fill fills in the table and what fills its gaps.
func (s *Session) fill(r *Report, clean, failed, unjudged cycle.Tally) {
	ever, everFailed := s.log.Tally(s.part.Name)
	ever.Merge(clean)
	everFailed.Merge(failed)
	for from := range 12 {
		r.Keys[from], r.Said[from] = s.keys[from].String(), said(s.keys[from])
		for to := range 12 {
			m := cycle.Move{From: pitch.Class(from), To: pitch.Class(to)}
			r.Table[from][to] = Cell{state(m, ever, everFailed, unjudged), state(m, clean, failed, unjudged)}
		}
	}
	played := clean
	played.Merge(failed)
	played.Merge(unjudged)
	r.Moves, r.Clean, r.Made = played.Made(), clean.Made(), ever.Made()
	eleven := say.Orders11(s.first)
	routes := make([]cycle.Route, len(eleven))
	for n, o := range eleven {
		routes[n] = o.Route
	}
	fresh := eleven[cycle.Freshest(ever, routes...)]
	r.Freshest, r.FreshestTitle = fresh.Text, fresh.Title
	after := ever
	after.AddAll(fresh.Route.Moves())
	r.Fills = after.Made() - ever.Made()
}

func state(m cycle.Move, clean, failed, unjudged cycle.Tally) string {
	switch {
	case clean.Count(m) > 0:
		return "clean"
	case failed.Count(m) > 0:
		return "not clean"
	case unjudged.Count(m) > 0:
		return "played"
	}
	return ""
}
