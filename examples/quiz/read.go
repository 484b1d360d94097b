package main

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"example.com/keyorder/interval"
	"example.com/keyorder/spelling"
	"example.com/keyorder/spelling/chord"
)

// How an answer may be written.
const (
	numberForm    = "Write a whole number, such as 4."
	intervalForm  = "Write an interval, such as m3 or minor third, P5 or perfect fifth."
	noteForm      = "Write a note without an octave, such as Eb or E flat."
	notesForm     = "Write notes without octaves, such as Eb G Bb."
	keyForm       = "Write a key by its tonic, such as Eb major or C minor."
	signatureForm = "Write a number of sharps or flats, such as 3 flats, or none."
	chordForm     = "Write a chord symbol, such as Cm7 or F#dim."
	triadForm     = "Write major, minor, diminished or augmented."
)

// answers reads what pupils write, in the names of a language and in English ones
// where these mean the same.
type answers struct{ language spelling.Language }

// tidy brings a text into one form: signs in ASCII, words for accidentals as
// signs, single spaces.
func tidy(text string) string {
	text = strings.NewReplacer("♭", "b", "♯", "#", "𝄫", "bb", "𝄪", "##", "♮", "", "–", "-", "−", "-").Replace(text)
	fields := strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == '\t' || r == ',' || r == ';' })
	var out []string
	for n := 0; n < len(fields); n++ {
		f := fields[n]
		for _, word := range []struct{ word, sign string }{
			{"double-flat", "bb"}, {"double-sharp", "##"}, {"-flat", "b"}, {"-sharp", "#"}, {"-natural", ""},
		} {
			if cut, ok := strings.CutSuffix(strings.ToLower(f), word.word); ok && len(cut) == 1 {
				f = f[:1] + word.sign
			}
		}
		sign, takes := "", 0
		if len(f) == 1 { // a letter, and perhaps its accidental in words
			double := n+2 < len(fields) && strings.EqualFold(fields[n+1], "double")
			at := n + 1
			if double {
				at++
			}
			if at < len(fields) {
				switch strings.ToLower(fields[at]) {
				case "flat":
					sign, takes = "b", at-n
				case "sharp":
					sign, takes = "#", at-n
				case "natural":
					takes = at - n
				}
			}
			if double {
				sign += sign
			}
		}
		out = append(out, f+sign)
		n += takes
	}
	return strings.Join(out, " ")
}

// before is what people write before an answer.
var before = regexp.MustCompile(`(?i)^(i think |it is |it's |they are |that is |the note |the notes |the key of |the chord |after |= ?)+`)

// bare takes off what is written round an answer: "It is F#." is F#.
func bare(text string) string {
	text = before.ReplaceAllString(strings.TrimSpace(text), "")
	return strings.TrimSpace(strings.TrimRight(text, " .!"))
}

// attached is a letter with its accidental as a word and no space: Eflat.
var attached = regexp.MustCompile(`(?i)\b([A-H])[ -]?(double)?[ -]?(flat|sharp|natural)\b`)

// name reads a note without an octave.
func (a answers) name(text string) (spelling.Name, bool) {
	text = attached.ReplaceAllString(bare(text), "$1 $2 $3")
	if letter, sign, ok := strings.Cut(text, " "); ok && strings.ContainsAny(sign, "b#♭♯") && len(letter) == 1 && !strings.ContainsAny(sign, "ltp") {
		text = letter + sign // E b
	}
	n, err := a.language.ParseName(text)
	if err == nil || a.language == spelling.LanguageEnglish {
		if err != nil {
			n, err = spelling.ParseName(tidy(text))
		}
		return n, err == nil
	}
	if n, err = spelling.ParseName(tidy(text)); a.language == spelling.LanguageGerman && n.Letter() == spelling.LetterB {
		return 0, false // B is never guessed
	}
	return n, err == nil
}

var (
	together = regexp.MustCompile(`^([A-G](bb|##|[b#♭♯x])?){2,}$`)
	capitals = regexp.MustCompile(`[A-G]`)
)

