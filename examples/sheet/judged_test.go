package main

import (
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"example.com/keyorder/examples/internal/asked"
	"example.com/keyorder/examples/internal/logbook"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/figure/practice"
	"example.com/keyorder/figure/session"
)

// shellWords reads a command as a shell does that knows quotes only.
func shellWords(line string) (words []string) {
	word, in, quote := "", false, rune(0)
	for _, r := range line {
		switch {
		case quote != 0 && r == quote:
			quote = 0
		case quote == 0 && (r == '"' || r == '\''):
			quote, in = r, true
		case quote == 0 && r == ' ':
			if in {
				words = append(words, word)
			}
			word, in = "", false
		default:
			word, in = word+string(r), true
		}
	}
	return append(words, word)
}

// askedOf returns what a command asks examples/listen for.
func askedOf(t *testing.T, line string) session.Settings {
	t.Helper()
	args, ok := strings.CutPrefix(line, "go run ./examples/listen ")
	words := shellWords(args)
	if !ok || words[len(words)-1] != "take.wav" {
		t.Fatalf("%q is no command of a take", line)
	}
	set, err := readAsked(words[:len(words)-1])
	if err != nil {
		t.Fatalf("%s: %v", line, err)
	}
	return set
}

func readAsked(words []string) (session.Settings, error) {
	a, f := new(asked.Flags), flag.NewFlagSet("listen", flag.ContinueOnError)
	a.Define(f)
	f.StringVar(&a.Log, "log", "", "")
	f.SetOutput(io.Discard)
	if err := f.Parse(words); err != nil {
		return session.Settings{}, err
	}
	set, err := a.Read()
	if err == nil {
		set.Drill.Figure, err = set.Variation.Apply(set.Drill.Figure)
	}
	return set, err
}

// takeOf writes all that a player has of a drill: when what is to be played.
func takeOf(t *testing.T, set drill.Settings, part int, octaves bool) string {
	t.Helper()
	d, err := drill.New(set)
	if err != nil {
		t.Fatal(err)
	}
	got := d.Settings()
	var b strings.Builder
	fmt.Fprintln(&b, got.Tempo, got.Meter, got.Figure)
	for st := range d.Parts()[part].Statements() {
		fmt.Fprintln(&b, st.Section, st.Onset, st.Length, st.Return, st.Held, st.Written.Name(), st.Sounding.Name())
		for _, e := range st.Events() {
			fmt.Fprint(&b, e.Onset, e.Length, e.Note.Name())
			if octaves {
				fmt.Fprint(&b, e.Note)
			}
		}
	}
	return b.String()
}

// holdsTo tests that a command asks for the orders of a sheet.
func holdsTo(t *testing.T, s *sheet, line string, orders []int) {
	t.Helper()
	set := askedOf(t, line)
	if len(set.Orders) != len(orders) {
		t.Fatalf("%s: %d orders, want %d", line, len(set.Orders), len(orders))
	}
	want, got := s.settings, set.Drill
	one := len(s.parts) == 1
	for n, o := range orders {
		want.Route, got.Route = s.orders[o].Route, set.Orders[n].Route
		if !want.Route.Equal(got.Route) {
			t.Errorf("%s: order %d is %v, want %v", line, n+1, got.Route, want.Route)
		} else if w, g := takeOf(t, want, 0, one), takeOf(t, got, 0, one); w != g {
			t.Errorf("%s: plays\n%s\nwant\n%s", line, g, w)
		}
	}
	d, err := drill.New(got)
	if err == nil {
		_, err = playback.New([]*drill.Drill{d}, set.Playback)
	}
	if err != nil {
		t.Errorf("%s: %v", line, err)
	}
	if _, err := playback.New(s.drills, s.playback); err != nil { // there are no sound files
		if set.Playback.Mode != playback.ModeModel && set.Playback.Swing > 1 {
			t.Errorf("%s: %+v", line, set.Playback)
		}
	} else if set.Playback.Mode != s.playback.Mode || max(set.Playback.Swing, 1) != s.playback.Swing || set.Playback.Free != s.playback.Free {
		t.Errorf("%s: %+v, want %+v", line, set.Playback, s.playback)
	}
	if !one {
		return
	}
	// All that a judge could go by, but for the rest and the names of keys, which may be
	// said in other ways.
	plain := func(d drill.Settings) string {
		d.Prefer, d.Title, d.Rest, d.Articulation, d.Accents = nil, "", 0, 0, 0
		text, err := json.Marshal(d)
		if err != nil {
			t.Fatal(err)
		}
		return string(text)
	}
	if w, g := plain(want), plain(got); s.planned == nil && w != g {
		t.Errorf("%s: %s, want %s", line, g, w)
	}
}

// commandOf returns the command that a sheet prints.
func commandOf(t *testing.T, s *sheet) string {
	t.Helper()
	var b strings.Builder
	if err := s.writeText(&b, false); err != nil {
		t.Fatal(err)
	}
	_, line, _ := strings.Cut(b.String(), "\ngo run ./examples/listen ")
	line, _, _ = strings.Cut(line, "\n")
	return "go run ./examples/listen " + line
}

