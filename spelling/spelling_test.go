package spelling_test

import (
	"bytes"
	"encoding"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"testing"

	"example.com/keyorder/figure/figuretest"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
	. "example.com/keyorder/spelling"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

const widest = 35 // the names −35…35 have up to five accidentals

// drawn draws what a func of figuretest makes.
func drawn[V any](gen func(figuretest.Draw) V) *rapid.Generator[V] {
	return rapid.Custom(func(t *rapid.T) V {
		return gen(func(n int) int { return rapid.IntRange(0, n-1).Draw(t, "n") })
	})
}

// stepsOf is how many letters a note lies above C−1.
func stepsOf(n Note) int { return 7*(n.Octave()+1) + int(n.Letter()) }

func TestLawTheSquareCommutes(t *testing.T) {
	check := func(t interface{ Fatalf(string, ...any) }, n Note) {
		if n.Name().Class() != n.Number().Class() {
			t.Fatalf("%v: class %v by its name, %v by its number", n, n.Name().Class(), n.Number().Class())
		}
		if int(n.Name()) != 7*int(n.Number())-12*stepsOf(n) {
			t.Fatalf("%v is not at its place on the line of fifths", n)
		}
	}
	// each map carries the interval along
	carry := func(t interface{ Fatalf(string, ...any) }, n Note, i interval.Interval) {
		up := n.Up(i)
		check(t, up)
		if up.Name() != n.Name().Up(i) {
			t.Fatalf("%v up %v: names disagree", n, i)
		}
		if int(up.Number()) != int(n.Number())+i.Semitones() {
			t.Fatalf("%v up %v: numbers disagree", n, i)
		}
		if up.Name().Class() != n.Name().Class().T(i.Semitones()) {
			t.Fatalf("%v up %v: classes disagree", n, i)
		}
	}
	intervals := figuretest.TwoOctaves()
	for q := Name(-widest); q <= widest; q++ {
		for octave := -2; octave <= 10; octave++ {
			n := q.In(octave)
			check(t, n)
			if n.Name() != q || n.Octave() != octave {
				t.Fatalf("%v in octave %d is %v", q, octave, n)
			}
			for _, i := range intervals {
				carry(t, n, i)
			}
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		carry(t, drawn(figuretest.Note).Draw(t, "note"), drawn(figuretest.Interval).Draw(t, "interval"))
	})
}

func TestLawTranspositionKeepsLettersAndSemitones(t *testing.T) {
	check := func(t interface{ Fatalf(string, ...any) }, n Note, i interval.Interval) {
		up := n.Up(i)
		if int(up.Number())-int(n.Number()) != i.Semitones() || stepsOf(up)-stepsOf(n) != i.Steps() {
			t.Fatalf("%v up %v is %v", n, i, up)
		}
		if got := Letter((int(n.Letter()) + i.Steps()%7 + 7) % 7); up.Letter() != got {
			t.Fatalf("%v up %v has letter %v, want %v", n, i, up.Letter(), got)
		}
	}
	for q := Name(-widest); q <= widest; q++ {
		for _, i := range figuretest.TwoOctaves() {
			check(t, q.In(4), i)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		check(t, drawn(figuretest.Note).Draw(t, "note"), drawn(figuretest.Interval).Draw(t, "interval"))
	})
}

func TestLawUpThenDownIsTheIdentity(t *testing.T) {
	for q := Name(-widest); q <= widest; q++ {
		for _, i := range figuretest.TwoOctaves() {
			switch {
			case q.Up(i).Down(i) != q:
				t.Fatalf("%v up %v then down: the name is %v", q, i, q.Up(i).Down(i))
			case q.In(4).Up(i).Down(i) != q.In(4):
				t.Fatalf("%v up %v then down: the note is %v", q, i, q.In(4).Up(i).Down(i))
			case q.Down(i) != q.Up(-i):
				t.Fatalf("%v up %v then down: down it is not up by the opposite", q, i)
			}
		}
	}
}

func TestLawUpByToArrives(t *testing.T) {
	for a := Name(-widest); a <= widest; a++ {
		for b := Name(-widest); b <= widest; b++ {
			i := a.To(b)
			if a.Up(i) != b {
				t.Fatalf("%v to %v is %v, which leads to %v", a, b, i, a.Up(i))
			}
			if i.Steps() < 0 || i.Steps() > 6 {
				t.Fatalf("%v to %v is %v", a, b, i)
			}
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		a, b := drawn(figuretest.Note).Draw(t, "a"), drawn(figuretest.Note).Draw(t, "b")
		if a.Up(a.To(b)) != b {
			t.Fatalf("%v to %v", a, b)
		}
	})
}

func TestLawRespellingKeepsThePitch(t *testing.T) {
	check := func(t interface{ Fatalf(string, ...any) }, n Note) {
		for _, p := range []Policy{PolicyUsual, PolicyStrict, PolicyEasy, PolicyEasyWhiteKeys} {
			easy := p.Note(n)
			switch {
			case easy.Number() != n.Number():
				t.Fatalf("policy “%v” respells %v as %v: it sounds otherwise", p, n, easy)
			case p.Name(n.Name()).Class() != n.Name().Class():
				t.Fatalf("policy “%v” respells %v as %v: the name alone sounds otherwise", p, n, easy)
			case easy.Name() != p.Name(n.Name()):
				t.Fatalf("policy “%v” respells %v as %v: the name alone is another, %v", p, n, easy, p.Name(n.Name()))
			}
			if p.Note(easy) != easy {
				t.Fatalf("policy “%v” respells its own %v", p, easy)
			}
			if a := easy.Alteration(); p >= PolicyEasy && (a < -1 || a > 1) {
				t.Fatalf("policy “%v” leaves %v", p, easy)
			}
			// what is already easy stays
			if a := n.Alteration(); p == PolicyEasy && a >= -1 && a <= 1 && easy != n {
				t.Fatalf("policy “%v” respells %v as %v", p, n, easy)
			}
		}
		if PolicyStrict.Note(n) != n || PolicyUsual.Note(n) != n {
			t.Fatalf("%v does not stay", n)
		}
	}
	for q := Name(-widest); q <= widest; q++ {
		check(t, q.In(4))
	}
	rapid.Check(t, func(t *rapid.T) { check(t, drawn(figuretest.Note).Draw(t, "note")) })
	for name, want := range map[string][2]string{ // common practice, no source
		"Bbb": {"A", "A"}, "F##": {"G", "G"}, "Fbb": {"Eb", "Eb"}, "Cb": {"Cb", "B"}, "Fb": {"Fb", "E"},
		"E#": {"E#", "F"}, "B#": {"B#", "C"}, "Gb": {"Gb", "Gb"}, "F#": {"F#", "F#"}, "A#": {"A#", "A#"}, "B##": {"C#", "C#"},
	} {
		n := MustParseName(name)
		if got := [2]string{PolicyEasy.Name(n).Plain(), PolicyEasyWhiteKeys.Name(n).Plain()}; got != want {
			t.Errorf("%s reads %v, want %v", name, got, want)
		}
	}
}

// TestLawRespellingTurnsAsFewTimesAsItCan: the names that sound alike lie twelve
// places apart on the line of fifths, and of those that are easy the nearest is
// taken.
func TestLawRespellingTurnsAsFewTimesAsItCan(t *testing.T) {
	easy := map[Policy]func(Name) bool{
		PolicyUsual:  func(Name) bool { return true },
		PolicyStrict: func(Name) bool { return true },
		PolicyEasy:   func(n Name) bool { return n.Alteration() >= -1 && n.Alteration() <= 1 },
		PolicyEasyWhiteKeys: func(n Name) bool {
			return n.Alteration() == 0 || n.Alteration() >= -1 && n.Alteration() <= 1 && !strings.Contains("Cb Fb E# B#", n.Plain())
		},
	}
	for p, isEasy := range easy {
		for n := Name(-100); n <= 100; n++ {
			want := 0 // turns
			for !isEasy(n+12*Name(want)) && !isEasy(n-12*Name(want)) {
				want++
			}
			got := int(p.Name(n)-n) / 12
			if max(got, -got) != want || !isEasy(p.Name(n)) {
				t.Errorf("policy “%v” respells %v as %v, %d turns away, want %d", p, n, p.Name(n), got, want)
			}
		}
	}
}

// TestLawAccidentalsReadAsWritten: the signs of a written name add up to its
// alteration, and nothing else is a sign.
func TestLawAccidentalsReadAsWritten(t *testing.T) {
	for a := -7; a <= 7; a++ {
		for _, text := range []string{NameOf(LetterG, a).String(), NameOf(LetterG, a).Plain()} {
			if sum, after, err := CutAccidentals(text[1:] + "4"); sum != a || after != "4" || err != nil {
				t.Errorf("the signs of %s add up to %d before %q, %v; want %d", text, sum, after, err, a)
			}
		}
	}
	for r := rune(0); r < 0x20000; r++ {
		if alteration, _, _ := CutAccidentals(string(r)); (alteration != 0) != strings.ContainsRune("b♭𝄫#♯x𝄪", r) {
			t.Errorf("%q alters by %d", r, alteration)
		}
	}
}

// TestLawLettersGoRound: a letter above B is one of the seven.
func TestLawLettersGoRound(t *testing.T) {
	for l := Letter(7); l < 255; l++ {
		switch {
		case l.String() != (l - 7).String():
			t.Errorf("letter %d is %v, seven less is %v: the letters differ", l, l, l-7)
		case NameOf(l, 1) != NameOf(l-7, 1):
			t.Errorf("letter %d is %v, seven less is %v: the names differ", l, l, l-7)
		case Major(2).Alteration(l) != Major(2).Alteration(l-7):
			t.Errorf("letter %d is %v, seven less is %v: the alterations in a key differ", l, l, l-7)
		}
	}
}

func TestLawFormatThenParse(t *testing.T) {
	for q := Name(-50); q <= 54; q++ {
		if a := q.Alteration(); a < -7 || a > 7 {
			continue
		}
		for _, text := range []string{q.String(), q.Plain()} {
			if got, err := ParseName(text); err != nil || got != q {
				t.Errorf("%d prints as %q and parses as %v, %v", q, text, got, err)
			}
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		n := drawn(figuretest.Note).Draw(t, "note")
		for _, text := range []string{n.String(), n.Plain()} {
			if got, err := Parse(text); err != nil || got != n {
				t.Fatalf("%v parses as %v, %v", n, got, err)
			}
		}
	})
}

// TestTableSpelledTransposition checks every row of the worked examples in
// testdata/spelled-transposition.tsv; the textbook stands in each row.
func TestTableSpelledTransposition(t *testing.T) {
	rows := figuretest.Table(t, "testdata/spelled-transposition.tsv")
	if len(rows) < 90 {
		t.Fatalf("only %d rows", len(rows))
	}
	for _, r := range rows {
		i := interval.MustParse(r["interval"])
		if r["direction"] == "down" {
			i = -i
		}
		if n, err := Parse(r["note"]); err == nil {
			if got := n.Up(i).Plain(); got != r["result"] {
				t.Errorf("%s %s %s is %s, want %s", r["note"], r["direction"], r["interval"], got, r["result"])
			}
			continue
		}
		n, err := ParseName(r["note"])
		if err != nil {
			t.Error(err)
		}
		if got := n.Up(i).Plain(); got != r["result"] {
			t.Errorf("%s %s %s is %s, want %s", r["note"], r["direction"], r["interval"], got, r["result"])
		}
	}
}

// TestTableKeySignatures checks every row of testdata/key-signatures.tsv,
// whose published sources stand in its head.
func TestTableKeySignatures(t *testing.T) {
	rows := figuretest.Table(t, "testdata/key-signatures.tsv")
	if len(rows) != 30 {
		t.Fatalf("%d rows, want 30", len(rows))
	}
	for _, r := range rows {
		k, err := ParseKey(r["tonic"] + " " + r["mode"])
		if err != nil {
			t.Error(err)
			continue
		}
		if major, err := ParseKey(r["tonic"]); err != nil || k.IsMajor() != (major == k) {
			t.Errorf("%s alone is %v, %v", r["tonic"], major, err)
		}
		if strconv.Itoa(int(k.Signature)) != r["fifths"] {
			t.Errorf("%v has signature %d, want %s", k, k.Signature, r["fifths"])
		}
		var in []string
		for n := range k.Accidentals() {
			in = append(in, n.Plain())
		}
		if strings.Join(in, " ") != r["accidentals_in_order"] {
			t.Errorf("%v has %v, want %s", k, in, r["accidentals_in_order"])
		}
		// its scale: one name a letter, altered as the signature says
		var scale []string
		for l := range Letter(7) {
			l := (k.Tonic.Letter() + l) % 7
			scale = append(scale, NameOf(l, k.Alteration(l)).Plain())
		}
		if strings.Join(scale, " ") != r["scale"] {
			t.Errorf("%v has scale %v, want %s", k, scale, r["scale"])
		}
		relative, err := ParseKey(r["relative_key"])
		switch {
		case err != nil:
			t.Errorf("%v and %v are not relatives: %v: an error", k, relative, err)
		case relative.Signature != k.Signature:
			t.Errorf("%v and %v are not relatives: %v: the signatures differ", k, relative, err)
		case relative.IsMajor() == k.IsMajor():
			t.Errorf("%v and %v are not relatives: %v: both are major, or neither", k, relative, err)
		case relative.IsMinor() == k.IsMinor():
			t.Errorf("%v and %v are not relatives: %v: both are minor, or neither", k, relative, err)
		}
	}
}

// TestLawAccidentalsAreTheSignature: of any signature the accidentals alter a
// letter each, as Alteration says, and together as many times as the signature
// counts.
func TestLawAccidentalsAreTheSignature(t *testing.T) {
	for signature := -128; signature <= 127; signature++ {
		k := Key{Signature: int8(signature)}
		var of [7]int
		for n := range k.Accidentals() {
			if of[n.Letter()] != 0 {
				t.Fatalf("%v comes again in a signature of %d", n.Letter(), signature)
			}
			of[n.Letter()] = n.Alteration()
		}
		sum := 0
		for l, a := range of {
			if sum += a; a != k.Alteration(Letter(l)) {
				t.Errorf("%v is altered by %d in a signature of %d, want %d", Letter(l), a, signature, k.Alteration(Letter(l)))
			}
		}
		if sum != signature {
			t.Errorf("a signature of %d has %d accidentals", signature, sum)
		}
	}
	var eight []string
	for n := range Major(MustParseName("G#")).Accidentals() {
		eight = append(eight, n.String())
	}
	if got := strings.Join(eight, " "); got != "C♯ G♯ D♯ A♯ E♯ B♯ F𝄪" {
		t.Errorf("G♯ major has %s", got)
	}
}

// TestLawKeyFormatThenParse: of every tonic with a text form and every signature.
func TestLawKeyFormatThenParse(t *testing.T) {
	for tonic := Name(-50); tonic <= 54; tonic++ {
		if a := tonic.Alteration(); a < -7 || a > 7 {
			continue
		}
		for signature := -128; signature <= 127; signature++ {
			k, got := Key{tonic, int8(signature)}, Key{}
			text, err := k.MarshalText()
			if e := got.UnmarshalText(text); err != nil || e != nil || got != k {
				t.Fatalf("%v is written as %q, %v, and read as %v, %v", k, text, err, got, e)
			}
			if again, err := ParseKey(k.String()); err != nil || again != k {
				t.Fatalf("%v is read as %v, %v", k, again, err)
			}
		}
	}
}

func TestParseKey(t *testing.T) {
	for text, want := range map[string]Key{
		"G": Major(1), " eb  MAJOR ": Major(-3), "f# minor": Minor(6), "bb": Major(-2), "b minor": Minor(5),
		"D, 0 sharps": {2, 0}, "d,  0 flats": {2, 0}, "C, 1 Flat": {0, -1}, "A, 1 flats": {3, -1}, "C, 0 sharps": Major(0), "A, 0 sharps": Minor(3),
	} {
		if k, err := ParseKey(text); err != nil || k != want {
			t.Errorf("%q is %v, %v; want %v", text, k, err, want)
		}
	}
}

func TestKeyString(t *testing.T) {
	for k, want := range map[Key]string{
		{}:                              "C major",
		Minor(MustParseName("F#")):      "F♯ minor",
		{MustParseName("D"), 0}:         "D, 0 sharps",
		{MustParseName("Bb"), -3}:       "B♭, 3 flats",
		{MustParseName("D"), 1}:         "D, 1 sharp",
		{MustParseName("G"), -1}:        "G, 1 flat",
		{MustParseName("G"), 2}:         "G, 2 sharps",
		{MustParseName("Bb"), -4}:       "B♭, 4 flats",
		Major(MustParseName("Ebbbbbb")): "E𝄫𝄫𝄫 major",
	} {
		if k.String() != want {
			t.Errorf("%q, want %q", k.String(), want)
		}
	}
}

// TestLawSignaturesAreAtTheTonicsPlace: as far as a Key can hold them.
func TestLawSignaturesAreAtTheTonicsPlace(t *testing.T) {
	for n := Name(-400); n <= 400; n++ {
		for k, place := range map[Key]int{Major(n): int(n), Minor(n): int(n) - 3} {
			if want := max(-128, min(place, 127)); int(k.Signature) != want || k.Tonic != n {
				t.Errorf("%v has the signature %d, want %d", k, k.Signature, want)
			}
		}
	}
}

func TestAccidentalsStopsEarly(t *testing.T) {
	for _, k := range []Key{Major(5), Major(-5)} {
		count := 0
		for range k.Accidentals() {
			count++
			break
		}
		if count != 1 {
			t.Errorf("%v: %d", k, count)
		}
	}
}

func TestParse(t *testing.T) {
	for text, want := range map[string]Note{
		"C-99": NameOf(LetterC, 0).In(-99), "F#−99": NameOf(LetterF, 1).In(-99), "B99": NameOf(LetterB, 0).In(99), "Dbbbbbbb4": NameOf(LetterD, -7).In(4), "A#######4": NameOf(LetterA, 7).In(4),
		"C-1": 0, "C−1": 0, "Cb-1": Note(interval.Of(0, -1)), "C4": Note(interval.Of(35, 60)), "eb4": MustParseName("Eb").In(4),
		"Fx5": NameOf(LetterF, 2).In(5), "F𝄪5": NameOf(LetterF, 2).In(5), "B𝄫♭3": NameOf(LetterB, -3).In(3), "b#3": NameOf(LetterB, 1).In(3), "bb3": NameOf(LetterB, -1).In(3),
	} {
		if got, err := Parse(text); err != nil || got != want {
			t.Errorf("Parse(%q) = %v, %v; want %v", text, got, err, want)
		}
	}
	if n := MustParse("Cb-1"); n.Number() != -1 || n.Octave() != -1 {
		t.Errorf("C♭−1 is key %d in octave %d", n.Number(), n.Octave())
	}
	if n := MustParse("B#3"); n.Number() != 60 || n.Octave() != 3 {
		t.Errorf("B♯3 is key %d in octave %d", n.Number(), n.Octave())
	}
}

func TestErrors(t *testing.T) {
	none := func(zero bool, err error) error {
		if !zero {
			t.Errorf("%v, and there is a value", err)
		}
		return err
	}
	note := func(s string) error { n, err := Parse(s); return none(n == 0, err) }
	name := func(s string) error { n, err := ParseName(s); return none(n == 0, err) }
	key := func(s string) error { k, err := ParseKey(s); return none(k == Key{}, err) }
	policy := func(s string) error { p := Policy(0); err := p.UnmarshalText([]byte(s)); return none(p == 0, err) }
	for _, c := range []struct {
		parse      func(string) error
		text, want string
	}{
		{name, "", `note name: a note name begins with a letter from A to G`},
		{name, "H", `note name "H": a note name begins`},
		{name, "E♭x", `note name "E♭x" at character 3: a note has flats or sharps, not both`},
		{name, "Cbbbbbbbb", `note name "Cbbbbbbbb" at character 9: at most seven`},
		{name, "D########", `note name "D########" at character 9: at most seven`},
		{name, "E♭#", `note name "E♭#" at character 3: a note has flats or sharps, not both`},
		{name, "f#b", `note name "f#b" at character 3: a note has flats or sharps, not both`},
		{name, "C4", `note name "C4" at character 2: a note name ends after its accidentals`},
		{note, "Z4", `note "Z4": a note name begins`},
		{note, "E♭", `note "E♭" at character 3: after the note name comes its octave`},
		{note, "C100", `note "C100" at character 2: after the note name comes its octave`},
		{note, "C+4", `note "C+4" at character 2: after the note name`},
		{note, "C-100", `note "C-100" at character 2: after the note name`},
		{note, "C−−4", `note "C−−4" at character 2: after the note name`},
		{policy, "by letter", `policy "by letter": it is one of usual, strict, easy`},
		{key, "", `key: a key is a tonic`},
		{key, "H minor", `key "H minor": a key is a tonic`},
		{key, "C blues", `key "C blues" at character 2: after the tonic comes “major” or “minor”`},
		{key, " Cb#", `key " Cb#" at character 4: a key is a tonic`},
		{key, "Cmajor", `key "Cmajor" at character 2: after the tonic`},
		{key, "C, major", `key "C, major" at character 2: after the tonic`},
		{key, "C 1 flat", `key "C 1 flat" at character 2: after the tonic`},
		{key, "C, -1 flats", `key "C, -1 flats" at character 2: after the tonic`},
		{key, "C, -1 sharps", `key "C, -1 sharps" at character 2: after the tonic`},
		{key, "C, 1 flatss", `key "C, 1 flatss" at character 2: after the tonic`},
		{key, "C, flats", `key "C, flats" at character 2: after the tonic`},
		{key, "C, 128 sharps", `key "C, 128 sharps" at character 2: after the tonic`},
		{key, "C, 129 flats", `key "C, 129 flats" at character 2: after the tonic`},
		{key, "C, 256 flats", `key "C, 256 flats" at character 2: after the tonic`},
	} {
		err := c.parse(c.text)
		var pe *fault.SyntaxError
		switch {
		case !errors.As(err, &pe):
			t.Errorf("%q: %v\nwant %s…: no such error", c.text, err, c.want)
		case !strings.HasPrefix(err.Error(), c.want):
			t.Errorf("%q: %v\nwant %s…: other words", c.text, err, c.want)
		case pe.Input != c.text:
			t.Errorf("%q: %v\nwant %s…: it quotes %q", c.text, err, c.want, pe.Input)
		}
	}
	n, m, k := MustParse("E4"), MustParseName("E"), MustParseKey("E minor")
	switch {
	case n.UnmarshalText([]byte("no")) == nil:
		t.Error("bad text is read as a note")
	case m.UnmarshalText([]byte("no")) == nil:
		t.Error("bad text is read as a name")
	case k.UnmarshalText([]byte("no")) == nil:
		t.Error("bad text is read as a key")
	case n != MustParse("E4"):
		t.Errorf("bad text changed the value: the note is %v", n)
	case m != MustParseName("E"):
		t.Errorf("bad text changed the value: the name is %v", m)
	case k != Minor(m):
		t.Errorf("bad text changed the value: the key is %v", k)
	}
	for what, f := range map[string]func(){
		"MustParse": func() { MustParse("H4") }, "MustParseName": func() { MustParseName("H") }, "MustParseKey": func() { MustParseKey("H") },
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s did not panic", what)
				}
			}()
			f()
		}()
	}
}

