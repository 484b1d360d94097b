package cycle_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	. "example.com/keyorder/cycle"
	"example.com/keyorder/figure/figuretest"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
	"pgregory.net/rapid"
)

// TestTableWords checks every way to ask for an order in words (common practice,
// no source), in both directions, as an order and as a route.
func TestTableWords(t *testing.T) {
	for word, step := range map[string]string{
		"half steps": "m2", "semitones": "m2", "minor seconds": "m2", "chromatic": "m2",
		"whole steps": "M2", "whole tones": "M2", "major seconds": "M2",
		"minor thirds": "m3", "major thirds": "M3", "fourths": "P4", "perfect fourths": "P4", "circle of fourths": "P4", "cycle of fourths": "P4",
		"tritones": "A4", "augmented fourths": "A4", "diminished fifths": "d5",
		"fifths": "P5", "perfect fifths": "P5", "circle of fifths": "P5", "the circle of fifths": "P5", "Circle of Fifths": "P5",
		"minor sixths": "m6", "major sixths": "M6", "minor sevenths": "m7", "major sevenths": "M7", "diminished sevenths": "d7",
		"octaves": "P8", "unisons": "P1", "minor ninths": "m9", "major tenths": "M10", "double octaves": "P15",
	} {
		hyphened := strings.ReplaceAll(word, " ", "-")
		for text, down := range map[string]bool{
			word: false, hyphened: false, "up by " + word: false, "up " + word: false, "UP-BY-" + hyphened: false, word + " up": false, " " + word + "  ": false,
			"-" + word: true, "−" + hyphened: true, "down by " + word: true, "down " + word: true, "down-by-" + hyphened: true, hyphened + "-down": true, word + " down": true,
			"down a " + strings.TrimSuffix(word, "s"): true,
		} {
			i := interval.MustParse(step)
			if down {
				i = -i
			}
			if o, err := Parse(text); err != nil || o != By(i) {
				t.Errorf("%q is %v, %v; want by %v", text, o, err, i)
			}
			if r, err := ParseRoute(text); err != nil || !r.Equal(By(i).Closed()) {
				t.Errorf("the route %q is %v, %v; want by %v", text, r, err, i)
			}
		}
	}
	row := func(n int) Order { o, _ := AllIntervalAt(n, 0); return o }
	for text, want := range map[string]Order{
		"wedge": Wedge(), "Wedge": Wedge(), "balanced": BalancedRow(), "shuffle:7": Shuffle(7), "shuffle:18446744073709551615": Shuffle(1<<64 - 1),
		"all-interval:1": row(1), "all interval:3856": row(3856),
	} {
		if o, err := Parse(text); err != nil || o != want {
			t.Errorf("%q is %v, %v; want %v", text, o, err, want)
		}
		if r, err := ParseRoute(text); err != nil || !r.Equal(want.Open()) {
			t.Errorf("the route %q is %v, %v; want %v open", text, r, err, want)
		}
	}
	pattern := MustParse("P4,-m3")
	for _, text := range []string{"P4, -m3", "fourths,-minor-thirds", "up a fourth, down a minor third", "up a fourth, down a minor third, in turn", "P4,-m3,in-turn", "P4,down-a-minor-third", "P4,-m3,P4,-m3"} {
		if o, err := Parse(text); err != nil || o != pattern {
			t.Errorf("%q is %v, %v", text, o, err)
		}
		if r, err := ParseRoute(text); err != nil || !r.Equal(pattern.Closed()) {
			t.Errorf("the route %q is %v, %v", text, r, err)
		}
	}
	if o, err := Parse("fourths, in turn"); err != nil || o != By(interval.PerfectFourth) {
		t.Errorf("fourths in turn are %v, %v", o, err)
	}
	// a pattern as long as an order has no shorter one, and comes back as it ends
	long := strings.Repeat("m2,", 10) + "m3,M7"
	if _, err := Parse(long); err == nil {
		t.Errorf("%s is an order", long)
	}
	long = "m2,m2,m2,m2,m2,m2,m2,m2,M2,-m2,M2,m2"
	if r, err := ParseRoute(long); err != nil || !r.Equal(MustParse("012345678T9E").Closed()) {
		t.Errorf("%s is %v, %v", long, r, err)
	}
	for _, text := range []string{"everymove", "every move", "Every-Move"} {
		if r, err := ParseRoute(text); err != nil || !r.Equal(EveryMove(0)) {
			t.Errorf("%q is %v, %v", text, r, err)
		}
		if _, err := Parse(text); err == nil {
			t.Errorf("%q is one order", text)
		}
	}
	for _, text := range []string{"T", "E", "te", "ET/(TE)", "0369"} { // keys, no words
		if r, err := ParseRoute(text); err != nil || r.String() != strings.ToUpper(text) {
			t.Errorf("%q is %v, %v", text, r, err)
		}
	}
	if r := MustParseRoute("0369/147T/258E"); !r.Equal(MustParse("m3").Open()) {
		t.Errorf("keys without parentheses are %v", r)
	}
}

