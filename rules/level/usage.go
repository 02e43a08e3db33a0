package level

import "github.com/rinktally/rinktally/rules"

// usage is what the program has used up so far. What counts several times stands in a
// list several times.
type usage struct {
	features   []rules.SpinFeature
	variations []Variation
	windmill   bool
	eights     []PositionKind      // positions in which eight revolutions were credited
	codes      []skeleton          // of the spins before
	onePlace   []placed            // the spins in one position before
	pair       []rules.PairFeature // features of pair elements that counted
}

// placed is a spin in one position: its letter and whether it was flying.
type placed struct {
	letter string
	flying bool
}

// set makes it equal to another usage, in the memory that it has.
func (u *usage) set(from *usage) {
	*u = usage{
		features: append(u.features[:0], from.features...), variations: append(u.variations[:0], from.variations...),
		windmill: from.windmill, eights: append(u.eights[:0], from.eights...), codes: append(u.codes[:0], from.codes...),
		onePlace: append(u.onePlace[:0], from.onePlace...), pair: append(u.pair[:0], from.pair...),
	}
}

// often counts how often something stands in a list.
func often[T comparable](list []T, wanted T) int {
	n := 0
	for _, have := range list {
		if have == wanted {
			n++
		}
	}
	return n
}
