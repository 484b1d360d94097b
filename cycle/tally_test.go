package cycle_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"testing"

	. "example.com/keyorder/cycle"
	"example.com/keyorder/figure/figuretest"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func anyMove() *rapid.Generator[Move] {
	return drawn(func(draw figuretest.Draw) Move { return Move{figuretest.Class(draw), figuretest.Class(draw)} })
}

// anyMoves draws counts, some of them at and near MaxCount.
func anyMoves() *rapid.Generator[Tally] {
	return rapid.Custom(func(t *rapid.T) Tally {
		var m Tally
		for _, mv := range rapid.SliceOfN(anyMove(), 0, 60).Draw(t, "moves") {
			m.AddTimes(mv, rapid.OneOf(rapid.Uint32Range(1, 9), rapid.Uint32Range(MaxCount-9, MaxCount)).Draw(t, "times"))
		}
		return m
	})
}

// TestLawMovesCountAsAMapDoes keeps a map beside the counts.
func TestLawMovesCountAsAMapDoes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		made := rapid.SliceOfN(anyMove(), 0, 300).Draw(t, "moves")
		var one, all Tally
		want := map[Move]int{}
		for _, mv := range made {
			one.Add(mv)
			if mv.From != mv.To {
				want[mv]++
			}
		}
		all.AddAll(slices.Values(made))
		if one != all {
			t.Fatalf("one by one %v, together %v", one, all)
		}
		total := 0
		var missing []Move
		for from := range pitch.Class(12) {
			for to := range pitch.Class(12) {
				mv := Move{from, to}
				total += want[mv]
				if one.Count(mv) != want[mv] || one.Count(Move{from + 12, to + 24}) != want[mv] {
					t.Fatalf("%v counted %d times, want %d", mv, one.Count(mv), want[mv])
				}
				if from != to && want[mv] == 0 {
					missing = append(missing, mv)
				}
			}
		}
		if one.Total() != total || one.Made() != len(want) || !slices.Equal(slices.Collect(one.Missing()), missing) {
			t.Fatalf("%v: total %d of %d, made %d of %d, missing %v, want %v", one, one.Total(), total, one.Made(), len(want), slices.Collect(one.Missing()), missing)
		}
		if len(want)+len(missing) != 132 {
			t.Fatalf("%d made and %d missing", len(want), len(missing))
		}
	})
}

func TestLawMergeAddsInAnyOrder(t *testing.T) {
	merge := func(ms ...Tally) (sum Tally) {
		for _, m := range ms {
			sum.Merge(m)
		}
		return sum
	}
	rapid.Check(t, func(t *rapid.T) {
		a, b, c := anyMoves().Draw(t, "a"), anyMoves().Draw(t, "b"), anyMoves().Draw(t, "c")
		switch {
		case merge(a, b) != merge(b, a):
			t.Fatalf("merging depends on the order: %v, %v, %v: of two", a, b, c)
		case merge(merge(a, b), c) != merge(a, merge(b, c)):
			t.Fatalf("merging depends on the order: %v, %v, %v: of three", a, b, c)
		case merge(a, Tally{}) != a:
			t.Fatalf("merging depends on the order: %v, %v, %v: with none it is another", a, b, c)
		}
		for from := range pitch.Class(12) {
			for to := range pitch.Class(12) {
				mv := Move{from, to}
				if got, want := merge(a, b).Count(mv), min(a.Count(mv)+b.Count(mv), MaxCount); got != want {
					t.Fatalf("%v: %d, want %d", mv, got, want)
				}
			}
		}
	})
}

func TestMovesStopAtMaxCount(t *testing.T) {
	var m Tally
	for from := range pitch.Class(12) {
		for to := range pitch.Class(12) {
			m.AddTimes(Move{from, to}, MaxCount-1)
			m.Add(Move{from, to})
			m.Add(Move{from, to})
		}
	}
	m.Merge(m)
	if m.Count(Move{3, 4}) != MaxCount || m.Count(Move{3, 3}) != 0 || m.Total() != 132*MaxCount || m.Total() > math.MaxInt32 {
		t.Errorf("%d, %d, %d", m.Count(Move{3, 4}), m.Count(Move{3, 3}), m.Total())
	}
}

