package practice

import (
	"cmp"
	"errors"
	"slices"
	"time"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/spelling"
)

const (
	minIdeas, maxIdeas = 2, 4 // in turn
	cleanPasses        = 3    // then the figure is left for the day
	moreTries          = 2    // for a figure whose last first try did not pass
	fewKeys            = 3
	repeats            = 3  // of each of the few keys
	weakMoves          = 6  // in a block of them
	shortBlock         = 6  // statements; no block is shorter but the first
	usual              = 15 // statements in a block of a closed order
)

// A subject is an idea with what the plan needs to know of it.
type subject struct {
	Idea
	history
	form
	left     int // passes that are left for today
	passes   int // passes that are planned
	tempoWhy Reason
}

// A form is an idea as it is, or varied, and what the plan needs to know of it.
type form struct {
	variation figure.Variation
	base      drill.Settings // all but the route
	fits      [12]bool       // the keys that fit
	lead      time.Duration  // before the first statement
	each      time.Duration  // the longest statement, rest included
}

// holds returns how many statements a time holds.
func (s *form) holds(d time.Duration) int { return int((d - setup - s.lead) / s.each) }

// block is about how long a block takes.
func (s *subject) block() time.Duration {
	return min(maxBlock, setup+s.lead+usual*s.each)
}

type planner struct {
	past
	plan     Plan
	seed     uint64
	subjects []*subject
	round    int         // as in row
	rowOf    cycle.Order // the row of that round
	weak     bool        // whether there is a block of weak moves
	number   int         // blocks so far, pauses left out
	err      error       // the first that came, which ends in no plan
}

// shuffle returns another order of the twelve keys each time.
func (p *planner) shuffle() [12]pitch.Class {
	p.seed++
	return cycle.Shuffle(p.seed).Keys()
}

func (p *planner) aside(i Idea, reason Reason, keys ...spelling.Name) {
	p.plan.Aside = append(p.plan.Aside, Aside{i, keys, reason})
}

// prepare makes a subject of every idea that fits.
func (p *planner) prepare() {
	s := p.plan.Settings
	for n, idea := range s.Ideas {
		sub := &subject{Idea: idea, history: p.ideas[n], left: cleanPasses}
		tempo, why := sub.tempo(s.Date, s.Stage, idea)
		sub.tempoWhy = why
		if sub.streak() == 0 {
			sub.left += moreTries
		}
		d, err := sub.measure(s, idea, idea.Figure, tempo)
		if err != nil {
			p.aside(idea, p.unplayable(idea, sub.base.Rest, err))
			continue
		}
		if room := min(maxBlock, s.length()); sub.holds(room) < 2 {
			p.aside(idea, Reason{Cause: CauseTooLong, Tempo: sub.base.Tempo, Time: sub.each, Room: room})
			continue
		}
		var out []spelling.Name // in the order of their classes
		for k := range pitch.Class(12) {
			for _, name := range d.Parts()[0].LeftOut() {
				if name.Class() == k {
					out = append(out, name)
				}
			}
		}
		if len(out) > 0 {
			p.aside(idea, Reason{Cause: CauseOutside, Low: s.Instrument.Low, High: s.Instrument.High}, out...)
		}
		p.subjects = append(p.subjects, sub)
	}
}

// measure makes the form of an idea of which a figure is the form, and the drill in
// all keys that fit.
func (f *form) measure(s Settings, idea Idea, fig figure.Figure, tempo int) (*drill.Drill, error) {
	rest := drill.Rest(0)
	if s.Instrument.Family == drill.FamilyBrass {
		rest = drill.Rest(max(idea.Meter.Bar(), fig.Length()+fig.Pickup()))
	}
	f.base = drill.Settings{Title: idea.Name, Figure: fig, Parts: []drill.Instrument{s.Instrument}, Meter: idea.Meter, Rest: rest, Reading: drill.ReadingWritten, Tempo: tempo}
	try := f.base
	try.Route, try.LeaveOut = cycle.Shuffle(0).Closed(), true
	d, err := drill.New(try)
	if err != nil {
		return nil, err
	}
	for st := range d.Parts()[0].Statements() {
		if st.Index == 0 {
			f.lead = d.After(st.Onset)
		}
		f.each = max(f.each, d.After(st.Length)+1) // and what rounding can take away
		f.fits[st.Written.Name().Class()] = true
	}
	return d, nil
}

