package flags

import (
	"bytes"
	"errors"
	"flag"
	"io"
	"strings"
	"testing"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/spelling"
)

func TestPlayer(t *testing.T) {
	parse := func(args ...string) (Player, map[string]bool, string, error) {
		var p Player
		var help bytes.Buffer
		f := flag.NewFlagSet("play", flag.ContinueOnError)
		p.Define(f, "the `instrument`", "the tempo", "")
		given, err := Parse(f, args, "plays.", &help)
		return p, given, help.String(), err
	}
	p, given, _, err := parse("-level", "First Years", "-plain", "-log", "here")
	switch {
	case err != nil:
		t.Errorf("%+v, %v, %v: an error", p, given, err)
	case !given["level"]:
		t.Errorf("%+v, %v, %v: the level is not given", p, given, err)
	case !given["plain"]:
		t.Errorf("%+v, %v, %v: plain is not given", p, given, err)
	case given["for"]:
		t.Errorf("%+v, %v, %v: the instrument is given", p, given, err)
	case p.For != "piano":
		t.Errorf("%+v, %v, %v: another instrument", p, given, err)
	case p.Tempo != 80:
		t.Errorf("%+v, %v, %v: another tempo", p, given, err)
	}
	if l, err := p.Level(); l != drill.LevelFirstYears || err != nil {
		t.Error(l, err)
	}
	if path, err := p.LogPath("plan9", func(string) string { return "" }); path != "here" || err != nil {
		t.Error(path, err)
	}
	if got := p.Text("↓7 B♭ · E𝄪–F “x”"); got != `v7 Bb, E##-F "x"` {
		t.Error(got)
	}
	p, _, _, _ = parse("-level", "best")
	if _, err := p.Level(); err == nil || !strings.HasPrefix(err.Error(), `-level: level "best": it is one of`) {
		t.Error(err)
	}
	if _, err := p.LogPath("plan9", func(string) string { return "" }); err == nil {
		t.Error("there is a place for the log")
	}
	if p.Text("B♭") != "B♭" {
		t.Error(p.Text("B♭"))
	}
	if _, _, help, err := parse("-h"); !errors.Is(err, flag.ErrHelp) || !strings.HasPrefix(help, "play plays.\n\nFlags:\n") || !strings.Contains(help, "the tempo in beats a minute (default 80)") {
		t.Error(help, err)
	}
	for _, args := range [][]string{{"-x"}, {"x"}, {"-tempo", "x"}} {
		if _, _, help, err := parse(args...); err == nil || help != "" {
			t.Errorf("%s: %v, %s", args, err, help)
		}
	}
}

// TestUnread: a number that is none is said to be one that is wanted.
func TestUnread(t *testing.T) {
	for _, c := range []struct {
		want string
		args []string
	}{
		{`invalid value "fast" for flag -tempo: it is a whole number of beats a minute, from 10 to 500`, []string{"-tempo", "fast"}},
		{`invalid value "two" for flag -n: it is a number`, []string{"-n", "two"}},
		{`invalid boolean value "no" for -plain: it is true or false`, []string{"-plain=no"}},
	} {
		var p Player
		f := flag.NewFlagSet("play", flag.ContinueOnError)
		p.Define(f, "", "", "")
		f.Int("n", 1, "")
		if _, err := Parse(f, c.args, "", io.Discard); err == nil || err.Error() != c.want {
			t.Errorf("%q: %v", c.args, err)
		}
	}
}

// TestNames: keys and notes are read as the player calls them, and in English.
func TestNames(t *testing.T) {
	for _, c := range []struct {
		in          spelling.Language
		text, names string
	}{
		{spelling.LanguageEnglish, "Eb F#", "E♭ F♯"}, {spelling.LanguageGerman, "Es Fis H", "E♭ F♯ B"}, {spelling.LanguageFrench, "mi bémol, fa dièse", "E♭ F♯"},
		{spelling.LanguageGerman, "B", ""}, {spelling.LanguageGerman, "flats", "D♭ E♭ G♭ A♭ B♭"},
	} {
		names, err := Preference(c.in, c.text)
		var got []string
		for _, n := range names {
			got = append(got, n.String())
		}
		if strings.Join(got, " ") != c.names || (err == nil) != (c.names != "") {
			t.Errorf("%v, %s: %q, %v", c.in, c.text, got, err)
		}
	}
	for _, c := range []struct {
		in         spelling.Language
		text, want string
	}{
		{spelling.LanguageEnglish, "B Bb", "B Bb"}, {spelling.LanguageGerman, "H:2 B♭+Fis {Hm7} B4", "B:2 Bb+F# {Hm7} B4"}, {spelling.LanguageGerman, "C B", ""},
	} {
		if got, err := EnglishNotes(c.in, c.text); (err == nil) != (c.want != "") || err == nil && got != c.want {
			t.Errorf("%v, %s: %s, %v", c.in, c.text, got, err)
		}
	}
}

func TestVariations(t *testing.T) {
	var v Variations
	if err := v.Set("retrograde; octave up 2"); err != nil || v.String() != "retrograde; octave up 2" {
		t.Fatal(v, err)
	}
	if err := v.Set("sideways"); err == nil {
		t.Error(v)
	}
	if f, err := v.Apply(figure.MustParse("3 5 1 6")); err != nil || f.String() != "6 8 5 3" {
		t.Error(f, err)
	}
	if _, err := v.Apply(figure.MustParse("3")); err == nil || !strings.HasPrefix(err.Error(), "-vary: octave up 2: ") {
		t.Error(err)
	}
}

func TestLanguage(t *testing.T) {
	for args, want := range map[string]spelling.Language{"": spelling.LanguageEnglish, "German": spelling.LanguageGerman, "spanish": spelling.LanguageSpanish} {
		f := flag.NewFlagSet("x", flag.ContinueOnError)
		l := spelling.Language(9)
		Language(f, &l)
		var all []string
		if args != "" {
			all = []string{"-language", args}
		}
		if _, err := Parse(f, all, "", io.Discard); err != nil || l != want {
			t.Errorf("%q is %v, %v", args, l, err)
		}
	}
	var l spelling.Language
	f := flag.NewFlagSet("x", flag.ContinueOnError)
	Language(f, &l)
	if _, err := Parse(f, []string{"-language", "elvish"}, "", io.Discard); err == nil || !strings.Contains(err.Error(), "it is one of english, german") {
		t.Error(err)
	}
}
