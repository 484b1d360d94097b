// Package figuretest draws figures, routes, meters, instruments and drills at
// random, and reads the tables that tests compare with, as testing/fstest does
// for file systems.
//
// It imports no library of properties: whoever tests gives a [Draw], a func that
// returns a number from 0 up to a bound, and gets values that are valid and reach
// far: rests and chords, pickups, double accidentals, all scales, meters of all
// kinds, routes with one key and with many, ranges too narrow for some keys. With
// a property library a Draw is one line:
//
//	draw := func(n int) int { return rapid.IntRange(0, n-1).Draw(t, "n") }
//
// Whatever is drawn from the same numbers is the same.
package figuretest

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"strings"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/spelling"
)

// A Draw returns a number from 0 to n − 1; n is at least 1.
type Draw func(n int) int

func (draw Draw) bool() bool { return draw(2) == 1 }

// between returns a number from one to another, both included.
func (draw Draw) between(low, high int) int { return low + draw(high-low+1) }

func pick[T any](draw Draw, list ...T) T { return list[draw(len(list))] }

// Scale draws one of the common scales.
func Scale(draw Draw) figure.Scale {
	var scales []figure.Scale
	for s := range figure.CommonScales() {
		scales = append(scales, s)
	}
	return pick(draw, scales...)
}

// Degree draws a degree that a scale has, from an octave below the tonic to
// almost two above; one in four has an accidental.
func Degree(draw Draw, s figure.Scale) figure.Degree {
	for {
		d := figure.Degree{Step: int8(draw.between(-7, 12))}
		if draw(4) == 0 {
			d.Explicit, d.Alteration = true, int8(draw.between(-2, 2))
		}
		if _, err := d.Above(s); err == nil {
			return d
		}
		if d = (figure.Degree{Step: d.Step, Explicit: true}); draw.bool() {
			return d
		}
	}
}

// Figure draws a figure of one to eight events with at least one note: notes
// alone and together, rests, lengths from thirty-seconds to whole notes and some
// that no single note value has, chords, a pickup.
func Figure(draw Draw) figure.Figure {
	scale := Scale(draw)
	for {
		items := make([]figure.Item, draw.between(1, 8))
		for n := range items {
			it := &items[n]
			it.Length = pick(draw, figure.Eighth, figure.Eighth, figure.Eighth, figure.Quarter, figure.Sixteenth, figure.Quarter/3, figure.Eighth/3, figure.Quarter*3/2, figure.Whole, figure.Eighth/4, 7)
			for range pick(draw, 0, 1, 1, 1, 1, 1, 2, 3) {
				it.Degrees = append(it.Degrees, Degree(draw, scale))
			}
			if draw(5) == 0 {
				it.Chord = &figure.Chord{Root: Degree(draw, scale), Suffix: pick(draw, "", "m7", "7", "maj7", "dim7", "7b9", "6")}
			}
		}
		before := 0
		if draw(3) == 0 {
			before = draw(len(items))
		}
		// A note may be there twice at once, or none at all: then once more.
		if f, err := figure.New(scale, 0, before, items...); err == nil && f.NoteCount() > 0 {
			return f
		}
	}
}

// Order draws an order of the twelve keys: by an interval, shuffled, or one of
// the known rows, from any key.
func Order(draw Draw) cycle.Order {
	first := pitch.Class(draw(12))
	switch draw(4) {
	case 0:
		return cycle.Shuffle(uint64(draw(1 << 30))).From(first)
	case 1:
		return pick(draw, cycle.Wedge(), cycle.BalancedRow(), cycle.BySignature()).From(first)
	}
	return cycle.By(interval.Of(0, draw.between(-11, 12))).From(first)
}

