package figure

import (
	"fmt"
	"iter"
	"slices"
	"strings"
	"unicode"

	"example.com/keyorder/interval"
	"example.com/keyorder/spelling"
)

// A Scale is a set of degrees within an octave, each a letter and an
// accidental stated against the major scale, as 1 2 b3 4 5 6 b7 for dorian.
// Scales compare with ==. The zero value is the major scale.
//
// The constants are the scales in common use; ScaleOf and ParseScale make
// others. A Scale packs a bit for each degree, so that it needs no memory of
// its own; the number itself means nothing.
type Scale uint64

// form is the bit of the degree with a letter (steps above the tonic, 0 to 6)
// and an alteration against the major scale, −3 to 3.
func form(step, alteration int) Scale {
	return 1 << (8*step + alteration + maxForm)
}

const maxForm = 3 // the most a scale's degree is altered

// The bits of the degrees that the common scales use.
const (
	n1 Scale = 1 << (8*iota + maxForm)
	n2
	n3
	n4
	n5
	n6
	n7
)

const (
	b2, b3, b4, b5, b6, b7 = n2 >> 1, n3 >> 1, n4 >> 1, n5 >> 1, n6 >> 1, n7 >> 1
	s2, s4, s5             = n2 << 1, n4 << 1, n5 << 1

	// major is what a Scale's bits are the difference from, so that the zero
	// value is the major scale.
	major = n1 | n2 | n3 | n4 | n5 | n6 | n7
)

// The scales in common use, under the names of the trade; ParseScale knows
// their second names too. Source: the textbooks named in testdata/scales.tsv,
// against which every one is tested, but for Altered: it is spelled as the
// altered dominant chord is, with the chord's third and both ninths (common
// practice, no source), and sounds as SuperLocrian, which has a letter for each
// degree as the textbooks print it.
const (
	Major         Scale = 0 // ionian
	Dorian              = (n1 | n2 | b3 | n4 | n5 | n6 | b7) ^ major
	Phrygian            = (n1 | b2 | b3 | n4 | n5 | b6 | b7) ^ major
	Lydian              = (n1 | n2 | n3 | s4 | n5 | n6 | n7) ^ major
	Mixolydian          = (n1 | n2 | n3 | n4 | n5 | n6 | b7) ^ major
	NaturalMinor        = (n1 | n2 | b3 | n4 | n5 | b6 | b7) ^ major // aeolian
	Locrian             = (n1 | b2 | b3 | n4 | b5 | b6 | b7) ^ major
	HarmonicMinor       = (n1 | n2 | b3 | n4 | n5 | b6 | n7) ^ major
	MelodicMinor        = (n1 | n2 | b3 | n4 | n5 | n6 | n7) ^ major // ascending

	DorianFlat2           = (n1 | b2 | b3 | n4 | n5 | n6 | b7) ^ major
	LydianAugmented       = (n1 | n2 | n3 | s4 | s5 | n6 | n7) ^ major
	LydianDominant        = (n1 | n2 | n3 | s4 | n5 | n6 | b7) ^ major
	MixolydianFlat6       = (n1 | n2 | n3 | n4 | n5 | b6 | b7) ^ major
	LocrianSharp2         = (n1 | n2 | b3 | n4 | b5 | b6 | b7) ^ major
	SuperLocrian          = (n1 | b2 | b3 | b4 | b5 | b6 | b7) ^ major
	Altered               = (n1 | b2 | s2 | n3 | s4 | s5 | b7) ^ major
	PhrygianDominant      = (n1 | b2 | n3 | n4 | n5 | b6 | b7) ^ major
	HarmonicMajor         = (n1 | n2 | n3 | n4 | n5 | b6 | n7) ^ major
	MajorPentatonic       = (n1 | n2 | n3 | n5 | n6) ^ major
	MinorPentatonic       = (n1 | b3 | n4 | n5 | b7) ^ major
	MinorBlues            = (n1 | b3 | n4 | b5 | n5 | b7) ^ major
	WholeTone             = (n1 | n2 | n3 | s4 | s5 | b7) ^ major
	OctatonicHalfWhole    = (n1 | b2 | b3 | n3 | s4 | n5 | n6 | b7) ^ major
	OctatonicWholeHalf    = (n1 | n2 | b3 | n4 | s4 | s5 | n6 | n7) ^ major
	AugmentedHexatonic3_1 = (n1 | s2 | n3 | n5 | s5 | n7) ^ major
	AugmentedHexatonic1_3 = (n1 | b2 | n3 | n4 | s5 | n6) ^ major
	BebopDominant         = (n1 | n2 | n3 | n4 | n5 | n6 | b7 | n7) ^ major
	BebopMajor            = (n1 | n2 | n3 | n4 | n5 | s5 | n6 | n7) ^ major
)

