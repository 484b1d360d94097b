package outside

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"net/http"
	"net/http/httptest"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/practice"
	"example.com/keyorder/interval"
)

// sizes are the screens that the stage is made for.
var sizes = [][2]int64{{360, 640}, {360, 740}, {740, 360}, {390, 844}, {768, 1024}, {1024, 768}, {1440, 900}}

// A box is what of the stage sticks out of the screen, or lies over something else.
const sticksOut = `(() => {
	const out = [];
	if (document.documentElement.scrollHeight > innerHeight + 1 || document.documentElement.scrollWidth > innerWidth + 1) out.push("the page scrolls");
	const shown = (e) => e.offsetParent && getComputedStyle(e).visibility !== "hidden" && e.textContent.trim() !== "";
	const areas = ["figure-line", "phase", "beats", "now", "said", "missed", "clean", "pause", "ask", "stop", "answer-notes"].map((i) => document.getElementById(i)).filter(shown);
	const boxes = areas.map((e) => {
		const range = document.createRange();
		range.selectNodeContents(e.querySelector(":scope > [aria-hidden]") || e);
		const r = e.localName === "button" ? e.getBoundingClientRect() : range.getBoundingClientRect();
		// Of the large letters only the ink counts, not the room of the line.
		const room = ["now", "beats"].includes(e.id) ? 0.15 * r.height : 0;
		return [e.id, { left: r.left, right: r.right, top: r.top + room, bottom: r.bottom - room, height: r.height - 2 * room }];
	});
	for (const [id, r] of boxes) if (r.left < -1 || r.top < -1 || r.right > innerWidth + 1 || r.bottom > innerHeight + 1) out.push(id + " sticks out: " + [r.left, r.top, r.right, r.bottom].map(Math.round));
	for (let a = 0; a < boxes.length; a++) for (let b = a + 1; b < boxes.length; b++) {
		const [i, p] = boxes[a], [j, q] = boxes[b];
		const w = Math.min(p.right, q.right) - Math.max(p.left, q.left), h = Math.min(p.bottom, q.bottom) - Math.max(p.top, q.top);
		if (w > 2 && h > 2 + 0.12 * Math.min(p.height, q.height)) out.push(i + " lies over " + j + " by " + Math.round(w) + "x" + Math.round(h));
	}
	return out;
})()`

// The stage needs no scrolling at any of the sizes, nor with text of twice the
// size, and the letter is as large as the screen allows.
func TestStageFits(t *testing.T) {
	t.Parallel() // it mostly waits
	s := serve(t)
	parent := openBrowser(t)
	for n, size := range sizes {
		for _, scale := range []float64{1, 2} {
			if testing.Short() && n%3 != int(scale)-1 {
				continue // a third of them
			}
			scheme := []string{"light", "dark"}[n%2]
			b := openTab(t, parent, size[0], scheme)
			do(t, b.ctx, chromedp.EmulateViewport(size[0], size[1]))
			if _, err := chromedp.Call(b.ctx, emulation.SetTouchEmulationEnabled, emulation.SetTouchEmulationEnabledParams{Enabled: true}); err != nil {
				t.Fatal(err)
			}
			b.load(s.address + "#figure=1:3+5+b4+2+3:2&order=m3&instrument=trumpet&tempo=120&sound=answer&first=Db")
			small := func() float64 {
				return eval[float64](b, "(() => { document.getElementById('stage').hidden = false; const s = Math.min(...['setting', 'pause', 'ask', 'clean'].map((id) => parseFloat(getComputedStyle(document.getElementById(id)).fontSize))); document.getElementById('stage').hidden = true; return s; })()")
			}
			if scale == 2 {
				before := small()
				eval[chromedp.Void](b, "document.documentElement.style.fontSize = '200%'")
				if after := small(); after < 1.15*before {
					t.Errorf("%v: with text of twice the size the small text has %.1f px, before %.1f", size, after, before)
				}
			}
			name := fmt.Sprintf("stage-%dx%d-%s-%.0f", size[0], size[1], scheme, scale*100)
			if scale == 1 {
				b.picture(name + "-idle")
			}
			b.press(kb.PageDown)
			for _, phase := range []string{"count-in", "you", "listen", "coming"} {
				b.wait(fmt.Sprintf("document.getElementById('phase').textContent === %q", phase), 20*time.Second)
				if phase == "you" && scale == 1 {
					time.Sleep(100 * time.Millisecond)
				}
				var out []string
				if err := json.Unmarshal([]byte(eval[string](b, "JSON.stringify("+sticksOut+")")), &out); err != nil {
					t.Fatal(err)
				}
				for _, o := range out {
					t.Errorf("%s, %s: %s", name, phase, o)
				}
				b.picture(name + "-" + phase)
				if phase == "you" {
					b.press(kb.PageUp)
				}
			}
			if size[0] == 1440 { // read from 1.5 m, where 190 px are 35 mm: count 15 mm, degrees 9 mm
				for id, want := range map[string]float64{"beats": 81, "degrees": 48} {
					if height := eval[float64](b, fmt.Sprintf("parseFloat(getComputedStyle(document.getElementById(%q)).fontSize) * 0.72", id)); height < want {
						t.Errorf("%s: a sign of the %s is %.0f px high, want %.0f", name, id, height, want)
					}
				}
			}
			if height := eval[float64](b, "parseFloat(getComputedStyle(document.getElementById('now')).fontSize) * 0.72"); size[0] == 1440 && height < 190 {
				t.Errorf("%s: a letter is %.0f px high, want 190", name, height)
			}
			b.press(kb.Escape)
			b.quiet()
		}
	}
}

