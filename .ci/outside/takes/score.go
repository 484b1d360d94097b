package takes

import (
	"fmt"
	"math"
	"sort"
	"strings"
	"time"

	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/listening"
)

// A Score counts says.
type Score struct {
	Clean, FalseAlarm, CleanUnclear int // of clean statements
	Spoilt, Missed, Unclear, Named  int // of the others; Named of those that were charged
	Unsaid                          int
}

// Add counts one say.
func (s *Score) Add(truth Truth, say listening.Say) {
	if truth.Fault == "" {
		s.Clean++
		switch say.Verdict {
		case listening.VerdictNotClean:
			s.FalseAlarm++
		case listening.VerdictUnclear:
			s.CleanUnclear++
		case listening.VerdictNotPlayed:
			s.Unsaid++
		}
		return
	}
	s.Spoilt++
	switch say.Verdict {
	case listening.VerdictClean:
		s.Missed++
	case listening.VerdictUnclear:
		s.Unclear++
	case listening.VerdictNotPlayed:
		s.Unsaid++
	default:
		if names(truth, say) {
			s.Named++
		}
	}
}

// names reports whether a say has the fault by note and kind.
func names(truth Truth, say listening.Say) bool {
	for _, f := range say.Faults {
		kind := f.Kind.String()
		switch truth.Fault {
		case "key":
			if kind == "key" && (f.Semitones-truth.Semitones)%12 == 0 {
				return true
			}
		case "swap":
			if f.Note == truth.Note && (kind == "early" || kind == "late") {
				return true
			}
		default:
			if f.Note == truth.Note && kind == truth.Fault {
				return true
			}
		}
	}
	return false
}

// Plus adds another score.
func (s *Score) Plus(o Score) {
	s.Clean += o.Clean
	s.FalseAlarm += o.FalseAlarm
	s.CleanUnclear += o.CleanUnclear
	s.Spoilt += o.Spoilt
	s.Missed += o.Missed
	s.Unclear += o.Unclear
	s.Named += o.Named
	s.Unsaid += o.Unsaid
}

func percent(n, of int) float64 { return 100 * float64(n) / float64(max(of, 1)) }

// Rates returns, in a hundred, the false alarms of the clean statements, the
// misses of the others, what was unclear of all, and what was named of what was
// charged.
func (s Score) Rates() (falseAlarms, missed, unclear, named float64) {
	named = 100
	if charged := s.Spoilt - s.Missed - s.Unclear; charged > 0 {
		named = percent(s.Named, charged)
	}
	return percent(s.FalseAlarm, s.Clean), percent(s.Missed, s.Spoilt), percent(s.CleanUnclear+s.Unclear+s.Unsaid, s.Clean+s.Spoilt), named
}

// A Goal is what a score may have at most, in a hundred: false alarms of the clean
// statements, misses of the others, what is unclear of all; and what must be named
// of what was charged.
type Goal struct{ FalseAlarms, Missed, Unclear, Named float64 }

// Misses returns what of a goal a score misses. Where it is a sample, only what
// chance would make of a judge just as good as the goal less than once in a
// hundred: more than the 99th percentile of the binomial distribution.
func (s Score) Misses(g Goal, sample bool) (all []string) {
	charged := s.Spoilt - s.Missed - s.Unclear
	for _, c := range []struct {
		what      string
		count, of int
		goal      float64
	}{
		{"false alarms", s.FalseAlarm, s.Clean, g.FalseAlarms},
		{"missed", s.Missed, s.Spoilt, g.Missed},
		{"unclear", s.CleanUnclear + s.Unclear + s.Unsaid, s.Clean + s.Spoilt, g.Unclear},
		{"not named", charged - s.Named, charged, 100 - g.Named},
	} {
		most := int(c.goal / 100 * float64(c.of))
		if sample {
			most = Most(c.of, c.goal/100, 0.99)
		}
		if c.count > most {
			all = append(all, fmt.Sprintf("%s: %d of %d, where %d may be", c.what, c.count, c.of, most))
		}
	}
	return all
}

// Most returns the least number that as many of n, each with a probability p, do
// not exceed with a probability of at least sure.
func Most(n int, p, sure float64) int {
	term, sum := math.Pow(1-p, float64(n)), 0.0
	for k := range n {
		if sum += term; sum >= sure {
			return k
		}
		term *= p / (1 - p) * float64(n-k) / float64(k+1)
	}
	return n
}

// String returns the score as a row of a table.
func (s Score) String() string {
	falseAlarms, missed, unclear, named := s.Rates()
	return fmt.Sprintf("%5d %5d | %5.1f %5.1f | %5.1f | %5.1f", s.Clean, s.Spoilt, falseAlarms, missed, unclear, named)
}

// A Table has scores by row.
type Table map[string]*Score

// Row returns a row of the table.
func (t Table) Row(name string) *Score {
	if t[name] == nil {
		t[name] = new(Score)
	}
	return t[name]
}

// String returns the table, its rows in the order of their names.
func (t Table) String() string {
	var names []string
	for n := range t {
		names = append(names, n)
	}
	sort.Strings(names)
	var b strings.Builder
	fmt.Fprintf(&b, "%-28s clean spoilt | false missed | unclear | named (%%)\n", "")
	for _, n := range names {
		fmt.Fprintf(&b, "%-28s %v\n", n, t[n])
	}
	return b.String()
}

// Hear has an Ear and a Judge hear a sound, in pieces as a sound card has them.
func Hear(t *Take, sound []float32, notes *[]listening.Note) ([]listening.Say, error) {
	return HearAs(t, sound, listening.Options{}, notes)
}

// HearAs is Hear with options.
func HearAs(t *Take, sound []float32, o listening.Options, notes *[]listening.Note) ([]listening.Say, error) {
	judge, err := listening.NewJudge(t.Line, t.Part, o)
	if err != nil {
		return nil, err
	}
	full, err := drill.Find(t.Instrument.Name, drill.LevelFull)
	if err != nil {
		return nil, err
	}
	low, high := full.Low.Up(full.Sounding).Number(), full.High.Up(full.Sounding).Number()
	ear, err := listening.NewEar(Rate, low, high, func(n listening.Note) {
		judge.Hear(n)
		if notes != nil {
			*notes = append(*notes, n)
		}
	})
	if err != nil {
		return nil, err
	}
	ear.Expect(judge.Due)
	var says []listening.Say
	for from := 0; from < len(sound); from += 1024 {
		ear.Write(sound[from:min(from+1024, len(sound))])
		for s := range judge.Says(time.Duration(float64(from) / Rate * 1e9)) {
			says = append(says, s)
		}
	}
	ear.Close()
	for s := range judge.Says(time.Hour) {
		says = append(says, s)
	}
	return says, nil
}
