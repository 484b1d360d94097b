package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"syscall"
	"time"
)

// A fate is what became of a mutant.
type fate int

const (
	lived fate = iota
	killed
	timedOut
)

// slow is what a test takes that the quick ones go before.
const slow = 50 * time.Millisecond

// longest is what a run without a mutant may take.
const longest = 10 * time.Minute

// memory is the address space that a mutant may take, in kilobytes.
const memory = 6_000_000

// A pace is how thoroughly tests run, and what each takes without a mutant.
type pace struct {
	args  []string
	times map[string]time.Duration
}

// limit is what the tests may take with a mutant.
func (c pace) limit(tests []string) time.Duration {
	limit := 3 * time.Second
	for _, name := range tests {
		limit += 8 * c.times[name]
	}
	return limit
}

// try builds the binary and gives every mutant its fate.
func (p *pkg) try(s settings) error {
	if len(p.mutants) == 0 {
		return nil
	}
	dir, err := os.MkdirTemp("", "mutation")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	bin, err := p.build(dir)
	if err != nil {
		return err
	}
	paces, err := p.paces(bin, s)
	if err != nil {
		return err
	}
	if err := p.coverage(dir, paces[0], paces[len(paces)-1].args); err != nil {
		return err
	}
	var wait sync.WaitGroup
	var broken error
	var once sync.Once
	next := make(chan *mutant)
	for range s.parallel {
		wait.Add(1)
		go func() {
			defer wait.Done()
			for m := range next {
				if err := p.meet(bin, m, paces); err != nil {
					once.Do(func() { broken = err })
				}
			}
		}()
	}
	for _, m := range p.mutants {
		next <- m
	}
	close(next)
	wait.Wait()
	return broken
}

// meet runs the tests that reach a mutant, the quick ones first, until one
// fails.
func (p *pkg) meet(bin string, m *mutant, paces []pace) (err error) {
	for _, c := range paces {
		for _, tests := range [][]string{m.quick, m.slow} {
			if len(tests) == 0 {
				continue
			}
			if m.fate, _, err = p.run(bin, c.limit(tests), append(slices.Clone(c.args), "-test.failfast", only(tests...)), m.number); err != nil || m.fate != lived {
				return err
			}
		}
	}
	return nil
}

func only(tests ...string) string { return "-test.run=^(" + strings.Join(tests, "|") + ")$" }

// build makes the test binary with all mutants.
func (p *pkg) build(dir string) (string, error) {
	texts, _ := p.generate()
	overlay := map[string]string{}
	add := func(name, text string) error {
		file := filepath.Join(dir, filepath.Base(name))
		overlay[filepath.Join(p.dir, filepath.Base(name))] = file
		return os.WriteFile(file, []byte(text), 0o600)
	}
	for n, s := range p.sources {
		if err := add(s.path, texts[n]); err != nil {
			return "", err
		}
	}
	if err := add("mutant_switch.go", fmt.Sprintf(switchText, p.sources[0].file.Name.Name)); err != nil {
		return "", err
	}
	text, err := json.Marshal(map[string]any{"Replace": overlay})
	if err != nil {
		return "", err
	}
	file, bin := filepath.Join(dir, "overlay.json"), filepath.Join(dir, "package.test")
	if err := os.WriteFile(file, text, 0o600); err != nil {
		return "", err
	}
	_, err = goCommand(p.root, "test", "-c", "-vet=off", "-overlay", file, "-o", bin, p.path)
	return bin, err
}

// paces runs the package without a mutant and notes what its tests take: with a
// few random cases, if they have any, and as usual. It leaves out the tests that
// the copies alone make fail: those of allocations, since what calls a copy is
// not inlined.
func (p *pkg) paces(bin string, s settings) ([]pace, error) {
	args := []string{"-test.count=1"}
	if s.skip != "" {
		args = append(args, "-test.skip="+s.skip)
	}
	if !p.rapid {
		usual, err := p.measure(bin, args)
		return []pace{usual}, err
	}
	args = append(args, fmt.Sprintf("-rapid.seed=%d", s.seed), "-rapid.nofailfile", "-rapid.shrinktime=1ms")
	few, err := p.measure(bin, append(slices.Clone(args), "-rapid.checks=20"))
	if err != nil {
		return nil, err
	}
	usual, err := p.measure(bin, args)
	for name := range few.times { // what fails at either pace is left out of both
		if _, ok := usual.times[name]; !ok {
			delete(few.times, name)
		}
	}
	return []pace{few, usual}, err
}

var passed = regexp.MustCompile(`(?m)^--- (PASS|FAIL): (\w+) \((.*)s\)$`)

