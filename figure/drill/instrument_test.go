package drill_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"example.com/keyorder/cycle"
	. "example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/figuretest"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func table(t *testing.T, file string) (rows [][]string) {
	data, err := os.ReadFile("testdata/" + file)
	if err != nil {
		t.Fatal(err)
	}
	for _, line := range strings.Split(strings.TrimRight(string(data), "\n"), "\n") {
		if !strings.HasPrefix(line, "#") {
			rows = append(rows, strings.Split(line, "\t"))
		}
	}
	return rows[1:]
}

// ours are our names for instruments where the tables in testdata say it
// otherwise.
var ours = map[string]string{
	"tenor horn (alto horn) in Eb": "tenor horn in Eb", "baritone, bass clef": "baritone", "baritone, treble clef (Bb)": "baritone in Bb",
	"euphonium, bass clef": "euphonium", "euphonium, treble clef (Bb)": "euphonium in Bb", "trombone in Bb, treble clef": "trombone in Bb",
	"Eb bass (tuba), treble clef": "tuba in Eb", "Bb bass (tuba), treble clef": "tuba in Bb", "soprano (descant) recorder": "soprano recorder",
	"alto (treble) recorder": "alto recorder", "ukulele (gCEA)": "ukulele", "five-string banjo": "banjo", "tenor banjo (CGDA)": "tenor banjo",
	"glockenspiel (orchestra bells)": "glockenspiel", "organ, manuals": "organ", "organ, pedals": "organ pedals",
}

// TestTableInstruments compares every row of testdata/instruments.tsv and
// testdata/instruments-more.tsv, whose published sources stand in their heads,
// with the instruments here: name, clefs, transposition, written and sounding
// range.
func TestTableInstruments(t *testing.T) {
	all := maps.Collect(func(yield func(string, Instrument) bool) {
		for i := range Instruments(LevelFull) {
			yield(i.Name, i)
		}
	})
	// These are no rows, but what the jazz tables of graded-ranges.tsv name.
	for _, name := range []string{"jazz trumpet in B♭", "lead trumpet in B♭", "jazz trombone"} {
		delete(all, name)
	}
	first, more := table(t, "instruments.tsv"), table(t, "instruments-more.tsv")
	for n, c := range append(slices.Clone(first), more...) {
		name, by, direction := c[0], interval.MustParse(c[2]), c[3]
		if direction == "down" {
			by = -by
		}
		if own, ok := ours[name]; ok {
			name = own
		}
		i, err := Find(name, LevelFull)
		if err != nil {
			t.Error(err)
			continue
		}
		if j, ok := all[i.Name]; ok && i != j {
			t.Errorf("%s is found as %+v and listed as %+v", name, i, j)
		} else if !ok && name != "bass guitar" { // which has a row in both
			t.Errorf("%s has two rows, or is not listed", name)
		}
		delete(all, i.Name)
		if name != strings.ReplaceAll(i.Name, "♭", "b") {
			t.Errorf("%s is named %s", name, i.Name)
		}
		clefs := strings.FieldsFunc(c[1], func(r rune) bool { return strings.ContainsRune(" ,()", r) })
		clefs = slices.DeleteFunc(clefs, func(w string) bool { return !slices.Contains([]string{"treble", "bass", "alto", "tenor"}, w) })
		grand := strings.Contains(c[1], " and ")
		switch name {
		case "tenor voice":
			// The row: bass, or treble an octave above sounding. It is read
			// here from the octave treble clef, which shows the notes as they
			// sound.
			clefs = []string{"octave treble"}
		case "horn in F":
			clefs = clefs[:1] // bass clef for low notes: only if asked for
		}
		if grand {
			clefs = clefs[:1]
		}
		var got []string
		for clef := range i.Clefs() {
			got = append(got, clef.String())
		}
		if slices.Sort(clefs[1:]); i.Grand != grand || got[0] != clefs[0] || len(got) != len(clefs) || !slices.Equal(slices.Sorted(slices.Values(got[1:])), clefs[1:]) {
			t.Errorf("%s is in the clefs %v, grand %v, want %v", name, got, i.Grand, clefs)
		}
		if i.Sounding != by || strconv.Itoa(i.Sounding.Semitones()) != c[4] {
			t.Errorf("%s sounds %v away, want %v", name, i.Sounding, by)
		}
		notes := []string{i.Low.Plain(), i.High.Plain(), i.Low.Up(i.Sounding).Plain(), i.High.Up(i.Sounding).Plain()}
		if diff := cmp.Diff(c[5:9], notes); diff != "" {
			t.Errorf("%s: %s", name, diff)
		}
		if n >= len(first) {
			program, _, _ := strings.Cut(strings.TrimPrefix(c[9], "none; "), " ")
			if strconv.Itoa(int(i.Program)) != program {
				t.Errorf("%s has program %d, want %s", name, i.Program, c[9])
			}
		}
	}
	if len(first) != 26 || len(more) != 44 || len(all) > 0 {
		t.Errorf("%d and %d rows; without a row: %v", len(first), len(more), slices.Collect(maps.Keys(all)))
	}
}

