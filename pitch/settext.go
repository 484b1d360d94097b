package pitch

import (
	"strconv"

	"example.com/keyorder/pitch/fault"
)

// String returns the set in theory's compact form, its classes upward from 0:
// "0369" or "8TE". The empty set is "∅".
func (s Set) String() string {
	if s&Aggregate == 0 {
		return "∅"
	}
	b, _ := s.AppendText(nil)
	return string(b)
}

// GoString returns what one would type, for %#v.
func (s Set) GoString() string {
	if s&^Aggregate != 0 {
		return "pitch.Set(" + strconv.Itoa(int(s)) + ")"
	}
	b, _ := s.AppendText(nil)
	return "pitch.MustParseSet(" + strconv.Quote(string(b)) + ")"
}

// AppendText implements encoding.TextAppender. It appends what String returns,
// and nothing for the empty set.
func (s Set) AppendText(b []byte) ([]byte, error) {
	for c := range Class(12) {
		if s.Has(c) {
			b = append(b, digits[c])
		}
	}
	return b, nil
}

// MarshalText implements encoding.TextMarshaler; see AppendText.
func (s Set) MarshalText() ([]byte, error) { return s.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler; see ParseSet.
func (s *Set) UnmarshalText(text []byte) error {
	v, err := ParseSet(string(text))
	if err == nil {
		*s = v
	}
	return err
}

// ParseSet reads a set in theory's compact form: its classes without spaces, in
// any order, each once, with T or t for ten and E or e for eleven. No text and
// "∅" are the empty set. The error is a *fault.SyntaxError.
func ParseSet(text string) (Set, error) {
	if text == "∅" {
		return 0, nil
	}
	refuse := func(at int, want string) (Set, error) {
		return 0, &fault.SyntaxError{What: "set of pitch classes", Input: text, At: at, Want: want}
	}
	var s Set
	for n := range len(text) {
		c, err := ParseClass(text[n : n+1])
		if err != nil {
			return refuse(n, "a set is written with the digits 0 to 9, T (ten) and E (eleven) and nothing between, as 0369")
		}
		if s.Has(c) {
			return refuse(n, c.String()+" comes twice; a set has each class once")
		}
		s |= 1 << c
	}
	return s, nil
}

// MustParseSet is ParseSet for text known to be good, as in tests and tables.
// It panics if the text is not a set.
func MustParseSet(text string) Set {
	s, err := ParseSet(text)
	if err != nil {
		panic(err)
	}
	return s
}
