package drill

import (
	"encoding/json"
	"fmt"
	"strings"

	"example.com/keyorder/figure"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/spelling"
)

// An Error says which instrument, meter or setting is refused, and what would
// be accepted.
type Error struct {
	Input  string // the text that was given; empty where it was none, or a value
	Reason string // what would be right
}

// Error implements error.
func (e *Error) Error() string {
	if e.Input == "" {
		return "drill: " + e.Reason
	}
	return fmt.Sprintf("drill: %.60q: %s", e.Input, e.Reason)
}

// choice is a setting with a name for each value.
type choice interface{ ~uint8 }

func choiceText[C choice](c C, kind string, names []string) string {
	if int(c) < len(names) {
		return names[c]
	}
	return fmt.Sprintf("%s(%d)", kind, c)
}

func marshalChoice[C choice](c C, names []string) ([]byte, error) {
	if int(c) < len(names) {
		return []byte(names[c]), nil
	}
	return nil, &Error{Reason: fmt.Sprintf("%v: it is one of %s", c, strings.Join(names, ", "))}
}

func setChoice[C choice](c *C, text []byte, names []string) error {
	for k, name := range names {
		if strings.EqualFold(string(text), name) {
			*c = C(k)
			return nil
		}
	}
	return &Error{Input: string(text), Reason: "it is one of " + strings.Join(names, ", ")}
}

func closings() []string { return []string{"held", "full", "open"} }
func paths() []string    { return []string{"follow", "near"} }
func paddings() []string { return []string{"bar", "beat", "run on"} }
func readings() []string { return []string{"usual", "written", "concert"} }
func clefs() []string    { return []string{"treble", "bass", "alto", "octave treble"} }
func levels() []string   { return []string{"comfortable", "first years", "full"} }
func families() []string { return []string{"other", "woodwind", "brass", "strings", "voice"} }

// String returns the closing's text.
func (c Closing) String() string { return choiceText(c, "Closing", closings()) }

// MarshalText implements encoding.TextMarshaler; see String. The error is an
// *Error.
func (c Closing) MarshalText() ([]byte, error) { return marshalChoice(c, closings()) }

// UnmarshalText implements encoding.TextUnmarshaler. The error is an *Error.
func (c *Closing) UnmarshalText(text []byte) error { return setChoice(c, text, closings()) }

// String returns the path's text.
func (p Path) String() string { return choiceText(p, "Path", paths()) }

// MarshalText implements encoding.TextMarshaler; see String. The error is an
// *Error.
func (p Path) MarshalText() ([]byte, error) { return marshalChoice(p, paths()) }

// UnmarshalText implements encoding.TextUnmarshaler. The error is an *Error.
func (p *Path) UnmarshalText(text []byte) error { return setChoice(p, text, paths()) }

// String returns the padding's text.
func (p Padding) String() string { return choiceText(p, "Padding", paddings()) }

// MarshalText implements encoding.TextMarshaler; see String. The error is an
// *Error.
func (p Padding) MarshalText() ([]byte, error) { return marshalChoice(p, paddings()) }

// UnmarshalText implements encoding.TextUnmarshaler. The error is an *Error.
func (p *Padding) UnmarshalText(text []byte) error { return setChoice(p, text, paddings()) }

// String returns the reading's text.
func (r Reading) String() string { return choiceText(r, "Reading", readings()) }

// MarshalText implements encoding.TextMarshaler; see String. The error is an
// *Error.
func (r Reading) MarshalText() ([]byte, error) { return marshalChoice(r, readings()) }

// UnmarshalText implements encoding.TextUnmarshaler. The error is an *Error.
func (r *Reading) UnmarshalText(text []byte) error { return setChoice(r, text, readings()) }

// String returns the clef's name.
func (c Clef) String() string { return choiceText(c, "Clef", clefs()) }

// MarshalText implements encoding.TextMarshaler; see String. The error is an
// *Error.
func (c Clef) MarshalText() ([]byte, error) { return marshalChoice(c, clefs()) }

// UnmarshalText implements encoding.TextUnmarshaler. The error is an *Error.
func (c *Clef) UnmarshalText(text []byte) error { return setChoice(c, text, clefs()) }

// String returns the level's name.
func (l Level) String() string { return choiceText(l, "Level", levels()) }

// MarshalText implements encoding.TextMarshaler; see String. The error is an
// *Error.
func (l Level) MarshalText() ([]byte, error) { return marshalChoice(l, levels()) }

