package musicxml_test

import (
	"bytes"
	"encoding/xml"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"
	"testing"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/figuretest"
	"example.com/keyorder/figure/notation"
	. "example.com/keyorder/figure/notation/musicxml"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch/fault"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

var update = flag.Bool("update", false, "write the golden file anew; then read it")

// The document as encoding/xml sees it: to read back what was written, and to
// measure against.
type document struct {
	XMLName  xml.Name    `xml:"score-partwise"`
	Version  string      `xml:"version,attr"`
	Title    string      `xml:"work>work-title,omitempty"`
	Software string      `xml:"identification>encoding>software"`
	List     []scorePart `xml:"part-list>score-part"`
	Groups   []group     `xml:"part-list>part-group"`
	Parts    []xmlPart   `xml:"part"`
}

type scorePart struct {
	ID      string `xml:"id,attr"`
	Name    string `xml:"part-name"`
	Channel int    `xml:"midi-instrument>midi-channel"`
	Program int    `xml:"midi-instrument>midi-program"`
}

type group struct {
	Type    string `xml:"type,attr"`
	Number  int    `xml:"number,attr"`
	Symbol  string `xml:"group-symbol,omitempty"`
	Barline string `xml:"group-barline,omitempty"`
}

type xmlPart struct {
	ID       string    `xml:"id,attr"`
	Measures []measure `xml:"measure"`
}

type measure struct {
	Number int `xml:"number,attr"`
	Print  *struct {
		System string `xml:"new-system,attr,omitempty"`
		Page   string `xml:"new-page,attr,omitempty"`
	} `xml:"print"`
	Attributes *attributes `xml:"attributes"`
	Directions []direction `xml:"direction"`
	Harmonies  []harmony   `xml:"harmony"`
	Notes      []xmlNote   `xml:"note"`
	Barline    *struct {
		Location string `xml:"location,attr"`
		Style    string `xml:"bar-style"`
	} `xml:"barline"`
}

type attributes struct {
	Divisions int    `xml:"divisions,omitempty"`
	Fifths    int    `xml:"key>fifths"`
	Beats     string `xml:"time>beats,omitempty"`
	BeatType  int    `xml:"time>beat-type,omitempty"`
	Staves    int    `xml:"staves,omitempty"`
	Clefs     []struct {
		Number int    `xml:"number,attr,omitempty"`
		Sign   string `xml:"sign,omitempty"`
		Line   int    `xml:"line,omitempty"`
		Octave int    `xml:"clef-octave-change,omitempty"`
	} `xml:"clef"`
	Rests     int `xml:"measure-style>multiple-rest,omitempty"`
	Transpose *struct {
		Diatonic  int `xml:"diatonic"`
		Chromatic int `xml:"chromatic"`
		Octaves   int `xml:"octave-change"`
	} `xml:"transpose"`
}

type direction struct {
	System    string `xml:"system,attr,omitempty"`
	Words     words  `xml:"direction-type>words"`
	Rehearsal string `xml:"direction-type>rehearsal,omitempty"`
	BeatUnit  string `xml:"direction-type>metronome>beat-unit,omitempty"`
	PerMinute int    `xml:"direction-type>metronome>per-minute,omitempty"`
	Offset    int    `xml:"offset,omitempty"`
	Sound     *struct {
		Tempo float64 `xml:"tempo,attr,omitempty"`
		First int     `xml:"swing>first,omitempty"`
		Other int     `xml:"swing>second,omitempty"`
	} `xml:"sound"`
}

type words struct {
	Weight string `xml:"font-weight,attr,omitempty"`
	Text   string `xml:",chardata"`
}

type harmony struct {
	Step  string `xml:"root>root-step"`
	Alter int    `xml:"root>root-alter,omitempty"`
	Kind  struct {
		Text string `xml:"text,attr"`
		Name string `xml:",chardata"`
	} `xml:"kind"`
	Bass *struct {
		Step  string `xml:"bass-step"`
		Alter int    `xml:"bass-alter"`
	} `xml:"bass"`
	Degrees []degree `xml:"degree"`
	Offset  int      `xml:"offset,omitempty"`
}

type degree struct {
	Print string `xml:"print-object,attr"`
	Value int    `xml:"degree-value"`
	Alter int    `xml:"degree-alter"`
	Type  string `xml:"degree-type"`
}

type xmlNote struct {
	Chord *struct{} `xml:"chord"`
	Pitch *struct {
		Step   string `xml:"step"`
		Alter  int    `xml:"alter,omitempty"`
		Octave int    `xml:"octave"`
	} `xml:"pitch"`
	Rest *struct {
		Measure string `xml:"measure,attr,omitempty"`
	} `xml:"rest"`
	Duration   int        `xml:"duration"`
	Ties       []kind     `xml:"tie"`
	Voice      int        `xml:"voice"`
	Type       string     `xml:"type,omitempty"`
	Dots       []struct{} `xml:"dot"`
	Staff      int        `xml:"staff,omitempty"`
	Accidental struct {
		Parentheses string `xml:"parentheses,attr,omitempty"`
		Sign        string `xml:",chardata"`
	} `xml:"accidental"`
	Actual int `xml:"time-modification>actual-notes,omitempty"`
	Normal int `xml:"time-modification>normal-notes,omitempty"`
	Beams  []struct {
		Number int    `xml:"number,attr"`
		State  string `xml:",chardata"`
	} `xml:"beam"`
	Notations *struct {
		Tied    []kind `xml:"tied"`
		Tuplets []kind `xml:"tuplet"`
	} `xml:"notations"`
}

type kind struct {
	Type string `xml:"type,attr"`
}

func find(t testing.TB, name string) drill.Instrument {
	i, err := drill.Find(name, drill.LevelFull)
	if err != nil {
		t.Fatal(err)
	}
	return i
}

func score(t testing.TB, o notation.Options, settings ...drill.Settings) *notation.Score {
	t.Helper()
	var drills []*drill.Drill
	for _, s := range settings {
		d, err := drill.New(s)
		if err != nil {
			t.Fatal(err)
		}
		drills = append(drills, d)
	}
	s, err := notation.New(drills, o)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func read(t interface{ Fatalf(string, ...any) }, data []byte) document {
	var doc document
	if err := xml.Unmarshal(data, &doc); err != nil {
		t.Fatalf("%v in\n%s", err, data)
	}
	return doc
}

// drawn draws what a func of figuretest makes.
func drawn[V any](gen func(figuretest.Draw) V) *rapid.Generator[V] {
	return rapid.Custom(func(t *rapid.T) V {
		return gen(func(n int) int { return rapid.IntRange(0, n-1).Draw(t, "n") })
	})
}

// TestLawWhatIsWrittenIsTheNotation reads scores back and compares each symbol
// with the notation's.
func TestLawWhatIsWrittenIsTheNotation(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var drills []*drill.Drill
		for _, s := range drawn(func(draw figuretest.Draw) []drill.Settings { return figuretest.Sequence(draw, 2) }).Draw(t, "settings") {
			d, err := drill.New(s)
			if err != nil {
				t.Fatal(err)
			}
			drills = append(drills, d)
		}
		s, err := notation.New(drills, notation.Options{Title: "a & b", Signatures: rapid.Bool().Draw(t, "signatures"), Swing: true})
		if err != nil {
			t.Fatal(err)
		}
		var buf bytes.Buffer
		if err := Write(&buf, s); err != nil {
			t.Fatal(err)
		}
		doc := read(t, buf.Bytes())
		switch {
		case doc.Version != "4.0":
			t.Fatalf("%+v: version %q", doc.List, doc.Version)
		case doc.Title != "a & b":
			t.Fatalf("%+v: title %q", doc.List, doc.Title)
		case len(doc.Parts) != len(s.Parts()):
			t.Fatalf("%+v: %d parts", doc.List, len(doc.Parts))
		case len(doc.List) != len(s.Parts()):
			t.Fatalf("%+v: %d parts in the list", doc.List, len(doc.List))
		}
		for p, part := range doc.Parts {
			if i := s.Parts()[p].Instrument(); doc.List[p].Name != i.Name || doc.List[p].Program != max(int(i.Program), 1) {
				t.Fatalf("part %d is %+v, for %+v", p, doc.List[p], i)
			}
			if part.ID != doc.List[p].ID || len(part.Measures) != s.Bars() {
				t.Fatalf("part %s, %d bars", part.ID, len(part.Measures))
			}
			n := 0
			for b := range s.PartBars(s.Parts()[p]) {
				compareBar(t, b, part.Measures[n], s.Staves(s.Parts()[p]))
				n++
			}
			a := part.Measures[0].Attributes
			sounding := interval.PerfectUnison
			if tr := a.Transpose; tr != nil {
				sounding = interval.Of(tr.Diatonic+7*tr.Octaves, tr.Chromatic+12*tr.Octaves)
			}
			if sounding != s.Parts()[p].Instrument().Sounding || a.Divisions != int(figure.Quarter) {
				t.Fatalf("transposes by %v", sounding)
			}
		}
	})
}

