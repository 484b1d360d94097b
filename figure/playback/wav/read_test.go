package wav

import (
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"runtime"
	"slices"
	"strings"
	"testing"
	"testing/iotest"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/pitch/fault"
	"pgregory.net/rapid"
)

// all reads what is left of a sound, so many samples at once.
func all(t testing.TB, s *Sound, each int) []float32 {
	t.Helper()
	var out []float32
	block := make([]float32, each)
	for {
		n, err := s.Read(block)
		out = append(out, block[:n]...)
		if err == io.EOF && n == 0 {
			return out
		}
		if err != nil || n == 0 {
			t.Fatalf("%d samples, %v", n, err)
		}
	}
}

func mustRead(t testing.TB, file string) *Sound {
	t.Helper()
	s, err := Read(strings.NewReader(file))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// TestLawWriteThenReadGivesBackTheSamples, whatever the blocks.
func TestLawWriteThenReadGivesBackTheSamples(t *testing.T) {
	l := mustLine(t, playback.Options{CountIn: playback.NoCountIn}, drill.Settings{Figure: figure.MustParse("1 3 2:2"), Tempo: 300})
	for _, o := range []Options{{}, {Rate: 48000, A4: 415}} {
		var b bytes.Buffer
		if err := Write(&b, l, o); err != nil {
			t.Fatal(err)
		}
		want := make([]float32, (b.Len()-headerSize)/2)
		for n := range want {
			want[n] = float32(int16(binary.LittleEndian.Uint16(b.Bytes()[headerSize+2*n:]))) / 32768
		}
		for _, each := range []int{37, 4096, 1 << 20} {
			s := mustRead(t, b.String())
			if s.Rate != max(44100, o.Rate) || s.Channels != 1 || s.Bits != 16 {
				t.Fatalf("%d samples a second, %d channels, %d bits", s.Rate, s.Channels, s.Bits)
			}
			if got := all(t, s, each); !slices.Equal(got, want) || s.Remarks() != nil {
				t.Errorf("%d samples, want %d; remarks %q", len(got), len(want), s.Remarks())
			}
		}
	}
}

// chunk returns a chunk with its padding.
func chunk(name, data string) string {
	return name + string(binary.LittleEndian.AppendUint32(nil, uint32(len(data)))) + data + "\x00"[:len(data)&1]
}

// head returns the data of a chunk fmt.
func head(tag, channels, rate, bits int) string {
	le := binary.LittleEndian
	b := le.AppendUint16(nil, uint16(tag))
	b = le.AppendUint16(b, uint16(channels))
	b = le.AppendUint32(b, uint32(rate))
	b = le.AppendUint32(b, uint32(rate*channels*bits/8))
	b = le.AppendUint16(b, uint16(channels*bits/8))
	return string(le.AppendUint16(b, uint16(bits)))
}

// extensible returns the data of an extensible chunk fmt.
func extensible(tag, channels, rate, bits int) string {
	return head(0xfffe, channels, rate, bits) + "\x16\x00" + string([]byte{byte(bits), 0, 3, 0, 0, 0, byte(tag), 0}) + guid
}

const riff = "RIFF\xff\xff\xff\xffWAVE"

// write puts samples down in a form, the inverse of what is tested.
func write(tag, bits int, samples []float64) string {
	var b []byte
	le := binary.LittleEndian
	for _, x := range samples {
		switch {
		case tag == 3 && bits == 32:
			b = le.AppendUint32(b, math.Float32bits(float32(x)))
		case tag == 3:
			b = le.AppendUint64(b, math.Float64bits(x))
		case bits == 8:
			b = append(b, byte(math.Round(x*127)+128))
		default:
			v := uint64(int64(math.Round(x*(math.Exp2(float64(bits-1))-1)))) << (64 - bits)
			b = append(b, le.AppendUint64(nil, v)[8-bits/8:]...)
		}
	}
	return string(b)
}

// TestLawEveryFormReadsTheSame: bits, channels, rate and the kind of header do
// not change what is heard by more than a step of the coarser form.
func TestLawEveryFormReadsTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		kind := rapid.SampledFrom([][2]int{{1, 8}, {1, 16}, {1, 24}, {1, 32}, {3, 32}, {3, 64}}).Draw(t, "form")
		rate := rapid.SampledFrom([]int{1, 8000, 11025, 44100, 96000, 192000, MaxRate}).Draw(t, "rate")
		channels := rapid.SampledFrom([]int{1, 2, 3, MaxChannels}).Draw(t, "channels")
		frames := rapid.IntRange(0, 3000).Draw(t, "frames")
		header := rapid.SampledFrom([]func(tag, channels, rate, bits int) string{head, extensible}).Draw(t, "header")(kind[0], channels, rate, kind[1])
		var samples []float64
		want := make([]float64, frames)
		for n := range want {
			for c := range channels {
				x := math.Sin(float64(n*(c+3)) / 7)
				samples = append(samples, x)
				want[n] += x / float64(channels)
			}
		}
		s, err := Read(strings.NewReader(riff + chunk("JUNK", "odd") + chunk("fmt ", header) + chunk("fact", "1234") + chunk("data", write(kind[0], kind[1], samples)) + chunk("LIST", "after")))
		if err != nil {
			t.Fatal(err)
		}
		if s.Rate != rate || s.Channels != channels || s.Bits != kind[1] {
			t.Fatalf("%+v", s)
		}
		var got []float32
		for block := make([]float32, rapid.IntRange(1, 5000).Draw(t, "block")); ; {
			n, err := s.Read(block)
			if err == io.EOF {
				break
			}
			got = append(got, block[:n]...)
		}
		if len(got) != frames {
			t.Fatalf("%d samples, want %d", len(got), frames)
		}
		step := map[int]float64{8: 1.0 / 64, 16: 1.0 / 16384}[kind[1]] + 1e-6
		for n := range got {
			if math.Abs(float64(got[n])-want[n]) > step {
				t.Fatalf("sample %d is %v, want %v", n, got[n], want[n])
			}
		}
		if remarks := s.Remarks(); (channels > 1) != (len(remarks) == 1) {
			t.Fatalf("%q", remarks)
		}
	})
}

