//go:build !unix

package output

import (
	"os"
	"syscall"
)

// Stops are the signals that ask the program to end.
func Stops() []os.Signal { return []os.Signal{os.Interrupt, syscall.SIGTERM} }

// Outlive does nothing here: where nobody reads what is printed, writing it is
// an error like any other.
func Outlive() {}
