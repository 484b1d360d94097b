package accompaniment

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
	"example.com/keyorder/spelling/chord"
	"pgregory.net/rapid"
)

func mustDrill(t interface{ Fatal(...any) }, s drill.Settings, instruments ...string) *drill.Drill {
	for _, name := range instruments {
		i, err := drill.Find(name, drill.LevelFull)
		if err != nil {
			t.Fatal(err)
		}
		s.Parts = append(s.Parts, i)
	}
	if s.Route.Len() == 0 {
		s.Route = cycle.By(interval.PerfectFourth).Closed()
	}
	d, err := drill.New(s)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func mustNew(t interface{ Fatal(...any) }, d *drill.Drill, b Band) *Accompaniment {
	a, err := New(d, b)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func meter(t *testing.T, text string) drill.Meter {
	m, err := drill.ParseMeter(text)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// suffixes are chords of every kind that charts have.
var suffixes = strings.Fields("7 m7 maj7 6 m6 6/9 m7b5 dim7 dim + 5 sus4 7sus4 sus2 9 13 7b9 7#9 7alt +7 7b5 7#11 maj9 maj7#11 m9 m11 11 13#11 m(maj7) 7(b9,b13) add9 m")

// anyFigure draws a figure whose every event has a chord.
func anyFigure() *rapid.Generator[figure.Figure] {
	return rapid.Custom(func(t *rapid.T) figure.Figure {
		item := rapid.Custom(func(t *rapid.T) figure.Item {
			return figure.Item{
				Degrees: []figure.Degree{{Step: rapid.Int8Range(0, 4).Draw(t, "step")}},
				Length:  rapid.SampledFrom([]figure.Length{48, 96, 144, 192, 384, 24}).Draw(t, "length"),
				Chord: &figure.Chord{
					Root:   figure.Degree{Step: rapid.Int8Range(0, 6).Draw(t, "root"), Alteration: rapid.Int8Range(-1, 1).Draw(t, "accidental"), Explicit: true},
					Suffix: rapid.SampledFrom(append(suffixes, "")).Draw(t, "suffix"),
				},
			}
		})
		items := rapid.SliceOfN(item, 1, 5).Draw(t, "items")
		scale := rapid.SampledFrom([]figure.Scale{figure.Major, figure.Dorian, figure.HarmonicMinor, figure.MelodicMinor, figure.Mixolydian, figure.MinorBlues}).Draw(t, "scale")
		for n := range items {
			items[n].Degrees[0].Explicit = true
		}
		f, err := figure.New(scale, 0, rapid.IntRange(0, len(items)-1).Draw(t, "before"), items...)
		if err != nil {
			t.Fatal(err)
		}
		return f
	})
}

func anyDrill() *rapid.Generator[*drill.Drill] {
	return rapid.Custom(func(t *rapid.T) *drill.Drill {
		m, err := drill.ParseMeter(rapid.SampledFrom([]string{"4/4", "4/4", "3/4", "2/2", "5/4", "2/4"}).Draw(t, "meter"))
		if err != nil {
			t.Fatal(err)
		}
		return mustDrill(t, drill.Settings{
			Figure: anyFigure().Draw(t, "figure"), Meter: m, LeaveOut: true,
			Route:   rapid.SampledFrom([]cycle.Route{cycle.By(interval.MinorThird).Closed(), cycle.By(interval.MajorSecond).Open()}).Draw(t, "route"),
			Rest:    rapid.SampledFrom([]drill.Rest{0, drill.NoRest, 100}).Draw(t, "rest"),
			Padding: rapid.SampledFrom([]drill.Padding{drill.PaddingBar, drill.PaddingBeat, drill.PaddingRunOn}).Draw(t, "padding"),
		}, rapid.SampledFrom([]string{"flute", "trumpet", "tenor saxophone", "trombone", "piano", "double bass", "tuba"}).Draw(t, "instrument"))
	})
}

func anyBand() *rapid.Generator[Band] {
	return rapid.Custom(func(t *rapid.T) Band {
		return Band{
			Bass:   rapid.SampledFrom([]Bass{BassRoots, BassWalking}).Draw(t, "bass"),
			Chords: rapid.SampledFrom([]Comping{CompingWhole, CompingOneAndTwo}).Draw(t, "chords"),
			Drone:  rapid.Bool().Draw(t, "drone"),
			Rests:  rapid.SampledFrom([]Rests{RestsWait, RestsTime, RestsDominant}).Draw(t, "rests"),
		}
	})
}

// statementNotes returns the notes under a statement, and of one layer.
func statementNotes(a *Accompaniment, n int, downbeat, to figure.Length, layer Layer) []Note {
	return slices.DeleteFunc(a.AppendStatement(nil, n, downbeat, to), func(n Note) bool { return n.Layer != layer })
}

// TestLawNoPathIsBetter: of all ways to voice a few chords none moves less, and of
// those that move as little none keeps nearer to the middle.
func TestLawNoPathIsBetter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		low := rapid.SampledFrom([]pitch.Number{lowestChord, overALowPart}).Draw(t, "low")
		var lists [][][]pitch.Number
		for range rapid.IntRange(1, 5).Draw(t, "chords") {
			c := chord.Of(spelling.Name(rapid.IntRange(-6, 5).Draw(t, "root")), mustQuality(t, rapid.SampledFrom(suffixes).Draw(t, "suffix")))
			lists = append(lists, candidates((&change{chord: c}).classes(), low, highestChord))
		}
		costOf := func(choice []int) (c cost) {
			for k, n := range choice {
				if c.off += off(lists[k][n], low, highestChord); k > 0 {
					c.movement += movement(lists[k-1][choice[k-1]], lists[k][n])
				}
			}
			return c
		}
		got := costOf(path(lists, low, highestChord))
		choice := make([]int, len(lists))
		for {
			if c := costOf(choice); c.compare(got) < 0 {
				t.Fatalf("%v costs %+v, %v is chosen for %+v", choice, c, path(lists, low, highestChord), got)
			}
			k := 0
			for k < len(choice) && choice[k]+1 == len(lists[k]) {
				choice[k] = 0
				k++
			}
			if k == len(choice) {
				return
			}
			choice[k]++
		}
	})
	if got := path(nil, lowestChord, highestChord); got != nil {
		t.Errorf("the path through nothing is %v", got)
	}
	// of two as near to the middle the lower
	if got := path([][][]pitch.Number{{{58}, {59}}, {{58}, {59}}}, lowestChord, highestChord); !slices.Equal(got, []int{0, 0}) {
		t.Errorf("the path lies at %v", got)
	}
}

