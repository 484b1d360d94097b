package drill

import (
	"encoding/json"
	"fmt"
	"iter"
	"slices"
	"strings"

	"example.com/keyorder/interval"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
)

// A Clef is the clef that a part is written in. The zero value is the treble
// clef. Its text is treble, bass, alto, octave treble or tenor.
type Clef uint8

// The clefs that parts are written in.
const (
	ClefTreble       Clef = iota // G4 on the second line
	ClefBass                     // F3 on the fourth line
	ClefAlto                     // C4 on the third line
	ClefTrebleOctave             // the treble clef that sounds an octave lower, G3 on the second line
	ClefTenor                    // C4 on the fourth line
)

// Clefs is a set of clefs. The zero value is the empty set. Its text is that of
// the clefs, in the order of the constants, with commas between them: "treble,
// tenor".
type Clefs uint8

// ClefsOf returns the set of some clefs. What is none of the constants is left
// out.
func ClefsOf(clefs ...Clef) (s Clefs) {
	for _, c := range clefs {
		if c <= ClefTenor {
			s |= 1 << c
		}
	}
	return s
}

// Contains reports whether a clef is in the set.
func (s Clefs) Contains(c Clef) bool { return c <= ClefTenor && s>>c&1 == 1 }

// All yields the clefs of the set, in the order of the constants.
func (s Clefs) All() iter.Seq[Clef] {
	return func(yield func(Clef) bool) {
		for c := range ClefTenor + 1 {
			if s.Contains(c) && !yield(c) {
				return
			}
		}
	}
}

// A Family is a family of instruments, as far as practice differs by it. Its
// text is other, woodwind, brass, strings or voice.
type Family uint8

// The families.
const (
	FamilyOther Family = iota
	FamilyWoodwind
	FamilyBrass
	FamilyStrings
	FamilyVoice
)

// A Level chooses one of an instrument's three ranges. The zero value is
// Comfortable. Its text is comfortable, first years or full.
type Level uint8

// The levels.
const (
	LevelComfortable Level = iota // where most players are at ease
	LevelFirstYears               // what a beginner of a year or two reaches
	LevelFull                     // what the tables give, for a good player
)

// An Instrument is what a part is written for. Instruments compare with ==.
// The zero value has no range and fits nothing; take one from Find, or write
// your own.
type Instrument struct {
	Name string `json:"name"`
	// Low and High are the lowest and highest written notes; they may be one.
	Low  spelling.Note `json:"low"`
	High spelling.Note `json:"high"`
	// Sounding is the interval from a written note to how it sounds: down a
	// major second for a trumpet in B♭, a unison for a flute.
	Sounding interval.Interval `json:"sounding"`
	// Clef is the usual clef. Also are the others that its players read where
	// notes would lie far from the staff, none for beginners.
	Clef Clef  `json:"clef"`
	Also Clefs `json:"also,omitempty"`
	// Grand says that it is written on a grand staff, treble over bass, as for
	// keyboard instruments and the harp. Clef is then that of a single staff.
	Grand  bool   `json:"grand,omitempty"`
	Family Family `json:"family,omitempty"`
	// Program is the General MIDI sound, 1 to 128; 0 stands for 1.
	Program uint8 `json:"program,omitempty"`
}

// entry is a row of the table of instruments.
type entry struct {
	name     string // as the trade says it in English
	in       string // the pitch it is said to be in, where that is part of its name
	clef     Clef
	family   Family
	sounding interval.Interval
	ranges   [3]string // by Level: comfortable, first years, full
	program  uint8
}

