package playback

import (
	"encoding/json"
	"errors"
	"fmt"
	"iter"
	"math"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/spelling"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func instrument(t testing.TB, name string) drill.Instrument {
	i, err := drill.Find(name, drill.Full)
	if err != nil {
		t.Fatal(err)
	}
	return i
}

func meter(t testing.TB, text string) drill.Meter {
	m, err := drill.ParseMeter(text)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func mustDrill(t testing.TB, s drill.Settings) *drill.Drill {
	if s.Parts == nil {
		s.Parts = []drill.Instrument{instrument(t, "flute")}
	}
	if s.Route.Len() == 0 {
		s.Route = cycle.By(interval.MinorThird).Closed()
	}
	d, err := drill.New(s)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func mustLine(t testing.TB, o Options, drills ...*drill.Drill) *Line {
	l, err := New(o, drills...)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

var (
	allMeters   = []string{"4/4", "3/4", "2/2", "6/8", "5/8", "2+2+3/8", "12/8", "5/4", "3+2/16", "4/2"}
	swingMeters = []string{"4/4", "3/4", "2/2", "5/4"}
	ensembles   = []string{"flute", "piano", "alto saxophone", "trumpet", "double bass", "piano C4-C5"}
)

// anyDrill draws a drill for some instruments that has room for the model.
func anyDrill(meters []string, parts []drill.Instrument) *rapid.Generator[*drill.Drill] {
	return rapid.Custom(func(t *rapid.T) *drill.Drill {
		lengths := rapid.SampledFrom([]figure.Length{24, 24, 48, 12, 16, 8, 36, 72, 7, 6, 192})
		item := rapid.Custom(func(t *rapid.T) figure.Item {
			it := figure.Item{Length: lengths.Draw(t, "length")}
			for _, step := range rapid.SliceOfNDistinct(rapid.Int8Range(0, 7), 0, 3, rapid.ID).Draw(t, "steps") {
				it.Degrees = append(it.Degrees, figure.Degree{Step: step})
			}
			return it
		})
		items := append(rapid.SliceOfN(item, 0, 6).Draw(t, "items"), figure.Item{Degrees: []figure.Degree{{}}, Length: lengths.Draw(t, "last")})
		f, err := figure.New(figure.Major, 0, rapid.IntRange(0, len(items)-1).Draw(t, "before"), items...)
		if err != nil {
			t.Fatal(err)
		}
		var sections []cycle.Section
		for range rapid.IntRange(1, 3).Draw(t, "sections") {
			sections = append(sections, cycle.Section{
				Keys:   rapid.SliceOfN(rapid.Custom(func(t *rapid.T) pitch.Class { return pitch.Class(rapid.IntRange(0, 11).Draw(t, "key")) }), 1, 4).Draw(t, "keys"),
				Closed: rapid.Bool().Draw(t, "closed"),
			})
		}
		route, err := cycle.NewRoute(sections...)
		if err != nil {
			t.Fatal(err)
		}
		m, err := drill.ParseMeter(rapid.SampledFrom(meters).Draw(t, "meter"))
		if err != nil {
			t.Fatal(err)
		}
		s := drill.Settings{
			Title: "any", Figure: f, Route: route, Parts: parts, Meter: m,
			Tempo:    rapid.IntRange(drill.MinTempo, drill.MaxTempo).Draw(t, "tempo"),
			Closing:  rapid.SampledFrom([]drill.Closing{drill.CloseHeld, drill.CloseFull, drill.CloseOpen}).Draw(t, "closing"),
			Padding:  rapid.SampledFrom([]drill.Padding{drill.ToBar, drill.ToBeat, drill.RunOn}).Draw(t, "padding"),
			LeaveOut: true,
		}
		s.Rest = RestFor(Answer, s) + drill.Rest(rapid.IntRange(0, 50).Draw(t, "more rest"))
		d, err := drill.New(s)
		var fit *drill.FitError
		if errors.As(err, &fit) { // no key fits the narrow range
			s.Route, _ = cycle.NewRoute(cycle.Section{Keys: []pitch.Class{0}})
			s.Parts = slices.Clone(parts)
			for n := range s.Parts {
				s.Parts[n].Low, s.Parts[n].High = spelling.MustParse("C3"), spelling.MustParse("C6")
			}
			d, err = drill.New(s)
		}
		if err != nil {
			t.Fatal(err)
		}
		return d
	})
}

// anyLine draws a line of one to three drills for one to four parts.
func anyLine(meters []string, o Options) *rapid.Generator[*Line] {
	return rapid.Custom(func(t *rapid.T) *Line {
		var parts []drill.Instrument
		for range rapid.IntRange(1, 4).Draw(t, "parts") {
			i, err := drill.Find(rapid.SampledFrom(ensembles).Draw(t, "instrument"), drill.Full)
			if err != nil {
				t.Fatal(err)
			}
			parts = append(parts, i)
		}
		o := o
		o.Mode = rapid.SampledFrom([]Mode{Answer, Call, Model, ClickOnly}).Draw(t, "mode")
		o.CountIn = rapid.IntRange(NoCountIn, 3).Draw(t, "count-in")
		o.Clicks = rapid.SampledFrom([]Clicks{EveryBeat, TwoAndFour}).Draw(t, "clicks")
		l, err := New(o, rapid.SliceOfN(anyDrill(meters, parts), 1, 3).Draw(t, "drills")...)
		if err != nil {
			t.Fatal(err)
		}
		return l
	})
}

func TestLawEventsComeInOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := anyLine(swingMeters, Options{Swing: rapid.Float64Range(1, MaxSwing).Draw(t, "swing")}).Draw(t, "line")
		before := Event{}
		for e := range l.Events() {
			switch {
			case e.Time < before.Time || e.Time < 0 || e.Time+e.Length > l.Length():
				t.Fatalf("%+v after %+v on a line of %d", e, before, l.Length())
			case e.Time == before.Time && (e.Kind < before.Kind || e.Kind == before.Kind && e.Kind == Note && (e.Index < before.Index || e.Index == before.Index && e.Part <= before.Part)):
				t.Fatalf("%+v after %+v, at the same time", e, before)
			case l.At(e.Time) < l.At(before.Time):
				t.Fatalf("%v at %d after %v at %d", l.At(e.Time), e.Time, l.At(before.Time), before.Time)
			}
			before = e
		}
	})
}

