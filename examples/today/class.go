package main

import (
	"cmp"
	"errors"
	"fmt"
	"html/template"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"unicode"

	"example.com/keyorder/cycle"
	"example.com/keyorder/examples/internal/disk"
	"example.com/keyorder/examples/internal/say"
	"example.com/keyorder/figure"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/practice"
	"example.com/keyorder/pitch"
)

// A standing is how a pupil stands in a key.
type standing struct {
	best           int // the fastest tempo that was clean, 0 for none
	played, hidden bool
}

// The marks of what has no tempo.
const (
	markFailed  = "×"
	markUnknown = "?"
	markNever   = "-"
)

func (s standing) String() string {
	switch {
	case s.best > 0:
		return fmt.Sprint(s.best)
	case s.hidden:
		return markUnknown
	case s.played:
		return markFailed
	}
	return markNever
}

// A row is a pupil on an instrument.
type row struct {
	Name  string
	Keys  [12]standing // from C up
	Days  int
	Last  practice.Date
	Moves int
}

// A group is those who play one instrument, and the keys that the columns have.
type group struct {
	Instrument string
	Reading    string // "keys that the player reads"
	Rows       []row
}

// A class is what the logs of a folder say.
type class struct {
	Title  string
	Of     string // which figures count
	Groups []group
	Keys   []string
}

// showClass prints the table of a folder of logs. Nothing is written to them.
func showClass(o *options, w world) error {
	files, err := os.ReadDir(o.class)
	if errors.Is(err, fs.ErrNotExist) {
		return badUsage("-class: there is no folder %s; name one that holds a practice log for each pupil, called after the pupil, as Ana.jsonl", shown(o.class))
	}
	if err != nil {
		return usageError{fmt.Errorf("-class: %w", err)}
	}
	rows := map[string][]row{} // by instrument
	pupils, refused := 0, 0
	for _, f := range files {
		path := filepath.Join(o.class, f.Name())
		if beside(f.Name()) {
			continue
		}
		l, err := pupilLog(path)
		if err != nil {
			refused++
			fmt.Fprintf(w.err, "%s: not read: %v\n", shown(path), err)
			continue
		}
		for _, p := range oddities(l, o.now) {
			fmt.Fprintf(w.err, "%s: %s\n", shown(path), p)
		}
		pupils++
		for instrument, r := range rowsOf(l, o) {
			r.Name = pupilName(f.Name(), files)
			rows[instrument] = append(rows[instrument], r)
		}
	}
	if pupils == 0 {
		return badUsage("-class: %s has no practice log; a log is a file for each pupil, called after the pupil, as Ana.jsonl", shown(o.class))
	}
	c := o.classOf(pupils, rows)
	if err := c.print(o, w); err != nil {
		return err
	}
	if refused > 0 {
		return fmt.Errorf("of %d files %d could not be read", pupils+refused, refused)
	}
	return nil
}

// beside reports whether a file is none of a pupil's: it is hidden, or one that
// this program keeps beside a log.
func beside(name string) bool {
	return strings.HasPrefix(name, ".") || slices.Contains([]string{".plan", ".torn", ".undone"}, filepath.Ext(name))
}

// pupilLog reads a log. One without an entry is none.
func pupilLog(path string) (practice.Log, error) {
	switch info, err := os.Stat(path); {
	case err != nil:
		return practice.Log{}, bare(err)
	case info.IsDir():
		return practice.Log{}, errors.New("it is a folder")
	case !info.Mode().IsRegular():
		return practice.Log{}, errors.New("it is no file of text")
	}
	f, err := os.Open(path)
	if err != nil {
		return practice.Log{}, bare(err)
	}
	defer f.Close()
	l, err := practice.Read(f)
	switch {
	case err != nil:
		return l, bare(err)
	case len(l.Entries) > 0:
		return l, nil
	case l.Bad > 0:
		return l, fmt.Errorf("it is no practice log: %w", l.Problems[0])
	case l.Torn != nil:
		return l, errors.New("it is no practice log, but the beginning of a line or no text")
	}
	return l, errors.New("it is empty")
}

// bare takes the path off an error of a file.
func bare(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}

// oddities are what a teacher should know of a log.
func oddities(l practice.Log, now practice.Date) (all []string) {
	if l.Bad > 0 {
		all = append(all, fmt.Sprintf("lines that are not read: %d; the first: %v", l.Bad, l.Problems[0]))
	}
	if l.Torn != nil {
		all = append(all, "its last line is not whole")
	}
	later := 0
	for _, e := range l.Entries {
		if e.Date > now {
			later++
		}
	}
	if later > 0 {
		all = append(all, fmt.Sprintf("entries of days to come: %d", later))
	}
	return all
}

