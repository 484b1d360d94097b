package smf

import (
	"bufio"
	"cmp"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"math/bits"
	"slices"
	"sort"
	"strings"
	"time"
	"unicode/utf8"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/internal/bars"
	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
)

// A File is a Standard MIDI File as it was read. Its times are ticks from the
// beginning, Quarter to a quarter note; [File.At] says when they come.
type File struct {
	// Format is 0 for one track, 1 for tracks that sound together, 2 for tracks
	// that are pieces of their own; of those only the first one's tempo, meter, key
	// and markers are here.
	Format int
	// Quarter is the number of ticks of a quarter note, or 0 where the file counts
	// in seconds (time code) and has no beats.
	Quarter int64
	Tracks  []Track
	Tempos  []Tempo  // in the order of their times, as all that follow
	Meters  []Meter  // there is none where the file says none: 4/4 is meant
	Keys    []Key    // often there is none
	Markers []Marker // texts at a time
	// Remarks says in sentences for the player what was skipped or mended.
	Remarks []string

	perSecond, seconds int64 // ticks in so many seconds, where there are no beats
}

// A Track is a track of a file.
type Track struct {
	Name  string // empty if it has none; in the first track it is that of the piece
	Notes []Note // in the order of their beginnings
	End   int64  // of the track
	// Programs has for each channel, from channel 1, its first General MIDI sound,
	// 1 to 128, or 0 if the track chooses none.
	Programs [16]uint8
}

// A Note is a note of a track.
type Note struct {
	On, Off  int64 // Off is not before On
	Channel  uint8 // 1 to 16; 10 is percussion, where a key is a drum
	Velocity uint8 // 1 to 127
	Key      pitch.Number
}

// Percussion is the channel whose keys are drums and no pitches.
const Percussion = percussion + 1

// A Tempo is the tempo from a time on.
type Tempo struct {
	At         int64
	When       time.Duration // after the beginning of the file
	PerQuarter time.Duration // of a quarter note
}

// A Meter is the meter from a time on.
type Meter struct {
	At           int64
	Number, Unit int // 6 and 8 for 6/8
}

// A Key is the key signature from a time on.
type Key struct {
	At  int64
	Key spelling.Key
}

// A Marker is a text at a time.
type Marker struct {
	At   int64
	Text string
}

// What is read of a file, at most.
const (
	MaxNotes  = 1 << 20
	maxBytes  = 64 << 20
	maxMarks  = 1 << 14 // markers, and as many changes of each kind
	maxTracks = 1<<16 - 1
	maxTicks  = 1<<40 - 1 // of a track
)

func unreadable(input, want string) error {
	return &fault.SyntaxError{What: "MIDI file", Input: input, Want: want}
}

// Read reads a Standard MIDI File of any format, as this package or another
// program writes it. What is no note, tempo, meter, key, marker, name or program
// is skipped; a file that is cut short is read as far as it goes; what never ends
// ends with its track. All of that is said in [File.Remarks].
//
// The error is that of r, or a *fault.SyntaxError where it is no such file, where
// a track is broken, or where the file has more than 64 MiB, MaxNotes notes or
// 16384 markers. What is held grows with the notes that were read, never with what
// the file promises.
func Read(r io.Reader) (*File, error) { return readUpTo(r, maxBytes) }

// readUpTo reads a file of so many bytes.
func readUpTo(r io.Reader, most int64) (*File, error) {
	d := &decoder{r: bufio.NewReader(r), f: &File{}, most: most}
	err := d.file()
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		d.remark("the file is cut short: track %d ends in the middle", len(d.f.Tracks))
		err = nil
	}
	if err != nil {
		return nil, err
	}
	f := d.f
	slices.SortStableFunc(f.Tempos, func(a, b Tempo) int { return cmp.Compare(a.At, b.At) })
	for n := range f.Tempos {
		f.Tempos[n].When = f.at(f.Tempos[:n], f.Tempos[n].At)
	}
	slices.SortStableFunc(f.Meters, func(a, b Meter) int { return cmp.Compare(a.At, b.At) })
	slices.SortStableFunc(f.Keys, func(a, b Key) int { return cmp.Compare(a.At, b.At) })
	slices.SortStableFunc(f.Markers, func(a, b Marker) int { return cmp.Compare(a.At, b.At) })
	d.tell()
	return f, nil
}

