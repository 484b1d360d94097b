package outside

import (
	"cmp"
	"fmt"
	"math"
	"net/http"
	"net/http/httptest"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/storage"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"example.com/keyorder/figure/practice"
)

// timeline notes what is there when, in ms after the navigation began.
const timeline = `(() => {
	window.timeline = [];
	const note = (what, at = performance.now()) => timeline.push([at, what]);
	const stream = WebAssembly.instantiateStreaming;
	WebAssembly.instantiateStreaming = async (...given) => {
		note("the program begins to arrive");
		const made = await stream.apply(WebAssembly, given);
		note("the program is compiled");
		return made;
	};
	let started, record;
	Object.defineProperty(globalThis, "keyorder started", { configurable: true, get: () => started, set(resolve) {
		started = (program) => {
			note("the program has started");
			for (const [name, f] of Object.entries(program)) {
				program[name] = (...given) => {
					note("it is asked for: " + name);
					const text = f(...given);
					note(name === "answer" ? "the first staff is there" : "it has answered: " + name);
					return text;
				};
			}
			resolve(program);
		};
	} });
	Object.defineProperty(globalThis, "practiceRecord", { configurable: true, get: () => record, set(r) {
		note("page.js begins");
		record = r;
		for (const what of ["ready", "planned"]) {
			let when = 0;
			Object.defineProperty(r, what, { enumerable: true, get: () => when, set(at) { when = at; performance.mark(what); note(what, at); } });
		}
	} });
	new PerformanceObserver((l) => l.getEntries().forEach((e) => note(e.name, e.startTime))).observe({ type: "paint", buffered: true });
	new PerformanceObserver((l) => l.getEntries().filter((e) => e.name.endsWith(".wasm")).forEach((e) => { note("the program is asked for", e.requestStart); note("the program has arrived", e.responseEnd); })).observe({ type: "resource", buffered: true });
})()`

// A readiness is how a page came to be ready, with nothing of it known to the browser.
type readiness struct {
	steps map[string]float64 // when something was there first, in ms after the navigation began
	lines string
	busy  float64 // ms for which the page's own thread kept the processor until it was ready
}

// becomesReady loads a page as if for the first time.
func (b *tab) becomesReady(address string) readiness {
	b.t.Helper()
	b.script(timeline)
	if _, err := chromedp.Call(b.ctx, storage.ClearDataForOrigin, storage.ClearDataForOriginParams{Origin: strings.TrimSuffix(address, "/"), StorageTypes: "all"}); err != nil {
		b.t.Fatal(err)
	}
	if _, err := chromedp.Call(b.ctx, network.ClearBrowserCache, cdp.Empty{}); err != nil {
		b.t.Fatal(err)
	}
	worked := b.tasks()
	do(b.t, b.ctx, chromedp.Navigate(address))
	b.wait("timeline.some(([, what]) => what === 'the first staff is there')", 20*time.Second)
	r := readiness{steps: map[string]float64{}}
	for _, one := range worked("", "ready") {
		r.busy += one.busy
	}
	steps := eval[[][2]any](b, "timeline.sort((a, b) => a[0] - b[0])")
	for _, step := range steps {
		at, what := step[0].(float64), step[1].(string)
		if _, have := r.steps[what]; !have {
			r.steps[what] = at
		}
		r.lines += fmt.Sprintf("%8.1f %s\n", at, what)
	}
	return r
}

