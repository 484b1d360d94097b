package practice

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"testing"
	"testing/iotest"
	"time"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/figuretest"
	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"
)

// byValue compares values whose inside is their own.
var byValue = cmpopts.EquateComparable(drill.Meter{}, figure.Variation{})

func anyEntry() *rapid.Generator[Entry] {
	key := drawn(figuretest.Class)
	return rapid.Custom(func(t *rapid.T) Entry {
		r := drawn(func(draw figuretest.Draw) cycle.Route { return figuretest.Route(draw, 4, 12) }).Draw(t, "route")
		e := Entry{
			Date:       Date(rapid.OneOf(rapid.Int32Range(minDate, maxDate), rapid.Int32Range(20000, 20100)).Draw(t, "date")),
			Minutes:    rapid.IntRange(0, MaxMinutes).Draw(t, "minutes"),
			Figure:     figure.MustParse(rapid.SampledFrom(figureTexts()).Draw(t, "figure")),
			Order:      rapid.SampledFrom([]string{"", "m3", "die Quinten \"rückwärts\"\n\u2028<b>"}).Draw(t, "order"),
			Route:      r,
			Instrument: rapid.SampledFrom([]string{"flute", "trumpet in B♭", "\\ \x00"}).Draw(t, "instrument"),
			First:      spelling.Note(figure.Major.Tonics()[rapid.IntRange(0, 11).Draw(t, "name")].In(rapid.IntRange(-1, 9).Draw(t, "octave"))),
			Stage:      Stage(rapid.IntRange(0, 2).Draw(t, "stage")),
			Tempo:      rapid.IntRange(drill.MinTempo, drill.MaxTempo).Draw(t, "tempo"),
			Rest:       drill.Rest(rapid.SampledFrom([]drill.Rest{drill.NoRest, 0, 1, 96, drill.Rest(figure.MaxLength)}).Draw(t, "rest")),
			Played:     rapid.IntRange(1, r.Len()).Draw(t, "statements"),
			FirstTry:   rapid.Bool().Draw(t, "first"),
			Block:      rapid.IntRange(0, maxBlocks).Draw(t, "block"),
		}
		e.Variation = figure.MustParseVariation(rapid.SampledFrom([]string{"retrograde", "rotation 2", "octave up 1", "rhythm 3 1"}).Draw(t, "variation"))
		if rapid.Bool().Draw(t, "plain") {
			e.Variation = figure.Variation{}
		}
		e.Clean = rapid.IntRange(0, e.Played).Draw(t, "clean")
		e.FailedKeys = rapid.SliceOfN(key, 0, 3).Draw(t, "failed keys")
		for _, from := range rapid.SliceOfN(key, 0, 3).Draw(t, "failed moves") {
			e.FailedMoves = append(e.FailedMoves, cycle.Move{From: from, To: from.T(rapid.IntRange(1, 11).Draw(t, "up"))})
		}
		if len(e.FailedKeys) == 0 {
			e.FailedKeys = nil
		}
		return e
	})
}

func line1(t failer, e Entry) []byte {
	var b bytes.Buffer
	if err := AppendEntry(&b, e); err != nil {
		t.Fatalf("%v", err)
	}
	return b.Bytes()
}

func TestLawEntryThenReadIsTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		entries := rapid.SliceOfN(anyEntry(), 0, 5).Draw(t, "entries")
		var log []byte
		for _, e := range entries {
			one := line1(t, e)
			if bytes.Count(one, []byte("\n")) != 1 || one[len(one)-1] != '\n' {
				t.Fatalf("%q is not one line", one)
			}
			var back Entry
			if err := json.Unmarshal(one, &back); err != nil || !cmp.Equal(back, e, byValue) {
				t.Fatalf("%v: %s", err, cmp.Diff(e, back, byValue))
			}
			log = append(log, one...)
		}
		l, err := Read(bytes.NewReader(log))
		switch {
		case err != nil:
			t.Fatalf("%v, %+v: an error", err, l)
		case l.Bad != 0:
			t.Fatalf("%v, %+v: bad lines", err, l)
		case l.Torn != nil:
			t.Fatalf("%v, %+v: a torn line", err, l)
		case l.Unended:
			t.Fatalf("%v, %+v: an unended line", err, l)
		case l.Whole != int64(len(log)):
			t.Fatalf("%v, %+v: %d bytes are whole, want %d", err, l, l.Whole, len(log))
		case !cmp.Equal(l.Entries, entries, byValue, cmp.Transformer("", func(e []Entry) []Entry { return append([]Entry{}, e...) })) && len(entries) > 0:
			t.Fatalf("%v, %+v: other entries", err, l)
		}
	})
}

// A torn is a file on a disk that has room for so many bytes more.
type torn struct {
	disk *[]byte
	room int
	n    int // writes
}

