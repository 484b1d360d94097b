package cycle

import "example.com/keyorder/pitch"

// Loops returns eleven orders of one cycle each, from C, that share out the 132
// moves: played closed, in 143 statements, they make every move exactly once.
// The first four go up by half steps, fourths, fifths and major sevenths, as By
// makes them; the other seven mix their intervals. Begun on another key, the same
// for all eleven, they share out the moves as well.
func Loops() [11]Order {
	return [11]Order{
		{[12]pitch.Class{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11}, 1},
		{[12]pitch.Class{0, 5, 10, 3, 8, 1, 6, 11, 4, 9, 2, 7}, 1},
		{[12]pitch.Class{0, 7, 2, 9, 4, 11, 6, 1, 8, 3, 10, 5}, 1},
		{[12]pitch.Class{0, 11, 10, 9, 8, 7, 6, 5, 4, 3, 2, 1}, 1},
		{[12]pitch.Class{0, 8, 2, 10, 4, 6, 9, 7, 1, 5, 11, 3}, 1},
		{[12]pitch.Class{0, 6, 10, 8, 4, 2, 5, 7, 11, 1, 3, 9}, 1},
		{[12]pitch.Class{0, 4, 10, 1, 7, 3, 6, 2, 11, 9, 5, 8}, 1},
		{[12]pitch.Class{0, 2, 6, 8, 10, 7, 9, 11, 5, 3, 1, 4}, 1},
		{[12]pitch.Class{0, 10, 2, 4, 7, 5, 1, 9, 3, 11, 8, 6}, 1},
		{[12]pitch.Class{0, 3, 7, 10, 6, 4, 8, 5, 9, 1, 11, 2}, 1},
		{[12]pitch.Class{0, 9, 6, 3, 5, 2, 8, 11, 7, 4, 1, 10}, 1},
	}
}

// EveryMove returns the route that makes each of the 132 moves exactly once in
// one unbroken section of 133 statements, an Eulerian circuit of the keys: it
// begins on the first key and comes back to it with the last move. It plays the
// eleven loops one after the other, so that every twelve statements from the
// first on are all twelve keys.
func EveryMove(first pitch.Class) Route {
	r := Route{closed: []bool{false}}
	for _, loop := range Loops() {
		keys := loop.From(first).keys
		r.keys = append(r.keys, keys[:]...)
	}
	r.keys = append(r.keys, r.keys[0])
	r.ends = []int{len(r.keys)}
	return r
}
