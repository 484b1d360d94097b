// Package grammar holds tests that read texts made by small grammars, as players
// and programs write them: figures, orders and routes, settings in JSON, logs.
// Whatever the grammars make is valid, so that a reader that refuses it is wrong,
// and it goes deeper than what fuzzing finds by chance.
package grammar

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"testing"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/practice"
	"example.com/keyorder/figure/session"
	"pgregory.net/rapid"
)

// A writer writes a text; what it chooses is said by bytes, and where they end it
// always takes the first choice, which ends every repetition.
type writer struct {
	choices []byte
	text    strings.Builder
}

// below returns a number from 0 to n − 1, by one byte or two.
func (w *writer) below(n int) int {
	choice := 0
	for size := 1; size < n; size <<= 8 {
		choice <<= 8
		if len(w.choices) > 0 {
			choice += int(w.choices[0])
			w.choices = w.choices[1:]
		}
	}
	return choice % n
}

func (w *writer) add(text string)        { w.text.WriteString(text) }
func (w *writer) pick(choices ...string) { w.add(choices[w.below(len(choices))]) }
func (w *writer) number(low, high int)   { w.add(strconv.Itoa(low + w.below(high-low+1))) }
func (w *writer) maybe(write func())     { w.times(0, 1, write) }
func (w *writer) times(low, high int, do func()) {
	for range low + w.below(high-low+1) {
		do()
	}
}

// anyCase writes a text in capitals, small letters or as it is.
func (w *writer) anyCase(text string) {
	switch w.below(3) {
	case 0:
		w.add(text)
	case 1:
		w.add(strings.ToUpper(text))
	case 2:
		w.add(strings.ToUpper(text[:1]) + text[1:])
	}
}

func (w *writer) space() { w.pick(" ", "  ", "\t", "\n", " \r\n ") }

// figure writes a figure:
//
//	figure = [ events "|" ] events [ scale ] [ unit ]
//	event  = [ "{" degree suffix "}" ] ( degree { "+" degree } | "0" ) [ ":" length ]
//
// Bare numbers are written where the scale has all seven.
func (w *writer) figure() {
	units := []struct {
		text string
		size int // in parts of 1/192
	}{{"", 24}, {"1/8", 24}, {"quarters", 48}, {"Eighths", 24}, {"sixteenths", 12}, {"triplets", 16}, {"1/192", 1}, {"3/64", 9}, {"1", 192}, {"64", 12288}, {"16/192", 16}}
	scales := []struct {
		text  string
		seven bool
	}{
		{"", true}, {"dorian", true}, {"natural minor", true}, {"melodic minor (ascending)", true}, {"lydian ♭7", true}, {"super-locrian", true}, {"1 b2 3 4 5 b6 7", true},
		{"mixo", true}, {"1 b2 3 #4 5 6 b7", true}, {"minor blues", false}, {"octatonic half-whole", false}, {"1 3 5", false}, {"Altered", false}, {"whole-tone", false},
	}
	unit, scale := units[w.below(len(units))], scales[w.below(len(scales))]
	event := func() {
		if w.below(4) == 1 {
			w.add("{")
			w.maybe(w.space)
			w.degree(scale.seven)
			w.add(" ")
			w.pick("m7", "", "maj7", "7 alt", "ø", "in by", "+", "mM7(♯11)", "/♭6", "m7/3", strings.Repeat("x", 32), "1|2,3-4:5")
			w.maybe(w.space)
			w.add("}")
			w.maybe(w.space)
		}
		switch w.below(6) {
		case 0, 1, 2:
			w.degree(scale.seven)
		case 3:
			w.add("0")
		default: // naturals, upward
			step := 1 + w.below(8)
			for range 1 + w.below(5) {
				fmt.Fprintf(&w.text, "n%d+", step)
				step += 1 + w.below(4)
			}
			if sign := w.below(4); sign > 0 || !scale.seven {
				w.add([]string{"♮", "♭", "b", "n"}[sign])
			}
			fmt.Fprint(&w.text, step+2) // no flat of it is one of those below
		}
		switch w.below(3) {
		case 1:
			fmt.Fprintf(&w.text, ":%d", 1+w.below(min(12288/unit.size, 99)))
		case 2: // a fraction of the unit that is a multiple of 1/192
			parts := 1 + w.below(min(unit.size, 250))
			fmt.Fprintf(&w.text, ":%d/%d", parts, unit.size)
		}
	}
	// With a hyphen before a note there is no space before it.
	between := func() { w.pick(" ", ", ", ",", "-", " - ", "\n", " , ", "  ") }
	events := func(most int) {
		event()
		for range w.below(most) {
			between()
			event()
		}
	}
	if w.below(3) == 1 {
		events(4)
		w.pick(" | ", "|", " |", "| ")
	}
	events(12)
	w.maybe(between)
	tails := []func(){
		func() {
			if scale.text != "" {
				w.add(" in ")
				if scale.text[0] == '1' {
					w.add(scale.text)
				} else {
					w.anyCase(scale.text)
				}
			}
		},
		func() {
			if unit.text != "" {
				w.add(" by ")
				w.add(unit.text)
			}
		},
	}
	first := w.below(2)
	tails[first]()
	tails[1-first]()
	w.maybe(w.space)
}

