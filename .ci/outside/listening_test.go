package outside

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"example.com/keyorder/figure/listening"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/outside/takes"
)

var (
	takesEach  = flag.Int("takes", 1, "takes of each instrument and sound set in the listening trial")
	firstSeed  = flag.Uint64("seed", 1, "the first seed of the listening trial")
	conditions = flag.String("conditions", "plain", "the conditions of the listening trial")
	soundCache = flag.String("sounds", "", "a folder to keep the sounds of the listening trial in")
	only       = flag.String("only", "", "the instruments of the listening trial, separated by commas")
	baseline   = flag.Bool("aubio", false, "have aubio hear instead")
	aubioPitch = flag.String("aubiopitch", "-p yinfft -s -50", "how aubio finds the pitch")
	aubioOnset = flag.String("aubioonset", "-O energy -t 0.3 -s -50 -M 0.05", "how aubio finds onsets")
	aubioWide  = flag.Int("aubiowindow", 2048, "the window of aubio's pitch, in samples; that of its onsets is half of it")
	aubioSplit = flag.Bool("aubiochanges", true, "whether a change of aubio's pitch begins a note, too")
	whole      = flag.Bool("whole", false, "hold the trials of listening and ideas to their goals themselves, not to what chance allows a sample")
	verbose    = flag.Bool("mistakes", false, "print what the judge gets wrong")
)

// goals are, in a hundred, the false alarms and the misses of winds and brass and
// of the others that the trial allows in a condition.
var goals = map[string][2]takes.Goal{
	"plain": {goal(1, 1), goal(4, 3)}, "room": {goal(3, 2), goal(4, 3)}, "click": {goal(2, 2), goal(5, 4)}, "leak": {goal(3, 3), goal(6, 5)}, "noise": {goal(2, 2), goal(5, 4)},
}

func goal(falseAlarms, missed float64) takes.Goal {
	return takes.Goal{FalseAlarms: falseAlarms, Missed: missed, Unclear: 5, Named: 90}
}

