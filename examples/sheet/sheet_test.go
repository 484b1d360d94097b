package main

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"example.com/keyorder/examples/internal/logbook"
	"example.com/keyorder/examples/internal/output/outputtest"
	"example.com/keyorder/examples/internal/say"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/practice"
	"example.com/keyorder/pitch"
	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "write the golden files anew; then read them")

func sheetOf(args ...string) (stdout, stderr string, status int) {
	var out, errs bytes.Buffer
	status = run(args, &out, &errs)
	return out.String(), errs.String(), status
}

// TestGolden compares sheets with files that were read and found right.
func TestGolden(t *testing.T) {
	for name, args := range map[string][]string{
		"default":    {},
		"answers":    {"-answers"},
		"names":      {"-for", "flute, alto saxophone", "-figure", "1 4 b3:2 b7 in dorian", "-names", "flats", "-orders", "M3", "-from", "C#", "-answers"},
		"class":      {"-for", "trumpet, alto sax, horn", "-figure", "v5 | 1 {2 m7} b3 0 3:2 in dorian", "-orders", "M3 A4", "-from", "Eb", "-answers", "-level", "first years"},
		"keys":       {"-keys", "Bb Eb F# Ab", "-notes", "Bb D C F", "-plain", "-for", "trumpet"},
		"left-out":   {"-for", "tenor voice", "-leave-out", "-scale", "blues", "-figure", "1 b3 4 5", "-close", "full"},
		"all":        {"-orders", "all", "-close", "open"},
		"further":    {"-orders", "P4,-m3 wedge signs balanced shuffle:7 everymove 0369/147T/258E P1"},
		"blues":      {"-figure", "1 3 4:2 b5 n5 7:2", "-scale", "blues", "-keys", "Eb Db Ab", "-answers"},
		"strict":     {"-figure", "1 3 4:2 b5 n5 7:2", "-scale", "blues", "-keys", "Eb Db Ab", "-answers", "-strict"},
		"easy":       {"-figure", "#2 3 b6 5 #4 5 b2 1", "-easy", "-answers", "-title", "Both sides"},
		"changes":    {"-figure", "3 5 1 6 over 2-5-1", "-orders", "M3", "-vary", "retrograde", "-vary", "octave up 2", "-bass", "walking", "-chords", "2 and 4", "-rests", "dominant", "-free", "2", "-clicks", "first beat", "-drop", "1", "-accents", "beats"},
		"chorus":     {"-figure", "3 5 1 6 over jazz blues", "-keys", "Bb Eb", "-bass", "roots and fifths", "-articulation", "slurred", "-for", "trumpet, tenor sax", "-vary", "rotation 1", "-level", "full"},
		"german":     {"-language", "german", "-keys", "Es B♭ H", "-notes", "Es G:2 B♭ D", "-answers", "-names", "Ges"},
		"french":     {"-language", "french", "-keys", "mi bémol, sol", "-figure", "{4 m7} 3 5 1 6", "-drone", "-answers", "-sound", "click"},
		"three-four": {"-meter", "3/4", "-rest", "2", "-tempo", "120", "-for", "guitar C3-E6", "-near", "-concert"},
	} {
		out, errs, status := sheetOf(args...)
		if status != 0 || errs != "" {
			t.Errorf("%s: status %d, %s", name, status, errs)
		}
		file := filepath.Join("testdata", name+".txt")
		if *update {
			if err := os.WriteFile(file, []byte(out), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(string(want), out); diff != "" {
			t.Errorf("%s: %s", name, diff)
		}
		for _, line := range strings.Split(out, "\n") {
			if strings.TrimRight(line, " ") != line {
				t.Errorf("%s: a line ends with a space: %q", name, line)
			}
		}
	}
}

// TestReadme holds the README to the sheet that the program prints.
func TestReadme(t *testing.T) {
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	out, _, _ := sheetOf()
	keys, _, _ := strings.Cut(out, "\n\n1 bar a key")
	if !strings.Contains(string(readme), "```\n"+keys+"\n```") {
		t.Errorf("the README shows another sheet than\n%s", keys)
	}
}

// TestLicence: the README ends with the whole licence, from the grant to the last
// words of the disclaimer.
func TestLicence(t *testing.T) {
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	text := strings.Join(strings.Fields(string(readme)), " ")
	for _, part := range []string{
		"the keyorder authors Permission is hereby granted, free of charge,", "this permission notice shall be included", `PROVIDED "AS IS", WITHOUT WARRANTY`,
	} {
		if !strings.Contains(text, part) {
			t.Errorf("%q is missing", part)
		}
	}
	if !strings.HasSuffix(text, "THE USE OR OTHER DEALINGS IN THE SOFTWARE.") {
		t.Error("the README does not end with the licence")
	}
}

// TestBadInput: one clear line that says what was given, where it went wrong
// and what is accepted, and exit status 2.
func TestBadInput(t *testing.T) {
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{"-figure", "1 2 h3"}, `-figure: figure "1 2 h3" at character 5: a degree is a number from 1 to 99`},
		{[]string{"-figure", "1 4 in blues", "-scale", "major"}, `-scale: the figure "1 4 in blues" names its scale already`},
		{[]string{"-figure", "1", "-notes", "C"}, "-figure and -notes both give the figure"},
		{[]string{"-notes", "h"}, `-notes: notes "h": a note is a letter from A to G`},
		{[]string{"-easy", "-strict"}, `-easy: give -easy or -strict, not both`},
		{[]string{"-scale", "dorain"}, `-scale: scale "dorain": no scale has this name; there are dorian`},
		{[]string{"-orders", "m5"}, `-orders: order "m5": there is no minor interval 5`},
		{[]string{"-orders", "P4,-M2", "-from", "Eb"}, "from E♭, E♭ comes again after 8 keys"},
		{[]string{"-orders", " "}, `-orders: no order in " "`},
		{[]string{"-orders", "m3", "-keys", "C"}, "-orders and -keys both give the keys"},
		{[]string{"-keys", "C", "-from", "C"}, "-from and -keys both give the first key"},
		{[]string{"-keys", "C H"}, `-keys: note names "C H" at character 3: a note name begins with a letter from A to G`},
		{[]string{"-keys", " "}, "write keys such as"},
		{[]string{"-names", "Eb D#"}, "-names: names of keys \"Eb D#\" at character 4: E♭ and D♯ are one key"},
		{[]string{"-names", "nice"}, `"nice": write the names of keys such as Eb Ab F#, or flats`},
		{[]string{"-from", "x"}, `-from: note name "x"`},
		{[]string{"-for", "kazoo"}, `-for: instrument "kazoo": no`},
		{[]string{"-for", "trumpet E5-Bb3"}, "the low note comes first"},
		{[]string{"-for", "trumpet C4-E5"}, "these keys fit:"},
		{[]string{"-figure", "3 5 1 6 over jazz blues", "-for", "alto sax"}, "(-level full, B♭3 to F6, has all twelve; -leave-out leaves out the others)"},
		{[]string{"-figure", "3 5 1 6 over jazz blues", "-for", "alto sax", "-level", "six notes"}, "no key fits; all twelve need a range of 29 semitones, as from G4 to C7 (-level full, B♭3 to F6, has all twelve)"},
		{[]string{"-level", "expert"}, `-level: level "expert": it is one of comfortable, first years, full`},
		{[]string{"-meter", "4/5"}, `-meter: meter "4/5": a meter is`},
		{[]string{"-tempo", "0"}, "the tempo goes from 10 to 500"},
		{[]string{"-tempo", "1000000000"}, "the tempo goes from 10 to 500"},
		{[]string{"-tempo", "fast"}, `invalid value "fast" for flag -tempo`},
		{[]string{"-rest", "-1"}, `-rest: "-1": the rest is a number of bars, 0 to 16`},
		{[]string{"-close", "shut"}, `-close: closing "shut": it is one of held, full, open`},
		{[]string{"-pad", "x"}, `-pad: padding "x"`},
		{[]string{"-sound", "loud"}, `-sound: mode "loud"`},
		{[]string{"-written", "-concert"}, "-written and -concert say the opposite"},
		{[]string{"-out", t.TempDir(), "-rest", "0"}, `-sound: drill 1 "up by minor thirds": its rests are too short`},
		{[]string{"-swing", "9"}, `invalid value "9" for flag -swing: the first eighth of a beat to the second goes from 1, straight, to 3:1`},
		{[]string{"-swing", "1:2"}, `invalid value "1:2" for flag -swing`},
		{[]string{"-swing", "2:0"}, `invalid value "2:0" for flag -swing`},
		{[]string{"-swing", "2:1:1"}, `invalid value "2:1:1" for flag -swing`},
		{[]string{"-swing", ""}, `invalid value "" for flag -swing`},
		{[]string{"-figure", ""}, `-figure "": it is empty; -h shows what it may be`},
		{[]string{"-figure", "1", "-orders", ""}, `-orders "": it is empty`},
		{[]string{"-out", ""}, `-out "": it is empty`},
		{[]string{"-block", "1", "-orders", "m3"}, "-orders: -block takes that from the plan"},
		{[]string{"-block", "1", "-log", "testdata/none.jsonl"}, "-block: no plan was shown yet"},
		{[]string{"-block", "1", "-log", "/dev/null/x"}, "-block: "},
		{[]string{"-figure", "nonesuch", "-log", "testdata/none.jsonl"}, `-figure: `},
		{[]string{"1", "2"}, `"1" is no flag; put what belongs to a flag in quotes`},
		{[]string{"-nosuch"}, "flag provided but not defined: -nosuch"},
		{[]string{"-out", "/dev/null/x"}, "-out: "},
		{[]string{"-vary", "backward"}, `invalid value "backward" for flag -vary: variation "backward"`},
		{[]string{"-vary", "retrograde;"}, `for flag -vary`},
		{[]string{"-vary", "octave up 9"}, `-vary: octave up 9: note 9: the note that leaps is one of the figure's`},
		{[]string{"-bass", "walking"}, "-bass: the figure has no chords"},
		{[]string{"-chords", "whole notes", "-drone"}, "-chords: the figure has no chords"},
		{[]string{"-bass", "loud"}, `invalid value "loud" for flag -bass`},
		{[]string{"-figure", "3 5 1 6 over 2-5-1", "-chords", "2 and 4", "-meter", "3/4"}, "-chords: chords"},
		{[]string{"-clicks", "2 and 4", "-meter", "6/8"}, "-clicks: drill 1"},
		{[]string{"-drone", "-band-level", "0"}, "-band-level: it is more than 0"},
		{[]string{"-drone", "-band-level", "1.5"}, "-band-level: level of the band"},
		{[]string{"-rests", "dominant"}, "-rests: it goes with -bass, -chords or -drone"},
		{[]string{"-band-level", "1"}, "-band-level: it goes with"},
		{[]string{"-drop", "4"}, "-drop: bars without a click"},
		{[]string{"-free", "-1"}, "-free: free turn"},
		{[]string{"-free", "2", "-rest", "1"}, "-free: drill 1"},
		{[]string{"-accents", "x"}, "for flag -accents"},
		{[]string{"-language", "latin"}, "for flag -language"},
		{[]string{"-language", "german", "-keys", "C B"}, "-keys: note names \"C B\" at character 3"},
		{[]string{"-language", "french", "-from", "Eb"}, "-from: "},
		{[]string{"-language", "french", "-notes", "do E"}, "-notes: "},
	} {
		out, errs, status := sheetOf(c.args...)
		if status != 2 || strings.Count(errs, "\n") != 1 || !strings.HasPrefix(errs, "sheet: ") || !strings.Contains(errs, c.want) {
			t.Errorf("%q: status %d, %s\nwant …%s…", c.args, status, errs, c.want)
		}
		if out != "" && !strings.Contains(strings.Join(c.args, " "), "-out") {
			t.Errorf("%q prints a sheet all the same", c.args)
		}
	}
}

