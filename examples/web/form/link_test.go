package form_test

import (
	"fmt"
	"maps"
	"reflect"
	"strings"
	"testing"

	"encoding/json"

	"pgregory.net/rapid"

	"example.com/keyorder/examples/web/form"
	"example.com/keyorder/examples/web/form/formtest"
	"example.com/keyorder/figure/practice"
)

func ExampleShortLink() {
	link := form.ShortLink(map[string]string{
		"figure": "3 5 1 6", "order": "P4", "tempo": "96", "parts": "trumpet, alto saxophone, horn", "meter": "4/4",
	})
	fmt.Println(link)
	settings, _ := form.ReadLink(strings.ToUpper(link))
	fmt.Println(settings["order"], "|", settings["parts"])
	// Output:
	// 3.5.1.6/o:p4/t:96/p:tpt,asx,hn
	// P4 | trumpet in B♭, alto saxophone in E♭, horn in F
}

// read is what the page makes of settings, as JSON, or the field that it refuses.
func read(t *rapid.T, settings map[string]string) string {
	text, err := json.Marshal(settings)
	if err != nil {
		t.Fatal(err)
	}
	f, err := form.Read(text, practice.Log{})
	if err != nil {
		field, _ := form.Text(err)
		return "refused: " + field
	}
	text, err = json.Marshal(f)
	if err != nil {
		t.Fatal(err)
	}
	return string(text) + settings["parts"]
}

// TestLawShortLinks: a link leads to settings that mean the same and whose link it
// is, in capitals, too.
func TestLawShortLinks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		settings := formtest.Settings(func(n int) int { return rapid.IntRange(0, n-1).Draw(t, "draw") })
		checkLink(t, settings)
		again, _ := form.ReadLink(form.ShortLink(settings))
		settings["parts"], again["parts"] = "", ""
		if got, want := read(t, again), read(t, settings); got != want {
			t.Fatalf("%v has the link %s, which is read as\n%s\nnot as\n%s", settings, form.ShortLink(settings), got, want)
		}
	})
}

// TestLawShortLinksOfAnyText: the same of whatever may be typed.
func TestLawShortLinksOfAnyText(t *testing.T) {
	typed := rapid.OneOf(rapid.String(), rapid.StringMatching(`[a-gnmMPAsxv~_#♭♯0-9 .,;:+/|{}=%&-]{0,12}`))
	rapid.Check(t, func(t *rapid.T) {
		settings := map[string]string{}
		for _, f := range form.Fields() {
			if rapid.IntRange(0, 3).Draw(t, f.Name) == 0 {
				settings[f.Name] = typed.Draw(t, "text")
			}
		}
		checkLink(t, settings)
		again, _ := form.ReadLink(form.ShortLink(settings))
		for _, f := range form.Fields() {
			want := strings.TrimSpace(settings[f.Name])
			if want == f.Default {
				want = ""
			}
			switch f.Name {
			case "figure", "instrument", "parts", "first", "keys", "names": // what means the same may be written otherwise
				continue
			}
			if again[f.Name] != want {
				t.Fatalf("%s %q came back as %q from %s", f.Name, want, again[f.Name], form.ShortLink(settings))
			}
		}
	})
}

func checkLink(t *rapid.T, settings map[string]string) {
	link := form.ShortLink(settings)
	for _, r := range link {
		if !strings.ContainsRune("abcdefghijklmnopqrstuvwxyz0123456789.,;:+-|{}()/_~", r) {
			t.Fatalf("%v has %q in its link %s", settings, r, link)
		}
	}
	again, twice := form.ReadLink(link)
	if twice != "" {
		t.Fatalf("%s has %q twice", link, twice)
	}
	if l := form.ShortLink(again); l != link {
		t.Fatalf("%v has the link %s, which is read as %v, whose link is %s", settings, link, again, l)
	}
	if capitals, _ := form.ReadLink(strings.ToUpper(link)); !maps.Equal(capitals, again) {
		t.Fatalf("%s is %v, in capitals %v", link, again, capitals)
	}
}

// TestShortLinks: what a class plays fits on a board.
func TestShortLinks(t *testing.T) {
	for _, test := range []struct {
		settings map[string]string
		link     string
	}{
		{map[string]string{}, ""},
		{map[string]string{"figure": "1:3 5 4 2 3:2", "order": "m3", "tempo": "80"}, ""}, // as by default
		{map[string]string{"figure": "5 2 b3:2 1", "order": "-M2", "instrument": "trumpet in B♭"}, "5.2.b3:2.1/o:-maj2/i:tpt"},
		{map[string]string{"figure": "1 4 b3:2 b7 in dorian", "order": "M3 -m3", "first": "E♭"}, "1.4.b3:2.b7.in.dorian/o:maj3.-min3/first:eb"},
		{map[string]string{"figure": "C F# Eb:2 Bb", "keys": "Bb Eb F# x4"}, "n.c.fs.eb:2.bb/k:bb.eb.fs.x4"},
		{map[string]string{"figure": "v#4 | 2+#5 3", "order": "P4,-m3"}, "vs4.|.2+s5.3/o:p4,-min3"},
		{map[string]string{"figure": "1 5 b3:2 4 in dorian by 1/16"}, "1.5.b3:2.4.in.dorian.by.1;16"},
		{map[string]string{"order": "fresh", "parts": "clarinet, clay flute: down M2 D4-B5", "rest": "2", "range": "first years"}, "o:fresh/r:2/range:first.years/p:cl,clay.flute:.down._m2._d4-_b5"},
		{map[string]string{"order": "P4", "parts": "flute, clarinet, alto saxophone, trumpet, trombone"}, "o:p4/p:fl,cl,asx,tpt,tbn"},
		{map[string]string{"figure": "{2 m7} 2 4 {5 M7} 5:2", "meter": "3/4"}, "{2.m7}.2.4.{5._m7}.5:2/m:3-4"},
	} {
		link := form.ShortLink(test.settings)
		if link != test.link {
			t.Errorf("%v: %s, want %s", test.settings, link, test.link)
		}
	}
	for _, usual := range []map[string]string{
		{"figure": "3 5 1 6", "order": "P4", "tempo": "96", "parts": "trumpet, alto saxophone, horn"},
		{"figure": "1 4 b3:2 b7 in dorian", "order": "-M2", "tempo": "88"},
		{"figure": "5 2 b3:2 1", "keys": "Bb Eb F Ab", "parts": "flute, clarinet"},
	} {
		if link := form.ShortLink(usual); len(link) >= 40 {
			t.Errorf("%s has %d characters", link, len(link))
		}
	}
	// What is typed a little otherwise means the same.
	want, _ := form.ReadLink("3.5.1.6/o:maj3/t:96")
	for _, typed := range []string{"/3.5.1.6/o:maj3/t:96/", "3 5 1 6/O:Maj3/T:96", "3.5.1.6/order:maj3/tempo:96", "f:3.5.1.6/ o:maj3/t:96"} {
		if got, _ := form.ReadLink(typed); !reflect.DeepEqual(got, want) {
			t.Errorf("%s: %v", typed, got)
		}
	}
	if got, twice := form.ReadLink("t:90/pace:4/t:96/p4"); twice != "tempo" || got["tempo"] != "96" || got["pace"] != "4" || len(got) != 3 {
		t.Errorf("%v, %q", got, twice)
	}
}
