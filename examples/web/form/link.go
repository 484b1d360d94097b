package form

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"example.com/keyorder/figure/drill"
	"example.com/keyorder/spelling"
)

// A short link is what stands after the # of an address that somebody writes on a
// board and others type: 3.5.1.6/o:p4/t:96/p:tpt,asx,hn. It has no capitals and
// means the same with them. A setting is its name or the letter for it, a colon
// and its text; the figure comes first and needs no name. In a text a point stands
// for a space and in a figure a semicolon for a stroke; s behind a note is its sharp, and
// min and maj say which interval.

// letters stand for the names of the settings that a class needs.
var letters = map[string]string{
	"figure": "f", "scale": "s", "order": "o", "instrument": "i", "tempo": "t", "meter": "m", "rest": "r", "keys": "k", "parts": "p",
}

// abbreviations are those of scores (common practice, no source), for the
// instruments of a class.
var abbreviations = map[string]string{
	"fl": "flute", "ob": "oboe", "cl": "clarinet in B♭", "bcl": "bass clarinet in B♭", "bn": "bassoon",
	"asx": "alto saxophone in E♭", "tsx": "tenor saxophone in B♭", "bsx": "baritone saxophone in E♭",
	"tpt": "trumpet in B♭", "cnt": "cornet in B♭", "hn": "horn in F", "tbn": "trombone", "euph": "euphonium", "tba": "tuba",
	"vn": "violin", "va": "viola", "vc": "cello", "db": "double bass", "gtr": "guitar", "bgtr": "bass guitar", "pno": "piano",
}

// asItIs begins a text that is not written the short way.
const asItIs = "~"

// A spoken is how the texts of a setting are written short, and read again.
type spoken struct{ short, long func(string) string }

func same(s string) string { return s }

func spokenOf(field string) spoken {
	switch field {
	case "figure":
		return spoken{shortFigure, longFigure}
	case "order":
		return spoken{shortOrder, longOrder}
	case "instrument", "parts":
		return spoken{shortInstruments, longInstruments}
	case "first", "keys", "names":
		return spoken{shortNotes, longNotes}
	case "meter":
		return spoken{strings.NewReplacer("/", "-").Replace, strings.NewReplacer("-", "/").Replace}
	}
	return spoken{same, same}
}

// ShortLink writes settings as a short link: those that are not as by default.
func ShortLink(settings map[string]string) string {
	var parts []string
	for _, f := range Fields() {
		text := strings.TrimSpace(settings[f.Name])
		if text == "" || text == f.Default {
			continue
		}
		name := f.Name
		if l := letters[name]; l != "" {
			name = l
		}
		if meant(f.Name, text) == f.Default && f.Default != "" {
			continue
		}
		short := linkText(f.Name, text)
		part := name + ":" + short
		if named, _, _ := cutName(short); f.Name == "figure" && named == "" {
			part = short
		}
		parts = append(parts, part)
	}
	return strings.Join(parts, "/")
}

// linkText writes the text of a setting: short if it can be read again, else as it
// is.
func linkText(field, text string) string {
	s := spokenOf(field)
	means := meant(field, text)
	short := escape(s.short(means))
	if means != "" && !strings.HasPrefix(short, asItIs) && s.long(unescape(short)) == means {
		return short
	}
	return asItIs + escape(text)
}

// signs writes the signs of music in ASCII, as they are typed.
var signs = strings.NewReplacer("♭", "b", "♯", "#", "𝄫", "bb", "𝄪", "##", "♮", "n", "↓", "v")

// meant is the form of a text that a link leads back to, and that means the same.
func meant(field, text string) string {
	switch field {
	case "instrument", "parts":
		return longInstruments(shortInstruments(text))
	case "first", "keys", "names":
		return strings.Join(words(signs.Replace(text)), " ")
	case "figure":
		return signs.Replace(text)
	}
	return text
}

// ReadLink reads a short link. What names no setting stands in the settings under
// what it is called, for Read to refuse; twice is a setting that the link gives
// twice: the last one counts.
func ReadLink(link string) (settings map[string]string, twice string) {
	settings = map[string]string{}
	for n, part := range strings.Split(strings.ToLower(strings.Trim(link, "/ ")), "/") {
		part = strings.TrimSpace(part)
		if part == "" {
			continue
		}
		name, text, named := cutName(part)
		switch {
		case !named && n == 0:
			name, text = "figure", part
		case !named:
			name, text = part, ""
		}
		for long, short := range letters {
			if name == short {
				name = long
			}
		}
		if _, ok := settings[name]; ok {
			twice = name
		}
		if as, ok := strings.CutPrefix(text, asItIs); ok {
			settings[name] = unescape(as)
		} else {
			settings[name] = spokenOf(name).long(unescape(text))
		}
	}
	return settings, twice
}

// cutName takes the name of a setting off a part of a link.
func cutName(part string) (name, text string, named bool) {
	name, text, named = strings.Cut(part, ":")
	for _, r := range name {
		if r < 'a' || r > 'z' {
			return "", part, false
		}
	}
	if !named || name == "" {
		return "", part, false
	}
	return name, text, true
}

// escape writes a text in small letters, digits and signs that an address takes: a
// point for a space, _ before a capital, and what else there is by its number.
func escape(text string) string {
	var b strings.Builder
	for _, r := range text {
		switch {
		case r == ' ':
			b.WriteByte('.')
		case r >= 'A' && r <= 'Z':
			b.WriteByte('_')
			b.WriteRune(r - 'A' + 'a')
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9', strings.ContainsRune(",;:+-|{}()", r):
			b.WriteRune(r)
		default:
			fmt.Fprintf(&b, "__%x_", r)
		}
	}
	return b.String()
}

