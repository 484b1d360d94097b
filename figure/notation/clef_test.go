package notation_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/figuretest"
	. "example.com/keyorder/figure/notation"
	"example.com/keyorder/spelling"
	"pgregory.net/rapid"
)

// The lines of the staff in each clef, lowest first, and what lies beyond them,
// as every primer has it (common practice, no source).
func TestPosition(t *testing.T) {
	for clef, lines := range map[drill.Clef]string{
		drill.ClefTreble: "E4 G4 B4 D5 F5", drill.ClefBass: "G2 B2 D3 F3 A3", drill.ClefAlto: "F3 A3 C4 E4 G4",
		drill.ClefTenor: "D3 F3 A3 C4 E4", drill.ClefTrebleOctave: "E3 G3 B3 D4 F4",
	} {
		for n := range 5 {
			note := spelling.MustParse(lines[3*n : 3*n+2])
			if p := Position(clef, note); p != 2*n-4 || Ledgers(clef, note) != 0 {
				t.Errorf("%v stands at %d in the %v clef with %d ledger lines", note, p, clef, Ledgers(clef, note))
			}
		}
	}
	for _, c := range []struct {
		clef  drill.Clef
		note  string
		lines int
	}{
		{drill.ClefTreble, "C4", 1}, {drill.ClefTreble, "D4", 0}, {drill.ClefTreble, "A5", 1}, {drill.ClefTreble, "C6", 2}, {drill.ClefTreble, "E6", 3},
		{drill.ClefTreble, "G6", 4}, {drill.ClefTreble, "F3", 3}, {drill.ClefBass, "C4", 1}, {drill.ClefBass, "G4", 3}, {drill.ClefBass, "C5", 4},
		{drill.ClefTenor, "C5", 2}, {drill.ClefTenor, "C3", 0}, {drill.ClefAlto, "C3", 1}, {drill.ClefBass, "E2", 1}, {drill.ClefBass, "C2", 2},
	} {
		if got := Ledgers(c.clef, spelling.MustParse(c.note)); got != c.lines {
			t.Errorf("%s in the %v clef has %d ledger lines, want %d", c.note, c.clef, got, c.lines)
		}
	}
}

// reader is an instrument whose players read several clefs, or a grand staff.
func reader(low, high string, grand bool, clefs ...drill.Clef) drill.Instrument {
	i := drill.Instrument{Name: "test reed", Low: spelling.MustParse(low), High: spelling.MustParse(high), Clef: clefs[0], Also: drill.ClefsOf(clefs[1:]...), Grand: grand}
	return i
}

func anyReader() *rapid.Generator[drill.Instrument] {
	return rapid.SampledFrom([]drill.Instrument{
		reader("C2", "C6", false, drill.ClefBass, drill.ClefTenor), reader("C2", "C6", false, drill.ClefBass, drill.ClefTenor, drill.ClefTreble),
		reader("C3", "E6", false, drill.ClefAlto, drill.ClefTreble), reader("C2", "C7", true, drill.ClefTreble), reader("C3", "C6", false, drill.ClefTreble),
	})
}

// A worked passage is what a test finds out about a passage by itself: its bars
// and the statements in it.
type worked struct {
	first, statements int // bar of the drill; statements that are played
	notes             []spelling.Note
	bars              []Bar
}

// workedOut cuts the bars of a drill at all barlines between two statements.
func workedOut(t tb, bars []Bar) []worked {
	t.Helper()
	var all []worked
	seen := map[int]bool{}
	for n, b := range bars {
		if n == 0 || b.Seam == SeamStatements {
			all = append(all, worked{first: n})
		}
		w := &all[len(all)-1]
		w.bars = append(w.bars, b)
		for _, s := range b.Symbols {
			for _, note := range s.Notes {
				if !seen[note.Statement] {
					seen[note.Statement] = true
					w.statements++
				}
				if !note.TieIn {
					w.notes = append(w.notes, note.Note)
				}
			}
		}
	}
	return all
}

// over is how many ledger lines beyond three some notes need in a clef.
func over(c drill.Clef, notes []spelling.Note) int {
	sum := 0
	for _, n := range notes {
		sum += max(0, Ledgers(c, n)-3)
	}
	return sum
}