// small is a session of six keys: a bar of the figure and a bar of rest take half a
// second each.
const small = "#figure=1+3&meter=2/4&tempo=240&keys=Bb+Eb+F+x2"

// hold presses a key and lets go of it after a while.
func (b *tab) hold(key string, long time.Duration) {
	b.t.Helper()
	for _, kind := range []input.DispatchKeyEventType{input.DispatchKeyEventTypeRawKeyDown, input.DispatchKeyEventTypeKeyUp} {
		if _, err := chromedp.Call(b.ctx, input.DispatchKeyEvent, input.DispatchKeyEventParams{Type: kind, Key: key, Code: key}); err != nil {
			b.t.Fatal(err)
		}
		if kind == input.DispatchKeyEventTypeRawKeyDown {
			time.Sleep(long)
		}
	}
}

// script has a script run before those of every page that the tab opens.
func (b *tab) script(text string) {
	b.t.Helper()
	if _, err := chromedp.Call(b.ctx, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: text}); err != nil {
		b.t.Fatal(err)
	}
}

// due waits until something can be said of a key, and text is what the button
// then says.
func (b *tab) due(text string) {
	b.t.Helper()
	b.wait(fmt.Sprintf("document.querySelector('#clean .word').textContent === %q && !document.getElementById('clean').disabled", text+" clean"), 20*time.Second)
}

func (b *tab) sees(id string) {
	b.t.Helper()
	b.wait(fmt.Sprintf("document.getElementById(%q).checkVisibility()", id), 20*time.Second)
}

func (b *tab) text(id string) string {
	b.t.Helper()
	return eval[string](b, fmt.Sprintf("document.getElementById(%q).textContent", id))
}

// ready waits until a session that was left would have been offered.
func (b *tab) ready(address string) {
	b.t.Helper()
	b.load(address)
	b.wait("practiceRecord.offered", 5*time.Second)
}

// With two switches of a pedal and nothing else a player starts, says clean and
// not clean, pauses by holding one, goes on, plays again, takes the next order,
// stops it, and starts a second session.
func TestStageByPedalAlone(t *testing.T) {
	t.Parallel() // it mostly waits
	b := openTab(t, openBrowser(t), 1024, "light")
	b.ready(static(t) + small)
	const short, long = 30 * time.Millisecond, 900 * time.Millisecond
	b.hold("PageDown", short)
	b.due("B♭")
	b.hold("PageDown", short)
	b.wait("document.getElementById('said').textContent === 'B♭: clean.'", time.Second)
	b.due("E♭")
	b.hold("PageUp", short)
	b.wait("document.getElementById('said').textContent === 'E♭: not clean.'", time.Second)
	b.due("F")
	b.hold("PageUp", long)
	b.sees("held")
	if said := b.text("said"); said != "E♭: not clean." {
		t.Errorf("a held switch says %q", said)
	}
	b.hold("PageDown", short)
	b.wait("!document.getElementById('held').checkVisibility()", 5*time.Second)
	b.sees("result")
	if told := b.text("told"); told != "6 of 6 keys played: 1 clean, 1 not clean, 4 not judged." {
		t.Errorf("the result says %q", told)
	}
	if played := b.text("played"); played != "1 3 in major, your own keys, twice, tempo 240." {
		t.Errorf("the result is of %q", played)
	}
	next := b.text("take")
	if means, ok := strings.CutPrefix(next, "Next order: "); !ok || !strings.Contains(b.text("fresh"), means) || b.text("result-keys") != "Page Down or the space bar: Again. Page Up: "+next+"." {
		t.Errorf("the pedal has %q, the button %q", b.text("result-keys"), next)
	}
	b.hold("PageDown", short) // again
	b.sees("stage")
	if where := b.text("setting"); where != "in major · 1 of 6" {
		t.Errorf("once more: %q", where)
	}
	b.due("B♭")
	b.hold("PageDown", short)
	b.sees("result")
	b.hold("PageUp", short) // the order that fills most gaps
	b.sees("stage")
	if where := b.text("setting"); !strings.HasPrefix(where, "in major · 1 of 1") {
		t.Errorf("the next order: %q", where)
	}
	b.wait("practiceRecord.keys.length > 0", 5*time.Second)
	b.hold("PageUp", long)
	b.sees("held")
	b.hold("PageUp", short) // ends it
	b.sees("setup")
	b.hold("PageDown", short)
	b.sees("stage")
	b.hold("PageDown", long)
	b.hold("PageUp", short)
	b.quiet()
}

