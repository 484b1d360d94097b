package main

import (
	"bytes"
	"encoding/json"
	"io"
	"os"
	"strings"
	"testing"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
)

func drillOf(t *testing.T, text string) (*drill.Drill, drill.Settings) {
	t.Helper()
	var s drill.Settings
	if err := json.Unmarshal([]byte(text), &s); err != nil {
		t.Fatal(err)
	}
	d, err := drill.New(s)
	if err != nil {
		t.Fatal(err)
	}
	return d, s
}

func TestStream(t *testing.T) {
	d, _ := drillOf(t, `{"figure":"1 3 2 5","route":"(0369)","parts":[{"low":"C4","high":"A6"}]}`)
	var b bytes.Buffer
	stream(&b, d, nil, nil)
	want := "C 72 76 74 79\nEb 75 79 77 82\nGb 78 82 80 85\nA 81 85 83 88\nC 84\n"
	if b.String() != want {
		t.Errorf("%s, want %s", b.String(), want)
	}
}

// TestStreamDoesNotAllocatePerNote compares a long drill with a short one.
func TestStreamDoesNotAllocatePerNote(t *testing.T) {
	long := strings.Repeat("(0369)/", 200) + "(0369)"
	for _, route := range []string{"(0369)", long} {
		d, s := drillOf(t, `{"figure":"1 3 2 5","route":"`+route+`","parts":[{"low":"C4","high":"A6"}]}`)
		line, events := make([]byte, 0, 1024), make([]figure.Event, 0, s.Figure.NoteCount())
		if n := testing.AllocsPerRun(10, func() { stream(io.Discard, d, line, events) }); n > 2 {
			t.Errorf("%d statements: %v allocations", d.Len(), n)
		}
	}
}

func TestFortyLines(t *testing.T) {
	source, err := os.ReadFile("main.go")
	if err != nil {
		t.Fatal(err)
	}
	_, program, _ := strings.Cut(string(source), "package main")
	if n := strings.Count(program, "\n"); n > 40 {
		t.Errorf("%d lines, at most 40", n)
	}
}
