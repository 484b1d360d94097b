package main

import (
	"archive/zip"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// headOf returns the first lines of a sheet up to the empty one.
func headOf(t *testing.T, args ...string) []string {
	t.Helper()
	out, errs, status := sheetOf(args...)
	if status != 0 || errs != "" {
		t.Fatalf("%v: status %d, %s", args, status, errs)
	}
	head, _, _ := strings.Cut(out, "\n\n")
	return strings.Split(head, "\n")
}

// TestTake writes a sheet as files and takes the idea from them again.
func TestTake(t *testing.T) {
	const figure = "v5 | 1:3 {2 m7} b3 5:2/3 4:2/3 3:2/3 in dorian"
	dir := filepath.Join(t.TempDir(), "out")
	if _, errs, status := sheetOf("-for", "alto saxophone, trumpet", "-figure", figure, "-out", dir, "-sound", "model", "-signatures", "-log", filepath.Join(dir, "log")); status != 0 {
		t.Fatal(errs)
	}
	score := filepath.Join(dir, "sheet.musicxml")
	packed := filepath.Join(dir, "sheet.mxl")
	b, err := os.ReadFile(score)
	if err != nil {
		t.Fatal(err)
	}
	f, err := os.Create(packed)
	if err != nil {
		t.Fatal(err)
	}
	z := zip.NewWriter(f)
	w, err := z.Create("score.xml")
	if err == nil {
		_, err = w.Write(b)
	}
	if err != nil || z.Close() != nil || f.Close() != nil {
		t.Fatal(err)
	}
	const played = "Play     ↓5 | 1:3 {2 m7} 3 5:2/3 4:2/3 3:2/3 in dorian, in eighths"
	bare := strings.Replace(played, "{2 m7} ", "", 1)
	for _, c := range []struct {
		args []string
		want []string // lines
	}{
		{[]string{"-take", score, "-bars", "1-2", "-key", "A dorian"}, []string{played,
			"from     sheet.musicxml, part 1 alto saxophone in E♭, bars 1 to 2", "note     it is the first of the parts 1 alto saxophone in E♭, 2 trumpet in B♭; -part takes another"}},
		{[]string{"-take", score, "-bars", "1-2", "-key", "D dorian", "-part", "2"}, []string{played, "from     sheet.musicxml, part 2 trumpet in B♭, bars 1 to 2"}},
		{[]string{"-take", packed, "-bars", "1-2", "-key", "D dorian", "-part", "2"}, []string{played, "from     sheet.mxl, part 2 trumpet in B♭, bars 1 to 2",
			"note     the compressed file does not say which of its files is the score; the first was taken: score.xml"}},
		{[]string{"-take", score, "-bars", "1-2", "-part", "2"}, []string{"Play     6 | 9:3 {3 m7} 11 13:2/3 12:2/3 11:2/3   in major, in eighths",
			`note     the file has the signature of C major: it is read in C; -key names another, as -key "A minor"`}},
		{[]string{"-take", filepath.Join(dir, "sheet.mid"), "-bars", "2-3", "-key", "C dorian"}, []string{bare, "from     sheet.mid, part 1 alto saxophone in Eb, bars 2 to 3"}},
		{[]string{"-take", filepath.Join(dir, "sheet.mid"), "-bars", "2-3", "-plain"}, []string{"Play     v5 | 1:3 b3 5:2/3 4:2/3 b3:2/3   in major, in eighths",
			`note     the file does not say its key: it is read in C; -key names another, as -key "A minor"`}},
	} {
		got := headOf(t, c.args...)
		for _, line := range c.want {
			if !strings.Contains(strings.Join(got, "\n")+"\n", line+"\n") {
				t.Errorf("%v:\n%s\nwant a line\n%s", c.args, strings.Join(got, "\n"), line)
			}
		}
	}
	all := headOf(t, "-take", score, "-part", "2")
	if !strings.Contains(strings.Join(all, "\n"), "bars 1 to 30\n") {
		t.Errorf("without -bars: %s", strings.Join(all, "\n"))
	}
	// its own page says it too
	page := filepath.Join(t.TempDir(), "page")
	headOf(t, "-take", score, "-bars", "1-2", "-key", "D dorian", "-part", "2", "-out", page)
	if b, err := os.ReadFile(filepath.Join(page, "sheet.txt")); err != nil || !strings.Contains(string(b), "from     sheet.musicxml, part 2") {
		t.Errorf("%v\n%s", err, b)
	}
}

const strange = `<score-partwise><part-list><score-part id="P1"><part-name>lute&#x9b;</part-name></score-part></part-list><part id="P1">
<measure number="0"><attributes><divisions>2</divisions><key><fifths>-1</fifths><mode>dorian</mode></key><time><beats>3</beats><beat-type>4</beat-type></time></attributes><note><grace/><pitch><step>A</step><octave>4</octave></pitch></note><note><pitch><step>D</step><octave>4</octave></pitch><duration>2</duration><voice>1</voice></note></measure>
<measure number="1"><harmony><root><root-step>G</root-step></root><kind text="m7">minor-seventh</kind></harmony><note><pitch><step>G</step><octave>4</octave></pitch><duration>4</duration><voice>1</voice></note><note><chord/><pitch><step>D</step><octave>5</octave></pitch><duration>2</duration><voice>1</voice></note><harmony><root><root-step>C</root-step></root><kind>dominant</kind><offset>-1</offset></harmony><note><pitch><step>B</step><octave>4</octave></pitch><duration>2</duration><voice>1</voice></note><backup><duration>6</duration></backup><note><pitch><step>G</step><octave>3</octave></pitch><duration>6</duration><voice>2</voice></note><backup><duration>6</duration></backup><note><pitch><step>G</step><octave>2</octave></pitch><duration>6</duration><voice>3</voice><staff>2</staff></note></measure>
<measure number="2"><attributes><time><beats>2</beats><beat-type>1</beat-type></time></attributes><note><rest/><duration>6</duration><voice>1</voice></note></measure>
</part></score-partwise>`

// TestTakeOfAStranger: meter, key and numbers of the bars are the file's, and what
// is left out is said.
func TestTakeOfAStranger(t *testing.T) {
	dir := t.TempDir()
	file := func(name, text string) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		return path
	}
	lute := file("lute.xml", strange)
	out, errs, status := sheetOf("-take", lute, "-answers")
	for _, want := range []string{
		"Play     ↓5:2 | {1 m7} 1+5:4 ♮3:2 in dorian, in eighths\n",
		"from     lute.xml, part 1 lute�, bars 0 to 1\n",
		"note     it is the first of the parts 1 lute�, 2 lute� (voice 2), 3 lute� (staff 2); -part takes another\n",
		"note     grace notes, left out: 1\n",
		"note     made longer or shorter, since a figure has no notes that go on under others: 1 note\n",
		"note     left out: 1 chord symbol where no note or rest begins\n",
		" in 3/4 at 80.\n",
	} {
		if status != 0 || !strings.Contains(out, want) {
			t.Errorf("status %d, %s%s\nwant\n%s", status, out, errs, want)
		}
	}
	if out, _, _ := sheetOf("-take", lute, "-meter", "4/4", "-part", "2"); !strings.Contains(out, " in 4/4 at 80.\n") || !strings.Contains(out, "from     lute.xml, part 2 lute� (voice 2), bar 1\n") {
		t.Errorf("another meter:\n%s", out)
	}
	tune := func(events string) string {
		return "MThd\x00\x00\x00\x06\x00\x00\x00\x01\x00\x60MTrk\x00\x00\x00" + string(rune(len(events)+4)) + events + "\x00\xff\x2f\x00"
	}
	minor := file("minor.mid", tune("\x00\xff\x59\x02\xfe\x01\x00\xff\x58\x04\x02\x00\x18\x08\x00\x90\x43\x40\x30\x43\x00\x00\x46\x40\x30\x46\x00"))
	out, errs, _ = sheetOf("-take", minor)
	if !strings.Contains(out, "Play     1 3 in natural minor, in eighths\nfrom     minor.mid, bar 1\n") || !strings.Contains(out, "its meter cannot be had here: meter \"2/1\": ") {
		t.Errorf("minor:\n%s%s", out, errs)
	}
	for mode, scale := range map[string]string{"major": "in major", "lydian": "in lydian", "mixolydian": "in mixolydian", "phrygian": "in phrygian", "locrian": "in locrian", "minor": "in natural minor"} {
		got := headOf(t, "-take", file("mode.xml", strings.Replace(strange, "dorian", mode, 1)), "-bars", "1")
		if !strings.Contains(got[0], scale) {
			t.Errorf("%s: %s", mode, got[0])
		}
	}
	played := file("played.mid", tune("\x00\x90\x43\x40\x31\x43\x00\x00\x46\x40\x30\x46\x00"))
	if got := headOf(t, "-take", played, "-key", "G dorian", "-tempo", "120"); got[0] != "Play     1 3 in dorian, in eighths" || !slices.Contains(got, "note     it was played, not written: its notes were brought to the nearest places, a quarter at 120; -tempo says what was counted") {
		t.Errorf("played:\n%s", strings.Join(got, "\n"))
	}
	together := file("together.mid", tune("\x00\x90\x43\x40\x05\x46\x40\x30\x43\x00\x00\x46\x00"))
	for _, c := range []struct {
		want string
		args []string
	}{
		{"-figure: -take takes that from the file", []string{"-take", lute, "-figure", "1"}},
		{"-part: it goes with -take", []string{"-part", "2"}},
		{"-bars: it goes with -take", []string{"-bars", "2"}},
		{"-key: it goes with -take", []string{"-key", "C"}},
		{"no such file", []string{"-take", filepath.Join(dir, "none.mid")}},
		{"-take: -key: ", []string{"-take", lute, "-key", "H"}},
		{"-take: -key: scale", []string{"-take", lute, "-key", "C sharpish"}},
		{"-part: 4: the file has the parts 1 lute�, 2 lute� (voice 2), 3 lute� (staff 2)", []string{"-take", lute, "-part", "4"}},
		{`-bars: "7": the part has the bars 0 to 2`, []string{"-take", lute, "-bars", "7"}},
		{`-bars: "1-0": the earlier bar comes first, as 0-1`, []string{"-take", lute, "-bars", "1-0"}},
		{`-bars: "-": write a bar or two of them`, []string{"-take", lute, "-bars", "-"}},
		{`-bars: "a": write a bar or two of them`, []string{"-take", minor, "-bars", "a"}},
		{`-bars: "2": no note begins there; the part has notes in bars 0 to 1`, []string{"-take", lute, "-bars", "2"}},
		{"bars 5-6: the file has bars 1 to 1", []string{"-take", minor, "-bars", "5-6"}},
		{"lies off the grid of written music", []string{"-take", together}},
		{"-bars: take.wav is sound, which has none", []string{"-take", file("take.wav", "RIFF\x00\x00\x00\x00WAVE"), "-bars", "2"}},
		{"sound file", []string{"-take", file("broken.wav", "RIFF\x00\x00\x00\x00WAVE")}},
		{"a.txt is neither a MIDI file (.mid) nor a score", []string{"-take", file("a.txt", "words")}},
		{"empty.mid is neither a MIDI file (.mid) nor a score", []string{"-take", file("empty.mid", "")}},
		{"quiet.mid has no notes", []string{"-take", file("quiet.mid", tune(""))}},
		{"it is cut short in line 1", []string{"-take", file("cut.xml", "<score-partwise>")}},
		{"it has no track", []string{"-take", file("cut.mid", tune("")[:14])}},
	} {
		if out, errs, status := sheetOf(c.args...); status != 2 || out != "" || !strings.Contains(errs, c.want) {
			t.Errorf("%v: status %d, %q\nwant %q", c.args, status, errs, c.want)
		}
	}
}

