package main

import (
	"bufio"
	"cmp"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/listening"
	"example.com/keyorder/figure/notation/musicxml"
	"example.com/keyorder/figure/playback/smf"
	"example.com/keyorder/figure/playback/wav"
	"example.com/keyorder/spelling"
)

// A take is an idea as it stands in a file.
type take struct {
	tonic  spelling.Name
	scale  figure.Scale
	events []figure.Event
	chords []figure.ChordEvent
	meter  string   // of its first bar; empty if the library has no such meter
	from   string   // where it was taken, in words
	notes  []string // what is to be said about it
	heard  bool     // it was sound, and the figure is made
}

// readTake takes the figure from some bars of a file, in the key that is asked for
// or that the file says.
func (s *sheet) readTake() error {
	for _, name := range []string{"figure", "notes", "scale"} {
		if s.set[name] {
			return fmt.Errorf("-%s: -take takes that from the file; write one of them", name)
		}
	}
	t := &take{}
	err := t.readKey(s.takeKey)
	if err == nil {
		err = s.readFile(t)
	}
	var anchor spelling.Note
	if err == nil && !t.heard {
		s.figure, anchor, err = figure.FromEvents(t.events, t.chords, t.tonic, t.scale)
	}
	if err != nil {
		return given("take", err)
	}
	if !t.heard {
		t.compare(s.figure, anchor)
	}
	if t.meter != "" && !s.set["meter"] {
		s.meter = t.meter
	}
	s.taken = t
	return nil
}

// readFile reads the file, by what it begins with.
func (s *sheet) readFile(t *take) error {
	file, err := os.Open(s.takeFile)
	if err != nil {
		return err
	}
	defer file.Close()
	r := bufio.NewReader(file)
	head, err := r.Peek(4)
	if err != nil && !errors.Is(err, io.EOF) {
		return err
	}
	t.from = printed(filepath.Base(s.takeFile))
	switch text := strings.TrimLeftFunc(string(head), unicode.IsSpace); {
	case string(head) == "MThd":
		return s.takeMIDI(t, r)
	case string(head) == "PK\x03\x04", strings.HasPrefix(text, "<"), strings.HasPrefix(text, "\uFEFF"), text != "" && (text[0] == 0xFE || text[0] == 0xFF):
		return s.takeScore(t, r)
	case string(head) == "RIFF", string(head) == "RF64":
		return s.takeSound(t, r)
	}
	return fmt.Errorf("%s is neither a MIDI file (.mid) nor a score (.musicxml, .xml or .mxl) nor sound (.wav)", t.from)
}

// takeSound makes the figure of what was played in a file of sound, on the first
// instrument of the sheet and to the count of -tempo, if it is given.
func (s *sheet) takeSound(t *take, r io.Reader) error {
	for _, name := range []string{"part", "bars"} {
		if s.set[name] {
			return fmt.Errorf("-%s: %s is sound, which has none; an idea is read from its beginning to its end", name, t.from)
		}
	}
	sound, err := wav.Read(r)
	if err != nil {
		return err
	}
	name, _, _ := strings.Cut(s.For, ",")
	i, err := drill.Find(name, drill.LevelFull)
	if err != nil {
		return err
	}
	var notes []listening.Note
	ear, err := listening.NewEar(sound.Rate, i.Low.Up(i.Sounding).Number(), i.High.Up(i.Sounding).Number(), func(n listening.Note) {
		if k := len(notes) - 1; k >= 0 && notes[k].On == n.On {
			notes[k] = n
			return
		}
		notes = append(notes, n)
	})
	if err != nil {
		return err
	}
	block := make([]float32, 4096)
	for err == nil && len(notes) < 4*listening.MaxIdea {
		var n int
		n, err = sound.Read(block)
		ear.Write(block[:n])
	}
	if err != nil && !errors.Is(err, io.EOF) {
		return err
	}
	ear.Close()
	a := listening.Asking{Sounding: i.Sounding, Key: t.tonic, Scale: t.scale, InKey: s.takeKey != ""}
	if s.set["tempo"] {
		a.Tempo = float64(s.Tempo)
	}
	reading, err := listening.Idea(notes, a)
	if err != nil {
		return err
	}
	s.figure, t.tonic, t.heard = reading.Figure, reading.Tonic.Name(), true
	t.from += fmt.Sprintf(", heard as %s in %s, a quarter at %.0f", i.Name, s.name(t.tonic), reading.Tempo)
	t.notes = append(t.notes, sound.Remarks()...)
	if !a.InKey {
		t.notes = append(t.notes, fmt.Sprintf("it may be in %s %s too; -key says which it is", s.name(reading.Second), reading.SecondScale))
	}
	if a.Tempo == 0 {
		t.notes = append(t.notes, "its tempo was found; -tempo says what was counted")
	}
	return nil
}

