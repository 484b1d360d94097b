package staff

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/notation"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
	"github.com/google/go-cmp/cmp"
)

// pictures are the scores to look at: -pictures writes them.
var pictures = []picture{
	{name: "minor-thirds", figure: "1:3 5 4 2 3:2", order: "m3", part: "flute"},
	{name: "ledger-lines", figure: "1 4 5 8 10 7 6 2", order: "P4", part: "violin", rest: drill.NoRest},
	{name: "bass", figure: "1 4 b3 b7 in dorian", order: "M2", part: "trombone", meter: "3/4"},
	{name: "alto", figure: "1 4 5 7 9 8 6 3", order: "M3", part: "viola", rest: drill.NoRest},
	{name: "octave-treble", figure: "3 1 3 2", order: "A4", part: "tenor voice"},
	{name: "triplets", figure: "1:2/3 3:2/3 2:2/3 4:4/3 2:4/3 1:4/3 4 2 1:1/3 3:1/3 2:1/3 4 2 1:2/3 3:2/3 2:2/3 4:2 2:1/3 3:2/3 1:1/3 0:2/3 1:1/6 3:1/6 2:1/6 3:1/2 1:1/2 by 1/4", order: "m3", part: "flute"},
	{name: "ties", figure: "1 3 2 4:2 2 3 1:4", order: "P4", part: "trumpet", rest: drill.Rest(figure.Eighth), padding: drill.PaddingRunOn},
	{name: "together", figure: "1+3+5 1+2+3 b3+n3 1+b2+2:2 2+3+4+5 v7+1:2 #1+2+#2+3:3 1+2+3+4+5:3", order: "M3", part: "piano"},
	{name: "six-eight", figure: "1 3 2 4:3 2:2 1 0 1 1:3", order: "m3", part: "oboe", meter: "6/8"},
	{name: "seven-eight", figure: "1 3 2 4 2 3 1", order: "m3", part: "oboe", meter: "7/8"},
	{name: "fast", figure: "1 3:1/2 2:1/2 5:3 4 6:1/2 4:1/2 5 2 3:1/2 0:1/2 1:1/2 3:1/2 2:1/4 5:1/4 4:1/2 0:1/4 2:1/4 0:1/2 0 0:2 1:4 by 1/16", order: "m3", part: "clarinet"},
	{name: "accidentals", figure: "1 b2 b3 b4 b5 bb7 #4 ##1 #5 ##5 1 bbb7 ###1", order: "P4", part: "violin"},
	{name: "signatures", figure: "1 3 2 5 2 3 1 #1", order: "m3", part: "cello", score: notation.Options{Signatures: true}},
	{name: "pickup", figure: "b2 v7 | {2 m7} 1 3 5 6 {5 7(b9)} 5 4 2 v7 {1 maj7} 1:8", order: "-M2", part: "alto saxophone", score: notation.Options{Swing: true}},
	{name: "flags", figure: "1 0 3 0 2:1/2 0:1/2 0 0:1/4 4:1/4 0:1/2 0 v1:1/4 0:3/4 1:3/2 0:1/2 2:3 0", order: "m3", part: "violin"},
	{name: "additive", figure: "1 3 2 4 2", order: "m3", part: "oboe", meter: "2+3/8"},
	{name: "grand", figure: "1 3 5 8 5 4 3:2", order: "P4", part: "piano C2-C7"},
	{name: "high-trombone", figure: "1 3 5 8 7 6 5:2", order: "m2", part: "trombone C3-C5"},
	{name: "long-phrase", figure: "1 3 5 4 2 4 6 5 3 5 7 6 4 3 2 7 8 6 4 2 7 5 3 6 5 4 3 2 1:4", order: "M3", part: "clarinet"},
	{name: "blues", figure: "3 5 1 6 over jazz blues", order: "P4", part: "trumpet"},
	{name: "long-notes", figure: "1:2 3:3 2:1 4:4 6:8 by 1/4", order: "M2", part: "oboe", title: "Long <b>notes</b> & rests"},
}

var picturesIn = flag.String("pictures", "", "write the pictures to this directory")

type picture struct {
	name, figure, order, part, meter, title string
	rest                                    drill.Rest
	padding                                 drill.Padding
	articulation                            drill.Articulation
	accents                                 drill.Accents
	score                                   notation.Options
}

