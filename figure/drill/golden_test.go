package drill_test

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	. "example.com/keyorder/figure/drill"
	"example.com/keyorder/interval"
	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "write the golden files anew; then check their spelling, register and times by hand")

// where writes a place in time as bar and beat, both from 1, with what it lies
// behind the beat as a fraction of a whole note: "2.3", "2.3+1/8".
func where(m Meter, at figure.Length) string {
	bar, beat := at/m.Bar(), 0
	for at %= m.Bar(); at >= m.Beat(beat); beat++ {
		at -= m.Beat(beat)
	}
	s := fmt.Sprintf("%d.%d", bar+1, beat+1)
	if at > 0 {
		s += "+" + at.String()
	}
	return s
}

// sheet writes a drill with a line for each statement: its number, the written
// key, how it is joined to the one before, then the written notes, with bar and
// beat wherever one stands on a beat or follows a rest, and flags. Notes
// that sound together are joined by +, one that is longer or shorter than the
// unit of the figure's text has its length behind it.
func sheet(d *Drill) string {
	var b strings.Builder
	s := d.Settings()
	fmt.Fprintf(&b, "%v\n%v, %d a minute, rest %v, to %v; %v, %v, %v keys\n", s.Figure, s.Meter, s.Tempo, s.Rest, s.Padding, s.Path, s.Closing, s.Reading)
	fmt.Fprintf(&b, "%d statements, %d bars, %v\n", d.Len(), d.Bars(), d.Duration())
	for p := range d.Parts() {
		i := d.Parts()[p].Instrument()
		fmt.Fprintf(&b, "\n%s, %v clef, %v to %v, sounds %v\n", i.Name, i.Clef, i.Low, i.High, i.Sounding)
		if left := d.Parts()[p].LeftOut(); len(left) > 0 {
			fmt.Fprintf(&b, "without %v\n", left)
		}
		section := 0
		for st := range d.Parts()[p].Statements() {
			if st.Section != section {
				section = st.Section
				b.WriteString("  --\n")
			}
			join := ""
			if j, ok := st.Join(); ok {
				join = j.Interval().String()
			}
			line := fmt.Sprintf("%3d  %-2v %-4s", st.Index, st.Written.Name(), join)
			last, end := figure.Length(-1), figure.Length(-1)
			for _, e := range st.Events() {
				at := st.Onset + e.Onset
				place := where(s.Meter, at)
				switch {
				case at == last:
					line += "+"
				case at != end || !strings.Contains(place, "+"):
					line += "  " + place + " "
				default:
					line += " "
				}
				last, end = at, at+e.Length
				line += e.Note.String()
				if e.Length != s.Figure.Unit() {
					line += ":" + e.Length.String()
				}
			}
			if st.Rests {
				line += "  " + where(s.Meter, st.Onset)
			}
			for c := range st.Chords() {
				line += fmt.Sprintf("  [%v at %s]", c, where(s.Meter, st.Onset+c.Onset))
			}
			var flags []string
			for _, f := range []struct {
				name string
				on   bool
			}{{"return", st.Return}, {"held", st.Held}, {"rests", st.Rests}, {"respelled, sounds " + st.Sounding.Name().String(), st.Respelled}} {
				if f.on {
					flags = append(flags, f.name)
				}
			}
			if len(flags) > 0 {
				line += "  (" + strings.Join(flags, ", ") + ")"
			}
			fmt.Fprintln(&b, line)
		}
	}
	return b.String()
}

// TestGolden compares drills with files whose spelling, register and times
// were checked by hand.
func TestGolden(t *testing.T) {
	parts := func(level Level, names ...string) (all []Instrument) {
		for _, n := range names {
			all = append(all, find(t, n, level))
		}
		return all
	}
	by := func(i interval.Interval) cycle.Route { return cycle.By(i).Closed() }
	fig := func(text string) figure.Figure { return parseFigure(t, text) }
	three := Settings{Figure: fig("1 3 5"), Route: cycle.By(interval.MinorSecond).Open(), Parts: parts(LevelComfortable, "flute"), Rest: NoRest}
	threeBeat, threeRunOn := three, three
	threeBeat.Padding, threeRunOn.Padding = PaddingBeat, PaddingRunOn
	sixEight, err := ParseMeter("6/8")
	if err != nil {
		t.Fatal(err)
	}
	for name, s := range map[string]Settings{
		"trumpet-first-years":  {Figure: fig("1:3 5 4 2 3:2"), Route: by(interval.MajorSecond), Parts: parts(LevelFirstYears, "trumpet")},
		"trumpet-full":         {Figure: fig("1 4 3 8 7 5 2:2 in dorian"), Route: by(interval.PerfectFourth), Parts: parts(LevelFull, "trumpet")},
		"alto-saxophone":       {Figure: fig("1:3 5 4 2 3:2"), Route: by(-interval.MinorThird), Parts: parts(LevelComfortable, "alto saxophone"), Reading: ReadingConcert},
		"horn":                 {Figure: fig("4 5 2 3 1:4"), Route: by(interval.MajorThird), Parts: parts(LevelComfortable, "horn"), Closing: ClosingFull, Reading: ReadingConcert},
		"trombone":             {Figure: fig("1 b3 5 b7 in natural minor by 1/4"), Route: by(interval.PerfectFourth), Parts: parts(LevelComfortable, "trombone"), Path: PathNear, Closing: ClosingOpen},
		"double-bass":          {Figure: fig("1 4 5 6 b7 3 5 2 in mixolydian by 1/4"), Route: by(interval.AugmentedFourth), Parts: parts(LevelComfortable, "double bass"), Tempo: 120},
		"three-eighths-bar":    three,
		"three-eighths-beat":   threeBeat,
		"three-eighths-run-on": threeRunOn,
		"triplets":             {Figure: fig("1 3 2 4 5 3 1:6 by 1/12"), Route: by(interval.MajorThird), Parts: parts(LevelComfortable, "clarinet"), Closing: ClosingOpen},
		"rests-and-long-notes": {Figure: fig("1:3 0 5 0:2 b3:5/2 0:1/2 1:2 in harmonic minor"), Route: by(interval.MinorThird), Parts: parts(LevelComfortable, "cello"), Meter: sixEight, Tempo: 60, Padding: PaddingBeat, Rest: Rest(3 * figure.Eighth)},
		"pickup":               {Figure: fig("v5 v7 | 1 5 3:2 0 1"), Route: by(interval.MajorThird), Parts: parts(LevelComfortable, "violin"), Rest: Rest(figure.Quarter)},
		"piano-together":       {Figure: fig("1+3+5:2 v7+2+5:2 1+3+5:4"), Route: by(interval.MinorThird), Parts: parts(LevelComfortable, "piano"), Closing: ClosingFull},
		"two-chords":           {Figure: fig("{2 m7} 2 4 6 8 {5 7} 7 5 4 2 {1 maj7} 1:4"), Route: by(-interval.MajorSecond), Parts: parts(LevelComfortable, "tenor saxophone"), Closing: ClosingOpen},
		"class":                {Figure: fig("1 3 2 5 4 6 7 8"), Route: by(interval.MajorThird), Parts: parts(LevelFirstYears, "trumpet", "alto saxophone", "trombone"), LeaveOut: true},
	} {
		file := "testdata/" + name + ".txt"
		got := sheet(newDrill(t, s))
		if *update {
			if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(string(want), got); diff != "" {
			t.Errorf("%s: %s", name, diff)
		}
	}
}
