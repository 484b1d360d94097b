package hearing_test

import (
	"context"
	"fmt"

	"example.com/keyorder/examples/web/form"
	"example.com/keyorder/examples/web/hearing"
	"example.com/keyorder/pitch"
)

// A session is followed by the keys of a keyboard; the third note in F is wrong.
func ExampleListener() {
	s, err := form.New(context.Background(), []byte(`{"figure": "5 2 b3:2 1", "keys": "C F", "tempo": "120", "instrument": "piano C4-C6"}`), "")
	if err != nil {
		fmt.Println(err)
		return
	}
	state, _ := s.AppendState(nil) // it was opened just now
	l, err := hearing.New("piano", 0)
	if err != nil {
		fmt.Println(err)
		return
	}
	if err := l.Follow(string(state), hearing.Following{}); err != nil {
		fmt.Println(err)
		return
	}
	const eighth = 0.25
	for n, keys := range [][4]pitch.Number{{67, 62, 63, 60}, {72, 67, 70, 65}} {
		start := s.Plan().Statements[n].Start
		for k, at := range []float64{0, 1, 2, 4} {
			l.Press(keys[k], 80, start+at*eighth)
		}
		for _, say := range l.At(start + 3).Says {
			fmt.Println(say.Verdict, "-", say.Words)
		}
	}
	// Output:
	// clean - clean
	// not clean - third note: B♭
}
