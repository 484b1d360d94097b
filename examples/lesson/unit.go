package main

import (
	"fmt"
	"html/template"
	"io"
	"strings"

	"example.com/keyorder/cycle"
	"example.com/keyorder/cycle/diagram"
	"example.com/keyorder/examples/internal/flags"
	"example.com/keyorder/examples/internal/show"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/spelling"
)

// A unit is what a class does in five to ten minutes.
type unit struct {
	Number    int
	Title     string
	Able      string   // what you will be able to do
	Words     []string // terms of the glossary that it explains
	Pictures  []picture
	Shown     []picture // with the result
	Sound     string    // the file
	heard     func(io.Writer) error
	Task      string
	Result    []string // lines
	Idea      string
	Formula   string
	Questions []asked // three
}

// A picture is drawn by the library.
type picture struct {
	SVG     template.HTML
	Caption string
}

type asked struct{ Question, Answer string }

// names writes the notes of a figure on a tonic.
func names(f figure.Figure, tonic spelling.Note) string {
	var all []string
	for _, e := range f.In(tonic) {
		all = append(all, show.Text(e.Note.Name().String()))
	}
	return strings.Join(all, " ")
}

// list writes names with spaces.
func list[T fmt.Stringer](all ...T) string {
	var texts []string
	for _, t := range all {
		texts = append(texts, t.String())
	}
	return strings.Join(texts, " ")
}

func staffOf(f figure.Figure, tonic spelling.Note, caption string) (picture, error) {
	svg, err := show.Staff(f, tonic, drill.ClefTreble, 120)
	return picture{template.HTML(svg), caption}, err
}

func circleOf(r cycle.Route, byFifths bool, caption string) (picture, error) {
	var b strings.Builder
	err := diagram.Write(&b, diagram.Options{Route: r, Title: caption, ByFifths: byFifths})
	return picture{template.HTML(b.String()), caption}, err
}

// keyboard draws the keys from C4 to B5 and writes a word on some of them.
func keyboard(caption string, marks map[spelling.Note]string) picture {
	var white, black strings.Builder
	x := 0
	for n := 60; n < 84; n++ {
		text := ""
		for note, mark := range marks {
			if int(note.Number()) == n {
				text = mark
			}
		}
		class := "key"
		if text != "" {
			class = "key marked"
		}
		if strings.ContainsRune("\x01\x03\x06\x08\x0a", rune(n%12)) {
			fmt.Fprintf(&black, `<rect class="%s black" x="%d" y="0" width="14" height="62"/><text class="on-black" x="%d" y="54">%s</text>`, class, x-7, x, template.HTMLEscapeString(text))
			continue
		}
		fmt.Fprintf(&white, `<rect class="%s" x="%d" y="0" width="22" height="100"/><text x="%d" y="92">%s</text>`, class, x, x+11, template.HTMLEscapeString(text))
		x += 22
	}
	svg := fmt.Sprintf(`<svg class="keyboard" xmlns="http://www.w3.org/2000/svg" viewBox="-1 -1 %d 102" role="img"><title>%s</title>%s%s</svg>`,
		x+2, template.HTMLEscapeString(caption), &white, &black)
	return picture{template.HTML(svg), caption}
}

// soundOf lets a figure be heard on some tonics.
func soundOf(f figure.Figure, tonics ...spelling.Note) func(io.Writer) error {
	return func(w io.Writer) error { return show.Sound(w, f, tonics...) }
}

// printUnits prints units for a terminal, in lines of at most 79 characters.
func printUnits(w io.Writer, units []unit, plain bool) error {
	var b strings.Builder
	for _, u := range units {
		fmt.Fprintf(&b, "%d. %s\n\n", u.Number, u.Title)
		para(&b, "You will be able to "+u.Able+".")
		for _, p := range u.Pictures {
			para(&b, "(On the page: "+p.Caption+".)")
		}
		para(&b, "Task: "+u.Task)
		b.WriteString("\nWhat comes out:\n")
		for _, r := range u.Result {
			para(&b, "  "+r)
		}
		for _, p := range u.Shown {
			para(&b, "  (On the page: "+p.Caption+".)")
		}
		b.WriteString("\n")
		para(&b, u.Idea)
		para(&b, "In short: "+u.Formula)
		for n, q := range u.Questions {
			para(&b, fmt.Sprintf("Question %d. %s", n+1, q.Question))
		}
		b.WriteString("\n")
	}
	b.WriteString("Words\n\n")
	for _, g := range glossary(units) {
		para(&b, g.Word+": "+g.Means)
	}
	text := b.String()
	if plain {
		text = flags.Plain(text)
	}
	_, err := io.WriteString(w, text)
	return err
}

// para writes a text in lines of at most 79 characters.
func para(b *strings.Builder, text string) {
	indent := text[:len(text)-len(strings.TrimLeft(text, " "))]
	line := indent
	for _, word := range strings.Fields(text) {
		if len([]rune(line))+1+len([]rune(word)) > 79 {
			b.WriteString(strings.TrimRight(line, " ") + "\n")
			line = indent
		}
		if strings.TrimSpace(line) != "" {
			line += " "
		}
		line += word
	}
	b.WriteString(line + "\n")
}
