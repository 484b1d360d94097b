package pitch_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"iter"
	"slices"
	"strconv"
	"strings"
	"testing"

	"example.com/keyorder/figure/figuretest"
	. "example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
	"github.com/google/go-cmp/cmp"
)

// allSets yields the 4096 sets.
func allSets() iter.Seq[Set] {
	return func(yield func(Set) bool) {
		for s := Set(0); s <= Aggregate; s++ {
			if !yield(s) {
				return
			}
		}
	}
}

// The plain versions work on sorted slices of classes, straight from the
// definitions. The tests compare with them and the benchmarks race them.

func plain(s Set) []int {
	classes := []int{}
	for c := range 12 {
		if s>>c&1 == 1 {
			classes = append(classes, c)
		}
	}
	return classes
}

// plainForms returns every transposition and inversion of the classes that
// begins on 0: each rotation of the list, counted from its first note.
func plainForms(classes []int) [][]int {
	var forms [][]int
	mirrored := make([]int, len(classes))
	for k, c := range classes {
		mirrored[k] = (12 - c) % 12
	}
	slices.Sort(mirrored)
	for _, list := range [][]int{classes, mirrored} {
		for first := range list {
			form := make([]int, len(list))
			for k := range list {
				form[k] = (list[(first+k)%len(list)] - list[first] + 12) % 12
			}
			forms = append(forms, form)
		}
	}
	return forms
}

// rahnLess and forteLess compare two forms that begin on 0: by their span, then
// note by note from the right or from the left.
func rahnLess(a, b []int) int {
	for k := len(a) - 1; k >= 0; k-- {
		if a[k] != b[k] {
			return a[k] - b[k]
		}
	}
	return 0
}

func forteLess(a, b []int) int {
	if span := a[len(a)-1] - b[len(b)-1]; span != 0 {
		return span
	}
	return slices.Compare(a, b)
}

func plainPrime(classes []int, less func(a, b []int) int) []int {
	if len(classes) == 0 {
		return []int{}
	}
	return slices.MinFunc(plainForms(classes), less)
}

func plainVector(classes []int) []int {
	v := make([]int, 6)
	for k, a := range classes {
		for _, b := range classes[k+1:] {
			v[min(b-a, 12-b+a)-1]++
		}
	}
	return v
}

// TestSetClasses compares every row of testdata/set-classes.tsv, whose
// published sources (Forte 1973, Rahn 1980) stand in its head, with what is
// derived, in every column; and it counts that no class is missing.
func TestSetClasses(t *testing.T) {
	table := figuretest.Table(t, "testdata/set-classes.tsv")
	seen := map[Set]bool{}
	differ := 0
	for _, row := range table {
		set, err := ParseSet(strings.Trim(row["prime_forte"], "()"))
		if err != nil {
			t.Fatal(err)
		}
		rahn := row["prime_forte"]
		if row["rahn_differs"] != "" {
			rahn = row["rahn_differs"]
			differ++
		}
		members := map[Set]bool{}
		transpositions := map[Set]bool{}
		for n := range 12 {
			transpositions[set.T(n)] = true
			members[set.T(n)], members[set.I(n)] = true, true
		}
		for s := range members {
			symmetric, z := "no", ""
			if s.ISymmetry() != 0 {
				symmetric = "yes"
			}
			if partner, ok := s.ZPartner(); ok {
				z = partner.ForteNumber()
			} else if partner != 0 {
				t.Errorf("%v has no partner, and %v", s, partner)
			}
			prime := func(p Set) string {
				text, _ := p.MarshalText()
				return "(" + string(text) + ")"
			}
			if seen[s] {
				t.Fatalf("%v belongs to two classes", s)
			}
			seen[s] = true
			got := map[string]string{
				"cardinality": strconv.Itoa(s.Len()), "forte_number": s.ForteNumber(), "prime_forte": prime(s.FortePrime()),
				"rahn_differs": row["rahn_differs"], "interval_vector": s.Vector().String(),
				"n_transpositions": strconv.Itoa(12 / s.TSymmetry().Len()), "n_sets": strconv.Itoa(len(members)), "inv_symmetric": symmetric,
				"n_symmetries": strconv.Itoa(s.TSymmetry().Len() + s.ISymmetry().Len()), "z_partner": z, "complement": s.Complement().ForteNumber(),
			}
			if diff := cmp.Diff(row, got); diff != "" {
				t.Errorf("%v: %s", s, diff)
			}
			if got := prime(s.RahnPrime()); got != rahn {
				t.Errorf("%v: Rahn's prime form is %s, want %s", s, got, rahn)
			}
			if len(transpositions) != 12/s.TSymmetry().Len() {
				t.Errorf("%v has %d transpositions", s, len(transpositions))
			}
		}
		for _, text := range []string{row["forte_number"], strings.Replace(row["forte_number"], "Z", "z", 1), strings.Replace(row["forte_number"], "Z", "", 1)} {
			if got, err := ParseForte(text); err != nil || got != set.RahnPrime() {
				t.Errorf("%s is %v, %v; want %v", text, got, err, set.RahnPrime())
			}
		}
	}
	if len(table) != 224 || len(seen) != 4096 || differ != 6 {
		t.Errorf("%d classes of %d sets, of which %d differ; want 224, 4096 and 6", len(table), len(seen), differ)
	}
}

