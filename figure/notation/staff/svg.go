package staff

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"example.com/keyorder/pitch/fault"
)

// WriteSVG writes the system as an SVG document, which can also stand in an
// HTML page as it is. It is as wide and high as Width and Height say. Its title
// names the part and the bars, its description the keys; it holds no script and
// no reference to anything. It goes to w in one piece. The error is a
// *fault.ValueError for the zero System, or that of w.
func (s *System) WriteSVG(w io.Writer) error {
	if len(s.bars) == 0 {
		return &fault.ValueError{Setting: "system", Want: "the zero system has nothing to write; take one from a layout's Systems"}
	}
	d := s.desks.Get().(*desk)
	defer d.clear(s.desks)
	b := d.text[:0]
	first, last := s.Bars()
	b = appendHead(b, s.Width(), s.Height(), fmt.Sprintf("%s, bars %d to %d", s.name, first, last), describe(s))
	b = s.appendAt(b, 0, 0, d)
	d.text = append(b, "</svg>\n"...)
	_, err := w.Write(d.text)
	return err
}

func appendHead(b []byte, width, height float64, title, description string) []byte {
	b = append(b, `<svg xmlns="http://www.w3.org/2000/svg" role="img" width="`...)
	b = appendNumber(b, width)
	b = append(b, `mm" height="`...)
	b = appendNumber(b, height)
	b = append(b, `mm" viewBox="0 0`...)
	b = appendPoint(b, width, height)
	b = append(b, "\" color=\"black\">\n<title>"...)
	b = appendEscaped(b, title)
	b = append(b, "</title>\n<desc>"...)
	b = appendEscaped(b, description)
	return append(b, "</desc>\n"...)
}

// describe says in words which keys the systems go through.
func describe(systems ...*System) string {
	b := make([]byte, 0, 256)
	for _, s := range systems {
		for n := range s.bars {
			for _, w := range s.bars[n].words {
				if w.style != keyText {
					continue
				}
				if len(b) == 0 {
					b = append(b, "Keys: "...)
				} else {
					b = append(b, ", "...)
				}
				b = append(b, strings.TrimPrefix(w.text, "in ")...) // where chords stand below
			}
		}
	}
	switch {
	case len(systems) > 0 && systems[0].ruler != nil && systems[0].ruler.bare:
		return "The keys are not named."
	case len(b) == 0:
		return "The key goes on."
	}
	return string(append(b, '.'))
}

// appendNumber appends a number as the value of an attribute.
func appendNumber(b []byte, v float64) []byte {
	n := hundredths(v)
	if n < 0 {
		b = append(b, '-')
		n = -n
	}
	return appendPositive(b, n)
}

// appendEscaped appends text as XML has it; characters that XML has not become
// U+FFFD.
func appendEscaped(b []byte, text string) []byte {
	for _, r := range text {
		switch {
		case r == '&':
			b = append(b, "&amp;"...)
		case r == '<':
			b = append(b, "&lt;"...)
		case r == '>':
			b = append(b, "&gt;"...)
		case r == '"':
			b = append(b, "&quot;"...)
		case r == '\'':
			b = append(b, "&apos;"...)
		case r < ' ' && r != '\t' && r != '\n', r == 0xFFFE, r == 0xFFFF:
			b = append(b, "\uFFFD"...)
		default:
			b = utf8.AppendRune(b, r)
		}
	}
	return b
}