// shown writes a path as a terminal may show it.
func shown(s string) string {
	return strings.Map(func(r rune) rune {
		if !unicode.IsPrint(r) {
			return '?'
		}
		return r
	}, strings.ToValidUTF8(s, "?"))
}

// pupilName is a file's name without its ending, unless another pupil would then
// have the same.
func pupilName(file string, all []os.DirEntry) string {
	name := strings.TrimSuffix(file, filepath.Ext(file))
	for _, f := range all {
		if other := f.Name(); other != file && !beside(other) && strings.TrimSuffix(other, filepath.Ext(other)) == name {
			return shown(file)
		}
	}
	return shown(name)
}

// rowsOf sums a log up for each of its instruments.
func rowsOf(l practice.Log, o *options) map[string]row {
	rows := map[string]row{}
	entries := l.Entries
	if o.set["figures"] {
		entries = slices.DeleteFunc(slices.Clone(entries), func(e practice.Entry) bool {
			return !slices.ContainsFunc(o.settings.Ideas, func(i practice.Idea) bool { return i.Figure.Plain() == e.Figure.Plain() })
		})
	}
	days := map[string]map[practice.Date]bool{}
	for _, e := range entries {
		r := rows[e.Instrument]
		keys := standings(e)
		if !say.Whole(&e) { // its day counts
			keys = [12]standing{}
		}
		for k, s := range keys {
			t := &r.Keys[k]
			t.best = max(t.best, s.best)
			t.played = t.played || s.played
			t.hidden = t.hidden || s.hidden
		}
		if days[e.Instrument] == nil {
			days[e.Instrument] = map[practice.Date]bool{}
		}
		days[e.Instrument][e.Date] = true
		r.Last = max(r.Last, e.Date)
		rows[e.Instrument] = r
	}
	for instrument, r := range rows {
		clean, failed := practice.Log{Entries: slices.DeleteFunc(slices.Clone(entries), func(e practice.Entry) bool { return !say.Whole(&e) })}.Tally(instrument)
		clean.Merge(failed)
		r.Days, r.Moves = len(days[instrument]), clean.Made()
		rows[instrument] = r
	}
	return rows
}

// standings is what an entry says of each key that was played. Where more failed
// than is named, the keys that may have are hidden. A block of a plan is recorded
// by the player, who need not name what failed: then all are. A session names each
// failure, but for that of a section's first key which was clean another time.
func standings(e practice.Entry) [12]standing {
	var keys [12]standing
	var failed, begins, perhaps [12]bool
	var times [12]int
	var made cycle.Tally
	for m := range e.Moves() {
		made.Add(m)
	}
	named, n := 0, 0
	section, from := -1, pitch.Class(0)
	for s, k := range e.Route.Run() {
		if n++; n > e.Played {
			break
		}
		keys[k].played = true
		first := s != section
		begins[k] = begins[k] || first
		times[k]++
		if slices.Contains(e.FailedKeys, k) || slices.ContainsFunc(e.FailedMoves, func(m cycle.Move) bool {
			// In a session whose tempo changed, a move may lead here from before.
			return m.To == k && (!first && m.From == from || first && made.Count(m) == 0)
		}) {
			failed[k] = true
			named++
		}
		section, from = s, k
	}
	if e.Block == 0 { // a failed key may have been clean another time
		named = len(e.FailedKeys) + len(e.FailedMoves)
	}
	unnamed, most := e.Played-e.Clean-named, 0
	for k := range keys {
		if perhaps[k] = begins[k] && times[k] > 1; perhaps[k] {
			most += times[k] - 1
		}
	}
	for k := range keys {
		switch s := &keys[k]; {
		case !s.played || failed[k]:
		case unnamed > 0 && (perhaps[k] || e.Block > 0 || unnamed > most):
			s.hidden = true
		default:
			s.best = e.Tempo
		}
	}
	return keys
}

// classOf puts the rows together, for print.
func (o *options) classOf(pupils int, rows map[string][]row) class {
	c := class{Title: fmt.Sprintf("%d pupils in %s", pupils, shown(filepath.Base(filepath.Clean(o.class)))), Of: "any figure"}
	if pupils == 1 {
		c.Title = strings.Replace(c.Title, "pupils", "pupil", 1)
	}
	if o.set["figures"] {
		var names []string
		for _, i := range o.settings.Ideas {
			names = append(names, o.names.figure(i.Figure))
		}
		c.Of = strings.Join(names, " or ")
	}
	for _, k := range figure.Major.Tonics() {
		c.Keys = append(c.Keys, o.names.name(k))
	}
	for _, instrument := range slices.Sorted(maps.Keys(rows)) {
		g := group{Instrument: shown(instrument), Reading: "keys that the player reads", Rows: rows[instrument]}
		if o.concert {
			g.concert(instrument)
		}
		slices.SortFunc(g.Rows, func(a, b row) int { return cmp.Compare(strings.ToLower(a.Name), strings.ToLower(b.Name)) })
		c.Groups = append(c.Groups, g)
	}
	return c
}

