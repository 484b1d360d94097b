package smf

import (
	"bytes"
	"encoding/binary"
	"encoding/hex"
	"errors"
	"example.com/keyorder/spelling"
	"fmt"
	"io"
	"math"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/accompaniment"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/figuretest"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// A file is what the small reader of these tests makes of the bytes.
type file struct {
	format, division int
	tracks           [][]message
}

// A message is an event of a track, at its time from the beginning.
type message struct {
	at     playback.Time
	status byte
	data   []byte // of a meta event: its type, then its text
}

// read reads a Standard MIDI File as testdata/midi.tsv describes it.
func read(b []byte) (f file, err error) {
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("the file is cut short or broken: %v", r)
		}
	}()
	take := func(n int) []byte { out := b[:n]; b = b[n:]; return out }
	if head := take(8); string(head) != "MThd\x00\x00\x00\x06" {
		return f, fmt.Errorf("header % x", head)
	}
	f.format = int(binary.BigEndian.Uint16(take(2)))
	count := int(binary.BigEndian.Uint16(take(2)))
	f.division = int(binary.BigEndian.Uint16(take(2)))
	for len(b) > 0 {
		if kind := take(4); string(kind) != "MTrk" {
			return f, fmt.Errorf("chunk %q", kind)
		}
		track, err := readTrack(take(int(binary.BigEndian.Uint32(take(4)))))
		if err != nil {
			return f, err
		}
		f.tracks = append(f.tracks, track)
	}
	if len(f.tracks) != count {
		return f, fmt.Errorf("%d tracks, the header says %d", len(f.tracks), count)
	}
	return f, nil
}

func readTrack(b []byte) (track []message, err error) {
	var at playback.Time
	var running byte
	for len(b) > 0 {
		delta, n := readVariable(b)
		b = b[n:]
		at += playback.Time(delta)
		status := b[0]
		if status&0x80 == 0 {
			status = running
		} else {
			b = b[1:]
		}
		var size int
		switch status >> 4 {
		case 0x8, 0x9, 0xA, 0xB, 0xE:
			size = 2
		case 0xC, 0xD:
			size = 1
		case 0xF:
			if status != 0xFF {
				return nil, fmt.Errorf("status %x", status)
			}
			length, n := readVariable(b[1:])
			track = append(track, message{at, status, append([]byte{b[0]}, b[1+n:1+n+length]...)})
			b = b[1+n+length:]
			continue
		default:
			return nil, fmt.Errorf("status %x", status)
		}
		running = status
		track = append(track, message{at, status, b[:size]})
		b = b[size:]
	}
	if last := track[len(track)-1]; last.status != 0xFF || !bytes.Equal(last.data, []byte{0x2F}) {
		return nil, fmt.Errorf("a track ends with %+v", last)
	}
	return track, nil
}

func readVariable(b []byte) (value, n int) {
	for n < 4 {
		value = value<<7 | int(b[n]&0x7F)
		if n++; b[n-1]&0x80 == 0 {
			return value, n
		}
	}
	panic("a variable-length quantity of more than four bytes")
}

// A note is a pair of a note-on and its note-off.
type note struct {
	at, length   playback.Time
	channel, key byte
}

// notes pairs the note-ons and note-offs of a track.
func notes(track []message) (out []note, err error) {
	on := map[[2]byte]int{}
	for _, m := range track {
		if m.status>>4 != 8 && m.status>>4 != 9 {
			continue
		}
		voice := [2]byte{m.status & 0xF, m.data[0]}
		n, sounds := on[voice]
		switch off := m.status>>4 == 8 || m.data[1] == 0; {
		case off && !sounds:
			return nil, fmt.Errorf("%+v ends nothing", m)
		case off:
			out[n].length = m.at - out[n].at
			delete(on, voice)
		case sounds:
			return nil, fmt.Errorf("%+v begins again", m)
		default:
			on[voice] = len(out)
			out = append(out, note{m.at, -1, voice[0], voice[1]})
		}
	}
	if len(on) > 0 {
		return nil, fmt.Errorf("%d notes never end", len(on))
	}
	return out, nil
}

