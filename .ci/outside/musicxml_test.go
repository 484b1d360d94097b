package outside

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/notation"
	"example.com/keyorder/figure/notation/musicxml"
)

// schema returns the folder of the published MusicXML 4.0 schema.
func schema(t *testing.T) string {
	t.Helper()
	dir := os.Getenv("MUSICXML_SCHEMA")
	if dir == "" {
		dir = "../../../shared/reference/musicxml"
	}
	dir, err := filepath.Abs(dir)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(filepath.Join(dir, "musicxml.xsd")); err != nil {
		t.Fatalf("the schema is missing: %v; DEVELOPERS.md says where to get it", err)
	}
	return dir
}

// validate lets xmllint check files against the schema.
func validate(t *testing.T, files ...string) error {
	t.Helper()
	dir := schema(t)
	path, err := exec.LookPath("xmllint")
	if err != nil {
		t.Fatalf("xmllint is missing: %v", err)
	}
	cmd := exec.Command(path, append([]string{"--noout", "--nonet", "--schema", filepath.Join(dir, "musicxml.xsd")}, files...)...)
	cmd.Env = append(os.Environ(), "XML_CATALOG_FILES="+filepath.Join(dir, "catalog.xml"))
	var complaint bytes.Buffer
	cmd.Stderr = &complaint
	if err := cmd.Run(); err != nil {
		t.Log(complaint.String())
		return err
	}
	return nil
}

// TestTheValidatorRefuses: it would tell if a file were wrong.
func TestTheValidatorRefuses(t *testing.T) {
	dir := schema(t)
	if validate(t, filepath.Join(dir, "example-valid.musicxml")) != nil {
		t.Error("the validator refuses the schema's valid example")
	}
	if validate(t, filepath.Join(dir, "example-invalid.musicxml")) == nil {
		t.Error("the validator takes the schema's invalid example")
	}
}

// TestMusicXML validates scores of every kind of bar that the notation makes.
func TestMusicXML(t *testing.T) {
	figures := []string{
		"1:3 5 4 2 3:2", "v5 v7 | {1 maj7} 1:3 3 {4 <&\">} 5:4", "1+3+5:3 0:1/2 b2:1/2 1:5", "1 2 3 by 1/12", "1:4 2:4 3:4 by 1/24",
		"1 ##4 bb7 bbb3 #####2 in natural minor", "0 0 {2 m7} 1 0", "1:1/2 2:1/4 3:1/8 4:1/8 5:7", "1 3 2 5 4 by 1/192", "1:64 by 1/4",
		"{1} 1 {2 m} 1 {3 dim} 1 {4 aug} 1 {5 7} 1 {1 maj7} 1 {2 m7} 1 {7 dim7} 1 {7 m7b5} 1 {1 mmaj7} 1 {1 6} 1 {1 m6} 1 {5 9} 1 {1 maj9} 1 {2 m9} 1 {5 sus4} 1 {5 sus2} 1 {5 7 alt} 1",
		"{5 7b9} 1 {1 6/9} 1 {2 m11} 1 {5 13} 1 {5 13(b9,#11)} 1 {1 maj7#5} 1 {7 ø} 1 {5 9sus4} 1 {1 5} 1 {5 7(no3)} 1 {1 add9} 1 {1 m(maj9)} 1 {1 m7/3} 1",
	}
	meters := []string{"4/4", "3/4", "6/8", "3+2/8", "2/2", "7/8", "5/4", "9/16"}
	dir := t.TempDir()
	var files []string
	for n, text := range figures {
		for m, name := range meters {
			names := []string{"alto sax", "double bass", "viola", "tenor voice", "baritone sax", "piano"}
			parts := instruments(t, names[(n+m)%len(names)], names[(n+m+1)%len(names)])
			d, err := drill.New(drill.Settings{
				Title:    "by <minor> \"thirds\" & more",
				Figure:   figure.MustParse(text),
				Route:    cycle.MustParse([]string{"m3", "-M2", "P4,-m3"}[m%3]).Closed(),
				Parts:    parts,
				Meter:    meter(t, name),
				Padding:  drill.Padding((n + m) % 3),
				Closing:  drill.Closing(n % 3),
				LeaveOut: true,
			})
			if err != nil {
				continue // too wide for one of the parts
			}
			s, err := notation.New([]*drill.Drill{d, d}, notation.Options{Title: "a & <b>\x00", Swing: m == 0, Signatures: n%2 == 0})
			if err != nil {
				t.Fatal(err)
			}
			var b bytes.Buffer
			if err := musicxml.Write(&b, s); err != nil {
				t.Fatal(err)
			}
			file := filepath.Join(dir, string(rune('a'+n))+string(rune('a'+m))+".musicxml")
			if err := os.WriteFile(file, b.Bytes(), 0o644); err != nil {
				t.Fatal(err)
			}
			files = append(files, file)
		}
	}
	if len(files) < len(figures)*len(meters)/2 {
		t.Fatalf("only %d files", len(files))
	}
	if err := validate(t, files...); err != nil {
		t.Errorf("%d files: %v", len(files), err)
	}
}
