//go:build slow

package outside

import (
	"encoding/json"
	"slices"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// On a machine of a sixth of the speed a key is on the screen within 50 ms of its
// beat in the median and within 150 ms for 95 of a hundred. Where the machine is
// busy with others, even a page that only changes a letter is late: then the stage
// may be later than that by a little.
func TestStageOnASlowMachine(t *testing.T) {
	b := openTab(t, openBrowser(t), 1440, "light")
	do(t, b.ctx, chromedp.EmulateViewport(1440, 900))
	b.ready(static(t) + "#figure=1+3+2&meter=2/4&tempo=240&order=all")
	for _, rate := range []float64{4, 6} {
		if _, err := chromedp.Call(b.ctx, emulation.SetCPUThrottlingRate, emulation.SetCPUThrottlingRateParams{Rate: rate}); err != nil {
			t.Fatal(err)
		}
		bare := eval[[]float64](b, `new Promise((done) => {
			const letter = document.body.appendChild(document.createElement("div"));
			letter.style = "position: fixed; inset: 0; background: white; font-size: 300px";
			const late = [];
			let due = performance.now() + 250;
			const frame = () => {
				if (performance.now() >= due) {
					const at = due;
					letter.textContent = "CDEFGAB"[late.length % 7];
					setTimeout(() => late.push(performance.now() - at));
					due += 250;
				}
				if (late.length < 50) return requestAnimationFrame(frame);
				letter.remove();
				done(late.sort((a, b) => a - b));
			};
			requestAnimationFrame(frame);
		})`)
		b.press(" ")
		b.wait("practiceRecord.keys.filter((k) => k.painted).length > 100", 120*time.Second)
		var record struct {
			Start  float64
			Clicks []float64
			Keys   []struct{ Due, Shown, Painted float64 }
		}
		if err := json.Unmarshal([]byte(eval[string](b, "JSON.stringify(practiceRecord)")), &record); err != nil {
			t.Fatal(err)
		}
		var late, drawn []float64
		for _, k := range record.Keys {
			if k.Painted > 0 && k.Due > 0 {
				late = append(late, (k.Painted-k.Due)*1000)
				drawn = append(drawn, (k.Shown-k.Due)*1000)
			}
		}
		slices.Sort(late)
		slices.Sort(drawn)
		median, most := late[len(late)/2], late[len(late)*95/100]
		t.Logf("%.0f times slower: %d keys, %.1f ms from their beat in the median, %.1f ms for 95 of a hundred, %.1f at most; drawing begins %.1f ms after the beat", rate, len(late), median, most, late[len(late)-1], drawn[len(drawn)/2])
		plainly, at95 := bare[len(bare)/2], bare[len(bare)*95/100]
		t.Logf("a page that only changes a letter: %.1f and %.1f ms", plainly, at95)
		if median > max(50, plainly+30) || most > max(150, at95+100) {
			t.Errorf("%.0f times slower: %.1f and %.1f ms", rate, median, most)
		}
		b.press(kb.Escape)
		b.sees("result")
		eval[chromedp.Void](b, "document.getElementById('back').click()")
	}
	b.quiet()
}
