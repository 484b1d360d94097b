package drill_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"example.com/keyorder/figure"
	. "example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/figuretest"
	"example.com/keyorder/pitch/fault"
	"pgregory.net/rapid"
)

// TestMeters: time signatures with two, three, four dotted or plain beats are
// those of the textbooks (simple and compound meter); groupings of the others
// are common practice, no source.
func TestMeters(t *testing.T) {
	for text, want := range map[string]struct {
		beats    string // in eighths
		counted  figure.Length
		compound bool
		text     string // if not the same
	}{
		"2/4":       {"2 2", figure.Quarter, false, ""},
		"3/4":       {"2 2 2", figure.Quarter, false, ""},
		"4/4":       {"2 2 2 2", figure.Quarter, false, ""},
		"5/4":       {"2 2 2 2 2", figure.Quarter, false, ""},
		"6/4":       {"2 2 2 2 2 2", figure.Quarter, false, ""},
		"3+3/4":     {"6 6", figure.Half * 3 / 2, true, ""},
		"3+2/4":     {"6 4", figure.Quarter, false, ""},
		"1/4":       {"2", figure.Quarter, false, ""},
		"12/4":      {"2 2 2 2 2 2 2 2 2 2 2 2", figure.Quarter, false, ""},
		"2/2":       {"4 4", figure.Half, false, ""},
		"3/2":       {"4 4 4", figure.Half, false, ""},
		"2+3/2":     {"8 12", figure.Half, false, ""},
		"3/8":       {"1 1 1", figure.Eighth, false, ""},
		"4/8":       {"1 1 1 1", figure.Eighth, false, ""},
		"2+2/8":     {"2 2", figure.Quarter, false, ""},
		"6/8":       {"3 3", figure.Quarter * 3 / 2, true, ""},
		"3+3/8":     {"3 3", figure.Quarter * 3 / 2, true, "6/8"},
		"2+2+2/8":   {"2 2 2", figure.Quarter, false, ""},
		"9/8":       {"3 3 3", figure.Quarter * 3 / 2, true, ""},
		"2+2+2+3/8": {"2 2 2 3", figure.Eighth, false, ""},
		"12/8":      {"3 3 3 3", figure.Quarter * 3 / 2, true, ""},
		"15/8":      {"3 3 3 3 3", figure.Quarter * 3 / 2, true, ""},
		"36/16":     {"3/2 3/2 3/2 3/2 3/2 3/2 3/2 3/2 3/2 3/2 3/2 3/2", figure.Eighth * 3 / 2, true, ""},
		"5/8":       {"3 2", figure.Eighth, false, ""},
		"3+2/8":     {"3 2", figure.Eighth, false, "5/8"},
		"2+3/8":     {"2 3", figure.Eighth, false, ""},
		"7/8":       {"2 2 3", figure.Eighth, false, ""},
		"3+4/8":     {"3 4", figure.Eighth, false, ""},
		"8/8":       {"2 2 2 2", figure.Quarter, false, ""},
		"3+3+2/8":   {"3 3 2", figure.Eighth, false, ""},
		"10/8":      {"2 2 2 2 2", figure.Quarter, false, ""},
		"11/8":      {"3 3 3 2", figure.Eighth, false, ""},
		"3/16":      {"1/2 1/2 1/2", figure.Sixteenth, false, ""},
		"6/16":      {"3/2 3/2", figure.Eighth * 3 / 2, true, ""},
		"4+4+4+2/8": {"4 4 4 2", figure.Eighth, false, ""},
		"":          {"2 2 2 2", figure.Quarter, false, "4/4"}, // the zero value
	} {
		m, err := Meter{}, error(nil)
		if text != "" {
			m, err = ParseMeter(text)
		}
		var beats []string
		var bar figure.Length
		for n := range m.Beats() {
			eighths := fmt.Sprint(int(m.Beat(n) / figure.Eighth))
			if m.Beat(n)%figure.Eighth != 0 {
				eighths = fmt.Sprintf("%d/2", m.Beat(n)/figure.Sixteenth)
			}
			beats = append(beats, eighths)
			bar += m.Beat(n)
		}
		if want.text == "" {
			want.text = text
		}
		switch {
		case err != nil:
			t.Errorf("%s: beats %v, counts %v, compound %v, text %v, %v: an error", text, beats, m.Counted(), m.Compound(), m, err)
		case strings.Join(beats, " ") != want.beats:
			t.Errorf("%s: beats %v, counts %v, compound %v, text %v, %v: other beats, want %s", text, beats, m.Counted(), m.Compound(), m, err, want.beats)
		case m.Counted() != want.counted:
			t.Errorf("%s: beats %v, counts %v, compound %v, text %v, %v: it counts something else", text, beats, m.Counted(), m.Compound(), m, err)
		case m.Compound() != want.compound:
			t.Errorf("%s: beats %v, counts %v, compound %v, text %v, %v: it is compound, or is not", text, beats, m.Counted(), m.Compound(), m, err)
		case m.String() != want.text:
			t.Errorf("%s: beats %v, counts %v, compound %v, text %v, %v: another text, want %s", text, beats, m.Counted(), m.Compound(), m, err, want.text)
		}
		if m.Bar() != bar || m.Bar() != figure.Whole*figure.Length(m.Number())/figure.Length(m.Unit()) {
			t.Errorf("%s: a bar of %v, beats of %v", text, m.Bar(), bar)
		}
		for _, n := range []int{-1, m.Beats(), 12, -12, 1 << 30} {
			if m.Beat(n) != 0 {
				t.Errorf("%s: beat %d lasts %v", text, n, m.Beat(n))
			}
		}
	}
	if m, err := MeterOf(4, 4); err != nil || m != (Meter{}) {
		t.Errorf("4/4 is %#v, %v, and not the zero value", m, err)
	}
	if m, err := MeterOf(7, 8); err != nil || m.Grouping() != "2+2+3" {
		t.Errorf("7/8 is grouped %v, %v", m.Grouping(), err)
	}
}