// degree writes a degree of a figure.
func (w *writer) degree(bare bool) {
	for range w.below(4) {
		w.pick("v", "↓")
	}
	if !bare {
		w.pick("n", "♮", "b", "♭", "#", "♯", "bb", "𝄫", "𝄪", "x", "###", "bbbbbbb")
	} else {
		w.pick("", "", "", "n", "b", "#", "♭♭", "♯")
	}
	w.number(1, 99)
}

// order writes an order of the twelve keys:
//
//	order = interval | words | pattern | name | keys { "/" keys }
func (w *writer) order() {
	switch w.below(6) {
	case 0:
		w.pick("", "-", "−")
		w.pick("m2", "M2", "m3", "M3", "P4", "A4", "d5", "P5", "m6", "M6", "m7", "M7", "P8", "P1", "M9", "m10", "d4", "A1", "AA2", "dd7", "P15")
	case 1:
		w.pick("", "", "up by ", "down by ", "DOWN ", "-", "up a ", "the circle of ", "down the circle of ")
		w.add([]string{"minor-thirds", "fourths", "Perfect Fifths", "half steps", "whole-steps", "major third", "tritones", "major sevenths", "octaves", "semitones", "chromatic"}[w.below(11)])
	case 2:
		patterns := [][]string{{"P4", "-m3"}, {"P5", "-P4"}, {"up a fourth", "down a minor third"}, {"M2", "M2", "-m2"}, {"P4", "P4"}, {"minor thirds", "−P4"}}
		for n, step := range patterns[w.below(len(patterns))] {
			if n > 0 {
				w.pick(",", ", ", " , ")
			}
			w.add(step)
		}
	case 3:
		w.pick("wedge", "Wedge", "balanced")
	case 4:
		w.anyCase("shuffle:")
		w.number(0, 65535)
	case 5:
		keys := []byte("0123456789TE")
		for n := len(keys) - 1; n > 0; n-- {
			m := w.below(n + 1)
			keys[n], keys[m] = keys[m], keys[n]
		}
		for n, k := range keys {
			if n > 0 && w.below(4) == 1 {
				w.add("/")
			}
			w.key(k)
		}
	}
}

func (w *writer) key(k byte) {
	text := string(k)
	if w.below(4) == 1 && k > '9' {
		text = strings.ToLower(text)
	}
	w.add(text)
}

// route writes a route: sections of keys, closed in parentheses, or an order.
func (w *writer) route() {
	switch w.below(4) {
	case 0:
		w.order()
	case 1:
		w.pick("everymove", "every move", "Every-Move")
	default:
		for n := range 1 + w.below(5) {
			if n > 0 {
				w.add("/")
			}
			closed := w.below(2) == 1
			if closed {
				w.add("(")
			}
			w.times(1, 14, func() { w.key("0123456789TE"[w.below(12)]) })
			if closed {
				w.add(")")
			}
		}
	}
}

// object writes a JSON object of the fields that it chooses, in any order, those
// with a star in front always.
func (w *writer) object(fields map[string]func(*writer), order ...string) {
	w.add("{")
	w.maybe(w.space)
	separator := ""
	turn := w.below(len(order))
	for n := range order {
		name, always := strings.CutPrefix(order[(n+turn)%len(order)], "*")
		if !always && w.below(3) > 0 {
			continue
		}
		w.add(separator)
		w.quoted(name)
		w.pick(":", ": ", " :\n")
		fields[name](w)
		w.maybe(w.space)
		separator = ","
	}
	w.add("}")
}

