package practice

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/figuretest"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"
)

// failer is what testing.T and rapid.T have in common.
type failer interface {
	Helper()
	Fatalf(string, ...any)
}

// checkPlan holds the laws of every plan.
func checkPlan(t failer, p Plan) {
	t.Helper()
	s := p.Settings
	if p.Length() > time.Duration(s.Minutes)*time.Minute {
		t.Fatalf("%v in %d minutes", p.Length(), s.Minutes)
	}
	instrument := s.Instrument
	at, stretch, minutes := time.Duration(0), time.Duration(0), 0
	passes := map[string]int{}
	before := ""
	for n, b := range p.Blocks {
		if b.Start != at || b.Length <= 0 {
			t.Fatalf("block %d begins at %v, not %v, and takes %v", n, b.Start, at, b.Length)
		}
		at += b.Length
		if minutes += p.Entry(n).Minutes; minutes > rounded(at) {
			t.Fatalf("up to block %d the entries have %d minutes of %v", n, minutes, at)
		}
		if b.Pause {
			switch {
			case b.Length != pauseTime:
				t.Fatalf("pause %d: %+v: it lasts %v", n, b, b.Length)
			case n == 0:
				t.Fatalf("pause %d: %+v: it is the first", n, b)
			case n == len(p.Blocks)-1:
				t.Fatalf("pause %d: %+v: it is the last", n, b)
			case p.Blocks[n-1].Pause:
				t.Fatalf("pause %d: %+v: it follows another", n, b)
			case b.Why.Length.Cause != CausePause:
				t.Fatalf("pause %d: %+v: it is there for another cause", n, b)
			}
			stretch, before = 0, ""
			continue
		}
		if stretch += b.Length; stretch > maxStretch {
			t.Fatalf("%v without a pause", stretch)
		}
		d, err := drill.New(b.Drill)
		if err != nil {
			t.Fatalf("block %d: %v", n, err)
		}
		if b.Drill.LeaveOut || b.Length < setup+d.Duration() || b.Length > maxBlock {
			t.Fatalf("block %d takes %v in %v", n, d.Duration(), b.Length)
		}
		playing := figure.Length(0)
		for st := range d.Parts()[0].Statements() {
			for _, e := range st.Events() {
				if num := e.Note.Number(); num < instrument.Low.Number() || num > instrument.High.Number() {
					t.Fatalf("block %d plays %v outside %v to %v", n, e.Note, instrument.Low, instrument.High)
				}
			}
			if st.Rests {
				t.Fatalf("block %d leaves out %v", n, st.Written)
			}
			if st.Held {
				playing += b.Drill.Meter.Bar()
			} else {
				playing += b.Drill.Figure.Length()
			}
		}
		if instrument.Family == drill.FamilyBrass && 2*playing > d.Length() {
			t.Fatalf("block %d: brass plays %v of %v", n, playing, d.Length())
		}
		name := p.idea(b).Plain()
		passes[name]++
		if b.Test != (passes[name] == 1) || !b.Test && b.Why.Length.Count != passes[name] || passes[name] > cleanPasses+moreTries {
			t.Fatalf("block %d is pass %d of %q, test %v: %v", n, passes[name], name, b.Test, b.Why.Length)
		}
		switch w := b.Why; {
		case w.Figure.Cause == CauseNone:
			t.Fatalf("block %d has no reason for something: %+v: the figure", n, w)
		case len(w.Keys) == 0:
			t.Fatalf("block %d has no reason for something: %+v: the keys", n, w)
		case w.Tempo.Cause == CauseNone:
			t.Fatalf("block %d has no reason for something: %+v: the tempo", n, w)
		case w.Rest.Cause == CauseNone:
			t.Fatalf("block %d has no reason for something: %+v: the rest", n, w)
		case w.Length.Cause == CauseNone:
			t.Fatalf("block %d has no reason for something: %+v: the length", n, w)
		}
		checkWhy(t, b)
		if b.Order != "" {
			if _, err := cycle.Parse(b.Order); err != nil {
				t.Fatalf("block %d: %v", n, err)
			}
		}
		e := p.Entry(n)
		if err := e.Validate(); err != nil || e.First.Name().Class() != firstKey(b.Drill.Route) {
			t.Fatalf("block %d, entry %+v: %v", n, e, err)
		}
		if before == name && len(passesOf(p)) > 1 {
			t.Fatalf("block %d has the figure of the one before", n)
		}
		before = name
	}
	// Every half hour of the plan has the time of a pause in it. The share of a
	// half hour that is pause is least where it begins or ends with a block.
	window := 30 * time.Minute
	for _, b := range p.Blocks {
		for _, from := range []time.Duration{b.Start, b.Start + b.Length, b.Start - window, b.Start + b.Length - window} {
			if from < 0 || from+window > p.Length() {
				continue
			}
			paused := time.Duration(0)
			for _, b := range p.Blocks {
				if b.Pause {
					paused += max(0, min(b.Start+b.Length, from+window)-max(b.Start, from))
				}
			}
			if paused < pauseTime {
				t.Fatalf("from %v on, half an hour has %v of pause", from, paused)
			}
		}
	}
	if len(passesOf(p)) > maxIdeas {
		t.Fatalf("%d figures", len(passesOf(p)))
	}
	if len(p.Blocks) == 0 && (len(p.Aside) < len(s.Ideas) || len(p.Remarks) == 0) {
		t.Fatalf("no block, and no reason: %+v", p)
	}
	for _, i := range s.Ideas {
		_, planned := passesOf(p)[i.Figure.Plain()]
		whole := slices.ContainsFunc(p.Aside, func(a Aside) bool { return a.Idea.Figure.Equal(i.Figure) && a.Keys == nil })
		if planned == whole {
			t.Fatalf("%q is planned: %v, left aside: %v", i.Name, planned, whole)
		}
	}
	for _, a := range p.Aside {
		if a.Reason.Cause == CauseNone {
			t.Fatalf("%q is left aside for no reason", a.Idea.Name)
		}
	}
}