func write(t interface{ Fatal(...any) }, l *playback.Line) file {
	var b bytes.Buffer
	if err := Write(&b, l); err != nil {
		t.Fatal(err)
	}
	f, err := read(b.Bytes())
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// check compares a file with its line.
func check(t interface {
	Fatal(...any)
	Fatalf(string, ...any)
}, l *playback.Line) {
	f := write(t, l)
	o := l.Options()
	var band []accompaniment.Layer
	for layer, asked := range map[accompaniment.Layer]bool{
		accompaniment.LayerBass: o.Bass != 0, accompaniment.LayerChords: o.Chords != 0, accompaniment.LayerDrone: o.Drone,
	} {
		if asked {
			band = append(band, layer)
		}
	}
	slices.Sort(band)
	if f.format != 1 || f.division != 960 || len(f.tracks) != len(l.Parts())+len(band)+2 {
		t.Fatalf("format %d, division %d, %d tracks for %d parts", f.format, f.division, len(f.tracks), len(l.Parts()))
	}
	for n, track := range f.tracks {
		if end := track[len(track)-1].at; end != l.Length() {
			t.Fatalf("track %d ends at %d, want %d", n, end, l.Length())
		}
	}
	// the first track
	starts := []message{}
	section, statement := -1, -1
	var signature []byte
	for turn := range l.Turns(0) {
		if st, ok := l.Statement(turn, l.Parts()[0]); ok {
			if st.Index != statement {
				starts = append(starts, message{turn.Begin, 0xFF, []byte("\x06" + markerOf(st, section))})
				if key := keyOf(st, l.Drills()[turn.Drill].Settings().Figure.Scale()); key != nil && !bytes.Equal(key, signature) {
					signature = key
					starts = append(starts, message{turn.Begin, 0xFF, key})
				}
			}
			section, statement = st.Section, st.Index
			continue
		}
		section, statement = -1, -1
		s := l.Drills()[turn.Drill].Settings()
		us := uint32(math.Round(60e6 * 48 / float64(s.Tempo) / float64(s.Meter.Counted())))
		tempo := binary.BigEndian.AppendUint32(nil, us)
		tempo[0] = 0x51
		starts = append(starts, message{turn.Begin, 0xFF, tempo})
		starts = append(starts, message{turn.Begin, 0xFF, []byte{0x58, byte(s.Meter.Number()), byte(math.Log2(float64(s.Meter.Unit()))), byte(s.Meter.Beat(0) / 2), 8}})
		if s.Title != "" {
			starts = append(starts, message{turn.Begin, 0xFF, []byte("\x06" + s.Title)})
		}
	}
	first := slices.DeleteFunc(f.tracks[0], func(m message) bool { return m.data[0] == trackName || m.data[0] == 1 || m.data[0] == 0x2F })
	if diff := cmp.Diff(starts, first, cmp.AllowUnexported(message{})); diff != "" {
		t.Fatalf("the first track:\n%s", diff)
	}
	// parts and click
	for p := range len(l.Parts()) + len(band) + 1 {
		got, err := notes(f.tracks[p+1])
		if err != nil {
			t.Fatal(err)
		}
		var want []note
		channel := []byte{0, 1, 2, 3, 4, 5, 6, 7, 8, 10, 11, 12, 13, 14, 15}[p%15]
		for turn := range l.Turns(0) {
			if p < len(l.Parts()) {
				for n := range l.Notes(turn, l.Parts()[p]) {
					want = append(want, note{n.On, n.Off - n.On, channel, byte(n.Key)})
				}
				continue
			}
			if n := p - len(l.Parts()); n < len(band) {
				for _, n := range slices.DeleteFunc(slices.Collect(l.Notes(turn)), func(note playback.Note) bool { return note.Layer != band[n] }) {
					want = append(want, note{n.On, n.Off - n.On, channel, byte(n.Key)})
				}
				continue
			}
			for c := range l.Clicks(turn) {
				key := byte(77)
				if c.Accent {
					key = 76
				}
				want = append(want, note{c.Time, 60, 9, key})
			}
		}
		if diff := cmp.Diff(want, got, cmp.AllowUnexported(note{})); diff != "" {
			t.Fatalf("track %d:\n%s", p+1, diff)
		}
		// what ends comes before what begins
		var before message
		for _, m := range f.tracks[p+1] {
			if m.at == before.at && m.status>>4 == 8 && before.status>>4 == 9 {
				t.Fatalf("at %d a note ends after another has begun", m.at)
			}
			before = m
		}
	}
}

func line(t testing.TB, o playback.Options, settings ...drill.Settings) *playback.Line {
	var drills []*drill.Drill
	for _, s := range settings {
		if s.Figure.NoteCount() == 0 {
			s.Figure = figure.MustParse("1 3 2 5")
		}
		if s.Route.Len() == 0 {
			s.Route = cycle.By(interval.MajorThird).Closed()
		}
		if s.Parts == nil {
			s.Parts = []drill.Instrument{instrument(t, "flute")}
		}
		d, err := drill.New(s)
		if err != nil {
			t.Fatal(err)
		}
		drills = append(drills, d)
	}
	l, err := playback.New(drills, o)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func instrument(t testing.TB, name string) drill.Instrument {
	i, err := drill.Find(name, drill.LevelFull)
	if err != nil {
		t.Fatal(err)
	}
	return i
}

// drawn draws what a func of figuretest makes.
func drawn[V any](gen func(figuretest.Draw) V) *rapid.Generator[V] {
	return rapid.Custom(func(t *rapid.T) V {
		return gen(func(n int) int { return rapid.IntRange(0, n-1).Draw(t, "n") })
	})
}

func TestLawTheFileIsTheLine(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		swings := rapid.Bool().Draw(rt, "swings")
		settings := drawn(func(draw figuretest.Draw) []drill.Settings {
			all := figuretest.Sequence(draw, 3)
			for n := range all {
				s := &all[n]
				if swings {
					s.Meter = drill.MustParseMeter([]string{"4/4", "3/4", "2/2", "5/4"}[draw(4)])
				}
				s.Tempo, s.Padding = drill.MinTempo+draw(drill.MaxTempo-drill.MinTempo+1), drill.Padding(n)
				if s.Meter.Unit() == 16 {
					s.Tempo = max(s.Tempo, 15) // a file has room for 3.6 quarters a minute
				}
				s.Rest = playback.RestFor(playback.Options{}, *s)
			}
			if draw(2) == 1 { // many parts, if the keys that they read then fit
				more, parts := slices.Clone(all), slices.Repeat(all[0].Parts, drill.MaxParts)[:1+draw(drill.MaxParts)]
				for n := range more {
					more[n].Parts = parts
				}
				if !slices.ContainsFunc(more, func(s drill.Settings) bool { _, err := drill.New(s); return err != nil }) {
					return more
				}
			}
			return all
		}).Draw(rt, "settings")
		o := playback.Options{Mode: playback.Mode(rapid.IntRange(0, 3).Draw(rt, "mode"))}
		if swings {
			o.Swing = rapid.Float64Range(1, 3).Draw(rt, "swing")
		}
		if !slices.ContainsFunc(settings, func(s drill.Settings) bool { return s.Meter.Beats() < 2 }) {
			o.Clicks = rapid.SampledFrom([]playback.Clicks{playback.ClicksEveryBeat, playback.ClicksFirstBeat}).Draw(rt, "clicks")
		}
		if len(settings[0].Parts) <= drill.MaxParts-3 && rapid.Bool().Draw(rt, "with changes") {
			for n := range settings {
				settings[n].Figure = figure.MustParse("{2 m7} 2 3 6 4 {5 7} v7:2 | 2 {1 maj7} 3:9")
				settings[n].Rest = playback.RestFor(playback.Options{}, settings[n])
				for p := range settings[n].Parts {
					settings[n].Parts[p].Low, settings[n].Parts[p].High = spelling.MustParse("C3"), spelling.MustParse("C6")
				}
			}
			o.Drone = rapid.Bool().Draw(rt, "drone")
			o.Bass = accompaniment.Bass(rapid.IntRange(0, 2).Draw(rt, "bass"))
			o.Chords = rapid.SampledFrom([]accompaniment.Comping{accompaniment.CompingNone, accompaniment.CompingWhole}).Draw(rt, "chords")
			o.Rests = accompaniment.Rests(rapid.IntRange(0, 2).Draw(rt, "rests"))
		}
		check(rt, line(t, o, settings...))
	})
}

