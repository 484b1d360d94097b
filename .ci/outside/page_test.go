package outside

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"github.com/chromedp/cdproto/browser"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"example.com/keyorder/cycle"
	"example.com/keyorder/examples/web/form/formtest"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/practice"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
)

const pagePackage = "example.com/keyorder/examples/page"

// A tab is a tab of a browser with the page in it.
type tab struct {
	t        *testing.T
	ctx      context.Context
	console  <-chan string // what should not have been said there
	requests func() []string
	asked    *atomic.Int32 // how often the page asked whether to leave it; the answer is yes
}

// openBrowser starts a browser of its own with a new profile.
func openBrowser(t *testing.T, more ...chromedp.ExecAllocatorOption) context.Context {
	t.Helper()
	path, err := exec.LookPath("chromium-headless-shell")
	if err != nil {
		t.Fatalf("the browser is missing: %v", err)
	}
	ctx, cancel := chromedp.NewExecAllocator(context.Background(), append(append(chromedp.DefaultExecAllocatorOptions[:], more...),
		chromedp.ExecPath(path), chromedp.UserDataDir(t.TempDir()), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-background-networking", true), chromedp.Flag("disable-component-update", true),
		chromedp.Flag("disable-sync", true), chromedp.Flag("autoplay-policy", "no-user-gesture-required"))...)
	t.Cleanup(cancel)
	ctx, cancel = chromedp.NewContext(ctx)
	t.Cleanup(cancel)
	do(t, ctx, chromedp.Navigate("about:blank"))
	return ctx
}

func do(t *testing.T, ctx context.Context, steps ...chromedp.Action[chromedp.Void]) {
	t.Helper()
	if err := chromedp.Do(ctx, steps...); err != nil {
		t.Fatal(err)
	}
}

// openTab opens a tab of a width, in light or dark.
func openTab(t *testing.T, parent context.Context, width int64, scheme string) *tab {
	t.Helper()
	ctx, cancel := chromedp.NewContext(parent)
	t.Cleanup(cancel)
	do(t, ctx, chromedp.EmulateViewport(width, 800))
	if _, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}},
	}); err != nil {
		t.Fatal(err)
	}
	said := make(chan string, 100)
	messages := chromedp.Console(ctx)
	go func() {
		for m, err := range messages {
			if err != nil {
				return
			}
			select {
			case said <- m.String() + " " + m.URL:
			default:
			}
		}
	}()
	var mu sync.Mutex
	var urls []string
	var asked atomic.Int32
	if err := chromedp.Listen(ctx, func(e any) {
		switch e := e.(type) {
		case *network.EventRequestWillBeSent:
			mu.Lock()
			urls = append(urls, e.Request.URL)
			mu.Unlock()
		case *page.EventJavascriptDialogOpening:
			if e.Type == page.DialogTypeBeforeunload {
				asked.Add(1)
			}
			go chromedp.Call(ctx, page.HandleJavaScriptDialog, page.HandleJavaScriptDialogParams{Accept: true})
		}
	}); err != nil {
		t.Fatal(err)
	}
	return &tab{t, ctx, said, func() []string { mu.Lock(); defer mu.Unlock(); return slices.Clone(urls) }, &asked}
}

// load opens an address and waits until the page's program has answered.
func (b *tab) load(address string) {
	b.t.Helper()
	do(b.t, b.ctx, chromedp.Navigate("about:blank"), chromedp.Navigate(address))
	b.wait("window.practiceRecord && practiceRecord.planned > 0", 20*time.Second)
}

// wait waits until an expression is true.
func (b *tab) wait(expression string, limit time.Duration) {
	b.t.Helper()
	for end := time.Now().Add(limit); time.Now().Before(end); time.Sleep(20 * time.Millisecond) {
		if eval[bool](b, "!!("+expression+")") {
			return
		}
	}
	b.t.Fatalf("after %v it is not so that %s; the page says %q", limit, expression, eval[string](b, "document.body.innerText"))
}

func eval[T any](b *tab, expression string) T {
	b.t.Helper()
	v, err := chromedp.Run(b.ctx, chromedp.Evaluate[T](expression, chromedp.EvalAwaitPromise))
	if err != nil {
		b.t.Fatalf("%.200s: %v", expression, err)
	}
	return v
}