// TestCounts compares how many sets, Tn classes and Tn/TnI classes of each size
// there are, and how many have twelve transpositions, with
// testdata/counting.tsv, whose sources (OEIS entries) stand in its rows.
func TestCounts(t *testing.T) {
	var subsets, necklaces, aperiodic, bracelets [13]int
	for s := range allSets() {
		subsets[s.Len()]++
		if _, form := s.Normal(); form == s {
			necklaces[s.Len()]++
			if s.TSymmetry().Len() == 1 {
				aperiodic[s.Len()]++
			}
		}
	}
	before := Set(0)
	for p := range SetClasses() {
		if p.Len() < before.Len() || p.Len() == before.Len() && p <= before && p != 0 {
			t.Errorf("%v comes after %v", p, before)
		}
		bracelets[p.Len()]++
		before = p
	}
	compared := 0
	table := figuretest.Table(t, "testdata/counting.tsv")
	for topic, counts := range map[string][13]int{
		"subsets": subsets, "necklaces (T_n classes)": necklaces,
		"aperiodic necklaces (12 distinct transpositions)": aperiodic, "bracelets (T_n/T_nI classes)": bracelets,
	} {
		total := 0
		for n, got := range counts {
			total += got
			for _, row := range table {
				item := strings.TrimPrefix(row["item"], "n=12 ")
				if row["topic"] == topic && item == fmt.Sprintf("k=%d", n) {
					compared++
					if row["value"] != strconv.Itoa(got) {
						t.Errorf("%s of %d: %d, want %s", topic, n, got, row["value"])
					}
				}
			}
		}
		for _, row := range table {
			if row["topic"] == topic && strings.HasSuffix(row["item"], "total") {
				compared++
				if row["value"] != strconv.Itoa(total) {
					t.Errorf("%s: %d, want %s", topic, total, row["value"])
				}
			}
		}
	}
	if compared != 4*14 {
		t.Errorf("%d numbers compared, want %d", compared, 4*14)
	}
}

// TestNormalFormsOfTheTwoAuthors counts the Tn classes whose normal form
// differs between the two rules: 17 of 352, as the head of
// testdata/set-classes.tsv says from the encyclopedic list it names.
func TestNormalFormsOfTheTwoAuthors(t *testing.T) {
	differ := map[Set]bool{}
	for s := range allSets() {
		list := plain(s)
		if len(list) == 0 {
			continue
		}
		forms := plainForms(list)[:len(list)] // the rotations, without inversions
		rahn := slices.MinFunc(forms, rahnLess)
		_, form := s.Normal()
		if got := plain(form); !slices.Equal(got, rahn) {
			t.Errorf("%v: %v, want %v", s, got, rahn)
		}
		if !slices.Equal(rahn, slices.MinFunc(forms, forteLess)) {
			differ[form] = true
		}
	}
	if len(differ) != 17 {
		t.Errorf("%d differ, want 17", len(differ))
	}
}

