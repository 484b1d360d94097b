package form

import (
	"cmp"
	"slices"

	"example.com/keyorder/examples/internal/say"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/practice"
)

// The bounds of a history.
const (
	mostFigures = 40   // the last that were played
	mostTakes   = 1000 // of a figure, the last
)

// A History is what was practised, for pictures. Days are numbers of days since
// 1 January 1970.
type History struct {
	Instrument  string      `json:"instrument"`
	Instruments []string    `json:"instruments"` // of the log, those played last first
	Orders      []Row       `json:"orders"`      // the eleven
	Keys        [12]string  `json:"keys"`
	Days        []DayPlayed `json:"days"`  // those on which something was practised, on any instrument
	Takes       []Takes     `json:"takes"` // of each figure on the instrument, those played last first
	More        int         `json:"more"`  // figures that are not there
	Problem     string      `json:"problem,omitempty"`
}

// A Row is one of the eleven orders with its twelve moves, each by the key that it
// reaches.
type Row struct {
	Title string   `json:"title"`
	Moves [12]Move `json:"moves"`
}

// A Move is on which days a move between keys was clean, and on which it was made and
// never was.
type Move struct {
	From  string  `json:"from"`
	Clean []int32 `json:"clean"`
	Tried []int32 `json:"tried"`
}

// A DayPlayed is a day, its minutes as far as known, and its statements.
type DayPlayed struct {
	Day     int32 `json:"day"`
	Minutes int   `json:"minutes"`
	Clean   int   `json:"clean"`
	Played  int   `json:"played"`
}

// Takes are the times that a figure was taken through keys.
type Takes struct {
	Name string `json:"name"`
	Goal int    `json:"goal,omitempty"`
	Take []Take `json:"take"` // in the order of their days
}

// A Take is one of them.
type Take struct {
	Day    int32  `json:"day"`
	Tempo  int    `json:"tempo"`
	Clean  int    `json:"clean"`
	Played int    `json:"played"`
	First  bool   `json:"first,omitempty"` // the first try of its day
	Varied string `json:"varied,omitempty"`
	Part   bool   `json:"part,omitempty"` // the figure's beginning alone, as one learns it
}

// Past returns what was practised on the instrument that the fields name.
func Past(day []byte, log string) (History, error) {
	d, l, r, err := readDay(day, log)
	if err != nil {
		return History{}, err
	}
	h := History{Instrument: r.form.Drill.Parts[0].Name, Instruments: []string{}, Days: []DayPlayed{}, Takes: []Takes{}}
	if c, err := CheckLog(log); err == nil {
		h.Problem = c.Problem
	}
	var entries []*practice.Entry
	for n := range l.Entries {
		entries = append(entries, &l.Entries[n])
	}
	slices.SortStableFunc(entries, func(a, b *practice.Entry) int { return cmp.Compare(a.Date, b.Date) })
	h.addDays(entries)
	h.addMoves(entries)
	h.addTakes(entries, d.Ideas)
	return h, nil
}

func (h *History) addDays(entries []*practice.Entry) {
	for _, e := range entries {
		if last := len(h.Days) - 1; last < 0 || h.Days[last].Day != int32(e.Date) {
			h.Days = append(h.Days, DayPlayed{Day: int32(e.Date)})
		}
		day := &h.Days[len(h.Days)-1]
		day.Minutes, day.Clean, day.Played = day.Minutes+e.Minutes, day.Clean+e.Clean, day.Played+e.Played
		if last := len(h.Instruments) - 1; last >= 0 && h.Instruments[last] == e.Instrument {
			continue
		}
		h.Instruments = slices.DeleteFunc(h.Instruments, func(i string) bool { return i == e.Instrument })
		h.Instruments = append(h.Instruments, e.Instrument)
	}
	slices.Reverse(h.Instruments)
}

func (h *History) addMoves(entries []*practice.Entry) {
	var days [12][12]Move
	for _, e := range entries {
		if e.Instrument != h.Instrument {
			continue
		}
		for m, clean := range e.Moves() {
			of := &days[m.From][m.To]
			on := &of.Tried
			if clean {
				on = &of.Clean
			}
			if last := len(*on) - 1; last < 0 || (*on)[last] != int32(e.Date) {
				*on = append(*on, int32(e.Date))
			}
		}
	}
	for n, k := range figure.Major.Tonics() {
		h.Keys[n] = k.String()
	}
	for _, o := range say.Orders11(0) {
		row := Row{Title: o.Title}
		for m := range o.Route.Moves() {
			move := days[m.From][m.To]
			move.From = h.Keys[m.From]
			move.Tried = slices.DeleteFunc(move.Tried, func(day int32) bool { return slices.Contains(move.Clean, day) })
			move.Clean, move.Tried = append([]int32{}, move.Clean...), append([]int32{}, move.Tried...)
			row.Moves[m.To] = move
		}
		h.Orders = append(h.Orders, row)
	}
}

func (h *History) addTakes(entries []*practice.Entry, ideas []Idea) {
	type figureTakes struct {
		figure figure.Figure
		Takes
	}
	var all []figureTakes
	for _, e := range entries {
		if e.Instrument != h.Instrument {
			continue
		}
		at := slices.IndexFunc(all, func(f figureTakes) bool { return f.figure.Equal(e.Figure) })
		f := figureTakes{figure: e.Figure}
		if at >= 0 { // the last to be played stands last
			f = all[at]
			all = slices.Delete(all, at, at+1)
		}
		f.Take = append(f.Take, Take{int32(e.Date), e.Tempo, e.Clean, e.Played, e.FirstTry, e.Variation.String(), !say.Whole(e)})
		if all = append(all, f); len(all) > mostFigures {
			all = slices.Delete(all, 0, 1)
			h.More++
		}
	}
	var named []practice.Idea
	for _, i := range ideas {
		if idea, err := i.read(); err == nil {
			named = append(named, idea)
		}
	}
	named = append(named, ourIdeas()...)
	for _, f := range slices.Backward(all) {
		f.Name = f.figure.String()
		f.Take = f.Take[max(0, len(f.Take)-mostTakes):]
		if at := slices.IndexFunc(named, func(i practice.Idea) bool { return i.Figure.Equal(f.figure) }); at >= 0 {
			f.Name, f.Goal = named[at].Name, named[at].Goal
		}
		h.Takes = append(h.Takes, f.Takes)
	}
}
