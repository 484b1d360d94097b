package figure_test

import (
	"fmt"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure"
	"example.com/keyorder/interval"
	"example.com/keyorder/spelling"
)

func Example() {
	f := figure.MustParse("1 4 b3 b7 in dorian")
	tonics := f.Scale().Tonics()
	for _, key := range cycle.By(interval.MajorThird).Cycle(0) {
		fmt.Println(tonics[key], f.AppendNotes(nil, tonics[key].In(4)))
	}
	// Output:
	// C [C4 F4 E♭4 B♭4]
	// E [E4 A4 G4 D5]
	// A♭ [A♭4 D♭5 C♭5 G♭5]
}

func ExampleParse() {
	f, err := figure.Parse("v5 v7 | 1 3 {2 m7} 4:2 by 1/16")
	fmt.Println(f, f.NoteCount(), "notes,", f.Pickup(), "before the downbeat", err)

	_, err = figure.Parse("1 2 4 in major pentatonic")
	fmt.Println(err)
	// Output:
	// ↓5 ↓7 | 1 3 {2 m7} 4:2 by 1/16 5 notes, 1/8 before the downbeat <nil>
	// figure "1 2 4 in major pentatonic" at character 5: the major pentatonic scale (1 2 3 5 6) has no plain 4; write n4 for that of the major scale, or say which with b or #
}

func ExampleFigure_In() {
	f := figure.MustParse("v7 | 1+3:2")
	for _, e := range f.In(spelling.MustParse("Eb4")) {
		fmt.Println(e.Onset, e.Length, e.Note)
	}
	// Output:
	// -1/8 1/8 D4
	// 0 1/4 E♭4
	// 0 1/4 G4
}

func ExampleFromNotes() {
	f, tonic, err := figure.FromNotes("Bb D C F:2", spelling.MustParseName("Bb"), figure.Major)
	fmt.Println(f, "on", tonic, err)
	// Output: 1 3 2 5:2 on B♭4 <nil>
}

func ExampleScale() {
	fmt.Println(figure.LydianDominant.Formula())
	s, err := figure.ParseScale("1 b2 3 #4 5 b6 7")
	fmt.Println(s, s.Set().Len(), err)
	_, err = figure.ParseScale("1 b2 3 4 5 #5 b6")
	fmt.Println(err)
	// Output:
	// 1 2 3 #4 5 6 b7
	// 1 b2 3 #4 5 b6 7 7 <nil>
	// scale "1 b2 3 4 5 #5 b6" at character 15: a scale has each sound once
}

// A scale moved down by one of its own intervals is the mode that begins there.
func ExampleScaleOf() {
	modes := []figure.Scale{
		figure.MelodicMinor, figure.DorianFlat2, figure.LydianAugmented, figure.LydianDominant,
		figure.MixolydianFlat6, figure.LocrianSharp2, figure.SuperLocrian,
	}
	for i := range figure.MelodicMinor.Set().Intervals() {
		set, _ := figure.MelodicMinor.Set().Shift(-i)
		mode, err := figure.ScaleOf(set)
		fmt.Println(mode, "is", mode.Formula(), mode == modes[0], err)
		modes = modes[1:]
	}
	// Output:
	// melodic minor is 1 2 b3 4 5 6 7 true <nil>
	// dorian b2 is 1 b2 b3 4 5 6 b7 true <nil>
	// lydian augmented is 1 2 3 #4 #5 6 7 true <nil>
	// lydian dominant is 1 2 3 #4 5 6 b7 true <nil>
	// mixolydian b6 is 1 2 3 4 5 b6 b7 true <nil>
	// locrian #2 is 1 2 b3 4 b5 b6 b7 true <nil>
	// super-locrian is 1 b2 b3 b4 b5 b6 b7 true <nil>
}

// A scale's set without its letters is a pitch-class set, whose symmetry tells how
// many different scales there are on the twelve tonics.
func ExampleScale_Set() {
	for _, s := range []figure.Scale{
		figure.WholeTone, figure.OctatonicHalfWhole, figure.OctatonicWholeHalf,
		figure.AugmentedHexatonic3_1, figure.AugmentedHexatonic1_3, figure.BebopDominant, figure.PhrygianDominant,
	} {
		sounds := s.Set().PitchSet()
		fmt.Println(s, "is", s.Set(), "and sounds", sounds, "of which there are", 12/sounds.TSymmetry().Len())
	}
	// Output:
	// whole tone is P1 M2 M3 A4 A5 m7 and sounds 02468T of which there are 2
	// octatonic half-whole is P1 m2 m3 M3 A4 P5 M6 m7 and sounds 0134679T of which there are 3
	// octatonic whole-half is P1 M2 m3 P4 A4 A5 M6 M7 and sounds 0235689E of which there are 3
	// augmented hexatonic 3-1 is P1 A2 M3 P5 A5 M7 and sounds 03478E of which there are 4
	// augmented hexatonic 1-3 is P1 m2 M3 P4 A5 M6 and sounds 014589 of which there are 4
	// bebop dominant is P1 M2 M3 P4 P5 M6 m7 M7 and sounds 024579TE of which there are 12
	// phrygian dominant is P1 m2 M3 P4 P5 m6 m7 and sounds 014578T of which there are 12
}

