package accompaniment

import (
	"cmp"

	"example.com/keyorder/figure"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/spelling"
	"example.com/keyorder/spelling/chord"
)

// dominant is the quality of a dominant seventh chord, as a Set has its bits: one
// for each fifth up from the root.
const dominant = interval.Root | interval.Root<<1 | interval.Root<<4 | interval.Root>>2

// none is no bass note.
const none pitch.Number = -1

// beside returns the colour that a scale adds to a chord: the ninth, or over a major
// third where it has none that fits the thirteenth. On a dominant chord they may lie
// a half step above a note of the chord, on others not. The scale is that of the
// statement, where it holds the chord by its sound, and else the one that usage sets
// beside the chord. Nothing is added to a triad, to a diminished seventh chord and to
// one whose symbol has a colour. Common practice, no source.
func beside(c chord.Chord, tonic spelling.Name, s figure.Scale) interval.Set {
	q := c.Quality()
	scale := s.Set().PitchSet().T(int(tonic.Class()))
	notes := q.PitchSet().T(int(c.Root().Class()))
	m := membersOf(c)
	if m.seventh == 0 || m.isDiminished() || len(m.colours) > 0 {
		return 0
	}
	if scale.Intersection(notes) != notes {
		usual, ok := figure.UsualScale(q)
		if !ok {
			return 0
		}
		scale = usual.Set().PitchSet().T(int(c.Root().Class()))
	}
	has := func(i interval.Interval) bool {
		return scale.Has(c.Root().Up(i).Class()) && !notes.Has(c.Root().Up(i).Class())
	}
	forms := []interval.Interval{interval.MajorSecond}
	switch isMajor := q.Has(interval.MajorThird); {
	case isMajor && q.Has(interval.MinorSeventh):
		forms = append(forms, interval.MinorSecond, interval.MajorSixth, interval.MinorSixth)
	case isMajor:
		forms = append(forms, interval.MajorSixth)
	}
	for _, i := range forms {
		if has(i) {
			set, _ := interval.Set(0).With(i)
			return set
		}
	}
	return 0
}

// members are the notes of a chord by what they do in it.
type members struct {
	third, fifth, seventh interval.Interval // or the second or fourth, and the sixth, in their place; 0 where there is none
	colours               []interval.Interval
}

func (m *members) isDiminished() bool { return m.seventh == interval.DiminishedSeventh }

func membersOf(c chord.Chord) (m members) {
	for i := range c.Members() {
		switch i.Number() {
		case 2, 3, 4:
			m.third = i
		case 5:
			m.fifth = i
		case 6, 7:
			m.seventh = i
		case 9, 13:
			m.colours = append(m.colours, i)
		}
	}
	return m
}

// classes returns the pitch classes of a voicing: third and seventh, a fifth that
// is not perfect, and the colours. A chord without a seventh or a sixth has its root
// for that, and where something is missing its perfect fifth too.
func (c *change) classes() pitch.Set {
	m := membersOf(c.chord)
	var set pitch.Set
	add := func(i interval.Interval) {
		set = set.Union(pitch.SetOf(c.chord.Root().Up(i).Class()))
	}
	if m.third != 0 {
		add(m.third)
	}
	if m.seventh != 0 {
		add(m.seventh)
	} else {
		add(interval.PerfectUnison)
	}
	if m.fifth != 0 && (m.third == 0 || m.seventh == 0 || m.fifth != interval.PerfectFifth) {
		add(m.fifth)
	}
	for _, i := range m.colours {
		add(i)
	}
	for i := range c.colour.Intervals() {
		add(i)
	}
	return set
}

// inOctave returns the note of a class within an octave upward from a key.
func inOctave(c pitch.Class, from pitch.Number) pitch.Number {
	return from + pitch.Number((int(c)-int(from.Class())+12)%12)
}

