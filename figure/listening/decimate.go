package listening

import (
	"math"
	"time"
)

// A decimator brings the rate of samples down by a whole number, after a
// low-pass filter: a windowed sinc, symmetric, so that it delays all alike.
type decimator struct {
	factor int
	taps   []float32
	past   []float32 // twice the taps, so that the last ones lie together
	at     int
	count  int
}

func newDecimator(factor int) decimator {
	if factor == 1 {
		return decimator{factor: 1}
	}
	n := 16*factor + 1
	d := decimator{factor: factor, taps: make([]float32, n), past: make([]float32, 2*n)}
	sum := 0.0
	tap := func(k int) float64 {
		x := float64(k - n/2)
		v := 1.0
		if x != 0 {
			z := math.Pi * 0.8 * x / float64(factor)
			v = math.Sin(z) / z
		}
		return v * (0.54 + 0.46*math.Cos(2*math.Pi*x/float64(n)))
	}
	for k := range n {
		sum += tap(k)
	}
	for k := range n {
		d.taps[k] = float32(tap(k) / sum)
	}
	return d
}

// next takes a sample and returns one of the lower rate, where one is due.
func (d *decimator) next(x float32) (y float32, ok bool) {
	if d.factor == 1 {
		return x, true
	}
	n := len(d.taps)
	d.past[d.at], d.past[d.at+n] = x, x
	if d.at++; d.at == n {
		d.at = 0
	}
	if d.count++; d.count < d.factor {
		return 0, false
	}
	d.count = 0
	return dot(d.taps, d.past[d.at:d.at+n]), true
}

// delay returns by how much the filter delays, at the lower rate.
func (d *decimator) delay(rate float64) time.Duration {
	if d.factor == 1 {
		return 0
	}
	samples := float64(len(d.taps)/2-d.factor+1) / float64(d.factor)
	return time.Duration(samples / rate * 1e9)
}
