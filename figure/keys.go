package figure

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode"

	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/pitch/fault"
	"example.com/keyorder/spelling"
)

// namedByChord reports whether players name the keys of the scale as they name
// chords. Common practice; the printed lists of blues scales agree.
func (s Scale) namedByChord() bool {
	switch s {
	case MinorBlues, Altered, OctatonicHalfWhole, OctatonicWholeHalf, WholeTone:
		return true
	}
	return false
}

// Tonics returns the names that the scale gives to the twelve keys, by pitch
// class. Of the sixteen tonics from G♭ to D♯ on the line of fifths each key is
// named by the one whose scale has the fewest accidentals, by flats if two
// have as many; harmonic and melodic minor take the names of natural minor.
// The result is that of common practice: G♭ to B for major, E♭ to G♯ for
// minor.
//
// The minor blues, the altered, octatonic and whole-tone scales are named by
// the root of a chord, and take the names of the major keys; of these, F♯ minor
// blues goes before G♭. Source: the lists of blues scales of the Arkansas School
// Band and Orchestra Association (jazz tryouts: on E♭, A♭, B♭) and of an
// encyclopedia (everything2: on D♭ and G♭ too); the rest is common practice.
//
// For every scale with a constant the twelve stand side by side on the line of
// fifths. A name in prefer is used for its pitch class instead, the last of them
// if there are several.
func (s Scale) Tonics(prefer ...spelling.Name) [12]spelling.Name {
	named := s
	switch {
	case s == HarmonicMinor || s == MelodicMinor:
		named = NaturalMinor
	case s.namedByChord():
		named = Major
	}
	names := named.fewestAccidentals()
	if s == MinorBlues {
		names[6] = spelling.NameOf(spelling.LetterF, 1)
	}
	for _, n := range prefer {
		names[n.Class()] = n
	}
	return names
}

// fewestAccidentals returns for each class the tonic on which the scale has the
// fewest accidentals.
func (s Scale) fewestAccidentals() [12]spelling.Name {
	var names [12]spelling.Name
	var fewest [12]int
	for n := spelling.NameOf(spelling.LetterG, -1); n <= spelling.NameOf(spelling.LetterD, 1); n++ {
		accidentals := 1 // so that 0 in fewest means none yet
		for i := range s.Set().Intervals() {
			a := n.Up(i).Alteration()
			accidentals += max(a, -a)
		}
		if c := n.Class(); fewest[c] == 0 || accidentals < fewest[c] {
			names[c], fewest[c] = n, accidentals
		}
	}
	return names
}

// Key returns the key on a tonic with the signature that music in the scale is
// written with: for the modes of the major scale that of the major scale with
// the same notes, for others that of minor if they have a minor third and no
// major one, and that of major if not.
func (s Scale) Key(tonic spelling.Name) spelling.Key {
	return spelling.Key{Tonic: tonic, Signature: spelling.Major(tonic + spelling.Name(s.signature())).Signature}
}

// signature returns how far the major tonic of the scale's key signature lies
// from its own tonic on the line of fifths.
func (s Scale) signature() int {
	set := s.Set()
	for places := -5; places <= 1; places++ {
		if mode, ok := Major.Set().Shift(interval.PerfectFifth.Times(places)); ok && mode == set {
			return places
		}
	}
	if set.Has(interval.MinorThird) && !set.Has(interval.MajorThird) {
		return -3
	}
	return 0
}

// BySignature returns the twelve keys of the scale, as pitch classes, by the
// number of sharps or flats in their signatures (see Key), flats before sharps
// where two have as many, from the key with the fewest: from C for major, A for
// minor, D for dorian. The names in prefer go before those that Tonics gives.
// cycle.Of makes an order of them.
func (s Scale) BySignature(prefer ...spelling.Name) [12]pitch.Class {
	tonics := s.Tonics(prefer...)
	var keys [12]pitch.Class
	for k := range keys {
		keys[k] = pitch.Class(k)
	}
	slices.SortStableFunc(keys[:], func(a, b pitch.Class) int {
		m, n := int(s.Key(tonics[a]).Signature), int(s.Key(tonics[b]).Signature)
		return cmp.Or(cmp.Compare(max(m, -m), max(n, -n)), cmp.Compare(m, n))
	})
	return keys
}

// ParsePreference reads how a player wants keys to be called: names separated
// by spaces or commas, as "Eb Ab F#", or the word flats for D♭ E♭ G♭ A♭ B♭. They
// are for [Scale.Tonics]. The error is a *fault.SyntaxError.
func ParsePreference(text string) ([]spelling.Name, error) {
	const want = "write the names of keys such as Eb Ab F#, or flats"
	fail := func(at int, want string) ([]spelling.Name, error) {
		return nil, &fault.SyntaxError{What: "names of keys", Input: text, At: at, Want: want}
	}
	list := text
	if strings.EqualFold(strings.TrimSpace(text), "flats") {
		list = "Db Eb Gb Ab Bb"
	}
	var names []spelling.Name
	for at, word := range words(list, func(r rune) bool { return r == ',' || unicode.IsSpace(r) }) {
		n, err := spelling.ParseName(word)
		if err != nil {
			return fail(at, want)
		}
		if a := n.Alteration(); a < -1 || a > 1 {
			return fail(at, "a key is called by a letter with at most one accidental")
		}
		same := slices.IndexFunc(names, func(o spelling.Name) bool { return o.Class() == n.Class() })
		switch {
		case same < 0:
			names = append(names, n)
		case names[same] != n:
			return fail(at, fmt.Sprintf("%v and %v are one key; write the name that you want", names[same], n))
		}
	}
	if len(names) == 0 {
		return fail(0, want)
	}
	return names, nil
}
