package logbook

import (
	"os"
	"path/filepath"
	"testing"

	"example.com/keyorder/figure/practice"
)

// TestPlansOfBefore reads a plan that was kept when reasons were texts: all that
// the player set and all that is to be played is there.
func TestPlansOfBefore(t *testing.T) {
	text, err := os.ReadFile("testdata/first.plan")
	if err != nil {
		t.Fatal(err)
	}
	log := filepath.Join(t.TempDir(), "log")
	if err := os.WriteFile(KeptPath(log), text, 0o644); err != nil {
		t.Fatal(err)
	}
	k, ok, err := ReadKept(log)
	if err != nil || !ok {
		t.Fatalf("%v, %v", ok, err)
	}
	switch {
	case len(k.Plan.Settings.Ideas) != 2:
		t.Fatalf("%+v: %d ideas, want 2", k.Plan, len(k.Plan.Settings.Ideas))
	case len(k.Plan.Blocks) != 5:
		t.Fatalf("%+v: %d blocks, want 5", k.Plan, len(k.Plan.Blocks))
	case len(k.Plan.Aside) != 2:
		t.Fatalf("%+v: %d ideas aside, want 2", k.Plan, len(k.Plan.Aside))
	}
	switch b := k.Plan.Blocks[0]; {
	case b.Drill.Route.String() != "(20)/(31)":
		t.Errorf("%+v: the route is %v", b, b.Drill.Route)
	case b.Drill.Figure.String() != "3 5 1 6":
		t.Errorf("%+v: the figure is %v", b, b.Drill.Figure)
	case b.Drill.Tempo != 80:
		t.Errorf("%+v: the tempo is %d", b, b.Drill.Tempo)
	case b.Why.Figure != (practice.Reason{}):
		t.Errorf("%+v: there is a reason for the figure", b)
	}
	// Kept anew, it has its reasons as values.
	if k.Plan, err = practice.NewPlan(k.Plan.Settings, practice.Log{}); err != nil {
		t.Fatal(err)
	}
	if err := Keep(log, k); err != nil {
		t.Fatal(err)
	}
	if k, _, err = ReadKept(log); err != nil || k.Plan.Blocks[0].Why.Figure.Cause != practice.CauseNew || k.Plan.Aside[1].Reason.Cause != practice.CauseTooWide {
		t.Errorf("%v, %+v", err, k.Plan)
	}
}
