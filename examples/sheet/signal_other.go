//go:build !unix

package main

import (
	"os"
	"syscall"
)

// stops are the signals that ask the program to end.
func stops() []os.Signal { return []os.Signal{os.Interrupt, syscall.SIGTERM} }

// outlive does nothing here: where nobody reads what is printed, writing it is
// an error like any other.
func outlive() {}
