package notation_test

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	. "example.com/keyorder/figure/notation"
	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "write the golden file anew; then check it by hand")

// cases are the worked cases of the golden file. Each was checked by hand,
// symbol by symbol, against engraving practice (common practice, no source).
var cases = []struct {
	name     string
	figure   string
	route    string
	part     string // "trumpet" if empty
	level    drill.Level
	meter    string // 4/4 if empty
	rest     drill.Rest
	settings drill.Settings // what else is set
	options  Options
	bars     int // all if 0
}{
	{name: "one bar and a bar's rest, B♭ trumpet, first years, by minor thirds",
		figure: "1:3 5 4 2 3:2", route: "(0369)/(147T)", level: drill.LevelFirstYears, bars: 11},
	{name: "the same, full range", figure: "1:3 5 4 2 3:2", route: "(0369)", level: drill.LevelFull},
	{name: "the same, E♭ alto saxophone", figure: "1:3 5 4 2 3:2", route: "(0369)", part: "alto saxophone"},
	{name: "the same, F horn, from the keys that sound", figure: "1:3 5 4 2 3:2", route: "(0369)", part: "horn",
		settings: drill.Settings{Reading: drill.ReadingConcert}},
	{name: "the same, trombone", figure: "1:3 5 4 2 3:2", route: "(0369)", part: "trombone"},
	{name: "the same, double bass", figure: "1:3 5 4 2 3:2", route: "(0369)", part: "double bass"},

	{name: "three eighths, each on a bar", figure: "1 3 2", route: "05T3", rest: drill.NoRest},
	{name: "three eighths, each on a beat", figure: "1 3 2", route: "05T3", rest: drill.NoRest, settings: drill.Settings{Padding: drill.PaddingBeat}},
	{name: "three eighths, running on", figure: "1 3 2", route: "05T3816E4927", rest: drill.NoRest, settings: drill.Settings{Padding: drill.PaddingRunOn}},

	{name: "triplets of eighths", figure: "1 3 2 4 2 3 1:3 by 1/12", route: "(06)", rest: drill.NoRest},
	{name: "triplets of eighths, long and short, with rests and an eighth cut", figure: "1:2 3 2 4:2 0 2 3 1 3:1/2 2:1/2 1 by 1/12", route: "0", rest: drill.NoRest},
	{name: "triplets of quarters and of halves", figure: "1 3 2 4:2 2 1:2 3:2 2:2 by 1/6", route: "0", rest: drill.NoRest},
	{name: "triplets of quarters with a rest, then over the beats", figure: "1 0 2 4:3/2 2 3 1 3:1/2 by 1/6", route: "0", rest: drill.NoRest},
	{name: "triplets of sixteenths", figure: "1 3 2 4 2 3 1:6 3 2 5 4:3 1:6 by 1/24", route: "0", rest: drill.NoRest},
	{name: "triplets with long rests, and ties inside them", figure: "1:4 0:8 3:8 0:16 2 5:5 2:5 1 0:12 by 1/24", route: "0", rest: drill.NoRest},
	{name: "triplets of quarters in 3/4", figure: "1 3 2 4:3/2 4:3/2 2 3 1 by 1/6", route: "0", meter: "3/4", rest: drill.NoRest},

	{name: "rests and long notes", figure: "1:5 0:2 3 0:3 2:8 0 4:12", route: "0", rest: drill.NoRest},
	{name: "rests in parts of a beat", figure: "1 0:3 3 2 0 0 4 0 0:2 1 0 3 2:2 0:2 by 1/16", route: "0", rest: drill.NoRest},
	{name: "a pickup", figure: "v5 v7 | 1 2 3 0:1/2 1:1/2 1:2", route: "(06)"},
	{name: "a pickup of more than a bar", figure: "v5:2 v6:2 v7:5 | 1:6", route: "07", meter: "3/4", rest: drill.NoRest},
	{name: "simultaneous notes on a piano", figure: "1+3+5:2 1+4+6:2 v7+2+5:2 1+3+5:2", route: "(048)", part: "piano"},
	{name: "a line over two chords", figure: "{2 m7} 2 3 6 4 {5 7} v7 2 4 b6 {1 maj7} 5:4", route: "(06)", rest: drill.NoRest},

	{name: "6/8", figure: "1 3 2 4:2 2 3:3 1:4 3 0 0 2 0:2 1:3 0:2 by 1/8", route: "0", meter: "6/8", rest: drill.NoRest},
	{name: "6/8, sixteenths, two in a beat, a triplet, an inverted dotted rhythm", figure: "1 3 2 5 4 6 1:3 3:3 2:4/3 3:4/3 1:4/3 3:2 1 3:3 1:2 by 1/16", route: "0", meter: "6/8", rest: drill.NoRest},
	{name: "9/8 and its full bar", figure: "1:9 1:3 3:6 2:4 3:5", route: "0", meter: "9/8", rest: drill.NoRest},
	{name: "12/8", figure: "1:6 3:3 1:3 3:3 2:6 3:3 1:12", route: "0", meter: "12/8", rest: drill.NoRest},
	{name: "3/8", figure: "1 3 2 1 3:2 2:3 1:1/2 3:1/2 2:1/2 5:1/2 4:1/2 5:1/2 2 0:2", route: "0", meter: "3/8", rest: drill.NoRest},
	{name: "5/4", figure: "1:10 3:2 2:8 1 3 2 5 4 5 2 3 1:2", route: "0", meter: "5/4", rest: drill.NoRest},
	{name: "5/8", figure: "1 3 2 5 4 1:3 3:2 2:5 1:4 3 2:2 0:3", route: "0", meter: "5/8", rest: drill.NoRest},
	{name: "7/8", figure: "1 3 2 5 4 5 2 1:2 3:2 2:3 1:7 0:2 3:5 1:3 3:4", route: "0", meter: "7/8", rest: drill.NoRest},
	{name: "7/16", figure: "1 3 2 5 4 5 2 1:2 3:2 2:3 1:7 by 1/16", route: "0", meter: "7/16", rest: drill.NoRest},
	{name: "3+3+2/8", figure: "1:3 3:3 2:2 1 3 2 5 4 5 2 3 1:8 0:3 1:2 3:3", route: "0", meter: "3+3+2/8", rest: drill.NoRest},
	{name: "eighths in fours, in twos beside other values, and a pickup of them", figure: "5 4 2 | 1 3 2 5 4 5 2 3 1 3 2 5:1/2 4:1/2 3 5 2 4 1 3 2:2 0 5 4 2 1:2/3 3:2/3 2:2/3 5 4 1 3 5:4", route: "0"},
	{name: "the same by the beat", figure: "5 4 2 | 1 3 2 5 4 5 2 3 1 3 2 5:1/2 4:1/2 3 5 2 4 1 3 2:2 0 5 4 2 1:2/3 3:2/3 2:2/3 5 4 1 3 5:4", route: "0", options: Options{ByBeat: true}},
	{name: "eighths in 3/4, a bar of them and less", figure: "1 3 2 5 4 2 1 3 2 5 4:2 1:3/2 3:1/2 2 5 4 2 0 3 2 5 4 2", route: "0", meter: "3/4"},
	{name: "2/2", figure: "1 3 2 5 4 5 2 3 1:2 3:4 1:2 1:3 3:5 0:4 1:4", route: "0", meter: "2/2", rest: drill.NoRest},

	{name: "syncopations of eighths and quarters", figure: "1 3:2 2 1 3:2 2 1:2 3:4 2:2 1:2 3:6 1 3:3 1 3:3 1:3 3:2 2:3 1 3:7", route: "0", rest: drill.NoRest},
	{name: "syncopations of sixteenths", figure: "1 3:2 2 1 3:3 1:3 3 1 3:2 2:3 3:2 2:3 3:3 1:2 1 3:7 by 1/16", route: "0", rest: drill.NoRest},
	{name: "syncopations in 3/4", figure: "1 3:2 2:2 3 1 3:3 1:2 1:3 3:3 1 3:4 1", route: "0", meter: "3/4", rest: drill.NoRest},
	{name: "ties over the bar", figure: "1:5 3:5 2:5 4:13 1:4", route: "0", rest: drill.NoRest},

	{name: "key signatures", figure: "1 2 3 4 n4 #4 7 8", route: "(036)/07", rest: drill.NoRest, options: Options{Signatures: true}},
	{name: "key signatures with a pickup, in dorian", figure: "v5 v7 | 1 3 2 n3 3:2 in dorian", route: "(05T3)", rest: drill.NoRest, options: Options{Signatures: true}},
	{name: "accidentals that hold, by octaves, over ties and after the bar",
		figure: "#1 1 #1 b8 #1:5 #1 1 1:6 b3 3 b3:1 3:1", route: "0", rest: drill.NoRest},
	{name: "double accidentals and cautionary ones", figure: "1 b2 b4 5 b7 b6 b5 b4:2 #4:2 1:5 b4 b4 #4 in super-locrian", route: "5T", rest: drill.NoRest},
	{name: "two notes on one line", figure: "1+#1:2 #1:2 1+3:4 1:8", route: "0", part: "piano", rest: drill.NoRest},
	{name: "a key left out", figure: "1 4 10 4:5", route: "(0369)", part: "trumpet C4-B5", settings: drill.Settings{LeaveOut: true}},
	{name: "the whole figure at the return", figure: "1 3 5 3 1:4", route: "(06)", rest: drill.NoRest, settings: drill.Settings{Closing: drill.ClosingFull}},
	{name: "a clef that changes", level: drill.LevelFull, figure: "1 3 5 8 5:4", route: "024579TE", part: "trombone C3-C5", rest: drill.NoRest},
	{name: "no return", figure: "1 3 5 3 1:4", route: "(06)/(17)", rest: drill.NoRest, settings: drill.Settings{Closing: drill.ClosingOpen}},
}

