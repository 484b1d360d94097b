package form

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/practice"
	"example.com/keyorder/figure/session"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
)

func open(settings, log string) (*session.Session, error) {
	return New(context.Background(), []byte(settings), log)
}

func mustNew(t testing.TB, settings, log string) *session.Session {
	t.Helper()
	s, err := open(settings, log)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// Played is what was played of a session, in short.
type Played struct {
	// Says has c for clean, n for not clean and - for nothing said, for each
	// statement that was played.
	Says    string  `json:"says"`
	Date    string  `json:"date"` // as 2025-03-02
	Seconds float64 `json:"seconds"`
}

// Report says to the session what was said, and returns what came of it.
func (p Played) Report(s *session.Session) (session.Report, error) {
	date, err := practice.ParseDate(p.Date)
	if err != nil {
		return session.Report{}, err
	}
	plan := s.Plan()
	statements := plan.Statements
	if len(p.Says) > len(statements) {
		return session.Report{}, fmt.Errorf("there are %d says; the session has %d statements", len(p.Says), len(statements))
	}
	for n, st := range statements {
		v := session.VerdictUnsaid
		if n < len(p.Says) {
			switch p.Says[n] {
			case 'c':
				v = session.VerdictClean
			case 'n':
				v = session.VerdictNotClean
			case '-':
			default:
				return session.Report{}, fmt.Errorf("%.60q is no list of says; it has c, n and -", p.Says)
			}
		}
		if err := s.Say(st.Turn, v); err != nil {
			return session.Report{}, err
		}
	}
	end := len(plan.Turns)
	if len(p.Says) < len(statements) {
		end = statements[len(p.Says)].Turn
	}
	if err := s.Go(end); err != nil {
		return session.Report{}, err
	}
	return s.Report(date, time.Duration(p.Seconds*float64(time.Second)))
}

func Example() {
	s, err := open(`{"figure":"1 4 b3 b7 in dorian","order":"-M2","instrument":"trumpet","tempo":"120"}`, "")
	if err != nil {
		fmt.Println(err)
		return
	}
	p := s.Plan()
	for _, st := range p.Statements[:3] {
		fmt.Println(st.Key, st.Start, st.End)
	}
	r, err := (Played{Says: "cnc", Date: "2025-03-02", Seconds: 14}).Report(s)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Print(r.Log)
	// Output:
	// C 2 3
	// B♭ 6 7
	// A♭ 10 11
	// {"version":2,"date":"2025-03-02","figure":"1 4 b3 b7 in dorian","order":"-M2","keys":"(0T8642)/(1E9753)","instrument":"trumpet in B♭","first":"C4","stage":"constant orders","tempo":120,"rest":"1","clean":2,"statements":3,"failed_moves":"0T","first_try":true}
}

// The times follow from the definition of the tempo: at 90 quarters a minute a
// bar of 3/4 takes two seconds.
func TestPlanTimes(t *testing.T) {
	s := mustNew(t, `{"figure":"5 | 1 3 5","meter":"3/4","tempo":"90","order":"A4","sound":"answer"}`, "")
	b, err := s.AppendJSON(nil)
	if err != nil {
		t.Fatal(err)
	}
	var p struct {
		session.Plan
		Clicks [][2]float64
		Notes  [][3]float64
	}
	if err := json.Unmarshal(b, &p); err != nil {
		t.Fatal(err)
	}
	near := func(what string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 2e-6 {
			t.Errorf("%s: %v s, not %v", what, got, want)
		}
	}
	near("count-in, up to the pickup", p.Orders[0].CountIn, p.Statements[0].Start)
	eighth := 1.0 / 3
	for n, c := range p.Clicks {
		near("click", c[0], float64(n)*2/3)
		if accent := n%3 == 0; (c[1] == 1) != accent {
			t.Errorf("click %d: accent %v", n, c[1])
		}
	}
	near("duration, with a last bar that does not click", p.Duration, float64(len(p.Clicks))*2/3+2)
	first, second := p.Statements[0], p.Statements[1]
	near("length with its pickup", first.End-first.Start, 4*eighth)
	near("the cue, on the last beat before the pickup", p.Notes[0][0], 5*2.0/3)
	near("which lasts until the pickup", p.Notes[0][0]+p.Notes[0][1], first.Start)
	var answer []float64
	for _, n := range p.Notes[1:] {
		if n[0] > first.End && n[0] < second.Start-1e-6 {
			answer = append(answer, n[0])
		}
	}
	if len(answer) != 5 {
		t.Fatalf("the answer and the next cue have %d notes", len(answer))
	}
	near("the next cue", answer[4], second.Start-eighth)
	for n := range answer[:4] {
		near("answer", answer[n]-answer[0], float64(n)*eighth)
	}
	if !second.Held && second.Key != "G♭" {
		t.Errorf("a tritone from C lies %q", second.Key)
	}
}

// TestLawKeys compares the keys and moves of a plan with the order's own.
func TestLawKeys(t *testing.T) {
	for _, text := range strings.Fields("m2 -m2 M2 -M2 m3 -m3 M3 -M3 P4 -P4 A4") {
		s := mustNew(t, fmt.Sprintf(`{"order":%q,"first":"A"}`, text), "")
		step, err := interval.Parse(text)
		if err != nil {
			t.Fatal(err)
		}
		var want, got []string
		for _, k := range cycle.By(step).From(9).Closed().Run() {
			want = append(want, figure.Major.Tonics()[k].String())
		}
		for _, st := range s.Plan().Statements {
			got = append(got, st.Key)
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s: keys %v, not %v", text, got, want)
		}
	}
}

// TestMovesAsPlayersSay: from key to key no interval is diminished or augmented, however
// the two notes are spelled, and a note that comes again is said to be the last one.
func TestMovesAsPlayersSay(t *testing.T) {
	said := map[string]bool{}
	for _, figure := range []string{"1:3 5 4 2 3:2", "3 5 1 6", "5 2 b3:2 1", "1 3"} {
		for _, order := range strings.Fields("m2 M2 m3 -M3 P4 A4") {
			b, err := AppendPlan(nil, mustNew(t, fmt.Sprintf(`{"figure":%q,"order":%q}`, figure, order), ""), 1)
			var plan struct{ Moves []string }
			if err == nil {
				err = json.Unmarshal(b, &plan)
			}
			if err != nil {
				t.Fatal(err)
			}
			for _, words := range plan.Moves {
				said[words] = true
			}
		}
	}
	for words := range said {
		if strings.Contains(words, "unison") || strings.Contains(words, "diminished") || strings.Contains(words, "augmented") {
			t.Errorf("a move is %q", words)
		}
	}
	if !said["the same note as the last one"] || said["the same note"] || !said["down a half step"] || !said["up a minor third"] {
		t.Errorf("the moves are %v", said)
	}
}

func TestAnswer(t *testing.T) {
	s := mustNew(t, `{"figure":"1 3 5+7","order":"M3 -M3","instrument":"alto saxophone"}`, "")
	statements := s.Plan().Statements
	for n, st := range statements {
		a, err := s.Answer(n)
		if err != nil {
			t.Fatal(err)
		}
		if !strings.HasPrefix(a.Notes, st.Key) || len(a.SVG) != 1 || !strings.HasPrefix(a.SVG[0], "<svg") {
			t.Errorf("statement %d in %s: answer %q, %d staves", n, st.Key, a.Notes, len(a.SVG))
		}
		if want := 4; !st.Held && len(strings.FieldsFunc(a.Notes, func(r rune) bool { return r == ' ' || r == '+' })) != want {
			t.Errorf("statement %d: %q has not %d notes", n, a.Notes, want)
		}
		c, err := s.Circle(n)
		if err != nil || !strings.HasPrefix(c, "<svg") {
			t.Errorf("circle of statement %d: %.20q, %v", n, c, err)
		}
	}
	if a, err := s.Answer(1); err != nil || a.Notes != "E G♯ B+D♯" {
		t.Errorf("1 3 5+7 in E: %q, %v", a.Notes, err)
	}
	for _, n := range []int{-1, len(statements)} {
		if _, err := s.Answer(n); err == nil {
			t.Errorf("there is an answer %d", n)
		}
		if _, err := s.Circle(n); err == nil {
			t.Errorf("there is a circle %d", n)
		}
	}
}

// TestCircleMarksTheMove compares circles: the one of a move differs from that
// of the key before, and the first of a cycle marks none.
func TestCircleMarksTheMove(t *testing.T) {
	s := mustNew(t, `{"order":"M3"}`, "")
	circles := make([]string, 5)
	for n := range circles {
		var err error
		if circles[n], err = s.Circle(n); err != nil {
			t.Fatal(err)
		}
	}
	if circles[0] == circles[1] || circles[1] == circles[2] {
		t.Error("the circle does not show which move is made")
	}
	if circles[0] != circles[4] {
		t.Error("the first keys of two cycles are reached by no move, but their circles differ")
	}
}

// TestLawLog says anything of the statements, and reads in the log what was
// said: of every two statements in a row that were judged.
func TestLawLog(t *testing.T) {
	orders := []string{"m2", "-M2", "m3", "A4", "P4,-m3", "wedge", "everymove", "m3 -M3"}
	rapid.Check(t, func(rt *rapid.T) {
		closing := rapid.SampledFrom([]string{"held", "full", "open"}).Draw(rt, "close")
		s, err := open(fmt.Sprintf(`{"order":%q,"close":%q,"instrument":"piano"}`, rapid.SampledFrom(orders).Draw(rt, "order"), closing), "")
		if err != nil {
			rt.Fatal(err)
		}
		total := len(s.Plan().Statements)
		alphabet := rapid.SampledFrom([]string{"cn", "c", "cn-", "-"}).Draw(rt, "alphabet")
		says := ""
		for range rapid.IntRange(0, total).Draw(rt, "played") {
			says += string(rapid.SampledFrom([]byte(alphabet)).Draw(rt, "say"))
		}
		r, err := (Played{Says: says, Date: "2025-03-02", Seconds: 100}).Report(s)
		if err != nil {
			rt.Fatal(err)
		}
		log, err := practice.Read(strings.NewReader(r.Log))
		if err != nil || log.Bad > 0 || len(log.Torn) > 0 {
			rt.Fatalf("the log is read as %+v, %v", log, err)
		}
		type made struct {
			move  cycle.Move
			clean bool
		}
		var want, got []made
		wantClean, wantJudged, at := 0, 0, 0
		for _, d := range s.Line().Drills() {
			section, from, judged := -1, pitch.Class(0), false
			for st := range d.Parts()[0].Statements() {
				if at == len(says) {
					break
				}
				to := st.Written.Name().Class()
				say := says[at]
				at++
				if say != '-' && judged && st.Section == section {
					want = append(want, made{cycle.Move{From: from, To: to}, say == 'c'})
				}
				section, from, judged = st.Section, to, say != '-'
				if judged {
					wantJudged++
				}
				if say == 'c' {
					wantClean++
				}
			}
		}
		gotClean, gotJudged := 0, 0
		for _, e := range log.Entries {
			gotClean += e.Clean
			gotJudged += e.Played
			for m, clean := range e.Moves() {
				got = append(got, made{m, clean})
			}
		}
		if gotClean != wantClean || gotJudged != wantJudged {
			rt.Errorf("%s: the log has %d of %d clean, not %d of %d", says, gotClean, gotJudged, wantClean, wantJudged)
		}
		if !slices.Equal(got, want) {
			rt.Errorf("%s: the log has the moves %v, not %v", says, got, want)
		}
	})
}

// TestKeep: no line is glued onto another, and a session has its lines once.
func TestKeep(t *testing.T) {
	r, err := (Played{Says: "cc", Date: "2025-03-02"}).Report(mustNew(t, `{}`, ""))
	if err != nil {
		t.Fatal(err)
	}
	line := r.Log
	other := strings.Replace(line, `"clean":2`, `"clean":1`, 1)
	torn := line[:40]
	for _, c := range []struct {
		log, had, lines, want string
		entries, bad          int
	}{
		{"", "", line, line, 1, 0},
		{other, "", line, other + line, 2, 0},
		{torn, "", line, torn + "\n" + line, 1, 1},
		{other + torn, "", line, other + torn + "\n" + line, 2, 1},
		{strings.TrimSpace(other), "", line, other + line, 2, 0},
		{strings.TrimSpace(other) + "\r", "", line, strings.TrimSpace(other) + "\r" + line, 2, 0},
		{torn, "", "", torn, 0, 0},
		{other + line + other, line, other, other + other + other, 3, 0},
		{other + line, line, "", other, 1, 0},
		{other, line, line, other + line, 2, 0}, // erased meanwhile
	} {
		got := Keep(c.log, c.had, c.lines)
		l, err := practice.Read(strings.NewReader(got))
		if got != c.want || err != nil || len(l.Entries) != c.entries || l.Bad != c.bad {
			t.Errorf("%q, %q, %q: %q, %d entries, %d bad, want %q", c.log, c.had, c.lines, got, len(l.Entries), l.Bad, c.want)
		}
	}
	for log, want := range map[string]string{
		torn:                                     "ended with the beginning of a line",
		other + "x\n":                            "one line is not read: line 2",
		strings.Replace(line, "2025", "2099", 1): "entries of the future, one of 2099-03-02",
		other:                                    "",
	} {
		r, err := (Played{Says: "c", Date: "2025-03-02"}).Report(mustNew(t, `{}`, log))
		if err != nil || !strings.Contains(r.Problem, want) || want == "" && r.Problem != "" {
			t.Errorf("%q: %q, %v; want %q", log, r.Problem, err, want)
		}
	}
}

// A session that was judged to where it stopped is logged with its whole route,
// so that it counts as the order that it is.
func TestReportOfAWholeOrder(t *testing.T) {
	s := mustNew(t, `{"order":"m3"}`, "")
	for _, says := range []string{"ccnc", strings.Repeat("c", 15)} {
		r, err := (Played{Says: says, Date: "2025-03-02", Seconds: 61}).Report(s)
		if err != nil {
			t.Fatal(err)
		}
		log, err := practice.Read(strings.NewReader(r.Log))
		if err != nil || len(log.Entries) != 1 {
			t.Fatal(log, err)
		}
		e := log.Entries[0]
		switch {
		case !e.Route.Equal(cycle.By(interval.MinorThird).Closed()):
			t.Errorf("%s: logged as %+v: the route is %v", says, e, e.Route)
		case e.Played != len(says):
			t.Errorf("%s: logged as %+v: %d played, want %d", says, e, e.Played, len(says))
		case e.Stage != practice.StageConstantOrders:
			t.Errorf("%s: logged as %+v: the stage is %v", says, e, e.Stage)
		case !e.FirstTry:
			t.Errorf("%s: logged as %+v: not at the first try", says, e)
		case e.Minutes != 1:
			t.Errorf("%s: logged as %+v: %d minutes, want 1", says, e, e.Minutes)
		}
		again := mustNew(t, `{"order":"m3"}`, r.Log)
		if r, err = (Played{Says: says, Date: "2025-03-02"}).Report(again); err != nil || strings.Contains(r.Log, "first_try") {
			t.Errorf("the second session of the day is logged as %s, %v", r.Log, err)
		}
	}
}

// What is to be played next follows from what was made: after all eleven orders
// nothing is left (the theorem of the 132 moves); after one, its moves are not
// among the gaps.
func TestReportFillsGaps(t *testing.T) {
	s := mustNew(t, `{"order":"all"}`, "")
	r, err := (Played{Says: strings.Repeat("c", 160), Date: "2025-03-02"}).Report(s)
	if err != nil || r.Moves != 132 || r.Clean != 132 || r.Made != 132 || r.Fills != 0 {
		t.Errorf("after all eleven orders: %d moves, %d clean, %d made, %d to fill, %v", r.Moves, r.Clean, r.Made, r.Fills, err)
	}
	s = mustNew(t, `{"order":"m2"}`, "")
	if r, err = (Played{Says: strings.Repeat("c", 13), Date: "2025-03-02"}).Report(s); err != nil || r.Freshest == "m2" || r.Fills != 12 || r.Made != 12 {
		t.Errorf("after half steps: %s fills %d, %d made, %v", r.Freshest, r.Fills, r.Made, err)
	}
	switch c := r.Table[0][1]; {
	case c.Ever != "clean":
		t.Errorf("half steps stand in the table as %+v, %+v: not ever clean", c, r.Table[0][2])
	case c.Now != "clean":
		t.Errorf("half steps stand in the table as %+v, %+v: not now clean", c, r.Table[0][2])
	case r.Table[0][2].Ever != "":
		t.Errorf("half steps stand in the table as %+v, %+v: the next is made", c, r.Table[0][2])
	}
	s = mustNew(t, `{"order":"fresh"}`, r.Log)
	if title := s.Plan().Orders[0].Title; strings.Contains(title, "up by half steps") {
		t.Errorf("after half steps the freshest is %s", title)
	}
	// A failed move is still a gap, and what was not judged is no entry.
	s = mustNew(t, `{"order":"m2"}`, "")
	if r, err = (Played{Says: strings.Repeat("n", 13), Date: "2025-03-02"}).Report(s); err != nil || r.Made != 0 || r.Table[0][1].Ever != "not clean" {
		t.Errorf("all failed: %d made, %+v, %v", r.Made, r.Table[0][1], err)
	}
	if r, err = (Played{Says: strings.Repeat("-", 13), Date: "2025-03-02"}).Report(s); err != nil || r.Log != "" || r.Moves != 12 || r.Table[0][1].Now != "played" {
		t.Errorf("none judged: log %q, %d moves, %+v, %v", r.Log, r.Moves, r.Table[0][1], err)
	}
}

// TestNames: keys are called as the player wants them, and the first key as it
// was typed.
func TestNames(t *testing.T) {
	for settings, want := range map[string]string{
		`{"figure":"1 3 4 5 in blues","order":"A4"}`:                              "C F♯",
		`{"figure":"1 3 4 5 in blues","order":"A4","names":"flats"}`:              "C G♭",
		`{"figure":"1 3 4 5 in blues","order":"A4","names":"flats","first":"F#"}`: "F♯ C",
		`{"scale":"minor","order":"M3","first":"Eb","names":"D# Ab"}`:             "E♭ G B",
		`{"scale":"minor","order":"M3","names":"D# Ab","instrument":"trumpet"}`:   "C E A♭",
	} {
		s := mustNew(t, settings, "")
		var got []string
		for _, st := range s.Plan().Statements {
			if !st.Return && st.Cycle == 0 {
				got = append(got, st.Key)
			}
		}
		if strings.Join(got, " ") != want {
			t.Errorf("%s: %v, want %s", settings, got, want)
		}
		if a, err := s.Answer(1); err != nil || !strings.HasPrefix(a.Notes, got[1]) {
			t.Errorf("%s: %v, %v", settings, a.Notes, err)
		}
	}
}

func TestRefused(t *testing.T) {
	for _, test := range []struct{ settings, field, want string }{
		{`{"figure":"1 x"}`, "figure", "Figure: "},
		{`{"figure":"0"}`, "figure", "1 to 64 notes"},
		{`{"figure":"` + strings.Repeat("1 ", 65) + `"}`, "figure", "not 65"},
		{`{"figure":"1 in dorian","scale":"major"}`, "scale", "name it once"},
		{`{"scale":"nonesuch"}`, "scale", "Scale: "},
		{`{"order":"P4,P4,-P4"}`, "order", "comes again"},
		{`{"order":"all all"}`, "order", "at most 12"},
		{`{"instrument":"kettle"}`, "instrument", "Instrument: "},
		{`{"range":"all"}`, "range", "comfortable"},
		{`{"first":"H"}`, "first", "A to G"},
		{`{"names":"high"}`, "names", "What keys are called: "},
		{`{"names":"Eb D#"}`, "names", "E♭ and D♯ are one key"},
		{`{"meter":"4/5"}`, "meter", "Meter: "},
		{`{"tempo":"NaN"}`, "tempo", "10 to 500"},
		{`{"tempo":"-80"}`, "tempo", "10 to 500"},
		{`{"tempo":"80.5"}`, "tempo", "10 to 500"},
		{`{"rest":"17"}`, "rest", "0 to 16"},
		{`{"rest":"0","sound":"answer"}`, "rest", "rest"},
		{`{"sound":"call"}`, "sound", "answer"},
		{`{"show":"never"}`, "show", "ask"},
		{`{"fit":"squeeze"}`, "fit", "leave out"},
		{`{"figure":"1 15","instrument":"trumpet C4-E4"}`, "fit", "span"},
		{`{"figure":"3 5 1 6 over jazz blues","instrument":"alto saxophone"}`, "fit", "; or choose the range full, B♭3 to F6, which has all twelve; or have the others left out."},
		{`{"figure":"1 22","instrument":"alto saxophone"}`, "fit", "as from B♭3 to "},
		{`{"close":"shut"}`, "close", "held"},
		{`{"tempo":80}`, "", "JSON object of texts"},
		{`[]`, "", "JSON object of texts"},
		{`{`, "", "JSON object of texts"},
		{`{"colour":"red","apple":"x"}`, "", `no setting "apple"`},
		{`{"figure":"` + strings.Repeat("1", MaxSettings) + `"}`, "", "bytes long"},
	} {
		_, err := open(test.settings, "")
		if err == nil {
			t.Errorf("%.60s is not refused but %v", test.settings, err)
			continue
		}
		if field, text := Text(err); field != test.field || !strings.Contains(text, test.want) || strings.Contains(text, "\n") || !strings.HasSuffix(text, ".") {
			t.Errorf("%.60s is refused in field %q with %q", test.settings, field, text)
		}
	}
	s := mustNew(t, `{}`, "")
	for _, p := range []Played{{Says: strings.Repeat("c", 16), Date: "2025-03-02"}, {Says: "x", Date: "2025-03-02"}, {Says: "c", Date: "yesterday"}} {
		if _, err := p.Report(s); err == nil {
			t.Errorf("%+v is taken", p)
		}
	}
	if r, err := (Played{Says: "c", Date: "2025-03-02"}).Report(mustNew(t, `{}`, "no log\n")); err != nil || r.Problem == "" {
		t.Errorf("a broken log: problem %q, %v", r.Problem, err)
	}
}

// TestChoices checks that whatever can be chosen is taken.
func TestChoices(t *testing.T) {
	c := AllChoices()
	for _, f := range c.Fields {
		if f.Label == "" {
			t.Errorf("the field %s has no label", f.Name)
		}
		for _, choice := range c.Choices[f.Name] {
			given := map[string]string{"figure": "{1 7} 1 5", "fit": "leave out"} // every scale has 1 and 5
			given[f.Name] = choice.Text
			if f.Name == "fit" {
				given["instrument"] = "flute"
			}
			settings, err := json.Marshal(given)
			if err != nil {
				t.Fatal(err)
			}
			if _, err := open(string(settings), ""); err != nil {
				t.Errorf("%s can be chosen but is refused: %v", settings, err)
			}
		}
	}
	if math.Abs(c.Hertz[69]-440) > 1e-9 {
		t.Errorf("A4 is at %v Hz", c.Hertz[69])
	}
}

// Orders are read as the page itself writes them, in the field, in a link, and as the
// words beside what can be chosen; the log takes them, however long.
func TestOrdersInWords(t *testing.T) {
	choices := map[string]string{"down by fourths": "-P4", "up by whole steps": "M2", "whole steps": "M2", "minor thirds": "m3", "up by fifths": "P5", "circle of fourths": "P4", "Down by whole steps; m3": "-M2 m3"}
	for _, c := range AllChoices().Choices["order"] {
		if !strings.HasPrefix(c.Text, "shuffle") { // which has a number
			choices[c.Means] = c.Text
		}
	}
	up := "up an augmented third, down a minor third, "
	choices[strings.Repeat(up, 5)+strings.TrimSuffix(up, ", ")+", in turn"] = "P4,-m3"
	for words, text := range choices {
		given := map[string]string{"order": words}
		link, _ := ReadLink(strings.ToUpper(ShortLink(given)))
		want := mustNew(t, fmt.Sprintf(`{"order":%q}`, text), "").Plan()
		for _, given := range []map[string]string{given, link} {
			settings, err := json.Marshal(given)
			if err != nil {
				t.Fatal(err)
			}
			s, err := open(string(settings), "")
			if err != nil {
				t.Errorf("%q: %v", words, err)
				continue
			}
			if got := s.Plan(); !slices.EqualFunc(got.Statements, want.Statements, func(a, b session.Statement) bool { return a.Key == b.Key }) {
				t.Errorf("%s is played as %v, not as %s", settings, got.Orders, text)
			}
			if r, err := (Played{Says: "c", Date: "2025-03-02"}).Report(s); err != nil || r.Log == "" {
				t.Errorf("%s is logged as %q, %v", settings, r.Log, err)
			}
		}
	}
}

func TestLeftOut(t *testing.T) {
	s := mustNew(t, `{"figure":"1 3 2 5","instrument":"trumpet C4-A4","fit":"leave out","order":"m2"}`, "")
	p := s.Plan()
	if len(p.LeftOut) == 0 || len(p.LeftOut)+len(p.Statements) < 12 {
		t.Errorf("left out %v, played %v", p.LeftOut, p.Statements)
	}
	if r, err := (Played{Says: "cc", Date: "2025-03-02"}).Report(s); err != nil || strings.Count(r.Log, "\n") != 1 {
		t.Errorf("report %q, %v", r.Log, err)
	}
}

// Where every move is made in one run, a key that is left out leaves another
// twice in a row. That is no move, and a slip there spoils no log.
func TestSameKeyTwice(t *testing.T) {
	s := mustNew(t, `{"figure":"3 5 1 6","instrument":"trumpet C4-A4","fit":"leave out","order":"everymove"}`, "")
	statements, twice := s.Plan().Statements, 0
	for n := 1; n < len(statements); n++ {
		if statements[n].Key == statements[n-1].Key {
			twice++
		}
	}
	if twice == 0 {
		t.Fatal("no key comes twice in a row")
	}
	r, err := (Played{Says: strings.Repeat("n", len(statements)), Date: "2025-03-02"}).Report(s)
	if err != nil {
		t.Fatal(err)
	}
	log, err := practice.Read(strings.NewReader(r.Log))
	switch {
	case err != nil:
		t.Fatalf("the log is read as %+v, %v: an error", log, err)
	case log.Bad > 0:
		t.Fatalf("the log is read as %+v, %v: bad lines", log, err)
	case len(log.Entries) != 1:
		t.Fatalf("the log is read as %+v, %v: %d entries, want 1", log, err, len(log.Entries))
	case log.Entries[0].Played != len(statements):
		t.Fatalf("the log is read as %+v, %v: %d played, want %d", log, err, log.Entries[0].Played, len(statements))
	}
	if made := len(log.Entries[0].FailedMoves); made != len(statements)-1-twice {
		t.Errorf("%d moves failed, not %d", made, len(statements)-1-twice)
	}
}

func FuzzNew(f *testing.F) {
	for _, seed := range []string{`{}`, `{"figure":"1 2 b3:2 | 5 in dorian by 1/16","order":"P4,-m3","rest":"2"}`, `{"tempo":"NaN"}`, `{"order":"all","sound":"answer"}`, `{"instrument":"trumpet Bb3-E5","fit":"leave out"}`, `{"order":"shuffle:18446744073709551615","meter":"3+2/8"}`} {
		f.Add([]byte(seed), "ccn-")
	}
	f.Fuzz(func(t *testing.T, settings []byte, says string) {
		s, err := open(string(settings), "")
		if err != nil {
			if _, text := Text(err); len(text) < 3 {
				t.Fatalf("%v is said as %q", err, text)
			}
			return
		}
		text, err := s.AppendJSON(nil)
		if err != nil || !json.Valid(text) {
			t.Fatalf("%.60q: %v", text, err)
		}
		if _, err := s.Answer(0); err != nil {
			t.Fatal(err)
		}
		if _, err := s.Circle(0); err != nil {
			t.Fatal(err)
		}
		if _, err := (Played{Says: says, Date: "2025-03-02", Seconds: 60}).Report(s); err != nil {
			if strings.Trim(says, "cn-") == "" && len(says) <= s.Len() {
				t.Fatal(err)
			}
		}
	})
}

func BenchmarkPlan(b *testing.B) {
	settings := []byte(`{"order":"all","sound":"answer","figure":"` + strings.TrimSpace(strings.Repeat("1 3 2 5 ", 16)) + ` by 1/16"}`)
	for range b.N {
		s, err := open(string(settings), "")
		if err != nil {
			b.Fatal(err)
		}
		if _, err := s.AppendJSON(nil); err != nil {
			b.Fatal(err)
		}
	}
}

// A figure may be given by its notes in the first key, or in the first of the
// player's own keys, in a scale: each note the nearest one to that before it.
func TestFigureByItsNotes(t *testing.T) {
	for settings, want := range map[string]string{
		`{"figure":"C G Eb:2 F"}`:                           "1 v5 vb3:2 v4",
		`{"figure":"Bb4 F | D:3 C","first":"Bb"}`:           "1 v5 | v3:3 v2",
		`{"figure":"Eb Bb Gb F","keys":"Eb Ab"}`:            "1 v5 vb3 v2",
		`{"figure":"d a f g","first":"D","scale":"dorian"}`: "1 v5 v3 v4 in dorian",
		`{"figure":"{Dm7} D F {G7} B G"}`:                   "{2 m7} 2 4 {5 7} 7 5",
		`{"figure":"b3 1 bb7 5"}`:                           "b3 1 bb7 5", // degrees, though b is a letter too
		`{"figure":"b7 | b2 1"}`:                            "b7 | b2 1",
		`{"figure":"B E"}`:                                  "7 10",
	} {
		s, err := open(settings, "")
		if err != nil {
			t.Errorf("%s: %v", settings, err)
			continue
		}
		if got, want := s.Settings().Drill.Figure, figure.MustParse(want); got.Plain() != want.Plain() {
			t.Errorf("%s is %s, want %s", settings, got.Plain(), want.Plain())
		}
	}
	for settings, words := range map[string]string{`{"figure":"C H"}`: "Figure: ", `{"figure":"C 5"}`: "Figure: "} {
		if _, err := open(settings, ""); err == nil {
			t.Errorf("%s is taken", settings)
		} else if field, text := Text(err); field != "figure" || !strings.HasPrefix(text, words) {
			t.Errorf("%s: %s %s", settings, field, text)
		}
	}
}

// A few keys of the player's own, round and round, as they are typed.
func TestOwnKeys(t *testing.T) {
	s := mustNew(t, `{"keys":"Bb, Eb F# x3"}`, "")
	var got []string
	for _, st := range s.Plan().Statements {
		got = append(got, st.Key)
	}
	if want := strings.Fields(strings.Repeat("B♭ E♭ F♯ ", 3)); !slices.Equal(got, want) {
		t.Errorf("the keys are %v, want %v", got, want)
	}
	if title := s.Plan().Orders[0].Title; title != "your own keys, 3 times" {
		t.Errorf("the title is %q", title)
	}
	// They stand in place of whatever order there is.
	if p := mustNew(t, `{"keys":"Bb, Eb F# x3","order":"down by fourths"}`, "").Plan(); !reflect.DeepEqual(p, s.Plan()) {
		t.Errorf("beside an order they are played as %+v", p)
	}
	r, err := (Played{Says: "cccccc", Date: "2025-03-02", Seconds: 60}).Report(s)
	if err != nil || r.Moves != 3 || r.Clean != 3 {
		t.Errorf("of six keys, %d moves, %d clean, %v", r.Moves, r.Clean, err)
	}
	for settings, field := range map[string]string{
		`{"keys":"Bb H"}`: "keys", `{"keys":"x3"}`: "keys", `{"keys":"Bb x0"}`: "keys", `{"keys":"Bb x51"}`: "keys", `{"keys":"Bb x"}`: "keys", `{"keys":","}`: "keys",
		`{"keys":"Bb","first":"C"}`: "first",
	} {
		if _, err := open(settings, ""); err == nil {
			t.Errorf("%s is taken", settings)
		} else if got, _ := Text(err); got != field {
			t.Errorf("%s is about %q, want %q: %v", settings, got, field, err)
		}
	}
}

// Each order that can be chosen has a picture.
func TestPictures(t *testing.T) {
	for _, c := range AllChoices().Choices["order"] {
		svg, err := Picture(c.Text)
		if err != nil || !strings.HasPrefix(svg, "<svg") {
			t.Errorf("%s: %.60s, %v", c.Text, svg, err)
		}
	}
	if _, err := Picture("sideways"); err == nil {
		t.Error("what is no order has a picture")
	}
}