// checkReaders checks a law on drills for instruments of several clefs.
func checkReaders(t *testing.T, law func(t *rapid.T, s *Score, i drill.Instrument, bars []Bar)) {
	t.Helper()
	rapid.Check(t, func(t *rapid.T) {
		i := anyReader().Draw(t, "instrument")
		s := drawn(figuretest.Settings).Draw(t, "settings")
		s.Parts, s.LeaveOut = []drill.Instrument{i}, true
		d, err := drill.New(s)
		for err != nil { // until it is not too wide
			s.Figure = drawn(figuretest.Settings).Draw(t, "settings").Figure
			d, err = drill.New(s)
		}
		score := newScore(t, Options{}, d)
		law(t, score, i, barsOf(score, 0))
	})
}

// A clef changes between statements only, and holds for two of them at least.
func TestLawClefsChangeBetweenStatements(t *testing.T) {
	checkReaders(t, func(t *rapid.T, s *Score, i drill.Instrument, bars []Bar) {
		all := workedOut(t, bars)
		played := 0
		for _, w := range all {
			for _, b := range w.bars {
				if b.Clef != w.bars[0].Clef || b.Staff != w.bars[0].Staff {
					t.Fatalf("bar %d changes to the %v clef in the middle of a statement", b.Number, b.Clef)
				}
				own := i.Clef
				if i.Grand && (b.Staff == 1 || b.Clef == drill.ClefBass) {
					own = drill.ClefBass
				}
				if staves := s.Staves(s.Parts()[0]); staves != 1 && !i.Grand {
					t.Fatalf("%d staves", staves)
				}
				if b.Clef != own && !i.Also.Contains(b.Clef) || b.Staff > 0 && s.Staves(s.Parts()[0]) != 2 {
					t.Fatalf("bar %d is written in the %v clef on staff %d", b.Number, b.Clef, b.Staff)
				}
			}
			played += w.statements
		}
		if i.Grand {
			return
		}
		held := 0
		for n, w := range all {
			changes := n > 0 && w.bars[0].Clef != all[n-1].bars[0].Clef
			if w.bars[0].NewClef != changes {
				t.Fatalf("bar %d: a new clef %v, %v", w.bars[0].Number, w.bars[0].NewClef, w.bars[0].Clef)
			}
			if changes {
				if held < 2 {
					t.Fatalf("bar %d: the clef before held for %d statements", w.bars[0].Number, held)
				}
				held = 0
			}
			held += w.statements
		}
		if held < min(2, played) {
			t.Fatalf("the last clef holds for %d statements of %d", held, played)
		}
	})
}

// The lines beyond the budget are as few as any choice of clefs leaves, by
// trying them all; so they are none wherever a clef of the instrument allows it.
func TestLawLedgerLinesStayWithinTheBudget(t *testing.T) {
	checkReaders(t, func(t *rapid.T, s *Score, i drill.Instrument, bars []Bar) {
		all := workedOut(t, bars)
		clefs := append([]drill.Clef{i.Clef}, slices.Collect(i.Also.All())...)
		least := 2
		if i.Grand {
			clefs, least = []drill.Clef{drill.ClefTreble, drill.ClefBass}, 1
		}
		played, got := 0, 0
		for _, w := range all {
			got += over(w.bars[0].Clef, w.notes)
			played += w.statements
		}
		if len(all) > 8 {
			return // too many to try
		}
		best := math.MaxInt
		var try func(n, sum, held int, clef drill.Clef)
		try = func(n, sum, held int, clef drill.Clef) {
			if n == len(all) {
				if held >= min(least, played) {
					best = min(best, sum)
				}
				return
			}
			for _, c := range clefs {
				next := held
				if n > 0 && c != clef {
					if held < min(least, played) {
						continue
					}
					next = 0
				}
				try(n+1, sum+over(c, all[n].notes), next+all[n].statements, c)
			}
		}
		try(0, 0, 0, 0)
		if got != best {
			t.Fatalf("%d ledger lines beyond the budget; %d would do", got, best)
		}
	})
}