// names reads several.
func (a answers) names(text string) (all []spelling.Name, ok bool) {
	text = strings.ReplaceAll(bare(text), " and ", " ")
	if all, err := a.language.ParseNames(text); err == nil && len(all) > 0 {
		return all, true
	}
	text = attached.ReplaceAllString(text, "$1 $2 $3")
	text = strings.NewReplacer("-", " ", "–", " ", "/", " ", "&", " ", ". ", " ", "|", " ").Replace(text)
	if together.MatchString(text) { // C, Eb and G as CEbG
		text = capitals.ReplaceAllString(text, " $0")
	}
	for _, f := range strings.Fields(tidy(text)) {
		n, ok := a.name(f)
		if !ok {
			return nil, false
		}
		all = append(all, n)
	}
	return all, len(all) > 0
}

var (
	qualities = map[string]string{
		"major": "M", "maj": "M", "minor": "m", "min": "m", "perfect": "P", "perf": "P",
		"augmented": "A", "aug": "A", "diminished": "d", "dim": "d",
	}
	ordinals = []string{"unison", "second", "third", "fourth", "fifth", "sixth", "seventh", "octave", "ninth", "tenth", "eleventh", "twelfth"}
	figures  = []string{
		"zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
		"thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen", "twenty",
	}
)

var (
	short  = regexp.MustCompile(`^([PpMmAd]) ?(\d+)(?:st|nd|rd|th)?$`)
	worded = regexp.MustCompile(`^(maj|min|perf|aug|dim)(\d)`)
)

// interval reads an interval as m3, as minor third, as min. 3rd.
func (a answers) interval(text string) (interval.Interval, bool) {
	text = bare(text)
	if i, err := interval.Parse(text); err == nil {
		return i, true
	}
	if m := short.FindStringSubmatch(text); m != nil { // P 5, p5, m 3rd
		if i, err := interval.Parse(strings.Replace(m[1], "p", "P", 1) + m[2]); err == nil {
			return i, true
		}
	}
	text = strings.NewReplacer(".", "", "(", " ", ")", " ", "-", " ").Replace(strings.ToLower(text))
	text = worded.ReplaceAllString(text, "$1 $2") // maj3
	fields := strings.Fields(text)
	fields = slices.DeleteFunc(fields, func(f string) bool { return f == "a" || f == "an" || f == "the" })
	switch strings.Join(fields, " ") {
	case "half step", "semitone", "half tone":
		return interval.MinorSecond, true
	case "whole step", "whole tone", "tone":
		return interval.MajorSecond, true
	case "tritone":
		return interval.AugmentedFourth, true
	case "octave":
		return interval.Octave, true
	case "unison", "prime":
		return interval.PerfectUnison, true
	case "4th", "5th":
		fields = []string{"perfect", fields[0]}
	}
	if len(fields) == 1 && (strings.HasPrefix(fields[0], "f")) { // fourth and fifth alone are the perfect ones
		fields = []string{"perfect", fields[0]}
	}
	if len(fields) < 2 {
		return 0, false
	}
	quality, number := qualities[fields[0]], slices.Index(ordinals, fields[1])+1
	if digits := strings.TrimRight(fields[1], "stndrh"); number == 0 {
		number, _ = strconv.Atoi(digits)
	}
	i, err := interval.Parse(quality + strconv.Itoa(number))
	return i, err == nil && quality != ""
}

// count reads a number in figures or as a word.
func (a answers) count(text string) (int, bool) {
	text = strings.ToLower(bare(text))
	if n := slices.Index(figures, text); n >= 0 {
		return n, true
	}
	n, err := strconv.Atoi(text)
	return n, err == nil
}

// counted begins with a number of sharps or flats.
var counted = regexp.MustCompile(`^(\d|one|two|three|four|five|six|seven) ?(sharp|flat|[#b♯♭])`)

