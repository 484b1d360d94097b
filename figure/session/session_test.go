package session_test

import (
	"context"
	"encoding/json"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure/accompaniment"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/figuretest"
	"example.com/keyorder/figure/listening"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/figure/practice"
	"example.com/keyorder/figure/session"
	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func settings(t testing.TB, text string) session.Settings {
	t.Helper()
	var s session.Settings
	if err := json.Unmarshal([]byte(text), &s); err != nil {
		t.Fatal(err)
	}
	return s
}

func open(t testing.TB, text string) *session.Session {
	t.Helper()
	s, err := session.New(context.Background(), settings(t, text), drill.Cost{}, practice.Log{})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func kept(t testing.TB, s *session.Session) string {
	t.Helper()
	b, err := s.AppendState(nil)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

func date(t testing.TB) practice.Date {
	d, err := practice.ParseDate("2025-03-02")
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func Example() {
	var set session.Settings
	err := json.Unmarshal([]byte(`{
		"drill": {"figure": "1 4 b3 b7 in dorian", "parts": ["trumpet"], "tempo": 120},
		"orders": [{"name": "-M2", "title": "down by whole steps", "route": "(0T8642)/(1E9753)"}],
		"playback": {"mode": "click"}}`), &set)
	if err != nil {
		fmt.Println(err)
		return
	}
	s, err := session.New(context.Background(), set, drill.Cost{Statements: 100}, practice.Log{})
	if err != nil {
		fmt.Println(err)
		return
	}
	p := s.Plan()
	for n, v := range []session.Verdict{session.VerdictClean, session.VerdictNotClean, session.VerdictClean} {
		st := p.Statements[n]
		fmt.Println(st.Key, st.Start, st.End)
		if err := s.Say(st.Turn, v); err != nil {
			fmt.Println(err)
		}
	}
	state, _ := s.AppendState(nil) // to be kept, and gone on with tomorrow from s.Turn()
	s, err = session.Resume(context.Background(), state, drill.Cost{}, practice.Log{})
	if err != nil {
		fmt.Println(err)
		return
	}
	day, _ := practice.ParseDate("2025-03-02")
	r, err := s.Report(day, 14*time.Second)
	fmt.Print(r.Log)
	fmt.Println(r.Clean, "moves clean; next", r.Freshest, err)
	// Output:
	// C 2 3
	// B♭ 6 7
	// A♭ 10 11
	// {"version":2,"date":"2025-03-02","figure":"1 4 b3 b7 in dorian","order":"-M2","keys":"(0T8642)/(1E9753)","instrument":"trumpet in B♭","first":"C4","stage":"constant orders","tempo":120,"rest":"1","clean":2,"statements":3,"failed_moves":"0T","first_try":true}
	// 1 moves clean; next m2 <nil>
}

// drawn draws what a func of figuretest makes.
func drawn[V any](gen func(figuretest.Draw) V) *rapid.Generator[V] {
	return rapid.Custom(func(t *rapid.T) V {
		return gen(func(n int) int { return rapid.IntRange(0, n-1).Draw(t, "n") })
	})
}

// anySettings draws settings of one to three orders of all twelve keys.
func anySettings(draw figuretest.Draw) session.Settings {
	set := session.Settings{Drill: figuretest.Settings(draw), Playback: playback.Options{Mode: playback.Mode(draw(4))}}
	if draw(2) == 0 {
		set.Playback.Band = accompaniment.Band{Bass: accompaniment.Bass(draw(3)), Drone: true}
		for c := range set.Drill.Figure.Chords(0) {
			if _, err := c.Chord(); err != nil {
				set.Playback.Band = accompaniment.Band{}
			} else if set.Playback.Band.Drone {
				set.Playback.Band.Chords = accompaniment.CompingWhole
			}
		}
	}
	set.Drill.Rest = playback.RestFor(set.Playback, set.Drill)
	set.Drill.Parts, set.Drill.Route, set.Drill.LeaveOut = set.Drill.Parts[:1], cycle.Route{}, true
	for range 1 + draw(3) {
		o := figuretest.Order(draw)
		set.Orders = append(set.Orders, session.Order{Name: o.String(), Title: "by " + o.String(), Route: o.Closed()})
	}
	return set
}

// anySession draws a session that has been played for a while.
func anySession(t *rapid.T) *session.Session {
	set := drawn(anySettings).Draw(t, "settings")
	s, err := session.New(context.Background(), set, drill.Cost{}, practice.Log{})
	if err != nil {
		t.Fatal(err)
	}
	turns := slices.Collect(s.Line().Turns(0))
	for range rapid.IntRange(0, 12).Draw(t, "acts") {
		turn := rapid.SampledFrom(turns).Draw(t, "turn")
		switch rapid.IntRange(0, 3).Draw(t, "act") {
		case 0:
			err = s.SetTempo(turn.Index, rapid.IntRange(40, 200).Draw(t, "beats"))
		case 1:
			err = s.Go(rapid.IntRange(0, len(turns)).Draw(t, "to"))
		default:
			if turn.Statement >= 0 {
				err = s.Say(turn.Index, session.Verdict(rapid.IntRange(0, 3).Draw(t, "verdict")))
			}
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	return s
}

// TestLawResumeGoesOnWhereItWasKept: a session that was kept and gone on with is
// the session, in all that it says.
func TestLawResumeGoesOnWhereItWasKept(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anySession(t)
		state, err := s.AppendState(nil)
		if err != nil {
			t.Fatal(err)
		}
		again, err := session.Resume(context.Background(), state, drill.Cost{}, practice.Log{})
		if err != nil {
			t.Fatalf("%s: %v", state, err)
		}
		if text, err := again.AppendState(nil); err != nil || string(text) != string(state) {
			t.Fatalf("kept again it is %s, %v\nwas %s", text, err, state)
		}
		if again.Turn() != s.Turn() || again.Len() != s.Len() {
			t.Fatalf("turn %d of %d statements, was %d of %d", again.Turn(), again.Len(), s.Turn(), s.Len())
		}
		a, err1 := s.AppendJSON(nil)
		b, err2 := again.AppendJSON(nil)
		if err1 != nil || err2 != nil || string(a) != string(b) {
			t.Fatalf("another plan: %v, %v", err1, err2)
		}
		ra, err1 := s.Report(20000, time.Hour)
		rb, err2 := again.Report(20000, time.Hour)
		if err1 != nil || err2 != nil || ra != rb {
			t.Fatalf("another report: %v, %v\n%s", err1, err2, cmp.Diff(ra, rb))
		}
	})
}

// TestLawAKeptSessionCutShortIsRefused: of what is kept, no beginning is taken for
// the whole, and the error says what it is.
func TestLawAKeptSessionCutShortIsRefused(t *testing.T) {
	s := open(t, `{"drill":{"figure":"3 5 1 6","parts":["trumpet"]},"orders":["(06)"]}`)
	if err := errors.Join(s.Go(4), s.SetTempo(4, 99)); err != nil {
		t.Fatal(err)
	}
	state := kept(t, s)
	for cut := range len(state) {
		again, err := session.Resume(context.Background(), []byte(state[:cut]), drill.Cost{}, practice.Log{})
		var e *fault.SyntaxError
		if !errors.As(err, &e) || e.What != "session" || again != nil {
			t.Fatalf("cut after %d of %d bytes: %v, %v", cut, len(state), again, err)
		}
	}
	if again, err := session.Resume(context.Background(), []byte(state), drill.Cost{}, practice.Log{}); err != nil || kept(t, again) != state {
		t.Errorf("the whole: %v", err)
	}
}

// TestLawPlanAgreesWithItsLine: the plan's turns, statements, clicks and notes
// are those of the line, in its present tempo.
func TestLawPlanAgreesWithItsLine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anySession(t)
		l := s.Line()
		text, err := s.AppendJSON(nil)
		if err != nil {
			t.Fatal(err)
		}
		var p struct {
			session.Plan
			Clicks [][2]float64
			Notes  [][5]float64
		}
		if err := json.Unmarshal(text, &p); err != nil {
			t.Fatalf("%s: %v", text, err)
		}
		near := func(what string, got float64, want time.Duration) {
			if math.Abs(got-want.Seconds()) > 2e-6 {
				t.Fatalf("%s at %v, want %v", what, got, want)
			}
		}
		var told struct{ Turns json.RawMessage }
		turns, err := json.Marshal(s.Plan().Turns)
		switch {
		case err != nil:
			t.Fatalf("the turns are written\n%s\nwant\n%s: the turns have no JSON, %v", told.Turns, turns, err)
		case json.Unmarshal(text, &told) != nil:
			t.Fatalf("the turns are written\n%s\nwant\n%s: the plan is not read", told.Turns, turns)
		case string(told.Turns) != string(turns):
			t.Fatalf("the turns are written\n%s\nwant\n%s: they differ", told.Turns, turns)
		}
		near("the end", p.Duration, l.Duration())
		for k, turn := range slices.Collect(l.Turns(0)) {
			got := p.Turns[k]
			near("a turn", got.At, l.At(turn.Begin))
			near("a turn's end", got.To, l.At(turn.End))
			switch {
			case got.Turn.Who != turn.Who:
				t.Fatalf("turn %+v is told as %+v: whose it is", turn, got)
			case got.Index != turn.Index:
				t.Fatalf("turn %+v is told as %+v: its index", turn, got)
			case got.Turn.Next != turn.Next:
				t.Fatalf("turn %+v is told as %+v: the next one", turn, got)
			case (got.Statement < 0) != (turn.Statement < 0):
				t.Fatalf("turn %+v is told as %+v: whether it has a statement", turn, got)
			}
			if got.Statement >= 0 {
				st, _ := l.Statement(turn, l.Parts()[0])
				switch told := p.Statements[got.Statement]; {
				case told.Key != st.Written.Name().String():
					t.Fatalf("statement %+v is told as %+v: the key", st, told)
				case told.Order != turn.Drill:
					t.Fatalf("statement %+v is told as %+v: the order", st, told)
				case told.Turn > turn.Index:
					t.Fatalf("statement %+v is told as %+v: the turn", st, told)
				}
				if n := len(slices.Collect(st.Chords())); n != len(p.Statements[got.Statement].Chords) {
					t.Fatalf("statement %+v has %d chords, told %d", st, n, len(p.Statements[got.Statement].Chords))
				}
			}
		}
		clicks, notes := 0, 0
		for e := range l.Events(0) {
			switch e.Kind {
			case playback.KindClick:
				near("a click", p.Clicks[clicks][0], l.At(e.Time))
				clicks++
			case playback.KindNoteOn:
				near("a note", p.Notes[notes][0], l.At(e.Time))
				if (p.Notes[notes][3] == 1) != e.Note.IsCue() {
					t.Fatalf("note %d: cue %v", notes, p.Notes[notes])
				}
				if layer := accompaniment.Layer(p.Notes[notes][4]); layer != e.Note.Layer {
					t.Fatalf("note %d, %v, is told as of %v", notes, e.Note, layer)
				}
				notes++
			}
		}
		if clicks != len(p.Clicks) || notes != len(p.Notes) {
			t.Fatalf("%d clicks and %d notes, want %d and %d", len(p.Clicks), len(p.Notes), clicks, notes)
		}
	})
}

// wellFormed fails where a text is not the XML of an SVG.
func wellFormed(t interface{ Fatalf(string, ...any) }, svg string) {
	d := xml.NewDecoder(strings.NewReader(svg))
	for n := 0; ; n++ {
		token, err := d.Token()
		if err == io.EOF && n > 0 {
			return
		}
		if begin, ok := token.(xml.StartElement); err != nil || n == 0 && (!ok || begin.Name.Local != "svg") {
			t.Fatalf("%v, %v in %s", token, err, svg)
		}
	}
}

// TestLawAnswerIsTheStatement: the answer names the notes of the statement, one
// after another, those that sound together joined, and draws them.
func TestLawAnswerIsTheStatement(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anySession(t)
		n := rapid.IntRange(0, s.Len()-1).Draw(t, "statement")
		told := s.Plan().Statements[n]
		turn, _ := s.Line().Turn(told.Turn)
		st, _ := s.Line().Statement(turn, s.Line().Parts()[0])
		a, err := s.Answer(n)
		if err != nil || len(a.SVG) == 0 {
			t.Fatalf("%+v, %v", a, err)
		}
		for _, svg := range a.SVG {
			wellFormed(t, svg)
		}
		// A held return holds one note; its answer is the figure's.
		if names := strings.FieldsFunc(a.Notes, func(r rune) bool { return r == ' ' || r == '+' }); !st.Held {
			for k, e := range st.Events() {
				if names[k] != e.Note.Name().String() {
					t.Fatalf("note %d of %s is %v", k, a.Notes, e.Note)
				}
			}
		}
		circle, err := s.Circle(n)
		if err != nil {
			t.Fatal(err)
		}
		wellFormed(t, circle)
		if title := s.Plan().Orders[told.Order].Title; !strings.Contains(circle, title) {
			t.Fatalf("the circle is not of %q: %s", title, circle)
		}
	})
}

