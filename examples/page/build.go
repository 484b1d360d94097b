package main

import (
	"bytes"
	"compress/gzip"
	"context"
	"embed"
	"errors"
	"fmt"
	"mime"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"strings"
)

// site is the thin layer of HTML, style and script around the program.
//
//go:embed site
var site embed.FS

const (
	index   = "index.html"
	program = "keyorder.wasm"
	glue    = "wasm_exec.js" // the toolchain's own; it goes with the compiler
	app     = "example.com/keyorder/examples/page/app"
)

// A file is one of the files of the page.
type file struct {
	name, kind string
	body       []byte
	packed     []byte // the body by gzip, for the program only
}

// build makes the files of the page, the program among them.
func build(ctx context.Context) ([]file, error) {
	var files []file
	entries, err := site.ReadDir("site")
	if err != nil {
		return nil, err
	}
	for _, e := range entries {
		body, err := site.ReadFile("site/" + e.Name())
		if err != nil {
			return nil, err
		}
		files = append(files, file{name: e.Name(), kind: kind(e.Name()), body: body})
	}
	js, err := runtimeScript(ctx)
	if err != nil {
		return nil, err
	}
	wasm, err := compile(ctx)
	if err != nil {
		return nil, err
	}
	packed, err := pack(wasm)
	if err != nil {
		return nil, err
	}
	return append(files,
		file{name: glue, kind: kind(glue), body: js},
		file{name: program, kind: kind(program), body: wasm, packed: packed}), nil
}

func kind(name string) string {
	switch path.Ext(name) {
	case ".js":
		return "text/javascript; charset=utf-8"
	case ".wasm":
		return "application/wasm"
	}
	return mime.TypeByExtension(path.Ext(name))
}

// runtimeScript reads the script that runs Go programs in a browser from the
// toolchain.
func runtimeScript(ctx context.Context) ([]byte, error) {
	out, err := goCommand(ctx, "env", "GOROOT")
	if err != nil {
		return nil, err
	}
	root := strings.TrimSpace(string(out))
	for _, folder := range []string{"lib", "misc"} { // since Go 1.24, before
		if js, err := os.ReadFile(filepath.Join(root, folder, "wasm", glue)); err == nil {
			return js, nil
		}
	}
	return nil, fmt.Errorf("the Go toolchain in %s has no %s in lib/wasm or misc/wasm; install it whole", root, glue)
}

// compile builds the program.
func compile(ctx context.Context) ([]byte, error) {
	dir, err := os.MkdirTemp("", "keyorder-page-*")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	out := filepath.Join(dir, program)
	if _, err := goCommand(ctx, "build", "-buildvcs=false", "-trimpath", "-ldflags=-s -w", "-o", out, app); err != nil {
		return nil, err
	}
	return os.ReadFile(out)
}

// goCommand runs the go command for the browser's architecture.
func goCommand(ctx context.Context, args ...string) ([]byte, error) {
	c := exec.CommandContext(ctx, "go", args...)
	c.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0")
	out, err := c.Output()
	var failed *exec.ExitError
	if errors.As(err, &failed) {
		return nil, fmt.Errorf("go %s: %w: %s", args[0], err, bytes.TrimSpace(failed.Stderr))
	}
	if err != nil {
		return nil, fmt.Errorf("the go command is needed to build the page: %w", err)
	}
	return out, nil
}

func pack(body []byte) ([]byte, error) {
	var b bytes.Buffer
	z, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	if _, err := z.Write(body); err != nil {
		return nil, err
	}
	if err := z.Close(); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}