// TestTableGrades compares every row of testdata/graded-ranges.tsv that gives a
// note with the ranges here, and these with the table. The published sources
// stand in its head.
func TestTableGrades(t *testing.T) {
	levels := map[string][]Level{
		"FBA class MD (easiest)": {LevelSixNotes}, "KEN 0.5": {LevelSixNotes},
		"NMP 0.5": {LevelGradeHalf}, "NMP 1": {LevelGrade1}, "NMP 1.5": {LevelGrade1Half}, "NMP 2": {LevelGrade2},
		"ALF 0.5": {LevelGradeHalf}, "ALF 1-1.5": {LevelGrade1, LevelGrade1Half}, "ALF 2-2.5": {LevelGrade2},
		"GMEA middle school, grades 6-8": {LevelMiddleSchool}, "GMEA concert band, grades 9-10": {LevelHighSchool},
		"AFB 1-2": {LevelGrade1, LevelGrade1Half, LevelGrade2}, "AFB 3-4": {LevelFull},
	}
	// whom a row speaks of
	saxophones := []string{"alto saxophone", "tenor saxophone", "baritone saxophone"}
	names := map[string][]string{
		"saxophone (alto, tenor, baritone)":   saxophones,
		"saxophones":                          append([]string{"sopranino saxophone", "soprano saxophone", "bass saxophone"}, saxophones...),
		"trombone and baritone (bass clef)":   {"trombone", "baritone"},
		"flute, piccolo":                      {"flute", "piccolo"},
		"bass and contrabass clarinet":        {"bass clarinet", "contrabass clarinet", "contra-alto clarinet"},
		"trumpet in Bb, baritone treble clef": {"trumpet", "baritone treble clef"},
		"trombone, baritone bass clef":        {"trombone", "baritone"},
		"trombone, euphonium, bassoon":        {"trombone", "euphonium", "bassoon"},
		"trumpet in Bb (jazz)":                {"jazz trumpet"},
		"trombone (jazz)":                     {"jazz trombone"},
		"lead trumpet (jazz)":                 {"lead trumpet"},
		"bass trombone (jazz)":                {"bass trombone"},
		"violin, viola, cello, double bass":   {"violin", "viola", "cello", "double bass"},
	}
	// The table gives these as those of another clef or octave, or not; see the
	// table of instruments for which are common practice.
	unsaid := map[string]bool{}
	for _, n := range []string{"cornet in B♭", "baritone", "baritone in B♭", "euphonium", "euphonium in B♭"} {
		unsaid[n] = true
	}
	said := map[string]bool{}
	rows := 0
	for _, c := range table(t, "graded-ranges.tsv") {
		if c[3] == "" && c[4] == "" {
			continue // no note
		}
		rows++
		at, ok := levels[c[1]+" "+c[2]]
		who := names[c[0]]
		if who == nil {
			who = []string{c[0]}
		}
		for _, l := range at {
			for _, name := range who {
				i, err := Find(name, l)
				if err != nil {
					t.Error(err)
					continue
				}
				said[i.Name+" "+l.String()] = true
				low, high := c[3], c[4]
				switch key := name + " " + c[1] + " " + c[2]; {
				case key == "clarinet in Bb NMP 1.5":
					high = "Bb4" // the row's note: the second clarinet stays below the break
				case name == "piccolo":
					low = "D4" // which has no C4
				case c[1] == "KEN" && (name == "cello" || name == "double bass"):
					low, high = "D3", "B3" // the row's note: each in its own octave
				}
				if low != "" && i.Low.Plain() != low || high != "" && i.High.Plain() != high {
					t.Errorf("%s at %v goes from %v to %v, want %s to %s", name, l, i.Low, i.High, low, high)
				}
				if l != LevelFull && (i.Also != 0) {
					t.Errorf("%s at %v reads %v too", name, l, i.Also)
				}
			}
		}
		if !ok {
			t.Errorf("no level for %s %s", c[1], c[2])
		}
	}
	if rows != 82 {
		t.Errorf("%d rows", rows)
	}
	for l := LevelSixNotes; l <= LevelHighSchool; l++ {
		for i := range Instruments(l) {
			if !said[i.Name+" "+l.String()] && !unsaid[i.Name] {
				t.Errorf("%s has a range at %v, and no row", i.Name, l)
			}
		}
	}
	// Treble clef parts of low brass sound as those in bass clef.
	for _, name := range []string{"baritone", "euphonium"} {
		for l := LevelGradeHalf; l <= LevelHighSchool; l++ {
			bass, treble := find(t, name, l), find(t, name+" treble clef", l)
			if treble.Low.Up(treble.Sounding) != bass.Low || treble.High.Up(treble.Sounding) != bass.High || bass == treble {
				t.Errorf("%s at %v: %v", name, l, treble)
			}
		}
	}
}

