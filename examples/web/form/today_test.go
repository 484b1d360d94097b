package form

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/practice"
	"example.com/keyorder/figure/session"

	"pgregory.net/rapid"
)

func dayJSON(t testing.TB, d Day) []byte {
	t.Helper()
	text, err := json.Marshal(d)
	if err != nil {
		t.Fatal(err)
	}
	return text
}

// TestLawADayGoesAsPlanned: over some days a player plays the blocks of each day's plan
// as sessions. The plan is that of package practice for the same figures, each block is
// played with what it has, whatever sounds, and is done afterwards.
func TestLawADayGoesAsPlanned(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		day := Day{Minutes: rapid.IntRange(2, 6).Draw(rt, "minutes"), Stage: rapid.SampledFrom([]string{"", "few keys", "mixed rows"}).Draw(rt, "stage"),
			Settings: map[string]string{"instrument": rapid.SampledFrom([]string{"trumpet", "piano"}).Draw(rt, "instrument"), "bass": "walking", "chords": "2 and 4",
				"sound": rapid.SampledFrom([]string{"click", "answer", "model"}).Draw(rt, "sound"), "figure": "no figure", "order": "no order"}}
		trumpet, err := drill.Find(day.Settings["instrument"], drill.LevelComfortable)
		if err != nil {
			rt.Fatal(err)
		}
		set := practice.Settings{Instrument: trumpet, Minutes: day.Minutes, Stage: practice.StageConstantOrders, Seed: 1}
		for n, text := range []string{"1:3 5 4 2 3:2", "{2 m7} 2 4 {5 7} 5:2", "5 2 b3:2 1 in dorian"}[:rapid.IntRange(1, 3).Draw(rt, "ideas")] {
			v := []string{"retrograde", "octave up 2", "inversion"}[n]
			day.Ideas = append(day.Ideas, Idea{Name: fmt.Sprint("idea ", n), Settings: map[string]string{"figure": text, "tempo": "90", "vary": "rotation 1"}, Goal: 100, Variations: []string{v, "sideways"}})
			set.Ideas = append(set.Ideas, practice.Idea{Name: fmt.Sprint("idea ", n), Figure: figure.MustParse(text), Tempo: 90, Goal: 100, Variations: []figure.Variation{figure.MustParseVariation("rotation 1")}})
			if w := figure.MustParseVariation(v); second(w.Apply(figure.MustParse(text))) == nil {
				set.Ideas[n].Variations = []figure.Variation{w, figure.MustParseVariation("rotation 1")}
			}
		}
		log := ""
		for n := range rapid.IntRange(1, 2).Draw(rt, "days") {
			set.Date = practice.Date(20000 + n)
			day.Date = set.Date.String()
			asked := dayJSON(t, day)
			l, err := practice.Read(strings.NewReader(log))
			if err != nil {
				rt.Fatal(err)
			}
			for _, e := range l.Entries {
				set.Stage = e.Stage
			}
			if day.Stage != "" {
				if err := set.Stage.UnmarshalText([]byte(day.Stage)); err != nil {
					rt.Fatal(err)
				}
			}
			want, err := practice.NewPlan(set, l)
			if err != nil {
				rt.Fatal(err)
			}
			got, err := Today(asked, log)
			if err != nil || len(got.Blocks) != len(want.Blocks) || got.Ours || got.Stage != set.Stage.String() {
				rt.Fatalf("%+v, %v; want %+v", got, err, want)
			}
			for k, b := range want.Blocks {
				g := got.Blocks[k]
				if b.Pause {
					continue
				}
				sections := 0
				for range b.Drill.Route.Sections() {
					sections++
				}
				if g.Number != b.Number || g.Title != b.Drill.Title || g.Tempo != b.Drill.Tempo || g.Varied != b.Variation.String() || g.First != b.Test || g.Done != "" || len(g.Keys) != sections {
					rt.Fatalf("block %d is %+v, not %+v", k, g, b)
				}
				s, err := Block(context.Background(), asked, log, b.Number)
				if err != nil {
					rt.Fatalf("block %d: %v", b.Number, err)
				}
				if b.Test && s.Settings().Playback.Mode.String() != "click" {
					rt.Fatalf("in the first try there sounds %v", s.Settings().Playback.Mode)
				}
				plan := s.Plan()
				for _, st := range plan.Statements {
					if err := s.Say(st.Turn, session.VerdictClean); err != nil {
						rt.Fatal(err)
					}
				}
				r, err := s.Report(set.Date, 0)
				if err != nil {
					rt.Fatal(err)
				}
				log += r.Log
			}
			after, err := Today(asked, log)
			if err != nil {
				rt.Fatal(err)
			}
			l, _ = practice.Read(strings.NewReader(log))
			done := want.Done(l)
			for k, b := range after.Blocks {
				if b.Number > 0 && (done[k] < 0 || !strings.HasSuffix(b.Done, " clean")) {
					rt.Fatalf("block %d is done %q, by entry %d", b.Number, b.Done, done[k])
				}
			}
		}
	})
}

