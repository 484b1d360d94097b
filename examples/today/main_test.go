package main

import (
	"bytes"
	"encoding/xml"
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"example.com/keyorder/cycle"
	"example.com/keyorder/examples/internal/disk"
	"example.com/keyorder/examples/internal/logbook"
	"example.com/keyorder/examples/internal/say"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/practice"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/spelling"
	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"
)

var update = flag.Bool("update", false, "write the golden files")

// byValue compares values whose inside is their own.
var byValue = cmpopts.EquateComparable(drill.Meter{}, figure.Variation{})

func golden(t *testing.T, name, got string) {
	t.Helper()
	name = filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(name, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), got); diff != "" {
		t.Errorf("%s:\n%s", name, diff)
	}
}

// a run of the program, with no environment and on 2 March 2025.
type ran struct {
	status   int
	out, err string
}

func do(in string, args ...string) ran { return doOn(2, in, args...) }

// doOn is a run on another day of March.
func doOn(day int, in string, args ...string) ran {
	var out, err bytes.Buffer
	w := worldOn(day, in)
	w.out, w.err = &out, &err
	return ran{run(args, w), out.String(), err.String()}
}

func worldOn(day int, in string) world {
	return world{strings.NewReader(in), io.Discard, io.Discard, time.Date(2025, 3, day, 12, 0, 0, 0, time.UTC), "linux", func(string) string { return "" }}
}

// ok is a run that must go well.
func ok(t *testing.T, in string, args ...string) string {
	t.Helper()
	return okOn(t, 2, in, args...)
}

func okOn(t *testing.T, day int, in string, args ...string) string {
	t.Helper()
	r := doOn(day, in, args...)
	if r.status != 0 || r.err != "" {
		t.Fatalf("%q: status %d, %s", args, r.status, r.err)
	}
	return r.out
}

// show shows a plan, whose flags need not be said again, and returns the flag
// for its log.
func show(t *testing.T, args ...string) (log []string, plan string) {
	t.Helper()
	log = []string{"-log", filepath.Join(t.TempDir(), "new", "log.jsonl")}
	return log, ok(t, "", append(args, log...)...)
}

func logged(t testing.TB, path string) practice.Log {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	l, err := practice.Read(bytes.NewReader(data))
	if err != nil || l.Bad > 0 || l.Torn != nil {
		t.Fatalf("%v, %+v", err, l)
	}
	return l
}

func TestDemo(t *testing.T) {
	golden(t, "demo.txt", ok(t, "", "-demo"))
	golden(t, "demo-moves.txt", ok(t, "", "-demo", "-moves"))
	plain := ok(t, "", "-demo", "-plain") + ok(t, "", "-demo", "-moves", "-plain")
	for _, r := range plain {
		if r > 126 {
			t.Fatalf("%q is not plain", r)
		}
	}
	if !strings.Contains(plain, "TEST") || !strings.Contains(plain, "Bb  (") {
		t.Error(plain)
	}
}

// TestDemoLogIsALog: three weeks, no Sundays, all of it can be written and read.
func TestDemoLogIsALog(t *testing.T) {
	l := demoLog()
	days := map[practice.Date]bool{}
	var file bytes.Buffer
	for _, e := range l.Entries {
		if err := practice.AppendEntry(&file, e); err != nil {
			t.Fatal(err)
		}
		days[e.Date] = true
		if e.Date.Weekday() == time.Sunday || e.Date < demoFirst || e.Date >= demoDay {
			t.Errorf("an entry on %v, %v", e.Date.Weekday(), e.Date)
		}
	}
	if len(days) != 18 {
		t.Errorf("%d days", len(days))
	}
	back, err := practice.Read(&file)
	if err != nil || !cmp.Equal(back.Entries, l.Entries, byValue) || !cmp.Equal(demoLog(), l, byValue) {
		t.Errorf("%v: %s", err, cmp.Diff(l.Entries, back.Entries, byValue))
	}
	clean, failed := l.Tally("trumpet in B♭")
	clean.Merge(failed)
	if clean.Made() != 132 || failed.Total() == 0 {
		t.Errorf("%d moves, %d failed", clean.Made(), failed.Total())
	}
}

// TestArmsLength: no line of a plan is wider than a narrow terminal.
func TestArmsLength(t *testing.T) {
	for _, args := range [][]string{
		{"-demo"}, {"-demo", "-stage", "mixed rows", "-minutes", "60"},
		{"-log", filepath.Join(t.TempDir(), "x"), "-figures", "1 2 5 4 b3 6 b7 8 9 4 b7 6 5 4 2 b3 1 in dorian by 1/16; 1 8; 1 8 15 22 29", "-for", "horn", "-stage", "few keys", "-minutes", "40"},
	} {
		out := ok(t, "", args...)
		for _, line := range strings.Split(out, "\n") {
			if length(line) > 72 && !strings.HasPrefix(line, "         go run ./examples/sheet") {
				t.Errorf("%d characters: %s", length(line), line)
			}
		}
		for _, want := range append(practice.Cautions(), "figure:", "keys:", "tempo", "rest of", "how often:") {
			if !strings.Contains(strings.Join(strings.Fields(out), " "), want) {
				t.Errorf("%q: no %q", args, want)
			}
		}
	}
}

func TestPause(t *testing.T) {
	out := ok(t, "", "-log", filepath.Join(t.TempDir(), "x"), "-minutes", "60")
	if !strings.Contains(out, "PAUSE, 5:00 minutes\n         why: about five minutes in every half hour") {
		t.Error(out)
	}
}

