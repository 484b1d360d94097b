package outside

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/notation"
	"example.com/keyorder/figure/notation/musicxml"
	"example.com/keyorder/interval"
	"example.com/keyorder/outside/harmony"
)

// TestHarmonyElements: every chord symbol of the table, in twelve keys, validates as
// MusicXML and is read back, by a reader that knows the standard only, with its root
// and the members that the table's sources give it.
func TestHarmonyElements(t *testing.T) {
	table, err := os.ReadFile("../../spelling/chord/testdata/chords.tsv")
	if err != nil {
		t.Fatal(err)
	}
	roots := strings.Fields("C F Bb Eb Ab Db Gb B E A D G")
	symbols := 0
	var files []string
	dir := t.TempDir()
	for _, line := range strings.Split(string(table), "\n") {
		f := strings.Split(line, "\t")
		if strings.HasPrefix(line, "#") || len(f) < 4 || f[0] == "symbol" || strings.Contains(f[0], "/") && f[0] != "C6/9" && f[0] != "Cm6/9" {
			continue
		}
		var want [][2]int
		members := f[3]
		if f[0] == "C7alt" { // one of those that the table allows
			members = "R M3 A5 m7 A9"
		}
		for _, i := range strings.Fields(members) {
			want = append(want, member(t, i))
		}
		slices.SortFunc(want, func(a, b [2]int) int { return a[1] - b[1] })
		symbols++
		suffix := strings.TrimPrefix(f[0], "C")
		fig, err := figure.New(figure.Major, 0, 0, figure.Item{Degrees: []figure.Degree{{}}, Length: figure.Whole, Chord: &figure.Chord{Suffix: suffix}})
		if err != nil {
			t.Fatal(err)
		}
		d, err := drill.New(drill.Settings{Figure: fig, Route: cycle.By(interval.PerfectFourth).Open(), Parts: instruments(t, "piano")})
		if err != nil {
			t.Fatal(err)
		}
		score, err := notation.New([]*drill.Drill{d}, notation.Options{})
		if err != nil {
			t.Fatal(err)
		}
		var b bytes.Buffer
		if err := musicxml.Write(&b, score); err != nil {
			t.Fatal(err)
		}
		file := filepath.Join(dir, fmt.Sprintf("%d.musicxml", symbols))
		if err := os.WriteFile(file, b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
		files = append(files, file)
		chords, err := harmony.Read(&b)
		if err != nil || len(chords) != 12 {
			t.Errorf("%s: %d chords, %v", f[0], len(chords), err)
			continue
		}
		for n, c := range chords {
			if c.Root != roots[n] || c.Bass != "" || !slices.Equal(c.Members, want) {
				t.Errorf("%s on %s is %s %s %v, want %v", f[0], roots[n], c.Root, c.Kind, c.Members, want)
			}
		}
	}
	if symbols < 55 {
		t.Errorf("%d symbols only", symbols)
	}
	if validate(t, files...) != nil {
		t.Error("a harmony element is not valid")
	}
	t.Logf("%d symbols in 12 keys", symbols)
}

// member reads an interval of the table, as m7, as a number and semitones.
func member(t *testing.T, text string) (m [2]int) {
	if text == "R" {
		return [2]int{1, 0}
	}
	if _, err := fmt.Sscan(text[1:], &m[0]); err != nil {
		t.Fatalf("%q: %v", text, err)
	}
	m[1] = []int{0, 2, 4, 5, 7, 9, 11}[(m[0]-1)%7] + (m[0]-1)/7*12
	perfect := strings.Contains("1 4 5", fmt.Sprint((m[0]-1)%7+1))
	switch text[0] {
	case 'm':
		m[1]--
	case 'A':
		m[1]++
	case 'd':
		if m[1]--; !perfect {
			m[1]--
		}
	}
	return m
}
