package drill_test

import (
	"encoding/json"
	. "example.com/keyorder/figure/drill"
	"fmt"
	"strings"
	"testing"

	"example.com/keyorder/figure"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// chordsOf returns the notes of a statement by what sounds together, with its
// marks.
type struck struct {
	onset, end figure.Length
	keys       map[int]bool
	marks      Marks
}

func chordsOf(t tb, s Statement) (all []struck) {
	t.Helper()
	marks := s.Marks()
	events := s.Events()
	if len(marks) != len(events) {
		t.Fatalf("%d marks for %d notes", len(marks), len(events))
	}
	for n, e := range events {
		if len(all) == 0 || all[len(all)-1].onset != e.Onset {
			all = append(all, struck{e.Onset, e.Onset + e.Length, map[int]bool{}, marks[n]})
		}
		last := &all[len(all)-1]
		if last.keys[int(e.Note.Number())] = true; last.marks != marks[n] {
			t.Fatalf("what sounds together has the marks %b and %b", last.marks, marks[n])
		}
	}
	return all
}

// beats are the times in a bar at which beats begin.
func beats(m Meter) map[figure.Length]bool {
	at, all := figure.Length(0), map[figure.Length]bool{}
	for n := range m.Beats() {
		all[at] = true
		at += m.Beat(n)
	}
	return all
}

// TestLawSlurs: every slur has a beginning, an end and two notes at least, in one
// statement, without a rest and without the same note again between; tongued has
// none, slurred as many notes in each as can be, slurred in twos two, from the
// beat wherever notes begin there. Accents are where they are said to be.
func TestLawSlurs(t *testing.T) {
	slurs, accents := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		s := shortSettings(4).Draw(t, "settings")
		d := newDrill(t, s)
		grid := beats(s.Meter)
		for _, p := range d.Parts() {
			for st := range p.Statements() {
				all := chordsOf(t, st)
				size := 0 // notes under the slur so far
				for n, c := range all {
					onBeat := grid[(st.Onset+c.onset)%s.Meter.Bar()]
					begin, end, on := c.marks.Has(MarkSlurBegin), c.marks.Has(MarkSlurEnd), c.marks.Has(MarkSlurOn)
					if begin && end || begin && !on || end && on || begin != (size == 0 && on) || (size > 0) != (end || on && !begin) {
						t.Fatalf("note %d of %v is marked %b after %d notes of a slur", n, s.Figure, c.marks, size)
					}
					if size++; !on {
						if size > 1 {
							slurs++
						}
						if size > 1 && s.Articulation == ArticulationSlurredInTwos && size != 2 || size > 1 && s.Articulation == ArticulationTongued {
							t.Fatalf("a slur of %d notes is %v", size, s.Articulation)
						}
						size = 0
					}
					can := n+1 < len(all) && all[n+1].onset == c.end && !cmp.Equal(all[n+1].keys, c.keys) && !st.Held
					switch {
					case on && !can:
						t.Fatalf("a slur goes on from note %d of %v", n, s.Figure)
					case s.Articulation == ArticulationSlurred && can && !on:
						t.Fatalf("no slur from note %d of %v", n, s.Figure)
					case s.Articulation == ArticulationSlurredInTwos && can && !on && !end && onBeat:
						t.Fatalf("note %d of %v, on the beat, stands alone", n, s.Figure)
					}
					accent := false
					switch {
					case st.Held:
					case s.Accents == AccentsBeats:
						accent = onBeat
					case s.Accents == AccentsGroups:
						accent = begin || onBeat && c.marks&^MarkAccent == 0
					}
					if accent != c.marks.Has(MarkAccent) {
						t.Fatalf("note %d of %v, %v, %v, is accented %v", n, s.Figure, s.Articulation, s.Accents, !accent)
					}
					if accent {
						accents++
					}
				}
				if size != 0 {
					t.Fatalf("a slur of %v does not end", s.Figure)
				}
			}
		}
	})
	if slurs == 0 || accents == 0 {
		t.Errorf("%d slurs, %d accents", slurs, accents)
	}
}

