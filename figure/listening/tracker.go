package listening

import (
	"fmt"
	"math"
	"strconv"
	"time"

	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
)

// The rates that a Tracker takes, in samples a second.
const (
	MinRate = 8000
	MaxRate = 192000
)

const (
	hopTime    = 0.005  // seconds from frame to frame
	windowTime = 0.016  // the shortest stretch that is compared
	insideHigh = 18000. // samples a second inside, about, for most instruments
	insideLow  = 14500. // and for those that go below lowKey
	lowKey     = 45
	margin     = 5 // semitones that are heard beyond the range
	maxPeaks   = 10
)

// A Frame is what a Tracker hears every 5 ms.
type Frame struct {
	At      time.Duration // the middle of what is compared
	Cents   float64       // 100 for each key number: 6900 is A4; 0 where there is no pitch
	Clarity float64       // how much of the sound comes again after a period, at most 1
	Level   float64       // in decibels below full scale, of a sine wave
	bright  float64       // the level of the differences from sample to sample
	peaks   [maxPeaks]peak
	n       int // peaks
}

// A peak is a period that the sound may have.
type peak struct {
	cents  float64
	height float64 // of the normalised square difference
}

// A Tracker finds the pitch of one voice. Its method is the normalised square
// difference of McLeod & Wyvill 2005, with the window centred on the frame, the
// longer of 16 ms and the period: how alike the sound is to itself a period
// later. Like de Cheveigné & Kawahara 2002 it keeps several candidates for what
// follows to choose from. The samples are brought down to some 14 to 22 kHz
// first. It allocates nothing after NewTracker.
type Tracker struct {
	to       func(Frame)
	in       decimator
	rate     float64 // inside
	hop      float64 // in samples inside
	shortest int     // lags
	longest  int
	window   int
	a4       float64

	buf    []float32
	begin  int64 // of buf, in samples inside
	frames int64
	sums   []float64 // of the squares of span
	nsdf   []float32
	rings  ringing
}

// NewTracker returns a Tracker for sound of a rate and keys of a range, as they
// sound; five semitones beyond it are heard too. It calls to for each frame, in
// the order of time. The error is a *fault.ValueError for a rate or a range that
// is out of bounds.
func NewTracker(rate int, low, high pitch.Number, to func(Frame)) (*Tracker, error) {
	if rate < MinRate || rate > MaxRate {
		return nil, &fault.ValueError{Setting: "sound", Value: strconv.Itoa(rate) + " samples a second", Want: fmt.Sprintf("the sample rate goes from %d to %d", MinRate, MaxRate)}
	}
	if !low.IsValid() || !high.IsValid() || low > high {
		return nil, &fault.ValueError{Setting: "range", Value: fmt.Sprintf("%d to %d", low, high), Want: "the keys of a range go from 0 to 127, the lower one first"}
	}
	inside := insideHigh
	if low < lowKey {
		inside = insideLow
	}
	factor := max(1, int(math.Round(float64(rate)/inside)))
	t := &Tracker{to: to, in: newDecimator(factor), rate: float64(rate) / float64(factor), a4: pitch.A440}
	t.hop = hopTime * t.rate
	t.window = int(windowTime * t.rate)
	t.longest = int(math.Ceil(t.rate/t.hertz(float64(max(low, 23))-margin))) + 2
	t.shortest = max(3, int(t.rate/t.hertz(float64(high)+margin))-1)
	t.sums = make([]float64, t.span()+1)
	t.nsdf = make([]float32, t.longest+1)
	t.rings.rest = make([]float32, t.span())
	t.buf = make([]float32, 0, 8*t.span())
	t.pad()
	return t, nil
}

func (t *Tracker) hertz(key float64) float64 { return t.a4 * math.Exp2((key-69)/12) }

// reach is how far a frame reaches to either side of its middle.
func (t *Tracker) reach() int { return max(t.window, t.longest) + 1 }

func (t *Tracker) span() int { return 2 * t.reach() }

// pad has the first frame lie at the first sample: silence comes before.
func (t *Tracker) pad() {
	for range t.reach() {
		t.buf = append(t.buf, 0)
	}
	t.begin = -int64(t.reach())
}

// Write hears samples of one channel, full scale being −1 to 1. How the samples
// are cut into writes makes no difference. What is no finite number is silence.
func (t *Tracker) Write(samples []float32) {
	for _, x := range samples {
		if x-x != 0 {
			x = 0
		}
		y, ok := t.in.next(x)
		if !ok {
			continue
		}
		if len(t.buf) == cap(t.buf) {
			n := copy(t.buf, t.buf[len(t.buf)-t.span():])
			t.begin += int64(len(t.buf) - n)
			t.buf = t.buf[:n]
		}
		t.buf = append(t.buf, y)
		middle := int64(math.Round(float64(t.frames) * t.hop))
		if t.begin+int64(len(t.buf)) == middle+int64(t.reach()) {
			from := int(middle-t.begin) - t.reach()
			t.frame(t.buf[from : from+t.span()])
		}
	}
}

// Now returns the time of the next frame: what was before is decided.
func (t *Tracker) Now() time.Duration { return t.timeOf(t.frames) }

func (t *Tracker) timeOf(frame int64) time.Duration {
	return time.Duration(float64(frame)*hopTime*1e9) - t.in.delay(t.rate)
}

func decibel(power float64) float64 { return 10 * math.Log10(power+1e-12) }

func (t *Tracker) frame(x []float32) {
	f := Frame{At: t.timeOf(t.frames)}
	t.frames++
	t.square(x)
	middle := len(x) / 2
	half := max(int(0.006*t.rate), t.longest/2) // at least a period
	f.Level = decibel((t.sums[middle+half] - t.sums[middle-half]) / float64(half))
	f.bright = decibel(t.differences(x[middle-half:middle+half]) / float64(half))
	t.rings.fade(f.Level)
	if f.Level > -100 {
		t.compare(x, t.longest)
		if main := t.pick(&f); main >= 0 {
			t.part(&f, main, x)
		}
	}
	t.to(f)
}