func TestOutsideTheTextForms(t *testing.T) {
	for _, a := range []int{-8, 8} { // one more than the text forms have; seven are in TestLawFormatThenParse
		if text, err := NameOf(LetterE, a).MarshalText(); err == nil {
			t.Errorf("%d accidentals have the text %s", a, text)
		}
		if text, err := NameOf(LetterE, a).In(4).MarshalText(); err == nil {
			t.Errorf("%d accidentals have the text %s", a, text)
		}
	}
	for octave, want := range map[int]string{-100: "", -99: "G-99", 99: "G99", 100: ""} {
		if text, err := NameOf(LetterG, 0).In(octave).MarshalText(); string(text) != want || (err == nil) != (want != "") {
			t.Errorf("octave %d has the text %q, %v", octave, text, err)
		}
	}
	for _, c := range []struct {
		value     encoding.TextMarshaler
		text, err string
	}{
		{Name(1000), "fifths 1000", `note name "fifths 1000": the text forms go to seven flats or sharps`},
		{Note(interval.Of(0, 30)), "0 steps 30 semitones", "note 0 steps 30 semitones: the text forms go from octave −99 to 99"},
		{Key{Tonic: 1000}, "fifths 1000, 0 sharps", `note name "fifths 1000": the text forms`},
		{Policy(4), "Policy(4)", `policy "Policy(4)": it is one of usual, strict`},
	} {
		var refused *fault.ValueError
		switch text, err := c.value.MarshalText(); {
		case fmt.Sprint(c.value) != c.text:
			t.Errorf("%v: %q, %v: another text than %q", c.value, text, err, c.text)
		case len(text) > 0:
			t.Errorf("%v: %q, %v: text all the same", c.value, text, err)
		case !errors.As(err, &refused):
			t.Errorf("%v: %q, %v: no such error", c.value, text, err)
		case !strings.HasPrefix(err.Error(), c.err):
			t.Errorf("%v: %q, %v: other words", c.value, text, err)
		}
	}
}

