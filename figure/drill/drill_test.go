package drill_test

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	. "example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/figuretest"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/spelling"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// tb is what tests and rapid have in common.
type tb interface {
	Helper()
	Fatalf(string, ...any)
}

func parseFigure(t tb, text string) figure.Figure {
	t.Helper()
	f, err := figure.Parse(text)
	if err != nil {
		t.Fatalf("%v", err)
	}
	return f
}

func find(t tb, text string, level Level) Instrument {
	t.Helper()
	i, err := Find(text, level)
	if err != nil {
		t.Fatalf("%v", err)
	}
	return i
}

func parseRoute(t tb, text string) cycle.Route {
	t.Helper()
	r, err := cycle.ParseRoute(text)
	if err != nil {
		t.Fatalf("%v", err)
	}
	return r
}

func newDrill(t tb, s Settings) *Drill {
	t.Helper()
	d, err := New(s)
	if err != nil {
		t.Fatalf("%v", err)
	}
	return d
}

// statementsOf returns the statements of a part without their drill, so that
// those of two drills compare.
func statementsOf(d *Drill, part int) (all []Statement) {
	for s := range d.Parts()[part].Statements() {
		all = append(all, s.Of(Part{}))
	}
	return all
}

// drawn draws what a func of figuretest makes.
func drawn[V any](gen func(figuretest.Draw) V) *rapid.Generator[V] {
	return rapid.Custom(func(t *rapid.T) V {
		return gen(func(n int) int { return rapid.IntRange(0, n-1).Draw(t, "n") })
	})
}

// sameStatement compares statements as == does, and shows their fields.
var sameStatement = cmp.Options{cmp.AllowUnexported(Statement{}), cmp.Comparer(func(a, b Part) bool { return a == b })}

// width is how many semitones an instrument's range has.
func width(i Instrument) int { return int(i.High.Number()) - int(i.Low.Number()) }

func spanOf(f figure.Figure) int {
	low, high := f.Span()
	return high.Semitones() - low.Semitones()
}

// withNumber returns the note of a name and a key number.
func withNumber(n spelling.Name, number int) spelling.Note {
	return n.In((number-int(n.In(-1).Number()))/12 - 1)
}

func note(number int) spelling.Note {
	return withNumber(figure.Major.Tonics()[pitch.ClassOf(number)], number)
}

// anyInstrument draws an instrument with a range of so many semitones.
func anyInstrument(width int) *rapid.Generator[Instrument] {
	return drawn(func(draw figuretest.Draw) Instrument { return figuretest.Instrument(draw, width) })
}

// shortSettings draws settings with up to so many keys in a section.
func shortSettings(keys int) *rapid.Generator[Settings] {
	return drawn(func(draw figuretest.Draw) Settings { return figuretest.Along(draw, figuretest.Route(draw, 3, keys)) })
}

// everyStatement calls check for the statements of all parts of drills.
func everyStatement(t *testing.T, check func(t *rapid.T, d *Drill, part int, s Statement)) {
	rapid.Check(t, func(t *rapid.T) {
		d := newDrill(t, drawn(figuretest.Settings).Draw(t, "settings"))
		for p := range d.Parts() {
			for s := range d.Parts()[p].Statements() {
				check(t, d, p, s)
			}
		}
	})
}

func TestLawNothingLeavesTheRange(t *testing.T) {
	everyStatement(t, func(t *rapid.T, d *Drill, part int, s Statement) {
		i := d.Parts()[part].Instrument()
		for _, e := range s.Events() {
			if e.Note.Number() < i.Low.Number() || e.Note.Number() > i.High.Number() {
				t.Fatalf("%v leaves %v to %v in %v", e.Note, i.Low, i.High, s.Written)
			}
		}
	})
}

