// One way to solve the exercise of the same name.
package moves

// A Move goes from a key to another, both 0 to 11.
type Move struct{ From, To int }

// Moves returns the moves inside the cycles that a step of 1 to 11 half steps
// makes of the twelve keys, in the order in which they are played. If closed is
// set, each cycle is played back to its first key.
func Moves(step int, closed bool) []Move {
	var moves []Move
	var played [12]bool
	for first := range 12 {
		for k := first; !played[k]; {
			played[k] = true
			next := (k + step) % 12
			if closed || next != first {
				moves = append(moves, Move{k, next})
			}
			k = next
		}
	}
	return moves
}

// Missing returns how many of the 132 moves the steps 1 to 11 do not make.
func Missing(closed bool) int {
	made := map[Move]bool{}
	for step := 1; step <= 11; step++ {
		for _, m := range Moves(step, closed) {
			made[m] = true
		}
	}
	return 132 - len(made)
}
