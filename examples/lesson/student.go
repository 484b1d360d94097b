package main

import (
	"fmt"
	"slices"
	"strings"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/spelling"
	"example.com/keyorder/spelling/chord"
)

// The units for first-year students.
var studentUnits = []func(figure.Figure) (unit, error){
	twoCounts, inversions, lineOfFifths, sets, closing, everyMove, product,
}

func twoCounts(figure.Figure) (unit, error) {
	notes := []spelling.Note{spelling.MustParse("Eb4"), spelling.MustParse("D#4"), spelling.MustParse("Fb4")}
	var lines []string
	for _, n := range notes {
		i := c4.To(n)
		lines = append(lines, fmt.Sprintf("%v lies %s above C4; its key number is %d, its pitch class %d.", n, pair(i), n.Number(), n.Number().Class()))
	}
	return unit{
		Title:    "Two ways of counting: letters and half steps",
		Able:     "say what a written note has that a key of the piano has not",
		Words:    []string{"letter", "half step", "key number", "pitch class", "enharmonic"},
		Pictures: []picture{keyboard("E♭4 and D♯4 are one key of the piano; F♭4 is the white key that is E4 too", map[spelling.Note]string{notes[0]: "E♭", notes[2]: "F♭"})},
		Task:     "C4 is the C in the middle of the piano; the number counts octaves. For E♭4, D♯4 and F♭4 write how many letters and how many half steps each lies above C4: from C4 to D4 is (1, 2). Which two agree in one count and not in the other?",
		Result:   lines,
		Idea: "A written note is a pair of whole numbers: how many letters and how many half steps from a fixed note. A key of the piano keeps the second and forgets the first: E♭4 and D♯4 are enharmonic, two names of one key of the piano. " +
			"A name without its octave forgets how many octaves. Forgetting both leaves the pitch class, one of twelve, and it does not matter which you forget first.",
		Formula: "(letters, half steps) → half steps mod 12",
		Questions: []asked{
			{"Give the pair for A♭4 above C4.", pair(c4.To(spelling.MustParse("Ab4")))},
			{"Which note has the pair (4, 8) above C4?", c4.Up(interval.Of(4, 8)).String()},
			{"Name two notes of one pitch class with different letters.", "for example " + notes[0].String() + " and " + notes[1].String()},
		},
	}, nil
}

func pair(i interval.Interval) string { return fmt.Sprintf("(%d, %d)", i.Steps(), i.Semitones()) }

func inversions(figure.Figure) (unit, error) {
	var lines []string
	for _, t := range strings.Fields("m2 M2 m3 M3 P4 A4") {
		i := interval.MustParse(t)
		lines = append(lines, fmt.Sprintf("%v %s and %v %s: together %s.", i, pair(i), i.Inversion(), pair(i.Inversion()), pair(i+i.Inversion())))
	}
	f := figure.MustParse("1 3:2 3 8:2")
	staff, err := staffOf(f, c4, "a third, and its inversion above it")
	return unit{
		Title:    "Intervals and their inversions",
		Able:     "invert an interval, and add two of them",
		Words:    []string{"interval", "inversion", "interval class"},
		Pictures: []picture{staff},
		heard:    soundOf(f, c4),
		Task:     "Write m2, M2, m3, M3, P4 and A4 as pairs (letters, half steps). What must be added to each to make an octave, (7, 12)? Name it.",
		Result:   lines,
		Idea: "Intervals are added pair by pair, as vectors are. The inversion is what is left of an octave. Numbers add up to nine because both count the note in the middle; " +
			"minor turns into major, diminished into augmented, and perfect stays. An interval and its inversion have one interval class, the smaller number of half steps.",
		Formula: "i + inversion of i = P8 = (7, 12)",
		Questions: []asked{
			{"What is the inversion of A5?", interval.MustParse("A5").Inversion().String()},
			{"Add m3 and M3.", (interval.MinorThird + interval.MajorThird).String()},
			{"What is the interval class of M6?", fmt.Sprint(interval.MajorSixth.IntervalClass())},
		},
	}, err
}