// TestMeters: the clocks are those of the first beat, as in the examples of the
// specification.
func TestMeters(t *testing.T) {
	for text, want := range map[string]string{
		"2+2+3/8": "07031808", "3+2/8": "05032408", "2+3/8": "05031808", "3+2/4": "05024808", "5/4": "05021808",
		"3+2/16": "05041208", "9/8": "09032408", "3/8": "03030c08", "4/2": "04013008", "12/16": "0c041208",
	} {
		m, err := drill.ParseMeter(text)
		if err != nil {
			t.Fatal(err)
		}
		l := line(t, playback.Options{Mode: playback.ModeModel}, drill.Settings{Meter: m})
		check(t, l)
		if got := firstMeta(write(t, l), 0x58); got != "58"+want {
			t.Errorf("%s: %s, want %s", text, got, want)
		}
	}
}

// firstMeta returns the first meta event of a type in the first track, in
// hexadecimal.
func firstMeta(f file, kind byte) string {
	for _, m := range f.tracks[0] {
		if m.data[0] == kind {
			return hex.EncodeToString(m.data)
		}
	}
	return ""
}

func TestLongLines(t *testing.T) {
	check(t, elevenOrders(t, 1))
	check(t, elevenOrders(t, 20)) // longer than the buffer
}

// TestLongSilence: more time between two events than a variable-length quantity
// has room for.
func TestLongSilence(t *testing.T) {
	items := []figure.Item{{Degrees: []figure.Degree{{}}, Length: figure.Whole}}
	for range 1200 {
		items = append(items, figure.Item{Length: figure.MaxLength})
	}
	f, err := figure.New(figure.Major, 0, 0, items...)
	if err != nil {
		t.Fatal(err)
	}
	route, err := cycle.ParseRoute("01")
	if err != nil {
		t.Fatal(err)
	}
	m, err := drill.ParseMeter("4/2")
	if err != nil {
		t.Fatal(err)
	}
	l := line(t, playback.Options{Mode: playback.ModeModel, Clicks: playback.ClicksFirstBeat}, drill.Settings{Figure: f, Route: route, Tempo: 500, Meter: m})
	if l.Length() < 2*maxDelta {
		t.Fatalf("a line of %d is not long", l.Length())
	}
	check(t, l)
}

