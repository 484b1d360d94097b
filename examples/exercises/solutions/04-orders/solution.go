// One way to solve the exercise of the same name.
package orders

// Order returns the cycles that a step of so many half steps makes of the twelve
// keys: the first from 0, each further one from the lowest key not yet played.
func Order(step int) [][]int {
	var played [12]bool
	var all [][]int
	for first := range 12 {
		var cycle []int
		for k := first; !played[k]; k = ((k+step)%12 + 12) % 12 {
			played[k] = true
			cycle = append(cycle, k)
		}
		if cycle != nil {
			all = append(all, cycle)
		}
	}
	return all
}