func TestAnswer(t *testing.T) {
	text := `{"drill":{"figure":"3 5 1 6","parts":["trumpet"],"closing":"%s"},"orders":["(0369)","1"],"playback":{"mode":"click"}}`
	s := open(t, fmt.Sprintf(text, "full"))
	// By hand, in the keys that the trumpet reads.
	for n, want := range []string{"E G C A", "G B♭ E♭ C", "B♭ D♭ G♭ E♭", "C♯ E A F♯", "E G C A", "F A♭ D♭ B♭"} {
		if a, err := s.Answer(n); err != nil || a.Notes != want {
			t.Errorf("statement %d: %q, %v; want %q", n, a.Notes, err, want)
		}
	}
	if a, err := open(t, `{"drill":{"figure":"1+b3 5+7 in melodic minor","parts":["piano"]},"orders":["5"],"playback":{"mode":"click"}}`).Answer(0); err != nil || a.Notes != "F+A♭ C+E" {
		t.Errorf("%q, %v", a.Notes, err)
	}
	first, err1 := s.Circle(0)
	second, err2 := s.Circle(1)
	open, err3 := open(t, fmt.Sprintf(text, "open")).Circle(1)
	switch {
	case err1 != nil:
		t.Error("a circle shows no move, or one that is not made", err1, err2, err3, "the first")
	case err2 != nil:
		t.Error("a circle shows no move, or one that is not made", err1, err2, err3, "the second")
	case err3 != nil:
		t.Error("a circle shows no move, or one that is not made", err1, err2, err3, "without the move")
	case first == second:
		t.Error("a circle shows no move, or one that is not made", err1, err2, err3, "the first two are the same")
	case second == open:
		t.Error("a circle shows no move, or one that is not made", err1, err2, err3, "the second is that without the move")
	}
	for _, n := range []int{-1, s.Len()} {
		var refused *fault.ValueError
		switch _, err := s.Answer(n); {
		case !errors.As(err, &refused):
			t.Errorf("answer %d: %v: no such error", n, err)
		case refused.Setting != "statement":
			t.Errorf("answer %d: %v: it names %q", n, err, refused.Setting)
		case refused.Value != fmt.Sprint(n):
			t.Errorf("answer %d: %v: it quotes %q", n, err, refused.Value)
		}
		if _, err := s.Circle(n); !errors.As(err, &refused) || refused.Setting != "statement" {
			t.Errorf("circle %d: %v", n, err)
		}
	}
}