// TestLawStatementsAreExactTranspositions compares every statement with the
// figure on C: all notes and chords are as far away as the tonic, in semitones
// always, in letters unless the statement says that it was respelled, which it
// says exactly then.
func TestLawStatementsAreExactTranspositions(t *testing.T) {
	c4 := spelling.MustParse("C4")
	everyStatement(t, func(t *rapid.T, d *Drill, part int, s Statement) {
		f := d.Settings().Figure
		up := c4.To(s.Written)
		model, events := f.In(c4), s.Events()
		switch {
		case s.Rests:
			model = nil
		case s.Held: // one onset: the first from the downbeat on, or else the last
			at := model[len(model)-1].Onset
			for _, e := range slices.Backward(model) {
				if e.Onset >= 0 {
					at = e.Onset
				}
			}
			model = slices.DeleteFunc(model, func(e figure.Event) bool { return e.Onset != at })
			for k := range model {
				model[k].Onset, model[k].Length = 0, d.Settings().Meter.Bar()
			}
		}
		if len(events) != len(model) {
			t.Fatalf("%v in %v: %d notes, want %d", f, s.Written, len(events), len(model))
		}
		respelled := s.Written.Up(d.Parts()[part].Instrument().Sounding) != s.Sounding
		for k, e := range events {
			want := model[k]
			want.Note = want.Note.Up(up)
			respelled = respelled || e.Note != want.Note
			if e.Note.Number() != want.Note.Number() || !s.Respelled && e.Note != want.Note {
				t.Fatalf("%v in %v has %v, not %v", f, s.Written, e.Note, want.Note)
			}
			if want.Note = e.Note; e != want {
				t.Fatalf("%v in %v has %+v, not %+v", f, s.Written, e, want)
			}
		}
		if !s.Rests && respelled != s.Respelled {
			t.Fatalf("%v in %v: respelled is %v, says %v", f, s.Written, respelled, s.Respelled)
		}
		chords := slices.Collect(f.Chords(c4.Name()))
		if s.Rests {
			chords = nil
		} else if s.Held && len(chords) > 0 { // the last on the tonic
			home := slices.DeleteFunc(slices.Clone(chords), func(c figure.ChordEvent) bool { return c.Root.Class() != 0 })
			chords = chords[:1]
			if n := len(home); n > 0 {
				chords = home[n-1:]
			} else { // or its triad, whose notes are the scale's
				c := slices.Collect(s.Chords())[0]
				triad, err := c.Chord()
				if want := triadOf(f.Scale()); err != nil || triad.Root() != s.Written.Name() || triad.Quality() != want {
					t.Fatalf("%v in %v, held, has the chord %v, %v; the triad is %v", f, s.Written, c, err, want)
				}
				chords[0].Root, chords[0].Suffix = c4.Name(), c.Suffix
			}
			chords[0].Onset = 0
		}
		got := slices.Collect(s.Chords())
		same := func(a, b figure.ChordEvent) bool {
			root := b.Root.Up(up)
			b.Root = a.Root
			return a == b && a.Root.Class() == root.Class() && (d.Settings().Policy != spelling.PolicyStrict || a.Root == root)
		}
		if !slices.EqualFunc(got, chords, same) {
			t.Fatalf("%v in %v has the chords %v, want %v", f, s.Written, got, chords)
		}
	})
}

// triadOf is the triad that a scale has on its tonic: a major third goes before a
// minor one, a perfect fifth before the others.
func triadOf(s figure.Scale) (triad interval.Set) {
	for _, letter := range [][]interval.Interval{{0}, {interval.MinorThird, interval.MajorThird}, {interval.AugmentedFifth, interval.DiminishedFifth, interval.PerfectFifth}} {
		var own interval.Interval
		found := false
		for _, i := range letter {
			if s.Set().Has(i) {
				own, found = i, true
			}
		}
		if found {
			triad, _ = triad.With(own)
		}
	}
	return triad
}

// TestLawEveryScaleComesHome: a held return of a figure with chords, none of them
// on the tonic, has the triad of its scale.
func TestLawEveryScaleComesHome(t *testing.T) {
	for s := range figure.CommonScales() {
		f, err := figure.New(s, figure.Eighth, 0, figure.Item{
			Degrees: []figure.Degree{{}}, Length: figure.Quarter, Chord: &figure.Chord{Root: figure.MustParseDegree("n4"), Suffix: "m7"},
		})
		if err != nil {
			t.Fatal(err)
		}
		d := newDrill(t, Settings{Figure: f, Route: parseRoute(t, "(02)"), Parts: []Instrument{find(t, "flute", LevelFull)}})
		st, _ := d.Parts()[0].Statement(2)
		chords := slices.Collect(st.Chords())
		if len(chords) != 1 {
			t.Fatalf("%v: held, it has the chords %v", s, chords)
		}
		if c, err := chords[0].Chord(); err != nil || c.Root() != st.Written.Name() || c.Quality() != triadOf(s) {
			t.Errorf("%v: held, it has the chord %v, %v; the triad is %v", s, chords[0], err, triadOf(s))
		}
	}
}

func TestLawWrittenAndSoundingDifferByTheInstrument(t *testing.T) {
	everyStatement(t, func(t *rapid.T, d *Drill, part int, s Statement) {
		by := d.Parts()[part].Instrument().Sounding
		if got := s.Written.To(s.Sounding); got.Semitones() != by.Semitones() || !s.Respelled && got != by {
			t.Fatalf("written %v sounds %v, respelled %v, for an instrument of %v", s.Written, s.Sounding, s.Respelled, by)
		}
		for _, e := range s.Events() {
			if got := int(s.SoundingNumber(e.Note)) - int(e.Note.Number()); got != by.Semitones() {
				t.Fatalf("%v sounds %d semitones away, want %v", e.Note, got, by)
			}
		}
	})
}

