package main

import (
	"fmt"
	"io"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"example.com/keyorder/cycle"
	"example.com/keyorder/examples/internal/logbook"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/listening"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/figure/practice"
)

// noLog fails the test where a log was written.
func noLog(t *testing.T, path string) {
	t.Helper()
	if _, err := os.Stat(path); err == nil {
		t.Error("something is recorded")
	}
}

// TestChordsInSound: chords are judged in MIDI, and refused in sound.
func TestChordsInSound(t *testing.T) {
	for _, c := range [][]string{{"1+3+5:2 4 2", ""}, {"3+5 1 6", "retrograde"}} {
		played := figure.MustParse(c[0])
		args := []string{"-for", "piano", "-figure", c[0], "-keys", "C Eb Gb A", "-tempo", "120", "-close", "full", "-sound", "model"}
		if c[1] != "" {
			args = append(args, "-vary", c[1])
			played = played.Retrograde()
		}
		sound, midi := takesOf(t, "piano", played, "0369", 120)
		log := filepath.Join(t.TempDir(), "log")
		out, errs, status := listen(append(args, "-log="+log, sound)...)
		if status != 2 || out != "" || !strings.Contains(errs, "take.wav: the figure has chords, and of sound one note at a time is heard; a take in MIDI can be judged") {
			t.Errorf("%q: %d, %s%s", c, status, out, errs)
		}
		noLog(t, log)
		if out, errs, status := listen(append(args, midi)...); status != 0 || errs != "" || !strings.Contains(out, "\n4 of 4 clean.") {
			t.Errorf("%q: %d, %s%s", c, status, out, errs)
		}
	}
}

// TestUnfit: where another thing was asked for than was played, it is said what to
// check, and nothing is recorded.
func TestUnfit(t *testing.T) {
	sound, midi := takes(t, "3 5 1 6", "05T3", 120)
	_, cycles := takes(t, "3 5 1 6", "(0369)/(147T)/(258E)", 120)
	all := []string{"-for", "trumpet", "-figure", "3 5 1 6", "-keys", "C F Bb Eb", "-tempo", "120", "-sound", "model"}
	without := func(flag string, instead ...string) []string {
		args := append([]string(nil), instead...)
		for n := 0; n < len(all); n += 2 {
			if all[n] != flag {
				args = append(args, all[n], all[n+1])
			}
		}
		return args
	}
	for _, c := range []struct {
		want string
		args []string
	}{
		{"Each key was played a whole step lower than it was asked for: was -for left out? It is piano.\n", append(without("-for"), midi)},
		{"Each key was played a whole step lower than it was asked for: was -for left out? It is piano.\n", append(without("-for"), sound)},
		{"Each key was played a fourth lower than it was asked for: is the take in the first key that was asked for, on the alto saxophone in E♭?\n", append(without("-for", "-for", "alto saxophone"), midi)},
		{"Each key was played a half step higher than it was asked for: is the take in the first key that was asked for, on the trumpet in B♭?\n", append(without("-keys", "-keys", "B E A D"), midi)},
		{" is not to be found. Was that meant which was left out? It is -tempo 80, -close held.\n", append(without("-tempo"), midi)},
		{" is not to be found. Was that meant which was left out? It is -tempo 80, -close held.\n", append(without("-tempo"), sound)},
		{" is not to be found. Was that meant which was left out? It is -close held.\n", append(without("-tempo", "-tempo", "100"), midi)},
		{"Hardly anything fits what was asked for: 4 of 20 notes were right. Was that meant which was left out? It is -figure \"1:3 5 4 2 3:2\", -close held.\n", append(without("-figure"), midi)},
		{" Was that meant which was left out? It is -orders m3, -close held.\n", append(without("-keys"), midi)},
		{" Are -for, -figure, -orders, -tempo, -sound and -close those of the take?\n", append(without("-tempo", "-tempo", "30", "-close", "full"), midi)},
		{"Where the keys come back to the first, more was played than the one held note: was -close full left out?\n", append(without("-keys", "-orders", "m3"), cycles)},
	} {
		log := filepath.Join(t.TempDir(), "log")
		out, errs, status := listen(c.args...)
		if status != 0 || errs != "" || !strings.HasSuffix(out, c.want) {
			t.Errorf("%q: %d, %s%s\nwant %s", c.args, status, out, errs, c.want)
		}
		if n := strings.Count(out, "\n"); n < 2 {
			t.Errorf("%q: the lines are not printed:\n%s", c.args, out)
		}
		if c.args[len(c.args)-1] == sound {
			continue
		}
		again, errs, status := listen(append([]string{"-log=" + log}, c.args...)...)
		if status != 2 || again != out || errs != "listen: -log: the take does not fit what was asked for, so that nothing is recorded\n" {
			t.Errorf("%q: %d, %s%s", c.args, status, again, errs)
		}
		noLog(t, log)
		objects, errs, _ := listen(append([]string{"-json"}, c.args...)...)
		if !strings.HasSuffix(errs, c.want) || !strings.HasPrefix(objects, `{"statement":1,`) || strings.Contains(objects, c.want) {
			t.Errorf("%q: %s%s", c.args, objects, errs)
		}
	}
	for _, file := range []string{midi, sound} {
		log := filepath.Join(t.TempDir(), "log")
		if out, errs, status := listen(append(append([]string{"-log=" + log}, all...), file)...); status != 0 || errs != "" || !strings.HasPrefix(out, "  1  C   clean\n") || !strings.Contains(out, "\nRecorded in ") {
			t.Errorf("what fits: %d, %s%s", status, out, errs)
		}
	}
}