// TestAnswerInTempo: the staff of an answer has the tempo in which it sounds.
func TestAnswerInTempo(t *testing.T) {
	s := open(t, `{"drill":{"figure":"3 5 1 6","parts":["trumpet"],"tempo":80},"orders":["(0369)","1"],"playback":{"mode":"answer"}}`)
	turns := s.Plan().Turns
	model := slices.IndexFunc(turns, func(t session.Turn) bool { return t.Statement == 2 && t.Who == playback.WhoModel })
	for _, change := range [][2]int{{model, 97}, {s.Plan().Statements[4].Turn, 113}} {
		if err := s.SetTempo(change[0], change[1]); err != nil {
			t.Fatal(err)
		}
	}
	for n, want := range []string{"= 80<", "= 80<", "= 97<", "= 97<", "= 113<", "= 113<"} {
		if a, err := s.Answer(n); err != nil || !strings.Contains(strings.Join(a.SVG, ""), want) {
			t.Errorf("answer %d has not the tempo %s, %v: %s", n, want, err, a.SVG)
		}
	}
}

// TestLeftOutIsTold: keys that the instrument does not reach are named once.
func TestLeftOutIsTold(t *testing.T) {
	s := open(t, `{"drill":{"figure":"1 8","parts":["flute C4-D5"],"leave_out":true},"orders":["(0369)","(036)"],"playback":{"mode":"click"}}`)
	if got := s.Plan().LeftOut; !slices.Equal(got, []string{"E♭", "G♭", "A"}) {
		t.Errorf("left out: %v", got)
	}
}