// A decoder reads a file.
type decoder struct {
	r     *bufio.Reader
	f     *File
	read  int64 // bytes of the file
	most  int64 // bytes that are read
	left  int64 // of the track
	at    int64 // ticks from the beginning
	notes int   // of all tracks

	buf      [maxText]byte
	status   byte              // that runs on
	sounding [16]*[128]waiting // notes that have begun and not ended, of the channels that have any

	// what is told in the end
	pitchBends, controllers, pressures, systems, texts, others, chunks, lonely, endless, odd int
}

// waiting are the places of notes of one key that wait for their ends, the first
// of them at the head.
type waiting struct {
	notes []int32
	head  int
}

func (d *decoder) remark(format string, values ...any) {
	d.f.Remarks = append(d.f.Remarks, fmt.Sprintf(format, values...))
}

// tell says what was skipped.
func (d *decoder) tell() {
	var words []string
	for _, c := range []struct {
		n    int
		what string
	}{
		{d.pitchBends, "pitch bends"}, {d.controllers, "controller changes, pedals among them"}, {d.pressures, "pressures"},
		{d.systems, "system messages"}, {d.texts, "texts"}, {d.others, "other marks"}, {d.chunks, "chunks that are no tracks"},
	} {
		if c.n > 0 {
			words = append(words, fmt.Sprintf("%s (%d)", c.what, c.n))
		}
	}
	if len(words) > 0 {
		d.remark("left out: %s", strings.Join(words, "; "))
	}
	if d.lonely > 0 {
		d.remark("ends of notes that never began, left out: %d", d.lonely)
	}
	if d.endless > 0 {
		d.remark("notes that never end and last to the end of their track: %d", d.endless)
	}
	if d.odd > 0 {
		d.remark("tempos, meters and keys that make no sense, left out: %d", d.odd)
	}
}

func (d *decoder) file() error {
	const what = "a Standard MIDI File begins with MThd"
	var b [14]byte
	switch n, err := io.ReadFull(d.r, b[:]); {
	case n == 0 && errors.Is(err, io.EOF):
		return unreadable("", "the file is empty; "+what)
	case n >= 4 && string(b[:4]) != "MThd", n < 4 && err != nil && errors.Is(err, io.ErrUnexpectedEOF):
		return unreadable(string(b[:min(n, 4)]), what)
	case errors.Is(err, io.ErrUnexpectedEOF):
		return unreadable("", "the file ends in its header")
	case err != nil:
		return err
	}
	length := int64(binary.BigEndian.Uint32(b[4:]))
	d.f.Format = int(binary.BigEndian.Uint16(b[8:]))
	division := binary.BigEndian.Uint16(b[12:])
	switch frames := int64(-int8(division >> 8)); {
	case length < 6 || length > maxBytes:
		return unreadable("", fmt.Sprintf("its header has %d bytes; it has 6", length))
	case d.f.Format > 2:
		return unreadable("", fmt.Sprintf("it has format %d; there are 0, 1 and 2", d.f.Format))
	case division&0x8000 == 0:
		d.f.Quarter = int64(division)
	case frames == 29: // 30 a second less one in a thousand
		d.f.perSecond, d.f.seconds = 30000*int64(division&0xFF), 1001
	default:
		d.f.perSecond, d.f.seconds = frames*int64(division&0xFF), 1
	}
	if d.f.Quarter == 0 && d.f.perSecond <= 0 {
		return unreadable("", "it has no ticks to a quarter note")
	}
	if d.f.Format == 2 {
		d.remark("each track is a piece of its own; tempo, meter and key are those of the first")
	}
	if _, err := d.r.Discard(int(length - 6)); err != nil {
		return d.noTrack(err)
	}
	d.read = int64(len(b)) + length - 6
	for {
		if _, err := io.ReadFull(d.r, b[:8]); err != nil {
			if errors.Is(err, io.ErrUnexpectedEOF) {
				d.chunks++
			}
			return d.noTrack(err)
		}
		d.left = int64(binary.BigEndian.Uint32(b[4:8]))
		if d.read += 8; d.read > d.most {
			return d.tooMuch()
		}
		track := string(b[:4]) == "MTrk"
		if track {
			if len(d.f.Tracks) == maxTracks {
				return d.tooMuch()
			}
			if err := d.track(); err != nil {
				return err
			}
		} else {
			d.chunks++
		}
		if err := d.skip(d.left); err != nil {
			if track && errors.Is(err, io.EOF) {
				return nil // what the track promises after its end
			}
			return d.noTrack(err)
		}
	}
}

