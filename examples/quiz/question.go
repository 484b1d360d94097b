package main

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/interval"
	"example.com/keyorder/spelling"
	"example.com/keyorder/spelling/chord"
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
	topic  string
	ask    string
	shown  *written // what is written on a staff beside it, or nil
	heard  *heard   // what is played beside it, or nil
	answer string   // as a textbook would print it
	why    string   // what it follows from
	form   string   // how an answer may be written
	in     spelling.Language
	grade  func(a answers, text string) (mark, string)
}

// again says how an answer may be written.
func (q question) again() string {
	if q.in == spelling.LanguageGerman && (q.form == noteForm || q.form == notesForm || q.form == keyForm) {
		return q.form + " B alone could be two notes: write H or B♭ (Bb)."
	}
	return q.form
}

// A written note is read from a staff.
type written struct {
	note spelling.Note
	clef drill.Clef
	ask  string // the question where the staff is drawn
}

// heard is a figure that is played on a tonic.
type heard struct {
	figure figure.Figure
	tonic  spelling.Note
}

// A topic makes its questions by level: 1 to 3, from easy to hard.
type topic struct {
	name, about string
	make        func(g maker) question
}

var topics = [...]topic{
	{"intervals", "their half steps, inversions and names", intervalQuestion},
	{"signatures", "the sharps and flats of keys", signatureQuestion},
	{"scales", "their notes", scaleQuestion},
	{"chords", "their notes and symbols", chordQuestion},
	{"transposing", "a note an interval up or down", transposingQuestion},
	{"instruments", "what an instrument reads and how it sounds", instrumentQuestion},
	{"cycles", "orders of keys by one interval", cycleQuestion},
	{"staff", "notes read from a staff", staffQuestion},
	{"listening", "intervals and chords by ear", listeningQuestion},
}

// questions makes up so many questions, as many of each topic as can be, none
// twice as long as there are others.
func questions(from []topic, level int, l spelling.Language, seed uint64, count int) []question {
	g := maker{rand.New(rand.NewPCG(seed, uint64(level))), level, l}
	asked := map[string]bool{}
	var all []question
	for n := range count {
		t := from[n*len(from)/count]
		var q question
		for try := 0; try == 0 || asked[q.ask] && try < 50; try++ {
			q = t.make(g)
		}
		q.topic, q.in = t.name, l
		asked[q.ask] = true
		all = append(all, q)
	}
	return all
}

// A maker makes questions at a level, with names in a language.
type maker struct {
	*rand.Rand
	level    int
	language spelling.Language
}

// say writes a name in the language.
func (g maker) say(n spelling.Name) string { return g.language.Name(n) }

// letter writes the letter of a name.
func (g maker) letter(n spelling.Name) string { return g.say(spelling.NameOf(n.Letter(), 0)) }

// list writes names with spaces between them.
func (g maker) list(names []spelling.Name) string {
	var all []string
	for _, n := range names {
		all = append(all, g.say(n))
	}
	return strings.Join(all, " ")
}

func pick[T any](g maker, all ...T) T { return all[g.IntN(len(all))] }

var (
	usual   = intervals("m2 M2 m3 M3 P4 P5 m6 M6 m7 M7")
	unusual = intervals("A4 d5 A2 A5 A6 d4 d7")
	wide    = intervals("m9 M9 m10 M10 P11 P12")
)

func intervals(text string) (all []interval.Interval) {
	for _, t := range strings.Fields(text) {
		all = append(all, interval.MustParse(t))
	}
	return all
}

// byLevel returns the intervals that are asked for at a level.
func byLevel(level int) []interval.Interval {
	return slices.Concat([][]interval.Interval{usual[:6], usual, slices.Concat(usual, unusual)}[level-1])
}

// inWords returns an interval as textbooks have it: "minor third (m3)".
func inWords(i interval.Interval) string {
	return fmt.Sprintf("%v %s (%v)", i.Quality(), ordinal(i), i)
}

// ordinal returns the number of an interval in words, up to a twelfth.
func ordinal(i interval.Interval) string { return ordinals[i.Number()-1] }

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

