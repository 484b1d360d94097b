package outside

import (
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"example.com/keyorder/examples/web"
)

// webFolder writes the files that another app puts on its server.
func webFolder(t *testing.T) string {
	t.Helper()
	files, err := web.Files(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	for _, f := range files {
		if err := os.WriteFile(filepath.Join(dir, f.Name), f.Body, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// run runs a program that is to succeed.
func run(t *testing.T, env []string, name string, args ...string) {
	t.Helper()
	c := exec.Command(name, args...)
	c.Env = append(os.Environ(), env...)
	if out, err := c.CombinedOutput(); err != nil {
		t.Errorf("%s %s: %v\n%s", name, strings.Join(args, " "), err, out)
	}
}

// The modules do in Node what they do in a browser.
func TestWebInNode(t *testing.T) {
	t.Parallel()
	dir := webFolder(t)
	if err := os.WriteFile(filepath.Join(dir, "package.json"), []byte(`{"type":"module"}`), 0o644); err != nil {
		t.Fatal(err)
	}
	run(t, []string{"KEYORDER_WEB=file://" + dir}, "node", "--test", "web/")
}

// The types are right, and find mistakes.
func TestWebTypes(t *testing.T) {
	t.Parallel()
	run(t, nil, "node_modules/.bin/tsc", "-p", "web")
}

// The program's own tests, run as it is built for the browser.
func TestWebProgram(t *testing.T) {
	t.Parallel()
	root, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Fatal(err)
	}
	run(t, []string{"GOOS=js", "GOARCH=wasm"}, "go", "test", "-exec", filepath.Join(strings.TrimSpace(string(root)), "lib", "wasm", "go_js_wasm_exec"), "example.com/keyorder/examples/web/app")
}

// A page of another app: ten lines, and the library is in it.
const strange = `<!doctype html>
<html lang="en">
<meta charset="utf-8">
<title>The day's tune</title>
<script type="module" src="keyorder/drill.js"></script>
<h1>The day's tune</h1>
<keyorder-drill figure="3 5 1 6" order="m3" instrument="trumpet" tempo="240" rest="0"></keyorder-drill>
<keyorder-drill figure="{2 m7} 2 4 {5 7} 5:2" order="P4"></keyorder-drill>
<keyorder-drill figure="3 5 nine" order="m3"></keyorder-drill>
`

func TestWebInAnotherApp(t *testing.T) {
	t.Parallel() // it mostly waits
	files := http.NewServeMux()
	files.Handle("/keyorder/", http.StripPrefix("/keyorder/", http.FileServer(http.Dir(webFolder(t)))))
	files.HandleFunc("/", func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Content-Security-Policy", "default-src 'none'; script-src 'self' 'wasm-unsafe-eval'; connect-src 'self'; img-src data:")
		fmt.Fprint(w, strange)
	})
	s := httptest.NewServer(files)
	t.Cleanup(s.Close)
	b := openTab(t, openBrowser(t), 800, "light")
	do(t, b.ctx, chromedp.Navigate(s.URL+"/"))
	within := func(n int, rest string) string {
		return fmt.Sprintf("document.querySelectorAll('keyorder-drill')[%d].shadowRoot%s", n, rest)
	}
	b.wait(within(2, "?.querySelector('.error')"), 20*time.Second)
	b.wait(within(0, "?.querySelector('svg')")+" && "+within(1, "?.querySelector('svg')"), 5*time.Second)
	if said := eval[string](b, within(2, ".textContent")); !strings.Contains(said, "Figure: ") || !strings.Contains(said, "nine") {
		t.Errorf("the third drill says %q", said)
	}
	keys := eval[string](b, "[..."+within(0, ".querySelectorAll('span')")+"].map((s) => s.textContent).join(' ')")
	if keys != "C E♭ G♭ A C D♭ E G B♭ D♭ D F A♭ B D" {
		t.Errorf("the keys are %s", keys)
	}
	do(t, b.ctx, chromedp.Evaluate[chromedp.Void]("void "+within(0, ".querySelector('button').click()")))
	b.wait(within(0, ".querySelector('.now').textContent")+" === 'E♭'", 10*time.Second)
	if word := eval[string](b, within(0, ".querySelector('button').textContent")); word != "Stop" {
		t.Errorf("while it plays the button says %q", word)
	}
	if playing := eval[string](b, within(1, ".querySelector('button').textContent")); playing != "Play" {
		t.Errorf("the other drill's button says %q", playing)
	}
	do(t, b.ctx, chromedp.Evaluate[chromedp.Void]("void "+within(0, ".querySelector('button').click()")))
	b.wait(within(0, ".querySelector('button').textContent")+" === 'Play'", time.Second)
	// Taken out of the page, it is silent and its session is closed.
	if closed := eval[bool](b, "(() => { const d = document.querySelector('keyorder-drill'), s = d.session; d.remove(); try { s.answer(0); return false; } catch { return true; } })()"); !closed {
		t.Error("a drill that is removed stays open")
	}
	b.quiet()
}
