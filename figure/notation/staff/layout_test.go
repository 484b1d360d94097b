package staff

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/notation"
	"pgregory.net/rapid"
)

// No rows of columns are less bad than those that arrange finds, by trying all
// ways to cut the cells into rows.
func TestLawColumnsAreBest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		room := rapid.Float64Range(40, 110).Draw(t, "room")
		cells := rapid.IntRange(1, 9).Draw(t, "cells")
		each := cell{least: rapid.Float64Range(5, 60).Draw(t, "least")}
		each.natural = each.least * rapid.Float64Range(1, 1.6).Draw(t, "natural")
		var back cell
		if rapid.Bool().Draw(t, "comes back") {
			back.least = rapid.Float64Range(3, 30).Draw(t, "back")
			back.natural = back.least * 1.2
		}
		rows, width, backWidth, ok := arrange(room, cells, each, back)
		cost := func(rows []int, beside bool) float64 {
			columns := slices.Max(rows)
			g := gridOf(room, columns, each, back, beside)
			if g.width < each.least-tiny {
				return math.Inf(1)
			}
			sum := 0.0
			for n, k := range rows {
				sum += g.row(k, n+1 == len(rows))
			}
			return sum
		}
		best := math.Inf(1)
		for cuts := range 1 << (cells - 1) {
			var all []int
			row := 1
			for n := range cells - 1 {
				if cuts>>n&1 == 1 {
					all, row = append(all, row), 0
				}
				row++
			}
			all = append(all, row)
			best = min(best, cost(all, true), cost(all, false))
		}
		if !ok {
			if !math.IsInf(best, 1) {
				t.Fatalf("no rows, some that cost %v would do", best)
			}
			return
		}
		if got := min(cost(rows, true), cost(rows, false)); math.Abs(got-best) > 1e-4 {
			t.Fatalf("rows %v cost %v, the best %v", rows, got, best)
		}
		sum := 0
		for n, k := range rows {
			sum += k
			line := width * float64(k)
			if n+1 == len(rows) {
				line += backWidth
			}
			if line > room+hair || width < each.least-hair || backWidth < back.least-hair {
				t.Fatalf("row %v of %v: columns of %v, and %v", n, rows, width, backWidth)
			}
		}
		if sum != cells {
			t.Fatalf("rows %v of %d cells", rows, cells)
		}
	})
}

// No pages are less bad than those found, by trying all ways to turn them.
func TestLawPagesAreBest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var p pile
		for range rapid.IntRange(1, 10).Draw(t, "systems") {
			p = append(p, piled{
				height: rapid.Float64Range(10, 60).Draw(t, "height"), gap: rapid.SampledFrom([]float64{3.5, 5.5, 10.5}).Draw(t, "gap"),
				turn: rapid.SampledFrom([]float64{0, turnInRest, turnPlaying}).Draw(t, "turn"),
			})
		}
		room := func(page int) float64 { return 120 + 12*float64(min(page, 1)) }
		cost := func(ends []int) float64 {
			sum, from := 0.0, 0
			for n, end := range ends {
				sum, from = sum+p.page(from, end, room(n)), end
			}
			return sum
		}
		best := math.Inf(1)
		for cuts := range 1 << (len(p) - 1) {
			var ends []int
			for n := range len(p) - 1 {
				if cuts>>n&1 == 1 {
					ends = append(ends, n+1)
				}
			}
			best = min(best, cost(append(ends, len(p))))
		}
		if ends := p.pages(room); math.Abs(cost(ends)-best) > hair {
			t.Fatalf("pages that end after %v cost %v, the best %v", ends, cost(ends), best)
		}
	})
}

// What flows is broken where it is least bad, by trying all ways.
func TestLawFlowIsBest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := anyLayout(t)
		var bars []measured
		previous := 0
		for b := range l.score.PartBars(l.part) {
			if len(bars) == 10 {
				break
			}
			bars = append(bars, l.ruler.bar(b, previous, new(stock)))
			previous = b.Signature
		}
		byFours(bars)
		cost := func(ends []int) float64 {
			sum, from := 0.0, 0
			for _, end := range ends {
				c, fits := l.system(bars, from, end, nil, new([]gap))
				if !fits && end-from > 1 {
					return math.Inf(1)
				}
				sum, from = sum+c, end
			}
			return sum
		}
		best := math.Inf(1)
		for cuts := range 1 << (len(bars) - 1) {
			var ends []int
			for n := range len(bars) - 1 {
				if cuts>>n&1 == 1 {
					ends = append(ends, n+1)
				}
			}
			best = min(best, cost(append(ends, len(bars))))
		}
		if ends := l.flow(bars, nil); math.Abs(cost(ends)-best) > 1e-4 {
			t.Fatalf("systems that end after %v cost %v, the best %v", ends, cost(ends), best)
		}
	})
}

