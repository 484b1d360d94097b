package figure

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"slices"
	"strings"
	"testing"

	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// suffixes that can be read, of all kinds that the order of a bare number tells
// apart.
var suffixes = []string{"", "m7", "7", "maj7", "m7b5", "7b9", "7#9", "7alt", "dim7", "m6", "13", "7sus4", "6/9", "maj7#11", "maj7/3", "7/b7"}

// anyCell is a figure that can stand over changes: bare degrees that most chords
// have a note for, and explicit ones.
func anyCell() *rapid.Generator[Figure] {
	return rapid.Custom(func(t *rapid.T) Figure {
		scale := AnyScale.Draw(t, "scale")
		unit := rapid.SampledFrom([]Length{Quarter, Eighth, Sixteenth, 16, 1}).Draw(t, "unit")
		items := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Item {
			it := Item{Length: unit * Length(rapid.IntRange(1, 4).Draw(t, "units"))}
			if rapid.IntRange(0, 5).Draw(t, "rest") > 0 {
				d := Degree{Step: int8(rapid.IntRange(-7, 14).Draw(t, "step"))}
				if _, bare := scale.bare(int(d.Step)); !bare || rapid.IntRange(0, 3).Draw(t, "explicit") == 0 {
					d.Explicit, d.Alteration = true, int8(rapid.IntRange(-1, 1).Draw(t, "alteration"))
				}
				it.Degrees = []Degree{d}
			}
			return it
		}), 1, 8).Draw(t, "items")
		f, err := New(scale, unit, 0, items...)
		if err != nil {
			t.Fatal(err)
		}
		return f
	})
}

// anyChanges are listed changes or a form, over which a cell fits.
func anyChanges(cell Figure) *rapid.Generator[Changes] {
	return rapid.Custom(func(t *rapid.T) Changes {
		if rapid.IntRange(0, 3).Draw(t, "form") == 0 {
			c := rapid.SampledFrom(slices.Collect(Forms())).Draw(t, "form")
			if c.barLength() > 0 || rapid.Bool().Draw(t, "timed") {
				c.bar = cell.Length() * Length(rapid.IntRange(1, 3).Draw(t, "bar"))
			}
			return c
		}
		return ChangesOf(rapid.SliceOfN(rapid.Custom(func(t *rapid.T) Change {
			d := Degree{Step: int8(rapid.IntRange(0, 6).Draw(t, "root"))}
			if _, bare := cell.Scale().bare(int(d.Step)); !bare || rapid.Bool().Draw(t, "explicit") {
				d.Explicit, d.Alteration = true, int8(rapid.IntRange(-1, 1).Draw(t, "alteration"))
			}
			c := Change{Chord: Chord{d, rapid.SampledFrom(suffixes).Draw(t, "suffix")}}
			if rapid.Bool().Draw(t, "timed") {
				c.Length = cell.Length() + cell.Unit()*Length(rapid.IntRange(0, 5).Draw(t, "more"))
			}
			return c
		}), 1, 6).Draw(t, "list")...)
	})
}

