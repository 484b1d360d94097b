// Package fault holds the two errors of the whole module, so that whoever calls
// it has two cases to tell apart and no more.
//
// A [SyntaxError] is text that cannot be read as what it should be: an interval,
// a chord, a figure. A [ValueError] is a value that was understood and is
// refused: a tempo out of bounds, an instrument that nobody knows. Both say what
// was given and what would be right. A ValueError may hold a finer error, with
// facts that a program can use; errors.As finds it too.
//
//	var text *fault.SyntaxError
//	if errors.As(err, &text) {
//		mark(text.Input, text.At) // show the player where
//	}
//
// The messages are for players. They name no package, quote nothing that nobody
// gave, and shorten what is long.
package fault

import (
	"strconv"
	"strings"
	"unicode/utf8"
)

// A SyntaxError is text that cannot be read.
type SyntaxError struct {
	What  string // what the text should be: "interval", "chord"
	Input string // the text that was given; empty if there was none
	At    int    // where in Input the trouble begins, in bytes; 0 for its first character and for the whole of it, which a player mends alike
	Want  string // what would be right, in words: "an interval is written as m3, P4 or M9"
}

// Error returns the message: what the text should be, the text, the place as a
// character counted from 1, unless it is the first, and what would be right.
//
//	interval "m3x" at character 3: after the quality comes a number from 1 to 99
func (e *SyntaxError) Error() string {
	at := max(0, min(e.At, len(e.Input)))
	subject := join(e.What, quote(e.Input, at))
	if at > 0 {
		subject += " at character " + strconv.Itoa(utf8.RuneCountInString(e.Input[:at])+1)
	}
	return subject + ": " + e.Want
}

// A ValueError is a value that is refused.
type ValueError struct {
	Setting string // which value: "tempo", "range", "line 7"
	Value   string // what it was, as text; empty if none was given
	Want    string // what would be right, in words; empty if Err says it
	Err     error  // a finer error, or nil
}

// Error returns the message: the setting, its value, what would be right, and
// what the finer error says. Numbers and measures stand as they are, other
// values between quotes.
//
//	tempo 900: a tempo goes from 20 to 400 beats a minute
func (e *ValueError) Error() string {
	value := quote(e.Value, 0)
	if isMeasure(e.Value) && value == `"`+e.Value+`"` {
		value = e.Value
	}
	text := join(e.Setting, value) + ": " + e.Want
	switch {
	case e.Err == nil:
		return text
	case e.Want != "":
		text += "; "
	}
	return text + e.Err.Error()
}

// Unwrap returns Err, for errors.As and errors.Is.
func (e *ValueError) Unwrap() error { return e.Err }

// isMeasure reports whether a value begins as a number does.
func isMeasure(s string) bool {
	s = strings.TrimPrefix(strings.TrimPrefix(s, "-"), "−")
	return s != "" && s[0] >= '0' && s[0] <= '9'
}

func join(what, text string) string {
	if what == "" || text == "" {
		return what + text
	}
	return what + " " + text
}

// The most bytes of a text that a message quotes before and after the trouble.
const before, after = 30, 40

// quote returns the text between quotes, or nothing where there is none. Of a
// long text it quotes what stands around a place, with … for what is left out.
func quote(s string, at int) string {
	if s == "" {
		return ""
	}
	from, to := max(0, at-before), min(len(s), at+after)
	for from > 0 && from < at && !utf8.RuneStart(s[from]) {
		from++
	}
	for to < len(s) && to > at && !utf8.RuneStart(s[to]) {
		to--
	}
	text := strconv.Quote(s[from:to])
	if from > 0 {
		text = `"…` + text[1:]
	}
	if to < len(s) {
		text = text[:len(text)-1] + `…"`
	}
	return text
}