// The page asks for its program and its modules at once. It can be used half a second after
// the navigation began, and shows what will be practised in three times the time that it takes
// to load the program alone; where the machine is busy with others, in twice that time and in
// three times. What can wait, waits until then.
func TestPageReady(t *testing.T) {
	s, parent := serve(t), openBrowser(t)
	ready, planned, alone := math.Inf(1), math.Inf(1), math.Inf(1)
	for range 4 {
		t.Run("anew", func(t *testing.T) {
			b := openTab(t, parent, 390, "light") // each is a process that has not seen the program
			r := b.becomesReady(s.address)
			t.Logf("ready after %.0f ms, planned after %.0f, for %.0f of which the page's own thread worked\n%s", r.steps["ready"], r.steps["planned"], r.busy, r.lines)
			ready, planned = min(ready, r.steps["ready"]), min(planned, r.steps["planned"])
			if r.steps["the program is asked for"] > r.steps["page.js begins"] || strings.Count(r.lines, "the program is asked for\n") != 1 {
				t.Error("the program is asked for when the modules are there, or is asked for twice")
			}
			if r.steps["the program has started"] < r.steps["ready"] || r.steps["it is asked for: open"] > r.steps["planned"] || strings.Contains(r.lines, "it is asked for: class\n") {
				t.Error("what the page has without the program waits for it, or it shows a plan that was not worked out, or works out a class where there is none")
			}
			if r.steps["it is asked for: answer"] < r.steps["planned"] || strings.Count(r.lines, "it is asked for: open\n") != 1 {
				t.Error("the page works out what can wait, or works it out twice")
			}
			for _, name := range eval[[]string](b, `performance.getEntriesByType("resource").filter((e) => e.startTime < practiceRecord.planned).map((e) => e.name.split("/").at(-1))
				.filter((name) => name.endsWith(".js") && !document.querySelector("link[rel=modulepreload][href='" + name + "'], script[src='" + name + "']"))`) {
				t.Errorf("%s is not asked for at once", name)
			}
			b.quiet()
			b = openTab(t, parent, 390, "light")
			do(t, b.ctx, chromedp.Navigate(s.address+"player.js"))
			alone = min(alone, eval[float64](b, `(async () => {
				const from = performance.now();
				await (await import("/keyorder.js")).load();
				return performance.now() - from;
			})()`))
		})
	}
	t.Logf("ready after %.0f ms at best, planned after %.0f; the program alone takes %.0f", ready, planned, alone)
	if ready > max(500, 2*alone) {
		t.Errorf("ready after %.0f ms; the program alone takes %.0f", ready, alone)
	}
	if planned > max(500, 3*alone) {
		t.Errorf("planned after %.0f ms; the program alone takes %.0f", planned, alone)
	}
}

// late serves the page as static does, but for its program, which comes once it is let go.
func late(t *testing.T) (address string, let func()) {
	t.Helper()
	if err := write(); err != nil {
		t.Fatal(err)
	}
	come := make(chan struct{})
	files := http.FileServer(http.Dir(written))
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path == "/keyorder.wasm" {
			<-come
		}
		files.ServeHTTP(w, r)
	}))
	t.Cleanup(s.Close)
	let = sync.OnceFunc(func() { close(come) })
	t.Cleanup(let)
	return s.URL + "/", let
}

