package spelling

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"example.com/keyorder/pitch/fault"
)

// A Language is one in which notes and keys are named. The zero value is
// English. Its text is english, german, french, italian or spanish.
//
// E♭ is E♭ in English, Es in German and mi♭ in French, Italian and Spanish. The
// forms in words come from the sources in testdata/note-names.tsv. A bare B is
// B flat to most who read German names, and B natural to others: it is neither
// written nor read where German names stand alone. Write B♭ and H.
//
// Notes with an octave are written in scientific pitch notation, which has
// English letters, as octaves are counted otherwise elsewhere.
type Language uint8

// The languages.
const (
	LanguageEnglish Language = iota // C D E F G A B
	LanguageGerman                  // C D E F G A H, with Es, As and B♭
	LanguageFrench                  // do ré mi fa sol la si
	LanguageItalian                 // do re mi fa sol la si
	LanguageSpanish                 // do re mi fa sol la si
)

var languages = [...]string{"english", "german", "french", "italian", "spanish"}

const wantLanguage = "it is one of english, german, french, italian, spanish"

// A tongue is how a language names what it names: seven letters from C on, the
// words for one sharp or flat and for two, and for major and minor.
type tongue struct {
	letters      [7]string
	sharp, flat  string
	sharp2       string
	flat2        string
	major, minor string
	example      string // a few names for a message
}

var tongues = [...]tongue{
	{[7]string{"C", "D", "E", "F", "G", "A", "B"}, "sharp", "flat", "double sharp", "double flat", "major", "minor", "C, E♭ or F sharp"},
	{[7]string{"C", "D", "E", "F", "G", "A", "H"}, "", "", "", "", "Dur", "Moll", "C, Es, Fis, H or B♭"},
	{[7]string{"do", "ré", "mi", "fa", "sol", "la", "si"}, "dièse", "bémol", "double dièse", "double bémol", "majeur", "mineur", "do, mi♭ or fa dièse"},
	{[7]string{"do", "re", "mi", "fa", "sol", "la", "si"}, "diesis", "bemolle", "doppio diesis", "doppio bemolle", "maggiore", "minore", "do, mi♭ or fa diesis"},
	{[7]string{"do", "re", "mi", "fa", "sol", "la", "si"}, "sostenido", "bemol", "doble sostenido", "doble bemol", "mayor", "menor", "do, mi♭ or fa sostenido"},
}

// tongue returns how the language names things; what is none of the constants
// does as English does.
func (l Language) tongue() *tongue {
	if int(l) < len(tongues) {
		return &tongues[l]
	}
	return &tongues[LanguageEnglish]
}

// Name returns a name as the language writes it, short: "E♭", "Es", "mi♭". It
// reads back with ParseName, if the name has a text form.
func (l Language) Name(n Name) string { return string(l.AppendName(nil, n)) }

// AppendName appends what Name returns.
func (l Language) AppendName(b []byte, n Name) []byte {
	a := n.Alteration()
	switch {
	case a < -maxAlteration || a > maxAlteration:
		return append(b, n.String()...)
	case l == LanguageGerman:
		return appendGerman(b, n.Letter(), a)
	}
	return appendAccidental(append(b, l.tongue().letters[n.Letter()]...), a, false)
}

// appendGerman appends Cis, Es, Heses and the like.
func appendGerman(b []byte, letter Letter, alteration int) []byte {
	if letter == LetterB && alteration == -1 {
		return append(b, "B♭"...)
	}
	b = append(b, tongues[LanguageGerman].letters[letter]...)
	for range alteration {
		b = append(b, "is"...)
	}
	for n := range -alteration {
		if n == 0 && (letter == LetterE || letter == LetterA) {
			b = append(b, 's')
		} else {
			b = append(b, "es"...)
		}
	}
	return b
}

// Words returns a name as the language says it: "E flat", "Es", "mi bémol". With
// more than two sharps or flats it is what Name returns. It reads back with
// ParseName too.
func (l Language) Words(n Name) string {
	t := l.tongue()
	word := ""
	switch n.Alteration() {
	case 1:
		word = t.sharp
	case -1:
		word = t.flat
	case 2:
		word = t.sharp2
	case -2:
		word = t.flat2
	}
	if word == "" {
		return l.Name(n)
	}
	return t.letters[n.Letter()] + " " + word
}

// Key returns a key as the language says it: "E♭ major", "Es-Dur", "es-Moll",
// "mi bémol majeur". A key of another mode has its signature behind a comma, as
// [Key.String] does it in English: "ré, 2♭".
func (l Language) Key(k Key) string {
	t := l.tongue()
	if t == &tongues[LanguageEnglish] {
		return k.String()
	}
	mode := ""
	switch {
	case k.IsMajor():
		mode = t.major
	case k.IsMinor():
		mode = t.minor
	default:
		n, sign := int(k.Signature), "♯"
		if n < 0 {
			n, sign = -n, "♭"
		}
		return l.Name(k.Tonic) + ", " + strconv.Itoa(n) + sign
	}
	if l != LanguageGerman {
		return l.Words(k.Tonic) + " " + mode
	}
	name := l.Name(k.Tonic)
	if name == "B♭" {
		name = "B" // beside Dur or Moll nobody takes it for another
	}
	if k.IsMinor() {
		name = strings.ToLower(name)
	}
	return name + "-" + mode
}

