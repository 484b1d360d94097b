package practice

import (
	"fmt"
	"iter"
	"slices"
	"time"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/spelling"
)

// MaxIdeas is how many figures the settings of a plan hold.
const MaxIdeas = 64

// The times that a plan keeps to.
const (
	Setup      = 10 * time.Second // before each block, to turn the page and count in
	MaxBlock   = 5 * time.Minute  // of one block
	MaxStretch = 25 * time.Minute // without a pause
	PauseTime  = 5 * time.Minute  // of a pause
)

// An Idea is a figure to be practised. Only the figure must be given.
type Idea struct {
	Name   string        `json:"name"` // at most MaxText bytes of UTF-8; the figure's text if empty
	Figure figure.Figure `json:"figure"`
	Meter  drill.Meter   `json:"meter"`
	// Tempo is where to begin while the log has nothing of the figure, in beats
	// a minute; 0 means 80. Goal is the tempo that no advice goes beyond; 0
	// means 120, or Tempo if that is more.
	Tempo int `json:"tempo,omitempty"`
	Goal  int `json:"goal,omitempty"`
}

// Settings say what a plan is for. Ideas, Date and Instrument must
// be given.
type Settings struct {
	Ideas      []Idea           `json:"ideas"` // 1 to MaxIdeas
	Date       Date             `json:"date"`
	Minutes    int              `json:"minutes,omitempty"` // part of a session: 1 to MaxMinutes, and 0 means 15
	Instrument drill.Instrument `json:"instrument"`
	Stage      Stage            `json:"stage"`
	// Seed varies what would be as good one way as another. The same seed gives
	// the same plan.
	Seed uint64 `json:"seed,omitempty"`
}

// A Plan is what to practise on a day. Its JSON form keeps it, so that what is
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
	Remarks []string `json:"notes,omitempty"`
}

// A Block is a few minutes of a plan: a figure taken through some keys, once,
// or a pause.
type Block struct {
	Start  time.Duration `json:"start_ns"`  // from the beginning of the plan
	Length time.Duration `json:"length_ns"` // with the Setup before it
	// Pause says that it is a pause. It then has nothing of what follows but
	// the reason for its length.
	Pause bool `json:"pause,omitempty"`
	// Number counts the blocks of the plan from 1, pauses left out.
	Number int `json:"number,omitempty"`
	// Test says that it is the day's first try at the figure.
	Test bool `json:"test,omitempty"`
	// Weak says that it takes moves that failed of late.
	Weak bool `json:"weak,omitempty"`
	// Pass counts the blocks of the figure in this plan, from 1.
	Pass int `json:"pass,omitempty"`
	// Order is the name of the order, as cycle.Parse reads it. It is empty where
	// the keys are no order. The route may have some of its keys only.
	Order string `json:"order,omitempty"`
	// Drill is what to play: drill.New takes it.
	Drill drill.Settings `json:"drill"`
	Why   Why            `json:"why"`
}

// A Why gives the reason for each choice in a block, as a short phrase.
type Why struct {
	Figure string `json:"figure,omitempty"`
	Keys   string `json:"keys,omitempty"`
	Tempo  string `json:"tempo,omitempty"`
	Rest   string `json:"rest,omitempty"`
	Length string `json:"length,omitempty"`
}