// appendAt appends the drawing, with its upper left corner at a place in
// millimetres.
func (s *System) appendAt(b []byte, x, y float64, d *desk) []byte {
	scale := s.unit * s.scale
	b = append(b, `<g transform="translate(`...)
	b = appendHundredths(b, hundredths(x))
	b = appendHundredths(b, hundredths(y-s.around.top*scale))
	b = append(b, `) scale(`...)
	b = strconv.AppendFloat(b, scale, 'f', 4, 64)
	b = append(b, ")\" fill=\"currentColor\">\n"...)
	// The marks of a kind are one path.
	var starts [kinds + 1]int
	for m := range s.all() {
		starts[m.kind+1]++
	}
	for k := range kinds {
		starts[k+1] += starts[k]
	}
	d.marks = slices.Grow(d.marks[:0], starts[kinds])
	sorted, next := d.marks[:starts[kinds]], starts
	for m := range s.all() {
		sorted[next[m.kind]] = m
		next[m.kind]++
	}
	for k := range kinds {
		switch marks := sorted[starts[k]:starts[k+1]]; {
		case len(marks) == 0:
		case k == tempoMark:
			for _, m := range marks {
				b = s.appendSmall(b, m, tempoSize, 0)
			}
		case k == changeMark:
			for _, m := range marks {
				b = s.appendSmall(b, m, changeSize, 0)
			}
		case k == numberMark:
			for _, m := range marks {
				b = s.appendSmall(b, m, numberSize, -0.12) // leaning, as numbers of groups do
			}
		case k < stemMark:
			b = s.appendFills(b, marks)
		default:
			b = s.appendStrokes(b, marks)
		}
	}
	for _, w := range s.texts {
		b = appendText(b, w, s.large)
	}
	b = append(b, "</g>\n"...)
	for n, p := range s.parts {
		b = p.appendAt(b, x+s.score.indent*scale, y+(s.tops[n]+p.around.top-s.around.top)*scale, d)
	}
	return b
}

func appendPoint(b []byte, x, y float64) []byte {
	return appendHundredths(appendHundredths(b, hundredths(x)), hundredths(y))
}

// appendStrokes appends strokes of one kind as one path.
func (s *System) appendStrokes(b []byte, marks []*mark) []byte {
	b = append(b, `<path fill="none" stroke="currentColor" stroke-width="`...)
	width := marks[0].kind.width()
	if s.large {
		width *= largeInk
	}
	b = appendNumber(b, width)
	b = append(b, `" d="`...)
	for _, m := range marks {
		b = append(b, 'M')
		b = appendPoint(b, m.x, m.y)
		switch {
		case m.kind == frameMark:
			b = appendTo(b, 'H', m.x2)
			b = appendTo(b, 'V', m.y2)
			b = appendTo(b, 'H', m.x)
			b = append(b, 'Z')
		case m.x == m.x2:
			b = appendTo(b, 'V', m.y2)
		default:
			b = appendTo(b, 'H', m.x2)
		}
	}
	return append(b, "\"/>\n"...)
}

// appendTo appends a straight line to a place across or up and down.
func appendTo(b []byte, command byte, to float64) []byte {
	return appendHundredths(append(b, command), hundredths(to))
}

// appendFills appends filled marks of one kind as one path.
func (s *System) appendFills(b []byte, marks []*mark) []byte {
	b = append(b, `<path d="`...)
	for _, m := range marks {
		b = append(b, 'M')
		switch m.kind {
		case beamMark:
			const half = beamWidth / 2
			b = appendPoint(b, m.x, m.y-half)
			b = append(b, 'L')
			b = appendPoint(b, m.x2, m.y2-half)
			b = appendTo(b, 'V', m.y2+half)
			b = append(b, 'L')
			b = appendPoint(b, m.x, m.y+half)
			b = append(b, 'Z')
		case tieMark:
			b = appendTie(b, m)
		case slurMark:
			b = appendSlur(b, m)
		case accentMark:
			b = appendAccent(b, m)
		case multiMark:
			b = appendMulti(b, m)
		case braceMark:
			b = appendBrace(b, m)
		case groupMark:
			b = appendBracket(b, m)
		default:
			b = appendPoint(b, m.x, m.y)
			b = append(b, s.ruler.shapes[m.glyph].path...)
		}
	}
	return append(b, "\"/>\n"...)
}

