package figure

import (
	"bytes"
	"iter"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"example.com/keyorder/interval"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
)

// A namedScale is a scale with its names.
type namedScale struct {
	scale Scale
	names []string
}

// commonScales are the names of the common scales, in small letters, the first of
// each the one that String writes.
var commonScales = [...]namedScale{
	{Major, []string{"major", "ionian"}},
	{Dorian, []string{"dorian"}},
	{Phrygian, []string{"phrygian"}},
	{Lydian, []string{"lydian"}},
	{Mixolydian, []string{"mixolydian", "mixo"}},
	{NaturalMinor, []string{"natural minor", "aeolian", "minor"}},
	{Locrian, []string{"locrian"}},
	{HarmonicMinor, []string{"harmonic minor"}},
	{MelodicMinor, []string{"melodic minor", "melodic minor (ascending)", "ascending melodic minor", "jazz minor"}},
	{DorianFlat2, []string{"dorian b2", "phrygian natural 6", "phrygian dorian"}},
	{LydianAugmented, []string{"lydian augmented", "lydian #5"}},
	{LydianDominant, []string{"lydian dominant", "lydian b7", "mixolydian #4", "acoustic"}},
	{MixolydianFlat6, []string{"mixolydian b6", "mixolydian b13"}},
	{LocrianSharp2, []string{"locrian #2", "locrian natural 2", "aeolian b5", "half diminished"}},
	{Altered, []string{"altered", "diminished whole tone"}},
	{SuperLocrian, []string{"super-locrian"}},
	{PhrygianDominant, []string{"phrygian dominant"}},
	{HarmonicMajor, []string{"harmonic major"}},
	{MajorPentatonic, []string{"major pentatonic", "pentatonic"}},
	{MinorPentatonic, []string{"minor pentatonic"}},
	{MinorBlues, []string{"minor blues", "blues"}},
	{WholeTone, []string{"whole tone"}},
	{OctatonicHalfWhole, []string{"octatonic half-whole", "half-whole", "half-whole diminished", "diminished half-whole"}},
	{OctatonicWholeHalf, []string{"octatonic whole-half", "whole-half", "whole-half diminished", "diminished whole-half"}},
	{AugmentedHexatonic3_1, []string{"augmented hexatonic 3-1", "augmented"}},
	{AugmentedHexatonic1_3, []string{"augmented hexatonic 1-3", "hexatonic"}},
	{BebopDominant, []string{"bebop dominant"}},
	{BebopMajor, []string{"bebop major"}},
	{BebopDorian, []string{"bebop dorian"}},
	{DoubleHarmonic, []string{"double harmonic", "double harmonic major"}},
	{HungarianMinor, []string{"hungarian minor", "double harmonic minor"}},
	{Chromatic, []string{"chromatic"}},
}

// modes are the modes of harmonic minor and harmonic major that have no
// constant, each under the name that says what it is: a better known scale and
// where it differs. From memory.
var modes = [...]namedScale{
	{(n1 | b2 | b3 | n4 | b5 | n6 | b7) ^ major, []string{"locrian natural 6"}},
	{(n1 | n2 | n3 | n4 | s5 | n6 | n7) ^ major, []string{"ionian #5", "ionian augmented"}},
	{(n1 | n2 | b3 | s4 | n5 | n6 | b7) ^ major, []string{"dorian #4"}},
	{(n1 | s2 | n3 | s4 | n5 | n6 | n7) ^ major, []string{"lydian #2"}},
	{(n1 | b2 | b3 | b4 | b5 | b6 | bb7) ^ major, []string{"super-locrian bb7"}},
	{(n1 | n2 | b3 | n4 | b5 | n6 | b7) ^ major, []string{"dorian b5"}},
	{(n1 | b2 | b3 | b4 | n5 | b6 | b7) ^ major, []string{"phrygian b4"}},
	{(n1 | n2 | b3 | s4 | n5 | n6 | n7) ^ major, []string{"lydian b3"}},
	{(n1 | b2 | n3 | n4 | n5 | n6 | b7) ^ major, []string{"mixolydian b2"}},
	{(n1 | s2 | n3 | s4 | s5 | n6 | n7) ^ major, []string{"lydian augmented #2"}},
	{(n1 | b2 | b3 | n4 | b5 | b6 | bb7) ^ major, []string{"locrian bb7"}},
}

