package outside

import (
	"encoding/json"
	"os"
	"slices"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/profiler"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"example.com/keyorder/figure/practice"
)

func TestZZProfile(t *testing.T) {
	b := openTab(t, openBrowser(t), 1440, "light")
	address := static(t)
	b.stored(address+"#figure=1+3&meter=2/4&tempo=240&order=m2&instrument=trumpet", map[string]string{logKey: practised(t, 40, practice.DateOf(time.Now()))})
	chromedpCall := func() {
		if _, err := chromedp.Call(b.ctx, profiler.Enable, cdp.Empty{}); err != nil {
			t.Fatal(err)
		}
	}
	chromedpCall()
	chromedp.Call(b.ctx, profiler.SetSamplingInterval, profiler.SetSamplingIntervalParams{Interval: 200})
	chromedp.Call(b.ctx, profiler.Start, cdp.Empty{})
	b.press(kb.PageDown)
	b.wait("practiceRecord.keys.length > 0", 5e9)
	one := stop(t, b)
	os.WriteFile("/tmp/s17n/start.cpuprofile", one, 0o644)
	b.press(kb.ArrowRight)
	b.wait("practiceRecord.keys.length > 3", 25e9)
	for range 6 { time.Sleep(time.Second); b.press(kb.ArrowRight) }
	b.wait("practiceRecord.keys.at(-1).statement > 10", 25e9)
	chromedp.Call(b.ctx, profiler.Start, cdp.Empty{})
	b.sees("result")
	time.Sleep(500 * time.Millisecond)
	os.WriteFile("/tmp/s17n/end.cpuprofile", stop(t, b), 0o644)
	_ = slices.Sort[[]int]
}

func stop(t *testing.T, b *tab) []byte {
	r, err := chromedp.Call(b.ctx, profiler.Stop, cdp.Empty{})
	if err != nil {
		t.Fatal(err)
	}
	out, err := json.Marshal(r.Profile)
	if err != nil {
		t.Fatal(err)
	}
	return out
}
