package figure

import (
	"iter"
	"slices"
	"strconv"
	"strings"

	"example.com/keyorder/interval"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling/chord"
)

// A Change is a chord of a progression.
type Change struct {
	Chord  Chord
	Length Length // how long it lasts; 0 for as long as the cell that is stated over it
}

// Changes are the chords of a progression, one after another, for [Figure.Over].
// They have no key: a chord stands on a degree. Those that players call by a name
// keep it, see [Forms]. The zero value has no chords.
type Changes struct {
	form   *form    // nil where the chords are listed
	bar    Length   // what each chord of a form lasts, 0 for what the form says
	listed []Change // what is listed
}

// ChangesOf returns the changes with the given chords, which it copies.
// [Figure.Over] refuses what is no chord.
func ChangesOf(list ...Change) Changes { return Changes{listed: slices.Clone(list)} }

// A form is a progression that has a name.
type form struct {
	names  []string // in small letters, the first of them the one that String writes
	chords string   // as {2 m7} has them, roots counted from the major scale; none for the sevenths of the figure's own scale
	bar    Length   // what each chord lasts; 0 for as long as the cell
	chorus bool     // the last bar turns to the next key
}

// The blues of twelve bars, a chord each: common practice, no source.
var forms = [...]form{
	{names: []string{"2-5-1", "major 2-5-1"}, chords: "2 m7, 5 7, 1 maj7"},
	{names: []string{"minor 2-5-1"}, chords: "2 m7b5, 5 7b9, 1 m6"},
	{names: []string{"1-6-2-5"}, chords: "1 maj7, 6 m7, 2 m7, 5 7"},
	{names: []string{"1-6-2-5 with 7b9"}, chords: "1 maj7, 6 7b9, 2 m7, 5 7"},
	{names: []string{"diatonic sevenths", "seventh chords"}},
	{names: []string{"blues", "twelve-bar blues"}, bar: Whole, chorus: true,
		chords: "1 7, 1 7, 1 7, 1 7, 4 7, 4 7, 1 7, 1 7, 5 7, 4 7, 1 7, 5 7"},
	{names: []string{"jazz blues"}, bar: Whole, chorus: true,
		chords: "1 7, 4 7, 1 7, 1 7, 4 7, #4 dim7, 1 7, 6 7b9, 2 m7, 5 7, 1 7, 5 7"},
	{names: []string{"minor blues"}, bar: Whole, chorus: true,
		chords: "1 m7, 1 m7, 1 m7, 1 m7, 4 m7, 4 m7, 1 m7, 1 m7, b6 7, 5 7alt, 1 m7, 5 7alt"},
}

// Forms yields the progressions that have a name in the trade:
//
//   - 2-5-1: {2 m7} {5 7} {1 maj7}
//   - minor 2-5-1: {2 m7b5} {5 7b9} {1 m6}
//   - 1-6-2-5: {1 maj7} {6 m7} {2 m7} {5 7}; "1-6-2-5 with 7b9" has {6 7b9}
//   - diatonic sevenths: the seven seventh chords of the figure's scale, upward
//   - blues, jazz blues, minor blues: twelve bars, each with one chord that lasts a
//     whole note; see [Figure.Chorus]
//
// The roots count from the major scale, whatever the figure's. A length after the
// name is that of each chord: "2-5-1:8", and "blues:6" for bars of three quarters.
func Forms() iter.Seq[Changes] {
	return func(yield func(Changes) bool) {
		for k := range forms {
			if !yield(Changes{form: &forms[k]}) {
				return
			}
		}
	}
}

// In returns the chords as a figure of the scale has them, a bare root where the
// scale has it. The error is a *fault.ValueError: the diatonic sevenths are those
// of a scale with seven letters.
func (c Changes) In(s Scale) ([]Change, error) {
	if c.form == nil {
		return slices.Clone(c.listed), nil
	}
	if c.form.chords == "" {
		return c.sevenths(s)
	}
	var list []Change
	for _, text := range strings.Split(c.form.chords, ", ") {
		root, suffix, _ := strings.Cut(text, " ")
		d := MustParseDegree(root)
		d, _ = degreeIn(s, above(int(d.Step), int(d.Alteration)))
		list = append(list, Change{Chord{d, suffix}, c.barLength()})
	}
	return list, nil
}