// TestReportAndTheLog: what of the log does not count is said, a figure of the
// day is no first try, and an order of several intervals is a mixed row.
func TestReportAndTheLog(t *testing.T) {
	text := `{"drill":{"figure":"3 5 1 6","parts":["flute"]},"orders":["(0147)"],"playback":{"mode":"click"}}`
	report := func(l practice.Log) session.Report {
		t.Helper()
		s, err := session.New(context.Background(), settings(t, text), drill.Cost{}, l)
		if err != nil {
			t.Fatal(err)
		}
		if err := s.Say(1, session.VerdictClean); err != nil {
			t.Fatal(err)
		}
		if err := s.Say(s.Plan().Statements[1].Turn, session.VerdictClean); err != nil {
			t.Fatal(err)
		}
		r, err := s.Report(date(t), time.Minute)
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	r := report(practice.Log{})
	switch {
	case r.Problem != "":
		t.Errorf("with an empty log: %+v: a problem, %s", r, r.Problem)
	case !strings.Contains(r.Log, `"first_try":true`):
		t.Errorf("with an empty log: %+v: not at the first try", r)
	case r.Made != 1:
		t.Errorf("with an empty log: %+v: %d made, want 1", r, r.Made)
	}
	l, err := practice.Read(strings.NewReader(r.Log + "x\n" + strings.Replace(r.Log, "2025", "2031", 1) + "{"))
	if err != nil {
		t.Fatal(err)
	}
	l.Older = 3
	if r = report(l); strings.Contains(r.Log, "first_try") {
		t.Errorf("the second try is a first: %s", r.Log)
	}
	for _, want := range []string{"one line is not read", `"{"`, "the oldest 3", "of the future, one of 2031-03-02"} {
		if !strings.Contains(r.Problem, want) {
			t.Errorf("%q does not say %q", r.Problem, want)
		}
	}
	text = `{"drill":{"figure":"3 5 1 6","parts":["flute"]},"orders":["(016)"],"playback":{"mode":"click"}}`
	if s := open(t, text); s.Go(len(s.Plan().Turns)) != nil {
		t.Error("there is no end")
	} else {
		switch r, err := s.Report(date(t), 0); {
		case err != nil:
			t.Errorf("of nothing that was said: %v", err)
		case r.Log != "":
			t.Errorf("of nothing that was said the log has %s", r.Log)
		case r.Moves != 3:
			t.Errorf("of nothing that was said there are %d moves, want 3", r.Moves)
		case r.Clean != 0:
			t.Errorf("of nothing that was said %d moves are clean", r.Clean)
		}
	}
	if s := open(t, text); s.SetTempo(99, 80) == nil {
		t.Error("a turn that there is none of has a tempo")
	}
}

// TestLawTheReportIsTheLog: what a report says of moves is what its log has, and
// what the next session begins with.
func TestLawTheReportIsTheLog(t *testing.T) {
	day := date(t)
	rapid.Check(t, func(t *rapid.T) {
		s := anySession(t)
		statements := s.Plan().Statements
		if err := s.Go(rapid.IntRange(0, len(s.Plan().Turns)).Draw(t, "end")); err != nil {
			t.Fatal(err)
		}
		for n := range statements {
			if v := rapid.SampledFrom([]session.Verdict{session.VerdictClean, session.VerdictClean, session.VerdictNotClean, session.VerdictUnsaid, session.VerdictUnclear}).Draw(t, "said"); v != session.VerdictUnsaid {
				if err := s.Say(statements[n].Turn, v); err != nil {
					t.Fatal(err)
				}
			}
		}
		r, err := s.Report(day, time.Minute)
		if err != nil {
			t.Fatal(err)
		}
		l, err := practice.Read(strings.NewReader(r.Log))
		if err != nil || l.Bad > 0 {
			t.Fatalf("%s: %v, %v", r.Log, l.Problems, err)
		}
		clean, failed := l.Tally(s.Settings().Drill.Parts[0].Name)
		if clean.Made() != r.Clean || clean.Made() != r.Made {
			t.Fatalf("%d moves are clean, %d in all; in the log %d:\n%s", r.Clean, r.Made, clean.Made(), r.Log)
		}
		for from := range r.Table {
			for to, cell := range r.Table[from] {
				m := cycle.Move{From: pitch.Class(from), To: pitch.Class(to)}
				want := ""
				switch {
				case clean.Count(m) > 0:
					want = "clean"
				case failed.Count(m) > 0:
					want = "not clean"
				}
				if cell.Now != want && (want != "" || cell.Now != "played") {
					t.Fatalf("%v is %q, in the log %q:\n%s", m, cell.Now, want, r.Log)
				}
			}
		}
	})
}

// TestVerdictsAreOverruled: the last say counts, and what is unclear is neither
// charged nor clean.
func TestVerdictsAreOverruled(t *testing.T) {
	s := open(t, `{"drill":{"figure":"3 5 1 6","parts":["flute"]},"orders":["(0369)"],"playback":{"mode":"click"}}`)
	say := func(n int, v session.Verdict) {
		t.Helper()
		if err := s.Say(s.Plan().Statements[n].Turn, v); err != nil {
			t.Fatal(err)
		}
	}
	say(0, session.VerdictNotClean)
	say(1, session.VerdictClean)
	say(2, session.VerdictUnclear)
	say(0, session.VerdictClean)
	r, err := s.Report(date(t), 0)
	switch {
	case err != nil:
		t.Errorf("%+v, %v: an error", r, err)
	case !strings.Contains(r.Log, `"clean":2,"statements":2`):
		t.Errorf("%+v, %v: other counts", r, err)
	case strings.Contains(r.Log, "failed"):
		t.Errorf("%+v, %v: a failure", r, err)
	case r.Clean != 1:
		t.Errorf("%+v, %v: %d clean, want 1", r, err, r.Clean)
	case r.Moves != 2:
		t.Errorf("%+v, %v: %d moves, want 2", r, err, r.Moves)
	}
	for _, turn := range []int{-1, 0, 1000} { // a count-in, and none
		if err := s.Say(turn, session.VerdictClean); err == nil {
			t.Errorf("turn %d has a verdict", turn)
		}
	}
	switch err := s.Say(1, 9); {
	case err == nil:
		t.Error("a verdict or a turn that there is none of is taken: verdict 9")
	case s.Go(-1) == nil:
		t.Error("a verdict or a turn that there is none of is taken: turn -1")
	case s.Go(len(s.Plan().Turns)+1) == nil:
		t.Error("a verdict or a turn that there is none of is taken: a turn beyond the last")
	}
}

// TestTempoOfEntries: what was played in two tempos is logged in both.
func TestTempoOfEntries(t *testing.T) {
	s := open(t, `{"drill":{"figure":"3 5 1 6","parts":["flute"],"tempo":60},"orders":[{"name":"m3","route":"(0369)"}],"playback":{"mode":"click"}}`)
	p := s.Plan()
	for _, st := range p.Statements[:4] {
		if err := s.Say(st.Turn, session.VerdictClean); err != nil {
			t.Fatal(err)
		}
	}
	if err := s.SetTempo(p.Statements[2].Turn, 120); err != nil {
		t.Fatal(err)
	}
	after := s.Plan()
	if a, b := p.Statements[2].Start, after.Statements[2].Start; a != b {
		t.Errorf("what comes before is moved from %v to %v", a, b)
	}
	if a, b := p.Duration-p.Statements[2].Start, after.Duration-after.Statements[2].Start; math.Abs(a-2*b) > 1e-6 {
		t.Errorf("at twice the tempo %v s become %v", a, b)
	}
	r, err := s.Report(date(t), time.Minute)
	lines := strings.Split(strings.TrimSpace(r.Log), "\n")
	switch {
	case err != nil:
		t.Errorf("%s, %v: an error", r.Log, err)
	case len(lines) != 2:
		t.Errorf("%s, %v: %d lines", r.Log, err, len(lines))
	case !strings.Contains(lines[0], `"keys":"03"`):
		t.Errorf("%s, %v: the first line has other keys", r.Log, err)
	case !strings.Contains(lines[0], `"tempo":60`):
		t.Errorf("%s, %v: the first line has another tempo", r.Log, err)
	case !strings.Contains(lines[1], `"tempo":120`):
		t.Errorf("%s, %v: the second line has another tempo", r.Log, err)
	case !strings.Contains(lines[1], `"statements":2`):
		t.Errorf("%s, %v: the second line has other statements", r.Log, err)
	}
	if err := s.SetTempo(0, 5); err == nil {
		t.Error("tempo 5 is taken")
	}
}

// TestLawMinutesAreThoseThatWerePlayed: the entries of a session together have the
// minutes of its judged part, rounded once.
func TestLawMinutesAreThoseThatWerePlayed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anySession(t)
		end := 0
		for range s.Line().Turns(0) {
			end++
		}
		if err := s.Go(end); err != nil { // all is played
			t.Fatal(err)
		}
		took := time.Duration(rapid.IntRange(1, 1200).Draw(t, "seconds")) * time.Second
		r, err := s.Report(20000, took)
		if err != nil {
			t.Fatal(err)
		}
		l, err := practice.Read(strings.NewReader(r.Log))
		if err != nil {
			t.Fatal(err)
		}
		minutes, judged := 0, 0
		for _, e := range l.Entries {
			minutes, judged = minutes+e.Minutes, judged+e.Played
		}
		if want := int(math.Round(took.Minutes() * float64(judged) / float64(s.Len()))); minutes != want {
			t.Fatalf("%v, %d of %d judged, are %d minutes, not %d:\n%s", took, judged, s.Len(), minutes, want, r.Log)
		}
	})
}

