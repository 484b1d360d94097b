package main

import (
	_ "embed"
	"html/template"
)

// A page is what a class, or its teacher, has.
type page struct {
	Title    string
	Teacher  bool
	Units    []unit
	Glossary []term
}

//go:embed page.html
var pageText string

var pageTemplate = template.Must(template.New("page").Parse(pageText))