// A page that is loaded anew in the middle of a session asks before it goes, comes
// back to the same turn with all that was said, and offers to go on. Whoever
// declines has what was said in the log.
func TestStageComesBack(t *testing.T) {
	t.Parallel() // it mostly waits
	b := openTab(t, openBrowser(t), 800, "light")
	address := static(t) + small
	middle := func() {
		b.ready(address)
		b.press(kb.PageDown)
		b.due("B♭")
		b.press(kb.PageDown)
		b.due("E♭")
		b.press(kb.PageUp)
		b.wait("practiceRecord.keys.some((k) => k.statement === 2 && k.how === 'play')", 5*time.Second)
		do(t, b.ctx, chromedp.Navigate(strings.Split(address, "#")[0]))
		b.wait("window.practiceRecord && practiceRecord.offered", 20*time.Second)
		b.sees("kept")
		if what := b.text("kept-what"); what != "1 3 in major, your own keys, twice: 2 of 6 keys are judged." {
			t.Errorf("it offers %q", what)
		}
	}
	middle()
	if b.asked.Load() == 0 {
		t.Error("the page does not ask before it goes")
	}
	b.press(kb.PageDown) // go on
	b.wait("practiceRecord.keys.length > 0", 5*time.Second)
	if first := eval[string](b, "practiceRecord.keys[0].key + ' ' + practiceRecord.keys[0].how"); first != "F coming" {
		t.Errorf("it goes on with %s", first)
	}
	b.sees("result")
	if told := b.text("told"); told != "6 of 6 keys played: 1 clean, 1 not clean, 4 not judged." {
		t.Errorf("after it went on: %q", told)
	}
	if left := eval[int](b, "Object.keys(localStorage).filter((k) => k.startsWith('keyorder session ')).length"); left != 0 {
		t.Errorf("%d sessions are left behind", left)
	}
	eval[chromedp.Void](b, "localStorage.clear()")
	middle()
	do(t, b.ctx, chromedp.Click(chromedp.CSS("#put-away")))
	b.sees("result")
	l, err := practice.Read(strings.NewReader(eval[string](b, "localStorage.getItem('keyorder practice log')")))
	if err != nil || len(l.Entries) != 1 || l.Entries[0].Clean != 1 || l.Entries[0].Played != 2 || len(l.Entries[0].FailedMoves) != 1 {
		t.Errorf("the log of what was declined is %+v, %v", l.Entries, err)
	}
	b.ready(address)
	if eval[bool](b, "document.getElementById('kept').checkVisibility()") {
		t.Error("what was put away is offered again")
	}
	b.quiet()
}

// Two tabs have a session each; neither takes the other's. What a closed tab left
// is offered in a new one, and both logs are there in the end.
func TestStageTwoTabs(t *testing.T) {
	t.Parallel() // it mostly waits
	parent := openBrowser(t)
	address := static(t)
	var tabs [2]*tab
	figures := []string{"1 3", "5 2"}
	for n, f := range figures {
		b := openTab(t, parent, 800, "light")
		b.ready(address + strings.Replace(small, "1+3", url.QueryEscape(f), 1))
		b.press(kb.PageDown)
		b.due("B♭")
		b.press([]string{kb.PageDown, kb.PageUp}[n])
		b.wait("document.getElementById('said').textContent", 5*time.Second)
		b.press("p")
		b.sees("held")
		tabs[n] = b
	}
	if n := eval[int](tabs[0], "Object.keys(localStorage).filter((k) => k.startsWith('keyorder session ')).length"); n != 2 {
		t.Errorf("%d sessions are kept, not 2", n)
	}
	for n, b := range tabs {
		do(t, b.ctx, chromedp.Reload())
		b.wait("window.practiceRecord && practiceRecord.offered", 20*time.Second)
		b.sees("kept")
		if what := b.text("kept-what"); !strings.HasPrefix(what, figures[n]+" in") {
			t.Errorf("tab %d is offered %q", n, what)
		}
	}
	if _, err := chromedp.Call(tabs[1].ctx, page.Close, cdp.Empty{}); err != nil {
		t.Fatal(err)
	}
	do(t, tabs[0].ctx, chromedp.Click(chromedp.CSS("#put-away")))
	tabs[0].sees("result")
	third := openTab(t, parent, 800, "light")
	third.ready(address)
	third.sees("kept")
	if what := third.text("kept-what"); !strings.HasPrefix(what, "5 2 in") {
		t.Errorf("a new tab is offered %q", what)
	}
	do(t, third.ctx, chromedp.Click(chromedp.CSS("#put-away")))
	third.sees("result")
	l, err := practice.Read(strings.NewReader(eval[string](third, "localStorage.getItem('keyorder practice log')")))
	if err != nil || len(l.Entries) != 2 || l.Entries[0].Clean != 1 || l.Entries[1].Clean != 0 {
		t.Errorf("the log of both is %+v, %v", l.Entries, err)
	}
}