func second[A, B any](_ A, b B) B { return b }

// TestToday: without ideas there are three to begin with; what cannot be planned is told;
// what is played in part is told.
func TestToday(t *testing.T) {
	day := Day{Date: "2025-03-02", Settings: map[string]string{"instrument": "flute"}}
	p, err := Today(dayJSON(t, day), "")
	if err != nil || !p.Ours || len(p.Blocks) == 0 || p.Heading != "Sunday, 2 March · 15 min · flute · constant orders" {
		t.Fatalf("%+v, %v", p, err)
	}
	for _, b := range p.Blocks {
		if !slices.Contains([]string{"settle", "sway", "reach"}, b.Title) {
			t.Errorf("a block of %s", b.Title)
		}
	}
	day.Ideas = []Idea{
		{Name: "good", Settings: map[string]string{"figure": "C G Eb F", "meter": "3/4", "tempo": "130"}, Goal: 100},
		{Name: "same", Settings: map[string]string{"figure": "1 v5 vb3 v4"}},
		{Name: "away", Settings: map[string]string{"figure": "3 5"}, Until: "2025-03-03"},
		{Name: "back", Settings: map[string]string{"figure": "3 5 2"}, Until: "2025-03-02"},
		{Name: "odd", Settings: map[string]string{"figure": "3 x"}, Until: "soon"},
		{Name: "fast", Settings: map[string]string{"figure": "3 6"}, Goal: 9},
		{Name: "new", Settings: map[string]string{"figure": "3 4", "colour": "red"}},
		{Name: "slow", Settings: map[string]string{"figure": "3 4", "tempo": "slow"}},
		{Name: "bar", Settings: map[string]string{"figure": "3 4", "meter": "4/5"}},
	}
	p, err = Today(dayJSON(t, day), "")
	if err != nil {
		t.Fatal(err)
	}
	aside := strings.Join(p.Aside, "\n")
	for _, want := range []string{"same: the same figure as good, which is planned.", "away: put aside, comes back on 2025-03-03", `odd: Figure: "3 x" at character 3: `, "fast: the goal is a tempo from 10 to 500, not 9.",
		`new: there is no setting "colour"`, `slow: Tempo: "slow": `, `bar: Meter: `} {
		if !strings.Contains(aside, want) {
			t.Errorf("left aside are\n%s\nwithout %s", aside, want)
		}
	}
	if titles := fmt.Sprint(p.Blocks[0].Title, " ", p.Blocks[1].Title); titles != "good back" || p.Blocks[0].Tempo != 100 {
		t.Errorf("planned are %s, from %d", titles, p.Blocks[0].Tempo)
	}
	// A part of a block: two of its keys.
	s, err := Block(context.Background(), dayJSON(t, day), "", 1)
	if err != nil {
		t.Fatal(err)
	}
	for n, v := range []session.Verdict{session.VerdictClean, session.VerdictUnsaid, session.VerdictNotClean} {
		if err := s.Say(s.Plan().Statements[n].Turn, v); err != nil {
			t.Fatal(err)
		}
	}
	r, err := s.Report(practice.MustParseDate(day.Date), 0)
	if err != nil {
		t.Fatal(err)
	}
	if p, err = Today(dayJSON(t, day), r.Log); err != nil || p.Blocks[0].Done != "1 of 2 clean" || p.Blocks[1].Done != "" {
		t.Errorf("played in part it is %q, %v\n%s", p.Blocks[0].Done, err, r.Log)
	}
	day.Ideas = day.Ideas[2:3]
	if p, err = Today(dayJSON(t, day), ""); err != nil || len(p.Blocks) != 0 || len(p.Aside) != 1 {
		t.Errorf("with all put aside: %+v, %v", p, err)
	}
	for text, want := range map[string]string{
		"{": "no JSON object", `{"date":"today"}`: "2025-03-02", `{"date":"2025-03-02","minutes":500}`: "1 to 240", `{"date":"2025-03-02","stage":"best"}`: "few keys",
		`{"date":"2025-03-02","settings":{"instrument":"kettle"}}`: "kettle", `{"date":"2025-03-02","settings":{"hue":""}}`: "no setting", strings.Repeat(" ", MaxPlan+1): "bytes long",
	} {
		if _, err := Today([]byte(text), ""); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%.60s: %v, want %s", text, err, want)
		}
	}
	day.Ideas = nil
	if _, err := Block(context.Background(), dayJSON(t, day), "", 99); err == nil || !strings.Contains(err.Error(), "no block 99") {
		t.Errorf("block 99: %v", err)
	}
	day.Settings["sound"] = "loud"
	if _, err := Block(context.Background(), dayJSON(t, day), "", 1); err == nil {
		t.Error("an unknown sound is taken")
	}
}

