// Package form reads what is typed into the practice page: fields of text become
// the settings of a session. It has the page's labels and hints, and what it lets
// a player choose from; the session itself is figure/session's.
package form

import (
	"context"
	"encoding"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.com/keyorder/cycle"
	"example.com/keyorder/cycle/diagram"
	"example.com/keyorder/examples/internal/say"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/figure/practice"
	"example.com/keyorder/figure/session"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
)

// The bounds of what the page takes.
const (
	MaxSettings = 4000 // bytes of settings
	MaxNotes    = 64   // notes of a figure
	MaxBars     = 16   // of rest
	MaxRounds   = 50   // through keys of one's own

	maxOrderName = 200 // bytes of an order's name in a log, which may have none
)

// A Field is one of the settings: its name in the JSON and in the address of
// the page, what it is called, and its text where none is given.
type Field struct {
	Name    string `json:"name"`
	Label   string `json:"label"`
	Default string `json:"default"`
	Hint    string `json:"hint,omitempty"` // how to type it
}

// Fields lists the settings.
func Fields() []Field {
	return []Field{
		{"figure", "Figure", "1:3 5 4 2 3:2", "Degrees of the scale, as 1 5 b3:2 4, or notes in the first key, as C G Eb:2 F. A colon gives a length, v an octave down, | stands before the downbeat, 0 rests."},
		{"scale", "Scale", "", ""},
		{"order", "Order of keys", "m3", "An interval such as m3, -M2 or P4, a pattern such as P4,-m3, words such as down by fourths, or one of the list; several with semicolons between."},
		{"instrument", "Instrument", "piano", "A range of your own may follow, as trumpet Bb3-E5."},
		{"tempo", "Tempo", "80", "Beats a minute."},
		{"meter", "Meter", "4/4", ""},
		{"rest", "Rest after each key", "", ""},
		{"sound", "Sound beside the click", "click", ""},
		{"bass", "Bass", "none", ""},
		{"chords", "Chords", "none", "Bass and chords play what the figure has in braces, as {2 m7} 2 4 {5 7} 5:2."},
		{"drone", "Drone", "none", ""},
		{"between", "The band in the rests", "wait", ""},
		{"free", "Bars of your own after each key", "0", ""},
		{"vary", "Varied", "", "One of the list, or as octave up 2 for the second note."},
		{"first", "First key", "", ""},
		{"keys", "Only these keys", "", "In place of the order of keys: a few keys, as Bb Eb F, and how often, as Bb Eb F x4."},
		{"names", "What keys are called", "", "Names such as Eb Ab F#, or flats; otherwise as players of the scale call them."},
		{"range", "Range", "comfortable", ""},
		{"close", "Back to the first key with", "held", ""},
		{"fit", "Keys that do not fit", "refuse", ""},
		{"show", "The answer on the screen", "ask", ""},
		{"parts", "Parts of a class", "", "Instruments with commas between, as trumpet, alto saxophone, horn: beside the concert key stands what each of them reads."},
	}
}

// A Form is what the page's fields ask for.
type Form struct {
	session.Settings
	Show string // when the answer is shown: ask or after
}

// Most is what a session on the page may cost: no address may freeze it.
func Most() drill.Cost {
	return drill.Cost{Statements: 2000, Notes: 20000, Duration: 4 * time.Hour}
}

// Read reads the fields, a JSON object of texts. The log is what was practised
// before. The error is a *fault.ValueError that names the field in its Setting.
func Read(settings []byte, log practice.Log) (Form, error) {
	given, err := decode(settings)
	if err != nil {
		return Form{}, err
	}
	text, err := parse(given)
	if err != nil {
		return Form{}, err
	}
	r := reader{form: Form{Show: text["show"]}, log: log}
	if r.form.Show != "ask" && r.form.Show != "after" {
		return Form{}, refuse("show", r.form.Show, "the answer is shown on request, ask, or after it was played, after")
	}
	for _, read := range []func(map[string]string) error{r.readNames, r.readFigure, r.readPart, r.readOrders, r.readDrill} {
		if err := read(text); err != nil {
			return Form{}, err
		}
	}
	return r.form, nil
}

