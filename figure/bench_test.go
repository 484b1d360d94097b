package figure

import (
	"testing"

	"example.com/keyorder/cycle"
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
