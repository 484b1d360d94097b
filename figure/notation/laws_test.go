package notation_test

import (
	"fmt"
	"iter"
	"slices"
	"strings"
	"testing"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/figuretest"
	. "example.com/keyorder/figure/notation"
	"example.com/keyorder/interval"
	"example.com/keyorder/spelling"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// meters are thirteen common meters, and some that are not.
var meters = []string{
	"2/2", "2/4", "3/4", "4/4", "5/4", "6/8", "9/8", "12/8", "3/8", "5/8", "7/8", "3+3+2/8", "7/16",
	"1/4", "6/4", "3+3/4", "3+2/4", "4+3/4", "3/2", "4/2", "2+2/2", "2/8", "4/8", "8/8", "11/8", "2+3/8", "1/16", "4/16", "5/16", "9/16", "12/16",
}

// drawn draws what a func of figuretest makes.
func drawn[V any](gen func(figuretest.Draw) V) *rapid.Generator[V] {
	return rapid.Custom(func(t *rapid.T) V {
		return gen(func(n int) int { return rapid.IntRange(0, n-1).Draw(t, "n") })
	})
}

// pipe is an instrument of our own that all figures of the tests fit.
func pipe(sounding interval.Interval) drill.Instrument {
	return drill.Instrument{Name: "test pipe", Low: spelling.MustParse("C2"), High: spelling.MustParse("C8"), Sounding: sounding}
}

// A sample is a score with the drills that it was made from.
type sample struct {
	*Score
	drills []*drill.Drill
}

// anySample draws settings of one or two drills, so that they are printed, and
// returns their score. Some are for instruments of several clefs.
func anySample(t *rapid.T) sample {
	settings := drawn(func(draw figuretest.Draw) []drill.Settings { return figuretest.Sequence(draw, 2) }).Draw(t, "settings")
	reads := anyReader().Draw(t, "reader")
	for n := range settings[0].Parts {
		for _, s := range settings {
			s.Parts[n].Clef, s.Parts[n].Also, s.Parts[n].Grand = reads.Clef, reads.Also, reads.Grand
		}
	}
	var drills []*drill.Drill
	for _, s := range settings {
		drills = append(drills, newDrill(t, s))
	}
	o := Options{Signatures: rapid.Bool().Draw(t, "signatures"), ByBeat: rapid.Bool().Draw(t, "by beat")}
	return sample{newScore(t, o, drills...), drills}
}

// checkBars checks a law on every part of any score, given its bars and where
// in the score each drill begins.
func checkBars(t *testing.T, law func(t *rapid.T, s sample, part int, bars []Bar)) {
	t.Helper()
	rapid.Check(t, func(t *rapid.T) {
		s := anySample(t)
		for part := range s.Parts() {
			law(t, s, part, barsOf(s.Score, part))
		}
	})
}

// drillBars returns the bars of drill n of a score, and how many come before.
func (s sample) drillBars(n int, bars []Bar) ([]Bar, int) {
	before := 0
	for _, d := range s.drills[:n] {
		before += d.Bars()
	}
	return bars[before : before+s.drills[n].Bars()], before
}

func TestLawBarsAddUpToTheMeter(t *testing.T) {
	checkBars(t, func(t *rapid.T, s sample, part int, bars []Bar) {
		for _, b := range bars {
			checkFull(t, b)
		}
	})
}

// checkFull fails if the symbols of a bar do not fill it, each with its value
// and each triplet whole.
func checkFull(t tb, b Bar) {
	t.Helper()
	at, sum := figure.Length(0), 0
	group := 0 // sixths of the triplet that is open
	open := false
	for _, s := range b.Symbols {
		if s.Onset != at || s.Length <= 0 {
			t.Fatalf("bar %d: a symbol of length %v at %v, expected at %v: %s", b.Number, s.Length, s.Onset, at, barText(b))
		}
		at += s.Length
		if s.FullBar {
			switch {
			case len(b.Symbols) > 1:
				t.Fatalf("bar %d: a full bar's rest %+v in %v: something stands beside it", b.Number, s, b.Meter)
			case len(s.Notes) > 0:
				t.Fatalf("bar %d: a full bar's rest %+v in %v: it has notes", b.Number, s, b.Meter)
			case s.Length != b.Meter.Bar():
				t.Fatalf("bar %d: a full bar's rest %+v in %v: it lasts %v", b.Number, s, b.Meter, s.Length)
			case s.Value != (Value{Base: 1}):
				t.Fatalf("bar %d: a full bar's rest %+v in %v: its value is another", b.Number, s, b.Meter)
			}
			return
		}
		switch v := s.Value; {
		case v.Base == 0:
			t.Fatalf("bar %d: value %+v for a length of %v: there is none", b.Number, v, s.Length)
		case v.Base&(v.Base-1) != 0:
			t.Fatalf("bar %d: value %+v for a length of %v: no power of two", b.Number, v, s.Length)
		case v.Base > 128:
			t.Fatalf("bar %d: value %+v for a length of %v: shorter than a 128th", b.Number, v, s.Length)
		case v.Dots > 1:
			t.Fatalf("bar %d: value %+v for a length of %v: too many dots", b.Number, v, s.Length)
		case Sixths(v) != 6*int(s.Length):
			t.Fatalf("bar %d: value %+v for a length of %v: it lasts another time", b.Number, v, s.Length)
		}
		sum += Sixths(s.Value)
		begins, ends := s.Triplet == GroupBegins, s.Triplet == GroupEnds
		switch in := s.Triplet != GroupOutside; {
		case s.Value.Triplet != in:
			t.Fatalf("bar %d: group %v, value %+v: %s: the value and the group disagree", b.Number, s.Triplet, s.Value, barText(b))
		case in != (open || begins):
			t.Fatalf("bar %d: group %v, value %+v: %s: a group is open, or not", b.Number, s.Triplet, s.Value, barText(b))
		case open && begins:
			t.Fatalf("bar %d: group %v, value %+v: %s: a group begins in another", b.Number, s.Triplet, s.Value, barText(b))
		case s.Triplet > GroupEnds:
			t.Fatalf("bar %d: group %v, value %+v: %s: there is no such group", b.Number, s.Triplet, s.Value, barText(b))
		}
		if begins {
			open, group = true, 0
		}
		group += Sixths(s.Value)
		if ends {
			open = false
			if base := 6 * 192 / group; base*group != 6*192 || base&(base-1) != 0 {
				t.Fatalf("bar %d: a triplet of %d/%d of a whole note: %s", b.Number, group, 6*192, barText(b))
			}
		}
	}
	if open || at != b.Meter.Bar() || sum != 6*int(at) {
		t.Fatalf("bar %d in %v: full to %v, values to %d/6: %s", b.Number, b.Meter, at, sum, barText(b))
	}
}

// A sound is a note with all that is tied to it.
type sound struct {
	Onset, Length    figure.Length
	Note             spelling.Note
	Statement, Index int
}

// soundsOf reads the bars of a drill: it follows each note through its ties.
func soundsOf(t tb, bars []Bar) []sound {
	t.Helper()
	var all []sound
	open := map[spelling.Note]int{} // by note, which sound goes on
	at := figure.Length(0)
	for _, b := range bars {
		for _, s := range b.Symbols {
			next := map[spelling.Note]int{}
			for n, note := range s.Notes {
				if n > 0 && s.Notes[n-1].Note >= note.Note {
					t.Fatalf("bar %d: notes out of order: %s", b.Number, barText(b))
				}
				k := len(all)
				if note.TieIn {
					was, ok := open[note.Note]
					switch {
					case !ok:
						t.Fatalf("bar %d: nothing is tied to %v: %s: no note before", b.Number, note.Note, barText(b))
					case all[was].Statement != note.Statement:
						t.Fatalf("bar %d: nothing is tied to %v: %s: it is of another statement", b.Number, note.Note, barText(b))
					case all[was].Index != note.Index:
						t.Fatalf("bar %d: nothing is tied to %v: %s: it is another note of the figure", b.Number, note.Note, barText(b))
					}
					k = was
				} else {
					all = append(all, sound{at + s.Onset, 0, note.Note, note.Statement, note.Index})
				}
				delete(open, note.Note)
				all[k].Length += s.Length
				if note.TieOut {
					next[note.Note] = k
				}
			}
			if len(open) > 0 {
				t.Fatalf("bar %d: a tie leads nowhere: %s", b.Number, barText(b))
			}
			open = next
		}
		at += b.Meter.Bar()
	}
	if len(open) > 0 {
		t.Fatalf("a tie goes on after the end")
	}
	return all
}

func TestLawTiesAddUpToTheLengthAndNothingElseSounds(t *testing.T) {
	checkBars(t, func(t *rapid.T, s sample, part int, bars []Bar) {
		for n, d := range s.drills {
			own, _ := s.drillBars(n, bars)
			var want []sound
			for st := range d.Parts()[part].Statements() {
				events := st.Events()
				slices.SortStableFunc(events, func(a, b figure.Event) int {
					if a.Onset != b.Onset {
						return int(a.Onset - b.Onset)
					}
					return int(a.Note - b.Note)
				})
				for _, e := range events {
					want = append(want, sound{st.Onset + e.Onset, e.Length, e.Note, st.Index, e.Index})
				}
			}
			if diff := cmp.Diff(want, soundsOf(t, own)); diff != "" {
				t.Fatalf("part %d of drill %d (-statements +bars):\n%s", part, n, diff)
			}
		}
	})
}

func TestLawBarsAreCountedAndNumbered(t *testing.T) {
	checkBars(t, func(t *rapid.T, s sample, part int, bars []Bar) {
		if len(bars) != s.Bars() {
			t.Fatalf("%d bars, Bars says %d", len(bars), s.Bars())
		}
		total := 0
		for n, d := range s.drills {
			own, before := s.drillBars(n, bars)
			total += len(own)
			settings := d.Settings()
			for k, b := range own {
				title := ""
				if k == 0 {
					title = settings.Title
				}
				switch {
				case b.Number != before+k+1:
					t.Fatalf("bar %d of %d of drill %d: %+v: the number", k, len(own), n, b)
				case b.Opens != (k == 0):
					t.Fatalf("bar %d of %d of drill %d: %+v: whether the drill opens with it", k, len(own), n, b)
				case b.Title != title:
					t.Fatalf("bar %d of %d of drill %d: %+v: the title", k, len(own), n, b)
				case b.Tempo != settings.Tempo:
					t.Fatalf("bar %d of %d of drill %d: %+v: the tempo", k, len(own), n, b)
				case b.Meter != settings.Meter:
					t.Fatalf("bar %d of %d of drill %d: %+v: the meter", k, len(own), n, b)
				case (b.End == BarlineFinal) != (k == len(own)-1):
					t.Fatalf("bar %d of %d of drill %d: %+v: the final barline", k, len(own), n, b)
				}
			}
		}
		if total != len(bars) {
			t.Fatalf("%d bars, the drills have %d", len(bars), total)
		}
	})
}

func TestLawTheDownbeatFallsWhereItShould(t *testing.T) {
	checkBars(t, func(t *rapid.T, s sample, part int, bars []Bar) {
		for n, d := range s.drills {
			own, _ := s.drillBars(n, bars)
			settings := d.Settings()
			bar := settings.Meter.Bar()
			// The figure's note on its downbeat, if one begins there.
			downbeat := slices.IndexFunc(settings.Figure.In(0), func(e figure.Event) bool { return e.Onset == 0 })
			statements := slices.Collect(d.Parts()[part].Statements())
			for k, b := range own {
				for _, sym := range b.Symbols {
					for _, note := range sym.Notes {
						st := statements[note.Statement]
						at := figure.Length(k)*bar + sym.Onset
						if note.TieIn || st.Held {
							continue
						}
						if before := settings.Figure.In(0)[note.Index].Onset < 0; before != (at < st.Onset) {
							t.Fatalf("note %d of statement %d at %v; its downbeat is at %v", note.Index, st.Index, at, st.Onset)
						}
						if note.Index != downbeat {
							continue
						}
						on := at == st.Onset
						switch settings.Padding {
						case drill.PaddingBar:
							on = on && sym.Onset == 0
						case drill.PaddingBeat:
							beat := figure.Length(0)
							for i := 0; beat < sym.Onset; i++ {
								beat += b.Meter.Beat(i)
							}
							on = on && beat == sym.Onset
						}
						if !on {
							t.Fatalf("statement %d, %v: its downbeat stands at %v of bar %d in %v", st.Index, settings.Padding, sym.Onset, b.Number, b.Meter)
						}
					}
				}
			}
		}
	})
}

// closings returns the barline before each section of a drill but the first: the
// nearest before its pickup that ends nothing too early, or else the downbeat's.
func closings(d *drill.Drill, part int) map[int]figure.Length {
	f, bar := d.Settings().Figure, d.Settings().Meter.Bar()
	lead := max(0, -f.In(0)[0].Onset)
	all := map[int]figure.Length{}
	last, over := 0, figure.Length(0)
	for st := range d.Parts()[part].Statements() {
		if st.Section != last {
			if all[st.Section] = (st.Onset - lead) / bar * bar; all[st.Section] < over {
				all[st.Section] = st.Onset
			}
		}
		if over = st.Onset + f.Length() - f.Pickup(); st.Held {
			over = st.Onset + bar
		}
		last = st.Section
	}
	return all
}

func TestLawSectionsAreNumberedAndClosedByADoubleBarline(t *testing.T) {
	checkBars(t, func(t *rapid.T, s sample, part int, bars []Bar) {
		for n, d := range s.drills {
			own, _ := s.drillBars(n, bars)
			section := make([]int, len(own))
			end := make([]Barline, len(own))
			bar := d.Settings().Meter.Bar()
			lead := max(0, -d.Settings().Figure.In(0)[0].Onset) // its pickup, but for rests that it begins with
			last, closed := -1, closings(d, part)
			for st := range d.Parts()[part].Statements() {
				if st.Section != last {
					begins := st.Onset - lead
					if at := closed[st.Section]; st.Index > 0 {
						end[at/bar-1] = BarlineDouble
					}
					section[begins/bar] = st.Section + 1
					if b := own[begins/bar]; b.SectionOnset != begins%bar {
						t.Fatalf("bar %d: section %d at %v, not %v", b.Number, b.Section, b.SectionOnset, begins%bar)
					}
				}
				last = st.Section
			}
			end[len(end)-1] = BarlineFinal
			for k, b := range own {
				if b.Section != section[k] || b.End != end[k] {
					t.Fatalf("bar %d: section %d, %v barline; expected %d and %v", b.Number, b.Section, b.End, section[k], end[k])
				}
			}
		}
	})
}

func TestLawEveryStatementHasItsLabels(t *testing.T) {
	checkBars(t, func(t *rapid.T, s sample, part int, bars []Bar) {
		for n, d := range s.drills {
			own, _ := s.drillBars(n, bars)
			// Where each statement's first note stands, as the bars have it.
			first := map[int]figure.Length{}
			for _, note := range slices.Backward(soundsOf(t, own)) {
				first[note.Statement] = note.Onset
			}
			var got, want []Label
			bar := d.Settings().Meter.Bar()
			for k, b := range own {
				for _, l := range b.Labels {
					if l.Onset < 0 || l.Onset >= bar {
						t.Fatalf("bar %d: a label at %v", b.Number, l.Onset)
					}
					l.Onset += figure.Length(k) * bar
					got = append(got, l)
				}
			}
			for st := range d.Parts()[part].Statements() {
				key := Label{st.Onset, LabelKindKey, st.Written.Name(), ""}
				for range st.Chords() {
					key.Kind = LabelKindChanges
				}
				if st.Return {
					key.Kind = LabelKindReturn
				}
				if st.Rests {
					key.Kind = LabelKindRest
					if !st.Held { // where the others begin
						key.Onset += min(0, d.Settings().Figure.In(0)[0].Onset)
					}
				} else {
					// A rest that the figure begins with is under its key.
					key.Onset = min(first[st.Index], st.Onset)
				}
				want = append(want, key)
				for c := range st.Chords() {
					want = append(want, Label{st.Onset + c.Onset, LabelKindChord, c.Root, c.Suffix})
				}
			}
			slices.SortStableFunc(want, func(a, b Label) int { return int(a.Onset - b.Onset) })
			if diff := cmp.Diff(want, got); diff != "" {
				t.Fatalf("labels (-statements +bars):\n%s", diff)
			}
		}
	})
}

// eighths says which stretches of plain eighths have one beam, by meter: so many
// eighths each, one after another. Source: an open course and a theory handbook
// (2/4, 3/4, 4/4); for the others common practice, no source.
var eighths = map[string][]figure.Length{
	"2/4": {4}, "3/4": {6}, "4/4": {4, 4}, "2/2": {4, 4}, "3/2": {4, 4, 4}, "4/2": {4, 4, 4, 4}, "2+2/2": {4, 4, 4, 4},
	"3+3/4": {6, 6}, "3+2/4": {6, 4}, "2+3/4": {4, 6}, "4+3/4": {4, 4, 6},
}

// inOne reports whether a bar has one beam over two places because a stretch
// about them holds plain eighths and nothing else.
func inOne(b Bar, first, second figure.Length) bool {
	stretches, ok := eighths[b.Meter.String()]
	if !ok { // of other meters those groups that are half notes, or three quarters
		for n := range b.Meter.Beats() {
			switch l := b.Meter.Beat(n) / figure.Eighth; {
			case l == 6:
				stretches = append(stretches, 6)
			case l%4 == 0 && b.Meter.Beat(n)%figure.Half == 0:
				stretches = append(stretches, slices.Repeat([]figure.Length{4}, int(l/4))...)
			default: // a group that is none is passed over
				stretches = append(stretches, l)
			}
		}
	}
	from := figure.Length(0)
	for _, n := range stretches {
		to := from + n*figure.Eighth
		if !ok && n != 6 && n != 4 {
			from = to
			continue
		}
		if first >= from && second < to {
			plain := figure.Length(0)
			for _, s := range b.Symbols {
				if s.Onset >= from && s.Onset < to && len(s.Notes) > 0 && s.Value == (Value{Base: 8}) {
					plain++
				}
			}
			return plain == n
		}
		from = to
	}
	return false
}

func TestLawBeamsJoinTheFlagsOfEachBeat(t *testing.T) {
	checkBars(t, func(t *rapid.T, s sample, part int, bars []Bar) {
		for _, b := range bars {
			checkBeams(t, b, s.Options().ByBeat)
		}
	})
}

// beamed yields the symbols that each beam of eighths holds together.
func beamed(b Bar) iter.Seq[[]Symbol] {
	return func(yield func([]Symbol) bool) {
		from := 0
		for n, s := range b.Symbols {
			switch s.Beams[0] {
			case BeamBegins:
				from = n
			case BeamEnds:
				if !yield(b.Symbols[from : n+1]) {
					return
				}
			}
		}
	}
}

func TestLawNoBeamCrossesTheMiddle(t *testing.T) {
	checkBars(t, func(t *rapid.T, s sample, part int, bars []Bar) {
		for _, b := range bars {
			if m := b.Meter.String(); m != "4/4" && m != "2/2" && m != "12/8" {
				continue
			}
			for group := range beamed(b) {
				if middle := b.Meter.Bar() / 2; group[0].Onset < middle && group[len(group)-1].Onset >= middle {
					t.Fatalf("bar %d in %v: %s", b.Number, b.Meter, barText(b))
				}
			}
		}
	})
}

// All that a beam joins is in one triplet, or in none.
func TestLawNoBeamTakesInPartOfATriplet(t *testing.T) {
	checkBars(t, func(t *rapid.T, s sample, part int, bars []Bar) {
		for _, b := range bars {
			in, at := 0, map[figure.Length]int{} // which triplet, by onset
			for n, s := range b.Symbols {
				if s.Triplet == GroupBegins {
					in = n + 1
				}
				if s.Triplet != GroupOutside {
					at[s.Onset] = in
				}
			}
			for group := range beamed(b) {
				for _, s := range group {
					if at[s.Onset] != at[group[0].Onset] {
						t.Fatalf("bar %d: %s", b.Number, barText(b))
					}
				}
			}
		}
	})
}

// checkBeams fails if beams are not begun and ended in turn, cross a beat or a
// rest, do not match the values, or leave out a flag that they could join.
func checkBeams(t tb, b Bar, byBeat bool) {
	t.Helper()
	flags := func(n int) int {
		if n < 0 || n >= len(b.Symbols) || len(b.Symbols[n].Notes) == 0 {
			return 0
		}
		switch b.Symbols[n].Value.Base {
		case 8:
			return 1
		case 16:
			return 2
		case 32:
			return 3
		case 64:
			return 4
		case 128:
			return 5
		}
		return 0
	}
	joined := func(n int) bool { // symbol n with the one after it
		if flags(n) == 0 || flags(n+1) == 0 || b.Symbols[n].Triplet == GroupEnds || b.Symbols[n+1].Triplet == GroupBegins {
			return false
		}
		one, two := b.Symbols[n].Onset, b.Symbols[n+1].Onset
		return BeatOf(b.Meter, one) == BeatOf(b.Meter, two) || !byBeat && inOne(b, one, two)
	}
	for n, s := range b.Symbols {
		for level, got := range s.Beams {
			before := n > 0 && joined(n-1) && flags(n-1) > level
			after := n+1 < len(b.Symbols) && joined(n) && flags(n+1) > level
			alone := !(n > 0 && joined(n-1)) && !(n+1 < len(b.Symbols) && joined(n))
			var want []Beam
			switch {
			case flags(n) <= level || alone:
				want = []Beam{BeamNone}
			case before && after:
				want = []Beam{BeamGoesOn}
			case before:
				want = []Beam{BeamEnds}
			case after:
				want = []Beam{BeamBegins}
			case !joined(n): // the last of its group
				want = []Beam{BeamHookBackward}
			case n == 0 || !joined(n-1):
				want = []Beam{BeamHookForward}
			default:
				want = []Beam{BeamHookForward, BeamHookBackward}
			}
			if !slices.Contains(want, got) {
				t.Fatalf("bar %d in %v: beam %d of symbol %d is %v, expected one of %v: %s", b.Number, b.Meter, level, n, got, want, barText(b))
			}
		}
	}
}

func TestLawAPlayerReadsTheNotesThatSound(t *testing.T) {
	checkBars(t, func(t *rapid.T, s sample, part int, bars []Bar) {
		readAccidentals(t, bars)
		for k, b := range bars {
			old := 0
			if k > 0 {
				old = bars[k-1].Signature
			}
			if b.NewSignature != (b.Signature != old) || b.Signature != 0 && !s.Options().Signatures {
				t.Fatalf("bar %d: signature %d after %d, new %v", b.Number, b.Signature, old, b.NewSignature)
			}
		}
	})
}

// readAccidentals reads bars as a player does: an accidental holds for its line
// or space to the barline, a tie carries it over, otherwise the signature
// counts. It fails where that is not the note that is meant, where an
// accidental is shown that says nothing new, and where a reminder is missing.
func readAccidentals(t tb, bars []Bar) {
	t.Helper()
	type place struct {
		letter spelling.Letter
		octave int
	}
	const both = 99 // two notes stood on the line: a player needs to be told
	var before map[place]int
	tied := map[place][]int{}
	for _, b := range bars {
		if b.Opens {
			before = nil
		}
		holds := map[place]int{}
		for _, s := range b.Symbols {
			next := map[place][]int{}
			for n, note := range s.Notes {
				p := place{note.Note.Letter(), note.Note.Octave()}
				fail := func(what string) {
					t.Fatalf("bar %d: %v: %s: %s", b.Number, note.Note, what, barText(b))
				}
				meant := note.Note.Alteration()
				read, marked := holds[p]
				if !marked {
					// Signatures are written F C G D A E B, and in flats backward.
					order := slices.Index([]spelling.Letter{spelling.LetterF, spelling.LetterC, spelling.LetterG, spelling.LetterD, spelling.LetterA, spelling.LetterE, spelling.LetterB}, p.letter)
					if b.Signature > order {
						read = 1
					} else if -b.Signature > 6-order {
						read = -1
					}
				}
				if note.TieIn {
					if note.Accidental != AccidentalHidden {
						fail("an accidental on a tied note")
					}
					if !slices.Contains(tied[p], meant) {
						fail("no such note is tied to it")
					}
				} else {
					switch note.Accidental {
					case AccidentalShown:
						if read == meant {
							fail("a needless accidental")
						}
					case AccidentalCautionary:
						if read != meant {
							fail("a needed accidental is only cautionary")
						}
					default:
						if read != meant {
							fail(fmt.Sprintf("it reads as altered by %d", read))
						}
						if was, ok := before[p]; ok && was != meant && !marked {
							fail("no reminder after the bar")
						}
						for other, was := range holds {
							if other.letter == p.letter && other != p && was != meant && !marked {
								fail("no reminder in another octave")
							}
						}
					}
					holds[p] = meant
				}
				if note.TieOut {
					next[p] = append(next[p], meant)
				}
				if n > 0 {
					if o := s.Notes[n-1].Note; o.Letter() == p.letter && o.Octave() == p.octave {
						holds[p] = both
					}
				}
			}
			tied = next
		}
		before = holds
	}
}

// mayHideTheMiddle says which single notes may hide the middle of a 4/4 bar.
// Common practice, no source: one that begins on the barline, a half note on
// the second beat, and a dotted half from there to the barline.
func mayHideTheMiddle(from, to figure.Length) bool {
	return from == 0 || from == 48 && (to == 144 || to == 192)
}

func TestLawTheMiddleOfABarOfFourIsHiddenBySyncopationsOnly(t *testing.T) {
	checkBars(t, func(t *rapid.T, s sample, part int, bars []Bar) {
		for _, b := range bars {
			checkMiddle(t, b)
		}
	})
}

// checkMiddle fails if a value hides the middle of a 4/4 bar that must not, or
// a rest does. A triplet of half notes fills the bar and is left aside.
func checkMiddle(t tb, b Bar) {
	t.Helper()
	if b.Meter.String() != "4/4" {
		return
	}
	for n, s := range b.Symbols {
		from, to := s.Onset, s.Onset+s.Length
		if from >= 96 || to <= 96 || s.FullBar {
			continue
		}
		last := slices.IndexFunc(b.Symbols, func(s Symbol) bool { return s.Triplet == GroupEnds })
		wide := b.Symbols[0].Triplet == GroupBegins && last == len(b.Symbols)-1 && n <= last
		if !wide && (len(s.Notes) == 0 || !mayHideTheMiddle(from, to)) {
			t.Fatalf("bar %d: from %v to %v: %s", b.Number, from, to, barText(b))
		}
	}
}

// A rest hides no beat, as a player counts them, but in a bar of four beats of
// which it fills a half; and in compound meters no note hides one unless it is
// as long as whole beats.
func TestLawBeatsAreSeen(t *testing.T) {
	checkBars(t, func(t *rapid.T, s sample, part int, bars []Bar) {
		for _, b := range bars {
			m := b.Meter
			beats := map[figure.Length]bool{m.Bar(): true}
			even := !m.Compound()
			at := figure.Length(0)
			for n := range m.Beats() {
				beats[at] = true
				at += m.Beat(n)
				even = even && m.Beat(n) == m.Beat(0)
			}
			for _, sym := range b.Symbols {
				from, to := sym.Onset, sym.Onset+sym.Length
				hides := false
				for beat := range beats {
					hides = hides || beat > from && beat < to
				}
				if !hides || sym.FullBar || sym.Value.Triplet {
					continue
				}
				rest := len(sym.Notes) == 0
				half := m.Beats() == 4 && even && sym.Length*2 == m.Bar() && from%sym.Length == 0
				if rest && !half || !rest && !even && !(beats[from] && beats[to]) {
					t.Fatalf("bar %d in %v: from %v to %v: %s", b.Number, m, from, to, barText(b))
				}
			}
		}
	})
}

func TestLawDottedRestsAreDottedBeats(t *testing.T) {
	checkBars(t, func(t *rapid.T, s sample, part int, bars []Bar) {
		for _, b := range bars {
			for _, sym := range b.Symbols {
				if len(sym.Notes) > 0 || sym.Value.Dots == 0 {
					continue
				}
				at, n := figure.Length(0), 0
				for at < sym.Onset {
					at += b.Meter.Beat(n)
					n++
				}
				if at != sym.Onset || b.Meter.Beat(n) != sym.Length {
					t.Fatalf("bar %d in %v: %s", b.Number, b.Meter, barText(b))
				}
			}
		}
	})
}

func TestLawStraightBarsHaveNoTriplets(t *testing.T) {
	checkBars(t, func(t *rapid.T, s sample, part int, bars []Bar) {
		for n, d := range s.drills {
			own, _ := s.drillBars(n, bars)
			crooked := map[figure.Length]bool{} // bars in which a note begins or ends off the 64ths
			bar := d.Settings().Meter.Bar()
			for st := range d.Parts()[part].Statements() {
				for _, e := range st.Events() {
					for _, at := range []figure.Length{st.Onset + e.Onset, st.Onset + e.Onset + e.Length} {
						if at%3 != 0 {
							crooked[at/bar] = true
						}
					}
				}
			}
			for k, b := range own {
				triplets := slices.ContainsFunc(b.Symbols, func(s Symbol) bool { return s.Triplet != GroupOutside })
				if triplets != crooked[figure.Length(k)] {
					t.Fatalf("bar %d: triplets %v: %s", b.Number, triplets, barText(b))
				}
			}
		}
	})
}

// Small bars are checked whole: every note that fits in, with rests around it.
func TestLawOneNoteAnywhereInABar(t *testing.T) {
	for _, text := range meters {
		m := parseMeter(t, text)
		unit, bar := Step, m.Bar()
		if text == "4/4" || text == "6/8" || text == "7/16" {
			unit = 1
		}
		for from := figure.Length(0); from < bar; from += unit {
			for to := from + unit; to <= bar; to += unit {
				b := BarAround(m, from, to, []Note{{Note: spelling.MustParse("C4")}})
				checkFull(t, b)
				checkBeams(t, b, false)
				checkMiddle(t, b)
				switch got := soundsOf(t, []Bar{b}); {
				case len(got) != 1:
					t.Fatalf("%v: from %v to %v: %s: %d notes", m, from, to, barText(b), len(got))
				case got[0].Onset != from:
					t.Fatalf("%v: from %v to %v: %s: it begins at %v", m, from, to, barText(b), got[0].Onset)
				case got[0].Length != to-from:
					t.Fatalf("%v: from %v to %v: %s: it lasts %v", m, from, to, barText(b), got[0].Length)
				}
			}
		}
	}
}

func TestLawARunCanBeRepeatedAndStoppedEarly(t *testing.T) {
	checkBars(t, func(t *rapid.T, s sample, part int, all []Bar) {
		stop := rapid.IntRange(1, len(all)).Draw(t, "stop")
		var some []Bar
		for b := range s.PartBars(s.Parts()[part]) {
			some = append(some, b)
			if len(some) == stop {
				break
			}
		}
		if diff := cmp.Diff(all[:stop], some, cmp.Comparer(func(a, b drill.Meter) bool { return a == b })); diff != "" {
			t.Fatalf("the second run, stopped after %d (-first +second):\n%s", stop, diff)
		}
	})
}

// Labels stand in the order of their onsets: a chord over the rest that a pickup
// begins with comes before the key, which stands over the first note.
func TestLabelsStandInOrder(t *testing.T) {
	d := newDrill(t, drill.Settings{Figure: parseFigure(t, "{5 7} 0:2 v5 | {1 maj7} 1 3 2:2"), Route: parseRoute(t, "02"), Parts: []drill.Instrument{pipe(0)}})
	var got []string
	last := figure.Length(-1)
	for n, b := range barsOf(newScore(t, Options{}, d), 0) {
		for _, l := range b.Labels {
			got = append(got, l.String())
			at := figure.Length(n)*b.Meter.Bar() + l.Onset
			if at < last {
				t.Errorf("%v stands at %v, after %v", l, at, last)
			}
			last = at
		}
	}
	if want := "G7 in C Cmaj7 A7 in D Dmaj7"; strings.Join(got, " ") != want {
		t.Errorf("the labels are %s, want %s", got, want)
	}
}

// A statement that lies before its downbeat lasts up to that and no longer, also
// where the barline comes right after: here every second one's is the last
// 1/192 before a barline.
func TestADownbeatThatRests(t *testing.T) {
	d := newDrill(t, drill.Settings{
		Figure: parseFigure(t, "1:5 | 0:6 by 1/192"), Route: parseRoute(t, "02"), Meter: parseMeter(t, "1/16"),
		Parts: []drill.Instrument{pipe(0)}, Rest: drill.NoRest, Padding: drill.PaddingRunOn,
	})
	bars := barsOf(newScore(t, Options{}, d), 0)
	first, second := 0, 0
	for n, s := range slices.Collect(d.Parts()[0].Statements()) {
		*[]*int{&first, &second}[n] = int(s.Onset)
	}
	if first%12 != 0 || second%12 != 11 {
		t.Fatalf("the downbeats are at %d and %d", first, second)
	}
	if got := bars[second/12+1].Seam; got != SeamRest {
		t.Errorf("the bar after the last statement's downbeat begins between %v", got)
	}
}

// Plain eighths have one beam over a half only where all of it is plain: in every
// bar of eighths, one of them is cut into sixteenths, and then none.
func TestLawEighthsBesideSixteenths(t *testing.T) {
	for text := range eighths {
		m := parseMeter(t, text)
		count := int(m.Bar() / figure.Eighth)
		for cut := range count + 1 {
			words := slices.Repeat([]string{"1", "4", "b3"}, count)[:count]
			if cut < count {
				words[cut] = "b7:1/2 5:1/2"
			}
			d := newDrill(t, drill.Settings{Figure: parseFigure(t, strings.Join(words, " ")), Route: parseRoute(t, "0"), Meter: m, Parts: []drill.Instrument{pipe(0)}, Rest: drill.NoRest})
			for _, b := range barsOf(newScore(t, Options{}, d), 0) {
				checkFull(t, b)
				checkBeams(t, b, false)
			}
		}
	}
}

// A triplet fills a note value, at most a whole note: three notes that divide a
// bar into thirds, in any meter.
func TestLawThirdsOfABar(t *testing.T) {
	for _, text := range meters {
		m := parseMeter(t, text)
		for n := range figure.Length(3) {
			if m.Bar()%3 != 0 {
				break
			}
			b := BarAround(m, n*m.Bar()/3, (n+1)*m.Bar()/3, []Note{{Note: spelling.MustParse("C4")}})
			checkFull(t, b)
			checkBeams(t, b, false)
		}
	}
}
