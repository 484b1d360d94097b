package spelling

import (
	"fmt"
	"strconv"
	"strings"
	"unicode/utf8"

	"example.com/keyorder/pitch/fault"
)

const (
	maxAlteration = 7  // the most flats or sharps with a text form
	maxOctave     = 99 // the highest octave with a text form
)

// A ParseError says which text is not a note, a name or a key, and what would
// be.
type ParseError struct {
	Input  string // what was given
	At     int    // where in it the trouble lies, as a byte offset; −1 if it was no text but a value
	Reason string // what would be right there
}

// Error implements error.
func (e *ParseError) Error() string {
	if e.At < 0 {
		return fmt.Sprintf("spelling: %.60s: %s", e.Input, e.Reason)
	}
	return fmt.Sprintf("spelling: %.60q at character %d: %s", e.Input, utf8.RuneCountInString(e.Input[:min(e.At, len(e.Input))])+1, e.Reason)
}

// appendAccidental appends the accidentals for an alteration, with an odd one
// before the doubles: ♭, 𝄫, ♭𝄫.
func appendAccidental(b []byte, alteration int, plain bool) []byte {
	single, double := "♯", "𝄪"
	switch flat := alteration < 0; {
	case flat && plain:
		single, double = "b", "bb"
	case flat:
		single, double = "♭", "𝄫"
	case plain:
		single, double = "#", "##"
	}
	n := max(alteration, -alteration)
	if n%2 == 1 {
		b = append(b, single...)
	}
	for range n / 2 {
		b = append(b, double...)
	}
	return b
}

func (n Name) append(b []byte, plain bool) ([]byte, bool) {
	a := n.Alteration()
	if a < -maxAlteration || a > maxAlteration {
		return b, false
	}
	return appendAccidental(append(b, n.Letter().String()...), a, plain), true
}

// String returns the name with ♭ ♯ 𝄫 𝄪, as "E♭". Outside the text forms it
// shows the place on the line of fifths.
func (n Name) String() string { return n.text(false) }

// Plain returns the name with b # bb ##, as "Eb".
func (n Name) Plain() string { return n.text(true) }

func (n Name) text(plain bool) string {
	b, ok := n.append(nil, plain)
	if !ok {
		return fmt.Sprintf("fifths %d", int(n))
	}
	return string(b)
}

// AppendText implements encoding.TextAppender. It appends what Plain returns,
// and is an error where the name has no text form.
func (n Name) AppendText(b []byte) ([]byte, error) {
	b, ok := n.append(b, true)
	if !ok {
		return b, &ParseError{Input: n.String(), At: -1, Reason: "the text forms go to seven flats or sharps"}
	}
	return b, nil
}

