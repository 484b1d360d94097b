package pitch_test

import (
	"errors"
	"math"
	"strconv"
	"strings"
	"testing"

	"example.com/keyorder/figure/figuretest"
	. "example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
	"github.com/google/go-cmp/cmp"
)

// TestLawTransposeAndInvertFormAGroup checks, over all twelve classes and all
// 24 operations, that composing two operations gives the one that theory says:
// TmTn = Tm+n, TmIn = Im+n, ImTn = Im−n, ImIn = Tm−n (common practice, no
// source), that T0 is the identity and that the 24 are different.
func TestLawTransposeAndInvertFormAGroup(t *testing.T) {
	type image [12]Class
	apply := func(op func(Class) Class) (im image) {
		for c := range Class(12) {
			im[c] = op(c)
		}
		return im
	}
	T := func(n int) func(Class) Class { return func(c Class) Class { return c.T(n) } }
	I := func(n int) func(Class) Class { return func(c Class) Class { return c.I(n) } }
	different := map[image]bool{}
	for m := -12; m <= 24; m++ {
		different[apply(T(m))] = true
		different[apply(I(m))] = true
		for n := -12; n <= 24; n++ {
			for what, pair := range map[string][2]image{
				"TT": {apply(func(c Class) Class { return c.T(n).T(m) }), apply(T(m + n))},
				"TI": {apply(func(c Class) Class { return c.I(n).T(m) }), apply(I(m + n))},
				"IT": {apply(func(c Class) Class { return c.T(n).I(m) }), apply(I(m - n))},
				"II": {apply(func(c Class) Class { return c.I(n).I(m) }), apply(T(m - n))},
			} {
				if pair[0] != pair[1] {
					t.Errorf("%s with %d and %d: %v, want %v", what, m, n, pair[0], pair[1])
				}
			}
		}
	}
	if len(different) != 24 {
		t.Errorf("%d operations, want 24", len(different))
	}
	if apply(T(0)) != (image{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11}) {
		t.Error("T0 is not the identity")
	}
}

func TestLawAnOctaveIsExactlyTwice(t *testing.T) {
	for n := Number(-200); n < 300; n++ {
		for _, a4 := range []float64{A440, 415, 442.5} {
			if (n + 12).Hertz(a4) != 2*n.Hertz(a4) {
				t.Errorf("key %d at %v: %v and %v", n, a4, n.Hertz(a4), (n + 12).Hertz(a4))
			}
		}
		if n.Class() != (n+12).Class() || n.Octave()+1 != (n+12).Octave() {
			t.Errorf("key %d: class %v octave %d", n, n.Class(), n.Octave())
		}
		if int(n) != 12*(n.Octave()+1)+int(n.Class()) {
			t.Errorf("key %d: class %v octave %d", n, n.Class(), n.Octave())
		}
	}
}

// TestTable checks every row of testdata/frequencies.tsv, whose published
// sources stand in its head: computed frequencies to six decimals, and the
// published ones to the digits published.
func TestTable(t *testing.T) {
	rows := 0
	for _, c := range figuretest.Table(t, "testdata/frequencies.tsv") {
		key, err := strconv.Atoi(c["midi_key"])
		if err != nil {
			t.Fatal(err)
		}
		rows++
		n := Number(key)
		hz, _ := strconv.ParseFloat(c["hz"], 64)
		if math.Abs(n.Hertz(A440)-hz) > 0.51e-6 {
			t.Errorf("key %d: %.7f Hz, want %v", key, n.Hertz(A440), hz)
		}
		_, decimals, _ := strings.Cut(c["published"], ".")
		if got := strconv.FormatFloat(n.Hertz(A440), 'f', len(decimals), 64); got != c["published"] {
			t.Errorf("key %d: %s Hz, published %s", key, got, c["published"])
		}
		if octave := c["name_sharp"][len(c["name_sharp"])-1:]; strconv.Itoa(n.Octave()) != octave {
			t.Errorf("key %d: octave %d, want %s", key, n.Octave(), octave)
		}
	}
	if rows != 88 {
		t.Errorf("%d rows, want 88", rows)
	}
}

func TestClassText(t *testing.T) {
	var all strings.Builder
	for c := range Class(12) {
		all.WriteString(c.String())
		text, _ := c.MarshalText()
		var back Class
		if err := back.UnmarshalText(text); err != nil || back != c {
			t.Errorf("%d prints as %s and parses as %d, %v", c, text, back, err)
		}
	}
	if diff := cmp.Diff("0123456789TE", all.String()); diff != "" {
		t.Error(diff)
	}
	for text, want := range map[string]Class{"10": 10, "11": 11, "t": 10, "e": 11} {
		if c, err := ParseClass(text); err != nil || c != want {
			t.Errorf("ParseClass(%q) = %v, %v", text, c, err)
		}
	}
	for _, text := range []string{"", "12", "C", "-1", "ſ", strings.Repeat("9", 1000)} {
		c := Class(7)
		err := c.UnmarshalText([]byte(text))
		var pe *fault.SyntaxError
		switch {
		case !errors.As(err, &pe):
			t.Errorf("%q: %v, left %v: no such error", text, err, c)
		case pe.What != "pitch class":
			t.Errorf("%q: %v, left %v: the error is of a %s", text, err, c, pe.What)
		case pe.Input != text:
			t.Errorf("%q: %v, left %v: it quotes %q", text, err, c, pe.Input)
		case pe.At != 0:
			t.Errorf("%q: %v, left %v: it is at %d", text, err, c, pe.At)
		case c != 7:
			t.Errorf("%q: %v, left %v: the class has changed", text, err, c)
		case len(err.Error()) > 200:
			t.Errorf("%q: %v, left %v: a long message", text, err, c)
		}
		if none, err := ParseClass(text); none != 0 || !strings.HasSuffix(err.Error(), ": a class is 0 to 9, T (ten) or E (eleven), with C as 0") {
			t.Errorf("%q: %v, %v", text, none, err)
		}
	}
	for c := Class(12); c < 255; c++ {
		switch text, err := c.MarshalText(); {
		case err != nil:
			t.Errorf("class %d has the text %s, %v: no text", uint8(c), text, err)
		case string(text) != (c - 12).String():
			t.Errorf("class %d has the text %s, %v: want %s", uint8(c), text, err, c-12)
		case c.String() != (c - 12).String():
			t.Errorf("class %d has the text %s, %v: it prints as %s", uint8(c), text, err, c)
		}
	}
	switch {
	case Class(14).String() != "2":
		t.Errorf("a class above 11 is not reduced: 14 prints as %v", Class(14))
	case Class(255).T(0) != 3:
		t.Errorf("a class above 11 is not reduced: 255 transposed is %v", Class(255).T(0))
	case Class(255).I(0) != 9:
		t.Errorf("a class above 11 is not reduced: 255 inverted is %v", Class(255).I(0))
	}
}

func TestValid(t *testing.T) {
	for n, want := range map[Number]bool{-1: false, 0: true, 127: true, 128: false} {
		if n.IsValid() != want {
			t.Errorf("%d valid: %v", n, n.IsValid())
		}
	}
}

func FuzzParseClass(f *testing.F) {
	for _, s := range []string{"0", "T", "e", "11", "12", ""} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		c, err := ParseClass(s)
		if err != nil {
			return
		}
		if again, err := ParseClass(c.String()); err != nil || again != c {
			t.Errorf("%q parses as %v, that as %v, %v", s, c, again, err)
		}
	})
}