// TestLog takes orders from a log, invented here, of a player who has taken all
// orders but one.
func TestLog(t *testing.T) {
	var log strings.Builder
	for _, o := range say.Orders11(0) {
		if o.Text != "-M3" {
			fmt.Fprintf(&log, `{"version":1,"date":"2025-03-02","figure":"1:3 5 4 2 3:2","order":%q,"keys":%q,"instrument":"piano","first":"C4","stage":"constant orders","tempo":80,"rest":"a bar","clean":%[3]d,"statements":%[3]d}`+"\n",
				o.Text, o.Route, o.Route.Len())
		}
	}
	path := filepath.Join(t.TempDir(), "log.jsonl")
	if err := os.WriteFile(path, []byte(log.String()), 0o644); err != nil {
		t.Fatal(err)
	}
	out, errs, status := sheetOf("-orders", "fresh", "-log", path)
	if status != 0 || errs != "" || !strings.Contains(out, "Down by major thirds, the freshest order") {
		t.Errorf("status %d, %s%s", status, out, errs)
	}
}

// TestBlock takes every block of plans of each stage, as they are kept, and
// compares what is played with the block: the keys, the notes, the tempo.
func TestBlock(t *testing.T) {
	trumpet, err := drill.Find("trumpet Bb3-E5", drill.LevelComfortable)
	if err != nil {
		t.Fatal(err)
	}
	for stage := practice.StageFewKeys; stage <= practice.StageMixedRows; stage++ {
		log := filepath.Join(t.TempDir(), "log.jsonl")
		set := practice.Settings{Date: 20149, Instrument: trumpet, Stage: stage, Minutes: 40}
		for _, f := range [][2]string{{"sway", "4 2 5 1:2 in dorian"}, {"long", "1:3 6 5 2 3 1 4 2 9:4"}, {"Quick one", "3 5 1 6 in mixolydian by 1/16"}} {
			set.Ideas = append(set.Ideas, practice.Idea{Name: f[0], Figure: figure.MustParse(f[1]), Tempo: 93})
		}
		plan, err := practice.NewPlan(set, practice.Log{})
		if err != nil {
			t.Fatal(err)
		}
		if err := logbook.Keep(log, logbook.Kept{Plan: plan}); err != nil {
			t.Fatal(err)
		}
		blocks, cut := 0, 0
		for n, b := range plan.Blocks {
			if b.Pause {
				continue
			}
			blocks++
			o, err := parseFlags([]string{"-log", log, "-block", fmt.Sprint(b.Number)}, io.Discard)
			if err != nil {
				t.Fatal(err)
			}
			s, err := newSheet(o, io.Discard)
			if err != nil {
				t.Fatalf("%v, block %d: %v", stage, b.Number, err)
			}
			want, err := drill.New(b.Drill)
			if err != nil {
				t.Fatal(err)
			}
			if got := played(s.drills[0]); got != played(want) || s.drills[0].Settings().Tempo != 93 || s.drills[0].Settings().Rest < b.Drill.Rest {
				t.Errorf("%v, block %d plays\n%s\nwant\n%s", stage, b.Number, got, played(want))
			}
			if entry := plan.Entry(n); s.drills[0].Len() != entry.Played {
				t.Errorf("%v, block %d has %d statements, not %d", stage, b.Number, s.drills[0].Len(), entry.Played)
			}
			out, errs, status := sheetOf("-log", log, "-block", fmt.Sprint(b.Number))
			if status != 0 || errs != "" || !strings.HasPrefix(out, fmt.Sprintf("Block %d of 2025-03-02: %s\n", b.Number, b.Drill.Title)) || !strings.Contains(out, "those you read") {
				t.Errorf("status %d, %s%s", status, errs, out)
			}
			// Some keys of an order are not called the order.
			keys := map[pitch.Class]bool{}
			for _, k := range b.Drill.Route.Run() {
				keys[k] = true
			}
			if whole := len(keys) == 12; whole == strings.Contains(out, fmt.Sprintf("Keys of block %d of the plan.", b.Number)) {
				t.Errorf("%d keys: %s", len(keys), out)
			} else if !whole {
				cut++
			}
		}
		if _, errs, status := sheetOf("-log", log, "-block", fmt.Sprint(blocks+1)); status != 2 || !strings.Contains(errs, fmt.Sprintf("the plan of 2025-03-02 has blocks 1 to %d", blocks)) {
			t.Errorf("status %d, %s", status, errs)
		}
		if cut == 0 || stage == practice.StageConstantOrders && cut == blocks {
			t.Errorf("%v: %d of %d blocks have some keys only", stage, cut, blocks)
		}
		// The player's own tempo goes before the plan's.
		if out, _, status := sheetOf("-log", log, "-block", "1", "-tempo", "71"); status != 0 || !strings.Contains(out, "in 4/4 at 71.") {
			t.Error(out)
		}
		// The figures are known by name.
		if out, errs, status := sheetOf("-log", log, "-figure", "quick one"); status != 0 || !strings.Contains(out, "Play     3 5 1 6 in mixolydian by 1/16\n") {
			t.Errorf("%s%s", errs, out)
		}
	}
}

