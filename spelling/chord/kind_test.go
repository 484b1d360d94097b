package chord_test

import (
	"fmt"
	"strings"
	"testing"

	"example.com/keyorder/figure/figuretest"
	"example.com/keyorder/interval"
	. "example.com/keyorder/spelling/chord"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// standard are the kinds of chord that are used, as the documentation of
// kind-value in MusicXML 4.0's musicxml.xsd describes each; major triad, for
// one, is written out.
var standard = map[string]string{
	"major":              "P1 M3 P5",
	"minor":              "P1 m3 P5",
	"augmented":          "P1 M3 A5",
	"diminished":         "P1 m3 d5",
	"dominant":           "P1 M3 P5 m7",
	"major-seventh":      "P1 M3 P5 M7",
	"minor-seventh":      "P1 m3 P5 m7",
	"diminished-seventh": "P1 m3 d5 d7",
	"augmented-seventh":  "P1 M3 A5 m7",
	"half-diminished":    "P1 m3 d5 m7",
	"major-minor":        "P1 m3 P5 M7",
	"major-sixth":        "P1 M3 P5 M6",
	"minor-sixth":        "P1 m3 P5 M6",
	"dominant-ninth":     "P1 M3 P5 m7 M9",
	"major-ninth":        "P1 M3 P5 M7 M9",
	"minor-ninth":        "P1 m3 P5 m7 M9",
	"dominant-11th":      "P1 M3 P5 m7 M9 P11",
	"major-11th":         "P1 M3 P5 M7 M9 P11",
	"minor-11th":         "P1 m3 P5 m7 M9 P11",
	"dominant-13th":      "P1 M3 P5 m7 M9 P11 M13",
	"major-13th":         "P1 M3 P5 M7 M9 P11 M13",
	"minor-13th":         "P1 m3 P5 m7 M9 P11 M13",
	"suspended-second":   "P1 M2 P5",
	"suspended-fourth":   "P1 P4 P5",
	"power":              "P1 P5",
}

// readBack makes a quality of a kind and its degrees as the standard's text
// tells a reader to, with intervals for members and nothing of this package.
func readBack(kind string, degrees []Degree) (interval.Set, error) {
	text, ok := standard[kind]
	if !ok {
		return 0, fmt.Errorf("no kind %q", kind)
	}
	q := interval.MustParseSet(text)
	kindQuality := q
	inKind := func(number int) (interval.Interval, error) {
		for i := range kindQuality.Intervals() {
			if i.Steps()%7 == (number-1)%7 {
				return i, nil
			}
		}
		return 0, fmt.Errorf("%s has no %d", kind, number)
	}
	for _, d := range degrees {
		switch d.Change {
		case "add":
			// relative to a dominant chord: major and perfect, the seventh minor
			from := [...]interval.Interval{interval.PerfectUnison, interval.MajorSecond, interval.MajorThird, interval.PerfectFourth,
				interval.PerfectFifth, interval.MajorSixth, interval.MinorSeventh}[(d.Number-1)%7]
			more, ok := q.With(from + interval.Interval(d.Alter))
			if !ok || more == q {
				return 0, fmt.Errorf("%v adds nothing to %v", d, q)
			}
			q = more
		case "alter", "subtract":
			i, err := inKind(d.Number)
			if err != nil {
				return 0, err
			}
			q = q.Without(i)
			if d.Change == "alter" {
				q, _ = q.With(i + interval.Interval(d.Alter))
			} else if d.Alter != 0 {
				return 0, fmt.Errorf("%v subtracts and alters", d)
			}
		default:
			return 0, fmt.Errorf("no change %q", d.Change)
		}
	}
	return q, nil
}

func TestLawKindAndDegreesMakeTheChord(t *testing.T) {
	check := func(t interface{ Fatalf(string, ...any) }, c Chord) {
		kind, degrees := c.Kind()
		if q, err := readBack(kind, degrees); err != nil || q != c.Quality() {
			t.Fatalf("%v is %s with %v, which is read as %v, %v", c, kind, degrees, q, err)
		}
	}
	for _, r := range table(t) {
		check(t, MustParse(r.symbol))
	}
	for _, c := range someChords() {
		check(t, c)
	}
	rapid.Check(t, func(t *rapid.T) { check(t, drawn(figuretest.Chord).Draw(t, "c")) })
}

// TestKinds are read by hand from the standard's description.
func TestKinds(t *testing.T) {
	for symbol, want := range map[string]string{
		"C": "major", "Cm": "minor", "Cdim": "diminished", "C+": "augmented", "C5": "power",
		"C7": "dominant", "Cmaj7": "major-seventh", "Cm7": "minor-seventh", "Cdim7": "diminished-seventh",
		"C+7": "augmented-seventh", "Cm7b5": "half-diminished", "Cm(maj7)": "major-minor",
		"C6": "major-sixth", "Cm6": "minor-sixth", "C9": "dominant-ninth", "Cmaj9": "major-ninth", "Cm9": "minor-ninth",
		"C11": "dominant-11th", "Cmaj11": "major-11th", "Cm11": "minor-11th", "Cm13": "minor-13th",
		"Csus2": "suspended-second", "Csus4": "suspended-fourth",

		"C13":        "dominant-13th, subtract 11",
		"Cmaj13":     "major-13th, subtract 11",
		"C13(#11)":   "dominant-13th, alter 11 +1",
		"C6/9":       "major-sixth, add 9",
		"Cadd9":      "major, add 9",
		"C7(b9)":     "dominant, add 9 -1",
		"C7(#9)":     "dominant, add 9 +1",
		"C7(b5,b9)":  "dominant, alter 5 -1, add 9 -1",
		"C7alt":      "dominant, alter 5 +1, add 9 +1",
		"C7(b9,#9)":  "dominant, add 9 -1, add 9 +1",
		"C7(b5,#5)":  "dominant, alter 5 -1, add 5 +1",
		"C7sus4":     "suspended-fourth, add 7",
		"Cmaj7sus4":  "suspended-fourth, add 7 +1",
		"C9sus4":     "suspended-fourth, add 7, add 9",
		"C13(b9)":    "dominant-13th, alter 9 -1, subtract 11",
		"Cm9(b5)":    "half-diminished, add 9",
		"Cm7(#5)":    "minor-seventh, alter 5 +1",
		"Cdim(maj7)": "diminished, add 7 +1",
		"Cm(maj9)":   "major-minor, add 9",
		"Cm7(11)":    "minor-seventh, add 11",
		"Cm13(#11)":  "minor-13th, alter 11 +1",
		"C7(b13)":    "dominant, add 13 -1",
		"C(addb6)":   "major, add 6 -1",
		"Cm6(b5)":    "minor-sixth, alter 5 -1",
		"Cm6/9(b5)":  "minor-sixth, alter 5 -1, add 9",
		"C7(no3)":    "dominant, subtract 3",
	} {
		kind, degrees := MustParse(symbol).Kind()
		got := []string{kind}
		for _, d := range degrees {
			text := fmt.Sprintf("%s %d", d.Change, d.Number)
			if d.Alter != 0 {
				text += fmt.Sprintf(" %+d", d.Alter)
			}
			got = append(got, text)
		}
		if d := cmp.Diff(want, strings.Join(got, ", ")); d != "" {
			t.Errorf("%s: %s", symbol, d)
		}
	}
}
