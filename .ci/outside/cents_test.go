package outside

import (
	"fmt"
	"math"
	"slices"
	"testing"
	"time"

	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/listening"
	"example.com/keyorder/outside/takes"
	"example.com/keyorder/pitch"
)

// TestCents holds the pitch of long notes of sampled instruments against a
// measurement that takes a third of a second at once: how far apart the sound is
// from itself some thirty periods later. The samples may be out of tune themselves.
func TestCents(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	var off []float64
	for _, name := range append(append([]string{}, takes.Winds...), takes.Others...) {
		i, err := drill.Find(name, drill.LevelComfortable)
		if err != nil {
			t.Fatal(err)
		}
		low, high := i.Low.Up(i.Sounding).Number(), i.High.Up(i.Sounding).Number()
		var notes []takes.Sounding
		for n := range 6 {
			on := time.Duration(1+n) * time.Second
			notes = append(notes, takes.Sounding{On: on, Off: on + 700*time.Millisecond, Key: low + pitch.Number(n)*(high-low)/6, Cents: float64(5*n - 12), Loud: 90})
		}
		sound, err := takes.Render(dir, fmt.Sprint("cents-", len(off)), "fluid", notes, i.Program, false)
		if err != nil {
			t.Fatal(err)
		}
		heard := map[time.Duration]listening.Note{}
		ear, err := listening.NewEar(takes.Rate, low, high, func(n listening.Note) { heard[n.On] = n })
		if err != nil {
			t.Fatal(err)
		}
		ear.Write(sound)
		ear.Close()
		for _, n := range heard {
			if n.Sure < 0.9 || n.Off-n.On < 500*time.Millisecond {
				continue
			}
			from := int((n.On + 100*time.Millisecond).Seconds() * takes.Rate)
			if from+takes.Rate/2 < len(sound) {
				off = append(off, math.Abs(n.Cents-longPitch(sound[from:from+takes.Rate*2/5], n.Cents)))
			}
		}
	}
	slices.Sort(off)
	if len(off) < 36 {
		t.Fatalf("%d notes were heard", len(off))
	}
	t.Logf("%d notes, median %.2f cents, nine in ten within %.2f", len(off), off[len(off)/2], off[len(off)*9/10])
	if off[len(off)/2] > 3 {
		t.Errorf("the median is %.2f cents", off[len(off)/2])
	}
}

// longPitch returns the pitch of a sound that is near to one, in cents.
func longPitch(x []float32, near float64) float64 {
	period := takes.Rate / (440 * math.Exp2((near-6900)/1200))
	at, times := period, 1.0
	for _, times = range []float64{2, 4, 8, 16, 30} {
		next, ok := longest(x, at*times)
		if !ok {
			break
		}
		at = next / times
	}
	return 6900 + 1200*math.Log2(takes.Rate/at/440)
}

// longest returns the lag near to one at which a sound is most like itself.
func longest(x []float32, near float64) (float64, bool) {
	like := func(lag int) float64 {
		var product, a, b float64
		for n := 0; n+lag < len(x); n++ {
			product += float64(x[n]) * float64(x[n+lag])
			a += float64(x[n]) * float64(x[n])
			b += float64(x[n+lag]) * float64(x[n+lag])
		}
		return product / math.Sqrt(a*b+1e-20)
	}
	reach := int(near/300) + 2
	best, at := 0.0, 0
	for lag := int(near) - reach; lag <= int(near)+reach; lag++ {
		if v := like(lag); lag > 0 && lag < len(x)*2/3 && v > best {
			best, at = v, lag
		}
	}
	if at == 0 || best < 0.5 {
		return near, false
	}
	l, r := like(at-1), like(at+1)
	if d := l - 2*best + r; d < 0 {
		return float64(at) + (l-r)/(2*d), true
	}
	return float64(at), true
}