func sheetWith(args ...string) (*sheet, error) {
	o, err := parseFlags(args, io.Discard)
	if err != nil {
		return nil, err
	}
	return newSheet(o, io.Discard)
}

// choices are the flags of a sheet, each with what it may be given.
var choices = []struct {
	flag   string
	values []string
}{
	{"for", []string{"trumpet", "alto saxophone", "tuba C2-E4", "clay flute: down M2 treble C4-B6", "trumpet, alto saxophone, horn", "harp", "piano"}},
	{"level", []string{"first years", "full", "grade 2"}},
	{"figure", []string{"3 5 1 6", "5 2 b3:2 1", "1 4 b3:2 b7 in dorian", "v5 | 1:3 {2 m7} 3 5:2/3 4:2/3 3:2/3", "3 5 1 6 over minor 2-5-1", "3 5 1 6 over jazz blues", "1+5 0 4:2 by 1/16", "settle"}},
	{"notes", []string{"C F Eb Bb", "D F# A:2 C"}},
	{"scale", []string{"dorian", "blues", "harmonic minor"}},
	{"vary", []string{"retrograde", "rotation 1; octave up 2", "displaced 1/8"}},
	{"orders", []string{"P4", "-m2 M3", "P4,-m3", "0369/147T/258E", "all", "wedge signs shuffle:7", "down by fourths; whole steps", "fresh", "square", "everymove"}},
	{"keys", []string{"Bb Eb F# Ab", "C"}},
	{"from", []string{"Eb", "F#"}},
	{"names", []string{"flats", "Gb Db"}},
	{"meter", []string{"3/4", "6/8", "3+2/8", "2/2"}},
	{"tempo", []string{"120", "61"}},
	{"rest", []string{"0", "1", "2", "3"}},
	{"close", []string{"full", "open"}},
	{"pad", []string{"run", "beat"}},
	{"sound", []string{"answer", "call", "model", "click"}},
	{"swing", []string{"2:1", "1.5"}},
	{"free", []string{"2", "4"}},
	{"easy", nil}, {"strict", nil}, {"near", nil}, {"leave-out", nil}, {"concert", nil}, {"written", nil}, {"plain", nil},
	{"drone", nil}, {"articulation", []string{"slurred"}}, {"title", []string{`a "title"`}}, {"bass", []string{"walking"}},
}

// TestLawAnyTakeIsJudgedAsItIsPrinted: the command that a sheet prints asks for what
// the sheet has: the orders together, and each alone.
func TestLawAnyTakeIsJudgedAsItIsPrinted(t *testing.T) {
	log := filepath.Join(t.TempDir(), "log")
	r := rand.New(rand.NewPCG(3, 5))
	told, silent := 0, 0
	for range 250 {
		args := []string{"-log", log}
		for _, c := range choices {
			switch {
			case r.IntN(5) > 0:
			case c.values == nil:
				args = append(args, "-"+c.flag)
			default:
				args = append(args, "-"+c.flag, c.values[r.IntN(len(c.values))])
			}
		}
		s, err := sheetWith(args...)
		if err != nil {
			continue
		}
		all := make([]int, len(s.orders))
		for n := range all {
			all[n] = n
		}
		line := s.judges(s.orders...)
		if line == "" {
			// What a class has when one is in it who leaves keys out, nobody has alone.
			if len(s.parts) == 1 || !s.leaveOut {
				t.Errorf("%q: no command", args)
			}
			silent++
			continue
		}
		told++
		holdsTo(t, s, line, all)
		for _, n := range all[:min(len(all), 3)] {
			if line := s.judges(s.orders[n]); line == "" {
				t.Errorf("%q: no command for %s", args, s.orders[n].Title)
			} else {
				holdsTo(t, s, line, []int{n})
			}
		}
	}
	if told < 100 || silent > told/10 {
		t.Errorf("%d commands, %d sheets without one", told, silent)
	}
}

// TestJudgedCommands: no flag stands there that is as usual.
func TestJudgedCommands(t *testing.T) {
	for _, c := range []struct{ args, want []string }{
		{nil, nil},
		{[]string{"-orders", "m3", "-tempo", "80", "-figure", "1:3 5 4 2 3:2", "-sound", "answer", "-meter", "4/4", "-answers", "-title", "x"}, nil},
		{[]string{"-for", "trumpet", "-figure", "3 5 1 6", "-orders", "P4", "-tempo", "120", "-close", "full"},
			[]string{"-for", "trumpet", "-figure", "3 5 1 6", "-orders", "P4", "-tempo", "120", "-close", "full"}},
		{[]string{"-notes", "C F Eb Bb", "-scale", "dorian", "-swing", "2:1", "-meter", "2/4", "-near"},
			[]string{"-figure", "1 4 3 v7 in dorian", "-meter", "2/4", "-near", "-swing", "2"}},
		{[]string{"-language", "german", "-keys", "Es H", "-vary", "retrograde", "-rest", "3"},
			[]string{"-vary", "retrograde", "-keys", "Es H", "-language", "german", "-rest", "3"}},
		{[]string{"-for", "horn, tuba", "-orders", "-M2 A4", "-pad", "run"}, []string{"-for", "horn", "-orders", "-M2 A4", "-concert", "-pad", "run"}},
		{[]string{"-for", "horn, tuba", "-written", "-sound", "model"}, []string{"-for", "horn", "-sound", "model", "-written"}},
	} {
		s, err := sheetWith(c.args...)
		if err != nil {
			t.Fatal(err)
		}
		words := shellWords(commandOf(t, s))
		got := words[3 : len(words)-1]
		if !slices.Equal(got, c.want) {
			t.Errorf("%q: %q, want %q", c.args, got, c.want)
		}
	}
}

