package chord

import (
	"strconv"
	"strings"

	"example.com/keyorder/interval"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
)

// MustParse is Parse for text known to be good, as in tests and tables. It
// panics if the text is not a chord.
func MustParse(s string) Chord {
	c, err := Parse(s)
	if err != nil {
		panic(err)
	}
	return c
}

// Parse reads a chord symbol: a root with a capital letter and its accidentals,
// a suffix as charts write it, and perhaps a stroke and a note for the bass:
// "Ebm7b5", "C", "F#7(b9)", "B♭/C". Accidentals are b # or ♭ ♯, and after a
// figure - and + too. The error is a *fault.SyntaxError; it says what is near.
//
// The suffix says, in this order:
//
//   - the triad: maj or M for major, m, min or - for minor, dim or ° for
//     diminished, aug or + for augmented, ø for half-diminished (with its
//     seventh), 5 for root and fifth; M is major, m minor;
//   - a figure, 6, 6/9, 7, 9, 11 or 13, with maj or Δ before it for a major
//     seventh; a bare Δ is maj7, and 2 is add9;
//   - sus, sus4 or sus2;
//   - in brackets or not, what is changed: b5 #9 #11 …, add9, no3; alt for the
//     altered dominant.
func Parse(s string) (Chord, error) {
	const letters = "CDEFGAB"
	r := reader{what: "chord", text: s}
	if s == "" || !strings.Contains(letters, s[:1]) {
		return Chord{}, r.fail("a chord begins with a capital letter from A to G, as Cmaj7, Ebm7 or F#7(b9)")
	}
	r.at = 1
	alteration, after, err := spelling.CutAccidentals(r.rest())
	if err != nil {
		return Chord{}, r.fail("a root has at most seven flats or sharps, and not both")
	}
	r.at = len(s) - len(after)
	return r.on(spelling.NameOf(spelling.Letter(strings.IndexByte(letters, s[0])), alteration))
}

// ParseOn reads what follows the root of a chord symbol, a bass included, and
// returns the chord on that root: "m7", "7(b9)/E". Unlike Parse of both together
// it cannot take the flat of a suffix such as "b5" for one of the root. The
// error is a *fault.SyntaxError.
func ParseOn(root spelling.Name, suffix string) (Chord, error) {
	r := reader{what: "chord suffix", text: suffix}
	return r.on(root)
}

// on reads the suffix and the bass of a chord on a root.
func (r *reader) on(root spelling.Name) (Chord, error) {
	q, err := r.quality()
	if err != nil {
		return Chord{}, err
	}
	c := Of(root, q)
	if r.rest() == "" {
		return c, nil
	}
	r.at++ // the stroke
	r.spaces()
	bass, err := spelling.ParseName(r.rest())
	if err != nil || r.text[r.at] > 'G' {
		return Chord{}, r.fail("after the stroke stands the lowest note alone, as in C/E or Bb/C")
	}
	return c.Over(bass), nil
}

// ParseQuality reads what follows the root of a chord symbol, without a bass:
// "m7", "7(b9)". No text is the major triad. The error is a *fault.SyntaxError.
func ParseQuality(s string) (interval.Set, error) {
	r := reader{what: "chord suffix", text: s}
	q, err := r.quality()
	if err == nil && r.rest() != "" {
		return 0, r.fail("a suffix has no bass")
	}
	return q, err
}

// A reader reads a symbol from left to right.
type reader struct {
	what, text string
	at         int // what is read so far, in bytes
	suffix     int // where the suffix begins
}

func (r *reader) rest() string { return r.text[r.at:] }

func (r *reader) fail(want string) error {
	return &fault.SyntaxError{What: r.what, Input: r.text, At: r.at, Want: want}
}

func (r *reader) spaces() {
	for r.skip(" ") {
	}
}

// skip passes over the text if it comes next.
func (r *reader) skip(text string) bool {
	if rest := r.rest(); rest == "" || rest[0] != text[0] || !strings.HasPrefix(rest, text) {
		return false
	}
	r.at += len(text)
	return true
}

// word passes over a word, in small or capital letters, if it comes next.
func (r *reader) word(w string) bool {
	rest := r.rest()
	if len(rest) < len(w) || rest[0]|' ' != w[0] || !strings.EqualFold(rest[:len(w)], w) {
		return false
	}
	r.at += len(w)
	return true
}

