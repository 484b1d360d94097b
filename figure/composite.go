package figure

import (
	"cmp"
	"iter"
	"slices"

	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/spelling"
)

// Set returns the pitch classes of the figure, counted from its tonic as 0:
// 037 for 1 b3 5.
func (f Figure) Set() pitch.Set {
	var s pitch.Set
	for k := range f.notes {
		s = s.Union(pitch.SetOf(pitch.ClassOf(f.notes[k].above.Semitones())))
	}
	return s
}

// Composite returns the pitch classes that sound when the figure is played in
// each of the given keys: the figure's set combined with the set of the keys.
// With the keys of one cycle of an order it is what that cycle makes of the
// figure, as 1 b3 5 by minor thirds makes an octatonic scale; [pitch.Set.Name] says
// so.
// Source: Cohn 1988 (transpositional combination).
func (f Figure) Composite(keys ...pitch.Class) pitch.Set {
	return pitch.SetOf(keys...).Combine(f.Set())
}

// An Effect is what one of the eleven orders by a constant interval makes of a
// figure.
type Effect struct {
	Step interval.Interval // the order is cycle.By(Step)
	// Composite is what the order's first cycle, from class 0, makes of a
	// figure; its other cycles are transpositions of that one.
	Composite pitch.Set
	Common    int // pitch classes that neighbouring statements share
	New       int // pitch classes of a statement that the one before has not
}

// Effects returns what each of the eleven orders makes of the figure, from the
// one that changes it most. The measure is New, the number of pitch classes
// that each statement brings after the one before: the more of them, the
// more the next statement differs from the last. Where two orders bring as many, the one
// with the greater Composite comes first, then the one with the narrower step.
// An interval and its inversion make the same, in the other direction. Of a
// figure without notes all are empty.
func (f Figure) Effects() [11]Effect {
	var effects [11]Effect
	set := f.Set()
	for n, step := range [11]interval.Interval{
		interval.MinorSecond, interval.MajorSecond, interval.MinorThird, interval.MajorThird,
		interval.PerfectFourth, interval.AugmentedFourth, interval.PerfectFifth,
		interval.MinorSixth, interval.MajorSixth, interval.MinorSeventh, interval.MajorSeventh,
	} {
		var keys pitch.Set // those of the cycle from 0
		for k := pitch.Class(0); !keys.Has(k); k = k.T(step.Semitones()) {
			keys = keys.Union(pitch.SetOf(k))
		}
		common := set.CommonTones(step.Semitones())
		effects[n] = Effect{step, keys.Combine(set), common, set.Len() - common}
	}
	slices.SortStableFunc(effects[:], func(a, b Effect) int {
		return cmp.Or(cmp.Compare(b.New, a.New), cmp.Compare(b.Composite.Len(), a.Composite.Len()))
	})
	return effects
}

// A Join is the passage from one statement of a figure to the next: from the
// last note of the one to the first note of the other. Of notes that sound
// together the last, or the first, is the one that is written so.
type Join struct {
	From, To    spelling.Note // the tonics of the two statements
	Last, First spelling.Note // the two notes
	Common      pitch.Set     // the pitch classes that the statements share
}

// Interval returns the interval from the last note of the one statement to the
// first of the next. It is From.To(To), plus the interval of the figure's first
// note above the tonic, minus that of its last.
func (j Join) Interval() interval.Interval { return j.Last.To(j.First) }

// IsUnison reports whether both notes are one sound, whatever their letters, as
// F♯ and G♭ are: the player has nowhere to go, and the change of key is a free
// ride.
func (j Join) IsUnison() bool { return j.Last.Number() == j.First.Number() }

// Joins yields the joins between the statements of the figure on the given
// tonics, in the register that the tonics have. There are none in a figure
// without notes.
func (f Figure) Joins(tonics ...spelling.Note) iter.Seq[Join] {
	return func(yield func(Join) bool) {
		if len(f.notes) == 0 {
			return
		}
		first, last := f.notes[0].above, f.notes[len(f.notes)-1].above
		set := f.Set()
		for k := 1; k < len(tonics); k++ {
			from, to := tonics[k-1], tonics[k]
			common := set.T(int(from.Number())).Intersection(set.T(int(to.Number())))
			if !yield(Join{from, to, from.Up(last), to.Up(first), common}) {
				return
			}
		}
	}
}

// Contour returns the contour of the tonics, as theory writes one: for each its
// rank in height, 0 for the lowest, the same for those that sound the same.
func Contour(tonics ...spelling.Note) []int {
	var heights []pitch.Number
	for _, t := range tonics {
		heights = append(heights, t.Number())
	}
	slices.Sort(heights)
	heights = slices.Compact(heights)
	contour := make([]int, len(tonics))
	for k, t := range tonics {
		contour[k], _ = slices.BinarySearch(heights, t.Number())
	}
	return contour
}
