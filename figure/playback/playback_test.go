package playback_test

import (
	order "cmp"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/accompaniment"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/figuretest"
	. "example.com/keyorder/figure/playback"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func instrument(t interface{ Fatal(...any) }, name string) drill.Instrument {
	i, err := drill.Find(name, drill.LevelFull)
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
	l, err := New(drills, o)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// anyBand draws a band that always plays, in meters that can have 1 and the and of
// 2.
func anyBand() *rapid.Generator[accompaniment.Band] {
	return rapid.Custom(func(t *rapid.T) accompaniment.Band {
		return accompaniment.Band{
			Bass:   rapid.SampledFrom([]accompaniment.Bass{accompaniment.BassNone, accompaniment.BassRoots, accompaniment.BassWalking}).Draw(t, "bass"),
			Chords: rapid.SampledFrom([]accompaniment.Comping{accompaniment.CompingNone, accompaniment.CompingWhole, accompaniment.CompingOneAndTwo}).Draw(t, "chords"),
			Drone:  rapid.Bool().Draw(t, "drone"),
			Rests:  rapid.SampledFrom([]accompaniment.Rests{accompaniment.RestsWait, accompaniment.RestsTime, accompaniment.RestsDominant}).Draw(t, "rests"),
		}
	})
}

// anyOptions draws what meters that swing can have.
func anyOptions() *rapid.Generator[Options] {
	return rapid.Custom(func(t *rapid.T) Options {
		return Options{
			Swing: rapid.Float64Range(1, MaxSwing).Draw(t, "swing"),
			Free:  rapid.IntRange(0, 2).Draw(t, "free"),
			Drop:  rapid.IntRange(0, 3).Draw(t, "drop"),
			Band:  anyBand().Draw(t, "band"),
		}
	})
}

// drawn draws what a func of figuretest makes.
func drawn[V any](gen func(figuretest.Draw) V) *rapid.Generator[V] {
	return rapid.Custom(func(t *rapid.T) V {
		return gen(func(n int) int { return rapid.IntRange(0, n-1).Draw(t, "n") })
	})
}

// anySettings draws settings of one to so many drills, for one to four parts, that
// have room for the model. A line that swings has quarters to swing in.
func anySettings(t *rapid.T, most int, swings bool) []drill.Settings {
	return drawn(func(draw figuretest.Draw) []drill.Settings {
		all := figuretest.Sequence(draw, most)
		for n := range all {
			s := &all[n]
			if swings {
				s.Meter = drill.MustParseMeter([]string{"4/4", "3/4", "2/2", "5/4"}[draw(4)])
			}
			s.Tempo = drill.MinTempo + draw(drill.MaxTempo-drill.MinTempo+1)
			if RestFor(Options{Free: 2}, *s) == drill.Rest(figure.MaxLength) { // bars as long as these leave it no room
				s.Meter = drill.MustParseMeter("4/4")
			}
			s.Rest = min(RestFor(Options{Free: 2}, *s)+drill.Rest(draw(51)), drill.Rest(figure.MaxLength))
		}
		return all
	}).Draw(t, "settings")
}

// anyLine draws a line of one to three drills.
func anyLine(t *rapid.T, swings bool, o Options) *Line {
	var drills []*drill.Drill
	for _, s := range anySettings(t, 3, swings) {
		d, err := drill.New(s)
		if err != nil {
			t.Fatal(err)
		}
		drills = append(drills, d)
	}
	return lineIn(t, rapid.SampledFrom([]Mode{ModeAnswer, ModeCall, ModeModel, ModeClick}).Draw(t, "mode"), drills, o)
}

// lineIn draws the rest of a line's options, in a mode.
func lineIn(t *rapid.T, m Mode, drills []*drill.Drill, o Options) *Line {
	o.Mode = m
	o.CountIn = rapid.IntRange(NoCountIn, 3).Draw(t, "count-in")
	o.Clicks = rapid.SampledFrom([]Clicks{ClicksEveryBeat, ClicksFirstBeat}).Draw(t, "clicks")
	l, err := New(drills, o)
	for _, band := range []accompaniment.Band{{Drone: true, Rests: o.Band.Rests}, {}} {
		if err != nil { // the figures have no chords, or some that cannot be read
			o.Band = band
			l, err = New(drills, o)
		}
	}
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// notesOf returns the notes of a line, of one part or of all.
func notesOf(l *Line, parts ...drill.Part) []Note {
	var notes []Note
	for t := range l.Turns(0) {
		notes = slices.AppendSeq(notes, l.Notes(t, parts...))
	}
	return notes
}

func clicksOf(l *Line) []Click {
	var clicks []Click
	for t := range l.Turns(0) {
		clicks = slices.AppendSeq(clicks, l.Clicks(t))
	}
	return clicks
}

func TestLawTurnsFillTheLine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := anyLine(t, true, anyOptions().Draw(t, "options"))
		at, n := Time(0), 0
		for turn := range l.Turns(0) {
			switch {
			case turn.Index != n:
				t.Fatalf("turn %d is %+v; the one before ends at %d: the index", n, turn, at)
			case turn.Begin != at:
				t.Fatalf("turn %d is %+v; the one before ends at %d: a gap or an overlap", n, turn, at)
			case turn.End <= turn.Begin:
				t.Fatalf("turn %d is %+v; the one before ends at %d: it does not last", n, turn, at)
			}
			at = turn.End
			n++
		}
		if at != l.Length() {
			t.Fatalf("the turns end at %d, the line at %d", at, l.Length())
		}
	})
}

// TestLawNextBringsTheNextStatement: the turn named next is the first one of
// the statement that comes after, in this drill or the one after it.
func TestLawNextBringsTheNextStatement(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := anyLine(t, false, Options{})
		turns := slices.Collect(l.Turns(0))
		for n, turn := range turns {
			want := -1
			for k := n + 1; k < len(turns) && want < 0; k++ {
				if u := turns[k]; u.Statement >= 0 && (u.Drill != turn.Drill || u.Statement != turn.Statement) {
					want = k
				}
			}
			if got, ok := l.Turn(n); !ok || got != turn {
				t.Fatalf("turn %d is %+v, want %+v", n, got, turn)
			}
			if turn.Next != want {
				t.Fatalf("after turn %d comes %d, want %d: %+v", n, turn.Next, want, turns)
			}
		}
	})
}

func TestLawEveryNoteLiesInItsTurn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := anyLine(t, true, anyOptions().Draw(t, "options"))
		for turn := range l.Turns(0) {
			before := Note{Index: -2}
			for n := range l.Notes(turn) {
				switch {
				case n.On < turn.Begin:
					t.Fatalf("%+v in %+v: it begins before", n, turn)
				case n.Off > turn.End:
					t.Fatalf("%+v in %+v: it ends after", n, turn)
				case n.On >= n.Off:
					t.Fatalf("%+v in %+v: it does not last", n, turn)
				}
				if n.On < before.On || n.On == before.On && (n.Index < before.Index || n.Index == before.Index && n.Index >= 0 && n.Part <= before.Part) {
					t.Fatalf("%+v after %+v", n, before)
				}
				before = n
			}
			for c := range l.Clicks(turn) {
				if c.Time < turn.Begin || c.Time >= turn.End {
					t.Fatalf("%+v in %+v", c, turn)
				}
			}
		}
	})
}