func compareBar(t *rapid.T, b notation.Bar, m measure, staves int) {
	if staves == 2 { // the other staff rests
		m.Notes = slices.DeleteFunc(slices.Clone(m.Notes), func(n xmlNote) bool {
			idle := n.Staff != b.Staff+1
			if idle && (n.Rest == nil || n.Rest.Measure != "yes" || n.Voice != n.Staff) {
				t.Fatalf("bar %d: %+v on the other staff", b.Number, n)
			}
			return idle
		})
	}
	if b.Number > 1 && b.NewClef != (m.Attributes != nil && len(m.Attributes.Clefs) == 1) {
		t.Fatalf("bar %d: a new clef is %v, %+v", b.Number, b.NewClef, m.Attributes)
	}
	k := 0
	labels := 0
	sum := 0
	for _, s := range b.Symbols {
		for v := range max(len(s.Notes), 1) {
			x := m.Notes[k]
			k++
			switch {
			case (x.Chord != nil) != (v > 0):
				t.Fatalf("bar %d: %+v for %+v: whether it sounds with the one before", b.Number, x, s)
			case x.Duration != int(s.Length):
				t.Fatalf("bar %d: %+v for %+v: the length", b.Number, x, s)
			case (x.Rest != nil) != (len(s.Notes) == 0):
				t.Fatalf("bar %d: %+v for %+v: whether it is a rest", b.Number, x, s)
			}
			if v == 0 {
				sum += x.Duration
			}
			if len(s.Notes) == 0 {
				continue
			}
			note := s.Notes[v]
			switch {
			case x.Pitch.Step != note.Note.Letter().String():
				t.Fatalf("bar %d: %+v for %v: the letter", b.Number, *x.Pitch, note.Note)
			case x.Pitch.Alter != note.Note.Alteration():
				t.Fatalf("bar %d: %+v for %v: the alteration", b.Number, *x.Pitch, note.Note)
			case x.Pitch.Octave != note.Note.Octave():
				t.Fatalf("bar %d: %+v for %v: the octave", b.Number, *x.Pitch, note.Note)
			}
			signed := note.Note.Alteration() >= -3 && note.Note.Alteration() <= 3 // the standard has no signs beyond triple ones
			if (x.Accidental.Sign != "") != (note.Accidental != notation.AccidentalHidden && signed) {
				t.Fatalf("bar %d: accidental %v for %+v", b.Number, x.Accidental, note)
			}
			if (x.Accidental.Parentheses == "yes") != (note.Accidental == notation.AccidentalCautionary && signed) {
				t.Fatalf("bar %d: the parentheses of %v for %+v", b.Number, x.Accidental, note)
			}
			if len(x.Dots) != int(s.Value.Dots) || (x.Actual == 3) != s.Value.Triplet {
				t.Fatalf("bar %d: %+v for %+v", b.Number, x, s.Value)
			}
			in, out := false, false
			for _, tie := range x.Ties {
				in, out = in || tie.Type == "stop", out || tie.Type == "start"
			}
			if in != note.TieIn || out != note.TieOut {
				t.Fatalf("bar %d: ties %v for %+v", b.Number, x.Ties, note)
			}
		}
	}
	if k != len(m.Notes) || sum != int(b.Meter.Bar()) {
		t.Fatalf("bar %d: %d notes for %d, length %d", b.Number, len(m.Notes), k, sum)
	}
	for _, d := range m.Directions {
		if w := d.Words.Text; strings.HasPrefix(w, "back to ") || strings.HasPrefix(w, "in ") || w != "" && w[0] >= 'A' && w[0] <= 'G' {
			if d.Words.Weight != "bold" {
				t.Fatalf("bar %d: %q is not bold", b.Number, w)
			}
			labels++
		}
	}
	if labels+len(m.Harmonies) != len(b.Labels) {
		t.Fatalf("bar %d: %+v, %+v for %v", b.Number, m.Directions, m.Harmonies, b.Labels)
	}
	style := ""
	if m.Barline != nil {
		style = m.Barline.Style
	}
	if style != map[notation.Barline]string{notation.BarlineDouble: "light-light", notation.BarlineFinal: "light-heavy"}[b.End] {
		t.Fatalf("bar %d ends with %q", b.Number, style)
	}
}

