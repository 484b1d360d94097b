package listening

import (
	"cmp"
	"slices"
	"time"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/pitch"
)

// A due is a note as it is due.
type due struct {
	index    int // of the figure
	key      pitch.Number
	from, to time.Duration // when it may begin: a span in swing, else one time
	chord    bool          // another note begins with it
	room     time.Duration // to the onset before or the one after, whichever is farther
	own      bool          // the line sounds it, see ownDues
}

// late returns how much later than due a time is; negative if earlier.
func (d *due) late(at time.Duration) time.Duration {
	return at - max(d.from, min(at, d.to))
}

// An asked is a statement as it is due.
type asked struct {
	turn       playback.Turn
	begin, end time.Duration
	until      time.Duration // the next statement begins, or the line ends
	notes      []due
	set        pitch.Set
	shortest   time.Duration
	bar        time.Duration
	quarter    time.Duration
	clicks     []time.Duration
	own        []own
}

// An own is a note that the line itself sounds, with the statement or beside it.
type own struct {
	key      pitch.Number
	from, to time.Duration
}

// ownNotes appends what the line sounds in a turn, in the player's own turn but
// for the statement, which other parts may play too.
func ownNotes(all []own, l *playback.Line, t playback.Turn, mine bool) []own {
	for n := range l.Notes(t) {
		if mine && n.Index >= 0 {
			continue
		}
		all = append(all, own{n.Key, l.At(n.On), l.At(n.Off)})
	}
	return all
}

// A cursor goes through the statements of a part that the player plays.
type cursor struct {
	line  *playback.Line
	part  drill.Part
	turn  int    // that is looked at next
	ahead *asked // the one that comes next
}

func newCursor(l *playback.Line, p drill.Part) *cursor {
	c := &cursor{line: l, part: p}
	c.next()
	return c
}

// next returns the next statement, nil at the end.
func (c *cursor) next() *asked {
	a := c.ahead
	c.ahead = nil
	for c.ahead == nil {
		t, ok := c.line.Turn(c.turn)
		if !ok {
			break
		}
		c.turn++
		if t.Who != playback.WhoYou && t.Who != playback.WhoBoth {
			continue
		}
		if st, ok := c.line.Statement(t, c.part); ok && !st.Rests {
			if n := newAsked(c.line, t, st); len(n.notes) > 0 {
				for k := max(0, t.Index-1); k <= t.Index+1; k++ {
					if beside, ok := c.line.Turn(k); ok {
						n.own = ownNotes(n.own, c.line, beside, k == t.Index)
					}
				}
				c.ahead = n
			}
		}
	}
	if a != nil {
		if a.until = c.line.Duration() + time.Hour; c.ahead != nil {
			a.until = c.ahead.begin
		}
	}
	return a
}

func newAsked(l *playback.Line, t playback.Turn, st drill.Statement) *asked {
	d := l.Drills()[t.Drill]
	swing := l.Options().Swing > 1
	offbeat := func(at, length figure.Length) bool {
		return swing && length%figure.Eighth == 0 && at%figure.Quarter == figure.Eighth
	}
	// The turn begins with the statement, on the line's own off-beat perhaps.
	events := st.Events()
	zero := t.Begin - playback.TimeOf(st.Begin())
	first := figure.Length(figure.Quarter)
	if !st.Held {
		for it := range d.Settings().Figure.Items() {
			first = it.Length
			break
		}
	}
	if offbeat(st.Begin(), first) {
		s := l.Options().Swing
		zero -= playback.Time(float64(playback.Quarter)*s/(1+s)+0.5) - playback.Quarter/2
	}
	a := &asked{turn: t, begin: l.At(t.Begin), end: l.At(zero + playback.TimeOf(st.End()))}
	a.bar, a.quarter = d.After(d.Settings().Meter.Bar()), d.After(figure.Quarter)
	for k, e := range events {
		at := st.Onset + e.Onset
		n := due{index: e.Index, key: st.SoundingNumber(e.Note)}
		n.from = l.At(zero + playback.TimeOf(at))
		n.to = n.from
		if offbeat(at, e.Length) {
			n.to = l.At(zero + playback.TimeOf(at) + playback.Quarter/4)
		}
		n.chord = k > 0 && events[k-1].Onset == e.Onset || k+1 < len(events) && events[k+1].Onset == e.Onset
		length := e.Length
		for _, later := range events[k+1:] {
			if later.Onset > e.Onset {
				length = min(length, later.Onset-e.Onset)
				break
			}
		}
		n.room = d.After(length)
		if a.shortest == 0 || n.room < a.shortest {
			a.shortest = n.room
		}
		if k > 0 {
			n.room = max(n.room, n.from-a.notes[k-1].from)
		}
		a.notes = append(a.notes, n)
		a.set = a.set.Union(pitch.SetOf(n.key.Class()))
	}
	slices.SortStableFunc(a.notes, func(x, y due) int { return cmp.Or(cmp.Compare(x.from, y.from), cmp.Compare(x.key, y.key)) })
	for c := range l.Clicks(t) {
		a.clicks = append(a.clicks, l.At(c.Time))
	}
	return a
}

// together puts the notes that were struck together, as those of a chord are, in
// the order in which the statement has them: from the lowest up.
func (a *asked) together(heard []Note) {
	if !slices.ContainsFunc(a.notes, func(d due) bool { return d.chord }) {
		return
	}
	byKey := func(x, y Note) int { return cmp.Compare(x.Cents, y.Cents) }
	from := 0
	for n := 1; n <= len(heard); n++ {
		if n == len(heard) || heard[n].On-heard[from].On > a.shortest/4 {
			slices.SortStableFunc(heard[from:n], byKey)
			from = n
		}
	}
}

// clicked reports whether a click is due within 40 ms of a time.
func (a *asked) clicked(at time.Duration) bool {
	for _, c := range a.clicks {
		if d := at - c; d > -40*time.Millisecond && d < 40*time.Millisecond {
			return true
		}
	}
	return false
}

// tolerance returns how far from due an onset is still right.
func (a *asked) tolerance(s Strictness) time.Duration {
	t := max(60*time.Millisecond, min(a.shortest/3, 120*time.Millisecond))
	if s == StrictnessStrict {
		t /= 2
	}
	return t
}
