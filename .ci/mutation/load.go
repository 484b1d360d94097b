package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"go/ast"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
)

// A source is one file of the package, without its tests.
type source struct {
	path string // from the module's folder
	text []byte
	file *ast.File
}

// A pkg is the package that is broken.
type pkg struct {
	root    string
	path    string // its import path
	name    string // from the module's folder
	dir     string
	rapid   bool // whether its tests draw random cases
	fset    *token.FileSet
	sources []source
	info    types.Info
	imports types.Importer
	mutants []*mutant
	leftOut []string // tests that fail as soon as the package has mutants
}

// listed is what go list says of a package.
type listed struct {
	ImportPath, Dir, Export            string
	GoFiles, TestImports, XTestImports []string
	DepOnly, Standard                  bool
}

// goCommand runs the go command in the module's folder.
func goCommand(root string, args ...string) ([]byte, error) {
	cmd := exec.Command("go", args...)
	cmd.Dir = root
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		return nil, fmt.Errorf("go %s: %w\n%s%s", args[0], err, out, stderr.Bytes())
	}
	return out, nil
}

// load parses a package and checks its types.
func load(root, path string) (*pkg, error) {
	out, err := goCommand(root, "list", "-export", "-deps", "-json=ImportPath,Dir,Export,GoFiles,TestImports,XTestImports,DepOnly,Standard",
		path, "os", "strconv") // the last two for switchText
	if err != nil {
		return nil, err
	}
	exports := map[string]string{}
	var own listed
	for d := json.NewDecoder(bytes.NewReader(out)); ; {
		var l listed
		if err := d.Decode(&l); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			return nil, err
		}
		exports[l.ImportPath] = l.Export
		if !l.DepOnly && !l.Standard {
			own = l
		}
	}
	name, err := filepath.Rel(root, own.Dir)
	if err != nil {
		return nil, err
	}
	p := &pkg{
		root: root, path: own.ImportPath, name: filepath.ToSlash(name), dir: own.Dir, fset: token.NewFileSet(),
		rapid: slices.Contains(append(own.TestImports, own.XTestImports...), "pgregory.net/rapid"),
		info: types.Info{
			Uses: map[*ast.Ident]types.Object{}, Types: map[ast.Expr]types.TypeAndValue{},
		},
	}
	p.imports = importer.ForCompiler(p.fset, "gc", func(path string) (io.ReadCloser, error) {
		if exports[path] == "" {
			return nil, fmt.Errorf("no export data of %s", path)
		}
		return os.Open(exports[path])
	})
	for _, base := range own.GoFiles {
		text, err := os.ReadFile(filepath.Join(own.Dir, base))
		if err != nil {
			return nil, err
		}
		p.sources = append(p.sources, source{path: strings.TrimPrefix(p.name+"/"+base, "./"), text: text})
	}
	files, err := p.parse()
	if err != nil {
		return nil, err
	}
	for n := range p.sources {
		p.sources[n].file = files[n]
	}
	_, err = (&types.Config{Importer: p.imports}).Check(p.path, p.fset, files, &p.info)
	return p, err
}

// parse parses the texts of the package's sources.
func (p *pkg) parse() (files []*ast.File, err error) {
	for _, s := range p.sources {
		f, err := parser.ParseFile(p.fset, s.path, s.text, parser.SkipObjectResolution)
		if err != nil {
			return nil, err
		}
		files = append(files, f)
	}
	return files, nil
}