// readKey reads -key: a tonic, and perhaps a scale.
func (t *take) readKey(text string) error {
	if text == "" {
		return nil
	}
	tonic, scale, _ := strings.Cut(strings.TrimSpace(text), " ")
	var err error
	if t.tonic, err = spelling.ParseName(tonic); err == nil && strings.TrimSpace(scale) != "" {
		t.scale, err = figure.ParseScale(strings.TrimSpace(scale))
	}
	if err != nil {
		return fmt.Errorf("-key: %w", err)
	}
	return nil
}

// inKey takes the key that a file says, unless another was asked for.
func (s *sheet) inKey(t *take, k spelling.Key, said bool) {
	if s.takeKey != "" {
		return
	}
	t.tonic = k.Tonic
	switch int(k.Tonic) - int(k.Signature) {
	case -1:
		t.scale = figure.Lydian
	case 1:
		t.scale = figure.Mixolydian
	case 2:
		t.scale = figure.Dorian
	case 3:
		t.scale = figure.NaturalMinor
	case 4:
		t.scale = figure.Phrygian
	case 5:
		t.scale = figure.Locrian
	}
	if t.scale != figure.Major {
		return
	}
	minor := s.name(t.tonic+3) + " minor"
	why := fmt.Sprintf("the file has the signature of %s major", s.name(t.tonic))
	if !said {
		why = "the file does not say its key"
	}
	t.notes = append(t.notes, fmt.Sprintf("%s: it is read in %s; -key names another, as -key %q", why, s.name(t.tonic), minor))
}

// readBars reads -bars, or returns none where it was not given.
func (s *sheet) readBars() (first, last string, err error) {
	if s.takeBars == "" {
		return "", "", nil
	}
	first, last, two := strings.Cut(s.takeBars, "-")
	if first, last = strings.TrimSpace(first), strings.TrimSpace(last); !two {
		last = first
	}
	if first == "" || last == "" {
		return "", "", fmt.Errorf("-bars: %q: write a bar or two of them, as 3 or 3-4", s.takeBars)
	}
	return first, last, nil
}

// choose returns which of some parts -part asks for, from 0: without it the first.
func (s *sheet) choose(t *take, names []string) (int, error) {
	for n, name := range names {
		names[n] = fmt.Sprintf("%d %s", n+1, printed(cmp.Or(name, "without a name")))
	}
	if len(names) == 0 {
		return 0, fmt.Errorf("%s has no notes", t.from)
	}
	if s.takePart < 1 || s.takePart > len(names) {
		return 0, fmt.Errorf("-part: %d: the file has the parts %s", s.takePart, some(names))
	}
	if len(names) > 1 && !s.set["part"] {
		t.notes = append(t.notes, "it is the first of the parts "+some(names)+"; -part takes another")
	}
	if len(names) > 1 {
		t.from += ", part " + names[s.takePart-1]
	}
	return s.takePart - 1, nil
}

// some returns the first names of a long list.
func some(names []string) string {
	const most = 16
	if len(names) > most {
		names = append(slices.Clone(names[:most]), fmt.Sprintf("and %d more", len(names)-most))
	}
	return strings.Join(names, ", ")
}

// printed returns a text of a file without what does not print, and shortened.
func printed(s string) string {
	letters := []rune(strings.ToValidUTF8(s, "�"))
	if len(letters) > 60 {
		letters = append(letters[:59], '…')
	}
	for n, r := range letters {
		if !unicode.IsPrint(r) {
			letters[n] = '�'
		}
	}
	return string(letters)
}

func (t *take) inBars(first, last string) {
	if first == last {
		t.from += ", bar " + printed(first)
		return
	}
	t.from += ", bars " + printed(first) + " to " + printed(last)
}

