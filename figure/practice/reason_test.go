package practice

import (
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"example.com/keyorder/cycle"
	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
	"pgregory.net/rapid"
)

// TestReasonsSayTheirNumbers has each cause with numbers of its own, all of
// which stand in the text, and no others.
func TestReasonsSayTheirNumbers(t *testing.T) {
	eFlat, low, high := spelling.MustParse("Eb4").Name(), spelling.MustParse("C4"), spelling.MustParse("A4")
	day := MustParseDate("2025-03-09")
	texts := map[string]Cause{}
	for n, c := range []struct {
		r    Reason
		want string
	}{
		{Reason{}, ""},
		{Reason{Cause: CauseNew}, "new"},
		{Reason{Cause: CauseDue, Count: 11, Of: 13, Ago: 3, Gap: 2}, "11 of 13 clean at the first try 3 days ago: due after 2 days"},
		{Reason{Cause: CauseEarly, Count: 12, Of: 13, Ago: 1, Due: day}, "12 of 13 clean at the first try a day ago: not due before 2025-03-09, taken early, as there is time"},
		{Reason{Cause: CauseKeyFailed, Key: eFlat}, "E♭: failed last time"},
		{Reason{Cause: CauseKeyBegun, Key: eFlat}, "E♭: not yet clean three times"},
		{Reason{Cause: CauseKeyNew, Key: eFlat}, "E♭: new"},
		{Reason{Cause: CauseKeyOld, Key: eFlat}, "E♭: not played for longest"},
		{Reason{Cause: CauseWeak}, "moves that failed at least one time in four, in the last four weeks"},
		{Reason{Cause: CauseNeverMade, Count: 7, Of: 12}, "7 of its 12 moves were never made"},
		{Reason{Cause: CauseNotClean, Count: 8, Of: 12}, "8 of its 12 moves were not clean in the last four weeks"},
		{Reason{Cause: CauseMadeLeast}, "its moves are those made least of late"},
		{Reason{Cause: CauseTimeIsOver}, "as many keys as there is time for"},
		{Reason{Cause: CauseBegin}, "to begin with: slow enough to hear the next key first"},
		{Reason{Cause: CauseAway, Count: 9, Of: 13, Tempo: 80, By: -8, Ago: 30}, "30 days away: 8 slower"},
		{Reason{Cause: CauseNewStage, Count: 9, Of: 13, Tempo: 80}, "a new stage; slow enough as it is"},
		{Reason{Cause: CauseMissed, Count: 8, Of: 13, Tempo: 80, By: -8}, "8 of 13 clean at 80: 8 slower"},
		{Reason{Cause: CauseSame, Count: 11, Of: 13, Tempo: 80}, "11 of 13 clean at 80: the same until nine of ten are"},
		{Reason{Cause: CauseGoal, Count: 12, Of: 13, Tempo: 120}, "12 of 13 clean at 120: the goal"},
		{Reason{Cause: CauseFaster, Count: 13, Of: 13, Tempo: 80, By: 4}, "13 of 13 clean at 80, on two days in a row: 4 faster"},
		{Reason{Cause: CauseOnceMore, Count: 13, Of: 13, Tempo: 80}, "13 of 13 clean at 80: once more before it goes up"},
		{Reason{Cause: CauseHear}, "time to hear the next key first"},
		{Reason{Cause: CauseBrass}, "as much as playing, for brass"},
		{Reason{Cause: CauseTest}, "the first try of the day is the test: once, and write down how it went"},
		{Reason{Cause: CausePass, Count: 2, Of: 3}, "pass 2; after 3 clean ones leave the figure for another day"},
		{Reason{Cause: CausePause}, "about five minutes in every half hour"},
		{Reason{Cause: CauseEnough}, "another day: there are figures enough for these minutes"},
		{Reason{Cause: CauseNotDue, Count: 12, Of: 13, Ago: 5, Due: day}, "not due before 2025-03-09: 12 of 13 clean at the first try 5 days ago"},
		{Reason{Cause: CauseTooWide, Count: 12, Low: low, High: high}, "it spans 12 semitones, and in no key do its notes lie between C4 and A4"},
		{Reason{Cause: CauseOutside, Low: low, High: high}, "in these keys its notes do not lie between C4 and A4"},
		{Reason{Cause: CauseTooLong, Tempo: 80, Time: 198 * time.Second, Room: 5 * time.Minute}, "at tempo 80 a statement and its rest take 3m18s; a block of 5m0s does not hold two"},
		{Reason{Cause: CauseRestTooLong}, "brass rests as long as it plays, and no rest is longer than 64 whole notes"},
		{Reason{Cause: CauseNothing}, "There is nothing to play: no figure fits."},
		{Reason{Cause: CauseTimeLeft, Count: 9, Of: 15}, "The plan takes 9 of 15 minutes: about 3 clean passes of a figure are enough for a day. More figures would take more."},
		{Reason{Cause: CauseOneFigure}, "With two to four figures they could alternate."},
		{Reason{Cause: CauseRise, Count: 10, Of: 4}, "10 minutes are more than half again the 4 of your days of late: raise it slowly."},
		{Reason{Cause: CauseReady, Stage: StageMixedRows}, "Three first tries in a row were clean with each of these figures: the next stage, mixed rows, may suit you."},
		{Reason{Cause: CauseVaried, Count: 2}, "the last first try was clean, and of its variations this one was played least: 2 times"},
	} {
		if got := c.r.String(); int(c.r.Cause) != n || got != c.want {
			t.Errorf("cause %d: %s\nwant %d: %s", c.r.Cause, got, n, c.want)
		}
		if was, ok := texts[c.r.Cause.String()]; ok {
			t.Errorf("%d and %d are both called %v", was, c.r.Cause, c.r.Cause)
		}
		texts[c.r.Cause.String()] = c.r.Cause
		text, err := json.Marshal(c.r)
		var back Reason
		if err != nil || json.Unmarshal(text, &back) != nil || back != c.r {
			t.Errorf("%s is read as %+v, %v", text, back, err)
		}
	}
	if len(texts) != len(causes()) {
		t.Errorf("%d causes of %d", len(texts), len(causes()))
	}
	if got := (Reason{Cause: CauseGoal, Count: 12, Of: 13, Tempo: 140, By: -20}).String(); got != "12 of 13 clean at 140: the goal is 120" {
		t.Error(got)
	}
	if got := (Reason{Cause: CauseTooLong}).String(); got != "it is longer than anything that is played" {
		t.Error(got)
	}
	none := Cause(len(causes()))
	var refused *fault.ValueError
	if _, err := none.MarshalText(); !errors.As(err, &refused) || (Reason{Cause: none}).String() != fmt.Sprintf("Cause(%d)", none) {
		t.Errorf("%v, %v", err, Reason{Cause: none})
	}
	if got := (Reasons{{Cause: CauseMadeLeast}, {Cause: CauseTimeIsOver}}).String(); got != "its moves are those made least of late; as many keys as there is time for" {
		t.Error(got)
	}
}

