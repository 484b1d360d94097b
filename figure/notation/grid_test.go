package notation

import (
	"slices"
	"testing"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
)

// Sixths returns how long a value lasts, in sixth parts of a figure.Length.
func Sixths(v Value) int {
	n := 6 * 192 / int(v.Base)
	if v.Dots == 1 {
		n = n * 3 / 2
	}
	if v.Triplet {
		n = n * 2 / 3
	}
	return n
}

// BeatOf returns which beat of beams a place lies in: a beat, or a quarter of
// one that has several; quarters too if the beats are single eighths or less,
// but a bar if it has no two of those.
func BeatOf(m drill.Meter, at figure.Length) int {
	unit := figure.Whole / figure.Length(m.Unit())
	singles := unit < figure.Quarter && m.Beats() == m.Number()
	if singles && m.Bar() < figure.Half {
		return 0
	}
	if singles {
		return int(at / figure.Quarter)
	}
	begins, beat := figure.Length(0), 0
	for begins+m.Beat(beat) <= at {
		begins += m.Beat(beat)
		beat++
	}
	if m.Beat(beat)%figure.Quarter == 0 {
		return 100*beat + int((at-begins)/figure.Quarter)
	}
	return 100 * beat
}

// TestLawAValueLastsWhatItIsAskedFor: and what no value lasts has none.
func TestLawAValueLastsWhatItIsAskedFor(t *testing.T) {
	lasts := map[int]Value{}
	for base := 1; base <= 128; base *= 2 {
		for dots := range uint8(2) {
			v := Value{Base: uint8(base), Dots: dots}
			lasts[Sixths(v)] = v
		}
	}
	for halves := range 1200 {
		want, is := lasts[3*halves]
		if v, ok := valueOf(halves); v != want || ok != is {
			t.Errorf("%d halves last as long as %v, %v; want %v", halves, v, ok, want)
		}
	}
}

// TestLawTripletsAreCutAtTheirThirds takes every stretch of every triplet. What is
// no single value is cut at the thirds of the triplet: at the next one if it
// begins between two, at the last one inside if it begins on one. What lies
// between two thirds is cut by the largest undotted value, and a rest is never
// dotted.
func TestLawTripletsAreCutAtTheirThirds(t *testing.T) {
	one := func(length figure.Length, rest bool) bool { // in a triplet a 128th lasts 1
		for undotted := figure.Length(1); undotted <= 128; undotted *= 2 {
			if length == undotted || !rest && 2*length == 3*undotted && undotted > 1 {
				return true
			}
		}
		return false
	}
	var cut func(from, to, third figure.Length, rest bool) []figure.Length // from the beginning of the triplet
	cut = func(from, to, third figure.Length, rest bool) []figure.Length {
		if one(to-from, rest) {
			return []figure.Length{to - from}
		}
		at := (from/third + 1) * third
		for from%third == 0 && at+third < to {
			at += third
		}
		if at >= to {
			at = from + 1
			for from+2*(at-from) < to {
				at = from + 2*(at-from)
			}
		}
		return append(cut(from, at, third, rest), cut(at, to, third, rest)...)
	}
	for size := figure.Length(step); size <= figure.Whole; size *= 2 {
		for _, begin := range []figure.Length{0, step, 5 * step, size, 36} {
			s := span{begin, begin + size}
			for from := range size {
				for to := from + 1; to <= size; to++ {
					for _, notes := range [][]Note{nil, {{}}} {
						out := s.values(piece{from: begin + from, to: begin + to, notes: notes}, nil)
						want := cut(from, to, size/3, notes == nil)
						at := s.from + from
						for n, p := range out {
							if len(out) != len(want) || p.from != at || p.to-p.from != want[n] || Sixths(p.value) != 6*int(want[n]) || !p.value.Triplet {
								t.Fatalf("%v to %v of a triplet from %v to %v is %+v, want %v", from, to, s.from, s.to, out, want)
							}
							if len(notes) > 0 && (p.notes[0].TieIn != (n > 0) || p.notes[0].TieOut != (n+1 < len(out))) {
								t.Fatalf("%v to %v of a triplet from %v to %v is not tied: %+v", from, to, s.from, s.to, out)
							}
							at = p.to
						}
						if at != s.from+to {
							t.Fatalf("%v to %v of a triplet from %v to %v ends at %v", from, to, s.from, s.to, at)
						}
					}
				}
			}
		}
	}
}

