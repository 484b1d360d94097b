package interval_test

import (
	"math"
	"strings"
	"testing"

	"example.com/keyorder/figure/figuretest"
	. "example.com/keyorder/interval"
	"pgregory.net/rapid"
)

// TestTableNames checks the words against the names of testdata/intervals.tsv,
// whose published sources stand in its head. Four are called otherwise here
// (common practice, no source).
func TestTableNames(t *testing.T) {
	own := map[string]string{"m2": "half step", "M2": "whole step", "A4": "tritone", "d5": "tritone", "P15": "double octave", "d1": "augmented unison"}
	for _, r := range figuretest.Table(t, "testdata/intervals.tsv") {
		want, _, _ := strings.Cut(strings.TrimPrefix(r["name"], "perfect "), " (")
		if word, ok := own[r["abbreviation"]]; ok {
			want = word
		}
		i := MustParse(r["abbreviation"])
		if i.Name() != want || (-i).Name() != want {
			t.Errorf("%v is %q, and down %q; want %q", i, i.Name(), (-i).Name(), want)
		}
	}
}

// TestWords checks words against common practice, no source.
func TestWords(t *testing.T) {
	for text, want := range map[string][2]string{
		"m3":     {"minor third", "up a minor third"},
		"-P8":    {"octave", "down an octave"},
		"P1":     {"unison", "the same note"},
		"A1":     {"augmented unison", "up an augmented unison"},
		"-A1":    {"augmented unison", "down an augmented unison"},
		"A4":     {"tritone", "up a tritone"},
		"-d5":    {"tritone", "down a tritone"},
		"m2":     {"half step", "up a half step"},
		"-M2":    {"whole step", "down a whole step"},
		"A2":     {"augmented second", "up an augmented second"},
		"dd7":    {"doubly diminished seventh", "up a doubly diminished seventh"},
		"d8":     {"diminished octave", "up a diminished octave"},
		"M9":     {"major ninth", "up an octave and a whole step"},
		"-P12":   {"twelfth", "down an octave and a fifth"},
		"A11":    {"augmented eleventh", "up an octave and a tritone"},
		"A8":     {"augmented octave", "up an augmented octave"},
		"A15":    {"augmented fifteenth", "up an octave and an augmented octave"},
		"P15":    {"double octave", "up 2 octaves"},
		"-m16":   {"minor 16th", "down 2 octaves and a half step"},
		"P22":    {"22nd", "up 3 octaves"},
		"M21":    {"major 21st", "up 2 octaves and a major seventh"},
		"M23":    {"major 23rd", "up 3 octaves and a whole step"},
		"P99":    {"99th", "up 14 octaves"},
		"AAAA11": {"4-fold augmented eleventh", "up an octave and a 4-fold augmented fourth"},
	} {
		i := MustParse(text)
		if got := [2]string{i.Name(), i.Motion()}; got != want {
			t.Errorf("%s: %q, want %q", text, got, want)
		}
	}
	for _, i := range []Interval{Of(99, 171), Of(0, 8)} {
		if i.Name() != i.String() || i.Motion() != i.String() {
			t.Errorf("%v has the words %q and %q", i, i.Name(), i.Motion())
		}
	}
}

// TestLawWordsTellDirectionAndSize: the other way round only the direction
// changes, and different intervals upward have different words, a tritone aside.
func TestLawWordsTellDirectionAndSize(t *testing.T) {
	told := map[string]Interval{}
	for _, i := range figuretest.TwoOctaves() {
		if i.Sign() < 0 {
			continue
		}
		up, down := i.Motion(), (-i).Motion()
		if rest, ok := strings.CutPrefix(up, "up "); i != 0 && (!ok || down != "down "+rest) {
			t.Errorf("%v is %q one way, %q the other", i, up, down)
		}
		for _, words := range []string{i.Name(), up} {
			if j, ok := told[words]; ok && j != i && !strings.HasSuffix(words, "tritone") {
				t.Errorf("%v and %v are both %q", j, i, words)
			}
			told[words] = i
		}
	}
}

// TestLawUsualHasItsSemitones: and the other way round it is the same interval
// downward, an octave more is the same with an octave.
func TestLawUsualHasItsSemitones(t *testing.T) {
	check := func(t interface{ Fatalf(string, ...any) }, n int) {
		i := Usual(n)
		switch {
		case i.Semitones() != n:
			t.Fatalf("%d semitones are %v, %d are %v: the first has %d semitones", n, i, -n, Usual(-n), i.Semitones())
		case Usual(-n) != -i:
			t.Fatalf("%d semitones are %v, %d are %v: they are no opposites", n, i, -n, Usual(-n))
		case n >= 0 && Usual(n+12) != i+Octave:
			t.Fatalf("%d semitones are %v, %d are %v: an octave more is %v", n, i, -n, Usual(-n), Usual(n+12))
		}
		switch q := i.Quality(); {
		case q < Minor:
			t.Fatalf("%d semitones are %v: it is diminished", n, i)
		case q > Augmented:
			t.Fatalf("%d semitones are %v: it is doubly augmented", n, i)
		case q == Augmented && n%12 != 6 && n%12 != -6:
			t.Fatalf("%d semitones are %v: it is augmented", n, i)
		}
	}
	for n := -24; n <= 24; n++ {
		check(t, n)
	}
	rapid.Check(t, func(t *rapid.T) { check(t, rapid.IntRange(-2000, 2000).Draw(t, "semitones")) })
	Usual(math.MinInt) // wraps, and does not panic
	for n, want := range map[int]string{0: "the same note", 3: "up a minor third", -5: "down a fourth", 12: "up an octave", -19: "down an octave and a fifth", 24: "up 2 octaves", 30: "up 2 octaves and a tritone"} {
		if got := Usual(n).Motion(); got != want {
			t.Errorf("%d semitones: %q, want %q", n, got, want)
		}
	}
}
