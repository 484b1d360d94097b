package main

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"time"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/listening"
	"example.com/keyorder/figure/session"
	"example.com/keyorder/pitch"
	"example.com/keyorder/spelling"
)

// A printer prints what is said, in a player's words or as JSON.
type printer struct {
	o       *options
	out     io.Writer
	warn    io.Writer
	session *session.Session
	part    drill.Part
	figure  figure.Figure
	count   [4]int // of statements, by verdict
	number  int    // of statements so far
	cents   map[int][]float64
	late    map[int][]float64 // of each note of the figure, in milliseconds
	bars    map[int]float64   // from the first one to it
	lines   []string          // in a player's words, printed when all is heard
	fit     fit
}

// An object is a say as JSON. Notes count from 1; of an extra note it is the one
// before it, 0 before the first.
type object struct {
	Statement int     `json:"statement"`
	Key       string  `json:"key"`
	Clean     bool    `json:"clean"`
	Unclear   bool    `json:"unclear,omitempty"`
	NotPlayed bool    `json:"not_played,omitempty"`
	Faults    []fault `json:"faults,omitempty"`
}

type fault struct {
	Note  int    `json:"note"`
	Kind  string `json:"kind"`
	Heard string `json:"heard,omitempty"`
	Late  int    `json:"late_ms,omitempty"` // negative if early
}

// print prints a say.
func (p *printer) print(s listening.Say) {
	p.number++
	p.count[s.Verdict]++
	p.session.Hear(s) // it is a turn of the line
	turn, _ := p.session.Line().Turn(s.Turn)
	st, _ := p.session.Line().Statement(turn, p.part)
	p.remember(s, st)
	p.fit.add(s, st)
	var said []string
	v := object{Statement: p.number, Key: st.Written.Name().Plain(), Clean: s.Verdict == listening.VerdictClean,
		Unclear: s.Verdict == listening.VerdictUnclear, NotPlayed: s.Verdict == listening.VerdictNotPlayed}
	shift := 0 // of a statement in another key
	for _, f := range s.Faults {
		if f.Kind == listening.KindKey {
			shift = f.Semitones
		}
	}
	for _, f := range s.Faults {
		words, j := p.words(st, f, shift)
		said = append(said, words)
		v.Faults = append(v.Faults, j)
	}
	if p.o.json {
		line, _ := json.Marshal(v) // it has nothing that JSON has not
		fmt.Fprintf(p.out, "%s\n", line)
		return
	}
	switch s.Verdict {
	case listening.VerdictNotClean:
	case listening.VerdictUnclear:
		said = append(said, "unclear, not counted")
	default:
		said = append(said, s.Verdict.String())
	}
	if o := octave(s.Notes); o != "" {
		said = append(said, o)
	}
	p.lines = append(p.lines, fmt.Sprintf("%3d  %-3s %s", p.number, p.o.Name(st.Written.Name()), p.o.Text(strings.Join(said, "; "))))
}

// remember keeps what the last line tells.
func (p *printer) remember(s listening.Say, st drill.Statement) {
	if p.cents == nil {
		p.cents, p.late, p.bars = map[int][]float64{}, map[int][]float64{}, map[int]float64{}
	}
	for _, n := range s.Notes {
		p.cents[n.Note] = append(p.cents[n.Note], n.Cents)
	}
	for _, e := range st.Events() {
		for _, n := range s.Notes {
			if n.Note == e.Index && !st.Held {
				p.late[n.Note] = append(p.late[n.Note], float64(n.By)/float64(time.Millisecond))
				p.bars[n.Note] = float64(e.Onset) / float64(p.session.Settings().Drill.Meter.Bar())
			}
		}
	}
}

// octave says that notes were played an octave off.
func octave(notes []listening.Heard) string {
	if len(notes) == 0 || !slices.ContainsFunc(notes, func(n listening.Heard) bool { return n.Octaves != 0 }) {
		return ""
	}
	all := notes[0].Octaves
	var some []string
	for _, n := range notes {
		if n.Octaves != all {
			all = 0
		}
		if n.Octaves != 0 {
			some = append(some, fmt.Sprint(n.Note+1))
		}
	}
	switch {
	case all == 1:
		return "an octave higher"
	case all == -1:
		return "an octave lower"
	case all > 0:
		return times(all) + " octaves higher"
	case all < 0:
		return times(-all) + " octaves lower"
	case len(some) == 1:
		return "note " + some[0] + " in another octave"
	}
	return "notes " + strings.Join(some, ", ") + " in another octave"
}

// times writes a small number in words.
func times(n int) string {
	if words := []string{"no", "one", "two", "three", "four", "five", "six"}; n < len(words) {
		return words[n]
	}
	return fmt.Sprint(n)
}

// written returns the name of a key that was heard, as the player reads it in the
// key of a statement: a note of its scale has the scale's name, any other the
// simplest one.
func (p *printer) written(st drill.Statement, heard pitch.Number) spelling.Name {
	key := heard - pitch.Number(p.part.Instrument().Sounding.Semitones())
	tonic, scale := st.Written.Name(), p.figure.Scale()
	n := scale.Spell(tonic, key).Name()
	if scale.Set().PitchSet().T(int(tonic.Class())).Has(n.Class()) {
		return n
	}
	return spelling.PolicyEasyWhiteKeys.Name(n)
}