// Where the clefs of Example instruments change, worked by hand from their
// ranges.
func TestClefsOfAPassage(t *testing.T) {
	for _, c := range []struct {
		part, figure, route string
		also                drill.Clefs
		want                string
	}{
		{"trombone Bb3-C5", "1 3 5 8", "0123", drill.ClefsOf(drill.ClefTenor), "t"},
		{"trombone E2-C5", "1 3 2 5", "0123", drill.ClefsOf(drill.ClefTenor), "b"},
		{"trombone Bb3-C5", "1 3 5 8", "0123", 0, "b"},
		{"viola A4-E6", "1 3 5 8", "0123", drill.ClefsOf(drill.ClefTreble), "T"},
		{"piano C2-E3", "1 3 5", "05T3", 0, "b"},
		{"piano C5-E6", "1 3 5", "05T3", 0, "T"},
	} {
		i := find(t, c.part, drill.LevelFull)
		i.Also = c.also
		d, err := drill.New(drill.Settings{Figure: parseFigure(t, c.figure), Route: parseRoute(t, c.route), Parts: []drill.Instrument{i}, LeaveOut: true})
		if err != nil {
			t.Fatalf("%s: %v", c.part, err)
		}
		got := ""
		for n, b := range barsOf(newScore(t, Options{}, d), 0) {
			if n == 0 || b.NewClef {
				got += map[drill.Clef]string{drill.ClefBass: "b", drill.ClefTenor: "t", drill.ClefTreble: "T", drill.ClefAlto: "a"}[b.Clef]
			}
		}
		if got != c.want {
			t.Errorf("%s is written in %s, want %s", c.part, got, c.want)
		}
	}
}

// A seam says how far off the statements lie, as the drill has them.
func TestLawSeams(t *testing.T) {
	checkBars(t, func(t *rapid.T, s sample, part int, bars []Bar) {
		for n, d := range s.drills {
			own, _ := s.drillBars(n, bars)
			events := d.Settings().Figure.In(0)
			lead, length := max(0, -events[0].Onset), figure.Length(0)
			for _, e := range events {
				length = max(length, e.Onset+e.Length)
			}
			bar, closed := d.Settings().Meter.Bar(), closings(d, part)
			for k, b := range own {
				at := figure.Length(k) * bar
				want := SeamRest
				for st := range d.Parts()[part].Statements() {
					from, to := st.Onset-lead, st.Onset+length
					if st.Held {
						from, to = st.Onset, st.Onset+bar
					}
					if st.Rests { // nothing can be parted
						from = max(from, closed[st.Section])
						to = from
					}
					switch {
					case from < at && at < to && at > st.Onset:
						want = SeamStatement
					case from < at && at <= st.Onset && !st.Rests:
						want = max(want, SeamPickup)
					case from >= at && from < at+bar && want == SeamRest:
						want = SeamStatements
					}
				}
				if k == 0 {
					want = SeamStatements
				}
				if b.Seam != want {
					t.Fatalf("bar %d begins between %v, want %v: %s", b.Number, b.Seam, want, barText(b))
				}
			}
		}
	})
}

// along returns a drill of a figure along a route, without rests between the
// statements. The part rests in a key that does not fit, in which another plays.
func along(t tb, text, route string, i drill.Instrument) *drill.Drill {
	t.Helper()
	return newDrill(t, drill.Settings{Figure: parseFigure(t, text), Route: parseRoute(t, route), Parts: []drill.Instrument{i, pipe(0)}, Rest: drill.NoRest, LeaveOut: true})
}

// clefLetters writes the clef of each bar as a letter.
func clefLetters(bars []Bar) (s string) {
	for _, b := range bars {
		s += map[drill.Clef]string{drill.ClefBass: "b", drill.ClefTenor: "t", drill.ClefTreble: "T", drill.ClefAlto: "a"}[b.Clef]
	}
	return s
}

// Where the tenor clef and the treble clef would do as well, a part for the bass
// clef goes to the tenor clef (common practice, no source).
func TestTheTenorClefComesBeforeTheTreble(t *testing.T) {
	for _, also := range []drill.Clefs{drill.ClefsOf(drill.ClefTreble, drill.ClefTenor), drill.ClefsOf(drill.ClefBass, drill.ClefTenor, drill.ClefTreble)} {
		i := reader("C4", "D5", false, drill.ClefBass)
		i.Also = also
		if got := clefLetters(barsOf(newScore(t, Options{}, along(t, "1 5:5 3:2", "0123", i)), 0)); got != "tttt" {
			t.Errorf("four statements from C4 up are written in the clefs %s", got)
		}
	}
}