func mustQuality(t interface{ Fatal(...any) }, suffix string) interval.Set {
	q, err := chord.ParseQuality(suffix)
	if err != nil {
		t.Fatal(err)
	}
	return q
}

// TestMovement: counted by hand.
func TestMovement(t *testing.T) {
	for _, c := range []struct {
		v, w []pitch.Number
		want int
	}{
		{[]pitch.Number{53, 57}, []pitch.Number{53, 57}, 0},
		{[]pitch.Number{53, 60}, []pitch.Number{53, 59}, 2}, // a half step, counted from both
		{[]pitch.Number{53, 60, 64}, []pitch.Number{53, 59}, 1 + 5 + 1},
	} {
		if got, back := movement(c.v, c.w), movement(c.w, c.v); got != c.want || back != c.want {
			t.Errorf("%v to %v: %d, back %d, want %d", c.v, c.w, got, back, c.want)
		}
	}
}

// TestLawNothingLeavesItsRegister: E1 to C3, C3 to A4 or G3 up, E2 up; a part that
// stays below G3 stays below the chords.
func TestLawNothingLeavesItsRegister(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := anyDrill().Draw(t, "drill")
		a := mustNew(t, d, anyBand().Draw(t, "band"))
		highest := pitch.Number(0)
		for st := range d.Parts()[0].Statements() {
			for _, e := range st.Events() {
				highest = max(highest, st.SoundingNumber(e.Note))
			}
		}
		for k := range d.Len() {
			notes := a.AppendRest(a.AppendStatement(nil, k, 0, 1000), k, 1000, 1500, true)
			for _, n := range notes {
				least, most := map[Layer]pitch.Number{LayerBass: 28, LayerChords: 48, LayerDrone: 40}[n.Layer], map[Layer]pitch.Number{LayerBass: 48, LayerChords: 69, LayerDrone: 58}[n.Layer]
				if n.Key < least || n.Key > most {
					t.Fatalf("%+v leaves %d to %d", n, least, most)
				}
				tonic := a.statements[k].tonic
				if n.Layer == LayerDrone && n.Key.Class() != tonic && (n.Key.Class() != tonic.T(7) || !d.Settings().Figure.Scale().Set().Has(interval.PerfectFifth)) {
					t.Fatalf("the drone of %v has %+v", tonic, n)
				}
				if n.Layer == LayerChords && highest < 55 && n.Key <= highest {
					t.Fatalf("%+v is not above the part's %d", n, highest)
				}
			}
		}
	})
}

// TestLawNotesLieUnderTheStatement: and those of a layer do not overlap but in a
// chord.
func TestLawNotesLieUnderTheStatement(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := anyDrill().Draw(t, "drill")
		a := mustNew(t, d, anyBand().Draw(t, "band"))
		n := rapid.IntRange(0, d.Len()-1).Draw(t, "statement")
		from := figure.Length(rapid.IntRange(0, 1000).Draw(t, "from"))
		to := from + figure.Length(rapid.IntRange(1, 2000).Draw(t, "length"))
		for _, notes := range [][]Note{a.AppendStatement(nil, n, from, to), a.AppendRest(nil, n, from, to, true)} {
			for k, n := range notes {
				if n.Onset < from || n.Onset+n.Length > to || n.Length <= 0 {
					t.Fatalf("%+v does not lie from %d to %d", n, from, to)
				}
				if k == 0 || notes[k-1].Layer != n.Layer {
					continue
				}
				if b := notes[k-1]; n.Onset != b.Onset && n.Onset < b.Onset+b.Length || n.Onset == b.Onset && (n.Length != b.Length || n.Key <= b.Key) {
					t.Fatalf("%+v after %+v", n, b)
				}
			}
		}
	})
}

