package flags

import (
	"fmt"
	"strings"

	"example.com/keyorder/figure"
)

// Variations is the flag -vary: variations, one after the other.
type Variations []figure.Variation

// String returns the variations with semicolons between them, as Set reads them.
func (v *Variations) String() string {
	var texts []string
	for _, one := range *v {
		texts = append(texts, one.String())
	}
	return strings.Join(texts, "; ")
}

// Set adds the variations of a text, with semicolons between them.
func (v *Variations) Set(text string) error {
	for _, part := range strings.Split(text, ";") {
		one, err := figure.ParseVariation(part)
		if err != nil {
			return err
		}
		*v = append(*v, one)
	}
	return nil
}

// Apply varies a figure.
func (v Variations) Apply(f figure.Figure) (figure.Figure, error) {
	for _, one := range v {
		varied, err := one.Apply(f)
		if err != nil {
			return f, fmt.Errorf("-vary: %v: %w", one, err)
		}
		f = varied
	}
	return f, nil
}
