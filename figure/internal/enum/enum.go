// Package enum gives enumerations their text: one list of names for each type,
// read in any case, and for a value that is none of the constants a text that
// says so.
package enum

import (
	"fmt"
	"strings"

	"example.com/keyorder/pitch/fault"
)

// Text returns the name of a value, or "Mode(99)" where the type is Mode and
// the value is none of its constants.
func Text[T ~uint8](v T, typ string, names []string) string {
	if int(v) < len(names) {
		return names[v]
	}
	return fmt.Sprintf("%s(%d)", typ, v)
}

// Append appends the name of a value. For a value that is none of the constants
// the error is a *fault.ValueError.
func Append[T ~uint8](b []byte, v T, typ string, names []string) ([]byte, error) {
	if int(v) < len(names) {
		return append(b, names[v]...), nil
	}
	return b, &fault.ValueError{Setting: strings.ToLower(typ), Value: Text(v, typ, names), Want: want(names)}
}

// Set sets a value to the one that has a name, in any case. The error is a
// *fault.SyntaxError.
func Set[T ~uint8](v *T, text []byte, typ string, names []string) error {
	for n, name := range names {
		if strings.EqualFold(string(text), name) {
			*v = T(n)
			return nil
		}
	}
	return &fault.SyntaxError{What: strings.ToLower(typ), Input: string(text), Want: want(names)}
}

func want(names []string) string { return "it is one of " + strings.Join(names, ", ") }