// instruments is the table of common instruments. The transpositions and the
// full ranges are those of testdata/instruments.tsv, whose sources stand in its
// head, and the sounds are those of General MIDI Level 1. The comfortable range
// and that of the first years are common practice, no source: sources differ,
// and so do players.
func instruments() []entry {
	const none = interval.PerfectUnison
	return []entry{
		{"flute", "", ClefTreble, FamilyWoodwind, none, [3]string{"C4-A6", "D4-D6", "C4-D7"}, 74},
		{"oboe", "", ClefTreble, FamilyWoodwind, none, [3]string{"C4-E6", "D4-C6", "Bb3-G6"}, 69},
		{"clarinet", "Bb", ClefTreble, FamilyWoodwind, -interval.MajorSecond, [3]string{"E3-E6", "E3-C5", "E3-C7"}, 72},
		{"bass clarinet", "Bb", ClefTreble, FamilyWoodwind, -interval.MajorNinth, [3]string{"E3-C6", "E3-C5", "Eb3-G6"}, 72},
		{"bassoon", "", ClefBass, FamilyWoodwind, none, [3]string{"Bb1-G4", "F2-D4", "Bb1-C5"}, 71},
		{"soprano saxophone", "Bb", ClefTreble, FamilyWoodwind, -interval.MajorSecond, [3]string{"Bb3-D6", "D4-C6", "Bb3-F6"}, 65},
		{"alto saxophone", "Eb", ClefTreble, FamilyWoodwind, -interval.MajorSixth, [3]string{"Bb3-D6", "D4-C6", "Bb3-F6"}, 66},
		{"tenor saxophone", "Bb", ClefTreble, FamilyWoodwind, -interval.MajorNinth, [3]string{"Bb3-D6", "D4-C6", "Bb3-F6"}, 67},
		{"baritone saxophone", "Eb", ClefTreble, FamilyWoodwind, -interval.MajorThirteenth, [3]string{"Bb3-D6", "D4-C6", "Bb3-F6"}, 68},
		{"horn", "F", ClefTreble, FamilyBrass, -interval.PerfectFifth, [3]string{"F3-G5", "G3-D5", "F#2-C6"}, 61},
		{"trumpet", "Bb", ClefTreble, FamilyBrass, -interval.MajorSecond, [3]string{"G3-A5", "A3-E5", "F#3-C6"}, 57},
		{"flugelhorn", "Bb", ClefTreble, FamilyBrass, -interval.MajorSecond, [3]string{"G3-G5", "A3-E5", "F#3-C6"}, 57},
		{"trombone", "", ClefBass, FamilyBrass, none, [3]string{"E2-G4", "G2-D4", "E2-C5"}, 58},
		{"tuba", "", ClefBass, FamilyBrass, none, [3]string{"F1-C4", "Bb1-F3", "D1-F4"}, 59},
		{"violin", "", ClefTreble, FamilyStrings, none, [3]string{"G3-E6", "G3-B5", "G3-A7"}, 41},
		{"viola", "", ClefAlto, FamilyStrings, none, [3]string{"C3-A5", "C3-E5", "C3-E6"}, 42},
		{"cello", "", ClefBass, FamilyStrings, none, [3]string{"C2-G4", "C2-D4", "C2-A5"}, 43},
		{"double bass", "", ClefBass, FamilyStrings, -interval.Octave, [3]string{"E2-G4", "E2-B3", "E2-C5"}, 44},
		{"guitar", "", ClefTreble, FamilyStrings, -interval.Octave, [3]string{"E3-C6", "E3-A5", "E3-E6"}, 25},
		{"bass guitar", "", ClefBass, FamilyStrings, -interval.Octave, [3]string{"E2-E4", "E2-B3", "E2-G4"}, 34},
		{"piano", "", ClefTreble, FamilyOther, none, [3]string{"A3-E6", "C4-G5", "A0-C8"}, 1},
		{"vibraphone", "", ClefTreble, FamilyOther, none, [3]string{"F3-C6", "C4-G5", "F3-F6"}, 12},
		{"soprano voice", "", ClefTreble, FamilyVoice, none, [3]string{"D4-F#5", "D4-D5", "D4-F#5"}, 53},
		{"alto voice", "", ClefTreble, FamilyVoice, none, [3]string{"G3-C#5", "A3-A4", "G3-C#5"}, 53},
		{"tenor voice", "", ClefTrebleOctave, FamilyVoice, none, [3]string{"Eb3-F#4", "Eb3-Eb4", "Eb3-F#4"}, 53},
		{"bass voice", "", ClefBass, FamilyVoice, none, [3]string{"E2-C4", "G2-A3", "E2-C4"}, 53},
	}
}

// instrument returns the entry at a level.
func (e entry) instrument(level Level) Instrument {
	low, high, _ := strings.Cut(e.ranges[level], "-")
	name := e.name
	if e.in != "" {
		name += " in " + spelling.MustParseName(e.in).String()
	}
	i := Instrument{Name: name, Low: spelling.MustParse(low), High: spelling.MustParse(high), Sounding: e.sounding,
		Clef: e.clef, Family: e.family, Program: e.program}
	if level == LevelFirstYears {
		return i
	}
	switch e.name {
	case "bassoon", "trombone", "double bass":
		i.Also = ClefsOf(ClefTenor)
	case "cello":
		i.Also = ClefsOf(ClefTenor, ClefTreble)
	case "viola":
		i.Also = ClefsOf(ClefTreble)
	case "piano":
		i.Grand = true
	}
	return i
}

// Instruments yields the common instruments with their range at a level.
// Transpositions and full ranges come from the sources in
// testdata/instruments.tsv; the other ranges are common practice, no source. At
// a level that is none of the constants there are none.
func Instruments(level Level) iter.Seq[Instrument] {
	return func(yield func(Instrument) bool) {
		if level > LevelFull {
			return
		}
		for _, e := range instruments() {
			if !yield(e.instrument(level)) {
				return
			}
		}
	}
}