// Storage that is full, off, or holds what no program of ours wrote: a session goes
// through to its result, and the player is told what is not saved.
func TestStageStorage(t *testing.T) {
	t.Parallel() // it mostly waits
	parent := openBrowser(t)
	address := static(t)
	for _, test := range []struct{ name, script, stage, logged, next string }{
		{"full", "Storage.prototype.setItem = () => { throw new DOMException('full', 'QuotaExceededError') }", "saves nothing", "This browser saves nothing for this page: download", "Up by minor thirds: "},
		{"off", "for (const s of ['localStorage', 'sessionStorage']) if (location.protocol === 'http:') Object.defineProperty(window, s, { get() { throw new DOMException('off', 'SecurityError') } })", "saves nothing", "This browser saves nothing for this page: download", "Up by minor thirds: "},
		{"corrupt", `if (location.protocol === "http:" && !sessionStorage.getItem("once")) {
			sessionStorage.setItem("once", "1");
			for (const [k, v] of Object.entries({"keyorder session x": "{\"state\":\"]\"}", "keyorder session y": "\u0000", "keyorder session z": "{\"state\":\"{\\\"version\\\":1}\",\"given\":7,\"when\":\"\"}", "keyorder levels": "[null, {", "keyorder ideas": "7", "keyorder practice log": "garbage\n{\"version\":1"})) localStorage.setItem(k, v);
		}`, "", "one line is not read", "Your own keys, twice, in place of the order: "},
	} {
		t.Run(test.name, func(t *testing.T) {
			b := openTab(t, parent, 800, "light")
			b.script(test.script)
			b.ready(address + small)
			b.press(kb.PageDown)
			b.due("B♭")
			if test.name != "corrupt" {
				if said := b.text("said"); !strings.Contains(said, test.stage) {
					t.Errorf("on the stage it says %q", said)
				}
			}
			b.press(kb.PageDown)
			b.wait("document.getElementById('said').textContent === 'B♭: clean.'", time.Second)
			b.sees("result")
			if told := b.text("told"); !strings.HasPrefix(told, "6 of 6 keys played: 1 clean") {
				t.Errorf("the result is %q", told)
			}
			if logged := b.text("logged"); !strings.Contains(logged, test.logged) {
				t.Errorf("of the log it says %q", logged)
			}
			if !eval[bool](b, "document.getElementById('download').href.startsWith('blob:')") {
				t.Error("there is nothing to download")
			}
			if test.name == "corrupt" {
				left := eval[string](b, "JSON.stringify([localStorage.getItem('keyorder session y'), localStorage.getItem('keyorder practice log')])")
				if !strings.Contains(left, `"\u0000"`) || !strings.Contains(left, `garbage\n{\"version\":1\n{`) {
					t.Errorf("what was there has become %s", left)
				}
			}
			b.ready(address)
			if summary := b.text("summary"); !strings.HasPrefix(summary, test.next) || eval[string](b, pageSaid) != "" {
				t.Errorf("opened without a link it plays %q", summary)
			}
			b.quiet()
		})
	}
}

