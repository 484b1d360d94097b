package practice

import (
	"fmt"
	"strings"
	"time"

	"example.com/keyorder/figure/internal/enum"
	"example.com/keyorder/spelling"
)

// A Cause is what a [Reason] speaks of. The comments say which numbers it has.
// Its text is a word or two, as "not due".
type Cause uint8

// The causes. CauseNone is that of the zero Reason, which says nothing.
const (
	CauseNone Cause = iota

	// Why a figure is taken on a day.
	CauseNew   // it was never played
	CauseDue   // after Gap days: Count of Of were clean at the last first try, Ago days ago
	CauseEarly // it is not due before Due, but there is time: Count of Of, Ago

	// Why these keys. At StageFewKeys each key, Key, has one of the first four.
	CauseKeyFailed  // it failed the last time
	CauseKeyBegun   // it was not yet clean three times
	CauseKeyNew     // it was never played
	CauseKeyOld     // it was not played for longest
	CauseWeak       // moves that failed at least one time in four, in the last four weeks
	CauseNeverMade  // Count of its Of moves were never made
	CauseNotClean   // Count of its Of moves were not clean in the last four weeks
	CauseMadeLeast  // its moves are those made least of late
	CauseTimeIsOver // it has as many keys of the order as there is time for

	// Why this tempo: By more beats than Tempo, that of the last first try, or
	// fewer where By is negative; Count of Of were clean then.
	CauseBegin    // the figure is new
	CauseAway     // it was not played for Ago days
	CauseNewStage // the stage is one beyond that of the last first try
	CauseMissed   // less than two in three were clean
	CauseSame     // less than nine in ten were
	CauseGoal     // it is the figure's goal
	CauseFaster   // nine in ten were, on two days in a row
	CauseOnceMore // nine in ten were, on one day so far

	// Why this rest.
	CauseHear  // to hear the next key first
	CauseBrass // brass rests as long as it plays

	// Why so long.
	CauseTest  // it is the first try of the day
	CausePass  // it is pass Count; after Of clean ones the figure is left for another day
	CausePause // it is a pause

	// Why an idea, or some keys of it, are left aside.
	CauseEnough      // there are figures enough for the minutes
	CauseNotDue      // it is not due before Due: Count of Of, Ago
	CauseTooWide     // it spans Count semitones, and in no key lies between Low and High
	CauseOutside     // in these keys it does not lie between Low and High
	CauseTooLong     // at Tempo a statement takes Time, and Room does not hold two; Time is 0 where no drill is so long
	CauseRestTooLong // brass would rest longer than any rest is

	// Advice on a plan as a whole, in sentences.
	CauseNothing   // nothing fits
	CauseTimeLeft  // the plan takes Count of Of minutes
	CauseOneFigure // there is one figure only
	CauseRise      // Count minutes are more than half again Of, those of the days of late
	CauseReady     // three first tries in a row were clean: Stage, the next, may suit

	// Why a figure is varied.
	CauseVaried // its last first try was clean, and of its variations this one was played least: Count times
)

func causes() []string {
	return []string{
		"none", "new", "due", "early",
		"key failed", "key begun", "key new", "key old", "weak", "never made", "not clean", "made least", "time is over",
		"begin", "away", "new stage", "missed", "same", "goal", "faster", "once more",
		"hear", "brass", "test", "pass", "pause",
		"enough", "not due", "too wide", "outside", "too long", "rest too long",
		"nothing", "time left", "one figure", "rise", "ready", "varied",
	}
}

// String returns the cause's text.
func (c Cause) String() string { return enum.Text(c, "Cause", causes()) }

// AppendText implements encoding.TextAppender; see MarshalText.
func (c Cause) AppendText(b []byte) ([]byte, error) { return enum.Append(b, c, "Cause", causes()) }