// TestLawVoicings: a voicing has the chord's third and seventh and what else its
// kind needs, its own or the scale's colours, and nothing else: above all no
// perfect eleventh over a major third, and nothing beside a diminished seventh
// chord's own notes. All qualities, all roots, in each common scale.
func TestLawVoicings(t *testing.T) {
	for s := range figure.CommonScales() {
		scale := s.Set().PitchSet()
		for _, suffix := range append(suffixes, "") {
			for root := spelling.Name(-6); root < 6; root++ {
				c := change{chord: chord.Of(root, mustQuality(t, suffix))}
				c.colour = beside(c.chord, 0, s)
				has := func(i interval.Interval) bool { return c.classes().Has(root.Up(i).Class()) }
				q := c.chord.Quality()
				for _, i := range []interval.Interval{interval.MajorThird, interval.MinorSeventh, interval.MajorSeventh, interval.DiminishedSeventh} {
					if q.Has(i) && !has(i) {
						t.Errorf("%v is voiced without its %v", c.chord, i)
					}
				}
				// chords.tsv's 9 is never a minor third, so that these are the only tests needed
				third := q.Has(interval.MajorThird) || q.Has(interval.MinorThird)
				if q.Has(interval.MinorThird) && !has(interval.MinorThird) || !third && q.Has(interval.PerfectFourth) && !has(interval.PerfectFourth) {
					t.Errorf("%v is voiced without its third or fourth", c.chord)
				}
				if q.Has(interval.MajorThird) && has(interval.PerfectFourth) {
					t.Errorf("%v is voiced with a perfect eleventh", c.chord)
				}
				own := q.PitchSet().T(int(root.Class()))
				added := c.classes() &^ own
				if suffix == "dim7" && added != 0 || added.Len() > 1 {
					t.Errorf("%v over %v is voiced with %v beside its own", c.chord, s, added)
				}
				from := scale
				if own.Union(scale) != scale { // then from the scale that usage sets beside the chord
					usual, ok := figure.UsualScale(q)
					if from = usual.Set().PitchSet().T(int(root.Class())); !ok {
						from = own
					}
				}
				if added.Intersection(from) != added {
					t.Errorf("%v over %v has %v added, which is not in %v", c.chord, s, added, from)
				}
				for class := range added.Classes() {
					below := own.Has(class.T(-1)) // it lies a half step above a note of the chord
					if dominant7 := q.Has(interval.MajorThird) && q.Has(interval.MinorSeventh); below && !dominant7 {
						t.Errorf("%v over %v has %v added", c.chord, s, class)
					}
				}
				for _, low := range []pitch.Number{lowestChord, overALowPart} {
					list := candidates(c.classes(), low, highestChord)
					if len(list) == 0 {
						t.Errorf("%v has no voicing from %d up", c.chord, low)
					}
					for _, v := range list {
						var set pitch.Set
						for _, key := range v {
							set = set.Union(pitch.SetOf(key.Class()))
						}
						if set != c.classes() || len(v) != set.Len() || v[len(v)-1]-v[0] > 11 || !slices.IsSorted(v) || v[0] < low || v[len(v)-1] > highestChord {
							t.Errorf("%v: %v from %d up", c.chord, v, low)
						}
					}
				}
			}
		}
	}
}

// TestLawTheBassHasTheRoots: on each change the bass has the root, or the note
// after the stroke, and what BassRoots plays besides is the chord's own fifth.
func TestLawTheBassHasTheRoots(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := anyDrill().Draw(t, "drill")
		band := anyBand().Draw(t, "band")
		a := mustNew(t, d, band)
		for n, s := range a.statements {
			notes := statementNotes(a, n, 0, 10*figure.Whole, LayerBass)
			for k := s.first; k < s.end; k++ {
				c := a.changes[k]
				at := slices.IndexFunc(notes, func(n Note) bool { return n.Onset == c.at })
				if at < 0 || notes[at].Key.Class() != c.chord.Bass().Class() {
					t.Fatalf("on %v at %d the bass has %+v", c.chord, c.at, notes)
				}
				end := 10 * figure.Whole
				if k+1 < s.end {
					end = a.changes[k+1].at
				}
				fifths := c.chord.PitchSet()
				if band.Bass == BassRoots {
					fifths = pitch.SetOf(c.chord.Root().Class())
					for i := range c.chord.Members() {
						if i.Number() == 5 {
							fifths = fifths.Union(pitch.SetOf(c.chord.Root().Up(i).Class()))
						}
					}
				}
				for _, n := range notes[at:] {
					strong := band.Bass == BassRoots || a.isStrong(n.Onset)
					if n.Onset < end && n.Onset < s.length && strong && !fifths.Has(n.Key.Class()) {
						t.Fatalf("under %v there is %+v", c.chord, n)
					}
				}
			}
		}
	})
}

// TestLawEveryChangeIsHeard: whatever the rhythm, each chord is struck before the
// next one comes.
func TestLawEveryChangeIsHeard(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := anyDrill().Draw(t, "drill")
		band := anyBand().Draw(t, "band")
		if d.Settings().Meter == (drill.Meter{}) && rapid.Bool().Draw(t, "on 2 and 4") {
			band.Chords = CompingTwoAndFour
		}
		a := mustNew(t, d, band)
		for n, s := range a.statements {
			notes := statementNotes(a, n, 0, s.length, LayerChords)
			for k := s.first; k < s.end; k++ {
				end := s.length
				if k+1 < s.end {
					end = a.changes[k+1].at
				}
				var struck pitch.Set
				for _, n := range notes {
					if n.Onset >= a.changes[k].at && n.Onset < end {
						struck = struck.Union(pitch.SetOf(n.Key.Class()))
					}
				}
				if struck != a.changes[k].classes() {
					t.Fatalf("from %d to %d %v is struck as %v", a.changes[k].at, end, a.changes[k].chord, struck)
				}
			}
		}
	})
}