func lineOfFifths(figure.Figure) (unit, error) {
	var line []string
	for n := spelling.Name(-6); n <= 7; n++ {
		line = append(line, n.String())
	}
	circle, err := circleOf(cycle.By(interval.PerfectFifth).Closed(), true, "the line of fifths closed to a circle, G♭ for F♯")
	m3 := interval.MinorThird
	return unit{
		Title:    "The line of fifths: spelling by adding",
		Able:     "transpose with the right letters by adding one number",
		Words:    []string{"line of fifths", "key signature"},
		Pictures: []picture{keyboard("F, C and G: a fifth, and a fifth", map[spelling.Note]string{spelling.MustParse("F4"): "−1", spelling.MustParse("C5"): "0", spelling.MustParse("G5"): "1"})},
		Shown:    []picture{circle},
		Task:     "Write names in a row, each a fifth above the one before: the line of fifths, from G♭ to C♯. C has the place 0, what stands before it −1, −2 and so on. How many places is a minor third? Take C, F, B and A so far along the line.",
		Result: []string{
			strings.Join(line, " "),
			fmt.Sprintf("A minor third is %v places, three to the left: C to %v, F to %v, B to %v, A to %v.", minus(m3.Fifths()), spelling.Name(0).Up(m3), spelling.Name(-1).Up(m3), spelling.Name(5).Up(m3), spelling.Name(3).Up(m3)),
		},
		Idea: "On this line every name stands once, F♯ and G♭ twelve places apart, and every interval is a number of places. Adding that number gives the right letter and accidental without a table. " +
			"The place of a major tonic tells the key signature: so many sharps, or flats below 0. Bend the line to a circle, and F♯ and G♭ fall together: that is the piano.",
		Formula: "place = 7 × half steps − 12 × letters; pitch class = 7 × place mod 12",
		Questions: []asked{
			{"How many places is a major third?", fmt.Sprint(interval.MajorThird.Fifths())},
			{"Which name is a major third above G♯?", spelling.MustParseName("G#").Up(interval.MajorThird).String()},
			{"How many sharps are in the key signature of B major?", fmt.Sprint(spelling.Major(spelling.MustParseName("B")).Signature)},
		},
	}, err
}

func sets(figure.Figure) (unit, error) {
	c := chord.MustParse("Dm7")
	in := func(s figure.Scale, root spelling.Name) bool {
		shifted, ok := c.Quality().Shift(root.To(c.Root()))
		return ok && shifted.SubsetOf(s.Set())
	}
	var hold []string
	for _, tonic := range figure.Major.Tonics() {
		if in(figure.Major, tonic) {
			hold = append(hold, tonic.String()+" major")
		}
	}
	notes := slices.Collect(c.Notes())
	return unit{
		Title: "Scales and chords as sets",
		Able:  "find every major key that holds a chord",
		Words: []string{"scale", "chord", "set"},
		Pictures: []picture{keyboard("the notes of Dm7", map[spelling.Note]string{
			d4: "D", spelling.MustParse("F4"): "F", spelling.MustParse("A4"): "A", spelling.MustParse("C5"): "C"})},
		Task: "Dm7 has the notes D F A C. In which major keys are all four at home? Write each key's seven notes before you decide.",
		Result: []string{
			fmt.Sprintf("%v has %s.", c, list(notes...)),
			"They are at home in " + strings.Join(hold, ", ") + ".",
		},
		Idea: "Forget which notes of a scale come first and in which octave: a set of intervals above its tonic is left. A chord's quality is a set too, above its root. " +
			"A chord lies in a key where its set, moved from the key's tonic to the root, is part of the key's. The same chord is 2 in one key, 3 in another, 6 in a third.",
		Formula: "a chord lies in a key if its notes are among those of the key",
		Questions: []asked{
			{"Which note of the C major scale, by its number, is the root of Dm7?", "2"},
			{"Of which other major keys than C is Dm7 part?", strings.Join(slices.DeleteFunc(slices.Clone(hold), func(s string) bool { return s == "C major" }), ", ")},
			{"How many different notes are there in a major scale, and in a minor seventh chord?", fmt.Sprintf("%d and %d", figure.Major.Set().Len(), c.Quality().Len())},
		},
	}, nil
}

