package figure

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"example.com/keyorder/pitch/fault"
)

// varied returns the figure with its events changed: those of its cell where it
// stands over changes, over which the new cell is stated again.
func (f Figure) varied(change func(Figure) (Figure, error)) (Figure, error) {
	if f.over == nil {
		return change(f)
	}
	cell, err := change(f.over.cell)
	if err != nil {
		return Figure{}, err
	}
	return cell.Over(f.over.changes)
}

// Displaced returns the figure later against the downbeat by a note value, or
// earlier by a negative one: later notes leave a rest before them, earlier ones
// become a pickup. Chords move with their notes, and two rests side by side become
// one, if an event lasts as long. Displaced by a length and back, the notes stand where they stood; a figure
// that begins with a note and has no two rests side by side is equal to what it
// was.
//
// The error is a *fault.ValueError: a note would sound over the downbeat, which
// no figure can write, or nothing would follow it; over changes the cell has a
// pickup then, or is too long for its chord.
func (f Figure) Displaced(by Length) (Figure, error) {
	return f.varied(func(f Figure) (Figure, error) { return f.displaced(by) })
}

func (f Figure) displaced(by Length) (Figure, error) {
	refuse := func(want string) (Figure, error) {
		return Figure{}, &fault.ValueError{Setting: "displacement", Value: by.String(), Want: want}
	}
	switch {
	case len(f.items) == 0:
		return f, nil
	case by < -MaxLength || by > MaxLength:
		return refuse("a figure is displaced by at most 64 whole notes")
	}
	rest := f.items
	at := by - f.pickup // of the next event, from the downbeat
	for f.before == 0 && len(rest) > 0 && rest[0].isRest() && rest[0].Chord == nil {
		at += rest[0].Length
		rest = rest[1:]
	}
	var items []Item
	before := 0
	add := func(it Item, at Length) {
		last := len(items) - 1
		if at != 0 && last >= 0 && items[last].isRest() && it.isRest() && it.Chord == nil && items[last].Length+it.Length <= MaxLength {
			items[last].Length += it.Length
			return
		}
		if items = append(items, it); at < 0 {
			before = len(items)
		}
	}
	for left := at; left > 0; left -= MaxLength {
		add(Item{Length: min(left, MaxLength)}, 0)
	}
	for _, it := range rest {
		end := at + it.Length
		switch {
		case at >= 0 || end <= 0:
			add(it, at)
		case it.isRest():
			add(Item{Length: -at, Chord: it.Chord}, at)
			add(Item{Length: end}, 0)
		default:
			return refuse("a note would sound over the downbeat")
		}
		at = end
	}
	if before == len(items) {
		return refuse("nothing would follow the downbeat")
	}
	return New(f.scale, f.unit, before, items...)
}

func (it Item) isRest() bool { return len(it.Degrees) == 0 }

// InRhythm returns the figure's notes in another rhythm: each event that sounds
// takes the next length, and the first again after the last; a negative length is
// a rest of that length. The figure's own rests go, the notes before the downbeat
// stay before it if others follow, and a chord over a rest goes to the note after it. The error is
// a *fault.ValueError: there is no length for a note, or one is out of bounds.
func (f Figure) InRhythm(lengths ...Length) (Figure, error) {
	return f.varied(func(f Figure) (Figure, error) { return f.inRhythm(lengths) })
}

