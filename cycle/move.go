package cycle

import "example.com/keyorder/pitch"

// A Move is a change of key. The zero value stays on C.
type Move struct{ From, To pitch.Class }

// Semitones returns how far up the move goes, 0 to 11.
func (m Move) Semitones() int { return int(pitch.ClassOf(int(m.To) - int(m.From))) }

// play yields the keys of a section, with the first one once more if it is
// closed and has more than one.
func play(section int, keys []pitch.Class, closed bool, yield func(int, pitch.Class) bool) bool {
	for _, k := range keys {
		if !yield(section, k) {
			return false
		}
	}
	return !closed || len(keys) < 2 || yield(section, keys[0])
}

// A mover makes moves of the keys that are played one after the other.
type mover struct {
	key     pitch.Class
	section int // of that key, counted from 1; 0 before the first key
}

// to goes on to a key, and yields the move to it inside a section.
func (m *mover) to(section int, k pitch.Class, yield func(Move) bool) bool {
	from, inside := m.key, section+1 == m.section
	m.key, m.section = k, section+1
	return !inside || yield(Move{from, k})
}