// After its first load the page opens with its server gone, and plays; another
// version of it takes its place and finds the log.
func TestStageWithoutANetwork(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "page")
	if out, err := exec.Command("go", "run", pagePackage, "-out", dir).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	var gone atomic.Bool
	files := http.FileServer(http.Dir(dir))
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if gone.Load() {
			panic(http.ErrAbortHandler) // as where nobody answers
		}
		w.Header().Set("Cache-Control", "no-cache") // only what the page keeps itself is there without a network
		files.ServeHTTP(w, r)
	}))
	t.Cleanup(s.Close)
	b := openTab(t, openBrowser(t), 800, "light")
	b.script(fakeMIDI)
	b.ready(s.URL + "/" + small)
	kept := "(async () => (await caches.keys()).length === 1 && (await (await caches.open((await caches.keys())[0])).keys()).length >= 10 && !!navigator.serviceWorker.controller)()"
	for end := time.Now().Add(20 * time.Second); !eval[bool](b, kept); time.Sleep(50 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatal("the page's files are not kept")
		}
	}
	for end := time.Now().Add(20 * time.Second); !eval[bool](b, "caches.match('ear.wasm').then(Boolean)"); time.Sleep(50 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatal("what listens is not kept before somebody asks for it")
		}
	}
	gone.Store(true)
	s.CloseClientConnections()
	b.ready(s.URL + "/" + small)
	listen := func(want string) {
		t.Helper()
		eval[chromedp.Void](b, "document.getElementById('ears').open = true; document.getElementById('midi').click()")
		b.wait("document.getElementById('ears-say').textContent.includes('listens')", 20*time.Second)
		if said := b.text("ears-say"); !strings.Contains(said, want) {
			t.Errorf("without a network it says %q, want %q", said, want)
		}
	}
	listen("It listens to a keyboard.")
	eval[chromedp.Void](b, "document.getElementById('midi').click()") // off
	eval[bool](b, "caches.keys().then(async (k) => (await caches.open(k[0])).delete('ear.wasm'))")
	listen("once where there is a network")
	b.press(kb.PageDown)
	b.due("B♭")
	b.press(kb.PageDown)
	b.sees("result")
	log := eval[string](b, "localStorage.getItem('keyorder practice log')")
	if !strings.Contains(log, `"figure":"1 3"`) {
		t.Errorf("the log is %q", log)
	}
	// Another version.
	for name, change := range map[string][2]string{"index.html": {"<title>", "<title>Newer: "}, "sw.js": {`"key by key `, `"key by key newer`}} {
		path := filepath.Join(dir, name)
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		text = bytes.Replace(text, []byte(change[0]), []byte(change[1]), 1)
		if err := os.WriteFile(path, text, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	gone.Store(false)
	newer := false
	for n := 0; n < 40 && !newer; n++ {
		b.ready(s.URL + "/" + small)
		newer = strings.HasPrefix(eval[string](b, "document.title"), "Newer: ")
		time.Sleep(100 * time.Millisecond)
	}
	if !newer {
		t.Error("the newer page never comes")
	}
	if now := eval[string](b, "localStorage.getItem('keyorder practice log')"); now != log {
		t.Errorf("after another version the log is %q, not %q", now, log)
	}
}

// In a tab that is not seen the clicks go on in time: its timers come once a second
// and no frame is drawn. Seen again, the page shows where the player is.
func stageHidden(t *testing.T) {
	b := openTab(t, openBrowser(t), 800, "light")
	b.script(`(() => {
		const often = setInterval, frame = requestAnimationFrame;
		let unseen = false;
		Object.defineProperty(document, "hidden", { get: () => unseen });
		window.unsee = (now) => { unseen = now; document.dispatchEvent(new Event("visibilitychange")); };
		window.requestAnimationFrame = (f) => frame((t) => { const wait = () => (unseen ? setTimeout(wait, 50) : f(t)); wait(); });
		window.setInterval = (f, every) => { let last = 0; return often(() => { if (unseen && performance.now() - last < 1000) return; last = performance.now(); f(); }, every); };
	})()`)
	b.ready(static(t) + "#figure=1+3&meter=2/4&tempo=240&keys=Bb+Eb+F+x6")
	b.press(kb.PageDown)
	b.due("B♭")
	eval[chromedp.Void](b, "unsee(true)")
	before := eval[int](b, "practiceRecord.keys.length")
	time.Sleep(8 * time.Second)
	if now := eval[int](b, "practiceRecord.keys.length"); now != before {
		t.Errorf("%d keys were drawn while nobody saw them", now-before)
	}
	eval[chromedp.Void](b, "unsee(false)")
	b.wait("practiceRecord.keys.length > "+fmt.Sprint(before), time.Second)
	if late := eval[float64](b, "(() => { const k = practiceRecord.keys.at(-1); return k.shown - k.due; })()"); late > 1 {
		t.Errorf("seen again, the page shows what was due %.1f s before", late)
	}
	b.sees("result")
	var record struct {
		Start  float64
		Clicks []float64
	}
	if err := json.Unmarshal([]byte(eval[string](b, "JSON.stringify(practiceRecord)")), &record); err != nil {
		t.Fatal(err)
	}
	for n := 1; n < len(record.Clicks); n++ {
		if gap := record.Clicks[n] - record.Clicks[n-1]; math.Abs(gap-0.25) > 0.002 {
			t.Errorf("between clicks %d and %d are %.3f s", n-1, n, gap)
		}
	}
	t.Logf("%d clicks, each within 2 ms", len(record.Clicks))
	b.quiet()
}

// Where the browser holds the sound back, at the start or in the middle, the page
// says so, and one touch mends it.
func stageSuspendedSound(t *testing.T) {
	b := openTab(t, openBrowser(t), 800, "light")
	b.script(`window.AudioContext = class extends AudioContext {
		constructor() { super(); window.sound = this; if (!window.allowed) super.suspend(); }
		resume() { return window.allowed ? super.resume() : new Promise(() => {}); }
	}`)
	b.ready(static(t) + small)
	b.press(kb.PageDown)
	b.sees("held")
	if why := b.text("held-why"); !strings.Contains(why, "holds back the sound") {
		t.Errorf("it says %q", why)
	}
	if n := eval[int](b, "practiceRecord.clicks.length"); n > 0 {
		t.Errorf("%d clicks are scheduled", n)
	}
	eval[chromedp.Void](b, "window.allowed = true")
	do(t, b.ctx, chromedp.Click(chromedp.CSS("#unhold")))
	b.due("B♭")
	b.press(kb.PageDown)
	eval[chromedp.Void](b, "sound.suspend().then(() => 0)")
	b.sees("held")
	do(t, b.ctx, chromedp.Click(chromedp.CSS("#unhold")))
	b.wait("!document.getElementById('held').checkVisibility()", 5*time.Second)
	b.sees("result")
	if told := b.text("told"); !strings.HasPrefix(told, "6 of 6 keys played: 1 clean") {
		t.Errorf("the result is %q", told)
	}
	b.quiet()
}

// Ideas and logs go out into files and come in again; what is there stays, nothing
// comes twice, and a file that is neither is said to be.
func TestStageIdeasAndLogs(t *testing.T) {
	t.Parallel() // it mostly waits
	b := openTab(t, openBrowser(t), 800, "light")
	b.ready(static(t) + "#figure=5+2+b3:2+1&tempo=66")
	eval[chromedp.Void](b, "document.getElementById('own').open = true")
	keep := func(name string) {
		t.Helper()
		eval[chromedp.Void](b, fmt.Sprintf("(() => { document.getElementById('idea-name').value = %s; document.getElementById('idea-keep').click(); })()", quote(t, name)))
	}
	names := func() []string {
		return eval[[]string](b, "[...document.querySelectorAll('#ideas button:first-child')].map((e) => e.textContent)")
	}
	keep("<b>slow & sad</b>")
	keep("<b>slow & sad</b>") // the same once more
	b.typed("tempo", "90")
	keep("<b>slow & sad</b>") // another of this name
	if said := b.text("own-says"); said != "Kept as <b>slow & sad</b> 2: another idea is called <b>slow & sad</b>." {
		t.Errorf("of a name that is taken it says %q", said)
	}
	if got := names(); !slices.Equal(got, []string{"<b>slow & sad</b>", "<b>slow & sad</b> 2"}) {
		t.Errorf("the ideas are %q", got)
	}
	eval[chromedp.Void](b, "document.querySelector('#ideas button').click()")
	if hash := eval[string](b, "location.hash"); !strings.Contains(hash, "tempo=66") {
		t.Errorf("the idea gives %s", hash)
	}
	written := eval[string](b, "localStorage.getItem('keyorder ideas')")
	file := func(name, text string) string {
		t.Helper()
		eval[chromedp.Void](b, fmt.Sprintf(`(() => {
			document.getElementById("own-says").textContent = "";
			const all = new DataTransfer();
			all.items.add(new File([%s], %s));
			const f = document.getElementById("file");
			f.files = all.files;
			f.dispatchEvent(new Event("change"));
		})()`, quote(t, text), quote(t, name)))
		b.wait("document.getElementById('own-says').textContent", 5*time.Second)
		return b.text("own-says")
	}
	eval[chromedp.Void](b, "localStorage.clear()")
	if said := file("ideas.json", written); said != "2 of 2 ideas are new." {
		t.Errorf("of ideas it says %q", said)
	}
	if said := file("ideas.json", written); said != "0 of 2 ideas are new." {
		t.Errorf("of the same ideas it says %q", said)
	}
	if got := names(); len(got) != 2 {
		t.Errorf("the ideas are %q", got)
	}
	var log strings.Builder
	for _, tempo := range []int{60, 66} {
		e := practice.Entry{Date: 20000, Figure: figure.MustParse("5 2 b3:2 1"), Order: "P4", Route: cycle.By(interval.PerfectFourth).Closed(), Instrument: "piano", Tempo: tempo, Clean: 13, Played: 13}
		if err := practice.AppendEntry(&log, e); err != nil {
			t.Fatal(err)
		}
	}
	first, _, _ := strings.Cut(log.String(), "\n")
	if said := file("log.jsonl", first); said != "1 of 1 entries are new. " {
		t.Errorf("of a log it says %q", said)
	}
	if said := file("log.jsonl", log.String()+"torn {\n"); !strings.HasPrefix(said, "1 of 2 entries are new. One line is not read: ") {
		t.Errorf("of a longer log it says %q", said)
	}
	if saved := eval[string](b, "localStorage.getItem('keyorder practice log')"); saved != log.String()+"torn {\n" {
		t.Errorf("the log is %q", saved)
	}
	if said := file("poem.txt", "{\"ideas\": [3, {\"name\": 7}]}\nno log"); said != "poem.txt has neither ideas nor a practice log." {
		t.Errorf("of a poem it says %q", said)
	}
	b.quiet()
}

// The tempo is tapped, changes while one plays, and the ladder takes the next round
// up after all was clean and down after a fault.
func TestStageTempo(t *testing.T) {
	b := openTab(t, openBrowser(t), 800, "light")
	b.ready(static(t) + "#figure=1+3&meter=2/4&tempo=240&keys=Bb+Eb")
	eval[chromedp.Void](b, "document.getElementById('more').open = true")
	eval[chromedp.Void](b, `(() => {
		let now = 1000;
		performance.now = () => now;
		for (const gap of [0, 490, 510, 500, 500]) { now += gap; document.getElementById("tap").click(); }
		delete performance.now;
	})()`)
	if tempo := eval[string](b, "document.getElementById('field-tempo').value + location.hash"); !strings.HasPrefix(tempo, "120#") || !strings.Contains(tempo, "tempo=120") {
		t.Errorf("tapped twice a second the tempo is %s", tempo)
	}
	b.typed("tempo", "240")
	eval[chromedp.Void](b, "document.getElementById('ladder').checked = true")
	round := func(verdicts ...string) string {
		t.Helper()
		for n, key := range []string{"B♭", "E♭"} {
			b.due(key)
			b.press(verdicts[n])
		}
		b.sees("result")
		return b.text("ladder-says")
	}
	b.press(kb.PageDown)
	if says := round(kb.ArrowRight, kb.ArrowRight); says != "The next round goes at 250." {
		t.Errorf("after a clean round: %q", says)
	}
	b.press(kb.PageDown)
	if says := round(kb.ArrowRight, kb.ArrowLeft); says != "The next round goes at 240." {
		t.Errorf("after a fault: %q", says)
	}
	eval[chromedp.Void](b, "document.getElementById('back').click()")
	b.typed("keys", "Bb Eb F x4")
	b.press(kb.PageUp) // means nothing here
	b.press(kb.PageDown)
	b.due("B♭")
	for range 10 {
		b.press("-")
	}
	if shown := b.text("tempo"); shown != "230" { // from the 250 of the second round
		t.Errorf("slower by ten times two: %s", shown)
	}
	b.wait("practiceRecord.clicks.length > 30", 30*time.Second)
	b.press(kb.ArrowUp)
	b.wait("document.getElementById('answer-staff').textContent.includes('= 230')", 5*time.Second)
	gap := eval[float64](b, "practiceRecord.clicks.at(-1) - practiceRecord.clicks.at(-2)")
	if math.Abs(gap-60.0/230) > 0.002 {
		t.Errorf("in the new tempo clicks are %.4f s apart, not %.4f", gap, 60.0/230)
	}
	b.press(kb.Escape)
	b.sees("result")
	said := "document.getElementById('field-tempo').value + document.getElementById('first-staff').textContent.match(/= [0-9]+/)"
	eval[chromedp.Void](b, "document.getElementById('back').click()")
	if tempo := eval[string](b, said+" + location.hash.match(/tempo=[0-9]+/)"); tempo != "230= 230tempo=230" {
		t.Errorf("back in the settings the tempo is %s", tempo)
	}
	b.press(kb.PageDown)
	b.wait("!document.getElementById('stage').hidden && practiceRecord.clicks.length > 1", 20*time.Second)
	b.press("+")
	b.press(kb.Escape) // before the first key was played
	b.sees("setup")
	if tempo := eval[string](b, said); tempo != "232= 232" {
		t.Errorf("after it was stopped in the count-in the tempo is %s", tempo)
	}
	// Without a link there are the settings that were played last; a link goes before them.
	b.ready(strings.Split(eval[string](b, "location.href"), "#")[0])
	if got := eval[string](b, said+" + document.getElementById('field-keys').value"); got != "232= 232Bb Eb F x4" {
		t.Errorf("opened again it has %s", got)
	}
	for _, link := range []string{"#", "#figure=5+1"} {
		b.ready(strings.Split(eval[string](b, "location.href"), "#")[0] + link)
		if got := eval[string](b, said+" + document.getElementById('field-keys').value"); got != "80= 80" {
			t.Errorf("the link %s gives %s", link, got)
		}
	}
	b.quiet()
}

// An error stands beside its field, in words, until the field is mended, whatever
// is done elsewhere meanwhile; nothing starts before.
func TestStageErrorsStay(t *testing.T) {
	t.Parallel() // it mostly waits
	b := openTab(t, openBrowser(t), 800, "light")
	address := static(t)
	b.stored(address, map[string]string{"keyorder settings": `{"figure":"5 x","order":"P4"}`}) // of which nothing can be played
	if summary := b.text("summary"); !strings.HasPrefix(summary, "Up by minor thirds: ") || eval[string](b, pageSaid) != "" {
		t.Errorf("with settings that are none it begins with %q", summary)
	}
	// While somebody types it is said after a pause, and the words go nowhere else.
	typing := func(field, text, want string) {
		t.Helper()
		eval[chromedp.Void](b, fmt.Sprintf("document.getElementById('more').open = true; document.getElementById('field-%s').select()", field))
		do(t, b.ctx, chromedp.SendKeys(chromedp.CSS("#field-"+field), text))
		place := fmt.Sprintf("document.getElementById('wrong-%s')", field)
		if said := eval[string](b, place+".textContent"); said != "" {
			t.Errorf("while %s is typed it says %q", text, said)
		}
		if want != "" {
			b.wait(fmt.Sprintf("%s.checkVisibility() && %[1]s.textContent.includes(%s) && %[1]s.textContent === document.getElementById('quiet').textContent", place, quote(t, want)), 3*time.Second)
			if at := eval[string](b, "document.activeElement.id"); at != "field-"+field {
				t.Errorf("the focus goes to %s", at)
			}
			typed := eval[string](b, "document.getElementById('field-"+field+"').value")
			eval[chromedp.Void](b, fmt.Sprintf("(() => { const f = document.getElementById('field-%s'); f.value = ''; f.dispatchEvent(new Event('input', {bubbles: true})); })()", field))
			if said := eval[string](b, pageSaid+" + document.getElementById('quiet').textContent"); said != "" || typed != text {
				t.Errorf("%s, mended: it says %q", typed, said)
			}
		}
	}
	typing("order", "banana", "Order of keys: ")
	typing("tempo", "9999", "Tempo: ")
	typing("parts", "trumpet, zz", "Parts of a class: ")
	if summary := b.text("summary"); !strings.HasSuffix(summary, " Left empty: order of keys, taken as m3; tempo, taken as 80.") {
		t.Errorf("of empty fields it says %q", summary)
	}
	b.ready(address)
	b.typed("figure", "C G H")
	wrong := "document.getElementById('wrong-figure').textContent"
	if said := eval[string](b, wrong); !strings.HasPrefix(said, "Figure: ") || !strings.Contains(said, "H") {
		t.Errorf("beside the field stands %q", said)
	}
	b.typed("instrument", "trumpet")
	if said := eval[string](b, wrong); !strings.HasPrefix(said, "Figure: ") || !eval[bool](b, "document.getElementById('wrong-figure').checkVisibility()") {
		t.Errorf("after another field it says %q", said)
	}
	b.press(kb.PageDown)
	if !eval[bool](b, "document.activeElement.id === 'field-figure' && document.getElementById('setup').checkVisibility()") {
		t.Error("with an error the page starts, or does not lead to the field")
	}
	b.typed("figure", "C G Eb F")
	if said := eval[string](b, wrong); said != "" || eval[bool](b, "document.getElementById('field-figure').hasAttribute('aria-invalid')") {
		t.Errorf("mended, it still says %q", said)
	}
	if summary := b.text("first-caption"); summary != "In C: C G E♭ F" {
		t.Errorf("the notes are shown as %q", summary)
	}
	b.quiet()
}

// The chords of the key stand under it, the one that sounds marked; each voice of
// the band has its level.
func TestStageChordsAndLevels(t *testing.T) {
	t.Parallel() // it mostly waits
	b := openTab(t, openBrowser(t), 800, "light")
	b.script(`(() => {
		const make = AudioContext.prototype.createGain;
		window.gains = [];
		AudioContext.prototype.createGain = function () { const g = make.call(this); gains.push(g); return g; };
	})()`)
	b.ready(static(t) + "#figure=" + url.QueryEscape("{2 m7} 2:4 4:4 {5 7} 5:4 2:4") + "&order=P4&tempo=120&bass=roots+and+fifths&chords=whole+notes&drone=tonic&sound=click")
	if wrong := eval[string](b, pageSaid); wrong != "" {
		t.Fatal(wrong)
	}
	eval[chromedp.Void](b, "(() => { const l = document.getElementById('level-bass'); l.value = 0; l.dispatchEvent(new Event('input', {bubbles: true})); })()")
	b.press(kb.PageDown)
	chords := "[...document.getElementById('chords').children].map((c) => c.textContent + (c.className ? '!' : '')).join(' ')"
	b.wait(chords+" === 'Dm7 G7'", 20*time.Second) // in the count-in none sounds
	b.wait(chords+" === 'Dm7! G7'", 20*time.Second)
	b.wait(chords+" === 'Dm7 G7!'", 20*time.Second)
	b.wait(chords+" === 'Gm7 C7'", 20*time.Second)
	levels := eval[[]float64](b, "gains.slice(0, 7).map((g) => g.gain.value)")
	if len(levels) != 7 || !slices.Equal(levels[1:], []float64{1, 1, 1, 0, 1, 1}) {
		t.Errorf("all, click, cue, model, bass, chords, drone have the levels %v", levels)
	}
	b.press(kb.Escape)
	b.sees("result")
	b.ready(eval[string](b, "location.href"))
	if level := eval[string](b, "document.getElementById('level-bass').value"); level != "0" {
		t.Errorf("the next day the bass has the level %s", level)
	}
	b.quiet()
}