// TestTablePrograms compares the sounds with the program numbers of General
// MIDI Level 1 in testdata/midi.tsv, whose published sources stand in its head.
func TestTablePrograms(t *testing.T) {
	programs := map[string]uint8{}
	for _, c := range figuretest.Table(t, "testdata/midi.tsv") {
		if n, err := strconv.ParseUint(c["value"], 10, 8); c["kind"] == "GM1 program" && err == nil {
			programs[c["key"]] = uint8(n)
		}
	}
	// names in the table of sounds where they are others than ours
	sounds := map[string]string{
		"double bass": "contrabass", "horn in F": "French horn", "guitar": "acoustic guitar (nylon)",
		"bass guitar": "electric bass (finger)", "piano": "acoustic grand piano",
		// Level 1 has neither of these two; its note names the stand-ins.
		"flugelhorn in B♭": "trumpet", "bass clarinet in B♭": "clarinet",
		"soprano voice": "choir aahs", "alto voice": "choir aahs", "tenor voice": "choir aahs", "bass voice": "choir aahs",
	}
	// The others' rows are in instruments-more.tsv.
	first := map[string]bool{}
	for _, c := range table(t, "instruments.tsv") {
		first[find(t, c[0], LevelFull).Name] = true
	}
	for level := LevelComfortable; level <= LevelHighSchool; level++ {
		for i := range Instruments(level) {
			if i.Program < 1 || i.Program > 128 || i.Program != find(t, i.Name, LevelComfortable).Program {
				t.Errorf("%s has program %d", i.Name, i.Program)
			}
			if !first[i.Name] {
				continue
			}
			sound, ok := sounds[i.Name]
			if !ok {
				sound, _, _ = strings.Cut(strings.Replace(i.Name, "saxophone", "sax", 1), " in ")
			}
			if want := programs[sound]; want == 0 || i.Program != want {
				t.Errorf("%s has program %d, %s is %d", i.Name, i.Program, sound, want)
			}
		}
	}
}

// TestLevels: the first years' range lies within the comfortable one, and that
// within the full one; and but for voices, all twelve keys of a figure that
// spans a fifth fit at every level. Voices have ranges of an octave at first,
// and of at most an octave and a sixth: they sing it in some of the keys.
func TestLevels(t *testing.T) {
	f := parseFigure(t, "1:3 5 4 2 3:2")
	for full := range Instruments(LevelFull) {
		wider := full
		for _, level := range []Level{LevelFull, LevelComfortable, LevelFirstYears} {
			if full.Name == "lead trumpet in B♭" && level == LevelFirstYears {
				continue
			}
			i := find(t, full.Name, level)
			if i.Low.Number() < wider.Low.Number() || i.High.Number() > wider.High.Number() {
				t.Errorf("%s at level %v goes from %v to %v, beyond %v to %v", i.Name, level, i.Low, i.High, wider.Low, wider.High)
			}
			wider = i
			if err := i.Check(); err != nil {
				t.Error(err)
			}
			for step := 1; step <= 11; step++ {
				s := Settings{Figure: f, Route: cycle.By(interval.Of(0, step)).Closed(), Parts: []Instrument{i}}
				d, err := New(s)
				if i.Family == FamilyVoice {
					var fit *FitError
					if enough := width(i) >= 18; err == nil != enough || !enough && !errors.As(err, &fit) {
						t.Errorf("%s at level %v, %d semitones: %v", i.Name, level, width(i), err)
					}
					s.LeaveOut = true
					if d, err := New(s); err != nil || d.Len() == 0 {
						t.Errorf("%s at level %v sings no key: %v", i.Name, level, err)
					}
				} else if err != nil || d.Parts()[0].LeftOut() != nil {
					t.Errorf("%s at level %v: %v", i.Name, level, err)
				}
			}
		}
		if i, err := Find(full.Name, 200); err == nil || !strings.Contains(err.Error(), `"Level(200)": it is one of comfortable, first years, full, six notes, grade 0.5`) {
			t.Errorf("beyond full: %v, %v", i, err)
		}
	}
	for i := range Instruments(LevelHighSchool + 1) {
		t.Errorf("beyond full: %v", i)
	}
	// a caller may stop
	for level := range LevelHighSchool + 1 {
		first := ""
		for i := range Instruments(level) {
			first = i.Name
			break
		}
		if first != "flute" {
			t.Errorf("first at %v comes %q", level, first)
		}
	}
}