// variant returns the form of a subject that was played least, where its next pass is
// to be varied and one can be played.
func (p *planner) variant(sub *subject) (form, bool) {
	if sub.passes != 1 || sub.streak() == 0 {
		return form{}, false
	}
	var best form
	found := false
	for _, v := range sub.Variations {
		if v == (figure.Variation{}) || found && sub.varied[v] >= sub.varied[best.variation] {
			continue
		}
		fig, err := v.Apply(sub.Figure) // the settings were checked
		p.keep(err)
		f := form{variation: v}
		if _, err := f.measure(p.plan.Settings, sub.Idea, fig, sub.base.Tempo); err == nil {
			best, found = f, true
		}
	}
	return best, found
}

// unplayable says why an idea is refused as a drill in all keys that fit.
func (p *planner) unplayable(idea Idea, rest drill.Rest, err error) Reason {
	var unfit *drill.FitError
	switch {
	case errors.As(err, &unfit):
		return Reason{Cause: CauseTooWide, Count: unfit.Span, Low: unfit.Instrument.Low, High: unfit.Instrument.High}
	case figure.Length(rest) > figure.MaxLength:
		return Reason{Cause: CauseRestTooLong}
	}
	return Reason{Cause: CauseTooLong}
}

// choose keeps the subjects that are taken today, those first that were due
// first.
func (p *planner) choose() {
	s := p.plan.Settings
	slices.SortStableFunc(p.subjects, func(a, b *subject) int {
		if c := cmp.Compare(a.due(s.Date), b.due(s.Date)); c != 0 {
			return c
		}
		return cmp.Compare(a.last(), b.last())
	})
	n, filled := 0, time.Duration(0)
	for ; n < min(len(p.subjects), maxIdeas); n++ {
		sub := p.subjects[n]
		if n >= minIdeas && filled >= s.length() {
			break
		}
		filled += time.Duration(sub.left) * sub.block()
	}
	p.later(p.subjects[n:])
	p.subjects = p.subjects[:n]
}

// later leaves subjects aside for another day.
func (p *planner) later(subjects []*subject) {
	for _, sub := range subjects {
		reason := sub.why(p.plan.Settings.Date)
		if reason.Cause == CauseEarly {
			reason.Cause = CauseNotDue
		} else {
			reason = Reason{Cause: CauseEnough}
		}
		p.aside(sub.Idea, reason)
	}
}

func (s *Settings) length() time.Duration { return time.Duration(s.Minutes) * time.Minute }

// fill lays out the blocks, in stretches of about the same length with a pause
// between them.
func (p *planner) fill() {
	at, end := time.Duration(0), p.plan.Settings.length()
	for left := pauses(end); left >= 0; left-- {
		from := at
		if at > 0 {
			from += pauseTime
		}
		until := from + min(maxStretch, (end-from-time.Duration(left)*pauseTime)/time.Duration(left+1)).Truncate(time.Second)
		var last *subject
		for {
			b, sub := p.next(from, until, last)
			if sub == nil {
				break
			}
			if from > at {
				p.plan.Blocks = append(p.plan.Blocks, Block{Start: at, Length: pauseTime, Pause: true, Why: Why{Length: Reason{Cause: CausePause}}})
			}
			p.number++
			b.Number = p.number
			p.plan.Blocks = append(p.plan.Blocks, b)
			at, last = b.Start+b.Length, sub
			from = at
		}
	}
}

// pauses returns how many pauses a time needs, so that no stretch between them
// is longer than maxStretch.
func pauses(all time.Duration) int {
	const one = maxStretch + pauseTime
	return int((max(all-maxStretch, 0) + one - 1) / one)
}