func TestBadInput(t *testing.T) {
	dir := t.TempDir()
	log := filepath.Join(dir, "log")
	nothing := filepath.Join(dir, "none.jsonl")
	unfit := filepath.Join(dir, "unfit")
	ok(t, "", "-log", log, "-stage", "few keys") // C, F and G, 12 statements
	ok(t, "", "-log", unfit, "-figures", "1 8 15 22 29", "-for", "flute")
	for _, c := range []struct {
		want string
		args []string
	}{
		{`flag provided but not defined: -x`, []string{"-x"}},
		{`"1" is no flag; put what belongs to a flag in quotes`, []string{"-figures", "2", "1"}},
		{`-out goes with -moves`, []string{"-out", dir}},
		{`-from goes with -done`, []string{"-from", "-"}},
		{`-block goes with -done`, []string{"-block", "1"}},
		{`-block goes with -clean`, []string{"-done", "-block", "1"}},
		{`-clean goes with -done`, []string{"-clean", "1"}},
		{`-of goes with -clean`, []string{"-done", "-of", "1"}},
		{`-failed goes with -clean`, []string{"-done", "-failed", "E"}},
		{`-done and -moves are two runs`, []string{"-done", "-moves"}},
		{`the demo log is not written to`, []string{"-done", "-demo"}},
		{`the demo log is not written to`, []string{"-undo", "-demo"}},
		{`-undo goes with no other flag but -log and -plain`, []string{"-undo", "-moves"}},
		{`-undo goes with no other flag`, []string{"-undo", "-date", "2025-03-01"}},
		{`the log has no record to take back`, []string{"-undo", "-log", log}},
		{`-for makes a plan; -done records the one that was shown last`, []string{"-done", "-for", "flute", "-log", log}},
		{`-goal makes a plan`, []string{"-done", "-goal", "99", "-log", log}},
		{`no plan was shown yet`, []string{"-done", "-log", nothing}},
		{`the plan that was shown last is that of 2025-03-02, not of 2025-03-01`, []string{"-done", "-date", "2025-03-01", "-log", log}},
		{`today: tempo 130 to 120: the tempi of figure 1 go from 10 to 500, the goal not below the beginning`, []string{"-tempo", "130", "-log", log}},
		{`"1 3": a figure's name is none if it can be read as a figure`, []string{"-figures", "1 3 = 3 1", "-log", log}},
		{`"a\xff=1": figures are text in UTF-8`, []string{"-figures", "a\xff=1", "-log", log}},
		{`-demo and -log are two logs`, []string{"-demo", "-log", log}},
		{`-from takes all from its file`, []string{"-done", "-from", "-", "-clean", "1"}},
		{`minutes 0: a plan is for 1 to 240 minutes`, []string{"-minutes", "0"}},
		{`minutes 241: a plan is for 1 to 240 minutes`, []string{"-minutes", "241", "-log", log}},
		{`invalid value "x" for flag -minutes`, []string{"-minutes", "x"}},
		{`"yesterday": a date is a day of the calendar`, []string{"-date", "yesterday"}},
		{`"best": it is one of comfortable, first years, full`, []string{"-level", "best"}},
		{`"kazoo": no instrument has this name`, []string{"-for", "kazoo"}},
		{`"1 2 q"`, []string{"-figures", "steps = 1 2 q"}},
		{`"all": it is one of few keys, constant orders, mixed rows`, []string{"-stage", "all", "-log", log}},
		{`figure 1 2: figures 1 and 2 are the same; each is given once`, []string{"-figures", "1 2; 1 2", "-log", log}},
		{`no folder for the log is known here`, nil},
		{`none.jsonl`, []string{"-done", "-from", nothing, "-log", log}},
		{`block 99: the plan has blocks 1 to`, []string{"-done", "-clean", "1", "-block", "99", "-log", log}},
		{`99 of 12 clean: the block has 12 statements`, []string{"-done", "-clean", "99", "-log", log}},
		{`1 of 99 clean: the block has 12 statements`, []string{"-done", "-clean", "1", "-of", "99", "-log", log}},
		{`-1 of 12 clean`, []string{"-done", "-clean", "-1", "-log", log}},
		{`"F": all 12 statements were clean`, []string{"-done", "-clean", "12", "-failed", "F", "-log", log}},
		{`"H"`, []string{"-done", "-clean", "1", "-failed", "H", "-log", log}},
		{`"H"`, []string{"-done", "-clean", "1", "-failed", "C>H", "-log", log}},
		{`"C>Eb" is none of the moves that were played`, []string{"-done", "-clean", "1", "-failed", "C>Eb", "-log", log}},
		{`"B" is none of the keys that were played`, []string{"-done", "-clean", "1", "-failed", "B", "-log", log}},
		{`the plan has no block`, []string{"-done", "-log", unfit}},
	} {
		r := do("", c.args...)
		switch {
		case r.status != 2:
			t.Errorf("%q: status %d, out %q, err %q; want %s: not status 2", c.args, r.status, r.out, r.err, c.want)
		case r.out != "":
			t.Errorf("%q: status %d, out %q, err %q; want %s: it prints", c.args, r.status, r.out, r.err, c.want)
		case !strings.HasPrefix(r.err, "today: "):
			t.Errorf("%q: status %d, out %q, err %q; want %s: the program is not named first", c.args, r.status, r.out, r.err, c.want)
		case strings.Count(r.err, "\n") != 1:
			t.Errorf("%q: status %d, out %q, err %q; want %s: not one line", c.args, r.status, r.out, r.err, c.want)
		case !strings.Contains(strings.ReplaceAll(r.err, `\"`, `"`), c.want):
			t.Errorf("%q: status %d, out %q, err %q; want %s: other words", c.args, r.status, r.out, r.err, c.want)
		}
	}
	if l := logged(t, log); len(l.Entries) > 0 {
		t.Errorf("bad input was recorded: %+v", l.Entries)
	}
}

func TestCannotReadOrWrite(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "file")
	if err := os.WriteFile(file, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{
		{"-log", dir}, {"-log", filepath.Join(file, "log")}, {"-undo", "-log", dir}, {"-done", "-log", filepath.Join(file, "log")},
		{"-done", "-from", dir, "-log", filepath.Join(dir, "log")}, {"-done", "-from", "-", "-log", dir},
		{"-moves", "-demo", "-out", file},
	} {
		if r := do("", args...); r.status != 1 || strings.Count(r.err, "\n") != 1 {
			t.Errorf("%q: status %d, err %q", args, r.status, r.err)
		}
	}
	if names, err := os.ReadDir(dir); err != nil || len(names) > 2 {
		t.Errorf("left behind: %v, %v", names, err)
	}
}

