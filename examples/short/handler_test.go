package short_test

import (
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"strings"
	"time"

	"example.com/keyorder/figure/drill"
)

// stream answers settings in JSON with the statements of their drill, one in a
// line as they are worked out. Nobody can ask for more than ten minutes.
func stream(w http.ResponseWriter, r *http.Request) {
	var s drill.Settings
	err := json.NewDecoder(http.MaxBytesReader(w, r.Body, 10_000)).Decode(&s)
	if err == nil {
		var d *drill.Drill
		if d, err = drill.Within(r.Context(), drill.Cost{Notes: 5000, Duration: 10 * time.Minute}, s); err == nil {
			out := json.NewEncoder(w)
			for _, part := range d.Parts() {
				for st := range part.Statements() {
					if out.Encode(st) != nil {
						return // the reader has gone
					}
				}
			}
			return
		}
	}
	http.Error(w, err.Error(), http.StatusBadRequest)
}

// A handler that streams a drill from JSON.
func Example_handler() {
	ask := func(body string) {
		w := httptest.NewRecorder()
		stream(w, httptest.NewRequest("POST", "/", strings.NewReader(body)))
		lines := strings.Split(strings.TrimSpace(w.Body.String()), "\n")
		fmt.Println(w.Code, len(lines), "lines:", lines[0])
	}
	ask(`{"figure":"3 5 1", "route":"(06)", "parts":["trumpet"]}`)
	ask(`{"figure":"3 5 1", "route":"(06)", "parts":["serpent"]}`)
	ask(`{"figure":"1:64 by 1", "route":"0123456789", "parts":["flute"]}`)
	// Output:
	// 200 3 lines: {"index":0,"section":0,"onset":"0","length":"2","written":"C4","sounding":"Bb3","notes":[{"onset":"0","length":"1/8","note":"E4","key":62,"index":0},{"onset":"1/8","length":"1/8","note":"G4","key":65,"index":1},{"onset":"1/4","length":"1/8","note":"C4","key":58,"index":2}]}
	// 400 1 lines: instrument "serpent": no instrument has this name; there are flute, piccolo, alto flute, oboe, oboe d'amore, English horn, clarinet, basset horn, alto clarinet, bass clarinet, contra-alto clarinet, contrabass clarinet, bassoon, contrabassoon, sopranino saxophone, soprano saxophone, alto saxophone, tenor saxophone, baritone saxophone, bass saxophone, sopranino recorder, soprano recorder, alto recorder, tenor recorder, bass recorder, horn, trumpet, cornet, soprano cornet, flugelhorn, jazz trumpet, lead trumpet, tenor horn, trombone, bass trombone, jazz trombone, baritone, euphonium, tuba, violin, viola, cello, double bass, harp, guitar, bass guitar, mandolin, ukulele, baritone ukulele, banjo, tenor banjo, piano, celesta, organ, organ pedals, vibraphone, marimba, xylophone, glockenspiel, soprano voice, alto voice, tenor voice, bass voice; for one of your own, say its range after a colon, as in clay flute: D4-B5
	// 400 1 lines: route 32m30s: a drill takes at most 10m0s here; shorten the route, the figure or the rest
}