// checkWhy holds the reasons of a block against what it has.
func checkWhy(t failer, b Block) {
	t.Helper()
	w := b.Why
	within := func(r Reason, from, to Cause) bool { return r.Cause >= from && r.Cause <= to }
	switch {
	case !within(w.Figure, CauseNew, CauseEarly):
		t.Fatalf("block %d: %+v: the cause of the figure", b.Number, w)
	case !within(w.Tempo, CauseBegin, CauseOnceMore):
		t.Fatalf("block %d: %+v: the cause of the tempo", b.Number, w)
	case !within(w.Rest, CauseHear, CauseBrass):
		t.Fatalf("block %d: %+v: the cause of the rest", b.Number, w)
	case !within(w.Length, CauseTest, CausePass):
		t.Fatalf("block %d: %+v: the cause of the length", b.Number, w)
	}
	for _, r := range w.Keys {
		if !within(r, CauseKeyFailed, CauseTimeIsOver) {
			t.Fatalf("block %d: %+v", b.Number, r)
		}
	}
	by := w.Tempo.By
	if w.Tempo.Cause != CauseBegin && b.Drill.Tempo != w.Tempo.Tempo+by {
		t.Fatalf("block %d has tempo %d: %+v", b.Number, b.Drill.Tempo, w.Tempo)
	}
	if ok := map[Cause]bool{
		CauseBegin: by == 0, CauseAway: by <= 0, CauseNewStage: by <= 0, CauseMissed: by <= 0, CauseSame: by == 0,
		CauseGoal: by <= 0, CauseFaster: by > 0, CauseOnceMore: by == 0,
	}; !ok[w.Tempo.Cause] {
		t.Fatalf("block %d: %+v", b.Number, w.Tempo)
	}
	if w.Figure.Cause == CauseDue && w.Figure.Ago < w.Figure.Gap {
		t.Fatalf("block %d: %+v", b.Number, w.Figure)
	}
}

func firstKey(r cycle.Route) pitch.Class {
	for _, k := range r.Run() {
		return k
	}
	return 255
}

func passesOf(p Plan) map[string]int {
	of := map[string]int{}
	for _, b := range p.Blocks {
		if !b.Pause {
			of[p.idea(b).Plain()]++
		}
	}
	return of
}

func figureTexts() []string {
	return []string{
		"1 3 2 5", "1", "4 2 5 1:2 in dorian", "1 6 5 7:2 in mixolydian", "b2 v7 | 1 4 2", "b2 v7 | 1 4 2:5", "1+3+5 0 1+4+6:8", "v5 1 6 5 7 10 12",
		"1 8 15", "1 8 15 22 29", "1:300 by 1/8", "1:64 2:64 by 1", "0:8 1", "1 2 b3 in harmonic minor by 1/16", "1:1/3 2:1/3 3:1/3",
	}
}

// drawn draws what a func of figuretest makes.
func drawn[V any](gen func(figuretest.Draw) V) *rapid.Generator[V] {
	return rapid.Custom(func(t *rapid.T) V {
		return gen(func(n int) int { return rapid.IntRange(0, n-1).Draw(t, "n") })
	})
}

// anyInstrument draws a known instrument at any level, or one with another range.
func anyInstrument() *rapid.Generator[drill.Instrument] {
	var known []drill.Instrument
	for l := range 3 {
		known = slices.AppendSeq(known, drill.Instruments(drill.Level(l)))
	}
	return rapid.OneOf(rapid.SampledFrom(known), drawn(func(draw figuretest.Draw) drill.Instrument { return figuretest.Instrument(draw, 1+draw(40)) }))
}

func anySettings() *rapid.Generator[Settings] {
	return rapid.Custom(func(t *rapid.T) Settings {
		s := Settings{
			Date:       begin + Date(rapid.IntRange(0, 60).Draw(t, "day")),
			Minutes:    rapid.OneOf(rapid.IntRange(1, 40), rapid.IntRange(1, MaxMinutes)).Draw(t, "minutes"),
			Instrument: anyInstrument().Draw(t, "instrument"),
			Stage:      Stage(rapid.IntRange(0, 2).Draw(t, "stage")),
			Seed:       rapid.Uint64().Draw(t, "seed"),
		}
		for _, text := range rapid.SliceOfNDistinct(rapid.SampledFrom(figureTexts()), 1, 8, rapid.ID[string]).Draw(t, "figures") {
			i := Idea{Figure: figure.MustParse(text), Tempo: rapid.SampledFrom([]int{0, 10, 60, 80, 300}).Draw(t, "tempo")}
			if meter := rapid.SampledFrom([]string{"4/4", "3/4", "6/8", "5/8", "2/2"}).Draw(t, "meter"); meter != "4/4" {
				i.Meter, _ = drill.ParseMeter(meter)
			}
			for _, v := range []string{"retrograde", "rotation 1", "octave up 1", "rhythm 1 3 2"} {
				if rapid.IntRange(0, 3).Draw(t, v) == 0 {
					i.Variations = append(i.Variations, figure.MustParseVariation(v))
				}
			}
			s.Ideas = append(s.Ideas, i)
		}
		return s
	})
}

