//go:build darwin || dragonfly || freebsd || illumos || linux || netbsd || openbsd

package disk

import (
	"errors"
	"os"
	"syscall"
)

// OpenLocked opens a file for reading and appending and locks it until it is
// closed.
func OpenLocked(path string) (f *os.File, locked bool, err error) {
	f, err = os.OpenFile(path, os.O_RDWR|os.O_APPEND|os.O_CREATE, 0o644)
	if err != nil {
		return nil, false, err
	}
	if err = syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB); err != nil {
		f.Close()
		if errors.Is(err, syscall.EWOULDBLOCK) {
			err = ErrInUse
		}
		return nil, false, err
	}
	return f, true, nil
}