// score returns the score of a case.
func score(t tb, n int) *Score {
	t.Helper()
	c := cases[n]
	s := c.settings
	s.Figure, s.Route, s.Rest = parseFigure(t, c.figure), parseRoute(t, c.route), c.rest
	if c.part == "" {
		c.part = "trumpet"
	}
	s.Parts = []drill.Instrument{find(t, c.part, c.level)}
	if c.meter != "" {
		s.Meter = parseMeter(t, c.meter)
	}
	return newScore(t, c.options, newDrill(t, s))
}

func TestGoldenFile(t *testing.T) {
	var b strings.Builder
	b.WriteString(goldenHead)
	for n, c := range cases {
		s := score(t, n)
		fmt.Fprintf(&b, "\n## %s\n%s; %s\n", c.name, s.Parts()[0].Instrument().Name, c.figure)
		for bar := range s.PartBars(s.Parts()[0]) {
			if c.bars == 0 || bar.Number <= c.bars {
				b.WriteString(barText(bar) + "\n")
			}
		}
	}
	fmt.Fprintf(&b, "\n## a part that leaves a key out and rests, beside one that plays it\ntrumpet in B♭ and a flute with a range of its own; 1 5 10 5:5\n")
	s := newScore(t, Options{}, newDrill(t, drill.Settings{Figure: parseFigure(t, "1 5 10 5:5"), Route: parseRoute(t, "(06)/(39)"), LeaveOut: true,
		Rest: drill.NoRest, Parts: []drill.Instrument{find(t, "trumpet", 0), find(t, "flute C4-B5", 0)}}))
	for part := range s.Parts() {
		for bar := range s.PartBars(s.Parts()[part]) {
			b.WriteString(barText(bar) + "\n")
		}
	}
	for _, meter := range []string{"4/4", "3/4", "6/8", "2/2"} {
		for _, what := range []string{"note", "rest"} {
			fmt.Fprintf(&b, "\n## every %s in eighths inside a bar of %s, by the eighth that it begins on\n", what, meter)
			b.WriteString(stretches(parseMeter(t, meter), what == "rest"))
		}
	}
	const file = "testdata/bars.txt"
	if *update {
		if err := os.WriteFile(file, []byte(b.String()), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), b.String()); diff != "" {
		t.Errorf("the bars of the worked cases (-want +got):\n%s", diff)
	}
}

