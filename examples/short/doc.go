// Package short holds programs of at most sixty lines that use the library, each
// a file of its own with an Example that runs: to be read, and taken from.
package short