// The modes of the major scale on D are written with the signature of the major
// scale that has their notes.
func ExampleScale_Key() {
	for _, mode := range []figure.Scale{figure.Lydian, figure.Mixolydian, figure.Dorian, figure.NaturalMinor, figure.Phrygian, figure.Locrian} {
		fmt.Println(mode, mode.Key(spelling.MustParseName("D")).Signature)
	}
	// Output:
	// lydian 3
	// mixolydian 1
	// dorian 0
	// natural minor -1
	// phrygian -2
	// locrian -3
}

// An order of one's own scale by its key signatures, for package cycle.
func ExampleScale_BySignature() {
	own := figure.MustParseScale("1 2 b3 #4 5 6 b7")
	keys := own.BySignature()
	order, err := cycle.Of(keys[:]...)
	fmt.Println(order, err)
	// Output: 9247E065T381 <nil>
}

// Which of the common scales hold a seventh chord by its letters, here the
// half-diminished one?
func ExampleCommonScales() {
	chord := interval.MustParseSet("P1 m3 d5 m7")
	for scale := range figure.CommonScales() {
		if chord.SubsetOf(scale.Set()) {
			fmt.Println(scale)
		}
	}
	// Output:
	// locrian
	// locrian #2
	// super-locrian
	// minor blues
}

func ExampleScale_Tonics() {
	fmt.Println(figure.Major.Tonics())
	fmt.Println(figure.NaturalMinor.Tonics())
	fmt.Println(figure.MinorBlues.Tonics())
	// Output:
	// [C D♭ D E♭ E F G♭ G A♭ A B♭ B]
	// [C C♯ D E♭ E F F♯ G G♯ A B♭ B]
	// [C D♭ D E♭ E F F♯ G A♭ A B♭ B]
}

func ExampleParsePreference() {
	called, err := figure.ParsePreference("F# Ab")
	fmt.Println(figure.NaturalMinor.Tonics(called...), err)
	// Output: [C C♯ D E♭ E F F♯ G A♭ A B♭ B] <nil>
}

func ExampleDegree() {
	d, err := figure.ParseDegree("vb7")
	above, _ := d.Above(figure.Major)
	fmt.Println(d, d.Plain(), above, err)
	// Output: ↓♭7 vb7 -M2 <nil>
}

func ExampleFigure_Chords() {
	f := figure.MustParse("{2 m7} 4 2 6 1 {5 7} 2 7:3")
	for c := range f.Chords(spelling.MustParseName("Ab")) {
		fmt.Println(c, "at", c.Onset)
	}
	// Output:
	// B♭m7 at 0
	// E♭7 at 1/2
}

// AppendIn fills the same memory again and again.
func ExampleFigure_AppendIn() {
	f := figure.MustParse("5 2 b3:2 1")
	var events []figure.Event
	for _, tonic := range []string{"C4", "Bb3"} {
		events = f.AppendIn(events[:0], spelling.MustParse(tonic))
		fmt.Println(events[2].Note, "lasts", events[2].Length)
	}
	// Output:
	// E♭4 lasts 1/4
	// D♭4 lasts 1/4
}

func ExampleFigure_Inversion() {
	f := figure.MustParse("1 3 2 5")
	g, err := f.Inversion(figure.MustParseDegree("1"))
	fmt.Println(f, "mirrored:", g, err)
	fmt.Println("backward:", f.Retrograde())
	fmt.Println("from the second note:", f.Rotation(1))
	// Output:
	// 1 3 2 5 mirrored: 1 ↓6 ↓7 ↓4 <nil>
	// backward: 5 2 3 1
	// from the second note: 3 2 5 1
}

// Notes with their times, as a file has them, become a figure.
func ExampleFromEvents() {
	events := []figure.Event{
		{Onset: 0, Length: figure.Quarter, Note: spelling.MustParse("Bb4")},
		{Onset: figure.Quarter, Length: figure.Eighth, Note: spelling.MustParse("G4")},
		{Onset: figure.Half, Length: figure.Eighth, Note: spelling.MustParse("Gb4")},
	}
	f, tonic, err := figure.FromEvents(events, nil, spelling.MustParseName("Eb"), figure.Major)
	fmt.Println(f, "from", tonic, err)
	// Output: 5:2 3 0 ♭3 from E♭4 <nil>
}

// A key of the keyboard has the letter of the scale.
func ExampleScale_Spell() {
	eFlat, e := spelling.MustParseName("Eb"), spelling.MustParseName("E")
	fmt.Println(figure.Major.Spell(eFlat, 68), figure.Major.Spell(e, 68), figure.Major.Spell(e, 62))
	// Output: A♭4 G♯4 D4
}