// TestLawKeysAreThoseOfTheRoute also holds that keys are named by the scale,
// those of the route by what the player prefers first.
func TestLawKeysAreThoseOfTheRoute(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawn(figuretest.Settings).Draw(t, "settings")
		d := newDrill(t, s)
		written := s.Reading == ReadingWritten || s.Reading == ReadingUsual && len(s.Parts) == 1
		scale := s.Figure.Scale()
		for p := range d.Parts() {
			left := d.Parts()[p].LeftOut()
			// The route as it should be played, with the sections counted.
			type played struct {
				section   int
				key       pitch.Class
				back, out bool
			}
			down := func(q int) int { return d.Parts()[q].Instrument().Sounding.Semitones() }
			toWritten := func(k pitch.Class) pitch.Class {
				if written {
					k = k.T(down(0))
				}
				return k.T(-down(p))
			}
			isOut := func(k pitch.Class) bool {
				return slices.ContainsFunc(left, func(n spelling.Name) bool { return n.Class() == toWritten(k) })
			}
			var want []played
			section := 0
			for sec := range s.Route.Sections() {
				var keys []pitch.Class
				for _, k := range sec.Keys {
					if len(d.Parts()) > 1 || !isOut(k) {
						keys = append(keys, k)
						want = append(want, played{section, k, false, isOut(k)})
					}
				}
				if sec.Closed && len(keys) > 1 && s.Closing != ClosingOpen {
					want = append(want, played{section, keys[0], true, isOut(keys[0])})
				}
				section++
			}
			got := slices.Collect(d.Parts()[p].Statements())
			if len(got) != len(want) || d.Len() != len(want) {
				t.Fatalf("%v: %d statements, Len %d, want %d", s.Route, len(got), d.Len(), len(want))
			}
			for n, st := range got {
				w := want[n]
				switch {
				case st.Index != n:
					t.Fatalf("%v: statement %d is %+v, want %+v: the index", s.Route, n, st, w)
				case st.Section != w.section:
					t.Fatalf("%v: statement %d is %+v, want %+v: the section", s.Route, n, st, w)
				case st.Return != w.back:
					t.Fatalf("%v: statement %d is %+v, want %+v: whether it is a return", s.Route, n, st, w)
				case st.Rests != w.out:
					t.Fatalf("%v: statement %d is %+v, want %+v: whether it rests", s.Route, n, st, w)
				case st.Held != (w.back && s.Closing == ClosingHeld):
					t.Fatalf("%v: statement %d is %+v, want %+v: whether it is held", s.Route, n, st, w)
				}
				ofRoute, inParts := st.Sounding.Name(), st.Written.Name()
				if written {
					ofRoute = inParts
					if p > 0 {
						// what the first part reads, of which only the class counts
						ofRoute = figure.Major.Tonics()[st.Sounding.Name().Class().T(-down(0))]
					}
				}
				if ofRoute.Class() != w.key {
					t.Fatalf("statement %d of %v is in %v, key %v", n, s.Route, ofRoute, w.key)
				}
				names, soundingNames := scale.Tonics(s.Names...), scale.Tonics(s.Names...)
				for _, n := range s.Prefer {
					if inParts.Class() == w.key {
						names[n.Class()] = n
					}
					if st.Sounding.Name().Class() == w.key {
						soundingNames[n.Class()] = n
					}
				}
				if inParts != names[inParts.Class()] || st.Sounding.Name() != soundingNames[st.Sounding.Name().Class()] {
					t.Fatalf("statement %d of %v is written in %v and sounds in %v", n, s.Route, inParts, st.Sounding)
				}
			}
		}
	})
}

func TestLawNoTonicMovesMoreThanAnOctave(t *testing.T) {
	var before Statement
	seen := false
	everyStatement(t, func(t *rapid.T, d *Drill, part int, s Statement) {
		if s.Index == 0 || s.Section != before.Section {
			seen = false
		}
		if s.Rests {
			return
		}
		if move := int(s.Written.Number()) - int(before.Written.Number()); seen && (move > 12 || move < -12) {
			t.Fatalf("%v to %v inside a section", before.Written, s.Written)
		}
		before, seen = s, true
	})
}

// TestLawStatementsTileTheTime holds the times of all statements together.
func TestLawStatementsTileTheTime(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := newDrill(t, drawn(figuretest.Settings).Draw(t, "settings"))
		s := d.Settings()
		f, bar := s.Figure, s.Meter.Bar()
		onBeat := func(at figure.Length) bool {
			at %= bar
			for n := 0; at > 0; n++ {
				at -= s.Meter.Beat(n)
			}
			return at == 0
		}
		for p := range d.Parts() {
			all := slices.Collect(d.Parts()[p].Statements())
			for n, st := range all {
				if n == 0 && (st.Onset < f.Pickup() || st.Onset%bar != 0 || st.Onset >= f.Pickup()+bar) {
					t.Fatalf("a pickup of %v begins at %v", f.Pickup(), st.Onset-f.Pickup())
				}
				next, last := d.Length(), true
				if n+1 < len(all) {
					next, last = all[n+1].Onset, all[n+1].Section != st.Section
				}
				body := f.Length() - f.Pickup()
				if st.Held {
					body = bar
				}
				end := st.Onset + body
				asked := figure.Length(max(s.Rest, 0))
				needed := max(asked, f.Pickup())
				switch {
				case st.Onset+st.Length != next:
					t.Fatalf("statement %d ends at %v, the next begins at %v", n, st.Onset+st.Length, next)
				case next-end < needed:
					t.Fatalf("statement %d ends at %v, the next downbeat is at %v; rest %v, pickup %v", n, end, next, asked, f.Pickup())
				case last && next%bar != 0:
					t.Fatalf("section %d ends at %v", st.Section, next)
				case (last || s.Padding == PaddingBar) && (next%bar != 0 || next-end >= needed+bar):
					t.Fatalf("statement %d ends at %v, the next begins at %v", n, end, next)
				case !last && s.Padding == PaddingBeat && (!onBeat(next) || next-end >= needed+beatBefore(s.Meter, next)):
					t.Fatalf("statement %d ends at %v, the next begins at %v", n, end, next)
				case !last && s.Padding == PaddingRunOn && next != end+needed:
					t.Fatalf("statement %d ends at %v, the next begins at %v", n, end, next)
				}
				for _, e := range st.Events() {
					if e.Onset < -f.Pickup() || e.Onset+e.Length > body {
						t.Fatalf("a note from %v to %v in a statement to %v", e.Onset, e.Onset+e.Length, body)
					}
				}
			}
			if d.Length()%bar != 0 || figure.Length(d.Bars())*bar != d.Length() {
				t.Fatalf("the drill lasts %v, %d bars", d.Length(), d.Bars())
			}
		}
	})
}