// quote writes a text as JavaScript does.
func quote(t *testing.T, text string) string {
	t.Helper()
	b, err := json.Marshal(text)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// typed types a setting in place of what stands there.
func (b *tab) typed(field, text string) {
	b.t.Helper()
	eval[chromedp.Void](b, fmt.Sprintf("document.getElementById('field-%s').select()", field))
	do(b.t, b.ctx, chromedp.SendKeys(chromedp.CSS("#field-"+field), text+"\t"))
}

func (b *tab) press(key string) {
	b.t.Helper()
	do(b.t, b.ctx, chromedp.KeyEvent(key))
}

// quiet fails if the browser complained.
func (b *tab) quiet() {
	b.t.Helper()
	for {
		select {
		case m := <-b.console:
			b.t.Errorf("the console says %s", m)
		default:
			return
		}
	}
}

// A server is the page's own program at work.
type server struct {
	address string
	stop    func()
}

// serve runs the program, as its user does.
func serve(t *testing.T) server {
	t.Helper()
	bin := filepath.Join(t.TempDir(), "page")
	if out, err := exec.Command("go", "build", "-o", bin, pagePackage).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	cmd := exec.Command(bin, "-port", "0")
	var complaint bytes.Buffer
	cmd.Stderr = &complaint
	out, err := cmd.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	stop := sync.OnceFunc(func() {
		cmd.Process.Signal(os.Interrupt)
		if err := cmd.Wait(); err != nil {
			t.Errorf("interrupted, the program ends with %v\n%s", err, complaint.String())
		}
	})
	t.Cleanup(stop)
	line, err := bufio.NewReader(out).ReadString('\n')
	address := regexp.MustCompile(`http://127\.0\.0\.1:\d+/`).FindString(line)
	if err != nil || address == "" {
		t.Fatalf("the program says %q, %v\n%s", line, err, complaint.String())
	}
	return server{address, stop}
}

// write writes the page by -out into written, once for all tests.
var (
	written string
	write   = sync.OnceValue(func() (err error) {
		if written, err = os.MkdirTemp("", "keyorder-page-*"); err != nil {
			return err
		}
		if out, err := exec.Command("go", "run", pagePackage, "-out", written).CombinedOutput(); err != nil {
			return fmt.Errorf("%w\n%s", err, out)
		}
		return nil
	})
)

// static serves the page as it is written, by a server that knows nothing of it.
func static(t *testing.T) string {
	t.Helper()
	if err := write(); err != nil {
		t.Fatal(err)
	}
	s := httptest.NewServer(http.FileServer(http.Dir(written)))
	t.Cleanup(s.Close)
	return s.URL + "/"
}

func TestMain(m *testing.M) {
	code := m.Run()
	if written != "" {
		os.RemoveAll(written)
	}
	os.Exit(code)
}

// thirty is what the session plays: two orders of three cycles of four keys,
// each cycle back to its first key. It is worked out here from the theory,
// without the page's own package.
func thirty(t *testing.T) (routes []cycle.Route, names []string) {
	t.Helper()
	keys := figure.Major.Tonics()
	for _, step := range []interval.Interval{interval.MinorThird, -interval.MinorThird} {
		r := cycle.By(step).Closed()
		routes = append(routes, r)
		for _, k := range r.Run() {
			names = append(names, keys[k].String())
		}
	}
	if len(names) != 30 {
		t.Fatalf("%d statements, not 30", len(names))
	}
	return routes, names
}

// says is what the player says of each statement: every fifth of the first
// order is not clean; of the second, the last five are not judged.
func says(n int) byte {
	switch {
	case n >= 25:
		return '-'
	case n%5 == 3:
		return 'n'
	}
	return 'c'
}

// TestWholeSessions plays sessions from beginning to end at once, to which all else
// waits: they measure time, or hear what plays at its own pace.
func TestWholeSessions(t *testing.T) {
	for _, s := range []struct {
		name string
		play func(*testing.T)
	}{
		{"faults", earsHearThreeFaults}, {"page", pageWholeSession}, {"idea", earsIdea},
		{"come back", earsComeBack}, {"hidden", stageHidden}, {"suspended sound", stageSuspendedSound},
	} {
		t.Run(s.name, func(t *testing.T) {
			t.Parallel()
			s.play(t)
		})
	}
}

func pageWholeSession(t *testing.T) {
	s := serve(t)
	b := openTab(t, openBrowser(t), 1440, "light")
	downloads := t.TempDir()
	if _, err := chromedp.Call(b.ctx, browser.SetDownloadBehavior, browser.SetDownloadBehaviorParams{
		Behavior: browser.SetDownloadBehaviorBehaviorAllow, DownloadPath: downloads,
	}); err != nil {
		t.Fatal(err)
	}
	b.load(s.address)
	t.Logf("ready %.0f ms after the navigation began", eval[float64](b, "practiceRecord.ready"))
	b.wait("navigator.serviceWorker.controller", 20*time.Second)
	s.stop() // once loaded, the page needs no server

	eval[chromedp.Void](b, "document.getElementById('more').open = true")
	b.typed("figure", "1 3")
	b.typed("meter", "2/4")
	b.typed("tempo", "240")
	b.typed("order", "m3 -m3")
	b.typed("instrument", "trumpet in Bb")
	link, err := url.ParseQuery(eval[string](b, "location.hash.slice(1)"))
	if err != nil || link.Encode() != (url.Values{"figure": {"1 3"}, "meter": {"2/4"}, "tempo": {"240"}, "order": {"m3 -m3"}, "instrument": {"trumpet in Bb"}}).Encode() {
		t.Errorf("the address has the settings %v, %v", link, err)
	}
	eval[chromedp.Void](b, `(() => {
		window.seen = [];
		const now = document.getElementById("now");
		new MutationObserver(() => {
			const key = now.firstChild ? now.firstChild.textContent : "";
			if (key && (!seen.length || seen.at(-1)[1] !== key)) seen.push([performance.now(), key]);
		}).observe(now, {childList: true});
	})()`)
	b.press(kb.PageDown)
	routes, names := thirty(t)
	for n, name := range names {
		b.wait(fmt.Sprintf("practiceRecord.keys.length > %d && document.querySelector('#clean .word').textContent === %q && !document.getElementById('clean').disabled", n, name+" clean"), 5*time.Second)
		switch says(n) {
		case 'c':
			b.press(kb.ArrowRight)
		case 'n':
			b.press(kb.ArrowLeft)
		}
	}
	b.wait("!document.getElementById('result').hidden", 5*time.Second)

	b.picture("session-result")
	checkTimes(t, b, names)
	checkTable(t, b, routes)
	checkDownload(t, b, downloads, routes)
	b.quiet()
	for _, asked := range b.requests() {
		if !strings.HasPrefix(asked, s.address) && !regexp.MustCompile("^(about|data|blob):").MatchString(asked) {
			t.Errorf("the page asks for %s", asked)
		}
	}
}

// checkTimes checks the clicks and the keys on the screen against the tempo:
// 240 quarters a minute are four a second; a bar of 2/4 takes half a second, a
// statement with its bar of rest a second, a count-in of two bars too. In the
// last bar of rest nothing clicks.
func checkTimes(t *testing.T, b *tab, names []string) {
	t.Helper()
	var record struct {
		Start  float64
		Clicks []float64
		Keys   []struct {
			Key, How   string
			Due, Shown float64
		}
	}
	if err := json.Unmarshal([]byte(eval[string](b, "JSON.stringify(practiceRecord)")), &record); err != nil {
		t.Fatal(err)
	}
	// Each key comes on the screen in the rest or count-in before it.
	record.Keys = slices.DeleteFunc(record.Keys, func(k struct {
		Key, How   string
		Due, Shown float64
	}) bool {
		return k.How != "coming" && k.How != "count"
	})
	if len(record.Keys) == 31 && record.Keys[15].Key == record.Keys[16].Key {
		record.Keys = slices.Delete(record.Keys, 16, 17) // in the rest, and in the second count-in
	}
	if len(record.Clicks) != (30+2)*4-2 {
		t.Fatalf("%d clicks, not %d", len(record.Clicks), (30+2)*4-2)
	}
	worst := 0.0
	for n, at := range record.Clicks {
		worst = max(worst, math.Abs(at-record.Start-float64(n)*0.25))
	}
	if t.Logf("clicks: at most %.3f ms from the tempo", worst*1000); worst > 0.002 {
		t.Errorf("a click is scheduled %.3f ms from its time", worst*1000)
	}
	var shown []string
	var late, seenLate []float64
	var seen []struct {
		at  float64
		key string
	}
	for _, s := range eval[[][2]any](b, "seen") {
		seen = append(seen, struct {
			at  float64
			key string
		}{s[0].(float64), s[1].(string)})
	}
	if len(seen) != 30 || len(record.Keys) != 30 {
		t.Fatalf("%d keys were seen and %d recorded, not 30", len(seen), len(record.Keys))
	}
	// A key comes with the rest before it: half a bar after the entry before, or a
	// bar after a held return.
	at := func(n int) float64 {
		if n == 0 {
			return 0
		}
		due := float64(n) + 0.5
		if n%5 != 0 {
			due -= 0.25
		}
		if n > 15 {
			due++ // the second count-in
		}
		return due
	}
	for n, k := range record.Keys {
		due := at(n)
		shown = append(shown, seen[n].key)
		late = append(late, math.Abs(k.Shown-due))
		if n > 0 {
			seenLate = append(seenLate, seen[n].at/1000-due)
		}
	}
	if !slices.Equal(shown, names) {
		t.Errorf("the keys on the screen are %v; the orders have %v", shown, names)
	}
	// The page's clock began at another time, which the median tells.
	slices.Sort(seenLate)
	apart := seenLate[14]
	for n := range seenLate {
		seenLate[n] = math.Abs(seenLate[n] - apart)
	}
	slices.Sort(late)
	slices.Sort(seenLate)
	t.Logf("keys: median %.1f ms from their beat by the audio clock, %.1f ms by the page's; at most %.1f and %.1f ms", late[15]*1000, seenLate[14]*1000, late[29]*1000, seenLate[28]*1000)
	if late[15] > 0.050 || seenLate[14] > 0.050 {
		t.Errorf("keys come %.1f and %.1f ms from their beat in the median", late[15]*1000, seenLate[14]*1000)
	}
}

// checkTable counts the moves by what was said and compares the table.
func checkTable(t *testing.T, b *tab, routes []cycle.Route) {
	t.Helper()
	var want [12][12]string
	n := 0
	for _, r := range routes {
		section, from := -1, pitch.Class(0)
		for s, to := range r.Run() {
			if s == section {
				want[from][to] = map[byte]string{'c': "✓", 'n': "×", '-': "·"}[says(n)]
			}
			section, from = s, to
			n++
		}
	}
	got := eval[[][]string](b, "[...document.querySelectorAll('#table tbody tr')].map(r => [...r.querySelectorAll('td')].map(c => c.firstChild ? c.firstChild.textContent : ''))")
	if len(got) != 12 {
		t.Fatalf("the table has %d rows", len(got))
	}
	for from := range want {
		if !slices.Equal(got[from], want[from][:]) {
			t.Errorf("row %d of the table is %q, not %q", from, got[from], want[from])
		}
	}
	if fresh := eval[string](b, "document.getElementById('fresh').textContent"); !strings.Contains(fresh, "half steps (m2), 12 moves") {
		t.Errorf("the order that fills most gaps: %q", fresh)
	}
}

// checkDownload reads the session that the page offers.
func checkDownload(t *testing.T, b *tab, dir string, routes []cycle.Route) {
	t.Helper()
	do(t, b.ctx, chromedp.Click(chromedp.CSS("#download")))
	path := filepath.Join(dir, "session.jsonl")
	for end := time.Now().Add(5 * time.Second); time.Now().Before(end); time.Sleep(50 * time.Millisecond) {
		if _, err := os.Stat(path); err == nil {
			break
		}
	}
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if saved := eval[string](b, "localStorage.getItem('keyorder practice log')"); saved != string(text) {
		t.Errorf("saved in the browser: %q; downloaded: %q", saved, text)
	}
	l, err := practice.Read(bytes.NewReader(text))
	if err != nil || l.Bad > 0 || len(l.Torn) > 0 || len(l.Entries) != 2 {
		t.Fatalf("the download is read as %+v, %v", l, err)
	}
	first, second := l.Entries[0], l.Entries[1]
	if !first.Route.Equal(routes[0]) || first.Played != 15 || first.Clean != 12 || len(first.FailedMoves) != 3 || first.Order != "m3" || !first.FirstTry {
		t.Errorf("the first order is logged as %+v", first)
	}
	judged, err := cycle.NewRoute(slices.Collect(routes[1].Sections())[:2]...)
	if err != nil {
		t.Fatal(err)
	}
	if !second.Route.Equal(judged) || second.Played != 10 || second.Clean != 8 || second.Order != "-m3" || second.FirstTry {
		t.Errorf("the second order is logged as %+v; the last cycle was not judged", second)
	}
	for _, e := range l.Entries {
		if e.Figure.Plain() != "1 3" || e.Instrument != "trumpet in B♭" || e.Tempo != 240 || e.Date != practice.DateOf(time.Now()) {
			t.Errorf("the log has %+v", e)
		}
	}
	out, err := exec.Command("go", "run", "example.com/keyorder/examples/today", "-log", filepath.Join(dir, "log"), "-done", "-from", path).CombinedOutput()
	if err != nil || !strings.Contains(string(out), "Recorded 2 entries") {
		t.Errorf("today -done says %q, %v", out, err)
	}
	// A log that another program tore stays as it is, and the session stands on
	// lines of its own.
	eval[chromedp.Void](b, "localStorage.setItem('keyorder practice log', '{\"version\":1')")
	eval[chromedp.Void](b, "document.querySelector('#list button').click()")
	for range 2 { // and once more, to what was said
		eval[chromedp.Void](b, "document.querySelector('#list button').click()")
	}
	saved := eval[string](b, "localStorage.getItem('keyorder practice log')")
	if !strings.HasPrefix(saved, "{\"version\":1\n{") {
		t.Errorf("after a torn line there is %q", saved)
	}
	if l, err := practice.Read(strings.NewReader(saved)); err != nil || len(l.Entries) != 2 || l.Bad != 1 {
		t.Errorf("after a torn line the log has %+v, %v", l, err)
	}
	// What was said can be changed afterwards: the first key is now not clean.
	eval[chromedp.Void](b, "document.querySelector('#list button').click()")
	l, err = practice.Read(strings.NewReader(eval[string](b, "localStorage.getItem('keyorder practice log')")))
	if err != nil || len(l.Entries) != 2 || l.Entries[0].Clean != 11 || l.Entries[1].Clean != 8 {
		t.Errorf("with one key less clean the log has %+v, %v", l.Entries, err)
	}
}

// axe returns the rules of accessibility, to be run in the page.
func axe(t *testing.T) string {
	t.Helper()
	text, err := os.ReadFile("node_modules/axe-core/axe.min.js")
	if err != nil {
		t.Fatalf("the accessibility rules are missing: %v; npm ci in .ci/outside fetches them", err)
	}
	return string(text)
}

// fits looks at the page as it stands: nothing sticks out sideways, no word is
// broken, unless at its hyphen.
func (b *tab) fits(state string) {
	b.t.Helper()
	if over := eval[float64](b, "document.documentElement.scrollWidth - document.documentElement.clientWidth"); over > 0 {
		b.t.Errorf("%s: the page is %v px too wide", state, over)
	}
	for _, word := range eval[[]string](b, `(() => {
		const found = [], texts = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
		while (texts.nextNode()) {
			const node = texts.currentNode, holder = node.parentElement;
			if (!holder.checkVisibility() || holder.closest("svg, option, .unseen")) continue;
			const room = holder.closest("section, form, body, .scroll").getBoundingClientRect();
			const open = holder.closest(".scroll");
			for (const m of node.data.matchAll(/[^\s-]+-?/g)) {
				const range = document.createRange();
				range.setStart(node, m.index);
				range.setEnd(node, m.index + m[0].length);
				const boxes = [...range.getClientRects()].filter((r) => r.width > 0);
				if (boxes.some((r) => r.top > boxes[0].bottom - 1)) found.push(m[0] + " is broken");
				if (!open && boxes.some((r) => r.left < room.left || r.right > room.right)) found.push(m[0] + " sticks out");
			}
		}
		return found;
	})()`) {
		b.t.Errorf("%s: %s", state, word)
	}
}

// check looks at the page as it stands: it fits, and no rule of accessibility
// is broken.
func (b *tab) check(state, rules string) {
	b.t.Helper()
	b.fits(state)
	type violation struct {
		ID    string `json:"id"`
		Nodes []struct {
			HTML    string `json:"html"`
			Summary string `json:"failureSummary"`
		} `json:"nodes"`
	}
	eval[chromedp.Void](b, "void (window.axe || (() => {"+rules+"})())")
	text := eval[string](b, "axe.run(document).then(r => JSON.stringify(r.violations.map(v => ({id: v.id, nodes: v.nodes.map(n => ({html: n.html, failureSummary: n.failureSummary}))}))))")
	var found []violation
	if err := json.Unmarshal([]byte(text), &found); err != nil {
		b.t.Fatal(err)
	}
	for _, v := range found {
		b.t.Errorf("%s: %s: %.500v", state, v.ID, v.Nodes)
	}
}

// picture keeps what the page looks like, where a folder is given for it.
func (b *tab) picture(name string) {
	dir := os.Getenv("PAGE_PICTURES")
	if dir == "" {
		return
	}
	png, err := chromedp.Run(b.ctx, chromedp.FullScreenshot(100))
	if err != nil {
		b.t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, name+".png"), png, 0o644); err != nil {
		b.t.Fatal(err)
	}
}

