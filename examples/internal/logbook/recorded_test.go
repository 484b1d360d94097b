package logbook

import (
	"bytes"
	"strings"
	"testing"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/practice"
)

func planOf(t *testing.T, stage practice.Stage) practice.Plan {
	t.Helper()
	horn, err := drill.Find("horn", drill.LevelComfortable)
	if err != nil {
		t.Fatal(err)
	}
	p, err := practice.NewPlan(practice.Settings{
		Date: 20149, Instrument: horn, Stage: stage, Minutes: 20,
		Ideas: []practice.Idea{{Figure: figure.MustParse("5 2 b3:2 1")}, {Figure: figure.MustParse("3 5 1 6")}},
	}, practice.Log{})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// routeOf reads a route.
func routeOf(t *testing.T, text string) cycle.Route {
	t.Helper()
	r, err := cycle.ParseRoute(text)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// TestLawRecordedIsDone: what Done finds is recorded whole, and no entry twice; what
// has its moves from elsewhere or lacks some is recorded beside.
func TestLawRecordedIsDone(t *testing.T) {
	for stage := practice.StageFewKeys; stage <= practice.StageMixedRows; stage++ {
		p := planOf(t, stage)
		var l practice.Log
		for n, b := range p.Blocks {
			if !b.Pause && n%2 == 0 {
				l.Entries = append(l.Entries, p.Entry(n))
			}
		}
		one := l.Entries[0]
		one.Block = 0 // other blocks may have its keys
		for _, l := range []practice.Log{{}, l, {Entries: []practice.Entry{one}}} {
			done, seen := p.Done(l), map[int]bool{}
			for n, r := range Recorded(p, l) {
				if r.Entry != done[n] || r.Part || r.Entry >= 0 && seen[r.Entry] {
					t.Errorf("%v, block %d: %+v, Done has %d", stage, n, r, done[n])
				}
				seen[r.Entry] = true
			}
		}
	}
}

// TestRecorded: which entries record a block that Done has none of.
func TestRecorded(t *testing.T) {
	p := planOf(t, practice.StageConstantOrders)
	block := -1
	for n, b := range p.Blocks {
		if b.Order == "-m2" || b.Order == "m2" {
			block = n
			break
		}
	}
	if block < 0 {
		t.Fatalf("%+v", p.Blocks)
	}
	full := p.Blocks[block].Drill.Route
	from := "6543210ET987"
	if p.Blocks[block].Order == "m2" {
		from = "6789TE012345"
	}
	if _, all := covers(full, routeOf(t, "("+from+")")); !all {
		t.Fatal(full)
	}
	entry := func(route string, change func(*practice.Entry)) practice.Entry {
		e := p.Entry(block)
		e.Block, e.Route = 0, routeOf(t, route)
		if change != nil {
			change(&e)
		}
		return e
	}
	two, five := from[:2], from[2:7]
	for n, c := range []struct {
		entries []practice.Entry
		want    Record
	}{
		{nil, Record{Entry: -1}},
		{[]practice.Entry{entry("("+from+")", nil)}, Record{Entry: 0}},
		{[]practice.Entry{entry(five+"/"+two, nil)}, Record{Entry: 0, Part: true}},
		{[]practice.Entry{entry(five, nil), entry(two, nil)}, Record{Entry: 0, Part: true}},
		{[]practice.Entry{entry(two, nil), entry(five, nil)}, Record{Entry: 1, Part: true}},
		{[]practice.Entry{entry(five, nil), entry(five, nil)}, Record{Entry: 1, Part: true}}, // the later one
		{[]practice.Entry{entry(five, nil), entry("("+from+")", nil)}, Record{Entry: 1}},
		{[]practice.Entry{entry("0369", nil)}, Record{Entry: -1}},                                // other moves
		{[]practice.Entry{entry(five[:1], nil)}, Record{Entry: -1}},                              // none
		{[]practice.Entry{entry(five, func(e *practice.Entry) { e.Date-- })}, Record{Entry: -1}}, // another day
		{[]practice.Entry{entry(five, func(e *practice.Entry) { e.Instrument = "horn" })}, Record{Entry: -1}},
		{[]practice.Entry{entry(five, func(e *practice.Entry) { e.Figure = figure.MustParse("5 2 3 1") })}, Record{Entry: -1}},
		{[]practice.Entry{entry(five, func(e *practice.Entry) { e.Variation = figure.MustParseVariation("retrograde") })}, Record{Entry: -1}},
		{[]practice.Entry{entry(five, func(e *practice.Entry) { e.Block = 63 })}, Record{Entry: -1}},
		{[]practice.Entry{entry(five, func(e *practice.Entry) { e.Block = p.Blocks[block].Number })}, Record{Entry: 0, Part: true}},
	} {
		all := Recorded(p, practice.Log{Entries: c.entries})
		if all[block] != c.want {
			t.Errorf("%d: %+v, want %+v", n, all[block], c.want)
		}
		for k, r := range all {
			if k != block && r.Entry >= 0 && r.Entry == all[block].Entry {
				t.Errorf("%d: entry %d records blocks %d and %d", n, r.Entry, k, block)
			}
		}
	}
}

// TestRecordedOfFewKeys: where keys are played again and again, the moves between them
// count.
func TestRecordedOfFewKeys(t *testing.T) {
	whole := routeOf(t, "222/777/999/279")
	for text, want := range map[string][2]int{"222/777/999/279": {2, 1}, "22/279": {2, 1}, "222/79": {1, 0}, "222": {0, 0}, "222/92": {0, 0}} {
		made, all := covers(whole, routeOf(t, text))
		if made != want[0] || all != (want[1] == 1) {
			t.Errorf("%s: %d, %v", text, made, all)
		}
	}
}

// TestAgain: what is said where a drill is recorded again.
func TestAgain(t *testing.T) {
	e := practice.Entry{
		Date: 20149, Figure: figure.MustParse("3 5 1 6"), Order: "P4", Route: routeOf(t, "(05T3816E4927)"), Instrument: "horn in F",
		First: 0, Tempo: 96, Clean: 12, Played: 13, Block: 2, FirstTry: true,
	}
	changed := func(change func(*practice.Entry)) practice.Entry {
		e := e
		change(&e)
		return e
	}
	const (
		same  = "The log had the same of today already, 12 of 13 clean. If it was this take, go run ./examples/today -undo takes an entry back."
		other = "The log had this drill of today already, 12 of 13 clean."
	)
	for n, c := range []struct {
		added practice.Entry
		want  string
	}{
		{e, same},
		{changed(func(e *practice.Entry) { e.FirstTry, e.Block, e.Minutes = false, 0, 1 }), same},
		{changed(func(e *practice.Entry) { e.Clean = 11 }), other},
		{changed(func(e *practice.Entry) { e.Played = 12 }), other},
		{changed(func(e *practice.Entry) { e.FailedMoves = practice.MoveList{{From: 0, To: 5}} }), other},
		{changed(func(e *practice.Entry) { e.Date++ }), ""},
		{changed(func(e *practice.Entry) { e.Tempo = 100 }), ""},
		{changed(func(e *practice.Entry) { e.Instrument = "horn" }), ""},
		{changed(func(e *practice.Entry) { e.Figure = figure.MustParse("3 5 1 7") }), ""},
		{changed(func(e *practice.Entry) { e.Route = routeOf(t, "(0369)/(147T)/(258E)") }), ""},
	} {
		var lines bytes.Buffer
		if err := practice.AppendEntry(&lines, c.added); err != nil {
			t.Fatal(err)
		}
		if got := Again(practice.Log{Entries: []practice.Entry{e}}, lines.String()); got != c.want {
			t.Errorf("%d: %q, want %q", n, got, c.want)
		}
		if got := Again(practice.Log{}, lines.String()); got != "" {
			t.Errorf("%d: %q of an empty log", n, got)
		}
	}
	if got := Again(practice.Log{Entries: []practice.Entry{e}}, strings.Repeat("no line\n", 2)); got != "" {
		t.Errorf("%q", got)
	}
}