func closing(figure.Figure) (unit, error) {
	var lines []string
	for n := 1; n <= 6; n++ {
		o := cycle.By(interval.Usual(n))
		lines = append(lines, fmt.Sprintf("n = %d: %s of %d keys", n, times(o.Cycles(), "cycle"), len(o.Cycle(0))))
	}
	face, err := circleOf(cycle.By(interval.MinorSecond).Closed(), false, "the twelve keys in half steps, n = 1, to draw the others on")
	if err != nil {
		return unit{}, err
	}
	drawn, err := circleOf(cycle.By(interval.MajorThird).Closed(), false, "steps of four half steps: four cycles of three keys")
	return unit{
		Title:    "Cycles, and why there are gcd(n, 12) of them",
		Able:     "say how an order by any interval falls into cycles, before you write it out",
		Words:    []string{"cycle", "order", "greatest common divisor"},
		Pictures: []picture{face},
		Shown:    []picture{drawn},
		Task:     "Go up by n half steps again and again, for n from 1 to 6. How many keys until you are home, and how many cycles do the twelve keys need?",
		Result:   lines,
		Idea: "You are home when the half steps that you have gone are a multiple of 12. That happens first after 12 ÷ gcd(n, 12) keys, gcd being the greatest common divisor. " +
			"Two keys lie in one cycle exactly if their difference is a multiple of that divisor: so there are gcd(n, 12) cycles. Steps of n and of 12 − n have the same cycles, run the other way.",
		Formula: "gcd(n, 12) cycles of 12 ÷ gcd(n, 12) keys",
		Questions: []asked{
			{"How many cycles do steps of 9 half steps make?", fmt.Sprint(cycle.By(interval.Usual(9)).Cycles())},
			{"Which steps from 1 to 11 make one cycle only?", oneCycle()},
			{"Which steps have the cycles of 8, run the other way?", "4"},
		},
	}, err
}

// times returns a number of things.
func times(n int, thing string) string {
	if n == 1 {
		return "1 " + thing
	}
	return fmt.Sprintf("%d %ss", n, thing)
}

// minus writes a number with a minus sign.
func minus(n int) string { return strings.Replace(fmt.Sprint(n), "-", "−", 1) }

// spaced writes pitch classes with spaces.
func spaced(s pitch.Set) string {
	var all []string
	for c := range s.Classes() {
		all = append(all, fmt.Sprint(int(c)))
	}
	return strings.Join(all, " ")
}

func oneCycle() string {
	var all []string
	for n := 1; n < 12; n++ {
		if cycle.By(interval.Usual(n)).Cycles() == 1 {
			all = append(all, fmt.Sprint(n))
		}
	}
	return strings.Join(all, ", ")
}