// ParseName reads a name as the language has it, in any case, short or in words,
// with or without accents: "Es", "es", "E♭" in German, "mi♭", "mib", "mi bémol",
// "mi bemol" in French. The error is a *fault.SyntaxError; where a name can be
// read in two ways it says both.
func (l Language) ParseName(s string) (Name, error) {
	n, rest, want := l.cut(s)
	if want == "" && rest != "" {
		want = "a note name ends after its accidentals, as in " + l.tongue().example
	}
	if want != "" {
		return 0, &fault.SyntaxError{What: "note name", Input: s, At: len(s) - len(rest), Want: want}
	}
	return n, nil
}

// ParseNames reads names as ParseName does, with spaces or commas between them:
// "do mi bémol sol", "C Es G". No names are none.
func (l Language) ParseNames(s string) (names []Name, err error) {
	between := func(s string) string { return strings.TrimLeft(s, " ,\t") }
	for rest := between(s); rest != ""; rest = between(rest) {
		n, after, want := l.cut(rest)
		if want != "" {
			return nil, &fault.SyntaxError{What: "note names", Input: s, At: len(s) - len(after), Want: want}
		}
		names, rest = append(names, n), after
	}
	return names, nil
}

// ParseKey reads a key as Key writes it, in any case, in full or without what
// says that it is major: "Es-Dur", "es moll", "Es", "mi bémol majeur". In German
// a small letter alone is not read, as it may be either. The error is a
// *fault.SyntaxError.
func (l Language) ParseKey(s string) (Key, error) {
	t := l.tongue()
	refuse := func(rest, want string) (Key, error) {
		return Key{}, &fault.SyntaxError{What: "key", Input: s, At: len(s) - len(rest), Want: want}
	}
	text := strings.TrimLeft(s, " ")
	if l == LanguageGerman && text != "" && strings.EqualFold(text[:1], "b") {
		// Beside Dur or Moll a B is B flat.
		switch strings.ToLower(strings.Trim(text[1:], " -")) {
		case "dur":
			return Major(NameOf(LetterB, -1)), nil
		case "moll":
			return Minor(NameOf(LetterB, -1)), nil
		}
	}
	name, rest, want := l.cut(text)
	if want != "" {
		return refuse(rest, want)
	}
	after := fold(strings.Trim(rest, " -"))
	switch {
	case after == "" && l == LanguageGerman && unicode.IsLower(rune(text[0])):
		return refuse(text, "a small letter alone may stand for major or minor; write Dur or Moll behind it")
	case after == "" || after == fold(t.major):
		return Major(name), nil
	case after == fold(t.minor):
		return Minor(name), nil
	}
	if signs, ok := strings.CutPrefix(after, ","); ok {
		if n, ok := parseSigns(strings.TrimSpace(signs)); ok {
			return Key{name, n}, nil
		}
	}
	return refuse(rest, "after the tonic comes “"+t.major+"” or “"+t.minor+"”, or for another mode its signature, as in "+l.Name(2)+", 0♯")
}

// parseSigns reads a signature: "2♭", "2b", "2 flats".
func parseSigns(s string) (n int8, ok bool) {
	for sign, word := range map[string]string{"♭": " flats", "b": " flats", "♯": " sharps", "#": " sharps"} {
		if number, found := strings.CutSuffix(s, sign); found {
			return parseSignature(strings.TrimSpace(number) + word)
		}
	}
	return parseSignature(s)
}

// fold writes a text in small letters without the accents of the names here.
func fold(s string) string {
	return strings.ReplaceAll(strings.ReplaceAll(strings.ToLower(s), "é", "e"), "è", "e")
}

// cut reads a name that a text begins with, and returns what follows, or what
// would be right there instead.
func (l Language) cut(s string) (n Name, rest, want string) {
	switch l {
	case LanguageGerman:
		n, rest, want = cutGerman(s)
	case LanguageFrench, LanguageItalian, LanguageSpanish:
		n, rest, want = l.cutSyllable(s)
	default:
		n, rest, want = parseName(s)
	}
	if want != "" {
		return n, rest, want
	}
	t := l.tongue()
	if after, alteration := t.cutWord(rest); n.Alteration() == 0 {
		n, rest = n+Name(7*alteration), after
	}
	if r, _ := utf8.DecodeRuneInString(rest); unicode.IsLetter(r) || unicode.IsDigit(r) || r == '\'' {
		return n, rest, "a note name ends after its accidentals, as in " + t.example
	}
	return n, rest, ""
}

