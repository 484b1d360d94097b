package form_test

import (
	"context"
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"example.com/keyorder/examples/web/form"
	"example.com/keyorder/examples/web/form/formtest"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/session"
	"example.com/keyorder/pitch"
	"example.com/keyorder/spelling"
)

func classOf(t testing.TB, settings string) (form.ClassKeys, error) {
	t.Helper()
	s, err := form.New(context.Background(), []byte(settings), "")
	if err != nil {
		return form.ClassKeys{}, err
	}
	return form.Class(s, []byte(settings))
}

// A trumpet in B♭ reads a whole step above the concert key, an alto saxophone in E♭
// a major sixth, a horn in F a fifth (common practice, no source).
func TestClass(t *testing.T) {
	c, err := classOf(t, `{"keys":"Bb Eb F Ab","parts":"trumpet, alto saxophone, horn"}`)
	if err != nil {
		t.Fatal(err)
	}
	var lines []string
	for _, keys := range c.Keys {
		var line []string
		for _, k := range keys {
			line = append(line, k.Key)
		}
		lines = append(lines, strings.Join(line, " "))
	}
	if got := strings.Join(lines, ", "); got != "C G F, F C B♭, G D C, B♭ F E♭" || c.Keys[3][0].Said != "B flat" {
		t.Errorf("%s; said %q", got, c.Keys[3][0].Said)
	}
	if got := strings.Join(c.Links, " "); got != "i:tpt/k:c.f.g.bb i:asx/k:g.c.d.f i:hn/k:f.bb.c.eb" {
		t.Errorf("the parts have the links %s", got)
	}
	if got := strings.Join(c.Parts, ", "); got != "trumpet in B♭, alto saxophone in E♭, horn in F" {
		t.Error(got)
	}
	// In E♭ the figure 5 2 b3 1 is B♭ F G♭ E♭; each part reads it as far above as its key.
	c, err = classOf(t, `{"figure":"5 2 b3:2 1","keys":"Eb","parts":"trumpet, alto saxophone, horn"}`)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := fmt.Sprint(c.Notes), "map[E♭:[[B♭ F G♭ E♭] [C G A♭ F] [G D E♭ C] [F C D♭ B♭]]]"; got != want {
		t.Errorf("the notes are %s, want %s", got, want)
	}
	if c, err := classOf(t, `{}`); err != nil || len(c.Parts) != 0 || len(c.Keys) != 0 {
		t.Errorf("without a class: %v, %v", c, err)
	}
}

func TestClassRefuses(t *testing.T) {
	for settings, want := range map[string]string{
		`{"parts":"trumpet, kazoomba"}`:               "kazoomba",
		`{"parts":"flute,,oboe"}`:                     "instrument",
		`{"parts":"a,b,c,d,e,f,g,h,i"}`:               "9 instruments",
		`{"parts":"flute, trumpet C4-G4"}`:            "trumpet",
		`{"parts":"trumpet C4-C4","fit":"leave out"}`: "",
	} {
		_, err := classOf(t, settings)
		if err == nil {
			t.Errorf("%s: nothing is wrong", settings)
			continue
		}
		if field, text := form.Text(err); field != "parts" || !strings.Contains(text, want) {
			t.Errorf("%s: %s: %s", settings, field, text)
		}
	}
	c, err := classOf(t, `{"parts":"flute, trumpet B3-D5","fit":"leave out","order":"m2"}`)
	if err != nil {
		t.Fatal(err)
	}
	rests := 0
	for _, keys := range c.Keys {
		if keys[0].Rests {
			t.Error("the flute rests")
		}
		if keys[1].Rests {
			rests++
		}
	}
	if rests == 0 || rests == len(c.Keys) {
		t.Errorf("the trumpet rests in %d of %d keys", rests, len(c.Keys))
	}
}

