package staff_test

import (
	"fmt"
	"strings"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/notation"
	"example.com/keyorder/figure/notation/staff"
	"example.com/keyorder/interval"
)

// layout lays out 3 5 1 6 by minor thirds, up and then down, for a flute.
func layout(o staff.Options) *staff.Layout {
	flute, err := drill.Find("flute", drill.LevelComfortable)
	if err != nil {
		panic(err)
	}
	var drills []*drill.Drill
	for _, step := range []interval.Interval{interval.MinorThird, -interval.MinorThird} {
		d, err := drill.New(drill.Settings{
			Figure: figure.MustParse("3 5 1 6"), Route: cycle.By(step).Closed(), Parts: []drill.Instrument{flute},
		})
		if err != nil {
			panic(err)
		}
		drills = append(drills, d)
	}
	score, err := notation.New(drills, notation.Options{Title: "Minor thirds"})
	if err != nil {
		panic(err)
	}
	l, err := staff.New(score, score.Parts()[0], o)
	if err != nil {
		panic(err)
	}
	return l
}

// The pages of a part, to be printed as they are.
func Example() {
	write := func(p *staff.Page) {
		var svg strings.Builder
		if err := p.WriteSVG(&svg); err != nil {
			fmt.Println(err)
			return
		}
		first, last := p.Bars()
		fmt.Printf("page %d, bars %d to %d\n", p.Number(), first, last)
		fmt.Println(strings.Split(svg.String(), "\n")[1])
	}
	for page := range layout(staff.Options{Paper: staff.Letter()}).Pages() {
		write(page)
	}
	// Output:
	// page 1, bars 1 to 59
	// <title>Minor thirds, flute, page 1</title>
}

// The first key alone, for a page of one's own: the first two bars, on a
// narrow line that a phone shows whole.
func ExampleLayout_Systems() {
	l := layout(staff.Options{Paper: staff.Paper{Width: 90, Height: 300}, Bars: 2})
	for system := range l.Systems() {
		var svg strings.Builder
		if err := system.WriteSVG(&svg); err != nil {
			fmt.Println(err)
			return
		}
		first, last := system.Bars()
		fmt.Printf("bars %d to %d, %.0f mm wide\n", first, last, system.Width())
		fmt.Println(strings.Split(svg.String(), "\n")[2])
	}
	// Output:
	// bars 1 to 2, 90 mm wide
	// <desc>Keys: C.</desc>
}

// Where each system stands on one long strip of paper, 4 mm apart and 10 where
// a drill begins.
func ExampleSystem() {
	paper := staff.A4()
	paper.Margin = 25
	var above *staff.System
	y := 0.0
	for s := range layout(staff.Options{Paper: paper}).Systems() {
		if above != nil {
			y += above.Height() + 4
		}
		if above != nil && s.Opens() {
			y += 6
		}
		first, last := s.Bars()
		fmt.Printf("bars %d to %d at %.0f mm\n", first, last, y)
		above = s
	}
	// Output:
	// bars 1 to 4 at 0 mm
	// bars 5 to 10 at 28 mm
	// bars 11 to 14 at 48 mm
	// bars 15 to 20 at 70 mm
	// bars 21 to 24 at 91 mm
	// bars 25 to 29 at 113 mm
	// bars 31 to 34 at 139 mm
	// bars 35 to 40 at 165 mm
	// bars 41 to 44 at 187 mm
	// bars 45 to 50 at 211 mm
	// bars 51 to 54 at 233 mm
	// bars 55 to 59 at 255 mm
}

// What stands on which page, and in which system, for a program that lays pages
// out itself: musicxml.WriteLaidOut takes it.
func ExampleLayout_Plan() {
	for _, s := range layout(staff.Options{Paper: staff.Letter()}).Plan()[:3] {
		fmt.Printf("page %d, bars %d to %d\n", s.Page, s.First, s.Last)
	}
	// Output:
	// page 1, bars 1 to 10
	// page 1, bars 11 to 20
	// page 1, bars 21 to 29
}

// A score: all parts below each other, which break at the same bars.
func ExampleNewScore() {
	var parts []drill.Instrument
	for _, name := range []string{"trumpet", "viola"} {
		i, err := drill.Find(name, drill.LevelComfortable)
		if err != nil {
			fmt.Println(err)
			return
		}
		parts = append(parts, i)
	}
	d, err := drill.New(drill.Settings{Figure: figure.MustParse("3 5 1 6"), Route: cycle.By(interval.PerfectFourth).Closed(), Parts: parts})
	if err != nil {
		fmt.Println(err)
		return
	}
	score, err := notation.New([]*drill.Drill{d}, notation.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	l, err := staff.NewScore(score, staff.Options{})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range l.Plan() {
		fmt.Printf("page %d, bars %d to %d\n", s.Page, s.First, s.Last)
	}
	// Output:
	// page 1, bars 1 to 8
	// page 1, bars 9 to 16
	// page 1, bars 17 to 25
}
