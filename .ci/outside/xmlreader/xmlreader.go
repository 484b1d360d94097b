// Package xmlreader reads MusicXML as a player and a sequencer do, from the
// standard's documentation alone: it imports nothing of the library that wrote
// it. What does not add up is an error that names the bar.
package xmlreader

import (
	"encoding/xml"
	"fmt"
	"strings"
)

// A Note is a note as it sounds, with all that is tied to it.
type Note struct {
	Onset, Length int // in 192nd parts of a whole note, from the beginning
	Key           int // as it sounds, 60 for middle C
	Step          string
	Alter, Octave int // as it is written
	Staff         int
	Clef          string // that it stands in, as G2 or F4, with the octave as in G2-1
}

// A Part is a part with its notes in the order of their onsets.
type Part struct {
	Name   string
	Length int
	Clefs  []string // one after another, of all staves
	Notes  []Note
	Bars   int
}

type score struct {
	List []struct {
		ID   string `xml:"id,attr"`
		Name string `xml:"part-name"`
	} `xml:"part-list>score-part"`
	Parts []struct {
		ID       string    `xml:"id,attr"`
		Measures []measure `xml:"measure"`
	} `xml:"part"`
}

type measure struct {
	Number string `xml:"number,attr"`
	Items  []item `xml:",any"`
}

// An item is a child of a measure, in the order of the file.
type item struct {
	XMLName   xml.Name
	Divisions int    `xml:"divisions"`
	Fifths    *int   `xml:"key>fifths"`
	Beats     string `xml:"time>beats"`
	BeatType  int    `xml:"time>beat-type"`
	Staves    int    `xml:"staves"`
	Clefs     []struct {
		Number int    `xml:"number,attr"`
		Sign   string `xml:"sign"`
		Line   int    `xml:"line"`
		Octave int    `xml:"clef-octave-change"`
	} `xml:"clef"`
	Transpose *struct {
		Diatonic  int `xml:"diatonic"`
		Chromatic int `xml:"chromatic"`
		Octaves   int `xml:"octave-change"`
	} `xml:"transpose"`
	Multiple int `xml:"measure-style>multiple-rest"`

	Chord *struct{} `xml:"chord"`
	Rest  *struct {
		Measure string `xml:"measure,attr"`
	} `xml:"rest"`
	Pitch *struct {
		Step   string `xml:"step"`
		Alter  int    `xml:"alter"`
		Octave int    `xml:"octave"`
	} `xml:"pitch"`
	Duration   int        `xml:"duration"`
	Ties       []kind     `xml:"tie"`
	Voice      string     `xml:"voice"`
	Type       string     `xml:"type"`
	Dots       []struct{} `xml:"dot"`
	Accidental string     `xml:"accidental"`
	Actual     int        `xml:"time-modification>actual-notes"`
	Normal     int        `xml:"time-modification>normal-notes"`
	Staff      int        `xml:"staff"`
	Beams      []struct {
		Number int    `xml:"number,attr"`
		Value  string `xml:",chardata"`
	} `xml:"beam"`
	Tied    []kind `xml:"notations>tied"`
	Tuplets []kind `xml:"notations>tuplet"`
}

type kind struct {
	Type string `xml:"type,attr"`
}

var types = map[string]int{"whole": 192, "half": 96, "quarter": 48, "eighth": 24, "16th": 12, "32nd": 6, "64th": 3}

var signs = map[string]int{"sharp": 1, "flat": -1, "natural": 0, "double-sharp": 2, "flat-flat": -2, "triple-sharp": 3, "triple-flat": -3}

const fifths = "FCGDAEB"

// inSignature returns what a key signature makes of a letter.
func inSignature(signature int, step string) int {
	n := strings.Index(fifths, step)
	switch {
	case signature > n:
		return 1
	case -signature > 6-n:
		return -1
	}
	return 0
}