// TestLawMeterFormatThenParse: and meters with the same beats have one value.
func TestLawMeterFormatThenParse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := drawn(figuretest.Meter).Draw(t, "meter")
		for _, text := range []string{m.String(), fmt.Sprintf("%s/%d", m.Grouping(), m.Unit())} {
			if m.Beats() == 1 {
				text = m.String() // a group alone is no grouping
			}
			got := MustParseMeter("36/16")
			if err := got.UnmarshalText([]byte(text)); err != nil || got != m {
				t.Fatalf("%v reads as %v, %v", text, got, err)
			}
		}
		if text, err := m.MarshalText(); err != nil || string(text) != m.String() {
			t.Fatalf("%v has the text %q, %v", m, text, err)
		}
		if m.Beats() < 1 || m.Number() < m.Beats() || m.Bar() < m.Counted() || m.Counted() < figure.Sixteenth {
			t.Fatalf("%v: %d beats, counts %v of %v", m, m.Beats(), m.Counted(), m.Bar())
		}
	})
}

// badMeters are texts that are no meter, with what the answer says.
var badMeters = map[string]string{
	"":                                  "as 4/4, 6/8 or 3+2/8",
	"4":                                 "as 4/4, 6/8 or 3+2/8",
	"/":                                 "as 4/4",
	"4/":                                "as 4/4",
	"/4":                                "as 4/4",
	"4/5":                               "over 2, 4, 8 or 16",
	"4/1":                               "over 2, 4, 8 or 16",
	"4/32":                              "over 2, 4, 8 or 16",
	"4/+4":                              "as 4/4",
	"4/-4":                              "as 4/4",
	"+4/4":                              "as 4/4",
	"-4/4":                              "as 4/4",
	"0/4":                               "as 4/4",
	"x/4":                               "as 4/4",
	"4/x":                               "as 4/4",
	"4/4/4":                             "as 4/4",
	" 4/4":                              "as 4/4",
	"3++2/8":                            "as 4/4",
	"3+2+/8":                            "as 4/4",
	"3+-2/8":                            "as 4/4",
	"13/4":                              "1 to 12",
	"15/4":                              "1 to 12",
	"13/8":                              "1 to 12",
	"14/8":                              "1 to 12",
	"36/4":                              "1 to 12",
	"37/8":                              "as 4/4",
	"39/8":                              "as 4/4",
	"3+9/8":                             "one to four note values",
	"5+2/8":                             "one to four note values",
	"1+1+1+1+1+1+1+1+1+1+1+1+1/8":       "at most 12 beats",
	"99999999999999999999/4":            "as 4/4",
	strings.Repeat("1+", 1<<20) + "1/4": "as 4/4",
}

