package staff

import (
	"strings"
	"testing"
)

// TestLawBareHasNoWords: a bare staff has the notes of the other one and no words,
// tempo or frame.
func TestLawBareHasNoWords(t *testing.T) {
	for _, c := range pictures {
		full, o := c.layout(t), c.layout(t).options
		o.Bare = true
		bare, err := New(full.score, full.part, o)
		if err != nil {
			t.Fatal(err)
		}
		heads := func(l *Layout) (n, other int) {
			for s := range l.Systems() {
				other += len(s.texts)
				for m := range s.all() {
					switch m.kind {
					case headMark:
						n++
					case tempoMark, frameMark:
						other++
					}
				}
			}
			return n, other
		}
		notes, words := heads(full)
		if got, other := heads(bare); got != notes || other != 0 || words == 0 {
			t.Errorf("%s: %d of %d noteheads, %d of %d words", c.name, got, notes, other, words)
		}
		var b strings.Builder
		for p := range bare.Pages() {
			if err := p.WriteSVG(&b); err != nil {
				t.Fatal(err)
			}
		}
		if text := b.String(); strings.Contains(text, "Keys:") || strings.Count(text, "<text") != strings.Count(text, "<svg") {
			t.Errorf("%s: there are words: %.300s", c.name, text)
		}
	}
}
