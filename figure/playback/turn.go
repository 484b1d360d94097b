package playback

import (
	"iter"
	"sort"
	"time"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
)

// Who says whose a turn is. Its text is count, you, model, both, rest or free.
type Who uint8

// Whose turn it is.
const (
	WhoCount Who = iota // nobody's yet: the count-in, up to the first note
	WhoYou              // the player's, alone with the click
	WhoModel            // the model's; the player listens
	WhoBoth             // the player's, with the model
	WhoRest             // nobody's: a rest, and time to hear the next key
	WhoFree             // the player's own, in the key of the statement
)

// A Turn is a stretch of a line that is somebody's. Turns fill the line, and
// every note and click lies in one of them.
type Turn struct {
	Index     int  `json:"index"`     // from 0
	Drill     int  `json:"drill"`     // from 0
	Statement int  `json:"statement"` // of the drill, from 0: the one it belongs to, −1 in a count-in
	Next      int  `json:"next"`      // the turn that brings the next statement, −1 if none comes
	Who       Who  `json:"who"`
	Begin     Time `json:"begin"` // of its first note or rest, the pickup included
	End       Time `json:"end"`   // the Begin of the turn after it, or the line's end
}

// A place is a turn as a span keeps it: it ends where the next one begins.
type place struct {
	begin     Time
	statement int32 // −1 in a count-in
	who       Who
}

// layTurns works out the turns of a span, which may be the last of its line. It
// reports whether each statement has room for what follows it.
func (s *span) layTurns(last bool) (room bool) {
	room, s.quiet = true, s.end
	s.firsts = make([]int32, 0, s.drill.Len())
	var turn place
	add := func(who Who, begin Time) {
		if n := len(s.turns); n > 0 && s.turns[n-1].begin == begin {
			s.turns = s.turns[:n-1] // it takes no time
		}
		turn.begin, turn.who = begin, who
		s.turns = append(s.turns, turn)
	}
	turn.statement = -1
	add(WhoCount, s.begin)
	next, _ := s.parts[0].Statement(0)
	for n := range s.drill.Len() {
		st := next
		begin, until, limit := s.beginOf(&st), s.end, s.drill.Length()
		if n+1 < s.drill.Len() {
			next, _ = s.parts[0].Statement(n + 1)
			until, limit = s.beginOf(&next), next.Begin()
		}
		turn.statement = int32(n)
		end := min(s.endOf(&st), until)
		answer := s.answerOf(&st)
		again := begin + TimeOf(answer)
		enough := limit-st.End() >= answer
		switch {
		case s.mode == ModeAnswer && enough:
			add(WhoYou, begin)
		case s.mode == ModeCall && enough:
			add(WhoModel, begin)
		case s.mode == ModeAnswer || s.mode == ModeClick:
			add(WhoYou, begin)
		default:
			add(WhoBoth, begin)
		}
		s.firsts = append(s.firsts, int32(len(s.turns)-1))
		if s.answered() && enough {
			add(WhoRest, min(end, again))
			if s.mode == ModeAnswer {
				add(WhoModel, again)
			} else {
				add(WhoYou, again)
			}
			end = min(end+TimeOf(answer), until)
		}
		room = room && (enough || st.Held || !s.answered())
		if from := s.freeOf(&st); s.free > 0 && from+s.free <= limit && (enough || !s.answered()) {
			add(WhoRest, end)
			add(WhoFree, max(end, s.swung(from, figure.Eighth)))
			end = min(s.swung(from+s.free, figure.Eighth), until)
		} else {
			room = room && (s.free == 0 || st.Held)
		}
		switch {
		case end == until:
		case last && n+1 == s.drill.Len():
			s.quiet = end
		default:
			add(WhoRest, end)
		}
	}
	return room
}

// answered reports whether statements are heard, or played, once more.
func (s *span) answered() bool { return s.mode == ModeAnswer || s.mode == ModeCall }

// answerOf returns the time from a statement to where it is heard, or played,
// once more.
func (s *span) answerOf(st *drill.Statement) figure.Length {
	if st.Held {
		return s.barLength
	}
	return s.shift
}

