package outside
import ("testing";"time";"fmt";"strings";"example.com/keyorder/figure/listening";"example.com/keyorder/figure/playback";"example.com/keyorder/outside/takes")
func TestDebugOnset(t *testing.T) {
	for _, set := range []string{"fluid","timgm"} { for i, name := range append(append([]string{}, takes.Winds...), takes.Others...) { for n := range *takesEach {
		seed := *firstSeed + uint64(n*100+i)
		take, _ := takes.Draw(seed, name, playback.ModeModel)
		sound, err := takes.Render(*soundCache, fmt.Sprintf("%s-%d-%s-%v", strings.ReplaceAll(name, " ", "-"), seed, set, playback.ModeModel), set, take.Notes, take.Instrument.Program, take.Vibrato)
		if err != nil { t.Fatal(err) }
		var notes []listening.Note
		takes.Hear(take, sound, &notes)
		for k, n := range take.Notes {
			kind := "legato"
			if k == 0 || n.On - take.Notes[k-1].Off > 200*time.Millisecond { kind = "first" } else if take.Notes[k-1].Key == n.Key { kind = "again" }
			best := time.Duration(1e9)
			cents := 0.0
			for _, h := range notes { if d := h.On-n.On; int(h.Key()-n.Key)%12==0 && d.Abs() < best.Abs() { best = d; cents = h.Cents-100*float64(n.Key)-n.Cents } }
			fmt.Printf("ONS %s %s %q %d %.1f\n", set, kind, name, best.Milliseconds(), cents)
		}
	}}}
}
