package musicxml

import (
	"archive/zip"
	"bufio"
	"bytes"
	"encoding/binary"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"path"
	"strings"
	"unicode/utf16"
	"unicode/utf8"
)

const (
	maxPacked = 16 << 20 // bytes of a compressed file
	maxFiles  = 1024     // in it
)

// A source gives the bytes of a file, as UTF-8 where they are UTF-16, no more than
// are left and no more than maxToken between two resets of since.
type source struct {
	r     *bufio.Reader
	wide  binary.ByteOrder // of UTF-16, or nil
	rest  []byte           // of a letter of UTF-16
	buf   [utf8.UTFMax]byte
	left  int64 // bytes that may still come
	since int
	err   error // of r
}

// open looks at the beginning of a file and returns what gives its XML, and what
// is to be said of a compressed one.
func open(r io.Reader) (*source, []string, error) {
	b := bufio.NewReader(r)
	if head, _ := b.Peek(4); string(head) == "PK\x03\x04" {
		return unpack(b)
	}
	s, err := plain(b)
	return s, nil, err
}

// plain returns what gives the XML of a file that is not compressed.
func plain(r *bufio.Reader) (*source, error) {
	head, err := r.Peek(4)
	if err != nil && !errors.Is(err, io.EOF) {
		return nil, err
	}
	const what = "a score is MusicXML, plain or compressed"
	s := &source{r: r}
	text := bytes.TrimLeft(head, " \t\r\n")
	mark := 0 // bytes that tell the encoding
	switch {
	case len(head) == 0:
		return nil, unreadable("", "the file is empty; "+what)
	case bytes.HasPrefix(head, []byte{0xFE, 0xFF}):
		s.wide, mark = binary.BigEndian, 2
	case bytes.HasPrefix(head, []byte{0xFF, 0xFE}):
		s.wide, mark = binary.LittleEndian, 2
	case bytes.HasPrefix(head, []byte("\xEF\xBB\xBF")):
		mark = 3
	case len(text) > 0 && text[0] != '<':
		return nil, unreadable(printable(string(head)), what+", and begins with <")
	}
	_, err = r.Discard(mark)
	return s, err
}

// ReadByte implements io.ByteReader, by which the XML decoder reads.
func (s *source) ReadByte() (byte, error) {
	if s.left--; s.left < 0 {
		return 0, errTooMuch
	}
	if s.since++; s.since > maxToken {
		return 0, errNoXML
	}
	if s.wide != nil {
		return s.narrow()
	}
	b, err := s.r.ReadByte()
	s.err = err
	return b, err
}

// narrow returns the next byte of what is UTF-16.
func (s *source) narrow() (byte, error) {
	if len(s.rest) == 0 {
		r, err := s.unit()
		if err != nil {
			return 0, err
		}
		if utf16.IsSurrogate(r) {
			low, err := s.unit()
			if err != nil {
				return 0, err
			}
			r = utf16.DecodeRune(r, low)
		}
		s.rest = utf8.AppendRune(s.buf[:0], r)
	}
	b := s.rest[0]
	s.rest = s.rest[1:]
	return b, nil
}

func (s *source) unit() (rune, error) {
	var b [2]byte
	for n := range b {
		if b[n], s.err = s.r.ReadByte(); s.err != nil {
			return 0, s.err
		}
	}
	return rune(s.wide.Uint16(b[:])), nil
}

// Read implements io.Reader, which the decoder asks for and does not use.
func (s *source) Read(b []byte) (int, error) {
	for n := range b {
		c, err := s.ReadByte()
		if err != nil {
			return n, err
		}
		b[n] = c
	}
	return len(b), nil
}