func (w *torn) Write(p []byte) (int, error) {
	w.n++
	k := min(len(p), w.room)
	*w.disk = append(*w.disk, p[:k]...)
	if k < len(p) {
		return k, errors.New("the power went")
	}
	return k, nil
}

// TestLawNoWholeLineIsLost runs any sequence of appends, crashes at any byte and
// reads against a model: the entries whose lines came to the disk whole. What is
// torn is set aside in either of the two ways that there are: by cutting the
// log, or by ending the torn line where it is.
func TestLawNoWholeLineIsLost(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var disk, kept []byte
		var whole []Entry
		var tails [][]byte // what was torn and not yet kept
		bad := 0
		var l Log // what was read last
		mend := func() {
			switch {
			case l.Torn != nil && rapid.Bool().Draw(t, "cut"):
				kept = append(kept, l.Torn...)
				disk = disk[:l.Whole]
			case l.Torn != nil:
				bad++
				kept = append(kept, l.Torn...)
				disk = append(disk, '\n')
			case l.Unended:
				disk = append(disk, '\n')
			}
		}
		write := func(room int) {
			mend()
			e := anyEntry().Draw(t, "entry")
			one := line1(t, e)
			if room < 0 {
				room = rapid.OneOf(rapid.IntRange(0, len(one)), rapid.Just(len(one)-1)).Draw(t, "room")
			}
			w := torn{&disk, min(room, len(one)), 0}
			if err := AppendEntry(&w, e); (err == nil) != (w.room == len(one)) || w.n != 1 {
				t.Fatalf("%v with room for %d of %d, %d writes", err, w.room, len(one), w.n)
			}
			if w.room >= len(one)-1 {
				whole = append(whole, e) // all but the newline is enough
			} else if w.room > 0 {
				tails = append(tails, one[:w.room])
			}
		}
		t.Repeat(map[string]func(*rapid.T){
			"append": func(t *rapid.T) { write(math.MaxInt32) },
			"crash":  func(t *rapid.T) { write(-1) },
			"a line by another hand": func(t *rapid.T) {
				mend()
				disk = append(disk, rapid.SampledFrom([]string{"{}\n", "nonsense\n", `{"version":4,"mode":"new"}` + "\n"}).Draw(t, "line")...)
				bad++
			},
			"": func(t *rapid.T) {
				var in io.Reader = bytes.NewReader(disk)
				if rapid.Bool().Draw(t, "in halves") {
					in = iotest.HalfReader(in)
				}
				var err error
				if l, err = Read(in); err != nil || len(l.Entries) != len(whole) {
					t.Fatalf("%v: %d entries of %d", err, len(l.Entries), len(whole))
				}
				if l.Bad != bad || l.Whole+int64(len(l.Torn)) != int64(len(disk)) {
					t.Fatalf("%d lines not read, want %d; %d bytes and %d of %d", l.Bad, bad, l.Whole, len(l.Torn), len(disk))
				}
				if all := append(slices.Clone(kept), l.Torn...); !bytes.Equal(all, bytes.Join(tails, nil)) {
					t.Fatalf("kept %q of %q", all, tails)
				}
			},
		})
		if !slices.EqualFunc(l.Entries, whole, func(a, b Entry) bool { return cmp.Equal(a, b, byValue) }) {
			t.Fatal(cmp.Diff(whole, l.Entries, byValue))
		}
	})
}

// TestLawCutAtEveryByte cuts a log after every byte. What is left is read up to
// its last whole line, and the rest is told, so that nothing of it is lost; after
// a newline, or cut back to what is whole, it takes the next entry.
func TestLawCutAtEveryByte(t *testing.T) {
	entries := []Entry{entryOf(begin, 12, nil), entryOf(begin+1, 3, nil), entryOf(begin+1, 7, nil)}
	entries[1].Order, entries[1].Instrument = "die Quinten \"rückwärts\"", "trumpet in B♭"
	entries[2].FailedKeys, entries[2].FirstTry = KeyList{0, 10}, true
	var log []byte
	var ends []int
	for _, e := range entries {
		log = append(log, line1(t, e)...)
		ends = append(ends, len(log))
	}
	next := line1(t, entries[0])
	for cut := range len(log) + 1 {
		whole, from := 0, 0 // entries, and where the line begins that is cut
		for n, end := range ends {
			if cut >= end-1 { // all but the newline is enough
				whole, from = n+1, min(end, cut)
			}
		}
		l, err := Read(bytes.NewReader(log[:cut]))
		if err != nil || l.Bad > 0 || !slices.EqualFunc(l.Entries, entries[:whole], func(a, b Entry) bool { return cmp.Equal(a, b, byValue) }) {
			t.Fatalf("cut after %d bytes: %v, %v", cut, err, cmp.Diff(entries[:whole], l.Entries, byValue))
		}
		if !bytes.Equal(l.Torn, log[from:cut]) || l.Whole != int64(from) || l.Unended != slices.Contains(ends, cut+1) {
			t.Fatalf("cut after %d bytes: %d whole and %q torn, unended %v", cut, l.Whole, l.Torn, l.Unended)
		}
		ended := slices.Clone(log[:cut])
		if l.Unended || l.Torn != nil {
			ended = append(ended, '\n')
		}
		back := log[:l.Whole:l.Whole]
		if l.Unended {
			back = append(back, '\n')
		}
		for what, mended := range map[string][]byte{"ended": ended, "cut back": back} {
			again, err := Read(bytes.NewReader(append(mended, next...)))
			if err != nil || len(again.Entries) != whole+1 || !cmp.Equal(again.Entries[whole], entries[0], byValue) || again.Torn != nil {
				t.Fatalf("cut after %d bytes and %s, it takes the next entry as %+v, %v", cut, what, again, err)
			}
			if lost := again.Bad; what == "ended" && lost != min(len(l.Torn), 1) || what == "cut back" && lost != 0 {
				t.Fatalf("cut after %d bytes and %s: %d lines are not read", cut, what, lost)
			}
		}
	}
}

