package outside

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// sheetFolder runs examples/sheet and returns its folder and the number of
// pages that it says it makes.
func sheetFolder(t *testing.T, args ...string) (dir string, pages int) {
	t.Helper()
	dir = t.TempDir()
	cmd := exec.Command("go", append([]string{"run", "example.com/keyorder/examples/sheet", "-out", dir}, args...)...)
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("%q: %v\n%s", args, err, out)
	}
	found := regexp.MustCompile(`\((\d+) pages? when printed\)`).FindSubmatch(out)
	if found == nil {
		t.Fatalf("%q says no number of pages:\n%s", args, out)
	}
	pages, _ = strconv.Atoi(string(found[1]))
	return dir, pages
}

// TestSheetPage opens the page of a sheet in a browser, from the file system.
func TestSheetPage(t *testing.T) {
	t.Parallel() // it mostly waits
	browser := openBrowser(t)
	for n, args := range [][]string{
		{"-for", "trumpet, alto saxophone"},
		{"-figure", "vv1:2 5 9 12 14:3", "-orders", "A4 m3 P1"},
		{"-for", "viola, cello", "-figure", "v5 | 1 {2 m7} b3 0 3:2 1+3+5:4 in dorian", "-orders", "M3 everymove"},
		{"-figure", "3 5 1 6 over minor blues", "-orders", "P4", "-bass", "walking", "-prompt-only"},
		{"-figure", "3 5 1 6 over minor 2-5-1", "-orders", "m2", "-vary", "retrograde", "-for", "trombone", "-language", "french", "-level", "full"},
		{"-tempo", "80"},
		{"-figure", "1 3 2 5 3 2 by 1/12", "-title", `<script>alert("a") & b`, "-orders", "m2", "-for", "double bass"},
		{"-for", "trumpet", "-orders", "all", "-full", "-beams", "beat"},
		{"-orders", "wedge signs balanced shuffle:7", "-for", "tenor voice", "-figure", "1 b3 2 1", "-leave-out", "-meter", "7/8", "-prompt-only"},
		{"-for", "flute, flute, oboe, clarinet, clarinet, bass clarinet, alto saxophone, tenor saxophone, trumpet, trumpet, horn, trombone, euphonium, tuba", "-handouts"},
		{"-for", "trumpet", "-orders", "all"},
		{"-for", "horn", "-orders", "m3 -P4", "-large"},
	} {
		if testing.Short() && n%2 == 1 {
			continue
		}
		t.Run(strings.Join(args, " "), func(t *testing.T) {
			dir, pages := sheetFolder(t, args...)
			address := "file://" + filepath.Join(dir, "index.html")
			b := openTab(t, browser, 1000, "light")
			do(t, b.ctx, chromedp.Navigate(address), chromedp.WaitReady("audio"))
			b.wait(`[...document.querySelectorAll("audio")].every(a => a.readyState > 0)`, 10*time.Second)
			checkDrawings(t, b)
			checkInk(t, b, "light")
			checkSounds(t, b, dir)
			for _, paper := range [][2]float64{{8.27, 11.69}, {8.5, 11}} { // A4 and Letter, in inches
				checkPrint(t, b, pages, paper[0], paper[1])
			}
			checkSVG(t, filepath.Join(dir, "index.html"))
			b.quiet()

			narrow := openTab(t, browser, 390, "dark")
			do(t, narrow.ctx, chromedp.Navigate(address), chromedp.WaitReady("audio"))
			if wide := eval[float64](narrow, `document.documentElement.scrollWidth`); wide > 390 {
				t.Errorf("at 390 px the page is %v px wide", wide)
			}
			// A staff of 7 mm is 26 px high: at no more than nine tenths of its size it
			// stays over 6 mm.
			for _, w := range eval[[]float64](narrow, `[...document.querySelectorAll(".staff svg")].filter(s => s.checkVisibility()).map(s => s.getBoundingClientRect().width / (parseFloat(s.getAttribute("width")) * 96 / 25.4))`) {
				if w < 0.9 {
					t.Errorf("at 390 px a staff is drawn at %.2f of its size", w)
				}
			}
			checkInk(t, narrow, "dark")
			narrow.quiet()
		})
	}
}

// TestHandouts prints the page of each player of a class: one sheet of paper each.
func TestHandouts(t *testing.T) {
	t.Parallel()
	browser := openBrowser(t)
	dir, _ := sheetFolder(t, "-for", "flute, alto saxophone, horn, trombone, viola, double bass", "-orders", "P4", "-handouts")
	for _, folder := range []string{"players", "answers"} {
		pages, err := filepath.Glob(filepath.Join(dir, folder, "*.html"))
		if err != nil || len(pages) != 6 {
			t.Fatalf("%s: %d pages, %v", folder, len(pages), err)
		}
		for _, file := range pages {
			b := openTab(t, browser, 1000, "light")
			do(t, b.ctx, chromedp.Navigate("file://"+file), chromedp.WaitReady("svg"))
			checkDrawings(t, b)
			checkPrint(t, b, 1, 8.27, 11.69)
			checkPrint(t, b, 1, 8.5, 11)
			b.quiet()
		}
	}
}

