// Package outputtest tries what writes a file with writers that fail, at every
// moment that there is.
package outputtest

import (
	"bytes"
	"errors"
	"fmt"
	"io"
)

// errFull is what a failing writer returns.
var errFull = errors.New("no space left on device")

// A failing writer takes so many calls of Write, and so many bytes, and fails
// from then on, as a disk that is full does.
type failing struct {
	calls, room int
	taken       bytes.Buffer
	failed      int // calls that failed
}

func (f *failing) Write(p []byte) (int, error) {
	f.calls--
	n := min(len(p), f.room)
	if f.calls < 0 {
		n = 0
	}
	f.room -= n
	f.taken.Write(p[:n])
	if n < len(p) || f.calls < 0 {
		f.failed++
		return n, errFull
	}
	return n, nil
}

// unlimited is more calls, or bytes, than any format takes.
const unlimited = 1 << 30

// Check writes to writers that fail: at each call of Write, and after each byte
// or, where there are more than most, after so many places spread over the whole.
// It returns what is wrong: the writer's error must come back, nothing may be
// written after it, and what came before must be the beginning of the whole.
func Check(write func(io.Writer) error, most int) error {
	whole := &failing{calls: unlimited, room: unlimited}
	if err := write(whole); err != nil {
		return fmt.Errorf("where nothing fails: %w", err)
	}
	calls, size := unlimited-whole.calls, whole.taken.Len()
	if size == 0 {
		return errors.New("nothing is written")
	}
	try := func(w *failing, where string, n int) error {
		switch err := write(w); {
		case !errors.Is(err, errFull):
			return fmt.Errorf("%s %d of %d calls, %d bytes: the error is %v", where, n, calls, size, err)
		case w.failed != 1:
			return fmt.Errorf("%s %d: %d calls of Write after the one that failed", where, n, w.failed-1)
		case !bytes.HasPrefix(whole.taken.Bytes(), w.taken.Bytes()):
			return fmt.Errorf("%s %d: what is written is not the beginning of the whole", where, n)
		}
		return nil
	}
	for n := 0; n < calls; n += 1 + calls/most {
		if err := try(&failing{calls: n, room: unlimited}, "at call", n); err != nil {
			return err
		}
	}
	for n := 0; n < size; n += 1 + size/most {
		if err := try(&failing{calls: unlimited, room: n}, "after byte", n); err != nil {
			return err
		}
	}
	return try(&failing{calls: unlimited, room: size - 1}, "after byte", size-1)
}
