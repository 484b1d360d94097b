package drill

import (
	"iter"
	"strings"

	"example.com/keyorder/interval"
	"example.com/keyorder/spelling"
)

// entry is a row of the table of instruments.
type entry struct {
	name     string // as the trade says it in English
	in       string // the pitch it is said to be in, where that is part of its name
	clef     Clef
	also     Clefs // the other clefs that its players read beyond the first years
	advanced Clefs // those that only good players read, and not in every style
	grand    bool  // whether it is written on a grand staff
	family   Family
	program  uint8
	sounding interval.Interval
	ranges   ranges
	called   string // its other names, with commas between them
}

// ranges are an instrument's by Level, empty where no table has one.
type ranges [LevelHighSchool + 1]string

// instruments is the table of common instruments, each before those that share its
// name.
//
// Transpositions, clefs, full ranges and sounds are those of
// testdata/instruments.tsv and instruments-more.tsv; the ranges by grade those
// of testdata/graded-ranges.tsv. Their sources stand in the heads. Common
// practice, no source: the comfortable ranges and those of the first years;
// that cornets read what trumpets do; that baritones and euphoniums have the
// trombone's ranges by grade, in treble clef as they sound; that a young jazz
// band's players go down as far as in a concert band, where its table gives the
// top only; and the tops of a lead trumpet at ease, of a jazz trombone.
var instruments = [...]entry{
	{name: "flute", family: FamilyWoodwind, program: 74, ranges: ranges{"C4-A6", "D4-D6", "C4-D7", "Bb4-G5", "Bb4-A5", "G4-C6", "F4-D6", "C4-F6", "C4-F6", "C4-C7"}, called: "concert flute"},
	{name: "piccolo", family: FamilyWoodwind, program: 73, sounding: interval.Octave, ranges: ranges{"D4-G6", "D4-D6", "D4-C7", "", "", "", "", "", "D4-F6", "D4-C7"}, called: "piccolo flute"},
	{name: "alto flute", in: "G", family: FamilyWoodwind, program: 74, sounding: -interval.PerfectFourth, ranges: ranges{"C4-F6", "D4-D6", "C4-C7"}},
	{name: "oboe", family: FamilyWoodwind, program: 69, ranges: ranges{"C4-E6", "D4-C6", "Bb3-G6", "Bb4-G5", "Bb4-A5", "E4-A5", "D4-A5", "C4-B5", "C4-C6", "Bb3-D6"}},
	{name: "oboe d'amore", in: "A", family: FamilyWoodwind, program: 69, sounding: -interval.MinorThird, ranges: ranges{"C4-C6", "D4-C6", "Bb3-E6"}},
	{name: "English horn", in: "F", family: FamilyWoodwind, program: 70, sounding: -interval.PerfectFifth, ranges: ranges{"C4-D6", "D4-C6", "B3-G6"}, called: "cor anglais"},
	{name: "clarinet", in: "Bb", family: FamilyWoodwind, program: 72, sounding: -interval.MajorSecond, ranges: ranges{"E3-E6", "E3-C5", "E3-C7", "C4-A4", "A3-Bb4", "E3-Bb4", "E3-Bb4", "E3-A5", "E3-D6", "E3-G6"}},
	{name: "clarinet", in: "A", family: FamilyWoodwind, program: 72, sounding: -interval.MinorThird, ranges: ranges{"E3-E6", "E3-C5", "E3-C7"}},
	{name: "clarinet", in: "C", family: FamilyWoodwind, program: 72, ranges: ranges{"E3-E6", "E3-C5", "E3-C7"}},
	{name: "clarinet", in: "Eb", family: FamilyWoodwind, program: 72, sounding: interval.MinorThird, ranges: ranges{"E3-D6", "E3-C5", "E3-G6"}},
	{name: "basset horn", in: "F", family: FamilyWoodwind, program: 72, sounding: -interval.PerfectFifth, ranges: ranges{"E3-C6", "E3-C5", "C3-G6"}},
	{name: "alto clarinet", in: "Eb", family: FamilyWoodwind, program: 72, sounding: -interval.MajorSixth, ranges: ranges{"E3-C6", "E3-C5", "E3-G6"}},
	{name: "bass clarinet", in: "Bb", family: FamilyWoodwind, program: 72, sounding: -interval.MajorNinth, ranges: ranges{"E3-C6", "E3-C5", "Eb3-G6", "C4-A4", "", "", "", "", "E3-A5", "E3-C6"}},
	{name: "contra-alto clarinet", in: "Eb", family: FamilyWoodwind, program: 72, sounding: -interval.MajorThirteenth, ranges: ranges{"E3-A5", "E3-C5", "Eb3-D6", "", "", "", "", "", "E3-A5", "E3-C6"}, called: "contralto clarinet"},
	{name: "contrabass clarinet", in: "Bb", family: FamilyWoodwind, program: 72, sounding: -(2*interval.Octave + interval.MajorSecond), ranges: ranges{"E3-A5", "E3-C5", "Eb3-F6", "", "", "", "", "", "E3-A5", "E3-C6"}},
	{name: "bassoon", clef: ClefBass, also: 1 << ClefTenor, family: FamilyWoodwind, program: 71, ranges: ranges{"Bb1-G4", "F2-D4", "Bb1-C5", "Bb2-G3", "", "", "", "", "Bb1-F4", "Bb1-Bb4"}},
	{name: "contrabassoon", clef: ClefBass, also: 1 << ClefTenor, family: FamilyWoodwind, program: 71, sounding: -interval.Octave, ranges: ranges{"C2-F4", "F2-D4", "Bb1-C5"}, called: "double bassoon"},
	{name: "sopranino saxophone", in: "Eb", family: FamilyWoodwind, program: 65, sounding: interval.MinorThird, ranges: ranges{"Bb3-D6", "D4-C6", "Bb3-F6", "", "", "", "", "", "C4-D6", "Bb3-F6"}},
	{name: "soprano saxophone", in: "Bb", family: FamilyWoodwind, program: 65, sounding: -interval.MajorSecond, ranges: ranges{"Bb3-D6", "D4-C6", "Bb3-F6", "", "", "", "", "", "C4-D6", "Bb3-F6"}},
	{name: "alto saxophone", in: "Eb", family: FamilyWoodwind, program: 66, sounding: -interval.MajorSixth, ranges: ranges{"Bb3-D6", "D4-C6", "Bb3-F6", "G4-E5", "G4-F5", "E4-A5", "D4-B5", "C4-C6", "C4-D6", "Bb3-F6"}},
	{name: "tenor saxophone", in: "Bb", family: FamilyWoodwind, program: 67, sounding: -interval.MajorNinth, ranges: ranges{"Bb3-D6", "D4-C6", "Bb3-F6", "C5-A5", "G4-F5", "E4-A5", "D4-B5", "C4-C6", "C4-D6", "Bb3-F6"}},
	{name: "baritone saxophone", in: "Eb", family: FamilyWoodwind, program: 68, sounding: -interval.MajorThirteenth, ranges: ranges{"Bb3-D6", "D4-C6", "Bb3-F6", "G4-E5", "G4-F5", "E4-A5", "D4-B5", "C4-C6", "C4-D6", "Bb3-F6"}, called: "bari, bari saxophone"},
	{name: "bass saxophone", in: "Bb", family: FamilyWoodwind, program: 68, sounding: -(2*interval.Octave + interval.MajorSecond), ranges: ranges{"Bb3-D6", "D4-C6", "Bb3-F6", "", "", "", "", "", "C4-D6", "Bb3-F6"}},
	{name: "sopranino recorder", family: FamilyWoodwind, program: 75, sounding: interval.Octave, ranges: ranges{"F4-D6", "F4-C6", "F4-G6"}},
	{name: "soprano recorder", family: FamilyWoodwind, program: 75, sounding: interval.Octave, ranges: ranges{"C4-A5", "C4-G5", "C4-D6"}, called: "descant recorder, recorder"},
	{name: "alto recorder", family: FamilyWoodwind, program: 75, ranges: ranges{"F4-D6", "F4-C6", "F4-G6"}, called: "treble recorder"},
	{name: "tenor recorder", family: FamilyWoodwind, program: 75, ranges: ranges{"C4-A5", "C4-G5", "C4-D6"}},
	{name: "bass recorder", clef: ClefBass, family: FamilyWoodwind, program: 75, sounding: interval.Octave, ranges: ranges{"F2-D4", "F2-C4", "F2-G4"}},
	{name: "horn", in: "F", family: FamilyBrass, program: 61, sounding: -interval.PerfectFifth, ranges: ranges{"F3-G5", "G3-D5", "F#2-C6", "F4-D5", "C4-A4", "A3-A4", "A3-B4", "G3-C5", "F3-F5", "F3-A5"}, called: "French horn"},
	{name: "trumpet", in: "Bb", family: FamilyBrass, program: 57, sounding: -interval.MajorSecond, ranges: ranges{"G3-A5", "A3-E5", "F#3-C6", "C4-A4", "C4-Bb4", "C4-C5", "B3-D5", "A3-E5", "F#3-G5", "F#3-C6"}},
	{name: "trumpet", in: "C", family: FamilyBrass, program: 57, ranges: ranges{"G3-A5", "A3-E5", "F#3-C6"}},
	{name: "cornet", in: "Bb", family: FamilyBrass, program: 57, sounding: -interval.MajorSecond, ranges: ranges{"G3-A5", "A3-E5", "F#3-C6", "C4-A4", "C4-Bb4", "C4-C5", "B3-D5", "A3-E5", "F#3-G5", "F#3-C6"}},
	{name: "soprano cornet", in: "Eb", family: FamilyBrass, program: 57, sounding: interval.MinorThird, ranges: ranges{"G3-A5", "A3-E5", "F#3-C6"}},
	{name: "flugelhorn", in: "Bb", family: FamilyBrass, program: 57, sounding: -interval.MajorSecond, ranges: ranges{"G3-G5", "A3-E5", "F#3-C6"}, called: "flugel"},
	{name: "jazz trumpet", in: "Bb", family: FamilyBrass, program: 57, sounding: -interval.MajorSecond, ranges: ranges{"G3-A5", "A3-E5", "F#3-C6", "", "", "C4-G5", "B3-G5", "A3-G5"}},
	{name: "lead trumpet", in: "Bb", family: FamilyBrass, program: 57, sounding: -interval.MajorSecond, ranges: ranges{"G3-C6", "", "F#3-D6"}},
	{name: "tenor horn", in: "Eb", family: FamilyBrass, program: 61, sounding: -interval.MajorSixth, ranges: ranges{"A3-A5", "A3-E5", "F#3-C6"}, called: "alto horn"},
	{name: "trombone", clef: ClefBass, advanced: 1 << ClefTenor, family: FamilyBrass, program: 58, ranges: ranges{"E2-G4", "G2-D4", "E2-C5", "Bb2-G3", "D3-Bb3", "Bb2-Bb3", "A2-C4", "G2-D4", "E2-F4", "E2-Bb4"}, called: "tenor trombone"},
	{name: "trombone", in: "Bb", family: FamilyBrass, program: 58, sounding: -interval.MajorNinth, ranges: ranges{"F#3-A5", "A3-E5", "F#3-C6"}},
	{name: "bass trombone", clef: ClefBass, family: FamilyBrass, program: 58, ranges: ranges{"C2-F4", "F2-C4", "Bb1-Bb4", "", "", "", "", "", "", "Bb1-F4"}},
	{name: "jazz trombone", clef: ClefBass, family: FamilyBrass, program: 58, ranges: ranges{"E2-G4", "G2-D4", "E2-Bb4", "", "", "Bb2-D4", "A2-D4", "G2-D4"}},
	{name: "baritone", clef: ClefBass, family: FamilyBrass, program: 58, ranges: ranges{"F2-F4", "G2-D4", "E2-Bb4", "Bb2-G3", "D3-Bb3", "Bb2-Bb3", "A2-C4", "G2-D4", "E2-F4", "E2-Bb4"}, called: "baritone horn"},
	{name: "baritone", in: "Bb", family: FamilyBrass, program: 58, sounding: -interval.MajorNinth, ranges: ranges{"G3-G5", "A3-E5", "F#3-C6", "C4-A4", "E4-C5", "C4-C5", "B3-D5", "A3-E5", "F#3-G5", "F#3-C6"}, called: "baritone horn"},
	{name: "euphonium", clef: ClefBass, advanced: 1 << ClefTenor, family: FamilyBrass, program: 58, ranges: ranges{"E2-G4", "G2-D4", "E2-Db5", "Bb2-G3", "D3-Bb3", "Bb2-Bb3", "A2-C4", "G2-D4", "E2-F4", "E2-Bb4"}},
	{name: "euphonium", in: "Bb", family: FamilyBrass, program: 58, sounding: -interval.MajorNinth, ranges: ranges{"F#3-A5", "A3-E5", "F#3-Eb6", "C4-A4", "E4-C5", "C4-C5", "B3-D5", "A3-E5", "F#3-G5", "F#3-C6"}},
	{name: "tuba", clef: ClefBass, family: FamilyBrass, program: 59, ranges: ranges{"F1-C4", "Bb1-F3", "D1-F4", "Bb1-G2", "D2-Bb2", "Bb1-C3", "Bb1-D3", "A1-D3", "E1-F3", "E1-Bb3"}, called: "sousaphone"},
	{name: "tuba", in: "Eb", family: FamilyBrass, program: 59, sounding: -interval.MajorThirteenth, ranges: ranges{"G3-G5", "A3-E5", "F#3-C6"}, called: "bass in Eb"},
	{name: "tuba", in: "Bb", family: FamilyBrass, program: 59, sounding: -(2*interval.Octave + interval.MajorSecond), ranges: ranges{"G3-G5", "A3-E5", "F#3-C6"}, called: "bass in Bb"},
	{name: "violin", family: FamilyStrings, program: 41, ranges: ranges{"G3-E6", "G3-B5", "G3-A7", "D4-B4", "G3-B5", "G3-B5", "G3-B5", "G3-D6"}, called: "fiddle"},
	{name: "viola", clef: ClefAlto, also: 1 << ClefTreble, family: FamilyStrings, program: 42, ranges: ranges{"C3-A5", "C3-E5", "C3-E6", "D4-B4", "C3-E5", "C3-E5", "C3-E5", "C3-G5"}},
	{name: "cello", clef: ClefBass, also: 1<<ClefTenor | 1<<ClefTreble, family: FamilyStrings, program: 43, ranges: ranges{"C2-G4", "C2-D4", "C2-A5", "D3-B3", "C2-D4", "C2-D4", "C2-D4", "C2-F#4"}, called: "violoncello"},
	{name: "double bass", clef: ClefBass, also: 1<<ClefTenor | 1<<ClefTreble, family: FamilyStrings, program: 44, sounding: -interval.Octave, ranges: ranges{"E2-G4", "E2-B3", "E2-C5", "D3-B3", "E2-B3", "E2-D4", "E2-D4", "E2-E4"}, called: "contrabass, string bass, upright bass, acoustic bass"},
	{name: "harp", grand: true, family: FamilyStrings, program: 47, ranges: ranges{"C3-C6", "C4-G5", "Cb1-G#7"}},
	{name: "guitar", family: FamilyStrings, program: 25, sounding: -interval.Octave, ranges: ranges{"E3-C6", "E3-A5", "E3-E6"}, called: "classical guitar, acoustic guitar, electric guitar"},
	{name: "bass guitar", clef: ClefBass, family: FamilyStrings, program: 34, sounding: -interval.Octave, ranges: ranges{"E2-E4", "E2-B3", "E2-G4"}, called: "electric bass"},
	{name: "mandolin", family: FamilyStrings, program: 26, ranges: ranges{"G3-E6", "G3-B5", "G3-A6"}},
	{name: "ukulele", family: FamilyStrings, program: 25, ranges: ranges{"C4-A5", "C4-G5", "C4-A5"}},
	{name: "baritone ukulele", family: FamilyStrings, program: 25, sounding: -interval.Octave, ranges: ranges{"D4-B5", "D4-A5", "D4-B5"}},
	{name: "banjo", family: FamilyStrings, program: 106, sounding: -interval.Octave, ranges: ranges{"D4-D6", "D4-B5", "D4-A6"}, called: "five-string banjo"},
	{name: "tenor banjo", family: FamilyStrings, program: 106, sounding: -interval.Octave, ranges: ranges{"C4-E6", "C4-B5", "C4-A6"}},
	{name: "piano", grand: true, program: 1, ranges: ranges{"A3-E6", "C4-G5", "A0-C8"}, called: "keyboard"},
	{name: "celesta", grand: true, program: 9, sounding: interval.Octave, ranges: ranges{"C4-C6", "C4-G5", "C3-C7"}},
	{name: "organ", grand: true, program: 20, ranges: ranges{"C3-C6", "C4-G5", "C2-C7"}},
	{name: "organ pedals", clef: ClefBass, program: 20, ranges: ranges{"C2-D4", "C2-G3", "C2-G4"}},
	{name: "vibraphone", program: 12, ranges: ranges{"F3-C6", "C4-G5", "F3-F6"}, called: "vibes"},
	{name: "marimba", also: 1 << ClefBass, program: 13, ranges: ranges{"C3-C6", "C4-G5", "A2-C7"}},
	{name: "xylophone", program: 14, sounding: interval.Octave, ranges: ranges{"C4-C7", "C4-G5", "F3-C7"}},
	{name: "glockenspiel", program: 10, sounding: 2 * interval.Octave, ranges: ranges{"G3-C6", "G3-E5", "G3-C6"}, called: "orchestra bells, bells"},
	{name: "soprano voice", family: FamilyVoice, program: 53, ranges: ranges{"D4-F#5", "D4-D5", "D4-F#5"}},
	{name: "alto voice", family: FamilyVoice, program: 53, ranges: ranges{"G3-C#5", "A3-A4", "G3-C#5"}},
	{name: "tenor voice", clef: ClefTrebleOctave, family: FamilyVoice, program: 53, ranges: ranges{"Eb3-F#4", "Eb3-Eb4", "Eb3-F#4"}},
	{name: "bass voice", clef: ClefBass, family: FamilyVoice, program: 53, ranges: ranges{"E2-C4", "G2-A3", "E2-C4"}},
}

