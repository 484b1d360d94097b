package drill

import (
	"encoding/json"
	"fmt"
	"iter"

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

// A Level chooses one of an instrument's ranges. The zero value is Comfortable.
// Its text is comfortable, first years, full, six notes, grade 0.5, grade 1,
// grade 1.5, grade 2, middle school or high school.
//
// School grades have no common standard: what one house calls 1.5 another calls
// 2.5. Those here are ranges that publishers and associations print for the
// players they write for; see Instruments for which. Not every table has every
// instrument.
type Level uint8

// The levels.
const (
	LevelComfortable  Level = iota // where most players are at ease
	LevelFirstYears                // what a beginner of a year or two reaches
	LevelFull                      // what the tables give, for a good player
	LevelSixNotes                  // the first six notes of a method: from B♭ up in a concert band, from D up for strings
	LevelGradeHalf                 // grade 0.5
	LevelGrade1                    // grade 1
	LevelGrade1Half                // grade 1.5
	LevelGrade2                    // grade 2
	LevelMiddleSchool              // what is asked at an audition in the years 6 to 8 of school
	LevelHighSchool                // the same in the years 9 to 12
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

// Clefs yields the clefs that its players read, the usual one first.
func (i Instrument) Clefs() iter.Seq[Clef] {
	return func(yield func(Clef) bool) {
		if !yield(i.Clef) {
			return
		}
		for c := range i.Also.All() {
			if c != i.Clef && !yield(c) {
				return
			}
		}
	}
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