// lawOfLayouts checks a law on the systems of layouts and of the pictures.
func lawOfLayouts(t *testing.T, check func(t rapid.TB, l *Layout, all []*System)) {
	for _, p := range pictures {
		l := p.layout(t)
		check(t, l, slices.Collect(l.Systems()))
	}
	rapid.Check(t, func(t *rapid.T) {
		l := anyLayout(t)
		check(t, l, slices.Collect(l.Systems()))
	})
}

// A block as the systems of a section have it: their bars one after another, and
// where each system begins among them.
type blocked struct {
	systems []*System
	bars    []measured
	starts  []int
}

// blocks cuts systems into blocks.
func blocks(all []*System) (out []blocked) {
	for _, s := range all {
		if s.begins || len(out) == 0 {
			out = append(out, blocked{})
		}
		b := &out[len(out)-1]
		b.systems, b.starts, b.bars = append(b.systems, s), append(b.starts, len(b.bars)), append(b.bars, s.bars...)
	}
	return out
}

// fits reports whether the bars from one to before another would stand in a
// system; certainly they do where they, all that comes between, and the words over
// them side by side have the room.
func (b *blocked) fits(l *Layout, from, to int) (fits, certainly bool) {
	next := b.systems[len(b.systems)-1].next
	if to < len(b.bars) {
		next = &b.bars[to]
	}
	bars := slices.Clone(b.bars[from:to])
	s := l.space(bars, next, run{bars: len(bars), ends: to == len(b.bars)})
	least := bars[0].head + warning(next)
	for n := range bars {
		if least += bars[n].least; n > 0 {
			least += bars[n].join()
		}
		for _, w := range bars[n].words {
			least += w.width + labelGap
		}
	}
	if bars[0].Opens {
		w := s.tempoWord(&bars[0])
		least += w.x + w.width
	}
	return s.scale == 1, least <= l.width()
}

// A system breaks no statement that would stand whole in one; a section begins a
// system. A rest begins one only if it has no room in the one before, or if rests
// alone would be left after it, and the return stands alone only in columns or if it
// has no room beside the statement before.
func TestLawSystemsHoldWholeStatements(t *testing.T) { lawOfLayouts(t, wholeStatements) }

func wholeStatements(t rapid.TB, l *Layout, all []*System) {
	for n, s := range all {
		if n > 0 && all[n-1].bars[len(all[n-1].bars)-1].End != notation.BarlineSingle != s.begins {
			t.Fatalf("%s: begins a section: %v", where(s), s.begins)
		}
		for k := range s.bars[:len(s.bars)-1] {
			if s.bars[k].End != notation.BarlineSingle {
				t.Fatalf("%s: a section begins within", where(s))
			}
		}
	}
	for _, b := range blocks(all) {
		statement := func(n int) bool { return n == 0 || b.bars[n].Seam == notation.SeamStatements }
		broken := func(n int) bool { // a bar with a chord is of the statement before
			seam := b.bars[n].Seam
			return seam > notation.SeamRest || seam == notation.SeamRest && !b.bars[n].Rests()
		}
		whole := func(s *System, from, to int) {
			if fits, certainly := b.fits(l, from, to); fits || certainly {
				t.Fatalf("%s: bars %d to %d would stand in one system", where(s), b.bars[from].Number, b.bars[to-1].Number)
			}
		}
		for n, s := range b.systems[1:] {
			before, at := b.starts[n], b.starts[n+1]
			from, to := at, at+1
			if seam := b.bars[at].Seam; seam != notation.SeamStatements {
				if !s.flows {
					t.Fatalf("%s: a column begins between parts of a %v", where(s), seam)
				}
				for to < len(b.bars) && broken(to) {
					to++
				}
				if !broken(at) {
					if end := at + len(s.bars); to < end { // and what follows has room without it
						rest := !slices.ContainsFunc(b.bars[to:end], func(m measured) bool { return !m.Rests() })
						if fits, _ := b.fits(l, to, end); fits && !rest {
							whole(s, before, to)
						}
					}
					continue
				}
				for !statement(from) {
					from--
				}
				whole(s, from, to)
			}
			if n+2 < len(b.systems) || !s.flows || !b.bars[at].returns() || !statement(at) {
				continue
			}
			if slices.ContainsFunc(b.bars[at+1:], func(m measured) bool { return m.Seam == notation.SeamStatements }) {
				continue // another statement stands beside it
			}
			for from--; !statement(from); {
				from--
			}
			if from >= before && b.bars[before].Seam == notation.SeamStatements { // it is whole there
				whole(s, from, len(b.bars))
			}
		}
	}
}

