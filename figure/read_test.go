package figure_test

import (
	"slices"
	"strings"
	"testing"

	. "example.com/keyorder/figure"
	"example.com/keyorder/figure/figuretest"
	"example.com/keyorder/spelling"
	"pgregory.net/rapid"
)

func anyPolicy() *rapid.Generator[spelling.Policy] {
	return rapid.Custom(func(t *rapid.T) spelling.Policy {
		return spelling.Policy(rapid.IntRange(0, int(spelling.PolicyEasyWhiteKeys)).Draw(t, "policy"))
	})
}

// read returns the notes and chords of a figure as one reads them.
func read(f Figure, tonic string, p spelling.Policy) string {
	var words []string
	events := f.AppendRead(nil, spelling.MustParse(tonic), p)
	for c := range f.ReadChords(spelling.MustParse(tonic).Name(), p) {
		words = append(words, "{"+c.String()+"}")
	}
	for _, e := range events {
		words = append(words, e.Note.Name().String())
	}
	return strings.Join(words, " ")
}

// The readings that players expect. Common practice, no source, but E♭ minor
// blues with A for B𝄫, which is printed so on a page of contemporary theory
// (hotpraise.com).
func TestReading(t *testing.T) {
	const usual, strict, easy, white = spelling.PolicyUsual, spelling.PolicyStrict, spelling.PolicyEasy, spelling.PolicyEasyWhiteKeys
	for _, test := range []struct {
		figure, tonic string
		policy        spelling.Policy
		want          string
	}{
		// A chord on a root that nobody writes moves with its notes.
		{"{b2 maj7} b2 b3 4 b6", "Ab4", easy, "{Amaj7} A B C♯ E"},
		{"{b2 maj7} b2 b3 4 b6", "Ab4", white, "{Amaj7} A B C♯ E"},
		{"{b2 maj7} b2 b3 4 b6", "Ab4", strict, "{B𝄫maj7} B𝄫 C♭ D♭ F♭"},
		{"{b2 maj7} b2 b3 4 b6", "Ab4", usual, "{Amaj7} A B C♯ E"},
		{"{b6 7} 1 b3 b6 b5", "Db4", usual, "{A7} C♯ E A G"}, // and no B𝄫7
		{"{#4 dim7} #4 6 1 b3", "B3", usual, "{Fdim7} F A♭ C♭ D"},
		// A root of the scale stays under the usual policy.
		{"{4 maj7} 4 6 1 3", "Gb4", usual, "{C♭maj7} C♭ E♭ G♭ B♭"},
		{"{5 7b9} 5 n7 2 4 b6 in minor", "G#4", usual, "{D♯7♭9} D♯ F𝄪 A♯ C♯ E"},
		{"{1 dim7} 1 b3 b5 bb7", "C4", usual, "{Cdim7} C E♭ G♭ B𝄫"},
		// But not with a double accidental.
		{"{7 dim7} 7 2 4 6 in harmonic minor", "G#4", usual, "{Gdim7} G B♭ D♭ F♭"},
		{"{7 7} 7 in super-locrian bb7", "C4", usual, "{A7} A"},
		// A bass goes with its chord.
		{"{b6 7/b3} b6", "Db4", strict, "{B𝄫7/F♭} B𝄫"},
		{"{b6 7/b3} b6", "Db4", usual, "{A7/E} A"},
		{"{2 m7/5} 2 4", "Eb4", usual, "{Fm7/B♭} F A♭"},
		{"{1 6/9} 1", "C4", usual, "{C6/9} C"},
		{"{4 maj7/1} 4 {1 7/x} 1 {1 7/v7} 1 {1 7/7} 1 {2 so/3} 2", "C4", usual, "{Fmaj7/C} {C7/x} {C7/v7} {C7/B} {Dso/3} F C C C D"},
		{"{1 6/9/3} 1", "C4", usual, "{C6/9/E} C"},
		{"{1 /3} 1 in minor", "C4", usual, "{C/E♭} C"},
		{"{1 /8} 1 {2 so/so} 3", "C4", usual, "{C/8} {Dso/so} C E"}, // no degree of a bass, and no suffix
		{"{b2 maj7} b2 4 b6 8", "Eb4", easy, "{Emaj7} E G♯ B D♯"},
		{"{b6 7} b6 8 b3 b5", "Eb4", easy, "{B7} B D♯ F♯ A"},
		{"{b7 7} b7 9 11 b13", "Db4", easy, "{B7} B D♯ F♯ A"},
		{"{#1 maj7} #1 #3 #5", "D4", easy, "{E♭maj7} E♭ G B♭"},
		{"{7 m} 7 9 #11", "B3", easy, "{B♭m} B♭ D♭ F"},
		// A natural root stays, and doubles alone are respelled.
		{"{1 dim7} 1 b3 b5 bb7", "C4", easy, "{Cdim7} C E♭ G♭ A"},
		{"{1 dim7} 1 b3 b5 bb7", "F4", easy, "{Fdim7} F A♭ C♭ D"},
		{"{1 dim7} 1 b3 b5 bb7", "F4", white, "{Fdim7} F A♭ B D"},
		{"{1 dim7} 1 b3 b5 bb7", "Bb4", easy, "{B♭dim7} B♭ D♭ F♭ G"},
		// So does a root with one everyday name, and one without doubles.
		{"{1 m7b5} 1 b3 b5 b7", "Bb4", easy, "{B♭m7♭5} B♭ D♭ F♭ A♭"},
		{"{1 m7b5} 1 b3 b5 b7", "Eb4", easy, "{E♭m7♭5} E♭ G♭ A D♭"},
		{"{1 m} 1 b3 5", "Db4", easy, "{D♭m} D♭ F♭ A♭"},
		{"{1 7} 1 3 5 b7", "G#4", easy, "{G♯7} G♯ B♯ D♯ F♯"},
		// It goes where that frees it of doubles, and of C♭ F♭ E♯ B♯.
		{"{1 m7b5} 1 b3 b5 b7", "Db4", easy, "{C♯m7♭5} C♯ E G B"},
		{"{1 dim7} 1 b3 b5 bb7", "Ab4", easy, "{G♯dim7} G♯ B D F"},
		{"{1 maj7} 1 3 5 7", "G#4", easy, "{A♭maj7} A♭ C E♭ G"},
		{"{1 m7b5} 1 b3 b5 b7 7", "Gb4", easy, "{G♭m7♭5} G♭ A C F♭ F"},
		// Each chord goes its own way, and what has none keeps its key.
		{"bb7 1 | {1 m7b5} b3 b5 {2 m} 2 {b2 maj7} b2 b6", "Db4", easy, "{C♯m7♭5} {E♭m} {Dmaj7} B♭ D♭ E G E♭ D A"},
		{"1 bb7 b4", "Db4", easy, "D♭ B♭ F"},
		// Scales named by a chord's root.
		{"1 2 3 4 #4 #5 6 7 in octatonic whole-half", "Db4", usual, "D♭ E♭ E G♭ G A B♭ C"},
		{"{n3 7} n3 n7 in minor blues", "F#4", usual, "{A♯7} A♯ E♯"},
		{"1 3 4 b5 n5 7 in minor blues", "Eb4", usual, "E♭ G♭ A♭ A B♭ D♭"},
		{"1 3 4 b5 n5 7 in minor blues", "Db4", usual, "D♭ E G♭ G A♭ B"},
		{"1 3 4 b5 n5 7 in minor blues", "Db4", easy, "D♭ E G♭ G A♭ B"},
		{"1 3 4 b5 n5 7 in minor blues", "Db4", strict, "D♭ F♭ G♭ A𝄫 A♭ C♭"},
		{"1 b3 4 b5 5 b7 in dorian", "Db4", usual, "D♭ F♭ G♭ A𝄫 A♭ C♭"},
		{"1 2 3 #4 #5 7 in whole tone", "B3", usual, "B C♯ D♯ E♯ G A"},
		{"1 b2 b3 n3 #4 5 6 7 in octatonic half-whole", "Db4", usual, "D♭ D E F G A♭ B♭ B"},
		{"{b7 7} 7 n9 11 b13 {1 m7} 1 3 in minor blues", "Db4", usual, "{B7} {D♭m7} B D♯ F♯ A D♭ E"},
	} {
		if got := read(MustParse(test.figure), test.tonic, test.policy); got != test.want {
			t.Errorf("%s on %s, %v: %s, want %s", test.figure, test.tonic, test.policy, got, test.want)
		}
	}
}