// MarshalText implements encoding.TextMarshaler; see String. A value that is
// none of the constants is a *fault.ValueError.
func (c Cause) MarshalText() ([]byte, error) { return c.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler, in any case. The error is a
// *fault.SyntaxError.
func (c *Cause) UnmarshalText(text []byte) error { return enum.Set(c, text, "Cause", causes()) }

// A Reason says why something in a plan is as it is: the cause, and the numbers
// that the cause names, the others 0. It prints in English; a screen in another
// language makes its own words of the same numbers. The zero value is no reason
// and prints nothing.
type Reason struct {
	Cause Cause `json:"cause,omitempty"`
	// So many of so many: clean statements of those that were played, moves,
	// minutes, passes; or semitones.
	Count int `json:"count,omitempty"`
	Of    int `json:"of,omitempty"`
	// Beats a minute, and how many more or, below 0, fewer they become.
	Tempo int `json:"tempo,omitempty"`
	By    int `json:"by,omitempty"`
	// Days: since the last first try, and from that until the figure is due.
	Ago int  `json:"ago,omitempty"`
	Gap int  `json:"gap,omitempty"`
	Due Date `json:"due,omitempty"`
	// Key is as the part reads it, Low to High the written range.
	Key  spelling.Name `json:"key,omitempty"`
	Low  spelling.Note `json:"low,omitempty"`
	High spelling.Note `json:"high,omitempty"`
	// The time of a statement with its rest, and that of a block.
	Time  time.Duration `json:"time_ns,omitempty"`
	Room  time.Duration `json:"room_ns,omitempty"`
	Stage Stage         `json:"stage,omitempty"`
}

// String returns the reason in English: a short phrase, or for advice on a plan
// as a whole a sentence or two.
func (r Reason) String() string {
	clean := fmt.Sprintf("%d of %d clean", r.Count, r.Of)
	at := fmt.Sprintf("%s at %d", clean, r.Tempo)
	switch r.Cause {
	case CauseNone:
		return ""
	case CauseNew:
		return "new"
	case CauseDue:
		return fmt.Sprintf("%s at the first try %s ago: due after %s", clean, days(r.Ago), days(r.Gap))
	case CauseEarly:
		return fmt.Sprintf("%s at the first try %s ago: not due before %v, taken early, as there is time", clean, days(r.Ago), r.Due)

	case CauseKeyFailed:
		return r.Key.String() + ": failed last time"
	case CauseKeyBegun:
		return r.Key.String() + ": not yet clean three times"
	case CauseKeyNew:
		return r.Key.String() + ": new"
	case CauseKeyOld:
		return r.Key.String() + ": not played for longest"
	case CauseWeak:
		return "moves that failed at least one time in four, in the last four weeks"
	case CauseNeverMade:
		return fmt.Sprintf("%d of its %d moves were never made", r.Count, r.Of)
	case CauseNotClean:
		return fmt.Sprintf("%d of its %d moves were not clean in the last four weeks", r.Count, r.Of)
	case CauseMadeLeast:
		return "its moves are those made least of late"
	case CauseTimeIsOver:
		return "as many keys as there is time for"

	case CauseBegin:
		return "to begin with: slow enough to hear the next key first"
	case CauseAway:
		return days(r.Ago) + " away" + r.slower()
	case CauseNewStage:
		return "a new stage" + r.slower()
	case CauseMissed:
		return at + r.slower()
	case CauseSame:
		return at + ": the same until nine of ten are"
	case CauseGoal:
		if r.By < 0 {
			return fmt.Sprintf("%s: the goal is %d", at, r.Tempo+r.By)
		}
		return at + ": the goal"
	case CauseFaster:
		return fmt.Sprintf("%s, on two days in a row: %d faster", at, r.By)
	case CauseOnceMore:
		return at + ": once more before it goes up"

	case CauseHear:
		return "time to hear the next key first"
	case CauseBrass:
		return "as much as playing, for brass"

	case CauseTest:
		return "the first try of the day is the test: once, and write down how it went"
	case CausePass:
		return fmt.Sprintf("pass %d; after %d clean ones leave the figure for another day", r.Count, r.Of)
	case CausePause:
		return "about five minutes in every half hour"

	case CauseEnough:
		return "another day: there are figures enough for these minutes"
	case CauseNotDue:
		return fmt.Sprintf("not due before %v: %s at the first try %s ago", r.Due, clean, days(r.Ago))
	case CauseTooWide:
		return fmt.Sprintf("it spans %d semitones, and in no key do its notes lie between %v and %v", r.Count, r.Low, r.High)
	case CauseOutside:
		return fmt.Sprintf("in these keys its notes do not lie between %v and %v", r.Low, r.High)
	case CauseTooLong:
		if r.Time == 0 {
			return "it is longer than anything that is played"
		}
		return fmt.Sprintf("at tempo %d a statement and its rest take %v; a block of %v does not hold two", r.Tempo, r.Time.Round(time.Second), r.Room)
	case CauseRestTooLong:
		return "brass rests as long as it plays, and no rest is longer than 64 whole notes"

	case CauseNothing:
		return "There is nothing to play: no figure fits."
	case CauseTimeLeft:
		return fmt.Sprintf("The plan takes %d of %d minutes: about 3 clean passes of a figure are enough for a day. More figures would take more.", r.Count, r.Of)
	case CauseOneFigure:
		return "With two to four figures they could alternate."
	case CauseRise:
		return fmt.Sprintf("%d minutes are more than half again the %d of your days of late: raise it slowly.", r.Count, r.Of)
	case CauseVaried:
		if r.Count == 0 {
			return "the last first try was clean, and this variation was never played"
		}
		return fmt.Sprintf("the last first try was clean, and of its variations this one was played least: %d times", r.Count)
	case CauseReady:
		return fmt.Sprintf("Three first tries in a row were clean with each of these figures: the next stage, %v, may suit you.", r.Stage)
	}
	return r.Cause.String()
}

// slower says by how much.
func (r Reason) slower() string {
	if r.By == 0 {
		return "; slow enough as it is"
	}
	return fmt.Sprintf(": %d slower", -r.By)
}

func days(n int) string {
	if n == 1 {
		return "a day"
	}
	return fmt.Sprintf("%d days", n)
}

// Reasons are several for one thing.
type Reasons []Reason

// String returns the reasons in English with semicolons between them.
func (rs Reasons) String() string {
	var all []string
	for _, r := range rs {
		all = append(all, r.String())
	}
	return strings.Join(all, "; ")
}