// TestLawTheWalkStepsIntoEachRoot: on the last weak beat before a root that is not
// the only one of its chord, the bass has a note a step from it.
func TestLawTheWalkStepsIntoEachRoot(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := mustNew(t, anyDrill().Draw(t, "drill"), Band{Bass: BassWalking})
		steps := 0
		for n, s := range a.statements {
			notes := statementNotes(a, n, 0, s.length, LayerBass)
			for k := 1; k < len(notes); k++ {
				isRoot := notes[k].Onset%a.bar == 0
				for c := s.first; c < s.end; c++ {
					isRoot = isRoot || a.changes[c].at == notes[k].Onset
				}
				before := notes[k-1]
				onChange := slices.ContainsFunc(a.changes[s.first:s.end], func(c change) bool { return c.at == before.Onset })
				if !isRoot || onChange || before.Onset%a.bar == 0 || a.isStrong(before.Onset) {
					continue
				}
				steps++
				if way := max(before.Key-notes[k].Key, notes[k].Key-before.Key); way < 1 || way > 2 {
					t.Fatalf("%+v does not step into %+v", before, notes[k])
				}
			}
		}
	})
}

// TestLawTheSameForAllWhoReadIt: the band sounds the same under a part that
// transposes.
func TestLawTheSameForAllWhoReadIt(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drill.Settings{Figure: anyFigure().Draw(t, "figure"), Reading: drill.ReadingConcert, LeaveOut: true, Policy: rapid.SampledFrom([]spelling.Policy{spelling.PolicyUsual, spelling.PolicyEasyWhiteKeys}).Draw(t, "policy")}
		b := anyBand().Draw(t, "band")
		concert, written := mustNew(t, mustDrill(t, s, "flute C2-C8"), b), mustNew(t, mustDrill(t, s, "alto saxophone A2-A8"), b)
		if len(concert.statements) != len(written.statements) {
			t.Fatalf("%d and %d statements", len(concert.statements), len(written.statements))
		}
		for n := range concert.statements {
			c, w := concert.AppendStatement(nil, n, 0, 1000), written.AppendStatement(nil, n, 0, 1000)
			if !slices.Equal(c, w) {
				t.Fatalf("statement %d:\n%v\n%v", n, c, w)
			}
		}
	})
}

// names writes key numbers as notes in flats.
func names(keys []pitch.Number) string {
	var out []string
	for _, key := range keys {
		name := []string{"C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B"}[key.Class()]
		out = append(out, fmt.Sprintf("%s%d", name, int(key)/12-1))
	}
	return strings.Join(out, " ")
}

// TestVoicings: two progressions in two keys, read by hand.
func TestVoicings(t *testing.T) {
	for _, c := range []struct {
		figure, instrument string
		want               []string // chord, bass, voicing
	}{
		{"{2 m7} 2:8 {5 7} 5:8 {1 maj7} 3:8", "flute", []string{
			"Dm7 D2 F3 C4 E4", "G7 G2 A3 B3 F4", "Cmaj7 C2 B3 D4 E4",
			"Gm7 G1 Bb3 F4 A4", "C7 C2 Bb3 D4 E4", "Fmaj7 F2 G3 A3 E4",
		}},
		{"{2 m7b5} 2:8 {5 7b9} 5:8 {1 m6} b3:8 in melodic minor", "double bass", []string{
			"Dm7(b5) D2 Ab3 C4 F4", "G7(b9) G2 Ab3 B3 F4", "Cm6 C2 A3 D4 Eb4",
			"Gm7(b5) G1 Bb3 Db4 F4", "C7(b9) C2 Bb3 Db4 E4", "Fm6 F2 Ab3 D4 G4",
		}},
	} {
		d := mustDrill(t, drill.Settings{Figure: figure.MustParse(c.figure)}, c.instrument)
		a := mustNew(t, d, Band{Bass: BassRoots, Chords: CompingWhole})
		var got []string
		for _, s := range a.statements[:2] {
			for _, c := range a.changes[s.first:s.end] {
				got = append(got, c.chord.Plain()+" "+names([]pitch.Number{c.bass})+" "+names(c.voicing))
			}
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%s:\n     %s\nwant %s", c.figure, strings.Join(got, ", "), strings.Join(c.want, ", "))
		}
	}
}

// TestWhoPlaysWhen: worked out by hand; onset:key, times in quarters. That the
// rhythms are these is common practice, no source.
func TestWhoPlaysWhen(t *testing.T) {
	const fig = "{2 m7} 2:8 {5 7} 5:4 {1 maj7} 3:4" // a bar, and two halves
	for _, c := range []struct {
		band  Band
		layer Layer
		meter string
		want  string // onset-end of what is struck, or onset:key of the bass
	}{
		{Band{Chords: CompingWhole}, LayerChords, "4/4", "0-4 4-6 6-8"},
		{Band{Chords: CompingTwoAndFour}, LayerChords, "4/4", "1-2 3-4 5-6 7-8"},
		{Band{Chords: CompingOneAndTwo}, LayerChords, "4/4", "0-1 1.5-2.5 4-5 5.5-6 6-7"}, // on 3 the change itself
		{Band{Chords: CompingWhole}, LayerChords, "3/4", "0-3 3-4 4-6 6-8"},
		{Band{Chords: CompingWhole}, LayerChords, "6/8", "0-3 3-4 4-6 6-8"},
		{Band{Bass: BassRoots}, LayerBass, "4/4", "0-2:D2 2-4:A1 4-6:G2 6-8:C2"},
		{Band{Bass: BassRoots}, LayerBass, "3/4", "0-3:D2 3-4:A1 4-6:G2 6-8:C2"},
		{Band{Bass: BassRoots}, LayerBass, "6/8", "0-1.5:D2 1.5-3:A1 3-4:D2 4-4.5:G2 4.5-6:D2 6-7.5:C2 7.5-8:G2"},
		{Band{Bass: BassWalking}, LayerBass, "4/4", "0-1:D2 1-2:F2 2-3:A2 3-4:Ab2 4-5:G2 5-6:D2 6-7:C2 7-8:E2"},
		{Band{Drone: true}, LayerDrone, "4/4", "0-8:C3 0-8:G3"},
	} {
		d := mustDrill(t, drill.Settings{Figure: figure.MustParse(fig), Meter: meter(t, c.meter)}, "flute")
		a := mustNew(t, d, c.band)
		var got []string
		for _, n := range statementNotes(a, 0, 0, figure.Whole*2, c.layer) {
			q := func(l figure.Length) string { return fmt.Sprint(float64(l) / float64(figure.Quarter)) }
			text := q(n.Onset) + "-" + q(n.Onset+n.Length)
			if c.layer != LayerChords {
				text += ":" + names([]pitch.Number{n.Key})
			}
			if c.layer != LayerChords || len(got) == 0 || got[len(got)-1] != text {
				got = append(got, text)
			}
		}
		if text := strings.Join(got, " "); text != c.want {
			t.Errorf("%+v in %s:\n     %s\nwant %s", c.band, c.meter, text, c.want)
		}
	}
}

