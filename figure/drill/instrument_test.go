package drill_test

import (
	"errors"
	"fmt"
	"maps"
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

// TestTableInstruments compares every row of testdata/instruments.tsv, whose
// published sources stand in its head, with the instruments here: name, clef,
// transposition, written and sounding range.
func TestTableInstruments(t *testing.T) {
	all := maps.Collect(func(yield func(string, Instrument) bool) {
		for i := range Instruments(LevelFull) {
			yield(i.Name, i)
		}
	})
	rows := figuretest.Table(t, "testdata/instruments.tsv")
	for _, c := range rows {
		name, clef, by, direction := c["instrument"], c["clef"], interval.MustParse(c["transposition"]), c["direction"]
		if direction == "down" {
			by = -by
		}
		i, err := Find(name, LevelFull)
		if err != nil {
			t.Error(err)
			continue
		}
		if i != all[i.Name] {
			t.Errorf("%s is found as %+v and listed as %+v", name, i, all[i.Name])
		}
		delete(all, i.Name)
		if name != strings.ReplaceAll(i.Name, "♭", "b") {
			t.Errorf("%s is named %s", name, i.Name)
		}
		first, _, _ := strings.Cut(strings.Split(clef, " ")[0], ",")
		if name == "tenor voice" {
			// The row: bass, or treble an octave above sounding. It is read
			// here from the octave treble clef, which shows the notes as they
			// sound.
			first = "octave treble"
		}
		if i.Clef.String() != first {
			t.Errorf("%s is in the %v clef, want %s", name, i.Clef, first)
		}
		if i.Sounding != by || strconv.Itoa(i.Sounding.Semitones()) != c["semitones"] {
			t.Errorf("%s sounds %v away, want %v", name, i.Sounding, by)
		}
		got := []string{i.Low.Plain(), i.High.Plain(), i.Low.Up(i.Sounding).Plain(), i.High.Up(i.Sounding).Plain()}
		if diff := cmp.Diff([]string{c["written_low"], c["written_high"], c["sounding_low"], c["sounding_high"]}, got); diff != "" {
			t.Errorf("%s: %s", name, diff)
		}
	}
	if len(rows) != 26 || len(all) > 0 {
		t.Errorf("%d rows; without a row: %v", len(rows), slices.Collect(maps.Keys(all)))
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
	for level := LevelComfortable; level <= LevelFull; level++ {
		for i := range Instruments(level) {
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
		if i, err := Find(full.Name, 200); err == nil || !strings.Contains(err.Error(), `"Level(200)": it is one of comfortable, first years, full`) {
			t.Errorf("beyond full: %v, %v", i, err)
		}
	}
	for i := range Instruments(3) {
		t.Errorf("beyond full: %v", i)
	}
	// a caller may stop
	for i := range Instruments(LevelFull) {
		if i.Name != "flute" {
			t.Errorf("first comes %s", i.Name)
		}
		break
	}
}

// TestFindNames: every instrument is found by its name in any case, with the
// pitch it is in before, behind, or not said.
func TestFindNames(t *testing.T) {
	for level := LevelComfortable; level <= LevelFull; level++ {
		for i := range Instruments(level) {
			name, in, said := strings.Cut(i.Name, " in ")
			names := []string{name, i.Name, strings.ReplaceAll(i.Name, "♭", "b")}
			if said {
				names = append(names, in+" "+name, strings.ReplaceAll(in, "♭", "b")+" "+name, strings.ReplaceAll(in, "♭", " flat")+" "+name, strings.ReplaceAll(in, "♭", "-flat")+" "+name)
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
		"trumpet in C":                       "",
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
		"trumpt":       "near it: trumpet in B♭",
		"trmpet":       "near it: trumpet in B♭",
		"trumpet in C": "near it: trumpet in B♭",
		"clarinett":    "near it: clarinet in B♭, bass clarinet in B♭",
		"saxofone":     "near it: soprano saxophone in B♭, alto saxophone in E♭, tenor saxophone in B♭, baritone saxophone in E♭",
		"saxophone":    "near it: soprano saxophone in B♭, alto saxophone in E♭, tenor saxophone in B♭, baritone saxophone in E♭",
		"tenor":        "near it: tenor saxophone in B♭, tenor voice",
		"bass":         "near it: bass clarinet in B♭, bassoon, double bass, bass guitar, bass voice",
		"vilin":        "near it: violin",
		"hron":         "near it: horn in F",
		"ob":           "near it: oboe",
		"x":            "there are flute, oboe, clarinet,",
		"kazoo":        "there are flute, oboe, clarinet,",
		"":             "there are flute, oboe, clarinet,",
		"trumpet b3-":  "as in trumpet Bb3-E5",
	} {
		_, err := Find(text, LevelFull)
		if err == nil || !strings.Contains(err.Error(), want) || strings.Contains(want, "near") && !strings.HasSuffix(err.Error(), want) {
			t.Errorf("%q: %v, want %s", text, err, want)
		}
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
		"the low note comes first":            func(i *Instrument) { i.Low, i.High = i.High, i.Low },
		"the zero instrument has no range":    func(i *Instrument) { *i = Instrument{} },
		"written notes lie from C-1 to G9":    func(i *Instrument) { i.High = spelling.MustParse("G#9") },
		"from C♭-1":                           func(i *Instrument) { i.Low = spelling.MustParse("Cb-1") },
		"written notes lie from":              func(i *Instrument) { i.Low, i.High = -1<<15, 1<<15-1 },
		"sounds lie from C-1 to G9":           func(i *Instrument) { i.Sounding = 6 * interval.Octave },
		"sounds from B-4":                     func(i *Instrument) { i.Sounding = -5*interval.Octave - interval.MinorSixth - interval.Octave },
		"clef Clef(5), others , family brass": func(i *Instrument) { i.Clef = ClefTenor + 1 },
		"family Family(5)":                    func(i *Instrument) { i.Family = FamilyVoice + 1 },
		"programs go from 1 to 128":           func(i *Instrument) { i.Program = 129 },
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
		FamilyWoodwind: "flute, oboe, clarinet in B♭, bass clarinet in B♭, bassoon, soprano saxophone in B♭, alto saxophone in E♭, tenor saxophone in B♭, baritone saxophone in E♭",
		FamilyBrass:    "horn in F, trumpet in B♭, flugelhorn in B♭, trombone, tuba",
		FamilyStrings:  "violin, viola, cello, double bass, guitar, bass guitar",
		FamilyOther:    "piano, vibraphone",
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
		"troxyzz":                          "near it: trombone",
		"trxyzzz":                          "there are flute",
		"vib":                              "near it: vibraphone",
		"vi":                               "near it: violin, viola, vibraphone",
		"v":                                "there are flute",
		"hrn":                              "there are flute", // three letters are too few to be mistyped
		"hrrn":                             "near it: horn in F",
		"hxxn":                             "near it: horn in F",
		"hxxx":                             "there are flute",
		"c4-x":                             "a range is two written notes, as in trumpet Bb3-E5",
		"c4-e5":                            "there are flute",
		strings.Repeat(" ", 197) + "xy":    "there are flute",
		strings.Repeat(" ", 196) + "flute": "an instrument is a name such as trumpet",
	} {
		_, err := Find(text, LevelFull)
		if err == nil || !strings.Contains(err.Error(), want) || strings.Contains(want, "near") && !strings.HasSuffix(err.Error(), want) {
			t.Errorf("%q: %v, want %s", text, err, want)
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
