package drill

import (
	"fmt"
	"slices"
	"strings"

	"example.com/keyorder/interval"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
)

// maxName is the most bytes of a text that names an instrument.
const maxName = 200

// Find returns the common instrument with a name, in any case, with its range
// at a level: "tenor saxophone", "tenor sax", "B♭ trumpet", "Trumpet in Bb",
// "euphonium in treble clef". A range of one's own may follow, in written
// notes: "trumpet Bb3-E5".
//
// After a colon stand what is other than usual, and instruments of one's own,
// in any order: clefs, the usual one first, or "grand staff"; up or down and the
// interval from written to sounding; the range:
//
//	horn: treble bass F#2-C6
//	clay flute: down M2 treble D4-B5
//
// Where the name is that of a common instrument, what is not said is as usual;
// an instrument of one's own needs a range, sounds as written and is read in
// treble clef if nothing else is said.
//
// The error is a *fault.SyntaxError, which lists what is near a name, and says
// where a range cannot be read; or a *fault.ValueError for a range that is none,
// for an instrument that has no range at the level, and for a level that is none
// of the constants.
func Find(text string, level Level) (Instrument, error) {
	fail := func(at int, want string) (Instrument, error) {
		return Instrument{}, &fault.SyntaxError{What: "instrument", Input: text, At: at, Want: want}
	}
	if _, err := level.MarshalText(); err != nil {
		return Instrument{}, err
	}
	if len(text) > maxName {
		return fail(0, "an instrument is a name such as trumpet, and a range if one likes, as in trumpet Bb3-E5")
	}
	named, said, own := strings.Cut(text, ":")
	words := split(named, 0)
	var r reader
	if own {
		if at, want := r.read(split(said, len(named)+1)); want != "" {
			return fail(at, want)
		}
	} else {
		// A range begins where a word is no name.
		for n, w := range words {
			if w.isRange() {
				if at, want := r.read(words[n:]); want != "" {
					return fail(at, want)
				}
				words = words[:n]
				break
			}
		}
	}
	n := nameOf(words)
	clefs := r.clefs
	if len(clefs) == 0 {
		clefs = n.clefs
	}
	e := n.find(clefs)
	var i Instrument
	switch {
	case e == nil && !own:
		return fail(0, n.near())
	case e == nil:
		i.Name = strings.Join(strings.Fields(named), " ")
		switch {
		case i.Name == "":
			return fail(0, "before the colon stands a name, as in clay flute: down M2 D4-B5")
		case !r.ranged:
			return fail(0, "an instrument of one's own needs a range after the colon, as in clay flute: down M2 D4-B5")
		}
	case !r.ranged && e.ranges[level] == "":
		return Instrument{}, &fault.ValueError{Setting: "level", Value: level.String(), Want: e.levels()}
	case r.ranged:
		i = e.unranged(level)
	default:
		i = e.instrument(level)
	}
	if r.ranged {
		i.Low, i.High = r.low, r.high
	}
	if len(clefs) > 0 && (e == nil || len(clefs) > 1 || clefs[0] != i.Clef) {
		i.Clef, i.Also, i.Grand = clefs[0], ClefsOf(clefs...)&^ClefsOf(clefs[0]), false
	}
	if r.grand {
		i.Clef, i.Also, i.Grand = ClefTreble, 0, true
	}
	if r.sounds {
		i.Sounding = r.sounding
	}
	if err := i.check(); err != nil {
		return Instrument{}, err
	}
	return i, nil
}

// levels says at which levels the instrument has a range.
func (e *entry) levels() string {
	var names []string
	for l, r := range e.ranges {
		if r != "" {
			names = append(names, Level(l).String())
		}
	}
	return "no table gives " + e.title() + " a range at this level; it has them for " + strings.Join(names, ", ") +
		"; or give one, as in " + e.name + " " + e.ranges[LevelComfortable]
}

// A word is a word of a text and where it stands in it.
type word struct {
	text string
	at   int
}

// split cuts a text that begins at a place of the whole one into its words,
// without the commas behind them.
func split(s string, at int) (words []word) {
	rest := s
	for _, f := range strings.Fields(s) {
		n := strings.Index(rest, f)
		words = append(words, word{strings.TrimRight(f, ","), at + len(s) - len(rest) + n})
		rest = rest[n+len(f):]
	}
	return words
}

// dashes are those that may stand between the notes of a range.
var dashes = [...]string{"-", "–", "−"}