func TestHelp(t *testing.T) {
	out := ok(t, "", "-h")
	for _, want := range []string{"-done", "-moves", "-demo", "-figures", "-for", "-stage", "-minutes", "-seed", "-log", "-plain", "-from", "-out"} {
		if !strings.Contains(out, want) {
			t.Errorf("no %s in %s", want, out)
		}
	}
}

// TestLogPath: XDG_DATA_HOME counts if it is absolute, and stands for
// ~/.local/share if not (XDG Base Directory Specification); the folders of
// Windows and macOS are common practice.
func TestLogPath(t *testing.T) {
	root := t.TempDir() // absolute on any system
	for _, c := range []struct {
		system string
		env    map[string]string
		want   string
	}{
		{"linux", map[string]string{"HOME": root}, ".local/share/keyorder/practice.jsonl"},
		{"linux", map[string]string{"HOME": root, "XDG_DATA_HOME": filepath.Join(root, "data")}, "data/keyorder/practice.jsonl"},
		{"freebsd", map[string]string{"HOME": root, "XDG_DATA_HOME": "data"}, ".local/share/keyorder/practice.jsonl"},
		{"darwin", map[string]string{"HOME": root, "XDG_DATA_HOME": root}, "Library/Application Support/keyorder/practice.jsonl"},
		{"windows", map[string]string{"HOME": "/x", "AppData": root}, "keyorder/practice.jsonl"},
		{"windows", map[string]string{"HOME": root}, ""},
		{"darwin", nil, ""},
		{"js", nil, ""},
	} {
		got, err := logbook.Path(c.system, func(name string) string { return c.env[name] })
		want := filepath.Join(root, filepath.FromSlash(c.want))
		if c.want == "" {
			want = ""
		}
		if got != want || (err == nil) != (c.want != "") {
			t.Errorf("%s, %v: %q, %v; want %q", c.system, c.env, got, err, want)
		}
	}
}

func TestRecordInTheTerminal(t *testing.T) {
	args, before := show(t, "-for", "flute", "-seed", "3", "-minutes", "10")
	log := args[1]
	if _, err := os.Stat(log); err == nil {
		t.Error("a plan makes a log")
	}
	// All; some, with what failed; a mistake and then stopped early; not played; end.
	out := ok(t, "16\n"+"11\nE H\nE Bb>G\n"+"many\n 8 of 9 \n\n"+"\n"+"end\n", append(args, "-done")...)
	golden(t, "done.txt", out)
	l := logged(t, log)
	if len(l.Entries) != 3 {
		t.Fatalf("%d entries\n%s", len(l.Entries), out)
	}
	a, b, c := l.Entries[0], l.Entries[1], l.Entries[2]
	switch {
	case a.Clean != a.Played:
		t.Errorf("%+v: %d clean of %d", a, a.Clean, a.Played)
	case !a.FirstTry:
		t.Errorf("%+v: not at the first try", a)
	case a.Date.String() != "2025-03-02":
		t.Errorf("%+v: the date is %v", a, a.Date)
	case a.Instrument != "flute":
		t.Errorf("%+v: the instrument is %s", a, a.Instrument)
	}
	switch {
	case b.Clean != 11:
		t.Errorf("%+v: %d clean, want 11", b, b.Clean)
	case len(b.FailedKeys) != 1:
		t.Errorf("%+v: %d failed keys, want 1", b, len(b.FailedKeys))
	case b.FailedKeys[0] != 4:
		t.Errorf("%+v: the failed key is %v", b, b.FailedKeys[0])
	case len(b.FailedMoves) != 1:
		t.Errorf("%+v: %d failed moves, want 1", b, len(b.FailedMoves))
	case b.FailedMoves[0] != (cycle.Move{From: 10, To: 7}):
		t.Errorf("%+v: the failed move is %v", b, b.FailedMoves[0])
	}
	switch {
	case c.Clean != 8:
		t.Errorf("%+v: %d clean, want 8", c, c.Clean)
	case c.Played != 9:
		t.Errorf("%+v: %d played, want 9", c, c.Played)
	case c.FailedKeys != nil:
		t.Errorf("%+v: failed keys", c)
	case c.FailedMoves != nil:
		t.Errorf("%+v: failed moves", c)
	}
	// The plan stays as it was, but for what is done.
	after := ok(t, "", args...)
	if strings.Count(after, "DONE") != 3 || !strings.Contains(after, "DONE, 8 of 9 clean") {
		t.Error(after)
	}
	for _, mark := range []string{"   DONE, 16 of 16 clean", "   DONE, 11 of 15 clean", "   DONE, 8 of 9 clean"} {
		after = strings.Replace(after, mark, "", 1)
	}
	before = strings.Replace(before, "\nRecord it with -done.\n", "", 1)
	head, _, _ := strings.Cut(before, "\n  * ")
	_, plan, _ := strings.Cut(before, "\n  0:00 ")
	if want := head + "\n  0:00 " + plan; after != want { // the cautions were shown today
		t.Error(cmp.Diff(want, after))
	}
	// Only what is not recorded is asked for, and the input may end anywhere.
	rest := ok(t, "", append(args, "-done")...)
	if !strings.Contains(rest, "Block 4 of ") || strings.Contains(rest, "Block 1 of ") {
		t.Error(rest)
	}
	ok(t, "2 of 3", append(args, "-done")...)
	if l := logged(t, log); len(l.Entries) != 4 || l.Entries[3].Played != 3 {
		t.Errorf("%+v", l.Entries)
	}
}