// takeMIDI takes bars of a MIDI file, counted from its first.
func (s *sheet) takeMIDI(t *take, r io.Reader) error {
	f, err := smf.Read(r)
	if err != nil {
		return err
	}
	parts := f.Parts()
	var names []string
	for _, p := range parts {
		names = append(names, p.Name)
	}
	n, err := s.choose(t, names)
	if err != nil {
		return err
	}
	p := parts[n]
	t.notes = append(t.notes, f.Remarks...)
	from, to, err := s.readBars()
	if err != nil {
		return err
	}
	first, last := f.BarAt(p.Notes[0].On), f.BarAt(p.Notes[len(p.Notes)-1].On)
	if from != "" {
		var wrong error
		if first, err = strconv.Atoi(from); err == nil {
			last, wrong = strconv.Atoi(to)
		}
		if err != nil || wrong != nil {
			return fmt.Errorf("-bars: %q: write a bar or two of them, as 3 or 3-4", s.takeBars)
		}
	}
	t.inBars(strconv.Itoa(first), strconv.Itoa(last))
	key, said := spelling.Key{}, false
	for _, k := range f.Keys {
		if !said || f.BarAt(k.At) <= first {
			key, said = k.Key, true
		}
	}
	s.inKey(t, key, said)
	m := f.MeterAt(first)
	t.setMeter(drill.MeterOf(m.Number, m.Unit))
	t.events, err = f.Events(p, first, last, t.tonic, t.scale)
	return err
}

func (t *take) setMeter(m drill.Meter, err error) {
	if err != nil {
		t.notes = append(t.notes, "its meter cannot be had here: "+err.Error())
		return
	}
	t.meter = m.String()
}

// takeScore takes bars of a score, by the numbers that are printed in it.
func (s *sheet) takeScore(t *take, r io.Reader) error {
	f, err := musicxml.Read(r)
	if err != nil {
		return err
	}
	parts := slices.DeleteFunc(f.Parts, func(p musicxml.Part) bool { return len(p.Notes) == 0 })
	var names []string
	for n, p := range parts {
		name := p.Name
		if p.Staff > 1 {
			name += fmt.Sprintf(" (staff %d)", p.Staff)
		}
		if n > 0 && parts[n-1].Name == p.Name && parts[n-1].Staff == p.Staff {
			name += fmt.Sprintf(" (voice %s)", p.Voice)
		}
		names = append(names, name)
	}
	n, err := s.choose(t, names)
	if err != nil {
		return err
	}
	p := parts[n]
	t.notes = append(t.notes, f.Remarks...)
	from, to, err := s.readBars()
	if err != nil {
		return err
	}
	// From the bar of the first note to that of the last.
	at := func(n musicxml.Note) int {
		return 1 + slices.IndexFunc(p.Bars, func(b musicxml.Bar) bool { return n.Onset < b.Onset+b.Length })
	}
	first, last := at(p.Notes[0]), at(p.Notes[len(p.Notes)-1])
	if from != "" {
		numbered := func(number string, after int) int {
			return 1 + after + slices.IndexFunc(p.Bars[after:], func(b musicxml.Bar) bool { return b.Number == number })
		}
		first = numbered(from, 0)
		if last = first; from != to && first > 0 {
			if last = numbered(to, first); last == first {
				last = 0
			}
		}
		if first == 0 || last == 0 {
			return fmt.Errorf("-bars: %q: the part has the bars %s to %s", s.takeBars, printed(p.Bars[0].Number), printed(p.Bars[len(p.Bars)-1].Number))
		}
	}
	t.inBars(p.Bars[first-1].Number, p.Bars[last-1].Number)
	s.inKey(t, p.Bars[first-1].Key, true)
	t.setMeter(p.Bars[first-1].Meter, nil)
	t.events, t.chords, err = p.Events(first, last)
	return err
}

// compare says what of the notes and chords the figure has not.
func (t *take) compare(f figure.Figure, anchor spelling.Note) {
	type sound struct {
		onset  figure.Length
		number int
	}
	lasts := map[sound]figure.Length{}
	for _, e := range f.In(anchor) {
		lasts[sound{e.Onset, int(e.Note.Number())}] = e.Length
	}
	changed := 0
	for _, e := range t.events {
		if lasts[sound{e.Onset, int(e.Note.Number())}] != e.Length {
			changed++
		}
	}
	if changed > 0 {
		t.notes = append(t.notes, fmt.Sprintf("made longer or shorter, since a figure has no notes that go on under others: %s", plural(changed, "note")))
	}
	if lost := len(t.chords) - len(slices.Collect(f.Chords(t.tonic))); lost > 0 {
		t.notes = append(t.notes, fmt.Sprintf("left out: %s where no note or rest begins", plural(lost, "chord symbol")))
	}
}
