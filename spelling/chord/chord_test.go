package chord_test

import (
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"
	"unsafe"

	"example.com/keyorder/figure/figuretest"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
	. "example.com/keyorder/spelling/chord"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// A row is a row of testdata/chords.tsv, whose head names the sources.
type row struct {
	symbol    string
	variants  []string
	intervals []interval.Interval
	notes     []spelling.Name
}

// table reads the rows that state their notes; the last two, C7alt and the
// slash chords, have tests of their own.
func table(t testing.TB) []row {
	t.Helper()
	var rows []row
	for _, cells := range figuretest.Table(t, "testdata/chords.tsv") {
		r := row{symbol: cells["symbol"]}
		if r.symbol == "C7alt" || r.symbol == "C/E" {
			continue
		}
		// A comma inside brackets stands in a symbol: C7(b5,b9).
		for _, v := range strings.Split(cells["variants"], ", ") {
			r.variants = append(r.variants, strings.TrimSpace(v))
		}
		for _, word := range strings.Fields(cells["intervals"]) {
			if word == "R" {
				word = "P1"
			}
			r.intervals = append(r.intervals, interval.MustParse(word))
		}
		for _, word := range strings.Fields(cells["notes_on_C"]) {
			r.notes = append(r.notes, spelling.MustParseName(word))
		}
		rows = append(rows, r)
	}
	if len(rows) != 60 {
		t.Fatalf("%d rows with notes, want 60", len(rows))
	}
	return rows
}

// elsewhere are the variants of the table that the design reads as another
// chord: sources disagree about C2, and a slash chord is a chord over a note.
var elsewhere = map[string]string{"Csus2 C2": "Cadd9", "C9sus4 Bb/C": "Bb/C", "C9sus4 Gm7/C": "Gm7/C"}

func TestTheTablesSymbols(t *testing.T) {
	seen := map[interval.Set]string{}
	variants := 0
	for _, r := range table(t) {
		c, err := Parse(r.symbol)
		if err != nil {
			t.Error(err)
			continue
		}
		if got := slices.Collect(c.Members()); !slices.Equal(got, r.intervals) {
			t.Errorf("%s has members %v, want %v", r.symbol, got, r.intervals)
		}
		if got := slices.Collect(c.Notes()); !slices.Equal(got, r.notes) {
			t.Errorf("%s has notes %v, want %v", r.symbol, got, r.notes)
		}
		if got := c.Plain(); got != r.symbol {
			t.Errorf("%s prints as %s", r.symbol, got)
		}
		if other, ok := seen[c.Quality()]; ok {
			t.Errorf("%s and %s have one quality", r.symbol, other)
		}
		seen[c.Quality()] = r.symbol
		for _, v := range r.variants {
			variants++
			want := r.symbol
			if other, ok := elsewhere[want+" "+v]; ok {
				want = other
			}
			got, err := Parse(v)
			if err != nil || got.Plain() != want {
				t.Errorf("%s, a way to write %s, is read as %s, %v", v, r.symbol, got.Plain(), err)
			}
		}
	}
	if variants < 150 {
		t.Errorf("%d variants read", variants)
	}
}

// TestTheTablesPlaces: the design states that all chords lie in −9…9, and that
// a set for each is enough.
func TestTheTablesPlaces(t *testing.T) {
	for _, r := range table(t) {
		for _, i := range r.intervals {
			if q := i.Fifths(); q < -9 || q > 9 {
				t.Errorf("%s has %v at %d", r.symbol, i, q)
			}
		}
	}
}

// everyday are the twelve roots and the other names of five of them.
var everyday = strings.Fields("C Db C# D Eb E F Gb F# G Ab G# A Bb B")

func TestTheTableOnAllRoots(t *testing.T) {
	for _, text := range everyday {
		root := spelling.MustParseName(text)
		for _, r := range table(t) {
			c, err := Parse(text + strings.TrimPrefix(r.symbol, "C"))
			if err != nil {
				t.Error(err)
				continue
			}
			if c.Root() != root || c.Bass() != root || c != c.Everyday() {
				t.Errorf("%v has the root %v, bass %v, everyday %v", c, c.Root(), c.Bass(), c.Everyday())
			}
			n := 0
			for name := range c.Notes() {
				// as far from the root, in letters and in semitones, as on C
				i, onC := root.To(name), spelling.Name(0).To(r.notes[n])
				if (i.Steps()-onC.Steps())%7 != 0 || (i.Semitones()-onC.Semitones())%12 != 0 {
					t.Errorf("%v: note %d is %v, on C %v", c, n+1, name, r.notes[n])
				}
				n++
			}
			if n != len(r.notes) {
				t.Errorf("%v has %d notes, want %d", c, n, len(r.notes))
			}
		}
	}
}

// TestSymbolsAreTheTables holds the list that errors take suggestions from.
func TestSymbolsAreTheTables(t *testing.T) {
	var want []string
	for _, r := range table(t) {
		want = append(want, strings.TrimPrefix(r.symbol, "C"))
	}
	got := Symbols()
	slices.Sort(want)
	slices.Sort(got)
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
}

// TestSymbols are symbols read by hand: what is typed, how it prints, its
// notes, the bass first.
func TestSymbols(t *testing.T) {
	for _, test := range [][3]string{
		{"C7alt", "C7(♯5,♯9)", "C E G♯ B♭ D♯"}, // the table's working default
		{"Ab alt", "A♭7(♯5,♯9)", "A♭ C E G♭ B"},
		{"C/E", "C/E", "E C G"},
		{"C/G", "C/G", "G C E"},
		{"C7/Bb", "C7/B♭", "B♭ C E G"},
		{"Am7/G", "Am7/G", "G A C E"},
		{"D/C", "D/C", "C D F♯ A"},
		{"Bb/C", "B♭/C", "C B♭ D F"},
		{"Gm7/C", "Gm7/C", "C G B♭ D F"},
		{"C/C", "C", "C E G"},
		{"C6/9/E", "C6/9/E", "E C G A D"},
		{"C6 / E", "C6/E", "E C G A"},
		{"D2", "Dadd9", "D F♯ A E"},
		{"Emaj", "E", "E G♯ B"},
		{"EΔ", "Emaj7", "E G♯ B D♯"},
		{"E∆9", "Emaj9", "E G♯ B D♯ F♯"},
		{"F#ø", "F♯m7(♭5)", "F♯ A C E"},
		{"B−7♭5", "Bm7(♭5)", "B D F A"},
		{"Bbm7b5", "B♭m7(♭5)", "B♭ D♭ F♭ A♭"},
		{"Eo7", "Edim7", "E G B♭ D♭"},
		{"Em(maj7)", "Em(maj7)", "E G B D♯"},
		{"Em maj7", "Em(maj7)", "E G B D♯"},
		{"Emmaj9", "Em(maj9)", "E G B D♯ F♯"},
		{"Emadd9", "Em(add9)", "E G B F♯"},
		{"EMadd9", "Eadd9", "E G♯ B F♯"},
		{"Ema9", "Emaj9", "E G♯ B D♯ F♯"},
		{"EMI7", "Em7", "E G B D"},
		{"E7+", "E+7", "E G♯ B♯ D"},
		{"E7-9", "E7(♭9)", "E G♯ B D F"},
		{"E7 (b9) (#11)", "E7(♭9,♯11)", "E G♯ B D F A♯"},
		{"E7(#11 b9)", "E7(♭9,♯11)", "E G♯ B D F A♯"},
		{"E13b9#11", "E13(♭9,♯11)", "E G♯ B D F A♯ C♯"},
		{"E7b9#9", "E7(♭9,♯9)", "E G♯ B D F F𝄪"},
		{"E7(b9)/G#", "E7(♭9)/G♯", "G♯ E B D F"},
		{"E9(13)", "E13", "E G♯ B D F♯ C♯"},
		{"E13(11)", "E13(11)", "E G♯ B D F♯ A C♯"},
		{"E7(13)", "E7(13)", "E G♯ B D C♯"},
		{"Eadd4", "Eadd11", "E G♯ B A"},
		{"E(addb6)", "E(add♭6)", "E G♯ B C"},
		{"E7no5", "E7(no5)", "E G♯ D"},
		{"E9(omit3)", "E7sus2", "E F♯ B D"},
		{"Eomit5", "E(no5)", "E G♯"},
		{"E11(no3)", "E9sus4", "E A B D F♯"},
		{"Esus2sus4", "Esus(add9)", "E A B F♯"},
		{"Emaj7sus4", "Emaj7sus4", "E A B D♯"},
		{"Em6(b5)", "Em6(♭5)", "E G B♭ C♯"},
		{"Edim7(9)", "Edim7(9)", "E G B♭ D♭ F♯"},
		{"Eaug(add9)", "E+(add9)", "E G♯ B♯ F♯"},
		{"Eaug9", "E9(♯5)", "E G♯ B♯ D F♯"},
		{"E6(#11)", "E6(♯11)", "E G♯ B C♯ A♯"},
		{"Fø13", "Fm13(♭5)", "F A♭ C♭ E♭ G B♭ D"},
		{"Faug13", "F13(♯5)", "F A C♯ E♭ G D"},
		{"Fdim13", "Fdim7(9,11,13)", "F A♭ C♭ E𝄫 G B♭ D"},
		{"Fm 7", "Fm7", "F A♭ C E♭"},
		{"Fm#5", "Fm(♯5)", "F A♭ C♯"},
		{"Fadd 9", "Fadd9", "F A C G"},
		{"F7 no 5", "F7(no5)", "F A E♭"},
		{"F7(##5,no5)", "F7(no5)", "F A E♭"},
		{"F7( b9, #11 )", "F7(♭9,♯11)", "F A C E♭ G♭ B"},
		{"F m7", "Fm7", "F A♭ C E♭"},
		{"Fdim7no7", "Fdim", "F A♭ C♭"},
		{"F11no11", "F9", "F A C E♭ G"},
		{"F7(b5)sus4", "F7sus(♭5)", "F B♭ C♭ E♭"},
		{"Fmsus2", "Fsus2", "F G C"},
		{"Fmsus", "Fsus4", "F B♭ C"},
		// What a change does not speak of stays, a fourth lowered twice too.
		{"F(addbb11)sus4", "Fsus(add♭♭11)", "F B♭ C B♭𝄫"},
		{"F(addbb11)sus2", "Fsus2(add♭♭11)", "F G C B♭𝄫"},
		{"F(addbb11)aug", "F+(add♭♭11)", "F A C♯ B♭𝄫"},
		{"F(addbb11,+)", "F+(add♭♭11)", "F A C♯ B♭𝄫"},
		{"F(addbb11,b5)", "F(♭5,add♭♭11)", "F A C♭ B♭𝄫"},
		{"Fm(addbb11,maj7)", "Fm(maj7,♭♭11)", "F A♭ C E B♭𝄫"},
		{"Cbmaj7", "C♭maj7", "C♭ E♭ G♭ B♭"},
		{"Cb5", "C♭5", "C♭ G♭"},
		{"Ebbmaj7", "E𝄫maj7", "E𝄫 G♭ B𝄫 D♭"},
		{"Fx7", "F𝄪7", "F𝄪 A𝄪 C𝄪 E♯"},
	} {
		c, err := Parse(test[0])
		notes := strings.Trim(fmt.Sprint(slices.Collect(c.Notes())), "[]")
		if err != nil || c.String() != test[1] || notes != test[2] {
			t.Errorf("%s: %v with %s, %v\nwant %s with %s", test[0], c, notes, err, test[1], test[2])
		}
	}
	if got, want := MustParse("Gm7/C").PitchSet(), MustParse("C9sus4").PitchSet(); got != want {
		t.Errorf("Gm7/C sounds %v, C9sus4 %v", got, want)
	}
}

func TestRefused(t *testing.T) {
	for text, want := range map[string]string{
		"":                        `chord: a chord begins with a capital letter`,
		"c7":                      `chord "c7": a chord begins with a capital letter`,
		"H7":                      `chord "H7": a chord begins with a capital letter`,
		"Cb#":                     `at character 2: a root has at most seven flats or sharps, and not both`,
		"Cmaj8":                   `at character 5: near it are Cmaj7, Cmaj7(#5), Cmaj7(b5), Cmaj9`,
		"CM8":                     `at character 3: near it are Cmaj7`,
		"Eb7(b9":                  `at character 7: a bracket is closed again`,
		"C7b9)":                   `at character 5: near it are C7`,
		"C7()":                    `at character 4: near it are C7`,
		"C7(b9,)":                 `at character 7: near it are C7(b9)`,
		"C(b9)":                   `at character 3: without a seventh write add`,
		"C(9)":                    `at character 3: without a seventh write add`,
		"C(add7)":                 `at character 3: what is added is`,
		"Cadd14":                  `at character 2: what is added is`,
		"Cadd###9":                `at character 2: what is added is`,
		"Cno1":                    `at character 2: what is left out is`,
		"C+9":                     `at character 2: + before 9, 11 or 13 is read in two ways`,
		"C-5":                     `near it are`,
		"C4":                      `at character 2: after the root stands what charts write`,
		"Csus3":                   `at character 2: near it are Csus4, Csus2`,
		"C713":                    `at character 2: near it are C7`,
		"C7 13":                   `at character 4: near it are C7`,
		"C7maj7":                  `at character 3: near it are C7`,
		"Cmalt":                   `at character 4: near it are Cmaj7`,
		"Cmad":                    `at character 3: `,
		"Cø69":                    `at character 3: near it are Cm7(b5)`,
		"Cmaj9x":                  `at character 6: near it are Cmaj9, Cmaj9(#11)`,
		"C7(###5)":                `at character 4: near it are C7`,
		"C07":                     `at character 2: after the root stands what charts write`,
		"C137":                    `at character 2: near it are C13`,
		"Cadd:":                   `at character 2: what is added is`,
		"Cno:":                    `at character 2: what is left out is`,
		"C7 18446744073709551625": `at character 4: near it are C7`, // 2⁶⁴ + 9
		"C(addbb11,b9)":           `at character 11: without a seventh write add`,
		"C7b#9":                   `at character 3: near it are C7`,
		"Cø6":                     `at character 3: near it are Cm7(b5)`,
		"C7(b9,x":                 `at character 7: near it are C7(b9)`,
		"Cqqq":                    `at character 2: after the root stands what charts write, as Cm7, Cmaj7, C7(b9) or Csus4`,
		"C/":                      `at character 3: after the stroke stands the lowest note alone`,
		"C/e":                     `at character 3: after the stroke stands the lowest note alone`,
		"C/Em":                    `at character 3: after the stroke stands the lowest note alone`,
		"C/E/G":                   `at character 3: after the stroke stands the lowest note alone`,
		"C7/9":                    `at character 4: after the stroke stands the lowest note alone`,
		"C7\x00":                  `"C7\x00" at character 3: near it are C7`,
		"Cmaj7 for now":           `at character 7: near it are Cmaj7`,
	} {
		c, err := Parse(text)
		var bad *fault.SyntaxError
		switch {
		case !errors.As(err, &bad):
			t.Errorf("%q is read as %v, %v\nwant %s: no such error", text, c, err, want)
		case bad.Input != text:
			t.Errorf("%q is read as %v, %v\nwant %s: it quotes %q", text, c, err, want, bad.Input)
		case bad.What != "chord":
			t.Errorf("%q is read as %v, %v\nwant %s: the error is of a %s", text, c, err, want, bad.What)
		case !strings.Contains(err.Error(), want):
			t.Errorf("%q is read as %v, %v\nwant %s: other words", text, c, err, want)
		case c != (Chord{}):
			t.Errorf("%q is read as %v, %v\nwant %s: a chord all the same", text, c, err, want)
		}
	}
	for text, want := range map[string]string{
		"7(b9": `chord suffix "7(b9" at character 5: a bracket is closed again`,
		"(9)":  `chord suffix "(9)" at character 2: without a seventh write add`,
		"add7": `chord suffix "add7": what is added is`,
		"no1":  `chord suffix "no1": what is left out is`,
		"sus3": `chord suffix "sus3": near it are`,
		"7b#9": `chord suffix "7b#9" at character 2: near it are`,
		"m8":   `chord suffix "m8" at character 2: near it are m`,
		"m7/G": `chord suffix "m7/G" at character 3: a suffix has no bass`,
		"zz":   `chord suffix "zz": after the root stands what charts write, as m7, maj7, 7(b9) or sus4`,
	} {
		q, err := ParseQuality(text)
		if err == nil || !strings.HasPrefix(err.Error(), want) || q != 0 {
			t.Errorf("%q is read as %v, %v\nwant %s", text, q, err, want)
		}
	}
	if c, err := ParseOn(4, "m7/x"); err == nil || c != (Chord{}) || !strings.HasPrefix(err.Error(), `chord suffix "m7/x" at character 4: after the stroke`) {
		t.Errorf("%v, %v", c, err)
	}
	c := MustParse("Dm7")
	if c.UnmarshalText([]byte("Dm8")) == nil || c.Plain() != "Dm7" {
		t.Error("bad text changes a chord")
	}
}

// drawn draws what a func of figuretest makes.
func drawn[V any](gen func(figuretest.Draw) V) *rapid.Generator[V] {
	return rapid.Custom(func(t *rapid.T) V {
		return gen(func(n int) int { return rapid.IntRange(0, n-1).Draw(t, "n") })
	})
}

// someChords are all qualities of the members that symbols speak of, each on a
// root of its own.
func someChords() (all []Chord) {
	var members []interval.Set
	for _, text := range strings.Fields("m2 M2 A2 m3 M3 P4 A4 d5 P5 A5 m6 M6 d7 m7 M7") {
		members = append(members, interval.MustParseSet(text))
	}
	for n := range 1 << len(members) {
		q := interval.Root
		for k, m := range members {
			if n>>k&1 == 1 {
				q |= m
			}
		}
		all = append(all, Of(spelling.Name(n%35-15), q))
	}
	return all
}

func TestLawPrintThenParse(t *testing.T) {
	check := func(t interface{ Fatalf(string, ...any) }, c Chord) {
		for _, text := range []string{c.String(), c.Plain()} {
			if again, err := Parse(text); err != nil || again != c {
				t.Fatalf("%v %v prints as %s and is read as %v, %v", c.Root(), c.Quality(), text, again.Quality(), err)
			}
		}
		for _, text := range []string{c.Suffix(), c.PlainSuffix()} {
			if q, err := ParseQuality(text); err != nil || q != c.Quality() {
				t.Fatalf("the suffix %s of %v is read as %v, %v", text, c.Quality(), q, err)
			}
		}
		slash := ""
		if c.Bass() != c.Root() {
			slash = "/" + c.Bass().Plain()
		}
		if on, err := ParseOn(c.Root(), c.Suffix()+slash); err != nil || on != c {
			t.Fatalf("the suffix %s%s on %v is %v, %v", c.Suffix(), slash, c.Root(), on, err)
		}
		text, err := c.MarshalText()
		again := MustParse("F#m7/A") // everything of it gives way
		if e := again.UnmarshalText(text); err != nil || e != nil || again != c || string(text) != c.Plain() {
			t.Fatalf("%v is marshalled as %q and read as %v (%v, %v)", c, text, again, err, e)
		}
	}
	for _, c := range someChords() {
		check(t, c)
	}
	rapid.Check(t, func(t *rapid.T) { check(t, drawn(figuretest.Chord).Draw(t, "c")) })
}

func TestLawATransposedChordIsItsNotesTransposed(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawn(figuretest.Chord).Draw(t, "c")
		steps := rapid.IntRange(-14, 14).Draw(t, "steps")
		i := interval.Of(steps, steps*12/7+rapid.IntRange(-1, 1).Draw(t, "more"))
		up := c.Up(i)
		var want []spelling.Name
		for n := range c.Notes() {
			want = append(want, n.Up(i))
		}
		if got := slices.Collect(up.Notes()); !slices.Equal(got, want) {
			t.Fatalf("%v up %v is %v with %v, want %v", c, i, up, got, want)
		}
		if up.Quality() != c.Quality() || up.Down(i) != c {
			t.Fatalf("%v up %v is %v, down again %v", c, i, up, up.Down(i))
		}
		if up.PitchSet() != c.PitchSet().T(i.Semitones()) {
			t.Fatalf("%v up %v sounds %v", c, i, up.PitchSet())
		}
	})
}

