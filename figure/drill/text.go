package drill

import (
	"bytes"
	"encoding/json"
	"strings"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/internal/enum"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
)

func closings() []string { return []string{"held", "full", "open"} }
func paths() []string    { return []string{"follow", "near"} }
func paddings() []string { return []string{"bar", "beat", "run on"} }
func readings() []string { return []string{"usual", "written", "concert"} }
func clefs() []string    { return []string{"treble", "bass", "alto", "octave treble", "tenor"} }
func levels() []string {
	return []string{"comfortable", "first years", "full", "six notes", "grade 0.5", "grade 1", "grade 1.5", "grade 2", "middle school", "high school"}
}
func articulations() []string { return []string{"tongued", "slurred", "slurred in twos"} }
func accents() []string       { return []string{"none", "groups", "beats"} }
func families() []string      { return []string{"other", "woodwind", "brass", "strings", "voice"} }

// String returns the closing's text.
func (c Closing) String() string { return enum.Text(c, "Closing", closings()) }

// AppendText implements encoding.TextAppender; see MarshalText.
func (c Closing) AppendText(b []byte) ([]byte, error) {
	return enum.Append(b, c, "Closing", closings())
}

// MarshalText implements encoding.TextMarshaler; see String. A value that is
// none of the constants is a *fault.ValueError.
func (c Closing) MarshalText() ([]byte, error) { return c.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler, in any case. The error is a
// *fault.SyntaxError.
func (c *Closing) UnmarshalText(text []byte) error { return enum.Set(c, text, "Closing", closings()) }

// String returns the path's text.
func (p Path) String() string { return enum.Text(p, "Path", paths()) }

// AppendText implements encoding.TextAppender; see MarshalText.
func (p Path) AppendText(b []byte) ([]byte, error) { return enum.Append(b, p, "Path", paths()) }

// MarshalText implements encoding.TextMarshaler; see String. A value that is
// none of the constants is a *fault.ValueError.
func (p Path) MarshalText() ([]byte, error) { return p.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler, in any case. The error is a
// *fault.SyntaxError.
func (p *Path) UnmarshalText(text []byte) error { return enum.Set(p, text, "Path", paths()) }

// String returns the padding's text.
func (p Padding) String() string { return enum.Text(p, "Padding", paddings()) }

// AppendText implements encoding.TextAppender; see MarshalText.
func (p Padding) AppendText(b []byte) ([]byte, error) {
	return enum.Append(b, p, "Padding", paddings())
}

// MarshalText implements encoding.TextMarshaler; see String. A value that is
// none of the constants is a *fault.ValueError.
func (p Padding) MarshalText() ([]byte, error) { return p.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler, in any case. The error is a
// *fault.SyntaxError.
func (p *Padding) UnmarshalText(text []byte) error { return enum.Set(p, text, "Padding", paddings()) }

// String returns the reading's text.
func (r Reading) String() string { return enum.Text(r, "Reading", readings()) }

// AppendText implements encoding.TextAppender; see MarshalText.
func (r Reading) AppendText(b []byte) ([]byte, error) {
	return enum.Append(b, r, "Reading", readings())
}

// MarshalText implements encoding.TextMarshaler; see String. A value that is
// none of the constants is a *fault.ValueError.
func (r Reading) MarshalText() ([]byte, error) { return r.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler, in any case. The error is a
// *fault.SyntaxError.
func (r *Reading) UnmarshalText(text []byte) error { return enum.Set(r, text, "Reading", readings()) }

// String returns the clef's text.
func (c Clef) String() string { return enum.Text(c, "Clef", clefs()) }

// AppendText implements encoding.TextAppender; see MarshalText.
func (c Clef) AppendText(b []byte) ([]byte, error) { return enum.Append(b, c, "Clef", clefs()) }

// MarshalText implements encoding.TextMarshaler; see String. A value that is
// none of the constants is a *fault.ValueError.
func (c Clef) MarshalText() ([]byte, error) { return c.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler, in any case. The error is a
// *fault.SyntaxError.
func (c *Clef) UnmarshalText(text []byte) error { return enum.Set(c, text, "Clef", clefs()) }

// String returns the clefs' text, which is empty for no clef.
func (s Clefs) String() string {
	var names []string
	for c := range s.All() {
		names = append(names, c.String())
	}
	if s>>(ClefTenor+1) != 0 {
		names = append(names, enum.Text(s&^(1<<(ClefTenor+1)-1), "Clefs", nil))
	}
	return strings.Join(names, ", ")
}

// AppendText implements encoding.TextAppender; see MarshalText.
func (s Clefs) AppendText(b []byte) ([]byte, error) {
	if s>>(ClefTenor+1) != 0 {
		return b, &fault.ValueError{Setting: "clefs", Value: s.String(), Want: "a set holds the clefs " + strings.Join(clefs(), ", ")}
	}
	return append(b, s.String()...), nil
}

// MarshalText implements encoding.TextMarshaler; see String. A set that holds
// what is none of the clefs is a *fault.ValueError.
func (s Clefs) MarshalText() ([]byte, error) { return s.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler: clefs in any case and order,
// with commas between them, or nothing for none. The error is a
// *fault.SyntaxError.
func (s *Clefs) UnmarshalText(text []byte) error {
	var all Clefs
	if len(bytes.TrimSpace(text)) > 0 {
		for _, name := range bytes.Split(text, []byte(",")) {
			var c Clef
			if err := c.UnmarshalText(bytes.TrimSpace(name)); err != nil {
				return err
			}
			all |= ClefsOf(c)
		}
	}
	*s = all
	return nil
}

// String returns the level's text.
func (l Level) String() string { return enum.Text(l, "Level", levels()) }

// AppendText implements encoding.TextAppender; see MarshalText.
func (l Level) AppendText(b []byte) ([]byte, error) { return enum.Append(b, l, "Level", levels()) }

// MarshalText implements encoding.TextMarshaler; see String. A value that is
// none of the constants is a *fault.ValueError.
func (l Level) MarshalText() ([]byte, error) { return l.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler, in any case. The error is a
// *fault.SyntaxError.
func (l *Level) UnmarshalText(text []byte) error { return enum.Set(l, text, "Level", levels()) }

// String returns the family's text.
func (f Family) String() string { return enum.Text(f, "Family", families()) }

// AppendText implements encoding.TextAppender; see MarshalText.
func (f Family) AppendText(b []byte) ([]byte, error) { return enum.Append(b, f, "Family", families()) }

// MarshalText implements encoding.TextMarshaler; see String. A value that is
// none of the constants is a *fault.ValueError.
func (f Family) MarshalText() ([]byte, error) { return f.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler, in any case. The error is a
// *fault.SyntaxError.
func (f *Family) UnmarshalText(text []byte) error { return enum.Set(f, text, "Family", families()) }

// String returns the articulation's text.
func (a Articulation) String() string { return enum.Text(a, "Articulation", articulations()) }

// AppendText implements encoding.TextAppender; see MarshalText.
func (a Articulation) AppendText(b []byte) ([]byte, error) {
	return enum.Append(b, a, "Articulation", articulations())
}

// MarshalText implements encoding.TextMarshaler; see String. A value that is
// none of the constants is a *fault.ValueError.
func (a Articulation) MarshalText() ([]byte, error) { return a.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler, in any case. The error is a
// *fault.SyntaxError.
func (a *Articulation) UnmarshalText(text []byte) error {
	return enum.Set(a, text, "Articulation", articulations())
}

// String returns the accents' text.
func (a Accents) String() string { return enum.Text(a, "Accents", accents()) }

// AppendText implements encoding.TextAppender; see MarshalText.
func (a Accents) AppendText(b []byte) ([]byte, error) {
	return enum.Append(b, a, "Accents", accents())
}

// MarshalText implements encoding.TextMarshaler; see String. A value that is
// none of the constants is a *fault.ValueError.
func (a Accents) MarshalText() ([]byte, error) { return a.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler, in any case. The error is a
// *fault.SyntaxError.
func (a *Accents) UnmarshalText(text []byte) error {
	return enum.Set(a, text, "Accents", accents())
}

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

// AppendText implements encoding.TextAppender; see String. A negative rest
// other than NoRest is a *fault.ValueError.
func (r Rest) AppendText(b []byte) ([]byte, error) {
	if r < NoRest {
		return b, &fault.ValueError{Setting: "rest", Value: figure.Length(r).String(), Want: "a rest is a length, at most 64 whole notes, or none"}
	}
	return append(b, r.String()...), nil
}

// MarshalText implements encoding.TextMarshaler; see AppendText.
func (r Rest) MarshalText() ([]byte, error) { return r.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler. It reads a length as
// figure.ParseLength does, "none" and "a bar". A rest of length 0 is none. The
// error is a *fault.SyntaxError.
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
		return &fault.SyntaxError{What: "rest", Input: string(text), Want: "a rest is a length such as 1/2, at most 64 whole notes, or none"}
	}
	if *r = Rest(l); l == 0 {
		*r = NoRest
	}
	return nil
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
// is the MIDI key number that sounds, index the note of the figure; a note may
// have "slur", which is begin, on or end, and "accent". join, return, held, rests
// and respelled are left out where they say nothing;
// chords, as {"onset":"0", "root":"F", "suffix":"m7♭5"}, where there are none.
func (s Statement) MarshalJSON() ([]byte, error) {
	type note struct {
		Onset  figure.Length `json:"onset"`
		Length figure.Length `json:"length"`
		Note   spelling.Note `json:"note"`
		Key    pitch.Number  `json:"key"`
		Index  int           `json:"index"`
		Slur   string        `json:"slur,omitempty"`
		Accent bool          `json:"accent,omitempty"`
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
	if j, ok := s.Join(); ok {
		i := j.Interval()
		out.Join = &i
	}
	marks := s.Marks()
	for n, e := range s.Events() {
		slur := ""
		switch m := marks[n]; {
		case m.Has(MarkSlurBegin):
			slur = "begin"
		case m.Has(MarkSlurEnd):
			slur = "end"
		case m.Has(MarkSlurOn):
			slur = "on"
		}
		out.Notes = append(out.Notes, note{e.Onset, e.Length, e.Note, s.SoundingNumber(e.Note), e.Index, slur, marks[n].Has(MarkAccent)})
	}
	for c := range s.Chords() {
		out.Chords = append(out.Chords, chord{c.Onset, c.Root, c.Suffix})
	}
	return json.Marshal(out)
}