// TestTooLong: a figure that no drill holds is left aside, whatever the tempo.
func TestTooLong(t *testing.T) {
	long := strings.TrimSpace(strings.Repeat("1:64 ", 400)) + " by 1"
	p, err := NewPlan(Settings{Ideas: ideas(long), Date: begin, Instrument: find("flute")}, Log{})
	switch {
	case err != nil:
		t.Errorf("%v, %+v: an error", err, p.Aside)
	case len(p.Aside) != 1:
		t.Errorf("%v, %+v: not one aside", err, p.Aside)
	case p.Aside[0].Reason.Cause != CauseTooLong:
		t.Errorf("%v, %+v: another cause", err, p.Aside)
	}
}

// TestLawListsRoundTrip: what failed is read as it is written.
func TestLawListsRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var keys KeyList
		var moves MoveList
		for _, k := range rapid.SliceOf(rapid.Uint8Range(0, 11)).Draw(t, "keys") {
			keys = append(keys, pitch.Class(k))
			moves = append(moves, cycle.Move{From: pitch.Class(k), To: pitch.Class(k).T(rapid.IntRange(1, 11).Draw(t, "up"))})
		}
		keyText, err := keys.AppendText([]byte("keys "))
		moveText, err2 := moves.AppendText([]byte("moves "))
		switch {
		case err != nil:
			t.Fatalf("%s, %v; %s, %v: the keys have no text", keyText, err, moveText, err2)
		case err2 != nil:
			t.Fatalf("%s, %v; %s, %v: the moves have no text", keyText, err, moveText, err2)
		case string(keyText) != "keys "+keys.String():
			t.Fatalf("%s, %v; %s, %v: the keys have another text", keyText, err, moveText, err2)
		case string(moveText) != "moves "+moves.String():
			t.Fatalf("%s, %v; %s, %v: the moves have another text", keyText, err, moveText, err2)
		}
		var keysBack KeyList
		var movesBack MoveList
		if err := keysBack.UnmarshalText(keyText[5:]); err != nil || fmt.Sprint([]pitch.Class(keysBack)) != fmt.Sprint([]pitch.Class(keys)) {
			t.Fatalf("%s is read as %v, %v", keyText, keysBack, err)
		}
		if err := movesBack.UnmarshalText(moveText[6:]); err != nil || fmt.Sprint([]cycle.Move(movesBack)) != fmt.Sprint([]cycle.Move(moves)) {
			t.Fatalf("%s is read as %v, %v", moveText, movesBack, err)
		}
	})
	keys, moves := KeyList{4, 10}, MoveList{{From: 1, To: 4}, {From: 9, To: 10}}
	if keys.String() != "4 T" || moves.String() != "14 9T" {
		t.Error(keys, moves)
	}
	for _, text := range []string{"C", "4T", "12"} {
		if err := keys.UnmarshalText([]byte(text)); err == nil || keys.String() != "4 T" {
			t.Errorf("%s: %v, %v", text, err, keys)
		}
	}
	for _, text := range []string{"C", "1", "055", "44", "0X", "♭"} {
		var unread *fault.SyntaxError
		switch err := moves.UnmarshalText([]byte("14 " + text)); {
		case !errors.As(err, &unread):
			t.Errorf("%s: %v, %v: no such error", text, err, moves)
		case unread.Input != text:
			t.Errorf("%s: %v, %v: it quotes %q", text, err, moves, unread.Input)
		case moves.String() != "14 9T":
			t.Errorf("%s: %v, %v: the moves have changed", text, err, moves)
		}
	}
	for _, list := range []interface{ AppendText([]byte) ([]byte, error) }{KeyList{4, 12}, MoveList{{From: 1, To: 2}, {From: 3, To: 3}}} {
		var refused *fault.ValueError
		if b, err := list.AppendText([]byte("x")); !errors.As(err, &refused) || string(b) != "x" {
			t.Errorf("%s, %v", b, err)
		}
	}
}

func TestMustParseDate(t *testing.T) {
	defer func() {
		if e, ok := recover().(error); !ok || !strings.Contains(e.Error(), `date "2025-02-29"`) {
			t.Error(e)
		}
	}()
	t.Error(MustParseDate("2025-02-29"))
}
