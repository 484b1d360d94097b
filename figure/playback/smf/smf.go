// Package smf writes a line of drills as a Standard MIDI File, which any
// sequencer, notation program or keyboard plays, and reads such files.
//
// The file has format 1: a first track with tempo, meter and markers, one for
// each part with the General MIDI sound of its instrument, one each for bass,
// chords and drone where the line has them, on channels of their own and softer by
// the level of the band, and one for the click on the percussion channel, with the
// high wood block on the accents and the low one on the other beats. A quarter note is 960 ticks, as it is on the
// line.
//
// A track begins with its length, so that a long one is worked out twice, once
// to count its bytes and once to write them; no more of it is held than a
// fixed buffer has room for.
//
// [Read] takes what any program wrote and gives notes with their ticks; what it
// does not read it says. [File.Events] makes written music of some bars.
//
// Source of the format: Standard MIDI File 1.0 and General MIDI Level 1, as
// cited in testdata/midi.tsv.
package smf

import (
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"math/bits"
	"strconv"
	"strings"
	"unicode/utf8"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/accompaniment"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
)

const (
	percussion   = 9  // channel 10, counted from 0
	highBlock    = 76 // General MIDI percussion: hi wood block
	lowBlock     = 77 // low wood block
	noteVelocity = 80
	accent       = 112
	plain        = 80
	clickLength  = playback.Quarter / 16
	maxDelta     = 1<<28 - 1 // the longest time between two events
	maxText      = 1024      // bytes of a title or a name
	bufferSize   = 24 << 10  // bytes
)

// Write writes a line as a Standard MIDI File. Its name is the title of the
// first drill; a marker stands where a drill, a section and a statement begins, and
// with each statement whose scale has one the key signature of what sounds; titles and names longer than 1024 bytes are cut. The error is
// that of w, or a *fault.ValueError where a tempo is slower or a track is longer than the
// format can say, or parts and band need more channels than it has.
func Write(w io.Writer, l *playback.Line) error {
	layers := layersOf(l)
	if n := len(l.Parts()); n+len(layers) > drill.MaxParts {
		return &fault.ValueError{Setting: "parts", Value: strconv.Itoa(n), Want: fmt.Sprintf("MIDI has channels for %d parts beside this accompaniment", drill.MaxParts-len(layers))}
	}
	e := &encoder{out: w}
	e.track(l, writeStarts, 'M', 'T', 'h', 'd', 0, 0, 0, 6, 0, 1, 0, byte(len(l.Parts())+len(layers)+2), byte(playback.Quarter>>8), byte(playback.Quarter&0xFF))
	for _, p := range l.Parts() {
		e.track(l, func(e *encoder, l *playback.Line) { writePart(e, l, p) })
	}
	for n, layer := range layers {
		channel := channelOf(len(l.Parts()) + n)
		e.track(l, func(e *encoder, l *playback.Line) { writeLayer(e, l, layer, channel) })
	}
	e.track(l, writeClicks)
	return e.err
}

// layersOf returns the layers of the accompaniment that a line has.
func layersOf(l *playback.Line) (layers []accompaniment.Layer) {
	o := l.Options()
	if o.Bass != accompaniment.BassNone {
		layers = append(layers, accompaniment.LayerBass)
	}
	if o.Chords != accompaniment.CompingNone {
		layers = append(layers, accompaniment.LayerChords)
	}
	if o.Drone {
		layers = append(layers, accompaniment.LayerDrone)
	}
	return layers
}

// channelOf returns a channel, from 0, that is not the percussion's.
func channelOf(n int) byte {
	if n >= percussion {
		n++
	}
	return byte(n)
}

const maxTempo = 1<<24 - 1 // microseconds a quarter note

// tempo returns the microseconds of a quarter note, rounded.
func tempo(m drill.Meter, beats int) int64 {
	perMinute := int64(beats) * int64(m.Counted())
	return (60e6*int64(figure.Quarter) + perMinute/2) / perMinute
}

