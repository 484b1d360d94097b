// One way to solve the exercise of the same name.
package fifths

import "strings"

// Place returns the place of a name on the line of fifths, C being 0.
func Place(name string) (place int, ok bool) {
	if name == "" {
		return 0, false
	}
	letter := strings.Index("FCGDAEB", name[:1])
	if letter < 0 {
		return 0, false
	}
	accidentals := map[string]int{"": 0, "#": 1, "##": 2, "x": 2, "b": -1, "bb": -2}
	n, ok := accidentals[name[1:]]
	if !ok {
		return 0, false
	}
	return letter - 1 + 7*n, true
}
