package cycle_test

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
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

// byName is the step of each of the eleven orders, 1 to 11 semitones up.
var byName = figuretest.Steps()

func gcd(a, b int) int {
	if b == 0 {
		return a
	}
	return gcd(b, a%b)
}

// everyOrder is the eleven orders from all twelve keys, all patterns of two
// steps that make an order, and the unison.
func everyOrder() []Order {
	var all []Order
	for _, s := range append(byName, interval.PerfectUnison) {
		for k := range pitch.Class(12) {
			all = append(all, By(s).From(k), By(-s).From(k))
		}
	}
	for _, a := range byName {
		for _, b := range byName {
			if o, err := Alternate(a, b); err == nil {
				all = append(all, o)
			}
		}
	}
	return all
}

// drawn draws what a func of figuretest makes.
func drawn[V any](gen func(figuretest.Draw) V) *rapid.Generator[V] {
	return rapid.Custom(func(t *rapid.T) V {
		return gen(func(n int) int { return rapid.IntRange(0, n-1).Draw(t, "n") })
	})
}

// anyRoute draws routes of up to 120 keys, and the empty one.
func anyRoute() *rapid.Generator[Route] {
	return rapid.OneOf(drawn(func(draw figuretest.Draw) Route { return figuretest.Route(draw, 6, 20) }), rapid.Just(Route{}))
}

func TestLawEveryOrderCoversAllTwelveOnce(t *testing.T) {
	check := func(t interface{ Fatalf(string, ...any) }, o Order) {
		var times [12]int
		n := 0
		for _, k := range o.Run(false) {
			times[k]++
			n++
		}
		for k, c := range times {
			if c != 1 {
				t.Fatalf("%v plays key %d %d times", o, k, c)
			}
		}
		closed, alone := 0, 0
		for range o.Run(true) {
			closed++
		}
		for c := range o.Cycles() {
			if len(o.Cycle(c)) == 1 {
				alone++
			}
		}
		for _, back := range []bool{false, true} {
			at := 0
			played := make([][]pitch.Class, o.Cycles())
			for c, k := range o.Run(back) {
				if c != at && c != at+1 || c >= len(played) {
					t.Fatalf("%v plays cycle %d after cycle %d", o, c, at)
				}
				at = c
				played[c] = append(played[c], k)
			}
			for c, keys := range played {
				want := o.Cycle(c)
				if back && len(want) > 1 {
					want = append(want, want[0])
				}
				if !slices.Equal(keys, want) {
					t.Fatalf("cycle %d of %v is played as %v, want %v", c, o, keys, want)
				}
			}
		}
		if n != 12 || closed != 12+o.Cycles()-alone {
			t.Fatalf("%v has %d keys open, %d closed", o, n, closed)
		}
		if o.Open().Len() != n || o.Closed().Len() != closed {
			t.Fatalf("the routes of %v play %d and %d", o, o.Open().Len(), o.Closed().Len())
		}
	}
	for _, o := range everyOrder() {
		check(t, o)
		check(t, o.Reverse())
		check(t, o.Retrograde())
	}
	rapid.Check(t, func(t *rapid.T) { check(t, drawn(figuretest.Order).Draw(t, "order")) })
}

func TestLawCyclesByGCD(t *testing.T) {
	for s := -30; s <= 30; s++ {
		o := By(interval.Of(0, s))
		g := gcd(max(s, -s), 12)
		if o.Cycles() != g {
			t.Errorf("step %d: %d cycles, want %d", s, o.Cycles(), g)
		}
		for c := range o.Cycles() {
			if len(o.Cycle(c)) != 12/g {
				t.Errorf("step %d: cycle %v, want %d keys", s, o.Cycle(c), 12/g)
			}
		}
	}
}

func TestLawOneMoreStepClosesTheCycle(t *testing.T) {
	for _, s := range byName {
		for _, step := range []interval.Interval{s, -s} {
			for k := range pitch.Class(12) {
				o := By(step).From(k)
				for c := range o.Cycles() {
					keys := o.Cycle(c)
					if got := keys[len(keys)-1].T(step.Semitones()); got != keys[0] {
						t.Errorf("%v: cycle %v goes on to %v", o, keys, got)
					}
				}
			}
		}
	}
}