// played is what a drill plays, key by key.
func played(d *drill.Drill) string {
	var b strings.Builder
	for s := range d.Parts()[0].Statements() {
		fmt.Fprint(&b, s.Written, " ")
		for _, e := range s.Events() {
			fmt.Fprint(&b, e.Note, ":", e.Length, " ")
		}
		b.WriteString("\n")
	}
	return b.String()
}

func TestHelp(t *testing.T) {
	out, errs, status := sheetOf("-h")
	if status != 0 || out != "" || !strings.Contains(errs, "-figure degrees") || !strings.Contains(errs, "wedge") {
		t.Errorf("status %d, %s%s", status, out, errs)
	}
}

// TestSwing takes a ratio as players write it.
func TestSwing(t *testing.T) {
	for text, want := range map[string]float64{"2": 2, "2:1": 2, "3:2": 1.5, " 1.5 : 1": 1.5, "1": 1} {
		o, err := parseFlags([]string{"-swing", text}, io.Discard)
		if err != nil || o.swing != want {
			t.Errorf("%q: %v, %v", text, o.swing, err)
		}
	}
	if o, err := parseFlags(nil, io.Discard); err != nil || o.swing != 1 {
		t.Errorf("without the flag: %v, %v", o.swing, err)
	}
}

// TestTypedOrders: twelve keys begin with the one that was typed first, unless
// another is asked for; the keys of a scale come by their own signatures.
func TestTypedOrders(t *testing.T) {
	for args, want := range map[string]string{
		"-orders 147T/0369/258E":              "  D♭  E   G   B♭  back to D♭\n  C   E♭  G♭  A   back to C\n",
		"-orders 147T/0369/258E -from D":      "  D   F   A♭  B   back to D\n  D♭  E   G   B♭  back to D♭\n",
		"-orders signs -scale minor":          "By the number of sharps or flats: 1 run of 12 keys.\n",
		"-orders signs -scale dorian":         "\n  D   G   A   C   E   F   B   B♭  F♯  E♭  C♯  A♭\n",
		"-orders signs -from D":               "By the number of sharps or flats, from the 2 of D on: 1 run",
		"-orders signs -from Bb -scale minor": "from the 5 of B♭ on: 1 run",
		"-orders P4,P4":                       "Up by fourths: 1 cycle of 12 keys",
	} {
		if out, errs, status := sheetOf(strings.Fields(args)...); status != 0 || !strings.Contains(out, want) {
			t.Errorf("%s: status %d, %s%s\nwant …%s…", args, status, errs, out, want)
		}
	}
}

