package practice

import (
	"cmp"
	"slices"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/pitch"
)

// What a plan takes from the log. The numbers are choices of this package.
const (
	freshDays = 28 // what was played longer ago counts once, however often
	awayDays  = 21 // after so many days the tempo goes down
	loadDays  = 14 // over which the minutes of a day are averaged
	maxGap    = 16 // days until a figure comes back, at most
)

// The past is what a plan needs to know of the log.
type past struct {
	// ever has all moves on the instrument, made has them weighed: a clean one
	// of the last freshDays twice, a failed one once, one longer ago at most
	// once in all. What is planned is added.
	ever, made cycle.Tally
	ideas      []history
	// minutes of the days of the last loadDays, whatever the instrument.
	minutes, days int
}

// A history is what the log says of one idea.
type history struct {
	tests         []test      // one of each day
	made          cycle.Tally // as in past, of the last freshDays only
	tried, failed [12][12]int // moves of the last freshDays, from and to
	keys          [12]keyHistory
	varied        map[figure.Variation]int // how often each variation was played
}

// A test is the first try of a day.
type test struct {
	date      Date
	clean, of int
	passed    bool
	tempo     int
	stage     Stage
	marked    bool // as the first try, in the log
}

// A keyHistory is what the log says of one key.
type keyHistory struct {
	last   Date
	tried  bool
	failed bool // the last time
	clean  int  // passes since then
}

func readPast(s Settings, l Log) past {
	p := past{ideas: make([]history, len(s.Ideas))}
	entries := make([]*Entry, 0, len(l.Entries))
	for i := range l.Entries {
		if e := &l.Entries[i]; e.Date < s.Date {
			entries = append(entries, e)
		}
	}
	byDate := func(a, b *Entry) int { return cmp.Compare(a.Date, b.Date) }
	if !slices.IsSortedFunc(entries, byDate) {
		slices.SortStableFunc(entries, byDate)
	}
	loadDay := Date(0)
	for _, e := range entries {
		if e.Minutes > 0 && e.Date >= s.Date-loadDays {
			if p.days == 0 || e.Date != loadDay {
				p.days++
			}
			loadDay = e.Date
			p.minutes += e.Minutes
		}
		if e.Instrument != s.Instrument.Name {
			continue
		}
		fresh := e.Date >= s.Date-freshDays
		for m, clean := range e.Moves() {
			p.ever.Add(m)
			if fresh {
				weigh(&p.made, m, clean)
			}
		}
		for n := range s.Ideas {
			if s.Ideas[n].Figure.Equal(e.Figure) {
				p.ideas[n].add(e, fresh)
			}
		}
	}
	for from := range pitch.Class(12) {
		for to := range pitch.Class(12) {
			if m := (cycle.Move{From: from, To: to}); p.made.Count(m) == 0 && p.ever.Count(m) > 0 {
				p.made.Add(m)
			}
		}
	}
	return p
}

// weigh counts a move, twice if it was clean.
func weigh(made *cycle.Tally, m cycle.Move, clean bool) {
	made.Add(m)
	if clean {
		made.Add(m)
	}
}

func (h *history) add(e *Entry, fresh bool) {
	plain := e.Variation == (figure.Variation{})
	t := test{e.Date, e.Clean, e.Played, e.passed(), e.Tempo, e.Stage, e.FirstTry}
	if !plain {
		if h.varied == nil {
			h.varied = map[figure.Variation]int{}
		}
		h.varied[e.Variation]++
	} else if n := len(h.tests); n == 0 || h.tests[n-1].date != e.Date {
		h.tests = append(h.tests, t)
	} else if t.marked && !h.tests[n-1].marked {
		h.tests[n-1] = t
	}
	if fresh {
		for m, clean := range e.Moves() {
			weigh(&h.made, m, clean)
			h.tried[m.From][m.To]++
			if !clean {
				h.failed[m.From][m.To]++
			}
		}
	}
	if !plain { // which says nothing of the figure's own keys
		return
	}
	var failed, played [12]bool
	for _, k := range e.FailedKeys {
		failed[k%12] = true
	}
	n := 0
	for _, k := range e.Route.Run() {
		if n++; n > e.Played {
			break
		}
		if played[k] {
			continue
		}
		played[k] = true
		key := &h.keys[k]
		key.tried, key.last, key.failed = true, e.Date, failed[k]
		switch {
		case failed[k]:
			key.clean = 0
		case e.passed() || len(e.FailedKeys)+len(e.FailedMoves) > 0: // else nobody knows what failed
			key.clean++
		}
	}
}

