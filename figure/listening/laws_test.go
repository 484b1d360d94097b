package listening

import (
	"bytes"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"testing"
	"time"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/figure/playback/wav"
	"example.com/keyorder/pitch"
	"pgregory.net/rapid"
)

// few checks a property that takes long: n times where rapid is asked for 100.
func few(t *testing.T, n int, property func(*rapid.T)) {
	t.Helper()
	checks := flag.Lookup("rapid.checks")
	before := checks.Value.String()
	asked, err := strconv.Atoi(before)
	if err != nil {
		t.Fatal(err)
	}
	if raced { // which takes ten times as long
		n /= 6
	}
	checks.Value.Set(strconv.Itoa(max(1, n*asked/100)))
	defer checks.Value.Set(before)
	rapid.Check(t, property)
}

// figures are of our own making.
var figures = []string{
	"1:3 5 4 2 3:2", "3 5 1 6", "5 2 b3:2 1", "1 4 b3:2 b7 in dorian", "5 5 3:2 6 1:2", "1 8 5:2 6 3:2", "v5 v7 | 1 4 2:2", "2:1/2 4:1/2 1 6:2 3", "1:2/3 4:2/3 2:2/3 6 3",
}

func allInstruments() []drill.Instrument {
	return slices.Collect(drill.Instruments(drill.LevelComfortable))
}

// An order is what a take is drawn from.
type order struct {
	figure     string
	instrument drill.Instrument
	keys       []pitch.Class
	tempo      int
	swing      float64
}

func (o order) String() string {
	return fmt.Sprintf("-for %q -figure %q -keys %v -tempo %d -swing %v", o.instrument.Name, o.figure, o.keys, o.tempo, o.swing)
}

func anyOrder(keys int) *rapid.Generator[order] {
	return rapid.Custom(func(t *rapid.T) order {
		o := order{
			figure:     rapid.SampledFrom(figures).Draw(t, "figure"),
			instrument: rapid.SampledFrom(allInstruments()).Draw(t, "instrument"),
			tempo:      rapid.IntRange(60, 160).Draw(t, "tempo"),
			swing:      rapid.SampledFrom([]float64{1, 1, 2, 1.5, 3}).Draw(t, "swing"),
		}
		for range keys {
			o.keys = append(o.keys, pitch.Class(rapid.IntRange(0, 11).Draw(t, "key")))
		}
		return o
	})
}

// line returns the line of an order; ok is false where a key does not fit.
func (o order) line(mode playback.Mode) (*playback.Line, bool) {
	var sections []cycle.Section
	for _, k := range o.keys {
		sections = append(sections, cycle.Section{Keys: []pitch.Class{k}})
	}
	route, err := cycle.NewRoute(sections...)
	if err != nil {
		return nil, false
	}
	d, err := drill.New(drill.Settings{Figure: figure.MustParse(o.figure), Route: route, Parts: []drill.Instrument{o.instrument}, Tempo: o.tempo})
	if err != nil {
		return nil, false
	}
	l, err := playback.New([]*drill.Drill{d}, playback.Options{Mode: mode, Swing: o.swing})
	return l, err == nil
}

// mustLine draws orders until one fits.
func mustLine(t *rapid.T, keys int) (order, *playback.Line) {
	for {
		o := anyOrder(keys).Draw(t, "order")
		if l, ok := o.line(playback.ModeModel); ok {
			return o, l
		}
	}
}

// sound returns the library's own sound of a line.
func sound(t rapid.TB, l *playback.Line, rate int) []float32 {
	var b bytes.Buffer
	if err := wav.Write(&b, l, wav.Options{Rate: rate}); err != nil {
		t.Fatal(err)
	}
	s, err := wav.Read(&b)
	if err != nil {
		t.Fatal(err)
	}
	all := make([]float32, 0, b.Len()/2)
	block := make([]float32, 4096)
	for {
		n, err := s.Read(block)
		all = append(all, block[:n]...)
		if err != nil {
			return all
		}
	}
}

// ears returns the range of an instrument as it sounds.
func ears(i drill.Instrument) (low, high pitch.Number) {
	return i.Low.Up(i.Sounding).Number(), i.High.Up(i.Sounding).Number()
}

