package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"pgregory.net/rapid"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/practice"
	"example.com/keyorder/figure/session"
	"example.com/keyorder/pitch"
)

// inventedClass writes a folder of logs of pupils who do not exist, and of what
// else may lie there.
func inventedClass(t *testing.T) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "band of 7b")
	if err := os.MkdirAll(filepath.Join(dir, "old"), 0o755); err != nil {
		t.Fatal(err)
	}
	ana := `{"version":2,"date":"2025-02-24","figure":"1 6 5 7:2 in mixolydian","order":"P4","keys":"(05T3816E4927)","instrument":"trumpet in B♭","first":"C4","stage":"constant orders","tempo":80,"rest":"1","clean":13,"statements":13}
{"version":2,"date":"2025-02-26","figure":"4 2 5 1:2 in dorian","order":"P4","keys":"(05T3)","instrument":"trumpet in B♭","first":"C4","stage":"few keys","tempo":104,"rest":"1","clean":4,"statements":5,"failed_moves":"5T"}
{"version":2,"date":"2025-02-26","figure":"4 2 5 1:2 in dorian","order":"P4","keys":"(05T3)","instrument":"flute","first":"C5","stage":"few keys","tempo":66,"rest":"1","clean":0,"statements":2,"failed_keys":"0","failed_moves":"05"}
{"version":2,"date":"2025-03-05","figure":"4 2 5 1:2 in dorian","keys":"0","instrument":"flute","first":"C5","stage":"few keys","tempo":70,"rest":"1","clean":1,"statements":1}
`
	for name, text := range map[string]string{
		"Ana.jsonl": ana,
		// Two of five failed in a block of a plan, and nobody said which.
		"Bo.txt": `{"version":2,"date":"2025-03-01","figure":"4 2 5 1:2 in dorian","order":"P4","keys":"(05T3)","instrument":"alto saxophone in E♭","first":"C5","stage":"few keys","tempo":92,"rest":"1","clean":3,"statements":5,"block":1}
no entry
{"version":2,"date":"2025-03-02","figure":"4 2 5 1:2 in dorian","keys":"9","instrument":"clay whistle","first":"A4","stage":"few keys","tempo":400,"rest":"1","clean":1,"statements":1}`,
		"Constantin-Alexander the younger.jsonl": strings.Split(ana, "\n")[0],
		"Bo.md":                                  "Bo forgot the horn\n",
		"Dora.jsonl":                             "",
		"Ana.jsonl.plan":                         "{}",
		".hidden":                                "x",
		"photo\x1b[31m.jpg":                      "\xff\xd8\xff\xe0" + strings.Repeat("\x00\x01", 70000),
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatalf("%q: %v", name, err)
		}
	}
	return dir
}

func TestClass(t *testing.T) {
	dir := inventedClass(t)
	before := listing(t, dir)
	for name, args := range map[string][]string{
		"class.txt": nil, "class-concert.txt": {"-concert", "-plain"}, "class-figure.txt": {"-figures", "4 2 5 1:2 in dorian"},
	} {
		r := do("", append([]string{"-class", dir}, args...)...)
		if r.status != 1 {
			t.Errorf("%q: status %d", args, r.status)
		}
		golden(t, name, r.out+"\n"+strings.ReplaceAll(r.err, filepath.Dir(dir), "…"))
		for _, line := range strings.Split(r.out, "\n") {
			if n := utf8.RuneCountInString(line); n > 100 {
				t.Errorf("%d columns: %s", n, line)
			}
			for _, c := range line {
				if c < ' ' || c > 126 && name == "class-concert.txt" {
					t.Errorf("%q in %s", c, line)
				}
			}
		}
	}
	if after := listing(t, dir); after != before {
		t.Errorf("the folder is not as it was:\n%s\n%s", before, after)
	}
}

