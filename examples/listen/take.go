package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"time"

	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/listening"
	"example.com/keyorder/figure/playback/smf"
	"example.com/keyorder/figure/playback/wav"
	"example.com/keyorder/pitch"
)

// A take is a file that was played.
type take struct {
	path string
	keys []listening.Note // of a MIDI file; nil for sound
}

// openTake looks what a file is, and reads it if it is MIDI.
func openTake(path string, warn io.Writer) (*take, error) {
	t := &take{path: path}
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	head := make([]byte, 4)
	if _, err := io.ReadFull(f, head); err != nil {
		return nil, neither(path)
	}
	switch {
	case bytes.Equal(head, []byte("MThd")):
		file, err := smf.Read(io.MultiReader(bytes.NewReader(head), f))
		if err != nil {
			return nil, fmt.Errorf("%s: %w", path, err)
		}
		remark(warn, path, file.Remarks)
		t.keys = notesOf(file)
	case bytes.Equal(head, []byte("RIFF")) || bytes.Equal(head, []byte("RF64")):
	default:
		return nil, neither(path)
	}
	return t, nil
}

// neither says that a file is no take, and how one is made.
func neither(path string) error {
	return fmt.Errorf("%s: it is neither sound (WAVE) nor MIDI; record it as WAV (PCM), or export it as MIDI (.mid)", path)
}

func remark(warn io.Writer, path string, remarks []string) {
	for _, r := range remarks {
		fmt.Fprintf(warn, "%s: %s\n", path, r)
	}
}

// notesOf returns the notes of all parts of a file.
func notesOf(f *smf.File) []listening.Note {
	notes := []listening.Note{}
	for _, p := range f.Parts() {
		for _, n := range p.Notes {
			notes = append(notes, listening.NoteOf(n.Key, n.Velocity, f.At(n.On), f.At(n.Off)))
		}
	}
	slices.SortStableFunc(notes, func(a, b listening.Note) int { return int((a.On - b.On) / time.Microsecond) })
	return notes
}

// hear plays the sound of the take to an ear, and calls after for each piece.
func (t *take) hear(i drill.Instrument, due func(time.Duration) pitch.Set, tell func(listening.Note), after func(now time.Duration), warn io.Writer) error {
	f, err := os.Open(t.path)
	if err != nil {
		return err
	}
	defer f.Close()
	sound, err := wav.Read(f)
	if err != nil {
		return fmt.Errorf("%s: %w", t.path, err)
	}
	low, high := i.Low.Up(i.Sounding).Number(), i.High.Up(i.Sounding).Number()
	ear, err := listening.NewEar(sound.Rate, low, high, tell)
	if err != nil {
		return fmt.Errorf("%s: %w", t.path, err)
	}
	ear.Expect(due)
	block := make([]float32, 4096)
	for {
		n, err := sound.Read(block)
		ear.Write(block[:n])
		after(ear.Now())
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return fmt.Errorf("%s: %w", t.path, err)
		}
	}
	ear.Close()
	if warn != nil {
		remark(warn, t.path, sound.Remarks())
	}
	return nil
}

// notes returns all that was played, as it was last told.
func (t *take) notes(i drill.Instrument, warn io.Writer) ([]listening.Note, error) {
	if t.keys != nil {
		return t.keys, nil
	}
	var all []listening.Note
	err := t.hear(i, nil, func(n listening.Note) {
		if k := len(all) - 1; k >= 0 && all[k].On == n.On {
			all[k] = n
			return
		}
		all = append(all, n)
	}, func(time.Duration) {}, warn)
	return all, err
}
