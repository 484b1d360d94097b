package outside

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"io"
	"math"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"example.com/keyorder/examples/web/form"
	"example.com/keyorder/figure/playback/wav"
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

// TestEarsHearThreeFaults gives the page a microphone that plays a file. Held notes
// start it; of twenty statements exactly the three that were played wrongly are
// marked, in words; the click stays exact and the page's own thread free.
func TestEarsHearThreeFaults(t *testing.T) {
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
	eval[chromedp.Void](b, "document.getElementById('ears').open = true; document.getElementById('mic').click()")
	b.wait("document.getElementById('ears-say').textContent.startsWith('The microphone is on')", 20*time.Second)
	b.sees("stage") // by the note that was held
	begun := eval[float64](b, "performance.now()")
	b.wait("practiceRecord.heard.length === 20 || !document.getElementById('result').hidden", 60*time.Second)
	b.sees("result")
	time.Sleep(1200 * time.Millisecond) // of the last statement it says what there is to say when all is over
	var record struct {
		Start  float64
		Clicks []float64
		Heard  []struct {
			Statement      int
			Verdict, Words string
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
		if task[0] > begun {
			tasks = append(tasks, math.Round(task[1]))
		}
	}
	slices.Sort(tasks)
	t.Logf("tasks longer than 50 ms while it was played: %v", tasks)
	b.quiet()
}