// candidates returns the voicings of some classes in close position that lie in a
// register: from each of the notes, the others above it within an octave. Where it
// can be, there is no half step at the bottom or at the top.
func candidates(classes pitch.Set, low, high pitch.Number) (out [][]pitch.Number) {
	var rough [][]pitch.Number
	for bottom := low; bottom <= high; bottom++ {
		if !classes.Has(bottom.Class()) {
			continue
		}
		v := []pitch.Number{}
		for key := bottom; key < bottom+12; key++ {
			if classes.Has(key.Class()) {
				v = append(v, key)
			}
		}
		switch n := len(v); {
		case v[n-1] > high:
		case n > 1 && (v[1]-v[0] == 1 || v[n-1]-v[n-2] == 1):
			rough = append(rough, v)
		default:
			out = append(out, v)
		}
	}
	if len(out) == 0 {
		return rough
	}
	return out
}

// movement returns how far two voicings are from each other: each note to the
// nearest of the other, both ways, in semitones.
func movement(v, w []pitch.Number) (sum int) {
	for _, side := range [2][2][]pitch.Number{{v, w}, {w, v}} {
		for _, a := range side[0] {
			nearest := 127
			for _, b := range side[1] {
				nearest = min(nearest, int(max(a-b, b-a)))
			}
			sum += nearest
		}
	}
	return sum
}

// A cost is the movement of a path and then how far it lies from the middle of
// its register, twice the semitones.
type cost struct{ movement, off int }

func (a cost) compare(b cost) int {
	return cmp.Or(cmp.Compare(a.movement, b.movement), cmp.Compare(a.off, b.off))
}

// off returns how far a voicing lies from the middle of a register.
func off(v []pitch.Number, low, high pitch.Number) (sum int) {
	for _, key := range v {
		sum += int(max(2*key-low-high, low+high-2*key))
	}
	return sum
}

// path returns the place of one candidate of each list, so that from the first to
// the last of them the movement is least, of such paths one that keeps to the middle
// of the register, and of these one that begins low.
func path(lists [][][]pitch.Number, low, high pitch.Number) []int {
	if len(lists) == 0 {
		return nil
	}
	// From the end: what is still to come after each candidate, and the next one.
	next := make([][]int8, len(lists))
	var ahead []cost
	for k := len(lists) - 1; k >= 0; k-- {
		here := make([]cost, len(lists[k]))
		next[k] = make([]int8, len(lists[k]))
		for n, v := range lists[k] {
			best := cost{}
			for m := range ahead {
				c := cost{ahead[m].movement + movement(v, lists[k+1][m]), ahead[m].off}
				if m == 0 || c.compare(best) < 0 {
					best, next[k][n] = c, int8(m)
				}
			}
			here[n] = cost{best.movement, best.off + off(v, low, high)}
		}
		ahead = here
	}
	out := make([]int, len(lists))
	for n := range ahead {
		if ahead[n].compare(ahead[out[0]]) < 0 {
			out[0] = n
		}
	}
	for k := 1; k < len(out); k++ {
		out[k] = int(next[k-1][out[k-1]])
	}
	return out
}

// place chooses the voicings and the bass notes of all changes.
func (a *Accompaniment) place(low bool) {
	// The changes as they come: what leads to a statement comes before it.
	var order []*change
	for n := range a.statements {
		s := &a.statements[n]
		if s.lead > 0 {
			order = append(order, &a.changes[s.lead])
		}
		for k := s.first; k < s.end; k++ {
			order = append(order, &a.changes[k])
		}
	}
	from := lowestChord
	if low {
		from = overALowPart
	}
	known := map[pitch.Set][][]pitch.Number{}
	voicings := make([][][]pitch.Number, len(order))
	basses := make([][][]pitch.Number, len(order))
	for k, c := range order {
		classes := c.classes()
		if known[classes] == nil {
			known[classes] = candidates(classes, from, highestChord)
		}
		voicings[k] = known[classes]
		basses[k] = candidates(pitch.SetOf(c.chord.Bass().Class()), lowestBass, highestBass)
	}
	for k, n := range path(voicings, from, highestChord) {
		order[k].voicing = voicings[k][n]
	}
	for k, n := range path(basses, lowestBass, highestBass) {
		order[k].bass = basses[k][n][0]
	}
}