// classesOf returns the classes of the notes that sound at a time.
func classesOf(notes []Note, at figure.Length) (set pitch.Set) {
	for _, n := range notes {
		if n.Onset <= at && at < n.Onset+n.Length {
			set = set.Union(pitch.SetOf(n.Key.Class()))
		}
	}
	return set
}

// TestRests: in a rest after the first of two keys, C and then F.
func TestRests(t *testing.T) {
	d := mustDrill(t, drill.Settings{Figure: figure.MustParse("{5 7} v7:4 {1 maj7} 3:4")}, "flute")
	for rests, want := range map[Rests]pitch.Set{
		RestsWait:     0,
		RestsTime:     pitch.SetOf(0, 2, 4, 11), // C in the bass, E, B and the ninth
		RestsDominant: pitch.SetOf(0, 2, 4, 10), // the same of C7, which leads to F
	} {
		a := mustNew(t, d, Band{Bass: BassRoots, Chords: CompingWhole, Rests: rests})
		if got := classesOf(a.AppendRest(nil, 0, 192, 384, true), 192); got != want {
			t.Errorf("%v: there sounds %v, want %v", rests, got, want)
		}
		if got := a.AppendRest(nil, 0, 192, 384, false); rests == RestsDominant && len(got) > 0 {
			t.Errorf("before the answer there sounds %+v", got)
		}
		last := a.AppendRest(nil, d.Len()-1, 192, 384, true)
		if rests == RestsDominant && len(last) > 0 {
			t.Errorf("after the last key there sounds %+v", last)
		}
	}
	plain := mustDrill(t, drill.Settings{Figure: figure.MustParse("1 3")}, "flute")
	if got := mustNew(t, plain, Band{Drone: true, Bass: BassRoots, Rests: RestsDominant}).AppendRest(nil, 0, 192, 384, true); len(got) > 0 {
		t.Errorf("without changes there sounds %+v", got)
	}
	a := mustNew(t, d, Band{Drone: true, Rests: RestsTime})
	if got := classesOf(a.AppendRest(nil, 0, 192, 384, true), 200); got != pitch.SetOf(0, 7) {
		t.Errorf("the drone keeps %v", got)
	}
}

// TestHeldReturn: it has the chord of the tonic, the figure's own or the scale's.
func TestHeldReturn(t *testing.T) {
	for text, want := range map[string]string{
		"{2 m7} 2:4 {5 7} v7:4 {1 maj7} 3:4":          "Cmaj7",
		"{5 7} v7:4 {1 6} 3:4 {2 m7} 4:4":             "C6",
		"{1 6/9} 3:4 {5 7} v7:4":                      "C6/9",
		"{2 m7} 2:4 {5 7} v7:4":                       "C",
		"{2 m7b5} 2:4 {5 7b9} v7:4 in harmonic minor": "Cm",
		"{2 m7b5} 2:4 in locrian":                     "Cdim",
		"{5 7} 5:4 in augmented hexatonic 1-3":        "C+",
	} {
		f := figure.MustParse(text)
		route, err := cycle.NewRoute(cycle.Section{Keys: []pitch.Class{0, 5}, Closed: true})
		if err != nil {
			t.Fatal(err)
		}
		a := mustNew(t, mustDrill(t, drill.Settings{Figure: f, Route: route}, "flute"), Band{Bass: BassRoots})
		s := a.statements[2]
		if got := a.changes[s.first].chord.Plain(); got != want || s.end != s.first+1 || s.length != figure.Whole {
			t.Errorf("%s: the return has %s for %v", text, got, s.length)
		}
	}
}

// TestFree: the changes come again in each round of bars that they fill, the last
// chord until its bar is full.
func TestFree(t *testing.T) {
	d := mustDrill(t, drill.Settings{Figure: figure.MustParse("{2 m7} 2:8 {5 7} 5:2")}, "flute")
	a := mustNew(t, d, Band{Chords: CompingWhole, Bass: BassRoots})
	var got []string
	for _, n := range statementNotes(a, 0, 384, 384+5*192, LayerBass) {
		got = append(got, fmt.Sprintf("%d-%d %s", int(n.Onset), int(n.Onset+n.Length), names([]pitch.Number{n.Key})))
	}
	want := "384-480 D2, 480-576 A1, 576-672 G2, 672-768 D2, 768-864 D2, 864-960 A1, 960-1056 G2, 1056-1152 D2, 1152-1248 D2, 1248-1344 A1"
	if text := strings.Join(got, ", "); text != want {
		t.Errorf("\n     %s\nwant %s", text, want)
	}
}

