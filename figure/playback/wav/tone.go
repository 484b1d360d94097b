package wav

import (
	"math"

	"example.com/keyorder/figure/accompaniment"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/pitch"
)

const (
	maxPartials = 8
	tableBits   = 11
	tableSize   = 1 << tableBits
	attackTime  = 0.003 // seconds
	releaseTime = 0.015
	inaudible   = 1e-6 // of full scale: no sample is other than 0
)

// A table is one period of the tone: what dies away slowly and what dies away
// fast. Its last entry is its first again.
type table [tableSize + 1]struct{ slow, fast float32 }

// A timbre is what the tone of a layer is made of: how strong the partials are
// that die away slowly and fast, how long it rings at middle C, and how loud a note
// is where that of a part is 1 and the level of the band is 1.
type timbre struct {
	slow, fast [maxPartials + 1]float64
	ring       float64 // seconds
	attack     float64 // seconds
	level      float64
}

func timbreOf(l accompaniment.Layer) timbre {
	switch l {
	case accompaniment.LayerBass: // round
		return timbre{
			slow: [maxPartials + 1]float64{1: 1, 2: 0.5, 3: 0.2, 4: 0.1},
			fast: [maxPartials + 1]float64{2: 0.2, 3: 0.2, 4: 0.1},
			ring: 0.8, attack: 0.008, level: 0.8,
		}
	case accompaniment.LayerChords: // soft
		return timbre{
			slow: [maxPartials + 1]float64{1: 1, 2: 0.1},
			fast: [maxPartials + 1]float64{3: 0.15},
			ring: 1.6, attack: 0.012, level: 0.4,
		}
	case accompaniment.LayerDrone: // it does not die away
		return timbre{
			slow: [maxPartials + 1]float64{1: 1, 2: 0.3, 3: 0.15, 4: 0.05},
			ring: math.Inf(1), attack: 0.1, level: 0.2,
		}
	}
	return timbre{
		slow: [maxPartials + 1]float64{1: 1, 2: 0.25, 3: 0.1},
		fast: [maxPartials + 1]float64{2: 0.35, 3: 0.3, 4: 0.2, 5: 0.15, 6: 0.1, 7: 0.07, 8: 0.05},
		ring: 1.2, attack: attackTime, level: 1,
	}
}

// newTable adds up the partials of a tone. The two together never exceed 1.
func newTable(tone timbre, partials int) *table {
	slow, fast := tone.slow, tone.fast
	var sums [tableSize][2]float64
	peak := 0.0
	for n := range sums {
		for k := 1; k <= partials; k++ {
			x := math.Sin(2 * math.Pi * float64(k*n%tableSize) / tableSize)
			sums[n][0] += slow[k] * x
			sums[n][1] += fast[k] * x
		}
		peak = max(peak, math.Abs(sums[n][0])+math.Abs(sums[n][1]))
	}
	t := new(table)
	for n := range t {
		s := sums[n%tableSize]
		t[n].slow, t[n].fast = float32(s[0]/peak), float32(s[1]/peak)
	}
	return t
}

// A voice is a note that sounds.
type voice struct {
	table       *table
	phase, step uint32  // of a period of 2³²
	slow, fast  float32 // how loud each part of the tone is now
	slower      float32 // what is left of slow after a sample
	faster      float32 // what is left of fast
	at, left    int     // samples since the onset and until the end
	attack      int     // samples
	release     int
}

// accentLevel is the peak of an accented note, where that of another is 1.
const accentLevel = 1.4

// loudness returns the peak of a note, where that of a part without accent is 1.
func (r *renderer) loudness(n *playback.Note) float64 {
	switch {
	case n.Layer != accompaniment.LayerPart:
		return timbreOf(n.Layer).level * r.band
	case n.Marks.Has(drill.MarkAccent):
		return accentLevel
	}
	return 1
}

// newVoice returns a note for a number of samples.
func (r *renderer) newVoice(note *playback.Note, samples int64) voice {
	key, layer := note.Key, note.Layer
	tone := timbreOf(layer)
	hz, rate := key.Hertz(r.o.A4), float64(r.o.Rate)
	partials := min(max(int(math.Ceil(rate/2/hz))-1, 1), maxPartials)
	tables := &r.tables[layer]
	if tables[partials] == nil {
		tables[partials] = newTable(tone, partials)
	}
	// Low strings ring longer: two octaves up it is half as long.
	ring := tone.ring * math.Exp2(float64(60-key)/24)
	n, level := int(samples), float32(r.loudness(note))
	return voice{
		table: tables[partials],
		step:  uint32(math.Round(hz / rate * (1 << 32))),
		slow:  level, fast: level,
		slower: float32(math.Exp(-1 / (ring * rate))), faster: float32(math.Exp(-4 / (ring * rate))),
		left:   n,
		attack: min(int(tone.attack*rate), n/4), release: min(int(releaseTime*rate), n/2),
	}
}

// add adds what comes next of the note.
func (v *voice) add(to []float32) {
	to = to[:min(len(to), v.left)]
	for len(to) > 0 {
		// The volume goes up during the attack, stays, and goes down to 0.
		n, gain, slope := len(to), float32(1), float32(0)
		switch {
		case v.at < v.attack:
			slope = 1 / float32(v.attack)
			gain = float32(v.at) * slope
			n = min(n, v.attack-v.at)
		case v.left > v.release:
			n = min(n, v.left-v.release)
		default:
			slope = -1 / float32(v.release)
			gain = -float32(v.left-1) * slope
		}
		v.run(to[:n], gain, slope)
		v.at += n
		v.left -= n
		to = to[n:]
	}
	if v.slow < inaudible {
		v.left = 0
	}
}

func (v *voice) run(to []float32, gain, slope float32) {
	t, phase, slow, fast := v.table, v.phase, v.slow, v.fast
	for k := range to {
		n := phase >> (32 - tableBits)
		part := float32(phase&(1<<(32-tableBits)-1)) * (1.0 / (1 << (32 - tableBits)))
		a, b := t[n], t[n+1]
		to[k] += gain * (slow*(a.slow+part*(b.slow-a.slow)) + fast*(a.fast+part*(b.fast-a.fast)))
		phase += v.step
		slow *= v.slower
		fast *= v.faster
		gain += slope
	}
	v.phase, v.slow, v.fast = phase, slow, fast
}

// The peaks of an accented click and of another, where that of a note is 1.
const clickLevel, weakLevel = 0.8, 0.5

// newClick returns a click of a peak, high and half-way between a key and the next.
// Its partials are those of no string.
func (r *renderer) newClick(below pitch.Number, level float64) []float32 {
	rate := float64(r.o.Rate)
	hz := below.Hertz(r.o.A4) * math.Exp2(1.0/24)
	sound := make([]float32, int(0.03*rate))
	peak := 0.0
	wave := func(n int) float64 {
		t := float64(n) / rate
		x := math.Sin(2*math.Pi*hz*t) + 0.5*math.Sin(2*math.Pi*1.59*hz*t) + 0.25*math.Sin(2*math.Pi*2.14*hz*t)
		return x * min(t/0.0005, 1) * math.Exp(-t/0.004) * min(float64(len(sound)-1-n)/rate/0.005, 1)
	}
	for n := range sound {
		peak = max(peak, math.Abs(wave(n)))
	}
	for n := range sound {
		sound[n] = float32(level * wave(n) / peak)
	}
	return sound
}