// alto is the worked case of the golden file: the alto saxophone in E♭ reads
// A♭ where C♭ would sound.
func alto(t testing.TB) *notation.Score {
	return score(t, notation.Options{Title: "Four keys"}, drill.Settings{
		Figure: figure.MustParse("v5 | {1 maj7} 1+3 2 b3:2 0 5:3 by 1/8"),
		Route:  cycle.MustParse("m3").Closed(),
		Parts:  []drill.Instrument{find(t, "alto saxophone")},
		Rest:   drill.NoRest,
	})
}

func TestGolden(t *testing.T) {
	var buf bytes.Buffer
	if err := Write(&buf, alto(t)); err != nil {
		t.Fatal(err)
	}
	bars := bytes.SplitAfter(buf.Bytes(), []byte("</measure>\n"))
	got := bytes.Join(bars[:3], nil)
	const name = "testdata/alto.xml.txt"
	if *update {
		if err := os.WriteFile(name, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), string(got)); diff != "" {
		t.Error(diff)
	}
}

func TestParts(t *testing.T) {
	s := score(t, notation.Options{}, drill.Settings{
		Figure: figure.MustParse("1"), Route: cycle.MustParse("A4").Closed(),
		Parts: []drill.Instrument{find(t, "flute"), find(t, "tenor voice"), find(t, "viola"), find(t, "double bass")},
	})
	var all, two bytes.Buffer
	if err := errors.Join(Write(&all, s), Write(&two, s, s.Parts()[3], s.Parts()[0])); err != nil {
		t.Fatal(err)
	}
	five := score(t, notation.Options{}, drill.Settings{
		Figure: figure.MustParse("1"), Route: cycle.MustParse("A4").Closed(), Parts: slices.Repeat([]drill.Instrument{find(t, "flute")}, 5),
	}).Parts()
	for _, parts := range [][]drill.Part{five[4:], {five[0], five[0]}, {five[1], s.Parts()[1]}} {
		var e *fault.ValueError
		if err := Write(io.Discard, s, parts...); !errors.As(err, &e) || !strings.Contains(err.Error(), "the score has 4 parts, and each is written once") {
			t.Errorf("parts %v: %v", parts, err)
		}
	}
	var e *fault.ValueError
	if err := Write(io.Discard, new(notation.Score)); !errors.As(err, &e) {
		t.Errorf("an empty score: %v", err)
	}
	a, b := read(t, all.Bytes()), read(t, two.Bytes())
	switch {
	case len(a.Parts) != 4:
		t.Errorf("%d and %d parts: want 4", len(a.Parts), len(b.Parts))
	case len(b.Parts) != 2:
		t.Errorf("%d and %d parts: want 2", len(a.Parts), len(b.Parts))
	case b.Parts[0].ID != "P4":
		t.Errorf("%d and %d parts: the first is %s", len(a.Parts), len(b.Parts), b.Parts[0].ID)
	case b.Parts[1].ID != "P1":
		t.Errorf("%d and %d parts: the second is %s", len(a.Parts), len(b.Parts), b.Parts[1].ID)
	}
	var clefs []string
	for _, p := range a.Parts {
		at := p.Measures[0].Attributes
		clefs = append(clefs, at.Clefs[0].Sign)
		if at.Clefs[0].Octave != 0 && p.ID != "P2" {
			t.Errorf("%s changes its octave", p.ID)
		}
	}
	if diff := cmp.Diff([]string{"G", "G", "C", "F"}, clefs); diff != "" {
		t.Error(diff)
	}
}