// TestPageFitsAndIsAccessible opens the page on a phone and on a desk, in light
// and dark, with usual text and with text of twice the size (WCAG 2.2, 1.4.4).
func TestPageFitsAndIsAccessible(t *testing.T) {
	t.Parallel() // it mostly waits
	address, rules := static(t), axe(t)
	for _, percent := range []int{100, 200} {
		pixels := 16 * percent / 100 // as the user of a browser sets it
		parent := openBrowser(t, chromedp.Flag("blink-settings", fmt.Sprintf("defaultFontSize=%d", pixels)))
		for _, size := range [][2]int64{{360, 740}, {1440, 900}} {
			for _, scheme := range []string{"light", "dark"} {
				if testing.Short() && ((scheme == "dark") != (size[0] < 400) || (percent == 100) != (size[0] < 400)) {
					continue // a quarter of them
				}
				name := fmt.Sprintf("%s-%d-%d", scheme, size[0], percent)
				b := openTab(t, parent, size[0], scheme)
				do(t, b.ctx, chromedp.EmulateViewport(size[0], size[1]))
				b.load(address + "#figure=3+5+1+6+in+dorian&order=-M2&instrument=trumpet&tempo=200")
				if summary := eval[string](b, "document.getElementById('summary').textContent"); summary != "Down by whole steps: 14 keys to play, 36 s." {
					t.Errorf("the link opens %q", summary)
				}
				if got := eval[string](b, "getComputedStyle(document.documentElement).fontSize"); got != fmt.Sprintf("%dpx", pixels) {
					t.Errorf("%s: the text is of %s", name, got)
				}
				b.check(name+" idle", rules)
				b.picture(name + "-idle")
				eval[chromedp.Void](b, "document.querySelectorAll('details').forEach((d) => { d.open = true; })")
				b.wait("document.getElementById('order-pictures').childElementCount === 11 && document.getElementById('order-others').childElementCount > 8", 5*time.Second)
				b.check(name+" all open", rules)
				b.picture(name + "-open")
				eval[chromedp.Void](b, "document.querySelectorAll('details').forEach((d) => { d.open = false; })")
				b.press(kb.PageDown)
				b.wait("document.getElementById('phase').textContent === 'count-in'", 20*time.Second)
				b.check(name+" count-in", rules)
				b.picture(name + "-count-in")
				b.wait("practiceRecord.keys.length > 1 && !document.getElementById('clean').disabled", 20*time.Second)
				b.press(kb.ArrowRight)
				b.press(kb.ArrowUp)
				b.check(name+" playing", rules)
				b.picture(name + "-playing")
				b.press("p")
				b.wait("!document.getElementById('held').hidden", 5*time.Second)
				b.check(name+" paused", rules)
				b.picture(name + "-paused")
				b.press(kb.Escape)
				b.wait("!document.getElementById('result').hidden", 5*time.Second)
				b.check(name+" result", rules)
				b.picture(name + "-result")
				eval[chromedp.Void](b, "localStorage.clear()")
				b.quiet()
			}
		}
	}
}

