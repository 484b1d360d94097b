package practice

import (
	"fmt"
	"iter"
	"slices"
	"time"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
)

// The bounds of a plan.
const (
	mostIdeas      = 64               // figures in its settings
	mostVariations = 16               // of a figure
	setup          = 10 * time.Second // before each block, to turn the page and count in
	maxBlock       = 5 * time.Minute  // of one block
	maxStretch     = 25 * time.Minute // without a pause
	pauseTime      = 5 * time.Minute  // of a pause
)

// An Idea is a figure to be practised. Only the figure must be given.
type Idea struct {
	Name   string        `json:"name"` // at most 200 bytes of UTF-8; the figure's text if empty
	Figure figure.Figure `json:"figure"`
	Meter  drill.Meter   `json:"meter"`
	// Tempo is where to begin while the log has nothing of the figure, in beats
	// a minute; 0 means 80. Goal is the tempo that no advice goes beyond; 0
	// means 120, or Tempo if that is more.
	Tempo int `json:"tempo,omitempty"`
	Goal  int `json:"goal,omitempty"`
	// Variations are those that the plan may take in place of the figure, at most
	// 16, in the second pass of a day once the last first try was clean. What is
	// played so is logged as a variation of the figure, and counts for the moves
	// between keys; it is no first try.
	Variations []figure.Variation `json:"variations,omitempty"`
}

// Settings say what a plan is for. Ideas, Date and Instrument must
// be given.
type Settings struct {
	Ideas      []Idea           `json:"ideas"` // 1 to 64
	Date       Date             `json:"date"`
	Minutes    int              `json:"minutes,omitempty"` // part of a session: 1 to [MaxMinutes], and 0 means 15
	Instrument drill.Instrument `json:"instrument"`
	Stage      Stage            `json:"stage"`
	// Seed varies what would be as good one way as another. The same seed gives
	// the same plan.
	Seed uint64 `json:"seed,omitempty"`
}

// A Plan is what to practise on a day, as [NewPlan] makes it: blocks of at most
// five minutes, and a pause of five after at most twenty-five. Its JSON form keeps it, so that what is
// recorded of it later speaks of the plan that was shown.
type Plan struct {
	// Settings are those of the plan, with defaults filled in.
	Settings Settings `json:"settings"`
	// Blocks are what to do, one after the other. There are none if nothing
	// fits.
	Blocks []Block `json:"blocks"`
	// Aside says what was left aside, and why.
	Aside []Aside `json:"aside,omitempty"`
	// Remarks are advice on the plan as a whole.
	Remarks Reasons `json:"remarks,omitempty"`
}

// A Block is a few minutes of a plan: a figure taken through some keys, once,
// or a pause.
type Block struct {
	Start  time.Duration `json:"start_ns"`  // from the beginning of the plan
	Length time.Duration `json:"length_ns"` // with ten seconds before it, to turn the page and count in
	// Pause says that it is a pause. It then has nothing of what follows but
	// the reason for its length.
	Pause bool `json:"pause,omitempty"`
	// Number counts the blocks of the plan from 1, pauses left out.
	Number int `json:"number,omitempty"`
	// Test says that it is the day's first try at the figure.
	Test bool `json:"test,omitempty"`
	// Weak says that it takes moves that failed of late.
	Weak bool `json:"weak,omitempty"`
	// Order is the name of the order, as [cycle.Parse] reads it. It is empty where
	// the keys are no order. The route may have some of its keys only.
	Order string `json:"order,omitempty"`
	// Variation is how the figure is varied, if it is; the drill has it varied.
	Variation figure.Variation `json:"variation"`
	// Drill is what to play: [drill.New] takes it.
	Drill drill.Settings `json:"drill"`
	Why   Why            `json:"reasons"`
}

// A Why gives the reason for each choice in a block. That of a pause has Length
// only.
type Why struct {
	Figure Reason  `json:"figure"`
	Varied Reason  `json:"varied"`
	Keys   Reasons `json:"keys,omitempty"`
	Tempo  Reason  `json:"tempo"`
	Rest   Reason  `json:"rest"`
	Length Reason  `json:"length"`
}