// New works out the session that the fields ask for, which costs no more than
// Most. The log is as package practice reads it. The error is as that of Read.
func New(ctx context.Context, settings []byte, log string) (*session.Session, error) {
	l, err := practice.Read(strings.NewReader(log))
	if err != nil {
		return nil, err
	}
	f, err := Read(settings, l)
	if err != nil {
		return nil, err
	}
	s, err := session.New(ctx, f.Settings, Most(), l)
	if err != nil {
		return nil, fieldOf(err)
	}
	if _, err := Class(s, settings); err != nil {
		return nil, err
	}
	return s, nil
}

// fieldOf says which field an error of a session is about.
func fieldOf(err error) error {
	var fit *drill.FitError
	var refused *fault.ValueError
	switch {
	case err == nil:
		return nil
	case errors.As(err, &fit):
		if wider := say.Wider(fit); wider != "" {
			err = fmt.Errorf("%w; or choose the range %s, which has all twelve", err, wider)
		}
		if len(fit.Fit) > 0 {
			err = fmt.Errorf("%w; or have the others left out", err)
		}
		return in("fit", err)
	case errors.As(err, &refused) && strings.HasPrefix(refused.Setting, "drill ") && refused.Err != nil: // of the band
		return in("chords", ofTheBand(refused.Err))
	case errors.As(err, &refused) && strings.HasPrefix(refused.Setting, "drill "): // of the line
		return in("rest", errors.New(refused.Want))
	case errors.As(err, &refused) && refused.Setting == "variation":
		return in("vary", refused.Err)
	case errors.As(err, &refused) && refused.Setting == "orders":
		return in("order", err)
	}
	return in("figure", err)
}

// ofTheBand is what a band refuses, without the figure, which the field beside it has.
func ofTheBand(err error) error {
	if of := (*fault.ValueError)(nil); errors.As(err, &of) && of.Want != "" {
		return errors.New(of.Want)
	}
	return err
}

// in says that an error is about a field.
func in(field string, err error) error { return &fault.ValueError{Setting: field, Err: err} }

// Text returns the message of an error of this package, with the label of the
// field, and the field's name.
func Text(err error) (field, text string) {
	text = err.Error()
	var refused *fault.ValueError
	if errors.As(err, &refused) {
		for _, f := range Fields() {
			if f.Name == refused.Setting {
				inner := refused.Want
				if refused.Err != nil {
					inner = plainly(refused.Err)
				}
				field, text = f.Name, f.Label+": "+inner
			}
		}
	}
	return field, strings.TrimSuffix(text, ".") + "."
}

// plainly is the text of an error beside its field, which says already what it is.
func plainly(err error) string {
	if read := (*fault.SyntaxError)(nil); errors.As(err, &read) {
		return strings.TrimPrefix(err.Error(), read.What+" ")
	}
	return err.Error()
}

// AppendPlan appends the plan of a session as JSON, with what only a page needs:
// a number for the session, the instrument, its length and sound in words, the
// degrees of its figure and their scale, and words for what leads from key to key.
func AppendPlan(b []byte, s *session.Session, number int) ([]byte, error) {
	b, err := s.AppendJSON(b)
	if err != nil {
		return b, err
	}
	set, played := s.Settings(), s.Played()
	own := struct {
		Session    int      `json:"session"`
		Instrument string   `json:"instrument"`
		Minutes    string   `json:"minutes"`
		Sound      string   `json:"sound"`
		Degrees    string   `json:"degrees"` // of the figure
		Scale      string   `json:"scale"`
		Idea       string   `json:"idea"`    // the figure before it was varied
		Varied     string   `json:"varied"`  // how
		Planned    int      `json:"planned"` // the block of the day's plan, 0 for none
		Moves      []string `json:"moves"`
	}{number, set.Drill.Parts[0].Name, say.Minutes(s.Line().Duration()), set.Playback.Mode.String(), degrees(played), played.Scale().String(), set.Drill.Figure.String(), set.Variation.String(), 0, []string{}}
	if set.Planned != nil {
		own.Planned = set.Planned.Block
	}
	for _, d := range s.Line().Drills() {
		for st := range d.Parts()[0].Statements() {
			words := ""
			if j, ok := st.Join(); ok {
				words = joined(j.Interval().Semitones())
			}
			own.Moves = append(own.Moves, words)
		}
	}
	text, err := json.Marshal(own)
	if err != nil {
		return b, err
	}
	return append(append(b[:len(b)-1], ','), text[1:]...), nil
}