// TestLawSixPlacesOfAQuarter: of all that can begin on the sixths of a quarter,
// what begins in its middle makes two triplets of it, but for the second of three
// parts that is cut there, as long as not all six places are used.
func TestLawSixPlacesOfAQuarter(t *testing.T) {
	for used := range 32 { // places 1 to 5
		pieces, last := []piece{}, figure.Length(0)
		is := func(sixth int) bool { return sixth == 0 || used>>(sixth-1)&1 == 1 }
		for sixth := 1; sixth <= 6; sixth++ {
			if at := figure.Length(8 * sixth); sixth == 6 || is(sixth) {
				pieces = append(pieces, piece{from: 96 + last, to: 96 + at, notes: []Note{{}}})
				last = at
			}
		}
		want := is(3) && !(is(2) && is(4) && used != 31)
		if got := (span{96, 144}).halves(pieces); got != want {
			t.Errorf("places %05b: two triplets %v", used, got)
		}
		thirds := !is(1) && !is(3) && !is(5)
		if got := (span{96, 144}).divides(pieces); got != thirds {
			t.Errorf("places %05b: all on thirds %v", used, got)
		}
	}
	for _, begin := range []figure.Length{0, step, 5 * step} {
		s := span{begin, begin + 12} // thirds of 4
		for at := range figure.Length(12) {
			pieces := []piece{{from: begin, to: begin + at, notes: []Note{{}}}, {from: begin + at, to: begin + 12, notes: []Note{{}}}}
			if got := s.divides(pieces); got != (at%4 == 0) {
				t.Errorf("cut after %v from %v: divides by three %v", at, begin, got)
			}
		}
	}
}

// TestLawOnlyBarsOfFourHaveAMiddle: two beats of a bar of four are its half, or it
// has no middle; bars of other numbers of beats have none.
func TestLawOnlyBarsOfFourHaveAMiddle(t *testing.T) {
	var try func(groups string, most int)
	try = func(groups string, most int) {
		for _, g := range []string{"1", "2", "3"} {
			m, err := drill.ParseMeter(groups + g + "/4")
			if err != nil {
				t.Fatal(err)
			}
			want := figure.Length(0)
			if half := m.Beat(0) + m.Beat(1); m.Beats() == 4 && 2*half == m.Bar() {
				want = half
			}
			if got := gridOf(m, false).middle; got != want {
				t.Errorf("the middle of %v is at %v, want %v", m, got, want)
			}
			if most > 1 {
				try(groups+g+"+", most-1)
			}
		}
	}
	try("", 5)
}

// TestLawBeamsBeginOnTime: in every meter what begins a moment before a beat of
// beams is beamed with what comes before.
func TestLawBeamsBeginOnTime(t *testing.T) {
	for _, text := range []string{"4/4", "2/4", "3/4", "6/8", "1+1+1+1+1/8", "1+1+1/8", "1+1+1+1+1+1+1+1/16", "3+2/8", "2/2", "3+3/4"} {
		m, err := drill.ParseMeter(text)
		if err != nil {
			t.Fatal(err)
		}
		g := gridOf(m, false)
		for at := figure.Length(1); at < m.Bar(); at++ {
			same := BeatOf(m, at-1) == BeatOf(m, at)
			if begins := slices.Contains(g.beams, at); begins == same {
				t.Fatalf("%s: at %v beams begin %v, and the beat is the same %v", text, at, begins, same)
			}
		}
		if g.beams[0] != 0 || g.strength(0) != onBar || g.strength(m.Bar()) != onBar {
			t.Errorf("%s: %+v", text, g)
		}
	}
}

// TestLawNoBeamGoesOverABeat: by the beat, in every meter, two notes side by side
// are beamed if they begin in one beat of beams, wherever they begin.
func TestLawNoBeamGoesOverABeat(t *testing.T) {
	for _, text := range []string{"4/4", "3/4", "6/8", "1+1+1+1+1/8", "1+1+1/8", "3+2/8", "2/2", "3+3/4", "2+2+3/16"} {
		m, err := drill.ParseMeter(text)
		if err != nil {
			t.Fatal(err)
		}
		g := gridOf(m, true)
		for at := figure.Length(1); at < m.Bar(); at++ {
			for before := max(0, at-3); before < at; before++ {
				same := BeatOf(m, before) == BeatOf(m, at)
				if got := g.together([]Symbol{{Onset: before}, {Onset: at}}, 1); got != same {
					t.Fatalf("%s: notes at %v and %v are beamed %v; they begin in one beat %v", text, before, at, got, same)
				}
			}
		}
	}
}

// TestLawTheShortestPairOfTriplets: a stretch of a 32nd or less is one triplet
// whatever begins in it; one of a sixteenth or more that begins anew in its middle
// is two.
func TestLawTheShortestPairOfTriplets(t *testing.T) {
	for size := figure.Length(step); size <= figure.Quarter; size *= 2 {
		s := span{96, 96 + size}
		middle := size / 2
		pieces := []piece{{from: 96, to: 96 + middle, notes: []Note{{}}}, {from: 96 + middle, to: s.to, notes: []Note{{}}}}
		if got := s.halves(pieces); got != (size >= figure.Whole/16) {
			t.Errorf("%v with a cut in the middle: two triplets %v", size, got)
		}
	}
}
