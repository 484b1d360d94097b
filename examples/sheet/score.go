package main

import (
	"errors"

	"example.com/keyorder/figure/notation"
	"example.com/keyorder/figure/notation/staff"
)

// scorePage returns the pages with all parts of a class below each other, of what the
// answers show.
func (s *sheet) scorePage(score *notation.Score) (*page, error) {
	if len(s.parts) < 2 {
		return nil, errors.New("-score: it is for several instruments, as -for \"trumpet, alto saxophone\"")
	}
	room := printedHeight - 2*headHeight
	title := "Score, " + s.heads()
	if len(s.drills) > 1 && !s.full {
		title += ", each key once"
	}
	p := &page{Title: s.heads(), Large: s.large, Score: true}
	var o staff.Options
	for {
		wide, narrow, rows, err := s.systems(score, allParts, o)
		if err != nil {
			return nil, err
		}
		highest := 0.0
		for _, r := range rows {
			highest = max(highest, r.height)
		}
		if highest > room && o.Staff == 0 { // too many parts for staves of the usual size
			o.Staff = 5 * room / highest * 0.95
			if s.large {
				o.Staff *= 9.0 / 5
			}
			continue
		}
		left := -1.0 // of the page
		for n, r := range rows {
			h := r.height + scoreGap
			if h > left {
				p.Answers = append(p.Answers, answerPage{Title: s.Text(title)})
				if n == 0 {
					p.Answers[0].Narrow = narrow
					title += ", continued"
				}
				left = room + scoreGap
			}
			left -= h
			last := &p.Answers[len(p.Answers)-1]
			last.Systems = append(last.Systems, wide[n])
		}
		return p, nil
	}
}