// named yields the scales that have a name, those with a constant first.
func named(yield func(*namedScale) bool) {
	for k := range commonScales {
		if !yield(&commonScales[k]) {
			return
		}
	}
	for k := range modes {
		if !yield(&modes[k]) {
			return
		}
	}
}

// CommonScales yields the scales that have a constant, each with its names,
// the first of them the one that String writes.
func CommonScales() iter.Seq2[Scale, []string] {
	return func(yield func(Scale, []string) bool) {
		for _, s := range commonScales {
			if !yield(s.scale, slices.Clone(s.names)) {
				return
			}
		}
	}
}

// String returns the scale's name, or if it has none its degrees, as
// "1 b2 3 4 5 b6 7". A number that is no scale prints as "Scale(5)".
func (s Scale) String() string { return string(s.append(nil)) }

// GoString returns what one would type, for %#v.
func (s Scale) GoString() string {
	if refusal(s.Set()) != "" {
		return "figure." + s.String()
	}
	return "figure.MustParseScale(" + strconv.Quote(s.String()) + ")"
}

func (s Scale) append(b []byte) []byte {
	for c := range named {
		if s == c.scale {
			return append(b, c.names[0]...)
		}
	}
	if refusal(s.Set()) != "" {
		b = strconv.AppendUint(append(b, "Scale("...), uint64(s), 10)
		return append(b, ')')
	}
	return s.appendFormula(b)
}

// Formula returns the degrees of the scale against the major scale, upward,
// as "1 2 b3 4 5 6 b7" for dorian.
func (s Scale) Formula() string { return string(s.appendFormula(nil)) }

func (s Scale) appendFormula(b []byte) []byte {
	separator := ""
	for i := range s.Set().Intervals() {
		d := degreeAt(i)
		d.Explicit = d.Alteration != 0
		b = d.append(append(b, separator...), true)
		separator = " "
	}
	return b
}

// AppendText implements encoding.TextAppender. It appends what String returns,
// and is a *fault.ValueError where the number is no scale.
func (s Scale) AppendText(b []byte) ([]byte, error) {
	if want := refusal(s.Set()); want != "" {
		return b, s.refused(want)
	}
	return s.append(b), nil
}

func (s Scale) refused(want string) error {
	return &fault.ValueError{Setting: "scale", Value: s.String(), Want: want}
}

