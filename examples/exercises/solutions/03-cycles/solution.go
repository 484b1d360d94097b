// One way to solve the exercise of the same name.
package cycles

// Cycle returns the keys, 0 to 11, that come from first by adding step half
// steps, up to the one before first comes again.
func Cycle(first, step int) []int {
	keys := []int{first}
	for k := next(first, step); k != first; k = next(k, step) {
		keys = append(keys, k)
	}
	return keys
}

func next(k, step int) int { return ((k+step)%12 + 12) % 12 }
