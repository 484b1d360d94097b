package staff

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/notation"
	"example.com/keyorder/spelling"
)

// A style is a style of text.
type style uint8

const (
	keyText style = iota
	chordText
	sectionText
	barText
	tempoText
	titleText
	nameText // of a part before its staff
	styles
)

const (
	ascent     = 0.95 // how far type reaches up from its baseline, against its size
	descent    = 0.25 // and down
	labelGap   = 0.8  // from one label to the next
	numberSize = 0.55 // of a triplet's number, against the digits of a meter
	tempoSize  = 0.7  // of a tempo's note
)

// size returns the size of the type.
func (t style) size() float64 {
	return [styles]float64{1.8, 1.8, 1.5, 1.3, 1.7, 2.3, 1.7}[t]
}

func (t style) bold() bool { return t == keyText || t == sectionText || t == titleText }

// width returns the width of text.
func (t style) width(text string) float64 {
	return textWidth(text) * t.size() * bolder
}

// bolder is how much wider bold type is; in large print all words are bold.
const bolder = 1.06

// textWidth returns about how many ems wide text is, rather more than less:
// which font there will be is not known.
func textWidth(text string) float64 {
	w := 0.0
	for _, r := range text {
		switch {
		case r > 0x2e80:
			w += 1.1
		case strings.ContainsRune("ijlIt.,:;'|!()[]/ ", r):
			w += 0.42
		case strings.ContainsRune("mwMW@%—", r):
			w += 1.02
		case r >= 'A' && r <= 'Z':
			w += 0.78
		default:
			w += 0.66
		}
	}
	return w
}

// A word is text with its baseline from x, y.
type word struct {
	style       style
	text        string
	x, y, width float64
}

func (t style) word(text string, x, y float64) word { return word{t, text, x, y, t.width(text)} }

func (w word) box() box {
	size := w.style.size()
	return box{w.x, w.y - ascent*size, w.x + w.width, w.y + descent*size}
}

// top returns how high what is drawn reaches between two places.
func (s *System) top(left, right float64) float64 {
	top := math.Inf(1)
	for n := range s.boxes {
		if b := &s.boxes[n]; b.left < right && left < b.right {
			top = min(top, b.top)
		}
	}
	for _, w := range s.texts {
		if b := w.box(); b.left < right && left < b.right {
			top = min(top, b.top)
		}
	}
	return top
}

// over is a word over a bar: at which column, and how far into its time.
type over struct {
	word
	column int
	part   float64
}

const framePad = 0.35 // between a section's number and its frame

// over returns the words over a bar: the number of a section that begins, and
// the labels.
func (m *measured) over(from *stock, language spelling.Language) []over {
	if len(m.Labels) == 0 && m.Section == 0 {
		return nil
	}
	words := take(&from.words, len(m.Labels)+1)[:0]
	add := func(w word, onset figure.Length) {
		o := over{word: w}
		for n := range m.columns {
			if s := m.columns[n].symbol; s.Onset <= onset {
				o.column, o.part = n, float64(onset-s.Onset)/float64(max(s.Length, 1))
			}
		}
		words = append(words, o)
	}
	numbered := m.Section == 0
	number := func() {
		w := sectionText.word(strconv.Itoa(m.Section), 0, 0)
		w.width += 2 * framePad
		add(w, m.SectionOnset)
		numbered = true
	}
	for _, l := range m.Labels {
		if !numbered && l.Onset >= m.SectionOnset {
			number()
		}
		// Few fonts have the double signs.
		text := l.In(language)
		if strings.Contains(text, "\xf0") {
			text = strings.ReplaceAll(strings.ReplaceAll(text, "𝄫", "♭♭"), "𝄪", "♯♯")
		}
		style := keyText
		if l.Kind == notation.LabelKindChord {
			style = chordText
		}
		add(style.word(text, 0, 0), l.Onset)
	}
	if !numbered {
		number()
	}
	return words
}

// words writes labels, tempo and title over what is drawn, row upon row.
func (s *System) words() {
	if s.ruler.bare {
		return
	}
	n := 3 // the number of the bar, tempo and title
	for b := range s.bars {
		n += len(s.bars[b].words)
	}
	s.texts = make([]word, 0, n)
	if n := s.bars[0].Number; n > 1 && !s.below {
		text := strconv.Itoa(n)
		s.texts = append(s.texts, barText.word(text, 0, s.top(0, barText.width(text))-0.4))
	}
	chords := 0.0
	if s.chords() {
		chords = s.row(s.over(true), 0)
	}
	keys := s.row(s.over(false), chords)
	if first := &s.bars[0]; first.Opens && !s.below {
		s.tempo(first)
		if strings.TrimSpace(first.Title) != "" {
			title := clip(first.Title, s.line/titleText.size()/bolder)
			s.row([]word{titleText.word(title, 0, 0)}, keys)
		}
	}
}

