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
)

// A file is one of the files of a sheet.
type file struct {
	name  string
	write func(io.Writer) error
}

// files lists the files of the sheet.
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
		{"sheet.txt", func(w io.Writer) error { return s.writeText(w, true) }},
		{"sheet.musicxml", func(w io.Writer) error { return musicxml.Write(w, score) }},
		{"sheet.mid", func(w io.Writer) error { return smf.Write(w, line) }},
	}
	if len(s.parts) > 1 {
		for p := range s.parts {
			files = append(files, file{s.partFile(p), func(w io.Writer) error { return musicxml.Write(w, score, p) }})
		}
	}
	return files, nil
}

// heads is the title of the sheet's files.
func (s *sheet) heads() string {
	if s.title != "" {
		return s.title
	}
	return s.figure.String()
}

// partFile names the file of one part, as "2-alto-saxophone-in-Eb.musicxml".
func (s *sheet) partFile(p int) string {
	name := strings.Map(func(r rune) rune {
		switch {
		case r == '♭':
			return 'b'
		case r == '♯':
			return 's'
		case r >= 'a' && r <= 'z', r >= 'A' && r <= 'Z', r >= '0' && r <= '9':
			return r
		}
		return '-'
	}, s.parts[p].Name)
	return fmt.Sprintf("%d-%s.musicxml", p+1, name)
}

// writeFiles writes the sheet's files into the folder and lists them.
func (s *sheet) writeFiles(files []file, stdout io.Writer) error {
	if err := s.writeAll(files); err != nil {
		return err
	}
	fmt.Fprintf(stdout, "\nWritten into %s:\n", s.out)
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