// checkDrawings: every SVG has a box on the page, and no two of its texts
// overlap.
func checkDrawings(t *testing.T, b *tab) {
	t.Helper()
	problems := eval[[]string](b, `(() => {
		const out = [];
		const drawings = [...document.querySelectorAll("svg")].filter(s => s.checkVisibility());
		if (drawings.length < 2) out.push("only " + drawings.length + " drawings");
		drawings.forEach((svg, n) => {
			const box = svg.getBoundingClientRect();
			if (box.width < 50 || box.height < 20 || box.left < 0 || box.right > innerWidth) out.push("drawing " + n + ": " + JSON.stringify(box));
			const texts = [...svg.querySelectorAll("text")].map(t => [t.textContent, t.getBoundingClientRect()]);
			texts.forEach(([a, p], i) => texts.slice(i + 1).forEach(([c, q]) => {
				// Boxes are as high as the font's tallest letter: a sliver is no overlap.
				const across = Math.min(p.right, q.right) - Math.max(p.left, q.left), down = Math.min(p.bottom, q.bottom) - Math.max(p.top, q.top);
				if (across > 0.5 && down > 0.25 * Math.min(p.height, q.height)) out.push("drawing " + n + ": " + a + " over " + c);
			}));
		});
		return out;
	})()`)
	for _, p := range problems {
		t.Error(p)
	}
}

// checkInk: whatever is drawn stands out from the paper behind it, by a contrast
// of at least 7 to 1 as WCAG 2.1 reckons it (success criterion 1.4.6). Lines of
// less weight than the rest are given by an opacity and may be fainter.
func checkInk(t *testing.T, b *tab, scheme string) {
	t.Helper()
	problems := eval[[]string](b, `(() => {
		const colour = text => text.match(/[\d.]+/g).slice(0, 3).map(Number);
		const light = text => colour(text).map(v => v / 255).map(v => v <= 0.03928 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4)
			.reduce((sum, v, n) => sum + v * [0.2126, 0.7152, 0.0722][n], 0);
		const paper = light(getComputedStyle(document.body).backgroundColor);
		const out = new Set();
		let drawn = 0;
		document.querySelectorAll("svg path, svg rect, svg circle, svg line, svg polyline, svg polygon, svg text").forEach(e => {
			const style = getComputedStyle(e);
			for (const ink of [style.fill, style.stroke]) {
				if (ink === "none") continue;
				drawn++;
				const [a, c] = [light(ink), paper].sort((x, y) => y - x);
				const contrast = (a + 0.05) / (c + 0.05);
				if (contrast < 7) out.add(e.tagName + " " + ink + " on " + getComputedStyle(document.body).backgroundColor + ": " + contrast.toFixed(1));
			}
		});
		if (drawn < 20) out.add("only " + drawn + " marks");
		return [...out];
	})()`)
	for _, p := range problems {
		t.Errorf("%s: %s", scheme, p)
	}
}

// checkSounds: the durations that the browser finds are those of the files.
func checkSounds(t *testing.T, b *tab, dir string) {
	t.Helper()
	durations := eval[map[string]float64](b, `Object.fromEntries([...document.querySelectorAll("audio")].map(a => [a.getAttribute("src"), a.duration]))`)
	if len(durations) == 0 {
		t.Error("no sound on the page")
	}
	for name, seconds := range durations {
		info, err := os.Stat(filepath.Join(dir, name))
		if err != nil {
			t.Error(err)
			continue
		}
		if want := float64(info.Size()-44) / 2 / 44100; math.Abs(seconds-want) > 0.05 {
			t.Errorf("%s lasts %v s, want %v", name, seconds, want)
		}
	}
}

// checkPrint prints the page and counts the sheets of paper; on each, a staff
// or a circle ends above the margin.
func checkPrint(t *testing.T, b *tab, pages int, width, height float64) {
	t.Helper()
	res, err := chromedp.Call(b.ctx, page.PrintToPDF, page.PrintToPDFParams{PaperWidth: width, PaperHeight: height})
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(t.TempDir(), "page.pdf")
	if err := os.WriteFile(file, res.Data, 0o644); err != nil {
		t.Fatal(err)
	}
	if got := regexp.MustCompile(`Pages: +(\d+)`).FindStringSubmatch(reader(t, nil, "pdfinfo", file)); got == nil || got[1] != strconv.Itoa(pages) {
		t.Errorf("%v by %v inches: %v pages, the program says %d", width, height, got, pages)
	}
	// What would be cut is wider or higher than the paper between its margins.
	tall := eval[[]string](b, fmt.Sprintf(`[...document.querySelectorAll("svg")].filter(s => !s.closest(".narrow") && parseFloat(s.getAttribute("width")) > %f || parseFloat(s.getAttribute("height")) > %f).map(s => s.getAttribute("width"))`, width*25.4-30, height*25.4-30))
	for _, s := range tall {
		t.Errorf("a drawing of %s does not fit the paper", s)
	}
}

// checkSVG: every SVG in a page is well-formed, without script and without
// reference to anything outside.
func checkSVG(t *testing.T, file string) {
	t.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	drawings := regexp.MustCompile(`(?s)<svg.*?</svg>`).FindAll(text, -1)
	if len(drawings) < 2 {
		t.Errorf("%d drawings", len(drawings))
	}
	for _, d := range drawings {
		dec := xml.NewDecoder(bytes.NewReader(d))
		for {
			tok, err := dec.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				t.Fatalf("%v in %.200s", err, d)
			}
			start, ok := tok.(xml.StartElement)
			if !ok {
				continue
			}
			if start.Name.Local == "script" || start.Name.Local == "image" || start.Name.Local == "foreignObject" {
				t.Errorf("a drawing has a %s element", start.Name.Local)
			}
			for _, a := range start.Attr {
				if a.Name.Local == "href" || strings.HasPrefix(a.Name.Local, "on") || strings.Contains(a.Value, "url(") {
					t.Errorf("a drawing has the attribute %s=%q", a.Name.Local, a.Value)
				}
			}
		}
	}
	if bytes.Contains(text, []byte("<script")) {
		t.Error("the page has a script")
	}
}
