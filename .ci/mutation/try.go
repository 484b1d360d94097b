package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
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

// memory is the address space that a mutant may take, in kilobytes.
const memory = 6_000_000

// A stage is a run of some tests.
type stage struct {
	args  []string
	limit time.Duration
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
	if err := p.coverage(dir, s); err != nil {
		return err
	}
	bin, err := p.build(dir)
	if err != nil {
		return err
	}
	stages, err := p.stages(bin, s)
	if err != nil {
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
				for _, stage := range stages {
					f, _, err := p.run(bin, stage, m.number)
					if err != nil {
						once.Do(func() { broken = err })
					}
					if m.fate = f; f != lived {
						break
					}
				}
			}
		}()
	}
	for _, m := range p.mutants {
		if m.reached {
			next <- m
		}
	}
	close(next)
	wait.Wait()
	return broken
}

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

// flags are the flags that every run of the tests has.
func (p *pkg) flags(s settings) []string {
	args := []string{"-test.count=1", "-test.failfast"}
	if s.skip != "" {
		args = append(args, "-test.skip="+s.skip)
	}
	if p.rapid {
		args = append(args, fmt.Sprintf("-rapid.seed=%d", s.seed), "-rapid.nofailfile", "-rapid.shrinktime=1ms")
	}
	return args
}

// stages runs the package unbroken and divides its tests by the time they take.
func (p *pkg) stages(bin string, s settings) ([]stage, error) {
	whole := stage{args: p.flags(s)}
	few := whole
	if p.rapid {
		few.args = append(slices.Clone(whole.args), "-rapid.checks=20")
	}
	few.args = append(few.args, "-test.v")
	_, out, err := p.unbroken(bin, &few)
	if err != nil {
		return nil, err
	}
	var quick, others []string
	for _, line := range regexp.MustCompile(`(?m)^--- PASS: (\w+) \((.*)s\)$`).FindAllStringSubmatch(out, -1) {
		if seconds, err := strconv.ParseFloat(line[2], 64); err == nil && seconds < slow.Seconds() {
			quick = append(quick, line[1])
		} else {
			others = append(others, line[1])
		}
	}
	all := []stage{{args: few.args[:len(few.args)-1]}}
	if len(quick) > 0 && len(others) > 0 {
		only := func(names []string) stage {
			return stage{args: append(slices.Clone(all[0].args), "-test.run=^("+strings.Join(names, "|")+")$")}
		}
		all = []stage{only(quick), only(others)}
	}
	if p.rapid {
		all = append(all, whole)
	}
	for n := range all {
		if all[n].limit, _, err = p.unbroken(bin, &all[n]); err != nil {
			return nil, err
		}
	}
	return all, nil
}

// unbroken runs a stage without a mutant and returns the limit for one.
func (p *pkg) unbroken(bin string, st *stage) (time.Duration, string, error) {
	st.limit = 10 * time.Minute
	start := time.Now()
	f, out, err := p.run(bin, *st, 0)
	if err == nil && f != lived {
		err = fmt.Errorf("%s: the tests fail without a mutant:\n%s", p.name, out)
	}
	return time.Second + 8*time.Since(start), out, err
}

// run runs a stage with one of the mutants, 0 for none.
func (p *pkg) run(bin string, st stage, number int) (fate, string, error) {
	ctx, cancel := context.WithTimeout(context.Background(), st.limit)
	defer cancel()
	limited := fmt.Sprintf(`ulimit -v %d; exec "$0" "$@"`, memory) // a mutant may never stop asking for memory
	cmd := exec.CommandContext(ctx, "sh", append([]string{"-c", limited, bin}, st.args...)...)
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
		return killed, out.String(), nil
	}
	return lived, "", err
}

// A block is part of a file that runs as one, and whether it ran.
type block struct {
	from, to [2]int // line and column
	ran      bool
}

// coverage runs the unbroken tests and notes which mutants they reach. What is
// in no block of the profile, as the values of a case, counts as reached.
func (p *pkg) coverage(dir string, s settings) error {
	bin, profile := filepath.Join(dir, "cover.test"), filepath.Join(dir, "cover.out")
	if _, err := goCommand(p.root, "test", "-c", "-vet=off", "-cover", "-o", bin, p.path); err != nil {
		return err
	}
	if _, _, err := p.unbroken(bin, &stage{args: append(p.flags(s), "-test.coverprofile="+profile)}); err != nil {
		return err
	}
	text, err := os.ReadFile(profile)
	if err != nil {
		return err
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
			return fmt.Errorf("coverage line %q: %w", line, err)
		}
		b.ran = count > 0
		base := filepath.Base(name) + ".go"
		blocks[base] = append(blocks[base], b)
	}
	for _, m := range p.mutants {
		at := [2]int{m.position.Line, m.position.Column}
		in, ran := false, false
		for _, b := range blocks[filepath.Base(m.position.Filename)] {
			if slices.Compare(b.from[:], at[:]) <= 0 && slices.Compare(at[:], b.to[:]) < 0 {
				in, ran = true, ran || b.ran
			}
		}
		m.reached = ran || !in
	}
	return nil
}