// someLog draws entries such as the settings could have led to, and others.
func someLog(s Settings) *rapid.Generator[Log] {
	return rapid.Custom(func(t *rapid.T) Log {
		var l Log
		for range rapid.IntRange(0, 40).Draw(t, "entries") {
			e := anyEntry().Draw(t, "entry")
			e.Date = begin + Date(rapid.IntRange(-60, 60).Draw(t, "day"))
			if rapid.Bool().Draw(t, "same") {
				e.Figure = rapid.SampledFrom(s.Ideas).Draw(t, "idea").Figure
				e.Instrument = s.Instrument.Name
			}
			l.Entries = append(l.Entries, e)
		}
		return l
	})
}

// TestLawPlans has all laws of checkPlan: never more than the minutes, never
// fewer than one pause in thirty minutes, never outside the instrument, brass
// rests as long as it plays, a reason for each choice.
func TestLawPlans(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anySettings().Draw(t, "settings")
		p, err := NewPlan(s, someLog(s).Draw(t, "log"))
		if err != nil {
			t.Fatal(err)
		}
		checkPlan(t, p)
	})
}

// TestLawPlanIsTheSame: for the same log before the day, day and seed, whatever
// is logged later, and whatever order the days of the log stand in.
func TestLawPlanIsTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anySettings().Draw(t, "settings")
		l := someLog(s).Draw(t, "log")
		p, err := NewPlan(s, l)
		if err != nil {
			t.Fatal(err)
		}
		other := Log{Entries: slices.Clone(l.Entries)}
		later := anyEntry().Draw(t, "later")
		later.Date = s.Date + Date(rapid.IntRange(0, 9).Draw(t, "days later"))
		other.Entries = append(other.Entries, later)
		slices.SortStableFunc(other.Entries, func(a, b Entry) int { return int(a.Date%7) - int(b.Date%7) })
		q, err := NewPlan(s, other)
		if diff := cmp.Diff(p, q, byValue); diff != "" || err != nil {
			t.Fatalf("%v\n%s", err, diff)
		}
	})
}

// TestSeedVariesThePlan: other seeds give other orders where many are as good.
func TestSeedVariesThePlan(t *testing.T) {
	routes := map[string]bool{}
	for seed := range uint64(20) {
		p, err := NewPlan(Settings{Ideas: ideas("1 3 2 5"), Date: begin, Instrument: find("flute"), Stage: StageMixedRows, Seed: seed}, Log{})
		if err != nil {
			t.Fatal(err)
		}
		routes[p.Blocks[0].Drill.Route.String()] = true
	}
	if len(routes) < 8 { // of the twelve days of the square
		t.Errorf("20 seeds, %d routes", len(routes))
	}
}

func TestShortRoutesSaySo(t *testing.T) {
	p, err := NewPlan(Settings{Ideas: ideas("1 3 2 5"), Date: begin, Instrument: find("flute"), Stage: StageConstantOrders, Minutes: 1}, Log{})
	if err != nil {
		t.Fatal(err)
	}
	// Of 60 seconds the setup leaves 50, enough for eight statements of six.
	if b := p.Blocks[0]; b.Drill.Route.Len() != 8 || !strings.HasSuffix(b.Why.Keys.String(), "were never made; as many keys as there is time for") {
		t.Errorf("%v: %s", b.Drill.Route, b.Why.Keys)
	}
}

// TestLawNeverMadeComesFirst: as long as an order has a move that was never
// made, the plan takes one that has the most of them.
func TestLawNeverMadeComesFirst(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		stage := rapid.SampledFrom([]Stage{StageConstantOrders, StageMixedRows}).Draw(t, "stage")
		s := Settings{Ideas: ideas("1 3 2 5"), Date: begin, Instrument: find("flute"), Stage: stage, Seed: rapid.Uint64().Draw(t, "seed")}
		var l Log
		var made cycle.Tally
		for _, up := range rapid.SliceOfDistinct(rapid.IntRange(1, 11), rapid.ID[int]).Draw(t, "orders") {
			o, name := constant(up)
			e := Entry{Date: begin - Date(rapid.IntRange(1, 99).Draw(t, "ago")), Figure: s.Ideas[0].Figure, Order: name, Route: o.Closed(), Instrument: "flute", Tempo: 80}
			e.Played = o.Closed().Len()
			e.Clean = e.Played
			l.Entries = append(l.Entries, e)
			made.AddAll(o.Closed().Moves())
		}
		p, err := NewPlan(s, l)
		if err != nil {
			t.Fatal(err)
		}
		never := func(r cycle.Route) int {
			n := 0
			for m := range r.Moves() {
				if made.Count(m) == 0 {
					n++
				}
			}
			return n
		}
		got, most := never(p.Blocks[0].Drill.Route), 0
		for k := range 12 {
			r := cycle.BalancedRow().From(pitch.Class(k)).Open()
			if o, _ := constant(max(k, 1)); stage == StageConstantOrders {
				r = o.Closed()
			}
			most = max(most, never(r))
		}
		if got < most {
			t.Fatalf("%v takes %d moves never made, of %d that there are", p.Blocks[0].Drill.Route, got, most)
		}
		if why := p.Blocks[0].Why.Keys.String(); (got > 0) != strings.Contains(why, "never made") {
			t.Fatalf("%d never made: %s", got, why)
		}
	})
}

// entryOf is an entry of the figure 1 3 2 5 on the flute, up by half steps.
func entryOf(date Date, clean int, change func(*Entry)) Entry {
	e := Entry{Date: date, Figure: figure.MustParse("1 3 2 5"), Order: "m2", Route: cycle.By(interval.MinorSecond).Closed(),
		Instrument: "flute", First: spelling.MustParse("C4"), Stage: StageConstantOrders, Tempo: 80, Clean: clean, Played: 13, FirstTry: true}
	if change != nil {
		change(&e)
	}
	return e
}

