package figure

import "strconv"

// String returns the figure's text with ↓ ♭ ♯ ♮, as [Parse] reads it.
func (f Figure) String() string { return string(f.append(nil, false)) }

// Plain returns the figure's text with v b # n, as [Parse] reads it.
func (f Figure) Plain() string { return string(f.append(nil, true)) }

// GoString returns what one would type, for %#v.
func (f Figure) GoString() string {
	if len(f.items) == 0 {
		return "figure.Figure{}"
	}
	return "figure.MustParse(" + strconv.Quote(f.Plain()) + ")"
}

func (f Figure) append(b []byte, plain bool) []byte {
	if f.over != nil {
		b = append(f.over.cell.appendItems(b, plain), " over "...)
		b = f.over.changes.append(b, plain, f.Unit())
	} else {
		b = f.appendItems(b, plain)
	}
	if f.scale != Major {
		b = f.scale.append(append(b, " in "...))
	}
	if f.Unit() != Eighth {
		b = f.unit.append(append(b, " by "...), Whole)
	}
	return b
}

func (f Figure) appendItems(b []byte, plain bool) []byte {
	for n, it := range f.items {
		if n > 0 {
			b = append(b, ' ')
		}
		if n > 0 && n == f.before {
			b = append(b, "| "...)
		}
		b = it.append(b, plain, f.Unit())
	}
	return b
}

// append appends the chord in its braces.
func (c Chord) append(b []byte, plain bool) []byte {
	b = c.Root.append(append(b, '{'), plain)
	if c.Suffix != "" {
		b = append(append(b, ' '), c.Suffix...)
	}
	return append(b, '}')
}

// append appends the event, with its length in units.
func (it Item) append(b []byte, plain bool, unit Length) []byte {
	if it.Chord != nil {
		b = append(it.Chord.append(b, plain), ' ')
	}
	for k, d := range it.Degrees {
		if k > 0 {
			b = append(b, '+')
		}
		b = d.append(b, plain)
	}
	if len(it.Degrees) == 0 {
		b = append(b, '0')
	}
	if it.Length != unit {
		b = it.Length.append(append(b, ':'), unit)
	}
	return b
}

// AppendText implements encoding.TextAppender. It appends what Plain returns,
// and nothing for the empty figure. There is no error.
func (f Figure) AppendText(b []byte) ([]byte, error) { return f.append(b, true), nil }

// MarshalText implements encoding.TextMarshaler; see AppendText.
func (f Figure) MarshalText() ([]byte, error) { return f.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler. It reads what [Parse]
// reads, and the empty figure from no text.
func (f *Figure) UnmarshalText(text []byte) error {
	if len(text) == 0 {
		*f = Figure{}
		return nil
	}
	v, err := Parse(string(text))
	if err == nil {
		*f = v
	}
	return err
}
