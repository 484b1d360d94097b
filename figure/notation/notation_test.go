package notation_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	. "example.com/keyorder/figure/notation"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
	"github.com/google/go-cmp/cmp"
)

// tb is what tests, benchmarks and rapid have in common.
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

func parseRoute(t tb, text string) cycle.Route {
	t.Helper()
	r, err := cycle.ParseRoute(text)
	if err != nil {
		t.Fatalf("%v", err)
	}
	return r
}

func parseMeter(t tb, text string) drill.Meter {
	t.Helper()
	m, err := drill.ParseMeter(text)
	if err != nil {
		t.Fatalf("%v", err)
	}
	return m
}

func find(t tb, text string, level drill.Level) drill.Instrument {
	t.Helper()
	i, err := drill.Find(text, level)
	if err != nil {
		t.Fatalf("%v", err)
	}
	return i
}

func newDrill(t tb, s drill.Settings) *drill.Drill {
	t.Helper()
	d, err := drill.New(s)
	if err != nil {
		t.Fatalf("%v", err)
	}
	return d
}

func newScore(t tb, o Options, drills ...*drill.Drill) *Score {
	t.Helper()
	s, err := New(drills, o)
	if err != nil {
		t.Fatalf("%v", err)
	}
	return s
}

func barsOf(s *Score, part int) []Bar { return slices.Collect(s.PartBars(s.Parts()[part])) }

// simple returns a drill of a short figure for instruments.
func simple(t tb, parts ...drill.Instrument) *drill.Drill {
	t.Helper()
	return newDrill(t, drill.Settings{Figure: parseFigure(t, "1 3 2 5"), Route: parseRoute(t, "(0369)"), Parts: parts})
}

func TestErrors(t *testing.T) {
	one, two := simple(t, pipe(0)), simple(t, pipe(0), pipe(-interval.MajorSecond))
	other := pipe(0)
	other.Name = "other pipe"
	for _, c := range []struct {
		drills []*drill.Drill
		want   string
	}{
		{nil, `score: a score has at least one drill`},
		{[]*drill.Drill{nil}, `drill 1: it is empty; make each with New`},
		{[]*drill.Drill{one, nil}, `drill 2: it is empty; make each with New`},
		{[]*drill.Drill{one, two}, `drill 2: it has 2 parts and the first drill 1; drills that follow each other have the same`},
		{[]*drill.Drill{one, one, simple(t, other)}, `drill 3: its part 1 is for other pipe and that of the first drill for test pipe; drills that follow each other have the same instruments`},
		{[]*drill.Drill{two, simple(t, pipe(0), pipe(0))}, `drill 2: its part 2 is for test pipe and that of the first drill for test pipe; drills that follow each other have the same instruments`},
	} {
		s, err := New(c.drills, Options{})
		var e *fault.ValueError
		if s != nil || !errors.As(err, &e) || err.Error() != c.want {
			t.Errorf("New gives %v and %v, expected the error %s", s, err, c.want)
		}
	}
}

func TestPartsOfAScore(t *testing.T) {
	d := simple(t, pipe(0), pipe(-interval.MajorSecond))
	drills := []*drill.Drill{d, d}
	o := Options{Title: "Two keys", Swing: true, Signatures: true}
	s := newScore(t, o, drills...)
	drills[0] = simple(t, pipe(0)) // the score has its own list
	if s.Options() != o || !slices.Equal(s.Parts(), d.Parts()) || s.Bars() != 2*d.Bars() {
		t.Errorf("options %+v, parts %v, %d bars", s.Options(), s.Parts(), s.Bars())
	}
	three := simple(t, pipe(0), pipe(0), pipe(0)).Parts()
	if bars := slices.Collect(s.PartBars(three[2])); len(bars) > 0 {
		t.Errorf("a part that the score has not has %d bars", len(bars))
	}
	var none Score
	switch {
	case len(none.Parts()) != 0:
		t.Error("the zero value has parts or bars: parts")
	case none.Bars() != 0:
		t.Errorf("the zero value has parts or bars: Bars says %d", none.Bars())
	case len(slices.Collect(none.PartBars(three[0]))) > 0:
		t.Error("the zero value has parts or bars: bars")
	}
}

