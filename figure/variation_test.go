package figure

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"example.com/keyorder/pitch/fault"
	"pgregory.net/rapid"
)

// sounding returns the events that are no rests, without their lengths.
func sounding(f Figure) (all []string) {
	for it := range f.Items() {
		if len(it.Degrees) > 0 {
			it.Chord = nil
			it.Length = f.Unit()
			all = append(all, string(it.append(nil, true, f.Unit())))
		}
	}
	return all
}

// beginsWithANote and has no two rests side by side, so that its rests are one way
// to write them.
func beginsWithANote(f Figure) bool {
	rest := true
	for it := range f.Items() {
		if rest && it.isRest() {
			return false
		}
		rest = it.isRest()
	}
	return true
}

// TestLawDisplacingThereAndBackIsTheIdentity: the notes stand where they stood, and
// in between all of them are later by the same length.
func TestLawDisplacingThereAndBackIsTheIdentity(t *testing.T) {
	whole := 0
	rapid.Check(t, func(t *rapid.T) {
		f := AnyFigure.Draw(t, "figure")
		by := f.Unit() * Length(rapid.IntRange(-9, 9).Draw(t, "by"))
		if rapid.Bool().Draw(t, "later") {
			by = Length(rapid.IntRange(0, 500).Draw(t, "parts"))
		}
		g, err := f.Displaced(by)
		if err != nil {
			if by >= 0 && f.Pickup() == 0 {
				t.Fatalf("%v by %v: %v", f, by, err)
			}
			return // over a barline
		}
		there, was := g.In(0), f.In(0)
		for k := range was {
			was[k].Onset += by
		}
		if !slices.Equal(there, was) || g.Scale() != f.Scale() || g.Unit() != f.Unit() {
			t.Fatalf("%v by %v is %v", f, by, g)
		}
		back, err := g.Displaced(-by)
		if err != nil || !slices.Equal(back.In(0), f.In(0)) {
			t.Fatalf("%v by %v is %v, and back %v, %v", f, by, g, back, err)
		}
		if beginsWithANote(f) {
			whole++
			if !back.Equal(f) {
				t.Fatalf("%v by %v is %v, and back %v", f, by, g, back)
			}
		}
		if straight := f.Pickup() == 0 && by >= 0; straight && g.Length() != f.Length()+by {
			t.Fatalf("%v by %v lasts %v", f, by, g.Length())
		}
	})
	if whole < 5 {
		t.Errorf("%d figures come back equal", whole)
	}
}

// TestLawARhythmKeepsTheNotes, and gives them its lengths, again and again.
func TestLawARhythmKeepsTheNotes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := AnyFigure.Draw(t, "figure")
		lengths := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Length {
			l := Length(rapid.IntRange(1, 100).Draw(t, "length"))
			if rapid.IntRange(0, 2).Draw(t, "rest") == 0 {
				l = -l
			}
			return l
		}), 1, 6).Draw(t, "lengths")
		g, err := f.InRhythm(lengths...)
		if err != nil {
			if slices.Max(lengths) > 0 {
				t.Fatalf("%v in %v: %v", f, lengths, err)
			}
			return
		}
		if !slices.Equal(sounding(g), sounding(f)) || g.Scale() != f.Scale() {
			t.Fatalf("%v in %v is %v", f, lengths, g)
		}
		if len(sounding(f)) == 0 {
			return
		}
		k := 0
		for it := range g.Items() {
			want := lengths[k%len(lengths)]
			if it.isRest() {
				want = -want
			}
			if it.Length != want {
				t.Fatalf("%v in %v is %v", f, lengths, g)
			}
			k++
		}
		if end := k % len(lengths); end > 0 && lengths[end] < 0 {
			t.Fatalf("%v in %v is %v, without the rest at the end", f, lengths, g)
		}
		if again, err := g.InRhythm(lengths...); err != nil || !again.Equal(g) {
			t.Fatalf("%v in %v is %v, and again %v, %v", f, lengths, g, again, err)
		}
	})
}

