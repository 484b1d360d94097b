package figure

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"example.com/keyorder/spelling"
)

// An Error says which text is no degree, scale or figure, and what would be
// right.
type Error struct {
	Input  string // what was given
	At     int    // where in it the trouble lies, as a byte offset; −1 if it was no text but a value
	Reason string // what would be right there
}

// Error implements error.
func (e *Error) Error() string {
	if e.At < 0 {
		return fmt.Sprintf("figure: %.60s: %s", e.Input, e.Reason)
	}
	return fmt.Sprintf("figure: %.60q at character %d: %s", e.Input, utf8.RuneCountInString(e.Input[:min(e.At, len(e.Input))])+1, e.Reason)
}

// String returns the length as a fraction of a whole note: "1/8", "3/16", "2".
func (l Length) String() string {
	n, d := reduce(int(l), int(Whole))
	if d == 1 {
		return strconv.Itoa(n)
	}
	return fmt.Sprintf("%d/%d", n, d)
}

// MarshalText implements encoding.TextMarshaler; see String.
func (l Length) MarshalText() ([]byte, error) { return []byte(l.String()), nil }

// UnmarshalText implements encoding.TextUnmarshaler; see ParseLength.
func (l *Length) UnmarshalText(text []byte) error {
	v, err := ParseLength(string(text))
	if err == nil {
		*l = v
	}
	return err
}

// ParseLength reads a length as a number or fraction of whole notes, as "1/8"
// or "2", with a minus sign for a place before the downbeat. It is a multiple
// of 1/192; otherwise the error is an *Error.
func ParseLength(s string) (Length, error) {
	size, minus := strings.CutPrefix(s, "-")
	l, ok := fraction(size, Whole, MaxNotes*MaxLength)
	if !ok {
		return 0, &Error{Input: s, Reason: "a length is a fraction of a whole note such as 1/8 or 3/16, a multiple of 1/192"}
	}
	if minus {
		l = -l
	}
	return l, nil
}

// fraction reads "n" or "n/d" of at most nine digits each, and returns so many
// times the unit. It refuses what is no whole multiple of 1/192 of a whole note
// or more than most.
func fraction(s string, unit, most Length) (Length, bool) {
	top, bottom, over := strings.Cut(s, "/")
	if !over {
		bottom = "1"
	}
	n, d := digits(top)*int64(unit), digits(bottom)
	if n < 0 || d < 1 || n%d != 0 || n/d > int64(most) {
		return 0, false
	}
	return Length(n / d), true
}

// digits returns the value of one to nine digits, or −1.
func digits(s string) int64 {
	if len(s) == 0 || len(s) > 9 || strings.Trim(s, "0123456789") != "" {
		return -1
	}
	n, _ := strconv.ParseInt(s, 10, 64)
	return n
}

func reduce(n, d int) (int, int) {
	a, b := max(n, -n), d
	for b != 0 {
		a, b = b, a%b
	}
	return n / a, d / a
}

// String returns the figure's text with ↓ ♭ ♯ ♮, as Parse reads it.
func (f Figure) String() string {
	return f.text(Degree.String)
}

// Plain returns the figure's text with v b # n, as Parse reads it.
func (f Figure) Plain() string {
	return f.text(Degree.Plain)
}

func (f Figure) text(degree func(Degree) string) string {
	var b strings.Builder
	for n, it := range f.items {
		if n > 0 {
			b.WriteByte(' ')
		}
		if n > 0 && n == f.before {
			b.WriteString("| ")
		}
		if it.Chord != nil {
			fmt.Fprintf(&b, "{%s", degree(it.Chord.Root))
			if it.Chord.Suffix != "" {
				b.WriteString(" " + it.Chord.Suffix)
			}
			b.WriteString("} ")
		}
		for k, d := range it.Degrees {
			if k > 0 {
				b.WriteByte('+')
			}
			b.WriteString(degree(d))
		}
		if len(it.Degrees) == 0 {
			b.WriteByte('0')
		}
		switch n, d := reduce(int(it.Length), int(f.Unit())); {
		case d > 1:
			fmt.Fprintf(&b, ":%d/%d", n, d)
		case n > 1:
			fmt.Fprintf(&b, ":%d", n)
		}
	}
	if len(f.items) == 0 {
		return ""
	}
	if f.scale != Major {
		b.WriteString(" in " + f.scale.String())
	}
	if f.Unit() != Eighth {
		b.WriteString(" by " + f.unit.String())
	}
	return b.String()
}