// scaleNames are the names of the common scales, the first of each the one
// that String writes.
func scaleNames() []struct {
	scale Scale
	names []string
} {
	return []struct {
		scale Scale
		names []string
	}{
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
	}
}

// CommonScales yields the scales that have a constant, each with its names,
// the first of them the one that String writes.
func CommonScales() iter.Seq2[Scale, []string] {
	return func(yield func(Scale, []string) bool) {
		for _, s := range scaleNames() {
			if !yield(s.scale, s.names) {
				return
			}
		}
	}
}

// has reports whether the scale has a degree of so many letters above the
// tonic, within the octave, with the alteration.
func (s Scale) has(step, alteration int) bool {
	return alteration >= -maxForm && alteration <= maxForm && (s^major)&form(step, alteration) != 0
}

// bare returns the alteration of a bare number in the scale: none if the scale
// has the plain form, or else its only form there. Of the two seconds of the
// altered scale a plain 2 is the lower, as chord symbols take b9 before #9.
func (s Scale) bare(step int) (alteration int, ok bool) {
	if s.has(step, 0) {
		return 0, true
	}
	if s == Altered && step == 1 {
		return -1, true
	}
	forms := 0
	for a := -maxForm; a <= maxForm; a++ {
		if s.has(step, a) {
			forms++
			alteration = a
		}
	}
	return alteration, forms == 1
}

// Intervals yields the intervals of the scale above its tonic within the
// octave, upward.
func (s Scale) Intervals() iter.Seq[interval.Interval] {
	return func(yield func(interval.Interval) bool) {
		for _, i := range s.intervals() {
			if !yield(i) {
				return
			}
		}
	}
}

func (s Scale) intervals() []interval.Interval {
	all := make([]interval.Interval, 0, 12)
	for step := range 7 {
		for a := -maxForm; a <= maxForm; a++ {
			if s.has(step, a) {
				all = append(all, interval.Of(step, naturalSemitones(step)+a))
			}
		}
	}
	slices.SortFunc(all, func(a, b interval.Interval) int { return a.Semitones() - b.Semitones() })
	return all
}

// Len returns the number of notes in an octave of the scale.
func (s Scale) Len() int { return len(s.intervals()) }

// ScaleOf returns the scale with the given degrees. They lie between 1 and 7,
// the tonic 1 among them, no two sound the same, and none is altered by more
// than three semitones; otherwise the error is an *Error. A bare degree is
// that of the major scale.
func ScaleOf(degrees ...Degree) (Scale, error) {
	s := major // no degrees
	var text []string
	var sounds [12]bool
	for _, d := range degrees[:min(len(degrees), 13)] {
		text = append(text, d.Plain())
		a := 0
		if d.Explicit {
			a = int(d.Alteration)
		}
		refuse := func(reason string) (Scale, error) {
			return 0, &Error{Input: strings.Join(text, " "), At: -1, Reason: fmt.Sprintf("%s: %s", d.Plain(), reason)}
		}
		if d.Step < 0 || d.Step > 6 || a < -maxForm || a > maxForm {
			return refuse("the degrees of a scale are 1 to 7, altered by at most three semitones")
		}
		semitones := naturalSemitones(int(d.Step)) + a
		if semitones < 0 || semitones > 11 || d.Step == 0 && a != 0 {
			return refuse("the degrees of a scale lie from its tonic, a plain 1, to below the octave")
		}
		if sounds[semitones] {
			return refuse("a scale has each sound once")
		}
		sounds[semitones] = true
		s ^= form(int(d.Step), a)
	}
	if !sounds[0] {
		return 0, &Error{Input: strings.Join(text, " "), At: -1, Reason: "a scale has its tonic, 1"}
	}
	return s, nil
}