// freeOf returns when the free turn after a statement begins: at the end of the
// bars, counted from its downbeat, in which it is played and answered.
func (s *span) freeOf(st *drill.Statement) figure.Length {
	from := st.Onset + roundUp(st.End()-st.Onset, s.barLength)
	if s.answered() {
		from += s.answerOf(st)
	}
	return from
}

// beginOf returns the time at which a statement begins.
func (s *span) beginOf(st *drill.Statement) Time {
	if st.Held {
		return s.swung(st.Begin(), figure.Quarter)
	}
	return s.swung(st.Begin(), s.first)
}

// endOf returns the time at which a statement ends and its rest begins, if that
// is not cut short.
func (s *span) endOf(st *drill.Statement) Time { return s.swung(st.End(), figure.Eighth) }

// turnOf returns turn k of span n.
func (l *Line) turnOf(n, k int) Turn {
	s := &l.spans[n]
	p := &s.turns[k]
	return Turn{s.turn + k, n, int(p.statement), l.next(n, int(p.statement)), p.who, p.begin, s.endOfTurn(k)}
}

// endOfTurn returns when turn k of the span ends.
func (s *span) endOfTurn(k int) Time {
	if k+1 < len(s.turns) {
		return s.turns[k+1].begin
	}
	return s.end
}

// next returns the turn that brings the statement after one of span n, or −1.
func (l *Line) next(n, statement int) int {
	s := &l.spans[n]
	if statement+1 < len(s.firsts) {
		return s.turn + int(s.firsts[statement+1])
	}
	if n+1 < len(l.spans) {
		after := &l.spans[n+1]
		return after.turn + int(after.firsts[0])
	}
	return -1
}

// Turns yields the turns of the line, from one on: all of them from 0. It can be
// run again and again and allocates nothing for each turn.
func (l *Line) Turns(from int) iter.Seq[Turn] {
	return func(yield func(Turn) bool) {
		for n := range l.spans {
			s := &l.spans[n]
			t := Turn{Drill: n, Statement: -2}
			for k := max(0, from-s.turn); k < len(s.turns); k++ {
				p := &s.turns[k]
				if t.Statement != int(p.statement) {
					t.Statement = int(p.statement)
					t.Next = l.next(n, t.Statement)
				}
				t.Index, t.Who, t.Begin, t.End = s.turn+k, p.who, p.begin, s.endOfTurn(k)
				if !yield(t) {
					return
				}
			}
		}
	}
}

// Turn returns a turn by its index; ok is false for one that the line has not.
func (l *Line) Turn(index int) (t Turn, ok bool) {
	n := sort.Search(len(l.spans), func(n int) bool { return index < l.spans[n].turn+len(l.spans[n].turns) })
	if index < 0 || n == len(l.spans) {
		return Turn{}, false
	}
	return l.turnOf(n, index-l.spans[n].turn), true
}

// TurnAt returns the turn that there is at a time after the beginning of the
// line; ok is false outside the line.
func (l *Line) TurnAt(d time.Duration) (t Turn, ok bool) {
	if d < 0 || d >= l.Duration() {
		return Turn{}, false
	}
	n := sort.Search(len(l.spans)-1, func(n int) bool { return l.At(l.spans[n+1].begin) > d })
	s := &l.spans[n]
	k := sort.Search(len(s.turns)-1, func(k int) bool { return l.At(s.turns[k+1].begin) > d })
	return l.turnOf(n, k), true
}

// Statement returns the statement that a turn of the line belongs to, as a part
// plays it; ok is false in a count-in. The part may be that of any drill of the
// line.
func (l *Line) Statement(t Turn, p drill.Part) (s drill.Statement, ok bool) {
	if t.Drill < 0 || t.Drill >= len(l.spans) {
		return drill.Statement{}, false
	}
	parts := l.spans[t.Drill].parts
	if p.Index() >= len(parts) {
		return drill.Statement{}, false
	}
	return parts[p.Index()].Statement(t.Statement)
}