// accidentals passes over flats or sharps and returns what they do, in
// semitones. It stops where both come, which is then no degree.
func (r *reader) accidentals() int {
	sum, after, _ := spelling.CutAccidentals(r.rest())
	r.at = len(r.text) - len(after)
	return sum
}

// number passes over a number and returns it, or 0 where there is none.
func (r *reader) number() int {
	after := strings.TrimLeft(r.rest(), "0123456789")
	digits := strings.TrimSuffix(r.rest(), after)
	if digits == "" || digits[0] == '0' {
		return 0
	}
	r.at += len(digits)
	n, _ := strconv.Atoi(digits) // one too great is the greatest, which is no degree
	return n
}

func (r *reader) minus() bool { return r.skip("-") || r.skip("−") }

// triangle passes over a triangle, which is typed as one of three.
func (r *reader) triangle() bool { return r.skip("Δ") || r.skip("∆") || r.skip("△") }

// ma passes over ma for major, but not over the beginning of madd9.
func (r *reader) ma() bool {
	rest := r.rest()
	return (len(rest) < 3 || rest[2]|' ' != 'd') && r.word("ma")
}

// quality reads a suffix, up to the stroke before a bass or to the end.
func (r *reader) quality() (interval.Set, error) {
	r.suffix = r.at
	r.spaces()
	s, err := r.stem()
	if err != nil {
		return 0, err
	}
	q := s.set()
	open := false
	for {
		r.spaces()
		rest := r.rest()
		switch {
		case open && rest == "":
			return 0, r.fail("a bracket is closed again, as in C7(b9)")
		case open && r.skip(")"):
			open = false
			continue
		case open:
			r.skip(",")
		case rest == "" || rest[0] == '/':
			return q, nil
		case r.skip("("):
			open = true
		}
		r.spaces()
		if q, err = r.change(q, s, open); err != nil {
			return q, err
		}
	}
}

// stem reads the triad and the figure of a suffix.
func (r *reader) stem() (s stem, err error) {
	from, triangle, plus := r.at, false, false
	switch {
	case r.word("maj") || r.ma():
		s.maj = true
	case r.word("min") || r.word("mi"):
		s.triad = minor
	case r.skip("M"):
		s.maj = true
	case r.triangle():
		s.maj, triangle = true, true
	case r.skip("m") || r.minus():
		s.triad = minor
	case r.word("dim") || r.skip("°"):
		s.triad = diminished
	case r.word("omit"):
		r.at = from // it is no o for diminished
	case r.skip("o"):
		s.triad = diminished
	case r.skip("ø") || r.skip("Ø"):
		s.triad = halfDiminished
	case r.word("aug"):
		s.triad = augmented
	case r.skip("+"):
		s.triad, plus = augmented, true
	}
	r.spaces()
	begin := r.at
	switch n := r.number(); {
	case n == 0 && (triangle || s.triad == halfDiminished):
		s.figure = 7
	case n == 5 && s == (stem{}):
		s.triad = power
	case n == 6 && s.triad != halfDiminished:
		s.figure = 6
		if r.skip("/9") {
			s.figure = sixNine
		}
	case n == sixNine && s.triad != halfDiminished:
		s.figure = sixNine
	case plus && n != 7 && isFigure(n):
		r.at = from
		return s, r.fail("+ before 9, 11 or 13 is read in two ways; write which is raised, as 9(#5) or 7(#9)")
	case isFigure(n):
		s.figure = uint8(n)
	default: // no figure, see change
		r.at = begin
	}
	return s, nil
}

// isFigure reports whether a number brings a seventh with it.
func isFigure(n int) bool { return n == 7 || n == 9 || n == 11 || n == 13 }