// concert turns the keys that are read into those that sound, if the instrument
// is one that the library knows.
func (g *group) concert(instrument string) {
	i, err := drill.Find(instrument, drill.LevelFull)
	if err != nil {
		g.Reading += ", as nothing is known of how it sounds"
		return
	}
	g.Reading = "concert keys"
	for n := range g.Rows {
		read := g.Rows[n].Keys
		for k, s := range read {
			g.Rows[n].Keys[pitch.ClassOf(k+i.Sounding.Semitones())] = s
		}
	}
}

const (
	classNote = "A number is the fastest tempo that was clean in a key; × was played and never clean, ? was played and the log does not say which keys failed, - was never played. Only the whole figure counts, not its beginnings as one learns it."
	nameWidth = 20
)

func (c class) print(o *options, w world) error {
	say := func(format string, args ...any) {
		fmt.Fprintln(w.out, strings.TrimRight(o.names.text(fmt.Sprintf(format, args...)), " "))
	}
	say("%s. Tempo by key, of %s.", c.Title, c.Of)
	for _, line := range words(classNote, 96) {
		say("%s", line)
	}
	for _, g := range c.Groups {
		say("\n%s: %s", g.Instrument, g.Reading)
		head := strings.Repeat(" ", nameWidth)
		for _, k := range c.Keys {
			head += pad(k, 4)
		}
		say("%s  days  last day    moves of 132", head)
		for _, r := range g.Rows {
			name := o.names.text(short(r.Name, nameWidth-2))
			line := name + pad("", nameWidth-columns(name))
			for _, s := range r.Keys {
				line += pad(s.String(), 4)
			}
			say("%s%6d  %v  %12d", line, r.Days, r.Last, r.Moves)
		}
	}
	if o.out == "" {
		return nil
	}
	path := filepath.Join(o.out, "class.html")
	var b strings.Builder
	if err := classPage.Execute(&b, struct {
		class
		Note string
	}{c, classNote}); err != nil {
		return err
	}
	if err := disk.WriteFile(path, []byte(b.String())); err != nil {
		return err
	}
	say("\nWritten: %s", path)
	return nil
}

// short cuts a name that is too wide for its column.
func short(s string, to int) string {
	if columns(s) <= to {
		return s
	}
	r := []rune(s)
	return string(r[:min(len(r), to-3)]) + "…"
}

// columns counts the characters of a text without the marks that stand over others.
func columns(s string) (n int) {
	for _, r := range s {
		if !unicode.Is(unicode.Mn, r) {
			n++
		}
	}
	return n
}

var classPage = template.Must(template.New("class").Parse(`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{{.Title}}</title>
<style>
body { font: 12pt/1.4 sans-serif; color: #000; background: #fff; margin: 1rem; }
div { overflow-x: auto; }
table { border-collapse: collapse; margin: 1rem 0; }
caption { text-align: left; font-weight: bold; }
th, td { border: 1px solid #666; padding: .15rem .4rem; text-align: right; }
th[scope=row] { text-align: left; }
@media screen and (max-width: 50rem) { /* a pupil after the other */
table, caption, tbody, tr, th[scope=row] { display: block; }
tr { border: 1px solid #666; border-top: 0; padding: .25rem .4rem; }
tr:nth-child(1) { border-top: 1px solid #666; padding: 0; }
th[scope=col] { display: none; }
th, td { border: 0; padding: 0 .75rem 0 0; }
td { display: inline-block; white-space: nowrap; }
td::before { content: attr(data-of) " "; font-weight: bold; }
}
</style>
</head>
<body>
<h1>{{.Title}}</h1>
<p>Tempo by key, of {{.Of}}. {{.Note}}</p>
{{- range .Groups}}
<div role="region" tabindex="0" aria-label="{{.Instrument}}">
<table>
<caption>{{.Instrument}}: {{.Reading}}</caption>
<tr><th scope="col">pupil</th>{{range $.Keys}}<th scope="col">{{.}}</th>{{end}}<th scope="col">days</th><th scope="col">last day</th><th scope="col">moves of 132</th></tr>
{{- range .Rows}}
<tr><th scope="row">{{.Name}}</th>{{range $k, $s := .Keys}}<td data-of="{{index $.Keys $k}}">{{$s}}</td>{{end}}<td data-of="days">{{.Days}}</td><td data-of="last day">{{.Last}}</td><td data-of="moves of 132">{{.Moves}}</td></tr>
{{- end}}
</table>
</div>
{{- end}}
</body>
</html>
`))
