// Package logbook knows where the example programs keep the practice log, and
// reads it.
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

// Read reads a log and says what is wrong with it. A log that is not there is
// empty.
func Read(path string, warn io.Writer) (practice.Log, error) {
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
	Report(path, l, warn)
	return l, nil
}

// Report names the lines of a log that were not read.
func Report(path string, l practice.Log, warn io.Writer) {
	for _, p := range l.Problems {
		fmt.Fprintf(warn, "%s: %v\n", path, p)
	}
	if more := l.Bad - len(l.Problems); more > 0 {
		fmt.Fprintf(warn, "%s: %d more lines are not read\n", path, more)
	}
	if l.Torn != nil {
		fmt.Fprintf(warn, "%s: it ends with the beginning of a line, %.60q, which is not read\n", path, l.Torn)
	}
}
