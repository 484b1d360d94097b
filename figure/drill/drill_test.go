package drill

import (
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
		s.part = Part{}
		all = append(all, s)
	}
	return all
}

func anyFigure() *rapid.Generator[figure.Figure] {
	return rapid.Custom(func(t *rapid.T) figure.Figure {
		scale := rapid.SampledFrom([]figure.Scale{figure.Major, figure.Major, figure.Dorian, figure.HarmonicMinor, figure.SuperLocrian, figure.Lydian}).Draw(t, "scale")
		degree := rapid.Custom(func(t *rapid.T) figure.Degree {
			d := figure.Degree{Step: int8(rapid.IntRange(-7, 10).Draw(t, "step"))}
			if rapid.IntRange(0, 3).Draw(t, "accidental") == 0 {
				d.Explicit, d.Alteration = true, int8(rapid.IntRange(-2, 2).Draw(t, "alteration"))
			}
			return d
		})
		item := func(least int) figure.Item {
			it := figure.Item{Length: figure.Length(rapid.SampledFrom([]int{24, 24, 48, 12, 16, 72, 192, 7}).Draw(t, "length"))}
			for _, d := range rapid.SliceOfN(degree, least, max(least, rapid.SampledFrom([]int{0, 1, 1, 1, 1, 3}).Draw(t, "most"))).Draw(t, "degrees") {
				if !slices.ContainsFunc(it.Degrees, func(o figure.Degree) bool {
					a, _ := o.Above(scale)
					b, _ := d.Above(scale)
					return a.Semitones() == b.Semitones()
				}) {
					it.Degrees = append(it.Degrees, d)
				}
			}
			if rapid.IntRange(0, 4).Draw(t, "chord") == 0 {
				it.Chord = &figure.Chord{Root: degree.Draw(t, "root"), Suffix: "m7"}
			}
			return it
		}
		var items []figure.Item
		for range rapid.IntRange(0, 6).Draw(t, "items") {
			items = append(items, item(0))
		}
		items = slices.Insert(items, rapid.IntRange(0, len(items)).Draw(t, "note"), item(1))
		before := 0
		if rapid.Bool().Draw(t, "pickup") {
			before = rapid.IntRange(0, len(items)-1).Draw(t, "before")
		}
		f, err := figure.New(scale, 0, before, items...)
		if err != nil {
			t.Fatal(err)
		}
		return f
	})
}

func anyRoute() *rapid.Generator[cycle.Route] {
	return rapid.Custom(func(t *rapid.T) cycle.Route {
		if rapid.Bool().Draw(t, "order") {
			o := cycle.By(interval.Of(0, rapid.IntRange(-11, 11).Draw(t, "by"))).From(pitch.Class(rapid.IntRange(0, 11).Draw(t, "from")))
			if rapid.Bool().Draw(t, "closed") {
				return o.Closed()
			}
			return o.Open()
		}
		return shortRoute(rapid.IntRange(1, 6).Draw(t, "keys")).Draw(t, "route")
	})
}

// shortRoute draws up to three sections of up to so many keys.
func shortRoute(keys int) *rapid.Generator[cycle.Route] {
	return rapid.Custom(func(t *rapid.T) cycle.Route {
		var sections []cycle.Section
		for range rapid.IntRange(1, 3).Draw(t, "sections") {
			sections = append(sections, cycle.Section{
				Keys:   rapid.SliceOfN(rapid.Map(rapid.IntRange(0, 11), func(k int) pitch.Class { return pitch.Class(k) }), 1, keys).Draw(t, "keys"),
				Closed: rapid.Bool().Draw(t, "closed"),
			})
		}
		r, err := cycle.NewRoute(sections...)
		if err != nil {
			t.Fatal(err)
		}
		return r
	})
}

// width is how many semitones an instrument's range has.
func width(i Instrument) int { return int(i.High.Number()) - int(i.Low.Number()) }

func spanOf(f figure.Figure) int {
	low, high := f.Span()
	return high.Semitones() - low.Semitones()
}

func note(number int) spelling.Note {
	return withNumber(figure.Major.Tonics()[pitch.ClassOf(number)], number)
}