// noTrack returns an error of reading between tracks; at the end of the file it
// is none if there was a track.
func (d *decoder) noTrack(err error) error {
	switch {
	case !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF):
		return err
	case len(d.f.Tracks) == 0:
		return unreadable("", "it has no track (MTrk)")
	}
	return nil
}

func (d *decoder) tooMuch() error {
	return unreadable("", fmt.Sprintf("a MIDI file is read up to %d MiB, %d notes, %d tracks and %d markers, or changes of tempo, meter or key", maxBytes>>20, MaxNotes, maxTracks, maxMarks))
}

// broken says where in its track the file makes no sense.
func (d *decoder) broken(want string) error {
	return unreadable("", fmt.Sprintf("track %d is broken at tick %d: %s", len(d.f.Tracks), d.at, want))
}

// skip passes over bytes of the track, or of another chunk.
func (d *decoder) skip(n int64) error {
	if d.read += n; d.read > d.most {
		return d.tooMuch()
	}
	d.left -= n
	_, err := d.r.Discard(int(n))
	return err
}

// byte reads a byte of the track.
func (d *decoder) byte() (byte, error) {
	if d.left == 0 {
		return 0, d.broken("it ends in the middle of an event")
	}
	if d.read == d.most {
		return 0, d.tooMuch()
	}
	d.left--
	d.read++
	return d.r.ReadByte()
}

// variable reads a variable-length quantity.
func (d *decoder) variable() (int64, error) {
	n := int64(0)
	for range 4 {
		b, err := d.byte()
		if err != nil {
			return 0, err
		}
		if n = n<<7 | int64(b&0x7F); b&0x80 == 0 {
			return n, nil
		}
	}
	return 0, d.broken("a time or a length has more than four bytes")
}

// length reads a length that fits into the track.
func (d *decoder) length() (int64, error) {
	n, err := d.variable()
	if err == nil && n > d.left {
		return 0, d.broken(fmt.Sprintf("an event of %d bytes in a track that has %d more", n, d.left))
	}
	return n, err
}

// track reads a track up to its end.
func (d *decoder) track() error {
	d.f.Tracks = append(d.f.Tracks, Track{})
	t := &d.f.Tracks[len(d.f.Tracks)-1]
	d.at, d.status = 0, 0
	err := d.events(t)
	for _, keys := range d.sounding {
		if keys == nil {
			continue
		}
		for key := range keys {
			on := &keys[key]
			for _, n := range on.notes[on.head:] {
				t.Notes[n].Off = d.at
				d.endless++
			}
			on.notes, on.head = on.notes[:0], 0
		}
	}
	t.End = d.at
	return err
}

func (d *decoder) events(t *Track) error {
	for d.left > 0 {
		delta, err := d.variable()
		if err != nil {
			return err
		}
		if d.at += delta; d.at > maxTicks {
			return d.tooMuch()
		}
		b, err := d.byte()
		if err != nil {
			return err
		}
		switch {
		case b == 0xFF:
			kind, err := d.byte()
			if err != nil {
				return err
			}
			if kind == 0x2F {
				return nil
			}
			if err := d.meta(t, kind); err != nil {
				return err
			}
		case b == 0xF0 || b == 0xF7:
			n, err := d.length()
			if err != nil {
				return err
			}
			if err := d.skip(n); err != nil {
				return err
			}
			d.systems++
		case b > 0xF0:
			return d.broken(fmt.Sprintf("a MIDI file has no message %X", b))
		default:
			if err := d.message(t, b); err != nil {
				return err
			}
		}
	}
	return nil
}

// message reads a channel message that begins with a byte.
func (d *decoder) message(t *Track, b byte) error {
	var data [2]byte
	n := 0
	if b < 0x80 {
		data[0], n = b, 1
	} else {
		d.status = b
	}
	if d.status == 0 {
		return d.broken(fmt.Sprintf("%02X stands where an event begins", b))
	}
	kind, channel := d.status>>4, d.status&0xF
	size := 2
	if kind == 0xC || kind == 0xD {
		size = 1
	}
	for ; n < size; n++ {
		b, err := d.byte()
		if err != nil {
			return err
		}
		if b >= 0x80 {
			return d.broken(fmt.Sprintf("%02X stands inside an event", b))
		}
		data[n] = b
	}
	switch kind {
	case 0x8:
		d.off(t, channel, data[0])
	case 0x9:
		if data[1] == 0 {
			d.off(t, channel, data[0])
			break
		}
		if d.notes++; d.notes > MaxNotes {
			return d.tooMuch()
		}
		if d.sounding[channel] == nil {
			d.sounding[channel] = new([128]waiting)
		}
		on := &d.sounding[channel][data[0]]
		on.notes = append(on.notes, int32(len(t.Notes)))
		t.Notes = append(t.Notes, Note{d.at, d.at, channel + 1, data[1], pitch.Number(data[0])})
	case 0xB:
		d.controllers++
	case 0xC:
		if t.Programs[channel] == 0 {
			t.Programs[channel] = data[0] + 1
		}
	case 0xE:
		d.pitchBends++
	default:
		d.pressures++
	}
	return nil
}

