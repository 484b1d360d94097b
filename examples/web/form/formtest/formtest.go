// Package formtest draws settings of a session at random, for tests that try
// whatever a player might ask for.
package formtest

import (
	"fmt"

	"example.com/keyorder/examples/web/form"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
)

// Settings draws settings by draw, which returns a number from 0 to n − 1.
// Most of them are valid: form.New refuses the others, as a rest that is
// too short for the answer. The figures have 1 to 8 events, every third one
// pitch alone.
func Settings(draw func(n int) int) map[string]string {
	c := form.AllChoices()
	given := map[string]string{"figure": drawFigure(draw)}
	band := draw(3) == 0 // over a chord
	if band {
		given["figure"] = "{2 m7} " + given["figure"]
	}
	for _, f := range c.Fields {
		choices := c.Choices[f.Name]
		switch f.Name {
		case "figure", "scale": // the figure names its scale
		case "tempo":
			given[f.Name] = fmt.Sprint(drill.MinTempo + draw(drill.MaxTempo-drill.MinTempo+1))
		case "order":
			given[f.Name] = choices[draw(len(choices))].Text
			if draw(4) == 0 {
				given[f.Name] += " " + choices[draw(11)].Text // of the eleven
			}
		case "instrument": // some with a range of their own, of one note and to the end of all notes
			list := []string{"trumpet C4-C4", "bass guitar E2-G9", "piano C-1-G9"}
			for _, choice := range choices {
				list = append(list, choice.Text)
			}
			given[f.Name] = list[draw(len(list))]
		case "fit": // mostly left out, for else most wide figures are refused
			if draw(5) > 0 {
				given[f.Name] = "leave out"
			}
		case "bass", "chords", "between":
			if band {
				given[f.Name] = choices[draw(len(choices))].Text
			}
		case "parts": // some, with an instrument that reads concert keys
			if draw(6) == 0 {
				given[f.Name] = []string{"trumpet, alto saxophone, horn", "clarinet", "bass clarinet,clay flute: down M2 D3-D6"}[draw(3)]
				delete(given, "instrument")
			}
		case "vary": // not every figure can be varied in every way
			if draw(8) == 0 {
				given[f.Name] = choices[draw(len(choices))].Text
			}
		case "keys": // some, in place of an order
			if draw(8) == 0 {
				given[f.Name] = []string{"Bb Eb F x3", "F#", "C G C Gb"}[draw(3)]
			}
		default:
			if draw(3) > 0 {
				given[f.Name] = choices[draw(len(choices))].Text
			}
		}
	}
	if given["keys"] != "" {
		delete(given, "order")
		delete(given, "first")
	}
	return given
}

func drawFigure(draw func(n int) int) string {
	var scales []figure.Scale
	for s := range figure.CommonScales() {
		scales = append(scales, s)
	}
	units := []figure.Length{figure.Quarter / 4, figure.Quarter / 3, figure.Quarter / 2, figure.Quarter}
	one := drawDegree(draw)
	onePitch := draw(3) == 0
	for { // until no note is there twice at once and the scale has all degrees
		unit := units[draw(len(units))]
		items := make([]figure.Item, 1+draw(8))
		for n := range items {
			items[n].Length = unit * figure.Length(1+draw(4))
			switch kind := draw(12); {
			case kind == 0 && n > 0: // a rest
				continue
			case onePitch:
				items[n].Degrees = []figure.Degree{one}
			default:
				for range max(1, kind-8) {
					items[n].Degrees = append(items[n].Degrees, drawDegree(draw))
				}
			}
			if draw(6) == 0 {
				items[n].Chord = &figure.Chord{Root: figure.Degree{Step: int8(draw(7)), Explicit: true}, Suffix: []string{"", "m7", "maj7", "7"}[draw(4)]}
			}
		}
		before := max(0, draw(6)-3)
		if f, err := figure.New(scales[draw(len(scales))], unit, min(before, len(items)-1), items...); err == nil {
			return f.Plain()
		}
		one = drawDegree(draw)
	}
}

func drawDegree(draw func(n int) int) figure.Degree {
	d := figure.Degree{Step: int8(draw(16) - 5)}
	if draw(3) == 0 {
		d.Explicit, d.Alteration = true, int8(draw(3)-1)
	}
	return d
}