func TestRecordFromFlags(t *testing.T) {
	args, _ := show(t, "-for", "trumpet", "-figures", "1 2 3", "-seed", "3", "-minutes", "6")
	log := args[1]
	args = append(args, "-done")
	for _, more := range [][]string{{"-clean", "12", "-failed", "C"}, {"-clean", "0", "-of", "2"}, {"-clean", "7", "-block", "3"}, {"-clean", "6", "-of", "6"}} {
		ok(t, "", append(slices.Clone(args), more...)...)
	}
	l := logged(t, log)
	var got []int
	for _, e := range l.Entries {
		got = append(got, e.Clean, e.Played)
	}
	switch {
	case len(got) != 8:
		t.Errorf("%v: %d numbers, want 8", got, len(got))
	case got[0] != 12:
		t.Errorf("%v: the first is not 12", got)
	case got[2] != 0:
		t.Errorf("%v: the third is not 0", got)
	case got[3] != 2:
		t.Errorf("%v: the fourth is not 2", got)
	case got[4] != 7:
		t.Errorf("%v: the fifth is not 7", got)
	case got[6] != 6:
		t.Errorf("%v: the seventh is not 6", got)
	case got[7] != 6:
		t.Errorf("%v: the eighth is not 6", got)
	}
	if r := do("", append(args, "-clean", "1")...); r.status != 2 || !strings.Contains(r.err, "all 4 blocks of the day are recorded") {
		t.Errorf("%+v", r)
	}
	if out := ok(t, "", args...); !strings.Contains(out, "All 4 blocks of the day are recorded.") {
		t.Error(out)
	}
}

func TestThreeCleanPassesAreEnough(t *testing.T) {
	log, _ := show(t, "-figures", "steps = 1 2 3", "-stage", "few keys", "-minutes", "10")
	out := ok(t, "18\n18\n", append(log, "-done")...)
	if strings.Contains(out, "three clean") {
		t.Error(out)
	}
	out = ok(t, "12\n12\n12\nend\n", append(log, "-done")...)
	if strings.Count(out, "That is three clean passes of steps: leave it for another day.") != 1 {
		t.Error(out)
	}
}

// TestFiguresGoOn: what flags said goes on the next day, until flags say
// something else.
func TestFiguresGoOn(t *testing.T) {
	log, first := show(t, "-figures", "hook = 5 2 b3:2 1 in dorian; 3 5 1 6", "-for", "trumpet Bb3-E5", "-minutes", "30", "-stage", "mixed rows", "-seed", "9")
	if !strings.Contains(first, "30 minutes · trumpet in B♭ · mixed rows") || !strings.Contains(first, "HOOK") {
		t.Error(first)
	}
	kept := func() practice.Settings {
		k, there, err := logbook.ReadKept(log[1])
		if err != nil || !there {
			t.Fatal(err)
		}
		return k.Plan.Settings
	}
	one := kept()
	second := okOn(t, 3, "", log...)
	two := kept()
	two.Date--
	if !cmp.Equal(one, two, byValue) || two.Seed != 9 || two.Instrument.Low != spelling.MustParse("Bb3") {
		t.Errorf("%s\n%s", cmp.Diff(one, two, byValue), second)
	}
	// One thing is said anew, the others go on.
	okOn(t, 4, "", append(log, "-goal", "150", "-level", "full")...)
	switch s := kept(); {
	case s.Ideas[1].Goal != 150:
		t.Errorf("%+v: the second goal is %d", s, s.Ideas[1].Goal)
	case s.Ideas[0].Name != "hook":
		t.Errorf("%+v: the first name is %s", s, s.Ideas[0].Name)
	case s.Minutes != 30:
		t.Errorf("%+v: %d minutes", s, s.Minutes)
	case s.Instrument.Low == one.Instrument.Low:
		t.Errorf("%+v: the range goes from %v", s, s.Instrument.Low)
	}
	okOn(t, 5, "", append(log, "-figures", "new = 1 4 b3:2 b7 in dorian; old = 3 5 1 6", "-for", "flute")...)
	switch s := kept(); {
	case s.Ideas[0].Goal != 120:
		t.Errorf("%+v: the first goal is %d", s, s.Ideas[0].Goal)
	case s.Ideas[1].Goal != 150:
		t.Errorf("%+v: the second goal is %d", s, s.Ideas[1].Goal)
	case s.Instrument.Name != "flute":
		t.Errorf("%+v: the instrument is %s", s, s.Instrument.Name)
	case s.Stage != practice.StageConstantOrders:
		t.Errorf("%+v: the stage is %v", s, s.Stage)
	}
	// Whoever has played another instrument since then goes on with that.
	e := demoLog().Entries[0]
	e.Date = practice.Date(20149 + 8)
	var line bytes.Buffer
	if err := practice.AppendEntry(&line, e); err != nil {
		t.Fatal(err)
	}
	okOn(t, 12, line.String(), append(log, "-done", "-from", "-")...)
	if out := okOn(t, 12, "", log...); !strings.Contains(out, "30 minutes · trumpet in B♭ · constant orders") || !strings.Contains(out, "NEW") {
		t.Error(out)
	}
}

// TestTheGoal: without a goal of one's own the tempo ends at 120.
func TestTheGoal(t *testing.T) {
	log, _ := show(t, "-figures", "3 5 1 6", "-for", "flute", "-tempo", "120")
	for day := 2; day < 5; day++ {
		okOn(t, day, "", log...)
		okOn(t, day, "", append(log, "-done", "-block", "1", "-clean", "13", "-of", "13")...)
	}
	for _, c := range []struct{ flag, want string }{{"", "tempo 120: 13 of 13 clean at 120: the goal"}, {"-goal=150", "tempo 126: 13 of 13 clean at 120"}, {"", "tempo 126: 13 of 13 clean at 120"}} {
		args := log
		if c.flag != "" {
			args = append(args, c.flag)
		}
		if out := okOn(t, 5, "", args...); !strings.Contains(out, c.want) {
			t.Errorf("%s: no %q in %s", c.flag, c.want, out)
		}
	}
	if _, out := show(t, "-tempo", "63"); !strings.Contains(out, "tempo 63: to begin with") {
		t.Error(out)
	}
}

