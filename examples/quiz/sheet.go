package main

import (
	"context"
	"fmt"
	"html/template"
	"io"

	"example.com/keyorder/examples/internal/disk"
	"example.com/keyorder/examples/internal/show"
	"example.com/keyorder/figure"
)

// A pupil has a page of questions.
type pupil struct {
	Name  string
	Seed  uint64
	Items []item
}

// An item is a question on paper.
type item struct {
	Number                  int
	Topic, Ask, Answer, Why string
	Staff                   template.HTML
	Sound                   string
}

func newItem(number int, q question) (item, error) {
	i := item{Number: number, Topic: q.topic, Ask: show.Text(q.ask), Answer: show.Text(q.answer), Why: show.Text(q.why)}
	if q.shown != nil {
		svg, err := q.shown.svg()
		if err != nil {
			return i, err
		}
		i.Ask, i.Staff = q.shown.ask, template.HTML(svg)
	}
	return i, nil
}

// svg draws the note on a staff.
func (w *written) svg() (string, error) {
	return show.Staff(figure.MustParse("1:8"), w.note, w.clef, 62)
}

// write writes what is heard as a sound file.
func (h *heard) write(w io.Writer) error { return show.Sound(w, h.figure, h.tonic) }

func soundName(n int) string { return fmt.Sprintf("question-%02d.wav", n+1) }

// writeSounds writes the sounds of questions into a folder.
func writeSounds(folder string, all []question) error {
	var files []disk.File
	for n, q := range all {
		if q.heard != nil {
			files = append(files, disk.File{Name: soundName(n), Write: q.heard.write})
		}
	}
	return disk.WriteFolder(context.Background(), folder, files)
}

const style = `<style>
:root { color-scheme: light dark; }
body { font: 1.05rem/1.4 system-ui, sans-serif; max-width: 46rem; margin: 1rem auto; padding: 0 1rem; }
section { break-after: page; }
section:last-child { break-after: auto; }
h1 { font-size: 1.3rem; }
li { margin: 0 0 1.1rem; break-inside: avoid; }
.line { display: block; border-bottom: 1px solid; height: 2rem; max-width: 28rem; }
.why { display: block; font-size: .95rem; }
svg { display: block; max-width: 100%; color: CanvasText; }
@media print { body { margin: 0; font-size: 11pt; } audio { display: none; } }
@page { margin: 15mm; }
</style>`

var questionsPage = template.Must(template.New("questions").Parse(`<!DOCTYPE html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1"><title>Questions</title>
` + style + `</head><body>
{{range .}}<section>
<h1>{{.Name}} <small>(questions {{.Seed}})</small></h1>
<ol>{{range .Items}}<li>{{.Ask}}{{.Staff}}{{if .Sound}} <audio controls src="{{.Sound}}"></audio> <small>(sound {{.Sound}})</small>{{end}}<span class="line"></span></li>
{{end}}</ol></section>
{{end}}</body></html>
`))

var answersPage = template.Must(template.New("answers").Parse(`<!DOCTYPE html>
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1"><title>Answers</title>
` + style + `</head><body>
{{range .}}<section>
<h1>Answers for {{.Name}} <small>(questions {{.Seed}})</small></h1>
<ol>{{range .Items}}<li>{{.Ask}}{{.Staff}} <b>{{.Answer}}</b> <span class="why">{{.Why}}</span></li>
{{end}}</ol></section>
{{end}}</body></html>
`))