func TestLawAChordWithoutLettersIsThePitchSetOfItsNotes(t *testing.T) {
	check := func(t interface{ Fatalf(string, ...any) }, c Chord) {
		var notes, members pitch.Set
		seen := map[spelling.Name]bool{}
		for n := range c.Notes() {
			notes |= pitch.SetOf(n.Class())
			if seen[n] {
				t.Fatalf("%v has %v twice", c, n)
			}
			seen[n] = true
		}
		for i := range c.Members() {
			members |= pitch.SetOf(pitch.ClassOf(i.Semitones()))
		}
		if c.PitchSet() != notes || c.Quality().PitchSet() != members {
			t.Fatalf("%v is the set %v, its notes are %v", c, c.PitchSet(), notes)
		}
	}
	for _, c := range someChords() {
		check(t, c)
	}
	rapid.Check(t, func(t *rapid.T) { check(t, drawn(figuretest.Chord).Draw(t, "c")) })
}

func TestLawMembersMakeTheQuality(t *testing.T) {
	check := func(t interface{ Fatalf(string, ...any) }, c Chord) {
		members := slices.Collect(c.Members())
		q, err := interval.SetOf(members...)
		switch {
		case err != nil:
			t.Fatalf("%v has the members %v, which make %v, %v: an error", c.Quality(), members, q, err)
		case q != c.Quality():
			t.Fatalf("%v has the members %v, which make %v, %v: another quality", c.Quality(), members, q, err)
		case len(members) != q.Len():
			t.Fatalf("%v has the members %v, which make %v, %v: %d members, want %d", c.Quality(), members, q, err, len(members), q.Len())
		case !slices.IsSorted(members):
			t.Fatalf("%v has the members %v, which make %v, %v: they are not in order", c.Quality(), members, q, err)
		case members[0] != 0:
			t.Fatalf("%v has the members %v, which make %v, %v: they do not begin with the root", c.Quality(), members, q, err)
		}
		if Of(c.Root(), c.Quality()).Over(c.Bass()) != c || Of(c.Root(), c.Quality().Without(0)).Over(c.Bass()) != c {
			t.Fatalf("%v is not its root, quality and bass", c)
		}
	}
	for _, c := range someChords() {
		check(t, c)
	}
	rapid.Check(t, func(t *rapid.T) { check(t, drawn(figuretest.Chord).Draw(t, "c")) })
}