// off ends the note of a key that began first.
func (d *decoder) off(t *Track, channel, key byte) {
	keys := d.sounding[channel]
	if keys == nil {
		d.lonely++
		return
	}
	on := &keys[key]
	if on.head == len(on.notes) {
		d.lonely++
		return
	}
	t.Notes[on.notes[on.head]].Off = d.at
	if on.head++; on.head == len(on.notes) {
		on.notes, on.head = on.notes[:0], 0
	}
}

// meta reads what is no message to an instrument.
func (d *decoder) meta(t *Track, kind byte) error {
	n, err := d.length()
	if err != nil {
		return err
	}
	data := d.buf[:min(n, maxText)]
	if d.read += int64(len(data)); d.read > d.most {
		return d.tooMuch()
	}
	d.left -= int64(len(data))
	if _, err := io.ReadFull(d.r, data); err != nil {
		return err
	}
	if err := d.skip(n - int64(len(data))); err != nil {
		return err
	}
	f := d.f
	if f.Format == 2 && len(f.Tracks) > 1 && kind != trackName {
		return nil
	}
	switch {
	case kind == trackName && t.Name == "":
		t.Name = text(data)
	case kind == marker:
		if len(f.Markers) == maxMarks {
			return d.tooMuch()
		}
		f.Markers = append(f.Markers, Marker{d.at, text(data)})
	case kind > 0 && kind < 0x10:
		if kind != 1 || n > 0 { // an empty text only fills the time
			d.texts++
		}
	case kind == 0x51 || kind == 0x58 || kind == 0x59:
		if max(len(f.Tempos), len(f.Meters), len(f.Keys)) == maxMarks {
			return d.tooMuch()
		}
		d.change(kind, data)
	default:
		d.others++
	}
	return nil
}

// change reads a tempo, a meter or a key.
func (d *decoder) change(kind byte, b []byte) {
	f := d.f
	switch {
	case kind == 0x51 && len(b) == 3:
		if us := time.Duration(b[0])<<16 | time.Duration(b[1])<<8 | time.Duration(b[2]); us > 0 {
			f.Tempos = append(f.Tempos, Tempo{At: d.at, PerQuarter: us * time.Microsecond})
			return
		}
	case kind == 0x58 && len(b) >= 2:
		if b[0] > 0 && b[1] <= 6 {
			f.Meters = append(f.Meters, Meter{d.at, int(b[0]), 1 << b[1]})
			return
		}
	case kind == 0x59 && len(b) == 2:
		if sharps := int8(b[0]); sharps >= -7 && sharps <= 7 && b[1] <= 1 {
			key := spelling.Major(spelling.Name(sharps))
			if b[1] == 1 {
				key = spelling.Minor(spelling.Name(sharps) + 3)
			}
			f.Keys = append(f.Keys, Key{d.at, key})
			return
		}
	}
	d.odd++
}

// text returns a text of a file, which is UTF-8 or else Latin-1.
func text(b []byte) string {
	if utf8.Valid(b) {
		return string(b)
	}
	if n := len(b); n == maxText { // perhaps cut in the middle of a letter
		for k := 1; k < utf8.UTFMax; k++ {
			if utf8.Valid(b[:n-k]) {
				return string(b[:n-k])
			}
		}
	}
	out := make([]rune, len(b))
	for n, c := range b {
		out[n] = rune(c)
	}
	return string(out)
}

// At returns how long after the beginning a tick comes, rounded down to a
// nanosecond: at 120 quarter notes a minute up to the first tempo.
func (f *File) At(tick int64) time.Duration { return f.at(f.Tempos, tick) }