// change reads one thing that changes the quality, in brackets or not.
func (r *reader) change(q interval.Set, s stem, bracketed bool) (interval.Set, error) {
	const sevenths = b7 | n7 | bb7
	begin := r.at
	switch {
	case r.at == r.suffix && r.skip("2"):
		return q | n2, nil
	case r.word("sus"):
		switch r.number() {
		case 0, 4:
			return q&^(n3|b3) | n4, nil
		case 2:
			return q&^(n3|b3) | n2, nil
		}
	case r.word("add"):
		r.spaces()
		if r.word("maj7") || r.skip("M7") {
			return q | n7, nil
		}
		alteration := r.accidentals()
		n := r.number()
		if m := bit(n, alteration); m != 0 && !(n == 7 && alteration == 0) {
			return q | m, nil
		}
		r.at = begin
		return 0, r.fail("what is added is a degree of the major scale, as add9, addb6 or addmaj7")
	case r.word("no") || r.word("omit"):
		r.spaces()
		if m := forms(bit(r.number(), 0)); m != 0 && !has(m, n1) {
			return q &^ m, nil
		}
		r.at = begin
		return 0, r.fail("what is left out is a member other than the root, as no3 or no5")
	case r.word("alt"):
		if q == (stem{}).set() || q == (stem{figure: 7}).set() {
			return n1 | n3 | s5 | b7 | s2, nil
		}
	case r.word("aug"):
		return q&^n5 | s5, nil
	case r.word("maj") || r.ma() || r.skip("M") || r.triangle():
		if n := r.number(); isFigure(n) && !has(q, sevenths) {
			s.maj, s.figure = true, uint8(n)
			return q | s.stacked(), nil
		}
	default:
		return r.degree(q, bracketed, has(q, sevenths|n6))
	}
	r.at = begin
	return 0, r.failNear()
}

// degree reads a degree with what alters it: a fifth, or 9, 11 and 13 if there
// is a figure to expect them.
func (r *reader) degree(q interval.Set, bracketed, figure bool) (interval.Set, error) {
	begin := r.at
	alteration := r.accidentals()
	signed := r.at > begin
	if !signed {
		switch {
		case r.skip("+"):
			alteration, signed = 1, true
		case r.minus():
			alteration, signed = -1, true
		}
	}
	n := r.number()
	m := bit(n, alteration)
	switch {
	case n == 0 && r.text[begin:r.at] == "+":
		return q&^n5 | s5, nil
	case m == 0:
	case n == 5 && signed:
		return q&^n5 | m, nil
	case n != 9 && n != 11 && n != 13 || !signed && !bracketed:
	case !figure:
		r.at = begin
		return 0, r.fail("without a seventh write add, as C(addb9), with one its figure, as C7(b9)")
	case signed:
		return q&^bit(n, 0) | m, nil
	default:
		return q | m, nil
	}
	r.at = begin
	return 0, r.failNear()
}

// failNear refuses the text with the symbols that begin as it does.
func (r *reader) failNear() error {
	root, typed := r.text[:r.suffix], strings.TrimSpace(r.text[r.suffix:])
	for _, w := range [...][2]string{{"min", "m"}, {"mi", "m"}, {"-", "m"}, {"maj", "maj"}, {"ma", "maj"}, {"M", "maj"}, {"Δ", "maj"}, {"dim", "dim"}, {"°", "dim"}, {"o", "dim"}, {"ø", "m7(b5)"}} {
		if rest, ok := strings.CutPrefix(typed, w[0]); ok {
			typed = w[1] + rest
			break
		}
	}
	var near []string
	most := 1
	for _, s := range symbols() {
		n := 0
		for n < len(s) && n < len(typed) && s[n] == typed[n] {
			n++
		}
		if n > most {
			most, near = n, nil
		}
		if n == most && len(near) < 4 {
			near = append(near, root+s)
		}
	}
	if near == nil {
		return r.fail("after the root stands what charts write, as " + root + "m7, " + root + "maj7, " + root + "7(b9) or " + root + "sus4")
	}
	return r.fail("near it are " + strings.Join(near, ", "))
}

// symbols returns the suffixes in common use in the order of
// testdata/chords.tsv, plain ones first.
func symbols() []string {
	return []string{
		"", "m", "dim", "+", "5", "(b5)", "sus4", "sus2", "6", "m6", "6/9", "m6/9", "add9", "m(add9)",
		"maj7", "7", "m7", "m7(b5)", "dim7", "m(maj7)", "+7", "7(b5)", "maj7(#5)", "maj7(b5)", "m7(#5)", "dim(maj7)",
		"7sus4", "9sus4", "13sus4", "7sus(b9)", "13sus(b9)",
		"maj9", "9", "m9", "m(maj9)", "m9(b5)", "11", "maj11", "m11", "m11(b5)", "m7(11)",
		"maj13", "13", "m13", "m13(#11)", "maj7(#11)", "maj9(#11)", "maj13(#11)", "7(#11)", "9(#11)", "13(#11)",
		"7(b9)", "7(#9)", "7(b5,b9)", "7(#5,b9)", "7(b5,#9)", "7(#5,#9)", "7(#9,#11)", "7(b13)", "13(b9)",
	}
}