func (c Changes) barLength() Length {
	if c.bar != 0 {
		return c.bar
	}
	return c.form.bar
}

// sevenths returns the chords of stacked thirds on the degrees of a scale.
func (c Changes) sevenths(s Scale) ([]Change, error) {
	var members [7]interval.Interval
	for step := range members {
		a, ok := s.bare(step)
		if !ok || s.Set().Len() != 7 {
			return nil, s.refused("the diatonic sevenths are those of a scale with seven letters, as major or harmonic minor")
		}
		members[step] = above(step, a)
	}
	var list []Change
	for step, root := range members {
		quality := interval.Root
		for _, third := range [...]int{2, 4, 6} {
			quality, _ = quality.With(members[(step+third)%7] - root)
		}
		list = append(list, Change{Chord{Degree{Step: int8(step)}, chord.Of(0, quality).PlainSuffix()}, c.barLength()})
	}
	return list, nil
}

func (c Changes) equal(o Changes) bool {
	return c.form == o.form && c.bar == o.bar && slices.Equal(c.listed, o.listed)
}

// String returns the text of the changes with ↓ ♭ ♯ ♮ in their roots, as
// [ParseChanges] reads it.
func (c Changes) String() string { return string(c.append(nil, false, Eighth)) }

// Plain returns the text with v b # n.
func (c Changes) Plain() string { return string(c.append(nil, true, Eighth)) }

// GoString returns what one would type, for %#v.
func (c Changes) GoString() string {
	if c.equal(Changes{}) {
		return "figure.Changes{}"
	}
	return "figure.MustParseChanges(" + strconv.Quote(c.Plain()) + ")"
}

// append appends the changes, with their lengths in units.
func (c Changes) append(b []byte, plain bool, unit Length) []byte {
	if c.form != nil {
		return appendLength(append(b, c.form.names[0]...), c.bar, unit)
	}
	for n, change := range c.listed {
		if n > 0 {
			b = append(b, ' ')
		}
		b = appendLength(change.Chord.append(b, plain), change.Length, unit)
	}
	return b
}

// appendLength appends a colon and a length that was given.
func appendLength(b []byte, l, unit Length) []byte {
	if l == 0 {
		return b
	}
	return l.append(append(b, ':'), unit)
}

// AppendText implements encoding.TextAppender. It appends what Plain returns.
// There is no error.
func (c Changes) AppendText(b []byte) ([]byte, error) { return c.append(b, true, Eighth), nil }