// quoted writes text as a JSON string, in one of the ways that there are.
func (w *writer) quoted(text string) {
	if w.below(8) == 1 {
		w.add(`"`)
		for _, r := range text {
			switch {
			case r > 0xFFFF: // outside what \u says at once
				w.add(string(r))
			case w.below(2) == 1 || r < ' ' || r == '"' || r == '\\':
				fmt.Fprintf(&w.text, `\u%04x`, r)
			default:
				w.add(string(r))
			}
		}
		w.add(`"`)
		return
	}
	b, _ := json.Marshal(text)
	w.text.Write(b)
}

// sub returns what a production writes.
func (w *writer) sub(write func(*writer)) string {
	inner := writer{choices: w.choices}
	write(&inner)
	w.choices = inner.choices
	return inner.text.String()
}

func quote(production func(*writer)) func(*writer) {
	return func(w *writer) { w.quoted(w.sub(production)) }
}

func choose(texts ...string) func(*writer) {
	return func(w *writer) { w.quoted(texts[w.below(len(texts))]) }
}

func number(low, high int) func(*writer) { return func(w *writer) { w.number(low, high) } }

// settings writes the settings of a drill, which need not make one: the figure may
// be too wide. Each field can be read.
func (w *writer) settings() {
	w.object(map[string]func(*writer){
		"title":  choose("", "two ♯ & <one>", "\"\\\n\u2028"),
		"figure": quote((*writer).figure),
		"route":  quote((*writer).route),
		"parts": func(w *writer) {
			w.add("[")
			for n := range 1 + w.below(3) {
				if n > 0 {
					w.add(",")
				}
				w.instrument()
			}
			w.add("]")
		},
		"meter":   choose("4/4", "6/8", "3+2/8", "2/2", "36/16", "1+1/16"),
		"tempo":   number(10, 500),
		"rest":    choose("a bar", "none", "1/2", "0", "64", "5/192"),
		"closing": choose("held", "Full", "OPEN"),
		"path":    choose("follow", "near"),
		"padding": choose("bar", "beat", "Run On"),
		"reading": choose("usual", "written", "concert"),
		"policy":  choose("usual", "strict", "easy", "easy white keys"),
		"names":   func(w *writer) { w.add([]string{"[]", `["Gb"]`, `["F♯","Db"]`, "null"}[w.below(4)]) },
		"prefer":  func(w *writer) { w.add([]string{"[]", `["Cb"]`, `["Ebb"]`}[w.below(3)]) },
		"leave_out": func(w *writer) {
			w.pick("true", "false")
		},
	}, "*figure", "*route", "*parts", "title", "meter", "tempo", "rest", "closing", "path", "padding", "reading", "policy", "names", "prefer", "leave_out")
}

func (w *writer) instrument() {
	switch w.below(3) {
	case 0:
		choose("piano A0-C8", "trumpet", "Tenor Sax", "B♭ clarinet e3–c7", "double bass")(w)
	default:
		w.object(map[string]func(*writer){
			"name": choose("pipe", "", "Flöte"), "low": choose("C-1", "C2", "F♯1"), "high": choose("C8", "G9", "B♭7"), "sounding": choose("P1", "-M2", "m3", "-P8"),
			"clef": choose("treble", "bass", "alto", "octave treble"), "family": choose("other", "brass", "voice"), "program": number(0, 128),
		}, "*low", "*high", "name", "sounding", "clef", "family", "program")
	}
}

// session writes the settings of a session.
func (w *writer) session() {
	w.object(map[string]func(*writer){
		"drill": (*writer).settings,
		"orders": func(w *writer) {
			w.add("[")
			for n := range 1 + w.below(3) {
				if n > 0 {
					w.add(", ")
				}
				if w.below(2) == 0 {
					quote((*writer).route)(w)
					continue
				}
				w.object(map[string]func(*writer){"name": choose("m3", ""), "title": choose("by thirds", "«»"), "route": quote((*writer).route)}, "*route", "name", "title")
			}
			w.add("]")
		},
		"playback": func(w *writer) {
			w.object(map[string]func(*writer){
				"mode": choose("answer", "call", "model", "click"), "clicks": choose("every beat", "2 and 4"), "count_in": number(-1, 4),
				"swing": func(w *writer) { w.pick("1", "1.5", "2e0", "3") },
			}, "mode", "clicks", "count_in", "swing")
		},
	}, "*drill", "*orders", "playback")
}

// log writes a log and returns how many entries it has, and what it ends with that
// is none.
func (w *writer) log() (entries int, torn string) {
	w.maybe(func() { w.add("\ufeff") })
	for range w.below(8) {
		w.times(0, 2, func() { w.pick("\n", "\r\n", " \t\n", "\r") })
		w.line()
		w.pick("\n", "\r\n", "\r")
		entries++
	}
	switch w.below(3) {
	case 1: // a line that is not ended
		w.line()
		entries++
	case 2: // a line that is torn
		line := w.sub((*writer).line)
		torn = line[:1+w.below(len(line)-1)]
		w.add(torn)
	}
	return entries, torn
}