func TestLawPrimeForms(t *testing.T) {
	differ := map[Set]bool{}
	for s := range allSets() {
		rahn, forte := s.RahnPrime(), s.FortePrime()
		smallest := Aggregate
		for n := range 12 {
			for _, image := range []Set{s.T(n), s.I(n)} {
				smallest = min(smallest, image)
				if image.RahnPrime() != rahn || image.FortePrime() != forte {
					t.Errorf("the prime forms of %v and its image %v differ", s, image)
				}
			}
		}
		if rahn != smallest {
			t.Errorf("%v: Rahn's prime form is %v, the smallest image %v", s, rahn, smallest)
		}
		if got, want := plain(rahn), plainPrime(plain(s), rahnLess); !slices.Equal(got, want) {
			t.Errorf("%v after Rahn: %v, by definition %v", s, got, want)
		}
		if got, want := plain(forte), plainPrime(plain(s), forteLess); !slices.Equal(got, want) {
			t.Errorf("%v after Forte: %v, by definition %v", s, got, want)
		}
		if rahn != forte {
			differ[rahn] = true
		}
	}
	if len(differ) != 6 {
		t.Errorf("%d classes have two prime forms, want 6", len(differ))
	}
}

func TestLawVector(t *testing.T) {
	for s := range allSets() {
		v, n := s.Vector(), s.Len()
		sum := 0
		for k, want := range plainVector(plain(s)) {
			sum += v.Count(k + 1)
			if v.Count(k+1) != want {
				t.Errorf("%v: class %d %d times, by definition %d", s, k+1, v.Count(k+1), want)
			}
		}
		if sum != n*(n-1)/2 {
			t.Errorf("%v: %d intervals among %d notes", s, sum, n)
		}
	}
}

// TestLawComplementVector is the complement theorem: the count for each class
// differs by 12 − 2n, for the tritone by half that. (Common practice, no
// source; for six notes it is the hexachord theorem.)
func TestLawComplementVector(t *testing.T) {
	for s := range allSets() {
		v, w := s.Vector(), s.Complement().Vector()
		for class := 1; class <= 6; class++ {
			more := 12 - 2*s.Len()
			if class == 6 {
				more /= 2
			}
			if w.Count(class)-v.Count(class) != more {
				t.Errorf("%v has class %d %d times, its complement %d times", s, class, v.Count(class), w.Count(class))
			}
		}
		switch {
		case s.Complement().Complement() != s:
			t.Errorf("the complement of %v is %v: whose own is %v", s, s.Complement(), s.Complement().Complement())
		case s.Union(s.Complement()) != Aggregate:
			t.Errorf("the complement of %v is %v: together they are not all", s, s.Complement())
		case s.Intersection(s.Complement()) != 0:
			t.Errorf("the complement of %v is %v: they have notes in common", s, s.Complement())
		}
	}
}

// TestLawCommonTones is the common-tone rule: a set shares with itself n
// semitones away as many notes as its vector counts for n, twice that for the
// tritone (common practice, no source).
func TestLawCommonTones(t *testing.T) {
	for s := range allSets() {
		for n := -24; n <= 24; n++ {
			class := int(min(ClassOf(n), ClassOf(-n)))
			want := s.Len()
			if class > 0 {
				want = s.Vector().Count(class)
			}
			if class == 6 {
				want *= 2
			}
			if got := s.CommonTones(n); got != want {
				t.Errorf("%v and itself %d away share %d, want %d", s, n, got, want)
			}
		}
	}
}

func TestLawCombine(t *testing.T) {
	some := []Set{}
	for p := range SetClasses() {
		some = append(some, p.I(5))
	}
	for s := range allSets() {
		for _, u := range some {
			var union Set
			for c := range u.Classes() {
				for d := range s.Classes() {
					union |= 1 << ((c + d) % 12)
				}
			}
			if got := s.Combine(u); got != union || u.Combine(s) != got {
				t.Fatalf("%v and %v make %v or %v, by definition %v", s, u, got, u.Combine(s), union)
			}
			for _, w := range []Set{u.T(3) | 1, 0b1001, some[int(s)%len(some)]} {
				if s.Combine(u).Combine(w) != s.Combine(u.Combine(w)) {
					t.Fatalf("%v, %v and %v do not associate", s, u, w)
				}
			}
		}
		if s.Combine(1) != s || s.Combine(0) != 0 || s.Combine(Aggregate) != Aggregate && s != 0 {
			t.Errorf("%v with 0, with ∅ and with the aggregate: %v, %v, %v", s, s.Combine(1), s.Combine(0), s.Combine(Aggregate))
		}
		// Transposing one part transposes the whole.
		if s.T(5).Combine(0b10011) != s.Combine(0b10011).T(5) {
			t.Errorf("%v: transposition does not carry over", s)
		}
	}
}

