// Exported lists what the library exports, as the type checker sees it, so that
// a changed comment is no change: one line for each name, with its type. With
// -unused it lists instead the names that nothing outside their own package
// uses, neither a program nor another package nor an Example; methods that only
// take text in and out are left out.
//
//	go run ./.ci/exported          what .ci/api.txt holds
//	go run ./.ci/exported -count   how many names there are
//	go run ./.ci/exported -unused  names that only their own package uses
package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"go/ast"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"io"
	"log"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
)

// A listed package, as go list tells of it.
type listed struct {
	ImportPath, ForTest, Dir, Export, Name string
	GoFiles, TestGoFiles, XTestGoFiles     []string
	Standard                               bool
}

func main() {
	log.SetFlags(0)
	unused := flag.Bool("unused", false, "list the names that only their own package uses")
	count := flag.Bool("count", false, "count the names")
	flag.Parse()
	if err := run(os.Stdout, *unused, *count); err != nil {
		log.Fatal(err)
	}
}

func run(w io.Writer, unused, count bool) error {
	all, err := list("-deps", "-test", "-export", "./...")
	if err != nil {
		return err
	}
	exports := map[string]string{}
	var own []listed
	for _, p := range all {
		if p.ForTest == "" && !strings.HasSuffix(p.ImportPath, ".test") {
			exports[p.ImportPath] = p.Export
			if strings.HasPrefix(p.ImportPath, "example.com/keyorder/") {
				own = append(own, p)
			}
		}
	}
	fset := token.NewFileSet()
	gc := importer.ForCompiler(fset, "gc", func(path string) (io.ReadCloser, error) {
		if exports[path] == "" {
			return nil, errors.New("no export data of " + path)
		}
		return os.Open(exports[path])
	})
	var names []string
	for _, p := range own {
		if strings.Contains(p.ImportPath, "/internal/") || p.Name == "main" || strings.Contains(p.ImportPath, "/examples/") {
			continue
		}
		pkg, err := gc.Import(p.ImportPath)
		if err != nil {
			return err
		}
		for _, o := range exportedOf(pkg) {
			names = append(names, o)
		}
	}
	slices.Sort(names)
	if count {
		fmt.Fprintln(w, len(names))
		return nil
	}
	if !unused {
		for _, n := range names {
			fmt.Fprintln(w, n)
		}
		return nil
	}
	used := map[string]bool{}
	for _, p := range own {
		for _, files := range [][]string{p.GoFiles, p.XTestGoFiles} {
			if err := uses(used, fset, gc, p, files); err != nil {
				return err
			}
		}
	}
	for _, n := range names {
		name, _, _ := strings.Cut(n, " ")
		short := name[strings.LastIndexByte(name, '.')+1:]
		if !used[name] && !slices.Contains(text, short) {
			fmt.Fprintln(w, n)
		}
	}
	return nil
}

// text are the methods that only take text in and out.
var text = []string{"String", "GoString", "AppendText", "MarshalText", "UnmarshalText", "MarshalJSON", "UnmarshalJSON", "Error", "Unwrap"}

func list(args ...string) ([]listed, error) {
	cmd := exec.Command("go", append([]string{"list", "-json=ImportPath,ForTest,Dir,Export,Name,GoFiles,TestGoFiles,XTestGoFiles,Standard"}, args...)...)
	cmd.Stderr = os.Stderr
	out, err := cmd.Output()
	if err != nil {
		return nil, fmt.Errorf("go list: %w", err)
	}
	var all []listed
	for d := json.NewDecoder(bytes.NewReader(out)); ; {
		var p listed
		if err := d.Decode(&p); err == io.EOF {
			return all, nil
		} else if err != nil {
			return nil, err
		}
		all = append(all, p)
	}
}

// exportedOf returns the exported names of a package with their types: objects,
// fields and methods.
func exportedOf(pkg *types.Package) []string {
	var out []string
	bare := func(p *types.Package) string {
		if p == pkg {
			return ""
		}
		return p.Name()
	}
	for _, name := range pkg.Scope().Names() {
		o := pkg.Scope().Lookup(name)
		if !o.Exported() {
			continue
		}
		id := pkg.Path() + "." + name
		switch o := o.(type) {
		case *types.Const:
			out = append(out, fmt.Sprintf("%s const %s = %s", id, types.TypeString(o.Type(), bare), o.Val().ExactString()))
		case *types.TypeName:
			kind := "type"
			if st, ok := o.Type().Underlying().(*types.Struct); ok {
				for n := range st.NumFields() {
					if f := st.Field(n); f.Exported() {
						out = append(out, fmt.Sprintf("%s.%s field %s %s", id, f.Name(), types.TypeString(f.Type(), bare), st.Tag(n)))
					}
				}
				out = append(out, id+" type struct")
			} else {
				out = append(out, fmt.Sprintf("%s %s %s", id, kind, types.TypeString(o.Type().Underlying(), bare)))
			}
			if named, ok := o.Type().(*types.Named); ok {
				for n := range named.NumMethods() {
					if m := named.Method(n); m.Exported() {
						out = append(out, fmt.Sprintf("%s.%s method %s", id, m.Name(), types.TypeString(m.Type(), bare)))
					}
				}
			}
		default:
			out = append(out, fmt.Sprintf("%s %s", id, types.TypeString(o.Type(), bare)))
		}
	}
	for n := range out {
		out[n] = strings.TrimSpace(strings.TrimPrefix(out[n], "example.com/keyorder/"))
	}
	return out
}

// uses notes which names of other packages the files of one use.
func uses(used map[string]bool, fset *token.FileSet, imp types.Importer, p listed, files []string) error {
	if len(files) == 0 {
		return nil
	}
	var parsed []*ast.File
	for _, f := range files {
		a, err := parser.ParseFile(fset, filepath.Join(p.Dir, f), nil, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		parsed = append(parsed, a)
	}
	info := &types.Info{Uses: map[*ast.Ident]types.Object{}}
	conf := types.Config{Importer: imp, Error: func(error) {}}
	pkg, _ := conf.Check(p.ImportPath+" of its own", fset, parsed, info)
	for _, o := range info.Uses {
		if o.Pkg() == nil || o.Pkg() == pkg || !strings.HasPrefix(o.Pkg().Path(), "example.com/keyorder/") || !o.Exported() {
			continue
		}
		path := strings.TrimPrefix(o.Pkg().Path(), "example.com/keyorder/")
		used[path+"."+o.Name()] = true
		for _, owner := range owners(o) {
			used[path+"."+owner+"."+o.Name()] = true
		}
	}
	return nil
}

// owners returns the types that have a field or a method.
func owners(o types.Object) []string {
	switch o := o.(type) {
	case *types.Func:
		if recv := o.Type().(*types.Signature).Recv(); recv != nil {
			t := recv.Type()
			if p, ok := t.(*types.Pointer); ok {
				t = p.Elem()
			}
			if n, ok := t.(*types.Named); ok {
				return []string{n.Obj().Name()}
			}
		}
	case *types.Var:
		if !o.IsField() {
			return nil
		}
		var out []string
		for _, name := range o.Pkg().Scope().Names() {
			if st, ok := o.Pkg().Scope().Lookup(name).Type().Underlying().(*types.Struct); ok {
				for n := range st.NumFields() {
					if st.Field(n) == o {
						out = append(out, name)
					}
				}
			}
		}
		return out
	}
	return nil
}