// TestReadSaysWhatItSkips, of files that are odd and can be read.
func TestReadSaysWhatItSkips(t *testing.T) {
	mono := chunk("fmt ", head(1, 1, 8000, 16))
	ds64 := func(n byte) string {
		return chunk("ds64", strings.Repeat("\x00", 8)+string(n)+strings.Repeat("\x00", 19))
	}
	names := ""
	for n := range 12 {
		names += chunk(fmt.Sprintf("x%03d", n), "")
	}
	for _, c := range []struct {
		file    string
		samples int
		remarks string
	}{
		{riff + mono + chunk("LIST", "INFO") + chunk("bext", "a") + chunk("LIST", "") + chunk("data", "aabb"), 2, `skipped, as it is no sound: "LIST", "bext"`},
		{riff + mono + names + chunk("data", ""), 0, `skipped, as it is no sound: "x000", "x001", "x002", "x003", "x004", "x005", "x006", "x007", more`},
		{riff + mono + "data\x00\x7d\x00\x00" + strings.Repeat("a", 16001), 8000, "the file is cut off: 1.0 s that it promises are not there"},
		{riff + mono + "data\xff\xff\xff\xffaabbc", 2, ""}, // written into a pipe
		{"RF64" + riff[4:] + ds64(4) + mono + "data\xff\xff\xff\xffaabbccdd", 2, ""},
		{"RF64" + riff[4:] + ds64(4) + mono + "data\xff\xff\xff\xffaa", 1, "the file is cut off: 0.0 s that it promises are not there"},
		{riff + chunk("fmt ", head(3, 1, 8000, 32)+"\x00\x00") + chunk("data", "\x00\x00\xc0\x7f\x00\x00\x80\xff\xff\xff\x7f\x7f\x00\x00\x80\x3f"), 4, "samples that are no loudness, read as silence: 3"},
		{riff + mono + chunk("data", "aab"), 1, ""},
		{riff + chunk("fmt ", head(1, 2, 8000, 16)) + chunk("data", "aabb"), 1, "stereo is heard as one"},
		{riff + chunk("fmt ", head(1, 3, 8000, 16)) + chunk("data", "aabbcc"), 1, "3 channels are heard as one, their mean"},
	} {
		s := mustRead(t, c.file)
		x := all(t, s, 1000)
		if len(x) != c.samples || strings.Join(s.Remarks(), "; ") != c.remarks {
			t.Errorf("%.60q: %d samples, %q\nwant %d, %q", c.file, len(x), s.Remarks(), c.samples, c.remarks)
		}
		for _, v := range x {
			if v != v || v > loudest {
				t.Errorf("%.60q: %v", c.file, x)
			}
		}
		if n, err := s.Read(make([]float32, 1)); n != 0 || err != io.EOF {
			t.Errorf("after the end: %d, %v", n, err)
		}
	}
}

