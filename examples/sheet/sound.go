package main

import (
	"errors"
	"flag"
	"fmt"
	"strings"

	"example.com/keyorder/examples/internal/say"
	"example.com/keyorder/figure/accompaniment"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch/fault"
)

// defineSound defines the flags that say what sounds and how it is played.
func (o *options) defineSound(f *flag.FlagSet) {
	f.StringVar(&o.sound, "sound", "", "what the sound files `play`: answer (after you: they leave the key to you and sound it in the rest that follows), call (before you: they sound it, and you repeat it in the rest), model (with you, throughout), click (nothing else); default answer, but model over a chorus such as the blues, which needs no rest")
	o.swing = 1
	f.Var((*ratio)(&o.swing), "swing", "the first eighth of a beat to the second as a `ratio`, 2:1 or 1.5 (default 1, straight)")
	f.TextVar(&o.heard.Bass, "bass", accompaniment.BassNone, "what a `bass` plays under figures with chords: none, roots and fifths, walking")
	f.TextVar(&o.heard.Chords, "chords", accompaniment.CompingNone, "when `chords` are struck under figures that have them: none, whole notes, 2 and 4, 1 and the and of 2")
	f.BoolVar(&o.heard.Drone, "drone", false, "hold the tonic under each key, with its fifth where the scale has it")
	f.TextVar(&o.heard.Rests, "rests", accompaniment.RestsWait, "what bass and chords do in `rests`: wait, keep time (go on with the last chord), dominant (play the dominant seventh of the next key)")
	f.Float64Var(&o.heard.Level, "band-level", accompaniment.Band{}.Loudness(), "how `loud` bass, chords and drone are where the model is 1")
	f.IntVar(&o.heard.Free, "free", 0, "so many `bars` in the same key that are your own after each key, over the bass and the chords")
	f.TextVar(&o.heard.Clicks, "clicks", playback.ClicksEveryBeat, "which `beats` click after the count-in: every beat, 2 and 4 (in 4/4), first beat")
	f.IntVar(&o.heard.Drop, "drop", 0, "how many `bars` of every four have no click, the last of them: 0 to 3")
	f.TextVar(&o.articulation, "articulation", drill.ArticulationTongued, "how notes are `joined`: tongued, slurred, slurred in twos")
	f.TextVar(&o.accents, "accents", drill.AccentsNone, "which `notes` are accented: none, groups (the first under each slur, and on each beat where no slur lies), beats")
}

// readSound reads the flags of the sound, and refuses what does not go with the
// figure and the meter.
func (s *sheet) readSound() error {
	swing := s.swing
	s.playback = s.heard
	s.playback.Swing = swing
	switch {
	case s.sound != "":
		if err := s.playback.Mode.UnmarshalText([]byte(s.sound)); err != nil {
			return given("sound", err)
		}
	case s.figure.Chorus():
		s.playback.Mode = playback.ModeModel
	}
	switch b := &s.playback.Band; {
	case !s.hasChords() && (b.Bass != accompaniment.BassNone || b.Chords != accompaniment.CompingNone):
		name := "bass"
		if b.Bass == accompaniment.BassNone {
			name = "chords"
		}
		return given(name, errors.New("the figure has no chords, as {2 m7}, so that only -drone can sound"))
	case s.set["band-level"] && b.Level <= 0:
		return given("band-level", errors.New("it is more than 0 and up to 1; without -bass, -chords and -drone there is no band"))
	case !s.hasBand():
		for _, name := range []string{"rests", "band-level"} {
			if s.set[name] {
				return fmt.Errorf("-%s: it goes with -bass, -chords or -drone", name)
			}
		}
		*b = accompaniment.Band{}
	}
	return nil
}

func (s *sheet) hasBand() bool {
	b := s.playback.Band
	return b.Bass != accompaniment.BassNone || b.Chords != accompaniment.CompingNone || b.Drone
}

// checkSound refuses settings of the sound that a drill cannot have, before any of
// it is said. What the rests have no room for is said where files are written, but
// of a free turn, which the sheet tells.
func (s *sheet) checkSound(d *drill.Drill) error {
	o := s.playback
	if o.Free == 0 {
		o.Mode = playback.ModeClick
	}
	o.Swing = 0
	_, err := playback.New([]*drill.Drill{d}, o)
	var v *fault.ValueError
	if !errors.As(err, &v) {
		return err
	}
	for errors.As(v.Err, &v) {
	}
	for _, f := range []struct{ setting, flag string }{
		{"level of the band", "band-level"}, {"chords", "chords"}, {"free turn", "free"}, {"bars without a click", "drop"},
	} {
		if v.Setting == f.setting {
			return given(f.flag, v)
		}
	}
	for _, name := range []string{"free", "clicks", "bass", "chords", "drone"} {
		if s.set[name] {
			return given(name, say.Room(v, s.playback, s.settings))
		}
	}
	return err
}