// TestLawOneMemberMoreChangesNoOther: a fourth lowered twice, the lowest member
// that a set holds, changes neither the kind of a chord with brackets nor what
// stands before them. (Of symbols without brackets some, as C5 and C+7, are of
// one quality alone.)
func TestLawOneMemberMoreChangesNoOther(t *testing.T) {
	lowest := interval.MustParse("P4") - 2
	for _, c := range someChords() {
		q, ok := c.Quality().With(lowest)
		more := Of(c.Root(), q)
		if !ok || more.Quality() != q {
			t.Fatalf("%v with %v has the quality %v", c, lowest, more.Quality())
		}
		stem, _, brackets := strings.Cut(c.Suffix(), "(")
		if !brackets {
			continue
		}
		kind, _ := c.Kind()
		if got, _ := more.Kind(); got != kind {
			t.Errorf("%v is %s, %v %s", c, kind, more, got)
		}
		if got, _, _ := strings.Cut(more.Suffix(), "("); got != stem {
			t.Errorf("%v with %v is %v", c, lowest, more)
		}
	}
}

// TestLawOneMayStopAnywhere: who breaks off has the notes, and the members, so
// far.
func TestLawOneMayStopAnywhere(t *testing.T) {
	for _, r := range table(t) {
		c := MustParse(r.symbol).Over(r.notes[1])
		notes, members := slices.Collect(c.Notes()), slices.Collect(c.Members())
		for stop := range notes {
			var some []spelling.Name
			for n := range c.Notes() {
				if some = append(some, n); len(some) > stop {
					break
				}
			}
			if !slices.Equal(some, notes[:stop+1]) {
				t.Errorf("%v: %v, want %v", c, some, notes[:stop+1])
			}
		}
		for stop := range members {
			var some []interval.Interval
			for i := range c.Members() {
				if some = append(some, i); len(some) > stop {
					break
				}
			}
			if !slices.Equal(some, members[:stop+1]) {
				t.Errorf("%v: %v, want %v", c, some, members[:stop+1])
			}
		}
	}
}