// TestClassOfATransposingInstrument: whoever leads a class reads concert keys, and sounds
// what was sounded before; alone, the keys are those of the instrument again.
func TestClassOfATransposingInstrument(t *testing.T) {
	for name, want := range map[string][2]string{ // the sounding range, by hand from the one that is given
		"alto saxophone D4-B5":    {"alto saxophone in concert keys", "F3-D5"},
		"horn C4-G5":              {"horn in concert keys", "F3-C5"},
		"clarinet in A A3-C6":     {"clarinet in concert keys", "F#3-A5"},
		"tenor saxophone D4-B5":   {"tenor saxophone in concert keys", "C4-A5"}, // an octave above what sounds
		"guitar E3-C6":            {"guitar", "E3-C6"},
		"flute C4-C7":             {"flute", "C4-C7"},
		"clay flute: up m3 C4-C6": {"clay flute in concert keys", "Eb4-Eb6"},
	} {
		settings := fmt.Sprintf(`{"keys":"Bb Eb","figure":"3 5 1 6","parts":"trumpet, alto saxophone","instrument":%q}`, name)
		s, err := form.New(context.Background(), []byte(settings), "")
		if err != nil {
			t.Errorf("%s: %v", settings, err)
			continue
		}
		i := s.Settings().Drill.Parts[0]
		if got := i.Low.Plain() + "-" + i.High.Plain(); i.Name != want[0] || got != want[1] {
			t.Errorf("%s leads as %s, %s; want %s", name, i.Name, got, want)
		}
		c, err := form.Class(s, []byte(settings))
		if err != nil || len(c.Keys) != 2 || c.Keys[0][0].Key != "C" || c.Keys[0][1].Key != "G" {
			t.Errorf("%s: %+v, %v", settings, c, err)
		}
	}
	alone, err := form.New(context.Background(), []byte(`{"keys":"Bb Eb","instrument":"horn"}`), "")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := form.Class(alone, []byte(`{"parts":"flute"}`)); err == nil || !strings.Contains(err.Error(), "those that the horn in F reads") {
		t.Errorf("a session in the keys of a horn is taken for a class: %v", err)
	}
	day := []byte(`{"date":"2025-03-02","minutes":10,"settings":{"parts":"flute","instrument":"horn"}}`)
	if p, err := form.Today(day, ""); err != nil || !strings.Contains(p.Heading, "horn in F ·") {
		t.Errorf("the plan of who leads is %q, %v", p.Heading, err)
	}
}

// classDrawn draws settings with the parts of a class, until they can be played.
func classDrawn(t *rapid.T, level string, parts ...string) (*session.Session, map[string]string, []byte) {
	for range 200 {
		settings := formtest.Settings(func(n int) int { return rapid.IntRange(0, n-1).Draw(t, "draw") })
		delete(settings, "instrument")
		settings["parts"] = rapid.SampledFrom(parts).Draw(t, "parts")
		if leads := rapid.SampledFrom([]string{"", "alto saxophone", "horn"}).Draw(t, "leads"); leads != "" {
			settings["instrument"] = leads
		}
		if level != "" {
			settings["range"] = level
		}
		text, err := json.Marshal(settings)
		if err != nil {
			t.Fatal(err)
		}
		if s, err := form.New(context.Background(), text, ""); err == nil {
			return s, settings, text
		}
	}
	t.Fatal("no class in two hundred")
	return nil, nil, nil
}

// TestLawClassReadsWhatSounds: in every statement, what a part reads sounds as the
// concert key that leads.
func TestLawClassReadsWhatSounds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, settings, text := classDrawn(t, "", "trumpet, horn, clarinet in A", "alto saxophone", "tuba, clay flute: up m3 C3-C7")
		c, err := form.Class(s, text)
		if err != nil {
			t.Fatal(err)
		}
		statements := s.Plan().Statements
		if len(c.Keys) != len(statements) {
			t.Fatalf("%d statements, keys for %d", len(statements), len(c.Keys))
		}
		for n, st := range statements {
			concert := spelling.MustParseName(st.Key).Class()
			for p, k := range c.Keys[n] {
				i, err := drill.Find(strings.Split(settings["parts"], ",")[p], drill.LevelFull)
				if err != nil {
					t.Fatal(err)
				}
				if sounds := pitch.ClassOf(int(spelling.MustParseName(k.Key).Class()) + i.Sounding.Semitones()); sounds != concert {
					t.Fatalf("%s: in %s the %s reads %s", text, st.Key, i.Name, k.Key)
				}
			}
		}
	})
}

// TestLawPartsPlayTogether: whoever takes the link of a part plays, statement by
// statement, the keys that the class is shown for it.
func TestLawPartsPlayTogether(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, settings, text := classDrawn(t, "full", "trumpet, horn, clarinet in A", "alto saxophone, flute", "tuba, clay flute: up m3 C3-C7")
		c, err := form.Class(s, text)
		if err != nil {
			t.Fatal(err)
		}
		for p, link := range c.Links {
			if link == "" && settings["order"] != "fresh" && !strings.Contains(settings["order"], "signs") {
				t.Fatalf("%s has no link for the %s", text, c.Parts[p])
			}
			own, _ := form.ReadLink(link)
			ownText, err := json.Marshal(own)
			if err != nil {
				t.Fatal(err)
			}
			alone, err := form.New(context.Background(), ownText, "")
			if err != nil { // a key that it rests in
				continue
			}
			statements := alone.Plan().Statements
			if len(statements) != len(c.Keys) || len(alone.Plan().LeftOut) > 0 || len(s.Plan().LeftOut) > 0 {
				continue // one of them leaves some out
			}
			for n, st := range statements {
				if got, want := spelling.MustParseName(st.Key).Class(), spelling.MustParseName(c.Keys[n][p].Key).Class(); link != "" && got != want {
					t.Fatalf("%s: statement %d of %s by the link %s is in %v, not %v", text, n, c.Parts[p], link, st.Key, c.Keys[n][p].Key)
				}
			}
		}
	})
}