func TestBarsAreTheCallersOwn(t *testing.T) {
	s := newScore(t, Options{}, simple(t, pipe(0)))
	want := barsOf(s, 0)
	var got []Bar
	for b := range s.PartBars(s.Parts()[0]) {
		got = append(got, Bar{Symbols: slices.Clone(b.Symbols), Labels: slices.Clone(b.Labels)})
		for n := range b.Symbols {
			clear(b.Symbols[n].Notes)
		}
		clear(b.Symbols)
		clear(b.Labels)
	}
	for n := range got {
		if len(got[n].Symbols) != len(want[n].Symbols) {
			t.Errorf("bar %d has other symbols when the one before is changed", n+1)
		}
		if diff := cmp.Diff(want[n].Labels, got[n].Labels); diff != "" {
			t.Errorf("bar %d has other labels when the one before is changed: %s", n+1, diff)
		}
	}
}

// A second order that begins without a signature takes back the first one's.
func TestSignaturesFromDrillToDrill(t *testing.T) {
	d := func(route string) *drill.Drill {
		return newDrill(t, drill.Settings{Figure: parseFigure(t, "1 3 2 5 4 7 6 8"), Route: parseRoute(t, route), Parts: []drill.Instrument{pipe(0)}, Rest: drill.NoRest})
	}
	type change struct {
		Bar, Signature int
	}
	var got []change
	s := newScore(t, Options{Signatures: true}, d("3"), d("07"), d("7"), d("6"))
	for _, b := range barsOf(s, 0) {
		if b.NewSignature {
			got = append(got, change{b.Number, b.Signature})
		}
	}
	if diff := cmp.Diff([]change{{1, -3}, {2, 0}, {3, 1}, {5, -6}}, got); diff != "" {
		t.Errorf("changes of signature (-want +got):\n%s", diff)
	}
}

// The seven modes of the major scale and natural minor need no accidental under
// their signature, wherever there is one. Source of the major and minor
// signatures: spelling, which is tested against a table.
func TestLawModesNeedNoAccidentalUnderTheirSignature(t *testing.T) {
	for _, scale := range []figure.Scale{figure.Major, figure.Dorian, figure.Phrygian, figure.Lydian, figure.Mixolydian, figure.NaturalMinor, figure.Locrian} {
		for tonic := spelling.Name(-15); tonic <= 15; tonic++ {
			got := Signature(scale, tonic)
			altered, most := false, 0
			for i := range scale.Set().Intervals() {
				n := tonic.Up(i)
				most = max(most, n.Alteration(), -n.Alteration())
				altered = altered || n.Alteration() != (spelling.Key{Signature: int8(got)}).Alteration(n.Letter())
			}
			if got < -7 || got > 7 || altered != (most > 1) {
				t.Errorf("%v %v has signature %d; altered under it: %v", tonic, scale, got, altered)
			}
		}
	}
	for tonic := spelling.Name(-6); tonic <= 5; tonic++ {
		for _, scale := range []figure.Scale{figure.MajorPentatonic, figure.HarmonicMajor, figure.BebopMajor} {
			if want := int(spelling.Major(tonic).Signature); Signature(scale, tonic) != want {
				t.Errorf("%v %v has signature %d, expected %d", tonic, scale, Signature(scale, tonic), want)
			}
		}
	}
	for tonic := spelling.Name(-3); tonic <= 8; tonic++ {
		for _, scale := range []figure.Scale{figure.HarmonicMinor, figure.MelodicMinor, figure.MinorPentatonic, figure.MinorBlues} {
			if want := int(spelling.Minor(tonic).Signature); Signature(scale, tonic) != want {
				t.Errorf("%v %v has signature %d, expected %d", tonic, scale, Signature(scale, tonic), want)
			}
		}
	}
}

// Outside the modes and the minor scales no signature leaves fewer notes altered; of
// those that leave as many none lies nearer to the scale's own, of two the one with
// flats.
func TestLawSignaturesAreTheNearest(t *testing.T) {
	order := []spelling.Letter{spelling.LetterF, spelling.LetterC, spelling.LetterG, spelling.LetterD, spelling.LetterA, spelling.LetterE, spelling.LetterB}
	for scale := range figure.CommonScales() {
		if scale == figure.HarmonicMinor || scale == figure.MelodicMinor {
			continue
		}
		for tonic := spelling.Name(-12); tonic <= 12; tonic++ {
			altered := func(signature int) (n int) {
				for i := range scale.Set().Intervals() {
					note, has := tonic.Up(i), 0
					at := slices.Index(order, note.Letter())
					if signature > at {
						has = 1
					} else if -signature > 6-at {
						has = -1
					}
					if note.Alteration() != has {
						n++
					}
				}
				return n
			}
			got := Signature(scale, tonic)
			own := max(-7, min(7, int(scale.Key(tonic).Signature)))
			rank := func(s int) [3]int { return [3]int{altered(s), max(s-own, own-s), s} }
			for other := -7; other <= 7; other++ {
				if a, b := rank(other), rank(got); slices.Compare(a[:], b[:]) < 0 {
					t.Errorf("%v %v has signature %d, %d would do better: %v, %v", tonic, scale, got, other, a, b)
				}
			}
		}
	}
}

