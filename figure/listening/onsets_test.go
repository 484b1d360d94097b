package listening

import (
	"math"
	"slices"
	"testing"
	"time"
)

// TestForgotten: a note that has died away is not taken out of one that comes after a
// silence: the third partial is no note.
func TestForgotten(t *testing.T) {
	first := tone{83, 0.2, 0.6, 0.05, 0.3, []float64{0.5, 0.3, 0.2}}
	next := tone{52, 1.2, 1.6, 0.05, 0.3, []float64{0.2, 0.05, 0.5, 0.05, 0.05}}
	frames, right := 0, 0
	tracker, err := NewTracker(44100, 41, 84, func(f Frame) {
		if f.At > 1300*ms && f.At < 1500*ms {
			if frames++; math.Abs(f.Cents-5200) < 20 {
				right++
			}
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	tracker.Write(tones(44100, 2, first, next))
	if right != frames {
		t.Errorf("the pitch is right in %d frames of %d", right, frames)
	}
}

// TestFaint: what is left of a note that has died away is not one that rings on at once.
func TestFaint(t *testing.T) {
	var r ringing
	for range steady {
		r.alone(100, -20)
	}
	if r.period != 100 {
		t.Errorf("the period is %v", r.period)
	}
	r.fade(-20 - gone - 1)
	if r.alone(100, -41); r.period != 0 {
		t.Errorf("it rings on")
	}
}

// onset returns where a key begins, the first of its sure notes.
func onset(notes []Note, key float64) time.Duration {
	k := slices.IndexFunc(notes, func(n Note) bool { return math.Abs(n.Cents-100*key) < 50 && n.Sure >= 0.5 })
	if k < 0 {
		return -1
	}
	return notes[k].On
}

// TestSwellIsNoSlide: where a note swells shortly before the next one, that one does
// not begin with the swell.
func TestSwellIsNoSlide(t *testing.T) {
	partials := []float64{0.5, 0.3, 0.2}
	for step := -3.0; step <= 3; step++ {
		if step == 0 {
			continue
		}
		x := tones(44100, 1.5, tone{67, 0.2, 0.52, 0.02, 0.3, partials}, tone{67, 0.54, 0.6, 0.02, 0.3, partials}, tone{67 + step, 0.6, 1, 0.05, 0.3, partials})
		notes := told(t, 41, 84, x)
		if on := onset(notes, 67+step); on < 570*ms || on > 640*ms {
			t.Errorf("%+.0f: it begins at %v, %+v", step, on, notes)
		}
	}
}

// TestUnclearAttack: a note after silence begins where it sounds, though its pitch is
// clear only later.
func TestUnclearAttack(t *testing.T) {
	x := tones(44100, 1.2, tone{60, 0.38, 0.8, 0.05, 0.3, []float64{0.5, 0.3, 0.2}})
	for k, key := range []float64{61.3, 66.1, 70.6, 74.9} { // of no common period
		for n, v := range tones(44100, 1.2, tone{key + float64(k)/7, 0.3, 0.38, 0.005, 0.12, []float64{0.5}}) {
			x[n] += v
		}
	}
	notes := told(t, 41, 84, x)
	if on := onset(notes, 60); on < 290*ms || on > 330*ms {
		t.Errorf("it begins at %v, %+v", on, notes)
	}
}

// TestSoftAgain: what comes again much softer than it was is what is left of it, even
// where a high partial of it rises.
func TestSoftAgain(t *testing.T) {
	x := tones(44100, 1.5, tone{72, 0.2, 0.6, 0.03, 0.3, []float64{0.5, 0.3}}, tone{76, 0.6, 1, 0.03, 0.3, []float64{0.5}},
		tone{72, 1, 1.3, 0.03, 0.06, []float64{0.3, 0, 0, 0.4, 0.4, 0.4, 0.4, 0.4}})
	notes := told(t, 41, 84, x)
	if slices.ContainsFunc(notes, func(n Note) bool { return n.On > 950*ms && n.Sure >= 0.5 }) {
		t.Errorf("%+v", notes)
	}
}