// markerOf is the marker of a statement after a section.
func markerOf(st drill.Statement, section int) string {
	text := st.Written.Name().Plain()
	if st.Return {
		text = "back to " + text
	}
	if st.Section != section {
		text = fmt.Sprintf("section %d, %s", st.Section+1, text)
	}
	return text
}

// keyOf is the key signature of a statement, from the line of fifths: seven notes
// beside each other there have one, that of the major scale from the second of them
// on, if it is that of the tonic, major or minor. The harmonic and the melodic minor scale have that of the natural one.
func keyOf(st drill.Statement, scale figure.Scale) []byte {
	tonic := st.Sounding.Name()
	low, high, n := 100, -100, 0
	for i := range scale.Set().Intervals() {
		fifths := int(tonic) + i.Fifths()
		low, high, n = min(low, fifths), max(high, fifths), n+1
	}
	sf := low + 1
	switch {
	case scale == figure.HarmonicMinor || scale == figure.MelodicMinor:
		sf = int(tonic) - 3
	case n != 7 || high-low != 6 || sf != int(tonic) && sf != int(tonic)-3:
		return nil
	}
	if sf < -7 || sf > 7 {
		return nil
	}
	key := []byte{0x59, byte(sf), 0}
	if sf == int(tonic)-3 {
		key[2] = 1
	}
	return key
}

