package staff

import (
	"encoding/xml"
	"fmt"
	"io"
	"strconv"
	"strings"

	"example.com/keyorder/figure/notation"
)

// WriteSVG writes the system as an SVG document, which can also stand in an
// HTML page as it is. It is as wide and high as Width and Height say, and holds
// a title and a description, no script and no reference to anything.
func (s *System) WriteSVG(w io.Writer) error {
	b := make([]byte, 0, 1<<14)
	first, last := s.Bars()
	b = appendHead(b, s.Width(), s.Height(), fmt.Sprintf("%s, bars %d to %d", s.name, first, last), describe(s))
	b = s.appendTo(b, 0, 0)
	b = append(b, "</svg>\n"...)
	_, err := w.Write(b)
	return err
}

func appendHead(b []byte, width, height float64, title, description string) []byte {
	w, h := number(width), number(height)
	b = fmt.Appendf(b, `<svg xmlns="http://www.w3.org/2000/svg" role="img" width="%smm" height="%smm" viewBox="0 0 %s %s" color="black">`, w, h, w, h)
	b = append(b, "\n<title>"...)
	b = appendEscaped(b, title)
	b = append(b, "</title>\n<desc>"...)
	b = appendEscaped(b, description)
	return append(b, "</desc>\n"...)
}

// describe says in words which keys the systems go through.
func describe(systems ...*System) string {
	var keys []string
	for _, s := range systems {
		for n := range s.bars {
			for _, l := range s.bars[n].Labels {
				if l.Kind != notation.ChordLabel {
					keys = append(keys, l.String())
				}
			}
		}
	}
	if len(keys) == 0 {
		return "The key goes on."
	}
	return "Keys: " + strings.Join(keys, ", ") + "."
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

func number(v float64) string { return string(appendNumber(nil, v)) }

// appendEscaped appends text as XML has it; characters that XML has not become
// U+FFFD.
func appendEscaped(b []byte, text string) []byte {
	var w strings.Builder
	xml.EscapeText(&w, []byte(text)) // a Builder never fails
	return append(b, w.String()...)
}

// appendTo appends the drawing, with its upper left corner at a place in
// millimetres.
func (s *System) appendTo(b []byte, x, y float64) []byte {
	scale := Space * s.scale
	b = append(b, `<g transform="translate(`...)
	b = appendHundredths(b, hundredths(x))
	b = appendHundredths(b, hundredths(y-s.around.top*scale))
	b = append(b, `) scale(`...)
	b = strconv.AppendFloat(b, scale, 'f', 4, 64)
	b = append(b, ")\" fill=\"currentColor\">\n"...)
	for _, k := range [...]kind{lineMark, barlineMark, thickMark, ledgerMark, stemMark, bracketMark, frameMark} {
		b = s.appendStrokes(b, k)
	}
	for _, k := range [...]kind{clefMark, signatureMark, meterMark, headMark, accidentalMark, restMark, dotMark, flagMark, beamMark, tieMark} {
		b = s.appendFills(b, k)
	}
	for n := range s.marks {
		m := &s.marks[n]
		switch m.kind {
		case tempoMark:
			b = s.appendSmall(b, m, tempoSize, 0)
		case numberMark:
			b = s.appendSmall(b, m, numberSize, -0.12) // leaning, as numbers of groups do
		case textMark:
			b = appendText(b, m)
		}
	}
	return append(b, "</g>\n"...)
}

func appendPoint(b []byte, x, y float64) []byte {
	return appendHundredths(appendHundredths(b, hundredths(x)), hundredths(y))
}

// appendStrokes appends all strokes of a kind as one path.
func (s *System) appendStrokes(b []byte, k kind) []byte {
	any := false
	for n := range s.marks {
		m := &s.marks[n]
		if m.kind != k {
			continue
		}
		if !any {
			b = append(b, `<path fill="none" stroke="currentColor" stroke-width="`...)
			b = append(b, number(k.width())...)
			b = append(b, `" d="`...)
			any = true
		}
		b = append(b, 'M')
		b = appendPoint(b, m.x, m.y)
		switch {
		case k == frameMark:
			b = append(b, 'H')
			b = appendHundredths(b, hundredths(m.x2))
			b = append(b, 'V')
			b = appendHundredths(b, hundredths(m.y2))
			b = append(b, 'H')
			b = appendHundredths(b, hundredths(m.x))
			b = append(b, 'Z')
		case m.x == m.x2:
			b = append(b, 'V')
			b = appendHundredths(b, hundredths(m.y2))
		default:
			b = append(b, 'H')
			b = appendHundredths(b, hundredths(m.x2))
		}
	}
	if any {
		b = append(b, "\"/>\n"...)
	}
	return b
}

// appendFills appends all filled marks of a kind as one path.
func (s *System) appendFills(b []byte, k kind) []byte {
	any := false
	for n := range s.marks {
		m := &s.marks[n]
		if m.kind != k {
			continue
		}
		if !any {
			b = append(b, `<path d="`...)
			any = true
		}
		b = append(b, 'M')
		switch k {
		case beamMark:
			const half = beamWidth / 2
			b = appendPoint(b, m.x, m.y-half)
			b = append(b, 'L')
			b = appendPoint(b, m.x2, m.y2-half)
			b = append(b, 'V')
			b = appendHundredths(b, hundredths(m.y2+half))
			b = append(b, 'L')
			b = appendPoint(b, m.x, m.y+half)
			b = append(b, 'Z')
		case tieMark:
			// Two curves from end to end; of a cubic curve the middle is at
			// three quarters of the height of its control points.
			const thick = 0.1
			outer, inner := m.y+(m.y3-m.y)*4/3, m.y3
			if m.y3 > m.y {
				outer, inner = outer+thick, inner-thick
			} else {
				outer, inner = outer-thick, inner+thick
			}
			in := min(1.2, (m.x2-m.x)/3)
			b = appendPoint(b, m.x, m.y)
			b = append(b, 'C')
			b = appendPoint(b, m.x+in, outer)
			b = appendPoint(b, m.x2-in, outer)
			b = appendPoint(b, m.x2, m.y2)
			b = append(b, 'C')
			b = appendPoint(b, m.x2-in, inner)
			b = appendPoint(b, m.x+in, inner)
			b = appendPoint(b, m.x, m.y)
			b = append(b, 'Z')
		default:
			b = appendPoint(b, m.x, m.y)
			b = append(b, s.ruler.shapes[m.glyph].path...)
		}
	}
	if any {
		b = append(b, "\"/>\n"...)
	}
	return b
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

func appendText(b []byte, m *mark) []byte {
	x, anchor := m.x, ""
	if m.style == sectionText { // in the middle of its frame, whatever the font
		x, anchor = (m.box.left+m.box.right)/2, ` text-anchor="middle"`
	}
	b = append(b, `<text x="`...)
	b = appendNumber(b, x)
	b = append(b, `" y="`...)
	b = appendNumber(b, m.y)
	b = append(b, `" font-size="`...)
	b = appendNumber(b, m.style.size())
	b = append(b, `" font-family="sans-serif"`...)
	b = append(b, anchor...)
	if m.style.bold() {
		b = append(b, ` font-weight="bold"`...)
	}
	b = append(b, '>')
	b = appendEscaped(b, m.text)
	return append(b, "</text>\n"...)
}
