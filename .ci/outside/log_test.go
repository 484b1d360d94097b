package outside

import (
	"database/sql"
	"encoding/json"
	"strings"
	"testing"

	_ "github.com/mattn/go-sqlite3"

	"example.com/keyorder/figure/practice"
)

// TestLogInADatabase keeps the practice log in a table, through the JSON of its
// entries, and asks the database what a player would ask.
func TestLogInADatabase(t *testing.T) {
	const lines = `{"version":2,"date":"2025-03-02","minutes":2,"figure":"3 5 1 6","order":"m3","keys":"(0369)","instrument":"flute","first":"C4","stage":"constant orders","tempo":80,"rest":"a bar","clean":4,"statements":5}
{"version":2,"date":"2025-03-03","minutes":3,"figure":"3 5 1 6","order":"m3","keys":"(0369)","instrument":"flute","first":"C4","stage":"constant orders","tempo":88,"rest":"a bar","clean":5,"statements":5}
`
	log, err := practice.Read(strings.NewReader(lines))
	if err != nil || len(log.Entries) != 2 {
		t.Fatal(log, err)
	}
	db, err := sql.Open("sqlite3", ":memory:")
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	db.SetMaxOpenConns(1) // each connection would have a memory of its own
	if _, err := db.Exec(`CREATE TABLE log (day TEXT, figure TEXT, tempo INT, clean INT, played INT, entry TEXT)`); err != nil {
		t.Fatal(err)
	}
	for _, e := range log.Entries {
		text, err := json.Marshal(e)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := db.Exec(`INSERT INTO log VALUES (?, ?, ?, ?, ?, ?)`, e.Date.String(), e.Figure.Plain(), e.Tempo, e.Clean, e.Played, string(text)); err != nil {
			t.Fatal(err)
		}
	}
	var fastest, share int
	if err := db.QueryRow(`SELECT max(tempo), 100 * sum(clean) / sum(played) FROM log WHERE figure = '3 5 1 6'`).Scan(&fastest, &share); err != nil || fastest != 88 || share != 90 {
		t.Errorf("tempo %d, %d %% clean, %v", fastest, share, err)
	}
	rows, err := db.Query(`SELECT entry FROM log ORDER BY day`)
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	var again strings.Builder
	for rows.Next() {
		var text string
		var e practice.Entry
		if err := rows.Scan(&text); err != nil {
			t.Fatal(err)
		}
		if err := json.Unmarshal([]byte(text), &e); err != nil || e.Validate() != nil {
			t.Fatal(err)
		}
		if err := practice.AppendEntry(&again, e); err != nil {
			t.Fatal(err)
		}
	}
	if again.String() != lines {
		t.Errorf("the log comes back as\n%swas\n%s", again.String(), lines)
	}
}