func oneKey(t *testing.T, tonic spelling.Name) cycle.Route {
	t.Helper()
	r, err := cycle.NewRoute(cycle.Section{Keys: []pitch.Class{tonic.Class()}})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// TestTable goes through testdata/midi.tsv row by row.
func TestTable(t *testing.T) {
	plain := line(t, playback.Options{}, drill.Settings{Title: "all"})
	var b bytes.Buffer
	if err := Write(&b, plain); err != nil {
		t.Fatal(err)
	}
	whole := write(t, plain)
	bytesOf := func(s string) []byte {
		out, err := hex.DecodeString(strings.ReplaceAll(s, " ", ""))
		if err != nil {
			t.Fatal(err)
		}
		return out
	}
	rows := 0
	for _, row := range figuretest.Table(t, "testdata/midi.tsv") {
		rows++
		kind, key, value, remark := row["kind"], row["key"], row["value"], row["note"]
		bad := func(got any) { t.Errorf("%s %s: got %v, want %s (%s)", kind, key, got, value, remark) }
		switch kind {
		case "vlq":
			n := binary.BigEndian.Uint32(bytesOf(key))
			var e encoder
			e.variable(n)
			if got := e.buf[:e.n]; !bytes.Equal(got, bytesOf(value)) {
				bad(fmt.Sprintf("% X", got))
			}
			if back, size := readVariable(bytesOf(value)); back != int(n) || size != len(bytesOf(value)) {
				bad(fmt.Sprintf("%d from %d bytes", back, size))
			}
		case "vlq rule":
			if !strings.Contains(remark, fmt.Sprintf("%08X", maxDelta)) {
				bad(maxDelta)
			}
		case "chunk", "header", "track", "defaults", "meta form":
			want := map[string]func() bool{
				// 4 ASCII characters and a 32-bit length: read has parsed the file by them
				"layout":               func() bool { return len(whole.tracks) == 3 },
				"type":                 func() bool { return bytes.Contains(b.Bytes(), bytesOf(value)) },
				"length":               func() bool { return bytes.Equal(b.Bytes()[4:8], bytesOf(value)) },
				"format":               func() bool { return whole.format == 1 },
				"ntrks":                func() bool { return b.Bytes()[10] == 0 && int(b.Bytes()[11]) == len(whole.tracks) },
				"division, bit 15 = 0": func() bool { return whole.division == 960 },
				"division, bit 15 = 1": func() bool { return whole.division>>15 == 0 }, // not the form that is written
				"event":                func() bool { return len(whole.tracks[1]) > 2 },
				"running status":       func() bool { return true }, // not used; the reader of the example files does
				"sysex": func() bool {
					return !slices.ContainsFunc(whole.tracks[1], func(m message) bool { return m.status == 0xF0 })
				},
				"no tempo or time signature in the file": func() bool { return firstMeta(whole, 0x51) != "" && firstMeta(whole, 0x58) != "" },
				"tempo map": func() bool {
					for _, track := range whole.tracks[1:] {
						if slices.ContainsFunc(track, func(m message) bool { return m.status == 0xFF && m.data[0] == 0x51 }) {
							return false
						}
					}
					return true
				},
				"FF type len data": func() bool { return firstMeta(whole, 0x51) == "510b71b0" }, // 80 a minute
			}[key]
			if want == nil || !want() {
				bad("something else")
			}
		case "meta event":
			used := map[string]string{"FF 03 len": "all", "FF 06 len": "all", "FF 51 03": "\x0B\x71\xB0", "FF 58 04": "\x04\x02\x18\x08", "FF 2F 00": ""}
			if want, ok := used[key]; ok {
				head := bytesOf(strings.Replace(key, "len", fmt.Sprintf("%02X", len(want)), 1))
				if !bytes.Contains(b.Bytes(), append(head, want...)) {
					bad("nothing like it")
				}
			}
		case "time signature example":
			m, err := drill.ParseMeter(key)
			if err != nil {
				t.Fatal(err)
			}
			f := write(t, line(t, playback.Options{}, drill.Settings{Meter: m}))
			if got := firstMeta(f, 0x58); !bytes.Equal(bytesOf(got), append([]byte{0x58}, bytesOf(value)[3:]...)) {
				bad(got)
			}
		case "key signature byte":
			sf, err := strconv.Atoi(strings.TrimPrefix(key, "sf="))
			if err != nil {
				t.Fatal(err)
			}
			tonic := spelling.Name(sf) // of the major key: so many fifths from C
			f := write(t, line(t, playback.Options{}, drill.Settings{Names: []spelling.Name{tonic}, Route: oneKey(t, tonic)}))
			if got := firstMeta(f, 0x59); !strings.EqualFold(got, "59"+value+"00") {
				bad(got)
			}
		case "tempo example":
			tempo, err := strconv.Atoi(strings.Fields(key)[0])
			if err != nil {
				t.Fatal(err)
			}
			f := write(t, line(t, playback.Options{}, drill.Settings{Tempo: tempo}))
			if got := firstMeta(f, 0x51); !bytes.Equal(bytesOf(got), append([]byte{0x51}, bytesOf(value)[3:]...)) {
				bad(got)
			}
		case "channel message":
			for _, m := range whole.tracks[1] {
				if want := map[string]int{"8n": 2, "9n": 2, "Cn": 1}[fmt.Sprintf("%Xn", m.status>>4)]; m.status != 0xFF && len(m.data) != want {
					bad(m)
				}
			}
		case "note number":
			// within an octave there is one place for the note
			i := instrument(t, "piano "+map[string]string{"middle C": "C4-B4", "A4 440 Hz": "A4-G5"}[key])
			s := drill.Settings{Figure: figure.MustParse("1"), Parts: []drill.Instrument{i}}
			s.Route, _ = cycle.NewRoute(cycle.Section{Keys: []pitch.Class{i.Low.Number().Class()}})
			got, err := notes(write(t, line(t, playback.Options{}, s)).tracks[1])
			if err != nil || len(got) == 0 || strconv.Itoa(int(got[0].key)) != value {
				bad(got)
			}
		case "example file":
			f, err := read(bytesOf(value))
			if err != nil {
				t.Fatal(err)
			}
			checkExample(t, f)
		case "GM1 program":
			if value == "none" {
				continue
			}
			number, err := strconv.Atoi(value)
			if err != nil {
				t.Fatal(err)
			}
			i := instrument(t, "flute")
			i.Program = uint8(number)
			f := write(t, line(t, playback.Options{}, drill.Settings{Parts: []drill.Instrument{i}}))
			if got := fmt.Sprintf("byte %02X", f.tracks[1][1].data[0]); f.tracks[1][1].status != 0xC0 || !strings.Contains(remark, got) {
				bad(got)
			}
		case "GM1 percussion":
			switch key {
			case "channel":
				if value != strconv.Itoa(percussion+1) {
					bad(percussion + 1)
				}
			case "hi wood block":
				if value != strconv.Itoa(highBlock) {
					bad(highBlock)
				}
			case "low wood block":
				if value != strconv.Itoa(lowBlock) {
					bad(lowBlock)
				}
			}
		case "GM2 percussion": // not part of Level 1, not used
			if n, _ := strconv.Atoi(value); n == highBlock || n == lowBlock {
				bad(n)
			}
		default:
			t.Errorf("a row of an unknown kind: %v", row)
		}
	}
	if rows != 140 {
		t.Errorf("%d rows", rows)
	}
}

// checkExample compares an example file of the specification with its remark:
// 96 ticks a quarter; programs 5, 46, 70; C3 and C4 for four quarters, then G4
// from the second quarter on, then E5 from the third, all to the end.
func checkExample(t *testing.T, f file) {
	var all []note
	var programs []byte
	for _, track := range f.tracks {
		n, err := notes(track)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, n...)
		for _, m := range track {
			if m.status>>4 == 0xC {
				programs = append(programs, m.data[0])
			}
		}
	}
	slices.SortFunc(all, func(a, b note) int { return int(a.at-b.at)*1000 + int(a.key) - int(b.key) })
	want := []note{{0, 384, 2, 48}, {0, 384, 2, 60}, {96, 288, 1, 67}, {192, 192, 0, 76}}
	if diff := cmp.Diff(want, all, cmp.AllowUnexported(note{})); diff != "" {
		t.Errorf("notes: %s", diff)
	}
	if diff := cmp.Diff([]byte{5, 46, 70}, programs); diff != "" {
		t.Errorf("programs: %s", diff)
	}
	if f.division != 96 {
		t.Errorf("division %d", f.division)
	}
	if firstMeta(f, 0x58) != "5804021808" || firstMeta(f, 0x51) != "5107a120" {
		t.Errorf("%s, %s", firstMeta(f, 0x58), firstMeta(f, 0x51))
	}
}