// instrument returns the entry at a level, at which it has a range.
func (e *entry) instrument(level Level) Instrument {
	low, high, _ := strings.Cut(e.ranges[level], "-")
	i := e.unranged(level)
	i.Low, i.High = spelling.MustParse(low), spelling.MustParse(high)
	return i
}

// unranged returns the entry at a level without its range.
func (e *entry) unranged(level Level) Instrument {
	i := Instrument{Name: e.title(), Sounding: e.sounding, Clef: e.clef, Grand: e.grand, Family: e.family, Program: e.program}
	switch level {
	case LevelComfortable:
		i.Also = e.also
	case LevelFull:
		i.Also = e.also | e.advanced
	}
	return i
}

// title returns the entry's name as it is printed.
func (e *entry) title() string {
	if e.in == "" {
		return e.name
	}
	return e.name + " in " + spelling.MustParseName(e.in).String()
}

// Instruments yields the common instruments that have a range at a level, with
// it. All but the lead trumpet have one up to LevelFull; the others are for
// those of bands and orchestras at school. At a level that is none of the
// constants there are none.
//
// Transpositions, clefs and full ranges come from the sources in
// testdata/instruments.tsv and testdata/instruments-more.tsv, the ranges by grade
// from those in testdata/graded-ranges.tsv: publishers' and associations' tables.
// The others are common practice, no source.
func Instruments(level Level) iter.Seq[Instrument] {
	return func(yield func(Instrument) bool) {
		if level > LevelHighSchool {
			return
		}
		for n := range instruments {
			if e := &instruments[n]; e.ranges[level] != "" && !yield(e.instrument(level)) {
				return
			}
		}
	}
}