func TestLawReadingKeepsTheSound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f, tonic, p := drawn(figuretest.Figure).Draw(t, "figure"), drawn(figuretest.Tonic).Draw(t, "tonic"), anyPolicy().Draw(t, "policy")
		strict, read := f.In(tonic), f.AppendRead(nil, tonic, p)
		for n, e := range read {
			if e.Note.Number() != strict[n].Note.Number() {
				t.Fatalf("%v in %v, %v: %v for %v", f, tonic, p, e.Note, strict[n].Note)
			}
			e.Note = strict[n].Note
			if e != strict[n] || p == spelling.PolicyStrict && read[n] != e {
				t.Fatalf("%v in %v, %v: %+v for %+v", f, tonic, p, read[n], strict[n])
			}
		}
		chords, readChords := slices.Collect(f.Chords(tonic.Name())), slices.Collect(f.ReadChords(tonic.Name(), p))
		if len(read) != len(strict) || len(chords) != len(readChords) {
			t.Fatalf("%v in %v, %v: %d notes and %d chords", f, tonic, p, len(read), len(readChords))
		}
		for n, c := range readChords {
			want := chords[n]
			if c.Root.Class() != want.Root.Class() || p == spelling.PolicyStrict && c != want {
				t.Fatalf("%v in %v, %v: %v for %v", f, tonic, p, c, want)
			}
			if c.Root = want.Root; c != want {
				t.Fatalf("%v in %v, %v: %v for %v", f, tonic, p, c, want)
			}
		}
	})
}