func TestNames(t *testing.T) {
	trumpet := instrument(t, "trumpet")
	cut := strings.Repeat("é", 600) // 1200 bytes
	odd := "a" + cut
	for _, title := range []string{"", "From B♭ to F♯", "<b>&", cut, odd} {
		f := write(t, line(t, playback.Options{}, drill.Settings{Title: title, Parts: []drill.Instrument{trumpet, trumpet}}))
		name := func(track int) string {
			if m := f.tracks[track][0]; m.status == 0xFF && m.data[0] == trackName && m.at == 0 {
				return string(m.data[1:])
			}
			return ""
		}
		want := map[string]string{"": "", "From B♭ to F♯": "From Bb to F#", "<b>&": "<b>&", cut: cut[:1024], odd: odd[:1023]}[title]
		if got := name(0); got != want || !utf8.ValidString(got) {
			t.Errorf("%.20q becomes %.20q of %d bytes, want %d", title, got, len(got), len(want))
		}
		if name(1) != "trumpet in Bb" || name(2) != "trumpet in Bb" || name(3) != "click" {
			t.Errorf("%q, %q, %q", name(1), name(2), name(3))
		}
	}
	// a program that is none, and the first and the last
	for program, want := range map[uint8]byte{0: 0, 1: 0, 128: 127} {
		trumpet.Program = program
		f := write(t, line(t, playback.Options{}, drill.Settings{Parts: []drill.Instrument{trumpet}}))
		if got := f.tracks[1][1].data[0]; got != want {
			t.Errorf("program %d is written %d", program, got)
		}
	}
}