func TestReadNamesBadLines(t *testing.T) {
	good := string(line1(t, entryOf(begin, 12, nil)))
	with := func(old, new string) string {
		if !strings.Contains(good, old) {
			t.Fatalf("%s is not in %s", old, good)
		}
		return strings.Replace(good, old, new, 1)
	}
	for _, c := range []struct{ line, want string }{
		{"nonsense\n", `entry "nonsense" at character 2: a line is one JSON object with the fields of an entry`},
		{"[1]\n", "a line is one JSON object"},
		{with(`"version":2`, `"version":4`), `version 4: the version is 1 to 3; the line was written by a newer program`},
		{with(`"version":2`, `"version":0`), `version 0: the version is 1 to 3`},
		{with(`"version":2`, `"version":-1`), `version -1: the version is 1 to 3`},
		{with(`2025-03-02`, `2025-02-29`), `"2025-02-29": a date is a day of the calendar`},
		{with(`2025-03-02`, `0000-02-29`), `"0000-02-29": a date is a day of the calendar`},
		{with(`2025-03-02`, `today`), `"today": a date is a day`},
		{with(`1 3 2 5`, `1 2 q`), `figure "1 2 q" at character 5: a degree`},
		{with(`1 3 2 5`, `1 r`), `figure "1 r" at character 3: a rest is 0`},
		{with(`1 3 2 5`, `0`), `figure 0: an entry has a figure with at least one note`},
		{with(`(0123456789TE)`, `(0123`), `route "(0123" at character 6: a closed`},
		{with(`(0123456789TE)`, ``), `keys: an entry has at least one key`},
		{with(`"C4"`, `"H4"`), `note "H4"`},
		{with(`constant orders`, `all`), `stage "all": it is one of few keys, constant orders, mixed rows`},
		{with(`"a bar"`, `"1/7"`), `rest "1/7": a rest is a length`},
		{with(`"tempo":80`, `"tempo":9`), `tempo 9: the tempo goes from 10 to 500`},
		{with(`"tempo":80`, `"tempo":"80"`), `tempo "string": it is not of the kind or the size`},
		{with(`"clean":12`, `"clean":14`), `clean 14: there are 0 to 13 clean statements`},
		{with(`"clean":12`, `"clean":-1`), `clean -1: there are 0 to 13 clean statements`},
		{with(`"statements":13`, `"statements":14`), `statements 14: with these keys there are 1 to 13 statements`},
		{with(`"statements":13`, `"statements":0`), `statements 0: with these keys`},
		{with(`"flute"`, `""`), `instrument: an instrument has a name`},
		{with(`"m2"`, `"`+strings.Repeat("m", 201)+`"`), `an order has a name of at most 200 bytes`},
		{with(`"version":2`, `"version":2,"minutes":241`), `minutes 241: an entry is of 0 to 240 minutes`},
		{with(`"version":2`, `"version":2,"failed_keys":"C"`), `pitch class "C"`},
		{with(`"version":2`, `"version":2,"failed_moves":"055"`), `move "055": a move is two different keys`},
		{with(`"version":2`, `"version":2,"failed_moves":"55"`), `move "55": a move is two different keys`},
		{with(`"m2"`, `"`+strings.Repeat("m", MaxLine)+`"`), `a line has at most 65536 bytes`},
	} {
		l, err := Read(strings.NewReader(good + "\n \n" + c.line + good))
		switch {
		case err != nil:
			t.Fatalf("%.80q: %v, %+v: an error", c.line, err, l)
		case len(l.Entries) != 2:
			t.Fatalf("%.80q: %v, %+v: %d entries, want 2", c.line, err, l, len(l.Entries))
		case l.Bad != 1:
			t.Fatalf("%.80q: %v, %+v: %d bad lines, want 1", c.line, err, l, l.Bad)
		case len(l.Problems) != 1:
			t.Fatalf("%.80q: %v, %+v: %d problems, want 1", c.line, err, l, len(l.Problems))
		case l.Torn != nil:
			t.Fatalf("%.80q: %v, %+v: a torn line", c.line, err, l)
		}
		if got := l.Problems[0].Error(); l.Problems[0].Line != 4 || !strings.HasPrefix(got, "line 4 is not read: ") || !strings.Contains(got, c.want) {
			t.Errorf("%s\nwant %s", got, c.want)
		}
		if errors.Unwrap(l.Problems[0]) == nil {
			t.Error("nothing to unwrap")
		}
		var e Entry
		if len(c.line) < MaxLine && e.UnmarshalJSON([]byte(c.line)) == nil {
			t.Errorf("%.80q is an entry", c.line)
		}
	}
}

