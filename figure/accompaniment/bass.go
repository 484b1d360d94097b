package accompaniment

import (
	"slices"

	"example.com/keyorder/figure"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
)

// isSlash reports whether the chord has another bass than its root.
func (c *change) isSlash() bool { return c.chord.Bass() != c.chord.Root() }

// other returns the chord's own fifth in the bass, the one that is nearer to the
// middle of the register, or where there is none the bass note again.
func (c *change) other() pitch.Number {
	m := membersOf(c.chord)
	if c.isSlash() || m.fifth == 0 {
		return c.bass
	}
	up := c.bass + pitch.Number(m.fifth.Semitones())
	if off([]pitch.Number{up}, lowestBass, highestBass) <= off([]pitch.Number{up - 12}, lowestBass, highestBass) {
		return up
	}
	return up - 12
}

func (a *Accompaniment) appendRoots(dst []Note, c *change, from, to figure.Length) []Note {
	at, key, other := from, c.bass, c.other()
	for next := range a.places(a.halves, from+1, to) {
		dst = append(dst, Note{at, next - at, LayerBass, key})
		at, key, other = next, other, key
	}
	return append(dst, Note{at, to - at, LayerBass, key})
}

// appendWalk appends a walking bass to a bass note that follows, or to none.
func (a *Accompaniment) appendWalk(dst []Note, c *change, from, to figure.Length, follows pitch.Number) []Note {
	for from < to {
		end := min((from/a.bar+1)*a.bar, to)
		next := follows
		if end < to {
			next = c.bass
		}
		dst = a.walkBar(dst, c, from, end, next)
		from = end
	}
	return dst
}

// walkBar appends a walking bass within a bar.
func (a *Accompaniment) walkBar(dst []Note, c *change, from, to figure.Length, next pitch.Number) []Note {
	times := append([]figure.Length{from}, slices.Collect(a.places(a.beats, from+1, to))...)
	tones := c.tones(next)
	key := c.bass
	for n, at := range times {
		end := to
		last := n+1 == len(times)
		if !last {
			end = times[n+1]
		}
		switch {
		case n == 0 || c.isSlash():
		case last && next != none && !a.isStrong(at):
			key = step(key, next)
		default:
			key = tones[(n-1)%len(tones)]
		}
		dst = append(dst, Note{at, end - at, LayerBass, key})
	}
	return dst
}

// isStrong reports whether a time is the first beat of a bar, or of each two where
// the bar has an even number of them.
func (a *Accompaniment) isStrong(at figure.Length) bool {
	n := slices.Index(a.beats, at%a.bar)
	if len(a.beats)%2 == 0 {
		return n%2 == 0 // −1 is no beat
	}
	return n == 0
}

// tones returns the chord's third and fifth from the root on towards what comes
// next, as far as the register has room.
func (c *change) tones(next pitch.Number) []pitch.Number {
	m := membersOf(c.chord)
	var out []pitch.Number
	for _, i := range []interval.Interval{m.third, m.fifth} {
		if i != 0 {
			out = append(out, c.bass+pitch.Number(i.Semitones()))
		}
	}
	if len(out) == 0 {
		return []pitch.Number{c.bass}
	}
	top := out[len(out)-1]
	if top > highestBass || next != none && next < c.bass && out[0]-12 >= lowestBass {
		for n := range out {
			out[n] -= 12
		}
		slices.Reverse(out)
	}
	return out
}

// step returns a note a half or a whole step from a bass note that comes next, the
// nearest to the one before and not the same.
func step(before, next pitch.Number) pitch.Number {
	best, least := next-1, 128
	for _, key := range []pitch.Number{next - 1, next + 1, next - 2, next + 2} {
		if way := int(max(key-before, before-key)); key >= lowestBass && key <= highestBass && way > 0 && way < least {
			best, least = key, way
		}
	}
	return best
}