// TestSeveralAtOnce: sessions know nothing of each other.
func TestSeveralAtOnce(t *testing.T) {
	text := `{"drill":{"figure":"3 5 1 6","parts":["flute"]},"orders":["(0369)"],"playback":{"mode":"click"}}`
	a, b := open(t, text), open(t, text)
	before := kept(t, b)
	if err := errors.Join(a.Say(1, session.VerdictClean), a.SetTempo(2, 99), a.Go(3)); err != nil {
		t.Fatal(err)
	}
	if kept(t, b) != before || kept(t, a) == before {
		t.Error("what is said in one session shows in another")
	}
}

// TestCostIsRefusedBeforeAnyWork: a few hundred bytes can ask for hours and
// gigabytes; they are refused at once.
func TestCostIsRefusedBeforeAnyWork(t *testing.T) {
	long := `{"drill":{"figure":"1:64 by 1","rest":"64","parts":["piano"],"tempo":500},"orders":["` + strings.Repeat("0/", 200) + `0"],"playback":{"mode":"click"}}`
	for want, most := range map[string]drill.Cost{
		"201 statements: at most 100": {Statements: 100}, "at most 64 are played": {Notes: 64}, "takes at most 1h0m0s": {Duration: time.Hour},
	} {
		began := time.Now()
		_, err := session.New(context.Background(), settings(t, long), most, practice.Log{})
		var refused *fault.ValueError
		switch {
		case !errors.As(err, &refused):
			t.Errorf("%+v: %v after %v, want %s: no such error", most, err, time.Since(began), want)
		case refused.Setting != "orders":
			t.Errorf("%+v: %v after %v, want %s: it names %s", most, err, time.Since(began), want, refused.Setting)
		case !strings.Contains(err.Error(), want):
			t.Errorf("%+v: %v after %v, want %s: other words", most, err, time.Since(began), want)
		case time.Since(began) > time.Second:
			t.Errorf("%+v: %v after %v, want %s: it took too long", most, err, time.Since(began), want)
		}
	}
	done, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := session.New(done, settings(t, long), drill.Cost{}, practice.Log{}); !errors.Is(err, context.Canceled) {
		t.Errorf("with a context that is done: %v", err)
	}
	good := `{"drill":{"figure":"3 5 1 6","parts":["flute"]},"orders":["(0369)/(147T)"],"playback":{"mode":"click"}}`
	c, err := settings(t, good).Cost()
	if want := (drill.Cost{Statements: 10, Notes: 8*4 + 2, Duration: 60 * time.Second}); err != nil || c != want {
		t.Errorf("%+v, %v; want %+v", c, err, want)
	}
}