// TestReadVersion1 reads lines of the first version, in which r was a rest and
// altered the scale with b4.
func TestReadVersion1(t *testing.T) {
	good := line1(t, entryOf(begin, 12, nil))
	for was, now := range map[string]string{
		"r 5 2:3 r:2,3-r|1":                         "0 5 2:3 0:2 3 0 | 1",
		"{2 r 7} r {5 r} 3 r{1}4":                   "{2 r 7} 0 {5 r} 3 0 {1} 4",
		"1 4 5 r in altered":                        "1 4 5 0 in super-locrian",
		"{1 7 in altered} 1 4 in altered by 1/16":   "{1 7 in altered} 1 4 in super-locrian by 1/16",
		"{1 7 in altered} 1 4":                      "{1 7 in altered} 1 4",
		"3 5 1:1/2 r:1/2 in harmonic minor by 1/16": "3 5 1:1/2 0:1/2 in harmonic minor by 1/16",
	} {
		old := strings.NewReplacer(`"version":2`, `"version":1`, "1 3 2 5", was).Replace(string(good))
		l, err := Read(strings.NewReader(old + string(good) + old))
		switch {
		case err != nil:
			t.Fatalf("%s: %v, %+v: an error", was, err, l.Problems)
		case l.Bad != 0:
			t.Fatalf("%s: %v, %+v: %d bad lines", was, err, l.Problems, l.Bad)
		case len(l.Entries) != 3:
			t.Fatalf("%s: %v, %+v: %d entries, want 3", was, err, l.Problems, len(l.Entries))
		}
		if got := l.Entries[2].Figure.Plain(); got != now {
			t.Errorf("%s is read as %s, want %s", was, got, now)
		}
		// what is written is of this version, and read again
		again := line1(t, l.Entries[0])
		if l, err := Read(bytes.NewReader(again)); err != nil || len(l.Entries) != 1 || !bytes.Contains(again, []byte(`{"version":2,`)) {
			t.Errorf("%s is written as %s, %v", was, again, err)
		}
	}
}

func TestReadBounds(t *testing.T) {
	good := line1(t, entryOf(begin, 12, nil))
	// More problems than are named.
	l, err := Read(strings.NewReader(strings.Repeat("x\n", 250) + string(good)))
	if err != nil || l.Bad != 250 || len(l.Problems) != maxProblems || len(l.Entries) != 1 {
		t.Errorf("%v, %d bad, %d named", err, l.Bad, len(l.Problems))
	}
	// A long tail is torn, and only so much of it is kept.
	long := string(good) + `{"version":1` + strings.Repeat(" ", 3*MaxLine)
	l, err = Read(strings.NewReader(long))
	if err != nil || len(l.Torn) != MaxLine || l.Whole != int64(len(good)) {
		t.Errorf("%v, %d bytes torn after %d", err, len(l.Torn), l.Whole)
	}
	// The longest line.
	longest := strings.TrimSuffix(string(good), "}\n")
	longest += strings.Repeat(" ", MaxLine-len(longest)-1) + "}\n"
	l, err = Read(strings.NewReader(longest + longest[:10] + " " + longest[10:]))
	if err != nil || len(l.Entries) != 1 || l.Bad != 1 || l.Whole != int64(2*len(longest)+1) {
		t.Errorf("%v, %d entries, %d bad", err, len(l.Entries), l.Bad)
	}
	// A whole line of a newer program without its newline is not torn.
	l, err = Read(strings.NewReader(string(good) + `{"version":4}`))
	switch {
	case err != nil:
		t.Errorf("%v, %+v: an error", err, l)
	case l.Bad != 1:
		t.Errorf("%v, %+v: %d bad lines, want 1", err, l, l.Bad)
	case l.Torn != nil:
		t.Errorf("%v, %+v: a torn line", err, l)
	case !l.Unended:
		t.Errorf("%v, %+v: the last line is ended", err, l)
	}
	// Blanks at the end need a newline, too.
	if l, _ = Read(strings.NewReader(string(good) + "  ")); !l.Unended || l.Torn != nil || l.Bad != 0 {
		t.Errorf("%+v", l)
	}
	// What was read before an error counts.
	l, err = Read(io.MultiReader(bytes.NewReader(good), iotest.ErrReader(errors.New("unplugged"))))
	switch {
	case err == nil:
		t.Errorf("%v, %+v: no error", err, l)
	case err.Error() != "unplugged":
		t.Errorf("%v, %+v: another error", err, l)
	case len(l.Entries) != 1:
		t.Errorf("%v, %+v: %d entries, want 1", err, l, len(l.Entries))
	}
}