// charset reads the other encodings of old scores.
func charset(label string, r io.Reader) (io.Reader, error) {
	switch label = strings.ToLower(label); {
	case strings.HasPrefix(label, "utf-16"): // it is read as UTF-8 already
		return r, nil
	case label == "iso-8859-1", label == "latin1", label == "windows-1252", label == "us-ascii", label == "ascii":
		return &latin{r: r.(io.ByteReader)}, nil
	}
	return nil, fmt.Errorf("its letters are written as %.20q; UTF-8 is read, UTF-16 and ISO-8859-1", label)
}

// latin makes UTF-8 of ISO-8859-1.
type latin struct {
	r    io.ByteReader
	next byte // the second byte of a letter, or 0
}

func (l *latin) ReadByte() (byte, error) {
	if b := l.next; b != 0 {
		l.next = 0
		return b, nil
	}
	b, err := l.r.ReadByte()
	if b < 0x80 || err != nil {
		return b, err
	}
	l.next = 0x80 | b&0x3F
	return 0xC0 | b>>6, nil
}

func (l *latin) Read(b []byte) (int, error) {
	if len(b) == 0 {
		return 0, nil
	}
	c, err := l.ReadByte()
	if err != nil {
		return 0, err
	}
	b[0] = c
	return 1, nil
}

// unpack finds the score in a compressed file: the first that its container
// names, or where there is no container the first that looks like one.
func unpack(r io.Reader) (*source, []string, error) {
	packed, err := io.ReadAll(io.LimitReader(r, maxPacked+1))
	switch {
	case err != nil:
		return nil, nil, err
	case len(packed) > maxPacked:
		return nil, nil, unreadable("", fmt.Sprintf("a compressed score is read up to %d MiB", maxPacked>>20))
	case bytes.Count(packed, []byte("PK\x01\x02")) > maxFiles:
		return nil, nil, unreadable("", fmt.Sprintf("a compressed score has at most %d files", maxFiles))
	}
	z, err := zip.NewReader(bytes.NewReader(packed), int64(len(packed)))
	if err != nil {
		return nil, nil, unreadable("", "the compressed file is broken or cut short")
	}
	name, err := root(z)
	if err != nil {
		return nil, nil, err
	}
	var remarks []string
	if name == "" {
		for _, f := range z.File {
			ext := strings.ToLower(path.Ext(f.Name))
			if name == "" && (ext == ".xml" || ext == ".musicxml") && !strings.HasPrefix(f.Name, "META-INF/") {
				name = f.Name
				remarks = []string{"the compressed file does not say which of its files is the score; the first was taken: " + printable(name)}
			}
		}
	}
	for _, f := range z.File {
		if f.Name != name {
			continue
		}
		inside, err := f.Open()
		if err != nil {
			return nil, nil, unreadable("", "the compressed score cannot be unpacked: "+printable(err.Error()))
		}
		s, err := plain(bufio.NewReader(&unpacked{inside}))
		return s, remarks, err
	}
	return nil, nil, unreadable("", "there is no score in the compressed file")
}

// root returns the name of the score that the container names, or nothing.
func root(z *zip.Reader) (name string, err error) {
	for _, f := range z.File {
		if f.Name != "META-INF/container.xml" {
			continue
		}
		inside, err := f.Open()
		if err != nil {
			return "", unreadable("", "the compressed file is broken: "+printable(err.Error()))
		}
		s := &source{r: bufio.NewReader(&unpacked{inside}), left: maxToken}
		x := &reader{source: s, xml: xml.NewDecoder(s)}
		for name == "" {
			t, err := x.token()
			if err != nil {
				return "", nil // it names none
			}
			if e, ok := t.(xml.StartElement); ok && e.Name.Local == "rootfile" {
				name = attribute(e, "full-path")
			}
		}
		break
	}
	return name, nil
}

// unpacked says of an error of unpacking that it is the file's.
type unpacked struct{ r io.Reader }

func (u *unpacked) Read(b []byte) (int, error) {
	n, err := u.r.Read(b)
	if err != nil && err != io.EOF {
		err = unreadable("", "the compressed score cannot be unpacked: "+printable(err.Error()))
	}
	return n, err
}
