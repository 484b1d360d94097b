package main

import (
	"errors"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"go/types"
	"slices"
	"strings"
)

// An edit replaces bytes of a file.
type edit struct {
	from, to int
	text     string
}

// switchText is the file that reads which mutant runs. A mutated function may
// run while package variables get their values: they then depend on mutantNow,
// and so it has its value before them.
const switchText = `package %s

import (
	"os"
	"strconv"
)

var mutantNow = func() int { n, _ := strconv.Atoi(os.Getenv("MUTANT")); return n }()
`

// generate returns the files of the package with all its mutants in them, and
// for each file where in it which mutant begins.
func (p *pkg) generate() (texts []string, begins [][]int) {
	byFunction := map[*ast.FuncDecl][]*mutant{}
	for _, m := range p.mutants {
		byFunction[m.function] = append(byFunction[m.function], m)
	}
	for _, s := range p.sources {
		var edits []edit
		var copies strings.Builder
		var starts []int // in copies
		for _, d := range s.file.Decls {
			f, ok := d.(*ast.FuncDecl)
			if !ok || len(byFunction[f]) == 0 {
				continue
			}
			named, call, rest := p.forward(f)
			edits = append(edits, named...)
			var choose strings.Builder
			choose.WriteString(" switch mutantNow {")
			for _, m := range byFunction[f] {
				name := fmt.Sprintf("%s_mutant%d", f.Name.Name, m.number)
				fmt.Fprintf(&choose, " case %d: %s%s%s;", m.number, call, name, rest)
				starts = append(starts, copies.Len())
				copies.WriteString(p.mutated(s, f, m, name))
			}
			choose.WriteString(" };")
			body := p.fset.Position(f.Body.Lbrace).Offset + 1
			edits = append(edits, edit{body, body, choose.String()})
		}
		text := apply(string(s.text), edits) + "\n"
		for n := range starts {
			starts[n] += len(text)
		}
		texts, begins = append(texts, text+copies.String()), append(begins, starts)
	}
	return texts, begins
}

// mutated returns the copy of a function that has the change in it.
func (p *pkg) mutated(s source, f *ast.FuncDecl, m *mutant, name string) string {
	from, to := p.fset.Position(f.Pos()).Offset, p.fset.Position(f.End()).Offset
	at := p.fset.Position(f.Name.Pos()).Offset
	return apply(string(s.text[from:to]), []edit{
		{at - from, at - from + len(f.Name.Name), name},
		{m.from - from, m.to - from, m.text},
	}) + "\n\n"
}

// forward returns the edits that give a name to each parameter without one,
// and what stands before and after the name in a call with the same arguments.
func (p *pkg) forward(f *ast.FuncDecl) (named []edit, call, rest string) {
	unnamed := 0
	names := func(list *ast.FieldList) (all []string) {
		if list == nil {
			return nil
		}
		for _, field := range list.List {
			if len(field.Names) == 0 {
				name, at := fmt.Sprintf("mutant_%d", unnamed), p.fset.Position(field.Type.Pos()).Offset
				named = append(named, edit{at, at, name + " "})
				all = append(all, name)
				unnamed++
			}
			for _, n := range field.Names {
				name := n.Name
				if name == "_" {
					name = fmt.Sprintf("mutant_%d", unnamed)
					at := p.fset.Position(n.Pos()).Offset
					named = append(named, edit{at, at + 1, name})
					unnamed++
				}
				all = append(all, name)
			}
			if _, ok := field.Type.(*ast.Ellipsis); ok {
				all[len(all)-1] += "..."
			}
		}
		return all
	}
	if f.Recv != nil {
		call = names(f.Recv)[0] + "."
	}
	if types := names(f.Type.TypeParams); len(types) > 0 {
		rest = "[" + strings.Join(types, ", ") + "]"
	}
	rest += "(" + strings.Join(names(f.Type.Params), ", ") + ")"
	if f.Type.Results != nil {
		return named, "return " + call, rest
	}
	return named, call, rest + "; return"
}

// apply makes edits that do not overlap.
func apply(text string, edits []edit) string {
	slices.SortStableFunc(edits, func(a, b edit) int { return a.from - b.from })
	var b strings.Builder
	at := 0
	for _, e := range edits {
		b.WriteString(text[at:e.from])
		b.WriteString(e.text)
		at = e.to
	}
	b.WriteString(text[at:])
	return b.String()
}

// dropUncompilable checks the types of all mutants at once and drops those in
// which something is wrong.
func (p *pkg) dropUncompilable() error {
	texts, begins := p.generate()
	fset := token.NewFileSet()
	var files []*ast.File
	for n, text := range append(texts, fmt.Sprintf(switchText, p.sources[0].file.Name.Name)) {
		f, err := parser.ParseFile(fset, fmt.Sprint(n), text, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		files = append(files, f)
	}
	// The mutants stand in the order of their numbers, file after file.
	first := make([]int, len(begins))
	for n := 1; n < len(begins); n++ {
		first[n] = first[n-1] + len(begins[n-1])
	}
	bad := map[int]bool{}
	var errs []error
	conf := types.Config{Importer: p.imports, Error: func(err error) {
		var e types.Error
		errors.As(err, &e)
		at := e.Fset.Position(e.Pos)
		for n := range begins {
			if at.Filename != fmt.Sprint(n) {
				continue
			}
			k, exact := slices.BinarySearch(begins[n], at.Offset)
			if exact {
				k++
			}
			if k > 0 {
				bad[first[n]+k] = true
				return
			}
		}
		errs = append(errs, err)
	}}
	_, _ = conf.Check(p.path, fset, files, nil) // the errors have gone to the func
	if len(errs) > 0 {
		return fmt.Errorf("the package with its mutants does not compile: %w", errors.Join(errs...))
	}
	p.mutants = slices.DeleteFunc(p.mutants, func(m *mutant) bool { return bad[m.number] })
	p.number()
	return nil
}