// words says a fault of a statement that was played by semitones higher, for a player
// and for a program.
func (p *printer) words(st drill.Statement, f listening.Fault, semitones int) (string, fault) {
	note := f.Note + 1
	j := fault{Note: note, Kind: f.Kind.String()}
	name := ""
	if f.Kind == listening.KindWrong || f.Kind == listening.KindExtra {
		n := p.written(st, f.Heard)
		name, j.Heard = p.o.Language.Name(n), n.Plain()
	}
	ms := int(f.By.Round(time.Millisecond) / time.Millisecond)
	switch f.Kind {
	case listening.KindWrong:
		for _, e := range st.Events() {
			if e.Index == f.Note {
				asked := e.Note.Name()
				if semitones != 0 {
					asked = p.written(st, st.SoundingNumber(e.Note)+pitch.Number(semitones))
				}
				return fmt.Sprintf("note %d was %s, not %s", note, name, p.o.Language.Name(asked)), j
			}
		}
		return fmt.Sprintf("note %d was %s", note, name), j
	case listening.KindMissing:
		return fmt.Sprintf("note %d was missing", note), j
	case listening.KindExtra:
		if f.Note < 0 {
			return fmt.Sprintf("an extra %s before note 1", name), j
		}
		return fmt.Sprintf("an extra %s after note %d", name, note), j
	case listening.KindEarly:
		j.Late = ms
		return fmt.Sprintf("note %d came %d ms early", note, -ms), j
	case listening.KindLate:
		j.Late = ms
		return fmt.Sprintf("note %d came %d ms late", note, ms), j
	}
	names := p.figure.Scale().Tonics(p.session.Settings().Drill.Names...)
	n := names[st.Written.Name().Class().T(f.Semitones)]
	j.Note, j.Heard = 0, n.Plain()
	return "you played in " + p.o.Language.Name(n), j
}

// finish prints the lines and what they come to, and reports whether hardly
// anything of the take fits what was asked for.
func (p *printer) finish() (unfit bool) {
	trouble, unfit := p.trouble()
	if p.o.json {
		if trouble != "" {
			fmt.Fprintln(p.warn, p.o.Text(trouble))
		}
		return unfit
	}
	if p.fit.played > 0 {
		for _, l := range p.lines {
			fmt.Fprintln(p.out, l)
		}
		fmt.Fprintln(p.out, p.o.Text(p.summary(unfit)))
	}
	if trouble != "" {
		fmt.Fprintln(p.out, p.o.Text(trouble))
	}
	return unfit
}

// drag returns how much later, in milliseconds, the notes of the figure came bar by
// bar, each in the median: 0 where they do not lie along a line, as in swing. ok is
// false for fewer than three notes.
func (p *printer) drag() (perBar float64, ok bool) {
	var n, x, y, xx, xy, yy float64
	for note := range p.figure.NoteCount() {
		if len(p.late[note]) == 0 {
			continue
		}
		at, late := p.bars[note], median(p.late[note])
		n, x, y = n+1, x+at, y+late
		xx, xy, yy = xx+at*at, xy+at*late, yy+late*late
	}
	if n < 3 {
		return 0, false
	}
	xx, xy, yy = xx-x*x/n, xy-x*y/n, yy-y*y/n
	if xx <= 0 || xy*xy < 0.75*xx*yy {
		return 0, true
	}
	return xy / xx, true
}

// summary is the last line: the count and, unless hardly anything fits, the median
// cents of each note of the figure and the timing.
func (p *printer) summary(unfit bool) string {
	played := p.number - p.count[listening.VerdictNotPlayed]
	line := fmt.Sprintf("%d of %d clean", p.count[listening.VerdictClean], played-p.count[listening.VerdictUnclear])
	if n := p.count[listening.VerdictUnclear]; n > 0 {
		line += fmt.Sprintf(", %d unclear", n)
	}
	if n := p.count[listening.VerdictNotPlayed]; n > 0 {
		line += fmt.Sprintf(", %d not played", n)
	}
	if unfit {
		return line + "."
	}
	var cents []string
	for n := range p.figure.NoteCount() {
		if all := p.cents[n]; len(all) > 0 {
			cents = append(cents, fmt.Sprintf("%d: %+d", n+1, int(math.Round(median(all)))))
		}
	}
	if len(cents) > 0 {
		line += ". Cents of notes " + strings.Join(cents, ", ")
	}
	if d, ok := p.drag(); ok {
		switch d := math.Round(d); {
		case d >= 20:
			line += fmt.Sprintf(". You dragged, by %.0f ms a bar", d)
		case d <= -20:
			line += fmt.Sprintf(". You rushed, by %.0f ms a bar", -d)
		default:
			line += ". You neither rushed nor dragged"
		}
	}
	return line + "."
}

func median(v []float64) float64 {
	slices.Sort(v)
	return (v[len(v)/2] + v[(len(v)-1)/2]) / 2
}
