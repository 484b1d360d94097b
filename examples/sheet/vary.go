package main

import (
	"strings"

	"example.com/keyorder/figure"
)

// varied varies the figure as -vary says.
func (s *sheet) varied() (err error) {
	s.idea = s.figure
	s.figure, err = s.vary.Apply(s.figure)
	return err
}

// variedText says what the figure is a variation of, or nothing.
func (s *sheet) variedText() string {
	if len(s.vary) == 0 {
		return ""
	}
	idea := s.idea.String()
	if s.idea.Scale() == figure.Major {
		idea += " in major"
	}
	return "from " + idea + ": " + s.byText()
}

// byText names the variations: "retrograde, then octave up 2".
func (s *sheet) byText() string {
	return strings.ReplaceAll(s.vary.String(), "; ", ", then ")
}