// streak is how many of the last first tries passed in a row.
func (h *history) streak() int {
	n := 0
	for i := len(h.tests) - 1; i >= 0 && h.tests[i].passed; i-- {
		n++
	}
	return n
}

// gap is how many days after the last one the figure is due: one, and twice as
// many for each first try in a row that passed.
func (h *history) gap() Date { return Date(min(1<<min(h.streak(), 10), maxGap)) }

// due returns when the figure is due again. One that was never played is due.
func (h *history) due(today Date) Date {
	if n := len(h.tests); n > 0 {
		return h.tests[n-1].date + h.gap()
	}
	return today
}

// last is the day of the last test, or long ago.
func (h *history) last() Date {
	if n := len(h.tests); n > 0 {
		return h.tests[n-1].date
	}
	return minDate - 1
}

// why says why the figure is taken today.
func (h *history) why(today Date) Reason {
	n := len(h.tests)
	if n == 0 {
		return Reason{Cause: CauseNew}
	}
	t := h.tests[n-1]
	r := Reason{Cause: CauseDue, Count: t.clean, Of: t.of, Ago: int(today - t.date), Gap: int(h.gap())}
	if due := h.due(today); due > today {
		r.Cause, r.Gap, r.Due = CauseEarly, 0, due
	}
	return r
}

// tempo advises one, and says why.
func (h *history) tempo(today Date, stage Stage, idea Idea) (int, Reason) {
	n := len(h.tests)
	if n == 0 {
		return idea.Tempo, Reason{Cause: CauseBegin}
	}
	last := h.tests[n-1]
	advise := func(cause Cause, tempo int) (int, Reason) {
		r := Reason{Cause: cause, Count: last.clean, Of: last.of, Tempo: last.tempo, By: tempo - last.tempo}
		if cause == CauseAway {
			r.Ago = int(today - last.date)
		}
		return tempo, r
	}
	// A tenth slower, but of that no slower than half of where it began.
	least := min(max(drill.MinTempo, idea.Tempo/2), last.tempo)
	slower := min(max(last.tempo*9/10, least), idea.Goal)
	switch {
	case today-last.date > awayDays:
		return advise(CauseAway, slower)
	case stage > last.stage:
		return advise(CauseNewStage, slower)
	case last.clean*3 < last.of*2:
		return advise(CauseMissed, slower)
	case last.tempo > idea.Goal:
		return advise(CauseGoal, idea.Goal)
	case !last.passed:
		return advise(CauseSame, last.tempo)
	case last.tempo == idea.Goal:
		return advise(CauseGoal, last.tempo)
	case n > 1 && h.tests[n-2].passed && h.tests[n-2].tempo >= last.tempo:
		return advise(CauseFaster, min(last.tempo+max(last.tempo/20, 2), idea.Goal))
	}
	return advise(CauseOnceMore, last.tempo)
}

// weak returns the moves that failed at least every fourth time, the weakest
// first, of several as weak those made least.
func (h *history) weak(made cycle.Tally) []cycle.Move {
	var weak []cycle.Move
	for from := range h.tried {
		for to, tried := range h.tried[from] {
			if f := h.failed[from][to]; f > 0 && f*4 >= tried {
				weak = append(weak, cycle.Move{From: pitch.Class(from), To: pitch.Class(to)})
			}
		}
	}
	slices.SortStableFunc(weak, func(a, b cycle.Move) int {
		// The shares of failures, compared as fractions.
		c := cmp.Compare(h.failed[b.From][b.To]*h.tried[a.From][a.To], h.failed[a.From][a.To]*h.tried[b.From][b.To])
		if c == 0 {
			c = cmp.Compare(made.Count(a), made.Count(b))
		}
		return c
	})
	return weak
}