func TestTempo(t *testing.T) {
	for text, want := range map[string]struct {
		unit  string
		sound float64
	}{
		"4/4": {"quarter", 100}, "6/8": {"quarter", 150}, "2/2": {"half", 200}, "7/8": {"eighth", 50}, "9/16": {"eighth", 75}, "2+2/16": {"eighth", 50}, "1+1/16": {"16th", 25},
	} {
		m, err := drill.ParseMeter(text)
		if err != nil {
			t.Fatal(err)
		}
		s := score(t, notation.Options{}, drill.Settings{
			Figure: figure.MustParse("1"), Route: cycle.MustParse("A4").Closed(), Parts: []drill.Instrument{find(t, "flute")}, Meter: m, Tempo: 100,
		})
		var buf bytes.Buffer
		if err := Write(&buf, s); err != nil {
			t.Fatal(err)
		}
		d := read(t, buf.Bytes()).Parts[0].Measures[0].Directions[0]
		switch {
		case d.BeatUnit != want.unit:
			t.Errorf("%s: %+v, %+v: the unit", text, d, d.Sound)
		case d.PerMinute != 100:
			t.Errorf("%s: %+v, %+v: the number", text, d, d.Sound)
		case d.Sound == nil:
			t.Errorf("%s: %+v, %+v: no sound", text, d, d.Sound)
		case d.Sound.Tempo != want.sound:
			t.Errorf("%s: %+v, %+v: the tempo of the sound", text, d, d.Sound)
		}
	}
}

