package listening

import (
	"math"
	"math/cmplx"
	"testing"
	"time"
)

// BenchmarkEar hears a trumpet's take of 44.1 kHz, BenchmarkEarBass a bass
// guitar's; BenchmarkAutocorrelation works out the plain autocorrelation of the
// same frames, every 5 ms at 22 kHz, by a Fourier transform, and nothing else.
// What each takes of one core in real time is reported.

func benchmarkSound(b *testing.B, instrument string) ([]float32, order) {
	for _, i := range allInstruments() {
		if i.Name == instrument {
			o := order{figure: "3 5 1 6", instrument: i, tempo: 120, keys: nil, swing: 1}
			o.keys = append(o.keys, 0, 3, 6, 9)
			l, ok := o.line(0) // the player's part is silent there, the answer is not
			if !ok {
				b.Fatal("it does not fit")
			}
			return sound(b, l, 44100), o
		}
	}
	b.Fatal("no such instrument")
	return nil, order{}
}

func realTime(b *testing.B, samples int) {
	each := b.Elapsed() / time.Duration(b.N)
	b.ReportMetric(100*each.Seconds()*44100/float64(samples), "%core")
}

func benchmarkEar(b *testing.B, instrument string) {
	x, o := benchmarkSound(b, instrument)
	low, high := ears(o.instrument)
	e, err := NewEar(44100, low, high, func(Note) {})
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	b.ResetTimer()
	for range b.N {
		e.Write(x)
	}
	realTime(b, len(x))
}

func BenchmarkEar(b *testing.B)     { benchmarkEar(b, "trumpet in B♭") }
func BenchmarkEarBass(b *testing.B) { benchmarkEar(b, "bass guitar") }

func BenchmarkAutocorrelation(b *testing.B) {
	x, _ := benchmarkSound(b, "trumpet in B♭")
	const size = 1024 // half of it sound, some 23 ms
	buf := make([]complex128, size)
	for range b.N {
		for from := 0; from+2*size <= len(x); from += 220 {
			clear(buf)
			for n := range size / 2 {
				buf[n] = complex(float64(x[from+2*n]), 0)
			}
			transform(buf)
			for n := range buf {
				a := cmplx.Abs(buf[n])
				buf[n] = complex(a*a, 0)
			}
			transform(buf)
		}
	}
	realTime(b, len(x))
}

// transform is the fast Fourier transform of a power of two, in place.
func transform(x []complex128) {
	for i, j := 1, 0; i < len(x); i++ {
		bit := len(x) >> 1
		for ; j&bit != 0; bit >>= 1 {
			j ^= bit
		}
		if j ^= bit; i < j {
			x[i], x[j] = x[j], x[i]
		}
	}
	for size := 2; size <= len(x); size *= 2 {
		sin, cos := math.Sincos(-2 * math.Pi / float64(size))
		step := complex(cos, sin)
		for from := 0; from < len(x); from += size {
			w := complex(1, 0)
			for k := from; k < from+size/2; k++ {
				a, b := x[k], w*x[k+size/2]
				x[k], x[k+size/2] = a+b, a-b
				w *= step
			}
		}
	}
}
