package drill_test

import (
	"context"
	"encoding/json"
	"errors"
	"strings"
	"testing"
	"time"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	. "example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/figuretest"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
	"pgregory.net/rapid"
)

// TestLawCostIsKnownBefore: what settings cost is what their drill turns out to
// be, and no less where keys are left out.
func TestLawCostIsKnownBefore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawn(figuretest.Settings).Draw(t, "settings")
		c, err := s.Cost()
		if err != nil {
			t.Fatal(err)
		}
		d := newDrill(t, s)
		got := Cost{Statements: d.Len(), Duration: d.Duration()}
		left := false
		for _, p := range d.Parts() {
			for st := range p.Statements() {
				got.Notes += len(st.Events())
			}
			left = left || len(p.LeftOut()) > 0
		}
		switch {
		case !left && got != c:
			t.Fatalf("the drill costs %+v, known before as %+v", got, c)
		case got.Statements > c.Statements || got.Notes > c.Notes || got.Duration > c.Duration:
			t.Fatalf("the drill costs %+v, more than %+v", got, c)
		}
		if again, err := Within(context.Background(), c, s); err != nil || again.Len() != d.Len() {
			t.Fatalf("at its own cost: %v", err)
		}
	})
}

// TestWithin: settings of a stranger are refused before any work, and work ends
// with the context.
func TestWithin(t *testing.T) {
	keys := make([]string, 1000)
	for n := range keys {
		keys[n] = strings.Repeat("0", 65)
	}
	route := parseRoute(t, strings.Join(keys, "/"))
	s := Settings{Figure: parseFigure(t, "1 2:8 by 1"), Route: route, Parts: []Instrument{find(t, "piano", 0)}, Rest: Rest(16 * figure.Whole), Tempo: 500}
	for want, most := range map[string]Cost{
		"route 65000 statements: at most 100 are played here; shorten the route, the figure or the rest": {Statements: 100},
		"route 130000 notes: at most 64 are played here":                                                 {Notes: 64},
		"a drill takes at most 1h0m0s here":                                                              {Duration: time.Hour},
	} {
		began := time.Now()
		_, err := Within(context.Background(), most, s)
		var refused *fault.ValueError
		switch {
		case !errors.As(err, &refused):
			t.Errorf("%+v: %v, want %s: no such error", most, err, want)
		case refused.Setting != "route":
			t.Errorf("%+v: %v, want %s: it names %q", most, err, want, refused.Setting)
		case !strings.Contains(err.Error(), want):
			t.Errorf("%+v: %v, want %s: other words", most, err, want)
		}
		if took := time.Since(began); took > time.Second {
			t.Errorf("refused only after %v", took)
		}
	}
	done, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Within(done, Cost{}, s); !errors.Is(err, context.Canceled) {
		t.Errorf("with a context that is done: %v", err)
	}
	if _, err := (Settings{}).Cost(); err == nil {
		t.Error("empty settings have a cost")
	}
	s.Figure, s.Rest = parseFigure(t, "1:64 by 1"), Rest(figure.MaxLength)
	s.Route = parseRoute(t, strings.TrimSuffix(strings.Repeat("0/", cycle.MaxKeys), "/"))
	if _, err := s.Cost(); err == nil || !strings.Contains(err.Error(), "too long") {
		t.Errorf("a drill of %d statements: %v", cycle.MaxKeys, err)
	}
}

// TestSequence: which drills may follow each other.
func TestSequence(t *testing.T) {
	one := Settings{Title: "one", Figure: parseFigure(t, "3 5 1 6"), Route: cycle.By(interval.MinorThird).Closed(), Parts: []Instrument{find(t, "trumpet", 0), find(t, "horn", 0)}}
	first := newDrill(t, one)
	with := func(change func(*Settings)) *Drill {
		s := first.Settings()
		change(&s)
		return newDrill(t, s)
	}
	if err := Sequence(first, with(func(s *Settings) {
		s.Parts[0].High, s.Figure, s.Tempo = spelling.MustParse("E6"), parseFigure(t, "1"), 200
	}), first); err != nil {
		t.Errorf("another range, figure and tempo: %v", err)
	}
	if err := Sequence(); err != nil {
		t.Error(err)
	}
	for want, d := range map[string]*Drill{
		`drill 2: it is empty; make each with New`:                                           nil,
		`drill 2 "one": it has 1 parts and the first drill 2`:                                with(func(s *Settings) { s.Parts = s.Parts[:1] }),
		`drill 2 "one": its part 1 is for cornet and that of the first drill for trumpet in`: with(func(s *Settings) { s.Parts[0].Name = "cornet" }),
		`drill 2 "one": its part 2 is for`:                                                   with(func(s *Settings) { s.Parts[1].Sounding = 0 }),
		`drill 2 "one": its part 1 is`:                                                       with(func(s *Settings) { s.Parts[0].Clef = ClefBass }),
		`drill 2 "one": its part 1 is for trumpet`:                                           with(func(s *Settings) { s.Parts[0].Also = ClefsOf(ClefBass) }),
		`drill 2 "one": its part 1 is for trumpet in`:                                        with(func(s *Settings) { s.Parts[0].Grand = true }),
		`drill 2 "one": its part 2 is for horn`:                                              with(func(s *Settings) { s.Parts[1].Program++ }),
	} {
		var refused *fault.ValueError
		if err := Sequence(first, d); !errors.As(err, &refused) || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("%v, want %s", err, want)
		}
	}
	if err := Sequence(new(Drill)); err == nil {
		t.Error("the zero drill is taken")
	}
}