// TestFindNames: every instrument is found by its name in any case, with the
// pitch it is in before, behind, or not said.
func TestFindNames(t *testing.T) {
	first := map[string]string{}
	for level := range LevelHighSchool + 1 {
		for i := range Instruments(level) {
			name, in, said := strings.Cut(i.Name, " in ")
			names := []string{i.Name, strings.ReplaceAll(i.Name, "♭", "b")}
			if first[name] == "" || first[name] == i.Name {
				first[name] = i.Name // of those that share a name, the first has it
				names = append(names, name)
			}
			if said {
				names = append(names, in+" "+name, strings.ReplaceAll(in, "♭", "b")+" "+name+"s", strings.ReplaceAll(in, "♭", " flat")+" "+name, strings.ReplaceAll(in, "♭", "-flat")+" "+name)
			}
			for _, n := range names {
				for _, n := range []string{n, strings.ToUpper(n), strings.ToUpper(n[:1]) + n[1:], strings.Replace(n, "saxophone", "sax", 1), "  " + strings.ReplaceAll(n, " ", "  ")} {
					if got, err := Find(n, level); err != nil || got != i {
						t.Errorf("%q is found as %v, %v", n, got, err)
					}
				}
			}
		}
	}
	for text, want := range map[string]string{
		"tenor sax":                          "tenor saxophone in B♭ B♭3 D6",
		"bari sax":                           "baritone saxophone in E♭ B♭3 D6",
		"B♭ trumpet":                         "trumpet in B♭ G3 A5",
		"trumpet in Bb":                      "trumpet in B♭ G3 A5",
		"trumpet Bb3-E5":                     "trumpet in B♭ B♭3 E5",
		"trumpet B♭3–E5":                     "trumpet in B♭ B♭3 E5",
		"Trumpet in B♭ bb3 - e5":             "trumpet in B♭ B♭3 E5",
		"French horn":                        "horn in F F3 G5",
		"Contrabass":                         "double bass E2 G4",
		"flute in C":                         "flute C4 A6",
		"vibes f3–f5":                        "vibraphone F3 F5",
		"E-flat alto saxophone":              "alto saxophone in E♭ B♭3 D6",
		"F horn Gb3-F#5":                     "horn in F G♭3 F♯5",
		"alto saxophones":                    "alto saxophone in E♭ B♭3 D6",
		"trumpet in C":                       "trumpet in C G3 A5",
		"C trumpets":                         "trumpet in C G3 A5",
		"clarinet in A":                      "clarinet in A E3 E6",
		"bari":                               "baritone saxophone in E♭ B♭3 D6",
		"baritone horn":                      "baritone F2 F4",
		"baritone T.C.":                      "baritone in B♭ G3 G5",
		"baritone b.c.":                      "baritone F2 F4",
		"euphonium BC":                       "euphonium E2 G4",
		"euphonium TC":                       "euphonium in B♭ F♯3 A5",
		"clef":                               "", // of which nothing is said
		"sax alto":                           "alto saxophone in E♭ B♭3 D6",
		"Euphonium (treble clef)":            "euphonium in B♭ F♯3 A5",
		"euphonium, bass clef":               "euphonium E2 G4",
		"euphonium in B flat":                "euphonium in B♭ F♯3 A5",
		"E♭ bass":                            "tuba in E♭ G3 G5",
		"E flat tuba":                        "tuba in E♭ G3 G5",
		"Bb bass":                            "tuba in B♭ G3 G5",
		"F bass":                             "",
		"alto horn":                          "tenor horn in E♭ A3 A5",
		"Eb alto horn":                       "tenor horn in E♭ A3 A5",
		"descant recorder":                   "soprano recorder C4 A5",
		"recorders":                          "soprano recorder C4 A5",
		"treble recorder":                    "alto recorder F4 D6",
		"cor anglais":                        "English horn in F C4 D6",
		"upright bass":                       "double bass E2 G4",
		"string basses":                      "double bass E2 G4",
		"tenor trombone":                     "trombone E2 G4",
		"electric bass E2-E4":                "bass guitar E2 E4",
		"trumpet Bb3 to E5":                  "trumpet in B♭ B♭3 E5",
		"trumpet Bb3 E5":                     "trumpet in B♭ B♭3 E5",
		"double bass C#2 - E4":               "double bass C♯2 E4",
		"piano C-1-C4":                       "piano C-1 C4",
		"piano C−1 − C0":                     "piano C-1 C0",
		"lead trumpet":                       "lead trumpet in B♭ G3 C6",
		"double bass in C":                   "", // it sounds an octave lower
		"trumpet trumpet":                    "",
		"trumpet E5-Bb3":                     "",
		"trumpet C4-C4":                      "trumpet in B♭ C4 C4",
		"piano C0-C12":                       "",
		"double bass C-1-E2":                 "",
		"baritone sax C0-C4":                 "", // sounds below C−1
		"trumpet H3-E5":                      "",
		"trumpet Bb3-":                       "",
		"":                                   "",
		"Bb3-E5":                             "",
		strings.Repeat("x", 201):             "",
		"trumpet" + strings.Repeat(" ", 200): "",
	} {
		i, err := Find(text, LevelComfortable)
		if want == "" {
			var unread *fault.SyntaxError
			var refused *fault.ValueError
			read := errors.As(err, &unread) && unread.Input == text || errors.As(err, &refused)
			switch {
			case !read:
				t.Errorf("%q is found as %v, %v: it does not quote the text", text, i, err)
			case i != (Instrument{}):
				t.Errorf("%q is found as %v, %v: there is an instrument all the same", text, i, err)
			case strings.Contains(err.Error(), "drill"):
				t.Errorf("%q is found as %v, %v: it names the package", text, i, err)
			}
		} else if got := fmt.Sprintf("%s %v %v", i.Name, i.Low, i.High); err != nil || got != want {
			t.Errorf("%q is found as %s, %v; want %s", text, got, err, want)
		}
	}
}