// plainEntropy is Shannon's definition, −Σ p·log₂ p (Shannon 1948).
func plainEntropy(counts map[int]int) float64 {
	total := 0
	for _, n := range counts {
		total += n
	}
	bits := 0.0
	for _, k := range slices.Sorted(maps.Keys(counts)) {
		p := float64(counts[k]) / float64(total)
		bits -= p * math.Log(p) / math.Ln2
	}
	return bits
}

func TestLawEntropyIsShannons(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := anyMoves().Draw(t, "moves")
		keys, intervals := map[int]int{}, map[int]int{}
		for from := range pitch.Class(12) {
			for to := range pitch.Class(12) {
				if n := m.Count(Move{from, to}); n > 0 {
					keys[int(to)] += n
					intervals[(int(to)-int(from)+12)%12] += n
				}
			}
		}
		if got, want := m.KeyEntropy(), plainEntropy(keys); math.Abs(got-want) > 1e-12 || got < 0 || got > MaxKeyEntropy {
			t.Fatalf("over keys %v, want %v", got, want)
		}
		if got, want := m.IntervalEntropy(), plainEntropy(intervals); math.Abs(got-want) > 1e-12 || got < 0 || got > MaxIntervalEntropy {
			t.Fatalf("over intervals %v, want %v", got, want)
		}
	})
}

// TestEntropyOfKnownCases takes cases whose entropy is plain by the definition:
// n kinds equally often have log₂ n bits.
func TestEntropyOfKnownCases(t *testing.T) {
	if math.Abs(MaxKeyEntropy-math.Log2(12)) > 1e-15 || math.Abs(MaxIntervalEntropy-math.Log2(11)) > 1e-15 {
		t.Errorf("the maxima are %v and %v", math.Log2(12), math.Log2(11))
	}
	for name, c := range map[string]struct {
		route           Route
		keys, intervals float64
	}{
		"nothing":                  {Route{}, 0, 0},
		"one move":                 {mustRoute("05"), 0, 0},
		"there and back, a fourth": {mustRoute("(05)"), 1, 1},
		"a tritone and back":       {mustRoute("(06)"), 1, 0},
		"fourths, closed":          {By(interval.PerfectFourth).Closed(), math.Log2(12), 0},
		"fourths, open":            {By(interval.PerfectFourth).Open(), math.Log2(11), 0},
		"the wedge, open":          {Wedge().Open(), math.Log2(11), math.Log2(11)},
		"every move":               {EveryMove(0), math.Log2(12), math.Log2(11)},
	} {
		var m Tally
		m.AddAll(c.route.Moves())
		switch keys, intervals := m.KeyEntropy(), m.IntervalEntropy(); {
		case math.Abs(keys-c.keys) > 1e-12:
			t.Errorf("%s: %v and %v bits, want %v and %v: over keys", name, keys, intervals, c.keys, c.intervals)
		case math.Abs(intervals-c.intervals) > 1e-12:
			t.Errorf("%s: %v and %v bits, want %v and %v: over intervals", name, keys, intervals, c.keys, c.intervals)
		case math.Signbit(keys):
			t.Errorf("%s: %v and %v bits, want %v and %v: over keys it is minus nothing", name, keys, intervals, c.keys, c.intervals)
		case math.Signbit(intervals):
			t.Errorf("%s: %v and %v bits, want %v and %v: over intervals it is minus nothing", name, keys, intervals, c.keys, c.intervals)
		case keys > MaxKeyEntropy:
			t.Errorf("%s: %v and %v bits, want %v and %v: over keys it is beyond the maximum", name, keys, intervals, c.keys, c.intervals)
		case intervals > MaxIntervalEntropy:
			t.Errorf("%s: %v and %v bits, want %v and %v: over intervals it is beyond the maximum", name, keys, intervals, c.keys, c.intervals)
		}
	}
}