// UnmarshalText implements encoding.TextUnmarshaler. The error is an *Error.
func (l *Level) UnmarshalText(text []byte) error { return setChoice(l, text, levels()) }

// String returns the family's name.
func (f Family) String() string { return choiceText(f, "Family", families()) }

// MarshalText implements encoding.TextMarshaler; see String. The error is an
// *Error.
func (f Family) MarshalText() ([]byte, error) { return marshalChoice(f, families()) }

// UnmarshalText implements encoding.TextUnmarshaler. The error is an *Error.
func (f *Family) UnmarshalText(text []byte) error { return setChoice(f, text, families()) }

// String returns the rest's text: a length, "none", or "a bar".
func (r Rest) String() string {
	switch r {
	case 0:
		return "a bar"
	case NoRest:
		return "none"
	}
	return figure.Length(r).String()
}

// MarshalText implements encoding.TextMarshaler; see String. A negative rest
// other than NoRest is an *Error.
func (r Rest) MarshalText() ([]byte, error) {
	if r < NoRest {
		return nil, &Error{Reason: r.String() + ": a rest is a length, at most 64 whole notes, or none"}
	}
	return []byte(r.String()), nil
}

// UnmarshalText implements encoding.TextUnmarshaler. It reads a length as
// figure.ParseLength does, "none" and "a bar". A rest of length 0 is none. The
// error is an *Error.
func (r *Rest) UnmarshalText(text []byte) error {
	switch string(text) {
	case "a bar":
		*r = 0
		return nil
	case "none":
		*r = NoRest
		return nil
	}
	l, err := figure.ParseLength(string(text))
	if err != nil || l < 0 || l > figure.MaxLength {
		return &Error{Input: string(text), Reason: "a rest is a length such as 1/2, at most 64 whole notes, or none"}
	}
	if *r = Rest(l); l == 0 {
		*r = NoRest
	}
	return nil
}

// UnmarshalJSON implements json.Unmarshaler, and always fails with an *Error: a
// statement belongs to its drill. Read the drill's Settings back instead.
func (s *Statement) UnmarshalJSON([]byte) error {
	return &Error{Reason: "a statement is made by its drill; read the settings of the drill back, and run it"}
}

// MarshalJSON implements json.Marshaler. It fails only where a note or the join
// has no text form, altered more than seven times. The form is meant for other
// programs:
//
//	{"index":1, "section":0, "onset":"2", "length":"2",
//	 "written":"Eb4", "sounding":"Db4", "join":"m3",
//	 "notes":[{"onset":"0", "length":"1/8", "note":"Eb4", "key":61, "index":0}]}
//
// Times are fractions of a whole note, notes are as the part reads them, key
// is the MIDI key number that sounds, index the note of the figure. join,
// return, held, rests and respelled are left out where they say nothing;
// chords, as {"onset":"0", "root":"F", "suffix":"m7"}, where there are none.
func (s Statement) MarshalJSON() ([]byte, error) {
	type note struct {
		Onset  figure.Length `json:"onset"`
		Length figure.Length `json:"length"`
		Note   spelling.Note `json:"note"`
		Key    pitch.Number  `json:"key"`
		Index  int           `json:"index"`
	}
	type chord struct {
		Onset  figure.Length `json:"onset"`
		Root   spelling.Name `json:"root"`
		Suffix string        `json:"suffix"`
	}
	out := struct {
		Index     int                `json:"index"`
		Section   int                `json:"section"`
		Onset     figure.Length      `json:"onset"`
		Length    figure.Length      `json:"length"`
		Written   spelling.Note      `json:"written"`
		Sounding  spelling.Note      `json:"sounding"`
		Join      *interval.Interval `json:"join,omitempty"`
		Return    bool               `json:"return,omitempty"`
		Held      bool               `json:"held,omitempty"`
		Rests     bool               `json:"rests,omitempty"`
		Respelled bool               `json:"respelled,omitempty"`
		Notes     []note             `json:"notes"`
		Chords    []chord            `json:"chords,omitempty"`
	}{s.Index, s.Section, s.Onset, s.Length, s.Written, s.Sounding, nil, s.Return, s.Held, s.Rests, s.Respelled, []note{}, nil}
	if s.Joined {
		out.Join = &s.Join
	}
	for _, e := range s.Events() {
		out.Notes = append(out.Notes, note{e.Onset, e.Length, e.Note, s.SoundingNumber(e.Note), e.Index})
	}
	for c := range s.Chords() {
		out.Chords = append(out.Chords, chord{c.Onset, c.Root, c.Suffix})
	}
	return json.Marshal(out)
}