// TestLawEventsAreTheStreamsTogether also runs each of them twice, and stops
// one early.
func TestLawEventsAreTheStreamsTogether(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := anyLine(allMeters, Options{}).Draw(t, "line")
		all := slices.Collect(l.Events())
		var streams []Event
		add := func(s iter.Seq[Event]) { streams = slices.AppendSeq(streams, s) }
		add(l.Starts())
		add(l.Clicks())
		for p := -1; p <= l.Parts(); p++ {
			add(l.Notes(p))
		}
		slices.SortFunc(streams, func(a, b Event) int {
			for _, d := range []int64{int64(a.Time - b.Time), int64(a.Kind) - int64(b.Kind), int64(a.Statement - b.Statement), int64(a.Index - b.Index), int64(a.Part - b.Part)} {
				if d != 0 {
					return int(d)
				}
			}
			return 0
		})
		if diff := cmp.Diff(streams, all); diff != "" {
			t.Fatalf("the streams and all events:\n%s", diff)
		}
		for _, s := range []iter.Seq[Event]{l.Events(), l.Starts(), l.Clicks(), l.Notes(0)} {
			whole := slices.Collect(s)
			if len(whole) == 0 {
				continue
			}
			stop := rapid.IntRange(1, len(whole)).Draw(t, "stop")
			var first []Event
			for e := range s {
				if first = append(first, e); len(first) == stop {
					break
				}
			}
			if !slices.Equal(first, whole[:stop]) {
				t.Fatalf("the first %d events are others the second time", stop)
			}
		}
	})
}

func TestLawNotesOfAKeyNeverOverlap(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := anyLine(swingMeters, Options{Swing: rapid.Float64Range(1, MaxSwing).Draw(t, "swing")}).Draw(t, "line")
		type voice struct {
			part int
			key  pitch.Number
		}
		ends := map[voice]Time{}
		last := make([]Time, l.Parts())
		for e := range l.Events() {
			if e.Kind != Note {
				continue
			}
			v := voice{e.Part, e.Key}
			if e.Length <= 0 || e.Time < ends[v] {
				t.Fatalf("%+v; this key sounds until %d", e, ends[v])
			}
			if e.Time+e.Length < last[e.Part] {
				t.Fatalf("%+v ends before an earlier note, at %d", e, last[e.Part])
			}
			ends[v], last[e.Part] = e.Time+e.Length, e.Time+e.Length
		}
	})
}

// TestLawTimesAgreeWithTheStatements works out again what each mode sounds,
// from the statements of each part.
func TestLawTimesAgreeWithTheStatements(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := anyLine(allMeters, Options{}).Draw(t, "line")
		for p := range l.Parts() {
			var want []Event
			begin := Time(0)
			for n := range l.Drills() {
				d := l.Drill(n)
				m, f := d.Settings().Meter, d.Settings().Figure
				begin += countIn(l.Options()) * 20 * Time(m.Bar())
				for s := range d.Statements(p) {
					// the figure's own bars, counted up from one
					bars := figure.Length(1)
					for f.Length() > bars*m.Bar() {
						bars++
					}
					note := func(e figure.Event, after figure.Length) {
						want = append(want, Event{
							Time: begin + 20*Time(s.Onset+e.Onset+after), Kind: Note, Length: 20 * Time(e.Length), Drill: n,
							Section: s.Section, Statement: s.Index, Part: p, Key: s.SoundingNumber(e.Note), Index: e.Index,
						})
					}
					events := s.Events()
					for _, e := range events {
						if mode := l.Options().Mode; mode == Call || mode == Model || mode == Answer && (s.Held || e.Onset == events[0].Onset) {
							note(e, 0)
						}
					}
					for _, e := range events {
						if l.Options().Mode == Answer && !s.Held {
							note(e, bars*m.Bar())
						}
					}
				}
				begin += 20 * Time(d.Length())
			}
			if diff := cmp.Diff(want, slices.Collect(l.Notes(p))); diff != "" {
				t.Fatalf("%v mode, part %d:\n%s", l.Options().Mode, p, diff)
			}
		}
	})
}

