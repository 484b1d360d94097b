// Package session is what the practice page asks of the library: settings in,
// a plan of one session out, and afterwards the player's say in, a report out.
//
// Everything is text and JSON, so that the page itself knows no music. A
// program for another screen can use the same three steps: New, Plan, Report.
package session

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"example.com/keyorder/examples/internal/say"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/figure/practice"
	"example.com/keyorder/pitch"
	"example.com/keyorder/spelling"
)

// The bounds of what the page takes.
const (
	MaxSettings = 4000 // bytes of settings
	MaxNotes    = 64   // notes of a figure
	MaxBars     = 16   // of rest
)

// An Error says which field of the settings is refused, and why.
type Error struct {
	Field string // as in the JSON of the settings; empty if it is none of them
	Err   error
}

// Error implements error.
func (e *Error) Error() string {
	text := e.Err.Error()
	// The packages' names mean nothing to a player, who sees the field.
	for _, name := range []string{"cycle", "drill", "figure", "notation", "pitch", "playback", "practice", "spelling"} {
		text = strings.TrimPrefix(text, name+": ")
	}
	for _, f := range Fields() {
		if f.Name == e.Field {
			text = f.Label + ": " + text
		}
	}
	return strings.TrimSuffix(text, ".") + "."
}

// Unwrap returns Err.
func (e *Error) Unwrap() error { return e.Err }

// A Field is one of the settings: its name in the JSON and in the address of
// the page, what it is called, and its text where none is given.
type Field struct {
	Name    string `json:"name"`
	Label   string `json:"label"`
	Default string `json:"default"`
	Hint    string `json:"hint,omitempty"` // how to type it
}

// Fields lists the settings.
func Fields() []Field {
	return []Field{
		{"figure", "Figure", "1:3 5 4 2 3:2", "Degrees of the scale, as 1 5 b3:2 4. A colon gives a length, v an octave down, | stands before the downbeat, 0 rests."},
		{"scale", "Scale", "", ""},
		{"order", "Order of keys", "m3", "An interval such as m3, -M2 or P4, a pattern such as P4,-m3, or a word from the list; several with spaces between."},
		{"instrument", "Instrument", "piano", "A range of your own may follow, as trumpet Bb3-E5."},
		{"tempo", "Tempo", "80", "Beats a minute."},
		{"meter", "Meter", "4/4", ""},
		{"rest", "Rest after each key", "", ""},
		{"sound", "Sound beside the click", "click", ""},
		{"first", "First key", "", ""},
		{"names", "What keys are called", "", "Names such as Eb Ab F#, or flats; otherwise as players of the scale call them."},
		{"range", "Range", "comfortable", ""},
		{"close", "Back to the first key with", "held", ""},
		{"fit", "Keys that do not fit", "refuse", ""},
		{"show", "The answer on the screen", "ask", ""},
	}
}

// A Session is one drill, or several in a row, ready to be played and shown.
type Session struct {
	figure figure.Figure
	part   drill.Instrument
	keys   [12]spelling.Name // the keys as the player reads them
	called []spelling.Name   // as the player wants keys to be called
	first  pitch.Class
	orders []say.Order
	drills []*drill.Drill
	line   *playback.Line
	show   string
	log    practice.Log // what was practised before
}

// New works out the session that the settings, a JSON object of texts, ask for.
// The log, in the form that package practice reads, is what was practised
// before. The error is an *Error.
func New(settings []byte, log string) (*Session, error) {
	text, err := parse(settings)
	if err != nil {
		return nil, err
	}
	s := &Session{show: text["show"]}
	if s.log, err = practice.Read(strings.NewReader(log)); err != nil {
		return nil, &Error{"", err}
	}
	if s.show != "ask" && s.show != "after" {
		return nil, refuse("show", s.show, "the answer is shown on request, ask, or after it was played, after")
	}
	for _, read := range []func(map[string]string) error{s.readFigure, s.readPart, s.readOrders, s.setDrills} {
		if err := read(text); err != nil {
			return nil, err
		}
	}
	return s, nil
}

func refuse(field, input, reason string) error {
	return &Error{field, fmt.Errorf("%.60q: %s", input, reason)}
}

// parse reads the settings and fills in what is not given.
func parse(settings []byte) (map[string]string, error) {
	if len(settings) > MaxSettings {
		return nil, &Error{"", fmt.Errorf("the settings are %d bytes long; at most %d are read", len(settings), MaxSettings)}
	}
	var given map[string]string
	if err := json.Unmarshal(settings, &given); err != nil {
		return nil, &Error{"", errors.New("the settings are no JSON object of texts")}
	}
	text := make(map[string]string)
	var names []string
	for _, f := range Fields() {
		names = append(names, f.Name)
		text[f.Name] = strings.TrimSpace(given[f.Name])
		if text[f.Name] == "" {
			text[f.Name] = f.Default
		}
	}
	var unknown []string
	for name := range given {
		if !slices.Contains(names, name) {
			unknown = append(unknown, name)
		}
	}
	if len(unknown) > 0 {
		return nil, &Error{"", fmt.Errorf("there is no setting %.40q; the settings are %s", slices.Min(unknown), strings.Join(names, ", "))}
	}
	return text, nil
}