// TestLawTurnsFromOneOnAreTheTail holds of turns and of events, from any turn
// on, as often as one asks, and where one stops early.
func TestLawTurnsFromOneOnAreTheTail(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := anyLine(t, false, Options{})
		turns, events := slices.Collect(l.Turns(0)), slices.Collect(l.Events(0))
		from := rapid.IntRange(-1, len(turns)+1).Draw(t, "from")
		tail := turns[min(max(from, 0), len(turns)):]
		if got := slices.Collect(l.Turns(from)); !slices.Equal(got, tail) {
			t.Fatalf("from %d on: %s", from, cmp.Diff(tail, got))
		}
		k := slices.IndexFunc(events, func(e Event) bool { return e.Turn.Index >= from })
		if k < 0 {
			k = len(events)
		}
		if got := slices.Collect(l.Events(from)); !slices.Equal(got, events[k:]) {
			t.Fatalf("events from %d on: %s", from, cmp.Diff(events[k:], got))
		}
		stop := rapid.IntRange(1, len(events)).Draw(t, "stop")
		var first []Event
		for e := range l.Events(0) {
			if first = append(first, e); len(first) == stop {
				break
			}
		}
		if diff := cmp.Diff(events[:stop], first); diff != "" {
			t.Fatalf("the first %d events are others the second time: %s", stop, diff)
		}
	})
}

// TestLawEventsAreTheTurnsTogether: events are the turns, their notes on and off
// and their clicks, in the order of time and of the kinds.
func TestLawEventsAreTheTurnsTogether(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := anyLine(t, true, anyOptions().Draw(t, "options"))
		type plain struct {
			at   Time
			kind Kind
			note Note
			turn int
		}
		var want, got []plain
		for turn := range l.Turns(0) {
			want = append(want, plain{at: turn.Begin, kind: KindTurn, turn: turn.Index})
			for n := range l.Notes(turn) {
				want = append(want, plain{n.On, KindNoteOn, n, turn.Index}, plain{n.Off, KindNoteOff, n, turn.Index})
			}
			for c := range l.Clicks(turn) {
				kind := KindClick
				if c.Accent {
					kind += 100
				}
				want = append(want, plain{at: c.Time, kind: kind, turn: turn.Index})
			}
		}
		before := Event{}
		for e := range l.Events(0) {
			kind := e.Kind
			if e.Click.Accent {
				kind += 100
			}
			got = append(got, plain{e.Time, kind, e.Note, e.Turn.Index})
			if e.Time < before.Time || e.Time == before.Time && e.Kind < before.Kind {
				t.Fatalf("%+v after %+v", e, before)
			}
			before = e
		}
		for _, list := range [][]plain{want, got} {
			slices.SortFunc(list, func(a, b plain) int {
				return order.Or(order.Compare(a.at, b.at), order.Compare(a.kind, b.kind), order.Compare(a.turn, b.turn), order.Compare(a.note.Index, b.note.Index), order.Compare(a.note.Part, b.note.Part), order.Compare(a.note.On, b.note.On), order.Compare(a.note.Layer, b.note.Layer), order.Compare(a.note.Key, b.note.Key))
			})
		}
		if !slices.Equal(got, want) {
			t.Fatalf("the turns and the events:\n%v\n%v", want, got)
		}
	})
}

func TestLawTurnAtFindsTheTurn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := anyLine(t, true, anyOptions().Draw(t, "options"))
		turns := slices.Collect(l.Turns(0))
		for _, at := range []time.Duration{
			time.Duration(rapid.Int64Range(0, int64(l.Duration())-1).Draw(t, "at")),
			l.At(rapid.SampledFrom(turns).Draw(t, "turn").Begin), l.Duration() - 1,
		} {
			got, ok := l.TurnAt(at)
			if !ok || l.At(got.Begin) > at || at >= l.At(got.End) || got != turns[got.Index] {
				t.Fatalf("at %v there is %+v, %v", at, got, ok)
			}
		}
		for _, at := range []time.Duration{-1, l.Duration(), 1 << 62} {
			if got, ok := l.TurnAt(at); ok {
				t.Fatalf("at %v, outside the line, there is %+v", at, got)
			}
		}
	})
}

func TestLawNotesOfAKeyNeverOverlap(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := anyLine(t, true, anyOptions().Draw(t, "options"))
		type voice struct {
			part  int
			layer accompaniment.Layer
		}
		ends, last := map[voice]map[pitch.Number]Time{}, map[voice]Time{}
		for _, n := range notesOf(l) {
			v := voice{n.Part, n.Layer}
			if ends[v] == nil {
				ends[v] = map[pitch.Number]Time{}
			}
			if n.Off <= n.On || n.On < ends[v][n.Key] {
				t.Fatalf("%+v; this key sounds until %d", n, ends[v][n.Key])
			}
			if n.Off < last[v] {
				t.Fatalf("%+v ends before an earlier note, at %d", n, last[v])
			}
			ends[v][n.Key], last[v] = n.Off, n.Off
		}
	})
}

// TestLawTimesAgreeWithTheStatements works out again what each mode sounds,
// from the statements of each part.
func TestLawTimesAgreeWithTheStatements(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := anyLine(t, false, Options{})
		mode := l.Options().Mode
		for p, part := range l.Parts() {
			var want []Note
			begin := Time(0)
			for k, d := range l.Drills() {
				m, f := d.Settings().Meter, d.Settings().Figure
				free := begin // since when nobody plays
				begin += countIn(l.Options(), d) * 20 * Time(m.Bar())
				for s := range d.Parts()[p].Statements() {
					// the figure's own bars, counted up from one
					bars := figure.Length(1)
					for f.Length() > bars*m.Bar() {
						bars++
					}
					if s.Held {
						bars = 1
					}
					entry := begin + 20*Time(s.Begin())
					if on := lastBeat(m, entry-begin) + begin; mode == ModeAnswer && !s.Rests && on >= free && entry > free {
						want = append(want, Note{On: on, Off: entry, Part: p, Key: s.Sounding.Number(), Index: -1})
					}
					answered := mode == ModeAnswer || mode == ModeCall
					length := s.End() - s.Begin()
					next := s.Onset + s.Length
					if after, ok := d.Parts()[p].Statement(s.Index + 1); ok {
						next = after.Begin()
					}
					if s.Held && s.Begin()+bars*m.Bar()+length > next {
						answered = false // a held return need not be answered
					}
					after := figure.Length(0)
					if mode == ModeAnswer {
						after = bars * m.Bar()
					}
					free = begin + 20*Time(s.End())
					if answered {
						free += 20 * Time(bars*m.Bar())
					}
					from := len(want)
					marks := s.Marks()
					for k, e := range s.Events() {
						if mode == ModeModel || mode == ModeCall || mode == ModeAnswer && answered {
							on, length := begin+20*Time(s.Onset+e.Onset+after), 20*Time(e.Length)
							if d.Settings().Articulation != drill.ArticulationTongued && !marks[k].Has(drill.MarkSlurOn) {
								length -= min(length/4, 240) // a sixteenth
							}
							want = append(want, Note{On: on, Off: on + length, Part: p, Key: s.SoundingNumber(e.Note), Index: e.Index, Marks: marks[k]})
						}
					}
					// what ends last rings through the last rest
					isLast := k+1 == len(l.Drills()) && s.Index+1 == d.Len() && free < l.Length()
					if isLast && (mode == ModeModel || mode == ModeAnswer && answered || mode == ModeCall && !answered) {
						for n, end := len(want)-1, want[len(want)-1].Off; n >= from && want[n].Off == end; n-- {
							want[n].Off = l.Length()
						}
					}
				}
				begin += 20 * Time(d.Length())
			}
			if diff := cmp.Diff(want, notesOf(l, part)); diff != "" {
				t.Fatalf("%v mode, part %d:\n%s", mode, p, diff)
			}
		}
	})
}