func countIn(o Options) Time { return []Time{0, 1, 1, 2, 3}[o.CountIn+1] }

// TestLawTheAnswerFollowsInItsRest says of the answer what a player hears: it
// begins in a later bar at the same place of the bar, after the player has
// played the figure and before another bar has passed, and it is over when the
// next statement begins.
func TestLawTheAnswerFollowsInItsRest(t *testing.T) {
	parts := []drill.Instrument{instrument(t, "piano")}
	rapid.Check(t, func(t *rapid.T) {
		d := anyDrill(allMeters, parts).Draw(t, "drill")
		l, err := New(Options{CountIn: NoCountIn}, d)
		if err != nil {
			t.Fatal(err)
		}
		answers := map[int][]Event{} // notes of each statement
		for e := range l.Notes(0) {
			answers[e.Statement] = append(answers[e.Statement], e)
		}
		f, bar := d.Settings().Figure, 20*Time(d.Settings().Meter.Bar())
		var next []drill.Statement
		for s := range d.Statements(0) {
			next = append(next, s)
		}
		for k, s := range next {
			if s.Held || s.Rests {
				continue
			}
			notes := answers[s.Index]
			cue, model := notes[:len(notes)-f.Notes()], notes[len(notes)-f.Notes():]
			for k := range cue {
				if cue[k].Index != k || cue[k].Time != cue[0].Time || (model[k].Time-cue[k].Time)%bar != 0 {
					t.Fatalf("the cue is %+v, its answer %+v in bars of %d", cue[k], model[k], bar)
				}
			}
			over := 20 * Time(s.Onset-f.Pickup()+f.Length())
			if begin := 20*Time(s.Onset-f.Pickup()) + model[0].Time - cue[0].Time; begin < over || begin-bar >= over {
				t.Fatalf("the figure is over at %d, its answer begins at %d in bars of %d", over, begin, bar)
			}
			limit := l.Length()
			if k+1 < len(next) {
				limit = 20 * Time(next[k+1].Onset)
				if !next[k+1].Held {
					limit -= 20 * Time(f.Pickup())
				}
			}
			if last := model[len(model)-1]; last.Time+last.Length > limit {
				t.Fatalf("the answer ends at %d, the next statement begins at %d", last.Time+last.Length, limit)
			}
		}
	})
}

func TestLawLengthAndDurationAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := anyLine(allMeters, Options{}).Draw(t, "line")
		length, seconds := Time(0), 0.0
		for n := range l.Drills() {
			s := l.Drill(n).Settings()
			own := countIn(l.Options())*20*Time(s.Meter.Bar()) + 20*Time(l.Drill(n).Length())
			length += own
			seconds += float64(own) / 20 / float64(s.Meter.Counted()) * 60 / float64(s.Tempo)
			if l.Options().CountIn == NoCountIn && l.Drills() == 1 && l.Duration() != l.Drill(0).Duration() {
				t.Fatalf("%v on the line, %v as a drill", l.Duration(), l.Drill(0).Duration())
			}
		}
		if l.Length() != length {
			t.Fatalf("length %d, want %d", l.Length(), length)
		}
		if got := l.Duration().Seconds(); math.Abs(got-seconds) > 1e-6 || l.At(0) != 0 {
			t.Fatalf("%v seconds, want %v; begins at %v", got, seconds, l.At(0))
		}
	})
}

func TestLawPartsSoundInOctavesOrUnison(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := anyLine(allMeters, Options{}).Draw(t, "line")
		type place struct {
			at    Time
			index int
		}
		sounds := map[place]Event{}
		for e := range l.Events() {
			if e.Kind != Note {
				continue
			}
			p := place{e.Time, e.Index}
			if other, ok := sounds[p]; ok && (other.Key.Class() != e.Key.Class() || other.Length != e.Length) {
				t.Fatalf("%+v sounds with %+v", e, other)
			}
			sounds[p] = e
		}
	})
}