func (s *Session) readFigure(text map[string]string) error {
	written := text["figure"]
	if scale := text["scale"]; scale != "" {
		parsed, err := figure.ParseScale(scale)
		if err != nil {
			return &Error{"scale", err}
		}
		if strings.Contains(written, " in ") {
			return refuse("scale", scale, "the figure names its scale already; name it once")
		}
		written += " in " + parsed.String()
	}
	f, err := figure.Parse(written)
	if err != nil {
		return &Error{"figure", err}
	}
	if n := f.NoteCount(); n == 0 || n > MaxNotes {
		return refuse("figure", text["figure"], fmt.Sprintf("a figure has 1 to %d notes here, not %d", MaxNotes, n))
	}
	s.figure = f
	return nil
}

func (s *Session) readPart(text map[string]string) error {
	var level drill.Level
	if err := level.UnmarshalText([]byte(text["range"])); err != nil {
		return &Error{"range", err}
	}
	part, err := drill.Find(text["instrument"], level)
	if err != nil {
		return &Error{"instrument", err}
	}
	s.part = part
	return nil
}

func (s *Session) readOrders(text map[string]string) error {
	if names := text["names"]; names != "" {
		var err error
		if s.called, err = figure.ParsePreference(names); err != nil {
			return &Error{"names", err}
		}
	}
	prefer := s.called
	first := text["first"]
	if first != "" {
		n, err := spelling.ParseName(first)
		if err != nil {
			return &Error{"first", err}
		}
		prefer, s.first = append(slices.Clone(prefer), n), n.Class()
	}
	s.keys = s.figure.Scale().Tonics(prefer...)
	made, _ := s.log.Tally(s.part.Name)
	orders, err := say.Orders(text["order"], say.Start{
		Scale: s.figure.Scale(), Prefer: prefer, First: s.first, Asked: first != "",
		Name: func(c pitch.Class) string { return s.keys[c].String() }, Played: made,
	})
	if err != nil {
		return &Error{"order", err}
	}
	if len(orders) > 12 {
		return refuse("order", text["order"], fmt.Sprintf("%d orders in a row; at most 12 are played here", len(orders)))
	}
	s.orders = orders
	return nil
}

func (s *Session) setDrills(text map[string]string) error {
	set := drill.Settings{Figure: s.figure, Parts: []drill.Instrument{s.part}, Names: s.called, Prefer: []spelling.Name{s.keys[s.first]}}
	if err := set.Meter.UnmarshalText([]byte(text["meter"])); err != nil {
		return &Error{"meter", err}
	}
	tempo, err := strconv.Atoi(text["tempo"])
	if err != nil || tempo < drill.MinTempo || tempo > drill.MaxTempo {
		return refuse("tempo", text["tempo"], fmt.Sprintf("the tempo is a whole number of beats a minute, %d to %d", drill.MinTempo, drill.MaxTempo))
	}
	set.Tempo = tempo
	if err := set.Closing.UnmarshalText([]byte(text["close"])); err != nil {
		return &Error{"close", err}
	}
	switch text["fit"] {
	case "refuse":
	case "leave out":
		set.LeaveOut = true
	default:
		return refuse("fit", text["fit"], "keys that do not fit are refused, refuse, or left out, leave out")
	}
	var o playback.Options
	switch err := o.Mode.UnmarshalText([]byte(text["sound"])); {
	case err != nil || o.Mode == playback.ModeCall:
		return refuse("sound", text["sound"], "beside the click sounds nothing, click, the model with the player, model, or the answer after, answer")
	}
	set.Rest = playback.RestFor(o.Mode, set)
	if rest := text["rest"]; rest != "" {
		bars, err := strconv.Atoi(rest)
		if err != nil || bars < 0 || bars > MaxBars {
			return refuse("rest", rest, fmt.Sprintf("the rest is a whole number of bars, 0 to %d", MaxBars))
		}
		if set.Rest = drill.Rest(bars) * drill.Rest(set.Meter.Bar()); bars == 0 {
			set.Rest = drill.NoRest
		}
	}
	for _, order := range s.orders {
		set.Title, set.Route = order.Title, order.Route
		d, err := drill.New(set)
		var fit *drill.FitError
		if errors.As(err, &fit) {
			if len(fit.Fit) > 0 {
				err = fmt.Errorf("%w; or have the others left out", err)
			}
			return &Error{"fit", err}
		}
		if err != nil {
			return &Error{"figure", err}
		}
		s.drills = append(s.drills, d)
	}
	if s.line, err = playback.New(s.drills, o); err != nil {
		return &Error{"rest", err}
	}
	return nil
}