// beatBefore is the length of the beat that ends at a place in time.
func beatBefore(m Meter, at figure.Length) figure.Length {
	at %= m.Bar()
	if at == 0 {
		return m.Beat(m.Beats() - 1)
	}
	n := 0
	for ; at > m.Beat(n); n++ {
		at -= m.Beat(n)
	}
	return m.Beat(n)
}

func TestLawPartsSoundInOctavesOrUnison(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := newDrill(t, drawn(figuretest.Settings).Draw(t, "settings"))
		type when struct{ onset, length figure.Length }
		sounds := map[when][]pitch.Class{} // in the order of the figure
		times := map[int]when{}
		for p := range d.Parts() {
			for s := range d.Parts()[p].Statements() {
				if w, ok := times[s.Index]; ok && w != (when{s.Onset, s.Length}) {
					t.Fatalf("statement %d is at %v in one part and at %v in another", s.Index, w, s.Onset)
				}
				times[s.Index] = when{s.Onset, s.Length}
				here := map[when][]pitch.Class{}
				for _, e := range s.Events() {
					w := when{s.Onset + e.Onset, e.Length}
					here[w] = append(here[w], s.SoundingNumber(e.Note).Class())
				}
				for w, classes := range here {
					if others, ok := sounds[w]; ok && !slices.Equal(classes, others) {
						t.Fatalf("at %v sound %v and %v", w.onset, classes, others)
					}
					sounds[w] = classes
				}
			}
		}
	})
}

func TestLawStatementsRunAgain(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := newDrill(t, drawn(figuretest.Settings).Draw(t, "settings"))
		for p := range d.Parts() {
			all := slices.Collect(d.Parts()[p].Statements())
			stop := rapid.IntRange(0, len(all)-1).Draw(t, "stop")
			seq := d.Parts()[p].Statements()
			for s := range seq {
				if s != all[s.Index] {
					t.Fatalf("run again: %+v, first %+v", s, all[s.Index])
				}
				if s.Index == stop {
					break
				}
			}
			if diff := cmp.Diff(all, slices.Collect(seq), sameStatement); diff != "" {
				t.Fatalf("run again (-first +again): %s", diff)
			}
		}
		for _, p := range d.Parts() {
			for _, n := range []int{-1, d.Len(), math.MaxInt} {
				if st, ok := p.Statement(n); ok || st != (Statement{}) {
					t.Fatalf("there is a statement %d: %+v", n, st)
				}
			}
			for st := range p.Statements() {
				switch again, ok := p.Statement(st.Index); {
				case !ok:
					t.Fatalf("statement %d by its index is %+v, walked %+v: there is none", st.Index, again, st)
				case again != st:
					t.Fatalf("statement %d by its index is %+v, walked %+v: another", st.Index, again, st)
				case st.Part() != p:
					t.Fatalf("statement %d by its index is %+v, walked %+v: it is of another part", st.Index, again, st)
				}
			}
		}
	})
	var none Part
	switch {
	case len(slices.Collect(none.Statements())) != 0:
		t.Error("the zero part has something: statements")
	case none.Instrument() != (Instrument{}):
		t.Error("the zero part has something: an instrument")
	case none.LeftOut() != nil:
		t.Error("the zero part has something: keys left out")
	}
}

// TestLawJoin compares each join with the notes that are read.
func TestLawJoin(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := newDrill(t, drawn(figuretest.Settings).Draw(t, "settings"))
		for p := range d.Parts() {
			var before Statement
			for s := range d.Parts()[p].Statements() {
				want := s.Index > 0 && s.Section == before.Section && !s.Rests && !before.Rests
				join, ok := s.Join()
				if ok != want || !want && join != (figure.Join{}) {
					t.Fatalf("statement %d is joined %v by %+v", s.Index, ok, join)
				}
				if want {
					last, first := before.Events(), s.Events()
					set := d.Settings().Figure.Set()
					common := set.T(int(before.Written.Number())).Intersection(set.T(int(s.Written.Number())))
					if join != (figure.Join{From: before.Written, To: s.Written, Last: last[len(last)-1].Note, First: first[0].Note, Common: common}) {
						t.Fatalf("statement %d is joined by %+v, %v to %v", s.Index, join, last[len(last)-1].Note, first[0].Note)
					}
				}
				before = s
			}
		}
	})
}

