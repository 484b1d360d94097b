package smf

import (
	"bufio"
	"bytes"
	"encoding/binary"
	"io"
	"testing"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/interval"
)

// elevenOrders returns the eleven orders of a figure of four notes for one
// part, each a drill of its own: 160 statements.
func elevenOrders(t testing.TB, times int) *playback.Line {
	flute, err := drill.Find("flute", drill.LevelComfortable)
	if err != nil {
		t.Fatal(err)
	}
	var drills []*drill.Drill
	for n := 1; n < 12; n++ {
		o := cycle.By(interval.Of(0, n))
		routes := make([]cycle.Route, times)
		for k := range routes {
			routes[k] = o.Closed()
		}
		route, err := cycle.Concat(routes...)
		if err != nil {
			t.Fatal(err)
		}
		d, err := drill.New(drill.Settings{Title: "order " + o.String(), Figure: figure.MustParse("1 3 2 5"), Route: route, Parts: []drill.Instrument{flute}})
		if err != nil {
			t.Fatal(err)
		}
		drills = append(drills, d)
	}
	l, err := playback.New(drills, playback.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// BenchmarkElevenOrders writes the eleven orders; BenchmarkElevenOrdersFloor
// copies the finished bytes, event by event.

func BenchmarkElevenOrders(b *testing.B) {
	l := elevenOrders(b, 1)
	b.ReportAllocs()
	b.ResetTimer()
	for range b.N {
		if err := Write(io.Discard, l); err != nil {
			b.Fatal(err)
		}
	}
}

// pieces returns the events of a file, and its chunk headers, one by one.
func pieces(t testing.TB, file []byte) [][]byte {
	var out [][]byte
	for at := 0; at < len(file); {
		length := int(binary.BigEndian.Uint32(file[at+4:]))
		out = append(out, file[at:at+8])
		at += 8
		end := at + length
		if string(file[at-8:at-4]) == "MThd" {
			out = append(out, file[at:end])
			at = end
		}
		for at < end {
			from := at
			for file[at]&0x80 != 0 {
				at++
			}
			at++
			switch file[at] >> 4 {
			case 0x8, 0x9:
				at += 3
			case 0xC:
				at += 2
			case 0xF:
				at += 3 + int(file[at+2])
			default:
				t.Fatalf("status %x", file[at])
			}
			out = append(out, file[from:at])
		}
	}
	return out
}

func BenchmarkElevenOrdersFloor(b *testing.B) {
	var buf bytes.Buffer
	if err := Write(&buf, elevenOrders(b, 1)); err != nil {
		b.Fatal(err)
	}
	p := pieces(b, buf.Bytes())
	b.ReportMetric(float64(len(p)), "events")
	b.ResetTimer()
	for range b.N {
		w := bufio.NewWriter(io.Discard)
		for _, p := range p {
			if _, err := w.Write(p); err != nil {
				b.Fatal(err)
			}
		}
		if err := w.Flush(); err != nil {
			b.Fatal(err)
		}
	}
}