func TestLawAnOctaveMoreIsTheSameOrder(t *testing.T) {
	for _, s := range append(byName, interval.PerfectUnison) {
		switch {
		case By(s) != By(s+interval.Octave):
			t.Errorf("%v: an octave more makes another order", s)
		case By(-s) != By(-s-interval.Octave):
			t.Errorf("%v: downward an octave more makes another order", s)
		case By(s) != By(s-2*interval.Octave):
			t.Errorf("%v: two octaves less make another order", s)
		}
		// and the inversion downward
		if By(s) != By(-s.Inversion()) {
			t.Errorf("%v up is not %v down", s, s.Inversion())
		}
	}
}

func TestLawDownIsUpReversed(t *testing.T) {
	for _, s := range byName {
		up, down := By(s), By(-s)
		if up.Reverse() != down {
			t.Errorf("%v reversed is %v, by %v down %v", up, up.Reverse(), s, down)
		}
		for c := range up.Cycles() {
			a, b := up.Cycle(c), down.Cycle(c)
			if a[0] != b[0] {
				t.Errorf("by %v: cycle %d begins on %v up, on %v down", s, c, a[0], b[0])
			}
			slices.Reverse(a[1:])
			if !slices.Equal(a, b) {
				t.Errorf("by %v: cycle %d reversed is %v, down %v", s, c, a, b)
			}
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		o := drawn(figuretest.Order).Draw(t, "order")
		if o.Reverse().Reverse() != o || o.Retrograde().Retrograde() != o {
			t.Fatalf("%v reversed twice is %v, retrograde twice %v", o, o.Reverse().Reverse(), o.Retrograde().Retrograde())
		}
		forward := map[Move]int{}
		for m := range o.Moves(true) {
			forward[m]++
		}
		for m := range o.Reverse().Moves(true) {
			forward[Move{m.To, m.From}]--
		}
		for m, n := range forward {
			if n != 0 {
				t.Fatalf("%v and its reverse differ in %v", o, m)
			}
		}
		keys, back := o.Keys(), o.Retrograde().Keys()
		slices.Reverse(back[:])
		if keys != back {
			t.Fatalf("%v backward is %v", o, o.Retrograde())
		}
	})
}

// TestLawElevenOrdersMake132Moves is the theorem that makes the method
// complete. The counts 132, 160 and 104 are computed, in elementary group
// theory: a move is a difference of 1 to 11 from one of 12 keys.
func TestLawElevenOrdersMake132Moves(t *testing.T) {
	for k := range pitch.Class(12) {
		closed, open := map[Move]int{}, map[Move]int{}
		statements := 0
		for _, s := range byName {
			o := By(s).From(k)
			for range o.Run(true) {
				statements++
			}
			for m := range o.Moves(true) {
				closed[m]++
				if m.Semitones() != s.Semitones() {
					t.Errorf("by %v makes the move %v", s, m)
				}
			}
			for m := range o.Moves(false) {
				open[m]++
			}
		}
		for from := range pitch.Class(12) {
			for to := range pitch.Class(12) {
				want := 1
				if from == to {
					want = 0
				}
				if n := closed[Move{from, to}]; n != want {
					t.Errorf("from %v to %v: %d times", from, to, n)
				}
			}
		}
		if len(closed) != 132 || statements != 160 || len(open) != 104 {
			t.Errorf("%d moves closed, %d statements, %d moves open", len(closed), statements, len(open))
		}
	}
}

// lengths returns how many keys each cycle of an order has.
func lengths(o Order) (keys []int) {
	for n := range o.Cycles() {
		keys = append(keys, len(o.Cycle(n)))
	}
	return keys
}