// joined says how far it is from the last note of a key to the first of the next, as a
// player does: by the usual interval, whatever the two keys are called.
func joined(semitones int) string {
	if semitones == 0 {
		return "the same note as the last one"
	}
	return interval.Usual(semitones).Motion()
}

// degrees writes a figure without its scale.
func degrees(f figure.Figure) string {
	text, _, _ := strings.Cut(f.String(), " in ")
	return text
}

// A reader reads the fields one by one.
type reader struct {
	form   Form
	log    practice.Log
	keys   [12]spelling.Name // as the player reads them
	called []spelling.Name   // as the player wants keys to be called
	first  spelling.Name     // the first key
	asked  bool              // it was asked for
	own    []spelling.Name   // the player's own keys, in place of an order
	played figure.Figure     // the figure, varied if that is asked for
	times  int               // how often they are played
}

func refuse(field, input, reason string) error {
	return in(field, fmt.Errorf("%.60q: %s", input, reason))
}

// decode reads the JSON of the settings.
func decode(settings []byte) (map[string]string, error) {
	if len(settings) > MaxSettings {
		return nil, fmt.Errorf("the settings are %d bytes long; at most %d are read", len(settings), MaxSettings)
	}
	var given map[string]string
	if err := json.Unmarshal(settings, &given); err != nil {
		return nil, errors.New("the settings are no JSON object of texts")
	}
	return given, nil
}

// parse fills in what the settings do not give.
func parse(given map[string]string) (map[string]string, error) {
	text := make(map[string]string)
	var names []string
	for _, f := range Fields() {
		names = append(names, f.Name)
		text[f.Name] = strings.TrimSpace(given[f.Name])
		if text[f.Name] == "" {
			text[f.Name] = f.Default
		}
	}
	var unknown []string
	for name := range given {
		if !slices.Contains(names, name) {
			unknown = append(unknown, name)
		}
	}
	if len(unknown) > 0 {
		return nil, fmt.Errorf("there is no setting %.40q; the settings are %s", slices.Min(unknown), strings.Join(names, ", "))
	}
	return text, nil
}

// readNames reads what keys are called, the first one, and those of the player's
// own.
func (r *reader) readNames(text map[string]string) error {
	if names := text["names"]; names != "" {
		var err error
		if r.called, err = figure.ParsePreference(names); err != nil {
			return in("names", err)
		}
	}
	if first := text["first"]; first != "" {
		n, err := spelling.ParseName(first)
		if err != nil {
			return in("first", err)
		}
		r.first, r.asked = n, true
	}
	if text["keys"] == "" {
		return nil
	}
	if r.asked {
		return refuse("first", text["first"], "your own keys give the first key already")
	}
	r.times = 1
	words := strings.FieldsFunc(text["keys"], func(c rune) bool { return c == ' ' || c == ',' })
	if last := words[max(0, len(words)-1):]; len(last) > 0 && strings.IndexAny(last[0], "x×") == 0 {
		n, err := strconv.Atoi(strings.TrimLeft(last[0], "x×"))
		if err != nil || n < 1 || n > MaxRounds {
			return refuse("keys", last[0], fmt.Sprintf("the keys are played 1 to %d times, as x4", MaxRounds))
		}
		r.times, words = n, words[:len(words)-1]
	}
	for _, word := range words {
		n, err := spelling.ParseName(word)
		if err != nil {
			return in("keys", err)
		}
		r.own = append(r.own, n)
	}
	if len(r.own) == 0 {
		return refuse("keys", text["keys"], "there is no key; write some, as Bb Eb F x4")
	}
	r.first, r.asked = r.own[0], true
	return nil
}

