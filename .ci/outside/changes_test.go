package outside

import (
	"encoding/binary"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// TestChangesMeasured takes a blues and a 2-5-1 through all keys on four instruments
// with examples/sheet, and measures the sound: with band and click the peak stays below
// full scale and the band is softer than the model; alone, each note of the MIDI file,
// as midicsv reads it, begins in the sound when it is to.
func TestChangesMeasured(t *testing.T) {
	t.Parallel()
	for _, instrument := range []string{"trumpet", "tenor saxophone", "trombone", "piano"} {
		t.Run(instrument, func(t *testing.T) {
			level := "full"
			if instrument == "piano" {
				level = "comfortable" // at its lowest notes a sixteenth of a second tells no pitch
			}
			common := []string{"-for", instrument, "-level", level, "-orders", "P4", "-tempo", "160"}
			dir, _ := sheetFolder(t, append(common, "-figure", "3 5 1 6 5 3 6 1 over jazz blues", "-bass", "walking", "-chords", "2 and 4", "-drone")...)
			samples := sound(t, dir)
			// After two bars of count-in each key has eleven bars with the model and one,
			// the rest at the end of the chorus, without.
			const bar = 60 * 4 * soundRate / 160
			var with, without []float64
			for key := range 12 {
				from := (2 + 12*key) * bar
				with = append(with, samples[from:from+11*bar]...)
				without = append(without, samples[from+11*bar:from+12*bar]...)
			}
			peak, _ := levels(samples)
			_, both := levels(with)
			_, band := levels(without)
			model := math.Sqrt(both*both - band*band)
			t.Logf("a blues: peak %.1f dB, level %.1f dB, of it the model %.1f dB, band and click %.1f dB", decibel(peak), decibel(both), decibel(model), decibel(band))
			if peak > 0.99 || peak < 0.2 {
				t.Errorf("the peak is %.3f of full scale", peak)
			}
			if !(band < model) {
				t.Errorf("the band has %.3f and the model %.3f", band, model)
			}
			dir, _ = sheetFolder(t, append(common, "-figure", "3 5 1 6 over 2-5-1", "-sound", "model", "-clicks", "first beat")...)
			checkOnsets(t, sound(t, dir), filepath.Join(dir, "sheet.mid"))
		})
	}
}

const soundRate = 44100

// sound reads the sound file of a folder, as the format says: 16 bits, one channel.
func sound(t *testing.T, dir string) []float64 {
	t.Helper()
	names, err := filepath.Glob(filepath.Join(dir, "*.wav"))
	if err != nil || len(names) != 1 {
		t.Fatalf("%v: %v", names, err)
	}
	b, err := os.ReadFile(names[0])
	if err != nil {
		t.Fatal(err)
	}
	if rate, channels := binary.LittleEndian.Uint32(b[24:]), binary.LittleEndian.Uint16(b[22:]); rate != soundRate || channels != 1 {
		t.Fatalf("%d samples a second on %d channels", rate, channels)
	}
	samples := make([]float64, (len(b)-44)/2)
	for n := range samples {
		samples[n] = float64(int16(binary.LittleEndian.Uint16(b[44+2*n:]))) / 32768
	}
	return samples
}

// levels returns the peak and the root of the mean square of samples.
func levels(samples []float64) (peak, level float64) {
	for _, x := range samples {
		peak = max(peak, math.Abs(x))
		level += x * x
	}
	return peak, math.Sqrt(level / float64(len(samples)))
}

func decibel(x float64) float64 { return 20 * math.Log10(x) }

// checkOnsets: from before the beginning of a note to after it, its frequency grows.
func checkOnsets(t *testing.T, samples []float64, file string) {
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	division, tempo := 0.0, 0.0
	type note struct {
		at  float64 // seconds
		key int
	}
	var notes []note
	sounding := map[int]float64{} // until when
	for _, line := range strings.Split(reader(t, b, "midicsv"), "\n") {
		f := strings.Split(line, ", ")
		number := func(n int) float64 {
			x, _ := strconv.ParseFloat(strings.TrimSpace(f[n]), 64)
			return x
		}
		switch {
		case len(f) > 5 && f[2] == "Header":
			division = number(5)
		case len(f) > 3 && f[2] == "Tempo":
			tempo = number(3) / 1e6
		case len(f) > 5 && f[2] == "Note_off_c" || len(f) > 5 && f[2] == "Note_on_c" && number(5) == 0:
			sounding[int(number(4))] = number(1) / division * tempo
		case len(f) > 5 && f[2] == "Note_on_c" && number(3) != 9: // 9 is the channel of the click
			// A note whose frequency was there just before, as its own or as a partial of
			// another, tells nothing.
			n := note{number(1) / division * tempo, int(number(4))}
			fresh := true
			for _, partial := range []int{0, 12, 19, 24, 28, 31} {
				if last, before := sounding[n.key-partial]; before && n.at-last < 0.25 {
					fresh = false
				}
			}
			if fresh {
				notes = append(notes, n)
			}
		}
	}
	if len(notes) < 100 {
		t.Fatalf("%d notes", len(notes))
	}
	worst := math.Inf(1)
	for _, n := range notes {
		hz := 440 * math.Exp2(float64(n.key-69)/12)
		before := strength(samples, hz, n.at-0.065, n.at-0.005)
		after := strength(samples, hz, n.at+0.005, n.at+0.065)
		worst = min(worst, after/before)
	}
	t.Logf("%d notes of a 2-5-1: each at least %.1f times as strong after its beginning as before", len(notes), worst)
	if worst < 2 {
		t.Errorf("a note does not begin when the MIDI file says")
	}
}

// strength is how much of a frequency there is from one second to another.
func strength(samples []float64, hz, from, to float64) float64 {
	re, im := 1e-6, 0.0
	first, last := int(from*soundRate), int(to*soundRate)
	for n := first; n < last; n++ {
		w := math.Sin(math.Pi * float64(n-first) / float64(last-first))
		phase := 2 * math.Pi * hz * float64(n) / soundRate
		re += samples[n] * w * w * math.Cos(phase)
		im += samples[n] * w * w * math.Sin(phase)
	}
	return math.Hypot(re, im)
}
