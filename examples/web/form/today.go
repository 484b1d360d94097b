package form

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"example.com/keyorder/examples/internal/say"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/accompaniment"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/figure/practice"
	"example.com/keyorder/figure/session"
	"example.com/keyorder/pitch"
)

// MaxPlan bounds the text of what a plan is asked for with, in bytes.
const MaxPlan = 1 << 20

// An Idea is one of the player's own: settings with a name, and how it is practised.
type Idea struct {
	Name     string            `json:"name"`
	Settings map[string]string `json:"settings"` // of the fields; the figure, its scale, meter and first tempo count here
	Goal     int               `json:"goal,omitempty"`
	// Variations are those that a plan may take, as figure.ParseVariation reads them.
	Variations []string `json:"variations,omitempty"`
	// Until is the day on which it comes back, if it is put aside.
	Until string `json:"until,omitempty"`
}

// A Day is what is asked for: the day's plan for a player, or what was practised.
type Day struct {
	Date     string            `json:"date"`
	Minutes  int               `json:"minutes"`
	Stage    string            `json:"stage"`    // that of the log's last entry on the instrument if empty, or constant orders
	Settings map[string]string `json:"settings"` // of the fields; instrument, range and what sounds count here
	Ideas    []Idea            `json:"ideas"`
}

// A DayPlan is the plan of a day in words.
type DayPlan struct {
	Heading string    `json:"heading"` // "Sunday, 2 March · 12 min · trumpet in B♭ · constant orders"
	Stage   string    `json:"stage"`
	Ours    bool      `json:"ours"` // it is of figures to begin with, as the player has none
	Blocks  []Planned `json:"blocks"`
	Aside   []string  `json:"aside"`   // what was left aside, and why
	Remarks []string  `json:"remarks"` // advice on the whole
}

// A Planned is a block of the plan, or a pause.
type Planned struct {
	Number  int      `json:"number"` // 0 is a pause
	Start   string   `json:"start"`  // from the beginning of the plan: "4:30"
	Minutes string   `json:"minutes"`
	Title   string   `json:"title"`
	Degrees string   `json:"degrees"`
	Scale   string   `json:"scale"`
	Varied  string   `json:"varied"`
	Order   string   `json:"order"`
	Keys    []string `json:"keys"`
	Tempo   int      `json:"tempo"`
	Rest    string   `json:"rest"`
	First   bool     `json:"first"` // the first try of the day
	Done    string   `json:"done"`  // "13 of 13 clean", or empty
	Why     []string `json:"why"`
}

// Today plans a day, as examples/today does: from the same log with the same figures,
// instrument, minutes and stage it is the same plan.
func Today(day []byte, log string) (DayPlan, error) {
	p, l, told, err := plan(day, log)
	if err != nil {
		return DayPlan{}, err
	}
	s := p.Settings
	date := time.Unix(int64(s.Date)*24*60*60, 0).UTC()
	out := DayPlan{
		Heading: fmt.Sprintf("%s · %d min · %s · %v", date.Format("Monday, 2 January"), s.Minutes, s.Instrument.Name, s.Stage),
		Stage:   s.Stage.String(), Ours: told.ours, Blocks: []Planned{}, Aside: told.aside, Remarks: []string{},
	}
	done := p.Done(l)
	given := map[string]bool{} // reasons that stand further up
	for n := range p.Blocks {
		b := &p.Blocks[n]
		at := int(b.Start.Seconds())
		out.Blocks = append(out.Blocks, Planned{Number: b.Number, Start: fmt.Sprintf("%d:%02d", at/60, at%60), Minutes: say.Minutes(b.Length), Keys: []string{}, Why: []string{}})
		pb := &out.Blocks[n]
		tell := func(of, what, why string) {
			if text := what + ": " + why; why != "" && !given[of+text] {
				given[of+text] = true
				pb.Why = append(pb.Why, text)
			}
		}
		if b.Pause {
			tell("", "why", b.Why.Length.String())
			continue
		}
		f, title, number := b.Drill.Figure, b.Drill.Title, strconv.Itoa(b.Number)
		names := f.Scale().Tonics()
		pb.Title, pb.Degrees, pb.Scale, pb.Varied = title, degrees(f), f.Scale().String(), b.Variation.String()
		pb.Order, pb.Tempo, pb.Rest, pb.First = say.Block(*b, s.Stage), b.Drill.Tempo, say.Rest(*b), b.Test
		pb.Keys = say.Sections(b.Drill.Route, func(k pitch.Class) string { return names[k].String() })
		pb.Done = doneText(p, n, done[n], l)
		tell(title, "figure", b.Why.Figure.String())
		tell(number, "varied", b.Why.Varied.String())
		tell(number, "keys", b.Why.Keys.String())
		tell(title, "tempo "+strconv.Itoa(b.Drill.Tempo), b.Why.Tempo.String())
		tell("", "rest of "+pb.Rest, b.Why.Rest.String())
		tell(title, "how often", b.Why.Length.String())
	}
	for _, a := range p.Aside {
		text := a.Idea.Name
		for n, k := range a.Keys {
			text += [...]string{" in ", " "}[min(n, 1)] + k.String()
		}
		out.Aside = append(out.Aside, text+": "+a.Reason.String())
	}
	for _, r := range p.Remarks {
		out.Remarks = append(out.Remarks, r.String())
	}
	return out, nil
}

