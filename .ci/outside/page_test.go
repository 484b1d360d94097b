package outside

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
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
	"testing"
	"time"

	"github.com/chromedp/cdproto/browser"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"example.com/keyorder/cycle"
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
}

// openBrowser starts a browser of its own with a new profile.
func openBrowser(t *testing.T) context.Context {
	t.Helper()
	path, err := exec.LookPath("chromium")
	if err != nil {
		t.Fatalf("the browser is missing: %v", err)
	}
	ctx, cancel := chromedp.NewExecAllocator(context.Background(), append(chromedp.DefaultExecAllocatorOptions[:],
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
	if err := chromedp.Listen(ctx, func(e any) {
		if r, ok := e.(*network.EventRequestWillBeSent); ok {
			mu.Lock()
			urls = append(urls, r.Request.URL)
			mu.Unlock()
		}
	}); err != nil {
		t.Fatal(err)
	}
	return &tab{t, ctx, said, func() []string { mu.Lock(); defer mu.Unlock(); return slices.Clone(urls) }}
}

// load opens an address and waits until the page's program answers.
func (b *tab) load(address string) {
	b.t.Helper()
	do(b.t, b.ctx, chromedp.Navigate("about:blank"), chromedp.Navigate(address))
	b.wait("window.practiceRecord && practiceRecord.ready > 0", 20*time.Second)
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

// static serves the page as written by -out, by a server that knows nothing of
// it.
func static(t *testing.T) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "page")
	if out, err := exec.Command("go", "run", pagePackage, "-out", dir).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	s := httptest.NewServer(http.FileServer(http.Dir(dir)))
	t.Cleanup(s.Close)
	return s.URL + "/"
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

func TestPageWholeSession(t *testing.T) {
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
	s.stop() // once loaded, the page needs no server

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
		new MutationObserver(() => seen.push([performance.now(), now.firstChild.textContent])).observe(now, {childList: true});
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
// statement with its bar of rest a second, a count-in half a second.
func checkTimes(t *testing.T, b *tab, names []string) {
	t.Helper()
	var record struct {
		Start  float64
		Clicks []float64
		Keys   []struct {
			Key        string
			Due, Shown float64
		}
	}
	if err := json.Unmarshal([]byte(eval[string](b, "JSON.stringify(practiceRecord)")), &record); err != nil {
		t.Fatal(err)
	}
	if len(record.Clicks) != (30+1)*4 {
		t.Fatalf("%d clicks, not %d", len(record.Clicks), (30+1)*4)
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
	for n, k := range record.Keys {
		due := float64(n) + 0.5
		switch { // the first key of an order comes with its count-in
		case n == 0:
			due = 0
		case n == 15:
		case n > 15:
			due += 0.5
		}
		shown = append(shown, seen[n].key)
		late = append(late, math.Abs(k.Shown-record.Start-due))
		if n > 0 {
			seenLate = append(seenLate, math.Abs((seen[n].at-seen[1].at)/1000-(due-1.5)))
		}
	}
	if !slices.Equal(shown, names) {
		t.Errorf("the keys on the screen are %v; the orders have %v", shown, names)
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
	if !first.Route.Equal(routes[0]) || first.Statements != 15 || first.Clean != 12 || len(first.FailedMoves) != 3 || first.Order != "m3" || !first.FirstTry {
		t.Errorf("the first order is logged as %+v", first)
	}
	judged, err := cycle.NewRoute(slices.Collect(routes[1].Sections())[:2]...)
	if err != nil {
		t.Fatal(err)
	}
	if !second.Route.Equal(judged) || second.Statements != 10 || second.Clean != 8 || second.Order != "-m3" || second.FirstTry {
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

// check looks at the page as it stands: nothing sticks out sideways, no rule of
// accessibility is broken.
func (b *tab) check(state, rules string) {
	b.t.Helper()
	if over := eval[float64](b, "document.documentElement.scrollWidth - document.documentElement.clientWidth"); over > 0 {
		b.t.Errorf("%s: the page is %v px too wide", state, over)
	}
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

func TestPageFitsAndIsAccessible(t *testing.T) {
	t.Parallel()
	address, rules, parent := static(t), axe(t), openBrowser(t)
	for _, width := range []int64{360, 1440} {
		for _, scheme := range []string{"light", "dark"} {
			name := fmt.Sprintf("%s-%d", scheme, width)
			b := openTab(t, parent, width, scheme)
			b.load(address + "#figure=1+2+b3+5+in+dorian&order=-M2&instrument=trumpet&tempo=200")
			if summary := eval[string](b, "document.getElementById('summary').textContent"); summary != "Down by whole steps: 14 keys to play, 35 s." {
				t.Errorf("the link opens %q", summary)
			}
			b.check(name+" idle", rules)
			b.picture(name + "-idle")
			b.press(kb.PageDown)
			b.wait("practiceRecord.keys.length > 1 && !document.getElementById('clean').disabled", 20*time.Second)
			b.press(kb.ArrowRight)
			b.press(kb.ArrowUp)
			b.check(name+" playing", rules)
			b.picture(name + "-playing")
			b.press(kb.Escape)
			b.wait("!document.getElementById('result').hidden", 5*time.Second)
			b.check(name+" result", rules)
			b.picture(name + "-result")
			eval[chromedp.Void](b, "localStorage.clear()")
			b.quiet()
		}
	}
	// Text at twice the size still fits a phone.
	b := openTab(t, parent, 360, "light")
	b.load(address + "#order=-P4&show=after&tempo=240&instrument=trumpet")
	eval[chromedp.Void](b, "void (document.documentElement.style.fontSize = '200%')")
	fits := func(state string) {
		if over := eval[float64](b, "document.documentElement.scrollWidth - document.documentElement.clientWidth"); over > 0 {
			t.Errorf("%s with large text is %v px too wide", state, over)
		}
		b.picture("large-" + state)
	}
	fits("idle")
	b.press(" ")
	b.wait("practiceRecord.keys.length > 2 && !document.getElementById('answer').hidden", 20*time.Second)
	b.press(kb.ArrowRight)
	fits("playing")
	b.press(kb.Escape)
	b.wait("!document.getElementById('result').hidden", 5*time.Second)
	fits("result")
	b.quiet()
}

func TestPageRefusesHostileAddresses(t *testing.T) {
	t.Parallel()
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
	} {
		if n < 4 {
			b.load(address + "#" + test.hash)
		} else { // as when a link to another drill is followed
			eval[chromedp.Void](b, fmt.Sprintf("new Promise(r => { addEventListener('hashchange', () => r(), {once: true}); location.hash = %s })", quote(t, test.hash)))
		}
		name := fmt.Sprintf("#%.60s", test.hash)
		said := eval[string](b, "document.getElementById('message').textContent")
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
		times := eval[[]float64](b, fmt.Sprintf(`Array.from({length: 15}, () => {
			const begun = performance.now();
			const plan = JSON.parse(keyorder.plan(%q, ""));
			if (plan.error) throw new Error(plan.error.text);
			return performance.now() - begun;
		})`, test.settings))
		slices.Sort(times)
		t.Logf("%s: %.1f ms in the median, %.1f at best", test.name, times[7], times[0])
		if times[0] > 16 {
			t.Errorf("%s: the plan takes %.1f ms at best", test.name, times[0])
		}
	}
}
