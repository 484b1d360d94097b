package musicxml

import (
	"cmp"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/internal/bars"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
	"example.com/keyorder/spelling/chord"
)

// A File is a score as it was read.
type File struct {
	Title string // empty if it has none
	Parts []Part
	// Remarks says in sentences for the player what was skipped or could not be
	// read as it stands.
	Remarks []string
}

// A Part is what one voice of one staff of an instrument reads, in the order of
// the file. Its times are from its beginning.
type Part struct {
	Name  string // of the instrument; empty if it has none
	Staff int    // of the instrument, from 1, the highest
	Voice string // as the file calls it, "1"
	// Sounding is the interval from a written note to the one that sounds, as
	// drill.Instrument has it, with the letters that the file says.
	Sounding interval.Interval
	Bars     []Bar
	Notes    []Note              // in the order of their onsets, tied ones as one
	Chords   []figure.ChordEvent // the chord symbols over all staves of the instrument
}

// A Bar is a bar of a part.
type Bar struct {
	Number string // as it is printed, "3"; a pickup has often 0
	Onset  figure.Length
	Length figure.Length
	Key    spelling.Key // as it is written; major where the file does not say the mode
	Meter  drill.Meter
	// Tempo is the first that the file gives for playback in this bar, or else the
	// last before it, in quarters a minute; 0 if it gives none.
	Tempo float64
}

// A Note is a note of a part, as it is written.
type Note struct {
	Onset, Length figure.Length
	Note          spelling.Note
}

// What is read of a file, at most.
const (
	MaxNotes   = 1 << 20
	maxBars    = 1 << 17 // of all parts together, and as many chord symbols
	maxParts   = 1024
	maxVoices  = 32 // of a part and its staves
	maxBytes   = 64 << 20
	maxToken   = 256 << 10 // bytes of a tag, a text or a comment
	maxDepth   = 64        // of elements in each other
	maxText    = 1024      // bytes of a name that are kept
	maxStretch = 1 << 29   // of a part, in parts of 1/192 of a whole note
	maxEvents  = 4096      // as many notes as a figure has
)

func unreadable(input, want string) error {
	return &fault.SyntaxError{What: "score file", Input: input, Want: want}
}

var (
	errTooMuch = unreadable("", fmt.Sprintf("a score is read up to %d MiB, %d notes, %d bars, as many chord symbols, %d parts of %d voices, and %d whole notes in each", maxBytes>>20, MaxNotes, maxBars, maxParts, maxVoices, maxStretch/int(figure.Whole)))
	errNoXML   = unreadable("", "a tag or a text is longer than 256 KiB, or elements lie in each other more than 64 deep: that is no score")
)

// Read reads a score of MusicXML of any version, partwise or timewise, or a
// compressed one (.mxl), as this package or another program writes it. It reads
// notes, ties, chords, voices and staves, keys, meters, bars, transpositions,
// chord symbols and the names of parts. What only says how it looks is passed
// over; notes and signs that would change what is played and are not read are
// told in [File.Remarks]. A length that is no multiple of 1/192 of a whole note
// is moved to the nearest place, so that nothing shifts.
//
// The error is that of r, or a *fault.SyntaxError where the file is no score, where
// its XML is broken or cut short, or where it has more than MaxNotes notes, 64 MiB
// of text or, compressed, 16 MiB. What is held grows with the notes that were
// read; a compressed file is held too.
func Read(r io.Reader) (*File, error) { return readUpTo(r, maxBytes) }

// readUpTo reads a score of so many bytes of text.
func readUpTo(r io.Reader, most int64) (*File, error) {
	s, remarks, err := open(r)
	if err != nil {
		return nil, err
	}
	s.left = most
	x := &reader{source: s, xml: xml.NewDecoder(s), file: &File{Remarks: remarks}, parts: map[string]*state{}, tempos: map[int][2]float64{}}
	x.xml.CharsetReader = charset
	if err := x.score(); err != nil {
		return nil, x.explain(err)
	}
	x.setTempos()
	x.split()
	x.tell()
	return x.file, nil
}

