package drill_test

import (
	"encoding"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	. "example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/figuretest"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// textChoice is a choice with its text forms.
type textChoice[C any] interface {
	*C
	encoding.TextMarshaler
	encoding.TextUnmarshaler
	fmt.Stringer
}

func checkChoice[C ~uint8, P textChoice[C]](t *testing.T, names ...string) {
	t.Helper()
	for n := range 256 {
		c, got := C(n), C(n+1)
		text, err := P(&c).MarshalText()
		var e *fault.ValueError
		if n >= len(names) {
			switch {
			case !errors.As(err, &e):
				t.Errorf("%T %d has the text %q, %v: no such error", c, n, text, err)
			case !strings.Contains(err.Error(), names[0]):
				t.Errorf("%T %d has the text %q, %v: it does not list the choices", c, n, text, err)
			case P(&c).String() != fmt.Sprintf("%s(%d)", strings.TrimPrefix(fmt.Sprintf("%T", c), "drill."), n):
				t.Errorf("%T %d has the text %q, %v: it prints as %s", c, n, text, err, P(&c))
			}
			continue
		}
		switch {
		case err != nil:
			t.Errorf("%T %d has the text %q, %v, want %q: an error", c, n, text, err, names[n])
		case string(text) != names[n]:
			t.Errorf("%T %d has the text %q, %v, want %q: another text", c, n, text, err, names[n])
		case P(&c).String() != names[n]:
			t.Errorf("%T %d has the text %q, %v, want %q: it prints as %s", c, n, text, err, names[n], P(&c))
		}
		if err := P(&got).UnmarshalText([]byte(strings.ToUpper(names[n]))); err != nil || got != c {
			t.Errorf("%q is %v, %v", names[n], got, err)
		}
	}
	c := C(1)
	for _, text := range []string{"", "x", names[0] + " ", "1"} {
		var e *fault.SyntaxError
		switch err := P(&c).UnmarshalText([]byte(text)); {
		case !errors.As(err, &e):
			t.Errorf("%q is %v, %v: no such error", text, c, err)
		case e.Input != text:
			t.Errorf("%q is %v, %v: it quotes %q", text, c, err, e.Input)
		case !strings.Contains(e.Want, strings.Join(names, ", ")):
			t.Errorf("%q is %v, %v: it does not list %q", text, c, err, names)
		case c != 1:
			t.Errorf("%q is %v, %v: the value has changed", text, c, err)
		}
	}
}

func TestLawChoicesFormatThenParse(t *testing.T) {
	checkChoice[Closing](t, "held", "full", "open")
	checkChoice[Path](t, "follow", "near")
	checkChoice[Padding](t, "bar", "beat", "run on")
	checkChoice[Reading](t, "usual", "written", "concert")
	checkChoice[Articulation](t, "tongued", "slurred", "slurred in twos")
	checkChoice[Accents](t, "none", "groups", "beats")
	checkChoice[Clef](t, "treble", "bass", "alto", "octave treble", "tenor")
	checkChoice[Level](t, "comfortable", "first years", "full", "six notes", "grade 0.5", "grade 1", "grade 1.5", "grade 2", "middle school", "high school")
	checkChoice[Family](t, "other", "woodwind", "brass", "strings", "voice")
}

func TestLawRestFormatThenParse(t *testing.T) {
	for r := NoRest; r <= Rest(figure.MaxLength); r++ {
		text, err := r.MarshalText()
		got := r + 1
		if err == nil {
			err = got.UnmarshalText(text)
		}
		if err != nil || got != r {
			t.Fatalf("rest %d has the text %q, which is %d, %v", r, text, got, err)
		}
	}
	for text, want := range map[string]Rest{"a bar": 0, "none": NoRest, "0": NoRest, "1/2": Rest(figure.Half), "64": Rest(figure.MaxLength), "1/192": 1} {
		var r Rest
		if err := r.UnmarshalText([]byte(text)); err != nil || r != want {
			t.Errorf("%q is %d, %v", text, r, err)
		}
	}
	for _, text := range []string{"", "-1/2", "-1/192", "65", "1/7", "bar", "999999999999", "1/0"} {
		r := Rest(5)
		var e *fault.SyntaxError
		if err := r.UnmarshalText([]byte(text)); !errors.As(err, &e) || e.Input != text || r != 5 {
			t.Errorf("%q is %d, %v", text, r, err)
		}
	}
}

// TestLawSettingsInJSON: settings read back from JSON make the same drill, and
// the same JSON.
func TestLawSettingsInJSON(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawn(figuretest.Settings).Draw(t, "settings")
		s.Title = rapid.String().Draw(t, "title")
		s.Parts[0].Clef, s.Parts[0].Family = Clef(rapid.IntRange(0, 3).Draw(t, "clef")), Family(rapid.IntRange(0, 4).Draw(t, "family"))
		text, err := json.Marshal(s)
		if err != nil {
			t.Fatal(err)
		}
		var got Settings
		if err := json.Unmarshal(text, &got); err != nil {
			t.Fatalf("%s: %v", text, err)
		}
		if diff := cmp.Diff(s, got, cmp.Comparer(func(a, b Meter) bool { return a == b })); diff != "" {
			t.Fatalf("%s: %s", text, diff)
		}
		a, b := newDrill(t, s), newDrill(t, got)
		for p := range a.Parts() {
			if diff := cmp.Diff(statementsOf(a, p), statementsOf(b, p), sameStatement); diff != "" {
				t.Fatalf("%s makes another drill: %s", text, diff)
			}
		}
	})
	// what is zero may be left out
	var s Settings
	if err := json.Unmarshal([]byte(`{"figure":"1 3 5","route":"(0369)","parts":[{"low":"C4","high":"C6"}]}`), &s); err != nil {
		t.Fatal(err)
	}
	d := newDrill(t, s)
	switch {
	case s.Rest != 0:
		t.Errorf("%+v: the rest is not zero as it was read", d.Settings())
	case s.Tempo != 0:
		t.Errorf("%+v: the tempo is not zero as it was read", d.Settings())
	case s.Meter != (Meter{}):
		t.Errorf("%+v: the meter is not zero as it was read", d.Settings())
	case d.Settings().Tempo != 80:
		t.Errorf("%+v: the tempo of the drill is not 80", d.Settings())
	case d.Settings().Rest != Rest(figure.Whole):
		t.Errorf("%+v: the rest of the drill is not a bar", d.Settings())
	case d.Len() != 5:
		t.Errorf("%+v: %d statements, want 5", d.Settings(), d.Len())
	}
	for _, bad := range []string{
		`{"figure":"1 h"}`, `{"route":"(0"}`, `{"meter":"4/5"}`, `{"rest":"-1"}`, `{"closing":"ajar"}`, `{"path":"far"}`, `{"padding":1}`,
		`{"policy":"hard"}`, `{"prefer":["H"]}`, `{"parts":[{"clef":"soprano"}]}`, `{"parts":[{"low":"C"}]}`, `{"parts":[{"sounding":"P2"}]}`, `{"parts":[{"program":300}]}`,
	} {
		if err := json.Unmarshal([]byte(bad), new(Settings)); err == nil {
			t.Errorf("%s is taken", bad)
		}
	}
}

