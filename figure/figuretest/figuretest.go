// Package figuretest draws the values of the library at random and reads the
// tables that tests compare with, as testing/fstest does for file systems.
//
// It imports no library of properties: whoever tests gives a [Draw], a func that
// returns a number from 0 up to a bound, and gets values that are valid and reach
// far: double accidentals, rests and chords, pickups, all scales, meters of all
// kinds, routes with one key and with many, ranges too narrow for some keys. With
// a property library a Draw is one line:
//
//	draw := func(n int) int { return rapid.IntRange(0, n-1).Draw(t, "n") }
//
// Whatever is drawn from the same numbers is the same, and smaller numbers draw
// plainer values. Tests of what it imports are external packages.
package figuretest

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/spelling"
	"example.com/keyorder/spelling/chord"
)

// A Draw returns a number from 0 to n − 1; n is at least 1.
type Draw func(n int) int

func (draw Draw) bool() bool { return draw(2) == 1 }

// between returns a number from one to another, both included.
func (draw Draw) between(low, high int) int { return low + draw(high-low+1) }

// about returns a number that lies at most so far from 0; smaller draws lie nearer.
func (draw Draw) about(far int) int {
	n := draw(2*far + 1)
	if n%2 == 1 {
		return n/2 + 1
	}
	return -n / 2
}

func pick[T any](draw Draw, list ...T) T { return list[draw(len(list))] }

// Interval draws an interval that has a text form: from the unison to the 99th,
// up and down, to seven-fold augmented or diminished.
func Interval(draw Draw) interval.Interval {
	steps := draw(99)
	i := interval.Of(steps, (12*steps+5)/7+draw.about(8))
	switch q := i.Quality(); {
	case q > interval.Augmented+6:
		i -= interval.AugmentedUnison.Times(i.Sign())
	case q < interval.Diminished-6:
		i += interval.AugmentedUnison
	}
	if draw.bool() {
		return -i
	}
	return i
}

// TwoOctaves returns every interval of two octaves, up and down, to triply
// augmented and diminished.
func TwoOctaves() (all []interval.Interval) {
	for number := 1; number <= 15; number++ {
		for q := interval.Diminished - 2; q <= interval.Augmented+2; q++ {
			if i, err := interval.New(q, number); err == nil { // there is no major fifth
				all = append(all, i, -i)
			}
		}
	}
	return all
}

// Steps returns the steps of the eleven orders by one interval, one to eleven
// semitones up, as they are commonly spelled.
func Steps() []interval.Interval {
	return []interval.Interval{
		interval.MinorSecond, interval.MajorSecond, interval.MinorThird, interval.MajorThird, interval.PerfectFourth,
		interval.AugmentedFourth, interval.PerfectFifth, interval.MinorSixth, interval.MajorSixth, interval.MinorSeventh, interval.MajorSeventh,
	}
}

// Name draws a note name with at most so many flats or sharps.
func Name(draw Draw, accidentals int) spelling.Name {
	return spelling.NameOf(spelling.Letter(draw(7)), draw.about(accidentals))
}

// Note draws a note with at most seven flats or sharps, from octave −3 to 12.
func Note(draw Draw) spelling.Note { return Name(draw, 7).In(4 + draw.about(7) + draw(2)) }

// Tonic draws a note in whose key people play: from F♭ to B♯, octave 0 to 8.
func Tonic(draw Draw) spelling.Note { return spelling.Name(2 + draw.about(10)).In(4 + draw.about(4)) }

// Quality draws the quality of a chord: any intervals above a root, in half of
// the draws only such as chords have.
func Quality(draw Draw) interval.Set {
	if draw.bool() { // the diminished seventh, place −9, to the augmented second, place 9
		return interval.Set(draw(1<<19))<<6 | interval.Root
	}
	return interval.Set(draw(1<<16))<<16 | interval.Set(draw(1<<16)) | interval.Root
}

// Chord draws a chord on a root with at most two flats or sharps, half of them
// over a bass.
func Chord(draw Draw) chord.Chord {
	c := chord.Of(Name(draw, 2), Quality(draw))
	if draw.bool() {
		return c.Over(Name(draw, 2))
	}
	return c
}