// TestReadKeepsTheLastEntries: of a log with too many it is the oldest that are
// counted only, so that what was played today is read.
func TestReadKeepsTheLastEntries(t *testing.T) {
	const all = 23
	var text []byte
	for n := range all {
		text = append(text, line1(t, entryOf(begin, 12, func(e *Entry) { e.Tempo = 100 + n }))...)
	}
	for most := 1; most <= all+1; most++ {
		var l Log
		kept := min(most, all)
		if err := l.read(bytes.NewReader(text), most); err != nil || len(l.Entries) != kept || l.Bad != 0 || l.Older != all-kept {
			t.Fatalf("%v, %d entries, %v, %d older", err, len(l.Entries), l.Problems, l.Older)
		}
		for n, e := range l.Entries {
			if want := 100 + all - kept + n; e.Tempo != want {
				t.Fatalf("of %d entry %d has tempo %d, want %d", most, n, e.Tempo, want)
			}
		}
	}
}

// TestReadWhatOtherProgramsSave reads a log with the line ends and the byte
// order marks (U+FEFF, EF BB BF in UTF-8: RFC 3629, section 6) that editors
// leave.
func TestReadWhatOtherProgramsSave(t *testing.T) {
	var entries []Entry
	var log []byte
	for tempo := range 5 {
		entries = append(entries, entryOf(begin, 12, func(e *Entry) { e.Tempo = 60 + tempo }))
		log = append(log, line1(t, entries[tempo])...)
	}
	long := strings.Repeat("x", 3*MaxLine)
	for _, c := range []struct {
		what, text             string
		returns, bad           int
		marked, unended, crash bool
	}{
		{"as it is written", string(log), 0, 0, false, false, false},
		{"CR", strings.ReplaceAll(string(log), "\n", "\r"), 5, 0, false, false, false},
		{"CR LF", strings.ReplaceAll(string(log), "\n", "\r\n"), 5, 0, false, false, false},
		{"a mark", "\xef\xbb\xbf" + string(log), 0, 0, true, false, false},
		{"a mark and CR", "\xef\xbb\xbf" + strings.ReplaceAll(string(log), "\n", "\r"), 5, 0, true, false, false},
		{"a mark in the middle, of two files put together", strings.Replace(string(log), "\n", "\n\xef\xbb\xbf", 1), 0, 0, true, false, false},
		{"no end", strings.TrimSuffix(string(log), "\n"), 0, 0, false, true, false},
		{"CR, no end", strings.ReplaceAll(strings.TrimSuffix(string(log), "\n"), "\n", "\r"), 4, 0, false, true, false},
		{"CR after a long line", long + "\r" + strings.ReplaceAll(string(log), "\n", "\r"), 6, 1, false, false, false},
		{"CR LF after a long line", long + "\r\n" + string(log), 1, 1, false, false, false},
		{"CR before a long tail", strings.ReplaceAll(string(log), "\n", "\r") + long, 5, 0, false, false, true},
	} {
		for name, in := range map[string]io.Reader{"": strings.NewReader(c.text), " byte by byte": iotest.OneByteReader(strings.NewReader(c.text))} {
			l, err := Read(in)
			if err != nil || !cmp.Equal(l.Entries, entries, byValue) || l.Returns != c.returns || l.Bad != c.bad || l.Marked != c.marked || l.Unended != c.unended || (l.Torn != nil) != c.crash {
				t.Errorf("%s%s: %v, %d entries, returns %d, bad %d, marked %v, unended %v, torn %.20q", c.what, name, err, len(l.Entries), l.Returns, l.Bad, l.Marked, l.Unended, l.Torn)
			}
			if want := int64(len(c.text)); !c.crash && l.Whole != want || c.crash && l.Whole != int64(len(log)) {
				t.Errorf("%s%s: %d bytes of %d", c.what, name, l.Whole, want)
			}
		}
	}
	if l, _ := Read(strings.NewReader("x\r\ny\rz\n")); l.Bad != 3 || l.Problems[2].Line != 3 {
		t.Errorf("lines of all three ends: %v", l.Problems)
	}
}

// short writes less than it is given and says nothing.
type short struct{}

func (short) Write(p []byte) (int, error) { return len(p) - 1, nil }