// TestLawStatementInJSON reads the JSON of statements as another program
// would, and finds in it what the statement has.
func TestLawStatementInJSON(t *testing.T) {
	type statement struct {
		Index     int                `json:"index"`
		Section   int                `json:"section"`
		Onset     figure.Length      `json:"onset"`
		Length    figure.Length      `json:"length"`
		Written   spelling.Note      `json:"written"`
		Sounding  spelling.Note      `json:"sounding"`
		Join      *interval.Interval `json:"join"`
		Return    bool               `json:"return"`
		Held      bool               `json:"held"`
		Rests     bool               `json:"rests"`
		Respelled bool               `json:"respelled"`
		Notes     []struct {
			Onset  figure.Length `json:"onset"`
			Length figure.Length `json:"length"`
			Note   spelling.Note `json:"note"`
			Key    pitch.Number  `json:"key"`
			Index  int           `json:"index"`
			Slur   string        `json:"slur"`
			Accent bool          `json:"accent"`
		} `json:"notes"`
		Chords []struct {
			Onset  figure.Length `json:"onset"`
			Root   spelling.Name `json:"root"`
			Suffix string        `json:"suffix"`
		} `json:"chords"`
	}
	everyStatement(t, func(t *rapid.T, d *Drill, part int, s Statement) {
		text, err := json.Marshal(s)
		if err != nil {
			t.Fatal(err)
		}
		var got statement
		read := json.NewDecoder(strings.NewReader(string(text)))
		read.DisallowUnknownFields()
		if err := read.Decode(&got); err != nil {
			t.Fatalf("%s: %v", text, err)
		}
		back := Statement{Index: got.Index, Section: got.Section, Onset: got.Onset, Length: got.Length, Written: got.Written, Sounding: got.Sounding,
			Return: got.Return, Held: got.Held, Rests: got.Rests, Respelled: got.Respelled}.Of(s.Part())
		join, joined := s.Join()
		switch {
		case back != s:
			t.Fatalf("%s reads as %+v, not %+v: they differ", text, back, s)
		case joined != (got.Join != nil):
			t.Fatalf("%s reads as %+v, not %+v: joined is %v", text, back, s, joined)
		case joined && *got.Join != join.Interval():
			t.Fatalf("%s reads as %+v, not %+v: the join is %v", text, back, s, join.Interval())
		}
		events, chords := s.Events(), slices.Collect(s.Chords())
		if len(got.Notes) != len(events) || len(got.Chords) != len(chords) || got.Notes == nil {
			t.Fatalf("%s: %d notes and %d chords, want %d and %d", text, len(got.Notes), len(got.Chords), len(events), len(chords))
		}
		marks := s.Marks()
		for n, e := range events {
			m := marks[n]
			slur := map[Marks]string{0: "", MarkSlurBegin | MarkSlurOn: "begin", MarkSlurOn: "on", MarkSlurEnd: "end"}[m&^MarkAccent]
			if g := got.Notes[n]; g.Slur != slur || g.Accent != (m&MarkAccent != 0) {
				t.Fatalf("%s: note %d is marked %b", text, n, m)
			}
			if g := got.Notes[n]; (figure.Event{Onset: g.Onset, Length: g.Length, Note: g.Note, Index: g.Index}) != e || g.Key != s.SoundingNumber(e.Note) {
				t.Fatalf("%s: note %d is %+v, want %+v", text, n, g, e)
			}
		}
		for n, c := range chords {
			if got.Chords[n] != (struct {
				Onset  figure.Length `json:"onset"`
				Root   spelling.Name `json:"root"`
				Suffix string        `json:"suffix"`
			}(c)) {
				t.Fatalf("%s: chord %d is %+v, want %+v", text, n, got.Chords[n], c)
			}
		}
		// keys that say nothing are left out
		for key, there := range map[string]bool{"join": joined, "return": s.Return, "held": s.Held, "rests": s.Rests, "respelled": s.Respelled, "chords": len(chords) > 0, "notes": true, "written": true} {
			if strings.Contains(string(text), `"`+key+`"`) != there {
				t.Fatalf("%s: %q is there against the rule", text, key)
			}
		}
	})
}

