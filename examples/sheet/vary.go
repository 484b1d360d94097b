package main

import (
	"fmt"
	"strings"

	"example.com/keyorder/figure"
)

// variations is the flag -vary: variations, one after the other.
type variations []figure.Variation

func (v *variations) String() string {
	var texts []string
	for _, one := range *v {
		texts = append(texts, one.String())
	}
	return strings.Join(texts, "; ")
}

// Set adds the variations of a text, with semicolons between them.
func (v *variations) Set(text string) error {
	for _, part := range strings.Split(text, ";") {
		one, err := figure.ParseVariation(part)
		if err != nil {
			return err
		}
		*v = append(*v, one)
	}
	return nil
}

// varied varies the figure as -vary says.
func (s *sheet) varied() error {
	s.idea = s.figure
	for _, v := range s.vary {
		f, err := v.Apply(s.figure)
		if err != nil {
			return given("vary", fmt.Errorf("%v: %w", v, err))
		}
		s.figure = f
	}
	return nil
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