// TestLawSwing compares a line with the straight one. That the off-beat eighths
// alone are moved is common practice, no source.
func TestLawSwing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		straight := anyLine(swingMeters, Options{}).Draw(t, "line")
		o := straight.Options()
		o.Swing = rapid.Float64Range(1, MaxSwing).Draw(t, "swing")
		var drills []*drill.Drill
		for n := range straight.Drills() {
			drills = append(drills, straight.Drill(n))
		}
		swung, err := New(o, drills...)
		if err != nil {
			t.Fatal(err)
		}
		if !slices.Equal(slices.Collect(straight.Clicks()), slices.Collect(swung.Clicks())) || straight.Length() != swung.Length() {
			t.Fatalf("the click is not the same")
		}
		off := Time(math.Round(960*o.Swing/(1+o.Swing))) - 480 // as far as an eighth moves
		for p := range straight.Parts() {
			before := slices.Collect(straight.Notes(p))
			after := slices.Collect(swung.Notes(p))
			if len(before) != len(after) {
				t.Fatalf("%d notes, swung %d", len(before), len(after))
			}
			for k, b := range before {
				a := after[k]
				move := func(at Time) Time {
					if at%960 == 480 && b.Length%480 == 0 {
						return at + off
					}
					return at
				}
				end, want := b.Time+b.Length, move(b.Time)
				next := k + 1
				for next < len(after) && before[next].Time == b.Time {
					next++
				}
				switch {
				case a.Time != want:
					t.Fatalf("%+v is moved to %+v, want %d", b, a, want)
				case next < len(after) && a.Time+a.Length > after[next].Time:
					t.Fatalf("%+v reaches into %+v", a, after[next])
				case a.Time+a.Length != end && a.Time+a.Length > move(end):
					t.Fatalf("%+v ends at %d, straight at %d", a, a.Time+a.Length, end)
				case move(end) == end && a.Time+a.Length != end:
					t.Fatalf("%+v ends at %d, want %d", a, a.Time+a.Length, end)
				case next < len(after) && before[next].Time == end && a.Time+a.Length != min(move(end), after[next].Time):
					t.Fatalf("%+v ends at %d, the next note begins at %d", a, a.Time+a.Length, after[next].Time)
				}
				a.Time, a.Length = b.Time, b.Length
				if a != b {
					t.Fatalf("%+v becomes %+v", b, a)
				}
			}
		}
	})
}

// TestStoppingEarlyLeavesNothingBehind: several parts are walked in step by
// coroutines, which end with the walk.
func TestStoppingEarlyLeavesNothingBehind(t *testing.T) {
	l := mustLine(t, Options{}, repeated(t, 1))
	before := runtime.NumGoroutine()
	for range 100 {
		for e := range l.Events() {
			if e.Kind == Note {
				break
			}
		}
	}
	if after := runtime.NumGoroutine(); after > before+10 {
		t.Errorf("%d goroutines before, %d after", before, after)
	}
}

// TestSwing: worked out by hand.
func TestSwing(t *testing.T) {
	for _, c := range []struct {
		figure string
		swing  float64
		want   string // onset-end of each note from the downbeat
	}{
		{"1 3 2 5", 0, "0-480 480-960 960-1440 1440-1920"},
		{"1 3 2 5", 1, "0-480 480-960 960-1440 1440-1920"},
		{"1 3 2 5", 2, "0-640 640-960 960-1600 1600-1920"},
		{"1 3 2 5", 1.5, "0-576 576-960 960-1536 1536-1920"},
		{"1 3 2 5", 3, "0-720 720-960 960-1680 1680-1920"},
		{"1:1 2:2 3:1", 2, "0-640 640-1600 1600-1920"},                                                         // a quarter off the beat moves too
		{"1 2 3 by 1/12", 2, "0-320 320-640 640-960"},                                                          // triplets stay
		{"1 3 2 5 by 1/16", 2, "0-240 240-480 480-720 720-960"},                                                // sixteenths stay
		{"1 2:1/2 3:1/2 5", 2, "0-480 480-720 720-960 960-1600"},                                               // sixteenths off the beat: no room to move
		{"1 0:1/4 2:1/4 3:1/2 5", 2, "0-600 600-720 720-960 960-1600"},                                         // a sixteenth soon after: some room
		{"1 0 2 0", 2, "0-640 960-1600"},                                                                       // the end moves into a rest
		{"0 1", 2, "640-960"},                                                                                  // a first note off the beat
		{"1+3 2+4", 2, "0-640 0-640 640-960 640-960"},                                                          // notes together
		{"1:3/2 2:1/2 3", 2, "0-720 720-960 960-1600"},                                                         // a dotted eighth and a sixteenth stay
		{"v7 | 1 2", 2, "-320-0 0-640 640-960"},                                                                // a pickup
		{"1:4 2:4 3:8", 2, "0-1920 1920-3840 3840-7680"},                                                       // long notes on the beat
		{"1:3 2:4 3:1", 3, "0-1680 1680-3600 3600-3840"},                                                       // syncopation
		{"1:2/3 2:2/3 3:2/3 5 4", 2, "0-320 320-640 640-960 960-1600 1600-1920"},                               // a triplet, then eighths
		{"1:4/3 2:2/3 3:4/3 5:2/3", 2, "0-640 640-960 960-1600 1600-1920"},                                     // written-out triplet swing stays
		{"1 3 2 5 6 3 5 2:1/2", 2, "0-640 640-960 960-1600 1600-1920 1920-2560 2560-2880 2880-3360 3360-3600"}, // a last straight sixteenth
	} {
		d := mustDrill(t, drill.Settings{Figure: figure.MustParse(c.figure), Rest: drill.Rest(2 * figure.Whole)})
		l := mustLine(t, Options{Mode: Model, Swing: c.swing, CountIn: NoCountIn}, d)
		var downbeat Time
		for s := range d.Statements(0) {
			downbeat = 20 * Time(s.Onset)
			break
		}
		var got []string
		for e := range l.Notes(0) {
			if e.Statement == 0 {
				got = append(got, fmt.Sprintf("%d-%d", e.Time-downbeat, e.Time+e.Length-downbeat))
			}
		}
		if s := strings.Join(got, " "); s != c.want {
			t.Errorf("%s, swing %v:\n     %s\nwant %s", c.figure, c.swing, s, c.want)
		}
	}
}

