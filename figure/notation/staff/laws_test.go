package staff

import (
	"bytes"
	"cmp"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/figuretest"
	"example.com/keyorder/figure/notation"
	"pgregory.net/rapid"
)

// The geometry is checked as data, before it is written: every law looks at
// the marks of the systems of scores drawn at random, over instruments, meters
// and figures.

// drawn draws what a func of figuretest makes.
func drawn[V any](gen func(figuretest.Draw) V) *rapid.Generator[V] {
	return rapid.Custom(func(t *rapid.T) V {
		return gen(func(n int) int { return rapid.IntRange(0, n-1).Draw(t, "n") })
	})
}

// figures draws figures for an engraver: as many as five notes at once on a few
// lines, far altered too, chords, pickups.
func figures(draw figuretest.Draw) figure.Figure {
	if draw(2) == 0 {
		return figuretest.Playable(draw)
	}
	pick := func(texts ...string) string { return texts[draw(len(texts))] }
	for {
		var items []string
		for n := range 1 + draw(10) {
			item := "0"
			if n == 0 || draw(6) > 0 {
				var notes []string
				for range []int{1, 1, 1, 1, 2, 3, 5}[draw(7)] {
					notes = append(notes, pick("", "", "", "b", "#", "bb", "##", "n", "bbb", "###")+fmt.Sprint(1+draw(8)))
				}
				item = strings.Join(notes, "+")
			}
			items = append(items, pick("", "", "", "", "", "{2 m7} ", "{5 7(b9,#11)} ", "{1} ", "{b2 <&>} ")+item+":"+pick("1", "1", "1", "2", "3", "4", "8", "1/2", "1/4", "1/8", "2/3", "1/3", "4/3"))
		}
		if len(items) > 1 && draw(4) == 0 {
			items[0] += " |"
		}
		f, err := figure.Parse(strings.Join(items, " ") + " in " + pick("major", "dorian", "super-locrian", "harmonic minor"))
		if err == nil { // or else a sound comes twice at once
			return f
		}
	}
}

