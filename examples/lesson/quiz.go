package main

import (
	"bufio"
	"fmt"
	"io"
	"math/rand/v2"
	"strconv"
	"strings"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/spelling"
)

// A mark is what an answer is worth.
type mark int

const (
	unread mark = iota // no answer of the kind asked for
	wrong
	slip // the right sound with the wrong letter
	right
)

// A question is asked, its answer read and marked, and the reason given.
type question struct {
	ask    string
	answer string                           // the right one, as a pupil may write it
	why    string                           // what it follows from
	grade  func(text string) (mark, string) // the mark of an answer and a remark
}

// rungs make the questions, from the easiest kind to the hardest.
var rungs = [...]func(*rand.Rand, options) question{
	howWide,
	whatInversion,
	whichInterval,
	func(r *rand.Rand, _ options) question { return whichNote(r, 3, 1, usual) },
	howManyCycles,
	func(r *rand.Rand, o options) question { return whichKey(r, o, usual[:5]) },
	func(r *rand.Rand, _ options) question { return whichNote(r, 6, -1, append(usual, unusual...)) },
	func(r *rand.Rand, o options) question { return whichKey(r, o, usual[5:]) },
	howManyNotes,
}

var (
	usual   = intervals("m2 M2 m3 M3 P4 P5 m6 M6 m7 M7")
	unusual = intervals("A4 d5 A2 A5 A6 d4 d7")
)

func intervals(text string) (all []interval.Interval) {
	for _, t := range strings.Fields(text) {
		all = append(all, interval.MustParse(t))
	}
	return all[:len(all):len(all)]
}

// quiz asks the questions, reads an answer to each from a line of its own, and
// marks it. An empty line passes; a line that is no answer is asked again.
func quiz(w io.Writer, flush func() error, stdin io.Reader, o options) error {
	lines := bufio.NewScanner(stdin)
	marks := map[mark]int{}
	asked := 0
	fmt.Fprintln(w, "Notes and keys are numbered from C as 0; T is 10, E is 11. An empty line passes.")
	fmt.Fprintln(w)
	for n, q := range questions(o) {
		fmt.Fprintf(w, "%d of %d. %s\n", n+1, o.questions, q.ask)
		m, remark := unread, ""
		for m == unread {
			fmt.Fprint(w, "> ")
			if flush() != nil || !lines.Scan() {
				fmt.Fprintln(w)
				return end(w, marks, o.questions-asked, lines.Err())
			}
			text := strings.TrimSpace(lines.Text())
			if text == "" {
				m, remark = wrong, "Passed."
				break
			}
			if m, remark = q.grade(text); m == unread {
				fmt.Fprintln(w, remark)
			}
		}
		asked++
		marks[m]++
		if m == right && remark == "" {
			remark = "Right."
		}
		if m != right {
			remark = strings.TrimSpace(remark + " The answer is " + q.answer + ".")
		}
		fmt.Fprintf(w, "%s\n%s\n\n", remark, q.why)
	}
	return end(w, marks, 0, nil)
}

// end sums up.
func end(w io.Writer, marks map[mark]int, unanswered int, err error) error {
	fmt.Fprintf(w, "Right: %d, right in sound only: %d, wrong or passed: %d, not answered: %d.\n",
		marks[right], marks[slip], marks[wrong], unanswered)
	if err != nil {
		return fmt.Errorf("answers: %w; an answer is one short line", err)
	}
	return nil
}

// questions makes up the questions: as many from each rung, no question twice
// as long as there are others.
func questions(o options) []question {
	r := rand.New(rand.NewPCG(o.seed, 0))
	asked := map[string]bool{}
	var all []question
	for n := range o.questions {
		q := question{}
		for try := 0; try == 0 || asked[q.ask] && try < 50; try++ {
			q = rungs[n*len(rungs)/o.questions](r, o)
		}
		asked[q.ask] = true
		all = append(all, q)
	}
	return all
}

func pick[T any](r *rand.Rand, all []T) T { return all[r.IntN(len(all))] }