// TestLawOver: what stands over changes has a text that reads as it is, in JSON
// too, gives its cell and changes back, and is the cell at each chord: as many
// notes at the same times, letters as far from the root as the cell's from its
// tonic, explicit degrees as stated.
func TestLawOver(t *testing.T) {
	stated := 0
	property := func(t *rapid.T) {
		cell := anyCell().Draw(t, "cell")
		c := anyChanges(cell).Draw(t, "changes")
		f, err := cell.Over(c)
		if err != nil {
			var value *fault.ValueError
			if !errors.As(err, &value) || !f.Equal(Figure{}) {
				t.Fatalf("%v over %v: %v, %v", cell, c, f, err)
			}
			return // a bare number without a note, for one
		}
		stated++
		for _, text := range []string{f.String(), f.Plain()} {
			got, err := Parse(text)
			if err != nil || !got.Equal(f) || got.Unit() != f.Unit() || got.String() != f.String() {
				t.Fatalf("%q parses as %q, %v", text, got, err)
			}
		}
		data, err := json.Marshal(f)
		var back Figure
		if err != nil || json.Unmarshal(data, &back) != nil || !back.Equal(f) {
			t.Fatalf("%s is %v, %v", data, back, err)
		}
		gotCell, gotChanges, ok := f.Changes()
		if !ok || !gotCell.Equal(cell) || !gotChanges.equal(c) {
			t.Fatalf("%v is made of %v and %v", f, gotCell, gotChanges)
		}
		list, err := c.In(cell.Scale())
		if err != nil {
			t.Fatal(err)
		}
		events, chords := f.In(0), slices.Collect(f.Chords(0))
		written := cell.In(0)
		var at Length
		for n, change := range list {
			root, _ := change.Chord.Root.Above(cell.Scale())
			if chords[n].Onset != at || chords[n].Root != spelling.Name(0).Up(root) {
				t.Fatalf("%v: chord %d is %v at %v", f, n, chords[n], chords[n].Onset)
			}
			last := f.Chorus() && n == len(list)-1
			for k, e := range written {
				if last {
					break
				}
				got := events[0]
				events = events[1:]
				if got.Onset != at+e.Onset || got.Length != e.Length || spelling.Note(0).Up(root).To(got.Note).Steps() != spelling.Note(0).To(e.Note).Steps() {
					t.Fatalf("%v: note %d over chord %d is %+v", f, k, n, got)
				}
				if d := cell.items[slices.IndexFunc(cell.items, func(it Item) bool { return len(it.Degrees) > 0 })].Degrees[0]; k == 0 && d.Explicit && got.Note != spelling.Note(0).Up(root+above(int(d.Step), int(d.Alteration))) {
					t.Fatalf("%v: %v over chord %d is %v", f, d, n, got.Note)
				}
			}
			if change.Length == 0 {
				at += cell.Length()
			}
			at += change.Length
		}
		if len(events) > 0 || f.Length() != at || f.Pickup() != 0 {
			t.Fatalf("%v: %d notes too many, length %v", f, len(events), f.Length())
		}
	}
	for round := 0; round < 20 && stated < 20; round++ { // however few draws are asked for
		rapid.Check(t, property)
	}
	if stated < 20 {
		t.Errorf("%d cells stated", stated)
	}
}

// TestLawACellOverItsOwnTonicChordIsTheCell, for every chord of stacked thirds on
// the tonic that the scale has.
func TestLawACellOverItsOwnTonicChordIsTheCell(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cell := anyCell().Draw(t, "cell")
		for _, suffix := range symbolsIn(cell.Scale()) {
			f, err := cell.Over(ChangesOf(Change{Chord: Chord{Suffix: suffix}}))
			if err != nil {
				t.Fatalf("%v over %s: %v", cell, suffix, err)
			}
			if diff := cmp.Diff(cell.In(0), f.In(0)); diff != "" {
				t.Fatalf("%v over %s: %s", cell, suffix, diff)
			}
			items := slices.Collect(f.Items())
			items[0].Chord = nil
			flat, err := New(f.Scale(), f.Unit(), 0, items...)
			if err != nil || !flat.Equal(cell) {
				t.Fatalf("%v over %s is %v, %v", cell, suffix, flat, err)
			}
		}
	})
}

// symbolsIn returns the suffixes of chords on the tonic whose members are the
// scale's own plain or only forms.
func symbolsIn(s Scale) (in []string) {
	for _, suffix := range append(suffixes, "m", "m(maj7)", "maj7#5", "5") {
		c, err := Chord{Suffix: suffix}.at(Major)
		_, q, bad := c.quality()
		if err != nil || bad != nil || c.slash {
			continue
		}
		own := true
		for i := range q.Intervals() {
			a, ok := s.bare(i.Steps())
			own = own && ok && above(i.Steps(), a) == i
		}
		if own {
			in = append(in, suffix)
		}
	}
	return in
}