// TestPageVolume measures what the page sounds. Decibels are against full scale.
func TestPageVolume(t *testing.T) {
	t.Parallel() // it mostly waits
	b := openTab(t, openBrowser(t), 1440, "light")
	address := static(t)
	begin := func(settings string) {
		t.Helper()
		b.load(address + "#tempo=300&" + settings)
		for _, caution := range practice.Cautions() {
			if !eval[bool](b, fmt.Sprintf("[...document.querySelectorAll('#sound li')].some((li) => li.textContent === %s && li.checkVisibility())", quote(t, caution))) {
				t.Errorf("beside the volume is no %q", caution)
			}
		}
		eval[chromedp.Void](b, `(() => {
			window.AudioContext = class extends AudioContext {
				get destination() {
					if (!window.outlet) {
						window.outlet = new AnalyserNode(this, {fftSize: 32768});
						outlet.connect(super.destination);
					}
					return outlet;
				}
			};
			window.peak = () => {
				const wave = new Float32Array(outlet.fftSize);
				outlet.getFloatTimeDomainData(wave);
				return wave.reduce((most, x) => Math.max(most, Math.abs(x)), 0);
			};
		})()`)
		b.press(" ")
		b.wait("practiceRecord.keys.length > 0", 20*time.Second)
	}
	peak := func() float64 { // of the last two thirds of a second
		time.Sleep(time.Second)
		return eval[float64](b, "peak()")
	}
	set := func(percent int) {
		eval[chromedp.Void](b, fmt.Sprintf("(() => { const v = document.getElementById('volume'); v.value = %d; v.dispatchEvent(new Event('input', {bubbles: true})); })()", percent))
	}
	decibels := func(peak float64) float64 { return 20 * math.Log10(peak) }

	begin("")
	first := decibels(peak())
	if t.Logf("the page starts with a click of %.1f dB", first); first < -22 || first > -14 {
		t.Error("it is to be heard beside a trumpet, and is not to be loud from the start")
	}
	var levels []float64
	for percent := 25; percent <= 100; percent += 25 {
		set(percent)
		levels = append(levels, decibels(peak()))
	}
	t.Logf("25, 50, 75 and 100 %%: %.1f dB", levels)
	for n := 1; n < len(levels); n++ {
		if step := levels[n] - levels[n-1]; math.Abs(step-10) > 0.5 {
			t.Errorf("a quarter of the way is %.1f dB, not 10", step)
		}
	}
	set(0)
	if p := peak(); p > 1e-4 {
		t.Errorf("at 0 %% the peak is %v", p)
	}
	b.press(kb.Escape) // or the page would offer to go on with it
	begin("figure=" + url.QueryEscape("1+2+3+4+5+6+7+8:8") + "&sound=model")
	set(100)
	most := 0.0
	for range 8 {
		most = max(most, peak())
	}
	if t.Logf("eight notes and the click at 100 %%: peak %.2f", most); most > 1 || most < 0.5 {
		t.Errorf("eight notes and the click at 100 %% have the peak %v", most)
	}
	b.quiet()
}