// TestJudgedBlock: a block of the plan is judged as that block, in the log that was
// named; where it is varied anew, by what it has.
func TestJudgedBlock(t *testing.T) {
	trumpet, err := drill.Find("trumpet Bb3-E5", drill.LevelComfortable)
	if err != nil {
		t.Fatal(err)
	}
	varied := 0
	for stage := practice.StageFewKeys; stage <= practice.StageMixedRows; stage++ {
		log := filepath.Join(t.TempDir(), "my log")
		set := practice.Settings{Date: 20149, Instrument: trumpet, Stage: stage, Minutes: 20, Ideas: []practice.Idea{
			{Name: "sway", Figure: figure.MustParse("4 2 5 1:2 in dorian"), Tempo: 93}, {Name: "long", Figure: figure.MustParse("1:3 6 5 2 3 1 4 2 9:4")},
		}}
		plan, err := practice.NewPlan(set, practice.Log{})
		if err != nil {
			t.Fatal(err)
		}
		if err := logbook.Keep(log, logbook.Kept{Plan: plan}); err != nil {
			t.Fatal(err)
		}
		for _, b := range plan.Blocks {
			if b.Pause {
				continue
			}
			for _, more := range [][]string{nil, {"-tempo", "66", "-close", "full", "-sound", "model"}, {"-vary", "retrograde"}} {
				s, err := sheetWith(append([]string{"-log", log, "-block", fmt.Sprint(b.Number)}, more...)...)
				if err != nil {
					t.Fatal(err)
				}
				own := len(more) == 2 // no block of the plan
				if own && s.judges(s.orders...) == "" {
					continue // keys that are no whole order
				}
				if own {
					varied++
				}
				line := commandOf(t, s)
				holdsTo(t, s, line, []int{0})
				if strings.Contains(line, fmt.Sprintf("-block %d ", b.Number)) == own || strings.Contains(line, `-log="`+log+`"`) == own {
					t.Errorf("block %d, %q: %s", b.Number, more, line)
				}
				if set := askedOf(t, line); !own && (set.Planned == nil || set.Planned.Block != b.Number) {
					t.Errorf("block %d: %s is no block", b.Number, line)
				}
			}
		}
	}
	if varied == 0 {
		t.Error("no block that was varied anew has a command")
	}
}

// TestJudgedTake: the figure, the meter and the tempo of a file are said.
func TestJudgedTake(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "out")
	if _, errs, status := sheetOf("-figure", "4 1 b3:2 in dorian", "-meter", "6/8", "-tempo", "63", "-out", dir, "-sound", "model", "-keys", "D"); status != 0 {
		t.Fatal(errs)
	}
	s, err := sheetWith("-take", filepath.Join(dir, "sheet.musicxml"), "-key", "D dorian", "-for", "clarinet")
	if err != nil {
		t.Fatal(err)
	}
	line := commandOf(t, s)
	holdsTo(t, s, line, []int{0})
	if want := `go run ./examples/listen -for clarinet -figure "4 1 3:2 in dorian" -meter 6/8 -tempo 63 take.wav`; line != want {
		t.Errorf("%s, want %s", line, want)
	}
}

// TestJudgedPage: the command stands beside the sound, on paper where there is room
// for it.
func TestJudgedPage(t *testing.T) {
	for _, c := range []struct {
		args  []string
		paper bool
		times int
	}{
		{[]string{"-tempo", "61"}, true, 1},
		{[]string{"-tempo", "61", "-orders", "P4 m2 M3"}, false, 3},
		{[]string{"-tempo", "61", "-large", "-scale", "dorian"}, true, 1},
		{[]string{"-tempo", "61", "-for", "trumpet"}, false, 1},
	} {
		s, files := filesOf(t, c.args...)
		html := textOf(t, files, "index.html")
		if got := strings.Count(html, "<code>go run ./examples/listen "); got != c.times {
			t.Errorf("%q: %d commands, want %d", c.args, got, c.times)
		}
		if got := strings.Contains(html, `<p class="judges">`); got != c.paper {
			t.Errorf("%q: on paper: %v, of %d pages", c.args, got, s.printed)
		}
	}
	_, files := filesOf(t, "-handouts", "-for", "flute, horn")
	for _, f := range files {
		if strings.HasPrefix(f.Name, handoutFolder) && strings.Contains(textOf(t, files, f.Name), "examples/listen") {
			t.Errorf("%s has a command, and no sound", f.Name)
		}
	}
}
