package web

import (
	"context"
	"os"
	"regexp"
	"strings"
	"testing"
)

// Every module has its types, all that it imports, and a word in the README.
func TestFiles(t *testing.T) {
	readme, err := os.ReadFile("README.md")
	if err != nil {
		t.Fatal(err)
	}
	files, err := Files(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	have := map[string]File{}
	for _, f := range files {
		have[f.Name] = f
	}
	for name, f := range have {
		if f.Kind == "" || len(f.Body) == 0 {
			t.Errorf("%s is of the kind %q and has %d bytes", name, f.Kind, len(f.Body))
		}
		if !strings.HasSuffix(name, ".d.ts") && !strings.Contains(string(readme), "`"+name+"`") {
			t.Errorf("the README has no word on %s", name)
		}
		if f.Kind == kind(Program) {
			continue
		}
		for _, m := range regexp.MustCompile(`(?:from|import) "\./([^"]+)"`).FindAllSubmatch(f.Body, -1) {
			if _, ok := have[string(m[1])]; !ok && name != glue {
				t.Errorf("%s imports %s, which is not there", name, m[1])
			}
		}
		if module, ok := strings.CutSuffix(name, ".js"); ok && name != glue {
			types := string(have[module+".d.ts"].Body)
			for _, m := range regexp.MustCompile(`(?m)^export (?:async )?(?:function|class|const) (\w+)`).FindAllStringSubmatch(string(f.Body), -1) {
				if !regexp.MustCompile(`\b` + m[1] + `\b`).MatchString(types) {
					t.Errorf("%s has no type in %s.d.ts", m[1], module)
				}
			}
		}
	}
	if program := have[Program]; len(program.Packed) == 0 || len(program.Packed) > 2<<20 {
		t.Errorf("the program has %d bytes by gzip", len(program.Packed))
	}
}