func TestLabelText(t *testing.T) {
	flat := spelling.MustParseName("Eb")
	for _, c := range []struct {
		label Label
		want  string
	}{
		{Label{}, "C"},
		{Label{Kind: LabelKindKey, Name: flat}, "E♭"},
		{Label{Kind: LabelKindReturn, Name: flat}, "back to E♭"},
		{Label{Kind: LabelKindRest, Name: flat}, "E♭ (rest)"},
		{Label{Kind: LabelKindChord, Name: flat, Text: "m7"}, "E♭m7"},
		{Label{Kind: LabelKindChanges, Name: flat}, "in E♭"},
	} {
		if got := c.label.String(); got != c.want {
			t.Errorf("%+v reads %q, expected %q", c.label, got, c.want)
		}
		// Only the name of a key differs.
		in := strings.Replace(c.want, "E♭", "mi♭", 1)
		switch {
		case c.label == Label{}:
			in = "do"
		case c.label.Kind == LabelKindChord:
			in = c.want
		}
		if got := c.label.In(spelling.LanguageFrench); got != in {
			t.Errorf("%+v reads %q in French, expected %q", c.label, got, in)
		}
	}
}

// Every value that an enumeration has prints in words of its own, and what is
// none of its constants as such.
func TestEnumerationsPrint(t *testing.T) {
	for _, c := range []struct {
		print func(uint8) string
		names []string
		none  string
	}{
		{func(n uint8) string { return Barline(n).String() }, []string{"single", "double", "final"}, "Barline(3)"},
		{func(n uint8) string { return Accidental(n).String() }, []string{"hidden", "shown", "cautionary"}, "Accidental(3)"},
		{func(n uint8) string { return Group(n).String() }, []string{"outside", "begins", "inside", "ends"}, "Group(4)"},
		{func(n uint8) string { return Beam(n).String() }, []string{"none", "begins", "goes on", "ends", "hook forward", "hook backward"}, "Beam(6)"},
		{func(n uint8) string { return Seam(n).String() }, []string{"statements", "rest", "pickup", "statement"}, "Seam(4)"},
		{func(n uint8) string { return LabelKind(n).String() }, []string{"key", "return", "rest", "chord", "changes"}, "LabelKind(5)"},
	} {
		for n, want := range append(c.names, c.none) {
			if got := c.print(uint8(n)); got != want {
				t.Errorf("value %d prints %q, expected %q", n, got, want)
			}
		}
	}
	last := []any{BarlineFinal, AccidentalCautionary, GroupEnds, BeamHookBackward, LabelKindChanges}
	if got := fmt.Sprint(last...); got != "final cautionary ends hook backward changes" {
		t.Errorf("the last constants are %s", got)
	}
}

func TestFlags(t *testing.T) {
	for base, want := range map[uint8]int{0: 0, 1: 0, 2: 0, 4: 0, 8: 1, 16: 2, 32: 3, 64: 4, 128: 5} {
		for dots := range uint8(2) {
			for _, triplet := range []bool{false, true} {
				if got := (Value{base, dots, triplet}).Flags(); got != want {
					t.Errorf("a value of base %d has %d flags, expected %d", base, got, want)
				}
			}
		}
	}
}

// eleven returns the score of the eleven orders, each closed, for one part.
func eleven(t tb, times int) *Score {
	t.Helper()
	var drills []*drill.Drill
	for range times {
		for step := 1; step <= 11; step++ {
			drills = append(drills, newDrill(t, drill.Settings{
				Figure: parseFigure(t, "1:3 5 4 2 3:2"), Route: cycle.By(interval.Of(0, step)).Closed(), Parts: []drill.Instrument{pipe(0)},
			}))
		}
	}
	return newScore(t, Options{}, drills...)
}