// TestLawLeapsAndScalesGoBack: a leap up and down is the identity, and moves one
// event; another scale and the first again is the identity.
func TestLawLeapsAndScalesGoBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := AnyFigure.Draw(t, "figure")
		n, octaves := rapid.IntRange(1, 12).Draw(t, "note"), rapid.IntRange(-3, 3).Draw(t, "octaves")
		if g, err := f.Leap(n, octaves); err == nil {
			a, b := sounding(f), sounding(g)
			for k := range a {
				if (a[k] != b[k]) != (k == n-1 && octaves != 0) {
					t.Fatalf("%v with a leap of %d is %v", f, n, g)
				}
			}
			if back, err := g.Leap(n, -octaves); err != nil || !back.Equal(f) {
				t.Fatalf("%v with a leap of %d is %v, and back %v, %v", f, n, g, back, err)
			}
		} else if n <= len(sounding(f)) && octaves == 0 {
			t.Fatal(err)
		}
		s := AnyScale.Draw(t, "scale")
		if g, err := f.InScale(s); err == nil {
			if back, err := g.InScale(f.Scale()); err != nil || !back.Equal(f) || g.Scale() != s || !slices.Equal(sounding(g), sounding(f)) {
				t.Fatalf("%v in %v is %v, and back %v, %v", f, s, g, back, err)
			}
		}
	})
}

// TestLawABeginningIsTheFirstNotes: at their distances, with nothing after the last,
// and the beginning of a beginning is that of the figure.
func TestLawABeginningIsTheFirstNotes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := AnyFigure.Draw(t, "figure")
		n, m := rapid.IntRange(1, 12).Draw(t, "notes"), rapid.IntRange(1, 12).Draw(t, "of them")
		g, err := f.First(n)
		if err != nil {
			t.Fatalf("the first %d of %v: %v", n, f, err)
		}
		all := sounding(f)
		if want := all[:min(n, len(all))]; !slices.Equal(sounding(g), want) || g.Scale() != f.Scale() || g.Unit() != f.Unit() {
			t.Fatalf("the first %d of %v are %v, want %v", n, f, g, want)
		}
		if n >= len(all) {
			if !g.Equal(f) {
				t.Fatalf("the first %d of %v, which is all, are %v", n, f, g)
			}
			return
		}
		was, is := f.In(0), g.In(0)
		for k := range is {
			if is[k].Onset-is[0].Onset != was[k].Onset-was[0].Onset || is[k].Length != was[k].Length {
				t.Fatalf("the first %d of %v are %v: note %d lies elsewhere", n, f, g, k+1)
			}
		}
		var last Item
		for it := range g.Items() {
			last = it
		}
		if last.isRest() {
			t.Fatalf("the first %d of %v end with a rest: %v", n, f, g)
		}
		fewer, err := g.First(m)
		if want, e := f.First(min(n, m)); err != nil || e != nil || !fewer.Equal(want) {
			t.Fatalf("the first %d of the first %d of %v are %v, not %v", m, n, f, fewer, want)
		}
	})
}

func anyVariation() *rapid.Generator[Variation] {
	return rapid.Custom(func(t *rapid.T) Variation {
		v := Variation{kind: variation(rapid.IntRange(0, int(beginning)).Draw(t, "kind"))}
		switch v.kind {
		case inversion:
			v.about = AnyDegree(Major).Draw(t, "about")
		case rotation:
			v.n = rapid.IntRange(-20, 20).Draw(t, "n")
		case displaced:
			v.by = Length(rapid.IntRange(-200, 200).Draw(t, "by"))
		case rhythm:
			lengths := rapid.SliceOfN(rapid.IntRange(1, 100), 1, 5).Draw(t, "lengths")
			all := []Length{24}
			for _, l := range lengths {
				all = append(all, Length(l), -Length(l), -24)
			}
			v.rhythm = formatRhythm(all)
		case leap:
			v.n, v.by = rapid.IntRange(1, 20).Draw(t, "n"), rapid.SampledFrom([]Length{-1, 1}).Draw(t, "up")
		case inScale:
			v.scale = AnyScale.Draw(t, "scale")
		case beginning:
			v.n = rapid.IntRange(1, 20).Draw(t, "n")
		}
		return v
	})
}

