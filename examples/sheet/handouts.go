package main

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"example.com/keyorder/cycle"
	"example.com/keyorder/examples/internal/disk"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/pitch"
	"example.com/keyorder/spelling"
)

// The pages to hand out: for each player of a class one with what that player
// reads, and the answers to it in a folder of their own.
const handoutFolder = "players/"

// handoutFiles returns the pages of the players, and the names of those without
// answers. Each has one printed page, or as many as its orders need.
func (s *sheet) handoutFiles(by pen) (files []disk.File, names []string, err error) {
	if len(s.parts) < 2 {
		return nil, nil, errors.New("-handouts: it is for a class; name several instruments, as -for \"trumpet, alto saxophone\"")
	}
	for part := range s.parts {
		one, err := s.player(part)
		if err != nil {
			return nil, nil, err
		}
		for _, answers := range []bool{false, true} {
			by := by
			by.part, by.answers = part, answers
			p, err := one.page(by, make([]string, len(s.orders)), nil)
			if err != nil {
				return nil, nil, err
			}
			p.Pupil, p.Hints = true, nil // the hints are for whoever makes the sheet
			name := handoutFolder + s.partFile(part) + ".html"
			if answers {
				name = answersFolder + s.partFile(part) + ".html"
			} else {
				names = append(names, name)
				s.handed += p.pages()
			}
			files = append(files, disk.File{Name: name, Write: func(w io.Writer) error { return writePage(w, p) }})
		}
	}
	return files, names, nil
}

// player returns the sheet of one player of a class: its keys and their names are
// those that the player reads.
func (s *sheet) player(part int) (*sheet, error) {
	one := *s
	one.parts = []drill.Instrument{s.parts[part]}
	one.named, one.written, one.concert = true, true, false
	one.prefer, one.called = nil, nil
	for _, d := range s.drills {
		for st := range d.Parts()[part].Statements() {
			n := st.Written.Name()
			if !slices.ContainsFunc(one.called, func(m spelling.Name) bool { return m.Class() == n.Class() }) {
				one.called = append(one.called, n)
			}
		}
	}
	// From a key of the sheet to the one that is read it is so many semitones up.
	lead, st := first(s.drills[0].Parts()[0].Statements()), first(s.drills[0].Parts()[part].Statements())
	up := int(st.Written.Name().Class()) - int(s.key(lead).Class())
	one.first = st.Written.Name()
	one.keys = one.tonics(s.figure.Scale())
	one.settings.Parts, one.settings.Reading = one.parts, drill.ReadingWritten
	one.settings.Names, one.settings.Prefer = one.called, nil
	one.orders, one.drills = nil, nil
	for n, o := range s.orders {
		var sections []cycle.Section
		for section := range o.Route.Sections() {
			keys := slices.Clone(section.Keys)
			for k := range keys {
				keys[k] = pitch.ClassOf(int(keys[k]) + up)
			}
			sections = append(sections, cycle.Section{Keys: keys, Closed: section.Closed})
		}
		route, err := cycle.NewRoute(sections...)
		if err != nil {
			return nil, err
		}
		o.Route = route
		if t, _, own := strings.Cut(o.Title, ", from the "); own || o.Text == "signs" {
			o.Title = t + " of the keys that sound" // which are not those that are read
		}
		one.orders = append(one.orders, o)
		d, err := one.drill(o)
		if err != nil {
			return nil, fmt.Errorf("-handouts: order %d for %s: %w", n+1, one.parts[0].Name, err)
		}
		one.drills = append(one.drills, d)
	}
	return &one, nil
}
