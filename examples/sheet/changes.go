package main

import (
	"fmt"
	"io"
	"strings"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/spelling"
)

// keyChanges are the changes of a figure in one key, bar by bar.
type keyChanges struct {
	Key  string // "in B♭", so that nobody reads it as a chord
	Bars []string
}

// keyLabel labels a key where chords stand beside it.
func (s *sheet) keyLabel(n spelling.Name) string { return "in " + s.name(n) }

// hasChords reports whether the figure has chord symbols.
func (s *sheet) hasChords() bool {
	for range s.figure.Chords(0) {
		return true
	}
	return false
}

// chordsIn returns the chords of a statement in the key of the sheet. The last one of
// a chorus is that of the key which comes next.
func (s *sheet) chordsIn(d *drill.Drill, st drill.Statement) (chords []figure.ChordEvent) {
	for c := range s.figure.ReadChords(s.key(st), s.policy) {
		chords = append(chords, c)
	}
	next, ok := d.Parts()[0].Statement(st.Index + 1)
	if !ok || !s.figure.Chorus() || st.Held {
		return chords
	}
	last := len(chords) - 1
	for c := range s.figure.ReadChords(s.key(next), s.policy) {
		if c.Onset == chords[last].Onset {
			chords[last] = c
		}
	}
	return chords
}

// changes returns the changes of a drill over changes, key by key, without those
// that were told before.
func (s *sheet) changes(d *drill.Drill, told map[string]bool) (all []keyChanges) {
	if _, _, over := s.figure.Changes(); !over {
		return nil
	}
	for st := range d.Parts()[0].Statements() {
		if st.Held {
			continue
		}
		k := keyChanges{Key: s.Text(s.keyLabel(s.key(st)))}
		for _, b := range s.barsOf(s.chordsIn(d, st)) {
			k.Bars = append(k.Bars, s.Text(b))
		}
		if text := k.Key + strings.Join(k.Bars, "|"); !told[text] {
			told[text] = true
			all = append(all, k)
		}
	}
	return all
}

// barsOf writes chords as a chart does, bar by bar: a chord that goes on is written
// again at the next barline, and where a bar is not divided evenly a stroke stands
// for each beat that a chord goes on.
func (s *sheet) barsOf(chords []figure.ChordEvent) (bars []string) {
	m := s.settings.Meter
	bar, end := m.Bar(), s.figure.Length()-s.figure.Pickup()
	now, k := "", 0
	for from := figure.Length(0); from < end; from += bar {
		type place struct {
			at   figure.Length
			text string
		}
		var in []place
		if k == len(chords) || chords[k].Onset > from {
			in = append(in, place{0, now})
		}
		for ; k < len(chords) && chords[k].Onset < from+bar; k++ {
			now = chords[k].String()
			in = append(in, place{chords[k].Onset - from, now})
		}
		even, onBeats := true, true
		beat := m.Counted()
		for n, p := range in {
			even = even && p.at*figure.Length(len(in)) == bar*figure.Length(n)
			onBeats = onBeats && p.at%beat == 0
		}
		var words []string
		for n, p := range in {
			words = append(words, p.text)
			next := bar
			if n+1 < len(in) {
				next = in[n+1].at
			}
			for at := p.at + beat; at < next && !even && onBeats; at += beat {
				words = append(words, "/")
			}
		}
		bars = append(bars, strings.Join(words, " "))
	}
	return bars
}

const barsInLine = 4

// writeChanges writes the changes of the keys, four bars a line.
func (s *sheet) writeChanges(w io.Writer, all []keyChanges) {
	for _, k := range all {
		fmt.Fprintf(w, "\n  %s\n", k.Key)
		for _, line := range k.Lines() {
			fmt.Fprintf(w, "    | %s |\n", strings.Join(line, " | "))
		}
	}
}

// Lines returns the bars of a key, four to a line.
func (k keyChanges) Lines() (lines [][]string) {
	for from := 0; from < len(k.Bars); from += barsInLine {
		lines = append(lines, k.Bars[from:min(from+barsInLine, len(k.Bars))])
	}
	return lines
}

// changePages returns the changes of all orders, as many keys on a printed page as
// fit.
func (s *sheet) changePages() (pages [][]keyChanges) {
	told := map[string]bool{}
	room := -1.0
	for _, d := range s.drills {
		for _, k := range s.changes(d, told) {
			height := 10.5 + 5.5*float64(len(k.Lines()))
			if height > room {
				pages, room = append(pages, nil), printedHeight-headHeight
			}
			room -= height
			pages[len(pages)-1] = append(pages[len(pages)-1], k)
		}
	}
	return pages
}
