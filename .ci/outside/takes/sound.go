package takes

import (
	"bytes"
	"cmp"
	"encoding/binary"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"

	"example.com/keyorder/figure/playback"
)

// Sets are the sound sets, by name.
var Sets = map[string]string{
	"fluid": "/usr/share/sounds/sf2/FluidR3_GM.sf2",
	"timgm": "/usr/share/sounds/sf2/TimGM6mb.sf2",
}

// Rate is that of the sound that is rendered.
const Rate = 44100

// Midi writes notes as a Standard MIDI File whose ticks are milliseconds. Notes
// go round over four channels, so that what bends one bends no other.
func Midi(notes []Sounding, program uint8, vibrato bool) []byte {
	type event struct {
		at   int64
		rank int
		data []byte
	}
	var events []event
	for c := byte(0); c < 4; c++ {
		events = append(events, event{0, 0, []byte{0xC0 | c, max(program, 1) - 1}}, event{0, 0, []byte{0xB0 | c, 7, 100}})
		if vibrato {
			events = append(events, event{0, 0, []byte{0xB0 | c, 1, 50}})
		}
	}
	for n, s := range notes {
		c := byte(n % 4)
		on, off := s.On.Milliseconds(), max(s.Off.Milliseconds(), s.On.Milliseconds()+20)
		bend := 8192 + int(math.Round(s.Cents/200*8192))
		events = append(events, event{max(0, on-2), 2, []byte{0xE0 | c, byte(bend & 127), byte(bend >> 7)}},
			event{on, 3, []byte{0x90 | c, byte(s.Key), byte(s.Loud)}}, event{off, 1, []byte{0x80 | c, byte(s.Key), 64}})
	}
	slices.SortStableFunc(events, func(a, b event) int { return cmp.Or(cmp.Compare(a.at, b.at), a.rank-b.rank) })
	var track []byte
	now := int64(0)
	add := func(at int64, data ...byte) {
		v := uint32(at - now)
		now = at
		for shift := 21; shift > 0; shift -= 7 {
			if v>>shift > 0 {
				track = append(track, byte(v>>shift)|0x80)
			}
		}
		track = append(append(track, byte(v&127)), data...)
	}
	add(0, 0xFF, 0x51, 3, 0x07, 0xA1, 0x20) // 500 ms a quarter
	for _, e := range events {
		add(e.at, e.data...)
	}
	add(now+1000, 0xFF, 0x2F, 0)
	b := []byte("MThd\x00\x00\x00\x06\x00\x00\x00\x01\x01\xF4MTrk") // 500 ticks a quarter
	return append(binary.BigEndian.AppendUint32(b, uint32(len(track))), track...)
}

// Render has fluidsynth sound notes, and returns the sound in one channel. What
// it rendered before into the folder it reads from there.
func Render(folder, name, set string, notes []Sounding, program uint8, vibrato bool) ([]float32, error) {
	mid := filepath.Join(folder, name+".mid")
	raw := filepath.Join(folder, name+".raw")
	midi := Midi(notes, program, vibrato)
	if old, err := os.ReadFile(mid); err != nil || !bytes.Equal(old, midi) {
		if err := os.WriteFile(mid, midi, 0o644); err != nil {
			return nil, err
		}
		out, err := exec.Command("fluidsynth", "-niq", "-R", "0", "-C", "0", "-g", "0.7", "-r", fmt.Sprint(Rate), "-T", "raw", "-O", "float", "-E", "little",
			"-o", "synth.dynamic-sample-loading=1", "-F", raw, Sets[set], mid).CombinedOutput()
		if err != nil {
			return nil, fmt.Errorf("fluidsynth: %w: %s", err, out)
		}
	}
	data, err := os.ReadFile(raw)
	if err != nil {
		return nil, err
	}
	sound := make([]float32, len(data)/8)
	for n := range sound {
		l := math.Float32frombits(binary.LittleEndian.Uint32(data[8*n:]))
		r := math.Float32frombits(binary.LittleEndian.Uint32(data[8*n+4:]))
		sound[n] = (l + r) / 2
	}
	return sound, nil
}

// Loud returns the root of the mean square of what is not silent.
func Loud(sound []float32) float64 {
	const block = 2205
	var powers []float64
	for from := 0; from+block <= len(sound); from += block {
		sum := 0.0
		for _, x := range sound[from : from+block] {
			sum += float64(x) * float64(x)
		}
		powers = append(powers, sum/block)
	}
	if len(powers) == 0 {
		return 0
	}
	top := slices.Max(powers)
	sum, count := 0.0, 0
	for _, p := range powers {
		if p > top/10000 {
			sum, count = sum+p, count+1
		}
	}
	return math.Sqrt(sum / float64(max(count, 1)))
}

// Mix adds another sound, so many decibels beside the first.
func Mix(sound, other []float32, decibels float64) []float32 {
	gain := float32(Loud(sound) / max(Loud(other), 1e-9) * math.Pow(10, decibels/20))
	out := slices.Clone(sound)
	for n := range min(len(out), len(other)) {
		out[n] += gain * other[n]
	}
	return out
}

// Noise returns white noise.
func Noise(length int, seed uint64) []float32 {
	r := rand.New(rand.NewPCG(seed, 99))
	out := make([]float32, length)
	for n := range out {
		out[n] = float32(r.NormFloat64())
	}
	return out
}

// Click returns the clicks of a line: short bursts of a high tone.
func Click(l *playback.Line, length int) []float32 {
	out := make([]float32, length)
	for e := range l.Events(0) {
		if e.Kind != playback.KindClick {
			continue
		}
		at := int(l.At(e.Time).Seconds() * Rate)
		for k := 0; k < Rate/50 && at+k < length; k++ {
			s := float64(k) / Rate
			out[at+k] += float32(math.Sin(2*math.Pi*1800*s) * math.Exp(-s/0.006))
		}
	}
	return out
}

// Leak returns what a loudspeaker leaks: the cues and answers of the line, and its
// bass and chords.
func Leak(t *Take) (cues, band []Sounding) {
	for e := range t.Line.Events(0) {
		if e.Kind != playback.KindNoteOff {
			continue
		}
		n := Sounding{On: t.Line.At(e.Note.On), Off: t.Line.At(e.Note.Off), Key: e.Note.Key, Loud: 85}
		if e.Note.Part < 0 {
			band = append(band, n)
		} else {
			cues = append(cues, n)
		}
	}
	byOnset := func(a, b Sounding) int { return cmp.Compare(a.On, b.On) }
	slices.SortFunc(cues, byOnset)
	slices.SortFunc(band, byOnset)
	return cues, band
}