// heard returns what an ear and a judge make of a sound that is cut as cut says.
func heard(t rapid.TB, l *playback.Line, sound []float32, rate int, o Options, cut func() int) []Say {
	p := l.Parts()[0]
	j, err := NewJudge(l, p, o)
	if err != nil {
		t.Fatal(err)
	}
	low, high := ears(p.Instrument())
	e, err := NewEar(rate, low, high, j.Hear)
	if err != nil {
		t.Fatal(err)
	}
	e.Expect(j.Due)
	var says []Say
	for len(sound) > 0 {
		n := min(len(sound), cut())
		e.Write(sound[:n])
		sound = sound[n:]
		says = slices.AppendSeq(says, j.Says(e.Now()))
	}
	e.Close()
	return slices.AppendSeq(says, j.Says(l.Duration()+o.Offset+time.Minute))
}

func blocks() int { return 1024 }

// words are the verdicts and faults of says, without what is measured.
func words(says []Say) (all []string) {
	for _, s := range says {
		w := s.Verdict.String()
		for _, f := range s.Faults {
			w += fmt.Sprintf("; %v %d", f.Kind, f.Note)
			switch f.Kind {
			case KindWrong, KindExtra:
				w += fmt.Sprintf(" heard %v", f.Heard.Class())
			case KindKey:
				w += fmt.Sprintf(" %+d", f.Semitones)
			}
		}
		all = append(all, w)
	}
	return all
}

// TestLawSilenceAndNoiseAreNeverClean: nor is what has no pitch, at any level.
func TestLawSilenceAndNoiseAreNeverClean(t *testing.T) {
	few(t, 6, func(t *rapid.T) {
		o, l := mustLine(t, 2)
		level := rapid.SampledFrom([]float64{0, 0, 0.001, 0.1, 1}).Draw(t, "level")
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		const rate = 16000
		x := make([]float32, int(l.Duration().Seconds()*rate))
		for n := range x {
			x[n] = float32(level * r.NormFloat64() / 4)
		}
		says := heard(t, l, x, rate, Options{Strictness: rapid.SampledFrom([]Strictness{StrictnessNotes, StrictnessRhythm}).Draw(t, "strictness")}, blocks)
		if len(says) != len(o.keys) {
			t.Fatalf("%v: %d says", o, len(says))
		}
		for _, s := range says {
			if s.Verdict == VerdictClean || level == 0 && s.Verdict != VerdictNotPlayed {
				t.Fatalf("%v: noise of level %v is %v", o, level, s.Verdict)
			}
		}
	})
}

// TestLawOwnSoundIsClean: a perfect take is always clean, on every instrument,
// in every key, up to a tempo of 160.
func TestLawOwnSoundIsClean(t *testing.T) {
	for n, i := range allInstruments() {
		if raced && n%6 != 0 {
			continue
		}
		few(t, 1, func(t *rapid.T) {
			var l *playback.Line
			var o order
			for ok := false; !ok; { // until the figure is not too wide
				o = anyOrder(1).Draw(t, "order")
				o.instrument = i
				l, ok = o.line(playback.ModeModel)
			}
			for _, s := range heard(t, l, sound(t, l, 44100), 44100, Options{}, blocks) {
				if s.Verdict != VerdictClean {
					t.Fatalf("%v: statement %d is %v, %v", o, s.Statement+1, s.Verdict, words([]Say{s}))
				}
				for _, n := range s.Notes {
					if math.Abs(n.Cents) > 5 || n.Octaves != 0 {
						t.Fatalf("%v: statement %d: note %d is %.1f cents and %d octaves off", o, s.Statement+1, n.Note+1, n.Cents, n.Octaves)
					}
				}
			}
		})
	}
}

