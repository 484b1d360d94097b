package main

import (
	"bytes"
	"compress/gzip"
	"context"
	"io"
	"net"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"testing"
	"time"

	"example.com/keyorder/examples/web"
)

// built is the library for the browser, built once.
var built = sync.OnceValues(func() ([]web.File, error) { return web.Files(context.Background()) })

func library(context.Context) ([]web.File, error) { return built() }

func TestBadInput(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	for _, test := range []struct {
		args []string
		want string
	}{
		{[]string{"-port", "x"}, "-port"},
		{[]string{"-port", "-1"}, "0 to 65535"},
		{[]string{"-port", "65536"}, "0 to 65535"},
		{[]string{"-colour", "red"}, "-colour"},
		{[]string{"1 3 2 5"}, "is no flag"},
		{[]string{"-out", file}, "-out"},
		{[]string{"-out", filepath.Join(file, "below")}, "-out"},
		{[]string{"-web", file}, "-web"},
		{[]string{"-web", "a", "-out", "b"}, "write one of them"},
	} {
		var stdout, stderr bytes.Buffer
		if status := run(context.Background(), library, test.args, &stdout, &stderr); status != 2 {
			t.Errorf("page %q: status %d", test.args, status)
		}
		if text := stderr.String(); !strings.Contains(text, test.want) || strings.Count(text, "\n") != 1 || stdout.Len() > 0 {
			t.Errorf("page %q: %q and %q", test.args, stdout.String(), text)
		}
	}
	var stdout, stderr bytes.Buffer
	if status := run(context.Background(), library, []string{"-h"}, &stdout, &stderr); status != 0 || !strings.Contains(stderr.String(), "-out") {
		t.Errorf("page -h: status %d, %q", status, stderr.String())
	}
}

// TestOut writes the page and looks at its files: they are all that the page
// names, and the program is small enough for a phone.
func TestOut(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "new", "page")
	var stdout, stderr bytes.Buffer
	for range 2 { // the second time over the first
		if status := run(context.Background(), library, []string{"-out", dir}, &stdout, &stderr); status != 0 {
			t.Fatalf("status %d: %s", status, stderr.String())
		}
	}
	read := func(name string) []byte {
		t.Helper()
		b, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	wasm, packed := read(web.Program), read(web.Program+".gz")
	if !bytes.HasPrefix(wasm, []byte("\x00asm")) { // WebAssembly Core Specification, 5.5.16
		t.Errorf("the program begins with %q", wasm[:4])
	}
	if t.Logf("the program: %d bytes, %d compressed", len(wasm), len(packed)); len(wasm) >= 26<<18 || len(packed) >= 2<<20 {
		t.Error("the program is to be under 6.5 MiB, under 2 MiB compressed")
	}
	z, err := gzip.NewReader(bytes.NewReader(packed))
	if err != nil {
		t.Fatal(err)
	}
	if whole, err := io.ReadAll(z); err != nil || !bytes.Equal(whole, wasm) {
		t.Errorf("the compressed program is another, %v", err)
	}
	for _, m := range regexp.MustCompile(`(?:src|href)="([^"#]+)"`).FindAllSubmatch(read(index), -1) {
		if name := string(m[1]); name != "data:," {
			read(name)
		}
	}
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	modules := 0
	for _, e := range entries {
		name := e.Name()
		if strings.HasPrefix(name, ".") || !strings.Contains(stdout.String(), name) {
			t.Errorf("%s is left behind or not listed", name)
		}
		if ext := filepath.Ext(name); ext != ".html" && ext != ".js" && ext != ".css" || name == "wasm_exec.js" {
			continue
		}
		modules++
		text := bytes.ReplaceAll(read(name), []byte("http://www.w3.org/2000/svg"), nil) // a name, not an address
		for _, m := range regexp.MustCompile(`(?:from|import) "\./([^"]+)"`).FindAllSubmatch(text, -1) {
			read(string(m[1])) // what it imports is there
		}
		for _, bad := range []string{"http:", "https:", "innerHTML", "outerHTML", "insertAdjacentHTML", "document.write", "eval("} {
			if bytes.Contains(text, []byte(bad)) {
				t.Errorf("%s has %s", name, bad)
			}
		}
	}
	if len(entries) != 32 || modules < 15 {
		t.Errorf("%d files, %d of them modules", len(entries), modules)
	}
	if !bytes.Contains(read("keyorder.js"), []byte(`"`+web.Program+`"`)) {
		t.Errorf("keyorder.js does not load %s", web.Program)
	}
}

