// One way to solve the exercise of the same name.
package scales

import "strings"

// Major returns the seven names of the major scale on a tonic.
func Major(tonic string) []string {
	const letters = "CDEFGAB"
	white := [...]int{0, 2, 4, 5, 7, 9, 11}
	at := strings.Index(letters, tonic[:1])
	key := white[at] + strings.Count(tonic, "#") - strings.Count(tonic, "b")
	var names []string
	for n, step := range [...]int{2, 2, 1, 2, 2, 2, 1} {
		letter := (at + n) % 7
		// The accidental is what the white key lacks, octaves apart.
		more := (key - white[letter] + 18) % 12 // 6 means none
		names = append(names, letters[letter:letter+1]+strings.Repeat("#", max(0, more-6))+strings.Repeat("b", max(0, 6-more)))
		key += step
	}
	return names
}