func TestMarshalText(t *testing.T) {
	var n Note
	text, err := MustParse("E♭4").MarshalText()
	switch e := n.UnmarshalText(text); {
	case err != nil:
		t.Errorf("%s, %v, %v: no text", text, err, e)
	case e != nil:
		t.Errorf("%s, %v, %v: the text is not read", text, err, e)
	case n != MustParse("Eb4"):
		t.Errorf("%s, %v, %v: another note", text, err, e)
	case cmp.Diff("Eb4", string(text)) != "":
		t.Errorf("%s, %v, %v: want Eb4", text, err, e)
	}
	var m Name
	text, err = MustParseName("F𝄪").MarshalText()
	switch e := m.UnmarshalText(text); {
	case err != nil:
		t.Errorf("%s, %v, %v: no text", text, err, e)
	case e != nil:
		t.Errorf("%s, %v, %v: the text is not read", text, err, e)
	case m != NameOf(LetterF, 2):
		t.Errorf("%s, %v, %v: another name", text, err, e)
	case string(text) != "F##":
		t.Errorf("%s, %v, %v: want F##", text, err, e)
	}
}

func TestDoesNotAllocate(t *testing.T) {
	n, buf := MustParse("Eb4"), make([]byte, 0, 16)
	if got := testing.AllocsPerRun(100, func() {
		n = PolicyEasy.Note(n.Up(interval.MajorThird)).Down(interval.MajorThird)
		buf, _ = n.AppendText(buf[:0])
		buf, _ = n.Name().AppendText(buf[:0])
	}); got != 0 {
		t.Errorf("%v allocations", got)
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range []string{"Eb4", "F𝄪5", "C-1", "bb3", "C100", "Bx#b", "C−9"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if n, err := Parse(s); err == nil {
			if again, err := Parse(n.String()); err != nil || again != n {
				t.Errorf("%q parses as %v, that as %v, %v", s, n, again, err)
			}
		}
	})
}

