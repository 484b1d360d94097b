package main

import (
	"fmt"
	"slices"
	"strings"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/interval"
	"example.com/keyorder/spelling"
)

// The units for pupils of about thirteen.
var pupilUnits = []func(figure.Figure) (unit, error){
	byNumbers, elsewhere, howFar, twoNames, myInstrument, clock, myDrill,
}

var (
	c4   = spelling.MustParse("C4")
	d4   = spelling.MustParse("D4")
	c5   = spelling.MustParse("C5")
	idea = figure.MustParse("3 5 1 6") // beside the class's own
)

func byNumbers(f figure.Figure) (unit, error) {
	staff, err := staffOf(f, c4, "the tune on a staff, in C")
	octave := map[spelling.Note]string{}
	for n, i := range degrees() {
		octave[c4.Up(i)] = fmt.Sprint(n + 1)
	}
	return unit{
		Title:    "A tune by numbers",
		Able:     "write a tune as numbers and play it from them",
		Words:    []string{"note", "scale", "degree", "figure"},
		Pictures: []picture{keyboard("the white keys from C, numbered", octave)},
		Shown:    []picture{staff},
		heard:    soundOf(f, c4),
		Task: strings.Join(append([]string{fmt.Sprintf("C is 1, D is 2, and so on. Here is a tune: %v.", f)},
			append(signs(f), "Sing it, or play it on your instrument, then write its letters down.")...), " "),
		Result: []string{"In C it is " + names(f, c4) + "."},
		Idea: "A tune does not live on certain keys of the piano. It lives in how its notes stand to each other. " +
			"Numbers say that: 1 is home, and every other number is counted from home. Seven notes with seven letters make a scale; 8 is home again, higher up. " +
			"A number that stands for a note of the scale is a degree, and a short tune told in degrees is a figure.",
		Formula: "1 2 3 4 5 6 7 8 are C D E F G A B C",
		Questions: []asked{
			{"Which letter is 6 in C?", c4.Up(interval.MajorSixth).Name().String()},
			{"Which number is F in C?", "4"},
			{"Write 3 5 1 6 with letters, in C.", names(idea, c4)},
		},
	}, err
}

// degrees are the intervals of the major scale and its octave above the tonic.
func degrees() []interval.Interval {
	var all []interval.Interval
	for _, t := range strings.Fields("P1 M2 M3 P4 P5 M6 M7 P8") {
		all = append(all, interval.MustParse(t))
	}
	return all
}

// signs says what the signs of a figure mean, of those that it has.
func signs(f figure.Figure) []string {
	text := f.String()
	degrees, _, _ := strings.Cut(text, " by ")
	degrees, _, _ = strings.Cut(degrees, " in ")
	var all []string
	for _, s := range []struct{ any, means string }{
		{":", "The number after a colon says how long the note lasts: 2 is twice as long as a note without one."},
		{"♭b", "A ♭ before a number makes the note a half step lower, to the very next key of the piano."},
		{"♯#", "A ♯ before a number makes the note a half step higher, to the very next key of the piano."},
		{"↓v", "An arrow ↓ before a number sets the note an octave lower."},
		{"|", "The line | stands before the first beat to tap your foot to."},
		{"+", "Numbers joined by + sound together."},
		{"♮", "A ♮ before a number takes the note as the major scale has it."},
		{"{", "What stands in braces is a chord to play with it; leave it out for now."},
	} {
		if strings.ContainsAny(degrees, s.any) {
			all = append(all, s.means)
		}
	}
	if slices.ContainsFunc(strings.Fields(degrees), func(d string) bool { return d == "0" || strings.HasPrefix(d, "0:") }) {
		all = append(all, "0 is a rest.")
	}
	return all
}

// inMajor counts a figure in the major scale, the only one that pupils know here.
func inMajor(f figure.Figure) (figure.Figure, error) {
	if f.Scale() == figure.Major {
		return f, nil
	}
	var chords []figure.ChordEvent
	for c := range f.Chords(0) {
		chords = append(chords, c)
	}
	major, _, err := figure.FromEvents(f.In(c4), chords, 0, figure.Major)
	return major, err
}

