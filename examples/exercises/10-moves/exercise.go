// Exercise 10: the eleven orders make every move once.
//
// From each of the twelve keys you can go to eleven others: 132 moves. A player
// who always goes round the circle of fourths makes twelve of them, over and over.
//
// Now take the steps 1 to 11. Each makes an order of all twelve keys, in one cycle
// or in several: copy what you wrote in exercise 4. Play each cycle back to its first key. The claim: the
// eleven orders together make each of the 132 moves exactly once. Is it true? And
// if no cycle is played back to its first key?
//
// Write Moves and Missing, and find the reason before you believe the tests.
//
//	go test -tags exercise ./examples/exercises/10-moves
package moves

// A Move goes from a key to another, both 0 to 11.
type Move struct{ From, To int }

// Moves returns the moves inside the cycles that a step of 1 to 11 half steps
// makes of the twelve keys, in the order in which they are played. If closed is
// set, each cycle is played back to its first key.
func Moves(step int, closed bool) []Move {
	return nil // your turn
}

// Missing returns how many of the 132 moves the steps 1 to 11 do not make.
func Missing(closed bool) int {
	return -1 // your turn
}