func TestWordErrors(t *testing.T) {
	for text, want := range map[string]string{
		"sharps":                       `order "sharps": an order is an interval such as m3 or -M3`,
		"thirds":                       `order "thirds": say which thirds: minor thirds or major thirds`,
		"-thirds":                      `order "-thirds": say which thirds`,
		"seconds":                      `say which seconds: minor seconds or major seconds`,
		"down by sixths":               `say which sixths`,
		"sevenths up":                  `say which sevenths`,
		"-m5":                          `order "-m5" at character 2: there is no minor interval 5`,
		"P4, −m5":                      `order "P4, −m5" at character 6: there is no minor`,
		"P4,thirds":                    `order "P4,thirds" at character 4: say which thirds`,
		"up":                           `order "up": an order is`,
		"down by":                      `order "down by": an order is`,
		"-down by fourths":             `order "-down by fourths": an order is`,
		"up by fourths down":           `order "up by fourths down": an order is`,
		"circle":                       `order "circle": an order is`,
		"major 18ths":                  `order "major 18ths": an order is`,
		"major 16rds":                  `order "major 16rds": an order is`,
		"up by 9223372036854775807ths": `order "up by 9223372036854775807ths": an order is`,
		"up by 16ths":                  `order "up by 16ths": an order is`,
		"doubly diminished fifths":     `order "doubly diminished fifths": an order is`,
		"m9x":                          `order "m9x" at character`,
		"major fourths":                `order "major fourths": an order is`,
		"wedge:3":                      `order "wedge:3": an order is`,
		"in turn":                      `order "in turn": an order is`,
		"shuffle":                      `order "shuffle" at character 8: after shuffle: comes a whole number`,
		"shuffle:x":                    `order "shuffle:x" at character 9: after shuffle: comes a whole number`,
		"shuffle:-1":                   `order "shuffle:-1" at character 9: after shuffle: comes a whole number`,
		"all-interval":                 `order "all-interval" at character 13: after all-interval: comes the order's number, 1 to 3856, as`,
		"all-interval:":                `order "all-interval:" at character 14: after all-interval: comes`,
		"all-interval:0":               `all-interval order 0: they are numbered 1 to 3856`,
		"all-interval:3857":            `all-interval order 3857: they are numbered 1 to 3856`,
		"up a fourth, down m2":         `order "up a fourth, down m2" at character 14: an order is`,
		"E5x":                          "at character 3",
		"mm0":                          `order "mm0" at character 2: only`,
		"m/x":                          `order "m/x": an order is`,
		"m:x":                          `order "m:x": an order is`,
	} {
		var syntax *fault.SyntaxError
		var value *fault.ValueError
		o, err := Parse(text)
		if err == nil || !strings.Contains(err.Error(), want) || o.IsValid() || errors.As(err, &syntax) == errors.As(err, &value) {
			t.Errorf("%q: %v, %v\nwant %s…", text, o, err, want)
			continue
		}
		if r, rerr := ParseRoute(text); rerr == nil || r.Len() > 0 || rerr.Error() != err.Error() && text != "E5x" {
			t.Errorf("the route %q: %v, %v", text, r, rerr)
		}
		if _, _, terr := TitleOf(text); terr == nil || terr.Error() != err.Error() {
			t.Errorf("the title of %q: %v", text, terr)
		}
	}
}

