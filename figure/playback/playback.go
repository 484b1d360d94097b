// Package playback lays drills out in time, to be heard: one line of notes,
// clicks and markers.
//
// A [Line] is one or more drills, one after another, each after a count-in. It
// yields its [Event] values in the order of time, as often as one asks, and
// never holds more of the notes than one statement has. Packages below this one
// write a Line as a file.
//
// What sounds is a [Mode]. In answer, the default, the player is alone with
// the click and the first note of each statement, and hears the model in the
// rest that follows; in call the model comes first; in model it sounds
// throughout. The rest must have room for that, which [RestFor] works out.
//
// Times are whole ticks, 960 to a quarter note, so that swing moves notes and
// nothing is ever rounded twice.
package playback

import (
	"fmt"
	"iter"
	"math"
	"sort"
	"strings"
	"time"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/pitch"
	"example.com/keyorder/spelling"
)

// A Time is a place on a Line, from the beginning of its first count-in, or a
// length, in ticks.
type Time int64

// Quarter is the length of a quarter note in ticks. 1/192 of a whole note is
// 20 ticks.
const Quarter Time = 960

func ticks(l figure.Length) Time { return Time(l) * Quarter / Time(figure.Quarter) }

// A Mode says which notes sound. The zero value is Answer. Its text is answer,
// call, model or click.
type Mode uint8

// The modes.
const (
	// Answer sounds the first note of each statement with the player, and the
	// whole statement in the rest that follows, at the same place of a later
	// bar. A held return is one long note, which sounds with the player only.
	Answer Mode = iota
	// Call sounds each statement in its own time, for the player to repeat in
	// the rest that follows.
	Call
	// Model sounds each statement in its own time, for the player to join.
	Model
	// ClickOnly sounds no notes.
	ClickOnly
)

// Clicks says which beats click. Its text is every beat or 2 and 4. A count-in
// clicks on every beat.
type Clicks uint8

// Which beats click.
const (
	// EveryBeat clicks on every note value that the tempo counts, with an
	// accent on the first of a bar and, where the beats of the meter are
	// uneven, of each beat: on the eighths of 2+2+3/8.
	EveryBeat Clicks = iota
	// TwoAndFour clicks on the second, fourth and further even beats of a bar,
	// without accents.
	TwoAndFour
)

// The bounds of a Line.
const (
	NoCountIn   = -1               // for Options.CountIn
	MaxCountIn  = 16               // bars
	MaxSwing    = 3                // to 1
	MaxDuration = 1000 * time.Hour // of the whole line
)

// Options say how drills are heard. The zero value is answer mode with a bar
// of count-in, a click on every beat and no swing.
type Options struct {
	Mode Mode `json:"mode,omitempty"`
	// CountIn is the number of bars that are counted before each drill, up to
	// MaxCountIn; 0 means 1, NoCountIn none.
	CountIn int    `json:"count_in,omitempty"`
	Clicks  Clicks `json:"clicks,omitempty"`
	// Swing is how much longer the first eighth of a quarter is than the
	// second: 2 for the feel of triplets, 1 or 0 for straight eighths, at most
	// MaxSwing. It moves off-beat eighths and notes of several eighths;
	// triplets, sixteenths and the click stay where they are. Meters in
	// eighths and sixteenths do not swing.
	Swing float64 `json:"swing,omitempty"`
}

// A Kind says what an Event is.
type Kind uint8

// The kinds of events. Events at the same time come in this order.
const (
	DrillStart   Kind = iota // a drill begins with its count-in; its tempo and meter hold from here
	SectionStart             // a section begins, as each cycle of an order is one
	Click                    // a beat of the click
	Note                     // a note
)

// An Event is something that happens on a Line.
type Event struct {
	Time Time
	Kind Kind
	// Length is how long a Note sounds, and how long the count-in of a
	// DrillStart is.
	Length Time
	// Drill counts the drills of the line from 0.
	Drill int
	// Section and Statement count those of the drill from 0, at a
	// SectionStart and for a Note.
	Section   int
	Statement int
	// Part, Key and Index are those of a Note: the part from 0, the key number
	// that sounds, and which note of the figure it is, from 0.
	Part  int
	Key   pitch.Number
	Index int
	// Accent is set for the accented beats of a Click.
	Accent bool
	// Name is the first key of a section at its SectionStart, as the first
	// part reads it.
	Name spelling.Name
}

