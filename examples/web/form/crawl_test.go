package form_test

import (
	"context"
	"encoding/json"
	"encoding/xml"
	"flag"
	"io"
	"math/rand/v2"
	"strings"
	"testing"

	"example.com/keyorder/examples/web/form"
	"example.com/keyorder/examples/web/form/formtest"
	"example.com/keyorder/figure/session"
)

var draws = flag.Int("crawl", 100, "how many settings to crawl; 2000 before a change lands")

// TestCrawlSettings takes random settings that are valid through all that the
// page asks for: the plan, the answers, the circles, the report. The page would
// say "undefined" where one of them fails.
func TestCrawlSettings(t *testing.T) {
	random := rand.New(rand.NewPCG(11, 2000))
	valid, refused := 0, 0
	for valid < *draws {
		settings, err := json.Marshal(formtest.Settings(random.IntN))
		if err != nil {
			t.Fatal(err)
		}
		s, err := form.New(context.Background(), settings, "")
		if err != nil {
			if field, _ := form.Text(err); field == "" {
				t.Errorf("%s: refused with %v, which names no field", settings, err)
			}
			if refused++; refused > *draws {
				t.Fatalf("%d of %d settings are refused", refused, refused+valid)
			}
			continue
		}
		valid++
		crawl(t, settings, s, random)
	}
	t.Logf("%d settings are valid, %d are refused", valid, refused)
}

func crawl(t *testing.T, settings []byte, s *session.Session, random *rand.Rand) {
	t.Helper()
	text, err := s.AppendJSON(nil)
	if err != nil || !json.Valid(text) || strings.Contains(string(text), "null") {
		t.Errorf("%s: the plan is %.200s, %v", settings, text, err)
	}
	p := s.Plan()
	for _, o := range p.Orders {
		if o.Title == "" {
			t.Errorf("%s: an order has no title", settings)
		}
	}
	for n, st := range p.Statements {
		switch {
		case st.Key == "":
			t.Errorf("%s: statement %d is %+v: no key", settings, n, st)
		case st.Said == "":
			t.Errorf("%s: statement %d is %+v: nothing said", settings, n, st)
		case st.End <= st.Start:
			t.Errorf("%s: statement %d is %+v: it ends before it begins", settings, n, st)
		}
	}
	last := len(p.Statements) - 1
	for _, n := range []int{0, random.IntN(last + 1), last} {
		a, err := s.Answer(n)
		if err != nil || a.Notes == "" || len(a.SVG) == 0 {
			t.Errorf("%s: the answer to statement %d is %.60q, %d staves, %v", settings, n, a.Notes, len(a.SVG), err)
		}
		circle, err := s.Circle(n)
		if err != nil {
			t.Errorf("%s: no circle for statement %d: %v", settings, n, err)
		}
		for _, svg := range append(a.SVG, circle) {
			if err := readable(svg); err != nil {
				t.Errorf("%s: a picture for statement %d is not XML: %v", settings, n, err)
			}
		}
	}
	says := make([]byte, 1+random.IntN(last+1))
	for n := range says {
		says[n] = "cn-"[random.IntN(3)]
	}
	if r, err := (form.Played{Says: string(says), Date: "2025-03-02", Seconds: 60}).Report(s); err != nil || r.Problem != "" {
		t.Errorf("%s: the report of %s is refused: %v %s", settings, says, err, r.Problem)
	}
}

func readable(svg string) error {
	d := xml.NewDecoder(strings.NewReader(svg))
	for {
		if _, err := d.Token(); err == io.EOF {
			return nil
		} else if err != nil {
			return err
		}
	}
}