func TestLawFromIsATransposition(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		o := drawn(figuretest.Order).Draw(t, "order")
		k := pitch.Class(rapid.IntRange(0, 11).Draw(t, "key"))
		f := o.From(k)
		switch {
		case f.Keys()[0] != k:
			t.Fatalf("%v from %v is %v: its first key is another", o, k, f)
		case f.From(o.Keys()[0]) != o:
			t.Fatalf("%v from %v is %v: from its first key again it is another", o, k, f)
		case !slices.Equal(lengths(f), lengths(o)):
			t.Fatalf("%v from %v is %v: its cycles have %v keys, want %v", o, k, f, lengths(f), lengths(o))
		}
	})
}

func TestLawFormatThenParse(t *testing.T) {
	check := func(t interface{ Fatalf(string, ...any) }, o Order) {
		var back Order
		text, err := o.MarshalText()
		switch {
		case err != nil:
			t.Fatalf("%v prints as %s and parses as %v: no text", o, text, back)
		case back.UnmarshalText(text) != nil:
			t.Fatalf("%v prints as %s and parses as %v: the text is not read", o, text, back)
		case back != o:
			t.Fatalf("%v prints as %s and parses as %v: it is another", o, text, back)
		case MustParse(o.String()) != o:
			t.Fatalf("%v prints as %s and parses as %v: String does not parse as it", o, text, back)
		}
	}
	for _, o := range everyOrder() {
		check(t, o)
	}
	rapid.Check(t, func(t *rapid.T) { check(t, drawn(figuretest.Order).Draw(t, "order")) })
	for _, s := range byName {
		if MustParse(s.String()) != By(s) || MustParse("-"+s.String()) != By(-s) {
			t.Errorf("%v is not By(%v)", MustParse(s.String()), s)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		r := anyRoute().Draw(t, "route")
		text, _ := r.MarshalText()
		var back Route
		if err := back.UnmarshalText(text); err != nil || !back.Equal(r) {
			t.Fatalf("%v parses as %v, %v", r, back, err)
		}
	})
}

func TestLawARouteIsItsSections(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := anyRoute().Draw(t, "route")
		again, err := NewRoute(slices.Collect(r.Sections())...)
		if err != nil || !again.Equal(r) {
			t.Fatalf("%v from its sections is %v, %v", r, again, err)
		}
		statements, moves := 0, 0
		for s := range r.Sections() {
			n := len(s.Keys)
			if s.Closed && n > 1 {
				n++
			}
			statements += n
			moves += n - 1
		}
		got := 0
		for range r.Moves() {
			got++
		}
		if r.Len() != statements || got != moves {
			t.Fatalf("%v: %d statements, %d moves; want %d, %d", r, r.Len(), got, statements, moves)
		}
		// any difference is one
		here, other := r, slices.Collect(r.Sections())
		if len(other) > 0 {
			s := &other[rapid.IntRange(0, len(other)-1).Draw(t, "section")]
			switch rapid.IntRange(0, 3).Draw(t, "change") {
			case 0:
				s.Closed = !s.Closed
			case 1:
				k := &s.Keys[rapid.IntRange(0, len(s.Keys)-1).Draw(t, "place")]
				*k = k.T(rapid.IntRange(1, 11).Draw(t, "by"))
			case 2:
				s.Keys = append(s.Keys, 0)
			case 3: // the same keys, cut elsewhere
				s.Keys = append(s.Keys, 0)
				here, _ = Concat(r, mustRoute("0"))
			}
			if o, err := NewRoute(other...); err != nil || o.Equal(here) || here.Equal(o) {
				t.Fatalf("%v and %v are equal, %v", here, o, err)
			}
		}
		twice, err := Concat(r, r)
		switch {
		case err != nil:
			t.Fatalf("joined: %v, %v: an error", twice, err)
		case twice.Len() != 2*statements:
			t.Fatalf("joined: %v, %v: %d statements, want %d", twice, err, twice.Len(), 2*statements)
		case !slices.EqualFunc(slices.Collect(twice.Sections()), slices.Repeat(slices.Collect(r.Sections()), 2), func(a, b Section) bool { return slices.Equal(a.Keys, b.Keys) && a.Closed == b.Closed }):
			t.Fatalf("joined: %v, %v: the sections are others", twice, err)
		}
	})
}