// TestLawSettingsMakeTheSameDrill holds that filling in the defaults changes
// nothing.
func TestLawSettingsMakeTheSameDrill(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawn(figuretest.Settings).Draw(t, "settings")
		d := newDrill(t, s)
		again := newDrill(t, d.Settings())
		switch {
		case again.Duration() != d.Duration():
			t.Fatalf("it takes %v and then %v", d.Duration(), again.Duration())
		case again.Len() != d.Len():
			t.Fatalf("%d statements and then %d", d.Len(), again.Len())
		case again.Length() != d.Length():
			t.Fatalf("it is %d long and then %d", d.Length(), again.Length())
		}
		for p := range d.Parts() {
			if diff := cmp.Diff(statementsOf(d, p), statementsOf(again, p), sameStatement); diff != "" {
				t.Fatalf("part %d (-first +again): %s", p, diff)
			}
			if diff := cmp.Diff(d.Parts()[p].LeftOut(), again.Parts()[p].LeftOut()); diff != "" {
				t.Fatalf("part %d leaves out other keys: %s", p, diff)
			}
		}
		// and what is given and taken is copied
		got := d.Settings()
		name := s.Parts[0].Name
		s.Parts[0].Name, got.Parts[0].Name = "changed", "changed"
		if d.Parts()[0].Instrument().Name != name || d.Settings().Parts[0].Name != name {
			t.Fatal("a drill changed with its settings")
		}
	})
}

// TestLawLeavingOutChangesNoTimes compares a class in which parts rest with
// one whose ranges are wide enough.
func TestLawLeavingOutChangesNoTimes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawn(figuretest.Settings).Draw(t, "settings")
		s.LeaveOut = true
		span := spanOf(s.Figure)
		s.Parts = nil
		for range 2 {
			s.Parts = append(s.Parts, anyInstrument(max(1, span+rapid.IntRange(0, 11).Draw(t, "width"))).Draw(t, "part"))
		}
		wide := s
		wide.Parts = []Instrument{anyInstrument(span+11).Draw(t, "wide"), anyInstrument(span+11).Draw(t, "wide")}
		for n := range wide.Parts {
			i := &wide.Parts[n]
			if i.Sounding = s.Parts[n].Sounding; i.Low.Number()+pitch.Number(i.Sounding.Semitones()) < 0 || i.High.Number()+pitch.Number(i.Sounding.Semitones()) > 127 { // beyond what sounds
				i.Sounding, s.Parts[n].Sounding = 0, 0
			}
		}
		d, err := New(s)
		if err != nil {
			return // no key at all fits one of the parts
		}
		other := newDrill(t, wide)
		for p := range d.Parts() {
			a, b := statementsOf(d, p), statementsOf(other, p)
			if len(a) != len(b) || d.Length() != other.Length() {
				t.Fatalf("%d statements and %d", len(a), len(b))
			}
			for n := range a {
				switch {
				case a[n].Onset != b[n].Onset:
					t.Fatalf("%+v and %+v: the onsets differ", a[n], b[n])
				case a[n].Length != b[n].Length:
					t.Fatalf("%+v and %+v: the lengths differ", a[n], b[n])
				case b[n].Rests:
					t.Fatalf("%+v and %+v: the second rests", a[n], b[n])
				case a[n].Sounding.Name() != b[n].Sounding.Name():
					t.Fatalf("%+v and %+v: the sounding keys differ", a[n], b[n])
				}
			}
		}
	})
}

// TestTimeAtTempo has the worked example of practice: twelve keys, a bar
// played and a bar rested (common practice, no source).
func TestTimeAtTempo(t *testing.T) {
	for tempo, want := range map[int]time.Duration{60: 96 * time.Second, 80: 72 * time.Second, 120: 48 * time.Second} {
		d := newDrill(t, Settings{
			Figure: parseFigure(t, "1:3 5 4 2 3:2"), Route: cycle.By(interval.PerfectFourth).Open(),
			Parts: []Instrument{find(t, "trumpet", LevelComfortable)}, Tempo: tempo,
		})
		if d.Duration() != want || d.Bars() != 24 || d.Len() != 12 {
			t.Errorf("at %d it takes %v and %d bars, want %v and 24", tempo, d.Duration(), d.Bars(), want)
		}
	}
	// The tempo counts dotted quarters in 6/8 and eighths in 7/8.
	for meter, want := range map[string]time.Duration{"4/4": 3 * time.Second, "3/4": 2250 * time.Millisecond, "6/8": 1500 * time.Millisecond, "7/8": 5250 * time.Millisecond, "2/2": 1500 * time.Millisecond, "8/8": 3 * time.Second} {
		m, err := ParseMeter(meter)
		if err != nil {
			t.Fatal(err)
		}
		d := newDrill(t, Settings{Figure: parseFigure(t, "1"), Route: parseRoute(t, "0"), Parts: []Instrument{find(t, "flute", 0)}, Meter: m})
		if d.After(m.Bar()) != want || d.After(-m.Bar()) != -want {
			t.Errorf("a bar of %v takes %v, want %v", m, d.After(m.Bar()), want)
		}
	}
}

