package main

import (
	"fmt"
	"html"
	"io"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/notation"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/pitch"
	"pgregory.net/rapid"
)

var (
	overChanges  = []string{"3 5 1 6 over 2-5-1", "3 5 1:2 in dorian over {2 m7}:6 {5 7b9} {1 maj7}:8"}
	sheetFigures = append([]string{"", "3 5 1 6", "5 2 b3:2 1", "1 4 b3:2 b7 in dorian", "v5 | 0 3 2:2", "v6 v7 | 2 4+6 1:5", "5 3:3/2 2:1/2 0:2", "n7 4:12", "2 #4:24"}, overChanges...)
)

// anySheet draws flags as a player may give them, until they make a sheet.
func anySheet(t *rapid.T) *sheet {
	return anySheetOf(t, sheetFigures, func(*sheet) bool { return true })
}

// anySheetOf draws sheets of some figures, "" for the default, until one is as wanted.
func anySheetOf(t *rapid.T, figures []string, wanted func(*sheet) bool) *sheet {
	for try := 0; ; try++ {
		var args []string
		flag := func(name string, values ...string) {
			if v := rapid.SampledFrom(append(values, "")).Draw(t, name); v != "" {
				args = append(args, "-"+name, v)
			}
		}
		if f := rapid.SampledFrom(figures).Draw(t, "figure"); f != "" {
			args = append(args, "-figure", f)
		}
		flag("for", "flute", "trumpet", "horn, flute", "alto sax, cello, tenor voice", "tenor voice", "oboe Bb3-C6, trumpet", "flute F4-E5, trumpet")
		if rapid.Bool().Draw(t, "few keys") {
			flag("keys", "Bb Eb F Ab", "F#", "C Db C", "A E")
			if rapid.IntRange(0, 3).Draw(t, "blues") == 0 {
				args = append(args, "-figure", "3 1 5 over blues")
			}
		} else {
			flag("orders", "m3", "wedge", "-P4", "M2 wedge", "everymove", "signs A4", "P1", "P4,-m3 balanced", "147T/0369/258E", "01/3456/2789TE", "shuffle:3 m2")
			flag("from", "Eb", "D")
		}
		flag("close", "held", "full", "open")
		flag("pad", "bar", "beat", "run")
		flag("rest", "0", "1", "2")
		flag("meter", "4/4", "3/4", "6/8", "3+2/8", "2/2")
		flag("sound", "click", "answer", "model")
		flag("vary", "retrograde", "rotation 1; octave up 1")
		if over := slices.ContainsFunc(args, func(a string) bool { return strings.Contains(a, " over ") }); over {
			flag("bass", "walking", "roots and fifths")
			flag("chords", "2 and 4", "whole notes")
		}
		if rapid.IntRange(0, 3).Draw(t, "drone") == 0 {
			args = append(args, "-drone")
			flag("rests", "keep time", "dominant")
		}
		flag("free", "1", "3")
		flag("clicks", "first beat", "2 and 4")
		flag("drop", "1", "2", "3")
		for _, name := range []string{"-leave-out", "-leave-out", "-written", "-concert", "-near", "-easy", "-theory"} {
			if rapid.IntRange(0, 3).Draw(t, name) == 0 {
				args = append(args, name)
			}
		}
		o, err := parseFlags(args, io.Discard)
		if err != nil {
			t.Fatal(err)
		}
		if s, err := newSheet(o, io.Discard); err == nil && wanted(s) {
			t.Log(strings.Join(args, " "))
			return s
		}
		if try > 100 {
			t.Fatal("no sheet in a hundred")
		}
	}
}

// sections returns the statements of a drill by section.
func sections(d *drill.Drill, part int) (all [][]drill.Statement) {
	last := -1
	for st := range d.Parts()[part].Statements() {
		if st.Section != last {
			all = append(all, nil)
		}
		last = st.Section
		all[len(all)-1] = append(all[len(all)-1], st)
	}
	return all
}

// TestLawWords holds what the sheet says to what its drills play.
func TestLawWords(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anySheet(t)
		how := s.how(true)
		checkEnds(t, s, how[1])
		checkRests(t, s, how[0])
		checkEach(t, s)
		checkHeadings(t, s)
		checkSounds(t, s)
		checkText(t, s)
	})
}