// A Line is one or more drills laid out in time. It does not change and may be
// used by many goroutines at once. The zero value is empty.
type Line struct {
	o     Options
	spans []span
}

// A span is where a drill lies on the line.
type span struct {
	drill     *drill.Drill
	begin     Time // of the count-in
	music     Time // of the drill itself
	end       Time
	bar       Time
	counted   []beat // the clicks of a bar of count-in
	beats     []beat // the clicks of a bar of the drill
	at        time.Duration
	perMinute Time
	shift     Time       // from a statement to its answer
	offbeat   Time       // where the second eighth of a quarter lies
	first     firstEvent // of the figure
	starts    []Event    // the drill's, then those of its sections
}

// A beat is a click in a bar.
type beat struct {
	at     Time
	accent bool
}

type firstEvent struct{ onset, length figure.Length }

// New lays drills out on a line. They are for the same instruments, part by
// part. In answer and call mode, each statement must leave room for the model
// or the player to follow; see RestFor. The error is an *Error.
func New(o Options, drills ...*drill.Drill) (*Line, error) {
	if err := o.check(); err != nil {
		return nil, err
	}
	if len(drills) == 0 {
		return nil, &Error{Reason: "a line has at least one drill"}
	}
	l := &Line{o: o, spans: make([]span, 0, len(drills))}
	var begin Time
	var at time.Duration
	for n, d := range drills {
		refuse := func(reason string) error {
			title := fmt.Sprintf("drill %d", n+1)
			if d != nil && d.Settings().Title != "" {
				title += fmt.Sprintf(", %.60q", d.Settings().Title)
			}
			return &Error{Reason: title + ": " + reason}
		}
		if d == nil || d.Parts() == 0 {
			return nil, refuse("it is empty; make it with drill.New")
		}
		if !sameParts(d, drills[0]) {
			return nil, refuse("it is not for the same instruments as the first drill")
		}
		s := newSpan(d, o)
		s.begin, s.music, s.end, s.at = begin, s.music+begin, s.end+begin, at
		room := s.findStarts(n)
		switch {
		case o.Swing > 1 && d.Settings().Meter.Unit() > 4:
			return nil, refuse(fmt.Sprintf("%v does not swing; swing is for meters in quarters and halves", d.Settings().Meter))
		case len(s.beats) == 0:
			return nil, refuse(fmt.Sprintf("%v has no second beat to click on; choose every beat", d.Settings().Meter))
		case (o.Mode == Answer || o.Mode == Call) && !room && restFor(d.Settings()) > figure.MaxLength:
			return nil, refuse(fmt.Sprintf("a figure of %v whole notes is too long for %v mode: the rest after it would be longer than 64", d.Settings().Figure.Length(), o.Mode))
		case (o.Mode == Answer || o.Mode == Call) && !room:
			return nil, refuse(fmt.Sprintf("its rests are too short for %v mode, which needs a rest of %v after each statement", o.Mode, RestFor(o.Mode, d.Settings())))
		}
		if at += s.after(s.end - s.begin); at > MaxDuration {
			return nil, refuse(fmt.Sprintf("with it the line is longer than %v", MaxDuration))
		}
		begin = s.end
		l.spans = append(l.spans, s)
	}
	return l, nil
}

func (o Options) check() error {
	switch {
	case o.Mode > ClickOnly:
		return &Error{Reason: fmt.Sprintf("%v: the mode is one of %s", o.Mode, strings.Join(modes(), ", "))}
	case o.Clicks > TwoAndFour:
		return &Error{Reason: fmt.Sprintf("%v: the click is one of %s", o.Clicks, strings.Join(clicks(), ", "))}
	case o.CountIn < NoCountIn || o.CountIn > MaxCountIn:
		return &Error{Reason: fmt.Sprintf("count-in %d: a count-in has up to %d bars, or NoCountIn", o.CountIn, MaxCountIn)}
	case o.Swing != 0 && !(o.Swing >= 1 && o.Swing <= MaxSwing):
		return &Error{Reason: fmt.Sprintf("swing %v: the ratio goes from 1, straight, to %d", o.Swing, MaxSwing)}
	}
	return nil
}

