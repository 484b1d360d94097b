package takes

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.com/keyorder/figure/listening"
)

func bytesOf(sound []float32) []byte {
	b := make([]byte, 0, 4*len(sound))
	for _, x := range sound {
		b = binary.LittleEndian.AppendUint32(b, math.Float32bits(x))
	}
	return b
}

// Room has sox put a sound into a room.
func Room(sound []float32) ([]float32, error) {
	raw := []string{"-t", "raw", "-r", fmt.Sprint(Rate), "-e", "float", "-b", "32", "-c", "1", "-"}
	c := exec.Command("sox", append(append(append([]string{"-V1", "-G"}, raw...), raw...), "reverb", "50")...)
	c.Stdin = bytes.NewReader(bytesOf(sound))
	var out, complaint bytes.Buffer
	c.Stdout, c.Stderr = &out, &complaint
	if err := c.Run(); err != nil {
		return nil, fmt.Errorf("sox: %w: %s", err, complaint.Bytes())
	}
	room := make([]float32, out.Len()/4)
	for n := range room {
		room[n] = math.Float32frombits(binary.LittleEndian.Uint32(out.Bytes()[4*n:]))
	}
	return room, nil
}

// AubioSetup is how aubio is set up: the options of aubiopitch, of aubioonset, and
// whether a change of pitch begins a note, too. The windows are for keys from
// lowRegister up; for lower ones they are twice as long.
type AubioSetup struct {
	Pitch, Onset string
	Window       [2]int // of the pitch, of the onsets
	Changes      bool
}

const lowRegister = 50

// Aubio has aubio find the onsets and the pitch of a sound, and makes notes of
// them: what the judge says of those is the baseline. The pitch is the median of
// seven frames; a note is 40 ms of one key or more. (Aubio's own notes know one
// way to find the pitch only.)
func Aubio(folder string, t *Take, sound []float32, setup AubioSetup) ([]listening.Say, error) {
	head := []byte("RIFF\x00\x00\x00\x00WAVEfmt \x10\x00\x00\x00\x03\x00\x01\x00")
	le := binary.LittleEndian
	head = le.AppendUint32(le.AppendUint32(head, Rate), 4*Rate)
	head = append(head, 4, 0, 32, 0, 'd', 'a', 't', 'a')
	head = le.AppendUint32(head, uint32(4*len(sound)))
	le.PutUint32(head[4:], uint32(len(head)+4*len(sound)-8))
	path := filepath.Join(folder, "aubio.wav")
	if err := os.WriteFile(path, append(head, bytesOf(sound)...), 0o644); err != nil {
		return nil, err
	}
	defer os.Remove(path)
	times := 1
	if t.Instrument.Low.Up(t.Instrument.Sounding).Number() < lowRegister {
		times = 2
	}
	numbers := func(program, options string, window int) (rows [][]float64, err error) {
		words := append([]string{"-i", path, "-B", fmt.Sprint(window * times), "-H", "256"}, strings.Fields(options)...)
		out, err := exec.Command(program, words...).Output()
		if err != nil {
			return nil, fmt.Errorf("%s: %w", program, err)
		}
		for _, line := range strings.Split(strings.TrimSpace(string(out)), "\n") {
			var row []float64
			for _, w := range strings.Fields(line) {
				v, err := strconv.ParseFloat(w, 64)
				if err != nil {
					return nil, err
				}
				row = append(row, v)
			}
			rows = append(rows, row)
		}
		return rows, nil
	}
	pitches, err := numbers("aubiopitch", "-u midi "+setup.Pitch, setup.Window[0])
	if err != nil {
		return nil, err
	}
	onsets, err := numbers("aubioonset", setup.Onset, setup.Window[1])
	if err != nil {
		return nil, err
	}
	judge, err := listening.NewJudge(t.Line, t.Part, listening.Options{})
	if err != nil {
		return nil, err
	}
	for _, n := range aubioNotes(pitches, onsets, setup.Changes) {
		judge.Hear(n)
	}
	return slices.Collect(judge.Says(time.Hour)), nil
}

// aubioNotes makes notes of rows of times and keys and of rows of onsets.
func aubioNotes(pitches, onsets [][]float64, changes bool) (notes []listening.Note) {
	const shortest = 7 // frames of 256 samples
	seconds := func(s float64) time.Duration { return time.Duration(s * 1e9) }
	smooth := make([]float64, len(pitches))
	for n := range pitches {
		var near []float64
		for _, row := range pitches[max(0, n-3):min(len(pitches), n+4)] {
			if len(row) == 2 {
				near = append(near, row[1])
			}
		}
		slices.Sort(near)
		if len(near) > 0 {
			smooth[n] = near[len(near)/2]
		}
	}
	next := 0
	fresh := -1.0 // an onset that has no note yet
	for n := 0; n < len(pitches); {
		at := pitches[n][0]
		for next < len(onsets) && len(onsets[next]) == 1 && onsets[next][0] <= at {
			fresh = onsets[next][0]
			next++
		}
		end := math.Inf(1)
		if next < len(onsets) && len(onsets[next]) == 1 {
			end = onsets[next][0]
		}
		key, to := math.Round(smooth[n]), n+1
		for to < len(pitches) && pitches[to][0] < end && math.Abs(smooth[to]-key) < 0.6 {
			to++
		}
		if key > 0 && to-n >= shortest && (changes || fresh >= 0) {
			on := at
			if fresh >= 0 && at-fresh < 0.08 {
				on = fresh
			}
			fresh = -1
			cents := slices.Clone(smooth[n:to])
			slices.Sort(cents)
			notes = append(notes, listening.Note{On: seconds(on), Off: seconds(pitches[to-1][0]), Cents: 100 * cents[len(cents)/2], Sure: 1})
		}
		n = to
	}
	return notes
}
