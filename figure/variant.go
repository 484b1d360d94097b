package figure

import (
	"slices"

	"example.com/keyorder/interval"
)

// Retrograde returns the figure backward, from its last event to its first.
// A chord stays over the events that it stood over. The result has no pickup.
// Taken twice it gives a figure without pickup and chords back. Of a figure over
// changes the cell is turned, and the changes stay, as in every variation.
func (f Figure) Retrograde() Figure {
	return f.rearranged(func(items []Item) { slices.Reverse(items) })
}

// Rotation returns the figure that begins n events later and ends with those
// passed over; n may be negative or greater than the number of events. A chord
// stays over the events that it stood over. The result has no pickup.
func (f Figure) Rotation(n int) Figure {
	return f.rearranged(func(items []Item) {
		if len(items) == 0 {
			return
		}
		n = (n%len(items) + len(items)) % len(items)
		copy(items, append(slices.Clone(items[n:]), items[:n]...))
	})
}

// rearranged returns the figure with its items in another order and no pickup.
// Meanwhile each item carries the chord that it stands under.
func (f Figure) rearranged(arrange func([]Item)) Figure {
	if f.over != nil {
		g, err := f.over.cell.rearranged(arrange).Over(f.over.changes)
		if err != nil {
			return Figure{} // of no figure; a cell's notes are good in any order
		}
		return g
	}
	items := slices.Clone(f.items)
	var under *Chord
	for n := range items {
		if items[n].Chord != nil {
			under = items[n].Chord
		}
		items[n].Chord = under
	}
	arrange(items)
	under = nil
	for n := range items {
		if items[n].Chord == under {
			items[n].Chord = nil
		} else {
			under = items[n].Chord
		}
	}
	return f.with(items)
}

// with returns the figure of the same scale and unit with other items, known
// to be good, and no pickup. Of no items it is empty: a figure's own are good in
// any order, so that New refuses nothing else.
func (f Figure) with(items []Item) Figure {
	g, _ := New(f.scale, f.Unit(), 0, items...)
	return g
}

// Inversion returns the figure mirrored about a degree, in steps of its scale:
// about 1, 1 3 2 5 becomes 1 ↓6 ↓7 ↓4. Its rhythm, pickup and chords stay. The
// error, a *fault.ValueError, names a note that lies outside the scale or a mirrored one
// that has no degree. About the same degree twice, the sound is that of the
// figure again.
func (f Figure) Inversion(about Degree) (Figure, error) {
	return f.varied(func(f Figure) (Figure, error) { return f.inversion(about) })
}

func (f Figure) inversion(about Degree) (Figure, error) {
	scale := slices.Collect(f.scale.Set().Intervals())
	place := func(d Degree) (at int, err error) {
		above, err := d.Above(f.scale)
		if err != nil {
			return at, err
		}
		octave := floorDiv(above.Steps(), 7)
		k := slices.Index(scale, above-interval.Octave.Times(octave))
		if k < 0 {
			return at, d.refused("it is not in the " + f.scale.String() + " scale, whose steps the inversion counts")
		}
		return octave*len(scale) + k, nil
	}
	axis, err := place(about)
	if err != nil {
		return Figure{}, err
	}
	items := slices.Clone(f.items)
	for n := range items {
		items[n].Degrees = slices.Clone(items[n].Degrees)
		for k, d := range items[n].Degrees {
			at, err := place(d)
			if err != nil {
				return Figure{}, err
			}
			to := 2*axis - at
			octave := floorDiv(to, len(scale))
			mirrored, ok := degreeIn(f.scale, scale[to-octave*len(scale)]+interval.Octave.Times(octave))
			if !ok {
				return Figure{}, d.refused("mirrored about " + about.Plain() + " it lies beyond the degrees vvv1 to 99")
			}
			items[n].Degrees[k] = mirrored
		}
	}
	return New(f.scale, f.Unit(), f.before, items...)
}
