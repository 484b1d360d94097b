package main

import (
	"fmt"
	"io"
	"strings"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/listening"
	"example.com/keyorder/spelling"
)

// printIdea prints the figure that was played.
func (o *options) printIdea(out, warn io.Writer) error {
	i, err := drill.Find(o.For, drill.LevelFull)
	if err != nil {
		return fmt.Errorf("-for: %w", err)
	}
	a := listening.Asking{Sounding: i.Sounding}
	if o.set["tempo"] {
		a.Tempo = float64(o.Tempo)
	}
	if o.key != "" {
		a.InKey = true
		tonic, scale, _ := strings.Cut(o.key, " ")
		if a.Key, err = spelling.ParseName(tonic); err == nil && scale != "" {
			a.Scale, err = figure.ParseScale(scale)
		}
		if err != nil {
			return fmt.Errorf("-key: %w", err)
		}
	}
	t, err := openTake(o.idea, warn)
	if err != nil {
		return err
	}
	notes, err := t.notes(i, warn)
	if err != nil {
		return err
	}
	r, err := listening.Idea(notes, a)
	if err != nil {
		return fmt.Errorf("%s: %w", o.idea, err)
	}
	f := r.Figure.String()
	if o.Plain {
		f = r.Figure.Plain()
	}
	fmt.Fprintln(out, f)
	line := fmt.Sprintf("from %s, tempo %.0f", r.Tonic.Name(), r.Tempo)
	if !a.InKey {
		line += fmt.Sprintf("; the key may be %s %s too", r.Second, r.SecondScale)
	}
	fmt.Fprintln(out, o.Text(line))
	return nil
}