// TestTableTitles checks titles against common practice (no source): an interval
// one way is its inversion the other way.
func TestTableTitles(t *testing.T) {
	for text, want := range map[string][4]string{ // of the order, and as it was asked for
		"m2":             {"up by half steps", "down by major sevenths"},
		"-m2":            {"down by half steps", "up by major sevenths"},
		"M2":             {"up by whole steps", "down by minor sevenths"},
		"-M2":            {"down by whole steps", "up by minor sevenths"},
		"m3":             {"up by minor thirds", "down by major sixths"},
		"-m3":            {"down by minor thirds", "up by major sixths"},
		"M3":             {"up by major thirds", "down by minor sixths"},
		"-M3":            {"down by major thirds", "up by minor sixths"},
		"P4":             {"up by fourths", "down by fifths"},
		"-P4":            {"down by fourths", "up by fifths"},
		"A4":             {"up by tritones", "down by tritones"},
		"P1":             {"up by unisons", ""},
		"P4,-m3":         {"up a fourth, down a minor third, in turn", "down a fifth, up a major sixth, in turn"},
		"P5":             {"down by fourths", "up by fifths", "up by fifths", "down by fourths"},
		"-d5":            {"up by tritones", "down by tritones", "down by tritones", "up by tritones"},
		"M9":             {"up by whole steps", "down by minor sevenths", "up by major ninths", "down by minor sevenths"},
		"P8":             {"up by unisons", "", "up by octaves", ""},
		"-M16":           {"down by whole steps", "up by minor sevenths", "down by major 16ths", "up by minor sevenths"},
		"P4,P4":          {"up by fourths", "down by fifths"},
		"P11,M6":         {"up a fourth, down a minor third, in turn", "down a fifth, up a major sixth, in turn", "up an octave and a fourth, up a major sixth, in turn", "down a fifth, down a minor third, in turn"},
		"wedge":          {"the wedge, closing in from both sides", ""},
		"balanced":       {"a balanced row, each interval once", ""},
		"all-interval:9": {"all-interval order 9 of 3856", ""},
		"shuffle:7":      {"in an order of their own", "", "shuffled, number 7", ""},
		"012345678T9E":   {"in an order of their own", ""},
		"147T/0369/258E": {"up by minor thirds", "down by major sixths"},
		"0E1T29384756":   {"the wedge, closing in from both sides", ""},
	} {
		if want[2] == "" {
			want[2], want[3] = want[0], want[1]
		}
		o := MustParse(text).From(2)
		title, alike, err := TitleOf(text)
		if got := [4]string{o.Title(), o.Alike(), title, alike}; got != want || err != nil {
			t.Errorf("%s: %q, %v\nwant %q", text, got, err, want)
		}
	}
	if title, alike, err := TitleOf("everymove"); title != "every move between two keys once, in one run" || alike != "" || err != nil {
		t.Errorf("everymove: %q, %q, %v", title, alike, err)
	}
	if title, alike := (Order{}).Title(), (Order{}).Alike(); title != "no order" || alike != "" {
		t.Errorf("the zero value: %q, %q", title, alike)
	}
}

