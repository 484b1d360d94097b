package drill_test

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	. "example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/figuretest"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/spelling"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// The exhaustive search below knows nothing of the shortest path: it puts the
// tonics of a section in every octave in which all that sounds is in range,
// drops the ways in which a tonic moves more than an octave, and prices what is
// left as the documentation of Path does.

// placing is a statement as the search sees it.
type placing struct {
	class       int   // of the written tonic
	offsets     []int // of what sounds, from the tonic
	first, last int   // offsets of the figure's first and last note
}

// candidates are the key numbers of the tonic at which all is in range.
func (p placing) candidates(i Instrument) (all []int) {
	for tonic := -240; tonic < 360; tonic++ {
		in := pitch.ClassOf(tonic) == pitch.Class(p.class)
		for _, o := range p.offsets {
			in = in && tonic+o >= int(i.Low.Number()) && tonic+o <= int(i.High.Number())
		}
		if in {
			all = append(all, tonic)
		}
	}
	return all
}

// price is the cost of a section with its tonics at the given numbers. The line
// moves the shorter way round, a tritone up and the next one down, and a break
// costs its size; or, near, a join costs its size. Then comes how far all
// tonics lie from where the figure is in the middle of the range (in half
// semitones), then how high they lie.
func price(section []placing, tonics []int, i Instrument, f figure.Figure, path Path) [3]int {
	low, high := f.Span()
	var cost [3]int
	tritones := 0
	for n, p := range section {
		twice := 2*tonics[n] + low.Semitones() + high.Semitones() - int(i.Low.Number()) - int(i.High.Number())
		cost[1] += max(twice, -twice)
		cost[2] += tonics[n]
		if n == 0 {
			continue
		}
		move := tonics[n] - tonics[n-1]
		switch path {
		case PathNear:
			join := tonics[n] + p.first - tonics[n-1] - section[n-1].last
			cost[0] += max(join, -join)
		case PathFollow:
			shorter := []int{0, 1, 2, 3, 4, 5, 6, -5, -4, -3, -2, -1}[pitch.ClassOf(p.class-section[n-1].class)]
			if shorter == 6 {
				if tritones%2 == 1 {
					shorter = -6
				}
				tritones++
			}
			cost[0] += max(move-shorter, shorter-move)
		}
	}
	return cost
}

func less(a, b [3]int) bool { return slices.Compare(a[:], b[:]) < 0 }

// cheapest is the least cost of all ways to place a section.
func cheapest(section []placing, i Instrument, f figure.Figure, path Path) (best [3]int, ways int) {
	tonics := make([]int, len(section))
	var try func(n int)
	try = func(n int) {
		if n == len(section) {
			if cost := price(section, tonics, i, f, path); ways == 0 || less(cost, best) {
				best = cost
			}
			ways++
			return
		}
		for _, tonic := range section[n].candidates(i) {
			if n > 0 && (tonic-tonics[n-1] > 12 || tonics[n-1]-tonic > 12) {
				continue
			}
			tonics[n] = tonic
			try(n + 1)
		}
	}
	try(0)
	return best, ways
}

// checkCheapest compares the cost of every section of a drill with that of
// exhaustive search. It returns the most ways that a section has.
func checkCheapest(t tb, d *Drill) (most int) {
	t.Helper()
	s := d.Settings()
	notes := s.Figure.AppendNotes(nil, 0)
	for p := range d.Parts() {
		var sections [][]placing
		var placed [][]int
		last := -1
		for st := range d.Parts()[p].Statements() {
			if st.Section != last {
				sections, placed, last = append(sections, nil), append(placed, nil), st.Section
			}
			if st.Rests {
				continue
			}
			tonic := int(st.Written.Number())
			pl := placing{int(st.Written.Name().Class()), nil, int(notes[0].Number()), int(notes[len(notes)-1].Number())}
			for _, e := range st.Events() {
				pl.offsets = append(pl.offsets, int(e.Note.Number())-tonic)
			}
			if st.Held {
				pl.first = pl.offsets[0]
			}
			n := len(sections) - 1
			sections[n], placed[n] = append(sections[n], pl), append(placed[n], tonic)
		}
		for n, section := range sections {
			got := price(section, placed[n], d.Parts()[p].Instrument(), s.Figure, s.Path)
			want, ways := cheapest(section, d.Parts()[p].Instrument(), s.Figure, s.Path)
			if got != want {
				t.Fatalf("%v, %v from %v to %v: tonics %v cost %v, the best of %d ways %v", s.Figure, s.Path, d.Parts()[p].Instrument().Low, d.Parts()[p].Instrument().High, placed[n], got, ways, want)
			}
			most = max(most, ways)
		}
	}
	return most
}

// drawnUntil draws settings until they make a drill.
func drawnUntil(t *rapid.T, draw func() Settings) *Drill {
	for range 100 {
		if d, err := New(draw()); err == nil {
			return d
		}
	}
	t.Fatal("no drill in a hundred")
	return nil
}

