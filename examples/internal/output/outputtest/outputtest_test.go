package outputtest

import (
	"errors"
	"io"
	"strings"
	"testing"
)

// TestCheck: each way to take a failure lightly is noticed.
func TestCheck(t *testing.T) {
	for want, write := range map[string]func(io.Writer) error{
		"": func(w io.Writer) error {
			for range 3 {
				if _, err := io.WriteString(w, "abc"); err != nil {
					return err
				}
			}
			return nil
		},
		"the error is <nil>": func(w io.Writer) error { io.WriteString(w, "abc"); return nil },
		"the error is other": func(w io.Writer) error {
			if _, err := io.WriteString(w, "abc"); err != nil {
				return errors.New("other")
			}
			return nil
		},
		"after the one that failed":         func(w io.Writer) error { _, err := io.WriteString(w, "abc"); w.Write(nil); return err },
		"is not the beginning of the whole": backward(),
		"nothing is written":                func(io.Writer) error { return nil },
		"where nothing fails: other":        func(io.Writer) error { return errors.New("other") },
	} {
		if err := Check(write, 100); want == "" && err != nil || want != "" && (err == nil || !strings.Contains(err.Error(), want)) {
			t.Errorf("%v, want %q", err, want)
		}
	}
}

// backward returns what writes another text every time.
func backward() func(io.Writer) error {
	n := byte('a')
	return func(w io.Writer) error {
		n++
		_, err := w.Write([]byte{n, n})
		return err
	}
}
