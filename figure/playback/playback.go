// Package playback lays drills out in time, to be heard and to be played with:
// a line of turns.
//
// A [Line] is one or more drills, one after another, each after a count-in. It
// is filled by turns: a [Turn] says whose it is (the player's, the model's, a
// rest), in which statement, when it begins and ends, and which turn brings the
// next key. Notes and clicks are read turn by turn, from any turn on, as often
// as one asks; [Line.Events] puts them in one order of time, with the ends of
// notes, for whoever plays them as they come. Packages below this one write a
// Line as a file.
//
// What sounds is a [Mode]. In answer, the default, the player is alone with the
// click and hears the model in the rest that follows; on the last beat before
// each entry the next tonic sounds as a cue. In call the model comes first; in
// model it sounds throughout. On request a free turn follows, some bars in the
// same key that are the player's own. The rest must have room for that, which
// [RestFor] works out. Under all turns of a statement a band may play: see package
// accompaniment.
//
// The last turn of a line goes on through the last rest: the notes that end last
// ring until the line ends, and nothing clicks.
//
// Times are whole ticks, 960 to a quarter note, so that swing moves notes and
// nothing is ever rounded twice; [Line.At] says when a tick comes.
package playback

import (
	"fmt"
	"iter"
	"math"
	"sort"
	"strconv"
	"time"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/accompaniment"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/pitch/fault"
)

// A Time is a place on a Line, from the beginning of its first count-in, or a
// length, in ticks.
type Time int64

// Quarter is the length of a quarter note in ticks. 1/192 of a whole note is
// 20 ticks.
const Quarter Time = 960

// TimeOf returns a length of a figure or of a drill in ticks.
func TimeOf(l figure.Length) Time { return Time(l) * Quarter / Time(figure.Quarter) }

// A Mode says which notes sound. The zero value is ModeAnswer. Its text is
// answer, call, model or click.
type Mode uint8

// The modes.
const (
	// ModeAnswer leaves the statement to the player and sounds it in the rest
	// that follows, at the same place of a later bar. On the last beat before the
	// entry, or before its pickup, the tonic sounds as a cue, where there is a
	// rest or a count-in.
	ModeAnswer Mode = iota
	// ModeCall sounds each statement in its own time, for the player to repeat
	// in the rest that follows.
	ModeCall
	// ModeModel sounds each statement in its own time, for the player to join.
	ModeModel
	// ModeClick sounds no notes.
	ModeClick
)

// Clicks says which beats click. Its text is every beat, 2 and 4 or first beat. A
// count-in clicks on every beat.
type Clicks uint8

// Which beats click.
const (
	// ClicksEveryBeat clicks on every note value that the tempo counts (the dotted
	// quarters of 6/8), with an accent on the first of a bar and, where the beats of the meter are
	// uneven, of each beat: on the eighths of 2+2+3/8.
	ClicksEveryBeat Clicks = iota
	// ClicksTwoAndFour clicks on the second and the fourth beat, without accents, in
	// 4/4 only.
	ClicksTwoAndFour
	ClicksFirstBeat // clicks on the first beat of each bar only, accented
)

// The bounds of a Line.
const (
	NoCountIn   = -1               // for Options.CountIn
	MaxCountIn  = 16               // bars
	MaxFree     = 32               // bars
	MaxSwing    = 3                // to 1
	MaxDuration = 1000 * time.Hour // of the whole line
)

// Options say how drills are heard. The zero value is answer mode with the usual
// count-in, a click on every beat, no swing and no band. In JSON the settings of
// the band stand beside the others.
type Options struct {
	Mode Mode `json:"mode,omitempty"`
	// CountIn is the number of bars that are counted before each drill, up to
	// MaxCountIn; 0 means the usual: one, or two where a bar takes less than two
	// seconds. NoCountIn is none.
	CountIn int    `json:"count_in,omitempty"`
	Clicks  Clicks `json:"clicks,omitempty"`
	// Drop is how many bars of every four have no click, the last of them: 0 to 3.
	Drop int `json:"drop,omitempty"`
	// Free is how many bars follow each statement, and its answer, in the same key,
	// for the player to play what they like: 0 to MaxFree.
	Free int `json:"free,omitempty"`
	// Swing is how much longer the first eighth of a quarter is than the
	// second: 2 for the feel of triplets, 1 or 0 for straight eighths, at most
	// MaxSwing. It moves off-beat eighths and notes of several eighths;
	// triplets, sixteenths and the click stay where they are. Meters in
	// eighths and sixteenths do not swing.
	Swing float64 `json:"swing,omitempty"`
	// Band is the accompaniment, if there is one.
	accompaniment.Band
}