// listing is what a folder holds, and since when.
func listing(t *testing.T, dir string) string {
	t.Helper()
	var b strings.Builder
	err := filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		info, err := d.Info()
		if err != nil {
			return err
		}
		text, err := os.ReadFile(path)
		b.WriteString(path + info.ModTime().Format(time.RFC3339Nano) + string(text))
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// TestClassLearning: a figure that was built up stands at the tempo of the whole, and
// where only its beginnings were played no key has a tempo.
func TestClassLearning(t *testing.T) {
	dir := t.TempDir()
	line := func(variation string, tempo int) string {
		return fmt.Sprintf(`{"version":3,"date":"2025-03-01","figure":"3 5 1 6",%s"keys":"3/3","instrument":"flute","first":"E♭4","stage":"few keys","tempo":%d,"rest":"1","clean":2,"statements":2}`+"\n", variation, tempo)
	}
	for name, text := range map[string]string{
		"Ana.jsonl": line(`"variation":"first 2",`, 200) + line(`"variation":"first 4",`, 90) + line("", 88) + line(`"variation":"retrograde",`, 92),
		"Bo.jsonl":  line(`"variation":"first 3",`, 120),
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	said := ok(t, "", "-class", dir)
	for _, want := range []string{`Ana +- +- +- +92 +- `, `Bo( +-){12} +1  2025-03-01 +0\b`} {
		if !regexp.MustCompile(want).MatchString(said) {
			t.Errorf("no %s in\n%s", want, said)
		}
	}
}

// TestClassPage: the page has what the terminal has, and a pupil's name is text.
func TestClassPage(t *testing.T) {
	dir, out := t.TempDir(), filepath.Join(t.TempDir(), "out")
	line := `{"version":2,"date":"2025-03-01","figure":"4 2 5 1:2 in dorian","keys":"3","instrument":"<b>lute","first":"C5","stage":"few keys","tempo":92,"rest":"1","clean":1,"statements":1}` + "\n"
	if err := os.WriteFile(filepath.Join(dir, "Ana & <i>Bo.jsonl"), []byte(line), 0o600); err != nil {
		t.Fatal(err)
	}
	if said := ok(t, "", "-class", dir, "-out", out); !strings.Contains(said, "class.html") {
		t.Error(said)
	}
	page, err := os.ReadFile(filepath.Join(out, "class.html"))
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"<h1>1 pupil in ", "<caption>&lt;b&gt;lute: keys that the player reads</caption>", `<th scope="row">Ana &amp; &lt;i&gt;Bo</th><td data-of="C">-</td><td data-of="D♭">-</td><td data-of="D">-</td><td data-of="E♭">92</td>`, `<td data-of="days">1</td><td data-of="last day">2025-03-01</td><td data-of="moves of 132">0</td>`} {
		if !strings.Contains(string(page), want) {
			t.Errorf("the page has no %s:\n%s", want, page)
		}
	}
}

func TestClassRefuses(t *testing.T) {
	empty := t.TempDir()
	for _, test := range []struct {
		want string
		args []string
	}{
		{"has no practice log", []string{"-class", empty}},
		{"there is no folder", []string{"-class", filepath.Join(empty, "none")}},
		{"none; name one that holds a practice log for each pupil", []string{"-class", filepath.Join(empty, "none")}},
		{"name the folder", []string{"-class", ""}},
		{"-class goes with no other flag", []string{"-class", empty, "-done"}},
		{"-class goes with no other flag", []string{"-class", empty, "-for", "flute"}},
		{"-concert goes with -class", []string{"-concert"}},
	} {
		if r := do("", test.args...); r.status != 2 || !strings.Contains(r.err, test.want) || r.out != "" {
			t.Errorf("%q: status %d, %s%s", test.args, r.status, r.err, r.out)
		}
	}
}

// TestLawStandingsAreTrue: after a session in which anything may fail, be left
// unsaid or change its tempo, no key stands as clean at a tempo at which a
// statement of it failed; where nothing failed, each key stands at its tempo.
func TestLawStandingsAreTrue(t *testing.T) {
	flute, err := drill.Find("flute", drill.LevelFull)
	if err != nil {
		t.Fatal(err)
	}
	routes := []cycle.Route{
		cycle.MustParseRoute("m3"), cycle.MustParseRoute("-P4"), cycle.MustParseRoute("A4"), cycle.MustParseRoute("wedge"),
		cycle.MustParseRoute("05/0/(0)/(05)"), cycle.MustParseRoute("(050T)/(50)"),
	}
	rapid.Check(t, func(t *rapid.T) {
		set := session.Settings{Drill: drill.Settings{Figure: figure.MustParse("4 2 5 1:2 in dorian"), Parts: []drill.Instrument{flute}, Tempo: 80}}
		for range rapid.IntRange(1, 2).Draw(t, "orders") {
			set.Orders = append(set.Orders, session.Order{Route: rapid.SampledFrom(routes).Draw(t, "route")})
		}
		s, err := session.New(context.Background(), set, drill.Cost{}, practice.Log{})
		if err != nil {
			t.Fatal(err)
		}
		statements := s.Plan().Statements
		played := rapid.IntRange(1, len(statements)).Draw(t, "played")
		change, faster := rapid.IntRange(0, 3*len(statements)).Draw(t, "change"), 96
		if change < len(statements) {
			if err := s.SetTempo(statements[change].Turn, faster); err != nil {
				t.Fatal(err)
			}
		}
		failing := rapid.IntRange(0, 3).Draw(t, "of four fail")
		failed, clean := map[[2]int]bool{}, map[[2]int]bool{} // by key and tempo
		allClean, n := true, 0
		for _, o := range set.Orders {
			for _, k := range o.Route.Run() {
				if n == played {
					break
				}
				tempo := 80
				if n >= change {
					tempo = faster
				}
				v := session.VerdictClean
				if failing > 0 && rapid.IntRange(0, 3).Draw(t, "verdict") < failing {
					v = rapid.SampledFrom([]session.Verdict{session.VerdictUnsaid, session.VerdictNotClean, session.VerdictUnclear}).Draw(t, "fault")
				}
				if v != session.VerdictClean {
					allClean = false
				}
				failed[[2]int{int(k), tempo}] = failed[[2]int{int(k), tempo}] || v == session.VerdictNotClean
				clean[[2]int{int(k), tempo}] = clean[[2]int{int(k), tempo}] || v == session.VerdictClean
				if err := s.Say(statements[n].Turn, v); err != nil {
					t.Fatal(err)
				}
				n++
			}
		}
		r, err := s.Report(1, time.Minute)
		if err != nil {
			t.Fatal(err)
		}
		l, err := practice.Read(strings.NewReader(r.Log))
		if err != nil || l.Bad > 0 {
			t.Fatalf("%v, %s", err, r.Log)
		}
		for _, e := range l.Entries {
			for k, s := range standings(e) {
				at := [2]int{k, e.Tempo}
				if s.best > 0 && (s.best != e.Tempo || !clean[at]) {
					t.Errorf("%v stands at %v and was never clean there:\n%s", pitch.Class(k), s, r.Log)
				}
				if len(set.Orders) == 1 && s.best > 0 && failed[at] {
					t.Errorf("%v stands at %v and failed:\n%s", pitch.Class(k), s, r.Log)
				}
				if allClean && s.played && s.best != e.Tempo {
					t.Errorf("%v stands at %v, and all was clean:\n%s", pitch.Class(k), s, r.Log)
				}
			}
		}
	})
}

// TestStandings: what is not said is not clean. The first five keys of the circle
// of fourths were played; C > F > B♭ > E♭ and back to C.
func TestStandings(t *testing.T) {
	for _, test := range []struct{ rest, want string }{
		{`"clean":5,"statements":5`, "90 - - 90 - 90 - - - - 90 -"},
		{`"clean":3,"statements":3`, "90 - - - - 90 - - - - 90 -"},
		{`"clean":4,"statements":5,"failed_keys":"5"`, "90 - - 90 - × - - - - 90 -"},
		{`"clean":3,"statements":5,"failed_moves":"05 T3"`, "90 - - × - × - - - - 90 -"},
		{`"clean":4,"statements":5`, "? - - 90 - 90 - - - - 90 -"},                             // a session: the first C
		{`"clean":3,"statements":5`, "? - - ? - ? - - - - ? -"},                                // more than that
		{`"clean":3,"statements":5,"failed_moves":"05"`, "? - - 90 - × - - - - 90 -"},          // one of them
		{`"clean":4,"statements":5,"block":2`, "? - - ? - ? - - - - ? -"},                      // a plan: any
		{`"clean":3,"statements":5,"failed_keys":"5","block":2`, "? - - ? - × - - - - ? -"},    // one of two
		{`"clean":3,"statements":5,"failed_keys":"0","block":2`, "× - - 90 - 90 - - - - 90 -"}, // both times
		{`"clean":0,"statements":5,"failed_keys":"0 5 T 3","block":2`, "× - - × - × - - - - × -"},
	} {
		var e practice.Entry
		if err := e.UnmarshalJSON([]byte(`{"version":2,"date":"2025-03-01","figure":"4 2 5 1:2 in dorian","keys":"(05T3)","instrument":"flute","first":"C5","stage":"few keys","tempo":90,"rest":"1",` + test.rest + "}")); err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, s := range standings(e) {
			got = append(got, s.String())
		}
		if s := strings.Join(got, " "); s != test.want {
			t.Errorf("%s: %s, want %s", test.rest, s, test.want)
		}
	}
}