func writeStarts(e *encoder, l *playback.Line) {
	drills := l.Drills()
	if len(drills) == 0 {
		return
	}
	e.text(0, trackName, ascii(drills[0].Settings().Title))
	lead := l.Parts()[0]
	type tempo struct {
		at    playback.Time
		beats int
	}
	var tempos []tempo
	for at, beats := range l.Tempos() {
		tempos = append(tempos, tempo{at, beats})
	}
	n, section, statement := -1, -1, -1
	var scale figure.Scale
	var home, before spelling.Key // that of the scale on C, and the last signature, if one was written
	signs, written := false, false
	for t := range l.Turns(0) {
		if e.err != nil {
			return
		}
		for ; len(tempos) > 0 && tempos[0].at < t.Begin; tempos = tempos[1:] {
			e.tempo(tempos[0].at, drills[n].Settings(), tempos[0].beats)
		}
		if t.Drill != n {
			n, section, statement = t.Drill, -1, -1
			s := drills[n].Settings()
			if t.Begin == 0 || scale != s.Figure.Scale() {
				scale = s.Figure.Scale()
				home, signs = scale.Key(0), signed(scale)
			}
			e.begins(t.Begin, s, tempos[0].beats)
			tempos = tempos[1:]
		}
		if t.Statement == statement {
			continue
		}
		statement = t.Statement
		st, _ := l.Statement(t, lead)
		e.starts(t.Begin, st.Section, st.Written.Name(), st.Section != section, st.Return)
		section = st.Section
		key := spelling.Key{Tonic: st.Sounding.Name(), Signature: home.Signature + int8(st.Sounding.Name())}
		if signs && key.Signature >= -7 && key.Signature <= 7 && (!written || key.Signature != before.Signature || key.IsMinor() != before.IsMinor()) {
			e.key(t.Begin, key)
			before, written = key, true
		}
	}
	for _, c := range tempos { // in the last turn
		e.tempo(c.at, drills[n].Settings(), c.beats)
	}
}

// tempo puts so many beats a minute, as the meter of the drill counts them.
func (e *encoder) tempo(at playback.Time, s drill.Settings, beats int) {
	us := tempo(s.Meter, beats)
	if us > maxTempo {
		e.err = &fault.ValueError{Setting: "tempo", Value: fmt.Sprintf("%d in %v", beats, s.Meter), Want: "a MIDI file has at least 3.6 quarter notes a minute"}
		return
	}
	e.event(at, 0xFF, 0x51, 3, byte(us>>16), byte(us>>8), byte(us))
}

// begins puts the tempo, the meter and the title of a drill.
func (e *encoder) begins(at playback.Time, s drill.Settings, beats int) {
	e.tempo(at, s, beats)
	m := s.Meter
	clocks := 24 * m.Beat(0) / figure.Quarter // of the first beat
	e.event(at, 0xFF, 0x58, 4, byte(m.Number()), byte(bits.TrailingZeros(uint(m.Unit()))), byte(clocks), 8)
	e.text(at, marker, ascii(s.Title))
}

// starts puts a marker where a statement begins, the first of its section or not:
// its key, as the first part reads it.
func (e *encoder) starts(at playback.Time, section int, key spelling.Name, first, back bool) {
	b := e.words[:0]
	if first {
		b = append(strconv.AppendInt(append(b, "section "...), int64(section+1), 10), ", "...)
	}
	if back {
		b = append(b, "back to "...)
	}
	b, _ = key.AppendText(b)
	e.text(at, marker, b)
}

// signed reports whether a scale has a signature that the format can say: the major
// and the minor scales. That of another mode would be taken for another tonic.
func signed(scale figure.Scale) bool {
	if scale == figure.HarmonicMinor || scale == figure.MelodicMinor {
		return true
	}
	key, n := scale.Key(0), 0
	for i := range scale.Set().Intervals() {
		if note := key.Tonic.Up(i); note.Alteration() != key.Alteration(note.Letter()) {
			return false
		}
		n++
	}
	return n == 7 && (key.IsMajor() || key.IsMinor())
}

// key puts a key signature.
func (e *encoder) key(at playback.Time, k spelling.Key) {
	minor := byte(0)
	if k.IsMinor() {
		minor = 1
	}
	e.event(at, 0xFF, 0x59, 2, byte(k.Signature), minor)
}