func TestTempoAdvice(t *testing.T) {
	const today = begin
	idea := Idea{Figure: figure.MustParse("1 3 2 5"), Tempo: 80, Goal: 100}
	at := func(tempo int) func(*Entry) { return func(e *Entry) { e.Tempo = tempo } }
	for _, c := range []struct {
		what  string
		log   []Entry
		stage Stage
		tempo int
		why   string
	}{
		{"nothing yet", nil, StageConstantOrders, 80, "to begin with"},
		{"clean once", []Entry{entryOf(today-1, 13, nil)}, StageConstantOrders, 80, "13 of 13 clean at 80: once more"},
		{"clean twice", []Entry{entryOf(today-2, 12, nil), entryOf(today-1, 13, nil)}, StageConstantOrders, 84, "4 faster"},
		{"clean twice on one day", []Entry{entryOf(today-1, 13, nil), entryOf(today-1, 13, nil)}, StageConstantOrders, 80, "once more"},
		{"clean twice, faster today", []Entry{entryOf(today-2, 13, nil), entryOf(today-1, 13, at(84))}, StageConstantOrders, 84, "once more"},
		{"not all clean", []Entry{entryOf(today-2, 13, nil), entryOf(today-1, 11, nil)}, StageConstantOrders, 80, "11 of 13 clean at 80: the same until"},
		{"less than two thirds", []Entry{entryOf(today-1, 8, nil)}, StageConstantOrders, 72, "8 of 13 clean at 80: 8 slower"},
		{"slow enough", []Entry{entryOf(today-1, 2, at(40))}, StageConstantOrders, 40, "slow enough as it is"},
		{"a month away", []Entry{entryOf(today-30, 13, nil)}, StageConstantOrders, 72, "30 days away: 8 slower"},
		{"a new stage", []Entry{entryOf(today-1, 13, nil)}, StageMixedRows, 72, "a new stage: 8 slower"},
		{"a stage back", []Entry{entryOf(today-1, 13, nil)}, StageFewKeys, 80, "once more"},
		{"near the goal", []Entry{entryOf(today-2, 13, at(99)), entryOf(today-1, 13, at(99))}, StageConstantOrders, 100, "1 faster"},
		{"at the goal", []Entry{entryOf(today-2, 13, at(100)), entryOf(today-1, 13, at(100))}, StageConstantOrders, 100, "the goal"},
		{"past the goal", []Entry{entryOf(today-1, 12, at(140))}, StageConstantOrders, 100, "12 of 13 clean at 140: the goal is 100"},
		{"past the goal and not clean", []Entry{entryOf(today-1, 11, at(140))}, StageConstantOrders, 100, "11 of 13 clean at 140: the goal is 100"},
		{"past the goal a month ago", []Entry{entryOf(today-30, 12, at(140))}, StageConstantOrders, 100, "30 days away: 40 slower"},
		{"slow as a player was", []Entry{entryOf(today-1, 11, at(30))}, StageConstantOrders, 30, "11 of 13 clean at 30: the same until"},
		{"slower than half", []Entry{entryOf(today-1, 2, at(30))}, StageConstantOrders, 30, "slow enough as it is"},
		{"not slower than half", []Entry{entryOf(today-1, 2, at(42))}, StageConstantOrders, 40, "2 of 13 clean at 42: 2 slower"},
		{"the first try counts", []Entry{entryOf(today-1, 3, func(e *Entry) { e.FirstTry = false }), entryOf(today-1, 13, nil)}, StageConstantOrders, 80, "13 of 13"},
		{"the first of two", []Entry{entryOf(today-1, 3, func(e *Entry) { e.FirstTry = false }), entryOf(today-1, 13, func(e *Entry) { e.FirstTry = false })}, StageConstantOrders, 72, "3 of 13"},
		{"the first marked", []Entry{entryOf(today-1, 13, nil), entryOf(today-1, 3, nil)}, StageConstantOrders, 80, "13 of 13"},
		{"another instrument", []Entry{entryOf(today-1, 3, func(e *Entry) { e.Instrument = "oboe" })}, StageConstantOrders, 80, "to begin with"},
		{"another figure", []Entry{entryOf(today-1, 3, func(e *Entry) { e.Figure = figure.MustParse("1 2") })}, StageConstantOrders, 80, "to begin with"},
		{"today", []Entry{entryOf(today, 3, nil)}, StageConstantOrders, 80, "to begin with"},
	} {
		p, err := NewPlan(Settings{Ideas: []Idea{idea}, Date: today, Instrument: find("flute"), Stage: c.stage}, Log{Entries: c.log})
		if err != nil {
			t.Fatal(err)
		}
		b := p.Blocks[0]
		if b.Drill.Tempo != c.tempo || !strings.Contains(b.Why.Tempo.String(), c.why) {
			t.Errorf("%s: tempo %d: %s; want %d: %s", c.what, b.Drill.Tempo, b.Why.Tempo, c.tempo, c.why)
		}
	}
}

