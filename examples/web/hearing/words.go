package hearing

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/listening"
	"example.com/keyorder/pitch"
)

const mostFaults = 2 // that are said on a screen

// words says what was heard of a statement, short enough for a screen that is
// read from afar.
func (l *Listener) words(s listening.Say) string {
	switch {
	case s.Verdict == listening.VerdictNotPlayed:
		return "nothing heard"
	case s.Verdict != listening.VerdictNotClean:
		return s.Verdict.String()
	}
	line := l.session.Line()
	turn, _ := line.Turn(s.Turn)
	st, _ := line.Statement(turn, line.Parts()[0])
	var all []string
	for _, f := range s.Faults {
		all = append(all, l.fault(st, f))
	}
	if len(all) > mostFaults {
		all = append(all[:mostFaults], fmt.Sprintf("and %d more", len(all)-mostFaults))
	}
	return strings.Join(all, "; ")
}

func (l *Listener) fault(st drill.Statement, f listening.Fault) string {
	note := ordinal(f.Note+1) + " note"
	ms := f.By.Round(10*time.Millisecond).Abs() / time.Millisecond
	switch f.Kind {
	case listening.KindWrong:
		return note + ": " + l.name(st, f.Heard)
	case listening.KindMissing:
		return note + " missing"
	case listening.KindExtra:
		if f.Note < 0 {
			return l.name(st, f.Heard) + " before the first note"
		}
		return l.name(st, f.Heard) + " too many, after the " + note
	case listening.KindEarly:
		return fmt.Sprintf("%s %d ms early", note, ms)
	case listening.KindLate:
		return fmt.Sprintf("%s %d ms late", note, ms)
	}
	set := l.session.Settings().Drill
	names := set.Figure.Scale().Tonics(slices.Concat(set.Names, set.Prefer)...)
	return "you played in " + names[st.Written.Name().Class().T(f.Semitones)].String()
}

// name names a key that was heard as the player reads it in the key of a
// statement.
func (l *Listener) name(st drill.Statement, heard pitch.Number) string {
	key := heard - pitch.Number(l.instrument.Sounding.Semitones())
	return l.session.Settings().Drill.Figure.Scale().Spell(st.Written.Name(), key).Name().String()
}

// ordinal returns first, second and so on; from 13 on in figures.
func ordinal(n int) string {
	words := strings.Fields("first second third fourth fifth sixth seventh eighth ninth tenth eleventh twelfth")
	if n >= 1 && n <= len(words) {
		return words[n-1]
	}
	ending := "th"
	if n%100 < 11 || n%100 > 13 {
		ending = map[int]string{1: "st", 2: "nd", 3: "rd"}[n%10]
		if ending == "" {
			ending = "th"
		}
	}
	return fmt.Sprint(n) + ending
}
