package outside

import (
	"bytes"
	"cmp"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/notation"
	"example.com/keyorder/figure/notation/musicxml"
	"example.com/keyorder/figure/notation/staff"
	"example.com/keyorder/outside/xmlreader"
)

// randomFigure draws a figure of our own kind: notes, chords, rests, triplets,
// alterations, a pickup now and then.
func randomFigure(r *rand.Rand, scales []figure.Scale) (figure.Figure, error) {
	pick := func(all ...string) string { return all[r.IntN(len(all))] }
	var items []string
	for n := range 2 + r.IntN(7) {
		switch k := r.IntN(10); {
		case k == 0 && n > 0:
			items = append(items, "0:"+pick("1", "2", "8", "16"))
		case k == 1:
			items = append(items, "1+3+5:"+pick("1", "2", "4"))
		case k == 2:
			items = append(items, "1:2/3 n3:2/3 5:2/3")
		case k == 3:
			items = append(items, pick("n", "b", "#")+fmt.Sprint(1+r.IntN(7))+":"+pick("1", "1/2", "3/2"))
		default:
			items = append(items, pick("n1", "n2", "n3", "n4", "n5", "n6", "n8")+":"+pick("1", "1", "1", "2", "3", "1/2", "1/4", "4/3"))
		}
	}
	if r.IntN(4) == 0 {
		items[0] += " |"
	}
	scale := scales[r.IntN(len(scales))]
	text, err := scale.MarshalText()
	if err != nil {
		return figure.Figure{}, err
	}
	all := strings.Join(items, " ")
	all = strings.NewReplacer("1+3+5", "n1+n3+n5").Replace(all)
	return figure.Parse(all + " in " + string(text))
}

// TestMusicXMLMatrix writes 300 random drills: 24 meters, all scales that have a
// name, all instruments, one to four parts. Each is read by a reader that
// imports nothing of the library, which checks that durations add up, ties are
// whole, beams are begun and ended and take in no part of a triplet, and that a
// player reads the accidentals as they are meant; what it hears must be the
// drill. All are validated against the schema.
func TestMusicXMLMatrix(t *testing.T) {
	t.Parallel()
	meters := []string{
		"2/2", "2/4", "3/4", "4/4", "5/4", "6/8", "9/8", "12/8", "3/8", "5/8", "7/8", "3+3+2/8",
		"7/16", "6/4", "3+3/4", "3+2/4", "4+3/4", "3/2", "4/2", "4/8", "8/8", "2+3/8", "9/16", "2/8",
	}
	r := rand.New(rand.NewPCG(7, 300))
	var all []drill.Instrument
	for _, level := range []drill.Level{drill.LevelFull, drill.LevelComfortable} {
		for i := range drill.Instruments(level) {
			all = append(all, i)
		}
	}
	var scales []figure.Scale
	for s := range figure.CommonScales() {
		scales = append(scales, s)
	}
	dir := t.TempDir()
	var files []string
	notes, clefs, over, breaks := 0, map[string]int{}, 0, 0
	for tries := 0; len(files) < 300; tries++ {
		if tries > 6000 {
			t.Fatalf("only %d drills of %d fit", len(files), tries)
		}
		f, err := randomFigure(r, scales)
		if err != nil {
			continue
		}
		var parts []drill.Instrument
		for range 1 + r.IntN(4) {
			parts = append(parts, all[r.IntN(len(all))])
		}
		d, err := drill.New(drill.Settings{
			Figure: f, Parts: parts, Meter: meter(t, meters[tries%len(meters)]), LeaveOut: true,
			Route:   cycle.MustParse([]string{"m3", "-M2", "P4", "-m2", "M3", "A4", "P1"}[r.IntN(7)]).Closed(),
			Padding: drill.Padding(r.IntN(3)), Closing: drill.Closing(r.IntN(3)),
			Rest: []drill.Rest{0, drill.NoRest, drill.Rest(3 * figure.Whole)}[r.IntN(3)],
		})
		if err != nil {
			continue
		}
		s, err := notation.New([]*drill.Drill{d}, notation.Options{Swing: r.IntN(4) == 0, Signatures: r.IntN(2) == 0})
		if err != nil {
			t.Fatal(err)
		}
		l, err := staff.New(s, s.Parts()[0], staff.Options{})
		if err != nil {
			t.Fatal(err)
		}
		plan := l.Plan()
		breaks += len(plan)
		var b bytes.Buffer
		if err := musicxml.WriteLaidOut(&b, s, plan); err != nil {
			t.Fatal(err)
		}
		read, err := xmlreader.Read(b.Bytes())
		name := fmt.Sprintf("%v in %v for %d parts", f, d.Settings().Meter, len(parts))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			if len(files) > 20 {
				return
			}
		}
		for p, got := range read {
			want := heard(d.Parts()[p])
			if got.Length != int(d.Length()) || got.Bars != d.Bars() {
				t.Errorf("%s: part %d is %d long in %d bars", name, p, got.Length, got.Bars)
			}
			have := make([][3]int, len(got.Notes))
			budget := 0
			for n, note := range got.Notes {
				have[n] = [3]int{note.Onset, note.Length, note.Key}
				if note.Ledgers() > notation.LedgerBudget {
					budget++
				}
			}
			slices.SortFunc(have, byTime)
			if !slices.Equal(have, want) {
				t.Errorf("%s: part %d sounds %v, the drill %v", name, p, have, want)
			}
			notes += len(have)
			over += budget
			for _, c := range got.Clefs {
				clefs[c]++
			}
		}
		file := filepath.Join(dir, fmt.Sprintf("%03d.musicxml", len(files)))
		if err := os.WriteFile(file, b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
		files = append(files, file)
	}
	t.Logf("%d drills, %d notes, %d systems, clefs %v, %d notes beyond the budget of ledger lines", len(files), notes, breaks, clefs, over)
	if err := validate(t, files...); err != nil {
		t.Errorf("%d files: %v", len(files), err)
	}
}