// TestRestsStandAlone: a statement of two lines of four bars, which a system just
// holds, is not broken so that the rests beside it have company.
func TestRestsStandAlone(t *testing.T) {
	l := pictures[0].layout(t)
	bar := func(width float64, seam notation.Seam, rests bool) measured {
		return measured{
			Bar:     notation.Bar{Seam: seam, Symbols: []notation.Symbol{{FullBar: rests}}},
			columns: make([]column, 1), gaps: []gap{{least: width, natural: width}}, natural: width, least: width,
		}
	}
	var bars []measured
	var want []int // where systems end
	for range 4 {
		for k := range 8 {
			b := bar((l.width()-2)/8, notation.SeamStatement, false)
			if k == 0 {
				b.Seam = notation.SeamStatements
			}
			b.line = k%4 == 0
			bars = append(bars, b)
		}
		want = append(want, len(bars))
		bars = append(bars, bar(6, notation.SeamRest, true))
		want = append(want, len(bars))
	}
	if ends := l.flow(bars, nil); !slices.Equal(ends, want) {
		t.Errorf("systems end after %v, not after %v", ends, want)
	}
}

// The barlines between columns stand below each other in a block.
func TestLawColumnsStandBelowEachOther(t *testing.T) {
	n := 0
	lawOfLayouts(t, func(t rapid.TB, l *Layout, all []*System) {
		var places []float64
		for _, s := range all {
			if s.begins {
				places = nil
			}
			if s.flows {
				continue
			}
			bars := 0
			for k, r := range s.runs[:len(s.runs)-1] {
				bars += r.bars
				at := s.end(bars - 1)
				if k == len(places) {
					places = append(places, at)
				} else if math.Abs(places[k]-at) > hair {
					t.Fatalf("%s: column %d ends at %v, above at %v", where(s), k, at, places[k])
				}
				n++
			}
			if len(s.runs) == 1 && len(places) > 2 && !s.Opens() {
				t.Fatalf("%s: an orphan", where(s))
			}
		}
	})
	if n == 0 {
		t.Error("no columns")
	}
}

// Rests of one bar are as wide as each other, whatever stands beside them; rests
// side by side are one, and none end a drill.
func TestLawRests(t *testing.T) {
	widths := map[string]int{}
	lawOfLayouts(t, func(t rapid.TB, l *Layout, all []*System) {
		for _, s := range all {
			for n := range s.bars {
				m := &s.bars[n]
				if !m.Rests() {
					continue
				}
				if n > 0 && s.bars[n-1].Rests() {
					t.Fatalf("%s: bar %d rests as the one before", where(s), m.Number)
				}
				// Where the notes of all of a section lie before its barline nothing else is left of it.
				if m.End == notation.BarlineFinal && l.options.Bars == 0 && !(s.begins && len(s.bars) == 1) {
					t.Fatalf("%s: bar %d is a rest and ends the drill", where(s), m.Number)
				}
				turn := 0.0
				if n+1 < len(s.bars) {
					turn = s.bars[n+1].turn
				} else if s.next != nil {
					turn = s.next.turn
				}
				if m.count == 1 && s.scale == 1 && n > 0 {
					widths[fmt.Sprintf("%.2f", s.end(n)-s.starts[n]-m.endWidth()-turn)]++
				}
			}
		}
	})
	if len(widths) != 1 {
		t.Errorf("rests of one bar are %v wide", widths)
	}
}

