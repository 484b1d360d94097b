package staff

import (
	"iter"
	"math"
	"slices"

	"example.com/keyorder/figure/notation"
)

// Bars are laid out a section at a time, which begins a system: a block of
// systems that is seen as one. What a system holds whole is a cell: a statement
// with the rest after it, or several that no barline parts. Where the cells of a
// block have the same bars they stand in columns, and the return stands last.
// Otherwise they flow from system to system, and only what is longer than a
// system is broken.

// batch is how many bars of a section are laid out at a time, so that a long one
// takes no more memory than a short one.
const batch = 512

// fullest is how far bars are drawn apart to fill the line; if that does not do
// it, it stays short.
const fullest = 1.4

// spaced yields the systems with their columns in their places.
func (l *Layout) spaced() iter.Seq[*System] {
	return func(yield func(*System) bool) {
		if l.score == nil {
			return
		}
		var bars []measured
		var room stock
		var m measured
		previous, n := make([]int, max(len(l.parts), 1)), 0
		// flush lays out what there is. Before the end of a section the last two
		// systems wait, which may come out otherwise with the bars after them.
		flush := func(next *measured, ends bool) bool {
			done := 0
			systems := l.block(bars, next)
			if !ends {
				systems = systems[:max(len(systems)-2, 1)]
			}
			for _, s := range systems {
				done += len(s.bars)
				if !yield(s) {
					return false
				}
			}
			bars = bars[done:] // the systems keep theirs
			return true
		}
		for row := range l.rows() {
			b := sounding(row)
			if n++; l.options.Bars > 0 && n > l.options.Bars {
				break
			}
			if last := len(bars) - 1; last >= 0 && b.Rests() && bars[last].Rests() && bars[last].End == notation.BarlineSingle {
				bars[last].End = b.End
				bars[last].count++
				bars[last].columns[0].marks = nil
				bars[last].space(l.ruler.near)
				continue
			}
			m = l.measure(b, row, previous, &room)
			for n := range row {
				previous[n] = row[n].Signature
			}
			if last := len(bars) - 1; last >= 0 {
				switch end := bars[last].End; {
				case b.Opens:
					bars = untrailed(bars, l.ruler.near)
					if !flush(nil, true) {
						return
					}
				case end != notation.BarlineSingle || len(bars) >= batch:
					next := m
					if !flush(&next, end != notation.BarlineSingle) {
						return
					}
				}
			}
			if len(bars) == cap(bars) {
				bars = append(make([]measured, 0, len(bars)+64), bars...)
			}
			bars = append(bars, m)
		}
		if last := len(bars) - 1; last >= 0 {
			if bars[last].End == notation.BarlineFinal {
				bars = untrailed(bars, l.ruler.near)
			}
			flush(nil, true)
		}
	}
}

// untrailed returns the bars of the end of a drill without the rests after all.
func untrailed(bars []measured, near float64) []measured {
	last := len(bars) - 1
	if last == 0 || !bars[last].Rests() {
		return bars
	}
	bars = bars[:last]
	bars[last-1].End = notation.BarlineFinal
	bars[last-1].space(near)
	return bars
}

// A cell is a run of bars that a system holds whole, with its width as it is
// best and the least.
type cell struct {
	from, to       int
	natural, least float64
}

// block lays the bars of a section out as systems. The bar after it is next.
func (l *Layout) block(bars []measured, next *measured) []*System {
	cells := cellsOf(bars)
	if lines, ok := l.columns(bars, cells, next); ok {
		systems := make([]*System, 0, len(lines))
		at := 0
		for n, line := range lines {
			from := at
			for _, r := range line {
				at += r.bars
			}
			after := next
			if n+1 < len(lines) {
				after = &bars[at]
			}
			systems = append(systems, l.space(bars[from:at:at], after, line...))
		}
		bound(systems)
		return systems
	}
	byFours(bars)
	var systems []*System
	from := 0
	for _, to := range l.flow(bars, next) {
		systems = append(systems, l.space(bars[from:to:to], following(bars, to, next), run{bars: to - from, ends: to == len(bars)}))
		from = to
	}
	bound(systems)
	return systems
}

