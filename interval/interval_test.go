package interval_test

import (
	"errors"
	"fmt"
	"math/rand"
	"strconv"
	"strings"
	"testing"

	"example.com/keyorder/figure/figuretest"
	. "example.com/keyorder/interval"
	"example.com/keyorder/pitch/fault"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// drawn draws what a func of figuretest makes.
func drawn[V any](gen func(figuretest.Draw) V) *rapid.Generator[V] {
	return rapid.Custom(func(t *rapid.T) V {
		return gen(func(n int) int { return rapid.IntRange(0, n-1).Draw(t, "n") })
	})
}

func TestLawAbelianGroup(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b, c := drawn(figuretest.Interval).Draw(t, "a"), drawn(figuretest.Interval).Draw(t, "b"), drawn(figuretest.Interval).Draw(t, "c")
		n := rapid.IntRange(-20, 20).Draw(t, "n")
		switch {
		case (a+b)+c != a+(b+c):
			t.Fatalf("not a group: (a+b)+c is %v, a+(b+c) %v", (a+b)+c, a+(b+c))
		case a+b != b+a:
			t.Fatalf("not a group: a+b is %v, b+a %v", a+b, b+a)
		case a+PerfectUnison != a:
			t.Fatalf("not a group: a and a unison are %v", a+PerfectUnison)
		case a+(-a) != PerfectUnison:
			t.Fatalf("not a group: a and -a are %v", a+(-a))
		}
		sum := PerfectUnison
		for range max(n, -n) {
			sum += a
		}
		if n < 0 {
			sum = -sum
		}
		if a.Times(n) != sum {
			t.Fatalf("%v times %d is %v, added up %v", a, n, a.Times(n), sum)
		}
		// the coordinates decide the value
		if a != Of(a.Steps(), a.Semitones()) {
			t.Fatal("Of does not invert Steps and Semitones")
		}
	})
}

func TestLawCoordinatesAreHomomorphisms(t *testing.T) {
	maps := map[string]func(Interval) int{
		"semitones": Interval.Semitones, "steps": Interval.Steps, "fifths": Interval.Fifths,
	}
	check := func(t interface{ Fatalf(string, ...any) }, a, b Interval) {
		for name, f := range maps {
			if f(a+b) != f(a)+f(b) || f(-a) != -f(a) {
				t.Fatalf("%s is not additive at %v and %v", name, a, b)
			}
		}
	}
	small := figuretest.TwoOctaves()
	for _, a := range small {
		for _, b := range small {
			check(t, a, b)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		check(t, drawn(figuretest.Interval).Draw(t, "a"), drawn(figuretest.Interval).Draw(t, "b"))
	})
	// So two intervals decide each map. (Temperley 2001 for the line of fifths)
	if PerfectFifth.Fifths() != 1 || Octave.Fifths() != 0 {
		t.Errorf("on the line of fifths a fifth is %d, an octave %d", PerfectFifth.Fifths(), Octave.Fifths())
	}
}

func TestLawSignTimesAbs(t *testing.T) {
	check := func(t interface{ Fatalf(string, ...any) }, i Interval) {
		if i.Abs().Times(i.Sign()) != i {
			t.Fatalf("%v has the sign %d and without it is %v", i, i.Sign(), i.Abs())
		}
		if s := i.Abs().Sign(); i == 0 && s != 0 || i != 0 && s != 1 || (-i).Sign() != -i.Sign() {
			t.Fatalf("%v taken upward has the sign %d, taken the other way %d", i, s, (-i).Sign())
		}
		if i.Steps()*i.Sign() < 0 || i.Steps() == 0 && i.Semitones()*i.Sign() < 0 {
			t.Fatalf("%v has the sign %d", i, i.Sign())
		}
	}
	for _, i := range figuretest.TwoOctaves() {
		check(t, i)
	}
	check(t, PerfectUnison)
	rapid.Check(t, func(t *rapid.T) { check(t, drawn(figuretest.Interval).Draw(t, "i")) })
}

