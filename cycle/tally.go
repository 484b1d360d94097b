package cycle

import (
	"fmt"
	"iter"
	"math"
	"slices"
	"strconv"
	"strings"

	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
)

// A Tally counts how often each of the 132 moves from one key to another was
// made. The zero value has counted none; values compare with ==. Staying on a
// key is no such move, and is not counted.
type Tally struct {
	made [12][11]uint32 // from each key, up by 1 to 11 semitones
}

// MaxCount is where the count of one move stops: ten million, more than anyone
// plays.
const MaxCount = 10_000_000

// The greatest values of KeyEntropy and IntervalEntropy, in bits.
const (
	MaxKeyEntropy      = 3.584962500721156  // log₂ 12
	MaxIntervalEntropy = 3.4594316186372973 // log₂ 11
)

// add counts a move n times, n at most MaxCount.
func (m *Tally) add(mv Move, n uint32) {
	if up := mv.Semitones(); up > 0 {
		made := &m.made[mv.From.T(0)][up-1]
		*made = min(*made+n, MaxCount)
	}
}

// Add counts a move once more.
func (m *Tally) Add(mv Move) { m.add(mv, 1) }

// AddAll counts the moves of an order or of a route.
func (m *Tally) AddAll(moves iter.Seq[Move]) {
	for mv := range moves {
		m.Add(mv)
	}
}

// Merge adds the counts of n.
func (m *Tally) Merge(n Tally) {
	for mv := range n.all() {
		m.add(mv, n.of(mv))
	}
}

// all yields the moves made at least once, by the key they go from and then by
// the key they go to.
func (m Tally) all() iter.Seq[Move] {
	return func(yield func(Move) bool) { m.each(true, yield) }
}

// Missing yields the moves never made, by the key they go from and then by the
// key they go to.
func (m Tally) Missing() iter.Seq[Move] {
	return func(yield func(Move) bool) { m.each(false, yield) }
}

func (m *Tally) each(made bool, yield func(Move) bool) {
	for from := range pitch.Class(12) {
		for to := range pitch.Class(12) {
			mv := Move{from, to}
			if from != to && (m.of(mv) > 0) == made && !yield(mv) {
				return
			}
		}
	}
}

func (m *Tally) of(mv Move) uint32 {
	if up := mv.Semitones(); up > 0 {
		return m.made[mv.From.T(0)][up-1]
	}
	return 0
}

// Count returns how often a move was made, 0 to MaxCount.
func (m Tally) Count(mv Move) int { return int(m.of(mv)) }

// Total returns how many moves were made, all counts together.
func (m Tally) Total() int {
	n := 0
	for mv := range m.all() {
		n += int(m.of(mv))
	}
	return n
}

// Made returns how many of the 132 moves were made at least once.
func (m Tally) Made() int {
	n := 0
	for range m.all() {
		n++
	}
	return n
}

// KeyEntropy returns how evenly the moves are spread over the keys they lead
// to, as Shannon's entropy in bits: 0 where all lead to one key, MaxKeyEntropy
// where all twelve keys are reached equally often. It is 0 if there are none.
func (m Tally) KeyEntropy() float64 {
	var to [12]int
	for mv := range m.all() {
		to[mv.To] += int(m.of(mv))
	}
	return entropy(to, MaxKeyEntropy)
}

// IntervalEntropy returns how evenly the moves are spread over the eleven
// intervals, as Shannon's entropy in bits: 0 where all are by one interval,
// MaxIntervalEntropy where all eleven are made equally often. It is 0 if there
// are none. An interval is counted upward: a fourth down is a fifth up.
func (m Tally) IntervalEntropy() float64 {
	var up [12]int
	for mv := range m.all() {
		up[mv.Semitones()] += int(m.of(mv))
	}
	return entropy(up, MaxIntervalEntropy)
}

// entropy returns Shannon's entropy of the counts, in bits, which rounding does
// not take above its maximum.
func entropy(counts [12]int, most float64) float64 {
	total, bits := 0, 0.0
	for _, n := range counts {
		total += n
	}
	for _, n := range counts {
		if n > 0 {
			bits += float64(n) / float64(total) * math.Log2(float64(total)/float64(n))
		}
	}
	return min(bits, most)
}

// Freshest returns which of the candidates, counted from 0, makes most of the
// moves that were made least: the one with the most different moves that were
// made as rarely as any of the 132; of several, the one with the most that were
// made next most rarely, and so on. Of candidates equal in all this it is the
// first. If there are no candidates it returns −1.
//
// How long a candidate takes is not weighed, so compare those of about the same
// length. Orders become candidates closed or open: Freshest(made, a.Closed(),
// b.Open()).
func Freshest(made Tally, candidates ...Route) int {
	best, least := -1, []uint32(nil)
	for n, r := range candidates {
		// The counts of its moves, the rarest first: more of the rarest shows as a
		// smaller count where two lists differ, or as the longer list.
		var own Tally
		own.AddAll(r.Moves())
		var counts []uint32
		for mv := range own.all() {
			counts = append(counts, made.of(mv))
		}
		slices.Sort(counts)
		counts = append(counts, math.MaxUint32)
		if best < 0 || slices.Compare(counts, least) < 0 {
			best, least = n, counts
		}
	}
	return best
}

// String returns the moves made, by the key they go from and then by the key
// they go to, each as its two keys and, where it was made more than once, the
// count: "01 05:3 0E". It is empty if none was made.
func (m Tally) String() string {
	b, _ := m.AppendText(nil)
	return string(b)
}

// AppendText implements encoding.TextAppender. It appends what String returns.
func (m Tally) AppendText(b []byte) ([]byte, error) {
	start := len(b)
	for mv := range m.all() {
		if len(b) > start {
			b = append(b, ' ')
		}
		b, _ = mv.From.AppendText(b)
		b, _ = mv.To.AppendText(b)
		if n := m.of(mv); n > 1 {
			b = strconv.AppendUint(append(b, ':'), uint64(n), 10)
		}
	}
	return b, nil
}

// MarshalText implements encoding.TextMarshaler; see String.
func (m Tally) MarshalText() ([]byte, error) { return m.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler. It reads counts as String
// writes them, with the moves in any order. A move that comes again is added. No
// text is no moves. The error is a *fault.SyntaxError.
func (m *Tally) UnmarshalText(text []byte) error {
	v, err := parseTally(string(text))
	if err == nil {
		*m = v
	}
	return err
}

func parseTally(s string) (Tally, error) {
	refuse := func(at int, want string) (Tally, error) {
		return Tally{}, &fault.SyntaxError{What: "moves", Input: s, At: at, Want: want}
	}
	var m Tally
	more := s != ""
	for at := 0; more; {
		var text string
		text, _, more = strings.Cut(s[at:], " ")
		keys, times, many := strings.Cut(text, ":")
		var mv Move
		if len(keys) != 2 || mv.From.UnmarshalText([]byte(keys[:1])) != nil || mv.To.UnmarshalText([]byte(keys[1:])) != nil || mv.From == mv.To {
			return refuse(at, "a move is two different keys, 0 to 9, T and E, and after a colon how often it was made, as 05:3; moves stand apart by one space")
		}
		n := uint64(1)
		if many {
			var err error
			if n, err = strconv.ParseUint(times, 10, 0); err != nil || n == 0 || n > MaxCount {
				return refuse(at+3, fmt.Sprintf("a move was made 1 to %d times", MaxCount))
			}
		}
		m.add(mv, uint32(n))
		at += len(text) + 1
	}
	return m, nil
}