// MarshalText implements encoding.TextMarshaler; see Plain.
func (n Name) MarshalText() ([]byte, error) { return n.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler; see ParseName.
func (n *Name) UnmarshalText(text []byte) error {
	v, err := ParseName(string(text))
	if err == nil {
		*n = v
	}
	return err
}

func (n Note) append(b []byte, plain bool) ([]byte, bool) {
	octave := n.Octave()
	a := n.alteration()
	if octave < -maxOctave || octave > maxOctave || a < -maxAlteration || a > maxAlteration {
		return b, false
	}
	b = appendAccidental(append(b, n.Letter().String()...), a, plain)
	return strconv.AppendInt(b, int64(octave), 10), true
}

// alteration is Alteration without passing through Name, which would wrap for
// notes far outside the text forms.
func (n Note) alteration() int {
	return int(n.Number()) - int(NameOf(n.Letter(), 0).In(n.Octave()).Number())
}

// String returns the note with ♭ ♯ 𝄫 𝄪 and its octave, as "E♭4". Outside the
// text forms it shows the two integers.
func (n Note) String() string { return n.text(false) }

// Plain returns the note with b # bb ##, as "Eb4".
func (n Note) Plain() string { return n.text(true) }

func (n Note) text(plain bool) string {
	b, ok := n.append(nil, plain)
	if !ok {
		return fmt.Sprintf("%d steps %d semitones", n.steps(), n.Number())
	}
	return string(b)
}

// AppendText implements encoding.TextAppender. It appends what Plain returns,
// and is an error where the note has no text form.
func (n Note) AppendText(b []byte) ([]byte, error) {
	b, ok := n.append(b, true)
	if !ok {
		return b, &ParseError{Input: n.String(), At: -1, Reason: "the text forms go from octave −99 to 99 and to seven flats or sharps"}
	}
	return b, nil
}

// MarshalText implements encoding.TextMarshaler; see Plain.
func (n Note) MarshalText() ([]byte, error) { return n.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler; see Parse.
func (n *Note) UnmarshalText(text []byte) error {
	v, err := Parse(string(text))
	if err == nil {
		*n = v
	}
	return err
}

// String returns the key's name, as "E♭ major" or "C minor"; a key of another
// mode shows its signature, as "D, 0 sharps" for D dorian.
func (k Key) String() string {
	switch {
	case k.IsMajor():
		return k.Tonic.String() + " major"
	case k.IsMinor():
		return k.Tonic.String() + " minor"
	case k.Signature == -1:
		return k.Tonic.String() + ", 1 flat"
	case k.Signature == 1:
		return k.Tonic.String() + ", 1 sharp"
	case k.Signature < 0:
		return fmt.Sprintf("%v, %d flats", k.Tonic, -int(k.Signature))
	}
	return fmt.Sprintf("%v, %d sharps", k.Tonic, k.Signature)
}

// MustParse is Parse for text known to be good. It panics if the text is not
// a note.
func MustParse(s string) Note {
	n, err := Parse(s)
	if err != nil {
		panic(err)
	}
	return n
}

// Parse reads a note: a letter, accidentals and an octave of scientific pitch
// notation, as "Eb4", "E♭4", "Fx5" or "C-1". The letter may be small. The
// error is a *ParseError.
func Parse(s string) (Note, error) {
	name, rest, err := parseName(s)
	if err != nil {
		return 0, err
	}
	digits := strings.ReplaceAll(rest, "−", "-")
	octave, e := strconv.Atoi(digits)
	if e != nil || octave < -maxOctave || octave > maxOctave || strings.HasPrefix(digits, "+") {
		return 0, &ParseError{s, len(s) - len(rest), "after the note name comes its octave, as in E♭4 (C4 is middle C)"}
	}
	return name.In(octave), nil
}

// MustParseName is ParseName for text known to be good. It panics if the text
// is not a note name.
func MustParseName(s string) Name {
	n, err := ParseName(s)
	if err != nil {
		panic(err)
	}
	return n
}

// ParseName reads a note name without an octave: a letter, which may be small,
// and up to seven flats (b, ♭, 𝄫) or sharps (#, ♯, x or 𝄪 for two). The error
// is a *ParseError.
func ParseName(s string) (Name, error) {
	name, rest, err := parseName(s)
	if err == nil && rest != "" {
		return 0, &ParseError{s, len(s) - len(rest), "a note name ends after its accidentals, as in C, E♭ or F#"}
	}
	return name, err
}

// parseName reads a name at the start of the text and returns what follows.
func parseName(s string) (n Name, rest string, err error) {
	const letters = "CDEFGABcdefgab"
	if s == "" || !strings.Contains(letters, s[:1]) {
		return 0, "", &ParseError{s, 0, "a note name begins with a letter from A to G, as in C, E♭ or F#"}
	}
	alteration, rest, err := CutAccidentals(s[1:])
	if err != nil {
		return 0, "", &ParseError{s, len(s) - len(rest), err.(*fault.SyntaxError).Want}
	}
	return NameOf(Letter(strings.IndexByte(letters, s[0])), alteration), rest, nil
}

// CutAccidentals reads the accidentals that a text begins with: up to seven flats
// (b, ♭, 𝄫) or sharps (#, ♯, x or 𝄪 for two). It returns what they do, in
// semitones, and the text after them; without accidentals these are 0 and all of
// the text. Where they cannot stand together the error is a *fault.SyntaxError,
// and after begins with the one that is too many.
func CutAccidentals(s string) (alteration int, after string, err error) {
	for after = s; after != ""; {
		r, size := utf8.DecodeRuneInString(after)
		step := 0
		switch r {
		case 'b', '♭':
			step = -1
		case '𝄫':
			step = -2
		case '#', '♯':
			step = 1
		case 'x', '𝄪':
			step = 2
		default:
			return alteration, after, nil
		}
		want := ""
		switch sum := alteration + step; {
		case step*alteration < 0:
			want = "a note has flats or sharps, not both"
		case sum < -maxAlteration || sum > maxAlteration:
			want = "at most seven flats or sharps"
		}
		if want != "" {
			return 0, after, &fault.SyntaxError{What: "accidentals", Input: s, At: len(s) - len(after), Want: want}
		}
		alteration += step
		after = after[size:]
	}
	return alteration, "", nil
}

// ParseKey reads a key: a tonic, then "major" or "minor", or nothing for
// major, as "Eb major", "f# minor" or "G". The error is a *ParseError.
func ParseKey(s string) (Key, error) {
	text := strings.TrimSpace(s)
	tonic, mode, _ := strings.Cut(text, " ")
	name, err := ParseName(tonic)
	if err != nil {
		return Key{}, &ParseError{s, 0, "a key is a tonic and “major” or “minor”, as in E♭ major"}
	}
	switch strings.ToLower(strings.TrimSpace(mode)) {
	case "", "major":
		return Major(name), nil
	case "minor":
		return Minor(name), nil
	}
	return Key{}, &ParseError{s, strings.Index(s, tonic) + len(tonic), "after the tonic comes “major” or “minor”"}
}

const wantPolicy = "a policy is usual, strict, easy or easy white keys"

func policies() [4]string { return [...]string{"usual", "strict", "easy", "easy white keys"} }

// String returns the policy's text: "usual", "strict", "easy" or "easy white
// keys".
func (p Policy) String() string {
	if all := policies(); int(p) < len(all) {
		return all[p]
	}
	return fmt.Sprintf("Policy(%d)", uint8(p))
}

// MarshalText implements encoding.TextMarshaler; see String. A policy that is
// none of the constants is a *ParseError.
func (p Policy) MarshalText() ([]byte, error) {
	if p > PolicyEasyWhiteKeys {
		return nil, &ParseError{p.String(), -1, wantPolicy}
	}
	return []byte(p.String()), nil
}

// UnmarshalText implements encoding.TextUnmarshaler, in any case. The error is
// a *ParseError.
func (p *Policy) UnmarshalText(text []byte) error {
	for n, name := range policies() {
		if strings.EqualFold(name, string(text)) {
			*p = Policy(n)
			return nil
		}
	}
	return &ParseError{string(text), 0, wantPolicy}
}