// TestLawTitlesReadBack: a title by an interval or a pattern is text for the same
// order, and so is the title the other way round.
func TestLawTitlesReadBack(t *testing.T) {
	check := func(t interface{ Fatalf(string, ...any) }, o Order, titles ...string) {
		for _, title := range titles {
			if title == "" {
				continue
			}
			if again, err := Parse(title); err != nil || again != o {
				t.Fatalf("%v is %q, which is %v, %v", o, title, again, err)
			}
		}
	}
	for _, o := range everyOrder() {
		check(t, o.From(0), o.Title(), o.Alike())
	}
	for number := 1; number <= 122; number++ { // "augmented 122nd"
		for q := interval.Diminished; q <= interval.Augmented; q++ {
			i, err := interval.New(q, number)
			if err != nil || i.Sign() < 0 {
				continue
			}
			for _, i := range []interval.Interval{i, -i} {
				title, alike, err := TitleOf(i.String())
				if err != nil || (alike == "") != (i.Semitones()%12 == 0) {
					t.Errorf("%v: %q, %q, %v", i, title, alike, err)
				}
				check(t, By(i), title, alike)
			}
		}
	}
	patterns := 0
	for n := range 22 * 22 * 22 {
		var steps []interval.Interval
		var texts []string
		for ; n > 0; n /= 22 { // up to three steps, each 1 to 11 semitones up or down
			up := n%22 + 1
			if up > 11 {
				up = 11 - up
			}
			steps = append(steps, interval.Usual(up))
			texts = append(texts, interval.Usual(up).String())
		}
		o, err := Alternate(steps...)
		if err != nil {
			continue
		}
		patterns++
		title, alike, err := TitleOf(strings.Join(texts, ","))
		if err != nil {
			t.Fatal(err)
		}
		check(t, o, o.Title(), o.Alike(), title, alike)
	}
	if patterns < 400 {
		t.Errorf("only %d patterns", patterns)
	}
}

// firstKey returns the key that a route begins with.
func firstKey(r Route) pitch.Class {
	for _, k := range r.Run() {
		return k
	}
	return 0
}

func TestLawRouteFromIsATransposition(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := anyRoute().Draw(t, "route")
		before := r.String()
		k := pitch.Class(rapid.IntRange(0, 11).Draw(t, "key"))
		f := r.From(k)
		if r.Len() == 0 {
			if !f.Equal(r) {
				t.Fatalf("the empty route from %v is %v", k, f)
			}
			return
		}
		switch {
		case firstKey(f) != k:
			t.Fatalf("%v from %v is %v: its first key is another", before, k, f)
		case !f.From(firstKey(r)).Equal(r):
			t.Fatalf("%v from %v is %v: from its first key again it is another", before, k, f)
		case r.String() != before:
			t.Fatalf("%v from %v is %v: the route has changed", before, k, f)
		}
		o := drawn(figuretest.Order).Draw(t, "order")
		switch {
		case !o.From(k).Closed().Equal(o.Closed().From(k)):
			t.Fatalf("%v from %v: closed", o, k)
		case !o.From(k).Open().Equal(o.Open().From(k)):
			t.Fatalf("%v from %v: open", o, k)
		case !EveryMove(k).Equal(EveryMove(0).From(k)):
			t.Fatalf("%v from %v: every move", o, k)
		}
	})
}

func BenchmarkParseWords(b *testing.B) {
	b.ReportAllocs()
	for range b.N {
		if _, err := Parse("down by fourths"); err != nil {
			b.Fatal(err)
		}
	}
}

func FuzzTitleOf(f *testing.F) {
	for _, s := range []string{"fourths", "-whole-steps", "up a fourth, down a minor third, in turn", "shuffle:7", "all-interval:12", "everymove", "0369/147T/258E", "−m3"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		title, _, err := TitleOf(s)
		_, orderErr := Parse(s)
		if IsEveryMove(s) {
			return
		}
		switch {
		case (err == nil) != (orderErr == nil):
			t.Errorf("%q: %q, %v; as an order %v: only one of them is refused", s, title, err, orderErr)
		case (title == "") == (err == nil):
			t.Errorf("%q: %q, %v; as an order %v: a title and an error, or neither", s, title, err, orderErr)
		case fmt.Sprint(err) != fmt.Sprint(orderErr):
			t.Errorf("%q: %q, %v; as an order %v: the errors differ", s, title, err, orderErr)
		}
	})
}