// MarshalText implements encoding.TextMarshaler; see Plain. The text of the
// empty figure is empty.
func (f Figure) MarshalText() ([]byte, error) { return []byte(f.Plain()), nil }

// UnmarshalText implements encoding.TextUnmarshaler. It reads what Parse
// reads, and the empty figure from no text.
func (f *Figure) UnmarshalText(text []byte) error {
	if len(text) == 0 {
		*f = Figure{}
		return nil
	}
	v, err := Parse(string(text))
	if err == nil {
		*f = v
	}
	return err
}

// MustParse is Parse for text known to be good. It panics if the text is not a
// figure.
func MustParse(s string) Figure {
	f, err := Parse(s)
	if err != nil {
		panic(err)
	}
	return f
}

// Parse reads a figure as a player writes it down.
//
//   - Degrees stand between spaces, commas or hyphens: "1 2 b3 5". See
//     ParseDegree. 0 is a rest; 1+3+5 sounds together.
//   - A colon and a length in units end an event: "5:2", "3:1/2". The unit is
//     an eighth, or what stands after "by" at the end: "by 1/16", or by
//     quarters, eighths, sixteenths or triplets (of eighths, 1/12).
//   - One | may stand before the downbeat: "b2 v7 | 1 4 2".
//   - {2 m7} before an event is a chord, by its root as a degree and its
//     suffix, which begins there.
//   - "in" and a scale may stand at the end: "in dorian". It is major if not.
//
// The error is an *Error.
func Parse(s string) (Figure, error) {
	r := reader{text: s}
	if err := r.tail(Major); err != nil {
		return Figure{}, err
	}
	if err := r.read(parseDegrees, parseChord); err != nil {
		return Figure{}, err
	}
	return r.figure, nil
}

// FromNotes reads a figure from the names of its notes in one key, with the
// text form of Parse otherwise: "Bb C D F:2", "G4 F#4 | {Dm7} D4". Letters may
// be small. A note without an octave number is the one nearest by letter to
// the note before it. The figure counts from the tonic's lowest occurrence
// among the notes or, where none has all notes in reach, from the one next below
// the lowest letter; that tonic is returned with the figure. Degrees come out
// bare where the scale allows. The error is an *Error.
func FromNotes(s string, tonic spelling.Name, scale Scale) (Figure, spelling.Note, error) {
	r := reader{text: s}
	if err := r.tail(scale); err != nil {
		return Figure{}, 0, err
	}
	anchor, err := lowestTonic(s, tonic)
	if err != nil {
		return Figure{}, 0, err
	}
	previous := noteBefore
	event := func(scale Scale, text string) ([]Degree, error) {
		var degrees []Degree
		for _, word := range strings.SplitN(text, "+", MaxNotes+2) {
			n, err := parseNote(word, previous)
			if err != nil {
				return nil, err
			}
			previous = n
			d, ok := degreeIn(scale, anchor.To(n))
			if !ok {
				return nil, &Error{Input: word, Reason: fmt.Sprintf("lies too far from the tonic %v to be a degree", anchor)}
			}
			degrees = append(degrees, d)
		}
		return degrees, nil
	}
	chord := func(scale Scale, text string) (Chord, error) {
		suffix := strings.TrimLeft(text[min(1, len(text)):], "b#x♭♯𝄫𝄪")
		root, err := spelling.ParseName(text[:len(text)-len(suffix)])
		if err != nil {
			return Chord{}, &Error{Input: text, Reason: "a chord begins with the name of its root, as {Dm7}"}
		}
		d, ok := degreeIn(scale, tonic.To(root))
		if !ok {
			return Chord{}, &Error{Input: text, Reason: fmt.Sprintf("its root lies too far from %v to be a degree", tonic)}
		}
		return Chord{d, strings.TrimSpace(suffix)}, nil
	}
	if err := r.read(event, chord); err != nil {
		return Figure{}, 0, err
	}
	return r.figure, anchor, nil
}

// noteBefore stands for the note before the first one.
const noteBefore spelling.Note = -1 << 31

