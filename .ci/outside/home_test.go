package outside

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/practice"
)

// practised is the log of a player who followed the plan of the day for so many days,
// with a day off now and then and every fifth statement not clean; invented.
func practised(t *testing.T, days int, until practice.Date) string {
	t.Helper()
	trumpet, err := drill.Find("trumpet", drill.LevelComfortable)
	if err != nil {
		t.Fatal(err)
	}
	set := practice.Settings{Instrument: trumpet, Stage: practice.StageConstantOrders, Minutes: 2, Ideas: []practice.Idea{
		{Name: "settle", Figure: figure.MustParse("1:3 5 4 2 3:2"), Variations: []figure.Variation{figure.MustParseVariation("retrograde")}},
		{Name: "sway", Figure: figure.MustParse("4 2 5 1:2 in dorian"), Tempo: 66, Goal: 100},
	}}
	var text strings.Builder
	for n := range days {
		if n%4 == 3 {
			continue
		}
		set.Date = until - practice.Date(days-n)
		log, err := practice.Read(strings.NewReader(text.String()))
		if err != nil {
			t.Fatal(err)
		}
		p, err := practice.NewPlan(set, log)
		if err != nil {
			t.Fatal(err)
		}
		for k, b := range p.Blocks {
			if b.Pause {
				continue
			}
			e := p.Entry(k)
			if n%3 == k%3 {
				for m := range e.Route.Moves() {
					e.FailedMoves, e.Clean = practice.MoveList{m}, e.Clean-1
					break
				}
			}
			if err := practice.AppendEntry(&text, e); err != nil {
				t.Fatal(err)
			}
		}
	}
	return text.String()
}

// stored keeps texts in the browser before a page is opened.
func (b *tab) stored(address string, texts map[string]string) {
	b.t.Helper()
	b.load(address)
	eval[chromedp.Void](b, "localStorage.clear()")
	for key, text := range texts {
		eval[chromedp.Void](b, fmt.Sprintf("localStorage.setItem(%s, %s)", quote(b.t, key), quote(b.t, text)))
	}
	b.ready(address)
}

func (b *tab) open(id string) {
	b.t.Helper()
	eval[chromedp.Void](b, fmt.Sprintf("document.getElementById(%q).open = true", id))
}

func (b *tab) click(selector string) {
	b.t.Helper()
	eval[chromedp.Void](b, fmt.Sprintf("document.querySelector(%s).click()", quote(b.t, selector)))
}

const ideasKey, logKey = "keyorder ideas", "keyorder practice log"

// TestHome opens what a player has at home, each in a tab of its own.
func TestHome(t *testing.T) {
	t.Parallel() // it mostly waits
	address, parent := static(t), openBrowser(t)
	t.Run("at first", func(t *testing.T) { homeAtFirst(t, address, parent) })
	t.Run("plan", func(t *testing.T) { homePlan(t, address, parent) })
	t.Run("learn", func(t *testing.T) { homeLearn(t, address, parent) })
	t.Run("ideas", func(t *testing.T) { homeIdeas(t, address, parent) })
	t.Run("history", func(t *testing.T) { homeHistory(t, address, parent) })
}