// A limited writer fails after some bytes.
type limited struct {
	room int
	n    int
}

var errFull = errors.New("the disk is full")

func (w *limited) Write(b []byte) (int, error) {
	if w.n+len(b) > w.room {
		return w.room - w.n, errFull
	}
	w.n += len(b)
	return len(b), nil
}

func TestErrors(t *testing.T) {
	for _, times := range []int{1, 20} {
		l := elevenOrders(t, times)
		whole := &limited{room: math.MaxInt}
		if err := Write(whole, l); err != nil {
			t.Fatal(err)
		}
		for room := 0; room < whole.n; room += 1 + whole.n*times/200 {
			if err := Write(&limited{room: room}, l); err != errFull {
				t.Fatalf("with room for %d bytes: %v", room, err)
			}
		}
		if err := Write(&limited{room: whole.n - 1}, l); err != errFull {
			t.Fatal(err)
		}
	}
	m, err := drill.ParseMeter("3+2/16")
	if err != nil {
		t.Fatal(err)
	}
	for tempo, ok := range map[int]bool{10: false, 14: false, 15: true} { // sixteenths a minute
		var b bytes.Buffer
		err := Write(&b, line(t, playback.Options{Mode: playback.ModeModel}, drill.Settings{Meter: m, Tempo: tempo}))
		var e *fault.ValueError
		if ok && err != nil || !ok && (!errors.As(err, &e) || b.Len() > 0 || !strings.HasPrefix(err.Error(), fmt.Sprintf(`tempo %d in 5/16: `, tempo))) {
			t.Errorf("tempo %d: %v, %d bytes", tempo, err, b.Len())
		}
	}
	var e *fault.ValueError
	if _, err := appendTrackHeader(nil, 1<<32); !errors.As(err, &e) {
		t.Error(err)
	}
	if got, err := appendTrackHeader(nil, 0xFEDCBA98); err != nil || string(got) != "MTrk\xFE\xDC\xBA\x98" {
		t.Errorf("% x, %v", got, err)
	}
	check(t, new(playback.Line)) // an empty file
}

