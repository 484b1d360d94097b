package staff

import (
	"math"
	"testing"

	"example.com/keyorder/figure/drill"
)

// TestLawSlursClearTheNotes: each slur goes from a notehead's middle to one of a
// later note, over or under all that stands between; each accent stands over or
// under its notehead, outside the staff. Without marks nothing is drawn otherwise.
func TestLawSlursClearTheNotes(t *testing.T) {
	for _, p := range pictures {
		for _, a := range []drill.Articulation{drill.ArticulationSlurred, drill.ArticulationSlurredInTwos} {
			p.articulation, p.accents = a, drill.AccentsBeats
			l := p.layout(t)
			slurs, accents := 0, 0
			for s := range l.Systems() {
				at := map[float64]bool{s.starts[0] - 0.2: true, s.line - 0.2: true}
				for _, x := range s.x {
					at[x] = true
				}
				for _, m := range s.marks {
					switch m.kind {
					case slurMark:
						slurs++
						if !at[m.x] || !at[m.x2] || m.x >= m.x2 {
							t.Errorf("%s, %v: a slur from %v to %v", p.name, a, m.x, m.x2)
						}
						for h := range s.all() {
							part := (h.x - m.x) / (m.x2 - m.x)
							if h.kind != headMark || part < 0 || part > 1 || math.Abs(m.bow) > 5.5 {
								continue
							}
							y := m.y + part*(m.y2-m.y) - m.bow*4*part*(1-part)
							if m.bow > 0 && y > h.y || m.bow < 0 && y < h.y {
								t.Errorf("%s, %v, bar %d: a slur goes through a notehead, %v at %v", p.name, a, s.bars[0].Number, y, h.y)
							}
						}
					case accentMark:
						accents++
						if !at[m.x] || math.Abs(m.y) < 2 && s.lower == 0 {
							t.Errorf("%s, %v: an accent at %v, %v", p.name, a, m.x, m.y)
						}
					}
				}
			}
			if accents == 0 {
				t.Errorf("%s, %v: %d slurs, %d accents", p.name, a, slurs, accents)
			}
		}
	}
}

// TestMarksLieInTheirBoxes: a number as wide as its digit is drawn, a bracket with
// its ends, which turn to the staves.
func TestMarksLieInTheirBoxes(t *testing.T) {
	digit := shapes()[digit0+3].box
	number := mark{kind: numberMark, glyph: digit0 + 3, x: 5, y: 2}
	if b := number.box(); b.left > 5+digit.left*numberSize || b.right < 5+(digit.right-digit.left)*numberSize || b.top > 2-numberSize || b.bottom < 2+numberSize {
		t.Errorf("a number at 5, 2 has the box %v", b)
	}
	bracket := mark{kind: groupMark, x: 1, y: -2, x2: 1 + bracketWidth, y2: 20}
	if b, want := bracket.box(), (box{1, -2.6, 1.95, 20.6}); b != want {
		t.Errorf("a bracket has the box %v, want %v", b, want)
	}
}