func sameParts(a, b *drill.Drill) bool {
	if a.Parts() != b.Parts() {
		return false
	}
	for n := range a.Parts() {
		if i, j := a.Part(n), b.Part(n); i.Name != j.Name || i.Program != j.Program {
			return false
		}
	}
	return true
}

// newSpan returns the span of a drill at the beginning of a line.
func newSpan(d *drill.Drill, o Options) span {
	settings := d.Settings()
	m, f := settings.Meter, settings.Figure
	bars := max(o.CountIn, 0)
	if o.CountIn == 0 {
		bars = 1
	}
	s := span{
		drill:     d,
		bar:       ticks(m.Bar()),
		counted:   everyBeat(m),
		perMinute: Time(settings.Tempo) * ticks(m.Counted()),
		shift:     ticks(toAnswer(settings)),
		offbeat:   Quarter / 2,
	}
	if o.Swing > 1 {
		s.offbeat = Time(math.Round(float64(Quarter) * o.Swing / (1 + o.Swing)))
	}
	if s.beats = s.counted; o.Clicks == TwoAndFour {
		s.beats = evenBeats(m)
	}
	s.music = Time(bars) * s.bar
	s.end = s.music + ticks(d.Length())
	e := f.In(0)[0]
	s.first = firstEvent{e.Onset, e.Length}
	return s
}

func everyBeat(m drill.Meter) []beat {
	var beats []beat
	var at figure.Length
	for n := range m.Beats() {
		accent := n == 0 || m.Beat(0) != m.Counted()
		for end := at + m.Beat(n); at < end; at += m.Counted() {
			beats = append(beats, beat{ticks(at), accent})
			accent = false
		}
	}
	return beats
}

func evenBeats(m drill.Meter) []beat {
	var beats []beat
	var at figure.Length
	for n := range m.Beats() {
		if n%2 == 1 {
			beats = append(beats, beat{at: ticks(at)})
		}
		at += m.Beat(n)
	}
	return beats
}

// toAnswer returns the time from a statement to what follows it in its rest:
// as many bars as the figure and its pickup need.
func toAnswer(s drill.Settings) figure.Length {
	bar := s.Meter.Bar()
	return (s.Figure.Length() + bar - 1) / bar * bar
}

// RestFor returns the rest to choose for a drill that is to be heard in a
// mode. In answer and call mode it is the shortest that surely has room: as
// many bars as the figure fills, and a pickup, but not more than a rest can be:
// a longer figure cannot be heard in these modes. In the other modes it is the
// usual bar.
func RestFor(mode Mode, s drill.Settings) drill.Rest {
	if mode == Answer || mode == Call {
		return drill.Rest(min(restFor(s), figure.MaxLength))
	}
	return 0
}

func restFor(s drill.Settings) figure.Length { return toAnswer(s) + s.Figure.Pickup() }

// findStarts notes where the sections of the drill begin, each at the
// beginning of its pickup. It reports whether after each statement there is
// time for it to sound once more before the pickup of the next.
func (s *span) findStarts(n int) (room bool) {
	f := s.drill.Settings().Figure
	s.starts = []Event{{Time: s.begin, Kind: DrillStart, Length: s.music - s.begin, Drill: n}}
	room = true
	for st := range s.drill.Statements(0) {
		if st.Section == len(s.starts)-1 {
			s.starts = append(s.starts, Event{
				Time: s.music + ticks(st.Onset-f.Pickup()), Kind: SectionStart, Drill: n,
				Section: st.Section, Statement: st.Index, Name: st.Written.Name(),
			})
		}
		room = room && (st.Held || ticks(st.Length) >= s.shift+ticks(f.Length()))
	}
	return room
}

// Options returns the options that the line was made with.
func (l *Line) Options() Options { return l.o }