// Find returns the common instrument with a name, in any case, with its range
// at a level: "tenor saxophone", "tenor sax", "B♭ trumpet", "Trumpet in Bb". A
// range of one's own may follow, in written notes: "trumpet Bb3-E5". The
// error is a *fault.SyntaxError that lists what is near, or a *fault.ValueError
// for a range that is none and for a level that is none of the constants.
func Find(text string, level Level) (Instrument, error) {
	fail := func(reason string) (Instrument, error) {
		return Instrument{}, &fault.SyntaxError{What: "instrument", Input: text, Want: reason}
	}
	if _, err := level.MarshalText(); err != nil {
		return Instrument{}, err
	}
	if len(text) > 200 {
		return fail("an instrument is a name such as trumpet, and a range if one likes, as in trumpet Bb3-E5")
	}
	words := strings.Fields(nameWords(text))
	var low, high spelling.Note
	ranged := false
	if n := len(words); n > 0 {
		if from, to, ok := strings.Cut(words[n-1], "-"); ok && strings.ContainsAny(from, "0123456789") {
			var err error
			if low, err = spelling.Parse(from); err == nil {
				high, err = spelling.Parse(to)
			}
			if err != nil {
				return fail("a range is two written notes, as in trumpet Bb3-E5")
			}
			ranged = true
			words = words[:n-1]
		}
	}
	// A word for the pitch, as B♭ in “B♭ trumpet”, must be the instrument's.
	in := ""
	words = slices.DeleteFunc(words, func(w string) bool {
		if n, err := spelling.ParseName(w); err == nil {
			in = n.Plain()
			return true
		}
		return w == "in"
	})
	var near []string
	for _, e := range instruments() {
		own := strings.Fields(e.name)
		if sameWords(words, own) && (in == "" || in == e.in || in == "C" && e.in == "" && e.sounding == 0) {
			i := e.instrument(level)
			if ranged {
				i.Low, i.High = low, high
			}
			if err := i.check(); err != nil {
				return Instrument{}, err
			}
			return i, nil
		}
		if slices.ContainsFunc(words, func(w string) bool {
			return slices.ContainsFunc(own, func(o string) bool { return alike(w, o) })
		}) {
			near = append(near, e.instrument(level).Name)
		}
	}
	if len(near) == 0 {
		for _, e := range instruments() {
			near = append(near, e.name)
		}
		return fail("no instrument has this name; there are " + strings.Join(near, ", "))
	}
	return fail("no instrument is called just that; near it: " + strings.Join(near, ", "))
}

// nameWords writes a name in small ASCII letters, with short forms spelled out.
func nameWords(s string) string {
	s = strings.NewReplacer("♭", "b", " flat", "b", "-flat", "b", "♯", "#",
		"–", "-", "−", "-", " - ", "-", " – ", "-", "french horn", "horn").Replace(strings.Join(strings.Fields(strings.ToLower(s)), " "))
	words := strings.Fields(s)
	for n, w := range words {
		switch w {
		case "sax", "saxes", "saxophones":
			words[n] = "saxophone"
		case "bari":
			words[n] = "baritone"
		case "contrabass":
			words[n] = "double bass"
		case "vibes":
			words[n] = "vibraphone"
		}
	}
	return strings.Join(words, " ")
}

// alike reports whether two words begin alike, with two letters or three, or
// whether the first, of four letters or more, is the second with a letter or two
// mistyped.
func alike(a, b string) bool {
	if len(a) < 2 {
		return false
	}
	return strings.HasPrefix(b, a[:min(len(a), 3)]) || len(a) > 3 && changes(a, b) <= 2
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

func sameWords(a, b []string) bool {
	a, b = slices.Clone(a), slices.Clone(b)
	slices.Sort(a)
	slices.Sort(b)
	return slices.Equal(a, b)
}

// check refuses a range that is none, notes that no key number reaches, and
// what is none of the constants.
func (i Instrument) check() error {
	refuse := func(format string, values ...any) error {
		return &fault.ValueError{Setting: "instrument", Value: i.Name, Want: fmt.Sprintf(format, values...)}
	}
	low, high := i.Low.Up(i.Sounding), i.High.Up(i.Sounding)
	_, err := i.Sounding.MarshalText()
	switch {
	case i == Instrument{}:
		return refuse("the zero instrument has no range; take one from Find, or say its lowest and highest note")
	case err != nil:
		return refuse("it sounds %v from where it is written, which is no interval that has a name", i.Sounding)
	case !i.Low.Number().IsValid() || !i.High.Number().IsValid():
		return refuse("its range goes from %v to %v; written notes lie from C-1 to G9", i.Low, i.High)
	case i.Low.Number() > i.High.Number():
		return refuse("its range goes from %v to %v; the low note comes first", i.Low, i.High)
	case !low.Number().IsValid() || !high.Number().IsValid():
		return refuse("its range sounds from %v to %v, %v from where it is written; sounds lie from C-1 to G9", low, high, i.Sounding)
	case i.Clef > ClefTenor || i.Also >= 1<<(ClefTenor+1) || i.Family > FamilyVoice || i.Program > 128:
		return refuse("clef %v, others %v, family %v, program %d; clefs and families are constants of this package, programs go from 1 to 128", i.Clef, i.Also, i.Family, i.Program)
	}
	return nil
}

// UnmarshalJSON implements json.Unmarshaler. It reads an object with the fields'
// names, or a text such as "trumpet" or "trumpet Bb3-E5", as Find reads it at
// the comfortable level.
func (i *Instrument) UnmarshalJSON(text []byte) error {
	var name string
	if json.Unmarshal(text, &name) == nil {
		found, err := Find(name, LevelComfortable)
		if err == nil {
			*i = found
		}
		return err
	}
	type fields Instrument // without this method
	return json.Unmarshal(text, (*fields)(i))
}