// TestPast: the moves that it has are those of the log; days and takes are added up by
// another way than there.
func TestPast(t *testing.T) {
	var log bytes.Buffer
	trumpet, err := drill.Find("trumpet", drill.LevelComfortable)
	if err != nil {
		t.Fatal(err)
	}
	set := practice.Settings{Instrument: trumpet, Minutes: 8, Stage: practice.StageConstantOrders, Ideas: []practice.Idea{{Figure: figure.MustParse("3 5 1 6"), Variations: []figure.Variation{figure.MustParseVariation("retrograde")}}, {Figure: figure.MustParse("5 2 b3:2 1")}}}
	played := map[practice.Date][2]int{}
	for n := range 5 {
		set.Date = practice.Date(20000 + 3*n)
		l, err := practice.Read(bytes.NewReader(log.Bytes()))
		if err != nil {
			t.Fatal(err)
		}
		p, err := practice.NewPlan(set, l)
		if err != nil {
			t.Fatal(err)
		}
		for k := range p.Blocks {
			e := p.Entry(k)
			if (n+k)%3 == 0 {
				for m := range e.Route.Moves() {
					e.FailedMoves, e.Clean = append(e.FailedMoves, m), e.Clean-1
					break
				}
			}
			if n == 4 {
				e.Instrument = "tin whistle"
			}
			was := played[e.Date]
			played[e.Date] = [2]int{was[0] + e.Clean, was[1] + e.Played}
			if err := practice.AppendEntry(&log, e); err != nil {
				t.Fatal(err)
			}
		}
	}
	day := Day{Date: "2025-03-02", Settings: map[string]string{"instrument": "trumpet"}, Ideas: []Idea{{Name: "mine", Settings: map[string]string{"figure": "3 5 1 6"}, Goal: 140}}}
	h, err := Past(dayJSON(t, day), log.String()+"torn")
	if err != nil {
		t.Fatal(err)
	}
	l, _ := practice.Read(bytes.NewReader(log.Bytes()))
	clean, failed := l.Tally(trumpet.Name)
	wasClean, wasTried := 0, 0
	for _, o := range h.Orders {
		for _, m := range o.Moves {
			if len(m.Clean) > 0 {
				wasClean++
			}
			if len(m.Clean)+len(m.Tried) > 0 {
				wasTried++
			}
			if !slices.IsSorted(m.Clean) || slices.ContainsFunc(m.Tried, func(d int32) bool { return slices.Contains(m.Clean, d) }) {
				t.Errorf("%s: %+v", o.Title, m)
			}
		}
	}
	all := clean
	all.Merge(failed)
	if wasClean != clean.Made() || wasTried != all.Made() || len(h.Orders) != 11 {
		t.Errorf("%d moves clean and %d tried, want %d and %d", wasClean, wasTried, clean.Made(), all.Made())
	}
	if !slices.Equal(h.Instruments, []string{"tin whistle", "trumpet in B♭"}) || h.Instrument != "trumpet in B♭" || h.Keys[3] != "E♭" || h.Orders[8].Title != "up by fourths" || h.Orders[8].Moves[3].From != "B♭" {
		t.Errorf("%v %v %v %v", h.Instruments, h.Instrument, h.Orders[8].Title, h.Orders[8].Moves[3])
	}
	if len(h.Days) != len(played) {
		t.Errorf("%d days, not %d", len(h.Days), len(played))
	}
	for _, d := range h.Days {
		if got := [2]int{d.Clean, d.Played}; got != played[practice.Date(d.Day)] || d.Minutes < 2 {
			t.Errorf("on day %d: %+v, not %v", d.Day, d, played[practice.Date(d.Day)])
		}
	}
	takes, firsts, varied := 0, 0, 0
	for _, f := range h.Takes {
		for _, k := range f.Take {
			takes++
			if k.First {
				firsts++
			}
			if k.Varied != "" {
				varied++
			}
		}
	}
	want, wantFirsts, wantVaried := 0, 0, 0
	for _, e := range l.Entries {
		if e.Instrument == trumpet.Name {
			want++
			if e.FirstTry {
				wantFirsts++
			}
			if e.Variation != (figure.Variation{}) {
				wantVaried++
			}
		}
	}
	if takes != want || firsts != wantFirsts || varied != wantVaried || len(h.Takes) != 2 {
		t.Errorf("%d takes, %d first, %d varied; want %d, %d, %d", takes, firsts, varied, want, wantFirsts, wantVaried)
	}
	names := map[string]int{h.Takes[0].Name: h.Takes[0].Goal, h.Takes[1].Name: h.Takes[1].Goal}
	if names["mine"] != 140 || names["5 2 ♭3:2 1"] != 0 || len(names) != 2 {
		t.Errorf("the figures are %v", names)
	}
	if _, err := Past([]byte("{"), ""); err == nil {
		t.Error("no JSON is taken")
	}
	if empty, err := Past(dayJSON(t, day), ""); err != nil || len(empty.Days) != 0 {
		t.Errorf("%+v, %v", empty, err)
	}
}

