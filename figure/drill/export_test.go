package drill

import (
	"time"

	"example.com/keyorder/figure"
	"example.com/keyorder/pitch"
)

// What the tests, which are external, see of the inside.

// Of returns the statement as one of another part.
func (s Statement) Of(p Part) Statement { s.part = p; return s }

func (i Instrument) Check() error { return i.check() }

var Changes = changes

var RoundUp = roundUp

func (s Settings) After(l figure.Length) time.Duration { return s.after(l) }

// A Slot is a statement to be placed.
type Slot = slot

// NewSlot returns one whose tonic, of a class, lies between two numbers.
func NewSlot(c pitch.Class, low, high int) Slot {
	return slot{class: c, low: low, from: lowest(c, low), to: high, middle: low + high}
}

// RoomOf returns the numbers between which its tonic lies.
func RoomOf(s Slot) [2]int { return [2]int{s.low, s.to} }

var (
	Fill   = fill
	Follow = follow
)

// Led places a section under one leader.
func Led(tonics [][]int, slots [][]Slot) { new(search).led(tonics, slots, PathNear) }

// Line is what a part would lead along.
func Line(slots []Slot) []int {
	line := new(search).shortest(nil, slots, PathNear)
	fill(line, slots)
	return line
}
