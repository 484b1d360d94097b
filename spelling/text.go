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

// GoString returns what one would type, for %#v.
func (n Name) GoString() string {
	b, ok := n.append(nil, true)
	if !ok {
		return fmt.Sprintf("spelling.Name(%d)", int(n))
	}
	return "spelling.MustParseName(" + strconv.Quote(string(b)) + ")"
}

// AppendText implements encoding.TextAppender. It appends what Plain returns.
// The error, a *fault.ValueError, is that of a name without a text form.
func (n Name) AppendText(b []byte) ([]byte, error) {
	b, ok := n.append(b, true)
	if !ok {
		return b, &fault.ValueError{Setting: "note name", Value: n.String(), Want: "the text forms go to seven flats or sharps"}
	}
	return b, nil
}

// MarshalText implements encoding.TextMarshaler; see AppendText.
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

// GoString returns what one would type, for %#v.
func (n Note) GoString() string {
	b, ok := n.append(nil, true)
	if !ok {
		return fmt.Sprintf("spelling.Note(%d)", int(n))
	}
	return "spelling.MustParse(" + strconv.Quote(string(b)) + ")"
}

// AppendText implements encoding.TextAppender. It appends what Plain returns.
// The error, a *fault.ValueError, is that of a note without a text form.
func (n Note) AppendText(b []byte) ([]byte, error) {
	b, ok := n.append(b, true)
	if !ok {
		return b, &fault.ValueError{Setting: "note", Value: n.String(), Want: "the text forms go from octave −99 to 99 and to seven flats or sharps"}
	}
	return b, nil
}

// MarshalText implements encoding.TextMarshaler; see AppendText.
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
func (k Key) String() string { return string(k.appendMode([]byte(k.Tonic.String()))) }

// appendMode appends what stands after the tonic.
func (k Key) appendMode(b []byte) []byte {
	switch {
	case k.IsMajor():
		return append(b, " major"...)
	case k.IsMinor():
		return append(b, " minor"...)
	}
	n, sign := int(k.Signature), " sharp"
	if n < 0 {
		n, sign = -n, " flat"
	}
	b = strconv.AppendInt(append(b, ", "...), int64(n), 10)
	b = append(b, sign...)
	if n != 1 {
		b = append(b, 's')
	}
	return b
}

// AppendText implements encoding.TextAppender. It appends what String returns,
// with b and # for ♭ and ♯: "Eb major", "D, 0 sharps". The error is that of a
// tonic without a text form, see [Name.AppendText].
func (k Key) AppendText(b []byte) ([]byte, error) {
	t, err := k.Tonic.AppendText(b)
	if err != nil {
		return b, err
	}
	return k.appendMode(t), nil
}