// What is said to all players is written once, in the first part that is written,
// and marked as the system's; swing sounds.
func TestDirectionsForAll(t *testing.T) {
	flutes := []drill.Instrument{find(t, "flute"), find(t, "oboe"), find(t, "trombone"), find(t, "tenor voice C3-C6"), find(t, "bass voice C2-C5"), find(t, "piano")}
	s := score(t, notation.Options{Swing: true}, drill.Settings{
		Title: "Tritones", Figure: figure.MustParse("1 3 5"), Route: cycle.MustParse("A4").Closed(), Parts: flutes,
	})
	for _, parts := range [][]drill.Part{s.Parts(), s.Parts()[2:3]} {
		var buf bytes.Buffer
		if err := Write(&buf, s, parts...); err != nil {
			t.Fatal(err)
		}
		doc := read(t, buf.Bytes())
		for p, part := range doc.Parts {
			all, swings, sections := 0, 0, 0
			for _, m := range part.Measures {
				for _, d := range m.Directions {
					if d.System == "only-top" {
						all++
					}
					if d.Rehearsal != "" {
						sections++
					}
					if d.Words.Text == "swing" && d.Sound != nil && d.Sound.First == 2 && d.Sound.Other == 1 {
						swings++
					}
				}
			}
			want := "9 1 6" // title, tempo, swing and six sections
			if p > 0 {
				want = "0 0 0"
			}
			if got := fmt.Sprint(all, swings, sections); got != want {
				t.Errorf("%s of %d: %s for all, want %s", part.ID, len(parts), got, want)
			}
		}
		var groups []group
		if len(parts) > 1 {
			groups = []group{{"start", 1, "bracket", "yes"}, {"stop", 1, "", ""}, {"start", 2, "bracket", "no"}, {"stop", 2, "", ""}}
		}
		if diff := cmp.Diff(groups, doc.Groups); diff != "" {
			t.Error(diff)
		}
	}
}

// Rests of several bars are one in a part by itself, a system's first bar begins
// one, and where systems and pages begin is said.
func TestBreaksAndRests(t *testing.T) {
	s := score(t, notation.Options{}, drill.Settings{
		Figure: figure.MustParse("1 3 5"), Route: cycle.MustParse("A4").Closed(), Parts: []drill.Instrument{find(t, "flute"), find(t, "oboe")}, Rest: drill.Rest(4 * figure.Whole),
	})
	plan := []notation.System{{First: 1, Last: 5, Page: 1}, {First: 6, Last: 8, Page: 1}, {First: 9, Last: 12, Page: 2}, {First: 99999, Last: 99999, Page: 3}}
	var one, two bytes.Buffer
	if err := errors.Join(WriteLaidOut(&one, s, plan, s.Parts()[0]), WriteLaidOut(&two, s, plan)); err != nil {
		t.Fatal(err)
	}
	for n, doc := range []document{read(t, one.Bytes()), read(t, two.Bytes())} {
		for _, part := range doc.Parts {
			var got []string
			for _, m := range part.Measures[:13] {
				if m.Print != nil {
					got = append(got, fmt.Sprintf("%d %s/%s", m.Number, m.Print.System, m.Print.Page))
				}
				if m.Attributes != nil && m.Attributes.Rests > 0 {
					got = append(got, fmt.Sprintf("%d rests %d", m.Number, m.Attributes.Rests))
				}
			}
			want := "2 rests 4, 6 yes/, 7 rests 2, 9 /yes, 9 rests 2, 12 rests 4"
			if n == 1 {
				want = "6 yes/, 9 /yes"
			}
			if got := strings.Join(got, ", "); got != want {
				t.Errorf("%s: %s, want %s", part.ID, got, want)
			}
		}
	}
}

