//go:build js && wasm

// Ear is the program that listens, for a Worker of a browser: it is loaded only
// where a microphone or a keyboard is asked for, and leaves the page its time.
// listen-worker.js is the only one that talks with it.
//
//	open(instrument, rate)       begins to listen; a rate of 0 is for keys
//	write(samples)               samples, 32-bit floats in a Uint8Array: what is heard
//	press(key, velocity, at)     a key that is pressed
//	release(key)                 a key that is let go
//	at(now)                      what is heard of keys
//	follow(state, following)     follows a session
//	await(state, turn)           waits for a note that is held
//	leave()                      follows nothing any more
//	idea(from, tempo)            the figure that was played
//
// Times are in seconds from the first sample on; what is heard and followed is as
// in package hearing, the state of a session as figure/session writes it.
package main

import (
	"encoding/binary"
	"encoding/json"
	"errors"
	"math"
	"strconv"
	"syscall/js"

	"example.com/keyorder/examples/web/bridge"
	"example.com/keyorder/examples/web/hearing"
	"example.com/keyorder/pitch"
)

func main() {
	var listener *hearing.Listener
	functions := map[string]js.Func{"write": write(&listener)}
	for name, f := range map[string]func(*hearing.Listener, texts) (any, error){
		"press": func(l *hearing.Listener, t texts) (any, error) {
			l.Press(pitch.Number(t.number(0)), uint8(t.number(1)), t.number(2))
			return true, nil
		},
		"release": func(l *hearing.Listener, t texts) (any, error) {
			l.Release(pitch.Number(t.number(0)))
			return true, nil
		},
		"at": func(l *hearing.Listener, t texts) (any, error) { return l.At(t.number(0)), nil },
		"follow": func(l *hearing.Listener, t texts) (any, error) {
			var f hearing.Following
			if err := json.Unmarshal([]byte(t.at(1)), &f); err != nil {
				return nil, err
			}
			return true, l.Follow(t.at(0), f)
		},
		"await": func(l *hearing.Listener, t texts) (any, error) { return true, l.Await(t.at(0), int(t.number(1))) },
		"leave": func(l *hearing.Listener, _ texts) (any, error) { l.Leave(); return true, nil },
		"idea":  func(l *hearing.Listener, t texts) (any, error) { return l.Idea(t.number(0), t.number(1)) },
	} {
		functions[name] = bridge.Function(func(t []string) ([]byte, error) {
			if listener == nil {
				return nil, errNobody
			}
			return answer(f(listener, t))
		})
	}
	functions["open"] = bridge.Function(func(t []string) ([]byte, error) {
		l, err := hearing.New(texts(t).at(0), int(texts(t).number(1)))
		if err != nil {
			return nil, err
		}
		listener = l
		return answer(true, nil)
	})
	bridge.Start(functions)
}

var errNobody = errors.New("nobody listens yet")

func answer(v any, err error) ([]byte, error) {
	if err != nil {
		return nil, err
	}
	return json.Marshal(v)
}

// texts are the arguments of a function.
type texts []string

// at returns an argument, "" where there is none.
func (t texts) at(n int) string {
	if n < len(t) {
		return t[n]
	}
	return ""
}

// number reads an argument; what is no number is 0.
func (t texts) number(n int) float64 {
	v, err := strconv.ParseFloat(t.at(n), 64)
	if err != nil || math.IsNaN(v) || math.Abs(v) > 1e8 {
		return 0
	}
	return v
}

// write is the function that takes samples.
func write(listener **hearing.Listener) js.Func {
	var bytes []byte
	var samples []float32
	return bridge.Raw(func(values []js.Value) ([]byte, error) {
		if *listener == nil || len(values) == 0 {
			return nil, errNobody
		}
		size := values[0].Length() &^ 3
		if size > len(bytes) {
			bytes, samples = make([]byte, size), make([]float32, size/4)
		}
		js.CopyBytesToGo(bytes[:size], values[0])
		for n := range samples[:size/4] {
			samples[n] = math.Float32frombits(binary.LittleEndian.Uint32(bytes[4*n:]))
		}
		return answer((*listener).Write(samples[:size/4]), nil)
	})
}