func TestHandler(t *testing.T) {
	s := httptest.NewServer(handler([]web.File{
		{Name: index, Kind: "text/html", Body: []byte("page")},
		{Name: web.Program, Kind: "application/wasm", Body: []byte("plain"), Packed: []byte("packed")},
	}))
	defer s.Close()
	for _, test := range []struct {
		method, path, accept string
		status               int
		body, kind, encoding string
	}{
		{"GET", "/", "", 200, "page", "text/html", ""},
		{"GET", "/index.html", "gzip", 200, "page", "text/html", ""},
		{"GET", "/" + web.Program, "br", 200, "plain", "application/wasm", ""},
		{"GET", "/" + web.Program, "gzip, br", 200, "packed", "application/wasm", "gzip"},
		{"HEAD", "/" + web.Program, "", 200, "", "application/wasm", ""},
		{"POST", "/", "", 405, "the page is only read\n", "", ""},
		{"GET", "/main.go", "", 404, "404 page not found\n", "", ""},
		{"GET", "/../main.go", "", 404, "404 page not found\n", "", ""},
	} {
		r, err := http.NewRequest(test.method, s.URL+test.path, nil)
		if err != nil {
			t.Fatal(err)
		}
		r.Header.Set("Accept-Encoding", test.accept)
		answer, err := http.DefaultTransport.RoundTrip(r)
		if err != nil {
			t.Fatal(err)
		}
		body, err := io.ReadAll(answer.Body)
		answer.Body.Close()
		switch {
		case err != nil:
			t.Errorf("%s %s: %s, %q, %v, %v: an error", test.method, test.path, answer.Status, body, answer.Header, err)
		case answer.StatusCode != test.status:
			t.Errorf("%s %s: %s, %q, %v, %v: want status %d", test.method, test.path, answer.Status, body, answer.Header, err, test.status)
		case string(body) != test.body:
			t.Errorf("%s %s: %s, %q, %v, %v: want %q", test.method, test.path, answer.Status, body, answer.Header, err, test.body)
		case answer.Header.Get("Content-Encoding") != test.encoding:
			t.Errorf("%s %s: %s, %q, %v, %v: want the encoding %q", test.method, test.path, answer.Status, body, answer.Header, err, test.encoding)
		case test.kind != "" && answer.Header.Get("Content-Type") != test.kind:
			t.Errorf("%s %s: %s, %q, %v, %v: want the type %q", test.method, test.path, answer.Status, body, answer.Header, err, test.kind)
		}
	}
}

// TestServe starts the program, reads its address and the page there, and
// interrupts it. The port that it is told is taken.
func TestServe(t *testing.T) {
	taken, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	defer taken.Close()
	_, port, err := net.SplitHostPort(taken.Addr().String())
	if err != nil {
		t.Fatal(err)
	}
	ctx, interrupt := context.WithCancel(context.Background())
	defer interrupt()
	out, in := io.Pipe()
	ended := make(chan int, 1)
	var stderr bytes.Buffer
	go func() {
		ended <- run(ctx, library, []string{"-port", port}, in, &stderr)
		in.Close()
	}()
	said := make([]byte, 200)
	n, err := out.Read(said)
	if err != nil {
		t.Fatalf("%v: %s", err, stderr.String())
	}
	address := regexp.MustCompile(`http://127\.0\.0\.1:(\d+)/`).FindStringSubmatch(string(said[:n]))
	if address == nil || address[1] == port {
		t.Fatalf("the program says %q, with port %s taken", said[:n], port)
	}
	answer, err := http.Get(address[0])
	if err != nil {
		t.Fatal(err)
	}
	html, err := io.ReadAll(answer.Body)
	answer.Body.Close()
	if err != nil || !bytes.Contains(html, []byte("<!doctype html>")) {
		t.Errorf("the page is %.60q, %v", html, err)
	}
	interrupt()
	select {
	case status := <-ended:
		if status != 0 {
			t.Errorf("interrupted: status %d, %s", status, stderr.String())
		}
	case <-time.After(10 * time.Second):
		t.Error("it does not stop")
	}
	if _, err := net.DialTimeout("tcp", strings.TrimSuffix(strings.TrimPrefix(address[0], "http://"), "/"), time.Second); err == nil {
		t.Error("it still listens")
	}
}

// Without the go command there is no page, and the program says so.
func TestWithoutGo(t *testing.T) {
	t.Setenv("PATH", t.TempDir())
	var stdout, stderr bytes.Buffer
	if status := run(context.Background(), web.Files, []string{"-port", "0"}, &stdout, &stderr); status != 1 || !strings.Contains(stderr.String(), "the go command is needed") {
		t.Errorf("status %d, %q", status, stderr.String())
	}
}

// TestWeb writes the library for other pages: nothing of this page is there.
func TestWeb(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "keyorder")
	var stdout, stderr bytes.Buffer
	if status := run(context.Background(), library, []string{"-web", dir}, &stdout, &stderr); status != 0 {
		t.Fatalf("status %d: %s", status, stderr.String())
	}
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, e := range entries {
		names = append(names, e.Name())
	}
	if got, want := strings.Join(names, " "), "drill.d.ts drill.js ear.wasm ear.wasm.gz keyorder.d.ts keyorder.js keyorder.wasm keyorder.wasm.gz listen-worker.js listen-worklet.js listener.d.ts listener.js player.d.ts player.js wasm_exec.js"; got != want {
		t.Errorf("there are %s, want %s", got, want)
	}
}
