package wav

import (
	"bytes"
	"encoding/binary"
	"errors"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/accompaniment"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/figuretest"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
)

func instrument(t testing.TB, name string) drill.Instrument {
	i, err := drill.Find(name, drill.LevelFull)
	if err != nil {
		t.Fatal(err)
	}
	return i
}

func mustLine(t testing.TB, o playback.Options, settings ...drill.Settings) *playback.Line {
	var drills []*drill.Drill
	for _, s := range settings {
		if s.Route.Len() == 0 {
			s.Route = cycle.By(interval.AugmentedFourth).Open()
		}
		if s.Parts == nil {
			s.Parts = []drill.Instrument{instrument(t, "flute")}
		}
		d, err := drill.New(s)
		if err != nil {
			t.Fatal(err)
		}
		drills = append(drills, d)
	}
	l, err := playback.New(drills, o)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// render returns the samples of a file and checks its header: the fields of
// the RIFF form WAVE for PCM, from memory.
func render(t testing.TB, l *playback.Line, o Options) []int16 {
	var b bytes.Buffer
	if err := Write(&b, l, o); err != nil {
		t.Fatal(err)
	}
	rate := o.Rate
	if rate == 0 {
		rate = 44100
	}
	h, le := b.Bytes(), binary.LittleEndian
	samples := (len(h) - 44) / 2
	for _, c := range []struct {
		what      string
		got, want any
	}{
		{"RIFF", string(h[0:4]), "RIFF"},
		{"length after it", int(le.Uint32(h[4:])), len(h) - 8},
		{"form", string(h[8:16]), "WAVEfmt "},
		{"length of the format", le.Uint32(h[16:]), uint32(16)},
		{"PCM", le.Uint16(h[20:]), uint16(1)},
		{"channels", le.Uint16(h[22:]), uint16(1)},
		{"rate", int(le.Uint32(h[24:])), rate},
		{"bytes a second", int(le.Uint32(h[28:])), 2 * rate},
		{"bytes a sample", le.Uint16(h[32:]), uint16(2)},
		{"bits a sample", le.Uint16(h[34:]), uint16(16)},
		{"data", string(h[36:40]), "data"},
		{"length of the data", int(le.Uint32(h[40:])), len(h) - 44},
	} {
		if c.got != c.want {
			t.Fatalf("%s: %v, want %v", c.what, c.got, c.want)
		}
	}
	if size, err := Size(l, o); err != nil || size != int64(len(h)) {
		t.Fatalf("%d bytes, Size says %d, %v", len(h), size, err)
	}
	if got, want := float64(samples)/float64(rate), l.Duration().Seconds(); math.Abs(got-want) > 1/float64(rate) {
		t.Fatalf("%v seconds, want %v", got, want)
	}
	out := make([]int16, samples)
	for n := range out {
		out[n] = int16(le.Uint16(h[44+2*n:]))
	}
	if out[0] != 0 || out[samples-1] != 0 {
		t.Fatalf("the first sample is %d, the last %d", out[0], out[samples-1])
	}
	return out
}

func TestNothingClips(t *testing.T) {
	piano := instrument(t, "piano")
	choir := slices.Repeat([]drill.Instrument{piano}, drill.MaxParts)
	for what, s := range map[string]drill.Settings{
		"one part":        {Figure: figure.MustParse("1 3 2 5")},
		"chords":          {Figure: figure.MustParse("1+3+5+7+9:8 1+2+3+4+5+6+7:8"), Parts: []drill.Instrument{piano}},
		"fifteen parts":   {Figure: figure.MustParse("1+3+5:8 1:8"), Parts: choir},
		"low":             {Figure: figure.MustParse("1:8"), Parts: []drill.Instrument{instrument(t, "piano A0-A1")}},
		"high":            {Figure: figure.MustParse("1:8"), Parts: []drill.Instrument{instrument(t, "piano C8-C9")}},
		"short, at 500":   {Figure: figure.MustParse("1:1/24 2:1/24 3:1/24"), Tempo: 500},
		"shorter, at 500": {Figure: figure.MustParse("1:1/24 2:1/24 3:1/24"), Tempo: 500, Meter: meter(t, "4+4/2")},
	} {
		s.Rest, s.Tempo = drill.NoRest, max(s.Tempo, 240)
		// with no rest and no count-in, sound from the first sample to the last
		l := mustLine(t, playback.Options{Mode: playback.ModeModel, CountIn: playback.NoCountIn}, s)
		for _, rate := range []int{0, 44100, 48000} {
			least, most := int16(0), int16(0)
			for _, x := range render(t, l, Options{Rate: rate}) {
				least, most = min(least, x), max(most, x)
			}
			enough := 10000
			if what == "one part" {
				enough = 14000
			}
			if loud := max(-int(least), int(most)); loud > 29001 || loud < enough {
				t.Errorf("%s: from %d to %d", what, least, most)
			}
		}
	}
}

// TestTheBandDoesNotClip: with everything on, as loud as it can be, in every mode.
func TestTheBandDoesNotClip(t *testing.T) {
	piano := instrument(t, "piano")
	route, err := cycle.ParseRoute("06")
	if err != nil {
		t.Fatal(err)
	}
	for mode := playback.ModeAnswer; mode <= playback.ModeClick; mode++ {
		o := playback.Options{Mode: mode, Free: 1, Band: accompaniment.Band{
			Bass: accompaniment.BassWalking, Chords: accompaniment.CompingWhole, Drone: true, Rests: accompaniment.RestsDominant, Level: 1,
		}}
		s := drill.Settings{
			Figure: figure.MustParse("{2 m7b5} 2+4+6+8:8 {5 7(b9,b13)} v7+2+4:8 {1 6/9} 1+3+5:8"),
			Parts:  []drill.Instrument{piano, piano, piano}, Route: route, Tempo: 160,
		}
		s.Rest = playback.RestFor(o, s)
		most := 0
		for _, x := range render(t, mustLine(t, o, s), Options{}) {
			most = max(most, int(x), -int(x))
		}
		if most > 29001 || most < 4000 {
			t.Errorf("%v: the peak is %d", mode, most)
		}
	}
}

// TestLevelOfTheBand: the bass is softer than the model, and by half with half the
// level.
func TestLevelOfTheBand(t *testing.T) {
	ratio := func(level float64) float64 {
		o := playback.Options{Mode: playback.ModeModel, CountIn: playback.NoCountIn, Clicks: playback.ClicksTwoAndFour, Band: accompaniment.Band{Bass: accompaniment.BassRoots, Level: level}}
		x := render(t, mustLine(t, o, drill.Settings{
			Figure: figure.MustParse("{1 7} 1:8"), Tempo: 40, Parts: []drill.Instrument{instrument(t, "flute")},
		}), Options{})[:44100]
		return magnitude(x, pitch.Number(36).Hertz(440), 44100) / magnitude(x, pitch.Number(84).Hertz(440), 44100)
	}
	full, usual, quarter := ratio(1), ratio(0), ratio(0.25)
	if math.Abs(usual/full-0.5) > 0.02 || math.Abs(quarter/full-0.25) > 0.02 {
		t.Errorf("%.3f of the model at level 1, %.3f at the usual, %.3f at a quarter", full, usual, quarter)
	}
	r := &renderer{band: 1}
	for layer := accompaniment.LayerBass; layer <= accompaniment.LayerDrone; layer++ {
		if l := r.loudness(&playback.Note{Layer: layer}); l >= 1 || l <= 0 {
			t.Errorf("%v has a level of %v", layer, l)
		}
	}
}

func meter(t testing.TB, text string) drill.Meter {
	m, err := drill.ParseMeter(text)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// TestOnsets finds the onsets in the sound: where it begins after silence.
func TestOnsets(t *testing.T) {
	s := drill.Settings{Figure: figure.MustParse("0 1:1/2 0:1/2 3:1/2 0:3/2 0 2+5:1/2 0:3/2 9:1/2"), Tempo: 97}
	other := s
	other.Tempo, other.Figure = 71, figure.MustParse("0:1/3 1:1/3 0:1/3 v5:1/3")
	for _, rate := range []int{44100, 48000} {
		l := mustLine(t, playback.Options{Swing: 1.7, Mode: playback.ModeModel}, s, other)
		var want []time.Duration
		for e := range l.Events(0) {
			if at := l.At(e.Time); (e.Kind == playback.KindNoteOn || e.Kind == playback.KindClick) && (len(want) == 0 || want[len(want)-1] != at) {
				want = append(want, at)
			}
		}
		var got []time.Duration
		silent := rate
		for n, x := range render(t, l, Options{Rate: rate}) {
			if x != 0 && silent > rate/100 {
				got = append(got, time.Duration(n)*time.Second/time.Duration(rate))
			}
			if silent++; x != 0 {
				silent = 0
			}
		}
		if len(got) != len(want) {
			t.Fatalf("%d onsets, want %d", len(got), len(want))
		}
		for n := range got {
			if off := got[n] - want[n]; off.Abs() > time.Millisecond {
				t.Errorf("an onset at %v, want %v", got[n], want[n])
			}
		}
	}
}

// oneNote returns a line on which a key sounds for six seconds, undisturbed, and then again, until the line ends.
func oneNote(t testing.TB, key pitch.Number) *playback.Line {
	low := spelling.MustParse("C-1").Up(interval.Of(0, int(key))) // the letter does not matter
	i := drill.Instrument{Name: "one octave", Low: low, High: low.Up(interval.Of(0, 11))}
	route, err := cycle.NewRoute(cycle.Section{Keys: []pitch.Class{key.Class()}})
	if err != nil {
		t.Fatal(err)
	}
	s := drill.Settings{Figure: figure.MustParse("1:2 1:2"), Route: route, Parts: []drill.Instrument{i}, Tempo: 10, Rest: drill.NoRest}
	l := mustLine(t, playback.Options{Mode: playback.ModeModel, CountIn: playback.NoCountIn, Clicks: playback.ClicksTwoAndFour}, s)
	for turn := range l.Turns(0) {
		for n := range l.Notes(turn) {
			switch {
			case n.Index != 0:
			case n.Key != key:
				t.Fatalf("%+v, want key %d: another key", n, key)
			case n.On != 0:
				t.Fatalf("%+v, want key %d: not at the beginning", n, key)
			case l.At(n.Off) != 6*time.Second:
				t.Fatalf("%+v, want key %d: it ends at %v", n, key, l.At(n.Off))
			}
		}
	}
	return l
}

// magnitude is the plain sum of the discrete Fourier transform at one
// frequency, in a Hann window.
func magnitude(x []int16, hz float64, rate int) float64 {
	re, im := 0.0, 0.0
	for n := range x {
		sin, cos := math.Sincos(2 * math.Pi * hz * float64(n) / float64(rate))
		window := 1 - math.Cos(2*math.Pi*float64(n)/float64(len(x)))
		re += window * float64(x[n]) * cos
		im += window * float64(x[n]) * sin
	}
	return math.Hypot(re, im)
}

// TestPitch: the strongest partial is the fundamental, within 2 cents of
// testdata/frequencies.tsv.
func TestPitch(t *testing.T) {
	rows := 0
	for _, row := range figuretest.Table(t, "testdata/frequencies.tsv") {
		key, err := strconv.Atoi(row["midi_key"])
		if err != nil || key%10 != 6 || key < 36 || key > 96 {
			continue
		}
		rows++
		want, err := strconv.ParseFloat(row["hz"], 64)
		if err != nil {
			t.Fatal(err)
		}
		rate := []int{44100, 48000}[rows%2]
		x := render(t, oneNote(t, pitch.Number(key)), Options{Rate: rate})[:2*rate]
		if key > 60 {
			x = x[:rate] // enough to tell cents apart
		}
		best, loudest := 0.0, 0.0
		for cents := -4.0; cents <= 4; cents += 0.5 {
			hz := want * math.Exp2(cents/1200)
			if m := magnitude(x, hz, rate); m > loudest {
				best, loudest = cents, m
			}
		}
		if math.Abs(best) > 1 {
			t.Errorf("key %d: %v cents off", key, best)
		}
		for k := 2.0; k <= 9; k++ {
			for _, hz := range []float64{want * k, want / k, want * (k - 0.5)} {
				if m := magnitude(x, hz, rate); m >= loudest/1.3 {
					t.Errorf("key %d: %.1f against %.1f at %.1f times the fundamental", key, m, loudest, hz/want)
				}
			}
		}
	}
	if rows != 7 {
		t.Errorf("%d rows", rows)
	}
}

func TestA4(t *testing.T) {
	for _, a4 := range []float64{MinA4, 415, 442.5, MaxA4} {
		x := render(t, oneNote(t, 69), Options{A4: a4})[:44100]
		here, up, down := magnitude(x, a4, 44100), magnitude(x, a4*1.01, 44100), magnitude(x, a4/1.01, 44100)
		if up > here/2 || down > here/2 {
			t.Errorf("A4 at %v: %.0f there, %.0f above, %.0f below", a4, here, up, down)
		}
	}
}

// TestTone compares a note with the same sum of sines, each worked out for
// itself.
func TestTone(t *testing.T) {
	for _, key := range []pitch.Number{24, 61, 100, 116} {
		got := render(t, oneNote(t, key), Options{})[:6*44100]
		r := &renderer{o: Options{Rate: 44100, A4: 440}}
		v := r.newVoice(&playback.Note{Key: key}, 6*44100)
		partials := slices.Index(r.tables[accompaniment.LayerPart][:], v.table)
		step := float64(v.step) / (1 << 32)
		ring := 1.2 * math.Exp2(float64(60-key)/24)
		want := make([]float64, len(got))
		weights := [][2]float64{1: {1, 0}, 2: {0.25, 0.35}, 3: {0.1, 0.3}, 4: {0, 0.2}, 5: {0, 0.15}, 6: {0, 0.1}, 7: {0, 0.07}, 8: {0, 0.05}}
		peak := 0.0
		for n := range 2048 {
			slow, fast := 0.0, 0.0
			for k := 1; k <= partials; k++ {
				x := math.Sin(2 * math.Pi * float64(k) * float64(n) / 2048)
				slow, fast = slow+weights[k][0]*x, fast+weights[k][1]*x
			}
			peak = max(peak, math.Abs(slow)+math.Abs(fast))
		}
		worst := 0.0
		for n := range want {
			at := float64(n) / 44100
			for k := 1; k <= partials; k++ {
				want[n] += math.Sin(2*math.Pi*float64(k)*step*float64(n)) *
					(weights[k][0]*math.Exp(-at/ring) + weights[k][1]*math.Exp(-4*at/ring))
			}
			want[n] *= 29000 / 1.8 / peak * min(float64(n)/132, 1) * min(float64(len(want)-1-n)/661, 1)
			worst = max(worst, math.Abs(want[n]-float64(got[n])))
		}
		if worst > 8 {
			t.Errorf("key %d: %.1f of 32767 off", key, worst)
		}
	}
}

// TestPartials: every one that the tone has lies under half the sample rate.
func TestPartials(t *testing.T) {
	for _, o := range []Options{{Rate: 44100, A4: MinA4}, {Rate: 44100, A4: pitch.A440}, {Rate: 44100, A4: MaxA4}, {Rate: 48000, A4: MaxA4}} {
		r := &renderer{o: o}
		for key := range pitch.Number(128) {
			n := slices.Index(r.tables[accompaniment.LayerPart][:], r.newVoice(&playback.Note{Key: key}, 100).table)
			top := float64(o.Rate) / 2 / key.Hertz(o.A4) // in partials
			if float64(n) >= top || n < maxPartials && float64(n+1) < top {
				t.Errorf("key %d has %d partials, room for fewer than %.2f", key, n, top)
			}
		}
	}
}

// TestClick: a click is short, dies away to nothing, and the two differ.
func TestClick(t *testing.T) {
	l := mustLine(t, playback.Options{Mode: playback.ModeClick, CountIn: playback.NoCountIn}, drill.Settings{Figure: figure.MustParse("1"), Tempo: 60})
	x := render(t, l, Options{})
	strong, weak := x[:44100/2], x[44100:44100*3/2]
	if slices.Equal(strong, weak) || !slices.Equal(weak, x[2*44100:][:44100/2]) {
		t.Error("the accent is not told apart")
	}
	for n := 44100 * 3 / 100; n < len(strong); n++ {
		if strong[n] != 0 || weak[n] != 0 {
			t.Fatalf("%d and %d at sample %d", strong[n], weak[n], n)
		}
	}
	// half a semitone from every key, and above those that most instruments reach
	for _, c := range []struct {
		x     []int16
		below pitch.Number
	}{{strong, 102}, {weak, 97}} {
		x := append(make([]int16, 1323), c.x[:1323]...) // the window is widest at the onset
		here := magnitude(x, math.Sqrt(c.below.Hertz(440)*(c.below+1).Hertz(440)), 44100)
		for _, key := range []pitch.Number{c.below - 1, c.below, c.below + 1, c.below + 2} {
			if there := magnitude(x, key.Hertz(440), 44100); there >= here {
				t.Errorf("%.0f between the keys %d and %d, %.0f at key %d", here, c.below, c.below+1, there, key)
			}
		}
	}
}

func TestRenderingIsDeterministic(t *testing.T) {
	piano := instrument(t, "piano")
	l := mustLine(t, playback.Options{Swing: 2}, drill.Settings{Figure: figure.MustParse("1+3+5 2 3 5"), Parts: []drill.Instrument{piano, piano}})
	if !slices.Equal(render(t, l, Options{}), render(t, l, Options{})) {
		t.Error("the same line sounds otherwise the second time")
	}
}

func TestProgress(t *testing.T) {
	l := mustLine(t, playback.Options{}, drill.Settings{Figure: figure.MustParse("1")})
	want, err := Size(l, Options{})
	if err != nil {
		t.Fatal(err)
	}
	calls, last := 0, int64(0)
	render(t, l, Options{Progress: func(done, total int64) {
		if total != want || done <= last && calls > 0 || done > total {
			t.Fatalf("%d of %d after %d, want %d", done, total, last, want)
		}
		calls, last = calls+1, done
	}})
	if seconds := l.Duration().Seconds(); last != want || float64(calls) < 8*seconds || float64(calls) > 14*seconds {
		t.Errorf("%d calls in %v s, the last with %d of %d", calls, seconds, last, want)
	}
}

// A limited writer fails after some bytes.
type limited struct{ room int }

var errFull = errors.New("the disk is full")

func (w *limited) Write(b []byte) (int, error) {
	if w.room -= len(b); w.room < 0 {
		return 0, errFull
	}
	return len(b), nil
}

func TestErrors(t *testing.T) {
	l := mustLine(t, playback.Options{}, drill.Settings{Figure: figure.MustParse("1 3 2 5")})
	size, err := Size(l, Options{})
	if err != nil {
		t.Fatal(err)
	}
	for room := 0; room < int(size); room += 1 + int(size)/20 {
		if err := Write(&limited{room}, l, Options{}); err != errFull {
			t.Errorf("with room for %d bytes: %v", room, err)
		}
	}
	if err := Write(&limited{int(size) - 1}, l, Options{}); err != errFull {
		t.Error(err)
	}
	long := drill.Settings{Figure: figure.MustParse("1:512"), Route: cycle.By(interval.MinorSecond).Open(), Tempo: 10}
	for _, c := range []struct {
		l    *playback.Line
		o    Options
		want string
	}{
		{l, Options{Rate: 22050}, "the sample rate is 44100 or 48000"},
		{l, Options{Rate: -1}, "the sample rate is 44100 or 48000"},
		{l, Options{A4: 299}, "A4 goes from 300 to 600 Hz"},
		{l, Options{A4: 601}, "A4 goes from 300 to 600 Hz"},
		{l, Options{A4: -440}, "A4 goes from 300 to 600 Hz"},
		{l, Options{A4: math.NaN()}, "A4 goes from 300 to 600 Hz"},
		{l, Options{A4: math.Inf(1)}, "A4 goes from 300 to 600 Hz"},
		{mustLine(t, playback.Options{Mode: playback.ModeModel}, long, long, long), Options{}, "less than 4 GiB"},
	} {
		w := &limited{math.MaxInt}
		var e *fault.ValueError
		switch err := Write(w, c.l, c.o); {
		case !errors.As(err, &e):
			t.Errorf("%+v: %v\nwant …%s…: no such error", c.o, err, c.want)
		case strings.Contains(err.Error(), "wav"):
			t.Errorf("%+v: %v\nwant …%s…: it names the package", c.o, err, c.want)
		case !strings.Contains(err.Error(), c.want):
			t.Errorf("%+v: %v\nwant …%s…: other words", c.o, err, c.want)
		case w.room != math.MaxInt:
			t.Errorf("%+v: %v\nwant …%s…: something was written", c.o, err, c.want)
		}
		if size, err := Size(c.l, c.o); !errors.As(err, &e) || size != 0 {
			t.Errorf("%+v: size %d, %v", c.o, size, err)
		}
	}
	var b bytes.Buffer
	if err := Write(&b, new(playback.Line), Options{}); err != nil || b.Len() != headerSize {
		t.Errorf("an empty line: %d bytes, %v", b.Len(), err)
	}
}
