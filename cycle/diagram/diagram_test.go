package diagram

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"example.com/keyorder/cycle"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
)

// element is an element of a drawing, read back.
type element struct {
	XMLName  xml.Name
	Attrs    []xml.Attr `xml:",any,attr"`
	Text     string     `xml:",chardata"`
	Children []element  `xml:",any"`
}

func (e element) attr(name string) string {
	for _, a := range e.Attrs {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

// all returns the elements of a name, at any depth.
func (e element) all(name string) []element {
	var found []element
	for _, c := range e.Children {
		if c.XMLName.Local == name {
			found = append(found, c)
		}
		found = append(found, c.all(name)...)
	}
	return found
}

func draw(t *testing.T, o Options) element {
	t.Helper()
	var b strings.Builder
	if err := Write(&b, o); err != nil {
		t.Fatal(err)
	}
	var e element
	if err := xml.Unmarshal([]byte(b.String()), &e); err != nil {
		t.Fatalf("%v in %s", err, b.String())
	}
	return e
}

type point struct{ x, y float64 }

// lines returns the points of the lines of the sections; the legend's are left
// out.
func lines(t *testing.T, e element) [][]point {
	t.Helper()
	var found [][]point
	for _, g := range e.all("g") {
		if g.attr("stroke-linejoin") == "" {
			continue
		}
		for _, p := range g.all("path") {
			var line []point
			for _, m := range regexp.MustCompile(`[ML]([\d.]+) ([\d.]+)`).FindAllStringSubmatch(p.attr("d"), -1) {
				x, _ := strconv.ParseFloat(m[1], 64)
				y, _ := strconv.ParseFloat(m[2], 64)
				line = append(line, point{x, y})
			}
			found = append(found, line)
		}
	}
	return found
}

func eleven() []cycle.Order {
	var orders []cycle.Order
	for semitones := 1; semitones <= 11; semitones++ {
		orders = append(orders, cycle.By(interval.Of(0, semitones)))
	}
	return orders
}

// Every cycle of an order by one interval is a regular polygon or star, a
// straight line where it has two keys; a chord over s twelfths of a circle of
// radius r is 2r sin(πs/12) long.
func TestLawCyclesAreRegular(t *testing.T) {
	for n, o := range eleven() {
		for _, fifths := range []bool{false, true} {
			step := n + 1
			if fifths {
				step = step * 7 % 12
			}
			want := 2 * keysAt * math.Sin(math.Pi*float64(step)/12)
			got := lines(t, draw(t, Options{Route: o.Closed(), ByFifths: fifths}))
			if len(got) != o.Cycles() {
				t.Fatalf("order %v: %d lines for %d cycles", o, len(got), o.Cycles())
			}
			for c, line := range got {
				sides := len(o.Cycle(c))
				if sides == 2 {
					sides = 1 // there and back on one line
				} else if line[0] != line[sides] {
					t.Errorf("order %v: line %d is not closed", o, c)
				}
				if len(line) != sides+1 {
					t.Fatalf("order %v: line %d has %d points", o, c, len(line))
				}
				for i := range sides {
					if l := math.Hypot(line[i+1].x-line[i].x, line[i+1].y-line[i].y); math.Abs(l-want) > 0.02 {
						t.Errorf("order %v by fifths %v: a side is %.2f mm, want %.2f", o, fifths, l, want)
					}
				}
			}
		}
	}
}

// By fifths an order makes the line that the order by seven times the step
// makes by half steps.
func TestLawTimesSevenChangesTheCircle(t *testing.T) {
	for n, o := range eleven() {
		other := cycle.By(interval.Of(0, (n+1)*7%12))
		a := lines(t, draw(t, Options{Route: o.Closed(), ByFifths: true}))
		b := lines(t, draw(t, Options{Route: other.Closed()}))
		if fmt.Sprint(a[0]) != fmt.Sprint(b[0]) {
			t.Errorf("step %d: %v, want %v", n+1, a[0], b[0])
		}
	}
}

// Between two keys there is one line, however often the route goes there.
func TestLawOneLineBetweenTwoKeys(t *testing.T) {
	long, err := cycle.Concat(cycle.EveryMove(0), cycle.EveryMove(5), cycle.Wedge().Closed())
	if err != nil {
		t.Fatal(err)
	}
	e := draw(t, Options{Route: long})
	seen := map[[2]point]bool{}
	for _, line := range lines(t, e) {
		for i := 1; i < len(line); i++ {
			pair := [2]point{line[i-1], line[i]}
			if seen[pair] || seen[[2]point{pair[1], pair[0]}] {
				t.Fatalf("two lines from %v to %v", pair[0], pair[1])
			}
			seen[pair] = true
		}
	}
	if len(seen) != 66 {
		t.Errorf("%d lines, want one for each of the 66 pairs", len(seen))
	}
	var keys []pitch.Class
	for n := range cycle.MaxKeys {
		keys = append(keys, pitch.Class((n%12)*(n%12)%12))
	}
	route, err := cycle.NewRoute(cycle.Section{Keys: keys, Closed: true})
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	if err := Write(&b, Options{Route: route}); err != nil || b.Len() > 50_000 {
		t.Errorf("a long route makes %d bytes, %v", b.Len(), err)
	}
}

// No two of the sections of a diagram with a legend look alike.
func TestLawStylesDiffer(t *testing.T) {
	seen := map[string]int{}
	for n := range most {
		thickness, dashes := style(n)
		text := fmt.Sprintf("%.2g %s", thickness, dashes)
		if m, ok := seen[text]; ok {
			t.Errorf("sections %d and %d are both drawn with %s", m+1, n+1, text)
		}
		seen[text] = n
	}
}

// Keys stand clockwise, each of the twelve 30 degrees on, C at the top.
func TestNamesOnTheCircle(t *testing.T) {
	names := major()
	for _, fifths := range []bool{false, true} {
		e := draw(t, Options{ByFifths: fifths})
		order := [12]pitch.Class{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11}
		if fifths {
			order = cycle.By(interval.PerfectFifth).Keys()
		}
		texts := e.all("text")
		if len(texts) != 12 {
			t.Fatalf("%d names", len(texts))
		}
		for place, k := range order {
			text := texts[k]
			x, _ := strconv.ParseFloat(text.attr("x"), 64)
			y, _ := strconv.ParseFloat(text.attr("y"), 64)
			angle := math.Mod(math.Atan2(x-centre, centre-(y-2))*180/math.Pi+360, 360)
			if text.Text != names[k].String() || math.Abs(angle-30*float64(place)) > 0.1 {
				t.Errorf("by fifths %v, place %d: %s at %.1f degrees", fifths, place, text.Text, angle)
			}
		}
	}
}

// A German reader never finds a bare B, on the circle, in the legend or in the words.
func TestNamesInALanguage(t *testing.T) {
	e := draw(t, Options{Route: cycle.By(interval.MajorThird).Closed(), Language: spelling.LanguageGerman})
	said := e.all("desc")[0].Text
	for _, text := range e.all("text") {
		said += " " + text.Text
	}
	for _, want := range []string{"Section 4: Es, G, H and back to Es.", " As A B♭ H ", " Es G H Es"} {
		if !strings.Contains(said, want) {
			t.Errorf("%q is not in %q", want, said)
		}
	}
	if regexp.MustCompile(`\bB( |,|$)`).MatchString(said) {
		t.Errorf("a bare B in %q", said)
	}
}

func TestOpenRowsArePaths(t *testing.T) {
	got := lines(t, draw(t, Options{Route: cycle.Wedge().Open()}))
	switch {
	case len(got) != 1:
		t.Errorf("the wedge is %v: %d paths", got, len(got))
	case len(got[0]) != 12:
		t.Errorf("the wedge is %v: %d points", got, len(got[0]))
	case got[0][0] == got[0][11]:
		t.Errorf("the wedge is %v: it is closed", got)
	}
	if got := lines(t, draw(t, Options{Route: cycle.By(0).Closed()})); len(got) != 0 {
		t.Errorf("twelve cycles of one key make lines: %v", got)
	}
}

func TestLegend(t *testing.T) {
	names := major()
	names[6] = spelling.MustParseName("F#")
	e := draw(t, Options{Route: cycle.By(interval.MinorThird).Closed(), Names: names})
	texts := e.all("text")
	if len(texts) != 15 || texts[12].Text != "C E♭ F♯ A C" {
		t.Errorf("the legend is %v", texts[12:])
	}
	for _, route := range []cycle.Route{{}, cycle.By(0).Closed(), cycle.By(7).Closed(), manySections(t, 13)} {
		if texts := draw(t, Options{Route: route}).all("text"); len(texts) != 12 {
			t.Errorf("%d texts for %v", len(texts), route)
		}
	}
	square, err := cycle.Square(cycle.Wedge())
	if err != nil {
		t.Fatal(err)
	}
	var days []cycle.Route
	for _, day := range square {
		days = append(days, day.Closed())
	}
	route, _ := cycle.Concat(days...)
	if texts := draw(t, Options{Route: route}).all("text"); len(texts) != 24 || !strings.HasSuffix(texts[12].Text, " F G♭ C") {
		t.Errorf("the square has the legend %v", texts[12:])
	}
}

func manySections(t *testing.T, n int) cycle.Route {
	var sections []cycle.Section
	for k := range n {
		sections = append(sections, cycle.Section{Keys: []pitch.Class{pitch.Class(k % 12), pitch.Class((k + 1) % 12)}})
	}
	route, err := cycle.NewRoute(sections...)
	if err != nil {
		t.Fatal(err)
	}
	return route
}

// A drawing holds no script and refers to nothing, and what is given as text
// comes out as text.
func TestDrawingIsPlain(t *testing.T) {
	const title = `<script>alert("&")</script>` + "\x01"
	e := draw(t, Options{Route: manySections(t, 30), Title: title, Move: cycle.Move{From: 3, To: 6}})
	if got := e.all("title")[0].Text; got != strings.Replace(title, "\x01", "\uFFFD", 1) {
		t.Errorf("the title is %q", got)
	}
	desc := e.all("desc")[0].Text
	if !strings.Contains(desc, "And so on. Marked is the move from E♭ to G♭.") || e.attr("role") != "img" {
		t.Errorf("the description is %q", desc)
	}
	known := map[string]bool{"title": true, "desc": true, "g": true, "path": true, "circle": true, "text": true}
	var walk func(element)
	walk = func(e element) {
		for _, c := range e.Children {
			if !known[c.XMLName.Local] {
				t.Errorf("an element %s", c.XMLName.Local)
			}
			for _, a := range c.Attrs {
				if strings.HasPrefix(a.Name.Local, "on") || strings.Contains(a.Name.Local, "href") || strings.Contains(a.Value, "url") {
					t.Errorf("an attribute %s=%q", a.Name.Local, a.Value)
				}
			}
			walk(c)
		}
	}
	walk(e)
}

func TestMark(t *testing.T) {
	plain := draw(t, Options{Route: cycle.By(3).Closed()})
	marked := draw(t, Options{Route: cycle.By(3).Closed(), Move: cycle.Move{From: 3, To: 6}})
	if n := len(marked.all("path")) - len(plain.all("path")); n != 2 {
		t.Errorf("the mark has %d paths, want a line and a head", n)
	}
	for _, m := range []cycle.Move{{From: 4, To: 4}, {From: 12, To: 4}, {From: 4, To: 200}} {
		same := draw(t, Options{Route: cycle.By(3).Closed(), Move: m})
		if len(same.all("path")) != len(plain.all("path")) {
			t.Errorf("%v is marked", m)
		}
	}
}

type broken struct{}

func (broken) Write([]byte) (int, error) { return 0, io.ErrClosedPipe }

func TestErrors(t *testing.T) {
	names := major()
	names[3] = spelling.MustParseName("E")
	var e *fault.ValueError
	if err := Write(io.Discard, Options{Names: names}); !errors.As(err, &e) || err.Error() != `name of key 3 "E": a name sounds as its key does, here 3 semitones above C` {
		t.Errorf("wrong names: %v", err)
	}
	if err := Write(broken{}, Options{}); err != io.ErrClosedPipe {
		t.Errorf("a writer that fails: %v", err)
	}
}

func BenchmarkWrite(b *testing.B) {
	o := Options{Route: cycle.By(interval.MinorThird).Closed()}
	b.ReportAllocs()
	for range b.N {
		if err := Write(io.Discard, o); err != nil {
			b.Fatal(err)
		}
	}
}
