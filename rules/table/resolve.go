package table

import (
	"cmp"

	"github.com/rinktally/rinktally/rules"
)

// resolve prepares what answers need: each segment's panel of components, and
// layouts filled from those that they are like.
func resolve(s *rules.Season) {
	for _, c := range s.Categories {
		for _, g := range c.Segments {
			g.Panel = make([]rules.Component, 0, len(s.ComponentSets[g.Components]))
			for _, key := range s.ComponentSets[g.Components] {
				name := cmp.Or(g.Names[key], s.Components[key].Name, key)
				g.Panel = append(g.Panel, rules.Component{Key: key, Name: name, Factor: cmp.Or(g.Factors[key], g.Factor)})
			}
		}
	}
	if r := s.Content; r != nil {
		done := map[string]bool{}
		for _, key := range rules.SortedKeys(r.Layouts) {
			fill(r, key, done)
		}
	}
}

func fill(r *rules.ContentRules, key string, done map[string]bool) {
	l := r.Layouts[key]
	if done[key] || l.Like == "" {
		return
	}
	done[key] = true
	fill(r, l.Like, done)
	base := r.Layouts[l.Like]
	l.Boxes = fillMap(l.Boxes, base.Boxes)
	l.Unknown = fillMap(l.Unknown, base.Unknown)
	fillOne(&l.Combinations, base.Combinations)
	fillOne(&l.Sequences, base.Sequences)
	fillOne(&l.Repeats, base.Repeats)
	fillOne(&l.Alone, base.Alone)
	fillOne(&l.RequiredJump, base.RequiredJump)
	fillOne(&l.JumpLimits, base.JumpLimits)
	fillOne(&l.Duration, base.Duration)
	fillOne(&l.ShortJumps, base.ShortJumps)
	if s, b := l.ShortJumps, base.ShortJumps; s != nil && b != nil && s != b {
		fillOne(&s.Axel, b.Axel)
		fillOne(&s.Solo, b.Solo)
		fillOne(&s.Combination, b.Combination)
		fillOne(&s.Repeated, b.Repeated)
	}
	fillOne(&l.Spins, base.Spins)
	if s, b := l.Spins, base.Spins; s != nil && b != nil && s != b {
		s.Slots = fillMap(s.Slots, b.Slots)
		if s.SameCode == "" {
			s.SameCode = b.SameCode
		}
		if s.Apart == nil {
			s.Apart = b.Apart
		}
	}
}

func fillOne[T any](own **T, base *T) {
	if *own == nil {
		*own = base
	}
}

func fillMap[V any](own, base map[string]V) map[string]V {
	filled := make(map[string]V, len(own)+len(base))
	for key, v := range base {
		filled[key] = v
	}
	for key, v := range own {
		filled[key] = v
	}
	return filled
}