// pageSaid is what the page says of what it refuses, beside a field or above all.
const pageSaid = "[...document.querySelectorAll('#message, .wrong')].map((e) => e.textContent).join('')"

func TestPageRefusesHostileAddresses(t *testing.T) {
	t.Parallel() // it mostly waits
	b := openTab(t, openBrowser(t), 800, "light")
	address := static(t)
	for n, test := range []struct{ hash, want string }{
		{"figure=<img src=x onerror=hacked=1>", "Figure: "},
		{"figure=%3Cscript%3Ehacked%3D1%3C%2Fscript%3E", "Figure: "},
		{"instrument=%3Csvg%20onload%3Dhacked%3D1%3E", "Instrument: "},
		{"order=\"><iframe src='javascript:hacked=1'>", "Order of keys: "},
		{"order=javascript:hacked=1", "Order of keys: "},
		{"tempo=NaN", "Tempo"},
		{"tempo=-80", "Tempo"},
		{"tempo=1e2", "Tempo"},
		{"tempo=Infinity", "Tempo"},
		{"rest=-1", "Rest"},
		{"rest=99999999999999999999", "Rest"},
		{"meter=0/0", "Meter: "},
		{"meter=9999999999/4", "Meter: "},
		{"scale=%00%00", "Scale: "},
		{"sound=loud", "Sound"},
		{"range=all", "Range: "},
		{"first=H", "First key: "},
		{"colour=red", "There is no setting"},
		{"__proto__=x", "There is no setting"},
		{"constructor=x&toString=y", "There is no setting"},
		{"tempo=80&tempo=90", "twice"},
		{"figure=" + strings.Repeat("1,", 1500), "Figure: "},
		{"figure=" + strings.Repeat("%FF", 1000), "Figure: "},
		{"figure=1:99999999999", "Figure: "},
		{"order=" + strings.Repeat("all ", 500), "Order of keys: "},
		{"figure=" + strings.Repeat("1", 2_000_000), "The address holds 2000007 characters"},
		{"instrument=piano C9-C1", "Instrument: "},
		{"figure=1 99", "not fit"},
		{"keys=Bb&first=C", "First key: "},
		{"keys=H I J", "Only these keys: "},
		{"keys=Bb x999999999999999999999", "Only these keys: "},
		{"keys=" + strings.Repeat("C ", 1900), "at most"},
		{"keys=<b onclick=hacked=1>C</b>", "Only these keys: "},
		{"figure=C <img src=x onerror=hacked=1>", "Figure: "},
		{"figure=C H", "Figure: "},
		{"bass=walking", "Chords: "},
		{"bass=tuba", "Bass: "},
		{"chords=${hacked=1}", "Chords: "},
		{"drone=yes", "Drone: "},
		{"between=__proto__", "The band in the rests: "},
		{"free=1e3", "Bars of your own after each key: "},
		{"free=-1", "Bars of your own after each key: "},
	} {
		if n < 4 {
			b.load(address + "#" + test.hash)
		} else { // as when a link to another drill is followed
			eval[chromedp.Void](b, fmt.Sprintf("new Promise(r => { addEventListener('hashchange', () => r(), {once: true}); location.hash = %s })", quote(t, test.hash)))
		}
		name := fmt.Sprintf("#%.60s", test.hash)
		said := eval[string](b, pageSaid)
		if !strings.Contains(said, test.want) || len([]rune(said)) > 600 || strings.Count(said, "\n") > 0 || !strings.HasSuffix(said, ".") {
			t.Errorf("%s: the page says %q, not one sentence with %q", name, said, test.want)
		}
		if eval[bool](b, "'hacked' in window") || eval[int](b, "document.querySelectorAll('main img, main script, main iframe, main svg[onload], [onerror]').length") > 0 {
			t.Errorf("%s: something in the address came alive", name)
		}
		t.Logf("%s: %s", name, said)
	}
	b.quiet()
}

