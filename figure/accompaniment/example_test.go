package accompaniment_test

import (
	"fmt"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/accompaniment"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/interval"
)

// A bass and chords under a figure with three chords, in the first key.
func Example() {
	trombone, err := drill.Find("trombone", drill.LevelComfortable)
	if err != nil {
		fmt.Println(err)
		return
	}
	d, err := drill.New(drill.Settings{
		Figure: figure.MustParse("{2 m7} 2 b3 4 6 {5 7} v7 2 4 5 {1 maj7} 3:8"),
		Route:  cycle.By(interval.PerfectFourth).Closed(),
		Parts:  []drill.Instrument{trombone},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	a, err := accompaniment.New(d, accompaniment.Band{Bass: accompaniment.BassRoots, Chords: accompaniment.CompingWhole})
	if err != nil {
		fmt.Println(err)
		return
	}
	st, _ := d.Parts()[0].Statement(0)
	for _, n := range a.AppendStatement(nil, 0, st.Onset, st.End()) {
		fmt.Println(n.Layer, "at", n.Onset, "for", n.Length, "key", n.Key)
	}
	// Output:
	// bass at 0 for 1/2 key 38
	// bass at 1/2 for 1/2 key 43
	// bass at 1 for 1/2 key 36
	// bass at 3/2 for 1/2 key 43
	// chords at 0 for 1/2 key 53
	// chords at 0 for 1/2 key 60
	// chords at 0 for 1/2 key 64
	// chords at 1/2 for 1/2 key 57
	// chords at 1/2 for 1/2 key 59
	// chords at 1/2 for 1/2 key 65
	// chords at 1 for 1 key 59
	// chords at 1 for 1 key 62
	// chords at 1 for 1 key 64
}

// A figure without chords has a drone.
func ExampleBand() {
	piano, err := drill.Find("piano", drill.LevelComfortable)
	if err != nil {
		fmt.Println(err)
		return
	}
	d, err := drill.New(drill.Settings{
		Figure: figure.MustParse("5 2 b3:2 1"), Route: cycle.By(interval.MajorSecond).Open(), Parts: []drill.Instrument{piano},
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	_, err = accompaniment.New(d, accompaniment.Band{Bass: accompaniment.BassWalking})
	fmt.Println(err)
	a, err := accompaniment.New(d, accompaniment.Band{Drone: true})
	if err != nil {
		fmt.Println(err)
		return
	}
	for n := range 2 {
		fmt.Println(a.AppendStatement(nil, n, 0, figure.Half))
	}
	// Output:
	// accompaniment 5 2 b3:2 1: the figure has no chords, as {2 m7}, so that a drone only can sound
	// [{0 1/2 drone 48} {0 1/2 drone 55}]
	// [{0 1/2 drone 50} {0 1/2 drone 57}]
}