// TestWhatWasShownIsRecorded: the plan, not one that is made anew.
func TestWhatWasShownIsRecorded(t *testing.T) {
	log, _ := show(t, "-figures", "hook = 5 2 b3:2 1 in dorian", "-for", "trumpet", "-seed", "4")
	k, _, err := logbook.ReadKept(log[1])
	if err != nil {
		t.Fatal(err)
	}
	// Of the day before, a log comes in, so that a new plan would be another.
	e := k.Plan.Entry(0)
	e.Date--
	var line bytes.Buffer
	if err := practice.AppendEntry(&line, e); err != nil {
		t.Fatal(err)
	}
	ok(t, line.String(), append(log, "-done", "-from", "-")...)
	// After midnight it is still the plan of the day before, and the day is said.
	r := doOn(3, "", append(log, "-done", "-clean", "1")...)
	if want := "today: the plan that was shown last is that of 2025-03-02: record it with -date 2025-03-02, or see today's first, without -done\n"; r.status != 2 || r.err != want {
		t.Errorf("%+v", r)
	}
	okOn(t, 3, "", append(log, "-done", "-clean", "1", "-date", "2025-03-02")...)
	l := logged(t, log[1])
	want := k.Plan.Entry(0)
	want.Clean = 1
	if len(l.Entries) != 2 || !cmp.Equal(l.Entries[1], want, byValue) {
		t.Errorf("%+v\nwant %+v", l.Entries, want)
	}
}

func TestABlockIsRecordedOnce(t *testing.T) {
	log, _ := show(t, "-figures", "3 5 1 6", "-stage", "few keys", "-minutes", "10", "-for", "flute")
	record := func(args ...string) ran { return do("", append(append(log, "-done"), args...)...) }
	// The blocks have the same keys; the third is the third.
	if r := record("-block", "3", "-clean", "9"); r.status != 0 {
		t.Fatal(r)
	}
	if r := record("-block", "3", "-clean", "9"); r.status != 2 || r.err != "today: block 3 is recorded already, 9 of 12 clean; -undo takes the last record back\n" {
		t.Error(r)
	}
	if out := ok(t, "", log...); !strings.Contains(out, "3   FIGURE   DONE, 9 of 12 clean") || strings.Count(out, "DONE") != 1 {
		t.Error(out)
	}
	if r := record("-clean", "8"); r.status != 0 || !strings.Contains(r.out, "block 1, 8 of 12") {
		t.Error(r)
	}
	if r := record("-clean", "7"); r.status != 0 || !strings.Contains(r.out, "block 2, 7 of 12") {
		t.Error(r)
	}
	if l := logged(t, log[1]); len(l.Entries) != 3 {
		t.Errorf("%+v", l.Entries)
	}
}

