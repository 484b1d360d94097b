package figuretest_test

import (
	"bytes"
	"fmt"
	"go/parser"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/figuretest"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/spelling"
	"example.com/keyorder/spelling/chord"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func Example() {
	random := rand.New(rand.NewPCG(1, 2))
	for range 3 {
		f := figuretest.Playable(random.IntN)
		fmt.Println(f.NoteCount() > 0, f.Length() > 0)
	}
	// Output:
	// true true
	// true true
	// true true
}

// drawn draws what a func of figuretest makes.
func drawn[V any](gen func(figuretest.Draw) V) *rapid.Generator[V] {
	return rapid.Custom(func(t *rapid.T) V {
		return gen(func(n int) int { return rapid.IntRange(0, n-1).Draw(t, "n") })
	})
}

// everything draws one of each, as what one would type.
func everything(draw figuretest.Draw) []string {
	var all []string
	add := func(v any) { all = append(all, fmt.Sprintf("%#v", v)) }
	add(figuretest.Interval(draw))
	add(figuretest.Name(draw, 7))
	add(figuretest.Note(draw))
	add(figuretest.Tonic(draw))
	add(figuretest.Quality(draw))
	add(figuretest.Chord(draw))
	s := figuretest.Scale(draw)
	add(s)
	add(figuretest.Degree(draw, s))
	add(figuretest.Figure(draw))
	add(figuretest.Playable(draw))
	add(figuretest.Class(draw))
	add(figuretest.Order(draw))
	add(figuretest.Route(draw, 6, 20))
	add(figuretest.Meter(draw))
	add(figuretest.Instrument(draw, 30))
	add(figuretest.Settings(draw))
	add(figuretest.Sequence(draw, 3))
	add(figuretest.Drill(draw).Settings())
	return all
}

// TestLawTheSameNumbersDrawTheSame, whatever they are.
func TestLawTheSameNumbersDrawTheSame(t *testing.T) {
	for seed := range uint64(300) {
		a := everything(rand.New(rand.NewPCG(seed, 0)).IntN)
		b := everything(rand.New(rand.NewPCG(seed, 0)).IntN)
		if diff := cmp.Diff(a, b); diff != "" {
			t.Fatal(diff)
		}
	}
	everything(func(n int) int { return 0 })     // the plainest
	everything(func(n int) int { return n - 1 }) // and the farthest
}

// TestLawWhatIsDrawnHasText: every value that has a text form is drawn within it.
func TestLawWhatIsDrawnHasText(t *testing.T) {
	type text interface{ MarshalText() ([]byte, error) }
	rapid.Check(t, func(t *rapid.T) {
		s := drawn(figuretest.Scale).Draw(t, "scale")
		for _, v := range []text{
			drawn(figuretest.Interval).Draw(t, "interval"), drawn(figuretest.Note).Draw(t, "note"), drawn(figuretest.Tonic).Draw(t, "tonic"),
			drawn(figuretest.Chord).Draw(t, "chord"), s, drawn(figuretest.Figure).Draw(t, "figure"), drawn(figuretest.Playable).Draw(t, "playable"),
			drawn(figuretest.Order).Draw(t, "order"), drawn(figuretest.Meter).Draw(t, "meter"),
			drawn(func(draw figuretest.Draw) figure.Degree { return figuretest.Degree(draw, s) }).Draw(t, "degree"),
		} {
			if text, err := v.MarshalText(); err != nil || len(text) == 0 {
				t.Fatalf("%#v has the text %q, %v", v, text, err)
			}
		}
	})
}

// TestLawSettingsMakeDrills, those of a sequence for the same parts.
func TestLawSettingsMakeDrills(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		all := drawn(func(draw figuretest.Draw) []drill.Settings { return figuretest.Sequence(draw, 3) }).Draw(t, "settings")
		for _, s := range all {
			if _, err := drill.New(s); err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(all[0].Parts, s.Parts); diff != "" {
				t.Fatal(diff)
			}
		}
	})
}