// lastBeat returns where the last beat before a time from a barline comes.
func lastBeat(m drill.Meter, t Time) Time {
	at := Time(0)
	for at < t {
		at += 20 * Time(m.Bar())
	}
	for n := m.Beats() - 1; at >= t; n = (n + m.Beats() - 1) % m.Beats() {
		at -= 20 * Time(m.Beat(n))
	}
	return at
}

// countIn returns the bars of count-in: the usual ones are two where a bar takes
// less than two seconds.
func countIn(o Options, d *drill.Drill) Time {
	m := d.Settings().Meter
	if seconds := float64(m.Bar()) / float64(m.Counted()) * 60 / float64(d.Settings().Tempo); o.CountIn == 0 && seconds < 2 {
		return 2
	}
	return []Time{0, 1, 1, 2, 3}[o.CountIn+1]
}

// TestLawTheAnswerFollowsInItsRest says of the answer what a player hears: it
// begins in a later bar at the same place of the bar, after the player has
// played the figure and before another bar has passed, and it is over when the
// next statement begins. The player's own turn is silent.
func TestLawTheAnswerFollowsInItsRest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d, err := drill.New(anySettings(t, 1, false)[0])
		if err != nil {
			t.Fatal(err)
		}
		l, err := New([]*drill.Drill{d}, Options{CountIn: NoCountIn})
		if err != nil {
			t.Fatal(err)
		}
		bar := 20 * Time(d.Settings().Meter.Bar())
		var yours Turn
		for turn := range l.Turns(0) {
			switch turn.Who {
			case WhoYou:
				if yours = turn; len(slices.Collect(l.Notes(turn))) > 0 {
					t.Fatalf("in %+v there are notes", turn)
				}
			case WhoModel:
				switch {
				case turn.Statement != yours.Statement:
					t.Fatalf("%+v is answered in %+v, in bars of %d: it is another statement", yours, turn, bar)
				case turn.Begin < yours.End:
					t.Fatalf("%+v is answered in %+v, in bars of %d: it begins too early", yours, turn, bar)
				case (turn.Begin-yours.Begin)%bar != 0:
					t.Fatalf("%+v is answered in %+v, in bars of %d: not at the same place of a bar", yours, turn, bar)
				case turn.Begin-bar >= yours.End:
					t.Fatalf("%+v is answered in %+v, in bars of %d: a bar late", yours, turn, bar)
				case turn.End != l.Length() && turn.End-turn.Begin != yours.End-yours.Begin:
					t.Fatalf("%+v is answered in %+v, in bars of %d: it lasts another time", yours, turn, bar)
				}
				st, _ := l.Statement(turn, l.Parts()[0])
				if n := len(slices.Collect(l.Notes(turn, l.Parts()[0]))); n != len(st.Events()) {
					t.Fatalf("%d notes answer %d", n, len(st.Events()))
				}
			}
		}
	})
}

func TestLawLengthAndDurationAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := anyLine(t, false, Options{})
		length, seconds := Time(0), 0.0
		for _, d := range l.Drills() {
			s := d.Settings()
			own := countIn(l.Options(), d)*20*Time(s.Meter.Bar()) + 20*Time(d.Length())
			length += own
			seconds += float64(own) / 20 / float64(s.Meter.Counted()) * 60 / float64(s.Tempo)
			if l.Options().CountIn == NoCountIn && len(l.Drills()) == 1 && l.Duration() != d.Duration() {
				t.Fatalf("%v on the line, %v as a drill", l.Duration(), d.Duration())
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
		l := anyLine(t, false, Options{})
		type place struct {
			at    Time
			index int
		}
		sounds := map[place]Note{}
		for _, n := range notesOf(l) {
			p := place{n.On, n.Index}
			if other, ok := sounds[p]; ok && (other.Key.Class() != n.Key.Class() || other.Off != n.Off) {
				t.Fatalf("%+v sounds with %+v", n, other)
			}
			sounds[p] = n
		}
	})
}

// tongued returns a line without slurs and accents.
func tongued(t *rapid.T, l *Line) *Line {
	var drills []*drill.Drill
	for _, d := range l.Drills() {
		s := d.Settings()
		s.Articulation, s.Accents = drill.ArticulationTongued, drill.AccentsNone
		d, err := drill.New(s)
		if err != nil {
			t.Fatal(err)
		}
		drills = append(drills, d)
	}
	l, err := New(drills, l.Options())
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// TestLawSlursSound compares a line with the tongued one: all notes begin as they
// did; where there are slurs, a note under one lasts to the next, as all did, and
// another ends before.
func TestLawSlursSound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := anyLine(t, true, Options{})
		plain := tongued(t, l)
		for _, p := range l.Parts() {
			notes, before := notesOf(l, p), notesOf(plain, p)
			if len(notes) != len(before) {
				t.Fatalf("%d notes, tongued %d", len(notes), len(before))
			}
			for k, n := range notes {
				b := before[k]
				if n.On != b.On || n.Key != b.Key || n.Index != b.Index || b.Marks != 0 {
					t.Fatalf("%+v, tongued %+v", n, b)
				}
				slurs := false
				for _, d := range l.Drills() {
					slurs = slurs || d.Settings().Articulation != drill.ArticulationTongued
				}
				switch {
				case n.Marks.Has(drill.MarkSlurOn) && n.Off != b.Off, !slurs && n.Off != b.Off, n.Off <= n.On, n.Off > b.Off:
					t.Fatalf("%+v, tongued %+v", n, b)
				case slurs && len(l.Drills()) == 1 && !n.IsCue() && !n.Marks.Has(drill.MarkSlurOn) && n.Off == b.Off && b.Off != l.Length():
					t.Fatalf("%+v does not part from what follows", n)
				}
			}
		}
	})
}