// parseNote reads a note, or a name without octave as the nearest such note to
// the previous one; the first one lies in the octave of middle C.
func parseNote(word string, previous spelling.Note) (spelling.Note, error) {
	if word == "" || strings.IndexByte("ABCDEFGabcdefg", word[0]) < 0 {
		return 0, &Error{Input: word, Reason: "a note is a letter from A to G, as in C, Eb or F#4; 0 is a rest"}
	}
	name, err := spelling.ParseName(word)
	if err != nil {
		n, err := spelling.Parse(word)
		if err != nil {
			return 0, &Error{Input: word, Reason: "a note is a letter, accidentals and perhaps an octave, as in C, Eb or F#4"}
		}
		return n, nil
	}
	if previous == noteBefore {
		return name.In(4), nil
	}
	up := (int(name.Letter()) - int(previous.Letter()) + 7) % 7
	octave := previous.Octave()
	if int(previous.Letter())+up > 6 {
		octave++
	}
	if up > 3 {
		octave--
	}
	return name.In(octave), nil
}

// lowestTonic reads the notes once to find the tonic to count from. Low is here
// what has a low letter: degrees count letters.
func lowestTonic(s string, tonic spelling.Name) (spelling.Note, error) {
	r := reader{text: s}
	if err := r.tail(Major); err != nil {
		return 0, err
	}
	previous := noteBefore
	var lowest, found spelling.Note
	any, is := false, false
	err := r.read(func(_ Scale, text string) ([]Degree, error) {
		for _, word := range strings.SplitN(text, "+", MaxNotes+2) {
			n, err := parseNote(word, previous)
			if err != nil {
				return nil, err
			}
			previous = n
			if !any || n.To(lowest).Steps() > 0 {
				lowest, any = n, true
			}
			if n.Name() == tonic && (!is || n.To(found).Steps() > 0) {
				found, is = n, true
			}
		}
		return nil, nil
	}, func(Scale, string) (Chord, error) { return Chord{}, nil })
	if err != nil || is && found.To(lowest).Steps() >= -7*maxBelow {
		return found, err
	}
	below := tonic.In(lowest.Octave())
	if below.To(lowest).Steps() < 0 {
		below = tonic.In(lowest.Octave() - 1)
	}
	return below, nil
}

// A reader reads the text of a figure: events, whose notes it leaves to a
// function, and a tail of scale and unit.
type reader struct {
	text   string
	events string // the text without its tail
	figure Figure
}

// tail reads "in SCALE" and "by UNIT" off the end.
func (r *reader) tail(scale Scale) error {
	r.figure = Figure{scale: scale, unit: Eighth}
	r.events = r.text
	words := []string{"in", "by"}
	for len(words) > 0 {
		at, which := -1, 0
		for k, word := range words {
			if last := lastWord(r.events, word); last > at {
				at, which = last, k
			}
		}
		if at < 0 {
			break
		}
		word := words[which]
		words = slices.Delete(words, which, which+1)
		value := strings.TrimSpace(r.events[at+len(word):])
		r.events = r.events[:at]
		if word == "in" {
			scale, err := ParseScale(value)
			if err != nil {
				return &Error{r.text, at, err.(*Error).Reason}
			}
			r.figure.scale = scale
			continue
		}
		unit, ok := parseUnit(value)
		if !ok {
			return &Error{r.text, at, "after “by” comes a note value such as 1/16, or quarters, eighths, sixteenths, triplets; it is a multiple of 1/192 and at most 64 whole notes"}
		}
		r.figure.unit = unit
	}
	return nil
}

// parseUnit reads the note value that a length of 1 means, as a fraction or as
// players call it; triplets are those of eighths.
func parseUnit(value string) (Length, bool) {
	switch strings.ToLower(value) {
	case "quarters":
		return Quarter, true
	case "eighths":
		return Eighth, true
	case "sixteenths":
		return Sixteenth, true
	case "triplets":
		return Quarter / 3, true
	}
	unit, ok := fraction(value, Whole, MaxLength)
	return unit, ok && unit > 0
}

// lastWord returns where a word last stands alone, outside braces, or −1.
func lastWord(s, word string) int {
	at, inside := -1, false
	for n := 1; n < len(s); n++ {
		switch s[n-1] {
		case '{':
			inside = true
		case '}':
			inside = false
		}
		after := n + len(word)
		if !inside && strings.HasPrefix(s[n:], word) && isSpace(s[n-1]) && (after == len(s) || isSpace(s[after])) {
			at = n
		}
	}
	return at
}

func isSpace(c byte) bool { return c == ' ' || c == '\t' || c == '\n' || c == '\r' }

func isSeparator(c byte) bool { return isSpace(c) || c == ',' || c == '-' }