// TestTableCycles checks the cycle rows of testdata/counting.tsv ("cycles of
// x -> x+k mod 12" and the generators), computed, with the source in the rows.
func TestTableCycles(t *testing.T) {
	rows := 0
	for _, c := range figuretest.Table(t, "testdata/counting.tsv") {
		switch c["topic"] {
		case "cycles of x -> x+k mod 12":
			rows++
			k, _ := strconv.Atoi(strings.TrimPrefix(c["item"], "k="))
			o := By(interval.Of(0, k))
			if strconv.Itoa(o.Cycles()) != c["value"] {
				t.Errorf("step %d: %d cycles, want %s", k, o.Cycles(), c["value"])
			}
			if note := fmt.Sprintf("each cycle has %d notes", len(o.Cycle(0))); note != c["note"] {
				t.Errorf("step %d: %s, want %s", k, note, c["note"])
			}
		case "generators of Z_12":
			rows++
			var single []string
			for k := range 12 {
				if By(interval.Of(0, k)).Cycles() == 1 {
					single = append(single, strconv.Itoa(k))
				}
			}
			if strings.Join(single, " ") != c["value"] {
				t.Errorf("single cycles for %v, want %s", single, c["value"])
			}
		}
	}
	if rows != 13 {
		t.Errorf("%d rows, want 13", rows)
	}
}

// TestTableOrders checks the orders and first keys as players name them
// (common practice, no source).
func TestTableOrders(t *testing.T) {
	for step, want := range map[string]string{
		"m2":  "0123456789TE",
		"-m2": "0ET987654321",
		"M2":  "02468T/13579E",
		"-M2": "0T8642/1E9753",
		"m3":  "0369/147T/258E",
		"-m3": "0963/1T74/2E85",
		"M3":  "048/159/26T/37E",
		"-M3": "084/195/2T6/3E7",
		"P4":  "05T3816E4927",
		"-P4": "07294E6183T5",
		"d5":  "06/17/28/39/4T/5E",
		"A4":  "06/17/28/39/4T/5E",
		"P5":  "07294E6183T5",
		"P1":  "0/1/2/3/4/5/6/7/8/9/T/E",
	} {
		if diff := cmp.Diff(want, MustParse(step).String()); diff != "" {
			t.Errorf("%s: %s", step, diff)
		}
	}
	o := MustParse("m3").From(2)
	if o.String() != "258E/3690/47T1" {
		t.Errorf("minor thirds from D: %v", o)
	}
}

// TestPatternCounts counts the patterns of k steps that do not repeat inside
// themselves and make an order: 4, 8, 60 and 312 for k = 1 to 4 (computed when
// the design was written), and finds the eight of two steps by name.
func TestPatternCounts(t *testing.T) {
	var pairs []string
	for k, want := range map[int]int{1: 4, 2: 8, 3: 60, 4: 312} {
		count := 0
		steps := make([]interval.Interval, k)
		total := 1
		for range k {
			total *= 11
		}
		for n := range total {
			for j, m := 0, n; j < k; j, m = j+1, m/11 {
				steps[j] = byName[m%11]
			}
			o, err := Alternate(steps...)
			inside := false // it repeats a part of itself
			for part := 1; part < k; part++ {
				inside = inside || k%part == 0 && slices.Equal(steps, slices.Repeat(steps[:part], k/part))
			}
			if err != nil || inside {
				continue
			}
			count++
			pattern := o.Pattern()
			if len(pattern) != k {
				t.Fatalf("%v makes %v with pattern %v", steps, o, pattern)
			}
			for j := range k {
				if pattern[j] != steps[j].Semitones() {
					t.Fatalf("%v makes %v with pattern %v", steps, o, pattern)
				}
			}
			if k == 2 {
				pairs = append(pairs, fmt.Sprint(pattern))
			}
		}
		if count != want {
			t.Errorf("%d patterns of %d steps, want %d", count, k, want)
		}
	}
	slices.Sort(pairs)
	want := []string{"[1 9]", "[11 3]", "[3 11]", "[3 7]", "[5 9]", "[7 3]", "[9 1]", "[9 5]"}
	if diff := cmp.Diff(want, pairs); diff != "" {
		t.Error(diff)
	}
}

