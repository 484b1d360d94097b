package main

import (
	"fmt"
	"strings"
	"time"

	"example.com/keyorder/cycle"
	"example.com/keyorder/examples/internal/flags"
	"example.com/keyorder/examples/internal/say"
	"example.com/keyorder/figure"
	"example.com/keyorder/pitch"
	"example.com/keyorder/spelling"
)

// A naming says how music is written in the terminal.
type naming struct{ plain bool }

// text writes a text in plain letters and signs, if that is wanted.
func (n naming) text(s string) string {
	if !n.plain {
		return s
	}
	return flags.Plain(s)
}

func (n naming) name(k spelling.Name) string { return n.text(k.String()) }

func (n naming) figure(f figure.Figure) string {
	if n.plain {
		return f.Plain()
	}
	return f.String()
}

// sections returns the keys of each section of a route.
func (n naming) sections(r cycle.Route, names [12]spelling.Name) []string {
	return say.Sections(r, func(k pitch.Class) string { return n.name(names[k]) })
}

// wrap puts texts on lines of at most so many characters, each text whole if
// it can be.
func wrap(texts []string, between string, width int) []string {
	var lines []string
	line := ""
	for _, t := range texts {
		switch {
		case line == "":
			line = t
		case length(line)+length(between)+length(t) <= width:
			line += between + t
		default:
			lines, line = append(lines, line), t
		}
	}
	return append(lines, line)
}

// words wraps a sentence.
func words(s string, width int) []string { return wrap(strings.Fields(s), " ", width) }

func length(s string) int { return len([]rune(s)) }

func clock(d time.Duration) string {
	s := int(d.Seconds())
	return fmt.Sprintf("%d:%02d", s/60, s%60)
}

// parseFailed reads keys and moves that failed in a route: "E Bb C>F".
func parseFailed(text string, r cycle.Route) (keys []pitch.Class, moves []cycle.Move, err error) {
	var played [12]bool
	var made cycle.Tally
	for _, k := range r.Run() {
		played[k] = true
	}
	made.AddAll(r.Moves())
	class := func(s string) (pitch.Class, error) {
		n, err := spelling.ParseName(s)
		return n.Class(), err
	}
	for _, word := range strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == ',' || r == '\t' }) {
		from, to, move := strings.Cut(word, ">")
		k, err := class(from)
		if err != nil {
			return nil, nil, err
		}
		if !move {
			if !played[k] {
				return nil, nil, fmt.Errorf("%.60q is none of the keys that were played", word)
			}
			keys = append(keys, k)
			continue
		}
		m := cycle.Move{From: k}
		if m.To, err = class(to); err != nil {
			return nil, nil, err
		}
		if made.Count(m) == 0 {
			return nil, nil, fmt.Errorf("%.60q is none of the moves that were played", word)
		}
		moves = append(moves, m)
	}
	return keys, moves, nil
}