// A Line is one or more drills laid out in time. It does not change and may be
// used by many goroutines at once. The zero value is empty.
type Line struct {
	o      Options
	spans  []span
	tempos []tempo // one for each drill at least, in the order of time
}

// A tempo holds from a time on.
type tempo struct {
	from      Time
	at        time.Duration // when that is
	beats     int           // a minute
	perMinute Time
}

// tempoOf returns a number of beats a minute, as a meter counts them, from a
// time on.
func tempoOf(from Time, at time.Duration, beats int, m drill.Meter) tempo {
	return tempo{from, at, beats, Time(beats) * TimeOf(m.Counted())}
}

// after returns when a time comes that is not before the tempo.
func (t tempo) after(at Time) time.Duration {
	d := at - t.from
	return t.at + time.Duration(d/t.perMinute)*time.Minute +
		time.Duration(d%t.perMinute)*time.Minute/time.Duration(t.perMinute)
}

// A span is where a drill lies on the line.
type span struct {
	drill     *drill.Drill
	parts     []drill.Part
	band      *accompaniment.Accompaniment // nil where there is none
	mode      Mode
	begin     Time // of the count-in
	music     Time // of the drill itself
	quiet     Time // from when on nothing clicks: the end, or the last rest of the line
	end       Time
	bar       Time
	drop      Time          // bars of four that do not click
	free      figure.Length // of a free turn
	beats     []Time        // of a bar
	counted   []Click       // those of a bar of count-in
	clicks    []Click       // those of a bar of the drill
	barLength figure.Length
	shift     figure.Length // from a statement to its answer
	offbeat   Time          // where the second eighth of a quarter lies
	first     figure.Length // of the figure's first note or rest
	turn      int           // the first turn
	turns     []place
	firsts    []int32 // of each statement its first turn, counted from turn
	notes     []Note  // of a statement: times from its downbeat, keys from its tonic
	held      []Note  // of a held return
	marked    bool    // notes have marks
	slurred   bool    // some of them slurs
}

// New lays drills out on a line, one after another, as drill.Sequence allows.
// Each statement must leave room for the model or the player to follow, in answer
// and call mode, and for the free turn; see RestFor. The error is a
// *fault.ValueError.
func New(drills []*drill.Drill, o Options) (*Line, error) {
	if err := o.check(); err != nil {
		return nil, err
	}
	if len(drills) == 0 {
		return nil, &fault.ValueError{Setting: "line", Want: "a line has at least one drill"}
	}
	if err := drill.Sequence(drills...); err != nil {
		return nil, err
	}
	l := &Line{o: o, spans: make([]span, 0, len(drills))}
	var begin Time
	var at time.Duration
	turn := 0
	for n, d := range drills {
		refuse := func(want string) error {
			return &fault.ValueError{Setting: fmt.Sprintf("drill %d", n+1), Value: d.Settings().Title, Want: want}
		}
		s := newSpan(d, o)
		s.begin, s.music, s.end, s.turn = begin, s.music+begin, s.end+begin, turn
		room := s.layTurns(n+1 == len(drills))
		s.layNotes()
		switch {
		case o.Swing > 1 && d.Settings().Meter.Unit() > 4:
			return nil, refuse(fmt.Sprintf("%v does not swing; swing is for meters in quarters and halves", d.Settings().Meter))
		case o.Clicks == ClicksTwoAndFour && d.Settings().Meter != (drill.Meter{}):
			return nil, refuse(fmt.Sprintf("%v has no click on 2 and 4, only 4/4 has; choose every beat", d.Settings().Meter))
		case !room && restFor(o, d.Settings()) > figure.MaxLength:
			return nil, refuse(fmt.Sprintf("a figure of %v whole notes is too long for %v: the rest after it would be longer than 64", d.Settings().Figure.Length(), o.followed()))
		case !room:
			return nil, refuse(fmt.Sprintf("its rests are too short for %v, which needs a rest of %v after each statement", o.followed(), RestFor(o, d.Settings())))
		}
		if o.Band != (accompaniment.Band{}) {
			band, err := accompaniment.New(d, o.Band)
			if err != nil {
				return nil, &fault.ValueError{Setting: fmt.Sprintf("drill %d", n+1), Value: d.Settings().Title, Err: err}
			}
			s.band = band
		}
		tempo := tempoOf(begin, at, d.Settings().Tempo, d.Settings().Meter)
		l.tempos = append(l.tempos, tempo)
		if at = tempo.after(s.end); at > MaxDuration {
			return nil, refuse(fmt.Sprintf("with it the line is longer than %v", MaxDuration))
		}
		begin, turn = s.end, s.turn+len(s.turns)
		l.spans = append(l.spans, s)
	}
	return l, nil
}

