package level

import (
	"maps"
	"slices"

	"github.com/rinktally/rinktally/rules"
)

// usage is what the program has used up so far.
type usage struct {
	features   map[rules.SpinFeature]int
	variations map[Variation]bool
	windmill   bool
	eights     []PositionKind            // positions in which eight revolutions were credited
	codes      []string                  // of the spins before, without level
	onePlace   []placed                  // the spins in one position before
	pair       map[rules.PairFeature]int // features of pair elements that counted
}

// placed is a spin in one position: its letter and whether it was flying.
type placed struct {
	letter string
	flying bool
}

func newUsage() *usage {
	return &usage{features: map[rules.SpinFeature]int{}, variations: map[Variation]bool{}, pair: map[rules.PairFeature]int{}}
}

func (u *usage) clone() *usage {
	c := *u
	c.features, c.variations = maps.Clone(u.features), maps.Clone(u.variations)
	c.pair = maps.Clone(u.pair)
	c.eights, c.codes, c.onePlace = slices.Clone(u.eights), slices.Clone(u.codes), slices.Clone(u.onePlace)
	return &c
}