// TestInstruments: whoever names an instrument reads for what range the sheet
// is, and what the keys mean where an instrument transposes.
func TestInstruments(t *testing.T) {
	for args, want := range map[string]string{
		"-for flute":            "\nfor      flute (C4 to A6)\n",
		"-for trumpet C4-A5":    "\nfor      trumpet in B♭ (C4 to A5); the keys are those you read\n",
		"-for flute C4-A6,oboe": "; the keys are concert keys\n",
	} {
		flag, value, _ := strings.Cut(args, " ")
		if out, errs, _ := sheetOf(flag, value); !strings.Contains(out, want) {
			t.Errorf("%s: %s%s\nwant …%s…", args, errs, out, want)
		}
	}
	if out, _, _ := sheetOf(); strings.Contains(out, "\nfor ") {
		t.Errorf("an instrument that nobody named:\n%s", out)
	}
}

func TestFiles(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "new", "folder")
	out, errs, status := sheetOf("-for", "trumpet, alto sax", "-out", dir, "-title", "A <title> & more")
	if status != 0 || errs != "" {
		t.Fatalf("status %d, %s", status, errs)
	}
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		info, err := e.Info()
		switch {
		case err != nil:
			t.Errorf("%s: %v, %v: an error", e.Name(), info, err)
		case info.Size() == 0:
			t.Errorf("%s: %v, %v: it is empty", e.Name(), info, err)
		case !strings.Contains(out, e.Name()):
			t.Errorf("%s: %v, %v: the sheet does not name it", e.Name(), info, err)
		case strings.HasPrefix(e.Name(), "."):
			t.Errorf("%s: %v, %v: it is hidden", e.Name(), info, err)
		}
	}
	for _, name := range []string{"sheet.txt", "sheet.musicxml", "sheet.mid", "1-trumpet-in-Bb.musicxml", "2-alto-saxophone-in-Eb.musicxml"} {
		if _, err := os.Stat(filepath.Join(dir, name)); err != nil {
			t.Error(err)
		}
	}
	text, err := os.ReadFile(filepath.Join(dir, "sheet.txt"))
	if err != nil || !strings.HasPrefix(string(text), "A <title> & more\n") || !strings.Contains(string(text), "held") {
		t.Errorf("%s, %v", text, err)
	}
}