// TestFindNear: what is misspelled, left open or unknown is answered with
// what is near, or with all there is.
func TestFindNear(t *testing.T) {
	for text, want := range map[string]string{
		"trumpt":       "near it: trumpet in B♭, trumpet in C, jazz trumpet in B♭, lead trumpet in B♭",
		"trmpet":       "near it: trumpet in B♭, trumpet in C, jazz trumpet in B♭, lead trumpet in B♭",
		"lead trmpet":  "near it: lead trumpet in B♭",
		"trumpet in A": "near it: trumpet in B♭, trumpet in C, jazz trumpet in B♭, lead trumpet in B♭",
		"clarinett":    "near it: clarinet in B♭, clarinet in A, clarinet in C, clarinet in E♭, alto clarinet in E♭, bass clarinet in B♭, contra-alto clarinet in E♭, contrabass clarinet in B♭",
		"alto saxofon": "near it: alto saxophone in E♭",
		"saxophone":    "near it: sopranino saxophone in E♭, soprano saxophone in B♭, alto saxophone in E♭, tenor saxophone in B♭, baritone saxophone in E♭, bass saxophone in B♭",
		"tenor":        "near it: tenor saxophone in B♭, tenor recorder, tenor horn in E♭, trombone, tenor banjo, tenor voice",
		"bass":         "near it: basset horn in F, bass clarinet in B♭, bassoon, contrabassoon, baritone saxophone in E♭, bass saxophone in B♭, bass recorder, bass trombone, tuba in E♭, tuba in B♭, double bass, bass guitar, bass voice",
		"vilin":        "near it: violin",
		"hron":         "near it: English horn in F, basset horn in F, horn in F, tenor horn in E♭, baritone, baritone in B♭",
		"ob":           "near it: oboe, oboe d'amore in A",
		"x":            "there are flute, piccolo,",
		"kazoo":        "there are flute, piccolo, alto flute, oboe,",
		"":             "there are flute, piccolo,",
		"trumpet b3-":  "as in trumpet Bb3-E5",
	} {
		_, err := Find(text, LevelFull)
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %s", text, err, want)
		}
		if err != nil && strings.Contains(want, "near") && !strings.HasSuffix(err.Error(), want) {
			t.Errorf("%q: %v, want it to end with %s", text, err, want)
		}
	}
}

// TestFindRanges: a range that cannot be read is blamed where the trouble is,
// and nothing else.
func TestFindRanges(t *testing.T) {
	for text, want := range map[string]string{
		"trumpet H3-E5":             `at character 9: "H3" is no note: a note name begins with a letter from A to G`,
		"trumpet Bb3-Hb5":           `at character 13: "Hb5" is no note`,
		"trumpet B♭3–E":             `at character 13: "E" is no note: after the note name comes its octave`,
		"trumpet Bb-E":              `at character 9: "Bb" is no note: after the note name comes its octave`,
		"trumpet Bb3":               `at character 9: a range is two written notes`,
		"trumpet Bb3 to":            `at character 9: a range is two written notes`,
		"trumpet Bb3 to Es5":        `at character 16: "Es5" is no note: after the note name comes`,
		"trumpet Bb3-E5 C4-C5":      `at character 16: an instrument has one range`,
		"trumpet Bb3-E5 loud":       `at character 16: after a name come clefs, up or down and an interval, and a range`,
		"trumpet Bb3-":              `"" is no note`,
		"tenor sax -3":              `at character 11: "" is no note`,
		"trumpt Bb3-E5":             `near it: trumpet in B♭`,
		"clay flute:":               `needs a range after the colon`,
		"clay flute: treble":        `needs a range after the colon`,
		": C4-C5":                   `before the colon stands a name`,
		"clay flute: down C4-C5":    `at character 18: after up or down comes the interval`,
		"clay flute: C4-C6 down":    `at character 19: after up or down comes the interval`,
		"clay flute: up -M2 C4-C6":  `at character 16: after up or down comes the interval`,
		"clay flute: C6-C4":         `the low note comes first`,
		"harp: C6-C4":               `instrument "harp": its range goes from C6 to C4; the low note comes first`,
		"clay flute: oboe C4-C6":    `at character 13: after a name come clefs`,
		"clay flute: octave C4-C6":  `at character 13: after a name come clefs`,
		"clay flute: soprano C4-C6": `at character 13: after a name come clefs`,
	} {
		i, err := Find(text, LevelComfortable)
		if err == nil || !strings.Contains(err.Error(), want) || i != (Instrument{}) {
			t.Errorf("%q: %v, %v, want %s", text, i, err, want)
		}
	}
	_, err := Find("harp", LevelGrade1)
	if want := `level "grade 1": no table gives harp a range at this level; it has them for comfortable, first years, full; or give one, as in harp C3-C6`; err == nil || err.Error() != want {
		t.Errorf("%v, want %s", err, want)
	}
	if i, err := Find("harp C3-C5", LevelGrade1); err != nil || i.Low != spelling.MustParse("C3") || !i.Grand {
		t.Error(i, err)
	}
}