// words returns an interval as it is spoken: "minor third (m3)".
func words(i interval.Interval) string {
	numbers := [...]string{"unison", "second", "third", "fourth", "fifth", "sixth", "seventh", "octave"}
	return fmt.Sprintf("%v %s (%v)", i.Quality(), numbers[i.Number()-1], i)
}

// an puts the article before a word.
func an(word string) string {
	if strings.ContainsRune("aeiou", rune(word[0])) {
		return "an " + word
	}
	return "a " + word
}

// count returns a number of things: "1 letter", "2 letters".
func count(n int, thing string) string {
	if n != 1 {
		thing += "s"
	}
	return fmt.Sprintf("%d %s", n, thing)
}

func howWide(r *rand.Rand, _ options) question {
	i := pick(r, usual)
	return question{
		ask:    "How many semitones has " + an(words(i)) + "?",
		answer: strconv.Itoa(i.Semitones()),
		why:    fmt.Sprintf("From C, key 0, %v leads to %v, key %d.", i, spelling.Name(0).Up(i), spelling.Name(0).Up(i).Class()),
		grade:  number(i.Semitones()),
	}
}

func whatInversion(r *rand.Rand, _ options) question {
	i := pick(r, usual)
	inv := i.Inversion()
	return question{
		ask:    "What is the inversion of " + an(words(i)) + "? Write it as m3, P5 …",
		answer: inv.String(),
		why: fmt.Sprintf("An octave moves %d letters and %d semitones; less %d and %d that leaves %d and %d: %v.", interval.Octave.Steps(),
			interval.Octave.Semitones(), i.Steps(), i.Semitones(), inv.Steps(), inv.Semitones(), inv),
		grade: exactly(inv),
	}
}

func whichInterval(r *rand.Rand, _ options) question {
	from, i := spelling.Name(r.IntN(7)-1), pick(r, usual)
	to := from.Up(i)
	return question{
		ask:    fmt.Sprintf("Which interval leads from %v up to the next %v? Write it as m3, P5 …", from, to),
		answer: i.String(),
		why:    fmt.Sprintf("From %v up to %v: %s and %s, %v.", from, to, count(i.Steps(), "letter"), count(i.Semitones(), "semitone"), i),
		grade:  exactly(i),
	}
}

// whichNote asks for a note above or, with sign −1, below a note that is at
// most so many fifths from D, the middle of the letters.
func whichNote(r *rand.Rand, fifths, sign int, from []interval.Interval) question {
	name, i, where := 2+spelling.Name(r.IntN(2*fifths+1)-fifths), pick(r, from), "above"
	if sign < 0 {
		where = "below"
	}
	to := name.Up(i.Times(sign))
	return question{
		ask:    fmt.Sprintf("Which note lies %s %s %v?", an(words(i)), where, name),
		answer: to.String(),
		why: fmt.Sprintf("%s %s %v is %v. %v is key %d, and %s %s it is key %d: %v.", count(i.Steps(), "letter"), where, name.Letter(), to.Letter(),
			name, name.Class(), count(i.Semitones(), "semitone"), where, to.Class(), to),
		grade: func(text string) (mark, string) {
			got, err := spelling.ParseName(text)
			switch {
			case err != nil:
				return unread, "Write a note without an octave: a letter, then b or # if it has one, such as Eb."
			case got == to:
				return right, ""
			case got.Class() == to.Class():
				return slip, fmt.Sprintf("Right sound, wrong letter: %v sounds as %v does, but %s is counted in letters, and %s %s %v is %v.",
					got, to, an(words(i)), count(i.Steps(), "letter"), where, name.Letter(), to.Letter())
			}
			return wrong, fmt.Sprintf("No: %v is key %d.", got, got.Class())
		},
	}
}

func howManyCycles(r *rand.Rand, _ options) question {
	i := pick(r, usual)
	o := cycle.By(i)
	return question{
		ask:    fmt.Sprintf("Going up by %s again and again: into how many cycles do the twelve keys fall?", an(words(i))),
		answer: strconv.Itoa(o.Cycles()),
		why:    fmt.Sprintf("Each cycle comes back after %d keys, and 12/%[1]d is %d: %v.", len(o.Cycle(0)), o.Cycles(), o),
		grade:  number(o.Cycles()),
	}
}