// TestLawHardly: who plays badly is judged all the same: a take with one clean
// statement in two, or with a fifth of the notes where one is clean, or half of them
// where none is, fits.
func TestLawHardly(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	for range 1000 {
		f := fit{found: r.IntN(2) == 0, heard: 1 + r.IntN(9), played: 1 + r.IntN(20)}
		f.clean, f.due = r.IntN(f.played+1), 4*f.played
		f.right = r.IntN(f.due + 1)
		switch hardly := f.hardly(); {
		case 2*f.clean >= f.played && hardly, 2*f.right >= f.due && hardly, f.found && f.clean > 0 && 5*f.right >= f.due && hardly:
			t.Errorf("%+v is said not to fit", f)
		case f.clean == 0 && 5*f.right < f.due && !hardly:
			t.Errorf("%+v is said to fit", f)
		}
	}
}

// TestSilence: of silence and of noise one sentence is said, and nothing recorded.
func TestSilence(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	dir := t.TempDir()
	for name, loud := range map[string]int{"silence": 0, "noise": 8000} {
		b := []byte("RIFF\x00\x00\x00\x00WAVEfmt \x10\x00\x00\x00\x01\x00\x02\x00\x80\x3e\x00\x00\x00\xfa\x00\x00\x04\x00\x10\x00data\xff\xff\xff\xff")
		for range 16000 * 10 {
			x := 0
			if loud > 0 {
				x = r.IntN(2*loud) - loud
			}
			b = append(b, byte(x), byte(x>>8), byte(x), byte(x>>8))
		}
		path, log := filepath.Join(dir, name+".wav"), filepath.Join(dir, "log")
		if err := os.WriteFile(path, b, fs.FileMode(0o644)); err != nil {
			t.Fatal(err)
		}
		const want, stereo = "No note was heard; play it louder or nearer.\n", ".wav: stereo is heard as one\n"
		out, errs, status := listen(append(asks, path)...)
		if status != 0 || out != want || !strings.HasSuffix(errs, name+stereo) {
			t.Errorf("%s: %d, %q, %s", name, status, out, errs)
		}
		out, errs, status = listen(append(asks, "-log="+log, path)...)
		if status != 2 || out != want || !strings.HasSuffix(errs, "-log: nothing was judged, so that nothing is recorded\n") {
			t.Errorf("%s: %d, %q, %s", name, status, out, errs)
		}
		noLog(t, log)
		out, errs, _ = listen(append(asks, "-json", path)...)
		if strings.Count(out, `"not_played":true`) != 4 || !strings.HasSuffix(errs, want) {
			t.Errorf("%s: %q, %s", name, out, errs)
		}
	}
}

