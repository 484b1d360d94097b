//go:build exercise

package orders_test

import (
	"reflect"
	"slices"
	"testing"

	. "example.com/keyorder/examples/exercises/04-orders"
)

func TestExamples(t *testing.T) {
	// Counted by hand; the first keys of whole steps, minor and major thirds are
	// common practice.
	for _, c := range []struct {
		step int
		want [][]int
	}{
		{4, [][]int{{0, 4, 8}, {1, 5, 9}, {2, 6, 10}, {3, 7, 11}}},
		{-3, [][]int{{0, 9, 6, 3}, {1, 10, 7, 4}, {2, 11, 8, 5}}},
		{7, [][]int{{0, 7, 2, 9, 4, 11, 6, 1, 8, 3, 10, 5}}},
	} {
		if got := Order(c.step); !reflect.DeepEqual(got, c.want) {
			t.Errorf("Order(%d) = %v, want %v", c.step, got, c.want)
		}
	}
}

func TestEveryKeyOnce(t *testing.T) {
	for step := -24; step <= 24; step++ {
		var times [12]int
		for _, k := range slices.Concat(Order(step)...) {
			if k < 0 || k > 11 {
				t.Fatalf("Order(%d) has the key %d: keys go from 0 to 11", step, k)
			}
			times[k]++
		}
		for k, n := range times {
			if n != 1 {
				t.Fatalf("Order(%d) = %v has key %d %d times, want once", step, Order(step), k, n)
			}
		}
	}
}

// The number of cycles is the largest number that divides both 12 and the step.
func TestNumberOfCycles(t *testing.T) {
	for step := 1; step <= 24; step++ {
		want := 1
		for d := 2; d <= 12; d++ {
			if 12%d == 0 && step%d == 0 {
				want = d
			}
		}
		if got := len(Order(step)); got != want {
			t.Fatalf("Order(%d) has %d cycles, want %d", step, got, want)
		}
	}
}

func TestCyclesAreClosed(t *testing.T) {
	for step := -12; step <= 12; step++ {
		cycles := Order(step)
		if len(cycles) == 0 {
			t.Fatalf("Order(%d) has no cycles", step)
		}
		for n, c := range cycles {
			if len(c) == 0 {
				t.Fatalf("Order(%d): cycle %d is empty", step, n+1)
			}
			for i, k := range c {
				if next := c[(i+1)%len(c)]; (next-k-step)%12 != 0 {
					t.Errorf("Order(%d): from %d to %d is no step of %d", step, k, next, step)
				}
			}
		}
	}
}