func TestLawPlacementIsTheCheapest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		checkCheapest(t, drawnUntil(t, func() Settings {
			s := shortSettings(4).Draw(t, "settings")
			s.Parts = s.Parts[:1] // those of a class break together; see below
			return s
		}))
	})
	// The eleven orders, which have up to twelve keys in a section, in ranges
	// of two to nearly four octaves.
	most := 0
	for step := 1; step <= 11; step++ {
		for _, path := range []Path{PathFollow, PathNear} {
			for _, in := range []string{"flute C4-C6", "clarinet E3-C7", "trumpet F#3-C6"} {
				for _, text := range []string{"1 3 2 5", "v5 v7 1 3"} {
					d := newDrill(t, Settings{Figure: parseFigure(t, text), Route: cycle.By(interval.Of(0, step)).Closed(), Parts: []Instrument{find(t, in, LevelFull)}, Path: path})
					most = max(most, checkCheapest(t, d))
				}
			}
		}
	}
	if most < 1000 {
		t.Errorf("at most %d ways were compared", most)
	}
}

// classSection is a section of a class: what each part plays, as the search above
// sees it, by statement, and the sounding tonics; a part that rests has none.
type classSection struct {
	placings [][]placing
	tonics   [][]int
	rests    [][]bool
	held     bool
}

func classSections(d *Drill) (all []classSection) {
	notes := d.Settings().Figure.AppendNotes(nil, 0)
	for p, part := range d.Parts() {
		last, n := -1, -1
		for st := range part.Statements() {
			if st.Section != last {
				last, n = st.Section, n+1
				if p == 0 {
					all = append(all, classSection{})
				}
				c := &all[n]
				c.placings, c.tonics, c.rests = append(c.placings, nil), append(c.tonics, nil), append(c.rests, nil)
			}
			c := &all[n]
			pl := placing{int(st.Written.Name().Class()), nil, int(notes[0].Number()), int(notes[len(notes)-1].Number())}
			for _, e := range st.Events() {
				pl.offsets = append(pl.offsets, int(e.Note.Number()-st.Written.Number()))
			}
			c.held = c.held || st.Held
			c.placings[p], c.tonics[p], c.rests[p] = append(c.placings[p], pl), append(c.tonics[p], int(st.Sounding.Number())), append(c.rests[p], st.Rests)
		}
	}
	return all
}

// checkClass holds a drill of several parts against the law of breaks, and
// returns how many of its sections go in parallel, and how many cannot.
func checkClass(t tb, d *Drill) (parallel, not int) {
	t.Helper()
	parts := d.Parts()
	for _, c := range classSections(d) {
		fits := func(p, n, sounding int) bool {
			i := parts[p].Instrument()
			return !slices.ContainsFunc(c.placings[p][n].offsets, func(o int) bool {
				key := sounding - i.Sounding.Semitones() + o
				return key < int(i.Low.Number()) || key > int(i.High.Number())
			})
		}
		resting := false
		for n := range c.tonics[0] {
			for p := range parts {
				resting = resting || c.rests[p][n]
				if d := c.tonics[p][n] - c.tonics[0][n]; d%12 != 0 {
					t.Fatalf("part %d sounds %d semitones from the first", p, d)
				}
			}
		}
		// Some part leads: whoever leaves it could not have gone with it.
		leads := func(leader int) bool {
			for p := range parts {
				last := -1
				for n := range c.tonics[p] {
					if c.rests[p][n] {
						continue
					}
					if last >= 0 && !c.rests[leader][n] && !c.rests[leader][last] {
						with := c.tonics[p][last] + c.tonics[leader][n] - c.tonics[leader][last]
						move := with - c.tonics[p][last]
						if c.tonics[p][n] != with && fits(p, n, with) && move <= 12 && move >= -12 {
							return false
						}
					}
					last = n
				}
			}
			return true
		}
		if !slices.ContainsFunc([]int{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14}[:len(parts)], leads) {
			t.Fatalf("%v: nobody leads %v", d.Settings().Figure, c.tonics)
		}
		if resting {
			continue
		}
		same := true
		for n := range c.tonics[0][1:] {
			for p := range parts {
				same = same && c.tonics[p][n+1]-c.tonics[p][n] == c.tonics[0][n+1]-c.tonics[0][n]
			}
		}
		if same {
			parallel++
		} else {
			not++
		}
		if c.held || len(c.tonics[0]) > 5 {
			continue // where the range of one statement is another, or too much to search
		}
		// All ways of the first part that every other one can go along with.
		i := parts[0].Instrument()
		line, found, best := make([]int, len(c.tonics[0])), false, 0
		var try func(n int)
		try = func(n int) {
			if n < len(line) {
				for _, tonic := range c.placings[0][n].candidates(i) {
					if line[n] = tonic + i.Sounding.Semitones(); n == 0 || max(line[n]-line[n-1], line[n-1]-line[n]) <= 12 {
						try(n + 1)
					}
				}
				return
			}
			for p := range parts {
				with := false
				for by := -120; by <= 120 && !with; by += 12 {
					with = true
					for n := range line {
						with = with && fits(p, n, line[n]+by)
					}
				}
				if !with {
					return
				}
			}
			written := slices.Clone(line)
			for n := range written {
				written[n] -= i.Sounding.Semitones()
			}
			if cost := price(c.placings[0], written, i, d.Settings().Figure, d.Settings().Path)[0]; !found || cost < best {
				found, best = true, cost
			}
		}
		try(0)
		if found != same {
			t.Fatalf("%v: %v, and a way for all is there: %v", d.Settings().Figure, c.tonics, found)
		}
		if found {
			written := slices.Clone(c.tonics[0])
			for n := range written {
				written[n] -= i.Sounding.Semitones()
			}
			if cost := price(c.placings[0], written, i, d.Settings().Figure, d.Settings().Path)[0]; cost != best {
				t.Fatalf("%v: %v costs %d, the best way for all %d", d.Settings().Figure, c.tonics, cost, best)
			}
		}
	}
	return parallel, not
}