// spoil returns an order with one fault in every statement, and how it is said.
func spoil(t *rapid.T, o order) (order, string) {
	f := figure.MustParse(o.figure)
	items := slices.Collect(f.Items())
	before := 0
	for at := figure.Length(0); at < f.Pickup(); before++ {
		at += items[before].Length
	}
	k := rapid.IntRange(0, len(items)-1).Draw(t, "note")
	word := ""
	for word == "" {
		switch kind := rapid.SampledFrom([]Kind{KindWrong, KindMissing, KindExtra, KindLate, KindKey}).Draw(t, "fault"); kind {
		case KindWrong:
			d := items[k].Degrees[0]
			semitones := rapid.SampledFrom([]int{-5, -2, -1, 1, 2, 5}).Draw(t, "semitones")
			items[k].Degrees = []figure.Degree{{Step: d.Step, Alteration: alteration(d, f.Scale()) + int8(semitones), Explicit: true}}
			word = fmt.Sprintf("not clean; wrong %d", k)
		case KindMissing:
			items[k].Degrees = nil
			word = fmt.Sprintf("not clean; missing %d", k)
		case KindExtra:
			if items[k].Length < figure.Eighth {
				k = rapid.IntRange(0, len(items)-1).Draw(t, "note")
				continue
			}
			d := items[k].Degrees[0]
			half := items[k].Length / 2
			items[k].Length -= half
			other := figure.Degree{Step: d.Step, Alteration: alteration(d, f.Scale()) - 1, Explicit: true}
			if k+1 < len(items) && len(items[k+1].Degrees) > 0 {
				a, _ := other.Above(f.Scale())
				b, _ := items[k+1].Degrees[0].Above(f.Scale())
				if (a-b).Semitones()%12 == 0 {
					other.Alteration--
				}
			}
			extra := figure.Item{Length: half, Degrees: []figure.Degree{other}}
			items = slices.Insert(items, k+1, extra)
			if k < before {
				before++
			}
			word = fmt.Sprintf("not clean; extra %d", k)
		case KindLate:
			if items[k].Length < figure.Eighth || k == before {
				k = rapid.IntRange(0, len(items)-1).Draw(t, "note")
				continue
			}
			items[k].Length -= figure.Sixteenth
			if k == 0 {
				return spoil(t, o)
			}
			items[k-1].Length += figure.Sixteenth
			word = fmt.Sprintf("not clean; late %d", k)
		case KindKey:
			up := rapid.IntRange(1, 11).Draw(t, "semitones")
			keys := make([]pitch.Class, len(o.keys))
			for n, c := range o.keys {
				keys[n] = c.T(up)
			}
			o.keys = keys
			if up > 6 {
				up -= 12
			}
			return o, fmt.Sprintf("not clean; key -1 %+d", up)
		}
	}
	g, err := figure.New(f.Scale(), f.Unit(), before, items...)
	if err != nil {
		return spoil(t, o)
	}
	o.figure = g.Plain()
	return o, word
}

// alteration returns what a degree adds to the major scale.
func alteration(d figure.Degree, s figure.Scale) int8 {
	a, _ := d.Above(s)
	b, _ := figure.Degree{Step: d.Step, Explicit: true}.Above(s)
	return int8(a.Semitones() - b.Semitones())
}

// periods returns how many periods the shortest note that is due has at least.
func periods(l *playback.Line) float64 {
	least := math.Inf(1)
	for c := newCursor(l, l.Parts()[0]); ; {
		a := c.next()
		if a == nil {
			return least
		}
		for n := range a.notes[:len(a.notes)-1] {
			long := a.notes[n+1].from - a.notes[n].from
			least = min(least, long.Seconds()*440*math.Exp2(float64(a.notes[n].key-69)/12))
		}
	}
}

// TestLawOneFaultIsNamed: one thing that is wrong is found, and named by its note
// and its kind. A contrabassoon's sixteenth at 160 has five periods, which is too
// few to tell what it is.
func TestLawOneFaultIsNamed(t *testing.T) {
	few(t, 12, func(t *rapid.T) {
		var o, wrong order
		var played *playback.Line
		word := ""
		for ok := false; !ok; { // until it is not too wide
			o, _ = mustLine(t, 2)
			o.swing = 1
			wrong, word = spoil(t, o)
			if played, ok = wrong.line(playback.ModeModel); ok {
				ok = periods(played) >= 6
			}
		}
		l, _ := o.line(playback.ModeModel)
		says := heard(t, l, sound(t, played, 44100), 44100, Options{}, blocks)
		for n, w := range words(says) {
			if len(w) < len(word) || w[:len(word)] != word || len(says[n].Faults) != 1 {
				t.Fatalf("%v played as %v: statement %d is %q, want %q", o, wrong, n+1, w, word)
			}
		}
	})
}