// TestManyFigures: of more figures than are drawn those played last are there.
func TestManyFigures(t *testing.T) {
	var log bytes.Buffer
	for n := range 45 {
		s := mustNew(t, fmt.Sprintf(`{"figure":"3 %d","keys":"C","range":"full"}`, n+4), "")
		r, err := (Played{Says: "c", Date: practice.Date(20000 + n).String()}).Report(s)
		if err != nil {
			t.Fatal(err)
		}
		log.WriteString(r.Log)
	}
	h, err := Past(dayJSON(t, Day{Date: "2025-03-02"}), log.String())
	if err != nil || len(h.Takes) != 40 || h.More != 5 || h.Takes[0].Name != "3 48" {
		t.Errorf("%d figures and %d more, %v", len(h.Takes), h.More, err)
	}
}

// TestFigure: what can be done with a figure is read, is other than the figure, and is
// what its text says; first tries are told.
func TestFigure(t *testing.T) {
	day := Day{Date: "2025-03-02", Settings: map[string]string{"figure": "1:3 5 4 2 3:2", "vary": "retrograde"}}
	a, err := Figure(dayJSON(t, day), "")
	if err != nil {
		t.Fatal(err)
	}
	if want := []string{"1:3 5", "1:3 5 4", "1:3 5 4 2", "1:3 5 4 2 3:2"}; !slices.Equal(a.Beginnings, want) {
		t.Errorf("it begins %q", a.Beginnings)
	}
	got := map[string]string{}
	for _, o := range a.Offers {
		got[o.Text] = o.Degrees
	}
	for text, want := range map[string]string{"retrograde": "3:2 2 4 5 1:3", "inversion about 1": "1:3 ↓4 ↓5 ↓7 ↓6:2", "rhythm 2 1 1 1 3": "1:2 5 4 2 3:3", "octave up 2": "1:3 12 4 2 3:2", "displaced 1/8": "0 1:3 5 4 2 3:2", "in natural minor": "1:3 5 4 2 3:2 in natural minor"} {
		if got[text] != want {
			t.Errorf("%s is offered as %q, not %q; there are %v", text, got[text], want, got)
		}
	}
	if _, ok := got["in major"]; ok {
		t.Error("the scale that it has is offered")
	}
	log := ""
	for n, date := range []string{"2025-03-01", "2025-03-02", "2025-03-02"} {
		r, err := (Played{Says: "cn", Date: date}).Report(mustNew(t, `{"keys":"Eb F","tempo":"90"}`, log))
		if err != nil {
			t.Fatal(err)
		}
		if log += r.Log; n == 0 {
			if b, err := Figure(dayJSON(t, day), log); err != nil || b.Played || len(b.First) != 1 {
				t.Errorf("the day after: %+v, %v", b, err)
			}
		}
	}
	if a, err = Figure(dayJSON(t, day), log); err != nil || !a.Played || len(a.First) != 2 || a.First[1] != (Take{Day: int32(practice.MustParseDate("2025-03-02")), Tempo: 90, Clean: 1, Played: 2, First: true}) {
		t.Errorf("%+v, %v", a, err)
	}
	day.Settings["instrument"] = "flute"
	if a, err = Figure(dayJSON(t, day), log); err != nil || a.Played || len(a.First) != 0 {
		t.Errorf("on another instrument: %+v, %v", a, err)
	}
	for _, written := range []string{"3 5 1 6", "1+3 0 5", "{2 m7} 2 4 {5 7} 5:2", "5 | 1 2:3/2", "1 4 b3 b7 in dorian", "3 5 1 6 over {2 m7} {5 7}:8", "1", "1 1 1"} {
		a, err := Figure(dayJSON(t, Day{Date: "2025-03-02", Settings: map[string]string{"figure": written}}), "")
		if err != nil {
			t.Fatal(err)
		}
		for _, o := range a.Offers {
			settings, err := json.Marshal(map[string]string{"figure": written, "vary": o.Text, "range": "full"})
			if err != nil {
				t.Fatal(err)
			}
			s, err := open(string(settings), "")
			if err != nil {
				t.Errorf("%s, %s is offered and refused: %v", written, o.Text, err)
				continue
			}
			text, _, _ := strings.Cut(s.Played().String(), " in ")
			offered, _, _ := strings.Cut(o.Degrees, " in ")
			if text != offered || s.Played().Equal(figure.MustParse(written)) {
				t.Errorf("%s, %s is offered as %s and played as %s", written, o.Text, o.Degrees, text)
			}
		}
	}
	for _, bad := range []string{`{"settings":{"figure":"x"}}`, `{"settings":{"instrument":"kettle"}}`, "["} {
		if _, err := Figure([]byte(bad), ""); err == nil {
			t.Errorf("%s is taken", bad)
		}
	}
}