// mid is a MIDI file of one track with quarters of 96 ticks. events are without times:
// before each stands how many ticks it comes after the one before.
func mid(events string) string {
	events += "\x00\xff\x2f\x00"
	return "MThd\x00\x00\x00\x06\x00\x00\x00\x01\x00\x60MTrk\x00\x00" + string([]byte{byte(len(events) >> 8), byte(len(events))}) + events
}

// TestTakeBars: bars in the wrong order, and bars without notes, in which notes are.
func TestTakeBars(t *testing.T) {
	dir := t.TempDir()
	midi, lute := filepath.Join(dir, "gaps.mid"), filepath.Join(dir, "gaps.xml")
	const bar = "\x83\x00" // 384 ticks
	note := func(after string) string { return after + "\x90\x43\x40\x60\x43\x00" }
	// in bars 2, 3 and 6
	text := mid(note(bar) + note("\x82\x20") + note("\x82\x20"+"\xff\x01\x00"+bar+"\xff\x01\x00"+bar))
	if err := os.WriteFile(midi, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	score := strings.Replace(strange, "</part></score", `<measure number="7a"><note><rest/><duration>6</duration></note></measure><measure number="8"><note><pitch><step>D</step><octave>4</octave></pitch><duration>6</duration><voice>1</voice></note></measure></part></score`, 1)
	if err := os.WriteFile(lute, []byte(score), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ file, bars, want string }{
		{midi, "1", "no note begins there; the part has notes in bars 2 to 3, 6"},
		{midi, "4-5", "no note begins there; the part has notes in bars 2 to 3, 6"},
		{midi, "5-4", "the earlier bar comes first, as 4-5"},
		{lute, "2-7a", "no note begins there; the part has notes in bars 0 to 1, 8"},
		{lute, "8-7a", "the earlier bar comes first, as 7a-8"},
		{lute, "8-9", "the part has the bars 0 to 8"},
	} {
		if out, errs, status := sheetOf("-take", c.file, "-bars", c.bars); status != 2 || out != "" || !strings.HasSuffix(errs, fmt.Sprintf("-bars: %q: %s\n", c.bars, c.want)) {
			t.Errorf("%s, %s: status %d, %s", filepath.Base(c.file), c.bars, status, errs)
		}
	}
	one := filepath.Join(dir, "one.mid")
	if err := os.WriteFile(one, []byte(mid(note(bar))), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, errs, _ := sheetOf("-take", one, "-bars", "1"); !strings.HasSuffix(errs, "the part has notes in bar 2\n") {
		t.Error(errs)
	}
}

// TestTakeTempo: the tempo is the file's at the first bar that is taken, in beats of
// the sheet's meter, unless -tempo says another.
func TestTakeTempo(t *testing.T) {
	dir := t.TempDir()
	file := func(name, text string) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		return path
	}
	const note = "\x00\x90\x43\x40\x60\x43\x00"
	// 120 quarters a minute, from the second bar on 75
	midi := file("tempo.mid", mid("\x00\xff\x51\x03\x07\xa1\x20"+note+"\x82\x20\xff\x51\x03\x0c\x35\x00"+note))
	slow := file("slow.mid", mid("\x00\xff\x51\x03\xff\xff\xff"+note))
	score := file("tempo.xml", strings.Replace(strange, `<measure number="1">`, `<measure number="1"><direction><sound tempo="112"/></direction>`, 1))
	const meter = "<time><beats>3</beats><beat-type>4</beat-type></time>"
	compound := file("compound.xml", strings.Replace(strings.Replace(strange, meter, "<sound/><time><beats>6</beats><beat-type>8</beat-type></time>", 1), `<measure number="1">`, `<measure number="1"><sound tempo="99"/>`, 1))
	const begin = `<measure number="0">`
	two := file("two.xml", strings.NewReplacer(begin, begin+`<sound tempo="71"/>`, `<measure number="1">`, `<measure number="1"><sound tempo="112"/>`).Replace(strange))
	const note1 = "note     the tempo is that of the file, "
	for _, c := range []struct {
		args []string
		at   string
		note string
	}{
		{[]string{midi}, "4/4 at 120", note1 + "120; -tempo says another\n"},
		{[]string{midi, "-bars", "2"}, "4/4 at 75", note1 + "75; -tempo says another\n"},
		{[]string{midi, "-bars", "2", "-tempo", "90"}, "4/4 at 90", ""},
		{[]string{midi, "-meter", "6/8"}, "6/8 at 80", note1 + "80; -tempo says another\n"},
		{[]string{slow}, "4/4 at 80", "note     its tempo of 4 cannot be had here"},
		{[]string{score, "-bars", "1"}, "3/4 at 112", note1 + "112; -tempo says another\n"},
		{[]string{score, "-bars", "0-1"}, "3/4 at 112", note1 + "112; -tempo says another\n"}, // the first that is given
		{[]string{two, "-bars", "0-1"}, "3/4 at 71", note1 + "71; -tempo says another\n"},
		{[]string{score, "-bars", "0"}, "3/4 at 80", ""},
		{[]string{score, "-bars", "1", "-tempo", "80"}, "3/4 at 80", ""},
		{[]string{compound, "-bars", "1", "-part", "2"}, "6/8 at 66", note1 + "66; -tempo says another\n"},
	} {
		out, errs, status := sheetOf(append([]string{"-take"}, c.args...)...)
		if status != 0 || !strings.Contains(out, " in "+c.at+".\n") || !strings.Contains(out, c.note) || c.note == "" && strings.Contains(out, "-tempo says") {
			t.Errorf("%q: status %d, %s%s", c.args, status, out, errs)
		}
	}
}

// TestTakeKeyInALanguage: -key is read in the language, as -from is; a tonic may have
// two words.
func TestTakeKeyInALanguage(t *testing.T) {
	file := filepath.Join(t.TempDir(), "played.mid")
	if err := os.WriteFile(file, []byte(mid("\x00\x90\x46\x40\x30\x46\x00\x00\x43\x40\x30\x43\x00")), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ language, key, want string }{
		{"german", "Es", "Play     5 3   in major"},
		{"german", "H", "Play     7 ♭6   in major"},
		{"german", "B♭ dorian", "Play     1 ↓6 in dorian"},
		{"french", "mi bémol", "Play     5 3   in major"},
		{"french", "mi bémol  harmonic minor", "Play     5 ♮3 in harmonic minor"},
		{"italian", "sol natural minor", "Play     3 1 in natural minor"},
		{"english", "Eb", "Play     5 3   in major"},
	} {
		if out, errs, status := sheetOf("-take", file, "-key", c.key, "-language", c.language); status != 0 || !strings.HasPrefix(out, c.want) {
			t.Errorf("%s, %s: status %d, %s%.60s", c.language, c.key, status, errs, out)
		}
	}
	for _, c := range []struct{ language, key, want string }{
		{"french", "Es", `-take: -key: note name "Es"`},
		{"english", "Es", `-take: -key: note name "Es"`},
		{"german", "Es durig", "-take: -key: scale \"durig\""},
	} {
		if _, errs, status := sheetOf("-take", file, "-key", c.key, "-language", c.language); status != 2 || !strings.Contains(errs, c.want) {
			t.Errorf("%s, %s: status %d, %s", c.language, c.key, status, errs)
		}
	}
	if _, help, _ := sheetOf("-h"); !strings.Contains(help, "for -keys, -from, -names, -notes and -key") {
		t.Error("-h does not say that -key is read in the language")
	}
}
