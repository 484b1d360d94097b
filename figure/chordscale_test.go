package figure

import (
	"os"
	"slices"
	"strings"
	"testing"

	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/spelling/chord"
)

// TestTableChordScales holds every row of testdata/chord-scales.tsv, whose head
// names the sources: whether the scale holds the chord, and that the first row of
// each chord is the usual scale. The table spells altered with seven letters; here
// the altered scale is spelled as its chord is.
func TestTableChordScales(t *testing.T) {
	data, err := os.ReadFile("testdata/chord-scales.tsv")
	if err != nil {
		t.Fatal(err)
	}
	first := map[interval.Set]bool{}
	rows := 0
	for _, line := range strings.Split(strings.TrimSpace(string(data)), "\n") {
		c := strings.Split(line, "\t")
		if strings.HasPrefix(line, "#") || c[0] == "chord" {
			continue
		}
		rows++
		q, err := chord.ParseQuality(strings.TrimPrefix(c[0], "C"))
		if err != nil {
			t.Error(err)
			continue
		}
		s := MustParseScale(c[2])
		if s == SuperLocrian {
			s = Altered
		}
		holds := false
		for other := range ScalesHolding(q) {
			holds = holds || other == s
		}
		if want := c[4] == "yes"; holds != want {
			t.Errorf("%v holds %s: %t, want %t", s, c[0], holds, want)
		}
		if missing, ok := strings.CutPrefix(c[4], "no: "); ok {
			d := MustParseDegree(missing)
			i := above(int(d.Step), int(d.Alteration))
			if !q.Has(i) || s.Set().Has(i) {
				t.Errorf("%v does not lack %s of %s", s, missing, c[0])
			}
		}
		if first[q] && c[0] != "C7alt" {
			continue
		}
		first[q] = true
		if got, ok := UsualScale(q); !ok || got != s {
			t.Errorf("beside %s stands %v, %t; the first row has %v (%s, %s)", c[0], got, ok, s, c[5], c[6])
		}
		if c[4] != "yes" {
			t.Errorf("the first row of %s does not hold it", c[0])
		}
	}
	if rows != 78 || len(first) != len(usualScales) {
		t.Errorf("%d rows, %d chords; %d in the table of the package", rows, len(first), len(usualScales))
	}
	for _, suffix := range []string{"+", "sus2", "5", "7(b9,b13)", "maj11"} { // of which the table has no row
		q, err := chord.ParseQuality(suffix)
		if s, ok := UsualScale(q); ok || s != Major || err != nil {
			t.Errorf("beside %s stands %v, %v", suffix, s, err)
		}
	}
}

// TestLawScalesHolding: what holds a chord by letters holds it by sound, and a
// scale holds exactly the chords whose classes it has.
func TestLawScalesHolding(t *testing.T) {
	for _, row := range usualScales {
		for _, q := range []interval.Set{interval.Set(row.chord), interval.Set(row.scale ^ major), interval.Root} {
			got := map[Scale]bool{}
			var order []Scale
			for s, letters := range ScalesHolding(q) {
				got[s] = letters
				order = append(order, s)
			}
			var want []Scale
			for s := range CommonScales() {
				holds := true
				for i := range q.Intervals() {
					holds = holds && s.Set().PitchSet()&pitch.SetOf(pitch.ClassOf(i.Semitones())) != 0
				}
				if holds {
					want = append(want, s)
				}
				if letters := q.SubsetOf(s.Set()); letters && !holds || got[s] != (letters && holds) {
					t.Errorf("%v holds %v by letters: %t, said %t", s, q, letters, got[s])
				}
			}
			if !slices.Equal(order, want) {
				t.Errorf("%v is held by %v, want %v", q, order, want)
			}
		}
	}
	for s := range ScalesHolding(interval.Root) {
		if s != Major {
			t.Error("going on after the first")
		}
		break
	}
}

