package main

import (
	"bytes"
	"fmt"
	"html"
	"path/filepath"
	"strings"

	"example.com/keyorder/cycle"
	"example.com/keyorder/examples/internal/disk"
	"example.com/keyorder/examples/internal/say"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/practice"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/spelling"
)

// A table is how often each move was made and failed on an instrument.
type table struct {
	instrument    string
	names         [12]spelling.Name
	clean, failed cycle.Tally
	all           cycle.Tally
}

func tableOf(l practice.Log, instrument string) table {
	t := table{instrument: instrument, names: figure.Major.Tonics()}
	t.clean, t.failed = l.Tally(instrument)
	t.all = t.clean
	t.all.Merge(t.failed)
	return t
}

// weak reports whether a move failed at least every fourth time.
func (t *table) weak(m cycle.Move) bool {
	f := t.failed.Count(m)
	return f > 0 && 4*f >= t.all.Count(m)
}

// gaps says which order by one interval makes most of the moves made least.
func (t *table) gaps() string {
	var routes []cycle.Route
	var names []string
	for up := 1; up < 12; up++ {
		routes = append(routes, cycle.By(interval.Of(0, up)).Closed())
		names = append(names, say.Step(narrow(up)))
	}
	best := cycle.Freshest(t.all, routes...)
	never := 0
	for m := range routes[best].Moves() {
		if t.all.Count(m) == 0 {
			never++
		}
	}
	if never == 0 {
		return "Most of the moves made least: " + names[best] + "."
	}
	return fmt.Sprintf("Fills most of the gaps: %s, %d of whose 12 moves were never made.", names[best], never)
}

// narrow returns the interval of a constant order, the narrower way.
func narrow(up int) string {
	steps := [...]string{"m2", "M2", "m3", "M3", "P4", "A4"}
	if up > 6 {
		return "-" + steps[12-up-1]
	}
	return steps[up-1]
}

func (t *table) summary() string {
	return fmt.Sprintf("%d of the 132 moves made, %d times in all; between intervals %.2f bits of %.2f.",
		t.all.Made(), t.all.Total(), t.all.IntervalEntropy(), cycle.MaxIntervalEntropy)
}

func showMoves(o *options, w world, l practice.Log) error {
	t := tableOf(l, o.settings.Instrument.Name)
	say := func(format string, args ...any) { fmt.Fprintln(w.out, o.names.text(fmt.Sprintf(format, args...))) }
	say("Moves from key to key, as the %s reads them.", t.instrument)
	say("%s", t.summary())
	say("")
	head := "from  to"
	for _, n := range t.names {
		head += pad(o.names.name(n), 5)
	}
	say("%s", head)
	for from := range pitch.Class(12) {
		line := fmt.Sprintf("%-8s", o.names.name(t.names[from]))
		for to := range pitch.Class(12) {
			line += pad(t.cell(cycle.Move{From: from, To: to}), 5)
		}
		say("%s", strings.TrimRight(line, " "))
	}
	say("")
	say("A number is how often, · never, ! that it failed one time in four or more.")
	say("%s", t.gaps())
	if o.out == "" {
		return nil
	}
	path := filepath.Join(o.out, "moves.svg")
	if err := disk.WriteFile(path, t.svg(o.names)); err != nil {
		return err
	}
	say("Written: %s", path)
	return nil
}

func pad(s string, to int) string { return strings.Repeat(" ", max(to-length(s), 0)) + s }

func (t *table) cell(m cycle.Move) string {
	switch n := t.all.Count(m); {
	case m.From == m.To:
		return ""
	case n == 0:
		return "·"
	case t.weak(m):
		return fmt.Sprint(n, "!")
	default:
		return fmt.Sprint(n)
	}
}

// svg draws the table. What was never made is hatched, what was made more often
// is darker in seven steps of grey, and what fails is framed twice; each cell has
// its number, so that nothing depends on shades.
func (t *table) svg(n naming) []byte {
	const cell, left, top = 40, 64, 88
	const size = 12 * cell
	var b bytes.Buffer
	esc := func(s string) string { return html.EscapeString(n.text(s)) }
	line := func(format string, args ...any) { fmt.Fprintf(&b, format+"\n", args...) }
	line(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" role="img" aria-labelledby="title desc" font-family="sans-serif" font-size="14" text-anchor="middle">`, left+size+16, top+size+76)
	line(`<title id="title">%s</title>`, esc("Moves from key to key on the "+t.instrument))
	line(`<desc id="desc">%s</desc>`, esc(t.summary()+" Rows are the keys that a move leaves, columns those that it reaches. Each cell has the number of times; hatched cells were never made, cells with a second frame failed one time in four or more. "+t.gaps()))
	line(`<defs><pattern id="never" width="8" height="8" patternUnits="userSpaceOnUse"><rect width="8" height="8" fill="#fff"/><path d="M0 8 8 0M-2 2 2 -2M6 10 10 6" stroke="#000" stroke-width="1"/></pattern></defs>`)
	line(`<rect width="%d" height="%d" fill="#fff"/>`, left+size+16, top+size+76)
	line(`<text x="%d" y="24" font-size="16">%s</text>`, left+size/2, esc("Moves from key to key on the "+t.instrument))
	line(`<text x="%d" y="48">to</text><text x="20" y="%d">from</text>`, left+size/2, top+size/2)
	most := 1
	for from := range pitch.Class(12) {
		for to := range pitch.Class(12) {
			most = max(most, t.all.Count(cycle.Move{From: from, To: to}))
		}
	}
	for k := range 12 {
		line(`<text x="%d" y="%d" font-weight="bold">%s</text>`, left+k*cell+cell/2, top-10, esc(t.names[k].String()))
		line(`<text x="%d" y="%d" font-weight="bold">%s</text>`, left-14, top+k*cell+cell/2+5, esc(t.names[k].String()))
	}
	for from := range pitch.Class(12) {
		for to := range pitch.Class(12) {
			m := cycle.Move{From: from, To: to}
			x, y := left+int(to)*cell, top+int(from)*cell
			count := t.all.Count(m)
			fill, ink := "#fff", "#000"
			switch {
			case from == to:
				line(`<text x="%d" y="%d">%s</text>`, x+cell/2, y+cell/2+5, esc("–"))
				continue
			case count == 0:
				fill = "url(#never)"
			default:
				// From light to dark; the middle grey is left out, so that the number
				// stands out on every shade.
				shades := [...]string{"#fff", "#e6e6e6", "#cccccc", "#b3b3b3", "#595959", "#404040", "#262626"}
				shade := (count*len(shades) - 1) / most
				fill = shades[min(shade, len(shades)-1)]
				if shade >= 4 {
					ink = "#fff"
				}
			}
			line(`<rect x="%d" y="%d" width="%d" height="%d" fill="%s" stroke="#000"/>`, x, y, cell, cell, fill)
			if t.weak(m) {
				line(`<rect x="%d" y="%d" width="%d" height="%d" fill="none" stroke="%s" stroke-width="2"/>`, x+4, y+4, cell-8, cell-8, ink)
			}
			if count > 0 {
				line(`<text x="%d" y="%d" fill="%s">%d</text>`, x+cell/2, y+cell/2+5, ink, count)
			}
		}
	}
	for n, text := range words("A number is how often, a hatched cell never, a second frame that it failed one time in four or more. "+t.gaps(), 64) {
		line(`<text x="%d" y="%d">%s</text>`, left+size/2, top+size+24+20*n, esc(text))
	}
	line(`</svg>`)
	return b.Bytes()
}