// TestLawSetsMoveAsTheirClassesDo checks that T, I, Has, Len and Classes of all
// sets are what those of their classes make of them.
func TestLawSetsMoveAsTheirClassesDo(t *testing.T) {
	for s := range allSets() {
		classes := slices.Collect(s.Classes())
		switch {
		case SetOf(classes...) != s:
			t.Errorf("%v has the classes %v: they make %v", s, classes, SetOf(classes...))
		case len(classes) != s.Len():
			t.Errorf("%v has the classes %v: %d of them, want %d", s, classes, len(classes), s.Len())
		case !slices.IsSorted(classes):
			t.Errorf("%v has the classes %v: they are not in order", s, classes)
		}
		for n := -13; n <= 13; n++ {
			var moved, mirrored Set
			for _, c := range classes {
				moved, mirrored = moved|SetOf(c.T(n)), mirrored|SetOf(c.I(n))
			}
			if s.T(n) != moved || s.I(n) != mirrored {
				t.Errorf("T%d and I%[1]d of %v: %v and %v, want %v and %v", n, s, s.T(n), s.I(n), moved, mirrored)
			}
			k := ClassOf(n)
			if s.TSymmetry().Has(k) != (moved == s) || s.ISymmetry().Has(k) != (mirrored == s) {
				t.Errorf("%v: symmetries T %v and I %v", s, s.TSymmetry(), s.ISymmetry())
			}
		}
		if s.TSymmetry() > Aggregate || s.ISymmetry() > Aggregate {
			t.Errorf("%v: symmetries T %#x and I %#x", s, uint16(s.TSymmetry()), uint16(s.ISymmetry()))
		}
		normal := slices.Collect(s.NormalOrder())
		if SetOf(normal...) != s || len(normal) != s.Len() {
			t.Errorf("the normal order of %v is %v", s, normal)
		}
	}
}

// TestNormalOrder has examples with their reasons: a major triad, one whose
// span alone does not decide, and symmetrical sets, which begin on the lowest
// class.
func TestNormalOrder(t *testing.T) {
	for text, want := range map[string]string{
		"047": "[0 4 7]", "158": "[1 5 8]", "259": "[2 5 9]",
		"04E":  "[E 0 4]",
		"158E": "[5 8 E 1]", // spans of 8 from 5 and from 8; 5 8 E 1 is packed to the left
		"26T":  "[2 6 T]", "369": "[3 6 9]", "147T": "[1 4 7 T]", "": "[]",
	} {
		if got := fmt.Sprint(slices.Collect(MustParseSet(text).NormalOrder())); got != want {
			t.Errorf("%s: %s, want %s", text, got, want)
		}
	}
}

func TestBitsAboveElevenArePassedOver(t *testing.T) {
	for s := range allSets() {
		h := s | 0xF000
		switch {
		case h.Len() != s.Len():
			t.Errorf("%v with higher bits is another set: its length", s)
		case h.T(5) != s.T(5):
			t.Errorf("%v with higher bits is another set: transposed", s)
		case h.I(5) != s.I(5):
			t.Errorf("%v with higher bits is another set: inverted", s)
		case h.RahnPrime() != s.RahnPrime():
			t.Errorf("%v with higher bits is another set: Rahn's prime form", s)
		case h.FortePrime() != s.FortePrime():
			t.Errorf("%v with higher bits is another set: Forte's prime form", s)
		case h.Vector() != s.Vector():
			t.Errorf("%v with higher bits is another set: its vector", s)
		case h.Complement() != s.Complement():
			t.Errorf("%v with higher bits is another set: its complement", s)
		case h.TSymmetry() != s.TSymmetry():
			t.Errorf("%v with higher bits is another set: its transpositional symmetry", s)
		case h.ISymmetry() != s.ISymmetry():
			t.Errorf("%v with higher bits is another set: its inversional symmetry", s)
		case h.String() != s.String():
			t.Errorf("%v with higher bits is another set: its text", s)
		case h.Union(h) != s:
			t.Errorf("%v with higher bits is another set: its union with itself", s)
		case h.Intersection(h) != s:
			t.Errorf("%v with higher bits is another set: its intersection with itself", s)
		case h.Combine(9) != s.Combine(9):
			t.Errorf("%v with higher bits is another set: combined", s)
		case h.CommonTones(7) != s.CommonTones(7):
			t.Errorf("%v with higher bits is another set: its common tones", s)
		case h.Name() != s.Name():
			t.Errorf("%v with higher bits is another set: its name", s)
		case h.Small() != s.Small():
			t.Errorf("%v with higher bits is another set: its smaller part", s)
		case !slices.Equal(slices.Collect(h.NormalOrder()), slices.Collect(s.NormalOrder())):
			t.Errorf("%v with higher bits is another set: its normal order", s)
		}
	}
	if SetOf(12, 255) != SetOf(0, 3) || !SetOf(2).Has(14) {
		t.Error("a class above 11 is not reduced")
	}
}

