package main

import (
	"bytes"
	"encoding/xml"
	"flag"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"testing"
	"time"

	"example.com/keyorder/cycle"
	"example.com/keyorder/examples/internal/logbook"
	"example.com/keyorder/figure/practice"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

var update = flag.Bool("update", false, "write the golden files")

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

func do(in string, args ...string) ran {
	var out, err bytes.Buffer
	w := world{strings.NewReader(in), &out, &err, time.Date(2025, 3, 2, 12, 0, 0, 0, time.UTC), "linux", func(string) string { return "" }}
	return ran{run(args, w), out.String(), err.String()}
}

// ok is a run that must go well.
func ok(t *testing.T, in string, args ...string) string {
	t.Helper()
	r := do(in, args...)
	if r.status != 0 || r.err != "" {
		t.Fatalf("%q: status %d, %s", args, r.status, r.err)
	}
	return r.out
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
	if err != nil || !cmp.Equal(back.Entries, l.Entries) || !cmp.Equal(demoLog(), l) {
		t.Errorf("%v: %s", err, cmp.Diff(l.Entries, back.Entries))
	}
	clean, failed := l.Moves("trumpet in B♭")
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
			if length(line) > 72 {
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
	for _, c := range []struct {
		want string
		args []string
	}{
		{`flag provided but not defined: -x`, []string{"-x"}},
		{`"1": there are flags only`, []string{"-figures", "2", "1"}},
		{`-out goes with -moves`, []string{"-out", dir}},
		{`-from goes with -done`, []string{"-from", "-"}},
		{`-block goes with -done`, []string{"-block", "1"}},
		{`-block goes with -clean`, []string{"-done", "-block", "1"}},
		{`-clean goes with -done`, []string{"-clean", "1"}},
		{`-of goes with -clean`, []string{"-done", "-of", "1"}},
		{`-failed goes with -clean`, []string{"-done", "-failed", "E"}},
		{`-done and -moves are two runs`, []string{"-done", "-moves"}},
		{`the demo log is not written to`, []string{"-done", "-demo"}},
		{`-demo and -log are two logs`, []string{"-demo", "-log", log}},
		{`-from takes all from its file`, []string{"-done", "-from", "-", "-clean", "1"}},
		{`0 minutes: a plan is for 1 to 240`, []string{"-minutes", "0"}},
		{`"241 minutes": a plan is for 1 to 240 minutes`, []string{"-minutes", "241", "-log", log}},
		{`invalid value "x" for flag -minutes`, []string{"-minutes", "x"}},
		{`"yesterday": a date is a day of the calendar`, []string{"-date", "yesterday"}},
		{`"best": it is one of comfortable, first years, full`, []string{"-level", "best"}},
		{`"kazoo": no instrument has this name`, []string{"-for", "kazoo"}},
		{`"1 2 q"`, []string{"-figures", "steps = 1 2 q"}},
		{`"all": a stage is one of few keys, constant orders, mixed rows`, []string{"-stage", "all", "-log", log}},
		{`"figure 1 and 2: 1 2": each figure is given once`, []string{"-figures", "1 2; 1 2", "-log", log}},
		{`no folder for the log is known here`, nil},
		{`none.jsonl`, []string{"-done", "-from", nothing, "-log", log}},
		{`block 9: the plan has blocks 1 to`, []string{"-done", "-clean", "1", "-block", "9", "-log", log, "-minutes", "5"}},
		{`99 of 12 clean: the block has 12 statements`, []string{"-done", "-clean", "99", "-log", log}},
		{`1 of 99 clean: the block has 12 statements`, []string{"-done", "-clean", "1", "-of", "99", "-log", log}},
		{`-1 of 12 clean`, []string{"-done", "-clean", "-1", "-log", log}},
		{`"F": all 12 statements were clean`, []string{"-done", "-clean", "12", "-failed", "F", "-log", log}},
		{`"H"`, []string{"-done", "-clean", "1", "-failed", "H", "-log", log}},
		{`"H"`, []string{"-done", "-clean", "1", "-failed", "C>H", "-log", log}},
		{`"C>Eb" is none of the moves that were played`, []string{"-done", "-clean", "1", "-failed", "C>Eb", "-log", log}},
		{`"B" is none of the keys that were played`, []string{"-done", "-clean", "1", "-failed", "B", "-log", log}},
		{`the plan has no block`, []string{"-done", "-figures", "1 8 15 22 29", "-for", "flute", "-log", log}},
	} {
		if slices.Contains(c.args, "-done") {
			c.args = append(c.args, "-stage", "few keys") // C, F and G, 12 statements
		}
		r := do("", c.args...)
		if r.status != 2 || r.out != "" || !strings.HasPrefix(r.err, "today: ") || strings.Count(r.err, "\n") != 1 || !strings.Contains(strings.ReplaceAll(r.err, `\"`, `"`), c.want) {
			t.Errorf("%q: status %d, out %q, err %q; want %s", c.args, r.status, r.out, r.err, c.want)
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
		{"-log", dir}, {"-log", filepath.Join(file, "log")}, {"-done", "-log", dir}, {"-done", "-log", filepath.Join(file, "log")},
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
	log := filepath.Join(t.TempDir(), "new", "log.jsonl")
	args := []string{"-log", log, "-for", "flute", "-seed", "3", "-minutes", "10"}
	before := ok(t, "", args...)
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
	if a.Clean != a.Statements || !a.FirstTry || a.Date.String() != "2025-03-02" || a.Instrument != "flute" {
		t.Errorf("%+v", a)
	}
	if b.Clean != 11 || len(b.FailedKeys) != 1 || b.FailedKeys[0] != 4 || len(b.FailedMoves) != 1 || b.FailedMoves[0] != (cycle.Move{From: 10, To: 7}) {
		t.Errorf("%+v", b)
	}
	if c.Clean != 8 || c.Statements != 9 || c.FailedKeys != nil || c.FailedMoves != nil {
		t.Errorf("%+v", c)
	}
	// The plan stays as it was, but for what is done.
	after := ok(t, "", args...)
	if strings.Count(after, "DONE") != 3 || !strings.Contains(after, "DONE, 8 of 9 clean") {
		t.Error(after)
	}
	for _, mark := range []string{"   DONE, 16 of 16 clean", "   DONE, 11 of 15 clean", "   DONE, 8 of 9 clean"} {
		after = strings.Replace(after, mark, "", 1)
	}
	if want := strings.Replace(before, "\nRecord it with the same flags and -done.\n", "", 1); after != want {
		t.Error(cmp.Diff(want, after))
	}
	// Only what is not recorded is asked for, and the input may end anywhere.
	rest := ok(t, "", append(args, "-done")...)
	if !strings.Contains(rest, "Block 4 of ") || strings.Contains(rest, "Block 1 of ") {
		t.Error(rest)
	}
	ok(t, "2 of 3", append(args, "-done")...)
	if l := logged(t, log); len(l.Entries) != 4 || l.Entries[3].Statements != 3 {
		t.Errorf("%+v", l.Entries)
	}
}

func TestRecordFromFlags(t *testing.T) {
	log := filepath.Join(t.TempDir(), "log.jsonl")
	args := []string{"-log", log, "-for", "trumpet", "-figures", "1 2 3", "-seed", "3", "-minutes", "6", "-done"}
	for _, more := range [][]string{{"-clean", "12", "-failed", "C"}, {"-clean", "0", "-of", "2"}, {"-clean", "7", "-block", "3"}, {"-clean", "6", "-of", "6"}} {
		ok(t, "", append(slices.Clone(args), more...)...)
	}
	l := logged(t, log)
	var got []int
	for _, e := range l.Entries {
		got = append(got, e.Clean, e.Statements)
	}
	if len(got) != 8 || got[0] != 12 || got[2] != 0 || got[3] != 2 || got[4] != 7 || got[6] != 6 || got[7] != 6 {
		t.Errorf("%v", got)
	}
	if r := do("", append(args, "-clean", "1")...); r.status != 2 || !strings.Contains(r.err, "all 4 blocks of the day are recorded") {
		t.Errorf("%+v", r)
	}
	if out := ok(t, "", args...); !strings.Contains(out, "All 4 blocks of the day are recorded.") {
		t.Error(out)
	}
}

func TestThreeCleanPassesAreEnough(t *testing.T) {
	log := filepath.Join(t.TempDir(), "log.jsonl")
	out := ok(t, "18\n18\n", "-log", log, "-figures", "steps = 1 2 3", "-stage", "few keys", "-minutes", "10", "-done")
	if strings.Contains(out, "three clean") {
		t.Error(out)
	}
	out = ok(t, "12\n12\n12\nend\n", "-log", log, "-figures", "steps = 1 2 3", "-stage", "few keys", "-minutes", "10", "-done")
	if strings.Count(out, "That is three clean passes of steps: leave it for another day.") != 1 {
		t.Error(out)
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
	if out := ok(t, "", "-done", "-from", from, "-log", log); out != "Recorded 7 entries from "+from+"; 0 were there before.\n" {
		t.Error(out)
	}
	if out := ok(t, file.String(), "-done", "-from", "-", "-log", log); out != "Recorded 0 entries from standard input; 7 were there before.\n" {
		t.Error(out)
	}
	r := do("nonsense\n"+file.String()+file.String()+"{\"ver", "-done", "-from", "-", "-log", log)
	if r.status != 2 || r.out != "Recorded 7 entries from standard input; 7 were there before.\n" || !strings.Contains(r.err, "standard input: line 1 is not read") || !strings.Contains(r.err, "beginning of a line") {
		t.Errorf("%+v", r)
	}
	if l := logged(t, log); len(l.Entries) != 14 {
		t.Errorf("%d entries", len(l.Entries))
	}
	// The stage goes on from the last entry of the instrument.
	if out := ok(t, "", "-log", log, "-for", "trumpet", "-date", "2025-04-01"); !strings.Contains(out, "trumpet in B♭ · constant orders") {
		t.Error(out)
	}
}

func TestProblemsAreNamed(t *testing.T) {
	log := filepath.Join(t.TempDir(), "log.jsonl")
	if err := os.WriteFile(log, []byte(strings.Repeat("x\n", 150)+`{"version":1,"da`), 0o644); err != nil {
		t.Fatal(err)
	}
	r := do("", "-log", log)
	if r.status != 0 || strings.Count(r.err, "\n") != 102 || !strings.Contains(r.err, "50 more lines are not read") || !strings.Contains(r.err, `the beginning of a line, "{\"version\":1,\"da"`) {
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
			l, err := openLog(path, io.Discard)
			if err != nil {
				t.Fatal(err)
			}
			if !cmp.Equal(l.Entries, whole) && len(whole) > 0 || len(l.Entries) != len(whole) || l.Bad != bad {
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
					err = l.mend(path, false, io.Discard)
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
		l, err := openLog(path, io.Discard)
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
	f, locked, err := openLocked(path)
	if err != nil {
		t.Fatal(err)
	}
	r := do("", "-log", path, "-done")
	if locked && (r.status != 1 || !strings.Contains(r.err, "another program is recording in it") || strings.Count(r.err, "\n") != 1) {
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
		e.Statements = e.Route.Statements()
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
	table.clean = cycle.Moves{}
	table.all = cycle.Moves{}
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
	if elements["title"] != 1 || elements["desc"] != 1 || elements["script"] != 0 || elements["pattern"] != 1 {
		t.Errorf("%v", elements)
	}
	if !strings.Contains(text, `on the <script>"&B♭`) {
		t.Error(text)
	}
}
