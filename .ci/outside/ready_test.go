package outside

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"
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
		let ready = 0;
		note("page.js begins");
		record = r;
		Object.defineProperty(r, "ready", { enumerable: true, get: () => ready, set(at) { ready = at; performance.mark("ready"); note("ready", at); } });
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

// The page asks for its program and its modules at once, and is ready half a second after
// the navigation began, or, where the machine is busy with others, in three times the time that
// it takes to load the program alone. What can wait, waits until then.
func TestPageReady(t *testing.T) {
	s, parent := serve(t), openBrowser(t)
	best, alone := math.Inf(1), math.Inf(1)
	for range 4 {
		t.Run("anew", func(t *testing.T) {
			b := openTab(t, parent, 390, "light") // each is a process that has not seen the program
			r := b.becomesReady(s.address)
			t.Logf("ready after %.0f ms, for %.0f of which the page's own thread worked\n%s", r.steps["ready"], r.busy, r.lines)
			best = min(best, r.steps["ready"])
			if r.steps["the program is asked for"] > r.steps["page.js begins"] || strings.Count(r.lines, "the program is asked for\n") != 1 {
				t.Error("the program is asked for when the modules are there, or is asked for twice")
			}
			if r.steps["it is asked for: answer"] < r.steps["ready"] || strings.Count(r.lines, "it is asked for: open\n") != 1 {
				t.Error("the page works out what can wait, or works it out twice")
			}
			for _, name := range eval[[]string](b, `performance.getEntriesByType("resource").filter((e) => e.startTime < practiceRecord.ready).map((e) => e.name.split("/").at(-1))
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
	t.Logf("ready after %.0f ms at best; the program alone takes %.0f", best, alone)
	if best > max(500, 3*alone) {
		t.Errorf("ready after %.0f ms; the program alone takes %.0f", best, alone)
	}
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