// bound notes where a block begins and ends.
func bound(systems []*System) {
	systems[0].begins, systems[len(systems)-1].ends = true, true
}

// following returns the bar after the first n, which after the last is next.
func following(bars []measured, n int, next *measured) *measured {
	if n < len(bars) {
		return &bars[n]
	}
	return next
}

// cellsOf cuts bars into cells.
func cellsOf(bars []measured) []cell {
	cells := make([]cell, 0, len(bars))
	for n := range bars {
		if n == 0 || bars[n].Seam == notation.SeamStatements {
			cells = append(cells, cell{from: n})
		}
		cells[len(cells)-1].to = n + 1
	}
	return cells
}

// alike reports whether two runs of bars have the same symbols in the same
// places, whatever their notes and however many bars a rest is.
func alike(a, b []measured) bool {
	return slices.EqualFunc(a, b, func(a, b measured) bool {
		return a.Rests() && b.Rests() || slices.EqualFunc(a.Symbols, b.Symbols, func(a, b notation.Symbol) bool {
			return a.Length == b.Length && len(a.Notes) == len(b.Notes) && a.FullBar == b.FullBar
		})
	})
}

// is reports whether a cell begins with a label of a kind.
func (c cell) is(bars []measured, k notation.LabelKind) bool {
	return slices.ContainsFunc(bars[c.from].Labels, func(l notation.Label) bool { return l.Kind == k })
}

// returns reports whether the first statement that begins in a bar is the return.
func (m *measured) returns() bool {
	return len(m.Labels) > 0 && m.Labels[0].Kind == notation.LabelKindReturn
}

// columns lays the cells of a block out in columns, if all have the same bars
// but one that the part leaves out and a return at the end. A rest before the
// return that the other cells have no room for, in which their pickups lie, stands
// with the return. It returns the runs of each system.
func (l *Layout) columns(bars []measured, cells []cell, next *measured) ([][]run, bool) {
	pattern := slices.IndexFunc(cells, func(c cell) bool { return !c.is(bars, notation.LabelKindRest) })
	if pattern < 0 {
		return nil, false
	}
	same := bars[cells[pattern].from:cells[pattern].to]
	in := cells // the columns
	if last := cells[len(cells)-1]; last.is(bars, notation.LabelKindReturn) && !alike(same, bars[last.from:last.to]) {
		in = cells[:len(cells)-1]
		for c := len(in) - 1; c >= 0 && in[c].to-in[c].from > len(same) && bars[in[c].to-1].Rests(); {
			in[c].to--
			cells[c+1].from--
		}
	}
	if len(in) < 2 {
		return nil, false
	}
	if !slices.ContainsFunc(same, func(m measured) bool { return !m.Rests() }) {
		return nil, false
	}
	for _, c := range in {
		if !c.is(bars, notation.LabelKindRest) && !alike(same, bars[c.from:c.to]) {
			return nil, false
		}
	}
	l.level(bars, cells, in, same)

	head, join, warns, natural, least := 0.0, 0.0, warning(next), 0.0, 0.0
	for n, c := range in {
		b := &bars[c.from]
		head, join, warns = max(head, b.head), max(join, b.join()), max(warns, warning(b))
		natural, least = natural+c.natural/float64(len(in)), max(least, c.least)
		if n == 0 && b.Opens && !l.ruler.bare {
			s := System{swing: l.score.Options().Swing}
			w := s.tempoWord(b)
			least = max(least, w.x+w.width-b.head)
		}
	}
	least += join + warns // a new clef or signature comes before it, and may come after it
	back := cell{}
	if len(in) < len(cells) {
		back = cells[len(in)]
		room := bars[back.from].join() + warning(next)
		back.natural, back.least = back.natural+room, back.least+room
	}
	rows, width, backWidth, ok := arrange(l.width()-head, len(in), cell{natural: natural + join + warns, least: least}, back)
	if !ok {
		return nil, false
	}
	lines := make([][]run, len(rows))
	runs := make([]run, 0, len(cells)+len(rows))
	at := 0
	for n, row := range rows {
		first := len(runs)
		for k := range row {
			r := run{bars: in[at].to - in[at].from, width: width}
			if k == 0 {
				r.width += head - bars[in[at].from].head // so that all columns end in line
			}
			runs = append(runs, r)
			at++
		}
		if n+1 == len(rows) && back.to > 0 {
			runs = append(runs, run{bars: back.to - back.from, width: backWidth})
		}
		lines[n] = runs[first:len(runs):len(runs)]
	}
	return lines, true
}