// doneText says how a block was played: by the entry that records it, or, where only
// part of it was judged or its tempo changed, by those that name it.
func doneText(p practice.Plan, n, by int, l practice.Log) string {
	want := p.Entry(n)
	clean, of := 0, 0
	for i := range l.Entries {
		e := &l.Entries[i]
		named := e.Date == want.Date && e.Block == want.Block && e.Instrument == want.Instrument && e.Variation == want.Variation && e.Figure.Equal(want.Figure)
		if i == by || by < 0 && named {
			clean, of = clean+e.Clean, of+e.Played
		}
	}
	if of == 0 {
		return ""
	}
	return fmt.Sprintf("%d of %d clean", clean, of)
}

// Block works out a block of the plan of a day as a session, by its number.
func Block(ctx context.Context, day []byte, log string, number int) (*session.Session, error) {
	p, l, told, err := plan(day, log)
	if err != nil {
		return nil, err
	}
	n := slices.IndexFunc(p.Blocks, func(b practice.Block) bool { return !b.Pause && b.Number == number })
	if n < 0 {
		return nil, fmt.Errorf("today's plan has no block %d", number)
	}
	b := &p.Blocks[n]
	r := reader{}
	if err := r.readSound(told.text); err != nil {
		return nil, err
	}
	if !hasChords(b.Drill.Figure) { // the band has nothing to play
		r.form.Playback.Bass, r.form.Playback.Chords = accompaniment.Bass(0), accompaniment.Comping(0)
	}
	if b.Test { // nothing helps
		r.form.Playback = playback.Options{Mode: playback.ModeClick}
	}
	set := session.Settings{
		Drill: b.Drill, Orders: []session.Order{{Name: b.Order, Title: say.Block(*b, p.Settings.Stage), Route: b.Drill.Route}}, Playback: r.form.Playback,
		Variation: b.Variation, Planned: &session.Planned{Block: b.Number, Stage: p.Settings.Stage},
	}
	if needs := playback.RestFor(set.Playback, b.Drill); figure.Length(needs) > max(figure.Length(b.Drill.Rest), b.Drill.Meter.Bar()) {
		set.Drill.Rest = needs
	}
	set.Drill.Figure = p.Entry(n).Figure
	s, err := session.New(ctx, set, Most(), l)
	return s, fieldOf(err)
}

func hasChords(f figure.Figure) bool {
	for it := range f.Items() {
		if it.Chord != nil {
			return true
		}
	}
	return false
}

// A telling is what the words of a plan need beside it.
type telling struct {
	text  map[string]string // the fields
	aside []string          // ideas that are put aside or cannot be planned
	ours  bool
}

// plan plans the day that is asked for.
func plan(text []byte, log string) (practice.Plan, practice.Log, telling, error) {
	d, l, r, err := readDay(text, log)
	if err != nil {
		return practice.Plan{}, l, telling{}, err
	}
	told := telling{aside: []string{}, ours: len(d.Ideas) == 0}
	s := practice.Settings{Minutes: d.Minutes, Instrument: r.form.Drill.Parts[0], Stage: practice.StageConstantOrders, Seed: 1}
	if s.Date, err = practice.ParseDate(d.Date); err != nil {
		return practice.Plan{}, l, told, err
	}
	if told.text, err = parse(d.Settings); err != nil {
		return practice.Plan{}, l, told, err
	}
	for n := range l.Entries {
		if e := &l.Entries[n]; e.Instrument == s.Instrument.Name && e.Date < s.Date {
			s.Stage = e.Stage
		}
	}
	if d.Stage != "" {
		if err := s.Stage.UnmarshalText([]byte(d.Stage)); err != nil {
			return practice.Plan{}, l, told, err
		}
	}
	if told.ours {
		s.Ideas = ourIdeas()
	}
	for _, idea := range d.Ideas {
		if until, err := practice.ParseDate(idea.Until); err == nil && until > s.Date {
			told.aside = append(told.aside, idea.Name+": put aside, comes back on "+idea.Until)
			continue
		}
		i, err := idea.read()
		if err == nil {
			err = alone(s.Ideas, i)
		}
		if err != nil {
			_, why := Text(err)
			told.aside = append(told.aside, idea.Name+": "+why)
			continue
		}
		s.Ideas = append(s.Ideas, i)
	}
	if len(s.Ideas) == 0 {
		return practice.Plan{Settings: s}, l, told, nil
	}
	p, err := practice.NewPlan(s, l)
	return p, l, told, err
}

