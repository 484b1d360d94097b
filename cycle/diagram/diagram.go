// Package diagram draws the twelve keys on a circle, and a route through them
// as lines.
//
// On such a circle an interval has a shape. With the keys in half steps round
// the circle, minor thirds are three squares, major thirds four triangles,
// tritones six straight lines across, whole steps two hexagons; fourths are a
// star of twelve points. With the keys in fifths the fourths run along the
// circle and half steps make the star, while the other shapes stay what they
// are: times 7 modulo 12 changes one circle into the other.
//
// Each section of a [cycle.Route] is drawn in a line style of its own, dashed
// or of another thickness, so that they can be told apart in black and white.
package diagram

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"strings"
	"unicode/utf8"

	"example.com/keyorder/cycle"
	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
)

// Options say what is drawn.
type Options struct {
	// Route is what is drawn: Order.Closed makes polygons and stars of the
	// cycles of an order, Order.Open paths. Between two keys there is one line,
	// in the style of the first section that goes that way.
	Route cycle.Route
	// Names are the names of the keys by pitch class, as figure.Scale's Tonics
	// gives them. The zero value stands for those of the major keys.
	Names [12]spelling.Name
	// Language is that of the names that are written.
	Language spelling.Language
	// ByFifths sets the keys in fifths round the circle, instead of half steps.
	// Clockwise is up in both.
	ByFifths bool
	// Title is the title of the drawing for those who hear it.
	Title string
	// Move is a move to be marked, such as the one being played. A move from a
	// key to itself, as the zero value is, marks nothing.
	Move cycle.Move
}

// Measures in millimetres.
const (
	width     = 100.0
	centre    = width / 2
	namesAt   = 43.0 // the radius of the names
	keysAt    = 35.0 // the radius of the keys
	rowHeight = 8.0  // of the legend
)

// most is how many sections have a line style of their own and stand in the
// legend, and how many keys of each.
const most = 12

// Write writes the diagram as an SVG document of 100 mm by 100 mm, and more
// below for a legend where the route has from 2 to 12 sections. It is drawn in
// one colour: black, or what the CSS property color of the svg element says.
// The error is a *fault.ValueError where a name does not sound as its place among
// the names says, or what w returns.
func Write(w io.Writer, o Options) error {
	if o.Names == ([12]spelling.Name{}) {
		o.Names = major()
	}
	for c, n := range o.Names {
		if n.Class() != pitch.Class(c) {
			return &fault.ValueError{Setting: fmt.Sprintf("name of key %d", c), Value: n.String(), Want: fmt.Sprintf("a name sounds as its key does, here %d semitones above C", c)}
		}
	}
	d := drawing{o: o}
	d.write()
	_, err := w.Write(d.b.Bytes())
	return err
}

// major returns the usual names of the major keys.
func major() (names [12]spelling.Name) {
	for place := spelling.Name(-6); place < 6; place++ {
		names[place.Class()] = place
	}
	return names
}

type drawing struct {
	o Options
	b bytes.Buffer
}

func (d *drawing) printf(format string, args ...any) { fmt.Fprintf(&d.b, format, args...) }

// text writes text as XML has it.
func (d *drawing) text(s string) { xml.EscapeText(&d.b, []byte(s)) } // a Buffer never fails

// at returns where a key stands at a distance from the centre, C at the top.
func (d *drawing) at(k pitch.Class, radius float64) (x, y float64) {
	place := int(k)
	if d.o.ByFifths {
		place = place * 7 % 12
	}
	sin, cos := math.Sincos(float64(place) * math.Pi / 6)
	return centre + radius*sin, centre - radius*cos
}

// style returns the thickness and the dashes of the lines of a section.
func style(section int) (thickness float64, dashes string) {
	patterns := [6]string{"", "2.4 1.4", "0 1.5", "4 1.2 0 1.2", "6 2", "2.4 1.2 0 1.2 0 1.2"}
	thick := [6]float64{0.7, 0.7, 0.9, 0.7, 1.4, 0.9}
	n := section % most
	thickness, dashes = thick[n%6], patterns[n%6]
	if n >= 6 {
		thickness /= 2
	}
	return thickness, dashes
}

// line begins a path in the style of a section.
func (d *drawing) line(section int) {
	thickness, dashes := style(section)
	d.printf(`<path stroke-width="%.2g"`, thickness)
	if dashes != "" {
		d.printf(` stroke-dasharray="%s"`, dashes)
	}
	d.printf(` d="`)
}

func (d *drawing) write() {
	sections := 0
	for range d.o.Route.Sections() {
		sections++
	}
	height := width
	legend := false
	for range d.o.Route.Moves() {
		legend = sections > 1 && sections <= most
		break
	}
	if legend {
		height += rowHeight*float64(sections) + 1
	}
	d.printf(`<svg xmlns="http://www.w3.org/2000/svg" role="img" width="%gmm" height="%gmm" viewBox="0 0 %g %g" color="black">`, width, height, width, height)
	title := d.o.Title
	if strings.TrimSpace(title) == "" {
		title = "The twelve keys on a circle"
	}
	d.printf("\n<title>")
	d.text(title)
	d.printf("</title>\n<desc>")
	d.text(d.describe())
	d.printf("</desc>\n")

	d.printf("<g fill=\"none\" stroke=\"currentColor\" stroke-linecap=\"round\" stroke-linejoin=\"round\">\n")
	d.printf("<circle cx=\"%g\" cy=\"%g\" r=\"%g\" stroke-width=\".15\"/>\n", centre, centre, keysAt)
	arrows := d.sections()
	d.printf("</g>\n<g fill=\"currentColor\">\n")
	for _, a := range arrows {
		d.arrow(a, 1.1, 0.7)
	}
	d.mark()
	for k := range d.o.Names {
		x, y := d.at(pitch.Class(k), keysAt)
		d.printf("<circle cx=\"%.2f\" cy=\"%.2f\" r=\".9\"/>\n", x, y)
		x, y = d.at(pitch.Class(k), namesAt)
		d.printf(`<text x="%.2f" y="%.2f" font-size="5.5" font-weight="bold" font-family="sans-serif" text-anchor="middle">`, x, y+2)
		d.text(d.name(pitch.Class(k)))
		d.printf("</text>\n")
	}
	if legend {
		d.legend()
	}
	d.printf("</g>\n</svg>\n")
}

