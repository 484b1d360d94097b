package pitch

// What the tests, which are external, see of the inside.

func (s Set) Normal() (first Class, form Set) { return s.normal() }

func (s Set) Small() Set { return s.small() }

// A Named is a name with a set that has it, from its root if it is Rooted.
type Named struct {
	Set    Set
	Name   string
	Rooted bool
}

func AllNamed() (all []Named) {
	for _, n := range names {
		all = append(all, Named{n.set, n.name, n.root})
	}
	return all
}