// TestFiguresComeBackAfterDays: one day after a first try that did not pass,
// then two, four, eight and at most sixteen.
func TestFiguresComeBackAfterDays(t *testing.T) {
	for passed, want := range []Date{1, 2, 4, 8, 16, 16, 16} {
		var l Log
		l.Entries = append(l.Entries, entryOf(begin-100, 5, nil))
		day := begin - 100
		for n := range passed {
			day = begin - 90 + Date(n)
			l.Entries = append(l.Entries, entryOf(day, 13, nil))
		}
		// Two more figures are there to take its place; they failed yesterday.
		for ahead := Date(1); ahead < 20; ahead++ {
			s := Settings{Ideas: ideas("1 3 2 5", "5 3 4", "3 4 1"), Date: day + ahead, Instrument: find("flute"), Stage: StageConstantOrders, Minutes: 10}
			today := l
			for _, i := range s.Ideas[1:] {
				today.Entries = append(today.Entries, entryOf(s.Date-1, 5, func(e *Entry) { e.Figure = i.Figure }))
			}
			p, err := NewPlan(s, today)
			if err != nil {
				t.Fatal(err)
			}
			_, taken := passesOf(p)["1 3 2 5"]
			if taken != (ahead >= want) {
				t.Errorf("%d passed, %d days later: taken %v", passed, ahead, taken)
			}
			if a := p.Aside; !taken && (len(a) != 1 || !strings.Contains(a[0].Reason.String(), fmt.Sprintf("not due before %v", day+want))) {
				t.Errorf("%+v", a)
			}
		}
	}
}

func TestEarlyFigureSaysSo(t *testing.T) {
	l := Log{Entries: []Entry{entryOf(begin-1, 13, nil)}}
	p, err := NewPlan(Settings{Ideas: ideas("1 3 2 5", "3 4 1"), Date: begin, Instrument: find("flute"), Stage: StageConstantOrders}, l)
	if err != nil {
		t.Fatal(err)
	}
	if w := p.Blocks[0].Why.Figure.String(); w != "new" {
		t.Errorf("first %q", w)
	}
	if w := p.Blocks[1].Why.Figure.String(); w != "13 of 13 clean at the first try a day ago: not due before 2025-03-03, taken early, as there is time" {
		t.Errorf("then %q", w)
	}
}

func TestFewKeys(t *testing.T) {
	few := func(e *Entry) {
		e.Stage, e.Route, e.Order = StageFewKeys, mustRoute("000/555/777/057"), ""
		e.Played, e.Clean = 12, 12
	}
	s := Settings{Ideas: ideas("1 3 2 5"), Date: begin, Instrument: find("flute"), Stage: StageFewKeys}
	for _, c := range []struct {
		what  string
		log   []Entry
		route string
		why   string
	}{
		// Keys by the number of accidentals, flats before sharps: common
		// practice, no source.
		{"nothing yet", nil, "000/555/777/057", "C: new; F: new; G: new"},
		{"F failed", []Entry{entryOf(begin-1, 0, few), entryOf(begin-1, 0, func(e *Entry) { few(e); e.Clean, e.FailedKeys = 9, []pitch.Class{5} })},
			"555/000/777/507", "F: failed last time; C: not yet clean three times; G: not yet clean three times"},
		{"three times clean", []Entry{entryOf(begin-3, 0, few), entryOf(begin-2, 0, few), entryOf(begin-1, 0, few)},
			"TTT/222/333/T23", "B♭: new; D: new; E♭: new"},
		{"three times, but nobody knows what failed", []Entry{entryOf(begin-3, 0, few), entryOf(begin-2, 0, few), entryOf(begin-1, 0, func(e *Entry) { few(e); e.Clean = 8 })},
			"000/555/777/057", "C: not yet clean three times; F: not yet clean three times; G: not yet clean three times"},
		{"stopped before G", []Entry{entryOf(begin-3, 0, few), entryOf(begin-2, 0, few), entryOf(begin-1, 0, func(e *Entry) { few(e); e.Clean, e.Played = 6, 6 })},
			"777/TTT/222/7T2", "G: not yet clean three times; B♭: new; D: new"},
	} {
		p, err := NewPlan(s, Log{Entries: c.log})
		if err != nil {
			t.Fatal(err)
		}
		switch b := p.Blocks[0]; {
		case b.Drill.Route.String() != c.route:
			t.Errorf("%s: %v: %s; want %s: %s: the route", c.what, b.Drill.Route, b.Why.Keys, c.route, c.why)
		case b.Why.Keys.String() != c.why:
			t.Errorf("%s: %v: %s; want %s: %s: the reason", c.what, b.Drill.Route, b.Why.Keys, c.route, c.why)
		case b.Order != "":
			t.Errorf("%s: %v: %s; want %s: %s: it has an order, %q", c.what, b.Drill.Route, b.Why.Keys, c.route, c.why, b.Order)
		}
	}
	// All keys known: those not played for longest.
	var l Log
	for day := range Date(3) {
		for k := range pitch.Class(12) {
			l.Entries = append(l.Entries, entryOf(begin-40+day*12+Date(k), 1, func(e *Entry) {
				e.Route, e.Played = mustRoute(pitch.Class(11-k).String()), 1
			}))
		}
	}
	p, err := NewPlan(s, l)
	if err != nil {
		t.Fatal(err)
	}
	if b := p.Blocks[0]; b.Drill.Route.String() != "EEE/TTT/999/ET9" || !strings.HasPrefix(b.Why.Keys.String(), "B: not played for longest") {
		t.Errorf("%v: %s", b.Drill.Route, b.Why.Keys)
	}
	// In minor, A has no accidentals.
	s.Ideas = ideas("1 3 2 5 in natural minor")
	if p, err = NewPlan(s, Log{}); err != nil || p.Blocks[0].Why.Keys.String() != "A: new; D: new; E: new" {
		t.Errorf("%v, %v", p.Blocks[0].Why.Keys, err)
	}
}

func mustRoute(s string) cycle.Route {
	r, err := cycle.ParseRoute(s)
	if err != nil {
		panic(err)
	}
	return r
}

