package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"example.com/keyorder/examples/internal/logbook"
	"example.com/keyorder/figure/practice"
)

// errInUse says that another process holds the lock.
var errInUse = errors.New("another program is recording in it; let that end first")

// A logFile is a log that is open for appending.
type logFile struct {
	practice.Log
	f *os.File
}

// openLog opens a log for appending, with a lock where the system has one, and
// makes it if it is not there. What a crash has torn it sets aside.
func openLog(path string, warn io.Writer) (*logFile, error) {
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return nil, err
	}
	f, locked, err := openLocked(path)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	l := &logFile{f: f}
	if l.Log, err = practice.Read(f); err == nil {
		logbook.Report(path, l.Log, warn)
		err = l.mend(path, locked, warn)
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
func (l *logFile) mend(path string, locked bool, warn io.Writer) error {
	switch {
	case l.Torn != nil && locked:
		if err := l.setAside(path + ".torn"); err != nil {
			return err
		}
		fmt.Fprintf(warn, "%s: it was moved to %s\n", path, filepath.Base(path)+".torn")
		if err := l.f.Truncate(l.Whole); err != nil {
			return err
		}
		_, err := l.f.Seek(0, io.SeekEnd)
		return err
	case l.Torn != nil || l.Unended:
		_, err := l.f.Write([]byte("\n"))
		return err
	}
	return nil
}

// setAside appends the torn end of the log to a file, and brings it to the
// disk before the log is cut.
func (l *logFile) setAside(path string) error {
	aside, err := os.OpenFile(path, os.O_WRONLY|os.O_APPEND|os.O_CREATE, 0o644)
	if err != nil {
		return err
	}
	_, err = l.f.Seek(l.Whole, io.SeekStart)
	if err == nil {
		_, err = io.Copy(aside, io.MultiReader(l.f, bytes.NewReader([]byte("\n"))))
	}
	if err == nil {
		err = aside.Sync()
	}
	return errors.Join(err, aside.Close())
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

// writeWhole writes a file whole or not at all.
func writeWhole(path string, data []byte) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return err
	}
	f, err := os.CreateTemp(filepath.Dir(path), ".writing-*")
	if err != nil {
		return err
	}
	_, err = f.Write(data)
	if err == nil {
		err = f.Chmod(0o644)
	}
	if err = errors.Join(err, f.Close()); err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		os.Remove(f.Name())
	}
	return err
}
