package practice

import (
	"encoding/json"
	"fmt"
	"io"
	"iter"
	"slices"
	"time"
	"unicode/utf8"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
)

// version is that of the newest lines that are read and written. AppendEntry writes
// 3 where an entry has a variation, so that no older program takes it for the figure
// itself, and 2 otherwise. Lines of version 1, in whose figures r was a rest and altered the super-locrian
// scale, are read too; a line of a newer version is not.
const version = 3

// The bounds of a log.
const (
	MaxLine    = 1 << 16 // bytes of a line, without its newline
	MaxEntries = 1 << 20 // entries that a Log holds
	MaxMinutes = 240     // of an entry or of a plan

	maxText   = 200                                 // bytes of an entry's order or instrument, or of a figure's name
	maxBlocks = MaxMinutes * int(time.Minute/setup) // of a plan
)

// An Entry is one time that a figure was taken through keys. All keys are as
// the part reads them. The zero value is not valid: see [Entry.Validate].
//
// As JSON it is one line, with the version of the form:
//
//	{"version":2,"date":"2025-03-02","minutes":2,"figure":"1 3 2 5","order":"m3",
//	 "keys":"(0369)/(147T)/(258E)","instrument":"trumpet in B♭","first":"C4",
//	 "stage":"constant orders","tempo":80,"rest":"a bar","clean":13,"statements":15,
//	 "failed_keys":"4","failed_moves":"14","first_try":true}
//
// Keys are written as theory writes pitch classes, counted from the written C
// as 0, a move as the key that it leaves and the one that it reaches. minutes,
// order, failed_keys, failed_moves, first_try and block, the block of the plan,
// may be missing, and so may variation, as "retrograde", which makes the version 3.
type Entry struct {
	Date    Date
	Minutes int // 0 if not known or too few to count, at most MaxMinutes
	Figure  figure.Figure
	// Variation is how the figure was varied, if it was: Figure is the idea itself.
	Variation figure.Variation
	Order     string // the order's name as it was typed or planned, at most 200 bytes of UTF-8, which may be empty
	Route     cycle.Route
	// Instrument is the instrument's name, as [drill.Instrument] has it, 1 to 200
	// bytes of UTF-8.
	Instrument string
	// First is the tonic of the first statement, as it was written.
	First spelling.Note
	Stage Stage
	Tempo int // in beats a minute, as [drill.Settings] bounds it
	Rest  drill.Rest
	// Clean statements there were, of so many played: Played is at most
	// what the route has, and less if the player stopped early.
	Clean, Played int
	// FailedKeys and FailedMoves say where it was not clean, as far as known.
	FailedKeys  KeyList
	FailedMoves MoveList
	// FirstTry says that it was the day's first try at the figure.
	FirstTry bool
	// Block is the number of the block of the day's plan that was played, or 0
	// where it was none; see [Plan.Done].
	Block int
}

// line is an Entry in its JSON form.
type line struct {
	Version     int    `json:"version"`
	Date        string `json:"date"`
	Minutes     int    `json:"minutes,omitempty"`
	Figure      string `json:"figure"`
	Variation   string `json:"variation,omitempty"`
	Order       string `json:"order,omitempty"`
	Keys        string `json:"keys"`
	Instrument  string `json:"instrument"`
	First       string `json:"first"`
	Stage       string `json:"stage"`
	Tempo       int    `json:"tempo"`
	Rest        string `json:"rest"`
	Clean       int    `json:"clean"`
	Statements  int    `json:"statements"`
	FailedKeys  string `json:"failed_keys,omitempty"`
	FailedMoves string `json:"failed_moves,omitempty"`
	FirstTry    bool   `json:"first_try,omitempty"`
	Block       int    `json:"block,omitempty"`
}

// isText reports whether a log or a plan holds a text.
func isText(s string) bool { return len(s) <= maxText && utf8.ValidString(s) }

// Validate refuses what a log does not hold: an entry without a figure, keys or
// an instrument, more clean statements than were played, what is out of bounds.
// The error is a *fault.ValueError whose Setting names the field as the JSON form
// does.
func (e Entry) Validate() error {
	_, err := e.figure()
	return err
}

// figure is Validate, and returns the text of the figure.
func (e *Entry) figure() (string, error) {
	if err := e.check(); err != nil {
		return "", err
	}
	text := e.Figure.Plain()
	if !utf8.ValidString(text) {
		return "", &fault.ValueError{Setting: "figure", Value: text, Want: "the text of a figure in a log is UTF-8"}
	}
	return text, nil
}