// String returns the scale's name, or if it has none its degrees, as
// "1 b2 3 4 5 b6 7".
func (s Scale) String() string {
	for scale, names := range CommonScales() {
		if s == scale {
			return names[0]
		}
	}
	return s.Formula()
}

// Formula returns the degrees of the scale against the major scale, upward,
// as "1 2 b3 4 5 6 b7" for dorian.
func (s Scale) Formula() string {
	var b strings.Builder
	for _, i := range s.intervals() {
		if b.Len() > 0 {
			b.WriteByte(' ')
		}
		d := degreeAt(i, true)
		d.Explicit = d.Alteration != 0
		b.WriteString(d.Plain())
	}
	return b.String()
}

// MarshalText implements encoding.TextMarshaler; see String. A number that is
// no scale is an *Error.
func (s Scale) MarshalText() ([]byte, error) {
	text := s.String()
	if again, err := ParseScale(text); err != nil || again != s {
		return nil, &Error{Input: fmt.Sprintf("Scale(%d)", uint64(s)), At: -1, Reason: "take a scale from a constant, ScaleOf or ParseScale"}
	}
	return []byte(text), nil
}

// UnmarshalText implements encoding.TextUnmarshaler; see ParseScale.
func (s *Scale) UnmarshalText(text []byte) error {
	v, err := ParseScale(string(text))
	if err == nil {
		*s = v
	}
	return err
}

// ParseScale reads a scale by one of its names, in any case and with ♭ or b,
// hyphens or spaces, or by its degrees, as "1 2 b3 4 5 6 b7". The error is an
// *Error, which names scales that are near.
func ParseScale(text string) (Scale, error) {
	const most = 200 // bytes; no name and no twelve degrees are longer
	want := plainName(text[:min(len(text), most)])
	if want == "" || len(text) > most {
		return 0, &Error{Input: text, Reason: "a scale is a name such as dorian, or degrees such as 1 2 b3 4 5 6 b7"}
	}
	if want[0] >= '0' && want[0] <= '9' {
		return parseFormula(text)
	}
	if key, name, ok := strings.Cut(want, " "); ok {
		if _, err := spelling.ParseName(key); err == nil {
			return 0, &Error{Input: text, Reason: "a scale is named without its key, as " + name}
		}
	}
	if want == "diminished" || want == "octatonic" {
		return 0, &Error{Input: text, Reason: "there are two " + want + " scales: write half-whole for the one over a dominant chord, whole-half for the one over a diminished chord"}
	}
	var near []string
	for scale, names := range CommonScales() {
		for n, name := range names {
			if plainName(name) == want {
				return scale, nil
			}
			if n == 0 && alike(strings.Join(names, " "), want) {
				near = append(near, name)
			}
		}
	}
	if len(near) == 0 {
		for _, names := range CommonScales() {
			near = append(near, names[0])
		}
	}
	return 0, &Error{Input: text, Reason: "no scale has this name; there are " + strings.Join(near, ", ")}
}

// alike reports whether one of the words of a name begins as a word of the
// text does.
func alike(name, text string) bool {
	for _, w := range strings.Fields(plainName(text)) {
		for _, n := range strings.Fields(plainName(name)) {
			if len(w) > 1 && strings.HasPrefix(n, w[:2]) {
				return true
			}
		}
	}
	return false
}

func plainName(s string) string {
	s = strings.NewReplacer("♭", "b", "♯", "#", "-", " ").Replace(strings.ToLower(s))
	return strings.Join(strings.Fields(s), " ")
}

func parseFormula(text string) (Scale, error) {
	var degrees []Degree
	for _, word := range strings.Fields(text) {
		d, err := ParseDegree(word)
		if err != nil {
			return 0, &Error{Input: text, At: strings.Index(text, word), Reason: "the degrees of a scale are 1 to 7, such as 1 2 b3 4 5 6 b7"}
		}
		degrees = append(degrees, d)
	}
	s, err := ScaleOf(degrees...)
	if bad, ok := err.(*Error); ok {
		return 0, &Error{Input: text, Reason: bad.Reason}
	}
	return s, nil
}

