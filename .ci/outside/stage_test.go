package outside

import (
	"encoding/json"
	"fmt"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
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
	s := serve(t)
	parent := openBrowser(t)
	for n, size := range sizes {
		for _, scale := range []float64{1, 2} {
			scheme := []string{"light", "dark"}[n%2]
			b := openTab(t, parent, size[0], scheme)
			do(t, b.ctx, chromedp.EmulateViewport(size[0], size[1]))
			if _, err := chromedp.Call(b.ctx, emulation.SetTouchEmulationEnabled, emulation.SetTouchEmulationEnabledParams{Enabled: true}); err != nil {
				t.Fatal(err)
			}
			b.load(s.address + "#figure=1:3+5+b4+2+3:2&order=m3&instrument=trumpet&tempo=120&sound=answer&first=Db")
			if scale == 2 {
				eval[chromedp.Void](b, "document.documentElement.style.fontSize = '200%'")
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
			if height := eval[float64](b, "parseFloat(getComputedStyle(document.getElementById('now')).fontSize) * 0.72"); size[0] == 1440 && height < 190 {
				t.Errorf("%s: a letter is %.0f px high, want 190", name, height)
			}
			b.press(kb.Escape)
			b.quiet()
		}
	}
}