func TestLawEverydayNamesSoundTheSame(t *testing.T) {
	rootNames := map[spelling.Name]bool{}
	for _, text := range everyday {
		rootNames[spelling.MustParseName(text)] = true
	}
	for root := spelling.Name(-60); root <= 60; root++ {
		c := Of(root, interval.MustParseSet("P1 m3 P5")).Over(root + 9)
		e := c.Everyday()
		switch {
		case !rootNames[e.Root()]:
			t.Errorf("%v is everyday %v: that is no everyday root", c, e)
		case e.PitchSet() != c.PitchSet():
			t.Errorf("%v is everyday %v: it sounds otherwise", c, e)
		case e.Quality() != c.Quality():
			t.Errorf("%v is everyday %v: its quality is %v", c, e, e.Quality())
		case e.Bass()-e.Root() != 9:
			t.Errorf("%v is everyday %v: its bass is elsewhere", c, e)
		}
		if rootNames[root] && e != c || e.Everyday() != e {
			t.Errorf("%v moves to %v though it has an everyday name", c, e)
		}
		if nearer := e.Root() - 12; e.Root() > root && rootNames[nearer] {
			t.Errorf("%v moves to %v, past %v", c, e, nearer)
		}
		if nearer := e.Root() + 12; e.Root() < root && rootNames[nearer] {
			t.Errorf("%v moves to %v, past %v", c, e, nearer)
		}
	}
	for text, want := range map[string]string{
		"Ebbmaj7": "Dmaj7", "Bbb7": "A7", "Cbmaj7": "Bmaj7", "D#m7": "E♭m7", "A#7": "B♭7", "E#dim7": "Fdim7",
		"F#7": "F♯7", "G#m7": "G♯m7", "Gbmaj7": "G♭maj7", "Fb/Ab": "E/G♯", "Bbm7b5": "B♭m7(♭5)", "C#7": "C♯7",
	} {
		if got := MustParse(text).Everyday().String(); got != want {
			t.Errorf("%s is everyday %s, want %s", text, got, want)
		}
	}
}

