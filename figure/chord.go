package figure

import (
	"fmt"
	"iter"
	"strings"
	"unicode"
	"unicode/utf8"

	"example.com/keyorder/interval"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
	"example.com/keyorder/spelling/chord"
)

const maxSuffix = 32 // bytes

// checkSuffix refuses what cannot stand in a chord symbol's text.
func checkSuffix(s string) error {
	bad := func(r rune) bool { return r == '{' || r == '}' || r == utf8.RuneError || !unicode.IsPrint(r) }
	want := ""
	switch quality, bass := cutBass(s); {
	case len(s) > maxSuffix || strings.ContainsFunc(s, bad) || strings.TrimSpace(s) != s:
		want = fmt.Sprintf("what follows a chord's root is at most %d bytes of plain text, without braces", maxSuffix)
	case isBassName(bass):
		want = fmt.Sprintf("a bass moves with the figure, so it is a degree: write it as {1 %s/3}", quality)
	default:
		return nil
	}
	return &fault.ValueError{Setting: "chord suffix", Value: s, Want: want}
}

// cutBass cuts a suffix at the stroke before its bass, whatever that is, be it the 9
// of 6/9, which is none. There is none where what comes before it is no quality.
func cutBass(s string) (quality, bass string) {
	at := strings.LastIndexByte(s, '/')
	if at < 0 {
		return s, ""
	}
	if _, err := chord.ParseQuality(s[:at]); err != nil {
		return s, ""
	}
	return s[:at], s[at+1:]
}

func isBassName(s string) bool {
	_, err := spelling.ParseName(s)
	return err == nil && unicode.IsUpper(rune(s[0]))
}

// at returns the chord as it stands in a figure of a scale. The error is a
// *fault.ValueError.
func (c Chord) at(s Scale) (chordAt, error) {
	above, err := c.Root.Above(s)
	if err != nil {
		return chordAt{}, err
	}
	if err := checkSuffix(c.Suffix); err != nil {
		return chordAt{}, err
	}
	at := chordAt{above: above, suffix: c.Suffix}
	quality, bass := cutBass(c.Suffix)
	if d, err := ParseDegree(bass); err == nil && d.Step >= 0 && d.Step < 7 {
		if at.bass, err = d.Above(s); err != nil {
			return chordAt{}, err
		}
		at.suffix, at.slash = quality, true
	}
	at.suffix = withSigns(at.suffix)
	return at, nil
}

// withSigns returns a suffix that can be read with ♭ and ♯ for the b and # that
// were typed, and any other as it is.
func withSigns(s string) string {
	if !strings.ContainsAny(s, "b#") {
		return s
	}
	if _, err := chord.ParseQuality(s); err != nil {
		return s
	}
	return strings.ReplaceAll(strings.ReplaceAll(s, "b", "♭"), "#", "♯")
}

// quality returns the intervals of the chord above its root, a bass among them,
// and those without a bass. The error is that of [chord.ParseQuality].
func (c chordAt) quality() (whole, above interval.Set, err error) {
	above, err = chord.ParseQuality(c.suffix)
	if err != nil {
		return 0, 0, err
	}
	whole = above
	if c.slash {
		whole, _ = whole.With(c.bass - c.above)
	}
	return whole, above, nil
}

// A ChordEvent is a chord symbol of a figure on a tonic.
type ChordEvent struct {
	Onset  Length // from the downbeat; negative in a pickup
	Root   spelling.Name
	Suffix string // as typed, with ♭ and ♯ for b and #, and the bass by its name: "7♭9", "maj7/E"
}

// String returns the chord symbol, as "E♭m7".
func (c ChordEvent) String() string { return c.Root.String() + c.Suffix }

// Chord returns what the symbol means. The error, a *fault.SyntaxError, is that of
// a suffix that cannot be read, see [chord.ParseOn].
func (c ChordEvent) Chord() (chord.Chord, error) { return chord.ParseOn(c.Root, c.Suffix) }

// on returns the chord on a tonic, moved by an enharmonic turn.
func (c chordAt) on(tonic spelling.Name, turn interval.Interval) ChordEvent {
	e := ChordEvent{c.onset, tonic.Up(c.above + turn), c.suffix}
	if c.slash {
		e.Suffix += "/" + tonic.Up(c.bass+turn).String()
	}
	return e
}

// Chords yields the chord symbols of the figure on a tonic, in time.
func (f Figure) Chords(tonic spelling.Name) iter.Seq[ChordEvent] {
	return func(yield func(ChordEvent) bool) {
		for _, c := range f.chords {
			if !yield(c.on(tonic, 0)) {
				return
			}
		}
	}
}