// TestMain is also the program itself, for tests that need a process.
func TestMain(m *testing.M) {
	if os.Getenv("SHEET_TEST") != "" {
		main()
	}
	os.Exit(m.Run())
}

// program returns the program as a command.
func program(args ...string) (*exec.Cmd, *bytes.Buffer) {
	c := exec.Command(os.Args[0], args...)
	c.Env = append(os.Environ(), "SHEET_TEST=1")
	errs := new(bytes.Buffer)
	c.Stderr = errs
	return c, errs
}

// names returns what stands in a folder and in the one above it.
func names(t *testing.T, dir string) string {
	t.Helper()
	var all []string
	for _, d := range []string{filepath.Dir(dir), dir} {
		entries, err := os.ReadDir(d)
		if err != nil && d != dir {
			t.Fatal(err)
		}
		for _, e := range entries {
			info, err := e.Info()
			if err != nil {
				t.Fatal(err)
			}
			all = append(all, fmt.Sprint(e.Name(), info.Size(), info.ModTime()))
		}
	}
	return strings.Join(all, "\n")
}

// TestNobodyReads closes the other end of the pipe, as head does: all files are
// there, and the failure is said.
func TestNobodyReads(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "out")
	c, errs := program("-out", dir)
	read, write, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	c.Stdout = write
	read.Close()
	c.Run()
	write.Close()
	if status := c.ProcessState.ExitCode(); status != 1 || !strings.HasPrefix(errs.String(), "sheet: standard output could not be written: ") || !strings.HasSuffix(errs.String(), "; the files are in "+dir+"\n") {
		t.Errorf("status %d, %s", status, errs)
	}
	entries, err := os.ReadDir(dir)
	if err != nil || len(entries) != 5 {
		t.Errorf("%v, %v", entries, err)
	}
}