// TestNoSound: a Sound that is not of a file has no samples.
func TestNoSound(t *testing.T) {
	if n, err := new(Sound).Read(make([]float32, 9)); n != 0 || err != io.EOF {
		t.Errorf("%d samples, %v", n, err)
	}
}

func TestReadErrors(t *testing.T) {
	broken := errors.New("the disk is broken")
	mono := riff + chunk("fmt ", head(1, 1, 8000, 16))
	for _, c := range []struct {
		file, want string
	}{
		{"", "sound file: the file is empty"},
		{"RIFF", `sound file "RIFF": a sound is read from a WAVE file`},
		{"fLaC\x00\x00\x00\x22abcdefgh", `sound file "fLaC": a sound is read from a WAVE file`},
		{"RIFX\x00\x00\x00\x00WAVE", `sound file "RIFX"`},
		{"RIFF\x00\x00\x00\x00AVI ", `sound file "RIFF": a sound`},
		{riff, "the file ends before its sound begins"},
		{mono, "the file ends before its sound begins"},
		{riff + "fmt \x10\x00\x00\x00\x01", "the file ends before its sound begins"},
		{riff + "LIST\x10\x00\x00\x00\x01", "the file ends before its sound begins"},
		{riff + chunk("data", "aa"), "the sound begins before the file says how it is written"},
		{riff + chunk("fmt ", "short"), "at least 16 bytes"},
		{riff + chunk("fmt ", head(6, 1, 8000, 8)), "written as format 6 with 8 bits; it is read as PCM"},
		{riff + chunk("fmt ", head(1, 1, 8000, 20)), "format 1 with 20 bits"},
		{riff + chunk("fmt ", head(0xfffe, 1, 8000, 16)), "format 65534 with 16 bits"},
		{riff + chunk("fmt ", head(1, 0, 8000, 16)), "the file has 0 channels; 1 to 64 can be read"},
		{riff + chunk("fmt ", head(1, 65, 8000, 16)), "the file has 65 channels"},
		{riff + chunk("fmt ", head(1, 1, 0, 16)), "the file has 0 samples a second"},
		{riff + chunk("fmt ", head(1, 1, MaxRate+1, 16)), "samples a second; 1 to 1048576 can be read"},
		{riff + chunk("fmt ", head(1, 2, 8000, 16)[:12]+"\x02\x00\x10\x00"), "2 channels of 16 bits take 4 bytes together, and the file says 2"},
		{riff + "LIST\x00\x00\x00\x08", "no sound begins in the first 64 MiB or 1024 chunks"},
	} {
		var e *fault.SyntaxError
		if s, err := Read(strings.NewReader(c.file)); !errors.As(err, &e) || s != nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: %v, want %q", c.file, err, c.want)
		}
		if len(c.file) < 8 {
			continue
		}
		r := io.MultiReader(strings.NewReader(c.file[:len(c.file)-1]), iotest.ErrReader(broken))
		if _, err := Read(r); err != broken && !errors.As(err, &e) {
			t.Errorf("%q on a broken disk: %v", c.file, err)
		}
	}
	for n := range len(mono) {
		if _, err := Read(io.MultiReader(strings.NewReader(mono[:n]), iotest.ErrReader(broken))); err != broken {
			t.Errorf("broken after %d bytes: %v", n, err)
		}
	}
	s, err := Read(io.MultiReader(strings.NewReader(mono+"data\x00\x01\x00\x00aabb"), iotest.ErrReader(broken)))
	if err != nil {
		t.Fatal(err)
	}
	block := make([]float32, 9)
	if n, err := s.Read(block); n != 2 || err != nil {
		t.Errorf("%d, %v", n, err)
	}
	if n, err := s.Read(block); n != 0 || err != broken {
		t.Errorf("%d, %v", n, err)
	}
	if n, err := s.Read(nil); n != 0 || err != nil {
		t.Errorf("into nothing: %d, %v", n, err)
	}
}