// checkEnds: what is said of the way back happens where it is said to.
func checkEnds(t *rapid.T, s *sheet, says string) {
	back, stay, held, once := 0, 0, 0, 0
	for _, d := range s.drills {
		for _, sec := range sections(d, 0) {
			switch last := sec[len(sec)-1]; {
			case last.Held:
				back, held = back+1, held+1
			case last.Return:
				back, once = back+1, once+1
			default:
				stay++
			}
		}
	}
	for words, happens := range map[string]bool{
		"of each cycle":     back > 0 && stay == 0,
		"Where it says":     back > 0 && stay > 0,
		"end on their last": back > 0 && stay > 0,
		"go back to":        true, // or not
		"Do not":            back == 0,
		"hold":              held > 0,
		"once more":         once > 0,
	} {
		if strings.Contains(says, words) != happens {
			t.Fatalf("%q: %d sections go back, %d held, and %d end on their last key", says, back, held, stay)
		}
	}
}

// playedIn returns when a statement begins and ends to sound, counted from the
// beginning of the drill, from what one of the parts plays.
func playedIn(s *sheet, d *drill.Drill, index int) (begin, end figure.Length, ok bool) {
	for p := range s.parts {
		for st := range d.Parts()[p].Statements() {
			if st.Index != index || st.Rests {
				continue
			}
			for n, e := range st.Events() {
				if n == 0 {
					begin = st.Onset + e.Onset
				}
				end = max(end, st.Onset+e.Onset+e.Length)
			}
			return begin, end, true
		}
	}
	return 0, 0, false
}

// checkRests: the rest that is promised is there after each key.
func checkRests(t *rapid.T, s *sheet, says string) {
	m := s.settings.Meter
	for _, d := range s.drills {
		for n := 1; n < d.Len(); n++ {
			_, end, ok := playedIn(s, d, n-1)
			begin, _, also := playedIn(s, d, n)
			if !ok || !also {
				continue
			}
			rest := begin - end
			switch {
			case strings.Contains(says, "no rest") && rest != 0,
				strings.Contains(says, "at least") && rest < lengthIn(t, says, "at least (.*) of rest", m),
				strings.Contains(says, "at most") && rest > lengthIn(t, says, "between the keys (.*) of rest", m),
				!strings.Contains(says, "rest"):
				t.Fatalf("%q: after key %d come %v of rest", says, n, rest)
			}
		}
	}
}

// lengthIn reads a length, as the sheet says one, from its words.
func lengthIn(t *rapid.T, says, pattern string, m drill.Meter) (l figure.Length) {
	found := regexp.MustCompile(pattern).FindStringSubmatch(says)
	if found == nil {
		t.Fatalf("%q says no length", says)
	}
	for _, part := range strings.Split(found[1], " and ") {
		number, unit, _ := strings.Cut(part, " ")
		if strings.HasPrefix(unit, "of a whole") {
			one, err := figure.ParseLength(number)
			if err != nil {
				t.Fatalf("%q: %v", says, err)
			}
			l += one
			continue
		}
		n, err := strconv.Atoi(number)
		one := map[string]figure.Length{"bar": m.Bar(), "quarter": figure.Quarter, "eighth": figure.Eighth, "sixteenth": figure.Sixteenth}[strings.TrimSuffix(unit, "s")]
		if err != nil || one == 0 {
			t.Fatalf("%q: what is %q?", says, part)
		}
		l += figure.Length(n) * one
	}
	return l
}

// checkEach: from key to key it is as long as is said.
func checkEach(t *rapid.T, s *sheet) {
	says, m := s.each(), s.settings.Meter
	var least, most figure.Length
	switch {
	case strings.Contains(says, " of rest"):
		least = lengthIn(t, says, "^(.*) a key", m) + lengthIn(t, says, "key and (.*) of rest", m)
		most = least
	case strings.Contains(says, " a key"):
		least = lengthIn(t, says, "^(.*) a key", m)
		most = least
	case strings.Contains(says, " to ") && strings.Count(says, " to ") > 1:
		least, most = lengthIn(t, says, "^(.*?) to ", m), lengthIn(t, says, "^.*? to (.*) from key", m)
	default:
		least = lengthIn(t, says, "^(.*) from key to key", m)
		most = least
	}
	for _, d := range s.drills {
		for _, sec := range sections(d, 0) {
			for n, st := range sec {
				ends := n+1 == len(sec) && s.settings.Padding != drill.PaddingBar // filled up to the bar
				if !st.Held && !ends && (st.Length < least || st.Length > most) {
					t.Fatalf("%q: statement %d lasts %v", says, st.Index, st.Length)
				}
			}
		}
	}
}