// appendTie appends a tie, two curves from end to end. The middle of a cubic
// curve lies at three quarters of the height of its control points.
func appendTie(b []byte, m *mark) []byte {
	const thick = 0.1
	outer, inner := m.y+(m.y2-m.y)*4/3, m.y2
	if m.y2 > m.y {
		outer, inner = outer+thick, inner-thick
	} else {
		outer, inner = outer-thick, inner+thick
	}
	in := min(1.2, (m.x2-m.x)/3)
	b = appendPoint(b, m.x, m.y)
	b = append(b, 'C')
	b = appendPoint(b, m.x+in, outer)
	b = appendPoint(b, m.x2-in, outer)
	b = appendPoint(b, m.x2, m.y)
	b = append(b, 'C')
	b = appendPoint(b, m.x2-in, inner)
	b = appendPoint(b, m.x+in, inner)
	b = appendPoint(b, m.x, m.y)
	return append(b, 'Z')
}

// appendMulti appends a rest of several bars: a thick bar between two thin ones.
func appendMulti(b []byte, m *mark) []byte {
	const thin, half = 0.16, 0.4
	b = appendPoint(b, m.x, m.y-1)
	b = appendTo(b, 'H', m.x+thin)
	b = appendTo(b, 'V', m.y-half)
	b = appendTo(b, 'H', m.x2-thin)
	b = appendTo(b, 'V', m.y-1)
	b = appendTo(b, 'H', m.x2)
	b = appendTo(b, 'V', m.y+1)
	b = appendTo(b, 'H', m.x2-thin)
	b = appendTo(b, 'V', m.y+half)
	b = appendTo(b, 'H', m.x+thin)
	b = appendTo(b, 'V', m.y+1)
	b = appendTo(b, 'H', m.x)
	return append(b, 'Z')
}

// appendBrace appends a brace: from each end a curve that leaves the staves,
// turns, and meets the other in the point.
func appendBrace(b []byte, m *mark) []byte {
	middle, w, h := (m.y+m.y2)/2, m.x2-m.x, (m.y2-m.y)/2
	b = appendPoint(b, m.x2, m.y)
	for _, side := range [2]float64{-1, 1} { // to the point and to the other end
		if side < 0 {
			b = append(b, 'C')
			b = appendPoint(b, m.x2-w*1.1, m.y+h*0.35)
			b = appendPoint(b, m.x2+w*0.25, middle-h*0.3)
			b = appendPoint(b, m.x, middle)
		} else {
			b = append(b, 'C')
			b = appendPoint(b, m.x2+w*0.25, middle+h*0.3)
			b = appendPoint(b, m.x2-w*1.1, m.y2-h*0.35)
			b = appendPoint(b, m.x2, m.y2)
		}
	}
	b = append(b, 'C')
	b = appendPoint(b, m.x2-w*0.65, m.y2-h*0.35)
	b = appendPoint(b, m.x2+w*0.5, middle+h*0.3)
	b = appendPoint(b, m.x, middle)
	b = append(b, 'C')
	b = appendPoint(b, m.x2+w*0.5, middle-h*0.3)
	b = appendPoint(b, m.x2-w*0.65, m.y+h*0.35)
	b = appendPoint(b, m.x2, m.y)
	return append(b, 'Z')
}

// appendSmall appends a glyph made smaller, and leaning.
func (s *System) appendSmall(b []byte, m *mark, size, lean float64) []byte {
	b = append(b, `<path transform="matrix(`...)
	b = appendPoint(b, size, 0)
	b = appendPoint(b, lean, size)
	b = appendPoint(b, m.x, m.y)
	b = append(b, `)" d="M0 0`...)
	b = append(b, s.ruler.shapes[m.glyph].path...)
	return append(b, "\"/>\n"...)
}

func appendText(b []byte, w word, large bool) []byte {
	x, anchor := w.x, ""
	if w.style == sectionText { // in the middle of its frame, whatever the font
		x, anchor = w.x+w.width/2, ` text-anchor="middle"`
	}
	b = append(b, `<text x="`...)
	b = appendNumber(b, x)
	b = append(b, `" y="`...)
	b = appendNumber(b, w.y)
	b = append(b, `" font-size="`...)
	b = appendNumber(b, w.style.size())
	b = append(b, `" font-family="sans-serif"`...)
	b = append(b, anchor...)
	if w.style.bold() || large {
		b = append(b, ` font-weight="bold"`...)
	}
	b = append(b, '>')
	b = appendEscaped(b, w.text)
	return append(b, "</text>\n"...)
}