// isRange reports whether a word is, or should be, that of a range: it holds a
// digit, or note names on both sides of a dash.
func (w word) isRange() bool {
	if strings.ContainsAny(w.text, "0123456789") {
		return true
	}
	for _, d := range dashes {
		if from, to, ok := strings.Cut(w.text, d); ok {
			_, err := spelling.ParseName(from)
			_, err2 := spelling.ParseName(to)
			return err == nil && err2 == nil
		}
	}
	return false
}

// A reader holds what is said of an instrument besides its name.
type reader struct {
	low, high      spelling.Note
	ranged, sounds bool
	sounding       interval.Interval
	clefs          []Clef
	grand          bool
}

const wantRange = "a range is two written notes, as in trumpet Bb3-E5"

// read reads all words. Where it cannot, it returns where and what would be
// right.
func (r *reader) read(words []word) (at int, want string) {
	for len(words) > 0 {
		w := words[0]
		lower := strings.ToLower(w.text)
		next := ""
		if len(words) > 1 {
			next = strings.ToLower(words[1].text)
		}
		used := 1
		switch {
		case lower == "clef" || lower == "in" || lower == "sounds" || lower == "sounding" || lower == "from":
		case lower == "grand":
			if r.grand = true; next == "staff" {
				used = 2
			}
		case lower == "octave" && next == "treble":
			r.clefs, used = append(r.clefs, ClefTrebleOctave), 2
		case slices.Contains(clefs(), lower):
			r.clefs = append(r.clefs, Clef(slices.Index(clefs(), lower)))
		case lower == "up" || lower == "down":
			const want = "after up or down comes the interval from written to sounding, as in down M2"
			if len(words) == 1 {
				return w.at, want
			}
			by, err := interval.Parse(words[1].text)
			if err != nil || by < 0 {
				return words[1].at, want
			}
			if lower == "down" {
				by = -by
			}
			r.sounding, r.sounds, used = by, true, 2
		case w.isRange():
			n, at, want := r.readRange(words)
			if want != "" {
				return at, want
			}
			used = n
		default:
			return w.at, "after a name come clefs, up or down and an interval, and a range, as in horn: treble bass F#2-C6"
		}
		words = words[min(used, len(words)):]
	}
	return 0, ""
}

// readRange reads a range at the beginning of the words, as in "Bb3-E5", "Bb3 -
// E5" or "Bb3 to E5", and returns how many words it takes.
func (r *reader) readRange(words []word) (used, at int, want string) {
	if r.ranged {
		return 0, words[0].at, "an instrument has one range"
	}
	from, to, found := words[0].cut()
	used = 1
	if !found {
		rest := words[1:]
		if len(rest) > 0 && (strings.EqualFold(rest[0].text, "to") || slices.Contains(dashes[:], rest[0].text)) {
			rest = rest[1:]
		}
		if len(rest) == 0 {
			return 0, from.at, wantRange
		}
		to, used = rest[0], len(words)-len(rest)+1
	}
	for _, w := range []word{from, to} {
		n, err := spelling.Parse(w.text)
		if err != nil {
			return 0, w.at, fmt.Sprintf("%q is no note: %s; %s", w.text, err.(*fault.SyntaxError).Want, wantRange)
		}
		r.low, r.high = r.high, n
	}
	r.ranged = true
	return used, 0, ""
}

// cut cuts a word at the dash between two notes, or where they should be. A
// note may have a dash of its own before its octave.
func (w word) cut() (from, to word, found bool) {
	from, best := w, -1
	if _, err := spelling.Parse(w.text); err == nil {
		return w, word{}, false
	}
	for n := range w.text {
		for _, d := range dashes {
			if !strings.HasPrefix(w.text[n:], d) {
				continue
			}
			a, b := word{w.text[:n], w.at}, word{w.text[n+len(d):], w.at + n + len(d)}
			good := 0
			for _, half := range []word{a, b} {
				if _, err := spelling.Parse(half.text); err == nil {
					good++
				}
			}
			if good > best {
				from, to, best = a, b, good
			}
		}
	}
	return from, to, best >= 0
}

// A name is what a text says of an instrument before its range: the words of
// its name, the pitch that it is said to be in, its clef.
type name struct {
	words []string
	in    string
	clefs []Clef
}