// bandText says who plays under the keys, or nothing.
func (s *sheet) bandText() string {
	b := s.playback.Band
	var players []string
	if b.Bass != accompaniment.BassNone {
		players = append(players, map[accompaniment.Bass]string{
			accompaniment.BassRoots: "a bass with roots and fifths", accompaniment.BassWalking: "a walking bass",
		}[b.Bass])
	}
	if b.Chords != accompaniment.CompingNone {
		players = append(players, map[accompaniment.Comping]string{
			accompaniment.CompingWhole: "chords on each change and each bar", accompaniment.CompingTwoAndFour: "chords on 2 and 4",
			accompaniment.CompingOneAndTwo: "chords on 1 and the and of 2",
		}[b.Chords])
	}
	if b.Drone {
		drone := "a drone on the tonic"
		if s.hasFifth() {
			drone += " and its fifth"
		}
		players = append(players, drone)
	}
	if len(players) == 0 {
		return ""
	}
	text := strings.Join(players, ", ")
	if s.rested() {
		text += map[accompaniment.Rests]string{
			accompaniment.RestsWait: "; silent between the keys", accompaniment.RestsTime: "; going on between the keys",
			accompaniment.RestsDominant: "; between the keys the dominant of the next one",
		}[b.Rests]
	}
	return text
}

// soundText says what sounds beside the keys: a sentence for each thing that was
// chosen.
func (s *sheet) soundText() (lines []string) {
	if band := s.bandText(); band != "" {
		lines = append(lines, "Under the keys: "+band+".")
	}
	if o := s.playback; o.Clicks != playback.ClicksEveryBeat || o.Drop > 0 {
		lines = append(lines, s.clickText())
	}
	return lines
}

// clickText says when the click is heard.
func (s *sheet) clickText() string {
	o := s.playback
	text := "After the count-in the click is on " + map[playback.Clicks]string{
		playback.ClicksEveryBeat: "every beat", playback.ClicksTwoAndFour: "2 and 4", playback.ClicksFirstBeat: "the first beat of each bar",
	}[o.Clicks]
	switch o.Drop {
	case 0:
	case 1:
		text += ", but not in the last bar of every four"
	default:
		text += fmt.Sprintf(", but not in the last %d bars of every four", o.Drop)
	}
	return text + "."
}

// marksText says how the notes are joined and accented, or nothing.
func (s *sheet) marksText() string {
	set := s.settings
	var parts []string
	if set.Articulation != drill.ArticulationTongued {
		parts = append(parts, set.Articulation.String())
	}
	switch set.Accents {
	case drill.AccentsGroups:
		parts = append(parts, "accents on the first note under each slur and, where no slur lies, on each beat")
	case drill.AccentsBeats:
		parts = append(parts, "accents on the notes on each beat")
	}
	return strings.Join(parts, ", ")
}

// modeText says what the sound files play.
func (s *sheet) modeText() string {
	switch s.playback.Mode {
	case playback.ModeCall:
		return "In the sound files you hear each key first and play it in the rest."
	case playback.ModeModel:
		return "In the sound files the notes sound with you throughout."
	case playback.ModeClick:
		if s.hasBand() {
			return "The sound files have the click and what plays under the keys, none of your notes."
		}
		return "The sound files have the click only."
	}
	return "In the sound files you play with the click; you hear the next tonic on the beat before you begin, and the answer in the rest."
}

// ownText says how much of the rest is the player's own, or nothing.
func (s *sheet) ownText() string {
	if s.playback.Free == 0 {
		return ""
	}
	return ", " + plural(s.playback.Free, "bar") + " of it your own in the same key"
}

// chorusText says what becomes of the rest over a chorus, or nothing.
func (s *sheet) chorusText() string {
	switch {
	case !s.figure.Chorus():
		return ""
	case s.sound == "" && s.rest == "" && s.playback.Free == 0 && s.planned == nil:
		return "A chorus has its rest in its last bar, with the dominant of the next key, so that one key follows the other without another; the sound plays with you. -sound answer or call leaves a rest of a whole chorus."
	}
	return "A chorus has its rest in its last bar, with the dominant of the next key."
}

// hasFifth reports whether the drone has the fifth.
func (s *sheet) hasFifth() bool { return s.figure.Scale().Set().Has(interval.PerfectFifth) }

// rested reports whether there is a time between two keys in which nobody plays.
func (s *sheet) rested() bool {
	line, err := playback.New(s.drills, s.playback)
	if err != nil {
		return false // which is said where the sound is written
	}
	for t := range line.Turns(0) {
		if t.Who == playback.WhoRest && t.Next >= 0 {
			return true
		}
	}
	return false
}