// at returns when a tick comes, by the last tempo before it.
func (f *File) at(tempos []Tempo, tick int64) time.Duration {
	if f.Quarter == 0 {
		return span(tick, time.Duration(f.seconds)*time.Second, f.perSecond)
	}
	t := Tempo{PerQuarter: time.Second / 2}
	if n := sort.Search(len(tempos), func(n int) bool { return tempos[n].At > tick }); n > 0 {
		t = tempos[n-1]
	}
	if d := span(tick-t.At, t.PerQuarter, f.Quarter); d <= math.MaxInt64-t.When {
		return t.When + d
	}
	return math.MaxInt64
}

// span returns how long ticks take, so many of which take a time.
func span(ticks int64, each time.Duration, per int64) time.Duration {
	if ticks <= 0 || per <= 0 {
		return 0
	}
	high, low := bits.Mul64(uint64(ticks), uint64(each))
	if high >= uint64(per) {
		return math.MaxInt64
	}
	d, _ := bits.Div64(high, low, uint64(per))
	return time.Duration(min(d, math.MaxInt64))
}

// A Part is what one instrument plays: the notes of one channel in one track.
type Part struct {
	Track   int    // from 0
	Channel uint8  // 1 to 16
	Name    string // of the track
	Program uint8  // its General MIDI sound, 1 to 128; 0 if the file says none
	Notes   []Note
}

// Parts returns the parts of the file, track by track, each with at least one
// note. Percussion, which has no pitches, is none.
func (f *File) Parts() []Part {
	var parts []Part
	for n := range f.Tracks {
		t := &f.Tracks[n]
		var count [17]int
		for _, note := range t.Notes {
			count[note.Channel]++
		}
		for channel := uint8(1); channel <= 16; channel++ {
			if count[channel] == 0 || channel == Percussion {
				continue
			}
			p := Part{n, channel, t.Name, t.Programs[channel-1], make([]Note, 0, count[channel])}
			for _, note := range t.Notes {
				if note.Channel == channel {
					p.Notes = append(p.Notes, note)
				}
			}
			parts = append(parts, p)
		}
	}
	return parts
}

// meterAt is a meter, and where its bars begin and how long they are, in parts of
// 1/192 of a whole note.
type meterAt struct {
	begin, bar int64
	bars       int64 // before it
}

// place returns the place of a tick in parts of 1/192 of a whole note, the nearest,
// and whether the tick is the one that a writer takes for it, rounded up or down.
func (f *File) place(tick int64) (at int64, exact bool) {
	const quarter = int64(figure.Quarter)
	at = (2*tick*quarter + f.Quarter) / (2 * f.Quarter)
	off := tick*quarter - at*f.Quarter
	return at, off < quarter && -off < quarter
}

// meters returns the meters of the file.
func (f *File) meters() []meterAt {
	out := []meterAt{{0, int64(figure.Whole), 0}}
	if f.Quarter == 0 {
		return out
	}
	for _, m := range f.Meters {
		at, _ := f.place(m.At)
		last := &out[len(out)-1]
		next := meterAt{at, int64(figure.Whole) * int64(m.Number) / int64(m.Unit), last.bars + (at-last.begin+last.bar-1)/last.bar}
		if at == last.begin {
			*last = next
			continue
		}
		out = append(out, next)
	}
	return out
}

// bar returns where a bar begins and how long it is, counted from 1, and how long
// a whole bar of its meter is.
func bar(meters []meterAt, n int64) (begin, length, whole int64) {
	k := sort.Search(len(meters)-1, func(k int) bool { return meters[k+1].bars >= n })
	m := meters[k]
	begin, length = m.begin+(n-1-m.bars)*m.bar, m.bar
	if k+1 < len(meters) {
		length = min(length, meters[k+1].begin-begin)
	}
	return begin, length, m.bar
}

// Bars returns the number of bars up to the end of the last note; a change of the
// meter begins a bar. It is 0 where the file has no beats or no notes.
func (f *File) Bars() int {
	last := int64(-1)
	for _, t := range f.Tracks {
		for _, n := range t.Notes {
			last = max(last, n.On, n.Off-1)
		}
	}
	return f.BarAt(last)
}

// BarAt returns the bar in which a tick lies, counted from 1: 0 for a tick before
// the beginning, and where the file has no beats.
func (f *File) BarAt(tick int64) int {
	if f.Quarter == 0 || tick < 0 {
		return 0
	}
	meters := f.meters()
	at := tick * int64(figure.Quarter) / f.Quarter
	m := meters[sort.Search(len(meters)-1, func(k int) bool { return meters[k+1].begin > at })]
	return int(min(m.bars+(at-m.begin)/m.bar+1, math.MaxInt32))
}