// signature reads a number of sharps, or of flats below 0, or the accidentals
// themselves.
func (a answers) signature(text string) (int, bool) {
	lower := strings.ToLower(bare(text))
	if counted.MatchString(lower) { // 2 sharps, F# and C#
		lower = strings.TrimSpace(lower[:strings.IndexAny(lower+",", ",:(")])
	}
	switch lower {
	case "none", "0", "no", "no sharps", "no flats", "no flats or sharps", "no sharps or flats", "nothing", "no accidentals", "zero":
		return 0, true
	}
	for suffix, sign := range map[string]int{"sharps": 1, "sharp": 1, "#": 1, "♯": 1, "flats": -1, "flat": -1, "b": -1, "♭": -1} {
		if number, ok := strings.CutSuffix(lower, suffix); ok {
			if n, ok := a.count(number); ok && n >= 0 && n <= 7 {
				return sign * n, true
			}
		}
	}
	names, ok := a.names(text)
	if !ok {
		return 0, false
	}
	for n := -7; n <= 7; n++ {
		all := slices.Sorted(spelling.Major(spelling.Name(n)).Accidentals())
		if slices.Sort(names); slices.Equal(all, names) {
			return n, true
		}
	}
	return 0, false
}

// key reads a key; one without its mode is given as major, and tonicOnly.
func (a answers) key(text string) (k spelling.Key, tonicOnly, ok bool) {
	text = strings.TrimSuffix(bare(text), " key")
	if k, err := a.language.ParseKey(text); err == nil {
		_, err := a.language.ParseName(text)
		return k, err == nil, true
	}
	lower := strings.ToLower(text)
	tonicOnly = true
	minor := false
	for word, isMinor := range map[string]bool{" major": false, " maj": false, "maj": false, " minor": true, " min": true, "min": true, "m": true} {
		if cut, ok := strings.CutSuffix(lower, word); ok && (word[0] == ' ' || attachedMode(cut)) {
			lower, tonicOnly, minor = cut, false, isMinor
			text = text[:len(cut)]
			break
		}
	}
	n, ok := a.name(text)
	if minor {
		return spelling.Minor(n), tonicOnly, ok
	}
	return spelling.Major(n), tonicOnly, ok
}

// attachedMode reports whether a mode may follow without a space, as in Am and
// F#min: only after a letter, or a letter and one sign.
func attachedMode(tonic string) bool {
	n := len([]rune(tonic))
	return n == 1 || n == 2 && strings.ContainsAny(tonic[1:], "b#♭♯")
}

// chord reads a symbol, or a root with words: C minor seventh.
func (a answers) chord(text string) (chord.Chord, bool) {
	text = tidy(attached.ReplaceAllString(bare(text), "$1 $2 $3"))
	root, rest, words := strings.Cut(text, " ")
	if words {
		suffixes := map[string]string{
			"major": "", "minor": "m", "diminished": "dim", "augmented": "aug", "7": "7", "dominant 7": "7",
			"major 7": "maj7", "minor 7": "m7", "diminished 7": "dim7", "half diminished": "m7b5",
			"half diminished 7": "m7b5", "6": "6", "major 6": "6", "minor 6": "m6",
		}
		rest = strings.NewReplacer("-", " ", "seventh", "7", "7th", "7", "sixth", "6", "6th", "6").Replace(strings.ToLower(rest))
		rest = strings.TrimSuffix(strings.TrimSuffix(rest, " triad"), " chord")
		if s, ok := suffixes[rest]; ok {
			text = root + s
		} else {
			text = strings.ReplaceAll(text, " ", "")
		}
	}
	if text != "" {
		text = strings.ToUpper(text[:1]) + text[1:]
	}
	c, err := chord.Parse(text)
	return c, err == nil
}

// number grades an answer that is a whole number.
func number(want int) func(answers, string) (mark, string) {
	return func(a answers, text string) (mark, string) {
		first, _, _ := strings.Cut(bare(text), " ") // "4 half steps"
		got, ok := a.count(first)
		return graded(ok, got == want, false, "")
	}
}

