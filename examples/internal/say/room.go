package say

import (
	"fmt"
	"strings"

	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/playback"
)

// Room adds to an error of the sound, where rests that a flag asked for are too short
// for it, which flags give it room.
func Room(err error, o playback.Options, set drill.Settings) error {
	if err == nil || !strings.Contains(err.Error(), "rests are too short") {
		return err
	}
	bar := set.Meter.Bar()
	needs := figure.Length(playback.RestFor(o, set))
	if needs == 0 {
		needs = bar
	}
	out := fmt.Sprintf("leave -rest out, or write -rest %d", (needs+bar-1)/bar)
	if o.Free == 0 {
		out += ", or -sound model, which needs no rest"
	}
	return fmt.Errorf("%w; %s", err, out)
}
