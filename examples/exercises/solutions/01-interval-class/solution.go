// One way to solve the exercise of the same name.
package intervalclass

// Class returns the interval class of two keys, 0 to 6.
func Class(a, b int) int {
	up := (b - a) % 12
	if up < 0 {
		up += 12
	}
	if up > 6 {
		return 12 - up
	}
	return up
}
