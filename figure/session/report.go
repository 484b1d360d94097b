package session

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/practice"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
)

// A Report is what came of a session.
type Report struct {
	// Log has the lines for the practice log: an entry for each order and tempo,
	// of the statements of which something was said.
	Log string `json:"log"`
	// Keys names the rows and columns of the table. A row is the key that a
	// move leaves, a column the one that it reaches.
	Keys  [12]string   `json:"keys"`
	Said  [12]string   `json:"said"` // the same in words: "E flat"
	Table [12][12]Cell `json:"table"`
	// Moves were made in this session, Clean of them clean at least once, as Log
	// has it: with the key before judged too. Made of the 132 were ever clean, this
	// session and the log together.
	Moves int `json:"moves"`
	Clean int `json:"clean"`
	Made  int `json:"made"`
	// Freshest is the one of the eleven orders that fills most gaps, as the
	// interval that it adds: "-M2". It fills so many.
	Freshest string `json:"freshest"`
	Fills    int    `json:"fills"`
	Problem  string `json:"problem,omitempty"` // what of the log does not count
}

// A Cell is how a move stands.
type Cell struct {
	Ever string `json:"ever"` // clean, not clean, played or empty
	Now  string `json:"now"`  // the same, of this session
}

// Report returns what came of the session so far, on a day, after so much time
// of playing; 0 is a time that is not known. The minutes of the entries together are
// those of what was judged, rounded, so that an entry may have none. The error is that
// of a log entry.
func (s *Session) Report(date practice.Date, took time.Duration) (Report, error) {
	r := Report{Problem: problem(s.log, date)}
	played := s.played()
	var log bytes.Buffer
	var l practice.Log
	var moves cycle.Tally
	counted := 0 // statements of the entries so far
	minutes := func() int { return int(math.Round(took.Minutes() * float64(counted) / float64(played))) }
	for n, d := range s.drills {
		verdicts := s.saidOf(s.first[n], s.first[n+1])
		verdicts = verdicts[:min(len(verdicts), max(0, played-s.first[n]))]
		count(d, len(verdicts), &moves)
		for _, e := range s.entries(n, verdicts) {
			e.Date = date
			before := minutes()
			counted += e.Played
			e.Minutes = min(minutes()-before, practice.MaxMinutes)
			e.FirstTry = log.Len() == 0 && s.firstTry(date)
			if err := practice.AppendEntry(&log, e); err != nil {
				return r, err
			}
			l.Entries = append(l.Entries, e)
		}
	}
	r.Log = log.String()
	s.fill(&r, l, moves)
	return r, nil
}

