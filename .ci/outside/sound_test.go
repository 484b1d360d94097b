package outside

import (
	"bytes"
	"encoding/binary"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/figure/playback/wav"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/spelling"
	"gonum.org/v1/gonum/dsp/fourier"
	"gonum.org/v1/gonum/dsp/window"
)

// TestSox has soxi and sox read sound files.
func TestSox(t *testing.T) {
	dir := t.TempDir()
	for _, rate := range []int{44100, 48000} {
		for _, tempo := range []int{73, 80, 211} {
			s := drill.Settings{Figure: figure.MustParse("1 3 2 5"), Parts: instruments(t, "alto saxophone", "piano"), Tempo: tempo, Route: cycle.By(interval.MajorThird).Closed()}
			l := mustLine(t, playback.Options{Swing: 2}, s, s)
			path := filepath.Join(dir, "line.wav")
			f, err := os.Create(path)
			if err != nil {
				t.Fatal(err)
			}
			if err := wav.Write(f, l, wav.Options{Rate: rate}); err != nil {
				t.Fatal(err)
			}
			if err := f.Close(); err != nil {
				t.Fatal(err)
			}
			for option, want := range map[string]string{"-t": "wav", "-r": strconv.Itoa(rate), "-c": "1", "-b": "16", "-e": "Signed Integer PCM"} {
				if got := strings.TrimSpace(reader(t, nil, "soxi", option, path)); got != want {
					t.Errorf("soxi %s: %s, want %s", option, got, want)
				}
			}
			seconds, err := strconv.ParseFloat(strings.TrimSpace(reader(t, nil, "soxi", "-D", path)), 64)
			if err != nil || math.Abs(seconds-l.Duration().Seconds()) > 0.001 {
				t.Errorf("soxi -D: %v, %v, want %v", seconds, err, l.Duration())
			}
			// and sox finds the very samples in it
			raw := reader(t, nil, "sox", path, "-t", "raw", "-")
			whole, err := os.ReadFile(path)
			if err != nil || raw != string(whole[44:]) {
				t.Errorf("sox reads other samples: %d bytes of %d, %v", len(raw), len(whole)-44, err)
			}
		}
	}
}

// frequencies reads the table of published frequencies of the package wav.
func frequencies(t *testing.T) map[pitch.Number]float64 {
	data, err := os.ReadFile("../../figure/playback/wav/testdata/frequencies.tsv")
	if err != nil {
		t.Fatal(err)
	}
	out := map[pitch.Number]float64{}
	for _, line := range strings.Split(string(data), "\n") {
		row := strings.Split(line, "\t")
		if key, err := strconv.Atoi(row[0]); err == nil {
			if out[pitch.Number(key)], err = strconv.ParseFloat(row[3], 64); err != nil {
				t.Fatal(err)
			}
		}
	}
	return out
}

// TestStrongestPartial: for every key from 36 to 96 the strongest partial of
// all is the fundamental, within 2 cents of the table.
func TestStrongestPartial(t *testing.T) {
	// Some 5.9 s: a bin is 0.17 Hz, 4.4 cents of the lowest key, and between
	// bins a parabola through the logarithms finds the peak far more closely.
	const size = 1 << 18
	table := frequencies(t)
	fft := fourier.NewFFT(size)
	worst := 0.0
	for key := pitch.Number(36); key <= 96; key++ {
		const rate = 44100
		x := window.Hann(note(t, key, rate)[:size])
		loudest := 0
		c := fft.Coefficients(nil, x)
		power := func(n int) float64 { return math.Hypot(real(c[n]), imag(c[n])) }
		for n := range c {
			if power(n) > power(loudest) {
				loudest = n
			}
		}
		a, b, d := math.Log(power(loudest-1)), math.Log(power(loudest)), math.Log(power(loudest+1))
		hz := (float64(loudest) + (a-d)/(2*(a-2*b+d))) * rate / size
		cents := 1200 * math.Log2(hz/table[key])
		if worst = max(worst, math.Abs(cents)); !(math.Abs(cents) <= 2) {
			t.Errorf("key %d: the strongest partial is %.3f Hz, %.2f cents from %v", key, hz, cents, table[key])
		}
	}
	t.Logf("at most %.3f cents off", worst)
}

// note returns the sound of a key over six seconds, in which there is no click.
func note(t *testing.T, key pitch.Number, rate int) []float64 {
	low := spelling.MustParse("C-1").Up(interval.Of(0, int(key))) // the letter does not matter
	route, err := cycle.NewRoute(cycle.Section{Keys: []pitch.Class{key.Class()}})
	if err != nil {
		t.Fatal(err)
	}
	l := mustLine(t, playback.Options{Mode: playback.ModeModel, CountIn: playback.NoCountIn, Clicks: playback.ClicksTwoAndFour}, drill.Settings{
		Figure: figure.MustParse("1:2 1:2"), Route: route, Tempo: drill.MinTempo,
		Parts: []drill.Instrument{{Name: "one octave", Low: low, High: low.Up(interval.Of(0, 11))}},
	})
	var b bytes.Buffer
	if err := wav.Write(&b, l, wav.Options{Rate: rate}); err != nil {
		t.Fatal(err)
	}
	samples := make([]float64, 6*rate)
	for n := range samples {
		samples[n] = float64(int16(binary.LittleEndian.Uint16(b.Bytes()[44+2*n:])))
	}
	return samples
}
