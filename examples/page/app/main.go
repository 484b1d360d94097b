//go:build js && wasm

// App is the practice page's program: it runs in the browser and answers the
// page's script, which knows no music.
//
// It sets one global object, keyorder, with functions that take and return
// text. What they return is JSON, or an object {"error": {"field", "text"}}.
//
//	keyorder.choices()                          what can be chosen
//	keyorder.plan(settings, log)                opens a session: its plan, which has its number
//	keyorder.circle(session, statement)         SVG: the circle of keys with the move to a statement
//	keyorder.answer(session, statement)         the notes of a statement, in words and as SVG
//	keyorder.report(session, played)            what came of it
//	keyorder.close(session)                     forgets a session
//	keyorder.keep(log, had, lines)              the log with the lines of a session
//
// settings are the fields of package form, plan and report those of
// figure/session; played is {"says", "date", "seconds"}, with c for clean, n for
// not clean and - for nothing said of each statement that was played. log is the
// practice log, as package practice reads it. Any number of sessions are open at
// once.
package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"syscall/js"

	"example.com/keyorder/examples/page/form"
	"example.com/keyorder/figure/session"
)

func main() {
	sessions := map[int]*session.Session{}
	opened := 0
	export := map[string]any{
		"choices": function(0, func([]string) ([]byte, error) { return json.Marshal(form.AllChoices()) }),
		"plan": function(2, func(args []string) ([]byte, error) {
			s, f, err := form.New(context.Background(), []byte(args[0]), args[1])
			if err != nil {
				return nil, err
			}
			opened++
			sessions[opened] = s
			return f.AppendPlan(nil, s, opened)
		}),
		"circle": function(2, func(args []string) ([]byte, error) { return pick(sessions, args, (*session.Session).Circle) }),
		"answer": function(2, func(args []string) ([]byte, error) { return pick(sessions, args, (*session.Session).Answer) }),
		"keep": function(3, func(args []string) ([]byte, error) {
			return json.Marshal(form.Keep(args[0], args[1], args[2]))
		}),
		"report": function(2, func(args []string) ([]byte, error) {
			s, err := find(sessions, args[0])
			if err != nil {
				return nil, err
			}
			var p form.Played
			if err := json.Unmarshal([]byte(args[1]), &p); err != nil {
				return nil, err
			}
			r, err := p.Report(s)
			if err != nil {
				return nil, err
			}
			return json.Marshal(r)
		}),
		"close": function(1, func(args []string) ([]byte, error) {
			number, err := strconv.Atoi(args[0])
			delete(sessions, number)
			return []byte("true"), err
		}),
	}
	js.Global().Set("keyorder", js.ValueOf(export))
	select {}
}

// find returns a session by its number.
func find(sessions map[int]*session.Session, number string) (*session.Session, error) {
	n, err := strconv.Atoi(number)
	if s := sessions[n]; err == nil && s != nil {
		return s, nil
	}
	return nil, errors.New("plan a session first, and name it by its number")
}

// pick answers a question about one statement of a session.
func pick[T any](sessions map[int]*session.Session, args []string, ask func(*session.Session, int) (T, error)) ([]byte, error) {
	s, err := find(sessions, args[0])
	if err != nil {
		return nil, err
	}
	n, err := strconv.Atoi(args[1])
	if err != nil {
		return nil, errors.New("statements are counted from 0")
	}
	v, err := ask(s, n)
	if err != nil {
		return nil, err
	}
	return json.Marshal(v)
}

// function makes a function of texts that JavaScript can call.
func function(texts int, f func([]string) ([]byte, error)) js.Func {
	return js.FuncOf(func(_ js.Value, values []js.Value) any {
		args := make([]string, texts)
		for n := range args {
			if n < len(values) {
				args[n] = values[n].String()
			}
		}
		out, err := f(args)
		if err == nil {
			return string(out)
		}
		var problem struct {
			Error struct {
				Field string `json:"field"`
				Text  string `json:"text"`
			} `json:"error"`
		}
		problem.Error.Field, problem.Error.Text = form.Text(err)
		if out, err = json.Marshal(problem); err != nil {
			return fmt.Sprintf(`{"error":{"field":"","text":%q}}`, "the answer cannot be written as JSON")
		}
		return string(out)
	})
}