// problem says what of a log does not count, to whoever lives on the day now.
func problem(l practice.Log, now practice.Date) string {
	var all []string
	switch {
	case l.Bad == 1:
		all = append(all, fmt.Sprintf("Of what was saved, one line is not read: %v.", l.Problems[0]))
	case l.Bad > 1:
		all = append(all, fmt.Sprintf("Of what was saved, %d lines are not read: %v.", l.Bad, l.Problems[0]))
	}
	if l.Torn != nil {
		all = append(all, fmt.Sprintf("What was saved ended with the beginning of a line, %.40q, which is not read.", l.Torn))
	}
	switch {
	case l.Older == 1:
		all = append(all, "Of what was saved, the oldest entry does not count.")
	case l.Older > 1:
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

// count counts the moves between the statements of a drill of which so many were
// played.
func count(d *drill.Drill, played int, moves *cycle.Tally) {
	section, from := -1, pitch.Class(0)
	for st := range d.Parts()[0].Statements() {
		if st.Index >= played {
			return
		}
		to := classOf(st)
		if st.Section == section {
			moves.Add(cycle.Move{From: from, To: to})
		}
		section, from = st.Section, to
	}
}

// firstTry reports whether the log has nothing of the figure on that day. A variation
// is no try at the figure.
func (s *Session) firstTry(date practice.Date) bool {
	if s.settings.Variation != (figure.Variation{}) {
		return false
	}
	for _, e := range s.log.Entries {
		if e.Date == date && e.Instrument == s.part.Instrument().Name && e.Figure.Equal(s.idea) {
			return false
		}
	}
	return true
}

// entries returns the log entries of a drill, of which so much was played: one
// for each tempo that it was played in, if anything was said of it.
func (s *Session) entries(n int, verdicts []Verdict) (all []practice.Entry) {
	var tempos []int // of the statements
	for t := range s.line.Turns(0) {
		if t.Drill == n && t.Statement == len(tempos) {
			tempos = append(tempos, s.line.Tempo(t.Begin))
		}
	}
	for from := 0; from < len(verdicts); {
		to := from + 1
		for to < len(tempos) && tempos[to] == tempos[from] {
			to++
		}
		if e, ok := s.entry(n, verdicts, from, to); ok {
			e.Tempo = tempos[from]
			all = append(all, e)
		}
		from = to
	}
	return all
}

// entry returns the log entry of the statements of a drill from one to before
// another, of which those with verdicts were played. It has the whole of their
// keys if all that was played was judged; else those that were, for of the others
// nothing is known. There is none if none was judged.
func (s *Session) entry(n int, verdicts []Verdict, first, end int) (practice.Entry, bool) {
	set := s.drills[n].Settings()
	e := practice.Entry{
		Figure: s.idea, Variation: s.settings.Variation, Order: s.settings.Orders[n].Name, Instrument: s.part.Instrument().Name, Stage: stage(set.Route), Rest: set.Rest,
	}
	if p := s.settings.Planned; p != nil {
		e.Block, e.Stage = p.Block, p.Stage
	}
	judged := func(k int) bool { return verdicts[k] == VerdictClean || verdicts[k] == VerdictNotClean }
	whole := true
	for k := first; k < min(end, len(verdicts)); k++ {
		whole = whole && judged(k)
	}
	var reached [12]bool // by a clean move
	var sections []cycle.Section
	section, from, gap := -1, pitch.Class(0), true
	for st := range s.drills[n].Parts()[0].Statements() {
		if st.Index < first || st.Index >= end {
			continue
		}
		to := classOf(st)
		switch played := st.Index < len(verdicts); {
		case played && judged(st.Index):
			if e.Played == 0 {
				e.First = st.Written
			}
			e.Played++
			// Where a key between is left out, the same may come twice: no move.
			switch moved := st.Section == section && to != from; {
			case verdicts[st.Index] == VerdictClean:
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

// stage returns the stage of practice that a route belongs to: orders by one
// interval, or others.
func stage(r cycle.Route) practice.Stage {
	step := 0
	for m := range r.Moves() {
		if n := m.Semitones(); step == 0 {
			step = n
		} else if n != step {
			return practice.StageMixedRows
		}
	}
	return practice.StageConstantOrders
}

// fill fills in the table and what fills its gaps, from what the log will have of
// the session and all moves that were played in it.
func (s *Session) fill(r *Report, l practice.Log, played cycle.Tally) {
	clean, failed := l.Tally(s.part.Instrument().Name)
	ever, everFailed := s.log.Tally(s.part.Instrument().Name)
	ever.Merge(clean)
	everFailed.Merge(failed)
	for from := range 12 {
		r.Keys[from], r.Said[from] = s.keys[from].String(), said(s.keys[from])
		for to := range 12 {
			m := cycle.Move{From: pitch.Class(from), To: pitch.Class(to)}
			r.Table[from][to] = Cell{standing(m, ever, everFailed, played), standing(m, clean, failed, played)}
		}
	}
	r.Moves, r.Clean, r.Made = played.Made(), clean.Made(), ever.Made()
	first, _ := s.part.Statement(0)
	eleven := []interval.Interval{
		interval.MinorSecond, -interval.MinorSecond, interval.MajorSecond, -interval.MajorSecond, interval.MinorThird, -interval.MinorThird,
		interval.MajorThird, -interval.MajorThird, interval.PerfectFourth, -interval.PerfectFourth, interval.AugmentedFourth,
	}
	var routes []cycle.Route
	for _, step := range eleven {
		routes = append(routes, cycle.By(step).From(classOf(first)).Closed())
	}
	fresh := cycle.Freshest(ever, routes...)
	r.Freshest = eleven[fresh].String()
	after := ever
	after.AddAll(routes[fresh].Moves())
	r.Fills = after.Made() - ever.Made()
}

// standing says how a move stands.
func standing(m cycle.Move, clean, failed, played cycle.Tally) string {
	switch {
	case clean.Count(m) > 0:
		return "clean"
	case failed.Count(m) > 0:
		return "not clean"
	case played.Count(m) > 0:
		return "played"
	}
	return ""
}