func TestMustParseMeterPanics(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("no panic")
		}
	}()
	MustParseMeter("4/5")
}

func TestMeterRefused(t *testing.T) {
	for text, want := range badMeters {
		m := MustParseMeter("7/8")
		_, err := ParseMeter(text)
		var e *fault.SyntaxError
		switch {
		case !errors.As(err, &e):
			t.Errorf("%.40q: %.500v, want %q: no such error", text, err, want)
		case e.Input != text:
			t.Errorf("%.40q: %.500v, want %q: it quotes %.40q", text, err, want, e.Input)
		case !strings.Contains(err.Error(), want):
			t.Errorf("%.40q: %.500v, want %q: the words are others", text, err, want)
		case len(err.Error()) > 500:
			t.Errorf("%.40q: %.500v, want %q: a long message", text, err, want)
		}
		if err := m.UnmarshalText([]byte(text)); err == nil || m != MustParseMeter("7/8") {
			t.Errorf("%.40q is taken as %v", text, m)
		}
	}
	for _, c := range [][2]int{{-4, 4}, {4, -4}, {4, 0}, {4, 3}, {1 << 30, 4}} {
		if m, err := MeterOf(c[0], c[1]); err == nil {
			t.Errorf("%v is taken as %v", c, m)
		}
	}
}

func FuzzParseMeter(f *testing.F) {
	for _, text := range []string{"4/4", "6/8", "12/8", "3+2/8", "2+2+3/8", "1+1/16", "36/16", "04/04"} {
		f.Add(text)
	}
	for text := range badMeters {
		f.Add(text[:min(len(text), 100)])
	}
	f.Fuzz(func(t *testing.T, text string) {
		m, err := ParseMeter(text)
		if err != nil {
			var e *fault.SyntaxError
			switch {
			case !errors.As(err, &e):
				t.Fatalf("%q: %v: no such error", text, err)
			case e.Input != text:
				t.Fatalf("%q: %v: it quotes %q", text, err, e.Input)
			case e.Want == "":
				t.Fatalf("%q: %v: it does not say what is right", text, err)
			}
			return
		}
		if again, err := ParseMeter(m.String()); err != nil || again != m {
			t.Fatalf("%q is %v, again %v, %v", text, m, again, err)
		}
		var beats []figure.Length
		for n := range m.Beats() {
			beats = append(beats, m.Beat(n))
		}
		switch {
		case len(beats) == 0:
			t.Fatalf("%q has beats of %v: no beats", text, beats)
		case slices.Min(beats) < figure.Sixteenth:
			t.Fatalf("%q has beats of %v: a beat is too short", text, beats)
		case m.Bar() > 24*figure.Whole:
			t.Fatalf("%q has beats of %v: the bar is %v long", text, beats, m.Bar())
		}
	})
}

// TestMeterTextsEnd: a meter's text has at most 40 bytes.
func TestMeterTextsEnd(t *testing.T) {
	for zeros, ok := range map[int]bool{0: true, 37: true, 38: false, 100: false} {
		text := strings.Repeat("0", zeros) + "3/8"
		if m, err := ParseMeter(text); (err == nil) != ok || ok && m.String() != "3/8" {
			t.Errorf("%d bytes: %v, %v", len(text), m, err)
		}
	}
}