const goldenHead = `# Bars of worked cases, one bar a line, as they stand on the page; each checked by hand (common practice, no source).
# ♭E5/8. is a dotted eighth on the line or space of E5 with a flat before it; without a sign none stands there. (♭) is
# cautionary. r/4 is a quarter rest, R a bar's rest. ~ ties. [ and ] begin and end a beam, one for each level, > and <
# are hooks. 3( ) is a triplet. "E♭" is a label, {-3} a key signature, {tenor clef} a clef, §1 the beginning of section 1; | || |. are barlines.
`

// barText writes a bar as it stands on the page.
func barText(b Bar) string {
	var out strings.Builder
	fmt.Fprintf(&out, "%3d", b.Number)
	if b.Opens {
		fmt.Fprintf(&out, " %v", b.Meter)
	}
	if b.NewSignature {
		fmt.Fprintf(&out, " {%+d}", b.Signature)
	}
	if b.NewClef {
		fmt.Fprintf(&out, " {%v clef}", b.Clef)
	}
	if b.Section > 0 {
		fmt.Fprintf(&out, " §%d", b.Section)
	}
	labels := b.Labels
	for n, s := range b.Symbols {
		for len(labels) > 0 && (labels[0].Onset < s.Onset+s.Length || n == len(b.Symbols)-1) {
			fmt.Fprintf(&out, " %q", labels[0].String())
			if labels[0].Onset != s.Onset {
				fmt.Fprintf(&out, "@%v", labels[0].Onset)
			}
			labels = labels[1:]
		}
		out.WriteString(" " + symbolText(s))
	}
	return out.String() + [...]string{" |", " ||", " |."}[b.End]
}