// TestSwingRunsOn: three eighths in 4/4 begin off the beat every other time,
// and are swung by their place in the bar, up to the next statement.
func TestSwingRunsOn(t *testing.T) {
	route, err := cycle.NewRoute(cycle.Section{Keys: []pitch.Class{0, 1, 2}})
	if err != nil {
		t.Fatal(err)
	}
	d := mustDrill(t, drill.Settings{Figure: figure.MustParse("1 2 3"), Route: route, Rest: drill.NoRest, Padding: drill.RunOn})
	var got []string
	for e := range mustLine(t, Options{Mode: Model, Swing: 2, CountIn: NoCountIn}, d).Notes(0) {
		got = append(got, fmt.Sprintf("%d-%d", e.Time, e.Time+e.Length))
	}
	want := "0-640 640-960 960-1600 1600-1920 1920-2560 2560-2880 2880-3520 3520-3840 3840-4480"
	if s := strings.Join(got, " "); s != want {
		t.Errorf("\n     %s\nwant %s", s, want)
	}
}

// TestClicks: which beats a click falls on is common practice, no source. An
// accent is written X, another click x, in steps of the meter's lower number.
func TestClicks(t *testing.T) {
	for _, c := range []struct{ meter, every, even string }{
		{"4/4", "Xxxx", ".x.x"},
		{"3/4", "Xxx", ".x."},
		{"2/4", "Xx", ".x"},
		{"5/4", "Xxxxx", ".x.x."},
		{"3+2/4", "XxxXx", "...x."},
		{"2/2", "Xx", ".x"},
		{"3/2", "Xxx", ".x."},
		{"6/8", "X..x..", "...x.."},
		{"9/8", "X..x..x..", "...x....."},
		{"12/8", "X..x..x..x..", "...x.....x.."},
		{"5/8", "XxxXx", "...x."},
		{"7/8", "XxXxXxx", "..x...."},
		{"3+2+2/8", "XxxXxXx", "...x..."},
		{"3/8", "Xxx", ".x."},
		{"8/8", "X.x.x.x.", "..x...x."},
		{"2+3/16", "XxXxx", "..x.."},
	} {
		m := meter(t, c.meter)
		d := mustDrill(t, drill.Settings{Figure: figure.MustParse("1"), Meter: m})
		for _, o := range []struct {
			Clicks
			want string
		}{{EveryBeat, c.every}, {TwoAndFour, c.even}} {
			l := mustLine(t, Options{Clicks: o.Clicks, CountIn: 2}, d)
			steps := []byte(strings.Repeat(".", int(l.Length()/(3840/Time(m.Unit())))))
			for e := range l.Clicks() {
				at := int(e.Time / (3840 / Time(m.Unit())))
				if e.Time%(3840/Time(m.Unit())) != 0 || steps[at] != '.' {
					t.Fatalf("%s: %+v", c.meter, e)
				}
				if steps[at] = 'x'; e.Accent {
					steps[at] = 'X'
				}
			}
			// two bars of count-in on every beat, then the drill
			if want := strings.Repeat(c.every, 2) + strings.Repeat(o.want, d.Bars()); string(steps) != want {
				t.Errorf("%s, %v:\n     %s\nwant %s", c.meter, o.Clicks, steps, want)
			}
		}
	}
}