func TestWalksStop(t *testing.T) {
	for range SetClasses() {
		break
	}
	for range Aggregate.Classes() {
		break
	}
	for range Aggregate.NormalOrder() {
		break
	}
}

func TestSetText(t *testing.T) {
	for s := range allSets() {
		text, _ := s.MarshalText()
		for _, form := range []string{string(text), s.String(), strings.ToLower(s.String())} {
			if got, err := ParseSet(form); err != nil || got != s {
				t.Errorf("%#x prints as %q and parses as %#x, %v", uint16(s), form, uint16(got), err)
			}
		}
	}
	if none, some := Set(0).String(), SetOf(3, 11).String(); none != "∅" || some != "3E" {
		t.Errorf("%q and %q", none, some)
	}
	if got, err := ParseSet("E7t0"); err != nil || got != SetOf(0, 7, 10, 11) {
		t.Errorf("in any order: %v, %v", got, err)
	}
	data, err := json.Marshal([]Set{0, SetOf(0, 10, 11)})
	if err != nil || string(data) != `["","0TE"]` {
		t.Errorf("%s, %v", data, err)
	}
	for text, at := range map[string]int{"0 3": 1, "033": 2, "∅0": 0, "0,3": 1, "03♭": 2, "abc": 0, strings.Repeat("01", 1<<20): 2} {
		s := Set(7)
		err := s.UnmarshalText([]byte(text))
		var pe *fault.SyntaxError
		switch {
		case !errors.As(err, &pe):
			t.Errorf("%.20q: %v, left %v: no such error", text, err, s)
		case pe.Input != text:
			t.Errorf("%.20q: %v, left %v: it quotes %.20q", text, err, s, pe.Input)
		case pe.At != at:
			t.Errorf("%.20q: %v, left %v: it is at %d, want %d", text, err, s, pe.At, at)
		case s != 7:
			t.Errorf("%.20q: %v, left %v: the set has changed", text, err, s)
		case len(err.Error()) > 250:
			t.Errorf("%.20q: %v, left %v: a long message", text, err, s)
		}
		if none, err := ParseSet(text); none != 0 || !strings.HasPrefix(err.Error(), "set of pitch classes ") {
			t.Errorf("%.20q: %v, %v", text, none, err)
		}
	}
	defer func() {
		if recover() == nil {
			t.Error("MustParseSet takes anything")
		}
	}()
	MustParseSet("X")
}

func TestParseForteRefuses(t *testing.T) {
	for text, at := range map[string]int{
		"": 0, "3": 0, "-1": 0, "13-1": 0, "x-1": 0, "3-": 2, "3-13": 2, "3-0": 2, "3-011": 2, "3-Z11": 2, "6-ZZ29": 2,
		"6-29Z": 2, "003-1": 0, "03-1": 0, "+3-1": 0, "3-+1": 2, "3-257": 2, "3-Z": 2, "6-51": 2, "12-2": 3,
	} {
		var pe *fault.SyntaxError
		switch s, err := ParseForte(text); {
		case !errors.As(err, &pe):
			t.Errorf("%q: %v, %v: no such error", text, s, err)
		case pe.Input != text:
			t.Errorf("%q: %v, %v: it quotes %q", text, s, err, pe.Input)
		case pe.At != at:
			t.Errorf("%q: %v, %v: it is at %d, want %d", text, s, err, pe.At, at)
		case s != 0:
			t.Errorf("%q: %v, %v: a set all the same", text, s, err)
		}
	}
}

