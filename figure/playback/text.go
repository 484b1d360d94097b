package playback

import (
	"fmt"
	"strings"
)

// An Error says which option or drill is refused, and what would be accepted.
type Error struct {
	Input  string // the text that was given; empty where it was none, or a value
	Reason string // what would be right
}

// Error implements error.
func (e *Error) Error() string {
	if e.Input == "" {
		return "playback: " + e.Reason
	}
	return fmt.Sprintf("playback: %.60q: %s", e.Input, e.Reason)
}

func modes() []string  { return []string{"answer", "call", "model", "click"} }
func clicks() []string { return []string{"every beat", "2 and 4"} }

// String returns the mode's text.
func (m Mode) String() string {
	if m > ClickOnly {
		return fmt.Sprintf("Mode(%d)", m)
	}
	return modes()[m]
}

// MarshalText implements encoding.TextMarshaler; see String. A mode that is
// none of the constants is an *Error.
func (m Mode) MarshalText() ([]byte, error) { return marshal(m.String(), int(m), modes()) }

// UnmarshalText implements encoding.TextUnmarshaler. The error is an *Error.
func (m *Mode) UnmarshalText(text []byte) error {
	n, err := find(text, modes())
	if err == nil {
		*m = Mode(n)
	}
	return err
}

// String returns the text that says which beats click.
func (c Clicks) String() string {
	if c > TwoAndFour {
		return fmt.Sprintf("Clicks(%d)", c)
	}
	return clicks()[c]
}

// MarshalText implements encoding.TextMarshaler; see String. A value that is
// none of the constants is an *Error.
func (c Clicks) MarshalText() ([]byte, error) { return marshal(c.String(), int(c), clicks()) }

// UnmarshalText implements encoding.TextUnmarshaler. The error is an *Error.
func (c *Clicks) UnmarshalText(text []byte) error {
	n, err := find(text, clicks())
	if err == nil {
		*c = Clicks(n)
	}
	return err
}

func find(text []byte, names []string) (int, error) {
	for n, name := range names {
		if strings.EqualFold(string(text), name) {
			return n, nil
		}
	}
	return 0, &Error{Input: string(text), Reason: "it is one of " + strings.Join(names, ", ")}
}

// marshal returns the text of value n, which must be one that has a name.
func marshal(text string, n int, names []string) ([]byte, error) {
	if n >= len(names) {
		return nil, &Error{Reason: text + ": it is one of " + strings.Join(names, ", ")}
	}
	return []byte(text), nil
}
