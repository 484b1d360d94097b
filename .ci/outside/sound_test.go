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
	"example.com/keyorder/figure/accompaniment"
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
		Figure: figure.MustParse("1:2 1:2"), Route: route, Rest: drill.NoRest, Tempo: drill.MinTempo,
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

// TestSpectrumOfTheBand: at each change of a 2-5-1, with the player's turn silent,
// the spectrum up to A4 has root, third and seventh of the symbol, each far above
// every note that is neither in the chord nor its ninth.
func TestSpectrumOfTheBand(t *testing.T) {
	const size, rate = 1 << 16, 44100
	s := drill.Settings{
		Figure: figure.MustParse("{2 m7} 2:8 {5 7} 5:8 {1 maj7} 3:8"), Route: cycle.By(interval.MinorThird).Open(),
		Rest: drill.NoRest, Tempo: 40, Parts: instruments(t, "flute"),
	}
	o := playback.Options{Mode: playback.ModeClick, CountIn: playback.NoCountIn, Band: accompaniment.Band{Bass: accompaniment.BassRoots, Chords: accompaniment.CompingWhole}}
	var b bytes.Buffer
	if err := wav.Write(&b, mustLine(t, o, s), wav.Options{Rate: rate}); err != nil {
		t.Fatal(err)
	}
	table := frequencies(t)
	fft := fourier.NewFFT(size)
	clear := math.Inf(1)
	// semitones above the tonic: root, third, seventh; fifth and ninth may sound too
	chords := [3][5]int{{2, 5, 0, 9, 4}, {7, 11, 5, 2, 9}, {0, 4, 11, 7, 2}}
	for bar := range 9 {
		x := make([]float64, size)
		for n := range x {
			at := 44 + 2*(bar*6*rate+rate/10+n) // a bar takes six seconds
			x[n] = float64(int16(binary.LittleEndian.Uint16(b.Bytes()[at:])))
		}
		c := fft.Coefficients(nil, window.Hann(x))
		var loud [12]float64
		for key := pitch.Number(28); key <= 69; key++ {
			hz, ok := table[key]
			if !ok {
				hz = 440 * math.Exp2(float64(key-69)/12) // below the table
			}
			n := int(math.Round(hz * size / rate))
			for _, near := range []int{n - 1, n, n + 1} {
				loud[key%12] = max(loud[key%12], math.Hypot(real(c[near]), imag(c[near])))
			}
		}
		tonic := bar / 3 * 3
		var member [12]bool
		for _, i := range chords[bar%3] {
			member[(tonic+i)%12] = true
		}
		foreign := 0.0
		for class, m := range loud {
			if !member[class] {
				foreign = max(foreign, m)
			}
		}
		for _, i := range chords[bar%3][:3] {
			ratio := loud[(tonic+i)%12] / foreign
			if clear = min(clear, ratio); ratio < 10 {
				t.Errorf("bar %d: class %d is %.1f times as loud as the loudest foreign one", bar+1, (tonic+i)%12, ratio)
			}
		}
	}
	t.Logf("at least %.0f times as loud as any foreign class", clear)
}