func (t *Tracker) differences(x []float32) float64 {
	sum, before := float32(0), x[0]
	for _, v := range x {
		sum += (v - before) * (v - before)
		before = v
	}
	return float64(sum) * (t.rate / 16000) * (t.rate / 16000)
}

func (t *Tracker) square(x []float32) {
	sum := 0.0
	for n, v := range x {
		sum += float64(v) * float64(v)
		t.sums[n+1] = sum
	}
}

// compare works out the normalised square difference for the lags up to one.
func (t *Tracker) compare(x []float32, longest int) {
	middle := len(x) / 2
	for lag := t.shortest - 1; lag <= longest; lag++ {
		w := max(t.window, lag)
		from := middle - (w+lag)/2
		a, b := x[from:from+w], x[from+lag:from+lag+w]
		product := dot(a, b)
		energy := t.sums[from+w] - t.sums[from] + t.sums[from+lag+w] - t.sums[from+lag]
		if energy <= 0 {
			t.nsdf[lag] = 0
			continue
		}
		t.nsdf[lag] = float32(2 * float64(product) / energy)
	}
}

// dot is the sum of the products of two slices of one length. The race detector, under
// which it takes ten times as long, leaves it out.
//
//go:norace
func dot(a, b []float32) float32 {
	var s0, s1, s2, s3 float32
	b = b[:len(a)]
	n := 0
	for ; n+4 <= len(a); n += 4 {
		c, d := a[n:n+4:n+4], b[n:n+4:n+4]
		s0 += c[0] * d[0]
		s1 += c[1] * d[1]
		s2 += c[2] * d[2]
		s3 += c[3] * d[3]
	}
	for ; n < len(a); n++ {
		s0 += a[n] * b[n]
	}
	return s0 + s1 + s2 + s3
}

// top returns where the peak about a lag is, between the lags, and its height:
// that of the cosine through three of them, which is what a pure tone has. A
// parabola is many cents off where a period is a few samples only.
func (t *Tracker) top(lag int) (at, height float64) {
	a, b, c := float64(t.nsdf[lag-1]), float64(t.nsdf[lag]), float64(t.nsdf[lag+1])
	cos := (a + c) / (2 * b)
	if b <= 0 || cos <= -1 || cos >= 1 {
		return float64(lag), b
	}
	turn := math.Acos(cos) // from lag to lag
	shift := math.Atan2(c-a, 2*b*math.Sin(turn))
	return float64(lag) + shift/turn, b / math.Cos(shift)
}

// pick finds the peaks, the first of them: where there are too many before one
// that may be the period, the highest. It returns which is the period, −1 where
// there is none.
func (t *Tracker) pick(f *Frame) (main int) {
	highest := 0.0
	for lag := t.shortest; lag < t.longest; lag++ {
		if t.peaks(lag) {
			_, height := t.top(lag)
			highest = max(highest, min(height, 1))
		}
	}
	main = -1
	if highest < 0.3 {
		return main
	}
	for lag := t.shortest; lag < t.longest && (f.n < maxPeaks || main < 0); lag++ {
		if !t.peaks(lag) {
			continue
		}
		at, height := t.top(lag)
		if height >= 0.6*highest && f.makeRoom(height) {
			at = t.refine(at, height)
			f.peaks[f.n] = peak{t.centsOf(at), min(height, 1)}
			if main < 0 && height >= 0.9*highest {
				main = f.n
				f.Cents, f.Clarity = f.peaks[main].cents, f.peaks[main].height
			}
			f.n++
		}
	}
	return main
}

// makeRoom leaves out the lowest peak where there is no room for one of a
// height, and reports whether there is.
func (f *Frame) makeRoom(height float64) bool {
	if f.n < maxPeaks {
		return true
	}
	lowest := 0
	for n, p := range f.peaks {
		if p.height < f.peaks[lowest].height {
			lowest = n
		}
	}
	if f.peaks[lowest].height >= height {
		return false
	}
	copy(f.peaks[lowest:], f.peaks[lowest+1:])
	f.n--
	return true
}

// insert adds a peak, in the order of periods, where there is room for it.
func (f *Frame) insert(p peak) {
	if !f.makeRoom(p.height) {
		return
	}
	n := f.n
	for ; n > 0 && f.peaks[n-1].cents < p.cents; n-- {
		f.peaks[n] = f.peaks[n-1]
	}
	f.peaks[n] = p
	f.n++
}

func (t *Tracker) centsOf(period float64) float64 {
	return 1200*math.Log2(t.rate/period/t.a4) + 6900
}

// peaks reports whether a lag is at a peak.
func (t *Tracker) peaks(lag int) bool {
	v := t.nsdf[lag]
	return v >= t.nsdf[lag-1] && v > t.nsdf[lag+1]
}

// refine measures a short period over several of them.
func (t *Tracker) refine(at, height float64) float64 {
	for times := 2.0; times <= 5; times++ {
		lag := int(math.Round(at * times))
		if lag >= t.longest {
			break
		}
		for lag > t.shortest && t.nsdf[lag-1] > t.nsdf[lag] {
			lag--
		}
		for lag+1 < t.longest && t.nsdf[lag+1] > t.nsdf[lag] {
			lag++
		}
		if lag <= t.shortest || lag+1 >= t.longest {
			break
		}
		longer, high := t.top(lag)
		if longer /= times; high < 0.9*height || math.Abs(longer-at) > 0.03*at {
			break
		}
		at = longer
	}
	return at
}