// TestPageCrawl opens links to random drills and plays some of them. The page
// shows each that is valid and says no word of a script's own.
func TestPageCrawl(t *testing.T) {
	t.Parallel() // it mostly waits
	b := openTab(t, openBrowser(t), 360, "light")
	b.load(static(t))
	random := rand.New(rand.NewPCG(16, 300))
	own := regexp.MustCompile(`\b(undefined|NaN|null|Infinity)\b|\[object`)
	look := func(link string) {
		t.Helper()
		if word := own.FindString(eval[string](b, "document.querySelector('main').outerHTML")); word != "" {
			t.Fatalf("%s: the page says %s: %q", link, word, eval[string](b, "document.querySelector('main').innerText"))
		}
	}
	many := 500
	if testing.Short() {
		many = 100
	}
	for valid := 0; valid < many; {
		link := url.Values{}
		for name, text := range formtest.Settings(random.IntN) {
			link.Set(name, text)
		}
		played := valid%100 == 0
		if played {
			link.Set("tempo", "500")
		}
		message := eval[string](b, fmt.Sprintf(`new Promise((r) => {
			addEventListener("hashchange", () => r(`+pageSaid+`), {once: true});
			location.hash = %s;
		})`, quote(t, link.Encode())))
		staff := eval[bool](b, "(() => { const s = document.querySelector('#first-staff svg'); return !!s && s.checkVisibility(); })()")
		if look(link.Encode()); staff != (message == "") {
			t.Fatalf("%s: the message is %q, a staff is seen: %v", link.Encode(), message, staff)
		}
		if message != "" {
			continue
		}
		valid++
		if !played {
			continue
		}
		b.press(" ")
		b.wait("!document.getElementById('stage').hidden && document.querySelector('#clean .word').textContent && !document.getElementById('clean').disabled", 30*time.Second)
		b.press(kb.ArrowRight)
		b.press(kb.ArrowUp)
		b.wait("document.querySelector('#answer-staff svg')", 5*time.Second)
		look(link.Encode())
		b.press(kb.Escape)
		b.wait("!document.getElementById('result').hidden && document.querySelectorAll('#table tbody tr').length === 12", 5*time.Second)
		look(link.Encode())
	}
	b.quiet()
}