// Scale draws a scale: a common one, or one in five times any other.
func Scale(draw Draw) figure.Scale {
	if draw(5) == 4 {
		set := interval.Root
		for _, major := range []interval.Interval{interval.MajorSecond, interval.MajorThird, interval.PerfectFourth, interval.PerfectFifth, interval.MajorSixth, interval.MajorSeventh} {
			if draw.bool() {
				set, _ = set.With(major + interval.Of(0, draw.about(2)))
			}
		}
		if s, err := figure.ScaleOf(set); err == nil { // no sound comes twice
			return s
		}
	}
	scales := []figure.Scale{figure.Major, figure.Major}
	for s := range figure.CommonScales() {
		scales = append(scales, s)
	}
	return pick(draw, scales...)
}

// Degree draws any degree that a scale has, bare where it may be.
func Degree(draw Draw, s figure.Scale) figure.Degree { return degree(draw, s, 21, 98, 7) }

// degree draws a degree at most so many letters down and up, altered at most so far.
func degree(draw Draw, s figure.Scale, down, up, far int) figure.Degree {
	step := draw(up + down + 1)
	if step > up {
		step = up - step
	}
	d := figure.Degree{Step: int8(step)}
	if _, err := d.Above(s); err != nil || draw(3) == 2 {
		d.Explicit, d.Alteration = true, int8(draw.about(far))
	}
	return d
}

// together draws at most so many degrees, each another sound.
func together(s figure.Scale, many int, degree func() figure.Degree) (all []figure.Degree) {
	sounds := map[int]bool{}
	for range many {
		d := degree()
		if i, _ := d.Above(s); !sounds[i.Semitones()] {
			sounds[i.Semitones()] = true
			all = append(all, d)
		}
	}
	return all
}

// Figure draws any figure: all degrees, all lengths, all units, scales of one's
// own, chords of any text, perhaps nothing but rests.
func Figure(draw Draw) figure.Figure {
	scale := Scale(draw)
	unit := pick(draw, figure.Eighth, figure.Quarter, figure.Sixteenth, figure.Quarter/3, 1, figure.Whole, 7)
	items := make([]figure.Item, draw.between(1, 12))
	for n := range items {
		it := &items[n]
		if it.Length = unit; draw.bool() {
			it.Length = figure.Length(1 + draw(400))
		}
		it.Degrees = together(scale, pick(draw, 1, 0, 2, 3), func() figure.Degree { return Degree(draw, scale) })
		if draw(4) == 3 {
			it.Chord = &figure.Chord{Root: Degree(draw, scale), Suffix: pick(draw, "", "m7", "7", "maj7", "ø", "7 alt", "in by")}
		}
	}
	return must(figure.New(scale, unit, draw(len(items)), items...))
}

// Playable draws a figure that one can play: at least one note, within three
// octaves, lengths as music has them, though not always, rests, notes together,
// chords, a pickup.
func Playable(draw Draw) figure.Figure {
	scale := pick(draw, figure.Major, figure.Major, figure.Dorian, figure.HarmonicMinor, figure.SuperLocrian, figure.Lydian)
	if draw(4) == 3 {
		scale = Scale(draw)
	}
	straight := []figure.Length{24, 24, 48, 12, 36, 72, 96, 144, 192, 6, 3, 120, 400}
	triplets := []figure.Length{16, 16, 32, 8, 64, 48, 24, 128, 4, 2}
	lengths := [][]figure.Length{straight, triplets, slices.Concat(straight, triplets), {1, 7, 11, 25, 50, 100, 199, 300}}[draw(4)]
	near := func() figure.Degree { return degree(draw, scale, 7, 10, 2) }
	items := make([]figure.Item, draw.between(1, 8))
	sounding := draw(len(items)) // this one is no rest
	for n := range items {
		it := &items[n]
		it.Length = pick(draw, lengths...)
		many := pick(draw, 1, 1, 1, 1, 0, 2, 3)
		if n == sounding {
			many = max(many, 1)
		}
		it.Degrees = together(scale, many, near)
		if draw(5) == 4 {
			it.Chord = &figure.Chord{Root: near(), Suffix: pick(draw, "m7", "", "7 alt", "7(b9,#11)", "<&>")}
		}
	}
	before := 0
	if draw.bool() {
		before = draw(len(items))
	}
	return must(figure.New(scale, 0, before, items...))
}