// TestStatementWithoutText: a note that is altered eight times has no text.
func TestStatementWithoutText(t *testing.T) {
	d := newDrill(t, Settings{Figure: parseFigure(t, "bbbbbbb1"), Route: parseRoute(t, "1"), Parts: []Instrument{find(t, "flute", LevelFull)}})
	for s := range d.Parts()[0].Statements() {
		if text, err := json.Marshal(s); err == nil {
			t.Errorf("%v has the text %s", s.Events(), text)
		}
	}
}

// TestBadSettings: every bound is refused with what was given and what would
// be right.
func TestBadSettings(t *testing.T) {
	good := Settings{Figure: parseFigure(t, "1 3 2 5"), Route: cycle.By(interval.MinorThird).Closed(), Parts: []Instrument{find(t, "trumpet", LevelComfortable)}}
	if d := newDrill(t, good); d.Settings().Tempo != 80 {
		t.Errorf("tempo 0 means %d", d.Settings().Tempo)
	}
	many, err := cycle.NewRoute(cycle.Section{Keys: make([]pitch.Class, cycle.MaxKeys)})
	if err != nil {
		t.Fatal(err)
	}
	for want, change := range map[string]func(s *Settings){
		"figure: a drill needs a figure with at least one note":                          func(s *Settings) { s.Figure = figure.Figure{} },
		`figure 0 0:2: a drill needs a figure`:                                           func(s *Settings) { s.Figure = parseFigure(t, "0 0:2") },
		"route: a drill needs a route of at least one key":                               func(s *Settings) { s.Route = cycle.Route{} },
		"parts 0: a drill is for 1 to 15 instruments":                                    func(s *Settings) { s.Parts = nil },
		"parts 16: a drill is for 1 to 15":                                               func(s *Settings) { s.Parts = slices.Repeat(s.Parts, 16) },
		"tempo 9: the tempo goes from 10 to 500":                                         func(s *Settings) { s.Tempo = 9 },
		"tempo -1: the tempo":                                                            func(s *Settings) { s.Tempo = -1 },
		"tempo 501: the tempo":                                                           func(s *Settings) { s.Tempo = 501 },
		"tempo 1000000000: the tempo":                                                    func(s *Settings) { s.Tempo = 1e9 },
		"rest -1/96: the rest goes from none to 64":                                      func(s *Settings) { s.Rest = -2 },
		"rest 12289/192: the rest":                                                       func(s *Settings) { s.Rest = Rest(figure.MaxLength) + 1 },
		`closing "Closing(3)": it is one of held, full, open`:                            func(s *Settings) { s.Closing = 3 },
		`articulation "Articulation(3)": it is one of tongued, slurred, slurred in twos`: func(s *Settings) { s.Articulation = 3 },
		`accents "Accents(3)": it is one of none, groups, beats`:                         func(s *Settings) { s.Accents = 3 },
		`path "Path(2)": it is one of follow, near`:                                      func(s *Settings) { s.Path = 2 },
		`padding "Padding(3)": it is one of bar, beat, run on`:                           func(s *Settings) { s.Padding = 3 },
		`reading "Reading(3)": it is one of usual, written`:                              func(s *Settings) { s.Reading = 3 },
		"policy: ": func(s *Settings) { s.Policy = 4 },
		`preferred name "E♭𝄫": a preferred name has at most a double`: func(s *Settings) { s.Prefer = []spelling.Name{spelling.MustParseName("Ebbb")} },
		`preferred name "F♯𝄪": a preferred name`:                      func(s *Settings) { s.Names = []spelling.Name{spelling.MustParseName("F###")} },
		`route 65536 statements: the drill is too long`: func(s *Settings) {
			s.Route, s.Rest, s.Figure = many, Rest(figure.MaxLength), parseFigure(t, "1:64 by 1")
		},
	} {
		s := good
		change(&s)
		d, err := New(s)
		var e *fault.ValueError
		switch {
		case d != nil:
			t.Errorf("%v, want %s: there is a drill all the same", err, want)
		case !errors.As(err, &e):
			t.Errorf("%v, want %s: no such error", err, want)
		case !strings.HasPrefix(err.Error(), want):
			t.Errorf("%v, want %s: other words", err, want)
		}
	}
	// The longest rests and the most parts and keys are taken.
	s := good
	s.Parts, s.Route = slices.Repeat(s.Parts, MaxParts), many
	if d := newDrill(t, s); d.Len() != cycle.MaxKeys || len(d.Parts()) != MaxParts || d.Bars() != 2*cycle.MaxKeys {
		t.Errorf("%d statements, %d parts, %d bars", d.Len(), len(d.Parts()), d.Bars())
	}
	s.Rest, s.Tempo = Rest(figure.MaxLength), MaxTempo
	s.Route = good.Route
	if d := newDrill(t, s); d.Bars() != 15*65 {
		t.Errorf("%d bars", d.Bars())
	}
}

