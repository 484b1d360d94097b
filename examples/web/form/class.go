package form

import (
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strings"

	"example.com/keyorder/cycle"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/practice"
	"example.com/keyorder/figure/session"
	"example.com/keyorder/interval"
	"example.com/keyorder/pitch"
	"example.com/keyorder/spelling"
)

// MaxClass is how many instruments a class may have.
const MaxClass = 8

// A ClassKeys is what the parts of a class read in each statement of a session,
// whose own keys are concert keys.
type ClassKeys struct {
	Parts []string     `json:"parts"`
	Keys  [][]ClassKey `json:"keys"` // by statement, then by part
	// Notes are those of the figure by the concert key's name: the concert ones, then
	// what each part reads, none where it rests. Those that sound together are joined.
	Notes map[string][][]string `json:"notes"`
	// Links are short links to what each part plays alone, in the keys that it
	// reads; one is empty where the order is none that sounds the same then.
	Links []string `json:"links"`
}

// A ClassKey is a key that a part reads.
type ClassKey struct {
	Key   string `json:"key"`             // "E♭"
	Said  string `json:"said"`            // "E flat"
	Rests bool   `json:"rests,omitempty"` // it does not fit, so that the part rests
	notes []string
}

// readClass reads the instruments of a class.
func readClass(text string, level drill.Level) (parts []drill.Instrument, err error) {
	if text == "" {
		return nil, nil
	}
	names := strings.Split(text, ",")
	if len(names) > MaxClass {
		return nil, refuse("parts", text, fmt.Sprintf("%d instruments; a class has at most %d here", len(names), MaxClass))
	}
	for _, name := range names {
		i, err := drill.Find(strings.TrimSpace(name), level)
		if err != nil {
			return nil, in("parts", err)
		}
		parts = append(parts, i)
	}
	return parts, nil
}

// inConcertKeys returns an instrument as it is read in a class: what sounds, or the
// same an octave away where it is read in octaves.
func inConcertKeys(i drill.Instrument) drill.Instrument {
	octaves := interval.Octave.Times(i.Sounding.Semitones() / 12)
	if i.Sounding == octaves {
		return i
	}
	i.Name, _, _ = strings.Cut(i.Name, " in ")
	i.Name += " in concert keys"
	i.Low, i.High, i.Sounding = i.Low.Up(i.Sounding-octaves), i.High.Up(i.Sounding-octaves), octaves
	return i
}

// Class returns what a class reads in a session. The settings are those of the
// session, as Read takes them. Without a class it is empty. The error is as that of
// Read: where a key does not fit an instrument, unless such keys are left out.
func Class(s *session.Session, settings []byte) (ClassKeys, error) {
	given, err := decode(settings)
	if err != nil {
		return ClassKeys{}, err
	}
	text, err := parse(given)
	if err != nil {
		return ClassKeys{}, err
	}
	var level drill.Level
	if err := level.UnmarshalText([]byte(text["range"])); err != nil {
		return ClassKeys{}, in("range", err)
	}
	parts, err := readClass(text["parts"], level)
	if leads := s.Settings().Drill.Parts[0]; err == nil && len(parts) > 0 && pitch.ClassOf(leads.Sounding.Semitones()) != 0 {
		err = refuse("parts", text["parts"], fmt.Sprintf("a class plays from concert keys, and the session is in those that the %s reads", leads.Name))
	}
	c := ClassKeys{Parts: []string{}, Keys: [][]ClassKey{}, Notes: map[string][][]string{}, Links: []string{}}
	if err != nil || len(parts) == 0 {
		return c, err
	}
	read, err := classKeys(s, parts)
	if err != nil {
		return c, err
	}
	names := strings.Split(text["parts"], ",")
	for n, p := range parts {
		c.Parts = append(c.Parts, p.Name)
		c.Links = append(c.Links, partLink(s, text, p, strings.TrimSpace(names[n])))
	}
	for _, d := range s.Line().Drills() {
		for st := range d.Parts()[0].Statements() {
			keys, name := read[st.Sounding.Name().Class()], st.Sounding.Name().String()
			c.Keys = append(c.Keys, keys[1:])
			if c.Notes[name] != nil {
				continue
			}
			for _, k := range keys {
				c.Notes[name] = append(c.Notes[name], k.notes)
			}
		}
	}
	return c, nil
}