// TestNames checks that no two names claim one set, that transpositions share a
// name, that some chords and scales have theirs (common practice, no source;
// package figure compares the scales with its own), and that the modes of
// limited transposition have as few transpositions as the groups of steps that
// they repeat make (computed here).
func TestNames(t *testing.T) {
	claimed := map[Set]string{}
	for _, a := range AllNamed() {
		_, form := a.Set.Normal()
		if other, ok := claimed[form]; ok {
			t.Errorf("%s and %s are the same notes", a.Name, other)
		}
		claimed[form] = a.Name
		for n := range 12 {
			if got := a.Set.T(n).Name(); got != a.Name {
				t.Errorf("%v is called %q, want %q", a.Set.T(n), got, a.Name)
			}
		}
	}
	for text, want := range map[string]string{
		"02468T": "whole-tone", "0369": "diminished seventh chord", "048": "augmented triad", "06": "tritone",
		"0134679T": "octatonic", "03478E": "hexatonic", "0": "", "": "", "013": "",
		"37T": "major triad", "147": "diminished triad", "047T": "dominant seventh chord", "2479": "suspended seventh chord",
		"024579E": "diatonic", "013568T": "diatonic", "0123456789TE": "chromatic",
	} {
		if got := MustParseSet(text).Name(); got != want {
			t.Errorf("%s is called %q, want %q", text, got, want)
		}
	}
	for text, want := range map[string]int{
		"02468T": 2, "0134679T": 3, "0234678TE": 4, "0125678E": 6, "01567E": 6, "024568TE": 6, "012356789E": 6,
	} {
		s := MustParseSet(text)
		if got := 12 / s.TSymmetry().Len(); got != want || s.Name() == "" {
			t.Errorf("%s (%s) has %d transpositions, want %d", text, s.Name(), got, want)
		}
	}
}

// TestLawRoots: on a root of its own a set is the chord or scale of the table,
// counted from there; and a transposed set has its roots transposed. All 4096.
func TestLawRoots(t *testing.T) {
	for s := range allSets() {
		roots := s.Roots()
		rooted := false
		for _, n := range AllNamed() {
			if n.Rooted && n.Name == s.Name() {
				rooted = true
				for c := range Class(12) {
					if stands := n.Set.T(int(c)) == s; stands != (roots&SetOf(c) != 0) {
						t.Fatalf("%v is the %s on %v, and its roots are %v", s, n.Name, c, roots)
					}
				}
			}
		}
		if rooted != (roots != 0) || s.T(5).Roots() != roots.T(5) {
			t.Fatalf("%v, %q: roots %v, and of %v %v", s, s.Name(), roots, s.T(5), s.T(5).Roots())
		}
	}
	// Common practice, no source.
	for text, want := range map[string]string{
		"0479": "9", "027": "7", "024679T": "7", "047": "0", "047T": "0", "35790": "5", "0369": "0369", "048": "048",
		"046T": "06", "0134679T": "", "07": "", "02479": "", "024579E": "", "0357TE": "", "0245": "0", "579T": "5",
	} {
		if got := MustParseSet(text).Roots().String(); got != MustParseSet(want).String() {
			t.Errorf("%s: roots %s, want %s", text, got, want)
		}
	}
}

func TestVectorText(t *testing.T) {
	v := Vector(0x0FDCBA)
	if got := v.String(); got != "TEC??0" {
		t.Errorf("%s", got)
	}
	if all := ^Vector(0); all.Count(0) != 0 || all.Count(7) != 0 || all.Count(6) != 15 {
		t.Errorf("%d %d %d", all.Count(0), all.Count(7), all.Count(6))
	}
	if v.Count(0) != 0 || v.Count(7) != 0 || v.Count(-1<<31) != 0 || v.Count(3) != 12 {
		t.Errorf("%d %d %d", v.Count(0), v.Count(7), v.Count(3))
	}
}

var sink struct {
	set    Set
	vector Vector
	n      int
	list   []int
}