func TestWeakMovesComeAgain(t *testing.T) {
	l := Log{Entries: []Entry{entryOf(begin-2, 10, func(e *Entry) {
		e.FailedMoves = []cycle.Move{{From: 3, To: 4}, {From: 7, To: 8}}
		e.FailedKeys = []pitch.Class{11}
	})}}
	s := Settings{Ideas: ideas("1 3 2 5"), Date: begin, Instrument: find("flute"), Stage: StageConstantOrders}
	p, err := NewPlan(s, l)
	if err != nil {
		t.Fatal(err)
	}
	var weak []string
	for _, b := range p.Blocks {
		if b.Weak {
			weak = append(weak, b.Drill.Route.String())
			if b.Test || b.Order != "" || b.Why.Keys[0].Cause != CauseWeak {
				t.Errorf("%+v", b)
			}
		}
	}
	if !slices.Equal(weak, []string{"34/78/TE"}) {
		t.Errorf("weak moves %v", weak)
	}
	// Once in four times is weak, once in five is not.
	for n := 3; n <= 4; n++ {
		l := Log{Entries: []Entry{entryOf(begin-3, 12, func(e *Entry) { e.FailedMoves = []cycle.Move{{From: 3, To: 4}} })}}
		for range n {
			l.Entries = append(l.Entries, entryOf(begin-2, 13, nil))
		}
		p, err := NewPlan(s, l)
		if err != nil {
			t.Fatal(err)
		}
		weak := slices.ContainsFunc(p.Blocks, func(b Block) bool { return b.Weak && b.Drill.Route.String() == "34" })
		if weak != (n == 3) {
			t.Errorf("failed once in %d times: weak %v", n+1, weak)
		}
	}
	// After four weeks nothing is known to be weak, nor is it in keys that do
	// not fit, nor at the stage of few keys.
	for _, change := range []func(*Settings){
		func(s *Settings) { s.Date += 40 },
		func(s *Settings) { s.Stage = StageFewKeys },
		func(s *Settings) { s.Instrument.High = s.Instrument.Low.Up(interval.MajorSixth) },
	} {
		s := s
		change(&s)
		p, err := NewPlan(s, l)
		if err != nil {
			t.Fatal(err)
		}
		for _, b := range p.Blocks {
			if b.Weak && b.Drill.Route.String() == "34/78/TE" {
				t.Errorf("%+v", b)
			}
		}
	}
}

func TestWhatDoesNotFitIsLeftAside(t *testing.T) {
	aside := func(s Settings) map[string]string {
		t.Helper()
		p, err := NewPlan(s, Log{})
		if err != nil {
			t.Fatal(err)
		}
		checkPlan(t, p)
		got := map[string]string{}
		for _, a := range p.Aside {
			got[a.Idea.Figure.Plain()] = fmt.Sprint(a.Keys, " ", a.Reason)
		}
		return got
	}
	s := Settings{Ideas: ideas("1 3 2 5", "1 8", "1 3", "2:1 1:64 by 1", "1:30 by 1"), Minutes: 40, Date: begin, Instrument: find("flute C4-A4"), Stage: StageConstantOrders}
	// 1 3 2 5 spans seven semitones: of the ten from C4 to A4, C to D are tonics.
	want := map[string]string{
		"1 3 2 5":     "[E♭ E F G♭ G A♭ A B♭ B] in these keys its notes do not lie between C4 and A4",
		"1 8":         "[] it spans 12 semitones, and in no key do its notes lie between C4 and A4",
		"1 3":         "[G♭ G A♭ A B♭ B] in these keys its notes do not lie between C4 and A4",
		"2 1:64 by 1": "[] at tempo 80 a statement and its rest take 3m18s; a block of 5m0s does not hold two",
		"1:30 by 1":   "[B♭ B] in these keys its notes do not lie between C4 and A4",
	}
	if diff := cmp.Diff(want, aside(s)); diff != "" {
		t.Error(diff)
	}
	s.Minutes, s.Ideas = 2, s.Ideas[4:]
	if got := aside(s)["1:30 by 1"]; got != "[] at tempo 80 a statement and its rest take 1m33s; a block of 2m0s does not hold two" {
		t.Error(got)
	}
	// Brass cannot rest as long as it would play.
	s = Settings{Ideas: ideas("2:1 1:64 by 1"), Date: begin, Instrument: find("trumpet"), Stage: StageConstantOrders}
	if got := aside(s)["2 1:64 by 1"]; got != "[] brass rests as long as it plays, and no rest is longer than 64 whole notes" {
		t.Error(got)
	}
}

func TestPlanNotes(t *testing.T) {
	day := func(clean int, minutes int) Log {
		var l Log
		for n := range Date(3) {
			l.Entries = append(l.Entries, entryOf(begin-3+n, clean, func(e *Entry) { e.Minutes = minutes }))
		}
		return l
	}
	s := Settings{Ideas: ideas("1 3 2 5"), Date: begin, Instrument: find("flute"), Stage: StageConstantOrders}
	notes := func(s Settings, l Log) string {
		p, err := NewPlan(s, l)
		if err != nil {
			t.Fatal(err)
		}
		return p.Remarks.String()
	}
	for _, c := range []struct {
		what, want string
		got        string
		has        bool
	}{
		{"one figure", "two to four figures", notes(s, Log{}), true},
		{"minutes left", "The plan takes 9 of 15 minutes", notes(s, Log{}), true},
		{"a rise", "10 minutes are more than half again the 4", notes(s, day(5, 4)), true},
		{"no rise", "half again", notes(s, day(5, 8)), false},
		{"three clean", "the next stage, mixed rows", notes(s, day(13, 4)), true},
		{"not clean", "the next stage", notes(s, day(5, 4)), false},
		{"no next stage", "the next stage", notes(Settings{Ideas: s.Ideas, Date: begin, Instrument: s.Instrument, Stage: StageMixedRows}, day(13, 4)), false},
		{"nothing fits", "nothing to play", notes(Settings{Ideas: ideas("1 8 15 22 29"), Date: begin, Instrument: s.Instrument}, Log{}), true},
	} {
		if strings.Contains(c.got, c.want) != c.has {
			t.Errorf("%s: %q", c.what, c.got)
		}
	}
}

