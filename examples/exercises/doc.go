// Package exercises holds ten exercises for a class that learns Go, or theory, or
// both. Each is a folder: exercise.go has the task in its comment and a function
// that does nothing yet, exercise_test.go asks whether it does. A student writes the
// function and runs
//
//	go test -tags exercise ./examples/exercises/03-cycles
//
// until it says ok. The tests are examples first, then laws: statements that must
// hold of every key, tried on numbers drawn at random; "draw" says which were drawn,
// the smallest that fail. Begin with the first message: it says for which numbers,
// and what would be right. -run TestExamples runs the examples alone. A test that
// does not come back is a loop that never ends: stop it with Ctrl-C.
//
// The exercises stand on one another: interval classes (1), transposing and inverting
// (2), cycles (3), the orders of all twelve keys (4), spelling (5), names of intervals
// (6), the line of fifths (7), scales (8), figures (9), and the moves that the eleven
// orders make (10). None needs the rest of this library. One way to solve each, not
// the library's own, stands in the folder solutions, apart.
package exercises