// At first there are three choices and the button that starts, above the fold; all else is
// folded away.
func homeAtFirst(t *testing.T, address string, parent context.Context) {
	for _, size := range [][2]int64{{360, 640}, {1440, 900}} {
		b := openTab(t, parent, size[0], "light")
		do(t, b.ctx, chromedp.EmulateViewport(size[0], size[1]))
		b.ready(address)
		above := eval[[]string](b, `[...document.querySelectorAll("input, select, button, summary, a")].filter((e) => e.checkVisibility() && e.getBoundingClientRect().bottom <= innerHeight).map((e) => e.id || e.localName)`)
		if len(above) < 4 || !slices.Equal(above[:4], []string{"field-figure", "field-order", "field-instrument", "start"}) {
			t.Errorf("%v: above the fold are %q", size, above)
		}
		if open := eval[int](b, "document.querySelectorAll('details[open]').length"); open != 0 {
			t.Errorf("%v: %d parts are open", size, open)
		}
		b.picture(fmt.Sprintf("home-first-%d", size[0]))
		if here := b.text("link-here"); eval[bool](b, "document.getElementById('unready').checkVisibility() || !document.getElementById('link-here').checkVisibility()") || !strings.Contains(here, "-out practice-page") {
			t.Errorf("of a link that opens on this computer only it says %q", here)
		}
	}
	// Opened as a file it does not run, and says why.
	b := openTab(t, parent, 800, "light")
	do(t, b.ctx, chromedp.Navigate("file://"+filepath.Join(written, "index.html")))
	b.wait("document.getElementById('unready').checkVisibility({visibilityProperty: true})", 10*time.Second)
	if said := eval[string](b, "document.body.innerText"); !strings.Contains(said, "only from a web server") {
		t.Errorf("opened as a file it says %q", said)
	}
	b.picture("home-file")
}

// The plan of the day is that of examples/today; a block of it, started by one touch and
// played by pedal, is done there too once the log is taken over.
func homePlan(t *testing.T, address string, parent context.Context) {
	b := openTab(t, parent, 800, "light")
	now := practice.DateOf(time.Now())
	log := practised(t, 9, now)
	path := filepath.Join(t.TempDir(), "practice.jsonl")
	if err := os.WriteFile(path, []byte(log), 0o644); err != nil {
		t.Fatal(err)
	}
	today := func(args ...string) string {
		t.Helper()
		out, err := exec.Command("go", append([]string{"run", "example.com/keyorder/examples/today", "-log", path}, args...)...).CombinedOutput()
		if err != nil {
			t.Fatalf("%v\n%s", err, out)
		}
		return string(out)
	}
	shown := today("-figures", "quick = 3 5 1 6; slow = 5 2 b3:2 1", "-vary", "retrograde", "-tempo", "500", "-goal", "500", "-minutes", "1", "-for", "trumpet")
	b.stored(address+"#instrument=trumpet", map[string]string{
		logKey:          log,
		"keyorder plan": `{"minutes":1,"stage":""}`,
		ideasKey: `{"version":1,"ideas":[{"name":"quick","settings":{"figure":"3 5 1 6","tempo":"500"},"goal":500,"variations":["retrograde","sideways"]},
			{"name":"slow","settings":{"figure":"5 2 b3:2 1","tempo":"500"},"goal":500,"variations":["retrograde"]},
			{"name":"away","settings":{"figure":"5 4 1 2"},"until":"9999-01-01"}, {"name":"broken","settings":{"figure":"5 x"}}]}`,
	})
	b.open("plan")
	b.wait("document.querySelectorAll('#plan-blocks button').length", 5*time.Second)
	titles := eval[[]string](b, "[...document.querySelectorAll('#plan-blocks strong')].map((e) => e.textContent.toLowerCase())")
	var want []string
	for _, m := range regexp.MustCompile(`(?m)^ +\d+:\d\d   (\d+)   (\w+)`).FindAllStringSubmatch(shown, -1) {
		want = append(want, m[1]+" "+strings.ToLower(m[2]))
	}
	if len(want) < 2 || !slices.Equal(titles, want) {
		t.Fatalf("the plan has the blocks %q, that of examples/today %q\n%s", titles, want, shown)
	}
	text := b.text("plan-blocks")
	for _, keys := range regexp.MustCompile(`(?m)^         ((?:\(?[A-G][♭♯]?\)?  )+\(?[A-G][♭♯]?\)?)`).FindAllStringSubmatch(shown, -1) {
		if !strings.Contains(text, strings.Join(strings.Fields(keys[1]), " ")) {
			t.Errorf("the keys %s are not in the plan %q", keys[1], text)
		}
	}
	if told := b.text("plan-told"); !strings.Contains(told, "away: put aside, comes back on 9999-01-01.") || !strings.Contains(told, "broken: Figure: ") {
		t.Errorf("left aside: %q", told)
	}
	b.picture("home-plan")
	b.click("#plan-blocks button")
	b.playThrough()
	b.picture("home-block-result")
	if next := b.text("again"); next != "Next: 2 "+strings.Fields(want[1])[1] {
		t.Errorf("after the first block the pedal has %q", next)
	}
	saved := eval[string](b, "localStorage.getItem('"+logKey+"')")
	added, _ := strings.CutPrefix(saved, log)
	var e practice.Entry
	if err := json.Unmarshal([]byte(added), &e); err != nil || e.Block != 1 || !e.FirstTry || e.Clean != e.Played || e.Tempo != 500 {
		t.Fatalf("the log has %q, %v", added, err)
	}
	b.click("#back")
	eval[chromedp.Void](b, "document.getElementById('plan').open = false")
	b.open("plan")
	b.wait(fmt.Sprintf("document.getElementById('plan-blocks').textContent.includes('done: %d of %d clean')", e.Clean, e.Played), 5*time.Second)
	other := filepath.Join(t.TempDir(), "page.jsonl")
	if err := os.WriteFile(other, []byte(saved), 0o644); err != nil {
		t.Fatal(err)
	}
	today("-done", "-from", other)
	// Without a link it is the instrument that was played last.
	b.ready(address)
	b.open("plan")
	b.wait("document.getElementById('plan-heading').textContent.includes(' · trumpet in B♭ · ')", 5*time.Second)
	if shown := today(); !strings.Contains(shown, fmt.Sprintf("QUICK   TEST   DONE, %d of %d clean", e.Clean, e.Played)) && !strings.Contains(shown, fmt.Sprintf("SLOW   TEST   DONE, %d of %d clean", e.Clean, e.Played)) {
		t.Errorf("with the log of the page examples/today shows\n%s", shown)
	}
	b.quiet()
}