// A part changes its clef where the notation does, and a grand staff has two.
func TestClefs(t *testing.T) {
	cello := find(t, "cello C3-A5")
	cello.Also = drill.ClefsOf(drill.ClefTenor, drill.ClefTreble)
	piano := find(t, "piano C2-C7")
	piano.Grand = true
	for _, c := range []struct {
		part drill.Instrument
		want string
	}{{cello, "F4 C4"}, {piano, "1G2 2F4"}, {find(t, "bass guitar"), "F4"}} {
		s := score(t, notation.Options{}, drill.Settings{Figure: figure.MustParse("1 3 5 8"), Route: cycle.MustParse("m2").Closed(), Parts: []drill.Instrument{c.part}})
		var buf bytes.Buffer
		if err := Write(&buf, s); err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, m := range read(t, buf.Bytes()).Parts[0].Measures {
			if m.Attributes == nil {
				continue
			}
			for _, k := range m.Attributes.Clefs {
				got = append(got, strings.TrimPrefix(fmt.Sprint(k.Number, k.Sign, k.Line), "0"))
			}
		}
		if got := strings.Join(got, " "); got != c.want {
			t.Errorf("%s: clefs %s, want %s", c.part.Name, got, c.want)
		}
	}
}

func TestTextIsEscaped(t *testing.T) {
	hostile := "</words><script>\"'&\x00\x1b\uFFFE\xff"
	i := find(t, "flute")
	i.Name = hostile
	s := score(t, notation.Options{Title: hostile}, drill.Settings{
		Title: hostile, Figure: figure.MustParse("{1 <b>&\"} 1"), Route: cycle.MustParse("A4").Closed(), Parts: []drill.Instrument{i},
	})
	var buf bytes.Buffer
	if err := Write(&buf, s); err != nil {
		t.Fatal(err)
	}
	doc := read(t, buf.Bytes())
	clean := "</words><script>\"'&\uFFFD\uFFFD\uFFFD\uFFFD"
	if doc.Title != clean || doc.List[0].Name != clean || doc.Parts[0].Measures[0].Directions[0].Words.Text != clean || doc.Parts[0].Measures[0].Harmonies[0].Kind.Text != "<b>&\"" {
		t.Errorf("%q, %q, %q", doc.Title, doc.List[0].Name, doc.Parts[0].Measures[0].Directions[0].Words.Text)
	}
	if bytes.Contains(buf.Bytes(), []byte("<script")) {
		t.Error("markup is written as markup")
	}
}

// failing takes so many bytes and then fails, as a disk that fills.
type failing struct{ left int }

var errFull = errors.New("disk full")

func (f *failing) Write(p []byte) (int, error) {
	if f.left -= len(p); f.left < 0 {
		return 0, errFull
	}
	return len(p), nil
}

func TestFailingWriter(t *testing.T) {
	s := alto(t)
	for left := 0; left < 20000; left += 500 {
		if err := Write(&failing{left}, s); !errors.Is(err, errFull) {
			t.Errorf("after %d bytes: %v", left, err)
		}
	}
}