func (f Figure) inRhythm(lengths []Length) (Figure, error) {
	if !slices.ContainsFunc(lengths, func(l Length) bool { return l > 0 }) {
		return Figure{}, &fault.ValueError{Setting: "rhythm", Want: "a rhythm has the length of at least one note, as 3 1 0 2 in eighths"}
	}
	var items []Item
	before, k := 0, 0
	rests := func(ending bool) {
		for lengths[k] < 0 && !(ending && k == 0) && len(items) <= maxNotes {
			items = append(items, Item{Length: -lengths[k]})
			k = (k + 1) % len(lengths)
		}
	}
	var chord *Chord
	for n, it := range f.items {
		if it.Chord != nil {
			chord = it.Chord
		}
		if it.isRest() {
			continue
		}
		rests(false)
		it.Length, it.Chord, chord = lengths[k], chord, nil
		k = (k + 1) % len(lengths)
		if items = append(items, it); n < f.before {
			before = len(items)
		}
	}
	if len(items) == 0 {
		return f, nil
	}
	rests(true) // those at the end of the rhythm, but not its beginning again
	if before == len(items) {
		before = 0
	}
	return New(f.scale, f.unit, before, items...)
}

// Leap returns the figure with its nth event that sounds, counted from 1, so many
// octaves higher, or lower where octaves is negative. The error is a
// *fault.ValueError: there is no such note, or it would lie beyond the degrees vvv1
// to 99.
func (f Figure) Leap(n, octaves int) (Figure, error) {
	return f.varied(func(f Figure) (Figure, error) { return f.leap(n, octaves) })
}

func (f Figure) leap(n, octaves int) (Figure, error) {
	items := slices.Clone(f.items)
	left := n
	for k, it := range items {
		if it.isRest() {
			continue
		}
		if left--; left != 0 {
			continue
		}
		items[k] = it.clone()
		for j, d := range it.Degrees {
			step := float64(d.Step) + 7*float64(octaves) // which does not wrap
			if step < minStep || step > maxStep {
				return Figure{}, d.refused("its leap ends beyond the degrees vvv1 to 99")
			}
			items[k].Degrees[j].Step = int8(step)
		}
		return New(f.scale, f.unit, f.before, items...)
	}
	return Figure{}, &fault.ValueError{Setting: "note", Value: strconv.Itoa(n), Want: "the note that leaps is one of the figure's, counted from 1"}
}

// First returns the figure's beginning: its first n events that sound, as one learns a
// figure note by note. It ends with the last of them; a figure with no more is whole.
// The error is a *fault.ValueError where n is not at least 1.
func (f Figure) First(n int) (Figure, error) {
	return f.varied(func(f Figure) (Figure, error) { return f.first(n) })
}

func (f Figure) first(n int) (Figure, error) {
	if n < 1 {
		return Figure{}, &fault.ValueError{Setting: "notes", Value: strconv.Itoa(n), Want: "the beginning of a figure has at least its first note"}
	}
	end := 0 // of the nth
	for k, it := range f.items {
		switch {
		case it.isRest():
			continue
		case n > 0:
			end, n = k+1, n-1
			continue
		}
		before := f.before
		if before >= end { // nothing is left after the downbeat
			before = 0
		}
		return New(f.scale, f.unit, before, f.items[:end]...)
	}
	return f, nil
}

// InScale returns the figure with its bare degrees taken from another scale, which
// then names the keys. The error is a *fault.ValueError where that has not all of
// them.
func (f Figure) InScale(s Scale) (Figure, error) {
	return f.varied(func(f Figure) (Figure, error) {
		if len(f.items) == 0 {
			return f, nil
		}
		return New(s, f.unit, f.before, f.items...)
	})
}

// A Variation is a way to vary a figure, with a text of its own, for settings and
// flags; see [ParseVariation]. Variations compare with ==. The zero value leaves
// the figure as it is.
type Variation struct {
	kind   variation
	n      int // of a rotation, the note that leaps, or how many notes of the beginning
	about  Degree
	by     Length // a displacement, or 1 or -1 for an octave's leap
	rhythm string // as String writes it
	scale  Scale
}

type variation uint8

const (
	none variation = iota
	retrograde
	inversion
	rotation
	displaced
	rhythm
	leap
	inScale
	beginning
)