// TestLawSwing compares a line with the straight one. That the off-beat eighths
// alone are moved is common practice, no source.
func TestLawSwing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		straight := tongued(t, anyLine(t, true, Options{}))
		o := straight.Options()
		o.Swing = rapid.Float64Range(1, MaxSwing).Draw(t, "swing")
		swung, err := New(straight.Drills(), o)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(clicksOf(straight), clicksOf(swung)); diff != "" {
			t.Fatalf("the click is not the same: %s", diff)
		}
		if straight.Length() != swung.Length() {
			t.Fatalf("it is %d long, swung %d", straight.Length(), swung.Length())
		}
		off := Time(math.Round(960*o.Swing/(1+o.Swing))) - 480 // as far as an eighth moves
		for _, p := range straight.Parts() {
			sounded := func(l *Line) []Note { return slices.DeleteFunc(notesOf(l, p), Note.IsCue) }
			before, after := sounded(straight), sounded(swung)
			if len(before) != len(after) {
				t.Fatalf("%d notes, swung %d", len(before), len(after))
			}
			for k, b := range before {
				a := after[k]
				if b.Off == straight.Length() && a.Off == b.Off {
					continue // it rings, or ends there anyway
				}
				move := func(at Time) Time {
					if at%960 == 480 && (b.Off-b.On)%480 == 0 {
						return at + off
					}
					return at
				}
				want := move(b.On)
				next := k + 1
				for next < len(after) && before[next].On == b.On {
					next++
				}
				switch {
				case a.On != want:
					t.Fatalf("%+v is moved to %+v, want %d", b, a, want)
				case next < len(after) && a.Off > after[next].On:
					t.Fatalf("%+v reaches into %+v", a, after[next])
				case a.Off != b.Off && a.Off > move(b.Off):
					t.Fatalf("%+v ends at %d, straight at %d", a, a.Off, b.Off)
				case move(b.Off) == b.Off && a.Off != b.Off:
					t.Fatalf("%+v ends at %d, want %d", a, a.Off, b.Off)
				case next < len(after) && before[next].On == b.Off && a.Off != min(move(b.Off), after[next].On):
					t.Fatalf("%+v ends at %d, the next note begins at %d", a, a.Off, after[next].On)
				}
				a.On, a.Off = b.On, b.Off
				if a != b {
					t.Fatalf("%+v becomes %+v", b, a)
				}
			}
		}
	})
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
		l := mustLine(t, Options{Mode: ModeModel, Swing: c.swing, CountIn: NoCountIn}, d)
		var downbeat Time
		if s, ok := d.Parts()[0].Statement(0); ok {
			downbeat = 20 * Time(s.Onset)
		}
		var got []string
		for turn := range l.Turns(0) {
			for n := range l.Notes(turn) {
				if turn.Statement == 0 {
					got = append(got, fmt.Sprintf("%d-%d", n.On-downbeat, n.Off-downbeat))
				}
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
	d := mustDrill(t, drill.Settings{Figure: figure.MustParse("1 2 3"), Route: route, Rest: drill.NoRest, Padding: drill.PaddingRunOn})
	var got []string
	for _, n := range notesOf(mustLine(t, Options{Mode: ModeModel, Swing: 2, CountIn: NoCountIn}, d)) {
		got = append(got, fmt.Sprintf("%d-%d", n.On, n.Off))
	}
	want := "0-640 640-960 960-1600 1600-1920 1920-2560 2560-2880 2880-3520 3520-3840 3840-7680" // the last one rings
	if s := strings.Join(got, " "); s != want {
		t.Errorf("\n     %s\nwant %s", s, want)
	}
}

// TestClicks: which beats a click falls on is common practice, no source. An
// accent is written X, another click x, in steps of the meter's lower number.
func TestClicks(t *testing.T) {
	for _, c := range []struct{ meter, every, even string }{
		{"4/4", "Xxxx", ".x.x"},
		{"3/4", "Xxx", ""},
		{"2/4", "Xx", ""},
		{"5/4", "Xxxxx", ""},
		{"3+2/4", "XxxXx", ""},
		{"2/2", "Xx", ""},
		{"3/2", "Xxx", ""},
		{"6/8", "X..x..", ""},
		{"9/8", "X..x..x..", ""},
		{"12/8", "X..x..x..x..", ""},
		{"5/8", "XxxXx", ""},
		{"7/8", "XxXxXxx", ""},
		{"3+2+2/8", "XxxXxXx", ""},
		{"3/8", "Xxx", ""},
		{"8/8", "X.x.x.x.", ""},
		{"2+3/16", "XxXxx", ""},
	} {
		m := meter(t, c.meter)
		d := mustDrill(t, drill.Settings{Figure: figure.MustParse("1"), Meter: m})
		silent := strings.Repeat(".", len(c.every))
		for _, o := range []struct {
			Clicks
			drop int
			want string
		}{
			{ClicksEveryBeat, 0, c.every}, {ClicksTwoAndFour, 0, c.even}, {ClicksFirstBeat, 0, "X" + silent[1:]},
			{ClicksEveryBeat, 1, c.every}, {ClicksFirstBeat, 3, "X" + silent[1:]},
		} {
			if o.want == "" {
				continue // refused
			}
			l := mustLine(t, Options{Clicks: o.Clicks, Drop: o.drop, CountIn: 2}, d)
			steps := []byte(strings.Repeat(".", int(l.Length()/(3840/Time(m.Unit())))))
			for _, e := range clicksOf(l) {
				at := int(e.Time / (3840 / Time(m.Unit())))
				if e.Time%(3840/Time(m.Unit())) != 0 || steps[at] != '.' {
					t.Fatalf("%s: %+v", c.meter, e)
				}
				if steps[at] = 'x'; e.Accent {
					steps[at] = 'X'
				}
			}
			// two bars of count-in on every beat, then the drill, and no click in its last bar
			// but for the held answer
			want := strings.Repeat(c.every, 2)
			for bar := range d.Bars() {
				if bar%4 >= 4-o.drop {
					want += silent
				} else {
					want += o.want
				}
			}
			if string(steps) != want {
				t.Errorf("%s, %v, %d dropped:\n     %s\nwant %s", c.meter, o.Clicks, o.drop, steps, want)
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
	s.Rest = RestFor(Options{}, s)
	other := s
	other.Title, other.Tempo, other.Closing = "two", 160, drill.ClosingOpen
	for _, c := range []struct {
		mode Mode
		want string // statement.index@quarters from the beginning
	}{
		{ModeAnswer, "count cue@6 you model 0.0@11 0.1@12 0.2@14 you model 1.0@19 1.1@20 1.2@22 rest cue@23 you model 2.1@28 rest | count cue@42 you model 0.0@47 0.1@48 0.2@50 you model 1.0@55 1.1@56 1.2@58"},
		{ModeCall, "count model 0.0@7 0.1@8 0.2@10 you model 1.0@15 1.1@16 1.2@18 you rest model 2.1@24 you rest | count model 0.0@43 0.1@44 0.2@46 you model 1.0@51 1.1@52 1.2@54 you"},
		{ModeModel, "count both 0.0@7 0.1@8 0.2@10 rest both 1.0@15 1.1@16 1.2@18 rest both 2.1@24 rest | count both 0.0@43 0.1@44 0.2@46 rest both 1.0@51 1.1@52 1.2@54"},
		{ModeClick, "count you rest you rest you rest | count you rest you"},
	} {
		l := mustLine(t, Options{Mode: c.mode, CountIn: 1}, mustDrill(t, s), mustDrill(t, other))
		var got []string
		for e := range l.Events(0) {
			switch {
			case e.Kind == KindTurn && e.Turn.Drill == 1 && e.Turn.Who == WhoCount:
				got = append(got, "|", "count")
			case e.Kind == KindTurn:
				got = append(got, e.Turn.Who.String())
			case e.Kind == KindNoteOn && e.Note.IsCue():
				got = append(got, fmt.Sprintf("cue@%d", e.Time/Quarter))
			case e.Kind == KindNoteOn:
				got = append(got, fmt.Sprintf("%d.%d@%d", e.Turn.Statement, e.Note.Index, e.Time/Quarter))
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

func TestLineOfDrills(t *testing.T) {
	d := mustDrill(t, drill.Settings{Figure: figure.MustParse("v7 | 1:8"), Rest: drill.NoRest, Parts: []drill.Instrument{instrument(t, "alto saxophone")}})
	e := mustDrill(t, drill.Settings{Figure: figure.MustParse("1"), Route: cycle.By(interval.PerfectFourth).Closed(), Parts: d.Settings().Parts})
	o := Options{Mode: ModeModel, CountIn: 2}
	l := mustLine(t, o, d, e)
	if !slices.Equal(l.Drills(), []*drill.Drill{d, e}) || !slices.Equal(l.Parts(), d.Parts()) || l.Options() != o {
		t.Errorf("%v, %v, %+v", l.Drills(), l.Parts(), l.Options())
	}
	for _, turn := range slices.Collect(l.Turns(0)) {
		st, ok := l.Statement(turn, l.Parts()[0]) // the part of the first drill asks for all
		want, is := l.Drills()[turn.Drill].Parts()[0].Statement(turn.Statement)
		if ok != is || st != want {
			t.Errorf("turn %+v is of %+v, want %+v", turn, st, want)
		}
	}
}

// TestLawRestForIsEnough: what RestFor says is enough for every drill, and one unit less
// is not where nothing else pads.
func TestLawRestForIsEnough(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anySettings(t, 1, false)[0]
		s.Meter = drawn(figuretest.Meter).Draw(t, "meter") // bars that are too long too
		for n := range s.Parts {                           // of any key
			s.Parts[n].Low, s.Parts[n].High, s.Parts[n].Sounding = spelling.MustParse("C0"), spelling.MustParse("C8"), 0
		}
		mode := rapid.SampledFrom([]Mode{ModeAnswer, ModeCall}).Draw(t, "mode")
		o := Options{Mode: mode, Free: rapid.IntRange(0, 2).Draw(t, "free")}
		s.Rest = RestFor(o, s)
		d, err := drill.New(s)
		if err != nil {
			t.Fatal(err)
		}
		f, bar := s.Figure, s.Meter.Bar()
		up := func(l figure.Length) figure.Length { return (l + bar - 1) / bar * bar }
		need, played := f.Pickup()+up(f.Length()), f.Length()-f.Pickup()
		if o.Free > 0 {
			need += up(played) - played + figure.Length(o.Free)*bar
		}
		if _, err := New([]*drill.Drill{d}, o); need > figure.MaxLength {
			if err == nil && s.Padding == drill.PaddingRunOn || err != nil && !strings.Contains(err.Error(), "would be longer than 64") {
				t.Fatalf("a rest of %v is needed: %v", need, err)
			}
			return // where the rest is padded, it may be long enough
		} else if err != nil {
			t.Fatal(err)
		}
		s.Rest--
		s.Padding, s.Closing = drill.PaddingRunOn, drill.ClosingFull
		s.Route, _ = cycle.NewRoute(cycle.Section{Keys: []pitch.Class{0, 1}})
		if d, err = drill.New(s); err != nil {
			t.Fatal(err)
		}
		var e *fault.ValueError
		if _, err := New([]*drill.Drill{d}, o); !errors.As(err, &e) || !strings.Contains(err.Error(), fmt.Sprintf("needs a rest of %v ", s.Rest+1)) {
			t.Fatalf("with a rest of %v: %v", s.Rest, err)
		}
		if _, err := New([]*drill.Drill{d}, Options{Mode: ModeModel}); err != nil {
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
		switch got := RestFor(Options{Mode: ModeAnswer}, s); {
		case got != c.want:
			t.Errorf("%s in %s: %v, want %v: for an answer", c.figure, c.meter, got, c.want)
		case RestFor(Options{Mode: ModeCall}, s) != c.want:
			t.Errorf("%s in %s: %v, want %v: for a call, %v", c.figure, c.meter, got, c.want, RestFor(Options{Mode: ModeCall}, s))
		case RestFor(Options{Mode: ModeModel}, s) != 0:
			t.Errorf("%s in %s: %v, want %v: for the model, %v", c.figure, c.meter, got, c.want, RestFor(Options{Mode: ModeModel}, s))
		case RestFor(Options{Mode: ModeClick}, s) != 0:
			t.Errorf("%s in %s: %v, want %v: for the click, %v", c.figure, c.meter, got, c.want, RestFor(Options{Mode: ModeClick}, s))
		}
	}
}

func TestErrors(t *testing.T) {
	one := figure.MustParse("1 3 2 5")
	d := mustDrill(t, drill.Settings{Title: "minor thirds", Figure: one})
	short := mustDrill(t, drill.Settings{Title: "no rest", Figure: one, Rest: drill.NoRest, Padding: drill.PaddingRunOn})
	in := func(m string) *drill.Drill { return mustDrill(t, drill.Settings{Figure: one, Meter: meter(t, m)}) }
	tuba := mustDrill(t, drill.Settings{Figure: one, Parts: []drill.Instrument{instrument(t, "tuba")}})
	two := mustDrill(t, drill.Settings{Figure: one, Parts: []drill.Instrument{instrument(t, "flute"), instrument(t, "tuba")}})
	slow := mustDrill(t, drill.Settings{Figure: figure.MustParse("1:512"), Meter: meter(t, "3+2/16"), Tempo: 10, Route: cycle.By(interval.MinorSecond).Closed()})
	long := drill.Settings{Figure: figure.MustParse("1:64 3 by 1")}
	long.Rest = RestFor(Options{}, long)
	endless := mustDrill(t, long)
	days := slices.Repeat([]*drill.Drill{slow}, 60) // each takes 20 hours and a half
	for _, c := range []struct {
		o      Options
		drills []*drill.Drill
		want   string
	}{
		{Options{}, nil, "a line has at least one drill"},
		{Options{}, []*drill.Drill{d, nil}, `drill 2: it is empty`},
		{Options{Mode: 4}, []*drill.Drill{d}, "it is one of"},
		{Options{Clicks: 3}, []*drill.Drill{d}, "it is one of"},
		{Options{CountIn: -2}, []*drill.Drill{d}, "up to 16 bars"},
		{Options{CountIn: 17}, []*drill.Drill{d}, "up to 16 bars"},
		{Options{Swing: 0.5}, []*drill.Drill{d}, "the ratio goes from 1, straight, to 3"},
		{Options{Swing: 3.1}, []*drill.Drill{d}, "the ratio goes from 1, straight, to 3"},
		{Options{Swing: -1}, []*drill.Drill{d}, "the ratio goes from 1, straight, to 3"},
		{Options{Swing: math.NaN()}, []*drill.Drill{d}, "the ratio goes from 1, straight, to 3"},
		{Options{Swing: math.Inf(1)}, []*drill.Drill{d}, "the ratio goes from 1, straight, to 3"},
		{Options{Swing: 2}, []*drill.Drill{d, in("6/8")}, `drill 2: 6/8 does not swing`},
		{Options{Swing: 2}, []*drill.Drill{in("3+2/16")}, "5/16 does not swing"},
		{Options{Clicks: ClicksTwoAndFour}, []*drill.Drill{d, in("3/4")}, "drill 2: 3/4 has no click on 2 and 4, only 4/4 has"},
		{Options{Clicks: ClicksTwoAndFour}, []*drill.Drill{in("12/8")}, "12/8 has no click on 2 and 4"},
		{Options{Drop: -1}, []*drill.Drill{d}, "it is 0 to 3 of every four"},
		{Options{Drop: 4}, []*drill.Drill{d}, "it is 0 to 3 of every four"},
		{Options{Free: -1}, []*drill.Drill{d}, "it has up to 32 bars"},
		{Options{Free: 33}, []*drill.Drill{d}, "it has up to 32 bars"},
		{Options{Free: 1, Mode: ModeModel}, []*drill.Drill{short}, "too short for a free turn, which needs a rest of 3/2 "},
		{Options{Free: 1}, []*drill.Drill{d}, "too short for answer mode with a free turn, which needs a rest of 5/2 "},
		{Options{Band: accompaniment.Band{Bass: accompaniment.BassRoots}}, []*drill.Drill{d}, `drill 1 "minor thirds": accompaniment 1 3 2 5: the figure has no chords`},
		{Options{}, []*drill.Drill{short}, `drill 1 "no rest": its rests are too short for answer mode, which needs a rest of 1 `},
		{Options{}, []*drill.Drill{endless}, "a figure of 65 whole notes is too long for answer mode: the rest after it would be longer than 64"},
		{Options{Mode: ModeCall}, []*drill.Drill{d, short}, "too short for call mode"},
		{Options{}, []*drill.Drill{d, tuba}, "its part 1 is for tuba and that of the first drill for flute"},
		{Options{}, []*drill.Drill{d, two}, "it has 2 parts and the first drill 1"},
		{Options{Mode: ModeModel}, days, "with it the line is longer than 1000h0m0s"},
	} {
		_, err := New(c.drills, c.o)
		var e *fault.ValueError
		switch {
		case !errors.As(err, &e):
			t.Errorf("%+v, %d drills: %v\nwant …%s…: no such error", c.o, len(c.drills), err, c.want)
		case !strings.Contains(err.Error(), c.want):
			t.Errorf("%+v, %d drills: %v\nwant …%s…: other words", c.o, len(c.drills), err, c.want)
		case strings.Contains(err.Error(), "playback"):
			t.Errorf("%+v, %d drills: %v\nwant …%s…: it names the package", c.o, len(c.drills), err, c.want)
		}
	}
	// what is near them is allowed
	mustLine(t, Options{Swing: 1}, in("6/8"))
	mustLine(t, Options{Mode: ModeModel}, short)
	mustLine(t, Options{Mode: ModeClick, CountIn: MaxCountIn}, short, d)
	mustLine(t, Options{Mode: ModeModel}, days[:48]...)
}

func TestTexts(t *testing.T) {
	type texts interface {
		MarshalText() ([]byte, error)
		String() string
	}
	for want, v := range map[string]texts{
		"answer": ModeAnswer, "call": ModeCall, "model": ModeModel, "click": ModeClick,
		"every beat": ClicksEveryBeat, "2 and 4": ClicksTwoAndFour,
		"first beat": ClicksFirstBeat,
		"count":      WhoCount, "you": WhoYou, "both": WhoBoth, "rest": WhoRest, "free": WhoFree,
	} {
		if text, err := v.MarshalText(); err != nil || string(text) != want || v.String() != want {
			t.Errorf("%s, %v; want %s", text, err, want)
		}
	}
	for _, o := range []Options{{}, {Mode: ModeCall, CountIn: NoCountIn, Clicks: ClicksTwoAndFour, Swing: 1.5}, {Mode: ModeClick, Drop: 2, Free: 4}, {
		Clicks: ClicksFirstBeat, Band: accompaniment.Band{Bass: accompaniment.BassWalking, Chords: accompaniment.CompingOneAndTwo, Drone: true, Rests: accompaniment.RestsDominant, Level: 0.25},
	}} {
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
	switch {
	case m.UnmarshalText([]byte("Model")) != nil:
		t.Errorf("%v, %v: the mode is not read", m, c)
	case m != ModeModel:
		t.Errorf("%v, %v: the mode is another", m, c)
	case c.UnmarshalText([]byte("2 AND 4")) != nil:
		t.Errorf("%v, %v: the clicks are not read", m, c)
	case c != ClicksTwoAndFour:
		t.Errorf("%v, %v: the clicks are others", m, c)
	}
	var e *fault.SyntaxError
	for _, err := range []error{m.UnmarshalText([]byte("sing")), c.UnmarshalText([]byte("1 and 3"))} {
		if !errors.As(err, &e) || !strings.Contains(err.Error(), "it is one of ") {
			t.Error(err)
		}
	}
	if m != ModeModel || c != ClicksTwoAndFour {
		t.Error("bad text changed the value")
	}
	switch {
	case Mode(200).String() != "Mode(200)":
		t.Errorf("a value of no constant has a constant's text: %v", Mode(200))
	case Clicks(9).String() != "Clicks(9)":
		t.Errorf("a value of no constant has a constant's text: %v", Clicks(9))
	case Who(9).String() != "Who(9)":
		t.Errorf("a value of no constant has a constant's text: %v", Who(9))
	}
}

// TestEmptyLine: the zero value does no harm.
func TestEmptyLine(t *testing.T) {
	var l Line
	switch {
	case l.Length() != 0:
		t.Errorf("%d, %v: a length", l.Length(), l.Duration())
	case l.Duration() != 0:
		t.Errorf("%d, %v: a duration", l.Length(), l.Duration())
	case l.At(5) != 0:
		t.Errorf("%d, %v: tick 5 is at %v", l.Length(), l.Duration(), l.At(5))
	case len(l.Parts()) != 0:
		t.Errorf("%d, %v: parts", l.Length(), l.Duration())
	case len(l.Drills()) != 0:
		t.Errorf("%d, %v: drills", l.Length(), l.Duration())
	}
	for e := range l.Events(0) {
		t.Errorf("%+v", e)
	}
	for range l.Turns(0) {
		t.Error("the empty line has turns")
	}
	for _, n := range []int{-1, 0, 1} {
		if _, ok := l.Turn(n); ok {
			t.Errorf("the empty line has a turn %d", n)
		}
	}
	switch _, ok := l.TurnAt(0); {
	case ok:
		t.Error("the empty line has something: a turn")
	case len(notesOf(&l)) > 0:
		t.Error("the empty line has something: notes")
	case len(slices.Collect(l.Clicks(Turn{}))) > 0:
		t.Error("the empty line has something: clicks in a turn")
	case len(slices.Collect(l.Notes(Turn{Drill: -1}))) > 0:
		t.Error("the empty line has something: notes in a turn")
	}
	if _, ok := l.Statement(Turn{}, drill.Part{}); ok {
		t.Error("the empty line has a statement")
	}
}

// repeated returns a drill whose route is minor thirds, so many times.
func repeated(t testing.TB, times int) *drill.Drill {
	routes := make([]cycle.Route, times)
	for n := range routes {
		routes[n] = cycle.By(interval.MinorThird).Closed()
	}
	route, err := cycle.Concat(routes...)
	if err != nil {
		t.Fatal(err)
	}
	return mustDrill(t, drill.Settings{Figure: figure.MustParse("1 3 2 5"), Route: route, Parts: []drill.Instrument{instrument(t, "flute"), instrument(t, "tuba")}})
}

func TestWalkingDoesNotAllocateMoreOnALongLine(t *testing.T) {
	walk := func(times int) float64 {
		l := mustLine(t, Options{Swing: 2}, repeated(t, times))
		return testing.AllocsPerRun(5, func() {
			for range l.Events(0) {
			}
			for range l.Turns(3) {
			}
		})
	}
	if short, long := walk(1), walk(100); long > short {
		t.Errorf("%v allocations, %v on a line 100 times as long", short, long)
	}
}

// TestZeroValues: what no constructor made does no harm.
func TestZeroValues(t *testing.T) {
	if _, err := New([]*drill.Drill{new(drill.Drill)}, Options{}); err == nil {
		t.Error("a line of the zero drill")
	}
	if (new(drill.Drill)).Duration() != 0 {
		t.Error("the zero drill takes time")
	}
	for _, v := range []interface{ MarshalText() ([]byte, error) }{Mode(99), Clicks(99), Who(99)} {
		var e *fault.ValueError
		if text, err := v.MarshalText(); !errors.As(err, &e) {
			t.Errorf("%v marshals as %s", v, text)
		}
	}
}

// TestLawTimeAtIsAtBackward: a tick has come when it comes, and not a nanosecond
// before, in whatever tempos.
func TestLawTimeAtIsAtBackward(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := anyLine(t, false, Options{})
		if rapid.Bool().Draw(t, "change") {
			var err error
			if l, err = l.InTempo(Time(rapid.Int64Range(0, int64(l.Length())).Draw(t, "from")), rapid.IntRange(drill.MinTempo, drill.MaxTempo).Draw(t, "beats")); err != nil {
				t.Fatal(err)
			}
		}
		d := time.Duration(rapid.Int64Range(0, int64(l.Duration())).Draw(t, "after"))
		at := l.TimeAt(d)
		if l.At(at) > d || at < l.Length() && l.At(at+1) <= d {
			t.Fatalf("after %v it is %d, which comes at %v, and the next at %v", d, at, l.At(at), l.At(at+1))
		}
		tick := Time(rapid.Int64Range(0, int64(l.Length())).Draw(t, "tick"))
		if got := l.TimeAt(l.At(tick)); got != tick {
			t.Fatalf("%d comes at %v, when it is %d", tick, l.At(tick), got)
		}
		if l.TimeAt(-1) != 0 || l.TimeAt(1<<62) != l.Length() {
			t.Fatal("outside the line it is neither its beginning nor its end")
		}
	})
}

// TestLawTimesDoNotOverflow: a later time never comes earlier, however far it
// lies from the line.
func TestLawTimesDoNotOverflow(t *testing.T) {
	one := drill.Settings{Figure: figure.MustParse("1 3 2 5")}
	other := one
	other.Tempo = 500
	l := mustLine(t, Options{}, mustDrill(t, one), mustDrill(t, other))
	rapid.Check(t, func(t *rapid.T) {
		time := rapid.OneOf(rapid.Int64(), rapid.SampledFrom([]int64{math.MinInt64, math.MaxInt64, 0, int64(l.Length())}))
		a, b := Time(time.Draw(t, "a")), Time(time.Draw(t, "b"))
		if a > b {
			a, b = b, a
		}
		if l.At(a) > l.At(b) || l.At(a) < 0 || l.At(b) > l.Duration() {
			t.Fatalf("%d comes at %v, %d at %v", a, l.At(a), b, l.At(b))
		}
	})
}

// TestLawInTempo: in another tempo from a turn on, the turns, notes and clicks
// are the same in ticks, what comes before comes when it came, and what comes
// after takes as long as its beats at the new tempo.
func TestLawInTempo(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := anyLine(t, false, Options{})
		turns := slices.Collect(l.Turns(0))
		from := rapid.SampledFrom(turns).Draw(t, "from")
		beats := rapid.IntRange(drill.MinTempo, drill.MaxTempo).Draw(t, "beats")
		c, err := l.InTempo(from.Begin, beats)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(turns, slices.Collect(c.Turns(0))); diff != "" {
			t.Fatalf("in ticks it has other turns: %s", diff)
		}
		if diff := cmp.Diff(slices.Collect(l.Events(0)), slices.Collect(c.Events(0))); diff != "" {
			t.Fatalf("in ticks it has other events: %s", diff)
		}
		seconds := l.At(from.Begin).Seconds()
		for _, turn := range turns {
			if turn.Index < from.Index {
				if c.At(turn.Begin) != l.At(turn.Begin) || c.Tempo(turn.Begin) != l.Tempo(turn.Begin) {
					t.Fatalf("%+v comes at %v, in tempo %d; it came at %v", turn, c.At(turn.Begin), c.Tempo(turn.Begin), l.At(turn.Begin))
				}
				continue
			}
			counted := l.Drills()[turn.Drill].Settings().Meter.Counted()
			if math.Abs(c.At(turn.Begin).Seconds()-seconds) > 1e-6 || c.Tempo(turn.Begin) != beats {
				t.Fatalf("%+v comes at %v, in tempo %d; want %v s in %d", turn, c.At(turn.Begin), c.Tempo(turn.Begin), seconds, beats)
			}
			if got, ok := c.TurnAt(c.At(turn.Begin)); !ok || got != turn {
				t.Fatalf("at %v there is %+v, want %+v", c.At(turn.Begin), got, turn)
			}
			seconds += float64(turn.End-turn.Begin) / 20 / float64(counted) * 60 / float64(beats)
		}
	})
	l := mustLine(t, Options{}, repeated(t, 1))
	for _, beats := range []int{0, drill.MinTempo - 1, drill.MaxTempo + 1} {
		var refused *fault.ValueError
		if _, err := l.InTempo(0, beats); !errors.As(err, &refused) || refused.Setting != "tempo" {
			t.Errorf("tempo %d: %v", beats, err)
		}
	}
}

// TestFree writes out the turns of two keys with a free turn of two bars, in
// quarters; worked out by hand. The figure fills a bar and a pickup.
func TestFree(t *testing.T) {
	route, err := cycle.NewRoute(cycle.Section{Keys: []pitch.Class{0, 7}, Closed: true})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		mode Mode
		want string
	}{
		{ModeAnswer, "count-7 you-11 model-15 rest-16 free-24 rest-27 you-31 model-35 rest-36 free-44 rest-48 you-52 model-56 free-68"},
		{ModeModel, "count-7 both-11 rest-12 free-20 rest-23 both-27 rest-28 free-36 rest-40 both-44 free-56"},
	} {
		s := drill.Settings{Figure: figure.MustParse("v5:2 | 1:4 3:2"), Route: route}
		o := Options{Mode: c.mode, CountIn: 1, Free: 2}
		s.Rest = RestFor(o, s)
		var got []string
		l := mustLine(t, o, mustDrill(t, s))
		for turn := range l.Turns(0) {
			got = append(got, fmt.Sprintf("%v-%v", turn.Who, float64(turn.End)/float64(Quarter)))
		}
		if text := strings.Join(got, " "); text != c.want {
			t.Errorf("%v:\n     %s\nwant %s", c.mode, text, c.want)
		}
	}
}

// TestLawFreeTurns: each lasts so many bars, begins at a barline counted from the
// downbeat of its statement, belongs to its key, and is silent but for the band.
func TestLawFreeTurns(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o := Options{Free: rapid.IntRange(1, 2).Draw(t, "free")}
		l := anyLine(t, false, o)
		statements := map[[2]int]bool{}
		for turn := range l.Turns(0) {
			if turn.Who != WhoFree {
				continue
			}
			st, _ := l.Statement(turn, l.Parts()[0])
			bar := 20 * Time(l.Drills()[turn.Drill].Settings().Meter.Bar())
			music := turn.Begin - 20*Time(st.Onset)
			if long := turn.End - turn.Begin; long != Time(o.Free)*bar && turn.End != l.Length() || long < Time(o.Free)*bar {
				t.Fatalf("%+v lasts %d, bars of %d", turn, long, bar)
			}
			first, _ := l.Turn(0)
			for first.Drill != turn.Drill {
				first, _ = l.Turn(first.Index + 1)
			}
			count := Time(0)
			if first.Who == WhoCount && first.Drill == turn.Drill {
				count = countIn(l.Options(), l.Drills()[turn.Drill]) * bar
			}
			if (music-first.Begin-count)%bar != 0 {
				t.Fatalf("%+v does not begin at a barline of %+v", turn, st)
			}
			if notes := slices.Collect(l.Notes(turn)); len(notes) > 0 {
				t.Fatalf("in %+v there is %+v", turn, notes)
			}
			statements[[2]int{turn.Drill, turn.Statement}] = true
		}
		for n, d := range l.Drills() {
			for st := range d.Parts()[0].Statements() {
				if !st.Held && !statements[[2]int{n, st.Index}] {
					t.Fatalf("no free turn follows %+v", st)
				}
			}
		}
	})
}

// TestLawTheLastRestRings: nothing clicks in it, and what ended last sounds until
// it ends.
func TestLawTheLastRestRings(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := anyLine(t, true, anyOptions().Draw(t, "options"))
		last := Turn{}
		for turn := range l.Turns(0) {
			last = turn
		}
		if last.Who == WhoRest || last.Who == WhoCount {
			t.Fatalf("the line ends with %+v", last)
		}
		d := l.Drills()[last.Drill]
		st, _ := l.Statement(last, l.Parts()[0])
		// the end of the last statement, of its answer, or of its free turn
		end := last.Begin + 20*Time(st.End()-st.Begin())
		if last.Who == WhoFree {
			end = last.Begin + Time(l.Options().Free)*20*Time(d.Settings().Meter.Bar())
		}
		end += Quarter // as far as swing can move it, and more
		for c := range l.Clicks(last) {
			if c.Time >= end {
				t.Fatalf("%+v in %+v, whose music ends before %d", c, last, end)
			}
		}
		rings := map[accompaniment.Layer]bool{}
		for n := range l.Notes(last) {
			rings[n.Layer] = rings[n.Layer] || n.Off == last.End
		}
		for layer, rings := range rings {
			if !rings && last.End >= end {
				t.Fatalf("no note of %v rings until %d", layer, last.End)
			}
		}
	})
}

