package outside

import (
	"encoding/json"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"example.com/keyorder/figure/practice"
)

// cells are the texts of a table's rows, as they are seen.
const cells = `JSON.stringify([...document.querySelectorAll('#ID tbody tr')].map((r) => [...r.children].map((c) => (c.querySelector('[aria-hidden]') || c).textContent).join(' ')))`

func (b *tab) rows(id string) (rows []string) {
	b.t.Helper()
	if err := json.Unmarshal([]byte(eval[string](b, strings.ReplaceAll(cells, "ID", id))), &rows); err != nil {
		b.t.Fatal(err)
	}
	return rows
}

// A class: a link that was typed in capitals from a board shows what each part reads,
// in the settings and while it is played, within the screen. A trumpet in B♭ reads a
// whole step up, an alto saxophone in E♭ a major sixth, a horn in F a fifth (common
// practice, no source).
func TestClassOnTheScreen(t *testing.T) {
	t.Parallel() // it mostly waits
	s := serve(t)
	parent := openBrowser(t)
	rules := axe(t)
	for _, size := range [][2]int64{{360, 640}, {740, 360}, {1024, 768}, {1440, 900}} {
		if testing.Short() && size[0] != 1024 {
			continue
		}
		b := openTab(t, parent, size[0], "light")
		do(t, b.ctx, chromedp.EmulateViewport(size[0], size[1]))
		b.load(s.address + "#5.2.b3:2.1/T:72/K:BB.EB.F/P:TPT,ASX,HN")
		if got, want := b.rows("class-order"), []string{"B♭ C G F", "E♭ F C B♭", "F G D C"}; !slices.Equal(got, want) {
			t.Errorf("the table is %q, want %q", got, want)
		}
		if got := eval[string](b, "document.getElementById('link').textContent"); !strings.HasSuffix(got, "/#5.2.b3:2.1/t:72/k:bb.eb.f/p:tpt,asx,hn") {
			t.Errorf("the link is %s", got)
		}
		if got := eval[string](b, "[...document.querySelectorAll('#class-order thead a')].map((a) => a.hash).join(' ')"); got != "#5.2.b3:2.1/i:tpt/t:72/k:c.f.g #5.2.b3:2.1/i:asx/t:72/k:g.c.d #5.2.b3:2.1/i:hn/t:72/k:f.bb.c" {
			t.Errorf("the parts have the links %s", got)
		}
		if size[0] == 360 || size[0] == 1024 {
			b.check(fmt.Sprintf("class %d", size[0]), rules)
		}
		if wide := eval[float64](b, "(() => { const t = document.getElementById('class-order'); return t.scrollWidth - t.parentElement.clientWidth; })()"); size[0] == 360 && wide > 0 {
			t.Errorf("at %d px the table is %.0f px too wide", size[0], wide)
		}
		b.picture(fmt.Sprintf("class-%dx%d-idle", size[0], size[1]))
		b.press(kb.PageDown)
		b.wait("document.getElementById('phase').textContent === 'count-in'", 10*time.Second)
		if got, want := b.rows("call"), []string{"concert B♭ E♭", "trumpet C F", "alto saxophone G C", "horn F B♭"}; !slices.Equal(got, want) {
			t.Errorf("the call is %q, want %q", got, want)
		}
		b.wait("document.getElementById('phase').textContent === 'you'", 10*time.Second)
		var out []string
		if err := json.Unmarshal([]byte(eval[string](b, "JSON.stringify("+sticksOut+")")), &out); err != nil {
			t.Fatal(err)
		}
		for _, o := range out {
			t.Errorf("%v: %s", size, o)
		}
		// Each cell is whole: nothing of it is cut, and no part is out of sight.
		if cut := eval[string](b, `[...document.querySelectorAll('#call :is(th, td)')].filter((c) => c.scrollWidth > c.clientWidth + 1 || c.getBoundingClientRect().bottom > document.getElementById('beside').getBoundingClientRect().bottom + 1).map((c) => c.textContent).join(', ')`); cut != "" {
			t.Errorf("%v: cut are %s", size, cut)
		}
		if size[0] == 1440 { // a letter of a part from 4 m: 15 mm, 81 px
			if height := eval[float64](b, "parseFloat(getComputedStyle(document.querySelector('#call td')).fontSize) * 0.72"); height < 81 {
				t.Errorf("a key is %.0f px high", height)
			}
		}
		b.picture(fmt.Sprintf("class-%dx%d-you", size[0], size[1]))
		// The answer has the notes of each part, as wide as the screen.
		b.press(kb.ArrowUp)
		if got, want := b.rows("answers"), []string{"concert B♭ F C D♭ B♭", "trumpet C G D E♭ C", "alto saxophone G D A B♭ G", "horn F C G A♭ F"}; !slices.Equal(got, want) {
			t.Errorf("the answer is %q, want %q", got, want)
		}
		if cut := eval[string](b, `[...document.querySelectorAll('#answers tbody :is(th, td)')].filter((c) => { const r = c.getBoundingClientRect(); return c.scrollWidth > c.clientWidth + 1 || r.right > innerWidth + 1 || r.bottom > document.getElementById('said').getBoundingClientRect().top + 1; }).map((c) => c.textContent).join(', ')`); cut != "" {
			t.Errorf("%v: cut are %s", size, cut)
		}
		if size[0] == 1440 {
			if height := eval[float64](b, "parseFloat(getComputedStyle(document.querySelector('#answers td:last-child')).fontSize) * 0.72"); height < 81 {
				t.Errorf("a note of the answer is %.0f px high", height)
			}
		}
		b.picture(fmt.Sprintf("class-%dx%d-answer", size[0], size[1]))
		b.press(kb.ArrowUp)
		if size[0] != 1024 {
			b.press(kb.Escape)
			b.quiet()
			continue
		}
		b.wait("document.getElementById('phase').textContent === 'coming'", 10*time.Second)
		if got, want := b.rows("call"), []string{"concert E♭ F", "trumpet F G", "alto saxophone C D", "horn B♭ C"}; !slices.Equal(got, want) {
			t.Errorf("the call in the rest is %q, want %q", got, want)
		}
		b.check(fmt.Sprintf("class %d, playing", size[0]), rules)
		b.press(kb.Escape)
		b.quiet()
	}
}