// A reader reads a score.
type reader struct {
	source *source
	xml    *xml.Decoder
	depth  int
	file   *File
	parts  map[string]*state
	order  []*state
	notes  int
	bars   int
	chords int
	tempos map[int][2]float64 // the first and the last in a bar of the file, counted from 0

	// what is told in the end
	graces, cues, unpitched, repeats, ornaments, slashes, microtones, moved, keys, meters, odd, symbols, basses int
}

// A state is where the reading of a part stands.
type state struct {
	name     string
	sounding interval.Interval
	bars     []Bar
	notes    []voiced
	chords   []figure.ChordEvent
	voices   []place
	tied     map[spelling.Note]int // notes that go on, by their place

	divisions float64 // of a quarter note
	key       spelling.Key
	meter     drill.Meter
	begin     figure.Length // of the bar
	at        float64       // where it stands, in divisions from the beginning of the bar
	last      float64       // the onset of the note before
	reached   figure.Length // the end of what is in the bar
}

// A voiced is a note with its voice.
type voiced struct {
	Note
	voice int // of its part's voices
}

// A place is a voice on a staff.
type place struct {
	staff int
	voice string
}

// explain turns an error of the XML into one for the player.
func (x *reader) explain(err error) error {
	var broken *xml.SyntaxError
	var ours *fault.SyntaxError
	switch {
	case errors.As(err, &ours):
		return ours
	case errors.As(err, &broken):
		if broken.Msg == "unexpected EOF" {
			return unreadable("", fmt.Sprintf("it is cut short in line %d", broken.Line))
		}
		return unreadable("", fmt.Sprintf("its XML is broken in line %d (%s)", broken.Line, printable(broken.Msg)))
	case errors.Is(err, io.EOF):
		return unreadable("", "it ends before there is a score")
	case x.source.err == nil || x.source.err == io.EOF: // then it is the decoder's
		return unreadable("", "its XML cannot be read: "+printable(err.Error()))
	}
	return err
}

// printable returns the beginning of a text without what cannot be printed.
func printable(s string) string {
	s = strings.Map(func(r rune) rune {
		if r == utf8.RuneError || !unicode.IsPrint(r) {
			return '�'
		}
		return r
	}, s[:min(len(s), 100)])
	return s
}

// token returns what comes next.
func (x *reader) token() (xml.Token, error) {
	x.source.since = 0
	t, err := x.xml.Token()
	if err != nil {
		return nil, err
	}
	switch t.(type) {
	case xml.StartElement:
		if x.depth++; x.depth > maxDepth {
			return nil, errNoXML
		}
	case xml.EndElement:
		x.depth--
	}
	return t, nil
}

// each calls a function for each element inside the one that has begun, up to its
// end. What the function leaves of the element is passed over.
func (x *reader) each(visit func(e xml.StartElement) error) error {
	outside := x.depth - 1
	for {
		t, err := x.token()
		if err != nil {
			return err
		}
		switch t := t.(type) {
		case xml.StartElement:
			inside := x.depth
			if visit != nil {
				if err := visit(t); err != nil {
					return err
				}
			}
			for x.depth >= inside {
				if _, err := x.token(); err != nil {
					return err
				}
			}
		case xml.EndElement:
			if x.depth == outside {
				return nil
			}
		}
	}
}

// text returns the text of the element that has begun, up to maxText bytes.
func (x *reader) text() (string, error) {
	var b []byte
	outside := x.depth - 1
	for x.depth > outside {
		t, err := x.token()
		if err != nil {
			return "", err
		}
		if c, ok := t.(xml.CharData); ok {
			b = append(b, c[:min(len(c), maxText-len(b))]...)
		}
	}
	return strings.ToValidUTF8(strings.TrimSpace(string(b)), ""), nil
}

// number reads the number of the element that has begun, or 0 where it is none.
func (x *reader) number() (float64, error) {
	s, err := x.text()
	if err != nil {
		return 0, err
	}
	n, wrong := strconv.ParseFloat(s, 64)
	if wrong != nil || math.Abs(n) > 1e9 || math.IsNaN(n) {
		x.odd++
		return 0, nil
	}
	return n, nil
}

// whole is number for a whole number.
func (x *reader) whole() (int, error) {
	n, err := x.number()
	return int(n), err
}