// TestLawTimeIsExact compares After with exact arithmetic, for the longest
// drills too.
func TestLawTimeIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := Settings{Figure: parseFigure(t, "1"), Route: parseRoute(t, "0"), Parts: []Instrument{find(t, "flute", 0)},
			Meter: drawn(figuretest.Meter).Draw(t, "meter"), Tempo: rapid.IntRange(MinTempo, MaxTempo).Draw(t, "tempo")}
		d := newDrill(t, s)
		l := figure.Length(rapid.Int32Range(0, MaxLength).Draw(t, "length"))
		exact := float64(l) / float64(s.Meter.Counted()) / float64(s.Tempo) * float64(time.Minute)
		if got := float64(d.After(l)); math.Abs(got-exact) > 1+exact*1e-12 {
			t.Fatalf("%v takes %v ns, want %v", l, got, exact)
		}
	})
}

func gcd(a, b int) int {
	if b == 0 {
		return a
	}
	return gcd(b, a%b)
}

// TestLawFiguresMeetTheBarline: n pulses in bars of b meet the barline again
// after b/gcd(n, b) figures, which are n/gcd(n, b) bars.
func TestLawFiguresMeetTheBarline(t *testing.T) {
	order := cycle.By(interval.MinorSecond).Open()
	for b := 1; b <= 12; b++ {
		m, err := MeterOf(b, 4)
		if err != nil {
			t.Fatal(err)
		}
		for n := 1; n <= 20; n++ {
			route, err := cycle.NewRoute(cycle.Section{Keys: slices.Repeat(slices.Collect(func(yield func(pitch.Class) bool) {
				for _, k := range order.Run() {
					yield(k)
				}
			}), 2)})
			if err != nil {
				t.Fatal(err)
			}
			d := newDrill(t, Settings{
				Figure: parseFigure(t, strings.TrimSpace(strings.Repeat("1 ", n))+" by 1/4"), Route: route, Meter: m,
				Parts: []Instrument{find(t, "flute", 0)}, Rest: NoRest, Padding: PaddingRunOn,
			})
			for s := range d.Parts()[0].Statements() {
				if s.Index > 0 && s.Onset%m.Bar() == 0 {
					if s.Index != b/gcd(n, b) || s.Onset/m.Bar() != figure.Length(n/gcd(n, b)) {
						t.Errorf("%d pulses in bars of %d meet the barline after %d figures and %d bars", n, b, s.Index, s.Onset/m.Bar())
					}
					break
				}
			}
		}
	}
	// Twelve statements of three eighths end in the middle of a 4/4 bar, and
	// the section fills it.
	d := newDrill(t, Settings{Figure: parseFigure(t, "1 3 5"), Route: order, Parts: []Instrument{find(t, "flute", 0)}, Rest: NoRest, Padding: PaddingRunOn})
	all := slices.Collect(d.Parts()[0].Statements())
	if end := all[11].Onset + 3*figure.Eighth; end != 4*figure.Whole+figure.Half || d.Bars() != 5 {
		t.Errorf("they end at %v of %d bars", end, d.Bars())
	}
}

// TestWrittenKeys has the keys in which a part is respelled: concert keys for
// which its own key would have six or more sharps (computed from the rule that
// names keys, for major; the transpositions are those of the table).
func TestWrittenKeys(t *testing.T) {
	for name, want := range map[string]string{
		"trumpet":            "E→G♭ B→D♭",
		"clarinet":           "E→G♭ B→D♭",
		"tenor saxophone":    "E→G♭ B→D♭",
		"alto saxophone":     "E→D♭ A→G♭ B→A♭",
		"baritone saxophone": "E→D♭ A→G♭ B→A♭",
		"horn":               "B→G♭",
		"flute":              "",
		"double bass":        "",
	} {
		d := newDrill(t, Settings{Figure: parseFigure(t, "1 3 2 5"), Route: cycle.By(interval.MinorSecond).Open(), Parts: []Instrument{find(t, name, LevelComfortable)}, Reading: ReadingConcert})
		var got []string
		for s := range d.Parts()[0].Statements() {
			if s.Respelled {
				got = append(got, s.Sounding.Name().String()+"→"+s.Written.Name().String())
			}
			// B♭ instruments read two places further on the line of fifths, E♭
			// three, F one.
			places := map[int]int{-2: 2, -14: 2, -9: 3, -21: 3, -7: 1}[d.Parts()[0].Instrument().Sounding.Semitones()]
			if moved := s.Written.Name() - s.Sounding.Name(); !s.Respelled && int(moved) != places || s.Respelled && int(moved) != places-12 {
				t.Errorf("%s reads %v for %v", name, s.Written, s.Sounding)
			}
		}
		if diff := cmp.Diff(want, strings.Join(got, " ")); diff != "" {
			t.Errorf("%s: %s", name, diff)
		}
	}
}

// TestPreferredNames: a preference names keys as the route gives them.
func TestPreferredNames(t *testing.T) {
	fSharp := []spelling.Name{spelling.MustParseName("F#")}
	s := Settings{Figure: parseFigure(t, "1 3 2 5"), Route: parseRoute(t, "6"), Parts: []Instrument{find(t, "trumpet", 0)}, Prefer: fSharp}
	one := func(part int) string {
		for st := range newDrill(t, s).Parts()[part].Statements() {
			return fmt.Sprintf("%v %v %v", st.Written.Name(), st.Sounding.Name(), st.Respelled)
		}
		return ""
	}
	if got := one(0); got != "F♯ E false" {
		t.Errorf("written F♯: %s", got)
	}
	s.Reading = ReadingConcert
	if got := one(0); got != "A♭ F♯ true" {
		t.Errorf("concert F♯: %s", got)
	}
	s.Reading, s.Parts = ReadingUsual, append(s.Parts, find(t, "flute", 0))
	if got := one(1); got != "F♯ F♯ false" {
		t.Errorf("concert F♯ for a flute: %s", got)
	}
}

