package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"example.com/keyorder/figure/notation"
	"example.com/keyorder/figure/notation/musicxml"
	"example.com/keyorder/figure/playback"
	"example.com/keyorder/figure/playback/smf"
	"example.com/keyorder/figure/playback/wav"
)

// A file is one of the files of a sheet.
type file struct {
	name  string
	write func(io.Writer) error
}

// files works out the files of the sheet. It tells how large the sound files
// will be, and shows how far they are.
func (s *sheet) files() ([]file, error) {
	line, err := playback.New(s.playback, s.drills...)
	if err != nil {
		return nil, given("sound", err)
	}
	o := notation.Options{Title: s.heads(), Swing: s.swing > 1, Signatures: s.signatures}
	score, err := notation.New(o, s.drills...)
	if err != nil {
		return nil, err
	}
	files := []file{
		{"sheet.txt", func(w io.Writer) error { return s.writeText(w, !s.promptOnly) }},
		{"sheet.musicxml", func(w io.Writer) error { return musicxml.Write(w, score) }},
		{"sheet.mid", func(w io.Writer) error { return smf.Write(w, line) }},
	}
	if len(s.parts) > 1 {
		for p := range s.parts {
			name := fmt.Sprintf("%d-%s.musicxml", p+1, slug(s.parts[p].Name))
			files = append(files, file{name, func(w io.Writer) error { return musicxml.Write(w, score, p) }})
		}
	}
	var sounds, names []string
	for n, o := range s.orders {
		line, err := playback.New(s.playback, s.drills[n])
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
		files = append(files, file{name, func(w io.Writer) error {
			return wav.Write(w, line, wav.Options{Progress: progress(s.stderr, name)})
		}})
	}
	for _, f := range files {
		// A prompt leads to no answers.
		if !s.promptOnly || !strings.HasSuffix(f.name, ".musicxml") {
			names = append(names, f.name)
		}
	}
	page, err := s.page(score, sounds, names)
	if err != nil {
		return nil, err
	}
	s.printed = page.pages()
	return append(files, file{"index.html", func(w io.Writer) error { return writePage(w, page) }}), nil
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

// writeFiles writes the sheet's files into the folder and lists them.
func (s *sheet) writeFiles(files []file, stdout io.Writer) error {
	fmt.Fprintf(stdout, "\nThe sound files will have %.1f MB.\n", float64(s.soundBytes)/1e6)
	if err := s.writeAll(files); err != nil {
		return err
	}
	fmt.Fprintf(stdout, "\nWritten into %s, to begin with index.html (%s when printed):\n", s.out, plural(s.printed, "page"))
	all, err := os.ReadDir(s.out)
	if err != nil {
		return given("out", err)
	}
	if older := len(all) - len(files); older > 0 {
		defer fmt.Fprintf(stdout, "%s more in it, from before.\n", plural(older, "file"))
	}
	for _, f := range files {
		info, err := os.Stat(filepath.Join(s.out, f.name))
		if err != nil {
			return given("out", err)
		}
		fmt.Fprintf(stdout, "  %-36s %8d bytes\n", f.name, info.Size())
	}
	return nil
}

// writeAll writes each file under another name first; only when all are
// complete do they take their own, so that nothing is ever half written.
func (s *sheet) writeAll(files []file) (err error) {
	if err := os.MkdirAll(s.out, 0o755); err != nil {
		return given("out", err)
	}
	var done []string
	defer func() {
		if err != nil {
			for _, name := range done {
				os.Remove(name)
			}
		}
	}()
	for _, f := range files {
		t, err := os.CreateTemp(s.out, ".sheet-*")
		if err != nil {
			return given("out", err)
		}
		done = append(done, t.Name())
		if err = errors.Join(f.write(t), t.Chmod(0o644), t.Close()); err != nil {
			return fmt.Errorf("-out: %s could not be written, and nothing was: %w", f.name, err)
		}
	}
	for n, f := range files {
		if err := os.Rename(done[n], filepath.Join(s.out, f.name)); err != nil {
			return given("out", err)
		}
	}
	return nil
}
