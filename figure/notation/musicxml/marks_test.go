package musicxml_test

import (
	"regexp"
	"strings"
	"testing"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/notation"
	"example.com/keyorder/figure/notation/musicxml"
)

// TestSlursAndAccents: as many slurs begin as end and as the drill has, in turns,
// and each accent is there once, chords too; a reader of ours passes over them.
func TestSlursAndAccents(t *testing.T) {
	horn, err := drill.Find("horn", drill.LevelFull)
	if err != nil {
		t.Fatal(err)
	}
	for _, a := range []drill.Articulation{drill.ArticulationTongued, drill.ArticulationSlurred, drill.ArticulationSlurredInTwos} {
		set := drill.Settings{Figure: figure.MustParse("1+3:3 5 4 2 3:7"), Route: cycle.MustParse("m3").Closed(), Parts: []drill.Instrument{horn}, Articulation: a, Accents: drill.AccentsBeats}
		if a == drill.ArticulationTongued {
			set.Accents = drill.AccentsNone
		}
		d, err := drill.New(set)
		if err != nil {
			t.Fatal(err)
		}
		score, err := notation.New([]*drill.Drill{d}, notation.Options{})
		if err != nil {
			t.Fatal(err)
		}
		slurs, accents := 0, 0
		for b := range score.PartBars(score.Parts()[0]) {
			for _, s := range b.Symbols {
				if s.Marks.Has(drill.MarkSlurBegin) {
					slurs++
				}
				if s.Marks.Has(drill.MarkAccent) {
					accents++
				}
			}
		}
		var text strings.Builder
		if err := musicxml.Write(&text, score); err != nil {
			t.Fatal(err)
		}
		begun := false
		found := regexp.MustCompile(`<slur type="(start|stop)" number="1"/>`).FindAllStringSubmatch(text.String(), -1)
		for _, m := range found {
			if begun == (m[1] == "start") {
				t.Errorf("%v: a slur has %s twice", a, m[1])
			}
			begun = m[1] == "start"
		}
		if len(found) != 2*slurs || begun || strings.Count(text.String(), "<accent/>") != accents || (slurs == 0) != (a == drill.ArticulationTongued) {
			t.Errorf("%v: %d ends of %d slurs, %d accents", a, len(found), slurs, accents)
		}
		if f, err := musicxml.Read(strings.NewReader(text.String())); err != nil || len(f.Remarks) != 0 {
			t.Errorf("%v: %v, %v", a, err, f)
		}
	}
}