func everyMove(figure.Figure) (unit, error) {
	closed, open, statements := map[cycle.Move]bool{}, map[cycle.Move]bool{}, 0
	for n := 1; n < 12; n++ {
		o := cycle.By(interval.Usual(n))
		for m := range o.Moves(true) {
			closed[m] = true
		}
		for m := range o.Moves(false) {
			open[m] = true
		}
		statements += 12 + o.Cycles()
	}
	drawn, err := circleOf(cycle.By(interval.AugmentedFourth).Closed(), false, "tritones there and back: twelve of the moves")
	return unit{
		Title:    "All 132 moves between keys",
		Able:     "prove that the eleven orders, each cycle closed, make every move once",
		Words:    []string{"move", "order", "statement"},
		Pictures: []picture{drawn},
		Task:     "From each of twelve keys there is a move to eleven others. How many moves are there? How many does the circle of fourths make? How many do all eleven orders make together, each cycle played back to its first key? And if it is not?",
		Result: []string{
			fmt.Sprintf("There are 12 × 11 = %d moves; the circle of fourths makes 12.", 12*11),
			fmt.Sprintf("The eleven closed orders have %d statements and make %d different moves.", statements, len(closed)),
			fmt.Sprintf("With the cycles left open they make %d.", len(open)),
		},
		Idea: "Take any move from a to b. The difference b − a is a number n from 1 to 11, and only the order by n has steps of that size. In it every key has exactly one step up by n, if its cycle is closed. " +
			"So the move is made once, and no move twice. Leave a cycle open, and its last step is missing.",
		Formula: "11 orders × 12 steps = 132 = 12 × 11",
		Questions: []asked{
			{"How many moves does a closed order by minor thirds make?", "12"},
			{"And if its three cycles are left open?", "9"},
			{"How many moves do the eleven open orders leave out?", fmt.Sprint(len(closed) - len(open))},
		},
	}, err
}

func product(f figure.Figure) (unit, error) {
	var lines []string
	for n := 1; n <= 6; n++ {
		o := cycle.By(interval.Usual(n))
		all := f.Composite(o.Cycle(0)...)
		name := ""
		if all.Name() != "" {
			name = ", " + all.Name()
		}
		lines = append(lines, fmt.Sprintf("by %s: %d notes%s", times(n, "half step"), all.Len(), name))
	}
	triad := figure.MustParse("1 b3 5").Composite(cycle.By(interval.MinorThird).Cycle(0)...)
	lines = append(lines, fmt.Sprintf("Beside it, 1 ♭3 5 by 3 half steps: %d notes, %s", triad.Len(), triad.Name()))
	o := cycle.By(interval.MinorThird)
	tonics := f.Scale().Tonics()
	var heard []spelling.Note
	for _, k := range o.Cycle(0) {
		heard = append(heard, tonics[k].In(4))
	}
	staff, err := staffOf(f, c4, "the figure in C")
	set := f.Set()
	return unit{
		Title:    "Figure times cycle",
		Able:     "say which notes an idea makes when it goes once round a cycle",
		Words:    []string{"figure", "cycle", "set", "chromatic", "octatonic", "whole-tone", "mode of limited transposition"},
		Pictures: []picture{staff},
		heard:    soundOf(f, heard...),
		Task:     fmt.Sprintf("The figure %v has the pitch classes %v, counted from its tonic. Play it in the keys of one cycle of minor thirds. How many different notes have you heard, octaves not counted? Now think before you play: how many will it be by major thirds?", f, spaced(set)),
		Result:   lines,
		Idea: "Every note of the figure is moved by every key of the cycle. In a cycle of steps of n the keys are the multiples of gcd(n, 12), so a note leaves its remainder when it is divided by that number, and all keys of that remainder are heard. " +
			"Count the remainders, times the keys of the cycle. All twelve notes are chromatic; an idea with fewer remainders can come out octatonic, whole and half steps in turn, or whole-tone, or as another set that a cycle leaves as it is.",
		Formula: "notes heard = remainders of the figure mod gcd(n, 12) × keys of the cycle",
		Questions: []asked{
			{"Which remainders do the pitch classes of the figure leave, divided by 3?", remainders(set, 3)},
			{"How many notes does it make with a cycle of minor thirds?", fmt.Sprint(f.Composite(o.Cycle(0)...).Len())},
			{"And 1 ♭3 5, with a cycle of tritones?", fmt.Sprint(figure.MustParse("1 b3 5").Composite(cycle.By(interval.AugmentedFourth).Cycle(0)...).Len())},
		},
	}, err
}

func remainders(s pitch.Set, by int) string {
	seen := map[int]bool{}
	for c := range s.Classes() {
		seen[int(c)%by] = true
	}
	var all []string
	for n := range by {
		if seen[n] {
			all = append(all, fmt.Sprint(n))
		}
	}
	return strings.Join(all, ", ")
}