func TestLawIntervalClass(t *testing.T) {
	for _, i := range figuretest.TwoOctaves() {
		for what, j := range map[string]Interval{
			"negative": -i, "inversion": i.Inversion(), "compound": i + Octave, "wider compound": i + 3*Octave, "simple part": i.Simple(),
		} {
			if j.IntervalClass() != i.IntervalClass() {
				t.Errorf("%v has class %d, its %s %v has %d", i, i.IntervalClass(), what, j, j.IntervalClass())
			}
		}
		if c := i.IntervalClass(); c < 0 || c > 6 {
			t.Errorf("%v has class %d", i, c)
		}
	}
}

func TestLawFormatThenParse(t *testing.T) {
	check := func(t interface{ Fatalf(string, ...any) }, i Interval) {
		got, err := Parse(i.String())
		if err != nil || got != i {
			t.Fatalf("%d steps, %d semitones prints as %v and parses as %v, %v", i.Steps(), i.Semitones(), i, got, err)
		}
	}
	seen := map[string]Interval{}
	for _, i := range figuretest.TwoOctaves() {
		check(t, i)
		if j, ok := seen[i.String()]; ok && i != j {
			t.Errorf("%v is the text of two intervals", i)
		}
		seen[i.String()] = i
	}
	rapid.Check(t, func(t *rapid.T) { check(t, drawn(figuretest.Interval).Draw(t, "i")) })
}

func TestLawNumberAndQualityDecideTheInterval(t *testing.T) {
	check := func(t interface{ Fatalf(string, ...any) }, i Interval) {
		number := i.Number()
		if i.Sign() < 0 {
			number = -number
		}
		if got, err := New(i.Quality(), number); err != nil || got != i {
			t.Fatalf("New(%v, %d) = %v, %v; want %v", i.Quality(), number, got, err, i)
		}
	}
	for _, i := range figuretest.TwoOctaves() {
		check(t, i)
	}
	rapid.Check(t, func(t *rapid.T) { check(t, drawn(figuretest.Interval).Draw(t, "i")) })
	for _, text := range []string{"P99", "-P99", "AAAAAAA98", "ddddddd3", "ddddddd4", "-ddddddd98"} { // the widest
		check(t, MustParse(text))
	}
}

func TestLawInversionIsAnInvolution(t *testing.T) {
	for _, i := range figuretest.TwoOctaves() {
		if i.Inversion().Inversion() != i {
			t.Errorf("%v inverted twice is %v", i, i.Inversion().Inversion())
		}
		// Common practice, no source: the numbers of an interval and its
		// inversion make nine, and their qualities are opposite.
		if s := i.Steps(); s > 0 && s < 7 {
			inv := i.Inversion()
			if i.Number()+inv.Number() != 9 || inv.Quality() != -i.Quality() {
				t.Errorf("%v inverts to %v", i, inv)
			}
		}
	}
}

func TestLawSimplePlusOctaves(t *testing.T) {
	check := func(t interface{ Fatalf(string, ...any) }, i Interval) {
		s := i.Simple()
		if s+Octave.Times(i.Octaves()) != i {
			t.Fatalf("%v: simple part %v and %d octaves", i, s, i.Octaves())
		}
		if (-i).Simple() != -s || (-i).Octaves() != -i.Octaves() {
			t.Fatalf("%v: simple part does not commute with the sign", i)
		}
		switch d := s.Steps(); {
		case d < -7:
			t.Fatalf("%v: simple part %v: beyond an octave down", i, s)
		case d > 7:
			t.Fatalf("%v: simple part %v: beyond an octave up", i, s)
		case (d == 0) != (i.Steps() == 0):
			t.Fatalf("%v: simple part %v: on the letter, or not", i, s)
		}
	}
	for _, i := range figuretest.TwoOctaves() {
		check(t, i)
	}
	rapid.Check(t, func(t *rapid.T) { check(t, drawn(figuretest.Interval).Draw(t, "i")) })
}

