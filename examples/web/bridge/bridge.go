//go:build js && wasm

// Package bridge gives the functions of a program to a script: functions that take
// and return text. What they return is JSON, or an object
// {"error": {"field", "text"}}; no input makes the program end.
package bridge

import (
	"encoding/json"
	"fmt"
	"os"
	"syscall/js"

	"example.com/keyorder/examples/web/form"
)

// Start gives the functions to the script that has started the program with the
// name of a global function, and serves them.
func Start(functions map[string]js.Func) {
	if len(os.Args) < 2 {
		panic("keyorder.js starts this program with the name of a function")
	}
	export := map[string]any{}
	for name, f := range functions {
		export[name] = f
	}
	js.Global().Get(os.Args[1]).Invoke(js.ValueOf(export))
	select {}
}

// Function makes a function of texts that JavaScript can call.
func Function(f func([]string) ([]byte, error)) js.Func {
	return Raw(func(values []js.Value) ([]byte, error) {
		var texts []string
		for _, v := range values {
			texts = append(texts, v.String())
		}
		return f(texts)
	})
}

// Raw makes a function of values that JavaScript can call. A fault of the program
// is an error like any other: the page and all else goes on.
func Raw(f func([]js.Value) ([]byte, error)) js.Func {
	return js.FuncOf(func(_ js.Value, values []js.Value) (out any) {
		defer func() {
			if r := recover(); r != nil {
				out = problem("", fmt.Sprintf("The program made a mistake: %v.", r))
			}
		}()
		text, err := f(values)
		if err != nil {
			return problem(form.Text(err))
		}
		return string(text)
	})
}

// problem returns an error as JSON.
func problem(field, text string) string {
	var p struct {
		Error struct {
			Field string `json:"field"`
			Text  string `json:"text"`
		} `json:"error"`
	}
	p.Error.Field, p.Error.Text = field, text
	out, err := json.Marshal(p)
	if err != nil {
		return `{"error":{"field":"","text":"The answer cannot be written as JSON."}}`
	}
	return string(out)
}
