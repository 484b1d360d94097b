// Package idea takes a figure from a file: bars of a MIDI file or of a score, or
// sound that was played once. Two programs take it from the same file alike.
package idea

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
	"time"
	"unicode"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/listening"
	"example.com/keyorder/figure/notation/musicxml"
	"example.com/keyorder/figure/playback/smf"
	"example.com/keyorder/figure/playback/wav"
	"example.com/keyorder/spelling"
)

// An Asking says what of a file is taken, and how it is read.
type Asking struct {
	File     string
	Part     int    // which part, from 1
	PartSet  bool   // the player chose it; otherwise it is said which one it is
	Bars     string // as "3" or "3-4"; empty for all that have notes
	Key      string // in which notes are read, as "D dorian"; empty for the file's
	Language spelling.Language
	For      string                     // who plays in a file of sound, as drill.Find reads it
	Tempo    int                        // to which it was played, in quarters a minute; 0 if it is not known
	Name     func(spelling.Name) string // writes a name as the program does
}

// An Idea is a figure from a file.
type Idea struct {
	Figure figure.Figure
	// Tonic is what the figure counts from: as the file has it, of sound as the
	// player reads it.
	Tonic   spelling.Name
	Meter   string   // of its first bar; empty where there is none, or none that the library has
	Tempo   float64  // in quarters a minute, 0 where the file does not say it
	From    string   // where it was taken, in words
	Notes   []string // what is to be said about it
	Sounds  bool     // the tonic is the sounding one, as MIDI has it
	Played  bool     // the file is no written music: the figure was heard
	Unkeyed bool     // the file does not say its key
}

// A reader reads a file.
type reader struct {
	Asking
	Idea
	scale  figure.Scale
	events []figure.Event
	chords []figure.ChordEvent
}

// Read takes the figure from a file, in the key that is asked for or that the
// file says.
func Read(a Asking) (Idea, error) {
	r := &reader{Asking: a}
	err := r.readKey()
	if err == nil {
		err = r.readFile()
	}
	if err != nil || r.Played {
		return r.Idea, err
	}
	var anchor spelling.Note
	if r.Figure, anchor, err = figure.FromEvents(r.events, r.chords, r.Tonic, r.scale); err == nil {
		r.compare(anchor)
	}
	return r.Idea, err
}

// readFile reads the file, by what it begins with.
func (t *reader) readFile() error {
	file, err := os.Open(t.File)
	if err != nil {
		return err
	}
	defer file.Close()
	r := bufio.NewReader(file)
	head, err := r.Peek(4)
	if err != nil && !errors.Is(err, io.EOF) {
		return err
	}
	t.From = printed(filepath.Base(t.File))
	switch text := strings.TrimLeftFunc(string(head), unicode.IsSpace); {
	case string(head) == "MThd":
		return t.takeMIDI(r)
	case string(head) == "PK\x03\x04", strings.HasPrefix(text, "<"), strings.HasPrefix(text, "\uFEFF"), text != "" && (text[0] == 0xFE || text[0] == 0xFF):
		return t.takeScore(r)
	case string(head) == "RIFF", string(head) == "RF64":
		return t.takeSound(r)
	}
	return fmt.Errorf("%s is neither a MIDI file (.mid) nor a score (.musicxml, .xml or .mxl) nor sound (.wav)", t.From)
}