// Route draws a route: an order, open or closed, or one to three sections of up
// to six keys, which may come again.
func Route(draw Draw) cycle.Route {
	if draw.bool() {
		if o := Order(draw); draw.bool() {
			return o.Closed()
		} else {
			return o.Open()
		}
	}
	sections := make([]cycle.Section, draw.between(1, 3))
	for n := range sections {
		sections[n].Closed = draw.bool()
		for range draw.between(1, 6) {
			sections[n].Keys = append(sections[n].Keys, pitch.Class(draw(12)))
		}
	}
	r, err := cycle.NewRoute(sections...)
	if err != nil {
		panic(err) // these are within the bounds
	}
	return r
}

// Meter draws a meter: simple, compound, uneven, with groups of its own.
func Meter(draw Draw) drill.Meter {
	for {
		unit := pick(draw, 2, 4, 4, 8, 8, 16)
		text := fmt.Sprint(draw.between(1, 12))
		if draw(3) == 0 {
			groups := make([]string, draw.between(2, 5))
			for n := range groups {
				groups[n] = fmt.Sprint(draw.between(1, 4))
			}
			text = strings.Join(groups, "+")
		} else if draw(4) == 0 {
			text = fmt.Sprint(3 * draw.between(2, 8))
		}
		if m, err := drill.ParseMeter(fmt.Sprintf("%s/%d", text, unit)); err == nil {
			return m
		}
	}
}

// Instrument draws an instrument whose range has so many semitones: one of the
// known ones, cut to that, or one of its own that sounds elsewhere than written.
func Instrument(draw Draw, semitones int) drill.Instrument {
	low := draw.between(36, 52)
	i := drill.Instrument{Name: "own", Sounding: pick(draw, 0, 0, -interval.MajorSecond, -interval.MajorSixth, -interval.MajorNinth, -interval.PerfectFifth,
		-interval.Octave, interval.MinorThird, interval.Octave)}
	if draw(3) > 0 {
		var known []drill.Instrument
		for k := range drill.Instruments(drill.LevelFull) {
			known = append(known, k)
		}
		i = pick(draw, known...)
		low = int(i.Low.Number())
	}
	i.Low, i.High = note(low), note(min(low+semitones, 127))
	return i
}

// note returns the note of a key number as the major keys are called.
func note(number int) spelling.Note {
	return figure.Major.Tonics()[pitch.ClassOf(number)].In(number/12 - 1)
}

// Settings draws settings that make a drill. Where leaving out is allowed, some
// ranges are too narrow for some of the keys.
func Settings(draw Draw) drill.Settings {
	for {
		s := drill.Settings{
			Title: pick(draw, "", "any"), Figure: Figure(draw), Route: Route(draw), Meter: Meter(draw),
			Tempo:   pick(draw, 0, 60, 97, 160, drill.MinTempo, drill.MaxTempo),
			Rest:    drill.Rest(pick(draw, 0, 0, -1, 24, 96, 100, 192)),
			Closing: drill.Closing(draw(3)), Path: drill.Path(draw(2)), Padding: drill.Padding(draw(3)), Reading: drill.Reading(draw(3)),
			Policy: spelling.Policy(draw(4)), LeaveOut: draw.bool(),
		}
		if draw(4) == 0 {
			s.Prefer = []spelling.Name{spelling.MustParseName(pick(draw, "F#", "Cb", "D#", "Gb"))}
		}
		if draw(4) == 0 {
			s.Names = []spelling.Name{spelling.MustParseName(pick(draw, "C#", "Gb", "Ab"))}
		}
		low, high := s.Figure.Span()
		enough := high.Semitones() - low.Semitones() + 11
		for range pick(draw, 1, 1, 1, 2, 3) {
			semitones := enough + draw(20)
			if s.LeaveOut && draw.bool() {
				semitones = max(1, enough-draw(12))
			}
			s.Parts = append(s.Parts, Instrument(draw, semitones))
		}
		if _, err := drill.New(s); err == nil {
			return s
		} else if fit := new(drill.FitError); !errors.As(err, &fit) {
			panic(err) // all else is within the bounds
		}
	}
}

// Drill draws a drill of Settings.
func Drill(draw Draw) *drill.Drill {
	d, err := drill.New(Settings(draw))
	if err != nil {
		panic(err) // Settings has tried it
	}
	return d
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