// chords reports whether a chord symbol stands over the system.
func (s *System) chords() bool {
	return slices.ContainsFunc(s.bars, func(m measured) bool {
		return slices.ContainsFunc(m.words, func(w over) bool { return w.style == chordText })
	})
}

// over returns the words of a row, the chords or the keys with the numbers of
// sections among them.
func (s *System) over(chords bool) []word {
	n := 0
	for b := range s.bars {
		n += len(s.bars[b].words)
	}
	row := make([]word, 0, n)
	column := 0
	for b := range s.bars {
		m := &s.bars[b]
		for _, w := range m.words {
			if (w.style == chordText) != chords || w.style == sectionText && s.below {
				continue
			}
			at := column + w.column
			w.x = s.x[at] - headHalf
			switch {
			case w.style == sectionText && w.column == 0 && w.part == 0:
				w.x = s.starts[b] + 0.2
			case w.part > 0 && at+1 < len(s.x):
				w.x += w.part * (s.x[at+1] - s.x[at])
			case w.part > 0:
				w.x += w.part * (s.line - s.x[at])
			}
			row = append(row, w.word)
		}
		column += len(m.columns)
	}
	return row
}

// row writes words in a row over what is drawn beneath them and over a height,
// moved sideways where one would run into the next or over the end of the
// staff. It returns how high the row reaches.
func (s *System) row(words []word, over float64) float64 {
	if len(words) == 0 {
		return over
	}
	from := 0.0
	for n := range words {
		words[n].x = max(words[n].x, from)
		from = words[n].x + words[n].width + labelGap
	}
	to := s.line
	for n := len(words) - 1; n >= 0; n-- {
		words[n].x = min(words[n].x, to-words[n].width)
		to = words[n].x - labelGap
	}
	y := -2.7
	for _, w := range words {
		y = min(y, min(over, s.top(w.x-0.3, w.x+w.width+0.3))-0.4-descent*w.style.size())
	}
	for _, w := range words {
		w.y = y
		if w.style == sectionText {
			frame := box{w.x, y - 0.76*w.style.size() - framePad, w.x + w.width, y + framePad}
			s.write(mark{kind: frameMark, x: frame.left, y: frame.top, x2: frame.right, y2: frame.bottom})
		}
		s.texts = append(s.texts, w)
	}
	return y - ascent*words[0].style.size()
}

// clip cuts text that is wider than a number of ems.
func clip(text string, ems float64) string {
	if textWidth(text) <= ems {
		return text
	}
	ems -= textWidth("…")
	for n, r := range text {
		if ems -= textWidth(string(r)); ems < 0 {
			return text[:n] + "…"
		}
	}
	return text
}

// tempo writes the tempo: the note value that is counted and how many of it go
// in a minute, and that eighths swing if they do.
func (s *System) tempo(m *measured) {
	w := s.tempoWord(m)
	w.y = min(-3, s.top(0, w.x+w.width+2)-1)
	if base, dots := tempoValue(m.Meter.Counted()); base > 0 {
		s.tempoNote(base, dots, w.y-0.35)
	}
	s.texts = append(s.texts, w)
}

// tempoWord returns the words of a tempo, after the room for its note.
func (s *System) tempoWord(m *measured) word {
	base, dots := tempoValue(m.Meter.Counted())
	text := "= " + strconv.Itoa(m.Tempo)
	if base == 0 {
		text = fmt.Sprintf("%d whole notes %s", m.Meter.Counted()/figure.Whole, text)
	}
	if s.swing {
		text += "   swing"
	}
	x := 0.0
	if base > 0 {
		x = 1.8 + 0.5*float64(dots)
	}
	if base > 4 {
		x += 0.4
	}
	return tempoText.word(text, x, 0)
}

// tempoValue returns the value of a length, dotted or not, and 0 if it has
// none.
func tempoValue(l figure.Length) (base, dots int) {
	for base := 1; base <= 16; base *= 2 {
		for dots := range 2 {
			if 2*int(l)*base == int(figure.Whole)*(2+dots) {
				return base, dots
			}
		}
	}
	return 0, 0
}

// tempoNote draws a small note.
func (s *System) tempoNote(base, dots int, y float64) {
	small := func(g glyph, x, y float64) {
		s.write(mark{kind: tempoMark, glyph: g, x: x, y: y})
	}
	x := wholeHalf * tempoSize
	switch base {
	case 1:
		small(wholeHead, x, y)
	case 2:
		small(halfHead, x, y)
	default:
		small(blackHead, x, y)
	}
	if dots > 0 {
		small(dot, x+1.5*tempoSize, y)
	}
	if base > 1 {
		stem := x + (headHalf-stemWidth/2)*tempoSize
		s.write(mark{kind: bracketMark, x: stem, y: y - 0.1, x2: stem, y2: y - 3.2*tempoSize})
		if base > 8 {
			small(moreFlagUp, stem, y-3.2*tempoSize)
			small(flagUp, stem, y-2.45*tempoSize)
		} else if base > 4 {
			small(flagUp, stem, y-3.2*tempoSize)
		}
	}
}
