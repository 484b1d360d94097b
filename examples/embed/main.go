// Embed streams a drill from JSON, without allocating for each note.
//
//	echo '{"figure":"1 3 2 5","route":"(0369)","parts":[{"low":"C4","high":"A6"}]}' | go run ./examples/embed
package main

import (
	"bufio"
	"encoding/json"
	"io"
	"log"
	"os"
	"strconv"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
)

func main() {
	var s drill.Settings
	if err := json.NewDecoder(os.Stdin).Decode(&s); err != nil {
		log.Fatal("embed: ", err)
	}
	d, err := drill.New(s)
	if err != nil {
		log.Fatal("embed: ", err)
	}
	w := bufio.NewWriter(os.Stdout)
	stream(w, d, make([]byte, 0, 1024), make([]figure.Event, 0, s.Figure.NoteCount()))
	if err := w.Flush(); err != nil { // or the first error of stream
		log.Fatal("embed: ", err)
	}
}

func stream(w io.Writer, d *drill.Drill, line []byte, events []figure.Event) {
	for s := range d.Parts()[0].Statements() {
		line, _ = s.Written.Name().AppendText(line[:0])
		for _, e := range s.AppendEvents(events[:0]) {
			line = strconv.AppendInt(append(line, ' '), int64(s.SoundingNumber(e.Note)), 10)
		}
		w.Write(append(line, '\n'))
	}
}