// MarshalText implements encoding.TextMarshaler; see AppendText.
func (s Scale) MarshalText() ([]byte, error) { return s.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler; see [ParseScale].
func (s *Scale) UnmarshalText(text []byte) error {
	v, err := ParseScale(string(text))
	if err == nil {
		*s = v
	}
	return err
}

// MustParseScale is [ParseScale] for text known to be good. It panics if the text
// is not a scale.
func MustParseScale(text string) Scale {
	s, err := ParseScale(text)
	if err != nil {
		panic(err)
	}
	return s
}

const (
	maxScaleText = 200 // bytes; no name and no twelve degrees are longer
	wantScale    = "a scale is a name such as dorian, or degrees such as 1 2 b3 4 5 6 b7"
)

// ParseScale reads a scale by one of its names, in any case and with ♭ or b,
// hyphens or spaces, or by its degrees, as "1 2 b3 4 5 6 b7". A degree of a
// scale has at most two flats or two sharps, and of 3, 6 and 7 at most one sharp.
// The error is a *fault.SyntaxError, which names scales that are near.
func ParseScale(text string) (Scale, error) {
	if len(text) > maxScaleText {
		return Major, noScale(text, 0, wantScale)
	}
	var buffer [maxScaleText]byte
	plain := appendPlain(buffer[:0], text)
	if len(plain) == 0 {
		return Major, noScale(text, 0, wantScale)
	}
	if isDigit(plain[0]) {
		return parseFormula(text)
	}
	for c := range named {
		for _, name := range c.names {
			if isPlain(name, plain) {
				return c.scale, nil
			}
		}
	}
	return Major, noScale(text, 0, near(string(plain)))
}

func noScale(text string, at int, want string) error {
	return &fault.SyntaxError{What: "scale", Input: text, At: at, Want: want}
}

// near says what a text that is the name of no scale might have been.
func near(plain string) string {
	if key, name, ok := strings.Cut(plain, " "); ok {
		if _, err := spelling.ParseName(key); err == nil {
			return "a scale is named without its key, as " + name
		}
	}
	if plain == "diminished" || plain == "octatonic" {
		return "there are two " + plain + " scales: write half-whole for the one over a dominant chord, whole-half for the one over a diminished chord"
	}
	var all, some []string
	for _, s := range commonScales {
		all = append(all, s.names[0])
		if alike(strings.Join(s.names, " "), plain) {
			some = append(some, s.names[0])
		}
	}
	if len(some) == 0 {
		some = all
	}
	return "no scale has this name; there are " + strings.Join(some, ", ")
}

// alike reports whether one of the words of a name begins as a word of the
// text does.
func alike(name, text string) bool {
	for _, w := range strings.Fields(text) {
		for _, n := range strings.Fields(plainName(name)) {
			if len(w) > 1 && strings.HasPrefix(n, w[:2]) {
				return true
			}
		}
	}
	return false
}

func plainName(s string) string { return string(appendPlain(nil, s)) }

// appendPlain appends a name as names are compared: in small letters, with b and
// # for ♭ and ♯, and with one space for all that stands between two words.
func appendPlain(b []byte, name string) []byte {
	for _, r := range name {
		switch {
		case r == '-' || unicode.IsSpace(r):
			if len(b) > 0 && b[len(b)-1] != ' ' {
				b = append(b, ' ')
			}
			continue
		case r == '♭':
			r = 'b'
		case r == '♯':
			r = '#'
		}
		b = utf8.AppendRune(b, unicode.ToLower(r))
	}
	return bytes.TrimSuffix(b, []byte{' '})
}

// isPlain reports whether a name of the table is the text, which is plain but for
// the table's hyphens.
func isPlain(name string, plain []byte) bool {
	if len(name) != len(plain) {
		return false
	}
	for k := range plain {
		if name[k] != plain[k] && (name[k] != '-' || plain[k] != ' ') {
			return false
		}
	}
	return true
}

// parseFormula reads a scale by its degrees.
func parseFormula(text string) (Scale, error) {
	var set interval.Set
	for at, word := range words(text, unicode.IsSpace) {
		d, err := ParseDegree(word)
		if err != nil || d.Step < 0 || d.Step > 6 {
			return Major, noScale(text, at, "the degrees of a scale are 1 to 7, such as 1 2 b3 4 5 6 b7")
		}
		i := above(int(d.Step), int(d.Alteration))
		if set.Has(i) {
			return Major, noScale(text, at, wantOnce)
		}
		with, ok := set.With(i)
		if !ok {
			return Major, noScale(text, at, "a degree of a scale has at most two flats or two sharps, and of 3, 6 and 7 at most one sharp")
		}
		if want := refusal(with | interval.Root); want != "" {
			if i.Semitones() == 12 { // #7
				want = wantInOctave
			}
			return Major, noScale(text, at, want)
		}
		set = with
	}
	if want := refusal(set); want != "" {
		return Major, noScale(text, 0, want)
	}
	return Scale(set) ^ major, nil
}

// words yields the words of a text, each with the byte at which it begins.
func words(s string, separates func(rune) bool) iter.Seq2[int, string] {
	return func(yield func(int, string) bool) {
		begin := -1
		for at, r := range s {
			switch {
			case !separates(r):
				if begin < 0 {
					begin = at
				}
			case begin >= 0:
				if !yield(begin, s[begin:at]) {
					return
				}
				begin = -1
			}
		}
		if begin >= 0 {
			yield(begin, s[begin:])
		}
	}
}
