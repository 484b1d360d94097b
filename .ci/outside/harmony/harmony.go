// Package harmony reads the chord symbols of MusicXML as the published standard says
// what they mean. It knows nothing of keyorder.
package harmony

import (
	"encoding/xml"
	"fmt"
	"io"
	"slices"
	"strings"
)

// A Chord is a harmony element: a root and a bass as written ("Eb"), and the members
// above the root, each a number of the scale and semitones, as [9 14] for a ninth.
type Chord struct {
	Root, Bass string // no bass is empty
	Kind       string
	Members    [][2]int
}

type element struct {
	Root struct {
		Step  string `xml:"root-step"`
		Alter int    `xml:"root-alter"`
	} `xml:"root"`
	Kind string `xml:"kind"`
	Bass *struct {
		Step  string `xml:"bass-step"`
		Alter int    `xml:"bass-alter"`
	} `xml:"bass"`
	Degrees []struct {
		Value int    `xml:"degree-value"`
		Alter int    `xml:"degree-alter"`
		Type  string `xml:"degree-type"`
	} `xml:"degree"`
}

// kinds are the members of the kinds, by the descriptions of kind-value in the
// MusicXML 4.0 schema, as numbers with the alterations of the major scale.
var kinds = map[string]string{
	"major": "1 3 5", "minor": "1 b3 5", "augmented": "1 3 #5", "diminished": "1 b3 b5",
	"dominant": "1 3 5 b7", "major-seventh": "1 3 5 7", "minor-seventh": "1 b3 5 b7", "diminished-seventh": "1 b3 b5 bb7",
	"augmented-seventh": "1 3 #5 b7", "half-diminished": "1 b3 b5 b7", "major-minor": "1 b3 5 7",
	"major-sixth": "1 3 5 6", "minor-sixth": "1 b3 5 6",
	"dominant-ninth": "1 3 5 b7 9", "major-ninth": "1 3 5 7 9", "minor-ninth": "1 b3 5 b7 9",
	"dominant-11th": "1 3 5 b7 9 11", "major-11th": "1 3 5 7 9 11", "minor-11th": "1 b3 5 b7 9 11",
	"dominant-13th": "1 3 5 b7 9 11 13", "major-13th": "1 3 5 7 9 11 13", "minor-13th": "1 b3 5 b7 9 11 13",
	"suspended-second": "1 2 5", "suspended-fourth": "1 4 5", "power": "1 5",
}

// major are the semitones of the degrees of the major scale.
func major(number int) int {
	return []int{0, 2, 4, 5, 7, 9, 11}[(number-1)%7] + (number-1)/7*12
}

// Read returns the chord symbols of a score in the order of the file.
func Read(r io.Reader) (chords []Chord, err error) {
	d := xml.NewDecoder(r)
	for {
		t, err := d.Token()
		if err == io.EOF {
			return chords, nil
		} else if err != nil {
			return nil, err
		}
		start, ok := t.(xml.StartElement)
		if !ok || start.Name.Local != "harmony" {
			continue
		}
		var e element
		if err := d.DecodeElement(&e, &start); err != nil {
			return nil, err
		}
		c, err := e.chord()
		if err != nil {
			return nil, err
		}
		chords = append(chords, c)
	}
}

func (e *element) chord() (Chord, error) {
	c := Chord{Root: name(e.Root.Step, e.Root.Alter), Kind: e.Kind}
	if e.Bass != nil {
		c.Bass = name(e.Bass.Step, e.Bass.Alter)
	}
	text, ok := kinds[e.Kind]
	if !ok {
		return c, fmt.Errorf("%s: the kind %q says nothing of the members", c.Root, e.Kind)
	}
	for _, word := range strings.Fields(text) {
		number := 0
		fmt.Sscan(strings.TrimLeft(word, "b#"), &number)
		c.Members = append(c.Members, [2]int{number, major(number) + strings.Count(word, "#") - strings.Count(word, "b")})
	}
	for _, d := range e.Degrees {
		at := slices.IndexFunc(c.Members, func(m [2]int) bool { return m[0] == d.Value })
		switch {
		case d.Type == "add" && at < 0:
			// relative to a dominant chord
			n := major(d.Value) + d.Alter
			if d.Value%7 == 0 {
				n--
			}
			c.Members = append(c.Members, [2]int{d.Value, n})
		case d.Type == "add":
			c.Members = append(c.Members, [2]int{d.Value, major(d.Value) + d.Alter}) // a second form beside the first
		case d.Type == "alter" && at >= 0:
			c.Members[at][1] += d.Alter
		case d.Type == "subtract" && at >= 0:
			c.Members = slices.Delete(c.Members, at, at+1)
		default:
			return c, fmt.Errorf("%s %s: degree %+v cannot be", c.Root, c.Kind, d)
		}
	}
	slices.SortFunc(c.Members, func(a, b [2]int) int { return a[1] - b[1] })
	return c, nil
}

func name(step string, alter int) string {
	if alter < 0 {
		return step + strings.Repeat("b", -alter)
	}
	return step + strings.Repeat("#", alter)
}
