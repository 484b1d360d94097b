// Exercise 2: turn the clock, flip the clock.
//
// The twelve keys are the numbers 0 to 11, C being 0. There are two things that a
// composer does with a set of them and that keep every interval class in it:
//
//   - turning, or transposing: each key goes n half steps up;
//   - flipping, or inverting: what lay so far above C now lies as far below, and
//     then all is turned by n.
//
// So T(n, c) is c + n and I(n, c) is n − c, both brought back to 0 … 11.
//
// Write both. The tests ask how they go together: a turn after a turn is a turn,
// a flip after a flip is a turn too. By how much? Work it out on paper first.
//
//	go test -tags exercise ./examples/exercises/02-clock
package clock

// T returns the key c turned by n half steps, 0 to 11.
func T(n, c int) int {
	return -1 // your turn
}

// I returns the key c flipped about 0 and turned by n half steps, 0 to 11.
func I(n, c int) int {
	return -1 // your turn
}
