// Package web makes the library ready for a browser: the program, built for
// WebAssembly by the Go toolchain that is there, and small ES modules around it
// that any page can import.
//
//	keyorder.js   loads the program; sessions as objects, errors as values
//	player.js     plays a plan on the audio clock
//	listener.js   hears a microphone or a MIDI instrument, apart from the page
//	drill.js      the element <keyorder-drill>: one drill in any page
//
// Each has its types beside it (.d.ts). Put the files into one folder of a web
// server, and a page shows and plays a drill with
//
//	<script type="module" src="keyorder/drill.js"></script>
//	<keyorder-drill figure="3 5 1 6" order="m3" instrument="trumpet" tempo="96"></keyorder-drill>
//
// The program of examples/page is the first user; with -web it writes these files
// for others. README.md here says the rest.
package web

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
	"sync"
)

//go:embed keyorder.js keyorder.d.ts player.js player.d.ts drill.js drill.d.ts
//go:embed listener.js listener.d.ts listen-worker.js listen-worklet.js
var modules embed.FS

// The files that are not written here.
const (
	Program = "keyorder.wasm"
	Ear     = "ear.wasm"     // the program that listens, loaded where it is asked for
	glue    = "wasm_exec.js" // the toolchain's own; it goes with the compiler
	source  = "example.com/keyorder/examples/web/"
)

// A File is a file to be served.
type File struct {
	Name, Kind string // Kind is its media type
	Body       []byte
	Packed     []byte // the body by gzip, where that is worth it
}

// Files returns the files, the programs built anew.
func Files(ctx context.Context) ([]File, error) {
	files, err := Embedded(modules, ".")
	if err != nil {
		return nil, err
	}
	js, err := runtimeScript(ctx)
	if err != nil {
		return nil, err
	}
	files = append(files, File{Name: glue, Kind: kind(glue), Body: js})
	programs, err := compile(ctx)
	return append(files, programs...), err
}

// Embedded returns the files of a folder of an embed.FS.
func Embedded(from embed.FS, folder string) ([]File, error) {
	entries, err := from.ReadDir(folder)
	if err != nil {
		return nil, err
	}
	var files []File
	for _, e := range entries {
		body, err := from.ReadFile(path.Join(folder, e.Name()))
		if err != nil {
			return nil, err
		}
		files = append(files, File{Name: e.Name(), Kind: kind(e.Name()), Body: body})
	}
	return files, nil
}

func kind(name string) string {
	switch path.Ext(name) {
	case ".js":
		return "text/javascript; charset=utf-8"
	case ".ts":
		return "text/plain; charset=utf-8"
	case ".wasm":
		return "application/wasm"
	case ".webmanifest":
		return "application/manifest+json"
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

// compile builds the programs, at once. Where the standard library's functions stand
// once and not where they are called, they are a twentieth smaller by brotli.
func compile(ctx context.Context) ([]File, error) {
	dir, err := os.MkdirTemp("", "keyorder-web-*")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	if _, err := goCommand(ctx, "build", "-buildvcs=false", "-trimpath", "-gcflags=std=-l", "-ldflags=-s -w", "-o", dir+string(filepath.Separator), source+"app", source+"ear"); err != nil {
		return nil, err
	}
	files := []File{{Name: Program, Kind: kind(Program)}, {Name: Ear, Kind: kind(Ear)}}
	var errs [2]error
	var packing sync.WaitGroup
	for n, built := range []string{"app", "ear"} {
		if files[n].Body, err = os.ReadFile(filepath.Join(dir, built)); err != nil {
			return nil, err
		}
		packing.Add(1)
		go func() {
			defer packing.Done()
			files[n].Packed, errs[n] = pack(files[n].Body)
		}()
	}
	packing.Wait()
	return files, errors.Join(errs[:]...)
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
		return nil, fmt.Errorf("the go command is needed to build for the browser: %w", err)
	}
	return out, nil
}

func pack(body []byte) ([]byte, error) {
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	if _, err := z.Write(body); err != nil {
		return nil, err
	}
	if err := z.Close(); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}