// An Aside is what a plan leaves aside: an idea, or some keys of one.
type Aside struct {
	Idea   Idea            `json:"idea"`
	Keys   []spelling.Name `json:"keys,omitempty"` // the keys that do not fit, as the part reads them; none for the whole idea
	Reason Reason          `json:"because"`
}

// Length returns the time that the plan takes, which is at most the minutes of
// its settings.
func (p Plan) Length() time.Duration {
	if len(p.Blocks) == 0 {
		return 0
	}
	last := p.Blocks[len(p.Blocks)-1]
	return last.Start + last.Length
}

// Routes yields the routes of the plan as they are played, each with the name
// of its order, which is empty where it is none.
func (p Plan) Routes() iter.Seq2[string, cycle.Route] {
	return func(yield func(string, cycle.Route) bool) {
		for _, b := range p.Blocks {
			if !b.Pause && !yield(b.Order, b.Drill.Route) {
				return
			}
		}
	}
}

// Entry returns the log entry of a block of the plan, counted from 0, played
// without a fault: take off what failed. For a pause, or a block that the plan
// has not, it returns the zero value.
func (p Plan) Entry(block int) Entry {
	if block < 0 || block >= len(p.Blocks) || p.Blocks[block].Pause {
		return Entry{}
	}
	b := p.Blocks[block]
	e := Entry{
		Date: p.Settings.Date, Minutes: rounded(b.Start+b.Length) - rounded(b.Start), Figure: p.idea(b), Variation: b.Variation,
		Order: b.Order, Route: b.Drill.Route, Instrument: p.Settings.Instrument.Name,
		Stage: p.Settings.Stage, Tempo: b.Drill.Tempo, Rest: b.Drill.Rest,
		Clean: b.Drill.Route.Len(), Played: b.Drill.Route.Len(), FirstTry: b.Test,
		Block: b.Number,
	}
	if d, err := drill.New(b.Drill); err == nil {
		for s := range d.Parts()[0].Statements() {
			e.First = s.Written
			break
		}
	}
	return e
}

// rounded returns whole minutes. Those of blocks are taken from begin to end, so that
// together they are no more than the plan takes.
func rounded(d time.Duration) int { return int(d.Round(time.Minute).Minutes()) }

// idea returns the figure of a block as it stands before it is varied.
func (p Plan) idea(b Block) figure.Figure {
	if b.Variation == (figure.Variation{}) {
		return b.Drill.Figure
	}
	for _, i := range p.Settings.Ideas {
		if f, err := b.Variation.Apply(i.Figure); err == nil && f.Equal(b.Drill.Figure) && i.Name == b.Drill.Title {
			return i.Figure
		}
	}
	return b.Drill.Figure
}

// Done returns which entry of a log records each block, by its place in
// l.Entries: an entry of the same day, figure, variation, keys and instrument, the one with
// the block's number before others. It is −1 for a block that none does. No
// entry records two.
func (p Plan) Done(l Log) []int {
	done := make([]int, len(p.Blocks))
	for n := range done {
		done[n] = -1
	}
	ideas := make([]figure.Figure, len(p.Blocks))
	for n, b := range p.Blocks {
		ideas[n] = p.idea(b)
	}
	var others []int // entries that name no block of this plan
	for i := range l.Entries {
		if e := &l.Entries[i]; e.Date != p.Settings.Date || e.Instrument != p.Settings.Instrument.Name {
			continue
		} else if n := p.open(done, ideas, e, e.Block); e.Block > 0 && n >= 0 {
			done[n] = i
		} else {
			others = append(others, i)
		}
	}
	for _, i := range others {
		if n := p.open(done, ideas, &l.Entries[i], 0); n >= 0 {
			done[n] = i
		}
	}
	return done
}

// open returns the place of the first block that is not done and has the figure
// and the keys of an entry, and the number if that is not 0; or −1.
func (p Plan) open(done []int, ideas []figure.Figure, e *Entry, number int) int {
	for n, b := range p.Blocks {
		if done[n] < 0 && !b.Pause && (number == 0 || number == b.Number) && ideas[n].Equal(e.Figure) && b.Variation == e.Variation && b.Drill.Route.Equal(e.Route) {
			return n
		}
	}
	return -1
}