// takeSound makes the figure of what was played in a file of sound.
func (t *reader) takeSound(r io.Reader) error {
	switch {
	case t.PartSet:
		return fmt.Errorf("-part: %s is sound, which has none; an idea is read from its beginning to its end", t.From)
	case t.Bars != "":
		return fmt.Errorf("-bars: %s is sound, which has none; an idea is read from its beginning to its end", t.From)
	}
	sound, err := wav.Read(r)
	if err != nil {
		return err
	}
	i, err := drill.Find(t.For, drill.LevelFull)
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
	reading, err := t.hear(notes, listening.Asking{Sounding: i.Sounding, Tempo: float64(t.Asking.Tempo), InKey: t.Key != ""})
	if err != nil {
		return err
	}
	t.From += fmt.Sprintf(", heard as %s in %s, a quarter at %.0f", i.Name, t.Name(t.Tonic), reading.Tempo)
	t.Notes = append(sound.Remarks(), t.Notes...)
	if upbeat, ok := withUpbeat(t.Figure); ok {
		t.Notes = append(t.Notes, fmt.Sprintf("from sound the first note stands on beat 1; an upbeat has | behind it, as -figure %q", upbeat))
	}
	if t.Asking.Tempo == 0 {
		t.Notes = append(t.Notes, "its tempo was found; -tempo says what was counted")
	}
	return nil
}

// hear makes the figure of notes that were played.
func (t *reader) hear(notes []listening.Note, a listening.Asking) (listening.Reading, error) {
	a.Key, a.Scale = t.Tonic, t.scale
	reading, err := listening.Idea(notes, a)
	if err != nil {
		return reading, err
	}
	t.Figure, t.Tonic, t.Idea.Tempo, t.Played = reading.Figure, reading.Tonic.Name(), reading.Tempo, true
	if !a.InKey {
		t.Notes = append(t.Notes, fmt.Sprintf("it may be in %s %s too; -key says which it is", t.Name(reading.Second), reading.SecondScale))
	}
	return reading, nil
}

// withUpbeat returns a figure with its first note as an upbeat, as an example of how
// one is written.
func withUpbeat(f figure.Figure) (string, bool) {
	first, rest, more := strings.Cut(f.Plain(), " ")
	if !more {
		return "", false
	}
	text := first + " | " + rest
	_, err := figure.Parse(text)
	return text, err == nil
}

// readKey reads -key: a tonic, in one word or in several, and perhaps a scale.
func (t *reader) readKey() error {
	words := strings.Fields(t.Key)
	if len(words) == 0 {
		return nil
	}
	var err error
	n := min(len(words), 3)
	for ; n > 0; n-- {
		if t.Tonic, err = t.Language.ParseName(strings.Join(words[:n], " ")); err == nil {
			break
		}
	}
	if err == nil && n < len(words) {
		t.scale, err = figure.ParseScale(strings.Join(words[n:], " "))
	}
	if err != nil {
		return fmt.Errorf("-key: %w", err)
	}
	return nil
}

// inKey takes the key that a file says, unless another was asked for, and returns
// what is to be said about it, if anything.
func (t *reader) inKey(k spelling.Key, said bool) (note string) {
	if t.Key != "" {
		return ""
	}
	t.Tonic, t.Unkeyed = k.Tonic, !said
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
		return ""
	}
	minor := t.Name(t.Tonic+3) + " minor"
	why := fmt.Sprintf("the file has the signature of %s major", t.Name(t.Tonic))
	if !said {
		why = "the file does not say its key"
	}
	return fmt.Sprintf("%s: it is read in %s; -key names another, as -key %q", why, t.Name(t.Tonic), minor)
}

// note adds what is to be said, if anything.
func (t *reader) note(text string) {
	if text != "" {
		t.Notes = append(t.Notes, text)
	}
}

// readBars reads -bars, or returns none where it was not given.
func (t *reader) readBars() (first, last string, err error) {
	if t.Bars == "" {
		return "", "", nil
	}
	first, last, two := strings.Cut(t.Bars, "-")
	if first, last = strings.TrimSpace(first), strings.TrimSpace(last); !two {
		last = first
	}
	if first == "" || last == "" {
		return "", "", fmt.Errorf("-bars: %q: write a bar or two of them, as 3 or 3-4", t.Bars)
	}
	return first, last, nil
}

// inOrder refuses bars that are asked for from the last to the first.
func (t *reader) inOrder(first, last string) error {
	return fmt.Errorf("-bars: %q: the earlier bar comes first, as %s-%s", t.Bars, first, last)
}