// TestOutputThatFails: exit status 1, and a word on why.
func TestOutputThatFails(t *testing.T) {
	for _, args := range [][]string{nil, {"-out", filepath.Join(t.TempDir(), "out")}} {
		var errs bytes.Buffer
		if status := run(args, failing{}, &errs); status != 1 || !strings.HasPrefix(errs.String(), "sheet: standard output could not be written: no space left") || strings.Count(errs.String(), "\n") != 1 {
			t.Errorf("status %d, %s", status, errs.String())
		}
	}
}

type failing struct{}

func (failing) Write([]byte) (int, error) { return 0, errors.New("no space left") }

// TestLawNoFileIsWrittenHalf: each file of the set, the page and the call sheet
// among them, says so where its writer fails, at whichever call and wherever in
// the text.
func TestLawNoFileIsWrittenHalf(t *testing.T) {
	o, err := parseFlags([]string{"-figure", "5 2 b3:2 1", "-keys", "C F#", "-for", "trumpet, alto saxophone", "-tempo", "300", "-out", "out"}, io.Discard)
	if err != nil {
		t.Fatal(err)
	}
	s, err := newSheet(o, io.Discard)
	if err != nil {
		t.Fatal(err)
	}
	files, err := s.files()
	if err != nil {
		t.Fatal(err)
	}
	var calls bytes.Buffer
	s.writeCalls(&calls)
	for _, f := range files {
		if err := outputtest.Check(f.Write, 150); err != nil {
			t.Errorf("%s: %v", f.Name, err)
		}
		var text bytes.Buffer
		if f.Write(&text); f.Name == "sheet.txt" && !bytes.Contains(text.Bytes(), calls.Bytes()) {
			t.Errorf("no call sheet in it:\n%s", &text)
		}
	}
}

