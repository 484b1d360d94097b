package chord

import "testing"

// The time that the doc of the project promises for a chord is one microsecond.

func BenchmarkParse(b *testing.B) {
	for _, text := range []string{"C", "Ebm7b5", "F#7(b9,#11)/A#", "A♭maj13(♯11)", "Dminmaj9"} {
		b.Run(text, func(b *testing.B) {
			b.ReportAllocs()
			for range b.N {
				if _, err := Parse(text); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkAppendText(b *testing.B) {
	c, buf := MustParse("F#7(b9,#11)/A#"), make([]byte, 0, 64)
	b.ReportAllocs()
	for range b.N {
		if _, err := c.AppendText(buf); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkNotes(b *testing.B) {
	c, sum := MustParse("F#7(b9,#11)/A#"), 0
	b.ReportAllocs()
	for range b.N {
		for n := range c.Notes() {
			sum += int(n)
		}
	}
	_ = sum
}

// BenchmarkNotesPlain is the same work on plain integers: the seven places of
// the chord added to its root.
func BenchmarkNotesPlain(b *testing.B) {
	places, root, sum := [...]int{4, 0, 1, -2, -5, 6}, 6, 0
	for range b.N {
		for _, p := range places {
			sum += root + p
		}
	}
	_ = sum
}
