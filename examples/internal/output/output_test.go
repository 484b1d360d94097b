package output

import (
	"bytes"
	"errors"
	"strings"
	"testing"
)

type short struct{}

func (short) Write(p []byte) (int, error) { return len(p) - 1, nil }

func TestWriter(t *testing.T) {
	w := Writer{To: short{}}
	if _, err := w.Write([]byte("abc")); err == nil || w.Err() != err {
		t.Errorf("%v, %v", err, w.Err())
	}
	w.To = new(bytes.Buffer)
	if n, err := w.Write([]byte("abc")); n != 0 || err != w.Err() || !strings.HasPrefix(err.Error(), "standard output could not be written: short write") {
		t.Errorf("%d, %v", n, err)
	}
	w = Writer{To: new(bytes.Buffer)}
	switch n, err := w.Write([]byte("abc")); {
	case n != 3:
		t.Errorf("%d, %v: not all is written", n, err)
	case err != nil:
		t.Errorf("%d, %v: an error", n, err)
	case w.Err() != nil:
		t.Errorf("%d, %v: the writer has the error %v", n, err, w.Err())
	case errors.Unwrap(w.Err()) != nil:
		t.Errorf("%d, %v: there is an error inside", n, err)
	}
}