// TestLawClassBreaksTogether: the parts of a class sound in unison or octaves.
// Where all can keep their distance throughout a section they do, in the way that
// breaks least; where not, they break together unless a range forbids it: there
// is a part that leads, and none leaves it that could have gone on with it.
func TestLawClassBreaksTogether(t *testing.T) {
	parallel, not := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		d := drawnUntil(t, func() Settings {
			s := shortSettings(4).Draw(t, "settings")
			for n := len(s.Parts); n < rapid.IntRange(2, 4).Draw(t, "parts"); n++ {
				s.Parts = append(s.Parts, anyInstrument(max(1, spanOf(s.Figure)+rapid.IntRange(8, 30).Draw(t, "width"))).Draw(t, "instrument"))
			}
			if _, err := New(s); err != nil {
				s.LeaveOut = true
			}
			return s
		})
		a, b := checkClass(t, d)
		parallel, not = parallel+a, not+b
	})
	// Narrow ranges, where what one part would do alone is seldom what all can do.
	random := rand.New(rand.NewPCG(1, 2))
	for range 500 {
		s := Settings{Figure: parseFigure(t, "1"), Path: Path(random.IntN(2))}
		keys := make([]pitch.Class, 4)
		for n := range keys {
			keys[n] = pitch.Class(random.IntN(12))
		}
		s.Route, _ = cycle.NewRoute(cycle.Section{Keys: keys})
		for range 3 {
			low := 36 + random.IntN(12)
			s.Parts = append(s.Parts, Instrument{Name: "own", Low: note(low), High: note(low + 11 + random.IntN(12))})
		}
		a, b := checkClass(t, newDrill(t, s))
		parallel, not = parallel+a, not+b
	}
	if parallel == 0 || not == 0 {
		t.Errorf("%d sections in parallel, %d not", parallel, not)
	}
	// A class as it comes, along the eleven orders.
	for _, level := range []Level{LevelComfortable, LevelFirstYears, LevelFull} {
		var class []Instrument
		for _, name := range []string{"flute", "clarinet", "alto sax", "tenor sax", "trumpet", "horn", "trombone", "euphonium treble clef", "tuba", "violin", "glockenspiel", "piano"} {
			class = append(class, find(t, name, level))
		}
		for step := 1; step <= 11; step++ {
			for _, closing := range []Closing{ClosingHeld, ClosingFull, ClosingOpen} {
				d := newDrill(t, Settings{Figure: parseFigure(t, "1:3 5 4 2 3:2"), Route: cycle.By(interval.Of(0, step)).Closed(), Parts: class, Closing: closing})
				_, not := checkClass(t, d)
				if level == LevelFull && not > 0 {
					t.Errorf("%d sections of %v are not in parallel", not, d.Settings().Route)
				}
			}
		}
	}
}

// TestLawAClassOfOneKindPlaysAsOne: several of one instrument play what one of them
// plays, and rest where one alone leaves a key out.
func TestLawAClassOfOneKindPlaysAsOne(t *testing.T) {
	compared := 0
	check := func(t tb, s Settings) {
		s.LeaveOut, s.Reading = true, ReadingWritten
		alone, err := New(s)
		if err != nil {
			return // no key fits
		}
		s.Parts = append(s.Parts, s.Parts[0])
		played := map[int][]spelling.Note{}
		for st := range alone.Parts()[0].Statements() {
			played[st.Section] = append(played[st.Section], st.Written)
		}
		for p, part := range newDrill(t, s).Parts() {
			class, begins := map[int][]spelling.Note{}, map[int]bool{}
			last := -1
			for st := range part.Statements() {
				if st.Section != last {
					last, begins[st.Section] = st.Section, !st.Rests
				}
				if !st.Rests {
					class[st.Section] = append(class[st.Section], st.Written)
				}
			}
			for n, got := range class {
				if !begins[n] || len(played[n]) == 1 {
					continue // one alone comes back to another key, or has nowhere to come back from
				}
				if compared++; !slices.Equal(got, played[n]) {
					t.Fatalf("%v along %v: part %d of two plays %v, one alone %v", s.Figure, s.Route, p, got, played[n])
				}
			}
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		s := shortSettings(6).Draw(t, "settings")
		s.Parts = []Instrument{anyInstrument(spanOf(s.Figure)+rapid.IntRange(1, 14).Draw(t, "room")).Draw(t, "instrument")}
		check(t, s)
	})
	// The held return has a choice of octaves where the figure has none.
	for a := pitch.Class(1); a < 12; a++ {
		for b := pitch.Class(1); b < 12; b++ {
			r, err := cycle.NewRoute(cycle.Section{Keys: []pitch.Class{0, a, b}, Closed: true})
			if err != nil {
				t.Fatal(err)
			}
			check(t, Settings{Figure: parseFigure(t, "1 5"), Route: r, Parts: []Instrument{find(t, "flute C4-C5", 0)}})
		}
	}
	if compared < 100 {
		t.Errorf("%d sections were compared", compared)
	}
}