// What was practised is drawn and told, and the words agree with the log.
func homeHistory(t *testing.T, address string, parent context.Context) {
	now := practice.DateOf(time.Now())
	text := practised(t, 6, now-60) + practised(t, 2, now)
	// A figure on one day, again and again: its best, which is neither the first nor the last.
	for _, take := range []string{`80,"rest":"1","clean":1`, `86,"rest":"1","clean":1`, `90,"rest":"1","clean":0`, `84,"rest":"1","clean":1`} {
		text += fmt.Sprintf(`{"version":2,"date":"%v","figure":"3 5 1 6","keys":"0","instrument":"trumpet in B♭","first":"C4","stage":"few keys","tempo":%s,"statements":1}`+"\n", now, take)
	}
	log, err := practice.Read(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	clean, _ := log.Tally("trumpet in B♭")
	rules := axe(t)
	for _, look := range []struct {
		width  int64
		scheme string
		size   string
	}{{360, "dark", "200%"}, {1440, "light", "100%"}} {
		b := openTab(t, parent, look.width, look.scheme)
		b.stored(address+"#instrument=trumpet", map[string]string{logKey: text})
		eval[chromedp.Void](b, "document.documentElement.style.fontSize = '"+look.size+"'")
		b.open("past")
		b.wait("document.querySelectorAll('#past-moves li').length === 12", 5*time.Second)
		if said := b.text("past-total"); !strings.Contains(said, fmt.Sprintf(" %d of the 132 moves", clean.Made())) {
			t.Errorf("%d moves were clean, and it says %q", clean.Made(), said)
		}
		rows := eval[int](b, "[...document.querySelectorAll('#past-moves li > span:nth-of-type(2)')].reduce((n, e) => n + Number(e.textContent.match(/^(\\d+) of 12/)?.[1] || 0), 0)")
		if rows != clean.Made() {
			t.Errorf("the rows have %d moves, not %d", rows, clean.Made())
		}
		if said := b.text("past-takes"); !strings.Contains(said, "settle: tempo 80 on ") || !strings.Contains(said, "4 2 5 1:2 in dorian: tempo 66 on") && !strings.Contains(said, "sway: tempo 66 on") {
			t.Errorf("of tempos it says %q", said)
		}
		if said := b.text("past-takes"); !strings.Contains(said, "3 5 1 6: tempo 86 on ") || regexp.MustCompile(`3 5 1 6: tempo 86 on [^;]*,`).MatchString(said) {
			t.Errorf("of tempos on one day it says %q", said)
		}
		b.check(fmt.Sprintf("history %d", look.width), rules)
		b.picture(fmt.Sprintf("home-history-%d-%s", look.width, look.scheme))
		first := log.Entries[0]
		eval[chromedp.Void](b, fmt.Sprintf("(() => { const w = document.getElementById('past-when'); w.value = %d; w.dispatchEvent(new Event('input')); })()", first.Date))
		then := practice.Log{}
		for _, e := range log.Entries {
			if e.Date == first.Date {
				then.Entries = append(then.Entries, e)
			}
		}
		made, _ := then.Tally(first.Instrument)
		if said := b.text("past-total"); !strings.Contains(said, fmt.Sprintf(" %d of the 132 moves were clean at least once, %d of them", made.Made(), made.Made())) {
			t.Errorf("on the first day %d moves were clean, and it says %q", made.Made(), said)
		}
		b.quiet()
	}
}

// logged are the entries that the page has added to a log.
func (b *tab) logged(before string) (all []practice.Entry) {
	b.t.Helper()
	saved := eval[string](b, "localStorage.getItem('"+logKey+"') || ''")
	l, err := practice.Read(strings.NewReader(strings.TrimPrefix(saved, before)))
	if err != nil || l.Bad > 0 {
		b.t.Fatalf("the log is %q, %v", saved, err)
	}
	return l.Entries
}

// playThrough says clean of every statement, until the result is there.
func (b *tab) playThrough() {
	b.t.Helper()
	b.wait("!document.getElementById('stage').hidden", 5*time.Second)
	for end := time.Now().Add(time.Minute); time.Now().Before(end); time.Sleep(100 * time.Millisecond) {
		if eval[bool](b, "!document.getElementById('result').hidden") {
			b.allClean()
			return
		}
		b.press(kb.ArrowRight)
	}
	b.t.Fatal("the session does not end")
}

// allClean says clean of what a slow machine has passed over.
func (b *tab) allClean() {
	b.t.Helper()
	eval[chromedp.Void](b, "(() => { for (let left = 99, s; left && (s = document.querySelector('#list .say:not(.clean)')); left--) s.click(); })()")
}

// A figure is built up note by note in its first key, logged as its beginnings, by pedal
// alone, and goes through the keys at the end. After that it is cold no more; before, a
// cold take is the first try, with the click alone.
func homeLearn(t *testing.T, address string, parent context.Context) {
	b := openTab(t, parent, 800, "light")
	b.stored(address+"#figure=3+5+1&tempo=500&keys=Eb+F&drone=tonic&vary=retrograde&sound=model", nil)
	b.open("learn")
	b.wait("document.querySelectorAll('#offers button').length > 4", 5*time.Second)
	if said := b.text("build-says"); said != "3 5  →  3 5 1" {
		t.Errorf("it is built up as %q", said)
	}
	if pressed := eval[string](b, "document.querySelector('#offers [aria-pressed=true]').textContent"); pressed != "From the last note to the first1 5 3" {
		t.Errorf("of the variations %q is chosen", pressed)
	}
	b.picture("home-learn")
	b.click("#cold")
	b.playThrough()
	all := b.logged("")
	if len(all) != 1 || !all[0].FirstTry || all[0].Variation != (figure.Variation{}) || all[0].Figure.Plain() != "3 5 1" || all[0].Route.String() != "35" {
		t.Fatalf("the cold take is logged as %+v", all)
	}
	if said := b.text("ladder-says"); said != "Your first take of the day: 2 of 2 clean. It is logged apart, as the first try." {
		t.Errorf("after a cold take: %q", said)
	}
	b.click("#back")
	if !eval[bool](b, "document.getElementById('cold').disabled") || !strings.Contains(b.text("cold-says"), "Cold so far: ") {
		t.Errorf("a second cold take is offered, %q", b.text("cold-says"))
	}
	b.click("#build")
	b.playThrough()
	if told := b.text("told"); told != "4 of 4 tries played: 4 clean, 0 not clean, 0 not judged." {
		t.Errorf("four tries in one key are told as %q", told)
	}
	if next := b.text("again"); next != "One note more: 3 of 3" {
		t.Errorf("after the first step the pedal has %q", next)
	}
	b.press(kb.PageDown)
	b.wait("document.getElementById('degrees').textContent === '3 5 1'", 20*time.Second)
	do(t, b.ctx, chromedp.Reload())
	b.wait("window.practiceRecord && practiceRecord.offered", 20*time.Second)
	b.press(kb.PageDown) // goes on
	b.playThrough()
	if next := b.text("again"); next != "Now through the keys" {
		t.Errorf("after the last step the pedal has %q", next)
	}
	b.press(kb.PageDown)
	b.wait("document.getElementById('setting').textContent.includes('retrograde')", 20*time.Second)
	b.playThrough()
	var got []string
	minutes := 0
	for _, e := range b.logged("") {
		minutes += e.Minutes
		got = append(got, fmt.Sprintf("%s %v %s %v", e.Figure.Plain(), e.Variation, e.Route, e.FirstTry))
	}
	if want := []string{"3 5 1  35 true", "3 5 1 first 2 3333 false", "3 5 1 first 3 3333 false", "3 5 1 retrograde 35 false"}; !slices.Equal(got, want) {
		t.Errorf("the log has %q, not %q", got, want)
	}
	// Sixteen bars of the figure, each answered, and counts: far from half a minute each.
	var rest struct{ Seconds float64 }
	if err := json.Unmarshal([]byte(eval[string](b, "localStorage.getItem('keyorder minutes')")), &rest); err != nil || minutes > 1 || 60*float64(minutes)+rest.Seconds < 5 || math.Abs(rest.Seconds) > 30 {
		t.Errorf("the entries of some seconds each have %d minutes, %v left over, %v", minutes, rest.Seconds, err)
	}
	b.quiet()
}

// Tags, a goal and variations belong to an idea, are kept, and go out and in with it; put
// aside, it is not in the plan.
func homeIdeas(t *testing.T, address string, parent context.Context) {
	rules := axe(t)
	b := openTab(t, parent, 360, "dark")
	b.stored(address, map[string]string{ideasKey: `{"version":1,"ideas":[{"name":"one","settings":{"figure":"3 5 1 6"},"tags":["blues"]},{"name":"two","settings":{"figure":"C G Eb F"}}]}`})
	b.open("own")
	b.open("plan")
	b.wait("document.querySelectorAll('#plan-blocks strong').length", 5*time.Second)
	eval[chromedp.Void](b, "document.querySelectorAll('#ideas details').forEach((d) => { d.open = true; })")
	b.wait("document.querySelectorAll('#ideas fieldset').length === 2", 5*time.Second)
	b.check("ideas", rules)
	b.picture("home-ideas-360-dark")
	// Enter starts nothing in fields beside those of the drill, and does what they are for.
	enter := func(id, text string) {
		t.Helper()
		eval[chromedp.Void](b, fmt.Sprintf("document.getElementById(%q).select()", id))
		do(t, b.ctx, chromedp.SendKeys(chromedp.CSS("#"+id), text+kb.Enter))
		if eval[bool](b, "document.getElementById('setup').hidden") {
			t.Fatalf("Enter in %s starts", id)
		}
	}
	enter("plan-minutes", "999")
	if said := b.text("wrong-plan"); !strings.HasPrefix(said, "Minutes: ") {
		t.Errorf("of 999 minutes it says %q", said)
	}
	enter("plan-minutes", "7")
	if heading := b.text("plan-heading"); !strings.Contains(heading, " · 7 min · ") || b.text("wrong-plan") != "" {
		t.Errorf("for 7 minutes the plan is %q", heading)
	}
	enter("idea-name", "three")
	if names := eval[[]string](b, "[...document.querySelectorAll('#ideas button:first-child')].map((e) => e.textContent)"); !slices.Contains(names, "three") {
		t.Errorf("the ideas are %q", names)
	}
	eval[chromedp.Void](b, "[...document.querySelectorAll('#ideas li')].find((e) => e.textContent.startsWith('three')).querySelector('[aria-label^=Remove]').click()")
	b.wait("document.querySelectorAll('#ideas > li').length === 2", 5*time.Second)
	if said := b.text("own-says"); said != "Removed: three." {
		t.Errorf("after it was removed it says %q", said)
	}
	eval[chromedp.Void](b, "document.querySelectorAll('#ideas details').forEach((d) => { d.open = true; })")
	b.wait("document.querySelectorAll('#ideas fieldset').length === 2", 5*time.Second)
	goal := func(text string) {
		t.Helper()
		eval[chromedp.Void](b, fmt.Sprintf("(() => { const g = document.querySelectorAll('#ideas [inputmode=numeric]')[1]; g.value = %s; g.dispatchEvent(new Event('change')); })()", quote(t, text)))
	}
	goal("fast")
	wrong := "[...document.querySelectorAll('#ideas .wrong')].map((e) => e.textContent).join('')"
	if said := eval[string](b, wrong); !strings.HasPrefix(said, "Goal: a tempo") {
		t.Errorf("of a goal that is none it says %q", said)
	}
	goal("132")
	if said := eval[string](b, wrong); said != "" {
		t.Errorf("mended, it still says %q", said)
	}
	eval[chromedp.Void](b, "(() => { const g = document.querySelectorAll('#ideas li')[1].querySelector('input'); g.value = ' slow,, blues '; g.dispatchEvent(new Event('change')); })()")
	eval[chromedp.Void](b, "document.querySelectorAll('#ideas li')[1].querySelector('[type=checkbox]').click()")
	eval[chromedp.Void](b, "[...document.querySelectorAll('#ideas li')[0].querySelectorAll('button')].at(-1).click()")
	if told := b.text("plan-told"); !strings.Contains(told, "one: put aside, comes back on ") {
		t.Errorf("put aside, the plan says %q", told)
	}
	if titles := eval[string](b, "[...document.querySelectorAll('#plan-blocks strong')].map((e) => e.textContent).join()"); strings.Contains(titles, "one") || !strings.Contains(titles, "two") {
		t.Errorf("the plan has %s", titles)
	}
	written := eval[string](b, "localStorage.getItem('"+ideasKey+"')")
	var file struct {
		Ideas []struct {
			Tags, Variations []string
			Goal             int
			Until            string
		}
	}
	if err := json.Unmarshal([]byte(written), &file); err != nil || len(file.Ideas) != 2 || file.Ideas[1].Goal != 132 || !slices.Equal(file.Ideas[1].Tags, []string{"slow", "blues"}) || !slices.Equal(file.Ideas[1].Variations, []string{"retrograde"}) {
		t.Errorf("the ideas are kept as %s, %v", written, err)
	}
	if until, err := practice.ParseDate(file.Ideas[0].Until); err != nil || until < practice.DateOf(time.Now())+13 {
		t.Errorf("put aside until %q, %v", file.Ideas[0].Until, err)
	}
	eval[chromedp.Void](b, "[...document.querySelectorAll('#idea-tags button')].find((e) => e.textContent === 'slow').click()")
	if names := eval[string](b, "[...document.querySelectorAll('#ideas button:first-child')].map((e) => e.textContent).join()"); names != "two" {
		t.Errorf("tagged slow are %s", names)
	}
	b.quiet()
}
