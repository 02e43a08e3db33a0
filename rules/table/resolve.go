package table

import (
	"cmp"

	"github.com/rinktally/rinktally/rules"
)

// resolve prepares what answers need: each segment's panel of components.
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
}