// TestNames: what players want keys to be called holds for each part, in the
// keys that it reads; keys that were typed keep their names.
func TestNames(t *testing.T) {
	names, err := figure.ParsePreference("flats")
	if err != nil {
		t.Fatal(err)
	}
	s := Settings{Figure: parseFigure(t, "1 3 2 5 in natural minor"), Route: parseRoute(t, "694"), Parts: []Instrument{find(t, "flute", 0), find(t, "alto saxophone", 0)}, LeaveOut: true}
	keys := func(s Settings) string {
		var parts []string
		for p := range s.Parts {
			var of []string
			for st := range newDrill(t, s).Parts()[p].Statements() {
				of = append(of, st.Written.Name().String())
			}
			parts = append(parts, strings.Join(of, " "))
		}
		return strings.Join(parts, ", ")
	}
	for _, c := range []struct {
		names, prefer []spelling.Name
		want          string
	}{
		{nil, nil, "F♯ A E, E♭ F♯ C♯"},
		{names, nil, "G♭ A E, E♭ G♭ D♭"},
		{names, []spelling.Name{spelling.MustParseName("F#")}, "F♯ A E, E♭ G♭ D♭"},
		{[]spelling.Name{spelling.MustParseName("D#"), spelling.MustParseName("Db")}, nil, "F♯ A E, D♯ F♯ D♭"},
	} {
		s.Names, s.Prefer = c.names, c.prefer
		if got := keys(s); got != c.want {
			t.Errorf("with %v, then %v: %s, want %s", c.names, c.prefer, got, c.want)
		}
		text, err := json.Marshal(newDrill(t, s).Settings())
		var back Settings
		if err == nil {
			err = json.Unmarshal(text, &back)
		}
		if err != nil || keys(back) != c.want {
			t.Errorf("%s: %v", text, err)
		}
	}
}

// TestSections: where a key is left out, the sections keep their numbers.
func TestSections(t *testing.T) {
	flute := find(t, "flute C4-B4", 0)
	d := newDrill(t, Settings{Figure: parseFigure(t, "1 8"), Route: parseRoute(t, "(012)/3/0"), Parts: []Instrument{find(t, "flute C4-D5", 0)}, LeaveOut: true, Rest: NoRest})
	var got []string
	for s := range d.Parts()[0].Statements() {
		got = append(got, fmt.Sprintf("%d:%v", s.Section, s.Written))
	}
	if diff := cmp.Diff("0:C4 0:D♭4 0:D4 0:C4 2:C4", strings.Join(got, " ")); diff != "" {
		t.Error(diff)
	}
	if left := d.Parts()[0].LeftOut(); len(left) != 1 || left[0].String() != "E♭" {
		t.Errorf("left out: %v", left)
	}
	// a section of which one key is left has nothing to come back to
	d = newDrill(t, Settings{Figure: parseFigure(t, "1 7"), Route: parseRoute(t, "(012)"), Parts: []Instrument{flute}, LeaveOut: true})
	if d.Len() != 1 {
		t.Errorf("%d statements, want one", d.Len())
	}
}

// TestRespelled: easy reading respells what a policy names, and a statement
// says so only where a note that is played is respelled.
func TestRespelled(t *testing.T) {
	for policy, want := range map[spelling.Policy]string{
		spelling.PolicyUsual:         "C5 F♭5 B𝄫5, -m6 to D♭5 G𝄫5 C𝄫6, -dd8 to C5",
		spelling.PolicyStrict:        "C5 F♭5 B𝄫5, -m6 to D♭5 G𝄫5 C𝄫6, -dd8 to C5",
		spelling.PolicyEasy:          "C5 F♭5 A5 respelled, -A5 to D♭5 F5 B♭5 respelled, -m7 to C5",
		spelling.PolicyEasyWhiteKeys: "C5 E5 A5 respelled, -A5 to D♭5 F5 B♭5 respelled, -m7 to C5",
	} {
		d := newDrill(t, Settings{Figure: parseFigure(t, "1 b4 bb7"), Route: parseRoute(t, "(01)"), Parts: []Instrument{find(t, "flute C4-B5", 0)}, Policy: policy})
		got := ""
		for s := range d.Parts()[0].Statements() {
			if j, ok := s.Join(); ok {
				got += ", " + j.Interval().String() + " to "
			}
			for n, e := range s.Events() {
				if n > 0 {
					got += " "
				}
				got += e.Note.String()
			}
			if s.Respelled {
				got += " respelled"
			}
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Errorf("%v: %s", policy, diff)
		}
	}
}