// anyInstrument draws an instrument with a range of so many semitones.
func anyInstrument(width int) *rapid.Generator[Instrument] {
	return rapid.Custom(func(t *rapid.T) Instrument {
		low := rapid.IntRange(36, 48).Draw(t, "low")
		return Instrument{
			Name: "own", Low: note(low), High: note(low + width),
			Sounding: rapid.SampledFrom([]interval.Interval{
				0, 0, -interval.MajorSecond, -interval.MajorSixth, -interval.MajorNinth, -interval.MajorThirteenth, -interval.PerfectFifth,
				-interval.Octave, -interval.MinorThird, interval.MinorThird, interval.Octave,
			}).Draw(t, "sounding"),
		}
	})
}

// anyMeter draws meters of all kinds.
func anyMeter() *rapid.Generator[Meter] {
	return rapid.Custom(func(t *rapid.T) Meter {
		unit := rapid.SampledFrom([]int{2, 4, 8, 16}).Draw(t, "unit")
		text := fmt.Sprint(rapid.IntRange(1, 12).Draw(t, "number"))
		if rapid.Bool().Draw(t, "groups") {
			var groups []string
			for _, g := range rapid.SliceOfN(rapid.IntRange(1, 4), 2, 12).Draw(t, "groups") {
				groups = append(groups, fmt.Sprint(g))
			}
			text = strings.Join(groups, "+")
		} else if unit >= 8 && rapid.IntRange(0, 3).Draw(t, "threes") == 0 {
			text = fmt.Sprint(3 * rapid.IntRange(2, 12).Draw(t, "beats"))
		}
		m, err := ParseMeter(fmt.Sprintf("%s/%d", text, unit))
		if err != nil {
			t.Fatal(err)
		}
		return m
	})
}

// anySettings draws settings that make a drill; where leaving out is allowed,
// some ranges are too narrow for some of the keys.
func anySettings(route *rapid.Generator[cycle.Route]) *rapid.Generator[Settings] {
	return rapid.Custom(func(t *rapid.T) Settings {
		s := Settings{
			Figure:   anyFigure().Draw(t, "figure"),
			Route:    route.Draw(t, "route"),
			Meter:    anyMeter().Draw(t, "meter"),
			Tempo:    rapid.SampledFrom([]int{0, 60, 80, 121, 500}).Draw(t, "tempo"),
			Rest:     Rest(rapid.SampledFrom([]int{0, 0, -1, 24, 96, 100}).Draw(t, "rest")),
			Closing:  Closing(rapid.IntRange(0, 2).Draw(t, "closing")),
			Path:     Path(rapid.IntRange(0, 1).Draw(t, "path")),
			Padding:  Padding(rapid.IntRange(0, 2).Draw(t, "padding")),
			Reading:  Reading(rapid.IntRange(0, 2).Draw(t, "reading")),
			Policy:   spelling.Policy(rapid.IntRange(0, 3).Draw(t, "policy")),
			LeaveOut: rapid.Bool().Draw(t, "leave out"),

			Articulation: Articulation(rapid.IntRange(0, 2).Draw(t, "articulation")),
			Accents:      Accents(rapid.IntRange(0, 2).Draw(t, "accents")),
		}
		if rapid.IntRange(0, 3).Draw(t, "prefer") == 0 {
			s.Prefer = []spelling.Name{spelling.MustParseName("F#"), spelling.MustParseName("Cb"), spelling.MustParseName("D#")}
		}
		if rapid.IntRange(0, 3).Draw(t, "names") == 0 {
			s.Names = []spelling.Name{spelling.MustParseName("C#"), spelling.MustParseName("Gb"), spelling.MustParseName("Ab")}
		}
		span := spanOf(s.Figure)
		enough := make([]int, rapid.SampledFrom([]int{1, 1, 1, 2, 3}).Draw(t, "parts"))
		for p := range enough {
			enough[p] = span + 11 + rapid.IntRange(0, 20).Draw(t, "extra")
		}
		if s.LeaveOut {
			for _, w := range enough {
				s.Parts = append(s.Parts, anyInstrument(max(1, w-rapid.IntRange(0, w-span).Draw(t, "less"))).Draw(t, "instrument"))
			}
			var fit *FitError
			if _, err := New(s); !errors.As(err, &fit) {
				return s
			}
			s.Parts = nil // none of the few keys fits
		}
		for _, w := range enough {
			s.Parts = append(s.Parts, anyInstrument(max(w, 1)).Draw(t, "instrument"))
		}
		return s
	})
}