// near returns a name at most so many fifths from D, the middle of the letters.
func near(g maker, fifths int) spelling.Name {
	return 2 + spelling.Name(g.IntN(2*fifths+1)-fifths)
}

func intervalQuestion(g maker) question {
	kind := g.IntN(g.level + 1)
	i := pick(g, byLevel(g.level)...)
	switch {
	case kind == 0:
		if g.level == 3 {
			i = pick(g, wide...)
		}
		return question{
			ask:    "How many half steps are there in " + an(inWords(i)) + "?",
			answer: strconv.Itoa(i.Semitones()),
			why:    fmt.Sprintf("From %v up to %v you go %s.", g.say(0), g.say(spelling.Name(0).Up(i)), count(i.Semitones(), "half step")),
			form:   numberForm, grade: number(i.Semitones()),
		}
	case kind == 1 || kind == 3:
		from := near(g, 1+2*g.level)
		to := from.Up(i)
		return question{
			ask:    fmt.Sprintf("Which interval leads from %v up to the next %v?", g.say(from), g.say(to)),
			answer: inWords(i),
			why:    fmt.Sprintf("From %v up to %v are %s, both ends counted, and %s.", g.say(from), g.say(to), count(i.Steps()+1, "letter"), count(i.Semitones(), "half step")),
			form:   intervalForm, grade: exactly(i),
		}
	}
	inv := i.Inversion()
	return question{
		ask:    "What is the inversion of " + an(inWords(i)) + "?",
		answer: inWords(inv),
		why: fmt.Sprintf("The two make an octave: %d and %d half steps are 12, and their numbers, %d and %d, add up to nine.",
			i.Semitones(), inv.Semitones(), i.Number(), inv.Number()),
		form: intervalForm, grade: exactly(inv),
	}
}

func signatureQuestion(g maker) question {
	most := 2*g.level + 1 // sharps or flats
	k := spelling.Major(spelling.Name(g.IntN(2*most+1) - most))
	minor := spelling.Minor(k.Tonic + 3)
	switch kind := g.IntN(g.level + 1); kind {
	case 0, 3:
		if g.level > 1 && g.IntN(2) == 0 {
			k = minor
		}
		return question{
			ask:    fmt.Sprintf("How many sharps or flats are in the key signature of %v? Say which.", g.language.Key(k)),
			answer: signature(int(k.Signature)),
			why:    g.signature(k),
			form:   signatureForm, grade: signatureIs(k),
		}
	case 1:
		return question{
			ask:    fmt.Sprintf("Which major key has %s?", signature(int(k.Signature))),
			answer: g.language.Key(k),
			why:    g.signature(k),
			form:   keyForm, grade: keyIs(k),
		}
	}
	return question{
		ask:    fmt.Sprintf("Which key is the relative minor of %v?", g.language.Key(k)),
		answer: g.language.Key(minor),
		why:    fmt.Sprintf("The relative minor lies a minor third below and has the same signature: %s.", g.accidentals(minor)),
		form:   keyForm, grade: keyIs(minor),
	}
}

// signature returns a number of accidentals as textbooks have it.
func signature(n int) string {
	switch {
	case n > 0:
		return count(n, "sharp")
	case n < 0:
		return count(-n, "flat")
	}
	return "no sharps or flats"
}

// signature says what a key has, beginning with the key.
func (g maker) signature(k spelling.Key) string {
	return fmt.Sprintf("%v has %s.", g.language.Key(k), g.accidentals(k))
}

// accidentals names the accidentals of a signature.
func (g maker) accidentals(k spelling.Key) string {
	if k.Signature == 0 {
		return signature(0)
	}
	return signature(int(k.Signature)) + ", " + g.list(slices.Collect(k.Accidentals()))
}

