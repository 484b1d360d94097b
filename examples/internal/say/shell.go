package say

import "strings"

// Quoted writes a word as a shell reads it: in double quotes, which all shells know,
// or where these would let something of it through, in single ones.
func Quoted(word string) string {
	within := func(r rune) bool { return r < ' ' || strings.ContainsRune("\"`$\\!%^", r) }
	switch {
	case word != "" && !strings.ContainsFunc(word, func(r rune) bool { return within(r) || strings.ContainsRune(" '&|;<>()*?[]#~{},@", r) }):
		return word
	case !strings.ContainsFunc(word, within):
		return `"` + word + `"`
	}
	return "'" + strings.ReplaceAll(word, "'", `'\''`) + "'"
}