func elsewhere(f figure.Figure) (unit, error) {
	moved, onWhite := map[spelling.Note]string{}, map[spelling.Note]string{}
	for n, i := range degrees() {
		moved[d4.Up(i)] = fmt.Sprint(n + 1)
		onWhite[spelling.NameOf(d4.Up(i).Letter(), 0).In(d4.Up(i).Octave())] = fmt.Sprint(n + 1)
	}
	staff, err := staffOf(f, d4, "the same tune, begun on D")
	return unit{
		Title:    "Whole and half steps: the same tune elsewhere",
		Able:     "begin a tune on another note so that it stays the same tune",
		Words:    []string{"half step", "whole step", "key"},
		Pictures: []picture{keyboard("the white keys from D, numbered", onWhite)},
		Shown:    []picture{keyboard("home is D now: two of the numbers fall on black keys", moved), staff},
		heard:    soundOf(f, c4, d4),
		Task:     fmt.Sprintf("Sing 1 2 3 4 5 6 7 8, or play it with C as 1. Now play it with D as 1, on white keys only: which two numbers sound wrong? Put them right, then write the tune %v in D.", f),
		Result: []string{
			"In C it is " + names(f, c4) + ".",
			"In D it is " + names(f, d4) + ".",
			"3 and 7 are wrong: both are a half step too low. In D they are " + list(d4.Up(interval.MajorThird).Name(), d4.Up(interval.MajorSeventh).Name()) + ".",
		},
		Idea: "From one key of the piano to the very next, black or white, is a half step. Two half steps are a whole step. " +
			"In our scale, the major scale, from 3 to 4 and from 7 to 8 is a half step, everywhere else a whole one. Keep that, and the tune is the same wherever you begin. " +
			"The note that is home, with the scale on it, is the key: the tune was in the key of C, now it is in the key of D.",
		Formula: "whole, whole, half, whole, whole, whole, half: twelve half steps from 1 to 8",
		Questions: []asked{
			{"How many half steps is it from 1 to 3?", fmt.Sprint(interval.MajorThird.Semitones())},
			{"Write 3 5 1 6 with letters, in D.", names(idea, d4)},
			{"Begin on G. Which of the seven numbers falls on a black key?", "7, which is " + spelling.MustParse("G4").Up(interval.MajorSeventh).Name().String()},
		},
	}, err
}

func howFar(figure.Figure) (unit, error) {
	e4, g4 := spelling.MustParse("E4"), spelling.MustParse("G4")
	low, high := c4.To(e4), e4.To(g4)
	third, err := staffOf(figure.MustParse("1 3:2 3 5:2"), c4, "from C up to E, and from E up to G")
	return unit{
		Title:    "How far is it from note to note?",
		Able:     "name the way from one note to another",
		Words:    []string{"interval"},
		Pictures: []picture{keyboard("C, E and G", map[spelling.Note]string{c4: "C", e4: "E", g4: "G"}), third},
		heard:    soundOf(figure.MustParse("1 3:2 3 5:2"), c4),
		Task:     "From C to E and from E to G you count three letters each time, the first and the last with them. Are the two ways equally long? Count the half steps.",
		Result: []string{
			fmt.Sprintf("C to E has %d half steps: a %s.", low.Semitones(), low.Name()),
			fmt.Sprintf("E to G has %d half steps: a %s.", high.Semitones(), high.Name()),
		},
		Idea: "The way from note to note is an interval. Its number counts letters, both ends with them: three letters are a third, five a fifth. " +
			"Thirds come in two sizes, so we add a word: the larger is major, the smaller is minor.",
		Formula: fmt.Sprintf("a %s has %d half steps, a %s %d", interval.MinorThird.Name(), interval.MinorThird.Semitones(), interval.MajorThird.Name(), interval.MajorThird.Semitones()),
		Questions: []asked{
			{"How many letters does a fifth count?", "five, both ends with them"},
			{"Is F to A a major or a minor third?", spelling.MustParse("F4").To(spelling.MustParse("A4")).Name()},
			{"Is D to F a major or a minor third?", d4.To(spelling.MustParse("F4")).Name()},
		},
	}, err
}