func TestSetDoesNotAllocate(t *testing.T) {
	buf := make([]byte, 0, 16)
	if n := testing.AllocsPerRun(10, func() {
		for s := range allSets() {
			sink.set = s.RahnPrime() ^ s.FortePrime() ^ s.T(3) ^ s.I(4) ^ s.TSymmetry() ^ s.ISymmetry() ^ s.Combine(145)
			sink.vector = s.Vector()
			sink.n = len(s.Name()) + s.Roots().Len() + s.CommonTones(3)
			for c := range s.NormalOrder() {
				sink.set ^= 1 << c
			}
			for c := range s.Classes() {
				sink.set ^= 1 << c
			}
			buf, _ = s.AppendText(buf[:0])
		}
	}); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

// The benchmarks do all 4096 sets: BenchmarkRahnPrime, BenchmarkFortePrime and
// BenchmarkVector as bits, and each beside it as a sorted slice, which is made
// once, before the clock starts.

func benchmarkBits(b *testing.B, do func(Set)) {
	b.ReportAllocs()
	for range b.N {
		for s := range Aggregate + 1 {
			do(s)
		}
	}
}

func benchmarkPlain(b *testing.B, do func([]int)) {
	var lists [][]int
	for s := range allSets() {
		lists = append(lists, plain(s))
	}
	b.ReportAllocs()
	b.ResetTimer()
	for range b.N {
		for _, list := range lists {
			do(list)
		}
	}
}

func BenchmarkRahnPrime(b *testing.B) {
	benchmarkBits(b, func(s Set) { sink.set = s.RahnPrime() })
}

func BenchmarkRahnPrimePlain(b *testing.B) {
	benchmarkPlain(b, func(list []int) { sink.list = plainPrime(list, rahnLess) })
}

func BenchmarkFortePrime(b *testing.B) {
	benchmarkBits(b, func(s Set) { sink.set = s.FortePrime() })
}

func BenchmarkFortePrimePlain(b *testing.B) {
	benchmarkPlain(b, func(list []int) { sink.list = plainPrime(list, forteLess) })
}

func BenchmarkVector(b *testing.B) {
	benchmarkBits(b, func(s Set) { sink.vector = s.Vector() })
}

func BenchmarkVectorPlain(b *testing.B) {
	benchmarkPlain(b, func(list []int) { sink.list = plainVector(list) })
}

func FuzzParseSet(f *testing.F) {
	for _, s := range []string{"0369", "TE", "te", "∅", "", "00", "0 3"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, err := ParseSet(text)
		if err != nil {
			return
		}
		if again, err := ParseSet(s.String()); err != nil || again != s || s > Aggregate {
			t.Errorf("%q parses as %v, that as %v, %v", text, s, again, err)
		}
	})
}

func FuzzParseForte(f *testing.F) {
	for _, s := range []string{"3-11", "6-Z29", "6-z29", "0-1", "12-1", "7-38", "3-Z1"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, err := ParseForte(text)
		if err != nil {
			return
		}
		if name := s.ForteNumber(); s.RahnPrime() != s || !strings.EqualFold(strings.Replace(name, "Z", "", 1), strings.Replace(strings.ToUpper(text), "Z", "", 1)) {
			t.Errorf("%q parses as %v, which is %s", text, s, name)
		}
	})
}

// BenchmarkName names all 4096 sets, BenchmarkForteNumber gives their numbers.
func BenchmarkName(b *testing.B) {
	for range b.N {
		for s := range allSets() {
			s.Name()
		}
	}
}

func BenchmarkForteNumber(b *testing.B) {
	for range b.N {
		for s := range allSets() {
			s.ForteNumber()
		}
	}
}

// TestLawSubsets: a set is a subset of another where each of its classes is in
// it, so where the two together are the other, and what they share is the set.
func TestLawSubsets(t *testing.T) {
	for a := range Aggregate + 1 {
		for b := Set(0); b <= Aggregate; b += 13 {
			all := true
			for c := range Class(12) {
				all = all && (!a.Has(c) || b.Has(c))
			}
			if got := a.IsSubsetOf(b); got != all || got != (a.Union(b) == b) || got != (a.Intersection(b) == a) {
				t.Fatalf("%v in %v: %v", a, b, got)
			}
		}
	}
	if !Set(0).IsSubsetOf(0) || !Aggregate.IsSubsetOf(Aggregate) || Aggregate.IsSubsetOf(0) || !Set(0xf000).IsSubsetOf(0) {
		t.Error("the smallest and the largest set")
	}
}
