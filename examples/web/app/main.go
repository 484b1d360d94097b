//go:build js && wasm

// App is the library's program for a browser. keyorder.js loads it and is the only
// one that talks with it.
//
// It is started with the name of a global function, to which it gives an object of
// functions that take and return text. What they return is JSON, or an object
// {"error": {"field", "text"}}; no input makes the program end. A session is named by
// its number.
//
//	choices()                           what can be chosen
//	open(settings, log)                 opens a session: its plan
//	resume(state, log)                  opens a session again that state has kept
//	state(session)                      the session as it is, to be kept
//	plan(session)                       its plan, in the tempo that it has now
//	circle(session, statement)          SVG: the circle of keys with the move to a statement
//	answer(session, statement)          the notes of a statement, in words and as SVG
//	say(session, turn, verdict)         how a statement was played
//	hear(session, turn, verdict)        the same, by who listened
//	go(session, turn)                   that the player has come to a turn
//	tempo(session, turn, beats)         another tempo from a turn on
//	report(session, date, seconds)      what came of it
//	close(session)                      forgets a session
//	keep(log, had, lines)               the log with the lines of a session
//	check(log)                          what there is in a log
//	class(session, settings)            what a class reads, statement by statement
//	short(settings)                     the settings as a short link
//	long(link)                          the settings of a short link
//	picture(order)                      SVG: the circle of keys with an order
//	today(day, log)                     the plan of a day, in words
//	block(day, log, number)             opens a block of it as a session: its plan
//	past(day, log)                      what was practised, for pictures
//	figure(day, log)                    what can be done with a figure
//
// settings are the fields of package form and day is its Day; plan and report are those
// of figure/session; log is the practice log, as package practice reads it.
package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"syscall/js"
	"time"

	"example.com/keyorder/examples/web/bridge"
	"example.com/keyorder/examples/web/form"
	"example.com/keyorder/figure/listening"
	"example.com/keyorder/figure/practice"
	"example.com/keyorder/figure/session"
)

func main() {
	a := &app{open: map[int]*session.Session{}}
	export := map[string]js.Func{}
	for name, f := range map[string]func(texts) ([]byte, error){
		"choices": func(texts) ([]byte, error) { return json.Marshal(form.AllChoices()) },
		"check":   func(t texts) ([]byte, error) { return answer(form.CheckLog(t.at(0))) },
		"picture": func(t texts) ([]byte, error) { return answer(form.Picture(t.at(0))) },
		"short": func(t texts) ([]byte, error) {
			var settings map[string]string
			if err := json.Unmarshal([]byte(t.at(0)), &settings); err != nil {
				return nil, err
			}
			return json.Marshal(form.ShortLink(settings))
		},
		"long": func(t texts) ([]byte, error) {
			settings, twice := form.ReadLink(t.at(0))
			return json.Marshal(map[string]any{"settings": settings, "twice": twice})
		},
		"class":  a.with(func(s *session.Session, t texts) ([]byte, error) { return answer(form.Class(s, []byte(t.at(1)))) }),
		"today":  func(t texts) ([]byte, error) { return answer(form.Today([]byte(t.at(0)), t.at(1))) },
		"past":   func(t texts) ([]byte, error) { return answer(form.Past([]byte(t.at(0)), t.at(1))) },
		"figure": func(t texts) ([]byte, error) { return answer(form.Figure([]byte(t.at(0)), t.at(1))) },
		"open":   a.openNew, "resume": a.resume, "close": a.close,
		"block": func(t texts) ([]byte, error) {
			s, err := form.Block(context.Background(), []byte(t.at(0)), t.at(1), t.number(2))
			if err != nil {
				return nil, err
			}
			return a.add(s)
		},
		"keep":   func(t texts) ([]byte, error) { return json.Marshal(form.Keep(t.at(0), t.at(1), t.at(2))) },
		"plan":   a.with(func(s *session.Session, t texts) ([]byte, error) { return form.AppendPlan(nil, s, t.number(0)) }),
		"state":  a.with(func(s *session.Session, _ texts) ([]byte, error) { return s.AppendState(nil) }),
		"circle": a.with(func(s *session.Session, t texts) ([]byte, error) { return answer(s.Circle(t.number(1))) }),
		"answer": a.with(func(s *session.Session, t texts) ([]byte, error) { return answer(s.Answer(t.number(1))) }),
		"say": a.with(func(s *session.Session, t texts) ([]byte, error) {
			var v session.Verdict
			if err := v.UnmarshalText([]byte(t.at(2))); err != nil {
				return nil, err
			}
			return done, s.Say(t.number(1), v)
		}),
		"hear": a.with(func(s *session.Session, t texts) ([]byte, error) {
			say := listening.Say{Turn: t.number(1)}
			if err := say.Verdict.UnmarshalText([]byte(t.at(2))); err != nil {
				return nil, err
			}
			return done, s.Hear(say)
		}),
		"go": a.with(func(s *session.Session, t texts) ([]byte, error) { return done, s.Go(t.number(1)) }),
		"tempo": a.with(func(s *session.Session, t texts) ([]byte, error) {
			if err := s.SetTempo(t.number(1), t.number(2)); err != nil {
				return nil, err
			}
			return form.AppendPlan(nil, s, t.number(0))
		}),
		"report": a.with(func(s *session.Session, t texts) ([]byte, error) {
			date, err := practice.ParseDate(t.at(1))
			if err != nil {
				return nil, err
			}
			seconds, err := strconv.ParseFloat(t.at(2), 64)
			if err != nil || !(seconds >= 0 && seconds < 1e6) {
				return nil, fmt.Errorf("%.40q is no number of seconds", t.at(2))
			}
			return answer(s.Report(date, time.Duration(seconds*float64(time.Second))))
		}),
	} {
		export[name] = function(f)
	}
	bridge.Start(export)
}

