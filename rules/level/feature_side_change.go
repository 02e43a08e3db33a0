package level

import (
	"fmt"
	"slices"

	"github.com/rinktally/rinktally/rules"
)

var laybackSideChange = &feature{
	name:  rules.LaybackSideChange,
	title: "Layback's change of side", short: "side change", words: "The layback's change of side",
	ease:  3,
	knows: []string{"one_position_only"}, needs: []string{"min_revolutions"},
	kinds: func(rule *rules.FeatureRule) []rules.SpinKind {
		if rule.OnePositionOnly {
			return []rules.SpinKind{rules.OnePosition, rules.OnePositionChange}
		}
		return rules.SpinKinds
	},
	places: []rules.SpinPlace{rules.InLayback},
	stage:  inPosition,
	claim: func(c *collector, rule *rules.FeatureRule, p *part) {
		index, long := c.findSideChange(rule, p)
		if index != p.index {
			return
		}
		cl := c.claim(rules.LaybackSideChange, p)
		cl.inUsed = cl.inUsed || c.sh.feet[p.foot][p.index-1].used
		if !long {
			cl.reason, cl.message = TooFew, "each side of the layback needs "+turns(rule.MinRevolutions)
		}
		c.add(&cl, rule, p, false)
	},
	ways: func(s *search) {
		for foot := range s.now.sh.feet {
			for i := range s.now.sh.feet[foot] {
				p := &s.now.sh.feet[foot][i]
				if !p.is(rules.InLayback, false) {
					continue
				}
				other := Sideways
				if p.lean() == Sideways {
					other = Backward
				}
				least := s.rule.MinRevolutions
				positions := &s.copy().Feet[foot].Positions
				(*positions)[i].Revolutions = max((*positions)[i].Revolutions, least)
				*positions = slices.Insert(*positions, i+1, Position{Position: Layback, Lean: other, Revolutions: least})
				how := func() string {
					return fmt.Sprintf("Change the layback between backward and sideways, at least %s each, without rising.", turns(least))
				}
				if !s.try(how) {
					return
				}
			}
		}
	},
	reach: func(_ *rules.SpinRules, rule *rules.FeatureRule) string {
		return "Change the layback between backward and sideways, at least " + turns(rule.MinRevolutions) + " each, without rising."
	},
}

// findSideChange returns the index of the position into which the layback changes
// its side on the foot of a position, or -1, and whether both sides are long enough. If several
// changes were made, the first one that is long enough is taken.
func (c *collector) findSideChange(rule *rules.FeatureRule, p *part) (index int, long bool) {
	if rule == nil || p.Position.Position != Layback || rule.OnePositionOnly && !c.sh.layback() {
		return -1, false
	}
	index = -1
	parts := c.sh.feet[p.foot]
	for i := 1; i < len(parts); i++ {
		a, b := &parts[i-1], &parts[i]
		if !a.is(rules.InLayback, false) || !b.is(rules.InLayback, false) || a.lean() == b.lean() {
			continue
		}
		if leaning(parts, i-1, -1) >= rule.MinRevolutions && leaning(parts, i, 1) >= rule.MinRevolutions {
			return i, true
		}
		if index < 0 {
			index = i
		}
	}
	return index, false
}

// leaning adds up the neighbouring layback positions with the same lean.
func leaning(parts []part, i, step int) rules.Revolutions {
	var total rules.Revolutions
	for lean := parts[i].lean(); i >= 0 && i < len(parts); i += step {
		if !parts[i].is(rules.InLayback, false) || parts[i].lean() != lean {
			break
		}
		total += parts[i].Revolutions
	}
	return total
}
