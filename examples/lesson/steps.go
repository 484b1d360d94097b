package main

import (
	"fmt"
	"io"
	"strings"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/spelling"
)

// square takes each note to its pitch class by both ways round: its octave
// forgotten first, or its letter forgotten first.
func square(w io.Writer, notes []spelling.Note) {
	var start spelling.Note
	mod12 := func(n int) int { return (n%12 + 12) % 12 }
	for _, note := range notes {
		up := start.To(note)
		letters, semitones := up.Steps(), up.Semitones()
		fmt.Fprintf(w, "%v lies %d letters and %d semitones from %v.\n", note, letters, semitones, start)

		fifths := 7*semitones - 12*letters
		byName := mod12(7 * fifths)
		fmt.Fprintf(w, "  Forget the octave: 7·%d - 12·%d = %d, counted in fifths from C. That is the name %v.\n",
			semitones, letters, fifths, spelling.Name(fifths))
		fmt.Fprintf(w, "  Then the letter:   7·%d modulo 12 = %d.\n", fifths, byName)

		byNumber := mod12(semitones)
		fmt.Fprintf(w, "  Forget the letter: key number %d.\n", semitones)
		fmt.Fprintf(w, "  Then the octave:   %d modulo 12 = %d.\n", semitones, byNumber)
		fmt.Fprintf(w, "  One pitch class both ways: %v\n", byName == byNumber && note.Name().Class() == note.Number().Class())
	}
	for k, a := range notes {
		for _, b := range notes[:k] {
			if a.Number() == b.Number() && a != b {
				fmt.Fprintf(w, "%v and %v are one key on the keyboard and %d fifths apart.\n", b, a, a.Name()-b.Name())
			}
		}
	}
}

// inversions prints the intervals within the octave, each with its inversion.
func inversions(w io.Writer) {
	octaves, classes := 0, 0
	all := strings.Fields("P1 m2 M2 m3 M3 P4 A4 d5 P5 m6 M6 m7 M7 P8")
	fmt.Fprintln(w, "interval  letters  semitones  fifths  class  inversion  together")
	for _, text := range all {
		i := interval.MustParse(text)
		inv := i.Inversion()
		fmt.Fprintf(w, "%-8v %8d %10d %7d %6d  %-9v  %v\n", i, i.Steps(), i.Semitones(), i.Fifths(), i.IntervalClass(), inv, i+inv)
		if i+inv == interval.Octave {
			octaves++
		}
		if i.IntervalClass() == inv.IntervalClass() {
			classes++
		}
	}
	fmt.Fprintf(w, "Of %d intervals, %d make an octave with their inversion and %d share its class.\n", len(all), octaves, classes)
}

// backward sets the orders by an interval and by its inversion side by side.
func backward(w io.Writer) {
	names := figure.Major.Tonics()
	firstCycle := func(step interval.Interval) string {
		keys := cycle.By(step).Cycle(0)
		text := names[keys[0]].String()
		for n, key := range append(keys[1:], keys[0]) {
			to := names[keys[n]].Up(step) // the letter that the interval leads to
			text += " " + to.String()
			if to != names[key] {
				text += "=" + names[key].String()
			}
		}
		return text
	}
	fmt.Fprintln(w, "F♯=G♭ is an enharmonic change: the interval leads to F♯, and the sheet calls that key G♭ and goes on from there.")
	for _, text := range strings.Fields("m2 M2 m3 M3 P4 A4") {
		narrow := interval.MustParse(text)
		wide := narrow.Inversion()
		there, back := cycle.By(narrow), cycle.By(wide)
		fmt.Fprintf(w, "up %v: %s\nup %v: %s\n", narrow, firstCycle(narrow), wide, firstCycle(wide))
		n := wide.Semitones()
		fmt.Fprintf(w, "  %d up and %d down are an octave apart, so they meet the same key: %v\n",
			n, 12-n, pitch.ClassOf(n) == pitch.ClassOf(n-12))
		fmt.Fprintf(w, "  up %v is up %v backward in all its cycles: %v\n", wide, narrow, back == there.Reverse())
	}
}

// cycles counts the cycles of each order and compares with the greatest common
// divisor of its interval and the octave.
func cycles(w io.Writer) {
	gcd := func(a, b int) int {
		for b != 0 {
			a, b = b, a%b
		}
		return a
	}
	orders, agree := 0, 0
	fmt.Fprintln(w, "semitones  gcd with 12  cycles  keys in each  all of them, from C as 0 (T is 10, E is 11)")
	for n := 1; n < 12; n++ {
		o := cycle.By(interval.Of(0, n))
		orders++
		g, counted, keys := gcd(n, 12), o.Cycles(), len(o.Cycle(0))
		fmt.Fprintf(w, "%9d %12d %7d %13d  %v\n", n, g, counted, keys, o)
		if counted == g && keys == 12/g {
			agree++
		}
	}
	fmt.Fprintf(w, "In %d of %d orders the divisor is the number of cycles, and 12 divided by it the number of keys in each.\n", agree, orders)
}

