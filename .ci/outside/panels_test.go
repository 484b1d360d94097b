package outside

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"example.com/keyorder/figure/practice"
)

// tooSmall are what is to be touched and is smaller than 24 px (WCAG 2.2, 2.5.8), unless
// it stands in a line of text, and texts under 12 px, or under 9 px in a
// picture, which stands in words, too.
const tooSmall = `(() => {
	const out = [];
	for (const e of document.querySelectorAll("button, summary, input, select, .button")) {
		const r = e.getBoundingClientRect();
		if (e.checkVisibility() && r.width > 0 && (r.height < 24 || r.width < 24)) out.push((e.id || e.className || e.localName) + " is " + Math.round(r.width) + "x" + Math.round(r.height));
	}
	const texts = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
	const small = new Set();
	while (texts.nextNode()) {
		const e = texts.currentNode.parentElement;
		if (!texts.currentNode.data.trim() || !e.checkVisibility() || e.closest(".unseen, option")) continue;
		const matrix = e.closest("svg") && e.getScreenCTM?.();
		const px = parseFloat(getComputedStyle(e).fontSize) * (matrix ? matrix.a : 1);
		if (px < (matrix ? 9 : 12)) small.add(e.localName + " " + e.textContent.trim().slice(0, 20) + ": " + px.toFixed(1) + " px");
	}
	return out.concat([...small]);
})()`

// look shows the page in a size, a scheme and a size of text.
func (b *tab) look(size [2]int64, scheme string, percent int) {
	b.t.Helper()
	do(b.t, b.ctx, chromedp.EmulateViewport(size[0], size[1]))
	if _, err := chromedp.Call(b.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}},
	}); err != nil {
		b.t.Fatal(err)
	}
	eval[chromedp.Void](b, fmt.Sprintf("document.documentElement.style.fontSize = '%d%%'", percent))
}

// dialogOut says what of the dialog is out of sight.
const dialogOut = `(() => {
	const d = document.querySelector("dialog[open]"), r = d.getBoundingClientRect(), out = [];
	if (r.left < 0 || r.right > innerWidth || r.top < 0 || r.bottom > innerHeight) out.push("the dialog sticks out");
	if (d.scrollWidth > d.clientWidth) out.push("the dialog scrolls sideways");
	d.scrollTo(0, 0);
	const lead = [...d.querySelectorAll(".lead")].find((e) => e.checkVisibility()).getBoundingClientRect();
	if (lead.bottom > r.bottom || lead.top < r.top) out.push("its first button is out of sight");
	return out.join(", ");
})()`

// screen keeps what the screen shows of the page, where a folder is given for it.
func (b *tab) screen(name string) {
	dir := os.Getenv("PAGE_PICTURES")
	if dir == "" {
		return
	}
	png, err := chromedp.Run(b.ctx, chromedp.CaptureScreenshot())
	if err != nil {
		b.t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, name+".png"), png, 0o644); err != nil {
		b.t.Fatal(err)
	}
}

// Each part of the page that is folded away at first fits each screen, with text of twice
// the size, too; nothing on it is too small, and no rule of accessibility is broken.
func TestPanelsFit(t *testing.T) {
	t.Parallel() // it mostly waits
	rules := axe(t)
	b := openTab(t, openBrowser(t), 800, "light")
	b.script(fakeMIDI)
	address := static(t)
	b.stored(address+"#instrument=trumpet", map[string]string{
		logKey: practised(t, 40, practice.DateOf(time.Now())),
		ideasKey: `{"version":1,"ideas":[{"name":"settle","settings":{"figure":"1:3 5 4 2 3:2","tempo":"80"},"goal":112,"tags":["blues","slow"],"variations":["retrograde"]},
			{"name":"an idea whose name is as long as somebody may give it one morning","settings":{"figure":"{2 m7} 2 4 {5 7} 5:2"}},{"name":"sway","settings":{"figure":"4 2 5 1:2 in dorian"},"until":"9999-01-01"}]}`,
	})
	eval[chromedp.Void](b, "document.getElementById('ears').open = true; document.getElementById('midi').click()")
	b.wait("document.getElementById('ears-say').textContent.startsWith('It listens')", 20*time.Second)
	eval[chromedp.Void](b, "document.getElementById('by-sound').hidden = false") // as with a microphone
	fold := func() {
		eval[chromedp.Void](b, "document.querySelectorAll('details').forEach((d) => { d.open = false; })")
	}
	looks := func(panel string) {
		t.Helper()
		for n, size := range sizes {
			for k, percent := range []int{100, 200} {
				if testing.Short() && n%3 != k {
					continue // a third of them
				}
				scheme := []string{"light", "dark"}[(n+k)%2]
				b.look(size, scheme, percent)
				name := fmt.Sprintf("panel-%s-%dx%d-%d-%s", panel, size[0], size[1], percent, scheme)
				b.fits(name)
				for _, o := range eval[[]string](b, tooSmall) {
					t.Errorf("%s: %s", name, o)
				}
				if n%3 == k {
					b.check(name, rules)
				}
				switch panel {
				case "home":
					eval[chromedp.Void](b, "scrollTo(0, 0)")
					if below := eval[float64](b, "document.getElementById('start').getBoundingClientRect().bottom - innerHeight"); below > 0 {
						t.Errorf("%s: the button that starts is %.0f px below the fold", name, below)
					}
					b.screen(name)
				case "play", "play-found":
					if out := eval[string](b, dialogOut); out != "" {
						t.Errorf("%s: %s", name, out)
					}
					b.screen(name)
				default:
					b.picture(name)
				}
			}
		}
	}
	for _, panel := range []string{"home", "plan", "learn", "orders", "more", "ears", "own", "past", "class"} {
		fold()
		switch panel {
		case "home":
		case "class":
			eval[chromedp.Void](b, "new Promise((r) => { addEventListener('hashchange', () => r(), { once: true }); location.hash = '#5.2.b3:2.1/T:72/K:BB.EB.F/P:TPT,ASX,HN'; })")
			fold()
		default:
			b.open(panel)
			eval[chromedp.Void](b, fmt.Sprintf("document.querySelectorAll('#%s details').forEach((d, n) => { d.open = n < 2; })", panel))
			time.Sleep(200 * time.Millisecond)
		}
		looks(panel)
	}
	fold()
	b.open("ears")
	eval[chromedp.Void](b, "document.getElementById('play-open').click()")
	looks("play")
	eval[chromedp.Void](b, `(() => {
		document.getElementById("field-tempo").value = "240";
		document.getElementById("play-go").click();
	})()`)
	b.wait("document.getElementById('play-count').textContent.includes('play')", 20*time.Second)
	for _, key := range []int{60, 67, 65, 62, 64} {
		eval[chromedp.Void](b, fmt.Sprintf("key(%d, true); new Promise((r) => setTimeout(r, 180)).then(() => key(%d, false))", key, key))
	}
	b.sees("play-found")
	eval[chromedp.Void](b, "document.getElementById('play-mine').hidden = document.getElementById('play-take').hidden = false") // as with a microphone
	looks("play-found")
	b.quiet()
}