// TestListening has the judge hear sampled instruments, whose faults are known.
// By default it hears a small sample, with constants that were not chosen by it, and
// fails where a judge that just meets the goals would less than once in a hundred;
// .ci/listening has it hear more than 2,000 statements.
func TestListening(t *testing.T) {
	t.Parallel()
	dir := *soundCache
	if dir == "" {
		dir = t.TempDir()
	} else if err := os.MkdirAll(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	names := append(append([]string{}, takes.Winds...), takes.Others...)
	if *only != "" {
		names = strings.Split(*only, ",")
	}
	table := takes.Table{}
	for _, condition := range strings.Fields(*conditions) {
		for set := range takes.Sets {
			for i, name := range names {
				for n := range *takesEach {
					seed := *firstSeed + uint64(n*100+i)
					hear(t, dir, condition, set, name, seed, table)
				}
			}
		}
	}
	t.Logf("\n%v", table)
	if *baseline {
		return
	}
	for _, condition := range strings.Fields(*conditions) {
		for n, group := range []string{"winds", "others"} {
			s := table.Row(condition + " 1 " + group)
			for _, missed := range s.Misses(goals[condition][n], !*whole) {
				t.Errorf("%s, %s: %s", condition, group, missed)
			}
		}
	}
}

func isWind(name string) bool { return strings.Contains(strings.Join(takes.Winds, ","), name) }

func hear(t *testing.T, dir, condition, set, name string, seed uint64, table takes.Table) {
	mode := playback.ModeModel
	if condition == "leak" {
		mode = playback.ModeAnswer
	}
	take, err := takes.Draw(seed, name, mode)
	if err != nil {
		t.Fatalf("%s %d: %v", name, seed, err)
	}
	sound, err := takes.Render(dir, fmt.Sprintf("%s-%d-%s-%v", strings.ReplaceAll(name, " ", "-"), seed, set, mode), set, take.Notes, take.Instrument.Program, take.Vibrato)
	if err != nil {
		t.Fatal(err)
	}
	sound = spoilt(t, dir, condition, set, take, sound, seed)
	var notes []listening.Note
	var says []listening.Say
	if *baseline {
		says, err = takes.Aubio(dir, take, sound, takes.AubioSetup{Pitch: *aubioPitch, Onset: *aubioOnset, Window: [2]int{*aubioWide, *aubioWide / 2}, Changes: *aubioSplit})
	} else {
		says, err = takes.Hear(take, sound, &notes)
	}
	if err != nil {
		t.Fatal(err)
	}
	if len(says) != len(take.Truths) {
		t.Fatalf("%s %d: %d says of %d statements", name, seed, len(says), len(take.Truths))
	}
	for n, s := range says {
		truth := take.Truths[n]
		group := "others"
		if isWind(name) {
			group = "winds"
		}
		fault := truth.Fault
		if fault == "" {
			fault = "clean"
		}
		for _, row := range []string{"0 all", "1 " + group, "2 " + group + " " + set, "3 " + name + " " + set, fmt.Sprintf("5 %s tempo %d", group, take.Tempo), "6 " + group + " " + fault, "7 " + group + " " + take.Figure} {
			table.Row(condition+" "+row).Add(truth, s)
		}
		if *verbose {
			mistake(t, take, truth, s, notes, fmt.Sprintf("%s: %s %d %s", condition, name, seed, set))
		}
	}
}

// spoilt is the sound as it comes to the ear in a condition.
func spoilt(t *testing.T, dir, condition, set string, take *takes.Take, sound []float32, seed uint64) []float32 {
	switch condition {
	case "noise":
		return takes.Mix(sound, takes.Noise(len(sound), seed), -20)
	case "click":
		return takes.Mix(takes.Mix(sound, takes.Noise(len(sound), seed), -20), takes.Click(take.Line, len(sound)), -20)
	case "room":
		room, err := takes.Room(sound)
		if err != nil {
			t.Fatal(err)
		}
		return room
	case "leak":
		cues, chords := takes.Leak(take)
		a, err := takes.Render(dir, fmt.Sprintf("cues-%d-%s", seed, set), set, cues, 1, false)
		if err != nil {
			t.Fatal(err)
		}
		b, err := takes.Render(dir, fmt.Sprintf("chords-%d-%s", seed, set), set, chords, 1, false)
		if err != nil {
			t.Fatal(err)
		}
		return takes.Mix(takes.Mix(sound, a, -10), b, -20)
	}
	return sound
}

// mistake prints a statement of which something else was said than was true.
func mistake(t *testing.T, take *takes.Take, truth takes.Truth, s listening.Say, notes []listening.Note, what string) {
	var one takes.Score
	one.Add(truth, s)
	if one.FalseAlarm+one.CleanUnclear+one.Missed+one.Unclear+one.Unsaid == 0 && (truth.Fault == "" || one.Named == 1) {
		return
	}
	turn, _ := take.Line.Turn(s.Turn)
	from, to := take.Line.At(turn.Begin)-300e6, take.Line.At(turn.End)+500e6
	t.Logf("%s %d %q vib %v statement %d: truth %+v\n said %v %+v delay %v (%v)%s", what, take.Tempo, take.Figure, take.Vibrato, truth.Statement, truth, s.Verdict, s.Faults, s.Delay, take.Latency, besides(take.Notes, notes, from, to))
}

// besides is what was played from one time to another, and what was heard of it.
func besides(played []takes.Sounding, heard []listening.Note, from, to time.Duration) string {
	var b strings.Builder
	b.WriteString("\n played")
	for _, n := range played {
		if n.On >= from && n.On < to {
			fmt.Fprintf(&b, " %d@%d-%d", n.Key, n.On.Milliseconds(), n.Off.Milliseconds())
		}
	}
	b.WriteString("\n heard ")
	for _, n := range heard {
		if n.On >= from && n.On < to {
			fmt.Fprintf(&b, " %.1f@%d-%d(%.0f,%.1f)", n.Cents/100, n.On.Milliseconds(), n.Off.Milliseconds(), n.Level, n.Sure)
		}
	}
	return b.String()
}