// TestLawHostileSettingsDoNotPanic: what New takes can be played, whatever
// stands in the settings; what it refuses, it refuses with its own errors.
func TestLawHostileSettingsDoNotPanic(t *testing.T) {
	number := rapid.OneOf(rapid.IntRange(-3, 6), rapid.IntRange(math.MinInt32, math.MaxInt32))
	note := rapid.OneOf(
		rapid.Custom(func(t *rapid.T) spelling.Note { return spelling.Note(rapid.Int32().Draw(t, "note")) }),
		rapid.Custom(func(t *rapid.T) spelling.Note {
			return spelling.Note(interval.Of(rapid.IntRange(-10, 90).Draw(t, "steps"), rapid.IntRange(-20, 140).Draw(t, "semitones")))
		}),
	)
	rapid.Check(t, func(t *rapid.T) {
		s := shortSettings(3).Draw(t, "settings")
		for range rapid.IntRange(1, 3).Draw(t, "changes") {
			n := number.Draw(t, "to")
			switch rapid.IntRange(0, 13).Draw(t, "change") {
			case 0:
				s.Tempo = n
			case 1:
				s.Rest = Rest(n)
			case 2:
				s.Closing, s.Path = Closing(n), Path(number.Draw(t, "path"))
			case 3:
				s.Padding, s.Reading = Padding(n), Reading(number.Draw(t, "reading"))
			case 4:
				s.Policy = spelling.Policy(n)
			case 5:
				s.Prefer = []spelling.Name{spelling.Name(n)}
				s.Names = []spelling.Name{spelling.Name(number.Draw(t, "name"))}
			case 6:
				s.Parts[0].Low = note.Draw(t, "low")
			case 7:
				s.Parts[0].High = note.Draw(t, "high")
			case 8:
				s.Parts[0].Low, s.Parts[0].High = note.Draw(t, "low"), note.Draw(t, "high")
			case 9:
				s.Parts[0].Sounding = interval.Interval(note.Draw(t, "sounding"))
			case 10:
				s.Parts[0].Clef, s.Parts[0].Family, s.Parts[0].Program = Clef(n), Family(number.Draw(t, "family")), uint8(number.Draw(t, "program"))
			case 11:
				s.Figure = parseFigure(t, rapid.SampledFrom([]string{"vvv1 99", "bbbbbbb1 #######1", "99", "vvvbbbbbbb1", "1:64 0:64 by 1", "1+2+3+4+5+6+7+8 by 1/192"}).Draw(t, "figure"))
			case 12:
				s.Parts = nil
			case 13:
				s.Route = cycle.Route{}
			}
			if len(s.Parts) == 0 {
				break
			}
		}
		d, err := New(s)
		if err != nil {
			var e *fault.ValueError
			var fit *FitError
			switch {
			case !errors.As(err, &e) && !errors.As(err, &fit):
				t.Fatalf("%v: no such error", err)
			case d != nil:
				t.Fatalf("%v: there is a drill all the same", err)
			case err.Error() == "":
				t.Fatalf("%v: no words", err)
			}
			return
		}
		if d.Duration() <= 0 || d.Bars() <= 0 {
			t.Fatalf("it takes %v and %d bars", d.Duration(), d.Bars())
		}
		for p := range d.Parts() {
			for st := range d.Parts()[p].Statements() {
				for _, e := range st.Events() {
					if n := e.Note.Number(); n < d.Parts()[p].Instrument().Low.Number() || n > d.Parts()[p].Instrument().High.Number() || !st.SoundingNumber(e.Note).IsValid() {
						t.Fatalf("%v sounds as %v", e.Note, st.SoundingNumber(e.Note))
					}
				}
				_, _ = json.Marshal(st)
			}
		}
		_, _ = json.Marshal(d.Settings())
	})
}

