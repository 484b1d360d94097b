package figuretest_test

import (
	"fmt"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/figuretest"
)

func Example() {
	random := rand.New(rand.NewPCG(1, 2))
	for range 3 {
		f := figuretest.Figure(random.IntN)
		fmt.Println(f.NoteCount() > 0, f.Length() > 0)
	}
	// Output:
	// true true
	// true true
	// true true
}

// TestLawTheSameNumbersDrawTheSame, and what is drawn makes a drill.
func TestLawTheSameNumbersDrawTheSame(t *testing.T) {
	for seed := range uint64(300) {
		a := figuretest.Settings(rand.New(rand.NewPCG(seed, 0)).IntN)
		b := figuretest.Settings(rand.New(rand.NewPCG(seed, 0)).IntN)
		if !reflect.DeepEqual(a, b) {
			t.Fatalf("%+v\n%+v", a, b)
		}
		if _, err := drill.New(a); err != nil {
			t.Fatal(err)
		}
	}
}

// TestReach: what is drawn reaches what tests need to see.
func TestReach(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	seen := map[string]int{}
	for range 400 {
		s := figuretest.Settings(random.IntN)
		seen["scale "+s.Figure.Scale().String()]++
		seen[fmt.Sprint("parts ", len(s.Parts))]++
		seen[fmt.Sprint("closing ", s.Closing)]++
		seen[fmt.Sprint("compound ", s.Meter.Compound())]++
		if s.Figure.Pickup() > 0 {
			seen["pickup"]++
		}
		for it := range s.Figure.Items() {
			switch {
			case len(it.Degrees) == 0:
				seen["rest"]++
			case len(it.Degrees) > 1:
				seen["together"]++
			}
			if it.Chord != nil {
				seen["chord"]++
			}
		}
		d, err := drill.New(s)
		if err != nil {
			t.Fatal(err)
		}
		if len(d.Parts()[0].LeftOut()) > 0 {
			seen["left out"]++
		}
	}
	for _, what := range []string{"parts 1", "parts 3", "closing held", "closing full", "closing open", "compound true", "compound false", "pickup", "rest", "together", "chord", "left out"} {
		if seen[what] < 5 {
			t.Errorf("%s is drawn %d times", what, seen[what])
		}
	}
	for s := range figure.CommonScales() {
		if seen["scale "+s.String()] == 0 {
			t.Errorf("the %v scale is never drawn", s)
		}
	}
}

func TestRows(t *testing.T) {
	rows, err := figuretest.Rows(strings.NewReader("# a remark\na\tb\n\n1\t2\n3\n"))
	if err != nil || len(rows) != 2 || rows[0]["b"] != "2" || rows[1]["a"] != "3" || rows[1]["b"] != "" {
		t.Error(rows, err)
	}
	if _, err := figuretest.Rows(strings.NewReader("a\n1\t2\n")); err == nil {
		t.Error("a row with more fields than columns is read")
	}
}