func TestTooLongATrackIsRefused(t *testing.T) {
	e := encoder{out: io.Discard}
	e.track(new(playback.Line), func(e *encoder, _ *playback.Line) { e.gone += 1 << 32 })
	var bad *fault.ValueError
	if !errors.As(e.err, &bad) {
		t.Error(e.err)
	}
	e.track(new(playback.Line), func(*encoder, *playback.Line) { t.Error("another track is written") })
}

// TestMemoryIsFlat: what Write allocates does not grow with the route.
func TestMemoryIsFlat(t *testing.T) {
	measure := func(times int) uint64 {
		l := elevenOrders(t, times)
		least := uint64(math.MaxUint64)
		for range 5 { // whatever else the program allocates meanwhile
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			if err := Write(io.Discard, l); err != nil {
				t.Fatal(err)
			}
			runtime.ReadMemStats(&after)
			least = min(least, after.TotalAlloc-before.TotalAlloc)
		}
		return least
	}
	if short, long := measure(1), measure(100); long > short+16<<10 {
		t.Errorf("%d bytes allocated, %d for a route 100 times as long", short, long)
	} else {
		t.Logf("%d bytes allocated, %d for a route 100 times as long", short, long)
	}
}

// TestTempoChanges: a line that goes on in another tempo says so where it does,
// within a turn too, and once.
func TestTempoChanges(t *testing.T) {
	l := line(t, playback.Options{Mode: playback.ModeModel}, drill.Settings{Tempo: 60}, drill.Settings{Tempo: 90})
	turn, _ := l.Turn(4)
	tempos := func(l *playback.Line) (all []string) {
		for _, m := range write(t, l).tracks[0] {
			if m.status == 0xFF && m.data[0] == 0x51 {
				all = append(all, fmt.Sprint(m.at, " ", int(m.data[1])<<16|int(m.data[2])<<8|int(m.data[3])))
			}
		}
		return all
	}
	second := l.Length() / 2 // the drills are as long as each other
	for _, from := range []playback.Time{turn.Begin, turn.Begin + 1, turn.End - 1, second - 1, second + 1, l.Length() - 1} {
		changed, err := l.InTempo(from, 120)
		if err != nil {
			t.Fatal(err)
		}
		want := []string{"0 1000000"}
		switch {
		case from < second:
			want = append(want, fmt.Sprint(from, " 500000"), fmt.Sprint(second, " 500000"))
		default:
			want = append(want, fmt.Sprint(second, " 666667"), fmt.Sprint(from, " 500000"))
		}
		if got := tempos(changed); !slices.Equal(got, want) {
			t.Errorf("from %d the tempos are %v, want %v", from, got, want)
		}
	}
}