// TestPageDrillsQuickly measures how long the page's program works on a drill,
// the dearest that the page takes among them.
func TestPageDrillsQuickly(t *testing.T) {
	b := openTab(t, openBrowser(t), 800, "light")
	b.load(static(t))
	long := strings.TrimSpace(strings.Repeat("1 3 2 5 ", 16))
	for _, test := range []struct{ name, settings string }{
		{"one order", `{}`},
		{"one order, the answer", `{"sound":"answer","instrument":"trumpet"}`},
		{"all 132 moves in one run", `{"order":"everymove"}`},
		{"the eleven orders", `{"order":"all"}`},
		{"the eleven orders, 64 notes", `{"order":"all","figure":"` + long + ` by 1/16"}`},
		{"the eleven orders, 64 notes, the answer", `{"order":"all","sound":"answer","figure":"` + long + ` by 1/16"}`},
	} {
		times := eval[[]float64](b, fmt.Sprintf(`(async (settings, library) => (library = await (await import(new URL("keyorder.js", location))).load(), Array.from({length: 15}, () => {
			const begun = performance.now();
			library.open(settings).close();
			return performance.now() - begun;
		})))(JSON.parse(%q))`, test.settings))
		slices.Sort(times)
		t.Logf("%s: %.1f ms in the median, %.1f at best", test.name, times[7], times[0])
		if times[0] > 100 {
			t.Errorf("%s: the plan takes %.1f ms at best", test.name, times[0])
		}
	}
}