// TestMembersBesideTheTable are members that the table has not: the numbers
// follow from the rest of the chord, common practice, no source.
func TestMembersBesideTheTable(t *testing.T) {
	for symbol, want := range map[string]string{
		"Csus4(add#11)":   "[P1 P4 P5 A11]",
		"Csus2(addb9)":    "[P1 M2 P5 m9]",
		"C7sus2(13)":      "[P1 M2 P5 m7 M13]",
		"Csus4(add9)":     "[P1 P4 P5 M9]",
		"C6sus4":          "[P1 P4 P5 M6]",
		"C(addb6)":        "[P1 M3 P5 m6]",
		"C6/9(#11)":       "[P1 M3 P5 M6 M9 A11]",
		"Cdim7(b13)":      "[P1 m3 d5 d7 m13]",
		"C7(b9,#9,addb3)": "[P1 m3 M3 P5 m7 m9 A9]",
		"C(addb8)":        "[P1 M3 P5 d8]",
	} {
		if got := fmt.Sprint(slices.Collect(MustParse(symbol).Members())); got != want {
			t.Errorf("%s has %v, want %v", symbol, got, want)
		}
	}
}

func TestZero(t *testing.T) {
	var c Chord
	if n := unsafe.Sizeof(c); n != 8 {
		t.Errorf("a chord takes %d bytes", n)
	}
	if got := slices.Collect(c.Notes()); !slices.Equal(got, []spelling.Name{0}) || c.Quality() != interval.Root || c.Bass() != 0 {
		t.Errorf("the zero chord has %v, %v", got, c.Quality())
	}
	if got := fmt.Sprintf("%v %#v", c, MustParse("Bb7b9/D")); got != `C(no3,no5) chord.MustParse("Bb7(b9)/D")` {
		t.Error(got)
	}
}