// TestArticulation has cases worked by hand: ( and ) for the ends of a slur, > for
// an accent, - for a rest.
func TestArticulation(t *testing.T) {
	for _, c := range []struct {
		figure       string
		meter        string
		articulation Articulation
		accents      Accents
		want         string
	}{
		{"1:3 5 4 2 3:2", "4/4", ArticulationTongued, AccentsNone, "1 5 4 2 3"},
		{"1:3 5 4 2 3:2", "4/4", ArticulationTongued, AccentsGroups, "1> 5 4> 2 3>"},
		{"1:3 5 4 2 3:2", "4/4", ArticulationSlurred, AccentsGroups, "(1> 5 4 2 3)"},
		{"1:3 5 4 2 3:2", "4/4", ArticulationSlurred, AccentsBeats, "(1> 5 4> 2 3>)"},
		{"1:3 5 4 2 3:2", "4/4", ArticulationSlurredInTwos, AccentsGroups, "(1> 5) (4> 2) 3>"},
		{"v7 | 1 4 2 5", "4/4", ArticulationSlurredInTwos, AccentsGroups, "7 (1> 4) (2> 5)"},
		{"b2 v7 | 1 4 2", "4/4", ArticulationSlurredInTwos, AccentsNone, "(2 7) (1 4) 2"},
		{"3 3 5 1 0 6 4 2", "4/4", ArticulationSlurredInTwos, AccentsNone, "3 3 (5 1) - 6 (4 2)"},
		{"3 3 5 1 0 6 4 2", "4/4", ArticulationSlurred, AccentsNone, "3 (3 5 1) - (6 4 2)"},
		{"1+3 3+1 3+5 1", "4/4", ArticulationSlurred, AccentsNone, "1+3 (3+1 3+5 1)"},
		{"1:2/3 4:2/3 2:2/3 5:2/3 3:2/3 6:2/3", "4/4", ArticulationSlurredInTwos, AccentsBeats, "(1> 4) (2 5>) (3 6)"},
		{"3 5 1 6 2 4 1", "7/8 2+2+3", ArticulationSlurredInTwos, AccentsBeats, "(3> 5) (1> 6) (2> 4) 1"},
		{"5", "4/4", ArticulationSlurred, AccentsGroups, "5>"},
		// what is said again on a beat begins a pair
		{"4:2 4 5 2", "4/4", ArticulationSlurredInTwos, AccentsNone, "4 (4 5) 2"},
	} {
		var meter Meter
		if err := meter.UnmarshalText([]byte(c.meter)); err != nil {
			meter = Meter{}
			if err := meter.UnmarshalText([]byte(strings.Fields(c.meter)[0])); err != nil {
				t.Fatal(err)
			}
		}
		d := newDrill(t, Settings{Figure: parseFigure(t, c.figure), Route: parseRoute(t, "0"), Parts: []Instrument{find(t, "piano", LevelFull)}, Meter: meter, Articulation: c.articulation, Accents: c.accents})
		s, _ := d.Parts()[0].Statement(0)
		marks := s.Marks()
		var got []string
		for n, e := range s.Events() {
			degree := fmt.Sprint((int(e.Note.Letter())-int(s.Written.Letter())+7)%7 + 1)
			if n > 0 {
				before := s.Events()[n-1]
				if before.Onset == e.Onset {
					got[len(got)-1] = strings.Replace(got[len(got)-1], ")", "", 1) + "+" + degree
					if marks[n].Has(MarkSlurEnd) {
						got[len(got)-1] += ")"
					}
					continue
				}
				if before.Onset+before.Length < e.Onset {
					got = append(got, "-")
				}
			}
			if marks[n].Has(MarkSlurBegin) {
				degree = "(" + degree
			}
			if marks[n].Has(MarkAccent) {
				degree += ">"
			}
			if marks[n].Has(MarkSlurEnd) {
				degree += ")"
			}
			got = append(got, degree)
		}
		if diff := cmp.Diff(c.want, strings.Join(got, " ")); diff != "" {
			t.Errorf("%s in %s, %v, accents %v: %s", c.figure, c.meter, c.articulation, c.accents, diff)
		}
	}
}

// TestMarksInJSON: the JSON of a statement has the slurs and accents.
func TestMarksInJSON(t *testing.T) {
	var s Settings
	if err := json.Unmarshal([]byte(`{"figure":"3 5 1 6","route":"(06)","parts":["flute"],"articulation":"slurred","accents":"beats"}`), &s); err != nil {
		t.Fatal(err)
	}
	if s.Articulation != ArticulationSlurred || s.Accents != AccentsBeats {
		t.Errorf("%+v", s)
	}
	d := newDrill(t, s)
	first, _ := d.Parts()[0].Statement(0)
	text, err := json.Marshal(first)
	for _, want := range []string{`"index":0,"slur":"begin","accent":true}`, `"index":1,"slur":"on"}`, `"index":2,"slur":"on","accent":true}`, `"index":3,"slur":"end"}`} {
		if err != nil || !strings.Contains(string(text), want) {
			t.Errorf("%s lacks %s", text, want)
		}
	}
	held, _ := d.Parts()[0].Statement(2)
	if m := held.Marks(); !held.Held || len(m) != 1 || m[0] != 0 {
		t.Errorf("a held return is marked %v", m)
	}
	if (Statement{}).Marks() != nil {
		t.Error("the zero statement has marks")
	}
	buf := make([]Marks, 0, 8)
	if n := testing.AllocsPerRun(100, func() { buf = first.AppendMarks(buf[:0]) }); n != 0 {
		t.Errorf("%v allocations", n)
	}
}