func (o Options) check() error {
	refuse := func(setting, value, want string) error {
		return &fault.ValueError{Setting: setting, Value: value, Want: want}
	}
	if _, err := o.Mode.MarshalText(); err != nil {
		return err
	}
	if _, err := o.Clicks.MarshalText(); err != nil {
		return err
	}
	switch {
	case o.CountIn < NoCountIn || o.CountIn > MaxCountIn:
		return refuse("count-in", strconv.Itoa(o.CountIn), fmt.Sprintf("a count-in has up to %d bars, or NoCountIn", MaxCountIn))
	case o.Drop < 0 || o.Drop > 3:
		return refuse("bars without a click", strconv.Itoa(o.Drop), "it is 0 to 3 of every four")
	case o.Free < 0 || o.Free > MaxFree:
		return refuse("free turn", strconv.Itoa(o.Free), fmt.Sprintf("it has up to %d bars", MaxFree))
	case o.Swing != 0 && !(o.Swing >= 1 && o.Swing <= MaxSwing):
		return refuse("swing", strconv.FormatFloat(o.Swing, 'g', -1, 64), fmt.Sprintf("the ratio goes from 1, straight, to %d", MaxSwing))
	}
	return nil
}

// newSpan returns the span of a drill at the beginning of a line.
func newSpan(d *drill.Drill, o Options) span {
	settings := d.Settings()
	m, f := settings.Meter, settings.Figure
	bars := max(o.CountIn, 0)
	if o.CountIn == 0 {
		if bars = 1; d.After(m.Bar()) < 2*time.Second {
			bars = 2
		}
	}
	s := span{
		drill:     d,
		parts:     d.Parts(),
		mode:      o.Mode,
		bar:       TimeOf(m.Bar()),
		counted:   everyBeat(m),
		barLength: m.Bar(),
		shift:     toAnswer(settings),
		drop:      Time(o.Drop),
		free:      figure.Length(o.Free) * m.Bar(),
		offbeat:   Quarter / 2,
		marked:    settings.Articulation != drill.ArticulationTongued || settings.Accents != drill.AccentsNone,
		slurred:   settings.Articulation != drill.ArticulationTongued,
	}
	var at figure.Length
	for n := range m.Beats() {
		s.beats = append(s.beats, TimeOf(at))
		at += m.Beat(n)
	}
	if o.Swing > 1 {
		s.offbeat = Time(math.Round(float64(Quarter) * o.Swing / (1 + o.Swing)))
	}
	switch s.clicks = s.counted; {
	case o.Clicks == ClicksFirstBeat:
		s.clicks = s.counted[:1]
	case o.Clicks == ClicksTwoAndFour && len(s.counted) == 4:
		s.clicks = []Click{s.counted[1], s.counted[3]}
	}
	s.music = Time(bars) * s.bar
	s.end = s.music + TimeOf(d.Length())
	for it := range f.Items() {
		s.first = it.Length
		break
	}
	return s
}

func everyBeat(m drill.Meter) []Click {
	var clicks []Click
	var at figure.Length
	for n := range m.Beats() {
		accent := n == 0 || m.Beat(0) != m.Counted()
		for end := at + m.Beat(n); at < end; at += m.Counted() {
			clicks = append(clicks, Click{TimeOf(at), accent})
			accent = false
		}
	}
	return clicks
}

// toAnswer returns the time from a statement to what follows it in its rest:
// as many bars as the figure and its pickup need.
func toAnswer(s drill.Settings) figure.Length {
	return roundUp(s.Figure.Length(), s.Meter.Bar())
}

// RestFor returns the rest to choose for a drill that is to be heard with some
// options. Where something follows a statement in its key (the answer, the
// player in call mode, a free turn) it is the shortest that surely has room: as
// many bars as these fill, and a pickup, but not more than a rest can be: a longer
// figure cannot be heard so. Otherwise it is the usual bar.
func RestFor(o Options, s drill.Settings) drill.Rest {
	if o.followed() != "" {
		return drill.Rest(min(restFor(o, s), figure.MaxLength))
	}
	return 0
}

// followed says what follows each statement in its key, or nothing.
func (o Options) followed() string {
	switch answered := o.Mode == ModeAnswer || o.Mode == ModeCall; {
	case answered && o.Free > 0:
		return o.Mode.String() + " mode with a free turn"
	case answered:
		return o.Mode.String() + " mode"
	case o.Free > 0:
		return "a free turn"
	}
	return ""
}