// notesIn refuses bars in which no note begins, of so many, and says in which some do:
// those of the notes in order, counted from 1, which have names.
func (t *reader) notesIn(first, last, bars int, begin []int, name func(int) string) error {
	if last > bars || slices.ContainsFunc(begin, func(n int) bool { return n >= first && n <= last }) {
		return nil
	}
	var runs []string
	for from := 0; from < len(begin); {
		to := from
		for to+1 < len(begin) && begin[to+1] <= begin[to]+1 {
			to++
		}
		run := name(begin[from])
		if begin[to] > begin[from] {
			run += " to " + name(begin[to])
		}
		runs, from = append(runs, run), to+1
	}
	in := "bars "
	if begin[0] == begin[len(begin)-1] {
		in = "bar "
	}
	return fmt.Errorf("-bars: %q: no note begins there; the part has notes in %s%s", t.Bars, in, some(runs))
}

// choose returns which of some parts -part asks for, from 0: without it the first.
func (t *reader) choose(names []string) (int, error) {
	for n, name := range names {
		names[n] = fmt.Sprintf("%d %s", n+1, printed(cmp.Or(name, "without a name")))
	}
	if len(names) == 0 {
		return 0, fmt.Errorf("%s has no notes", t.From)
	}
	if t.Part < 1 || t.Part > len(names) {
		return 0, fmt.Errorf("-part: %d: the file has the parts %s", t.Part, some(names))
	}
	if len(names) > 1 && !t.PartSet {
		t.Notes = append(t.Notes, "it is the first of the parts "+some(names)+"; -part takes another")
	}
	if len(names) > 1 {
		t.From += ", part " + names[t.Part-1]
	}
	return t.Part - 1, nil
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

func (t *reader) inBars(first, last string) {
	if first == last {
		t.From += ", bar " + printed(first)
		return
	}
	t.From += ", bars " + printed(first) + " to " + printed(last)
}

// takeMIDI takes bars of a MIDI file, counted from its first.
func (t *reader) takeMIDI(r io.Reader) error {
	f, err := smf.Read(r)
	if err != nil {
		return err
	}
	parts := f.Parts()
	var names []string
	for _, p := range parts {
		names = append(names, p.Name)
	}
	n, err := t.choose(names)
	if err != nil {
		return err
	}
	p := parts[n]
	t.Notes = append(t.Notes, f.Remarks...)
	from, to, err := t.readBars()
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
			return fmt.Errorf("-bars: %q: write a bar or two of them, as 3 or 3-4", t.Bars)
		}
		if last < first {
			return t.inOrder(to, from)
		}
		var begin []int
		for _, n := range p.Notes {
			begin = append(begin, f.BarAt(n.On+f.Quarter/96)) // to the nearest 1/192
		}
		if err := t.notesIn(first, last, f.Bars(), begin, strconv.Itoa); err != nil {
			return err
		}
	}
	t.inBars(strconv.Itoa(first), strconv.Itoa(last))
	key, said := spelling.Key{}, false
	for _, k := range f.Keys {
		if !said || f.BarAt(k.At) <= first {
			key, said = k.Key, true
		}
	}
	inKey := t.inKey(key, said)
	t.Sounds = true
	if f.Quarter > 0 {
		t.setTempo(f, first)
	}
	m := f.MeterAt(first)
	t.setMeter(drill.MeterOf(m.Number, m.Unit))
	if t.events, err = f.Events(p, first, last, t.Tonic, t.scale); err != nil {
		return t.played(f, p, first, last, err)
	}
	t.note(inKey)
	return nil
}