// TestLawTransposingChanges: on another tonic every note and chord of a figure over
// changes lies the same interval away.
func TestLawTransposingChanges(t *testing.T) {
	for c := range Forms() {
		f := MustParse("3 5 1 6 over " + c.Plain())
		for n := spelling.Name(-6); n <= 8; n++ {
			up := spelling.Note(0).To(n.In(0))
			for k, e := range f.In(n.In(0)) {
				if want := f.In(0)[k]; e.Note != want.Note.Up(up) {
					t.Errorf("%v on %v: %v", f, n, e.Note)
				}
			}
			chords := slices.Collect(f.Chords(n))
			for k, ch := range slices.Collect(f.Chords(0)) {
				if chords[k].Root != ch.Root.Up(up) || chords[k].Suffix != ch.Suffix {
					t.Errorf("%v on %v: %v", f, n, chords[k])
				}
			}
		}
	}
}

// TestBareOverAChord: what a bare number is, in the design's order, read by hand.
// Which scale the third way takes stands in testdata/chord-scales.tsv.
func TestBareOverAChord(t *testing.T) {
	for text, want := range map[string]string{
		// The chord's own note goes first, b9 before #9, plain before altered.
		"3 5 7 over {2 m7}":      "F A C",
		"3 5 7 9 over {5 7b9#9}": "B D F A♭",
		"9 over {5 7#9}":         "A♯",
		"4 over {5 13#11}":       "C♯",
		"5 7 over {7 dim7}":      "F A♭",
		"7 over {1 6/9/7}":       "B", // a bass is of the chord
		"7 over {1 6/b7}":        "B♭",
		"4 over {2 m7/b5}":       "G♭", // and counts from the tonic
		"4 over {5 7sus4}":       "C",
		"4 over {1 maj7/##4}":    "F𝄪",
		// Then the figure's scale from the root, if it holds the chord by sound.
		"2 6 over {3 m7}":                    "F C",   // phrygian
		"4 over {4 maj7}":                    "B",     // lydian
		"2 6 over {5 7} in harmonic minor":   "A♭ E♭", // phrygian dominant
		"6 over {2 m7}":                      "B",     // dorian
		"6 over {6 m7}":                      "F",     // aeolian
		"2 over {7 m7b5}":                    "C",     // locrian
		"6 over {#1 dim7} in harmonic minor": "A♯",    // it does not: whole-half from C♯
		"2 over {1 +7} in altered":           "D♭",    // its plain 2 is the lower one, in every octave
		"2 over {8 +7} in altered":           "D♭",
		"2 over {v1 +7} in altered":          "D♭",
		// Then the scale that usage sets beside it.
		"6 over {1 m7}":              "A",    // dorian, in major
		"2 6 over {5 7b9} in dorian": "A♭ E", // half-whole; its b9 is the chord's
		"4 over {b2 maj7}":           "G♭",
		"2 4 6 over {5 7alt}":        "A♯ C♯ E♭",
		"2 4 6 over {5 7b9#5}":       "A♭ C♯ E♭",
		// A pentatonic figure has no fourth of its own over a chord that it holds.
		"4 over {1 6} in major pentatonic":  "",
		"n4 over {1 6} in major pentatonic": "F",
		// An accidental is stated against the major scale on the chord's root.
		"b3 #4 n7 over {2 m7}":   "F G♯ C♯",
		"v7 8 10 over {5 7}":     "F G B",
		"1+3+5 over {4 7} {1 7}": "F A C C E G",
	} {
		cell, _, _ := strings.Cut(text, " over ")
		f, err := Parse(text)
		if want == "" {
			if _, alone := Parse(cell + " in major pentatonic"); alone == nil {
				t.Errorf("%s is a cell", cell)
			}
			continue
		}
		var got []string
		for _, n := range f.AppendNotes(nil, spelling.MustParse("C4")) {
			got = append(got, n.Name().String())
		}
		if err != nil || strings.Join(got, " ") != want {
			t.Errorf("%s: %v, %v; want %s", text, got, err, want)
		}
	}
}