// A spoilt take is one that has statements with faults and others.
func spoiltTake(t *rapid.T) (order, *playback.Line, *playback.Line) {
	for {
		o, _ := mustLine(t, 3)
		o.swing = 1
		l, _ := o.line(playback.ModeModel)
		wrong, _ := spoil(t, o)
		if rapid.Bool().Draw(t, "clean") {
			wrong = o
		}
		if played, ok := wrong.line(playback.ModeModel); ok {
			return wrong, l, played
		}
	}
}

func compare(t *rapid.T, o order, what string, got, want []Say) {
	t.Helper()
	if g, w := words(got), words(want); !slices.Equal(g, w) {
		t.Fatalf("%v: %s %q\nbefore %q", o, what, g, w)
	}
}

// TestLawCutsDoNotMatter: the says do not depend on how the samples are cut into
// writes, in nothing at all, nor on what follows.
func TestLawCutsDoNotMatter(t *testing.T) {
	few(t, 5, func(t *rapid.T) {
		o, l, played := spoiltTake(t)
		x := sound(t, played, 44100)
		want := heard(t, l, x, 44100, Options{}, blocks)
		r := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		most := rapid.SampledFrom([]int{2, 700, 100000}).Draw(t, "most")
		got := heard(t, l, x, 44100, Options{}, func() int { return 1 + r.IntN(most) })
		if fmt.Sprint(got) != fmt.Sprint(want) {
			t.Fatalf("%v: in writes of up to %d samples it is %v, else %v", o, most, got, want)
		}
		// All that follows the second statement's 300 ms is noise.
		turn, _ := l.Turn(want[1].Turn)
		st, _ := l.Statement(turn, l.Parts()[0])
		end := l.At(turn.Begin + playback.TimeOf(st.End()-st.Begin()))
		for n := int((end + patience + 10*time.Millisecond).Seconds() * 44100); n < len(x); n++ {
			x[n] = float32(r.NormFloat64() / 4)
		}
		got = heard(t, l, x, 44100, Options{}, blocks)
		if fmt.Sprint(got[:2]) != fmt.Sprint(want[:2]) {
			t.Fatalf("%v: followed by noise it is %v, else %v", o, got[:2], want[:2])
		}
	})
}

// TestLawRateAndLevel: the says are the same at 44.1, 48 and 16 kHz and at any
// level from −40 to 0 dB.
func TestLawRateAndLevel(t *testing.T) {
	few(t, 3, func(t *rapid.T) {
		o, l, played := spoiltTake(t)
		x := sound(t, played, 48000)
		want := heard(t, l, x, 48000, Options{}, blocks)
		compare(t, o, "at 44.1 kHz", heard(t, l, sound(t, played, 44100), 44100, Options{}, blocks), want)
		down := newDecimator(3)
		var y []float32
		for _, v := range x {
			if w, ok := down.next(v); ok {
				y = append(y, w)
			}
		}
		compare(t, o, "at 16 kHz", heard(t, l, y, 16000, Options{}, blocks), want)
		gain := float32(math.Pow(10, rapid.Float64Range(-40, 0).Draw(t, "decibels")/20))
		for n := range x {
			x[n] *= gain
		}
		compare(t, o, fmt.Sprintf("%.3f times as loud", gain), heard(t, l, x, 48000, Options{}, blocks), want)
	})
}

// told returns the notes of a sound, as they were told last.
func told(t rapid.TB, low, high pitch.Number, sound []float32) (notes []Note) {
	e, err := NewEar(44100, low, high, func(n Note) {
		if k := len(notes) - 1; k >= 0 && notes[k].On == n.On {
			notes[k] = n
			return
		}
		notes = append(notes, n)
	})
	if err != nil {
		t.Fatal(err)
	}
	e.Write(sound)
	e.Close()
	return notes
}

