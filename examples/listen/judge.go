package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"example.com/keyorder/examples/internal/disk"
	"example.com/keyorder/examples/internal/logbook"
	"example.com/keyorder/examples/internal/say"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/listening"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/figure/practice"
	"example.com/keyorder/figure/session"
)

// judge hears the take and says of each statement what there is to say.
func (o *options) judge(out, warn io.Writer) error {
	set, err := o.Read()
	if err != nil {
		return err
	}
	var log practice.Log
	path := ""
	if o.log.on {
		if path, err = o.LogPath(runtime.GOOS, os.Getenv); err == nil {
			log, err = logbook.Read(path, practice.DateOf(time.Now()), warn)
		}
		if err != nil {
			return err
		}
	}
	s, err := session.New(context.Background(), set, drill.Cost{}, log)
	if err != nil {
		return say.Room(err, set.Playback, set.Drill)
	}
	t, err := openTake(o.take, warn)
	if err != nil {
		return err
	}
	if t.keys == nil && chords(s) {
		return fmt.Errorf("%s: the figure has chords, and of sound one note at a time is heard; a take in MIDI can be judged, from a keyboard", t.path)
	}
	p := &printer{o: o, out: out, warn: warn, session: s, part: s.Line().Parts()[0], figure: s.Played()}
	if err := o.listen(t, p, warn); err != nil {
		return err
	}
	unfit := p.finish()
	switch {
	case !o.log.on:
		return nil
	case unfit:
		return errors.New("-log: the take does not fit what was asked for, so that nothing is recorded")
	}
	return p.record(path)
}

// chords reports whether notes of a session begin together.
func chords(s *session.Session) bool {
	for t := range s.Line().Turns(0) {
		st, ok := s.Line().Statement(t, s.Line().Parts()[0])
		if !ok || st.Held || st.Rests {
			continue
		}
		last := figure.Length(-1)
		for _, e := range st.Events() {
			if e.Onset == last {
				return true
			}
			last = e.Onset
		}
	}
	return false
}

// listen finds where the take begins, and has it judged.
func (o *options) listen(t *take, p *printer, warn io.Writer) error {
	l := p.session.Line()
	instrument, err := drill.Find(o.For, drill.LevelFull)
	if err != nil {
		return err
	}
	notes, err := t.notes(instrument, warn)
	if err != nil {
		return err
	}
	offset, ok := listening.Offset(l, p.part, notes)
	p.fit.found = ok
	first := offset
	for t := range l.Turns(0) {
		if t.Who != playback.WhoCount {
			first += l.At(t.Begin)
			break
		}
	}
	for _, n := range notes {
		if n.Sure >= 0.5 {
			if p.fit.heard++; n.On < first-time.Second {
				p.fit.before++
			}
		}
	}
	judge, err := listening.NewJudge(l, p.part, listening.Options{Strictness: o.strictness, Offset: offset, Keys: t.keys != nil})
	if err != nil {
		return err
	}
	if t.keys != nil {
		for _, n := range notes {
			judge.Hear(n)
		}
	} else if err := t.hear(instrument, judge.Due, judge.Hear, func(now time.Duration) { p.says(judge, now) }, nil); err != nil {
		return err
	}
	p.says(judge, l.Duration()+offset+time.Minute)
	return nil
}

func (p *printer) says(j *listening.Judge, now time.Duration) {
	for s := range j.Says(now) {
		p.print(s)
	}
}

// record adds what was said to the log.
func (p *printer) record(path string) error {
	r, err := p.session.Report(practice.DateOf(time.Now()), p.session.Line().Duration())
	if err != nil {
		return err
	}
	if r.Log == "" {
		return errors.New("-log: nothing was judged, so that nothing is recorded")
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return err
	}
	f, _, err := disk.OpenLocked(path)
	if err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	defer f.Close()
	l, err := practice.Read(f)
	if err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	again := logbook.Again(l, r.Log)
	text := r.Log
	if l.Unended || l.Torn != nil {
		text = "\n" + text
	}
	if _, err := io.WriteString(f, text); err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	if err := f.Sync(); err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	if !p.o.json {
		n := strings.Count(r.Log, "\n")
		fmt.Fprintf(p.out, "Recorded in %s, in %s.\n", path, plural(n, "entry", "entries"))
		if again != "" {
			fmt.Fprintln(p.out, again)
		}
	}
	return nil
}

func plural(n int, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}
