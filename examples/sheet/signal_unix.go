//go:build unix

package main

import (
	"os"
	"os/signal"
	"syscall"
)

// stops are the signals that ask the program to end.
func stops() []os.Signal { return []os.Signal{os.Interrupt, syscall.SIGTERM, syscall.SIGHUP} }

// outlive lets the program go on when nobody reads what it prints any more, so
// that the files are written and the failure is said. Without it the system ends
// the program.
func outlive() { signal.Ignore(syscall.SIGPIPE) }
