package practice

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
)

// A LineError says which line of a log is not read, counted from 1, and why: Err
// is a *fault.SyntaxError or a *fault.ValueError.
type LineError struct {
	Line int
	Err  error
}

// Error implements error.
func (e *LineError) Error() string { return fmt.Sprintf("line %d is not read: %v", e.Line, e.Err) }

// Unwrap returns Err.
func (e *LineError) Unwrap() error { return e.Err }

// maxProblems is how many problems a Log names.
const maxProblems = 100

// A Log is what was practised.
type Log struct {
	// Entries are in the order of the log, usually but not always that of their
	// dates. Of a log with more than MaxEntries they are the last, and Older
	// counts those before them.
	Entries []Entry
	Older   int
	// Problems are the first hundred lines that were not read; Bad counts all.
	Problems []*LineError
	Bad      int
	// Torn is the beginning of a line, up to MaxLine bytes, that the log ends
	// with: what a write left that did not come to its end. It is no entry.
	// Whole is the number of bytes before it.
	Torn  []byte
	Whole int64
	// Unended says that the log ends with a whole line but no end of a line: the
	// line counts, and a newline goes before the next.
	Unended bool
	// Marked says that a line begins with a byte order mark, and Returns counts
	// the lines that a carriage return ends, alone or with a newline: what other
	// programs leave when they save a log. The lines count all the same.
	Marked  bool
	Returns int
}

// byteOrderMark is U+FEFF in UTF-8.
const byteOrderMark = "\ufeff"

// Read reads a log, to the end. A line that is no entry is a problem, and the
// others count all the same; empty lines are passed over. What stands after
// the last end of a line is a line like the others if its JSON is whole, and
// else Torn: no beginning of a line is whole, so that nothing is taken for what
// it is not.
//
// The error is that of the io.Reader; the Log then holds what was read before.
func Read(r io.Reader) (Log, error) {
	var l Log
	err := l.read(r, MaxEntries)
	return l, err
}

// read reads a log and keeps the last entries, so many at most.
func (l *Log) read(r io.Reader, most int) error {
	defer l.inOrder()
	in := bufio.NewReaderSize(r, 2*MaxLine)
	var rd reader
	for n := 1; ; n++ {
		line, err := readLine(in)
		if err != nil {
			return err
		}
		text, marked := bytes.CutPrefix(line.text, []byte(byteOrderMark))
		l.Marked = l.Marked || marked
		switch {
		case !line.ended && (line.long || len(bytes.TrimSpace(text)) > 0 && !json.Valid(text)):
			l.Torn = bytes.Clone(line.text)
			return nil
		case line.long:
			l.problem(n, &fault.SyntaxError{What: "entry", Input: string(text), Want: fmt.Sprintf("a line has at most %d bytes", MaxLine)})
		case len(bytes.TrimSpace(text)) == 0:
		default:
			if e, err := rd.entry(text); err == nil {
				l.add(e, most)
			} else {
				l.problem(n, err)
			}
		}
		l.Whole += line.size
		if line.returned {
			l.Returns++
		}
		if !line.ended {
			l.Unended = line.size > 0
			return nil
		}
	}
}

// add keeps an entry, in the place of the oldest where there are too many.
func (l *Log) add(e Entry, most int) {
	if len(l.Entries) < most {
		l.Entries = append(l.Entries, e)
		return
	}
	l.Entries[l.Older%len(l.Entries)] = e
	l.Older++
}

// inOrder brings the entries into the order of the log again.
func (l *Log) inOrder() {
	if l.Older == 0 {
		return
	}
	newest := l.Older % len(l.Entries)
	slices.Reverse(l.Entries[:newest])
	slices.Reverse(l.Entries[newest:])
	slices.Reverse(l.Entries)
}

// A logLine is a line of a log.
type logLine struct {
	text     []byte // without its end; of a long line the first MaxLine bytes
	long     bool
	size     int64 // in bytes, with its end
	ended    bool
	returned bool // its end has a carriage return
}

// readLine reads a line and its end: a newline, a carriage return, or both in
// this order. The text is good until the next call. The end of the input is no
// error.
func readLine(in *bufio.Reader) (l logLine, err error) {
	for from := 0; ; {
		b, err := in.Peek(max(from+1, in.Buffered()))
		at := from + bytes.IndexByte(b[from:], '\n')
		if at < from {
			at = len(b)
		}
		if r := bytes.IndexByte(b[from:at], '\r'); r >= 0 {
			at = from + r
		}
		if at == len(b) && err == nil && at <= MaxLine {
			from = at
			continue
		}
		switch {
		case l.long: // and its text is there
		case at > MaxLine:
			l.text, l.long = bytes.Clone(b[:MaxLine]), true
		default:
			l.text = b[:at]
		}
		end := at
		if at < len(b) {
			l.ended, l.returned = true, b[at] == '\r'
			end++
			if l.returned {
				if b, _ = in.Peek(end + 1); len(b) > end && b[end] == '\n' {
					end++
				}
				if !l.long {
					l.text = b[:at] // which Peek may have moved
				}
			}
		}
		l.size += int64(end)
		if _, err := in.Discard(end); err != nil {
			return l, err
		}
		if l.ended || errors.Is(err, io.EOF) {
			return l, nil
		} else if err != nil {
			return l, err
		}
		from = 0
	}
}