func written(d *Drill) string {
	var all []string
	for s := range d.Parts()[0].Statements() {
		n := s.Written.String()
		if s.Return {
			n = "back to " + n
		}
		all = append(all, n)
	}
	return strings.Join(all, " ")
}

// TestPlacement has cases worked by hand.
func TestPlacement(t *testing.T) {
	for _, c := range []struct {
		what, figure, route, in string
		path                    Path
		want                    string
	}{
		{"the middle of the range", "1", "0", "flute C4-C6", PathFollow, "C5"},
		{"as far up as down, then lower", "1", "6", "flute C4-C6", PathFollow, "G♭4"},
		{"the figure's middle, not its tonic's", "1 8", "0", "flute C4-C6", PathFollow, "C4"},
		{"rising starts low", "1", "(02468T)", "flute C4-C5", PathFollow, "C4 D4 E4 G♭4 A♭4 B♭4 back to C5"},
		{"falling starts high", "1", "(0T8642)", "flute C4-C5", PathFollow, "C5 B♭4 A♭4 G♭4 E4 D4 back to C4"},
		{"one break; as early as late, then lower", "1", "0123456789TE", "flute E4-E5", PathFollow, "C5 D♭5 D5 E♭5 E4 F4 G♭4 G4 A♭4 A4 B♭4 B4"},
		{"a tritone up, then back", "1", "(06)/(17)", "flute C4-C6", PathFollow, "C5 G♭5 back to C5 D♭5 G5 back to D♭5"},
		{"every section begins with a tritone up", "1", "06/17", "flute C4-C6", PathFollow, "C5 G♭5 D♭5 G5"},
		{"fourths go up, fifths down", "1", "05T3/0729", "flute C3-C7", PathFollow, "C4 F4 B♭4 E♭5 C6 G5 D5 A4"},
		{"near, an octave down to where the line ended", "8 1", "00", "flute C4-C6", PathNear, "C5 C4"},
		{"near, an octave up to where the line ended", "1 8", "00", "flute C4-C6", PathNear, "C4 C5"},
		{"a held chord needs room for its lowest note", "1+5 3", "(0T8642)", "flute D4-G#5", PathFollow, "C5 B♭4 A♭4 G♭4 E4 D4 back to C5"},
		{"and for the lowest of three", "1+5+3 3", "(0T8642)", "flute D4-G#5", PathFollow, "C5 B♭4 A♭4 G♭4 E4 D4 back to C5"},
		{"near, by the joins", "1 3 2 5", "0369", "flute C4-G5", PathNear, "C4 E♭4 G♭4 A4"},
		{"a held return needs room for its first note only", "1 3", "(02468)", "flute C4-C5", PathFollow, "C4 D4 E4 G♭4 A♭4 back to C5"},
		{"the shorter way over a key that is left out", "1 5", "(0246)", "flute C4-C5", PathFollow, "C4 D4 E4 back to C4"},
	} {
		d, err := New(Settings{Figure: parseFigure(t, c.figure), Route: parseRoute(t, c.route), Parts: []Instrument{find(t, c.in, 0)}, Path: c.path, LeaveOut: true})
		if err != nil {
			t.Errorf("%s: %v", c.what, err)
			continue
		}
		if diff := cmp.Diff(c.want, written(d)); diff != "" {
			t.Errorf("%s: %s", c.what, diff)
		}
	}
}