// checkHeadings: the runs of keys and the keys in each are as many as is said.
func checkHeadings(t *rapid.T, s *sheet) {
	count := regexp.MustCompile(`: (\d+) (cycle|run)s? of (\d+) keys?( in all)?[;.]`)
	for n, o := range s.orders {
		says := s.heading(o, s.drills[n])
		if less := strings.Contains(says, "less the keys left out"); less != (s.drills[n].Parts()[0].LeftOut() != nil && len(s.parts) == 1) {
			t.Fatalf("%q: left out are %v", says, s.drills[n].Parts()[0].LeftOut())
		}
		found := count.FindStringSubmatch(says)
		if found == nil {
			if o.Order.IsValid() {
				t.Fatalf("%q counts no keys", says)
			}
			continue
		}
		secs := sections(s.drills[n], 0)
		all := 0
		for _, sec := range secs {
			keys := len(sec)
			if sec[keys-1].Return {
				keys--
			}
			if all += keys; found[4] == "" && strconv.Itoa(keys) != found[3] {
				t.Fatalf("%q: a section of %d", says, keys)
			}
			if found[2] == "run" && sec[len(sec)-1].Return {
				t.Fatalf("%q: a section goes back", says)
			}
		}
		if strconv.Itoa(len(secs)) != found[1] || found[4] != "" && strconv.Itoa(all) != found[3] {
			t.Fatalf("%q: %d sections, %d keys", says, len(secs), all)
		}
	}
}

// checkSounds: what is said to be heard in each section is heard there, in the
// notes of a part that plays all of it.
func checkSounds(t *rapid.T, s *sheet) {
	for n, o := range s.orders {
		says := s.sounds(o, s.drills[n])
		if says == "" {
			continue
		}
		for p := range s.parts {
			if p > 0 && s.written {
				break // the keys are those of the first part
			}
			for k, sec := range sections(s.drills[n], p) {
				var heard pitch.Set // as the keys of the sheet count
				for _, st := range sec {
					if st.Rests {
						heard = 0
						break
					}
					for _, e := range st.Events() {
						shift := int(s.key(st).Class()) - int(st.Written.Number().Class())
						heard |= pitch.SetOf(e.Note.Number().Class().T(shift))
					}
				}
				if heard == 0 {
					continue
				}
				said := regexp.MustCompile(`figure: (?:(\d+) (?:different )?notes(?:, ([0-9TE]+) |\.$)|(?:the same notes as the )?(.*?)(?: on .*)?\.$)`).FindStringSubmatch(says)
				switch {
				case said == nil,
					said[3] != "all twelve notes" && !s.theory && said[1] == "",
					said[1] != "" && said[1] != strconv.Itoa(heard.Len()),
					said[2] != "" && k == 0 && said[2] != heard.String(),
					said[3] == "all twelve notes" && heard != pitch.Aggregate,
					said[3] != "" && said[3] != "all twelve notes" && said[3] != heard.Name():
					t.Fatalf("%q: in section %d is heard %v, %s", says, k, heard, heard.Name())
				}
			}
		}
	}
}

// checkText: the sheet shows the figure in the first key that is played, the
// keys as they are played, and says whose range it is.
func checkText(t *rapid.T, s *sheet) {
	var b strings.Builder
	if err := s.writeText(&b, false); err != nil {
		t.Fatal(err)
	}
	text := b.String()
	var keys []string
	for _, d := range s.drills {
		for _, sec := range sections(d, 0) {
			for _, st := range sec {
				if st.Return {
					keys = append(keys, "back to")
				}
				keys = append(keys, s.name(s.key(st)))
			}
		}
	}
	_, first, _ := strings.Cut(text, "\nin ")
	if !strings.HasPrefix(first, keys[0]+" ") {
		t.Fatalf("the first key is %s:\n%s", keys[0], text)
	}
	var shown []string
	for _, line := range strings.Split(text, "\n") {
		if strings.HasPrefix(line, "  concert") {
			break // what each part reads
		}
		if strings.HasPrefix(line, "  in ") || strings.HasPrefix(line, "    ") {
			continue // the changes of a key
		}
		if strings.HasPrefix(line, "  ") {
			shown = append(shown, strings.Fields(strings.ReplaceAll(line, "back to", "back\u00a0to"))...)
		}
	}
	if got, want := strings.Join(shown, " "), strings.Join(keys, " "); strings.ReplaceAll(got, "\u00a0", " ") != want {
		t.Fatalf("shown are %s\nplayed   %s\n%s", got, want, text)
	}
	for _, i := range s.parts {
		if range_ := fmt.Sprintf("%s (%v to %v)", i.Name, i.Low, i.High); s.named && !strings.Contains(text, range_) {
			t.Fatalf("%s is not on the sheet:\n%s", range_, text)
		}
	}
	if len(s.parts) > 1 {
		checkCalls(t, s)
	}
}