// TestLawVariationText: a variation has a text that reads as it is.
func TestLawVariationText(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := anyVariation().Draw(t, "variation")
		text, err := v.MarshalText()
		back := MustParseVariation("retrograde")
		if e := back.UnmarshalText(text); err != nil || e != nil || back != v || string(text) != v.String() {
			t.Fatalf("%v is marshalled as %q and read as %v (%v, %v)", v, text, back, err, e)
		}
		if v == (Variation{}) {
			return
		}
		if got, err := ParseVariation(" " + strings.ReplaceAll(v.String(), " ", "  ") + " "); err != nil || got != v {
			t.Fatalf("%v is read as %v, %v", v, got, err)
		}
	})
}

// TestLawVariationsOverChanges: what stands over changes is varied in its cell.
func TestLawVariationsOverChanges(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cell := anyCell().Draw(t, "cell")
		c := anyChanges(cell).Draw(t, "changes")
		f, err := cell.Over(c)
		if err != nil {
			return
		}
		v := anyVariation().Draw(t, "variation")
		got, err := v.Apply(f)
		varied, bad := v.Apply(cell)
		var want Figure
		if bad == nil {
			want, bad = varied.Over(c)
		}
		if (err == nil) != (bad == nil) || err == nil && !got.Equal(want) {
			t.Fatalf("%v, %v: %v, %v; want %v, %v", f, v, got, err, want, bad)
		}
	})
}

// TestVariations are variations read by hand.
func TestVariations(t *testing.T) {
	for _, test := range [][3]string{
		{"3 5 1 6", "retrograde", "6 1 5 3"},
		{"3 5 1 6", "Inversion about 3", "3 1 5 v7"},
		{"1 3", "inversion", "1 v6"},
		{"3 5 1 6", "rotation", "5 1 6 3"},
		{"3 5 1 6", "rotation -1", "6 3 5 1"},
		{"3 5 1 6", "displaced 1/8", "0 3 5 1 6"},
		{"3 5 1 6", "displaced -1/8", "3 | 5 1 6"},
		{"3 | 5 1 6", "displaced 1/4", "0 3 5 1 6"},
		{"3 | 5 1 6", "displaced 1/8", "3 5 1 6"},
		{"0:2 3 5", "displaced -1/8", "0 3 5"},
		{"1 0:256 0:256 3", "displaced 0", "1 0:512 3"},
		{"1 0:256 0:257 3", "displaced 0", "1 0:256 0:257 3"},
		{"{1 7} 0:2 3 5", "displaced -1/8", "{1 7} 0 | 0 3 5"},
		{"1 0:2 3 5", "displaced -1/4", "1 0 | 0 3 5"},
		{"1 0 | 0 3 5", "displaced 1/8", "1 | 0:2 3 5"},
		{"3 5 1 6 by 1/16", "displaced 3/16", "0:3 3 5 1 6 by 1/16"},
		{"3 5 1 6", "rhythm 3 1", "3:3 5 1:3 6"},
		{"3 5 1 6", "rhythm 1 0 1/2, 0:3/2", "3 0 5:1/2 0:3/2 1 0 6:1/2 0:3/2"},
		{"3 5 1", "rhythm 0 2", "0 3:2 0 5:2 0 1:2"},
		{"v5 | {1 7} 0 3 {5 7} 5", "rhythm 2 0 1", "v5:2 | 0 {1 7} 3 {5 7} 5:2 0"},
		{"1+3 5", "octave up 1", "8+10 5"},
		{"3 0 5 1 6", "octave down 3", "3 0 5 v1 6"},
		{"92 1", "octave up 1", "99 1"},
		{"vv1 1", "octave down 1", "vvv1 1"},
		{"5 2 b3:2 1", "in dorian", "5 2 b3:2 1 in dorian"},
		{"3 5 1 6 over {2 m7} {5 7}:8", "retrograde", "6 1 5 3 over {2 m7} {5 7}:8"},
		{"3 5 1 6 over {2 m7} {5 7}:8", "rotation 3", "6 3 5 1 over {2 m7} {5 7}:8"},
		{"3 5 1 6 over 2-5-1:8", "displaced 1/4", "0:2 3 5 1 6 over 2-5-1:8"},
		{"3 5 1 6 over 2-5-1", "inversion about 3", "3 1 5 v7 over 2-5-1"},
		{"3 5 1 6 over blues", "in mixolydian", "3 5 1 6 over blues in mixolydian"},
		{"3 0 5:2 1 6", "first 2", "3 0 5:2"},
		{"3 5 | 1 6:3 0", "first 3", "3 5 | 1"},
		{"3 5 | 1 6:3", "first 2", "3 5"},
		{"0 3 5 1", "First 1", "0 3"},
		{"3 5 0", "first 9", "3 5 0"},
		{"3 5 1 6 over {2 m7} {5 7}:8", "first 2", "3 5 over {2 m7} {5 7}:8"},
		{"3 5 1 6", "", "3 5 1 6"},
	} {
		var v Variation
		if err := v.UnmarshalText([]byte(test[1])); err != nil {
			t.Error(err)
			continue
		}
		if got, err := v.Apply(MustParse(test[0])); err != nil || got.Plain() != test[2] {
			t.Errorf("%s, %s: %s, %v; want %s", test[0], test[1], got.Plain(), err, test[2])
		}
	}
	// The empty figure has nothing to vary, a rest no note to give a length.
	for _, text := range []string{"retrograde", "displaced 1/8", "rhythm 1 2", "in dorian", "rotation 3", "inversion", "first 2"} {
		if got, err := MustParseVariation(text).Apply(Figure{}); err != nil && text != "inversion" || !got.Equal(Figure{}) {
			t.Errorf("%s: %v, %v", text, got, err)
		}
	}
	if got, err := MustParse("0:3").InRhythm(1); err != nil || got.Plain() != "0:3" {
		t.Errorf("%v, %v", got, err)
	}
}

