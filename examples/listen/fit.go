package main

import (
	"fmt"
	"strings"

	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/listening"
)

// A fit is how well a take fits what was asked for.
type fit struct {
	found      bool        // where the line begins
	heard      int         // notes
	played     int         // statements
	clean      int         // of them
	due, right int         // notes of the statements that were played
	shifted    map[int]int // statements without another fault, by how many semitones higher they were played
	back, full int         // statements that are one held note, and those where more was played
	silent     int         // statements that were not played
	before     int         // notes that were played before the first turn
}

// add counts a statement.
func (f *fit) add(s listening.Say, st drill.Statement) {
	if s.Verdict == listening.VerdictNotPlayed {
		f.silent++
		return
	}
	f.played++
	if s.Verdict == listening.VerdictClean {
		f.clean++
	}
	f.due += len(st.Events())
	right, extra := len(s.Notes), 0
	for _, fault := range s.Faults {
		switch fault.Kind {
		case listening.KindKey:
			if right = 0; f.shifted == nil {
				f.shifted = map[int]int{}
			}
			if len(s.Faults) == 1 {
				f.shifted[fault.Semitones]++
			}
		case listening.KindEarly, listening.KindLate:
			right--
		case listening.KindExtra:
			extra++
		}
	}
	f.right += max(right, 0)
	if st.Held {
		f.back++
		if extra >= 2 {
			f.full++
		}
	}
}

// hardly reports whether hardly anything fits: most statements are faulty, and not
// even a fifth of the notes is right, or not even half where none is clean or where it
// is not known where the line begins.
func (f *fit) hardly() bool {
	few := 5*f.right < f.due
	if !f.found || f.clean == 0 && f.played >= 3 {
		few = 2*f.right < f.due
	}
	return few && 2*f.clean < f.played || f.played == 0 && f.heard > 0
}

// shift returns by how many semitones nearly all statements were played higher, 0
// where they were not.
func (f *fit) shift() int {
	for semitones, count := range f.shifted {
		if count >= 2 && 3*count >= 2*f.played {
			return semitones
		}
	}
	return 0
}

// trouble says what is to be checked where the take does not fit, or nothing.
func (p *printer) trouble() (text string, unfit bool) {
	f := &p.fit
	switch {
	case f.heard == 0 && f.played == 0:
		return "No note was heard; play it louder or nearer.", false
	case f.full > 0 && f.full == f.back && 2*f.clean >= f.played && !p.o.Given("close"):
		return "Where the keys come back to the first, more was played than the one held note: was -close full left out?", true
	case !f.hardly() && f.silent > 0 && f.before >= max(2, p.figure.NoteCount()):
		return fmt.Sprintf("Before the first key of the line %s played, and %s not: are -for, -from and -orders those of the take?",
			plural(f.before, "note was", "notes were"), plural(f.silent, "key was", "keys were")), false
	case !f.hardly():
		return "", false
	}
	if k := f.shift(); k != 0 {
		return "Each key was played " + interval(k) + " than it was asked for: " + p.whose(), true
	}
	text = fmt.Sprintf("Hardly anything fits what was asked for: %d of %d notes were right.", f.right, f.due)
	if f.played == 0 {
		text = "Nothing was played where it was asked for."
	}
	if !f.found {
		text += " Where the line begins in the take is not to be found."
	}
	if left := p.o.Left(); len(left) > 0 {
		return text + " Was that meant which was left out? It is " + strings.Join(left, ", ") + ".", true
	}
	return text + " Are -for, -figure, -orders, -tempo, -sound and -close those of the take?", true
}

// whose asks for the instrument.
func (p *printer) whose() string {
	if p.o.Given("for") || p.o.Given("block") {
		return fmt.Sprintf("is the take in the first key that was asked for, on the %s?", p.part.Instrument().Name)
	}
	return fmt.Sprintf("was -for left out? It is %s.", p.part.Instrument().Name)
}

// interval says how much higher something was played.
func interval(semitones int) string {
	way := "higher"
	if semitones < 0 {
		semitones, way = -semitones, "lower"
	}
	return [...]string{"the same", "a half step", "a whole step", "a minor third", "a major third", "a fourth", "a tritone"}[min(semitones, 6)] + " " + way
}