func TestUndo(t *testing.T) {
	log, _ := show(t, "-figures", "3 5 1 6", "-stage", "few keys", "-for", "flute")
	undo := append(log, "-undo")
	for _, clean := range []string{"9", "8"} {
		ok(t, "", append(log, "-done", "-clean", clean)...)
	}
	both, err := os.ReadFile(log[1])
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.SplitAfter(string(both), "\n")
	if out := ok(t, "", undo...); out != "Taken back: block 2 of 2025-03-02, 8 of 12 clean, 3 5 1 6 on the flute.\nIt stands in log.jsonl.undone now.\n" {
		t.Error(out)
	}
	check := func(want ...string) {
		t.Helper()
		for n, path := range []string{log[1], log[1] + ".undone"} {
			if data, err := os.ReadFile(path); err != nil || strings.ReplaceAll(string(data), "\n\n", "\n") != want[n] {
				t.Errorf("%s: %q, %v, want %q", path, data, err, want[n])
			}
		}
	}
	check(lines[0], lines[1])
	// The block is free again.
	ok(t, "", append(log, "-done", "-block", "2", "-clean", "8")...)
	check(string(both), lines[1])
	// As other programs leave it: marks, other line ends, blank lines, none.
	for _, text := range []string{"\ufeff" + lines[0] + strings.TrimSpace(lines[1]), lines[0] + "\ufeff" + strings.TrimSpace(lines[1]) + "\r\n \r\n\n", strings.ReplaceAll(string(both), "\n", "\r")} {
		os.Remove(log[1] + ".undone")
		if err := os.WriteFile(log[1], []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		if r := do("", undo...); r.status != 0 || !strings.Contains(r.out, "block 2 of") {
			t.Errorf("%q: %+v", text, r)
		}
		if l := logged(t, log[1]); len(l.Entries) != 1 || l.Entries[0].Block != 1 {
			t.Errorf("%q leaves %+v", text, l)
		}
		if l := logged(t, log[1]+".undone"); len(l.Entries) != 1 || l.Entries[0].Block != 2 {
			t.Errorf("%q takes %+v", text, l)
		}
	}
	// What is not read is not taken.
	if err := os.WriteFile(log[1], []byte(lines[0]+"{\"version\":99}\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	if r := do("", undo...); r.status != 1 || !strings.Contains(r.err, "nothing was taken back, as the last line is not read") {
		t.Errorf("%+v", r)
	}
	if data, _ := os.ReadFile(log[1]); string(data) != lines[0]+"{\"version\":99}\n" {
		t.Errorf("%q", data)
	}
}

func TestCautionsOnceADay(t *testing.T) {
	log, first := show(t, "-for", "flute")
	again, other, tomorrow := ok(t, "", log...), ok(t, "", append(log, "-for", "horn")...), okOn(t, 3, "", log...)
	for _, c := range practice.Cautions() {
		has := func(s string) bool { return strings.Contains(strings.Join(strings.Fields(s), " "), c) }
		if !has(first) || has(again) || has(other) || !has(tomorrow) {
			t.Errorf("%q: %v, %v, %v, %v", c, has(first), has(again), has(other), has(tomorrow))
		}
	}
}

func TestTheFutureIsNamed(t *testing.T) {
	log := filepath.Join(t.TempDir(), "log.jsonl")
	var file bytes.Buffer
	for n := range 12 {
		e := demoLog().Entries[0]
		e.Date = practice.Date(20149 + n - 1) // the day before, the day, ten of the future
		if err := practice.AppendEntry(&file, e); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.WriteFile(log, file.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{nil, {"-moves"}} {
		r := do("", append(args, "-log", log)...)
		switch {
		case r.status != 0:
			t.Errorf("%+v: not status 0", r)
		case strings.Count(r.err, "is of the future") != 10:
			t.Errorf("%+v: not ten of the future", r)
		case strings.Contains(r.err, "of 2025-03-02"):
			t.Errorf("%+v: one of today is of the future", r)
		case !strings.Contains(r.err, "an entry of 2025-03-03 is of the future, 1:3 5 4 2 3:2 on the trumpet in B♭; plans count it from the day after on"):
			t.Errorf("%+v: it does not say how the plan counts them", r)
		}
	}
	if r := doOn(1, "", "-log", log); strings.Count(r.err, "is of the future") != 10 || !strings.Contains(r.err, "more entries of the future: 1") {
		t.Errorf("%s", r.err)
	}
}

// TestWhatOtherProgramsLeft is named, counts, and is still there when a line is
// added, which stands on a line of its own.
func TestWhatOtherProgramsLeft(t *testing.T) {
	e := demoLog().Entries[0]
	e.Date = 20148
	var line bytes.Buffer
	if err := practice.AppendEntry(&line, e); err != nil {
		t.Fatal(err)
	}
	end := line.String()
	for text, want := range map[string]string{
		"\ufeff" + end:                            "it has a byte order mark, which does no harm",
		strings.ReplaceAll(end+end, "\n", "\r"):   "carriage returns end 2 of its lines; they are read all the same",
		strings.ReplaceAll(end+end, "\n", "\r\n"): "carriage returns end 2 of its lines",
		strings.TrimSuffix(end, "\n"):             "its last line has no end; it gets one before the next is written",
	} {
		log, _ := show(t, "-figures", "3 5 1 6", "-stage", "few keys", "-for", "flute")
		if err := os.WriteFile(log[1], []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		if r := do("", log...); r.status != 0 || !strings.Contains(r.err, want) || strings.Count(r.err, "\n") != 1 {
			t.Errorf("%q: %s", text, r.err)
		}
		do("", append(log, "-done", "-clean", "5")...)
		data, err := os.ReadFile(log[1])
		if err != nil || !strings.HasPrefix(string(data), text) {
			t.Errorf("%q has become %q, %v", text, data, err)
		}
		if l := logged(t, log[1]); len(l.Entries) != strings.Count(text, "{")+1 || l.Entries[len(l.Entries)-1].Clean != 5 {
			t.Errorf("%q: %+v", text, l)
		}
	}
}

// TestSheetCommand: each block has its own, as a shell reads it.
func TestSheetCommand(t *testing.T) {
	log := filepath.Join(t.TempDir(), "player's log; $HOME")
	out := ok(t, "", "-log", log, "-minutes", "30")
	k, _, err := logbook.ReadKept(log)
	if err != nil || k.Blocks() < 5 {
		t.Fatal(err, k)
	}
	for n := range k.Blocks() {
		want := fmt.Sprintf("\n         go run ./examples/sheet -log %s -block %d\n", "'"+strings.ReplaceAll(log, "'", `'\''`)+"'", n+1)
		if strings.Count(out, want) != 1 {
			t.Errorf("no %s in %s", want, out)
		}
	}
	if sh, err := exec.LookPath("sh"); err == nil {
		if got, err := exec.Command(sh, "-c", "printf %s "+say.Quoted(log)).Output(); err != nil || string(got) != log {
			t.Errorf("a shell reads %q as %q, %v", say.Quoted(log), got, err)
		}
	}
	if out := ok(t, "", "-demo"); strings.Contains(out, "examples/sheet") {
		t.Error("the demo has no plan to take blocks from")
	}
}

// failing is an output with room for so many bytes.
type failing struct{ room int }

func (f *failing) Write(p []byte) (int, error) {
	n := min(len(p), f.room)
	if f.room -= n; n < len(p) {
		return n, errors.New("no space left")
	}
	return n, nil
}

// TestOutputThatFails: exit status 1 and a word on why; what was to be recorded
// is recorded, and cautions that nobody saw are shown the next time.
func TestOutputThatFails(t *testing.T) {
	log, plan := show(t, "-figures", "3 5 1 6", "-stage", "few keys", "-for", "flute")
	fails := func(room int, in string, args ...string) {
		t.Helper()
		w := worldOn(3, in)
		var errs bytes.Buffer
		w.out, w.err = &failing{room}, &errs
		if status := run(append(args, log...), w); status != 1 || errs.String() != "today: standard output could not be written: no space left\n" {
			t.Errorf("%q: status %d, %s", args, status, errs.String())
		}
	}
	for room := 0; room < len(plan); room += 100 {
		fails(room, "")
	}
	if out := okOn(t, 3, "", log...); !strings.Contains(out, "Warm up first") {
		t.Error(out)
	}
	fails(0, "", "-moves")
	fails(0, "", "-h")
	fails(0, "", "-done", "-clean", "7")
	fails(20, "6\n", "-done")
	if l := logged(t, log[1]); len(l.Entries) < 1 || l.Entries[0].Clean != 7 {
		t.Errorf("%+v", l.Entries)
	}
	fails(0, "", "-undo")
}

// TestPlanThatIsNotRead: nothing is written over it.
func TestPlanThatIsNotRead(t *testing.T) {
	log, _ := show(t, "-for", "flute")
	path := logbook.KeptPath(log[1])
	good, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for _, text := range []string{"", "{", strings.Replace(string(good), `"version": 1`, `"version": 2`, 1), strings.Replace(string(good), `"tempo": 80`, `"tempo": -8`, 1), strings.Replace(string(good), `"route": "`, `"route": "X`, 1), string(good[:len(good)/2])} {
		if text == string(good) {
			t.Fatal("nothing is changed")
		}
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		for _, args := range [][]string{nil, {"-done"}, {"-for", "horn"}} {
			switch r := do("", append(args, log...)...); {
			case r.status != 1:
				t.Errorf("%.60q: %+v: not status 1", text, r)
			case r.out != "":
				t.Errorf("%.60q: %+v: it prints", text, r)
			case !strings.Contains(r.err, "the plan that was shown last is not read: "):
				t.Errorf("%.60q: %+v: it does not say what is not read", text, r)
			case !strings.Contains(r.err, "move the file away to begin anew"):
				t.Errorf("%.60q: %+v: it does not say what to do", text, r)
			}
		}
		if now, err := os.ReadFile(path); err != nil || string(now) != text {
			t.Errorf("%.60q has become %.60q, %v", text, now, err)
		}
	}
	// A plan that cannot be kept is shown all the same, and said not to be kept.
	if err := errors.Join(os.Remove(path), os.WriteFile(filepath.Join(filepath.Dir(path), ".log.jsonl.plan.writing"), nil, 0o644)); err != nil {
		t.Fatal(err)
	}
	switch r := do("", log...); {
	case r.status != 1:
		t.Errorf("%+v: not status 1", r)
	case !strings.Contains(r.out, "SETTLE"):
		t.Errorf("%+v: there is no plan", r)
	case !strings.Contains(r.err, "the plan is not kept: "):
		t.Errorf("%+v: it does not say that the plan is not kept", r)
	}
}

// TestMain is also the program itself, for tests that need processes.
func TestMain(m *testing.M) {
	if os.Getenv("TODAY_TEST") != "" {
		main()
	}
	os.Exit(m.Run())
}

func program(args ...string) *exec.Cmd {
	c := exec.Command(os.Args[0], args...)
	c.Env = append(os.Environ(), "TODAY_TEST=1")
	return c
}

// TestManyRecordAtOnce: of all that record the same block, one does.
func TestManyRecordAtOnce(t *testing.T) {
	log, _ := show(t, "-figures", "3 5 1 6", "-stage", "few keys", "-for", "flute")
	var all sync.WaitGroup
	for range 8 {
		all.Add(1)
		go func() {
			defer all.Done()
			program(append(log, "-done", "-block", "2", "-clean", "5", "-date", "2025-03-02")...).Run()
		}()
	}
	all.Wait()
	if l := logged(t, log[1]); len(l.Entries) != 1 {
		t.Errorf("recorded %d times", len(l.Entries))
	}
}

// TestKilledWhileRecording kills a program that takes over a log, again and
// again: what is there stays there, and at the end all of it is, once.
func TestKilledWhileRecording(t *testing.T) {
	dir := t.TempDir()
	log, from := filepath.Join(dir, "log"), filepath.Join(dir, "from")
	var file bytes.Buffer
	all := demoLog().Entries
	for n := range all {
		all[n].Minutes = n + 1 // so that no two are the same
		if err := practice.AppendEntry(&file, all[n]); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.WriteFile(from, file.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	before := 0
	for kill := range 30 {
		c := program("-log", log, "-done", "-from", from)
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		time.Sleep(time.Duration(5+kill) * time.Millisecond)
		c.Process.Kill()
		c.Wait()
		f, err := os.Open(log)
		if errors.Is(err, fs.ErrNotExist) {
			continue
		} else if err != nil {
			t.Fatal(err)
		}
		l, err := practice.Read(f)
		f.Close()
		if err != nil || l.Bad > 0 || len(l.Entries) < before {
			t.Fatalf("after kill %d: %v, %d bad, %d entries of %d", kill, err, l.Bad, len(l.Entries), before)
		}
		before = len(l.Entries)
	}
	t.Logf("%d of %d entries after 30 kills", before, len(all))
	okOn(t, 31, "", "-log", log, "-done", "-from", from)
	if l := logged(t, log); !cmp.Equal(l.Entries, all, byValue) {
		t.Error(cmp.Diff(all, l.Entries, byValue))
	}
}

func TestImport(t *testing.T) {
	dir := t.TempDir()
	log, from := filepath.Join(dir, "log.jsonl"), filepath.Join(dir, "download")
	var file bytes.Buffer
	for _, e := range demoLog().Entries[:7] {
		if err := practice.AppendEntry(&file, e); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.WriteFile(from, file.Bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	if out := okOn(t, 31, "", "-done", "-from", from, "-log", log); out != "Recorded 7 entries from "+from+"; 0 were there before.\n" {
		t.Error(out)
	}
	if out := okOn(t, 31, file.String(), "-done", "-from", "-", "-log", log); out != "Recorded 0 entries from standard input; 7 were there before.\n" {
		t.Error(out)
	}
	r := doOn(31, "nonsense\n"+file.String()+file.String()+"{\"ver", "-done", "-from", "-", "-log", log)
	switch {
	case r.status != 2:
		t.Errorf("%+v: not status 2", r)
	case r.out != "Recorded 7 entries from standard input; 7 were there before.\n":
		t.Errorf("%+v: it prints something else", r)
	case !strings.Contains(r.err, "standard input: line 1 is not read"):
		t.Errorf("%+v: it does not name the line", r)
	case !strings.Contains(r.err, "beginning of a line"):
		t.Errorf("%+v: it does not say what is wrong with it", r)
	}
	if l := logged(t, log); len(l.Entries) != 14 {
		t.Errorf("%d entries", len(l.Entries))
	}
	// The stage goes on from the last entry of the instrument.
	if out := okOn(t, 31, "", "-log", log, "-for", "trumpet"); !strings.Contains(out, "trumpet in B♭ · constant orders") {
		t.Error(out)
	}
}

func TestProblemsAreNamed(t *testing.T) {
	log := filepath.Join(t.TempDir(), "log.jsonl")
	if err := os.WriteFile(log, []byte(strings.Repeat("x\n", 150)+`{"version":1,"da`), 0o644); err != nil {
		t.Fatal(err)
	}
	r := do("", "-log", log)
	if r.status != 0 || strings.Count(r.err, "\n") != 102 || !strings.Contains(r.err, "lines that are not read beside these: 50") || !strings.Contains(r.err, `the beginning of a line, "{\"version\":1,\"da"`) {
		t.Errorf("%d, %s", r.status, r.err)
	}
	// Recording moves it aside.
	r = do("", "-log", log, "-done")
	aside, err := os.ReadFile(log + ".torn")
	if r.status != 0 || err != nil || string(aside) != `{"version":1,"da`+"\n" || !strings.Contains(r.err, "it was moved to log.jsonl.torn") {
		t.Errorf("%d, %s, %q, %v", r.status, r.err, aside, err)
	}
	if data, err := os.ReadFile(log); err != nil || string(data) != strings.Repeat("x\n", 150) {
		t.Errorf("%q, %v", data, err)
	}
}

// TestLawTheFileLosesNoWholeLine appends to a real file, cuts it at any byte of
// the last append as a crash would, and opens it again, with and without the
// lock.
func TestLawTheFileLosesNoWholeLine(t *testing.T) {
	dir := t.TempDir()
	entries := demoLog().Entries
	rapid.Check(t, func(t *rapid.T) {
		path := filepath.Join(dir, "log")
		os.Remove(path)
		os.Remove(path + ".torn")
		var whole []practice.Entry
		torn, bad := "", 0
		for range rapid.IntRange(1, 12).Draw(t, "appends") {
			l, err := openLog(path, demoDay, io.Discard)
			if err != nil {
				t.Fatal(err)
			}
			if !cmp.Equal(l.Entries, whole, byValue) && len(whole) > 0 || len(l.Entries) != len(whole) || l.Bad != bad {
				t.Fatalf("%d entries of %d, %d bad of %d", len(l.Entries), len(whole), l.Bad, bad)
			}
			before, err := os.ReadFile(path)
			if err != nil || len(before) > 0 && before[len(before)-1] != '\n' {
				t.Fatalf("the file ends with %q, %v", before[max(0, len(before)-9):], err)
			}
			e := rapid.SampledFrom(entries).Draw(t, "entry")
			if err := l.append(e); err != nil {
				t.Fatal(err)
			}
			l.Close()
			after, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			line := after[len(before):]
			keep := len(line)
			if rapid.Bool().Draw(t, "crash") {
				keep = rapid.OneOf(rapid.IntRange(0, len(line)), rapid.Just(len(line)-1)).Draw(t, "at")
			}
			if err := os.Truncate(path, int64(len(before)+keep)); err != nil {
				t.Fatal(err)
			}
			switch {
			case keep >= len(line)-1:
				whole = append(whole, e)
			case keep > 0 && rapid.Bool().Draw(t, "no lock"):
				f, err := os.OpenFile(path, os.O_RDWR|os.O_APPEND, 0)
				if err != nil {
					t.Fatal(err)
				}
				l := logFile{f: f}
				if l.Log, err = practice.Read(f); err == nil {
					err = l.mend(path, io.Discard)
				}
				l.Close()
				if err != nil {
					t.Fatal(err)
				}
				bad++
			case keep > 0:
				torn += string(line[:keep]) + "\n"
			}
		}
		l, err := openLog(path, demoDay, io.Discard)
		if err != nil || len(l.Entries) != len(whole) {
			t.Fatalf("%v, %d entries of %d", err, len(l.Entries), len(whole))
		}
		l.Close()
		if aside, err := os.ReadFile(path + ".torn"); string(aside) != torn || err != nil && torn != "" {
			t.Fatalf("set aside %q, %v; want %q", aside, err, torn)
		}
	})
}

func TestTheLockKeepsASecondOut(t *testing.T) {
	path := filepath.Join(t.TempDir(), "log")
	f, locked, err := disk.OpenLocked(path)
	if err != nil {
		t.Fatal(err)
	}
	ok(t, "", "-log", path)
	r := do("", "-log", path, "-done")
	if locked && (r.status != 1 || !strings.Contains(r.err, "another program is writing there") || strings.Count(r.err, "\n") != 1) {
		t.Errorf("%+v", r)
	}
	if !locked && r.status != 0 {
		t.Errorf("%+v", r)
	}
	if locked != (runtime.GOOS != "js" && runtime.GOOS != "wasip1" && runtime.GOOS != "plan9" && runtime.GOOS != "solaris" && runtime.GOOS != "aix") {
		t.Errorf("on %s, locked: %v", runtime.GOOS, locked)
	}
	ok(t, "", "-log", path) // a plan is only read
	f.Close()
	ok(t, "", "-log", path, "-done")
}

func TestMoves(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "out")
	out := ok(t, "", "-demo", "-moves", "-out", dir)
	if !strings.HasSuffix(out, "Written: "+filepath.Join(dir, "moves.svg")+"\n") {
		t.Error(out)
	}
	names, err := fs.Glob(os.DirFS(dir), "*")
	if err != nil || !cmp.Equal(names, []string{"moves.svg"}) {
		t.Errorf("%v, %v", names, err)
	}
	// A log with the circle of fourths alone: the others fill more gaps.
	var l practice.Log
	e := demoLog().Entries[0]
	l.Entries = append(l.Entries, e, e)
	for _, up := range []int{1, 2, 3, 4, 6} {
		e.Route = cycle.By(interval.Of(0, up)).Closed()
		e.Played = e.Route.Len()
		l.Entries = append(l.Entries, e)
	}
	table := tableOf(l, e.Instrument)
	if got := table.gaps(); got != "Fills most of the gaps: down by fourths, 12 of whose 12 moves were never made." {
		t.Error(got)
	}
}

// TestHeatMapIsSVG reads it back as XML: a number or a pattern in each cell, a
// title and a description, no script, no link, markup only as text.
func TestHeatMapIsSVG(t *testing.T) {
	table := tableOf(demoLog(), "trumpet in B♭")
	table.instrument = `<script>"&B♭`
	table.clean = cycle.Tally{}
	table.all = cycle.Tally{}
	for n := range 20 {
		for range n {
			table.all.Add(cycle.Move{From: pitch.Class(n % 12), To: pitch.Class(n+1+n/12) % 12})
		}
	}
	d := xml.NewDecoder(bytes.NewReader(table.svg(naming{})))
	elements, text := map[string]int{}, ""
	for {
		token, err := d.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		switch token := token.(type) {
		case xml.StartElement:
			elements[token.Name.Local]++
			for _, a := range token.Attr {
				if strings.HasPrefix(a.Name.Local, "on") || strings.Contains(a.Name.Local, "href") {
					t.Errorf("%v", a)
				}
			}
		case xml.CharData:
			text += string(token)
		}
	}
	switch {
	case elements["title"] != 1:
		t.Errorf("%v: not one title", elements)
	case elements["desc"] != 1:
		t.Errorf("%v: not one desc", elements)
	case elements["script"] != 0:
		t.Errorf("%v: a script", elements)
	case elements["pattern"] != 1:
		t.Errorf("%v: not one pattern", elements)
	}
	if !strings.Contains(text, `on the <script>"&B♭`) {
		t.Error(text)
	}
}