// Drills returns the number of drills.
func (l *Line) Drills() int { return len(l.spans) }

// Drill returns a drill of the line; they count from 0 to Drills() − 1. It is
// nil for any other n.
func (l *Line) Drill(n int) *drill.Drill {
	if n < 0 || n >= len(l.spans) {
		return nil
	}
	return l.spans[n].drill
}

// Parts returns the number of parts.
func (l *Line) Parts() int {
	if len(l.spans) == 0 {
		return 0
	}
	return l.spans[0].drill.Parts()
}

// Part returns the instrument of a part, as the first drill has it; parts
// count from 0 to Parts() − 1. It is the zero value for any other n.
func (l *Line) Part(n int) drill.Instrument {
	if len(l.spans) == 0 {
		return drill.Instrument{}
	}
	return l.spans[0].drill.Part(n)
}

// Length returns the length of the whole line, count-ins and last rest
// included.
func (l *Line) Length() Time {
	if len(l.spans) == 0 {
		return 0
	}
	return l.spans[len(l.spans)-1].end
}

// Duration returns how long the whole line takes.
func (l *Line) Duration() time.Duration { return l.At(l.Length()) }

// At returns how long after the beginning of the line a time comes, at the
// tempo of each drill, rounded toward its drill's beginning to a nanosecond.
// Before the line goes the tempo of the first drill, after it that of the last,
// for up to a hundred times MaxDuration; what lies farther is as far.
func (l *Line) At(t Time) time.Duration {
	if len(l.spans) == 0 {
		return 0
	}
	n := sort.Search(len(l.spans), func(n int) bool { return l.spans[n].end >= t })
	s := &l.spans[min(n, len(l.spans)-1)]
	most := s.perMinute * Time(100*MaxDuration/time.Minute)
	return s.at + s.after(max(-most, min(t, s.end+most)-s.begin))
}

// after returns the duration of a length at the tempo of the drill.
func (s *span) after(t Time) time.Duration {
	return time.Duration(t/s.perMinute)*time.Minute +
		time.Duration(t%s.perMinute)*time.Minute/time.Duration(s.perMinute)
}

// Events yields everything that happens on the line, in the order of time; at
// the same time in the order of the kinds, then of the notes of the figure,
// then of the parts.
func (l *Line) Events() iter.Seq[Event] {
	return func(yield func(Event) bool) {
		for n := range l.spans {
			if !l.play(n, yield) {
				return
			}
		}
	}
}

// play yields the events of a drill.
func (l *Line) play(n int, yield func(Event) bool) bool {
	s := &l.spans[n]
	if !yield(s.starts[0]) {
		return false
	}
	clicks := metronome{bar: s.begin}
	// The statements of all parts come at the same times, with the same
	// rhythm, so that they can be walked in step.
	notes := make([][]Event, s.drill.Parts())
	others := make([]func() (drill.Statement, bool), s.drill.Parts())
	for p := 1; p < len(others); p++ {
		next, stop := iter.Pull(s.drill.Statements(p))
		defer stop()
		others[p] = next
	}
	var events []figure.Event
	sections := s.starts[1:]
	for st := range s.drill.Statements(0) {
		if len(sections) > 0 && sections[0].Statement == st.Index {
			if !clicks.until(sections[0].Time, s, n, yield) || !yield(sections[0]) {
				return false
			}
			sections = sections[1:]
		}
		longest := 0
		for p := range notes {
			if p > 0 {
				st, _ = others[p]()
			}
			notes[p], events = l.notes(notes[p][:0], events, n, p, &st)
			longest = max(longest, len(notes[p]))
		}
		for k := range longest {
			for p := range notes {
				if k < len(notes[p]) { // not where a part rests
					e := &notes[p][k]
					if !clicks.until(e.Time+1, s, n, yield) || !yield(*e) {
						return false
					}
				}
			}
		}
	}
	return clicks.until(s.end, s, n, yield)
}

// Starts yields the events of the line that begin a drill or a section.
func (l *Line) Starts() iter.Seq[Event] {
	return func(yield func(Event) bool) {
		for n := range l.spans {
			for _, e := range l.spans[n].starts {
				if !yield(e) {
					return
				}
			}
		}
	}
}

