package spelling_test

import (
	"errors"
	"example.com/keyorder/figure/figuretest"
	. "example.com/keyorder/spelling"
	"fmt"
	"slices"
	"strings"
	"testing"

	"example.com/keyorder/pitch/fault"
	"pgregory.net/rapid"
)

func allLanguages() []Language {
	return []Language{LanguageEnglish, LanguageGerman, LanguageFrench, LanguageItalian, LanguageSpanish}
}

// TestTableNoteNames compares the names in words, and in German all, with
// testdata/note-names.tsv, whose published sources stand in its head; and the
// words for major and minor.
func TestTableNoteNames(t *testing.T) {
	rows := 0
	for _, r := range figuretest.Table(t, "testdata/note-names.tsv") {
		at := slices.IndexFunc(Languages[:], func(l string) bool { return strings.EqualFold(l, r["language"]) })
		if at < 0 {
			continue // a language that is not here
		}
		l := Language(at)
		rows++
		if r["letter"] == "word" {
			words, _, _ := strings.Cut(r["natural"], ";")
			major, minor, _ := strings.Cut(words, " / ")
			if gotMajor, gotMinor := WordsForModes(l); gotMajor != strings.TrimSpace(major) || gotMinor != strings.TrimSpace(minor) {
				t.Errorf("%v: %s and %s, want %s", l, gotMajor, gotMinor, r["natural"])
			}
			examples := strings.TrimSpace(strings.Split(strings.Split(r["natural"], ";")[1], "(")[0])
			if got := l.Key(Major(0)) + " / " + l.Key(Minor(3)); got != examples {
				t.Errorf("%v: %s, want %s", l, got, examples)
			}
			continue
		}
		letter := Letter(strings.Index("CDEFGAB", r["letter"]))
		for alteration, column := range map[int]string{0: "natural", 1: "sharp", -1: "flat", 2: "double_sharp", -2: "double_flat"} {
			n, want := NameOf(letter, alteration), r[column]
			if want == "B" && l == LanguageGerman {
				// The head of the table: never print a bare B for such a reader.
				want = "B♭"
			}
			if got := l.Words(n); got != want {
				t.Errorf("%v: %v is %s, want %s", l, n, got, want)
			}
			if got, err := l.ParseName(want); err != nil || got != n {
				t.Errorf("%v: %s is read as %v, %v", l, want, got, err)
			}
		}
	}
	if rows != 5*7+5 {
		t.Errorf("%d rows", rows)
	}
}

// TestLawLanguageFormatThenParse: in every language a name and a key read back as
// what they were written for, short and in words, in any case, with accents and
// without; and no two names are written alike.
func TestLawLanguageFormatThenParse(t *testing.T) {
	for _, l := range allLanguages() {
		written := map[string]Name{}
		for letter := range Letter(7) {
			for a := -MaxAlteration; a <= MaxAlteration; a++ {
				n := NameOf(letter, a)
				for _, text := range []string{l.Name(n), l.Words(n)} {
					if m, ok := written[text]; ok && m != n {
						t.Errorf("%v: %s is %v and %v", l, text, m, n)
					}
					written[text] = n
					for _, text := range []string{text, strings.ToUpper(text[:1]) + text[1:], strings.ToLower(text), Fold(text), strings.ReplaceAll(text, " ", "-")} {
						if got, err := l.ParseName(text); err != nil || got != n {
							t.Errorf("%v: %q is read as %v, %v; want %v", l, text, got, err, n)
						}
					}
				}
				for _, signature := range []Name{n, n - 3, n - 2, n + 1} {
					k := Key{n, int8(signature)}
					text := l.Key(k)
					for _, text := range []string{text, strings.ToLower(text), "  " + strings.ReplaceAll(text, "-", " - ")} {
						if strings.Contains(text, " - ") && !strings.Contains(l.Key(k), "-") {
							continue
						}
						if got, err := l.ParseKey(text); err != nil || got != k {
							t.Errorf("%v: %q is read as %v, %v; want %v", l, text, got, err, k)
						}
					}
				}
			}
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		l := rapid.SampledFrom(allLanguages()).Draw(t, "language")
		names := rapid.SliceOf(rapid.Custom(func(t *rapid.T) Name {
			return NameOf(Letter(rapid.IntRange(0, 6).Draw(t, "letter")), rapid.IntRange(-3, 3).Draw(t, "alteration"))
		})).Draw(t, "names")
		text := ""
		for _, n := range names {
			text += rapid.SampledFrom([]func(Name) string{l.Name, l.Words}).Draw(t, "form")(n) + rapid.SampledFrom([]string{" ", ",", " , "}).Draw(t, "between")
		}
		if got, err := l.ParseNames(text); err != nil || !slices.Equal(got, names) {
			t.Fatalf("%v: %q is read as %v, %v", l, text, got, err)
		}
	})
}

