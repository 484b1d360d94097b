// Changes takes a line of two bars over a progression of our own through the keys,
// and writes it to be heard and to be read: go run ./examples/changes folder
package main

import (
	"context"
	"fmt"
	"io"
	"log"
	"os"

	"example.com/keyorder/cycle"
	"example.com/keyorder/examples/internal/disk"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/accompaniment"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/notation"
	"example.com/keyorder/figure/notation/musicxml"
	"example.com/keyorder/figure/notation/staff"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/figure/playback/smf"
	"example.com/keyorder/figure/playback/wav"
	"example.com/keyorder/interval"
)

func main() {
	line := figure.MustParse("3:3 5 1 2:2 6:3 5:2 3:4")
	f, err := line.Over(figure.MustParseChanges("{1 6} {b3 maj7} {b6 7}")) // from the root of each
	check(err)
	trumpet, err := drill.Find("trumpet", drill.LevelFull)
	check(err)
	d, err := drill.New(drill.Settings{Figure: f, Route: cycle.By(-interval.MinorThird).Closed(), Parts: []drill.Instrument{trumpet}, Title: "down by minor thirds"})
	check(err)
	band := accompaniment.Band{Bass: accompaniment.BassWalking, Chords: accompaniment.CompingOneAndTwo, Rests: accompaniment.RestsDominant}
	heard, err := playback.New([]*drill.Drill{d}, playback.Options{Mode: playback.ModeModel, Band: band})
	check(err)
	score, err := notation.New([]*drill.Drill{d}, notation.Options{Title: f.String()})
	check(err)
	pages, err := staff.New(score, score.Parts()[0], staff.Options{})
	check(err)
	files := []disk.File{
		{Name: "changes.mid", Write: func(w io.Writer) error { return smf.Write(w, heard) }},
		{Name: "changes.wav", Write: func(w io.Writer) error { return wav.Write(w, heard, wav.Options{}) }},
		{Name: "changes.musicxml", Write: func(w io.Writer) error { return musicxml.Write(w, score) }},
	}
	for page := range pages.Pages() {
		files = append(files, disk.File{Name: fmt.Sprintf("changes-%d.svg", len(files)-2), Write: page.WriteSVG})
	}
	folder := append(os.Args, "changes")[1]
	check(disk.WriteFolder(context.Background(), folder, files))
	_, err = fmt.Printf("%d keys, %d files in %s\n", d.Len(), len(files), folder)
	check(err)
}

func check(err error) {
	if err != nil {
		log.Fatal("changes: ", err)
	}
}
