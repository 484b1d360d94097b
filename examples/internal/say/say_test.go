package say

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/practice"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
)

func name(c pitch.Class) string { return strings.Fields("C Db D Eb E F Gb G Ab A Bb B")[c] }

// TestOrders checks titles against common practice (no source): an interval one
// way is its inversion the other way.
func TestOrders(t *testing.T) {
	for text, want := range map[string][3]string{
		"-fourths":     {"down by fourths", "up by fifths", "(294E6183T507)"},
		"m3":           {"up by minor thirds", "down by major sixths", "(258E)/(3690)/(47T1)"},
		"-M2":          {"down by whole steps", "up by minor sevenths", "(20T864)/(31E975)"},
		"A4":           {"up by tritones", "down by tritones", "(28)/(39)/(4T)/(5E)/(60)/(71)"},
		"M9":           {"up by major ninths", "down by minor sevenths", "(2468T0)/(3579E1)"},
		"P4,-m3":       {"up a fourth, down a minor third, in turn", "down a fifth, up a major sixth, in turn", "(27496E81T305)"},
		"wedge":        {"the wedge, closing in from both sides", "", "21304E5T6978"},
		"signs":        {"by the number of sharps or flats, from the 2 of D on", "", "239841E6057T"},
		"P4,P4":        {"up by fourths", "down by fifths", "(2705T3816E49)"},
		"P1":           {"up by unisons", "", "(2)/(3)/(4)/(5)/(6)/(7)/(8)/(9)/(T)/(E)/(0)/(1)"},
		"0E1T29384756": {"in an order of your own", "", "21304E5T6978"},
	} {
		got, err := Orders(text, Start{First: 2, Asked: true, Name: name})
		if err != nil || len(got) != 1 || [3]string{got[0].Title, got[0].Alike, got[0].Route.String()} != want {
			t.Errorf("%s: %+v, %v", text, got, err)
		}
	}
	for text, n := range map[string]int{"all": 11, "square": 12, "loops": 11, "everymove": 1, "fresh": 1, "balanced shuffle:7": 2} {
		got, err := Orders(text, Start{Name: name})
		if err != nil || len(got) != n {
			t.Errorf("%s: %d orders, %v", text, len(got), err)
		}
		for _, o := range got {
			if text != "square" && !strings.HasPrefix(strings.Trim(o.Route.String(), "("), "0") {
				t.Errorf("%s begins elsewhere: %v", text, o.Route)
			}
		}
	}
	// Words as a player says them, and several orders at once.
	for text, want := range map[string]string{
		"down by fourths":                      "down by fourths",
		"Up by whole steps":                    "up by whole steps",
		"minor thirds":                         "up by minor thirds",
		"  circle  of\tfourths ":               "up by fourths",
		"fourths -whole-steps":                 "up by fourths; down by whole steps",
		"m3 -m3 wedge":                         "up by minor thirds; down by minor thirds; the wedge, closing in from both sides",
		"m3, -M2,":                             "up by minor thirds; down by whole steps",
		"m3;P4":                                "up by minor thirds; up by fourths",
		"P4, -m3":                              "up a fourth, down a minor third, in turn",
		"up by fifths; whole steps, P4,-m3 A4": "up by fifths; up by whole steps; up a fourth, down a minor third, in turn; up by tritones",
		"Up by minor thirds, the freshest order; what you have practised least": "up by minor thirds; up by half steps, the freshest order",
	} {
		got, err := Orders(text, Start{Name: name})
		if titles := titlesOf(got); err != nil || titles != want {
			t.Errorf("%q: %s, %v; want %s", text, titles, err, want)
		}
	}
	// fresh: whoever has played all but one order is sent to that one
	var made cycle.Tally
	for n, o := range Orders11(0) {
		if n != 4 {
			made.AddAll(o.Route.Moves())
		}
	}
	if got, err := Orders("fresh", Start{Name: name, Played: made}); err != nil || got[0].Text != "m3" {
		t.Errorf("%+v, %v", got, err)
	}
}

func titlesOf(all []Order) string {
	var titles []string
	for _, o := range all {
		titles = append(titles, o.Title)
	}
	return strings.Join(titles, "; ")
}

