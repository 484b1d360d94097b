package listening

import (
	"fmt"
	"math"
	"slices"
	"time"

	"example.com/keyorder/figure"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
)

// An Asking says how an idea is read. The zero value finds tempo and key.
type Asking struct {
	Tempo float64 // quarters a minute, as it was counted; 0 to find it
	// Key is the tonic and its scale, where InKey is set.
	Key   spelling.Name
	Scale figure.Scale
	InKey bool
	// Sounding is the interval from the written note to the sounding one of the
	// player's instrument: the key that is read is the written one.
	Sounding interval.Interval
}

// A Reading is an idea as it was read.
type Reading struct {
	Figure figure.Figure
	Tonic  spelling.Note // the tonic that the figure counts from, written
	Tempo  float64       // quarters a minute, as counted or as found
	// Second is the tonic of the key that fits next best and SecondScale its
	// scale; with a key that was asked for they are that key.
	Second      spelling.Name
	SecondScale figure.Scale
	// Error is by how much the onsets missed the grid, as the root of the mean square.
	Error time.Duration
}

// MaxIdea is the greatest number of notes of an idea.
const MaxIdea = 256

// Idea makes a figure of notes that were played once, the first of them on a
// beat. Their onsets are brought to eighths, sixteenths or triplets, beat by
// beat, by least error with a cost for what is more complicated; a gap of a third of
// a beat or more, and of more than a third of the time up to the next note, is a rest.
// A note that is told again, as an Ear does, is the one before as it went on. The key
// is the one that is asked for, or the major or minor one whose scale has most of the
// notes and whose tonic begins or ends them. The error is a *fault.ValueError.
func Idea(heard []Note, a Asking) (Reading, error) {
	var told, notes []Note
	for _, n := range heard {
		told = tell(told, n)
	}
	for _, n := range told {
		k := len(notes) - 1
		switch {
		case n.Sure >= 0.5:
			notes = append(notes, n)
		case k >= 0 && n.On-notes[k].end < 20*time.Millisecond && math.Abs(n.Cents-notes[k].Cents) < 80:
			if n.Off-n.On > notes[k].Off-notes[k].On {
				notes[k].Cents = n.Cents
			}
			notes[k].Off, notes[k].end = n.Off, n.end // the note goes on
		}
	}
	if len(notes) == 0 {
		return Reading{}, &fault.ValueError{Setting: "idea", Want: "no note was heard; play it louder or nearer"}
	}
	if len(notes) > MaxIdea {
		return Reading{}, &fault.ValueError{Setting: "idea", Value: fmt.Sprintf("%d notes", len(notes)), Want: fmt.Sprintf("an idea has at most %d", MaxIdea)}
	}
	if a.Tempo != 0 && !(a.Tempo >= minTempo && a.Tempo <= maxTempo) {
		return Reading{}, &fault.ValueError{Setting: "tempo", Value: fmt.Sprint(a.Tempo), Want: fmt.Sprintf("the tempo of an idea goes from %d to %d quarters a minute", minTempo, maxTempo)}
	}
	r := Reading{Tempo: a.Tempo}
	if r.Tempo == 0 {
		r.Tempo = findTempo(notes)
	}
	g := quantise(notes, 60/r.Tempo)
	r.Error = time.Duration(g.error * 60 / r.Tempo * 1e9)
	keys := make([]int, len(notes))
	for n := range notes {
		keys[n] = int(notes[n].Key()) - a.Sounding.Semitones()
	}
	first, second := keysOf(keys, g.lengths)
	if a.InKey {
		first = keyed{a.Key, a.Scale, 0}
		second = first
	}
	r.Second, r.SecondScale = second.tonic, second.scale
	var err error
	events := make([]figure.Event, len(notes))
	for n, key := range keys {
		events[n] = figure.Event{Onset: g.onsets[n], Length: g.lengths[n], Note: first.scale.Spell(first.tonic, pitch.Number(key))}
	}
	r.Figure, r.Tonic, err = figure.FromEvents(events, nil, first.tonic, first.scale)
	return r, err
}

const (
	minTempo = 30
	maxTempo = 300
)

// A grid is where the notes of an idea lie, in parts of a quarter.
type grid struct {
	onsets  []figure.Length
	lengths []figure.Length // of the notes, what is left is rests
	cost    float64
	error   float64 // root of the mean square, in quarters
}

// steps are the ways to divide a beat, with what each costs where it is used first
// and each time.
var steps = []struct {
	part       figure.Length
	once, each float64
}{
	{figure.Eighth, 0, 0},
	{figure.Quarter / 3, 1.2, 0.8},
	{figure.Sixteenth, 0.6, 0.8},
}

const (
	// spread is by how much players miss the grid, in seconds: the error that costs
	// one half.
	spread = 0.014
	// hole is what it costs where a triplet's middle note is left out, or a note goes
	// from a beat's second sixteenth over its middle.
	hole = 0.8
)

// quantise brings the notes to the grid of a beat of so many seconds. The first
// note lies on a beat; where exactly the beat lies is found too.
func quantise(notes []Note, beat float64) grid {
	var best grid
	for shift := -0.03; shift <= 0.0301; shift += 0.005 {
		for allowed := 1; allowed < 1<<len(steps); allowed += 2 { // eighths, always
			g := toGrid(notes, beat, shift, allowed)
			if best.onsets == nil || g.cost < best.cost {
				best = g
			}
		}
	}
	for n := range notes {
		best.lengths = append(best.lengths, length(notes, best.onsets, n, beat))
	}
	return best
}

