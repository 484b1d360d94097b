// One way to solve the exercise of the same name.
package names

// Name returns the short name of the interval that goes up so many letters, 0 to
// 7, and so many half steps.
func Name(letters, halfSteps int) string {
	if letters < 0 || letters > 7 {
		return ""
	}
	number := string(rune('1' + letters))
	more := halfSteps - [...]int{0, 2, 4, 5, 7, 9, 11, 12}[letters]
	qualities := map[int]string{-2: "d", -1: "m", 0: "M", 1: "A"}
	switch letters {
	case 0, 3, 4, 7:
		qualities = map[int]string{-1: "d", 0: "P", 1: "A"}
	}
	if q, ok := qualities[more]; ok {
		return q + number
	}
	return ""
}
