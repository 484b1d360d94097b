package session_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/practice"
	"example.com/keyorder/figure/session"

	"pgregory.net/rapid"
)

// TestLawABlockIsLoggedAsThePlanHasIt: a block of a plan that is played as a session,
// kept and gone on with in between, has the entry that the plan gives it, and is done.
func TestLawABlockIsLoggedAsThePlanHasIt(t *testing.T) {
	varied := 0
	rapid.Check(t, func(rt *rapid.T) {
		instrument, err := drill.Find(rapid.SampledFrom([]string{"trumpet", "piano", "alto saxophone"}).Draw(rt, "instrument"), drill.LevelComfortable)
		if err != nil {
			rt.Fatal(err)
		}
		var ideas []practice.Idea
		for _, f := range []string{"1:3 5 4 2 3:2", "3 5 1 6", "5 2 b3:2 1 in dorian"}[:rapid.IntRange(1, 3).Draw(rt, "ideas")] {
			i := practice.Idea{Figure: figure.MustParse(f)}
			for _, v := range []string{"retrograde", "octave up 2", "first 3"}[:rapid.IntRange(0, 3).Draw(rt, "variations")] {
				i.Variations = append(i.Variations, figure.MustParseVariation(v))
			}
			ideas = append(ideas, i)
		}
		set := practice.Settings{Ideas: ideas, Instrument: instrument, Minutes: rapid.IntRange(2, 20).Draw(rt, "minutes"), Stage: practice.Stage(rapid.IntRange(0, 2).Draw(rt, "stage"))}
		var text strings.Builder
		for day := range rapid.IntRange(1, 2).Draw(rt, "days") {
			set.Date = practice.Date(20000 + day)
			before, err := practice.Read(strings.NewReader(text.String()))
			if err != nil || before.Bad > 0 {
				rt.Fatal(err, before.Problems)
			}
			p, err := practice.NewPlan(set, before)
			if err != nil {
				rt.Fatal(err)
			}
			for n, b := range p.Blocks {
				if b.Pause {
					continue
				}
				log, _ := practice.Read(strings.NewReader(text.String()))
				want := p.Entry(n)
				in := session.Settings{Drill: b.Drill, Orders: []session.Order{{Name: b.Order, Title: "a block", Route: b.Drill.Route}}, Variation: b.Variation, Planned: &session.Planned{Block: b.Number, Stage: p.Settings.Stage}}
				in.Drill.Figure = want.Figure
				s, err := session.New(context.Background(), in, drill.Cost{}, log)
				if err != nil {
					rt.Fatalf("%+v: %v", b, err)
				}
				if f := s.Played(); !f.Equal(b.Drill.Figure) || !s.Settings().Drill.Figure.Equal(want.Figure) {
					rt.Fatalf("block %d: %v is played for %v", b.Number, f, b.Drill.Figure)
				}
				plan := s.Plan()
				for k, st := range plan.Statements {
					if k == len(plan.Statements)/2 { // as after a reload
						if s, err = session.Resume(context.Background(), []byte(kept(t, s)), drill.Cost{}, log); err != nil {
							rt.Fatal(err)
						}
					}
					if err := s.Say(st.Turn, session.VerdictClean); err != nil {
						rt.Fatal(err)
					}
				}
				r, err := s.Report(set.Date, 0)
				if err != nil {
					rt.Fatal(err)
				}
				var got practice.Entry
				if err := got.UnmarshalJSON([]byte(r.Log)); err != nil {
					rt.Fatalf("block %d has the lines %q: %v", b.Number, r.Log, err)
				}
				got.Minutes = want.Minutes
				if want.Rest == 0 { // which means a bar
					want.Rest = drill.Rest(b.Drill.Meter.Bar())
				}
				if got, want := line(t, got), line(t, want); got != want {
					rt.Fatalf("block %d is logged as\n%s\nnot as\n%s", b.Number, got, want)
				}
				if want.Variation != (figure.Variation{}) {
					varied++
				}
				text.WriteString(r.Log)
			}
			after, _ := practice.Read(strings.NewReader(text.String()))
			for n, done := range p.Done(after) {
				if (done < 0) != p.Blocks[n].Pause {
					rt.Fatalf("block %d is done by entry %d", p.Blocks[n].Number, done)
				}
			}
		}
	})
	if varied == 0 {
		t.Error("nothing was varied")
	}
}

func line(t testing.TB, e practice.Entry) string {
	t.Helper()
	text, err := e.MarshalJSON()
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}

// TestVaried: what is varied is played varied, logged as a variation of the idea, is no
// first try, and is kept in a form that no older program takes for the idea.
func TestVaried(t *testing.T) {
	s := open(t, `{"drill":{"figure":"3 5 1 6","parts":["flute"]},"orders":["(0369)"],"variation":"octave up 2"}`)
	a, err := s.Answer(0)
	if err != nil || a.Notes != "E G C A" {
		t.Errorf("%q, %v", a.Notes, err)
	}
	if got := s.Played().Plain(); got != "3 12 1 6" {
		t.Errorf("it plays %s", got)
	}
	if err := s.Say(1, session.VerdictClean); err != nil {
		t.Fatal(err)
	}
	r, err := s.Report(20000, 0)
	var e practice.Entry
	if err != nil || e.UnmarshalJSON([]byte(r.Log)) != nil {
		t.Fatal(r.Log, err)
	}
	if e.Figure.Plain() != "3 5 1 6" || e.Variation.String() != "octave up 2" || e.FirstTry {
		t.Errorf("it is logged as %s", r.Log)
	}
	text := kept(t, s)
	if !strings.HasPrefix(text, `{"version":2,`) {
		t.Errorf("it is kept as %.40s", text)
	}
	for _, bad := range []string{"octave up 5", "in minor pentatonic"} {
		in := settings(t, fmt.Sprintf(`{"drill":{"figure":"3 5 1 6 2","parts":["flute"]},"orders":["(0369)"],"variation":%q}`, strings.Replace(bad, "up 5", "up 6", 1)))
		_, cost := in.Cost()
		if _, err := session.New(context.Background(), in, drill.Cost{}, practice.Log{}); err == nil || cost == nil || !strings.Contains(err.Error(), "variation") {
			t.Errorf("%s: %v, %v", bad, err, cost)
		}
	}
}