// TestTable checks every row of testdata/intervals.tsv, whose published
// sources stand in its head.
func TestTable(t *testing.T) {
	named := map[string]Interval{ // the constants, by the table's names
		"perfect unison": PerfectUnison, "augmented unison": AugmentedUnison,
		"diminished second": DiminishedSecond, "minor second": MinorSecond, "major second": MajorSecond, "augmented second": AugmentedSecond,
		"diminished third": DiminishedThird, "minor third": MinorThird, "major third": MajorThird, "augmented third": AugmentedThird,
		"diminished fourth": DiminishedFourth, "perfect fourth": PerfectFourth, "augmented fourth": AugmentedFourth,
		"diminished fifth": DiminishedFifth, "perfect fifth": PerfectFifth, "augmented fifth": AugmentedFifth,
		"diminished sixth": DiminishedSixth, "minor sixth": MinorSixth, "major sixth": MajorSixth, "augmented sixth": AugmentedSixth,
		"diminished seventh": DiminishedSeventh, "minor seventh": MinorSeventh, "major seventh": MajorSeventh, "augmented seventh": AugmentedSeventh,
		"diminished octave": DiminishedOctave, "perfect octave": Octave, "augmented octave": AugmentedOctave,
		"diminished ninth": DiminishedNinth, "minor ninth": MinorNinth, "major ninth": MajorNinth, "augmented ninth": AugmentedNinth,
		"diminished tenth": DiminishedTenth, "minor tenth": MinorTenth, "major tenth": MajorTenth, "augmented tenth": AugmentedTenth,
		"diminished eleventh": DiminishedEleventh, "perfect eleventh": PerfectEleventh, "augmented eleventh": AugmentedEleventh,
		"diminished twelfth": DiminishedTwelfth, "perfect twelfth": PerfectTwelfth, "augmented twelfth": AugmentedTwelfth,
		"diminished thirteenth": DiminishedThirteenth, "minor thirteenth": MinorThirteenth, "major thirteenth": MajorThirteenth, "augmented thirteenth": AugmentedThirteenth,
		"diminished fourteenth": DiminishedFourteenth, "minor fourteenth": MinorFourteenth, "major fourteenth": MajorFourteenth, "augmented fourteenth": AugmentedFourteenth,
		"diminished fifteenth (double octave)": DiminishedFifteenth, "perfect fifteenth (double octave)": DoubleOctave, "augmented fifteenth (double octave)": AugmentedFifteenth,
	}
	rows := figuretest.Table(t, "testdata/intervals.tsv")
	if len(rows) != 53 {
		t.Fatalf("%d rows, want 53", len(rows))
	}
	for _, r := range rows {
		i, err := Parse(r["abbreviation"])
		if err != nil {
			t.Errorf("%s: %v", r["abbreviation"], err)
			continue
		}
		if c, ok := named[r["name"]]; ok && c != i {
			t.Errorf("the constant for %s is %v", r["name"], c)
		} else if !ok && r["name"] != "diminished unison" {
			t.Errorf("no constant for %s", r["name"])
		}
		semitones, _ := strconv.Atoi(r["semitones"])
		class, _ := strconv.Atoi(r["interval_class"])
		number, _ := strconv.Atoi(r["number"])
		if i.Semitones() != semitones || i.IntervalClass() != class || i.Number() != number {
			t.Errorf("%s: %d semitones, class %d, number %d", r["abbreviation"], i.Semitones(), i.IntervalClass(), i.Number())
		}
		// A diminished unison is written here as an augmented one downward.
		if r["abbreviation"] == "d1" {
			if i.String() != "-A1" {
				t.Errorf("d1 prints as %v", i)
			}
		} else if i.String() != r["abbreviation"] || i.Quality().String() != r["quality"] {
			t.Errorf("%s prints as %v, %v", r["abbreviation"], i, i.Quality())
		}
		if r["inversion"] != "" && i.Inversion() != MustParse(r["inversion"]) {
			t.Errorf("%s inverts to %v, want %s", r["abbreviation"], i.Inversion(), r["inversion"])
		}
	}
}