// measure runs the tests without a mutant.
func (p *pkg) measure(bin string, args []string) (pace, error) {
	c := pace{args, map[string]time.Duration{}}
	_, out, err := p.run(bin, longest, append(slices.Clone(args), "-test.v"), 0)
	if err != nil {
		return c, err
	}
	for _, line := range passed.FindAllStringSubmatch(out, -1) {
		if line[1] == "FAIL" {
			if !slices.Contains(p.leftOut, line[2]) {
				p.leftOut = append(p.leftOut, line[2])
			}
		} else if c.times[line[2]], err = time.ParseDuration(line[3] + "s"); err != nil {
			return c, err
		}
	}
	if len(c.times) == 0 {
		return c, fmt.Errorf("%s: no test passes without a mutant:\n%s", p.name, out)
	}
	return c, nil
}

// run runs the binary with one of the mutants, 0 for none. The limit is of the
// processor's time, as the machine may be busy with others; twenty times as long
// by the clock is for a mutant that only waits.
func (p *pkg) run(bin string, limit time.Duration, args []string, number int) (fate, string, error) {
	ctx, cancel := context.WithTimeout(context.Background(), 20*limit)
	defer cancel()
	// A mutant may never stop asking for memory.
	limited := fmt.Sprintf(`ulimit -v %d; ulimit -t %d; exec "$0" "$@"`, memory, 1+int(limit.Seconds()))
	cmd := exec.CommandContext(ctx, "sh", append([]string{"-c", limited, bin}, args...)...)
	cmd.Dir = p.dir
	cmd.WaitDelay = time.Second
	cmd.Env = append(os.Environ(), fmt.Sprintf("MUTANT=%d", number), "GOMAXPROCS=1")
	var out bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &out
	err := cmd.Run()
	var exit *exec.ExitError
	switch {
	case err == nil:
		return lived, out.String(), nil
	case ctx.Err() != nil:
		return timedOut, out.String(), nil
	case errors.As(err, &exit):
		if status, ok := exit.Sys().(syscall.WaitStatus); ok && status.Signaled() && status.Signal() == syscall.SIGKILL {
			return timedOut, out.String(), nil // by the system, at the limit
		}
		return killed, out.String(), nil
	}
	return lived, "", err
}

// A block is part of a file that runs as one, and whether it ran.
type block struct {
	from, to [2]int // line and column
	ran      bool
}

// coverage runs the unbroken tests, the quick ones together and each slow one
// alone, and notes which mutants they reach.
func (p *pkg) coverage(dir string, c pace, args []string) error {
	bin := filepath.Join(dir, "cover.test")
	if _, err := goCommand(p.root, "test", "-c", "-vet=off", "-cover", "-o", bin, p.path); err != nil {
		return err
	}
	if len(p.leftOut) > 0 { // they must pass as long as there are no copies
		if _, err := p.reach(dir, bin, append(slices.Clone(args), only(p.leftOut...))); err != nil {
			return err
		}
	}
	var quick []string
	for _, name := range slices.Sorted(maps.Keys(c.times)) {
		if c.times[name] < slow {
			quick = append(quick, name)
			continue
		}
		reached, err := p.reach(dir, bin, append(slices.Clone(args), only(name)))
		if err != nil {
			return err
		}
		for _, m := range p.mutants {
			if reached(m) {
				m.slow = append(m.slow, name)
			}
		}
	}
	if len(quick) == 0 {
		return nil
	}
	reached, err := p.reach(dir, bin, append(slices.Clone(args), only(quick...)))
	if err != nil {
		return err
	}
	for _, m := range p.mutants {
		if reached(m) {
			m.quick = quick
		}
	}
	return nil
}

// reach runs tests with a profile of what they cover, and returns whether they
// reach a mutant. What is in no block of the profile, as the values of a case,
// counts as reached.
func (p *pkg) reach(dir, bin string, args []string) (func(*mutant) bool, error) {
	profile := filepath.Join(dir, "cover.out")
	f, out, err := p.run(bin, longest, append(args, "-test.coverprofile="+profile), 0)
	if err == nil && f != lived {
		err = fmt.Errorf("%s: the tests fail:\n%s", p.name, out)
	}
	if err != nil {
		return nil, err
	}
	text, err := os.ReadFile(profile)
	if err != nil {
		return nil, err
	}
	blocks := map[string][]block{}
	for _, line := range strings.Split(string(text), "\n") {
		name, where, ok := strings.Cut(line, ".go:")
		var b block
		var statements, count int
		if !ok {
			continue
		}
		if _, err := fmt.Sscanf(where, "%d.%d,%d.%d %d %d", &b.from[0], &b.from[1], &b.to[0], &b.to[1], &statements, &count); err != nil {
			return nil, fmt.Errorf("coverage line %q: %w", line, err)
		}
		b.ran = count > 0
		base := filepath.Base(name) + ".go"
		blocks[base] = append(blocks[base], b)
	}
	return func(m *mutant) bool {
		at := [2]int{m.position.Line, m.position.Column}
		in, ran := false, false
		for _, b := range blocks[filepath.Base(m.position.Filename)] {
			if slices.Compare(b.from[:], at[:]) <= 0 && slices.Compare(at[:], b.to[:]) < 0 {
				in, ran = true, ran || b.ran
			}
		}
		return ran || !in
	}, nil
}