// TestModes writes out the first bars of a drill in each mode, worked out by
// hand: a pickup, a held return, two drills at two tempos.
func TestModes(t *testing.T) {
	route, err := cycle.NewRoute(cycle.Section{Keys: []pitch.Class{0, 7}, Closed: true})
	if err != nil {
		t.Fatal(err)
	}
	s := drill.Settings{Title: "one", Figure: figure.MustParse("v5:2 | 1:4 3:2"), Route: route}
	s.Rest = RestFor(Answer, s)
	other := s
	other.Title, other.Tempo, other.Closing = "two", 160, drill.CloseOpen
	for _, c := range []struct {
		mode Mode
		want string // statement.index@quarters from the beginning
	}{
		{Answer, "0.0@7 0.0@11 0.1@12 0.2@14 1.0@15 1.0@19 1.1@20 1.2@22 2.1@24 | 0.0@43 0.0@47 0.1@48 0.2@50 1.0@51 1.0@55 1.1@56 1.2@58"},
		{Call, "0.0@7 0.1@8 0.2@10 1.0@15 1.1@16 1.2@18 2.1@24 | 0.0@43 0.1@44 0.2@46 1.0@51 1.1@52 1.2@54"},
		{Model, "0.0@7 0.1@8 0.2@10 1.0@15 1.1@16 1.2@18 2.1@24 | 0.0@43 0.1@44 0.2@46 1.0@51 1.1@52 1.2@54"},
		{ClickOnly, "|"},
	} {
		l := mustLine(t, Options{Mode: c.mode}, mustDrill(t, s), mustDrill(t, other))
		var got []string
		for e := range l.Events() {
			switch {
			case e.Kind == DrillStart && e.Drill == 1:
				got = append(got, "|")
			case e.Kind == Note:
				got = append(got, fmt.Sprintf("%d.%d@%d", e.Statement, e.Index, e.Time/Quarter))
			}
		}
		if s := strings.Join(got, " "); s != c.want {
			t.Errorf("%v:\n     %s\nwant %s", c.mode, s, c.want)
		}
		// 36 quarters at 80 a minute, then 24 at 160
		if l.Length() != 60*Quarter || l.Duration() != 36*time.Second || l.At(36*Quarter) != 27*time.Second || l.At(38*Quarter) != 27750*time.Millisecond {
			t.Errorf("%v: %d quarters, %v; %v, %v", c.mode, l.Length()/Quarter, l.Duration(), l.At(36*Quarter), l.At(38*Quarter))
		}
	}
}

func TestStarts(t *testing.T) {
	d := mustDrill(t, drill.Settings{Figure: figure.MustParse("v7 | 1:8"), Rest: drill.NoRest, Parts: []drill.Instrument{instrument(t, "alto saxophone")}})
	e := mustDrill(t, drill.Settings{Figure: figure.MustParse("1"), Route: cycle.By(interval.PerfectFourth).Closed(), Parts: d.Settings().Parts})
	want := []Event{
		{Kind: DrillStart, Length: 2 * 3840},
		{Kind: SectionStart, Time: 3*3840 - 480, Name: spelling.MustParseName("C")},
		{Kind: SectionStart, Time: 13*3840 - 480, Section: 1, Statement: 5, Name: spelling.MustParseName("Db")},
		{Kind: SectionStart, Time: 23*3840 - 480, Section: 2, Statement: 10, Name: spelling.MustParseName("D")},
		{Kind: DrillStart, Time: 33 * 3840, Length: 2 * 3840, Drill: 1},
		{Kind: SectionStart, Time: 35 * 3840, Drill: 1, Name: spelling.MustParseName("C")},
	}
	l := mustLine(t, Options{Mode: Model, CountIn: 2}, d, e)
	if diff := cmp.Diff(want, slices.Collect(l.Starts())); diff != "" {
		t.Error(diff)
	}
	if l.Parts() != 1 || l.Part(0) != d.Part(0) || l.Drills() != 2 || l.Drill(1) != e || l.Options() != (Options{Mode: Model, CountIn: 2}) {
		t.Errorf("%d parts, %v; %d drills; %+v", l.Parts(), l.Part(0), l.Drills(), l.Options())
	}
}

// TestLawRestForIsEnough: what RestFor says is enough for every drill, and one unit less
// is not where nothing else pads.
func TestLawRestForIsEnough(t *testing.T) {
	parts := []drill.Instrument{instrument(t, "piano")}
	rapid.Check(t, func(t *rapid.T) {
		s := anyDrill(allMeters, parts).Draw(t, "drill").Settings()
		mode := rapid.SampledFrom([]Mode{Answer, Call}).Draw(t, "mode")
		s.Rest = RestFor(mode, s)
		d, err := drill.New(s)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := New(Options{Mode: mode}, d); err != nil {
			t.Fatal(err)
		}
		s.Rest--
		s.Padding, s.Closing = drill.RunOn, drill.CloseFull
		s.Route, _ = cycle.NewRoute(cycle.Section{Keys: []pitch.Class{0, 1}})
		if d, err = drill.New(s); err != nil {
			t.Fatal(err)
		}
		var e *Error
		if _, err := New(Options{Mode: mode}, d); !errors.As(err, &e) || !strings.Contains(err.Error(), fmt.Sprintf("needs a rest of %v ", s.Rest+1)) {
			t.Fatalf("with a rest of %v: %v", s.Rest, err)
		}
		if _, err := New(Options{Mode: Model}, d); err != nil {
			t.Fatal(err)
		}
	})
	for _, c := range []struct {
		figure, meter string
		want          drill.Rest
	}{
		{"1 3 2 5", "4/4", 192},
		{"1 2 3", "3/4", 144},
		{"1:8 2", "4/4", 384},
		{"v7 | 1 2", "4/4", 192 + 24},
		{"v7 | 1:8", "4/4", 384 + 24},
		{"1 3 2 5 4 7 6", "6/8", 288},
	} {
		s := drill.Settings{Figure: figure.MustParse(c.figure), Meter: meter(t, c.meter)}
		if got := RestFor(Answer, s); got != c.want || RestFor(Call, s) != c.want || RestFor(Model, s) != 0 || RestFor(ClickOnly, s) != 0 {
			t.Errorf("%s in %s: %v, want %v", c.figure, c.meter, got, c.want)
		}
	}
}