func scaleQuestion(g maker) question {
	scale := pick(g, [][]figure.Scale{
		{figure.Major},
		{figure.NaturalMinor, figure.HarmonicMinor, figure.Major},
		{figure.Dorian, figure.Mixolydian, figure.Phrygian, figure.Lydian, figure.MelodicMinor, figure.HarmonicMinor},
	}[g.level-1]...)
	tonics := scale.Tonics()
	tonic := pick(g, tonics[:]...)
	for g.level == 1 && (tonic < -3 || tonic > 3) { // at most three sharps or flats
		tonic = pick(g, tonics[:]...)
	}
	var names []spelling.Name
	for i := range scale.Set().Intervals() {
		names = append(names, tonic.Up(i))
	}
	slices.SortFunc(names, func(a, b spelling.Name) int { return tonic.To(a).Semitones() - tonic.To(b).Semitones() })
	why := fmt.Sprintf("Counted from the major scale on %v it is %s: each letter once.", g.say(tonic), pretty(scale.Formula()))
	if scale == figure.Major {
		why = fmt.Sprintf("A major scale goes up by whole steps, with half steps from 3 to 4 and from 7 to 8: each letter once, from %v.", g.say(tonic))
	}
	return question{
		ask:    fmt.Sprintf("Write the seven notes of the scale %v %v, from the tonic up.", g.say(tonic), scale),
		answer: g.list(names),
		why:    why,
		form:   notesForm, grade: namesAre(names, true),
	}
}

func chordQuestion(g maker) question {
	symbol := pick(g, [][]string{{"", "m"}, {"maj7", "m7", "7", "dim", "aug", "m"}, {"m7b5", "dim7", "7(b9)", "6", "m6", "maj7", "7(#9)"}}[g.level-1]...)
	quality, err := chord.ParseQuality(symbol)
	if err != nil {
		return question{ask: err.Error()} // the test of all questions would show it
	}
	c := chord.Of(near(g, 2+2*g.level), quality).Everyday()
	names := slices.Collect(c.Notes())
	if g.level > 1 && g.IntN(2) == 0 {
		return question{
			ask:    fmt.Sprintf("Which chord has the notes %s, from the root up?", g.list(names)),
			answer: c.String(),
			why:    fmt.Sprintf("Above %v there are %s.", g.say(c.Root()), members(c)),
			form:   chordForm, grade: chordIs(c),
		}
	}
	return question{
		ask:    fmt.Sprintf("Which notes are in the chord %v, from the root up?", c),
		answer: g.list(names),
		why:    fmt.Sprintf("Above %v there are %s.", g.say(c.Root()), members(c)),
		form:   notesForm, grade: namesAre(names, false),
	}
}

// members names the intervals above the root of a chord.
func members(c chord.Chord) string {
	var all []string
	for i := range c.Members() {
		if i != interval.PerfectUnison {
			all = append(all, an(inWords(i)))
		}
	}
	last := len(all) - 1
	return strings.Join(all[:last], ", ") + " and " + all[last]
}

func transposingQuestion(g maker) question {
	if g.level == 3 && g.IntN(2) == 0 {
		f := figure.MustParse(pick(g, "3 5 1 6", "5 2 b3 1", "1 4 b6 2"))
		tonic := near(g, 5)
		var names []spelling.Name
		for _, e := range f.In(tonic.In(4)) {
			names = append(names, e.Note.Name())
		}
		return question{
			ask:    fmt.Sprintf("The figure %v, counted in the major scale, is played in %v. Which notes are those?", f, g.say(tonic)),
			answer: g.list(names),
			why:    fmt.Sprintf("%v is 1, and each number is a letter, counted from %v; an accidental counts from the major scale.", g.say(tonic), g.letter(tonic)),
			form:   notesForm, grade: namesAre(names, true),
		}
	}
	name, i, where, sign := near(g, 1+2*g.level), pick(g, byLevel(g.level)...), "above", 1
	if g.level > 1 && g.IntN(2) == 0 {
		where, sign = "below", -1
	}
	to := name.Up(i.Times(sign))
	return question{
		ask:    fmt.Sprintf("Which note lies %s %s %v?", an(inWords(i)), where, g.say(name)),
		answer: g.say(to),
		why:    g.letters(name, to, i, where),
		form:   noteForm, grade: nameIs(to),
	}
}

// letters tells how an interval leads from a name to another: "A fifth above B has
// the letter F, and with 7 half steps it is F♯."
func (g maker) letters(from, to spelling.Name, i interval.Interval, where string) string {
	return fmt.Sprintf("%s %s %v has the letter %v, and with %s it is %v.", capital(an(ordinal(i))), where, g.say(from), g.letter(to), count(i.Semitones(), "half step"), g.say(to))
}