// TestPickup: a chord before the downbeat sounds from the downbeat on, unless
// another begins there; before the first chord nobody plays.
func TestPickup(t *testing.T) {
	for text, want := range map[string]string{
		"{5 7} v7:2 | 1:4 {1 maj7} 3:4":          "0 G7, 96 Cmaj7",
		"{5 7} v7:2 | {2 m7} 1:4 {1 maj7} 3:4":   "0 Dm7, 96 Cmaj7",
		"{2 m7} 2 {5 7} v7:2 | 1:4 {1 maj7} 3:4": "0 G7, 96 Cmaj7",
		"1:4 {1 maj7} 3:4":                       "96 Cmaj7",
	} {
		a := mustNew(t, mustDrill(t, drill.Settings{Figure: figure.MustParse(text)}, "flute"), Band{Chords: CompingWhole})
		var got []string
		for _, c := range a.changes[a.statements[0].first:a.statements[0].end] {
			got = append(got, fmt.Sprintf("%d %s", int(c.at), c.chord.Plain()))
		}
		if s := strings.Join(got, ", "); s != want {
			t.Errorf("%s: %s, want %s", text, s, want)
		}
	}
}

func TestErrors(t *testing.T) {
	two5 := "{2 m7} 2:4 {5 7} v7:4"
	for _, c := range []struct {
		figure, meter string
		b             Band
		want          string
	}{
		{"1 3 2 5", "4/4", Band{Bass: BassWalking, Chords: CompingWhole}, "the figure has no chords, as {2 m7}, so that a drone only can sound"},
		{"{2 xyz} 2", "4/4", Band{Drone: true}, `figure: chord suffix "xyz"`},
		{two5, "3/4", Band{Chords: CompingTwoAndFour}, "only 4/4 has its chords on 2 and 4, not 3/4"},
		{two5, "12/8", Band{Chords: CompingTwoAndFour}, "only 4/4"},
		{two5, "6/8", Band{Chords: CompingOneAndTwo}, "6/8 has no and of 2"},
		{two5, "5/8", Band{Chords: CompingOneAndTwo}, "5/8 has no and of 2"},
		{two5, "3+2/4", Band{Chords: CompingOneAndTwo}, "3+2/4 has no and of 2"},
		{two5, "1/4", Band{Chords: CompingOneAndTwo}, "1/4 has no and of 2"},
		{two5, "4/4", Band{Bass: 3}, "it is one of none, roots and fifths, walking"},
		{two5, "4/4", Band{Chords: 9}, "it is one of none, whole notes, 2 and 4, 1 and the and of 2"},
		{two5, "4/4", Band{Rests: 3}, "it is one of wait, keep time, dominant"},
		{two5, "4/4", Band{Level: -0.1}, "it is up to 1"},
		{two5, "4/4", Band{Level: 1.1}, "it is up to 1"},
		{two5, "4/4", Band{Level: math.NaN()}, "it is up to 1"},
	} {
		_, err := New(mustDrill(t, drill.Settings{Figure: figure.MustParse(c.figure), Meter: meter(t, c.meter)}, "flute"), c.b)
		var e *fault.ValueError
		if !errors.As(err, &e) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s in %s, %+v: %v, want …%s…", c.figure, c.meter, c.b, err, c.want)
		}
	}
	// what is near them is allowed
	mustNew(t, mustDrill(t, drill.Settings{Figure: figure.MustParse("1 3")}, "flute"), Band{Bass: BassWalking, Drone: true, Level: 1})
	mustNew(t, mustDrill(t, drill.Settings{Figure: figure.MustParse("1 3")}, "flute"), Band{Rests: RestsTime})
	mustNew(t, mustDrill(t, drill.Settings{Figure: figure.MustParse(two5), Meter: meter(t, "2/2")}, "flute"), Band{Chords: CompingOneAndTwo})
}

func TestTexts(t *testing.T) {
	b := Band{Bass: BassWalking, Chords: CompingOneAndTwo, Drone: true, Rests: RestsDominant, Level: 0.25}
	text, err := json.Marshal(b)
	if want := `{"bass":"walking","chords":"1 and the and of 2","drone":true,"rests":"dominant","band_level":0.25}`; err != nil || string(text) != want {
		t.Errorf("%s, %v, want %s", text, err, want)
	}
	var back Band
	if err := json.Unmarshal(text, &back); err != nil || back != b {
		t.Errorf("%+v, %v", back, err)
	}
	if text, err := json.Marshal(Band{}); err != nil || string(text) != "{}" {
		t.Errorf("%s, %v", text, err)
	}
	var e *fault.SyntaxError
	for _, err := range []error{back.Bass.UnmarshalText([]byte("slap")), back.Chords.UnmarshalText([]byte("1 and 3")), back.Rests.UnmarshalText([]byte("sing"))} {
		if !errors.As(err, &e) {
			t.Error(err)
		}
	}
	if s := fmt.Sprint(BassRoots, CompingTwoAndFour, RestsTime, LayerDrone, Bass(9), Comping(9), Rests(9), Layer(9)); s != "roots and fifths 2 and 4 keep time drone Bass(9) Comping(9) Rests(9) Layer(9)" {
		t.Error(s)
	}
	if (Band{}).Loudness() != 0.5 || (Band{Level: 1}).Loudness() != 1 {
		t.Error("the level is another")
	}
}