func twoNames(figure.Figure) (unit, error) {
	sharp, flat := spelling.MustParse("F#4"), spelling.MustParse("Gb4")
	inD, inDb := d4.Up(interval.MajorThird), spelling.MustParse("Db4").Up(interval.PerfectFourth)
	a, err := staffOf(figure.MustParse("1:2 3:2 5:4"), d4, "1 3 5 in D")
	if err != nil {
		return unit{}, err
	}
	b, err := staffOf(figure.MustParse("1:2 4:2 6:4"), spelling.MustParse("Db4"), "1 4 6 in D♭")
	return unit{
		Title:    "One black key, two names",
		Able:     "say why a black key is called F♯ in one tune and G♭ in another",
		Words:    []string{"sharp", "flat"},
		Pictures: []picture{keyboard("the black key between F and G", map[spelling.Note]string{sharp: "?"})},
		Shown:    []picture{a, b},
		Task:     "What is the black key between F and G called? Write 1 2 3 in D, then 1 2 3 4 with D♭ as 1, the black key below D. Use each letter once, one after another as in the alphabet.",
		Result: []string{
			fmt.Sprintf("3 in D is %v: D, E, F are three letters.", inD.Name()),
			fmt.Sprintf("4 in D♭ is %v: D, E, F, G are four letters.", inDb.Name()),
			fmt.Sprintf("%v and %v are one and the same key of the piano.", sharp.Name(), flat.Name()),
		},
		Idea: "Each number has its letter. 3 is always the third letter from home, whatever key of the piano it falls on. " +
			"A sharp (♯) moves a letter a half step up, a flat (♭) a half step down. The sound is the same, but on paper your eye sees at once which number it is.",
		Formula: "count letters first, then half steps",
		Questions: []asked{
			{"What is 3 in A♭ called?", spelling.MustParse("Ab4").Up(interval.MajorThird).Name().String()},
			{"What is 7 in G called: F♯ or G♭?", spelling.MustParse("G4").Up(interval.MajorSeventh).Name().String() + ", the seventh letter from G"},
			{"What is the black key B♭ called when its letter is A?", spelling.MustParse("A#4").Name().String()},
		},
	}, err
}

func myInstrument(f figure.Figure) (unit, error) {
	var lines []string
	concert := spelling.MustParseName("F")
	for _, name := range []string{"flute", "trumpet", "alto saxophone", "horn"} {
		i, err := drill.Find(name, drill.LevelComfortable)
		if err != nil {
			return unit{}, err
		}
		lines = append(lines, fmt.Sprintf("%s reads %v.", i.Name, concert.Down(i.Sounding)))
	}
	trumpet, err := drill.Find("trumpet", drill.LevelComfortable)
	if err != nil {
		return unit{}, err
	}
	sounds := c4.Name().Up(trumpet.Sounding)
	staff, err := staffOf(f, spelling.MustParse("G4"), "what the trumpet reads when the class plays in F")
	return unit{
		Title:    "What I read and what is heard",
		Able:     "find the key that you read when the class plays in F",
		Words:    []string{"written", "sounding", "transposing instrument"},
		Pictures: []picture{keyboard(fmt.Sprintf("a trumpet reads C and %v is heard", sounds), map[spelling.Note]string{c5: "C", sounds.In(4): sounds.String()})},
		Shown:    []picture{staff},
		Task:     fmt.Sprintf("A trumpet player reads C and %v is heard. The class wants to hear the tune in F. In which key must the trumpet read? And your instrument? Play a C, let somebody find it on a piano, and count.", sounds),
		Result:   append([]string{"When the class hears F:"}, lines...),
		Idea: "Some instruments sound another note than the one on the page: transposing instruments. There is a written key, which the player reads, and a sounding key, which is heard. The page is written for the hands, so that the same fingers serve a whole family. " +
			"A trumpet in B♭ sounds a whole step lower than written. So it must read a whole step higher than what the class is to hear.",
		Formula: fmt.Sprintf("an instrument in B♭ reads a whole step higher; one in E♭ a %s lower, or six letters and %d half steps higher", interval.MinorThird.Name(), interval.MajorSixth.Semitones()),
		Questions: []asked{
			{"The trumpet reads D. What is heard?", d4.Name().Up(trumpet.Sounding).String()},
			{"The class hears B♭. What does the trumpet read?", spelling.MustParseName("Bb").Down(trumpet.Sounding).String()},
			{"The class hears C. What does an alto saxophone in E♭ read?", spelling.Name(0).Up(interval.MajorSixth).String()},
		},
	}, err
}

