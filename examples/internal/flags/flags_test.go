package flags

import (
	"bytes"
	"errors"
	"flag"
	"io"
	"strings"
	"testing"

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