// TestWhole: the lists are whole, and nothing stands in them twice.
func TestWhole(t *testing.T) {
	all := map[interval.Interval]bool{}
	for _, i := range figuretest.TwoOctaves() {
		all[i] = true
		if _, err := i.MarshalText(); err != nil || i.Number() > 15 {
			t.Errorf("%v, %v", i, err)
		}
	}
	// 15 numbers each way: 7 perfect ones in 7 qualities, 8 others in 8, of
	// which the unison has the same seven upward and downward
	if want := 2*(7*7+8*8) - 7; len(all) != want {
		t.Errorf("%d intervals, want %d", len(all), want)
	}
	for n, i := range figuretest.Steps() {
		if i.Semitones() != n+1 {
			t.Errorf("step %d is %v", n+1, i)
		}
	}
	if n := len(figuretest.Steps()); n != 11 {
		t.Errorf("%d steps", n)
	}
}

// TestReach: what is drawn reaches what tests need to see.
func TestReach(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	seen := map[string]int{}
	see := func(what string, yes bool) {
		n := 0
		if yes {
			n = 1
		}
		seen[what] += n
	}
	for range 1000 {
		i := figuretest.Interval(random.IntN)
		see("an interval down", i.Sign() < 0)
		see("a far interval", i.Number() > 90)
		see("seven-fold augmented", i.Quality() == interval.Augmented+6)
		see("seven-fold diminished", i.Quality() == interval.Diminished-6)
		n := figuretest.Note(random.IntN)
		see("octave -3", n.Octave() == -3)
		see("octave 12", n.Octave() == 12)
		see("seven flats", n.Alteration() == -7)
		see("seven sharps", n.Alteration() == 7)
		c := figuretest.Chord(random.IntN)
		see("a chord over a bass", c.Bass() != c.Root())
		see("a chord with a far member", c.Quality()&^(1<<25-1) != 0)
		scale := figuretest.Scale(random.IntN)
		see("a scale of one's own", scale.String() == scale.Formula())
		f := figuretest.Figure(random.IntN)
		see("a figure of rests", f.NoteCount() == 0)
		see("another unit", f.Unit() != figure.Eighth)
		o := figuretest.Order(random.IntN)
		see("an order in one cycle", o.Cycles() <= 3)
		see("an order in many", o.Cycles() > 8)
		s := figuretest.Settings(random.IntN)
		see("scale "+s.Figure.Scale().String(), true)
		see("compound", s.Meter.Compound())
		see("4/4", s.Meter == drill.Meter{})
		see("in turn", s.Route.Len() > 10)
		see("one key", s.Route.Len() == 1)
		see("a pickup", s.Figure.Pickup() > 0)
		see("a preference", s.Prefer != nil)
		see("names", s.Names != nil)
		see(fmt.Sprint("parts ", len(s.Parts)), true)
		see(fmt.Sprint("closing ", s.Closing), true)
		see(fmt.Sprint("padding ", s.Padding), true)
		for it := range s.Figure.Items() {
			see("a rest", len(it.Degrees) == 0)
			see("together", len(it.Degrees) > 1)
			see("a chord", it.Chord != nil)
			see("a triplet", it.Length%3 != 0)
		}
		d, err := drill.New(s)
		if err != nil {
			t.Fatal(err)
		}
		see("left out", len(d.Parts()[0].LeftOut()) > 0)
		see("three drills", len(figuretest.Sequence(random.IntN, 3)) == 3)
	}
	for _, what := range []string{"parts 1", "parts 2", "parts 3", "parts 4", "closing held", "closing full", "closing open", "padding bar", "padding beat", "padding run on"} {
		see(what, false)
	}
	for s := range figure.CommonScales() {
		see("scale "+s.String(), false)
	}
	for what, n := range seen {
		if n < 2 && !strings.HasPrefix(what, "scale 1") {
			t.Errorf("%s is drawn %d times", what, n)
		}
	}
}

