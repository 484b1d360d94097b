//go:build unix

package output

import (
	"os"
	"os/signal"
	"syscall"
)

// Stops are the signals that ask the program to end.
func Stops() []os.Signal { return []os.Signal{os.Interrupt, syscall.SIGTERM, syscall.SIGHUP} }

// Outlive lets the program go on when nobody reads what it prints any more, so
// that what else there is to write is written and the failure is said. Without it
// the system ends the program.
func Outlive() { signal.Ignore(syscall.SIGPIPE) }