// TestLawEveryClosedOrderIsAPattern: the twelve moves of any order in one run,
// played closed, are a pattern that makes it, however many steps are left when
// it is reduced.
func TestLawEveryClosedOrderIsAPattern(t *testing.T) {
	check := func(t interface{ Fatalf(string, ...any) }, o Order) {
		var steps []interval.Interval
		var texts []string
		for m := range o.Moves(true) {
			s := byName[m.Semitones()-1]
			steps, texts = append(steps, s), append(texts, s.String())
		}
		got, err := Alternate(steps...)
		parsed, parseErr := Parse(strings.Join(texts, ","))
		if err != nil || parseErr != nil || got != o || parsed != o {
			t.Fatalf("%v from its steps is %v, %v, and %v, %v from their text", o, got, err, parsed, parseErr)
		}
	}
	check(t, Wedge())
	rapid.Check(t, func(t *rapid.T) {
		keys := drawn(figuretest.Order).Draw(t, "order").From(0).Keys()
		o, err := Of(keys[:]...)
		if err != nil {
			t.Fatal(err)
		}
		check(t, o)
	})
}

// TestAlternateAllPairs takes every pair of steps, and checks each answer
// against the keys played one after another.
func TestAlternateAllPairs(t *testing.T) {
	for a := range 12 {
		for b := range 12 {
			o, err := Alternate(interval.Of(0, a), interval.Of(0, b))
			seen := []pitch.Class{0}
			for n := 0; ; n++ {
				next := seen[n].T([]int{a, b}[n%2])
				if at := slices.Index(seen, next); at >= 0 {
					whole := len(seen) == 12 && at == 0
					if whole != (err == nil) {
						t.Fatalf("%d,%d: %v, %v", a, b, o, err)
					}
					var pe *PatternError
					if errors.As(err, &pe) && (pe.Key != next || pe.After != len(seen)-at || pe.Played != len(seen)) {
						t.Fatalf("%d,%d: %+v, want key %v after %d of %d", a, b, *pe, next, len(seen)-at, len(seen))
					}
					if keys := o.Keys(); err == nil && !slices.Equal(keys[:], seen) {
						t.Fatalf("%d,%d: %v, want %v", a, b, o, seen)
					}
					break
				}
				seen = append(seen, next)
			}
		}
	}
}

func TestPattern(t *testing.T) {
	for text, want := range map[string][]int{
		"m3": {3}, "-m3": {9}, "P4,-m3": {5, 9}, "P1": {0}, "A4": {6},
		"0E1T29384756": nil, "0369/147T/2E58": nil, "0369/147T258E": nil, "03/69/147T/258E": nil, "0369/1T74/258E": nil,
		"01/23/45/67/89/TE": nil, // no step of one key leads on and back
		"06/28/4T/175E93":   nil, // a tritone, then a tritone and a whole step down
		"175E93/06/28/4T":   nil,
	} {
		if diff := cmp.Diff(want, MustParse(text).Pattern()); diff != "" {
			t.Errorf("%s: %s", text, diff)
		}
	}
	if (Order{}).Pattern() != nil {
		t.Error("the zero value has a pattern")
	}
}