func FuzzParseName(f *testing.F) {
	for _, s := range []string{"Eb", "F𝄪", "H", "bb", "Cbbbbbbbb", "E♭#", "f# minor", "D, 0 sharps"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if n, err := ParseName(s); err == nil {
			if again, err := ParseName(n.String()); err != nil || again != n {
				t.Errorf("%q parses as %v, that as %v, %v", s, n, again, err)
			}
		}
		if k, err := ParseKey(s); err == nil {
			if again, err := ParseKey(k.String()); err != nil || again != k {
				t.Errorf("%q is the key %v, that %v, %v", s, k, again, err)
			}
		}
	})
}

// BenchmarkUp transposes a note by an interval; BenchmarkUpPlain adds
// semitones to a key number.
func BenchmarkUp(b *testing.B) {
	notes := make([]Note, 640)
	for k := range notes {
		notes[k] = Name(k%12 - 6).In(4)
	}
	b.ResetTimer()
	for range b.N {
		for k := range notes {
			notes[k] = notes[k].Up(interval.MinorThird)
		}
	}
}

func BenchmarkUpPlain(b *testing.B) {
	numbers := make([]int, 640)
	for k := range numbers {
		numbers[k] = int(pitch.Number(60 + k%12))
	}
	b.ResetTimer()
	for range b.N {
		for k := range numbers {
			numbers[k] += 3
		}
	}
}