// MeterAt returns the meter of a bar, counted from 1. It is 4/4 where the file has
// no beats.
func (f *File) MeterAt(n int) Meter {
	begin, _, _ := bar(f.meters(), int64(n))
	found := Meter{0, 4, 4}
	if f.Quarter == 0 {
		return found
	}
	for _, m := range f.Meters {
		if at, _ := f.place(m.At); at <= begin {
			found = m
		}
	}
	return found
}

// Events returns the notes of a part in some bars, counted from 1, the last
// included, as [figure.FromEvents] takes them: spelled in a scale on a tonic, with
// their onsets from the downbeat. Where the first of several bars begins with half
// a bar of rest, or is shorter than its meter, its notes are a pickup.
//
// The notes must lie on the grid of 1/192 of a whole note, as those of a notation
// program or a sequencer do; swing is read as it sounds. Ends of notes are often
// shorter than they are meant: one that lies on no thirty-second, of a triplet or
// not, is moved to the next sixteenth, and a gap of less than 1/32 of a whole note
// before the next note is closed.
//
// The error is a *fault.ValueError: where there are no such bars, no notes in them,
// or a note that lies off the grid, as those that were played do.
func (f *File) Events(p Part, first, last int, tonic spelling.Name, scale figure.Scale) ([]figure.Event, error) {
	refuse := func(value, want string) ([]figure.Event, error) {
		return nil, &fault.ValueError{Setting: "bars", Value: value, Want: want}
	}
	asked := fmt.Sprintf("%d-%d", first, last)
	switch {
	case f.Quarter == 0:
		return refuse(asked, "the file counts in seconds (time code) and has no bars")
	case first < 1 || last < first || last > f.Bars():
		return refuse(asked, fmt.Sprintf("the file has bars 1 to %d", f.Bars()))
	}
	meters := f.meters()
	begin, length, whole := bar(meters, int64(first))
	lastBegin, lastLength, _ := bar(meters, int64(last))
	end := lastBegin + lastLength
	if end-begin > maxStretch {
		return refuse(asked, "that is too long for a figure")
	}
	var events []figure.Event
	var ends []ending // of the events
	for _, n := range p.Notes {
		on, exact := f.place(n.On)
		if on >= end {
			break
		}
		if on < begin {
			continue
		}
		if !exact {
			return refuse(asked, fmt.Sprintf("a note %.2f quarters after the beginning of bar %d lies off the grid of written music, as what was played does; write it down first, or quantise the file", float64(n.On)/float64(f.Quarter)-float64(begin)/float64(figure.Quarter), first))
		}
		e := ending{}
		if e.at, exact = f.place(n.Off); e.at <= on || !exact || (e.at-begin)%6 != 0 && (e.at-begin)%4 != 0 {
			e = ending{begin + ((n.Off*int64(figure.Quarter)/f.Quarter-begin)/12+1)*12, true}
		}
		events = append(events, figure.Event{Onset: figure.Length(on - begin), Note: scale.Spell(tonic, n.Key), Index: len(events)})
		if ends = append(ends, e); len(events) > maxEvents {
			return refuse(asked, fmt.Sprintf("they have more than %d notes", maxEvents))
		}
	}
	if len(events) == 0 {
		return refuse(asked, "the part has no notes in them")
	}
	next := int64(math.MaxInt64)
	for n := len(events) - 1; n >= 0; n-- {
		e := &events[n]
		if n+1 < len(events) && events[n+1].Onset > e.Onset {
			next = begin + int64(events[n+1].Onset)
		}
		off := ends[n].at
		if gap := next - off; gap > 0 && gap < int64(figure.Whole)/32 || gap < 0 && ends[n].moved {
			off = next
		}
		e.Length = figure.Length(min(off-begin-int64(e.Onset), int64(figure.MaxLength)))
	}
	if first < last {
		events, _ = bars.FromDownbeat(events, nil, figure.Length(length), figure.Length(whole))
	}
	return events, nil
}

// An ending is where a note ends, and whether it was moved there.
type ending struct {
	at    int64
	moved bool
}

const (
	maxEvents  = 4096    // as many notes as a figure has
	maxStretch = 1 << 30 // that are taken, in parts of 1/192 of a whole note
)