func TestAppendEntryRefuses(t *testing.T) {
	for _, c := range []struct {
		change func(*Entry)
		want   string
	}{
		{func(e *Entry) { e.Date = maxDate + 1 }, `date 10000-01-01: a date lies in the years 1 to 9999`},
		{func(e *Entry) { e.Stage = 3 }, `stage "Stage(3)": it is one of few keys`},
		{func(e *Entry) { e.Block = -1 }, `block -1: a block of the plan is 1 to 1440, or 0 for none`},
		{func(e *Entry) { e.Rest = -2 }, `rest -1/96: the rest goes from none to 64 whole notes`},
		{func(e *Entry) { e.Order = "\xff" }, `order "\xff": an order has a name of at most 200 bytes of UTF-8`},
		{func(e *Entry) { e.Instrument = "\xff" }, `instrument "\xff": an instrument has a name of at most 200 bytes of UTF-8`},
		{func(e *Entry) { e.FailedKeys = []pitch.Class{12} }, `failed_keys 12: a key is 0 to 11`},
		{func(e *Entry) { e.FailedMoves = []cycle.Move{{From: 1, To: 13}} }, `failed_moves 1 to 13: a move is from one key, 0 to 11, to another`},
		{func(e *Entry) { e.First = math.MaxInt32 }, `first: `},
		{func(e *Entry) { e.Route = mustRoute(strings.Repeat("01", 32768)) }, `entry 65741 bytes: a line of a log has at most 65536 bytes`},
	} {
		var b bytes.Buffer
		e := entryOf(begin, 12, c.change)
		if err := AppendEntry(&b, e); err == nil || !strings.Contains(err.Error(), c.want) || b.Len() > 0 {
			t.Errorf("%v, %d bytes; want %s", err, b.Len(), c.want)
		}
	}
	if err := AppendEntry(short{}, entryOf(begin, 12, nil)); err != io.ErrShortWrite {
		t.Error(err)
	}
}

// TestEntryMoves has worked cases.
func TestEntryMoves(t *testing.T) {
	moves := func(e Entry) string {
		var text []string
		for m, clean := range e.Moves() {
			mark := ""
			if !clean {
				mark = "!"
			}
			text = append(text, m.From.String()+m.To.String()+mark)
		}
		return strings.Join(text, " ")
	}
	e := Entry{Route: mustRoute("(036)/11/59T"), Played: 9}
	if got := moves(e); got != "03 36 60 59 9T" {
		t.Error(got)
	}
	e.FailedKeys, e.FailedMoves = KeyList{6, 9}, MoveList{{From: 9, To: 10}, {From: 10, To: 9}}
	if got := moves(e); got != "03 36! 60 59! 9T!" {
		t.Error(got)
	}
	e.Played = 3 // stopped before the return
	if got := moves(e); got != "03 36!" {
		t.Error(got)
	}
	for range e.Moves() {
		break
	}
	other := e
	other.Instrument = "oboe"
	clean, failed := Log{Entries: []Entry{e, e, other}}.Tally("")
	if clean.String() != "03:2" || failed.String() != "36:2" {
		t.Errorf("%v, %v", clean, failed)
	}
}

// TestDates checks day numbers against the calendar. The days from the epoch
// are those of the Modified Julian Date, 40587 on 1 January 1970 and 51544 on
// 1 January 2000 (values from memory).
func TestDates(t *testing.T) {
	for text, want := range map[string]Date{
		"1970-01-01": 0, "2000-01-01": 51544 - 40587, "1969-12-31": -1, "2000-02-29": 51544 - 40587 + 59,
		"0001-01-01": minDate, "9999-12-31": maxDate, "2025-03-02": begin,
	} {
		d, err := ParseDate(text)
		if err != nil || d != want || d.String() != text {
			t.Errorf("%s is day %d, %v, %v", text, d, d, err)
		}
	}
	if d, _ := ParseDate("2000-01-01"); d.Weekday() != time.Saturday { // common knowledge
		t.Error(d.Weekday())
	}
	east := time.FixedZone("east", 14*60*60)
	if d := DateOf(time.Date(2000, 1, 1, 0, 30, 0, 0, east)); d != 10957 {
		t.Errorf("half past midnight in the east is on %v", d)
	}
	for _, text := range []string{"", "2025-3-2", "2025-03-02T00:00:00Z", "10000-01-01", "0000-12-31", "2025-02-30"} {
		var d Date
		var bad *fault.SyntaxError
		if err := d.UnmarshalText([]byte(text)); !errors.As(err, &bad) || bad.Input != text {
			t.Errorf("%q: %v", text, err)
		}
	}
	for _, d := range []Date{minDate - 1, maxDate + 1} {
		if text, err := d.MarshalText(); err == nil {
			t.Errorf("%s", text)
		}
	}
}

func TestLawDatesAndStagesRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := Date(rapid.Int32Range(minDate, maxDate).Draw(t, "date"))
		text, err := d.MarshalText()
		var back Date
		switch {
		case err != nil:
			t.Fatalf("%d: %s, %d, %v: no text", d, text, back, err)
		case back.UnmarshalText(text) != nil:
			t.Fatalf("%d: %s, %d, %v: the text is not read", d, text, back, err)
		case back != d:
			t.Fatalf("%d: %s, %d, %v: it is another", d, text, back, err)
		case DateOf(d.time()) != d:
			t.Fatalf("%d: %s, %d, %v: by its time it is %d", d, text, back, err, DateOf(d.time()))
		}
		next := (d + 1).time()
		if next.Sub(d.time()) != 24*time.Hour {
			t.Fatalf("the day after %v is %v", d, next)
		}
	})
	for s := StageFewKeys; s <= StageMixedRows; s++ {
		text, err := s.MarshalText()
		var back Stage
		if err != nil || back.UnmarshalText(bytes.ToUpper(text)) != nil || back != s {
			t.Errorf("%v: %s, %v, %v", s, text, back, err)
		}
	}
	if _, err := Stage(3).MarshalText(); err == nil || Stage(9).String() != "Stage(9)" {
		t.Errorf("%v, %v", err, Stage(9))
	}
}

func TestCautionsAreThere(t *testing.T) {
	all := strings.Join(Cautions(), "\n")
	for _, want := range []string{"Warm up", "half hour", "sudden rise", "Stop on pain", "qualified professional", "85 dBA", "not medical advice"} {
		if !strings.Contains(all, want) {
			t.Errorf("no %q in %s", want, all)
		}
	}
}

// lifetime is a log of so many entries, forty a day.
func lifetime(n int) ([]byte, Settings) {
	s := Settings{Ideas: ideas("1 3 2 5", "4 2 5 1:2 in dorian", "1 6 5 7:2 in mixolydian", "5 2 3 1"), Instrument: find("flute"), Stage: StageConstantOrders}
	var b bytes.Buffer
	for i := range n {
		o, name := constant(i%11 + 1)
		s.Date = begin + Date(i/40)
		e := entryOf(s.Date, 10+i%4, func(e *Entry) {
			e.Order, e.Route, e.Figure = name, o.Closed(), s.Ideas[i%4].Figure
			e.Played = e.Route.Len()
			e.Minutes = 2
			if e.Clean < 12 {
				e.FailedMoves = []cycle.Move{{From: pitch.Class(i % 12), To: pitch.Class(i+1+i%11) % 12}}
			}
		})
		if e.FailedMoves != nil && e.FailedMoves[0].From == e.FailedMoves[0].To {
			e.FailedMoves = nil
		}
		if err := AppendEntry(&b, e); err != nil {
			panic(err)
		}
	}
	s.Date++
	return b.Bytes(), s
}

// readJSON reads the lines of a log as JSON and does nothing with them.
func readJSON(t testing.TB, text []byte) {
	for _, one := range bytes.Split(text, []byte("\n")) {
		var l line
		if len(one) > 0 && json.Unmarshal(one, &l) != nil {
			t.Fatal("no line")
		}
	}
}

var entries = flag.Int("entries", 5000, "the entries of a long life")

// TestLawALongLifeIsLinear holds the work of reading a log and planning a day,
// and not the seconds, against that of a tenth of the log and of reading the
// same lines as JSON alone. Of the times, which are of a machine that is busy
// with others, the best of several count, and only against each other.
func TestLawALongLifeIsLinear(t *testing.T) {
	plan := func(text []byte, s Settings) {
		l, err := Read(bytes.NewReader(text))
		if err != nil || l.Bad > 0 {
			t.Fatal(err, l.Problems)
		}
		if _, err := NewPlan(s, l); err != nil {
			t.Fatal(err)
		}
	}
	text, s := lifetime(*entries)
	shortText, shortS := lifetime(*entries / 10)
	long := testing.AllocsPerRun(1, func() { plan(text, s) })
	short := testing.AllocsPerRun(1, func() { plan(shortText, shortS) })
	plain := testing.AllocsPerRun(1, func() { readJSON(t, text) })
	t.Logf("%d entries: %.0f allocations, of a tenth %.0f, as JSON alone %.0f", *entries, long, short, plain)
	if long > 11*short || long > 2*plain {
		t.Errorf("%d entries take %.0f allocations, a tenth of them %.0f, as JSON alone %.0f", *entries, long, short, plain)
	}
	best, bestShort := time.Duration(math.MaxInt64), time.Duration(math.MaxInt64)
	for range 20 {
		began := time.Now()
		plan(shortText, shortS)
		bestShort = min(bestShort, time.Since(began))
		began = time.Now()
		plan(text, s)
		if best = min(best, time.Since(began)); best < 30*bestShort {
			t.Logf("%v, of a tenth %v", best, bestShort)
			return
		}
	}
	t.Errorf("ten times the entries take %v, and not %v", best, bestShort)
}