// TestSilent: what has no notes does no harm.
func TestSilent(t *testing.T) {
	d := mustDrill(t, drill.Settings{Figure: figure.MustParse("{2 m7} 2:4")}, "flute")
	for what, a := range map[string]*Accompaniment{"zero": {}, "nobody": mustNew(t, d, Band{})} {
		for _, n := range []int{-1, 0, 1, 99} {
			if notes := a.AppendRest(a.AppendStatement(nil, n, 0, 200), n, 0, 200, true); len(notes) > 0 {
				t.Errorf("%s: %+v", what, notes)
			}
		}
	}
	if _, err := New(new(drill.Drill), Band{}); err != nil {
		t.Error(err)
	}
	if b := (Band{Drone: true}); mustNew(t, d, b).Band() != b {
		t.Error("it was made with another band")
	}
}

// TestLawStep: a step leads into a root from the nearest place that is not the
// note before.
func TestLawStep(t *testing.T) {
	for before := lowestBass; before <= highestBass; before++ {
		for next := lowestBass; next <= highestBass; next++ {
			way := func(a, b pitch.Number) pitch.Number { return max(a-b, b-a) }
			got := step(before, next)
			if got < lowestBass || got > highestBass || got == before || way(got, next) < 1 || way(got, next) > 2 {
				t.Fatalf("from %d into %d by way of %d", before, next, got)
			}
			for key := max(next-2, lowestBass); key <= min(next+2, highestBass); key++ {
				if key != next && key != before && way(key, before) < way(got, before) {
					t.Fatalf("from %d into %d by way of %d, where %d is nearer", before, next, got, key)
				}
			}
		}
	}
}

// TestSteps: of two places as near the half step below the root comes first, then
// that above it.
func TestSteps(t *testing.T) {
	for _, c := range [][3]pitch.Number{{40, 40, 39}, {39, 40, 38}, {41, 40, 42}, {28, 28, 29}, {48, 48, 47}, {40, 41, 39}, {36, 41, 39}, {46, 41, 43}} {
		if got := step(c[0], c[1]); got != c[2] {
			t.Errorf("from %d into %d by way of %d, want %d", c[0], c[1], got, c[2])
		}
	}
}

// TestStrong: common practice, no source.
func TestStrong(t *testing.T) {
	for text, want := range map[string]string{"4/4": "X.X.", "3/4": "X..", "2/4": "X.", "5/4": "X....", "6/8": "X..", "12/8": "X.....X....."} {
		m := meter(t, text)
		a := &Accompaniment{bar: m.Bar()}
		a.measure(m)
		var got []byte
		for at := range m.Number() {
			if a.isStrong(figure.Length(at)*m.Bar()/figure.Length(m.Number()) + 7*m.Bar()) {
				got = append(got, 'X')
			} else {
				got = append(got, '.')
			}
		}
		if strings.TrimRight(string(got), ".") != strings.TrimRight(want, ".") {
			t.Errorf("%s: %s, want %s", text, got, want)
		}
	}
}

// TestPartsThatRest: where a key does not fit the first part, the band reads the
// next; the bass plays in every key.
func TestPartsThatRest(t *testing.T) {
	d := mustDrill(t, drill.Settings{Figure: figure.MustParse("{5 7} v7:4 {1 maj7} 3:4"), LeaveOut: true}, "alto saxophone D4-B4", "piano")
	resting := 0
	for st := range d.Parts()[0].Statements() {
		if st.Rests {
			resting++
		}
	}
	a := mustNew(t, d, Band{Bass: BassRoots, Drone: true})
	for st := range d.Parts()[1].Statements() {
		notes := statementNotes(a, st.Index, 0, figure.Whole, LayerBass)
		want := []pitch.Class{st.Sounding.Name().Class().T(7), st.Sounding.Name().Class()}
		if st.Held {
			want = []pitch.Class{want[1], want[0]}
		}
		if len(notes) != 2 || notes[0].Key.Class() != want[0] || notes[1].Key.Class() != want[1] {
			t.Errorf("in %v the bass has %+v", st.Sounding, notes)
		}
	}
	if resting == 0 || resting == d.Len() {
		t.Errorf("the first part rests in %d of %d", resting, d.Len())
	}
}

// TestLawOther: the fifth lies above or below the root, where it is nearer to the
// middle of the register, and never outside.
func TestLawOther(t *testing.T) {
	for suffix, fifth := range map[string]pitch.Number{"7": 7, "m7b5": 6, "+7": 8} {
		for root := lowestBass; root <= highestBass; root++ {
			c := change{chord: chord.Of(0, mustQuality(t, suffix)), bass: root}
			up, down := root+fifth, root+fifth-12
			middle := func(key pitch.Number) pitch.Number { return max(key-38, 38-key) }
			want := up
			if middle(down) < middle(up) {
				want = down
			}
			if got := c.other(); got != want || got < lowestBass || got > highestBass {
				t.Errorf("%s: the other of %d is %d, want %d", suffix, root, got, want)
			}
		}
	}
	for _, symbol := range []string{"C/E", "C7no5", "Csus4/E"} {
		for _, bass := range []pitch.Number{28, 40, 48} {
			c := change{chord: chord.MustParse(symbol), bass: bass}
			if got := c.other(); got != bass {
				t.Errorf("%s: the other of %d is %d", symbol, bass, got)
			}
		}
	}
}