func byTime(a, b [3]int) int {
	for n := range a {
		if c := cmp.Compare(a[n], b[n]); c != 0 {
			return c
		}
	}
	return 0
}

// heard returns onset, length and key of the notes of a part as they sound.
func heard(p drill.Part) [][3]int {
	var all [][3]int
	for s := range p.Statements() {
		for _, e := range s.Events() {
			all = append(all, [3]int{int(s.Onset + e.Onset), int(e.Length), int(s.SoundingNumber(e.Note))})
		}
	}
	slices.SortFunc(all, byTime)
	return all
}

// TestTheReaderRefuses breaks a file in one place after another: the reader would
// tell.
func TestTheReaderRefuses(t *testing.T) {
	d, err := drill.New(drill.Settings{
		Figure: figure.MustParse("1 #1 5:3 1:2/3 3:2/3 2:2/3 5:5"), Route: cycle.MustParse("m3").Closed(), Parts: instruments(t, "alto sax"),
	})
	if err != nil {
		t.Fatal(err)
	}
	s, err := notation.New([]*drill.Drill{d}, notation.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := musicxml.Write(&b, s); err != nil {
		t.Fatal(err)
	}
	right := b.String()
	if _, err := xmlreader.Read([]byte(right)); err != nil {
		t.Fatal(err)
	}
	for _, c := range [][2]string{
		{"<duration>24</duration>", "<duration>20</duration>"}, {`<tie type="start"/>`, ""}, {`<tie type="stop"/>`, ""},
		{"<accidental>sharp</accidental>", ""}, {`<beam number="1">begin</beam>`, ""}, {`<beam number="1">end</beam>`, ""},
		{`<tuplet type="stop"/>`, ""}, {"<type>eighth</type>", "<type>quarter</type>"}, {"<fifths>0</fifths>", "<fifths>2</fifths>"},
		{"<sign>G</sign><line>2</line>", ""},
	} {
		if !strings.Contains(right, c[0]) {
			t.Errorf("nothing like %s is written", c[0])
		}
		wrong := strings.Replace(right, c[0], c[1], 1)
		if c[1] == "" && strings.HasPrefix(c[0], "<sign") {
			wrong = strings.Replace(right, "<clef>"+c[0]+"</clef>", "", 1)
		}
		if _, err := xmlreader.Read([]byte(wrong)); err == nil {
			t.Errorf("%s for %s: the reader takes it", c[1], c[0])
		}
	}
}
