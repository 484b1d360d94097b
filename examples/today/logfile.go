package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"example.com/keyorder/examples/internal/disk"
	"example.com/keyorder/examples/internal/logbook"
	"example.com/keyorder/figure/practice"
)

// A logFile is a log that is open for appending.
type logFile struct {
	practice.Log
	f      *os.File
	locked bool
}

// openLog opens a log for appending, with a lock where the system has one, and
// makes it if it is not there. What a crash has torn it sets aside.
func openLog(path string, now practice.Date, warn io.Writer) (*logFile, error) {
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return nil, err
	}
	f, locked, err := disk.OpenLocked(path)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	l := &logFile{f: f, locked: locked}
	if l.Log, err = practice.Read(f); err == nil {
		logbook.Report(path, l.Log, now, warn)
		err = l.mend(path, warn)
	}
	if err != nil {
		f.Close()
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	return l, nil
}

// mend makes the log end with a whole line. With the lock, a torn line is moved
// to a file beside the log; without, another process might be writing, and the
// line is only ended.
func (l *logFile) mend(path string, warn io.Writer) error {
	switch {
	case l.Torn != nil && l.locked:
		if err := l.cut(l.Whole, path+".torn"); err != nil {
			return err
		}
		fmt.Fprintf(warn, "%s: it was moved to %s\n", path, filepath.Base(path)+".torn")
	case l.Torn != nil || l.Unended:
		_, err := l.f.Write([]byte("\n"))
		return err
	}
	return nil
}

// cut moves the end of the log to another file, and brings it to the disk there
// before it is taken from the log.
func (l *logFile) cut(from int64, path string) error {
	aside, err := os.OpenFile(path, os.O_WRONLY|os.O_APPEND|os.O_CREATE, 0o644)
	if err != nil {
		return err
	}
	_, err = l.f.Seek(from, io.SeekStart)
	if err == nil {
		_, err = io.Copy(aside, io.MultiReader(l.f, strings.NewReader("\n")))
	}
	if err == nil {
		err = aside.Sync()
	}
	if err = errors.Join(err, aside.Close()); err != nil {
		return err
	}
	if err := l.f.Truncate(from); err != nil {
		return err
	}
	if _, err := l.f.Seek(0, io.SeekEnd); err != nil {
		return err
	}
	return l.f.Sync()
}

// undo takes the last line of the log back, if it is an entry.
func (l *logFile) undo(path string, o *options, w world) error {
	if !l.locked {
		return errors.New("this system has no lock that would keep others out meanwhile; take the last line of the log out with an editor")
	}
	if len(l.Entries) == 0 {
		return badUsage("the log has no record to take back")
	}
	line, at, err := l.last()
	if err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	var e practice.Entry
	if err := e.UnmarshalJSON(line); err != nil {
		return fmt.Errorf("%s: nothing was taken back, as the last line is not read: %w", path, err)
	}
	if err := l.cut(at, path+".undone"); err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	what := "a record"
	if e.Block > 0 {
		what = fmt.Sprint("block ", e.Block)
	}
	played := o.names.figure(e.Figure)
	if v := e.Variation.String(); v != "" {
		played += " varied, " + v + ","
	}
	fmt.Fprintln(w.out, o.names.text(fmt.Sprintf("Taken back: %s of %v, %d of %d clean, %s on the %s.\nIt stands in %s now.",
		what, e.Date, e.Clean, e.Played, played, e.Instrument, filepath.Base(path)+".undone")))
	return nil
}

// last returns the last line that is not empty, and where it begins.
func (l *logFile) last() (line []byte, at int64, err error) {
	end, err := l.f.Seek(0, io.SeekEnd)
	if err != nil {
		return nil, 0, err
	}
	from := max(0, end-2*practice.MaxLine)
	tail := make([]byte, end-from)
	if _, err := l.f.ReadAt(tail, from); err != nil {
		return nil, 0, err
	}
	tail = bytes.TrimRight(tail, "\r\n\t ")
	n := bytes.LastIndexAny(tail, "\r\n") + 1
	return bytes.TrimPrefix(tail[n:], []byte("\ufeff")), from + int64(n), nil
}

// append writes an entry and brings it to the disk.
func (l *logFile) append(e practice.Entry) error {
	if err := practice.AppendEntry(l.f, e); err != nil {
		return err
	}
	l.Entries = append(l.Entries, e)
	return l.f.Sync()
}

func (l *logFile) Close() error { return l.f.Close() }