// level gives the same room to the same places of cells that are alike, and
// adds up what room all cells need.
func (l *Layout) level(bars []measured, cells, in []cell, same []measured) {
	total := 0
	for n := range bars {
		total += len(bars[n].gaps)
	}
	all := make([]gap, 0, total)
	for n := range cells {
		c := &cells[n]
		from := len(all)
		for b := c.from; b < c.to; b++ {
			at := len(all)
			all = append(all, bars[b].gaps...)
			bars[b].gaps = all[at:len(all):len(all)]
		}
		spread(all[from:], bars[c.from:c.to])
	}
	for k := range same {
		lead := 0.0
		room := make([]float64, len(same[k].gaps))
		each := func(do func(b *measured)) {
			for _, c := range in {
				if c.to-c.from == len(same) && len(bars[c.from+k].gaps) == len(room) && !c.is(bars, notation.LabelKindRest) && !bars[c.from+k].Rests() {
					do(&bars[c.from+k])
				}
			}
		}
		each(func(b *measured) {
			lead = max(lead, b.lead)
			for n, g := range b.gaps {
				room[n] = max(room[n], g.least)
			}
		})
		each(func(b *measured) {
			b.lead = lead
			for n := range b.gaps {
				b.gaps[n].least = room[n]
			}
		})
	}
	for n := range cells {
		c := &cells[n]
		c.natural, c.least = 0, 0
		for b := c.from; b < c.to; b++ {
			bars[b].sum()
			join := 0.0
			if b > c.from {
				join = bars[b].join()
			}
			c.natural += bars[b].natural + join
			c.least += bars[b].least + join
		}
	}
}

// arrange puts cells that are alike into rows of columns, and after the last row
// what comes back, if it has a width. All columns are equally wide, so that the
// room is filled by the widest row unless that draws the cells too far apart.
// The rows are those that are least bad. It returns the number of cells in each
// row, the width of a column and that of what comes back.
func arrange(room float64, cells int, each, back cell) (rows []int, width, backWidth float64, ok bool) {
	best := math.Inf(1)
	var found grid
	ways := make([][2]way, cells+1)
	for columns := 1; columns <= cells; columns++ {
		if each.least*float64(columns) > room {
			break
		}
		for _, beside := range [2]bool{true, false} { // whether room is left for what comes back
			g := gridOf(room, columns, each, back, beside)
			if g.width < each.least-tiny {
				continue
			}
			if cost := g.try(ways); cost < best {
				best, found = cost, g
			}
		}
	}
	if math.IsInf(best, 1) {
		return nil, 0, 0, false
	}
	return found.rows(ways), found.width, found.back, true
}

// A grid is a number of columns that fill a room.
type grid struct {
	columns           int
	room, width, back float64
	natural           float64
}

func gridOf(room float64, columns int, each, back cell, beside bool) grid {
	g := grid{columns: columns, room: room, natural: each.natural}
	left := room
	if beside {
		left -= back.natural
	}
	g.width = min(left/float64(columns), each.natural*fullest)
	if back.natural > 0 {
		g.back = max(back.least, back.natural*min(g.width/each.natural, 1))
	}
	return g
}

// How bad it is that a row is not full, for the part of it that is empty: the
// last row, where what comes back stands, and another; and that a row of three
// columns or more has one cell only.
const (
	emptyLast  = 0.1
	emptyOther = 0.4
	orphan     = 1.0
	another    = 0.08 // that there is another row
)