// TestClassLinks: what a link says wrongly is said, a link in full is read as ever,
// and without a class there is no table.
func TestClassLinks(t *testing.T) {
	t.Parallel() // it mostly waits
	s := serve(t)
	b := openTab(t, openBrowser(t), 800, "light")
	said := func() string {
		return eval[string](b, "document.getElementById('message').textContent + [...document.querySelectorAll('.wrong')].map((w) => w.textContent).join('')")
	}
	field := func(name string) string { return eval[string](b, "document.getElementById('field-"+name+"').value") }
	b.load(s.address + "#figure=3+5+1+6&order=M3&tempo=96")
	if said() != "" || field("figure") != "3 5 1 6" || field("order") != "M3" || !eval[bool](b, "document.getElementById('class').hidden") {
		t.Errorf("a link in full: %q", said())
	}
	for link, want := range map[string]string{
		"3.5.1.6/o:maj3/pace:4": "no setting \"pace\"",
		"3.5.1.6/p4":            "no setting \"p4\"",
		"3.5.1.6/t:90/t:96":     "twice",
		"3.5.1.6/t:%zz":         "empo",
		"3.5.1.6/first:h":       "First key: ",
	} {
		b.load(s.address + "#" + link)
		if !strings.Contains(said(), want) {
			t.Errorf("%s: the page says %q", link, said())
		}
	}
	// Who leads takes concert keys, too. A part that is misspelt is said above, and the
	// table of the class before is gone.
	b.load(s.address + "#3.5.1.6/p:horn/i:tpt/k:bb.eb")
	if said() != "" || !strings.HasSuffix(b.text("summary"), " In concert keys, for the class.") || !slices.Equal(b.rows("class-order"), []string{"B♭ F", "E♭ B♭"}) {
		t.Errorf("with a trumpet that leads it says %q, %q, and the table is %q", said(), b.text("summary"), b.rows("class-order"))
	}
	eval[chromedp.Void](b, "new Promise((r) => { addEventListener('hashchange', () => r(), { once: true }); location.hash = '3.5.1.6/p:tpt,asx,zz'; })")
	for _, late := range []time.Duration{0, 1500 * time.Millisecond} {
		time.Sleep(late)
		if message := b.text("message"); message != "This cannot be played: see Parts of a class below." || !strings.Contains(b.text("wrong-parts"), `"zz"`) || !eval[bool](b, "document.getElementById('wrong-parts').checkVisibility()") || eval[bool](b, "document.getElementById('class').checkVisibility()") {
			t.Errorf("of a part that is misspelt it says %q above, after %v", message, late)
		}
	}
	b.quiet()
	// The table that a teacher makes of pupils' logs is whole on a phone, too.
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "Constantin.jsonl"), []byte(practised(t, 3, practice.DateOf(time.Now()))), 0o600); err != nil {
		t.Fatal(err)
	}
	if text, err := exec.Command("go", "run", "example.com/keyorder/examples/today", "-class", dir, "-out", filepath.Join(dir, "out")).CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	for _, width := range []int64{360, 1024} {
		do(t, b.ctx, chromedp.EmulateViewport(width, 700), chromedp.Navigate("file://"+filepath.Join(dir, "out", "class.html")))
		if cut := eval[string](b, "[...document.querySelectorAll('td')].filter((c) => c.getBoundingClientRect().right > innerWidth).map((c) => c.textContent).join()"); cut != "" {
			t.Errorf("at %d px out of sight are %s", width, cut)
		}
		if labels := eval[int](b, "[...document.querySelectorAll('td')].filter((c) => getComputedStyle(c, '::before').content.includes('days')).length"); (labels == 1) != (width == 360) {
			t.Errorf("at %d px %d cells say that they are days", width, labels)
		}
		b.picture(fmt.Sprintf("class-table-%d", width))
	}
}
