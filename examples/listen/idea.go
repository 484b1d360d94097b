package main

import (
	"encoding/json"
	"fmt"
	"io"
	"strings"

	"example.com/keyorder/examples/internal/idea"
	"example.com/keyorder/examples/internal/say"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/spelling"
)

// An ideaObject is an idea as JSON. Its key is the one that is read.
type ideaObject struct {
	Figure string   `json:"figure"`
	Key    string   `json:"key"`
	Meter  string   `json:"meter,omitempty"`
	Tempo  float64  `json:"tempo,omitempty"`
	Notes  []string `json:"notes,omitempty"`
}

// printIdea prints the figure that was played.
func (o *options) printIdea(out io.Writer) error {
	i, err := drill.Find(o.For, drill.LevelFull)
	if err != nil {
		return fmt.Errorf("-for: %w", err)
	}
	a := idea.Asking{File: o.idea, Part: o.part, PartSet: o.Given("part"), Bars: o.bars, Key: o.key, Language: o.Language, For: o.For, Name: o.Name}
	if o.Given("tempo") {
		a.Tempo = o.Tempo
	}
	t, err := idea.Read(a)
	if err != nil {
		return err
	}
	if t.Meter != "" {
		m, err := drill.ParseMeter(t.Meter)
		if err != nil {
			return err
		}
		t.Tempo *= float64(figure.Quarter) / float64(m.Counted()) // in beats
	}
	if o.Given("tempo") {
		t.Tempo = float64(o.Tempo)
	}
	from, key := o.Name(t.Tonic), t.Tonic
	if t.Sounds && i.Sounding.Semitones()%12 != 0 {
		key = t.Tonic.Down(i.Sounding)
		from += fmt.Sprintf(" as the file has it, %s for the %s", o.Name(key), i.Name)
	}
	if o.json {
		for n := range t.Notes {
			t.Notes[n] = o.Text(t.Notes[n])
		}
		line, _ := json.Marshal(ideaObject{t.Figure.Plain(), key.Plain(), t.Meter, t.Tempo, t.Notes}) // it has nothing that JSON has not
		fmt.Fprintf(out, "%s\n", line)
		return nil
	}
	fmt.Fprintln(out, o.Text(t.Figure.String()))
	line := "from " + from
	if t.Meter != "" {
		line += ", in " + t.Meter
	}
	if t.Tempo != 0 {
		line += fmt.Sprintf(", tempo %.0f", t.Tempo)
	}
	fmt.Fprintln(out, line)
	for _, n := range t.Notes {
		fmt.Fprintln(out, "note "+o.Text(n))
	}
	fmt.Fprintln(out, "\n"+o.sheetOf(t, key))
	return nil
}

// sheetOf is the command that makes a sheet of an idea.
func (o *options) sheetOf(t idea.Idea, key spelling.Name) string {
	words := []string{"go run ./examples/sheet -figure", say.Quoted(t.Figure.Plain()), "-from", say.Quoted(o.typed(key))}
	if t.Meter != "" && t.Meter != "4/4" {
		words = append(words, "-meter", t.Meter)
	}
	if o.Given("for") {
		words = append(words, "-for", say.Quoted(o.For))
	}
	if t.Tempo != 0 {
		words = append(words, "-tempo", fmt.Sprintf("%.0f", t.Tempo))
	}
	if o.Given("language") {
		words = append(words, "-language", o.Language.String())
	}
	return strings.Join(words, " ")
}

// typed writes a key so that it can be typed and is read.
func (o *options) typed(n spelling.Name) string {
	if o.Language == spelling.LanguageEnglish {
		return n.Plain()
	}
	return o.Language.Name(n)
}
