package level

import (
	"fmt"
	"slices"

	"github.com/rinktally/rinktally/rules"
)

var difficultVariation = &feature{
	name:  rules.DifficultVariation,
	title: "Difficult variation", short: "variation", words: "A difficult variation",
	ease:  1,
	needs: []string{"in"},
	stage: inPosition,
	claim: (*collector).variation,
	reported: func(s *Spin, m moment) string {
		positions := s.Feet[m.foot].Positions
		v := positions[m.index].Variation
		return pathIf(v != "" && (m.index == 0 || positions[m.index-1].Variation != v), at(m.foot, m.index))
	},
	ways: variationWays,
	reach: func(r *rules.SpinRules, rule *rules.FeatureRule) string {
		text := fmt.Sprintf("Make a position a difficult variation of a category that is still unused in the program, and hold it %s.", turns(r.Revolutions.Position))
		if slices.Contains(rule.In, rules.InNonBasic) {
			text += " In a spin combination a non-basic position can be one."
		}
		return text
	},
}

// variation claims a difficult variation. A category counts once in a program;
// its first attempt uses it up.
func (c *collector) variation(rule *rules.FeatureRule, p *part) {
	if !p.first || p.Variation == "" || c.laybackBefore(p) > 0 {
		return
	}
	used := slices.Contains(c.used.variations, p.Variation)
	c.used.variations = append(c.used.variations, p.Variation)
	cl := c.claim(rules.DifficultVariation, p)
	if rule == nil {
		c.add(&cl, rule, p, true)
		return
	}
	cl.rule = &rule.Clause
	c.warn.rest(&rule.Clause)
	windmill := p.has(HasWindmill) && p.Variation == NonBasicVaried
	held := c.rules.Revolutions.Position
	switch {
	case used:
		cl.reason, cl.message = AlreadyUsed, variationWords[p.Variation]+" counts once in a program, and its first attempt uses it up; it was tried before"
	case !p.in(rule.In, c.sh.combination):
		cl.reason, cl.message = WrongPosition, "a difficult non-basic position counts only in a spin combination"
	case windmill && c.used.windmill:
		cl.reason, cl.message = AlreadyUsed, "a windmill counts once in a program and was tried before"
	case p.variation < held:
		cl.reason, cl.message = TooFew, fmt.Sprintf("%s was held %s and needs %s; the try has used it up", variationWords[p.Variation], turns(p.variation), held)
	}
	c.used.windmill = c.used.windmill || windmill
	c.claims = append(c.claims, cl)
}

// variationWays makes a plain position a difficult variation, or adds one more
// variation of a position that has one already.
func variationWays(s *search) {
	used := func(v Variation) bool {
		return slices.Contains(s.before.variations, v) || slices.ContainsFunc(s.now.sh.parts, func(p part) bool { return p.Variation == v })
	}
	held := s.call.rules.Revolutions.Position
	for _, fresh := range []bool{false, true} {
		for foot := range s.now.sh.feet {
			for i := range s.now.sh.feet[foot] {
				p := &s.now.sh.feet[foot][i]
				if p.windUp || (p.Variation != "") != fresh {
					continue
				}
				for _, variation := range variationsOf[p.Position.Position] {
					if used(variation) || variation == Biellmann && p.Position.Position == Layback {
						continue // a Biellmann after a layback is a feature of its own
					}
					positions, before, behind := &s.copy().Feet[foot].Positions, "Make the ", " a difficult variation that is still unused"
					if fresh {
						before, behind = "After the ", " add a variation that is still unused"
						*positions = slices.Insert(*positions, i+1, Position{Position: p.Position.Position, Lean: p.Lean, Variation: variation, Revolutions: held})
					} else {
						here := &(*positions)[i]
						here.Variation, here.Revolutions = variation, max(here.Revolutions, held)
					}
					how := func() string {
						return before + positionWordsOn(s.spin, p) + behind + ", such as " + variationWords[variation] + ", held at least " + turns(held) + "."
					}
					if !s.try(how) {
						return
					}
					break
				}
			}
		}
	}
}