// Clicks yields the clicks of the line.
func (l *Line) Clicks() iter.Seq[Event] {
	return func(yield func(Event) bool) {
		for n := range l.spans {
			s := &l.spans[n]
			clicks := metronome{bar: s.begin}
			if !clicks.until(s.end, s, n, yield) {
				return
			}
		}
	}
}

// Notes yields the notes of a part, from 0. A part that the line has not
// yields none.
func (l *Line) Notes(part int) iter.Seq[Event] {
	return func(yield func(Event) bool) {
		var notes []Event
		var events []figure.Event
		for n := range l.spans {
			for st := range l.spans[n].drill.Statements(part) {
				notes, events = l.notes(notes[:0], events, n, part, &st)
				for k := range notes {
					if !yield(notes[k]) {
						return
					}
				}
			}
		}
	}
}

// A metronome is a place among the clicks of a drill.
type metronome struct {
	bar Time // where its bar begins
	k   int  // the next click of the bar
}

// until yields the clicks before a time.
func (m *metronome) until(t Time, s *span, n int, yield func(Event) bool) bool {
	for m.bar < t && m.bar < s.end {
		beats := s.beats
		if m.bar < s.music {
			beats = s.counted
		}
		for ; m.k < len(beats); m.k++ {
			b := &beats[m.k]
			if m.bar+b.at >= t {
				return true
			}
			if !yield(Event{Time: m.bar + b.at, Kind: Click, Drill: n, Accent: b.accent}) {
				return false
			}
		}
		m.k = 0
		m.bar += s.bar
	}
	return true
}

// notes appends the notes of a statement in one part as they sound, in the
// order of time. It uses and returns a buffer for the statement's events.
func (l *Line) notes(dst []Event, events []figure.Event, n, part int, st *drill.Statement) ([]Event, []figure.Event) {
	if l.o.Mode == ClickOnly {
		return dst, events
	}
	s := &l.spans[n]
	events = st.AppendEvents(events[:0])
	// In answer mode the first notes come twice: first as the cue.
	cue := 0
	if l.o.Mode == Answer && !st.Held {
		for cue < len(events) && events[cue].Onset == events[0].Onset {
			dst = append(dst, Event{})
			cue++
		}
	}
	from := len(dst)
	statement := s.music + ticks(st.Onset)
	for k := range events {
		e := &events[k]
		dst = append(dst, Event{
			Time: statement + ticks(e.Onset), Kind: Note, Length: ticks(e.Length), Drill: n,
			Section: st.Section, Statement: st.Index, Part: part, Key: st.SoundingNumber(e.Note), Index: e.Index,
		})
	}
	whole := dst[from:]
	if s.offbeat != Quarter/2 {
		s.swing(whole, events, st, cue > 0)
	}
	if cue > 0 {
		copy(dst[from-cue:from], whole)
		for k := range whole {
			whole[k].Time += s.shift
		}
	}
	return dst, events
}

// swing moves the off-beat eighths among the notes of a statement.
func (s *span) swing(notes []Event, events []figure.Event, st *drill.Statement, answered bool) {
	// What follows the last note is the next statement, perhaps a held return.
	next := st.Onset + st.Length
	start := min(s.swung(next+s.first.onset, s.first.length), s.swung(next, figure.Quarter))
	if answered {
		start -= s.shift
	}
	following := start
	for k := len(notes) - 1; k >= 0; k-- {
		if k+1 < len(notes) && events[k].Onset != events[k+1].Onset {
			following = start
		}
		onset, length := st.Onset+events[k].Onset, events[k].Length
		start = s.swung(onset, length)
		notes[k].Time = start
		// Where something straight begins, the note before makes room for it.
		notes[k].Length = min(s.swung(onset+length, length), following) - start
	}
}

// swung returns the time of an onset or an end of a note of a given length.
func (s *span) swung(at, length figure.Length) Time {
	t := s.music + ticks(at)
	if length%figure.Eighth == 0 && at%figure.Quarter == figure.Eighth {
		t += s.offbeat - Quarter/2
	}
	return t
}
