package musicxml

// What the tests, which are external, see of the inside.

var Channel = channel

const (
	MaxBytes  = maxBytes
	MaxToken  = maxToken
	MaxPacked = maxPacked
	MaxFiles  = maxFiles
)

var (
	ReadUpTo   = readUpTo
	ErrTooMuch = errTooMuch
)