func (l *Log) problem(n int, err error) {
	if l.Bad++; len(l.Problems) < maxProblems {
		l.Problems = append(l.Problems, &LineError{n, err})
	}
}

// Tally counts the moves made on an instrument, by its name: those that were
// clean, and those that failed.
func (l Log) Tally(instrument string) (clean, failed cycle.Tally) {
	for i := range l.Entries {
		e := &l.Entries[i]
		if e.Instrument != instrument {
			continue
		}
		for m, ok := range e.Moves() {
			if ok {
				clean.Add(m)
			} else {
				failed.Add(m)
			}
		}
	}
	return clean, failed
}

// A reader reads entries, and remembers the texts that come again and again.
type reader struct {
	figures  map[string]figure.Figure
	figures1 map[string]figure.Figure // of lines of version 1
	routes   map[string]cycle.Route
}

// remembered returns what a text says, read once.
func remembered[T any](known *map[string]T, text string, parse func(string) (T, error)) (T, error) {
	if v, ok := (*known)[text]; ok {
		return v, nil
	}
	v, err := parse(text)
	if err == nil {
		if *known == nil {
			*known = map[string]T{}
		}
		(*known)[text] = v
	}
	return v, err
}

// parseVersion1 reads a figure as lines of version 1 have it: r was a rest, and
// altered the scale that is now called super-locrian.
func parseVersion1(text string) (figure.Figure, error) {
	now := []byte(text)
	inside := false // a chord's braces
	for n := range now {
		switch {
		case now[n] == '{':
			inside = true
		case now[n] == '}':
			inside = false
		case now[n] == 'r' && !inside && (n == 0 || strings.IndexByte(" ,-|}\t\n\r", now[n-1]) >= 0) &&
			(n+1 == len(now) || strings.IndexByte(" ,-|{:\t\n\r", now[n+1]) >= 0):
			now[n] = '0'
		}
	}
	text = string(now)
	if at := strings.LastIndex(text, " in altered"); at > strings.LastIndexByte(text, '}') {
		text = text[:at] + strings.Replace(text[at:], "altered", figure.SuperLocrian.String(), 1)
	}
	return figure.Parse(text)
}

func (rd *reader) entry(text []byte) (Entry, error) {
	l, err := fields(text)
	if err != nil {
		return Entry{}, err
	}
	e := Entry{Minutes: l.Minutes, Order: l.Order, Instrument: l.Instrument, Tempo: l.Tempo, Clean: l.Clean, Played: l.Statements, FirstTry: l.FirstTry, Block: l.Block}
	if e.Date, err = ParseDate(l.Date); err != nil {
		return Entry{}, err
	}
	if l.Version == 1 {
		e.Figure, err = remembered(&rd.figures1, l.Figure, parseVersion1)
	} else {
		e.Figure, err = remembered(&rd.figures, l.Figure, figure.Parse)
	}
	if err != nil {
		return Entry{}, err
	}
	if e.Route, err = remembered(&rd.routes, l.Keys, cycle.ParseRoute); err != nil {
		return Entry{}, err
	}
	e.First, err = spelling.Parse(l.First)
	for _, err := range [...]error{
		err,
		e.Variation.UnmarshalText([]byte(l.Variation)),
		e.Stage.UnmarshalText([]byte(l.Stage)),
		e.Rest.UnmarshalText([]byte(l.Rest)),
		e.FailedKeys.UnmarshalText([]byte(l.FailedKeys)),
		e.FailedMoves.UnmarshalText([]byte(l.FailedMoves)),
		e.check(),
	} {
		if err != nil {
			return Entry{}, err
		}
	}
	return e, nil
}

// fields reads the fields of a line.
func fields(text []byte) (line, error) {
	var l line
	err := json.Unmarshal(text, &l)
	var other *json.UnmarshalTypeError
	var broken *json.SyntaxError
	at := 0
	switch {
	case errors.As(err, &other) && other.Field != "":
		return l, &fault.ValueError{Setting: other.Field, Value: other.Value, Want: "it is not of the kind or the size that an entry has there"}
	case errors.As(err, &broken):
		at = max(0, int(broken.Offset)-1)
		fallthrough
	case err != nil:
		return l, &fault.SyntaxError{What: "entry", Input: string(text), At: at, Want: "a line is one JSON object with the fields of an entry"}
	case l.Version > version:
		return l, &fault.ValueError{Setting: "version", Value: fmt.Sprint(l.Version), Want: fmt.Sprintf("the version is 1 to %d; the line was written by a newer program", version)}
	case l.Version < 1:
		return l, &fault.ValueError{Setting: "version", Value: fmt.Sprint(l.Version), Want: fmt.Sprintf("the version is 1 to %d", version)}
	}
	return l, nil
}