// TestForms are the forms, exactly, read by hand, and how they read in text.
func TestForms(t *testing.T) {
	bars := func(chords string) string { return strings.ReplaceAll(chords, "}", "}:8") }
	want := map[string]string{
		"2-5-1":             "{2 m7} {5 7} {1 maj7}",
		"minor 2-5-1":       "{2 m7b5} {5 7b9} {1 m6}",
		"1-6-2-5":           "{1 maj7} {6 m7} {2 m7} {5 7}",
		"1-6-2-5 with 7b9":  "{1 maj7} {6 7b9} {2 m7} {5 7}",
		"diatonic sevenths": "{1 maj7} {2 m7} {3 m7} {4 maj7} {5 7} {6 m7} {7 m7(b5)}",
		"blues":             bars("{1 7} {1 7} {1 7} {1 7} {4 7} {4 7} {1 7} {1 7} {5 7} {4 7} {1 7} {5 7}"),
		"jazz blues":        bars("{1 7} {4 7} {1 7} {1 7} {4 7} {#4 dim7} {1 7} {6 7b9} {2 m7} {5 7} {1 7} {5 7}"),
		"minor blues":       bars("{1 m7} {1 m7} {1 m7} {1 m7} {4 m7} {4 m7} {1 m7} {1 m7} {b6 7} {5 7alt} {1 m7} {5 7alt}"),
	}
	seen := 0
	for c := range Forms() {
		seen++
		list, err := c.In(Major)
		if got := ChangesOf(list...).Plain(); err != nil || got != want[c.Plain()] || c.String() != c.Plain() {
			t.Errorf("%v is %s, %v; want %s", c, got, err, want[c.Plain()])
		}
		for _, name := range c.form.names {
			if got, err := ParseChanges(strings.ToUpper(name) + ":12"); err != nil || got.form != c.form || got.Plain() != c.Plain()+":12" {
				t.Errorf("%s is read as %v, %v", name, got, err)
			}
		}
		f := MustParse("3 5 1 6 over " + c.Plain())
		if f.Chorus() != strings.Contains(c.Plain(), "blues") {
			t.Errorf("%v is a chorus: %t", c, f.Chorus())
		}
		if f.Chorus() && (f.Length() != 12*Whole || f.NoteCount() != 44) {
			t.Errorf("%v lasts %v and has %d notes", c, f.Length(), f.NoteCount())
		}
	}
	if seen != len(want) {
		t.Errorf("%d forms", seen)
	}
	for c := range Forms() {
		if c.Plain() != "2-5-1" {
			t.Error("going on after the first")
		}
		break
	}
	// The roots are those of the major scale, whatever the figure's, and the
	// sevenths the scale's own.
	for text, chords := range map[string]string{
		"1 over 1-6-2-5 in minor":                    "Cmaj7 Am7 Dm7 G7",
		"1 over jazz blues:9 in minor blues":         "C7 F7 C7 C7 F7 F♯dim7 C7 A7♭9 Dm7 G7 C7 G7",
		"1 over minor blues in minor":                "Cm7 Cm7 Cm7 Cm7 Fm7 Fm7 Cm7 Cm7 A♭7 G7alt Cm7 G7alt",
		"1 over diatonic sevenths in harmonic minor": "Cm(maj7) Dm7(♭5) E♭maj7(♯5) Fm7 G7 A♭maj7 Bdim7",
		"1 over diatonic sevenths in melodic minor":  "Cm(maj7) Dm7 E♭maj7(♯5) F7 G7 Am7(♭5) Bm7(♭5)",
	} {
		var got []string
		for c := range MustParse(text).Chords(0) {
			got = append(got, c.String())
		}
		if diff := cmp.Diff(chords, strings.Join(got, " ")); diff != "" {
			t.Errorf("%s: %s", text, diff)
		}
	}
}

