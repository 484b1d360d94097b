package smf

import (
	"bytes"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"flag"
	"fmt"
	"io"
	"math"
	"os"
	"reflect"
	"runtime"
	"slices"
	"strings"
	"testing"
	"testing/iotest"
	"time"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// anyRoute draws an order of all keys or, more often, a few keys.
func anyRoute(t *rapid.T) cycle.Route {
	if rapid.IntRange(0, 9).Draw(t, "all") == 0 {
		return cycle.By(interval.Of(0, rapid.IntRange(1, 11).Draw(t, "order"))).Closed()
	}
	r, err := cycle.ParseRoute(rapid.SampledFrom([]string{"(048)/(159)", "07", "0/1/2", "(36)", "T", "(5)", "2E4"}).Draw(t, "keys"))
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// anyDrill draws the settings of a drill that can be heard in any mode.
func anyDrill(t *rapid.T, parts ...drill.Instrument) drill.Settings {
	scale := rapid.SampledFrom([]string{"major", "dorian", "natural minor", "minor blues"}).Draw(t, "scale")
	degrees := rapid.SliceOfN(rapid.SampledFrom([]string{"1", "3", "4", "5", "v7", "b3", "#4", "n6", "8", "0", "1+5"}), 1, 7).Draw(t, "degrees")
	var b strings.Builder
	pickup := rapid.IntRange(0, min(2, len(degrees)-1)).Draw(t, "pickup")
	for n, d := range degrees {
		if n == pickup && n > 0 {
			b.WriteString("| ")
		}
		length := rapid.SampledFrom([]string{"", ":2", ":3", ":1/2", ":2/3", ":4/3", ":5"}).Draw(t, "length")
		fmt.Fprintf(&b, "%s%s ", d, length)
	}
	meter, err := drill.ParseMeter(rapid.SampledFrom([]string{"4/4", "3/4", "6/8", "2/2", "5/4", "2+2+3/8"}).Draw(t, "meter"))
	if err != nil {
		t.Fatal(err)
	}
	s := drill.Settings{
		Title: rapid.SampledFrom([]string{"", "a title", "zwölf"}).Draw(t, "title"),
		Route: anyRoute(t),
		Parts: parts, Meter: meter, Tempo: rapid.IntRange(drill.MinTempo, drill.MaxTempo).Draw(t, "tempo"), LeaveOut: true,
	}
	if s.Figure, err = figure.Parse("1 " + b.String() + "in " + scale); err != nil {
		if s.Figure, err = figure.Parse("n1 " + strings.NewReplacer(" 3", " n3", " 4", " n4", "v7", "vn7", "+5", "+n5").Replace(" "+b.String()) + "in " + scale); err != nil {
			t.Fatal(err)
		}
	}
	s.Rest = playback.RestFor(playback.Options{}, s)
	return s
}

// drillsOf yields so many random drills, always the same, and their lines.
func drillsOf(t *testing.T, count int, o playback.Options, names ...string) func(func(int, *playback.Line) bool) {
	gen := rapid.Custom(func(rt *rapid.T) drill.Settings {
		var parts []drill.Instrument
		for _, name := range names[:rapid.IntRange(1, len(names)).Draw(rt, "parts")] {
			parts = append(parts, instrument(t, name))
		}
		return anyDrill(rt, parts...)
	})
	return func(yield func(int, *playback.Line) bool) {
		for n := range count {
			s := gen.Example(n)
			if s.Meter.Unit() > 4 {
				o.Swing = 0
			}
			if !yield(n, line(t, o, s)) {
				return
			}
		}
	}
}

func mustRead(t testing.TB, b []byte) *File {
	t.Helper()
	f, err := Read(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func written(t testing.TB, l *playback.Line) *File {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, l); err != nil {
		t.Fatal(err)
	}
	return mustRead(t, b.Bytes())
}

var drills = flag.Int("drills", 60, "how many drills to write and read; 330 before a change lands")

// TestLawWriteThenRead: keys, ticks, channels, tempo, meter and markers of
// random drills come back, and nothing else.
func TestLawWriteThenRead(t *testing.T) {
	count := 0
	for n, l := range drillsOf(t, *drills, playback.Options{Swing: 1.5, CountIn: 2}, "piano", "trumpet", "tuba", "flute", "alto saxophone", "cello", "oboe", "horn", "violin", "trombone", "piano") {
		count++
		f := written(t, l)
		want := &File{Format: 1, Quarter: int64(playback.Quarter)}
		d := l.Drills()[0].Settings()
		want.Tempos = []Tempo{{0, 0, time.Duration(tempo(d.Meter, d.Tempo)) * time.Microsecond}}
		want.Meters = []Meter{{0, d.Meter.Number(), d.Meter.Unit()}}
		if d.Title != "" {
			want.Markers = []Marker{{0, d.Title}}
		}
		section, statement := -1, -1
		for turn := range l.Turns(0) {
			if st, ok := l.Statement(turn, l.Parts()[0]); ok && st.Index != statement {
				want.Markers = append(want.Markers, Marker{int64(turn.Begin), markerOf(st, section)})
				if key := keyOf(st, d.Figure.Scale()); key != nil {
					sf, k := spelling.Name(int8(key[1])), spelling.Key{}
					if k = spelling.Major(sf); key[2] == 1 {
						k = spelling.Minor(sf + 3)
					}
					if n := len(want.Keys); n == 0 || want.Keys[n-1].Key != k {
						want.Keys = append(want.Keys, Key{int64(turn.Begin), k})
					}
				}
				section, statement = st.Section, st.Index
			}
		}
		end := int64(l.Length())
		want.Tracks = []Track{{Name: d.Title, End: end}}
		for p, part := range l.Parts() {
			channel := uint8(p + 1)
			if channel >= Percussion {
				channel++
			}
			tr := Track{Name: strings.ReplaceAll(part.Instrument().Name, "♭", "b"), End: end}
			tr.Programs[channel-1] = part.Instrument().Program
			for turn := range l.Turns(0) {
				for n := range l.Notes(turn, part) {
					tr.Notes = append(tr.Notes, Note{int64(n.On), int64(n.Off), channel, noteVelocity, n.Key})
				}
			}
			want.Tracks = append(want.Tracks, tr)
		}
		clicks := Track{Name: "click", End: end}
		for turn := range l.Turns(0) {
			for c := range l.Clicks(turn) {
				n := Note{int64(c.Time), int64(c.Time + clickLength), Percussion, plain, lowBlock}
				if c.Accent {
					n.Key, n.Velocity = highBlock, accent
				}
				clicks.Notes = append(clicks.Notes, n)
			}
		}
		want.Tracks = append(want.Tracks, clicks)
		if !reflect.DeepEqual(want, f) {
			t.Fatalf("drill %d, %v:\n%s", n, d.Figure, cmp.Diff(want, f, cmp.AllowUnexported(File{})))
		}
		parts := f.Parts()
		if len(parts) != len(l.Parts()) {
			t.Fatalf("%d parts, want %d", len(parts), len(l.Parts()))
		}
		for p, part := range parts {
			tr := want.Tracks[p+1]
			if part.Track != p+1 || part.Name != tr.Name || part.Program != tr.Programs[part.Channel-1] || !slices.Equal(part.Notes, tr.Notes) {
				t.Fatalf("part %d is %s of track %d", p, part.Name, part.Track)
			}
		}
		for _, at := range []int64{0, 1, end / 3, end} {
			if d := f.At(at) - l.At(playback.Time(at)); d.Abs() > l.Duration()/100000 { // a tempo is rounded to a microsecond
				t.Fatalf("tick %d comes %v off", at, d)
			}
		}
	}
	if count != *drills {
		t.Errorf("%d drills", count)
	}
}

// without returns a figure without rests at its end, with its degrees bare.
func without(f figure.Figure) (figure.Figure, error) {
	tonic := spelling.MustParse("C4")
	f, _, err := figure.FromEvents(f.In(tonic), slices.Collect(f.Chords(0)), 0, f.Scale())
	return f, err
}

// TestLawATakeIsTheFigure: the bars of the first statement are the figure, in the
// octave of its tonic.
func TestLawATakeIsTheFigure(t *testing.T) {
	taken := 0
	for n, l := range drillsOf(t, *drills, playback.Options{Mode: playback.ModeModel, CountIn: 1}, "piano", "trumpet") {
		d := l.Drills()[0].Settings()
		want, err := without(d.Figure)
		if err != nil {
			continue // it ends before its downbeat
		}
		bar := int64(playback.TimeOf(d.Meter.Bar()))
		f := written(t, l)
		for p, part := range l.Parts() {
			st, _ := part.Statement(0)
			if st.Rests || l.Drills()[0].Len() == 1 { // the last of a line sounds on through its rest
				continue
			}
			down := int64(st.Onset)*20 + bar // after a bar of count-in
			from, to := down-20*int64(want.Pickup()), down+20*int64(want.Length()-want.Pickup())
			first, last := int(from/bar)+1, int((to-1)/bar)+1
			if want.Pickup() > d.Meter.Bar()/2 {
				continue // so long a pickup is none for who sees the bars alone
			}
			taken++
			tonic := st.Sounding.Name()
			events, err := f.Events(f.Parts()[p], first, last, tonic, d.Figure.Scale())
			if err != nil {
				t.Fatalf("drill %d, %v, bars %d to %d: %v", n, d.Figure, first, last, err)
			}
			got, anchor, err := figure.FromEvents(events, nil, tonic, d.Figure.Scale())
			if err != nil {
				t.Fatalf("drill %d, %v: %v", n, d.Figure, err)
			}
			if !enharmonic(got, anchor, want, st.Sounding) {
				t.Fatalf("drill %d: %v in %v is taken as %v in %v from bars %d to %d", n, want, st.Sounding, got, anchor, first, last)
			}
		}
	}
	if taken < *drills*9/10 {
		t.Errorf("only %d statements of %d drills were taken", taken, *drills)
	}
}

// enharmonic reports whether two figures sound and last the same; keys have no
// letters.
func enharmonic(f figure.Figure, on spelling.Note, g figure.Figure, at spelling.Note) bool {
	return f.Length() == g.Length() && f.Pickup() == g.Pickup() && slices.EqualFunc(f.In(on), g.In(at), func(a, b figure.Event) bool {
		return a.Onset == b.Onset && a.Length == b.Length && a.Note.Number() == b.Note.Number()
	})
}

// head returns the header of a file.
func head(format, tracks, division int) string {
	return string(binary.BigEndian.AppendUint16(binary.BigEndian.AppendUint16(binary.BigEndian.AppendUint16([]byte("MThd\x00\x00\x00\x06"), uint16(format)), uint16(tracks)), uint16(division)))
}

func chunk(name, data string) string {
	return name + string(binary.BigEndian.AppendUint32(nil, uint32(len(data)))) + data
}

// track returns a track of events, its end included.
func track(events ...string) string {
	return chunk("MTrk", strings.Join(events, "")+"\x00\xff\x2f\x00")
}

// TestExampleFiles reads the two whole files that the specification prints, which
// are the same music. Source: Standard MIDI File 1.0, as cited in
// testdata/midi.tsv.
func TestExampleFiles(t *testing.T) {
	table, err := os.ReadFile("testdata/midi.tsv")
	if err != nil {
		t.Fatal(err)
	}
	files := 0
	for _, row := range strings.Split(string(table), "\n") {
		fields := strings.Split(row, "\t")
		if fields[0] != "example file" {
			continue
		}
		files++
		b, err := hex.DecodeString(strings.ReplaceAll(fields[2], " ", ""))
		if err != nil {
			t.Fatal(err)
		}
		f := mustRead(t, b)
		if f.Quarter != 96 || !slices.Equal(f.Meters, []Meter{{0, 4, 4}}) || !slices.Equal(f.Tempos, []Tempo{{0, 0, time.Second / 2}}) || f.Remarks != nil {
			t.Errorf("%s: %+v", fields[1], f)
		}
		var notes []Note
		programs := map[uint8]uint8{}
		for _, p := range f.Parts() {
			notes = append(notes, p.Notes...)
			programs[p.Channel] = p.Program
		}
		slices.SortStableFunc(notes, func(a, b Note) int { return int(a.On - b.On) })
		want := []Note{{0, 384, 3, 0x60, 48}, {0, 384, 3, 0x60, 60}, {96, 384, 2, 0x40, 67}, {192, 384, 1, 0x20, 76}}
		if !slices.Equal(notes, want) || !cmp.Equal(programs, map[uint8]uint8{1: 6, 2: 47, 3: 71}) {
			t.Errorf("%s: %v, programs %v", fields[1], notes, programs)
		}
		if f.Bars() != 1 || f.At(384) != 2*time.Second {
			t.Errorf("%s: %d bars, %v", fields[1], f.Bars(), f.At(384))
		}
	}
	if files != 2 {
		t.Errorf("%d example files", files)
	}
}

// TestReadSaysWhatItSkips, of files that are odd and can be read.
func TestReadSaysWhatItSkips(t *testing.T) {
	const on, off = "\x00\x90\x3c\x40", "\x60\x80\x3c\x00"
	note := []Note{{0, 96, 1, 64, 60}}
	for _, c := range []struct {
		name, file string
		notes      []Note
		remarks    string
	}{
		{"plain", head(0, 1, 96) + track(on, off), note, ""},
		{"running status, velocity 0", head(0, 1, 96) + track(on, "\x60\x3c\x00"), note, ""},
		{"running status over a text", head(0, 1, 96) + track(on, "\x00\xff\x06\x01a", "\x60\x3c\x00"), note, ""},
		{"a longer header", strings.Replace(head(0, 1, 96), "\x06", "\x08", 1) + "ab" + track(on, off), note, ""},
		{"other chunks", head(0, 1, 96) + chunk("XFIH", "abc") + track(on, off) + chunk("XFKM", ""), note, "left out: chunks that are no tracks (2)"},
		{"more tracks than it says", head(1, 1, 96) + track() + track(on, off), note, ""},
		{"fewer tracks", head(1, 9, 96) + track(on, off), note, ""},
		{"no end of track", head(0, 1, 96) + chunk("MTrk", on+off), note, ""},
		{"more after the end", head(0, 1, 96) + chunk("MTrk", on+off+"\x00\xff\x2f\x00"+on), note, ""},
		{"promises more", head(0, 1, 96) + strings.Replace(track(on, off), "MTrk\x00\x00\x00", "MTrk\x00\x01\x00", 1), note, ""},
		{"bytes after the last track", head(0, 1, 96) + track(on, off) + "abc", note, "left out: chunks that are no tracks (1)"},
		{"cut short", head(0, 1, 96) + track(on, off, "\x60\x90\x3e\x40", off)[:19], note, "the file is cut short: track 1 ends in the middle"},
		{"cut in a text", head(0, 1, 96) + track(on, off, "\x60\xff\x01\x10"+strings.Repeat("a", 16))[:24], note, "the file is cut short: track 1 ends in the middle"},
		{"never ends", head(0, 1, 96) + chunk("MTrk", on+"\x60\xff\x2f\x00"), note, "notes that never end and last to the end of their track: 1"},
		{"never began", head(0, 1, 96) + track("\x00\x80\x3e\x00", on, off), note, "ends of notes that never began, left out: 1"},
		{"twice at once", head(0, 1, 96) + track(on, "\x30\x90\x3c\x50", "\x30\x80\x3c\x00", "\x30\x80\x3c\x00"), []Note{{0, 96, 1, 64, 60}, {48, 144, 1, 80, 60}}, ""},
		{"all that is no note", head(0, 1, 96) + track("\x00\xb0\x40\x7f", "\x00\xe0\x00\x40", "\x00\xd0\x10", "\x00\xa0\x3c\x01", "\x00\xf0\x02\x01\xf7", "\x00\xf7\x01\x01", "\x00\xff\x01\x01a", "\x00\xff\x05\x00", "\x00\xff\x7f\x01a", "\x00\xff\x21\x01\x00", on, off), note,
			"left out: pitch bends (1); controller changes, pedals among them (1); pressures (2); system messages (2); texts (2); other marks (2)"},
		{"senseless", head(0, 1, 96) + track("\x00\xff\x51\x03\x00\x00\x00", "\x00\xff\x51\x01a", "\x00\xff\x58\x04\x00\x02\x18\x08", "\x00\xff\x58\x04\x04\x07\x18\x08", "\x00\xff\x59\x02\x08\x00", "\x00\xff\x59\x02\x00\x02", on, off), note, "tempos, meters and keys that make no sense, left out: 6"},
		{"pieces of their own", head(2, 2, 96) + track("\x00\xff\x06\x01a") + track("\x00\xff\x06\x01b", on, off), note, "each track is a piece of its own; tempo, meter and key are those of the first"},
	} {
		f, err := Read(strings.NewReader(c.file))
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		var notes []Note
		for _, p := range f.Parts() {
			notes = append(notes, p.Notes...)
		}
		if !slices.Equal(notes, c.notes) || strings.Join(f.Remarks, "; ") != c.remarks {
			t.Errorf("%s: %v, %q\nwant %v, %q", c.name, notes, f.Remarks, c.notes, c.remarks)
		}
		if f.Format == 2 && !slices.Equal(f.Markers, []Marker{{0, "a"}}) {
			t.Errorf("%s: markers %v", c.name, f.Markers)
		}
	}
}

// TestTimes of tempos and of time code.
func TestTimes(t *testing.T) {
	f := mustRead(t, []byte(head(1, 2, 480)+track("\x83\x60\xff\x51\x03\x0f\x42\x40")+track("\x00\xff\x51\x03\x03\xd0\x90", "\x00\xff\x59\x02\xfd\x01", "\x00\xff\x59\x02\x02\x00", "\x00\x99\x23\x40\x60\x23\x00", "\x00\xff\x03\x04caf\xe9")))
	for tick, want := range map[int64]time.Duration{-5: 0, 0: 0, 240: time.Second / 8, 480: time.Second / 4, 960: 5 * time.Second / 4, 1 << 40: 2290649223*time.Second + 783*time.Millisecond} {
		if got := f.At(tick); (got - want).Abs() > time.Millisecond {
			t.Errorf("tick %d comes at %v, want %v", tick, got, want)
		}
	}
	if !slices.Equal(f.Keys, []Key{{0, spelling.Minor(-3 + 3)}, {0, spelling.Major(2)}}) || f.Tracks[1].Name != "café" || len(f.Parts()) != 0 {
		t.Errorf("%+v", f)
	}
	for _, c := range []struct {
		division, second int
	}{{0xE250, 2400 * 1}, {0xE728, 1000}, {0xE804, 96}, {0xE364, 2997}} { // −30, −25, −24, −29
		f := mustRead(t, []byte(head(0, 1, c.division)+track("\x00\x90\x3c\x40\x60\x3c\x00", "\x00\xff\x51\x03\x0f\x42\x40")))
		if got := f.At(int64(c.second)); (got-time.Second).Abs() > 2*time.Millisecond || f.Quarter != 0 || f.Bars() != 0 {
			t.Errorf("%x: %d ticks take %v", c.division, c.second, got)
		}
		if _, err := f.Events(f.Parts()[0], 1, 1, 0, figure.Major); err == nil || !strings.Contains(err.Error(), "counts in seconds") {
			t.Error(err)
		}
	}
	for _, c := range [][2]string{{strings.Repeat("a", 1023) + "é", strings.Repeat("a", 1023)}, {strings.Repeat("é", 600), strings.Repeat("é", 512)}, {strings.Repeat("\xe9", 1100), strings.Repeat("é", 1024)}} {
		n := len(c[0])
		f := mustRead(t, []byte(head(0, 1, 96)+track("\x00\xff\x06"+string([]byte{byte(n>>7) | 0x80, byte(n & 0x7F)})+c[0], "\x10\xff\x06\x01z")))
		if want := []Marker{{0, c[1]}, {16, "z"}}; !slices.Equal(f.Markers, want) {
			t.Errorf("markers %.40q, want %.40q", f.Markers, want)
		}
	}
	late := &File{Quarter: 1, Tempos: []Tempo{{1 << 30, math.MaxInt64 - 5, time.Hour}}}
	if late.At(1<<40) != math.MaxInt64 || late.At(1<<62) != math.MaxInt64 {
		t.Error("the end of time is passed")
	}
}

// TestBars: a change of the meter begins a bar.
func TestBars(t *testing.T) {
	f := &File{Quarter: 480, Meters: []Meter{{0, 3, 4}, {2 * 1440, 6, 8}, {2*1440 + 720, 7, 8}}, Tracks: []Track{{Notes: []Note{{2*1440 + 720 + 3*1680, 2*1440 + 720 + 3*1680 + 10, 1, 64, 60}}}}}
	if f.Bars() != 7 {
		t.Errorf("%d bars", f.Bars())
	}
	for n, want := range []string{"3/4 0 144", "3/4 144 144", "6/8 288 72", "7/8 360 168", "7/8 528 168", "7/8 696 168", "7/8 864 168"} {
		begin, length, _ := bar(f.meters(), int64(n+1))
		m := f.MeterAt(n + 1)
		if got := fmt.Sprintf("%d/%d %d %d", m.Number, m.Unit, begin, length); got != want {
			t.Errorf("bar %d: %s, want %s", n+1, got, want)
		}
	}
	if m := (&File{Meters: []Meter{{0, 3, 4}}}).MeterAt(1); m != (Meter{0, 4, 4}) || new(File).Bars() != 0 {
		t.Error(m)
	}
}

// TestEvents: what sequencers make of notes becomes written music again.
func TestEvents(t *testing.T) {
	for _, c := range []struct {
		name        string
		quarter     int64
		notes       []int64 // on, off, key
		first, last int
		want        string
	}{
		{"gates of 95 %", 480, []int64{0, 228, 60, 240, 468, 64, 480, 936, 67}, 1, 1, "1 3 5:2"},
		{"gates of 80 %", 960, []int64{0, 384, 60, 480, 864, 64, 960, 1344, 67}, 1, 1, "1 3 5"},
		{"one tick short", 480, []int64{0, 239, 60, 240, 479, 64, 720, 1199, 67}, 1, 1, "1 3 0 5:2"},
		{"ends of nearly nothing", 480, []int64{0, 1, 60, 240, 241, 64, 480, 480, 67}, 1, 1, "1:1/2 0:1/2 3:1/2 0:1/2 5:1/2"},
		{"triplets with gates", 480, []int64{0, 150, 60, 160, 310, 64, 320, 470, 67}, 1, 1, "1:2/3 3:2/3 5:2/3"},
		{"triplets that are rounded", 100, []int64{0, 33, 60, 33, 66, 64, 66, 100, 67}, 1, 1, "1:2/3 3:2/3 5:2/3"},
		{"legato", 480, []int64{0, 250, 60, 240, 500, 64, 480, 960, 67}, 1, 1, "1 3 5:2"},
		{"a held bass", 480, []int64{0, 960, 48, 480, 960, 64}, 1, 1, "1:2 10:2"},
		{"the second bar", 480, []int64{0, 960, 48, 1920, 2160, 64, 2160, 2400, 67}, 2, 2, "3 5"},
		{"a pickup", 480, []int64{1680, 1920, 67, 1920, 2400, 72, 2400, 2880, 64}, 1, 2, "5 | 8:2 3:2"},
		{"no pickup", 480, []int64{240, 480, 67, 1920, 2400, 72}, 1, 2, "0 5 0:6 8:2"},
		{"a key held over", 480, []int64{1680, 2400, 67, 2400, 2880, 64}, 1, 2, "0:7 5:3 3:2"},
		{"other keys", 480, []int64{0, 240, 61, 240, 480, 66, 480, 720, 68}, 1, 1, "b2 #4 b6"},
	} {
		f := &File{Quarter: c.quarter, Tracks: make([]Track, 1)}
		for n := 0; n < len(c.notes); n += 3 {
			f.Tracks[0].Notes = append(f.Tracks[0].Notes, Note{c.notes[n], c.notes[n+1], 1, 64, pitch.Number(c.notes[n+2])})
		}
		events, err := f.Events(f.Parts()[0], c.first, c.last, 0, figure.Major)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		got, anchor, err := figure.FromEvents(events, nil, 0, figure.Major)
		want := figure.MustParse(c.want)
		if err != nil || !enharmonic(got, anchor, want, spelling.MustParse("C4")) && !enharmonic(got, anchor, want, spelling.MustParse("C3")) {
			t.Errorf("%s: %v, %v, want %v", c.name, got, err, want)
		}
	}
	f := &File{Quarter: 480, Tracks: []Track{{Notes: []Note{{0, 240, 1, 64, 60}, {247, 480, 1, 64, 62}, {4000, 4200, 1, 64, 60}}}, {Notes: make([]Note, 5000)}}}
	for n := range f.Tracks[1].Notes {
		f.Tracks[1].Notes[n].Channel = 2
	}
	long := &File{Quarter: 1, Tracks: []Track{{Notes: []Note{{1, 2, 1, 64, 60}, {1 << 39, 1 << 39, 1, 64, 60}}}}}
	for _, c := range []struct {
		f                 *File
		part, first, last int
		want              string
	}{
		{f, 0, 0, 1, "bars 0-1: the file has bars 1 to 3"},
		{f, 0, 2, 1, "the file has bars 1 to 3"},
		{f, 0, 3, 4, "the file has bars 1 to 3"},
		{f, 0, 2, 2, "the part has no notes in them"},
		{f, 0, 1, 1, "a note 0.51 quarters after the beginning of bar 1 lies off the grid"},
		{f, 1, 1, 1, "they have more than 4096 notes"},
		{long, 0, 1, long.Bars(), "that is too long for a figure"},
	} {
		var e *fault.ValueError
		if events, err := c.f.Events(c.f.Parts()[c.part], c.first, c.last, 0, figure.Major); !errors.As(err, &e) || events != nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("bars %d to %d: %v, want %q", c.first, c.last, err, c.want)
		}
	}
}

func TestReadErrors(t *testing.T) {
	for _, c := range []struct {
		file, want string
	}{
		{"", "MIDI file: the file is empty"},
		{"RI", `MIDI file "RI": a Standard MIDI File begins with MThd`},
		{"RIFF....RMIDdata", `MIDI file "RIFF": a Standard MIDI File begins with MThd`},
		{"MThd\x00", "the file ends in its header"},
		{"MThd\x00\x00\x00\x02\x00\x00\x00\x01\x00\x60", "its header has 2 bytes"},
		{"MThd\xff\x00\x00\x02\x00\x00\x00\x01\x00\x60", "its header has 4278190082 bytes"},
		{head(3, 1, 96), "it has format 3"},
		{head(1, 1, 0), "it has no ticks to a quarter note"},
		{head(1, 1, 0xE200), "it has no ticks to a quarter note"},
		{head(1, 1, 96), "it has no track"},
		{strings.Replace(head(1, 1, 96), "\x06", "\x09", 1), "it has no track"},
		{head(1, 1, 96) + chunk("abcd", "MTrk"), "it has no track"},
		{head(1, 1, 96) + "abcd\x00\x00\x00\x09", "it has no track"},
		{head(1, 1, 96) + chunk("MTrk", "\x00\x3c\x40"), "track 1 is broken at tick 0: 3C stands where an event begins"},
		{head(1, 1, 96) + chunk("MTrk", "\x10\x90\x3c\x80"), "track 1 is broken at tick 16: 80 stands inside an event"},
		{head(1, 1, 96) + chunk("MTrk", "\x00\x90\x3c"), "it ends in the middle of an event"},
		{head(1, 1, 96) + chunk("MTrk", "\x00"), "it ends in the middle of an event"},
		{head(1, 1, 96) + chunk("MTrk", "\x00\xff"), "it ends in the middle of an event"},
		{head(1, 1, 96) + chunk("MTrk", "\x81"), "it ends in the middle of an event"},
		{head(1, 1, 96) + chunk("MTrk", "\x00\xff\x01"), "it ends in the middle of an event"},
		{head(1, 1, 96) + chunk("MTrk", "\x81\x81\x81\x81\x01"), "more than four bytes"},
		{head(1, 1, 96) + chunk("MTrk", "\x00\xff\x01\x05a"), "an event of 5 bytes in a track that has 1 more"},
		{head(1, 1, 96) + chunk("MTrk", "\x00\xf0\x05a"), "an event of 5 bytes in a track that has 1 more"},
		{head(1, 1, 96) + chunk("MTrk", "\x00\xf8"), "a MIDI file has no message F8"},
	} {
		var e *fault.SyntaxError
		if f, err := Read(strings.NewReader(c.file)); !errors.As(err, &e) || f != nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: %v, want %q", c.file, err, c.want)
		}
	}
	broken := errors.New("the disk is broken")
	whole := strings.Replace(head(1, 1, 96), "\x06", "\x09", 1) + "abc" + chunk("abcd", "efgh") + track("\x00\xff\x06\x90\x00"+strings.Repeat("a", 2048), "\x00\xf0\x02\x01\xf7", "\x00\x90\x3c\x40")
	for n := range len(whole) {
		if f, err := Read(io.MultiReader(strings.NewReader(whole[:n]), iotest.ErrReader(broken))); err != broken || f != nil {
			t.Fatalf("broken after %d of %d bytes: %v", n, len(whole), err)
		}
		f, err := Read(strings.NewReader(whole[:n]))
		var e *fault.SyntaxError
		if err != nil && !errors.As(err, &e) || err == nil && f.Remarks == nil {
			t.Fatalf("cut after %d of %d bytes: %v", n, len(whole), err)
		}
	}
}

// endless repeats its bytes for ever and counts what was taken.
type endless struct {
	head, loop string
	taken      int64
}

func (e *endless) Read(b []byte) (int, error) {
	n := 0
	if e.taken < int64(len(e.head)) {
		n = copy(b, e.head[e.taken:])
	} else {
		at := int(e.taken-int64(len(e.head))) % len(e.loop)
		if n = copy(b, e.loop[at:]); n == len(e.loop) {
			for n < len(b) { // each copy is twice the one before
				n += copy(b[n:], b[:n])
			}
		}
	}
	e.taken += int64(n)
	return n, nil
}

// TestNonsenseEndsInBoundedMemory: files without end.
func TestNonsenseEndsInBoundedMemory(t *testing.T) {
	const long = "MTrk\xff\xff\xff\xff"
	for n, e := range []*endless{
		{"", "nonsense", 0},
		{head(1, 1, 96), "nonsense", 0},
		{head(1, 1, 96), chunk("abcd", ""), 0},
		{head(1, 1, 96), chunk("MTrk", ""), 0},
		{head(1, 1, 96), track("\x00\x90\x3c\x40"), 0},
		{head(1, 1, 96) + long, "\x00\x90\x3c\x40", 0},
		{head(1, 1, 96) + long, "\x00\x90\x3c\x40\x00\x90\x3c\x00", 0},
		{head(1, 1, 96) + long, "\x00\xff\x06\x01a", 0},
		{head(1, 1, 96) + long, "\x00\xff\x51\x03abc", 0},
		{head(1, 1, 96) + long, "\x00\xff\x01\x01a", 0},
		{head(1, 1, 96) + long, "\x00\xf0\xff\xff\xff\x7f", 0},
		{head(1, 1, 96) + long, "\xff\xff\xff\x7f\xb0\x00\x00", 0},
		{head(1, 1, 96) + long, "\x00\xb0\x00\x00", 0},
	} {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		most := int64(4 << 20)
		if n < 2 || strings.Contains(e.loop, "\x90") {
			most = maxBytes
		}
		_, err := readUpTo(e, most)
		runtime.ReadMemStats(&after)
		var syntax *fault.SyntaxError
		if !errors.As(err, &syntax) || e.taken > maxBytes+1<<16 {
			t.Errorf("%q %q: %v after %d bytes", e.head, e.loop, err, e.taken)
		}
		if used := after.TotalAlloc - before.TotalAlloc; used > 256<<20 {
			t.Errorf("%q %q: %d MB of memory", e.head, e.loop, used>>20)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte(head(0, 1, 96) + track("\x00\x90\x3c\x40", "\x60\x3c\x00", "\x00\xff\x58\x04\x06\x03\x24\x08", "\x00\xff\x59\x02\xfd\x01", "\x00\xff\x51\x03\x07\xa1\x20")))
	f.Add([]byte(head(1, 2, 0xE250) + chunk("abcd", "e") + track("\x00\xff\x03\x02hi", "\x00\xf0\x01\xf7")))
	f.Fuzz(func(t *testing.T, file []byte) {
		m, err := Read(bytes.NewReader(file))
		var syntax *fault.SyntaxError
		if err != nil {
			if !errors.As(err, &syntax) || m != nil || len(err.Error()) > 400 {
				t.Fatal(err)
			}
			return
		}
		notes := 0
		for _, tr := range m.Tracks {
			notes += len(tr.Notes)
			for _, n := range tr.Notes {
				if n.Off < n.On || n.On < 0 || n.Off > tr.End || n.Channel < 1 || n.Channel > 16 || n.Velocity < 1 || n.Velocity > 127 || n.Key < 0 || n.Key > 127 || m.At(n.Off) < m.At(n.On) {
					t.Fatalf("%+v", n)
				}
			}
		}
		if notes*3 > len(file) || len(m.Remarks) > 6 {
			t.Fatalf("%d notes of %d bytes, %q", notes, len(file), m.Remarks)
		}
		for _, p := range m.Parts() {
			var value *fault.ValueError
			for _, r := range [][2]int{{1, 1}, {1, m.Bars()}, {m.Bars(), m.Bars()}} {
				events, err := m.Events(p, r[0], r[1], 0, figure.NaturalMinor)
				if err == nil {
					_, _, err = figure.FromEvents(events, nil, 0, figure.NaturalMinor)
				}
				if err != nil && !errors.As(err, &value) {
					t.Fatal(err)
				}
			}
			m.MeterAt(m.Bars())
		}
	})
}

func BenchmarkRead(b *testing.B) {
	var file bytes.Buffer
	if err := Write(&file, line(b, playback.Options{}, drill.Settings{Figure: figure.MustParse("1:3 5 4 2 3:2"), Route: cycle.By(interval.MinorThird).Closed()})); err != nil {
		b.Fatal(err)
	}
	b.SetBytes(int64(file.Len()))
	b.ReportAllocs()
	for range b.N {
		mustRead(b, file.Bytes())
	}
}

// BenchmarkReadPlain reads the same file with the small reader of the writer's
// tests, which holds the whole of it.
func BenchmarkReadPlain(b *testing.B) {
	var file bytes.Buffer
	if err := Write(&file, line(b, playback.Options{}, drill.Settings{Figure: figure.MustParse("1:3 5 4 2 3:2"), Route: cycle.By(interval.MinorThird).Closed()})); err != nil {
		b.Fatal(err)
	}
	b.SetBytes(int64(file.Len()))
	for range b.N {
		f, err := read(file.Bytes())
		if err != nil {
			b.Fatal(err)
		}
		for _, t := range f.tracks {
			if _, err := notes(t); err != nil {
				b.Fatal(err)
			}
		}
	}
}