func symbolText(s Symbol) string {
	if s.FullBar {
		return "R"
	}
	var before, after string
	if s.Triplet == GroupBegins {
		before = "3("
	}
	for _, b := range s.Beams {
		switch b {
		case BeamBegins:
			before += "["
		case BeamEnds:
			after += "]"
		case BeamHookForward:
			after += ">"
		case BeamHookBackward:
			after += "<"
		}
	}
	if s.Triplet == GroupEnds {
		after += ")"
	}
	var notes []string
	for _, n := range s.Notes {
		notes = append(notes, noteText(n))
	}
	if len(notes) == 0 {
		notes = []string{"r"}
	}
	return fmt.Sprintf("%s%s/%d%s%s", before, strings.Join(notes, "+"), s.Value.Base, strings.Repeat(".", int(s.Value.Dots)), after)
}

// noteText writes a note as it stands on the page.
func noteText(n Note) string {
	text := fmt.Sprintf("%v%d", n.Note.Letter(), n.Note.Octave())
	sign := strings.TrimPrefix(n.Note.Name().String(), n.Note.Letter().String())
	if sign == "" {
		sign = "♮"
	}
	switch n.Accidental {
	case AccidentalShown:
		text = sign + text
	case AccidentalCautionary:
		text = "(" + sign + ")" + text
	}
	if n.TieIn {
		text = "~" + text
	}
	if n.TieOut {
		text += "~"
	}
	return text
}

// stretches writes all notes or rests in eighths as the bar has them.
func stretches(m drill.Meter, rest bool) string {
	bar := m.Bar()
	notes := []Note{{}}
	if rest {
		notes = nil
	}
	var b strings.Builder
	for from := figure.Length(0); from < bar; from += figure.Eighth {
		fmt.Fprintf(&b, "%d:", from/figure.Eighth+1)
		for to := from + figure.Eighth; to <= bar; to += figure.Eighth {
			if rest && to-from == bar {
				break // a full bar's rest
			}
			separator := " "
			for _, p := range ValuesOf(m, from, to, notes) {
				fmt.Fprintf(&b, "%s%d%s", separator, p.Base, strings.Repeat(".", int(p.Dots)))
				separator = "~"
			}
		}
		b.WriteString("\n")
	}
	return b.String()
}
