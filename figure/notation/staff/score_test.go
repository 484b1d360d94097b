package staff

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/notation"
	"example.com/keyorder/pitch/fault"
	"pgregory.net/rapid"
)

// together returns the score of a drill for several instruments.
func together(t testing.TB, text, order string, o notation.Options, names ...string) *notation.Score {
	t.Helper()
	var parts []drill.Instrument
	for _, n := range names {
		parts = append(parts, part(t, n))
	}
	d, err := drill.New(drill.Settings{Title: "Together", Figure: figure.MustParse(text), Route: cycle.MustParse(order).Closed(), Parts: parts, LeaveOut: true})
	if err != nil {
		t.Fatal(err)
	}
	s, err := notation.New([]*drill.Drill{d}, o)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// scores are the scores to look at: -pictures writes them.
func scores(t testing.TB) map[string]*notation.Score {
	return map[string]*notation.Score{
		"class":  together(t, "1:3 5 4 2 3:2", "m3", notation.Options{}, "flute", "alto saxophone", "trombone", "piano C2-C7"),
		"pickup": together(t, "b2 v7 | {2 m7} 1 3 5 6 {5 7(b9)} 5 4 2 v7", "M3", notation.Options{Signatures: true}, "trumpet", "horn", "viola", "tuba"),
		"choir":  together(t, "3 1 3 2", "A4", notation.Options{}, "flute", "soprano voice", "tenor voice"),
		"hands":  together(t, "1 3 5 8 5 4 3:2", "P4", notation.Options{}, "piano C2-C7", "double bass", "cello"),
	}
}

// Scores of several parts keep five laws: their parts break together, are drawn as
// parts, are held by a bracket, are planned as they are drawn, and break no statement
// that a system would hold.
func TestLawScores(t *testing.T) {
	check := func(t rapid.TB, l *Layout) {
		all := slices.Collect(l.Systems())
		breakTogether(t, l, all)
		drawnAsParts(t, l, all)
		heldByABracket(t, l, all)
		planned(t, l, all)
		wholeStatements(t, l, all)
	}
	for name, s := range scores(t) {
		l, err := NewScore(s, Options{})
		if err != nil {
			t.Fatal(err)
		}
		check(t, l)
		for p := range l.Pages() {
			wellFormed(t, p.WriteSVG)
			if *picturesIn == "" {
				continue
			}
			var b bytes.Buffer
			if err := p.WriteSVG(&b); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(filepath.Join(*picturesIn, fmt.Sprintf("score-%s-%d.svg", name, p.Number())), b.Bytes(), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		s := anyScore(t)
		for len(s.Parts()) < 2 {
			s = anyScore(t)
		}
		l, err := NewScore(s, anyOptions(t))
		if err != nil {
			t.Fatal(err)
		}
		check(t, l)
	})
}

// All parts break at the same bars, each bar is there once in every part, and what
// begins at one time stands below each other. No statement is broken in one part that
// the system would hold.
func breakTogether(t rapid.TB, l *Layout, all []*System) {
	bars := make([][]notation.Bar, len(l.parts))
	for n, p := range l.parts {
		bars[n] = slices.Collect(l.score.PartBars(p))
	}
	for _, s := range all {
		first, last := s.Bars()
		if len(s.parts) != len(l.parts) {
			t.Fatalf("%s: %d parts of %d", where(s), len(s.parts), len(l.parts))
		}
		for n, p := range s.parts {
			if from, to := p.Bars(); from != first || to != last {
				t.Fatalf("%s: part %d has bars %d to %d", where(s), n, from, to)
			}
			column := 0
			for b := range p.bars {
				m := &p.bars[b]
				if own := bars[n][m.Number-1]; len(own.Symbols) != len(m.Symbols) || own.Clef != m.Clef {
					t.Fatalf("%s: bar %d of part %d is another", where(s), m.Number, n)
				}
				if math.Abs(p.end(b)+l.indent-s.end(b)) > hair {
					t.Fatalf("%s: bar %d of part %d ends at %v, of all at %v", where(s), m.Number, n, p.end(b)+l.indent, s.end(b))
				}
				for k, sym := range m.Symbols {
					if sym.FullBar {
						// Bars of rest stand below each other, in the middle.
						for o, q := range s.parts[:n] {
							rest := &q.bars[b].columns[0]
							if own := m.columns[0].marks; q.bars[b].Symbols[0].FullBar && m.count == 1 && math.Abs(rest.marks[0].x-own[0].x) > hair {
								t.Fatalf("%s: bar %d: the rest of part %d stands at %v, that of part %d at %v", where(s), m.Number, n, own[0].x, o, rest.marks[0].x)
							}
						}
						continue
					}
					for o, q := range s.parts[:n] {
						at := 0
						for _, before := range q.bars[:b] {
							at += len(before.columns)
						}
						for i, other := range q.bars[b].Symbols {
							if x := q.x[at+i]; !other.FullBar && (sym.Onset < other.Onset != (p.x[column+k] < x-hair) || sym.Onset > other.Onset != (p.x[column+k] > x+hair)) {
								t.Fatalf("%s: bar %d: what begins at %v in part %d stands at %v, what begins at %v in part %d at %v", where(s), m.Number, sym.Onset, n, p.x[column+k], other.Onset, o, x)
							}
						}
					}
				}
				column += len(m.columns)
			}
		}
	}
}

// In a score, too, marks touch nothing that they should not: each part keeps the
// laws of a part by itself.
func drawnAsParts(t rapid.TB, l *Layout, all []*System) {
	for _, s := range all {
		for _, p := range s.parts {
			accidentals := p.of(accidentalMark)
			for _, a := range accidentals {
				for _, b := range p.of(headMark, stemMark, barlineMark, signatureMark, clefMark) {
					if a.box().meets(b.box()) {
						t.Fatalf("%s: %+v meets %+v", where(s), a, b)
					}
				}
			}
			for n := 1; n < len(p.x); n++ {
				if p.x[n] <= p.x[n-1] {
					t.Fatalf("%s: column %d stands at %v after %v", where(s), n, p.x[n], p.x[n-1])
				}
			}
			for m := range p.all() {
				if m.box().left < -hair || m.box().right > p.line+hair {
					t.Fatalf("%s: %+v lies outside the line, %v", where(s), m, p.line)
				}
			}
		}
	}
}

// A bracket and a line hold all staves together; barlines go from staff to staff, but
// not between those of singers; each part has its name, and none runs into the next.
func heldByABracket(t rapid.TB, l *Layout, all []*System) {
	for _, s := range all {
		last := len(s.parts) - 1
		bottom := s.tops[last] + s.parts[last].lower + 2
		for _, k := range [2]kind{groupMark, edgeMark} {
			if m := s.of(k); len(m) != 1 || m[0].y != -2 || math.Abs(m[0].y2-bottom) > hair || m[0].x2 > l.indent+hair {
				t.Fatalf("%s: the bracket or line %+v, staves from -2 to %v", where(s), m, bottom)
			}
		}
		names := []string{}
		for _, w := range s.texts {
			if w.x+w.width > l.indent-bracketGap-bracketWidth+hair {
				t.Fatalf("%s: the name %q reaches into the bracket", where(s), w.text)
			}
			names = append(names, w.text)
		}
		want := []string{}
		for _, p := range l.parts {
			want = append(want, p.Instrument().Name)
		}
		if strings.Join(names, " ") != strings.Join(want, " ") {
			t.Fatalf("%s: the names are %q, want %q", where(s), names, want)
		}
		lines := s.of(barlineMark, thickMark)
		for n := 1; n < len(s.parts); n++ {
			p, before := s.parts[n], s.parts[n-1]
			if s.tops[n]+p.around.top < s.tops[n-1]+before.around.bottom {
				t.Fatalf("%s: part %d reaches into the one before", where(s), n)
			}
			from, to := s.tops[n-1]+before.lower+2, s.tops[n]-2
			got := 0
			for _, m := range lines {
				if math.Abs(m.y-from) < hair && math.Abs(m.y2-to) < hair {
					got++
				}
			}
			want := len(p.of(barlineMark, thickMark))
			if l.parts[n-1].Instrument().Family == drill.FamilyVoice || l.parts[n].Instrument().Family == drill.FamilyVoice {
				want = 0
			}
			if got != want {
				t.Fatalf("%s: %d barlines between parts %d and %d, want %d", where(s), got, n-1, n, want)
			}
		}
		if s.around.right*s.scale > s.width+0.01 || s.around.left < 0 || s.scale > 1 {
			t.Fatalf("%s: reaches from %v to %v of %v", where(s), s.around.left, s.around.right*s.scale, s.width)
		}
	}
}

// The plan of a score has every bar that has to be there once, as its pages have.
func planned(t rapid.TB, l *Layout, all []*System) {
	plan := l.Plan()
	if len(plan) != len(all) {
		t.Fatalf("%d systems planned, %d drawn", len(plan), len(all))
	}
	next := 1
	for n, s := range all {
		first, last := s.Bars()
		if first < next || first > next && !s.Opens() || plan[n].First != first || plan[n].Last != last {
			t.Fatalf("%s: after bar %d, planned %+v", where(s), next-1, plan[n])
		}
		next = last + 1
		for k := range s.bars {
			if m := &s.bars[k]; m.count > 1 && slices.ContainsFunc(m.parts, func(p measured) bool { return !p.Rests() }) {
				t.Fatalf("%s: bar %d is of several rests, and one part plays", where(s), m.Number)
			}
		}
	}
}

// A score of one part is that part; there is none of no parts.
func TestScoresOfFewParts(t *testing.T) {
	one := together(t, "3 5 1 6", "P4", notation.Options{}, "oboe")
	l, err := NewScore(one, Options{})
	if err != nil {
		t.Fatal(err)
	}
	same, err := New(one, one.Parts()[0], Options{})
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(l.Plan(), same.Plan()) || l.options != same.options {
		t.Error("the score of one part is another than the part")
	}
	var v *fault.ValueError
	if _, err := NewScore(new(notation.Score), Options{}); !errors.As(err, &v) || v.Setting != "score" {
		t.Errorf("the zero score gives %v", err)
	}
	if _, err := NewScore(one, Options{Bars: -1}); !errors.As(err, &v) || v.Setting != "bars" {
		t.Errorf("too few bars give %v", err)
	}
	// Staves are as high as guidelines for scores ask for at least.
	two := together(t, "3 5 1 6", "P4", notation.Options{}, "oboe", "viola")
	for large, want := range map[bool]float64{false: 5, true: 9} {
		if l, err := NewScore(two, Options{Large: large}); err != nil || l.options.Staff != want {
			t.Errorf("large %v: %v, %v", large, l.options.Staff, err)
		}
	}
	if l, _ := NewScore(two, Options{Bare: true}); len(first(l).texts) > 0 {
		t.Error("bare, it has words")
	}
}