// TestLawTheEntryIsThePlayers: while the player is alone, in answer mode, no part
// sounds, and a cue ends before the player begins.
func TestLawTheEntryIsThePlayers(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d, err := drill.New(anySettings(t, 1, true)[0])
		if err != nil {
			t.Fatal(err)
		}
		l := lineIn(t, ModeAnswer, []*drill.Drill{d}, anyOptions().Draw(t, "options"))
		ends := Time(0)
		for turn := range l.Turns(0) {
			if turn.Who == WhoYou && ends > turn.Begin {
				t.Fatalf("a note sounds until %d, in %+v", ends, turn)
			}
			for n := range l.Notes(turn) {
				if n.Layer != accompaniment.LayerPart {
					continue
				}
				if ends = n.Off; turn.Who == WhoYou || turn.Who == WhoFree {
					t.Fatalf("%+v in %+v", n, turn)
				}
			}
		}
	})
}

// TestBand writes out who sounds when, over two keys in answer mode; worked out by
// hand: layer@quarter:class.
func TestBand(t *testing.T) {
	route, err := cycle.NewRoute(cycle.Section{Keys: []pitch.Class{0, 5}})
	if err != nil {
		t.Fatal(err)
	}
	s := drill.Settings{Figure: figure.MustParse("{5 7} v7:4 {1 maj7} 3:4"), Route: route}
	o := Options{CountIn: 1, Clicks: ClicksTwoAndFour, Band: accompaniment.Band{Bass: accompaniment.BassRoots, Rests: accompaniment.RestsDominant, Drone: true}}
	for _, c := range []struct {
		rest drill.Rest
		want string
	}{
		{0, "count cue@3:0 you bass@4:7 drone@4:0 drone@4:7 bass@6:0 model bass@8:7 drone@8:0 drone@8:7 0@8:11 bass@10:0 1@10:4 " +
			"you bass@12:0 drone@12:5 drone@12:0 bass@14:5 model bass@16:0 drone@16:5 drone@16:0 0@16:4 bass@18:5 1@18:9"},
		{drill.Rest(2 * figure.Whole), "count cue@3:0 you bass@4:7 drone@4:0 drone@4:7 bass@6:0 model bass@8:7 drone@8:0 drone@8:7 0@8:11 bass@10:0 1@10:4 " +
			"rest bass@12:0 bass@14:7 cue@15:5 you bass@16:0 drone@16:5 drone@16:0 bass@18:5 model bass@20:0 drone@20:5 drone@20:0 0@20:4 bass@22:5 1@22:9"},
	} {
		s.Rest = c.rest
		l := mustLine(t, o, mustDrill(t, s))
		var got []string
		for e := range l.Events(0) {
			n := e.Note
			who := fmt.Sprint(n.Index)
			switch {
			case e.Kind == KindTurn:
				got = append(got, e.Turn.Who.String())
				continue
			case e.Kind != KindNoteOn:
				continue
			case n.IsCue():
				who = "cue"
			case n.Layer != accompaniment.LayerPart:
				who = n.Layer.String()
			}
			got = append(got, fmt.Sprintf("%s@%v:%d", who, float64(n.On)/960, n.Key.Class()))
		}
		if text := strings.Join(got, " "); text != c.want {
			t.Errorf("\n     %s\nwant %s", text, c.want)
		}
		var parts []Note
		for turn := range l.Turns(0) {
			for _, layer := range []accompaniment.Layer{accompaniment.LayerPart, accompaniment.LayerBass, accompaniment.LayerChords, accompaniment.LayerDrone} {
				parts = l.AppendBand(parts, turn, layer)
			}
			parts = slices.AppendSeq(parts, l.Notes(turn, l.Parts()...))
		}
		if all := notesOf(l); len(parts) != len(all) {
			t.Errorf("%d notes of parts and layers, %d together", len(parts), len(all))
		}
	}
	if got := new(Line).AppendBand(nil, Turn{}, accompaniment.LayerBass); len(got) > 0 {
		t.Errorf("on the empty line there is %v", got)
	}
}