func TestRefused(t *testing.T) {
	for text, want := range map[string]string{
		`{"drill":{"figure":"1","parts":["flute"]}}`:                                  "orders 0: a session has 1 to 64",
		`{"drill":{"figure":"1","parts":["flute","tuba"]},"orders":["0"]}`:            "parts 2: a session is for one player",
		`{"drill":{"figure":"0","parts":["flute"]},"orders":["0"]}`:                   "at least one note",
		`{"drill":{"figure":"1","parts":["flute"],"rest":"none"},"orders":["01"]}`:    "rests are too short",
		`{"drill":{"figure":"1 8 15 22 29","parts":["flute C4-C5"]},"orders":["01"]}`: "the figure spans 48 semitones",
	} {
		var refused *fault.ValueError
		if _, err := session.New(context.Background(), settings(t, text), drill.Cost{}, practice.Log{}); !errors.As(err, &refused) || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %s", text, err, want)
		}
	}
	good := kept(t, open(t, `{"drill":{"figure":"3 5 1 6","parts":["flute"]},"orders":["(0369)"],"playback":{"mode":"click"}}`))
	for change, want := range map[string]string{
		"{": "it is a session as it was kept", strings.Replace(good, `"version":1`, `"version":3`, 1): "version 3", strings.Replace(good, `"version":1`, `"version":0`, 1): "version 0",
		strings.Replace(good, `"turn":0`, `"turn":99`, 1): "no such turn", strings.Replace(good, `"turn":0`, `"turn":0,"verdicts":["clean","clean","clean","clean","clean","clean"]`, 1): "has 5 statements",
		strings.Replace(good, `"turn":0`, `"turn":0,"tempos":[{"turn":1,"beats":0}]`, 1): "tempo 0",
	} {
		if _, err := session.Resume(context.Background(), []byte(change), drill.Cost{}, practice.Log{}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%.80s: %v, want %s", change, err, want)
		}
	}
	if _, err := session.Resume(context.Background(), []byte(good), drill.Cost{Statements: 1}, practice.Log{}); err == nil {
		t.Error("what is kept may cost anything")
	}
	var v session.Verdict
	if err := v.UnmarshalText([]byte("Not Clean")); err != nil || v != session.VerdictNotClean || session.Verdict(9).String() != "Verdict(9)" {
		t.Error(v, err)
	}
}

