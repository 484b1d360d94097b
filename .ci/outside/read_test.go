package outside

import (
	"bytes"
	"encoding/base64"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"math/rand"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/notation"
	"example.com/keyorder/figure/notation/musicxml"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/figure/playback/smf"
	"example.com/keyorder/figure/playback/wav"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/spelling"
)

func readMIDI(t *testing.T, b []byte) *smf.File {
	t.Helper()
	f, err := smf.Read(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// TestReadCsvmidi: what midicsv and csvmidi make of our files is read as they are.
func TestReadCsvmidi(t *testing.T) {
	for n, s := range eleven(drill.Settings{Figure: figure.MustParse("v5 v7 | 1:3 5:1/2 4:1/2"), Parts: instruments(t, "trumpet", "tuba", "piano"), Tempo: 97}) {
		l := mustLine(t, playback.Options{Mode: playback.ModeModel, Swing: float64(1 + n%3)}, s)
		var b bytes.Buffer
		if err := smf.Write(&b, l); err != nil {
			t.Fatal(err)
		}
		rows := strings.ReplaceAll(reader(t, b.Bytes(), "midicsv", "-"), "Note_off_c", "Note_on_c") // which is an end with velocity 0
		theirs := reader(t, []byte(rows), "csvmidi", "-")
		if theirs == b.String() {
			t.Fatal("csvmidi writes the same bytes")
		}
		if got, want := readMIDI(t, []byte(theirs)), readMIDI(t, b.Bytes()); !reflect.DeepEqual(got, want) {
			t.Errorf("%s: %+v\nwant %+v", s.Title, got, want)
		}
	}
	// A tune of csvmidi's own, on another grid, in one track.
	f := readMIDI(t, []byte(reader(t, []byte(`0, 0, Header, 0, 1, 480
1, 0, Start_track
1, 0, Title_t, "a tune"
1, 0, Key_signature, -2, "minor"
1, 0, Time_signature, 3, 2, 24, 8
1, 0, Tempo, 600000
1, 0, Program_c, 2, 73
1, 960, Note_on_c, 2, 62, 90
1, 1428, Note_on_c, 2, 62, 0
1, 1440, Note_on_c, 2, 67, 90
1, 1900, Note_off_c, 2, 67, 0
1, 1920, Pitch_bend_c, 2, 8200
1, 1920, Note_on_c, 2, 70, 90
1, 2850, Note_off_c, 2, 70, 64
1, 2880, End_track
0, 0, End_of_file
`), "csvmidi", "-")))
	p := f.Parts()[0]
	if len(f.Parts()) != 1 || p.Name != "a tune" || p.Channel != 3 || p.Program != 74 || f.Bars() != 2 || f.MeterAt(2) != (smf.Meter{Number: 3, Unit: 4}) || f.At(480) != 600*time.Millisecond {
		t.Errorf("%+v", f)
	}
	if want := "left out: pitch bends (1)"; !slices.Equal(f.Remarks, []string{want}) {
		t.Errorf("%q", f.Remarks)
	}
	key := f.Keys[0].Key
	events, err := f.Events(p, 1, 2, key.Tonic, figure.NaturalMinor)
	if err != nil {
		t.Fatal(err)
	}
	got, tonic, err := figure.FromEvents(events, nil, key.Tonic, figure.NaturalMinor)
	if err != nil || tonic != spelling.MustParse("G4") || got.Plain() != "v5:2 | 1:2 3:4 in natural minor" {
		t.Errorf("%s in %v, %v", got.Plain(), tonic, err)
	}
}

// TestReadNpm: files of a general MIDI library from npm, in both ways to write
// the end of a note, with and without running status.
func TestReadNpm(t *testing.T) {
	if _, err := os.Stat("node_modules/midi-file"); err != nil {
		t.Fatalf("the library is missing: %v; npm ci installs it", err)
	}
	rng := rand.New(rand.NewSource(1))
	type event map[string]any
	type piece map[string]any
	var pieces []piece
	var wants [][][]smf.Note
	for n := range 40 {
		var tracks [][]event
		want := [][]smf.Note{{}}
		meta := []event{
			{"deltaTime": 0, "meta": true, "type": "setTempo", "microsecondsPerBeat": 400000 + n},
			{"deltaTime": 0, "meta": true, "type": "timeSignature", "numerator": 1 + n%12, "denominator": 8, "metronome": 24, "thirtyseconds": 8},
			{"deltaTime": 0, "meta": true, "type": "keySignature", "key": n%15 - 7, "scale": n % 2},
			{"deltaTime": 10, "meta": true, "type": "marker", "text": "here"},
			{"deltaTime": 0, "meta": true, "type": "endOfTrack"},
		}
		tracks = append(tracks, meta)
		for track := range 1 + n%3 {
			channel := rng.Intn(16)
			events := []event{{"deltaTime": 0, "meta": true, "type": "trackName", "text": fmt.Sprint("track ", track)}, {"deltaTime": 0, "type": "programChange", "channel": channel, "programNumber": 40 + track}}
			var notes []smf.Note
			at, wait := int64(0), int64(0)
			for range rng.Intn(50) {
				pause, length, key := int64(rng.Intn(2)*rng.Intn(30000)), int64(1+rng.Intn(300)), rng.Intn(128)
				events = append(events,
					event{"deltaTime": wait + pause, "type": "noteOn", "channel": channel, "noteNumber": key, "velocity": 1 + rng.Intn(127)},
					event{"deltaTime": 0, "type": "controller", "channel": channel, "controllerType": 64, "value": 127},
					event{"deltaTime": length, "type": "noteOff", "channel": channel, "noteNumber": key, "velocity": 0})
				at += wait + pause
				notes = append(notes, smf.Note{On: at, Off: at + length, Channel: uint8(channel + 1), Key: pitch.Number(key), Velocity: uint8(events[len(events)-3]["velocity"].(int))})
				at, wait = at+length, int64(rng.Intn(3))
			}
			events = append(events, event{"deltaTime": 0, "meta": true, "type": "endOfTrack"})
			tracks, want = append(tracks, events), append(want, notes)
		}
		pieces = append(pieces, piece{"header": map[string]any{"format": 1, "numTracks": len(tracks), "ticksPerBeat": 96 + 24*n}, "tracks": tracks})
		wants = append(wants, want)
	}
	data, err := json.Marshal(pieces)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Fields(reader(t, data, "node", "-e", `const m = require("midi-file");
JSON.parse(require("fs").readFileSync(0)).forEach((piece, n) =>
	console.log(Buffer.from(m.writeMidi(piece, {running: n % 2 == 0, useByte9ForNoteOff: n % 4 < 2})).toString("base64")))`))
	if len(lines) != len(wants) {
		t.Fatalf("%d files", len(lines))
	}
	for n, want := range wants {
		b, err := base64.StdEncoding.DecodeString(lines[n])
		if err != nil {
			t.Fatal(err)
		}
		f := readMIDI(t, b)
		if f.Quarter != int64(96+24*n) || f.Tempos[0].PerQuarter != time.Duration(400000+n)*time.Microsecond || f.Meters[0] != (smf.Meter{Number: 1 + n%12, Unit: 8}) ||
			int(f.Keys[0].Key.Signature) != n%15-7 || f.Keys[0].Key.IsMinor() != (n%2 == 1) || !slices.Equal(f.Markers, []smf.Marker{{At: 10, Text: "here"}}) {
			t.Fatalf("file %d: %+v", n, f)
		}
		if len(f.Tracks) != len(want) {
			t.Fatalf("file %d: %d tracks, want %d", n, len(f.Tracks), len(want))
		}
		for k, tr := range f.Tracks {
			if !slices.Equal(tr.Notes, want[k]) || k > 0 && tr.Name != fmt.Sprint("track ", k-1) {
				t.Fatalf("file %d, track %d %q:\n%v\nwant\n%v", n, k, tr.Name, tr.Notes, want[k])
			}
		}
	}
}

// TestReadSox: a tone that sox writes in every form is read as sox reads it.
func TestReadSox(t *testing.T) {
	dir := t.TempDir()
	for _, form := range [][]string{{"-b", "16"}, {"-b", "24"}, {"-b", "32"}, {"-b", "8"}, {"-e", "floating-point", "-b", "32"}, {"-e", "floating-point", "-b", "64"}} {
		for _, rate := range []int{8000, 44100, 48000, 192000} {
			for _, channels := range []int{1, 2, 5} {
				file := filepath.Join(dir, "tone.wav")
				args := append([]string{"-D", "-n", "-r", fmt.Sprint(rate), "-c", fmt.Sprint(channels)}, form...)
				args = append(args, file, "synth", "0.5", "sine", "441", "vol", "0.5")
				if out, err := exec.Command("sox", args...).CombinedOutput(); err != nil {
					t.Fatalf("sox %v: %v\n%s", args, err, out)
				}
				r, err := os.Open(file)
				if err != nil {
					t.Fatal(err)
				}
				s, err := wav.Read(r)
				if err != nil {
					t.Fatalf("sox %v: %v", args, err)
				}
				var x []float32
				for block := make([]float32, 1000); ; {
					n, err := s.Read(block)
					if x = append(x, block[:n]...); errors.Is(err, io.EOF) {
						break
					}
					if err != nil {
						t.Fatal(err)
					}
				}
				r.Close()
				if s.Rate != rate || s.Channels != channels || len(x) != rate/2 {
					t.Errorf("sox %v: %d samples a second, %d channels, %d samples", args, s.Rate, s.Channels, len(x))
				}
				theirs := reader(t, nil, "sox", file, "-t", "raw", "-e", "floating-point", "-b", "32", "-L", "-", "remix", "1")
				if len(theirs) != 4*len(x) {
					t.Fatalf("sox %v: %d samples, sox reads %d", args, len(x), len(theirs)/4)
				}
				loudest := 0.0
				for n := range x {
					want := math.Float32frombits(binary.LittleEndian.Uint32([]byte(theirs[4*n:])))
					if loudest = max(loudest, float64(want)); math.Abs(float64(x[n]-want)) > 1e-6 {
						t.Fatalf("sox %v: sample %d is %v, sox reads %v", args, n, x[n], want)
					}
				}
				if loudest < 0.45 {
					t.Errorf("sox %v: a tone of %v", args, loudest)
				}
			}
		}
	}
}

// TestReadXmllint: a score that xmllint writes anew, set in lines and in other
// encodings, is read as ours; so is the schema's example.
func TestReadXmllint(t *testing.T) {
	d, err := drill.New(drill.Settings{
		Title: "over “changes” & more", Figure: figure.MustParse("v5 | {2 m7} 3 5:2/3 1:2/3 6:2/3 {5 7b9} 4+6:5"), Route: cycle.MustParse("-M3").Closed(),
		Parts: instruments(t, "alto sax", "horn", "double bass"), LeaveOut: true,
	})
	if err != nil {
		t.Fatal(err)
	}
	s, err := notation.New([]*drill.Drill{d}, notation.Options{Title: "Übung", Signatures: true})
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := musicxml.Write(&b, s); err != nil {
		t.Fatal(err)
	}
	want, err := musicxml.Read(bytes.NewReader(b.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{{"--format"}, {"--encode", "UTF-16"}, {"--encode", "ISO-8859-1"}, {"--c14n"}} {
		got, err := musicxml.Read(strings.NewReader(reader(t, b.Bytes(), "xmllint", append(args, "-")...)))
		if err != nil || !reflect.DeepEqual(got, want) {
			t.Errorf("xmllint %v: %v, %+v", args, err, got)
		}
	}
	file, err := os.Open(filepath.Join(schema(t), "example-valid.musicxml"))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	example, err := musicxml.Read(file)
	if err != nil {
		t.Fatal(err)
	}
	tenor := example.Parts[0]
	notes := []musicxml.Note{{Onset: 0, Length: figure.Quarter, Note: spelling.MustParse("F##4")}, {Onset: figure.Quarter, Length: figure.Quarter, Note: spelling.MustParse("Bbb4")}}
	if tenor.Sounding != -interval.MajorNinth || tenor.Bars[0].Key != spelling.Minor(0) || !slices.Equal(tenor.Notes, notes) {
		t.Errorf("%+v", tenor)
	}
}