var done = []byte("true")

// texts are the arguments of a function.
type texts []string

// at returns an argument, "" where there is none.
func (t texts) at(n int) string {
	if n < len(t) {
		return t[n]
	}
	return ""
}

// number reads an argument; what is none is -1, which nothing has for a number.
func (t texts) number(n int) int {
	v, err := strconv.Atoi(t.at(n))
	if err != nil {
		return -1
	}
	return v
}

// An app has the sessions that are open.
type app struct {
	open   map[int]*session.Session
	opened int
}

func (a *app) add(s *session.Session) ([]byte, error) {
	a.opened++
	a.open[a.opened] = s
	return form.AppendPlan(nil, s, a.opened)
}

func (a *app) openNew(t texts) ([]byte, error) {
	s, err := form.New(context.Background(), []byte(t.at(0)), t.at(1))
	if err != nil {
		return nil, err
	}
	return a.add(s)
}

func (a *app) resume(t texts) ([]byte, error) {
	log, err := practice.Read(strings.NewReader(t.at(1)))
	if err != nil {
		return nil, err
	}
	s, err := session.Resume(context.Background(), []byte(t.at(0)), form.Most(), log)
	if err != nil {
		return nil, err
	}
	return a.add(s)
}

func (a *app) close(t texts) ([]byte, error) {
	delete(a.open, t.number(0))
	return done, nil
}

// with makes a function about a session, which its first argument names.
func (a *app) with(f func(*session.Session, texts) ([]byte, error)) func(texts) ([]byte, error) {
	return func(t texts) ([]byte, error) {
		s := a.open[t.number(0)]
		if s == nil {
			return nil, errors.New("the session is closed, or was never opened")
		}
		return f(s, t)
	}
}

func answer[T any](v T, err error) ([]byte, error) {
	if err != nil {
		return nil, err
	}
	return json.Marshal(v)
}

// function makes a function of texts that JavaScript can call.
func function(f func(texts) ([]byte, error)) js.Func {
	return bridge.Function(func(t []string) ([]byte, error) { return f(t) })
}
