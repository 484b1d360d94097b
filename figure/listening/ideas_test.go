package listening

import (
	"math"
	"slices"
	"testing"
	"time"

	"example.com/keyorder/figure"
	"example.com/keyorder/spelling"
)

// sure returns the keys of the notes that are surely notes of their own.
func sure(notes []Note) (keys []int) {
	for _, n := range notes {
		if n.Sure >= 0.5 {
			keys = append(keys, int(n.Key()))
		}
	}
	return keys
}

// TestQuietRingsOn: a quiet note that rings on is taken out of the next one, too.
func TestQuietRingsOn(t *testing.T) {
	partials := []float64{0.5, 0.3, 0.2, 0.1, 0.05}
	for _, second := range []float64{67, 68, 69, 79} {
		x := tones(44100, 2, tone{72, 0.2, 0.7, 0.6, 0.03, partials}, tone{second, 0.7, 1.2, 0.1, 0.03, partials})
		if keys := sure(told(t, 53, 96, x)); !slices.Equal(keys, []int{72, int(second)}) {
			t.Errorf("%v after 72: heard %v", second, keys)
		}
	}
}

// TestLowNoteAfterOne: a low note is not its own second partial where the note before,
// of which its period is no multiple, rings on.
func TestLowNoteAfterOne(t *testing.T) {
	for _, first := range []float64{50, 51} {
		x := tones(44100, 2, tone{first, 0.2, 0.7, 0.3, 0.15, []float64{0.3, 0.3, 0.1}}, tone{40, 0.7, 1.3, 0.1, 0.3, []float64{0.12, 0.5, 0.05, 0.2}})
		if keys := sure(told(t, 40, 76, x)); !slices.Equal(keys, []int{int(first), 40}) {
			t.Errorf("40 after %v: heard %v", first, keys)
		}
	}
}

// TestSoftUnderLoud: a note that is softer than what is left of the one before is heard
// where it begins.
func TestSoftUnderLoud(t *testing.T) {
	partials := []float64{0.5, 0.3, 0.2, 0.1}
	for _, second := range []float64{63, 64, 66} {
		x := tones(44100, 1.5, tone{70, 0.2, 0.7, 0.3, 0.5, partials}, tone{second, 0.7, 1, 0.05, 0.15, partials})
		notes := told(t, 53, 96, x)
		if on := onset(notes, second); on < 660*ms || on > 760*ms {
			t.Errorf("%v after 70 begins at %v, %+v", second, on, notes)
		}
	}
}

// TestScoop: a note that begins a little too low is one note, of the pitch that it comes
// to.
func TestScoop(t *testing.T) {
	for _, from := range []float64{60.28, 60.32} {
		x := make([]float32, 44100)
		w := 0.0
		for n := 13230; n < 30870; n++ {
			s := float64(n-13230) / 44100
			key := 60.8
			if s < 0.065 {
				key = from
			}
			w += 2 * math.Pi * 440 * math.Exp2((key-69)/12) / 44100
			x[n] = float32(0.3 * min(s/0.06, 1) * (0.6*math.Sin(w) + 0.3*math.Sin(2*w) + 0.1*math.Sin(3*w)))
		}
		if keys := sure(told(t, 53, 84, x)); !slices.Equal(keys, []int{61}) {
			t.Errorf("from %v: heard %v", from, keys)
		}
	}
	// heard as two notes of which the second goes on
	r, err := Idea([]Note{{On: 0, Off: 20 * ms, end: 20 * ms, Cents: 5740, Sure: 1}, {On: 20 * ms, Off: 400 * ms, end: 400 * ms, Cents: 5790}, NoteOf(60, 80, 600*ms, time.Second)}, Asking{Tempo: 100})
	if err != nil || r.Figure.AppendNotes(nil, r.Tonic)[0].Number().Class() != 10 {
		t.Errorf("%v from %v, %v", r.Figure, r.Tonic, err)
	}
}

// TestLetGo: a note ends where it was let go, not where what is left of it has died
// away; one that dies away by itself goes on.
func TestLetGo(t *testing.T) {
	for _, c := range []struct{ after, from, to float64 }{{0.05, 0.6, 0.65}, {0.2, 0.58, 0.65}, {0.4, 0.55, 0.68}} {
		x := tones(44100, 2, tone{60, 0.2, 0.6, c.after, 0.3, []float64{0.5, 0.3, 0.2}})
		if notes := told(t, 53, 84, x); len(notes) != 1 || notes[0].Off.Seconds() < c.from || notes[0].Off.Seconds() > c.to {
			t.Errorf("let go at 600 ms, 20 dB softer %v s later: %+v", c.after, notes)
		}
	}
	x := tones(44100, 2, tone{60, 0.2, 0.21, 1, 0.3, []float64{0.5, 0.3, 0.2}}) // 20 dB a second
	if notes := told(t, 53, 84, x); notes[0].Off < time.Second {
		t.Errorf("dying away by itself: %+v", notes)
	}
}

