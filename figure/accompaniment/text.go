package accompaniment

import "example.com/keyorder/figure/internal/enum"

func basses() []string   { return []string{"none", "roots and fifths", "walking"} }
func compings() []string { return []string{"none", "whole notes", "2 and 4", "1 and the and of 2"} }
func idles() []string    { return []string{"wait", "keep time", "dominant"} }
func layers() []string   { return []string{"part", "bass", "chords", "drone"} }

// String returns what the bass plays.
func (v Bass) String() string { return enum.Text(v, "Bass", basses()) }

// AppendText implements encoding.TextAppender; see MarshalText.
func (v Bass) AppendText(b []byte) ([]byte, error) {
	return enum.Append(b, v, "Bass", basses())
}

// MarshalText implements encoding.TextMarshaler; see String. A value that is
// none of the constants is a *fault.ValueError.
func (v Bass) MarshalText() ([]byte, error) { return v.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler, in any case. The error is a
// *fault.SyntaxError.
func (v *Bass) UnmarshalText(text []byte) error { return enum.Set(v, text, "Bass", basses()) }

// String returns when the chords are struck.
func (c Comping) String() string { return enum.Text(c, "Comping", compings()) }

// AppendText implements encoding.TextAppender; see MarshalText.
func (c Comping) AppendText(b []byte) ([]byte, error) {
	return enum.Append(b, c, "Comping", compings())
}

// MarshalText implements encoding.TextMarshaler; see String. A value that is
// none of the constants is a *fault.ValueError.
func (c Comping) MarshalText() ([]byte, error) { return c.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler, in any case. The error is a
// *fault.SyntaxError.
func (c *Comping) UnmarshalText(text []byte) error { return enum.Set(c, text, "Comping", compings()) }

// String returns what the band does in rests.
func (r Rests) String() string { return enum.Text(r, "Rests", idles()) }

// AppendText implements encoding.TextAppender; see MarshalText.
func (r Rests) AppendText(b []byte) ([]byte, error) {
	return enum.Append(b, r, "Rests", idles())
}

// MarshalText implements encoding.TextMarshaler; see String. A value that is
// none of the constants is a *fault.ValueError.
func (r Rests) MarshalText() ([]byte, error) { return r.AppendText(nil) }

// UnmarshalText implements encoding.TextUnmarshaler, in any case. The error is a
// *fault.SyntaxError.
func (r *Rests) UnmarshalText(text []byte) error { return enum.Set(r, text, "Rests", idles()) }

// String returns the layer's text.
func (l Layer) String() string { return enum.Text(l, "Layer", layers()) }
