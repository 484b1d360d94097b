package main

import (
	"context"
	"fmt"
	"os"
	"strings"
	"testing"

	"example.com/keyorder/cycle"
	"example.com/keyorder/examples/internal/logbook"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/figure/practice"
	"example.com/keyorder/figure/session"
	"example.com/keyorder/pitch"
)

// report is what a session has for the log that plays a route as a block has it, of
// whose statements so many were not clean, and some were unclear.
func report(t *testing.T, b practice.Block, route cycle.Route, day practice.Date, wrong int, unclear ...int) string {
	t.Helper()
	set := session.Settings{Drill: b.Drill, Orders: []session.Order{{Name: b.Order, Route: route}}, Playback: playback.Options{Mode: playback.ModeModel}}
	set.Drill.Closing = drill.ClosingFull
	s, err := session.New(context.Background(), set, drill.Cost{}, practice.Log{})
	if err != nil {
		t.Fatal(err)
	}
	verdicts := make([]session.Verdict, s.Len())
	for n := range verdicts {
		verdicts[n] = session.VerdictClean
	}
	for n := range wrong {
		verdicts[len(verdicts)-1-n] = session.VerdictNotClean
	}
	for _, n := range unclear {
		verdicts[n] = session.VerdictUnclear
	}
	said := 0
	for turn := range s.Line().Turns(0) {
		if turn.Statement == said {
			if err := s.Say(turn.Index, verdicts[said]); err != nil {
				t.Fatal(err)
			}
			said++
		}
		if err := s.Go(turn.Index); err != nil {
			t.Fatal(err)
		}
	}
	r, err := s.Report(day, s.Line().Duration())
	if err != nil || said != s.Len() {
		t.Fatal(said, err)
	}
	return r.Log
}

// TestHeardBlocksAreMarked: what a session has recorded is shown with its block: whole,
// begun on another key, and without what was unclear; what else was played is not.
func TestHeardBlocksAreMarked(t *testing.T) {
	log, plan := show(t, "-figures", "turn = 5 2 b3:2 1", "-minutes", "20", "-for", "horn", "-stage", "constant orders")
	path := log[1]
	k, _, err := logbook.ReadKept(path)
	if err != nil || k.Blocks() < 5 {
		t.Fatal(err, k.Blocks())
	}
	blocks, day := k.Plan.Blocks, k.Plan.Settings.Date
	first := func(r cycle.Route) pitch.Class {
		for _, k := range r.Run() {
			return k
		}
		return 0
	}
	varied := blocks[4]
	varied.Drill.Figure = figure.MustParse("5 2 3 1")
	write := func(reports ...string) string {
		t.Helper()
		if err := os.WriteFile(path, []byte(strings.Join(reports, "")), 0o644); err != nil {
			t.Fatal(err)
		}
		return ok(t, "", log...)
	}
	all := func(n int) string { return fmt.Sprintf("%d of %[1]d", blocks[n].Drill.Route.Len()) }
	turned := blocks[1].Drill.Route.From(first(blocks[1].Drill.Route).T(5))
	if turned.Equal(blocks[1].Drill.Route) || strings.Contains(plan, "DONE") {
		t.Fatal(plan)
	}
	out := write(
		report(t, blocks[0], blocks[0].Drill.Route, day, 0),
		report(t, blocks[1], turned, day, 1),
		report(t, blocks[2], blocks[2].Drill.Route, day, 0, 2, 6),
		report(t, varied, blocks[4].Drill.Route, day, 0),
	)
	len2 := blocks[2].Drill.Route.Len()
	for n, want := range map[int]string{
		1: "   DONE, " + all(0) + " clean\n",
		2: fmt.Sprintf("   DONE, %d of %d clean\n", turned.Len()-1, turned.Len()),
		3: fmt.Sprintf("   DONE IN PART, %d of %d clean\n", len2-2, len2-2),
	} {
		if mark := fmt.Sprintf("%d   TURN", n); !strings.Contains(strings.Replace(out, "   TEST", "", 1), mark+want) {
			t.Errorf("block %d: no %q in\n%s", n, want, out)
		}
	}
	if strings.Count(out, "DONE") != 3 || strings.Contains(out, "Record it with -done") {
		t.Errorf("what else was played counts:\n%s", out)
	}
	// What is recorded is not asked for again, but a part can be recorded as a whole.
	if r := do("", append(log, "-done", "-clean", "9")...); r.status != 0 || !strings.Contains(r.out, "block 4, 9 of") {
		t.Error(r)
	}
	if r := do("", append(log, "-done", "-block", "2", "-clean", "9")...); r.status != 2 || !strings.Contains(r.err, "block 2 is recorded already") {
		t.Error(r)
	}
	if r := do("", append(log, "-done", "-block", "3", "-clean", "9")...); r.status != 0 {
		t.Error(r)
	}
	if out := ok(t, "", log...); !strings.Contains(out, fmt.Sprintf("3   TURN   DONE, 9 of %d clean\n", len2)) {
		t.Error(out)
	}
}
