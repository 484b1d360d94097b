package musicxml_test

import (
	"bytes"
	"fmt"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/notation"
	"example.com/keyorder/figure/notation/musicxml"
)

func Example() {
	horn, err := drill.Find("horn", drill.LevelComfortable)
	if err != nil {
		fmt.Println(err)
		return
	}
	d, err := drill.New(drill.Settings{
		Figure: figure.MustParse("1:3 5 4 2 3:2"),
		Route:  cycle.MustParse("-m3").Closed(),
		Parts:  []drill.Instrument{horn},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	score, err := notation.New([]*drill.Drill{d}, notation.Options{Title: "Down by minor thirds"})
	if err != nil {
		fmt.Println(err)
		return
	}
	var file bytes.Buffer
	err = musicxml.Write(&file, score)
	fmt.Println(bytes.Count(file.Bytes(), []byte("<measure")), "bars", err)
	// Output: 30 bars <nil>
}