// TestLawGoStringIsWhatBuildsTheValue: the text between the quotes of what %#v
// prints is read as the value, by the function that it names.
func TestLawGoStringIsWhatBuildsTheValue(t *testing.T) {
	read := map[string]func(string) any{
		"interval.MustParse":     func(s string) any { return interval.MustParse(s) },
		"interval.MustParseSet":  func(s string) any { return interval.MustParseSet(s) },
		"pitch.MustParseSet":     func(s string) any { return pitch.MustParseSet(s) },
		"spelling.MustParseName": func(s string) any { return spelling.MustParseName(s) },
		"spelling.MustParse":     func(s string) any { return spelling.MustParse(s) },
		"chord.MustParse":        func(s string) any { return chord.MustParse(s) },
		"cycle.MustParse":        func(s string) any { return cycle.MustParse(s) },
		"cycle.MustParseRoute":   func(s string) any { return cycle.MustParseRoute(s) },
		"figure.MustParse":       func(s string) any { return figure.MustParse(s) },
		"figure.MustParseScale":  func(s string) any { return figure.MustParseScale(s) },
		"figure.MustParseDegree": func(s string) any { return figure.MustParseDegree(s) },
		"drill.MustParseMeter":   func(s string) any { return drill.MustParseMeter(s) },
	}
	rapid.Check(t, func(t *rapid.T) {
		scale := drawn(figuretest.Scale).Draw(t, "scale")
		quality := drawn(figuretest.Quality).Draw(t, "quality")
		for _, v := range []any{
			drawn(figuretest.Interval).Draw(t, "interval"), quality, quality.PitchSet(),
			drawn(figuretest.Note).Draw(t, "note"), drawn(figuretest.Note).Draw(t, "note").Name(), drawn(figuretest.Chord).Draw(t, "chord"),
			drawn(figuretest.Order).Draw(t, "order"),
			drawn(func(draw figuretest.Draw) cycle.Route { return figuretest.Route(draw, 6, 20) }).Draw(t, "route"),
			drawn(figuretest.Figure).Draw(t, "figure"), scale,
			drawn(func(draw figuretest.Draw) figure.Degree { return figuretest.Degree(draw, scale) }).Draw(t, "degree"),
		} {
			checkGoString(t, read, v)
		}
		if m := drawn(figuretest.Meter).Draw(t, "meter"); m != (drill.Meter{}) {
			checkGoString(t, read, m)
		}
	})
}

func checkGoString(t *rapid.T, read map[string]func(string) any, v any) {
	typed := fmt.Sprintf("%#v", v)
	name, rest, ok := strings.Cut(typed, "(")
	make := read[name]
	if !ok || make == nil {
		t.Fatalf("%v prints as %s, which builds nothing", v, typed)
	}
	var quoted string
	if _, err := fmt.Sscanf(rest, "%q)", &quoted); err != nil {
		t.Fatalf("%s: %v", typed, err)
	}
	equal := cmp.Comparer(func(a, b figure.Figure) bool { return a.Equal(b) && a.Unit() == b.Unit() })
	sameRoute := cmp.Comparer(func(a, b cycle.Route) bool { return a.Equal(b) })
	sameOrder := cmp.Comparer(func(a, b cycle.Order) bool { return a == b })
	sameChord := cmp.Comparer(func(a, b chord.Chord) bool { return a == b })
	sameMeter := cmp.Comparer(func(a, b drill.Meter) bool { return a == b })
	if diff := cmp.Diff(v, make(quoted), equal, sameRoute, sameOrder, sameChord, sameMeter); diff != "" {
		t.Fatalf("%s builds another value (-printed +built):\n%s", typed, diff)
	}
}