// row returns how bad a row of so many cells is, infinitely so if what comes
// back has no room after it.
func (g grid) row(cells int, last bool) float64 {
	empty := 1 - float64(cells)/float64(g.columns)
	cost := another + badness(g.width/g.natural, false)
	if last {
		if g.width*float64(cells)+g.back > g.room+tiny {
			return math.Inf(1)
		}
		cost += emptyLast * empty
	} else {
		cost += emptyOther * empty
	}
	if cells == 1 && g.columns > 2 {
		cost += orphan
	}
	return cost
}

// A way is how bad the best rows are up to a cell, how many cells the last of them
// has, and whether one before it is full.
type way struct {
	cost float64
	last int
	full bool
}

// try finds the best rows for a number of cells, of which one at least is full,
// and returns how bad they are. The ways are up to each cell, with no full row
// and with one.
func (g grid) try(ways [][2]way) float64 {
	cells := len(ways) - 1
	for n := range ways {
		ways[n] = [2]way{{cost: math.Inf(1)}, {cost: math.Inf(1)}}
	}
	ways[0][0].cost = 0
	for n := 1; n <= cells; n++ {
		for k := 1; k <= min(g.columns, n); k++ { // of rows as bad the fuller come first
			row := g.row(k, n == cells)
			for was, before := range ways[n-k] {
				to := was
				if k == g.columns {
					to = 1
				}
				if c := before.cost + row; c < ways[n][to].cost-tiny {
					ways[n][to] = way{c, k, was == 1}
				}
			}
		}
	}
	return ways[cells][1].cost
}

// rows returns the best rows.
func (g grid) rows(ways [][2]way) []int {
	g.try(ways)
	n := len(ways) - 1
	var rows []int
	for w := ways[n][1]; n > 0; {
		rows = append(rows, w.last)
		if n -= w.last; w.full {
			w = ways[n][1]
		} else {
			w = ways[n][0]
		}
	}
	slices.Reverse(rows)
	return rows
}

// How bad a break is, by what it parts; that a system goes on beyond the end of
// a statement that it began in the middle of; that one holds rests alone; that the
// last of a block holds the return alone, or little. What is worse than how bars are
// drawn apart is so by far: no statement is broken to put a rest elsewhere.
var seams = [...]float64{notation.SeamStatements: 0, notation.SeamRest: 80, notation.SeamPickup: 600, notation.SeamStatement: 1500}

const (
	mixed  = 1800
	silent = 150
	lone   = 30
	little = 0.5
	phrase = 600 // of a break between the lines of a statement
	crowd  = 750 // and that a system holds two of them, if not all
)

// flow returns after which bars the systems end, so that the sum of what is bad
// about them is least.
func (l *Layout) flow(bars []measured, next *measured) []int {
	best := make([]float64, len(bars)+1) // of the bars before n
	from := make([]int, len(bars)+1)
	var room []gap
	for end := 1; end <= len(bars); end++ {
		best[end] = math.Inf(1)
		least := 0.0
		for start := end - 1; start >= 0; start-- {
			if least += bars[start].least; least > l.width() && start < end-1 {
				break
			}
			cost, fits := l.system(bars, start, end, next, &room)
			if !fits && start < end-1 {
				continue
			}
			if cost += best[start]; cost < best[end] {
				best[end], from[end] = cost, start
			}
		}
	}
	var ends []int
	for n := len(bars); n > 0; n = from[n] {
		ends = append(ends, n)
	}
	slices.Reverse(ends)
	return ends
}