// TestLawRangeOfSpanAndEleven: all twelve keys fit a range exactly if it has
// as many semitones as the figure spans and eleven more.
func TestLawRangeOfSpanAndEleven(t *testing.T) {
	routes := []cycle.Route{}
	for step := 1; step <= 11; step++ {
		o := cycle.By(interval.Of(0, step))
		routes = append(routes, o.Closed(), o.Open())
	}
	rapid.Check(t, func(t *rapid.T) {
		f := drawn(figuretest.Playable).Draw(t, "figure")
		span := spanOf(f)
		i := anyInstrument(span+11).Draw(t, "instrument")
		s := Settings{Figure: f, Parts: []Instrument{i}, Closing: Closing(rapid.IntRange(0, 2).Draw(t, "closing")), Path: Path(rapid.IntRange(0, 1).Draw(t, "path")), Reading: Reading(rapid.IntRange(0, 2).Draw(t, "reading"))}
		for _, s.Route = range routes {
			if d := newDrill(t, s); d.Parts()[0].LeftOut() != nil || d.Len() < 12 {
				t.Fatalf("%v leaves out %v", s.Route, d.Parts()[0].LeftOut())
			}
		}
		// One semitone less, or several, and so many keys do not fit.
		less := rapid.IntRange(1, 11).Draw(t, "less")
		s.Parts[0].High = note(int(i.Low.Number()) + span + 11 - less)
		if s.Parts[0].High.Number() == i.Low.Number() {
			return // no range at all
		}
		i = s.Parts[0]
		for _, s.Route = range routes {
			s.LeaveOut = false
			d, err := New(s)
			var fit *FitError
			if d != nil || !errors.As(err, &fit) {
				t.Fatalf("%v in %v: %v", f, i, err)
			}
			checkFitError(t, fit, s, 12-less)
			s.LeaveOut = true
			if d = newDrill(t, s); len(d.Parts()[0].LeftOut()) != less || d.Parts()[0].LeftOut()[0] != fit.Key {
				t.Fatalf("left out are %v, want %d keys", d.Parts()[0].LeftOut(), less)
			}
			var all []spelling.Name
			for st := range d.Parts()[0].Statements() {
				if st.Rests {
					t.Fatal("a single part rests")
				}
				if !slices.Contains(all, st.Written.Name()) {
					all = append(all, st.Written.Name())
				}
			}
			slices.SortFunc(all, func(a, b spelling.Name) int { return int(a.Class()) - int(b.Class()) })
			if !slices.Equal(all, fit.Fit) {
				t.Fatalf("played are %v, said to fit %v", all, fit.Fit)
			}
			for _, n := range d.Parts()[0].LeftOut() {
				if slices.Contains(all, n) {
					t.Fatalf("%v is left out and played", n)
				}
			}
		}
	})
}

// checkFitError holds what a FitError says against the range and the figure.
func checkFitError(t tb, fit *FitError, s Settings, keys int) {
	t.Helper()
	i, f := s.Parts[0], s.Figure
	switch {
	case fit.Instrument != i:
		t.Fatalf("%v for %v: %+v: another instrument", i, f, fit)
	case fit.Span != spanOf(f):
		t.Fatalf("%v for %v: %+v: another span, want %d", i, f, fit, spanOf(f))
	case len(fit.Fit) != keys:
		t.Fatalf("%v for %v: %+v: %d keys fit, want %d", i, f, fit, len(fit.Fit), keys)
	case slices.Contains(fit.Fit, fit.Key):
		t.Fatalf("%v for %v: %+v: the key fits and does not", i, f, fit)
	}
	// the note lies outside, and those before it inside, with the tonic as low
	// as it goes
	low, _ := f.Span()
	lowest := int(i.Low.Number()) - low.Semitones()
	tonic := withNumber(fit.Key, lowest+int(pitch.ClassOf(int(fit.Key.Class())-lowest)))
	for _, n := range f.AppendNotes(nil, tonic) {
		if n.Number() > i.High.Number() {
			if n != fit.Note {
				t.Fatalf("%v lies outside first, said is %v", n, fit.Note)
			}
			break
		}
		if n == fit.Note {
			t.Fatalf("%v lies inside %v to %v", n, i.Low, i.High)
		}
	}
	if fit.Low.To(fit.High).Semitones() != fit.Span+11 {
		t.Fatalf("%v to %v for a span of %d", fit.Low, fit.High, fit.Span)
	}
	s.Parts = []Instrument{i}
	s.Parts[0].Low, s.Parts[0].High, s.LeaveOut = fit.Low, fit.High, false
	newDrill(t, s)
	for _, part := range []string{fit.Key.String(), fit.Note.String(), fit.High.String(), fmt.Sprintf("%d semitones", fit.Span+11), fit.Instrument.Low.String()} {
		if !strings.Contains(fit.Error(), part) {
			t.Fatalf("%q is not in %q", part, fit)
		}
	}
}

