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
