// Package flags has what the command lines of several example programs have in
// common, so that a flag is called, said and read the same wherever it is.
package flags

import (
	"errors"
	"flag"
	"fmt"
	"io"
	"regexp"
	"strconv"
	"strings"

	"example.com/keyorder/examples/internal/logbook"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/spelling"
)

// A Player holds the flags that say for whom a program works: -for, -level,
// -tempo, -log and -plain.
type Player struct {
	For   string // as drill.Find reads it
	level string
	Tempo int    // in beats a minute
	Log   string // empty if not given
	Plain bool
}

// Define defines the flags. A program says what it takes for the instrument and
// the tempo, and what it does with the log.
func (p *Player) Define(f *flag.FlagSet, instrument, tempo, log string) {
	p.DefineWithoutLog(f, instrument, tempo)
	f.StringVar(&p.Log, "log", "", "the practice log, a `file`"+log+" (default: where examples/today keeps it, in the user's data folder)")
}

// DefineWithoutLog is Define but for -log, which a program may have of its own
// kind.
func (p *Player) DefineWithoutLog(f *flag.FlagSet, instrument, tempo string) {
	f.StringVar(&p.For, "for", "piano", instrument)
	f.StringVar(&p.level, "level", "comfortable", "the `range` of the instrument: first years, comfortable or full; or at school: six notes, grade 0.5, grade 1, grade 1.5, grade 2, middle school or high school")
	p.Tempo = 80
	f.Var((*beats)(&p.Tempo), "tempo", tempo+" in `beats` a minute")
	f.BoolVar(&p.Plain, "plain", false, "plain letters and signs only, as Bb for B♭")
}

// beats is a tempo.
type beats int

func (b *beats) String() string { return strconv.Itoa(int(*b)) }

// Set reads the tempo. The error says what would be right, as the flag package
// quotes what was given.
func (b *beats) Set(text string) error {
	n, err := strconv.Atoi(strings.TrimSpace(text))
	if err != nil {
		return errors.New("it is a whole number of beats a minute, from 10 to 500")
	}
	*b = beats(n)
	return nil
}

// Language defines -language, for the names of notes and keys that a program
// reads and writes.
func Language(f *flag.FlagSet, l *spelling.Language) {
	f.TextVar(l, "language", spelling.LanguageEnglish, "the `language` of note names: english, german, french, italian or spanish")
}

// Preference reads the names of keys, as figure.ParsePreference does, in a
// language.
func Preference(l spelling.Language, text string) ([]spelling.Name, error) {
	if l == spelling.LanguageEnglish || strings.EqualFold(strings.TrimSpace(text), "flats") {
		return figure.ParsePreference(text)
	}
	names, err := l.ParseNames(text)
	if err != nil {
		return nil, err
	}
	var english []string
	for _, n := range names {
		english = append(english, n.Plain())
	}
	return figure.ParsePreference(strings.Join(english, " "))
}

// noteWord is a name without an octave in the text of -notes, or a chord.
var noteWord = regexp.MustCompile(`\{[^}]*\}|[^\s,|+:{}0-9/-][^\s,|+:{}/-]*`)

// EnglishNotes writes the notes of -notes, as they are named in a language, in
// English, which the figure is read in. Notes with an octave and chords are English
// already.
func EnglishNotes(l spelling.Language, text string) (string, error) {
	if l == spelling.LanguageEnglish {
		return text, nil
	}
	var failed error
	out := noteWord.ReplaceAllStringFunc(text, func(word string) string {
		if word[0] == '{' || strings.ContainsAny(word[len(word)-1:], "0123456789") {
			return word
		}
		n, err := l.ParseName(word)
		if err != nil && failed == nil {
			failed = err
		}
		return n.Plain()
	})
	return out, failed
}

// Level reads -level.
func (p *Player) Level() (l drill.Level, err error) {
	if err = l.UnmarshalText([]byte(p.level)); err != nil {
		err = fmt.Errorf("-level: %w", err)
	}
	return l, err
}

// LogPath returns where the log stands: where -log says or, without it, where it
// stands on a system, as runtime.GOOS names it.
func (p *Player) LogPath(system string, env func(string) string) (string, error) {
	if p.Log != "" {
		return p.Log, nil
	}
	return logbook.Path(system, env)
}

// Text writes what the library printed as -plain says.
func (p *Player) Text(s string) string {
	if p.Plain {
		return Plain(s)
	}
	return s
}

// Plain writes a text in plain letters and signs.
func Plain(s string) string {
	return strings.NewReplacer("↓", "v", "♭", "b", "♯", "#", "♮", "n", "𝄫", "bb", "𝄪", "##",
		" · ", ", ", "·", ".", "–", "-", "−", "-", "×", "x", "…", "...", "÷", "/", "→", "->", "“", `"`, "”", `"`).Replace(s)
}

// Parse parses a command line and returns which flags were given. Where help is
// asked for it prints what the program is about and its flags, and returns
// flag.ErrHelp.
func Parse(f *flag.FlagSet, args []string, about string, help io.Writer) (given map[string]bool, err error) {
	given, err = ParseFiles(f, args, about, help)
	if err == nil && f.NArg() > 0 {
		return nil, fmt.Errorf("%.60q is no flag; put what belongs to a flag in quotes, as \"alto saxophone\"", f.Arg(0))
	}
	return given, err
}

// ParseFiles is Parse for a command line that may end with the names of files:
// f.Args() has them.
func ParseFiles(f *flag.FlagSet, args []string, about string, help io.Writer) (given map[string]bool, err error) {
	f.SetOutput(io.Discard)
	switch err := f.Parse(args); {
	case errors.Is(err, flag.ErrHelp):
		fmt.Fprintf(help, "%s %s\n\nFlags:\n", f.Name(), about)
		f.SetOutput(help)
		f.PrintDefaults()
		return nil, err
	case err != nil && strings.HasPrefix(err.Error(), "flag provided"):
		return nil, fmt.Errorf("%w; -h lists the flags", err)
	case err != nil:
		text, unread := strings.CutSuffix(err.Error(), "parse error")
		switch {
		case unread && strings.HasPrefix(text, "invalid boolean"):
			return nil, errors.New(text + "it is true or false")
		case unread:
			return nil, errors.New(text + "it is a number")
		}
		return nil, err
	}
	given = map[string]bool{}
	f.Visit(func(f *flag.Flag) { given[f.Name] = true })
	return given, nil
}