// TestClasses: read by hand.
func TestClasses(t *testing.T) {
	for symbol, want := range map[string]string{
		"C": "047", "Cm": "037", "C5": "07", "Csus4": "057", "Csus2": "027", "Cadd9": "0247", "C6": "49", "C6/9": "249",
		"C7": "4T", "C7no5": "4T", "C7no3": "7T", "C7sus4": "5T", "Cmaj7": "4E", "C7(b9)": "14T", "C7#11": "4T", "C13": "249T", "Cm7b5": "36T",
		"Cdim7": "369", "C7alt": "348T", "C11": "24T", "Cm11": "23T", "C7/Bb": "4T", "C+": "048",
	} {
		set, err := pitch.ParseSet(want)
		if err != nil {
			t.Fatal(err)
		}
		if got := (&change{chord: chord.MustParse(symbol)}).classes(); got != set {
			t.Errorf("%s is voiced with %v, want %v", symbol, got, set)
		}
	}
}

// TestColours: what a scale on C adds, read by hand. That these are the usual
// colours is common practice, no source.
func TestColours(t *testing.T) {
	for _, c := range []struct {
		symbol string
		scale  figure.Scale
		want   string
	}{
		{"Dm7", figure.Major, "M2"}, {"Em7", figure.Major, ""}, {"Fmaj7", figure.Major, "M2"}, {"G7", figure.Major, "M2"},
		{"Am7", figure.Major, "M2"}, {"Bm7b5", figure.Major, ""}, {"Cmaj7", figure.Major, "M2"}, {"C", figure.Major, ""},
		{"G7", figure.HarmonicMinor, "m2"}, {"Dm7b5", figure.HarmonicMinor, ""}, {"Cm6", figure.MelodicMinor, "M2"}, {"C6", figure.Major, "M2"},
		{"Bdim7", figure.HarmonicMinor, ""}, {"C7", figure.Major, "M2"}, {"Ab7", figure.Major, "M2"}, {"Fm7", figure.Major, "M2"}, {"F#m7b5", figure.Major, ""}, {"G9", figure.Major, ""}, {"G7sus4", figure.Major, "M2"},
		{"E7", figure.HarmonicMajor, "m2"}, {"C7", figure.PhrygianDominant, "m2"}, {"C7", figure.MajorPentatonic, "M2"}, {"D7b9", figure.Major, ""}, {"C6", figure.MajorPentatonic, "M2"},
		{"C7", mustScale(t, "1 3 5 6 b7"), "M6"}, {"C7", mustScale(t, "1 3 5 b6 b7"), "m6"}, {"Cmaj7", mustScale(t, "1 3 5 6 7"), "M6"},
		{"Cm7", mustScale(t, "1 b3 5 6 b7"), ""}, {"Cmaj7", mustScale(t, "1 3 5 b6 7"), ""},
	} {
		set := beside(chord.MustParse(c.symbol), 0, c.scale)
		var got string
		for i := range set.Intervals() {
			got += i.String()
		}
		if got != c.want {
			t.Errorf("%v adds %q to %s, want %q", c.scale, got, c.symbol, c.want)
		}
	}
}

func mustScale(t *testing.T, text string) figure.Scale {
	s, err := figure.ParseScale(text)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// TestWalk: worked out by hand, with no rest between the keys, so that the last
// note leads into the next key; and over a free turn, where it leads back.
func TestWalk(t *testing.T) {
	d := mustDrill(t, drill.Settings{Figure: figure.MustParse("{1 7} 5:8"), Rest: drill.NoRest}, "flute")
	a := mustNew(t, d, Band{Bass: BassWalking})
	keys := func(notes []Note) (out []pitch.Number) {
		for _, n := range notes {
			out = append(out, n.Key)
		}
		return out
	}
	// C7 before F7 and then B♭7; the last of twelve and its return
	for n, want := range []string{"C2 E2 G2 Gb2", "F2 C2 A1 Ab1", "Bb1 D2 F2 E2"} {
		if got := names(keys(a.AppendStatement(nil, n, figure.Length(n)*192, figure.Length(n+1)*192))); got != want {
			t.Errorf("statement %d: %s, want %s", n, got, want)
		}
	}
	if got, want := names(keys(a.AppendStatement(nil, 0, 0, 3*192))), "C2 E2 G2 Gb2"; !strings.HasPrefix(got, "C2 E2 G2 ") || strings.HasPrefix(got, want) || len(strings.Fields(got)) != 12 {
		t.Errorf("three bars: %s", got)
	}
	for _, c := range []struct{ figure, want string }{
		{"{1 5} 5:8", "C2 G2 G2 Gb2"},              // no third; the step is into F
		{"{1 sus4} 5:8", "C2 F2 G2 Gb2"},           // the fourth in its place
		{"{1 7} 5:16", "C2 E2 G2 D2 C2 E2 G2 Gb2"}, // two bars
	} {
		d := mustDrill(t, drill.Settings{Figure: figure.MustParse(c.figure), Rest: drill.NoRest}, "flute")
		a := mustNew(t, d, Band{Bass: BassWalking})
		if got := names(keys(a.AppendStatement(nil, 0, 0, d.Settings().Figure.Length()))); got != c.want {
			t.Errorf("%s: %s, want %s", c.figure, got, c.want)
		}
	}
	slash := change{chord: chord.MustParse("C7/E"), bass: 40}
	if got := names(keys(a.appendWalk(nil, &slash, 0, 192, 41))); got != "E2 E2 E2 E2" {
		t.Errorf("under C7/E: %s", got)
	}
	if got := names(keys(a.appendRoots(nil, &slash, 0, 192))); got != "E2 E2" {
		t.Errorf("under C7/E: %s", got)
	}
}
