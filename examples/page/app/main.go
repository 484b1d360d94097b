//go:build js && wasm

// App is the practice page's program: it runs in the browser and answers the
// page's script, which knows no music.
//
// It sets one global object, keyorder, with functions that take and return
// text. What they return is JSON, or an object {"error": {"field", "text"}}.
//
//	keyorder.choices()                          what can be chosen
//	keyorder.plan(settings, log)                the plan of a session
//	keyorder.circle(statement)                  SVG: the circle of keys with the move to a statement
//	keyorder.answer(statement)                  the notes of a statement, in words and as SVG
//	keyorder.report(settings, log, played)      what came of it
//	keyorder.keep(log, had, lines)              the log with the session's lines, in the place of those it had
//
// settings, played and plan are as package session has them; log is the
// practice log, as package practice reads it. circle and answer speak of the
// session that was planned last.
package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"syscall/js"

	"example.com/keyorder/examples/page/session"
)

func main() {
	var planned *session.Session
	export := map[string]any{
		"choices": function(0, func([]string) ([]byte, error) { return json.Marshal(session.AllChoices()) }),
		"plan": function(2, func(args []string) ([]byte, error) {
			s, err := session.New([]byte(args[0]), args[1])
			if err != nil {
				return nil, err
			}
			planned = s
			return s.AppendJSON(nil)
		}),
		"circle": function(1, func(args []string) ([]byte, error) { return pick(planned, args[0], (*session.Session).Circle) }),
		"answer": function(1, func(args []string) ([]byte, error) { return pick(planned, args[0], (*session.Session).Answer) }),
		"keep": function(3, func(args []string) ([]byte, error) {
			return json.Marshal(session.Keep(args[0], args[1], args[2]))
		}),
		"report": function(3, func(args []string) ([]byte, error) {
			s, err := session.New([]byte(args[0]), args[1])
			if err != nil {
				return nil, err
			}
			var p session.Played
			if err := json.Unmarshal([]byte(args[2]), &p); err != nil {
				return nil, err
			}
			r, err := s.Report(p)
			if err != nil {
				return nil, err
			}
			return json.Marshal(r)
		}),
	}
	js.Global().Set("keyorder", js.ValueOf(export))
	select {}
}

// pick answers a question about one statement of the session.
func pick[T any](s *session.Session, statement string, ask func(*session.Session, int) (T, error)) ([]byte, error) {
	var n int
	if err := json.Unmarshal([]byte(statement), &n); err != nil || s == nil {
		return nil, errors.New("plan a session first, then name one of its statements, counted from 0")
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
		problem.Error.Text = err.Error()
		var refused *session.Error
		if errors.As(err, &refused) {
			problem.Error.Field = refused.Field
		}
		if out, err = json.Marshal(problem); err != nil {
			return fmt.Sprintf(`{"error":{"field":"","text":%q}}`, "the answer cannot be written as JSON")
		}
		return string(out)
	})
}