func TestNoTextBeyondSevenAccidentals(t *testing.T) {
	for _, c := range []Chord{Of(60, interval.MustParseSet("P1 M3 P5")), MustParse("C").Over(-60)} {
		if text, err := c.MarshalText(); err == nil || len(text) != 0 {
			t.Errorf("%v is marshalled as %q", c, text)
		}
	}
	if text, err := MustParse("Dm7").AppendText([]byte("{")); string(text) != "{Dm7" || err != nil {
		t.Errorf("appended: %s, %v", text, err)
	}
}

func TestMustParsePanics(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("no panic")
		}
	}()
	MustParse("Dm8")
}

func TestNothingAllocates(t *testing.T) {
	c, sum := MustParse("Eb13(#11)"), 0
	for what, f := range map[string]func(){
		"Parse": func() {
			c, err := Parse("Ebm7b5/Gb")
			if err == nil {
				sum += int(c.Root())
			}
		},
		"Notes": func() {
			for n := range c.Notes() {
				sum += int(n)
			}
		},
		"Members": func() {
			for i := range c.Members() {
				sum += int(i)
			}
		},
		"PitchSet": func() { sum += int(c.PitchSet()) },
	} {
		if n := testing.AllocsPerRun(100, f); n != 0 {
			t.Errorf("%s: %v allocations", what, n)
		}
	}
}