func writePart(e *encoder, l *playback.Line, part drill.Part) {
	channel := channelOf(part.Index())
	i := part.Instrument()
	e.text(0, trackName, ascii(i.Name))
	e.event(0, 0xC0|channel, max(i.Program, 1)-1)
	// Notes of one part end in the order in which they begin, and no more
	// sound at once than there are keys: they wait for their end in a ring.
	var sounding [128]struct {
		end playback.Time
		key byte
	}
	var first, next uint8
	var notes []playback.Note
	for t := range l.Turns(0) {
		if e.err != nil {
			return
		}
		notes = l.AppendNotes(notes[:0], t, part)
		for k := range notes {
			n := &notes[k]
			for ; first != next && sounding[first&127].end <= n.On; first++ {
				e.message(sounding[first&127].end, 0x80|channel, sounding[first&127].key, 0)
			}
			velocity := byte(noteVelocity)
			if n.Marks.Has(drill.MarkAccent) {
				velocity = accent
			}
			e.message(n.On, 0x90|channel, byte(n.Key), velocity)
			sounding[next&127].end, sounding[next&127].key = n.Off, byte(n.Key)
			next++
		}
	}
	for ; first != next; first++ {
		e.message(sounding[first&127].end, 0x80|channel, sounding[first&127].key, 0)
	}
}

// The General MIDI sounds of the accompaniment, from 1: acoustic bass, electric
// piano 1, choir aahs.
const bassProgram, chordsProgram, droneProgram = 33, 5, 53

func writeLayer(e *encoder, l *playback.Line, layer accompaniment.Layer, channel byte) {
	program := map[accompaniment.Layer]byte{
		accompaniment.LayerBass: bassProgram, accompaniment.LayerChords: chordsProgram, accompaniment.LayerDrone: droneProgram,
	}[layer]
	e.text(0, trackName, []byte(layer.String()))
	e.event(0, 0xC0|channel, program-1)
	velocity := byte(max(1, math.Round(noteVelocity*l.Options().Loudness())))
	var notes []playback.Note
	for t := range l.Turns(0) {
		if e.err != nil {
			return
		}
		// Notes of a layer end in the order in which they begin.
		notes = l.AppendBand(notes[:0], t, layer)
		ended := 0
		for _, n := range notes {
			for ; notes[ended].Off <= n.On; ended++ {
				e.message(notes[ended].Off, 0x80|channel, byte(notes[ended].Key), 0)
			}
			e.message(n.On, 0x90|channel, byte(n.Key), velocity)
		}
		for _, n := range notes[ended:] {
			e.message(n.Off, 0x80|channel, byte(n.Key), 0)
		}
	}
}

func writeClicks(e *encoder, l *playback.Line) {
	e.text(0, trackName, []byte("click"))
	var clicks []playback.Click
	put := func(t playback.Turn) {
		clicks = l.AppendClicks(clicks[:0], t)
		for _, c := range clicks {
			key, velocity := byte(lowBlock), byte(plain)
			if c.Accent {
				key, velocity = highBlock, accent
			}
			e.message(c.Time, 0x90|percussion, key, velocity)
			e.message(c.Time+clickLength, 0x80|percussion, key, 0)
		}
	}
	var run playback.Turn // the turns of a statement as one
	for t := range l.Turns(0) {
		if e.err != nil {
			return
		}
		if t.Statement != run.Statement || t.Drill != run.Drill {
			put(run)
			run = t
		}
		run.End = t.End
	}
	put(run)
}

// An encoder puts the events of a track into bytes.
type encoder struct {
	out   io.Writer // nil while bytes are counted
	err   error
	gone  int64         // bytes of the track that have left the buffer
	last  playback.Time // of the event before
	n     int           // bytes in the buffer
	buf   [bufferSize]byte
	words [64]byte // of a marker
}

// track writes a track, with what comes before it.
func (e *encoder) track(l *playback.Line, write func(*encoder, *playback.Line), before ...byte) {
	if e.err != nil {
		return
	}
	out := e.out
	e.out = nil
	e.whole(l, write)
	e.out = out
	if e.err == nil {
		before, e.err = appendTrackHeader(before, e.gone+int64(e.n))
	}
	if e.err == nil {
		_, e.err = out.Write(before)
	}
	if e.err != nil {
		return
	}
	if e.gone > 0 { // the buffer has the end of the track only
		e.whole(l, write)
	}
	e.flush()
}