func TestWhatHasNoText(t *testing.T) {
	var e *fault.ValueError
	if text, err := Rest(-2).MarshalText(); !errors.As(err, &e) {
		t.Errorf("Rest(-2) marshals as %s", text)
	}
	i := Instrument{Name: "x", Low: spelling.MustParse("C4"), High: spelling.MustParse("C6"), Sounding: interval.Of(120, 0)}
	if err := i.Check(); !errors.As(err, &e) {
		t.Errorf("sounds %v away: %v", i.Sounding, err)
	}
}

func FuzzSettings(f *testing.F) {
	for _, text := range []string{
		`{"figure":"3 5 1 6","route":"fourths","parts":["trumpet Bb3-E5"],"tempo":96}`,
		`{"figure":"1","route":"(06)","parts":[{"low":"C4","high":"C6","clef":"bass"}],"rest":"none","closing":"full","meter":"3+2/8","names":["F#"]}`,
		`{"rest":"a bar","policy":"easy","padding":"run on","reading":"concert","path":"near"}`, `[]`, `{"tempo":1e9}`,
	} {
		f.Add([]byte(text))
	}
	f.Fuzz(func(t *testing.T, text []byte) {
		var s, again Settings
		if json.Unmarshal(text, &s) != nil {
			return
		}
		out, err := json.Marshal(s)
		if err != nil {
			return // an enumeration or a rest that has no text
		}
		if err := json.Unmarshal(out, &again); err != nil {
			t.Fatalf("%q is written as %s: %v", text, out, err)
		}
		if _, err := s.Cost(); err == nil && again.Figure.NoteCount() != s.Figure.NoteCount() {
			t.Fatalf("%q is written as %s", text, out)
		}
	})
}