// line writes an entry of a log, without its end.
func (w *writer) line() {
	one := func(text string) string { // without ends of lines
		return strings.NewReplacer("\n", " ", "\r", " ").Replace(text)
	}
	route := w.sub((*writer).route)
	played := max(cycle.MustParseRoute(route).Len(), 1)
	text := w.sub(func(w *writer) {
		w.object(map[string]func(*writer){
			"version": number(2, 2), "date": choose("2025-03-02", "0001-01-01", "9999-12-31", "2024-02-29"), "minutes": number(0, 240),
			"figure": func(w *writer) { w.quoted("1 " + w.sub((*writer).figure)) }, // it has a note
			"order":  choose("m3", "", "«-M3»"), "keys": func(w *writer) { w.quoted(route) },
			"instrument": choose("flute", "trumpet in B♭", strings.Repeat("x", 200)), "first": choose("C4", "F♯-1", "Cb9"),
			"stage": choose("few keys", "constant orders", "mixed rows"), "tempo": number(10, 500), "rest": choose("a bar", "none", "1/2"),
			"clean": number(0, 0), "statements": number(1, min(played, 60000)), "failed_keys": choose("", "0 T", "e 11"[:1]), "failed_moves": choose("", "05 5E", "te"),
			"first_try": func(w *writer) { w.pick("true", "false") }, "block": number(0, 9), "more": choose("of a program that knows more"),
		}, "*version", "*date", "*figure", "*keys", "*instrument", "*first", "*stage", "*tempo", "*rest", "*clean", "*statements", "minutes", "order", "failed_keys", "failed_moves", "first_try", "block", "more")
	})
	w.add(one(text))
}

// A tb is what tests, fuzzing and rapid have in common.
type tb interface {
	Helper()
	Fatalf(string, ...any)
}

func checkFigure(t tb, choices []byte) {
	t.Helper()
	w := writer{choices: choices}
	w.figure()
	text := w.text.String()
	f, err := figure.Parse(text)
	if err != nil {
		t.Fatalf("%q: %v", text, err)
	}
	for _, again := range []string{f.String(), f.Plain()} {
		if g, err := figure.Parse(again); err != nil || !g.Equal(f) || g.Unit() != f.Unit() || g.Length() != f.Length() || g.Pickup() != f.Pickup() {
			t.Fatalf("%q is read as %q, and that as %v, %v", text, again, g, err)
		}
	}
}

func checkOrder(t tb, choices []byte) {
	t.Helper()
	w := writer{choices: choices}
	w.order()
	text := w.text.String()
	o, err := cycle.Parse(text)
	if err != nil || !o.IsValid() {
		t.Fatalf("%q: %v, %v", text, o, err)
	}
	if again, err := cycle.Parse(o.String()); err != nil || again != o {
		t.Fatalf("%q is read as %v, and that as %v, %v", text, o, again, err)
	}
	if title, _, err := cycle.TitleOf(text); err != nil || title == "" {
		t.Fatalf("%q has the title %q, %v", text, title, err)
	}
	w = writer{choices: choices}
	w.route()
	text = w.text.String()
	r, err := cycle.ParseRoute(text)
	if err != nil || r.Len() == 0 {
		t.Fatalf("%q: %v, %v", text, r, err)
	}
	if again, err := cycle.ParseRoute(r.String()); err != nil || !again.Equal(r) {
		t.Fatalf("%q is read as %v, and that as %v, %v", text, r, again, err)
	}
}

// most is what a drill may cost that is worked out here.
var most = drill.Cost{Statements: 200, Notes: 4000}

func checkSettings(t tb, choices []byte) {
	t.Helper()
	w := writer{choices: choices}
	w.session()
	text := w.text.String()
	var s session.Settings
	in := json.NewDecoder(strings.NewReader(text))
	in.DisallowUnknownFields()
	if err := in.Decode(&s); err != nil {
		t.Fatalf("%s: %v", text, err)
	}
	out, err := json.Marshal(s)
	if err != nil {
		t.Fatalf("%s is read, and has no JSON: %v", text, err)
	}
	var again session.Settings
	if err := json.Unmarshal(out, &again); err != nil {
		t.Fatalf("%s is written as %s: %v", text, out, err)
	}
	if twice, err := json.Marshal(again); err != nil || !bytes.Equal(twice, out) {
		t.Fatalf("%s is written as %s and then as %s, %v", text, out, twice, err)
	}
}