func clock(figure.Figure) (unit, error) {
	thirds, fourths := cycle.By(interval.MinorThird), cycle.By(interval.PerfectFourth)
	face, err := circleOf(cycle.By(interval.MinorSecond).Closed(), false, "the clock: from each hour to the next is a half step")
	if err != nil {
		return unit{}, err
	}
	a, err := circleOf(thirds.Closed(), false, "by three half steps, a minor third: three squares")
	if err != nil {
		return unit{}, err
	}
	b, err := circleOf(fourths.Closed(), false, "by five half steps, which is a fourth: a star through all twelve")
	return unit{
		Title:    "The clock of keys",
		Able:     "go round the twelve keys by steps of your own and say when you are home",
		Words:    []string{"cycle", "order"},
		Pictures: []picture{face},
		Shown:    []picture{a, b},
		Task:     "The twelve keys stand round a clock, C at the top. Go on by three hours each time, C, E♭ and so on, and draw your way. How many keys until you are back at C? How many have you missed? Then go by five hours.",
		Result: []string{
			fmt.Sprintf("By three: %d keys and home; %d are missed. %d cycles like that take in all twelve.", len(thirds.Cycle(0)), 12-len(thirds.Cycle(0)), thirds.Cycles()),
			fmt.Sprintf("By five: all %d keys before you are home.", len(fourths.Cycle(0))),
		},
		Idea: "You are home when the half steps add up to 12, 24, 36 or any other number that 12 goes into. Four steps of three are 12. With steps of five that first happens at 60, after twelve steps, because no number but 1 goes into both 5 and 12. " +
			"A way through all twelve keys is an order. If it falls into pieces that come home early, each piece is a cycle, and you begin the next one on a key that has not had its turn.",
		Formula: fmt.Sprintf("steps of 3 half steps: 12 ÷ 3 = %d keys in each of %d cycles", len(thirds.Cycle(0)), thirds.Cycles()),
		Questions: []asked{
			{"Steps of four: how many keys until you are home?", fmt.Sprint(len(cycle.By(interval.MajorThird).Cycle(0)))},
			{"Steps of six: how many cycles are there?", fmt.Sprint(cycle.By(interval.AugmentedFourth).Cycles())},
			{"Which steps from one to six visit all twelve keys at one go?", allAtOneGo()},
		},
	}, err
}

// allAtOneGo names the steps from one to six that make one cycle.
func allAtOneGo() string {
	var all []string
	for n := 1; n <= 6; n++ {
		if cycle.By(interval.Usual(n)).Cycles() == 1 {
			all = append(all, fmt.Sprint(n))
		}
	}
	return strings.Join(all, " and ")
}

func myDrill(f figure.Figure) (unit, error) {
	o := cycle.By(interval.MajorThird)
	tonics := f.Scale().Tonics()
	var lines []string
	for _, k := range append(o.Cycle(0), o.Cycle(0)[0]) {
		lines = append(lines, fmt.Sprintf("%v: %s", tonics[k], names(f, tonics[k].In(4))))
	}
	drawn, err := circleOf(o.Closed(), false, "up by major thirds: four triangles")
	var heard []spelling.Note
	for _, k := range o.Cycle(0) {
		heard = append(heard, tonics[k].In(4))
	}
	return unit{
		Title:    "Make a drill, play it, swap it",
		Able:     "take an idea of your own through the keys",
		Words:    []string{"drill"},
		Pictures: []picture{drawn},
		heard:    soundOf(f, heard...),
		Task: "Write an idea of four or five numbers. In the picture the way from key to key is four half steps, a major third. Choose how many half steps to go from key to key. Write the letters for each key of the first cycle, " +
			"the first key once more at the end, and play them. Then swap with your neighbour and play theirs.",
		Result: append([]string{fmt.Sprintf("For example %v, up by major thirds:", f)}, lines...),
		Idea: "Fingers learn what they do often. If you always go through the keys in the same order, they learn the order and not the keys. " +
			"So change the order. Begin slowly and warmed up. If anything hurts, stop and rest; if it goes on hurting, ask a doctor.",
		Formula: "an idea, an order and a tempo make a drill",
		Questions: []asked{
			{"How many keys are there in each cycle of major thirds?", fmt.Sprint(len(o.Cycle(0)))},
			{"Why is the first key played once more at the end?", "so that the way back to it is practised too"},
			{"Write the first note of your idea in all twelve keys.", "your own; check it with your neighbour"},
		},
	}, err
}