// whichKey asks for the next key in an order. The interval decides its letter;
// where a sheet calls the key otherwise, that name is right as well.
func whichKey(r *rand.Rand, o options, steps []interval.Interval) question {
	names := figure.Major.Tonics()
	i, from := pick(r, steps), pick(r, names[:])
	to := from.Up(i)
	onSheet := names[to.Class()]
	why := fmt.Sprintf("%s above %v is %v. %v is key %d, and %s above it is key %d: %v.", count(i.Steps(), "letter"), from.Letter(), to.Letter(),
		from, from.Class(), count(i.Semitones(), "semitone"), to.Class(), to)
	if to != onSheet {
		why += fmt.Sprintf(" The sheet calls that key %v, which is an enharmonic change.", onSheet)
	}
	return question{
		ask:    fmt.Sprintf("An order goes up by %s and has come to %v major. Which key is next?", an(words(i)), from),
		answer: to.String() + " major",
		why:    why,
		grade: func(text string) (mark, string) {
			got, err := spelling.ParseKey(text)
			switch {
			case err != nil || !got.IsMajor():
				return unread, "Write a major key by its tonic, such as Eb."
			case got.Tonic == to:
				return right, ""
			case got.Tonic == onSheet:
				return right, fmt.Sprintf("Right, as the sheet calls it, by an enharmonic change: %s leads to %v.", an(words(i)), to)
			case got.Tonic.Class() == to.Class():
				return slip, fmt.Sprintf("Right sound, wrong letter: %s above %v is %v.", count(i.Steps(), "letter"), from.Letter(), to.Letter())
			}
			return wrong, fmt.Sprintf("No: %v is key %d.", got.Tonic, got.Tonic.Class())
		},
	}
}

func howManyNotes(r *rand.Rand, o options) question {
	i := pick(r, usual)
	keys := cycle.By(i).Cycle(0)
	all := o.figure.Composite(keys...)
	names := o.figure.Scale().Tonics()
	var tonics []string
	for _, k := range keys {
		tonics = append(tonics, names[k].String())
	}
	called := ""
	switch roots := all.Roots(); {
	case roots != 0 && roots.Intersection(pitch.SetOf(0)) == 0:
		called = fmt.Sprintf(", the same notes as the %s on %v", all.Name(), roots)
	case all.Name() != "":
		called = ", called " + all.Name()
	}
	set := o.figure.Set()
	return question{
		ask:    fmt.Sprintf("The figure %v is played in %s. How many different notes are heard, octaves not counted?", o.figure, strings.Join(tonics, " ")),
		answer: strconv.Itoa(all.Len()),
		why: fmt.Sprintf("It has the notes %v; divided by %d they leave %s, and %s make %d of each: %v%s.", set, 12/len(keys),
			count(all.Len()/len(keys), "different remainder"), count(len(keys), "key"), len(keys), all, called),
		grade: number(all.Len()),
	}
}

// number grades an answer that is a whole number.
func number(want int) func(string) (mark, string) {
	return func(text string) (mark, string) {
		got, err := strconv.Atoi(text)
		switch {
		case err != nil:
			return unread, "Write a whole number, such as 4."
		case got == want:
			return right, ""
		}
		return wrong, "No."
	}
}

// exactly grades an answer that is an interval.
func exactly(want interval.Interval) func(string) (mark, string) {
	return func(text string) (mark, string) {
		got, err := interval.Parse(text)
		switch {
		case err != nil:
			return unread, "Write an interval: P, m, M, A or d and a number, such as m3 (minor third) or M3 (major third)."
		case got == want:
			return right, ""
		case got.Semitones() == want.Semitones():
			return slip, fmt.Sprintf("Right sound, wrong letter: %v has %s too, but moves %s and not %d.",
				got, count(got.Semitones(), "semitone"), count(got.Steps(), "letter"), want.Steps())
		}
		return wrong, fmt.Sprintf("No: %v moves %s and %s.", got, count(got.Steps(), "letter"), count(got.Semitones(), "semitone"))
	}
}