// read reads the events. event reads what stands before a colon, chord what
// stands in braces.
func (r *reader) read(event func(Scale, string) ([]Degree, error), chord func(Scale, string) (Chord, error)) error {
	s := r.events
	refuse := func(at int, reason string) error { return &Error{r.text, at, reason} }
	var pending *Chord
	downbeat := -1
	for at := 0; at < len(s); {
		switch c := s[at]; {
		case c == '-' && (at == 0 || isSpace(s[at-1])) && at+1 < len(s) && !isSeparator(s[at+1]):
			return refuse(at, "a hyphen stands between two notes, as in 1-2-3; a lowered degree is b3")
		case isSeparator(c):
			at++
			continue
		case c == '|':
			if downbeat >= 0 || len(r.figure.items) == 0 || pending != nil {
				return refuse(at, "one | may stand between the pickup and the downbeat, as in v7 | 1 3 5")
			}
			downbeat = len(r.figure.items)
			at++
			continue
		case c == '{':
			end := strings.IndexByte(s[at:], '}')
			if end < 0 {
				return refuse(at, "a chord ends with }, as in {2 m7}")
			}
			if pending != nil {
				return refuse(at, "an event begins with at most one chord")
			}
			ch, err := chord(r.figure.scale, s[at+1:at+end])
			if err == nil {
				_, err = ch.Root.Above(r.figure.scale)
			}
			if err == nil {
				err = checkSuffix(ch.Suffix)
			}
			if err != nil {
				return refuse(at, fmt.Sprintf("%.40q: %s", s[at:at+end+1], err.(*Error).Reason))
			}
			pending = &ch
			at += end + 1
			continue
		}
		end := at
		for end < len(s) && !isSeparator(s[end]) && s[end] != '|' && s[end] != '{' {
			end++
		}
		word := s[at:end]
		notes, units, timed := strings.Cut(word, ":")
		it := Item{Length: r.figure.unit, Chord: pending}
		if timed {
			length, ok := fraction(units, r.figure.unit, MaxLength)
			if !ok || length == 0 {
				return refuse(at, fmt.Sprintf("%.40q: after the colon comes a length in units, as 5:2 or 3:1/2, a multiple of 1/192 and at most 64 whole notes", word))
			}
			it.Length = length
		}
		var err error
		switch notes {
		case "0":
		case "r":
			return refuse(at, fmt.Sprintf("%.40q: a rest is 0", word))
		default:
			it.Degrees, err = event(r.figure.scale, notes)
		}
		if err == nil {
			err = r.figure.add(it)
		}
		if err != nil {
			return refuse(at, fmt.Sprintf("%.40q: %s", word, err.(*Error).Reason))
		}
		pending = nil
		at = end
	}
	switch {
	case len(r.figure.items) == 0:
		return refuse(len(s), "a figure has at least one event, as in 1 3 2 5")
	case downbeat == len(r.figure.items):
		return refuse(len(s), "at least one event follows the |")
	case pending != nil:
		return refuse(len(s), "an event follows the last chord; 0 is a rest")
	}
	r.figure.before = max(downbeat, 0)
	r.figure.settle()
	return nil
}

func parseDegrees(_ Scale, text string) ([]Degree, error) {
	var degrees []Degree
	for n := 0; ; n++ {
		word, rest, more := strings.Cut(text, "+")
		d, err := ParseDegree(word)
		if err != nil {
			return nil, err
		}
		if n == MaxNotes {
			return nil, &Error{Input: word, Reason: fmt.Sprintf("a figure has at most %d notes and rests", MaxNotes)}
		}
		degrees = append(degrees, d)
		if !more {
			return degrees, nil
		}
		text = rest
	}
}

func parseChord(_ Scale, text string) (Chord, error) {
	root, suffix, _ := strings.Cut(strings.TrimSpace(text), " ")
	d, err := ParseDegree(root)
	if err != nil {
		return Chord{}, &Error{Input: text, Reason: "a chord is its root as a degree, a space and its suffix, as {2 m7}"}
	}
	return Chord{d, strings.TrimSpace(suffix)}, nil
}

const maxSuffix = 32 // bytes

// checkSuffix refuses what cannot stand in a chord symbol's text.
func checkSuffix(s string) error {
	bad := func(r rune) bool { return r == '{' || r == '}' || r == utf8.RuneError || !unicode.IsPrint(r) }
	if len(s) > maxSuffix || strings.ContainsFunc(s, bad) || strings.TrimSpace(s) != s {
		return &Error{Input: s, Reason: fmt.Sprintf("what follows a chord's root is at most %d bytes of plain text, without braces", maxSuffix)}
	}
	return nil
}
