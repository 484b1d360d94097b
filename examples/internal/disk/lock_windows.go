package disk

import (
	"errors"
	"os"
	"syscall"
)

// OpenLocked opens a file for reading and writing, from its beginning, so that
// others can read it but not write to it until it is closed. Reading it to its
// end leaves the file there for appending.
func OpenLocked(path string) (f *os.File, locked bool, err error) {
	name, err := syscall.UTF16PtrFromString(path)
	if err != nil {
		return nil, false, err
	}
	h, err := syscall.CreateFile(name, syscall.GENERIC_READ|syscall.GENERIC_WRITE, syscall.FILE_SHARE_READ, nil,
		syscall.OPEN_ALWAYS, syscall.FILE_ATTRIBUTE_NORMAL, 0)
	const sharingViolation = syscall.Errno(32)
	if errors.Is(err, sharingViolation) {
		err = ErrInUse
	}
	if err != nil {
		return nil, false, err
	}
	return os.NewFile(uintptr(h), path), true, nil
}