func TestErrors(t *testing.T) {
	one := figure.MustParse("1 3 2 5")
	d := mustDrill(t, drill.Settings{Title: "minor thirds", Figure: one})
	short := mustDrill(t, drill.Settings{Title: "no rest", Figure: one, Rest: drill.NoRest, Padding: drill.RunOn})
	in := func(m string) *drill.Drill { return mustDrill(t, drill.Settings{Figure: one, Meter: meter(t, m)}) }
	tuba := mustDrill(t, drill.Settings{Figure: one, Parts: []drill.Instrument{instrument(t, "tuba")}})
	two := mustDrill(t, drill.Settings{Figure: one, Parts: []drill.Instrument{instrument(t, "flute"), instrument(t, "tuba")}})
	slow := mustDrill(t, drill.Settings{Figure: figure.MustParse("1:512"), Meter: meter(t, "3+2/16"), Tempo: 10, Route: cycle.By(interval.MinorSecond).Closed()})
	long := drill.Settings{Figure: figure.MustParse("1:64 3 by 1")}
	long.Rest = RestFor(Answer, long)
	endless := mustDrill(t, long)
	days := slices.Repeat([]*drill.Drill{slow}, 60) // each takes 20 hours and a half
	for _, c := range []struct {
		o      Options
		drills []*drill.Drill
		want   string
	}{
		{Options{}, nil, "a line has at least one drill"},
		{Options{}, []*drill.Drill{d, nil}, "drill 2: it is empty"},
		{Options{Mode: 4}, []*drill.Drill{d}, "Mode(4): the mode is one of answer, call, model, click"},
		{Options{Clicks: 2}, []*drill.Drill{d}, "Clicks(2): the click is one of every beat, 2 and 4"},
		{Options{CountIn: -2}, []*drill.Drill{d}, "up to 16 bars"},
		{Options{CountIn: 17}, []*drill.Drill{d}, "up to 16 bars"},
		{Options{Swing: 0.5}, []*drill.Drill{d}, "the ratio goes from 1, straight, to 3"},
		{Options{Swing: 3.1}, []*drill.Drill{d}, "the ratio goes from 1, straight, to 3"},
		{Options{Swing: -1}, []*drill.Drill{d}, "the ratio goes from 1, straight, to 3"},
		{Options{Swing: math.NaN()}, []*drill.Drill{d}, "the ratio goes from 1, straight, to 3"},
		{Options{Swing: math.Inf(1)}, []*drill.Drill{d}, "the ratio goes from 1, straight, to 3"},
		{Options{Swing: 2}, []*drill.Drill{d, in("6/8")}, `drill 2: 6/8 does not swing`},
		{Options{Swing: 2}, []*drill.Drill{in("3+2/16")}, "5/16 does not swing"},
		{Options{Clicks: TwoAndFour}, []*drill.Drill{in("1/4")}, "1/4 has no second beat"},
		{Options{}, []*drill.Drill{short}, `drill 1, "no rest": its rests are too short for answer mode, which needs a rest of 1 `},
		{Options{Mode: Call}, []*drill.Drill{d, short}, "too short for call mode"},
		{Options{}, []*drill.Drill{endless}, "a figure of 65 whole notes is too long for answer mode: the rest after it would be longer than 64"},
		{Options{}, []*drill.Drill{d, tuba}, "not for the same instruments"},
		{Options{}, []*drill.Drill{d, two}, "not for the same instruments"},
		{Options{Mode: Model}, days, "with it the line is longer than 1000h0m0s"},
	} {
		_, err := New(c.o, c.drills...)
		var e *Error
		if !errors.As(err, &e) || !strings.Contains(err.Error(), c.want) || !strings.HasPrefix(err.Error(), "playback: ") {
			t.Errorf("%+v, %d drills: %v\nwant …%s…", c.o, len(c.drills), err, c.want)
		}
	}
	// what is near them is allowed
	mustLine(t, Options{Swing: 1}, in("6/8"))
	mustLine(t, Options{Mode: Model}, short)
	mustLine(t, Options{Mode: ClickOnly, CountIn: MaxCountIn}, short, d)
	mustLine(t, Options{Mode: Model}, days[:48]...)
}