func attribute(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

// score reads the whole file.
func (x *reader) score() error {
	for {
		t, err := x.token()
		if err != nil {
			return err
		}
		root, ok := t.(xml.StartElement)
		if !ok {
			continue
		}
		switch root.Name.Local {
		case "score-partwise":
			err = x.each(func(e xml.StartElement) error {
				if e.Name.Local != "part" {
					return x.head(e)
				}
				p, err := x.part(attribute(e, "id"))
				if err != nil {
					return err
				}
				return x.each(func(e xml.StartElement) error {
					if e.Name.Local != "measure" {
						return nil
					}
					return x.measure(p, attribute(e, "number"))
				})
			})
		case "score-timewise":
			err = x.each(func(e xml.StartElement) error {
				if e.Name.Local != "measure" {
					return x.head(e)
				}
				number := attribute(e, "number")
				return x.each(func(e xml.StartElement) error {
					if e.Name.Local != "part" {
						return nil
					}
					p, err := x.part(attribute(e, "id"))
					if err != nil {
						return err
					}
					return x.measure(p, number)
				})
			})
		default:
			return unreadable("<"+printable(root.Name.Local)+">", "a score of MusicXML begins with score-partwise or score-timewise")
		}
		if err != nil {
			return err
		}
		for _, p := range x.order {
			if len(p.bars) > 0 {
				return nil
			}
		}
		return unreadable("", "the score has no bars")
	}
}

// head reads what stands before the music.
func (x *reader) head(e xml.StartElement) error {
	title := func(e xml.StartElement) (err error) {
		x.file.Title, err = x.text()
		return err
	}
	switch e.Name.Local {
	case "work":
		return x.each(func(e xml.StartElement) error {
			if e.Name.Local != "work-title" {
				return nil
			}
			return title(e)
		})
	case "movement-title":
		if x.file.Title == "" {
			return title(e)
		}
	case "part-list":
		return x.each(func(e xml.StartElement) error {
			if e.Name.Local != "score-part" {
				return nil
			}
			p, err := x.part(attribute(e, "id"))
			if err != nil {
				return err
			}
			return x.each(func(e xml.StartElement) (err error) {
				if e.Name.Local == "part-name" {
					p.name, err = x.text()
				}
				return err
			})
		})
	}
	return nil
}

// part returns the part of a name.
func (x *reader) part(id string) (*state, error) {
	p := x.parts[id]
	if p == nil {
		if len(x.parts) == maxParts {
			return nil, errTooMuch
		}
		p = &state{divisions: 1, tied: map[spelling.Note]int{}}
		x.parts[id] = p
		x.order = append(x.order, p)
	}
	return p, nil
}

// measure reads a bar of a part.
func (x *reader) measure(p *state, number string) error {
	if x.bars++; x.bars > maxBars || p.begin > maxStretch {
		return errTooMuch
	}
	p.at, p.last, p.reached = 0, 0, p.begin
	n := len(p.bars)
	p.bars = append(p.bars, Bar{Number: strings.ToValidUTF8(number[:min(len(number), 16)], ""), Onset: p.begin})
	settled := false
	err := x.each(func(e xml.StartElement) error {
		switch e.Name.Local {
		case "attributes":
			return x.attributes(p)
		case "note":
			if !settled { // key and meter are those with which the music begins
				p.bars[n].Key, p.bars[n].Meter, settled = p.key, p.meter, true
			}
			return x.note(p)
		case "backup", "forward":
			return x.each(func(f xml.StartElement) error {
				if f.Name.Local != "duration" {
					return nil
				}
				d, err := x.number()
				if e.Name.Local == "backup" {
					d = -d
				}
				p.at = max(0, p.at+d)
				x.reach(p)
				return err
			})
		case "harmony":
			return x.harmony(p)
		case "barline":
			return x.each(func(e xml.StartElement) error {
				if e.Name.Local == "repeat" || e.Name.Local == "ending" {
					x.repeats++
				}
				return nil
			})
		case "sound", "direction":
			return x.sound(e, n)
		}
		return nil
	})
	if !settled {
		p.bars[n].Key, p.bars[n].Meter = p.key, p.meter
	}
	if p.reached == p.begin {
		p.reached += p.meter.Bar()
	}
	p.bars[n].Length = p.reached - p.begin
	p.begin = p.reached
	return err
}

// sound reads what playback is told in a bar: the tempo, and the signs that send the
// player elsewhere, which are counted.
func (x *reader) sound(e xml.StartElement, bar int) error {
	if e.Name.Local == "sound" {
		for _, a := range e.Attr {
			switch a.Name.Local {
			case "dacapo", "dalsegno", "tocoda":
				x.repeats++
			case "tempo":
				tempo, err := strconv.ParseFloat(strings.TrimSpace(a.Value), 64)
				if err != nil || !(tempo > 0) || math.IsInf(tempo, 0) {
					continue
				}
				first := tempo
				if t, ok := x.tempos[bar]; ok {
					first = t[0]
				}
				x.tempos[bar] = [2]float64{first, tempo}
			}
		}
		return nil
	}
	return x.each(func(e xml.StartElement) error {
		if e.Name.Local == "sound" {
			return x.sound(e, bar)
		}
		return nil
	})
}

// setTempos gives the bars of all parts the tempos, which often stand in one part.
func (x *reader) setTempos() {
	for _, p := range x.order {
		last := 0.0
		for n := range p.bars {
			t, ok := x.tempos[n]
			if !ok {
				t = [2]float64{last, last}
			}
			p.bars[n].Tempo, last = t[0], t[1]
		}
	}
}

// place returns where a place in the bar lies in the part, the nearest that there
// is, and whether it is just there.
func (p *state) place(at float64) (figure.Length, bool) {
	exact := at * float64(figure.Quarter) / p.divisions
	near := math.Round(exact)
	if near > maxStretch {
		return p.begin + maxStretch, true // which ends the reading
	}
	return p.begin + figure.Length(near), math.Abs(near-exact) < 1e-6
}

// reach notes how far the bar goes.
func (x *reader) reach(p *state) {
	at, _ := p.place(p.at)
	p.reached = max(p.reached, at)
}

// attributes reads key, meter, divisions and transposition.
func (x *reader) attributes(p *state) error {
	return x.each(func(e xml.StartElement) error {
		if n := attribute(e, "number"); n != "" && n != "1" {
			return nil // of another staff than the first
		}
		switch e.Name.Local {
		case "divisions":
			d, err := x.number()
			if err != nil {
				return err
			}
			if d <= 0 {
				x.odd++
				return nil
			}
			p.at, p.last = p.at*d/p.divisions, p.last*d/p.divisions
			p.divisions = d
		case "key":
			return x.key(p)
		case "time":
			return x.time(p)
		case "transpose":
			return x.transpose(p)
		case "measure-style":
			return x.each(func(e xml.StartElement) error {
				if e.Name.Local == "slash" || strings.HasSuffix(e.Name.Local, "-repeat") {
					x.slashes++
				}
				return nil
			})
		}
		return nil
	})
}

// modes are the places of the tonic above that of major on the line of fifths.
var modes = map[string]int{
	"": 0, "major": 0, "ionian": 0, "none": 0, "dorian": 2, "phrygian": 4, "lydian": -1, "mixolydian": 1, "minor": 3, "aeolian": 3, "locrian": 5,
}

func (x *reader) key(p *state) error {
	fifths, mode := math.MaxInt, ""
	err := x.each(func(e xml.StartElement) (err error) {
		switch e.Name.Local {
		case "fifths":
			fifths, err = x.whole()
		case "mode":
			mode, err = x.text()
		}
		return err
	})
	above, known := modes[mode]
	odd := fifths < -7 || fifths > 7
	if odd || !known {
		x.keys++
	}
	if odd {
		return err
	}
	p.key = spelling.Key{Tonic: spelling.Name(fifths + above), Signature: int8(fifths)}
	return err
}

func (x *reader) time(p *state) error {
	var beats, units []string
	err := x.each(func(e xml.StartElement) error {
		switch e.Name.Local {
		case "beats", "beat-type":
			s, err := x.text()
			if e.Name.Local == "beats" {
				beats = append(beats, s)
			} else {
				units = append(units, s)
			}
			return err
		}
		return nil
	})
	if len(beats) == 1 && len(units) == 1 {
		if m, wrong := drill.ParseMeter(beats[0] + "/" + units[0]); wrong == nil {
			p.meter = m
			return err
		}
	}
	x.meters++
	return err
}

// transpose reads how the instrument sounds; a part that has notes already keeps
// what it had.
func (x *reader) transpose(p *state) error {
	diatonic, chromatic, octaves := math.MaxInt, 0, 0
	err := x.each(func(e xml.StartElement) (err error) {
		switch e.Name.Local {
		case "diatonic":
			diatonic, err = x.whole()
		case "chromatic":
			chromatic, err = x.whole()
		case "octave-change":
			octaves, err = x.whole()
		}
		return err
	})
	if diatonic == math.MaxInt { // the usual letters
		diatonic = chromatic/12*7 + []int{0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6}[max(chromatic%12, -(chromatic%12))]*sign(chromatic)
	}
	if max(diatonic, -diatonic, chromatic, -chromatic, octaves, -octaves) > 99 {
		x.odd++
		return err
	}
	if len(p.notes) == 0 {
		p.sounding = interval.Of(diatonic, chromatic) + interval.Octave.Times(octaves)
	}
	return err
}

func sign(n int) int {
	if n < 0 {
		return -1
	}
	return 1
}

func (x *reader) note(p *state) error {
	var n struct {
		chord, grace, cue, rest, pitched, starts, stops bool
		step                                            string
		alter, duration                                 float64
		octave, staff                                   int
		voice                                           string
	}
	n.octave, n.staff = math.MinInt, 1
	odd := x.odd
	err := x.each(func(e xml.StartElement) (err error) {
		switch e.Name.Local {
		case "chord":
			n.chord = true
		case "grace":
			n.grace = true
		case "cue":
			n.cue = true
		case "rest":
			n.rest = true
		case "pitch":
			n.pitched = true
			return x.each(func(e xml.StartElement) (err error) {
				switch e.Name.Local {
				case "step":
					n.step, err = x.text()
				case "alter":
					n.alter, err = x.number()
				case "octave":
					n.octave, err = x.whole()
				}
				return err
			})
		case "duration":
			n.duration, err = x.number()
		case "tie":
			n.starts = n.starts || attribute(e, "type") == "start"
			n.stops = n.stops || attribute(e, "type") == "stop"
		case "voice":
			n.voice, err = x.text()
		case "staff":
			n.staff, err = x.whole()
		case "notations":
			return x.each(func(e xml.StartElement) error {
				if e.Name.Local == "ornaments" {
					x.ornaments++
				}
				return nil
			})
		}
		return err
	})
	if err != nil {
		return err
	}
	if n.grace {
		x.graces++
		return nil
	}
	if n.duration < 0 {
		n.duration = 0
		x.odd++
	}
	from := p.at
	if n.chord {
		from = p.last
	} else {
		p.last = p.at
		p.at += n.duration
		x.reach(p)
	}
	if p.reached > maxStretch {
		return errTooMuch
	}
	onset, exact := p.place(from)
	end, exactly := p.place(from + n.duration)
	letter := strings.Index("CDEFGAB", n.step)
	switch {
	case n.cue:
		x.cues++
		return nil
	case n.rest, x.odd > odd:
		return nil
	case !n.pitched:
		x.unpitched++
		return nil
	case len(n.step) != 1 || letter < 0 || math.Abs(n.alter) > 7 || n.octave < -1 || n.octave > 10 || end == onset || end > maxStretch || n.staff < 1 || n.staff > 99:
		x.odd++
		return nil
	}
	if !exact || !exactly {
		x.moved++
	}
	if n.alter != math.Trunc(n.alter) {
		x.microtones++
	}
	note := spelling.NameOf(spelling.Letter(letter), int(math.Round(n.alter))).In(n.octave)
	if k, tied := p.tied[note]; tied && n.stops && p.notes[k].Onset+p.notes[k].Length == onset {
		p.notes[k].Length = end - p.notes[k].Onset
		if !n.starts {
			delete(p.tied, note)
		}
		return nil
	}
	at := place{n.staff, n.voice[:min(len(n.voice), 16)]}
	voice := slices.Index(p.voices, at)
	if voice < 0 {
		if voice = len(p.voices); voice == maxVoices {
			return errTooMuch
		}
		p.voices = append(p.voices, at)
	}
	if x.notes++; x.notes > MaxNotes {
		return errTooMuch
	}
	if n.starts {
		p.tied[note] = len(p.notes)
	}
	p.notes = append(p.notes, voiced{Note{onset, end - onset, note}, voice})
	return nil
}

// suffixes are the texts of the kinds of chords, where a chord symbol has none of
// its own.
var suffixes = map[string]string{
	"major": "", "minor": "m", "augmented": "+", "diminished": "dim", "dominant": "7", "major-seventh": "maj7",
	"minor-seventh": "m7", "diminished-seventh": "dim7", "augmented-seventh": "7#5", "half-diminished": "m7b5",
	"major-minor": "m(maj7)", "major-sixth": "6", "minor-sixth": "m6", "dominant-ninth": "9", "major-ninth": "maj9",
	"minor-ninth": "m9", "dominant-11th": "11", "major-11th": "maj11", "minor-11th": "m11", "dominant-13th": "13",
	"major-13th": "maj13", "minor-13th": "m13", "suspended-second": "sus2", "suspended-fourth": "sus4", "power": "5",
}

// harmony reads a chord symbol, the first where there are several at one place.
func (x *reader) harmony(p *state) error {
	step, alter, offset := "", 0, 0.0
	var kind, text string
	var texted, done bool
	var degrees strings.Builder
	err := x.each(func(e xml.StartElement) (err error) {
		switch e.Name.Local {
		case "root":
			if done = step != ""; done {
				return nil
			}
			return x.each(func(e xml.StartElement) (err error) {
				switch e.Name.Local {
				case "root-step":
					step, err = x.text()
				case "root-alter":
					alter, err = x.whole()
				}
				return err
			})
		case "kind":
			if done {
				return nil
			}
			for _, a := range e.Attr {
				if a.Name.Local == "text" {
					text, texted = a.Value, true
				}
			}
			kind, err = x.text()
		case "bass":
			x.basses++
		case "degree":
			if done {
				return nil
			}
			return x.degree(e, &degrees)
		case "offset":
			offset, err = x.number()
		}
		return err
	})
	if err != nil {
		return err
	}
	suffix, known := suffixes[kind]
	if texted {
		suffix = text
	}
	suffix += degrees.String()
	if q, wrong := chord.ParseQuality(suffix); wrong == nil && !texted {
		suffix = chord.Of(0, q).PlainSuffix()
	}
	letter := strings.Index("CDEFGAB", step)
	at, _ := p.place(max(0, p.at+offset))
	if x.chords++; x.chords > maxBars || at > maxStretch {
		return errTooMuch
	}
	plain := func(r rune) bool { return r != '{' && r != '}' && r != utf8.RuneError && unicode.IsPrint(r) }
	if suffix = strings.TrimSpace(suffix); len(step) != 1 || letter < 0 || max(alter, -alter) > 7 || !texted && !known || len(suffix) > 32 || strings.ContainsFunc(suffix, func(r rune) bool { return !plain(r) }) {
		x.symbols++
		return nil
	}
	p.chords = append(p.chords, figure.ChordEvent{Onset: at, Root: spelling.NameOf(spelling.Letter(letter), alter), Suffix: suffix})
	return nil
}

// degree writes a degree of a chord symbol that is printed beside its kind.
func (x *reader) degree(e xml.StartElement, to *strings.Builder) error {
	shown := attribute(e, "print-object") != "no"
	value, alter, how := 0, 0, ""
	err := x.each(func(e xml.StartElement) (err error) {
		switch e.Name.Local {
		case "degree-value":
			value, err = x.whole()
		case "degree-alter":
			alter, err = x.whole()
		case "degree-type":
			how, err = x.text()
		}
		return err
	})
	if !shown || err != nil || to.Len() > 32 || max(alter, -alter) > 2 {
		return err
	}
	switch {
	case how == "subtract":
		fmt.Fprintf(to, "(no%d)", value)
	case alter == 0 && how == "add":
		fmt.Fprintf(to, "(add%d)", value)
	default:
		fmt.Fprintf(to, "(%s%d)", strings.Repeat(string("b#"[(sign(alter)+1)/2]), max(alter, -alter)), value)
	}
	return nil
}

// split makes the parts of the file, one for each voice of each staff.
func (x *reader) split() {
	for _, p := range x.order {
		if len(p.bars) == 0 {
			continue
		}
		if len(p.voices) == 0 {
			p.voices = []place{{1, ""}}
		}
		from := len(x.file.Parts)
		for _, v := range p.voices {
			x.file.Parts = append(x.file.Parts, Part{Name: p.name, Staff: v.staff, Voice: v.voice, Sounding: p.sounding, Bars: p.bars, Chords: p.chords})
		}
		slices.SortStableFunc(p.chords, func(a, b figure.ChordEvent) int { return cmp.Compare(a.Onset, b.Onset) })
		for _, n := range p.notes {
			part := &x.file.Parts[from+n.voice]
			part.Notes = append(part.Notes, n.Note)
		}
		parts := x.file.Parts[from:]
		for n := range parts {
			slices.SortStableFunc(parts[n].Notes, func(a, b Note) int { return cmp.Compare(a.Onset, b.Onset) })
		}
		slices.SortStableFunc(parts, func(a, b Part) int { return cmp.Compare(a.Staff, b.Staff) })
	}
}

// tell says what was not read.
func (x *reader) tell() {
	for _, c := range []struct {
		n    int
		what string
	}{
		{x.graces, "grace notes, left out"},
		{x.cues, "cue notes, left out"},
		{x.unpitched, "notes without a pitch, left out"},
		{x.ornaments, "ornaments, left out: the notes stand as they are written"},
		{x.repeats, "repeats and jumps, not played out"},
		{x.slashes, "slashes and signs for the bar before, read as they are written"},
		{x.microtones, "quarter tones, moved to the next semitone"},
		{x.moved, "notes that lie off the grid of 1/192 of a whole note, moved to the nearest place"},
		{x.keys, "keys that are no usual signature or mode; the signature counts, or the key before"},
		{x.meters, "meters that cannot be read; the one before counts"},
		{x.symbols, "chord symbols that cannot be read, left out"},
		{x.basses, "basses of chord symbols, left out"},
		{x.odd, "notes and numbers that make no sense, left out"},
	} {
		if c.n > 0 {
			x.file.Remarks = append(x.file.Remarks, fmt.Sprintf("%s: %d", c.what, c.n))
		}
	}
}

// Events returns the notes and chord symbols of some bars, counted from 1 as they
// stand in Bars, the last included, as [figure.FromEvents] takes them, with their
// onsets from the downbeat. Where the first of several bars begins with half a bar
// of rest, or is shorter than its meter, its notes are a pickup. A note that is tied
// into the first bar is that of the bar before.
//
// The error is a *fault.ValueError: where there are no such bars, or no notes in
// them.
func (p *Part) Events(first, last int) ([]figure.Event, []figure.ChordEvent, error) {
	asked := fmt.Sprintf("%d-%d", first, last)
	refuse := func(want string) ([]figure.Event, []figure.ChordEvent, error) {
		return nil, nil, &fault.ValueError{Setting: "bars", Value: asked, Want: want}
	}
	if first < 1 || last < first || last > len(p.Bars) {
		return refuse(fmt.Sprintf("the part has bars 1 to %d", len(p.Bars)))
	}
	bar := p.Bars[first-1]
	asked = bar.Number + "-" + p.Bars[last-1].Number // as the player sees them
	end := p.Bars[last-1].Onset + p.Bars[last-1].Length
	var events []figure.Event
	for _, n := range p.Notes {
		if n.Onset >= bar.Onset && n.Onset < end {
			events = append(events, figure.Event{Onset: n.Onset - bar.Onset, Length: n.Length, Note: n.Note, Index: len(events)})
		}
	}
	var chords []figure.ChordEvent
	for _, c := range p.Chords {
		if c.Onset >= bar.Onset && c.Onset < end {
			c.Onset -= bar.Onset
			chords = append(chords, c)
		}
	}
	switch {
	case len(events) == 0:
		return refuse("the part has no notes in them")
	case len(events) > maxEvents || len(chords) > maxEvents:
		return refuse(fmt.Sprintf("they have more than %d notes", maxEvents))
	}
	if first < last {
		events, chords = bars.FromDownbeat(events, chords, bar.Length, bar.Meter.Bar())
	}
	return events, chords, nil
}
