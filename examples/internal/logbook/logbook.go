// Package logbook knows where the example programs keep the practice log and,
// beside it, the plan that was shown last, and reads them.
package logbook

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"example.com/keyorder/figure/practice"
)

// Path returns where the log stands if nothing else is said.
func Path(system string, env func(string) string) (string, error) {
	var dir string
	home := env("HOME")
	switch xdg := env("XDG_DATA_HOME"); {
	case system == "windows":
		dir = env("AppData")
	case system == "darwin" && home != "":
		dir = filepath.Join(home, "Library", "Application Support")
	case system != "darwin" && filepath.IsAbs(xdg):
		dir = xdg
	case system != "darwin" && home != "":
		dir = filepath.Join(home, ".local", "share")
	}
	if dir == "" {
		return "", errors.New("no folder for the log is known here; say where it stands, as -log practice.jsonl")
	}
	return filepath.Join(dir, "keyorder", "practice.jsonl"), nil
}

// Read reads a log and says what is wrong with it, for whoever lives on the day
// now. A log that is not there is empty.
func Read(path string, now practice.Date, warn io.Writer) (practice.Log, error) {
	f, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return practice.Log{}, nil
	} else if err != nil {
		return practice.Log{}, err
	}
	defer f.Close()
	l, err := practice.Read(f)
	if err != nil {
		return l, fmt.Errorf("%s: %w", path, err)
	}
	Report(path, l, now, warn)
	return l, nil
}

// maxFuture is how many entries of the future are named.
const maxFuture = 10

// Report says what is to be known of a log: the lines that are not read, the
// entries of days after now, and what other programs or a crash have left in it.
func Report(path string, l practice.Log, now practice.Date, warn io.Writer) {
	say := func(format string, args ...any) { fmt.Fprintf(warn, "%s: %s\n", path, fmt.Sprintf(format, args...)) }
	for _, p := range l.Problems {
		say("%v", p)
	}
	if more := l.Bad - len(l.Problems); more > 0 {
		say("lines that are not read beside these: %d", more)
	}
	if l.Older > 0 {
		say("of more than %d entries the oldest do not count: %d", practice.MaxEntries, l.Older)
	}
	future := 0
	for _, e := range l.Entries {
		if e.Date <= now {
			continue
		}
		if future++; future <= maxFuture {
			say("an entry of %v is of the future, %.60s on the %s; plans count it from the day after on", e.Date, e.Figure.Plain(), e.Instrument)
		}
	}
	if more := future - maxFuture; more > 0 {
		say("more entries of the future: %d", more)
	}
	if l.Marked {
		say("it has a byte order mark, which does no harm")
	}
	if l.Returns > 0 {
		say("carriage returns end %d of its lines; they are read all the same", l.Returns)
	}
	switch {
	case l.Torn != nil:
		say("it ends with the beginning of a line, %.60q, which is not read", l.Torn)
	case l.Unended:
		say("its last line has no end; it gets one before the next is written")
	}
}