func FuzzParse(f *testing.F) {
	for _, text := range []string{"C", "Ebm7b5", "F#7(b9,#11)", "Bb/C", "C6/9/E", "Dmin add9", "AbΔ7#5", "G7sus(b9)", "Calt", "E(no3,add#3)", "C7(", "C/", "Cmadd9", "C−7+5"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		c, err := Parse(text)
		if err != nil {
			if c != (Chord{}) || len(err.Error()) > 1000 {
				t.Fatalf("%v, %v", c, err)
			}
			return
		}
		if again, err := Parse(c.String()); err != nil || again != c {
			t.Fatalf("%q is read as %v, and that as %v, %v", text, c, again, err)
		}
	})
}

func FuzzParseQuality(f *testing.F) {
	for _, text := range []string{"", "m7b5", "7(b9,#11)", "6/9", "Δ7#5", "sus(b9)", "alt", "(no3,add#3)", "madd9"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		q, err := ParseQuality(text)
		if err != nil {
			if q != 0 || len(err.Error()) > 1000 {
				t.Fatalf("%v, %v", q, err)
			}
			return
		}
		if strings.TrimLeft(text, "b#x♭♯𝄫𝄪") != text {
			return // after a root it belongs to that
		}
		if c, err := Parse("C" + text); err != nil || c.Quality() != q && !strings.Contains(text, "/") {
			t.Fatalf("%q is the quality %v, and C%s the chord %v, %v", text, q, text, c, err)
		}
	})
}