func TestParse(t *testing.T) {
	for text, want := range map[string]Interval{
		"P1": PerfectUnison, "-P1": PerfectUnison, "d1": -AugmentedUnison, "-d1": AugmentedUnison, "A1": AugmentedUnison,
		"AA4": Of(3, 7), "dd7": Of(6, 8), "M9": MajorNinth, "-m3": -MinorThird, "−m3": -MinorThird, "+P4": PerfectFourth, "dd2": Of(1, -1),
	} {
		if got, err := Parse(text); err != nil || got != want {
			t.Errorf("Parse(%q) = %v, %v; want %v", text, got, err, want)
		}
	}
}

func TestParseErrors(t *testing.T) {
	for text, want := range map[string]string{
		"":          `interval: write an interval such as m3`,
		"-−m3":      `interval "-−m3" at character 2: write an interval`,
		"M/":        `interval "M/" at character 2: after the quality`,
		"M3/":       `interval "M3/" at character 3: after the quality`,
		"M3:":       `interval "M3:" at character 3: after the quality`,
		"M0":        `interval "M0" at character 2: after the quality`,
		"x3":        `interval "x3": write an interval such as m3`,
		"--m3":      `interval "--m3" at character 2: write an interval`,
		"m5":        `interval "m5": there is no minor interval 5; write P5, A5 or d5`,
		"P3":        `interval "P3": there is no perfect interval 3; write m3, M3, A3 or d3`,
		"m":         `interval "m" at character 2: after the quality comes a number from 1 to 99`,
		"M100":      `interval "M100" at character 2: after the quality comes a number from 1 to 99`,
		"M03":       `interval "M03" at character 2: after the quality`,
		"M3x":       `interval "M3x" at character 3: after the quality`,
		"mm3":       `interval "mm3" at character 2: only A and d can be repeated`,
		"AAAAAAAA4": `interval "AAAAAAAA4" at character 8: at most seven A or d`,
	} {
		none, err := Parse(text)
		var pe *fault.SyntaxError
		switch {
		case !errors.As(err, &pe):
			t.Errorf("Parse(%q): %v, %v\nwant %s…: no such error", text, none, err, want)
		case !strings.HasPrefix(err.Error(), want):
			t.Errorf("Parse(%q): %v, %v\nwant %s…: other words", text, none, err, want)
		case pe.Input != text:
			t.Errorf("Parse(%q): %v, %v\nwant %s…: it quotes %q", text, none, err, want, pe.Input)
		case none != 0:
			t.Errorf("Parse(%q): %v, %v\nwant %s…: an interval all the same", text, none, err, want)
		}
		var i Interval = MinorThird
		if i.UnmarshalText([]byte(text)) == nil || i != MinorThird {
			t.Errorf("UnmarshalText(%q) left %v", text, i)
		}
	}
	if _, err := Parse(strings.Repeat("A", 1<<20)); len(err.Error()) > 200 {
		t.Error("a long input is quoted whole")
	}
	for _, bad := range []struct {
		q Quality
		n int
	}{{Major, 5}, {Perfect, 3}, {Minor, 1}, {Augmented, 0}, {Augmented, 100}, {Augmented + 7, 4}, {Diminished - 7, 3}, {Diminished - 7, 4}, {Perfect, 100}, {Perfect, -106}, {1<<15 - 1, 4}, {-1 << 15, 4}} {
		var refused *fault.ValueError
		switch i, err := New(bad.q, bad.n); {
		case !errors.As(err, &refused):
			t.Errorf("New(%v, %d) = %v: no such error", bad.q, bad.n, i)
		case refused.Value != fmt.Sprintf("%v %d", bad.q, bad.n):
			t.Errorf("New(%v, %d) = %v: it quotes %q", bad.q, bad.n, i, refused.Value)
		case i != 0:
			t.Errorf("New(%v, %d) = %v: an interval all the same", bad.q, bad.n, i)
		}
	}
	defer func() {
		if recover() == nil {
			t.Error("MustParse did not panic")
		}
	}()
	MustParse("m5")
}

func TestOutsideTheTextForms(t *testing.T) {
	for i, want := range map[Interval]string{
		Of(99, 171): "99 steps 171 semitones",
		Of(0, 8):    "0 steps 8 semitones",
		Of(-2, 5):   "-2 steps 5 semitones",
	} {
		if i.String() != want {
			t.Errorf("%q, want %q", i.String(), want)
		}
		if text, err := i.MarshalText(); len(text) != 0 || err == nil || err.Error() != "interval "+want+": the text forms go to the 99th and to seven-fold augmented or diminished" {
			t.Errorf("%v has the text form %q, %v", i, text, err)
		}
	}
}