func TestTexts(t *testing.T) {
	type texts interface {
		MarshalText() ([]byte, error)
		String() string
	}
	for want, v := range map[string]texts{
		"answer": Answer, "call": Call, "model": Model, "click": ClickOnly,
		"every beat": EveryBeat, "2 and 4": TwoAndFour,
	} {
		if text, err := v.MarshalText(); err != nil || string(text) != want || v.String() != want {
			t.Errorf("%s, %v; want %s", text, err, want)
		}
	}
	for _, o := range []Options{{}, {Mode: Call, CountIn: NoCountIn, Clicks: TwoAndFour, Swing: 1.5}, {Mode: ClickOnly}} {
		var got Options
		text, err := json.Marshal(o)
		if err == nil {
			err = json.Unmarshal(text, &got)
		}
		if err != nil || got != o {
			t.Errorf("%s is read as %+v, %v", text, got, err)
		}
	}
	var m Mode
	var c Clicks
	if m.UnmarshalText([]byte("Model")) != nil || m != Model || c.UnmarshalText([]byte("2 AND 4")) != nil || c != TwoAndFour {
		t.Errorf("%v, %v", m, c)
	}
	var e *Error
	for _, err := range []error{m.UnmarshalText([]byte("sing")), c.UnmarshalText([]byte("1 and 3"))} {
		if !errors.As(err, &e) || !strings.Contains(err.Error(), "it is one of ") {
			t.Error(err)
		}
	}
	if m != Model || c != TwoAndFour {
		t.Error("bad text changed the value")
	}
	for n := range 256 {
		if m := Mode(n); m > ClickOnly {
			if text, err := m.MarshalText(); m.String() != fmt.Sprintf("Mode(%d)", n) || !errors.As(err, &e) || !strings.Contains(err.Error(), m.String()+": it is one of answer,") {
				t.Errorf("mode %d is %v, %s, %v", n, m, text, err)
			}
		}
		if c := Clicks(n); c > TwoAndFour {
			if text, err := c.MarshalText(); c.String() != fmt.Sprintf("Clicks(%d)", n) || !errors.As(err, &e) || !strings.Contains(err.Error(), c.String()+": it is one of every beat,") {
				t.Errorf("clicks %d is %v, %s, %v", n, c, text, err)
			}
		}
	}
}

// TestLawTimesDoNotOverflow: a later time never comes earlier, however far it
// lies from the line.
func TestLawTimesDoNotOverflow(t *testing.T) {
	l := mustLine(t, Options{}, mustDrill(t, drill.Settings{Figure: figure.MustParse("1 3 2 5")}), mustDrill(t, drill.Settings{Figure: figure.MustParse("1 3 2 5"), Tempo: 500}))
	rapid.Check(t, func(t *rapid.T) {
		time := rapid.OneOf(rapid.Int64(), rapid.SampledFrom([]int64{math.MinInt64, math.MaxInt64, 0, int64(l.Length())}))
		a, b := Time(time.Draw(t, "a")), Time(time.Draw(t, "b"))
		if a > b {
			a, b = b, a
		}
		if l.At(a) > l.At(b) || a >= 0 && l.At(a) < 0 {
			t.Fatalf("%d comes at %v, %d at %v", a, l.At(a), b, l.At(b))
		}
	})
}

// TestEmptyLine: the zero value does no harm.
func TestEmptyLine(t *testing.T) {
	var l Line
	if l.Length() != 0 || l.Duration() != 0 || l.At(5) != 0 || l.Parts() != 0 || l.Drills() != 0 {
		t.Errorf("%d, %v", l.Length(), l.Duration())
	}
	for _, s := range []iter.Seq[Event]{l.Events(), l.Starts(), l.Clicks(), l.Notes(0)} {
		for e := range s {
			t.Errorf("%+v", e)
		}
	}
}

// repeated returns a drill whose route is minor thirds, so many times.
func repeated(t testing.TB, times int) *drill.Drill {
	routes := make([]cycle.Route, times)
	for n := range routes {
		routes[n] = cycle.By(interval.MinorThird).Closed()
	}
	route, err := cycle.Join(routes...)
	if err != nil {
		t.Fatal(err)
	}
	return mustDrill(t, drill.Settings{Figure: figure.MustParse("1 3 2 5"), Route: route, Parts: []drill.Instrument{instrument(t, "flute"), instrument(t, "tuba")}})
}

func TestWalkingDoesNotAllocateMoreOnALongLine(t *testing.T) {
	walk := func(times int) float64 {
		l := mustLine(t, Options{Swing: 2}, repeated(t, times))
		return testing.AllocsPerRun(5, func() {
			for range l.Events() {
			}
			for range l.Notes(1) {
			}
		})
	}
	if short, long := walk(1), walk(100); long > short {
		t.Errorf("%v allocations, %v on a line 100 times as long", short, long)
	}
}

// TestZeroValues: what no constructor made does no harm.
func TestZeroValues(t *testing.T) {
	var l Line
	if l.Drill(0) != nil || l.Part(0) != (drill.Instrument{}) || l.Length() != 0 {
		t.Error("the zero line has drills")
	}
	if _, err := New(Options{}, new(drill.Drill)); err == nil {
		t.Error("a line of the zero drill")
	}
	if (new(drill.Drill)).Duration() != 0 {
		t.Error("the zero drill takes time")
	}
	for _, v := range []interface{ MarshalText() ([]byte, error) }{Mode(99), Clicks(99)} {
		var e *Error
		if text, err := v.MarshalText(); !errors.As(err, &e) {
			t.Errorf("%v marshals as %s", v, text)
		}
	}
}
