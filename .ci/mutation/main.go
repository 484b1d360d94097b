// The program mutation breaks a package on purpose, in one small place at a
// time, and says which of these mutants the package's own tests let live.
//
// The operators: arithmetic (+ for -, << for >>, | for &, a sign dropped),
// comparison (< for <=, == for !=), logic (&& for ||, ! dropped), constant
// (a number, a rune or a named constant one up and one down, true for false),
// condition (of if, for and a case without a switch value, negated), case (a
// clause, or one value of several, dropped), statement (a call, an assignment,
// a branch, dropped), return (dropped, where the function still ends).
//
// Only bodies of functions are broken. Left out are declarations of constants,
// the lengths of arrays, types, and the initial values of package variables:
// tables of data, which tests hold against their published sources. So are the
// capacity that make takes, and a shift by nothing. A use of a named constant
// inside a body is broken like a number. A change that does not compile is no
// mutant.
//
// All mutants of a package are in one test binary. Each is a copy of its
// function with the change in it, and the function itself begins by asking an
// environment variable, read once as the package starts, which copy to call.
// The build takes these files from an overlay; the tree is not touched.
//
// A mutant that no test reaches lives at once. The others meet the tests that
// reach them, first with a few random cases each, then, if they survive, with as
// many as usual; the quick tests go before the slow ones. Random cases come from
// one fixed seed, so that a run can be repeated. A mutant times out after three
// seconds of the processor's time and eight times what the tests take without one. Tests of allocations
// that fail with the copies in the package alone are left out, and named.
//
// Mutants that change nothing anyone could see stand in equivalent.txt, with
// the reason. They are run too: one that a test kills is not equivalent.
package main

import (
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// settings are what the command line says.
type settings struct {
	root     string // the module's folder
	list     string // the file of equivalent mutants
	sample   int    // how many mutants of each package, 0 for all
	seed     uint64 // of the sample and of random cases
	skip     string // tests that are not run, as a regular expression
	parallel int    // how many mutants at a time
}

func main() {
	var s settings
	flag.StringVar(&s.root, "root", ".", "the `folder` of the module")
	flag.StringVar(&s.list, "equivalent", "", "the `file` of equivalent mutants")
	flag.IntVar(&s.sample, "sample", 0, "try `N` mutants of each package, 0 for all")
	flag.Uint64Var(&s.seed, "seed", 1, "`seed` of the sample and of random cases")
	flag.StringVar(&s.skip, "skip", "", "do not run the tests that match the `regexp`")
	flag.IntVar(&s.parallel, "parallel", 2, "try `N` mutants at a time")
	flag.Usage = func() {
		fmt.Fprintln(flag.CommandLine.Output(), "usage: mutate [flags] PACKAGE...")
		flag.PrintDefaults()
	}
	flag.Parse()
	if flag.NArg() == 0 || s.sample < 0 || s.seed == 0 || s.parallel < 1 {
		flag.Usage()
		os.Exit(2)
	}
	if err := mutate(os.Stdout, s, flag.Args()); err != nil {
		fmt.Fprintln(os.Stderr, "mutate:", err)
		os.Exit(1)
	}
}

// mutate tries the packages one after the other and prints what it finds.
func mutate(w io.Writer, s settings, paths []string) error {
	var err error
	if s.root, err = filepath.Abs(s.root); err != nil {
		return err
	}
	known, err := readEquivalents(s.list)
	if err != nil {
		return err
	}
	var total table
	var wrong []string
	for _, path := range paths {
		start := time.Now()
		p, err := load(s.root, "./"+strings.TrimPrefix(filepath.ToSlash(filepath.Clean(path)), "./"))
		if err != nil {
			return err
		}
		if err := p.findMutants(); err != nil {
			return err
		}
		wrong = append(wrong, markEquivalents(p, known)...)
		all := len(p.mutants)
		p.takeSample(s.sample, s.seed)
		if err := p.try(s); err != nil {
			return err
		}
		wrong = append(wrong, killedEquivalents(p)...)
		t := p.table()
		total.add(t)
		p.printSurvivors(w)
		fmt.Fprintf(w, "%s: %d of %d mutants, %.0f s\n", p.name, len(p.mutants), all, time.Since(start).Seconds())
		if len(p.leftOut) > 0 {
			fmt.Fprintln(w, "without", strings.Join(p.leftOut, ", "))
		}
		t.print(w)
	}
	if len(paths) > 1 {
		fmt.Fprintln(w, "\nall packages")
		total.print(w)
	}
	if len(wrong) > 0 {
		return fmt.Errorf("the list of equivalent mutants is wrong:\n%s", strings.Join(wrong, "\n"))
	}
	return nil
}