// Class draws a pitch class.
func Class(draw Draw) pitch.Class { return pitch.Class(draw(12)) }

// Order draws any order of the twelve keys, in any cycles.
func Order(draw Draw) cycle.Order {
	keys := []pitch.Class{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11}
	var text strings.Builder
	for n := range keys {
		k := n + draw(12-n)
		keys[n], keys[k] = keys[k], keys[n]
		if n > 0 && draw.bool() {
			text.WriteByte('/')
		}
		text.WriteString(keys[n].String())
	}
	return must(cycle.Parse(text.String()))
}

// Route draws a route of one to so many sections of one to so many keys, each
// open or closed; keys may come again.
func Route(draw Draw, sections, keys int) cycle.Route {
	all := make([]cycle.Section, draw.between(1, sections))
	for n := range all {
		all[n].Closed = draw.bool()
		for range draw.between(1, keys) {
			all[n].Keys = append(all[n].Keys, Class(draw))
		}
	}
	return must(cycle.NewRoute(all...))
}

// Meter draws a meter: half of the time a common one, otherwise any.
func Meter(draw Draw) drill.Meter {
	if draw.bool() {
		return drill.MustParseMeter(pick(draw, "4/4", "4/4", "3/4", "2/4", "2/2", "5/4", "6/8", "9/8", "12/8", "3/8", "5/8", "7/8", "3+3+2/8", "7/16"))
	}
	unit := pick(draw, 4, 8, 2, 16)
	upper := fmt.Sprint(draw.between(1, 12))
	switch draw(4) {
	case 0, 1:
		groups := make([]string, draw.between(2, 12))
		for n := range groups {
			groups[n] = fmt.Sprint(draw.between(1, 4))
		}
		upper = strings.Join(groups, "+")
	case 2:
		if unit >= 8 {
			upper = fmt.Sprint(3 * draw.between(2, 12))
		}
	}
	return drill.MustParseMeter(fmt.Sprintf("%s/%d", upper, unit))
}

// Instrument draws an instrument whose range has so many semitones, at most 80:
// one of its own that sounds as written or elsewhere, or a known one, cut to that.
func Instrument(draw Draw, semitones int) drill.Instrument {
	i := drill.Instrument{
		Name: "own", Family: pick(draw, drill.FamilyOther, drill.FamilyBrass),
		Sounding: pick(draw, 0, 0, -interval.MajorSecond, -interval.MajorSixth, -interval.MajorNinth, -interval.MajorThirteenth,
			-interval.PerfectFifth, -interval.Octave, -interval.MinorThird, interval.MinorThird, interval.Octave),
	}
	low := draw.between(30, 60)
	if draw.bool() {
		i = pick(draw, slices.Collect(drill.Instruments(drill.LevelFull))...)
		low = int(i.Low.Number())
	}
	low = min(low, 127-max(12, i.Sounding.Semitones())-semitones) // to sound higher
	i.Low, i.High = note(low), note(low+semitones)
	return i
}

// note returns the note of a key number as the major keys are called.
func note(number int) spelling.Note {
	return figure.Major.Tonics()[pitch.ClassOf(number)].In(number/12 - 1)
}

// Settings draws settings that make a drill, along a few keys or in one of three
// times an order of all twelve.
func Settings(draw Draw) drill.Settings {
	if draw(3) < 2 {
		return Along(draw, Route(draw, 3, 6))
	}
	o := cycle.By(Interval(draw)).From(Class(draw))
	if draw.bool() {
		return Along(draw, o.Closed())
	}
	return Along(draw, o.Open())
}