// MarshalText implements encoding.TextMarshaler; see AppendText.
func (c Changes) MarshalText() ([]byte, error) { return c.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler. It reads what [ParseChanges]
// reads, and no changes from no text.
func (c *Changes) UnmarshalText(text []byte) error {
	if len(text) == 0 {
		*c = Changes{}
		return nil
	}
	v, err := ParseChanges(string(text))
	if err == nil {
		*c = v
	}
	return err
}

// MustParseChanges is [ParseChanges] for text known to be good. It panics if the
// text is no changes.
func MustParseChanges(s string) Changes {
	c, err := ParseChanges(s)
	if err != nil {
		panic(err)
	}
	return c
}

// ParseChanges reads a progression: chords as [Parse] has them, with spaces or
// commas between, or the name of one of the [Forms], in any case. A colon and a
// length in eighths may follow a chord or the name: "{2 m7} {5 7} {1 maj7}:8",
// "minor 2-5-1:8". The error is a *fault.SyntaxError.
func ParseChanges(s string) (Changes, error) {
	c, _, err := parseChanges(s, Eighth)
	return c, err
}

const wantChanges = "changes are chords such as {2 m7} {5 7} {1 maj7}:8, or one of "

// parseChanges reads changes with their lengths in units, and where each listed
// chord stands in the text.
func parseChanges(s string, unit Length) (c Changes, places []int, err error) {
	r := newReader("changes", s, Major)
	fail := func(at int, want string) (Changes, []int, error) { return Changes{}, nil, r.fail(at, want) }
	if !strings.ContainsRune(s, '{') {
		name, units, timed := strings.Cut(s, ":")
		plain := plainName(strings.TrimSpace(name))
		for k := range forms {
			if slices.ContainsFunc(forms[k].names, func(n string) bool { return plainName(n) == plain }) {
				c.form = &forms[k]
			}
		}
		if c.form == nil {
			var all []string
			for k := range forms {
				all = append(all, forms[k].names[0])
			}
			return fail(0, wantChanges+strings.Join(all, ", "))
		}
		if timed {
			if c.bar = length(units, unit); c.bar == 0 {
				return fail(len(name), wantLength)
			}
		}
		return c, nil, nil
	}
	for r.at < len(s) {
		if isSeparator(s[r.at]) {
			r.at++
			continue
		}
		if s[r.at] != '{' {
			return fail(r.at, "changes are chords in braces, as {2 m7} {5 7}:8")
		}
		text, rest, closed := strings.Cut(s[r.at+1:], "}")
		if !closed {
			return fail(r.at, "a chord ends with }, as in {2 m7}")
		}
		ch, err := r.chord(event{chord: text, chordAt: r.at + 1})
		if err != nil {
			return Changes{}, nil, err
		}
		places = append(places, r.at)
		change := Change{Chord: ch}
		r.at = len(s) - len(rest)
		if units, timed := strings.CutPrefix(rest, ":"); timed {
			if end := strings.IndexAny(units, separators+"{"); end >= 0 {
				units = units[:end]
			}
			if change.Length = length(units, unit); change.Length == 0 {
				return fail(r.at, wantLength)
			}
			r.at += 1 + len(units)
		}
		c.listed = append(c.listed, change)
	}
	return c, places, nil
}

const wantLength = "after the colon comes a length in units, as {1 maj7}:8, a multiple of 1/192 and at most 64 whole notes"

// length reads a length of so many units, or 0.
func length(units string, unit Length) Length {
	l, _ := fraction(units, unit, MaxLength)
	return l
}

// over is what a figure over changes was made of.
type over struct {
	cell    Figure
	changes Changes
}

func (o *over) equal(p *over) bool {
	if o == nil || p == nil {
		return o == p
	}
	return o.cell.Equal(p.cell) && o.changes.equal(p.changes)
}

// Over states a figure, the cell, from the root of each chord in turn, which
// begins with it. A number in the cell counts from the chord's root. With an
// accidental it counts against the major scale there; a bare one is, in this
// order,
//
//   - the chord's own note on that letter, plain before lowered before raised;
//   - that of the figure's scale read from the chord's root, if the scale holds the
//     whole chord by its sound, so that in major the m7 on 3 is phrygian;
//   - that of the scale which usage sets beside the chord, see [UsualScale].
//
// A chord without a length lasts as long as the cell; after the cell a longer one
// rests. The result is a figure like any other, and its text is that of cell and
// changes. [Figure.Changes] gives both back.
//
// The error is a *fault.ValueError: the cell is empty, has a pickup or chords of
// its own; a chord is shorter than it, or cannot be read; a bare number has no
// note over a chord.
func (f Figure) Over(c Changes) (Figure, error) {
	g, at, err := f.stated(c)
	if err != nil {
		return Figure{}, &fault.ValueError{Setting: "change " + strconv.Itoa(at+1), Err: err}
	}
	return g, nil
}

// Changes returns the cell and the changes that the figure was made of with Over;
// ok is false where it was not.
func (f Figure) Changes() (cell Figure, c Changes, ok bool) {
	if f.over == nil {
		return Figure{}, Changes{}, false
	}
	return f.over.cell, Changes{f.over.changes.form, f.over.changes.bar, slices.Clone(f.over.changes.listed)}, true
}

// Chorus reports whether the figure stands over a form whose last bar turns to the
// next key, as the blues does. There the player has a rest, and the dominant is
// that of the key which comes next, so that between keys no other rest is needed.
// [Figure.Chords], which knows of no next key, has the figure's own.
func (f Figure) Chorus() bool {
	return f.over != nil && f.over.changes.form != nil && f.over.changes.form.chorus
}

// stated does what Over does, and says which change it refuses.
func (f Figure) stated(c Changes) (g Figure, at int, err error) {
	refuse := func(value, want string) (Figure, int, error) {
		return Figure{}, at, &fault.ValueError{Setting: "cell", Value: value, Want: want}
	}
	switch {
	case len(f.items) == 0:
		return refuse("", "a cell has at least one event")
	case f.over != nil:
		return refuse(f.Plain(), "the cell stands over changes already; take its cell")
	case f.before > 0:
		return refuse(f.Plain(), "a cell over changes begins on the downbeat, without a pickup")
	case len(f.chords) > 0:
		return refuse(f.Plain(), "a cell over changes has no chords of its own")
	}
	list, err := c.In(f.scale)
	if err != nil {
		return Figure{}, 0, err
	}
	g = Figure{scale: f.scale, unit: f.unit, over: &over{cell: f, changes: c}}
	if len(list) == 0 {
		return refuse("", "there is at least one chord, as in over {2 m7} {5 7}")
	}
	for n, change := range list {
		at = n
		u, err := changeIn(f.scale, change.Chord)
		if err != nil {
			return Figure{}, n, err
		}
		rest := change.Length - f.length
		switch {
		case change.Length == 0:
			rest = 0
		case rest < 0:
			return refuse(f.Plain(), "the cell lasts "+f.length.String()+" and its chord "+change.Length.String()+"; a chord lasts at least as long as the cell")
		}
		first := &Chord{change.Chord.Root, change.Chord.Suffix}
		if g.Chorus() && n == len(list)-1 {
			if err := g.add(Item{Length: f.length + rest, Chord: first}); err != nil {
				return Figure{}, n, err
			}
			break
		}
		for _, it := range f.items {
			it = it.clone()
			it.Chord, first = first, nil
			for k, d := range it.Degrees {
				if it.Degrees[k], err = u.degree(d); err != nil {
					return Figure{}, n, err
				}
			}
			if err := g.add(it); err != nil {
				return Figure{}, n, err
			}
		}
		if rest > 0 {
			if err := g.add(Item{Length: rest}); err != nil {
				return Figure{}, n, err
			}
		}
	}
	g.settle()
	return g, at, nil
}

// A change is a chord of a progression in a figure's scale, with what a bare number
// means over it.
type change struct {
	chord Chord
	root  interval.Interval
	own   interval.Set // the chord's notes above its root
	scale Scale        // the figure's
	held  bool         // that it holds the chord
	usual interval.Set // the scale beside the chord, above its root; empty for none
}

func changeIn(s Scale, c Chord) (change, error) {
	at, err := c.at(s)
	if err != nil {
		return change{}, err
	}
	own, above, err := at.quality()
	if err != nil {
		return change{}, err
	}
	sounds := own.PitchSet().T(at.above.Semitones())
	u := change{chord: c, root: at.above, own: own, scale: s, held: s.Set().PitchSet()&sounds == sounds}
	if usual, ok := UsualScale(above); ok {
		u.usual = usual.Set()
		if usual == Altered { // with the sixth of its seven-letter form
			u.usual |= interval.Set(b6)
		}
	}
	return u, nil
}

// degree returns the degree of the figure's scale that a degree of the cell is over
// the chord.
func (u *change) degree(d Degree) (Degree, error) {
	alteration := int(d.Alteration)
	if !d.Explicit {
		var ok bool
		if alteration, ok = u.bare(int(d.Step)); !ok {
			natural := Degree{Step: d.Step, Explicit: true}
			return Degree{}, d.refused("neither the chord " + string(u.chord.append(nil, true)) + " nor a scale beside it has a plain " + d.Plain() + "; write " + natural.Plain() + " for that of the major scale, or say which with b or #")
		}
	}
	above := u.root + above(int(d.Step), alteration)
	in, ok := degreeIn(u.scale, above)
	if !ok {
		return Degree{}, d.refused("over " + string(u.chord.append(nil, true)) + " it lies beyond the degrees vvv1 to 99")
	}
	in.Explicit = in.Explicit || d.Explicit
	if in.Explicit {
		in.Alteration = int8(alterationOf(above))
	}
	return in, nil
}

// bare returns the alteration of a bare number over the chord.
func (u *change) bare(step int) (alteration int, ok bool) {
	for _, a := range [...]int{0, -1, -2, 1, 2} {
		if u.own.Has(above(step, a)) {
			return a, true
		}
	}
	if u.held {
		tonic := above(int(floorDiv(u.root.Steps(), 7))*7, 0)
		if u.root == tonic {
			alteration, ok = u.scale.bare(step)
		} else {
			alteration, ok = plainForm(u.scale.Set(), u.root, step)
		}
		if ok {
			return alteration, true
		}
	}
	return plainForm(u.usual, 0, step)
}