// TestLanguage: keys and notes are read and printed as the player calls them.
func TestLanguage(t *testing.T) {
	_, midi := takes(t, "3 5 1 b6", "38", 120)
	german := []string{"-for", "trumpet", "-tempo", "120", "-close", "full", "-sound", "model", "-language", "german"}
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{"-figure", "3 5 1 6", "-keys", "Es As"}, "  1  Es  note 4 was H, not C\n  2  As  note 4 was E, not F\n"},
		{[]string{"-notes", "G B♭ Es Ces", "-keys", "Es As"}, "  1  Es  clean; note 3 in another octave\n  2  As  clean; note 3 in another octave\n"},
		{[]string{"-figure", "3 5 1 b6", "-keys", "C F"}, "  1  C   you played in Es\n  2  F   you played in As\n"},
	} {
		out, errs, status := listen(append(append(german, c.args...), midi)...)
		if status != 0 || errs != "" || !strings.HasPrefix(out, c.want) {
			t.Errorf("%q: %d, %s%s", c.args, status, out, errs)
		}
	}
	if out, _, _ := listen(append(german, "-figure", "3 5 1 6", "-keys", "Es As", "-json", midi)...); !strings.HasPrefix(out, `{"statement":1,"key":"Eb","clean":false,"faults":[{"note":4,"kind":"wrong","heard":"B"}]}`) {
		t.Error(out)
	}
	_, flat := takes(t, "3 5 1 6", "38", 120)
	if out, errs, _ := listen(append(german[:8:8], "-figure", "3 5 1 6", "-keys", "Eb D#", "-names", "Eb Ab", flat)...); !strings.Contains(out, "clean") {
		t.Error(out, errs)
	}
}

// TestVary: a take of a varied figure is judged, and logged as a variation.
func TestVary(t *testing.T) {
	_, midi := takesOf(t, "trumpet", figure.MustParse("3 5 1 6").Retrograde(), "0369", 120)
	log := filepath.Join(t.TempDir(), "log")
	out, errs, status := listen(append(asks, "-vary", "retrograde", "-log="+log, midi)...)
	if status != 0 || errs != "" || !strings.Contains(out, "4 of 4 clean") {
		t.Fatal(status, out, errs)
	}
	if e := entries(t, log); len(e) != 1 || e[0].Variation.String() != "retrograde" || e[0].Figure.String() != "3 5 1 6" {
		t.Errorf("%+v", e)
	}
	if out, _, _ := listen(append(asks, "-vary", "rotation 1; retrograde; rotation 1", midi)...); !strings.Contains(out, "4 of 4 clean") {
		t.Error(out)
	}
	if out, _, _ := listen(append(asks, midi)...); strings.Contains(out, "4 of 4 clean") {
		t.Error(out)
	}
}

func entries(t *testing.T, log string) []practice.Entry {
	t.Helper()
	f, err := os.Open(log)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	l, err := practice.Read(f)
	if err != nil || l.Bad != 0 {
		t.Fatal(l.Problems, err)
	}
	return l.Entries
}