func BenchmarkReadAndPlan(b *testing.B) {
	for _, n := range []int{1000, 10_000, 100_000} {
		text, s := lifetime(n)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			b.SetBytes(int64(len(text)))
			b.ReportAllocs()
			for range b.N {
				l, err := Read(bytes.NewReader(text))
				if err != nil {
					b.Fatal(err)
				}
				if _, err := NewPlan(s, l); err != nil {
					b.Fatal(err)
				}
			}
		})
		b.Run(fmt.Sprint(n, "/plain JSON"), func(b *testing.B) {
			b.SetBytes(int64(len(text)))
			for range b.N {
				readJSON(b, text)
			}
		})
	}
}

func FuzzRead(f *testing.F) {
	good := line1(f, entryOf(begin, 12, nil))
	f.Add(good)
	f.Add(append(slices.Clone(good), good[:40]...))
	f.Add([]byte("{}\n\n \nnull\n{\"version\":4}\n"))
	f.Add([]byte(`{"version":1,"date":"2025-03-02","figure":"1","keys":"0","instrument":"x","first":"C4","stage":"few keys","tempo":80,"rest":"none","clean":1,"statements":1,"failed_keys":"0 T","failed_moves":"05 5E"}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		l, err := Read(bytes.NewReader(data))
		if err != nil {
			t.Fatal(err)
		}
		if l.Whole+int64(len(l.Torn)) != int64(len(data)) && len(l.Torn) < MaxLine {
			t.Fatalf("%d and %d of %d bytes", l.Whole, len(l.Torn), len(data))
		}
		var b bytes.Buffer
		for _, e := range l.Entries {
			if err := AppendEntry(&b, e); err != nil && !strings.Contains(err.Error(), "at most 65536 bytes") && !strings.Contains(err.Error(), "UTF-8") {
				t.Fatalf("an entry that was read is not written: %v", err)
			} else if err != nil {
				return
			}
		}
		again, err := Read(&b)
		if err != nil || again.Bad > 0 || !slices.EqualFunc(l.Entries, again.Entries, func(a, b Entry) bool { return cmp.Equal(a, b, byValue) }) {
			t.Fatalf("%v: %s", err, cmp.Diff(l.Entries, again.Entries, byValue))
		}
	})
}

func FuzzPlan(f *testing.F) {
	good := line1(f, entryOf(begin-1, 12, nil))
	f.Add("1 3 2 5\n5 3 4 in dorian", "C4", "C6", int32(begin), 15, uint8(1), uint64(1), uint8(0), 80, good)
	f.Add("1 8 15", "E2", "E3", int32(begin), 240, uint8(2), uint64(9), uint8(2), 10, []byte{})
	f.Add("1:64 by 1\n1", "C4", "D4", int32(begin), 1, uint8(0), uint64(7), uint8(2), 500, good[:30])
	f.Fuzz(func(t *testing.T, figures, low, high string, date int32, minutes int, stage uint8, seed uint64, family uint8, tempo int, log []byte) {
		l, err := Read(bytes.NewReader(log))
		if err != nil {
			t.Fatal(err)
		}
		s := Settings{Date: Date(date), Minutes: minutes, Stage: Stage(stage), Seed: seed}
		for _, text := range strings.Split(figures, "\n") {
			fig, err := figure.Parse(text)
			if err != nil {
				return
			}
			s.Ideas = append(s.Ideas, Idea{Figure: fig, Tempo: tempo})
		}
		from, err1 := spelling.Parse(low)
		to, err2 := spelling.Parse(high)
		if err1 != nil || err2 != nil {
			return
		}
		s.Instrument = drill.Instrument{Name: "flute", Low: from, High: to, Family: drill.Family(family % 5)}
		p, err := NewPlan(s, l)
		if err != nil {
			return
		}
		checkPlan(t, p)
	})
}

func FuzzParseLists(f *testing.F) {
	for _, text := range []string{"", "4 T", "14 9T", "te  0", "2025-03-02", "0000-02-29", "9999-12-31", "00", "few keys"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		var keys, keysAgain KeyList
		if keys.UnmarshalText([]byte(text)) == nil {
			if err := keysAgain.UnmarshalText([]byte(keys.String())); err != nil || !slices.Equal(keys, keysAgain) {
				t.Errorf("%q is read as %v, that as %v, %v", text, keys, keysAgain, err)
			}
		}
		var moves, movesAgain MoveList
		if moves.UnmarshalText([]byte(text)) == nil {
			if err := movesAgain.UnmarshalText([]byte(moves.String())); err != nil || !slices.Equal(moves, movesAgain) {
				t.Errorf("%q is read as %v, that as %v, %v", text, moves, movesAgain, err)
			}
		}
		if d, err := ParseDate(text); err == nil && d.String() != text {
			t.Errorf("%q is the date %v", text, d)
		}
	})
}
