// One way to solve the exercise of the same name.
package clock

// T returns the key c turned by n half steps, 0 to 11.
func T(n, c int) int { return hour(c + n) }

// I returns the key c flipped about 0 and turned by n half steps, 0 to 11.
func I(n, c int) int { return hour(n - c) }

func hour(n int) int {
	if n %= 12; n < 0 {
		n += 12
	}
	return n
}