// TestPartsFromText: instruments stand in JSON as objects or as texts.
func TestPartsFromText(t *testing.T) {
	var s Settings
	if err := json.Unmarshal([]byte(`{"figure":"3 5 1 6","route":"(0369)","parts":["trumpet Bb3-E5","tuba",{"name":"own","low":"C3","high":"C5"}]}`), &s); err != nil {
		t.Fatal(err)
	}
	want := []Instrument{find(t, "trumpet Bb3-E5", 0), find(t, "tuba", 0), {Name: "own", Low: spelling.MustParse("C3"), High: spelling.MustParse("C5")}}
	for n, i := range s.Parts {
		if i != want[n] {
			t.Errorf("part %d is %+v, want %+v", n, i, want[n])
		}
	}
	var unread *fault.SyntaxError
	if err := json.Unmarshal([]byte(`{"parts":["serpent"]}`), &s); !errors.As(err, &unread) || unread.Input != "serpent" {
		t.Errorf("an instrument that nobody knows: %v", err)
	}
	if err := json.Unmarshal([]byte(`{"parts":[7]}`), &s); err == nil {
		t.Error("7 is an instrument")
	}
}

// TestLawLimitsAreWhatIsAllowed: at each limit settings are taken, and one below
// they are refused, down to a limit of one; what is too long is said before what
// does not fit.
func TestLawLimitsAreWhatIsAllowed(t *testing.T) {
	for _, text := range []string{"v5 v7 | 1 4", "v7:2 | 0 3+5 1", "1", "3 5 1 6", "v6 v7 | 0"} {
		for _, closing := range []Closing{ClosingHeld, ClosingFull, ClosingOpen} {
			s := Settings{Figure: parseFigure(t, text), Route: parseRoute(t, "(02)/(14)/5"), Closing: closing, Parts: []Instrument{find(t, "flute", 0), find(t, "horn", 0)}}
			if text == "1" {
				s.Route = parseRoute(t, "0")
			}
			c, err := s.Cost()
			if err != nil {
				t.Fatal(err)
			}
			d := newDrill(t, s)
			notes := 0
			for _, p := range d.Parts() {
				for st := range p.Statements() {
					notes += len(st.Events())
				}
			}
			if want := (Cost{d.Len(), notes, d.Duration()}); c != want {
				t.Errorf("%s, %v: %+v, and the drill is %+v", text, closing, c, want)
			}
			for n, most := range []Cost{{Statements: c.Statements}, {Notes: c.Notes}, {Duration: c.Duration}, c} {
				if _, err := Within(context.Background(), most, s); err != nil {
					t.Errorf("%s, limit %d: %v", text, n, err)
				}
			}
			for _, most := range []Cost{{Statements: c.Statements - 1}, {Notes: c.Notes - 1}, {Duration: c.Duration - 1}, {Notes: 1}, {Duration: 1}} {
				_, err := Within(context.Background(), most, s)
				if zero := most == (Cost{}); (err == nil) != zero {
					t.Errorf("%s, within %+v: %v", text, most, err)
				}
			}
		}
	}
	s := Settings{
		Figure: parseFigure(t, "vvv1:64 99 by 1"), Rest: Rest(figure.MaxLength), Parts: []Instrument{find(t, "flute", 0)},
		Route: parseRoute(t, strings.TrimSuffix(strings.Repeat("0/", cycle.MaxKeys), "/")),
	}
	if _, err := Within(context.Background(), Cost{}, s); err == nil || !strings.Contains(err.Error(), "too long") {
		t.Errorf("too long and too wide: %v", err)
	}
}

// TestLimitsOfOne: a limit of one statement is a limit.
func TestLimitsOfOne(t *testing.T) {
	s := Settings{Figure: parseFigure(t, "3 5 1 6"), Route: parseRoute(t, "05"), Parts: []Instrument{find(t, "piano", 0)}}
	var refused *fault.ValueError
	if _, err := Within(context.Background(), Cost{Statements: 1}, s); !errors.As(err, &refused) || refused.Value != "2 statements" {
		t.Errorf("two statements where one is allowed: %v", err)
	}
	s.Route = parseRoute(t, "0")
	if _, err := Within(context.Background(), Cost{Statements: 1}, s); err != nil {
		t.Error(err)
	}
}