// cutWord cuts a word for accidentals, of those that stand behind a note name,
// after spaces or a hyphen. Without one it returns the text and 0.
func (t *tongue) cutWord(s string) (rest string, alteration int) {
	trimmed := strings.TrimLeft(s, " -")
	if trimmed == s {
		return s, 0
	}
	for n, word := range []string{t.sharp2, t.flat2, t.sharp, t.flat} {
		if word == "" {
			continue
		}
		// The words with and without accents have as many runes.
		end := 0
		for range utf8.RuneCountInString(word) {
			_, size := utf8.DecodeRuneInString(trimmed[end:])
			end += size
		}
		if fold(strings.ReplaceAll(trimmed[:end], "-", " ")) == fold(word) {
			return trimmed[end:], []int{2, -2, 1, -1}[n]
		}
	}
	return s, 0
}

// cutSyllable reads do, ré, mi and so on, with signs behind it or, apart from it,
// one sign.
func (l Language) cutSyllable(s string) (n Name, rest, want string) {
	t := l.tongue()
	for letter, syllable := range t.letters {
		for _, name := range []string{syllable, fold(syllable), "ut"} {
			if len(s) < len(name) || !strings.EqualFold(s[:len(name)], name) || name == "ut" && (letter != 0 || l != LanguageFrench) {
				continue
			}
			rest = s[len(name):]
			signs := rest
			if after := strings.TrimLeft(rest, " "); after != rest {
				for _, sign := range []string{"b", "#", "x", "♭", "♯", "𝄫", "𝄪"} {
					if strings.HasPrefix(after, sign) && !startsWord(after[len(sign):]) {
						signs = after
					}
				}
			}
			alteration, rest, err := CutAccidentals(signs)
			if err != nil {
				return n, rest, err.(*fault.SyntaxError).Want
			}
			return NameOf(Letter(letter), alteration), rest, ""
		}
	}
	return n, s, "a note name is one of " + strings.Join(t.letters[:], " ") + ", as in " + t.example
}

func startsWord(s string) bool {
	r, _ := utf8.DecodeRuneInString(s)
	return unicode.IsLetter(r)
}

const wantB = "a B alone is B flat in German names and B natural in English ones: write B♭ or H"

// cutGerman reads C, Cis, Es, Heses and so on, or a letter with signs.
func cutGerman(s string) (n Name, rest, want string) {
	const letters = "cdefgah"
	rest = strings.TrimLeft(s, "CDEFGAHBIScdefgahbis")
	word := strings.ToLower(s[:len(s)-len(rest)])
	switch {
	case strings.HasPrefix(word, "b"):
		// B with anything but one flat could be meant of B flat or of H.
		if alteration, after, err := CutAccidentals(s[1:]); err == nil && alteration == -1 && !startsWord(after) {
			return NameOf(LetterB, -1), after, ""
		}
		return n, s, wantB
	case word == "" || !strings.Contains(letters, word[:1]):
		return n, s, "a note name begins with one of C D E F G A H, as in " + tongues[LanguageGerman].example
	}
	letter, ends := Letter(strings.IndexByte(letters, word[0])), word[1:]
	flats := ends
	if letter == LetterE || letter == LetterA {
		flats = "e" + ends // Es and As leave out a letter
	}
	if word == "asas" {
		flats = "eses" // which is met too
	}
	if up := strings.Count(ends, "is"); up > 0 && ends == strings.Repeat("is", up) && up <= maxAlteration {
		return NameOf(letter, up), rest, ""
	}
	if down := strings.Count(flats, "es"); down > 0 && flats == strings.Repeat("es", down) && down <= maxAlteration {
		return NameOf(letter, -down), rest, ""
	}
	alteration, rest, err := CutAccidentals(s[1:])
	if err != nil {
		return n, rest, err.(*fault.SyntaxError).Want
	}
	return NameOf(letter, alteration), rest, ""
}

// String returns the language's text; for what is none of the constants
// "Language(5)".
func (l Language) String() string {
	if int(l) < len(languages) {
		return languages[l]
	}
	return fmt.Sprintf("Language(%d)", uint8(l))
}

// AppendText implements encoding.TextAppender. It appends what String returns.
// A language that is none of the constants is a *fault.ValueError.
func (l Language) AppendText(b []byte) ([]byte, error) {
	if int(l) >= len(languages) {
		return b, &fault.ValueError{Setting: "language", Value: l.String(), Want: wantLanguage}
	}
	return append(b, languages[l]...), nil
}

// MarshalText implements encoding.TextMarshaler; see AppendText.
func (l Language) MarshalText() ([]byte, error) { return l.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler. It reads a language's text in
// any case. The error is a *fault.SyntaxError.
func (l *Language) UnmarshalText(text []byte) error {
	for n, name := range languages {
		if strings.EqualFold(name, string(text)) {
			*l = Language(n)
			return nil
		}
	}
	return &fault.SyntaxError{What: "language", Input: string(text), Want: wantLanguage}
}