func TestFitError(t *testing.T) {
	s := Settings{Figure: parseFigure(t, "1 3 2 5"), Route: cycle.By(interval.MinorThird).Closed(), Parts: []Instrument{find(t, "trumpet Bb3-E5", 0)}}
	if _, err := New(s); err != nil {
		t.Errorf("B♭3 to E5 is 18 semitones, just enough: %v", err)
	}
	for _, c := range []struct{ figure, in, want string }{
		{"1 3 2 5", "trumpet Bb3-Eb5", `instrument "trumpet in B♭": the figure spans 7 semitones and the range goes from B♭3 to E♭5, 17 semitones: in A, E5 lies outside; these keys fit: C D♭ D E♭ E F G♭ G A♭ B♭ B; all twelve need a range of 18 semitones, as from B♭3 to E5`},
		{"1 8 15", "trumpet Bb3-Eb5", `instrument "trumpet in B♭": the figure spans 24 semitones and the range goes from B♭3 to E♭5, 17 semitones: in C, C6 lies outside; no key fits; all twelve need a range of 35 semitones, as from B♭3 to A6`},
		// high up the range named lies lower
		{"1 15", "flute C9-D9", `instrument "flute": the figure spans 24 semitones and the range goes from C9 to D9, 2 semitones: in C, C11 lies outside; no key fits; all twelve need a range of 35 semitones, as from A♭6 to G9`},
		{"vvv1 99", "flute", `instrument "flute": the figure spans 204 semitones and the range goes from C4 to A6, 33 semitones: in C, C21 lies outside; no key fits; all twelve need a range of 215 semitones, more than there is`},
	} {
		s.Figure, s.Parts[0] = parseFigure(t, c.figure), find(t, c.in, 0)
		_, err := New(s)
		if err == nil {
			t.Errorf("%s in %s fits", c.figure, c.in)
			continue
		}
		if diff := cmp.Diff(c.want, err.Error()); diff != "" {
			t.Error(diff)
		}
		if !strings.Contains(c.want, "no key fits") {
			continue
		}
		var fit *FitError
		s.LeaveOut = true
		if _, err := New(s); !errors.As(err, &fit) {
			t.Errorf("%s in %s, with leave to leave keys out: %v", c.figure, c.in, err)
		}
		s.LeaveOut = false
	}
}

// TestClassRests: in a class the part that cannot play a key rests there, and
// the others go on.
func TestClassRests(t *testing.T) {
	d := newDrill(t, Settings{
		Figure: parseFigure(t, "1 3 5"), Route: parseRoute(t, "(02)/E"), LeaveOut: true,
		Parts: []Instrument{find(t, "flute", 0), find(t, "alto saxophone C4-E5", 0)},
	})
	var got []string
	for p := range d.Parts() {
		for s := range d.Parts()[p].Statements() {
			got = append(got, fmt.Sprintf("%v:%d", s.Written, len(s.Events())))
			if s.Rests != (len(s.Events()) == 0) {
				t.Errorf("%v rests %v with %d notes", s.Written, s.Rests, len(s.Events()))
			}
		}
	}
	// The alto reads A, B, A again and A♭. A triad on B reaches up to F♯5.
	want := "C5:3 D5:3 C5:1 B4:3 A4:3 B4:0 A4:1 A♭4:3"
	if diff := cmp.Diff(want, strings.Join(got, " ")); diff != "" {
		t.Error(diff)
	}
	if d.Parts()[0].LeftOut() != nil || fmt.Sprint(d.Parts()[1].LeftOut()) != "[B]" {
		t.Errorf("left out are %v and %v", d.Parts()[0].LeftOut(), d.Parts()[1].LeftOut())
	}
}

// TestLawWhatWouldFitIsThere: the range that a FitError names holds all twelve
// keys, lies among the notes there are, written and sounding, keeps the low note
// where it can, and is left out exactly if the notes there are do not suffice.
func TestLawWhatWouldFitIsThere(t *testing.T) {
	for _, text := range []string{"1", "1 8", "v5 v7 1 3", "vvv1 1 15 22 29 36 43", "vvv1 43", "vvv1 b48", "vvv1 48", "vvv1 57"} {
		f := parseFigure(t, text)
		need := spanOf(f) + 11
		for _, sounding := range []interval.Interval{0, interval.Octave, -interval.Octave, -interval.MajorThirteenth, interval.MinorThird, -interval.MajorSecond} {
			down := sounding.Semitones()
			bottom, top := max(0, -down), min(127, 127-down)
			for low := bottom; low <= top; low++ {
				i := Instrument{Name: "own", Low: note(low), High: note(low), Sounding: sounding}
				_, err := New(Settings{Figure: f, Route: parseRoute(t, "06"), Parts: []Instrument{i}})
				var fit *FitError
				if !errors.As(err, &fit) {
					t.Fatalf("%s on one note: %v", text, err)
				}
				if need > top-bottom {
					if fit.Low != 0 || fit.High != 0 || !strings.HasSuffix(fit.Error(), "more than there is") {
						t.Fatalf("%s needs %d semitones of %d to %d: %v", text, need, bottom, top, fit)
					}
					continue
				}
				wide := i
				wide.Low, wide.High = fit.Low, fit.High
				if err := wide.Check(); err != nil || width(wide) != need {
					t.Fatalf("%s from %v, sounding %v: %v to %v, %v", text, i.Low, sounding, fit.Low, fit.High, err)
				}
				if names := figure.Major.Tonics(); fit.High.Name() != names[fit.High.Name().Class()] {
					t.Fatalf("%s from %v: the high note is called %v", text, i.Low, fit.High)
				}
				if keeps := low+need <= top; keeps != (fit.Low == i.Low) && low != top-need {
					t.Fatalf("%s from %v: %v to %v, and the notes there are end at %d", text, i.Low, fit.Low, fit.High, top)
				}
				if _, err := New(Settings{Figure: f, Route: cycle.By(interval.MinorSecond).Closed(), Parts: []Instrument{wide}}); err != nil {
					t.Fatalf("%s from %v to %v: %v", text, wide.Low, wide.High, err)
				}
			}
		}
	}
	// The note that it names is too high, and so is none before it.
	s := Settings{Figure: parseFigure(t, "1 5 8 5"), Route: parseRoute(t, "0"), Parts: []Instrument{find(t, "flute C4-G4", 0)}}
	var fit *FitError
	if _, err := New(s); !errors.As(err, &fit) || fit.Note != spelling.MustParse("C5") {
		t.Errorf("%+v", fit)
	}
	high := Settings{Figure: parseFigure(t, "vvv3 vvv1 vv2"), Route: parseRoute(t, "0"), Parts: []Instrument{find(t, "flute C9-D9", 0)}}
	if _, err := New(high); !errors.As(err, &fit) || fit.Note != spelling.MustParse("E9") {
		t.Errorf("%+v", fit)
	}
	// One key that fits is named.
	s.Figure = parseFigure(t, "1 5")
	s.Route = parseRoute(t, "02")
	if _, err := New(s); !errors.As(err, &fit) || !strings.Contains(fit.Error(), "these keys fit: C;") {
		t.Errorf("%v", fit)
	}
}