// TestChordKinds checks what is written for chords as they are typed, read by
// hand from the documentation of kind-value and degree in MusicXML 4.0's
// musicxml.xsd. What spelling/chord cannot read keeps its text alone.
func TestChordKinds(t *testing.T) {
	for typed, want := range map[string]string{
		"": "major", "m": "minor", "−": "minor", "o": "diminished", "+": "augmented", "7": "dominant", "5": "power",
		"Δ": "major-seventh", "-7": "minor-seventh", "°7": "diminished-seventh", "+7": "augmented-seventh",
		"ø": "half-diminished", "mM7": "major-minor", "6": "major-sixth", "m6": "minor-sixth",
		"9": "dominant-ninth", "maj9": "major-ninth", "m9": "minor-ninth", "m11": "minor-11th",
		"sus": "suspended-fourth", "sus2": "suspended-second",
		"7b9":    "dominant, add 9 -1",
		"7#9":    "dominant, add 9 1",
		"6/9":    "major-sixth, add 9 0",
		"13":     "dominant-13th, subtract 11 0",
		"7alt":   "dominant, alter 5 1, add 9 1",
		"7 alt":  "dominant, alter 5 1, add 9 1",
		"7sus4":  "suspended-fourth, add 7 0",
		"m7/4":   "minor-seventh, over F 0, shown as m7",
		"7b9/b2": "dominant, add 9 -1, over D -1, shown as 7♭9", // a foreign note, in C
		"/3":     "major, over E 0, shown as ",
		"6/9/5":  "major-sixth, add 9 0, over G 0, shown as 6/9",
		"<&>":    "other", "7 or so": "other", "so/so": "other", "m7/8": "other",
	} {
		d := drill.Settings{
			Figure: figure.MustParse("{b6 " + typed + "} 1 3:3"), Route: cycle.MustParse("A4").Open(), Parts: []drill.Instrument{find(t, "flute")},
		}
		var buf bytes.Buffer
		if err := Write(&buf, score(t, notation.Options{}, d)); err != nil {
			t.Fatal(err)
		}
		h := read(t, buf.Bytes()).Parts[0].Measures[0].Harmonies[0]
		got, shown := h.Kind.Name, strings.NewReplacer("b", "♭", "#", "♯").Replace(typed)
		for _, d := range h.Degrees {
			got += fmt.Sprintf(", %s %d %d", d.Type, d.Value, d.Alter)
			if d.Print != "no" {
				t.Errorf("%q: the degree %d is printed beside the text", typed, d.Value)
			}
		}
		if h.Bass != nil {
			got += fmt.Sprintf(", over %s %d, shown as %s", h.Bass.Step, h.Bass.Alter, h.Kind.Text)
			shown = h.Kind.Text
		}
		if got != want || h.Kind.Text != shown || h.Step != "A" || h.Alter != -1 {
			t.Errorf("%q on the sixth is %s, shown as %q on %s %d, want %s on A -1", typed, got, h.Kind.Text, h.Step, h.Alter, want)
		}
	}
}

func TestChannels(t *testing.T) {
	seen := map[int]bool{}
	for p := range drill.MaxParts {
		c := Channel(p)
		if c == 10 || c < 1 || c > 16 || seen[c] {
			t.Errorf("part %d on channel %d", p, c)
		}
		seen[c] = true
	}
}

// elevenOrders is one part through all eleven orders, each cycle closed.
func elevenOrders(t testing.TB, times int) *notation.Score {
	var settings []drill.Settings
	for range times {
		for semitones := range 11 {
			settings = append(settings, drill.Settings{
				Title: "order", Figure: figure.MustParse("1:3 5 4 2 3:2"), Route: cycle.By(interval.Of(0, semitones+1)).Closed(),
				Parts: []drill.Instrument{find(t, "alto saxophone")},
			})
		}
	}
	return score(t, notation.Options{Title: "All orders"}, settings...)
}

// TestMemoryDoesNotGrow compares what is held at once for a long score and a
// short one: the writer passes on what it has after every bar.
func TestMemoryDoesNotGrow(t *testing.T) {
	most := func(times int) int {
		m := &largest{}
		if err := Write(m, elevenOrders(t, times)); err != nil {
			t.Fatal(err)
		}
		return m.most
	}
	if short, long := most(1), most(100); long > 2*short {
		t.Errorf("writes of up to %d bytes, in a score 100 times as long of %d", short, long)
	}
}

type largest struct{ most int }

func (l *largest) Write(p []byte) (int, error) {
	l.most = max(l.most, len(p))
	return len(p), nil
}

// BenchmarkWrite writes the eleven orders of one part; BenchmarkWritePlain
// lets encoding/xml marshal the same document.
func BenchmarkWrite(b *testing.B) {
	s := elevenOrders(b, 1)
	b.ReportAllocs()
	b.ResetTimer()
	for range b.N {
		if err := Write(io.Discard, s); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkWritePlain(b *testing.B) {
	var buf bytes.Buffer
	if err := Write(&buf, elevenOrders(b, 1)); err != nil {
		b.Fatal(err)
	}
	var doc document
	if err := xml.Unmarshal(buf.Bytes(), &doc); err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	b.ResetTimer()
	for range b.N {
		if err := xml.NewEncoder(io.Discard).Encode(doc); err != nil {
			b.Fatal(err)
		}
	}
}
