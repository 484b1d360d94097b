package cycle_test

import (
	"slices"
	"testing"

	. "example.com/keyorder/cycle"
	"pgregory.net/rapid"
)

// TestTableSplitMix compares with the first outputs of SplitMix64 for the seeds
// 0 and 1234567, as other implementations of it give them (values from memory).
func TestTableSplitMix(t *testing.T) {
	for seed, want := range map[SplitMix][]uint64{
		0:       {0xE220A8397B1DCDAF, 0x6E789E6AA1B965F4, 0x06C45D188009454F},
		1234567: {6457827717110365317, 3203168211198807973, 9817491932198370423, 4593380528125082431, 16408922859458223821},
	} {
		g := seed
		for n, w := range want {
			if x := g.Next(); x != w {
				t.Errorf("seed %d, output %d: %d, want %d", seed, n, x, w)
			}
		}
	}
}

// TestTableShuffle holds the orders to those of a program in another language
// that follows the doc of Shuffle: they may never change.
func TestTableShuffle(t *testing.T) {
	for seed, want := range map[uint64]string{
		0: "41680523E9T7", 1: "4679E3T12085", 2: "E7580629314T", 2024: "3T9645027E81", 12345: "0T14726E3598", 3: "734280165TE9", 4: "253E9841076T", 5: "718T6905E342", 1<<64 - 1: "324E795T0168",
	} {
		if got := Shuffle(seed).String(); got != want {
			t.Errorf("seed %d: %s, want %s", seed, got, want)
		}
	}
}

func TestLawShuffleIsAnOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		seed := rapid.Uint64().Draw(t, "seed")
		o := Shuffle(seed)
		switch again, err := Of(slices.Collect(values(o))...); {
		case err != nil:
			t.Fatalf("seed %d: %v, %v: its keys make none", seed, o, err)
		case again != o:
			t.Fatalf("seed %d: %v, %v: its keys make another", seed, o, err)
		case Shuffle(seed) != o:
			t.Fatalf("seed %d: %v, %v: shuffled again it is another", seed, o, err)
		}
	})
}

// TestLawShuffleIsUniform shuffles from 60,000 seeds and counts each key in
// each place, and each move: 121 and about 131 degrees of freedom. A fair
// shuffle goes over the bounds, six standard deviations, less than once in a
// million tries, and these seeds are fixed.
func TestLawShuffleIsUniform(t *testing.T) {
	const seeds = 60_000
	var places [12][12]int
	var moves Tally
	for seed := range uint64(seeds) {
		o := Shuffle(seed)
		for n, k := range o.Keys() {
			places[n][k]++
		}
		moves.AddAll(o.Moves(false))
	}
	square := func(n int, mean float64) float64 { return (float64(n) - mean) * (float64(n) - mean) / mean }
	inPlaces, inMoves := 0.0, 0.0
	for n := range places {
		for k := range places[n] {
			inPlaces += square(places[n][k], seeds/12.0)
		}
	}
	for mv := range EveryMove(0).Moves() {
		inMoves += square(moves.Count(mv), seeds/12.0)
	}
	if inPlaces > 121+6*16 || inMoves > 131+6*17 || moves.Made() != 132 {
		t.Errorf("chi-squared %.1f over places, %.1f over moves, %d different", inPlaces, inMoves, moves.Made())
	}
}

// TestShufflePassesOver takes the seed whose first output is 0. That is below 2⁶⁴
// modulo 12, so it is passed over, and the rest is the stream of seed 0.
func TestShufflePassesOver(t *testing.T) {
	gamma := uint64(0x9E3779B97F4A7C15)
	if g := SplitMix(-gamma); g.Next() != 0 {
		t.Fatal("the first output is not 0")
	}
	// Four is 2⁶⁴ modulo 12, the least output that is not passed over: it is taken
	// modulo 12, and the last key changes places with the fifth.
	seed := uint64(0xBB7F855425049B55)
	g := SplitMix(seed)
	if g.Next() != 4 {
		t.Fatal("the first output is not 4")
	}
	o := Shuffle(seed)
	if got := o.Keys()[11]; got != 4 {
		t.Errorf("the last key is %v, want 4", got)
	}
	if got, want := Shuffle(-gamma), Shuffle(0); got != want {
		t.Errorf("%v, want %v", got, want)
	}
}