// toGrid brings the onsets to the grid, for each beat the division that costs
// least, of those that are allowed.
func toGrid(notes []Note, beat, shift float64, allowed int) grid {
	var g grid
	at := func(n int) float64 { return (notes[n].On - notes[0].On).Seconds() + shift }
	for k, s := range steps {
		if allowed>>k&1 == 1 {
			g.cost += s.once
		}
	}
	sum := 0.0
	for from := 0; from < len(notes); {
		// The notes from the middle of the eighth, or triplet, before a beat.
		number := math.Floor(at(from)/beat + 0.12)
		to := from
		for to < len(notes) && at(to)/beat+0.12 < number+1 {
			to++
		}
		least := math.Inf(1)
		var onsets []figure.Length
		for k, s := range steps {
			if allowed>>k&1 == 0 {
				continue
			}
			cost := s.each
			var all []figure.Length
			before := figure.Length(-1)
			if len(g.onsets) > 0 {
				before = g.onsets[len(g.onsets)-1]
			}
			var parts [5]bool
			for n := from; n < to; n++ {
				exact := at(n)/beat - number
				part := figure.Length(math.Round(exact*float64(figure.Quarter)/float64(s.part))) * s.part
				off := (exact - float64(part)/float64(figure.Quarter)) * beat / spread
				cost += off * off / 2
				place := figure.Length(number)*figure.Quarter + part
				if place <= before {
					cost += 100
				}
				before = place
				all = append(all, place)
				parts[max(0, min(int(part/s.part), 4))] = true
			}
			if s.part == figure.Quarter/3 && parts[1] != parts[2] || s.part == figure.Sixteenth && parts[1] && !parts[2] {
				cost += hole
			}
			if cost < least {
				least, onsets = cost, all
			}
		}
		g.cost += least
		for k, o := range onsets {
			off := at(from+k)/beat - float64(o)/float64(figure.Quarter)
			sum += off * off
		}
		g.onsets = append(g.onsets, onsets...)
		from = to
	}
	first := g.onsets[0]
	for n := range g.onsets {
		g.onsets[n] -= first
	}
	for n := 1; n < len(g.onsets); n++ { // no two at once
		g.onsets[n] = max(g.onsets[n], g.onsets[n-1]+figure.Sixteenth)
	}
	g.error = math.Sqrt(sum / float64(len(notes)))
	return g
}

// length returns how long a note is: up to the next, if no rest is heard between.
func length(notes []Note, onsets []figure.Length, n int, beat float64) figure.Length {
	heard := (notes[n].Off - notes[n].On).Seconds() / beat * float64(figure.Quarter)
	if n+1 == len(notes) {
		whole := figure.Length(math.Round(heard/float64(figure.Eighth))) * figure.Eighth
		return max(figure.Eighth, whole)
	}
	room := onsets[n+1] - onsets[n]
	silent := float64(room) - heard
	if silent < float64(figure.Quarter)/3 || heard > 0.62*float64(room) {
		return room
	}
	part := figure.Eighth
	if room%figure.Eighth != 0 {
		part = figure.Sixteenth
		if room%figure.Sixteenth != 0 {
			part = figure.Quarter / 3
		}
	}
	sounding := figure.Length(math.Ceil(heard/float64(part)-0.25)) * part
	return max(part, min(sounding, room-part))
}

// findTempo returns the tempo in which the notes cost least, moderate ones
// before others.
func findTempo(notes []Note) float64 {
	if len(notes) < 2 {
		return 100
	}
	best, least := 100.0, math.Inf(1)
	for tempo := 50.0; tempo <= 200; tempo++ {
		octaves := math.Log2(tempo / 100)
		cost := quantise(notes, 60/tempo).cost + 3*octaves*octaves
		if cost < least {
			best, least = tempo, cost
		}
	}
	return best
}

// A keyed is a key with how well it fits.
type keyed struct {
	tonic spelling.Name
	scale figure.Scale
	fit   float64
}

// keysOf returns the two keys that fit best.
func keysOf(keys []int, lengths []figure.Length) (first, second keyed) {
	var all []keyed
	for _, scale := range []figure.Scale{figure.Major, figure.NaturalMinor} {
		tonics := scale.Tonics()
		set := scale.Set().PitchSet()
		for tonic := range pitch.Class(12) {
			k := keyed{tonics[tonic], scale, 0}
			for n, key := range keys {
				if set.T(int(tonic)).Has(pitch.Number(key).Class()) {
					k.fit += float64(lengths[n]) / float64(figure.Eighth)
				} else {
					k.fit -= 2
				}
			}
			fifth := tonic.T(7)
			switch pitch.Number(keys[len(keys)-1]).Class() {
			case tonic:
				k.fit += 2
			case fifth, tonic.T(4), tonic.T(3):
				k.fit++
			}
			switch pitch.Number(keys[0]).Class() {
			case tonic:
				k.fit += 1.5
			case fifth:
				k.fit++
			}
			if scale == figure.Major {
				k.fit += 0.1
			}
			all = append(all, k)
		}
	}
	slices.SortStableFunc(all, func(a, b keyed) int {
		switch {
		case a.fit > b.fit:
			return -1
		case a.fit < b.fit:
			return 1
		}
		return 0
	})
	return all[0], all[1]
}