// TestFindOwn: an instrument of one's own is read with all that is said of it,
// in any order, and is the same in JSON; what is said of a common one goes before
// what is usual.
func TestFindOwn(t *testing.T) {
	note := spelling.MustParse
	horn := Instrument{Name: "horn in F", Low: note("F#2"), High: note("C6"), Sounding: -interval.PerfectFifth, Family: FamilyBrass, Program: 61}
	for text, want := range map[string]Instrument{
		"clay flute: D4-B5":                        {Name: "clay flute", Low: note("D4"), High: note("B5")},
		"Clay  Flute: down M2 D4-B5":               {Name: "Clay Flute", Low: note("D4"), High: note("B5"), Sounding: -interval.MajorSecond},
		"clay flute: D4 to B5, bass, alto, up P8":  {Name: "clay flute", Low: note("D4"), High: note("B5"), Sounding: interval.Octave, Clef: ClefBass, Also: ClefsOf(ClefAlto)},
		"wire harp: grand staff C2-C6":             {Name: "wire harp", Low: note("C2"), High: note("C6"), Grand: true},
		"wire harp: C2-C6 grand":                   {Name: "wire harp", Low: note("C2"), High: note("C6"), Grand: true},
		"low: octave treble clef, tenor C2 - C6":   {Name: "low", Low: note("C2"), High: note("C6"), Clef: ClefTrebleOctave, Also: ClefsOf(ClefTenor)},
		"low: octave treble bass C2-C6":            {Name: "low", Low: note("C2"), High: note("C6"), Clef: ClefTrebleOctave, Also: ClefsOf(ClefBass)},
		"low: tenor C3-C5":                         {Name: "low", Low: note("C3"), High: note("C5"), Clef: ClefTenor},
		"treble clef euphonium C4-C5":              find(t, "euphonium treble clef C4-C5", LevelComfortable),
		"low: bass bass treble C2-C6":              {Name: "low", Low: note("C2"), High: note("C6"), Clef: ClefBass, Also: ClefsOf(ClefTreble)},
		"horn: treble bass F#2-C6":                 {Name: horn.Name, Low: horn.Low, High: horn.High, Sounding: horn.Sounding, Also: ClefsOf(ClefBass), Family: horn.Family, Program: horn.Program},
		"horn F#2-C6":                              horn,
		"horn: F#2-C6":                             horn,
		"horn: sounds down P4 F#2-C6 in bass clef": {Name: horn.Name, Low: horn.Low, High: horn.High, Sounding: -interval.PerfectFourth, Clef: ClefBass, Family: horn.Family, Program: horn.Program},
		"euphonium: treble C4-C5":                  find(t, "euphonium treble clef C4-C5", LevelComfortable),
		"cello: bass":                              find(t, "cello", LevelComfortable),
		"piano treble clef":                        find(t, "piano", LevelComfortable),
	} {
		i, err := Find(text, LevelComfortable)
		if err != nil || i != want {
			t.Errorf("%q is %+v, %v; want %+v", text, i, err, want)
			continue
		}
		text, err := json.Marshal(i)
		var again Instrument
		if err == nil {
			err = json.Unmarshal(text, &again)
		}
		if err != nil || again != i {
			t.Errorf("%s is read as %+v, %v", text, again, err)
		}
	}
	var i Instrument
	if err := json.Unmarshal([]byte(`{"name":"clay flute","low":"D4","high":"B5","sounding":"-M2","clef":"bass","also":"tenor, treble"}`), &i); err != nil ||
		i.Also != ClefsOf(ClefTreble, ClefTenor) || i.Clef != ClefBass || i.Sounding != -interval.MajorSecond {
		t.Errorf("%+v, %v", i, err)
	}
	if err := json.Unmarshal([]byte(`"clay flute: down M2 D4-B5"`), &i); err != nil || i.Name != "clay flute" {
		t.Errorf("%+v, %v", i, err)
	}
}

// TestLawClefs: a set of clefs holds those that it was made of, and its text
// reads as itself; the clefs of an instrument are its own, each once, the usual
// one first.
func TestLawClefs(t *testing.T) {
	for n := range 256 {
		s := Clefs(n)
		text, err := s.MarshalText()
		if n >= 1<<(ClefTenor+1) {
			var refused *fault.ValueError
			if !errors.As(err, &refused) || refused.Setting != "clefs" {
				t.Errorf("%d is written as %q, %v", n, text, err)
			}
			for c := ClefTenor + 1; c < 20; c++ {
				if s.Contains(c) {
					t.Errorf("%d holds %v", n, c)
				}
			}
			continue
		}
		got := ^s
		if err := got.UnmarshalText([]byte(strings.ToUpper(string(text)))); err != nil || got != s || ClefsOf(slices.Collect(s.All())...) != s {
			t.Errorf("%q is %v, %v", text, got, err)
		}
		for c := range Clef(20) {
			if s.Contains(c) != slices.Contains(slices.Collect(s.All()), c) {
				t.Errorf("%v holds %v: %v", s, c, s.Contains(c))
			}
			i := Instrument{Clef: c, Also: s}
			all := slices.Collect(i.Clefs())
			if all[0] != c || ClefsOf(all...) != s|ClefsOf(c) || len(slices.Compact(slices.Sorted(slices.Values(all)))) != len(all) {
				t.Errorf("%v and %v are %v", c, s, all)
			}
			for clef := range i.Clefs() { // a caller may stop
				if clef != c {
					t.Error(clef)
				}
				break
			}
			for stop := range all {
				n := 0
				for range i.Clefs() {
					if n++; n > stop {
						break
					}
				}
			}
		}
	}
	var s Clefs
	for _, bad := range []string{"soprano", "treble,", "treble bass", "x", ","} {
		var unread *fault.SyntaxError
		if err := s.UnmarshalText([]byte(bad)); !errors.As(err, &unread) || s != 0 {
			t.Errorf("%q is %v, %v", bad, s, err)
		}
	}
	if ClefsOf(ClefTenor+1, ClefBass) != ClefsOf(ClefBass) {
		t.Error("a clef that is none is kept")
	}
}