// rest leaves aside the subjects that got no block.
func (p *planner) rest() {
	p.later(slices.DeleteFunc(slices.Clone(p.subjects), func(s *subject) bool { return s.passes > 0 }))
}

// next returns the block of the subject that has had the fewest, if it was not
// just played and there is time; otherwise the subject is nil.
func (p *planner) next(at, end time.Duration, last *subject) (Block, *subject) {
	turn := slices.Clone(p.subjects)
	slices.SortStableFunc(turn, func(a, b *subject) int { return cmp.Compare(a.passes, b.passes) })
	for _, sub := range turn {
		if sub.left == 0 || sub == last && len(turn) > 1 {
			continue
		}
		if f, ok := p.variant(sub); ok {
			if n := f.holds(min(end-at, maxBlock)); n >= shortBlock {
				b := p.take(sub, f, n)
				b.Start = at
				return b, sub
			}
		}
		n := sub.holds(min(end-at, maxBlock))
		if least := min(shortBlock, sub.holds(maxBlock)); len(p.plan.Blocks) > 0 && n < least {
			continue
		}
		b := p.take(sub, sub.form, n)
		b.Start = at
		return b, sub
	}
	return Block{}, nil
}

// take makes a block of at most n statements of a form of a subject, and counts its
// moves as made.
func (p *planner) take(sub *subject, f form, n int) Block {
	s := p.plan.Settings
	sub.passes++
	sub.left--
	b := Block{Test: sub.passes == 1, Variation: f.variation, Drill: f.base}
	b.Why = Why{
		Figure: sub.why(s.Date), Tempo: sub.tempoWhy, Rest: Reason{Cause: CauseHear},
		Length: Reason{Cause: CausePass, Count: sub.passes, Of: cleanPasses},
	}
	if s.Instrument.Family == drill.FamilyBrass {
		b.Why.Rest = Reason{Cause: CauseBrass}
	}
	if b.Variation != (figure.Variation{}) {
		b.Why.Varied = Reason{Cause: CauseVaried, Count: sub.varied[b.Variation]}
	}
	if b.Test {
		b.Why.Length = Reason{Cause: CauseTest}
	}

	var weak []cycle.Move
	if s.Stage > StageFewKeys && !p.weak && !b.Test && b.Variation == (figure.Variation{}) {
		weak = slices.DeleteFunc(sub.history.weak(p.made), func(m cycle.Move) bool { return !f.fits[m.From] || !f.fits[m.To] })
		weak = weak[:min(len(weak), weakMoves, n/2)]
	}
	switch {
	case len(weak) > 0:
		p.weak, b.Weak = true, true
		b.Drill.Route = p.movesRoute(weak)
		b.Why.Keys = Reasons{{Cause: CauseWeak}}
	case s.Stage == StageFewKeys:
		b.Drill.Route, b.Why.Keys = p.few(sub, f, n)
	default:
		var whole bool
		b.Drill.Route, b.Order, whole = p.fresh(sub, f, n)
		b.Why.Keys = Reasons{p.freshness(b.Drill.Route)}
		if !whole {
			b.Why.Keys = append(b.Why.Keys, Reason{Cause: CauseTimeIsOver})
		}
	}
	for m := range b.Drill.Route.Moves() {
		p.ever.Add(m)
		weigh(&p.made, m, true)
		weigh(&sub.made, m, true)
	}
	cost, err := b.Drill.Cost() // all its keys fit
	p.keep(err)
	b.Length = (setup + cost.Duration + time.Second - 1).Truncate(time.Second)
	return b
}

// keep keeps the first error.
func (p *planner) keep(err error) {
	if p.err == nil {
		p.err = err
	}
}

func (p *planner) route(sections ...cycle.Section) cycle.Route {
	r, err := cycle.NewRoute(sections...)
	p.keep(err)
	return r
}

