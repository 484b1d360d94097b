// Package output lets the example programs say that what they print was not
// written, so that nobody takes a full disk for an empty answer.
package output

import (
	"fmt"
	"io"
)

// A Writer writes to another and remembers the first error. What comes after
// that is dropped.
type Writer struct {
	To  io.Writer
	err error
}

// Write implements io.Writer.
func (w *Writer) Write(p []byte) (int, error) {
	if w.err != nil {
		return 0, w.err
	}
	n, err := w.To.Write(p)
	if err == nil && n < len(p) {
		err = io.ErrShortWrite
	}
	if err != nil {
		w.err = fmt.Errorf("standard output could not be written: %w", err)
	}
	return n, w.err
}

// Err returns the first error, or nil.
func (w *Writer) Err() error { return w.err }