// TestLawNoLanguageNamesBeyondSeven: with more than seven flats or sharps no
// language has a name, and none is read.
func TestLawNoLanguageNamesBeyondSeven(t *testing.T) {
	for _, l := range allLanguages() {
		for letter := range Letter(7) {
			for _, a := range []int{-30, -MaxAlteration - 2, -MaxAlteration - 1, MaxAlteration + 1, MaxAlteration + 2, 30} {
				n := NameOf(letter, a)
				want := fmt.Sprintf("fifths %d", int(n))
				if name, words := l.Name(n), l.Words(n); name != want || words != want {
					t.Errorf("%v: %s and %s, want %s", l, name, words, want)
				}
			}
			for _, sign := range []string{"♭", "♯", "is", "es"} {
				highest, err := l.ParseName(l.Name(NameOf(letter, 0)) + strings.Repeat(sign, MaxAlteration+1))
				if err == nil {
					t.Errorf("%v: eight times %s is read as %v", l, sign, highest)
				}
			}
		}
	}
	for _, text := range []string{"Es", "As"} {
		for more := range 2 {
			text := text + strings.Repeat("es", MaxAlteration-1+more)
			if n, err := LanguageGerman.ParseName(text); (err == nil) != (more == 0) {
				t.Errorf("%s is read as %v, %v", text, n, err)
			}
		}
	}
}

// TestLawOtherLanguagesAreEnglish: what is none of the constants names and reads
// as English does.
func TestLawOtherLanguagesAreEnglish(t *testing.T) {
	for _, l := range []Language{Language(len(Languages)), 9, 255} {
		for n := Name(-widest); n <= widest; n++ {
			k := Minor(n)
			if l.Name(n) != LanguageEnglish.Name(n) || l.Words(n) != LanguageEnglish.Words(n) || l.Key(k) != LanguageEnglish.Key(k) {
				t.Errorf("%v: %s, %s, %s", l, l.Name(n), l.Words(n), l.Key(k))
			}
			if got, err := l.ParseName(LanguageEnglish.Words(n)); got != n || err != nil {
				t.Errorf("%v: %v, %v, want %v", l, got, err, n)
			}
		}
	}
}