// Along draws settings that make a drill of a figure along a route. Where leaving
// out is allowed, some ranges are too narrow for some of the keys.
func Along(draw Draw, r cycle.Route) drill.Settings {
	s := drill.Settings{
		Title: pick(draw, "", "Minor thirds up", `by <minor> "thirds" & more`), Figure: Playable(draw), Route: r, Meter: Meter(draw),
		Tempo:   pick(draw, 0, 60, 80, 121, drill.MinTempo, drill.MaxTempo),
		Rest:    drill.Rest(pick(draw, 0, 0, -1, 24, 96, 100)),
		Closing: drill.Closing(draw(3)), Path: drill.Path(draw(2)), Padding: drill.Padding(draw(3)), Reading: drill.Reading(draw(3)),
		Policy: spelling.Policy(draw(4)), LeaveOut: draw.bool(),
		Articulation: drill.Articulation(draw(3)), Accents: drill.Accents(draw(3)),
	}
	if draw(4) == 3 {
		s.Prefer = []spelling.Name{spelling.MustParseName("F#"), spelling.MustParseName("Cb"), spelling.MustParseName("D#")}
	}
	if draw(4) == 3 {
		s.Names = []spelling.Name{spelling.MustParseName("C#"), spelling.MustParseName("Gb"), spelling.MustParseName("Ab")}
	}
	low, high := s.Figure.Span()
	span := high.Semitones() - low.Semitones()
	wide := make([]int, pick(draw, 1, 1, 1, 2, 3, 4))
	for p := range wide {
		wide[p] = span + 11 + draw(20) // room for all twelve keys
	}
	if s.LeaveOut {
		for _, w := range wide {
			s.Parts = append(s.Parts, Instrument(draw, max(1, w-draw(w-span+1))))
		}
		fit := new(drill.FitError)
		if _, err := drill.New(s); !errors.As(err, &fit) {
			return s
		}
		s.Parts = nil // none of the keys fits
	}
	for _, w := range wide {
		s.Parts = append(s.Parts, Instrument(draw, w))
	}
	return s
}

// Sequence draws the settings of one to so many drills for the same parts, as
// they follow one another on paper and in sound, each along a few keys.
func Sequence(draw Draw, most int) []drill.Settings {
	all := []drill.Settings{Along(draw, Route(draw, 3, 4))}
	for range draw(most) {
		s := Along(draw, Route(draw, 3, 4))
		s.Parts = all[0].Parts
		if _, err := drill.New(s); err == nil { // its figure may be too wide for them
			all = append(all, s)
		}
	}
	return all
}

// Drill draws a drill of [Settings].
func Drill(draw Draw) *drill.Drill { return must(drill.New(Settings(draw))) }

// must returns what was made within the bounds of its package.
func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// A TB is what a test and a property have in common.
type TB interface {
	Helper()
	Fatalf(format string, args ...any)
}

// Table reads the table in a file as [Rows] does, and ends the test if it cannot.
func Table(t TB, file string) []map[string]string {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatalf("%v", err)
	}
	defer f.Close()
	rows, err := Rows(f)
	if err != nil || len(rows) == 0 {
		t.Fatalf("%s has %d rows, %v", file, len(rows), err)
	}
	return rows
}

// Rows reads a table of tests: fields apart by tabs, the names of the columns in
// the first line that is no remark, remarks behind #. Each row is its fields by
// the names of their columns; the error names a row with too many fields.
func Rows(r io.Reader) (rows []map[string]string, err error) {
	var columns []string
	lines := bufio.NewScanner(r)
	lines.Buffer(nil, 1<<20)
	for n := 1; lines.Scan(); n++ {
		line := lines.Text()
		if line == "" || line[0] == '#' {
			continue
		}
		fields := strings.Split(line, "\t")
		switch {
		case columns == nil:
			columns = fields
			continue
		case len(fields) > len(columns):
			return nil, fmt.Errorf("line %d has %d fields; there are %d columns", n, len(fields), len(columns))
		}
		row := map[string]string{}
		for k, f := range fields {
			row[columns[k]] = f
		}
		rows = append(rows, row)
	}
	return rows, lines.Err()
}
