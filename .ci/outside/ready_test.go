package outside

import (
	"encoding/json"
	"fmt"
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
				program[name] = (...given) => { const from = performance.now(), text = f(...given); note(name + ", after " + (performance.now() - from).toFixed(1)); return text; };
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

func TestPageReady(t *testing.T) {
	s := serve(t)
	b := openTab(t, openBrowser(t), 390, "light")
	b.script(timeline)
	var all, work []float64
	for range 4 {
		do(t, b.ctx, chromedp.Navigate("about:blank"))
		if _, err := chromedp.Call(b.ctx, storage.ClearDataForOrigin, storage.ClearDataForOriginParams{Origin: strings.TrimSuffix(s.address, "/"), StorageTypes: "all"}); err != nil {
			t.Fatal(err)
		}
		if _, err := chromedp.Call(b.ctx, network.ClearBrowserCache, cdp.Empty{}); err != nil {
			t.Fatal(err)
		}
		worked := b.tasks()
		b.load(s.address)
		b.wait("practiceRecord.offered", 5e9)
		sum := 0.0
		for _, one := range worked("", "ready") {
			sum += one.busy
		}
		all = append(all, eval[float64](b, "practiceRecord.ready"))
		work = append(work, sum)
		var steps [][2]any
		if err := json.Unmarshal([]byte(eval[string](b, "JSON.stringify(timeline)")), &steps); err != nil {
			t.Fatal(err)
		}
		slices.SortStableFunc(steps, func(x, y [2]any) int { return int(x[0].(float64)*1000) - int(y[0].(float64)*1000) })
		out := ""
		for _, st := range steps {
			out += fmt.Sprintf("%8.1f %s\n", st[0], st[1])
		}
		t.Logf("ready %.0f, worked %.0f\n%s", all[len(all)-1], sum, out)
	}
	t.Log(all, work)
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
	longest := task{}
	for _, one := range all {
		if one.busy > longest.busy {
			longest = one
		}
	}
	t.Logf("%d tasks in %.1f s; the longest, after %.1f s, works for %.1f ms", len(all), (all[len(all)-1].at-all[0].at)/1000, (longest.at-all[0].at)/1000, longest.busy)
	if longest.busy > 50 {
		t.Errorf("a task works for %.1f ms", longest.busy)
	}
	b.quiet()
}