// nameOf reads a name, with short forms spelled out.
func nameOf(words []word) (n name) {
	var all []string
	for _, w := range words {
		text := strings.NewReplacer("♭", "b", "♯", "#", "-flat", "b", "-sharp", "#", "’", "'").Replace(strings.ToLower(strings.Trim(w.text, "()")))
		last := len(all) - 1
		switch text {
		case "sax", "saxs", "saxes":
			text = "saxophone"
		case "tc", "t.c.":
			n.clefs = append(n.clefs, ClefTreble)
			continue
		case "bc", "b.c.":
			n.clefs = append(n.clefs, ClefBass)
			continue
		case "clef", "clefs":
			if last >= 0 {
				if c := slices.Index(clefs(), all[last]); c >= 0 {
					n.clefs, all = append(n.clefs, Clef(c)), all[:last]
				}
			}
			continue
		case "flat", "sharp":
			if last >= 0 && len(all[last]) == 1 {
				all[last] += map[string]string{"flat": "b", "sharp": "#"}[text]
				continue
			}
		}
		all = append(all, text)
	}
	for _, w := range all {
		// A word for the pitch, as B♭ in “B♭ trumpet”.
		if pitched, err := spelling.ParseName(w); err == nil {
			n.in = pitched.Plain()
		} else if w != "in" && w != "" {
			n.words = append(n.words, w)
		}
	}
	return n
}

// find returns the common instrument that has the name, or nil. Of those that
// share it, the first one in the pitch and with the usual clef that are said;
// where none has the clef, the first one in the pitch.
func (n *name) find(clefs []Clef) (found *entry) {
	for k := range instruments {
		e := &instruments[k]
		if !e.isCalled(n) {
			continue
		}
		if found == nil {
			found = e
		}
		if len(clefs) == 0 || e.clef == clefs[0] {
			return e
		}
	}
	return found
}

// isCalled reports whether an instrument has a name and, if one is said, is in
// the pitch.
func (e *entry) isCalled(n *name) bool {
	if sameWords(n.words, strings.Fields(e.name)) && (n.in == "" || n.in == e.in || n.in == "C" && e.in == "" && e.sounding == 0) {
		return true
	}
	if e.called == "" {
		return false
	}
	for _, other := range strings.Split(e.called, ",") {
		other, in, only := strings.Cut(strings.TrimSpace(other), " in ")
		if sameWords(n.words, strings.Fields(other)) && (n.in == "" && !only || n.in != "" && n.in == e.in || only && n.in == in) {
			return true
		}
	}
	return false
}

// near says what is near a name that no instrument has: those with the most
// words that are alike.
func (n *name) near() string {
	var near, all []string
	most := 1
	for k := range instruments {
		e := &instruments[k]
		if !slices.Contains(all, e.name) {
			all = append(all, e.name)
		}
		own := strings.FieldsFunc(e.name+" "+e.called, func(r rune) bool { return r == ' ' || r == ',' })
		count := 0
		for _, w := range n.words {
			if slices.ContainsFunc(own, func(o string) bool { return alike(w, strings.ToLower(o)) }) {
				count++
			}
		}
		if count > most {
			near, most = nil, count
		}
		if count == most {
			near = append(near, e.title())
		}
	}
	if len(near) == 0 {
		return "no instrument has this name; there are " + strings.Join(all, ", ") + "; for one of your own, say its range after a colon, as in clay flute: D4-B5"
	}
	return "no instrument is called just that; near it: " + strings.Join(near, ", ")
}

// alike reports whether two words begin alike, or whether the first is the
// second with a letter or two mistyped.
func alike(a, b string) bool {
	if len(a) < 2 {
		return false
	}
	if strings.HasPrefix(b, a) || len(a) > 3 && strings.HasPrefix(b, a[:4]) {
		return true
	}
	return len(a) > 3 && changes(a, b) <= 2
}

// changes counts the letters to put in, take out or replace that lead from one
// word to the other.
func changes(a, b string) int {
	row := make([]int, len(b)+1) // changes from the part of a so far to each beginning of b
	for n := range row {
		row[n] = n
	}
	for n := range len(a) {
		corner := row[0]
		row[0]++
		for m := range len(b) {
			change := corner
			if a[n] != b[m] {
				change++
			}
			corner = row[m+1]
			row[m+1] = min(change, corner+1, row[m]+1)
		}
	}
	return row[len(b)]
}

// sameWords reports whether two names have the same words, in any order, each in
// the singular or the plural.
func sameWords(a, b []string) bool {
	if len(a) != len(b) {
		return false
	}
	singular := func(words []string) []string {
		words = slices.Clone(words)
		for n, w := range words {
			if w = strings.ToLower(w); strings.HasSuffix(w, "sses") {
				w = strings.TrimSuffix(w, "es")
			} else if !strings.HasSuffix(w, "ss") {
				w = strings.TrimSuffix(w, "s")
			}
			words[n] = w
		}
		slices.Sort(words)
		return words
	}
	return slices.Equal(singular(a), singular(b))
}