func TestZeroValues(t *testing.T) {
	var o Order
	switch {
	case o.IsValid():
		t.Error("the zero value is an order: it is valid")
	case !By(interval.MinorThird).IsValid():
		t.Errorf("%v is not valid", By(interval.MinorThird))
	case o.Cycles() != 0:
		t.Error("the zero value is an order: it has cycles")
	case o.Cycle(0) != nil:
		t.Error("the zero value is an order: it has a cycle 0")
	case o.String() != "no order":
		t.Errorf("the zero value is an order: it prints as %s", o.String())
	case o.Reverse() != o:
		t.Error("the zero value is an order: reversed it is another")
	case o.Retrograde() != o:
		t.Error("the zero value is an order: its retrograde is another")
	case o.From(3) != o:
		t.Error("the zero value is an order: from another key it is another")
	}
	if MustParse("m3").Cycle(3) != nil || MustParse("m3").Cycle(-1) != nil {
		t.Error("there is a cycle too many")
	}
	for range o.Run(true) {
		t.Error("the zero value plays")
	}
	for range o.Moves(true) {
		t.Error("the zero value moves")
	}
	var r Route
	switch {
	case r.Len() != 0:
		t.Errorf("the zero route is not empty: it has %d statements", r.Len())
	case !r.Equal(o.Closed()):
		t.Error("the zero route is not empty: it is not that of no order")
	case r.String() != "":
		t.Errorf("the zero route is not empty: it prints as %s", r.String())
	}
	text, err := o.MarshalText()
	back := MustParse("m3")
	switch {
	case err != nil:
		t.Errorf("the zero value does not come back: no text, %v", err)
	case back.UnmarshalText(text) != nil:
		t.Error("the zero value does not come back: the text is not read")
	case back != o:
		t.Errorf("the zero value does not come back: it comes back as %v", back)
	}
}

func TestStoppingEarly(t *testing.T) {
	o := MustParse("m3")
	for stop := 1; stop <= 15; stop++ {
		n := 0
		for range o.Run(true) {
			if n++; n == stop {
				break
			}
		}
		r := 0
		for range o.Closed().Run() {
			if r++; r == stop {
				break
			}
		}
		if n != stop || r != stop {
			t.Errorf("stopped after %d and %d, want %d", n, r, stop)
		}
	}
	for range o.Moves(true) {
		break
	}
	for range o.Closed().Moves() {
		break
	}
	for range o.Closed().Sections() {
		break
	}
}