// moves plays all eleven orders and counts how often each change of key comes.
func moves(w io.Writer) {
	closed, open := map[cycle.Move]int{}, map[cycle.Move]int{}
	statements := 0
	for n := 1; n < 12; n++ {
		o := cycle.By(interval.Of(0, n))
		statements += o.Closed().Len()
		for m := range o.Moves(true) {
			closed[m]++
		}
		for m := range o.Moves(false) {
			open[m]++
		}
	}
	least, most := statements, 0
	for _, times := range closed {
		least, most = min(least, times), max(most, times)
	}
	fmt.Fprintf(w, "12 keys, and from each a move to any of the 11 others: %d moves.\n", 12*11)
	fmt.Fprintf(w, "The orders, each cycle back to its first key: %d statements make %d of them,\n", statements, len(closed))
	fmt.Fprintf(w, "each of these at least %d and at most %d times.\n", least, most)
	fmt.Fprintf(w, "With the cycles left open: %d.\n", len(open))
}

// composites shows what is heard when a figure goes round one cycle of each
// order, from the order that changes it most.
func composites(w io.Writer, f figure.Figure) {
	set := f.Set()
	called := func(s pitch.Set) string {
		if s.Name() == "" {
			return "no name in this list"
		}
		if roots := s.Roots(); roots != 0 && roots.Intersection(pitch.SetOf(0)) == 0 {
			return fmt.Sprintf("the same notes as the %s on %v", s.Name(), roots)
		}
		return s.Name()
	}
	fmt.Fprintf(w, "%v has the notes %v, counted from its tonic (T is 10, E is 11): %s, set class %s, intervals %v.\n", f, set, called(set), set.ForteNumber(), set.Vector())
	fmt.Fprintln(w, "First comes the order that changes it most: by notes new in each statement, then by notes heard in all.")
	for _, e := range f.Effects() {
		keys := cycle.By(e.Step).Cycle(0)
		g := 12 / len(keys)
		var left pitch.Set // by the notes when divided by g
		for c := range set.Classes() {
			left = left.Union(pitch.SetOf(c % pitch.Class(g)))
		}
		fmt.Fprintf(w, "by %v: notes new in each statement: %d; in common with the one before: %d\n", e.Step, e.New, e.Common)
		fmt.Fprintf(w, "    remainders when the notes are divided by %d: %v; keys: %d; %d·%d = %d\n",
			g, left, len(keys), left.Len(), len(keys), left.Len()*len(keys))
		fmt.Fprintf(w, "    heard in all: %d, %v, %s\n", e.Composite.Len(), e.Composite, called(e.Composite))
	}
}

// joins goes round the first cycle of each order, from C3 to C5, every tonic
// the nearer way from the one before, and shows how the statements meet.
func joins(w io.Writer, f figure.Figure) {
	names := f.Scale().Tonics()
	notes := f.AppendNotes(nil, 0)
	first, last := spelling.Note(0).To(notes[0]), spelling.Note(0).To(notes[len(notes)-1])
	fmt.Fprintf(w, "A join (interval, semitones) is the move of the tonic plus the first note, %v, less the last, %v.\n", first, last)
	for _, text := range strings.Fields("m2 M2 m3 M3 P4 A4 P5 m6 M6 m7 M7") {
		keys := cycle.By(interval.MustParse(text)).Cycle(0)
		tonics := []spelling.Note{names[keys[0]].In(4)}
		for _, key := range append(keys[1:], keys[0]) {
			before, near := tonics[len(tonics)-1].Number(), names[key].In(3)
			for t := near; t.Number() <= 72; t = t.Up(interval.Octave) {
				if max(t.Number()-before, before-t.Number()) <= max(near.Number()-before, before-near.Number()) {
					near = t
				}
			}
			tonics = append(tonics, near)
		}
		fmt.Fprintf(w, "by %s: tonics %v, contour %v\n   ", text, tonics, figure.Contour(tonics...))
		rides := 0
		for j := range f.Joins(tonics...) {
			fmt.Fprintf(w, " %v-%v (%v, %d)", j.Last, j.First, j.Interval(), j.Interval().Semitones())
			if j.IsUnison() {
				rides++
			}
		}
		fmt.Fprintf(w, "\n    joins on one note: %d of %d\n", rides, len(tonics)-1)
	}
}
