package interval_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"example.com/keyorder/figure/figuretest"
	. "example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
	"pgregory.net/rapid"
)

func anySet() *rapid.Generator[Set] {
	return rapid.Custom(func(t *rapid.T) Set { return Set(rapid.Uint32().Draw(t, "bits")) })
}

// ordinary draws sets whose places are those of scales and chords, −9 to 9, so
// that shifts find room.
func ordinary() *rapid.Generator[Set] {
	return rapid.Custom(func(t *rapid.T) Set {
		return Set(rapid.Uint32Range(0, 1<<19-1).Draw(t, "bits")) << 6 // the lowest place is −15
	})
}

// classes forgets the letters the slow way.
func classes(s Set) pitch.Set {
	var all pitch.Set
	for i := range s.Intervals() {
		all = all.Union(pitch.SetOf(pitch.ClassOf(i.Semitones())))
	}
	return all
}

func TestLawForgettingLettersCommutesWithUnion(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := anySet().Draw(t, "a"), anySet().Draw(t, "b")
		if a.Union(b).PitchSet() != a.PitchSet().Union(b.PitchSet()) {
			t.Fatal("the classes of the union are not the union of the classes")
		}
		if a.PitchSet() != classes(a) {
			t.Fatalf("classes %v, the members sound %v", a.PitchSet(), classes(a))
		}
	})
}

func TestLawForgettingLettersCommutesWithShifting(t *testing.T) {
	shifted := 0
	rapid.Check(t, func(t *rapid.T) {
		s := ordinary().Draw(t, "s")
		for _, i := range figuretest.TwoOctaves() {
			moved, ok := s.Shift(i)
			if !ok {
				continue
			}
			shifted++
			if moved.PitchSet() != s.PitchSet().T(i.Semitones()) {
				t.Fatalf("%v moved by %v is %v", s, i, moved)
			}
		}
	})
	if shifted < 1000 {
		t.Errorf("only %d shifts stayed in the window", shifted)
	}
}

func TestLawForgettingLettersKeepsSubsets(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := anySet().Draw(t, "b")
		a := b & anySet().Draw(t, "some of b")
		if !a.SubsetOf(b) || a.PitchSet().Union(b.PitchSet()) != b.PitchSet() {
			t.Fatal("the classes of a subset are not among those of the set")
		}
		c := anySet().Draw(t, "c")
		if c.SubsetOf(b) != (c.Union(b) == b) {
			t.Fatal("a subset is not a set that adds nothing")
		}
	})
}

// TestLawShiftingCutsNothing: a shift moves every member by the interval, or it
// says so and leaves the set alone.
func TestLawShiftingCutsNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.OneOf(ordinary(), anySet()).Draw(t, "s")
		for _, i := range append(figuretest.TwoOctaves(), Of(40, 30), Of(-40, -30), Of(99, 0)) {
			var want []Interval
			for m := range s.Intervals() {
				want = append(want, m+i)
			}
			all, err := SetOf(want...)
			moved, ok := s.Shift(i)
			switch {
			case ok != (err == nil):
				t.Fatalf("%v moved by %v: ok is %v, but %v", s, i, ok, err)
			case ok && moved != all:
				t.Fatalf("%v moved by %v is %v, want %v", s, i, moved, all)
			case !ok && moved != s:
				t.Fatalf("%v changed to %v", s, moved)
			}
			if back, backOK := moved.Shift(-i); ok && (back != s || !backOK) {
				t.Fatalf("%v moved by %v and back is %v", s, i, back)
			}
		}
	})
}

func TestLawSetFormatThenParse(t *testing.T) {
	check := func(t interface{ Fatalf(string, ...any) }, s Set) {
		for _, text := range []string{s.String(), strings.Join(strings.Fields(s.String()), "  ") + " "} {
			if s == 0 {
				text = strings.TrimSpace(text)
			}
			if got, err := ParseSet(text); err != nil || got != s {
				t.Fatalf("%v is read as %v, %v", s, got, err)
			}
		}
		text, err := s.MarshalText()
		var again Set
		if e := again.UnmarshalText(text); err != nil || e != nil || again != s {
			t.Fatalf("%v is marshalled as %q and read as %v (%v, %v)", s, text, again, err, e)
		}
	}
	for n := range 32 { // every set of one and of two
		for m := range 32 {
			check(t, 1<<n|1<<m)
		}
	}
	check(t, 0)
	check(t, 1<<32-1)
	rapid.Check(t, func(t *rapid.T) { check(t, anySet().Draw(t, "s")) })
}

func TestLawMembersMakeTheSet(t *testing.T) {
	check := func(t interface{ Fatalf(string, ...any) }, s Set) {
		members := slices.Collect(s.Intervals())
		if len(members) != s.Len() {
			t.Fatalf("%v has %d members and a length of %d", s, len(members), s.Len())
		}
		if again, err := SetOf(members...); err != nil || again != s {
			t.Fatalf("the members of %v make %v, %v", s, again, err)
		}
		for n, i := range members {
			if i.Semitones() < 0 || i >= Octave && i.Semitones() >= 12 {
				t.Fatalf("%v does not lie in the octave", i)
			}
			if n > 0 && (members[n-1].Semitones() > i.Semitones() || members[n-1].Semitones() == i.Semitones() && members[n-1] > i) {
				t.Fatalf("%v stands before %v", members[n-1], i)
			}
			for octaves := -3; octaves <= 3; octaves++ {
				if !s.Has(i + Octave.Times(octaves)) {
					t.Fatalf("%v has not %v by %d octaves", s, i, octaves)
				}
			}
			less := s.Without(i)
			switch more, ok := less.With(i); {
			case less.Has(i):
				t.Fatalf("%v without %v is %v, with it again %v: it is still there", s, i, less, more)
			case less.Len() != s.Len()-1:
				t.Fatalf("%v without %v is %v, with it again %v: %d members", s, i, less, more, less.Len())
			case more != s:
				t.Fatalf("%v without %v is %v, with it again %v: it is another set", s, i, less, more)
			case !ok:
				t.Fatalf("%v without %v is %v, with it again %v: there is no room for it", s, i, less, more)
			}
		}
	}
	check(t, 1<<32-1) // the whole window
	rapid.Check(t, func(t *rapid.T) { check(t, anySet().Draw(t, "s")) })
}