// TestLawTitlesAreRead: the title of an order asks for the order, alone and beside
// another, but for the rows and loops that only come together.
func TestLawTitlesAreRead(t *testing.T) {
	for _, first := range []pitch.Class{0, 2} {
		s := Start{First: first, Name: name}
		for _, text := range append(Eleven(), "P5", "-M9", "P4,-m3", "wedge", "balanced", "signs", "shuffle:7", "all-interval:12", "everymove", "fresh") {
			want, err := Orders(text, s)
			if err != nil {
				t.Fatal(err)
			}
			for _, title := range []string{want[0].Title, strings.ToUpper(want[0].Title[:1]) + want[0].Title[1:] + "; " + want[0].Title} {
				got, err := Orders(title, s)
				if err != nil || len(got) == 0 || !got[0].Route.Equal(want[0].Route) || !got[len(got)-1].Route.Equal(want[0].Route) {
					t.Errorf("%s from %v: %q is read as %v, %v", text, first, title, got, err)
				}
			}
		}
	}
}

// TestOrdersWithAFirstKeyOfTheirOwn: keys that are typed begin as they are typed,
// and the signatures with the fewest signs, unless another first key is asked
// for. The signatures of minor and dorian are those of the major keys with the
// same notes.
func TestOrdersWithAFirstKeyOfTheirOwn(t *testing.T) {
	for _, c := range []struct {
		text  string
		start Start
		want  string
	}{
		{"147T/0369/258E", Start{}, "in an order of your own: (147T)/(0369)/(258E)"},
		{"147T/0369/258E", Start{First: 3, Asked: true}, "in an order of your own: (3690)/(258E)/(47T1)"},
		{"m3", Start{}, "up by minor thirds: (0369)/(147T)/(258E)"},
		{"signs", Start{}, "by the number of sharps or flats: 057T239841E6"},
		{"signs", Start{Scale: figure.NaturalMinor}, "by the number of sharps or flats: 9247E0651T83"},
		{"signs", Start{Scale: figure.Dorian}, "by the number of sharps or flats: 279045ET6318"},
		{"signs", Start{Scale: figure.Dorian, First: 2, Asked: true}, "by the number of sharps or flats: 279045ET6318"},
		{"signs", Start{Scale: figure.NaturalMinor, First: 0, Asked: true}, "by the number of sharps or flats, from the 3 of C on: 0651T839247E"},
	} {
		c.start.Name = name
		got, err := Orders(c.text, c.start)
		if err != nil || len(got) != 1 || fmt.Sprintf("%s: %v", got[0].Title, got[0].Route) != c.want {
			t.Errorf("%s %+v: %+v, %v", c.text, c.start, got, err)
		}
	}
}

func TestErrors(t *testing.T) {
	for text, want := range map[string]string{
		"":                        "no order in",
		"P4,-M2":                  `"P4,-M2": from D, D comes again after 8 keys, when 8 of the 12 have been played`,
		"m5":                      `"m5": there is no minor interval 5`,
		"sharps":                  `order "sharps": an order is an interval such as m3 or -M3, a pattern such as P4,-m3, twelve keys such as 0369/147T/258E, or words such as down by fourths, chromatic, wedge, shuffle:7; or one of all, signs, square, loops, everymove, fresh`,
		"down by fourthz":         `order "down by fourthz": an order is`,
		"m3 thirds sharps":        `order "thirds": say which thirds`,
		"m3; sharps or so; P4":    `order "sharps or so": an order is`,
		"shuffle:x":               "after shuffle: comes a whole number",
		strings.Repeat("all ", 7): "at most 64 at a time",
	} {
		if _, err := Orders(text, Start{First: 2, Asked: true, Name: name}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%.40s: %v", text, err)
		}
	}
}

func TestTimes(t *testing.T) {
	switch {
	case Times(1) != "once":
		t.Errorf("times: 1 is %s", Times(1))
	case Times(2) != "twice":
		t.Errorf("times: 2 is %s", Times(2))
	case Times(9) != "9 times":
		t.Errorf("times: 9 is %s", Times(9))
	}
}

