package outside

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"os/exec"
	"slices"
	"strconv"
	"strings"
	"testing"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/accompaniment"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/figure/playback/smf"
	"example.com/keyorder/interval"
)

// reader runs a program that is not ours and returns what it prints.
func reader(t *testing.T, input []byte, name string, args ...string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		t.Fatalf("%s is missing: %v", name, err)
	}
	cmd := exec.Command(path, args...)
	cmd.Stdin = bytes.NewReader(input)
	var out, complaint bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &complaint
	if err := cmd.Run(); err != nil || complaint.Len() > 0 {
		t.Fatalf("%s: %v\n%s", name, err, complaint.String())
	}
	return out.String()
}

func mustLine(t *testing.T, o playback.Options, settings ...drill.Settings) *playback.Line {
	t.Helper()
	var drills []*drill.Drill
	for _, s := range settings {
		d, err := drill.New(s)
		if err != nil {
			t.Fatal(err)
		}
		drills = append(drills, d)
	}
	l, err := playback.New(drills, o)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func instruments(t *testing.T, names ...string) (out []drill.Instrument) {
	t.Helper()
	for _, name := range names {
		i, err := drill.Find(name, drill.LevelFull)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, i)
	}
	return out
}

func meter(t *testing.T, text string) drill.Meter {
	t.Helper()
	m, err := drill.ParseMeter(text)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// eleven returns the settings of the eleven orders, one drill each.
func eleven(s drill.Settings) (out []drill.Settings) {
	for n := 1; n < 12; n++ {
		o := cycle.By(interval.Of(0, n))
		s.Title, s.Route = "Order "+o.String(), o.Closed()
		out = append(out, s)
	}
	return out
}

// A sounding is a note as midicsv tells it.
type sounding struct{ track, at, length, channel, key int }

// TestMidicsv writes many drills as MIDI and compares what midicsv reads in
// them with the time line.
func TestMidicsv(t *testing.T) {
	t.Parallel()
	band := []string{"flute", "alto saxophone", "trumpet", "horn", "trombone", "double bass", "piano", "tuba", "violin", "oboe", "cello"}
	for _, figureText := range []string{
		"1:3 5 4 2 3:2",
		"v5 v7 | 1:3 5:1/2 4:1/2",
		"{2 m7} 1+3+5:4 {5 7} v7+2+5:4",
		"1:2/3 2:2/3 3:2/3 0 5:5 in dorian",
	} {
		for n, meterText := range []string{"4/4", "3/4", "2/2", "6/8", "12/8", "2+2+3/8", "3+2/16"} {
			for mode := playback.ModeAnswer; mode <= playback.ModeClick; mode++ {
				s := drill.Settings{
					Figure: figure.MustParse(figureText), Meter: meter(t, meterText),
					Parts: instruments(t, band[:1+(n+int(mode)*3)%len(band)]...), Tempo: 60 + 37*n, Closing: drill.Closing(n % 3), Padding: drill.Padding(int(mode) % 3),
				}
				s.Rest = playback.RestFor(playback.Options{Mode: mode}, s)
				o := playback.Options{Mode: mode, CountIn: n%3 - 1, Clicks: []playback.Clicks{playback.ClicksEveryBeat, playback.ClicksFirstBeat}[n%2]}
				if n < 3 {
					o.Swing = 1.5
				}
				t.Run(fmt.Sprintf("%s in %s, %v", figureText, meterText, mode), func(t *testing.T) {
					compare(t, mustLine(t, o, eleven(s)[n:n+3]...))
				})
			}
		}
	}
	t.Run("eleven orders", func(t *testing.T) {
		compare(t, mustLine(t, playback.Options{}, eleven(drill.Settings{Figure: figure.MustParse("1 3 2 5"), Parts: instruments(t, "trumpet")})...))
	})
	t.Run("a title", func(t *testing.T) {
		s := drill.Settings{Title: `<i>"C" to F♯, é & \ ` + strings.Repeat("long ", 100), Figure: figure.MustParse("1"), Parts: instruments(t, "trumpet"), Route: cycle.By(interval.PerfectFourth).Open()}
		compare(t, mustLine(t, playback.Options{}, s))
	})
	t.Run("a long silence", func(t *testing.T) {
		items := []figure.Item{{Degrees: []figure.Degree{{}}, Length: figure.Whole}}
		for range 1200 {
			items = append(items, figure.Item{Length: figure.MaxLength})
		}
		f, err := figure.New(figure.Major, 0, 0, items...)
		if err != nil {
			t.Fatal(err)
		}
		route, err := cycle.ParseRoute("01")
		if err != nil {
			t.Fatal(err)
		}
		compare(t, mustLine(t, playback.Options{Mode: playback.ModeModel}, drill.Settings{Figure: f, Route: route, Tempo: 500, Meter: meter(t, "4/2"), Parts: instruments(t, "trumpet")}))
	})
}

// compare has midicsv read a line as MIDI.
func compare(t *testing.T, l *playback.Line) {
	var b bytes.Buffer
	if err := smf.Write(&b, l); err != nil {
		t.Fatal(err)
	}
	text := reader(t, b.Bytes(), "midicsv", "-")
	var got []sounding
	var first []string // tempo, meter and markers
	on := map[[3]int]int{}
	names, programs, ends := map[int]string{}, map[int]int{}, map[int]int{}
	for _, line := range strings.Split(strings.TrimSpace(text), "\n") {
		row := fields(t, line)
		number := func(n int) int {
			v, err := strconv.Atoi(row[n])
			if err != nil {
				t.Fatalf("%s: %v", line, err)
			}
			return v
		}
		track, at := number(0), number(1)
		switch row[2] {
		case "Header":
			if number(3) != 1 || number(4) != len(l.Parts())+2 || number(5) != 960 {
				t.Fatalf("%s", line)
			}
		case "Start_track", "End_of_file", "Text_t", "Key_signature":
		case "Title_t":
			names[track] = row[3]
		case "Program_c":
			programs[track] = number(4)
		case "Tempo", "Time_signature", "Marker_t":
			if track != 1 {
				t.Fatalf("%s", line)
			}
			first = append(first, fmt.Sprint(at, " ", strings.Join(row[2:], " ")))
		case "Note_on_c":
			voice := [3]int{track, number(3), number(4)}
			if _, ok := on[voice]; ok || number(5) == 0 {
				t.Fatalf("%s", line)
			}
			on[voice] = len(got)
			got = append(got, sounding{track, at, -1, number(3), number(4)})
		case "Note_off_c":
			voice := [3]int{track, number(3), number(4)}
			n, ok := on[voice]
			if !ok {
				t.Fatalf("%s", line)
			}
			delete(on, voice)
			got[n].length = at - got[n].at
		case "End_track":
			ends[track] = at
		default:
			t.Fatalf("%s", line)
		}
	}
	if len(on) > 0 {
		t.Fatalf("%d notes never end", len(on))
	}

	var want []sounding
	var starts []string
	for p, part := range l.Parts() {
		channel := p
		if p > 8 {
			channel++
		}
		for turn := range l.Turns(0) {
			for n := range l.Notes(turn, part) {
				want = append(want, sounding{p + 2, int(n.On), int(n.Off - n.On), channel, int(n.Key)})
			}
		}
		i := part.Instrument()
		if name := strings.ReplaceAll(i.Name, "♭", "b"); names[p+2] != name || programs[p+2] != int(i.Program)-1 {
			t.Errorf("track %d is called %q and has program %d", p+2, names[p+2], programs[p+2])
		}
	}
	for turn := range l.Turns(0) {
		for c := range l.Clicks(turn) {
			key := 77 // low wood block
			if c.Accent {
				key = 76
			}
			want = append(want, sounding{len(l.Parts()) + 2, int(c.Time), 60, 9, key})
		}
	}
	if len(got) != len(want) {
		t.Fatalf("%d notes and clicks, want %d", len(got), len(want))
	}
	for n := range got {
		if got[n] != want[n] {
			t.Fatalf("midicsv reads %+v, the line has %+v", got[n], want[n])
		}
	}
	last := playback.Turn{Drill: -1}
	section, statement := -1, -1
	for turn := range l.Turns(0) {
		at := turn.Begin
		if turn.Drill != last.Drill {
			s := l.Drills()[turn.Drill].Settings()
			perQuarter := 60e6 * float64(figure.Quarter) / float64(s.Meter.Counted()) / float64(s.Tempo)
			starts = append(starts, fmt.Sprintf("%d Tempo %.0f", at, math.Round(perQuarter)))
			starts = append(starts, fmt.Sprintf("%d Time_signature %d %.0f %d 8", at, s.Meter.Number(), math.Log2(float64(s.Meter.Unit())), int(s.Meter.Beat(0))/2))
			if s.Title != "" {
				starts = append(starts, fmt.Sprintf("%d Marker_t %s", at, strings.ReplaceAll(s.Title, "♯", "#")))
			}
			section, statement = -1, -1
		}
		last = turn
		if st, ok := l.Statement(turn, l.Parts()[0]); ok && st.Index != statement {
			text := st.Written.Name().Plain()
			if st.Return {
				text = "back to " + text
			}
			if st.Section != section {
				text = fmt.Sprintf("section %d, %s", st.Section+1, text)
			}
			section, statement = st.Section, st.Index
			starts = append(starts, fmt.Sprintf("%d Marker_t %s", at, text))
		}
	}
	if !slices.Equal(first, starts) {
		t.Errorf("midicsv reads\n%s\nthe line has\n%s", strings.Join(first, "\n"), strings.Join(starts, "\n"))
	}
	if want := strings.ReplaceAll(l.Drills()[0].Settings().Title, "♯", "#"); names[1] != want {
		t.Errorf("the file is called %q, want %q", names[1], want)
	}
	for track := range len(l.Parts()) + 2 {
		if ends[track+1] != int(l.Length()) {
			t.Errorf("track %d ends at %d, want %d", track+1, ends[track+1], l.Length())
		}
	}
}

// fields splits a line of midicsv, which writes other bytes than those of
// ASCII as three octal digits after a backslash.
func fields(t *testing.T, line string) []string {
	r := csv.NewReader(strings.NewReader(line))
	r.TrimLeadingSpace = true
	row, err := r.Read()
	if err != nil {
		t.Fatalf("%s: %v", line, err)
	}
	for n, f := range row {
		var b []byte
		for len(f) > 0 {
			switch {
			case strings.HasPrefix(f, `\\`):
				b, f = append(b, '\\'), f[2:]
			case f[0] == '\\':
				v, err := strconv.ParseUint(f[1:4], 8, 8)
				if err != nil {
					t.Fatalf("%s: %v", line, err)
				}
				b, f = append(b, byte(v)), f[4:]
			default:
				b, f = append(b, f[0]), f[1:]
			}
		}
		row[n] = string(b)
	}
	return row
}

// TestMidicsvBand: under a 2-5-1 in twelve keys, channel by channel, what midicsv
// reads is what the symbols say: in the bass the root at the change and the fifth
// at the half bar, in the chords third, seventh and ninth, in the drone the tonic
// and its fifth. The players read their parts a whole step and a sixth above.
func TestMidicsvBand(t *testing.T) {
	s := drill.Settings{
		Figure: figure.MustParse("{2 m7} 2:8 {5 7} 5:8 {1 maj7} 3:8"), Route: cycle.By(interval.PerfectFourth).Open(), Reading: drill.ReadingConcert,
		Rest: drill.NoRest, Parts: instruments(t, "trumpet", "alto saxophone"),
	}
	o := playback.Options{Mode: playback.ModeClick, CountIn: playback.NoCountIn, Band: accompaniment.Band{
		Bass: accompaniment.BassRoots, Chords: accompaniment.CompingWhole, Drone: true,
	}}
	var b bytes.Buffer
	if err := smf.Write(&b, mustLine(t, o, s)); err != nil {
		t.Fatal(err)
	}
	on := map[int]map[int][]int{} // by channel and time
	programs := map[int]int{}
	for _, line := range strings.Split(strings.TrimSpace(reader(t, b.Bytes(), "midicsv", "-")), "\n") {
		row := fields(t, line)
		var v []int
		for _, f := range append(row[1:2:2], row[3:]...) {
			n, _ := strconv.Atoi(f)
			v = append(v, n)
		}
		switch row[2] {
		case "Program_c":
			programs[v[1]] = v[2] + 1
		case "Note_on_c":
			if on[v[1]] == nil {
				on[v[1]] = map[int][]int{}
			}
			on[v[1]][v[0]] = append(on[v[1]][v[0]], v[2]%12)
		}
	}
	if programs[2] != 33 || programs[3] != 5 || programs[4] != 53 || len(on[0])+len(on[1]) > 0 {
		t.Errorf("programs %v; the parts sound %v and %v", programs, on[0], on[1])
	}
	// semitones above the tonic: root, fifth; third, seventh, ninth. Common practice.
	want := [3]struct {
		bass   [2]int
		chords [3]int
	}{{[2]int{2, 9}, [3]int{5, 0, 4}}, {[2]int{7, 2}, [3]int{11, 5, 9}}, {[2]int{0, 7}, [3]int{4, 11, 2}}}
	const bar = 3840
	for key := range 12 {
		tonic := key * 5 % 12
		for n, w := range want {
			at := (3*key + n) * bar
			if got := fmt.Sprint(on[2][at], on[2][at+bar/2]); got != fmt.Sprintf("[%d] [%d]", (tonic+w.bass[0])%12, (tonic+w.bass[1])%12) {
				t.Errorf("key %d, chord %d: the bass has %s", tonic, n, got)
			}
			var classes []int
			for _, c := range w.chords {
				classes = append(classes, (tonic+c)%12)
			}
			got := slices.Sorted(slices.Values(on[3][at]))
			slices.Sort(classes)
			if !slices.Equal(got, classes) {
				t.Errorf("key %d, chord %d: the chord has %v, want %v", tonic, n, got, classes)
			}
		}
		if got := on[4][3*key*bar]; !slices.Equal(got, []int{tonic, (tonic + 7) % 12}) {
			t.Errorf("key %d: the drone has %v", tonic, got)
		}
	}
}
