package musicxml_test

import (
	"archive/zip"
	"bytes"
	"cmp"
	"errors"
	. "example.com/keyorder/figure/notation/musicxml"
	"flag"
	"fmt"
	"io"
	"iter"
	"runtime"
	"slices"
	"strings"
	"testing"
	"testing/iotest"
	"unicode/utf16"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/notation"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
	gocmp "github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// anyRoute draws an order of all keys or, more often, a few keys.
func anyRoute(t *rapid.T) cycle.Route {
	if rapid.IntRange(0, 9).Draw(t, "all") == 0 {
		return cycle.By(interval.Of(0, rapid.IntRange(1, 11).Draw(t, "order"))).Closed()
	}
	r, err := cycle.ParseRoute(rapid.SampledFrom([]string{"(048)/(159)", "07", "0/1/2", "(36)", "T", "(5)", "2E4"}).Draw(t, "keys"))
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// anyDrill draws the settings of a drill, in strict spelling.
func anyDrill(t *rapid.T, find func(string) drill.Instrument) drill.Settings {
	scale := rapid.SampledFrom([]string{"major", "dorian", "natural minor", "altered"}).Draw(t, "scale")
	degrees := rapid.SliceOfN(rapid.SampledFrom([]string{"1", "3", "n4", "5", "vn7", "b3", "#4", "n6", "8", "0", "1+n5", "bb7"}), 1, 7).Draw(t, "degrees")
	chords := []string{"", "", "{2 m7} ", "{n5 7b9} ", "{1} ", "{b2 maj7#11} ", "{n4 <&>} "}
	pickup := rapid.IntRange(0, min(2, len(degrees)-1)).Draw(t, "pickup")
	var b strings.Builder
	for n, d := range degrees {
		if n == pickup && n > 0 {
			b.WriteString("| ")
		}
		length := rapid.SampledFrom([]string{"", ":2", ":3", ":1/2", ":2/3", ":4/3", ":5", ":9"}).Draw(t, "length")
		b.WriteString(rapid.SampledFrom(chords).Draw(t, "chord") + d + length + " ")
	}
	text := b.String() + "1 in " + scale
	if scale == "altered" {
		text = strings.ReplaceAll(strings.ReplaceAll(text, "5", "n5"), "nn5", "n5")
	}
	f, err := figure.Parse(text)
	if err != nil {
		t.Fatal(err)
	}
	meter, err := drill.ParseMeter(rapid.SampledFrom([]string{"4/4", "3/4", "6/8", "2/2", "5/4", "2+2+3/8", "3+2/8", "9/16"}).Draw(t, "meter"))
	if err != nil {
		t.Fatal(err)
	}
	s := drill.Settings{
		Figure: f, Route: anyRoute(t), Meter: meter,
		Policy: spelling.PolicyStrict, LeaveOut: true, Padding: drill.Padding(rapid.IntRange(0, 2).Draw(t, "padding")),
	}
	for range rapid.IntRange(1, 3).Draw(t, "parts") {
		s.Parts = append(s.Parts, find(rapid.SampledFrom([]string{"piano", "trumpet", "alto saxophone", "baritone saxophone", "double bass", "horn", "tuba", "viola"}).Draw(t, "instrument")))
	}
	return s
}

var drills = flag.Int("drills", 60, "how many drills to write and read; 330 before a change lands")

// scoresOf yields so many scores of one random drill each, always the same.
func scoresOf(t *testing.T, count int) iter.Seq2[*drill.Drill, *notation.Score] {
	gen := rapid.Custom(func(rt *rapid.T) drill.Settings {
		return anyDrill(rt, func(name string) drill.Instrument { return find(t, name) })
	})
	return func(yield func(*drill.Drill, *notation.Score) bool) {
		for n, done := 0, 0; done < count; n++ {
			d, err := drill.New(gen.Example(n))
			if err != nil {
				if n > 2*count {
					t.Fatal(err)
				}
				continue // too wide for an instrument
			}
			s, err := notation.New([]*drill.Drill{d}, notation.Options{Title: fmt.Sprint("score ", n), Signatures: n%2 == 0})
			if err != nil {
				t.Fatal(err)
			}
			if done++; !yield(d, s) {
				return
			}
		}
	}
}

func mustRead(t testing.TB, file string) *File {
	t.Helper()
	f, err := Read(strings.NewReader(file))
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func written(t testing.TB, s *notation.Score) *File {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, s); err != nil {
		t.Fatal(err)
	}
	return mustRead(t, b.String())
}

// TestLawWriteThenRead: letters, lengths, chords, keys, meter and transposition
// of random drills come back, and nothing else.
func TestLawWriteThenRead(t *testing.T) {
	count := 0
	for d, s := range scoresOf(t, *drills) {
		count++
		want := &File{Title: s.Options().Title}
		for _, p := range s.Parts() {
			part := Part{Name: p.Instrument().Name, Staff: 1, Sounding: p.Instrument().Sounding}
			at, tempo := figure.Length(0), 0.0
			staves := map[int]int{} // of each statement
			for b := range s.PartBars(p) {
				if b.Tempo > 0 {
					tempo = float64(b.Tempo) * float64(b.Meter.Counted()) / float64(figure.Quarter)
				}
				for _, sym := range b.Symbols {
					for _, n := range sym.Notes {
						staves[n.Statement] = b.Staff
					}
				}
				part.Bars = append(part.Bars, Bar{fmt.Sprint(b.Number), at, b.Meter.Bar(), spelling.Major(spelling.Name(b.Signature)), b.Meter, tempo})
				at += b.Meter.Bar()
			}
			var lower []Note // on the second staff of two, where the instrument is written on two
			for st := range p.Statements() {
				for _, e := range st.Events() {
					n := Note{st.Onset + e.Onset, e.Length, e.Note}
					if staves[st.Index] == 1 {
						lower = append(lower, n)
					} else {
						part.Notes = append(part.Notes, n)
					}
				}
				for c := range st.Chords() {
					c.Onset += st.Onset
					if c.Onset < at {
						part.Chords = append(part.Chords, c)
					}
				}
			}
			sortNotes(part.Notes)
			if len(part.Notes) > 0 {
				part.Voice = "1"
			}
			want.Parts = append(want.Parts, part)
			if len(lower) > 0 {
				sortNotes(lower)
				part.Staff, part.Voice, part.Notes = 2, "2", lower
				want.Parts = append(want.Parts, part)
			}
		}
		got := written(t, s)
		for p := range got.Parts {
			sortNotes(got.Parts[p].Notes)
		}
		same := want.Title == got.Title && got.Remarks == nil && slices.EqualFunc(want.Parts, got.Parts, func(a, b Part) bool {
			return a.Name == b.Name && a.Staff == b.Staff && a.Voice == b.Voice && a.Sounding == b.Sounding &&
				slices.Equal(a.Bars, b.Bars) && slices.Equal(a.Notes, b.Notes) && slices.Equal(a.Chords, b.Chords)
		})
		if !same {
			t.Fatalf("%s of %v:\n%s", want.Title, d.Settings().Figure, gocmp.Diff(want, got, gocmp.Comparer(func(a, b drill.Meter) bool { return a == b })))
		}
	}
	if count != *drills {
		t.Errorf("%d drills", count)
	}
}

func sortNotes(notes []Note) {
	slices.SortStableFunc(notes, func(a, b Note) int { return cmp.Or(cmp.Compare(a.Onset, b.Onset), cmp.Compare(a.Note, b.Note)) })
}

// firstStaff returns the staff of the first statement of a part.
func firstStaff(s *notation.Score, p drill.Part) int {
	for b := range s.PartBars(p) {
		for _, sym := range b.Symbols {
			if len(sym.Notes) > 0 && sym.Notes[0].Statement == 0 {
				return b.Staff
			}
		}
	}
	return 0
}

// TestLawATakeIsTheFigure: the bars of the first statement are the figure, letters
// and chords included, in the octave of its tonic and with bare degrees where it can
// have them.
func TestLawATakeIsTheFigure(t *testing.T) {
	taken, exact := 0, 0
	for d, s := range scoresOf(t, *drills) {
		f, meter := d.Settings().Figure, d.Settings().Meter
		file := written(t, s)
		next := 0
		for _, part := range s.Parts() {
			read := file.Parts[next]
			if next++; next < len(file.Parts) && file.Parts[next].Staff == 2 {
				if firstStaff(s, part) == 1 {
					read = file.Parts[next]
				}
				next++
			}
			st, _ := part.Statement(0)
			tonic := st.Written.Name()
			want, at, err := figure.FromEvents(f.In(st.Written), slices.Collect(f.Chords(tonic)), tonic, f.Scale())
			if err != nil {
				t.Fatal(err)
			}
			from, to := st.Onset-want.Pickup(), st.Onset+want.Length()-want.Pickup()
			first, last := int(from/meter.Bar())+1, int((to-1)/meter.Bar())+1
			if want.Pickup() > meter.Bar()/2 || want.Pickup() > 0 && want.In(0)[0].Onset >= 0 || st.Rests {
				continue // so long a pickup, or one of rests, is none for who sees the bars alone
			}
			if second, ok := part.Statement(1); ok && second.Onset-f.Pickup() < figure.Length(last)*meter.Bar() {
				continue // the next key begins in the same bar
			}
			taken++
			events, chords, err := read.Events(first, last)
			if err != nil {
				t.Fatalf("%s, %v, bars %d to %d: %v", file.Title, f, first, last, err)
			}
			got, anchor, err := figure.FromEvents(events, chords, tonic, f.Scale())
			if err != nil {
				t.Fatalf("%s, %v: %v", file.Title, f, err)
			}
			// Notes that sound together are written from the lowest up.
			same := slices.EqualFunc(inOrder(got, anchor), inOrder(want, at), func(a, b figure.Event) bool {
				a.Index = b.Index
				return a == b
			})
			if !same || anchor != at || got.Pickup() != want.Pickup() || !slices.Equal(slices.Collect(got.Chords(tonic)), slices.Collect(want.Chords(tonic))) {
				t.Fatalf("%s: %v in %v is taken as %v in %v from bars %d to %d", file.Title, want, at, got, anchor, first, last)
			}
			if got.Equal(want) {
				exact++
			}
		}
	}
	if taken < *drills || exact < *drills*10/11 {
		t.Errorf("%d statements were taken, %d of them exactly", taken, exact)
	}
}

func inOrder(f figure.Figure, tonic spelling.Note) []figure.Event {
	events := f.In(tonic)
	slices.SortStableFunc(events, func(a, b figure.Event) int { return cmp.Or(cmp.Compare(a.Onset, b.Onset), cmp.Compare(a.Note, b.Note)) })
	return events
}

// partwise returns a score of one part.
func partwise(measures ...string) string {
	var b strings.Builder
	b.WriteString(`<?xml version="1.0"?><!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 3.1 Partwise//EN" "http://www.musicxml.org/dtds/partwise.dtd"><score-partwise version="3.1"><movement-title>of a stranger</movement-title><part-list><part-group type="start"/><score-part id="P1"><part-name>flute &amp; more</part-name></score-part></part-list><part id="P1">`)
	for n, m := range measures {
		fmt.Fprintf(&b, `<measure number="%d">%s</measure>`, n+1, m)
	}
	return b.String() + `</part></score-partwise>`
}

func note(pitch string, duration int, more string) string {
	alter := ""
	if strings.HasSuffix(pitch[:len(pitch)-1], "b") {
		alter = "<alter>-1</alter>"
	}
	return fmt.Sprintf("<note>%s<pitch><step>%s</step>%s<octave>%s</octave></pitch><duration>%d</duration></note>", more, pitch[:1], alter, pitch[len(pitch)-1:], duration)
}

const divisions4 = "<attributes><divisions>4</divisions></attributes>"

// TestReadOthers reads what other programs write.
func TestReadOthers(t *testing.T) {
	show := func(p Part) string {
		var b strings.Builder
		for _, n := range p.Notes {
			fmt.Fprintf(&b, "%s@%v:%v ", n.Note.Plain(), n.Onset, n.Length)
		}
		for _, c := range p.Chords {
			fmt.Fprintf(&b, "%s%s@%v ", c.Root.Plain(), c.Suffix, c.Onset)
		}
		return strings.TrimSpace(b.String())
	}
	harmony := func(inside string) string {
		return "<harmony><root><root-step>G</root-step></root>" + inside + "</harmony>"
	}
	for _, c := range []struct {
		name, file, want, remarks string
	}{
		{"plain", partwise(divisions4 + note("C4", 4, "") + note("Eb4", 2, "") + note("G4", 2, "")), "C4@0:1/4 Eb4@1/4:1/8 G4@3/8:1/8", ""},
		{"two voices and staves", partwise(divisions4 + note("C5", 4, "<voice>1</voice><staff>1</staff>") + "<backup><duration>4</duration></backup>" + note("C3", 2, "<voice>5</voice><staff>2</staff>") + "<forward><duration>2</duration></forward>" + note("D5", 4, "<voice>1</voice><staff>1</staff>")), "C5@0:1/4 D5@1/4:1/4 | C3@0:1/8", ""},
		{"a chord and a tie", partwise(divisions4+note("C4", 4, `<tie type="start"/>`)+note("E4", 4, "<chord/>"), note("C4", 4, `<tie type="stop"/><tie type="start"/>`), note("C4", 2, `<tie type="stop"/>`)+note("C4", 2, "")), "C4@0:5/8 E4@0:1/4 C4@5/8:1/8", ""},
		{"a tie to nothing", partwise(divisions4 + note("C4", 4, `<tie type="start"/>`) + note("E4", 4, "") + note("C4", 4, `<tie type="stop"/>`)), "C4@0:1/4 E4@1/4:1/4 C4@1/2:1/4", ""},
		{"divisions that change", partwise(divisions4 + note("C4", 4, "") + "<attributes><divisions>10080</divisions></attributes>" + note("D4", 10080, "") + note("E4", 5040, "<chord/>")), "C4@0:1/4 D4@1/4:1/4 E4@1/4:1/8", ""},
		{"triplets", partwise("<attributes><divisions>6</divisions></attributes>" + note("C4", 2, "") + note("D4", 2, "") + note("E4", 2, "")), "C4@0:1/12 D4@1/12:1/12 E4@1/6:1/12", ""},
		{"quintuplets", partwise("<attributes><divisions>5</divisions></attributes>" + note("C4", 1, "") + note("D4", 1, "") + note("E4", 3, "") + note("F4", 5, "")), "C4@0:5/96 D4@5/96:3/64 E4@19/192:29/192 F4@1/4:1/4", "notes that lie off the grid of 1/192 of a whole note, moved to the nearest place: 3"},
		{"grace, cue and drum", partwise(divisions4 + "<note><grace/><pitch><step>B</step><octave>3</octave></pitch></note>" + note("C4", 4, "") + note("D4", 4, "<cue/>") + "<note><unpitched/><duration>4</duration></note>" + note("E4", 4, "<notations><ornaments><trill-mark/></ornaments></notations>")), "C4@0:1/4 E4@3/4:1/4",
			"grace notes, left out: 1; cue notes, left out: 1; notes without a pitch, left out: 1; ornaments, left out: the notes stand as they are written: 1"},
		{"repeats", partwise(divisions4 + note("C4", 16, "") + `<direction><direction-type><coda/></direction-type><sound tocoda="coda"/></direction><sound dacapo="yes"/><sound tempo="90"/><barline><ending number="1" type="start"/><repeat direction="backward"/></barline>`), "C4@0:1", "repeats and jumps, not played out: 4"},
		{"slashes", partwise(`<attributes><divisions>4</divisions><measure-style><slash type="start"/></measure-style><measure-style><measure-repeat type="start">1</measure-repeat></measure-style><measure-style><multiple-rest>2</multiple-rest></measure-style></attributes>` + note("C4", 4, "")), "C4@0:1/4", "slashes and signs for the bar before, read as they are written: 2"},
		{"quarter tones", partwise(divisions4 + strings.Replace(note("Eb4", 4, ""), "-1", "-0.5", 1)), "Eb4@0:1/4", "quarter tones, moved to the next semitone: 1"},
		{"senseless", partwise(divisions4 + note("H4", 4, "") + note("C4", 0, "") + note("C4", -4, "") + strings.Replace(note("C4", 4, ""), "<octave>4", "<octave>x", 1) + note("D4", 4, "<staff>0</staff>") + "<attributes><divisions>0</divisions></attributes>" + note("D4", 4, "")), "D4@3/4:1/4", "notes and numbers that make no sense, left out: 6"},
		{"chord symbols", partwise(divisions4 + harmony(`<kind text="7">dominant</kind><degree><degree-value>9</degree-value><degree-alter>-1</degree-alter><degree-type>add</degree-type></degree>`) + note("C4", 4, "") +
			harmony(`<kind>half-diminished</kind><offset>2</offset>`) + note("D4", 4, "") + harmony(`<kind>dominant</kind><bass><bass-step>B</bass-step></bass><degree><degree-value>5</degree-value><degree-alter>0</degree-alter><degree-type>subtract</degree-type></degree>`) + note("E4", 4, "") + harmony(`<kind>major</kind><degree><degree-value>9</degree-value><degree-alter>0</degree-alter><degree-type>add</degree-type></degree><root><root-step>A</root-step></root><kind>minor</kind><degree/>`)),
			"C4@0:1/4 D4@1/4:1/4 E4@1/2:1/4 G7(b9)@0 Gm7(b5)@3/8 G7(no5)@1/2 Gadd9@3/4", "basses of chord symbols, left out: 1"},
		{"chord symbols that are none", partwise(divisions4 + note("C4", 4, "") + harmony(`<kind>none</kind>`) + harmony(`<kind text="{">major</kind>`) + harmony(`<kind text="`+strings.Repeat("x", 33)+`">major</kind>`) + "<harmony><function>IV</function><kind>major</kind></harmony>"), "C4@0:1/4", "chord symbols that cannot be read, left out: 4"},
		{"odd keys and meters", partwise("<attributes><divisions>4</divisions><key><key-step>F</key-step></key><time><beats>2</beats><beat-type>4</beat-type><beats>3</beats><beat-type>8</beat-type></time></attributes>" + note("C4", 4, "")), "C4@0:1/4", "keys that are no usual signature or mode; the signature counts, or the key before: 1; meters that cannot be read; the one before counts: 1"},
		{"nothing but rests", partwise(divisions4 + `<note><rest measure="yes"/><duration>16</duration></note>`), "", ""},
		{"timewise", `<score-timewise><part-list><score-part id="a"><part-name>one</part-name></score-part></part-list><measure number="1"><part id="a">` + divisions4 + note("C4", 16, "") + `</part><part id="b">` + divisions4 + note("E4", 16, "") + `</part><print/></measure><measure number="2"><part id="a">` + note("D4", 16, "") + `</part></measure></score-timewise>`, "C4@0:1 D4@1:1 | E4@0:1", ""},
	} {
		f, err := Read(strings.NewReader(c.file))
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		var parts []string
		for _, p := range f.Parts {
			parts = append(parts, show(p))
		}
		if got := strings.Join(parts, " | "); got != c.want || strings.Join(f.Remarks, "; ") != c.remarks {
			t.Errorf("%s: %s, %q\nwant %s, %q", c.name, got, f.Remarks, c.want, c.remarks)
		}
		if c.name == "plain" && (f.Title != "of a stranger" || f.Parts[0].Name != "flute & more") {
			t.Errorf("title %q, part %q", f.Title, f.Parts[0].Name)
		}
	}
}

// TestReadAttributes: keys by mode, meters, bars and transpositions.
func TestReadAttributes(t *testing.T) {
	f := mustRead(t, partwise(
		`<attributes><divisions>4</divisions><key><fifths>-3</fifths><mode>minor</mode></key><time><beats>3</beats><beat-type>4</beat-type></time><transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose></attributes>`+note("C4", 4, ""),
		`<direction><sound tempo=" 96.5"/></direction>`+note("C4", 12, "")+`<sound tempo="60"/><sound tempo="-1"/><sound tempo="slow"/><attributes><key><fifths>2</fifths><mode>dorian</mode></key><time><beats>6</beats><beat-type>8</beat-type></time></attributes>`,
		note("C4", 12, "")+`<attributes><key number="2"><fifths>4</fifths></key></attributes>`,
		"<print/>",
		`<attributes><key><fifths>1</fifths><mode>other</mode></key></attributes>`+note("C4", 4, ""),
	))
	want := []Bar{
		{"1", 0, 48, spelling.Minor(0), meterOf(t, "3/4"), 0}, {"2", 48, 144, spelling.Minor(0), meterOf(t, "3/4"), 96.5},
		{"3", 192, 144, spelling.Key{Tonic: 4, Signature: 2}, meterOf(t, "6/8"), 60}, {"4", 336, 144, spelling.Key{Tonic: 4, Signature: 2}, meterOf(t, "6/8"), 60},
		{"5", 480, 48, spelling.Major(1), meterOf(t, "6/8"), 60},
	}
	if p := f.Parts[0]; !slices.Equal(p.Bars, want) || p.Sounding != -interval.MajorSecond {
		t.Errorf("%v, sounding %v", p.Bars, p.Sounding)
	}
	for inside, want := range map[string]interval.Interval{
		"<diatonic>-5</diatonic><chromatic>-9</chromatic>": -interval.MajorSixth,
		"<chromatic>-9</chromatic>":                        -interval.MajorSixth,
		"<chromatic>3</chromatic>":                         interval.MinorThird,
		"<chromatic>-14</chromatic>":                       -interval.MajorSecond - interval.Octave,
		"<diatonic>0</diatonic><chromatic>0</chromatic><octave-change>-1</octave-change>":   -interval.Octave,
		"<diatonic>-1</diatonic><chromatic>-2</chromatic><octave-change>-1</octave-change>": -interval.MajorSecond - interval.Octave,
		"<diatonic>1000000</diatonic><chromatic>-2</chromatic>":                             0,
		"<chromatic>-2</chromatic><octave-change>500</octave-change>":                       0,
	} {
		f := mustRead(t, partwise("<attributes><divisions>4</divisions><transpose>"+inside+"</transpose></attributes>"+note("C4", 4, "")+"<attributes><transpose><chromatic>5</chromatic></transpose></attributes>"))
		if got := f.Parts[0].Sounding; got != want {
			t.Errorf("%s: %v, want %v", inside, got, want)
		}
	}
}

func meterOf(t testing.TB, text string) drill.Meter {
	m, err := drill.ParseMeter(text)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// TestEvents of some bars: pickups, and what there is not.
func TestEvents(t *testing.T) {
	f := mustRead(t, partwise(divisions4+note("G4", 4, ""), note("C5", 8, "")+note("E5", 8, ""), "<note><rest/><duration>12</duration></note>"+note("D5", 4, ""), note("E5", 16, ""), "<note><rest/><duration>16</duration></note>"))
	p := f.Parts[0]
	for _, c := range []struct {
		first, last int
		want        string
	}{{1, 2, "5:2 | 8:4 10:4"}, {1, 1, "5:2"}, {2, 2, "1:4 3:4"}, {3, 4, "9:2 | 10:8"}, {3, 3, "0:6 9:2"}, {2, 4, "1:4 3:4 0:6 2:2 3:8"}, {4, 5, "10:8"}} {
		events, chords, err := p.Events(c.first, c.last)
		if err != nil || chords != nil {
			t.Errorf("bars %d to %d: %v", c.first, c.last, err)
			continue
		}
		got, anchor, err := figure.FromEvents(events, nil, 0, figure.Major)
		if want := figure.MustParse(c.want); err != nil || !slices.Equal(got.In(anchor), want.In(anchor)) && !slices.Equal(got.In(anchor), want.In(spelling.MustParse("C4"))) {
			t.Errorf("bars %d to %d: %v from %v, %v; want %v", c.first, c.last, got, anchor, err, want)
		}
	}
	for _, c := range []struct {
		first, last int
		want        string
	}{{0, 1, "bars 0-1: the part has bars 1 to 5"}, {2, 1, "the part has bars 1 to 5"}, {5, 6, "the part has bars 1 to 5"}, {5, 5, "bars 5-5: the part has no notes in them"}} {
		var e *fault.ValueError
		if _, _, err := p.Events(c.first, c.last); !errors.As(err, &e) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("bars %d to %d: %v", c.first, c.last, err)
		}
	}
	many := Part{Bars: []Bar{{"1", 0, 5000, spelling.Key{}, drill.Meter{}, 0}}, Notes: make([]Note, 5000)}
	if _, _, err := many.Events(1, 1); err == nil || !strings.Contains(err.Error(), "more than 4096 notes") {
		t.Error(err)
	}
}

// pack makes a compressed score of files, name and content in turn.
func pack(t testing.TB, files ...string) string {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for n := 0; n < len(files); n += 2 {
		w, err := z.Create(files[n])
		if err == nil {
			_, err = io.WriteString(w, files[n+1])
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func container(name string) string {
	return `<?xml version="1.0"?><container><rootfiles><rootfile full-path="` + name + `"/><rootfile full-path="other.pdf"/></rootfiles></container>`
}

// TestReadEncodings: the same score compressed and in other encodings.
func TestReadEncodings(t *testing.T) {
	plain := strings.Replace(partwise(divisions4+note("C4", 4, "")), "stranger", "übermütig 𝄞", 1)
	wide := func(order []int) string {
		text := strings.Replace(plain, `version="1.0"`, `version="1.0" encoding="UTF-16"`, 1)
		var b []byte
		for _, u := range utf16.Encode([]rune("\uFEFF" + text)) {
			b = append(b, byte(u>>order[0]), byte(u>>order[1]))
		}
		return string(b)
	}
	latin := strings.NewReplacer(`version="1.0"`, `version="1.0" encoding="ISO-8859-1"`, "ü", "\xfc", " 𝄞", "").Replace(plain)
	for name, file := range map[string]string{
		"plain":               plain,
		"space before":        "\n \t\r\n" + strings.TrimPrefix(plain, `<?xml version="1.0"?>`),
		"with a mark":         "\uFEFF" + plain,
		"UTF-16":              wide([]int{8, 0}),
		"UTF-16 turned":       wide([]int{0, 8}),
		"Latin-1":             latin,
		"compressed":          pack(t, "META-INF/container.xml", container("a/score.xml"), "first.xml", "<no/>", "a/score.xml", plain),
		"compressed UTF-16":   pack(t, "META-INF/container.xml", container("score.musicxml"), "score.musicxml", wide([]int{0, 8})),
		"without a container": pack(t, "picture.png", "no", "META-INF/other.xml", "<no/>", "score.musicxml", plain, "b.xml", "<no/>"),
		"an empty container":  pack(t, "META-INF/container.xml", "<container>", "score.XML", plain),
	} {
		f, err := Read(strings.NewReader(file))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		remarks := ""
		if strings.Contains(name, "container") {
			remarks = "the compressed file does not say which of its files is the score; the first was taken: score."
		}
		want := "of a übermütig 𝄞"
		if name == "Latin-1" {
			want = "of a übermütig"
		}
		if f.Title != want || len(f.Parts) != 1 || len(f.Parts[0].Notes) != 1 || !strings.HasPrefix(strings.Join(f.Remarks, ""), remarks) || remarks == "" && f.Remarks != nil {
			t.Errorf("%s: %+v", name, f)
		}
	}
}

func TestReadErrors(t *testing.T) {
	good := partwise(divisions4 + note("C4", 4, ""))
	packed := pack(t, "META-INF/container.xml", container("score.xml"), "score.xml", strings.Repeat(good, 3))
	damaged := []byte(packed)
	at := strings.LastIndex(packed[:strings.Index(packed, "PK\x01\x02")], "score.xml") + 30
	damaged[at] ^= 0xFF
	odd := []byte(packed)
	odd[strings.Index(packed, "PK\x01\x02")+10] = 99 // a method of packing that nobody knows
	var many []string
	for n := range MaxFiles + 1 {
		many = append(many, fmt.Sprint(n), "")
	}
	for _, c := range []struct {
		file, want string
	}{
		{"", "score file: the file is empty"},
		{"MThd", `score file "MThd": a score is MusicXML`},
		{"<", "it is cut short in line 1"},
		{"  ", "it ends before there is a score"},
		{"<!-- a -->", "it ends before there is a score"},
		{"<svg>", `score file "<svg>": a score of MusicXML begins with score-partwise`},
		{"<score-partwise/>", "the score has no bars"},
		{`<score-partwise><part id="P1"/></score-partwise>`, "the score has no bars"},
		{"<a></b>", "a score of MusicXML begins with"},
		{"<score-partwise>\n<a></b>", "its XML is broken in line 2 (element <a> closed by </b>)"},
		{"<score-partwise>&lol;", "its XML is broken in line 1"},
		{`<?xml version="1.0" encoding="EBCDIC"?><score-partwise/>`, "its letters are written as \"ebcdic\""},
		{good[:len(good)-10], "it is cut short in line 1"},
		{"\xFE\xFF\x00<\xD8", "it is cut short"},
		{"\xFE\xFF\x00<\xD8\x00", "it is cut short"},
		{"<score-partwise>" + strings.Repeat("<a>", 64), "64 deep"},
		{"<score-partwise a=\"" + strings.Repeat("a", MaxToken), "longer than 256 KiB"},
		{"PK\x03\x04", "the compressed file is broken or cut short"},
		{packed[:len(packed)-1], "the compressed file is broken or cut short"},
		{string(damaged), "score file: "},
		{string(odd), "the compressed file is broken"},
		{pack(t, "META-INF/container.xml", container("score.xml")), "there is no score in the compressed file"},
		{pack(t, "a.txt", ""), "there is no score in the compressed file"},
		{pack(t, "a.xml", ""), "the file is empty"},
		{pack(t, "a.xml", pack(t, "a.xml", good)), "a score is MusicXML, plain or compressed, and begins with <"},
		{pack(t, many...), "a compressed score has at most 1024 files"},
		{"PK\x03\x04" + strings.Repeat("a", MaxPacked), "a compressed score is read up to 16 MiB"},
	} {
		var e *fault.SyntaxError
		if f, err := Read(strings.NewReader(c.file)); !errors.As(err, &e) || f != nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%.80q: %v, want %q", c.file, err, c.want)
		}
	}
	broken := errors.New("the disk is broken")
	var wide []byte
	for _, u := range utf16.Encode([]rune("\uFEFF" + good + "𝄞")) {
		wide = append(wide, byte(u>>8), byte(u))
	}
	for _, file := range []string{good, packed, string(wide)} {
		for n := range len(file) {
			if f, err := Read(io.MultiReader(strings.NewReader(file[:n]), iotest.ErrReader(broken))); err != broken && (err != nil || n < strings.LastIndex(good, ">")) {
				t.Fatalf("broken after %d of %d bytes: %v %v", n, len(file), f, err)
			}
			var e *fault.SyntaxError
			if _, err := Read(strings.NewReader(file[:n])); err != nil && !errors.As(err, &e) {
				t.Fatalf("cut after %d of %d bytes: %v", n, len(file), err)
			}
		}
	}
}

// endless repeats its text for ever and counts what was taken.
type endless struct {
	head, loop string
	taken      int64
}

func (e *endless) Read(b []byte) (int, error) {
	n := 0
	if e.taken < int64(len(e.head)) {
		n = copy(b, e.head[e.taken:])
	} else {
		n = copy(b, e.loop[int(e.taken-int64(len(e.head)))%len(e.loop):])
	}
	e.taken += int64(n)
	return n, nil
}

var nonsense = flag.Int64("nonsense", 1<<19, "after how many bytes nonsense is too much; 0 for four times as many, and once for as many as Read takes")

// TestNonsenseEndsInBoundedMemory: files without end.
func TestNonsenseEndsInBoundedMemory(t *testing.T) {
	const score = `<score-partwise><part id="P1"><measure>`
	for n, e := range []*endless{
		{"", "nonsense", 0},
		{"<score-partwise>", "<nonsense a='b'>" + strings.Repeat("nonsense", 1000) + "</nonsense>", 0}, // all of it
		{"", "<nonsense>", 0},
		{"", " ", 0},
		{"<", "a", 0},
		{"<score-partwise>", "<a>", 0},
		{"<score-partwise>", "nonsense", 0},
		{"<score-partwise>", "<a b='c'/>", 0},
		{`<score-partwise a="`, "a", 0},
		{"<score-partwise", " a='b'", 0},
		{"<score-partwise><!--", "a", 0},
		{"<score-partwise><work><work-title>", "a&amp;", 0},
		{`<score-partwise><part id="P1">`, "<measure/>", 0},
		{score, "<note/>", 0},
		{score, "<note><pitch><step>C</step><octave>4</octave></pitch><duration>1</duration></note>", 0},
		{score, "<note><chord/><pitch><step>C</step><octave>4</octave></pitch><duration>1</duration></note>", 0},
		{score, "<harmony><root><root-step>C</root-step></root><kind>major</kind></harmony>", 0},
		{score, "<forward><duration>999999999</duration></forward>", 0},
		{"PK\x03\x04", "nonsense", 0},
	} {
		var before, after runtime.MemStats
		runtime.GC()
		runtime.ReadMemStats(&before)
		most := *nonsense
		if most == 0 {
			most = 2 << 20
			if n == 1 {
				most = MaxBytes
			}
		}
		_, err := ReadUpTo(e, most)
		runtime.ReadMemStats(&after)
		var syntax *fault.SyntaxError
		if !errors.As(err, &syntax) || e.taken > MaxBytes+1<<16 {
			t.Errorf("%q %q: %v after %d bytes", e.head, e.loop, err, e.taken)
		}
		if used := int64(after.HeapSys) - int64(before.HeapSys); used > 256<<20 {
			t.Errorf("%q %q: %d MB of memory", e.head, e.loop, used>>20)
		}
	}
	voices, ids := strings.Builder{}, strings.Builder{}
	for n := range 2000 {
		voices.WriteString(note("C4", 1, fmt.Sprintf("<voice>%d</voice>", n)))
		fmt.Fprintf(&ids, `<part id="%d"/>`, n)
	}
	for _, file := range []string{score + voices.String(), "<score-partwise>" + ids.String()} {
		if _, err := Read(strings.NewReader(file)); err != ErrTooMuch {
			t.Errorf("%.50q: %v", file, err)
		}
	}
}

// A bomb is small and unpacks to much.
func TestBomb(t *testing.T) {
	file := pack(t, "a.xml", "<score-partwise>"+strings.Repeat("<a/>", 2<<20))
	if len(file) > 1<<20 {
		t.Fatal("it is none")
	}
	if _, err := ReadUpTo(strings.NewReader(file), 2<<20); err != ErrTooMuch {
		t.Error(err)
	}
}

func FuzzRead(f *testing.F) {
	const begin, end = "<score-partwise><part><measure>", "</measure></part></score-partwise>"
	for _, inside := range []string{
		"<note><chord/><pitch><step>C</step><alter>1</alter><octave>4</octave></pitch><duration>4</duration><voice>1</voice><staff>2</staff></note>",
		`<note><pitch><step>C</step><octave>4</octave></pitch><duration>4</duration><tie type="start"/></note>`,
		"<attributes><divisions>3</divisions><key><fifths>-3</fifths><mode>minor</mode></key></attributes>",
		"<attributes><time><beats>3+2</beats><beat-type>8</beat-type></time></attributes>",
		"<attributes><transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose></attributes>",
		`<harmony><root><root-step>G</root-step></root><kind text="7">dominant</kind><offset>1</offset></harmony>`,
		"<harmony><root><root-step>G</root-step></root><kind>minor</kind><degree><degree-value>9</degree-value></degree></harmony>",
		"<forward><duration>2</duration></forward><backup><duration>1</duration></backup>",
	} {
		f.Add([]byte(begin + inside + end))
	}
	f.Add([]byte(pack(f, "a.xml", "<score-partwise/>")))
	f.Add([]byte("\xFE\xFF\x00<"))
	f.Fuzz(func(t *testing.T, file []byte) {
		s, err := Read(bytes.NewReader(file))
		if err != nil {
			var syntax *fault.SyntaxError
			if !errors.As(err, &syntax) || s != nil || len(err.Error()) > 600 {
				t.Fatal(err)
			}
			return
		}
		for p := range s.Parts {
			part := &s.Parts[p]
			var at figure.Length
			for _, b := range part.Bars {
				if b.Onset != at || b.Length < 1 {
					t.Fatalf("%+v", b)
				}
				at += b.Length
			}
			for n, note := range part.Notes {
				if note.Length < 1 || note.Onset < 0 || n > 0 && note.Onset < part.Notes[n-1].Onset {
					t.Fatalf("%+v", note)
				}
			}
			events, chords, err := part.Events(1, len(part.Bars))
			if err == nil {
				_, _, err = figure.FromEvents(events, chords, 0, figure.Dorian)
			}
			var value *fault.ValueError
			if err != nil && !errors.As(err, &value) {
				t.Fatal(err)
			}
		}
	})
}

func BenchmarkRead(b *testing.B) {
	var file bytes.Buffer
	if err := Write(&file, elevenOrders(b, 1)); err != nil {
		b.Fatal(err)
	}
	b.SetBytes(int64(file.Len()))
	b.ReportAllocs()
	for range b.N {
		mustRead(b, file.String())
	}
}

// BenchmarkReadPlain has the same file read by encoding/xml into a document.
func BenchmarkReadPlain(b *testing.B) {
	var file bytes.Buffer
	if err := Write(&file, elevenOrders(b, 1)); err != nil {
		b.Fatal(err)
	}
	b.SetBytes(int64(file.Len()))
	for range b.N {
		read(b, file.Bytes())
	}
}
