package main

import (
	"fmt"
	"os"
	"strings"
)

// atMost is the share of a package's mutants that may be listed as equivalent.
const atMost = 0.02

// An equivalent is an entry in the list of equivalent mutants: four lines, and
// an empty one between two entries. The first has the file and the function,
// the second the line of the source without its indent, the third the change as
// it is printed, the fourth the reason. Lines that begin with # say nothing.
type equivalent struct {
	at     int // the line in the list
	file   string
	key    string // of the mutant
	reason string
}

func readEquivalents(name string) ([]equivalent, error) {
	if name == "" {
		return nil, nil
	}
	text, err := os.ReadFile(name)
	if err != nil {
		return nil, err
	}
	var all []equivalent
	var entry []string
	for n, line := range strings.Split(strings.TrimRight(string(text), "\n")+"\n", "\n") {
		line = strings.TrimSpace(line)
		switch {
		case strings.HasPrefix(line, "# "):
		case line != "":
			entry = append(entry, line)
		case len(entry) == 4:
			file, _, _ := strings.Cut(entry[0], " ")
			all = append(all, equivalent{n - 3, file, strings.Join(entry[:3], "\n"), entry[3]})
			entry = nil
		case len(entry) > 0:
			return nil, fmt.Errorf("%s:%d: an entry has four lines: file and function, line, change, reason", name, n)
		}
	}
	return all, nil
}

// markEquivalents gives the mutants that are listed their reasons, and returns
// what is wrong with the list.
func markEquivalents(p *pkg, known []equivalent) (wrong []string) {
	byKey := map[string][]*mutant{}
	for _, m := range p.mutants {
		byKey[m.key()] = append(byKey[m.key()], m)
	}
	files := map[string]bool{}
	for _, s := range p.sources {
		files[s.path] = true
	}
	marked := 0
	for _, e := range known {
		if !files[e.file] {
			continue
		}
		ms := byKey[e.key]
		if len(ms) == 0 {
			wrong = append(wrong, fmt.Sprintf("line %d is no mutant: %s", e.at, strings.ReplaceAll(e.key, "\n", " | ")))
		}
		for _, m := range ms {
			if m.reason == "" {
				marked++
			}
			m.reason = e.reason
		}
	}
	if float64(marked) > atMost*float64(len(p.mutants)) {
		wrong = append(wrong, fmt.Sprintf("%s has %d of %d mutants listed, more than %.0f %%", p.name, marked, len(p.mutants), 100*atMost))
	}
	return wrong
}

// killedEquivalents returns the mutants that are listed and did not live.
func killedEquivalents(p *pkg) (wrong []string) {
	for _, m := range p.mutants {
		if m.reason != "" && m.fate != lived {
			wrong = append(wrong, fmt.Sprintf("%v: a test notices: %s", m.position, m.change))
		}
	}
	return wrong
}