// TestLanguageReads has what players type.
func TestLanguageReads(t *testing.T) {
	for _, c := range []struct {
		l    Language
		text string
		want string
	}{
		{LanguageEnglish, "E flat", "E♭"}, {LanguageEnglish, "e-flat", "E♭"}, {LanguageEnglish, "F Sharp", "F♯"}, {LanguageEnglish, "Bb", "B♭"}, {LanguageEnglish, "b", "B"}, {LanguageEnglish, "C double sharp", "C𝄪"},
		{LanguageGerman, "es", "E♭"}, {LanguageGerman, "Eb", "E♭"}, {LanguageGerman, "as", "A♭"}, {LanguageGerman, "Asas", "A𝄫"}, {LanguageGerman, "Ases", "A𝄫"}, {LanguageGerman, "H", "B"}, {LanguageGerman, "h", "B"}, {LanguageGerman, "B♭", "B♭"}, {LanguageGerman, "bb", "B♭"}, {LanguageGerman, "Hb", "B♭"}, {LanguageGerman, "F#", "F♯"}, {LanguageGerman, "FISIS", "F𝄪"}, {LanguageGerman, "Fx", "F𝄪"},
		{LanguageFrench, "mib", "E♭"}, {LanguageFrench, "mi b", "E♭"}, {LanguageFrench, "MI BÉMOL", "E♭"}, {LanguageFrench, "ut dièse", "C♯"}, {LanguageFrench, "fa #", "F♯"}, {LanguageFrench, "re", "D"}, {LanguageFrench, "Ré", "D"}, {LanguageFrench, "solx", "G𝄪"}, {LanguageFrench, "la double bemol", "A𝄫"},
		{LanguageItalian, "si bemolle", "B♭"}, {LanguageItalian, "sol doppio diesis", "G𝄪"}, {LanguageSpanish, "Fa sostenido", "F♯"}, {LanguageSpanish, "la bemol", "A♭"}, {LanguageSpanish, "dob", "C♭"},
	} {
		if got, err := c.l.ParseName(c.text); err != nil || got.String() != c.want {
			t.Errorf("%v: %q is read as %v, %v; want %s", c.l, c.text, got, err, c.want)
		}
	}
	for _, c := range []struct {
		l          Language
		text, want string
	}{
		{LanguageGerman, "Es", "E♭ major"}, {LanguageGerman, "es-Moll", "E♭ minor"}, {LanguageGerman, "Fis moll", "F♯ minor"}, {LanguageGerman, "B-Dur", "B♭ major"}, {LanguageGerman, "b-moll", "B♭ minor"}, {LanguageGerman, "h-Moll", "B minor"}, {LanguageGerman, "D, 2b", "D, 2 flats"},
		{LanguageFrench, "do", "C major"}, {LanguageFrench, "mi bemol mineur", "E♭ minor"}, {LanguageItalian, "la♭ maggiore", "A♭ major"}, {LanguageSpanish, "Si bemol menor", "B♭ minor"}, {LanguageFrench, "ré, 0♯", "D, 0 sharps"},
		{LanguageEnglish, "E flat major", "E♭ major"}, {LanguageEnglish, "f# minor", "F♯ minor"}, {LanguageEnglish, "D, 0 sharps", "D, 0 sharps"},
	} {
		if got, err := c.l.ParseKey(c.text); err != nil || got.String() != c.want {
			t.Errorf("%v: %q is read as %v, %v; want %s", c.l, c.text, got, err, c.want)
		}
	}
	if got := []string{LanguageGerman.Key(Minor(-2)), LanguageGerman.Key(Major(-2)), LanguageFrench.Key(Major(-3)), LanguageItalian.Key(Key{2, -2}), LanguageFrench.Key(Key{2, 0}), LanguageGerman.Key(Key{4, -1})}; fmt.Sprint(got) != "[b-Moll B-Dur mi bémol majeur re, 2♭ ré, 0♯ E, 1♭]" {
		t.Error(got)
	}
}

// TestLawAmbiguityIsNeverGuessed: a bare B is refused where German is read, with
// both readings, and so is all that could be meant of either; and a small letter
// that may be a major or a minor key.
func TestLawAmbiguityIsNeverGuessed(t *testing.T) {
	for _, text := range []string{"B", "b", "Bes", "Bis", "B#", "bbb", "B𝄫", "Bx", "BB♭"} {
		_, err := LanguageGerman.ParseName(text)
		var unread *fault.SyntaxError
		if !errors.As(err, &unread) || unread.Input != text || !strings.Contains(err.Error(), "B flat in German names and B natural in English ones") {
			t.Errorf("%q: %v", text, err)
		}
		if _, err := LanguageGerman.ParseNames("C Es " + text); !errors.As(err, &unread) || unread.At != 5 || !strings.Contains(err.Error(), "write B♭ or H") {
			t.Errorf("C Es %q: %v", text, err)
		}
		if _, err := LanguageGerman.ParseKey(text); err == nil {
			t.Errorf("%q is read as a key", text)
		}
	}
	for n := Name(-widest); n <= widest; n++ {
		if text := LanguageGerman.Name(n); text == "B" {
			t.Errorf("%v is written %s", n, text)
		}
	}
	for _, text := range []string{"a", "fis", " es"} {
		if k, err := LanguageGerman.ParseKey(text); err == nil || !strings.Contains(err.Error(), "major or minor; write Dur or Moll") {
			t.Errorf("%q is read as %v, %v", text, k, err)
		}
	}
}

