//go:build !(darwin || dragonfly || freebsd || illumos || linux || netbsd || openbsd || windows)

package disk

import "os"

// OpenLocked opens a file for reading and appending. There is no lock
// here.
func OpenLocked(path string) (f *os.File, locked bool, err error) {
	f, err = os.OpenFile(path, os.O_RDWR|os.O_APPEND|os.O_CREATE, 0o644)
	return f, false, err
}
