package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"embed"
	"encoding/json"
	"fmt"
	"slices"

	"example.com/keyorder/examples/web"
	"example.com/keyorder/examples/web/form"
)

// site is the thin layer of HTML, style and script around the program.
//
//go:embed site
var site embed.FS

const (
	index  = "index.html"
	keeper = "sw.js" // keeps the files for when there is no network
)

// A builder makes the files of the library, unless it is interrupted.
type builder func(context.Context) ([]web.File, error)

// page returns the files of the page, those of the library among them.
func page(library []web.File) ([]web.File, error) {
	files, err := web.Embedded(site, "site")
	if err != nil {
		return nil, err
	}
	choices, err := choices()
	if err != nil {
		return nil, err
	}
	files = append(append(files, choices), library...)
	return files, fillKeeper(files)
}

// choices makes a module of what can be chosen, so that the page has its fields
// before the program is there.
func choices() (web.File, error) {
	text, err := json.Marshal(form.AllChoices())
	return web.File{Name: "choices.js", Kind: "text/javascript; charset=utf-8", Body: fmt.Appendf(nil, "export default %s;\n", text)}, err
}

// fillKeeper tells the keeper of the files which there are, those apart that are
// loaded later, and a version that is another whenever one of them is.
func fillKeeper(files []web.File) error {
	names, later := []string{"./"}, []string{web.Ear}
	sum := sha256.New()
	var own *web.File
	for n := range files {
		f := &files[n]
		sum.Write(f.Body)
		if f.Name == keeper {
			own = f
		} else if !slices.Contains(later, f.Name) {
			names = append(names, f.Name)
		}
	}
	for word, list := range map[string][]string{"FILES": names, "LATER": later} {
		text, err := json.Marshal(list)
		if err != nil {
			return err
		}
		own.Body = bytes.ReplaceAll(own.Body, []byte(word), text)
	}
	own.Body = bytes.ReplaceAll(own.Body, []byte("VERSION"), fmt.Appendf(nil, "%x", sum.Sum(nil)[:8]))
	return nil
}
