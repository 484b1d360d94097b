package figure

import (
	"errors"
	"iter"
	"slices"
	"strings"
	"unicode"

	"example.com/keyorder/pitch/fault"
)

// MustParse is [Parse] for text known to be good. It panics if the text is not a
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
//   - Degrees stand between spaces, commas or hyphens: "1 4 b3 5". See
//     [ParseDegree]. 0 is a rest; 1+3+5 sounds together.
//   - A colon and a length in units end an event: "5:2", "3:1/2". The unit is
//     an eighth, or what stands after "by" at the end: "by 1/16", or by
//     quarters, eighths, sixteenths or triplets (of eighths, 1/12).
//   - One | may stand before the downbeat: "b2 v7 | 1 4 2".
//   - {2 m7} before an event is a chord, by its root as a degree and its
//     suffix, which begins there.
//   - "in" and a scale may stand at the end, see [ParseScale]: "in dorian". It
//     is major if not.
//   - "over" and chords, also at the end, state what stands before them from the
//     root of each: "3 5 1 6 over {2 m7} {5 7} {1 maj7}:8". See [ParseChanges]
//     and [Figure.Over].
//
// A figure has at most 4096 events and as many notes. The error is a
// *fault.SyntaxError; its At is the place in s.
func Parse(s string) (Figure, error) {
	r := newReader("figure", s, Major)
	if err := r.read(); err != nil {
		return Figure{}, err
	}
	for _, e := range r.events {
		it := Item{Length: e.length}
		if e.chordAt > 0 {
			c, err := r.chord(e)
			if err != nil {
				return Figure{}, err
			}
			it.Chord = &c
		}
		for at, word := range e.words() {
			d, err := ParseDegree(word)
			if err == nil {
				_, err = d.Above(r.figure.scale)
			}
			if err != nil {
				return Figure{}, r.within(at, err)
			}
			it.Degrees = append(it.Degrees, d)
		}
		if err := r.figure.add(it); err != nil {
			return Figure{}, r.within(e.at, err)
		}
	}
	r.figure.settle()
	if r.overAt == 0 {
		return r.figure, nil
	}
	return r.stated()
}

// stated returns the cell that was read, stated over the changes that stand after
// it.
func (r *reader) stated() (Figure, error) {
	c, places, err := parseChanges(r.over, r.figure.Unit())
	if err != nil {
		return Figure{}, r.within(r.overAt, err)
	}
	f, at, err := r.figure.stated(c)
	if err != nil {
		place := r.overAt
		if at < len(places) {
			place += places[at]
		}
		return Figure{}, r.within(place, err)
	}
	return f, nil
}

// chord reads a chord by its root as a degree.
func (r *reader) chord(e event) (Chord, error) {
	root := strings.TrimLeftFunc(e.chord, unicode.IsSpace)
	at, rest := e.chordAt+len(e.chord)-len(root), ""
	if end := strings.IndexFunc(root, unicode.IsSpace); end >= 0 {
		root, rest = root[:end], root[end:]
	}
	d, err := ParseDegree(root)
	if err != nil {
		return Chord{}, r.fail(at, "a chord is its root as a degree, a space and its suffix, as {2 m7}")
	}
	if _, err := d.Above(r.figure.scale); err != nil {
		return Chord{}, r.within(at, err)
	}
	return r.suffixed(e, d, rest)
}

// suffixed returns the chord on a root with the rest of what stands in its braces.
func (r *reader) suffixed(e event, root Degree, rest string) (Chord, error) {
	suffix := strings.TrimLeftFunc(rest, unicode.IsSpace)
	at := e.chordAt + len(e.chord) - len(suffix)
	suffix = strings.TrimRightFunc(suffix, unicode.IsSpace)
	if err := checkSuffix(suffix); err != nil {
		return Chord{}, r.within(at, err)
	}
	return Chord{root, suffix}, nil
}

// A reader splits the text of a figure into its events and its tail of scale and
// unit. What stands for notes and chords it leaves as typed.
type reader struct {
	what   string // "figure" or "notes", for errors
	text   string
	at     int // what is read so far, in bytes
	end    int // where the tail begins
	notes  int // so far
	events []event
	figure Figure // its scale, its unit and how many events come before the downbeat

	// A chord that waits for its event, and where it stands; 0 for none.
	waiting   string
	waitingAt int

	// What stands after "over", and where that begins; 0 where there is none.
	over   string
	overAt int
}

// An event is an event as typed.
type event struct {
	at      int    // where it begins, in bytes
	notes   string // what sounds together, "1+3"; empty for a rest
	length  Length
	chord   string // what stands in the braces before it
	chordAt int    // where that begins; 0 where there are no braces
}

// words yields what sounds together, each with its place in the text.
func (e event) words() iter.Seq2[int, string] {
	return func(yield func(int, string) bool) {
		at, rest := e.at, e.notes
		for more := rest != ""; more; {
			var word string
			word, rest, more = strings.Cut(rest, "+")
			if !yield(at, word) {
				return
			}
			at += len(word) + 1
		}
	}
}

func newReader(what, text string, scale Scale) reader {
	return reader{what: what, text: text, figure: Figure{scale: scale, unit: Eighth}}
}

func (r *reader) fail(at int, want string) error {
	return &fault.SyntaxError{What: r.what, Input: r.text, At: at, Want: want}
}