func TestDone(t *testing.T) {
	s := Settings{Ideas: ideas("1 3 2 5", "3 4 1"), Date: begin, Instrument: find("flute"), Stage: StageFewKeys, Minutes: 40}
	p, err := NewPlan(s, Log{})
	if err != nil {
		t.Fatal(err)
	}
	// The same keys again and again: each entry is for one block.
	l := Log{Entries: []Entry{entryOf(begin-1, 13, nil), p.Entry(0), p.Entry(2), p.Entry(3)}}
	l.Entries = append(l.Entries, p.Entry(4), entryOf(begin, 13, nil))
	l.Entries[4].Instrument = "oboe"
	for n := range l.Entries {
		l.Entries[n].Block = 0
	}
	done := p.Done(l)
	if want := []int{1, 3, 2}; !slices.Equal(done[:3], want) || slices.Max(done[3:]) != -1 {
		t.Errorf("%v, want %v and no more", done, want)
	}
	if e := p.Entry(-1); e.Played != 0 {
		t.Error("an entry of no block")
	}
	var keys []string
	for name, r := range p.Routes() {
		keys = append(keys, name+r.String())
		if len(keys) == 2 {
			break
		}
	}
	if !slices.Equal(keys, []string{"000/555/777/057", "000/555/777/057"}) {
		t.Errorf("%v", keys)
	}
}

// TestDoneByNumber: where blocks have the same keys, an entry is for the one
// that it names, and what names none, or one of another plan, takes the place
// that is left.
func TestDoneByNumber(t *testing.T) {
	s := Settings{Ideas: ideas("3 5 1 6"), Date: begin, Instrument: find("flute"), Stage: StageFewKeys, Minutes: 40}
	p, err := NewPlan(s, Log{})
	switch {
	case err != nil:
		t.Fatalf("%v, %+v: an error", err, p)
	case len(p.Blocks) < 4:
		t.Fatalf("%v, %+v: %d blocks", err, p, len(p.Blocks))
	case !p.Blocks[0].Drill.Route.Equal(p.Blocks[2].Drill.Route):
		t.Fatalf("%v, %+v: the first and the third have other routes", err, p)
	}
	third := p.Entry(2)
	if third.Block != 3 {
		t.Errorf("block %d", third.Block)
	}
	plain, other := third, third
	plain.Block, other.Block = 0, 99
	for _, c := range []struct {
		entries []Entry
		want    []int
	}{
		{[]Entry{third}, []int{-1, -1, 0, -1}},
		{[]Entry{plain, third}, []int{0, -1, 1, -1}},
		{[]Entry{plain, plain, third, other}, []int{0, 1, 2, 3}},
		{[]Entry{third, third}, []int{1, -1, 0, -1}},
	} {
		if got := p.Done(Log{Entries: c.entries}); !slices.Equal(got[:4], c.want) {
			t.Errorf("%v, want %v", got, c.want)
		}
	}
}

// TestLawPlanKeepsAsJSON: a plan that was kept is the plan.
func TestLawPlanKeepsAsJSON(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anySettings().Draw(t, "settings")
		p, err := NewPlan(s, someLog(s).Draw(t, "log"))
		if err != nil {
			t.Fatal(err)
		}
		text, err := json.Marshal(p)
		if err != nil {
			t.Fatal(err)
		}
		var back Plan
		same := cmp.Options{cmpopts.EquateEmpty(), byValue}
		if err := json.Unmarshal(text, &back); err != nil || !cmp.Equal(p, back, same) {
			t.Fatalf("%v: %s", err, cmp.Diff(p, back, same))
		}
	})
}

// TestPlanRefusesWhatNoReaderWould: a log that a program made up is held to
// what a line may say.
func TestPlanRefusesWhatNoReaderWould(t *testing.T) {
	s := Settings{Ideas: ideas("3 5 1 6"), Date: begin, Instrument: find("flute"), Stage: StageFewKeys}
	for want, change := range map[string]func(*Entry){
		`entry 2 of the log: clean -1: there are 0 to 1 clean statements`:           func(e *Entry) { e.Clean, e.Played = -1, 1 },
		`entry 2 of the log: tempo 0: the tempo goes from 10 to 500 beats a minute`: func(e *Entry) { e.Tempo = 0 },
		`entry 2 of the log: keys: an entry has at least one key`:                   func(e *Entry) { e.Route = cycle.Route{} },
	} {
		_, err := NewPlan(s, Log{Entries: []Entry{entryOf(begin-1, 12, nil), entryOf(begin-1, 12, change)}})
		var refused *fault.ValueError
		if err == nil || err.Error() != want || !errors.As(err, &refused) {
			t.Errorf("%v\nwant %s", err, want)
		}
	}
}

func TestPausesAndDone(t *testing.T) {
	s := Settings{Ideas: ideas("1 3 2 5", "4 2 5 1", "1 6 5 7", "5 2 3 1"), Date: begin, Instrument: find("flute"), Stage: StageConstantOrders, Minutes: 36}
	p, err := NewPlan(s, Log{})
	if err != nil {
		t.Fatal(err)
	}
	pauses := 0
	for n, b := range p.Blocks {
		if b.Pause {
			pauses++
			if e := p.Entry(n); e.Played != 0 || p.Done(Log{Entries: []Entry{e}})[n] != -1 {
				t.Error("a pause is logged")
			}
		}
	}
	if pauses != 1 {
		t.Errorf("%d pauses in %v", pauses, p.Length())
	}
	n := 0
	for range p.Routes() {
		n++
	}
	if n != len(p.Blocks)-pauses {
		t.Errorf("%d routes, %d blocks", n, len(p.Blocks))
	}
}

