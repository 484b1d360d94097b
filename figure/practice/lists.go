package practice

import (
	"fmt"
	"strings"

	"example.com/keyorder/cycle"
	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
)

// A KeyList is keys, as an entry says which failed. Its text is the keys as
// theory writes pitch classes, with spaces between them: 4 T.
type KeyList []pitch.Class

func (l KeyList) check() error {
	for _, k := range l {
		if k > 11 {
			return &fault.ValueError{Setting: "failed_keys", Value: fmt.Sprint(uint8(k)), Want: "a key is 0 to 11"}
		}
	}
	return nil
}

// String returns the list's text.
func (l KeyList) String() string {
	b, _ := l.AppendText(nil)
	return string(b)
}

// AppendText implements encoding.TextAppender; see String. A key that is not 0
// to 11 is a *fault.ValueError.
func (l KeyList) AppendText(b []byte) ([]byte, error) {
	if err := l.check(); err != nil {
		return b, err
	}
	for n, k := range l {
		if n > 0 {
			b = append(b, ' ')
		}
		b, _ = k.AppendText(b)
	}
	return b, nil
}

// MarshalText implements encoding.TextMarshaler; see AppendText.
func (l KeyList) MarshalText() ([]byte, error) { return l.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler; see String. The error is
// that of [pitch.ParseClass].
func (l *KeyList) UnmarshalText(text []byte) error {
	var keys KeyList
	for _, word := range strings.Fields(string(text)) {
		k, err := pitch.ParseClass(word)
		if err != nil {
			return err
		}
		keys = append(keys, k)
	}
	*l = keys
	return nil
}

// A MoveList is moves, as an entry says which failed. Its text is the key that
// each leaves and the one that it reaches, with spaces between the moves: 14 9T.
type MoveList []cycle.Move

func (l MoveList) check() error {
	for _, m := range l {
		if m.From > 11 || m.To > 11 || m.From == m.To {
			return &fault.ValueError{Setting: "failed_moves", Value: fmt.Sprintf("%d to %d", uint8(m.From), uint8(m.To)), Want: "a move is from one key, 0 to 11, to another"}
		}
	}
	return nil
}

// String returns the list's text.
func (l MoveList) String() string {
	b, _ := l.AppendText(nil)
	return string(b)
}

// AppendText implements encoding.TextAppender; see String. A move that is not
// from one key, 0 to 11, to another is a *fault.ValueError.
func (l MoveList) AppendText(b []byte) ([]byte, error) {
	if err := l.check(); err != nil {
		return b, err
	}
	for n, m := range l {
		if n > 0 {
			b = append(b, ' ')
		}
		b, _ = m.From.AppendText(b)
		b, _ = m.To.AppendText(b)
	}
	return b, nil
}

// MarshalText implements encoding.TextMarshaler; see AppendText.
func (l MoveList) MarshalText() ([]byte, error) { return l.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler; see String. The error is a
// *fault.SyntaxError.
func (l *MoveList) UnmarshalText(text []byte) error {
	var moves MoveList
	for _, word := range strings.Fields(string(text)) {
		var m cycle.Move
		if len(word) != 2 || m.From.UnmarshalText([]byte(word[:1])) != nil || m.To.UnmarshalText([]byte(word[1:])) != nil || m.From == m.To {
			return &fault.SyntaxError{What: "move", Input: word, Want: "a move is two different keys, 0 to 9, T and E, as 05"}
		}
		moves = append(moves, m)
	}
	*l = moves
	return nil
}
