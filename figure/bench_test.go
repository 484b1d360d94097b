package figure_test

import (
	"testing"

	"example.com/keyorder/cycle"
	. "example.com/keyorder/figure"
	"example.com/keyorder/pitch"
	"example.com/keyorder/spelling"
)

// The eleven closed orders take a four-note figure through 160 statements of
// 640 notes. BenchmarkElevenOrders does it with spelled notes,
// BenchmarkElevenOrdersPlain with key numbers as plain integers; both walk the
// same orders and fill a buffer of the caller's.

func elevenOrders() (orders [11]cycle.Order) {
	for n, step := range byName {
		orders[n] = cycle.By(step)
	}
	return orders
}

func takeThrough(f Figure, orders *[11]cycle.Order, tonics *[12]spelling.Note, buf []spelling.Note) []spelling.Note {
	for n := range orders {
		for _, k := range orders[n].Run(true) {
			buf = f.AppendNotes(buf, tonics[k])
		}
	}
	return buf
}

func takeThroughPlain(offsets []int, orders *[11]cycle.Order, tonics *[12]int, buf []int) []int {
	for n := range orders {
		for _, k := range orders[n].Run(true) {
			for _, o := range offsets {
				buf = append(buf, tonics[k]+o)
			}
		}
	}
	return buf
}

func tonicNotes(s Scale) (notes [12]spelling.Note) {
	for c, name := range s.Tonics() {
		notes[c] = name.In(4)
	}
	return notes
}

func TestTakingThroughDoesNotAllocate(t *testing.T) {
	f, orders, tonics := MustParse("1 3 2 5"), elevenOrders(), tonicNotes(Major)
	buf := make([]spelling.Note, 0, 640)
	events := make([]Event, 0, 4)
	if n := testing.AllocsPerRun(100, func() {
		buf = takeThrough(f, &orders, &tonics, buf[:0])
		events = f.AppendIn(events[:0], tonics[3])
	}); n != 0 {
		t.Errorf("%v allocations", n)
	}
	if len(buf) != 640 {
		t.Errorf("%d notes, want 640", len(buf))
	}
	// and the plain version does the same work
	var numbers [12]int
	for c, n := range tonics {
		numbers[c] = int(n.Number())
	}
	plain := takeThroughPlain([]int{0, 4, 2, 7}, &orders, &numbers, nil)
	for k := range plain {
		if buf[k].Number() != pitch.Number(plain[k]) {
			t.Fatalf("note %d is %v, plain %d", k, buf[k], plain[k])
		}
	}
}

func BenchmarkElevenOrders(b *testing.B) {
	f, orders, tonics := MustParse("1 3 2 5"), elevenOrders(), tonicNotes(Major)
	buf := make([]spelling.Note, 0, 640)
	b.ReportAllocs()
	for range b.N {
		buf = takeThrough(f, &orders, &tonics, buf[:0])
	}
}

func BenchmarkElevenOrdersPlain(b *testing.B) {
	orders := elevenOrders()
	offsets := []int{0, 4, 2, 7}
	var tonics [12]int
	for c := range tonics {
		tonics[c] = 60 + c
	}
	buf := make([]int, 0, 640)
	b.ReportAllocs()
	for range b.N {
		buf = takeThroughPlain(offsets, &orders, &tonics, buf[:0])
	}
}

// What is read costs little memory: a scale none, a figure what it holds.
func TestParsingAllocatesLittle(t *testing.T) {
	for _, name := range []string{"major", "Bebop Major", "lydian ♭7", "augmented hexatonic 1-3", "1 b2 3 4 5 b6 7"} {
		if n := testing.AllocsPerRun(100, func() { _, _ = ParseScale(name) }); n != 0 {
			t.Errorf("%s: %v allocations", name, n)
		}
	}
	for text, most := range map[string]float64{"b3": 0, "vn7": 0, "99": 0} {
		if n := testing.AllocsPerRun(100, func() { _, _ = ParseDegree(text) }); n > most {
			t.Errorf("%s: %v allocations", text, n)
		}
	}
	if n := testing.AllocsPerRun(100, func() { _, _ = Parse("5 2 b3:2 1 in bebop major") }); n > 16 {
		t.Errorf("a figure of four notes: %v allocations", n)
	}
}

// BenchmarkParse reads sixteen notes, with chords and a scale.
func BenchmarkParse(b *testing.B) {
	const text = "v5 | {2 m7} 4:3 b3 1+5 2:2 {5 7} b2 4 v7 1 6 5 b3 2 1 0 7 in dorian by 1/16"
	notes := MustParse(text).NoteCount()
	b.ReportAllocs()
	for range b.N {
		_, _ = Parse(text)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*notes), "ns/note")
}

func BenchmarkParseScale(b *testing.B) {
	b.ReportAllocs()
	for range b.N {
		_, _ = ParseScale("bebop major")
	}
}
