package takes

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
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

// Aubio has aubio find the notes of a sound: what the judge says of them is the
// baseline. Of the settings that were tried these were the best on the seeds that
// the constants were chosen with.
func Aubio(folder string, t *Take, sound []float32) ([]listening.Say, error) {
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
	out, err := exec.Command("aubionotes", append([]string{"-i", path, "-r", fmt.Sprint(Rate)}, AubioOptions...)...).Output()
	if err != nil {
		return nil, fmt.Errorf("aubionotes: %w", err)
	}
	judge, err := listening.NewJudge(t.Line, t.Part, listening.Options{})
	if err != nil {
		return nil, err
	}
	for _, line := range strings.Split(string(out), "\n") {
		words := strings.Fields(line)
		if len(words) < 3 {
			continue
		}
		var v [3]float64
		for n := range v {
			if v[n], err = strconv.ParseFloat(words[n], 64); err != nil {
				return nil, err
			}
		}
		seconds := func(s float64) time.Duration { return time.Duration(s * 1e9) }
		judge.Hear(listening.Note{On: seconds(v[1]), Off: seconds(v[2]), Cents: 100 * v[0], Sure: 1})
	}
	var says []listening.Say
	for s := range judge.Says(time.Hour) {
		says = append(says, s)
	}
	return says, nil
}

// AubioOptions are how aubio is set up.
var AubioOptions = []string{"-B", "1024", "-H", "256"}
