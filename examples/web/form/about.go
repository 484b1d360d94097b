package form

import (
	"fmt"
	"slices"

	"example.com/keyorder/figure"
)

const mostFirst = 10 // first tries that are told of a figure

// An About is what can be done with a figure, and how its first tries went.
type About struct {
	Offers     []Offer  `json:"offers"`
	Beginnings []string `json:"beginnings"` // its first two notes, its first three, and so on, up to all
	Played     bool     `json:"played"`     // it was played on the day, on the instrument
	First      []Take   `json:"first"`      // the last first tries of a day on the instrument
}

// An Offer is a variation of a figure that can be played.
type Offer struct {
	Text    string `json:"text"`
	Means   string `json:"means"`
	Degrees string `json:"degrees"` // of the figure varied
}

// Figure says what can be done with the figure that the fields have, as it is before it
// is varied.
func Figure(day []byte, log string) (About, error) {
	d, l, r, err := readDay(day, log)
	if err != nil {
		return About{}, err
	}
	f, err := figureOf(d.Settings)
	if err != nil {
		return About{}, err
	}
	a := About{Offers: offers(f), Beginnings: []string{}, First: []Take{}}
	for n := 2; n <= MaxNotes; n++ {
		g, err := f.First(n)
		if before, _ := f.First(n - 1); err != nil || g.Equal(before) {
			break
		}
		a.Beginnings = append(a.Beginnings, degrees(g))
	}
	for n := range l.Entries {
		e := &l.Entries[n]
		if e.Instrument != r.form.Drill.Parts[0].Name || !e.Figure.Equal(f) {
			continue
		}
		a.Played = a.Played || e.Date.String() == d.Date
		if e.FirstTry {
			a.First = append(a.First, Take{Day: int32(e.Date), Tempo: e.Tempo, Clean: e.Clean, Played: e.Played, First: true})
		}
	}
	a.First = a.First[max(0, len(a.First)-mostFirst):]
	return a, nil
}

// figureOf reads the figure of the fields, as it is before it is varied.
func figureOf(settings map[string]string) (figure.Figure, error) {
	text, err := parse(settings)
	if err != nil {
		return figure.Figure{}, err
	}
	text["vary"] = ""
	var r reader
	for _, read := range []func(map[string]string) error{r.readNames, r.readFigure} {
		if err := read(text); err != nil {
			return figure.Figure{}, err
		}
	}
	return r.form.Drill.Figure, nil
}

// offers returns variations of a figure, each other than the figure and than those
// before it.
func offers(f figure.Figure) []Offer {
	lengths, about := "", "1"
	for it := range f.Items() {
		if len(it.Degrees) == 0 {
			continue
		}
		if lengths == "" {
			about = it.Degrees[0].Plain()
		}
		lengths = " " + eighths(it.Length) + lengths // from the last to the first
	}
	tries := []string{
		"retrograde", "from the last note to the first",
		"inversion about " + about, "upside down, around its first note",
		"rotation 1", "from the second note on",
		"displaced 1/8", "an eighth later",
		"displaced -1/8", "an eighth earlier",
		"rhythm" + lengths, "its rhythm from the last note to the first",
		"rhythm 3 1", "long, short",
		"octave up 2", "the second note an octave higher",
		"octave down 2", "the second note an octave lower",
		"in minor", "in minor", "in dorian", "in dorian", "in major", "in major",
	}
	all := []Offer{}
	seen := []figure.Figure{f}
	for n := 0; n < len(tries); n += 2 {
		v, err := figure.ParseVariation(tries[n])
		if err != nil {
			continue
		}
		g, err := v.Apply(f)
		if err != nil || g.NoteCount() > MaxNotes || slices.ContainsFunc(seen, g.Equal) {
			continue
		}
		seen = append(seen, g)
		text := degrees(g)
		if g.Scale() != f.Scale() {
			text += " in " + g.Scale().String()
		}
		all = append(all, Offer{v.String(), tries[n+1], text})
	}
	return all
}

// eighths writes a length as a rhythm has it.
func eighths(l figure.Length) string {
	if l%figure.Eighth == 0 {
		return fmt.Sprint(int(l / figure.Eighth))
	}
	return fmt.Sprintf("%d/%d", int(l), int(figure.Eighth))
}
