package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"path/filepath"
	"strconv"
	"strings"

	"example.com/keyorder/examples/internal/disk"
	"example.com/keyorder/examples/internal/output"
	"example.com/keyorder/examples/internal/say"
	"example.com/keyorder/figure/drill"
	"example.com/keyorder/figure/notation"
	"example.com/keyorder/figure/notation/musicxml"
	"example.com/keyorder/figure/notation/staff"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/figure/playback/smf"
	"example.com/keyorder/figure/playback/wav"
)

// files works out the files of the sheet. It tells how large the sound files
// will be, and shows how far they are.
func (s *sheet) files() ([]disk.File, error) {
	line, err := playback.New(s.drills, s.playback)
	if err != nil {
		return nil, given("sound", say.Room(err, s.playback, s.settings))
	}
	score, err := notation.New(s.drills, s.notation())
	if err != nil {
		return nil, err
	}
	answers, err := s.shown()
	if err != nil {
		return nil, err
	}
	by := pen{score: score, answers: !s.promptOnly && !s.handouts}
	if by.shown, err = notation.New(answers, s.notation()); err != nil {
		return nil, err
	}
	var files []disk.File
	add := func(name string, write func(io.Writer) error) {
		files = append(files, disk.File{Name: name, Write: write})
	}
	in := "" // the folder of what shows the notes
	if s.promptOnly || s.handouts {
		in = answersFolder
		add("sheet.txt", func(w io.Writer) error { return s.writeText(w, false) })
	}
	add(in+"sheet.txt", func(w io.Writer) error { return s.writeText(w, true) })
	add(in+"sheet.musicxml", func(w io.Writer) error { return s.writeScore(w, score) })
	add(in+"sheet.mid", func(w io.Writer) error { return smf.Write(w, line) })
	if len(s.parts) > 1 {
		for n, p := range score.Parts() {
			add(in+s.partFile(n)+".musicxml", func(w io.Writer) error { return s.writeScore(w, score, p) })
		}
	}
	if s.score {
		p, err := s.scorePage(by.shown)
		if err != nil {
			return nil, err
		}
		s.scored = p.pages()
		add(in+"score.html", func(w io.Writer) error { return writePage(w, p) })
	}
	var sounds, names []string
	for n, o := range s.orders {
		line, err := playback.New([]*drill.Drill{s.drills[n]}, s.playback)
		if err != nil {
			return nil, given("sound", err)
		}
		size, err := wav.Size(line, wav.Options{})
		if err != nil {
			return nil, given("sound", err)
		}
		s.soundBytes += size
		name := fmt.Sprintf("%02d-%s.wav", n+1, slug(o.Title))
		sounds = append(sounds, name)
		files = append(files, disk.File{Name: name, Write: func(w io.Writer) error {
			return wav.Write(w, line, wav.Options{Progress: progress(s.stderr, name)})
		}})
	}
	for _, f := range files {
		// A prompt leads to no answers.
		if !s.promptOnly || !strings.HasPrefix(f.Name, answersFolder) {
			names = append(names, f.Name)
		}
	}
	page, err := s.page(by, sounds, names)
	if err != nil {
		return nil, err
	}
	if s.handouts {
		pages, names, err := s.handoutFiles(by)
		if err != nil {
			return nil, err
		}
		files, page.Handouts = append(files, pages...), names
	}
	s.printed = page.pages()
	return append(files, disk.File{Name: "index.html", Write: func(w io.Writer) error { return writePage(w, page) }}), nil
}

// answersFolder is where the answers are if whoever has the rest is not to see them.
const answersFolder = "answers/"

// partFile is how the files of a part are called: "2-alto-saxophone-in-Eb".
func (s *sheet) partFile(part int) string {
	return fmt.Sprintf("%0*d-%s", len(strconv.Itoa(len(s.parts))), part+1, slug(s.parts[part].Name))
}

// writeScore writes parts as MusicXML, all statements as they are placed, with the
// lines and pages that a part has on paper, or all of them together.
func (s *sheet) writeScore(w io.Writer, score *notation.Score, parts ...drill.Part) error {
	l, err := staff.NewScore(score, staff.Options{Large: s.large})
	if len(parts) > 0 {
		l, err = staff.New(score, parts[0], staff.Options{Large: s.large})
	}
	if err != nil {
		return err
	}
	return musicxml.WriteLaidOut(w, score, l.Plan(), parts...)
}

// progress returns a function that rewrites one line on a terminal, or none
// where w is no terminal.
func progress(w io.Writer, name string) func(done, total int64) {
	f, ok := w.(*os.File)
	if !ok {
		return nil
	}
	if info, err := f.Stat(); err != nil || info.Mode()&os.ModeCharDevice == 0 {
		return nil
	}
	last := int64(-1)
	return func(done, total int64) {
		percent := done * 100 / max(total, 1)
		if percent == last {
			return
		}
		last = percent
		fmt.Fprintf(f, "\r%-60.60s %3d %%", name, percent)
		if done >= total {
			fmt.Fprintf(f, "\r%66s\r", "")
		}
	}
}

// heads is the title of the sheet's files.
func (s *sheet) heads() string {
	if s.title != "" {
		return s.title
	}
	return s.figure.String()
}

// slug makes a name fit for a file: "up by minor thirds" becomes
// "up-by-minor-thirds".
func slug(name string) string {
	name = strings.Map(func(r rune) rune {
		switch {
		case r == '♭':
			return 'b'
		case r == '♯':
			return 's'
		case r >= 'a' && r <= 'z', r >= 'A' && r <= 'Z', r >= '0' && r <= '9':
			return r
		}
		return ' '
	}, name)
	name = strings.Join(strings.Fields(name), "-")
	return name[:min(len(name), 60)]
}

var errInterrupted = errors.New("interrupted; no file was written")

// writeFiles writes the sheet's files into the folder, all of them or none, and
// lists them. Whoever interrupts it gets none.
func (s *sheet) writeFiles(files []disk.File, stdout io.Writer) error {
	fmt.Fprintf(stdout, "\nThe sound files will have %.1f MB.\n", float64(s.soundBytes)/1e6)
	ctx, stop := signal.NotifyContext(context.Background(), output.Stops()...)
	defer stop()
	if err := disk.WriteFolder(ctx, s.out, files); ctx.Err() != nil && err != nil {
		return errInterrupted
	} else if err != nil {
		return given("out", err)
	}
	fmt.Fprintf(stdout, "\nWritten into %s, to begin with index.html (%s when printed):\n", s.out, plural(s.printed, "page"))
	all, err := os.ReadDir(s.out)
	if err != nil {
		return given("out", err)
	}
	made := map[string]bool{}
	for _, f := range files {
		top, _, _ := strings.Cut(f.Name, "/")
		made[top] = true
	}
	if older := len(all) - len(made); older > 0 {
		defer fmt.Fprintf(stdout, "%s more in it, from before.\n", plural(older, "file"))
	}
	if s.scored > 0 {
		defer fmt.Fprintf(stdout, "The score, score.html, has %s.\n", plural(s.scored, "page"))
	}
	if s.handed > 0 {
		defer fmt.Fprintf(stdout, "To hand out: %s in %s, for %s; index.html is the teacher's, answers/ has the answers.\n",
			plural(s.handed, "page"), handoutFolder, plural(len(s.parts), "player"))
	}
	for _, f := range files {
		info, err := os.Stat(filepath.Join(s.out, f.Name))
		if err != nil {
			return given("out", err)
		}
		fmt.Fprintf(stdout, "  %-36s %8d bytes\n", f.Name, info.Size())
	}
	return nil
}