// TestLawChangesOfWords: the number of changes is a distance.
func TestLawChangesOfWords(t *testing.T) {
	word := rapid.StringMatching("[ab]{0,6}")
	rapid.Check(t, func(t *rapid.T) {
		a, b, c := word.Draw(t, "a"), word.Draw(t, "b"), word.Draw(t, "c")
		switch ab := Changes(a, b); {
		case (ab == 0) != (a == b) || ab != Changes(b, a) || ab > Changes(a, c)+Changes(c, b):
			t.Fatalf("%q to %q are %d changes", a, b, ab)
		case Changes(a+"x", b+"x") != ab || Changes(a+c, a) != len(c):
			t.Fatalf("%q, %q, %q", a, b, c)
		}
	})
}

// TestInstrumentRefused: instruments by value are checked by New.
func TestInstrumentRefused(t *testing.T) {
	good := find(t, "trumpet", LevelComfortable)
	for want, change := range map[string]func(i *Instrument){
		"the low note comes first":             func(i *Instrument) { i.Low, i.High = i.High, i.Low },
		"the zero instrument has no range":     func(i *Instrument) { *i = Instrument{} },
		"written notes lie from C-1 to G9":     func(i *Instrument) { i.High = spelling.MustParse("G#9") },
		"from C♭-1":                            func(i *Instrument) { i.Low = spelling.MustParse("Cb-1") },
		"written notes lie from":               func(i *Instrument) { i.Low, i.High = -1<<15, 1<<15-1 },
		"sounds lie from C-1 to G9":            func(i *Instrument) { i.Sounding = 6 * interval.Octave },
		"sounds from B-4":                      func(i *Instrument) { i.Sounding = -5*interval.Octave - interval.MinorSixth - interval.Octave },
		"clef Clef(5), others , family brass":  func(i *Instrument) { i.Clef = ClefTenor + 1 },
		"others bass, Clefs(32), family brass": func(i *Instrument) { i.Also = 32 | ClefsOf(ClefBass) },
		"others , family Family(5)":            func(i *Instrument) { i.Family = FamilyVoice + 1 },
		"programs go from 1 to 128":            func(i *Instrument) { i.Program = 129 },
	} {
		i := good
		change(&i)
		_, err := New(Settings{Figure: parseFigure(t, "1"), Route: parseRoute(t, "0"), Parts: []Instrument{good, i}})
		var e *fault.ValueError
		switch {
		case !errors.As(err, &e):
			t.Errorf("%+v: %v, want %q: no such error", i, err, want)
		case !strings.Contains(err.Error(), want):
			t.Errorf("%+v: %v, want %q: other words", i, err, want)
		case e.Value != i.Name:
			t.Errorf("%+v: %v, want %q: it quotes %q", i, err, want, e.Value)
		}
	}
	if _, err := New(Settings{Figure: parseFigure(t, "1"), Route: parseRoute(t, "0"), Parts: []Instrument{good}}); err != nil {
		t.Error(err)
	}
	// One note is a range.
	good.High = good.Low
	d := newDrill(t, Settings{Figure: parseFigure(t, "1:3 1"), Route: parseRoute(t, "7"), Parts: []Instrument{good}})
	for s := range d.Parts()[0].Statements() {
		if s.Written != good.Low {
			t.Errorf("%v, not %v", s.Written, good.Low)
		}
	}
}

func FuzzFind(f *testing.F) {
	for _, text := range []string{"trumpet", "tenor sax", "B♭ trumpet", "trumpet Bb3-E5", "trumpet B♭3–E5", "french horn", "horn in F f3 - c5", "x-3", "bass", "in", "b b b", "- - -", "3-3", "ﬁ\xff-\x00"} {
		f.Add(text, uint8(0))
	}
	f.Fuzz(func(t *testing.T, text string, level uint8) {
		i, err := Find(text, Level(level))
		if err != nil {
			var unread *fault.SyntaxError
			var refused *fault.ValueError
			switch {
			case !errors.As(err, &unread) && !errors.As(err, &refused):
				t.Fatalf("%q: %v: no such error", text, err)
			case i != (Instrument{}):
				t.Fatalf("%q: %v: there is an instrument all the same", text, err)
			case len(err.Error()) > 2000:
				t.Fatalf("%q: %v: a long message", text, err)
			}
			return
		}
		if err := i.Check(); err != nil {
			t.Fatalf("%q is found and refused: %v", text, err)
		}
		// its name with its range finds it again
		again, err := Find(fmt.Sprintf("%s %v-%v", i.Name, i.Low, i.High), Level(level))
		if err != nil || again != i {
			t.Fatalf("%q is %+v, again %+v, %v", text, i, again, err)
		}
	})
}