// TestLawTheBandIsUnderEveryTurn: under the player and the model the same is
// played, and while one waits for the other no dominant leads on.
func TestLawTheBandIsUnderEveryTurn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o := anyOptions().Draw(t, "options")
		o.Bass, o.Rests = accompaniment.BassRoots, accompaniment.RestsDominant
		o.Chords = min(o.Chords, accompaniment.CompingWhole)
		set := anySettings(t, 1, true)[0]
		set.Figure = figure.MustParse("{2 m7} 3 5 1:2 {5 7} 6:2 4:2")
		set.Rest = RestFor(Options{Free: 2}, set)
		for n := range set.Parts {
			set.Parts[n].Low, set.Parts[n].High = spelling.MustParse("C2"), spelling.MustParse("C6")
		}
		d, err := drill.New(set)
		if err != nil {
			t.Fatal(err)
		}
		l := lineIn(t, ModeAnswer, []*drill.Drill{d}, o)
		under := map[[2]int][]Note{}
		for turn := range l.Turns(0) {
			notes := l.AppendBand(nil, turn, accompaniment.LayerBass)
			switch turn.Who {
			case WhoRest:
				if turn.Next != turn.Index+1 && len(notes) > 0 {
					t.Fatalf("in %+v there is %+v", turn, notes)
				}
				continue
			case WhoCount, WhoFree:
				continue
			}
			if len(notes) == 0 {
				t.Fatalf("no bass in %+v", turn)
			}
			for n := range notes {
				notes[n].On, notes[n].Off = notes[n].On-turn.Begin, notes[n].Off-turn.Begin
			}
			last := &notes[len(notes)-1]
			last.Off = 0 // it may be cut or ring
			key := [2]int{turn.Drill, turn.Statement}
			if before := under[key]; before != nil && !slices.Equal(before, notes) {
				t.Fatalf("under %+v there is %v, before it was %v", turn, notes, before)
			}
			under[key] = notes
		}
	})
}
