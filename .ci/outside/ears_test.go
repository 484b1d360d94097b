package outside

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/tracing"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"example.com/keyorder/examples/web/form"
	"example.com/keyorder/figure/playback/wav"
	"example.com/keyorder/figure/practice"
	"example.com/keyorder/figure/session"
)

// asked is what the page asks for: twenty statements of a bar of 2/4, each with a
// bar of rest.
var asked = map[string]string{"figure": "3 5 1 6", "meter": "2/4", "tempo": "160", "keys": "C Eb F Bb x5", "instrument": "trumpet"}

const takeRate = 44100

// hearing opens the session that settings ask for, but for some of them.
func hearing(t *testing.T, but map[string]string) *session.Session {
	t.Helper()
	settings := map[string]string{}
	for _, from := range []map[string]string{asked, but} {
		for k, v := range from {
			settings[k] = v
		}
	}
	text, err := json.Marshal(settings)
	if err != nil {
		t.Fatal(err)
	}
	s, err := form.New(context.Background(), text, "")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// sounded returns what settings sound like with the model.
func sounded(t *testing.T, but map[string]string) []float32 {
	t.Helper()
	given := map[string]string{"sound": "model"}
	for k, v := range but {
		given[k] = v
	}
	var b bytes.Buffer
	if err := wav.Write(&b, hearing(t, given).Line(), wav.Options{Rate: takeRate}); err != nil {
		t.Fatal(err)
	}
	w, err := wav.Read(&b)
	if err != nil {
		t.Fatal(err)
	}
	var all []float32
	block := make([]float32, 4096)
	for {
		n, err := w.Read(block)
		all = append(all, block[:n]...)
		if errors.Is(err, io.EOF) {
			return all
		}
		if err != nil {
			t.Fatal(err)
		}
	}
}

// at is the sample of a time.
func at(seconds float64) int { return int(math.Round(seconds * takeRate)) }

// writeWAV writes samples as 16-bit PCM of one channel.
func writeWAV(t *testing.T, samples []float32) string {
	t.Helper()
	size := uint32(2 * len(samples))
	b := []byte("RIFF")
	u32 := func(v uint32) { b = append(b, byte(v), byte(v>>8), byte(v>>16), byte(v>>24)) }
	u16 := func(v uint16) { b = append(b, byte(v), byte(v>>8)) }
	u32(36 + size)
	b = append(b, "WAVEfmt "...)
	u32(16)
	u16(1)
	u16(1)
	u32(takeRate)
	u32(2 * takeRate)
	u16(2)
	u16(16)
	b = append(b, "data"...)
	u32(size)
	for _, x := range samples {
		u16(uint16(int16(math.Round(32767 * float64(max(-1, min(x, 1)))))))
	}
	path := filepath.Join(t.TempDir(), "take.wav")
	if err := os.WriteFile(path, b, 0o644); err != nil {
		t.Fatal(err)
	}
	return path
}

// performance is a take of twenty statements: the first note, held for a little more
// than two beats, which starts the session, and when the count-in is due after it
// the session itself, in which three statements are played wrongly.
func performance(t *testing.T, wrong map[int]string) string {
	t.Helper()
	const beat = 60. / 160
	const quiet, start = 1.0, 5 * beat // after two beats and at least 0.8 s
	plan := hearing(t, nil).Plan()
	take := sounded(t, nil)
	for n, figure := range wrong {
		other := sounded(t, map[string]string{"figure": figure})
		from, to := at(plan.Statements[n].Start-0.03), at(plan.Turns[plan.Statements[n].Turn].To)
		copy(take[from:to], other[from:to])
	}
	long := map[string]string{"figure": "3:8", "tempo": "60", "meter": "4/4", "keys": "C"}
	note := sounded(t, long)[at(hearing(t, long).Plan().Statements[0].Start):][:at(2*beat+0.4)]
	all := make([]float32, at(quiet+start))
	copy(all[at(quiet):], note)
	return writeWAV(t, append(all, take...))
}

// A task is a task of the page's own thread: when it began, in ms after the trace did,
// and for how many ms it kept the processor busy, which other programs cannot lengthen.
type task struct{ at, busy float64 }

// tasks begins to watch the tasks of the page's own thread; what it returns gives those
// between two marks of the page, in their order. Without a name there is no bound.
func (b *tab) tasks() func(from, to string) []task {
	b.t.Helper()
	type event struct {
		Name, Ph string
		Pid, Tid int
		Ts, Tdur float64
		Args     struct{ Name string }
	}
	var mu sync.Mutex
	var all []event
	complete := make(chan struct{})
	ctx, ended := context.WithCancel(b.ctx)
	if err := chromedp.Listen(ctx, func(e any) {
		switch e := e.(type) {
		case *tracing.EventDataCollected:
			mu.Lock()
			defer mu.Unlock()
			for _, v := range e.Value {
				var one event
				if json.Unmarshal(v, &one) == nil {
					all = append(all, one)
				}
			}
		case *tracing.EventTracingComplete:
			close(complete)
		}
	}); err != nil {
		b.t.Fatal(err)
	}
	if _, err := chromedp.Call(b.ctx, tracing.Start, tracing.StartParams{TraceConfig: &tracing.TraceConfig{
		IncludedCategories: []string{"toplevel", "blink.user_timing"}, ExcludedCategories: []string{"*"},
	}}); err != nil {
		b.t.Fatal(err)
	}
	return func(from, to string) []task {
		b.t.Helper()
		defer ended()
		if _, err := chromedp.Call(b.ctx, tracing.End, cdp.Empty{}); err != nil {
			b.t.Fatal(err)
		}
		select {
		case <-complete:
		case <-time.After(30 * time.Second):
			b.t.Fatal("the browser does not say what it did")
		}
		mu.Lock()
		defer mu.Unlock()
		main := map[[2]int]bool{}
		first, last := math.Inf(-1), math.Inf(1)
		for _, e := range all {
			switch {
			case e.Name == from:
				first = e.Ts
			case e.Name == to:
				last = e.Ts
			case e.Ph == "M" && e.Args.Name == "CrRendererMain":
				main[[2]int{e.Pid, e.Tid}] = true
			}
		}
		var found []task
		for _, e := range all {
			if e.Ph == "X" && strings.HasSuffix(e.Name, "RunTask") && main[[2]int{e.Pid, e.Tid}] && e.Ts >= first && e.Ts < last {
				found = append(found, task{e.Ts / 1000, e.Tdur / 1000})
			}
		}
		if len(found) == 0 {
			names := map[string]int{}
			for _, e := range all {
				names[e.Ph+e.Name]++
			}
			b.t.Fatalf("of %d events none is a task of the page: %v", len(all), names)
		}
		slices.SortFunc(found, func(x, y task) int { return cmp.Compare(x.at, y.at) })
		return found
	}
}

// earsHearThreeFaults gives the page a microphone that plays a file. Held notes
// start it; of twenty statements exactly the three that were played wrongly are
// marked, in words; the click stays exact and the page's own thread free.
func earsHearThreeFaults(t *testing.T) {
	wrong := map[int]string{3: "3 5 2 6", 10: "3 0 1 6", 16: "3 5 1 b7"}
	want := map[int]string{3: "third note: C", 10: "second note missing", 16: "fourth note: B♭"}
	parent := openBrowser(t, chromedp.Flag("use-fake-device-for-media-stream", true), chromedp.Flag("use-fake-ui-for-media-stream", true),
		chromedp.Flag("use-file-for-fake-audio-capture", performance(t, wrong)+"%noloop"))
	b := openTab(t, parent, 1024, "light")
	b.script("window.long = []; new PerformanceObserver((l) => long.push(...l.getEntries().map((e) => [e.startTime, e.duration]))).observe({ type: 'longtask' });")
	link := url.Values{}
	for k, v := range asked {
		link.Set(k, v)
	}
	b.ready(static(t) + "#" + link.Encode())
	eval[chromedp.Void](b, "document.getElementById('ears').open = true; document.getElementById('keep-sound').checked = true; document.getElementById('mic').click()")
	b.wait("document.getElementById('ears-say').textContent.startsWith('The microphone is on')", 20*time.Second)
	b.sees("stage") // by the note that was held
	begun := eval[float64](b, "performance.now()")
	worked := b.tasks()
	b.wait("practiceRecord.heard.length === 19 || !document.getElementById('result').hidden", 60*time.Second)
	over := eval[float64](b, "performance.mark('over').startTime")
	b.sees("result")
	time.Sleep(1200 * time.Millisecond) // of the last statement it says what there is to say when all is over
	if n := eval[int](b, "document.querySelectorAll('#heard-list button').length"); n != 2*len(want) {
		t.Errorf("%d buttons play what was not clean and its model", n)
	}
	eval[chromedp.Void](b, "document.querySelectorAll('#heard-list button').forEach((x) => x.click())")
	if said := b.text("message"); said != "" {
		t.Errorf("of the model it says %q", said)
	}
	b.picture("ears-heard")
	var record struct {
		Start  float64
		Clicks []float64
		Heard  []struct {
			Statement      int
			Verdict, Words string
			After          float64
		}
	}
	if err := json.Unmarshal([]byte(eval[string](b, "JSON.stringify(practiceRecord)")), &record); err != nil {
		t.Fatal(err)
	}
	if len(record.Heard) != 20 {
		t.Errorf("of %d statements something is said, not of 20", len(record.Heard))
	}
	for _, h := range record.Heard {
		words, faulty := want[h.Statement]
		switch {
		case faulty && (h.Verdict != "not clean" || h.Words != words):
			t.Errorf("statement %d, played as %s: %s, %s; want %s", h.Statement, wrong[h.Statement], h.Verdict, h.Words, words)
		case !faulty && h.Verdict != "clean":
			t.Errorf("statement %d is clean, and heard as %s, %s", h.Statement, h.Verdict, h.Words)
		}
	}
	if told := b.text("told"); told != "20 of 20 keys played: 17 clean, 3 not clean, 0 not judged." {
		t.Errorf("the result says %q", told)
	}
	var after []float64
	for _, h := range record.Heard {
		after = append(after, 1000*h.After)
	}
	slices.Sort(after)
	t.Logf("said %.0f ms after a statement's end (median), %.0f at most", after[len(after)/2], after[len(after)-1])
	// A click on each of the two beats of every bar: a count-in of two bars, twenty
	// statements with their rests, but for the last rest.
	if len(record.Clicks) != 2*(2+40)-2 {
		t.Errorf("%d clicks", len(record.Clicks))
	}
	worst := 0.0
	for n, at := range record.Clicks {
		worst = max(worst, math.Abs(at-record.Start-float64(n)*60/160))
	}
	if t.Logf("%d clicks, at most %.3f ms from their time", len(record.Clicks), 1000*worst); worst > 0.002 {
		t.Errorf("a click is %.1f ms from its time", 1000*worst)
	}
	var tasks []float64
	for _, task := range eval[[][2]float64](b, "window.long") {
		if task[0] > begun && task[0] < over {
			tasks = append(tasks, math.Round(task[1]))
		}
	}
	slices.Sort(tasks)
	longest := 0.0
	all := worked("", "over")
	for _, one := range all {
		longest = max(longest, one.busy)
	}
	if len(all) < 1000 || longest == 0 {
		t.Fatalf("of the page's own thread %d tasks are known", len(all))
	}
	t.Logf("tasks of the page that took more than 50 ms, waiting for a processor included: %v; the longest kept the processor busy for %.1f ms", tasks, longest)
	if longest > 50 {
		t.Errorf("a task of the page works for %.1f ms", longest)
	}
	b.quiet()
}

// A fakeMIDI is a MIDI instrument that a test plays, and the page's audio clock.
const fakeMIDI = `
	window.AudioContext = class extends AudioContext { constructor() { super(); window.clock = this; } };
	window.input = { name: "a keyboard" };
	navigator.requestMIDIAccess = async () => ({ inputs: new Map([["1", input]]) });
	window.perf = (at) => { const { contextTime, performanceTime } = clock.getOutputTimestamp(); return performanceTime + (at - contextTime) * 1000; };
	window.key = (key, on, timeStamp = performance.now()) => input.onmidimessage({ data: [on ? 0x90 : 0x80, key, on ? 80 : 0], timeStamp });
	window.playAt = (key, at, length) => { const t = perf(at); setTimeout(() => key_(key, t, length), t - performance.now()); };
	window.key_ = (key, t, length) => { window.key(key, true, t); setTimeout(() => window.key(key, false), length * 1000); };
`

// playing opens the page with a MIDI instrument, holds the first note, so that four
// keys begin, and returns what plays statements of them, one note of them wrongly.
func playing(t *testing.T) (*tab, func(statements []int, wrong int)) {
	t.Helper()
	b := openTab(t, openBrowser(t), 1024, "light")
	b.script(fakeMIDI)
	b.ready(static(t) + "#figure=3+5+1+6&meter=2/4&tempo=160&keys=C+Eb+F+Bb&instrument=piano+C4-C6")
	loaded := "performance.getEntriesByType('resource').some((r) => r.name.includes('listen-w') || r.name.includes('ear.wasm'))"
	b.wait("navigator.serviceWorker.controller", 20*time.Second) // what is loaded is kept for when there is no network
	if eval[bool](b, loaded) {
		t.Error("what listens is loaded before anybody asks for it")
	}
	eval[chromedp.Void](b, "window.given = navigator.requestMIDIAccess; navigator.requestMIDIAccess = async () => { throw new DOMException('no', 'NotAllowedError'); }; document.getElementById('midi').click()")
	b.wait("document.getElementById('ears-say').textContent.includes('refused')", 5*time.Second)
	if said := b.text("ears-say"); !strings.Contains(said, "no MIDI instrument") || strings.Contains(said, "microphone") {
		t.Errorf("of MIDI instruments that are refused it says %q", said)
	}
	eval[chromedp.Void](b, "navigator.requestMIDIAccess = given")
	eval[chromedp.Void](b, "document.getElementById('ears').open = true; document.getElementById('mic').click()")
	b.wait("/no microphone/.test(document.getElementById('ears-say').textContent)", 20*time.Second) // nobody allows it here
	if eval[string](b, "document.getElementById('mic').ariaPressed") != "false" || !eval[bool](b, loaded) {
		t.Error("a microphone that is refused seems to be on")
	}
	eval[chromedp.Void](b, "document.getElementById('midi').click()")
	b.wait("document.getElementById('ears-say').textContent === 'It listens to a keyboard.'", 20*time.Second)
	if !eval[bool](b, "caches.match('ear.wasm').then(Boolean)") {
		t.Error("without a network it cannot listen again")
	}
	time.Sleep(300 * time.Millisecond)
	eval[chromedp.Void](b, "key(61, true)") // not the first note
	time.Sleep(1200 * time.Millisecond)
	if eval[bool](b, "document.getElementById('stage').checkVisibility()") {
		t.Error("another note starts it")
	}
	eval[chromedp.Void](b, "key(61, false); key(64, true)")
	b.sees("stage")
	eval[chromedp.Void](b, "key(64, false)")
	b.wait("practiceRecord.keys.length > 0", 5*time.Second)
	line := hearing(t, map[string]string{"keys": "C Eb F Bb", "instrument": "piano C4-C6", "sound": "model"}).Line()
	due := map[int][]any{}
	for turn := range line.Turns(0) {
		for n := range line.Notes(turn) {
			due[turn.Statement] = append(due[turn.Statement], []float64{float64(n.Key), line.At(n.On).Seconds()})
		}
	}
	return b, func(statements []int, wrong int) {
		t.Helper()
		var all []any
		for _, n := range statements {
			all = append(all, due[n]...)
		}
		text, err := json.Marshal(all)
		if err != nil {
			t.Fatal(err)
		}
		eval[chromedp.Void](b, fmt.Sprintf("%s.forEach(([k, at], n) => playAt(k + (n === %d ? 1 : 0), practiceRecord.start + at, 0.1))", text, wrong))
	}
}

// TestEarsKeys: the same from a MIDI instrument: a note that is held starts, and goes
// on after a pause; a wrong note is said on the stage with a sign; the player's own
// word goes before it; the result and the log have what was said.
func TestEarsKeys(t *testing.T) {
	t.Parallel() // it mostly waits
	b, play := playing(t)
	play([]int{0, 1}, 6)
	b.wait("practiceRecord.heard.length > 0", 10*time.Second)
	if said := b.text("said"); said != "C: clean." {
		t.Errorf("of the first key it says %q", said)
	}
	b.wait("practiceRecord.heard.length > 1", 10*time.Second)
	if said := b.text("said"); said != "E♭: third note: F♭." {
		t.Errorf("of the second key it says %q", said)
	}
	if sign := eval[string](b, "getComputedStyle(document.getElementById('said'), '::before').content"); sign != `"× "` {
		t.Errorf("its sign is %s", sign)
	}
	b.press("p")
	b.sees("held")
	time.Sleep(200 * time.Millisecond)
	eval[chromedp.Void](b, "key(69, true)") // an A, the first note in F
	b.wait("!document.getElementById('held').checkVisibility()", 5*time.Second)
	eval[chromedp.Void](b, "key(69, false)")
	play([]int{2, 3}, -1)
	b.wait("practiceRecord.heard.length > 2", 10*time.Second)
	b.press(kb.ArrowLeft) // not clean, says the player
	if said := b.text("said"); said != "F: not clean." {
		t.Errorf("of the third key the player says %q", said)
	}
	rules := axe(t)
	for _, size := range sizes {
		do(t, b.ctx, chromedp.EmulateViewport(size[0], size[1]))
		eval[chromedp.Void](b, "document.getElementById('said').textContent = 'E♭: third note 120 ms late; B♭♭ too many, after the fourth note; and 2 more.'")
		for _, o := range eval[[]string](b, sticksOut) {
			t.Errorf("%v: %s", size, o)
		}
		b.picture(fmt.Sprintf("ears-stage-%dx%d", size[0], size[1]))
	}
	b.sees("result")
	b.wait("practiceRecord.heard.length === 4 && document.getElementById('told').textContent.startsWith('4 of 4 keys played: 2 clean, 2 not clean, 0')", 5*time.Second)
	if heard := b.text("heard-list"); strings.TrimSpace(heard) != "E♭: third note: F♭" {
		t.Errorf("the result lists %q", heard)
	}
	l, err := practice.Read(strings.NewReader(eval[string](b, "localStorage.getItem('keyorder practice log')")))
	if err != nil || len(l.Entries) != 1 || l.Entries[0].Clean != 2 || l.Entries[0].Played != 4 {
		t.Errorf("the log has %+v, %v", l.Entries, err)
	}
	b.check("result", rules)
	b.picture("ears-result")
	b.quiet()
}

// TestEarsPlayOn: at the result the first note of what follows, held for two beats, does
// as the pedal: again, or the next step of what is learned.
func TestEarsPlayOn(t *testing.T) {
	t.Parallel() // it mostly waits
	b, play := playing(t)
	hold := func(key int) {
		t.Helper()
		time.Sleep(200 * time.Millisecond)
		eval[chromedp.Void](b, fmt.Sprintf("key(%d, true)", key))
		time.Sleep(1200 * time.Millisecond)
		eval[chromedp.Void](b, fmt.Sprintf("key(%d, false)", key))
	}
	play([]int{0}, 1)
	b.wait("practiceRecord.heard.length > 0", 10*time.Second)
	b.press(kb.Escape)
	b.sees("result")
	if says := b.text("hold-says"); says != "Or hold the first note, in C, for two beats: Again." {
		t.Errorf("it says %q", says)
	}
	hold(61)
	if !eval[bool](b, "document.getElementById('result').checkVisibility()") {
		t.Error("another note goes on")
	}
	hold(64)
	b.sees("stage")
	if where := b.text("setting"); where != "in major · 1 of 4" {
		t.Errorf("again: %q", where)
	}
	b.press(kb.Escape)
	b.sees("setup")
	b.open("learn")
	b.click("#build")
	b.playThrough()
	if says := b.text("hold-says"); says != "Or hold the first note, in C, for two beats: One note more: 3 of 4." {
		t.Errorf("after a step it says %q", says)
	}
	hold(64)
	b.sees("stage")
	b.wait("document.getElementById('degrees').textContent === '3 5 1'", 5*time.Second)
	b.press(kb.Escape)
	b.quiet()
}

// earsComeBack: what was heard is there after the page was loaded anew, and can
// be taken back.
func earsComeBack(t *testing.T) {
	b, play := playing(t)
	play([]int{0, 1}, 6)
	b.wait("practiceRecord.heard.length > 1", 10*time.Second)
	b.press("p")
	b.sees("held")
	do(t, b.ctx, chromedp.Reload())
	b.wait("window.practiceRecord && practiceRecord.offered", 20*time.Second)
	b.sees("kept")
	if what := b.text("kept-what"); !strings.HasSuffix(what, "2 of 4 keys are judged.") {
		t.Errorf("it offers %q", what)
	}
	do(t, b.ctx, chromedp.Click(chromedp.CSS("#put-away")))
	b.sees("result")
	if told := b.text("told"); told != "2 of 4 keys played: 1 clean, 1 not clean, 0 not judged." {
		t.Errorf("the result says %q", told)
	}
	if heard := b.text("heard-list"); strings.TrimSpace(heard) != "E♭: third note: F♭" {
		t.Errorf("the result lists %q", heard)
	}
	eval[chromedp.Void](b, "document.querySelectorAll('#list button')[1].click()") // not clean: now unsaid
	l, err := practice.Read(strings.NewReader(eval[string](b, "localStorage.getItem('keyorder practice log')")))
	if err != nil || len(l.Entries) != 1 || l.Entries[0].Clean != 1 || l.Entries[0].Played != 1 || len(l.Entries[0].FailedMoves) != 0 || !strings.Contains(b.text("told"), "0 not clean, 1 not judged") {
		t.Errorf("what was taken back stands in the log: %+v, %v, %s", l.Entries, err, b.text("told"))
	}
	b.quiet()
}

// earsIdea: an idea that is played to a count stands on a staff with its degrees,
// is kept or tried again, heard back beside the model, and kept as sound only where
// that is asked for.
func earsIdea(t *testing.T) {
	const figure = "1:3 5 4 2 3:2"
	long := map[string]string{"figure": figure, "meter": "4/4", "tempo": "120", "keys": "Eb"}
	plan := hearing(t, long).Plan()
	played := sounded(t, long)[at(plan.Statements[0].Start):at(plan.Statements[0].End)]
	parent := openBrowser(t, chromedp.Flag("use-fake-device-for-media-stream", true), chromedp.Flag("use-fake-ui-for-media-stream", true),
		chromedp.Flag("use-file-for-fake-audio-capture", writeWAV(t, append(make([]float32, at(8)), played...))+"%noloop"))
	b := openTab(t, parent, 1440, "light")
	rules := axe(t)
	look := func(state string) {
		t.Helper()
		for _, size := range [][2]int64{{360, 640}, {1440, 900}} {
			do(t, b.ctx, chromedp.EmulateViewport(size[0], size[1]))
			b.check(fmt.Sprintf("%s %d", state, size[0]), rules)
			b.picture(fmt.Sprintf("ears-%s-%d", state, size[0]))
		}
	}
	b.ready(static(t) + "#tempo=120&instrument=trumpet")
	eval[chromedp.Void](b, "document.getElementById('ears').open = true; document.getElementById('mic').click()")
	b.wait("document.getElementById('ears-say').textContent.startsWith('The microphone is on')", 20*time.Second)
	eval[chromedp.Void](b, "document.getElementById('play-open').click(); document.getElementById('play-go').click()")
	b.wait("document.getElementById('play-count').textContent === '2'", 5*time.Second)
	b.sees("play-found")
	if found := b.text("play-degrees"); found != figure+" in major" {
		t.Errorf("it was %s and is read as %s", figure, found)
	}
	if notes := b.text("play-notes"); notes != "In E♭: E♭ B♭ A♭ F G" {
		t.Errorf("its notes are %s", notes)
	}
	if !eval[bool](b, "document.querySelector('#play-staff svg').checkVisibility() && document.getElementById('play-mine').checkVisibility()") {
		t.Error("there is no staff, or nothing to hear back")
	}
	if n := eval[int](b, "indexedDB.databases().then((d) => d.length)"); n != 0 && eval[int](b, "document.getElementById('takes').childElementCount") != 0 {
		t.Error("a take is kept that nobody asked for")
	}
	look("idea")
	for _, id := range []string{"play-mine", "play-model", "play-take", "play-keep"} {
		eval[chromedp.Void](b, fmt.Sprintf("document.getElementById(%q).click()", id))
		time.Sleep(300 * time.Millisecond)
	}
	b.wait("document.getElementById('takes').childElementCount === 1", 5*time.Second)
	eval[chromedp.Void](b, "document.getElementById('play-close').click()")
	if kept := eval[string](b, "localStorage.getItem('keyorder ideas')"); !strings.Contains(kept, figure) {
		t.Errorf("kept is %s", kept)
	}
	if now := eval[string](b, "document.getElementById('field-figure').value + ', ' + document.getElementById('field-first').value"); now != figure+", E♭" {
		t.Errorf("the settings have %s", now)
	}
	look("listening")
	b.quiet()
}