// Apply returns the figure varied, its cell where it stands over changes. The
// error is that of the method which the variation names.
func (v Variation) Apply(f Figure) (Figure, error) {
	switch v.kind {
	case retrograde:
		return f.Retrograde(), nil
	case inversion:
		return f.Inversion(v.about)
	case rotation:
		return f.Rotation(v.n), nil
	case displaced:
		return f.Displaced(v.by)
	case rhythm:
		lengths, _ := parseRhythm(v.rhythm)
		return f.InRhythm(lengths...)
	case leap:
		return f.Leap(v.n, int(v.by))
	case inScale:
		return f.InScale(v.scale)
	case beginning:
		return f.First(v.n)
	}
	return f, nil
}

// String returns the variation's text, as [ParseVariation] reads it. The zero value
// has none.
func (v Variation) String() string {
	switch v.kind {
	case retrograde:
		return "retrograde"
	case inversion:
		return "inversion about " + v.about.Plain()
	case rotation:
		return "rotation " + strconv.Itoa(v.n)
	case displaced:
		return "displaced " + v.by.String()
	case rhythm:
		return "rhythm " + v.rhythm
	case leap:
		if v.by == -1 {
			return "octave down " + strconv.Itoa(v.n)
		}
		return "octave up " + strconv.Itoa(v.n)
	case inScale:
		return "in " + v.scale.String()
	case beginning:
		return "first " + strconv.Itoa(v.n)
	}
	return ""
}

// GoString returns what one would type, for %#v.
func (v Variation) GoString() string {
	if v.kind == none {
		return "figure.Variation{}"
	}
	return "figure.MustParseVariation(" + strconv.Quote(v.String()) + ")"
}

// AppendText implements encoding.TextAppender. It appends what String returns.
// There is no error.
func (v Variation) AppendText(b []byte) ([]byte, error) { return append(b, v.String()...), nil }