// namedByChord reports whether players name the keys of the scale as they name
// chords. Common practice; the printed lists of blues scales agree.
func (s Scale) namedByChord() bool {
	switch s {
	case MinorBlues, Altered, OctatonicHalfWhole, OctatonicWholeHalf, WholeTone:
		return true
	}
	return false
}

// Tonics returns the names that the scale gives to the twelve keys, by pitch
// class. Of the sixteen tonics from G♭ to D♯ on the line of fifths each key is
// named by the one whose scale has the fewest accidentals, by flats if two
// have as many; harmonic and melodic minor take the names of natural minor.
// The result is that of common practice: G♭ to B for major, E♭ to G♯ for
// minor.
//
// The minor blues, the altered, octatonic and whole-tone scales are named by
// the root of a chord, and take the names of the major keys; of these, F♯ minor
// blues goes before G♭. Source: the lists of blues scales of the Arkansas School
// Band and Orchestra Association (jazz tryouts: on E♭, A♭, B♭) and of an
// encyclopedia (everything2: on D♭ and G♭ too); the rest is common practice.
//
// For every scale with a constant the twelve stand side by side on the line of
// fifths. A name in prefer is used for its pitch class instead, the last of them
// if there are several.
func (s Scale) Tonics(prefer ...spelling.Name) [12]spelling.Name {
	named := s
	switch {
	case s == HarmonicMinor || s == MelodicMinor:
		named = NaturalMinor
	case s.namedByChord():
		named = Major
	}
	names := named.fewestAccidentals()
	if s == MinorBlues {
		names[6] = spelling.NameOf(spelling.LetterF, 1)
	}
	for _, n := range prefer {
		names[n.Class()] = n
	}
	return names
}

// fewestAccidentals returns for each class the tonic on which the scale has the
// fewest accidentals.
func (s Scale) fewestAccidentals() [12]spelling.Name {
	var names [12]spelling.Name
	var fewest [12]int
	for n := spelling.NameOf(spelling.LetterG, -1); n <= spelling.NameOf(spelling.LetterD, 1); n++ {
		accidentals := 1 // so that 0 in fewest means none yet
		for i := range s.Intervals() {
			a := n.Up(i).Alteration()
			accidentals += max(a, -a)
		}
		if c := n.Class(); fewest[c] == 0 || accidentals < fewest[c] {
			names[c], fewest[c] = n, accidentals
		}
	}
	return names
}

// ParsePreference reads how a player wants keys to be called: names separated
// by spaces or commas, as "Eb Ab F#", or the word flats for D♭ E♭ G♭ A♭ B♭. They
// are for Tonics. The error is an *Error.
func ParsePreference(text string) ([]spelling.Name, error) {
	const want = "write the names of keys such as Eb Ab F#, or flats"
	list := text
	if strings.EqualFold(strings.TrimSpace(text), "flats") {
		list = "Db Eb Gb Ab Bb"
	}
	var names []spelling.Name
	var taken [12]spelling.Name
	var is [12]bool
	for _, word := range strings.FieldsFunc(list, func(r rune) bool { return r == ',' || unicode.IsSpace(r) }) {
		n, err := spelling.ParseName(word)
		if err != nil {
			return nil, &Error{Input: text, At: strings.Index(text, word), Reason: fmt.Sprintf("%.40q: %s", word, want)}
		}
		if a := n.Alteration(); a < -1 || a > 1 {
			return nil, &Error{Input: text, At: strings.Index(text, word), Reason: fmt.Sprintf("%.40q: a key is called by a letter with at most one accidental", word)}
		}
		c := n.Class()
		if is[c] && taken[c] != n {
			return nil, &Error{Input: text, At: strings.Index(text, word), Reason: fmt.Sprintf("%v and %v are one key; write the name that you want", taken[c], n)}
		}
		if !is[c] {
			names = append(names, n)
		}
		taken[c], is[c] = n, true
	}
	if len(names) == 0 {
		return nil, &Error{Input: text, Reason: want}
	}
	return names, nil
}

func naturalSemitones(step int) int {
	octave := 0
	for ; step < 0; step += 7 {
		octave--
	}
	return 12*(octave+step/7) + int([7]int8{0, 2, 4, 5, 7, 9, 11}[step%7])
}