// A part that rests in all keys of a section leads nobody out of range.
func TestRestsThroughout(t *testing.T) {
	d, err := New(Settings{
		Figure: parseFigure(t, "99"), Route: parseRoute(t, "0/0/11"), LeaveOut: true,
		Parts: []Instrument{
			{Name: "own", Low: spelling.MustParse("G1"), High: spelling.MustParse("A1"), Sounding: -interval.MajorSixth},
			{Name: "own", Low: spelling.MustParse("Gb1"), High: spelling.MustParse("F2")},
		},
	})
	if err != nil {
		t.Fatal(err)
	}
	for st := range d.Parts()[1].Statements() {
		for _, e := range st.Events() {
			if want := [4]string{"C2", "C2", "D♭2", "D♭2"}[st.Index]; e.Note.String() != want {
				t.Errorf("statement %d is %v, want %s", st.Index, e.Note, want)
			}
		}
	}
}

// TestLawAKeyThatRestsIsPassedOver: a part that rests in some keys has the others
// placed as if there were no more.
func TestLawAKeyThatRestsIsPassedOver(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var s Settings
		var narrow Instrument
		d := drawnUntil(t, func() Settings {
			f := drawn(figuretest.Playable).Draw(t, "figure")
			wide := anyInstrument(spanOf(f)+rapid.IntRange(12, 40).Draw(t, "wide")).Draw(t, "one that rests never")
			narrow = anyInstrument(spanOf(f)+rapid.IntRange(1, 10).Draw(t, "narrow")).Draw(t, "one that rests")
			s = Settings{
				Figure: f, Route: drawn(func(draw figuretest.Draw) cycle.Route { return figuretest.Route(draw, 3, 12) }).Draw(t, "route"), Parts: []Instrument{wide, narrow}, Reading: ReadingConcert, Closing: ClosingOpen,
				Path: Path(rapid.IntRange(0, 1).Draw(t, "path")), LeaveOut: true,
			}
			return s
		})
		s.Parts = []Instrument{narrow}
		alone := newDrill(t, s)
		var got, want []spelling.Note
		for st := range d.Parts()[1].Statements() {
			if !st.Rests {
				got = append(got, st.Written)
			}
		}
		for st := range alone.Parts()[0].Statements() {
			want = append(want, st.Written)
		}
		if !slices.Equal(got, want) {
			t.Fatalf("%v by %v: %v beside another part, %v alone", s.Figure, s.Route, got, want)
		}
	})
}

// TestTritonesInTurn: a tritone goes up, the next one down, and so on.
func TestTritonesInTurn(t *testing.T) {
	d := newDrill(t, Settings{Figure: parseFigure(t, "1"), Route: parseRoute(t, "060606"), Parts: []Instrument{find(t, "flute C4-C6", 0)}})
	if got := written(d); got != "C5 G♭5 C5 G♭5 C5 G♭5" {
		t.Error(got)
	}
	d = newDrill(t, Settings{Figure: parseFigure(t, "1"), Route: parseRoute(t, "06017"), Parts: []Instrument{find(t, "flute C4-C6", 0)}})
	if got := written(d); got != "C5 G♭5 C5 D♭5 G5" {
		t.Error(got)
	}
}

// someRoom draws the statements of a section for a part, few classes so that octaves
// are frequent, and in a range in which some of them may rest.
func someRoom(random *rand.Rand, classes []pitch.Class) (room []Slot) {
	low := 40 + random.IntN(13)
	high := low + 4 + random.IntN(28)
	for _, c := range classes {
		room = append(room, NewSlot(c, low, high))
	}
	return room
}

func someClasses(random *rand.Rand) (classes []pitch.Class) {
	for range 1 + random.IntN(6) {
		classes = append(classes, []pitch.Class{0, 0, 1, 6, 9}[random.IntN(5)])
	}
	return classes
}