// MarshalText implements encoding.TextMarshaler; see String.
func (v Variation) MarshalText() ([]byte, error) { return v.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler. It reads what
// [ParseVariation] reads, and the zero value from no text.
func (v *Variation) UnmarshalText(text []byte) error {
	if len(text) == 0 {
		*v = Variation{}
		return nil
	}
	w, err := ParseVariation(string(text))
	if err == nil {
		*v = w
	}
	return err
}

// MustParseVariation is [ParseVariation] for text known to be good. It panics if
// the text is no variation.
func MustParseVariation(s string) Variation {
	v, err := ParseVariation(s)
	if err != nil {
		panic(err)
	}
	return v
}

const maxRhythm = 64 // lengths, so that a rhythm is a short text

// ParseVariation reads a variation:
//
//   - "retrograde", see [Figure.Retrograde];
//   - "inversion about 3", or about 1 if nothing is said, see [Figure.Inversion];
//   - "rotation 2", or by 1, see [Figure.Rotation];
//   - "displaced 1/8" or "displaced -1/8", by a fraction of a whole note, see
//     [Figure.Displaced];
//   - "rhythm 3 1 0 2", at most 64 lengths in eighths, 0 for a rest of one and 0:2
//     for one of two, see [Figure.InRhythm];
//   - "octave up 3" or "octave down 3", for the third note, see [Figure.Leap];
//   - "in dorian", see [Figure.InScale];
//   - "first 3", the first three notes alone, see [Figure.First].
//
// The error is a *fault.SyntaxError.
func ParseVariation(s string) (Variation, error) {
	r := newReader("variation", s, Major)
	text := strings.TrimRightFunc(s, unicode.IsSpace)
	// cut passes over a word that stands alone.
	cut := func(word string) bool {
		rest := strings.TrimLeftFunc(text[r.at:], unicode.IsSpace)
		after, ok := strings.CutPrefix(strings.ToLower(rest[:min(len(word), len(rest))]), word)
		if !ok || after != "" || len(rest) > len(word) && !isSpace(rest[len(word)]) {
			return false
		}
		r.at = len(text) - len(rest) + len(word)
		return true
	}
	value := func() string {
		rest := strings.TrimLeftFunc(text[r.at:], unicode.IsSpace)
		r.at = len(text) - len(rest)
		return rest
	}
	fail := func(want string) (Variation, error) { return Variation{}, r.fail(r.at, want) }
	switch {
	case cut("retrograde") && value() == "":
		return Variation{kind: retrograde}, nil
	case cut("inversion"):
		if cut("about"); value() == "" {
			return Variation{kind: inversion}, nil
		}
		d, err := ParseDegree(value())
		if err != nil {
			return Variation{}, r.within(r.at, err)
		}
		return Variation{kind: inversion, about: d}, nil
	case cut("rotation"):
		n, err := strconv.Atoi(value())
		if value() == "" {
			n, err = 1, nil
		}
		if err != nil || n < -maxNotes || n > maxNotes {
			return fail(fmt.Sprintf("a rotation is by a number of events, as rotation 2, at most %d", maxNotes))
		}
		return Variation{kind: rotation, n: n}, nil
	case cut("displaced"):
		by, err := ParseLength(value())
		if err != nil || by < -MaxLength || by > MaxLength {
			return fail("a figure is displaced by a note value, as displaced 1/8, or -1/8 for earlier, a multiple of 1/192 and at most 64 whole notes")
		}
		return Variation{kind: displaced, by: by}, nil
	case cut("rhythm"):
		lengths, bad := parseRhythm(value())
		if bad >= 0 {
			r.at += bad
			return fail("a rhythm is a list of lengths in eighths, as rhythm 3 1 0 2, where 0 is a rest and 0:2 one of two; it has at most 64 and the length of a note")
		}
		return Variation{kind: rhythm, rhythm: formatRhythm(lengths)}, nil
	case cut("octave"):
		v := Variation{kind: leap, by: 1}
		if !cut("up") && cut("down") {
			v.by = -1
		}
		n, err := strconv.Atoi(value())
		if err != nil || n < 1 || n > maxNotes {
			return fail("an octave's leap is that of one note, as octave up 3 or octave down 3 for the third")
		}
		v.n = n
		return v, nil
	case cut("in"):
		scale, err := ParseScale(value())
		if err != nil {
			return Variation{}, r.within(r.at, err)
		}
		return Variation{kind: inScale, scale: scale}, nil
	case cut("first"):
		n, err := strconv.Atoi(value())
		if err != nil || n < 1 || n > maxNotes {
			return fail("the beginning of a figure is a number of its notes, as first 3")
		}
		return Variation{kind: beginning, n: n}, nil
	}
	return fail("a variation is one of retrograde, inversion about 3, rotation 2, displaced 1/8, rhythm 3 1 0 2, octave up 3, in dorian, first 3")
}

// parseRhythm reads lengths in eighths, rests as negative ones; bad is the place of
// the first that is none, or −1.
func parseRhythm(s string) (lengths []Length, bad int) {
	sounds := false
	for at, word := range words(s, func(r rune) bool { return r == ',' || unicode.IsSpace(r) }) {
		rest := Length(1)
		switch after, ok := strings.CutPrefix(word, "0:"); {
		case ok:
			word, rest = after, -1
		case word == "0":
			word, rest = "1", -1
		}
		l, ok := fraction(word, Eighth, MaxLength)
		if !ok || l == 0 || len(lengths) == maxRhythm {
			return nil, at
		}
		sounds = sounds || rest == 1
		lengths = append(lengths, rest*l)
	}
	if !sounds {
		return nil, 0
	}
	return lengths, -1
}

func formatRhythm(lengths []Length) string {
	var b []byte
	for n, l := range lengths {
		if n > 0 {
			b = append(b, ' ')
		}
		switch {
		case l == -Eighth:
			b = append(b, '0')
		case l < 0:
			b = (-l).append(append(b, "0:"...), Eighth)
		default:
			b = l.append(b, Eighth)
		}
	}
	return string(b)
}
