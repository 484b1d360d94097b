package spelling

// What the tests, which are external, see of the inside.

const MaxAlteration = maxAlteration

var (
	Languages = languages
	Fold      = fold
)

// WordsForModes returns how a language says major and minor.
func WordsForModes(l Language) (major, minor string) { return l.tongue().major, l.tongue().minor }