// TestLawChordsMoveWhole: in easy reading every root has an everyday name, a
// natural one never moves, and the notes move as their chord does; but for
// what is a double accidental then, and such there is none left. A chord that
// had an everyday name moves only to be rid of all trouble.
func TestLawChordsMoveWhole(t *testing.T) {
	plain := func(n spelling.Name) bool { return spelling.PolicyEasyWhiteKeys.Name(n) == n }
	everyday := strings.Fields("C D E F G A B Db C# Eb F# Gb Ab G# Bb")
	check := func(t interface{ Fatalf(string, ...any) }, f Figure, tonic spelling.Note) {
		strict, read := f.In(tonic), f.AppendRead(nil, tonic, spelling.PolicyEasy)
		for _, e := range read {
			if a := e.Note.Alteration(); a < -1 || a > 1 {
				t.Fatalf("%v in %v has %v", f, tonic, e.Note)
			}
		}
		before, after := slices.Collect(f.Chords(tonic.Name())), slices.Collect(f.ReadChords(tonic.Name(), spelling.PolicyEasy))
		for k := -1; k < len(before); k++ {
			moved, trouble := spelling.Name(0), false
			if k >= 0 {
				moved = after[k].Root - before[k].Root
				if !slices.Contains(everyday, after[k].Root.Plain()) || moved != 0 && before[k].Root.Alteration() == 0 {
					t.Fatalf("%v in %v: %v reads %v", f, tonic, before[k], after[k])
				}
			}
			for n, e := range read {
				if k >= 0 && e.Onset < before[k].Onset || k+1 < len(before) && e.Onset >= before[k+1].Onset {
					continue
				}
				whole := strict[n].Note.Name() + moved
				trouble = trouble || !plain(whole)
				if NamedByChord(f.Scale()) && whole < spelling.NameOf(spelling.LetterG, -1) {
					continue // C♭ and F♭ are read as plain notes there
				}
				if a := whole.Alteration(); a >= -1 && a <= 1 && e.Note.Name() != whole {
					t.Fatalf("%v in %v: %v does not move with its chord, to %v", f, tonic, strict[n].Note, whole)
				}
			}
			if trouble && moved != 0 && slices.Contains(everyday, before[k].Root.Plain()) {
				t.Fatalf("%v in %v: %v moves for nothing", f, tonic, before[k])
			}
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		check(t, drawn(figuretest.Figure).Draw(t, "figure"), drawn(figuretest.Tonic).Draw(t, "tonic"))
	})
	for q := spelling.Name(-15); q <= 19; q++ { // from F𝄫 to B𝄪
		for _, third := range []string{"b3", "3"} {
			for _, fifth := range []string{"b5", "5", "#5"} {
				for _, seventh := range []string{"6", "bb7", "b7", "7"} {
					check(t, MustParse("{1 x} 1 "+third+" "+fifth+" "+seventh), q.In(4))
				}
			}
		}
	}
}

func TestReadingDoesNotAllocate(t *testing.T) {
	f, tonic := MustParse("{b2 maj7} b2 b3 4 {5 7} b6"), spelling.MustParse("Ab4")
	dst := make([]Event, 0, f.NoteCount())
	if n := testing.AllocsPerRun(100, func() { dst = f.AppendRead(dst[:0], tonic, spelling.PolicyEasy) }); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

// TestReadingAtItsEnds: G♭ and A♯ are no trouble, a chord may move to either end of
// the everyday names and goes to the nearer name of two, E♯ and B♯ stay in usual
// reading, and the altered scale is one that is named by a chord's root. Common
// practice, no source, as for [TestReading].
func TestReadingAtItsEnds(t *testing.T) {
	const usual, easy, white = spelling.PolicyUsual, spelling.PolicyEasy, spelling.PolicyEasyWhiteKeys
	for _, test := range []struct {
		figure, tonic string
		policy        spelling.Policy
		want          string
	}{
		{"{1 x} 1 4 #4", "C#4", easy, "{D♭x} D♭ G♭ G"},
		{"{1 x} 1 6 b6", "Db4", easy, "{C♯x} C♯ A♯ A"},
		{"{1 x} 1 #1", "F#4", easy, "{G♭x} G♭ G"},
		{"{1 x} 1 b1", "Ab4", easy, "{G♯x} G♯ G"},
		{"{##3} ##3", "C4", easy, "{F♯} F♯"},
		{"{bbb6} bbb6", "C4", easy, "{G♭} G♭"},
		{"1 2 3 #4 #5 7 in whole tone", "E4", usual, "E F♯ G♯ A♯ B♯ D"},
		{"1 2 3 #4 #5 7 in whole tone", "E4", white, "E F♯ G♯ A♯ C D"},
		{"1 2 3 #4 #5 7 in whole tone", "B3", white, "B C♯ D♯ F G A"},
		{"1 2 9 3 #4 #5 7 in altered", "Ab4", usual, "A♭ A A C D E G♭"},
		{"{1 7} 1 2 in altered", "Ab4", usual, "{A♭7} A♭ A"},
	} {
		if got := read(MustParse(test.figure), test.tonic, test.policy); got != test.want {
			t.Errorf("%s on %s, %v: %s, want %s", test.figure, test.tonic, test.policy, got, test.want)
		}
	}
}
