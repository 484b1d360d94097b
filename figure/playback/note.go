package playback

import (
	"cmp"
	"iter"
	"math"
	"slices"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/accompaniment"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/pitch"
)

// A Note is a note that sounds.
type Note struct {
	On, Off Time
	Part    int                 // from 0; −1 for the accompaniment
	Key     pitch.Number        // that sounds
	Layer   accompaniment.Layer // of the accompaniment, LayerPart for a part
	// Index is which note of the figure it is, from 0, or −1 for a cue: the
	// next tonic, on the last beat before its entry. The accompaniment has −1.
	Index int
	// Marks are the slurs and the accent of a note of a part. Where a drill has
	// slurs, a note under one lasts to the next, and any other ends a little before.
	Marks drill.Marks
}

// IsCue reports whether the note is a cue and none of the statement.
func (n Note) IsCue() bool { return n.Index < 0 && n.Layer == accompaniment.LayerPart }

// A Click is a beat of the click.
type Click struct {
	Time   Time
	Accent bool
}

// Notes yields the notes of a turn, in the order of time and then of the parts:
// those of the given parts, or if none is given of all and of the accompaniment.
// Parts may be those of any drill of the line.
func (l *Line) Notes(t Turn, parts ...drill.Part) iter.Seq[Note] {
	return func(yield func(Note) bool) {
		for _, n := range l.AppendNotes(nil, t, parts...) {
			if !yield(n) {
				return
			}
		}
	}
}

// AppendNotes appends what Notes yields. It does not allocate where dst has room
// and the figure has at most 32 notes.
func (l *Line) AppendNotes(dst []Note, t Turn, parts ...drill.Part) []Note {
	if t.Drill < 0 || t.Drill >= len(l.spans) {
		return dst
	}
	s := &l.spans[t.Drill]
	from := len(dst)
	if len(parts) == 0 {
		for p := range s.parts {
			dst = l.appendPart(dst, &t, s, p)
		}
		if s.band != nil {
			dst = s.appendBand(dst, &t)
		}
	}
	for _, p := range parts {
		if p.Index() < len(s.parts) {
			dst = l.appendPart(dst, &t, s, p.Index())
		}
	}
	if (len(s.parts) > 1 || s.band != nil) && len(parts) != 1 {
		slices.SortStableFunc(dst[from:], func(a, b Note) int {
			return cmp.Or(cmp.Compare(a.On, b.On), cmp.Compare(a.Index, b.Index))
		})
	}
	return dst
}

// AppendBand appends the notes of one layer of the accompaniment in a turn, in the
// order of time.
func (l *Line) AppendBand(dst []Note, t Turn, layer accompaniment.Layer) []Note {
	if t.Drill < 0 || t.Drill >= len(l.spans) || l.spans[t.Drill].band == nil {
		return dst
	}
	from := len(dst)
	dst = l.spans[t.Drill].appendBand(dst, &t)
	rest := slices.DeleteFunc(dst[from:], func(n Note) bool { return n.Layer != layer })
	return dst[:from+len(rest)]
}

// appendBand appends the accompaniment in a turn, layer by layer.
func (s *span) appendBand(dst []Note, t *Turn) []Note {
	st, ok := s.parts[0].Statement(t.Statement)
	if !ok {
		return dst
	}
	var buf [64]accompaniment.Note
	notes := buf[:0]
	switch t.Who {
	case WhoRest:
		lengthOf := func(t Time) figure.Length { return figure.Length((t - s.music) / TimeOf(1)) }
		notes = s.band.AppendRest(notes, t.Statement, lengthOf(t.Begin), lengthOf(t.End), t.Next == t.Index+1)
	case WhoFree:
		from := s.freeOf(&st)
		notes = s.band.AppendStatement(notes, t.Statement, from, from+s.free)
	default:
		downbeat := st.Onset
		if again := s.mode == ModeAnswer && t.Who == WhoModel || s.mode == ModeCall && t.Who == WhoYou; again {
			downbeat += s.answerOf(&st)
		}
		notes = s.band.AppendStatement(notes, t.Statement, downbeat, downbeat+st.End()-st.Onset)
	}
	from := len(dst)
	for k := range notes {
		n := &notes[k]
		on := max(s.swung(n.Onset, n.Length), t.Begin)
		off := min(s.swung(n.Onset+n.Length, n.Length), t.End)
		if on < off {
			dst = append(dst, Note{On: on, Off: off, Part: -1, Key: n.Key, Layer: n.Layer, Index: -1})
		}
	}
	// Where a note is moved, the one before it makes room; the last ones ring.
	band := dst[from:]
	for k := len(band) - 1; k >= 0; k-- {
		n := &band[k]
		switch following := k + 1; {
		case following == len(band) || band[following].Layer != n.Layer:
			if s.ringsIn(t) {
				n.Off = s.end
			}
		case band[following].On == n.On:
			n.Off = band[following].Off
		default:
			n.Off = min(n.Off, band[following].On)
		}
	}
	return dst
}