// TestGoString: what is printed of a value without text, and of what holds
// values, is a Go expression; what it says is compared here.
func TestGoString(t *testing.T) {
	for want, v := range map[string]any{
		"interval.Of(700, 1)":            interval.Of(700, 1),
		"interval.Of(-1, -30)":           interval.Of(-1, -30),
		"pitch.Class(200)":               pitch.Class(200),
		"pitch.Set(4097)":                pitch.Set(4097),
		`pitch.MustParseSet("")`:         pitch.Set(0),
		"spelling.Name(-300)":            spelling.Name(-300),
		"spelling.Note(100000000)":       spelling.Note(100000000),
		"cycle.Order{}":                  cycle.Order{},
		"cycle.Route{}":                  cycle.Route{},
		"drill.Meter{}":                  drill.Meter{},
		`drill.MustParseMeter("2+3/8")`:  drill.MustParseMeter("2+3/8"),
		`interval.MustParse("-m3")`:      -interval.MinorThird,
		`spelling.MustParse("Eb4")`:      spelling.MustParse("E♭4"),
		`spelling.MustParseName("F##")`:  spelling.MustParseName("F𝄪"),
		`cycle.MustParseRoute("(07)/3")`: cycle.MustParseRoute("(07)/3"),
		`spelling.Key{Tonic:spelling.MustParseName("Eb"), Signature:-3}`: spelling.MustParseKey("E♭ major"),
		"cycle.Move{From:pitch.Class(0), To:pitch.Class(7)}":             cycle.Move{From: 0, To: 7},
		`cycle.MustParse("0369/147T/258E")`:                              cycle.By(interval.MinorThird),
		`[]spelling.Name{spelling.MustParseName("F#")}`:                  []spelling.Name{spelling.MustParseName("F♯")},
		`cycle.Section{Keys:[]pitch.Class{pitch.Class(1)}, Closed:true}`: cycle.Section{Keys: []pitch.Class{1}, Closed: true},
	} {
		got := fmt.Sprintf("%#v", v)
		if got != want {
			t.Errorf("%s, want %s", got, want)
		}
		if _, err := parser.ParseExpr(got); err != nil {
			t.Errorf("%s: %v", got, err)
		}
	}
	random := rand.New(rand.NewPCG(5, 6))
	for range 100 {
		for _, got := range everything(random.IntN) {
			if _, err := parser.ParseExpr(got); err != nil || strings.Contains(got, "0xc0") {
				t.Errorf("%s: %v", got, err)
			}
		}
	}
}

func TestRows(t *testing.T) {
	rows, err := figuretest.Rows(strings.NewReader("# a remark\na\tb\n\n1\t2\n3\n"))
	if err != nil {
		t.Error(err)
	}
	if diff := cmp.Diff([]map[string]string{{"a": "1", "b": "2"}, {"a": "3"}}, rows); diff != "" {
		t.Error(diff)
	}
	if _, err := figuretest.Rows(strings.NewReader("a\n1\t2\n")); err == nil {
		t.Error("a row with more fields than columns is read")
	}
}

// failed is a test that only notes how it ended.
type failed struct{ says string }

func (f *failed) Helper() {}

func (f *failed) Fatalf(format string, args ...any) {
	f.says = fmt.Sprintf(format, args...)
	panic(f)
}

func TestTable(t *testing.T) {
	file := filepath.Join(t.TempDir(), "table.tsv")
	table := func(text string) (rows []map[string]string, says string) {
		if text != "" {
			if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		var f failed
		defer func() {
			if recover() != nil {
				says = f.says
			}
		}()
		return figuretest.Table(&f, file), ""
	}
	for text, want := range map[string]string{"": "no such file", "a\tb\n": "has 0 rows", "a\nb\tc\n": "line 2 has 2 fields", "a\n1\n": ""} {
		os.Remove(file)
		if rows, says := table(text); !strings.Contains(says, want) {
			t.Errorf("%q is read as %v, %s; want %s", text, rows, says, want)
		} else if want == "" && (says != "" || len(rows) != 1) {
			t.Errorf("%q is read as %v, %s", text, rows, says)
		}
	}
	if _, err := figuretest.Rows(bytes.NewReader(bytes.Repeat([]byte("x"), 1<<21))); err == nil {
		t.Error("an endless line is read")
	}
}