func TestLanguageErrors(t *testing.T) {
	for _, c := range []struct {
		l          Language
		text, want string
	}{
		{LanguageEnglish, "H", `note name "H": a note name begins with a letter from A to G`},
		{LanguageEnglish, "Es", `note name "Es" at character 2: a note name ends after its accidentals, as in C, E♭ or F sharp`},
		{LanguageEnglish, "E flat flat", `at character 7: a note name ends`},
		{LanguageEnglish, "E flatter", `at character 7: a note name ends`},
		{LanguageEnglish, "Eflat", `at character 2: a note name ends`},
		{LanguageEnglish, "E♭ flat", `at character 3: a note name ends`},
		{LanguageEnglish, "F♯ flat", `at character 3: a note name ends`},
		{LanguageGerman, "I", `note name "I": a note name begins with one of C D E F G A H, as in C, Es, Fis, H or B♭`},
		{LanguageGerman, "", `note name: a note name begins with one of`},
		{LanguageGerman, "Ees", `at character 2: a note name ends`},
		{LanguageGerman, "Aes", `at character 2: a note name ends`},
		{LanguageGerman, "Aseses♭", `at character 7: a note name ends`},
		{LanguageGerman, "Fisk", `at character 4: a note name ends`},
		{LanguageGerman, "Fisé", `at character 4: a note name ends`},
		{LanguageGerman, "é", `note name "é": a note name begins with one of`},
		{LanguageGerman, "Cises", `at character 2: a note name ends`},
		{LanguageGerman, "Cb#", `at character 3: a note has flats or sharps, not both`},
		{LanguageGerman, "C" + strings.Repeat("is", 8), `at character 2: a note name ends`},
		{LanguageFrench, "C", `note name "C": a note name is one of do ré mi fa sol la si, as in do, mi♭ or fa dièse`},
		{LanguageFrench, "dodo", `at character 3: a note name ends`},
		{LanguageFrench, "mi♭ bémol", `at character 4: a note name ends`},
		{LanguageFrench, "mi♭♯", `at character 4: a note has flats or sharps, not both`},
		{LanguageFrench, "mi diesis", `at character 3: a note name ends`},
		{LanguageItalian, "ut", `a note name is one of do re mi`},
		{LanguageSpanish, "sol4", `at character 4: a note name ends`},
	} {
		n, err := c.l.ParseName(c.text)
		var unread *fault.SyntaxError
		if n != 0 || !errors.As(err, &unread) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%v %q: %v, %v, want %s", c.l, c.text, n, err, c.want)
		}
	}
	for _, c := range []struct {
		l          Language
		text, want string
	}{
		{LanguageFrench, "mi bémol maggiore", "key \"mi bémol maggiore\" at character 9: after the tonic comes “majeur” or “mineur”, or for another mode its signature, as in ré, 0♯"},
		{LanguageFrench, "mi, 2", "after the tonic comes"}, {LanguageFrench, "mi, x♭", "after the tonic comes"}, {LanguageFrench, "", "is one of do ré mi"},
		{LanguageGerman, "B-Moll Dur", "write B♭ or H"}, {LanguageGerman, "", "begins with one of"},
	} {
		if k, err := c.l.ParseKey(c.text); err == nil || k != (Key{}) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%v %q is read as %v, %v, want %s", c.l, c.text, k, err, c.want)
		}
	}
	for _, c := range []struct {
		l          Language
		text, want string
	}{
		{LanguageFrench, "do mi H", `note names "do mi H" at character 7: a note name is one of`},
		// Names do not touch, and an octave is no part of one.
		{LanguageEnglish, "CE G", `at character 2: a note name ends`},
		{LanguageGerman, "H FisA", `at character 4: a note name ends`},
		{LanguageSpanish, "fa laRe", `at character 6: a note name ends`},
		{LanguageEnglish, "A C4", `at character 4: a note name ends`},
		{LanguageGerman, "fis a'", `at character 6: a note name ends`},
		{LanguageItalian, "si re(", `at character 6: a note name is one of`},
		{LanguageItalian, "si re&", `at character 6: a note name is one of`},
	} {
		if names, err := c.l.ParseNames(c.text); err == nil || names != nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%v %q is read as %v, %v, want %s", c.l, c.text, names, err, c.want)
		}
	}
}

func FuzzLanguage(f *testing.F) {
	for _, text := range []string{"Es", "mi bémol majeur", "sol doppio diesis", "B-Dur", "ut dièse, ré", "fa # mi b", "H\xff", "C double  sharp", "re, 2♭"} {
		for l := range allLanguages() {
			f.Add(text, uint8(l))
		}
	}
	f.Fuzz(func(t *testing.T, text string, language uint8) {
		l := Language(language)
		if n, err := l.ParseName(text); err == nil {
			if again, err := l.ParseName(l.Words(n)); err != nil || again != n {
				t.Fatalf("%q is %v, again %v, %v", text, n, again, err)
			}
		}
		if k, err := l.ParseKey(text); err == nil {
			if again, err := l.ParseKey(l.Key(k)); err != nil || again != k {
				t.Fatalf("%q is %v, again %v, %v", text, k, again, err)
			}
		}
		if names, err := l.ParseNames(text); err != nil && names != nil {
			t.Fatalf("%q is %v, %v", text, names, err)
		}
	})
}