// NewPlan plans a day. Of the log it takes what was played before the day on
// the instrument, so that what is logged during the day leaves the plan as it
// is. Figures and keys that do not fit the instrument are left aside. The error
// is a *fault.ValueError: a setting or an entry is out of bounds.
//
// Its time grows linearly with a log whose dates ascend; others are sorted
// first.
func NewPlan(s Settings, l Log) (Plan, error) {
	if s.Minutes == 0 {
		s.Minutes = 15
	}
	s.Ideas = slices.Clone(s.Ideas)
	for n := range s.Ideas {
		s.Ideas[n].fill()
	}
	if err := s.check(); err != nil {
		return Plan{}, err
	}
	for n := range l.Entries {
		if err := l.Entries[n].check(); err != nil {
			return Plan{}, &fault.ValueError{Setting: fmt.Sprintf("entry %d of the log", n+1), Err: err}
		}
	}
	p := planner{plan: Plan{Settings: s}, seed: s.Seed ^ uint64(s.Date)<<20, past: readPast(s, l)}
	p.prepare()
	p.choose()
	p.fill()
	p.rest()
	p.remark()
	if p.err != nil {
		return Plan{}, p.err
	}
	return p.plan, nil
}

func (i *Idea) fill() {
	if i.Name == "" {
		i.Name = i.Figure.String()
		if len(i.Name) > maxText {
			i.Name = fmt.Sprintf("a figure of %d notes", i.Figure.NoteCount())
		}
	}
	if i.Tempo == 0 {
		i.Tempo = 80
	}
	if i.Goal == 0 {
		i.Goal = max(120, i.Tempo)
	}
}

func (s *Settings) check() error {
	refuse := func(setting string, value any, want string, args ...any) error {
		return &fault.ValueError{Setting: setting, Value: fmt.Sprint(value), Want: fmt.Sprintf(want, args...)}
	}
	switch {
	case len(s.Ideas) == 0 || len(s.Ideas) > mostIdeas:
		return refuse("figures", len(s.Ideas), "a plan is for 1 to %d figures", mostIdeas)
	case s.Minutes < 1 || s.Minutes > MaxMinutes:
		return refuse("minutes", s.Minutes, "a plan is for 1 to %d minutes", MaxMinutes)
	case s.Date == 0:
		return refuse("date", "", "a plan is for a day; set Date, as to DateOf(time.Now())")
	case s.Instrument.Name == "" || !isText(s.Instrument.Name):
		return refuse("instrument", s.Instrument.Name, "an instrument has a name of at most %d bytes of UTF-8", maxText)
	}
	if err := s.Date.check(); err != nil {
		return err
	}
	if _, err := s.Stage.MarshalText(); err != nil {
		return err
	}
	for n, i := range s.Ideas {
		switch same := slices.IndexFunc(s.Ideas[:n], func(j Idea) bool { return j.Figure.Equal(i.Figure) }); {
		case same >= 0:
			return refuse("figure", i.Figure.Plain(), "figures %d and %d are the same; each is given once", same+1, n+1)
		case !isText(i.Name):
			return refuse("name", i.Name, "a figure's name has at most %d bytes of UTF-8", maxText)
		case i.Figure.NoteCount() == 0:
			return refuse("figure", i.Figure.Plain(), "figure %d needs at least one note", n+1)
		case len(i.Variations) > mostVariations:
			return refuse("variations", len(i.Variations), "a figure has at most %d variations", mostVariations)
		case i.Tempo < drill.MinTempo || i.Goal > drill.MaxTempo || i.Tempo > i.Goal:
			return refuse("tempo", fmt.Sprintf("%d to %d", i.Tempo, i.Goal), "the tempi of figure %d go from %d to %d, the goal not below the beginning", n+1, drill.MinTempo, drill.MaxTempo)
		}
		for _, v := range i.Variations {
			if _, err := v.Apply(i.Figure); err != nil {
				return &fault.ValueError{Setting: "variation", Value: v.String(), Err: err}
			}
		}
	}
	// The tonic alone fits every instrument that has a range.
	_, err := drill.New(drill.Settings{Figure: figure.MustParse("1"), Route: cycle.Shuffle(0).Open(), Parts: []drill.Instrument{s.Instrument}, LeaveOut: true})
	return err
}
