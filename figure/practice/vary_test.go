package practice

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"example.com/keyorder/figure"
	"pgregory.net/rapid"
)

// TestLawVariationsAreOfTheirIdea: a block is varied in the second pass of a day only,
// after a clean first try, its figure is the idea's by its variation, and what is
// logged of it is the idea with the variation, which records that block and no other.
func TestLawVariationsAreOfTheirIdea(t *testing.T) {
	varied := 0
	property := func(t *rapid.T) {
		s := anySettings().Draw(t, "settings")
		l := someLog(s).Draw(t, "log")
		p, err := NewPlan(s, l)
		if err != nil {
			t.Fatal(err)
		}
		passes := map[string]int{}
		for n, b := range p.Blocks {
			if b.Pause {
				continue
			}
			passes[b.Drill.Title]++
			i := slices.IndexFunc(p.Settings.Ideas, func(i Idea) bool { return i.Name == b.Drill.Title })
			idea := p.Settings.Ideas[i]
			f, err := b.Variation.Apply(idea.Figure)
			if err != nil || !f.Equal(b.Drill.Figure) {
				t.Fatalf("%v of %v is %v: %v", b.Variation, idea.Figure, b.Drill.Figure, err)
			}
			isVaried := b.Variation != figure.Variation{}
			switch {
			case isVaried != (b.Why.Varied.Cause == CauseVaried):
				t.Fatalf("varied by %q because %v", b.Variation, b.Why.Varied)
			case isVaried && (passes[idea.Name] != 2 || b.Test || !slices.Contains(idea.Variations, b.Variation)):
				t.Fatalf("pass %d of %v is varied by %v", passes[idea.Name], idea.Figure, b.Variation)
			}
			e := p.Entry(n)
			if !e.Figure.Equal(idea.Figure) || e.Variation != b.Variation {
				t.Fatalf("%v, varied by %q, is logged of %v as %q", b.Drill.Figure, b.Variation, e.Figure, e.Variation)
			}
			for k, at := range p.Done(Log{Entries: []Entry{e}}) {
				if (at == 0) != (k == n) {
					t.Fatalf("the entry of block %d records block %d: %v", n, k, at)
				}
			}
			if isVaried {
				varied++
				other := e
				other.Variation = figure.Variation{}
				if done := p.Done(Log{Entries: []Entry{other}}); done[n] >= 0 {
					t.Fatalf("the idea as it is records block %d, which is varied", n)
				}
			}
		}
	}
	for round := 0; round < 10 && varied == 0; round++ {
		rapid.Check(t, property)
	}
	if varied == 0 {
		t.Error("nothing was varied")
	}
}

// TestLawVariationsAreNoFirstTry: what was played varied counts for the moves and for
// nothing else that a plan takes from the log.
func TestLawVariationsAreNoFirstTry(t *testing.T) {
	v := figure.MustParseVariation("retrograde")
	idea := Idea{Figure: figure.MustParse("3 5 1 6"), Variations: []figure.Variation{v, figure.MustParseVariation("rotation 1")}}
	s := Settings{Ideas: []Idea{idea}, Date: begin + 4, Instrument: find("flute"), Stage: StageConstantOrders}
	clean := entryOf(begin, 13, nil)
	clean.Figure = idea.Figure
	plan := func(entries ...Entry) Plan {
		p, err := NewPlan(s, Log{Entries: entries})
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	of := func(p Plan) (out []string) {
		for _, b := range p.Blocks {
			out = append(out, b.Variation.String())
		}
		return out
	}
	if got := of(plan()); strings.Join(got, "") != "" {
		t.Errorf("a new figure is varied: %q", got)
	}
	first := plan(clean)
	if got := of(first); len(got) != 3 || got[1] != "retrograde" || got[0]+got[2] != "" {
		t.Errorf("%q", got)
	}
	varied := clean
	varied.Date, varied.Variation, varied.Clean = begin+1, v, 0
	then := plan(clean, varied)
	if got := of(then); len(got) != 3 || got[1] != "rotation 1" {
		t.Errorf("after the retrograde comes %q", got)
	}
	if a, b := first.Blocks[0].Why, then.Blocks[0].Why; a.Figure != b.Figure || a.Tempo != b.Tempo {
		t.Errorf("the variation counts as a first try: %v, %v", b.Figure, b.Tempo)
	}
	twice := then.Blocks[1].Why.Varied.String()
	if !strings.HasSuffix(twice, "this variation was never played") {
		t.Error(twice)
	}
}

// TestVariationInTheLog: a line with a variation is of version 3, one without of
// version 2, and what cannot be varied so is refused.
func TestVariationInTheLog(t *testing.T) {
	e := entryOf(begin, 9, nil)
	line := func(e Entry) string {
		var b bytes.Buffer
		if err := AppendEntry(&b, e); err != nil {
			t.Fatal(err)
		}
		return b.String()
	}
	if plain := line(e); !strings.Contains(plain, `{"version":2,`) || strings.Contains(plain, "variation") {
		t.Error(plain)
	}
	e.Variation = figure.MustParseVariation("octave up 2")
	text := line(e)
	if !strings.Contains(text, `{"version":3,`) || !strings.Contains(text, `"variation":"octave up 2"`) {
		t.Error(text)
	}
	for was, want := range map[string]string{`octave up 2`: "", `octave up 77`: "variation", `sideways`: "sideways"} {
		l, err := Read(strings.NewReader(strings.Replace(text, "octave up 2", was, 1)))
		if err != nil || (want == "") != (len(l.Entries) == 1 && l.Bad == 0) {
			t.Errorf("%s: %+v, %v", was, l, err)
		}
	}
	s := Settings{Ideas: []Idea{{Figure: figure.MustParse("3 5 1 6"), Variations: []figure.Variation{figure.MustParseVariation("octave up 5")}}}, Date: begin, Instrument: find("flute")}
	if _, err := NewPlan(s, Log{}); err == nil || !strings.Contains(err.Error(), "octave up 5") {
		t.Error(err)
	}
	s.Ideas[0].Variations = make([]figure.Variation, mostVariations+1)
	if _, err := NewPlan(s, Log{}); err == nil || !strings.Contains(err.Error(), "at most 16 variations") {
		t.Error(err)
	}
}
