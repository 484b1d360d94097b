package chord

import (
	"strconv"

	"example.com/keyorder/interval"
)

// String returns the chord's symbol in its one form, with ♭ and ♯: "E♭m7(♭5)",
// "C6/9", "B♭/C".
func (c Chord) String() string { return string(c.append(nil, false)) }

// Plain returns the symbol with b and #: "Ebm7(b5)".
func (c Chord) Plain() string { return string(c.append(nil, true)) }

// Suffix returns what follows the root in the symbol, without the bass: "m7(♭5)".
// For a major triad it is empty.
func (c Chord) Suffix() string { return string(appendSuffix(nil, c.Quality(), false)) }

// PlainSuffix returns Suffix with b and #: "m7(b5)". ParseQuality reads it.
func (c Chord) PlainSuffix() string { return string(appendSuffix(nil, c.Quality(), true)) }

// GoString returns what one would type, for %#v.
func (c Chord) GoString() string { return "chord.MustParse(" + strconv.Quote(c.Plain()) + ")" }

// AppendText implements encoding.TextAppender. It appends what Plain returns.
// The error is that of a root or bass without a text form, see
// [spelling.Name.AppendText].
func (c Chord) AppendText(b []byte) ([]byte, error) {
	t, err := c.root.AppendText(b)
	if err != nil {
		return b, err
	}
	t = appendSuffix(t, c.Quality(), true)
	if c.bass != 0 {
		if t, err = c.Bass().AppendText(append(t, '/')); err != nil {
			return b, err
		}
	}
	return t, nil
}

// MarshalText implements encoding.TextMarshaler; see AppendText.
func (c Chord) MarshalText() ([]byte, error) { return c.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler; see Parse.
func (c *Chord) UnmarshalText(text []byte) error {
	v, err := Parse(string(text))
	if err == nil {
		*c = v
	}
	return err
}

func (c Chord) append(b []byte, plain bool) []byte {
	name := func() string { return c.root.String() }
	bass := func() string { return c.Bass().String() }
	if plain {
		name, bass = c.root.Plain, c.Bass().Plain
	}
	b = appendSuffix(append(b, name()...), c.Quality(), plain)
	if c.bass != 0 {
		b = append(append(b, '/'), bass()...)
	}
	return b
}

// appendSuffix appends the symbol of a quality: its stem, and in brackets where
// it differs from that, members left out first, then those changed or added,
// upward.
func appendSuffix(b []byte, q interval.Set, plain bool) []byte {
	s := stemOf(q)
	base := s.set()
	extra := q &^ base
	if s == (stem{}) && base.SubsetOf(q) && (extra == n2 || extra == n4) {
		// Right after the root one natural member needs no brackets.
		if extra == n2 {
			return append(b, "add9"...)
		}
		return append(b, "add11"...)
	}
	open := false
	item := func(text string) {
		if open {
			b = append(b, ',')
		} else {
			b = append(b, '(')
		}
		open = true
		b = append(b, text...)
	}
	b = append(b, [...]string{major: "", minor: "m", diminished: "dim", augmented: "+", power: "5"}[s.triad]...)
	switch {
	case s.maj && s.triad != major:
		item("maj")
	case s.maj:
		b = append(b, "maj"...)
	}
	switch s.figure {
	case 0:
	case sixNine:
		b = append(b, "6/9"...)
	default:
		b = strconv.AppendInt(b, int64(s.figure), 10)
	}
	switch {
	case s.sus == 4 && q != base:
		b = append(b, "sus"...)
	case s.sus != 0:
		b = append(append(b, "sus"...), '0'+s.sus)
	}
	if n3.SubsetOf(base &^ q) {
		item("no3")
	}
	if n5.SubsetOf(base) && !has(q, forms(n5)) { // an altered fifth takes its place without a word
		item("no5")
	}
	for steps, alteration := range s.members(extra) {
		item("")
		if !s.bare(q, steps, alteration) {
			b = append(b, "add"...)
		}
		if steps == 6 && alteration == 0 {
			b = append(b, "maj7"...)
		} else {
			b = appendDegree(b, steps+1, alteration, plain)
		}
	}
	if open {
		b = append(b, ')')
	}
	return b
}

// bare reports whether a member stands in the brackets without the word add:
// what an altered fifth does, and under a figure 9, 11 and 13, unless altered
// beside their natural form.
func (s stem) bare(q interval.Set, steps, alteration int) bool {
	switch steps {
	case 4:
		return alteration != 0 && !has(q, n5)
	case 8, 10, 12:
		return s.figure != 0 && (alteration == 0 || !has(q, bit(steps+1, 0)))
	}
	return false
}

func appendDegree(b []byte, number, alteration int, plain bool) []byte {
	flat, sharp := "♭", "♯"
	if plain {
		flat, sharp = "b", "#"
	}
	for ; alteration < 0; alteration++ {
		b = append(b, flat...)
	}
	for ; alteration > 0; alteration-- {
		b = append(b, sharp...)
	}
	return strconv.AppendInt(b, int64(number), 10)
}