func semitone(step string, alter, octave int) int {
	return 12*(octave+1) + map[string]int{"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}[step] + alter
}

// Read reads a score.
func Read(data []byte) ([]Part, error) {
	var s score
	if err := xml.Unmarshal(data, &s); err != nil {
		return nil, err
	}
	names := map[string]string{}
	for _, p := range s.List {
		names[p.ID] = p.Name
	}
	var parts []Part
	for _, p := range s.Parts {
		r := reader{part: Part{Name: names[p.ID]}, clefs: map[int]string{}, tied: map[string]int{}}
		for _, m := range p.Measures {
			if err := r.measure(m); err != nil {
				return nil, fmt.Errorf("part %s, bar %s: %w", p.ID, m.Number, err)
			}
		}
		if len(r.tied) > 0 {
			return nil, fmt.Errorf("part %s: a tie goes on after the end", p.ID)
		}
		r.part.Length, r.part.Bars = r.now, len(p.Measures)
		parts = append(parts, r.part)
	}
	return parts, nil
}

type reader struct {
	part      Part
	now       int // where the bar begins
	divisions int
	signature int
	bar       int // its length in 192nds
	middle    int // where no beam goes on over, or 0
	staves    int
	clefs     map[int]string
	sounding  int            // semitones
	tied      map[string]int // by note as written, which one goes on
	resting   int            // bars of a rest of several that are to come
}

func (r *reader) measure(m measure) error {
	at, filled := 0, map[int]int{} // how far each staff is filled
	last := 0                      // where the note before began
	holds := map[string]int{}      // accidentals, by step and octave and staff
	doubt := map[string]bool{}     // two notes stood there
	type open struct{ beams map[int]bool }
	beam := open{map[int]bool{}}
	tuplet, tupletSum, inBeam := false, 0, []bool(nil)
	played := false
	for _, i := range m.Items {
		switch i.XMLName.Local {
		case "attributes":
			if i.Divisions > 0 {
				r.divisions = i.Divisions
			}
			if i.Fifths != nil {
				r.signature = *i.Fifths
			}
			if i.Staves > 0 {
				r.staves = i.Staves
			}
			if i.Beats != "" {
				beats := 0
				for _, b := range strings.Split(i.Beats, "+") {
					n := 0
					fmt.Sscan(b, &n)
					beats += n
				}
				r.bar, r.middle = beats*192/i.BeatType, 0
				switch fmt.Sprint(i.Beats, "/", i.BeatType) {
				case "4/4", "2/2", "12/8":
					r.middle = r.bar / 2
				}
			}
			for _, c := range i.Clefs {
				name := fmt.Sprintf("%s%d", c.Sign, c.Line)
				if c.Octave != 0 {
					name += fmt.Sprint(c.Octave)
				}
				if r.clefs[max(c.Number, 1)] == name {
					return fmt.Errorf("the clef %s comes again", name)
				}
				r.clefs[max(c.Number, 1)] = name
				r.part.Clefs = append(r.part.Clefs, name)
			}
			if i.Transpose != nil {
				r.sounding = i.Transpose.Chromatic + 12*i.Transpose.Octaves
			}
			if i.Multiple > 0 {
				r.resting = i.Multiple
			}
		case "backup":
			at -= i.Duration * 48 / r.divisions
		case "note":
			length := i.Duration * 48 / r.divisions
			staff := max(i.Staff, 1)
			if i.Chord == nil {
				last = at
				at += length
				if last != filled[staff] {
					return fmt.Errorf("staff %d is filled to %d, a note comes at %d", staff, filled[staff], last)
				}
				filled[staff] = at
			}
			if i.Rest == nil || i.Rest.Measure != "yes" {
				value := types[i.Type]
				if i.Type == "128th" {
					value = 0 // a 128th is no whole number of 192nds
				}
				for n, dot := 0, value; n < len(i.Dots); n++ {
					dot /= 2
					value += dot
				}
				if i.Actual > 0 && value > 0 {
					if value*i.Normal%i.Actual != 0 && value*2*i.Normal%i.Actual != 0 {
						return fmt.Errorf("%s in %d for %d", i.Type, i.Actual, i.Normal)
					}
					value = value * i.Normal / i.Actual
				}
				if value > 0 && abs(value-length) > 1 {
					return fmt.Errorf("a note of %d is written as %s with %d dots", length, i.Type, len(i.Dots))
				}
			} else if length != r.bar {
				return fmt.Errorf("a bar's rest of %d in a bar of %d", length, r.bar)
			}
			begins, ends := false, false
			for _, t := range i.Tuplets {
				begins, ends = begins || t.Type == "start", ends || t.Type == "stop"
			}
			if i.Chord == nil {
				if begins {
					if tuplet {
						return fmt.Errorf("a triplet begins in another")
					}
					tuplet, tupletSum = true, 0
				}
				if tuplet != (i.Actual == 3) {
					return fmt.Errorf("a note in a triplet: %v, of three in the time of two: %v", tuplet, i.Actual == 3)
				}
				tupletSum += length
				was := beam.beams[1]
				for _, b := range i.Beams {
					switch b.Value {
					case "begin":
						if beam.beams[b.Number] {
							return fmt.Errorf("beam %d begins twice", b.Number)
						}
						beam.beams[b.Number] = true
					case "continue", "end":
						if !beam.beams[b.Number] {
							return fmt.Errorf("beam %d goes on from none", b.Number)
						}
						if b.Value == "end" {
							delete(beam.beams, b.Number)
						}
					}
				}
				if was && len(i.Beams) == 0 {
					return fmt.Errorf("a beam is left open")
				}
				if len(i.Beams) > 0 && (i.Rest != nil || types[i.Type] > 24) {
					return fmt.Errorf("a beam on a rest or a %s", i.Type)
				}
				// What a beam of eighths joins is all in one triplet or in none.
				if was {
					if in := inBeam[len(inBeam)-1]; in != tuplet || begins {
						return fmt.Errorf("a beam takes in part of a triplet")
					}
				}
				inBeam = append(inBeam, tuplet)
				if was && r.middle > 0 && last == r.middle {
					return fmt.Errorf("a beam crosses the middle")
				}
				if ends {
					tuplet = false
				}
			}
			if i.Rest != nil {
				continue
			}
			played = true
			if err := r.note(i, last, length, staff, holds, doubt); err != nil {
				return err
			}
		}
	}
	for staff := 1; staff <= max(r.staves, 1); staff++ {
		if filled[staff] != r.bar {
			return fmt.Errorf("staff %d is filled to %d of %d", staff, filled[staff], r.bar)
		}
	}
	if tuplet || len(beam.beams) > 0 {
		return fmt.Errorf("a triplet or a beam goes on over the barline")
	}
	if r.resting > 0 {
		if played {
			return fmt.Errorf("notes in a rest of several bars")
		}
		r.resting--
	}
	r.now += r.bar
	return nil
}

func (r *reader) note(i item, at, length, staff int, holds map[string]int, doubt map[string]bool) error {
	place := fmt.Sprint(i.Pitch.Step, i.Pitch.Octave, "/", staff)
	name := fmt.Sprint(i.Pitch.Step, i.Pitch.Alter, "/", i.Pitch.Octave, "/", staff)
	in, out := false, false
	for _, t := range i.Ties {
		in, out = in || t.Type == "stop", out || t.Type == "start"
	}
	drawnIn, drawnOut := false, false
	for _, t := range i.Tied {
		drawnIn, drawnOut = drawnIn || t.Type == "stop", drawnOut || t.Type == "start"
	}
	if in != drawnIn || out != drawnOut {
		return fmt.Errorf("%s sounds tied and is not drawn so", name)
	}
	// What a player reads.
	if sign, has := signs[i.Accidental]; i.Accidental != "" {
		if !has {
			return fmt.Errorf("an accidental %q", i.Accidental)
		}
		if sign != i.Pitch.Alter {
			return fmt.Errorf("%s with the accidental %s", name, i.Accidental)
		}
		holds[place] = sign
	}
	read, marked := holds[place]
	if !marked {
		read = inSignature(r.signature, i.Pitch.Step)
	}
	if in {
		read = i.Pitch.Alter
	}
	if read != i.Pitch.Alter && abs(i.Pitch.Alter) <= 3 {
		return fmt.Errorf("%s reads as altered by %d", name, read)
	}
	if in {
		k, ok := r.tied[name]
		if !ok {
			return fmt.Errorf("nothing is tied to %s", name)
		}
		n := &r.part.Notes[k]
		if n.Onset+n.Length != r.now+at {
			return fmt.Errorf("%s is tied over a gap", name)
		}
		n.Length += length
		if !out {
			delete(r.tied, name)
		}
		return nil
	}
	if out {
		r.tied[name] = len(r.part.Notes)
	}
	if r.clefs[staff] == "" {
		return fmt.Errorf("no clef on staff %d", staff)
	}
	r.part.Notes = append(r.part.Notes, Note{r.now + at, length, semitone(i.Pitch.Step, i.Pitch.Alter, i.Pitch.Octave) + r.sounding,
		i.Pitch.Step, i.Pitch.Alter, i.Pitch.Octave, staff, r.clefs[staff]})
	return nil
}

// Ledgers returns how many ledger lines a note needs in the clef it stands in.
func (n Note) Ledgers() int {
	// The middle lines, counted in steps from C0.
	middle := map[string]int{"G2": 34, "F4": 22, "C3": 28, "C4": 26, "G2-1": 27}[n.Clef]
	p := abs(n.Octave*7 + strings.Index("CDEFGAB", n.Step) - middle)
	return max(0, p/2-2)
}

func abs(n int) int { return max(n, -n) }