// system says how bad a system of the bars from start to before end is, and
// whether they fit. The bars go on with next. The gaps are there to be used again.
func (l *Layout) system(bars []measured, start, end int, next *measured, gaps *[]gap) (cost float64, fits bool) {
	first := start
	natural, least := 0.0, 0.0
	starts := false // a statement begins after the first bar
	lines := false  // a line of a statement begins there
	silence := true
	for n := start; n < end; n++ {
		b := &bars[n]
		natural, least = natural+b.natural, least+b.least
		silence = silence && b.Rests()
		if n > start {
			natural, least = natural+b.join(), least+b.join()
			starts = starts || b.Seam == notation.SeamStatements
			lines = lines || b.line && b.Seam == notation.SeamStatement
		}
	}
	after := following(bars, end, next)
	room := l.width() - bars[start].head - warning(after)
	last := end == len(bars)
	cost = badness(room/natural, last)
	if start > 0 {
		seam := bars[start].Seam
		if seam == notation.SeamRest && !bars[start].Rests() {
			seam = notation.SeamStatement // a chord is its last
		}
		if seam == notation.SeamStatement && bars[start].line {
			cost += phrase
		} else {
			cost += seams[seam]
		}
		if starts && seam > notation.SeamRest {
			cost += mixed
		}
		if last && natural < room/4 {
			cost += little
		}
		if last && !starts && bars[start].returns() {
			cost += lone
		}
		if silence {
			cost += silent
		}
	}
	if bars[start].Rests() && start+1 < end {
		start++
	}
	whole := (first == 0 || bars[start].Seam == notation.SeamStatements) && (after == nil || after.Seam != notation.SeamStatement)
	if lines && bars[start].line && !whole {
		cost += crowd
	}
	if start = first; least <= room+tiny && end > start+1 { // the words of several bars may need more
		*gaps = (*gaps)[:0]
		least = 0
		for n := start; n < end; n++ {
			*gaps = append(*gaps, bars[n].gaps...)
			if least += bars[n].lead; n > start {
				least += bars[n].join()
			}
		}
		l.write(*gaps, bars[start:end])
		for _, g := range *gaps {
			least += g.least + g.fixed
		}
	}
	return cost, least <= room+tiny
}

// write gives the words over a system of bars that flow the room they need.
func (l *Layout) write(gaps []gap, bars []measured) {
	spread(gaps, bars)
	if bars[0].Opens && !l.ruler.bare {
		s := System{swing: l.score.Options().Swing}
		w := s.tempoWord(&bars[0])
		widen(gaps, 0, len(gaps), w.x+w.width-bars[0].head-bars[0].lead)
	}
}

// byFours finds the statements that so many bars as four divides make, up to the
// last that is no rest, and notes where each has its lines: a chorus of twelve bars
// has three of four (common practice, no source).
func byFours(bars []measured) {
	for _, c := range cellsOf(bars) {
		to := c.to
		for to > c.from+1 && bars[to-1].Rests() {
			to--
		}
		for n := c.from; (to-c.from)%4 == 0 && n < to; n += 4 {
			bars[n].line = true
		}
	}
}

// farthestApart is how bad it is at most to draw bars apart.
const farthestApart = 15

// badness says how bad it is to draw bars apart, or press them together, by a
// factor.
func badness(by float64, last bool) float64 {
	switch {
	case by > 1 && last:
		return 0
	case by < 1:
		return 5 * (1/by + by - 2)
	}
	return min(1/by+by-2, farthestApart)
}

// warning returns the width of what warns, at the end of a system, of a new clef
// and a new signature in the next.
func warning(next *measured) float64 {
	if next == nil {
		return 0
	}
	return next.turn + signatureWarning(next)
}

// signatureWarning returns the part of it that the signature takes.
func signatureWarning(next *measured) float64 {
	if next != nil && next.change > 0 {
		return next.change + 0.3
	}
	return 0
}

// braceWidth is how far the lines of a grand staff stand from its brace's point.
const braceWidth = 1.4

// headWidth returns the width of clef, signature and meter before a bar where a
// system begins with it.
func (r *ruler) headWidth(b *notation.Bar) float64 {
	glyphs := [2]glyph{r.clef.glyph, r.clef.glyph}
	w := 0.5
	if r.staves > 1 {
		glyphs = [2]glyph{trebleClef, bassClef}
		w += braceWidth
	}
	w += max(r.clefWidth(glyphs[0]), r.clefWidth(glyphs[1]))
	if b.Signature != 0 {
		w += 0.6 + r.signatureWidth(b.Signature, 0)
	}
	if b.Opens {
		w += 0.8 + r.meterWidth(b.Meter)
	}
	return w - 0.3
}

func (r *ruler) clefWidth(g glyph) float64 { return r.shapes[g].box.right - r.shapes[g].box.left }