func instrumentQuestion(g maker) question {
	name := pick(g, []string{"trumpet", "alto saxophone", "tenor saxophone", "clarinet", "horn", "baritone saxophone"}[:2+2*(g.level-1)]...)
	i, err := drill.Find(name, drill.LevelComfortable)
	if err != nil {
		return question{ask: err.Error()}
	}
	read := near(g, 2+g.level)
	sounds := read.Up(i.Sounding)
	called, down := strings.ToLower(i.Name[:1])+i.Name[1:], i.Sounding.Abs()
	why := fmt.Sprintf("%s sounds %s (%v) lower than written: %v is read and %v is heard.", capital(an(called)), an(down.Name()), down, g.say(read), g.say(sounds))
	if g.level > 1 && g.IntN(2) == 0 {
		return question{
			ask:    fmt.Sprintf("A class hears %v. What does %s read for it?", g.say(sounds), an(called)),
			answer: g.say(read), why: why, form: noteForm, grade: nameIs(read),
		}
	}
	return question{
		ask:    fmt.Sprintf("%s reads %v. Which note sounds?", capital(an(called)), g.say(read)),
		answer: g.say(sounds), why: why, form: noteForm, grade: nameIs(sounds),
	}
}

// pretty writes flats and sharps as signs.
func pretty(formula string) string {
	return strings.NewReplacer("b", "♭", "#", "♯").Replace(formula)
}