func TestRest(t *testing.T) {
	threeFour, err := drill.MeterOf(3, 4)
	if err != nil {
		t.Fatal(err)
	}
	for rest, want := range map[drill.Rest]string{0: "a bar", drill.Rest(figure.Quarter * 3): "a bar", drill.Rest(figure.Quarter * 9): "3 bars", drill.Rest(figure.Quarter): "1/4 of a whole note"} {
		b := practice.Block{Drill: drill.Settings{Rest: rest, Meter: threeFour}}
		if got := Rest(b); got != want {
			t.Errorf("%v is %q, want %q", rest, got, want)
		}
	}
}

func TestBlock(t *testing.T) {
	for want, b := range map[string]practice.Block{"moves that failed of late": {Weak: true, Order: "P4"}, "a few keys, again and again, then in turn": {}, "down by fourths": {Order: "-P4"}, "up by tritones": {Order: "A4"}} {
		if got := Block(b, practice.StageConstantOrders); got != want {
			t.Errorf("%+v is %q, want %q", b, got, want)
		}
	}
	if got := Block(practice.Block{Order: "all-interval:12"}, practice.StageMixedRows); got != "a row of all eleven intervals" {
		t.Errorf("a mixed row is %q", got)
	}
	if got := Step("wedge"); got != "wedge" {
		t.Errorf("what is no interval is %q", got)
	}
}

// TestOwnFigures: what a plan begins with is read, and every figure takes a variation.
func TestOwnFigures(t *testing.T) {
	for _, text := range strings.Split(OwnFigures, ";") {
		name, degrees, _ := strings.Cut(text, "=")
		f, err := figure.Parse(strings.TrimSpace(degrees))
		taken := 0
		for _, v := range strings.Split(OwnVariations, ";") {
			if _, err := figure.MustParseVariation(v).Apply(f); err == nil {
				taken++
			}
		}
		if err != nil || strings.TrimSpace(name) == "" || taken == 0 {
			t.Errorf("%s: %v, %d variations", text, err, taken)
		}
	}
}

func TestMinutes(t *testing.T) {
	for d, want := range map[time.Duration]string{45 * time.Second: "45 s", 90 * time.Second: "1:30 min", 16*time.Minute + 20*time.Second: "16 min"} {
		if got := Minutes(d); got != want {
			t.Errorf("%v: %s, want %s", d, got, want)
		}
	}
}

// TestLawTheWiderRangeHasAll: what Wider names holds a figure in all twelve keys on each
// instrument of the tables, and where it names none, the full range does not.
func TestLawTheWiderRangeHasAll(t *testing.T) {
	named := 0
	for _, text := range []string{"3 5 1 6 over jazz blues", "5 2 b3:2 1", "1 15", "1 22 43"} {
		s := drill.Settings{Figure: figure.MustParse(text), Route: cycle.By(interval.MinorSecond).Closed()}
		for level := range drill.LevelHighSchool + 1 {
			for i := range drill.Instruments(level) {
				s.Parts = []drill.Instrument{i}
				_, err := drill.New(s)
				var fit *drill.FitError
				if !errors.As(err, &fit) {
					continue
				}
				got, want := Wider(fit), ""
				for _, wide := range []drill.Level{drill.LevelComfortable, drill.LevelFull} {
					if s.Parts[0], err = drill.Find(i.Name, wide); err != nil || want != "" {
						continue
					}
					if _, err := drill.New(s); err == nil {
						named++
						want = fmt.Sprintf("%v, %v to %v", wide, s.Parts[0].Low, s.Parts[0].High)
					}
				}
				if got != want {
					t.Errorf("%s on %s, %v: %q, want %q", text, i.Name, level, got, want)
				}
			}
		}
	}
	if named == 0 {
		t.Error("none was named")
	}
	own, err := drill.Find("alto saxophone C4-C6", 0)
	if err != nil {
		t.Fatal(err)
	}
	var fit *drill.FitError
	if _, err := drill.New(drill.Settings{Figure: figure.MustParse("1 15"), Route: cycle.By(interval.MinorSecond).Closed(), Parts: []drill.Instrument{own}}); !errors.As(err, &fit) || Wider(fit) != "" {
		t.Errorf("for a range of one's own: %v, %q", err, Wider(fit))
	}
}