var saidKey = strings.NewReplacer("𝄫", " double flat", "𝄪", " double sharp", "♭", " flat", "♯", " sharp")

// classKeys works out what parts read in each key of a session, after who leads.
func classKeys(s *session.Session, parts []drill.Instrument) (read [12][]ClassKey, err error) {
	drills := s.Line().Drills()
	set := drills[0].Settings()
	var keys []pitch.Class
	for _, d := range drills {
		for st := range d.Parts()[0].Statements() {
			if k := st.Sounding.Name().Class(); !slices.Contains(keys, k) {
				keys = append(keys, k)
			}
		}
	}
	if set.Route, err = cycle.NewRoute(cycle.Section{Keys: keys}); err != nil {
		return read, in("parts", err)
	}
	set.Parts = append([]drill.Instrument{set.Parts[0]}, parts...) // who leads reads what sounds
	all, err := drill.New(set)
	if err != nil {
		return read, in("parts", err)
	}
	for n := range keys {
		for _, p := range all.Parts() {
			st, ok := p.Statement(n)
			if !ok {
				continue
			}
			name := st.Written.Name()
			read[keys[n]] = append(read[keys[n]], ClassKey{name.String(), saidKey.Replace(name.String()), st.Rests, notesOf(st)})
		}
	}
	return read, nil
}

// notesOf names the notes of a statement, those that sound together joined.
func notesOf(st drill.Statement) []string {
	all := []string{}
	if st.Rests {
		return all
	}
	events := st.Events()
	for n, e := range events {
		if name := e.Note.Name().String(); n > 0 && e.Onset == events[n-1].Onset {
			all[len(all)-1] += "+" + name
		} else {
			all = append(all, name)
		}
	}
	return all
}

// partLink returns the link to a part of a class alone: its keys lie as far above
// the concert keys as the part reads them.
func partLink(s *session.Session, text map[string]string, part drill.Instrument, name string) string {
	concert := reader{}
	if err := concert.readNames(text); err != nil {
		return ""
	}
	up := pitch.ClassOf(-part.Sounding.Semitones())
	set := s.Settings()
	tonics := set.Drill.Figure.Scale().Tonics(concert.called...)
	read := func(n spelling.Name) string { return tonics[pitch.ClassOf(int(n.Class())+int(up))].Plain() }
	own := maps.Clone(text)
	own["parts"], own["instrument"] = "", name
	if own["first"] = ""; len(concert.own) == 0 && (concert.asked || up != 0) {
		own["first"] = read(concert.first)
	}
	if len(concert.own) > 0 {
		var keys []string
		for _, n := range concert.own {
			keys = append(keys, read(n))
		}
		if concert.times > 1 {
			keys = append(keys, fmt.Sprint("x", concert.times))
		}
		own["keys"] = strings.Join(keys, " ")
	}
	if namesNotes(text["figure"]) { // which are those of the first key
		own["figure"], own["scale"] = set.Drill.Figure.Plain(), ""
	}
	link := ShortLink(own)
	settings, _ := ReadLink(link)
	given, err := json.Marshal(settings)
	if err != nil {
		return ""
	}
	f, err := Read(given, practice.Log{})
	if err != nil || len(f.Orders) != len(set.Orders) {
		return ""
	}
	for n, o := range f.Orders {
		if !o.Route.From(pitch.ClassOf(int(first(o.Route)) - int(up))).Equal(set.Orders[n].Route) {
			return ""
		}
	}
	return link
}

// first is the first key of a route.
func first(r cycle.Route) (k pitch.Class) {
	for _, k = range r.Run() {
		break
	}
	return k
}