// TestGoldenChanges compares `3 5 1 6` over each form in all keys with a file whose
// spelling was read by hand in C, E♭, F♯ (or G♭) and A.
func TestGoldenChanges(t *testing.T) {
	const file = "testdata/changes.txt"
	var b bytes.Buffer
	for c := range Forms() {
		text := "3 5 1 6 over " + c.Plain()
		if strings.HasPrefix(c.Plain(), "minor") {
			text += " in minor"
		}
		f := MustParse(text)
		fmt.Fprintf(&b, "%v\n", f)
		for _, tonic := range f.Scale().Tonics() {
			events := f.AppendRead(nil, tonic.In(4), spelling.PolicyUsual)
			fmt.Fprintf(&b, "  %v:", tonic)
			k := 0
			for ch := range f.ReadChords(tonic, spelling.PolicyUsual) {
				fmt.Fprintf(&b, " %v", ch)
				first, end := f.under(k)
				for _, e := range events[first:end] {
					fmt.Fprintf(&b, " %v", e.Note.Name())
				}
				b.WriteString(",")
				k++
			}
			b.Truncate(b.Len() - 1)
			b.WriteString("\n")
		}
	}
	if *Update {
		if err := os.WriteFile(file, b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(strings.Split(string(want), "\n"), strings.Split(b.String(), "\n")); diff != "" {
		t.Error(diff)
	}
}

// TestChangesRefused: where it is refused, and what would be right.
func TestChangesRefused(t *testing.T) {
	for text, want := range map[string]string{
		"3 over":                                     `at character 7: changes are chords such as {2 m7} {5 7} {1 maj7}:8, or one of 2-5-1, minor 2-5-1`,
		"3 over the hills":                           `at character 8: changes are chords`,
		"3 5 over {2 m7":                             `at character 10: a chord ends with }`,
		"3 5 over {2 m7} 5":                          `at character 17: changes are chords in braces`,
		"3 over {2 m7}:0":                            `at character 14: after the colon comes a length`,
		"3 over 2-5-1:x":                             `at character 13: after the colon comes a length`,
		"3 over {m7}":                                `at character 9: a chord is its root as a degree`,
		"3 5:2 over {2 m7}:1":                        `at character 12: the cell lasts 3/8 and its chord 1/8`,
		"3:9 over blues":                             `at character 10: the cell lasts 9/8 and its chord 1`,
		"3 5 4 over {1 7} {1 xx}":                    `at character 18: after the root stands what charts write`,
		"v7 | 3 over 2-5-1":                          `at character 13: a cell over changes begins on the downbeat`,
		"{1 7} 3 over 2-5-1":                         `at character 14: a cell over changes has no chords of its own`,
		"6 over {5 7} {1 +}":                         `at character 14: neither the chord {1 +} nor a scale beside it has a plain 6; write n6`,
		"99 over {7 m7b5}":                           `at character 9: over {7 m7b5} it lies beyond the degrees`,
		"3 over {2 m7/F}":                            `at character 11: a bass moves with the figure, so it is a degree: write it as {1 m7/3}`,
		"3 over {2 m7} in minor blues":               `at character 8: the minor blues scale (1 b3 4 b5 5 b7) has no plain 2; write n2`,
		"3 over {1 7/2} in minor blues":              `at character 8: the minor blues scale`,
		"3 over diatonic sevenths in altered":        `at character 8: the diatonic sevenths are those of a scale with seven letters`,
		"3 over diatonic sevenths in bebop dominant": `at character 8: the diatonic sevenths are those of a scale with seven letters`,
		"3 5:2 over {2 m7}:8 {5 7}:1":                `at character 21: the cell lasts 3/8 and its chord 1/8`,
		"3 over {2 m7/G}":                            `at character 11: a bass moves with the figure`,
		"6 over {b2 +}":                              `at character 8: neither the chord {b2 +} nor a scale beside it has a plain 6; write n6`,
		"3 over {2 m7}:12289/24":                     `at character 14: after the colon comes a length`,
		"3 over diatonic sevenths in whole tone":     `at character 8: the diatonic sevenths are those of a scale with seven letters`,
		"over 2-5-1":                                 `a degree is a number`,
		"3 over 2-5-1 over 2-5-1":                    `a degree is a number`,
		"3+#2 over {2 m7}":                           `at character 11: the same note twice at once`,
	} {
		f, err := Parse(text)
		var bad *fault.SyntaxError
		if !errors.As(err, &bad) || bad.Input != text || bad.What != "figure" || !strings.Contains(err.Error(), want) || !f.Equal(Figure{}) {
			t.Errorf("%s: %v, %v\nwant %s", text, f, err, want)
		}
	}
	cell, changes := MustParse("3 5"), MustParseChanges("2-5-1")
	for what, err := range map[string]error{
		"no cell":    second(Figure{}.Over(changes)),
		"no changes": second(cell.Over(Changes{})),
		"twice":      second(MustParse("3 over 2-5-1").Over(changes)),
		"length":     second(cell.Over(ChangesOf(Change{Length: -1}))),
		"suffix":     second(cell.Over(ChangesOf(Change{Chord: Chord{Suffix: "}"}}))),
		"root":       second(cell.Over(ChangesOf(Change{Chord: Chord{Root: Degree{Step: 99}}}))),
		"notes":      second(MustParse(strings.Repeat("1 ", 2049)).Over(ChangesOf(make([]Change, 2)...))),
		"rest":       second(cell.Over(ChangesOf(Change{Length: 1 << 30}))),
		"turn":       second(cell.Over(Changes{form: &forms[5], bar: 1 << 30})),
	} {
		var value *fault.ValueError
		if !errors.As(err, &value) || !strings.HasPrefix(value.Setting, "change ") || value.Err == nil {
			t.Errorf("%s: %v", what, err)
		}
	}
	if err := second(MustParse("3 over 2-5-1").Over(changes)); !strings.Contains(err.Error(), "stands over changes already") {
		t.Error(err)
	}
	if _, _, err := FromNotes("C D over {Dm7}", 0, Major); err == nil {
		t.Error("notes over changes are read")
	}
}

func second[T any](_ T, err error) error { return err }

// TestLawChangesText: changes have a text that reads as they are.
func TestLawChangesText(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := anyChanges(anyCell().Draw(t, "cell")).Draw(t, "changes")
		for _, text := range []string{c.String(), c.Plain()} {
			if got, err := ParseChanges(text); err != nil || !got.equal(c) {
				t.Fatalf("%q parses as %v, %v", text, got, err)
			}
		}
		text, err := c.MarshalText()
		got := MustParseChanges("blues")
		if e := got.UnmarshalText(text); err != nil || e != nil || !got.equal(c) || string(text) != c.Plain() {
			t.Fatalf("%v is marshalled as %q and read as %v (%v, %v)", c, text, got, err, e)
		}
	})
	for text, want := range map[string]string{
		"{2 m7}:8{5 7}":   "{2 m7}:8 {5 7}",
		"{2 m7}:8,{5 7}":  "{2 m7}:8 {5 7}",
		"{2 m7}{5 7}:2-":  "{2 m7} {5 7}:2",
		"{2 m7}:512":      "{2 m7}:512", // 64 whole notes, and no more
		"{2 m7}:12289/24": "",
		"{2 m7}:8\u0080":  "",
	} {
		if c, err := ParseChanges(text); c.Plain() != want || (err == nil) != (want != "") {
			t.Errorf("%q is read as %v, %v; want %s", text, c, err, want)
		}
	}
	var none Changes
	text, err := none.MarshalText()
	c := MustParseChanges("jazz blues:6")
	if len(text) > 0 || err != nil || c.UnmarshalText([]byte("{2")) == nil || c.Plain() != "jazz blues:6" || c.UnmarshalText(nil) != nil || !c.equal(none) {
		t.Errorf("%q, %v, %v", text, err, c)
	}
	if got := fmt.Sprintf("%#v %#v", none, MustParseChanges("{♯4 dim7}:8, {1 7}")); got != `figure.Changes{} figure.MustParseChanges("{#4 dim7}:8 {1 7}")` {
		t.Error(got)
	}
	defer func() {
		if recover() == nil {
			t.Error("no panic")
		}
	}()
	MustParseChanges("x")
}