// endless repeats its bytes for ever and counts what was taken.
type endless struct {
	head  string
	loop  string
	taken int64
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

// TestNonsenseEndsInLittleMemory: files without end and without sound.
func TestNonsenseEndsInLittleMemory(t *testing.T) {
	for _, e := range []*endless{
		{"", "nonsense", 0},
		{riff, "nonsense", 0},
		{riff, chunk("abcd", ""), 0},
		{riff, chunk("fmt ", head(1, 2, 8000, 16)), 0},
		{riff, "LIST\xff\xff\xff\x00", 0},
	} {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		_, err := Read(e)
		runtime.ReadMemStats(&after)
		var syntax *fault.SyntaxError
		if !errors.As(err, &syntax) || e.taken > maxHead+1<<16 {
			t.Errorf("%q: %v after %d bytes", e.loop, err, e.taken)
		}
		if used := after.TotalAlloc - before.TotalAlloc; used > 1<<20 {
			t.Errorf("%q: %d bytes of memory", e.loop, used)
		}
	}
}

// TestReadDoesNotAllocate, for a file without end.
func TestReadDoesNotAllocate(t *testing.T) {
	s, err := Read(&endless{riff + chunk("fmt ", head(1, 2, 44100, 24)) + "data\xff\xff\xff\xff", "noises", 0})
	if err != nil {
		t.Fatal(err)
	}
	block := make([]float32, 4096)
	if n := testing.AllocsPerRun(20, func() {
		if n, err := s.Read(block); n != len(block) || err != nil {
			t.Fatal(n, err)
		}
	}); n != 0 {
		t.Errorf("%v allocations for a block", n)
	}
}

func FuzzRead(f *testing.F) {
	for _, kind := range [][2]int{{1, 8}, {1, 16}, {1, 24}, {1, 32}, {3, 32}, {3, 64}} {
		f.Add([]byte(riff + chunk("fmt ", head(kind[0], 2, 44100, kind[1])) + chunk("data", strings.Repeat("abcdefgh", 4))))
	}
	f.Add([]byte("RF64" + riff[4:] + chunk("ds64", strings.Repeat("\x01", 28)) + chunk("fmt ", extensible(1, 1, 8000, 16)) + "data\xff\xff\xff\xffaabbc"))
	f.Add([]byte(riff + chunk("LIST", "odd") + chunk("fmt ", head(6, 1, 8000, 8)) + chunk("data", "aa")))
	block := make([]float32, 100)
	f.Fuzz(func(t *testing.T, file []byte) {
		s, err := Read(bytes.NewReader(file))
		var syntax *fault.SyntaxError
		if err != nil {
			if !errors.As(err, &syntax) || s != nil || len(err.Error()) > 400 {
				t.Fatal(err)
			}
			return
		}
		total := 0
		for {
			n, err := s.Read(block)
			for _, x := range block[:n] {
				if !(math.Abs(float64(x)) <= loudest) {
					t.Fatalf("a sample of %v", x)
				}
			}
			if total += n; err == io.EOF {
				break
			}
			if err != nil || n == 0 {
				t.Fatal(n, err)
			}
		}
		if total*s.Channels*s.form.bytes > len(file) {
			t.Fatalf("%d samples of %d bytes", total, len(file))
		}
		if r := s.Remarks(); len(r) > 4 {
			t.Fatalf("%q", r)
		}
	})
}

func BenchmarkRead(b *testing.B) {
	file := riff + chunk("fmt ", head(1, 2, 44100, 16)) + chunk("data", strings.Repeat("abcd", 44100))
	block := make([]float32, 4096)
	b.SetBytes(int64(len(file)))
	for range b.N {
		for s := mustRead(b, file); ; {
			if _, err := s.Read(block); err != nil {
				break
			}
		}
	}
}

// BenchmarkReadPlain adds up the same samples with nothing between.
func BenchmarkReadPlain(b *testing.B) {
	file := []byte(strings.Repeat("abcd", 44100))
	out := make([]float32, 44100)
	b.SetBytes(int64(len(file)))
	for range b.N {
		for n := range out {
			l, r := int16(binary.LittleEndian.Uint16(file[4*n:])), int16(binary.LittleEndian.Uint16(file[4*n+2:]))
			out[n] = float32((float64(l) + float64(r)) / 65536)
		}
	}
}
