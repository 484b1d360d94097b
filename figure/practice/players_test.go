package practice

import (
	"bytes"
	"flag"
	"fmt"
	"os"
	"slices"
	"testing"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
)

var update = flag.Bool("update", false, "write the golden files")

// golden compares what a test got with a file in testdata.
func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	name = "testdata/" + name
	if *update {
		if err := os.WriteFile(name, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(got, want) {
		t.Errorf("%s differs; got\n%s", name, got)
	}
}

func find(text string) drill.Instrument {
	i, err := drill.Find(text, drill.LevelComfortable)
	if err != nil {
		panic(err)
	}
	return i
}

func ideas(figures ...string) []Idea {
	var all []Idea
	for _, f := range figures {
		all = append(all, Idea{Figure: figure.MustParse(f)})
	}
	return all
}

const begin = Date(20149) // 2025-03-02, a day like any other

// A player practises day after day as the plan says: each block once, until
// three passes of its figure were clean on the day.
type player struct {
	name       string
	instrument string
	figures    []string
	stage      Stage
	minutes    int
	seed       uint64
	plays      func(day int) bool
	fails      func(m cycle.Move, first bool, n int) bool // the n-th statement of all
}

func players() []player {
	three := []string{"1 3 2 5", "4 2 5 1:2 in dorian", "1 6 5 7:2 in mixolydian"}
	two := three[:2]
	daily := func(int) bool { return true }
	never := func(cycle.Move, bool, int) bool { return false }
	keys := func(weak ...pitch.Class) func(cycle.Move, bool, int) bool {
		return func(m cycle.Move, _ bool, _ int) bool { return slices.Contains(weak, m.To) }
	}
	steps := func(weak ...int) func(cycle.Move, bool, int) bool {
		return func(m cycle.Move, first bool, _ int) bool { return !first && slices.Contains(weak, m.Semitones()) }
	}
	return []player{
		{"always clean", "flute", three, StageConstantOrders, 15, 1, daily, never},
		{"fails in E, A♭ and B", "flute", three, StageConstantOrders, 15, 2, daily, keys(4, 8, 11)},
		{"every third day", "flute", three, StageConstantOrders, 15, 3, func(d int) bool { return d%3 == 0 }, never},
		{"ten minutes", "flute", two, StageConstantOrders, 10, 4, daily, never},
		{"never clean", "flute", three, StageConstantOrders, 15, 5, daily, func(cycle.Move, bool, int) bool { return true }},
		{"weekends, forty minutes", "flute", three, StageConstantOrders, 40, 6, func(d int) bool { return d%7 < 2 }, func(_ cycle.Move, _ bool, n int) bool { return n%5 == 0 }},
		{"fails tritones", "flute", three, StageConstantOrders, 15, 7, daily, steps(6)},
		{"trumpet, one figure, two minutes", "trumpet", three[:1], StageConstantOrders, 2, 8, daily, func(_ cycle.Move, _ bool, n int) bool { return n%7 == 0 }},
		{"two weeks off", "flute", three, StageConstantOrders, 15, 9, func(d int) bool { return d < 10 || d > 24 }, keys(1)},
		{"rows, always clean", "flute", three, StageMixedRows, 15, 10, daily, never},
		{"rows, fails in flat keys", "flute", two, StageMixedRows, 10, 11, daily, keys(1, 3, 6, 8, 10)},
		{"rows, every second day, fails half steps", "trombone", two, StageMixedRows, 10, 12, func(d int) bool { return d%2 == 0 }, steps(1, 11)},
	}
}

// a result is what a player has done.
type result struct {
	log           Log
	days, minutes int
	statements    int
	moves         cycle.Tally // played, clean or not
	all           int         // the day on which the last of the 132 was made, 0 if never
}

func (p player) practise(t testing.TB, days int) result {
	var r result
	s := Settings{Ideas: ideas(p.figures...), Minutes: p.minutes, Instrument: find(p.instrument), Stage: p.stage, Seed: p.seed}
	for day := range days {
		if !p.plays(day) {
			continue
		}
		s.Date = begin + Date(day)
		plan, err := NewPlan(s, r.log)
		if err != nil {
			t.Fatal(err)
		}
		checkPlan(t, plan)
		r.days++
		clean := map[string]int{}
		for n, b := range plan.Blocks {
			if b.Pause {
				r.minutes += int(pauseTime.Minutes())
				continue
			}
			if clean[b.Drill.Title] == 3 {
				continue
			}
			e := plan.Entry(n)
			first, section, from := true, -1, pitch.Class(0)
			var failedMoves []cycle.Move
			for sec, k := range e.Route.Run() {
				r.statements++
				m := cycle.Move{From: from, To: k}
				first = sec != section
				if p.fails(m, first, r.statements) {
					e.Clean--
					if first {
						e.FailedKeys = append(e.FailedKeys, k)
					} else {
						failedMoves = append(failedMoves, m)
					}
				}
				section, from = sec, k
			}
			e.FailedMoves = failedMoves
			if e.Clean == e.Played {
				clean[b.Drill.Title]++
			}
			r.minutes += e.Minutes
			r.log.Entries = append(r.log.Entries, e)
			r.moves.AddAll(e.Route.Moves())
		}
		if r.all == 0 && r.moves.Made() == 132 {
			r.all = day + 1
		}
	}
	return r
}

// TestLawEveryMoveIsMadeInSixtyDays has players follow the plan.
func TestLawEveryMoveIsMadeInSixtyDays(t *testing.T) {
	var table bytes.Buffer
	fmt.Fprintf(&table, "%-42s %5s %11s %6s %9s %8s %8s\n", "player, by the plan for 60 days", "days", "statements", "moves", "all by", "between", "bits of")
	fmt.Fprintf(&table, "%-42s %5s %11s %6s %9s %8s %8.3f\n", "", "", "", "of 132", "day", "them", cycle.MaxIntervalEntropy)
	for _, p := range players() {
		r := p.practise(t, 60)
		least, most := 1<<30, 0
		for from := range pitch.Class(12) {
			for to := range pitch.Class(12) {
				if from != to {
					n := r.moves.Count(cycle.Move{From: from, To: to})
					least, most = min(least, n), max(most, n)
				}
			}
		}
		if r.moves.Made() != 132 || r.moves.IntervalEntropy() <= 3.4 {
			t.Errorf("%s: %d moves, %.3f bits", p.name, r.moves.Made(), r.moves.IntervalEntropy())
		}
		fmt.Fprintf(&table, "%-42s %5d %11d %6d %9d %8s %8.3f\n", p.name, r.days, r.statements, r.moves.Made(), r.all, fmt.Sprintf("%d–%d", least, most), r.moves.IntervalEntropy())
	}
	t.Logf("\n%s", &table)
	golden(t, "players.txt", table.Bytes())
}

// TestOneOrderADayAgainstThePlan is the comparison that the package is for: the
// circle of fourths every day for twelve days, closed, against what the plan
// gives for two minutes a day, in which that circle fits once.
func TestOneOrderADayAgainstThePlan(t *testing.T) {
	var table bytes.Buffer
	row := func(name string, statements, seconds int, m cycle.Tally) {
		fmt.Fprintf(&table, "%-28s %10d %7d:%02d %6d %8.3f\n", name, statements, seconds/60, seconds%60, m.Made(), m.IntervalEntropy())
	}
	fmt.Fprintf(&table, "%-28s %10s %10s %6s %8s\n", "twelve days, once a day", "statements", "played", "moves", "bits")
	var rut cycle.Tally
	statements, seconds := 0, 0
	s := Settings{Ideas: ideas("1 3 2 5"), Minutes: 2, Instrument: find("flute")}
	s.Ideas[0].Goal = 80 // neither player gets faster
	for range 12 {
		r := cycle.By(interval.PerfectFourth).Closed()
		d, err := drill.New(drill.Settings{Figure: s.Ideas[0].Figure, Route: r, Parts: []drill.Instrument{s.Instrument}})
		if err != nil {
			t.Fatal(err)
		}
		rut.AddAll(r.Moves())
		statements += r.Len()
		seconds += int(d.Duration().Seconds())
	}
	if statements != 156 || rut.Made() != 12 || rut.IntervalEntropy() != 0 {
		t.Errorf("the circle of fourths: %d statements, %d moves", statements, rut.Made())
	}
	row("the circle of fourths", statements, seconds, rut)
	for _, stage := range []Stage{StageConstantOrders, StageMixedRows} {
		s.Stage = stage
		var l Log
		var made cycle.Tally
		statements, seconds := 0, 0
		for day := range Date(12) {
			s.Date = begin + day
			plan, err := NewPlan(s, l)
			if err != nil {
				t.Fatal(err)
			}
			for n, b := range plan.Blocks {
				e := plan.Entry(n)
				l.Entries = append(l.Entries, e)
				made.AddAll(b.Drill.Route.Moves())
				statements += e.Played
				d, err := drill.New(b.Drill)
				if err != nil {
					t.Fatal(err)
				}
				seconds += int(d.Duration().Seconds())
			}
		}
		if made.Made() != 132 || made.IntervalEntropy() < 3.4 {
			t.Errorf("%v: %d moves, %.3f bits", stage, made.Made(), made.IntervalEntropy())
		}
		row("the plan, "+stage.String(), statements, seconds, made)
	}
	t.Logf("\n%s", &table)
	golden(t, "comparison.txt", table.Bytes())
}