// A clef holds for two statements that are played: one that is left out is none
// of them. Each statement is a bar. D3 to D4 lies too low for the treble clef, B3
// to B4 too high for the bass clef, and C does not fit.
func TestAClefHoldsForTwoStatementsThatArePlayed(t *testing.T) {
	i := reader("D3", "B4", false, drill.ClefBass, drill.ClefTreble)
	for route, want := range map[string]string{"22EE22": "bbTTbb", "22E0E22": "bbTTTbb", "22E222": "bbbbbb", "22E0222": "bbbbbbb", "E": "T"} {
		if got := clefLetters(barsOf(newScore(t, Options{}, along(t, "1 8:5 5:2", route, i)), 0)); got != want {
			t.Errorf("%s is written in the clefs %s, want %s", route, got, want)
		}
	}
}

// On a grand staff what lies between the staves goes to that in which it needs
// fewer ledger lines, even where either would do.
func TestLawAGrandStaffHasTheFewestLedgerLines(t *testing.T) {
	i := reader("E3", "G#4", true, drill.ClefTreble) // each key fits once
	for key := range 12 {
		bars := barsOf(newScore(t, Options{}, along(t, "1 4 b3:2 2:4", "0123456789TE"[key:key+1], i)), 0)
		lines := map[drill.Clef]int{}
		for _, w := range workedOut(t, bars) {
			for _, n := range w.notes {
				lines[drill.ClefTreble] += Ledgers(drill.ClefTreble, n)
				lines[drill.ClefBass] += Ledgers(drill.ClefBass, n)
			}
		}
		for clef, n := range lines {
			if n < lines[bars[0].Clef] {
				t.Errorf("%s has %d ledger lines; in the %v clef it would have %d", barText(bars[0]), lines[bars[0].Clef], clef, n)
			}
		}
	}
}

// A part has two staves of a grand staff if it needs both, and otherwise the one
// that it needs, with the clef of that; where it rests needs none. G3 and F4 lie
// on one staff each, C4 between the two, and F♯ fits nowhere. Where a part may go to
// the other staff at either of two barlines, it goes where a section begins, and
// otherwise so that what lies between is on the upper one. Five ledger lines, B3 five
// times in treble clef, are less than two changes of staff.
func TestStavesOfAPart(t *testing.T) {
	i := reader("G3", "F4", true, drill.ClefTreble)
	for _, c := range []struct{ route, low, clefs string }{ // in each bar, whether it is on the lower staff
		{"7", "-", "b"}, {"5", "-", "T"}, {"777", "---", "bbb"}, {"555", "---", "TTT"},
		{"676", "---", "bbb"}, {"656", "---", "TTT"},
		{"705", "1--", "bTT"}, {"507", "--1", "TTb"}, {"5/E/5", "---", "TTT"},
		{"7/05", "1--", "bTT"}, {"70/5", "11-", "bbT"}, {"5/07", "-11", "Tbb"}, {"50/7", "--1", "TTb"},
	} {
		s := newScore(t, Options{}, along(t, "1:2 1 1:3 1 1", c.route, i))
		bars, low := barsOf(s, 0), ""
		for _, b := range bars {
			low += map[int]string{0: "-", 1: "1"}[b.Staff]
		}
		staves := 1
		if strings.Contains(c.low, "1") {
			staves = 2
		}
		if got := s.Staves(s.Parts()[0]); got != staves || low != c.low || clefLetters(bars) != c.clefs {
			t.Errorf("%s has %d staves, on the lower one %s, in the clefs %s; want %d, %s, %s", c.route, got, low, clefLetters(bars), staves, c.low, c.clefs)
		}
	}
	var none Score
	three := simple(t, pipe(0), pipe(0), pipe(0)).Parts()
	for _, s := range []*Score{&none, newScore(t, Options{}, simple(t, pipe(0))), newScore(t, Options{}, simple(t, pipe(0), pipe(0)))} {
		if n := s.Staves(three[2]); n != 0 {
			t.Errorf("a part that the score has not has %d staves", n)
		}
	}
}