func TestVariationsRefused(t *testing.T) {
	for text, want := range map[string]string{
		"":                                  "variation: a variation is one of retrograde, inversion about 3",
		"backwards":                         `variation "backwards": a variation is one of`,
		"retrograde 2":                      `at character 12: a variation is one of`,
		"retrogrades":                       `variation "retrogrades": a variation is one of`,
		"inversion on 3":                    `at character 11: a degree is a number`,
		"rotation x":                        `at character 10: a rotation is by a number of events`,
		"rotation 9999":                     `at character 10: a rotation is by a number of events`,
		"displaced":                         `a figure is displaced by a note value`,
		"displaced 65":                      `at character 11: a figure is displaced by a note value`,
		"displaced 1/7":                     `at character 11: a figure is displaced`,
		"rhythm":                            `a rhythm is a list of lengths in eighths`,
		"rhythm 0 0:3":                      `at character 8: a rhythm is a list`,
		"rhythm 1 x":                        `at character 10: a rhythm is a list`,
		"rhythm 1 0:0":                      `at character 10: a rhythm is a list`,
		"octave 3":                          ``,
		"octave up":                         `an octave's leap is that of one note`,
		"octave down 0":                     `at character 13: an octave's leap`,
		"first":                             `the beginning of a figure is a number`,
		"first 0":                           `at character 7: the beginning of a figure`,
		"first 4097":                        `at character 7: the beginning of a figure`,
		"in the moment":                     `at character 4: no scale has this name`,
		"rhythm" + strings.Repeat(" 1", 65): `at character 136: a rhythm is a list`,
		"rotation 4097":                     `at character 10: a rotation is by a number of events, as rotation 2, at most 4096`,
		"rotation -4097":                    `at character 10: a rotation is by a number of events`,
		"displaced 12289/192":               `at character 11: a figure is displaced by a note value`,
		"displaced -12289/192":              `at character 11: a figure is displaced by a note value`,
		"rhythm 12289/24":                   `at character 8: a rhythm is a list`,
		"octave up 4097":                    `at character 11: an octave's leap`,
	} {
		v, err := ParseVariation(text)
		var bad *fault.SyntaxError
		if want == "" {
			if err != nil || v.String() != "octave up 3" {
				t.Errorf("%s: %v, %v", text, v, err)
			}
			continue
		}
		if !errors.As(err, &bad) || bad.Input != text || !strings.Contains(err.Error(), want) || v != (Variation{}) {
			t.Errorf("%s: %v, %v\nwant %s", text, v, err, want)
		}
	}
	for _, text := range []string{
		"rotation 4096", "rotation -4096", "displaced 64", "displaced -64", "rhythm 512", "rhythm" + strings.Repeat(" 1", 64), "octave up 4096", "octave down 1",
	} {
		if v, err := ParseVariation(text); err != nil || v.String() != text {
			t.Errorf("%s: %v, %v", text, v, err)
		}
	}
	// By 64 whole notes either way, and no more.
	long := MustParse("0:512 0:512 1")
	for by, ok := range map[Length]bool{MaxLength: true, -MaxLength: true, MaxLength + 1: false, -MaxLength - 1: false} {
		if f, err := long.Displaced(by); (err == nil) != ok || ok && f.In(0)[0].Onset != 2*MaxLength+by {
			t.Errorf("%v by %v: %v, %v", long, by, f, err)
		}
	}
	for _, test := range [][3]string{
		{"1:3 5", "displaced -1/8", "a note would sound over the downbeat"},
		{"1 5", "displaced -1/4", "nothing would follow the downbeat"},
		{"3 5 1 6 over 2-5-1:8", "displaced -1/8", "a cell over changes begins on the downbeat"},
		{"3 5 1 6 over 2-5-1:4", "displaced 1/8", "a chord lasts at least as long as the cell"},
		{"3 5", "octave up 3", "the note that leaps is one of the figure's"},
		{"3 99", "octave up 2", "its leap ends beyond the degrees"},
		{"93 1", "octave up 1", "its leap ends beyond the degrees"},
		{"vv7 vvv7", "octave down 2", "its leap ends beyond the degrees"},
		{"3 5 over 2-5-1", "octave up 3", "the note that leaps is one of the figure's"},
		{"1 4", "in minor pentatonic", ""},
		{"1 2", "in minor pentatonic", "has no plain 2"},
		{"1+8 4", "octave up 1", ""},
		{"#1 1", "in phrygian", ""},
		{"b3 1", "inversion", "not in the major scale"},
	} {
		got, err := MustParseVariation(test[1]).Apply(MustParse(test[0]))
		var value *fault.ValueError
		if test[2] == "" {
			if err != nil {
				t.Errorf("%s, %s: %v", test[0], test[1], err)
			}
			continue
		}
		if !errors.As(err, &value) || !strings.Contains(err.Error(), test[2]) || !got.Equal(Figure{}) {
			t.Errorf("%s, %s: %v, %v; want %s", test[0], test[1], got, err, test[2])
		}
	}
	f := MustParse("1 3 5")
	for what, err := range map[string]error{
		"no rhythm": second(f.InRhythm()), "rests": second(f.InRhythm(-1)), "no length": second(f.InRhythm(1, 0)),
		"far": second(f.Displaced(MaxLength + 1)), "far back": second(f.Displaced(-1 << 31)), "leap": second(f.Leap(1, 1<<30)), "note 0": second(f.Leap(0, 1)),
		"rests without end": second(MustParse(strings.Repeat("1 ", 4096)).InRhythm(append(slices.Repeat([]Length{-1}, 63), 1)...)),
		"scale":             second(f.InScale(^Scale(0))),
		"a rest too many":   second(MustParse(strings.Repeat("1 ", 1366)).InRhythm(1, -1, -1)),
	} {
		var value *fault.ValueError
		if !errors.As(err, &value) {
			t.Errorf("%s: %v", what, err)
		}
	}
	v := MustParseVariation("rhythm 3 1")
	if v.UnmarshalText([]byte("x")) == nil || fmt.Sprintf("%v %#v %#v", v, v, Variation{}) != `rhythm 3 1 figure.MustParseVariation("rhythm 3 1") figure.Variation{}` {
		t.Errorf("%v %#v", v, v)
	}
	defer func() {
		if recover() == nil {
			t.Error("no panic")
		}
	}()
	MustParseVariation("x")
}

func FuzzParseVariation(f *testing.F) {
	for _, text := range []string{"retrograde", "inversion about b3", "rotation -2", "displaced -3/16", "rhythm 3 1 0 0:2 1/2", "octave down 3", "in dorian"} {
		f.Add(text)
	}
	figure := MustParse("v5 | {1 7} 3 0:2 5+1")
	f.Fuzz(func(t *testing.T, text string) {
		v, err := ParseVariation(text)
		if err != nil {
			return
		}
		if got, err := ParseVariation(v.String()); err != nil || got != v {
			t.Fatalf("%q is read as %v, and that as %v, %v", text, v, got, err)
		}
		_, _ = v.Apply(figure)
	})
}