// A rest of several bars says how many they are.
func TestRestsOfSeveralBars(t *testing.T) {
	p := find("long-notes")
	p.rest = drill.Rest(12 * figure.Whole)
	for s := range p.layout(t).Systems() {
		for n := range s.bars {
			m := &s.bars[n]
			if m.count == 1 {
				continue
			}
			drawn, digits := 0, ""
			for _, k := range s.of(multiMark, countMark) {
				if k.box().left < s.starts[n] || k.box().right > s.end(n) {
					continue
				}
				if drawn++; k.kind == countMark {
					drawn--
					digits += string("0123456789"[k.glyph-digit0])
				}
			}
			if drawn != 1 || digits != fmt.Sprint(m.count) || m.count < 11 {
				t.Errorf("%s: %d rests with the number %q for %d bars", where(s), drawn, digits, m.count)
			}
			return
		}
	}
	t.Error("no rest of several bars")
}

// A chorus that is longer than a system has lines of four bars, and twelve bars of
// rest after it do not change that, nor do bars of which eight have room.
func TestChorusesStandByFours(t *testing.T) {
	p := find("blues")
	for _, p.rest = range []drill.Rest{0, drill.Rest(12 * figure.Whole), drill.NoRest} {
		if p.rest == drill.NoRest {
			p.figure, p.meter, p.score.Signatures = "3 5 1 6 over blues:6", "3/4", true
		}
		keys := 0
		for s := range p.layout(t).Systems() {
			n := len(s.bars)
			if s.bars[n-1].count > 1 { // the rest after a chorus
				n--
			}
			if s.bars[0].Seam == notation.SeamStatements {
				keys++
			}
			if n != 4 && s.bars[0].End != notation.BarlineFinal {
				t.Errorf("with a rest of %v %s has %d bars, want 4", p.rest, where(s), n)
			}
		}
		if keys != 13 {
			t.Errorf("with a rest of %v %d systems begin with a key, want 13", p.rest, keys)
		}
	}
	// The last bar, which has a chord, stands with those before where lines are short.
	l := p.layout(t)
	l, err := New(l.score, l.part, Options{Paper: Paper{92, 250, 0}})
	if err != nil {
		t.Fatal(err)
	}
	for s := range l.Systems() {
		if len(s.bars) == 1 && s.bars[0].End != notation.BarlineFinal {
			t.Errorf("%s stands alone", where(s))
		}
	}
}

// Two staves stand apart, each note on the one that its bar says.
func TestLawGrandStaff(t *testing.T) {
	p := find("grand")
	lower := 0
	for s := range p.layout(t).Systems() {
		if s.staves != 2 || len(s.of(lineMark)) != 10 || len(s.of(clefMark)) != 2 || len(s.of(braceMark)) != 1 {
			t.Fatalf("%s: %d staves, %d lines", where(s), s.staves, len(s.of(lineMark)))
		}
		for _, m := range s.of(headMark) {
			if mid := s.middle(m.column); math.Abs(m.y-mid) > 8 {
				t.Errorf("%s: a head %v away from its staff", where(s), m.y-mid)
			} else if mid > 0 {
				lower++
			}
		}
		idle := len(s.of(idleMark, multiMark))
		if idle < len(s.bars) {
			t.Errorf("%s: %d rests of a staff in %d bars", where(s), idle, len(s.bars))
		}
	}
	if lower == 0 {
		t.Error("no note on the lower staff")
	}
}

// A page turns between sections where another system would fit, in a rest rather
// than while playing, and leaves no system alone on the last page (worked cases).
func TestPagesTurnWhereTheyCan(t *testing.T) {
	for _, c := range []struct {
		turns string // of each system: s ends a section, r in a rest, p while playing
		holds int    // systems a page
		want  []int
	}{
		{"pps", 3, []int{3}}, {"ppsp", 3, []int{3, 4}}, {"pppsppps", 4, []int{4, 8}}, {"ppspppps", 5, []int{3, 8}},
		{"pprpppps", 5, []int{3, 8}}, {"rrrrrs", 4, []int{4, 6}}, {"rrsrrs", 4, []int{3, 6}}, {"pppps", 4, []int{3, 5}},
	} {
		var p pile
		for _, k := range c.turns {
			p = append(p, piled{height: 20, gap: 4, turn: map[rune]float64{'s': 0, 'r': turnInRest, 'p': turnPlaying}[k]})
		}
		room := func(int) float64 { return 24*float64(c.holds) - 3 }
		if got := p.pages(room); !slices.Equal(got, c.want) {
			t.Errorf("%s: the pages end after %v, want %v", c.turns, got, c.want)
		}
	}
}