// within turns the error of a part of the text, which begins at a place, into one
// of the whole text.
func (r *reader) within(at int, err error) error {
	var text *fault.SyntaxError
	var value *fault.ValueError
	switch {
	case errors.As(err, &text):
		return r.fail(at+text.At, text.Want)
	case errors.As(err, &value):
		return r.fail(at, value.Want)
	}
	return err
}

func (r *reader) read() error {
	if err := r.tail(); err != nil {
		return err
	}
	for r.at < r.end {
		var err error
		switch c := r.text[r.at]; {
		case r.isMinus():
			err = r.fail(r.at, "a hyphen stands between two notes, as in 5-3-6; a lowered degree is b3")
		case isSeparator(c):
			r.at++
		case c == '|':
			err = r.downbeat()
		case c == '{':
			err = r.brace()
		default:
			err = r.event()
		}
		if err != nil {
			return err
		}
	}
	switch {
	case len(r.events) == 0:
		return r.fail(r.end, "a figure has at least one event, as in 1 3 2 5")
	case r.figure.before == len(r.events):
		return r.fail(r.end, "at least one event follows the |")
	case r.waitingAt > 0:
		return r.fail(r.end, "an event follows the last chord; 0 is a rest")
	}
	return nil
}

// isMinus reports whether a hyphen comes next that stands before a note and not
// between two.
func (r *reader) isMinus() bool {
	s := r.text[:r.end]
	return s[r.at] == '-' && (r.at == 0 || isSpace(s[r.at-1])) && r.at+1 < len(s) && !isSeparator(s[r.at+1])
}

func (r *reader) downbeat() error {
	if r.figure.before > 0 || len(r.events) == 0 || r.waitingAt > 0 {
		return r.fail(r.at, "one | may stand between the pickup and the downbeat, as in v7 | 1 3 5")
	}
	r.figure.before = len(r.events)
	r.at++
	return nil
}

func (r *reader) brace() error {
	long := strings.IndexByte(r.text[r.at:r.end], '}')
	if long < 0 {
		return r.fail(r.at, "a chord ends with }, as in {2 m7}")
	}
	if r.waitingAt > 0 {
		return r.fail(r.at, "an event begins with at most one chord")
	}
	r.waiting, r.waitingAt = r.text[r.at+1:r.at+long], r.at+1
	r.at += long + 1
	return nil
}

func (r *reader) event() error {
	word := r.text[r.at:r.end]
	if end := strings.IndexAny(word, separators+"|{"); end >= 0 {
		word = word[:end]
	}
	notes, units, timed := strings.Cut(word, ":")
	e := event{at: r.at, notes: notes, length: r.figure.unit, chord: r.waiting, chordAt: r.waitingAt}
	if timed {
		var ok bool
		if e.length, ok = fraction(units, r.figure.unit, MaxLength); !ok || e.length == 0 {
			return r.fail(r.at+len(notes), "after the colon comes a length in units, as 5:2 or 3:1/2, a multiple of 1/192 and at most 64 whole notes")
		}
	}
	switch notes {
	case "":
		return r.fail(r.at, "before the colon stands a note or a rest, as 5:2 or 0:2")
	case "r":
		return r.fail(r.at, "a rest is 0")
	case "0":
		e.notes = ""
	default:
		r.notes += 1 + strings.Count(notes, "+")
	}
	if len(r.events) >= maxNotes || r.notes > maxNotes {
		return r.fail(r.at, wantFewer)
	}
	r.events = append(r.events, e)
	r.waiting, r.waitingAt = "", 0
	r.at += len(word)
	return nil
}

// tail reads "in SCALE", "by UNIT" and "over CHANGES" off the end.
func (r *reader) tail() error {
	r.end = len(r.text)
	words := []string{"in", "by", "over"}
	if r.what != "figure" {
		words = words[:2]
	}
	for {
		var at, which int
		for k, word := range words {
			if last := lastWord(r.text[:r.end], word); last > at {
				at, which = last, k
			}
		}
		if at == 0 {
			return nil
		}
		word := words[which]
		words = slices.Delete(words, which, which+1)
		value := strings.TrimLeftFunc(r.text[at+len(word):r.end], unicode.IsSpace)
		valueAt := r.end - len(value)
		value = strings.TrimRightFunc(value, unicode.IsSpace)
		r.end = at
		if word == "over" {
			r.over, r.overAt = value, valueAt
			continue
		}
		if word == "in" {
			scale, err := ParseScale(value)
			if err != nil {
				return r.within(valueAt, err)
			}
			r.figure.scale = scale
			continue
		}
		unit, ok := parseUnit(value)
		if !ok {
			return r.fail(valueAt, "after “by” comes a note value such as 1/16, or quarters, eighths, sixteenths, triplets; it is a multiple of 1/192 and at most 64 whole notes")
		}
		r.figure.unit = unit
	}
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

// lastWord returns where a word last stands alone after a space, outside braces,
// or 0.
func lastWord(s, word string) (at int) {
	inside := false
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

const (
	spaces     = " \t\n\r"
	separators = spaces + ",-"
)

func isSpace(c byte) bool { return strings.IndexByte(spaces, c) >= 0 }

func isSeparator(c byte) bool { return strings.IndexByte(separators, c) >= 0 }