// TestBlock: takes of the blocks of a plan are judged, and recorded as those blocks.
func TestBlock(t *testing.T) {
	trumpet, err := drill.Find("trumpet Bb3-E5", drill.LevelComfortable)
	if err != nil {
		t.Fatal(err)
	}
	log := filepath.Join(t.TempDir(), "log.jsonl")
	set := practice.Settings{Date: practice.DateOf(time.Now()), Instrument: trumpet, Stage: practice.StageConstantOrders, Minutes: 20, Ideas: []practice.Idea{
		{Name: "sway", Figure: figure.MustParse("4 2 5 1:2 in dorian"), Tempo: 93, Variations: []figure.Variation{figure.MustParseVariation("retrograde")}}, {Name: "long", Figure: figure.MustParse("1:3 6 5 2 3 1 4 2 9:4"), Tempo: 66},
	}}
	plan, err := practice.NewPlan(set, practice.Log{})
	if err != nil {
		t.Fatal(err)
	}
	// after a clean day figures are varied
	var before practice.Log
	for n := range plan.Blocks {
		if e := plan.Entry(n); e.Played > 0 {
			e.Date--
			e.FirstTry = plan.Blocks[n].Test
			before.Entries = append(before.Entries, e)
		}
	}
	if plan, err = practice.NewPlan(set, before); err != nil {
		t.Fatal(err)
	}
	if !slices.ContainsFunc(plan.Blocks, func(b practice.Block) bool { return b.Variation != (figure.Variation{}) }) {
		t.Fatal("no block is varied")
	}
	if err := logbook.Keep(log, logbook.Kept{Plan: plan}); err != nil {
		t.Fatal(err)
	}
	var tried []int
	for n, b := range plan.Blocks {
		if b.Pause {
			continue
		}
		tried = append(tried, n)
		_, midi := written(t, b.Drill)
		number := fmt.Sprint(b.Number)
		out, errs, status := listen("-block", number, "-sound", "model", "-log="+log, midi)
		if status != 0 || errs != "" || !strings.Contains(out, " clean. Cents") || strings.Contains(out, "note ") {
			t.Errorf("block %d: %d, %s%s", b.Number, status, out, errs)
		}
	}
	if len(tried) < 2 {
		t.Fatal("there is only one block")
	}
	all := entries(t, log)
	for k, n := range tried {
		e, want := all[k], plan.Entry(n)
		if e.Block != want.Block || e.Stage != want.Stage || !e.Figure.Equal(want.Figure) || e.Variation != want.Variation || e.Instrument != want.Instrument || e.Clean != want.Clean || e.Tempo != want.Tempo || e.Order != want.Order {
			t.Errorf("%+v\nwant %+v", e, want)
		}
	}
	_, midi := written(t, plan.Blocks[tried[0]].Drill)
	if out, errs, status := listen("-block", "99", "-log="+log, midi); status != 2 || !strings.Contains(errs, "-block: 99: the plan of ") {
		t.Error(status, out, errs)
	}
	// a figure has its name in the plan, too
	r, err := cycle.ParseRoute("05")
	if err != nil {
		t.Fatal(err)
	}
	_, midi = written(t, drill.Settings{Figure: set.Ideas[0].Figure, Route: r, Parts: []drill.Instrument{trumpet}, Tempo: 93})
	if out, errs, status := listen("-figure", "Sway", "-keys", "C F", "-for", "trumpet", "-tempo", "93", "-sound", "model", "-log="+log, midi); status != 0 || !strings.Contains(out, "2 of 2 clean") {
		t.Error(status, out, errs)
	}
}

// TestOctaves: how far off a statement was is said in words.
func TestOctaves(t *testing.T) {
	for _, c := range []struct {
		octaves []int
		want    string
	}{
		{nil, ""}, {[]int{0, 0}, ""}, {[]int{1, 1}, "an octave higher"}, {[]int{-1, -1}, "an octave lower"}, {[]int{2, 2}, "two octaves higher"},
		{[]int{-2, -2, -2}, "two octaves lower"}, {[]int{-7}, "7 octaves lower"}, {[]int{0, -2}, "note 2 in another octave"}, {[]int{1, 0, 2}, "notes 1, 3 in another octave"},
	} {
		var notes []listening.Heard
		for n, o := range c.octaves {
			notes = append(notes, listening.Heard{Note: n, Octaves: o})
		}
		if got := octave(notes); got != c.want {
			t.Errorf("%v: %q, want %q", c.octaves, got, c.want)
		}
	}
}

// TestCents: no note is −0 cents off.
func TestCents(t *testing.T) {
	p := printer{figure: figure.MustParse("3 5 1"), cents: map[int][]float64{0: {-0.3}, 1: {0.2}, 2: {-0.7, -12}}}
	if got := p.summary(false); !strings.HasSuffix(got, ". Cents of notes 1: +0, 2: +0, 3: -6.") {
		t.Error(got)
	}
}

// TestIntervals: all that another key can be.
func TestIntervals(t *testing.T) {
	for semitones, want := range map[int]string{-5: "a fourth lower", -3: "a minor third lower", -1: "a half step lower", 2: "a whole step higher", 4: "a major third higher", 6: "a tritone higher"} {
		if got := interval(semitones); got != want {
			t.Errorf("%d: %q, want %q", semitones, got, want)
		}
	}
}

// TestElsewhere: what was played where nothing is asked for is not judged.
func TestElsewhere(t *testing.T) {
	o, err := parseFlags([]string{"-keys", "C", "-tempo", "90", "x.mid"}, io.Discard)
	if err != nil {
		t.Fatal(err)
	}
	p := printer{o: o, fit: fit{heard: 9}}
	const want = `Nothing was played where it was asked for. Where the line begins in the take is not to be found. Was that meant which was left out? It is -for piano, -figure "1:3 5 4 2 3:2", -sound answer, -close held.`
	if text, unfit := p.trouble(); text != want || !unfit {
		t.Error(text, unfit)
	}
}