// An Aside is what a plan leaves aside: an idea, or some keys of one.
type Aside struct {
	Idea   Idea            `json:"idea"`
	Keys   []spelling.Name `json:"keys,omitempty"` // the keys that do not fit, as the part reads them; none for the whole idea
	Reason string          `json:"reason"`
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
		Date: p.Settings.Date, Minutes: max(1, int(b.Length.Round(time.Minute).Minutes())), Figure: b.Drill.Figure,
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

// Done returns which entry of a log records each block, by its place in
// l.Entries: an entry of the same day, figure, keys and instrument, the one with
// the block's number before others. It is −1 for a block that none does. No
// entry records two.
func (p Plan) Done(l Log) []int {
	done := make([]int, len(p.Blocks))
	for n := range done {
		done[n] = -1
	}
	var others []int // entries that name no block of this plan
	for i := range l.Entries {
		if e := &l.Entries[i]; e.Date != p.Settings.Date || e.Instrument != p.Settings.Instrument.Name {
			continue
		} else if n := p.open(done, e, e.Block); e.Block > 0 && n >= 0 {
			done[n] = i
		} else {
			others = append(others, i)
		}
	}
	for _, i := range others {
		if n := p.open(done, &l.Entries[i], 0); n >= 0 {
			done[n] = i
		}
	}
	return done
}

// open returns the place of the first block that is not done and has the figure
// and the keys of an entry, and the number if that is not 0; or −1.
func (p Plan) open(done []int, e *Entry, number int) int {
	for n, b := range p.Blocks {
		if done[n] < 0 && !b.Pause && (number == 0 || number == b.Number) && b.Drill.Figure.Equal(e.Figure) && b.Drill.Route.Equal(e.Route) {
			return n
		}
	}
	return -1
}

// NewPlan plans a day. Of the log it takes what was played before the day on
// the instrument, so that what is logged during the day leaves the plan as it
// is. Figures and keys that do not fit the instrument are left aside. The error
// is an *Error where a setting or an entry is out of bounds, or a *drill.Error
// for the instrument.
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
			err.Input = fmt.Sprintf("entry %d of the log: %s", n+1, err.Input)
			return Plan{}, err
		}
	}
	p := planner{plan: Plan{Settings: s}, seed: s.Seed ^ uint64(s.Date)<<20, past: readPast(s, l)}
	p.prepare()
	p.choose()
	p.fill()
	p.rest()
	p.note()
	return p.plan, nil
}

func (i *Idea) fill() {
	if i.Name == "" {
		i.Name = i.Figure.String()
		if len(i.Name) > MaxText {
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
	refuse := func(reason, format string, args ...any) error {
		return &Error{fmt.Sprintf(format, args...), reason}
	}
	switch {
	case len(s.Ideas) == 0 || len(s.Ideas) > MaxIdeas:
		return refuse(fmt.Sprintf("a plan is for 1 to %d figures", MaxIdeas), "%d figures", len(s.Ideas))
	case s.Minutes < 1 || s.Minutes > MaxMinutes:
		return refuse(fmt.Sprintf("a plan is for 1 to %d minutes", MaxMinutes), "%d minutes", s.Minutes)
	case s.Stage > StageMixedRows:
		return refuse("it is none of the stages", "stage %d", s.Stage)
	case s.Date == 0:
		return refuse("a plan is for a day; set Date, as to DateOf(time.Now())", "")
	case s.Date < minDate || s.Date > maxDate:
		return refuse("a date lies in the years 1 to 9999", "day %d", int32(s.Date))
	case s.Instrument.Name == "" || !isText(s.Instrument.Name):
		return refuse(fmt.Sprintf("an instrument has a name of at most %d bytes of UTF-8", MaxText), "%s", s.Instrument.Name)
	}
	for n, i := range s.Ideas {
		switch same := slices.IndexFunc(s.Ideas[:n], func(j Idea) bool { return j.Figure.Equal(i.Figure) }); {
		case same >= 0:
			return refuse("each figure is given once", "figure %d and %d: %s", same+1, n+1, i.Figure.Plain())
		case !isText(i.Name):
			return refuse(fmt.Sprintf("a name has at most %d bytes of UTF-8", MaxText), "%s", i.Name)
		case i.Figure.NoteCount() == 0:
			return refuse("it needs at least one note", "figure %d: %s", n+1, i.Figure.Plain())
		case i.Tempo < drill.MinTempo || i.Goal > drill.MaxTempo || i.Tempo > i.Goal:
			return refuse(fmt.Sprintf("the tempi go from %d to %d, the goal not below the beginning", drill.MinTempo, drill.MaxTempo), "figure %d: from tempo %d to %d", n+1, i.Tempo, i.Goal)
		}
	}
	// The tonic alone fits every instrument that has a range.
	_, err := drill.New(drill.Settings{Figure: figure.MustParse("1"), Route: cycle.Shuffle(0).Open(), Parts: []drill.Instrument{s.Instrument}, LeaveOut: true})
	return err
}