func TestLawPolicyFormatThenParse(t *testing.T) {
	for n := range 256 {
		p, got := Policy(n), Policy(n+1)
		text, err := p.MarshalText()
		if p > PolicyEasyWhiteKeys {
			var refused *fault.ValueError
			if !errors.As(err, &refused) || !strings.Contains(refused.Want, "usual") {
				t.Errorf("policy %d has the text %q, %v", n, text, err)
			}
			continue
		}
		if err == nil {
			err = got.UnmarshalText(bytes.ToUpper(text))
		}
		if err != nil || got != p || p.String() != string(text) {
			t.Errorf("policy %d: %q reads as %v, %v", n, text, got, err)
		}
	}
}

func TestCutAccidentals(t *testing.T) {
	for text, want := range map[string]struct {
		alteration int
		after      string
	}{
		"": {0, ""}, "m7": {0, "m7"}, "b": {-1, ""}, "♭b9": {-2, "9"}, "𝄫4": {-2, "4"}, "#x7": {3, "7"}, "♯𝄪": {3, ""},
		"bbbbbbb3": {-7, "3"}, "xxx#": {7, ""}, "b 3#": {-1, " 3#"}, "\xff#": {0, "\xff#"},
	} {
		if alteration, after, err := CutAccidentals(text); alteration != want.alteration || after != want.after || err != nil {
			t.Errorf("%q: %d, %q, %v", text, alteration, after, err)
		}
	}
	for text, want := range map[string]string{
		"b♯4":         `accidentals "b♯4" at character 2: a note has flats or sharps, not both`,
		"x♭":          `accidentals "x♭" at character 2: a note has flats or sharps, not both`,
		"♭♭♭♭♭♭♭♭":    `accidentals "♭♭♭♭♭♭♭♭" at character 8: at most seven flats or sharps`,
		"#######𝄪end": `accidentals "#######𝄪end" at character 8: at most seven flats or sharps`,
	} {
		alteration, after, err := CutAccidentals(text)
		var bad *fault.SyntaxError
		if !errors.As(err, &bad) || err.Error() != want || alteration != 0 || after != text[bad.At:] {
			t.Errorf("%q: %d, %q, %v\nwant %s", text, alteration, after, err, want)
		}
	}
}

func TestLawLanguageTextFormatThenParse(t *testing.T) {
	for n := range 256 {
		l, got := Language(n), Language(99)
		text, err := l.MarshalText()
		var refused *fault.ValueError
		if n > int(LanguageSpanish) {
			if !errors.As(err, &refused) || !strings.Contains(err.Error(), "it is one of english") {
				t.Errorf("%v is written as %q, %v", l, text, err)
			}
			continue
		}
		if err := got.UnmarshalText(bytes.ToUpper(text)); err != nil || got != l || l.String() != string(text) {
			t.Errorf("%q is read as %v, %v", text, got, err)
		}
	}
	l := LanguageGerman
	if err := l.UnmarshalText([]byte("x")); err == nil || l != LanguageGerman {
		t.Error(l, err)
	}
}