// sections draws the lines of the sections and a ring about the first key of
// each, and returns the moves that are made.
func (d *drawing) sections() []cycle.Move {
	var made [12][12]bool
	var ringed [12]bool
	var moves []cycle.Move
	n := 0
	for s := range d.o.Route.Sections() {
		keys := s.Keys
		if s.Closed {
			keys = append(keys, keys[0])
		}
		drawing := false
		stop := func() {
			if drawing {
				d.printf("\"/>\n")
			}
			drawing = false
		}
		for i := 1; i < len(keys); i++ {
			m := cycle.Move{From: keys[i-1], To: keys[i]}
			there, back := &made[m.From][m.To], made[m.To][m.From]
			if m.From == m.To || *there || back {
				stop()
			} else {
				if !drawing {
					d.line(n)
					x, y := d.at(m.From, keysAt)
					d.printf("M%.2f %.2f", x, y)
					drawing = true
				}
				x, y := d.at(m.To, keysAt)
				d.printf("L%.2f %.2f", x, y)
			}
			if m.From != m.To && !*there {
				*there = true
				moves = append(moves, m)
			}
		}
		stop()
		if first := keys[0]; !ringed[first] {
			ringed[first] = true
			x, y := d.at(first, keysAt)
			d.printf("<circle cx=\"%.2f\" cy=\"%.2f\" r=\"1.9\" stroke-width=\".4\"/>\n", x, y)
		}
		n++
	}
	return moves
}

// arrow draws the head of an arrow on the way of a move, as far along it as
// part says.
func (d *drawing) arrow(m cycle.Move, size, part float64) {
	x, y := d.at(m.From, keysAt)
	x2, y2 := d.at(m.To, keysAt)
	dx, dy := x2-x, y2-y
	l := math.Hypot(dx, dy)
	dx, dy = dx/l*size, dy/l*size
	x, y = x+(x2-x)*part+dx, y+(y2-y)*part+dy
	d.printf("<path d=\"M%.2f %.2fL%.2f %.2fL%.2f %.2fZ\"/>\n", x, y, x-2*dx-dy, y-2*dy+dx, x-2*dx+dy, y-2*dy-dx)
}

// mark draws the marked move.
func (d *drawing) mark() {
	m := d.o.Move
	if m.From == m.To || m.From > 11 || m.To > 11 {
		return
	}
	x, y := d.at(m.From, keysAt)
	x2, y2 := d.at(m.To, keysAt)
	d.printf("<path d=\"M%.2f %.2fL%.2f %.2f\" stroke=\"currentColor\" stroke-width=\"2.2\" stroke-linecap=\"round\"/>\n", x, y, x2, y2)
	d.arrow(m, 3, 0.6)
	d.printf("<circle cx=\"%.2f\" cy=\"%.2f\" r=\"2.6\"/>\n", x2, y2)
}

// legend writes which line is which section.
func (d *drawing) legend() {
	n := 0
	for s := range d.o.Route.Sections() {
		y := width + rowHeight*float64(n) + 3
		d.printf("<g fill=\"none\" stroke=\"currentColor\" stroke-linecap=\"round\">")
		d.line(n)
		d.printf("M6 %gH22\"/></g>\n", y)
		// As large as the names, where that fits.
		keys := d.keys(s, " ", " ")
		size := min(5.5, 72/(0.62*float64(utf8.RuneCountInString(keys))))
		d.printf(`<text x="26" y="%g" font-size="%.2g" font-family="sans-serif">`, y+size*0.36, size)
		d.text(keys)
		d.printf("</text>\n")
		n++
	}
}

func (d *drawing) name(k pitch.Class) string { return d.o.Language.Name(d.o.Names[k]) }

// keys returns the names of the keys of a section as they are played.
func (d *drawing) keys(s cycle.Section, separator, back string) string {
	var names []string
	for _, k := range s.Keys {
		if len(names) == most {
			return strings.Join(names, separator) + separator + "…"
		}
		names = append(names, d.name(k))
	}
	text := strings.Join(names, separator)
	if s.Closed && len(names) > 1 {
		text += back + names[0]
	}
	return text
}

// describe says in words what is drawn.
func (d *drawing) describe() string {
	var b strings.Builder
	b.WriteString("Clockwise from " + d.name(0) + " at the top by ")
	if d.o.ByFifths {
		b.WriteString("fifths.")
	} else {
		b.WriteString("half steps.")
	}
	n := 0
	for s := range d.o.Route.Sections() {
		if n == most {
			b.WriteString(" And so on.")
			break
		}
		n++
		fmt.Fprintf(&b, " Section %d: %s.", n, d.keys(s, ", ", " and back to "))
	}
	if m := d.o.Move; m.From != m.To && m.From < 12 && m.To < 12 {
		fmt.Fprintf(&b, " Marked is the move from %v to %v.", d.name(m.From), d.name(m.To))
	}
	return b.String()
}