// TestLongSlowDays fills plans of any length with blocks of any length, so that
// what one stretch leaves over would go to the next.
func TestLongSlowDays(t *testing.T) {
	for minutes := 1; minutes <= 130; minutes += 9 {
		for tempo := 20; tempo <= 80; tempo += 10 {
			s := Settings{Ideas: ideas("1 3 2 5", "4 2 5 1", "1 6 5 7", "5 2 3 1"), Date: begin, Instrument: find("flute"), Stage: StageConstantOrders, Minutes: minutes}
			for n := range s.Ideas {
				s.Ideas[n].Tempo = tempo + n
			}
			p, err := NewPlan(s, Log{})
			if err != nil {
				t.Fatal(err)
			}
			checkPlan(t, p)
		}
	}
}

func TestBrassRestsAsLongAsItPlays(t *testing.T) {
	for _, text := range figureTexts() {
		for stage := StageFewKeys; stage <= StageMixedRows; stage++ {
			p, err := NewPlan(Settings{Ideas: ideas(text), Date: begin, Instrument: find("trumpet"), Stage: stage}, Log{})
			if err != nil {
				t.Fatal(err)
			}
			checkPlan(t, p)
		}
	}
}

func TestSettingsRefused(t *testing.T) {
	good := Settings{Ideas: ideas("1 3 2 5", "1"), Date: begin, Instrument: find("flute")}
	for _, c := range []struct {
		change func(*Settings)
		want   string
	}{
		{func(s *Settings) { s.Ideas = nil }, `figures 0: a plan is for 1 to 64 figures`},
		{func(s *Settings) { s.Ideas = make([]Idea, 65) }, `figures 65: a plan is for 1 to 64 figures`},
		{func(s *Settings) { s.Ideas[1] = s.Ideas[0] }, `figure 1 3 2 5: figures 1 and 2 are the same; each is given once`},
		{func(s *Settings) { s.Ideas[1].Figure = figure.Figure{} }, `figure: figure 2 needs at least one note`},
		{func(s *Settings) { s.Ideas[1].Name = strings.Repeat("n", 201) }, `name "` + strings.Repeat("n", 40) + `…": a figure's name has at most 200 bytes of UTF-8`},
		{func(s *Settings) { s.Instrument.Name = "\xff" }, `instrument "\xff": an instrument has a name of at most 200 bytes of UTF-8`},
		{func(s *Settings) { s.Date = 0 }, `date: a plan is for a day; set Date, as to DateOf(time.Now())`},
		{func(s *Settings) { s.Ideas[1].Tempo = 9 }, `tempo 9 to 120: the tempi of figure 2 go from 10 to 500, the goal not below the beginning`},
		{func(s *Settings) { s.Ideas[1].Goal = 501 }, `tempo 80 to 501: the tempi of figure 2 go from 10 to 500, the goal not below the beginning`},
		{func(s *Settings) { s.Ideas[1].Goal = 79 }, `tempo 80 to 79: the tempi of figure 2 go from 10 to 500, the goal not below the beginning`},
		{func(s *Settings) { s.Minutes = -1 }, `minutes -1: a plan is for 1 to 240 minutes`},
		{func(s *Settings) { s.Minutes = 241 }, `minutes 241: a plan is for 1 to 240 minutes`},
		{func(s *Settings) { s.Stage = 3 }, `stage "Stage(3)": it is one of few keys, constant orders, mixed rows`},
		{func(s *Settings) { s.Date = maxDate + 1 }, `date 10000-01-01: a date lies in the years 1 to 9999`},
		{func(s *Settings) { s.Instrument.Name = "" }, `instrument: an instrument has a name of at most 200 bytes of UTF-8`},
		{func(s *Settings) { s.Instrument.High, s.Instrument.Low = s.Instrument.Low, s.Instrument.High }, `instrument "flute": its range goes from A6 to C4; the low note comes first`},
	} {
		s := good
		s.Ideas = slices.Clone(good.Ideas)
		c.change(&s)
		_, err := NewPlan(s, Log{})
		var refused *fault.ValueError
		if err == nil || err.Error() != c.want || !errors.As(err, &refused) {
			t.Errorf("%v\nwant %s", err, c.want)
		}
	}
	if _, err := NewPlan(good, Log{}); err != nil {
		t.Error(err)
	}
}

// TestTempoRisesSlowly: after two days that were clean by a twentieth, but by two
// beats at least, and never beyond the goal. Our own rule, as the package says.
func TestTempoRisesSlowly(t *testing.T) {
	for tempo, want := range map[int]int{20: 22, 30: 32, 39: 41, 40: 42, 59: 61, 60: 63, 99: 103, 100: 105, 118: 120, 119: 120, 120: 120} {
		at := func(e *Entry) { e.Tempo = tempo }
		log := Log{Entries: []Entry{entryOf(begin-2, 13, at), entryOf(begin-1, 13, at)}}
		p, err := NewPlan(Settings{
			Ideas: []Idea{{Figure: figure.MustParse("1 3 2 5"), Tempo: tempo, Goal: 120}}, Date: begin, Instrument: find("flute"), Stage: StageConstantOrders,
		}, log)
		if err != nil {
			t.Fatal(err)
		}
		if got := p.Blocks[0].Drill.Tempo; got != want {
			t.Errorf("after %d comes %d, want %d", tempo, got, want)
		}
	}
}