// readDay reads what is asked for, and the fields as far as they name an instrument.
func readDay(text []byte, log string) (Day, practice.Log, reader, error) {
	var d Day
	var r reader
	if len(text) > MaxPlan {
		return d, practice.Log{}, r, fmt.Errorf("your ideas are %d bytes long; a plan is made of at most %d", len(text), MaxPlan)
	}
	if err := json.Unmarshal(text, &d); err != nil {
		return d, practice.Log{}, r, errors.New("what is asked for is no JSON object of a day")
	}
	l, err := practice.Read(strings.NewReader(log))
	if err != nil {
		return d, l, r, err
	}
	fields, err := parse(d.Settings)
	if err == nil {
		fields["parts"] = "" // a plan and a log are in the instrument's own keys
		err = r.readPart(fields)
	}
	return d, l, r, err
}

// alone refuses a figure that is there already.
func alone(ideas []practice.Idea, i practice.Idea) error {
	for _, j := range ideas {
		if j.Figure.Equal(i.Figure) {
			return fmt.Errorf("the same figure as %s, which is planned", j.Name)
		}
	}
	if len(ideas) == 64 {
		return errors.New("a plan is made of 64 ideas at most")
	}
	return nil
}

// read reads an idea as the plan takes it.
func (i Idea) read() (practice.Idea, error) {
	f, err := figureOf(i.Settings)
	if err != nil {
		return practice.Idea{}, err
	}
	text, err := parse(i.Settings)
	if err != nil {
		return practice.Idea{}, err
	}
	out := practice.Idea{Name: shortened(i.Name), Figure: f, Goal: i.Goal}
	if err := out.Meter.UnmarshalText([]byte(text["meter"])); err != nil {
		return out, in("meter", err)
	}
	if out.Tempo, err = readTempo(text["tempo"]); err != nil {
		return out, err
	}
	if out.Goal != 0 {
		if out.Goal < drill.MinTempo || out.Goal > drill.MaxTempo {
			return out, fmt.Errorf("the goal is a tempo from %d to %d, not %d", drill.MinTempo, drill.MaxTempo, out.Goal)
		}
		out.Tempo = min(out.Tempo, out.Goal)
	}
	for _, text := range append(slices.Clone(i.Variations), i.Settings["vary"]) {
		v, err := figure.ParseVariation(text)
		if err != nil {
			continue // one of another figure, or none
		}
		if _, err := v.Apply(out.Figure); err == nil && !slices.Contains(out.Variations, v) && len(out.Variations) < 16 {
			out.Variations = append(out.Variations, v)
		}
	}
	return out, nil
}

// shortened returns a name as a plan takes it: 200 bytes of UTF-8 at most.
func shortened(name string) string {
	for len(name) > 200 {
		_, size := utf8.DecodeLastRuneInString(name)
		name = name[:len(name)-size]
	}
	return name
}

// ourIdeas are those to begin with, as examples/today has them.
func ourIdeas() []practice.Idea {
	var all []practice.Idea
	for _, text := range strings.Split(say.OwnFigures, ";") {
		name, degrees, _ := strings.Cut(text, "=")
		f, err := figure.Parse(strings.TrimSpace(degrees))
		if err != nil {
			continue
		}
		i := practice.Idea{Name: strings.TrimSpace(name), Figure: f}
		for _, text := range strings.Split(say.OwnVariations, ";") {
			v, err := figure.ParseVariation(text)
			if err != nil {
				continue
			}
			if _, err := v.Apply(f); err == nil {
				i.Variations = append(i.Variations, v)
			}
		}
		all = append(all, i)
	}
	return all
}