// TestSetsHoldTheTextbooksIntervals compares with testdata/intervals.tsv, whose
// head names the textbooks: every interval of the table lies in the window, and
// a compound one is the member that its simple part is.
func TestSetsHoldTheTextbooksIntervals(t *testing.T) {
	rows := figuretest.Table(t, "testdata/intervals.tsv")
	for _, row := range rows {
		name := row["abbreviation"]
		i := MustParse(name)
		s, err := SetOf(i)
		switch {
		case err != nil:
			t.Errorf("the set of %s is %v, %v: an error", name, s, err)
		case s.Len() != 1:
			t.Errorf("the set of %s is %v, %v: %d members", name, s, err, s.Len())
		case !s.Has(i):
			t.Errorf("the set of %s is %v, %v: it is not in it", name, s, err)
		case !s.Has(i.Simple()):
			t.Errorf("the set of %s is %v, %v: its simple part is not in it", name, s, err)
		}
	}
	if len(rows) < 50 {
		t.Errorf("%d rows read", len(rows))
	}
}

func TestSetErrors(t *testing.T) {
	const outside = "a set holds what is at most once augmented or diminished, and AA1 AA2 AA4 AA5 dd4 dd5 dd8"
	for text, want := range map[string]string{
		"P1 m5":     `set of intervals "P1 m5" at character 4: there is no minor interval 5; write P5, A5 or d5 (up to seven A or d)`,
		"P1, m3":    `set of intervals "P1, m3" at character 3: after the quality comes a number from 1 to 99`,
		"M2 P5 M9":  `set of intervals "M2 P5 M9" at character 7: M9 comes twice; a set has each interval once, whatever its octave`,
		"P1 AAA4":   `set of intervals "P1 AAA4" at character 4: ` + outside,
		"triad":     `set of intervals "triad": write an interval such as m3, P4, A4, M9, or -m3 for down`,
		"P1\x00 m3": `set of intervals "P1\x00 m3" at character 3: after the quality comes a number from 1 to 99`,
	} {
		s, err := ParseSet(text)
		var bad *fault.SyntaxError
		if !errors.As(err, &bad) || err.Error() != want || s != 0 {
			t.Errorf("%q: %v, %v\nwant %s", text, s, err, want)
		}
	}
	none, err := SetOf(MajorThird, MustParse("AA6"))
	var value *fault.ValueError
	switch {
	case !errors.As(err, &value):
		t.Errorf("AA6: %v: no such error", err)
	case none != 0:
		t.Errorf("AA6: %v: a set all the same, %v", err, none)
	case value.Value != "AA6":
		t.Errorf("AA6: %v: it quotes %q", err, value.Value)
	case err.Error() != `interval "AA6": `+outside:
		t.Errorf("AA6: %v: other words", err)
	}
	if s, ok := Root.With(MustParse("AA6")); ok || s != Root {
		t.Errorf("With AA6 is %v, %v", s, ok)
	}
	s := Root
	if s.UnmarshalText([]byte("x")) == nil || s != Root {
		t.Error("bad text changes the set")
	}
	defer func() {
		if recover() == nil {
			t.Error("MustParseSet takes anything")
		}
	}()
	MustParseSet("x")
}

func TestSetsPrintAsTyped(t *testing.T) {
	s := Root | Root>>3 | Root<<1
	if got := fmt.Sprintf("%v %#v", s, s); got != `P1 m3 P5 interval.MustParseSet("P1 m3 P5")` {
		t.Error(got)
	}
	if got := fmt.Sprintf("%v %#v", Set(0), Set(0)); got != `∅ interval.MustParseSet("")` {
		t.Error(got)
	}
}

func TestIntervalsStopEarly(t *testing.T) {
	all := slices.Collect(Set(1<<32 - 1).Intervals())
	for stop := 1; stop <= len(all); stop++ {
		var some []Interval
		for i := range Set(1<<32 - 1).Intervals() {
			if some = append(some, i); len(some) == stop {
				break
			}
		}
		if !slices.Equal(some, all[:stop]) {
			t.Errorf("stopped after %v", some)
		}
	}
}

func TestSetsDoNotAllocate(t *testing.T) {
	s, sum := MustParseSet("P1 m3 P5 m7 M9"), 0
	if n := testing.AllocsPerRun(100, func() {
		for i := range s.Intervals() {
			sum += int(i)
		}
		sum += int(s.PitchSet())
	}); n != 0 {
		t.Errorf("%v allocations (%d)", n, sum)
	}
}

func FuzzParseSet(f *testing.F) {
	for _, text := range []string{"", "∅", "P1 m3 P5", "P1 M9", "-m3 d8", "AA4  dd4", "M2 M9", "P1 x"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, err := ParseSet(text)
		if err != nil {
			if s != 0 || len(err.Error()) > 600 {
				t.Fatalf("%v, %v", s, err)
			}
			return
		}
		if again, err := ParseSet(s.String()); err != nil || again != s {
			t.Fatalf("%q is read as %v, printed and read as %v, %v", text, s, again, err)
		}
	})
}