// TestTailOctave: where a note that dies away leaves its octave that is no other note.
func TestTailOctave(t *testing.T) {
	x := tones(44100, 2, tone{43, 0.2, 0.7, 0.1, 0.3, []float64{0.4, 0, 0.1, 0, 0.1}}, tone{43, 0.2, 0.7, 0.6, 0.3, []float64{0, 0.4}})
	if keys := sure(told(t, 40, 76, x)); !slices.Equal(keys, []int{43}) {
		t.Errorf("heard %v", keys)
	}
}

// TestComesAgainSlowly: a note that comes again, and builds up slowly, may be one; the
// swell of one that is held is none.
func TestComesAgainSlowly(t *testing.T) {
	for _, c := range []struct {
		deep float64 // decibels
		want bool
	}{{4.5, true}, {1.5, false}} {
		x := make([]float32, 66150)
		for n := 8820; n < 57330; n++ {
			s := float64(n) / 44100
			level := 0.0
			if by := math.Abs(s - 0.6); by < 0.08 {
				level = -c.deep * (1 - by/0.08)
			}
			w := 2 * math.Pi * 440 * math.Exp2((64-69)/12.) * s
			x[n] = float32(0.2 * math.Pow(10, level/20) * (0.6*math.Sin(w) + 0.3*math.Sin(2*w) + 0.1*math.Sin(3*w)))
		}
		again := slices.ContainsFunc(told(t, 53, 84, x), func(n Note) bool { return n.On > 540*ms && n.On < 680*ms && n.Sure >= weak })
		if again != c.want {
			t.Errorf("%v dB softer between: %v", c.deep, again)
		}
	}
}

// TestOctavesInDoubt: where two periods, one of them twice the other, are likely by
// turns, one of them is a note, and no silence.
func TestOctavesInDoubt(t *testing.T) {
	p := newPath(40, 76)
	silent := 0
	for n := range 60 {
		f := Frame{Level: -20, n: 2, peaks: [maxPeaks]peak{{5900, 0.80}, {4700, 0.88}}}
		if n%2 == 0 {
			f.peaks[0].height = 0.7
		}
		if key := p.add(&f); n >= 2*lag && key != 47 {
			silent++
		}
	}
	if silent > 0 {
		t.Errorf("%d frames are something else", silent)
	}
}

// TestDividedAlike: an idea's beats are divided alike where that is as likely: a note
// between a dotted one's end and a triplet's is a sixteenth among sixteenths and an
// eighth of a triplet among triplets.
func TestDividedAlike(t *testing.T) {
	const beat = 60. / 138
	for _, c := range []struct {
		onsets []float64
		want   string
	}{
		{[]float64{0, 0.69, 1, 1.75, 2, 3}, "1:3/2 3:1/2 6:3/2 2:1/2 5:2 4:2"},
		{[]float64{0, 0.705, 1, 1.333, 1.667, 2, 3}, "1:4/3 3:2/3 6:2/3 2:2/3 5:2/3 4:2 1:2"},
		{[]float64{0, 0.295, 0.705, 1, 1.333, 1.667, 2}, "1:2/3 3:2/3 6:2/3 2:2/3 5:2/3 4:2/3 1:2"},
	} {
		keys := []int{60, 64, 69, 62, 67, 65, 60}
		var heard []Note
		for n, at := range c.onsets {
			next := c.onsets[len(c.onsets)-1] + 1
			if n+1 < len(c.onsets) {
				next = c.onsets[n+1]
			}
			on, off := time.Duration(at*beat*1e9), time.Duration((at+0.9*(next-at))*beat*1e9)
			heard = append(heard, Note{On: on, Off: off, end: off, Cents: 100 * float64(keys[n]), Sure: 1})
		}
		if r, err := Idea(heard, Asking{Tempo: 138, Key: spelling.MustParseName("C"), InKey: true}); err != nil || !r.Figure.Equal(figure.MustParse(c.want)) {
			t.Errorf("%v is read as %v, %v, want %s", c.onsets, r.Figure, err, c.want)
		}
	}
}

// TestOnsetsDiffer: a note that is taken to be struck again while it still grows louder
// and brighter is told with an onset of its own: with that of the note before it would
// take its place.
func TestOnsetsDiffer(t *testing.T) {
	var notes []Note
	e, err := NewEar(44100, 49, 81, func(n Note) {
		if k := len(notes) - 1; k >= 0 && notes[k].On == n.On {
			notes[k] = n
			return
		}
		notes = append(notes, n)
	})
	if err != nil {
		t.Fatal(err)
	}
	levels := []float64{-37, -38, -37, -36.5, -32.5, -29, -25.5, -23, -21.5, -21, -20.5, -20}
	brights := []float64{-46, -47, -48, -48.5, -46, -40.5, -35.5, -32, -29.5, -28, -27, -26}
	for n := range 140 {
		f := Frame{At: time.Duration(n) * 5 * ms, Level: -34, bright: -46, Cents: 4900, Clarity: 0.99, n: 1}
		if k := n - 40; k >= 0 {
			k = min(k, len(levels)-1)
			f.Level, f.bright, f.Cents = levels[k], brights[k], 5800
		}
		f.peaks[0] = peak{f.Cents, f.Clarity}
		e.tracker.frames++
		e.frame(f)
	}
	if !slices.Equal(sure(notes), []int{49, 58}) {
		t.Errorf("heard %+v", notes)
	}
}