func capital(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

func cycleQuestion(g maker) question {
	i := pick(g, byLevel(min(g.level, 2))...)
	o := cycle.By(i)
	keys := o.Cycle(0)
	switch g.IntN(g.level + 1) {
	case 0:
		return question{
			ask:    fmt.Sprintf("Going up by %s again and again: after how many keys are you back where you began?", an(inWords(i))),
			answer: strconv.Itoa(len(keys)),
			why:    fmt.Sprintf("%d times %s are %d, the first multiple of 12.", len(keys), count(i.Semitones(), "half step"), len(keys)*i.Semitones()),
			form:   numberForm, grade: number(len(keys)),
		}
	case 1:
		return question{
			ask:    fmt.Sprintf("Going up by %s again and again: into how many cycles do the twelve keys fall?", an(inWords(i))),
			answer: strconv.Itoa(o.Cycles()),
			why:    fmt.Sprintf("A cycle has %d of the twelve keys, and 12 divided by %[1]d is %d.", len(keys), o.Cycles()),
			form:   numberForm, grade: number(o.Cycles()),
		}
	case 2:
		names := figure.Major.Tonics()
		from := pick(g, names[:]...)
		to := from.Up(i)
		why := g.letters(from, to, i, "above")
		called := names[to.Class()]
		answer := to
		switch {
		case to < -7 || to > 7:
			answer = called
			why += fmt.Sprintf(" No key signature has so many sharps or flats, so the key is called %v.", g.say(called))
		case called != to:
			why += fmt.Sprintf(" A sheet calls that key %v, which is right as well.", g.say(called))
		}
		return question{
			ask:    fmt.Sprintf("An order goes up by %s and has come to %v. Which key is next?", an(inWords(i)), g.language.Key(spelling.Major(from))),
			answer: g.language.Key(spelling.Major(answer)), why: why, form: keyForm, grade: keyIs(spelling.Major(to), spelling.Major(called)),
		}
	}
	inv := i.Inversion()
	return question{
		ask:    fmt.Sprintf("Up by %s an order has the keys that another has going down by which interval, within the octave?", an(inWords(i))),
		answer: inWords(inv),
		why:    fmt.Sprintf("%s up and %s down are an octave apart, so they meet the same key.", count(i.Semitones(), "half step"), count(inv.Semitones(), "half step")),
		form:   intervalForm, grade: exactly(inv),
	}
}

// The bottom lines of the clefs.
var bottom = map[drill.Clef]string{drill.ClefTreble: "E4", drill.ClefBass: "G2", drill.ClefAlto: "F3", drill.ClefTenor: "D3"}

func staffQuestion(g maker) question {
	clef := pick(g, []drill.Clef{drill.ClefTreble, drill.ClefBass, drill.ClefAlto, drill.ClefTenor}[:g.level+1]...)
	low, high := 0, 8
	if g.level > 1 {
		low, high = -3, 11
	}
	at := low + g.IntN(high-low+1)
	alteration := 0
	if g.level > 1 {
		alteration = g.IntN(3) - 1
	}
	line := spelling.MustParse(bottom[clef])
	letter := (int(line.Letter()) + at + 70) % 7
	octave := line.Octave() + (int(line.Letter())+at+70)/7 - 10
	note := spelling.NameOf(spelling.Letter(letter), alteration).In(octave)
	sign := [...]string{" with a flat before it", "", " with a sharp before it"}[alteration+1]
	ask := fmt.Sprintf("In the %v clef a note%s stands %s. Which note is it?", clef, sign, place(at))
	return question{
		ask: ask, shown: &written{note, clef, fmt.Sprintf("Which note is this? It is written in the %v clef.", clef)},
		answer: g.say(note.Name()),
		why:    fmt.Sprintf("The bottom line of the %v clef is %v, and each space or line above it is the next letter.", clef, g.letter(line.Name())),
		form:   noteForm, grade: nameIs(note.Name()),
	}
}

// place returns where a note stands, counted from the bottom line in lines and
// spaces.
func place(at int) string {
	ordinals := [...]string{"first", "second", "third", "fourth", "fifth"}
	switch {
	case at == -1:
		return "in the space below the staff"
	case at < 0 && at%2 == 0:
		return fmt.Sprintf("on the %s ledger line below the staff", ordinals[-at/2-1])
	case at < 0:
		return fmt.Sprintf("below the %s ledger line under the staff", ordinals[-at/2-1])
	case at == 9:
		return "in the space above the staff"
	case at > 8 && at%2 == 0:
		return fmt.Sprintf("on the %s ledger line above the staff", ordinals[(at-8)/2-1])
	case at > 8:
		return fmt.Sprintf("above the %s ledger line over the staff", ordinals[(at-8)/2-1])
	case at%2 == 0:
		return fmt.Sprintf("on the %s line from below", ordinals[at/2])
	}
	return fmt.Sprintf("in the %s space from below", ordinals[at/2])
}

func listeningQuestion(g maker) question {
	tonic := near(g, 3).In(4)
	if g.level == 3 {
		symbol := pick(g, "", "m", "dim", "aug")
		quality, err := chord.ParseQuality(symbol)
		if err != nil {
			return question{ask: err.Error()}
		}
		c := chord.Of(tonic.Name(), quality)
		text := map[string]string{"": "1+3+5", "m": "1+b3+5", "dim": "1+b3+b5", "aug": "1+3+#5"}[symbol]
		return question{
			ask:    fmt.Sprintf("Listen: a triad on %v. What kind of triad is it: major, minor, diminished or augmented?", g.say(tonic.Name())),
			heard:  &heard{figure.MustParse(text + ":8"), tonic},
			answer: map[string]string{"": "major", "m": "minor", "dim": "diminished", "aug": "augmented"}[symbol],
			why:    fmt.Sprintf("It is %v: above the root there are %s.", c, members(c)),
			form:   triadForm, grade: triadIs(c),
		}
	}
	all := intervals("m3 M3 P4 P5 P8")
	if g.level == 2 {
		all = append(intervals("P8"), usual...)
	}
	i := pick(g, all...)
	f, _, err := figure.FromNotes(tonic.Plain()+", "+tonic.Up(i).Plain(), tonic.Name(), figure.Major)
	if err != nil {
		return question{ask: err.Error()}
	}
	return question{
		ask:    fmt.Sprintf("Listen: two notes, up from %v. Which interval is it?", g.say(tonic.Name())),
		heard:  &heard{f, tonic},
		answer: inWords(i),
		why:    fmt.Sprintf("It leads from %v to %v: %s.", g.say(tonic.Name()), g.say(tonic.Up(i).Name()), count(i.Semitones(), "half step")),
		form:   intervalForm, grade: exactly(i),
	}
}