// TestLawShifts: where a take begins up to two bars sooner or later the offset is
// found, and the says are the same.
func TestLawShifts(t *testing.T) {
	few(t, 3, func(t *rapid.T) {
		var o order
		var l *playback.Line
		var x []float32
		says := func(x []float32) ([]Say, bool) {
			low, high := ears(l.Parts()[0].Instrument())
			offset, ok := Offset(l, l.Parts()[0], told(t, low, high, x))
			return heard(t, l, x, 44100, Options{Offset: offset}, blocks), ok
		}
		var want []Say
		for ok := false; !ok; want, ok = says(x) { // until not too much of it is wrong
			var played *playback.Line
			o, l, played = spoiltTake(t)
			x = sound(t, played, 44100)
		}
		bars := rapid.Float64Range(-0.9, 2).Draw(t, "bars") // the count-in is one
		shift := int(bars * 4 * 60 / float64(o.tempo) * 44100)
		y := append(make([]float32, max(0, shift)), x[max(0, -shift):]...)
		got, ok := says(y)
		if !ok {
			t.Fatalf("%v: %.2f bars later its beginning is not found", o, bars)
		}
		compare(t, o, fmt.Sprintf("%.2f bars later", bars), got, want)
	})
}

// TestLawKeysAndSoundAgree: the notes of a MIDI file and their sound get the same
// verdicts and faults.
func TestLawKeysAndSoundAgree(t *testing.T) {
	few(t, 5, func(t *rapid.T) {
		o, l, played := spoiltTake(t)
		want := heard(t, l, sound(t, played, 44100), 44100, Options{}, blocks)
		compare(t, o, "from keys", pressed(t, l, played, Options{Keys: true}), want)
	})
}

// pressed returns the says on the notes of another line.
func pressed(t rapid.TB, l, played *playback.Line, o Options) []Say {
	j, err := NewJudge(l, l.Parts()[0], o)
	if err != nil {
		t.Fatal(err)
	}
	for turn := range played.Turns(0) {
		for n := range played.Notes(turn) {
			if !n.IsCue() {
				j.Hear(NoteOf(n.Key, 90, played.At(n.On)+o.Offset, played.At(n.Off)+o.Offset))
			}
		}
	}
	return slices.Collect(j.Says(l.Duration() + o.Offset + time.Minute))
}

// TestLawKeysAreMeasured: the pitch of the keys at both ends of every range is
// within 4 cents of what sounds, at any rate that has them, with partials or
// without.
func TestLawKeysAreMeasured(t *testing.T) {
	type span [2]pitch.Number
	var spans []span
	for i := range drill.Instruments(drill.LevelFull) {
		low, high := ears(i)
		if s := (span{low, high}); !slices.Contains(spans, s) {
			spans = append(spans, s)
		}
	}
	for n, s := range spans {
		if raced && n%6 != 0 {
			continue
		}
		for k, key := range []pitch.Number{s[0], s[1] - 7, s[1] - 3, s[1]} {
			rate := []int{16000, 44100, 48000}[(n+k)%3]
			for _, strength := range []float64{0, 1} {
				if got := measured(t, s[0], s[1], key, rate, strength); math.Abs(got-100*float64(key)) > 4 {
					t.Errorf("an ear for %d to %d hears key %d with partials of %v at %d samples a second as %.1f cents", s[0], s[1], key, strength, rate, got)
				}
			}
		}
	}
}

// measured returns the pitch that a Tracker gives a steady tone, as the median. Its
// partials go up to two fifths of the rate.
func measured(t *testing.T, low, high, key pitch.Number, rate int, strength float64) float64 {
	var cents []float64
	tracker, err := NewTracker(rate, low, high, func(f Frame) {
		if f.At > 60*time.Millisecond && f.Cents != 0 {
			cents = append(cents, f.Cents)
		}
	})
	if err != nil {
		t.Fatal(err)
	}
	x := make([]float32, rate/4)
	for partial := 1.0; partial <= 8 && partial*key.Hertz(pitch.A440) < 0.4*float64(rate); partial++ {
		step := 2 * math.Pi * partial * key.Hertz(pitch.A440) / float64(rate)
		for n := range x {
			loud := 0.2
			if partial > 1 {
				loud *= strength / partial
			}
			x[n] += float32(loud * math.Sin(step*float64(n)))
		}
	}
	tracker.Write(x)
	if len(cents) == 0 {
		return 0
	}
	return median(cents)
}