// movesRoute returns the route that makes the moves one by one.
func (p *planner) movesRoute(moves []cycle.Move) cycle.Route {
	var sections []cycle.Section
	for _, m := range moves {
		sections = append(sections, cycle.Section{Keys: []pitch.Class{m.From, m.To}})
	}
	return p.route(sections...)
}

// cut returns the first n statements of a route in keys that fit. A section
// that is not played to its end is open; a key alone, which would make no move,
// is not begun.
func (p *planner) cut(r cycle.Route, n int, fits *[12]bool) cycle.Route {
	var sections []cycle.Section
	for s := range r.Sections() {
		s.Keys = slices.DeleteFunc(s.Keys, func(k pitch.Class) bool { return !fits[k] })
		s.Closed = s.Closed && len(s.Keys) > 1
		need := len(s.Keys)
		if s.Closed {
			need++
		}
		if need > n {
			s.Keys, s.Closed = s.Keys[:min(len(s.Keys), n)], false
			if len(s.Keys) == 1 && len(sections) > 0 {
				break
			}
		}
		if len(s.Keys) > 0 {
			sections = append(sections, s)
		}
		if n -= need; n <= 0 {
			break
		}
	}
	return p.route(sections...)
}

// few returns the route of a few keys, each repeated and then once in turn: first
// those that failed, then those begun but not yet clean three times, then new
// ones, then those not played for longest; of several, those with fewer
// accidentals.
func (p *planner) few(sub *subject, f form, n int) (cycle.Route, Reasons) {
	names := f.base.Figure.Scale().Tonics()
	// The twelve names stand side by side on the line of fifths from one with six
	// flats on, so that the scale without accidentals is six places higher.
	plain := slices.Min(names[:]) + 6
	var keys []pitch.Class
	for c, ok := range f.fits {
		if ok {
			keys = append(keys, pitch.Class(c))
		}
	}
	state := func(k pitch.Class) Cause {
		switch h := sub.keys[k]; {
		case h.failed:
			return CauseKeyFailed
		case h.tried && h.clean < cleanPasses:
			return CauseKeyBegun
		case !h.tried:
			return CauseKeyNew
		}
		return CauseKeyOld
	}
	slices.SortStableFunc(keys, func(a, b pitch.Class) int {
		c := cmp.Compare(state(a), state(b))
		if c == 0 && state(a) == CauseKeyOld {
			c = cmp.Compare(sub.keys[a].last, sub.keys[b].last)
		}
		if c == 0 {
			from := func(k pitch.Class) int {
				q := int(names[k] - plain)
				return 2*max(q, -q) + min(max(q, 0), 1) // flats before sharps
			}
			c = cmp.Compare(from(a), from(b))
		}
		return c
	})
	keys = keys[:min(len(keys), fewKeys)]
	var sections []cycle.Section
	var why Reasons
	for _, k := range keys {
		sections = append(sections, cycle.Section{Keys: slices.Repeat([]pitch.Class{k}, repeats)})
		why = append(why, Reason{Cause: state(k), Key: names[k]})
	}
	if len(keys) > 1 {
		sections = append(sections, cycle.Section{Keys: keys})
	}
	return p.cut(p.route(sections...), n, &f.fits), why
}

// fresh returns the route of at most n statements that makes most of the moves
// made least, on the instrument and with the figure, its order's name, and
// whether it has all of that order's keys that fit.
func (p *planner) fresh(sub *subject, f form, n int) (r cycle.Route, order string, whole bool) {
	var routes, orders []cycle.Route
	var names []string
	add := func(r cycle.Route, name string) {
		routes, orders, names = append(routes, p.cut(r, n, &f.fits)), append(orders, r), append(names, name)
	}
	keys := p.shuffle()
	if p.plan.Settings.Stage == StageConstantOrders {
		for _, up := range p.shuffle() {
			if up == 0 {
				continue
			}
			o, name := constant(int(up))
			// Played whole, an order makes the same moves from any first key.
			from := keys[:]
			if o.Closed().Len() <= n {
				from = keys[:1]
			}
			for _, k := range from {
				add(o.From(k).Closed(), name)
			}
		}
	} else {
		row := p.row()
		for _, k := range keys {
			o := row.From(k)
			add(o.Open(), o.String())
		}
	}
	made := p.made
	made.Merge(sub.made)
	best := cycle.Freshest(made, routes...)
	whole = routes[best].Equal(p.cut(orders[best], cycle.MaxKeys, &f.fits))
	return routes[best], names[best], whole
}