// Before its program is there the page has its three choices and Start, and says that what
// will be practised is being worked out. What the player does meanwhile is done then.
func TestPageBeforeItsProgram(t *testing.T) {
	t.Parallel() // it mostly waits
	const working = "Working it out …"
	parent := openBrowser(t)
	fields := func(b *tab) string {
		return eval[string](b, "['figure', 'order', 'instrument', 'tempo'].map((f) => document.getElementById('field-' + f).value).join('; ')")
	}
	// opened opens the page with settings that were last started with, and waits until it
	// can be used.
	opened := func(t *testing.T, link, last, want string) (*tab, func()) {
		t.Helper()
		address, let := late(t)
		b := openTab(t, parent, 800, "light")
		if last != "" {
			b.script(fmt.Sprintf("if (location.protocol === 'http:') localStorage.setItem('keyorder settings', %s)", quote(t, last)))
		}
		do(t, b.ctx, chromedp.Navigate(address+link))
		b.wait("window.practiceRecord && practiceRecord.ready > 0", 20*time.Second)
		for _, id := range []string{"field-figure", "field-order", "field-instrument", "start"} {
			if !eval[bool](b, fmt.Sprintf("(() => { const e = document.getElementById(%q), box = e.getBoundingClientRect(); return e.checkVisibility() && !e.disabled && document.elementFromPoint(box.x + box.width / 2, box.y + box.height / 2) === e; })()", id)) {
				t.Errorf("%s cannot be used", id)
			}
		}
		if got, said := fields(b), b.text("summary"); got != want || said != working {
			t.Errorf("with %s there stands %q, %q, want %q", link, got, said, want)
		}
		if eval[bool](b, "practiceRecord.planned > 0 || ['with-program', 'sound', 'first', 'class', 'message'].some((id) => document.getElementById(id).checkVisibility())") {
			t.Error("there is what the program makes, before it is there")
		}
		return b, let
	}
	planned := func(b *tab, fieldsWant, summary string) {
		b.t.Helper()
		b.wait("practiceRecord.offered", 20*time.Second)
		if got, said := fields(b), b.text("summary"); got != fieldsWant || !strings.HasPrefix(said, summary) || eval[string](b, pageSaid) != "" {
			b.t.Errorf("with the program there stands %q, %q, %q, want %q, %q", got, said, eval[string](b, pageSaid), fieldsWant, summary)
		}
		b.sees("with-program")
		b.quiet()
	}
	const usual = "1:3 5 4 2 3:2; m3; piano; 80"
	t.Run("nothing", func(t *testing.T) {
		b, let := opened(t, "", "", usual)
		b.picture("home-before-its-program")
		let()
		planned(b, usual, "Up by minor thirds: 15 keys to play, ")
	})
	t.Run("started", func(t *testing.T) {
		b, let := opened(t, small, "", "1 3; m3; piano; 240")
		b.press(kb.PageDown)
		b.wait("document.getElementById('summary').textContent.startsWith('"+working+" It starts')", 5*time.Second)
		if eval[bool](b, "document.getElementById('stage').checkVisibility()") {
			t.Error("it plays what is not worked out")
		}
		let()
		b.due("B♭")
		b.press(kb.PageDown)
		b.sees("result")
		if told := b.text("told"); told != "6 of 6 keys played: 1 clean, 0 not clean, 5 not judged." {
			t.Errorf("it plays %q", told)
		}
		b.quiet()
	})
	t.Run("typed", func(t *testing.T) {
		b, let := opened(t, "", "", usual)
		b.typed("figure", "5 2 b3:2 1")
		let()
		planned(b, "5 2 b3:2 1; m3; piano; 80", "Up by minor thirds: 15 keys to play, ")
		if hash := eval[string](b, "location.hash"); hash != "#figure=5+2+b3%3A2+1" {
			t.Errorf("the address has %s", hash)
		}
	})
	t.Run("typed and started", func(t *testing.T) {
		b, let := opened(t, "", "", usual)
		b.typed("figure", "5 2 b3:2 1")
		b.click("#start")
		b.typed("order", "P4")
		let()
		b.wait("document.getElementById('phase').textContent === 'count-in'", 20*time.Second)
		if got, hash := b.text("degrees")+"; "+b.text("setting"), eval[string](b, "location.hash"); got != "5 2 b3:2 1; in major · 1 of 13" && got != "5 2 ♭3:2 1; in major · 1 of 13" || hash != "#figure=5+2+b3%3A2+1&order=P4" {
			t.Errorf("it plays %q, the address has %s", got, hash)
		}
		b.press(kb.Escape)
		b.quiet()
	})
	t.Run("typed what cannot be played", func(t *testing.T) {
		b, let := opened(t, "", "", usual)
		b.typed("figure", "5 x")
		b.press(kb.PageDown)
		let()
		b.wait("document.getElementById('wrong-figure').checkVisibility()", 20*time.Second)
		if said := b.text("summary"); said != "" || eval[bool](b, "document.getElementById('stage').checkVisibility()") {
			t.Errorf("of what cannot be played it says %q, or plays it", said)
		}
		b.quiet()
	})
	t.Run("as last time", func(t *testing.T) {
		b, let := opened(t, "", `{"figure":"1 4 b3:2 b7 in dorian","order":"-M2","tempo":"96","colour":"red"}`, "1 4 b3:2 b7 in dorian; -M2; piano; 96")
		let()
		planned(b, "1 4 b3:2 b7 in dorian; -M2; piano; 96", "Down by whole steps: 14 keys to play, ")
	})
	t.Run("last time is none", func(t *testing.T) {
		b, let := opened(t, "", `{"figure":"5 x","order":"P4"}`, "5 x; P4; piano; 80")
		let()
		planned(b, usual, "Up by minor thirds: 15 keys to play, ")
	})
	t.Run("another link", func(t *testing.T) {
		b, let := opened(t, "#order=P4", "", "1:3 5 4 2 3:2; P4; piano; 80")
		b.typed("figure", "5 1")
		b.press(kb.PageDown)
		eval[chromedp.Void](b, "location.hash = '#order=-M2&tempo=90'")
		b.wait("document.getElementById('field-tempo').value === '90'", 5*time.Second)
		let()
		planned(b, "1:3 5 4 2 3:2; -M2; piano; 90", "Down by whole steps: 14 keys to play, ")
	})
	t.Run("a short link", func(t *testing.T) { // is read by the program
		address, let := late(t)
		b := openTab(t, parent, 800, "light")
		do(t, b.ctx, chromedp.Navigate(address+"#3.5.1.6/o:p4/t:96"))
		b.wait("window.practiceRecord && document.getElementById('field-show')", 20*time.Second)
		time.Sleep(200 * time.Millisecond)
		if eval[bool](b, "practiceRecord.ready > 0 || document.getElementById('setup').checkVisibility()") {
			t.Error("it shows settings that it cannot know yet")
		}
		let()
		b.wait("practiceRecord.ready > 0", 20*time.Second)
		planned(b, "3 5 1 6; P4; piano; 96", "Up by fourths: 13 keys to play, ")
	})
	t.Run("a session that was left", func(t *testing.T) { // is not lost by an early start
		address, let := late(t)
		b := openTab(t, parent, 800, "light")
		let()
		b.ready(address + small)
		b.press(kb.PageDown)
		b.due("B♭")
		b.press(kb.PageDown)
		b.wait("document.getElementById('said').textContent", 5*time.Second)
		b.script("if (location.protocol === 'http:') (function wait() { const start = document.getElementById('start'); if (window.practiceRecord?.ready > 0) start.click(); else setTimeout(wait, 1); })()")
		do(t, b.ctx, chromedp.Reload())
		b.wait("window.practiceRecord && practiceRecord.offered", 20*time.Second)
		b.sees("kept")
		if what := b.text("kept-what"); what != "1 3 in major, your own keys, twice: 1 of 6 keys are judged." || eval[bool](b, "document.getElementById('stage').checkVisibility()") {
			t.Errorf("started early, it offers %q, or plays", what)
		}
		b.quiet()
	})
	t.Run("no program", func(t *testing.T) {
		files := http.FileServer(http.Dir(written))
		s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
			if r.URL.Path == "/keyorder.wasm" {
				http.NotFound(w, r)
				return
			}
			files.ServeHTTP(w, r)
		}))
		t.Cleanup(s.Close)
		b := openTab(t, parent, 800, "light")
		do(t, b.ctx, chromedp.Navigate(s.URL+"/"))
		b.wait("document.getElementById('message').checkVisibility()", 20*time.Second)
		if said := b.text("message"); !strings.HasPrefix(said, "The page could not load its program") || eval[bool](b, "['setup', 'sound', 'unready'].some((id) => document.getElementById(id).checkVisibility())") {
			t.Errorf("without its program it says %q, or shows what cannot be used", said)
		}
	})
}