// check is Validate but for the text of the figure, which takes long.
func (e *Entry) check() error {
	refuse := func(setting string, value any, want string, args ...any) error {
		return &fault.ValueError{Setting: setting, Value: fmt.Sprint(value), Want: fmt.Sprintf(want, args...)}
	}
	if err := e.Date.check(); err != nil {
		return err
	}
	switch most := e.Route.Len(); {
	case e.Minutes < 0 || e.Minutes > MaxMinutes:
		return refuse("minutes", e.Minutes, "an entry is of 0 to %d minutes", MaxMinutes)
	case e.Figure.NoteCount() == 0:
		return refuse("figure", e.Figure.Plain(), "an entry has a figure with at least one note")
	case e.Instrument == "" || !isText(e.Instrument):
		return refuse("instrument", e.Instrument, "an instrument has a name of at most %d bytes of UTF-8", maxText)
	case !isText(e.Order):
		return refuse("order", e.Order, "an order has a name of at most %d bytes of UTF-8", maxText)
	case most == 0:
		return refuse("keys", "", "an entry has at least one key")
	case e.Tempo < drill.MinTempo || e.Tempo > drill.MaxTempo:
		return refuse("tempo", e.Tempo, "the tempo goes from %d to %d beats a minute", drill.MinTempo, drill.MaxTempo)
	case e.Rest < drill.NoRest || figure.Length(e.Rest) > figure.MaxLength:
		return refuse("rest", figure.Length(e.Rest), "the rest goes from none to 64 whole notes")
	case e.Played < 1 || e.Played > most:
		return refuse("statements", e.Played, "with these keys there are 1 to %d statements", most)
	case e.Clean < 0 || e.Clean > e.Played:
		return refuse("clean", e.Clean, "there are 0 to %d clean statements", e.Played)
	case e.Block < 0 || e.Block > maxBlocks:
		return refuse("block", e.Block, "a block of the plan is 1 to %d, or 0 for none", maxBlocks)
	}
	if _, err := e.Variation.Apply(e.Figure); err != nil {
		return &fault.ValueError{Setting: "variation", Err: err}
	}
	var text [32]byte
	if _, err := e.Stage.AppendText(text[:0]); err != nil {
		return err
	}
	if _, err := e.First.AppendText(text[:0]); err != nil {
		return &fault.ValueError{Setting: "first", Err: err}
	}
	if err := e.FailedKeys.check(); err != nil {
		return err
	}
	return e.FailedMoves.check()
}

// MarshalJSON implements json.Marshaler. The error is that of Validate.
func (e Entry) MarshalJSON() ([]byte, error) {
	text, err := e.figure()
	if err != nil {
		return nil, err
	}
	v := version
	if e.Variation == (figure.Variation{}) {
		v = 2
	}
	return json.Marshal(line{
		Version: v, Variation: e.Variation.String(), Date: e.Date.String(), Minutes: e.Minutes, Figure: text, Order: e.Order,
		Keys: e.Route.String(), Instrument: e.Instrument, First: e.First.String(), Stage: e.Stage.String(), Tempo: e.Tempo,
		Rest: e.Rest.String(), Clean: e.Clean, Statements: e.Played, FailedKeys: e.FailedKeys.String(), FailedMoves: e.FailedMoves.String(),
		FirstTry: e.FirstTry, Block: e.Block,
	})
}

// UnmarshalJSON implements json.Unmarshaler. The error is a *fault.SyntaxError
// for what cannot be read, and else that of Validate.
func (e *Entry) UnmarshalJSON(text []byte) error {
	v, err := new(reader).entry(text)
	if err == nil {
		*e = v
	}
	return err
}

// AppendEntry writes an entry as one line, with one call of Write, so that a
// file opened for appending gets all of it or, where the system fails, the
// beginning of it. See [Read] for what becomes of that. Whoever appends to a log
// that is Unended or Torn writes a newline first. The error is that of Validate,
// a *fault.ValueError for a line longer than MaxLine, or that of the Writer.
func AppendEntry(w io.Writer, e Entry) error {
	text, err := e.MarshalJSON()
	if err != nil {
		return err
	}
	if len(text) > MaxLine {
		return &fault.ValueError{Setting: "entry", Value: fmt.Sprint(len(text), " bytes"), Want: fmt.Sprintf("a line of a log has at most %d bytes; take fewer keys or a shorter figure", MaxLine)}
	}
	text = append(text, '\n')
	if n, err := w.Write(text); err != nil {
		return err
	} else if n < len(text) {
		return io.ErrShortWrite
	}
	return nil
}

// Moves yields the moves of the statements that were played, and whether each
// was clean: neither the move nor the key that it reached failed. As in
// [cycle.Route.Moves], the step from one section to the next is no move.
func (e Entry) Moves() iter.Seq2[cycle.Move, bool] {
	return func(yield func(cycle.Move, bool) bool) {
		n, section, from := 0, -1, pitch.Class(0)
		for s, to := range e.Route.Run() {
			if n == e.Played {
				return
			}
			n++
			m := cycle.Move{From: from, To: to}
			if s == section && from != to && !yield(m, !slices.Contains(e.FailedMoves, m) && !slices.Contains(e.FailedKeys, to)) {
				return
			}
			section, from = s, to
		}
	}
}

// passed reports whether at least nine of ten statements were clean.
func (e *Entry) passed() bool { return e.Clean*10 >= e.Played*9 }