// ringsIn reports whether a turn is the last of the line and goes on after its
// statement.
func (s *span) ringsIn(t *Turn) bool { return s.quiet < s.end && t.End == s.end }

func (l *Line) appendPart(dst []Note, t *Turn, s *span, part int) []Note {
	switch {
	case t.Who == WhoModel || t.Who == WhoBoth:
		return s.appendStatement(dst, t, part)
	case (t.Who == WhoRest || t.Who == WhoCount) && s.mode == ModeAnswer:
		return s.appendCue(dst, t, part)
	}
	return dst
}

// appendCue appends the tonic of the statement that comes next in the drill, if
// it comes as the turn ends and there is a beat before it in the turn.
func (s *span) appendCue(dst []Note, t *Turn, part int) []Note {
	if t.Next != t.Index+1 {
		return dst
	}
	next, ok := s.parts[part].Statement(t.Statement + 1)
	if !ok || next.Rests {
		return dst
	}
	bar := (t.End - 1 - s.begin) / s.bar * s.bar
	on := s.begin + bar
	for _, beat := range s.beats {
		if s.begin+bar+beat < t.End {
			on = s.begin + bar + beat
		}
	}
	if on < t.Begin {
		return dst
	}
	return append(dst, Note{On: on, Off: t.End, Part: part, Key: next.Sounding.Number(), Index: -1})
}

// appendStatement appends the notes of the statement that sounds in a turn.
func (s *span) appendStatement(dst []Note, t *Turn, part int) []Note {
	st, ok := s.parts[part].Statement(t.Statement)
	if !ok || st.Rests {
		return dst
	}
	downbeat, tonic := s.music+TimeOf(st.Onset), st.Sounding.Number()
	if t.Who == WhoModel && s.mode == ModeAnswer {
		downbeat += TimeOf(s.answerOf(&st))
	}
	from := len(dst)
	if kept := s.kept(&st); *kept != nil && st.Onset%s.barLength == 0 {
		dst = append(dst, *kept...)
	} else {
		dst = s.lay(dst, &st)
	}
	for k := from; k < len(dst); k++ {
		n := &dst[k]
		n.On += downbeat
		n.Off = min(n.Off+downbeat, t.End)
		n.Part, n.Key = part, n.Key+tonic
		if s.slurred && !n.Marks.Has(drill.MarkSlurOn) {
			n.Off -= min((n.Off-n.On)/4, Quarter/4)
		}
	}
	if len(dst) > from && s.ringsIn(t) {
		latest := dst[len(dst)-1].Off
		for k := len(dst) - 1; k >= from && dst[k].Off == latest; k-- {
			dst[k].Off = s.end
		}
	}
	return dst
}

// kept returns the notes that are kept of statements like one: those whose downbeat is a
// bar's have the same in all keys and parts.
func (s *span) kept(st *drill.Statement) *[]Note {
	if st.Held {
		return &s.held
	}
	return &s.notes
}

// layNotes works out the notes that are kept.
func (s *span) layNotes() {
	for _, p := range s.parts {
		for st := range p.Statements() {
			if kept := s.kept(&st); *kept == nil && !st.Rests && st.Onset%s.barLength == 0 {
				*kept = s.lay(nil, &st)
			}
		}
	}
}