// TestEntropyStopsAtItsMaximum takes counts that rounding takes above it: eleven
// moves to every key, in all about this often.
func TestEntropyStopsAtItsMaximum(t *testing.T) {
	var m Tally
	counts := [12]uint32{97148438, 97148436, 97148438, 97148437, 97148437, 97148438, 97148438, 97148438, 97148438, 97148436, 97148438, 97148436}
	for to, n := range counts {
		for up := range uint32(11) {
			m.AddTimes(Move{pitch.Class(to).T(-1 - int(up)), pitch.Class(to)}, (n+up)/11) // n in all
		}
	}
	if got := m.KeyEntropy(); m.Total() != 1165781248 || got != MaxKeyEntropy {
		t.Errorf("%v bits for %d moves, want %v", got, m.Total(), MaxKeyEntropy)
	}
}

func mustRoute(s string) Route {
	r, err := ParseRoute(s)
	if err != nil {
		panic(err)
	}
	return r
}

// freshness counts, for every count that a move can have, how many different
// moves of the route have it: the measure as the doc of Freshest states it.
func freshness(made Tally, r Route) map[int]int {
	moves := map[Move]bool{}
	for mv := range r.Moves() {
		if mv.From != mv.To {
			moves[mv] = true
		}
	}
	levels := map[int]int{}
	for mv := range moves {
		levels[made.Count(mv)]++
	}
	return levels
}

func TestLawFreshestMakesMostOfTheLeastMade(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var made Tally
		for _, mv := range rapid.SliceOfN(anyMove(), 0, 200).Draw(t, "made") {
			made.Add(mv)
		}
		candidates := rapid.SliceOfN(anyRoute(), 0, 8).Draw(t, "candidates")
		if rapid.Bool().Draw(t, "with equals") {
			candidates = append(candidates, candidates...)
		}
		best := -1
		for n, r := range candidates {
			if best < 0 {
				best = n
				continue
			}
			a, b := freshness(made, r), freshness(made, candidates[best])
			for level := range 201 {
				if a[level] != b[level] {
					if a[level] > b[level] {
						best = n
					}
					break
				}
			}
		}
		if got := Freshest(made, candidates...); got != best || got != Freshest(made, candidates...) {
			t.Fatalf("the freshest of %v is %d, want %d", candidates, got, best)
		}
	})
}

func TestFreshest(t *testing.T) {
	fourths, fifths, thirds := By(interval.PerfectFourth), By(interval.PerfectFifth), By(interval.MinorThird)
	var made Tally
	made.AddAll(fourths.Moves(true))
	made.AddAll(fourths.Moves(true))
	made.AddAll(fifths.Moves(true))
	for _, c := range []struct {
		candidates []Route
		want       int
	}{
		{nil, -1},
		{[]Route{fourths.Closed(), fifths.Closed(), thirds.Closed()}, 2},
		{[]Route{fourths.Closed(), fifths.Closed()}, 1},                      // neither has a move never made
		{[]Route{thirds.Open(), thirds.Closed()}, 1},                         // 9 new moves or 12
		{[]Route{thirds.Closed(), thirds.Reverse().Closed()}, 0},             // equal: the first
		{[]Route{thirds.Reverse().Closed(), thirds.Closed()}, 0},             // equal: the first
		{[]Route{mustRoute("030303030303"), mustRoute("(036)")}, 1},          // different moves count, 2 and 3
		{[]Route{mustRoute("0306"), mustRoute("(036)/05T")}, 1},              // 3 each of the new ones, and 2 more
		{[]Route{mustRoute("(03)/05"), mustRoute("(03)/7"), {}}, 0},          // made twice, or not at all
		{[]Route{{}, mustRoute("00")}, 0},                                    // staying is no move
		{[]Route{Wedge().Open(), BySignature().Open(), Wedge().Closed()}, 2}, // the closing tritone is new
	} {
		if got := Freshest(made, c.candidates...); got != c.want {
			t.Errorf("%v: %d, want %d", c.candidates, got, c.want)
		}
	}
	// Taking the freshest of the eleven orders every day makes every move in
	// eleven days, by the 132-moves theorem.
	var candidates []Route
	for _, s := range byName {
		candidates = append(candidates, By(s).Closed())
	}
	var m Tally
	for range 11 {
		m.AddAll(candidates[Freshest(m, candidates...)].Moves())
	}
	if m.Made() != 132 || m.Total() != 132 {
		t.Errorf("%d moves, %d different", m.Total(), m.Made())
	}
}