// anyLayout draws the layout of a part of a score that the packages below accept.
func anyLayout(t *rapid.T) *Layout {
	score := anyScore(t)
	parts := score.Parts()
	l, err := New(score, parts[rapid.IntRange(0, len(parts)-1).Draw(t, "part")], anyOptions(t))
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func anyOptions(t *rapid.T) Options {
	return Options{
		Paper: rapid.SampledFrom([]Paper{{}, Letter(), {100, 200, 5}}).Draw(t, "paper"),
		Bars:  rapid.SampledFrom([]int{0, 0, 0, 1, 5}).Draw(t, "bars"),
	}
}

func anyScore(t *rapid.T) *notation.Score {
	var drills []*drill.Drill
	for _, s := range drawn(func(draw figuretest.Draw) []drill.Settings { return figuretest.Sequence(draw, 2) }).Draw(t, "settings") {
		other := s
		other.Figure, other.LeaveOut = drawn(figures).Draw(t, "figure"), true
		if rapid.Bool().Draw(t, "all keys") {
			other.Route = drawn(figuretest.Order).Draw(t, "order").Closed()
		}
		if rapid.Bool().Draw(t, "long title") {
			other.Title = strings.Repeat("long <title> & ", 20)
		}
		d, err := drill.New(other)
		if err != nil { // the figure is too wide for the parts
			if d, err = drill.New(s); err != nil {
				t.Fatal(err)
			}
		}
		drills = append(drills, d)
	}
	score, err := notation.New(drills, notation.Options{
		Title: "Practice", Swing: rapid.Bool().Draw(t, "swing"), Signatures: rapid.Bool().Draw(t, "signatures"),
	})
	if err != nil {
		t.Fatal(err)
	}
	return score
}

// law checks every system of layouts drawn at random, and of the scores that
// the pictures show.
func law(t *testing.T, check func(t rapid.TB, s *System)) {
	for _, p := range pictures {
		for s := range p.layout(t).Systems() {
			check(t, s)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		for s := range anyLayout(t).Systems() {
			check(t, s)
		}
	})
}

// of yields the marks of a kind.
func (s *System) of(kinds ...kind) []mark {
	var found []mark
	for m := range s.all() {
		if slices.Contains(kinds, m.kind) {
			found = append(found, *m)
		}
	}
	return found
}

// columns returns the columns of a system.
func (s *System) columns() []*column {
	var all []*column
	for b := range s.bars {
		for c := range s.bars[b].columns {
			all = append(all, &s.bars[b].columns[c])
		}
	}
	return all
}

func where(s *System) string {
	first, last := s.Bars()
	return fmt.Sprintf("%s, bars %d to %d", s.name, first, last)
}

// middle returns where the middle line of a column's staff lies.
func (s *System) middle(column int32) float64 {
	for n := range s.bars {
		if column -= int32(len(s.bars[n].columns)); column < 0 {
			return s.lower * float64(s.bars[n].Staff)
		}
	}
	return 0
}

const hair = 1e-6 // what rounding may add

// untold fails if bars that are not drawn, from one to before another, are
// anything but the rests at the end of a drill.
func untold(t rapid.TB, l *Layout, from, to int) {
	t.Helper()
	if from >= to {
		return
	}
	for b := range l.score.PartBars(l.part) {
		if b.Number >= from && b.Number < to && !b.Rests() || b.Number == to-1 && b.End != notation.BarlineFinal {
			t.Fatalf("bar %d is not drawn", b.Number)
		}
	}
}

func TestLawEveryBarIsWholeAndOnce(t *testing.T) {
	check := func(t rapid.TB, l *Layout) {
		want := l.score.Bars()
		if n := l.options.Bars; n > 0 {
			want = min(want, n)
		}
		next := 1
		for s := range l.Systems() {
			first, last := s.Bars()
			count := 0
			for n := range s.bars {
				count += s.bars[n].count
			}
			switch {
			case first < next || first > next && !s.Opens():
				t.Fatalf("a system of bars %d to %d comes where bar %d should: another place", first, last, next)
			case last-first+1 != count:
				t.Fatalf("a system of bars %d to %d comes where bar %d should: %d bars", first, last, next, count)
			case s.bars[0].Opens != s.Opens():
				t.Fatalf("a system of bars %d to %d comes where bar %d should: it opens a drill, or not", first, last, next)
			}
			untold(t, l, next, first)
			for n := range s.bars {
				b := &s.bars[n]
				if b.Opens && n > 0 || b.End == notation.BarlineFinal && n+1 < len(s.bars) {
					t.Fatalf("an order begins or ends inside a system at bar %d", b.Number)
				}
				time := figure.Length(0)
				for c := range b.columns {
					if b.columns[c].symbol.Onset != time {
						t.Fatalf("bar %d: a symbol at %v, want %v", b.Number, b.columns[c].symbol.Onset, time)
					}
					time += b.columns[c].symbol.Length
				}
				if time != b.Meter.Bar() {
					t.Fatalf("bar %d is %v long", b.Number, time)
				}
			}
			next = last + 1
		}
		untold(t, l, next, want+1)
	}
	rapid.Check(t, func(t *rapid.T) { check(t, anyLayout(t)) })
}

func TestLawNothingLiesOutsideItsSystem(t *testing.T) {
	law(t, func(t rapid.TB, s *System) {
		if s.around.left < -hair || s.around.right*s.scale > s.width+0.01 {
			t.Fatalf("%s: the system reaches from %v to %v of %v", where(s), s.around.left, s.around.right*s.scale, s.width)
		}
		for m := range s.all() {
			b := m.box()
			if !(b.left >= -hair && b.right <= s.line+hair && b.top >= s.around.top && b.bottom <= s.around.bottom && b.left < b.right && b.top < b.bottom) {
				t.Fatalf("%s: %+v lies outside %v, %v", where(s), m, s.line, s.around)
			}
		}
		if h := (s.around.bottom - s.around.top) * s.scale * s.unit; math.Abs(h-s.Height()) > hair {
			t.Fatalf("%s: %v high, want %v", where(s), s.Height(), h)
		}
		// Noteheads stay in their bar.
		column := 0
		for n := range s.bars {
			end := s.line
			if n+1 < len(s.bars) {
				end = s.starts[n+1]
			}
			for range s.bars[n].columns {
				for m := range s.all() {
					if int(m.column) == column && (m.box().left < s.starts[n] || m.box().right > end) {
						t.Fatalf("%s: %+v lies outside its bar, %v to %v", where(s), m, s.starts[n], end)
					}
				}
				column++
			}
		}
	})
}

func TestLawAccidentalsTouchNothing(t *testing.T) {
	law(t, func(t rapid.TB, s *System) {
		accidentals := s.of(accidentalMark)
		others := append(s.of(headMark, dotMark, stemMark, flagMark, restMark, barlineMark, clefMark, signatureMark, meterMark), accidentals...)
		for _, a := range accidentals {
			for _, b := range others {
				if a.box().meets(b.box()) && a != b {
					// The glyphs of one accidental may touch: double flats do.
					if b.kind == accidentalMark && a.column == b.column && a.y == b.y {
						continue
					}
					t.Fatalf("%s: %+v meets %+v", where(s), a, b)
				}
			}
		}
	})
}

// Heads of one column meet only as chords have them: on the two sides of a
// stem. Those of different columns do not.
func TestLawHeadsAreApart(t *testing.T) {
	law(t, func(t rapid.TB, s *System) {
		heads := s.of(headMark)
		for n, a := range heads {
			for _, b := range heads[:n] {
				if a.box().meets(b.box()) && !(a.column == b.column && (a.x != b.x || math.Abs(a.y-b.y) >= 0.75)) {
					if a.column == b.column && manyAt(heads, a) {
						continue // more than two of one letter have nowhere to go
					}
					t.Fatalf("%s: %+v meets %+v", where(s), a, b)
				}
			}
		}
	})
}

func manyAt(heads []mark, a mark) bool {
	n := 0
	for _, h := range heads {
		if h.column == a.column && math.Abs(h.y-a.y) < 0.75 {
			n++
		}
	}
	return n > 2
}

func TestLawBeamsJoinTheirStems(t *testing.T) {
	law(t, func(t rapid.TB, s *System) {
		beams, stems := s.of(beamMark), s.of(stemMark)
		stemOf := map[int32]mark{}
		for _, m := range stems {
			if _, twice := stemOf[m.column]; twice {
				t.Fatalf("%s: column %d has two stems", where(s), m.column)
			}
			stemOf[m.column] = m
		}
		for n, c := range s.columns() {
			stem, has := stemOf[int32(n)]
			if has != (len(c.symbol.Notes) > 0 && c.symbol.Value.Base > 1) {
				t.Fatalf("%s: column %d, value %v, has a stem: %v", where(s), n, c.symbol.Value, has)
			}
			if !c.beamed() {
				continue
			}
			top, bottom := min(stem.y, stem.y2), max(stem.y, stem.y2)
			for level, state := range c.symbol.Beams {
				if state == notation.BeamNone {
					continue
				}
				joined := 0
				for _, b := range beams {
					if b.x > stem.x || b.x2 < stem.x {
						continue
					}
					// The beam's middle where the stem is lies on the stem, at the
					// level's distance from its tip.
					y := b.y + (b.y2-b.y)*(stem.x-b.x)/(b.x2-b.x)
					from := math.Abs(y - stem.y2)
					if y > top && y < bottom && math.Abs(from-beamStep*float64(level)-beamWidth/2) < 0.15 {
						joined++
					}
				}
				if joined != 1 {
					t.Fatalf("%s: column %d, level %d, stem %+v: %d beams", where(s), n, level, stem, joined)
				}
			}
		}
		for _, b := range beams {
			if slope := math.Abs(b.y2-b.y) / (b.x2 - b.x); slope > 0.25+hair || math.Abs(b.y2-b.y) > 1.1 {
				t.Fatalf("%s: a beam rises by %.2f in %.2f", where(s), b.y2-b.y, b.x2-b.x)
			}
		}
	})
}

// Stems are an octave or more, reach the middle line, and begin at a head.
// Below the middle line they go up, on it and above down; of notes together
// the farthest decides. (common practice, no source)
func TestLawStems(t *testing.T) {
	law(t, func(t rapid.TB, s *System) {
		columns := s.columns()
		heads := s.of(headMark)
		for _, m := range s.of(stemMark) {
			c := columns[m.column]
			way := -1.0
			if c.down {
				way = 1
			}
			near := yOf(c.high)
			if c.down {
				near = yOf(c.low)
			}
			m.y, m.y2 = m.y-s.middle(m.column), m.y2-s.middle(m.column)
			least := stemLength
			if c.beamed() {
				least = 2.85
			}
			if (m.y2-near)*way < least-hair || m.y2*way < -0.11 {
				t.Fatalf("%s: a stem from %v to %v, the nearest head at %v", where(s), m.y, m.y2, near)
			}
			if !c.beamed() && c.down != (c.high >= -c.low) {
				t.Fatalf("%s: the stem of positions %d to %d goes down: %v", where(s), c.low, c.high, c.down)
			}
			if !slices.ContainsFunc(heads, func(h mark) bool { return h.column == m.column && h.box().at(0, -s.middle(m.column)).meets(m.box()) }) {
				t.Fatalf("%s: the stem %+v touches no head", where(s), m)
			}
			for _, h := range heads {
				h.y -= s.middle(m.column)
				if h.column == m.column && (h.box().right < m.x-stemWidth || h.box().left > m.x+stemWidth) {
					t.Fatalf("%s: the stem at %v stands away from a head %+v", where(s), m.x, h)
				}
			}
		}
	})
}

func TestLawTimeRunsToTheRight(t *testing.T) {
	law(t, func(t rapid.TB, s *System) {
		for n := 1; n < len(s.x); n++ {
			if s.x[n] <= s.x[n-1] {
				t.Fatalf("%s: column %d stands at %v after %v", where(s), n, s.x[n], s.x[n-1])
			}
		}
		columns := s.columns()
		if len(columns) != len(s.x) {
			t.Fatalf("%s: %d places for %d columns", where(s), len(s.x), len(columns))
		}
		heads := make([]int, len(columns))
		for _, m := range s.of(headMark) {
			heads[m.column]++
			aside := math.Abs(m.x - s.x[m.column])
			if aside > 2*wholeHalf {
				t.Fatalf("%s: a head %v beside its column", where(s), aside)
			}
		}
		for n, c := range columns {
			if heads[n] != len(c.symbol.Notes) {
				t.Fatalf("%s: %d heads for %d notes", where(s), heads[n], len(c.symbol.Notes))
			}
		}
	})
}

// The columns of a system add up to its width, which none exceeds; what flows
// fills the line but at the end of a section.
func TestLawColumnsAddUpToTheWidth(t *testing.T) {
	law(t, func(t rapid.TB, s *System) {
		line := s.line * s.scale
		rests := !slices.ContainsFunc(s.columns(), func(c *column) bool { return !c.symbol.FullBar }) // which are of one width
		if line > s.width+hair || s.flows && !s.ends && !rests && math.Abs(line-s.width) > hair {
			t.Fatalf("%s: %v long, the line is %v; the last is %v", where(s), line, s.width, s.ends)
		}
		if s.scale > 1 || s.scale < 1 && len(s.bars) > 1 {
			t.Fatalf("%s: drawn %v times as large", where(s), s.scale)
		}
		sum, bars := s.bars[0].head, 0
		for n, r := range s.runs {
			sum, bars = sum+r.width, bars+r.bars
			if end := s.end(bars - 1); !s.flows && n+1 < len(s.runs) && math.Abs(sum-end) > hair {
				t.Fatalf("%s: column %d ends at %v, want %v", where(s), n, end, sum)
			}
		}
		if bars != len(s.bars) || !s.flows && math.Abs(sum-s.line) > hair {
			t.Fatalf("%s: its columns hold %d bars and end at %v; it has %d and ends at %v", where(s), bars, sum, len(s.bars), s.line)
		}
	})
}

// Flags hang on their stem, from its tip no farther than it reaches, and none
// touches the notehead, over which those of a stem down hang.
func TestLawFlagsStayOnTheirStem(t *testing.T) {
	law(t, func(t rapid.TB, s *System) {
		stems := map[int32]mark{}
		for _, m := range s.of(stemMark) {
			stems[m.column] = m
		}
		heads := s.of(headMark)
		columns := s.columns()
		for _, f := range s.of(flagMark) {
			stem := stems[f.column]
			switch {
			case f.y < stem.box().top-hair:
				t.Fatalf("%s: flag %v hangs beyond stem %v: it begins above", where(s), f.box(), stem.box())
			case f.y > stem.box().bottom+hair:
				t.Fatalf("%s: flag %v hangs beyond stem %v: it begins below", where(s), f.box(), stem.box())
			case f.box().top < stem.box().top-hair:
				t.Fatalf("%s: flag %v hangs beyond stem %v: it reaches above", where(s), f.box(), stem.box())
			case f.box().bottom > stem.box().bottom+hair:
				t.Fatalf("%s: flag %v hangs beyond stem %v: it reaches below", where(s), f.box(), stem.box())
			case math.Abs(f.x-stem.box().left) > hair:
				t.Fatalf("%s: flag %v hangs beyond stem %v: it is not on the stem", where(s), f.box(), stem.box())
			}
			for _, h := range heads {
				if h.column == f.column && columns[h.column].down && f.box().meets(h.box()) {
					t.Fatalf("%s: flag %v touches notehead %v", where(s), f.box(), h.box())
				}
			}
		}
	})
}

// A section's number stands before the key of its first statement, pickup or
// not, with no other key between.
func TestLawSectionsAreNumberedBesideTheirKey(t *testing.T) {
	law(t, func(t rapid.TB, s *System) {
		var keys []word
		for _, w := range s.texts {
			if w.style == keyText || w.style == sectionText {
				keys = append(keys, w)
			}
		}
		slices.SortFunc(keys, func(a, b word) int { return cmp.Compare(a.x, b.x) })
		for b := range s.bars {
			bar := &s.bars[b]
			if bar.Section == 0 {
				continue
			}
			n := slices.IndexFunc(keys, func(w word) bool { return w.style == sectionText && w.text == strconv.Itoa(bar.Section) })
			k := slices.IndexFunc(bar.Labels, func(l notation.Label) bool { return l.Onset == bar.SectionOnset && l.Kind != notation.LabelKindChord })
			switch {
			case n < 0:
				t.Fatalf("%s: section %d of bar %d does not stand beside its key: %v: no number", where(s), bar.Section, bar.Number, keys)
			case k < 0:
				t.Fatalf("%s: section %d of bar %d does not stand beside its key: %v: no label", where(s), bar.Section, bar.Number, keys)
			case n+1 == len(keys):
				t.Fatalf("%s: section %d of bar %d does not stand beside its key: %v: nothing after the number", where(s), bar.Section, bar.Number, keys)
			case keys[n+1].text != bar.Labels[k].String():
				t.Fatalf("%s: section %d of bar %d does not stand beside its key: %v: the next is not its label", where(s), bar.Section, bar.Number, keys)
			case keys[n+1].y != keys[n].y:
				t.Fatalf("%s: section %d of bar %d does not stand beside its key: %v: they stand at different heights", where(s), bar.Section, bar.Number, keys)
			}
			keys = keys[n+1:]
		}
	})
}

func TestLawWordsDoNotMeet(t *testing.T) {
	law(t, func(t rapid.TB, s *System) {
		drawn := s.of(headMark, accidentalMark, stemMark, beamMark, restMark, tieMark, flagMark, numberMark, bracketMark, tempoMark, lineMark, clefMark)
		frames := s.of(frameMark)
		for n, a := range s.texts {
			for _, b := range s.texts[:n] {
				if a.box().meets(b.box()) {
					t.Fatalf("%s: %q meets %q", where(s), a.text, b.text)
				}
			}
			marks := drawn
			if a.style != sectionText { // which has its frame about it
				marks = append(drawn[:len(drawn):len(drawn)], frames...)
			}
			for _, b := range marks {
				if a.box().meets(b.box()) {
					t.Fatalf("%s: %q meets %+v", where(s), a.text, b)
				}
			}
			switch b := a.box(); {
			case b.left < -hair:
				t.Fatalf("%s: %q lies at %v, outside %v, %v: to the left", where(s), a.text, b, s.line, s.around)
			case b.right > s.line+hair:
				t.Fatalf("%s: %q lies at %v, outside %v, %v: to the right", where(s), a.text, b, s.line, s.around)
			case b.top < s.around.top:
				t.Fatalf("%s: %q lies at %v, outside %v, %v: above", where(s), a.text, b, s.line, s.around)
			case b.bottom > s.around.bottom:
				t.Fatalf("%s: %q lies at %v, outside %v, %v: below", where(s), a.text, b, s.line, s.around)
			}
		}
	})
}

func TestLawDotsStandInSpaces(t *testing.T) {
	law(t, func(t rapid.TB, s *System) {
		dots := s.of(dotMark)
		for n, d := range dots {
			if y := math.Abs(d.y - math.Floor(d.y) - 0.5); y > hair {
				t.Fatalf("%s: a dot at height %v", where(s), d.y)
			}
			for _, other := range append(dots[:n:n], s.of(headMark, flagMark, stemMark)...) {
				if d.box().meets(other.box()) {
					t.Fatalf("%s: %+v meets %+v", where(s), d, other)
				}
			}
		}
	})
}

// Every tie out of a note is drawn, and every tie from the system before.
func TestLawTies(t *testing.T) {
	law(t, func(t rapid.TB, s *System) {
		want := 0
		for n, c := range s.columns() {
			for _, note := range c.symbol.Notes {
				if note.TieOut {
					want++
				}
				if n == 0 && note.TieIn {
					want++
				}
			}
		}
		ties := s.of(tieMark)
		if len(ties) != want {
			t.Fatalf("%s: %d ties, want %d", where(s), len(ties), want)
		}
		for _, m := range ties {
			if m.x2-m.x < 0.5 {
				t.Fatalf("%s: a tie from %v to %v", where(s), m.x, m.x2)
			}
		}
	})
}

// A triplet has its number once; a bracket, which is four strokes, exactly
// where its notes are not all that a beam holds together.
func TestLawTriplets(t *testing.T) {
	law(t, func(t rapid.TB, s *System) {
		groups, brackets := 0, 0
		columns := s.columns()
		for n := 0; n < len(columns); n++ {
			from := n
			switch columns[n].symbol.Triplet {
			case notation.GroupBegins:
				for columns[n].symbol.Triplet != notation.GroupEnds {
					n++
				}
			default:
				continue
			}
			groups++
			for k := from; k <= n; k++ {
				want := notation.BeamGoesOn
				if k == from {
					want = notation.BeamBegins
				} else if k == n {
					want = notation.BeamEnds
				}
				if columns[k].symbol.Beams[0] != want {
					brackets++
					break
				}
			}
		}
		strokes := len(s.of(bracketMark))
		if first := &s.bars[0]; first.Opens {
			if base, _ := tempoValue(first.Meter.Counted()); base > 1 {
				strokes-- // the stem of the tempo's note
			}
		}
		if len(s.of(numberMark)) != groups || strokes != 4*brackets {
			t.Fatalf("%s: %d numbers and %d strokes for %d triplets, %d of them in brackets", where(s), len(s.of(numberMark)), strokes, groups, brackets)
		}
	})
}

// The distance that time asks for grows with it, but less than in proportion.
func TestLawSpacing(t *testing.T) {
	for l := figure.Length(1); l < 4*figure.Whole; l++ {
		a, b := naturalGap(l), naturalGap(2*l)
		if !(a < b && b < 2*a && naturalGap(l+1) > a) {
			t.Fatalf("%v: %v, and %v for twice as long", l, a, b)
		}
	}
	// In a system, of two gaps with room the longer note's is the wider.
	law(t, func(t rapid.TB, s *System) {
		if !s.flows {
			return // each column has its own
		}
		columns := s.columns()
		// The last of a bar has the barline after it.
		alone := func(c *column) bool { return c.symbol.Onset+c.symbol.Length == s.bars[0].Meter.Bar() }
		for n, a := range s.gaps[:len(s.gaps)-1] {
			for k, b := range s.gaps[:len(s.gaps)-1] {
				wide, wider := s.x[n+1]-s.x[n]-a.fixed, s.x[k+1]-s.x[k]-b.fixed
				if a.natural > 0 && a.natural < b.natural && wide > wider+hair && wide > a.least+hair && !alone(columns[n]) && !alone(columns[k]) {
					t.Fatalf("%s: a natural gap of %v is %v wide, one of %v is %v", where(s), a.natural, wide, b.natural, wider)
				}
			}
		}
	})
}

// Pages hold the systems in order, inside the margins and apart, and come out
// as documents that decode.
func TestLawPages(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := anyLayout(t)
		paper := l.options.Paper
		number, next := 1, 1
		for p := range l.Pages() {
			first, last := p.Bars()
			if p.Number() != number || first < next || first > next && !p.systems[0].Opens() {
				t.Fatalf("page %d begins with bar %d; want page %d, bar %d", p.Number(), first, number, next)
			}
			untold(t, l, next, first)
			number, next = number+1, last+1
			y := paper.Margin
			for n, s := range p.systems {
				switch {
				case p.tops[n] < y:
					t.Fatalf("page %d: system %d of height %v at %v, the one before ends at %v: over the one before", number, n, s.Height(), p.tops[n], y)
				case p.tops[n]+s.Height() > paper.Height-paper.Margin-footingHeight+hair:
					t.Fatalf("page %d: system %d of height %v at %v, the one before ends at %v: into the foot", number, n, s.Height(), p.tops[n], y)
				case s.Width() > paper.Width-2*paper.Margin+hair:
					t.Fatalf("page %d: system %d of height %v at %v, the one before ends at %v: it is too wide", number, n, s.Height(), p.tops[n], y)
				}
				y = p.tops[n] + s.Height()
			}
			wellFormed(t, p.WriteSVG)
		}
		want := l.score.Bars()
		if n := l.options.Bars; n > 0 {
			want = min(want, n)
		}
		untold(t, l, next, want+1)
	})
}