// checkCalls: a class finds every key that is played in its table.
func checkCalls(t interface{ Fatalf(string, ...any) }, s *sheet) {
	rows := s.calls()
	for _, d := range s.drills {
		for p := range s.parts {
			for st := range d.Parts()[p].Statements() {
				want := s.name(st.Written.Name())
				if st.Rests {
					want = "rests"
				}
				key := s.name(st.Sounding.Name())
				if !slices.ContainsFunc(rows, func(r []string) bool { return r[0] == key && len(r) == len(s.parts)+1 && r[p+1] == want }) {
					t.Fatalf("%s plays concert %s as %s, and the table has %v", s.parts[p].Name, key, want, rows)
				}
			}
		}
	}
}

// TestLawPageSaysWhoseStaff: where a part reads other keys than the sheet's, or
// there are several, the page says whose staff it shows and in which key it is;
// the circle has as many lines as are played.
func TestLawPageSaysWhoseStaff(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anySheet(t)
		s.playback.Mode = playback.ModeClick // which needs no rest
		score, err := notation.New(s.drills, notation.Options{})
		if err != nil {
			t.Fatal(err)
		}
		p, err := s.page(pen{score: score, shown: score, answers: true}, make([]string, len(s.orders)), nil)
		if err != nil {
			t.Fatal(err)
		}
		found := regexp.MustCompile(`the staff is as the (.*) reads it, in (\S*?)(;|$)`).FindStringSubmatch(p.Reader)
		if transposes := s.parts[0].Sounding != 0; (found != nil) != (transposes || len(s.parts) > 1) {
			t.Fatalf("%d parts, the first sounds %v: %q", len(s.parts), s.parts[0].Sounding, p.Reader)
		}
		if found == nil {
			return
		}
		for part := range s.parts {
			st := first(s.drills[0].Parts()[part].Statements())
			if s.parts[part].Name != found[1] {
				continue
			}
			if st.Rests != strings.Contains(p.Reader, "it rests in this key") || s.name(st.Written.Name()) != found[2] || !strings.Contains(html.UnescapeString(string(p.Staff[0])), "<title>"+found[1]) {
				t.Fatalf("%q: it reads %v, rests %v\n%.300s", p.Reader, st.Written, st.Rests, p.Staff)
			}
			return
		}
		t.Fatalf("%q: no such part", p.Reader)
	})
}

// A scale that is said to name the keys without double sharps or flats does, and leaves
// the notes as they are.
func TestScaleThatNamesKeys(t *testing.T) {
	said := regexp.MustCompile(`-scale "([^"]+)" names`)
	for text, want := range map[string]string{
		"3 5 1 6 over minor 2-5-1": "", "3 5 1 6 over minor blues": "", "1 b3 5 1 over minor 2-5-1": "natural minor",
		"1 4 b3 b7": "dorian", "b3 5 1 6 over {1 m7}": "dorian", "b3 {2 m7} 4 b6 b2": "", "5 2 b3:2 1 over 1-6-2-5 with 7b9": "bebop dorian",
	} {
		s := parsed(t, "-figure", text, "-orders", "P4")
		hints := strings.Join(s.hints(), " ")
		if !strings.Contains(hints, "Double sharps or flats") {
			t.Errorf("%s has no doubles: %s", text, hints)
		}
		scale := ""
		if m := said.FindStringSubmatch(hints); m != nil {
			scale = m[1]
		}
		if scale != want {
			t.Errorf("%s: the scale %q is said, want %q", text, scale, want)
		}
		if scale == "" {
			continue
		}
		other := parsed(t, "-figure", text, "-orders", "P4", "-scale", scale)
		if a, b := s.figure.AppendNotes(nil, 0), other.figure.AppendNotes(nil, 0); !slices.Equal(a, b) {
			t.Errorf("%s in %s has the notes %v, before %v", text, scale, b, a)
		}
		if hints := strings.Join(other.hints(), " "); strings.Contains(hints, "Double sharps or flats") {
			t.Errorf("%s in %s: %s", text, scale, hints)
		}
	}
}

func parsed(t *testing.T, args ...string) *sheet {
	t.Helper()
	o, err := parseFlags(append(args, "-level", "full"), io.Discard)
	if err != nil {
		t.Fatal(err)
	}
	s, err := newSheet(o, io.Discard)
	if err != nil {
		t.Fatal(err)
	}
	return s
}
