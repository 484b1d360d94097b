package drill

import (
	"context"
	"fmt"
	"time"

	"example.com/keyorder/figure"
	"example.com/keyorder/pitch/fault"
)

// A layout says how long statements last, which follows from the settings.
type layout struct {
	meter    Meter
	padding  Padding
	first    figure.Length // the downbeat of the first statement
	keep     figure.Length // from a statement's downbeat to the next, before padding
	keepHeld figure.Length // the same for a held return
}

func (s *Settings) layout() layout {
	bar, f := s.Meter.Bar(), s.Figure
	gap := max(s.rest(), f.Pickup())
	return layout{s.Meter, s.Padding, roundUp(f.Pickup(), bar), f.Length() - f.Pickup() + gap, bar + gap}
}

// rest returns the least silence after a statement.
func (s *Settings) rest() figure.Length {
	if s.Rest == 0 && !s.Figure.Chorus() { // whose last bar is a rest
		return s.Meter.Bar()
	}
	return figure.Length(max(s.Rest, 0)) // NoRest is negative
}

func roundUp(l, unit figure.Length) figure.Length {
	if rest := l % unit; rest > 0 {
		return l + unit - rest
	}
	return l
}

// next returns the downbeat after that of a statement, padded as the settings
// say; a section ends with a full bar.
func (l *layout) next(onset figure.Length, held, endsSection bool) figure.Length {
	bar := l.meter.Bar()
	end := onset + l.keep
	if held {
		end = onset + l.keepHeld
	}
	switch {
	case endsSection || l.padding == PaddingBar:
		end = roundUp(end, bar)
	case l.padding == PaddingBeat:
		at := end / bar * bar
		for n := 0; at < end; n++ {
			at += l.meter.Beat(n % l.meter.Beats())
		}
		end = at
	}
	return end
}

func (s *Settings) tooLong(statements int) error {
	return &fault.ValueError{Setting: "route", Value: fmt.Sprintf("%d statements", statements), Want: "the drill is too long to be played; shorten the route, the figure or the rest"}
}

// setTimes works out when the statements come.
func (d *Drill) setTimes() error {
	l := d.s.layout()
	d.onsets = make([]figure.Length, 1, len(d.steps)+1)
	d.onsets[0] = l.first
	for n, st := range d.steps {
		next := l.next(d.onsets[n], d.isHeld(st), n+1 == len(d.steps) || d.steps[n+1].first)
		if next > MaxLength {
			return d.s.tooLong(len(d.steps))
		}
		d.onsets = append(d.onsets, next)
	}
	return nil
}

// A Cost is how much a drill is, before it is worked out: what makes the work
// of writing, drawing and playing it.
type Cost struct {
	Statements int           // keys that are played, returns included
	Notes      int           // of all parts and statements together
	Duration   time.Duration // at its tempo, rests included, a count-in not
}

// Cost returns what a drill of these settings is at most; it is less only where
// keys are left out because they do not fit. It takes no more time than a walk
// along the route. The error is that of New, but for keys that do not fit.
func (s Settings) Cost() (Cost, error) {
	s.fill()
	if err := s.check(); err != nil {
		return Cost{}, err
	}
	l := s.layout()
	var c Cost
	at := l.first
	for sec := range s.Route.Sections() {
		n := len(sec.Keys)
		back := sec.Closed && n > 1 && s.Closing != ClosingOpen
		if back {
			n++
		}
		for k := range n {
			held := back && k == n-1 && s.Closing == ClosingHeld
			if at = l.next(at, held, k == n-1); at > MaxLength {
				return Cost{}, s.tooLong(s.Route.Len())
			}
			if c.Notes += s.Figure.NoteCount() * len(s.Parts); held {
				c.Notes += (s.heldNotes() - s.Figure.NoteCount()) * len(s.Parts)
			}
		}
		c.Statements += n
	}
	c.Duration = s.after(at)
	return c, nil
}