// unescape reads what escape has written; what it would not have written stays.
func unescape(text string) string {
	var b strings.Builder
	for n := 0; n < len(text); n++ {
		rest := text[n:]
		switch {
		case rest[0] == '.':
			b.WriteByte(' ')
		case strings.HasPrefix(rest, "__"):
			number, _, ok := strings.Cut(rest[2:], "_")
			r, err := strconv.ParseUint(number, 16, 21)
			if !ok || err != nil {
				b.WriteString("__")
				n++
				continue
			}
			b.WriteRune(rune(r))
			n += len(number) + 2
		case rest[0] == '_' && len(rest) > 1 && rest[1] >= 'a' && rest[1] <= 'z':
			b.WriteByte(rest[1] - 'a' + 'A')
			n++
		default:
			b.WriteByte(rest[0])
		}
	}
	return b.String()
}

// words are the words of a list with spaces or commas between.
func words(text string) []string {
	return strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == ',' })
}

// shortNote writes a note's name in small letters, with s for a sharp.
func shortNote(word string) string {
	if _, err := spelling.ParseName(word); err != nil {
		return word
	}
	return strings.ReplaceAll(strings.ToLower(word), "#", "s")
}

// longNote reads shortNote's; other words stay.
func longNote(word string) string {
	if word == "" || word[0] < 'a' || word[0] > 'g' || strings.Trim(word[1:], "b") != "" && strings.Trim(word[1:], "s") != "" {
		return word
	}
	return strings.ToUpper(word[:1]) + strings.ReplaceAll(word[1:], "s", "#")
}

func eachWord(text string, f func(string) string) string {
	all := words(text)
	for n := range all {
		all[n] = f(all[n])
	}
	return strings.Join(all, " ")
}

func shortNotes(text string) string { return eachWord(text, shortNote) }
func longNotes(text string) string  { return eachWord(text, longNote) }

// Figures: notes stand behind the word n, degrees have s for a sharp.
const notesAhead = "n "

func shortFigure(text string) string {
	text = strings.ReplaceAll(text, "/", ";") // of 1/16
	if namesNotes(text) {
		return notesAhead + eachNote(text, shortNote)
	}
	return eachDegree(text, "#", "s")
}

func longFigure(text string) string {
	text = strings.ReplaceAll(text, ";", "/")
	if notes, ok := strings.CutPrefix(text, notesAhead); ok {
		return eachNote(notes, longNote)
	}
	return eachDegree(text, "s", "#")
}

// eachNote does something with each note of a figure: C+Eb:2.
func eachNote(text string, f func(string) string) string {
	events := strings.Split(text, " ")
	for n, event := range events {
		notes, length, lasts := strings.Cut(event, ":")
		all := strings.Split(notes, "+")
		for k := range all {
			all[k] = f(all[k])
		}
		events[n] = strings.Join(all, "+")
		if lasts {
			events[n] += ":" + length
		}
	}
	return strings.Join(events, " ")
}

// eachDegree puts one sign for another before the numbers of a figure: 1+#4.
func eachDegree(text, from, to string) string {
	var b strings.Builder
	for n := range len(text) {
		c := text[n : n+1]
		if c == from && n+1 < len(text) && (text[n+1] >= '0' && text[n+1] <= '9' || text[n+1:n+2] == from) &&
			(n == 0 || strings.IndexByte(" +v{"+from, text[n-1]) >= 0) {
			c = to
		}
		b.WriteString(c)
	}
	return b.String()
}

// Orders: which third it is does not hang on a capital.

var shortSteps = [][2]string{{"m", "min"}, {"M", "maj"}, {"P", "p"}, {"A", "a"}}

func shortOrder(text string) string { return eachStep(text, 0, 1) }
func longOrder(text string) string  { return eachStep(text, 1, 0) }

// eachStep writes the quality of each interval another way, as in P4,-m3.
func eachStep(text string, from, to int) string {
	var b strings.Builder
	for begins := true; text != ""; {
		step := -1
		if begins {
			step = slices.IndexFunc(shortSteps, func(s [2]string) bool {
				rest, ok := strings.CutPrefix(text, s[from])
				return ok && rest != "" && rest[0] >= '0' && rest[0] <= '9'
			})
		}
		if step >= 0 {
			b.WriteString(shortSteps[step][to])
			text = text[len(shortSteps[step][from]):]
		} else {
			begins = strings.IndexByte(" ,;-", text[0]) >= 0
			b.WriteByte(text[0])
			text = text[1:]
			continue
		}
		begins = false
	}
	return b.String()
}

// Instruments, with commas between.

func shortInstruments(text string) string {
	return eachInstrument(text, ",", func(name string) string {
		i, err := drill.Find(name, drill.LevelFull)
		if err != nil {
			return name
		}
		for short, long := range abbreviations {
			if long == i.Name && plainName(name) {
				return short
			}
		}
		return name
	})
}

// plainName reports whether an instrument's name has nothing behind it, such as a
// range, that might be the usual one at one level only.
func plainName(name string) bool { return !strings.ContainsAny(name, ":0123456789") }

func longInstruments(text string) string {
	return eachInstrument(text, ", ", func(name string) string {
		if long := abbreviations[name]; long != "" {
			return long
		}
		return name
	})
}

func eachInstrument(text, between string, f func(string) string) string {
	all := strings.Split(text, ",")
	for n := range all {
		all[n] = f(strings.TrimSpace(all[n]))
	}
	return strings.Join(all, between)
}