// TestFree: bars of the player's own between the keys, and swing, are asked for as
// the sheet was; without -free the take does not fit.
func TestFree(t *testing.T) {
	piano, err := drill.Find("piano", drill.LevelComfortable)
	if err != nil {
		t.Fatal(err)
	}
	r, err := cycle.ParseRoute("0369")
	if err != nil {
		t.Fatal(err)
	}
	set := drill.Settings{Figure: figure.MustParse("1:3 5 4 2 3:2"), Route: r, Parts: []drill.Instrument{piano}, Tempo: 90}
	o := playback.Options{Mode: playback.ModeModel, Free: 2, Swing: 2}
	set.Rest = playback.RestFor(o, set)
	d, err := drill.New(set)
	if err != nil {
		t.Fatal(err)
	}
	_, midi := played(t, d, o)
	args := []string{"-keys", "C Eb Gb A", "-tempo", "90", "-sound", "model", "-swing", "2:1"}
	if out, errs, status := listen(append(args, "-free", "2", midi)...); status != 0 || errs != "" || !strings.Contains(out, "\n4 of 4 clean") {
		t.Error(status, out, errs)
	}
	if out, _, _ := listen(append(args, midi)...); !strings.Contains(out, "\nHardly anything fits") {
		t.Error(out)
	}
	if out, errs, status := listen(append(args, "-free", "99", midi)...); status != 2 || out != "" || !strings.Contains(errs, "free") {
		t.Error(status, out, errs)
	}
}

// TestSlid: where the keys that were asked for fit other keys of the take, it says
// what was played before them.
func TestSlid(t *testing.T) {
	_, midi := takes(t, "3 5 1 6", "0123456789TE", 120)
	args := []string{"-figure", "3 5 1 6", "-orders", "m2", "-tempo", "120", "-sound", "model", "-close", "open"}
	const says = "\nBefore the first key of the line 8 notes were played, and 2 keys were not: are -for, -from and -orders those of the take?\n"
	if out, errs, status := listen(append(args, midi)...); status != 0 || errs != "" || !strings.HasSuffix(out, says) {
		t.Errorf("%d, %s%s", status, out, errs)
	}
	if out, errs, status := listen(append(args, "-for", "trumpet", midi)...); status != 0 || errs != "" || strings.Contains(out, "Before") || !strings.Contains(out, "12 of 12 clean") {
		t.Errorf("%d, %s%s", status, out, errs)
	}
}

// TestWrongNoteOfAnotherKey: a wrong note of a statement in another key is told
// beside the note of that key.
func TestWrongNoteOfAnotherKey(t *testing.T) {
	_, midi := takes(t, "#4 6 2 1 #4 6", "05T3", 120)
	want := "  1  C   you played in D; note 4 was C, not B\n  2  F   you played in G; note 4 was F, not E\n"
	if out, errs, _ := listen("-for", "trumpet", "-figure", "3 5 1 6 3 5", "-keys", "C F Bb Eb", "-tempo", "120", "-sound", "model", midi); errs != "" || !strings.HasPrefix(out, want) {
		t.Errorf("%s%s", out, errs)
	}
}

// TestDrag: who comes later and later drags; who swings, or comes in late and then
// is in time, does not.
func TestDrag(t *testing.T) {
	for _, c := range []struct{ played, want string }{
		{"3 5 1 6 2", "You neither rushed nor dragged."},
		{"3:4/3 5:2/3 1:4/3 6:2/3 2", "You neither rushed nor dragged."},
		{"0:1/4 3:3/4 5 1 6 2", "You neither rushed nor dragged."},
		{"3:25/24 5:25/24 1:25/24 6:25/24 2", "You dragged, by 83 ms a bar."},
		{"3:23/24 5:23/24 1:23/24 6:23/24 2", "You rushed, by 83 ms a bar."},
	} {
		_, midi := takes(t, c.played, "05T3", 120)
		out, errs, _ := listen("-for", "trumpet", "-figure", "3 5 1 6 2", "-keys", "C F Bb Eb", "-tempo", "120", "-sound", "model", midi)
		if errs != "" || !strings.Contains(out, "4 of 4 clean") || !strings.Contains(out, c.want) {
			t.Errorf("%s: %s%s", c.played, out, errs)
		}
	}
}