// heldNotes returns how many notes a held return has.
func (s *Settings) heldNotes() int {
	h := held(s.Figure.In(0))
	return h[1] - h[0]
}

// Within returns what New returns of settings that a stranger gave, if the
// drill costs no more than most, a field of which is no limit where it is 0 or
// less. It refuses the others before any work, with a *fault.ValueError, and gives up
// with the context's error when that is done.
func Within(ctx context.Context, most Cost, s Settings) (*Drill, error) {
	c, err := s.Cost()
	if err != nil {
		return nil, err
	}
	refuse := func(value, want string) error {
		return &fault.ValueError{Setting: "route", Value: value, Want: want + "; shorten the route, the figure or the rest"}
	}
	switch {
	case most.Statements > 0 && c.Statements > most.Statements:
		return nil, refuse(fmt.Sprintf("%d statements", c.Statements), fmt.Sprintf("at most %d are played here", most.Statements))
	case most.Notes > 0 && c.Notes > most.Notes:
		return nil, refuse(fmt.Sprintf("%d notes", c.Notes), fmt.Sprintf("at most %d are played here", most.Notes))
	case most.Duration > 0 && c.Duration > most.Duration:
		return nil, refuse(c.Duration.String(), fmt.Sprintf("a drill takes at most %v here", most.Duration))
	}
	return build(ctx, s)
}

// Len returns the number of statements.
func (d *Drill) Len() int { return len(d.steps) }

// Length returns the length of the whole drill, which is a number of full
// bars.
func (d *Drill) Length() figure.Length {
	if len(d.onsets) == 0 {
		return 0
	}
	return d.onsets[len(d.onsets)-1]
}

// Bars returns the number of bars.
func (d *Drill) Bars() int { return int(d.Length() / d.s.Meter.Bar()) }

// Duration returns how long the drill takes at its tempo, a count-in not
// included.
func (d *Drill) Duration() time.Duration { return d.After(d.Length()) }

// After returns the time that a length takes at the tempo of the drill.
func (d *Drill) After(l figure.Length) time.Duration { return d.s.after(l) }

func (s *Settings) after(l figure.Length) time.Duration {
	perMinute := figure.Length(s.Tempo) * s.Meter.Counted()
	if perMinute == 0 {
		return 0 // the zero Drill
	}
	// In two steps, as long drills have more nanoseconds times beats than an
	// int64.
	minutes, rest := l/perMinute, l%perMinute
	return time.Duration(minutes)*time.Minute + time.Duration(rest)*time.Minute/time.Duration(perMinute)
}

// Sequence reports whether the drills may follow each other, as one line to be
// heard and one score to be read: they have the same parts, each with the same
// instrument by name, sound, transposition and clefs. Ranges are free. The error is a
// *fault.ValueError that names the first drill that does not follow.
func Sequence(drills ...*Drill) error {
	for n, d := range drills {
		refuse := func(want string) error {
			title := ""
			if d != nil {
				title = d.s.Title
			}
			return &fault.ValueError{Setting: fmt.Sprintf("drill %d", n+1), Value: title, Want: want}
		}
		if d == nil || len(d.parts) == 0 {
			return refuse("it is empty; make each with New")
		}
		first := drills[0].parts
		if len(d.parts) != len(first) {
			return refuse(fmt.Sprintf("it has %d parts and the first drill %d; drills that follow each other have the same", len(d.parts), len(first)))
		}
		for p := range d.parts {
			if a, b := d.parts[p].Instrument, first[p].Instrument; a.Name != b.Name || a.Program != b.Program || a.Sounding != b.Sounding || a.Clef != b.Clef || a.Also != b.Also || a.Grand != b.Grand {
				return refuse(fmt.Sprintf("its part %d is for %s and that of the first drill for %s; drills that follow each other have the same instruments", p+1, a.Name, b.Name))
			}
		}
	}
	return nil
}