func TestErrors(t *testing.T) {
	order := func(s string) error { _, err := Parse(s); return err }
	route := func(s string) error { _, err := ParseRoute(s); return err }
	for _, c := range []struct {
		parse      func(string) error
		text, want string
	}{
		{order, "", `order: an order is an interval such as m3`},
		{order, "m5", `order "m5": there is no minor interval 5`},
		{order, "P4,m5", `order "P4,m5" at character 4: there is no minor interval 5`},
		{order, "P4,", `order "P4," at character 4: an order is an interval`},
		{order, "P4,-M2", `pattern "P4,-M2": from C, key 0 (counting C as 0) comes again after 8 keys, with 4 still to play`},
		{order, "m3,m3", `pattern "m3": from C, key 0 (counting C as 0) comes again after 4 keys, with 8 still to play`},
		{order, "m2,m2,m2,m2,m3", `pattern "m2,m2,m2,m2,m3": from C, key 2 (counting C as 0) comes again after 8 keys, with 2 still to play`},
		{order, strings.Repeat("m2,", 12) + "m2", `at character 37: a pattern has at most 12 steps`},
		{order, "P4,Mx", `order "P4,Mx" at character 5: after the quality`},
		{order, "P4,M", `order "P4,M" at character 5: after the quality`},
		{order, "0369147T258E/0", `at character 13: an order is twelve keys`},
		{order, "0123", `order "0123" at character 5: an order has all 12 keys, not 4`},
		{order, "0123456789TT", `order "0123456789TT" at character 12: key T comes twice`},
		{order, "0123/3456789T", `order "0123/3456789T" at character 6: key 3 comes twice`},
		{order, "0//123456789TE", `at character 2: an order is twelve keys`},
		{order, "/0123456789TE", `order "/0123456789TE": an order is twelve keys`},
		{order, "0123456789TE/", `at character 13: an order is twelve keys`},
		{order, "0123456789TE0", `at character 13: an order is twelve keys`},
		{route, "(0369", `route "(0369" at character 6: a closed section ends with )`},
		{route, "05/(05)/x", `route "05/(05)/x" at character 9: a route is keys`},
		{route, "05/(0F)", `route "05/(0F)" at character 6: a route is keys`},
		{route, "05/", `route "05/" at character 4: a route is keys`},
		{route, "()", `route "()" at character 2: a route is keys`},
		{route, strings.Repeat("0", 5*MaxKeys), "a route has at most 65536 keys"},
		{route, strings.Repeat("0", MaxKeys+1), "a route has at most 65536 keys"},
		{route, strings.Repeat("(0)/", MaxKeys) + "0", "at character 262146: a route has at most 65536 keys"}, // all that is longer
		{route, strings.Repeat("(0)/", MaxKeys), "at character 262145: a route is keys"},
	} {
		err := c.parse(c.text)
		if err == nil || !strings.Contains(err.Error(), c.want) || len(err.Error()) > 400 {
			t.Errorf("%.80q: %v\nwant …%s…", c.text, err, c.want)
			continue
		}
		var text *fault.SyntaxError
		var value *fault.ValueError
		var pe *PatternError
		if errors.As(err, &text) == errors.As(err, &value) || errors.As(err, &pe) != strings.Contains(c.want, "from C") {
			t.Errorf("%.80q: a %T", c.text, err)
		}
	}
	// all twelve, and not back on the first as the pattern ends
	steps := make([]interval.Interval, 12)
	for k := range steps {
		steps[k] = interval.MinorSecond
	}
	steps[11] = interval.MajorSecond
	_, err := Alternate(steps...)
	var pe *PatternError
	switch {
	case !errors.As(err, &pe):
		t.Errorf("%v: no such error", err)
	case pe.Played != 12:
		t.Errorf("%v: %d keys were played", err, pe.Played)
	case pe.Key != 1:
		t.Errorf("%v: the key is %v", err, pe.Key)
	case !strings.Contains(err.Error(), "comes back to C just as it ends"):
		t.Errorf("%v: the words are others", err)
	}
	for _, n := range []int{0, 13, 14, 20} {
		_, err := Alternate(make([]interval.Interval, n)...)
		var e *fault.ValueError
		if !errors.As(err, &e) || *e != (fault.ValueError{Setting: "pattern", Value: fmt.Sprintf("%d steps", n), Want: "a pattern has 1 to 12 steps"}) {
			t.Errorf("a pattern of %d steps: %v", n, err)
		}
		_, err = Of(make([]pitch.Class, n)...)
		switch {
		case !errors.As(err, &e):
			t.Errorf("an order of %d keys: %v: no such error", n, err)
		case e.Setting != "keys":
			t.Errorf("an order of %d keys: %v: it names %q", n, err, e.Setting)
		case e.Value != strings.Repeat("0", min(n, 13)):
			t.Errorf("an order of %d keys: %v: it quotes %q", n, err, e.Value)
		}
		_, err = NewRoute(Section{Keys: []pitch.Class{0}}, Section{Keys: append(make([]pitch.Class, n), 12)})
		switch {
		case !errors.As(err, &e):
			t.Errorf("a section of %d keys: %v: no such error", n+1, err)
		case e.Setting != "section 2":
			t.Errorf("a section of %d keys: %v: it names %q", n+1, err, e.Setting)
		case e.Value != strings.Repeat("0", min(n+1, 13)):
			t.Errorf("a section of %d keys: %v: it quotes %q", n+1, err, e.Value)
		}
	}
	if r, err := ParseRoute(strings.Repeat("(0)/", MaxKeys-1) + "(0)"); err != nil || r.Len() != MaxKeys {
		t.Errorf("%d sections, %v", r.Len(), err)
	}
	if _, err := Of(0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 12); err == nil || !strings.Contains(err.Error(), "keys are 0 to 11, not 12") {
		t.Errorf("%v", err)
	}
	if _, err := NewRoute(Section{}); err == nil {
		t.Error("an empty section")
	}
	if _, err := NewRoute(Section{Keys: []pitch.Class{12}}); err == nil {
		t.Error("a key 12")
	}
	big, err := NewRoute(Section{Keys: make([]pitch.Class, MaxKeys)})
	if err != nil {
		t.Error(err)
	}
	if _, err := Concat(big, big); err == nil {
		t.Error("a route above MaxKeys")
	}
	o, r := MustParse("m3"), MustParse("m3").Closed()
	switch {
	case o.UnmarshalText([]byte("no")) == nil:
		t.Error("bad text is read as an order")
	case r.UnmarshalText([]byte("no")) == nil:
		t.Error("bad text is read as a route")
	case o != MustParse("m3"):
		t.Errorf("bad text changed the value: the order is %v", o)
	case !r.Equal(o.Closed()):
		t.Errorf("bad text changed the value: the route is %v", r)
	}
	for name, parse := range map[string]func(){
		"MustParse":      func() { MustParse("m5") },
		"MustParseRoute": func() { MustParseRoute("m5") },
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s did not panic", name)
				}
			}()
			parse()
		}()
	}
}

