package playback

import "example.com/keyorder/figure/internal/enum"

func modes() []string  { return []string{"answer", "call", "model", "click"} }
func clicks() []string { return []string{"every beat", "2 and 4", "first beat"} }
func whos() []string   { return []string{"count", "you", "model", "both", "rest", "free"} }
func kinds() []string  { return []string{"note off", "turn", "click", "note on"} }

// String returns the mode's text.
func (m Mode) String() string { return enum.Text(m, "Mode", modes()) }

// AppendText implements encoding.TextAppender; see MarshalText.
func (m Mode) AppendText(b []byte) ([]byte, error) { return enum.Append(b, m, "Mode", modes()) }

// MarshalText implements encoding.TextMarshaler; see String. A mode that is
// none of the constants is a *fault.ValueError.
func (m Mode) MarshalText() ([]byte, error) { return m.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler, in any case. The error is a
// *fault.SyntaxError.
func (m *Mode) UnmarshalText(text []byte) error { return enum.Set(m, text, "Mode", modes()) }

// String returns the text that says which beats click.
func (c Clicks) String() string { return enum.Text(c, "Clicks", clicks()) }

// AppendText implements encoding.TextAppender; see MarshalText.
func (c Clicks) AppendText(b []byte) ([]byte, error) { return enum.Append(b, c, "Clicks", clicks()) }

// MarshalText implements encoding.TextMarshaler; see String. A value that is
// none of the constants is a *fault.ValueError.
func (c Clicks) MarshalText() ([]byte, error) { return c.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler, in any case. The error is a
// *fault.SyntaxError.
func (c *Clicks) UnmarshalText(text []byte) error { return enum.Set(c, text, "Clicks", clicks()) }

// String returns the text that says whose turn it is.
func (w Who) String() string { return enum.Text(w, "Who", whos()) }

// AppendText implements encoding.TextAppender; see MarshalText.
func (w Who) AppendText(b []byte) ([]byte, error) { return enum.Append(b, w, "Who", whos()) }

// MarshalText implements encoding.TextMarshaler; see String. A value that is
// none of the constants is a *fault.ValueError.
func (w Who) MarshalText() ([]byte, error) { return w.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler, in any case. The error is a
// *fault.SyntaxError.
func (w *Who) UnmarshalText(text []byte) error { return enum.Set(w, text, "Who", whos()) }

// String returns the kind's name.
func (k Kind) String() string { return enum.Text(k, "Kind", kinds()) }