// TestFamilies: what each of the common instruments belongs to. Common practice,
// no source; where General MIDI Level 1 has a section of that name, its program
// lies there (brass 57 to 64, reeds and pipes 65 to 80).
func TestFamilies(t *testing.T) {
	families := map[Family]string{
		FamilyWoodwind: "flute, piccolo, alto flute in G, oboe, oboe d'amore in A, English horn in F, clarinet in B♭, clarinet in A, clarinet in C, clarinet in E♭, basset horn in F, alto clarinet in E♭, bass clarinet in B♭, contra-alto clarinet in E♭, contrabass clarinet in B♭, bassoon, contrabassoon, sopranino saxophone in E♭, soprano saxophone in B♭, alto saxophone in E♭, tenor saxophone in B♭, baritone saxophone in E♭, bass saxophone in B♭, sopranino recorder, soprano recorder, alto recorder, tenor recorder, bass recorder",
		FamilyBrass:    "horn in F, trumpet in B♭, trumpet in C, cornet in B♭, soprano cornet in E♭, flugelhorn in B♭, jazz trumpet in B♭, lead trumpet in B♭, tenor horn in E♭, trombone, trombone in B♭, bass trombone, jazz trombone, baritone, baritone in B♭, euphonium, euphonium in B♭, tuba, tuba in E♭, tuba in B♭",
		FamilyStrings:  "violin, viola, cello, double bass, harp, guitar, bass guitar, mandolin, ukulele, baritone ukulele, banjo, tenor banjo",
		FamilyOther:    "piano, celesta, organ, organ pedals, vibraphone, marimba, xylophone, glockenspiel",
		FamilyVoice:    "soprano voice, alto voice, tenor voice, bass voice",
	}
	got := map[Family][]string{}
	for i := range Instruments(LevelFull) {
		got[i.Family] = append(got[i.Family], i.Name)
		if brass := i.Program >= 57 && i.Program <= 64; brass != (i.Family == FamilyBrass) {
			t.Errorf("%s of family %v has program %d", i.Name, i.Family, i.Program)
		}
		if wood := i.Program >= 65 && i.Program <= 80; wood != (i.Family == FamilyWoodwind) {
			t.Errorf("%s of family %v has program %d", i.Name, i.Family, i.Program)
		}
	}
	for family, want := range families {
		if names := strings.Join(got[family], ", "); names != want {
			t.Errorf("%v: %s, want %s", family, names, want)
		}
	}
}

// TestNearWords: words are near that begin with the same three letters, or with
// all of two; and from four letters on what is mistyped in two places.
func TestNearWords(t *testing.T) {
	for text, want := range map[string]string{
		"trxyzzz":                          "there are flute",
		"vib":                              "near it: vibraphone",
		"vi":                               "near it: violin, viola, cello, vibraphone",
		"v":                                "there are flute",
		"hrn":                              "there are flute", // three letters are too few to be mistyped
		"hrrn":                             "horn in F",
		"hxxn":                             "horn in F",
		"hxxx":                             "there are flute",
		"cintrabxss":                       "near it: contrabass clarinet in B♭, double bass", // one of several names
		"c4-x":                             "is no note",
		strings.Repeat(" ", 196) + "flute": "an instrument is a name such as trumpet",
	} {
		_, err := Find(text, LevelFull)
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, want %s", text, err, want)
		}
		if err != nil && strings.Contains(want, "near") && !strings.HasSuffix(err.Error(), want) {
			t.Errorf("%q: %v, want it to end with %s", text, err, want)
		}
	}
}

// TestInstrumentsEnd: a text of 200 bytes may name an instrument, and the last
// program of General MIDI is 128.
func TestInstrumentsEnd(t *testing.T) {
	i := find(t, strings.Repeat(" ", 195)+"flute", 0)
	i.Program = 128
	if err := i.Check(); err != nil {
		t.Error(err)
	}
}

// TestFindSaysWhere: the error points at the word that cannot be read, also where
// a word before it holds the same letters, and at the beginning where something is
// missing.
func TestFindSaysWhere(t *testing.T) {
	for text, want := range map[string]int{
		strings.Repeat("x", 201):       0,
		"clay flute: treble e":         19,
		"clay flute: bass as D4-B5":    17,
		"clay flute: down M2":          0,
		"clay flute: D4-B5 up M2 C4-C": 24,
	} {
		_, err := Find(text, LevelComfortable)
		var e *fault.SyntaxError
		if !errors.As(err, &e) || e.At != want || e.Input != text {
			t.Errorf("%q: %+v; want it at %d", text, e, want)
		}
	}
}

// TestOtherClefsComeWithTheYears: players at ease read the clefs beside the usual
// one, beginners and bands at school none. Common practice, no source.
func TestOtherClefsComeWithTheYears(t *testing.T) {
	for name, want := range map[string]Clefs{"cello": ClefsOf(ClefTenor, ClefTreble), "viola": ClefsOf(ClefTreble), "trombone": 0} {
		for _, text := range []string{name, name + " D3-B3"} {
			if i := find(t, text, LevelComfortable); i.Also != want {
				t.Errorf("%s at ease reads %v, want %v", text, i.Also, want)
			}
			for _, level := range []Level{LevelFirstYears, LevelSixNotes, LevelGrade1} {
				if i := find(t, text, level); i.Also != 0 {
					t.Errorf("%s, %v, reads %v", text, level, i.Also)
				}
			}
		}
	}
}