// TestModes: the notes of testdata/scales.tsv and scales-more.tsv say which mode of
// which scale each is, in the letters too.
func TestModes(t *testing.T) {
	families := map[string]Scale{"diatonic": Major, "melodic minor": MelodicMinor, "harmonic minor": HarmonicMinor, "harmonic major": HarmonicMajor, "double harmonic": DoubleHarmonic, "the harmonic minor": HarmonicMinor, "the major pentatonic": MajorPentatonic}
	seen := 0
	for _, file := range []string{"testdata/scales.tsv", "testdata/scales-more.tsv"} {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		for _, line := range strings.Split(string(data), "\n") {
			c := strings.Split(line, "\t")
			if len(c) < 6 || c[0] == "name" {
				continue
			}
			note, _, _ := strings.Cut(c[5], ";")
			family, n, ok := strings.Cut(note, " mode ")
			if number, of, said := strings.Cut(strings.TrimPrefix(note, "mode "), " of "); !ok && said && len(number) == 1 {
				family, n, ok = of, number, true
			}
			if !ok {
				continue
			}
			seen++
			parent, known := families[family]
			got, ok := parent.Mode(int(n[0] - '0'))
			if !known || !ok || got != MustParseScale(c[1]) || got.String() == got.Formula() {
				t.Errorf("mode %s of %s is %v, %t; want %s", n, family, got, ok, c[0])
			}
		}
	}
	if seen != 7+7+1+1+5+6+1 {
		t.Errorf("%d modes read", seen)
	}
	// Where letters have no name, the sound has: common practice, no source.
	for _, test := range []struct {
		s    Scale
		n    int
		want string
	}{
		{WholeTone, 5, "whole tone"}, {OctatonicHalfWhole, 2, "octatonic whole-half"}, {OctatonicWholeHalf, 8, "octatonic half-whole"},
		{Altered, 4, "lydian augmented"}, {BebopDominant, 5, "bebop dorian"}, {Chromatic, 12, "chromatic"}, {MinorBlues, 1, "minor blues"},
		{MinorBlues, 2, "1 2 b3 3 5 6"},
	} {
		if got, ok := test.s.Mode(test.n); !ok || got.String() != test.want {
			t.Errorf("mode %d of %v is %v, %t; want %s", test.n, test.s, got, ok, test.want)
		}
	}
	for _, n := range []int{-1, 0, 8} {
		if s, ok := Major.Mode(n); ok || s != Major {
			t.Errorf("mode %d of major is %v", n, s)
		}
	}
}

// TestLawModesHaveTheSameNotes, whatever the names of their letters.
func TestLawModesHaveTheSameNotes(t *testing.T) {
	for s := range CommonScales() {
		n := 0
		for i := range s.Set().Intervals() {
			n++
			mode, ok := s.Mode(n)
			if !ok {
				t.Logf("no letters for mode %d of %v", n, s)
				continue
			}
			if mode.Set().PitchSet().T(i.Semitones()) != s.Set().PitchSet() {
				t.Errorf("mode %d of %v is %v", n, s, mode)
			}
			if back, ok := mode.Mode(s.Set().Len() + 2 - n); n > 1 && ok && back.Set().PitchSet() != s.Set().PitchSet() {
				t.Errorf("mode %d of %v is %v, and its mode back %v", n, s, mode, back)
			}
		}
	}
}

// TestScaleNames are names that players use, read by hand.
func TestScaleNames(t *testing.T) {
	for name, want := range map[string]string{
		"phrygian dominant": "1 b2 3 4 5 b6 b7", "super-locrian": "1 b2 b3 b4 b5 b6 b7", "half-whole": "1 b2 b3 3 #4 5 6 b7",
		"half-whole diminished": "1 b2 b3 3 #4 5 6 b7", "whole-half diminished": "1 2 b3 4 #4 #5 6 7",
		"blues": "1 b3 4 b5 5 b7", "Chromatic": "1 b2 2 b3 3 4 #4 5 b6 6 b7 7", "double harmonic": "1 b2 3 4 5 b6 7",
		"hungarian minor": "1 2 b3 #4 5 b6 7", "bebop dorian": "1 2 b3 3 4 5 6 b7", "Locrian ♮6": "", "dorian ♯4": "1 2 b3 #4 5 6 b7",
	} {
		if s, err := ParseScale(name); (err == nil) != (want != "") || err == nil && s.Formula() != want {
			t.Errorf("%s is %s, %v; want %s", name, s.Formula(), err, want)
		}
	}
}