func TestZeroStatement(t *testing.T) {
	var s Statement
	switch {
	case s.Events() != nil:
		t.Errorf("the zero statement plays %v: notes", s.Events())
	case len(slices.Collect(s.Chords())) != 0:
		t.Errorf("the zero statement plays %v: chords", s.Events())
	case s.SoundingNumber(spelling.MustParse("C4")) != 60:
		t.Errorf("the zero statement plays %v: C4 sounds as %v", s.Events(), s.SoundingNumber(spelling.MustParse("C4")))
	}
}

// TestLawRoundUp: what is rounded up is the least multiple that is no less.
func TestLawRoundUp(t *testing.T) {
	for l := range figure.Length(200) {
		for unit := figure.Length(1); unit < 60; unit++ {
			want := figure.Length(0)
			for want < l {
				want += unit
			}
			if got := RoundUp(l, unit); got != want {
				t.Fatalf("%d rounded up to a multiple of %d is %d, want %d", l, unit, got, want)
			}
		}
	}
}

// TestLawStatementsBeginAndEnd: a statement begins with its pickup and lasts as
// long as its figure; a held return has no pickup and lasts a bar. All its notes
// lie between, and both ends lie within the time from the statement before to the
// one after.
func TestLawStatementsBeginAndEnd(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := newDrill(t, drawn(figuretest.Settings).Draw(t, "settings"))
		f, bar := d.Settings().Figure, d.Settings().Meter.Bar()
		last := figure.Length(0)
		for s := range d.Parts()[0].Statements() {
			begin, end := s.Onset-f.Pickup(), s.Onset-f.Pickup()+f.Length()
			if s.Held {
				begin, end = s.Onset, s.Onset+bar
			}
			if s.Begin() != begin || s.End() != end || begin < last || end > s.Onset+s.Length {
				t.Fatalf("a statement at %v of %v goes from %v to %v, want %v to %v, the one before to %v", s.Onset, f, s.Begin(), s.End(), begin, end, last)
			}
			for _, e := range s.Events() {
				if s.Onset+e.Onset < begin || s.Onset+e.Onset+e.Length > end {
					t.Fatalf("%+v lies outside %v to %v", e, begin, end)
				}
			}
			last = end
		}
	})
	if s := (Statement{Onset: 5}); s.Begin() != 5 || s.End() != 5 {
		t.Errorf("the zero drill's statement goes from %v to %v", s.Begin(), s.End())
	}
}

// TestPreferredNamesEnd: a preferred name has at most a double accidental.
func TestPreferredNamesEnd(t *testing.T) {
	for name, ok := range map[string]bool{"Ebb": true, "F##": true, "Ebbb": false, "F###": false} {
		n := []spelling.Name{spelling.MustParseName(name)}
		s := Settings{Figure: parseFigure(t, "3 5 1 6"), Route: parseRoute(t, "02"), Parts: []Instrument{find(t, "piano", LevelFull)}}
		for _, given := range []func(*Settings){func(s *Settings) { s.Names = n }, func(s *Settings) { s.Prefer = n }} {
			given(&s)
			if _, err := New(s); (err == nil) != ok {
				t.Errorf("%s: %v", name, err)
			}
		}
	}
}

// TestRespelledReturns: a held return is respelled where its own note is, whatever
// the others are.
func TestRespelledReturns(t *testing.T) {
	for text, want := range map[string][2]bool{"bb7:2 1": {true, true}, "1:2 bb7": {true, false}, "bb7 | 1 3": {true, false}, "1 3": {false, false}} {
		d := newDrill(t, Settings{Figure: parseFigure(t, text), Route: parseRoute(t, "(02)"), Parts: []Instrument{find(t, "piano A0-C8", 0)}, Policy: spelling.PolicyEasy})
		first, _ := d.Parts()[0].Statement(0)
		back, _ := d.Parts()[0].Statement(2)
		if first.Respelled != want[0] || back.Respelled != want[1] || !back.Held {
			t.Errorf("%s: respelled %v, held again %v", text, first.Respelled, back.Respelled)
		}
	}
	if n := new(Drill).Length(); n != 0 {
		t.Errorf("the zero drill lasts %v", n)
	}
}

// TestLawTimeIsRoundedDown: a time is that of the tempo to the nanosecond, rounded
// down.
func TestLawTimeIsRoundedDown(t *testing.T) {
	for _, tempo := range []int{10, 61, 97, 127, 499} {
		for _, meter := range []string{"4/4", "7/8", "6/8", "3/16"} {
			m, err := ParseMeter(meter)
			if err != nil {
				t.Fatal(err)
			}
			s := Settings{Tempo: tempo, Meter: m}
			perMinute := int64(tempo) * int64(m.Counted())
			for l := int64(0); l < 30000; l += 7 {
				if got, want := s.After(figure.Length(l)), time.Duration(l*int64(time.Minute)/perMinute); got != want {
					t.Fatalf("%d at %d in %s takes %d ns, want %d", l, tempo, meter, got, want)
				}
			}
		}
	}
}

// TestZeroDrillTakesNoTime: it has no tempo, so nothing takes time in it.
func TestZeroDrillTakesNoTime(t *testing.T) {
	var d Drill
	if d.Duration() != 0 || d.After(figure.Whole) != 0 {
		t.Errorf("it takes %v, and a whole note %v", d.Duration(), d.After(figure.Whole))
	}
}