func (r *reader) readFigure(text map[string]string) error {
	written, scale := text["figure"], figure.Major
	if text["scale"] != "" {
		var err error
		if scale, err = figure.ParseScale(text["scale"]); err != nil {
			return in("scale", err)
		}
		if strings.Contains(written, " in ") {
			return refuse("scale", text["scale"], "the figure names its scale already; name it once")
		}
	}
	var f figure.Figure
	var err error
	if namesNotes(written) {
		f, _, err = figure.FromNotes(written, r.first, scale)
	} else {
		if text["scale"] != "" {
			written += " in " + scale.String()
		}
		f, err = figure.Parse(written)
	}
	if err != nil {
		return in("figure", err)
	}
	if n := f.NoteCount(); n == 0 || n > MaxNotes {
		return refuse("figure", text["figure"], fmt.Sprintf("a figure has 1 to %d notes here, not %d", MaxNotes, n))
	}
	r.form.Drill.Figure, r.played = f, f
	return r.readVariation(text["vary"])
}

func (r *reader) readVariation(text string) error {
	if text == "" {
		return nil
	}
	v, err := figure.ParseVariation(text)
	if err == nil {
		r.played, err = v.Apply(r.played)
	}
	if err != nil {
		return in("vary", err)
	}
	r.form.Variation = v
	return nil
}

// namesNotes reports whether a figure is written as the names of notes: its first
// note is a letter, and no degree such as b3.
func namesNotes(text string) bool {
	for _, word := range strings.Fields(text) {
		if word[0] == '|' || word[0] == '{' || strings.HasSuffix(word, "}") {
			continue // a barline, a chord
		}
		letter := strings.IndexByte("abcdefgABCDEFG", word[0]) >= 0
		degree := word[0] == 'b' && strings.IndexByte("b1234567890", (word + " ")[1]) >= 0
		return letter && !degree
	}
	return false
}

func (r *reader) readPart(text map[string]string) error {
	var level drill.Level
	if err := level.UnmarshalText([]byte(text["range"])); err != nil {
		return in("range", err)
	}
	part, err := drill.Find(text["instrument"], level)
	if err != nil {
		return in("instrument", err)
	}
	parts, err := readClass(text["parts"], level)
	if len(parts) > 0 {
		part = inConcertKeys(part)
	}
	r.form.Drill.Parts = []drill.Instrument{part}
	return err
}

func (r *reader) readOrders(text map[string]string) error {
	prefer := slices.Concat(r.called, r.own)
	if r.asked {
		prefer = append(prefer, r.first)
	}
	r.keys = r.played.Scale().Tonics(prefer...)
	if len(r.own) > 0 {
		return r.ownOrder(text["keys"])
	}
	made, _ := r.log.Tally(r.form.Drill.Parts[0].Name)
	orders, err := say.Orders(text["order"], say.Start{
		Scale: r.played.Scale(), Prefer: prefer, First: r.first.Class(), Asked: r.asked,
		Name: func(c pitch.Class) string { return r.keys[c].String() }, Played: made,
	})
	if err != nil {
		return in("order", err)
	}
	if len(orders) > 12 {
		return refuse("order", text["order"], fmt.Sprintf("%d orders in a row; at most 12 are played here", len(orders)))
	}
	for _, o := range orders {
		if len(o.Text) > maxOrderName {
			o.Text = ""
		}
		r.form.Orders = append(r.form.Orders, session.Order{Name: o.Text, Title: o.Title, Route: o.Route})
	}
	return nil
}

// readSound reads what sounds: model, accompaniment, free turns.
func (r *reader) readSound(text map[string]string) error {
	o := &r.form.Playback
	if err := o.Mode.UnmarshalText([]byte(text["sound"])); err != nil || o.Mode == playback.ModeCall {
		return refuse("sound", text["sound"], "beside the click sounds nothing, click, the model with the player, model, or the answer after, answer")
	}
	for field, v := range map[string]encoding.TextUnmarshaler{"bass": &o.Bass, "chords": &o.Chords, "between": &o.Rests} {
		if err := v.UnmarshalText([]byte(text[field])); err != nil {
			return in(field, err)
		}
	}
	switch text["drone"] {
	case "none":
	case "tonic":
		o.Drone = true
	default:
		return refuse("drone", text["drone"], "there is none, none, or it holds the tonic and its fifth, tonic")
	}
	bars, err := strconv.Atoi(text["free"])
	if err != nil || bars < 0 || bars > MaxBars {
		return refuse("free", text["free"], fmt.Sprintf("bars of your own are a whole number, 0 to %d", MaxBars))
	}
	o.Free = bars
	return nil
}