// checkCost holds what a drill that the grammar writes costs against what it says
// that it costs: more than a fuzz target should do at each run.
func checkCost(t tb, choices []byte) {
	t.Helper()
	w := writer{choices: choices}
	w.settings()
	text := w.text.String()
	var s drill.Settings
	if err := json.Unmarshal([]byte(text), &s); err != nil {
		t.Fatalf("%s: %v", text, err)
	}
	cost, costErr := s.Cost()
	d, err := drill.Within(context.Background(), most, s)
	if costErr != nil && err == nil || err == nil && (d.Len() > cost.Statements || d.Duration() > cost.Duration) {
		t.Fatalf("%s costs %+v, %v, and is a drill of %d statements, %v", text, cost, costErr, d.Len(), err)
	}
}

func checkLog(t tb, choices []byte) {
	t.Helper()
	w := writer{choices: choices}
	entries, torn := w.log()
	text := w.text.String()
	l, err := practice.Read(strings.NewReader(text))
	if err != nil || l.Bad > 0 || len(l.Entries) != entries || strings.TrimPrefix(string(l.Torn), "\ufeff") != torn {
		t.Fatalf("%q: %d entries of %d, torn %q, %v, %v", text, len(l.Entries), entries, l.Torn, l.Problems, err)
	}
	var again bytes.Buffer
	for _, e := range l.Entries {
		if err := practice.AppendEntry(&again, e); err != nil {
			t.Fatalf("%q has an entry that is not written: %v", text, err)
		}
	}
	if k, err := practice.Read(bytes.NewReader(again.Bytes())); err != nil || k.Bad > 0 || len(k.Entries) != entries {
		t.Fatalf("%q is written as %q: %d entries, %v", text, &again, len(k.Entries), err)
	}
}

// checkSession works a session out that the grammar writes, keeps it, and goes on
// with it: more than a fuzz target should do at each run.
func checkSession(t tb, choices []byte) {
	t.Helper()
	w := writer{choices: choices}
	w.session()
	var set session.Settings
	if err := json.Unmarshal([]byte(w.text.String()), &set); err != nil {
		t.Fatalf("%s: %v", &w.text, err)
	}
	set.Drill.Parts = set.Drill.Parts[:1]
	s, err := session.New(context.Background(), set, most, practice.Log{})
	if err != nil {
		return // too wide, too long, or without room for the answer
	}
	state, err := s.AppendState(nil)
	if err != nil {
		t.Fatalf("%s is not kept: %v", &w.text, err)
	}
	again, err := session.Resume(context.Background(), state, most, practice.Log{})
	if err != nil {
		t.Fatalf("%s is kept as %s: %v", &w.text, state, err)
	}
	a, err1 := s.AppendJSON(nil)
	b, err2 := again.AppendJSON(nil)
	if errors.Join(err1, err2) != nil || !json.Valid(a) || !bytes.Equal(a, b) {
		t.Fatalf("%s has another plan when it is gone on with: %v", &w.text, errors.Join(err1, err2))
	}
}

// TestLawWhatTheGrammarsWriteIsRead draws texts of every grammar at random.
func TestLawWhatTheGrammarsWriteIsRead(t *testing.T) {
	for name, check := range map[string]func(tb, []byte){"figure": checkFigure, "order": checkOrder, "settings": checkSettings, "cost": checkCost, "log": checkLog, "session": checkSession} {
		t.Run(name, func(t *testing.T) {
			check(t, nil)
			rapid.Check(t, func(t *rapid.T) { check(t, rapid.SliceOfN(rapid.Byte(), 0, 200).Draw(t, "choices")) })
		})
	}
}

func fuzz(f *testing.F, check func(tb, []byte)) {
	for _, seed := range []string{"", "\x01\x02\x03\x04\x05\x06\x07\x08", strings.Repeat("\x05\x01\x03", 40), strings.Repeat("\x0b\xff\x02\x09\x01", 60)} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, choices []byte) { check(t, choices) })
}

func FuzzFigures(f *testing.F)  { fuzz(f, checkFigure) }
func FuzzOrders(f *testing.F)   { fuzz(f, checkOrder) }
func FuzzSettings(f *testing.F) { fuzz(f, checkSettings) }
func FuzzLogs(f *testing.F)     { fuzz(f, checkLog) }