// MarshalText implements encoding.TextMarshaler; see AppendText.
func (k Key) MarshalText() ([]byte, error) { return k.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler; see ParseKey.
func (k *Key) UnmarshalText(text []byte) error {
	v, err := ParseKey(string(text))
	if err == nil {
		*k = v
	}
	return err
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
// error is a *fault.SyntaxError.
func Parse(s string) (Note, error) {
	refuse := func(rest, want string) (Note, error) {
		return 0, &fault.SyntaxError{What: "note", Input: s, At: len(s) - len(rest), Want: want}
	}
	name, rest, want := parseName(s)
	if want != "" {
		return refuse(rest, want)
	}
	digits := strings.ReplaceAll(rest, "−", "-")
	octave, err := strconv.Atoi(digits)
	if err != nil || octave < -maxOctave || octave > maxOctave || strings.HasPrefix(digits, "+") {
		return refuse(rest, "after the note name comes its octave, from −99 to 99, as in E♭4 (C4 is middle C)")
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
// is a *fault.SyntaxError.
func ParseName(s string) (Name, error) {
	name, rest, want := parseName(s)
	if want == "" && rest != "" {
		want = "a note name ends after its accidentals, as in C, E♭ or F#"
	}
	if want != "" {
		return 0, &fault.SyntaxError{What: "note name", Input: s, At: len(s) - len(rest), Want: want}
	}
	return name, nil
}

// parseName reads a name at the start of the text and returns what follows.
// Where there is no name it returns what would be right there instead.
func parseName(s string) (n Name, rest, want string) {
	const letters = "CDEFGABcdefgab"
	if s == "" || !strings.Contains(letters, s[:1]) {
		return n, s, "a note name begins with a letter from A to G, as in C, E♭ or F#"
	}
	alteration, rest, err := CutAccidentals(s[1:])
	if err != nil {
		return n, rest, err.(*fault.SyntaxError).Want
	}
	return NameOf(Letter(strings.IndexByte(letters, s[0])), alteration), rest, ""
}

// CutAccidentals reads the accidentals that a text begins with: up to seven flats
// (b, ♭, 𝄫) or sharps (#, ♯, x or 𝄪 for two). It returns what they do, in
// semitones, and the text after them; without accidentals these are 0 and all of
// the text. Where they cannot stand together the error is a *fault.SyntaxError,
// and after begins with the one that is too many.
func CutAccidentals(s string) (alteration int, after string, err error) {
	for after = s; after != ""; {
		r, size := utf8.DecodeRuneInString(after)
		var step int
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

// MustParseKey is ParseKey for text known to be good. It panics if the text is
// not a key.
func MustParseKey(s string) Key {
	k, err := ParseKey(s)
	if err != nil {
		panic(err)
	}
	return k
}

// ParseKey reads a key: a tonic as [ParseName] reads it, then "major" or
// "minor", or nothing for major, as "Eb major", "f# minor" or "G"; or, for a
// key of another mode, its signature after a comma, as "D, 0 sharps" or
// "C, 1 flat". The error is a *fault.SyntaxError.
func ParseKey(s string) (Key, error) {
	refuse := func(rest, want string) (Key, error) {
		return Key{}, &fault.SyntaxError{What: "key", Input: s, At: len(s) - len(rest), Want: want}
	}
	tonic, rest, want := parseName(strings.TrimLeft(s, " "))
	if want != "" {
		return refuse(rest, "a key is a tonic and “major” or “minor”, as in E♭ major")
	}
	words := strings.ToLower(strings.Join(strings.Fields(rest), " "))
	if rest == "" || rest[0] == ' ' {
		switch words {
		case "", "major":
			return Major(tonic), nil
		case "minor":
			return Minor(tonic), nil
		}
	}
	if signs, ok := strings.CutPrefix(words, ", "); ok {
		if n, ok := parseSignature(signs); ok {
			return Key{tonic, n}, nil
		}
	}
	return refuse(rest, "after the tonic comes “major” or “minor”, or for another mode its signature, as in D, 0 sharps")
}

// parseSignature reads a number of sharps or flats, "1 flat".
func parseSignature(s string) (n int8, ok bool) {
	number, sign, _ := strings.Cut(s, " ")
	switch strings.TrimSuffix(sign, "s") {
	case "flat":
		number = "-" + number
	case "sharp":
		number = "+" + number
	default:
		return n, false
	}
	signature, err := strconv.ParseInt(number, 10, 8)
	return int8(signature), err == nil
}

// policies are the texts of the policies.
var policies = [...]string{"usual", "strict", "easy", "easy white keys"}

const wantPolicy = "it is one of usual, strict, easy, easy white keys"

// String returns the policy's text: "usual", "strict", "easy" or "easy white
// keys"; for what is none of the constants "Policy(4)".
func (p Policy) String() string {
	if int(p) < len(policies) {
		return policies[p]
	}
	return fmt.Sprintf("Policy(%d)", uint8(p))
}

// AppendText implements encoding.TextAppender. It appends what String returns.
// A policy that is none of the constants is a *fault.ValueError.
func (p Policy) AppendText(b []byte) ([]byte, error) {
	if int(p) >= len(policies) {
		return b, &fault.ValueError{Setting: "policy", Value: p.String(), Want: wantPolicy}
	}
	return append(b, policies[p]...), nil
}

// MarshalText implements encoding.TextMarshaler; see AppendText.
func (p Policy) MarshalText() ([]byte, error) { return p.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler. It reads a policy's text in
// any case. The error is a *fault.SyntaxError.
func (p *Policy) UnmarshalText(text []byte) error {
	for n, name := range policies {
		if strings.EqualFold(name, string(text)) {
			*p = Policy(n)
			return nil
		}
	}
	return &fault.SyntaxError{What: "policy", Input: string(text), Want: wantPolicy}
}