// FuzzResume reads kept sessions. What it costs is bounded, so that a run is short.
func FuzzResume(f *testing.F) {
	s := open(f, `{"drill":{"figure":"3 5","parts":["piano A0-C8"],"rest":"2"},"orders":["05"]}`)
	if err := errors.Join(s.Go(4), s.SetTempo(4, 99)); err != nil {
		f.Fatal(err)
	}
	f.Add([]byte(kept(f, s)))
	f.Add([]byte(`{"version":1,"settings":{"drill":{"figure":"1","route":"0","parts":["flute"]},"orders":["5"]},"turn":9,"verdicts":["clean"]}`))
	f.Add([]byte(`{"version":2}`))
	f.Fuzz(func(t *testing.T, state []byte) {
		s, err := session.Resume(context.Background(), state, drill.Cost{Statements: 20, Notes: 100}, practice.Log{})
		if err != nil {
			return
		}
		if _, err := s.AppendState(nil); err != nil {
			t.Errorf("%q is read and not kept again: %v", state, err)
		}
	})
}

// TestLawThePlayerGoesBeforeTheJudge: what the player says of a statement holds,
// said before the judge or after; what is taken back leaves the judge's; and all
// of it is kept.
func TestLawThePlayerGoesBeforeTheJudge(t *testing.T) {
	heard := map[listening.Verdict]session.Verdict{
		listening.VerdictNotPlayed: session.VerdictUnsaid, listening.VerdictClean: session.VerdictClean,
		listening.VerdictNotClean: session.VerdictNotClean, listening.VerdictUnclear: session.VerdictUnclear,
	}
	rapid.Check(t, func(rt *rapid.T) {
		s := open(t, `{"drill":{"figure":"3 5 1 6","parts":["trumpet"]},"orders":["0369"],"playback":{"mode":"model"}}`)
		var player, judge [4]session.Verdict
		turns := s.Plan().Statements
		for range rapid.IntRange(0, 12).Draw(rt, "says") {
			n := rapid.IntRange(0, 3).Draw(rt, "statement")
			var err error
			if rapid.Bool().Draw(rt, "judge") {
				v := listening.Verdict(rapid.IntRange(0, 3).Draw(rt, "verdict"))
				judge[n] = heard[v]
				err = s.Hear(listening.Say{Turn: turns[n].Turn, Verdict: v})
			} else {
				player[n] = session.Verdict(rapid.IntRange(0, 3).Draw(rt, "verdict"))
				err = s.Say(turns[n].Turn, player[n])
			}
			if err != nil {
				rt.Fatal(err)
			}
		}
		again, err := session.Resume(context.Background(), []byte(kept(t, s)), drill.Cost{}, practice.Log{})
		if err != nil {
			rt.Fatal(err)
		}
		for _, s := range []*session.Session{s, again} {
			for n, st := range s.Plan().Statements {
				want, judged := player[n], false
				if want == session.VerdictUnsaid {
					want, judged = judge[n], judge[n] != session.VerdictUnsaid
				}
				if st.Verdict != want || st.Judged != judged {
					rt.Fatalf("statement %d is %v, by the judge %v; want %v: the player said %v, the judge %v", n, st.Verdict, st.Judged, want, player[n], judge[n])
				}
			}
		}
	})
	s := open(t, `{"drill":{"figure":"3 5 1 6","parts":["trumpet"]},"orders":["0369"],"playback":{"mode":"model"}}`)
	for turn := range 2 {
		if err := s.Hear(listening.Say{Turn: turn * 99, Verdict: listening.VerdictClean}); err == nil {
			t.Errorf("turn %d: it is taken", turn*99)
		}
	}
	if s.Hear(listening.Say{Turn: 1, Verdict: listening.VerdictNotClean}) != nil || s.Turn() != 3 {
		t.Error(s.Turn())
	}
	r, err := s.Report(date(t), 0)
	if err != nil || !strings.Contains(r.Log, `"clean":0,"statements":1`) {
		t.Error(r.Log, err)
	}
}

// TestChordsOfThePlan: each chord comes with its time, in a pickup too, in the key
// of its statement.
func TestChordsOfThePlan(t *testing.T) {
	set := settings(t, `{"drill":{"figure":"{5 7} 5 | {1 m7} 1:2 b3:2 {4 7} 4:4","parts":["flute"],"tempo":60},"orders":["(07)"],"playback":{"mode":"click"}}`)
	s, err := session.New(context.Background(), set, drill.Cost{}, practice.Log{})
	if err != nil {
		t.Fatal(err)
	}
	for n, want := range [][]string{{"G7", "Cm7", "F7"}, {"D7", "Gm7", "C7"}} {
		st := s.Plan().Statements[n]
		for k, at := range []float64{0, 0.5, 2.5} {
			if k >= len(st.Chords) || st.Chords[k].Symbol != want[k] || math.Abs(st.Chords[k].At-st.Start-at) > 1e-6 {
				t.Errorf("statement %d from %v on has the chords %v, want %v", n, st.Start, st.Chords, want)
				break
			}
		}
	}
}