func graded(read, isRight, sounds bool, remark string) (mark, string) {
	switch {
	case !read:
		return unread, ""
	case isRight:
		return right, ""
	case sounds:
		return slip, "Right sound, wrong letter" + remark + "."
	}
	return wrong, ""
}

// exactly grades an answer that is an interval.
func exactly(want interval.Interval) func(answers, string) (mark, string) {
	return func(a answers, text string) (mark, string) {
		got, ok := a.interval(text)
		return graded(ok, got == want, got.Semitones() == want.Semitones(), fmt.Sprintf(": %v counts %s and not %d", got, count(got.Steps()+1, "letter"), want.Steps()+1))
	}
}

// nameIs grades an answer that is a note.
func nameIs(want spelling.Name) func(answers, string) (mark, string) {
	return func(a answers, text string) (mark, string) {
		got, ok := a.name(text)
		return graded(ok, got == want, got.Class() == want.Class(), fmt.Sprintf(": %v sounds as %v does", got, want))
	}
}

// namesAre grades an answer that is several notes, whose order counts or does
// not.
func namesAre(want []spelling.Name, ordered bool) func(answers, string) (mark, string) {
	return func(a answers, text string) (mark, string) {
		got, ok := a.names(text)
		if !ok {
			return unread, ""
		}
		want := slices.Clone(want)
		if len(got) == len(want)+1 && ordered && got[0] == got[len(got)-1] {
			got = got[:len(want)] // the tonic once more, at the end
		}
		if !ordered {
			slices.SortFunc(got, byClass)
			slices.SortFunc(want, byClass)
		}
		sounds := slices.EqualFunc(got, want, func(a, b spelling.Name) bool { return a.Class() == b.Class() })
		return graded(true, slices.Equal(got, want), sounds, " somewhere")
	}
}

func byClass(a, b spelling.Name) int { return int(a.Class()) - int(b.Class()) }

// signatureIs grades an answer that is a key signature.
func signatureIs(want spelling.Key) func(answers, string) (mark, string) {
	return func(a answers, text string) (mark, string) {
		got, ok := a.signature(text)
		return graded(ok, got == int(want.Signature), false, "")
	}
}

// keyIs grades an answer that is a key. The first is the model answer, the others
// are right too. A key without its mode is taken for what was asked.
func keyIs(want ...spelling.Key) func(answers, string) (mark, string) {
	return func(a answers, text string) (mark, string) {
		got, tonicOnly, ok := a.key(text)
		if tonicOnly && want[0].IsMinor() {
			got = spelling.Minor(got.Tonic)
		}
		sounds := got.Tonic.Class() == want[0].Tonic.Class() && got.IsMinor() == want[0].IsMinor()
		return graded(ok, slices.Contains(want, got), sounds, fmt.Sprintf(": %v sounds as %v does", got, want[0]))
	}
}

// chordIs grades an answer that is a chord.
func chordIs(want chord.Chord) func(answers, string) (mark, string) {
	return func(a answers, text string) (mark, string) {
		got, ok := a.chord(text)
		return graded(ok, got == want, got.PitchSet() == want.PitchSet(), fmt.Sprintf(": %v has the same keys", got))
	}
}

// triadIs grades an answer that is a kind of triad.
func triadIs(want chord.Chord) func(answers, string) (mark, string) {
	return func(a answers, text string) (mark, string) {
		if text = bare(text); text != "M" {
			text = strings.ToLower(text)
		}
		text = strings.TrimPrefix(strings.TrimPrefix(text, "a "), "an ")
		text = strings.TrimSuffix(strings.TrimSuffix(text, " triad"), " chord")
		if long, ok := map[string]string{"M": "major", "m": "minor"}[text]; ok {
			text = long
		}
		if _, ok := qualities[text]; !ok || qualities[text] == "P" {
			return unread, ""
		}
		got, ok := a.chord("C " + map[string]string{"M": "major", "m": "minor", "A": "augmented", "d": "diminished"}[qualities[text]])
		return graded(ok, got.Quality() == want.Quality(), false, "")
	}
}
