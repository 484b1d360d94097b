package wav

import (
	"bufio"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"example.com/keyorder/pitch/fault"
)

// A Sound is a WAVE file that is being read: one channel of samples, block by
// block, in little memory however long the file is. It is made by [Read].
type Sound struct {
	Rate     int // samples a second, 1 to MaxRate
	Channels int // of the file, 1 to MaxChannels; what is read is their mean
	Bits     int // of a sample in the file: 8, 16, 24 or 32 PCM; 32 or 64 floating point

	r        *bufio.Reader
	form     form
	left     uint64 // bytes of sound that are still to come
	open     bool   // the header does not say how long the sound is
	err      error  // what every further Read returns
	silenced int    // samples that were no numbers
	cut      uint64 // bytes that the header promised and the file does not have
	skipped  []string
	raw      []byte
}

// What a file may have, at most.
const (
	MaxRate     = 1 << 20 // samples a second
	MaxChannels = 64
)

const (
	maxHead   = 64 << 20 // bytes before the sound
	maxChunks = 1024     // before the sound
	maxNames  = 8        // kinds of chunks that are named in the remarks
	loudest   = 1 << 16  // of full scale: what is above is no sound
	openEnded = math.MaxUint32
)

// form says how a sample is written.
type form struct {
	bytes int // of a sample
	value func(b []byte) float64
}

var forms = map[[2]int]form{ // by the format's tag and the bits
	{1, 8}:  {1, func(b []byte) float64 { return (float64(b[0]) - 128) / (1 << 7) }},
	{1, 16}: {2, func(b []byte) float64 { return float64(int16(binary.LittleEndian.Uint16(b))) / (1 << 15) }},
	{1, 24}: {3, func(b []byte) float64 {
		return float64(int32(uint32(b[0])<<8|uint32(b[1])<<16|uint32(b[2])<<24)) / (1 << 31)
	}},
	{1, 32}: {4, func(b []byte) float64 { return float64(int32(binary.LittleEndian.Uint32(b))) / (1 << 31) }},
	{3, 32}: {4, func(b []byte) float64 { return float64(math.Float32frombits(binary.LittleEndian.Uint32(b))) }},
	{3, 64}: {8, func(b []byte) float64 { return math.Float64frombits(binary.LittleEndian.Uint64(b)) }},
}

// The sub-format of an extensible header after its first two bytes, which are
// the tag: the multimedia GUID, from memory.
const guid = "\x00\x00\x00\x00\x10\x00\x80\x00\x00\xaa\x00\x38\x9b\x71"

func unreadable(input, want string) error {
	return &fault.SyntaxError{What: "sound file", Input: input, Want: want}
}

// Read reads the head of a WAVE file, up to where its samples begin: PCM of 8,
// 16, 24 or 32 bits or floating point of 32 or 64, at any rate, of one channel
// or several, with a plain or an extensible header, also in the form for files
// over 4 GiB (RF64). What stands before the sound and is none is skipped, and
// [Sound.Remarks] says so; what stands after it is not read.
//
// The error is that of r, or a *fault.SyntaxError where the file is none of
// these or has more than 64 MiB or 1024 chunks before its sound.
func Read(r io.Reader) (*Sound, error) {
	s := &Sound{r: bufio.NewReaderSize(r, 1<<15)}
	if err := s.readHead(); err != nil {
		return nil, err
	}
	frame := s.form.bytes * s.Channels
	s.raw = make([]byte, max(1, 1<<14/frame)*frame)
	return s, nil
}

// readHead reads chunk after chunk up to the data.
func (s *Sound) readHead() error {
	const what = "a sound is read from a WAVE file, PCM or floating point"
	var b [40]byte
	switch n, err := io.ReadFull(s.r, b[:12]); {
	case err != nil && !ended(err):
		return err
	case n == 0:
		return unreadable("", "the file is empty; "+what)
	case n < 12, string(b[8:12]) != "WAVE", string(b[:4]) != "RIFF" && string(b[:4]) != "RF64":
		return unreadable(string(b[:min(n, 4)]), what)
	}
	var long uint64 // the length of the data, where a chunk ds64 says it
	room := int64(maxHead)
	for range maxChunks {
		if _, err := io.ReadFull(s.r, b[:8]); err != nil {
			return orEnded(err, "the file ends before its sound begins")
		}
		name, size := string(b[:4]), int64(binary.LittleEndian.Uint32(b[4:8]))
		if name == "data" {
			if s.form.bytes == 0 {
				return unreadable("", "the sound begins before the file says how it is written (no chunk fmt)")
			}
			s.left = uint64(size)
			if size == openEnded {
				if s.left = long; long == 0 {
					s.left, s.open = math.MaxUint64, true
				}
			}
			return nil
		}
		if room -= size + size&1 + 8; room < 0 {
			break
		}
		head := b[:0]
		if name == "fmt " || name == "ds64" {
			head = b[:min(size, int64(len(b)))]
		} else {
			s.skip(name)
		}
		if _, err := io.ReadFull(s.r, head); err != nil {
			return orEnded(err, "the file ends before its sound begins")
		}
		if _, err := s.r.Discard(int(size+size&1) - len(head)); err != nil {
			return orEnded(err, "the file ends before its sound begins")
		}
		switch {
		case name == "fmt ":
			if err := s.readForm(head); err != nil {
				return err
			}
		case name == "ds64" && len(head) >= 16:
			long = binary.LittleEndian.Uint64(head[8:])
		}
	}
	return unreadable("", fmt.Sprintf("no sound begins in the first %d MiB or %d chunks", maxHead>>20, maxChunks))
}

