package form

import (
	"strings"

	"example.com/keyorder/examples/internal/say"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/practice"
	"example.com/keyorder/pitch"
)

// Choices are what a player can choose from; figure, order, first key,
// names of keys, instrument and meter can be typed as well.
type Choices struct {
	Fields    []Field             `json:"fields"`
	Choices   map[string][]Choice `json:"choices"` // by field
	Cautions  []string            `json:"cautions"`
	MaxLength int                 `json:"max_length"` // of the settings
	Hertz     [128]float64        `json:"hertz"`      // of each key number, A4 at 440
}

// A Choice is a text to choose, and what it means.
type Choice struct {
	Text  string `json:"text"`
	Means string `json:"means"`
}

// listed are the choices of each field that are nobody else's to list: a line each,
// with what it means behind two dashes.
const listed = `figure
	1:3 5 4 2 3:2 -- a bar with a dotted quarter
	1 4 b3 b7 in dorian -- four eighths in dorian
	1 3 5 3 1:4 -- a triad, there and back
	5 | 1 4 2 1:2 -- with a pickup
	1 3 5 b7 in mixolydian -- a dominant seventh chord
	1+3+5:4 -- three notes at once
range
	comfortable -- comfortable: where most players are at ease
	first years -- first years: what a beginner reaches
	full -- full: what the tables give
meter
	4/4 --
	3/4 --
	2/4 --
	6/8 --
	5/4 --
	7/8 --
	12/8 --
rest
	-- as the sound needs
	0 -- none
	1 -- 1 bar
	2 -- 2 bars
	3 -- 3 bars
	4 -- 4 bars
close
	held -- one note, held
	full -- the whole figure
	open -- not at all
fit
	refuse -- say so, and do not start
	leave out -- leave them out
sound
	click -- nothing
	answer -- the answer, after your turn
	model -- the model, with you
bass
	none -- none
	roots and fifths -- roots and fifths
	walking -- walking
chords
	none -- none
	whole notes -- held
	2 and 4 -- on 2 and 4
	1 and the and of 2 -- on 1 and the and of 2
drone
	none -- none
	tonic -- the tonic and its fifth
between
	wait -- waits
	keep time -- keeps time
	dominant -- leads to the next key
free
	0 -- none
	1 -- 1
	2 -- 2
	4 -- 4
	8 -- 8
vary
	-- as it is
	retrograde -- from the last note to the first
	inversion -- upside down
	rotation 1 -- from the second note on
	displaced 1/8 -- an eighth later
	rhythm 3 1 -- long, short
	octave up 2 -- the second note an octave higher
	in minor -- in another scale
	first 3 -- its first three notes
show
	ask -- when you ask
	after -- after each key
scale
	-- as in the figure
names
	flats -- D♭ E♭ G♭ A♭ B♭ throughout`

// ordersToo are orders beside the eleven.
const ordersToo = `order
	P4,-m3 -- up a fourth, down a minor third, in turn
	all -- the eleven orders, one after another
	signs -- by the number of sharps or flats
	wedge -- closing in from both sides
	balanced -- a balanced row
	square -- twelve rows of one square, one after another
	loops -- eleven loops through all twelve keys
	shuffle:7 -- shuffled, the same for the same number
	everymove -- all 132 moves in one run
	fresh -- what you have practised least`

// AllChoices returns the choices.
func AllChoices() Choices {
	c := Choices{Fields: Fields(), Cautions: practice.Cautions(), MaxLength: MaxSettings, Choices: map[string][]Choice{}}
	add := func(lists string) {
		field := ""
		for _, line := range strings.Split(lists, "\n") {
			if text, means, ok := strings.Cut(line, "--"); ok {
				c.Choices[field] = append(c.Choices[field], Choice{strings.TrimSpace(text), strings.TrimSpace(means)})
			} else {
				field = line
			}
		}
	}
	add(listed)
	for n := range c.Hertz {
		c.Hertz[n] = pitch.Number(n).Hertz(440)
	}
	for _, names := range figure.CommonScales() {
		means := names[0]
		if len(names) > 1 {
			means += " (" + strings.Join(names[1:], ", ") + ")"
		}
		c.Choices["scale"] = append(c.Choices["scale"], Choice{names[0], means})
	}
	for _, o := range say.Orders11(0) {
		c.Choices["order"] = append(c.Choices["order"], Choice{o.Text, o.Title})
	}
	add(ordersToo)
	for _, tonic := range figure.Major.Tonics() {
		c.Choices["first"] = append(c.Choices["first"], Choice{Text: tonic.String()})
	}
	for i := range drill.Instruments(drill.LevelComfortable) {
		c.Choices["instrument"] = append(c.Choices["instrument"], Choice{Text: i.Name})
	}
	return c
}