// TestFolderInTheWay: the whole set or nothing of it.
func TestFolderInTheWay(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "out")
	if err := os.MkdirAll(filepath.Join(dir, "sheet.mid", "inside"), 0o755); err != nil {
		t.Fatal(err)
	}
	before := names(t, dir)
	if _, errs, status := sheetOf("-out", dir); status != 2 || !strings.Contains(errs, "sheet.mid is in the way, as it is no file; nothing was written") {
		t.Errorf("status %d, %s", status, errs)
	}
	if after := names(t, dir); after != before {
		t.Errorf("there is\n%s\nand there was\n%s", after, before)
	}
}

// BenchmarkPage makes the whole page of eleven orders for one part, without the
// sound files.
func BenchmarkPage(b *testing.B) {
	o, err := parseFlags([]string{"-orders", "all", "-for", "trumpet"}, io.Discard)
	if err != nil {
		b.Fatal(err)
	}
	for range b.N {
		s, err := newSheet(o, io.Discard)
		if err != nil {
			b.Fatal(err)
		}
		files, err := s.files()
		if err != nil {
			b.Fatal(err)
		}
		for _, f := range files {
			if strings.HasSuffix(f.Name, ".wav") {
				continue
			}
			if err := f.Write(io.Discard); err != nil {
				b.Fatal(err)
			}
		}
	}
}

// TestDefaultFigure holds what is promised of the figure that is played where
// none is given.
func TestDefaultFigure(t *testing.T) {
	f := figure.MustParse(defaultFigure)
	if low, high := f.Span(); high.Semitones()-low.Semitones() > 12 {
		t.Errorf("%v spans more than an octave", f)
	}
	if f.Length() != figure.Whole || f.Pickup() != 0 {
		t.Errorf("%v is not a bar of 4/4", f)
	}
	for _, tonic := range f.Scale().Tonics() {
		for _, n := range f.AppendNotes(nil, tonic.In(4)) {
			if a := n.Alteration(); a < -1 || a > 1 {
				t.Errorf("in %v there is %v", tonic, n)
			}
		}
	}
	lengths, steps, leaps := map[figure.Length]bool{}, 0, 0
	last := 0
	for it := range f.Items() {
		lengths[it.Length] = true
		move := int(it.Degrees[0].Step) - last
		if last = int(it.Degrees[0].Step); move == 1 || move == -1 {
			steps++
		} else if move != 0 {
			leaps++
		}
	}
	if len(lengths) < 2 || steps == 0 || leaps == 0 {
		t.Errorf("%v: %d lengths, %d steps, %d leaps; want a rhythm, neither a run of a scale nor a broken triad", f, len(lengths), steps, leaps)
	}
}
