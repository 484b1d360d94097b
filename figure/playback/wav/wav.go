// Package wav makes a line of drills heard: it writes it as a sound file, 16
// bits, one channel, PCM in a WAVE file, which every player and browser takes.
// [Read] reads such files of any rate, width and number of channels, block by
// block.
//
// The tone is plain and plucked. Its partials are whole multiples of the pitch
// and stay under half the sample rate; the fundamental is the strongest and the
// others die away sooner. The click is short, high and between the keys, so
// that it is not taken for a note; an accent is higher and louder. Bass, chords
// and drone of the accompaniment have timbres of their own and are softer, by the
// level of the band. All of it is computed, in equal temperament at the A4 that
// one tunes to, and as loud as can be without clipping where the most notes sound
// together.
//
// Loud sound harms hearing for good. Keep playback quiet: NIOSH recommends at
// most 85 dBA over 8 hours, and half that time for every 3 dB more. If ears
// ring or sounds seem dull afterwards, rest them and ask a professional.
package wav

import (
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"slices"

	"example.com/keyorder/figure/accompaniment"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
)

// The range of A4 in hertz.
const (
	MinA4 = 300.0
	MaxA4 = 600.0
)

// Options say how a line is rendered. The zero value is 44100 samples a second
// at pitch.A440.
type Options struct {
	Rate int     // samples a second, 44100 or 48000; 0 means 44100
	A4   float64 // the frequency of A above middle C in hertz, MinA4 to MaxA4; 0 means pitch.A440
	// Progress, if not nil, is called some ten times for each second of sound
	// with the bytes that are written and those that there will be.
	Progress func(done, total int64)
}

const (
	headerSize = 44                                // bytes
	maxSamples = (math.MaxUint32 - headerSize) / 2 // as many as the format can say
)

// check fills in the defaults and returns the number of samples of the line.
func (o *Options) check(l *playback.Line) (samples int64, err error) {
	if o.Rate == 0 {
		o.Rate = 44100
	}
	if o.A4 == 0 {
		o.A4 = pitch.A440
	}
	switch {
	case o.Rate != 44100 && o.Rate != 48000:
		return 0, &fault.ValueError{Setting: "sound", Value: fmt.Sprintf("%d samples a second", o.Rate), Want: "the sample rate is 44100 or 48000"}
	case !(o.A4 >= MinA4 && o.A4 <= MaxA4):
		return 0, &fault.ValueError{Setting: "A4", Value: fmt.Sprintf("%v Hz", o.A4), Want: fmt.Sprintf("A4 goes from %v to %v Hz", MinA4, MaxA4)}
	case l.Duration().Seconds()*float64(o.Rate) > maxSamples:
		return 0, &fault.ValueError{Setting: "line", Value: l.Duration().String(), Want: "a WAVE file has less than 4 GiB, some 12 hours; write fewer drills"}
	}
	return o.sample(l, l.Length()), nil
}

// sample returns the sample that is nearest to a time.
func (o *Options) sample(l *playback.Line, t playback.Time) int64 {
	return (int64(l.At(t))*int64(o.Rate) + 5e8) / 1e9
}

// Size returns the number of bytes of the file that Write writes. The error is
// a *fault.ValueError where Write would refuse.
func Size(l *playback.Line, o Options) (int64, error) {
	samples, err := o.check(l)
	if err != nil {
		return 0, err
	}
	return headerSize + 2*samples, nil
}

// Write renders a line as a WAVE file. Every onset is on the sample that is
// nearest to its time. The error is that of w, or a *fault.ValueError where an option is
// refused or the file would have 4 GiB or more.
func Write(w io.Writer, l *playback.Line, o Options) error {
	samples, err := o.check(l)
	if err != nil {
		return err
	}
	r := &renderer{o: o, w: w, size: headerSize + 2*samples, band: l.Options().Loudness()}
	r.writeHeader(samples)
	r.scale = float32(29000 / (r.most(l) + clickLevel)) // of 32767
	strong, weak := r.newClick(102, clickLevel), r.newClick(97, weakLevel)
	for e := range l.Events(0) {
		at := o.sample(l, e.Time)
		switch e.Kind {
		case playback.KindClick:
			r.until(at)
			if r.click = weak; e.Click.Accent {
				r.click = strong
			}
		case playback.KindNoteOn:
			r.until(at)
			r.voices = append(r.voices, r.newVoice(&e.Note, o.sample(l, e.Note.Off)-at))
		}
		if r.err != nil {
			return r.err
		}
	}
	r.until(samples)
	r.flush()
	return r.err
}

const blockSize = 4096 // samples

// A renderer adds up what sounds, block by block.
type renderer struct {
	o      Options
	w      io.Writer
	err    error
	size   int64   // of the file
	done   int64   // bytes that are written
	now    int64   // the sample that comes next
	scale  float32 // from what is added up to 16 bits
	voices []voice
	click  []float32 // what is left of a click
	band   float64   // how loud it is
	tables [accompaniment.LayerDrone + 1][maxPartials + 1]*table
	n      int // samples in the block
	block  [blockSize]float32
	bytes  [2 * blockSize]byte
}

func (r *renderer) writeHeader(samples int64) {
	le := binary.LittleEndian
	b := append(r.bytes[:0], "RIFF"...)
	b = le.AppendUint32(b, uint32(headerSize-8+2*samples))
	b = append(b, "WAVEfmt "...)
	b = le.AppendUint32(b, 16)
	b = le.AppendUint16(b, 1) // PCM
	b = le.AppendUint16(b, 1) // channel
	b = le.AppendUint32(b, uint32(r.o.Rate))
	b = le.AppendUint32(b, uint32(2*r.o.Rate)) // bytes a second
	b = le.AppendUint16(b, 2)                  // bytes a sample
	b = le.AppendUint16(b, 16)                 // bits a sample
	b = append(b, "data"...)
	r.write(le.AppendUint32(b, uint32(2*samples)))
}

func (r *renderer) write(b []byte) {
	if r.err != nil {
		return
	}
	if _, r.err = r.w.Write(b); r.err != nil {
		return
	}
	r.done += int64(len(b))
	if r.o.Progress != nil {
		r.o.Progress(r.done, r.size)
	}
}

// most returns how loud the notes are together where they are loudest.
func (r *renderer) most(l *playback.Line) float64 {
	now, most := 0.0, 0.0
	for e := range l.Events(0) {
		switch e.Kind {
		case playback.KindNoteOn:
			now += r.loudness(&e.Note)
			most = max(most, now)
		case playback.KindNoteOff:
			now -= r.loudness(&e.Note)
		}
	}
	return most
}

// until renders up to a sample.
func (r *renderer) until(sample int64) {
	for r.now < sample && r.err == nil {
		n := int(min(sample-r.now, int64(blockSize-r.n)))
		to := r.block[r.n : r.n+n]
		r.voices = slices.DeleteFunc(r.voices, func(v voice) bool { return v.left == 0 })
		for k := range r.voices {
			r.voices[k].add(to)
		}
		c := min(n, len(r.click))
		for k, x := range r.click[:c] {
			to[k] += x
		}
		r.click = r.click[c:]
		r.now += int64(n)
		if r.n += n; r.n == blockSize {
			r.flush()
		}
	}
}

// flush writes the block and clears it.
func (r *renderer) flush() {
	for k, x := range r.block[:r.n] {
		v := int(x*r.scale+32768.5) - 32768
		r.bytes[2*k], r.bytes[2*k+1] = byte(v), byte(v>>8)
	}
	r.write(r.bytes[:2*r.n])
	clear(r.block[:r.n])
	r.n = 0
}