func (p picture) layout(t testing.TB) *Layout {
	t.Helper()
	part, err := drill.Find(p.part, drill.LevelFull)
	if err != nil {
		t.Fatal(err)
	}
	s := drill.Settings{
		Title: p.title, Figure: figure.MustParse(p.figure), Route: cycle.MustParse(p.order).Closed(),
		Parts: []drill.Instrument{part}, Rest: p.rest, Padding: p.padding,
		Articulation: p.articulation, Accents: p.accents,
	}
	if p.title == "" {
		s.Title = p.name
	}
	if p.meter != "" {
		if s.Meter, err = drill.ParseMeter(p.meter); err != nil {
			t.Fatal(err)
		}
	}
	d, err := drill.New(s)
	if err != nil {
		t.Fatal(err)
	}
	score, err := notation.New([]*drill.Drill{d}, p.score)
	if err != nil {
		t.Fatal(err)
	}
	l, err := New(score, score.Parts()[0], Options{})
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func find(name string) picture {
	for _, p := range pictures {
		if p.name == name {
			return p
		}
	}
	panic("no picture " + name)
}

func first(l *Layout) *System {
	for s := range l.Systems() {
		return s
	}
	return nil
}

func TestPictures(t *testing.T) {
	for _, p := range pictures {
		for s := range p.layout(t).Systems() {
			wellFormed(t, s.WriteSVG)
		}
		for page := range p.layout(t).Pages() {
			wellFormed(t, page.WriteSVG)
			if *picturesIn == "" {
				continue
			}
			var b bytes.Buffer
			if err := page.WriteSVG(&b); err != nil {
				t.Fatal(err)
			}
			name := filepath.Join(*picturesIn, fmt.Sprintf("%s-%d.svg", p.name, page.Number()))
			if err := os.WriteFile(name, b.Bytes(), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
}

var update = flag.Bool("update", false, "write testdata anew")

// A small system, looked at and kept.
func TestGolden(t *testing.T) {
	d, err := drill.New(drill.Settings{
		Title: "Tritones", Figure: figure.MustParse("{1 7} 1 b3 5 n7:3/2 5:1/2 3+5:2 0 in dorian"),
		Route: cycle.By(interval.AugmentedFourth).Closed(), Parts: []drill.Instrument{part(t, "flute")},
	})
	if err != nil {
		t.Fatal(err)
	}
	score, err := notation.New([]*drill.Drill{d}, notation.Options{})
	if err != nil {
		t.Fatal(err)
	}
	l, err := New(score, score.Parts()[0], Options{Bars: 2})
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := first(l).WriteSVG(&b); err != nil {
		t.Fatal(err)
	}
	const name = "testdata/system.svg"
	if *update {
		if err := os.WriteFile(name, b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), b.String()); diff != "" {
		t.Errorf("the drawing has changed; look at it, then run with -update:\n%s", diff)
	}
}

func part(t testing.TB, name string) drill.Instrument {
	t.Helper()
	i, err := drill.Find(name, drill.LevelFull)
	if err != nil {
		t.Fatal(err)
	}
	return i
}

// The notes on the middle lines, the ledger lines of a few notes and the
// places of key signatures, as every primer has them (common practice, no
// source).
func TestPlacesOnTheStaff(t *testing.T) {
	for _, c := range []struct {
		clef     drill.Clef
		note     string
		position int
		ledgers  int
	}{
		{drill.ClefTreble, "B4", 0, 0}, {drill.ClefTreble, "G4", -2, 0}, {drill.ClefTreble, "C4", -6, 1}, {drill.ClefTreble, "D4", -5, 0},
		{drill.ClefTreble, "G5", 5, 0}, {drill.ClefTreble, "A5", 6, 1}, {drill.ClefTreble, "C6", 8, 2}, {drill.ClefTreble, "D6", 9, 2}, {drill.ClefTreble, "F#3", -10, 3},
		{drill.ClefBass, "D3", 0, 0}, {drill.ClefBass, "F3", 2, 0}, {drill.ClefBass, "C4", 6, 1}, {drill.ClefBass, "E2", -6, 1}, {drill.ClefBass, "C2", -8, 2},
		{drill.ClefAlto, "C4", 0, 0}, {drill.ClefAlto, "C3", -7, 1},
		{drill.ClefTrebleOctave, "B3", 0, 0}, {drill.ClefTrebleOctave, "C3", -6, 1},
		{drill.ClefTreble, "C99", farthest, 22},
	} {
		r := ruler{shapes: shapes(), staves: 1, near: 1, clef: clefOf(c.clef)}
		note := spelling.MustParse(c.note)
		m := r.bar(notation.Bar{Clef: c.clef, Symbols: []notation.Symbol{{Length: figure.Whole, Value: notation.Value{Base: 1}, Notes: []notation.Note{{Note: note}}}}}, 0, new(stock))
		ledgers := 0
		for _, k := range m.columns[0].marks {
			if k.kind == ledgerMark {
				ledgers++
			}
		}
		if p := r.position(note); p != c.position || ledgers != c.ledgers {
			t.Errorf("%s in the %v clef: position %d with %d ledger lines, want %d with %d", c.note, c.clef, p, ledgers, c.position, c.ledgers)
		}
	}
	for clef, want := range map[drill.Clef][2]string{
		drill.ClefTreble:       {"F5 C5 G5 D5 A4 E5 B4", "B4 E5 A4 D5 G4 C5 F4"},
		drill.ClefBass:         {"F3 C3 G3 D3 A2 E3 B2", "B2 E3 A2 D3 G2 C3 F2"},
		drill.ClefAlto:         {"F4 C4 G4 D4 A3 E4 B3", "B3 E4 A3 D4 G3 C4 F3"},
		drill.ClefTenor:        {"F3 C4 G3 D4 A3 E4 B3", "B3 E4 A3 D4 G3 C4 F3"},
		drill.ClefTrebleOctave: {"F4 C4 G4 D4 A3 E4 B3", "B3 E4 A3 D4 G3 C4 F3"},
	} {
		c := clefOf(clef)
		for n, signature := range [2]int{7, -7} {
			var places []string
			for _, s := range c.signature(nil, signature, 0) {
				step := s.position - notation.Position(clef, spelling.MustParse("C0"))
				places = append(places, fmt.Sprintf("%v%d", spelling.Letter(step%7), step/7))
			}
			if got := strings.Join(places, " "); got != want[n] {
				t.Errorf("signature %d in the %v clef: %s, want %s", signature, clef, got, want[n])
			}
		}
		switch got := c.signature(nil, 0, -3); {
		case len(got) != 3:
			t.Errorf("no signature after three flats: %v: not three signs", got)
		case got[0].glyph != natural:
			t.Errorf("no signature after three flats: %v: the first is no natural", got)
		case got[0].position != c.signature(nil, -1, 0)[0].position:
			t.Errorf("no signature after three flats: %v: the first stands elsewhere", got)
		}
	}
}

// What stands before noteheads, and how it is written (common practice, no
// source).
func TestSigns(t *testing.T) {
	for _, c := range []struct {
		alteration int
		cautionary bool
		want       []glyph
	}{
		{0, false, []glyph{natural}}, {1, false, []glyph{sharp}}, {-1, false, []glyph{flat}},
		{2, false, []glyph{doubleSharp}}, {-2, false, []glyph{flat, flat}},
		{3, false, []glyph{sharp, doubleSharp}}, {-3, false, []glyph{flat, flat, flat}}, {4, false, []glyph{doubleSharp, doubleSharp}},
		{0, true, []glyph{openParenthesis, natural, closeParenthesis}},
	} {
		if got := signs(nil, c.alteration, c.cautionary); !slices.Equal(got, c.want) {
			t.Errorf("%d, cautionary %v: %v, want %v", c.alteration, c.cautionary, got, c.want)
		}
	}
}

func TestTempo(t *testing.T) {
	for meter, want := range map[string]string{
		"4/4": "4 0", "2/2": "2 0", "6/8": "4 1", "12/8": "4 1", "7/8": "8 0", "5/16": "16 0", "9/16": "8 1", "3+3/4": "2 1", "4+4/4": "1 0", "3+3/2": "1 1", "4+4/2": "0 0",
	} {
		m, err := drill.ParseMeter(meter)
		if err != nil {
			t.Fatal(err)
		}
		base, dots := tempoValue(m.Counted())
		if got := fmt.Sprint(base, " ", dots); got != want {
			t.Errorf("%s counts %s, want %s", meter, got, want)
		}
		p := find("additive")
		p.meter = meter
		p.score.Swing = true
		s := first(p.layout(t))
		text := ""
		for _, k := range s.texts {
			if k.style == tempoText {
				text = k.text
			}
		}
		if !strings.Contains(text, "= 80") || !strings.HasSuffix(text, "swing") || strings.Contains(text, "2 whole notes") != (base == 0) {
			t.Errorf("%s has the tempo %q", meter, text)
		}
	}
}

func TestTimeSignatures(t *testing.T) {
	r := ruler{shapes: shapes()}
	for meter, want := range map[string][2]string{"4/4": {"4", "4"}, "12/8": {"12", "8"}, "5/16": {"5", "16"}, "2+3/8": {"2+3", "8"}} {
		m, err := drill.ParseMeter(meter)
		if err != nil {
			t.Fatal(err)
		}
		var got [2]string
		upper, lower := r.meterRows(m)
		for n, row := range [2][]glyph{upper, lower} {
			for _, g := range row {
				got[n] += string("0123456789+"[g-digit0])
			}
		}
		if got != want {
			t.Errorf("%s is written %v", meter, got)
		}
	}
}

// The zero values hold nothing and do no harm.
func TestZeroValues(t *testing.T) {
	var l Layout
	for range l.Systems() {
		t.Error("the zero layout has a system")
	}
	for range l.Pages() {
		t.Error("the zero layout has a page")
	}
	var s System
	var p Page
	if first, last := s.Bars(); first != 0 || last != 0 || s.Opens() || s.Width() != 0 || s.Height() != 0 {
		t.Errorf("the zero system has bars %d to %d, %v by %v mm", first, last, s.Width(), s.Height())
	}
	if first, last := p.Bars(); first != 0 || last != 0 || p.Number() != 0 {
		t.Errorf("the zero page %d has bars %d to %d", p.Number(), first, last)
	}
	for _, write := range []func(io.Writer) error{s.WriteSVG, p.WriteSVG} {
		var b bytes.Buffer
		var e *fault.ValueError
		if err := write(&b); !errors.As(err, &e) || b.Len() > 0 {
			t.Errorf("%v, %d bytes", err, b.Len())
		}
	}
	var e *fault.ValueError
	if _, err := New(new(notation.Score), drill.Part{}, Options{}); !errors.As(err, &e) || !strings.Contains(err.Error(), "the score has 0 parts") {
		t.Error(err)
	}
}

// A single bar is drawn as wide as its tempo needs.
func TestTempoHasRoom(t *testing.T) {
	p := find("octave-treble")
	p.figure, p.meter, p.score = "1:2", "1/4", notation.Options{Swing: true}
	l := p.layout(t)
	l.options.Bars = 1
	s := first(l)
	for _, w := range s.texts {
		if w.style == tempoText && w.x+w.width > s.line {
			t.Errorf("%q reaches to %v, beyond the staff of %v", w.text, w.x+w.width, s.line)
		}
	}
	if len(s.bars) != 1 {
		t.Errorf("%d bars", len(s.bars))
	}
}

// A bar of rest belongs to what was played before: the next line begins with
// the next key.
func TestSystemsBeginWithKeys(t *testing.T) {
	for s := range find("minor-thirds").layout(t).Systems() {
		if len(s.bars[0].Labels) == 0 {
			t.Errorf("%s begins with no key", where(s))
		}
	}
}

func TestFullBarRestsAreCentred(t *testing.T) {
	n := 0
	for s := range find("minor-thirds").layout(t).Systems() {
		bars := s.of(barlineMark)
		for _, m := range s.of(restMark) {
			if !s.columns()[m.column].symbol.FullBar {
				continue
			}
			middle := (m.box().left + m.box().right) / 2
			left, right := -math.MaxFloat64, math.MaxFloat64
			for _, b := range bars {
				if b.box().right < middle {
					left = max(left, b.box().right)
				} else if b.box().left > middle {
					right = min(right, b.box().left)
				}
			}
			n++
			if math.Abs(middle-(left+right)/2) > 0.01 {
				t.Errorf("%s: a rest at %.2f between %.2f and %.2f", where(s), middle, left, right)
			}
		}
	}
	if n != 14 {
		t.Errorf("%d bars of rest", n)
	}
}

// A warning of the signature of the next system stands after the barline, and
// the next system repeats it.
func TestSignaturesAcrossSystems(t *testing.T) {
	warned := 0
	for s := range find("signatures").layout(t).Systems() {
		last := s.of(barlineMark)
		right := last[len(last)-1].box().right
		after := 0
		for _, m := range s.of(signatureMark) {
			if m.box().left > right {
				after++
			}
		}
		want := 0
		if s.next != nil && s.next.NewSignature {
			want = len(s.bars[0].clef.signature(nil, s.next.Signature, s.bars[len(s.bars)-1].Signature))
			warned++
		}
		if after != want {
			t.Errorf("%s: %d signs after the last barline, want %d", where(s), after, want)
		}
	}
	if warned == 0 {
		t.Error("no system warns of a signature")
	}
}

// A bar too full for the page is drawn smaller, and nothing is broken.
func TestBarTooFull(t *testing.T) {
	p := find("fast")
	p.figure = strings.Repeat("1+2+3+4:1/4 #1+#2:1/4 ", 64) + "by 1/16"
	p.order = "P1"
	s := first(p.layout(t))
	if len(s.bars) != 1 || s.scale >= 1 || math.Abs(s.line*s.scale-s.width) > hair {
		t.Errorf("%s: %d bars, drawn %.2f times as large", where(s), len(s.bars), s.scale)
	}
	// On the smallest paper too a system fits a page.
	p = find("together")
	l := p.layout(t)
	l.options.Paper = Paper{60, 60, 0}
	for page := range l.Pages() {
		if h := page.tops[0] + page.systems[0].Height(); len(page.systems) == 1 && h > 60-footingHeight+hair {
			t.Errorf("page %d: a system ends at %.1f mm", page.Number(), h)
		}
	}
	s.shrink(5)
	if math.Abs(s.Height()-5) > hair {
		t.Errorf("shrunk to %v mm", s.Height())
	}
}

// Every paper's page is as large as the paper, and A4 and Letter are of the
// sizes of ISO 216 and ANSI/ASME Y14.1 (from memory).
func TestPapers(t *testing.T) {
	for paper, size := range map[Paper]string{A4(): `width="210mm" height="297mm"`, Letter(): `width="215.9mm" height="279.4mm"`} {
		l := find("bass").layout(t)
		l.options.Paper = paper
		for page := range l.Pages() {
			var b strings.Builder
			if err := page.WriteSVG(&b); err != nil || !strings.Contains(b.String(), size) {
				t.Errorf("%v: %.200s, %v", paper, b.String(), err)
			}
			break
		}
	}
	for o, want := range map[Options]float64{{}: 7, {Large: true}: 14, {Staff: 8}: 8, {Staff: 10, Large: true}: 10} {
		p := find("bass").layout(t)
		l, err := New(p.score, p.part, o)
		if err != nil {
			t.Fatal(err)
		}
		if got := first(l).unit * 4; got != want {
			t.Errorf("%+v: a staff is %v mm high, want %v", o, got, want)
		}
	}
}

// Whatever the caller does between, the same layout gives the same pages.
func TestLayoutsCanBeRunAgain(t *testing.T) {
	l := find("triplets").layout(t)
	draw := func() string {
		var b strings.Builder
		for s := range l.Systems() {
			if err := s.WriteSVG(&b); err != nil {
				t.Fatal(err)
			}
		}
		for p := range l.Pages() {
			if err := p.WriteSVG(&b); err != nil {
				t.Fatal(err)
			}
		}
		return b.String()
	}
	one := draw()
	for range l.Systems() {
		break
	}
	for range l.Pages() {
		break
	}
	if one != draw() {
		t.Error("the second run differs")
	}
}

// Each part is drawn by itself, in its own clef and keys.
func TestTwoParts(t *testing.T) {
	d, err := drill.New(drill.Settings{
		Figure: figure.MustParse("1 4 b3 b7 in dorian"), Route: cycle.By(interval.MajorThird).Closed(),
		Parts: []drill.Instrument{part(t, "trumpet"), part(t, "trombone")},
	})
	if err != nil {
		t.Fatal(err)
	}
	score, err := notation.New([]*drill.Drill{d}, notation.Options{})
	if err != nil {
		t.Fatal(err)
	}
	for n, want := range []struct {
		clef glyph
		desc string
	}{{trebleClef, "Keys: D, "}, {bassClef, "Keys: C, "}} {
		l, err := New(score, score.Parts()[n], Options{})
		if err != nil {
			t.Fatal(err)
		}
		s := first(l)
		if clef := s.of(clefMark); len(clef) != 1 || clef[0].glyph != want.clef || !strings.HasPrefix(describe(s), want.desc) {
			t.Errorf("part %d: clef %v, %s", n, clef, describe(s))
		}
		last := 0
		for s := range l.Systems() {
			_, last = s.Bars()
		}
		if last != score.Bars()-1 { // but for the rest at the end
			t.Errorf("part %d ends with bar %d of %d", n, last, score.Bars())
		}
	}
}

// A long score comes as it is asked for, in batches, and the systems do not
// show where one batch ends.
func TestLongScores(t *testing.T) {
	p := find("seven-eight")
	part := part(t, "oboe")
	var sections []cycle.Section
	for range 60 {
		for s := range cycle.By(3).Closed().Sections() {
			sections = append(sections, s)
		}
	}
	route, err := cycle.NewRoute(sections...)
	if err != nil {
		t.Fatal(err)
	}
	d, err := drill.New(drill.Settings{Figure: figure.MustParse(p.figure), Route: route, Parts: []drill.Instrument{part}})
	if err != nil {
		t.Fatal(err)
	}
	score, err := notation.New([]*drill.Drill{d}, notation.Options{})
	if err != nil {
		t.Fatal(err)
	}
	l, err := New(score, score.Parts()[0], Options{})
	if err != nil {
		t.Fatal(err)
	}
	next, pages := 1, 0
	for page := range l.Pages() {
		first, last := page.Bars()
		if first != next {
			t.Fatalf("page %d begins with bar %d, want %d", page.Number(), first, next)
		}
		next = last + 1
		pages++
		for _, s := range page.systems {
			if s.line > s.width+hair || s.scale < 1 {
				t.Errorf("%s is %v long", where(s), s.line)
			}
		}
	}
	if next != score.Bars() || score.Bars() < 3*batch {
		t.Errorf("%d bars of %d on %d pages", next-1, score.Bars(), pages)
	}
	for range l.Pages() { // stopping early, in the first batch
		break
	}
}

func TestTextIsEscaped(t *testing.T) {
	l := find("long-notes").layout(t)
	var b strings.Builder
	if err := first(l).WriteSVG(&b); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(b.String(), "Long &lt;b&gt;notes&lt;/b&gt; &amp; rests</text>") {
		t.Errorf("the title is not text: %.2000s", b.String())
	}
}

func TestClip(t *testing.T) {
	for _, c := range []struct {
		text string
		ems  float64
		want string
	}{{"short", 9, "short"}, {"a rather long title", 6, "a rather …"}, {"narrow", 0.1, "…"}, {"", 0, ""}} {
		if got := clip(c.text, c.ems); got != c.want {
			t.Errorf("clip(%q, %v) is %q, want %q", c.text, c.ems, got, c.want)
		}
	}
	if w := titleText.width("𝄫W界"); w <= titleText.width("iii") {
		t.Error("wide letters are not wide")
	}
}

// A word of no columns: the systems of a part that only rests.
func TestDescription(t *testing.T) {
	s := first(find("minor-thirds").layout(t))
	if got := describe(s); got != "Keys: C, E♭." {
		t.Errorf("the description is %q", got)
	}
	s.bars[0].words = nil
	if got := describe(&System{bars: s.bars[:1]}); got != "The key goes on." {
		t.Errorf("without keys it is %q", got)
	}
}

type broken struct{}

func (broken) Write([]byte) (int, error) { return 0, io.ErrClosedPipe }

func TestErrors(t *testing.T) {
	l := find("bass").layout(t)
	if err := first(l).WriteSVG(broken{}); err != io.ErrClosedPipe {
		t.Errorf("a writer that fails: %v", err)
	}
	part := l.score.Parts()[0]
	trumpet, err := drill.Find("trumpet", drill.LevelFull)
	if err != nil {
		t.Fatal(err)
	}
	two, err := drill.New(drill.Settings{Figure: figure.MustParse("1"), Route: cycle.By(interval.AugmentedFourth).Open(), Parts: []drill.Instrument{trumpet, trumpet}})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		part drill.Part
		o    Options
		want string
	}{
		{two.Parts()[1], Options{}, "part 2: the score has 1 parts"},
		{part, Options{Paper: Paper{50, 300, 10}}, "60 to 2000"}, {part, Options{Paper: Paper{210, 30, 0}}, "wide and high"},
		{part, Options{Paper: Paper{210, 297, -1}}, "margins"}, {part, Options{Paper: Paper{1e9, 297, 0}}, "60 to 2000"},
		{part, Options{Paper: Paper{math.NaN(), 297, 0}}, "60 to 2000"}, {part, Options{Bars: -1}, "bars"},
	} {
		_, err := New(l.score, c.part, c.o)
		var e *fault.ValueError
		if !errors.As(err, &e) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("part %v of %+v: %v, want something about %q", c.part, c.o, err, c.want)
		}
	}
}

// A layout costs its own value and nothing else: the shapes are there already.
func TestNewDrawsNothing(t *testing.T) {
	score := find("bass").layout(t).score
	if n := testing.AllocsPerRun(100, func() {
		if _, err := New(score, score.Parts()[0], Options{}); err != nil {
			t.Fatal(err)
		}
	}); n > 5 {
		t.Errorf("%v allocations", n)
	}
}