// constant returns the order by an interval and its name, the narrower way.
func constant(up int) (cycle.Order, string) {
	steps := [...]interval.Interval{interval.MinorSecond, interval.MajorSecond, interval.MinorThird, interval.MajorThird, interval.PerfectFourth, interval.AugmentedFourth}
	step := steps[min(up, 12-up)-1]
	if up > 6 {
		step = -step
	}
	return cycle.By(step), step.String()
}

// row returns the all-interval order whose transpositions, its square, are
// taken until each of the 132 moves is made once more: at first the balanced row,
// then a row picked by the seed from all that there are.
func (p *planner) row() cycle.Order {
	round := cycle.MaxCount
	for from := range pitch.Class(12) {
		for up := 1; up < 12; up++ {
			round = min(round, p.ever.Count(cycle.Move{From: from, To: from.T(up)}))
		}
	}
	switch {
	case round == p.round && p.rowOf.IsValid():
		return p.rowOf
	case round == 0:
		p.rowOf = cycle.BalancedRow()
	default:
		place := 0
		for _, k := range cycle.Shuffle(p.plan.Settings.Seed + uint64(round)).Keys() {
			place = (12*place + int(k)) % cycle.AllIntervalCount
		}
		p.rowOf, _ = cycle.AllIntervalAt(place+1, 0) // there is one for every place
	}
	p.round = round
	return p.rowOf
}

// freshness says what is fresh about a route.
func (p *planner) freshness(r cycle.Route) Reason {
	moves, never, stale := 0, 0, 0
	for m := range r.Moves() {
		if m.Semitones() == 0 {
			continue
		}
		moves++
		if p.ever.Count(m) == 0 {
			never++
		} else if p.made.Count(m) < 2 {
			stale++
		}
	}
	switch {
	case never > 0:
		return Reason{Cause: CauseNeverMade, Count: never, Of: moves}
	case stale > 0:
		return Reason{Cause: CauseNotClean, Count: stale, Of: moves}
	}
	return Reason{Cause: CauseMadeLeast}
}

// wholeMinutes rounds up.
func wholeMinutes(d time.Duration) int { return int((d + time.Minute - 1) / time.Minute) }

// remark adds advice on the plan as a whole.
func (p *planner) remark() {
	s, plan := p.plan.Settings, &p.plan
	add := func(r Reason) { plan.Remarks = append(plan.Remarks, r) }
	if len(plan.Blocks) == 0 {
		add(Reason{Cause: CauseNothing})
		return
	}
	long := wholeMinutes(plan.Length())
	if room := time.Duration(s.Minutes-long) * time.Minute; slices.ContainsFunc(p.subjects, func(sub *subject) bool { return sub.block() <= room }) {
		add(Reason{Cause: CauseTimeLeft, Count: long, Of: s.Minutes})
	}
	if len(s.Ideas) == 1 {
		add(Reason{Cause: CauseOneFigure})
	}
	if p.days >= 3 && long*p.days*2 > p.minutes*3 {
		add(Reason{Cause: CauseRise, Count: long, Of: p.minutes / p.days})
	}
	ready := s.Stage < StageMixedRows
	for _, sub := range p.subjects {
		ready = ready && sub.streak() >= 3 && sub.tests[len(sub.tests)-1].stage == s.Stage
	}
	if ready {
		add(Reason{Cause: CauseReady, Stage: s.Stage + 1})
	}
}
