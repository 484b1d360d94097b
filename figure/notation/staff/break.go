package staff

import (
	"iter"
	"math"
	"slices"

	"example.com/keyorder/figure/notation"
)

// Bars are gathered into systems a drill at a time, or 256 bars where it is
// longer, so that the sum of what is bad about the systems is least: bars drawn
// apart or pressed together, and a break inside a section.

const batch = 256

// fullest is how far the bars of a last system are drawn apart to fill the
// line; if that does not do it, it stays short.
const fullest = 1.4

// How bad a break is inside a section, and before a bar of rest, which belongs
// to the bar before.
const (
	inSection  = 0.1
	beforeRest = 0.04
)

// spaced yields the systems with their columns in their places.
func (l *Layout) spaced() iter.Seq[*System] {
	return func(yield func(*System) bool) {
		if l.score == nil {
			return
		}
		var bars []measured
		previous := 0
		flush := func(all bool) bool {
			start := 0
			for ends := l.breaks(bars); len(ends) > 0; {
				if !all && len(ends) <= 2 {
					break // the last two may come out otherwise with the bars after them
				}
				s := l.space(bars[start:ends[0]:ends[0]], following(bars, ends[0]))
				again := false
				for n := ends[0] - 1; s.scale < 1 && n > start; n-- {
					// Labels take more room than the bars alone told.
					s, again = l.space(bars[start:n:n], &bars[n]), true
				}
				start += len(s.bars)
				ends = ends[1:]
				if again {
					ends = l.breaks(bars[start:])
					for n := range ends {
						ends[n] += start
					}
				}
				if !yield(s) {
					return false
				}
			}
			bars = append(make([]measured, 0, len(bars)-start+32), bars[start:]...)
			return true
		}
		n := 0
		for b := range l.score.PartBars(l.part) {
			if b.Opens && n > 0 && !flush(true) {
				return
			}
			bars = append(bars, l.ruler.bar(b, previous))
			previous = b.Signature
			if len(bars) >= batch && !flush(false) {
				return
			}
			if n++; n == l.options.Bars {
				break
			}
		}
		flush(true)
	}
}

// following returns the bar after the first n, or nil.
func following(bars []measured, n int) *measured {
	if n < len(bars) {
		return &bars[n]
	}
	return nil
}

// breaks returns after which bars the systems end.
func (l *Layout) breaks(bars []measured) []int {
	width := l.width()
	best := make([]float64, len(bars)+1) // of the bars before n
	from := make([]int, len(bars)+1)
	for end := 1; end <= len(bars); end++ {
		best[end] = math.Inf(1)
		natural := tail(following(bars, end))
		least := natural
		for start := end - 1; start >= 0; start-- {
			b := &bars[start]
			natural += b.natural
			least += b.least
			if start < end-1 && b.head+least > width {
				break
			}
			cost := best[start] + badness((width-b.head)/natural, end == len(bars))
			if end < len(bars) && bars[end-1].End == notation.BarlineSingle {
				cost += inSection
			}
			if end < len(bars) && bars[end].Symbols[0].FullBar {
				cost += beforeRest
			}
			if cost < best[end] {
				best[end], from[end] = cost, start
			}
			natural += b.change
			least += b.change
		}
	}
	var ends []int
	for n := len(bars); n > 0; n = from[n] {
		ends = append(ends, n)
	}
	slices.Reverse(ends)
	return ends
}

// badness says how bad it is to draw bars apart, or press them together, by a
// factor.
func badness(by float64, last bool) float64 {
	switch {
	case by > 1 && last:
		return 0
	case by < 1:
		return 5 * (1/by + by - 2)
	}
	return 1/by + by - 2
}

// tail returns the width of the signature that warns of a new one in the next
// system.
func tail(next *measured) float64 {
	if next != nil && next.NewSignature {
		return next.change + 0.3
	}
	return 0
}

// headWidth returns the width of clef, signature and meter before a bar where a
// system begins with it.
func (r *ruler) headWidth(b *notation.Bar) float64 {
	clef := r.shapes[r.clef.glyph].box
	w := 0.5 + clef.right - clef.left
	if b.Signature != 0 {
		w += 0.6 + r.signatureWidth(b.Signature, 0)
	}
	if b.Opens {
		w += 0.8 + r.meterWidth(b.Meter)
	}
	return w - 0.3
}
