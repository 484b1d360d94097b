package fault

import (
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"
)

func TestMessages(t *testing.T) {
	for _, test := range []struct {
		err  error
		want string
	}{
		{&SyntaxError{"interval", "m5", 0, "write P5, A5 or d5"}, `interval "m5": write P5, A5 or d5`},
		{&SyntaxError{"note", "E♭♭x4", 7, "flats or sharps, not both"}, `note "E♭♭x4" at character 4: flats or sharps, not both`},
		{&SyntaxError{"chord", "Cmaj", 4, "a figure follows"}, `chord "Cmaj" at character 5: a figure follows`},
		{&SyntaxError{"interval", "", 0, "write m3"}, `interval: write m3`},
		{&SyntaxError{"interval", "", 3, "write m3"}, `interval: write m3`},
		{&SyntaxError{"interval", "m\n", 1, "write m3"}, `interval "m\n" at character 2: write m3`},
		{&SyntaxError{"interval", "m3", 99, "write m3"}, `interval "m3" at character 3: write m3`},
		{&SyntaxError{"interval", "m3", -1, "write m3"}, `interval "m3": write m3`},
		{&SyntaxError{"", "m3", 0, "write m4"}, `"m3": write m4`},

		{&ValueError{"tempo", "900", "at most 400", nil}, `tempo 900: at most 400`},
		{&ValueError{"A4", "-3.5 Hz", "400 to 480", nil}, `A4 -3.5 Hz: 400 to 480`},
		{&ValueError{"degree", "−3", "1 to 99", nil}, `degree −3: 1 to 99`},
		{&ValueError{"meter", "7/8\x00", "1 to 64", nil}, `meter "7/8\x00": 1 to 64`},
		{&ValueError{"instrument", "zither", "there are harp, lute", nil}, `instrument "zither": there are harp, lute`},
		{&ValueError{"mode", "-", "one of ask, tell", nil}, `mode "-": one of ask, tell`},
		{&ValueError{"drills", "", "at least one", nil}, `drills: at least one`},
		{&ValueError{"figure", "1 3", "too wide", io.EOF}, `figure 1 3: too wide; EOF`},
		{&ValueError{"line 7", "", "", io.EOF}, `line 7: EOF`},
	} {
		if got := test.err.Error(); got != test.want {
			t.Errorf("%#v\n got %s\nwant %s", test.err, got, test.want)
		}
	}
}

// A letter of several bytes is quoted whole or not at all, wherever a text is cut.
func TestLettersAreNotCut(t *testing.T) {
	for _, letter := range []string{"é", "♭", "𝄫"} {
		text := strings.Repeat(letter, 60)
		for at := range len(text) {
			m := (&SyntaxError{"note", text, at, "write a note"}).Error()
			if quoted := m[strings.Index(m, `"`):strings.LastIndex(m, `"`)]; strings.Trim(quoted, letter+`"…`) != "" {
				t.Fatalf("at %d: %s", at, m)
			}
		}
	}
}

func TestErrorsAsFindsTheFinerError(t *testing.T) {
	inner := &SyntaxError{"degree", "z", 0, "write 1 to 99"}
	err := fmt.Errorf("today: %w", &ValueError{"figure", "1 z", "", inner})
	var value *ValueError
	var text *SyntaxError
	if !errors.As(err, &value) || value.Setting != "figure" {
		t.Error("the ValueError is not found")
	}
	if !errors.As(err, &text) || text != inner {
		t.Error("the finer error is not found")
	}
	if errors.Unwrap(&ValueError{}) != nil {
		t.Error("there is an error inside an error that holds none")
	}
}

// TestLawMessagesAreShort: whatever was given, a message quotes a bounded piece
// of it, printable, with the trouble inside.
func TestLawMessagesAreShort(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		input := rapid.SliceOf(rapid.SampledFrom([]string{"a", "♭", "𝄫", "\xff", "\n", `"`, "\x00", "é"})).Draw(t, "input")
		text := strings.Join(input, "")
		at := rapid.IntRange(-5, len(text)+5).Draw(t, "at")
		for _, err := range []error{&SyntaxError{"w", text, at, "x"}, &ValueError{"w", text, "x", nil}, &ValueError{"w", "1" + text, "x", nil}} {
			m := err.Error()
			if len(m) > 400 {
				t.Fatalf("%d bytes: %s", len(m), m)
			}
			for _, r := range m {
				if !strconv.IsPrint(r) {
					t.Fatalf("%q is not printable", m)
				}
			}
		}
	})
	long := strings.Repeat("♭", 50) + "here" + strings.Repeat("𝄫", 50)
	m := (&SyntaxError{"note", long, 150, "no"}).Error()
	if !strings.Contains(m, "♭here𝄫") || !strings.Contains(m, "at character 51") || !utf8.ValidString(m) || strings.Contains(m, `\x`) {
		t.Errorf("a long text is quoted as %s", m)
	}
	if whole := strings.Repeat("a", after); (&SyntaxError{"note", whole, 0, "no"}).Error() != `note "`+whole+`": no` {
		t.Error("a text that fits is shortened")
	}
}
