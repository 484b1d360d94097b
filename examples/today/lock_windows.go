package main

import (
	"errors"
	"os"
	"syscall"
)

// openLocked opens a log for reading and writing, from its beginning, so that
// others can read it but not write to it until it is closed. Reading it to its
// end leaves the file there for appending.
func openLocked(path string) (f *os.File, locked bool, err error) {
	name, err := syscall.UTF16PtrFromString(path)
	if err != nil {
		return nil, false, err
	}
	h, err := syscall.CreateFile(name, syscall.GENERIC_READ|syscall.GENERIC_WRITE, syscall.FILE_SHARE_READ, nil,
		syscall.OPEN_ALWAYS, syscall.FILE_ATTRIBUTE_NORMAL, 0)
	const sharingViolation = syscall.Errno(32)
	if errors.Is(err, sharingViolation) {
		err = errInUse
	}
	if err != nil {
		return nil, false, err
	}
	return os.NewFile(uintptr(h), path), true, nil
}