// A bar costs what it holds, however long the score: its own slices and little
// else.
func TestAllocations(t *testing.T) {
	perBar := func(s *Score) float64 {
		return testing.AllocsPerRun(3, func() {
			for b := range s.PartBars(s.Parts()[0]) {
				_ = b
			}
		}) / float64(s.Bars())
	}
	one, ten := perBar(eleven(t, 1)), perBar(eleven(t, 10))
	if one > 15 || ten > one*1.01 {
		t.Errorf("%.1f allocations a bar in eleven orders, %.1f in ten times as many", one, ten)
	}
	route, err := cycle.Concat(slices.Repeat([]cycle.Route{cycle.By(interval.AugmentedFourth).Closed()}, 300)...)
	if err != nil {
		t.Fatal(err)
	}
	long := perBar(newScore(t, Options{}, newDrill(t, drill.Settings{Figure: parseFigure(t, "1:3 5 4 2 3:2"), Route: route, Parts: []drill.Instrument{pipe(0)}})))
	if long > one*1.1 {
		t.Errorf("%.1f allocations a bar in a long drill, %.1f in short ones", long, one)
	}
}

func BenchmarkBarsOfElevenOrders(b *testing.B) {
	s := eleven(b, 1)
	b.ReportAllocs()
	for range b.N {
		for bar := range s.PartBars(s.Parts()[0]) {
			_ = bar
		}
	}
}

// The plain version only walks through the notes and counts their bars.
func BenchmarkNotesOfElevenOrders(b *testing.B) {
	s := eleven(b, 1)
	b.ReportAllocs()
	for range b.N {
		var events []figure.Event
		bars := 0
		for _, d := range s.Drills() {
			for st := range d.Parts()[0].Statements() {
				events = st.AppendEvents(events[:0])
				for _, e := range events {
					bars = int((st.Onset + e.Onset) / figure.Whole)
				}
			}
		}
		_ = bars
	}
}

// A bar of rest is one that says nothing else.
func TestBarsThatRest(t *testing.T) {
	rest := Symbol{Length: figure.Whole, Value: Value{Base: 1}, FullBar: true}
	half := Symbol{Length: figure.Half, Value: Value{Base: 2}}
	for _, c := range []struct {
		what string
		bar  Bar
		want bool
	}{
		{"a rest", Bar{Symbols: []Symbol{rest}}, true},
		{"the last rest", Bar{Number: 8, Symbols: []Symbol{rest}, End: BarlineFinal, Signature: 3, Clef: drill.ClefBass}, true},
		{"nothing", Bar{}, false},
		{"no full bar's rest", Bar{Symbols: []Symbol{{Length: figure.Whole, Value: Value{Base: 1}}}}, false},
		{"two rests", Bar{Symbols: []Symbol{half, half}}, false},
		{"a label", Bar{Symbols: []Symbol{rest}, Labels: []Label{{}}}, false},
		{"a section", Bar{Symbols: []Symbol{rest}, Section: 2}, false},
		{"the first", Bar{Symbols: []Symbol{rest}, Opens: true}, false},
		{"a signature", Bar{Symbols: []Symbol{rest}, NewSignature: true}, false},
		{"a clef", Bar{Symbols: []Symbol{rest}, NewClef: true}, false},
	} {
		if got := c.bar.Rests(); got != c.want {
			t.Errorf("a bar with %s rests: %v", c.what, got)
		}
	}
}

// Who stops after the first bar pays for that and not for the rest of the drill.
func TestStoppingEarlyCostsNoMoreInALongDrill(t *testing.T) {
	first := func(times int) float64 {
		route, err := cycle.Concat(slices.Repeat([]cycle.Route{cycle.By(interval.AugmentedFourth).Closed()}, times)...)
		if err != nil {
			t.Fatal(err)
		}
		s := newScore(t, Options{}, newDrill(t, drill.Settings{Figure: parseFigure(t, "{1 maj7} 3 5 1 {4 7} 6"), Route: route, Parts: []drill.Instrument{pipe(0)}}))
		return testing.AllocsPerRun(3, func() {
			for range s.PartBars(s.Parts()[0]) {
				break
			}
		})
	}
	if one, long := first(1), first(100); long > one*1.5 {
		t.Errorf("the first bar costs %.0f allocations, in a long drill %.0f", one, long)
	}
}

// The minor scales have the signature of their minor key, also where that would
// have more than seven sharps or flats: then all seven.
func TestLawMinorScalesHaveTheSignatureOfTheirKey(t *testing.T) {
	for tonic := spelling.Name(-10); tonic <= 14; tonic++ {
		want := max(-7, min(7, int(spelling.Minor(tonic).Signature)))
		for _, scale := range []figure.Scale{figure.NaturalMinor, figure.HarmonicMinor, figure.MelodicMinor} {
			if got := Signature(scale, tonic); got != want {
				t.Errorf("%v %v has signature %d, expected %d", tonic, scale, got, want)
			}
		}
	}
}