func TestLawMovesFormatThenParse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := anyMoves().Draw(t, "moves")
		text, err := json.Marshal(m)
		var back Tally
		if err != nil || json.Unmarshal(text, &back) != nil || back != m {
			t.Fatalf("%v prints as %s and parses as %v, %v", m, text, back, err)
		}
	})
}

func parseTally(s string) (m Tally, err error) {
	err = m.UnmarshalText([]byte(s))
	return m, err
}

func TestMovesText(t *testing.T) {
	m, err := parseTally("TE:10000000 05 50:2 05:3 te")
	if err != nil || m.String() != "05:4 50:2 TE:10000000" {
		t.Errorf("%v, %v", m, err)
	}
	if m, err := parseTally("0E 01 05:3"); err != nil || m.String() != "01 05:3 0E" { // the doc's example
		t.Errorf("%v, %v", m, err)
	}
	if m, err := parseTally(""); err != nil || m != (Tally{}) || m.String() != "" {
		t.Errorf("%v, %v", m, err)
	}
	if text, err := m.AppendText([]byte("moves ")); err != nil || string(text) != "moves 05:4 50:2 TE:10000000" {
		t.Errorf("%s, %v", text, err)
	}
	for text, want := range map[string]string{
		" ":              `moves " ": a move is two different keys`,
		"05 ":            `moves "05 " at character 4: a move is two different keys`,
		"05  50":         `moves "05  50" at character 4: a move is two different keys`,
		"05 55":          `moves "05 55" at character 4: a move is two different keys`,
		"05 5":           `moves "05 5" at character 4: a move is two different keys`,
		"0é":             `moves "0é": a move is two different keys`,
		"05:":            `moves "05:" at character 4: a move was made 1 to 10000000 times`,
		"T5 05:0":        `moves "T5 05:0" at character 7: a move was made 1 to 10000000 times`,
		"05:10000001":    `moves "05:10000001" at character 4: a move was made`,
		"05:99999999999": `moves "05:99999999999" at character 4: a move was made`,
		"05:-1":          `moves "05:-1" at character 4: a move was made`,
		"05:1:2":         `moves "05:1:2" at character 4: a move was made`,
	} {
		was := m
		err := m.UnmarshalText([]byte(text))
		var e *fault.SyntaxError
		switch {
		case !errors.As(err, &e):
			t.Errorf("%q: %v\nwant %s…: no such error", text, err, want)
		case !strings.HasPrefix(fmt.Sprint(err), want):
			t.Errorf("%q: %v\nwant %s…: other words", text, err, want)
		case m != was:
			t.Errorf("%q: %v\nwant %s…: the moves have changed", text, err, want)
		}
	}
}

func TestMovesZeroValue(t *testing.T) {
	var m Tally
	switch {
	case m.Total() != 0:
		t.Errorf("the zero value has counted moves: %d in all", m.Total())
	case m.Made() != 0:
		t.Errorf("the zero value has counted moves: %d different", m.Made())
	case m.KeyEntropy() != 0:
		t.Errorf("the zero value has counted moves: %v bits over keys", m.KeyEntropy())
	case m.IntervalEntropy() != 0:
		t.Errorf("the zero value has counted moves: %v bits over intervals", m.IntervalEntropy())
	case len(slices.Collect(m.Missing())) != 132:
		t.Error("the zero value has counted moves: not all are missing")
	}
	var first []Move
	for mv := range m.Missing() {
		if first = append(first, mv); len(first) == 3 {
			break
		}
	}
	if diff := cmp.Diff([]Move{{0, 1}, {0, 2}, {0, 3}}, first); diff != "" {
		t.Error(diff)
	}
}

func FuzzTally(f *testing.F) {
	for _, s := range []string{"", "01 05:3 0E", "TE:10000000 te", "05:0", "00", "05  50", "05:"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		m, err := parseTally(s)
		if err != nil {
			return
		}
		if again, err := parseTally(m.String()); err != nil || again != m {
			t.Errorf("%q parses as %v, that as %v, %v", s, m, again, err)
		}
	})
}