func TestQualityString(t *testing.T) {
	for q, want := range map[Quality]string{
		Perfect: "perfect", Major: "major", Minor: "minor", Augmented: "augmented", Diminished: "diminished",
		Augmented + 1: "doubly augmented", Diminished - 2: "triply diminished", Augmented + 4: "5-fold augmented",
	} {
		if q.String() != want {
			t.Errorf("%d prints as %q, want %q", q, q.String(), want)
		}
	}
}

func TestAppendTextDoesNotAllocate(t *testing.T) {
	buf := make([]byte, 0, 16)
	if n := testing.AllocsPerRun(100, func() {
		buf, _ = MinorThirteenth.AppendText(buf[:0])
	}); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

func TestMarshalText(t *testing.T) {
	text, err := (-MinorThird).MarshalText()
	if err != nil || cmp.Diff(string(text), "-m3") != "" {
		t.Errorf("%s, %v", text, err)
	}
	var i Interval
	if err := i.UnmarshalText(text); err != nil || i != -MinorThird {
		t.Errorf("%v, %v", i, err)
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"m3", "-M3", "AA4", "d1", "P99", "M100", "−P5", "dddddddd4", "A1A"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		i, err := Parse(s)
		if err != nil {
			if len(err.Error()) > 1000 {
				t.Errorf("an error of %d bytes", len(err.Error()))
			}
			return
		}
		text, err := i.MarshalText()
		if err != nil {
			t.Fatalf("%q parses and does not print: %v", s, err)
		}
		if again, err := Parse(string(text)); err != nil || again != i {
			t.Errorf("%q parses as %v, that as %v, %v", s, i, again, err)
		}
	})
}

// BenchmarkAdd adds intervals; BenchmarkAddPlain adds the same numbers as
// plain integers.
func BenchmarkAdd(b *testing.B) {
	all := figuretest.TwoOctaves()
	rand.New(rand.NewSource(1)).Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
	b.ResetTimer()
	for range b.N {
		for _, i := range all {
			sinkInterval += i
		}
	}
}

func BenchmarkAddPlain(b *testing.B) {
	all := make([]int32, len(figuretest.TwoOctaves()))
	for k, i := range figuretest.TwoOctaves() {
		all[k] = int32(i)
	}
	b.ResetTimer()
	for range b.N {
		for _, i := range all {
			sinkPlain += i
		}
	}
}

var (
	sinkInterval Interval
	sinkPlain    int32
)

// TestWidestIntervals: the ends of the grid, where a negative wraps, have no
// text form, and nothing panics there.
func TestWidestIntervals(t *testing.T) {
	for _, steps := range []int{-1 << 15, -1<<15 + 1, 1<<15 - 1} {
		for _, semitones := range []int{-1 << 15, -1<<15 + 1, -1, 0, 1, 1<<15 - 1} {
			i := Of(steps, semitones)
			switch _, err := i.MarshalText(); {
			case err == nil:
				t.Errorf("%v has a text: it is not refused", i)
			case i.Steps() != steps:
				t.Errorf("%v has a text: the steps are %d, want %d", i, i.Steps(), steps)
			case i.Semitones() != semitones:
				t.Errorf("%v has a text: the semitones are %d, want %d", i, i.Semitones(), semitones)
			}
			switch got := i.Simple() + Octave.Times(i.Octaves()); {
			case got != i:
				t.Errorf("%v is %v and %d octaves: together %v", i, i.Simple(), i.Octaves(), got)
			case i.Number() != max(steps, -steps)+1:
				t.Errorf("%v is %v and %d octaves: the number is %d", i, i.Simple(), i.Octaves(), i.Number())
			case i.Quality().String() == "":
				t.Errorf("%v is %v and %d octaves: no quality", i, i.Simple(), i.Octaves())
			}
		}
	}
}