func TestNewRouteCopies(t *testing.T) {
	keys := []pitch.Class{10, 3, 5, 8}
	r, err := NewRoute(Section{Keys: keys})
	keys[0] = 0
	for s := range r.Sections() {
		s.Keys[1] = 0
	}
	if err != nil || r.String() != "T358" {
		t.Errorf("%v, %v", r, err)
	}
}

func TestDoesNotAllocate(t *testing.T) {
	o := MustParse("m3")
	r := o.Closed()
	n := 0
	if got := testing.AllocsPerRun(100, func() {
		for _, s := range byName {
			for range By(s).Run(true) {
				n++
			}
			for m := range By(s).Moves(true) {
				n += m.Semitones()
			}
		}
		for range r.Run() {
			n++
		}
		for m := range r.Moves() {
			n += m.Semitones()
		}
	}); got != 0 {
		t.Errorf("%v allocations", got)
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"m3", "-M3", "P4,-m3", "P4,-M2", "0369/147T/258E", "0E1T29384756", "0//1", ",,"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		o, err := Parse(s)
		if err != nil {
			return
		}
		if again, err := Parse(o.String()); err != nil || again != o {
			t.Errorf("%q parses as %v, that as %v, %v", s, o, again, err)
		}
	})
}

func FuzzParseRoute(f *testing.F) {
	for _, s := range []string{"", "05/(0369)", "(0)", "((", "0/", "T358"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		r, err := ParseRoute(s)
		if err != nil {
			return
		}
		if again, err := ParseRoute(r.String()); err != nil || !again.Equal(r) {
			t.Errorf("%q parses as %v, that as %v, %v", s, r, again, err)
		}
	})
}

// TestLawAPatternEndsWithItsCycle: a pattern that is in its middle when the twelve
// keys are played and the first comes again, as those of five steps are, goes on to
// other keys, and so makes no closed cycle of twelve.
func TestLawAPatternEndsWithItsCycle(t *testing.T) {
	refused := 0
	for n := range 11 * 11 * 11 * 11 * 11 {
		var ups [5]int
		for j, m := 0, n; j < 5; j, m = j+1, m/11 {
			ups[j] = m%11 + 1
		}
		var met pitch.Set
		key := pitch.Class(0)
		for k := range 12 {
			met = met.Union(pitch.SetOf(key))
			key = key.T(ups[k%5])
		}
		if met != pitch.Aggregate || key != 0 || ups[0] == ups[1] && ups[1] == ups[2] && ups[2] == ups[3] && ups[3] == ups[4] {
			continue
		}
		refused++
		var steps []interval.Interval
		for _, up := range ups {
			steps = append(steps, byName[up-1])
		}
		o, err := Alternate(steps...)
		var e *PatternError
		if !errors.As(err, &e) || e.Key != 0 || e.After != 12 || o.IsValid() {
			t.Fatalf("%v makes %v, %v", steps, o, err)
		}
	}
	if refused == 0 {
		t.Error("no pattern of five steps meets all keys and comes back")
	}
	if o, err := Alternate(interval.MajorSeventh, interval.MinorThird, interval.MinorSecond, interval.MinorSeventh, interval.MajorThird); err == nil {
		t.Errorf("11, 3, 1, 10, 4 makes %v", o)
	}
}