// TestOverIsNotShared: what is given and what is asked for are copies.
func TestOverIsNotShared(t *testing.T) {
	list := []Change{{Chord: Chord{Suffix: "maj7"}}}
	c := ChangesOf(list...)
	f, _ := MustParse("3").Over(c)
	list[0].Chord.Suffix = "7"
	_, got, _ := f.Changes()
	got.listed[0].Chord.Suffix = "m"
	in, _ := c.In(Major)
	in[0].Chord.Suffix = "5"
	if f.Plain() != "3 over {1 maj7}" || c.Plain() != "{1 maj7}" {
		t.Errorf("%v, %v", f, c)
	}
	flat := MustParse("{1 maj7} 3")
	if f.Equal(flat) || flat.Equal(f) || !f.Equal(MustParse("3 over {1 maj7}")) || f.Equal(MustParse("3 over {1 maj7}:1")) ||
		MustParse("3 over blues").Equal(MustParse("3 over blues:8")) || MustParse("3 over blues").Equal(MustParse("3 over jazz blues")) {
		t.Error("equal is not equal")
	}
	if _, _, ok := flat.Changes(); ok || flat.Chorus() {
		t.Error("a figure of its own stands over changes")
	}
}

// TestChordOfAnEvent: what a symbol means, its bass too.
func TestChordOfAnEvent(t *testing.T) {
	var got []string
	for c := range MustParse("{1 maj7/3} 1 {7 b5} 1 {5 7b9/b2} 1 {2 so so} 1").Chords(spelling.MustParseName("Eb")) {
		meant, err := c.Chord()
		got = append(got, fmt.Sprint(c, " ", meant, " ", meant.Bass(), " ", err == nil))
	}
	want := "E♭maj7/G E♭maj7/G G true, D♭5 D(♭5) D true, B♭7♭9/F♭ B♭7(♭9)/F♭ F♭ true, Fso so C(no3,no5) C false"
	if diff := cmp.Diff(want, strings.Join(got, ", ")); diff != "" {
		t.Error(diff)
	}
	f, _, err := FromNotes("{Cmaj7/E} C {Dm7/Bb} D {G6/9} G", spelling.MustParseName("C"), Major)
	if err != nil || f.Plain() != "{1 maj7/3} 1 {2 m7/b7} 2 {5 6/9} 5" {
		t.Errorf("%v, %v", f, err)
	}
	if _, _, err := FromNotes("{Cmaj7/Fbbbbbbb} C", spelling.MustParseName("C#######"), Major); err == nil {
		t.Error("a bass beyond the degrees is read")
	}
}

func FuzzParseChanges(f *testing.F) {
	for _, text := range []string{"2-5-1", "jazz blues:6", "{2 m7} {5 7} {1 maj7}:8", "{#4 dim7}:1/2,{1 7/3}", "diatonic sevenths"} {
		f.Add(text)
	}
	cell := MustParse("3 5 b2")
	f.Fuzz(func(t *testing.T, text string) {
		c, err := ParseChanges(text)
		if err != nil {
			return
		}
		if got, err := ParseChanges(c.String()); err != nil || !got.equal(c) {
			t.Fatalf("%q is read as %v, and that as %v, %v", text, c, got, err)
		}
		if g, err := cell.Over(c); err == nil {
			if back, err := Parse(g.Plain()); err != nil || !back.Equal(g) {
				t.Fatalf("%v is read as %v, %v", g, back, err)
			}
		}
	})
}
