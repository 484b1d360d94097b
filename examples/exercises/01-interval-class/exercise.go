// Exercise 1: how far apart two keys are when octaves do not count.
//
// Number the keys of a keyboard from left to right, black and white, each one
// more than the key before: C4 is 60, C♯4 is 61, D4 is 62. The key letters come
// round every twelve, like the hours of a clock.
//
// Two letters always lie apart in two ways: from C up to G are seven half steps,
// from C down to G five. The interval class is the shorter of the two. It is 0
// for the same letter and never more than 6, the tritone, which is as far one
// way as the other.
//
// Write Class. The numbers may be of any size, negative ones too: in Go, -1 % 12
// is -1. Then run
//
//	go test -tags exercise ./examples/exercises/01-interval-class
package intervalclass

// Class returns the interval class of two keys, 0 to 6.
func Class(a, b int) int {
	return -1 // your turn
}