func tonicsIn(room []Slot, c pitch.Class, n int) (all []int) {
	for tonic := range 128 {
		if pitch.ClassOf(tonic) == c && tonic >= RoomOf(room[n])[0] && tonic <= RoomOf(room[n])[1] {
			all = append(all, tonic)
		}
	}
	return all
}

// TestLawALineGoesOnOverRests: where its part rests, a line goes the shorter way, a
// tritone up, from what is before; or at the beginning, from what comes after. What
// the part plays stays as it is.
func TestLawALineGoesOnOverRests(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	for range 2000 {
		classes := someClasses(random)
		room := someRoom(random, classes)
		line, plays := make([]int, len(room)), -1
		for n, c := range classes {
			if all := tonicsIn(room, c, n); len(all) > 0 {
				line[n] = all[random.IntN(len(all))]
				if plays < 0 {
					plays = n
				}
			}
		}
		if plays < 0 {
			continue
		}
		got := slices.Clone(line)
		Fill(got, room)
		for n, c := range classes {
			if len(tonicsIn(room, c, n)) > 0 {
				if got[n] != line[n] {
					t.Fatalf("%v has become %v", line, got)
				}
				continue
			}
			beside := n - 1
			if n < plays {
				beside = n + 1
			}
			if move := got[n] - got[beside]; pitch.ClassOf(got[n]) != c || move > 6 || move < -5 {
				t.Fatalf("%v, which rests at 0, goes on as %v: the keys are %v", line, got, classes)
			}
		}
	}
}

// TestLawFollowersKeepTheirDistance: a part goes with a line until its range ends or
// a tonic would move more than an octave; then it goes where it can stay longest, of
// such places to the one nearest the middle, and of two as near to the lower.
func TestLawFollowersKeepTheirDistance(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 6))
	breaks, octaves := 0, 0
	for range 20000 {
		classes := someClasses(random)
		room := someRoom(random, classes)
		line := make([]int, len(room))
		for n, c := range classes {
			line[n] = 36 + int(c) + 12*random.IntN(4)
		}
		got, left := Follow(nil, room, line)
		var plays []int
		for n, c := range classes {
			if len(tonicsIn(room, c, n)) > 0 {
				plays = append(plays, n)
			}
		}
		// stays counts for how many of what it plays, the first of them at a
		// tonic, it can go with the line.
		stays := func(plays []int, tonic int) (count int) {
			for k, n := range plays {
				with := tonic + line[n] - line[plays[0]]
				if k > 0 {
					move := line[n] - line[plays[k-1]]
					if move > 12 || move < -12 {
						break
					}
				}
				if !slices.Contains(tonicsIn(room, classes[n], n), with) {
					break
				}
				count++
			}
			return count
		}
		want := 0
		for k, n := range plays {
			if k > 0 {
				before := plays[k-1]
				if stays(plays[k-1:], got[before]) > 1 {
					if got[n]-got[before] != line[n]-line[before] {
						t.Fatalf("%v leaves %v at %d and need not", got, line, n)
					}
					if move := line[n] - line[before]; move == 12 || move == -12 {
						octaves++
					}
					continue
				}
				want++
			}
			best, rank := -1, [3]int{}
			for _, tonic := range tonicsIn(room, classes[n], n) {
				if k > 0 && max(tonic-got[plays[k-1]], got[plays[k-1]]-tonic) > 12 {
					continue
				}
				off := 2*tonic - RoomOf(room[n])[0] - RoomOf(room[n])[1]
				if r := [3]int{-stays(plays[k:], tonic), max(off, -off), tonic}; best < 0 || less(r, rank) {
					best, rank = tonic, r
				}
			}
			if got[n] != best {
				t.Fatalf("beside %v the tonics are %v; at %d the best is %d", line, got, n, best)
			}
		}
		if left != want {
			t.Fatalf("%v leaves %v %d times, it says %d", got, line, want, left)
		}
		breaks += want
	}
	if breaks < 100 || octaves < 100 {
		t.Errorf("%d breaks and %d moves of an octave", breaks, octaves)
	}
}

// TestLawTheLeaderIsLeftLeast: all follow the line of the part that is left least
// often by the others; of two that are left as often, the first leads.
func TestLawTheLeaderIsLeftLeast(t *testing.T) {
	random := rand.New(rand.NewPCG(7, 8))
	for range 3000 {
		classes := someClasses(random)
		rooms, got := make([][]Slot, 3), make([][]int, 3)
		for p := range rooms {
			rooms[p] = someRoom(random, classes)
		}
		Led(got, rooms)
		least, want := -1, make([][]int, 3)
		for leader := range rooms {
			line, sum, all := Line(rooms[leader]), 0, make([][]int, 3)
			for p := range rooms {
				var left int
				if all[p], left = Follow(nil, rooms[p], line); p != leader {
					sum += left
				}
			}
			if least < 0 || sum < least {
				least, want = sum, all
			}
		}
		if diff := cmp.Diff(want, got); diff != "" {
			t.Fatalf("in %v: %s", classes, diff)
		}
	}
}
