package figure_test

import (
	"slices"
	"strings"
	"testing"

	"example.com/keyorder/cycle"
	. "example.com/keyorder/figure"
	"example.com/keyorder/figure/figuretest"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// ofClasses returns a figure with the given pitch classes above its tonic.
func ofClasses(t *testing.T, s pitch.Set) Figure {
	var items []Item
	for c := range s.Classes() {
		d, err := ParseDegree([]string{"1", "b2", "2", "b3", "3", "4", "#4", "5", "b6", "6", "b7", "7"}[c])
		if err != nil {
			t.Fatal(err)
		}
		items = append(items, Item{Degrees: []Degree{d}, Length: Eighth})
	}
	if items == nil {
		return Figure{}
	}
	f, err := New(Major, 0, 0, items...)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// compositeSize is the number of pitch classes that a cycle of an order by one
// interval makes of a figure, by the formula: with g the greatest common divisor
// of the step's semitones and 12, the cycle has 12/g keys, and they reach every
// note that is like a note of the figure modulo g.
func compositeSize(f Figure, step interval.Interval) int {
	g := 12
	for k := int(pitch.ClassOf(step.Semitones())); k != 0; {
		g, k = k, g%k
	}
	var remainders pitch.Set
	for c := range f.Set().Classes() {
		remainders = remainders.Union(pitch.SetOf(c % pitch.Class(g)))
	}
	return 12 / g * remainders.Len()
}

// TestLawCompositeSize compares the composite with the formula, and with the
// union, which is made here note by note, for every figure of up to five pitch
// classes, every order and every cycle.
func TestLawCompositeSize(t *testing.T) {
	figures := 0
	for s := range pitch.Aggregate + 1 {
		if s.Len() > 5 {
			continue
		}
		figures++
		f := ofClasses(t, s)
		if f.Set() != s {
			t.Fatalf("%v has the set %v, want %v", f, f.Set(), s)
		}
		for _, step := range byName {
			o, size := cycle.By(step), compositeSize(f, step)
			for n := range o.Cycles() {
				heard := map[pitch.Class]bool{}
				for _, key := range o.Cycle(n) {
					for c := range s.Classes() {
						heard[(key+c)%12] = true
					}
				}
				got := f.Composite(o.Cycle(n)...)
				for c := range got.Classes() {
					if !heard[c] {
						t.Fatalf("%v by %v: %v is in %v and not heard", s, step, c, got)
					}
				}
				if got.Len() != len(heard) || size != len(heard) {
					t.Fatalf("%v by %v: %v, %d by the formula, %d heard", s, step, got, size, len(heard))
				}
			}
		}
	}
	if figures != 1+12+66+220+495+792 {
		t.Errorf("%d figures", figures)
	}
}

// TestComposites compares what the cycle on C makes of some figures with values
// that were computed apart from this code, note by note; the names are common
// practice, no source.
func TestComposites(t *testing.T) {
	for _, want := range []string{
		"1: 02468T whole-tone, 0369 diminished seventh chord, 048 augmented triad, 06 tritone",
		"1 b3 5: 0123456789TE chromatic, 0134679T octatonic, 03478E hexatonic, 013679 ",
		"1 3 2 5: 0123456789TE chromatic, 0123456789TE chromatic, 0234678TE mode of limited transposition, 0124678T mode of limited transposition",
		"1 3 5 7: 0123456789TE chromatic, 0123456789TE chromatic, 03478E hexatonic, 014567TE mode of limited transposition",
	} {
		text, _, _ := strings.Cut(want, ":")
		f := MustParse(text)
		var got []string
		for _, step := range []interval.Interval{interval.MajorSecond, interval.MinorThird, interval.MajorThird, interval.AugmentedFourth} {
			s := f.Composite(cycle.By(step).Cycle(0)...)
			got = append(got, s.String()+" "+s.Name())
		}
		if diff := cmp.Diff(want, text+": "+strings.Join(got, ", ")); diff != "" {
			t.Error(diff)
		}
	}
}

// TestNamesOfScales compares the names of scales in package pitch with the
// scales here, whose sources stand in testdata/scales.tsv: a scale goes by its
// own name, or by that of the family whose mode it is.
func TestNamesOfScales(t *testing.T) {
	families := map[string][]Scale{
		"diatonic":      {Major, Dorian, Phrygian, Lydian, Mixolydian, NaturalMinor, Locrian},
		"melodic minor": {MelodicMinor, DorianFlat2, LydianAugmented, LydianDominant, MixolydianFlat6, LocrianSharp2, Altered, SuperLocrian},
		"pentatonic":    {MajorPentatonic, MinorPentatonic},
		"octatonic":     {OctatonicHalfWhole, OctatonicWholeHalf},
		"hexatonic":     {AugmentedHexatonic3_1, AugmentedHexatonic1_3},
		"whole-tone":    {WholeTone}, "blues": {MinorBlues},
		"harmonic minor": {HarmonicMinor, PhrygianDominant}, "harmonic major": {HarmonicMajor},
		"bebop dominant": {BebopDominant, BebopDorian}, "bebop major": {BebopMajor},
		"chromatic": {Chromatic}, "": {DoubleHarmonic, HungarianMinor}, // no name in package pitch
	}
	named := map[Scale]string{}
	for name, scales := range families {
		for _, s := range scales {
			named[s] = name
		}
	}
	for s := range CommonScales() {
		var set pitch.Set
		for i := range s.Set().Intervals() {
			set = set.Union(pitch.SetOf(pitch.ClassOf(i.Semitones())))
		}
		if want, ok := named[s]; set.Name() != want || !ok {
			got := set.Name()
			t.Errorf("%v is called %q, want %q", s, got, named[s])
		}
	}
}

// TestLawEffects checks every figure of up to three pitch classes: the eleven
// orders are all there, their numbers are those of two statements set side by
// side, they are sorted by the measure, and an interval does what its inversion
// does.
func TestLawEffects(t *testing.T) {
	for s := range pitch.Aggregate + 1 {
		if s.Len() > 3 {
			continue
		}
		f := ofClasses(t, s)
		effects := f.Effects()
		of := map[int]Effect{}
		for k, e := range effects {
			of[e.Step.Semitones()] = e
			here, there := f.Composite(0), f.Composite(pitch.ClassOf(e.Step.Semitones()))
			fresh := there.Intersection(here.Complement())
			switch {
			case e.New != fresh.Len():
				t.Fatalf("%v: %+v, new are %v: the new notes", s, e, fresh)
			case e.Common != there.Intersection(here).Len():
				t.Fatalf("%v: %+v, new are %v: the common notes", s, e, fresh)
			case e.Composite != f.Composite(cycle.By(e.Step).Cycle(0)...):
				t.Fatalf("%v: %+v, new are %v: the composite", s, e, fresh)
			}
			if k == 0 {
				continue
			}
			b := effects[k-1]
			if b.New < e.New || b.New == e.New && (b.Composite.Len() < e.Composite.Len() ||
				b.Composite.Len() == e.Composite.Len() && b.Step > e.Step) {
				t.Fatalf("%v: %v stands before %v", s, b, e)
			}
		}
		for n := 1; n < 12; n++ {
			a, b := of[n], of[12-n]
			switch {
			case a.Step.Semitones() != n:
				t.Fatalf("%v: %v and %v: that is no step of %d", s, a, b, n)
			case a.New != b.New:
				t.Fatalf("%v: %v and %v: other new notes", s, a, b)
			case a.Composite != b.Composite:
				t.Fatalf("%v: %v and %v: another composite", s, a, b)
			}
		}
	}
}

func TestLawJoins(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := drawn(figuretest.Figure).Draw(t, "figure")
		tonics := rapid.SliceOfN(drawn(figuretest.Tonic), 0, 6).Draw(t, "tonics")
		joins := slices.Collect(f.Joins(tonics...))
		if want := max(len(tonics)-1, 0); f.NoteCount() > 0 && len(joins) != want || f.NoteCount() == 0 && joins != nil {
			t.Fatalf("%d joins between %d statements of %d notes", len(joins), len(tonics), f.NoteCount())
		}
		for k, j := range joins {
			before, after := f.AppendNotes(nil, tonics[k]), f.AppendNotes(nil, tonics[k+1])
			if diff := cmp.Diff(Join{From: tonics[k], To: tonics[k+1], Last: before[len(before)-1], First: after[0], Common: j.Common}, j); diff != "" {
				t.Fatalf("%v then %v: %s", before, after, diff)
			}
			// join = move + first note − last note
			first, last := tonics[k].To(before[0]), tonics[k].To(before[len(before)-1])
			if want := j.From.To(j.To) + first - last; j.Interval() != want || j.IsUnison() != (want.Semitones() == 0) {
				t.Fatalf("%+v: %v, want %v", j, j.Interval(), want)
			}
			var common pitch.Set
			for _, a := range before {
				for _, b := range after {
					if a.Number().Class() == b.Number().Class() {
						common |= pitch.SetOf(a.Number().Class())
					}
				}
			}
			if j.Common != common || common.Len() != f.Set().CommonTones(j.From.To(j.To).Semitones()) {
				t.Fatalf("%+v: in common %v", j, common)
			}
		}
	})
}

func TestJoinsStop(t *testing.T) {
	for range MustParse("1 2").Joins(0, 1, 2) {
		break
	}
}

func TestLawContour(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tonics := rapid.SliceOfN(drawn(figuretest.Tonic), 0, 8).Draw(t, "tonics")
		contour := Contour(tonics...)
		ranks := map[int]bool{}
		for k, a := range tonics {
			ranks[contour[k]] = true
			for n, b := range tonics {
				if (a.Number() < b.Number()) != (contour[k] < contour[n]) {
					t.Fatalf("%v has the contour %v", tonics, contour)
				}
			}
		}
		for r := range len(ranks) {
			if !ranks[r] {
				t.Fatalf("%v has the contour %v, without %d", tonics, contour, r)
			}
		}
		if len(contour) != len(tonics) {
			t.Fatalf("%d ranks for %d tonics", len(contour), len(tonics))
		}
	})
}