func restFor(o Options, s drill.Settings) figure.Length {
	bar, f := s.Meter.Bar(), s.Figure
	rest := f.Pickup()
	if o.Mode == ModeAnswer || o.Mode == ModeCall {
		rest += toAnswer(s)
	}
	if o.Free > 0 {
		played := f.Length() - f.Pickup()
		rest += roundUp(played, bar) - played + figure.Length(o.Free)*bar
	}
	return rest
}

// roundUp returns the least number of units that is not less than a length.
func roundUp(l, unit figure.Length) figure.Length { return (l + unit - 1) / unit * unit }

// Options returns the options that the line was made with.
func (l *Line) Options() Options { return l.o }

// Drills returns the drills of the line.
func (l *Line) Drills() []*drill.Drill {
	drills := make([]*drill.Drill, len(l.spans))
	for n := range drills {
		drills[n] = l.spans[n].drill
	}
	return drills
}

// Parts returns the parts of the line, as the first drill has them.
func (l *Line) Parts() []drill.Part {
	if len(l.spans) == 0 {
		return nil
	}
	return l.spans[0].drill.Parts()
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

// InTempo returns the line as it goes on, from a time, in another tempo, in
// beats a minute as the meter of each drill counts them; what comes before stays
// when it was. Ticks stay what they are: from [Turn].Begin on, or, for the music
// that sounds now, from [Line.TimeAt]. The error is a *fault.ValueError for a
// tempo that no drill can have.
func (l *Line) InTempo(from Time, beats int) (*Line, error) {
	if beats < drill.MinTempo || beats > drill.MaxTempo {
		return nil, &fault.ValueError{Setting: "tempo", Value: strconv.Itoa(beats), Want: fmt.Sprintf("the tempo goes from %d to %d beats a minute", drill.MinTempo, drill.MaxTempo)}
	}
	changed := &Line{o: l.o, spans: l.spans}
	for _, t := range l.tempos {
		if t.from < from {
			changed.tempos = append(changed.tempos, t)
		}
	}
	for n := range l.spans {
		s := &l.spans[n]
		if begin := max(s.begin, from); begin < s.end {
			changed.tempos = append(changed.tempos, tempoOf(begin, 0, beats, s.drill.Settings().Meter))
		}
	}
	for n := 1; n < len(changed.tempos); n++ {
		t := &changed.tempos[n]
		t.at = changed.tempos[n-1].after(t.from)
	}
	if changed.Duration() > MaxDuration {
		return nil, &fault.ValueError{Setting: "tempo", Value: strconv.Itoa(beats), Want: fmt.Sprintf("with it the line is longer than %v", MaxDuration)}
	}
	return changed, nil
}

// TimeAt returns the last tick that has come a duration after the beginning of
// the line: [Line.At] the other way. Outside the line it is its beginning or its
// end.
func (l *Line) TimeAt(d time.Duration) Time {
	if d <= 0 || len(l.tempos) == 0 {
		return 0
	}
	if d >= l.Duration() {
		return l.Length()
	}
	t := l.tempos[sort.Search(len(l.tempos)-1, func(n int) bool { return l.tempos[n+1].at > d })]
	d -= t.at
	at := t.from + Time(d/time.Minute)*t.perMinute + Time(d%time.Minute)*t.perMinute/Time(time.Minute)
	for at < l.Length() && l.At(at+1) <= t.at+d { // At rounds down
		at++
	}
	return at
}

// Tempo returns the tempo at a time, in beats a minute as the meter of the drill
// there counts them; 0 on an empty line.
func (l *Line) Tempo(at Time) int {
	if len(l.tempos) == 0 {
		return 0
	}
	return l.tempoAt(at).beats
}

// Tempos yields the times from which a tempo holds, and the tempo: that of each
// drill at its count-in, and each that [Line.InTempo] changed it to.
func (l *Line) Tempos() iter.Seq2[Time, int] {
	return func(yield func(Time, int) bool) {
		for _, t := range l.tempos {
			if !yield(t.from, t.beats) {
				return
			}
		}
	}
}

func (l *Line) tempoAt(t Time) tempo {
	return l.tempos[max(0, sort.Search(len(l.tempos), func(n int) bool { return l.tempos[n].from > t })-1)]
}

// At returns how long after the beginning of the line a time comes, at the
// tempo of each drill, rounded down to a nanosecond. A time outside the line
// comes at its beginning or its end.
func (l *Line) At(t Time) time.Duration {
	if len(l.spans) == 0 {
		return 0
	}
	t = max(0, min(t, l.Length()))
	return l.tempoAt(t).after(t)
}
