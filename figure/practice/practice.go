// Package practice plans a day's practice from what was practised before, and
// keeps the log of it.
//
// A [Log] is read from JSON Lines, one [Entry] for each time that a figure was
// taken through some keys; [AppendEntry] writes one more. A [Plan] says what to
// do today in the minutes there are: two to four figures in turn, in short
// blocks, each with its keys, tempo, rest and the reason for every choice, and
// with pauses. It takes the orders of keys whose moves were made least, so that
// no order becomes a rut: see [cycle.Freshest]. A plan depends on nothing but the
// log before the day, the day and the settings, so that it is the same however
// often it is asked for.
//
// How thin the evidence is: no study of orders of keys as such was found, and
// what was found of other material in real music lessons is small and mixed.
// Common practice, no source: learning in few keys first, an order of keys a
// day, rests to hear the next key, as much rest as playing for brass, tempo in
// small steps. What studies suggest: beginners and valved brass did better with
// one thing repeated, woodwinds and later retention better with things mixed
// (Stambaugh 2011, 2013; Carter & Grahn 2016; Abushanab & Bishara 2013), so a
// [Stage] is the player's to set, though players misjudge which helps; space
// practice by days and not by minutes (Simmons 2012); about three clean passes,
// then stop and come back on later days (Rawson & Dunlosky 2011); the share of
// clean tries predicts what stays, minutes do not (Duke, Simmons & Cash 2009).
// The numbers that turn this into a plan, such as how many days until a figure
// comes back, are a choice of this package and no finding.
//
// Practice can injure: show [Cautions] where a plan is shown.
package practice

import (
	"time"

	"example.com/keyorder/figure/internal/enum"
	"example.com/keyorder/pitch/fault"
)

// Cautions returns the usual cautions, one in each line. They are general
// information (NIOSH for the sound level, otherwise advisories of NASM and
// PAMA), not medical advice.
func Cautions() []string {
	return []string{
		"Warm up first. Pause about five minutes in every half hour, counting what you played before.",
		"Raise minutes, tempo and range slowly, with no sudden rise from one day to the next.",
		"Stop on pain, numbness or ringing ears, and ask a qualified professional.",
		"Keep click and playback quiet: 85 dBA for 8 hours a day at most, half that time for every 3 dB more (NIOSH).",
		"This is general information, not medical advice.",
	}
}

// A Date is a day of the calendar, as the number of days since 1 January 1970:
// d + 1 is the day after. Its text is that of ISO 8601, 2025-03-02, from the
// year 1 to 9999.
type Date int32

const (
	minDate = -719162 // 0001-01-01
	maxDate = 2932896 // 9999-12-31
)

// DateOf returns the day that a time falls on where it was taken, in its own
// location.
func DateOf(t time.Time) Date {
	y, m, d := t.Date()
	return dateOf(time.Date(y, m, d, 0, 0, 0, 0, time.UTC))
}

func dateOf(midnight time.Time) Date { return Date(midnight.Unix() / (24 * 60 * 60)) }

// ParseDate reads a day as 2025-03-02. The error is a *fault.SyntaxError.
func ParseDate(s string) (Date, error) {
	t, err := time.Parse(time.DateOnly, s)
	if err != nil || t.Year() < 1 {
		return 0, &fault.SyntaxError{What: "date", Input: s, Want: "a date is a day of the calendar from the year 1 on, as 2025-03-02"}
	}
	return dateOf(t), nil
}

// MustParseDate reads a day that stands in a program. It panics where ParseDate
// has an error.
func MustParseDate(s string) Date {
	d, err := ParseDate(s)
	if err != nil {
		panic(err)
	}
	return d
}

func (d Date) time() time.Time { return time.Unix(int64(d)*24*60*60, 0).UTC() }

// String returns the date as 2025-03-02.
func (d Date) String() string { return d.time().Format(time.DateOnly) }

// Weekday returns the day of the week.
func (d Date) Weekday() time.Weekday { return d.time().Weekday() }

// check refuses a date outside the years 1 to 9999.
func (d Date) check() error {
	if d < minDate || d > maxDate {
		return &fault.ValueError{Setting: "date", Value: d.String(), Want: "a date lies in the years 1 to 9999"}
	}
	return nil
}

// AppendText implements encoding.TextAppender; see String. A date outside the
// years 1 to 9999 is a *fault.ValueError.
func (d Date) AppendText(b []byte) ([]byte, error) {
	if err := d.check(); err != nil {
		return b, err
	}
	return d.time().AppendFormat(b, time.DateOnly), nil
}

// MarshalText implements encoding.TextMarshaler; see AppendText.
func (d Date) MarshalText() ([]byte, error) { return d.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler; see ParseDate.
func (d *Date) UnmarshalText(text []byte) error {
	v, err := ParseDate(string(text))
	if err == nil {
		*d = v
	}
	return err
}

// A Stage is how far the practice of keys has come. The player sets it. The
// zero value is StageFewKeys. Its text is few keys, constant orders or mixed rows.
type Stage uint8

// The stages.
const (
	StageFewKeys        Stage = iota // three keys, each repeated
	StageConstantOrders              // all keys, in the eleven orders by one interval
	StageMixedRows                   // all keys, every interval once: all-interval orders
)

func stages() []string { return []string{"few keys", "constant orders", "mixed rows"} }

// String returns the stage's text.
func (s Stage) String() string { return enum.Text(s, "Stage", stages()) }

// AppendText implements encoding.TextAppender; see MarshalText.
func (s Stage) AppendText(b []byte) ([]byte, error) { return enum.Append(b, s, "Stage", stages()) }

// MarshalText implements encoding.TextMarshaler; see String. A value that is
// none of the constants is a *fault.ValueError.
func (s Stage) MarshalText() ([]byte, error) { return s.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler, in any case. The error is a
// *fault.SyntaxError.
func (s *Stage) UnmarshalText(text []byte) error { return enum.Set(s, text, "Stage", stages()) }
