package say

import (
	"os/exec"
	"testing"

	"pgregory.net/rapid"
)

// TestLawQuotedWordsAreRead: a shell reads a quoted word as it was.
func TestLawQuotedWordsAreRead(t *testing.T) {
	sh, missing := exec.LookPath("sh")
	read := func(t interface{ Fatalf(string, ...any) }, word string) {
		if missing != nil {
			return
		}
		got, err := exec.Command(sh, "-c", "printf %s "+Quoted(word)).Output()
		if err != nil || string(got) != word {
			t.Fatalf("a shell reads %s as %q, %v; want %q", Quoted(word), got, err, word)
		}
	}
	for word, want := range map[string]string{
		"trumpet": "trumpet", "-m2": "-m2", "": `""`, "3 5 1 6": `"3 5 1 6"`, "{2 m7} 3": `"{2 m7} 3"`, "P4,-m3": `"P4,-m3"`,
		"player's log": `"player's log"`, "$HOME": "'$HOME'", "it's 5!": `'it'\''s 5!'`, "B♭": "B♭", "line\nline": "'line\nline'",
	} {
		if got := Quoted(word); got != want {
			t.Errorf("%q is written %s, want %s", word, got, want)
		}
		read(t, word)
	}
	rapid.Check(t, func(t *rapid.T) {
		read(t, rapid.StringMatching(`[ -~♭\n]{0,12}`).Draw(t, "word"))
	})
}
