package wav

import (
	"testing"

	"example.com/keyorder/figure/accompaniment"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/playback"
)

// TestLawAccentsAreLouder: an accented note of a part is louder than another, by
// the whole of its sound; the accompaniment has no accents.
func TestLawAccentsAreLouder(t *testing.T) {
	r := &renderer{o: Options{Rate: 44100, A4: 440}, band: 0.5}
	peak := func(n playback.Note) float32 {
		v, most := r.newVoice(&n, 44100), float32(0)
		sound := make([]float32, 4410)
		v.add(sound)
		for _, x := range sound {
			most = max(most, x)
		}
		return most
	}
	plain, accent := peak(playback.Note{Key: 60}), peak(playback.Note{Key: 60, Marks: drill.MarkAccent})
	if ratio := accent / plain; ratio < 1.39 || ratio > 1.41 || plain == 0 {
		t.Errorf("an accent has %v, another note %v", accent, plain)
	}
	band := playback.Note{Key: 60, Layer: accompaniment.LayerBass}
	if a, b := r.loudness(&band), timbreOf(accompaniment.LayerBass).level*0.5; a != b {
		t.Errorf("the bass has %v, want %v", a, b)
	}
}