// lay appends the notes of a statement: their times from its downbeat, their keys from
// its tonic.
func (s *span) lay(dst []Note, st *drill.Statement) []Note {
	var buf [32]figure.Event
	events := st.AppendEvents(buf[:0])
	from := len(dst)
	for _, e := range events {
		dst = append(dst, Note{Key: st.SoundingNumber(e.Note) - st.Sounding.Number(), Index: e.Index})
	}
	notes := dst[from:]
	if s.marked {
		var buf [64]drill.Marks
		for k, m := range st.AppendMarks(buf[:0]) {
			notes[k].Marks = m
		}
	}
	// Where something straight begins, the note before makes room for it.
	downbeat := s.music + TimeOf(st.Onset)
	following, start := Time(math.MaxInt64), Time(math.MaxInt64)
	for k := len(events) - 1; k >= 0; k-- {
		if k+1 < len(events) && events[k].Onset != events[k+1].Onset {
			following = start
		}
		onset, length := st.Onset+events[k].Onset, events[k].Length
		start = s.swung(onset, length) - downbeat
		notes[k].On, notes[k].Off = start, min(s.swung(onset+length, length)-downbeat, following)
	}
	return dst
}

// swung returns the time of an onset or an end of a note of a given length.
func (s *span) swung(at, length figure.Length) Time {
	t := s.music + TimeOf(at)
	if length%figure.Eighth == 0 && at%figure.Quarter == figure.Eighth {
		t += s.offbeat - Quarter/2
	}
	return t
}

// Clicks yields the clicks of a turn, in the order of time.
func (l *Line) Clicks(t Turn) iter.Seq[Click] {
	return func(yield func(Click) bool) {
		for _, c := range l.AppendClicks(nil, t) {
			if !yield(c) {
				return
			}
		}
	}
}

// AppendClicks appends what Clicks yields. It does not allocate where dst has
// room.
func (l *Line) AppendClicks(dst []Click, t Turn) []Click {
	if t.Drill < 0 || t.Drill >= len(l.spans) {
		return dst
	}
	s := &l.spans[t.Drill]
	end := min(t.End, s.quiet)
	for bar := s.begin + (t.Begin-s.begin)/s.bar*s.bar; bar < end; bar += s.bar {
		clicks := s.clicks
		switch {
		case bar < s.music:
			clicks = s.counted
		case s.drop > 0 && (bar-s.music)/s.bar%4 >= 4-s.drop:
			continue
		}
		for _, c := range clicks {
			if c.Time += bar; c.Time >= t.Begin && c.Time < end {
				dst = append(dst, c)
			}
		}
	}
	return dst
}

// A Kind says what an Event is. At the same time events come in the order of
// the kinds.
type Kind uint8

// The kinds of events.
const (
	KindNoteOff Kind = iota // Note ends
	KindTurn                // Turn begins
	KindClick               // Click is heard
	KindNoteOn              // Note begins
)

// An Event is something that happens on a line. Turn is the turn in which it
// happens; Note and Click are set for the kinds that have one.
type Event struct {
	Time  Time
	Kind  Kind
	Turn  Turn
	Note  Note
	Click Click
}

// Events yields all that happens on the line from a turn on, in the order of
// time: turns, clicks, notes on and off. A note that has begun always ends. It
// holds no more than one turn of the line.
func (l *Line) Events(from int) iter.Seq[Event] {
	return func(yield func(Event) bool) {
		var notes, ends []Note
		var clicks []Click
		for t := range l.Turns(from) {
			if !yield(Event{Time: t.Begin, Kind: KindTurn, Turn: t}) {
				return
			}
			notes, clicks = l.AppendNotes(notes[:0], t), l.AppendClicks(clicks[:0], t)
			ends = append(ends[:0], notes...)
			slices.SortStableFunc(ends, func(a, b Note) int { return cmp.Compare(a.Off, b.Off) })
			for on, off, click := 0, 0, 0; off < len(ends) || click < len(clicks); {
				e := Event{Time: t.End, Kind: KindNoteOff, Turn: t}
				if off < len(ends) {
					e.Time, e.Note = ends[off].Off, ends[off]
				}
				if click < len(clicks) && (off == len(ends) || clicks[click].Time < e.Time) {
					e.Time, e.Kind, e.Note, e.Click = clicks[click].Time, KindClick, Note{}, clicks[click]
				}
				if on < len(notes) && notes[on].On < e.Time {
					e.Time, e.Kind, e.Note, e.Click = notes[on].On, KindNoteOn, notes[on], Click{}
				}
				switch e.Kind {
				case KindNoteOff:
					off++
				case KindClick:
					click++
				default:
					on++
				}
				if !yield(e) {
					return
				}
			}
		}
	}
}
