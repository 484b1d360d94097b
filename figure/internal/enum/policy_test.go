package enum

import (
	"testing"

	"example.com/keyorder/spelling"
)

// TestLawPolicyAsTheOthers: spelling.Policy, which stands below this package and
// cannot use it, has its text, and its errors, as the enumerations above do.
func TestLawPolicyAsTheOthers(t *testing.T) {
	names := []string{spelling.PolicyUsual.String(), spelling.PolicyStrict.String(), spelling.PolicyEasy.String(), spelling.PolicyEasyWhiteKeys.String()}
	same := func(a, b error) bool { return a == nil && b == nil || a != nil && b != nil && a.Error() == b.Error() }
	for n := range 256 {
		p := spelling.Policy(n)
		if got := p.String(); got != Text(p, "Policy", names) {
			t.Errorf("%d prints %s, want %s", n, got, Text(p, "Policy", names))
		}
		text, err := p.AppendText([]byte("x"))
		want, wantErr := Append([]byte("x"), p, "Policy", names)
		if string(text) != string(want) || !same(err, wantErr) {
			t.Errorf("%d is written as %q, %v; want %q, %v", n, text, err, want, wantErr)
		}
	}
	for _, text := range append(names, "Easy White Keys", "", "Policy(4)") {
		got, want := spelling.Policy(9), spelling.Policy(9)
		err, wantErr := got.UnmarshalText([]byte(text)), Set(&want, []byte(text), "Policy", names)
		if got != want || !same(err, wantErr) {
			t.Errorf("%q is read as %v, %v; want %v, %v", text, got, err, want, wantErr)
		}
	}
}

// TestLawLanguageAsTheOthers: spelling.Language too.
func TestLawLanguageAsTheOthers(t *testing.T) {
	names := []string{"english", "german", "french", "italian", "spanish"}
	same := func(a, b error) bool { return a == nil && b == nil || a != nil && b != nil && a.Error() == b.Error() }
	for n := range 256 {
		l := spelling.Language(n)
		text, err := l.AppendText([]byte("x"))
		want, wantErr := Append([]byte("x"), l, "Language", names)
		if string(text) != string(want) || !same(err, wantErr) || l.String() != Text(l, "Language", names) {
			t.Errorf("%d is written as %q, %v; want %q, %v", n, text, err, want, wantErr)
		}
	}
	for _, text := range append(names, "French", "", "Language(5)") {
		got, want := spelling.Language(9), spelling.Language(9)
		err, wantErr := got.UnmarshalText([]byte(text)), Set(&want, []byte(text), "Language", names)
		if got != want || !same(err, wantErr) {
			t.Errorf("%q is read as %v, %v; want %v, %v", text, got, err, want, wantErr)
		}
	}
}