// readForm reads the chunk that says how samples are written.
func (s *Sound) readForm(b []byte) error {
	if len(b) < 16 {
		return unreadable("", "the chunk fmt has at least 16 bytes")
	}
	le := binary.LittleEndian
	tag, rate := int(le.Uint16(b)), le.Uint32(b[4:])
	s.Channels, s.Bits = int(le.Uint16(b[2:])), int(le.Uint16(b[14:]))
	if tag == 0xfffe && len(b) == 40 && string(b[26:]) == guid {
		tag = int(le.Uint16(b[24:]))
	}
	s.form = forms[[2]int{tag, s.Bits}]
	switch {
	case s.form.bytes == 0:
		return unreadable("", fmt.Sprintf("the sound is written as format %d with %d bits; it is read as PCM (format 1) of 8, 16, 24 or 32 bits or floating point (format 3) of 32 or 64", tag, s.Bits))
	case s.Channels < 1 || s.Channels > MaxChannels:
		return unreadable("", fmt.Sprintf("the file has %d channels; 1 to %d can be read", s.Channels, MaxChannels))
	case rate < 1 || rate > MaxRate:
		return unreadable("", fmt.Sprintf("the file has %d samples a second; 1 to %d can be read", rate, MaxRate))
	case int(le.Uint16(b[12:])) != s.Channels*s.form.bytes:
		return unreadable("", fmt.Sprintf("%d channels of %d bits take %d bytes together, and the file says %d", s.Channels, s.Bits, s.Channels*s.form.bytes, le.Uint16(b[12:])))
	}
	s.Rate = int(rate)
	return nil
}

// skip notes the name of a chunk that is not read. Padding is not worth a word.
func (s *Sound) skip(name string) {
	switch name {
	case "fact", "JUNK", "junk", "PAD ", "FLLR":
		return
	}
	if !slices.Contains(s.skipped, name) && len(s.skipped) <= maxNames {
		s.skipped = append(s.skipped, name)
	}
}

// Read reads what comes next, as many samples as there is room for or as are
// left, from −1 to 1 where the sound does not go over full scale. At the end it
// returns 0 and io.EOF; any other error is that of the reader below. A file
// that ends before its sound is read as far as it goes. It does not allocate.
func (s *Sound) Read(to []float32) (int, error) {
	n, frame := 0, s.form.bytes*s.Channels
	if frame == 0 { // it is not of a file
		return 0, io.EOF
	}
	for n < len(to) && s.err == nil {
		want := int(min(s.left/uint64(frame), uint64(min(len(to)-n, len(s.raw)/frame))))
		if want == 0 {
			s.err = io.EOF
			break
		}
		got, err := io.ReadFull(s.r, s.raw[:want*frame])
		if s.left -= uint64(got); err != nil {
			if s.err = err; ended(err) {
				s.err, s.cut = io.EOF, s.left
			}
		}
		for k := range got / frame {
			to[n+k] = s.mix(s.raw[k*frame:][:frame])
		}
		n += got / frame
	}
	if n > 0 || len(to) == 0 {
		return n, nil
	}
	return 0, s.err
}

// mix returns the mean of the channels.
func (s *Sound) mix(frame []byte) float32 {
	sum := 0.0
	for ; len(frame) > 0; frame = frame[s.form.bytes:] {
		x := s.form.value(frame)
		if !(math.Abs(x) <= loudest) {
			x = 0
			s.silenced++
		}
		sum += x
	}
	return float32(sum / float64(s.Channels))
}

// Remarks says in sentences for the player what of the file was not read as it
// stands, as far as the reading has come: channels that were mixed, chunks that
// were skipped, a file that was cut off. It is empty where there is nothing to
// say.
func (s *Sound) Remarks() []string {
	var out []string
	say := func(format string, values ...any) { out = append(out, fmt.Sprintf(format, values...)) }
	switch {
	case s.Channels == 2:
		say("stereo is heard as one")
	case s.Channels > 2:
		say("%d channels are heard as one, their mean", s.Channels)
	}
	var names []string
	for n, name := range s.skipped {
		if names = append(names, strconv.Quote(strings.TrimRight(name, " "))); n == maxNames {
			names[n] = "more"
		}
	}
	if len(names) > 0 {
		say("skipped, as it is no sound: %s", strings.Join(names, ", "))
	}
	if s.cut > 0 && !s.open {
		say("the file is cut off: %.1f s that it promises are not there", float64(s.cut)/float64(s.form.bytes*s.Channels)/float64(s.Rate))
	}
	if s.silenced > 0 {
		say("samples that are no loudness, read as silence: %d", s.silenced)
	}
	return out
}

func ended(err error) bool { return errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) }

// orEnded returns an error of reading, or where the file has ended says so.
func orEnded(err error, want string) error {
	if ended(err) {
		return unreadable("", want)
	}
	return err
}