// ownOrder is the order of the player's own keys, round and round.
func (r *reader) ownOrder(text string) error {
	var keys []pitch.Class
	for range r.times {
		for _, n := range r.own {
			keys = append(keys, n.Class())
		}
	}
	route, err := cycle.NewRoute(cycle.Section{Keys: keys})
	if err != nil {
		return in("keys", err)
	}
	title := "your own keys"
	if r.times > 1 {
		title += ", " + say.Times(r.times)
	}
	r.form.Orders = []session.Order{{Name: "keys", Title: title, Route: route}}
	return nil
}

func (r *reader) readDrill(text map[string]string) error {
	set := &r.form.Drill
	set.Names, set.Prefer = r.called, append(slices.Clone(r.own), r.keys[r.first.Class()])
	if err := set.Meter.UnmarshalText([]byte(text["meter"])); err != nil {
		return in("meter", err)
	}
	var err error
	if set.Tempo, err = readTempo(text["tempo"]); err != nil {
		return err
	}
	if err := set.Closing.UnmarshalText([]byte(text["close"])); err != nil {
		return in("close", err)
	}
	switch text["fit"] {
	case "refuse":
	case "leave out":
		set.LeaveOut = true
	default:
		return refuse("fit", text["fit"], "keys that do not fit are refused, refuse, or left out, leave out")
	}
	if err := r.readSound(text); err != nil {
		return err
	}
	varied := *set
	varied.Figure = r.played
	set.Rest = playback.RestFor(r.form.Playback, varied)
	if rest := text["rest"]; rest != "" {
		bars, err := strconv.Atoi(rest)
		if err != nil || bars < 0 || bars > MaxBars {
			return refuse("rest", rest, fmt.Sprintf("the rest is a whole number of bars, 0 to %d", MaxBars))
		}
		if set.Rest = drill.Rest(bars) * drill.Rest(set.Meter.Bar()); bars == 0 {
			set.Rest = drill.NoRest
		}
	}
	return nil
}

func readTempo(text string) (int, error) {
	tempo, err := strconv.Atoi(text)
	if err != nil || tempo < drill.MinTempo || tempo > drill.MaxTempo {
		return 0, refuse("tempo", text, fmt.Sprintf("the tempo is a whole number of beats a minute, %d to %d", drill.MinTempo, drill.MaxTempo))
	}
	return tempo, nil
}

// A LogCheck says what there is in a practice log.
type LogCheck struct {
	Entries int    `json:"entries"`
	Problem string `json:"problem,omitempty"` // what of it is not read
}

// CheckLog reads a practice log.
func CheckLog(log string) (LogCheck, error) {
	l, err := practice.Read(strings.NewReader(log))
	if err != nil {
		return LogCheck{}, err
	}
	c := LogCheck{Entries: len(l.Entries)}
	switch {
	case l.Bad == 1:
		c.Problem = fmt.Sprintf("One line is not read: %v.", l.Problems[0])
	case l.Bad > 1:
		c.Problem = fmt.Sprintf("%d lines are not read: %v.", l.Bad, l.Problems[0])
	}
	return c, nil
}

// Picture returns the circle of keys with the route of an order, from C, as SVG; of
// several orders it is the first. The error is as that of Read.
func Picture(order string) (string, error) {
	r := reader{keys: figure.Major.Tonics()}
	orders, err := say.Orders(order, say.Start{Name: func(c pitch.Class) string { return r.keys[c].String() }})
	if err != nil {
		return "", in("order", err)
	}
	var b strings.Builder
	err = diagram.Write(&b, diagram.Options{Route: orders[0].Route, Title: orders[0].Title, Names: r.keys})
	return b.String(), err
}

// Keep returns a log with the lines of a session: in the place of the lines that
// it had, if the log has those, and else at the end, after the end of a line.
func Keep(log, had, lines string) string {
	if at := strings.LastIndex(log, had); had != "" && at >= 0 {
		return log[:at] + lines + log[at+len(had):]
	}
	if lines != "" && log != "" && !strings.HasSuffix(log, "\n") && !strings.HasSuffix(log, "\r") {
		log += "\n"
	}
	return log + lines
}