// TestVaried: a varied figure is planned varied, its keys are those of its scale, and it
// is logged as a variation of the idea.
func TestVaried(t *testing.T) {
	s := mustNew(t, `{"figure":"C E G F","vary":"in minor","order":"m2","sound":"answer"}`, "")
	text, err := AppendPlan(nil, s, 3)
	var plan struct{ Degrees, Scale, Idea, Varied string }
	if err != nil || json.Unmarshal(text, &plan) != nil {
		t.Fatal(err)
	}
	if plan.Degrees != "1 3 5 4" || plan.Scale != "natural minor" || plan.Idea != "1 3 5 4" || plan.Varied != "in natural minor" {
		t.Errorf("the plan has %+v", plan)
	}
	if a, err := s.Answer(0); err != nil || a.Notes != "C E♭ G F" {
		t.Errorf("it plays %q, %v", a.Notes, err)
	}
	if key := s.Plan().Statements[1].Key; key != "C♯" {
		t.Errorf("the second key of minor is %s", key)
	}
	r, err := (Played{Says: "cc", Date: "2025-03-02"}).Report(s)
	if err != nil || !strings.Contains(r.Log, `"figure":"1 3 5 4","variation":"in natural minor"`) || strings.Contains(r.Log, "first_try") {
		t.Errorf("it is logged as %s, %v", r.Log, err)
	}
	for vary, want := range map[string]string{"sideways": `Varied: "sideways": a variation is one of`, "octave up 9": "Varied: note 9: ", "retrograde; rotation 1": "Varied: "} {
		settings, err := json.Marshal(map[string]string{"vary": vary})
		if err != nil {
			t.Fatal(err)
		}
		_, err = open(string(settings), "")
		if err == nil {
			t.Errorf("%s is taken", vary)
			continue
		}
		if field, text := Text(err); field != "vary" || !strings.HasPrefix(text, want) {
			t.Errorf("%s: %s, %s", vary, field, text)
		}
	}
	if _, err := open(`{"figure":"3 5","bass":"walking"}`, ""); err == nil {
		t.Error("a bass without chords is taken")
	} else if field, text := Text(err); field != "chords" || text != "Chords: the figure has no chords, as {2 m7}, so that a drone only can sound." {
		t.Errorf("%s: %s", field, text)
	}
}