// everyStatement calls check for the statements of all parts of drills.
func everyStatement(t *testing.T, check func(t *rapid.T, d *Drill, part int, s Statement)) {
	rapid.Check(t, func(t *rapid.T) {
		d := newDrill(t, anySettings(anyRoute()).Draw(t, "settings"))
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
		heldAt := figure.Length(0)
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
			heldAt = at
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
		} else if s.Held { // the chord that the note stands under
			chords = slices.DeleteFunc(chords, func(c figure.ChordEvent) bool { return c.Onset > heldAt })
			if n := len(chords); n > 0 {
				chords = chords[n-1:]
				chords[0].Onset = 0
			}
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
		s := anySettings(anyRoute()).Draw(t, "settings")
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
				if st.Index != n || st.Section != w.section || st.Return != w.back || st.Rests != w.out || st.Held != (w.back && s.Closing == ClosingHeld) {
					t.Fatalf("%v: statement %d is %+v, want %+v", s.Route, n, st, w)
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
		d := newDrill(t, anySettings(anyRoute()).Draw(t, "settings"))
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
		d := newDrill(t, anySettings(anyRoute()).Draw(t, "settings"))
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
		d := newDrill(t, anySettings(anyRoute()).Draw(t, "settings"))
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
			if again := slices.Collect(seq); !slices.Equal(again, all) {
				t.Fatalf("run again: %d statements, first %d", len(again), len(all))
			}
		}
		for _, p := range d.Parts() {
			for _, n := range []int{-1, d.Len(), math.MaxInt} {
				if st, ok := p.Statement(n); ok || st != (Statement{}) {
					t.Fatalf("there is a statement %d: %+v", n, st)
				}
			}
			for st := range p.Statements() {
				if again, ok := p.Statement(st.Index); !ok || again != st || st.Part() != p {
					t.Fatalf("statement %d by its index is %+v, walked %+v", st.Index, again, st)
				}
			}
		}
	})
	var none Part
	if len(slices.Collect(none.Statements())) != 0 || none.Instrument() != (Instrument{}) || none.LeftOut() != nil {
		t.Error("the zero part has something")
	}
}

// TestLawJoin compares each join with the notes that are read.
func TestLawJoin(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := newDrill(t, anySettings(anyRoute()).Draw(t, "settings"))
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
		s := anySettings(anyRoute()).Draw(t, "settings")
		d := newDrill(t, s)
		again := newDrill(t, d.Settings())
		if again.Duration() != d.Duration() || again.Len() != d.Len() || again.Length() != d.Length() {
			t.Fatalf("%v and %v", d.Duration(), again.Duration())
		}
		for p := range d.Parts() {
			if !slices.Equal(statementsOf(d, p), statementsOf(again, p)) || !slices.Equal(d.Parts()[p].LeftOut(), again.Parts()[p].LeftOut()) {
				t.Fatalf("part %d is another", p)
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
		s := anySettings(anyRoute()).Draw(t, "settings")
		s.LeaveOut = true
		span := spanOf(s.Figure)
		s.Parts = nil
		for range 2 {
			s.Parts = append(s.Parts, anyInstrument(max(1, span+rapid.IntRange(0, 11).Draw(t, "width"))).Draw(t, "part"))
		}
		wide := s
		wide.Parts = []Instrument{anyInstrument(span+11).Draw(t, "wide"), anyInstrument(span+11).Draw(t, "wide")}
		wide.Parts[0].Sounding, wide.Parts[1].Sounding = s.Parts[0].Sounding, s.Parts[1].Sounding
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
				if a[n].Onset != b[n].Onset || a[n].Length != b[n].Length || b[n].Rests || a[n].Sounding.Name() != b[n].Sounding.Name() {
					t.Fatalf("%+v and %+v", a[n], b[n])
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
			Meter: anyMeter().Draw(t, "meter"), Tempo: rapid.IntRange(MinTempo, MaxTempo).Draw(t, "tempo")}
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
	if s.Events() != nil || len(slices.Collect(s.Chords())) != 0 || s.SoundingNumber(spelling.MustParse("C4")) != 60 {
		t.Errorf("the zero statement plays %v", s.Events())
	}
}