// The page's own thread is never busy for long, not where a session begins and the sound
// is opened, nor at its end, where what was played is counted, saved and drawn.
func TestStageShortTasks(t *testing.T) {
	b := openTab(t, openBrowser(t), 1440, "light")
	b.stored(static(t)+"#figure=1+3&meter=2/4&tempo=240&order=m2&instrument=trumpet", map[string]string{logKey: practised(t, 40, practice.DateOf(time.Now()))})
	worked := b.tasks()
	eval[chromedp.Void](b, "void performance.mark('begun')")
	b.press(kb.PageDown)
	b.wait("practiceRecord.keys.length > 2", 20*time.Second)
	for !eval[bool](b, "document.getElementById('result').checkVisibility()") {
		b.press(kb.ArrowRight)
		time.Sleep(250 * time.Millisecond)
	}
	time.Sleep(500 * time.Millisecond)
	eval[chromedp.Void](b, "void performance.mark('over')")
	all := worked("begun", "over")
	begun := all[0].at
	slices.SortFunc(all, func(x, y task) int { return cmp.Compare(y.busy, x.busy) })
	for _, one := range all[:4] {
		t.Logf("after %.1f s a task works for %.1f ms", (one.at-begun)/1000, one.busy)
	}
	if longest := all[0]; longest.busy > 50 {
		t.Errorf("a task works for %.1f ms", longest.busy)
	}
	b.quiet()
}