// played takes what was played on the keys of an instrument, where the notes of a
// MIDI file are not on the grid of written music.
func (t *reader) played(f *smf.File, p smf.Part, first, last int, unwritten error) error {
	var notes []listening.Note
	for _, n := range p.Notes {
		if bar := f.BarAt(n.On); bar < first || bar > last {
			continue
		}
		on := f.At(n.On)
		if k := len(notes) - 1; k >= 0 && on-notes[k].On < together {
			return unwritten // what is heard as an idea is one note at a time
		}
		notes = append(notes, listening.NoteOf(n.Key, n.Velocity, on, f.At(n.Off)))
	}
	if len(notes) == 0 || len(notes) > listening.MaxIdea {
		return unwritten
	}
	a := listening.Asking{Tempo: t.Idea.Tempo, InKey: t.Key != "" || !t.Unkeyed}
	if t.Asking.Tempo != 0 {
		a.Tempo = float64(t.Asking.Tempo)
	}
	if _, err := t.hear(notes, a); err != nil {
		return err
	}
	t.Meter = "" // nothing says where its bars begin
	t.Notes = append(t.Notes, fmt.Sprintf("it was played, not written: its notes were brought to the nearest places, a quarter at %.0f; -tempo says what was counted", t.Idea.Tempo))
	return nil
}

// together is how near each other the notes of a chord begin.
const together = 35 * time.Millisecond

// setTempo takes the tempo of a MIDI file in a bar.
func (t *reader) setTempo(f *smf.File, bar int) {
	for _, change := range f.Tempos {
		if change.PerQuarter > 0 && (t.Idea.Tempo == 0 || f.BarAt(change.At) <= bar) {
			t.Idea.Tempo = float64(time.Minute) / float64(change.PerQuarter)
		}
	}
}

func (t *reader) setMeter(m drill.Meter, err error) {
	if err != nil {
		t.Notes = append(t.Notes, "its meter cannot be had here: "+err.Error())
		return
	}
	t.Meter = m.String()
}

// takeScore takes bars of a score, by the numbers that are printed in it.
func (t *reader) takeScore(r io.Reader) error {
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
	n, err := t.choose(names)
	if err != nil {
		return err
	}
	p := parts[n]
	t.Notes = append(t.Notes, f.Remarks...)
	from, to, err := t.readBars()
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
			if last == 0 && numbered(to, 0) > 0 {
				return t.inOrder(to, from)
			}
		}
		if first == 0 || last == 0 {
			return fmt.Errorf("-bars: %q: the part has the bars %s to %s", t.Bars, printed(p.Bars[0].Number), printed(p.Bars[len(p.Bars)-1].Number))
		}
		var begin []int
		for _, n := range p.Notes {
			begin = append(begin, at(n))
		}
		if err := t.notesIn(first, last, len(p.Bars), begin, func(n int) string { return printed(p.Bars[n-1].Number) }); err != nil {
			return err
		}
	}
	t.inBars(p.Bars[first-1].Number, p.Bars[last-1].Number)
	t.note(t.inKey(p.Bars[first-1].Key, true))
	t.setMeter(p.Bars[first-1].Meter, nil)
	for n := last; n >= first; n-- { // the first that there is
		t.Idea.Tempo = cmp.Or(p.Bars[n-1].Tempo, t.Idea.Tempo)
	}
	t.events, t.chords, err = p.Events(first, last)
	return err
}

// compare says what of the notes and chords the figure has not.
func (t *reader) compare(anchor spelling.Note) {
	type sound struct {
		onset  figure.Length
		number int
	}
	lasts := map[sound]figure.Length{}
	for _, e := range t.Figure.In(anchor) {
		lasts[sound{e.Onset, int(e.Note.Number())}] = e.Length
	}
	changed := 0
	for _, e := range t.events {
		if lasts[sound{e.Onset, int(e.Note.Number())}] != e.Length {
			changed++
		}
	}
	if changed > 0 {
		t.Notes = append(t.Notes, fmt.Sprintf("made longer or shorter, since a figure has no notes that go on under others: %s", plural(changed, "note")))
	}
	if lost := len(t.chords) - len(slices.Collect(t.Figure.Chords(t.Tonic))); lost > 0 {
		t.Notes = append(t.Notes, fmt.Sprintf("left out: %s where no note or rest begins", plural(lost, "chord symbol")))
	}
}

func plural(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