// whole encodes a track from its first event to its last.
func (e *encoder) whole(l *playback.Line, write func(*encoder, *playback.Line)) {
	e.n, e.gone, e.last = 0, 0, 0
	write(e, l)
	e.event(l.Length(), 0xFF, 0x2F, 0)
}

func appendTrackHeader(b []byte, length int64) ([]byte, error) {
	if length > math.MaxUint32 {
		return b, &fault.ValueError{Setting: "track", Value: fmt.Sprintf("%d bytes", length), Want: "a track of a MIDI file has less than 4 GiB; write fewer drills"}
	}
	return binary.BigEndian.AppendUint32(append(b, "MTrk"...), uint32(length)), nil
}

// flush empties the buffer.
func (e *encoder) flush() {
	if e.out != nil && e.err == nil {
		_, e.err = e.out.Write(e.buf[:e.n])
	}
	e.gone += int64(e.n)
	e.n = 0
}

// bytes puts bytes into the buffer, which has room for them.
func (e *encoder) bytes(data ...byte) { e.n += copy(e.buf[e.n:], data) }

// begin makes room for an event of a size and puts its time before it.
func (e *encoder) begin(at playback.Time, size int) {
	for at-e.last > maxDelta {
		// An empty text now and then divides what is too long for one step.
		e.last += maxDelta
		e.room(7)
		e.bytes(0xFF, 0xFF, 0xFF, 0x7F, 0xFF, 1, 0)
	}
	e.room(4 + size)
	e.variable(uint32(at - e.last))
	e.last = at
}

func (e *encoder) room(n int) {
	if e.n+n > len(e.buf) {
		e.flush()
	}
}

// variable puts a number of up to 28 bits as a variable-length quantity: seven
// bits a byte, highest first, bit 7 set on all but the last.
func (e *encoder) variable(n uint32) {
	for shift := 21; n>>7 != 0 && shift > 0; shift -= 7 {
		if n>>shift != 0 {
			e.buf[e.n] = byte(n>>shift) | 0x80
			e.n++
		}
	}
	e.buf[e.n] = byte(n & 0x7F)
	e.n++
}

// message puts a channel message of two data bytes. Nearly every event is one
// and comes soon after the one before, for which there is a short way.
func (e *encoder) message(at playback.Time, status, key, velocity byte) {
	d, n := at-e.last, e.n
	if d >= 1<<14 || n > bufferSize-5 {
		e.event(at, status, key, velocity)
		return
	}
	e.last = at
	b := (*[5]byte)(e.buf[n:])
	if d < 1<<7 {
		b[0], b[1], b[2], b[3] = byte(d), status, key, velocity
		e.n = n + 4
	} else {
		b[0], b[1], b[2], b[3], b[4] = byte(d>>7)|0x80, byte(d)&0x7F, status, key, velocity
		e.n = n + 5
	}
}

func (e *encoder) event(at playback.Time, data ...byte) {
	e.begin(at, len(data))
	e.bytes(data...)
}

// Meta events with text.
const (
	trackName = 3
	marker    = 6
)

// text puts a meta event with a text, if there is one.
func (e *encoder) text(at playback.Time, kind byte, text []byte) {
	if len(text) == 0 {
		return
	}
	e.begin(at, 6+len(text))
	e.bytes(0xFF, kind)
	e.variable(uint32(len(text)))
	e.bytes(text...)
}

// ascii returns a title or a name cut to maxText bytes, with the signs for
// flats and sharps in ASCII, which the format advises. Other letters stay.
func ascii(text string) []byte {
	if len(text) > maxText {
		text = text[:maxText]
		for n := 1; n < utf8.UTFMax && !utf8.ValidString(text); n++ {
			text = text[:len(text)-1]
		}
	}
	return []byte(strings.ReplaceAll(strings.ReplaceAll(text, "♭", "b"), "♯", "#"))
}