// The bar fills in time by itself, with no frame drawn for it, and stops at a pause. What
// is to be saved and drawn after a key has come is done at once, long before the next.
func TestStageBetweenBeats(t *testing.T) {
	t.Parallel() // it mostly waits
	b := openTab(t, openBrowser(t), 1440, "light")
	b.script(`(() => {
		window.AudioContext = class extends AudioContext { constructor() { super(); window.clock = this; } };
		window.written = 0;
		window.saves = [];
		const set = Storage.prototype.setItem;
		Storage.prototype.setItem = function (key, text) { if (key.includes(" session ")) saves.push(performance.now()); return set.call(this, key, text); };
	})()`)
	b.ready(static(t) + "#figure=1+3&meter=2/4&tempo=60&keys=Bb+Eb+F+x2")
	eval[chromedp.Void](b, `(() => {
		new MutationObserver(() => written++).observe(document.getElementById("fill"), { attributes: true });
		window.came = [];
		new MutationObserver(() => came.push(performance.now())).observe(document.getElementById("now"), { childList: true });
	})()`)
	filled := func() float64 {
		return eval[float64](b, "(document.getElementById('fill').getAnimations()[0]?.effect.getComputedTiming().progress ?? 0) * 2 - Math.max(0, clock.currentTime - Math.min(clock.outputLatency || 0, 0.5) - practiceRecord.start)")
	}
	b.press(kb.PageDown)
	b.wait("practiceRecord.keys.length === 1", 20*time.Second)
	apart := math.Inf(1) // where the machine is busy, the browser may say where it was before
	for range 4 {        // the count-in takes two seconds
		apart = min(apart, math.Abs(filled()))
		time.Sleep(300 * time.Millisecond)
	}
	if apart > 0.1 {
		t.Errorf("the bar is %.2f s from the beat", apart)
	}
	b.press("p")
	b.sees("held")
	if n := eval[int](b, "document.getElementById('fill').getAnimations().length"); n != 0 {
		t.Error("the bar fills during a pause")
	}
	b.press(kb.PageDown)
	b.wait("document.getElementById('fill').getAnimations().length === 1", 5*time.Second)
	apart = math.Inf(1)
	for range 4 {
		apart = min(apart, math.Abs(filled()))
		time.Sleep(300 * time.Millisecond)
	}
	if apart > 0.1 {
		t.Errorf("after a pause the bar is %.2f s from the beat", apart)
	}
	b.wait("practiceRecord.keys.length > 6", 30*time.Second)
	if n := eval[int](b, "written"); n > 0 {
		t.Errorf("the page itself draws the bar %d times", n)
	}
	after := eval[[]float64](b, "came.map((at) => saves.find((s) => s > at) - at).filter((ms) => ms >= 0)")
	slices.Sort(after)
	if t.Logf("what was reached is saved %.0f ms after a key has come", after); len(after) == 0 || after[0] > 100 {
		t.Errorf("what was reached is saved %.0f ms after a key has come", after)
	}
	b.press(kb.Escape)
	b.quiet()
}