// A document decodes, holds only what draws, and refers to nothing.
func wellFormed(t rapid.TB, write func(io.Writer) error) {
	var b bytes.Buffer
	if err := write(&b); err != nil {
		t.Fatal(err)
	}
	text := b.String()
	if strings.Contains(text, "NaN") || strings.Contains(text, "Inf") {
		t.Fatalf("a number is none: %s", text)
	}
	d := xml.NewDecoder(&b)
	counts := map[string]int{}
	for {
		token, err := d.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatalf("%v in %s", err, text)
		}
		start, ok := token.(xml.StartElement)
		if !ok {
			continue
		}
		counts[start.Name.Local]++
		if !slices.Contains([]string{"svg", "title", "desc", "g", "path", "text"}, start.Name.Local) {
			t.Fatalf("an element %s", start.Name.Local)
		}
		for _, a := range start.Attr {
			if strings.HasPrefix(a.Name.Local, "on") || strings.Contains(a.Name.Local, "href") || strings.Contains(a.Value, "url(") {
				t.Fatalf("an attribute %s=%q", a.Name.Local, a.Value)
			}
		}
	}
	switch {
	case counts["svg"] != 1:
		t.Fatalf("elements: %v: not one svg", counts)
	case counts["title"] != 1:
		t.Fatalf("elements: %v: not one title", counts)
	case counts["desc"] != 1:
		t.Fatalf("elements: %v: not one desc", counts)
	}
}
